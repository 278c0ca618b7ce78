//! A job asked at a moment: which, where nobody says; the work as it stands then; days that
//! passed without a word.
//!
//! Days after the last one written up and before the moment are *open*. They are worked out
//! both as they were planned and as if nothing was done on them, and the way that ends later is
//! shown: later by the date the job's confidence asks for, in the same trials. Of a day not over
//! yet only what is written up counts. A day before the last one written up that has no entry
//! counts as nothing done.

use chrono::{Days, NaiveDate, NaiveDateTime, NaiveTime};

use super::evening::{Outlook, day_as_planned};
use super::{ASKED, Sound, judge, without_lost_names};
use crate::job::{Edit, FARTHEST, Job, Problem, edited};

/// The midnight that ends a day.
pub fn evening_of(day: NaiveDate) -> NaiveDateTime {
    day.checked_add_days(Days::new(1)).unwrap_or(day).and_time(NaiveTime::MIN)
}

/// The moment the last word is of: the evening of the last day written up, the morning of a day
/// something was heard, found or agreed on; none where nothing is written.
pub fn last_evening(job: &Job) -> Option<NaiveDateTime> {
    let morning = |d: NaiveDate| d.and_time(NaiveTime::MIN);
    let told = last_told(job).map(evening_of);
    let heard = job.log.iter().filter(|d| d.news_only()).map(|d| morning(d.day)).max();
    let found = job.redone.iter().map(|r| r.day).chain(job.changes.iter().map(|c| c.day)).max();
    let latest = told.max(heard);
    latest.max(found.filter(|_| latest.is_some()).map(morning))
}

/// The last day written up.
pub fn last_told(job: &Job) -> Option<NaiveDate> {
    job.log.iter().filter(|d| !d.news_only()).map(|d| d.day).max()
}

/// The moment something found or agreed on a day is asked at: [`last_evening`], or the morning of
/// that day where it is later; none before anything is written.
pub fn moment(job: &Job, day: NaiveDate) -> Option<NaiveDateTime> {
    last_evening(job).map(|t| t.max(day.and_time(NaiveTime::MIN)))
}

/// Whether a day lies farther off than anybody plans: more than three years after the first.
pub fn far(job: &Job, day: NaiveDate) -> bool {
    job.day_of(day) > FARTHEST
}

/// The job without the work found, or agreed, after a day. What was taken out since stays out.
pub fn known_by(job: &Job, day: NaiveDate) -> Job {
    let late: Vec<&String> = job.changes.iter().filter(|c| c.day > day).flat_map(|c| &c.adds).collect();
    if late.is_empty() && job.redone.iter().all(|r| r.day <= day) {
        return job.clone();
    }
    let mut out = job.clone();
    out.redone.retain(|r| r.day <= day);
    out.steps.retain(|s| !late.contains(&&s.id));
    without_lost_names(out)
}

/// The job as it was before anything happened.
pub fn untouched(job: &Job) -> Job {
    let mut first = Job { log: Vec::new(), lost: Vec::new(), closed: None, ..job.clone() };
    for at in (0..first.taken.len()).rev() {
        first = edited(&first, &[Edit::WayTakenBack(at)]);
    }
    known_by(&first, job.start.pred_opt().unwrap_or(job.start))
}

/// The job judged at a moment, or from its first day.
///
/// # Errors
/// Everything that stands against a plan.
pub fn asked_at(job: &Job, as_of: Option<NaiveDateTime>) -> Result<Sound, Vec<Problem>> {
    let job = as_of.map_or_else(|| job.clone(), |t| known_by(job, t.date()));
    judge(&Job { as_of, ..job })
}

/// Days passed and not written up, and how they are counted.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenDays {
    pub days: Vec<NaiveDate>,
    /// Shown as if they went as planned; else as if nothing was done.
    pub as_planned: bool,
    /// The other way: its clean run, and the day safe to promise.
    pub clean_run: NaiveDateTime,
    pub safe: NaiveDate,
}

/// Days open at the moment a job was judged at: after the last one written up.
fn open(sound: &Sound) -> Vec<NaiveDate> {
    let job = &sound.job;
    let last = last_told(job);
    let all = sound.setting.standing.as_deref().map_or(&[][..], |f| &f.open);
    all.iter().map(|&d| job.date_of(d)).filter(|d| last.is_none_or(|l| *d > l)).collect()
}

/// The job judged at a moment, days not written up counted the way that ends later.
///
/// # Errors
/// Everything that stands against a plan.
pub fn worse(job: &Job, as_of: Option<NaiveDateTime>) -> Result<Sound, Vec<Problem>> {
    let sound = asked_at(job, as_of)?;
    let days = open(&sound);
    if days.is_empty() {
        return Ok(sound);
    }
    let mut planned = job.clone();
    for &day in &days {
        let (entry, _) = day_as_planned(&planned, day)?;
        planned = edited(&planned, &[Edit::Day(day, Some(Box::new(entry)))]);
    }
    let ways = [Outlook::of(job, as_of, ASKED)?, Outlook::of(&planned, as_of, ASKED)?];
    let late = |o: &Outlook| (o.forecast.quantile(job.confidence).0, o.found.plan.finish);
    let as_planned = late(&ways[1]) > late(&ways[0]);
    let [nothing, planned] = ways;
    let (shown, other) = if as_planned { (planned, nothing) } else { (nothing, planned) };
    let open = OpenDays {
        days,
        as_planned,
        clean_run: job.time_of(other.found.plan.finish),
        safe: job.date_of(other.forecast.day(job.confidence)),
    };
    Ok(Sound { open: Some(open), ..shown.sound })
}
