//! The chart is used: by pointer, by keys, by name.

use egui::{Key, Modifiers, PointerButton, Pos2, vec2};
use egui_kittest::kittest::Queryable as _;
use roomback::job::Until;
use roomback::ui::action::Command;

use crate::driver::{FEW, Named, SMALL, Used};

/// A block of the study, by the words a screen reader has for it.
const HANG: &str = "hang crown,";

fn study() -> Used {
    Used::open("study", SMALL, FEW)
}

fn pieces(w: &Used) -> Vec<Named> {
    w.named().into_iter().filter(|n| n.name.starts_with("Holds the date: ")).collect()
}

/// Presses at one point, moves to another; the button stays down.
fn drag(w: &mut Used, from: Pos2, to: Pos2) {
    let button = |pressed, pos| egui::Event::PointerButton {
        pos,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    };
    w.h.event(egui::Event::PointerMoved(from));
    w.h.step();
    w.h.event(button(true, from));
    w.h.step();
    for part in [0.3, 0.6, 1.0] {
        w.h.event(egui::Event::PointerMoved(from + (to - from) * part));
        w.h.step();
    }
    w.rest();
}

fn release(w: &mut Used, at: Pos2) {
    w.h.event(egui::Event::PointerButton {
        pos: at,
        button: PointerButton::Primary,
        pressed: false,
        modifiers: Modifiers::NONE,
    });
    w.rest();
}

#[test]
fn a_block_is_chosen_by_its_name_and_says_why() {
    let mut w = study();
    let block = w.beginning(HANG);
    assert!(block.name.contains("5.0 h") && block.name.contains(" to Tue 16 Mar"), "{}", block.name);
    w.press(&block.name);
    assert_eq!(w.h.state().selected(), Some("study/crown/hang-crown"));
    assert!(w.h.query_by_label_contains("it holds the date").is_some());
}

#[test]
fn arrows_walk_what_holds_the_date() {
    let mut w = study();
    let all = pieces(&w);
    assert!(all.len() > 40);
    w.press(&all[0].name);
    assert_eq!(w.h.state().selected(), Some("study/start/measure"));
    let mut seen = vec![w.h.state().selected().map(str::to_string)];
    for _ in 0..6 {
        w.h.key_press(Key::ArrowRight);
        w.rest();
        seen.push(w.h.state().selected().map(str::to_string));
    }
    seen.dedup();
    assert!(seen.len() >= 3 && seen.iter().all(Option::is_some), "{seen:?}");
    for _ in 0..20 {
        w.h.key_press(Key::ArrowLeft);
        w.rest();
    }
    assert_eq!(w.h.state().selected(), Some("study/start/measure"));
    w.h.key_press(Key::Escape);
    w.rest();
    assert_eq!(w.h.state().selected(), None);
}

#[test]
fn waiting_is_asked_by_dragging_and_kept_only_when_said() {
    let mut w = study();
    let before = w.job_text();
    let at = w.beginning(HANG).rect.center();
    // Less than a drag asks nothing.
    drag(&mut w, at, at + vec2(4.0, 0.0));
    assert!(w.h.state().session().question().is_none());
    release(&mut w, at + vec2(4.0, 0.0));
    drag(&mut w, at, at + vec2(60.0, 0.0));
    assert!(w.h.state().session().question().is_some() && w.h.state().answer().is_some());
    release(&mut w, at + vec2(60.0, 0.0));
    // Letting go commits nothing.
    assert_eq!(w.job_text(), before);
    assert!(w.h.query_by_label_contains("wait until ").is_some() && w.has("Keep waiting"));
    assert!(w.h.query_by_label_contains(": …").is_none());
    w.h.key_press(Key::Escape);
    w.rest();
    assert!(w.h.state().session().question().is_none() && !w.has("Keep waiting"));
    drag(&mut w, at, at + vec2(60.0, 0.0));
    release(&mut w, at + vec2(60.0, 0.0));
    w.press("Keep waiting");
    let holds = &w.h.state().job().holds;
    assert!(holds.len() == 1 && holds[0].step == "study/crown/hang-crown" && matches!(holds[0].until, Until::At(_)));
    // Its peg takes it back.
    w.press("Let hang crown no longer wait");
    assert_eq!(w.job_text(), before);
}

#[test]
fn it_stops_at_its_earliest_moment_and_says_why() {
    let mut w = study();
    let at = w.beginning(HANG).rect.center();
    drag(&mut w, at, at - vec2(60.0, 0.0));
    assert!(w.h.state().session().question().is_none());
    assert!(w.h.query_by_label_contains("It begins Tue 16 Mar 8:15 and no sooner").is_some());
}

#[test]
fn keys_ask_too() {
    let mut w = study();
    let name = w.beginning(HANG).name;
    w.press(&name);
    w.h.key_press_modifiers(Modifiers::ALT, Key::ArrowRight);
    w.rest();
    assert!(w.h.state().session().question().is_some());
    w.h.key_press_modifiers(Modifiers::ALT, Key::ArrowLeft);
    w.rest();
    assert!(w.h.state().session().question().is_none());
}

#[test]
fn time_is_made_plain_and_the_chart_zoomed_and_fitted() {
    let mut w = study();
    let width = |w: &Used| w.beginning("trim colour chosen").rect.width();
    let warped = width(&w);
    w.key(Command::PlainTime);
    assert!((width(&w) - warped).abs() > 2.0);
    w.key(Command::PlainTime);
    assert!((width(&w) - warped).abs() < 0.01);
    let far = w.beginning(HANG).rect;
    w.h.event(egui::Event::PointerMoved(far.left_center()));
    w.h.step();
    w.h.event(egui::Event::Zoom(3.0));
    w.rest();
    let near = w.beginning(HANG).rect;
    // What was under the pointer stays there.
    assert!(near.width() > 2.0 * far.width() && (near.left() - far.left()).abs() < 2.0, "{far:?} {near:?}");
    w.key(Command::FitTime);
    assert!((width(&w) - warped).abs() < 0.01);
}
