//! Measures in a line: how far one reaches, several with crosses between, what cannot be
//! taken one way only.

use std::ops::Range;

use super::Question;
use super::draft::{Draft, Measure};
use super::lex::{Kind, Token, tokens};
use super::vocabulary as words;
use crate::job::Units;
use crate::measure::{Length, Unit};

/// What a bare number is a measure of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Of {
    /// Rooms and walls: feet, or metres.
    Room,
    /// Openings: inches, or centimetres.
    Opening,
}

/// A line being read.
pub(super) struct Reader<'a> {
    pub line: &'a str,
    pub units: Units,
    pub toks: Vec<Token>,
    /// The next token.
    pub p: usize,
    pub out: Draft,
    pub asks: Vec<Question>,
}

/// How far a measure reaches, in tokens.
pub(super) struct Extent {
    pub to: usize,
    pub bare: bool,
    /// Its one unit, written as a word.
    word_unit: Option<Unit>,
}

impl Extent {
    pub fn word_unit(&self) -> Option<Unit> {
        self.word_unit
    }
}

impl<'a> Reader<'a> {
    pub fn new(line: &'a str, units: Units) -> Reader<'a> {
        Reader { line, units, toks: tokens(line), p: 0, out: Draft::default(), asks: Vec::new() }
    }

    pub fn kind(&self, i: usize) -> Option<Kind> {
        self.toks.get(i).map(|t| t.kind)
    }
    /// The word at a token, empty where there is none.
    pub fn word(&self, i: usize) -> &str {
        self.toks.get(i).filter(|t| t.kind == Kind::Word).map_or("", |t| &t.word)
    }
    /// Bytes from a token up to another, that one left out.
    pub fn bytes(&self, from: usize, to: usize) -> Range<usize> {
        let end = self.line.len();
        let start = self.toks.get(from).map_or(end, |t| t.at.start);
        let stop = to.checked_sub(1).and_then(|i| self.toks.get(i)).map_or(end, |t| t.at.end);
        start..stop.max(start)
    }
    /// Whether two neighbouring tokens touch.
    fn touch(&self, i: usize) -> bool {
        i > 0 && self.toks.get(i).is_some_and(|t| t.at.start == self.toks[i - 1].at.end)
    }
    /// The line with other words at these bytes.
    pub fn with(&self, at: &Range<usize>, words: &str) -> String {
        format!("{}{words}{}", &self.line[..at.start], &self.line[at.end..])
    }
    /// The line with words put in at a byte.
    pub fn inserted(&self, at: usize, words: &str) -> String {
        self.with(&(at..at), words)
    }
    pub fn ask(&mut self, at: Range<usize>, ask: impl Into<String>, offers: Vec<String>) {
        self.asks.push(Question { at, ask: ask.into(), offers });
    }

    pub fn unit(&self, of: Of) -> Unit {
        match (self.units, of) {
            (Units::FeetInches, Of::Room) => Unit::Feet,
            (Units::FeetInches, Of::Opening) => Unit::Inches,
            (Units::Metric, Of::Room) => Unit::Metres,
            (Units::Metric, Of::Opening) => Unit::Centimetres,
        }
    }

    /// A whole number, a decimal, a fraction, or both, from a token on: where it ends.
    fn mixed(&self, i: usize) -> Option<usize> {
        match self.kind(i)? {
            Kind::Fraction => Some(i + 1),
            Kind::Number if self.kind(i + 1) == Some(Kind::Fraction) => Some(i + 2),
            Kind::Number
                if self.kind(i + 1) == Some(Kind::Dash)
                    && self.touch(i + 1)
                    && self.kind(i + 2) == Some(Kind::Fraction) =>
            {
                Some(i + 3)
            }
            Kind::Number => Some(i + 1),
            _ => None,
        }
    }

    /// The unit at a token. `in` before `the bay` is no inch.
    fn unit_at(&self, i: usize) -> Option<Unit> {
        match self.kind(i)? {
            Kind::Feet => Some(Unit::Feet),
            Kind::Inch => Some(Unit::Inches),
            Kind::Word if self.word(i) == "in" && words::after_in(self.word(i + 1)) => None,
            Kind::Word => Unit::of_word(self.word(i)),
            _ => None,
        }
    }

    /// How far the measure that begins at a token reaches.
    pub fn extent(&self, i: usize) -> Option<Extent> {
        let mut j = self.mixed(i)?;
        let Some(unit) = self.unit_at(j) else {
            // `13-6`, all in one.
            let dashed = j == i + 1 && self.kind(j) == Some(Kind::Dash) && self.touch(j) && self.touch(j + 1);
            if let Some(end) = self.mixed(j + 1).filter(|_| dashed) {
                let inches = self.unit_at(end) == Some(Unit::Inches);
                return Some(Extent { to: end + usize::from(inches), bare: false, word_unit: None });
            }
            return Some(Extent { to: j, bare: true, word_unit: None });
        };
        let word_unit = (self.kind(j) == Some(Kind::Word)).then_some(unit);
        j += 1;
        if word_unit.is_some() && self.touch(j) && self.toks[j].word == "." {
            j += 1;
        }
        let inches_at = if self.kind(j) == Some(Kind::Dash) { j + 1 } else { j };
        if unit == Unit::Feet
            && let Some(end) = self.mixed(inches_at)
        {
            let behind = self.unit_at(end);
            let counts = behind.is_none() && (self.noun(end).is_some() || self.kind(end) == Some(Kind::Degree));
            match behind {
                Some(Unit::Inches) => return Some(Extent { to: end + 1, bare: false, word_unit: None }),
                None if !counts => return Some(Extent { to: end, bare: false, word_unit: None }),
                _ => {}
            }
        }
        Some(Extent { to: j, bare: false, word_unit })
    }

    /// How many measures with crosses between begin at a token, and where they end.
    pub fn pieces(&self, i: usize) -> (usize, usize) {
        let (mut n, mut j) = (0, i);
        while let Some(e) = self.extent(j) {
            n += 1;
            let end = self.past_sides(e.to).0;
            match self.crossed(e.to) {
                Some(next) => j = next,
                None => return (n, end),
            }
        }
        (n, j)
    }

    /// Past `long`, `wide`, `high` behind a measure; whether it said the height.
    fn past_sides(&self, i: usize) -> (usize, bool) {
        match self.word(i) {
            "high" | "tall" | "h" => (i + 1, true),
            "long" | "wide" | "deep" | "l" | "w" => (i + 1, false),
            _ => (i, false),
        }
    }

    /// The next measure of a chain behind one that ends here: behind a cross, or behind a comma
    /// or nothing where both say what they are, `13 long, 11 wide`.
    fn crossed(&self, to: usize) -> Option<usize> {
        let (end, _) = self.past_sides(to);
        let both = |next: &Extent| end > to && self.past_sides(next.to).0 > next.to;
        if self.extent(end).is_some_and(|next| both(&next)) {
            return Some(end);
        }
        let next = self.extent(end + 1)?;
        match self.kind(end)? {
            Kind::Cross => Some(end + 1),
            Kind::Comma if both(&next) => Some(end + 1),
            Kind::Word if self.word(end) == "and" && both(&next) => Some(end + 1),
            _ => None,
        }
    }

    /// Signs that a line speaks of metres: none, a decimal comma alone, or units in words too.
    pub fn metric_marks(&self) -> Option<bool> {
        let number = |i: usize| matches!(self.kind(i), Some(Kind::Number | Kind::Fraction));
        let units: Vec<Unit> =
            (1..self.toks.len()).filter(|&i| number(i - 1)).filter_map(|i| self.unit_at(i)).collect();
        if units.iter().any(|u| matches!(u, Unit::Feet | Unit::Inches)) {
            return None;
        }
        let decimal = |t: &Token| {
            let parts: Vec<&str> = t.word.split(',').collect();
            t.kind == Kind::Number && parts.len() == 2 && parts[1].len() <= 3 && !t.word.contains('.')
        };
        (!units.is_empty() || self.toks.iter().any(decimal)).then_some(!units.is_empty())
    }

    /// A whole number of metres with its point one place on: `25` as `2.5`.
    pub fn tenth(&self, at: &Range<usize>) -> Option<String> {
        let said = &self.line[at.clone()];
        let whole = self.units == Units::Metric && said.len() >= 2 && said.bytes().all(|b| b.is_ascii_digit());
        let (a, b) = said.split_at_checked(said.len().saturating_sub(1)).filter(|_| whole)?;
        Some(if b == "0" { a.to_string() } else { format!("{a}.{b}") })
    }

    /// The line with every bare measure of the chain a token stands in taken as metres.
    fn in_metres(&self, of: usize) -> Option<String> {
        let start = (0..=of).find(|&i| {
            let (n, end) = self.pieces(i);
            n > 0 && end > of
        })?;
        let mut measures = Vec::new();
        let mut i = start;
        while let Some(e) = self.extent(i) {
            if e.bare {
                measures.push(self.bytes(i, e.to));
            }
            match self.crossed(e.to) {
                Some(next) => i = next,
                None => break,
            }
        }
        let mut out = self.line.to_string();
        for at in measures.into_iter().rev() {
            let said = format!("{} m", self.line[at.clone()].replace(',', "."));
            out.replace_range(at, &said);
        }
        Some(out)
    }

    /// Reads the text of tokens as a length; asks and gives `None` where that has no one answer.
    pub fn value(&mut self, from: usize, e: &Extent, unit: Unit) -> Option<Length> {
        let at = self.bytes(from, e.to);
        let text = self.line[at.clone()].replace(['´', '`'], "'");
        let comma = self.toks[from].word.contains(',');
        let feet = e.bare && matches!(unit, Unit::Feet | Unit::Inches) || self.unit_at(from + 1) == Some(Unit::Feet);
        if comma && feet && self.units == Units::FeetInches {
            let point = text.replace(',', ".");
            let mut offers = vec![self.with(&at, &point)];
            if e.bare {
                offers.push(self.with(&at, &text.replace(',', "'")));
                if self.kind(e.to) != Some(Kind::Cross) {
                    offers.push(self.with(&at, &text.replace(',', ", ")));
                }
                offers.extend(self.in_metres(from));
            }
            self.ask(at, format!("What does the comma in {text} mean?"), offers);
            return None;
        }
        if e.bare && unit == Unit::Feet && self.kind(from + 1) == Some(Kind::Dash) {
            let whole = self.toks[from].word.clone();
            let part = self.line[self.bytes(from + 2, e.to)].to_string();
            let offers =
                vec![self.with(&at, &format!("{whole} {part} ft")), self.with(&at, &format!("{whole}' {part}\""))];
            self.ask(at, format!("Is {text} a part of a foot, or of an inch?"), offers);
            return None;
        }
        match Length::parse_with(&text, unit) {
            Ok(l) => Some(l),
            Err(e) => {
                let mut offers: Vec<String> = self.carried(&text).map(|t| self.with(&at, &t)).into_iter().collect();
                if text.contains('/') {
                    // `3/0 x 4/6`, as some write feet and inches.
                    let rest = &self.line[at.start..];
                    let end = at.start + rest.find(',').unwrap_or(rest.len());
                    offers.push(self.with(&(at.start..end), &self.line[at.start..end].replace('/', "-")));
                }
                self.ask(at, format!("{e}."), offers);
                None
            }
        }
    }

    /// `11'18` as `12'6`.
    fn carried(&self, text: &str) -> Option<String> {
        let (feet, inches) = text.split_once(|c: char| !c.is_ascii_digit())?;
        let feet: i64 = feet.parse().ok().filter(|f| *f < 1000)?;
        let digits: String =
            inches.chars().skip_while(|c| !c.is_ascii_digit()).take_while(char::is_ascii_digit).collect();
        let inches: i64 = digits.parse().ok().filter(|i| (12..100).contains(i))?;
        Some(format!("{}'{}", feet + inches / 12, inches % 12))
    }

    /// Measures with crosses between from the present token on, which moves behind them.
    /// `None` where one of them had to be asked.
    pub fn chain(&mut self, of: Of) -> Option<Vec<Measure>> {
        if of == Of::Opening
            && let Some(out) = self.shorthand()
        {
            return out;
        }
        let mut list: Vec<(usize, Extent, bool)> = Vec::new();
        while let Some(e) = self.extent(self.p) {
            let (end, high) = self.past_sides(e.to);
            let next = self.crossed(e.to);
            list.push((self.p, e, high));
            self.p = next.unwrap_or(end);
            if next.is_none() {
                break;
            }
        }
        // `36 x 54 cm`: the word behind the last is meant for all.
        let mut unit = self.unit(of);
        let mut all = false;
        if let Some((_, last, _)) = list.last()
            && let Some(u) = last.word_unit
            && list.len() > 1
            && list[..list.len() - 1].iter().all(|x| x.1.bare)
        {
            (unit, all) = (u, true);
        }
        let asked = self.asks.len();
        let mut out = Vec::new();
        let most = Length::MOST.0 as f64;
        let far = |(from, e, _): &(usize, Extent, bool)| {
            let n = self.toks[*from].word.parse::<f64>().unwrap_or(0.0);
            e.bare && Length::parse_with("1", unit).is_ok_and(|one| n * one.0 as f64 > most)
        };
        if let (Some(a), Some(b)) = (list.first(), list.last())
            && list.iter().any(far)
        {
            let at = self.bytes(a.0, b.1.to);
            let texts = ["in", "cm", "mm"].map(|u| {
                let each = list.iter().map(|(from, e, _)| {
                    let said = &self.line[self.bytes(*from, e.to)];
                    if e.bare { format!("{said} {u}") } else { said.to_string() }
                });
                self.with(&at, &each.collect::<Vec<_>>().join(" x "))
            });
            let what = format!("In what unit is {}?", &self.line[at.clone()]);
            self.ask(at, what, texts.to_vec());
            return None;
        }
        for (from, e, high) in &list {
            if let Some(v) = self.value(*from, e, unit) {
                out.push(Measure { v, at: self.bytes(*from, e.to), bare: e.bare && !all, high: *high });
            }
        }
        // `13 6 x 11 4`: never taken for feet and inches.
        if let Some((from, e, _)) = list.last()
            && e.bare
            && e.to == self.p
            && self.asks.len() == asked
            && let Some(next) = self.extent(self.p)
            && self.kind(self.p) == Some(Kind::Number)
            && self.noun(next.to).is_none()
            && matches!(self.kind(next.to), None | Some(Kind::Comma | Kind::Cross))
        {
            let at = self.bytes(*from, next.to);
            let (a, b) = (self.toks[*from].word.clone(), self.line[self.bytes(self.p, next.to)].to_string());
            let mut offers = Vec::new();
            if of == Of::Room {
                offers.push(self.paired());
                offers.push(self.with(&at, &format!("{a}'{b}")));
            }
            if of == Of::Opening || list.len() < 3 {
                offers.push(self.with(&at, &format!("{a} x {b}")));
            }
            let text = self.line[at.clone()].to_string();
            self.ask(at, format!("Is {text} one measure or two?"), offers);
            self.p = self.pieces(self.p).1;
        }
        (self.asks.len() == asked).then_some(out)
    }

    /// The line with every `13 6` before a cross, a comma or its end written `13'6`.
    pub fn paired(&self) -> String {
        let mut out = self.line.to_string();
        let ends = |k: Option<Kind>| matches!(k, None | Some(Kind::Cross | Kind::Comma));
        for i in (0..self.toks.len().saturating_sub(1)).rev() {
            let pair = self.kind(i) == Some(Kind::Number) && self.kind(i + 1) == Some(Kind::Number);
            if pair && ends(self.kind(i + 2)) {
                out.replace_range(self.toks[i].at.end..self.toks[i + 1].at.start, "'");
            }
        }
        out
    }

    /// `2868` at the present token: 2'8" by 6'8", as doors are called (common practice, no
    /// source). The outer `None`: no such number stands there.
    fn shorthand(&mut self) -> Option<Option<Vec<Measure>>> {
        let t = self.toks.get(self.p).filter(|t| t.kind == Kind::Number)?.clone();
        let alone = self.pieces(self.p).0 == 1 && self.extent(self.p).is_some_and(|e| e.bare && e.to == self.p + 1);
        if !alone || !(4..=6).contains(&t.word.len()) || !t.word.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        self.p += 1;
        let side = |s: &str| -> Option<(i64, i64)> {
            let (feet, inches) = (s[..1].parse::<i64>().ok()?, s[1..].parse::<i64>().ok()?);
            let whole = s.len() == 2 || (s.len() == 3 && inches >= 10);
            (whole && feet > 0 && inches < 12).then_some((feet, inches))
        };
        let ways: Vec<[(i64, i64); 2]> =
            (2..=t.word.len() - 2).filter_map(|cut| Some([side(&t.word[..cut])?, side(&t.word[cut..])?])).collect();
        let words = |[a, b]: &[(i64, i64); 2]| format!("{}'{} x {}'{}", a.0, a.1, b.0, b.1);
        let metric = self.units == Units::Metric;
        if let ([one], false) = (ways.as_slice(), metric) {
            let made = |(f, i): (i64, i64)| Measure {
                v: Length(f * Length::FOOT + i * Length::INCH),
                at: t.at.clone(),
                bare: false,
                high: false,
            };
            return Some(Some(one.map(made).to_vec()));
        }
        let mut offers: Vec<String> = ways.iter().map(|w| self.with(&t.at, &words(w))).collect();
        if t.word.len() == 6 {
            offers.push(self.with(&t.at, &format!("{} x {}", &t.word[..3], &t.word[3..])));
        }
        self.ask(t.at.clone(), format!("How wide and how high is {}?", t.word), offers);
        Some(None)
    }

    /// One measure from the present token on.
    pub fn one(&mut self, of: Of) -> Option<Measure> {
        let from = self.p;
        let e = self.extent(from)?;
        self.p = e.to;
        let v = self.value(from, &e, self.unit(of))?;
        Some(Measure { v, at: self.bytes(from, e.to), bare: e.bare, high: false })
    }

    /// Moves on to the next comma.
    pub fn skip(&mut self) {
        while self.kind(self.p).is_some_and(|k| k != Kind::Comma) {
            self.p += 1;
        }
    }
}
