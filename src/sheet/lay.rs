//! New measures on a room that has surfaces, recipes and ids.

use crate::job::{Opening, Part, Room, Wall};
use crate::takeoff::Outline;

/// Two walls measured twice are the same where they differ by no more than this: feet, or a share of their length.
const ALIKE: (f64, f64) = (0.5, 0.05);

/// What a wall is called, counted from 1: its name in a room with bays (`1a`), else its number.
pub fn label(room: &Room, wall: usize) -> String {
    match wall.checked_sub(1).and_then(|i| room.walls.get(i)) {
        Some(w) if crate::sheet::shape::recognised(&room.walls).is_some() => w.name.clone(),
        _ => wall.to_string(),
    }
}

/// The room without the letters of a bay (`1a`) on its walls, where its walls are no rectangle with bays any more:
/// they are counted then, everywhere alike. Names of its own stay.
pub fn without_stale_letters(mut room: Room) -> Room {
    let lettered = |name: &str| {
        let mut c = name.chars();
        c.next().is_some_and(|d| ('1'..='4').contains(&d)) && c.all(|l| l.is_ascii_lowercase()) && name.len() <= 2
    };
    let stale = !room.walls.is_empty() && room.walls.iter().all(|w| lettered(&w.name));
    if stale && crate::sheet::shape::recognised(&room.walls).is_none() {
        room.walls.iter_mut().for_each(|w| w.name.clear());
    }
    room
}

/// Walls as a field holds them, by what they are called: `1a 3`.
pub fn walls_field(room: &Room, list: &[usize]) -> String {
    list.iter().map(|&w| label(room, w)).collect::<Vec<_>>().join(" ")
}

/// Walls typed by what they are called; `1` in a room with a bay there means all pieces of that side.
///
/// # Errors
/// A wall the room has not, with those it has.
pub fn read_walls(room: &Room, text: &str) -> Result<Vec<usize>, String> {
    let labels: Vec<String> = (1..=walls(room)).map(|w| label(room, w)).collect();
    let mut out: Vec<usize> = Vec::new();
    for word in text.split([' ', ',', ';']).filter(|w| !w.is_empty()) {
        let exact = labels.iter().position(|l| l == word).map(|i| vec![i + 1]);
        let pieces = || (1..=labels.len()).filter(|&w| side(&labels[w - 1]) == word).collect::<Vec<_>>();
        let found = exact.unwrap_or_else(pieces);
        if found.is_empty() {
            return Err(format!("there is no wall {word} here; the walls are {}", labels.join(" ")));
        }
        out.extend(found.into_iter().filter(|w| !out.contains(w)).collect::<Vec<_>>());
    }
    Ok(out)
}

/// The walls of a run as they are drawn, those of a rectangle too.
fn run(room: &Room) -> Vec<Wall> {
    Outline::of(room, "", &mut Vec::new()).walls
}

/// For each wall of one run (indices) the one of another it surely is: in every longest matching of the two, wall by
/// wall in their order, it is matched with that one and no other.
fn surely(old: &[Wall], new: &[Wall]) -> Vec<Option<usize>> {
    let alike = |a: &Wall, b: &Wall| {
        let off = (a.length.feet() - b.length.feet()).abs();
        (a.turn - b.turn).abs() < 1.0 && off <= (ALIKE.0).max(ALIKE.1 * a.length.feet())
    };
    let (n, m) = (old.len(), new.len());
    // Longest matchings of what lies before, and of what lies behind, each pair of places.
    let mut before = vec![vec![0usize; m + 1]; n + 1];
    let mut behind = before.clone();
    for i in 0..n {
        for j in 0..m {
            let both = if alike(&old[i], &new[j]) { before[i][j] + 1 } else { 0 };
            before[i + 1][j + 1] = both.max(before[i][j + 1]).max(before[i + 1][j]);
        }
    }
    for i in (0..n).rev() {
        for j in (0..m).rev() {
            let both = if alike(&old[i], &new[j]) { behind[i + 1][j + 1] + 1 } else { 0 };
            behind[i][j] = both.max(behind[i + 1][j]).max(behind[i][j + 1]);
        }
    }
    let best = before[n][m];
    let one = |i: usize| {
        let without = (0..=m).map(|j| before[i][j] + behind[i + 1][j]).max().unwrap_or(0);
        let fits = |&j: &usize| alike(&old[i], &new[j]) && before[i][j] + 1 + behind[i + 1][j + 1] == best;
        match (0..m).filter(fits).collect::<Vec<_>>().as_slice() {
            [j] if without < best => Some(*j),
            _ => None,
        }
    };
    (0..n).map(one).collect()
}

