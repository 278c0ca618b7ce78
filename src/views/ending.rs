//! A job at its end, and what closed jobs have taught: words and JSON.

use serde_json::{Value, json};

use super::inspect::rate_unit;
use super::typed::plain;
use super::{Almanac, choices, day_words, iso, iso_day};
use crate::book::Book;
use crate::desk::close::{Ending, RowHours, Scores, VERDICT_FROM};
use crate::job::{Job, Units};
use crate::trade::{Rate, tables};

/// `yours, 3 jobs`, `yours`, `starter`: whose a rate is.
pub fn whose(rate: &Rate) -> String {
    let own = rate.tag == crate::trade::Tag::Own || tables().rate(&rate.id).is_none_or(|t| t != rate);
    match (own, rate.jobs) {
        (true, 0) => "yours".into(),
        (true, n) => format!("yours, {}", count(n as usize, "job")),
        (false, _) => "starter".into(),
    }
}

/// `1 job`, `3 jobs`.
pub(super) fn count(n: usize, what: &str) -> String {
    if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") }
}

/// Hours a unit as the job prints them: `0.02 h a SF (0.014 to 0.03)`.
fn range_words(units: Units, r: &Rate) -> String {
    let (unit, times) = rate_unit(units, r.unit);
    let [low, typ, high] = [r.low, r.typ, r.high].map(|x| plain(x * times));
    format!("{typ} h {} ({low} to {high})", a(unit))
}

/// `0.02 (0.014 to 0.03)`; the range where it is one.
pub(super) fn plain_range(units: Units, r: &Rate) -> String {
    let [low, typ, high] = [r.low, r.typ, r.high].map(|x| plain(x * rate_unit(units, r.unit).1));
    if low == high { typ } else { format!("{typ} ({low} to {high})") }
}

/// Three digits.
pub(super) fn three(x: f64) -> f64 {
    let scale = libm::pow(10.0, 2.0 - libm::floor(libm::log10(x.abs().max(1e-12))));
    libm::round(x * scale) / scale
}

/// `a piece`, `an opening`.
pub(super) fn a(unit: &str) -> String {
    if unit.starts_with(['a', 'e', 'i', 'o', 'u']) { format!("an {unit}") } else { format!("a {unit}") }
}

/// A unit behind a quantity: `6 pieces`, `1 box`, `152 SF`.
pub(super) fn units_of(quantity: f64, unit: &str) -> String {
    let many = (quantity - 1.0).abs() > 1e-9;
    let more = match unit {
        "SF" | "LF" | "m" | "m2" => unit.to_string(),
        "box" if many => "boxes".into(),
        "delivery" if many => "deliveries".into(),
        _ if many => format!("{unit}s"),
        _ => unit.to_string(),
    };
    format!("{} {more}", plain(quantity))
}

/// Rates of a job, a line each: hours a unit, and whose they are.
pub fn rates_text(job: &Job) -> String {
    let line = |r: &Rate| format!("  {}: {}, {}\n", r.id, range_words(job.units, r), whose(r));
    job.rates.iter().map(line).collect()
}

/// `Rates: 14 starter; yours: skim (3 jobs), roll.`; empty where the job has none.
pub fn rates_line(job: &Job) -> String {
    let (own, starter): (Vec<&Rate>, Vec<&Rate>) = job.rates.iter().partition(|r| whose(r) != "starter");
    let one = |r: &&Rate| match r.jobs {
        0 => r.id.clone(),
        n => format!("{} ({})", r.id, count(n as usize, "job")),
    };
    let mine = own.iter().map(one).collect::<Vec<_>>().join(", ");
    match (starter.len(), own.is_empty()) {
        (0, true) => String::new(),
        (n, true) => format!("Rates: {n} starter.\n"),
        (0, false) => super::laid("Rates: ", 7, &format!("yours: {mine}.")),
        (n, false) => super::laid("Rates: ", 7, &format!("{n} starter; yours: {mine}.")),
    }
}

