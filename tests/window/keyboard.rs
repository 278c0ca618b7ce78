//! The whole of a quote without a mouse, and every kind of action by keys alone: Tab to what has
//! the name, Enter, arrows, and the keys of the commands. Only the last test clicks, and counts it.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use roomback::desk;
use roomback::ui::action::{Action, Command};

use crate::driver::{FEW, SMALL, Used};

fn type_in(w: &mut Used, text: &str) {
    w.type_in(text);
}

fn hit(w: &mut Used, key: Key) {
    w.hit(key);
}

fn focused(w: &Used) -> Option<(Role, String)> {
    w.focused()
}

#[track_caller]
fn tab_to(w: &mut Used, name: &str) {
    w.reach(name);
}

/// Finds a command in the box and does it.
#[track_caller]
fn find(w: &mut Used, command: Command) {
    w.by_keys = true;
    w.menu(command);
}

#[track_caller]
fn write_over(w: &mut Used, field: &str, text: &str) {
    tab_to(w, field);
    w.h.key_press_modifiers(Modifiers::COMMAND, Key::A);
    type_in(w, text);
    hit(w, Key::Enter);
}

#[test]
fn every_command_is_found_by_its_words_and_its_key_is_its_own() {
    let mut keys = Vec::new();
    for command in Command::ALL {
        let key = command.shortcut().map(|k| (k.modifiers, k.logical_key));
        assert!(key.is_none() || !keys.contains(&key), "{command:?} has the key of another");
        keys.push(key);
    }
    let mut w = Used::open("powder", SMALL, FEW);
    for command in Command::ALL.into_iter().filter(|c| *c != Command::Find) {
        // What each does is told in `deeds`; here that the box begins it.
        w.key(Command::Find);
        type_in(&mut w, command.text().trim_end_matches('…'));
        let first = w.named().into_iter().find(|n| n.role == Role::MenuItem).expect("something found");
        assert!(first.name.starts_with(command.text()), "{} for {command:?}", first.name);
        assert_eq!(first.enabled, w.h.state().can(command), "{command:?}");
        hit(&mut w, Key::Escape);
        assert!(!w.has("Find anything to do"));
    }
}

