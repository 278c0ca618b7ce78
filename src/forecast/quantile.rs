//! How a duration is spread: three stated values to minutes for any score of chance.
//!
//! A *score* `z` is standard normal; share `Phi(z)` of the jobs are quicker. Units: minutes.
//!
//! - **Split lognormal**: low / typical / high = one job in ten quicker, half, one in ten
//!   slower; `x50 exp(sL z)` below the middle, `x50 exp(sH z)` above it.
//! - **Beta-PERT** and **triangular**: least, most likely, most. For published networks.
//! - **Fixed**.
//!
//! It refuses to know what moves the score: shared causes are mixed before they come here.

use crate::job::Scheme;
use crate::work::Spread;

use super::beta::Beta;
use super::normal::{Z90, cdf, exp, inverse};

/// Scores are clamped to this many sigmas where a shape is capped: beyond it the tail of a
/// lognormal says more about the formula than about rooms (judgement, no source).
pub const CAP: f64 = 3.0;

/// Cells of the table of a beta-PERT, over scores from -6 to 6.
const CELLS: usize = 1024;
const REACH: f64 = 6.0;

#[derive(Clone, Debug)]
enum Form {
    Fixed(f64),
    Split { x50: f64, below: f64, above: f64 },
    Triangular { least: f64, likely: f64, most: f64 },
    BetaPert { least: f64, likely: f64, most: f64, table: Vec<f64> },
}

/// A spread compiled for fast repeated evaluation.
///
/// Values that make no sense never panic and never give NaN: a middle outside its bounds is
/// moved to the nearest one, bounds the wrong way round give the middle alone, a low of 0 or
/// less under a split lognormal gives no spread downwards, whatever is not finite is 0; durations end at 1e9 minutes, sigmas at 10.
#[derive(Clone, Debug)]
pub struct Shape {
    form: Form,
    limit: f64,
}

/// Longest duration known, minutes: about 1,900 years.
const MOST: f64 = 1e9;
/// Widest sigma known: a factor of 22,000 each.
const WIDEST: f64 = 10.0;

fn sound(x: f64) -> f64 {
    if x.is_finite() { x.clamp(0.0, MOST) } else { 0.0 }
}

/// `widening ln(to / from) / 1.2816`, 0 where that is no positive number.
fn sigma(from: f64, to: f64, widening: f64) -> f64 {
    if from > 0.0 && to > from { (widening * libm::log(to / from) / Z90).min(WIDEST) } else { 0.0 }
}

impl Shape {
    /// `widening` multiplies both sigmas of a split lognormal (1 = as stated; the bounds of
    /// the other schemes stay bounds); `cap` clamps scores to +-3.
    pub fn new(spread: &Spread, widening: f64, cap: bool) -> Shape {
        let (low, typ, high) = (sound(spread.low), sound(spread.typ), sound(spread.high));
        let widening = sound(widening);
        let form = match spread.scheme {
            Scheme::Fixed => Form::Fixed(typ),
            Scheme::Split => {
                let (below, above) = (sigma(low, typ, widening), sigma(typ, high, widening));
                if typ > 0.0 && below + above > 0.0 { Form::Split { x50: typ, below, above } } else { Form::Fixed(typ) }
            }
            Scheme::BetaPert | Scheme::Triangular if high <= low => Form::Fixed(typ),
            Scheme::Triangular => Form::Triangular { least: low, likely: typ.clamp(low, high), most: high },
            Scheme::BetaPert => {
                let likely = typ.clamp(low, high);
                let table = table(&pert_beta(low, likely, high), low, high);
                Form::BetaPert { least: low, likely, most: high, table }
            }
        };
        Shape { form, limit: if cap { CAP } else { f64::INFINITY } }
    }

    /// Minutes at a score, unrounded. A beta-PERT is read from a table: within 1e-5 of its
    /// range (most - least), scores beyond +-6 taken as +-6. NaN counts as 0.
    pub fn at(&self, z: f64) -> f64 {
        let z = if z.is_nan() { 0.0 } else { z.clamp(-self.limit, self.limit) };
        match &self.form {
            Form::Fixed(x) => *x,
            Form::Split { x50, below, above } => {
                let s = if z < 0.0 { below } else { above };
                // 0 times infinity is no number.
                if *s == 0.0 { *x50 } else { x50 * libm::exp(s * z) }
            }
            Form::Triangular { least, likely, most } => {
                let range = most - least;
                let u = cdf(z);
                if u * range <= likely - least {
                    least + libm::sqrt(u * range * (likely - least))
                } else {
                    most - libm::sqrt(cdf(-z) * range * (most - likely))
                }
            }
            Form::BetaPert { table, .. } => {
                let t = (z.clamp(-REACH, REACH) + REACH) * (CELLS as f64 / (2.0 * REACH));
                let i = (t as usize).min(CELLS - 1);
                table[i] + (t - i as f64) * (table[i + 1] - table[i])
            }
        }
    }

    /// Whole minutes at a score: 0 where the step has no duration at all, else at least 1.
    pub fn draw(&self, z: f64) -> i64 {
        match self.form {
            Form::Fixed(0.0) => 0,
            _ => (libm::round(self.at(z)) as i64).max(1),
        }
    }

