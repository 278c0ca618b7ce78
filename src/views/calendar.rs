//! Days for a calendar: what the client has to know, and on request the days of work.
//!
//! An event has a name that stays when its day moves, so that a calendar that has it already moves it
//! too: a decision's by its id, a shut room's by its day. Days are whole days, times local.

use chrono::{Days, NaiveDate, NaiveDateTime};

use super::client::{ClientPage, Life, long_day};
use super::days::portions;
use super::paper::clean;
use crate::desk::Sound;
use crate::job::Job;
use crate::search::Found;

/// When something is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Span {
    /// Whole days, both included.
    Days(NaiveDate, NaiveDate),
    Times(NaiveDateTime, NaiveDateTime),
}

/// An entry of a calendar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    /// Unique in the world, and the same in every calendar of this job.
    pub uid: String,
    pub span: Span,
    pub title: String,
    pub text: String,
}

/// How often something was promised, written up or recorded: it only grows.
pub fn revision(job: &Job) -> usize {
    job.promises.len() + job.log.len() + job.record.len()
}

/// FNV-1a of 64 bits (Fowler, Noll, Vo).
fn fnv(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |h, b| (h ^ u64::from(b)).wrapping_mul(0x100_0000_01b3))
}

/// A short name for a job that does not change with its dates, from its name and its client.
fn job_key(job: &Job) -> String {
    format!("{:016x}", fnv(&format!("{}\n{}", job.name, job.client)))
}

fn uid(job: &Job, name: &str) -> String {
    let plain =
        |c: char| if c.is_ascii_alphanumeric() || c == '-' { c.to_string() } else { format!("x{:x}", c as u32) };
    // A name of any length stays short; what is cut is told apart by its sum.
    let name: String = name.chars().map(plain).collect();
    let short: String = name.chars().take(60).collect();
    let more = if short.len() < name.len() { format!("-{:016x}", fnv(&name)) } else { String::new() };
    format!("{short}{more}@{}.roomback", job_key(job))
}

/// What the client has to know: what is needed by when, rooms to keep out of, the day.
pub fn client_events(sound: &Sound, found: &Found, page: &ClientPage) -> Vec<Event> {
    let job = &sound.job;
    let mut out: Vec<Event> = page
        .wants
        .iter()
        .filter(|w| !w.unnamed())
        .map(|w| Event {
            uid: uid(job, &w.key),
            span: Span::Days(w.day, w.day),
            title: w.what.clone(),
            text: format!("{}: {}", w.when, w.what),
        })
        .collect();
    let life = Life::new(sound, found);
    for day in life.days() {
        let why = life.shut_on(day);
        if !why.is_empty() {
            let date = job.date_of(day);
            out.push(Event {
                uid: uid(job, &format!("shut-{date}")),
                span: Span::Days(date, date),
                title: format!("keep out: {}", why.join(", ")),
                text: life.phases_of(day).join(", "),
            });
        }
    }
    let mut text = page.early.clone();
    page.conditions.iter().for_each(|c| text += &format!("\n{c}"));
    out.push(Event {
        uid: uid(job, "hand-back"),
        span: Span::Days(page.day, page.day),
        title: format!("{} {}", page.lead, long_day(page.day)),
        text,
    });
    out.sort_by_key(|e| (first(e), e.uid.clone()));
    out
}

/// A day of work each, from its first hour to its last.
pub fn work_events(sound: &Sound, found: &Found) -> Vec<Event> {
    let job = &sound.job;
    let life = Life::new(sound, found);
    let one = |(&day, list): (&i64, &Vec<super::Portion>)| {
        let from = list.iter().map(|p| p.begin).min()?;
        let to = list.iter().map(|p| p.end).max()?;
        let date = job.date_of(day);
        Some(Event {
            uid: uid(job, &format!("work-{date}")),
            span: Span::Times(job.time_of(from), job.time_of(to)),
            title: format!("work: {}", life.phases_of(day).join(", ")),
            text: String::new(),
        })
    };
    portions(&sound.net(found), &found.plan).iter().filter_map(one).collect()
}

fn first(e: &Event) -> NaiveDateTime {
    match e.span {
        Span::Days(a, _) => a.and_time(chrono::NaiveTime::MIN),
        Span::Times(a, _) => a,
    }
}

impl Event {
    /// The day after its last, as calendars write the end of whole days.
    pub fn day_after(last: NaiveDate) -> NaiveDate {
        last.checked_add_days(Days::new(1)).unwrap_or(last)
    }

    /// Its title, fit for one line.
    pub fn line(&self) -> String {
        clean(&self.title)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_stays_when_the_day_moves_and_differs_between_jobs() {
        let job = Job { name: "Study".into(), client: "R.".into(), ..Job::default() };
        let later = Job { start: "2027-06-01".parse().expect("a day"), ..job.clone() };
        assert_eq!(uid(&job, "hand-back"), uid(&later, "hand-back"));
        assert_ne!(uid(&job, "hand-back"), uid(&Job { client: "S.".into(), ..job.clone() }, "hand-back"));
        let (a, b) = ("x".repeat(10_000), "x".repeat(10_001));
        assert_ne!(uid(&job, &a), uid(&job, &b));
        assert!(uid(&job, &a).len() < 120 && uid(&job, "a b;\n,é").is_ascii());
        // Test vectors of FNV-1a, 64 bits (from memory).
        assert_eq!((fnv(""), fnv("a")), (0xcbf2_9ce4_8422_2325, 0xaf63_dc4c_8601_ec8c));
    }
}
