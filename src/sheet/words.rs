//! The echo: a room as it was understood, in words.

use super::build::Built;
use super::draft::FeatureKind;
use super::shape::{self, Feature};
use crate::job::{OpeningKind, Room, Size, Units};
use crate::measure::{Area, Length, Style};
use crate::takeoff::Outline;

/// `13'`, `11'6"`, `6"`, to the sixteenth; `4.2 m`, `80 cm` to the millimetre.
pub(super) fn length(l: Length, units: Units) -> String {
    match units {
        Units::FeetInches => l.print(Style::FeetInches).replace("' ", "'"),
        Units::Metric => metric(l, l.0 >= 1000 * Length::MM),
    }
}

/// Measures of openings: as [`length`], but centimetres up to three metres.
pub(super) fn inches(l: Length, units: Units) -> String {
    match units {
        Units::FeetInches => length(l, units),
        Units::Metric => metric(l, l.0 >= 3000 * Length::MM),
    }
}

/// A sum of walls: `16.1 m` to the centimetre, `52'9"` to the inch; finer is no measure of anything.
fn run_length(l: Length, units: Units) -> String {
    let step = match units {
        Units::FeetInches => Length::INCH,
        Units::Metric => 10 * Length::MM,
    };
    length(Length((l.0 + step / 2).div_euclid(step) * step), units)
}

fn metric(l: Length, metres: bool) -> String {
    let mm = (l.0 + Length::MM / 2).div_euclid(Length::MM);
    let (per, word) = if metres { (1000, "m") } else { (10, "cm") };
    let digits = if metres { 3 } else { 1 };
    let rest = format!("{:0digits$}", mm % per);
    let rest = rest.trim_end_matches('0');
    let point = if rest.is_empty() { "" } else { "." };
    format!("{}{point}{rest} {word}", mm / per)
}

/// `149.5 SF`, `13.9 m2`, to the tenth.
fn area(a: Area, units: Units) -> String {
    let (value, word) = match units {
        Units::FeetInches => (a.0, "SF"),
        Units::Metric => (a.m2(), "m2"),
    };
    let text = format!("{value:.1}");
    format!("{} {word}", text.trim_end_matches(".0"))
}

/// `one`, `two` and on up to twelve, figures above.
fn count(n: u32) -> String {
    const UP: [&str; 13] =
        ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    UP.get(n as usize).map_or_else(|| n.to_string(), |w| (*w).to_string())
}

/// The name with a large first letter.
fn capital(name: &str) -> String {
    let mut c = name.chars();
    c.next().map_or(String::new(), |f| f.to_uppercase().chain(c).collect())
}

/// The whole echo.
pub(super) fn echo(b: &Built, units: Units) -> String {
    let room = &b.room;
    let mut problems = Vec::new();
    let outline = Outline::of(room, "", &mut problems);
    let mut parts = vec![format!("{}: {}", capital(&room.name), shape_words(b, room, units))];
    if let Some((size, features)) = &b.rectangle {
        parts.extend(features.iter().map(|f| feature_words(f, size, units)));
    }
    parts.extend(opening_words(b, units));
    for (x, placed) in room.boxes.iter().zip(&b.boxes_placed) {
        let many = if x.count == 1 { "box" } else { "boxes" };
        let wall = if *placed { format!(" on wall {}", super::label(room, x.wall)) } else { String::new() };
        parts.push(format!("{} {many}{wall}", count(x.count)));
    }
    if room.holes > 0 {
        let many = if room.holes == 1 { "hole" } else { "holes" };
        parts.push(format!("{} {many} to patch", count(room.holes)));
    }
    if room.cracks > Length::ZERO {
        parts.push(format!("{} of cracks", length(room.cracks, units)));
    }
    let run: Length = outline.walls.iter().map(|w| w.length).sum();
    parts.push(format!("{} of wall, {} of floor", run_length(run, units), area(Area(outline.area), units)));
    parts.join("; ")
}

fn shape_words(b: &Built, room: &Room, units: Units) -> String {
    let say = |l: Length| length(l, units);
    if let Some((s, _)) = &b.rectangle {
        return format!("{} x {}, {} high", say(s.length), say(s.width), say(s.height));
    }
    let mut out = format!("{} walls ", count(room.walls.len() as u32));
    let even = room.walls.windows(2).all(|w| w[0].height == w[1].height);
    for (i, w) in room.walls.iter().enumerate() {
        if i > 0 {
            out += ", ";
        }
        out += &say(w.length);
        if !even {
            out += &format!(" ({} high)", say(w.height));
        }
        out += &match w.turn {
            90.0 => String::new(),
            -90.0 => " then out".to_string(),
            0.0 => " then straight on".to_string(),
            t if t < 0.0 => format!(" then out {} degrees", -t),
            t => format!(" then in {t} degrees"),
        };
    }
    if even && let Some(w) = room.walls.first() {
        out += &format!(", {} high", say(w.height));
    }
    out
}

