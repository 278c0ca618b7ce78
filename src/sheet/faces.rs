//! A bay as a tape gives it: its three walls, `bay 2'6, 5', 2'6 on wall 1`, and the forms a size can be said in.
//!
//! The sides stand at 45 degrees where nothing else is said, and must be as long as each other. Alcoves and chimney
//! breasts may be said so too; their sides are the depth.

use std::ops::Range;

use super::draft::{FeatureKind, Measure};
use super::lex::Kind;
use super::reader::{Of, Reader};
use crate::job::Units;
use crate::measure::Length;

/// Most measures looked at in a row.
const MOST: usize = 5;

/// Forms of a size to copy, in the units of the job: wide and deep, or the three walls.
pub(super) fn forms(kind: FeatureKind, units: Units) -> String {
    let [wide, walls] = match (units, kind) {
        (Units::FeetInches, FeatureKind::Bay) => ["6' x 2'", "2'6, 4', 2'6"],
        (Units::FeetInches, _) => ["4' x 1'2", "1'2, 4', 1'2"],
        (Units::Metric, FeatureKind::Bay) => ["1.8 x 0.6", "0.8, 1.2, 0.8"],
        (Units::Metric, _) => ["1.2 x 0.4", "0.4, 1.2, 0.4"],
    };
    let word = kind.word();
    format!("Say it like \"{word} {wide} on wall 1\", or its three walls: \"{word} {walls} on wall 1\".")
}

/// Sizes offered where none can be read, as they stand behind the word.
pub(super) fn sizes(kind: FeatureKind, units: Units) -> [&'static str; 3] {
    match (units, kind) {
        (Units::FeetInches, FeatureKind::Bay) => ["5' x 1'6", "6' x 2'", "8' x 2'"],
        (Units::FeetInches, _) => ["3' x 1'", "4' x 1'2", "5' x 1'6"],
        (Units::Metric, FeatureKind::Bay) => ["1.5 x 0.45", "1.8 x 0.6", "2.4 x 0.6"],
        (Units::Metric, _) => ["0.9 x 0.3", "1.2 x 0.4", "1.5 x 0.45"],
    }
}

/// Measures in a row without the cross of a width and a depth.
pub(super) enum Row {
    /// Three walls, or what of them was asked.
    Faces(Option<Vec<Measure>>, Range<usize>),
    /// Two measures: width and depth, or something else.
    Two(Range<usize>, [Range<usize>; 2]),
}

impl Reader<'_> {
    /// Whether a bare number at a token can only be an angle: nothing in the room is so long.
    pub(super) fn only_angle(&self, i: usize) -> Option<f64> {
        let bare = self.extent(i).is_some_and(|e| e.bare && e.to == i + 1);
        let value = self.toks.get(i)?.word.parse::<f64>().ok().filter(|v| bare && (15.0..90.0).contains(v))?;
        let of = Length::parse_with(&self.toks[i].word, self.unit(Of::Room)).ok()?;
        let sides = match self.out.shape.as_ref()? {
            super::draft::Shape::Rectangle(sides) => sides,
            super::draft::Shape::Run(_) => return None,
        };
        sides.iter().all(|m| m.v < of).then_some(value)
    }

    /// Three measures of walls, or two, from a token on, with nothing, commas, `and` or crosses between; moves
    /// behind them.
    pub(super) fn row(&mut self, i: usize) -> Option<Row> {
        let mut list = Vec::new();
        let mut at = i;
        // Crosses stand between all or none.
        let mut crosses = 0;
        while list.len() < MOST {
            let Some(e) = self.extent(at) else { break };
            let counts = self.noun(e.to).is_some() || self.kind(e.to) == Some(Kind::Degree);
            let other = ["of", "crack", "cracks", "high", "ceiling", "ceilings", "sill", "casing", "from", "off"];
            if counts || other.contains(&self.word(e.to)) || (list.len() == 3 && crosses == 0) {
                break;
            }
            let mut next = e.to;
            while matches!(self.word(next), "long" | "side" | "front") {
                next += 1;
            }
            list.push((at, e));
            let end = next;
            if self.kind(next) == Some(Kind::Cross) {
                crosses += 1;
                next += 1;
            } else {
                if self.kind(next) == Some(Kind::Comma) {
                    next += 1;
                }
                while matches!(self.word(next), "and" | "then") {
                    next += 1;
                }
            }
            at = next;
            if self.extent(at).is_none() {
                at = end;
                break;
            }
        }
        let behind = |list: &[(usize, super::reader::Extent)]| list.last().map_or(i, |x| x.1.to);
        match list.len() {
            3 if crosses == 0 || crosses == 2 => {}
            2 if crosses == 0 => {
                // `5' wide 1'6 deep` says what is what.
                if list.iter().any(|x| matches!(self.word(x.1.to), "wide" | "deep" | "w" | "d")) {
                    return None;
                }
                let each = [0, 1].map(|k| self.bytes(list[k].0, list[k].1.to));
                self.p = behind(&list);
                return Some(Row::Two(self.bytes(i, self.p), each));
            }
            _ => return None,
        }
        // `75 150 75 cm`: the word behind the last is meant for all.
        let last = list[2].1.word_unit();
        let unit = match last {
            Some(u) if list[..2].iter().all(|x| x.1.bare) => u,
            _ => self.unit(Of::Room),
        };
        self.p = at.max(behind(&list));
        let end = behind(&list);
        let made: Vec<Measure> = list
            .iter()
            .filter_map(|(from, e)| {
                let v = self.value(*from, e, unit)?;
                Some(Measure { v, at: self.bytes(*from, e.to), bare: e.bare, high: false })
            })
            .collect();
        let whole = self.bytes(i, end);
        if made.len() < 3 {
            return Some(Row::Faces(None, whole));
        }
        if made[0].v != made[2].v {
            let [a, b] = [0, 2].map(|k| self.line[made[k].at.clone()].to_string());
            let offers = vec![self.with(&made[2].at, &a), self.with(&made[0].at, &b)];
            self.ask(whole.clone(), format!("The sides are {a} and {b}. Which is it, on both?"), offers);
            return Some(Row::Faces(None, whole));
        }
        Some(Row::Faces(Some(made), whole))
    }
}
