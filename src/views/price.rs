//! A price told line by line, each with its why, its odds and its payments; text and JSON.
//!
//! Figures are those of `pricing`; here they get their words. Nothing of this goes to a client but
//! what `views::quote` says.

use serde_json::{Value, json};

use super::{Almanac, Figure, StripFigure, Tone, chance_words, in_ten, printable, thousands};
use crate::buying::Buying;
use crate::desk::Sound;
use crate::job::{ChangeKind, Job, PayWhen, PriceTerms, TaxOn};
use crate::measure::{LaborHours, Money};
use crate::pricing::{self, Difference, Due, Instalment, Kind, Price};
use crate::trade::Supplier;

/// A line with its amount and why.
#[derive(Clone, Debug, PartialEq)]
pub struct PriceRow {
    /// What the line is; none for a sum.
    pub kind: Option<Kind>,
    pub what: String,
    pub figure: Figure,
    pub amount: Money,
}

/// A supplier in words.
pub fn supplier_words(s: Supplier) -> &'static str {
    match s {
        Supplier::Millwork => "millwork",
        Supplier::Sheets => "sheet goods",
        Supplier::Paint => "paint, compound, caulk and glue",
        Supplier::Sundries => "sundries",
    }
}

/// What a line is called.
pub fn line_words(job: &Job, kind: Kind) -> String {
    match kind {
        Kind::Labor => "labor".into(),
        Kind::SetUp => "set-up".into(),
        Kind::Trips => "trips".into(),
        Kind::Helper => "helper".into(),
        Kind::Overtime => "hours after hours, the extra".into(),
        Kind::Materials(s) => supplier_words(s).into(),
        Kind::Allowance(i) => {
            let what = job.price.allowances.get(i).map_or("", |a| a.what.as_str());
            format!("allowance: {}", printable(what))
        }
        Kind::Contingency => "contingency".into(),
        Kind::Overhead => "overhead".into(),
        Kind::Profit => "profit".into(),
        Kind::Rounding => "rounding".into(),
        Kind::Tax => "tax".into(),
    }
}

/// When a payment falls due, in words.
pub fn pay_words(when: PayWhen) -> &'static str {
    match when {
        PayWhen::Agreement => "at agreement",
        PayWhen::Begin => "when work begins",
        PayWhen::TrimHung => "when the trim is hung",
        PayWhen::LastCoat => "when the last coat is on",
        PayWhen::PunchList => "when the last touch-ups are done",
    }
}

/// `5.2 %`.
pub(super) fn percent(share: f64) -> String {
    let one = format!("{:.1}", share * 100.0);
    format!("{} %", one.strip_suffix(".0").unwrap_or(&one))
}

/// Whoever is paid, with his hours and rate: `Mara 110.2 h at $48.00`.
fn hands(job: &Job, price: &Price, helpers: bool) -> String {
    let one = |(p, minutes): (&crate::job::Person, &i64)| {
        let name = if p.name.is_empty() { &p.id } else { &p.name };
        format!("{} {} at {}", printable(name), LaborHours(*minutes), Money::from_dollars(p.cost))
    };
    let all = job.crew.iter().zip(&price.paid.minutes).filter(|(p, m)| p.helper == helpers && **m > 0);
    all.map(one).collect::<Vec<_>>().join(", ")
}

fn why(job: &Job, price: &Price, buying: &Buying, kind: Kind) -> String {
    let usual = PriceTerms::default();
    let starter = "starter figure, remodelers of 2018 (NAHB cost-of-doing-business study 2020)";
    match kind {
        Kind::Labor => {
            let apart = price.of(Kind::SetUp) != Money(0) || price.of(Kind::Trips) != Money(0);
            let below = if apart { "; set-up and trips are in these hours and stand apart below" } else { "" };
            format!("{}{below}", hands(job, price, false))
        }
        Kind::SetUp => "set-up minutes of the steps, at the same rates".into(),
        Kind::Trips => "going between house and shop on the clock, at the same rates".into(),
        Kind::Helper => hands(job, price, true),
        Kind::Overtime => format!("{} more an hour for pieces finished after hours", percent(job.price.overtime)),
        Kind::Materials(s) => {
            let n = buying.rows.iter().filter(|r| r.supplier == s).count();
            let rows = if n == 1 { "1 row".into() } else { format!("{n} rows") };
            format!("{rows} of the buying list, whole packages, waste and spares in")
        }
        Kind::Allowance(_) => "set aside by you".into(),
        Kind::Contingency => {
            let c = job.price.contingency;
            let old = job.house.year_built.is_some_and(|y| chrono::Datelike::year(&job.start) - y >= 30);
            let hud = if old {
                "; HUD Handbook 4000.1 II.A.8 asks for 10 to 20 % in buildings of 30 years or more"
            } else {
                ""
            };
            format!(
                "in {} of {} trials the hands cost no more than {}, {} typically; {} of the direct cost{hud}",
                in_ten(c),
                thousands(price.odds.trials),
                price.odds.hands_high,
                price.paid.cost(),
                percent(price.contingency.0 as f64 / price.direct.0.max(1) as f64),
            )
        }
        Kind::Overhead => {
            let from = if job.price.overhead == usual.overhead { format!("; {starter}") } else { String::new() };
            let base = price.direct + price.contingency;
            format!("{} of direct cost and contingency, {base}{from}", percent(job.price.overhead))
        }
        Kind::Profit => {
            let from = if job.price.margin == usual.margin { format!("; {starter}") } else { String::new() };
            format!(
                "a margin of {} on the price before tax, which is a markup of {} on the cost before it{from}",
                percent(price.margin),
                percent(price.markup)
            )
        }
        Kind::Rounding => {
            let step = Money::from_dollars(f64::from(job.price.round_up.unwrap_or(0)));
            let tax = if price.tax == Money(0) { "" } else { " with its tax" };
            format!("the price{tax} is rounded up to a multiple of {step}")
        }
        Kind::Tax => match job.price.tax_on {
            TaxOn::Price => format!("{} of the price before tax", percent(job.price.tax)),
            TaxOn::Materials => format!("{} of {} of materials", percent(job.price.tax), buying.cost()),
        },
    }
}

