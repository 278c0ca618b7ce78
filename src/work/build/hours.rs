//! Labor of a recipe's row: quantity x rate x difficulty, and its terms for the why.
//!
//! Difficulty (judgement): out of square on fit-up work, stairs or ladder and over 9 ft where
//! the row has no ladder factor of its own, an empty house x0.85; the product is capped at
//! 1.8. Lead work practices add half on strip, patch and sand, outside the cap.

use super::Builder;
use crate::job::Part;
use crate::measure::Length;
use crate::trade::{Row, RowPlace, Term};
use crate::work::{HourTerm, Spread};

/// Product of the factors of difficulty at most this (judgement).
pub const MOST_DIFFICULT: f64 = 1.8;
/// An empty house (judgement).
pub const EMPTY: f64 = 0.85;
/// Walls over 9 ft (judgement).
pub const TALL: (f64, f64) = (9.0, 1.15);
/// Lead work practices; a printed US cost book of 2018 gives +50 % for work in containment.
pub const LEAD: f64 = 1.5;

/// Labor of a row: its minutes, its terms, whether every rate has a history of its own, and
/// whether there is anything to do at all.
pub(super) struct RowHours {
    pub spread: Spread,
    pub terms: Vec<HourTerm>,
    pub own_history: bool,
}

impl Builder<'_> {
    /// Factor on one term of a row.
    pub(super) fn difficulty(&self, room: usize, surface: usize, row: &Row, own_ladder: bool) -> f64 {
        let house = &self.job.house;
        let r = &self.job.rooms[room];
        let s = &r.surfaces[surface];
        let site = row.place == RowPlace::Room;
        let mut f = 1.0;
        if site && row.fit_up {
            f *= house.out_of_square;
        }
        if site && !own_ladder && s.part != Part::Room {
            f *= house.ladder;
            let top = r.size.iter().map(|x| x.height).chain(r.walls.iter().map(|w| w.height)).max();
            let high = matches!(s.part, Part::Ceiling | Part::Crown | Part::Walls);
            if high && top.unwrap_or(Length::ZERO) > Length::from_feet(TALL.0) {
                f *= TALL.1;
            }
        }
        if site && !house.occupied {
            f *= EMPTY;
        }
        f *= s.difficulty.unwrap_or(1.0);
        f = f.min(MOST_DIFFICULT);
        let lead = house.lead_practices.unwrap_or(house.year_built.is_some_and(|y| y < 1978));
        if lead && site && row.disturbs { f * LEAD } else { f }
    }

    /// Hours of a row; `None` where every quantity is nothing. Unknown names are reported.
    pub(super) fn row_hours(&mut self, room: usize, surface: usize, row: &Row, path: &str) -> Option<RowHours> {
        let mut out = RowHours { spread: Spread::split(0.0, 0.0, 0.0), terms: Vec::new(), own_history: true };
        for t in &row.labor {
            let Some(term) = self.term(room, surface, row, t, path) else { continue };
            if term.0.quantity > 0.0 {
                let m = |h: f64| h * term.0.quantity * term.0.factor * 60.0;
                out.spread.low += m(term.0.per_unit.0);
                out.spread.typ += m(term.0.per_unit.1);
                out.spread.high += m(term.0.per_unit.2);
                out.own_history &= term.1;
                out.terms.push(term.0);
            }
        }
        (!out.terms.is_empty()).then_some(out)
    }

    fn term(&mut self, room: usize, surface: usize, row: &Row, t: &Term, path: &str) -> Option<(HourTerm, bool)> {
        let Some(rate) = self.rate(&t.rate) else {
            let all = self.job.rates.iter().chain(&crate::trade::tables().rates).map(|r| r.id.as_str());
            let remedy = super::names::hint(&t.rate, all, "give the id of a rate row");
            self.problem(path, format!("step \"{}\" asks for a rate \"{}\" that is not there", row.id, t.rate), remedy);
            return None;
        };
        let Some(q) = self.rooms[room].of_surface(surface, &t.of) else {
            let what = format!("step \"{}\" counts \"{}\", which this surface has not", row.id, t.of);
            let off = &self.rooms[room];
            let all = off.quantities.iter().chain(off.surfaces.iter().flat_map(|s| &s.quantities));
            let remedy = super::names::hint(&t.of, all.map(|q| q.id.as_str()), "name a quantity of the take-off");
            self.problem(path, what, remedy);
            return None;
        };
        let times = if t.times == 0.0 { 1.0 } else { t.times };
        let term = HourTerm {
            rate: t.rate.clone(),
            of: t.of.clone(),
            quantity: q.value,
            unit: super::rows::unit_word(rate.unit).into(),
            per_unit: (rate.low, rate.typ, rate.high),
            factor: times * self.difficulty(room, surface, row, t.own_ladder),
        };
        Some((term, rate.jobs >= 10))
    }
}
