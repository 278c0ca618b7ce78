//! Printing from the window: every page the text command knows, shown as it is written, from any mode; and nothing of his
//! own on the screen while the client may be watching.

use egui::Key;
use roomback::cli;
use roomback::desk::AT_REST;
use roomback::ui::action::Command;
use roomback::views::papers::Paper;

use crate::driver::{FEW, LARGE, SMALL, Used};

/// A job of a powder room on which work has been done: written up, changed, closed.
fn closed() -> String {
    let w = Used::open("powder", SMALL, FEW);
    let path = w.folder.file("job.ron").display().to_string();
    let run = |args: &[&str]| {
        let out = cli::run(std::iter::once("roomback").chain(args.iter().copied()));
        assert_eq!(out.code, 0, "{args:?}: {}", out.text);
        out.text
    };
    let plan: serde_json::Value = serde_json::from_str(&run(&["plan", &path, "--json"])).expect("JSON");
    let last = plan["clean_run"].as_str().expect("a time")[..10].to_string();
    run(&["quote", &path, "--keep"]);
    run(&["log", &path, "--day", "2027-05-10", "--as-planned"]);
    run(&["change", &path, "--day", "2027-05-11", "--words", "A shelf", "--add", "Shelf", "--hours", "2"]);
    run(&["change", &path, "--day", "2027-05-11", "--words", "Another", "--add", "Second shelf", "--hours", "1"]);
    run(&["log", &path, "--day", "2027-05-11", "--as-planned", "--through", &last]);
    let book = w.folder.file("book.ron").display().to_string();
    run(&["close", &path, "--day", &last, "--book", &book]);
    w.folder.read("job.ron")
}

/// The files of a page as the text command writes them, and as the window does.
fn both(w: &mut Used, paper: Paper, more: &[&str]) -> (Vec<String>, Vec<String>) {
    let word = paper.word();
    let job = w.folder.file("job.ron").display().to_string();
    let to = w.folder.file(&format!("text-{word}.svg")).display().to_string();
    let args = ["roomback", "print", &job, "--page", word, "--to", &to];
    let out = cli::run(args.into_iter().chain(more.iter().copied()));
    assert_eq!(out.code, 0, "{word}: {}", out.text);
    w.write("Write to", &w.folder.file(&format!("window-{word}.svg")).display().to_string());
    w.press("Write the file");
    let pages = |kind: &str| {
        let name = |n: usize| if n == 1 { format!("{kind}-{word}.svg") } else { format!("{kind}-{word}-{n}.svg") };
        (1..).map_while(|n| std::fs::read_to_string(w.folder.file(&name(n))).ok()).collect::<Vec<_>>()
    };
    (pages("text"), pages("window"))
}

#[test]
fn every_page_is_that_of_the_text_command() {
    let mut w = Used::open("powder", LARGE, AT_REST);
    w.key(Command::Print);
    // The quote of a job that has a price comes first.
    assert!(w.has("For the client, to sign: price, payments, what is in it and what is not."), "{:?}", w.named());
    for paper in [Paper::Client, Paper::Section, Paper::Days, Paper::Quote, Paper::Buying] {
        w.press(paper.name());
        let (text, window) = both(&mut w, paper, &[]);
        assert!(!text.is_empty() && text == window, "{paper:?}: {} and {}", text.len(), window.len());
        // Shown is what is written: the words of the first page are on the screen.
        let words: Vec<String> = w.named().into_iter().map(|n| n.name).collect();
        let first = text[0].split("font-kerning=\"none\">").nth(1).and_then(|t| t.split('<').next()).expect("a word");
        assert!(words.iter().any(|n| n.contains('\n') && n.contains(first)), "{paper:?}: {first} in {words:?}");
    }
    // The other paper.
    w.press(Paper::Days.name());
    w.press("A4");
    let (text, window) = both(&mut w, Paper::Days, &["--paper", "a4"]);
    assert!(text == window && window[0].contains("viewBox=\"0 0 595.28 841.89\""), "{}", &window[0][..200]);
    // Some of the days.
    w.write("from, day sheets", "Wed 12 May 2027");
    w.write("through, day sheets", "13 May 2027");
    std::fs::read_dir(w.folder.file(""))
        .expect("a folder")
        .flatten()
        .filter(|f| f.file_name().to_string_lossy().contains("-days"))
        .for_each(|f| std::fs::remove_file(f.path()).expect("gone"));
    let (text, window) =
        both(&mut w, Paper::Days, &["--paper", "a4", "--from", "2027-05-12", "--through", "2027-05-13"]);
    assert!(text == window && window.len() == 2, "{}", window.len());
    assert!(w.has("page 1 of 2"), "{:?}", w.named());
    w.hit(Key::PageDown);
    assert!(w.has("page 2 of 2"));
    w.press("Page before");
    assert!(w.has("page 1 of 2"));
}

