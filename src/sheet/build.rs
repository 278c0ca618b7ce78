//! From a draft to a room: walls, openings on them, and every value that must be asked.
//!
//! Limits are judgement: what is outside them is rarer than a slip of the pen or of the
//! unit. `as measured` on the line lifts them, but never what cannot be built.

use std::ops::Range;

use super::apart::{self, Made};
use super::draft::{Measure, Place, Said, SaidOpening, Shape};
use super::reader::{Of, Reader};
use super::shape::{self, Feature, Piece};
use super::{openings as checks, walls as said_walls};
use crate::job::{Boxes, Opening, OpeningKind, Room, Size, Wall};
use crate::measure::{Length, Unit};

pub(super) const fn inch(n: i64) -> Length {
    Length(n * Length::INCH)
}

/// Least and most of a side, of a ceiling.
pub(super) const SIDE: (Length, Length) = (inch(36), inch(60 * 12));
pub(super) const CEILING: (Length, Length) = (inch(78), inch(14 * 12));
/// A wall of a free run.
pub(super) const WALL: (Length, Length) = (inch(1), inch(60 * 12));
/// Deepest bay, alcove or breast.
pub(super) const DEPTH: Length = inch(120);
/// Narrowest of them.
pub(super) const NARROW: Length = inch(6);
/// Widest casing.
pub(super) const CASING: Length = inch(12);

/// Width and height of an opening: least and most of each.
pub(super) fn usual(kind: OpeningKind) -> [(Length, Length); 2] {
    match kind {
        OpeningKind::Door => [(inch(15), inch(72)), (inch(60), inch(108))],
        OpeningKind::Window => [(inch(8), inch(144)), (inch(8), inch(120))],
        OpeningKind::Cased => [(inch(15), inch(192)), (inch(60), inch(144))],
    }
}

pub(super) fn within(l: Length, range: (Length, Length)) -> bool {
    l >= range.0 && l <= range.1
}

/// A room and how it was said.
pub(super) struct Built {
    pub room: Room,
    /// The rectangle with its features, where it was said so.
    pub rectangle: Option<(Size, Vec<Feature>)>,
    /// Openings whose wall was said.
    pub placed: Vec<bool>,
    pub boxes_placed: Vec<bool>,
}

/// Builds the room; `None` where its walls are not known.
pub(super) fn room(r: &mut Reader) -> Option<Built> {
    if r.out.name.is_empty() && r.out.shape.is_some() {
        let end = r.out.shape_at.start;
        let offer = format!("Room {}", r.line[end..].trim_start());
        r.ask(r.out.shape_at.clone(), "What is this room called?", vec![offer]);
    }
    checks::sizes_of_openings(r);
    let shape = r.out.shape.clone()?;
    let asked = r.asks.len();
    let (size, mut walls, pieces, features) = match shape {
        Shape::Rectangle(sides) => {
            let size = said_walls::rectangle(r, &sides)?;
            let features = said_walls::features(r, &size);
            if r.asks.len() > asked && features.is_none() {
                return None;
            }
            let features = features.unwrap_or_default();
            let pieces = shape::pieces(&size, &features);
            (Some(size), shape::walls(&size, &features), pieces, features)
        }
        Shape::Run(said) => {
            let walls = said_walls::run(r, &said)?;
            if let Some(f) = r.out.features.first() {
                let at = f.at.clone();
                let what = "Between walls said one by one it is walls too: in, out and how long. What are they?";
                r.ask(at, what, Vec::new());
            }
            (None, walls, Vec::new(), Vec::new())
        }
    };
    let names: Vec<String> =
        if pieces.is_empty() { (1..=walls.len()).map(|n| n.to_string()).collect() } else { shape::names(&pieces) };
    let (openings, placed) = openings(r, &walls, &names, &pieces);
    let (boxes, boxes_placed) = boxes(r, &names, &pieces);
    let mut rectangle = size.map(|s| (s, features));
    let mut out =
        Room { name: r.out.name.clone(), openings, boxes, holes: r.out.holes, cracks: r.out.cracks, ..Room::default() };
    match &rectangle {
        Some((s, f)) if f.is_empty() => out.size = Some(*s),
        _ => {
            // Names that cannot be found again from the walls would be lost at the next writing.
            if shape::recognised(&walls).is_none() {
                walls.iter_mut().for_each(|w| w.name.clear());
                rectangle = None;
            }
            out.walls = walls;
        }
    }
    Some(Built { room: out, rectangle, placed, boxes_placed })
}

