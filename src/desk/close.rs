//! The end of a job: what was promised, likely and came; hours of each finished step against
//! its estimate; the rate the job showed for each row; how good the forecasts of closed jobs
//! have been.
//!
//! A step's hours are shared among the rows its estimate is made of, by their parts of it, the
//! typical set-up taken off first; the quantity of a row is that of its steps times their
//! difficulty, so that a rate is that of plain work. Work done again belongs to no row. Hours are
//! those of one person at the rates' own pace. It writes nothing: the book is the user's.

use chrono::NaiveDate;

use super::evening::Outlook;
use super::underway::{evening_of, last_evening, untouched};
use super::{AT_REST, Sound};
use crate::book::{Book, ClosedJob, Said, Seen, far_outside, job_rate, workdays};
use crate::forecast::scores::{brier, plausible_hits};
use crate::job::{Closing, Job, Problem};
use crate::trade::{Rate, tables};
use crate::work::Kind;

/// A finished step.
#[derive(Clone, Debug, PartialEq)]
pub struct StepHours {
    pub step: usize,
    /// Labor hours, typical.
    pub estimate: f64,
    pub spent: f64,
}

/// What the job showed for a rate row.
#[derive(Clone, Debug, PartialEq)]
pub struct RowHours {
    /// The job's row.
    pub rate: Rate,
    /// In the row's unit, difficulty counted in.
    pub quantity: f64,
    /// Hours a unit.
    pub shown: f64,
    pub steps: usize,
    /// Far outside the row's range: asked about before it teaches anything.
    pub asked: bool,
}

/// A job at its end.
#[derive(Clone, Debug)]
pub struct Ending {
    pub sound: Sound,
    pub closing: Closing,
    /// Steps nobody wrote up as finished.
    pub undone: Vec<usize>,
    pub steps: Vec<StepHours>,
    pub rows: Vec<RowHours>,
}

/// Reads a job at its end.
///
/// # Errors
/// Everything that stands against a plan; a job of which no work is written up.
pub fn ending(job: &Job, day: NaiveDate) -> Result<Ending, Vec<Problem>> {
    let first = Outlook::of(&untouched(job), None, AT_REST)?;
    ending_from(job, day, job.date_of(first.forecast.day(0.5)))
}

/// [`ending`] where the likely day of the plan from the first day is known.
///
/// # Errors
/// As [`ending`].
pub fn ending_from(job: &Job, day: NaiveDate, likely: NaiveDate) -> Result<Ending, Vec<Problem>> {
    let nothing = || {
        let what = "no finished work is written up";
        vec![Problem::new("log", what, "write the days up first: roomback log JOB --day DAY")]
    };
    let Some(last) = last_evening(job) else { return Err(nothing()) };
    let as_of = last.max(evening_of(day));
    let now = super::underway::asked_at(job, Some(as_of))?;
    let Some(facts) = now.setting.standing.clone() else { return Err(nothing()) };
    let Some(finish) = facts.past.iter().map(|s| s.to).max() else { return Err(nothing()) };
    let found = now.plan(false).map_err(|e| vec![super::stuck(&now, &e)])?;
    let labor = |s: &usize| now.graph.steps[*s].kind == Kind::Labor;
    let planned: Vec<usize> = found.plan.steps.iter().map(|t| t.step).filter(labor).collect();
    let undone: Vec<usize> = planned.iter().copied().filter(|&s| facts.steps[s].ended.is_none()).collect();
    let mut steps: Vec<StepHours> = planned
        .iter()
        .filter(|&&s| facts.steps[s].ended.is_some())
        .map(|&step| StepHours {
            step,
            estimate: now.graph.steps[step].labor.typ / 60.0,
            spent: facts.steps[step].spent_milli as f64 / 60_000.0,
        })
        .collect();
    steps.sort_by_key(|s| (facts.steps[s.step].begun, s.step));
    let closing = Closing {
        day,
        finish: job.time_of(finish),
        promised: job.promise().map(|p| p.day),
        likely,
        hours: libm::round(steps.iter().map(|s| s.spent).sum::<f64>() * 100.0) / 100.0,
        estimate: libm::round(steps.iter().map(|s| s.estimate).sum::<f64>() * 100.0) / 100.0,
    };
    let rows = rows(&now, &steps);
    Ok(Ending { sound: now, closing, undone, steps, rows })
}

/// The rate the finished steps show for each row of the job, in the order of the rows.
fn rows(sound: &Sound, steps: &[StepHours]) -> Vec<RowHours> {
    let mut seen: Vec<(String, Vec<(f64, f64)>)> = Vec::new();
    for s in steps {
        let step = &sound.graph.steps[s.step];
        let work = s.spent - step.setup_min as f64 / 60.0;
        let part = |t: &crate::work::HourTerm| t.quantity * t.per_unit.1 * t.factor;
        let whole: f64 = step.terms.iter().map(part).sum();
        if work <= 0.0 || whole <= 0.0 {
            continue;
        }
        for t in step.terms.iter().filter(|t| part(t) > 0.0) {
            let one = (t.quantity * t.factor, work * part(t) / whole);
            match seen.iter_mut().find(|r| r.0 == t.rate) {
                Some(r) => r.1.push(one),
                None => seen.push((t.rate.clone(), vec![one])),
            }
        }
    }
    let row = |(id, list): (String, Vec<(f64, f64)>)| {
        let rate = sound.job.rates.iter().find(|r| r.id == id).or_else(|| tables().rate(&id))?.clone();
        let shown = job_rate(&list)?;
        let asked = far_outside(shown, (rate.low, rate.typ, rate.high));
        Some(RowHours { quantity: list.iter().map(|x| x.0).sum(), shown, steps: list.len(), asked, rate })
    };
    seen.into_iter().filter_map(row).collect()
}

