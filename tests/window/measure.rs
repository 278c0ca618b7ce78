//! The measure bench used: lines typed, questions answered, the drawing pulled, and the line
//! and the job say it.

use egui::accesskit::Role;
use egui::{Event, Key, Modifiers, Vec2, vec2};
use egui_kittest::kittest::Queryable as _;
use roomback::job::Room;
use roomback::measure::Length;
use roomback::ui::action::Command;

use crate::driver::{FEW, LARGE, Named, SMALL, Used};

const DEN: &str = r#"(
    format: 1,
    name: "one room",
    start: "2027-03-01",
    crew: [(id: "ilse", name: "Ilse")],
    places: [(id: "den", name: "den", kind: room)],
    rooms: [(
        id: "den", name: "Den", place: "den", size: (length: "12'", width: "10'", height: "8'"),
        openings: [(kind: window, wall: 1, width: "36 in", height: "54 in")],
        surfaces: [(id: "base", part: base, recipe: "base-and-shoe")],
    )],
)
"#;
const LINE: &str = "measures of Den";
const NEXT: &str = "the next room";

/// The measure bench on the den.
fn den(size: Vec2) -> Used {
    let mut w = Used::on(DEN, size, FEW);
    if size == SMALL {
        w.key(Command::Measure);
    }
    w
}

fn rooms(w: &Used) -> Vec<Room> {
    w.h.state().job().rooms.clone()
}

fn length(w: &Used) -> Length {
    rooms(w)[0].size.expect("a rectangle").length
}

fn line(w: &Used, name: &str) -> Named {
    let all = w.named();
    all.into_iter().find(|n| n.name == name && n.role == Role::MultilineTextInput).expect("a line")
}

/// Writes over a line; nothing is entered yet.
fn write(w: &mut Used, name: &str, text: &str) {
    w.h.get_by_role_and_label(Role::MultilineTextInput, name).click();
    w.h.run();
    w.h.key_press_modifiers(Modifiers::COMMAND, Key::A);
    match text {
        "" => w.h.key_press(Key::Delete),
        text => w.h.event(Event::Text(text.to_string())),
    }
    w.rest();
}

fn enter(w: &mut Used) {
    w.h.key_press(Key::Enter);
    w.rest();
}

fn said(w: &Used, words: &str) -> bool {
    w.named().iter().any(|n| n.name.contains(words))
}

/// Whether a question stands on the sheet, which is the left column.
fn asked(w: &Used) -> bool {
    w.named().iter().any(|n| n.name.ends_with('?') && n.rect.right() <= roomback::ui::theme::size::SHEET)
}

/// Drags from a point by so much, in two moves.
fn drag(w: &mut Used, at: egui::Pos2, by: Vec2) {
    w.h.hover_at(at);
    w.h.drag_at(at);
    w.h.run();
    w.h.hover_at(at + by / 2.0);
    w.h.run();
    w.h.hover_at(at + by);
    w.h.run();
}

#[test]
fn a_line_entered_is_a_room_with_its_echo_and_its_drawing() {
    let mut w = den(SMALL);
    write(&mut w, NEXT, "hall 14' x 4' x 8', 2 doors 30x80");
    assert_eq!(rooms(&w).len(), 1, "nothing is entered yet");
    enter(&mut w);
    let all = rooms(&w);
    assert_eq!((all.len(), all[1].size.unwrap().length), (2, Length::from_feet(14.0)));
    assert_eq!(w.h.state().job().places.len(), 2);
    assert!(w.has(&format!("Drawing of {}", all[1].name)));
    // The line stands as it was typed, the next one waits for typing.
    assert_eq!(line(&w, &format!("measures of {}", all[1].name)).value, "hall 14' x 4' x 8', 2 doors 30x80");
    assert_eq!(line(&w, NEXT).value, "");
    w.h.event(Event::Text("bath 8 x 5 x 8".into()));
    w.rest();
    enter(&mut w);
    assert_eq!(rooms(&w).len(), 3);
    // A line in which nothing is typed leaves undo to the job.
    w.key(Command::Undo);
    w.key(Command::Undo);
    assert_eq!(rooms(&w).len(), 1);
}

