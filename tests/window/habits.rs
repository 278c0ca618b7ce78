//! What hands expect of any window: nothing typed is lost, the keyboard stays where it was, every
//! control has a name of its own, and everything is done without a mouse.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::NodeT as _;
use roomback::ui::action::Command;

use crate::driver::{FEW, Named, SMALL, Used};

fn small() -> Used {
    Used::open("powder", SMALL, FEW)
}

fn type_in(w: &mut Used, text: &str) {
    w.h.event(egui::Event::Text(text.into()));
    w.h.run();
}

fn enter(w: &mut Used) {
    w.h.key_press(Key::Enter);
    w.rest();
}

/// Name of what has the keyboard.
fn focused(w: &Used) -> Option<String> {
    let all = w.h.root().children_recursive();
    let node = all.into_iter().find(|n| n.accesskit_node().is_focused())?;
    let a = node.accesskit_node();
    a.label().or_else(|| a.value()).filter(|l| !l.is_empty())
}

#[test]
fn four_questions_make_a_job_by_keys_alone_and_end_in_a_date() {
    let mut w = small();
    w.key(Command::New);
    type_in(&mut w, "Kitchen");
    enter(&mut w);
    type_in(&mut w, "13' x 11'6 x 8'4, door 32x80, 2 windows 36x54");
    enter(&mut w);
    w.h.key_press(Key::ArrowDown);
    w.h.run();
    enter(&mut w);
    type_in(&mut w, "1 Mar 2027");
    enter(&mut w);
    type_in(&mut w, "sometime");
    enter(&mut w);
    assert!(w.named().iter().any(|n| n.name.contains("\"sometime\" is not a day")), "{:?}", w.named());
    w.h.key_press_modifiers(Modifiers::COMMAND, Key::A);
    type_in(&mut w, "19 Mar 2027");
    enter(&mut w);
    let job = w.h.state().job().clone();
    assert_eq!((job.name.as_str(), job.start.to_string().as_str()), ("Kitchen", "2027-03-01"));
    assert_eq!(job.target.map(|t| t.day.to_string()).as_deref(), Some("2027-03-19"));
    assert_eq!((job.rooms[0].openings.len(), job.rooms[0].surfaces.len()), (2, 5), "the second set");
    // The date stands on the card, as the strip has it.
    assert!(w.has("To the job") && w.named().iter().filter(|n| n.name.starts_with("safe to promise")).count() > 1);
    assert_eq!(focused(&w).as_deref(), Some("To the job"));
    enter(&mut w);
    assert!(!w.has("To the job"));
    w.key(Command::Undo);
    assert_eq!(w.h.state().job().name, "Bedroom");
    w.key(Command::Redo);
    assert_eq!(w.h.state().job().name, "Kitchen");
}

#[test]
fn escape_goes_one_question_back_and_leaves_the_job_at_hand_as_it_was() {
    let mut w = small();
    let before = w.job_text();
    w.key(Command::New);
    type_in(&mut w, "Kitchen");
    enter(&mut w);
    enter(&mut w);
    assert!(w.has("3 of 5   What is to be done?"));
    w.press("Back");
    assert!(w.has("2 of 5   What are its measures?"));
    w.h.key_press(Key::Escape);
    w.rest();
    assert!(w.has("1 of 5   What room is it?"));
    w.h.key_press(Key::Escape);
    w.rest();
    assert!(!w.has("No new job") && w.job_text() == before);
}

#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }
    fn bytes(&self) -> Result<Vec<u8>, String> {
        Err("by its path alone".into())
    }
}

#[test]
fn a_file_dropped_while_a_field_is_written_in_keeps_the_typing() {
    let mut w = small();
    std::fs::write(w.folder.file("other.ron"), w.folder.read("job.ron")).unwrap();
    w.click_field("name, the job");
    w.h.key_press_modifiers(Modifiers::COMMAND, Key::A);
    type_in(&mut w, "Cloakroom");
    let file = w.folder.file("other.ron");
    w.h.input_mut().dropped_files.push(Arc::new(Dropped(file.clone())));
    w.rest();
    // What was typed is in the job, so that leaving it is asked about.
    assert_eq!(w.h.state().job().name, "Cloakroom");
    assert!(w.has("Save job.ron first?"), "{:?}", w.named());
    w.press("Save");
    assert!(w.folder.read("job.ron").contains("Cloakroom"));
    assert_eq!(w.h.state().session().file, Some(file));
}

