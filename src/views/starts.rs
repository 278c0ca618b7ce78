//! When to begin: start days with the chance of the client's day, and the latest that holds;
//! single questions and their answers in words.

use super::{Almanac, Figure, Reading, chance_words, choices, day_words, in_ten};
use crate::desk::asks::{Ask, HEATED};
use crate::desk::starts::{Start, Starts};
use crate::job::Job;

fn short(day: chrono::NaiveDate) -> String {
    day.format("%a %-d %b").to_string()
}

/// `Mon 22 Feb`, and its chance; the present start is marked.
pub fn start_words(all: &Starts, row: &Start) -> (String, String) {
    let chance = row.chance.map_or_else(|| "…".to_string(), |c| chance_words(c.value, row.trials));
    let mark = if row.day == all.present { ", as it stands" } else { "" };
    (short(row.day), format!("{chance}{mark}"))
}

/// A start day as a question: `begin Mon 22 Feb`.
pub fn begin_words(day: &str) -> String {
    format!("{BEGIN}{day}")
}

const BEGIN: &str = "begin ";

/// Whether words are such a question.
pub fn begins_words(words: &str) -> bool {
    words.starts_with(BEGIN)
}

/// The latest start that holds, in one sentence.
pub fn latest_words(all: &Starts) -> String {
    let (by, safe) = (short(all.target), in_ten(all.confidence));
    if all.rows.is_empty() {
        return format!("No day to begin is left before {by}.");
    }
    if all.rows.iter().any(|r| r.chance.is_none()) {
        return "counting…".into();
    }
    match all.latest() {
        Some(r) if all.rows.last().is_some_and(|l| l.day == r.day) && r.day < all.target => {
            format!("Begin {} or even later: {safe} for {by} still holds.", day_words(r.day))
        }
        Some(r) => format!("Begin {} at the latest: {safe} for {by}.", day_words(r.day)),
        None => format!("None of these days gives {safe} for {by}; the earliest does best."),
    }
}

/// Where the chances of start days come from.
pub fn starts_why(all: &Starts) -> String {
    let n = all.rows.iter().map(|r| r.trials).min().unwrap_or(0);
    format!(
        "the order as it stands begun on each of these days, {} trials each, by the same random numbers as the strip; \
         the job as it stands has the strip's own chance",
        super::thousands(n)
    )
}

/// Where the chance of one start day comes from.
pub fn start_why(all: &Starts, row: &Start) -> String {
    match row.chance {
        Some(c) => super::strip::chance_why(short(all.target), &c, row.trials),
        None => "not counted yet, or this start cannot be planned".into(),
    }
}

/// A question in words: `a helper for 2 days from Mon 1 Mar`.
pub fn ask_words(job: &Job, ask: &Ask) -> String {
    let person = |p: usize| job.crew.get(p).map_or("somebody", |p| p.name.as_str()).to_string();
    // A new job's crew is called You.
    let verb = |p: usize| if person(p).eq_ignore_ascii_case("you") { ("work", "are") } else { ("works", "is") };
    let place = |p: usize| job.places.get(p).map_or("a place", |p| p.name.as_str()).to_string();
    match ask {
        Ask::Helper { from, days: 1 } => format!("a helper for a day, {}", short(*from)),
        Ask::Helper { from, days } => format!("a helper for {days} days from {}", short(*from)),
        Ask::Evening { person: p, day } => format!("{} {} the evening of {}", person(*p), verb(*p).0, short(*day)),
        Ask::Extra { person: p, day } => format!("{} {} {}", person(*p), verb(*p).0, short(*day)),
        Ask::Off { person: p, day } => format!("{} {} away {}", person(*p), verb(*p).1, short(*day)),
        Ask::Heater { place: p } => {
            format!("a heater in the {}, {} day and night", place(*p), super::temperature(job.units, HEATED))
        }
        Ask::Fan { place: p } => format!("a fan in the {}", place(*p)),
        Ask::Method { room, surface, choice, option } => {
            let r = job.rooms.get(*room);
            let s = r.and_then(|r| r.surfaces.get(*surface));
            let of = s.map_or("", |s| if s.name.is_empty() { s.id.as_str() } else { s.name.as_str() });
            let of = match (job.rooms.len(), r) {
                (2.., Some(r)) => format!("{}, {}", if r.name.is_empty() { &r.id } else { &r.name }, choices::said(of)),
                _ => choices::said(of),
            };
            let name =
                s.map(|s| choices::choices_of(job, &s.recipe)).and_then(|c| c.into_iter().find(|c| c.id == *choice));
            let name = name.map(|c| c.name).filter(|n| !n.is_empty()).unwrap_or_else(|| choices::said(choice));
            format!("{of}: {name}: {}", choices::said(option))
        }
    }
}

