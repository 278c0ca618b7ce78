//! Two forecasts in the same trials: what the one wins over the other.
//!
//! Trial `i` of both is the same world, so differences are far better known than either.

use crate::forecast::stats::{Interval, Moments, Z95, quantile};

/// Trials are cut into so many parts for the error of a quantile's difference.
const PARTS: usize = 20;
/// Two-sided 95 % of Student's t with 19 degrees of freedom (NIST/SEMATECH e-Handbook, 1.3.6.7.2).
const T95: f64 = 2.093;

/// Share of trials that end by `limit` after, less the share before, with its 95 % interval: the
/// trials won and lost are counted one by one (the paired proportions of McNemar, *Psychometrika*
/// 12 (1947) 153-157; Wald interval of their difference).
pub fn gain(before: &[i64], after: &[i64], limit: i64) -> Interval<f64> {
    let n = before.len().min(after.len());
    if n == 0 {
        return Interval { value: 0.0, low: -1.0, high: 1.0 };
    }
    let (mut won, mut lost) = (0.0, 0.0);
    for (b, a) in before.iter().zip(after) {
        match (*b <= limit, *a <= limit) {
            (false, true) => won += 1.0,
            (true, false) => lost += 1.0,
            _ => {}
        }
    }
    let n = n as f64;
    let value = (won - lost) / n;
    // With nothing won and nothing lost three trials may still have been missed (the rule of three).
    let half =
        if won + lost == 0.0 { 3.0 / n } else { Z95 * libm::sqrt((won + lost) / n - value * value) / libm::sqrt(n) };
    Interval { value, low: (value - half).max(-1.0), high: (value + half).min(1.0) }
}

/// The finish 8 in 10 trials reach.
pub fn p80(finish: &[i64]) -> i64 {
    let mut v = finish.to_vec();
    v.sort_unstable();
    quantile(&v, 0.8).unwrap_or(0)
}

/// Working days won at the date 8 in 10 trials reach, with its 95 % interval from the spread
/// between twenty parts of the trials. `days` counts working days up to an instant.
pub fn days_won(before: &[i64], after: &[i64], days: &dyn Fn(i64) -> f64) -> Interval<f64> {
    let n = before.len().min(after.len());
    if n == 0 {
        return Interval { value: 0.0, low: 0.0, high: 0.0 };
    }
    let of = |b: &[i64], a: &[i64]| days(p80(b)) - days(p80(a));
    let value = of(&before[..n], &after[..n]);
    let part = n / PARTS;
    if part < 5 {
        return Interval { value, low: f64::NEG_INFINITY, high: f64::INFINITY };
    }
    let each: Vec<f64> = before[..n].chunks(part).zip(after[..n].chunks(part)).map(|(b, a)| of(b, a)).collect();
    let half = T95 * Moments::of(each.iter().copied()).error();
    Interval { value, low: value - half, high: value + half }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn won_and_lost_trials_are_counted_pair_by_pair() {
        let before = [5, 15, 15, 15, 5, 5, 15, 15, 15, 15];
        let after = [5, 5, 5, 5, 15, 5, 15, 15, 15, 15];
        let g = gain(&before, &after, 10);
        // Three won, one lost: 0.2, error sqrt(0.4 - 0.04) / sqrt(10) = 0.1897 (by hand).
        assert!((g.value - 0.2).abs() < 1e-12 && (g.high - g.value - 1.96 * 0.1897).abs() < 1e-3, "{g:?}");
        let same = gain(&before, &before, 10);
        assert!(same.value == 0.0 && same.low < 0.0 && same.high > 0.0);
        assert_eq!(gain(&[], &[], 10).low, -1.0);
    }

    #[test]
    fn a_day_taken_off_every_trial_is_a_day_won_without_doubt() {
        let before: Vec<i64> = (0..2000).map(|i| 10_000 + (i * 7919) % 5000).collect();
        let after: Vec<i64> = before.iter().map(|f| f - 1440).collect();
        let d = days_won(&before, &after, &|t| t as f64 / 1440.0);
        assert!((d.value - 1.0).abs() < 1e-12 && d.high - d.low < 1e-9, "{d:?}");
        // A win in half of the trials only is less sure.
        let half: Vec<i64> = before.iter().enumerate().map(|(i, f)| f - 1440 * (i as i64 % 2)).collect();
        let d = days_won(&before, &half, &|t| t as f64 / 1440.0);
        assert!(d.low < d.value && d.value < d.high && d.value > 0.0 && d.value < 1.0, "{d:?}");
    }
}
