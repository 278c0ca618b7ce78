//! A drawing as text, and what pulls and typed measures make of a room.

use super::change::{New, added, pulled, typed, without};
use super::*;
use crate::job::{Boxes, Opening, Size, Wall};

fn opening(kind: OpeningKind, wall: usize, inches: (f64, f64), count: u32) -> Opening {
    let (width, height) = (Length::from_inches(inches.0), Length::from_inches(inches.1));
    let (sill, from_corner, casing) = (None, None, None);
    Opening { kind, name: String::new(), wall, width, height, sill, from_corner, casing, count }
}

fn den() -> Room {
    let feet = Length::from_feet;
    Room {
        name: "Den".into(),
        size: Some(Size { length: feet(12.0), width: feet(10.0), height: feet(8.0) }),
        openings: vec![
            opening(OpeningKind::Door, 2, (30.0, 80.0), 1),
            opening(OpeningKind::Window, 1, (36.0, 54.0), 2),
        ],
        boxes: vec![Boxes { wall: 3, count: 2 }],
        ..Room::default()
    }
}

/// A square of 10 with the corner between walls 1 and 2 cut at 45 degrees.
fn cut() -> Room {
    let wall = |feet: f64, turn: f64| Wall {
        name: String::new(),
        length: Length::from_feet(feet),
        height: Length::from_feet(8.0),
        turn,
    };
    let walls = vec![wall(8.0, 45.0), wall(libm::sqrt(8.0), 45.0), wall(8.0, 90.0), wall(10.0, 90.0), wall(10.0, 90.0)];
    Room { walls, ..Room::default() }
}

fn draw(room: &Room, width: f32, height: f32, chosen: Option<Part>) -> Drawing {
    drawing(room, &Ask { width, height, units: Units::FeetInches, chosen })
}

/// What answers, with the left, top, width and height of it.
fn list(d: &Drawing) -> String {
    let line = |h: &Hit| {
        let a = h.area();
        format!("{:.0} {:.0} {:.0} {:.0} {}\n", a.x, a.y, a.w, a.h, h.name)
    };
    d.hits.iter().map(line).collect()
}

fn area(d: &Drawing, of: Target, nth: usize) -> Area {
    d.hits.iter().filter(|h| h.of == of).nth(nth).expect("it is drawn").area()
}

#[test]
fn the_den_as_it_is_drawn() {
    let d = draw(&den(), 520.0, 600.0, Some(Part::Opening(0, 0)));
    assert_eq!(list(&d), include_str!("den.txt"), "{}", list(&d));
    assert_eq!(d.wrong, None);
}

#[test]
fn everything_is_to_one_scale_and_on_the_paper() {
    for (room, width, height) in
        [(den(), 520.0, 600.0), (den(), 300.0, 900.0), (cut(), 900.0, 400.0), (cut(), 400.0, 500.0)]
    {
        let d = draw(&room, width, height, Some(Part::Wall(0)));
        let paper = Area::new(0.0, 0.0, width, height);
        for m in &d.marks {
            let points = match m {
                Mark::Area { points, .. } | Mark::Line { points, .. } => points.clone(),
                Mark::Text { at, .. } => vec![*at],
            };
            assert!(paper.contains(&around(&points)), "{m:?}");
        }
        let run = Run::of(&room);
        // From inside: as wide as the wall is long, as high as it is high.
        let whole = |w| area(&d, Target::Part(Part::Wall(w)), 0);
        for w in 1..run.walls.len() {
            let want = run.walls[w].length.feet() / run.walls[0].length.feet();
            assert!((f64::from(whole(w).w / whole(0).w) - want).abs() < 1e-3);
            let up = run.walls[w].height.feet() / run.walls[w].length.feet();
            assert!((f64::from(whole(w).h / whole(w).w) - up).abs() < 1e-3);
        }
    }
}

