//! The box in which everything is found, and the way to a step.

use egui::Key;
use egui::accesskit::Role;
use roomback::ui::action::Command;

use crate::driver::{FEW, SMALL, Used};

fn typed(w: &mut Used, text: &str) {
    w.h.event(egui::Event::Text(text.into()));
    w.h.run();
}

/// What the box lists, in its order; the chosen one by its place.
fn listed(w: &Used) -> Vec<String> {
    w.named().into_iter().filter(|n| n.role == Role::MenuItem).map(|n| n.name).collect()
}

#[test]
fn every_command_room_and_step_is_found_with_its_key() {
    let mut w = Used::open("powder", SMALL, FEW);
    w.key(Command::Find);
    let all = listed(&w);
    for c in Command::ALL.into_iter().filter(|c| *c != Command::Find) {
        let key = c.key_words(&w.h.ctx);
        let name = if key.is_empty() { c.text().to_string() } else { format!("{}, {key}", c.text()) };
        assert!(all.contains(&name), "{name} is not in {all:?}");
    }
    let job = w.h.state().job().clone();
    assert!(job.rooms.iter().all(|r| all.contains(&format!("{}, room", r.name))));
    let steps = w.h.state().shown().unwrap().plan.steps.len();
    assert_eq!(all.iter().filter(|n| n.ends_with(", step")).count(), steps);
}

#[test]
fn arrows_choose_enter_does_and_escape_does_nothing() {
    let mut w = Used::open("powder", SMALL, FEW);
    let dark = |w: &Used| w.h.state().files().settings.dark;
    w.key(Command::Find);
    typed(&mut w, "li d");
    assert_eq!(listed(&w)[0], "Light or dark paper");
    w.h.key_press(Key::Escape);
    w.rest();
    assert!(listed(&w).is_empty() && !dark(&w));
    w.key(Command::Find);
    typed(&mut w, "t");
    let at = listed(&w).iter().position(|n| n.starts_with("Larger text")).expect("larger text");
    for _ in 0..at {
        w.h.key_press(Key::ArrowDown);
    }
    w.h.key_press(Key::Enter);
    w.rest();
    assert!((w.h.ctx.zoom_factor() - 1.1).abs() < 0.01);
}

#[test]
fn what_cannot_be_done_says_why_and_is_not_done() {
    let mut w = Used::open("powder", SMALL, FEW);
    w.key(Command::Find);
    typed(&mut w, "undo");
    let undo = w.beginning("Undo");
    assert!(!undo.enabled && w.has("Not now: nothing has been changed yet."), "{undo:?}");
    w.h.key_press(Key::Enter);
    w.rest();
    assert!(w.has("Find anything to do"), "the box closed over nothing done");
    typed(&mut w, "xyz");
    assert!(w.has("Nothing is called so. Fewer letters find more."));
}

#[test]
fn a_step_anywhere_is_selected_its_room_opened_and_brought_into_view() {
    let mut w = Used::open("house", egui::vec2(1280.0, 560.0), FEW);
    let shown = w.h.state().shown().unwrap();
    let (sound, last) = (shown.sound.clone(), shown.plan.steps.clone());
    let rooms = sound.job.rooms.clone();
    for room in [rooms.len() - 1, 0, 2] {
        let row = last.iter().rfind(|s| sound.graph.steps[s.step].room == rooms[room].id).expect("a step of the room");
        let step = &sound.graph.steps[row.step];
        w.h.key_press(Key::Slash);
        w.h.run();
        typed(&mut w, &format!("{} {}", step.name, rooms[room].name));
        w.h.key_press(Key::Enter);
        w.rest();
        assert_eq!(w.h.state().selected(), Some(step.id.as_str()));
        let blocks = w.named();
        let here =
            blocks.iter().any(|n| n.in_named.as_deref() == Some("The room section") && n.name.starts_with(&step.name));
        assert!(here, "{} is not in view: {blocks:?}", step.id);
    }
}
