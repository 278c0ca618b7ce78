//! Time lost in words, the hours of a part of a day, and what a change comes to before it is kept.

use super::super::{Almanac, Figure, Reading, chance_words, in_ten};
use crate::clock::DAY;
use crate::desk::Sound;
use crate::job::{Hm, Hours, Job, LostCause, LostTime};
use crate::search::Found;

/// Why time is lost, in words.
pub const CAUSES: [(LostCause, &str); 8] = [
    (LostCause::Illness, "illness"),
    (LostCause::ChildIll, "child ill"),
    (LostCause::Family, "family"),
    (LostCause::OtherJob, "other job"),
    (LostCause::Weather, "weather"),
    (LostCause::Vehicle, "vehicle"),
    (LostCause::Client, "client"),
    (LostCause::Other, "other"),
];

/// A cause in words.
pub fn cause_words(cause: LostCause) -> &'static str {
    CAUSES.iter().find(|c| c.0 == cause).map_or("other", |c| c.1)
}

/// An entry of time lost: `Wed 10 Mar to Fri 12 Mar: Mara, illness`.
pub fn lost_words(job: &Job, l: &LostTime) -> String {
    let day = |d: chrono::NaiveDate| d.format("%a %-d %b").to_string();
    let mut out = day(l.from);
    if l.last() > l.from {
        out += &format!(" to {}", day(l.last()));
    }
    if let Some(h) = l.hours {
        out += &format!(", {}:{:02} to {}:{:02}", h.from.0 / 60, h.from.0 % 60, h.to.0 / 60, h.to.0 % 60);
    }
    let who = job.crew.iter().find(|p| p.id == l.who).map(|p| if p.name.is_empty() { &p.id } else { &p.name });
    out += &match (l.house, who) {
        (true, _) => ": the house not free".to_string(),
        (false, Some(name)) => format!(": {name}"),
        (false, None) if job.crew.len() > 1 => ": everybody".to_string(),
        _ => String::new(),
    };
    let cause = cause_words(l.cause);
    let why = if l.note.is_empty() { cause.to_string() } else { l.note.clone() };
    format!("{out}, {why}")
}

/// Hours of a day: written out, such as 13:00-16:30, or the last so many of whoever it befell.
///
/// # Errors
/// What can be read as neither, and more hours than are worked that day.
pub fn part(sound: &Sound, who: &[String], day: i64, text: &str) -> Result<Hours, String> {
    let Ok(hours) = super::super::typed::read_number(text) else {
        let ways = "hours such as 2.5, or 13:00-16:30";
        return super::super::typed::read_hours(text)
            .ok()
            .flatten()
            .ok_or_else(|| format!("\"{text}\" is none; write {ways}"));
    };
    if hours <= 0.0 {
        return Err("write more than 0 hours".into());
    }
    let person = sound.job.crew.iter().position(|p| who.first().is_none_or(|w| *w == p.id)).unwrap_or(0);
    let shift = sound.setting.workers.get(person).map(|w| *w.shifts.day(day));
    let stretches: Vec<(i64, i64)> =
        shift.iter().flat_map(|s| s.stretches()).map(|s| (i64::from(s.0), i64::from(s.1))).collect();
    let mut left = libm::round(hours * 60.0) as i64;
    let Some(&(_, end)) = stretches.last().filter(|_| left > 0) else {
        return Err("no hours are worked that day".into());
    };
    for (from, to) in stretches.iter().rev() {
        if left <= to - from {
            return Ok(Hours { from: Hm(to - left), to: Hm(end.min(DAY)) });
        }
        left -= to - from;
    }
    Err(format!("only {:.2} h are worked that day; leave the part out for all of it", hours - left as f64 / 60.0))
}

/// Likely and safe day, clean run and chance, before and after a change: caption and figure.
pub fn change_rows(is: &Reading, asked: &Reading, plans: (&Found, &Found)) -> Vec<(String, Figure)> {
    let (a, b) = (Almanac(&is.sound.job), Almanac(&asked.sound.job));
    let row = |caption: &str, was: String, now: String, why: &str| {
        let words = if was == now { format!("{now}, as before") } else { format!("{was} → {now}") };
        (caption.to_string(), Figure::new(words, why))
    };
    let safe = format!("safe to promise, {}", in_ten(is.odds.confidence));
    let same = "the same trials with and without it";
    let mut out = vec![
        row("likely", a.short_day(is.days.likely), b.short_day(asked.days.likely), same),
        row(&safe, a.short_day(is.days.safe), b.short_day(asked.days.safe), same),
        row(
            "clean run",
            a.short(plans.0.plan.finish),
            b.short(plans.1.plan.finish),
            "the end of the order that is worked by, everything typical from here on",
        ),
    ];
    if let (Some(x), Some(y)) = (&is.odds.target, &asked.odds.target) {
        let chance =
            |t: &(crate::job::Target, i64, crate::forecast::stats::Interval<f64>), n| chance_words(t.2.value, n);
        let caption = format!("chance of {}", a.short_day(x.1));
        out.push(row(&caption, chance(x, is.forecast.trials), chance(y, asked.forecast.trials), same));
    }
    out
}
