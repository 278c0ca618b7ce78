//! What is said of the last thing named: its size, its wall, how far from the corner, how
//! high, its casing.

use std::ops::Range;

use super::draft::{Face, FeatureKind, Measure, Place, Said, SaidOpening, Shape};
use super::faces::{Row, forms, sizes};
use super::items::{Items, Last};
use super::lex::Kind;
use super::reader::Of;
use super::vocabulary::{Noun, count_word};
use crate::job::OpeningKind;

impl Items<'_, '_> {
    pub(super) fn of_last(&self) -> Of {
        if self.last == Last::Feature { Of::Room } else { Of::Opening }
    }

    /// `the corner` behind `from`; whether it is the far one.
    fn corner_words(&mut self) -> bool {
        let mut far = false;
        loop {
            match self.r.word(self.r.p) {
                "the" | "near" | "corner" | "left" | "its" => {}
                "right" | "far" if self.last == Last::Opening => far = true,
                "end" if far => {}
                _ => return far,
            }
            self.r.p += 1;
        }
    }

    /// What stands behind a distance: more of them, `at 12 and 60`, and from which corner.
    pub(super) fn distance(&mut self, m: Option<Measure>, from: usize) {
        let mut further = Vec::new();
        while self.last == Last::Opening
            && let Some(j) = self.one_more()
        {
            self.r.p = j;
            further.extend(self.r.one(Of::Opening));
        }
        let mut far = false;
        if matches!(self.r.word(self.r.p), "from" | "off") {
            self.r.p += 1;
            far = self.corner_words();
        }
        // `12 from the corner, 60 from the corner` of two.
        let again = self.last == Last::Opening
            && self.r.out.openings.last().is_some_and(|o| o.count > 1 && o.from_corner.is_some() && o.far == far);
        if !again {
            self.offset(m.clone(), from);
        }
        if let (Last::Opening, Some(o)) = (self.last, self.r.out.openings.last_mut()) {
            if again {
                o.further.extend(m);
            }
            o.further.extend(further);
            o.far |= far;
        }
    }

    /// Where another distance of a list begins, behind `and`, `&` or a comma; none where what follows is something
    /// else.
    fn one_more(&self) -> Option<usize> {
        let (p, count) = (self.r.p, self.r.out.openings.last().map_or(1, |o| o.count));
        let j = match (self.r.kind(p), self.r.word(p)) {
            (_, "and") => p + 1,
            // A comma only between distances of several.
            (Some(Kind::Comma), _) if count > 1 && self.r.word(p + 1) == "and" => p + 2,
            (Some(Kind::Comma), _) if count > 1 => p + 1,
            _ => return None,
        };
        let (pieces, end) = self.r.pieces(j);
        if pieces != 1 || self.r.noun(end).is_some() || self.r.toks[end - 1].word == "high" {
            return None;
        }
        let said = matches!(self.r.word(end), "sill" | "casing") && self.r.extent(end + 1).is_none();
        let other = matches!(self.r.word(end), "apart" | "between" | "gap" | "high" | "ceiling" | "of" | "above");
        let crack = self.r.word(end).starts_with("crack");
        let floor = self.r.word(end) == "from" && [end + 1, end + 2].iter().any(|&k| self.r.word(k) == "floor");
        (!said && !other && !crack && !floor).then_some(j)
    }

    /// `from the door` behind a distance: the opening said before this one; the token behind it.
    pub(super) fn opening_before(&self, i: usize) -> Option<usize> {
        let (j, mut words) = (i, i);
        while matches!(self.r.word(words), "the" | "first" | "last" | "other" | "previous") {
            words += 1;
        }
        let n = self.r.out.openings.len();
        let first = (j..words).any(|k| self.r.word(k) == "first");
        let (Noun::Opening(kind, _), end) = self.r.noun(words)? else { return None };
        let before = self.r.out.openings.get(n.checked_sub(2)?)?;
        // A size behind it: that is the next opening.
        let next = self.r.extent(end).is_some();
        (self.last == Last::Opening && before.kind == kind && (!first || n == 2) && !next).then_some(end)
    }

    pub(super) fn gap(&mut self, m: Option<Measure>, from: usize) {
        self.of_opening(m, from, "distance between them", |o| &mut o.gap);
    }

    pub(super) fn wants_size(&self) -> bool {
        match self.last {
            Last::Opening => self.r.out.openings.last().is_some_and(|o| o.size_at.is_empty()),
            Last::Feature => self.r.out.features.last().is_some_and(|f| f.size_at.is_empty()),
            _ => false,
        }
    }

    pub(super) fn set_size(&mut self, size: Vec<Measure>, at: Range<usize>) {
        match self.last {
            Last::Opening => {
                let o = self.r.out.openings.last_mut().expect("an opening");
                (o.size, o.size_at) = (size, at.clone());
                o.at.end = at.end;
            }
            Last::Feature => {
                // `1'9 deep, 8'6 wide`: the depth came first.
                let deep = |m: &Measure| self.r.line[m.at.end..].trim_start().starts_with("deep");
                let mut size = size;
                if size.len() == 2 && deep(&size[0]) && !deep(&size[1]) {
                    size.swap(0, 1);
                }
                let f = self.r.out.features.last_mut().expect("a feature");
                (f.size, f.size_at) = (size, at.clone());
                f.at.end = at.end;
            }
            _ => {}
        }
    }

