//! What a rate row has learned from closed jobs: low / typical / high of the next one.
//!
//! Each closed job gives one observation a row: the quantity-weighted mean of the logarithm of
//! hours per unit ([`job_rate`]). The logarithm is taken as normal with unknown mean and
//! spread, before any job as a normal-inverse-gamma worth a few jobs of the starter row, so the
//! next job is a Student t (A. Gelman and others, *Bayesian Data Analysis*, 3rd ed., section
//! 3.3; from memory). A median is learned fast, a spread slowly, and the range stays as wide as
//! few jobs allow.
//!
//! It refuses to learn inside a job: there the pace learns, and an hour counts once. It knows
//! nothing of drying. Units: hours per unit of the row.

use super::student;

/// The starter row counts as so many jobs for the median (judgement).
pub const STARTER_JOBS: f64 = 3.0;
/// Twice the shape of the starter's spread: it counts as six degrees of freedom (judgement).
const STARTER_DF: u32 = 6;
/// From so many jobs on a range is his own and is no longer widened (judgement).
pub const OWN_JOBS: usize = 10;

/// Low, typical, high: one job in ten quicker, half, one in ten slower.
pub type Triple = (f64, f64, f64);

/// The rate a job shows for a row, from its finished steps `(quantity, hours)`: hours per unit
/// with the logarithms weighted by quantity. `None` without a usable step; steps with no
/// quantity or no hours are left out.
pub fn job_rate(steps: &[(f64, f64)]) -> Option<f64> {
    let usable = steps.iter().filter(|(q, h)| *q > 0.0 && *h > 0.0 && q.is_finite() && h.is_finite());
    let (mut sum, mut weight) = (0.0, 0.0);
    for (q, h) in usable {
        sum += q * libm::log(h / q);
        weight += q;
    }
    (weight > 0.0).then(|| libm::exp(sum / weight))
}

/// The typical rate of a row that has learned from so many jobs, after one more that showed another: what
/// [`Learned::triple`] says of it. Hours a unit, all above 0.
pub fn next_typical(typical: f64, jobs: u32, shown: f64) -> f64 {
    let weight = STARTER_JOBS + f64::from(jobs);
    libm::exp((weight * libm::log(typical) + libm::log(shown)) / (weight + 1.0))
}

/// A normal mean learned from observations of known spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnownSpread {
    pub mean: f64,
    /// Standard deviation of the mean.
    pub sd: f64,
    /// Standard deviation of an observation about it.
    pub sigma: f64,
}

impl KnownSpread {
    /// After more observations.
    #[must_use]
    pub fn after(self, seen: &[f64]) -> KnownSpread {
        let (prior, each) = (1.0 / (self.sd * self.sd), 1.0 / (self.sigma * self.sigma));
        let precision = prior + each * seen.len() as f64;
        let mean = (self.mean * prior + seen.iter().sum::<f64>() * each) / precision;
        KnownSpread { mean, sd: libm::sqrt(1.0 / precision), ..self }
    }

    /// Standard deviation of the next observation.
    pub fn next_sd(&self) -> f64 {
        libm::sqrt(self.sd * self.sd + self.sigma * self.sigma)
    }
}

/// Mean and spread of the logarithm of a row's rate, both unknown: a normal-inverse-gamma.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Learned {
    /// Mean of the logarithm.
    mean: f64,
    /// Jobs the mean is worth.
    weight: f64,
    /// Degrees of freedom: twice the shape of the inverse gamma.
    df: u32,
    /// Its rate.
    rate: f64,
    /// Jobs seen.
    jobs: usize,
    /// Sigma below and above over their mean, of the starter.
    skew: (f64, f64),
    starter: f64,
}

impl Learned {
    /// Directly from its four parameters (mean of the logarithm, jobs it is worth, twice the
    /// shape, rate), symmetric.
    pub fn new(mean: f64, weight: f64, df: u32, rate: f64) -> Learned {
        Learned { mean, weight, df, rate, jobs: 0, skew: (1.0, 1.0), starter: weight }
    }

    /// A starter row before any job: [`Learned::triple`] gives it back. `None` where it does
    /// not rise from above 0.
    pub fn starter((low, typ, high): Triple) -> Option<Learned> {
        let rises = low > 0.0 && low <= typ && typ <= high && low < high && high.is_finite();
        if !rises {
            return None;
        }
        let (below, above) = (libm::log(typ / low), libm::log(high / typ));
        let half = 0.5 * (below + above);
        // The t of the next job has its 90 % point half the range off.
        let scale = half / student::quantile(0.9, STARTER_DF);
        let shape = 0.5 * f64::from(STARTER_DF);
        let rate = scale * scale * shape * STARTER_JOBS / (STARTER_JOBS + 1.0);
        let start = Learned::new(libm::log(typ), STARTER_JOBS, STARTER_DF, rate);
        Some(Learned { skew: (below / half, above / half), ..start })
    }