#[test]
fn a_room_renamed_by_tab_leaves_the_keyboard_in_the_next_field() {
    let mut w = small();
    let room = w.h.state().job().rooms[0].name.clone();
    w.show_room(&room);
    w.bring(Role::TextInput, &format!("name, {room}"));
    for (from, to) in [(room.as_str(), "Pantry"), ("Pantry", "Larder")] {
        w.click_field(&format!("name, {from}"));
        w.h.key_press_modifiers(Modifiers::COMMAND, Key::A);
        type_in(&mut w, to);
        w.h.key_press(Key::Tab);
        w.rest();
        assert_eq!(w.h.state().job().rooms[0].name, to);
        assert_eq!(focused(&w), Some(format!("length, {to}")), "{:?}", w.named());
    }
}

#[test]
fn the_first_start_has_three_things_to_try_that_do_themselves() {
    let mut w = small();
    w.menu(Command::ThreeThings);
    let ticked = |w: &Used| {
        let all = w.h.root().children_recursive();
        let boxes = all.into_iter().filter(|n| n.accesskit_node().role() == Role::CheckBox);
        let three = boxes.filter(|n| {
            let name = n.accesskit_node().label().unwrap_or_default();
            roomback::ui::tries::THREE.iter().any(|t| t.replace('*', "") == name)
        });
        three.map(|n| n.accesskit_node().toggled() == Some(egui::accesskit::Toggled::True)).collect::<Vec<_>>()
    };
    assert_eq!(ticked(&w), [false; 3]);
    let before = w.h.state().job().clone();
    for (n, words) in roomback::ui::tries::THREE.iter().enumerate() {
        w.press(&words.replace('*', ""));
        w.rest();
        assert!(ticked(&w)[n], "{words}");
        match n {
            0 => assert_ne!(w.h.state().job().rates, before.rates),
            1 => assert!(w.has("Keep waiting") && w.h.state().session().question().is_some()),
            _ => assert_ne!(w.h.state().job().rooms[0].size, before.rooms[0].size),
        }
    }
    // Ticked for good, and put away for good.
    w.key(Command::Undo);
    assert_eq!(ticked(&w), [true; 3]);
    w.press("Put these away");
    assert!(!w.has("Three things to try") && w.h.state().files().settings.tries_away);
}

/// Every state of the window worth walking through, by its name.
fn states() -> Vec<(&'static str, Used)> {
    let with = |name: &'static str, job: &str, act: fn(&mut Used)| {
        let mut w = Used::open(job, SMALL, FEW);
        act(&mut w);
        (name, w)
    };
    vec![
        with("study", "study", |_| {}),
        with("study, measured", "study", |w| w.menu(Command::Measure)),
        with("a step chosen", "study", |w| {
            w.h.key_press(Key::Slash);
            w.h.run();
            type_in(w, "hang crown");
            enter(w);
        }),
        with("many rooms", "house", |_| {}),
        with("a room unfolded", "powder", |w| {
            let room = w.h.state().job().rooms[0].name.clone();
            w.show_room(&room);
        }),
        with("menu", "powder", |w| w.press("Menu")),
        with("finder", "powder", |w| w.key(Command::Find)),
        with("new job", "powder", |w| w.key(Command::New)),
        with("what is to be done", "powder", |w| {
            w.key(Command::New);
            enter(w);
            enter(w);
        }),
        with("open", "powder", |w| w.key(Command::Open)),
        with("save", "powder", |w| w.key(Command::SaveAs)),
        with("plan in words", "powder", |w| w.menu(Command::PlanInWords)),
        with("three things", "powder", |w| w.menu(Command::ThreeThings)),
        with("nobody to work", "powder", |w| {
            w.menu(Command::Crew);
            w.bring(Role::Button, "Add somebody");
        }),
    ]
}

/// Whether it can be used, so that it must have a name.
fn used(role: Role) -> bool {
    use Role::*;
    matches!(
        role,
        Button
            | TextInput
            | CheckBox
            | RadioButton
            | ComboBox
            | Slider
            | Link
            | MenuItem
            | SpinButton
            | MultilineTextInput
    )
}

