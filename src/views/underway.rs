//! Work under way: the moment that is asked at, and facts that broke a rule.
//!
//! A fact stays a fact; what it broke is said as a caution, recounted by the drying clocks of
//! its coat and place. Nothing here looks ahead.

use chrono::{Days, NaiveDateTime, NaiveTime, Timelike};
use serde_json::{Value, json};

use super::holds::{stage_words, step_name};
use super::{Almanac, day_words, iso, iso_day, typed};
use crate::clock::At;
use crate::desk::{Sound, underway::evening_of};
use crate::schedule::Plan;
use crate::search::Found;
use crate::trade::Stage;
use crate::work::{Ask, Kind};

/// A moment: a day means its evening, the midnight that ends it; a day with a time that minute.
///
/// # Errors
/// Anything else, with the ways to write one.
pub fn read_moment(text: &str) -> Result<NaiveDateTime, String> {
    let text = text.trim();
    if let Ok(t) = NaiveDateTime::parse_from_str(&text.replacen(' ', "T", 1), "%Y-%m-%dT%H:%M") {
        typed::read_day(&t.date().to_string())?;
        return Ok(t);
    }
    typed::read_day(text).map(evening_of).map_err(|e| format!("{e}; or a day with its time, such as 2027-03-09T12:30"))
}

/// `the evening of Tue 9 Mar 2027`; `Tue 9 Mar 2027, 12:30`.
pub fn moment_words(t: NaiveDateTime) -> String {
    if t.time() == NaiveTime::MIN {
        return format!("the evening of {}", day_words(t.date().checked_sub_days(Days::new(1)).unwrap_or(t.date())));
    }
    format!("{}, {}:{:02}", day_words(t.date()), t.hour(), t.minute())
}

/// What a plan or forecast goes by: `As of the evening of Tue 9 Mar 2027.`
pub fn as_of_line(sound: &Sound) -> String {
    let Some(facts) = sound.setting.standing.as_deref() else {
        return "From the first day; nothing is written up.\n".into();
    };
    let mut out = format!("As of {}", sound.job.as_of.map(moment_words).unwrap_or_default());
    let open = sound.open.as_ref().map_or(0, |o| o.days.len());
    let open = if sound.open.as_ref().is_some_and(|o| o.as_planned) { 0 } else { open };
    let written = facts.open.len().saturating_sub(open);
    out += &match facts.open.as_slice() {
        // Counted as planned the days after the last word are no open ones of the answer.
        [] => ".".to_string(),
        _ if sound.open.as_ref().is_some_and(|o| !o.as_planned) && written == 0 => ".".to_string(),
        [one] => format!("; {} is not written up.", day_words(sound.job.date_of(*one))),
        all if open == 0 => {
            format!("; {} days are not written up, {} first.", all.len(), day_words(sound.job.date_of(all[0])))
        }
        all => format!(
            "; before the last day written up {written} are not, {} first.",
            day_words(sound.job.date_of(all[0]))
        ),
    };
    out += "\n";
    out + &open_line(sound)
}

/// Every workday passed and not written up, first to last.
pub fn open_days(sound: &Sound) -> Vec<chrono::NaiveDate> {
    let facts = sound.setting.standing.as_deref();
    let mut out: Vec<_> = facts.map_or(&[][..], |f| &f.open).iter().map(|&d| sound.job.date_of(d)).collect();
    // Counted as planned they stand in the log of the answer.
    out.extend(sound.open.iter().flat_map(|o| &o.days).copied());
    out.sort_unstable();
    out.dedup();
    out
}

/// `2 days open`.
pub fn open_words(n: usize) -> String {
    if n == 1 { "1 day open".into() } else { format!("{n} days open") }
}

/// What days not written up do to the answer; empty where there are none.
pub fn open_line(sound: &Sound) -> String {
    let Some(o) = &sound.open else { return String::new() };
    let a = Almanac(&sound.job);
    let short = |d: chrono::NaiveDate| a.short_day(sound.job.day_of(d));
    let days = match o.days.as_slice() {
        [one] => short(*one),
        [first, .., last] => format!("{} to {}", short(*first), short(*last)),
        [] => String::new(),
    };
    let (shown, other) = if o.as_planned { ("as planned", "nothing done") } else { ("nothing done", "as planned") };
    let run = short(sound.job.date_of(crate::forecast::last_day(sound.job.at_of(o.clean_run))));
    format!(
        "{}: {days}, counted as {shown}; {other}, the clean run would end {run} and {} be safe to promise.\n",
        open_words(o.days.len()),
        short(o.safe)
    )
}

/// Whether a step is a fact by then: `Some(true)` finished, `Some(false)` begun.
pub fn stands(sound: &Sound, step: usize) -> Option<bool> {
    let s = sound.setting.standing.as_deref()?.steps.get(step)?;
    if s.ended.is_some() { Some(true) } else { s.begun.map(|_| false) }
}