fn feature_words(f: &Feature, size: &Size, units: Units) -> String {
    let say = |l: Length| length(l, units);
    let angle = if f.kind == FeatureKind::Bay && f.angle < 90.0 {
        format!(" with sides at {} degrees", f.angle)
    } else {
        String::new()
    };
    let side = shape::sides(size)[f.side - 1];
    let place = match f.from {
        None => format!("in the middle of wall {}", f.side),
        Some(Length::ZERO) => format!("in the near corner of wall {}", f.side),
        Some(l) if l.0 + f.width.0 == side.0 => format!("in the far corner of wall {}", f.side),
        Some(l) => format!("on wall {}, {} from its corner", f.side, say(l)),
    };
    let square = if f.kind == FeatureKind::Bay && f.angle == 90.0 { "square " } else { "" };
    if let Some(side) = f.slanted {
        let [side, front, wide, deep] = [side, f.front(), f.width, f.depth].map(say);
        return format!("bay of {side}, {front} and {side}{angle}, {wide} wide and {deep} deep, {place}");
    }
    format!("{square}{} {} wide and {} deep{angle} {place}", f.kind.word(), say(f.width), say(f.depth))
}

/// Clear wall between an opening with a place and the nearest measured one before it on its wall.
fn between(others: &[crate::job::Opening], o: &crate::job::Opening) -> Option<Length> {
    let from = o.from_corner?;
    let ends = others.iter().filter(|x| x.wall == o.wall).filter_map(|x| Some(x.from_corner?.0 + x.width.0));
    ends.filter(|e| *e <= from.0).max().map(|e| Length(from.0 - e))
}

/// `1'`, `1' and 8'`, `1', 5' and 8'`.
fn listed(said: &[String]) -> String {
    match said {
        [] => String::new(),
        [one] => one.clone(),
        [init @ .., last] => format!("{} and {last}", init.join(", ")),
    }
}

fn opening_words(b: &Built, units: Units) -> Vec<String> {
    let room = &b.room;
    let say = |l: Length| inches(l, units);
    let mut out = Vec::new();
    let mut next = 0;
    while next < room.openings.len() {
        let (o, placed) = (&room.openings[next], &b.placed[next]);
        let more = room.openings[next + 1..].iter().take_while(|x| super::write::in_a_row(o, x)).count();
        let row = &room.openings[next..=next + more];
        let number = if more == 0 { o.count } else { row.len() as u32 };
        let before = between(&room.openings[..next], o);
        next += 1 + more;
        let what = match (o.name.as_str(), o.kind) {
            ("", OpeningKind::Door) => "door",
            ("", OpeningKind::Window) => "window",
            ("", OpeningKind::Cased) => "cased opening",
            (name, _) => name,
        };
        let many = if number == 1 { "" } else { "s" };
        let mut text = format!("{} {what}{many} {} x {}", count(number), say(o.width), say(o.height));
        if *placed {
            text += &format!(" on wall {}", super::label(room, o.wall));
        }
        let places: Vec<String> = row.iter().filter_map(|o| o.from_corner).map(say).collect();
        if !places.is_empty() {
            text += &format!(", {} from the corner", listed(&places));
        }
        // What lies between them, and before the first of them.
        let gaps: Vec<Length> = row.windows(2).filter_map(|w| between(&w[..1], &w[1])).collect();
        if gaps.len() == more && more > 0 {
            let same = gaps.iter().all(|g| *g == gaps[0]);
            let said: Vec<String> = if same { vec![say(gaps[0])] } else { gaps.iter().map(|g| say(*g)).collect() };
            text += &format!(", {} between", listed(&said));
        }
        if let Some(l) = before {
            text += &format!(", {} from the opening before", say(l));
        }
        if let Some(l) = o.sill {
            text += &format!(", sill at {}", say(l));
        }
        match o.casing {
            None => {}
            Some(Length::ZERO) => text += ", no casing",
            Some(l) => text += &format!(", casing {}", say(l)),
        }
        out.push(text);
    }
    out
}
