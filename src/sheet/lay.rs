//! New measures on a room that has surfaces, recipes and ids.

use crate::job::{Opening, Part, Room};

/// What a wall is called, counted from 1: its name in a room with bays (`1a`), else its number.
pub fn label(room: &Room, wall: usize) -> String {
    match wall.checked_sub(1).and_then(|i| room.walls.get(i)) {
        Some(w) if crate::sheet::shape::recognised(&room.walls).is_some() => w.name.clone(),
        _ => wall.to_string(),
    }
}

/// How many walls a room has.
fn walls(room: &Room) -> usize {
    if room.walls.is_empty() && room.size.is_some() { 4 } else { room.walls.len() }
}

/// The walls of `new`, counted from 1, that a wall of `old` has become; none where it is gone.
fn becomes(old: &Room, wall: usize, new: &Room) -> Vec<usize> {
    if wall == 0 || wall > walls(old) {
        return Vec::new();
    }
    let was = label(old, wall);
    let labels: Vec<(usize, String)> = (1..=walls(new)).map(|w| (w, label(new, w))).collect();
    if let Some((w, _)) = labels.iter().find(|l| l.1 == was) {
        return vec![*w];
    }
    // `1` fell into `1a`, `1b` and on, or they came together again.
    labels.iter().filter(|l| side(&l.1) == side(&was)).map(|l| l.0).collect()
}

/// Puts new measures onto a room: its id, place, surfaces and days stay, so do the names of
/// openings and walls that match, and surfaces follow their walls where those are counted
/// anew. A surface keeps the number of a wall that is gone; [`strays`] names it.
pub fn lay(measured: Room, onto: &Room) -> Room {
    let mut out = Room {
        id: onto.id.clone(),
        place: onto.place.clone(),
        surfaces: onto.surfaces.clone(),
        walk_through: onto.walk_through.clone(),
        ..measured
    };
    if out.name.is_empty() || out.name.to_lowercase() == onto.name.to_lowercase() {
        out.name.clone_from(&onto.name);
    }
    if out.walls.len() == onto.walls.len() && out.walls.iter().all(|w| w.name.is_empty()) {
        for (w, old) in out.walls.iter_mut().zip(&onto.walls) {
            w.name.clone_from(&old.name);
        }
    }
    let bare = Room { walls: out.walls.clone(), size: out.size, ..Room::default() };
    for s in &mut out.surfaces {
        if s.walls.is_empty() {
            continue;
        }
        let mut list: Vec<usize> = Vec::new();
        for &w in &s.walls {
            let now = becomes(onto, w, &bare);
            let now = if now.is_empty() { vec![w] } else { now };
            list.extend(now.into_iter().filter(|n| !list.contains(n)).collect::<Vec<_>>());
        }
        s.walls = list;
    }
    let called = |room: &Room| room.openings.iter().map(|o| label(room, o.wall)).collect::<Vec<_>>();
    let (new, old) = (called(&out), called(onto));
    names(&mut out.openings, &new, &onto.openings, &old);
    out
}

/// A wall's side without the letter of its piece.
fn side(label: &str) -> &str {
    label.trim_end_matches(|c: char| c.is_alphabetic())
}

/// Gives openings the names of those they match, each used once: alike in everything first,
/// then of the same size on the same side, of the same size, on the same wall.
fn names(new: &mut [Opening], new_walls: &[String], old: &[Opening], old_walls: &[String]) {
    let mut free: Vec<bool> = vec![true; old.len()];
    let mut open: Vec<bool> = vec![true; new.len()];
    for pass in 0..4 {
        for (i, o) in new.iter_mut().enumerate() {
            let alike = |k: usize| {
                let p = &old[k];
                let size = o.width == p.width && o.height == p.height;
                let same = o.count == p.count && o.sill == p.sill && o.from_corner == p.from_corner;
                let (wall, was) = (&new_walls[i], &old_walls[k]);
                match pass {
                    0 => size && same && wall == was,
                    1 => size && side(wall) == side(was),
                    2 => size,
                    _ => wall == was,
                }
            };
            let found = (0..old.len()).find(|&k| free[k] && old[k].kind == o.kind && alike(k));
            if let (true, Some(k)) = (open[i], found) {
                (open[i], free[k]) = (false, false);
                if o.name.is_empty() {
                    o.name.clone_from(&old[k].name);
                }
            }
        }
    }
}

/// Surfaces on walls the room does not have, each as a question in words.
pub fn strays(room: &Room) -> Vec<String> {
    let n = walls(room);
    let mut out = Vec::new();
    for s in &room.surfaces {
        let gone: Vec<String> = s.walls.iter().filter(|&&w| w == 0 || w > n).map(usize::to_string).collect();
        if gone.is_empty() {
            continue;
        }
        let what = if s.name.is_empty() { &s.id } else { &s.name };
        let what = if what.is_empty() { part(s.part) } else { what };
        let walls = if gone.len() == 1 { "wall" } else { "walls" };
        out.push(format!(
            "\"{what}\" was on {walls} {}, which this room does not have. Where is it now?",
            gone.join(" and ")
        ));
    }
    out
}

fn part(part: Part) -> &'static str {
    match part {
        Part::Walls => "walls",
        Part::Ceiling => "ceiling",
        Part::Crown => "crown",
        Part::Openings => "openings",
        Part::Panels => "panels",
        Part::Base => "base",
        Part::Room => "room",
    }
}
