//! New measures on a room that has names, surfaces and days.

use roomback::job::{Part, Room, Surface, Units, Window};
use roomback::sheet::{label, lay, read, strays, write};

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
