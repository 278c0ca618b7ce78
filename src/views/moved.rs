//! How the date has moved: what was said each evening, why it moved, and the slip.

use serde_json::{Value, json};

use super::{Almanac, chance_words, day_words, iso, iso_day, workdays_between};
use crate::clock::At;
use crate::desk::evening::Outlook;
use crate::job::{Evening, Job, MovedBy};

/// From this many working days on a reason is listed.
const LISTED: f64 = 0.05;

/// `+1.5 days`, `-1 day`, `0 days`.
fn signed(x: f64) -> String {
    let x = (x * 10.0).round() / 10.0;
    let n = if (x - x.round()).abs() < 1e-9 { format!("{x:+.0}") } else { format!("{x:+.1}") };
    match n.as_str() {
        "+0" | "-0" => "0 days".into(),
        "+1" | "-1" => format!("{n} day"),
        _ => format!("{n} days"),
    }
}

/// Reasons worth a line, the rest of the move as one.
pub fn reasons(e: &Evening) -> Vec<MovedBy> {
    let mut out: Vec<MovedBy> = e.reasons.iter().filter(|r| r.days.abs() >= LISTED).cloned().collect();
    let said: f64 = out.iter().map(|r| r.days).sum();
    let rest = e.together - said;
    if rest.abs() >= LISTED {
        out.push(MovedBy { what: "everything else together".into(), days: rest });
    }
    out
}

/// The slip in working days: of the likely day against the promise (or the day asked for), and
/// of likely and clean run against the plan from the first day.
#[derive(Clone, Debug, PartialEq)]
pub struct Slip {
    pub target: Option<i64>,
    pub likely: i64,
    pub clean_run: i64,
}

/// Reads the slip of now against the plan from the first day.
pub fn slip(first: &Outlook, now: &Outlook) -> Slip {
    let sound = &first.sound;
    let end = |o: &Outlook| crate::forecast::last_day(o.found.plan.finish);
    let likely = now.forecast.day(0.5);
    let promised = now.sound.job.target.map(|t| now.sound.job.day_of(t.day));
    Slip {
        target: promised.map(|d| workdays_between(sound, d, likely)),
        likely: workdays_between(sound, first.forecast.day(0.5), likely),
        clean_run: workdays_between(sound, end(first), end(now)),
    }
}

fn late(n: i64) -> String {
    match n {
        0 => "on the day".into(),
        1 => "1 day later".into(),
        -1 => "1 day sooner".into(),
        n if n > 0 => format!("{n} days later"),
        n => format!("{} days sooner", -n),
    }
}

/// The record to read, with how it stands now.
pub fn moved_text(job: &Job, first: &Outlook, now: &Outlook) -> String {
    let a = Almanac(job);
    let mut out = format!("{}\n{}", job.name, super::as_of_line(&now.sound));
    let s = slip(first, now);
    let end = |o: &Outlook| a.short_day(crate::forecast::last_day(o.found.plan.finish));
    if let (Some(t), Some(n)) = (job.target, s.target) {
        let promised = t.kind == crate::job::TargetKind::Promised;
        let what = if promised { "promised" } else { "asked for" };
        out += &format!(
            "Likely {} against {} {what}: {}.\n",
            a.short_day(now.forecast.day(0.5)),
            day_words(t.day),
            late(n)
        );
    }
    out += &format!(
        "Against the plan from the first day: likely {} -> {}, {}; clean run {} -> {}, {}.\n",
        a.short_day(first.forecast.day(0.5)),
        a.short_day(now.forecast.day(0.5)),
        late(s.likely),
        end(first),
        end(now),
        late(s.clean_run)
    );
    if job.record.is_empty() {
        out += "No evening is on record yet; roomback log JOB --day DAY writes one up.\n";
        return out + &super::orders_text(job);
    }
    out += "\n  evening         clean run     likely        safe          chance   moved\n";
    for e in &job.record {
        let day = |d: chrono::NaiveDate| a.short_day(job.day_of(d));
        let run = a.short_day(crate::forecast::last_day(job.at_of(e.clean_run)));
        let chance = e.chance.map_or_else(String::new, |c| chance_words(c, e.trials as usize));
        out += &format!(
            "  {:<14}  {run:<12}  {:<12}  {:<12}  {chance:>6}   {}\n",
            day(e.day),
            day(e.likely),
            day(e.safe),
            signed(e.together)
        );
        for r in reasons(e) {
            out += &format!("                  {:>9}  {}\n", signed(r.days), r.what);
        }
    }
    out + &super::orders_text(job)
}

/// The record with stable names.
pub fn moved_json(job: &Job, first: &Outlook, now: &Outlook) -> Value {
    let a = Almanac(job);
    let reason = |r: &MovedBy| json!({"what": r.what, "days": r.days});
    let evening = |e: &Evening| {
        json!({
            "day": iso_day(e.day), "clean_run": iso(e.clean_run), "likely_day": iso_day(e.likely),
            "safe_day": iso_day(e.safe), "finish_p80": iso(e.eighty), "chance_of_target": e.chance,
            "confidence": e.confidence, "trials": e.trials, "reasons": e.reasons.iter().map(reason).collect::<Vec<_>>(), "moved": e.together,
        })
    };
    let one = |o: &Outlook| {
        let at = |t: At| a.json(t);
        json!({"clean_run": at(o.found.plan.finish), "likely_day": a.json_day(o.forecast.day(0.5)),
            "safe_day": a.json_day(o.forecast.day(job.confidence))})
    };
    let s = slip(first, now);
    json!({
        "job": job.name, "as_of": super::as_of_json(&now.sound), "first_plan": one(first), "now": one(now),
        "slip": {"target": s.target, "likely": s.likely, "clean_run": s.clean_run},
        "changes": job.changes.iter().map(|c| super::order_json(c, None)).collect::<Vec<_>>(),
        "evenings": job.record.iter().map(evening).collect::<Vec<_>>(), "problems": [],
    })
}