#[test]
fn the_first_wall_lies_on_top_and_the_run_goes_round_clockwise() {
    let d = draw(&cut(), 520.0, 600.0, None);
    let middle = |w| {
        let a = area(&d, Target::Wall(w), 0);
        (a.x + a.w / 2.0, a.y + a.h / 2.0)
    };
    assert!(middle(0).1 < middle(2).1 && middle(2).0 > middle(4).0 && middle(3).1 > middle(2).1);
    // The cut runs down to the right at 45 degrees.
    let cut = d.hits.iter().find(|h| h.of == Target::Wall(1)).unwrap();
    let (dx, dy) = (cut.at[1].x - cut.at[0].x, cut.at[1].y - cut.at[0].y);
    assert!(dx > 5.0 && (dx - dy).abs() < 0.01, "{dx} {dy}");
    // It is hit where it lies, not beside it in the rectangle round it.
    let a = cut.area();
    assert!(
        cut.holds(Pos { x: a.x + a.w / 2.0, y: a.y + a.h / 2.0 })
            && !cut.holds(Pos { x: a.x + 1.0, y: a.bottom() - 1.0 })
    );
}

#[test]
fn nothing_is_drawn_of_nothing() {
    assert_eq!(draw(&Room::default(), 500.0, 500.0, None), Drawing::default());
    assert_eq!(draw(&den(), 20.0, 500.0, None), Drawing::default());
    let vast = Length::from_feet(1e6);
    let room = Room { size: Some(Size { length: vast, width: vast, height: vast }), ..den() };
    assert_eq!(draw(&room, 500.0, 500.0, None), Drawing::default());
}

#[test]
fn a_wall_pulled_stands_on_half_inches_and_the_room_stays_a_rectangle() {
    let u = Units::FeetInches;
    let size = |r: &Room| r.size.map(|s| (s.length.to_string(), s.width.to_string()));
    let (room, _) = pulled(&den(), u, Target::Wall(1), 0.51).unwrap();
    assert_eq!(size(&room), Some(("12' 6\"".into(), "10'".into())));
    let (room, _) = pulled(&den(), u, Target::Wall(0), -1.0 / 24.0).unwrap();
    assert_eq!(size(&room), Some(("12'".into(), "9' 11-1/2\"".into())));
    let (room, _) = pulled(&den(), u, Target::End(3), 1.0).unwrap();
    assert_eq!(size(&room), Some(("12'".into(), "11'".into())));
    let (room, _) = pulled(&den(), Units::Metric, Target::End(0), 0.0).unwrap();
    assert_eq!(room.size.unwrap().length.print(crate::measure::Style::Metric), "3.660 m");
    assert!(pulled(&den(), u, Target::Wall(1), -12.0).is_none());
    let (room, _) = pulled(&den(), u, Target::Ceiling(2), 0.5).unwrap();
    assert_eq!(room.size.unwrap().height, Length::from_feet(8.5));
}

#[test]
fn one_of_two_windows_pulled_is_one_of_its_own() {
    let before = draw(&den(), 520.0, 600.0, None);
    let second = Target::Part(Part::Opening(1, 1));
    let (room, of) = pulled(&den(), Units::FeetInches, second, 0.5).unwrap();
    assert_eq!(of, Target::Part(Part::Opening(2, 0)));
    assert_eq!(room.openings.len(), 3);
    assert_eq!(room.openings[1].count, 1);
    // Two windows of 3 ft on 12 ft leave three gaps of 2 ft.
    assert_eq!(room.openings[1].from_corner, Some(Length::from_feet(2.0)));
    assert_eq!(room.openings[2].from_corner, Some(Length::from_feet(7.5)));
    let after = draw(&room, 520.0, 600.0, None);
    let first = |d: &Drawing| area(d, Target::Part(Part::Opening(1, 0)), 0);
    assert_eq!(first(&before), first(&after), "the other stays where it is drawn");
    // No further than the corner.
    let (room, _) = pulled(&den(), Units::FeetInches, second, 50.0).unwrap();
    assert_eq!(room.openings[2].from_corner, Some(Length::from_feet(9.0)));
}

