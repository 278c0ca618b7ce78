//! A room's measures as the line that reads back to them.

use super::build::{CASING, CEILING, DEPTH, NARROW, SIDE, WALL, usual, within};
use super::draft::FeatureKind;
use super::lex::{Kind, tokens};
use super::reader::Reader;
use super::shape;
use crate::job::{Opening, OpeningKind, Room, Size, Units, Wall};
use crate::measure::{Length, Style};

/// A length of a room: `13'`, `11'6-1/2`; `3.5` metres.
pub(super) fn room_length(l: Length, units: Units) -> String {
    bare(l, units, false).unwrap_or_else(|| l.exact(units.style()))
}

/// A length of an opening: `32` inches, `80` centimetres.
pub(super) fn inch_length(l: Length, units: Units) -> String {
    bare(l, units, true).unwrap_or_else(|| l.exact(units.style()))
}

/// The length as the bare number the line takes it for, where that is exact.
fn bare(l: Length, units: Units, opening: bool) -> Option<String> {
    if l < Length::ZERO {
        return None;
    }
    match (units, opening) {
        (Units::FeetInches, false) => None,
        (Units::FeetInches, true) => {
            if l.0 % (Length::INCH / 64) != 0 || l.0 >= 1000 * Length::INCH {
                return None;
            }
            // A half is `1/2`, three and a half `3-1/2`: what stands before `in` below a foot.
            let (whole, rest) = (l.0 / Length::INCH, Length(l.0 % Length::INCH));
            let part = rest.exact(Style::FeetInches);
            let part = part.trim_end_matches(" in");
            Some(match (whole, rest.0) {
                (w, 0) => w.to_string(),
                (0, _) => part.to_string(),
                (w, _) => format!("{w}-{part}"),
            })
        }
        (Units::Metric, _) => {
            if l.0 % Length::MM != 0 {
                return None;
            }
            let mm = l.0 / Length::MM;
            let (per, digits) = if opening { (10, 1) } else { (1000, 3) };
            let rest = format!("{:0digits$}", mm % per);
            let rest = rest.trim_end_matches('0');
            Some(if rest.is_empty() { (mm / per).to_string() } else { format!("{}.{rest}", mm / per) })
        }
    }
}

/// Lengths with crosses between; all bare, or all with their units.
fn chain(list: &[Length], units: Units, opening: bool) -> String {
    let short: Option<Vec<String>> = list.iter().map(|&l| bare(l, units, opening)).collect();
    let cross = if opening && short.is_some() { "x" } else { " x " };
    short.unwrap_or_else(|| list.iter().map(|l| l.exact(units.style())).collect()).join(cross)
}

/// The name as a line can begin with it; a colon behind it where it could be mistaken.
fn name(room: &Room) -> String {
    let text = if room.name.trim().is_empty() { &room.id } else { &room.name };
    let text: String = text
        .split(|c: char| c.is_whitespace() || c.is_control())
        .filter(|w| !w.is_empty())
        .collect::<Vec<_>>()
        .join(" ");
    let text = if text.is_empty() { "Room".to_string() } else { text };
    let r = Reader::new(&text, Units::FeetInches);
    let plain = tokens(&text).iter().all(|t| t.kind == Kind::Word)
        && (0..r.toks.len())
            .all(|i| r.noun(i).is_none() && !matches!(r.word(i), "walls" | "wall" | "high" | "ceiling"));
    if plain { text } else { format!("{text}:") }
}

/// The line that reads back to this room's measures. Names of walls and openings, surfaces
/// and ids are no measures; [`super::lay`] keeps them. A wall that an opening would be given
/// anyway is not written.
pub fn write(room: &Room, units: Units) -> String {
    let mut walls: Vec<bool> = room.openings.iter().map(|o| o.from_corner.is_some()).collect();
    for _ in 0..=walls.len() {
        let line = with_walls(room, units, &walls);
        let Some(back) = super::once(&line, units).room.filter(|r| r.openings.len() == walls.len()) else { break };
        let alike = |a: &Opening, b: &Opening| {
            Opening { name: String::new(), ..a.clone() } == Opening { name: String::new(), ..b.clone() }
        };
        match (0..walls.len()).find(|&i| !alike(&back.openings[i], &room.openings[i])) {
            None => return line,
            Some(i) if walls[i] => break,
            Some(i) => walls[i] = true,
        }
    }
    with_walls(room, units, &vec![true; walls.len()])
}

/// The line with the walls of these openings.
fn with_walls(room: &Room, units: Units, walls: &[bool]) -> String {
    let mut parts = Vec::new();
    let found = shape::recognised(&room.walls);
    let deep = found.iter().any(|f| f.1.iter().any(|f| f.depth > DEPTH || f.width < NARROW));
    if let (Some(s), true) = (&room.size, room.walls.is_empty()) {
        parts.push(format!("{} {}", name(room), sides(s, units)));
    } else if let Some((s, features)) = &found {
        parts.push(format!("{} {}", name(room), sides(s, units)));
        for f in features {
            let angle = match (f.kind, f.angle) {
                (FeatureKind::Bay, a) if a != 45.0 => format!(" {a}°"),
                _ => String::new(),
            };
            let at = f.from.map_or(String::new(), |l| {
                format!(" at {}", if l == Length::ZERO { "0".to_string() } else { room_length(l, units) })
            });
            let size = size_of(f, units);
            parts.push(format!("{} {size}{angle} on wall {}{at}", f.kind.word(), f.side));
        }
    } else if room.walls.is_empty() {
        parts.push(name(room));
    } else {
        parts.push(format!("{} walls {}", name(room), run(&room.walls, units)));
    }
    let mut text = openings(room, units, walls);
    parts.append(&mut text);
    for b in &room.boxes {
        let many = if b.count == 1 { "box" } else { "boxes" };
        if b.count > 0 {
            parts.push(format!("{} {many} wall {}", b.count, super::label(room, b.wall)));
        }
    }
    match room.holes {
        0 => {}
        1 => parts.push("1 hole".to_string()),
        n => parts.push(format!("{n} holes")),
    }
    if room.cracks > Length::ZERO {
        let length = match bare(room.cracks, units, false) {
            Some(metres) => format!("{metres} m"),
            None => room.cracks.exact(units.style()),
        };
        parts.push(format!("{length} of cracks"));
    }
    if deep || odd(room, found.map(|f| f.0)) {
        parts.push("as measured".to_string());
    }
    parts.join(", ")
}

