//! Price, buying list and quote: laws over the samples, the text commands, the job file.

use roomback::buying::KERF;
use roomback::cli::{Output, run};
use roomback::desk::Sound;
use roomback::forecast::{Forecast, Options};
use roomback::job::{Allowance, Edit, Job, PayWhen, PriceTerms, TaxOn, edited};
use roomback::measure::Money;
use roomback::pricing::{Kind, Price, difference};
use roomback::search::Found;
use roomback::{desk, jobfile, views};
use serde_json::Value;

use crate::samples::{sample, samples};

fn forecast(sound: &Sound, found: &Found) -> Forecast {
    sound.forecast(found, Options { trials: 1_000, seed: 3, cause_trials: 0 }).expect("carried out")
}

/// The price of a job with other terms, the plan and its trials being the same.
fn priced(sound: &Sound, found: &Found, f: &Forecast, change: impl FnOnce(&mut PriceTerms)) -> Price {
    let mut terms = sound.job.price.clone();
    change(&mut terms);
    let job = edited(&sound.job, &[Edit::Price(Box::new(terms))]);
    let with = Sound { job, ..sound.clone() };
    let list = with.buying(found, KERF).expect("carried out");
    with.price(found, f, &list)
}

#[test]
fn lines_sum_to_the_price_and_payments_to_the_cent() {
    for s in samples().iter().filter(|s| s.sound.job.study.is_none()) {
        let f = forecast(&s.sound, &s.found);
        let odd = |t: &mut PriceTerms| {
            t.tax = 0.0725;
            t.margin = 0.137;
            t.allowances = vec![Allowance { what: "lamps".into(), dollars: 123.45 }];
        };
        for p in [priced(&s.sound, &s.found, &f, |_| ()), priced(&s.sound, &s.found, &f, odd)] {
            assert!(p.direct.0 > 0, "{}", s.name);
            assert_eq!(p.lines.iter().map(|l| l.amount.0).sum::<i64>(), p.total.0, "{}", s.name);
            assert_eq!(p.payments.iter().map(|x| x.amount.0).sum::<i64>(), p.total.0, "{}", s.name);
            assert!((p.payments.iter().map(|x| x.share).sum::<f64>() - 1.0).abs() < 1e-9, "{}", s.name);
            // Profit is the margin of the price before tax, to the cent.
            assert!((p.profit.0 as f64 - p.margin * p.before_tax.0 as f64).abs() <= 1.0, "{}", s.name);
            assert!((p.markup - p.margin / (1.0 - p.margin)).abs() < 1e-12);
            let whole = p.direct + p.contingency + p.overhead + p.profit + p.tax;
            assert_eq!(whole, p.total, "{}", s.name);
        }
        let with =
            priced(&s.sound, &s.found, &f, |t| t.allowances = vec![Allowance { what: "x".into(), dollars: 10.0 }]);
        assert_eq!(with.of(Kind::Allowance(0)), Money(1_000));
    }
}

#[test]
fn paid_minutes_are_labor_and_trips() {
    for s in samples().iter().filter(|s| s.sound.job.crew.len() == 1 && s.sound.job.crew[0].pace == 1.0) {
        let f = forecast(&s.sound, &s.found);
        let p = priced(&s.sound, &s.found, &f, |_| ());
        let trips = views::trip_minutes(&s.found.plan);
        let labor: i64 = s.found.plan.runs.iter().map(|r| r.labor_milli).sum::<i64>() / 1000;
        // Each run is paid by whole minutes.
        let runs = s.found.plan.runs.len() as i64;
        assert!((p.minutes - trips - labor).abs() <= runs, "{}: {} {trips} {labor}", s.name, p.minutes);
        for (paid, labor) in f.paid[0].iter().zip(&f.labor) {
            assert!(i64::from(*paid) >= *labor, "{}: {paid} {labor}", s.name);
        }
        assert_eq!((f.paid.len(), f.paid[0].len(), f.overtime[0].len()), (1, f.trials, f.trials));
        // Half of the trials as the whole: what is cut off is cut off everywhere.
        let half = f.first(500);
        assert_eq!(half.paid[0][..], f.paid[0][..500]);
    }
}