#[test]
fn an_opening_pulled_stops_at_its_neighbours_corner_and_ceiling() {
    let u = Units::FeetInches;
    let feet = Length::from_feet;
    let mut room = den();
    room.openings[1] = Opening { from_corner: Some(feet(1.0)), count: 1, ..room.openings[1].clone() };
    room.openings.push(Opening { from_corner: Some(feet(6.0)), ..opening(OpeningKind::Cased, 1, (48.0, 80.0), 1) });
    let window = Part::Opening(1, 0);
    let at = |by: f64| pulled(&room, u, Target::Part(window), by).unwrap().0.openings[1].from_corner;
    // A window of 3 ft before an opening at 6 ft.
    assert_eq!((at(1.0), at(50.0), at(-50.0)), (Some(feet(2.0)), Some(feet(3.0)), Some(Length::ZERO)));
    let edge = |o, e, by| pulled(&room, u, Target::Edge(o, 0, e), by).unwrap().0.openings[o].clone();
    assert_eq!(edge(1, Edge::Far, 50.0).width, feet(5.0));
    let wide = edge(2, Edge::Near, -50.0);
    assert_eq!((wide.width, wide.from_corner), (feet(6.0), Some(feet(4.0))));
    assert_eq!(edge(2, Edge::Far, 50.0).width, feet(6.0));
    assert_eq!(edge(2, Edge::Head, 50.0).height, feet(8.0));
    // A wall or a ceiling is not pulled through what stands on it.
    assert!(pulled(&room, u, Target::End(0), -3.0).is_none() && pulled(&room, u, Target::End(0), -1.0).is_some());
    assert!(pulled(&room, u, Target::Ceiling(0), -2.0).is_none());
    // Nor is a place typed that another has.
    let wrong = typed(&room, Units::FeetInches, Dim::From(1, 0), feet(4.0)).unwrap_err();
    assert!(wrong.contains("stands there, from 6' to 10'"), "{wrong}");
}

#[test]
fn edges_pulled_change_all_alike() {
    let u = Units::FeetInches;
    let edge = |e, feet| pulled(&den(), u, Target::Edge(1, 0, e), feet).unwrap().0.openings[1].clone();
    let inches = |o: &Opening| (o.width.inches(), o.height.inches(), o.sill.map(Length::inches), o.count);
    assert_eq!(inches(&edge(Edge::Far, 0.5)), (42.0, 54.0, None, 2));
    assert_eq!(inches(&edge(Edge::Near, 0.5)), (30.0, 54.0, None, 2));
    assert_eq!(inches(&edge(Edge::Head, -0.25)), (36.0, 51.0, None, 2));
    // Without a sill of its own the head is at 80 in; it stays there.
    assert_eq!(inches(&edge(Edge::Sill, 0.5)), (36.0, 48.0, Some(32.0), 2));
    assert_eq!(inches(&edge(Edge::Far, -9.0)).0, 4.0);
}

#[test]
fn a_measure_typed_is_that_measure() {
    let feet = Length::from_feet;
    let (room, _) = typed(&den(), Units::FeetInches, Dim::Length(3), feet(9.0)).unwrap();
    assert_eq!(room.size.unwrap().width, feet(9.0));
    let (room, part) = typed(&den(), Units::FeetInches, Dim::From(0, 0), feet(1.0)).unwrap();
    assert_eq!((room.openings[0].from_corner, part), (Some(feet(1.0)), Some(Part::Opening(0, 0))));
    assert!(typed(&den(), Units::FeetInches, Dim::From(0, 0), feet(8.0)).unwrap_err().contains("7' 6\" is the most"));
    assert!(typed(&den(), Units::FeetInches, Dim::Width(0, 0), Length::ZERO).is_err());
    assert!(typed(&den(), Units::FeetInches, Dim::Height(9), feet(8.0)).is_err());
    let (room, _) = typed(&cut(), Units::FeetInches, Dim::Length(0), feet(9.0)).unwrap();
    // As near as a line of sixteenths writes it.
    assert!(Run::of(&room).gap() < 1.0 / 12.0 / 16.0, "{:?}", room.walls);
}

