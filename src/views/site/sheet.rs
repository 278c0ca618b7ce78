//! The cut list of a day: what is to be done, or what was done and how it compares with the plan.

use chrono::NaiveDate;

use super::super::holds::{full_name, plain_name, stage_words};
use super::super::{Almanac, DaySheet, ToOrder};
use super::entry::{RowOf, row_of};
use super::hours;
use crate::desk::Sound;
use crate::job::{DayLog, How, Worked};
use crate::measure::LaborHours;

/// A line of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Id of the step.
    pub id: String,
    /// `8:15`; empty where it is not known.
    pub begin: String,
    pub name: String,
    /// `1.3 h`; `arrived`.
    pub hours: String,
    /// `study · ready for the next coat Thu 11 Mar 6:00`, `planned 4.0 h`.
    pub aside: String,
    /// To be taken along before it.
    pub load: String,
    pub done: bool,
}

/// A day's list.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    pub day: NaiveDate,
    /// `Tomorrow, Fri 12 Mar`.
    pub head: String,
    /// `7.3 h`.
    pub sum: String,
    pub lines: Vec<Line>,
    /// Said where there are no lines.
    pub nothing: String,
}

/// `Thu 11 Mar`.
pub fn day_name(day: NaiveDate) -> String {
    day.format("%a %-d %b").to_string()
}

/// `Thursday 11 March`.
pub fn long_day(day: NaiveDate) -> String {
    day.format("%A %-d %B").to_string()
}

/// What a day is called on an evening: today, tomorrow, or by its name alone.
pub fn day_head(day: NaiveDate, today: NaiveDate) -> String {
    let name = day_name(day);
    match (day - today).num_days() {
        0 => format!("Today, {name}"),
        1 => format!("Tomorrow, {name}"),
        -1 => format!("Yesterday, {name}"),
        _ => name,
    }
}

/// What a day of the plan has.
pub fn to_do(sound: &Sound, d: &DaySheet, today: NaiveDate) -> Sheet {
    let a = Almanac(&sound.job);
    let many = sound.job.crew.len() > 1;
    let labor: i64 = d.work.iter().map(|w| w.labor_min).sum();
    let line = |w: &super::super::Doing| {
        let mut aside: Vec<String> = Vec::new();
        if many {
            aside.push(w.who.join(", "));
        }
        // A place of the room's own name is said by the name of the step.
        let name = full_name(sound, w.step);
        let said = w.place.is_empty() || name.ends_with(&format!(", {}", w.place));
        aside.extend((!said).then(|| w.place.clone()));
        if w.goes_on {
            aside.push("goes on".into());
        }
        for (stage, at) in &w.ready {
            aside.push(format!("{} {}", stage_words(*stage).trim_start_matches("to be "), a.short(*at)));
        }
        Line {
            id: sound.graph.steps[w.step].id.clone(),
            begin: a.time(w.begin),
            name,
            hours: super::hours(w.labor_min),
            aside: aside.join(" · "),
            load: w.load.join(", "),
            done: false,
        }
    };
    let day = sound.job.date_of(d.day);
    Sheet {
        day,
        head: day_head(day, today),
        sum: if labor > 0 { LaborHours(labor).to_string() } else { String::new() },
        lines: d.work.iter().map(line).collect(),
        nothing: if d.work.is_empty() { "Nothing to do.".into() } else { String::new() },
    }
}

/// Labor minutes of an entry, of all hands.
pub(super) fn minutes(w: &Worked) -> i64 {
    libm::round(w.hours * 60.0) as i64 * w.who.len().max(1) as i64
}

/// One entry a step, hours of all hands added up: pieces of a coat are entries of their own.
fn pieces_together(steps: &[Worked]) -> Vec<Worked> {
    let mut out: Vec<Worked> = Vec::new();
    for w in steps {
        let hours = minutes(w) as f64 / 60.0;
        match out.iter_mut().find(|o| o.step == w.step) {
            Some(o) => {
                o.hours += hours;
                (o.done, o.at, o.share) = (w.done, w.at, w.share);
                o.who.extend(w.who.iter().filter(|p| !o.who.contains(p)).cloned().collect::<Vec<_>>());
                if o.note.is_empty() {
                    o.note.clone_from(&w.note);
                }
            }
            None => out.push(Worked { hours, ..w.clone() }),
        }
    }
    out
}