/// `[{row, low, typical, high, jobs, whose}]`, hours per unit of the row.
pub fn rates_json(job: &Job) -> Value {
    let one = |r: &Rate| json!({"row": r.id, "low": r.low, "typical": r.typ, "high": r.high, "jobs": r.jobs, "whose": whose(r)});
    job.rates.iter().map(one).collect()
}

/// What a row showed: `0.031 h a SF over 420 SF`.
fn shown_words(units: Units, r: &RowHours) -> String {
    let (unit, times) = rate_unit(units, r.rate.unit);
    format!("{} h {} over {}", plain(three(r.shown * times)), a(unit), units_of(three(r.quantity / times), unit))
}

/// Rows that are asked about and neither left out nor kept.
pub fn undecided<'a>(e: &'a Ending, excluded: &[String], included: &[String]) -> Vec<&'a RowHours> {
    let decided = |id: &String| excluded.contains(id) || included.contains(id);
    e.rows.iter().filter(|r| r.asked && !decided(&r.rate.id)).collect()
}

/// Done, promised, likely at the start, hours: captions with their figures.
pub fn heads(e: &Ending) -> Vec<(String, String)> {
    let (a, c) = (Almanac(&e.sound.job), &e.closing);
    let promised = c.promised.map_or_else(
        || "nothing".into(),
        |day| {
            let how = match crate::book::workdays(day, c.finish.date()) {
                _ if !e.undone.is_empty() => "not all of it is done".to_string(),
                0 => "kept to the day".to_string(),
                n if n < 0 => format!("kept, {} early", count(n.unsigned_abs() as usize, "working day")),
                n => format!("{} late", count(n as usize, "working day")),
            };
            format!("{}: {how}", day_words(day))
        },
    );
    let share = if c.estimate > 0.0 && (c.hours / c.estimate - 1.0).abs() < 0.005 {
        ", as estimated".into()
    } else if c.estimate > 0.0 {
        format!(", {:+.0} %", (c.hours / c.estimate - 1.0) * 100.0)
    } else {
        String::new()
    };
    let row = |caption: &str, value: String| (caption.to_string(), value);
    vec![
        row(
            if e.undone.is_empty() { "done" } else { "last work" },
            a.day(crate::forecast::last_day(e.sound.job.at_of(c.finish))),
        ),
        row("promised", promised),
        row("likely at start", day_words(c.likely)),
        row("hours", format!("{:.1} of {:.1} estimated{share}", c.hours, c.estimate)),
    ]
}

/// `wash: 0.006 h a SF over 152 SF; starter, 0.006 h a SF (0.003 to 0.012)`.
pub fn row_words(units: Units, r: &RowHours) -> String {
    format!("{}: {}; {}, {}", r.rate.id, shown_words(units, r), whose(&r.rate), range_words(units, &r.rate))
}

/// The same by the plain name of the rate, as the cards of steps call it.
pub fn row_plain_words(units: Units, r: &RowHours) -> String {
    let name = if r.rate.name.is_empty() { &r.rate.id } else { &r.rate.name };
    format!("{}: {}; {}, {}", super::capital(name), shown_words(units, r), whose(&r.rate), range_words(units, &r.rate))
}

