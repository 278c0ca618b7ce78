//! Dates on which somebody works other hours than his week: a half day, an evening on top, a
//! Saturday; the next free day each would fall on, to be changed in its field.

use chrono::{Datelike, Duration, NaiveDate, Weekday};

use crate::job::{DateHours, Hm, Hours, Job, Person};

/// A kind of day with other hours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OtherHours {
    HalfDay,
    Evening,
    Saturday,
}

/// An evening after supper (judgement).
const EVENING: Hours = Hours { from: Hm(18 * 60), to: Hm(20 * 60 + 30) };
/// Noon, where a half day ends.
const NOON: Hm = Hm(12 * 60);

impl OtherHours {
    pub const ALL: [OtherHours; 3] = [OtherHours::HalfDay, OtherHours::Evening, OtherHours::Saturday];

    pub fn words(self) -> &'static str {
        match self {
            OtherHours::HalfDay => "A half day",
            OtherHours::Evening => "An evening",
            OtherHours::Saturday => "A Saturday",
        }
    }

    /// The hours of that day on the first date of the job it can be.
    pub fn next(self, job: &Job, p: &Person) -> DateHours {
        let week = p.week.as_ref().unwrap_or(&job.calendar.week);
        let free = |d: &NaiveDate| !p.dates.iter().any(|x| x.day == *d) && !p.days_off.contains(d);
        let works = |d: &NaiveDate| match self {
            OtherHours::Saturday => d.weekday() == Weekday::Sat,
            _ => week.days.iter().any(|w| w.index() == d.weekday().num_days_from_monday() as usize),
        };
        let days = (0..400).map(|n| job.start + Duration::days(n));
        let day = days.clone().find(|d| free(d) && works(d)).unwrap_or(job.start);
        let from = Hm(week.open.0 + week.opening);
        let morning = Hours { from, to: if from < NOON { NOON } else { week.close } };
        let hours = match self {
            OtherHours::HalfDay | OtherHours::Saturday => vec![morning],
            OtherHours::Evening => {
                let close = Hm((week.close.0 - week.closing).min(EVENING.from.0));
                let mut day = match week.lunch {
                    Some(l) if from < l.from && l.to < close => {
                        vec![Hours { from, to: l.from }, Hours { from: l.to, to: close }]
                    }
                    _ if from < close => vec![Hours { from, to: close }],
                    _ => Vec::new(),
                };
                day.push(EVENING);
                day
            }
        };
        DateHours { day, hours }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::typed::stretches_field;

    #[test]
    fn each_falls_on_the_first_day_it_can() {
        // 1 March 2027 is a Monday.
        let job = Job::default();
        let mut p = Person::default();
        let next = |p: &Person, k: OtherHours| {
            let d = k.next(&job, p);
            (d.day.to_string(), stretches_field(&d.hours))
        };
        assert_eq!(next(&p, OtherHours::HalfDay), ("2027-03-01".into(), "8:15 to 12:00".into()));
        let evening = "8:15 to 12:30, 13:00 to 16:05, 18:00 to 20:30";
        assert_eq!(next(&p, OtherHours::Evening), ("2027-03-01".into(), evening.into()));
        assert_eq!(next(&p, OtherHours::Saturday).0, "2027-03-06");
        p.dates.push(OtherHours::HalfDay.next(&job, &p));
        p.days_off.push(job.start + Duration::days(1));
        assert_eq!(next(&p, OtherHours::HalfDay).0, "2027-03-03");
    }
}
