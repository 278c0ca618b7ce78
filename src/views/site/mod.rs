//! The page of a job under way: the new date as a sentence, what comes next, what was done, what
//! dries now.
//!
//! Reads one answer asked at a moment. Days and hours are those of the texts `today` and `moved`:
//! they come from the same functions.

mod change;
pub mod entry;
mod lost;
pub mod moved;
pub mod sheet;
mod typing;

pub use change::{ending_heads, ending_rates, ending_steps, gates, redoable, steps_left};
pub use lost::{CAUSES, cause_words, change_rows, lost_words, part};
pub use typing::{hours_field, left_field, quarters_on, read_hours_worked, read_left};

use super::holds::{plain_name, stage_words};
use super::section::usable;
use super::{Almanac, Figure, PlanView, Reading, reasons, workdays_between};
use crate::clock::At;
use crate::desk::Sound;
use crate::desk::underway::{evening_of, last_evening};
use crate::desk::write_up::Said;
use crate::forecast::last_day;
use crate::job::{Job, TargetKind};
use crate::measure::LaborHours;
use crate::search::Found;

/// A coat laid and not yet as dry as what follows needs it.
#[derive(Clone, Debug, PartialEq)]
pub struct DryingNow {
    pub step: usize,
    pub name: String,
    /// `ready for the next coat Fri 12 Mar 6:00`.
    pub figure: Figure,
}

/// Labor minutes done by the moment asked at, and of the whole job by its plan.
pub fn labor(sound: &Sound, found: &Found) -> (i64, i64) {
    let done: i64 =
        sound.setting.standing.as_deref().map_or(0, |f| f.past.iter().map(|s| s.labor_milli).sum::<i64>() / 1000);
    let all: i64 = found.plan.runs.iter().map(|r| r.labor_milli).sum::<i64>() / 1000;
    (done, all.max(done))
}

/// The line under the job's name: `Evening of Thu 11 Mar · 38 of 112 h done`.
pub fn moment_line(sound: &Sound, found: &Found) -> Figure {
    let (done, all) = labor(sound, found);
    let job = &sound.job;
    let h = |m: i64| format!("{:.0}", m as f64 / 60.0);
    let why = "hours written up so far; of these and all that is left by the plan from here, trips left out";
    let words = match (last_evening(job), job.as_of) {
        (Some(_), Some(t)) => {
            let day = t.date().pred_opt().unwrap_or(t.date()).format("%a %-d %b");
            format!("Evening of {day} · {} of {} h done", h(done), h(all))
        }
        _ => format!("Nothing written up yet · {} h to do", h(all)),
    };
    Figure::new(words, why)
}

fn days(n: i64) -> String {
    if n == 1 { "1 day".into() } else { format!("{n} days") }
}

pub use super::capital;

/// What moved the date most since the evening before, if anything did by a tenth of a day.
fn mover(job: &Job) -> Option<String> {
    let e = job.record.last().filter(|e| last_evening(job) == Some(evening_of(e.day)))?;
    // What has a name, before all the rest that has none.
    let named = |r: &&crate::job::MovedBy| r.days.abs() >= 0.1 && e.reasons.iter().any(|x| x.what == r.what);
    let list = reasons(e);
    let most = list.iter().filter(named).max_by(|a, b| a.days.abs().total_cmp(&b.days.abs()));
    let (what, moved) = match most {
        Some(r) => (capital(&r.what), r.days),
        None if job.record.len() == 1 => ("Since before work began".to_string(), e.together),
        None => ("Since the evening before".to_string(), e.together),
    };
    let tenths = (moved.abs() * 10.0).round() / 10.0;
    if tenths < 0.1 {
        return None;
    }
    let n =
        if (tenths - 1.0).abs() < 1e-9 { "a day".to_string() } else { format!("{} days", super::typed::plain(tenths)) };
    Some(format!("{what}: {n} {}.", if moved > 0.0 { "later" } else { "sooner" }))
}

/// Whether something was said after the last evening on record: time lost, a change, a day corrected.
pub(super) fn said_since(r: &Reading, found: &Found) -> bool {
    let job = &r.sound.job;
    job.record.last().is_some_and(|e| {
        let was = (job.day_of(e.likely), job.day_of(e.safe), last_day(job.at_of(e.clean_run)));
        was != (r.days.likely, r.days.safe, last_day(found.plan.finish))
    })
}

/// What the date has moved by since the last evening on record, in working days, if it has.
fn since(r: &Reading) -> Option<String> {
    let job = &r.sound.job;
    let e = job.record.last()?;
    let n = workdays_between(r.sound, job.day_of(e.likely), r.days.likely);
    let way = if n > 0 { "later" } else { "sooner" };
    (n != 0).then(|| {
        format!("Since the evening of {}: {} {way}.", Almanac(job).short_day(job.day_of(e.day)), days(n.abs()))
    })
}