/// The end to read.
pub fn ending_text(e: &Ending, book: &Book, excluded: &[String], included: &[String]) -> String {
    let job = &e.sound.job;
    let mut out = format!("{}\n", job.name);
    for (caption, value) in heads(e) {
        out += &format!("  {caption:<16} {value}\n");
    }
    for (caption, value) in super::ended::money_lines(e) {
        out += &super::laid(&format!("  {caption:<24} "), 27, &value);
    }
    if !e.undone.is_empty() {
        let names: Vec<&str> = e.undone.iter().map(|&s| e.sound.graph.steps[s].id.as_str()).collect();
        out += &super::laid("", 2, &format!("  Not written up as finished, left out here: {}", names.join(", ")));
    }
    out += "\n  step                                            estimate   spent\n";
    for s in &e.steps {
        let step = &e.sound.graph.steps[s.step];
        out += &format!("  {:<46} {:>7.1} {:>7.1} h\n", step.id, s.estimate, s.spent);
    }
    out += "\nRates this job shows\n";
    for r in &e.rows {
        out += &format!("  {}", row_words(job.units, r));
        out += if excluded.contains(&r.rate.id) {
            "; left out\n"
        } else if r.asked && included.contains(&r.rate.id) {
            "; far outside, counted all the same\n"
        } else if r.asked {
            "; far outside its range: was it written up rightly?\n"
        } else {
            "\n"
        };
    }
    let open = undecided(e, excluded, included);
    if !open.is_empty() {
        let ids: Vec<&str> = open.iter().map(|r| r.rate.id.as_str()).collect();
        out += &super::laid(
            "",
            2,
            &format!("Say --exclude ROW or --include ROW of {} before your book learns.", ids.join(", ")),
        );
    }
    let known = book.closed.len();
    out + &format!("{} in your book.\n", count(known, "closed job"))
}

/// The end with stable names.
pub fn ending_json(e: &Ending, excluded: &[String], included: &[String]) -> Value {
    let job = &e.sound.job;
    let c = &e.closing;
    let id = |s: usize| e.sound.graph.steps[s].id.as_str();
    let step =
        |s: &crate::desk::close::StepHours| json!({"step": id(s.step), "estimate_h": s.estimate, "spent_h": s.spent});
    let row = |r: &RowHours| {
        json!({
            "row": r.rate.id, "unit": rate_unit(Units::FeetInches, r.rate.unit).0, "rate": r.shown, "quantity": r.quantity,
            "steps": r.steps, "low": r.rate.low, "typical": r.rate.typ, "high": r.rate.high, "whose": whose(&r.rate),
            "asked": r.asked, "excluded": excluded.contains(&r.rate.id),
        })
    };
    json!({
        "job": job.name, "day": iso_day(c.day), "finish": iso(c.finish), "promised": c.promised.map(iso_day),
        "likely_at_start": iso_day(c.likely), "labor_h": c.hours, "estimate_h": c.estimate,
        "money": super::ended::money_json(e),
        "undone": e.undone.iter().map(|&s| id(s)).collect::<Vec<_>>(),
        "steps": e.steps.iter().map(step).collect::<Vec<_>>(), "rates": e.rows.iter().map(row).collect::<Vec<_>>(),
        "undecided": undecided(e, excluded, included).iter().map(|r| r.rate.id.as_str()).collect::<Vec<_>>(), "problems": [],
    })
}

/// How good the forecasts have been, in sentences.
pub fn scores_text(s: &Scores) -> String {
    if s.jobs == 0 {
        return "No closed job with a forecast on record yet.\n".into();
    }
    let mut out = format!(
        "{} of {} done by the date 8 in 10 jobs reach, as said on the first evening.\n",
        s.held,
        count(s.jobs, "closed job")
    );
    if let Some(b) = s.bias {
        let b = (b * 10.0).round() / 10.0;
        out += &match b {
            b if b.abs() < 0.05 => "On the mean they ended on the likely day.\n".to_string(),
            b if b > 0.0 => format!("On the mean they ended {b:.1} working days after the likely day.\n"),
            b => format!("On the mean they ended {:.1} working days before the likely day.\n", -b),
        };
    }
    if let Some(b) = s.brier {
        out += &format!("Chances of the client's day against what came: {b:.3} (0 is perfect, 0.25 a coin).\n");
    }
    out + &match s.verdict {
        None => format!("No verdict before {VERDICT_FROM} jobs.\n"),
        Some(true) => "As many as 8 in 10 may well be: the dates can be believed.\n".into(),
        Some(false) if (s.held as f64) < 0.8 * s.jobs as f64 => {
            "Fewer than chance allows: the dates have been too early.\n".into()
        }
        Some(false) => "More than chance allows: the dates have been later than they need be.\n".into(),
    }
}

