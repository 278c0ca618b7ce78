//! Hours and materials to a price, and what chance makes of it.
//!
//! Direct cost is what the hands are paid (each at what his hour costs, burden in), what is bought
//! with its waste, and the allowances. Contingency is one line, chosen by a chance from the trials
//! of the forecast: the hands' cost that chance stays below, less the typical one. Overhead is a
//! share of direct cost and contingency; profit a share of the price before tax, so
//! `price = cost / (1 - margin)` and the markup on that cost is `margin / (1 - margin)`.
//!
//! Money in whole cents throughout, each line rounded once and the lines summing to the price.
//! Minutes paid come from the plan and the trials: trips, picking up and hours after hours with
//! them. What a trial buys again is not counted. It refuses to know words and screens.

mod change;
mod hands;
mod odds;
mod payments;

pub use change::{Difference, Moved, agreed, change_price, charged, difference};
pub use hands::{Paid, paid};
pub use odds::{Late, Odds};
pub use payments::{Due, Instalment, instalments};

use crate::buying::Buying;
use crate::forecast::Forecast;
use crate::job::{Job, PriceTerms, TaxOn};
use crate::measure::{LaborHours, Money};
use crate::schedule::{Net, Plan};
use crate::trade::Supplier;

/// What a line of a price is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    Labor,
    SetUp,
    Trips,
    Helper,
    /// What hours after hours cost more.
    Overtime,
    Materials(Supplier),
    /// By its place in the job's list.
    Allowance(usize),
    Contingency,
    Overhead,
    Profit,
    /// Up to whole dollars.
    Rounding,
    Tax,
}

/// A line of a price.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    pub kind: Kind,
    pub amount: Money,
    /// Paid hours behind it, of one person.
    pub hours: Option<LaborHours>,
    /// The share it is of what stands in its rule: overhead of cost, profit of price, tax, waste.
    pub share: Option<f64>,
}

/// A price with everything it is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Price {
    /// Lines that come to nothing are left out; the rest sum to `total` exactly.
    pub lines: Vec<Line>,
    /// Labor, set-up, trips, helper, overtime, materials, allowances.
    pub direct: Money,
    pub contingency: Money,
    pub overhead: Money,
    pub profit: Money,
    pub before_tax: Money,
    pub tax: Money,
    pub total: Money,
    /// Profit as a share of the price before tax, as agreed, and the same as a share of cost.
    pub margin: f64,
    pub markup: f64,
    /// Share of the price before tax that is not direct cost.
    pub gross_margin: f64,
    /// Paid minutes of all hands, everything typical.
    pub minutes: i64,
    pub paid: Paid,
    pub odds: Odds,
    pub payments: Vec<Instalment>,
}

impl Price {
    /// Whether it counts everything that is paid: there is a cost, and everybody who works has one.
    pub fn trusted(&self, job: &Job) -> bool {
        self.direct.0 > 0 && job.crew.iter().zip(&self.paid.minutes).all(|(p, m)| *m == 0 || p.cost > 0.0)
    }

    /// A line's amount; nothing where there is none.
    pub fn of(&self, kind: Kind) -> Money {
        self.lines.iter().find(|l| l.kind == kind).map_or(Money(0), |l| l.amount)
    }
}

/// Markup on cost that gives a margin on price, 0 to below 1: `m / (1 - m)`.
pub fn markup(margin: f64) -> f64 {
    margin / (1.0 - margin)
}

/// Margin on price that a markup on cost gives, 0 or more: `k / (1 + k)`.
pub fn margin(markup: f64) -> f64 {
    markup / (1.0 + markup)
}

/// Price in whole cents of a cost at a margin: `cost / (1 - margin)`.
pub fn at_margin(cost: Money, margin: f64) -> Money {
    Money(libm::round(cost.0 as f64 / (1.0 - margin.clamp(0.0, 0.99))) as i64)
}

/// A share of an amount, whole cents.
pub fn share_of(amount: Money, share: f64) -> Money {
    Money(libm::round(amount.0 as f64 * share) as i64)
}

/// What rounds a price up to whole dollars where that is agreed, and the tax that is then in it: tax on the price is
/// taken of what is added too, so that their sum is round.
fn rounded(terms: &PriceTerms, before_tax: Money, tax: Money) -> (Money, Money) {
    let exact = before_tax + tax;
    let Some(step) = terms.round_up.map(|d| i64::from(d) * 100).filter(|s| *s > 0 && exact.0 > 0) else {
        return (Money(0), tax);
    };
    let up = (exact.0 + step - 1) / step * step;
    if up == exact.0 {
        return (Money(0), tax);
    }
    let tax = match terms.tax_on {
        TaxOn::Price => libm::round(up as f64 * terms.tax / (1.0 + terms.tax)) as i64,
        TaxOn::Materials => tax.0,
    };
    // A cent of the tax may be taken twice.
    let rounding = (up - tax - before_tax.0).max(0);
    (Money(rounding), Money(up - rounding - before_tax.0))
}