/// The new date as a sentence: `Mara out: illness: 2 days later. The room is now likely Thu 1 Apr, 1 day late.`
pub fn headline(r: &Reading, found: &Found) -> Figure {
    let (sound, job) = (r.sound, &r.sound.job);
    let a = Almanac(job);
    let what = if job.rooms.len() > 1 { "The rooms are" } else { "The room is" };
    let now = job.as_of.map(|t| job.at_of(t));
    if now.is_some_and(|t| found.plan.finish <= t) {
        let end = last_day(found.plan.finish);
        let mut words = format!("The work was done on {}.", a.short_day(end));
        if let Some(c) = &job.closed {
            let kept = c.promised.map(|day| match workdays_between(sound, job.day_of(day), end) {
                0 => ", on the day promised".to_string(),
                n if n > 0 => format!(", {} late", days(n)),
                n => format!(", {} before the day promised", days(-n)),
            });
            let kept = kept.unwrap_or_default();
            words =
                format!("Closed {}. The work was done on {}{kept}.", a.short_day(job.day_of(c.day)), a.short_day(end));
        }
        return Figure::new(words, "the end of the last step, as it was written up");
    }
    let likely = a.short_day(r.days.likely);
    let against = r.odds.target.as_ref().map(|(t, day, _)| {
        let n = workdays_between(sound, *day, r.days.likely);
        match (t.kind, n) {
            (TargetKind::Promised, 0) => ", the day promised".to_string(),
            (TargetKind::Promised, n) if n > 0 => format!(", {} late", days(n)),
            (TargetKind::Promised, n) => format!(", {} before the day promised", days(-n)),
            (TargetKind::Asked, 0) => ", the day asked for".to_string(),
            (TargetKind::Asked, n) if n > 0 => format!(", {} after the day asked for", days(n)),
            (TargetKind::Asked, n) => format!(", {} before the day asked for", days(-n)),
        }
    });
    let now = if now.is_some() { " now" } else { "" };
    let date = format!("{what}{now} likely done {likely}{}.", against.unwrap_or_default());
    let why = if said_since(r, found) { since(r) } else { mover(job) };
    let words = why.map_or_else(|| date.clone(), |m| format!("{m} {date}"));
    Figure::new(
        words,
        "the day half of the trials are done by, from the work as it stands; late is counted in working days",
    )
}

/// Coats on their way at the moment asked at, soonest ready first.
pub fn drying_now(sound: &Sound, found: &Found, view: &PlanView) -> Vec<DryingNow> {
    let Some(facts) = sound.setting.standing.as_deref() else { return Vec::new() };
    let (net, a, now) = (sound.net(found), Almanac(&sound.job), facts.as_of);
    let mut out: Vec<(At, DryingNow)> = Vec::new();
    for row in view.steps.iter().filter(|r| r.end <= now && sound.graph.steps[r.step].coat.is_some()) {
        let Some((stage, at)) = usable(&net, row).filter(|u| u.1 > now) else { continue };
        let stage = stage_words(stage).trim_start_matches("to be ");
        let coat = sound.graph.steps[row.step].coat.map(|c| sound.graph.products[c.product].name.as_str());
        let why = format!(
            "{}, laid {}, by its own clock in the air of its place",
            coat.unwrap_or_default(),
            a.short(row.end)
        );
        let name = plain_name(sound, row.step).to_string();
        out.push((
            at,
            DryingNow { step: row.step, name, figure: Figure::new(format!("{stage} {}", a.short(at)), why) },
        ));
    }
    out.sort_by_key(|x| (x.0, x.1.step));
    out.into_iter().map(|x| x.1).collect()
}

/// Hours as they are said: `1.3 h`; of less than a tenth of one the minutes, `2 min`.
pub fn hours(minutes: i64) -> String {
    match minutes {
        1..=2 => format!("{minutes} min"),
        _ => LaborHours(minutes).to_string(),
    }
}

/// What writing days up is called as a change: `11 Mar written up`.
pub fn said_words(said: &Said) -> String {
    let day = |d: &chrono::NaiveDate| d.format("%-d %b").to_string();
    match said {
        Said::AsPlanned { days, .. } => match days.as_slice() {
            [first, .., last] => format!("{} to {} written up", day(first), day(last)),
            [only] => format!("{} written up", day(only)),
            [] => "days written up".into(),
        },
        Said::Nothing { day: d, .. } => format!("{} written up", day(d)),
        Said::Entry(e) => format!("{} written up", day(&e.day)),
    }
}

/// While days are written up: how far it has got, where it is several.
pub fn writing_words(so_far: Option<(usize, usize)>) -> String {
    match so_far {
        Some((done, of)) => format!("Writing it up: {done} of {of} days…"),
        None => "Writing it up…".into(),
    }
}

/// A day written up, in a line: `Thu 11 Mar: as planned, 4 entries, 7.2 h`.
pub fn written_words(d: &crate::job::DayLog) -> String {
    let how = match d.how {
        crate::job::How::AsPlanned => "as planned",
        crate::job::How::Nothing => "nothing done",
        crate::job::How::Differently => "differently",
    };
    let labor: i64 = d.steps.iter().map(sheet::minutes).sum();
    let mut out = format!("{}: {how}", d.day.format("%a %-d %b"));
    if labor > 0 {
        out += &format!(", {}", hours(labor));
    }
    if !d.note.is_empty() {
        out += &format!(", {}", d.note);
    }
    out
}