    /// The size of a bay, an alcove or a breast as measures in a row: its three walls. Whether they were read.
    pub(super) fn faces(&mut self, i: usize) -> bool {
        let Some(kind) = self.r.out.features.last().map(|f| f.kind) else { return false };
        let (size, at) = match self.r.row(i) {
            None => return false,
            Some(Row::Faces(size, at)) => (size.unwrap_or_default(), at),
            Some(Row::Two(at, each)) => {
                let [a, b] = each.map(|x| self.r.line[x].to_string());
                let offers = [format!("{a} x {b}"), format!("{b} x {a}"), format!("{a}, {b}, {a}")];
                let offers = offers.iter().map(|o| self.r.with(&at, o)).collect();
                let word = kind.word();
                let ask = format!("Are {a} and {b} width and depth of the {word}, or two of its three walls?");
                self.r.ask(at.clone(), ask, offers);
                (Vec::new(), at)
            }
        };
        self.set_size(size, at);
        true
    }

    /// What stands at a token behind `at` where it can only be the angle of the bay.
    pub(super) fn angle_of_bay(&self, i: usize) -> Option<f64> {
        let bay = self.last == Last::Feature && self.r.out.features.last()?.kind == FeatureKind::Bay;
        self.r.only_angle(i).filter(|_| bay)
    }

    pub(super) fn set_angle(&mut self, a: Option<f64>, from: usize) {
        let at = self.r.bytes(from, self.r.p);
        let Some(a) = a else { return };
        let f = self.r.out.features.last_mut().expect("a feature");
        if f.kind == FeatureKind::Bay && (15.0..=90.0).contains(&a) {
            f.angle = a;
            f.at.end = f.at.end.max(at.end);
        } else {
            self.r.ask(at, "The sides of a bay stand at 15 to 90 degrees. What is it here?", Vec::new());
        }
    }

    /// The height of a room said apart, `8'4 high`.
    pub(super) fn height(&mut self, from: usize) {
        self.r.p = from;
        let h = self.r.one(Of::Room);
        while matches!(self.r.word(self.r.p), "high" | "ceiling" | "ceilings") {
            self.r.p += 1;
        }
        self.set_height(h, from);
    }

    pub(super) fn set_height(&mut self, h: Option<Measure>, from: usize) {
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
            Some(shape) => {
                let old = match shape {
                    Shape::Rectangle(sides) => sides.get(2).map(|m| m.at.clone()),
                    Shape::Run(_) => None,
                };
                let mut offers = vec![self.r.with(&at, "")];
                if let Some(old) = old {
                    let line = self.r.line;
                    let new = &line[h.at.clone()];
                    offers.push(format!("{}{new}{}{}", &line[..old.start], &line[old.end..at.start], &line[at.end..]));
                }
                self.r.ask(at, "The height is said twice. Which one is it?", offers);
            }
            None => {}
        }
    }

    /// `wall 2`, `wall 1a`.
    pub(super) fn wall(&mut self, i: usize) {
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
        let end = if self.r.kind(end) == Some(Kind::Colon) { end + 1 } else { end };
        let counts = self.r.kind(end) == Some(Kind::Number) && self.r.noun(end + 1).is_some();
        let counts = counts || count_word(self.r.word(end)).is_some() || self.r.noun(end).is_some();
        if self.comma && counts {
            self.place_first = Some(Said { v: Place::Wall(called), at });
            return;
        }
        self.place(Place::Wall(called), at);
    }

    /// `in the bay`, `in the far side of the bay`: where it ends.
    pub(super) fn in_feature(&mut self, i: usize, mut j: usize) -> Option<usize> {
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

    pub(super) fn place(&mut self, place: Place, at: Range<usize>) {
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
    pub(super) fn of_opening(
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

    pub(super) fn sill(&mut self, m: Option<Measure>, from: usize) {
        self.of_opening(m, from, "sill", |o| &mut o.sill);
    }

    pub(super) fn offset(&mut self, m: Option<Measure>, from: usize) {
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
    pub(super) fn casing(&mut self, m: Option<Measure>, from: usize) {
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
    pub(super) fn unsized_ones(&mut self) {
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
            let word = super::openings::noun(o);
            let what = if o.count > 1 {
                format!("How wide and high are the {} {word}s?", o.count)
            } else {
                format!("How wide and high is the {word}?")
            };
            self.r.ask(o.at.clone(), what, offers);
        }
        for f in self.r.out.features.clone().iter().filter(|f| f.size_at.is_empty()) {
            let ask = format!("How wide and how deep is the {}? {}", f.kind.word(), forms(f.kind, self.r.units));
            let behind = f.word_at.end;
            let offers = sizes(f.kind, self.r.units).map(|s| self.r.inserted(behind, &format!(" {s}"))).to_vec();
            self.r.ask(f.at.clone(), ask, offers);
        }
    }
}
