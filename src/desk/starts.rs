//! Which start keeps the client's day: the kept order begun on other days, under the same
//! random numbers.
//!
//! The days looked at are working days around the one that would be just in time by the
//! forecast as it stands. Trials grow in two rounds, so that first answers are out early.

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

/// A start that can be planned, and what was forecast of it.
type Begun = Option<(Sound, Found, Option<Arc<Forecast>>)>;

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

/// Looks at starts around the one that keeps the client's day; none before `not_before`. `out`
/// takes all of them each time one more is known. Nothing for a job without a client's day.
pub fn starts(base: &Desk, not_before: Option<NaiveDate>, trials: usize, cancel: Cancel, out: &mut dyn FnMut(&Starts)) {
    let job = &base.sound.job;
    let Some(target) = job.target.map(|t| t.day) else { return };
    let safe = job.date_of(base.forecast.day(job.confidence));
    let just = working_day_after(job, job.start, between(job, safe, target));
    let fits = |d: &NaiveDate| *d <= target && not_before.is_none_or(|n| *d >= n) && working_day(job, *d);
    let mut days: Vec<NaiveDate> = (-AROUND..=AROUND).map(|by| working_day_after(job, just, by)).filter(fits).collect();
    days.dedup();
    let rows = days.iter().map(|&day| Start { day, chance: None, trials: 0 }).collect();
    let mut all = Starts { rows, target, confidence: job.confidence, present: job.start, whole: days.is_empty() };
    if all.whole {
        out(&all);
        return;
    }
    let columns = Columns::default();
    let mut begun: Vec<Begun> = days.iter().map(|&d| begin(base, d)).collect();
    let last = trials.max(FIRST);
    for (round, n) in [FIRST, last.min(ASKED)].into_iter().enumerate() {
        for (i, one) in begun.iter_mut().enumerate() {
            if cancel() {
                return;
            }
            if let Some((sound, found, old)) = one
                && let Ok(f) = sample(&columns, sound, found, old.as_deref(), n, 0, cancel)
                && f.trials > 0
            {
                all.rows[i].chance = Some(f.chance(sound.job.day_of(target)).1);
                all.rows[i].trials = f.trials;
                *old = Some(Arc::new(f));
            }
            all.whole = round == 1 && i + 1 == days.len();
            out(&all);
        }
    }
}

/// The job begun on another day, under the order it has.
fn begin(base: &Desk, day: NaiveDate) -> Option<(Sound, Found, Option<Arc<Forecast>>)> {
    let sound = judge(&Job { start: day, ..base.sound.job.clone() }).ok()?;
    let found = dispatched(&sound, &carried(&base.sound, &base.found.plan.order, &sound)).ok()?;
    Some((sound, found, None))
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
        starts(&base, None, ASKED, &|| false, &mut |s| all.push(s.clone()));
        let end = all.last().expect("an answer");
        assert!(end.whole && all[..all.len() - 1].iter().all(|s| !s.whole));
        assert!(end.rows.windows(2).all(|w| w[0].day < w[1].day));
        let latest = end.latest().expect("a start that holds");
        assert!(latest.day < job.start && latest.chance.expect("known").value >= job.confidence);
        // The first of the days is safer than the last.
        let chance = |r: &Start| r.chance.expect("known").value;
        assert!(chance(&end.rows[0]) > chance(&end.rows[end.rows.len() - 1]) + 0.1);
        // Provisional first: 500 trials each, then all.
        assert_eq!(all[0].rows[0].trials, FIRST);
        assert!(end.rows.iter().all(|r| r.trials == ASKED));
        // None before a day named, none for a job nobody waits for.
        let mut few = None;
        starts(&base, Some(job.start), FIRST, &|| false, &mut |s| few = Some(s.clone()));
        assert!(few.expect("an answer").rows.iter().all(|r| r.day >= job.start));
        let nobody = judge(&Job { target: None, ..job }).expect("sound");
        let base = Desk { sound: Arc::new(nobody), ..base };
        starts(&base, None, FIRST, &|| false, &mut |_| panic!("a start day for nobody"));
    }

    #[test]
    fn stopped_it_says_no_more() {
        let job = crate::desk::open(include_str!("../../sample-jobs/powder.ron")).expect("a job").read.job;
        let mut base = None;
        Chain::default().answer(&job, FIRST, &|| false, &mut |d| base = Some(d.clone())).expect("sound");
        let told = std::sync::atomic::AtomicUsize::new(0);
        let stop = || told.load(std::sync::atomic::Ordering::Relaxed) >= 2;
        starts(&base.expect("an answer"), None, ASKED, &stop, &mut |s| {
            assert!(!s.whole);
            told.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        });
        assert_eq!(told.into_inner(), 2);
    }
}
