//! Price and buying list in the window: the figures of the text commands, terms changed in place, the quote kept
//! with a promise.

use egui::accesskit::Role;
use roomback::cli;
use roomback::desk::AT_REST;
use roomback::job::{Edit, PayWhen, Person, edited};
use roomback::jobfile;
use roomback::measure::Money;
use roomback::ui::action::Command;
use roomback::ui::theme::size;
use serde_json::Value;

use crate::driver::{FEW, Folder, SMALL, Used, sample};

fn told(command: &str) -> Value {
    let out = cli::run(["roomback", command, &sample("powder"), "--json"]);
    assert_eq!(out.code, 0, "{}", out.text);
    serde_json::from_str(&out.text).expect("json")
}

/// The price of the strip.
fn strip(w: &Used) -> String {
    let of = |n: &&crate::driver::Named| n.name.starts_with("price: ") && n.rect.bottom() <= size::STRIP;
    w.named().iter().find(of).unwrap_or_else(|| panic!("no price: {:?}", w.named())).name.clone()
}

fn cents(v: &Value, key: &str) -> String {
    Money(v[key].as_i64().unwrap_or_else(|| panic!("{key} in {v}"))).to_string()
}

#[test]
fn price_and_buying_list_are_those_of_the_text_commands() {
    let (price, buying) = (told("price"), told("buying"));
    let mut w = Used::open("powder", SMALL, AT_REST);
    assert_eq!(strip(&w), format!("price: {}", cents(&price, "price_cents")));
    w.menu(Command::Price);
    let named: Vec<String> = w.named().into_iter().map(|n| n.name).collect();
    for line in price["lines"].as_array().expect("lines") {
        let (what, amount) = (line["what"].as_str().expect("what"), cents(line, "cents"));
        let there = |n: &&String| n.starts_with(what) && n.ends_with(&amount);
        assert!(named.iter().any(|n| there(&n)), "{what} {amount}: {named:?}");
    }
    for p in price["payments"].as_array().expect("payments") {
        let amount = cents(p, "cents");
        assert!(named.iter().any(|n| n.ends_with(&amount)), "{amount}: {named:?}");
    }
    w.menu(Command::Buying);
    for head in w.named().into_iter().filter(|n| n.role == Role::Button && n.name.contains(", $")).map(|n| n.name) {
        if !w.named().iter().any(|n| n.name.starts_with("cost: ")) {
            w.press(&head);
        }
    }
    assert!(w.has(&format!("all of the buying list: {}", cents(&buying, "cost_cents"))), "{:?}", w.named());
}

#[test]
fn each_term_is_one_change_and_the_price_follows() {
    let mut w = Used::open("powder", SMALL, FEW);
    w.menu(Command::Price);
    let before = w.h.state().job().clone();
    let total = strip(&w);
    w.write("overhead, price", "50");
    assert_eq!(w.h.state().job().price.overhead, 0.5);
    assert_ne!(strip(&w), total, "the price stays");
    w.key(Command::Undo);
    assert_eq!(w.h.state().job(), &before);
    assert_eq!(strip(&w), total);
    w.leave_fields();
    w.write("at agreement, price", "40");
    let price = &w.h.state().job().price;
    assert!((price.share_at(PayWhen::Agreement) - 0.4).abs() < 1e-9);
    assert!((price.payments.iter().map(|p| p.share).sum::<f64>() - 1.0).abs() < 1e-9);
    assert!(w.h.state().problems().is_empty());
    w.write("another, inclusion", "a tin of each colour for touching up");
    assert_eq!(w.h.state().job().price.inclusions, ["a tin of each colour for touching up"]);
    w.write("words, inclusion 1", " ");
    assert!(w.h.state().job().price.inclusions.is_empty());
    // What cannot be meant changes nothing and says what to write.
    let now = w.h.state().job().clone();
    w.write("profit, price", "95");
    assert_eq!(w.h.state().job(), &now);
    assert!(w.named().iter().any(|n| n.name.contains("write 0 to 90 %")), "{:?}", w.named());
}

#[test]
fn a_promise_keeps_the_quote_of_its_moment_and_undo_does_not_take_it_back() {
    let mut w = Used::open("powder", SMALL, FEW);
    let total = strip(&w);
    w.menu(Command::PromiseDay);
    let all = w.named();
    let button = all.iter().find(|n| n.role == Role::Button && n.name.starts_with("Promise ") && !n.name.contains('…'));
    w.press(&button.expect("the button").name.clone());
    let job = w.h.state().job();
    assert_eq!((job.quotes.len(), job.promises.len()), (1, 1));
    assert_eq!(format!("price: {}", Money(job.quotes[0].cents)), total);
    w.menu(Command::LightDark);
    w.key(Command::Undo);
    assert_eq!(w.h.state().job().quotes.len(), 1);
}

#[test]
fn options_stand_side_by_side_with_their_prices() {
    let text = std::fs::read_to_string(sample("powder")).expect("a sample");
    let job = roomback::desk::open(&text).expect("a job").read.job;
    let job = edited(&job, &[Edit::OptionKept("usual pace".into())]);
    let slower = Person { pace: job.crew[0].pace / 2.0, ..job.crew[0].clone() };
    let job = edited(&job, &[Edit::Person(0, Some(slower))]);
    let mut w = Used::on(&jobfile::write(&job), SMALL, FEW);
    w.menu(Command::Options);
    let price = |w: &Used, name: &str| {
        let words = w.beginning(&format!("price, {name}: ")).name.clone();
        words.rsplit_once(": ").expect("a figure").1.to_string()
    };
    let (a, b) = (price(&w, "as it stands"), price(&w, "usual pace"));
    assert!(a.starts_with('$') && b.starts_with('$') && a != b, "{a} {b}");
    assert_eq!(strip(&w), format!("price: {a}"));
}

#[test]
fn under_way_the_price_is_what_was_agreed_and_the_list_what_is_still_to_buy() {
    let folder = Folder::new();
    let path = folder.file("job.ron");
    std::fs::copy(sample("powder"), &path).expect("copied");
    let path = path.display().to_string();
    let call = |args: &[&str]| {
        let out = cli::run(["roomback"].into_iter().chain(args.iter().copied()));
        assert_eq!(out.code, 0, "{args:?}: {}", out.text);
        serde_json::from_str::<Value>(&out.text).expect("json")
    };
    let quoted = call(&["quote", &path, "--keep", "--json"]);
    call(&["log", &path, "--day", "2027-05-10", "--as-planned", "--through", "2027-05-12", "--json"]);
    let to_buy = call(&["buying", &path, "--json"]);
    let text = std::fs::read_to_string(&path).expect("a job");
    let mut w = Used::on_day(&text, "2027-05-13", SMALL, AT_REST);
    w.menu(Command::Order);
    let agreed = cents(&quoted, "price_cents");
    let of = |n: &crate::driver::Named| n.name.starts_with("price") && n.rect.bottom() <= size::STRIP;
    assert!(w.named().iter().any(|n| of(n) && n.name.ends_with(&agreed)), "{agreed}: {:?}", w.named());
    w.menu(Command::Price);
    for p in quoted["payments"].as_array().expect("payments") {
        let amount = cents(p, "cents");
        assert!(w.named().iter().any(|n| n.name.ends_with(&amount)), "{amount}: {:?}", w.named());
    }
    w.menu(Command::Buying);
    let all = format!("all of the buying list: {}", cents(&to_buy, "cost_cents"));
    assert!(to_buy["had"]["rows"].as_array().is_some_and(|r| !r.is_empty()), "{to_buy}");
    assert!(w.has(&all), "{all}: {:?}", w.named());
}