/// What was written of a day, beside what the evening before had for it.
pub fn done(sound: &Sound, log: &DayLog, planned: Option<&DayLog>, today: NaiveDate) -> Sheet {
    let name = |id: &str| {
        let step = sound.graph.steps.iter().position(|s| s.id == id);
        step.map_or_else(|| id.to_string(), |s| full_name(sound, s))
    };
    let ended = |id: &str| {
        let step = sound.graph.steps.iter().find(|s| s.id == id);
        step.map_or(RowOf::Work, row_of).done()
    };
    let was = |id: &str| planned.map(|p| p.steps.iter().filter(|w| w.step == id).map(minutes).sum::<i64>());
    let mut lines: Vec<Line> = Vec::new();
    for w in &pieces_together(&log.steps) {
        let m = (w.hours * 60.0).round() as i64;
        let mut aside = Vec::new();
        if sound.job.crew.len() > 1 && !w.who.is_empty() && m > 0 {
            let name = |id: &String| sound.job.crew.iter().find(|p| p.id == *id).map(|p| p.name.clone());
            aside.push(
                w.who
                    .iter()
                    .map(|id| name(id).filter(|n| !n.is_empty()).unwrap_or(id.clone()))
                    .collect::<Vec<_>>()
                    .join(", "),
            );
        }
        match was(&w.step) {
            Some(p) if m > 0 && p == 0 => aside.push("not planned".to_string()),
            Some(p) if m > 0 && (m - p).abs() < 4 => aside.push("as planned".to_string()),
            Some(p) if m > 0 => aside.push(format!("planned {}", hours(p))),
            _ => {}
        }
        // Planned to its end, and not come to it.
        let whole = planned.is_some_and(|p| p.steps.iter().any(|x| x.step == w.step && x.done));
        aside.extend((whole && !w.done && m > 0).then(|| format!("not {}", ended(&w.step))));
        aside.extend(w.coming.map(|d| format!("now said to come {}", d.format("%a %-d %b"))));
        aside.extend(w.share.filter(|_| !w.done).map(|s| format!("{:.0} % done", s * 100.0)));
        aside.extend((!w.note.is_empty()).then(|| w.note.clone()));
        lines.push(Line {
            id: w.step.clone(),
            begin: w.from.map_or_else(String::new, |t| format!("{}:{:02}", t.0 / 60, t.0 % 60)),
            name: name(&w.step),
            hours: match m > 0 {
                true => hours(m),
                false if w.done => ended(&w.step).into(),
                false => String::new(),
            },
            aside: aside.join(" · "),
            load: String::new(),
            done: w.done,
        });
    }
    // What was planned and not touched.
    let left = planned.map_or_else(Vec::new, |p| pieces_together(&p.steps));
    for w in left.iter().filter(|w| !log.steps.iter().any(|l| l.step == w.step)) {
        lines.push(Line {
            id: w.step.clone(),
            begin: String::new(),
            name: name(&w.step),
            hours: String::new(),
            aside: match w.hours > 0.0 {
                true => format!("not touched, planned {}", hours((w.hours * 60.0).round() as i64)),
                false => format!("planned to be {}", ended(&w.step)),
            },
            load: String::new(),
            done: false,
        });
    }
    let all: i64 = log.steps.iter().map(minutes).sum();
    let head = day_head(log.day, today);
    let how = match log.how {
        How::AsPlanned => "as planned",
        How::Nothing => "nothing done",
        How::Differently => "differently",
    };
    let note = if log.note.is_empty() { String::new() } else { format!(" · {}", log.note) };
    Sheet {
        day: log.day,
        head: format!("{head} · {how}{note}"),
        sum: if all > 0 { hours(all) } else { String::new() },
        nothing: if lines.is_empty() { "No work on this job.".into() } else { String::new() },
        lines,
    }
}

/// `MDF sheets: planned Thu 11 Mar, no later than Mon 15 Mar`.
pub fn order_words(sound: &Sound, o: &ToOrder) -> String {
    let a = Almanac(&sound.job);
    let name = plain_name(sound, o.step);
    format!("{name}: planned {}, no later than {}", a.short_day(o.planned.day()), a.short_day(o.last))
}