/// The answer to a question: `safe to promise Wed 31 → Mon 29 Mar, 84 → 91 %`.
pub fn safe_figure(is: &Reading, asked: &Reading) -> Figure {
    Figure::new(safe_words(is, asked), format!("{} trials, {}", super::thousands(is.forecast.trials), super::COUNTED))
}

/// The same in words alone.
fn safe_words(is: &Reading, asked: &Reading) -> String {
    let (a, b) = (Almanac(&is.sound.job), Almanac(&asked.sound.job));
    let (x, y) = (a.short_day(is.days.safe), b.short_day(asked.days.safe));
    let mut out = if x == y {
        format!("safe to promise stays {x}")
    } else {
        format!("safe to promise {}", super::strip::pair(x, Some(y)))
    };
    if let (Some(p), Some(q)) = (&is.odds.target, &asked.odds.target) {
        let (x, y) = (chance_words(p.2.value, is.forecast.trials), chance_words(q.2.value, asked.forecast.trials));
        out += &if x == y { format!(", chance stays {x}") } else { format!(", {} → {y}", x.trim_end_matches(" %")) };
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::stats::share;
    use chrono::NaiveDate;

    fn day(d: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2027, 3, d).expect("a day")
    }

    #[test]
    fn the_latest_start_is_said_in_one_sentence() {
        let rows = [(1, 950), (2, 830), (3, 790)];
        let row = |&(d, hits): &(u32, usize)| Start { day: day(d), chance: Some(share(hits, 1000)), trials: 2000 };
        let mut all = Starts {
            rows: rows.iter().map(row).collect(),
            target: day(26),
            confidence: 0.8,
            present: day(3),
            whole: true,
        };
        assert_eq!(latest_words(&all), "Begin Tue 2 Mar 2027 at the latest: 8 in 10 for Fri 26 Mar.");
        assert_eq!(start_words(&all, &all.rows[2]), ("Wed 3 Mar".into(), "79 %, as it stands".into()));
        all.confidence = 0.75;
        assert!(latest_words(&all).contains("or even later"));
        all.confidence = 0.99;
        assert!(latest_words(&all).starts_with("None of these days"));
        all.rows[1].chance = None;
        assert_eq!((latest_words(&all).as_str(), start_words(&all, &all.rows[1]).1.as_str()), ("counting…", "…"));
    }

    #[test]
    fn questions_are_said_as_a_carpenter_would() {
        let job = crate::desk::open(include_str!("../../sample-jobs/study.ron")).expect("a job").read.job;
        assert_eq!(ask_words(&job, &Ask::Helper { from: day(8), days: 2 }), "a helper for 2 days from Mon 8 Mar");
        let mut yours = job.clone();
        yours.crew[0].name = "You".into();
        assert_eq!(ask_words(&yours, &Ask::Off { person: 0, day: day(8) }), "You are away Mon 8 Mar");
        assert!(ask_words(&yours, &Ask::Extra { person: 0, day: day(8) }).starts_with("You work "));
        assert!(ask_words(&job, &Ask::Heater { place: 0 }).ends_with("70 F day and night"));
    }
}