/// What one kind of action is by keys; a new kind does not compile until it is told here.
fn by_keys(action: &Action) {
    let mut w = Used::open("powder", SMALL, FEW);
    let before = w.h.state().job().clone();
    let wait = |w: &mut Used| {
        w.key(Command::FindStep);
        type_in(w, "base");
        hit(w, Key::Enter);
        w.h.key_press_modifiers(Modifiers::ALT, Key::ArrowRight);
        w.rest();
        assert!(w.h.state().session().question().is_some(), "nothing is asked");
    };
    match action {
        Action::Edit(_) => {
            write_over(&mut w, "name, the job", "Cloakroom");
            assert_eq!(w.h.state().job().name, "Cloakroom");
        }
        Action::Ask(_) | Action::DropQuestion => {
            wait(&mut w);
            hit(&mut w, Key::Escape);
            assert!(w.h.state().session().question().is_none() && *w.h.state().job() == before);
        }
        Action::KeepQuestion => {
            wait(&mut w);
            tab_to(&mut w, "Keep waiting");
            hit(&mut w, Key::Enter);
            assert_eq!(w.h.state().job().holds.len(), before.holds.len() + 1);
        }
        Action::Select(_) => {
            tab_to(&mut w, "The room section");
            hit(&mut w, Key::ArrowDown);
            assert!(w.h.state().selected().is_some());
            hit(&mut w, Key::Escape);
            assert!(w.h.state().selected().is_none());
        }
        Action::OpenPath(_) => {
            std::fs::write(w.folder.file("other.ron"), w.folder.read("job.ron")).unwrap();
            w.key(Command::Open);
            let path = w.folder.file("other.ron");
            write_over(&mut w, "Path", &path.display().to_string());
            assert_eq!(w.h.state().session().file, Some(path));
        }
        Action::Do(_) => {
            find(&mut w, Command::LightDark);
            assert!(w.h.state().files().settings.dark);
        }
        Action::FindStep(_) => {
            w.h.key_press(Key::Slash);
            w.h.run();
            type_in(&mut w, "second wall");
            hit(&mut w, Key::Enter);
            assert!(w.h.state().selected().is_some(), "{:?}", w.named());
            assert_eq!(focused(&w).map(|f| f.1).as_deref(), Some("The room section"));
        }
        Action::Room(_) | Action::FindRoom(_) => {
            w.key(Command::Find);
            type_in(&mut w, &before.rooms[0].name);
            let at = w.named().into_iter().filter(|n| n.role == Role::MenuItem);
            let at = at.map(|n| n.name).position(|n| n.ends_with(", room")).expect("the room");
            for _ in 0..at {
                w.h.key_press(Key::ArrowDown);
            }
            hit(&mut w, Key::Enter);
            assert!(w.has("The measure sheet"));
            assert_eq!(
                focused(&w).map(|f| f.0),
                Some(Role::MultilineTextInput),
                "the line of the room has the keyboard"
            );
        }
        Action::Surface(..) => {
            let room = &before.rooms[0];
            w.key(Command::Find);
            type_in(&mut w, "add a surface");
            hit(&mut w, Key::Enter);
            let name = format!("part to be added, {}", room.name);
            assert!(focused(&w).is_some_and(|f| f.1.starts_with(&name)), "{:?}", focused(&w));
            // Enter on a recipe below adds it; the keyboard is at hand for the next surface.
            let many = room.surfaces.len();
            hit(&mut w, Key::Tab);
            hit(&mut w, Key::Enter);
            assert_eq!(w.h.state().job().rooms[0].surfaces.len(), many + 1, "{:?}", focused(&w));
            for (k, s) in room.surfaces.iter().enumerate() {
                w.key(Command::Find);
                type_in(&mut w, &room.name);
                let all: Vec<_> = w.named().into_iter().filter(|n| n.role == Role::MenuItem).collect();
                let its: Vec<usize> = (0..all.len()).filter(|&i| all[i].name.ends_with(", surface")).collect();
                (0..its[k]).for_each(|_| w.h.key_press(Key::ArrowDown));
                hit(&mut w, Key::Enter);
                let at = focused(&w).map(|f| f.1).unwrap_or_default();
                assert!(at.starts_with("part, ") && at.contains(&format!(" of {}", room.name)), "{at} for {}", s.id);
                let node = w.h.root().children_recursive().into_iter().find(|n| n.accesskit_node().is_focused());
                let rect = node.expect("a field").rect();
                assert!(rect.top() >= 0.0 && rect.bottom() <= SMALL.y, "{at} is at {rect:?}");
            }
        }
        Action::AddOwn(_) => {
            w.key(Command::Find);
            type_in(&mut w, "own step");
            hit(&mut w, Key::Enter);
            assert_eq!(w.h.state().job().steps.len(), before.steps.len() + 1);
            assert_eq!(focused(&w).map(|f| f.1).as_deref(), Some("name, step"), "{:?}", w.named());
            // Its name is marked: what is typed takes its place.
            type_in(&mut w, "Mask the rail");
            hit(&mut w, Key::Enter);
            assert_eq!(w.h.state().job().steps.last().map(|s| s.name.as_str()), Some("Mask the rail"));
        }
        Action::StepField(_) => {
            w.key(Command::FindStep);
            type_in(&mut w, "second wall");
            hit(&mut w, Key::Enter);
            let step = w.h.state().selected().map(str::to_string);
            hit(&mut w, Key::Enter);
            let at = focused(&w).expect("a field");
            assert!(at.0 == Role::TextInput && at.1.starts_with("rate low"), "{at:?}");
            for (typed, field) in
                [("rate of", "rate typical"), ("hours of second", "hours typical"), ("product of", "product")]
            {
                w.key(Command::Find);
                type_in(&mut w, typed);
                hit(&mut w, Key::Enter);
                let at = focused(&w).map(|f| f.1).unwrap_or_default();
                assert!(at.starts_with(field), "{at} for {typed}");
            }
            assert_eq!(w.h.state().selected(), step.as_deref());
        }
        Action::Zone(..) => {
            for (typed, first, has) in [
                ("metric", "Lengths in metres, metric, The job", "lengths in, the job: feet and inches"),
                ("lengths", "Lengths in metres, metric, The job", "client, the job"),
                ("the job", "The job, heading", "client, the job"),
                ("house", "The house, heading", "built in, the house"),
                ("recipes", "Rooms, surfaces and recipes, Rooms", "Add a room"),
                ("what may", "What may go wrong, heading", "late starts"),
            ] {
                w.key(Command::Find);
                type_in(&mut w, typed);
                let all: Vec<_> = w.named().into_iter().filter(|n| n.role == Role::MenuItem).map(|n| n.name).collect();
                assert_eq!(all[0], first, "{typed}: {all:?}");
                hit(&mut w, Key::Enter);
                assert!(w.has(has), "{typed}: {:?}", w.named());
                if typed == "metric" {
                    assert_eq!(focused(&w).map(|f| f.1).as_deref(), Some(has), "the field has the keyboard");
                }
            }
        }
        Action::Book(_) => {
            // A rate of a step is changed and kept in the book.
            w.key(Command::FindStep);
            type_in(&mut w, "base");
            hit(&mut w, Key::Enter);
            let ends = |w: &Used, end: &str| {
                w.named().into_iter().find(|n| n.name.contains(end)).map(|n| n.name).unwrap_or_else(|| {
                    panic!("nothing ends in {end}: {:?}", w.named());
                })
            };
            let rate = ends(&w, "typical, ");
            write_over(&mut w, &rate, "0.123");
            let keep = ends(&w, ": keep in my book");
            tab_to(&mut w, &keep);
            hit(&mut w, Key::Enter);
            let book = w.h.state().files().book().expect("a book");
            assert!(std::fs::read_to_string(book).unwrap_or_default().contains("0.123"), "nothing is kept");
        }
        Action::WriteUp(_) => {
            let text = w.folder.read("job.ron");
            let mut w = Used::on_day(&text, &before.start.to_string(), SMALL, FEW);
            find(&mut w, Command::AsPlanned);
            w.rest();
            assert_eq!(w.h.state().job().log.len(), 1);
        }
        Action::Print(paper) => {
            w.key(Command::Find);
            w.type_in(&format!("print the {}", paper.name()));
            hit(&mut w, Key::Enter);
            w.rest();
            assert!(w.has("Print a page") && w.has(paper.about()), "{:?}", w.named());
        }
    }
}