/// The moment asked at, the days before it nobody wrote up, and how those after the last one
/// written up are counted: `{at, open, open_days}`; null from the first day.
pub fn as_of_json(sound: &Sound) -> Value {
    if sound.setting.standing.is_none() {
        return Value::Null;
    }
    let open = open_days(sound);
    let counted = sound.open.as_ref().map_or(Value::Null, |o| {
        json!({
            "days": o.days.iter().map(|d| iso_day(*d)).collect::<Vec<_>>(), "count": o.days.len(),
            "words": open_words(o.days.len()),
            "counted_as": if o.as_planned { "as_planned" } else { "nothing_done" },
            "otherwise": {"clean_run": iso(o.clean_run), "safe_day": iso_day(o.safe)},
        })
    });
    json!({
        "at": sound.job.as_of.map(iso), "open": open.into_iter().map(iso_day).collect::<Vec<_>>(), "open_days": counted,
    })
}

/// A fact that broke a rule.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Broke {
    pub step: usize,
    /// Step it did not wait for, or whose coat took the dust.
    pub of: usize,
    pub at: At,
    pub sentence: String,
}

/// Facts that broke a rule, in order of time.
pub fn broke(sound: &Sound, found: &Found) -> Vec<Broke> {
    let Some(facts) = sound.setting.standing.as_deref() else { return Vec::new() };
    let (net, plan, a) = (sound.net(found), &found.plan, Almanac(&sound.job));
    let name = |s: usize| step_name(sound, s);
    let mut out = Vec::new();
    for (step, x) in facts.steps.iter().enumerate() {
        let Some(begun) = x.begun.filter(|_| sound.graph.steps[step].kind == Kind::Labor) else { continue };
        let scuffed = net.scuff[step].is_some_and(|s| facts.steps[s].begun.is_some());
        for d in &net.deps[step] {
            // A step not in the plan was not needed; ones still open are so after this one.
            let Some(before) = plan.timed(d.from) else { continue };
            let past = d.longest.filter(|_| !scuffed).and_then(|l| window_past(sound, d.from, before.end, l));
            if let Some(past) = past.filter(|p| *p <= begun) {
                let sentence = format!(
                    "{} was begun {} on {}, whose time for the next coat was over {}; it wanted a scuff-sand first",
                    name(step),
                    a.short(begun),
                    name(d.from),
                    a.short(past)
                );
                out.push(Broke { step, of: d.from, at: begun, sentence });
                continue;
            }
            let (met, what) = match d.ask {
                Ask::Dry(stage) => {
                    let ready = before.ready.iter().find(|r| r.0 == stage).map_or(before.end, |r| r.1);
                    (ready, stage_words(stage).trim_start_matches("to be "))
                }
                Ask::Done => (before.end, "done"),
                _ => continue,
            };
            if met.0 + d.lag <= begun.0 || sound.graph.steps[d.from].kind != Kind::Labor {
                continue;
            }
            let when = if met >= facts.as_of { "is expected to be" } else { "was" };
            let sentence = format!(
                "{} was begun {}; {} {when} {what} {}",
                name(step),
                a.short(begun),
                name(d.from),
                a.short(At(met.0 + d.lag))
            );
            out.push(Broke { step, of: d.from, at: begun, sentence });
        }
    }
    for x in facts.past.iter().filter(|x| sound.graph.steps[x.step].flags.dusty) {
        for w in wet_beside(sound, plan, x.step) {
            let (Some(t), Some(free)) = (plan.timed(w), dust_free(plan, w)) else { continue };
            let laid = t.begin.max(x.from);
            let one = |b: &Broke| b.step == x.step && b.of == w;
            if t.begin < x.to && x.from < free && t.begin < facts.as_of && !out.iter().any(one) {
                let sentence = format!(
                    "{} raised dust {} beside the wet {}, dust-free {}",
                    name(x.step),
                    a.short(laid),
                    name(w),
                    a.short(free)
                );
                out.push(Broke { step: x.step, of: w, at: laid, sentence });
            }
        }
    }
    out.sort_by_key(|b| (b.at, b.step, b.of));
    out
}

/// [`broke`] with stable names: `[{step, of, at, sentence}]`.
pub fn broke_json(sound: &Sound, found: &Found) -> Value {
    let (id, a) = (|s: usize| sound.graph.steps[s].id.as_str(), Almanac(&sound.job));
    broke(sound, found)
        .iter()
        .map(|b| json!({"step": id(b.step), "of": id(b.of), "at": a.json(b.at), "sentence": b.sentence}))
        .collect()
}

/// The first minute past the recoat window of a coat, by its own clock.
fn window_past(sound: &Sound, step: usize, ended: At, longest: i64) -> Option<At> {
    let s = &sound.graph.steps[step];
    let (Some(coat), Some(place)) = (s.coat, s.place) else { return Some(At(ended.0 + longest + 1)) };
    let clocks = sound.setting.dry(coat.product, place)?;
    clocks.of(Stage::Recoat).reach(ended.0, longest * crate::clock::UNIT + 1).ok().map(At)
}

fn dust_free(plan: &Plan, step: usize) -> Option<At> {
    plan.timed(step)?.ready.iter().find(|r| r.0 == Stage::DustFree).map(|r| r.1)
}

/// Other coats laid in the air of a step that take dust while they are wet.
fn wet_beside(sound: &Sound, plan: &Plan, step: usize) -> Vec<usize> {
    let air = |s: usize| sound.graph.steps[s].place.map(|p| sound.setting.spots[p].air);
    let takes =
        |s: usize| sound.graph.steps[s].coat.is_some_and(|c| sound.graph.products[c.product].wet_to_dust) && s != step;
    plan.steps.iter().map(|t| t.step).filter(|&s| takes(s) && air(s).is_some() && air(s) == air(step)).collect()
}