    /// [`Shape::draw`] of many scores, none of them NaN. A split lognormal goes through the
    /// quick exponential: the minute is another only where two lie equally near, to 1e-10.
    pub fn draw_all(&self, z: &[f64], out: &mut [i64]) {
        match self.form {
            Form::Split { x50, below, above } => {
                for (to, &z) in out.iter_mut().zip(z) {
                    let z = z.clamp(-self.limit, self.limit);
                    let s = if z < 0.0 { below } else { above };
                    *to = ((x50 * exp(s * z) + 0.5) as i64).max(1);
                }
            }
            _ => out.iter_mut().zip(z).for_each(|(to, &z)| *to = self.draw(z)),
        }
    }

    /// The clamp of scores, infinite where there is none.
    pub fn limit(&self) -> f64 {
        self.limit
    }

    /// The score at which a step takes `minutes`, between the clamps (between -6 and 6 for the
    /// bounded schemes): the inverse of [`Shape::at`]. Where one duration has many scores, the
    /// greatest below 0, the least above; with no spread at all minus or plus the limit.
    pub fn score(&self, minutes: f64) -> f64 {
        if minutes.is_nan() {
            return 0.0;
        }
        match &self.form {
            Form::Fixed(x) => {
                let end = self.limit.min(REACH);
                if minutes < *x { -end } else { end }
            }
            Form::Split { x50, below, above } => {
                let s = if minutes < *x50 { below } else { above };
                let z = match libm::log(minutes.max(0.0) / x50) {
                    0.0 => 0.0,
                    l => l / s,
                };
                z.clamp(-self.limit, self.limit)
            }
            _ => {
                let end = self.limit.min(REACH);
                let (mut lo, mut hi) = (-end, end);
                for _ in 0..60 {
                    let mid = 0.5 * (lo + hi);
                    if self.at(mid) < minutes { lo = mid } else { hi = mid }
                }
                0.5 * (lo + hi)
            }
        }
    }

    /// Minutes with share `u` (0 to 1) of the jobs below.
    pub fn quantile(&self, u: f64) -> f64 {
        self.at(inverse(u.clamp(0.0, 1.0)))
    }

    /// Mean of what is drawn, minutes (before rounding). The clamp is counted in a split
    /// lognormal; in the bounded schemes it moves the mean by less than 0.1 % of the range
    /// and is left out.
    pub fn mean(&self) -> f64 {
        match &self.form {
            Form::Fixed(x) => *x,
            Form::Split { x50, .. } => x50 * self.moment(1.0),
            Form::Triangular { least, likely, most } => (least + likely + most) / 3.0,
            Form::BetaPert { least, likely, most, .. } => pert_mean(*least, *likely, *most),
        }
    }

    /// Standard deviation of what is drawn, minutes; clamp as in [`Shape::mean`].
    pub fn sd(&self) -> f64 {
        match &self.form {
            Form::Fixed(_) => 0.0,
            Form::Split { x50, .. } => {
                let m = self.moment(1.0);
                x50 * libm::sqrt((self.moment(2.0) - m * m).max(0.0))
            }
            Form::Triangular { least, likely, most } => {
                let (a, b, c) = (likely - least, most - likely, most - least);
                libm::sqrt((a * a + b * b + c * c) / 36.0)
            }
            Form::BetaPert { least, likely, most, .. } => {
                // The true variance of the distribution, not the (range/6)^2 of classical PERT.
                let m = pert_mean(*least, *likely, *most);
                libm::sqrt(((m - least) * (most - m) / 7.0).max(0.0))
            }
        }
    }

    /// The `k`-th moment of a split lognormal over `x50^k`, clamp included: the partial
    /// expectations of a lognormal on each side, plus the two heaps at the clamp.
    fn moment(&self, k: f64) -> f64 {
        let Form::Split { below, above, .. } = self.form else { return 1.0 };
        let (l, h, c) = (k * below, k * above, self.limit);
        let lower = libm::exp(0.5 * l * l) * (cdf(-l) - cdf(-c - l));
        let upper = libm::exp(0.5 * h * h) * (cdf(c - h) - cdf(-h));
        let heaps = if c.is_finite() { cdf(-c) * (libm::exp(-l * c) + libm::exp(h * c)) } else { 0.0 };
        lower + upper + heaps
    }
}

fn pert_mean(least: f64, likely: f64, most: f64) -> f64 {
    (least + 4.0 * likely + most) / 6.0
}

/// Shape parameters of the beta-PERT with weight 4 on the most likely value: `a = 1 + 4
/// (m-o)/(p-o)`, `b = 1 + 4 (p-m)/(p-o)`.
fn pert_beta(least: f64, likely: f64, most: f64) -> Beta {
    let range = most - least;
    Beta::new(1.0 + 4.0 * (likely - least) / range, 1.0 + 4.0 * (most - likely) / range)
}