#[test]
fn every_control_has_a_name_of_its_own() {
    let mut wrong = Vec::new();
    for (state, w) in states() {
        for n in w.h.root().children_recursive() {
            let a = n.accesskit_node();
            let nameless = a.label().unwrap_or_default().trim().is_empty();
            if used(a.role()) && a.bounding_box().is_some() && nameless {
                wrong.push(format!("{state}: {:?} without a name at {:?}", a.role(), n.rect()));
            }
        }
        let mut seen: Vec<Named> = Vec::new();
        for n in w.named().into_iter().filter(|n| used(n.role)) {
            let twin = |o: &&Named| (o.role, &o.name, &o.in_named) == (n.role, &n.name, &n.in_named);
            // A step done in pieces is one block a stretch.
            if n.in_named.as_deref() != Some("The room section") && seen.iter().any(|o| twin(&o)) {
                wrong.push(format!("{state}: two of {:?} {} in {:?}", n.role, n.name, n.in_named));
            }
            seen.push(n);
        }
        assert!(seen.len() > 3, "{state}: {seen:?}");
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// What Tab comes to, in its order, until it comes round.
fn tabbed(w: &mut Used) -> Vec<Named> {
    let mut out: Vec<Named> = Vec::new();
    for _ in 0..400 {
        w.h.key_press(Key::Tab);
        w.h.run();
        let all = w.h.root().children_recursive();
        let Some(node) = all.into_iter().find(|n| n.accesskit_node().is_focused()) else { continue };
        let a = node.accesskit_node();
        let named = Named {
            role: a.role(),
            name: a.label().unwrap_or_default(),
            value: String::new(),
            rect: node.rect(),
            enabled: true,
            alone: true,
            in_named: None,
        };
        if out.first().is_some_and(|f| f.name == named.name && f.role == named.role) {
            return out;
        }
        out.push(named);
    }
    panic!("Tab does not come round: {} stops", out.len());
}

/// Whether two things in one column of the window are read the other way round.
fn against_reading(a: &Named, b: &Named) -> bool {
    let beside = a.rect.center().y - b.rect.center().y;
    if beside.abs() < 9.0 {
        a.rect.left() > b.rect.right()
    } else {
        beside > 0.0 && a.rect.left() < b.rect.right() && b.rect.left() < a.rect.right()
    }
}

#[test]
fn tab_goes_as_one_reads() {
    let mut w = Used::open("powder", egui::vec2(1280.0, 4000.0), FEW);
    w.h.run();
    let stops = tabbed(&mut w);
    assert!(stops.len() > 30 && stops.iter().all(|s| !s.name.is_empty()), "{stops:?}");
    let turned: Vec<String> = stops
        .windows(2)
        .filter(|p| against_reading(&p[0], &p[1]))
        .map(|p| format!("{} at {:?} before {} at {:?}", p[0].name, p[0].rect, p[1].name, p[1].rect))
        .collect();
    assert!(turned.is_empty(), "\n{}", turned.join("\n"));
    // Nothing that can be used is passed over, but the parts of the chart, which arrows walk.
    let names: Vec<&str> = stops.iter().map(|s| s.name.as_str()).collect();
    let missed: Vec<String> = w
        .named()
        .into_iter()
        .filter(|n| used(n.role) && n.enabled && n.in_named.as_deref() != Some("The room section"))
        .filter(|n| !names.contains(&n.name.as_str()))
        .map(|n| format!("{:?} {}", n.role, n.name))
        .collect();
    assert!(missed.is_empty(), "\n{}", missed.join("\n"));
}

#[test]
fn a_job_with_nothing_to_do_has_no_date_and_leads_to_its_surfaces() {
    let mut w = small();
    w.key(Command::New);
    enter(&mut w);
    enter(&mut w);
    w.press("nothing yet, surface by surface");
    enter(&mut w);
    enter(&mut w);
    assert!(w.named().iter().any(|n| n.name.starts_with("No date yet: nothing is to be done.")), "{:?}", w.named());
    w.press("To the job");
    for figure in ["likely: ", "safe to promise"] {
        assert!(w.beginning(figure).name.ends_with(": –"), "{}", w.beginning(figure).name);
    }
    assert!(!w.h.state().can(Command::PromiseDay));
    assert!(focused(&w).is_some_and(|f| f.starts_with("part to be added, ")), "{:?}", focused(&w));
}
