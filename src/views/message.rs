//! A message to the client: the new date, why, and two priced choices. Text to copy.
//!
//! Plain and courteous, in the client's words: no hours, rates or costs of the tradesman's, and no
//! odds. A choice's price is its extra, in whole dollars rounded up. The day of each is the one
//! that is safe to promise with it.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::iso_day;
use super::ways_back::notices;
use super::{capital, named};
use crate::clock::At;
use crate::desk::ways_back::{Answer, Lever, Way};
use crate::forecast::{last_day, stats::quantile};
use crate::job::{ChangeKind, How, Job, LostCause, LostTime};

/// A choice the client has.
#[derive(Clone, Debug, PartialEq)]
struct Choice {
    words: String,
    day: NaiveDate,
    /// Whole dollars, rounded up.
    dollars: i64,
    notice: String,
}

fn long(d: NaiveDate) -> String {
    d.format("%A %-d %B").to_string()
}

fn safe(job: &Job, finish: &[i64]) -> NaiveDate {
    let mut v = finish.to_vec();
    v.sort_unstable();
    job.date_of(last_day(At(quantile(&v, job.confidence).unwrap_or(0))))
}

/// `one day`, `an evening`, `3 days`.
fn count(n: i64, what: &str) -> String {
    match n {
        1 if what.starts_with(['a', 'e', 'i', 'o', 'u']) => format!("an {what}"),
        1 => format!("a {what}"),
        n => format!("{n} {what}s"),
    }
}

/// Working days lost to a cause that began by now, each once, whole ones only, and whether all of
/// them are over.
fn lost_days(job: &Job, cause: LostCause) -> Option<(usize, bool)> {
    let now = job.as_of.map(|t| t.date());
    let mine: Vec<&LostTime> =
        job.lost.iter().filter(|l| l.cause == cause && now.is_none_or(|n| l.from <= n)).collect();
    let over = mine.iter().all(|l| now.is_none_or(|n| l.last() < n));
    let days: BTreeSet<NaiveDate> = mine
        .iter()
        .filter(|l| l.hours.is_none())
        .flat_map(|l| l.from.iter_days().take_while(|d| *d <= l.last()))
        .filter(|d| crate::desk::starts::working_day(job, *d))
        .collect();
    (!mine.is_empty()).then_some((days.len(), over))
}

/// Why, from what was written up: lost time by its cause, work found bad, changes agreed on, gates
/// that come later. Empty where nothing of it was and nothing is worked yet.
fn why(job: &Job) -> String {
    let mut out: Vec<String> = Vec::new();
    let mut causes: Vec<LostCause> = Vec::new();
    for l in &job.lost {
        if !causes.contains(&l.cause) {
            causes.push(l.cause);
        }
    }
    for cause in causes {
        let Some((days, over)) = lost_days(job, cause) else { continue };
        let time = if days > 0 { count(days as i64, "day") } else { "part of a day".into() };
        let (cost, took) = if over { ("cost", "took") } else { ("costs", "takes") };
        out.push(match cause {
            LostCause::Illness => format!("illness {cost} {time}"),
            LostCause::ChildIll => {
                format!("a child at home {} ill, which {cost} {time}", if over { "was" } else { "is" })
            }
            LostCause::Family => format!("a family matter {took} {time}"),
            LostCause::OtherJob => format!("another job {took} {time}"),
            LostCause::Weather => format!("the weather {cost} {time}"),
            LostCause::Vehicle => format!("a vehicle off the road {cost} {time}"),
            LostCause::Client => format!("the rooms could not be worked in for {time}"),
            LostCause::Other => {
                let were = if over { ["was", "were"] } else { ["is", "are"] };
                format!("{time} {} lost", were[usize::from(days > 1)])
            }
        });
    }
    let by = |d: NaiveDate| job.as_of.is_none_or(|t| d <= t.date());
    if job.redone.iter().any(|r| by(r.day)) {
        out.push("part of the work had to be done again".into());
    }
    if job.changes.iter().any(|c| c.kind == ChangeKind::Scope && by(c.day)) {
        out.push("work was added or changed".into());
    }
    for (name, day) in coming(job) {
        out.push(format!("{name} now comes on {}", long(day)));
    }
    match out.as_slice() {
        [] if job.log.iter().any(|d| d.how == How::Differently && !d.news_only()) => {
            "Some of the work has gone slower than I planned for.".into()
        }
        [] => String::new(),
        [one] => format!("The reason: {one}."),
        many => format!("The reasons: {}, and {}.", many[..many.len() - 1].join(", "), many[many.len() - 1]),
    }
}

