//! Which start keeps the client's day: the kept order begun on other days, under the same
//! random numbers.
//!
//! The days looked at are working days around the one that would be just in time by the
//! forecast as it stands. Trials grow in rounds, so that first answers are out early, up to those
//! of the forecast: the start the job has says what the strip says.

use std::sync::Arc;

use chrono::{Datelike, Duration, NaiveDate};

use super::chain::{ASKED, FIRST, carried, dispatched, sample};
use super::{Cancel, Desk, Sound, judge};
use crate::forecast::Forecast;
use crate::forecast::columns::Columns;
use crate::forecast::stats::Interval;
use crate::job::Job;
use crate::search::Found;

/// Working days looked at before and after the one that should be just in time.
const AROUND: i64 = 6;
/// Days of the calendar a working day is looked for in.
const FAR: i64 = 60;

/// A start day with the chance of the client's day.
#[derive(Clone, Debug, PartialEq)]
pub struct Start {
    pub day: NaiveDate,
    /// Chance and its 95 % interval; none until it is known, or where nothing can be planned.
    pub chance: Option<Interval<f64>>,
    pub trials: usize,
}

/// Start days with their chances.
#[derive(Clone, Debug, PartialEq)]
pub struct Starts {
    /// First to last.
    pub rows: Vec<Start>,
    /// The client's day, and the chance it is to be kept with.
    pub target: NaiveDate,
    pub confidence: f64,
    /// The start of the job as it stands.
    pub present: NaiveDate,
    /// Nothing more to come.
    pub whole: bool,
}

impl Starts {
    /// The latest start that reaches the confidence.
    pub fn latest(&self) -> Option<&Start> {
        self.rows.iter().rev().find(|r| r.chance.is_some_and(|c| c.value >= self.confidence))
    }
}

/// Whether the crew works on a day by the calendar of the job.
pub fn working_day(job: &Job, day: NaiveDate) -> bool {
    let weekday = day.weekday().num_days_from_monday() as usize;
    let c = &job.calendar;
    c.week.days.iter().any(|d| d.index() == weekday) && !c.holidays.contains(&day) && !c.house_closed.contains(&day)
}

/// The working day so many after another (before it where negative); the day itself for 0.
/// Where the calendar has none for two months it stops at what it has.
pub fn working_day_after(job: &Job, day: NaiveDate, by: i64) -> NaiveDate {
    let (mut at, mut left) = (day, by.abs());
    let mut last = day;
    let mut idle = 0;
    while left > 0 && idle < FAR {
        at += Duration::days(by.signum());
        idle += 1;
        if working_day(job, at) {
            (left, last, idle) = (left - 1, at, 0);
        }
    }
    last
}

/// Working days after `a` up to `b`, negative backwards.
fn between(job: &Job, a: NaiveDate, b: NaiveDate) -> i64 {
    let (low, high) = (a.min(b), a.max(b));
    let n = (1..=(high - low).num_days()).filter(|&d| working_day(job, low + Duration::days(d))).count() as i64;
    if b < a { -n } else { n }
}

/// A start that can be planned, and what was forecast of it.
struct Begun {
    sound: Sound,
    found: Found,
    forecast: Option<Arc<Forecast>>,
}

/// Start days being looked at. Stopped, it goes on where it was.
pub struct Scan {
    all: Starts,
    begun: Vec<Option<Begun>>,
    /// Trials of each round, and where it stands: round and day.
    rounds: Vec<usize>,
    at: (usize, usize),
}

impl Scan {
    /// The working days around the start that keeps the client's day; none before `not_before`. The start the job has
    /// is read from the forecast there is; the others get as many trials, with fewer first. Nothing for a job without
    /// a client's day.
    pub fn new(base: &Desk, not_before: Option<NaiveDate>) -> Option<Scan> {
        let job = &base.sound.job;
        let target = job.target.map(|t| t.day)?;
        let safe = job.date_of(base.forecast.day(job.confidence));
        let just = working_day_after(job, job.start, between(job, safe, target));
        let fits = |d: &NaiveDate| *d <= target && not_before.is_none_or(|n| *d >= n) && working_day(job, *d);
        let mut days: Vec<NaiveDate> =
            (-AROUND..=AROUND).map(|by| working_day_after(job, just, by)).filter(fits).collect();
        days.dedup();
        let rows = days.iter().map(|&day| Start { day, chance: None, trials: 0 }).collect();
        let all = Starts { rows, target, confidence: job.confidence, present: job.start, whole: days.is_empty() };
        let begun = days.iter().map(|&d| begin(base, d)).collect();
        let most = base.forecast.trials.max(FIRST);
        let mut rounds: Vec<usize> = [FIRST, ASKED].into_iter().filter(|&n| n < most).collect();
        rounds.push(most);
        Some(Scan { all, begun, rounds, at: (0, 0) })
    }

