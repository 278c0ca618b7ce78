//! The beta distribution on 0 to 1: share below `x`, and `x` of a share.
//!
//! For the shapes of a beta-PERT (both parameters 1 to 5); absolute error of the share about
//! 1e-14 there.

/// A beta distribution with its constants.
#[derive(Clone, Copy, Debug)]
pub struct Beta {
    a: f64,
    b: f64,
    /// Logarithm of the complete beta function.
    ln_beta: f64,
}

impl Beta {
    /// Both parameters at least 1.
    pub fn new(a: f64, b: f64) -> Beta {
        let (a, b) = (a.max(1.0), b.max(1.0));
        Beta { a, b, ln_beta: libm::lgamma(a) + libm::lgamma(b) - libm::lgamma(a + b) }
    }

    /// The distribution of `1 - x`.
    pub fn mirrored(&self) -> Beta {
        Beta { a: self.b, b: self.a, ln_beta: self.ln_beta }
    }

    fn density(&self, x: f64) -> f64 {
        if x <= 0.0 || x >= 1.0 {
            return 0.0;
        }
        libm::exp((self.a - 1.0) * libm::log(x) + (self.b - 1.0) * libm::log1p(-x) - self.ln_beta)
    }

    /// Share below `x`, the regularised incomplete beta function: the continued fraction of
    /// NIST DLMF 8.17.22, taken from the side on which it converges fast (8.17.4), by the
    /// modified Lentz method (*Numerical Recipes*, section 6.4).
    pub fn cdf(&self, x: f64) -> f64 {
        if x <= 0.0 {
            return 0.0;
        }
        if x >= 1.0 {
            return 1.0;
        }
        if x > (self.a + 1.0) / (self.a + self.b + 2.0) {
            return 1.0 - self.mirrored().fraction(1.0 - x);
        }
        self.fraction(x)
    }

    fn fraction(&self, x: f64) -> f64 {
        const TINY: f64 = 1e-300;
        let away = |v: f64| if v.abs() < TINY { TINY } else { v };
        let (a, b) = (self.a, self.b);
        let mut c = 1.0;
        let mut d = 1.0 / away(1.0 - (a + b) * x / (a + 1.0));
        let mut h = d;
        for m in 1..200 {
            let m = f64::from(m);
            let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
            d = 1.0 / away(1.0 + even * d);
            c = away(1.0 + even / c);
            h *= d * c;
            let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
            d = 1.0 / away(1.0 + odd * d);
            c = away(1.0 + odd / c);
            h *= d * c;
            if (d * c - 1.0).abs() < 1e-15 {
                break;
            }
        }
        libm::exp(a * libm::log(x) + b * libm::log1p(-x) - self.ln_beta) / a * h
    }

    /// `x` with share `u` below it: Newton's steps from `guess`, halving the bracket
    /// whenever one leaves it.
    pub fn inverse(&self, u: f64, guess: f64) -> f64 {
        if u <= 0.0 {
            return 0.0;
        }
        if u >= 1.0 {
            return 1.0;
        }
        let (mut lo, mut hi) = (0.0, 1.0);
        let mut x = if guess > 0.0 && guess < 1.0 { guess } else { 0.5 };
        for _ in 0..100 {
            let over = self.cdf(x) - u;
            if over > 0.0 {
                hi = x
            } else {
                lo = x
            }
            let slope = self.density(x);
            let mut next = if slope > 0.0 { x - over / slope } else { f64::NAN };
            // Also true of NaN.
            if !(next > lo && next < hi) {
                next = 0.5 * (lo + hi);
            }
            let moved = (next - x).abs();
            x = next;
            if moved <= 1e-14 || hi - lo <= 1e-15 {
                break;
            }
        }
        x
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_of_whole_parameters_are_polynomials() {
        // I_x(2,3) = 6x^2 - 8x^3 + 3x^4; I_x(1,b) = 1 - (1-x)^b; I_x(a,1) = x^a (DLMF 8.17).
        for i in 0..=200 {
            let x = f64::from(i) / 200.0;
            let p = 6.0 * x * x - 8.0 * x * x * x + 3.0 * x * x * x * x;
            assert!((Beta::new(2.0, 3.0).cdf(x) - p).abs() < 1e-14, "{x}");
            assert!((Beta::new(1.0, 5.0).cdf(x) - (1.0 - libm::pow(1.0 - x, 5.0))).abs() < 1e-14, "{x}");
            assert!((Beta::new(4.5, 1.0).cdf(x) - libm::pow(x, 4.5)).abs() < 1e-14, "{x}");
        }
    }

    #[test]
    fn inverse_undoes_the_share_from_any_guess() {
        for (a, b) in [(1.0, 5.0), (5.0, 1.0), (1.8, 4.2), (3.0, 3.0), (1.5, 4.5)] {
            let d = Beta::new(a, b);
            for i in 1..200 {
                let u = f64::from(i) / 200.0;
                for guess in [0.5, 1e-9, 0.999, f64::NAN, -1.0] {
                    assert!((d.cdf(d.inverse(u, guess)) - u).abs() < 1e-13, "{a} {b} {u}");
                }
            }
            assert_eq!((d.inverse(0.0, 0.3), d.inverse(1.0, 0.3)), (0.0, 1.0));
            assert!(d.cdf(d.inverse(1e-12, 0.5)) < 2e-12);
        }
    }
}