/// The price of a plan with its odds.
pub fn price(job: &Job, net: &Net, plan: &Plan, f: &Forecast, buying: &Buying) -> Price {
    let terms = &job.price;
    let paid = paid(job, net, plan);
    let mut lines = paid.lines();
    for supplier in Supplier::ALL {
        let amount = buying.cost_of(supplier);
        lines.push(Line { kind: Kind::Materials(supplier), amount, hours: None, share: None });
    }
    for (i, a) in terms.allowances.iter().enumerate() {
        let amount = Money::from_dollars(a.dollars);
        lines.push(Line { kind: Kind::Allowance(i), amount, hours: None, share: None });
    }
    let direct: Money = lines.iter().map(|l| l.amount).sum();
    let materials = buying.cost();
    let hands = odds::hands_cost(job, f);
    let contingency = odds::contingency(&hands, paid.cost(), terms.contingency);
    let overhead = share_of(direct + contingency, terms.overhead);
    let cost = direct + contingency + overhead;
    let before_tax = at_margin(cost, terms.margin);
    let profit = before_tax - cost;
    let tax = match terms.tax_on {
        TaxOn::Price => share_of(before_tax, terms.tax),
        TaxOn::Materials => share_of(materials, terms.tax),
    };
    let (rounding, tax) = rounded(terms, before_tax, tax);
    let before_tax = before_tax + rounding;
    let total = before_tax + tax;
    let line = |kind, amount, share| Line { kind, amount, hours: None, share: Some(share) };
    lines.push(line(Kind::Contingency, contingency, terms.contingency));
    lines.push(line(Kind::Overhead, overhead, terms.overhead));
    lines.push(line(Kind::Profit, profit, terms.margin));
    lines.push(Line { kind: Kind::Rounding, amount: rounding, hours: None, share: None });
    lines.push(line(Kind::Tax, tax, terms.tax));
    lines.retain(|l| l.amount != Money(0));
    let fixed = direct - paid.cost();
    let odds = odds::odds(job, f, &hands, fixed + overhead, before_tax);
    Price {
        direct,
        contingency,
        overhead,
        profit,
        before_tax,
        tax,
        total,
        margin: terms.margin,
        markup: markup(terms.margin),
        gross_margin: if before_tax.0 > 0 { 1.0 - direct.0 as f64 / before_tax.0 as f64 } else { 0.0 },
        minutes: paid.minutes.iter().sum(),
        payments: instalments(job, net.graph, plan, total),
        paid,
        odds,
        lines,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Markup is margin / (1 - margin): 10 % of price is 11.1 % of cost, 20 is 25, 30 is 42.9, 40 is
    // 66.7 (computed from the formula of every estimating handbook; NAHB's 30.1 % gross margin of
    // 2018 is a 43 % markup).
    #[test]
    fn margins_and_markups() {
        for (m, k) in [(10.0, 11.1), (20.0, 25.0), (30.0, 42.9), (40.0, 66.7), (30.1, 43.1)] {
            assert!((markup(m / 100.0) * 100.0 - k).abs() < 0.05, "{m}");
            assert!((margin(k / 100.0) * 100.0 - m).abs() < 0.05, "{k}");
        }
    }

    // "10 and 10", from memory: a tenth for overhead and a tenth for profit, added 1.20, compounded
    // 1.21 of cost, the latter a gross margin of 17.4 %.
    #[test]
    fn ten_and_ten() {
        let cost = Money(100_000);
        let overhead = share_of(cost, 0.10);
        assert_eq!((cost + overhead + share_of(cost, 0.10)).0, 120_000);
        let price = at_margin(cost + overhead, margin(0.10));
        assert_eq!(price.0, 121_000);
        assert!((1.0 - 100_000.0 / price.0 as f64 - 0.174).abs() < 0.0005);
    }

    // 6 % on the price, by hand: 998.37 and its tax of 59.90 are 1,058.27; up to 25 dollars 1,075.00, of which
    // 1,075 / 1.06 = 1,014.15 is the price and 60.85 the tax.
    #[test]
    fn a_price_is_rounded_up_with_its_tax_and_never_down() {
        let terms = |step, tax_on| PriceTerms { round_up: Some(step), tax: 0.06, tax_on, ..PriceTerms::default() };
        let (before, tax) = (Money(99_837), Money(5_990));
        assert_eq!(rounded(&terms(25, TaxOn::Price), before, tax), (Money(1_578), Money(6_085)));
        assert_eq!(rounded(&terms(25, TaxOn::Materials), before, tax), (Money(1_673), tax));
        assert_eq!(rounded(&PriceTerms::default(), before, tax), (Money(0), tax));
        for cents in (0..40_000).step_by(37) {
            for (step, on) in [(1, TaxOn::Price), (5, TaxOn::Price), (25, TaxOn::Materials)] {
                let before = Money(cents);
                let tax = share_of(before, 0.06);
                let (more, tax_now) = rounded(&terms(step, on), before, tax);
                let sum = (before + more + tax_now).0;
                assert!(more.0 >= 0 && sum >= (before + tax).0 && sum - (before + tax).0 < i64::from(step) * 100);
                assert!(sum % (i64::from(step) * 100) == 0, "{cents} {step} {sum}");
                assert!((tax_now - tax).0.abs() <= i64::from(step) * 6 + 1, "{cents} {step}");
            }
        }
    }

    #[test]
    fn a_higher_margin_never_lowers_the_price() {
        for cost in [0, 1, 99, 12_345, 98_765_432] {
            let all: Vec<i64> = (0..90).map(|m| at_margin(Money(cost), f64::from(m) / 100.0).0).collect();
            assert!(all.windows(2).all(|w| w[0] <= w[1]) && all[0] == cost);
        }
    }
}