#[test]
fn where_both_have_no_room_the_plan_is_drawn_or_the_walls_with_what_is_chosen() {
    let of = |height: f32, chosen| {
        let d = draw(&den(), 300.0, height, chosen);
        let has = |of: Target| d.hits.iter().any(|h| h.of == of);
        (has(Target::Wall(0)), has(Target::Ceiling(0)))
    };
    assert_eq!(of(400.0, None), (true, true));
    assert_eq!(of(160.0, None), (true, false));
    assert_eq!(of(160.0, Some(Part::Opening(0, 0))), (false, true));
}

#[test]
fn what_is_clear_beside_an_opening_is_drawn_and_typed() {
    let u = Units::FeetInches;
    let feet = Length::from_feet;
    let mut room = den();
    // On a wall of 12 ft a window of 3 ft from 1 ft on, and one of 3 ft from 6 ft on.
    room.openings[1] = Opening { from_corner: Some(feet(1.0)), count: 1, ..room.openings[1].clone() };
    room.openings.push(Opening { from_corner: Some(feet(6.0)), ..room.openings[1].clone() });
    let said = |room: &Room, part: Part, word: &str| -> Option<String> {
        let d = draw(room, 520.0, 600.0, Some(part));
        d.hits.iter().find(|h| h.name.starts_with(word)).and_then(|h| h.name.rsplit_once(": ")).map(|x| x.1.to_string())
    };
    let (first, second) = (Part::Opening(1, 0), Part::Opening(2, 0));
    assert_eq!((said(&room, first, "clear before"), said(&room, first, "clear behind")), (None, Some("2'".into())));
    assert_eq!(said(&room, second, "clear before"), Some("2'".into()));
    assert_eq!(said(&room, second, "clear behind"), Some("3'".into()));
    let at = |dim, to| typed(&room, u, dim, feet(to)).map(|x| x.0.openings[2].from_corner);
    assert_eq!(at(Dim::Before(2, 0), 1.0), Ok(Some(feet(5.0))));
    assert_eq!(at(Dim::Behind(2, 0), 0.5), Ok(Some(feet(8.5))));
    assert!(at(Dim::Before(2, 0), 6.0).unwrap_err().contains("5'"));
}

#[test]
fn openings_and_boxes_are_added_and_taken_out() {
    let u = Units::FeetInches;
    let (room, part) = added(&den(), u, 2, New::Opening(OpeningKind::Window));
    assert_eq!((room.openings[2].wall, part), (3, Part::Opening(2, 0)));
    assert_eq!(without(&room, part).unwrap(), den());
    let (room, part) = added(&den(), u, 2, New::Box);
    assert_eq!((room.boxes[0].count, part), (3, Part::Boxes(2)));
    let (room, _) = added(&room, u, 0, New::Box);
    assert_eq!(room.boxes.len(), 2);
    assert_eq!(without(&room, Part::Boxes(0)).unwrap().boxes.len(), 1);
    assert_eq!(without(&den(), Part::Opening(1, 1)).unwrap().openings[1].count, 1);
    assert!(without(&den(), Part::Wall(0)).is_none());
}

#[test]
fn the_keyboard_walks_every_part() {
    let all: Vec<String> = parts(&den()).into_iter().map(|p| name(&den(), p)).collect();
    let want = [
        "wall 1",
        "window 1 on wall 1",
        "window 2 on wall 1",
        "wall 2",
        "door 1 on wall 2",
        "wall 3",
        "boxes on wall 3",
        "wall 4",
    ];
    assert_eq!(all, want);
}
