//! Questions, options and promises in the window, by the names of their controls.

use egui::accesskit::Role;
use egui::{Key, Modifiers, vec2};
use egui_kittest::kittest::Queryable as _;
use roomback::job::TargetKind;
use roomback::ui::session::AskedBy;

use crate::driver::{FEW, SMALL, Used};

/// A small job, answered at once.
const JOB: &str = r#"(
    format: 1,
    name: "one wall",
    start: "2027-03-01",
    target: (day: "2027-03-05"),
    crew: [(id: "ilse", name: "Ilse")],
    places: [(id: "den", name: "den", kind: room, off_air: (temp_f: 55, rh: 60))],
    rooms: [(
        id: "den", name: "Den", place: "den", size: (length: "12'", width: "10'", height: "8'"),
        surfaces: [(id: "base", part: base, recipe: "base-and-shoe")],
    )],
)
"#;

fn small() -> Used {
    Used::on(JOB, SMALL, FEW)
}

/// Unfolds a zone or entry and brings a field in it into view.
fn unfold(w: &mut Used, zone: &str, field: &str) {
    if w.h.query_by_role_and_label(Role::TextInput, field).is_none() {
        w.bring(Role::Button, zone);
        w.h.get_by_role_and_label(Role::Button, zone).click();
        w.rest();
    }
    w.bring(Role::TextInput, field);
}

/// The button that promises the chosen day.
#[track_caller]
fn act(w: &Used) -> String {
    let button = |n: &crate::driver::Named| n.role == Role::Button && n.name.starts_with("Promise ");
    let mut all = w.named().into_iter().filter(button).map(|n| n.name).filter(|n| !n.contains("a day"));
    all.next().expect("a button")
}

fn chance(w: &Used) -> String {
    w.beginning("chance").name
}

#[test]
fn a_number_typed_asks_until_it_is_committed_or_taken_back() {
    let mut w = small();
    unfold(&mut w, "Crew", "pace, Ilse");
    let before = chance(&w);
    w.click_field("pace, Ilse");
    w.h.key_press_modifiers(Modifiers::COMMAND, Key::A);
    w.h.event(egui::Event::Text("0.4".into()));
    w.rest();
    assert_eq!(w.h.state().session().question().map(|q| &q.asked_by), Some(&AskedBy::Field("pace, Ilse".into())));
    assert_eq!(w.h.state().job().crew[0].pace, 1.0);
    let both = w.beginning("safe to promise").name;
    assert!(both.contains('→'), "{both}");
    // Escape drops it, and nothing is left of it.
    w.h.key_press(Key::Escape);
    w.rest();
    assert!(w.h.state().session().question().is_none() && chance(&w) == before);
    assert!(w.h.state().session().undo_words().is_none());
    // Committed it is one change.
    w.write("pace, Ilse", "0.4");
    assert!(w.h.state().session().question().is_none());
    assert_eq!(w.h.state().job().crew[0].pace, 0.4);
    assert_eq!(w.h.state().session().undo_words(), Some("Ilse"));
}

#[test]
fn a_number_dragged_sideways_or_stepped_by_arrows_asks_and_is_one_change() {
    let mut w = small();
    unfold(&mut w, "Crew", "pace, Ilse");
    let at = w.h.get_by_role_and_label(Role::TextInput, "pace, Ilse").rect().center();
    w.h.hover_at(at);
    w.h.drag_at(at);
    w.h.step();
    for x in [8.0, 16.0, 24.0, 32.0] {
        w.h.hover_at(at - vec2(x, 0.0));
        w.h.step();
    }
    w.rest();
    assert!(w.h.state().session().question().is_some(), "a drag asks nothing");
    assert_eq!(w.h.state().job().crew[0].pace, 1.0);
    w.h.drop_at(at - vec2(32.0, 0.0));
    w.rest();
    let pace = w.h.state().job().crew[0].pace;
    assert!((0.3..0.8).contains(&pace), "{pace}");
    assert!(w.h.state().session().question().is_none());
    w.menu(roomback::ui::action::Command::Undo);
    assert_eq!(w.h.state().job().crew[0].pace, 1.0);
    // Arrows.
    w.bring(Role::TextInput, "pace, Ilse");
    w.click_field("pace, Ilse");
    w.h.key_press(Key::ArrowDown);
    w.rest();
    w.h.key_press(Key::ArrowDown);
    w.rest();
    assert!(w.h.state().session().question().is_some());
    w.h.key_press(Key::Enter);
    w.rest();
    assert_eq!(w.h.state().job().crew[0].pace, 0.8);
}

