//! The standard normal distribution: share below `z`, and `z` of a share.
//!
//! Both through `libm`, so the bytes are the same on every machine. Relative error about
//! 1e-15 on the whole range of `f64`.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// `z` of the 90 % point: the distance, in sigmas, of a stated low or high from the middle
/// when one job in ten lies beyond each.
pub const Z90: f64 = 1.281_551_565_544_600_4;

/// Density at `z`.
pub fn density(z: f64) -> f64 {
    libm::exp(-0.5 * z * z) / libm::sqrt(2.0 * PI)
}

/// Share below `z`, 0 to 1.
pub fn cdf(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

fn poly(c: &[f64; 8], x: f64) -> f64 {
    c.iter().rev().fold(0.0, |s, k| s * x + k)
}

#[allow(clippy::excessive_precision, reason = "coefficients as printed in the paper")]
const A: [f64; 8] = [
    3.3871328727963666080,
    1.3314166789178437745e2,
    1.9715909503065514427e3,
    1.3731693765509461125e4,
    4.5921953931549871457e4,
    6.7265770927008700853e4,
    3.3430575583588128105e4,
    2.5090809287301226727e3,
];
#[allow(clippy::excessive_precision, reason = "coefficients as printed in the paper")]
const B: [f64; 8] = [
    1.0,
    4.2313330701600911252e1,
    6.8718700749205790830e2,
    5.3941960214247511077e3,
    2.1213794301586595867e4,
    3.9307895800092710610e4,
    2.8729085735721942674e4,
    5.2264952788528545610e3,
];
#[allow(clippy::excessive_precision, reason = "coefficients as printed in the paper")]
const C: [f64; 8] = [
    1.42343711074968357734,
    4.63033784615654529590,
    5.76949722146069140550,
    3.64784832476320460504,
    1.27045825245236838258,
    2.41780725177450611770e-1,
    2.27238449892691845833e-2,
    7.74545014278341407640e-4,
];
#[allow(clippy::excessive_precision, reason = "coefficients as printed in the paper")]
const D: [f64; 8] = [
    1.0,
    2.05319162663775882187,
    1.67638483018380384940,
    6.89767334985100004550e-1,
    1.48103976427480074590e-1,
    1.51986665636164571966e-2,
    5.47593808499534494600e-4,
    1.05075007164441684324e-9,
];
#[allow(clippy::excessive_precision, reason = "coefficients as printed in the paper")]
const E: [f64; 8] = [
    6.65790464350110377720,
    5.46378491116411436990,
    1.78482653991729133580,
    2.96560571828504891230e-1,
    2.65321895265761230930e-2,
    1.24266094738807843860e-3,
    2.71155556874348757815e-5,
    2.01033439929228813265e-7,
];
#[allow(clippy::excessive_precision, reason = "coefficients as printed in the paper")]
const F: [f64; 8] = [
    1.0,
    5.99832206555887937690e-1,
    1.36929880922735805310e-1,
    1.48753612908506148525e-2,
    7.86869131145613259100e-4,
    1.84631831751005468180e-5,
    1.42151175831644588870e-7,
    2.04426310338993978564e-15,
];

/// `z` with share `u` below it: M. J. Wichura, Algorithm AS 241 (PPND16), *Applied
/// Statistics* 37 (1988) 477-484; relative error about 1e-16. 0 gives minus infinity, 1 plus
/// infinity, anything outside 0 to 1 NaN.
pub fn inverse(u: f64) -> f64 {
    let q = u - 0.5;
    if q.abs() <= 0.425 { middle(q) } else { outer(u) }
}

/// [`inverse`] of many numbers, the same bits, the middle of the curve side by side.
pub fn inverse_all(all: &mut [f64]) {
    for chunk in all.chunks_mut(64) {
        let mut u = [0.5; 64];
        u[..chunk.len()].copy_from_slice(chunk);
        let z = u.map(|u| middle((u - 0.5).clamp(-0.425, 0.425)));
        for ((to, u), z) in chunk.iter_mut().zip(u).zip(z) {
            *to = if (u - 0.5).abs() <= 0.425 { z } else { outer(u) };
        }
    }
}

fn middle(q: f64) -> f64 {
    let r = 0.180625 - q * q;
    q * poly(&A, r) / poly(&B, r)
}

fn outer(u: f64) -> f64 {
    let q = u - 0.5;
    let tail = if q < 0.0 { u } else { 1.0 - u };
    if tail <= 0.0 || tail.is_nan() {
        return if tail == 0.0 { q.signum() * f64::INFINITY } else { f64::NAN };
    }
    let r = libm::sqrt(-libm::log(tail));
    let z = if r <= 5.0 { poly(&C, r - 1.6) / poly(&D, r - 1.6) } else { poly(&E, r - 5.0) / poly(&F, r - 5.0) };
    if q < 0.0 { -z } else { z }
}

/// `e^x` for many draws: relative error below 1e-11 between -700 and 700, clamped there; plain
/// additions and products only, so the bytes are the same on every machine. Not for NaN.
///
/// Argument reduction by W. J. Cody and W. Waite, *Software Manual for the Elementary
/// Functions* (1980): `x = k ln 2 + r`, then the series of `e^r` to the eleventh power.
pub fn exp(x: f64) -> f64 {
    // Adding and taking away 1.5 x 2^52 rounds to the nearest whole number.
    const ROUND: f64 = 6_755_399_441_055_744.0;
    const LN2_HIGH: f64 = 0.693_145_751_953_125;
    const LN2_LOW: f64 = 1.428_606_820_309_417_3e-6;
    let x = x.clamp(-700.0, 700.0);
    let k = (x * std::f64::consts::LOG2_E + ROUND) - ROUND;
    let r = (x - k * LN2_HIGH) - k * LN2_LOW;
    const C: [f64; 12] = [
        1.0,
        1.0,
        1.0 / 2.0,
        1.0 / 6.0,
        1.0 / 24.0,
        1.0 / 120.0,
        1.0 / 720.0,
        1.0 / 5_040.0,
        1.0 / 40_320.0,
        1.0 / 362_880.0,
        1.0 / 3_628_800.0,
        1.0 / 39_916_800.0,
    ];
    let e = C.iter().rev().fold(0.0, |s, c| s * r + c);
    e * f64::from_bits(((k as i64 + 1023) as u64) << 52)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_points() {
        // Values to six places as printed in any table; scipy.stats.norm.ppf computed them.
        for (u, z) in [(0.9, 1.281552), (0.95, 1.644854), (0.8, 0.841621), (0.975, 1.959964), (0.999, 3.090232)] {
            assert!((inverse(u) - z).abs() < 5e-7, "{u}");
            assert!((inverse(1.0 - u) + z).abs() < 5e-7, "{u}");
        }
        assert!((inverse(0.9) - Z90).abs() < 1e-15);
        assert_eq!(inverse(0.5), 0.0);
        assert_eq!((inverse(0.0), inverse(1.0)), (f64::NEG_INFINITY, f64::INFINITY));
        assert!(inverse(-0.1).is_nan() && inverse(1.1).is_nan() && inverse(f64::NAN).is_nan());
    }

    #[test]
    fn many_at_once_are_the_same() {
        let mut all: Vec<f64> = (0..=1_000).map(|i| f64::from(i) / 1_000.0).collect();
        let one: Vec<u64> = all.iter().map(|&u| inverse(u).to_bits()).collect();
        inverse_all(&mut all);
        assert_eq!(all.iter().map(|z| z.to_bits()).collect::<Vec<_>>(), one);
    }

    #[test]
    fn the_quick_exponential_is_the_exponential() {
        for i in -7_000..=7_000 {
            let x = f64::from(i) * 0.1;
            let e = exp(x) / libm::exp(x) - 1.0;
            assert!(e.abs() < 1e-11, "{x} {e:e}");
        }
        assert_eq!(exp(0.0), 1.0);
    }

    #[test]
    fn inverse_undoes_cdf() {
        // The lower half, where the share carries the information; the upper by symmetry.
        for i in -1200..=0 {
            let z = f64::from(i) * 0.03;
            let e = (inverse(cdf(z)) - z).abs();
            assert!(e < 1e-13 * (1.0 + z.abs()), "{z} {e:e}");
            assert!((cdf(z) + cdf(-z) - 1.0).abs() < 1e-15);
        }
        // The density is the slope of the share.
        for z in [-2.0, -0.3, 0.0, 1.4] {
            assert!(((cdf(z + 1e-5) - cdf(z - 1e-5)) / 2e-5 - density(z)).abs() < 1e-9);
        }
    }
}
