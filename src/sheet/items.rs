//! The grammar of a line: the room's name and walls, then what is counted and where it is.

use std::ops::Range;

use super::draft::{Face, FeatureKind, Measure, Place, Said, SaidBoxes, SaidFeature, SaidOpening, SaidWall, Shape};
use super::lex::Kind;
use super::reader::{Of, Reader};
use super::vocabulary::{KNOWN, Noun, count_word, noise};
use crate::job::OpeningKind;
use crate::jobfile::nearest;
use crate::measure::Length;

/// Most that is counted in one breath.
const MOST: u32 = 100;

/// What the words behind a comma still belong to.
#[derive(Clone, Copy, PartialEq)]
enum Last {
    None,
    Opening,
    Feature,
    Boxes,
}

/// Reads the whole line into its draft and questions.
pub(super) fn read(r: &mut Reader) {
    let first = name(r);
    let at = first..r.toks.len();
    if r.word(r.p) == "walls" && r.extent(r.p + 1).is_some() {
        run(r);
    } else if r.pieces(r.p).0 > 0 {
        rectangle(r);
    } else {
        let end = r.toks.last().map_or(r.line.len(), |t| t.at.end);
        let at = if at.is_empty() { 0..end } else { r.bytes(0, first) };
        r.ask(at, "How long, wide and high is the room?", Vec::new());
    }
    Items { r, last: Last::None, comma: true, size_first: None }.read();
}

/// Finds the name; the present token is then the first behind it.
fn name(r: &mut Reader) -> usize {
    let colon = r.toks.iter().rposition(|t| t.kind == Kind::Colon);
    let n = r.toks.len();
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
    // `study 13 6 x 11 4`: is 13 part of the name?
    if colon.is_none() && to == end && to > 0 && r.kind(to - 1) == Some(Kind::Number) && r.pieces(end).0 > 1 {
        let feet: i64 = r.toks[to - 1].word.parse().unwrap_or(0);
        let next: i64 = r.toks[end].word.parse().unwrap_or(99);
        if feet >= 3 && next < 12 && r.unit(Of::Room) == crate::measure::Unit::Feet {
            let at = r.bytes(to - 1, end + 1);
            let name_at = r.toks[to - 1].at.end;
            let offers = vec![r.with(&at, &format!("{feet}'{next}")), r.inserted(name_at, ":")];
            let text = r.line[at.clone()].to_string();
            r.ask(at, format!("Is {text} one measure, or does {feet} belong to the name?"), offers);
        }
    }
    to
}

/// The name with a large first letter.
fn capital(name: &str) -> String {
    let mut c = name.chars();
    c.next().map_or(String::new(), |f| f.to_uppercase().chain(c).collect())
}