/// The variants of an enum of the window's list of actions, as its source has them.
fn variants(name: &str) -> Vec<String> {
    let source = include_str!("../../src/ui/action.rs");
    let body = source.split_once(&format!("pub enum {name} {{\n")).expect("the enum").1;
    let body = body.split_once("\n}").expect("its end").0;
    let line = |l: &str| l.trim().split(['(', '{', ',']).next().unwrap_or("").trim().to_string();
    body.lines().filter(|l| !l.trim().starts_with("//")).map(line).filter(|v| !v.is_empty()).collect()
}

fn word(of: &impl std::fmt::Debug) -> String {
    format!("{of:?}").split(['(', '{', ' ']).next().unwrap_or("").to_string()
}

#[test]
fn no_command_and_no_action_is_forgotten() {
    let named: Vec<String> = Command::ALL.iter().map(word).collect();
    assert_eq!(named, variants("Command"));
    let mut told: Vec<String> = kinds().iter().map(word).collect();
    let mut all = variants("Action");
    told.sort();
    all.sort();
    assert!(all.len() > 10 && told == all, "{told:?} of {all:?}");
}

/// One action of each kind.
fn kinds() -> Vec<Action> {
    use roomback::ui::session::{AskedBy, WhatIf};
    use roomback::ui::shelf::BookChange;
    let asked = WhatIf { edits: Vec::new(), asked_by: AskedBy::Field(String::new()) };
    vec![
        Action::Edit(Vec::new()),
        Action::Ask(asked),
        Action::DropQuestion,
        Action::KeepQuestion,
        Action::Select(None),
        Action::OpenPath("x".into()),
        Action::Do(Command::LightDark),
        Action::FindStep(String::new()),
        Action::Room(0),
        Action::FindRoom(0),
        Action::Zone(roomback::ui::bench::Zone::Job, ""),
        Action::Surface(0, roomback::ui::bench::Spot::New),
        Action::AddOwn(0),
        Action::StepField(""),
        Action::Book(BookChange::SetAside),
        Action::WriteUp(roomback::desk::write_up::Said::AsPlanned { days: Vec::new(), note: String::new() }),
        Action::Print(roomback::views::papers::Paper::Days),
    ]
}

