//! A job asked at a moment: which, where nobody says, and the work as it stands then.

use chrono::{Days, NaiveDate, NaiveDateTime, NaiveTime};

use super::{Sound, judge};
use crate::job::{Job, Problem};

/// The midnight that ends a day.
pub fn evening_of(day: NaiveDate) -> NaiveDateTime {
    day.checked_add_days(Days::new(1)).unwrap_or(day).and_time(NaiveTime::MIN)
}

/// The evening of the last day written up; none where nothing is.
pub fn last_evening(job: &Job) -> Option<NaiveDateTime> {
    job.log.iter().map(|d| d.day).max().map(evening_of)
}

/// The job judged at a moment, or from its first day.
///
/// # Errors
/// Everything that stands against a plan.
pub fn asked_at(job: &Job, as_of: Option<NaiveDateTime>) -> Result<Sound, Vec<Problem>> {
    judge(&Job { as_of, ..job.clone() })
}
