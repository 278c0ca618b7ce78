//! What a change of the job does to its price, line by line: for change orders, which state scope,
//! dollars and days even where they are none.

use super::{Kind, Price, at_margin, share_of};
use crate::job::{ChangeKind, ChangeOrder, Job, PriceTerms, TaxOn};
use crate::measure::Money;

/// A line that differs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moved {
    pub kind: Kind,
    pub before: Money,
    pub after: Money,
}

/// One price against another.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// Lines that differ, in the order of a price; they sum to `total`.
    pub lines: Vec<Moved>,
    /// Price with tax, after less before.
    pub total: Money,
    /// Paid minutes of all hands, everything typical.
    pub minutes: i64,
}

/// What makes `after` another price than `before`.
pub fn difference(before: &Price, after: &Price) -> Difference {
    let mut kinds: Vec<Kind> = before.lines.iter().chain(&after.lines).map(|l| l.kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let moved = |kind| Moved { kind, before: before.of(kind), after: after.of(kind) };
    Difference {
        lines: kinds.into_iter().map(moved).filter(|m| m.before != m.after).collect(),
        total: after.total - before.total,
        minutes: after.minutes - before.minutes,
    }
}

/// What a client pays for work that costs so much, at the terms of the job: overhead on the cost,
/// the margin on the price, tax where it is on the price. No contingency and no materials are in it.
/// Below 0 where work is left out.
pub fn charged(terms: &PriceTerms, cost: Money) -> Money {
    let before_tax = at_margin(cost + share_of(cost, terms.overhead), terms.margin);
    match terms.tax_on {
        TaxOn::Price => before_tax + share_of(before_tax, terms.tax),
        TaxOn::Materials => before_tax,
    }
}

/// What the client pays for a change, tax in it, below 0 where he pays less: as agreed, else of a record that does not
/// say it its cost at the terms of today; nothing for work done again. None where no hour had a cost.
pub fn change_price(job: &Job, order: &ChangeOrder) -> Option<Money> {
    match order.kind {
        ChangeKind::Redo => Some(Money(0)),
        ChangeKind::Scope => {
            order.cents.map(Money).or(order.dollars.map(|d| charged(&job.price, Money::from_dollars(d))))
        }
    }
}

/// The price agreed so far: the quote given last with the changes since. None where no quote was given.
pub fn agreed(job: &Job) -> Option<Money> {
    let since = job.changes_since_quote().iter().filter_map(|c| change_price(job, c));
    Some(Money(since.fold(job.quote()?.cents, |sum, m| sum.saturating_add(m.0))))
}

#[cfg(test)]
mod tests {
    use super::*;

    // "10 and 10" compounded is 1.21 of cost (from memory); 5 % tax on it is 1.2705.
    #[test]
    fn a_change_is_charged_as_the_job_is() {
        let margin = 0.10 / 1.10;
        let terms = PriceTerms { overhead: 0.10, margin, tax: 0.05, tax_on: TaxOn::Price, ..PriceTerms::default() };
        assert_eq!(charged(&terms, Money(100_000)), Money(127_050));
        assert_eq!(charged(&terms, Money(-100_000)), Money(-127_050));
        assert_eq!(charged(&PriceTerms { tax_on: TaxOn::Materials, ..terms }, Money(100_000)), Money(121_000));
    }
}