/// What measures said without a unit would be in each unit, as texts of the whole chain; with
/// `one`, only that measure in another, the rest in the unit they were taken in.
pub(super) fn units_of(r: &Reader, list: &[Measure], of: Of, one: Option<usize>) -> Vec<String> {
    let taken = match r.unit(of) {
        Unit::Feet => "ft",
        Unit::Inches => "in",
        Unit::Metres => "m",
        Unit::Centimetres => "cm",
        Unit::Millimetres => "mm",
    };
    if !list.iter().enumerate().any(|(i, m)| m.bare && one.is_none_or(|o| o == i)) {
        return Vec::new();
    }
    let text = |word: &str| {
        let each = list.iter().enumerate().map(|(i, m)| {
            let said = &r.line[m.at.clone()];
            let word = if one.is_none_or(|o| o == i) { word } else { taken };
            if m.bare { format!("{said} {word}") } else { said.to_string() }
        });
        each.collect::<Vec<_>>().join(" x ")
    };
    ["ft", "in", "m", "cm", "mm"].map(text).to_vec()
}

/// Offers for measures out of their range: other units, then meant as said.
pub(super) fn offers(r: &Reader, list: &[Measure], at: &Range<usize>, of: Of, odd: &[usize]) -> Vec<String> {
    let mut texts = units_of(r, list, of, None);
    if let [one] = odd {
        texts.extend(units_of(r, list, of, Some(*one)));
    }
    let mut out: Vec<String> = texts.iter().map(|t| r.with(at, t)).collect();
    out.push(meant(r));
    out
}

pub(super) fn meant(r: &Reader) -> String {
    format!("{}, as measured", r.line.trim_end().trim_end_matches([',', '.', ';']))
}

/// Where the measures of a chain stand.
pub(super) fn chain_at(list: &[Measure]) -> Range<usize> {
    list.first().map_or(0..0, |a| a.at.start..list.last().map_or(0, |b| b.at.end))
}

/// Index of the wall something is on; `None` where not said, or asked.
fn wall_of(r: &mut Reader, place: &Said<Place>, names: &[String], pieces: &[Piece]) -> Option<usize> {
    let options = |r: &Reader, list: &[String]| -> Vec<String> {
        list.iter().map(|n| r.with(&place.at, &format!("wall {n}"))).collect()
    };
    match &place.v {
        Place::Unsaid => None,
        Place::Wall(w) => {
            if let Some(i) = names.iter().position(|n| n == w) {
                return Some(i);
            }
            // A side in pieces: which of them?
            let mine: Vec<String> =
                names.iter().filter(|n| n.len() > w.len() && n.starts_with(w.as_str())).cloned().collect();
            let plain =
                mine.iter().filter(|n| n[w.len()..].chars().all(char::is_alphabetic)).cloned().collect::<Vec<_>>();
            let (what, list) = if plain.is_empty() {
                (format!("There is no wall {w}: the walls are {}. Which one is it?", listed(names)), names.to_vec())
            } else {
                (format!("Wall {w} is in pieces, {}. Which one is it on?", listed(&plain)), plain)
            };
            let offers = options(r, &list);
            r.ask(place.at.clone(), what, offers);
            None
        }
        Place::In(kind, face) => {
            let found: Vec<usize> = (0..pieces.len())
                .filter(|&i| {
                    pieces[i]
                        .of
                        .is_some_and(|(f, g)| g == *face && r.out.features.get(f).is_some_and(|x| x.kind == *kind))
                })
                .collect();
            match found.as_slice() {
                [one] => Some(*one),
                [] => {
                    let offers = options(r, names);
                    r.ask(place.at.clone(), format!("This room has no {}. Which wall is it on?", kind.word()), offers);
                    None
                }
                several => {
                    let list: Vec<String> = several.iter().map(|&i| names[i].clone()).collect();
                    let offers = options(r, &list);
                    r.ask(place.at.clone(), format!("In which {}: wall {}?", kind.word(), listed(&list)), offers);
                    None
                }
            }
        }
    }
}

/// `1, 2 and 3`.
fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [init @ .., last] => format!("{} and {last}", init.join(", ")),
    }
}

fn boxes(r: &mut Reader, names: &[String], pieces: &[Piece]) -> (Vec<Boxes>, Vec<bool>) {
    let (mut out, mut placed) = (Vec::new(), Vec::new());
    for b in r.out.boxes.clone() {
        let wall = wall_of(r, &b.place, names, pieces);
        placed.push(wall.is_some());
        out.push(Boxes { wall: wall.unwrap_or(0) + 1, count: b.count });
    }
    (out, placed)
}

/// Of a wall, what an opening takes with its casings and a hand's breadth beside it.
fn breadth(o: &Opening) -> i64 {
    (o.width.0 + 2 * o.casing.unwrap_or(crate::takeoff::CASING).0 + inch(4).0) * i64::from(o.count)
}

/// Whether a wall is taken to a lesser share than another.
fn freer(a: (i64, Length), b: (i64, Length)) -> bool {
    i128::from(a.0) * i128::from(b.1.0) < i128::from(b.0) * i128::from(a.1.0)
}

