//! A step that has begun: how much of it is still to come.
//!
//! The score of a step is `m + w e`: `m` what the shared causes of the trial add up to, `e`
//! the step's own chance, standard normal, `w` its weight. What has been learned of the shared
//! causes is in `m` already (see [`super::posterior`]); here only `e` is learned from, so no
//! hour counts twice. Units: labor minutes.
//!
//! It refuses to know which step, which day and who wrote the hours down.

use super::normal::{cdf, inverse};
use super::quantile::Shape;

/// Below this chance that the step takes as long as it has already, the shape no longer says
/// how it will go on (engine rule, judgement).
pub const HARDLY: f64 = 1e-4;
/// What is then still to come at the least, as a share of the hours spent (judgement).
pub const LEAST: f64 = 0.1;

/// The shared part of a step's score in one trial, and the weight of its own chance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Given {
    /// Sum of weight times score of pace, trade and house.
    pub shared: f64,
    /// Weight of the own chance, 0 to 1.
    pub own: f64,
}

/// Chance that a step takes longer than the minutes spent on it, the shared causes given.
pub fn survival(shape: &Shape, given: Given, spent: f64) -> f64 {
    if spent < shape.at(-shape.limit()) {
        return 1.0;
    }
    let z = shape.score(spent);
    if z >= shape.limit() {
        // Every score beyond the clamp gives the same hours.
        return 0.0;
    }
    if given.own > 0.0 {
        cdf(-(z - given.shared) / given.own)
    } else if given.shared > z {
        1.0
    } else {
        0.0
    }
}

/// Minutes still to come of a step on which `spent` have been spent without finishing it.
///
/// `e` is the step's own score of the trial as drawn before anything was known; it is carried
/// over, share for share, to the part of the distribution that is left, so trials stay paired
/// and complete blocks stay complete. Where the chance of so long a step is below [`HARDLY`]:
/// `left_at_rate` (quantity left times the rate as updated by the pace), at least [`LEAST`] of
/// the hours spent.
pub fn after_spent(shape: &Shape, given: Given, e: f64, spent: f64, left_at_rate: f64) -> f64 {
    let spent = if spent > 0.0 { spent } else { 0.0 };
    let alive = survival(shape, given, spent);
    if alive < HARDLY {
        let left = if left_at_rate > 0.0 { left_at_rate } else { 0.0 };
        return left.max(LEAST * spent);
    }
    // Share `cdf(-e)` of what is left lies above: no digits lost in the upper tail.
    let e = if alive < 1.0 { -inverse(alive * cdf(-e)) } else { e };
    (shape.at(given.shared + given.own * e) - spent).max(0.0)
}

/// Minutes still to come of a step of which the share `left` (0 to 1) is still to be done: that
/// share of the whole as drawn. The hours spent on the rest say nothing more here; they count
/// when the step is finished.
pub fn after_quantity(shape: &Shape, given: Given, e: f64, left: f64) -> f64 {
    let left = if left > 0.0 { left.min(1.0) } else { 0.0 };
    left * shape.at(given.shared + given.own * e)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::work::Spread;

    const ALONE: Given = Given { shared: 0.0, own: 1.0 };

    fn shape() -> Shape {
        Shape::new(&Spread::split(200.0, 300.0, 500.0), 1.0, true)
    }

    #[test]
    fn nothing_spent_changes_nothing() {
        let s = shape();
        let g = Given { shared: 0.3, own: 0.8 };
        for e in [-2.5, -1.0, 0.0, 0.4, 2.9] {
            let got = after_spent(&s, g, e, 0.0, 50.0);
            assert!((got - s.at(0.3 + 0.8 * e)).abs() < 1e-9 * got);
            assert_eq!(after_quantity(&s, g, e, 1.0), s.at(0.3 + 0.8 * e));
            assert_eq!(after_quantity(&s, g, e, 0.25), 0.25 * s.at(0.3 + 0.8 * e));
        }
    }

    #[test]
    fn trials_keep_their_order_and_end_after_now() {
        let s = shape();
        for spent in [100.0, 300.0, 700.0] {
            let mut last = 0.0;
            for i in -300..=300 {
                let left = after_spent(&s, ALONE, f64::from(i) * 0.01, spent, 50.0);
                assert!(left >= last && left.is_finite());
                last = left;
            }
            assert!(last > 0.0);
        }
    }

    #[test]
    fn beyond_belief_the_quantity_left_speaks() {
        let s = shape();
        // The clamp is at 300 exp(3 x .3986) = 992 min.
        for spent in [992.5, 5_000.0] {
            assert_eq!(survival(&s, ALONE, spent), 0.0);
            assert_eq!(after_spent(&s, ALONE, 1.0, spent, 700.0), 700.0);
            assert_eq!(after_spent(&s, ALONE, 1.0, spent, 1.0), 0.1 * spent);
            assert_eq!(after_spent(&s, ALONE, 1.0, spent, f64::NAN), 0.1 * spent);
        }
        // A quick day makes long hours hard to believe: 1e-4 is 3.719 sigmas.
        let quick = |own| Given { shared: -1.5, own };
        let z = s.score(900.0);
        assert!((z - 2.756).abs() < 1e-3);
        assert!(survival(&s, quick(1.2), 900.0) > HARDLY && survival(&s, quick(1.1), 900.0) < HARDLY);
        assert_eq!(after_spent(&s, quick(1.1), 0.0, 900.0, 222.0), 222.0);
        // With no chance of its own the step is what its causes say.
        let none = Given { shared: 1.0, own: 0.0 };
        assert!((after_spent(&s, none, 2.0, 100.0, 1.0) - (s.at(1.0) - 100.0)).abs() < 1e-9);
        assert_eq!(after_spent(&s, none, 2.0, 500.0, 1.0), 50.0);
    }

    #[test]
    fn nonsense_is_harmless() {
        let shapes = [shape(), Shape::new(&Spread::fixed(60.0), 1.0, true), Shape::new(&Spread::ZERO, 1.0, true)];
        for s in &shapes {
            for x in [-1.0, 0.0, 59.0, 60.0, 1e12, f64::NAN, f64::INFINITY] {
                for e in [-9.0, 0.0, f64::NAN, f64::INFINITY] {
                    let left = after_spent(s, ALONE, e, x, x);
                    assert!(!left.is_nan() && left >= 0.0, "{x} {e}: {left}");
                    assert!(!after_quantity(s, ALONE, e, x).is_nan());
                }
            }
        }
        // A fixed hour of which half is spent has half left.
        assert_eq!(after_spent(&shapes[1], ALONE, 1.0, 30.0, 9.0), 30.0);
    }
}