    /// After more jobs, each by its rate (see [`job_rate`]); what is not above 0 is left out.
    #[must_use]
    pub fn after(self, rates: &[f64]) -> Learned {
        let logs: Vec<f64> = rates.iter().filter(|r| **r > 0.0 && r.is_finite()).map(|&r| libm::log(r)).collect();
        if logs.is_empty() {
            return self;
        }
        let n = logs.len() as f64;
        let mean = logs.iter().sum::<f64>() / n;
        let within: f64 = logs.iter().map(|x| (x - mean) * (x - mean)).sum();
        let weight = self.weight + n;
        let off = mean - self.mean;
        Learned {
            mean: (self.weight * self.mean + n * mean) / weight,
            weight,
            df: self.df + logs.len() as u32,
            rate: self.rate + 0.5 * within + 0.5 * self.weight * n * off * off / weight,
            jobs: self.jobs + logs.len(),
            ..self
        }
    }

    /// Jobs seen.
    pub fn jobs(&self) -> usize {
        self.jobs
    }

    /// Whether the range is his own by now: from ten jobs on.
    pub fn own_history(&self) -> bool {
        self.jobs >= OWN_JOBS
    }

    /// Jobs the mean is worth, degrees of freedom, rate of the inverse gamma.
    pub fn parameters(&self) -> (f64, u32, f64) {
        (self.weight, self.df, self.rate)
    }

    /// Scale of the Student t of the next job's logarithm.
    pub fn scale(&self) -> f64 {
        libm::sqrt(self.rate * (self.weight + 1.0) / (0.5 * f64::from(self.df) * self.weight))
    }

    /// The rate with share `u` of next jobs below it. What is lopsided in the starter row fades
    /// with its share in what is known (judgement).
    pub fn quantile(&self, u: f64) -> f64 {
        let t = student::quantile(u, self.df);
        let share = self.starter / self.weight;
        let side = if u < 0.5 { self.skew.0 } else { self.skew.1 };
        libm::exp(self.mean + t * self.scale() * (1.0 + (side - 1.0) * share))
    }

    /// The next job's low / typical / high.
    pub fn triple(&self) -> Triple {
        (self.quantile(0.1), libm::exp(self.mean), self.quantile(0.9))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_starter_row_gives_itself_back() {
        for row in [(0.5, 0.75, 1.1), (0.02, 0.03, 0.06), (1.0, 1.0, 2.0), (1.0, 2.0, 2.0)] {
            let t = Learned::starter(row).expect("a row").triple();
            for (got, want) in [(t.0, row.0), (t.1, row.1), (t.2, row.2)] {
                assert!((got - want).abs() < 1e-9 * want, "{row:?} {t:?}");
            }
        }
        for row in [(0.0, 1.0, 2.0), (2.0, 1.0, 3.0), (1.0, 1.0, 1.0), (1.0, f64::NAN, 2.0), (1.0, 2.0, f64::INFINITY)]
        {
            assert_eq!(Learned::starter(row), None);
        }
    }

    #[test]
    fn one_job_moves_a_row_by_its_share_and_many_take_it_over() {
        let row = Learned::starter((0.5, 0.75, 1.1)).expect("a row");
        // One job among three of the starter moves the logarithm by a quarter.
        let one = row.after(&[1.5]);
        assert!((one.triple().1 - 0.75 * libm::exp(0.25 * libm::log(2.0))).abs() < 1e-12);
        assert!(!one.own_history() && one.jobs() == 1);
        // The same from what is printed of the row alone.
        assert!((next_typical(0.75, 0, 1.5) - one.triple().1).abs() < 1e-12);
        let two = one.after(&[0.9]);
        assert!((next_typical(one.triple().1, 1, 0.9) - two.triple().1).abs() < 1e-12);
        // In one go or job by job is the same.
        let jobs: Vec<f64> = (0..40).map(|i| 1.2 * libm::exp(0.1 * f64::from(i % 5 - 2))).collect();
        let (all, mut each) = (row.after(&jobs), row);
        jobs.iter().for_each(|&j| each = each.after(&[j]));
        let (a, b) = (all.triple(), each.triple());
        assert!((a.0 - b.0).abs() < 1e-12 && (a.1 - b.1).abs() < 1e-12 && (a.2 - b.2).abs() < 1e-12);
        assert!((a.1 - 1.2).abs() < 0.05 && all.own_history());
        // Steady jobs narrow the range, and what was lopsided evens out.
        let (low, high) = (libm::log(a.1 / a.0), libm::log(a.2 / a.1));
        assert!(high < 0.5 * libm::log(1.1 / 0.75) + 0.1 && (low / high - 1.0).abs() < 0.03, "{a:?}");
        // What is no rate teaches nothing.
        assert_eq!(row.after(&[0.0, -1.0, f64::NAN, f64::INFINITY]), row);
    }

    #[test]
    fn a_jobs_rate_weighs_its_steps_by_quantity() {
        // 90 SF at 1/30 h and 10 SF at 1/15 h: log-weighted .9 and .1.
        let got = job_rate(&[(90.0, 3.0), (10.0, 10.0 / 15.0), (0.0, 4.0), (5.0, 0.0), (f64::NAN, 1.0)]);
        assert!((got.expect("a rate") - libm::exp(0.1 * libm::log(2.0)) / 30.0).abs() < 1e-15);
        assert_eq!(job_rate(&[(0.0, 1.0)]), None);
    }
}
