//! Cards in a low window with the largest text: every button of a card can be reached.

use egui::Rect;
use egui::accesskit::Role;
use roomback::ui::action::Command;

use crate::driver::{FEW, Named, SMALL, Used, sample};

/// The largest text the program has.
const LARGEST: f32 = 2.0;

/// Buttons that must lie whole in the window: those that end a card, by the beginning of their names.
#[track_caller]
fn whole_in(w: &Used, card: &str, buttons: &[&str]) {
    let all = Rect::from_min_size(egui::Pos2::ZERO, SMALL / LARGEST);
    for name in buttons {
        // The column behind the card has buttons of its own: `Withdraw it…, the job`, `Close the job…`.
        let behind = |n: &Named| n.name.contains(", ") || n.name.ends_with('…');
        let fits = |n: &Named| n.name == *name || n.name.starts_with(name) && !behind(n);
        let its = |n: &Named| n.role == Role::Button && fits(n);
        let is: Vec<Named> = w.named().into_iter().filter(its).collect();
        assert!(!is.is_empty(), "{card}: no button {name}: {:?}", w.named());
        for b in is {
            assert!(all.contains_rect(b.rect), "{card}: {} lies at {:?} of {all:?}", b.name, b.rect);
        }
    }
}

fn large(text: &str) -> Used {
    Used::scaled(text, SMALL, FEW, LARGEST)
}

fn text_of(name: &str) -> String {
    std::fs::read_to_string(sample(name)).expect("a sample")
}

/// A job with its first two days written up.
fn under_way() -> String {
    let mut w = Used::on_day(&text_of("powder"), "2027-05-11", SMALL, FEW);
    w.menu(Command::AsPlanned);
    w.job_text()
}

#[test]
fn every_card_has_its_buttons_in_a_low_window_with_large_text() {
    for name in ["study", "house"] {
        let mut w = large(&text_of(name));
        w.menu(Command::PromiseDay);
        whole_in(&w, "Promise a day", &["Promise ", "Not now"]);
        let act = w.named().into_iter().rfind(|n| n.role == Role::Button && n.name.starts_with("Promise "));
        w.press(&act.expect("a button that promises").name);
        w.menu(Command::Withdraw);
        whole_in(&w, "Change the promise", &["Withdraw ", "Not now"]);
        w.press("Not now");
        w.key(Command::Open);
        whole_in(&w, "Open a job", &["Open", "Browse…", "Cancel"]);
        w.press("Cancel");
        w.key(Command::Quit);
        whole_in(&w, "a question of files", &["Save", "Stay"]);
    }
    let mut w = large(&under_way());
    for (command, buttons) in [
        (Command::LostTime, &["Keep it", "Not now"][..]),
        (Command::WriteUp, &["Write it up", "Not now"]),
        (Command::CloseJob, &["Close it", "Not now"]),
        (Command::WorkAgain, &["Keep it", "Not now"]),
        (Command::LateDelivery, &["Keep it", "Not now"]),
        (Command::AddChange, &["Keep it", "Not now"]),
    ] {
        w.menu(command);
        whole_in(&w, command.text(), buttons);
        if command == Command::AddChange {
            w.write("what is added, A change", "a shelf");
            w.rest();
            whole_in(&w, "A change with its answer", buttons);
        }
        w.press("Not now");
    }
    w.key(Command::WaysBack);
    for _ in 0..40 {
        if w.has("Write to the client…") {
            break;
        }
        w.rest();
    }
    whole_in(&w, "Ways back", &["Close"]);
}

#[test]
fn the_questions_of_a_new_job_keep_their_buttons_in_view() {
    let mut w = large(&text_of("powder"));
    w.key(Command::New);
    for _ in 0..5 {
        whole_in(&w, "New job", &["Go on", "Leave it out", "No new job"]);
        w.press("Leave it out");
    }
    whole_in(&w, "New job", &["To the job"]);
}