/// The lines of a price and its sums, top down: the lines sum to the last row.
pub fn price_rows(job: &Job, price: &Price, buying: &Buying) -> Vec<PriceRow> {
    let sum = |what: &str, amount: Money, why: String| PriceRow {
        kind: None,
        what: what.into(),
        figure: Figure::new(amount.to_string(), why),
        amount,
    };
    let line = |l: &crate::pricing::Line| {
        let hours = l.hours.map_or_else(String::new, |h| format!(", {h}"));
        PriceRow {
            kind: Some(l.kind),
            what: format!("{}{hours}", line_words(job, l.kind)),
            figure: Figure::new(l.amount.to_string(), why(job, price, buying, l.kind)),
            amount: l.amount,
        }
    };
    let is_direct =
        |k: Kind| !matches!(k, Kind::Contingency | Kind::Overhead | Kind::Profit | Kind::Rounding | Kind::Tax);
    let mut out: Vec<PriceRow> = price.lines.iter().filter(|l| is_direct(l.kind)).map(line).collect();
    out.push(sum("direct cost", price.direct, "labor, materials and allowances".into()));
    out.extend(price.lines.iter().filter(|l| !is_direct(l.kind) && l.kind != Kind::Tax).map(line));
    let gross = format!("{} of it is not direct cost (gross margin)", percent(price.gross_margin));
    if price.tax != Money(0) {
        out.push(sum("price before tax", price.before_tax, gross));
        out.extend(price.lines.iter().filter(|l| l.kind == Kind::Tax).map(line));
        out.push(sum("price", price.total, "with tax".into()));
    } else {
        out.push(sum("price", price.total, gross));
    }
    out
}

/// What chance makes of it, a figure each: chance of losing money, profit on the average, late days.
pub fn price_odds(job: &Job, price: &Price) -> Vec<PriceRow> {
    let o = &price.odds;
    let row = |what: &str, value: String, why: String| PriceRow {
        kind: None,
        what: what.into(),
        figure: Figure::new(value, why),
        amount: Money(0),
    };
    let n = thousands(o.trials);
    let late = if o.late.is_some() { ", and days past the client's day as agreed" } else { "" };
    let mut out = vec![row(
        "chance of losing money",
        chance_words(o.loss.value, o.trials),
        format!(
            "share of {n} trials in which hands, materials, allowances and overhead cost more than the price before tax{late}; 95 % interval {} to {}",
            chance_words(o.loss.low, 10_000),
            chance_words(o.loss.high, 10_000)
        ),
    )];
    out.push(row(
        "profit on the average",
        format!("{}, {} of the price", o.expected_profit, percent(o.expected_margin)),
        format!("mean of {n} trials{late}; the contingency not used is in it"),
    ));
    if let Some(l) = &o.late {
        let day = job.target.map_or_else(String::new, |t| super::day_words(t.day));
        out.push(row(
            "late days on the average",
            format!("{}, {:.1} days", l.expected, l.days),
            format!("calendar days past {day} at {} a day, mean of {n} trials; not in the price", l.per_day),
        ));
    }
    out
}

