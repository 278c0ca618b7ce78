//! A change of the job before anybody says yes, and as it is kept: scope, hours, dollars, days
//! and odds, all of them said even where they are zero.

use serde_json::{Value, json};

use super::change::{change_json, change_text};
use super::quoted::signed;
use super::{chance_words, day_words, iso_day};
use crate::desk::changes::Effect;
use crate::job::{ChangeKind, ChangeOrder, Job};
use crate::measure::Money;

/// From this on hours, dollars and days are not nothing.
const SOME: f64 = 0.05;

/// `+2.5 h`, `no hours`.
pub fn hours_more(x: f64) -> String {
    if x.abs() < SOME { "no hours".into() } else { format!("{x:+.1} h") }
}

/// `+$120`, `no dollars`; without costs in the crew it says so.
pub fn dollars_more(x: Option<f64>) -> String {
    match x {
        None => "dollars not known: nobody of the crew has a cost an hour".into(),
        Some(x) if x.abs() < 0.5 => "no dollars".into(),
        Some(x) => format!("{}${:.0} of your own cost", if x < 0.0 { "-" } else { "+" }, x.abs()),
    }
}

/// `+1.5 days`, `no days`.
pub fn days_more(x: f64) -> String {
    let x = (x * 10.0).round() / 10.0;
    if x.abs() < SOME {
        "no days".into()
    } else if (x.abs() - 1.0).abs() < 1e-9 {
        format!("{x:+.0} day")
    } else if (x - x.round()).abs() < 1e-9 {
        format!("{x:+.0} days")
    } else {
        format!("{x:+.1} days")
    }
}

/// What a change comes to in one line: `+2.5 h, +$120 of your own cost, +1 day on the date 8 in
/// 10 jobs reach (clean run no days)`.
pub fn effect_words(e: &Effect) -> String {
    let allowance = if e.allowance.abs() < SOME {
        String::new()
    } else {
        let more = if e.allowance < 0.0 { "less" } else { "more" };
        format!(" ({:.1} h {more} in the allowance for unlisted work)", e.allowance.abs())
    };
    // Part of a day can go by without the day being another.
    let eighty = |o: &crate::desk::evening::Outlook| o.forecast.day(0.8);
    let stays = e.days.abs() >= SOME && eighty(&e.before) == eighty(&e.after);
    format!(
        "{}{allowance}, {}, {} on the date 8 in 10 jobs reach{}, {} on the clean run.",
        hours_more(e.hours),
        dollars_more(e.dollars),
        days_more(e.days),
        if stays { " (the same day still)" } else { "" },
        days_more(e.clean)
    )
}

/// The change to read: what, what it comes to, dates and odds before and after, the promise.
pub fn order_text(job: &Job, order: &ChangeOrder, e: &Effect) -> String {
    let mut out = format!("{}\n", if order.words.is_empty() { &job.name } else { &order.words });
    let name = |id: &String| {
        let step = e.after.sound.graph.steps.iter().find(|s| s.id == *id);
        step.filter(|s| s.name != *id).map_or_else(|| id.clone(), |s| format!("{} ({id})", s.name))
    };
    for id in &order.adds {
        out += &super::laid("  added", 9, &name(id));
    }
    for id in &order.drops {
        out += &super::laid("  out", 9, id);
    }
    out += &super::laid("  ", 2, &effect_words(e));
    out += &change_text(&e.before, &e.after);
    if let (ChangeKind::Scope, Some(cents)) = (order.kind, order.cents) {
        let with = order.cents_after.map_or_else(String::new, |c| format!("; the price with it is {}", Money(c)));
        out += &format!("  The client pays {} for it, tax in it{with}.\n", signed(Money(cents)));
    }
    out += &format!("  {}\n", promise_words(order));
    out
}

/// `Promised: Fri 28 May 2027, before and after.`
pub fn promise_words(order: &ChangeOrder) -> String {
    match (order.promised_before, order.promised_after) {
        (None, None) => "Nothing is promised.".into(),
        (Some(a), Some(b)) if a == b => format!("Promised: {}, before and after.", day_words(a)),
        (Some(a), Some(b)) => format!("Promised: {} before, {} from now on.", day_words(a), day_words(b)),
        (None, Some(b)) => format!("Promised: nothing before, {} from now on.", day_words(b)),
        (Some(a), None) => format!("Promised: {} before, nothing from now on.", day_words(a)),
    }
}

/// The number a client counts of the n-th change on record, counted from 1: work done again is no change order.
pub fn order_number(job: &Job, n: usize) -> usize {
    n - job.changes.iter().take(n.saturating_sub(1)).filter(|c| c.kind == ChangeKind::Redo).count()
}

/// The place on record, counted from 1, of the change order of this number; of the last one where none is said. With
/// `again` of the notes on work done again, which are counted apart. None where there is none.
pub fn order_place(job: &Job, again: bool, number: Option<usize>) -> Option<usize> {
    let of = |c: &ChangeOrder| (c.kind == ChangeKind::Redo) == again;
    let all: Vec<usize> = job.changes.iter().enumerate().filter(|(_, c)| of(c)).map(|(i, _)| i + 1).collect();
    match number {
        Some(n) => n.checked_sub(1).and_then(|i| all.get(i).copied()),
        None => all.last().copied(),
    }
}

/// A change with stable names.
pub fn order_json(order: &ChangeOrder, e: Option<&Effect>) -> Value {
    let mut v = serde_json::to_value(order).unwrap_or(Value::Null);
    if let Some(e) = e {
        v["own_hours"] = json!(e.hours);
        v["allowance_h"] = json!(e.allowance);
        v["clean_run_days"] = json!(e.clean);
        v["change"] = change_json(&e.before, &e.after);
    }
    v
}

/// Changes on record, a line or two each, for the record of how the date has moved.
pub fn orders_text(job: &Job) -> String {
    if job.changes.is_empty() {
        return String::new();
    }
    let mut out = "\nChanges\n".to_string();
    for c in &job.changes {
        let what = match c.kind {
            ChangeKind::Redo => "done again: ",
            ChangeKind::Scope => "",
        };
        let odds = match (c.chance_before, c.chance_after) {
            (Some(a), Some(b)) => {
                let n = c.trials as usize;
                format!(", chance {} -> {}", chance_words(a, n), chance_words(b, n))
            }
            _ => String::new(),
        };
        let dollars = c.dollars.map_or_else(String::new, |d| format!(", {}", dollars_more(Some(d))));
        let line = format!(
            "{what}{}: {}{dollars}, {}, safe {} -> {}{odds}. {}",
            c.words,
            hours_more(c.hours),
            days_more(c.days),
            iso_day(c.safe_before),
            iso_day(c.safe_after),
            promise_words(c)
        );
        out += &super::laid(&format!("  {}", iso_day(c.day)), 14, &line);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_said_as_nothing_and_not_left_out() {
        assert_eq!((hours_more(0.01), hours_more(2.46)), ("no hours".into(), "+2.5 h".into()));
        assert_eq!(
            (dollars_more(Some(0.2)), dollars_more(Some(-119.6))),
            ("no dollars".into(), "-$120 of your own cost".into())
        );
        assert!(dollars_more(None).contains("not known"));
        let days = [0.0, 0.04, 1.0, -1.0, 2.0, 1.46].map(days_more);
        assert_eq!(days, ["no days", "no days", "+1 day", "-1 day", "+2 days", "+1.5 days"]);
    }
}
