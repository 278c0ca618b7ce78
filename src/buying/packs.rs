//! The cheapest packages that hold a need.
//!
//! Exact: every count of every size is weighed, in thousandths of a unit. Of equal cost the one
//! that leaves least over, then the fewest packages.

use super::{Bought, cents};
use crate::measure::Money;
use crate::trade::Pack;

/// States weighed at most; a need beyond is met by the size cheapest a unit.
const MOST: i64 = 400_000;

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// Packages of these sizes that together hold `need`, at least cost; none where nothing is needed
/// or sold. Sizes count to the thousandth.
pub fn cheapest(need: f64, packs: &[Pack]) -> Vec<Bought> {
    let size = |p: &Pack| libm::round(p.size * 1000.0) as i64;
    let sold: Vec<&Pack> = packs.iter().filter(|p| size(p) > 0).collect();
    if sold.is_empty() || need <= 1e-9 || !need.is_finite() {
        return Vec::new();
    }
    let step = sold.iter().map(|p| size(p)).fold(0, gcd).max(1);
    let units = libm::ceil((need - 1e-9) * 1000.0 / step as f64) as i64;
    let mut counts = vec![0u32; sold.len()];
    if units > MOST {
        let per = |i: usize| sold[i].price / sold[i].size;
        let best = (0..sold.len()).min_by(|&a, &b| per(a).total_cmp(&per(b))).unwrap_or(0);
        counts[best] = libm::ceil(need / sold[best].size - 1e-9).min(f64::from(u32::MAX)) as u32;
    } else {
        // Of each need: cost, what is held, packages, the last one put in.
        let mut best: Vec<(i64, i64, u32, usize)> = vec![(0, 0, 0, 0)];
        for u in 1..=units {
            let with = |(i, p): (usize, &&Pack)| {
                let n = size(p) / step;
                let rest = best[(u - n).max(0) as usize];
                (rest.0 + cents(p.price).0, rest.1 + n, rest.2 + 1, i)
            };
            best.push(sold.iter().enumerate().map(with).min().unwrap_or_default());
        }
        let mut u = units;
        while u > 0 {
            let i = best[u as usize].3;
            counts[i] += 1;
            u = (u - size(sold[i]) / step).max(0);
        }
    }
    let row = |(p, &count): (&&Pack, &u32)| Bought {
        count,
        size: p.size,
        wide: p.wide,
        price: cents(p.price),
        exact: false,
        spare: 0,
    };
    let mut out: Vec<Bought> = sold.iter().zip(&counts).filter(|x| *x.1 > 0).map(row).collect();
    out.sort_by(|a, b| b.size.total_cmp(&a.size));
    out
}

/// What whole packages that together hold `need` cost at the least: no cutting of as much costs less. Sizes and prices
/// as pairs; nothing where nothing is sold.
pub(super) fn at_least(need: f64, sold: &[(f64, Money)]) -> Money {
    // Rounded up, so that a bound is never too high.
    let up = |size: f64| libm::ceil(size * 1000.0 - 1e-6) / 1000.0;
    let pack = |&(size, price): &(f64, Money)| Pack { size: up(size), wide: 0.0, price: price.dollars() };
    let packs: Vec<Pack> = sold.iter().filter(|s| s.0 > 0.0).map(pack).collect();
    let rate = packs.iter().map(|p| need * p.price * 100.0 / p.size).fold(f64::INFINITY, f64::min);
    let least = packs.iter().map(|p| p.size).fold(f64::INFINITY, f64::min);
    if !rate.is_finite() {
        return Money(0);
    }
    // A need beyond weighing is held to the cheapest unit.
    if need / least > 1000.0 { Money(libm::floor(rate) as i64) } else { cost(&cheapest(need, &packs)) }
}

/// What packages cost.
pub(super) fn cost(packs: &[Bought]) -> Money {
    packs.iter().map(|b| Money(b.price.0 * i64::from(b.count))).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn paint() -> [Pack; 3] {
        [(0.25, 22.0), (1.0, 55.0), (5.0, 240.0)].map(|(size, price)| Pack { size, wide: 0.0, price })
    }

    fn got(need: f64) -> Vec<(u32, f64)> {
        cheapest(need, &paint()).iter().map(|b| (b.count, b.size)).collect()
    }

    #[test]
    fn cans_by_hand() {
        // Two quarts cost 44, a gallon 55: up to half a gallon quarts, then the gallon.
        assert_eq!(got(0.2), [(1, 0.25)]);
        assert_eq!(got(0.5), [(2, 0.25)]);
        assert_eq!(got(0.51), [(1, 1.0)]);
        assert_eq!(got(1.3), [(1, 1.0), (2, 0.25)]);
        // Four gallons and two quarts 264, five gallons in one 240.
        assert_eq!(got(4.4), [(1, 5.0)]);
        // Four gallons 220, still less.
        assert_eq!(got(4.0), [(4, 1.0)]);
        assert_eq!(got(6.0), [(1, 5.0), (1, 1.0)]);
        assert!(got(0.0).is_empty() && cheapest(3.0, &[]).is_empty());
    }

    #[test]
    fn no_other_count_holds_the_need_for_less() {
        for tenths in 1..140 {
            let need = f64::from(tenths) / 10.0;
            let mine = cost(&cheapest(need, &paint()));
            let mut least = i64::MAX;
            for a in 0..60 {
                for b in 0..16 {
                    for c in 0..4 {
                        if f64::from(a) * 0.25 + f64::from(b) + f64::from(c) * 5.0 >= need - 1e-9 {
                            least = least.min(2200 * i64::from(a) + 5500 * i64::from(b) + 24_000 * i64::from(c));
                        }
                    }
                }
            }
            assert_eq!(mine.0, least, "{need}");
        }
    }

    #[test]
    fn a_need_past_all_reason_is_still_met() {
        let many = cheapest(1e9, &paint());
        assert_eq!((many.len(), many[0].size), (1, 5.0));
        assert!(f64::from(many[0].count) * 5.0 >= 1e9);
    }
}
