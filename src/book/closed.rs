//! Closed jobs in the book: the rate each showed per row, what was forecast each evening, and
//! when it really ended.
//!
//! A row learns from the jobs that were not left out (see [`super::Learned`]); hours a unit. It
//! knows no job, only dates and figures; working days are Monday to Friday.

use chrono::{Datelike, NaiveDate, NaiveDateTime};
use serde::{Deserialize, Serialize};

use super::own::Book;
use super::{Learned, Triple};
use crate::trade::{Rate, Tag};

/// The rate one job showed for a row.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Seen {
    /// Id of the rate row.
    pub row: String,
    /// Hours a unit, weighted by quantity.
    pub rate: f64,
    pub quantity: f64,
    /// Left out: it teaches nothing.
    #[serde(default)]
    pub excluded: bool,
}

/// What was said on an evening.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Said {
    pub day: NaiveDate,
    pub likely: NaiveDate,
    /// Day safe to promise at `confidence`.
    pub safe: NaiveDate,
    pub confidence: f64,
    /// Finish 8 in 10 trials reached, to the minute.
    pub eighty: NaiveDateTime,
    /// Chance of the client's day, and that day.
    #[serde(default)]
    pub chance: Option<(f64, NaiveDate)>,
}

/// A job that was closed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ClosedJob {
    pub job: String,
    pub start: NaiveDate,
    pub day: NaiveDate,
    /// End of its last labor.
    pub finish: NaiveDateTime,
    #[serde(default)]
    pub rates: Vec<Seen>,
    #[serde(default)]
    pub evenings: Vec<Said>,
}

/// Working days, Monday to Friday, from one day to another; below 0 backwards.
pub fn workdays(from: NaiveDate, to: NaiveDate) -> i64 {
    let (a, b, sign) = if from <= to { (from, to, 1) } else { (to, from, -1) };
    let weekday = |d: &NaiveDate| d.weekday().num_days_from_monday() < 5;
    sign * a.iter_days().skip(1).take_while(|d| *d <= b).filter(weekday).count() as i64
}

/// A row without a range of its own is taken to be right within a quarter (judgement).
const NARROW: f64 = 1.25;

/// Whether a rate lies far outside a range: twice as far from the typical value as its end is,
/// in the logarithm. By the range's own word that is 1 job in 200 to each side. A range narrower
/// than a quarter to a side counts as that wide.
pub fn far_outside(rate: f64, (low, typ, high): Triple) -> bool {
    let end = if rate < typ { low } else { high };
    let (off, reach) = (libm::log(rate / typ).abs(), libm::log(end / typ).abs());
    off > 2.0 * reach.max(libm::log(NARROW))
}

impl Book {
    /// Takes a closed job in, in place of an earlier one of its name and first day.
    pub fn close(&mut self, job: ClosedJob) {
        let same = |x: &ClosedJob| x.job == job.job && x.start == job.start;
        match self.closed.iter_mut().find(|x| same(x)) {
            Some(there) => *there = job,
            None => self.closed.push(job),
        }
    }

    /// Rates seen of a row in closed jobs, those left out not among them.
    pub fn seen(&self, row: &str) -> Vec<f64> {
        let all = self.closed.iter().flat_map(|j| &j.rates);
        all.filter(|s| s.row == row && !s.excluded).map(|s| s.rate).collect()
    }

    /// The row as his closed jobs have it by now: what he keeps by hand, else the `starter`,
    /// worth a few jobs, and what the jobs have shown. Nothing where neither has anything.
    pub fn now(&self, row: &str, starter: Option<&Rate>) -> Option<Rate> {
        let kept = self.rate(row);
        let seen = self.seen(row);
        let from = kept.or(starter)?;
        if seen.is_empty() {
            return kept.cloned();
        }
        let range = match from.low < from.high {
            true => (from.low, from.typ, from.high),
            false => (from.typ / NARROW, from.typ, from.typ * NARROW),
        };
        let learned = Learned::starter(range)?.after(&seen);
        let (low, typ, high) = learned.triple();
        // Four digits are more than any job shows.
        let round = |x: f64| {
            let scale = libm::pow(10.0, 3.0 - libm::floor(libm::log10(x)));
            libm::round(x * scale) / scale
        };
        let n = seen.len() as u32;
        let (low, typ, high) = (round(low), round(typ), round(high));
        let source = if n == 1 { "1 job of your own".into() } else { format!("{n} jobs of your own") };
        Some(Rate { low, typ, high, jobs: n, tag: Tag::Own, source, ..from.clone() })
    }

