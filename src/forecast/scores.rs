//! How good forecasts have been: scores of chances, dates and whole samples against what came.
//!
//! Lower is better. A score of a handful of jobs says little; [`plausible_hits`] says how
//! little.

/// Mean squared distance of chances (0 to 1) from what came: 0 is perfect, .25 is a coin
/// (G. W. Brier, *Monthly Weather Review* 78 (1950) 1-3). `None` of nothing.
pub fn brier(chances: &[(f64, bool)]) -> Option<f64> {
    let sum: f64 = chances.iter().map(|&(p, came)| if came { (1.0 - p) * (1.0 - p) } else { p * p }).sum();
    (!chances.is_empty()).then(|| sum / chances.len() as f64)
}

/// Loss of a date `q` given as the `p` quantile when `y` came, in the unit of both: being too
/// early costs `p` a unit, too late `1 - p` (R. Koenker and G. Bassett, *Econometrica* 46
/// (1978) 33-50).
pub fn pinball(p: f64, q: f64, y: f64) -> f64 {
    if y >= q { p * (y - q) } else { (1.0 - p) * (q - y) }
}

/// Continuous ranked probability score of a sample when `y` came, in its unit: mean distance
/// from `y` less half the mean distance of two draws (T. Gneiting and A. E. Raftery, *Journal
/// of the American Statistical Association* 102 (2007) 359-378). `None` of an empty sample.
pub fn crps(sample: &[f64], y: f64) -> Option<f64> {
    if sample.is_empty() {
        return None;
    }
    let n = sample.len() as f64;
    let mut x = sample.to_vec();
    x.sort_by(f64::total_cmp);
    let off: f64 = x.iter().map(|v| (v - y).abs()).sum::<f64>() / n;
    // Sorted, the sum over pairs is one pass: each value counts against its rank.
    let pairs: f64 = x.iter().enumerate().map(|(i, v)| (2.0 * i as f64 + 1.0 - n) * v).sum();
    Some(off - pairs / (n * n))
}

/// How many of `jobs` dates of chance `p` may hold for the forecasts to be believed: the middle
/// of the binomial, at most 2.5 % below and at most 2.5 % above.
pub fn plausible_hits(jobs: usize, p: f64) -> (usize, usize) {
    if !(p > 0.0 && p < 1.0) {
        let all = if p >= 1.0 { jobs } else { 0 };
        return (all, all);
    }
    let n = jobs as f64;
    let (lp, lq) = (libm::log(p), libm::log1p(-p));
    let whole = libm::lgamma(n + 1.0);
    let chance = |k: usize| {
        let k = k as f64;
        libm::exp(whole - libm::lgamma(k + 1.0) - libm::lgamma(n - k + 1.0) + k * lp + (n - k) * lq)
    };
    let (mut below, mut low) = (chance(0), 0);
    while below <= 0.025 && low < jobs {
        low += 1;
        below += chance(low);
    }
    let (mut above, mut high) = (chance(jobs), jobs);
    while above <= 0.025 && high > low {
        high -= 1;
        above += chance(high);
    }
    (low, high)
}
