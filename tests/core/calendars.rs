//! Calendars and drying against values computed outside the project (numpy busday).

use chrono::NaiveDate;
use roomback::clock::{Clock, DAY, UNIT};
use roomback::job::{Day, Hm, Job, Person, Week};
use roomback::schedule::{LEAST_LEFT, Setting};
use roomback::work::WorkGraph;

use crate::net::day_and_minute;

fn date(y: i32, m: u32, d: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(y, m, d).expect("a date")
}

/// A job from a first day with one person and the holidays of the check.
fn job(start: NaiveDate, week: Week) -> Job {
    let mut job = Job { start, ..Job::default() };
    job.calendar.holidays = vec![date(2026, 7, 3), date(2026, 9, 7), date(2026, 11, 26), date(2026, 12, 25)];
    job.crew = vec![Person { id: "jo".into(), week: Some(week), ..Person::default() }];
    job
}

/// The day on which so many whole shifts are done.
fn last_day(job: &Job, shifts: i64) -> NaiveDate {
    let worker = &Setting::new(job, &WorkGraph::default()).workers[0];
    let whole = Week::default();
    let lunch = whole.lunch.map_or(0, |l| l.to.0 - l.from.0);
    let minutes = whole.close.0 - whole.open.0 - whole.opening - whole.closing - lunch;
    let end = worker.clock.reach(0, shifts * minutes * UNIT).expect("a running clock");
    let (day, minute) = day_and_minute(end);
    assert_eq!(minute, 16 * 60 + 5);
    job.date_of(day)
}

#[test]
fn workdays_around_holidays() {
    let week = Week::default;
    for (start, shifts, end) in [
        (date(2026, 6, 29), 5, date(2026, 7, 6)),
        (date(2026, 6, 29), 10, date(2026, 7, 13)),
        (date(2026, 11, 23), 5, date(2026, 11, 30)),
        (date(2026, 12, 21), 5, date(2026, 12, 28)),
    ] {
        assert_eq!(last_day(&job(start, week()), shifts), end);
    }
    // A Monday-to-Thursday crew.
    let four = Week { days: Day::ALL[..4].to_vec(), ..Week::default() };
    assert_eq!(last_day(&job(date(2026, 6, 29), four), 10), date(2026, 7, 14));
    // Weekdays in 2011, by the suppliers' clock.
    let s = Setting::new(&job(date(2011, 1, 1), week()), &WorkGraph::default());
    assert_eq!(s.business.progress(0, 365 * DAY), 260 * DAY * UNIT);
    // A holiday stops suppliers too.
    let s = Setting::new(&job(date(2026, 6, 29), week()), &WorkGraph::default());
    assert_eq!(s.business.progress(0, 7 * DAY), 4 * DAY * UNIT);
}

#[test]
fn drying_over_a_weekend() {
    // Monday 2027-03-01 is day 0; Friday 15:00 is day 4.
    let friday = 4 * DAY + 15 * 60;
    let dry = |hours: i64| Clock::elapsed().reach(friday, hours * 60 * UNIT).expect("elapsed time runs");
    let worker = |close: i64| {
        let week = Week { close: Hm(close), ..Week::default() };
        let mut job = job(date(2027, 3, 1), week);
        job.calendar.holidays.clear();
        Setting::new(&job, &WorkGraph::default()).workers[0].clock.clone()
    };
    // 16 h: Saturday 7:00, and work goes on at the start of Monday's shift.
    assert_eq!(day_and_minute(dry(16)), (5, 7 * 60));
    assert_eq!(worker(990).next_on(dry(16)).map(day_and_minute), Ok((7, 8 * 60 + 15)));
    // 72 h: Monday 15:00, the same afternoon if enough of the shift is left: it must end
    // after 15:30.
    assert_eq!(day_and_minute(dry(72)), (7, 15 * 60));
    let left = |close: i64| worker(close).progress(dry(72), 8 * DAY) / UNIT;
    assert_eq!(worker(990).next_on(dry(72)), Ok(dry(72)));
    assert!(left(990) > LEAST_LEFT);
    // Closing takes the last 25 minutes: 15:55 is a shift to 15:30, 15:56 one to 15:31.
    assert!(left(15 * 60 + 55) <= LEAST_LEFT && left(15 * 60 + 56) > LEAST_LEFT);
}
