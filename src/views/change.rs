//! What a day written up, or time lost, comes to: the dates before and after.

use serde_json::{Value, json};

use super::{Almanac, as_of_line, chance_words, iso_day, working_days};
use crate::clock::{At, DAY};
use crate::desk::Sound;
use crate::desk::evening::Outlook;
use crate::forecast::Forecast;
use crate::job::{Job, LostTime};
use crate::search::Found;

/// From this many working days on a date has moved.
const MOVED: f64 = 0.05;

/// `1.5 days`, `1 day`, `no day`.
fn days(x: f64) -> String {
    let x = (x * 10.0).round() / 10.0;
    if x.abs() < MOVED {
        "no day".into()
    } else if (x - 1.0).abs() < 1e-9 {
        "1 day".into()
    } else if (x - x.round()).abs() < 1e-9 {
        format!("{x:.0} days")
    } else {
        format!("{x:.1} days")
    }
}

/// Working days the clean run moves, by the calendar of the job before.
pub fn clean_moves(before: &Outlook, after: &Outlook) -> f64 {
    working_days(&before.sound.setting, before.found.plan.finish, after.found.plan.finish)
}

/// Likely and safe day, clean run and chance, each before and after.
pub fn change_text(before: &Outlook, after: &Outlook) -> String {
    let job = &after.sound.job;
    let a = Almanac(job);
    let mut out = as_of_line(&after.sound);
    let mut row = |what: &str, was: String, is: String| {
        let both = if was == is { format!("{is}, as before") } else { format!("{was} -> {is}") };
        out += &format!("  {what:<16} {both}\n");
    };
    let day = |o: &Outlook, p: f64| a.short_day(o.forecast.day(p));
    row("likely", day(before, 0.5), day(after, 0.5));
    row("safe to promise", day(before, job.confidence), day(after, job.confidence));
    row("clean run", a.short(before.found.plan.finish), a.short(after.found.plan.finish));
    if let Some(t) = job.target {
        let chance = |o: &Outlook| chance_words(o.forecast.chance(job.day_of(t.day)).0, o.forecast.trials);
        let what = format!("by {}", a.short_day(job.day_of(t.day)));
        row(&what, chance(before), chance(after));
    }
    out
}

/// `{before, after}` with the same figures.
pub fn change_json(before: &Outlook, after: &Outlook) -> Value {
    let one = |o: &Outlook| {
        let job = &o.sound.job;
        let a = Almanac(job);
        let chance = job.target.map(|t| o.forecast.chance(job.day_of(t.day)).0);
        json!({
            "as_of": super::as_of_json(&o.sound), "clean_run": a.json(o.found.plan.finish),
            "likely_day": a.json_day(o.forecast.day(0.5)), "safe_day": a.json_day(o.forecast.day(job.confidence)),
            "chance_of_target": chance,
        })
    };
    json!({"before": one(before), "after": one(after)})
}

/// What lost time really cost.
#[derive(Clone, Debug, PartialEq)]
pub struct LostDays {
    /// Working days it takes out, of whoever loses most; of the house where that is shut.
    pub lost: f64,
    /// Working days the clean run moves.
    pub moves: f64,
    /// `3 days lost; the clean run moves 2 days: drying used the rest.`
    pub sentence: String,
}

/// Counts what new entries of lost time cost. `before` knows nothing of them.
pub fn lost_days(before: &Outlook, after: &Outlook, new: &[LostTime]) -> LostDays {
    let plans = lost_days_of((&before.sound, &before.found), (&after.sound, &after.found), new);
    plans.with_odds((&before.sound, &before.forecast), (&after.sound, &after.forecast))
}

impl LostDays {
    /// Says what the day safe to promise does where that is not what the clean run does.
    pub fn with_odds(mut self, before: (&Sound, &Forecast), after: (&Sound, &Forecast)) -> LostDays {
        let close = |f: &Forecast| At((f.day(before.0.job.confidence) + 1) * DAY);
        let later = working_days(&before.0.setting, close(before.1), close(after.1));
        if later >= 1.0 - MOVED && (later - self.moves).abs() >= 0.5 {
            // Only who is out now, with something that lasts, may be out longer.
            let ill = |s: &Sound| s.setting.standing.as_deref().is_some_and(|f| f.ill.contains(&true));
            let lasts = ill(after.0) && !ill(before.0);
            let why = if lasts { "an illness may last longer" } else { "less is left in hand" };
            self.sentence += &format!(" Safe to promise is {} later: {why}.", days(later));
        }
        self
    }
}

