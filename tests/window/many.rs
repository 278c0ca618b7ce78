//! Many rooms by keyboard, figures explained where they stand, the plan in words, the air.

use egui::accesskit::Role;
use egui::{Event, Key, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use roomback::job::{Job, Person, Place, PlaceKind, Room, Size, Surface};
use roomback::measure::Length;
use roomback::trade::Part;
use roomback::ui::action::Command;

use crate::driver::{FEW, Named, SMALL, Used};

/// Sixty rooms painted once, named by floor and number: `Attic 1` to `Landing 12`.
fn house() -> String {
    let floors = ["Attic", "Bedroom", "Cellar", "Den", "Landing"];
    let ft = Length::from_feet;
    let mut job = Job {
        name: "Sixty rooms".into(),
        crew: vec![Person { id: "ida".into(), name: "Ida".into(), ..Person::default() }],
        ..Job::default()
    };
    for i in 0..60 {
        let id = format!("room-{i}");
        job.places.push(Place { id: id.clone(), name: id.clone(), kind: PlaceKind::Room, ..Place::default() });
        job.rooms.push(Room {
            name: format!("{} {}", floors[i / 12], i % 12 + 1),
            place: id.clone(),
            id,
            size: Some(Size { length: ft(10.0), width: ft(9.0), height: ft(8.0) }),
            surfaces: vec![Surface {
                id: "ceiling".into(),
                part: Part::Ceiling,
                recipe: "ceiling-two-coats".into(),
                ..Surface::default()
            }],
            ..Room::default()
        });
    }
    roomback::jobfile::write(&job)
}

/// The room that has the focus.
fn focused(w: &Used) -> Option<String> {
    let all = w.h.root().children_recursive();
    all.into_iter().find(|n| n.accesskit_node().is_focused()).and_then(|n| n.accesskit_node().label())
}

fn key(w: &mut Used, key: Key) {
    w.h.key_press(key);
    w.rest();
}

fn blocks(w: &Used) -> Vec<Named> {
    w.named().into_iter().filter(|n| n.name.contains(" ceiling coat") && n.name.contains(" to ")).collect()
}

#[test]
fn sixty_rooms_are_walked_opened_and_found_by_keys() {
    let mut w = Used::on(&house(), SMALL, FEW);
    let rooms = w.named().into_iter().filter(|n| n.name.starts_with("Room ")).count();
    assert!(rooms > 8 && rooms < 40, "{rooms} in view");
    w.h.get_by_label("Room Attic 1").focus();
    w.rest();
    for _ in 0..30 {
        key(&mut w, Key::ArrowDown);
    }
    assert_eq!(focused(&w).as_deref(), Some("Room Cellar 7"));
    // What has the focus is in view.
    let row = w.beginning("Room Cellar 7").rect;
    let chart = w.beginning("The room section").rect;
    assert!(chart.contains_rect(row), "{row:?} in {chart:?}");
    key(&mut w, Key::End);
    assert_eq!(focused(&w).as_deref(), Some("Room Landing 12"));
    key(&mut w, Key::Home);
    assert_eq!(focused(&w).as_deref(), Some("Room Attic 1"));
    key(&mut w, Key::PageDown);
    assert_eq!(focused(&w).as_deref(), Some("Room Attic 11"));
    // Letters jump: one to the next of that letter, more to the name that begins so.
    w.h.event(Event::Text("d".into()));
    w.rest();
    assert_eq!(focused(&w).as_deref(), Some("Room Den 1"));
    // After a pause letters begin a new name.
    (0..12).for_each(|_| w.h.step());
    for c in ["l", "a", "n", "d", "i", "n", "g", " ", "1", "1"] {
        w.h.event(Event::Text(c.into()));
        w.h.step();
    }
    w.rest();
    assert_eq!(focused(&w).as_deref(), Some("Room Landing 11"));
    let before = blocks(&w);
    key(&mut w, Key::Enter);
    assert_eq!(focused(&w).as_deref(), Some("Room Landing 11"));
    let node = w.h.get_by_label("Room Landing 11");
    assert_eq!(node.accesskit_node().data().is_expanded(), Some(true));
    let after = blocks(&w);
    assert!(!after.is_empty() && before != after, "{after:?}");
    // One room is open: no more blocks than one room has steps.
    assert!(after.len() < 8, "{after:?}");
}

#[test]
fn figures_of_the_section_are_explained_where_they_stand() {
    let mut w = Used::open("study", SMALL, FEW);
    for (start, why) in [
        ("done by the close of ", "trials of this order are done by the close of that day"),
        ("Band Crown: ", "labor of one person, typical: "),
        ("Clean run: ", "with every step at its typical hours"),
        ("Safe to promise: ", "the first day by whose close 8 in 10"),
    ] {
        let thing = w.named().into_iter().find(|n| n.name.starts_with(start)).expect(start);
        w.click_at(thing.rect.center());
        assert!(w.h.query_by_label_contains(why).is_some(), "{start}: {why}");
        key(&mut w, Key::Escape);
        assert!(w.h.query_by_label_contains(why).is_none(), "{start} stays open");
    }
    let hand = w.named().into_iter().find(|n| n.name.ends_with(" days in hand")).expect("days in hand");
    w.click_at(hand.rect.center());
    assert!(w.h.query_by_label_contains("kept for what goes wrong").is_some());
    key(&mut w, Key::Escape);
    // The sentence of what is selected says how its hours come about.
    let block = w.beginning("hang crown,").name;
    w.press(&block);
    let said =
        w.named().into_iter().find(|n| n.name.starts_with("what is selected: ") || n.name.starts_with("Hang crown · "));
    let said = said.expect("a sentence");
    w.click_at(said.rect.left_center() + vec2(30.0, 0.0));
    assert!(w.h.query_by_label_contains("the clean run of this order").is_some());
}

#[test]
fn the_plan_in_words_is_a_pane_that_leads_to_steps() {
    let mut w = Used::open("powder", SMALL, FEW);
    let chart = w.beginning("The room section").rect;
    w.menu(Command::PlanInWords);
    let less = w.beginning("The room section").rect;
    assert!(less.height() < chart.height() && less.height() > 150.0, "{less:?}");
    assert!(w.named().iter().any(|n| n.role == Role::Heading && n.name.starts_with("What holds the date")));
    w.press("By room");
    let pane = |n: &Named| n.rect.top() > less.bottom() + 80.0 && n.rect.right() <= less.right();
    let mut rows = w.named();
    rows.retain(|n| n.role == Role::Button && pane(n) && n.rect.bottom() < SMALL.y && n.name.contains(", "));
    assert!(rows.len() > 2, "{rows:?}");
    w.click_at(rows[2].rect.center());
    assert!(w.h.state().selected().is_some());
    w.press("Copy the plan in words");
    w.press("Close the plan in words");
    assert_eq!(w.beginning("The room section").rect, chart);
}

#[test]
fn the_air_of_a_place_is_drawn_and_told() {
    let mut w = Used::open("study", SMALL, FEW);
    w.bring(Role::Button, "Air");
    w.press("Air");
    assert!(w.named().iter().any(|n| n.role == Role::Image && n.name == "The week of the study"));
    let night = |w: &Used| w.named().into_iter().find(|n| n.name.starts_with("Tonight, ")).map(|n| n.name);
    let before = night(&w).expect("a night");
    w.press("After, the evening of the air");
    assert_ne!(night(&w), Some(before));
}