/// `6' x 2'`; the three walls `2'6, 5', 2'6` where those can be written and width and depth cannot.
fn size_of(f: &shape::Feature, units: Units) -> String {
    let fine = |l: Length| super::reshape::writable(l, units) == l;
    let (side, front) = f.by_tape();
    if f.angle < 90.0 && fine(side) && fine(front) && !(fine(f.width) && fine(f.depth) && f.slanted.is_none()) {
        return [side, front, side].map(|l| room_length(l, units)).join(", ");
    }
    chain(&[f.width, f.depth], units, false)
}

fn sides(s: &Size, units: Units) -> String {
    chain(&[s.length, s.width, s.height], units, false)
}

fn run(walls: &[Wall], units: Units) -> String {
    let mut out = Vec::new();
    for (i, w) in walls.iter().enumerate() {
        let mut text = room_length(w.length, units);
        text += &match w.turn {
            90.0 => String::new(),
            -90.0 => " out".to_string(),
            0.0 => " straight".to_string(),
            t if t < 0.0 => format!(" out {}°", -t),
            t => format!(" in {t}°"),
        };
        // Bare metres before `in` would be inches.
        if text.contains(" in ") && bare(w.length, units, false).is_some() {
            text = text.replacen(" in ", " m in ", 1);
        }
        out.push(text);
        if walls.get(i + 1).is_none_or(|n| n.height != w.height) {
            out.push(format!("high {}", room_length(w.height, units)));
        }
    }
    out.join(", ")
}

fn openings(room: &Room, units: Units, walls: &[bool]) -> Vec<String> {
    let mut out = Vec::new();
    let mut next = 0;
    while next < room.openings.len() {
        let (o, wall) = (&room.openings[next], &walls[next]);
        // Openings alike in everything but their place are said in one breath.
        let more = room.openings[next + 1..].iter().take_while(|x| in_a_row(o, x)).count();
        let places: Vec<Length> = room.openings[next..=next + more].iter().filter_map(|o| o.from_corner).collect();
        let number = if more == 0 { o.count } else { places.len() as u32 };
        next += 1 + more;
        let many = if number == 1 { "" } else { "s" };
        let what = match o.kind {
            _ if said_name(o) => o.name.clone(),
            OpeningKind::Door => "door".to_string(),
            OpeningKind::Window => "window".to_string(),
            OpeningKind::Cased => "cased opening".to_string(),
        };
        let count = if number == 1 { String::new() } else { format!("{number} ") };
        let size = chain(&[o.width, o.height], units, true);
        // `in wall` would not be inches.
        let on = if size.ends_with(" in") { "on " } else { "" };
        let mut text = format!("{count}{what}{many} {size}");
        if *wall {
            text += &format!(" {on}wall {}", super::label(room, o.wall));
        }
        if !places.is_empty() {
            let said: Vec<String> = places.iter().map(|l| inch_length(*l, units)).collect();
            text += &format!(" at {}", said.join(" and "));
        }
        if let Some(l) = o.sill {
            text += &format!(" sill {}", inch_length(l, units));
        }
        match o.casing {
            None => {}
            Some(Length::ZERO) => text += " no casing",
            Some(l) => text += &format!(" casing {}", inch_length(l, units)),
        }
        out.push(text);
    }
    out
}

/// Whether two openings are alike but for their place on the same wall, each one and measured.
pub(super) fn in_a_row(a: &Opening, b: &Opening) -> bool {
    let alike = Opening { from_corner: a.from_corner, ..b.clone() } == *a;
    alike && a.count == 1 && a.from_corner.is_some() && b.from_corner.is_some()
}

/// Whether an opening's name is one that a line can say: `closet door`.
fn said_name(o: &Opening) -> bool {
    use super::vocabulary::Noun;
    let r = Reader::new(&o.name, Units::FeetInches);
    !o.name.is_empty()
        && matches!(r.noun(0), Some((Noun::Opening(k, n), end)) if k == o.kind && n == o.name && end == r.toks.len())
}

/// Whether a measure is one the line would be asked about.
fn odd(room: &Room, found: Option<Size>) -> bool {
    let rectangle = match (room.walls.is_empty(), found) {
        (true, _) => room.size,
        (false, found) => found,
    };
    let walls = match rectangle {
        Some(s) => !within(s.length, SIDE) || !within(s.width, SIDE) || !within(s.height, CEILING),
        None => room.walls.iter().any(|w| !within(w.length, WALL) || !within(w.height, CEILING)),
    };
    let sizes = room.openings.iter().any(|o| {
        let [w, h] = usual(o.kind);
        !within(o.width, w) || !within(o.height, h) || o.casing.is_some_and(|c| c > CASING)
    });
    walls || sizes
}