/// A rate of his own beside the one a job has.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnRate {
    pub id: String,
    /// What the job goes by, and whose it is; none without a job.
    pub job: Option<Rate>,
    /// What the book has by now; none where it has nothing of this row.
    pub book: Option<Rate>,
    /// The book has other hours than the job.
    pub newer: bool,
}

/// Rates of a job (or of the book alone) beside what the book has by now.
pub fn own_rates(job: Option<&Job>, book: &Book) -> Vec<OwnRate> {
    let ids: Vec<String> = match job {
        Some(j) => j.rates.iter().map(|r| r.id.clone()).collect(),
        None => book.rows(),
    };
    let one = |id: String| {
        let mine = job.and_then(|j| choices::rate(j, &id)).cloned();
        let now = book.now(&id, tables().rate(&id).or(mine.as_ref()));
        let newer = now.as_ref().zip(mine.as_ref()).is_some_and(|(b, j)| !crate::book::same_hours(b, j));
        OwnRate { id, job: mine, book: now, newer }
    };
    ids.into_iter().map(one).collect()
}

/// The book to read, beside a job's rates where one is given.
pub fn book_text(job: Option<&Job>, book: &Book, scores: &Scores) -> String {
    let units = job.map_or(Units::FeetInches, |j| j.units);
    let mut out = String::new();
    if let Some(j) = job {
        out += &format!("{}\n", j.name);
    }
    let rates = own_rates(job, book);
    if rates.is_empty() {
        out += "No rate of your own yet; a closed job teaches its rates (roomback close JOB --learn).\n";
    }
    for r in &rates {
        out += &match (&r.job, &r.book) {
            (Some(j), Some(b)) if r.newer => {
                let (now, new) = (range_words(units, j), range_words(units, b));
                format!("  {}: {now}, {}; your book: {new}, {}\n", r.id, whose(j), whose(b))
            }
            (Some(j), _) => format!("  {}: {}, {}\n", r.id, range_words(units, j), whose(j)),
            (None, Some(b)) => format!("  {}: {}, {}\n", r.id, range_words(units, b), whose(b)),
            (None, None) => format!("  {}: seen in closed jobs, in no table\n", r.id),
        };
    }
    if job.is_some() && rates.iter().any(|r| r.newer) {
        out += "The job keeps its own copies; take those of your book with --take.\n";
    }
    for j in &book.closed {
        let n = j.rates.iter().filter(|s| !s.excluded).count();
        out += &format!("  closed {}: {}, {}\n", iso_day(j.day), j.job, count(n, "rate"));
    }
    out + &scores_text(scores)
}

/// The book with stable names.
pub fn book_json(job: Option<&Job>, book: &Book, s: &Scores) -> Value {
    let rate = |r: &Rate| json!({"low": r.low, "typical": r.typ, "high": r.high, "jobs": r.jobs, "whose": whose(r)});
    let row = |r: &OwnRate| json!({"row": r.id, "job": r.job.as_ref().map(rate), "book": r.book.as_ref().map(rate), "newer": r.newer});
    let closed = |j: &crate::book::ClosedJob| {
        json!({"job": j.job, "start": iso_day(j.start), "day": iso_day(j.day), "finish": iso(j.finish),
            "rates": j.rates.iter().map(|s| json!({"row": s.row, "rate": s.rate, "quantity": s.quantity, "excluded": s.excluded})).collect::<Vec<_>>()})
    };
    json!({
        "job": job.map(|j| j.name.as_str()), "rates": own_rates(job, book).iter().map(row).collect::<Vec<_>>(),
        "closed": book.closed.iter().map(closed).collect::<Vec<_>>(),
        "scores": {"jobs": s.jobs, "held_at_80": s.held, "brier": s.brier, "bias_days": s.bias,
            "verdict": s.verdict.map(|v| if v { "believable" } else { "not_believable" }), "verdict_from": VERDICT_FROM},
        "problems": [],
    })
}