#[test]
fn every_kind_of_action_is_done_by_keys() {
    for kind in kinds() {
        by_keys(&kind);
    }
}

#[test]
fn a_quote_is_made_without_a_mouse() {
    let mut w = Used::open("powder", SMALL, FEW);
    // A new job: the room, its measures, the work, the days.
    find(&mut w, Command::New);
    for answer in ["Guest room", "12' x 11' x 8', door 32x80, window 36x54", ""] {
        type_in(&mut w, answer);
        hit(&mut w, Key::Enter);
    }
    type_in(&mut w, "1 Mar 2027");
    hit(&mut w, Key::Enter);
    type_in(&mut w, "26 Mar 2027");
    hit(&mut w, Key::Enter);
    hit(&mut w, Key::Enter);
    assert_eq!(w.h.state().job().name, "Guest room");
    // Who works: a second pair of hands.
    find(&mut w, Command::Crew);
    w.rest();
    tab_to(&mut w, "Add somebody");
    hit(&mut w, Key::Enter);
    assert_eq!(w.h.state().job().crew.len(), 2);
    // The room is measured anew, a foot longer, on its line.
    w.key(Command::Measure);
    let line = w
        .named()
        .into_iter()
        .find(|n| matches!(n.role, Role::TextInput | Role::MultilineTextInput) && n.value.starts_with("Guest room"));
    let line = line.unwrap_or_else(|| panic!("no line of the room: {:?}", w.named()));
    write_over(&mut w, &line.name, "Guest room 13' x 11' x 8', door 32x80, window 36x54");
    let feet = |w: &Used| w.h.state().job().rooms[0].size.unwrap().length.feet();
    assert!((feet(&w) - 13.0).abs() < 1e-9, "{}", feet(&w));
    // The order of work, the date, the file.
    w.key(Command::Order);
    assert!(w.beginning("safe to promise").name.contains("Mar") || w.beginning("safe to promise").name.contains("Apr"));
    w.key(Command::SaveAs);
    let path = w.folder.file("guest-room.ron");
    write_over(&mut w, "Path", &path.display().to_string());
    let saved = desk::open(&w.folder.read("guest-room.ron")).expect("a job file");
    let (here, there) = (w.h.state().job(), &saved.read.job);
    assert!(saved.sound.is_some(), "{:?}", saved.read.problems);
    assert_eq!((&there.rooms, &there.target, there.start), (&here.rooms, &here.target, here.start));
    assert_eq!(there.crew.len(), 2);
    assert!(!w.h.state().session().unsaved());
}