/// Whether a wall of one room can only be told in the other by matching the two runs: both are counted, and not to
/// the same number.
fn counted_anew(old: &Room, new: &Room) -> bool {
    let lettered = |r: &Room| !r.walls.is_empty() && crate::sheet::shape::recognised(&r.walls).is_some();
    let counts = walls(old) > 0 && walls(new) > 0 && walls(old) != walls(new);
    counts && !lettered(old) && !lettered(new)
}

/// A surface of which it is not sure which wall it is on now.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubt {
    /// Id of the surface, and its walls as they were taken over.
    pub surface: String,
    pub walls: Vec<usize>,
    /// Walls the room has since.
    pub of: usize,
    /// The question.
    pub ask: String,
}

/// Surfaces whose walls could not be followed when `old` was measured anew as `new`; those on a wall that is gone
/// are told by [`strays`].
pub fn doubts(old: &Room, new: &Room) -> Vec<Doubt> {
    if !counted_anew(old, new) {
        return Vec::new();
    }
    let sure = surely(&run(old), &run(new));
    let (n, m) = (walls(old), walls(new));
    let mut out = Vec::new();
    for (s, now) in old.surfaces.iter().zip(&new.surfaces) {
        let lost = |w: &&usize| **w >= 1 && **w <= m && sure.get(**w - 1).is_some_and(Option::is_none);
        let lost: Vec<String> = s.walls.iter().filter(lost).map(|&w| label(old, w)).collect();
        if lost.is_empty() {
            continue;
        }
        let what = if s.name.is_empty() { &s.id } else { &s.name };
        let what = if what.is_empty() { part(s.part) } else { what };
        let (word, list) = (if lost.len() == 1 { "wall" } else { "walls" }, lost.join(" and "));
        let ask = format!("\"{what}\" was on {word} {list} of {n}; the room has {m} walls now. Where is it?");
        out.push(Doubt { surface: now.id.clone(), walls: now.walls.clone(), of: m, ask });
    }
    out
}

/// How many walls a room has.
pub fn walls(room: &Room) -> usize {
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

/// Puts openings whose wall the line does not say back on the wall they are on in `onto`: what is added to a line
/// moves nothing else. `placed` says of each opening whether its wall was said. Gives whether one was put back.
pub fn keep_walls(measured: &mut Room, placed: &[bool], onto: &Room) -> bool {
    let bare = Room { walls: measured.walls.clone(), size: measured.size, ..Room::default() };
    let same = |a: &Opening, b: &Opening| {
        (a.kind, a.width, a.height, a.count, a.sill) == (b.kind, b.width, b.height, b.count, b.sill)
    };
    let mut free = vec![true; onto.openings.len()];
    // What is said to be on its wall is there already.
    for (o, _) in measured.openings.iter().zip(placed).filter(|(_, said)| **said) {
        let here = |k: &usize| free[*k] && same(&onto.openings[*k], o) && onto.openings[*k].wall == o.wall;
        if let Some(k) = (0..free.len()).find(here) {
            free[k] = false;
        }
    }
    let mut moved = false;
    for (o, _) in measured.openings.iter_mut().zip(placed).filter(|(_, said)| !**said) {
        let Some(k) = (0..free.len()).find(|&k| free[k] && same(&onto.openings[k], o)) else { continue };
        free[k] = false;
        if let [wall] = becomes(onto, onto.openings[k].wall, &bare).as_slice()
            && *wall != o.wall
        {
            (o.wall, moved) = (*wall, true);
        }
    }
    moved
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
    let matched = counted_anew(onto, &bare).then(|| surely(&run(onto), &run(&bare)));
    for s in &mut out.surfaces {
        if s.walls.is_empty() {
            continue;
        }
        let mut list: Vec<usize> = Vec::new();
        for &w in &s.walls {
            let now = match &matched {
                // Where it is not sure the number stays, and is asked about.
                Some(sure) => sure.get(w.wrapping_sub(1)).copied().flatten().map(|j| j + 1).into_iter().collect(),
                None => becomes(onto, w, &bare),
            };
            let now = if now.is_empty() { vec![w] } else { now };
            list.extend(now.into_iter().filter(|n| !list.contains(n)).collect::<Vec<_>>());
        }
        s.walls = list;
    }
    let called = |room: &Room| room.openings.iter().map(|o| label(room, o.wall)).collect::<Vec<_>>();
    let (new, old) = (called(&out), called(onto));
    names(&mut out.openings, &new, &onto.openings, &old);
    without_stale_letters(out)
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
