//! New measures on a room that has names, surfaces and days.

use roomback::job::{Part, Room, Surface, Units, Window};
use roomback::sheet::{
    doubts, keep_walls, label, lay, read, read_walls, strays, walls_field, without_stale_letters, write,
};

fn room(line: &str) -> Room {
    let got = read(line, Units::FeetInches);
    got.room.unwrap_or_else(|| panic!("{line}: {:?}", got.questions))
}

/// A study with panels on two walls and names of its own.
fn study() -> Room {
    let mut r = room("study 13 x 11'6 x 8'4, door 32x80 wall 2, window 36x54 wall 1, window 36x54 wall 3");
    r.id = "study".into();
    r.place = "upstairs".into();
    r.openings[0].name = "to the hall".into();
    r.openings[2].name = "garden side".into();
    let surface = |id: &str, part, walls: &[usize]| Surface {
        id: id.into(),
        part,
        recipe: "any".into(),
        walls: walls.to_vec(),
        ..Surface::default()
    };
    r.surfaces = vec![surface("panels", Part::Panels, &[1, 3]), surface("base", Part::Base, &[])];
    r.walk_through = vec![Window { days: Vec::new(), date: None, ..Window::default() }];
    r
}

#[test]
fn nothing_but_the_measures_changes() {
    let old = study();
    let new =
        lay(room("STUDY 14 x 12 x 8, door 32x80 wall 2, window 36x54 wall 1, window 36x60 wall 3, 3 boxes"), &old);
    assert_eq!((&new.id, &new.place, &new.name), (&old.id, &old.place, &old.name));
    assert_eq!((&new.surfaces, &new.walk_through), (&old.surfaces, &old.walk_through));
    let names: Vec<&str> = new.openings.iter().map(|o| o.name.as_str()).collect();
    assert_eq!(names, ["to the hall", "", "garden side"]);
    assert_eq!(new.size.unwrap().length.feet(), 14.0);
    assert!(strays(&new).is_empty());
    // Its own line changes nothing.
    assert_eq!(lay(room(&write(&old, Units::FeetInches)), &old), old);
}

#[test]
fn a_name_follows_its_opening_through_an_order_and_a_size() {
    let old = study();
    let new = lay(room("study 13 x 11'6 x 8'4, window 36x54 wall 3, door 30x80 wall 2, window 36x54 wall 1"), &old);
    let names: Vec<&str> = new.openings.iter().map(|o| o.name.as_str()).collect();
    assert_eq!(names, ["garden side", "to the hall", ""]);
    let new = lay(room("study 13 x 11'6 x 8'4, 2 windows 24x36 wall 4"), &old);
    assert_eq!(new.openings[0].name, "");
}

#[test]
fn surfaces_follow_their_walls_round_a_bay_and_back() {
    let old = study();
    let bay = lay(room("study 13 x 11'6 x 8'4, bay 6 x 2 on wall 1, door 32x80 wall 2"), &old);
    assert_eq!(bay.surfaces[0].walls, [1, 2, 3, 4, 5, 7]);
    assert_eq!((label(&bay, 3), label(&bay, 7), label(&old, 3)), ("1c".into(), "3".into(), "3".into()));
    assert!(strays(&bay).is_empty());
    let windows = "study 13 x 11'6 x 8'4, bay 6 x 2 on wall 1, window 36x54 wall 3, window 36x54 wall 1a";
    let names: Vec<String> = lay(room(windows), &old).openings.into_iter().map(|o| o.name).collect();
    assert_eq!(names, ["garden side", ""]);
    let back = lay(room("study 13 x 11'6 x 8'4, door 32x80 wall 2"), &bay);
    assert_eq!(back.surfaces[0].walls, [1, 3]);
}

#[test]
fn a_surface_on_a_wall_that_is_gone_is_asked_about_and_kept() {
    let mut old = room("hall walls 12', 6', 5' out, 4', 7', 10', high 8'");
    old.surfaces = vec![Surface { id: "wainscot".into(), walls: vec![2, 5, 6], ..Surface::default() }];
    let new = lay(room("hall 12 x 10 x 8"), &old);
    assert_eq!(new.surfaces[0].walls, [2, 5, 6]);
    assert_eq!(strays(&new), ["\"wainscot\" was on walls 5 and 6, which this room does not have. Where is it now?"]);
}

#[test]
fn names_of_walls_stay_where_the_walls_do() {
    let mut old = room("hall walls 12', 6', 5' out, 4', 7', 10', high 8'");
    old.walls[1].name = "stair side".into();
    let new = lay(room("hall walls 12', 7', 5' out, 4', 7', 11', high 8'"), &old);
    assert_eq!(new.walls[1].name, "stair side");
    assert_eq!(lay(room(&write(&old, Units::FeetInches)), &old), old);
}