#[test]
fn a_measured_room_has_its_date_within_ninety_keys_and_clicks() {
    let mut w = Used::open("powder", SMALL, FEW);
    let (mut spent, mut spent_on) = (0, 0);
    let mut answer = |w: &mut Used, text: &str, counted: bool| {
        type_in(w, text);
        hit(w, Key::Enter);
        spent += 1 + if counted { text.chars().count() } else { 0 };
    };
    w.key(Command::New);
    answer(&mut w, "Study", true);
    // What was measured is his own to write down.
    answer(&mut w, "13' x 11'6 x 8'4, door 32x80 wall 2, 2 windows 36x54, 5 boxes", false);
    let sets = roomback::trade::sets();
    let panelled = sets.iter().position(|s| s.id == "panelled").expect("a panelled room");
    (0..panelled).for_each(|_| hit(&mut w, Key::ArrowDown));
    spent_on += panelled;
    answer(&mut w, "", true);
    answer(&mut w, "1 Mar 2027", true);
    answer(&mut w, "9 Apr 2027", true);
    answer(&mut w, "", true);
    spent += 1;
    assert_eq!(w.h.state().job().rooms[0].surfaces.len(), 12, "{:?}", w.named());
    // The walk-round, one click an answer.
    w.key(Command::Measure);
    for choice in [
        "Which year was the house built? not known",
        "Is it square and plumb? yes",
        "Does a 16 ft stick turn on the stairs? yes",
        "How is it heated? day and night",
        "Who lives there? Noise at which hours? people",
        "Who lives there? Noise at which hours? any hour",
        "On which days can nobody get in? none",
        "Does a helper come? no helper",
        "How far is the job before this one? done",
        "How far is your shop, one way? 20 min",
    ] {
        w.h.get_by_label(choice).scroll_to_me();
        w.rest();
        w.press(choice);
        spent += 1;
    }
    spent += 1 + spent_on;
    let walked = w.beginning("Walk-round").name;
    assert!(!walked.contains("not asked"), "{walked}");
    let safe = w.beginning("safe to promise").name;
    assert!(safe.contains("Apr") || safe.contains("May"), "{safe}");
    assert!(spent <= 90, "{spent}");
}

#[test]
fn a_field_keeps_the_keyboard_and_passes_undo_on_while_nothing_is_typed() {
    let mut w = Used::open("powder", SMALL, FEW);
    let name = w.h.state().job().name.clone();
    write_over(&mut w, "name, the job", "Cloakroom");
    let at = |w: &Used| focused(w).map(|f| f.1).unwrap_or_default();
    assert_eq!(at(&w), "name, the job", "Enter keeps the keyboard");
    w.h.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    w.rest();
    assert_eq!((w.h.state().job().name.clone(), at(&w)), (name.clone(), "name, the job".into()));
    // What is half typed is the field's own to take back.
    type_in(&mut w, "x");
    w.h.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    w.rest();
    assert_eq!(w.h.state().job().name, name);
    hit(&mut w, Key::Escape);
    assert_eq!((w.h.state().job().name.clone(), at(&w)), (name, "name, the job".into()), "Escape keeps it as well");
    tab_to(&mut w, "Crew");
    hit(&mut w, Key::Enter);
    tab_to(&mut w, "Add a helper");
    hit(&mut w, Key::Enter);
    assert_eq!(at(&w), "name, Helper");
    // What Tab comes to is in view.
    for back in [false, true] {
        for _ in 0..25 {
            w.h.key_press_modifiers(if back { Modifiers::SHIFT } else { Modifiers::NONE }, Key::Tab);
            w.h.run();
            let node = w.h.root().children_recursive().into_iter().find(|n| n.accesskit_node().is_focused());
            let Some(rect) = node.map(|n| n.rect()) else { continue };
            assert!(rect.top() >= 0.0 && rect.bottom() <= SMALL.y + 1.0, "{} is at {rect:?}", at(&w));
        }
    }
}