#[test]
fn pages_of_a_job_under_way_and_closed_are_those_of_the_text_command() {
    let mut w = Used::on(&closed(), LARGE, AT_REST);
    w.menu(Command::Site);
    w.key(Command::Print);
    // Of a job that is done there is no day sheet, and both say so.
    w.press(Paper::Days.name());
    assert!(w.named().iter().any(|n| n.name.to_lowercase().contains("nothing is left to do")), "{:?}", w.named());
    for paper in [Paper::Change, Paper::Closing, Paper::Quote, Paper::Buying] {
        w.press(paper.name());
        let (text, window) = both(&mut w, paper, &[]);
        assert!(!text.is_empty() && text == window, "{paper:?}: {} and {}", text.len(), window.len());
    }
}

#[test]
fn a_page_the_job_cannot_have_says_why_and_leads_there() {
    for (paper, why, way, there) in [
        (Paper::Change, "No change is on record", "Add a change", "A change"),
        (Paper::Closing, "The job is not closed yet", "", ""),
        (Paper::Quote, "no cost an hour", "Go to the crew", "Crew"),
    ] {
        let mut w = match paper {
            Paper::Quote => Used::on(&without_cost(), SMALL, FEW),
            _ => Used::open("powder", SMALL, FEW),
        };
        w.key(Command::Print);
        w.press(paper.name());
        let all = w.named();
        assert!(all.iter().any(|n| n.name.contains(why)), "{paper:?}: {all:?}");
        assert!(all.iter().any(|n| n.name == "Write the file" && !n.enabled), "{paper:?}: nothing to write");
        if !way.is_empty() {
            w.press(way);
            assert!(!w.has("Print a page") && w.named().iter().any(|n| n.name.contains(there)), "{paper:?}");
        }
    }
}

/// The powder room with nobody's cost said.
fn without_cost() -> String {
    let job = roomback::desk::open(&std::fs::read_to_string(crate::driver::sample("powder")).expect("a sample"));
    let mut job = job.expect("a job").read.job;
    job.crew.iter_mut().for_each(|p| p.cost = 0.0);
    roomback::jobfile::write(&job)
}

#[test]
fn nothing_of_his_own_is_offered_while_the_client_may_be_watching() {
    let mut w = Used::open("powder", LARGE, FEW);
    w.key(Command::Client);
    w.key(Command::Client);
    w.key(Command::Print);
    assert!(w.has("Print a page") && w.has(Paper::Client.name()), "{:?}", w.named());
    for his in Paper::ALL.into_iter().filter(|p| !p.open_to_all()) {
        assert!(!w.has(his.name()), "{his:?}: {:?}", w.named());
    }
    // Asked for, they come, and the client's mode is left.
    w.press("Pages of your own");
    assert!(w.has(Paper::Quote.name()) && w.has(Paper::Section.name()) && !w.has("What they see"), "{:?}", w.named());
    w.hit(Key::Escape);
    assert!(!w.has("Print a page") && w.has("Menu"));
}

#[test]
fn a_page_is_found_by_its_name_and_printed_by_keys_alone() {
    let mut w = Used::open("powder", SMALL, FEW);
    w.key(Command::Find);
    w.type_in("print buy");
    w.hit(Key::Enter);
    assert!(w.has("For the store: packages by supplier, order days, every stick with its cuts."), "{:?}", w.named());
    // The page asked for has the keyboard.
    assert_eq!(w.focused().map(|f| f.1), Some(Paper::Buying.name().to_string()));
    w.reach("Write the file");
    w.hit(Key::Enter);
    let kind = roomback::export::ENDINGS[0];
    assert!(w.folder.file(&format!("job-buying.{kind}")).is_file(), "{:?}", w.named());
    // A shorter print says what stays of the longer one.
    w.press(Paper::Days.name());
    w.write("Write to", &w.folder.file("week.svg").display().to_string());
    w.press("Write the file");
    w.write("from, day sheets", "10 May 2027");
    w.write("through, day sheets", "11 May 2027");
    w.press("Write the file");
    assert!(w.named().iter().any(|n| n.name.contains("older") && n.name.contains("left as")), "{:?}", w.named());
    assert!(w.folder.file("week-3.svg").is_file());
    w.hit(Key::Escape);
    w.hit(Key::Escape);
    assert!(!w.has("Print a page"));
}