/// The price agreed with the client once work has begun: the quote given last and the changes since. None before, or where
/// no quote was given.
pub fn agreed_figure(job: &Job) -> Option<Figure> {
    let (quote, agreed) = (job.quote()?, pricing::agreed(job)?);
    let scope = job.changes_since_quote().iter().filter(|c| c.kind == ChangeKind::Scope);
    let since = match scope.count() {
        0 => String::new(),
        1 => " and the change agreed since".into(),
        n => format!(" and the {n} changes agreed since"),
    };
    let why = format!("the quote of {}, {}{since}, tax in it", super::day_words(quote.made_on), quote.price());
    super::quoted::begun(job).then(|| Figure::new(agreed.to_string(), why))
}

/// What the lines of a price are once work has begun.
pub const ANEW: &str = "Below what it would be priced at anew, with what is known today, and its odds; what is agreed stands, and its payments.";

/// The price as the strip says it: what is agreed once work has begun; none where it cannot be trusted.
pub fn price_strip(job: &Job, price: &Price) -> Option<StripFigure> {
    if super::quoted::begun(job) {
        return agreed_figure(job).map(|f| StripFigure {
            caption: "price agreed".into(),
            short: "price".into(),
            text: f.value,
            tone: Tone::Plain,
            why: f.why,
            rank: 1,
        });
    }
    let odds = price_odds(job, price);
    let loss = odds.first().map_or("", |r| r.figure.value.as_str());
    let why = format!(
        "labor, materials, contingency, overhead and profit by the terms of the job, {}; chance of losing money {loss}; its \
         lines stand under Price",
        if price.tax == Money(0) { "no tax in it" } else { "tax in it" }
    );
    trusted(job, price).then(|| StripFigure {
        caption: "price".into(),
        short: "price".into(),
        text: price.total.to_string(),
        tone: Tone::Plain,
        why,
        rank: 1,
    })
}

/// A payment with its amount.
pub fn payment_figure(job: &Job, p: &Instalment) -> Figure {
    let more = if p.joined { "; shares of payments this job has no occasion for are in it" } else { "" };
    let why = format!("{} of the price with tax, {}{more}", percent(p.share), payment_words(job, p));
    Figure::new(p.amount.to_string(), why)
}

/// When a payment is due and how much it is.
pub fn payment_words(job: &Job, p: &Instalment) -> String {
    let a = Almanac(job);
    let due = match p.due {
        Due::Signed => String::new(),
        Due::At(at) => format!(", planned {}", a.day(crate::forecast::last_day(at))),
    };
    format!("{}{due}", pay_words(p.when))
}

/// Whether a price can be given: something is paid, and everybody's hour has a cost.
pub fn trusted(job: &Job, price: &Price) -> bool {
    price.trusted(job)
}

/// What is missing for a price that can be trusted, a sentence each.
pub fn price_notes(job: &Job, price: &Price, buying: &Buying) -> Vec<String> {
    let free = job.crew.iter().zip(&price.paid.minutes).filter(|(p, m)| **m > 0 && p.cost <= 0.0);
    let mut out: Vec<String> = free
        .map(|(p, _)| {
            let name = printable(if p.name.is_empty() { &p.id } else { &p.name });
            let whose = if name == "You" { "Your".to_string() } else { format!("{name}'s") };
            format!("{whose} hours cost nothing here: write what an hour costs, burden in, in Crew")
        })
        .collect();
    out.extend(buying.left_out.iter().map(|s| printable(s)));
    out
}

/// What a kept quote said beside what has been written up since, a line each.
pub fn quote_lines(job: &Job) -> Vec<String> {
    let hours = super::hours_written(job);
    let one = |q: &crate::job::Quote| {
        let option = if q.option.is_empty() { String::new() } else { format!(" ({})", printable(&q.option)) };
        format!(
            "{}{option}: {}, {:.1} to {:.1} h, safe {}, chance of losing money {}",
            super::day_words(q.made_on),
            q.price(),
            q.hours,
            q.hours_high,
            super::day_words(q.safe),
            chance_words(q.loss, 10_000)
        )
    };
    let mut out: Vec<String> = job.quotes.iter().map(one).collect();
    if let (Some(q), true) = (job.quote(), hours > 0.0) {
        out.push(format!(
            "written up so far: {hours:.1} h, changes and work done again in it; {:.1} h were quoted last",
            q.hours
        ));
    }
    out
}