/// Gates last said to come on a day, and not here.
fn coming(job: &Job) -> Vec<(String, NaiveDate)> {
    let gates = job
        .deliveries
        .iter()
        .map(|d| (&d.id, &d.name))
        .chain(job.visits.iter().map(|v| (&v.id, &v.name)))
        .chain(job.decisions.iter().map(|d| (&d.id, &d.name)));
    gates
        .filter_map(|(id, name)| {
            let last = job.log.iter().flat_map(|d| &d.steps).rfind(|w| w.step == *id)?;
            let day = last.coming.filter(|_| !last.done)?;
            Some((named(name, id).to_string(), day))
        })
        .collect()
}

/// A lever as the client hears it.
fn said(job: &Job, lever: &Lever) -> String {
    match lever {
        Lever::Helper { days, .. } => format!("a second pair of hands for {}", count(i64::from(*days), "day")),
        Lever::Evenings { days, .. } => format!("working {} until nine", count(days.len() as i64, "evening")),
        Lever::DaysOff { days, .. } => {
            let list: Vec<String> = days.iter().map(|d| long(*d)).collect();
            format!("working on {}", list.join(" and "))
        }
        Lever::Heat { place, .. } => format!(
            "a heater in the {}, so that it dries sooner",
            named(&job.places[*place].name, &job.places[*place].id)
        ),
        Lever::Fan { place, .. } => {
            format!("a fan in the {}, so that it dries sooner", named(&job.places[*place].name, &job.places[*place].id))
        }
        Lever::Product { .. } | Lever::OwnProduct { .. } => "a product that dries sooner".into(),
        Lever::Method { .. } => "doing a part of the work another way".into(),
        Lever::Express { delivery, .. } => {
            format!("faster freight for {}", named(&job.deliveries[*delivery].name, &job.deliveries[*delivery].id))
        }
        Lever::OrderNow { delivery, .. } => {
            format!("ordering {} now", named(&job.deliveries[*delivery].name, &job.deliveries[*delivery].id))
        }
        Lever::Later { .. } | Lever::OwnLater { .. } => super::lever_words(job, lever),
        Lever::Stay { .. } => "no days split between shop and house".into(),
        Lever::Decide { decision, by } => {
            format!("{} settled by {}", named(&job.decisions[*decision].name, &job.decisions[*decision].id), long(*by))
        }
        Lever::AnyDay { visit } => {
            format!("{} on whichever weekday comes first", named(&job.visits[*visit].name, &job.visits[*visit].id))
        }
        Lever::WalkThrough { .. } => "the walk-through on whichever weekday comes first".into(),
    }
}

fn choice(job: &Job, w: &Way) -> Choice {
    let words: Vec<String> = w.levers.iter().map(|l| said(job, l)).collect();
    let mut once: Vec<String> = Vec::new();
    words.into_iter().for_each(|x| {
        if !once.contains(&x) {
            once.push(x);
        }
    });
    let felt: Vec<Lever> = w
        .levers
        .iter()
        .filter(|l| {
            !matches!(l, Lever::Decide { .. } | Lever::AnyDay { .. } | Lever::WalkThrough { .. } | Lever::Helper { .. })
        })
        .cloned()
        .collect();
    Choice {
        words: once.join(", and "),
        day: safe(job, &w.finish),
        dollars: (w.cents.max(0) + 99) / 100,
        notice: notices(job, &felt),
    }
}