    /// Rows with something of his own: kept by hand, or seen in a closed job.
    pub fn rows(&self) -> Vec<String> {
        let mut out: Vec<String> = self.rates.iter().map(|r| r.id.clone()).collect();
        for s in self.closed.iter().flat_map(|j| &j.rates) {
            if !out.contains(&s.row) {
                out.push(s.row.clone());
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::tables;

    fn day(d: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2027, 3, d).expect("a day")
    }

    fn closed(name: &str, rate: f64, finish: u32) -> ClosedJob {
        let said = Said {
            day: day(2),
            likely: day(10),
            safe: day(12),
            confidence: 0.8,
            eighty: day(12).and_hms_opt(12, 0, 0).expect("noon"),
            chance: Some((0.9, day(12))),
        };
        ClosedJob {
            job: name.into(),
            start: day(1),
            day: day(20),
            finish: day(finish).and_hms_opt(11, 0, 0).expect("a time"),
            rates: vec![Seen { row: "skim".into(), rate, quantity: 400.0, excluded: false }],
            evenings: vec![said],
        }
    }

    #[test]
    fn a_row_learns_from_closed_jobs_and_not_from_those_left_out() {
        let skim = tables().rate("skim").expect("a row");
        let mut book = Book::default();
        assert_eq!(book.now("skim", Some(skim)), None);
        book.close(closed("a", skim.typ * 2.0, 11));
        book.close(closed("b", skim.typ * 2.0, 11));
        let two = book.now("skim", Some(skim)).expect("his own");
        // Two jobs among three of the starter move the logarithm by two fifths.
        assert!((two.typ / skim.typ - libm::exp(0.4 * libm::log(2.0))).abs() < 1e-3, "{two:?}");
        assert_eq!((two.jobs, two.tag, two.source.as_str()), (2, Tag::Own, "2 jobs of your own"));
        // Closed again it counts once.
        book.close(closed("b", skim.typ * 2.0, 12));
        assert_eq!(book.closed.len(), 2);
        book.closed[0].rates[0].excluded = true;
        assert_eq!(book.now("skim", Some(skim)).map(|r| r.jobs), Some(1));
        // What he keeps by hand is where his jobs start from.
        book.keep_rate(Rate { low: 0.02, typ: 0.03, high: 0.05, ..skim.clone() });
        let by_hand = book.now("skim", Some(skim)).expect("kept").typ;
        assert!((by_hand - libm::exp(0.75 * libm::log(0.03) + 0.25 * libm::log(skim.typ * 2.0))).abs() < 1e-4);
        assert_eq!(Book::read(&book.write()), Ok(Book { format: crate::book::FORMAT, ..book.clone() }));
        assert_eq!(book.rows(), ["skim"]);
    }

    #[test]
    fn a_rate_far_outside_its_range_is_asked_about() {
        let range = (0.5, 1.0, 2.0);
        assert!(!far_outside(1.0, range) && !far_outside(3.9, range) && !far_outside(0.26, range));
        assert!(far_outside(4.1, range) && far_outside(0.24, range));
        // A row without a range: half as much again, and a little more.
        assert!(!far_outside(1.5, (1.0, 1.0, 1.0)) && far_outside(1.6, (1.0, 1.0, 1.0)));
    }

    #[test]
    fn working_days_leave_weekends_out() {
        // 5 March 2027 is a Friday.
        assert_eq!((workdays(day(5), day(8)), workdays(day(8), day(5)), workdays(day(5), day(5))), (1, -1, 0));
        assert_eq!(workdays(day(1), day(15)), 10);
    }
}
