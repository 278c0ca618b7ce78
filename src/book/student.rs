//! Student's t distribution for whole degrees of freedom: share below `t`, and `t` of a share.
//!
//! The finite series of M. Abramowitz and I. A. Stegun, *Handbook of Mathematical Functions*,
//! 26.7.3 and 26.7.4, through `libm`: the same bytes on every machine, which a library over
//! the standard functions would not give.

use std::f64::consts::{FRAC_2_PI, SQRT_2};

/// Share between `-t` and `t`, `t` at least 0.
fn middle(t: f64, df: u32) -> f64 {
    let n = f64::from(df);
    let angle = libm::atan2(t, libm::sqrt(n));
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    let first = if df % 2 == 1 { cos } else { 1.0 };
    let (mut term, mut sum) = (first, if df == 1 { 0.0 } else { first });
    let mut k = if df % 2 == 1 { 3 } else { 2 };
    while k + 2 <= df {
        term *= cos * cos * f64::from(k - 1) / f64::from(k);
        sum += term;
        k += 2;
    }
    if df % 2 == 1 { FRAC_2_PI * (angle + sin * sum) } else { sin * sum }
}

/// `t` with share `u` (above 0, below 1) below it; `df` at least 1. NaN outside.
///
/// Absolute error below 1e-9 for shares from 1 in 1,000 to 999.
pub fn quantile(u: f64, df: u32) -> f64 {
    if !(u > 0.0 && u < 1.0) || df == 0 {
        return f64::NAN;
    }
    let want = (2.0 * u - 1.0).abs();
    if want == 0.0 {
        return 0.0;
    }
    let (mut lo, mut hi) = (0.0, SQRT_2);
    while middle(hi, df) < want && hi < 1e12 {
        (lo, hi) = (hi, 2.0 * hi);
    }
    for _ in 0..90 {
        let mid = 0.5 * (lo + hi);
        if middle(mid, df) < want { lo = mid } else { hi = mid }
    }
    let t = 0.5 * (lo + hi);
    if u < 0.5 { -t } else { t }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_of_the_printed_tables() {
        // Abramowitz and Stegun, table 26.10 (from memory), three places.
        for (df, u, t) in [
            (1, 0.975, 12.706),
            (2, 0.95, 2.920),
            (3, 0.9, 1.638),
            (4, 0.995, 4.604),
            (9, 0.975, 2.262),
            (10, 0.9, 1.372),
            (30, 0.95, 1.697),
            (120, 0.975, 1.980),
        ] {
            assert!((quantile(u, df) - t).abs() < 5.1e-4, "{df} {u}: {}", quantile(u, df));
            assert!((quantile(1.0 - u, df) + quantile(u, df)).abs() < 1e-9 * t, "{df} {u}");
        }
        assert_eq!(quantile(0.5, 7), 0.0);
    }

    #[test]
    fn closed_forms_of_one_and_two_degrees() {
        // One degree is Cauchy, tan(pi (u - 1/2)); two: (2u - 1) / sqrt(2 u (1 - u)).
        for i in 1..1000 {
            let u = f64::from(i) / 1000.0;
            let cauchy = libm::tan(std::f64::consts::PI * (u - 0.5));
            let two = (2.0 * u - 1.0) / libm::sqrt(2.0 * u * (1.0 - u));
            assert!((quantile(u, 1) - cauchy).abs() < 1e-9 * (1.0 + cauchy * cauchy), "{u}");
            assert!((quantile(u, 2) - two).abs() < 1e-9, "{u}");
        }
        // Many degrees are nearly normal.
        assert!((quantile(0.9, 100_001) - 1.281_551_6).abs() < 2e-5);
        assert!(quantile(0.0, 3).is_nan() && quantile(1.0, 3).is_nan() && quantile(0.4, 0).is_nan());
    }
}