/// The day that is safe to promise if nothing is done about it. Another order of the same work is no
/// choice of the client's: it is taken.
fn as_it_goes(a: &Answer) -> NaiveDate {
    let order = a.ways.iter().filter(|w| w.levers.is_empty()).map(|w| safe(&a.job, &w.finish)).min();
    let kept = safe(&a.job, &a.finish);
    order.map_or(kept, |d| d.min(kept))
}

/// The two choices: the way to take, and another of other kinds; where there is none, the work as
/// it goes on by itself.
fn choices(a: &Answer) -> Vec<Choice> {
    let job = &a.job;
    let plain = Choice { words: "I go on as it is".into(), day: as_it_goes(a), dollars: 0, notice: String::new() };
    // Another order of the work is nothing the client chooses: it is taken as it is.
    let real = |w: &&Way| !w.levers.is_empty();
    let best = a.best.map(|b| &a.ways[b]).filter(real).or_else(|| a.ways.iter().find(real));
    let Some(best) = best else { return vec![plain] };
    let first = choice(job, best);
    let kinds: Vec<String> = best.levers.iter().map(Lever::kind).collect();
    // Another date for another price: a way of its own, or nothing done.
    let other = a.ways.iter().filter(real).find(|w| {
        let c = choice(job, w);
        w.levers.iter().all(|l| !kinds.contains(&l.kind()))
            && c.day < plain.day
            && (c.day, c.dollars) != (first.day, first.dollars)
    });
    vec![first, other.map_or(plain, |w| choice(job, w))]
}

fn line(n: usize, c: &Choice) -> String {
    let price = match c.dollars {
        0 => "no extra".to_string(),
        d => format!("an extra of ${}", super::thousands(d as usize)),
    };
    let words = capital(&c.words);
    let notice = if c.notice.is_empty() { String::new() } else { format!(" You would notice: {}.", c.notice) };
    format!("{n}. {words}: ready by {}, {price}.{notice}\n", long(c.day))
}

/// The message, ready to copy.
pub fn message_text(a: &Answer) -> String {
    let job = &a.job;
    let hello = if job.client.is_empty() { "Hello,".to_string() } else { format!("Dear {},", job.client) };
    let day = as_it_goes(a);
    let name = if job.name.trim().is_empty() { "The work" } else { &job.name };
    let what = match job.target {
        Some(t) if day > t.day => {
            let given = if t.kind == crate::job::TargetKind::Promised { "I gave you" } else { "you asked for" };
            format!(
                "{} will not be ready by {}, the day {given}. As it goes now the day I can stand behind is {}.",
                name,
                long(t.day),
                long(day)
            )
        }
        Some(t) => format!("{} is still on course for {}.", name, long(t.day)),
        None => format!("{}: as it goes now the day I can stand behind is {}.", name, long(day)),
    };
    let late = job.target.is_none_or(|t| day > t.day);
    let mut out = match why(job) {
        why if late && !why.is_empty() => format!("{hello}\n\n{what} {why}\n"),
        _ => format!("{hello}\n\n{what}\n"),
    };
    if !late {
        return out + "\nI will tell you at once if the day changes.\n";
    }
    let all = choices(a);
    if all.len() > 1 {
        out += "\nThere are two choices, and I will do whichever you prefer:\n\n";
        all.iter().enumerate().for_each(|(i, c)| out += &line(i + 1, c));
        out += "\nPlease tell me which, or call me if you would rather talk it over.\n";
    } else {
        out += "\nI am sorry for the wait, and will tell you at once if the day changes again.\n";
    }
    out
}

/// The message with stable names.
pub fn message_json(a: &Answer) -> Value {
    let one = |c: &Choice| json!({"words": c.words, "ready_by": iso_day(c.day), "extra_dollars": c.dollars, "notice": c.notice});
    json!({
        "job": a.job.name, "text": message_text(a), "new_day": iso_day(as_it_goes(a)), "why": why(&a.job),
        "choices": choices(a).iter().map(one).collect::<Vec<_>>(), "problems": [],
    })
}
