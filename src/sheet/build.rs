//! From a draft to a room: walls, openings on them, and every value that must be asked.
//!
//! Limits are judgement: what is outside them is rarer than a slip of the pen or of the
//! unit. `as measured` on the line lifts them, but never what cannot be built.

use std::ops::Range;

use super::draft::{Measure, Place, Said, SaidFeature, SaidOpening, SaidWall, Shape};
use super::reader::Reader;
use super::shape::{self, Feature, Piece};
use super::words::{inches, length};
use crate::job::{Boxes, Opening, OpeningKind, Room, Size, Wall};
use crate::measure::Length;

const fn inch(n: i64) -> Length {
    Length(n * Length::INCH)
}

/// Least and most of a side, of a ceiling.
pub(super) const SIDE: (Length, Length) = (inch(36), inch(60 * 12));
pub(super) const CEILING: (Length, Length) = (inch(78), inch(14 * 12));
/// A wall of a free run.
pub(super) const WALL: (Length, Length) = (inch(1), inch(60 * 12));
/// Most walls of a room.
const WALLS: usize = 64;
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
    sizes_of_openings(r);
    let shape = r.out.shape.clone()?;
    let asked = r.asks.len();
    let (size, mut walls, pieces, features) = match shape {
        Shape::Rectangle(sides) => {
            let size = rectangle(r, &sides)?;
            let features = features(r, &size);
            if r.asks.len() > asked && features.is_none() {
                return None;
            }
            let features = features.unwrap_or_default();
            let pieces = shape::pieces(&size, &features);
            (Some(size), shape::walls(&size, &features), pieces, features)
        }
        Shape::Run(said) => {
            let walls = run(r, &said)?;
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

/// What measures said without a unit would be in each unit, as texts of the whole chain.
fn units_of(r: &Reader, list: &[Measure], one: Option<usize>) -> Vec<String> {
    let mut out = Vec::new();
    for word in ["ft", "in", "m", "cm", "mm"] {
        let text = |(i, m): (usize, &Measure)| {
            let said = &r.line[m.at.clone()];
            if m.bare && one.is_none_or(|o| o == i) { format!("{said} {word}") } else { said.to_string() }
        };
        if list.iter().enumerate().any(|(i, m)| m.bare && one.is_none_or(|o| o == i)) {
            out.push(list.iter().enumerate().map(text).collect::<Vec<_>>().join(" x "));
        }
    }
    out
}

/// Offers for measures out of their range: other units, then meant as said.
fn offers(r: &Reader, list: &[Measure], at: &Range<usize>, odd: &[usize]) -> Vec<String> {
    let mut texts = Vec::new();
    if let [one] = odd {
        texts.extend(units_of(r, list, Some(*one)));
    }
    texts.extend(units_of(r, list, None));
    let mut out: Vec<String> = texts.iter().map(|t| r.with(at, t)).collect();
    out.truncate(8);
    out.push(meant(r));
    out
}

fn meant(r: &Reader) -> String {
    format!("{}, as measured", r.line.trim_end().trim_end_matches([',', '.', ';']))
}

/// Where the measures of a chain stand.
fn chain_at(list: &[Measure]) -> Range<usize> {
    list.first().map_or(0..0, |a| a.at.start..list.last().map_or(0, |b| b.at.end))
}

fn rectangle(r: &mut Reader, sides: &[Measure]) -> Option<Size> {
    let at = chain_at(sides);
    let heights = match r.units {
        crate::job::Units::FeetInches => ["8'", "9'", "8'4"],
        crate::job::Units::Metric => ["2.4", "2.5", "2.7"],
    };
    match sides {
        [_] => {
            r.ask(at, "How wide is the room, and how high?", Vec::new());
            None
        }
        [_, w] => {
            let offers = heights.map(|h| r.inserted(w.at.end, &format!(" x {h}"))).to_vec();
            r.ask(at, "How high is the ceiling?", offers);
            None
        }
        [l, w, h] => {
            let ranges = [SIDE, SIDE, CEILING];
            let zero = sides.iter().any(|m| m.v <= Length::ZERO);
            let odd: Vec<usize> = (0..3).filter(|&i| !within(sides[i].v, ranges[i])).collect();
            if zero || (!odd.is_empty() && !r.out.meant) {
                let place = if odd.len() == 1 { sides[odd[0]].at.clone() } else { at.clone() };
                let say = |l: Length| length(l, r.units);
                let what = match odd.as_slice() {
                    [2] => format!("The ceiling would be {} high. Is it?", say(h.v)),
                    [i] => format!("The room would be {} {}. Is it?", say(sides[*i].v), ["long", "wide"][*i]),
                    _ => format!("The room would be {} x {}, {} high. Is it?", say(l.v), say(w.v), say(h.v)),
                };
                let offers = offers(r, sides, &at, &odd);
                r.ask(place, what, offers);
                if zero {
                    return None;
                }
            }
            Some(Size { length: l.v, width: w.v, height: h.v })
        }
        _ => None,
    }
}

/// The run of walls said one by one.
fn run(r: &mut Reader, said: &[SaidWall]) -> Option<Vec<Wall>> {
    let at = r.out.shape_at.clone();
    if said.len() < 3 || said.len() > WALLS {
        r.ask(at, "A room has 3 to 64 walls. Which are they?", Vec::new());
        return None;
    }
    let heights = match r.units {
        crate::job::Units::FeetInches => ["8'", "9'", "8'4"],
        crate::job::Units::Metric => ["2.4", "2.5", "2.7"],
    };
    if said.iter().any(|w| w.height.is_none()) {
        let end = said.last().map_or(at.end, |w| w.length.at.end.max(at.end));
        let end = r.line[..end].trim_end_matches([',', ' ', ';']).len();
        let offers = heights.map(|h| r.inserted(end, &format!(", high {h}"))).to_vec();
        r.ask(at, "How high is the ceiling?", offers);
        return None;
    }
    let mut fine = true;
    for w in said {
        let h = w.height.as_ref().expect("checked");
        for (m, range, what) in [(&w.length, WALL, "long"), (h, CEILING, "high")] {
            let zero = m.v <= Length::ZERO;
            if fine && (zero || (!within(m.v, range) && !r.out.meant)) {
                let mut texts: Vec<String> = Vec::new();
                if m.bare {
                    texts = ["ft", "in", "m", "cm"].map(|u| format!("{} {u}", &r.line[m.at.clone()])).to_vec();
                }
                let mut offers: Vec<String> = texts.iter().map(|t| r.with(&m.at, t)).collect();
                offers.push(meant(r));
                let what = format!("This wall would be {} {what}. Is it?", length(m.v, r.units));
                r.ask(m.at.clone(), what, offers);
                fine = !zero;
            }
        }
    }
    let walls: Vec<Wall> = said
        .iter()
        .map(|w| Wall {
            name: String::new(),
            length: w.length.v,
            height: w.height.as_ref().expect("checked").v,
            turn: w.turn,
        })
        .collect();
    closes(r, said, &walls);
    Some(walls)
}

/// Asks where a run does not come back to its begin, with the corrections that would.
fn closes(r: &mut Reader, said: &[SaidWall], walls: &[Wall]) {
    let at = r.out.shape_at.clone();
    let open = |list: &[Wall]| {
        let mut problems = Vec::new();
        let probe = Room { walls: list.to_vec(), ..Room::default() };
        crate::takeoff::Outline::of(&probe, "", &mut problems);
        problems.into_iter().next().map(|p| p.what)
    };
    let Some(what) = open(walls) else {
        if let Some((i, j)) = shape::crossing(walls) {
            let what = format!("Wall {} would cross wall {}. Which corner goes the other way?", i + 1, j + 1);
            r.ask(at, what, flipped(r, said, walls, &open));
        }
        return;
    };
    let turns: f64 = walls.iter().map(|w| w.turn).sum();
    if (turns - 360.0).abs() > 1.0 {
        let offers = flipped(r, said, walls, &open);
        r.ask(at, format!("These walls do not come round: {what}. Which corner is an outside one?"), offers);
        return;
    }
    // Two gaps, along and across: a wall that runs that way can take each up.
    let (mut x, mut y, mut heading) = (0.0f64, 0.0f64, 0.0f64);
    let mut ways = Vec::new();
    for w in walls {
        let (cos, sin) = (libm::cos(heading.to_radians()), libm::sin(heading.to_radians()));
        x += w.length.0 as f64 * cos;
        y += w.length.0 as f64 * sin;
        ways.push((cos, sin));
        heading += w.turn;
    }
    let mut offers = Vec::new();
    for (i, w) in walls.iter().enumerate() {
        let (cos, sin) = ways[i];
        let change = Length(libm::round(-(x * cos + y * sin)) as i64);
        let mut list = walls.to_vec();
        list[i].length = Length(w.length.0 + change.0);
        if list[i].length > Length::ZERO && open(&list).is_none() && shape::crossing(&list).is_none() {
            offers.push(r.with(&said[i].length.at, &super::write::room_length(list[i].length, r.units)));
        }
    }
    r.ask(
        at,
        format!(
            "These walls do not meet: {}. Which one is wrong?",
            what.trim_start_matches("the run of walls does not close: ")
        ),
        offers,
    );
}

/// The line with one more corner turned the other way, where the run then closes.
fn flipped(r: &Reader, said: &[SaidWall], walls: &[Wall], open: &dyn Fn(&[Wall]) -> Option<String>) -> Vec<String> {
    let mut out = Vec::new();
    for i in 0..walls.len() {
        if said[i].turn_said {
            continue;
        }
        let mut list = walls.to_vec();
        list[i].turn = -list[i].turn;
        if open(&list).is_none() && shape::crossing(&list).is_none() {
            out.push(r.inserted(said[i].length.at.end, " out"));
        }
    }
    out
}

/// The features of a rectangle; `None` where one is not known.
fn features(r: &mut Reader, size: &Size) -> Option<Vec<Feature>> {
    let mut out: Vec<Feature> = Vec::new();
    let mut fine = true;
    for f in r.out.features.clone() {
        match feature(r, size, &f) {
            Some(made) => {
                let side = shape::sides(size)[made.side - 1];
                let (a, b) = (made.start(side).0, made.start(side).0 + made.width.0);
                let meets = out.iter().any(|o| {
                    let (c, d) = (o.start(side).0, o.start(side).0 + o.width.0);
                    o.side == made.side && a < d && c < b
                });
                if meets {
                    let what =
                        format!("The {} would stand in another on wall {}. Where is it?", f.kind.word(), made.side);
                    r.ask(f.at.clone(), what, Vec::new());
                    fine = false;
                } else {
                    out.push(made);
                }
            }
            None => fine = false,
        }
    }
    if fine && let Some(f) = r.out.features.first().cloned() {
        let walls = shape::walls(size, &out);
        let ends = walls.iter().any(|w| w.length <= Length::ZERO);
        if ends || shape::crossing(&walls).is_some() {
            r.ask(f.size_at.clone(), "It would reach through another wall. How deep is it?", Vec::new());
            fine = false;
        }
    }
    fine.then_some(out)
}

fn feature(r: &mut Reader, size: &Size, f: &SaidFeature) -> Option<Feature> {
    let word = f.kind.word();
    if f.size_at.is_empty() {
        return None;
    }
    let [width, depth] = f.size.as_slice() else {
        if !f.size.is_empty() {
            r.ask(f.size_at.clone(), format!("How wide and how deep is the {word}?"), Vec::new());
        }
        return None;
    };
    let side = match &f.place.v {
        Place::Wall(w) if matches!(w.as_str(), "1" | "2" | "3" | "4") => w.parse::<usize>().unwrap_or(1),
        Place::Unsaid => {
            let offers = (1..=4).map(|n| r.inserted(f.at.end, &format!(" on wall {n}"))).collect();
            r.ask(f.at.clone(), format!("Which wall is the {word} on?"), offers);
            return None;
        }
        _ => {
            let offers = (1..=4).map(|n| r.with(&f.place.at, &format!("on wall {n}"))).collect();
            r.ask(f.place.at.clone(), format!("Which of the walls 1 to 4 is the {word} on?"), offers);
            return None;
        }
    };
    let made = Feature {
        kind: f.kind,
        side,
        width: width.v,
        depth: depth.v,
        from: f.from_corner.as_ref().map(|m| m.v),
        angle: f.angle,
    };
    let along = shape::sides(size)[side - 1];
    let swapped = || r.with(&f.size_at, &format!("{} x {}", &r.line[depth.at.clone()], &r.line[width.at.clone()]));
    let say = |l: Length| length(l, r.units);
    if made.depth <= Length::ZERO || made.width <= Length::ZERO {
        r.ask(f.size_at.clone(), format!("How wide and how deep is the {word}?"), Vec::new());
        return None;
    }
    if made.width >= along {
        let what = format!("The {word} is {} wide, wall {side} is {}. Which is it?", say(made.width), say(along));
        let offers = vec![swapped()];
        r.ask(f.size_at.clone(), what, offers);
        return None;
    }
    if made.front() <= Length::ZERO {
        let what =
            format!("A bay {} wide and {} deep has no front left. How is it built?", say(made.width), say(made.depth));
        let offers = vec![swapped(), r.inserted(f.size_at.end, " 60 degrees"), r.inserted(f.at.start, "square ")];
        r.ask(f.size_at.clone(), what, offers);
        return None;
    }
    let start = made.start(along);
    if start < Length::ZERO || start.0 + made.width.0 > along.0 {
        let at = f.from_corner.as_ref().map_or(f.at.clone(), |m| m.at.clone());
        let most = Length(along.0 - made.width.0);
        let what = format!("There the {word} would reach past the end of wall {side}. How far from the corner is it?");
        let offers = vec![
            r.with(&at, &super::write::room_length(most, r.units)),
            r.with(&at, &super::write::room_length(Length(most.0 / 2), r.units)),
        ];
        r.ask(at, what, offers);
        return None;
    }
    Some(made)
}

/// Sizes of openings that hardly anybody builds, whatever the walls.
fn sizes_of_openings(r: &mut Reader) {
    for o in r.out.openings.clone() {
        let word = noun(&o);
        match o.size.as_slice() {
            [] => {}
            [one] => {
                let said = r.line[one.at.clone()].to_string();
                let highs = match r.units {
                    crate::job::Units::FeetInches => ["80", "78", "84"],
                    crate::job::Units::Metric => ["200", "205", "210"],
                };
                let offers = highs.map(|h| r.with(&o.size_at, &format!("{said} x {h}"))).to_vec();
                r.ask(o.size_at.clone(), format!("How high is the {word}?"), offers);
            }
            [w, h] => {
                let (w, h) = if w.high && !h.high { (h, w) } else { (w, h) };
                let ranges = usual(o.kind);
                let odd: Vec<usize> = [(w, ranges[0]), (h, ranges[1])]
                    .iter()
                    .enumerate()
                    .filter(|(_, (m, range))| !within(m.v, *range))
                    .map(|x| x.0)
                    .collect();
                let zero = w.v <= Length::ZERO || h.v <= Length::ZERO;
                if zero || (!odd.is_empty() && !r.out.meant) {
                    let at = o.size_at.clone();
                    let swapped = format!("{} x {}", &r.line[h.at.clone()], &r.line[w.at.clone()]);
                    let mut list = vec![r.with(&at, &swapped)];
                    list.extend(offers(r, &o.size, &at, &odd));
                    let what = format!(
                        "The {word} would be {} wide and {} high. Is it?",
                        inches(w.v, r.units),
                        inches(h.v, r.units)
                    );
                    r.ask(at, what, list);
                }
            }
            [w, h, rest @ ..] => {
                let two = format!("{} x {}", &r.line[w.at.clone()], &r.line[h.at.clone()]);
                let mut offers = vec![r.with(&o.size_at, &two)];
                if let [n] = rest
                    && o.count == 1
                    && n.bare
                {
                    let count = r.line[n.at.clone()].to_string();
                    let fewer = r.with(&o.size_at, &two);
                    let whole = format!("{}{count} {}", &fewer[..o.at.start], &fewer[o.at.start..]);
                    offers.insert(0, whole);
                }
                r.ask(rest[0].at.clone(), "An opening has a width and a height. What is the third?", offers);
            }
        }
        if let Some(c) = o.casing.as_ref().or(r.out.casing.as_ref()).cloned()
            && c.v > CASING
            && !r.asks.iter().any(|q| q.at == c.at)
        {
            let texts = ["in", "mm", "cm"].map(|u| r.with(&c.at, &format!("{} {u}", &r.line[c.at.clone()])));
            let what = format!("The casing would be {} wide. Is it?", inches(c.v, r.units));
            r.ask(c.at.clone(), what, texts.to_vec());
        }
        if let (OpeningKind::Door, Some(s)) = (o.kind, &o.sill)
            && s.v > Length::ZERO
        {
            let from = r.line[..s.at.start].rfind("sill").unwrap_or(s.at.start);
            let gone = r.with(&(from..s.at.end), "");
            let first =
                r.toks.iter().find(|t| t.at.start >= o.at.start && t.word.starts_with("door")).map(|t| t.at.clone());
            let mut offers = vec![gone];
            offers.extend(first.map(|at| r.with(&at, "window")));
            r.ask(s.at.clone(), "A door has no sill. Is it a window?", offers);
        }
    }
}

/// What an opening is called in a question.
pub(super) fn noun(o: &SaidOpening) -> &str {
    match (o.name.as_str(), o.kind) {
        ("", OpeningKind::Door) => "door",
        ("", OpeningKind::Window) => "window",
        ("", OpeningKind::Cased) => "opening",
        (name, _) => name,
    }
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

/// The openings on their walls; those whose wall was not said go on the first that has room.
fn openings(r: &mut Reader, walls: &[Wall], names: &[String], pieces: &[Piece]) -> (Vec<Opening>, Vec<bool>) {
    let casing = r.out.casing.as_ref().map(|m| m.v);
    let said: Vec<SaidOpening> = r.out.openings.iter().filter(|o| o.size.len() == 2).cloned().collect();
    let mut taken = vec![0i64; walls.len()];
    let mut made: Vec<(Opening, Option<usize>)> = Vec::new();
    let asked = r.asks.len();
    for o in &said {
        let (w, h) = if o.size[0].high && !o.size[1].high { (1, 0) } else { (0, 1) };
        let wall = wall_of(r, &o.place, names, pieces);
        if o.place.v == Place::Unsaid
            && let Some(m) = &o.from_corner
        {
            let offers = names.iter().take(5).map(|n| r.inserted(o.size_at.end, &format!(" wall {n}"))).collect();
            r.ask(m.at.clone(), "From the corner of which wall?", offers);
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
        }
        made.push((opening, wall));
    }
    let placed = made.iter().map(|m| m.1.is_some()).collect();
    if r.asks.len() == asked {
        for ((o, wall), said) in made.iter_mut().zip(&said) {
            let needs = o.width.0 * i64::from(o.count);
            let first =
                (0..walls.len()).find(|&i| taken[i] + needs <= walls[i].length.0 && o.height <= walls[i].height);
            match wall {
                Some(_) => {}
                None => {
                    // Where there is no room anywhere, the checks below say why.
                    let i = first.unwrap_or(0);
                    if first.is_some() {
                        taken[i] += needs;
                    }
                    o.wall = i + 1;
                    *wall = Some(i);
                }
            }
            fits(r, o, said, walls, names, &taken);
        }
        overlaps(r, &made, &said, names);
    }
    (made.into_iter().map(|m| m.0).collect(), placed)
}

/// Asks what cannot be: an opening that its wall does not hold.
fn fits(r: &mut Reader, o: &Opening, said: &SaidOpening, walls: &[Wall], names: &[String], taken: &[i64]) {
    let wall = &walls[o.wall - 1];
    let name = &names[o.wall - 1];
    let word = noun(said).to_string();
    let at = said.size_at.clone();
    let say = |l: Length| length(l, r.units);
    let swapped = r.with(&at, &format!("{} x {}", &r.line[said.size[1].at.clone()], &r.line[said.size[0].at.clone()]));
    let mut other = vec![swapped];
    other.extend(units_of(r, &said.size, None).iter().map(|t| r.with(&at, t)));
    let elsewhere = || -> Vec<String> {
        let text = |n: &String| match said.place.v {
            Place::Unsaid => r.inserted(at.end, &format!(" wall {n}")),
            _ => r.with(&said.place.at, &format!("wall {n}")),
        };
        names.iter().map(text).collect()
    };
    if o.height > wall.height {
        let what =
            format!("The {word} would be {} high, the wall is {}. Which is it?", say(o.height), say(wall.height));
        r.ask(at, what, other);
    } else if o.width > wall.length {
        let what = format!("The {word} is {} wide, wall {name} is {}. Which is it?", say(o.width), say(wall.length));
        let mut offers = elsewhere();
        offers.extend(other);
        r.ask(at, what, offers);
    } else if o.sill.is_some_and(|s| s.0 + o.height.0 > wall.height.0) {
        let s = said.sill.as_ref().expect("a sill");
        let most = Length(wall.height.0 - o.height.0);
        let what =
            format!("With its sill at {} the {word} would reach through the ceiling. How high is the sill?", say(s.v));
        let mut offers: Vec<String> =
            ["in", "cm"].iter().map(|u| r.with(&s.at, &format!("{} {u}", &r.line[s.at.clone()]))).collect();
        offers.push(r.with(&s.at, &super::write::inch_length(most, r.units)));
        r.ask(s.at.clone(), what, offers);
    } else if o.from_corner.is_some_and(|c| c.0 + o.width.0 > wall.length.0) {
        let m = said.from_corner.as_ref().expect("a distance");
        let most = Length(wall.length.0 - o.width.0);
        let what = format!("There the {word} would reach past the end of wall {name}. How far from the corner is it?");
        let mut offers: Vec<String> = if m.bare {
            ["in", "cm", "mm"].iter().map(|u| r.with(&m.at, &format!("{} {u}", &r.line[m.at.clone()]))).collect()
        } else {
            Vec::new()
        };
        offers.push(r.with(&m.at, &super::write::inch_length(most, r.units)));
        r.ask(m.at.clone(), what, offers);
    } else if taken[o.wall - 1] > wall.length.0 || (said.place.v == Place::Unsaid && !room_for(o, walls, taken)) {
        let asked = format!("wider than wall {name}");
        if !r.asks.iter().any(|q| q.ask.contains(&asked)) {
            let what = format!("The openings together are {asked}, {}. Which wall is the {word} on?", say(wall.length));
            let offers = elsewhere();
            r.ask(said.at.clone(), what, offers);
        }
    }
}

/// Whether an opening without a wall found one: it is counted among what its wall holds.
fn room_for(o: &Opening, walls: &[Wall], taken: &[i64]) -> bool {
    let i = o.wall - 1;
    taken[i] >= o.width.0 * i64::from(o.count) && taken[i] <= walls[i].length.0
}

/// Two openings in one place.
fn overlaps(r: &mut Reader, made: &[(Opening, Option<usize>)], said: &[SaidOpening], names: &[String]) {
    for (j, (b, _)) in made.iter().enumerate() {
        for (a, _) in &made[..j] {
            let (Some(x), Some(y)) = (a.from_corner, b.from_corner) else { continue };
            let base = |o: &Opening| match (o.sill, o.kind) {
                (Some(s), _) => s.0,
                (None, OpeningKind::Window) => (inch(80).0 - o.height.0).max(0),
                (None, _) => 0,
            };
            let beside = x.0 + a.width.0 <= y.0 || y.0 + b.width.0 <= x.0;
            let above = base(a) + a.height.0 <= base(b) || base(b) + b.height.0 <= base(a);
            if a.wall == b.wall && !beside && !above {
                let m = said[j].from_corner.as_ref().expect("a distance");
                let behind = Length(x.0 + a.width.0 + inch(4).0);
                let offers = vec![r.with(&m.at, &super::write::inch_length(behind, r.units))];
                let what = format!(
                    "There it would stand in the opening before it on wall {}. How far from the corner is it?",
                    names[b.wall - 1]
                );
                r.ask(m.at.clone(), what, offers);
            }
        }
    }
}