#[test]
fn a_question_is_answered_in_words_and_done_or_left() {
    let mut w = small();
    w.menu(roomback::ui::action::Command::WhatIf);
    let fan = "a fan in the den, what if";
    w.bring(Role::Button, fan);
    w.press(fan);
    assert!(w.named().iter().any(|n| n.name.starts_with("a fan in the den: safe to promise")), "{:?}", w.named());
    w.bring(Role::Button, "Leave it, what if");
    w.press("Leave it, what if");
    assert!(w.h.state().session().question().is_none() && !w.h.state().job().places[0].fan);
    w.press(fan);
    w.bring(Role::Button, "Do it, what if");
    w.press("Do it, what if");
    assert!(w.h.state().job().places[0].fan && w.h.state().session().question().is_none());
    assert!(w.h.state().session().undo_words().is_some());
    // What is there already is asked no more.
    assert!(!w.has(fan));
}

#[test]
fn start_days_ask_by_a_click_and_begin_by_enter() {
    let mut w = small();
    w.menu(roomback::ui::action::Command::StartDays);
    w.rest();
    let rows = |w: &Used| -> Vec<String> {
        w.named().into_iter().map(|n| n.name).filter(|n| n.starts_with("begin ")).collect()
    };
    let all = rows(&w);
    assert!(all.len() >= 5 && all.iter().any(|r| r.ends_with("as it stands")), "{all:?}");
    assert!(w.named().iter().any(|n| n.name.contains("at the latest") || n.name.contains("even later")), "{all:?}");
    let first = all[0].clone();
    w.bring(Role::Button, &first);
    w.press(&first);
    assert!(w.h.state().session().question().is_some());
    let before = w.h.state().job().start;
    w.h.key_press(Key::Enter);
    w.rest();
    assert!(w.h.state().job().start < before, "{} {first}", w.h.state().job().start);
    assert!(w.h.state().session().question().is_none());
}

#[test]
fn two_options_stand_side_by_side_and_one_is_worked_on() {
    let mut w = small();
    w.menu(roomback::ui::action::Command::Options);
    w.bring(Role::TextInput, "name of a new option, options");
    // Enter in the name keeps it.
    w.write("name of a new option, options", "alone");
    assert_eq!(w.h.state().job().options.len(), 1);
    unfold(&mut w, "Crew", "pace, Ilse");
    w.write("pace, Ilse", "0.5");
    assert_eq!(w.h.state().job().options[0].differs_in(), ["crew"]);
    w.rest();
    w.bring(Role::Button, "work on alone");
    assert!(
        w.named().iter().any(|n| n.name.starts_with("alone: ") && n.name.ends_with(": Ilse at pace 1")),
        "{:?}",
        w.named()
    );
    w.press("work on alone");
    assert_eq!(w.h.state().job().crew[0].pace, 1.0);
    assert_eq!(w.h.state().job().option, "alone");
    w.menu(roomback::ui::action::Command::Undo);
    assert_eq!(w.h.state().job().crew[0].pace, 0.5);
}

#[test]
fn a_day_is_promised_by_an_act_and_changed_only_with_a_reason() {
    let mut w = small();
    w.press("Promise a day…");
    let days: Vec<String> = w.named().into_iter().map(|n| n.name).filter(|n| n.starts_with("promise ")).collect();
    assert!(days.len() >= 5 && days.iter().any(|d| d.contains("safe to promise")), "{days:?}");
    w.press(&days[days.len() - 1]);
    let name = act(&w);
    w.press(&name);
    let job = w.h.state().job().clone();
    assert_eq!(job.target.map(|t| t.kind), Some(TargetKind::Promised));
    assert_eq!(job.promise().map(|p| Some(p.day)), Some(job.target.map(|t| t.day)));
    assert!(job.kept.is_some() && job.promises[0].kept == job.kept);
    let day = roomback::views::typed::day_field(job.promises[0].day);
    assert!(w.beginning("promised: ").name.ends_with(day.trim_end_matches(" 2027")), "{day}");
    // Another day wants a reason.
    w.press("Change the promise…");
    let others: Vec<String> = w.named().into_iter().map(|n| n.name).filter(|n| n.starts_with("promise ")).collect();
    let other = others.iter().find(|n| !n.contains("promised")).expect("another day").clone();
    w.press(&other);
    let name = act(&w);
    w.press(&name);
    assert_eq!(w.h.state().job().promises.len(), 1);
    assert!(w.named().iter().any(|n| n.name.contains("say why")), "{:?}", w.named());
    w.h.get_by_role_and_label(Role::TextInput, "why the promise changes or is withdrawn").click();
    w.h.run();
    w.h.event(egui::Event::Text("a shelf more".into()));
    w.h.run();
    w.press(&name);
    assert_eq!(w.h.state().job().promises.len(), 2);
    assert_eq!(w.h.state().job().promises[1].reason, "a shelf more");
    // The job reads back as it stands.
    let text = w.job_text();
    assert_eq!(roomback::desk::open(&text).expect("reads").read.job, *w.h.state().job());
}