#[test]
fn a_changed_line_keeps_the_surfaces_and_is_one_undo_entry() {
    let mut w = den(SMALL);
    let before = line(&w, LINE).value;
    write(&mut w, LINE, "Den 13' x 10' x 8', window 36x54");
    enter(&mut w);
    assert_eq!(length(&w), Length::from_feet(13.0));
    assert_eq!(rooms(&w)[0].surfaces.len(), 1);
    w.leave_fields();
    w.key(Command::Undo);
    assert_eq!((length(&w), line(&w, LINE).value), (Length::from_feet(12.0), before));
    assert!(w.h.state().session().undo_words().is_none());
    w.key(Command::Redo);
    assert_eq!(line(&w, LINE).value, "Den 13' x 10' x 8', window 36x54");
}

#[test]
fn escape_takes_the_typing_back() {
    let mut w = den(SMALL);
    let before = line(&w, LINE).value;
    write(&mut w, LINE, "Den 99' x");
    w.h.key_press(Key::Escape);
    w.rest();
    assert_eq!(line(&w, LINE).value, before);
    assert!(w.h.state().session().undo_words().is_none());
}

#[test]
fn what_is_not_understood_is_asked_and_an_offer_answers_it() {
    let mut w = den(SMALL);
    write(&mut w, NEXT, "study 13' x 11'6 x 8'4, dor 32x80");
    assert!(!asked(&w), "no question while it is typed");
    enter(&mut w);
    assert_eq!(rooms(&w).len(), 1);
    assert!(asked(&w), "{:?}", w.named());
    let offer = w.named().into_iter().find(|n| n.role == Role::Button && n.name.contains("door 32x80"));
    let offer = offer.expect("an offer").name;
    w.press(&offer);
    assert_eq!(rooms(&w).len(), 2);
    assert_eq!(rooms(&w)[1].openings.len(), 1);
    assert!(!asked(&w));
}

#[test]
fn a_line_left_with_a_question_keeps_its_words() {
    let mut w = den(SMALL);
    write(&mut w, NEXT, "study 13' x blue");
    w.h.key_press(Key::ArrowUp);
    w.rest();
    assert_eq!(line(&w, NEXT).value, "study 13' x blue");
    assert!(asked(&w) && rooms(&w).len() == 1);
    // The line above has the keyboard.
    w.h.event(Event::Text(", ".into()));
    w.rest();
    assert!(line(&w, LINE).value.ends_with(", "));
}

#[test]
fn a_line_emptied_asks_before_a_room_with_surfaces_goes() {
    let mut w = den(SMALL);
    write(&mut w, LINE, "");
    enter(&mut w);
    assert_eq!(rooms(&w).len(), 1);
    w.press("Leave Den in");
    assert!(!line(&w, LINE).value.is_empty());
    write(&mut w, LINE, "");
    enter(&mut w);
    w.press("Take Den out");
    assert!(rooms(&w).is_empty());
    w.key(Command::Undo);
    assert_eq!(rooms(&w).len(), 1);
}

#[test]
fn a_wall_pulled_on_the_drawing_rewrites_the_line() {
    for size in [SMALL, LARGE] {
        let mut w = den(size);
        let before = line(&w, LINE).value;
        let wall = w.beginning("wall 2 in the plan").rect;
        let hold = wall.center() + vec2(0.0, wall.height() * 0.3);
        drag(&mut w, hold, vec2(30.0, 0.0));
        // Shown at once, in the line too, and the job not touched yet.
        let live = line(&w, LINE).value;
        assert!(live != before && length(&w) == Length::from_feet(12.0));
        assert!(w.h.state().session().question().is_some(), "what it would cost is asked");
        w.h.drop_at(hold + vec2(30.0, 0.0));
        w.rest();
        let longer = length(&w);
        assert!(longer > Length::from_feet(12.2), "{longer}");
        assert_eq!(longer.0 % (Length::INCH / 2), 0, "{longer}");
        assert_eq!(line(&w, LINE).value, live);
        w.key(Command::Undo);
        assert_eq!((length(&w), line(&w, LINE).value), (Length::from_feet(12.0), before));
    }
}