/// `13' x 11'6 x 8'4`.
fn rectangle(r: &mut Reader) {
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
fn run(r: &mut Reader) {
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
fn angle(r: &mut Reader) -> Option<f64> {
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

/// The words behind the walls.
struct Items<'r, 'a> {
    r: &'r mut Reader<'a>,
    last: Last,
    /// A comma stands right before the present token.
    comma: bool,
    /// `36x54 windows`: the size came first.
    size_first: Option<(Vec<Measure>, Range<usize>)>,
}

impl Items<'_, '_> {
    fn read(&mut self) {
        while let Some(kind) = self.r.kind(self.r.p) {
            let from = self.r.p;
            match kind {
                Kind::Comma => {
                    self.comma = true;
                    self.r.p += 1;
                    continue;
                }
                Kind::Stop | Kind::Dash | Kind::Colon => self.r.p += 1,
                Kind::Number | Kind::Fraction => self.number(),
                _ => self.words(),
            }
            // Whatever happens, it goes on.
            self.r.p = self.r.p.max(from + 1);
            self.comma = false;
        }
        self.unsized_ones();
    }

    fn unknown(&mut self) {
        let from = self.r.p;
        self.r.skip();
        let at = self.r.bytes(from, self.r.p);
        let mut offers = Vec::new();
        for i in from..self.r.p {
            let word = self.r.word(i);
            if word.chars().count() > 2
                && !KNOWN.contains(&word)
                && let Some(near) = nearest(word, KNOWN.iter().copied())
            {
                offers.push(self.r.with(&self.r.toks[i].at.clone(), near));
            }
        }
        let text = self.r.line[at.clone()].to_string();
        // Without it, and without the comma before.
        let gone = match from.checked_sub(1).map(|i| &self.r.toks[i]) {
            Some(t) if t.kind == Kind::Comma => t.at.start..at.end,
            _ => at.clone(),
        };
        offers.push(self.r.with(&gone, "").trim_end().to_string());
        self.r.ask(at, format!("What is \"{text}\"?"), offers);
    }

    /// A number, and what it counts or measures.
    fn number(&mut self) {
        let i = self.r.p;
        let plain = self.r.kind(i) == Some(Kind::Number) && self.r.toks[i].word.bytes().all(|b| b.is_ascii_digit());
        if plain {
            let n = self.r.toks[i].word.parse::<u32>().unwrap_or(u32::MAX);
            let crossed = self.r.kind(i + 1) == Some(Kind::Cross);
            for j in [Some(i + 1), crossed.then_some(i + 2)].into_iter().flatten() {
                if let Some((noun, end)) = self.r.noun(j)
                    && noun != Noun::Cracks
                {
                    return self.counted(Some(n), i, noun, end);
                }
            }
            // `2 36x54 windows`.
            let (pieces, end) = self.r.pieces(i + 1);
            if pieces > 1
                && self.r.pieces(i).0 == 1
                && let Some((noun, end)) = self.r.noun(end)
            {
                self.r.p = i + 1;
                let at = self.r.bytes(i + 1, end - 1);
                if let Some(size) = self.r.chain(Of::Opening) {
                    self.size_first = Some((size, at));
                    return self.counted(Some(n), i, noun, end);
                }
                self.r.p = end;
                return;
            }
        }
        let (pieces, end) = self.r.pieces(i);
        let behind = self.r.word(end).to_string();
        if pieces == 1 {
            let of_crack = if behind == "of" { self.r.word(end + 1) } else { &behind };
            if matches!(of_crack, "crack" | "cracks" | "cracking") {
                if let Some(m) = self.r.one(Of::Room) {
                    self.r.out.cracks += m.v;
                }
                self.r.p = end + 1 + usize::from(behind == "of");
                self.last = Last::None;
                return;
            }
            if self.r.kind(i + 1) == Some(Kind::Degree) && self.last == Last::Feature {
                let a = angle(self.r);
                return self.set_angle(a, i);
            }
            let high = self.r.toks[end - 1].word == "high" && !matches!(behind.as_str(), "ceiling" | "ceilings");
            if matches!(behind.as_str(), "ceiling" | "ceilings") || high {
                return self.height(i);
            }
            match behind.as_str() {
                "sill" | "casing" => {
                    self.r.p = i;
                    let m = self.r.one(Of::Opening);
                    self.r.p = end + 1;
                    return if behind == "sill" { self.sill(m, i) } else { self.casing(m, i) };
                }
                "from" | "off" => {
                    let m = self.r.one(self.of_last());
                    self.r.p = end + 1;
                    self.corner_words();
                    return self.offset(m, i);
                }
                _ => {}
            }
        }
        if self.wants_size() || self.r.noun(end).is_some() {
            let asked = self.r.asks.len();
            let of = if self.last == Last::Feature { Of::Room } else { Of::Opening };
            let size = self.r.chain(if self.r.noun(end).is_some() { Of::Opening } else { of });
            let at = self.r.bytes(i, self.r.p);
            if let Some((noun, behind)) = self.r.noun(self.r.p).filter(|_| !self.wants_size()) {
                if let Some(size) = size {
                    self.size_first = Some((size, at));
                }
                return self.counted(None, i, noun, behind);
            }
            match size {
                Some(size) => self.set_size(size, at),
                // Asked already: no second question for the missing size.
                None if self.r.asks.len() > asked => self.set_size(Vec::new(), at),
                None => {}
            }
            return;
        }
        self.unknown();
    }

    fn of_last(&self) -> Of {
        if self.last == Last::Feature { Of::Room } else { Of::Opening }
    }

    /// `the corner` behind `from`.
    fn corner_words(&mut self) {
        while matches!(self.r.word(self.r.p), "the" | "near" | "corner" | "left" | "its") {
            self.r.p += 1;
        }
    }

    fn wants_size(&self) -> bool {
        match self.last {
            Last::Opening => self.r.out.openings.last().is_some_and(|o| o.size_at.is_empty()),
            Last::Feature => self.r.out.features.last().is_some_and(|f| f.size_at.is_empty()),
            _ => false,
        }
    }

    fn set_size(&mut self, size: Vec<Measure>, at: Range<usize>) {
        match self.last {
            Last::Opening => {
                let o = self.r.out.openings.last_mut().expect("an opening");
                (o.size, o.size_at) = (size, at.clone());
                o.at.end = at.end;
            }
            Last::Feature => {
                let f = self.r.out.features.last_mut().expect("a feature");
                (f.size, f.size_at) = (size, at.clone());
                f.at.end = at.end;
            }
            _ => {}
        }
    }

    fn set_angle(&mut self, a: Option<f64>, from: usize) {
        let at = self.r.bytes(from, self.r.p);
        let Some(a) = a else { return };
        let f = self.r.out.features.last_mut().expect("a feature");
        if f.kind == FeatureKind::Bay && (15.0..=90.0).contains(&a) {
            f.angle = a;
        } else {
            self.r.ask(at, "The sides of a bay stand at 15 to 90 degrees. What is it here?", Vec::new());
        }
    }

    /// The height of a room said apart, `8'4 high`.
    fn height(&mut self, from: usize) {
        self.r.p = from;
        let h = self.r.one(Of::Room);
        while matches!(self.r.word(self.r.p), "high" | "ceiling" | "ceilings") {
            self.r.p += 1;
        }
        self.set_height(h, from);
    }

    fn set_height(&mut self, h: Option<Measure>, from: usize) {
        let at = self.r.bytes(from, self.r.p);
        let Some(h) = h else { return };
        match &mut self.r.out.shape {
            Some(Shape::Rectangle(sides)) if sides.len() == 2 => {
                self.r.out.shape_at.end = self.r.out.shape_at.end.max(h.at.end);
                sides.push(h);
            }
            Some(Shape::Run(walls)) if walls.iter().any(|w| w.height.is_none()) => {
                for w in walls.iter_mut().filter(|w| w.height.is_none()) {
                    w.height = Some(h.clone());
                }
            }
            Some(_) => self.r.ask(at, "The height is said twice. Which one is it?", Vec::new()),
            None => {}
        }
    }

    /// So many of something. `from` is the token it begins with.
    fn counted(&mut self, n: Option<u32>, from: usize, noun: Noun, end: usize) {
        self.r.p = end;
        let at = self.r.bytes(from, end);
        let size_first = self.size_first.take();
        if n.is_some_and(|n| n > MOST) {
            let number = self.r.toks[from].at.clone();
            self.r.ask(number, "So many? How many are there?", Vec::new());
            self.r.skip();
            return;
        }
        let none = n == Some(0);
        let last_word = self.r.word(end - 1).to_string();
        let plural = last_word.ends_with('s');
        match noun {
            Noun::Opening(kind, name) => {
                if n.is_none() && plural {
                    let counts = ["1", "2", "3"].map(|c| self.r.inserted(at.start, &format!("{c} ")));
                    self.r.ask(at.clone(), format!("How many {last_word}?"), counts.to_vec());
                }
                self.last = Last::Opening;
                if none {
                    self.last = Last::None;
                    return;
                }
                let (size, size_at) = size_first.unwrap_or((Vec::new(), 0..0));
                self.r.out.openings.push(SaidOpening {
                    kind,
                    name,
                    at: at.clone(),
                    count: n.unwrap_or(1),
                    size,
                    size_at,
                    place: Said { v: Place::Unsaid, at: at.end..at.end },
                    sill: None,
                    from_corner: None,
                    casing: None,
                });
            }
            Noun::Feature(kind, angle) => {
                if n.is_some_and(|n| n > 1) || (n.is_none() && last_word == "alcoves") {
                    let what = format!("Where is each {} and how large? Say them one by one.", kind.word());
                    self.r.ask(at, what, Vec::new());
                    self.r.skip();
                    return;
                }
                self.last = Last::Feature;
                let (size, size_at) = size_first.unwrap_or((Vec::new(), 0..0));
                self.r.out.features.push(SaidFeature {
                    kind,
                    at: at.clone(),
                    size,
                    size_at,
                    place: Said { v: Place::Unsaid, at: at.end..at.end },
                    from_corner: None,
                    angle,
                });
            }
            Noun::Boxes => {
                let n = n.or_else(|| self.count_behind());
                let n = match n {
                    None if plural => {
                        let counts = ["2", "3", "4"].map(|c| self.r.inserted(at.start, &format!("{c} ")));
                        self.r.ask(at.clone(), format!("How many {last_word}?"), counts.to_vec());
                        1
                    }
                    n => n.unwrap_or(1),
                };
                self.last = if n == 0 { Last::None } else { Last::Boxes };
                if n > 0 {
                    self.r.out.boxes.push(SaidBoxes {
                        count: n,
                        at: at.clone(),
                        place: Said { v: Place::Unsaid, at: at.end..at.end },
                    });
                }
            }
            Noun::Holes => {
                let n = n.or_else(|| self.count_behind());
                if n.is_none() && plural {
                    let counts = ["3", "6", "12"].map(|c| self.r.inserted(at.start, &format!("{c} ")));
                    self.r.ask(at, "How many holes?", counts.to_vec());
                }
                self.r.out.holes = self.r.out.holes.saturating_add(n.unwrap_or(1));
                self.last = Last::None;
            }
            Noun::Cracks => {
                self.last = Last::None;
                if none {
                    return;
                }
                if self.r.extent(self.r.p).is_some() {
                    if let Some(m) = self.r.one(Of::Room) {
                        self.r.out.cracks += m.v;
                    }
                } else {
                    self.r.ask(at, "How long are the cracks together?", Vec::new());
                }
            }
        }
    }

    /// `holes 6`.
    fn count_behind(&mut self) -> Option<u32> {
        let t = self.r.toks.get(self.r.p)?;
        let n = t.word.parse::<u32>().ok().filter(|n| t.kind == Kind::Number && *n <= MOST)?;
        if self.r.noun(self.r.p + 1).is_some() || self.r.pieces(self.r.p).0 > 1 {
            return None;
        }
        self.r.p += 1;
        Some(n)
    }

    fn words(&mut self) {
        let i = self.r.p;
        let (a, b) = (self.r.word(i).to_string(), self.r.word(i + 1).to_string());
        if a == "no" && b == "casing" {
            self.r.p = i + 2;
            let at = self.r.bytes(i, i + 2);
            return self.casing(Some(Measure { v: Length::ZERO, at, bare: false, high: false }), i);
        }
        if let Some(n) = count_word(&a) {
            let j = if matches!(b.as_str(), "of" | "pair") { i + 2 } else { i + 1 };
            let n = if b == "pair" { 2 } else { n };
            let j = if self.r.word(j) == "of" { j + 1 } else { j };
            if let Some((noun, end)) = self.r.noun(j) {
                return self.counted(Some(n), i, noun, end);
            }
            let (pieces, end) = self.r.pieces(j);
            if pieces > 1
                && let Some((noun, end)) = self.r.noun(end)
            {
                self.r.p = j;
                if let Some(size) = self.r.chain(Of::Opening) {
                    let at = self.r.bytes(j, self.r.p);
                    self.size_first = Some((size, at));
                }
                return self.counted(Some(n), i, noun, end);
            }
            return self.unknown();
        }
        // `in the bay` says where; `bay 6 x 2` is one.
        if (a == "in" || a == "at")
            && let Some(end) = self.in_feature(i)
        {
            self.r.p = end;
            return;
        }
        if let Some((noun, end)) = self.r.noun(i) {
            return self.counted(None, i, noun, end);
        }
        match (a.as_str(), b.as_str()) {
            ("as", "measured") => {
                self.r.out.meant = true;
                self.r.p = i + 2;
            }
            ("wall" | "side", _) => self.wall(i),
            ("high" | "height" | "ceiling" | "ceilings", _) if self.r.extent(i + 1).is_some() => {
                self.r.p = i + 1;
                let h = self.r.one(Of::Room);
                while matches!(self.r.word(self.r.p), "high" | "ceiling" | "ceilings") {
                    self.r.p += 1;
                }
                self.set_height(h, i);
            }
            ("sill" | "sills", _) => {
                let j = if b == "at" { i + 2 } else { i + 1 };
                self.r.p = j;
                let m = if self.r.extent(j).is_some() { self.r.one(Of::Opening) } else { return self.unknown_at(i) };
                self.sill(m, i);
            }
            ("casing" | "casings", _) if self.r.extent(i + 1).is_some() => {
                self.r.p = i + 1;
                let m = self.r.one(Of::Opening);
                self.casing(m, i);
            }
            ("at", "sill") => self.r.p = i + 1,
            ("at", _) if self.r.extent(i + 1).is_some() => {
                self.r.p = i + 1;
                let m = self.r.one(self.of_last());
                if matches!(self.r.word(self.r.p), "from" | "off") {
                    self.r.p += 1;
                    self.corner_words();
                }
                self.offset(m, i);
            }
            ("in", "wall") | ("centred" | "centered", _) => self.r.p = i + 1,
            (w, _) if noise(w) => self.r.p = i + 1,
            _ => self.name_or_unknown(),
        }
    }

    fn unknown_at(&mut self, i: usize) {
        self.r.p = i;
        self.unknown();
    }

    /// `13 x 11 x 8 study`: a name behind the measures, where none stood before.
    fn name_or_unknown(&mut self) {
        let i = self.r.p;
        let mut end = i;
        while self.r.kind(end) == Some(Kind::Word) && self.r.noun(end).is_none() {
            end += 1;
        }
        let first = i > 0 && self.r.toks[i - 1].at.end <= self.r.out.shape_at.end.max(1) || i == 0;
        let ends = matches!(self.r.kind(end), None | Some(Kind::Comma));
        if self.r.out.name.is_empty() && self.r.out.shape.is_some() && first && ends && end > i {
            self.r.out.name = capital(self.r.line[self.r.bytes(i, end)].trim());
            self.r.p = end;
            return;
        }
        self.unknown();
    }

    /// `wall 2`, `wall 1a`.
    fn wall(&mut self, i: usize) {
        let Some(t) = self.r.toks.get(i + 1).filter(|t| t.kind == Kind::Number).cloned() else {
            self.r.p = i + 1;
            let at = self.r.bytes(i, i + 1);
            let offers = (1..=4).map(|n| self.r.with(&at, &format!("wall {n}"))).collect();
            return self.r.ask(at, "Which wall? They are counted clockwise, the first is the length.", offers);
        };
        let mut called = t.word.clone();
        let mut end = i + 2;
        if let Some(l) = self.r.toks.get(i + 2)
            && l.at.start == t.at.end
            && l.kind == Kind::Word
            && l.word.len() == 1
        {
            called += &l.word;
            end += 1;
        }
        self.r.p = end;
        let at = self.r.bytes(i, end);
        self.place(Place::Wall(called), at);
    }

    /// `in the bay`, `in the far side of the bay`: where it ends.
    fn in_feature(&mut self, i: usize) -> Option<usize> {
        let mut j = i + 1;
        let mut face = Face::Front;
        loop {
            match self.r.word(j) {
                "the" | "of" | "side" | "a" => {}
                "front" => face = Face::Front,
                "near" | "left" => face = Face::Near,
                "far" | "right" => face = Face::Far,
                _ => break,
            }
            j += 1;
        }
        let (Noun::Feature(kind, _), mut end) = self.r.noun(j)? else { return None };
        if self.r.extent(end).is_some() && self.r.pieces(end).0 > 1 && self.r.word(i) == "at" {
            return None;
        }
        match self.r.word(end) {
            "front" => (face, end) = (Face::Front, end + 1),
            "near" | "left" => (face, end) = (Face::Near, end + 1),
            "far" | "right" => (face, end) = (Face::Far, end + 1),
            _ => {}
        }
        if self.r.word(end) == "side" {
            end += 1;
        }
        let at = self.r.bytes(i, end);
        self.place(Place::In(kind, face), at);
        Some(end)
    }

    fn place(&mut self, place: Place, at: Range<usize>) {
        let out = &mut self.r.out;
        let there = match self.last {
            Last::Opening => out.openings.last_mut().map(|o| (&mut o.place, &mut o.at)),
            Last::Feature => out.features.last_mut().map(|f| (&mut f.place, &mut f.at)),
            Last::Boxes => out.boxes.last_mut().map(|b| (&mut b.place, &mut b.at)),
            Last::None => None,
        };
        match there {
            Some((p, whole)) if p.v == Place::Unsaid => {
                whole.end = at.end;
                *p = Said { v: place, at };
            }
            Some(_) => {
                let gone = vec![self.r.with(&at, "")];
                self.r.ask(at, "It is on a wall already. Which one is it?", gone);
            }
            None => {
                let gone = vec![self.r.with(&at, "")];
                self.r.ask(at, "What is on that wall?", gone);
            }
        }
    }

    /// Puts a measure of the last opening, once.
    fn of_opening(
        &mut self,
        m: Option<Measure>,
        from: usize,
        what: &str,
        slot: fn(&mut SaidOpening) -> &mut Option<Measure>,
    ) {
        let at = self.r.bytes(from, self.r.p);
        let Some(m) = m else { return };
        let last = if self.last == Last::Opening { self.r.out.openings.last_mut() } else { None };
        let free = last.map(|o| {
            let free = slot(o).is_none();
            if free {
                o.at.end = o.at.end.max(at.end);
                *slot(o) = Some(m);
            }
            free
        });
        match free {
            Some(true) => {}
            Some(false) => {
                let gone = vec![self.r.with(&at, "")];
                self.r.ask(at, format!("The {what} is said twice. Which one is it?"), gone);
            }
            None => {
                let gone = vec![self.r.with(&at, "")];
                self.r.ask(at, format!("What is this the {what} of?"), gone);
            }
        }
    }

    fn sill(&mut self, m: Option<Measure>, from: usize) {
        self.of_opening(m, from, "sill", |o| &mut o.sill);
    }

    fn offset(&mut self, m: Option<Measure>, from: usize) {
        if self.last != Last::Feature {
            return self.of_opening(m, from, "distance from the corner", |o| &mut o.from_corner);
        }
        let at = self.r.bytes(from, self.r.p);
        if let (Some(m), Some(f)) = (m, self.r.out.features.last_mut()) {
            f.at.end = at.end;
            f.from_corner = Some(m);
        }
    }

    /// Behind a comma the casing is that of every opening.
    fn casing(&mut self, m: Option<Measure>, from: usize) {
        let comma = self.comma;
        if !comma && self.last == Last::Opening {
            return self.of_opening(m, from, "casing", |o| &mut o.casing);
        }
        let at = self.r.bytes(from, self.r.p);
        let Some(m) = m else { return };
        if self.r.out.casing.is_some() {
            let gone = vec![self.r.with(&at, "")];
            self.r.ask(at, "The casing is said twice. Which one is it?", gone);
        } else {
            self.r.out.casing = Some(m);
        }
    }

    /// Openings and bays without a size.
    fn unsized_ones(&mut self) {
        let metric = self.r.units == crate::job::Units::Metric;
        for o in self.r.out.openings.clone().iter().filter(|o| o.size_at.is_empty()) {
            let sizes = match (o.kind, metric) {
                (OpeningKind::Door, false) => ["30x80", "32x80", "36x80"],
                (OpeningKind::Door, true) => ["70x200", "80x200", "90x200"],
                (OpeningKind::Window, false) => ["30x48", "36x54", "36x60"],
                (OpeningKind::Window, true) => ["80x120", "100x120", "120x140"],
                (OpeningKind::Cased, false) => ["36x80", "48x80", "60x80"],
                (OpeningKind::Cased, true) => ["90x200", "120x200", "150x200"],
            };
            let offers = sizes.map(|s| self.r.inserted(o.at.end, &format!(" {s}"))).to_vec();
            let what = if o.count > 1 { "How wide and high are they?" } else { "How wide and high is it?" };
            self.r.ask(o.at.clone(), what, offers);
        }
        for f in self.r.out.features.clone().iter().filter(|f| f.size_at.is_empty()) {
            self.r.ask(f.at.clone(), format!("How wide and how deep is the {}?", f.kind.word()), Vec::new());
        }
    }
}