#[test]
fn a_surface_keeps_its_wall_when_one_more_is_measured_or_is_asked_about() {
    let on = |walls: &[usize]| Surface { id: "wainscot".into(), walls: walls.to_vec(), ..Surface::default() };
    let mut old = room("hall walls 12', 6', 5' out, 4', 7', 10', high 8'");
    old.surfaces = vec![on(&[5, 6]), on(&[1])];
    // A niche in the first wall puts four corners before the others.
    let niche = room("hall walls 5' out, 1', 2', 1' out, 5', 6', 5' out, 4', 7'2, 10', high 8', as measured");
    let new = lay(niche.clone(), &old);
    assert_eq!(new.surfaces[0].walls, [9, 10], "found again, an inch or two off");
    // The first wall is in pieces: nobody can tell.
    assert_eq!(new.surfaces[1].walls, [1]);
    let asked = doubts(&old, &new);
    let words = "\"wainscot\" was on wall 1 of 6; the room has 10 walls now. Where is it?";
    assert_eq!(asked.iter().map(|d| d.ask.as_str()).collect::<Vec<_>>(), [words]);
    // And back.
    let mut old = niche;
    old.surfaces = vec![on(&[6, 7]), on(&[2])];
    let new = lay(room("hall walls 12', 6', 5' out, 4', 7', 10', high 8'"), &old);
    assert_eq!(new.surfaces[0].walls, [2, 3]);
    let asked = doubts(&old, &new);
    assert!(asked.len() == 1 && asked[0].ask.contains("wall 2 of 10"), "{asked:?}");
    // As many walls as before keep their numbers, and nothing is asked.
    let mut old = room("hall walls 12', 6', 5' out, 4', 7', 10', high 8'");
    old.surfaces = vec![on(&[5])];
    let new = lay(room("hall walls 13', 6', 6' out, 4', 7', 10', high 8'"), &old);
    assert!(new.surfaces[0].walls == [5] && doubts(&old, &new).is_empty());
}

#[test]
fn what_is_added_to_a_line_moves_nothing_that_stands() {
    let old = room("study 14'2 x 12'6 x 8'9, window 30x62 wall 2");
    let line = "study 14'2 x 12'6 x 8'9, window 30x62, door 30x80 wall 2";
    let got = read(line, Units::FeetInches);
    let mut new = got.room.expect("a room");
    assert_eq!(got.placed, [false, true]);
    keep_walls(&mut new, &got.placed, &old);
    assert_eq!(new.openings.iter().map(|o| o.wall).collect::<Vec<_>>(), [2, 2]);
    assert!(write(&new, Units::FeetInches).contains("window 30x62 wall 2"), "{}", write(&new, Units::FeetInches));
    // What is said wins.
    let got = read("study 14'2 x 12'6 x 8'9, window 30x62 wall 4", Units::FeetInches);
    let mut new = got.room.expect("a room");
    assert!(!keep_walls(&mut new, &got.placed, &old) && new.openings[0].wall == 4);
}

#[test]
fn a_bay_changed_on_the_drawing_stays_a_bay() {
    use roomback::measure::Length;
    use roomback::sheet::{lengthened, moved_out};
    let bay = room("dining 14'2 x 12'6 x 8'9, bay 8'6 x 1'9 on wall 1, door 36x80 wall 3");
    let inches = |r: &Room, w: usize| r.walls[w].length.feet() * 12.0;
    // Front, side and the wall before it: 1c, 1b, 1a.
    let feet = Units::FeetInches;
    let front = lengthened(&bay, feet, 2, Length::from_inches(64.0)).expect("a bay");
    assert!((inches(&front, 2) - 64.0).abs() < 0.02 && inches(&front, 5) == inches(&bay, 5));
    let side = lengthened(&bay, feet, 1, Length::from_inches(32.0)).expect("a bay");
    assert!((inches(&side, 1) - 32.0).abs() < 0.02 && (inches(&side, 3) - 32.0).abs() < 0.02);
    let along = lengthened(&bay, feet, 0, Length::from_inches(40.0)).expect("a bay");
    assert!((inches(&along, 0) - 40.0).abs() < 0.02 && inches(&along, 2) == inches(&bay, 2));
    let out = moved_out(&bay, feet, 2, Length::from_inches(3.0)).expect("a bay");
    for r in [&front, &side, &along, &out] {
        let line = write(r, feet);
        assert!(line.contains("bay ") && !line.contains("mm") && !line.contains("walls "), "{line}");
        assert_eq!(room(&line).walls, r.walls, "{line}");
    }
    assert!(write(&out, feet).contains("bay 8'6 x 2' on wall 1"), "{}", write(&out, feet));
    // A side longer than the bay is wide is no bay.
    assert_eq!(lengthened(&bay, feet, 1, Length::from_inches(90.0)), None);
}

#[test]
fn walls_are_typed_by_what_they_are_called() {
    let bay = room("study 13 x 11'6 x 8'4, bay 6 x 2 on wall 1, door 32x80 wall 2");
    assert_eq!(walls_field(&bay, &[1, 3, 7]), "1a 1c 3");
    assert_eq!(read_walls(&bay, "1a, 1c 3"), Ok(vec![1, 3, 7]));
    assert_eq!(read_walls(&bay, "1 1a"), Ok(vec![1, 2, 3, 4, 5]), "all pieces of the side");
    let said = read_walls(&bay, "5").unwrap_err();
    assert!(said.contains("no wall 5") && said.contains("1a 1b 1c 1d 1e 2 3 4"), "{said}");
    // A bay pulled out of shape is counted, in the take-off as on the drawing.
    let mut pulled = bay;
    pulled.walls[1].height = roomback::measure::Length::from_feet(7.0);
    let pulled = without_stale_letters(pulled);
    assert_eq!(walls_field(&pulled, &[1, 3]), "1 3");
    let outline = roomback::takeoff::Outline::of(&pulled, "", &mut Vec::new());
    assert_eq!((outline.called(2), label(&pulled, 3)), ("3".into(), "3".into()));
}

#[test]
fn the_bay_that_reaches_through_a_wall_is_the_one_asked_about() {
    let line = "study 13 x 11'6 x 8'4, bay 6 x 2 on wall 1, chimney breast 5 x 13 on wall 3, as measured";
    let got = read(line, Units::FeetInches);
    let q = got.questions.first().unwrap_or_else(|| panic!("{got:?}"));
    assert!(q.at.start > line.find("chimney").unwrap(), "{q:?}");
}