#[test]
fn escape_takes_a_pull_back() {
    let mut w = den(SMALL);
    let hold = w.beginning("window 1 on wall 1, in the plan").rect.center();
    drag(&mut w, hold, vec2(25.0, 0.0));
    assert!(w.h.state().session().question().is_some());
    w.h.key_press(Key::Escape);
    w.h.drop_at(hold + vec2(25.0, 0.0));
    w.rest();
    assert!(w.h.state().session().question().is_none());
    assert_eq!(rooms(&w)[0].openings[0].from_corner, None);
    // The same, let go of.
    drag(&mut w, hold, vec2(25.0, 0.0));
    w.h.drop_at(hold + vec2(25.0, 0.0));
    w.rest();
    let from = rooms(&w)[0].openings[0].from_corner.expect("a place of its own");
    assert!(from > Length::from_feet(4.5), "{from}");
}

#[test]
fn a_measure_is_clicked_and_typed_over() {
    let mut w = den(SMALL);
    w.press("length of wall 1: 12'");
    let field = "length of wall 1, Den";
    w.write(field, "twelve");
    assert!(said(&w, "write it like 11'6"));
    w.write(field, "12'6");
    assert_eq!(length(&w), Length::from_feet(12.5));
    assert!(!w.has(field));
}

#[test]
fn the_drawing_is_walked_and_changed_by_keys() {
    let mut w = den(SMALL);
    let at = w.beginning("Drawing of Den").rect.left_top() + vec2(4.0, 4.0);
    w.click_at(at);
    let key = |w: &mut Used, m, k| {
        w.h.key_press_modifiers(m, k);
        w.rest();
    };
    key(&mut w, Modifiers::NONE, Key::ArrowRight);
    key(&mut w, Modifiers::ALT, Key::ArrowRight);
    assert_eq!(length(&w), Length::from_inches(144.5));
    key(&mut w, Modifiers::NONE, Key::ArrowDown);
    key(&mut w, Modifiers::ALT, Key::ArrowLeft);
    assert!(rooms(&w)[0].openings[0].from_corner.is_some());
    // Enter types its first measure, Tab goes on to the next.
    key(&mut w, Modifiers::NONE, Key::Enter);
    w.h.event(Event::Text("24".into()));
    key(&mut w, Modifiers::NONE, Key::Tab);
    w.h.event(Event::Text("40".into()));
    key(&mut w, Modifiers::NONE, Key::Enter);
    let o = rooms(&w)[0].openings[0].clone();
    assert_eq!((o.from_corner, o.width), (Some(Length::from_inches(24.0)), Length::from_inches(40.0)));
    key(&mut w, Modifiers::NONE, Key::Delete);
    assert!(rooms(&w)[0].openings.is_empty());
    w.press("Add a door to wall 1, Den");
    assert_eq!(rooms(&w)[0].openings.len(), 1);
}

#[test]
fn side_by_side_the_column_is_about_what_was_last_touched() {
    let mut w = den(LARGE);
    assert!(w.has("The room section") && w.has("Drawing of Den"));
    assert!(w.has("The job") && !w.has("The house"));
    w.press("wall 2 from inside: 10' by 8'");
    assert!(w.has("The house") && !w.has("The job"));
    let in_chart = |n: &Named| {
        n.in_named.as_deref() == Some("The room section") && n.name.contains(" to ") && !n.name.starts_with("Safe")
    };
    let block = w.named().into_iter().find(in_chart).unwrap();
    w.click_at(block.rect.center());
    assert!(w.has("The job") && !w.has("The house"));
}

#[test]
fn the_bench_is_remembered() {
    let mut w = den(SMALL);
    assert!(w.has("The measure sheet"));
    w.h.state_mut().ended();
    let folder = std::mem::replace(&mut w.folder, Used::on(DEN, SMALL, FEW).folder);
    let w = Used::of(folder, SMALL, FEW);
    assert!(w.has("The measure sheet"));
}