#[test]
fn more_trials_pay_what_fewer_did_before_them() {
    let s = sample("powder");
    let few = s.sound.forecast(&s.found, Options { trials: 500, seed: 3, cause_trials: 0 }).expect("trials");
    let many = forecast(&s.sound, &s.found);
    let net = s.sound.net(&s.found);
    let o = Options { trials: 1_000, seed: 3, cause_trials: 0 };
    let columns = roomback::forecast::columns::Columns::default();
    let order = &s.found.plan.order;
    let grown = roomback::forecast::grow(Some(&few), &columns, &s.sound.job, &net, order, o, &|| false).expect("grown");
    assert_eq!((&grown.paid, &grown.overtime), (&many.paid, &many.overtime));
}

#[test]
fn terms_move_the_price_the_way_they_must() {
    let s = sample("study");
    let f = forecast(&s.sound, &s.found);
    let total = |change: &dyn Fn(&mut PriceTerms)| priced(&s.sound, &s.found, &f, |t| change(t));
    let rising =
        |all: Vec<i64>| assert!(all.windows(2).all(|w| w[0] <= w[1]) && all[0] < all[all.len() - 1], "{all:?}");
    rising((0..9).map(|m| total(&|t| t.margin = f64::from(m) / 10.0).total.0).collect());
    rising((0..9).map(|m| total(&|t| t.overhead = f64::from(m) / 10.0).total.0).collect());
    rising([0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99].map(|c| total(&|t| t.contingency = c).contingency.0).to_vec());
    // A dearer price loses money less often.
    let mut chances: Vec<f64> = (0..8).map(|m| total(&|t| t.margin = f64::from(m) / 20.0).odds.loss.value).collect();
    chances.reverse();
    assert!(chances.windows(2).all(|w| w[0] <= w[1]), "{chances:?}");
    assert_eq!(total(&|t| t.contingency = 0.0).contingency, Money(0));
    // Days late cost nothing unless asked for, and then make a loss likelier.
    let (plain, late) = (total(&|_| ()), total(&|t| t.late_day = Some(400.0)));
    assert!(plain.odds.late.is_none() && late.odds.loss.value >= plain.odds.loss.value);
    assert_eq!(late.total, plain.total);
    let l = late.odds.late.expect("late");
    assert!((late.odds.expected_profit.0 - plain.odds.expected_profit.0 + l.expected.0).abs() <= 2, "{l:?}");
    // Tax of the materials alone is less than that of everything.
    let (all, some) = (total(&|t| t.tax = 0.08), total(&|t| (t.tax, t.tax_on) = (0.08, TaxOn::Materials)));
    assert!(some.tax.0 > 0 && some.tax < all.tax && some.before_tax == all.before_tax);
}

#[test]
fn a_change_is_told_line_by_line() {
    let s = sample("study");
    let f = forecast(&s.sound, &s.found);
    let before = priced(&s.sound, &s.found, &f, |_| ());
    let after = priced(&s.sound, &s.found, &f, |t| {
        t.allowances.push(Allowance { what: "a lamp".into(), dollars: 80.0 });
    });
    let d = difference(&before, &after);
    assert_eq!(d.total, after.total - before.total);
    assert_eq!(d.lines.iter().map(|l| l.after.0 - l.before.0).sum::<i64>(), d.total.0);
    assert_eq!(d.lines.iter().map(|l| l.kind).collect::<Vec<_>>(), [Kind::Allowance(0), Kind::Overhead, Kind::Profit]);
    assert_eq!(difference(&before, &before).lines, []);
    assert_eq!(views::difference_words(&s.sound.job, &difference(&before, &before)), "+$0.00");
}

