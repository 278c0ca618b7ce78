//! Options side by side: hours, clean run, likely, safe, chance, price, and how each differs
//! from the first, in words and as JSON.

use serde_json::{Value, json};

use super::{Almanac, Figure, ForecastView, chance_words, difference_words, in_ten, workdays_between};
use crate::desk::{Desk, Sound};
use crate::forecast::Forecast;
use crate::job::Problem;
use crate::measure::{LaborHours, Money};
use crate::pricing::{Price, difference as difference_of};
use crate::search::Found;

/// One option with its answer, or what stands against one.
pub struct OptionOf<'a> {
    pub name: String,
    /// Sections it differs in from the first.
    pub differs: Vec<&'static str>,
    pub with: Result<(&'a Sound, &'a Found, &'a Forecast), &'a [Problem]>,
}

impl<'a> OptionOf<'a> {
    /// Of a whole answer.
    pub fn desk(name: &str, differs: Vec<&'static str>, desk: &'a Desk) -> OptionOf<'a> {
        OptionOf { name: name.into(), differs, with: Ok((&desk.sound, &desk.found, &desk.forecast)) }
    }
}

/// A column of the comparison.
#[derive(Clone, Debug, PartialEq)]
pub struct OptionColumn {
    pub name: String,
    /// Caption and figure, in the same order for all: `hours`, `clean run`, `likely`, `safe`, `chance`,
    /// `price`.
    pub figures: Vec<(&'static str, Figure)>,
    /// How it differs from the first; for the first nothing.
    pub difference: String,
    pub problem: Option<String>,
}

/// What the job is called among its options.
pub fn option_name(name: &str) -> &str {
    if name.is_empty() { "as it stands" } else { name }
}

const LABOR: &str = "the labor of all steps of its order by one person, everything typical, trips left out";
const CLEAN: &str = "the end of its own plan, if nothing goes wrong";
const PRICE: &str = "labor and materials of its own plan by the terms of the job, tax in it";
const CLOSE: &str = "of its order are done by the close of that day";

fn labor(found: &Found) -> i64 {
    found.plan.steps.iter().map(|s| s.labor_min).sum()
}

/// Columns, first to last, without prices.
pub fn option_columns(all: &[OptionOf]) -> Vec<OptionColumn> {
    option_columns_priced(all, &[])
}

/// Columns, first to last, with a row of prices where any are given: one an option, worked out by
/// [`option_price`] (it cuts sticks, so never while drawing); none where an option has no price.
pub fn option_columns_priced(all: &[OptionOf], prices: &[Option<Money>]) -> Vec<OptionColumn> {
    let first = all.first().and_then(|o| o.with.as_ref().ok());
    let price = |i: usize| prices.get(i).copied().flatten();
    let one = |(i, o): (usize, &OptionOf)| match &o.with {
        Err(problems) => OptionColumn {
            name: option_name(&o.name).into(),
            figures: Vec::new(),
            difference: String::new(),
            problem: problems.first().map(|p| format!("cannot be planned: {}; {}", p.what, p.remedy)),
        },
        Ok((sound, found, f)) => {
            let a = Almanac(&sound.job);
            let view = ForecastView::new(sound, f, sound.job.confidence);
            let n = super::thousands(f.trials);
            let mut figures = vec![
                ("hours", Figure::new(LaborHours(labor(found)).to_string(), LABOR)),
                ("clean run", Figure::new(a.short_day(crate::forecast::last_day(found.plan.finish)), CLEAN)),
                ("likely", Figure::new(a.short_day(view.likely), format!("half of {n} trials {CLOSE}"))),
                (
                    "safe",
                    Figure::new(a.short_day(view.safe), {
                        let confidence = in_ten(view.confidence);
                        format!("the first day by whose close {confidence} of {n} trials of its order are done")
                    }),
                ),
            ];
            if let Some((_, day, chance)) = &view.target {
                let why = super::strip::chance_why(a.short_day(*day), chance, f.trials);
                figures.push(("chance", Figure::new(chance_words(chance.value, f.trials), why)));
            }
            if !prices.is_empty() {
                let words = price(i).map_or_else(|| "not priced".to_string(), |p| p.to_string());
                figures.push(("price", Figure::new(words, PRICE)));
            }
            let difference = match first {
                Some(first) if i > 0 => {
                    let more = price(0).zip(price(i)).map(|(a, b)| b - a);
                    difference(first, (sound, found, f), more)
                }
                _ => String::new(),
            };
            OptionColumn { name: option_name(&o.name).into(), figures, difference, problem: None }
        }
    };
    all.iter().enumerate().map(one).collect()
}

/// The price with tax of a plan; none where somebody's hours have no cost or nothing is paid.
pub fn option_price(o: &OptionOf) -> Option<Money> {
    price_of(o.with.as_ref().ok()?).map(|p| p.total)
}

fn price_of((sound, found, f): &(&Sound, &Found, &Forecast)) -> Option<Price> {
    sound.price_alone(found, f)
}

/// What a change does to the price, before and after, also where that is nothing: from the price agreed so far, else
/// from the price of a job not yet begun; the difference alone where there is neither. None where a plan has no price.
pub fn change_price(is: &OptionOf, asked: &OptionOf) -> Option<Figure> {
    let before = is.with.as_ref().ok()?;
    let (a, b) = (price_of(before)?, price_of(asked.with.as_ref().ok()?)?);
    let job = &before.0.job;
    let d = difference_of(&a, &b);
    let from = crate::pricing::agreed(job).or(job.as_of.is_none().then_some(a.total));
    let value = match from {
        Some(p) if d.total == Money(0) => format!("{p} before and after"),
        Some(p) => format!("{p} → {}", p + d.total),
        None if d.total.0 < 0 => d.total.to_string(),
        None => format!("+{}", d.total),
    };
    let why = format!("{}; by the terms of the job, the same trials with and without it", difference_words(job, &d));
    Some(Figure::new(value, why))
}

/// `safe 2 days sooner, 12.0 h more, $420.00 more: Helper on 3 days`.
fn difference(
    first: &(&Sound, &Found, &Forecast),
    other: (&Sound, &Found, &Forecast),
    dollars: Option<Money>,
) -> String {
    let safe = |(s, _, f): &(&Sound, &Found, &Forecast)| f.day(s.job.confidence);
    let days = workdays_between(first.0, safe(first), safe(&other));
    let n = if days.abs() == 1 { "1 day".to_string() } else { format!("{} days", days.abs()) };
    let mut out = match days {
        0 => "the same safe day".to_string(),
        d if d < 0 => format!("safe {n} sooner"),
        _ => format!("safe {n} later"),
    };
    let more = labor(other.1) - labor(first.1);
    if more.abs() >= 6 {
        out += &format!(", {} {}", LaborHours(more.abs()), if more > 0 { "more" } else { "less" });
    }
    match dollars {
        None | Some(Money(0)) => {}
        Some(m) if m.0 > 0 => out += &format!(", {m} more"),
        Some(m) => out += &format!(", {} less", Money(-m.0)),
    }
    let what = super::differs::differences((first.0, first.1), (other.0, other.1));
    if !what.is_empty() {
        out += &format!(": {what}");
    }
    out
}

/// The comparison as text.
pub fn options_text(job_name: &str, columns: &[OptionColumn]) -> String {
    let mut out = format!("{job_name}\n\n");
    let wide = columns.iter().map(|c| c.name.chars().count()).max().unwrap_or(0).max(12);
    let heads = columns.iter().find(|c| !c.figures.is_empty());
    let mut line = format!("  {:<wide$}", "");
    for (what, _) in heads.iter().flat_map(|c| &c.figures) {
        line += &format!("  {what:>11}");
    }
    out += &format!("{}\n", line.trim_end());
    for c in columns {
        let mut line = format!("  {:<wide$}", c.name);
        for (_, figure) in &c.figures {
            line += &format!("  {:>11}", figure.value);
        }
        out += &format!("{}\n", line.trim_end());
    }
    out.push('\n');
    for c in columns {
        if let Some(p) = &c.problem {
            out += &super::laid(&format!("  {}", c.name), wide + 4, p);
        } else if !c.difference.is_empty() {
            out += &super::laid(&format!("  {}", c.name), wide + 4, &c.difference);
        }
    }
    if columns.len() == 1 {
        out += "This job has no options. Keep one in the window, or write one under options in the file.\n";
    }
    out
}

/// The comparison with stable names.
pub fn options_json(job_name: &str, all: &[OptionOf], prices: &[Option<Money>]) -> Value {
    let columns = option_columns_priced(all, prices);
    let one = |(i, (o, c)): (usize, (&OptionOf, &OptionColumn))| match &o.with {
        Err(problems) => json!({
            "name": o.name, "differs_in": o.differs,
            "problems": problems.iter().map(|p| json!({"path": p.path, "what": p.what, "remedy": p.remedy})).collect::<Vec<_>>(),
        }),
        Ok((sound, found, f)) => {
            let a = Almanac(&sound.job);
            let view = ForecastView::new(sound, f, sound.job.confidence);
            json!({
                "name": o.name, "differs_in": o.differs, "labor_h": labor(found) as f64 / 60.0,
                "clean_run": a.json(found.plan.finish), "likely_day": a.json_day(view.likely),
                "safe_day": a.json_day(view.safe), "chance_of_target": view.target.map(|t| t.2.value),
                "price_cents": prices.get(i).copied().flatten().map(|p| p.0),
                "difference": c.difference, "trials": f.trials, "problems": [],
            })
        }
    };
    json!({"job": job_name, "options": all.iter().zip(&columns).enumerate().map(one).collect::<Vec<_>>(), "problems": []})
}

/// `3 side by side; safe is 8 in 10`.
pub fn options_head(n: usize, confidence: f64) -> String {
    format!("{n} side by side; safe is {}", in_ten(confidence))
}
