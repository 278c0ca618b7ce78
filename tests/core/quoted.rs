//! What a job is quoted at: a new quote before the first day, the one the client holds with its change orders
//! afterwards; the same in text, on paper and in JSON.

use roomback::desk;
use roomback::job::{ChangeKind, Job};
use roomback::jobfile;
use roomback::measure::Money;
use roomback::{pricing, views};
use serde_json::Value;

use crate::underway::{File, call, json};

fn write(file: &File, job: &Job) {
    std::fs::write(file.path(), jobfile::write(job)).expect("written");
}

fn cents(v: &Value, what: &str) -> i64 {
    v[what].as_i64().unwrap_or_else(|| panic!("{what}: {v}"))
}

/// The words of the printed quote, in one line.
fn printed(file: &File) -> String {
    let svg = file.0.join("quote.svg").display().to_string();
    let out = call(&["print", &file.path(), "--page", "quote", "--to", &svg]);
    assert_eq!(out.code, 0, "{}", out.text);
    let text = std::fs::read_to_string(svg).expect("written").replace("</text>", " ");
    let text: String = text.split('<').map(|p| p.split_once('>').map_or(p, |x| x.1)).collect();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_quote_asked_for_later_is_the_one_kept_with_its_changes_to_the_cent() {
    let file = File::new("quoted", "powder");
    let path = file.path();
    let first = json(&["quote", &path, "--keep", "--json"]);
    assert_eq!((&first["held"], &first["changes"]), (&false.into(), &serde_json::json!([])));
    let shelf =
        ["change", &path, "--day", "2027-05-10", "--words", "A shelf", "--add", "Shelf", "--hours", "2", "--json"];
    let dry: Vec<&str> = shelf[..shelf.len() - 1].iter().copied().chain(["--dry"]).collect();
    let said = call(&dry).text;
    let more = cents(&json(&shelf), "cents");
    assert!(said.contains(&format!("The client pays +{} for it", Money(more))), "{said}");
    json(&["log", &path, "--day", "2027-05-10", "--as-planned", "--json"]);
    let less = ["change", &path, "--day", "2027-05-11", "--words", "No ceiling", "--drop", "powder/ceiling", "--json"];
    let less = cents(&json(&less), "cents");
    // Terms of another day change nothing of what he holds.
    let mut job = file.job();
    (job.price.margin, job.price.overhead) = (0.4, 0.9);
    write(&file, &job);
    let v = json(&["quote", &path, "--json"]);
    for what in ["price_cents", "made_on", "payments", "assumptions", "inclusions", "exclusions", "safe_day"] {
        assert_eq!(v[what], first[what], "{what}");
    }
    let total = cents(&first, "price_cents") + more + less;
    assert_eq!((&v["held"], cents(&v, "total_cents")), (&true.into(), total));
    assert_eq!(pricing::agreed(&file.job()), Some(Money(total)));
    // The window says the same in its strip and under Price.
    let agreed = views::agreed_figure(&file.job()).expect("agreed");
    assert!(agreed.value == Money(total).to_string() && agreed.why.contains("2 changes agreed since"), "{agreed:?}");
    let held: Vec<String> = views::held_payments(&file.job()).into_iter().map(|p| p.1.value).collect();
    let given = first["payments"].as_array().expect("payments").iter().map(|p| Money(cents(p, "cents")).to_string());
    assert_eq!(held, given.collect::<Vec<_>>());
    let told: Vec<i64> = v["changes"].as_array().expect("changes").iter().map(|c| cents(c, "cents")).collect();
    assert_eq!(told, [more, less]);
    let paid: i64 = v["payments"].as_array().expect("payments").iter().map(|p| cents(p, "cents")).sum();
    assert_eq!(paid, cents(&first, "price_cents"));
    let text = call(&["quote", &path]).text.split_whitespace().collect::<Vec<_>>().join(" ");
    for told in [text, printed(&file)] {
        let quoted = Money(cents(&first, "price_cents"));
        for m in [quoted.to_string(), format!("+{}", Money(more)), Money(less).to_string(), Money(total).to_string()] {
            // Paper has a minus for the hyphen of the text.
            assert!(told.replace('−', "-").contains(&m), "{m} is not told");
        }
        for words in
            ["Change order 1, Mon 10 May 2027: A shelf", "Change order 2, Tue 11 May 2027: No ceiling", "price today"]
        {
            assert!(told.contains(words), "{words}: {told}");
        }
        assert!(!told.contains("who does the work"), "{told}");
    }
    // It is not given anew, nor kept a second time.
    let before = file.text();
    let out = call(&["quote", &path, "--keep"]);
    assert!(out.code == 2 && out.text.contains("stands") && out.text.contains("roomback change"), "{}", out.text);
    assert_eq!(file.text(), before);
}

#[test]
fn a_note_on_work_done_again_is_outside_the_numbers_of_change_orders() {
    let file = File::new("notes", "powder");
    let path = file.path();
    let print = |more: &[&str]| {
        let svg = file.0.join("change.svg").display().to_string();
        let out = call(&[&["print", &path, "--page", "change", "--to", &svg], more].concat());
        (out.code, if out.code == 0 { std::fs::read_to_string(svg).expect("written") } else { out.text })
    };
    let add = |day: &str, words: &str| {
        json(&["change", &path, "--day", day, "--words", words, "--add", words, "--hours", "1", "--json"]);
    };
    json(&["log", &path, "--day", "2027-05-10", "--as-planned", "--json"]);
    add("2027-05-11", "Shelf");
    let begun = desk::open(&file.text()).expect("a job").read.job.log[0].steps[0].step.clone();
    json(&["redo", &path, "--step", &begun, "--day", "2027-05-11", "--hours", "1", "--json"]);
    add("2027-05-12", "Rail");
    assert_eq!(
        file.job().changes.iter().map(|c| c.kind).collect::<Vec<_>>(),
        [ChangeKind::Scope, ChangeKind::Redo, ChangeKind::Scope]
    );
    for (more, title) in [
        (vec![], ">Change order 2</text>"),
        (vec!["--id", "1"], ">Change order 1</text>"),
        (vec!["--id", "2"], ">Change order 2</text>"),
        (vec!["--note", "1"], ">Put right at no charge</text>"),
    ] {
        let (code, text) = print(&more);
        assert!(code == 0 && text.contains(title), "{more:?}: {text}");
    }
    let (code, text) = print(&["--id", "3"]);
    assert!(code == 2 && text.contains("--id: there is no change order 3; the job has 2, from 1 on"), "{text}");
    let (code, text) = print(&["--note", "2"]);
    assert!(code == 2 && text.contains("--note: there is no note on work done again 2; the job has one"), "{text}");
    // Hours added by hand have no material in them, and the record says so.
    assert_eq!(file.job().changes[0].material, Some(0));
}

#[test]
fn work_begun_without_a_quote_is_not_quoted() {
    let file = File::new("unquoted", "powder");
    let path = file.path();
    assert!(printed(&file).contains("who does the work"));
    json(&["log", &path, "--day", "2027-05-10", "--as-planned", "--json"]);
    let svg = file.0.join("none.svg").display().to_string();
    let all = [
        call(&["quote", &path]),
        call(&["quote", &path, "--json"]),
        call(&["quote", &path, "--keep"]),
        call(&["print", &path, "--page", "quote", "--to", &svg]),
    ];
    for out in &all {
        assert!(out.code == 2 && out.text == all[0].text, "{}", out.text);
        assert!(out.text.contains("Work has begun") && out.text.contains("roomback change"), "{}", out.text);
    }
    assert!(!std::path::Path::new(&svg).exists());
}

#[test]
fn before_the_first_day_a_new_quote_says_which_it_takes_the_place_of() {
    let file = File::new("requoted", "powder");
    let path = file.path();
    json(&["quote", &path, "--keep", "--json"]);
    let same = json(&["quote", &path, "--json"]);
    assert_eq!((&same["held"], &same["replaces"]), (&false.into(), &Value::Null));
    let mut job = file.job();
    job.price.margin += 0.1;
    write(&file, &job);
    let v = json(&["quote", &path, "--json"]);
    assert_eq!((&v["held"], &v["replaces"]), (&false.into(), &same["made_on"]));
    assert!(cents(&v, "price_cents") > cents(&same, "price_cents"));
    for told in [call(&["quote", &path]).text, printed(&file)] {
        assert!(told.contains("It takes the place of the quote of"), "{told}");
    }
}

#[test]
fn a_change_on_record_before_the_quote_is_in_its_price_and_counted_once() {
    let file = File::new("in-quote", "powder");
    let path = file.path();
    // Agreed for a day to come, then quoted: the day of the change is the later one.
    json(&["change", &path, "--day", "2027-05-12", "--words", "A shelf", "--add", "Shelf", "--hours", "2", "--json"]);
    let kept = json(&["quote", &path, "--keep", "--json"]);
    let job = file.job();
    assert!(job.changes[0].day > job.quotes[0].made_on && job.changes_since_quote().is_empty());
    assert_eq!(pricing::agreed(&job), Some(Money(cents(&kept, "price_cents"))));
    json(&["log", &path, "--day", "2027-05-10", "--as-planned", "--json"]);
    let v = json(&["quote", &path, "--json"]);
    assert_eq!((&v["changes"], cents(&v, "total_cents")), (&serde_json::json!([]), cents(&kept, "price_cents")));
    // A file that does not say so counts by the day, and work done again asks for nothing.
    let mut old = file.job();
    old.quotes[0].changes = None;
    assert_eq!(old.changes_since_quote().len(), 1);
    old.changes[0].kind = ChangeKind::Redo;
    assert_eq!(pricing::agreed(&old), Some(Money(old.quotes[0].cents)));
}

#[test]
fn payments_of_a_quote_sum_to_its_price_or_are_said_not_to() {
    let file = File::new("paid", "powder");
    json(&["quote", &file.path(), "--keep", "--json"]);
    let mut job = file.job();
    job.quotes[0].payments[0].cents += 1;
    let said = desk::open(&jobfile::write(&job)).expect("a job file").read.problems;
    assert!(said.iter().any(|p| p.path == "quotes[0].payments"), "{said:?}");
}
