//! What chance makes of a price: the hands' cost trial by trial, contingency, chance of losing
//! money, what is left on the average.
//!
//! Hours and finish come from the same trials, so a long job is dear and late together. A trial
//! loses money where the hands, what is bought, the allowances, the overhead as priced and the
//! days late together cost more than the price before tax. Confidence and prices read the stored
//! trials again and never run them.

use super::hands::rate;
use crate::clock::At;
use crate::forecast::Forecast;
use crate::forecast::last_day;
use crate::forecast::stats::{self, Interval, Moments};
use crate::job::Job;
use crate::measure::Money;

/// What days past the client's day cost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Late {
    /// A calendar day.
    pub per_day: Money,
    /// Calendar days late on the average of all trials, those in time among them.
    pub days: f64,
    pub expected: Money,
}

/// Odds of a price.
#[derive(Clone, Debug, PartialEq)]
pub struct Odds {
    pub trials: usize,
    /// Chance of losing money at this price, with its 95 % interval.
    pub loss: Interval<f64>,
    /// Profit left on the average, and as a share of the price before tax.
    pub expected_profit: Money,
    pub expected_margin: f64,
    /// What the hands cost: half of the trials stay below, and those of the contingency's chance.
    pub hands_half: Money,
    pub hands_high: Money,
    /// Paid hours of all hands at the contingency's chance.
    pub hours_high: f64,
    pub late: Option<Late>,
}

/// What the hands cost in each trial, cents.
pub(super) fn hands_cost(job: &Job, f: &Forecast) -> Vec<i64> {
    let mut worth = vec![0i64; f.finish.len()];
    for ((p, paid), over) in job.crew.iter().zip(&f.paid).zip(&f.overtime) {
        let cents = rate(p.cost);
        let more = libm::round(cents as f64 * job.price.overtime) as i64;
        for ((w, m), o) in worth.iter_mut().zip(paid).zip(over) {
            *w += i64::from(*m) * cents + i64::from(*o) * more;
        }
    }
    worth.iter().map(|w| (w + 30).div_euclid(60)).collect()
}

fn quantile(values: &[i64], p: f64) -> Option<i64> {
    let mut sorted = values.to_vec();
    sorted.sort_unstable();
    stats::quantile(&sorted, p)
}

/// What the hands' cost at a chance has over the typical one; nothing at chance 0.
pub(super) fn contingency(hands: &[i64], typical: Money, chance: f64) -> Money {
    if chance <= 0.0 {
        return Money(0);
    }
    Money(quantile(hands, chance).map_or(0, |q| (q - typical.0).max(0)))
}

/// Odds of a price before tax, `fixed` being what does not hang on the hands.
pub(super) fn odds(job: &Job, f: &Forecast, hands: &[i64], fixed: Money, before_tax: Money) -> Odds {
    let chance = if job.price.contingency > 0.0 { job.price.contingency } else { job.confidence };
    let per_day = Money::from_dollars(job.price.late_day.unwrap_or(0.0));
    let day = job.target.map(|t| job.day_of(t.day));
    let late: Vec<i64> = f.finish.iter().map(|&x| day.map_or(0, |d| (last_day(At(x)) - d).max(0))).collect();
    let left: Vec<i64> =
        hands.iter().zip(&late).map(|(h, l)| before_tax.0 - fixed.0 - h - l.saturating_mul(per_day.0)).collect();
    let lost = left.iter().filter(|l| **l < 0).count();
    let expected = Moments::of(left.iter().map(|&l| l as f64)).mean;
    let total: Vec<i64> =
        (0..hands.len()).map(|t| f.paid.iter().map(|p| p.get(t).map_or(0, |m| i64::from(*m))).sum()).collect();
    let days = Moments::of(late.iter().map(|&l| l as f64)).mean;
    Odds {
        trials: hands.len(),
        loss: stats::share(lost, hands.len().max(1)),
        expected_profit: Money(libm::round(expected) as i64),
        expected_margin: if before_tax.0 > 0 { expected / before_tax.0 as f64 } else { 0.0 },
        hands_half: Money(quantile(hands, 0.5).unwrap_or(0)),
        hands_high: Money(quantile(hands, chance).unwrap_or(0)),
        hours_high: quantile(&total, chance).unwrap_or(0) as f64 / 60.0,
        late: (per_day.0 > 0 && day.is_some()).then(|| Late {
            per_day,
            days,
            expected: Money(libm::round(days * per_day.0 as f64) as i64),
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn contingency_grows_with_its_chance_and_is_never_below_nothing() {
        let hands: Vec<i64> = (1..=100).map(|i| i * 100).collect();
        // Eighty of a hundred trials stay at or below 8,000 cents.
        assert_eq!(contingency(&hands, Money(5_000), 0.8), Money(3_000));
        assert_eq!(contingency(&hands, Money(50_000), 0.8), Money(0));
        assert_eq!(contingency(&hands, Money(0), 0.0), Money(0));
        let all: Vec<i64> = (50..100).map(|c| contingency(&hands, Money(5_000), f64::from(c) / 100.0).0).collect();
        assert!(all.windows(2).all(|w| w[0] <= w[1]) && all[0] < all[49]);
    }
}