#[test]
fn a_payment_without_its_occasion_joins_the_next() {
    // A repaint hangs no trim.
    let (s, found) = (&sample("powder").sound, &sample("powder").found);
    let hung = roomback::pricing::instalments(&s.job, &s.graph, &found.plan, Money(100_001));
    assert_eq!(
        hung.iter().map(|p| p.when).collect::<Vec<_>>(),
        [PayWhen::Agreement, PayWhen::TrimHung, PayWhen::LastCoat, PayWhen::PunchList]
    );
    let mut job = s.job.clone();
    job.rooms[0].surfaces.retain(|x| x.id != "base");
    let bare = roomback::pricing::instalments(&job, &s.graph, &found.plan, Money(100_001));
    assert_eq!(bare.len(), 3);
    assert!(bare[1].joined && (bare[1].share - 0.65).abs() < 1e-9, "{bare:?}");
    for list in [hung, bare] {
        assert_eq!(list.iter().map(|p| p.amount.0).sum::<i64>(), 100_001);
    }
}

fn call(args: &[&str]) -> Output {
    run(std::iter::once("roomback").chain(args.iter().copied()))
}

#[track_caller]
fn json(args: &[&str]) -> Value {
    let out = call(args);
    assert_eq!(out.code, 0, "{}", out.text);
    serde_json::from_str(&out.text).expect("JSON")
}

/// A file of one test's own, gone with it.
struct File(std::path::PathBuf);