/// Minutes at the scores -6 to 6. Both halves are walked outwards from the middle, each
/// value the guess of the next; the upper one as the lower of the mirrored distribution,
/// where the share keeps its digits.
fn table(beta: &Beta, least: f64, most: f64) -> Vec<f64> {
    let range = most - least;
    let mut out = vec![0.0; CELLS + 1];
    let half = CELLS / 2;
    let (mut lower, mut upper) = (f64::NAN, f64::NAN);
    let mirrored = beta.mirrored();
    for k in 0..=half {
        let u = cdf(-(k as f64) * (2.0 * REACH / CELLS as f64));
        lower = beta.inverse(u, lower);
        upper = mirrored.inverse(u, upper);
        out[half + k] = most - range * upper;
        out[half - k] = least + range * lower;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spread(scheme: Scheme, low: f64, typ: f64, high: f64) -> Spread {
        Spread { scheme, low, typ, high }
    }

    #[test]
    fn the_table_of_a_beta_pert_keeps_its_word() {
        for (least, likely, most) in
            [(2.0, 3.0, 7.0), (0.0, 0.0, 1.0), (0.0, 1.0, 1.0), (4.0, 5.0, 12.0), (1.0, 2.0, 3.0)]
        {
            let shape = Shape::new(&spread(Scheme::BetaPert, least, likely, most), 1.0, false);
            let beta = pert_beta(least, likely, most);
            let mut worst: f64 = 0.0;
            for i in 0..2_000 {
                let z = -5.9 + f64::from(i) * 0.0059;
                let exact = least + (most - least) * beta.inverse(cdf(z), 0.5);
                worst = worst.max((shape.at(z) - exact).abs() / (most - least));
            }
            assert!(worst < 1e-5, "{least} {likely} {most}: {worst:e}");
        }
    }

    #[test]
    fn every_shape_grows_with_the_score_and_keeps_its_bounds() {
        for scheme in [Scheme::Split, Scheme::BetaPert, Scheme::Triangular, Scheme::Fixed] {
            for (low, typ, high) in [(60.0, 90.0, 200.0), (60.0, 60.0, 90.0), (60.0, 90.0, 90.0), (5.0, 5.0, 5.0)] {
                let s = Shape::new(&spread(scheme, low, typ, high), 1.24, true);
                let mut last = 0.0;
                for i in -400..=400 {
                    let x = s.at(f64::from(i) * 0.01);
                    assert!(x >= last && x.is_finite());
                    last = x;
                    if scheme != Scheme::Split {
                        assert!(x >= low && x <= high, "{scheme:?} {x}");
                    }
                }
                assert_eq!(s.at(3.0), s.at(9.0));
                assert_eq!(s.at(f64::NAN), s.at(0.0));
            }
        }
    }

    #[test]
    fn a_score_is_what_gives_the_minutes() {
        for scheme in [Scheme::Split, Scheme::BetaPert, Scheme::Triangular] {
            let s = Shape::new(&spread(scheme, 60.0, 90.0, 200.0), 1.24, true);
            for i in -29..=29 {
                let z = f64::from(i) * 0.1;
                assert!((s.score(s.at(z)) - z).abs() < 1e-9, "{scheme:?} {z} {}", s.score(s.at(z)));
            }
            assert!((s.score(1.0) + 3.0).abs() < 1e-9 && (s.score(1e6) - 3.0).abs() < 1e-9);
            assert_eq!(s.score(f64::NAN), 0.0);
        }
        // No spread upwards: longer than typical is off the end.
        let s = Shape::new(&spread(Scheme::Split, 60.0, 90.0, 90.0), 1.0, true);
        assert_eq!((s.score(90.0), s.score(91.0)), (0.0, 3.0));
        let s = Shape::new(&Spread::fixed(60.0), 1.0, true);
        assert_eq!((s.score(59.0), s.score(60.0)), (-3.0, 3.0));
    }

    #[test]
    fn nonsense_is_harmless() {
        let odd = [0.0, 1.0, 50.0, -3.0, f64::NAN, f64::INFINITY, 1e300];
        for scheme in [Scheme::Split, Scheme::BetaPert, Scheme::Triangular, Scheme::Fixed] {
            for low in odd {
                for typ in odd {
                    for high in odd {
                        for widening in [1.0, 0.0, f64::NAN] {
                            let s = Shape::new(&spread(scheme, low, typ, high), widening, true);
                            for z in [-1e9, -3.0, 0.0, 2.0, f64::INFINITY, f64::NAN] {
                                let x = s.at(z);
                                assert!(!x.is_nan() && x >= 0.0, "{scheme:?} {low} {typ} {high} {z}");
                                assert!(s.draw(z) >= 0);
                            }
                            assert!(!s.mean().is_nan() && !s.sd().is_nan());
                        }
                    }
                }
            }
        }
        let nothing = Shape::new(&Spread::ZERO, 1.24, true);
        assert_eq!((nothing.draw(2.0), nothing.mean()), (0, 0.0));
        // Anything else takes at least a minute.
        assert_eq!(Shape::new(&spread(Scheme::Split, 0.1, 0.2, 0.3), 1.0, true).draw(0.0), 1);
        assert_eq!(Shape::new(&Spread::fixed(12.5), 1.0, true).draw(0.0), 13);
    }
}
