//! What a sample says and how well it is known: quantiles, shares, means, each with its
//! 95 % interval.
//!
//! The intervals are those of plain independent trials. Trials from complete Latin hypercube
//! blocks vary less, so they are at least 95 % intervals.

use super::normal;

/// `z` of a two-sided 95 % interval.
pub const Z95: f64 = 1.959_963_984_540_054;

/// Rank (from 1) of the `p` quantile in a sample of `n`: the smallest value with at least
/// share `p` of the sample at or below it (definition 1 of Hyndman and Fan, *The American
/// Statistician* 50 (1996) 361-365). Always a value that was drawn. 0 for an empty sample.
pub fn rank(n: usize, p: f64) -> usize {
    // A hair less, so that 0.55 of 100 is 55 and not 56.
    (libm::ceil(n as f64 * p - 1e-9) as usize).clamp(1.min(n), n)
}

/// The `p` quantile of a sorted sample, by [`rank`]; `None` of an empty one.
pub fn quantile<T: Copy>(sorted: &[T], p: f64) -> Option<T> {
    sorted.get(rank(sorted.len(), p).checked_sub(1)?).copied()
}

/// Ranks (from 1) between which the true `p` quantile lies with at least 95 % chance, from
/// the exact binomial: at most 2.5 % that it lies below the lower one, at most 2.5 % that it
/// lies above the upper (W. J. Conover, *Practical Nonparametric Statistics*, section 3.2;
/// from memory). `None` where the sample is too small to say.
pub fn quantile_ranks(n: usize, p: f64) -> Option<(usize, usize)> {
    if n == 0 || !(p > 0.0 && p < 1.0) {
        return None;
    }
    // With B ~ binomial(n, p) drawn below the quantile: lower rank l if P(B < l) <= 2.5 %,
    // upper rank u if P(B >= u) <= 2.5 %.
    let (lp, lq) = (libm::log(p), libm::log1p(-p));
    let nf = n as f64;
    let ln_n = libm::lgamma(nf + 1.0);
    let chance = |k: usize| {
        let k = k as f64;
        libm::exp(ln_n - libm::lgamma(k + 1.0) - libm::lgamma(nf - k + 1.0) + k * lp + (nf - k) * lq)
    };
    // Twelve sigmas off the mean nothing is left to count.
    let wide = 12.0 * libm::sqrt(nf * p * (1.0 - p)) + 30.0;
    let (mut below, mut l) = (0.0, (nf * p - wide).max(0.0) as usize);
    loop {
        below += chance(l);
        if below > 0.025 {
            break;
        }
        l += 1;
    }
    let (mut above, mut u) = (0.0, ((nf * p + wide) as usize).min(n));
    loop {
        above += chance(u);
        if above > 0.025 {
            break;
        }
        u -= 1;
    }
    u += 1;
    (l >= 1 && u <= n).then_some((l, u))
}

/// A value with the ends of its interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval<T> {
    pub value: T,
    pub low: T,
    pub high: T,
}

/// The `p` quantile of a sorted sample with its 95 % interval; where the sample is too small
/// for one, its ends are the least and the greatest value. `None` of an empty sample.
pub fn quantile_interval<T: Copy>(sorted: &[T], p: f64) -> Option<Interval<T>> {
    let value = quantile(sorted, p)?;
    let (l, u) = quantile_ranks(sorted.len(), p).unwrap_or((1, sorted.len()));
    Some(Interval { value, low: sorted[l - 1], high: sorted[u - 1] })
}

/// The share `hits` of `n` with its 95 % interval by E. B. Wilson (*Journal of the American
/// Statistical Association* 22 (1927) 209-212): honest at 0 and at all. 0 to 1 of nothing.
pub fn share(hits: usize, n: usize) -> Interval<f64> {
    if n == 0 {
        return Interval { value: 0.0, low: 0.0, high: 1.0 };
    }
    let (k, n) = (hits.min(n) as f64, n as f64);
    let p = k / n;
    let z2 = Z95 * Z95;
    let mid = (p + z2 / (2.0 * n)) / (1.0 + z2 / n);
    let half = Z95 / (1.0 + z2 / n) * libm::sqrt(p * (1.0 - p) / n + z2 / (4.0 * n * n));
    // Rounding must not leave a chance outside its own interval.
    Interval { value: p, low: (mid - half).clamp(0.0, p), high: (mid + half).clamp(p, 1.0) }
}