impl File {
    fn new(name: &str, text: &str) -> File {
        let dir = std::env::temp_dir().join(format!("roomback-price-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&dir);
        std::fs::create_dir_all(&dir).expect("a folder");
        std::fs::write(dir.join("job.ron"), text).expect("written");
        File(dir)
    }
    fn path(&self) -> String {
        self.0.join("job.ron").display().to_string()
    }
    fn job(&self) -> Job {
        desk::open(&std::fs::read_to_string(self.0.join("job.ron")).expect("a file")).expect("reads").read.job
    }
}

impl Drop for File {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

const POWDER: &str = include_str!("../../sample-jobs/powder.ron");

#[test]
fn price_and_buying_by_command() {
    let file = File::new("commands", POWDER);
    let v = json(&["price", &file.path(), "--json"]);
    let lines = v["lines"].as_array().expect("lines");
    let sum: i64 = lines.iter().map(|l| l["cents"].as_i64().expect("cents")).sum();
    assert_eq!(Some(sum), v["price_cents"].as_i64());
    assert!(lines.iter().all(|l| l["why"].as_str().is_some_and(|w| w.len() > 8)), "{v:#}");
    let text = call(&["price", &file.path()]).text;
    for part in ["direct cost", "contingency", "chance of losing money", "at agreement", "cap a deposit"] {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert!(text.lines().all(|l| l.chars().count() <= 110), "{text}");
    let b = json(&["buying", &file.path(), "--json"]);
    let rows = b["rows"].as_array().expect("rows");
    let cost: i64 = rows.iter().map(|r| r["cost_cents"].as_i64().expect("cents")).sum();
    assert_eq!(Some(cost), b["cost_cents"].as_i64());
    let named = |k: &str| lines.iter().find(|l| l["kind"] == k).and_then(|l| l["cents"].as_i64()).unwrap_or(0);
    assert_eq!(["millwork", "sheets", "paint", "sundries"].map(named).iter().sum::<i64>(), cost);
    let text = call(&["buying", &file.path(), "--kerf", "3mm"]).text;
    assert!(text.contains("order by") && text.contains("1 spare") && text.contains("no cutting costs less"), "{text}");
    for bad in ["two", "3", "2in", "-1in"] {
        assert_eq!(call(&["buying", &file.path(), &format!("--kerf={bad}")]).code, 2, "{bad}");
    }
}

#[test]
fn a_job_under_way_buys_what_is_still_needed() {
    let file = crate::underway::File::new("buys", "powder");
    let path = file.path();
    let whole = json(&["buying", &path, "--json"]);
    let priced = json(&["price", &path, "--json"]);
    let done = json(&["plan", &path, "--json"]);
    let last = done["clean_run"].as_str().expect("a time")[..10].to_string();
    assert_eq!(call(&["log", &path, "--day", "2027-05-10", "--as-planned", "--through", "2027-05-12"]).code, 0);
    let left = json(&["buying", &path, "--json"]);
    let cents = |v: &Value| v["cost_cents"].as_i64().expect("cents");
    assert!(cents(&left) < cents(&whole) && !left["had"]["rows"].as_array().expect("rows").is_empty(), "{left:#}");
    assert_eq!(cents(&left) + cents(&left["had"]), cents(&whole), "{left:#}");
    // The price is that of the whole job, whatever was bought.
    assert_eq!(json(&["price", &path, "--json"])["price_cents"], priced["price_cents"]);
    let text = call(&["buying", &path]).text;
    let to = file.0.join("left.svg").display().to_string();
    assert_eq!(call(&["print", &path, "--page", "buying", "--to", &to]).code, 0);
    let page = std::fs::read_to_string(&to).expect("written");
    for (told, what) in [(&text, "text"), (&page, "page")] {
        for part in [Money(cents(&left)).to_string().as_str(), "Bought or used:"] {
            assert!(told.contains(part), "{what}: {part}: {told}");
        }
    }
    // With nothing left to do nothing is left to buy.
    assert_eq!(call(&["log", &path, "--day", "2027-05-13", "--as-planned", "--through", &last]).code, 0);
    let none = json(&["buying", &path, "--json"]);
    assert_eq!((cents(&none), cents(&none["had"])), (0, cents(&whole)), "{none:#}");
}

#[test]
fn a_quote_has_no_hours_rates_or_costs_and_is_kept_by_request() {
    let file = File::new("quote", POWDER);
    let text = call(&["quote", &file.path()]).text;
    for part in ["price", "What is in it", "What is not", "What would move it", "Powder room", "no day is promised yet"]
    {
        assert!(text.contains(part), "{part}: {text}");
    }
    for never in [" h ", "an hour", "overhead", "profit", "margin", "46.00"] {
        assert!(!text.contains(never), "{never}: {text}");
    }
    assert!(file.job().quotes.is_empty());
    let price = json(&["price", &file.path(), "--json"])["price_cents"].as_i64();
    let v = json(&["quote", &file.path(), "--keep", "--json"]);
    assert_eq!((v["price_cents"].as_i64(), &v["applied"]["changed"]), (price, &true.into()));
    let job = file.job();
    assert_eq!(Some(job.quotes[0].cents), price);
    assert_eq!(job.quotes[0].lines.iter().map(|l| l.cents).sum::<i64>(), job.quotes[0].cents);
    // A second is added, the first stays as it was; a promise brings one with it.
    assert!(call(&["quote", &file.path(), "--keep"]).text.contains("Quote kept"));
    let day = json(&["promise", &file.path(), "--json"])["safe_day"].as_str().expect("a day").to_string();
    let made = json(&["promise", &file.path(), "--day", &day, "--json"]);
    assert_eq!(made["quote_kept"], true);
    let after = file.job();
    assert_eq!((after.quotes.len(), &after.quotes[0]), (3, &job.quotes[0]));
    assert!(call(&["price", &file.path()]).text.contains("Quotes kept"));
    assert!(call(&["quote", &file.path()]).text.contains("promised:"));
    assert_eq!(jobfile::read(&jobfile::write(&after), roomback::trade::tables()).expect("reads").job, after);
    // Options have a price each.
    let o = json(&["options", &file.path(), "--json"]);
    assert!(o["options"][0]["price_cents"].as_i64() > Some(0), "{o:#}");
}

#[test]
fn nothing_is_kept_of_a_job_whose_hands_cost_nothing() {
    let free = POWDER.replace(", cost: 46", "");
    let file = File::new("free", &free);
    let text = call(&["price", &file.path()]).text;
    assert!(text.contains("Ilse's hours cost nothing here") && text.contains("No price yet"), "{text}");
    assert!(!text.contains("Odds") && !text.contains("Payments"), "{text}");
    let out = call(&["quote", &file.path()]);
    assert!(out.code == 2 && out.text.contains("give everybody of the crew a cost"), "{}", out.text);
    let day = json(&["promise", &file.path(), "--json"])["safe_day"].as_str().expect("a day").to_string();
    assert_eq!(json(&["promise", &file.path(), "--day", &day, "--json"])["quote_kept"], false);
    assert!(file.job().quotes.is_empty());
}

#[test]
fn hostile_names_do_no_harm() {
    let evil = "x\\u{1B}[2J\\n\\u{202E}{}%s\\\"";
    let text = POWDER
        .replace("name: \"Powder room\"", &format!("name: \"{evil}\""))
        .replace("name: \"Ilse\"", &format!("name: \"{evil}\""))
        .replace("client: \"Bettencourt\"", &format!("client: \"{evil}\""))
        .replace("primed base, two sticks", evil)
        .replace(
            "seed: 5,",
            &format!("seed: 5, price: (inclusions: [\"{evil}\"], allowances: [(what: \"{evil}\", dollars: 5)]),"),
        );
    let file = File::new("hostile", &text);
    for command in ["price", "buying", "quote"] {
        let out = call(&[command, &file.path()]);
        assert_eq!(out.code, 0, "{}", out.text);
        assert!(!out.text.contains(['\u{1B}', '\u{202E}']) && out.text.contains("{}%s"), "{command}: {}", out.text);
        json(&[command, &file.path(), "--json"]);
    }
}

#[test]
fn wrong_terms_are_said_at_their_place() {
    let said = |more: &str| -> Vec<(String, String)> {
        let text = POWDER.replace("seed: 5,", &format!("seed: 5, {more}"));
        let read = desk::open(&text).expect("a job file").read;
        read.problems.into_iter().map(|p| (p.path, p.what)).collect()
    };
    let one = |more: &str, path: &str, what: &str| {
        let got = said(more);
        assert!(got.len() == 1 && got[0].0 == path && got[0].1.contains(what), "{more}: {got:?}");
    };
    one("price: (payments: [(when: agreement, share: 0.5)]),", "price.payments", "sum to 0.5");
    one(
        "price: (payments: [(when: punch_list, share: 0.5), (when: agreement, share: 0.5)]),",
        "price.payments[1].when",
        "sooner",
    );
    one("price: (margin: 0.95),", "price.margin", "out of range");
    one(
        "materials: [(id: \"m\", name: \"M\", sold: gallon, packs: [], covers: 3)],",
        "materials[0].packs",
        "no package",
    );
    one(
        "materials: [(id: \"m\", name: \"M\", sold: gallon, packs: [(size: 1, price: 2)])],",
        "materials[0]",
        "nothing",
    );
    one("materials: [(id: \"m\", name: \"M\", sold: stick, packs: [(size: 8, price: 2)])],", "materials[0].cut", "cut");
    one(
        "materials: [(id: \"m\", name: \"M\", sold: stick, cut: run, packs: [(size: 1, price: 2)], short: \"12 in\")],",
        "materials[0].short",
        "short",
    );
    one(
        "materials: [(id: \"m\", name: \"M\", sold: each, covers: 1, packs: [(size: 1, price: 2)], uses: [(rate: \"wal-coat\")])],",
        "materials[0].uses[0].rate",
        "not a rate",
    );
    let quote = "(made_on: \"2027-04-01\", cents: 5, lines: [(what: \"a\", cents: 4)], hours: 1, hours_high: 2, likely: \"2027-05-12\", safe: \"2027-05-13\", confidence: 0.8, loss: 0.1)";
    one(&format!("quotes: [{quote}],"), "quotes[0].cents", "sum to 4");
    assert!(said("price: (payments: []),").is_empty());
}
