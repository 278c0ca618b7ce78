//! How a line begins: the room's name, then its walls.

use super::draft::{SaidWall, Shape};
use super::lex::Kind;
use super::reader::{Of, Reader};
use super::vocabulary::{Noun, count_word};

/// Finds the name; the present token is then the first behind it.
pub(super) fn name(r: &mut Reader) -> usize {
    let n = r.toks.len();
    // The last colon with walls behind it, that of `wall 2: door` apart; else the last before
    // any measure.
    let is_colon = |i: &usize| r.kind(*i) == Some(Kind::Colon);
    let of_wall = |i: usize| (1..=3).any(|k| i >= k && r.word(i - k) == "wall");
    let walls = |i: &usize| !of_wall(*i) && (r.word(i + 1) == "walls" || r.pieces(i + 1).0 > 1);
    let chain = (0..n).find(|&i| r.pieces(i).0 > 1).unwrap_or(n);
    let colon = (0..n).rev().filter(is_colon).find(walls).or_else(|| (0..chain).rev().find(is_colon));
    let begins = |r: &Reader, i: usize| {
        let whole = i == 0 || r.extent(i - 1).is_none_or(|e| e.to <= i);
        whole && (r.pieces(i).0 > 1 || (r.word(i) == "walls" && r.extent(i + 1).is_some()))
    };
    let (end, start) = match colon {
        Some(c) => (c, c + 1),
        None => {
            let first = (0..n).find(|&i| begins(r, i)).or_else(|| (0..n).find(|&i| r.extent(i).is_some()));
            let i = first.unwrap_or(n);
            (i, i)
        }
    };
    r.p = start;
    // A size that belongs to a door is none of the room.
    if colon.is_none()
        && let Some(i) = (0..end).find(|&i| matches!(r.noun(i), Some((Noun::Opening(..), _))))
        && r.kind(end) != Some(Kind::Word)
    {
        let from =
            (0..i).rev().take_while(|&k| r.word(k).is_empty() || count_word(r.word(k)).is_some()).last().unwrap_or(i);
        let mut to = from;
        while to > 0 && matches!(r.kind(to - 1), Some(Kind::Comma | Kind::Dash | Kind::Stop)) {
            to -= 1;
        }
        r.out.name = capital(r.line[r.bytes(0, to)].trim());
        r.p = from;
        if to == 0 {
            r.out.name.clear();
        }
        return to;
    }
    let mut to = end;
    while to > 0 && colon.is_none() && matches!(r.kind(to - 1), Some(Kind::Comma | Kind::Dash | Kind::Stop)) {
        to -= 1;
    }
    r.out.name = if to == 0 { String::new() } else { capital(r.line[r.bytes(0, to)].trim()) };
    // `13 yards x 11 x 8`: a measure that is none.
    if colon.is_none()
        && to == end
        && to > 0
        && r.kind(to - 1) == Some(Kind::Cross)
        && let Some(from) = (0..to).rev().find(|&i| r.kind(i) == Some(Kind::Number))
    {
        let at = r.bytes(from, to - 1);
        let what = format!("How long is {}? Feet, inches, m, cm and mm are read.", &r.line[at.clone()]);
        r.ask(at, what, Vec::new());
        r.p = r.pieces(end).1;
        r.out.name = capital(r.line[r.bytes(0, from)].trim());
        return to;
    }
    // `study 13 6 x 11 4`: is 13 part of the name?
    if colon.is_none() && to == end && to > 0 && r.kind(to - 1) == Some(Kind::Number) && r.pieces(end).0 > 1 {
        let feet: i64 = r.toks[to - 1].word.parse().unwrap_or(0);
        let next: i64 = r.toks[end].word.parse().unwrap_or(99);
        if feet >= 3 && next < 12 && r.unit(Of::Room) == crate::measure::Unit::Feet {
            let at = r.bytes(to - 1, end + 1);
            let name_at = r.toks[to - 1].at.end;
            let mut offers = vec![r.paired(), r.with(&at, &format!("{feet}'{next}"))];
            if to > 1 {
                offers.push(r.inserted(name_at, ":"));
            }
            let text = r.line[at.clone()].to_string();
            r.ask(at, format!("Is {text} one measure, or does {feet} belong to the name?"), offers);
        }
    }
    to
}

