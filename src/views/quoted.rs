//! What a job is quoted at today: a new quote, or the one the client holds with what was agreed since.
//!
//! Before the first day a quote is made anew. Once a day is written up, or a change was agreed after the quote given
//! last, the client holds a quote that no later reckoning may gainsay: it is told as it was given, the changes since
//! with their prices below it, and their sum. Prices of changes are those of their records (`pricing::change_price`).
//! Days are dates, money is whole cents with tax in it. It knows no hours, rates or costs.

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::change_order::order_number;
use super::letterhead::{holds_until, letter_lines, quote_title};
use super::price::pay_words;
use super::quote::{days_words, quote_of, sums};
use super::{Figure, day_words, iso_day, printable};
use crate::desk::{Sound, underway};
use crate::forecast::Forecast;
use crate::job::{ChangeKind, Job, Quote, QuotePayment};
use crate::measure::{Money, apportion};
use crate::pricing::{self, Price};

/// A change agreed after the quote.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Since {
    /// The number of its change order.
    pub number: usize,
    pub day: NaiveDate,
    pub words: String,
    /// What the client pays for it; none where it is still to be agreed.
    pub price: Option<Money>,
}

/// A quote as it is told today.
#[derive(Clone, Debug, PartialEq)]
pub struct Quoted {
    pub quote: Quote,
    /// It is the one kept last, as it was given; else it is new.
    pub held: bool,
    /// The day of the kept quote that a new one takes the place of.
    pub replaces: Option<NaiveDate>,
    /// Changes agreed after it, in their order.
    pub changes: Vec<Since>,
    /// What is asked today: the quote and its changes.
    pub total: Money,
}

/// Why nothing can be quoted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoQuote {
    /// Somebody's hours have no cost.
    NoCost,
    /// Work has begun, and no quote was kept before it.
    Begun,
}

/// Why a job has no quote once work has begun, and what to do.
pub const BEGUN: &str = "Work has begun (a day is written up) and no quote was kept before it, so there is none to print. \
                         What is agreed from now on goes on a change order: “Add a change”, On site, or roomback change.";

/// Whether a day is written up.
pub fn begun(job: &Job) -> bool {
    underway::last_told(job).is_some()
}

/// What stands against giving a new quote, if anything.
///
/// # Errors
/// A sentence with its remedy.
pub fn may_quote(job: &Job) -> Result<(), String> {
    match job.quote() {
        None if begun(job) => Err(BEGUN.into()),
        Some(q) if begun(job) || job.changed_since_quote() => {
            let why = if begun(job) { "work has begun" } else { "a change was agreed since" };
            Err(format!(
                "The quote of {} stands: {why}. What is different from now on goes on a change order: “Add a change”, On \
                 site, or roomback change.",
                day_words(q.made_on)
            ))
        }
        _ => Ok(()),
    }
}

impl Quoted {
    /// A new quote.
    pub fn new(quote: Quote) -> Quoted {
        let total = quote.price();
        Quoted { quote, held: false, replaces: None, changes: Vec::new(), total }
    }

    /// The quote kept last with what was agreed since; none where none was kept.
    fn held(job: &Job) -> Option<Quoted> {
        let quote = with_payments(job, job.quote()?);
        let from = job.changes.len() - job.changes_since_quote().len();
        let one = |(i, c): (usize, &crate::job::ChangeOrder)| Since {
            number: order_number(job, i + 1),
            day: c.day,
            words: c.words.clone(),
            price: pricing::change_price(job, c),
        };
        let since = job.changes.iter().enumerate().skip(from).filter(|(_, c)| c.kind == ChangeKind::Scope);
        let total = pricing::agreed(job)?;
        Some(Quoted { quote, held: true, replaces: None, changes: since.map(one).collect(), total })
    }