/// Standard error of a share.
pub fn share_error(p: f64, n: usize) -> f64 {
    if n == 0 { 0.0 } else { libm::sqrt((p * (1.0 - p)).max(0.0) / n as f64) }
}

/// Mean, standard deviation and standard error of the mean.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Moments {
    pub n: usize,
    pub mean: f64,
    /// Over `n - 1`; 0 of fewer than two values.
    pub sd: f64,
}

impl Moments {
    /// Of values in their order (the order of summing is part of the answer). Two passes:
    /// the mean, then squares about it.
    pub fn of(values: impl Iterator<Item = f64> + Clone) -> Moments {
        let (mut n, mut sum) = (0usize, 0.0);
        for x in values.clone() {
            n += 1;
            sum += x;
        }
        if n == 0 {
            return Moments::default();
        }
        let mean = sum / n as f64;
        let squares: f64 = values.map(|x| (x - mean) * (x - mean)).sum();
        Moments { n, mean, sd: if n > 1 { libm::sqrt(squares / (n - 1) as f64) } else { 0.0 } }
    }

    /// Standard error of the mean.
    pub fn error(&self) -> f64 {
        if self.n == 0 { 0.0 } else { self.sd / libm::sqrt(self.n as f64) }
    }

    /// The mean with its 95 % interval.
    pub fn interval(&self) -> Interval<f64> {
        let half = Z95 * self.error();
        Interval { value: self.mean, low: self.mean - half, high: self.mean + half }
    }
}

/// Standard error of the `p` quantile of `n` draws from a normal distribution with `sd`.
pub fn normal_quantile_error(p: f64, sd: f64, n: usize) -> f64 {
    let slope = normal::density(normal::inverse(p));
    if n == 0 || slope <= 0.0 { 0.0 } else { sd * libm::sqrt(p * (1.0 - p)) / slope / libm::sqrt(n as f64) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranks_and_quantiles_of_small_samples() {
        let v = [1, 2, 3, 4, 5];
        assert_eq!(quantile(&v, 0.5), Some(3));
        assert_eq!(quantile(&v, 0.8), Some(4));
        assert_eq!(quantile(&v, 0.81), Some(5));
        assert_eq!((quantile(&v, 0.0), quantile(&v, 1.0)), (Some(1), Some(5)));
        assert_eq!(quantile::<i64>(&[], 0.5), None);
        assert_eq!(rank(100, 0.55), 55);
        // Five values hold the median with 1 - 2/32 = 93.75 %: too few; six with 96.9 %.
        assert_eq!(quantile_ranks(5, 0.5), None);
        assert_eq!(quantile_ranks(6, 0.5), Some((1, 6)));
        assert_eq!(quantile_interval(&v, 0.5), Some(Interval { value: 3, low: 1, high: 5 }));
        assert_eq!(quantile_ranks(0, 0.5), None);
        assert_eq!(quantile_ranks(100, 1.0), None);
    }

    #[test]
    fn shares_stay_honest_at_the_ends() {
        // Wilson's interval of 0 in n is 0 .. z^2 / (n + z^2): under 0.2 % of 2,000 and
        // under 0.1 % of 10,000.
        assert!((share(0, 2_000).high - 0.001_917).abs() < 1e-6);
        assert!(share(0, 10_000).high < 0.001);
        assert_eq!((share(0, 500).low, share(500, 500).high), (0.0, 1.0));
        // 15 of 20: 0.5313 .. 0.8881 (computed by hand from the formula).
        let s = share(15, 20);
        assert!((s.low - 0.5313).abs() < 5e-5 && (s.high - 0.8881).abs() < 5e-5, "{s:?}");
        assert_eq!(share(3, 0).high, 1.0);
    }

    #[test]
    fn moments() {
        let m = Moments::of([2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0].into_iter());
        assert!((m.mean - 5.0).abs() < 1e-15 && (m.sd * m.sd - 32.0 / 7.0).abs() < 1e-12);
        assert!((m.error() - m.sd / libm::sqrt(8.0)).abs() < 1e-15);
        assert_eq!(Moments::of(std::iter::empty()), Moments::default());
        assert_eq!(Moments::of([3.0].into_iter()).sd, 0.0);
    }
}