    /// Looks on until all is known or it is stopped; `out` takes all of them each time one more is known, and once
    /// where all was known before. False where it was stopped.
    pub fn run(&mut self, cancel: Cancel, out: &mut dyn FnMut(&Starts)) -> bool {
        if self.all.whole {
            out(&self.all);
            return true;
        }
        let columns = Columns::default();
        while !self.all.whole {
            let (round, i) = self.at;
            if cancel() {
                return false;
            }
            let n = self.rounds[round];
            if let Some(b) = &mut self.begun[i] {
                let has = b.forecast.as_ref().map_or(0, |f| f.trials);
                if has < n {
                    match sample(&columns, &b.sound, &b.found, b.forecast.as_deref(), n, 0, cancel) {
                        Ok(f) if f.trials >= n => b.forecast = Some(Arc::new(f)),
                        Ok(_) => return false,
                        Err(_) => self.begun[i] = None,
                    }
                }
            }
            if let Some(b) = &self.begun[i]
                && let Some(f) = &b.forecast
            {
                self.all.rows[i].chance = Some(f.chance(b.sound.job.day_of(self.all.target)).1);
                self.all.rows[i].trials = f.trials;
            }
            self.at = if i + 1 < self.begun.len() { (round, i + 1) } else { (round + 1, 0) };
            self.all.whole = self.at.0 == self.rounds.len();
            out(&self.all);
        }
        true
    }
}

/// The job begun on another day, under the order it has; on its own day with the forecast it has.
fn begin(base: &Desk, day: NaiveDate) -> Option<Begun> {
    if day == base.sound.job.start {
        let (sound, found) = ((*base.sound).clone(), (*base.found).clone());
        return Some(Begun { sound, found, forecast: Some(base.forecast.clone()) });
    }
    let sound = judge(&Job { start: day, ..base.sound.job.clone() }).ok()?;
    let found = dispatched(&sound, &carried(&base.sound, &base.found.plan.order, &sound)).ok()?;
    Some(Begun { sound, found, forecast: None })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::Chain;

    #[test]
    fn an_earlier_start_keeps_the_day_more_often_and_the_present_one_says_what_the_forecast_says() {
        let job = crate::desk::open(include_str!("../../sample-jobs/powder.ron")).expect("a job").read.job;
        let mut base = None;
        Chain::default().answer(&job, 2000, &|| false, &mut |d| base = Some(d.clone())).expect("sound");
        let base = base.expect("an answer");
        let mut all = Vec::new();
        let run = |base: &Desk, not_before, out: &mut dyn FnMut(&Starts)| {
            Scan::new(base, not_before).is_some_and(|mut s| s.run(&|| false, out))
        };
        assert!(run(&base, None, &mut |s| all.push(s.clone())));
        let end = all.last().expect("an answer");
        assert!(end.whole && all[..all.len() - 1].iter().all(|s| !s.whole));
        assert!(end.rows.windows(2).all(|w| w[0].day < w[1].day));
        let latest = end.latest().expect("a start that holds");
        assert!(latest.day < job.start && latest.chance.expect("known").value >= job.confidence);
        // The first of the days is safer than the last.
        let chance = |r: &Start| r.chance.expect("known").value;
        assert!(chance(&end.rows[0]) > chance(&end.rows[end.rows.len() - 1]) + 0.1);
        // Provisional first: 500 trials each, then as many as the forecast has, whose own figure the present start has.
        assert_eq!(all[0].rows[0].trials, FIRST);
        assert!(end.rows.iter().all(|r| r.trials == base.forecast.trials));
        let present = end.rows.iter().find(|r| r.day == job.start).expect("the start as it stands");
        assert_eq!(present.chance, Some(base.forecast.chance(job.day_of(end.target)).1));
        // None before a day named, none for a job nobody waits for.
        let mut few = None;
        assert!(run(&base, Some(job.start), &mut |s| few = Some(s.clone())));
        assert!(few.expect("an answer").rows.iter().all(|r| r.day >= job.start));
        let nobody = judge(&Job { target: None, ..job }).expect("sound");
        let base = Desk { sound: Arc::new(nobody), ..base };
        assert!(Scan::new(&base, None).is_none(), "a start day for nobody");
    }

    #[test]
    fn stopped_it_says_no_more_and_goes_on_where_it_was() {
        let job = crate::desk::open(include_str!("../../sample-jobs/powder.ron")).expect("a job").read.job;
        let mut base = None;
        Chain::default().answer(&job, FIRST, &|| false, &mut |d| base = Some(d.clone())).expect("sound");
        let base = base.expect("an answer");
        let told = std::sync::atomic::AtomicUsize::new(0);
        let stop = || told.load(std::sync::atomic::Ordering::Relaxed) >= 2;
        let mut scan = Scan::new(&base, None).expect("a client's day");
        assert!(!scan.run(&stop, &mut |s| {
            assert!(!s.whole);
            told.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        }));
        assert_eq!(told.into_inner(), 2);
        let mut all = Vec::new();
        assert!(scan.run(&|| false, &mut |s| all.push(s.clone())));
        assert!(all[0].rows[..3].iter().all(|r| r.chance.is_some()), "what was known is known");
        let mut at_once = None;
        assert!(Scan::new(&base, None).expect("days").run(&|| false, &mut |s| at_once = Some(s.clone())));
        assert_eq!(all.last(), at_once.as_ref());
        // Asked again it only says what it knows.
        let mut again = Vec::new();
        assert!(scan.run(&|| panic!("looked at anew"), &mut |s| again.push(s.clone())));
        assert_eq!(again.as_slice(), &all[all.len() - 1..]);
    }
}
