//! What a change of the job does to its price, line by line: for change orders, which state scope,
//! dollars and days even where they are none.

use super::{Kind, Price};
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