/// The same of two jobs with their plans, nothing said of the odds.
pub fn lost_days_of(before: (&Sound, &Found), after: (&Sound, &Found), new: &[LostTime]) -> LostDays {
    let (was, is) = (&before.0.setting, &after.0.setting);
    let job = &before.0.job;
    let list: Vec<i64> = new.iter().flat_map(|l| job.day_of(l.from)..=job.day_of(l.last())).collect();
    let each = |p: usize, d: i64| {
        let (a, b) = (was.workers[p].shifts.day(d).minutes(), is.workers[p].shifts.day(d).minutes());
        if a > 0 { (a - b) as f64 / a as f64 } else { 0.0 }
    };
    let shut = |d: i64| {
        let works = was.workers.iter().any(|w| w.shifts.day(d).minutes() > 0);
        f64::from(works && is.closed(d) && !was.closed(d))
    };
    let mut unique = list.clone();
    unique.sort_unstable();
    unique.dedup();
    let people = (0..was.workers.len().min(is.workers.len()))
        .map(|p| unique.iter().map(|&d| each(p, d)).sum::<f64>())
        .fold(0.0, f64::max);
    let lost = people.max(unique.iter().map(|&d| shut(d)).sum());
    let moves = working_days(was, before.1.plan.finish, after.1.plan.finish);
    let what = if new.iter().any(|l| l.house) { "the house not free for" } else { "" };
    let head = if what.is_empty() { format!("{} lost", days(lost)) } else { format!("{what} {}", days(lost)) };
    let sentence = if lost <= 0.0 && moves < MOVED {
        "No working time is lost: nobody was to work then; the clean run does not move.".into()
    } else if moves < MOVED {
        format!("{head}; the clean run does not move: {} had that time anyway.", used(before, &unique))
    } else if moves + MOVED < lost {
        format!("{head}; the clean run moves {}: {} used the rest.", days(moves), used(before, &unique))
    } else {
        format!("{head}; the clean run moves {}.", days(moves))
    };
    LostDays { lost, moves, sentence }
}

/// What else goes on through those days: drying, or only time to spare.
fn used(before: (&Sound, &Found), days: &[i64]) -> &'static str {
    let graph = &before.0.graph;
    let dries = |d: i64| {
        before.1.plan.steps.iter().any(|t| {
            let ready = t.ready.iter().map(|r| r.1).max().unwrap_or(At(t.end.0));
            graph.steps[t.step].coat.is_some() && t.end.0 < (d + 1) * DAY && ready.0 > d * DAY
        })
    };
    if days.iter().any(|&d| dries(d)) { "drying" } else { "waiting time" }
}

/// A day written up, in a line: `Tue 9 Mar 2027 written up: as planned, 4 entries, 7.2 h`.
pub fn day_line(job: &Job, day: chrono::NaiveDate) -> String {
    let Some(d) = job.log.iter().find(|d| d.day == day) else { return String::new() };
    let how = match d.how {
        crate::job::How::AsPlanned => "as planned",
        crate::job::How::Nothing => "nothing done",
        crate::job::How::Differently => "differently",
    };
    let hours: f64 = d.steps.iter().map(|w| w.hours * w.who.len().max(1) as f64).sum();
    let steps = match d.steps.len() {
        0 => String::new(),
        1 => ", 1 entry".into(),
        n => format!(", {n} entries"),
    };
    let labor = if hours > 0.0 { format!(", {hours:.1} h") } else { String::new() };
    format!("{} written up: {how}{steps}{labor}.\n", super::day_words(day))
}

/// A day written up with stable names.
pub fn day_json(job: &Job, day: chrono::NaiveDate) -> Value {
    let found = job.log.iter().find(|d| d.day == day);
    found.map_or(Value::Null, |d| {
        let mut v = serde_json::to_value(d).unwrap_or(Value::Null);
        v["day"] = json!(iso_day(day));
        v
    })
}
