//! The client's page in the window: alone on the screen, in the client's words, with the days of the text
//! command; what they see is chosen beside it.

use egui::Key;
use egui::accesskit::Role;
use roomback::cli;
use roomback::desk::AT_REST;
use roomback::job::Switch;
use roomback::ui::action::Command;
use roomback::views::client::{ClientPage, client_wait};
use serde_json::Value;

use crate::driver::{FEW, HUGE, LARGE, SMALL, Used, sample};

/// A window with the page alone.
fn showing(name: &str, size: egui::Vec2, trials: usize) -> Used {
    let mut w = Used::open(name, size, trials);
    w.key(Command::Client);
    w.key(Command::Client);
    w
}

fn page(w: &Used) -> ClientPage {
    let s = w.h.state().shown().expect("an answer");
    ClientPage::new(&s.sound, &s.found, &s.forecast)
}

#[test]
fn the_page_has_the_days_of_the_text_command() {
    let out = cli::run(["roomback", "show", &sample("powder"), "--json"]);
    assert_eq!(out.code, 0, "{}", out.text);
    let said: Value = serde_json::from_str(&out.text).expect("json");
    let w = showing("powder", LARGE, AT_REST);
    for key in ["lead", "headline", "early", "note"] {
        assert!(w.has(said[key].as_str().expect(key)), "{key}: {:?}", w.named());
    }
    let pairs = said["needed"].as_array().expect("a list").iter().chain(said["yours"].as_array().expect("a list"));
    for x in pairs {
        let words = format!("{}: {}", x["when"].as_str().expect("when"), x["what"].as_str().expect("what"));
        assert!(w.has(&words), "{words}: {:?}", w.named());
    }
    for x in said["could_move"].as_array().expect("a list") {
        assert!(w.has(x.as_str().expect("words")), "{x}");
    }
}

#[test]
fn nothing_but_the_page_is_on_the_screen_until_escape() {
    let mut w = showing("study", LARGE, FEW);
    let all = w.named();
    let page = page(&w);
    let buttons: Vec<_> = all.iter().filter(|n| n.role != Role::Label).collect();
    assert!(buttons.iter().all(|n| n.name == "Leave the client's page") && buttons.len() == 1, "{buttons:?}");
    let words: String = all.iter().map(|n| format!("{}\n", n.name)).collect();
    for his in ["Menu", "safe to promise", "chance", "$", " h ", "hours", "price", "On site", "tries"] {
        assert!(!words.contains(his), "\"{his}\" in\n{words}");
    }
    assert!(words.contains(&page.client) && words.contains(&page.headline));
    // A day for each of its days.
    let days = page.weeks.iter().flat_map(|w| &w.days).count();
    assert!(all.iter().filter(|n| n.name.contains(": door ") || n.name.contains(": nothing")).count() > days / 2);
    // The box that finds everything, and other jobs, stay away.
    for command in [Command::Find, Command::Open, Command::New, Command::LostTime] {
        w.key(command);
        assert_eq!(w.named().len(), all.len(), "{command:?}");
    }
    w.hit(Key::Escape);
    assert!(w.has("Menu") && !w.has("Leave the client's page"));
    // The corner does the same, by the keyboard too.
    w.key(Command::Client);
    w.press("Show the page");
    w.reach("Leave the client's page");
    w.hit(Key::Enter);
    assert!(w.has("Menu"));
}

#[test]
fn what_they_see_is_chosen_beside_it_each_choice_one_change() {
    let mut w = Used::open("study", SMALL, FEW);
    let before = w.h.state().job().clone();
    w.key(Command::Client);
    assert!(w.has("What they see") && w.has("Menu"));
    let odds = "how likely the day is, in chances out of 10";
    w.press(odds);
    assert_eq!(w.h.state().job().client_page.odds, Switch::On);
    assert_eq!(w.h.state().session().undo_words(), Some("what the client sees"));
    assert!(w.named().iter().any(|n| n.name.contains("in 10 that it is done by then")), "{:?}", w.named());
    let cause = "work that takes longer than planned";
    let said = |w: &Used| w.named().iter().any(|n| n.name.starts_with(cause) && n.name.contains("about"));
    assert!(said(&w));
    w.press(cause);
    assert!(!said(&w), "{:?}", w.named());
    w.key(Command::Undo);
    assert!(said(&w));
    w.key(Command::Undo);
    assert_eq!(**w.h.state().session().job(), before);
    w.hit(Key::Escape);
    assert!(!w.has("What they see"));
}

#[test]
fn a_page_that_cannot_be_shown_says_so_in_the_clients_words() {
    let mut w = Used::open("powder", SMALL, FEW);
    // A day before the work begins.
    w.write("asked for, the job", "1 Jan 2027");
    assert!(!w.h.state().problems().is_empty());
    w.leave_fields();
    w.key(Command::Client);
    w.key(Command::Client);
    let (line, words) = client_wait(true);
    assert!(w.has(line) && w.has(words) && !w.has("Menu"), "{:?}", w.named());
    let all: String = w.named().iter().map(|n| format!("{}\n", n.name)).collect();
    assert!(!all.contains("asked") && !all.contains("target"), "{all}");
}

#[test]
fn nothing_is_cut_off_at_any_size_of_window_or_text() {
    let text = std::fs::read_to_string(sample("study")).expect("a sample");
    for (size, scale) in [(SMALL, 1.0), (LARGE, 1.0), (LARGE, 1.5), (SMALL, 1.5), (SMALL, 2.0), (HUGE, 1.0)] {
        let mut w = Used::scaled(&text, size, FEW, scale);
        w.key(Command::Client);
        w.key(Command::Client);
        // Names come in points or in pixels; the screen is as wide as its widest thing may be.
        let wide = w.h.ctx.content_rect().width().max(size.x);
        let high = w.h.ctx.content_rect().height();
        let all = w.named();
        for n in &all {
            assert!(n.rect.left() >= 0.0 && n.rect.right() <= wide + 0.5, "{size:?} at {scale}: {n:?}");
        }
        // What stands below the window is scrolled to.
        let last = |w: &Used| w.named().iter().map(|n| n.rect.bottom()).fold(0.0, f32::max);
        let before = last(&w);
        w.hit(Key::End);
        let after = last(&w);
        assert!(before <= high * scale + 1.0 || after < before, "{size:?} at {scale}: {before} {after}");
        w.hit(Key::Home);
        assert!((last(&w) - before).abs() < 1.0);
    }
}