/// The openings on their walls; those whose wall was not said are shared round the walls: each
/// goes where the least is taken, casing and a hand's breadth counted while there is room for them.
fn openings(r: &mut Reader, walls: &[Wall], names: &[String], pieces: &[Piece]) -> (Vec<Opening>, Vec<bool>) {
    let casing = r.out.casing.as_ref().map(|m| m.v);
    let said: Vec<SaidOpening> = r.out.openings.iter().filter(|o| o.size.len() == 2).cloned().collect();
    let mut taken = vec![0i64; walls.len()];
    // The same with casings and what stands beside them.
    let mut round = vec![0i64; walls.len()];
    let mut made: Vec<Made> = Vec::new();
    let asked = r.asks.len();
    apart::asks(r, &said);
    for (n, o) in said.iter().enumerate() {
        let (w, h) = if o.size[0].high && !o.size[1].high { (1, 0) } else { (0, 1) };
        let mut wall = wall_of(r, &o.place, names, pieces);
        // So far from the one before it: on the same wall.
        if let (Place::Unsaid, Some(_), 1, Some(before)) = (&o.place.v, &o.gap, o.count, made.last()) {
            wall = before.wall;
        }
        if o.place.v == Place::Unsaid
            && wall.is_none()
            && let Some(m) = o.from_corner.as_ref().or(o.gap.as_ref().filter(|_| n == 0 || o.count > 1))
        {
            let offers = names.iter().take(5).map(|n| r.inserted(o.size_at.end, &format!(" wall {n}"))).collect();
            let what = if o.from_corner.is_some() { "From the corner of which wall?" } else { "On which wall?" };
            r.ask(m.at.clone(), what, offers);
        } else if let (Some(m), None, 1) = (&o.gap, wall, o.count)
            && n > 0
            && let Some(before) = said.get(n - 1).filter(|b| b.place.v == Place::Unsaid)
        {
            let behind = before.size_at.end;
            let offers = names.iter().take(5).map(|n| r.inserted(behind, &format!(" wall {n}"))).collect();
            r.ask(m.at.clone(), "On which wall are the two?", offers);
        }
        let opening = Opening {
            kind: o.kind,
            name: o.name.clone(),
            wall: wall.map_or(0, |w| w + 1),
            width: o.size[w].v,
            height: o.size[h].v,
            sill: o.sill.as_ref().map(|m| m.v),
            from_corner: o.from_corner.as_ref().map(|m| m.v),
            casing: o.casing.as_ref().map(|m| m.v).or(casing),
            count: o.count,
        };
        if let Some(i) = wall {
            taken[i] += opening.width.0 * i64::from(o.count);
            round[i] += breadth(&opening);
        }
        made.push(Made { o: opening, wall, said: n, at: None });
    }
    let placed: Vec<bool> = made.iter().map(|m| m.wall.is_some()).collect();
    if r.asks.len() == asked {
        made = apart::spread(r, made, &said, walls, names);
        let mut last = None;
        for m in &mut made {
            // Of one said as several only its first is shared out and judged by its size.
            let (o, wall, said) = (&mut m.o, &mut m.wall, &said[m.said]);
            let needs = o.width.0 * i64::from(o.count);
            let high = |i: &usize| o.height <= walls[*i].height;
            let airy = |i: &usize| high(i) && round[*i] + breadth(o) <= walls[*i].length.0;
            // A door goes beside a bay, an alcove or a breast only where no whole wall has room for it.
            let piece = |i: usize| names.get(i).is_some_and(|n| n.ends_with(char::is_alphabetic));
            let broken = |i: usize| o.kind == OpeningKind::Door && piece(i);
            let better = |a: usize, b: usize| match (broken(a), broken(b)) {
                (true, false) => true,
                (false, true) => false,
                _ => freer((round[b], walls[b].length), (round[a], walls[a].length)),
            };
            let first = (0..walls.len())
                .filter(airy)
                .reduce(|a, b| if better(a, b) { b } else { a })
                .or_else(|| (0..walls.len()).find(|i| high(i) && taken[*i] + needs <= walls[*i].length.0));
            match wall {
                Some(_) => {}
                None => {
                    // Where there is no room anywhere, the checks below say why.
                    let i = first.unwrap_or(0);
                    if first.is_some() {
                        taken[i] += needs;
                        round[i] += breadth(o);
                    }
                    o.wall = i + 1;
                    *wall = Some(i);
                }
            }
            let sill = said.kind == OpeningKind::Door && said.sill.is_some();
            let again = last.replace(m.said) == Some(m.said) && r.asks.len() > asked;
            if !sill && !again && !r.asks.iter().any(|q| q.at == said.size_at) {
                checks::fits(r, m, said, walls, names, &taken);
            }
        }
        apart::overlaps(r, &made, &said, walls, names);
    }
    let placed = made.iter().map(|m| placed[m.said]).collect();
    (made.into_iter().map(|m| m.o).collect(), placed)
}