/// The name with a large first letter, one blank between its words.
pub(super) fn capital(name: &str) -> String {
    let words: Vec<&str> =
        name.split(|c: char| c.is_whitespace() || c.is_control()).filter(|w| !w.is_empty()).collect();
    let name = words.join(" ");
    let mut c = name.chars();
    c.next().map_or(String::new(), |f| f.to_uppercase().chain(c).collect())
}

/// `13' x 11'6 x 8'4`.
pub(super) fn rectangle(r: &mut Reader) {
    let from = r.p;
    let sides = r.chain(Of::Room);
    let at = r.bytes(from, r.p);
    r.out.shape_at = at.clone();
    if r.word(r.p) == "ceiling" || r.word(r.p) == "ceilings" {
        r.p += 1;
    }
    let Some(mut sides) = sides else { return };
    if let Some(h) = sides.iter().position(|m| m.high)
        && sides.len() == 3
    {
        let height = sides.remove(h);
        sides.push(height);
    }
    if sides.len() > 3 {
        let extra = sides[3].at.start..at.end;
        let offers = vec![r.with(&(sides[2].at.end..at.end), "")];
        r.ask(extra, "A room has length, width and height. What is the rest?", offers);
        return;
    }
    r.out.shape = Some(Shape::Rectangle(sides));
}

/// `walls 12', 6', 5' out, 4', 7', 10', high 8'`.
pub(super) fn run(r: &mut Reader) {
    let from = r.p;
    r.p += 1;
    let mut walls: Vec<SaidWall> = Vec::new();
    let mut asked = false;
    loop {
        let mut i = r.p;
        while matches!(r.kind(i), Some(Kind::Comma | Kind::Stop)) || matches!(r.word(i), "and" | "then") {
            i += 1;
        }
        match r.word(i) {
            "high" if r.extent(i + 1).is_some() => {
                r.p = i + 1;
                let Some(h) = r.one(Of::Room) else {
                    asked = true;
                    continue;
                };
                for w in walls.iter_mut().filter(|w| w.height.is_none()) {
                    w.height = Some(h.clone());
                }
                continue;
            }
            turn @ ("out" | "in" | "straight") => {
                let sign = match turn {
                    "out" => -1.0,
                    "in" => 1.0,
                    _ => 0.0,
                };
                r.p = i + 1;
                let angle = angle(r).unwrap_or(90.0);
                if let Some(w) = walls.last_mut() {
                    w.turn = sign * angle;
                    w.turn_said = true;
                }
                continue;
            }
            _ => {}
        }
        if let Some(w) = walls.last_mut()
            && i == r.p
            && r.kind(i) == Some(Kind::Number)
            && r.kind(i + 1) == Some(Kind::Degree)
        {
            let before = w.turn_said;
            if let (Some(a), false) = (angle(r), before)
                && let Some(w) = walls.last_mut()
            {
                w.turn = a;
                w.turn_said = true;
            }
            continue;
        }
        // The list ends where something is counted, or at a word of another kind.
        let counted = r.kind(i) == Some(Kind::Number) && r.noun(i + 1).is_some();
        let Some(e) = r.extent(i).filter(|_| !counted && r.pieces(i).0 == 1) else { break };
        if matches!(r.word(e.to), "high" | "ceiling" | "ceilings") && r.extent(e.to + 1).is_none() {
            r.p = i;
            let h = r.one(Of::Room);
            r.p += 1;
            for w in walls.iter_mut().filter(|w| w.height.is_none()) {
                w.height.clone_from(&h);
            }
            continue;
        }
        if matches!(r.word(e.to), "of" | "crack" | "cracks" | "from" | "casing" | "sill") {
            break;
        }
        r.p = i;
        match r.one(Of::Room) {
            Some(length) => walls.push(SaidWall { length, turn: 90.0, turn_said: false, height: None }),
            None => asked = true,
        }
    }
    r.out.shape_at = r.bytes(from, r.p);
    if !asked {
        r.out.shape = Some(Shape::Run(walls));
    }
}

/// `45°`, `22.5 degrees`.
pub(super) fn angle(r: &mut Reader) -> Option<f64> {
    if r.kind(r.p) != Some(Kind::Number) || r.kind(r.p + 1) != Some(Kind::Degree) {
        return None;
    }
    let at = r.bytes(r.p, r.p + 2);
    let value = r.toks[r.p].word.replace(',', ".").parse::<f64>().ok().filter(|a| (0.0..=180.0).contains(a));
    r.p += 2;
    if value.is_none() {
        r.ask(at, "An angle is 0 to 180 degrees. What is it here?", Vec::new());
    }
    value
}
