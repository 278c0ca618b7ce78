//! What a closed job comes to in money, and which of its rates moved: for the closing page and `close`.
//!
//! Money is whole cents. The price agreed is the quote kept last with the changes since. What is left over labor and
//! material is told twice: as quoted and agreed, and with the hours written up at what each one's hour costs. Trips and
//! material are those counted: what was bought in the end, and what was paid, the job does not know. Hours a unit are
//! those of one person. It refuses to judge: it writes nothing and teaches nothing.

use serde_json::{Value, json};

use super::capital;
use super::ending::{a, plain_range, three, units_of, whose};
use super::inspect::rate_unit;
use super::price::percent;
use super::quoted::signed;
use super::typed::plain;
use crate::book::next_typical;
use crate::desk::close::{Ending, RowHours};
use crate::job::{ChangeKind, Job, Quote, TaxOn};
use crate::measure::Money;
use crate::pricing::{agreed, change_price};

/// A row counts as moved from this share of its rate on.
const MOVED: f64 = 0.05;

/// Lines of a quote that are paid for hours on the job, trips apart.
const HOURS: [&str; 4] = ["labor", "set-up", "helper", "hours after hours, the extra"];
/// Lines that are no direct cost.
const ABOVE: [&str; 5] = ["contingency", "overhead", "profit", "tax", "rounding"];

/// What the job came to, in cents before tax but for the price agreed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Came {
    /// The quote given last, tax in it.
    pub quoted: Money,
    /// With the changes since, tax in it.
    pub agreed: Money,
    /// The last payment, while something is not written up as finished.
    pub open: Money,
    /// Price less labor, trips and material: as quoted and agreed.
    pub expected: Money,
    /// With the hours written up.
    pub had: Money,
    /// The price agreed before tax.
    pub net: Money,
}

fn sum(q: &Quote, of: impl Fn(&str) -> bool) -> i64 {
    q.lines.iter().filter(|l| of(&l.what)).map(|l| l.cents).sum()
}

/// What the hours written up cost: each hour at the cost of who worked it, of the first of the crew where nobody is named.
fn hours_cost(job: &Job) -> i64 {
    let of = |id: &String| job.crew.iter().find(|p| p.id == *id).map_or(0.0, |p| p.cost);
    let first = job.crew.first().map_or(0.0, |p| p.cost);
    let one = |w: &crate::job::Worked| {
        let each: f64 = if w.who.is_empty() { first } else { w.who.iter().map(of).sum() };
        w.hours * each
    };
    let dollars: f64 = job.log.iter().flat_map(|d| &d.steps).map(one).sum();
    Money::from_dollars(dollars).0
}

/// What a job came to; none where no quote with its lines was kept.
pub fn came(e: &Ending) -> Option<Came> {
    let job = &e.sound.job;
    let quote = job.quote().filter(|q| !q.lines.is_empty())?;
    let total = agreed(job)?;
    let since = || job.changes_since_quote().iter();
    let untaxed = |m: Money| match job.price.tax_on {
        TaxOn::Price => Money(libm::round(m.0 as f64 / (1.0 + job.price.tax)) as i64),
        TaxOn::Materials => m,
    };
    let added: i64 = since().filter_map(|c| change_price(job, c)).map(|m| untaxed(m).0).sum();
    let net = quote.cents - sum(quote, |w| w == "tax") + added;
    // Work done again is in no estimate.
    let scope = || since().filter(|c| c.kind == ChangeKind::Scope);
    let change_hours: i64 = scope().filter_map(|c| c.dollars).map(|d| Money::from_dollars(d).0).sum();
    let material: i64 = scope().filter_map(|c| c.material).sum();
    let hours = sum(quote, |w| HOURS.contains(&w)) + change_hours;
    let rest = sum(quote, |w| !HOURS.contains(&w) && !ABOVE.contains(&w)) + material;
    let last = quote.payments.last().map_or(0, |p| p.cents);
    Some(Came {
        quoted: quote.price(),
        agreed: total,
        open: Money(if e.undone.is_empty() { 0 } else { last }),
        expected: Money(net - hours - rest),
        had: Money(net - hours_cost(job) - rest),
        net: Money(net),
    })
}

/// The same in three lines: captions with their figures. One line where no quote was kept.
pub fn money_lines(e: &Ending) -> Vec<(&'static str, String)> {
    let Some(c) = came(e) else {
        return vec![("price agreed", "not known: no quote was kept".into())];
    };
    let more = c.agreed - c.quoted;
    let of = match more {
        Money(0) => String::new(),
        m => format!(": {} quoted, {} agreed since", c.quoted, signed(m)),
    };
    let due = match c.open {
        Money(0) => format!("{}, all of it; what was paid is not written up here", c.agreed),
        m => format!("{}; the last payment, {m}, once everything is written up as finished", c.agreed - m),
    };
    let share = |m: Money| percent(m.0 as f64 / c.net.0.max(1) as f64);
    let left = format!(
        "{} ({}) expected, {} ({}) had by the hours written up; material and trips as counted",
        c.expected,
        share(c.expected),
        c.had,
        share(c.had)
    );
    vec![("price agreed", format!("{}{of}", c.agreed)), ("due by now", due), ("over labor and material", left)]
}

/// The money with stable names, cents; null where no quote was kept.
pub fn money_json(e: &Ending) -> Value {
    let one = |c: Came| {
        json!({"quoted_cents": c.quoted.0, "agreed_cents": c.agreed.0, "due_cents": c.agreed.0 - c.open.0,
            "before_tax_cents": c.net.0, "left_expected_cents": c.expected.0, "left_had_cents": c.had.0})
    };
    came(e).map_or(Value::Null, one)
}

/// Rates of a closed job: those that moved as a table, the rest in a line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rates {
    /// Row with its unit, this job, before, what the book makes of it.
    pub moved: Vec<[String; 4]>,
    /// Rows that showed what they had; empty where there are none.
    pub rest: String,
}

fn moved(r: &RowHours) -> bool {
    r.asked || (r.shown / r.rate.typ - 1.0).abs() >= MOVED
}

/// The rates a job showed, by their plain names.
pub fn rates(e: &Ending) -> Rates {
    let units = e.sound.job.units;
    let name = |r: &RowHours| if r.rate.name.is_empty() { r.rate.id.clone() } else { r.rate.name.clone() };
    let row = |r: &RowHours| {
        let (unit, times) = rate_unit(units, r.rate.unit);
        let next = match r.asked {
            true => "asks before it counts: far outside".to_string(),
            false => plain(three(next_typical(r.rate.typ, r.rate.jobs, r.shown) * times)),
        };
        [
            format!("{}, h {}", capital(&name(r)), a(unit)),
            format!("{} over {}", plain(three(r.shown * times)), units_of(three(r.quantity / times), unit)),
            format!("{}, {}", plain_range(units, &r.rate), whose(&r.rate)),
            next,
        ]
    };
    let (far, near): (Vec<&RowHours>, Vec<&RowHours>) = e.rows.iter().partition(|r| moved(r));
    let rest = match near.as_slice() {
        [] => String::new(),
        all => format!(
            "As before, within {}: {}.",
            percent(MOVED),
            all.iter().map(|r| name(r)).collect::<Vec<_>>().join("; ")
        ),
    };
    Rates { moved: far.into_iter().map(row).collect(), rest }
}