/// The price to read.
pub fn price_text(sound: &Sound, price: &Price, buying: &Buying) -> String {
    let job = &sound.job;
    let mut out = format!("{}: price\n\n", printable(&job.name));
    let notes = price_notes(job, price, buying);
    let missing = !trusted(job, price);
    let look = |out: &mut String| notes.iter().for_each(|n| *out += &super::laid("  ", 2, n));
    if missing {
        out += "No price yet: somebody's hours are not in it.\n";
        look(&mut out);
        out += "\n";
    }
    for r in price_rows(job, price, buying) {
        let gap = if r.kind.is_none() { "" } else { "  " };
        let head = format!("  {gap}{:<width$} {:>13}  ", r.what, r.figure.value, width = 38 - gap.len());
        out += &super::laid(&head, 58, &r.figure.why);
    }
    if let Some(agreed) = agreed_figure(job) {
        out += &super::laid(&format!("\n  {:<38} {:>13}  ", "agreed", agreed.value), 58, &agreed.why);
        out += &super::laid(
            "  ",
            2,
            "What is agreed stands, with its payments (`quote`); above and below what it would be quoted at anew.",
        );
    }
    if missing {
        return out;
    }
    out += "\nOdds\n";
    for r in price_odds(job, price) {
        out += &format!("  {:<26} {}\n", r.what, r.figure.value);
        out += &super::laid("      ", 6, &r.figure.why);
    }
    out += "\nPayments\n";
    for p in &price.payments {
        out += &format!("  {:>13}  {}\n", p.amount.to_string(), payment_words(job, p));
    }
    out += &super::laid("  ", 2, "Some states cap a deposit by law; look at yours.");
    if !notes.is_empty() {
        out += "\nLook at\n";
        look(&mut out);
    }
    let kept = quote_lines(job);
    if !kept.is_empty() {
        out += "\nQuotes kept\n";
        kept.iter().for_each(|l| out += &super::laid("  ", 2, l));
    }
    out
}

/// The price with stable names; money in cents.
pub fn price_json(sound: &Sound, price: &Price, buying: &Buying) -> Value {
    let job = &sound.job;
    let a = Almanac(job);
    let o = &price.odds;
    let line = |l: &crate::pricing::Line| {
        json!({
            "kind": kind_key(l.kind), "what": line_words(job, l.kind), "cents": l.amount.0,
            "hours": l.hours.map(LaborHours::hours), "share": l.share, "why": why(job, price, buying, l.kind),
        })
    };
    let pay = |p: &Instalment| {
        let due = match p.due {
            Due::Signed => Value::Null,
            Due::At(at) => a.json_day(crate::forecast::last_day(at)),
        };
        json!({"when": p.when, "day": due, "share": p.share, "cents": p.amount.0})
    };
    json!({
        "job": job.name, "price_cents": price.total.0, "before_tax_cents": price.before_tax.0,
        "tax_cents": price.tax.0, "agreed_cents": agreed_figure(job).and_then(|_| pricing::agreed(job)).map(|m| m.0), "direct_cents": price.direct.0, "contingency_cents": price.contingency.0,
        "overhead_cents": price.overhead.0, "profit_cents": price.profit.0, "margin": price.margin,
        "markup": price.markup, "gross_margin": price.gross_margin, "paid_h": price.minutes as f64 / 60.0,
        "paid_h_high": o.hours_high, "lines": price.lines.iter().map(line).collect::<Vec<_>>(),
        "chance_of_loss": o.loss.value, "chance_of_loss_interval": {"low": o.loss.low, "high": o.loss.high},
        "expected_profit_cents": o.expected_profit.0, "expected_margin": o.expected_margin,
        "late": o.late.map(|l| json!({"day_cents": l.per_day.0, "days": l.days, "expected_cents": l.expected.0})),
        "payments": price.payments.iter().map(pay).collect::<Vec<_>>(),
        "notes": price_notes(job, price, buying), "quotes": job.quotes, "trials": o.trials, "problems": [],
    })
}

/// Stable name of a line.
pub fn kind_key(kind: Kind) -> String {
    match kind {
        Kind::Labor => "labor".into(),
        Kind::SetUp => "set_up".into(),
        Kind::Trips => "trips".into(),
        Kind::Helper => "helper".into(),
        Kind::Overtime => "overtime".into(),
        Kind::Materials(s) => match s {
            Supplier::Millwork => "millwork".into(),
            Supplier::Sheets => "sheets".into(),
            Supplier::Paint => "paint".into(),
            Supplier::Sundries => "sundries".into(),
        },
        Kind::Allowance(i) => format!("allowance_{}", i + 1),
        Kind::Contingency => "contingency".into(),
        Kind::Overhead => "overhead".into(),
        Kind::Profit => "profit".into(),
        Kind::Rounding => "rounding".into(),
        Kind::Tax => "tax".into(),
    }
}

/// What a change of the job does to its price, in words: `+$420.00: labor +$380.00, paint +$40.00`.
pub fn difference_words(job: &Job, d: &Difference) -> String {
    let signed = |m: Money| if m.0 < 0 { m.to_string() } else { format!("+{m}") };
    let lines: Vec<String> =
        d.lines.iter().map(|l| format!("{} {}", line_words(job, l.kind), signed(l.after - l.before))).collect();
    match lines.as_slice() {
        [] => "+$0.00".into(),
        all => format!("{}: {}", signed(d.total), all.join(", ")),
    }
}