    /// What this job is quoted at on a day, from its price on its first day.
    ///
    /// # Errors
    /// [`NoQuote`].
    pub fn of(sound: &Sound, f: &Forecast, price: &Price, today: NaiveDate) -> Result<Quoted, NoQuote> {
        let job = &sound.job;
        if may_quote(job).is_err() {
            return Quoted::held(job).ok_or(NoQuote::Begun);
        }
        if !price.trusted(job) {
            return Err(NoQuote::NoCost);
        }
        let quote = quote_of(sound, f, price, today);
        let replaces = job.quote().filter(|q| differs(q, &quote)).map(|q| q.made_on);
        Ok(Quoted { replaces, ..Quoted::new(quote) })
    }

    /// What it is and what it takes the place of, a sentence each.
    pub fn notes(&self) -> Vec<String> {
        if !self.held {
            let replaced = self.replaces.map(|day| format!("It takes the place of the quote of {}.", day_words(day)));
            return holds_until(&self.quote).into_iter().chain(replaced).collect();
        }
        vec![match self.changes.last() {
            None => "As it was given that day; nothing was changed since.".into(),
            Some(last) => {
                let day = day_words(last.day);
                format!("As it was given that day, with the changes agreed since, the last on {day}.")
            }
        }]
    }

    /// Its days: as quoted, and of a quote the client holds what is promised now where that is another day.
    pub fn days(&self, job: &Job) -> Vec<String> {
        let said = days_words(&self.quote);
        let mut out = vec![if self.held { format!("as quoted: {said}") } else { said }];
        let now = job.promised_day();
        if self.held && now != self.quote.promised {
            out.push(match now {
                Some(day) => format!("promised now: {}", day_words(day)),
                None => "withdrawn since: no day is promised now".into(),
            });
        }
        out
    }

    /// The changes, words with amount, and what is asked today last; nothing where there are none.
    pub fn changed(&self) -> Vec<(String, String)> {
        if self.changes.is_empty() {
            return Vec::new();
        }
        let one = |c: &Since| {
            let words = if c.words.is_empty() { "work as agreed" } else { &c.words };
            let what = format!("Change order {}, {}: {words}", c.number, day_words(c.day));
            (what, c.price.map_or_else(|| "to be agreed".into(), signed))
        };
        let open = self.changes.iter().any(|c| c.price.is_none());
        let sum = if open { "price today, without what is to be agreed" } else { "price today" };
        self.changes.iter().map(one).chain([(sum.to_string(), self.total.to_string())]).collect()
    }
}

/// `+$12.00`, `-$12.00`, `$0.00`.
pub fn signed(m: Money) -> String {
    if m.0 > 0 { format!("+{m}") } else { m.to_string() }
}

/// Whether two quotes say something else to the client.
fn differs(a: &Quote, b: &Quote) -> bool {
    let said =
        |q: &Quote| (q.cents, q.option.clone(), q.safe, [&q.assumptions, &q.inclusions, &q.exclusions].map(Vec::clone));
    said(a) != said(b)
}

/// A kept quote with its payments and its promise, also where it was kept before they were: payments at the shares of
/// today, the promise made last by its day.
fn with_payments(job: &Job, q: &Quote) -> Quote {
    let mut q = q.clone();
    if q.promised.is_none() {
        let made = job.promises.iter().rev().find(|p| p.made_on <= q.made_on);
        q.promised = made.filter(|p| !p.withdrawn).map(|p| p.day);
    }
    if q.payments.is_empty() {
        let weights: Vec<i64> = job.price.payments.iter().map(|p| libm::round(p.share * 1e6) as i64).collect();
        let all: i64 = weights.iter().sum::<i64>().max(1);
        let parts: Vec<i64> = weights.iter().map(|w| w * q.cents).collect();
        let cents = apportion(&parts, all).into_iter().map(|c| c / all);
        q.payments =
            job.price.payments.iter().zip(cents).map(|(p, cents)| QuotePayment { when: p.when, cents }).collect();
    }
    q
}

