//! Days and times in words and in JSON.

use chrono::{Datelike, NaiveDate, NaiveDateTime, Timelike};
use serde_json::{Value, json};

use crate::clock::At;
use crate::forecast::last_day;
use crate::job::Job;

/// Turns instants of one job into words. Abbreviated English weekday and month names.
#[derive(Clone, Copy)]
pub struct Almanac<'a>(pub &'a Job);

impl Almanac<'_> {
    /// `Wed 24 Mar 2027`.
    pub fn day(&self, day: i64) -> String {
        day_words(self.0.date_of(day))
    }

    /// `Wed 24 Mar`, the year left out.
    pub fn short_day(&self, day: i64) -> String {
        self.0.date_of(day).format("%a %-d %b").to_string()
    }

    /// `8:15`; `noon`; `midnight` for an end at 24:00.
    pub fn time(&self, at: At) -> String {
        let t = self.0.time_of(at);
        match (t.hour(), t.minute()) {
            (12, 0) => "noon".into(),
            (0, 0) => "midnight".into(),
            (h, m) => format!("{h}:{m:02}"),
        }
    }

    /// `Wed 24 Mar 2027, 8:15` of a begin.
    pub fn begin(&self, at: At) -> String {
        format!("{}, {}", self.day(at.day()), self.time(at))
    }

    /// `Wed 24 Mar 2027, 16:05` of an end: midnight belongs to the day it ends.
    pub fn end(&self, at: At) -> String {
        format!("{}, {}", self.day(last_day(at)), self.time(at))
    }

    /// `Wed 24 Mar 8:15`.
    pub fn short(&self, at: At) -> String {
        format!("{} {}", self.short_day(at.day()), self.time(at))
    }

    /// `YYYY-MM-DDTHH:MM` of an instant.
    pub fn json(&self, at: At) -> Value {
        json!(iso(self.0.time_of(at)))
    }

    /// `YYYY-MM-DD` of a day number.
    pub fn json_day(&self, day: i64) -> Value {
        json!(iso_day(self.0.date_of(day)))
    }

    /// Monday = 0.
    pub fn weekday(&self, day: i64) -> usize {
        self.0.date_of(day).weekday().num_days_from_monday() as usize
    }
}

/// `Wed 24 Mar 2027`.
pub fn day_words(day: NaiveDate) -> String {
    day.format("%a %-d %b %Y").to_string()
}

/// `Wed 24 Mar 2027, 8:15` of the clock on the wall.
pub fn instant_words(t: NaiveDateTime) -> String {
    format!("{}, {}:{:02}", day_words(t.date()), t.hour(), t.minute())
}

/// `YYYY-MM-DDTHH:MM`.
pub fn iso(t: NaiveDateTime) -> String {
    t.format("%Y-%m-%dT%H:%M").to_string()
}

/// `YYYY-MM-DD`.
pub fn iso_day(d: NaiveDate) -> String {
    d.format("%Y-%m-%d").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::DAY;

    #[test]
    fn days_and_times_read_as_the_trade_says_them() {
        // 1 March 2027 is a Monday (proleptic Gregorian calendar).
        let job = Job::default();
        let a = Almanac(&job);
        assert_eq!(a.begin(At(495)), "Mon 1 Mar 2027, 8:15");
        assert_eq!(a.end(At(2 * DAY + 720)), "Wed 3 Mar 2027, noon");
        assert_eq!(a.end(At(3 * DAY)), "Wed 3 Mar 2027, midnight");
        assert_eq!(a.short(At(DAY + 965)), "Tue 2 Mar 16:05");
        assert_eq!(a.json(At(DAY + 965)), json!("2027-03-02T16:05"));
        assert_eq!(a.json_day(40), json!("2027-04-10"));
        assert_eq!(a.weekday(5), 5);
    }
}