impl Ending {
    /// The closed job as the book keeps it, these rows left out.
    pub fn for_book(&self, excluded: &[String]) -> ClosedJob {
        let job = &self.sound.job;
        // Twelve digits, so that the text reads back to the same figure.
        let round = |x: f64| {
            let scale = libm::pow(10.0, 11.0 - libm::floor(libm::log10(x.abs().max(1e-12))));
            libm::round(x * scale) / scale
        };
        let seen = |r: &RowHours| Seen {
            row: r.rate.id.clone(),
            rate: round(r.shown),
            quantity: round(r.quantity),
            excluded: excluded.contains(&r.rate.id),
        };
        let target = |day: NaiveDate| {
            // The day in force on that evening: the last promise made by then, else the day asked for.
            match job.promises.iter().rev().find(|p| p.made_on <= day).or(job.promises.first()) {
                Some(p) if p.withdrawn => p.asked,
                Some(p) => Some(p.day),
                None => job.target.map(|t| t.day),
            }
        };
        let said = job.record.iter().map(|e| Said {
            day: e.day,
            likely: e.likely,
            safe: e.safe,
            confidence: e.confidence,
            eighty: e.eighty,
            chance: e.chance.zip(target(e.day)),
        });
        ClosedJob {
            job: job.name.clone(),
            start: job.start,
            day: self.closing.day,
            finish: self.closing.finish,
            rates: self.rows.iter().map(seen).collect(),
            evenings: said.collect(),
        }
    }

    /// Rows no table has, which the book needs beside what was seen of them.
    pub fn own_rows(&self, book: &Book) -> Vec<Rate> {
        let own = |r: &&RowHours| tables().rate(&r.rate.id).is_none() && book.rate(&r.rate.id).is_none();
        self.rows.iter().filter(own).map(|r| r.rate.clone()).collect()
    }
}

/// Closed jobs from which on forecasts are judged: with fewer the middle of the binomial is so
/// wide that nearly any forecast passes.
pub const VERDICT_FROM: usize = 20;

/// How good the forecasts of closed jobs have been.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scores {
    /// Closed jobs with an evening on record.
    pub jobs: usize,
    /// Of them, done by the date 8 in 10 trials reached on their first evening.
    pub held: usize,
    /// Mean squared distance of the chances of the client's day from what came, every job
    /// counting once: 0 is perfect, .25 a coin.
    pub brier: Option<f64>,
    /// Working days jobs ended after the likely day of their first evening, mean.
    pub bias: Option<f64>,
    /// With [`VERDICT_FROM`] jobs: whether `held` lies where 8 in 10 lie by chance (95 %).
    pub verdict: Option<bool>,
}

/// Judges the forecasts of the closed jobs in a book.
pub fn scores(book: &Book) -> Scores {
    let told: Vec<&ClosedJob> = book.closed.iter().filter(|j| !j.evenings.is_empty()).collect();
    let jobs = told.len();
    let held = told.iter().filter(|j| j.finish <= j.evenings[0].eighty).count();
    let late = |j: &&ClosedJob| workdays(j.evenings[0].likely, j.finish.date()) as f64;
    let chances = |j: &&ClosedJob| {
        let said = j.evenings.iter().filter_map(|e| e.chance);
        brier(&said.map(|(p, day)| (p, j.finish.date() <= day)).collect::<Vec<_>>())
    };
    let all: Vec<f64> = told.iter().filter_map(chances).collect();
    let mean = |x: &[f64]| (!x.is_empty()).then(|| x.iter().sum::<f64>() / x.len() as f64);
    let verdict = (jobs >= VERDICT_FROM).then(|| {
        let (low, high) = plausible_hits(jobs, 0.8);
        (low..=high).contains(&held)
    });
    Scores { jobs, held, brier: mean(&all), bias: mean(&told.iter().map(late).collect::<Vec<_>>()), verdict }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(d: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2027, 3, d).expect("a day")
    }

    fn closed(name: String, finish: u32) -> ClosedJob {
        let said = Said {
            day: day(2),
            likely: day(10),
            safe: day(12),
            confidence: 0.8,
            eighty: day(12).and_hms_opt(12, 0, 0).expect("noon"),
            chance: Some((0.9, day(12))),
        };
        let finish = day(finish).and_hms_opt(11, 0, 0).expect("a time");
        ClosedJob { job: name, start: day(1), day: day(20), finish, rates: Vec::new(), evenings: vec![said] }
    }

    #[test]
    fn no_verdict_before_twenty_jobs() {
        let mut book = Book::default();
        assert_eq!(scores(&book), Scores::default());
        for n in 0..19 {
            book.close(closed(n.to_string(), if n % 5 == 0 { 16 } else { 11 }));
        }
        let s = scores(&book);
        assert_eq!((s.jobs, s.held, s.verdict), (19, 15, None));
        // 15 of 19 in time at 90 %: 15 x .01 + 4 x .81 over 19.
        assert!((s.brier.expect("chances") - 3.39 / 19.0).abs() < 1e-12);
        // One working day after the likely Wednesday, or four.
        assert!((s.bias.expect("days") - (15.0 + 16.0) / 19.0).abs() < 1e-12);
        book.close(closed("last".into(), 11));
        assert_eq!(scores(&book).verdict, Some(true));
        // All twenty in time is too many for 8 in 10: 12 to 19 hold by chance (scipy).
        book.closed.iter_mut().for_each(|j| j.finish = day(11).and_hms_opt(9, 0, 0).expect("a time"));
        assert_eq!((scores(&book).held, scores(&book).verdict), (20, Some(false)));
    }
}