/// Payments of the quote the client holds once work has begun, what and how much; none before, or where none was given.
pub fn held_payments(job: &Job) -> Vec<(String, Figure)> {
    let Some(quote) = job.quote().filter(|_| begun(job)) else { return Vec::new() };
    let why = format!("as quoted on {}; a change is paid as was agreed with it", day_words(quote.made_on));
    let one = |p: QuotePayment| (pay_words(p.when).to_string(), Figure::new(Money(p.cents).to_string(), why.as_str()));
    with_payments(job, quote).payments.into_iter().map(one).collect()
}

/// The quote to read: no hours, rates or costs.
pub fn quote_text(sound: &Sound, q: &Quoted) -> String {
    let (job, quote) = (&sound.job, &q.quote);
    let client = if job.client.is_empty() { String::new() } else { format!(" for {}", printable(&job.client)) };
    let option = if quote.option.is_empty() { String::new() } else { format!(", {}", printable(&quote.option)) };
    let mut out = String::new();
    let [from, to] = letter_lines(job);
    from.iter().for_each(|l| out += &format!("{l}\n"));
    if !to.is_empty() {
        out += &format!("to {}\n", to.join(", "));
    }
    if !out.is_empty() {
        out += "\n";
    }
    let title = quote_title(quote).replacen('Q', "q", 1);
    out += &format!("{}{option}: {title}{client}, {}\n", printable(&job.name), day_words(quote.made_on));
    q.notes().iter().for_each(|n| out += &super::laid("", 0, n));
    out += "\n";
    let money = |what: &str, m: Money| format!("  {what:<34} {:>13}\n", m.to_string());
    sums(quote).into_iter().for_each(|(what, m)| out += &money(what, m));
    out += "\nPayments\n";
    for p in &quote.payments {
        out += &money(pay_words(p.when), Money(p.cents));
    }
    let changed = q.changed();
    if !changed.is_empty() {
        out += "\nAgreed since\n";
        for (what, amount) in &changed {
            out += &super::laid(&format!("  {amount:>13}  "), 17, &printable(what));
        }
    }
    out += "\nDays\n";
    q.days(job).iter().for_each(|d| out += &format!("  {d}\n"));
    let mut list = |head: &str, lines: &[String]| {
        if !lines.is_empty() {
            out += &format!("\n{head}\n");
            lines.iter().for_each(|l| out += &super::laid("  - ", 4, l));
        }
    };
    list("What it rests on", &quote.assumptions);
    list("What is in it", &quote.inclusions);
    list("What is not", &quote.exclusions);
    list("What would move it", &quote.moves);
    out
}

/// The quote with stable names; money in cents.
pub fn quote_json(sound: &Sound, q: &Quoted, kept: bool) -> Value {
    let (job, quote) = (&sound.job, &q.quote);
    let part = |what: &str| quote.lines.iter().filter(|l| l.what == what).map(|l| l.cents).sum::<i64>();
    let pay = |p: &QuotePayment| json!({"when": p.when, "cents": p.cents});
    let change =
        |c: &Since| json!({"number": c.number, "day": iso_day(c.day), "words": c.words, "cents": c.price.map(|m| m.0)});
    json!({
        "job": job.name, "client": job.client, "made_on": iso_day(quote.made_on), "number": quote.number,
        "valid_days": quote.valid_days, "from": job.letterhead.from, "to": job.letterhead.to, "option": quote.option,
        "price_cents": quote.cents, "contingency_cents": part("contingency"), "tax_cents": part("tax"),
        "payments": quote.payments.iter().map(pay).collect::<Vec<_>>(), "likely_day": iso_day(quote.likely),
        "safe_day": iso_day(quote.safe), "confidence": quote.confidence, "promised": quote.promised.map(iso_day),
        "promised_now": job.promised_day().map(iso_day), "held": q.held, "replaces": q.replaces.map(iso_day),
        "changes": q.changes.iter().map(change).collect::<Vec<_>>(), "total_cents": q.total.0,
        "assumptions": quote.assumptions, "inclusions": quote.inclusions, "exclusions": quote.exclusions,
        "moves": quote.moves, "kept": kept, "quotes": job.quotes.len() + usize::from(kept), "problems": [],
    })
}
