//! The grammar of a line: the room's name and walls, then what is counted and where it is.

use std::ops::Range;

use super::begin::{angle, capital, name, rectangle, run};
use super::draft::{Measure, Place, Said, SaidBoxes, SaidFeature, SaidOpening};
use super::lex::Kind;
use super::reader::{Of, Reader};
use super::vocabulary::{KNOWN, Noun, count_word, noise, unmeasured};
use crate::jobfile::nearest;
use crate::measure::Length;

/// Most that is counted in one breath; more holes and boxes are possible than openings.
fn most(noun: &Noun) -> u32 {
    match noun {
        Noun::Holes => 1000,
        Noun::Boxes => 200,
        _ => 100,
    }
}

/// What the words behind a comma still belong to.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Last {
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
    } else if r.asks.is_empty() {
        let end = r.toks.last().map_or(r.line.len(), |t| t.at.end);
        let at = if at.is_empty() { 0..end } else { r.bytes(0, first) };
        r.ask(at, "How long, wide and high is the room?", Vec::new());
    }
    Items { r, last: Last::None, comma: true, size_first: None, place_first: None }.read();
}

/// The words behind the walls.
pub(super) struct Items<'r, 'a> {
    pub r: &'r mut Reader<'a>,
    pub last: Last,
    /// A comma stands right before the present token.
    pub comma: bool,
    /// `36x54 windows`: the size came first.
    size_first: Option<(Vec<Measure>, Range<usize>)>,
    /// `wall 2 door 32x80`: the wall came first.
    pub place_first: Option<Said<Place>>,
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

    pub(super) fn unknown(&mut self) {
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
        if self.last == Last::Feature && self.r.p == from + 1 && self.r.only_angle(from).is_some() {
            offers.push(self.r.inserted(at.end, "°"));
        }
        if self.r.pieces(from).0 == 2 {
            offers.extend(["window ", "door ", "cased opening "].map(|w| self.r.inserted(at.start, w)));
        }
        offers.push(self.r.with(&gone, ""));
        let said = match unmeasured(&text) {
            Some(what) => {
                format!(
                    "\"{what}\" is nothing measured here: leave it out, and make the work on it a step of your own."
                )
            }
            None => format!("What is \"{text}\"?"),
        };
        self.r.ask(at, said, offers);
    }

    /// A number, and what it counts or measures.
    fn number(&mut self) {
        let i = self.r.p;
        if self.last == Last::Feature && self.wants_size() && self.faces(i) {
            return;
        }
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
                "from" | "off" | "above" if self.word_behind_the(end + 1) == "floor" => {
                    let m = self.r.one(Of::Opening);
                    self.r.p = end + 1 + usize::from(self.r.word(end + 1) == "the") + 1;
                    return self.sill(m, i);
                }
                "apart" | "between" | "gap" => {
                    let m = self.r.one(Of::Opening);
                    self.r.p = end + 1 + usize::from(self.r.word(end + 1) == "them");
                    return self.gap(m, i);
                }
                "from" | "off" if self.opening_before(end + 1).is_some() => {
                    let m = self.r.one(Of::Opening);
                    self.r.p = self.opening_before(end + 1).unwrap_or(end + 1);
                    return self.gap(m, i);
                }
                "from" | "off" => {
                    let m = self.r.one(self.of_last());
                    self.r.p = end;
                    return self.distance(m, i);
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

    /// The word at a token, `the` read over.
    fn word_behind_the(&self, i: usize) -> &str {
        if self.r.word(i) == "the" { self.r.word(i + 1) } else { self.r.word(i) }
    }

    /// So many of something. `from` is the token it begins with.
    fn counted(&mut self, n: Option<u32>, from: usize, noun: Noun, end: usize) {
        self.r.p = end;
        let at = self.r.bytes(from, end);
        let size_first = self.size_first.take();
        let place = self.place_first.take().unwrap_or(Said { v: Place::Unsaid, at: at.end..at.end });
        if n.is_some_and(|n| n > most(&noun)) {
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
                    let mut counts = ["2", "3"].map(|c| self.r.inserted(at.start, &format!("{c} "))).to_vec();
                    let word = self.r.bytes(end - 1, end);
                    counts.insert(0, self.r.with(&word, last_word.trim_end_matches('s')));
                    self.r.ask(at.clone(), format!("How many {last_word}?"), counts);
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
                    place,
                    sill: None,
                    from_corner: None,
                    further: Vec::new(),
                    far: false,
                    gap: None,
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
                    word_at: at.clone(),
                    size,
                    size_at,
                    place,
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
                    self.r.out.boxes.push(SaidBoxes { count: n, at: at.clone(), place });
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
        let n = t.word.parse::<u32>().ok().filter(|n| t.kind == Kind::Number && *n <= most(&Noun::Holes))?;
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
        let at_side = matches!(a.as_str(), "left" | "right" | "near" | "far");
        if (a == "in" || a == "at" || at_side)
            && let Some(end) = self.in_feature(i, if at_side { i } else { i + 1 })
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
            ("in", "the") if self.r.word(i + 2) == "middle" => self.r.p = i + 3,
            ("sides", "at") if self.last == Last::Feature => self.r.p = i + 1,
            ("at", _) if self.last == Last::Feature && self.r.kind(i + 2) == Some(Kind::Degree) => {
                self.r.p = i + 1;
                let a = angle(self.r);
                self.set_angle(a, i);
            }
            ("at", _) if self.angle_of_bay(i + 1).is_some() => {
                let a = self.angle_of_bay(i + 1);
                self.r.p = i + 2;
                self.set_angle(a, i);
            }
            ("at", _) if self.r.extent(i + 1).is_some() => {
                self.r.p = i + 1;
                let m = self.r.one(self.of_last());
                self.distance(m, i);
            }
            ("gap" | "gaps", _) if self.r.extent(i + 1 + usize::from(b == "of")).is_some() => {
                self.r.p = i + 1 + usize::from(b == "of");
                let m = self.r.one(Of::Opening);
                self.gap(m, i);
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
}
