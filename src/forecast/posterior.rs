//! What finished steps say of the shared causes of those to come: pace, house and trades.
//!
//! The score of step `i` is `z = a . g + w e`: `g` the scores of the causes, independent
//! standard normal before any work, `a` the step's weights, `e` its own chance. A finished step
//! shows its `z`, so `g` is normal afterwards too, exactly: precision `1 + sum a a' / w^2`, mean
//! precision^-1 `sum a z / w^2` (the linear model with known noise; A. Gelman and others,
//! *Bayesian Data Analysis*, 3rd ed., section 14.2, from memory).
//!
//! A trial's prior scores are moved, not drawn anew: `mean + L g`, `L` the lower triangular
//! root of the covariance. With nothing finished that is the identity, so an edit of the log
//! redraws nothing. Scores have no unit.

/// A finished step's score below which the weight of its own chance is taken as this: two steps
/// that share every cause may still differ by a minute of rounding.
const LEAST_OWN: f64 = 0.01;

/// Weights of a step: pace, house, its trade, its own chance; squares sum to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weights {
    pub pace: f64,
    pub house: f64,
    /// Which trade of the job, and its weight.
    pub trade: Option<(usize, f64)>,
    pub own: f64,
}

/// A finished step: its weights and the score its hours show, by
/// [`Shape::score`](super::quantile::Shape::score).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Finished {
    pub weights: Weights,
    pub z: f64,
}

/// Pace, house and trades of a job after some of its steps: a normal distribution.
#[derive(Clone, Debug, PartialEq)]
pub struct Posterior {
    /// Pace, house, then the trades.
    mean: Vec<f64>,
    /// Lower triangle of the root of the covariance, row by row.
    root: Vec<Vec<f64>>,
}

impl Posterior {
    /// After the steps finished; `trades` is how many the job has. A score that is no number
    /// and a trade beyond them are left out.
    pub fn new(trades: usize, finished: &[Finished]) -> Posterior {
        let n = 2 + trades;
        let mut precision = vec![vec![0.0; n]; n];
        (0..n).for_each(|i| precision[i][i] = 1.0);
        let mut pull = vec![0.0; n];
        for f in finished {
            let w = f.weights;
            let mut a = vec![0.0; n];
            (a[0], a[1]) = (w.pace, w.house);
            match w.trade {
                Some((t, weight)) if t < trades => a[2 + t] = weight,
                Some(_) => continue,
                None => {}
            }
            let noise = w.own.max(LEAST_OWN);
            if !f.z.is_finite() || a.iter().any(|x| !x.is_finite()) || !noise.is_finite() {
                continue;
            }
            for i in 0..n {
                for j in 0..n {
                    precision[i][j] += a[i] * a[j] / (noise * noise);
                }
                pull[i] += a[i] * f.z / (noise * noise);
            }
        }
        let lower = cholesky(&precision);
        let columns: Vec<Vec<f64>> = (0..n).map(|j| solve(&lower, &unit(n, j))).collect();
        let covariance: Vec<Vec<f64>> = (0..n).map(|i| (0..n).map(|j| columns[j][i]).collect()).collect();
        Posterior { mean: solve(&lower, &pull), root: cholesky(&covariance) }
    }

    /// Mean of pace, house, then each trade.
    pub fn mean(&self) -> &[f64] {
        &self.mean
    }

    /// Covariance of two of them.
    pub fn covariance(&self, i: usize, j: usize) -> f64 {
        (0..=i.min(j)).map(|k| self.root[i][k] * self.root[j][k]).sum()
    }

    /// Scores of pace, house and trades of one trial, drawn before any work, as they are now.
    /// `scores` holds as many as [`Posterior::mean`].
    pub fn shift(&self, scores: &mut [f64]) {
        // From the last one up, since each needs only those before it.
        for i in (0..self.mean.len().min(scores.len())).rev() {
            scores[i] = self.mean[i] + (0..=i).map(|k| self.root[i][k] * scores[k]).sum::<f64>();
        }
    }

    /// Mean and standard deviation of what a step's shared causes add up to.
    pub fn shared(&self, w: Weights) -> (f64, f64) {
        let trade = w.trade.filter(|t| 2 + t.0 < self.mean.len());
        let parts = [Some((0, w.pace)), Some((1, w.house)), trade.map(|t| (2 + t.0, t.1))];
        let parts: Vec<(usize, f64)> = parts.into_iter().flatten().collect();
        let mean = parts.iter().map(|&(i, a)| a * self.mean[i]).sum();
        let var: f64 = parts
            .iter()
            .flat_map(|&(i, a)| parts.iter().map(move |&(j, b)| (i, a, j, b)))
            .map(|(i, a, j, b)| a * b * self.covariance(i, j))
            .sum();
        (mean, libm::sqrt(var.max(0.0)))
    }
}

fn unit(n: usize, j: usize) -> Vec<f64> {
    (0..n).map(|i| if i == j { 1.0 } else { 0.0 }).collect()
}

/// Lower triangular root of a positive definite matrix (row by row; Cholesky).
fn cholesky(m: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let n = m.len();
    let mut l = vec![vec![0.0; n]; n];
    for i in 0..n {
        for j in 0..=i {
            let rest = m[i][j] - (0..j).map(|k| l[i][k] * l[j][k]).sum::<f64>();
            l[i][j] = if i == j { libm::sqrt(rest.max(0.0)) } else { rest / l[j][j] };
        }
    }
    l
}

/// `x` with `l l' x = b`.
fn solve(l: &[Vec<f64>], b: &[f64]) -> Vec<f64> {
    let n = b.len();
    let mut x = b.to_vec();
    for i in 0..n {
        x[i] = (x[i] - (0..i).map(|k| l[i][k] * x[k]).sum::<f64>()) / l[i][i];
    }
    for i in (0..n).rev() {
        x[i] = (x[i] - (i + 1..n).map(|k| l[k][i] * x[k]).sum::<f64>()) / l[i][i];
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::draws::{self, BLOCK};

    /// The usual weights: pace .55, house .4 on fit-up work, trade .25.
    fn step(trade: usize, fit_up: bool) -> Weights {
        let house = if fit_up { 0.4 } else { 0.0 };
        let own = libm::sqrt(1.0 - 0.55 * 0.55 - house * house - 0.0625);
        Weights { pace: 0.55, house, trade: Some((trade, 0.25)), own }
    }

    fn near(got: f64, want: f64) {
        assert!((got - want).abs() < 1e-12, "{got}, not {want}");
    }

    #[test]
    fn nothing_finished_moves_nothing() {
        let p = Posterior::new(3, &[]);
        let mut g = [0.3, -1.2, 0.7, 2.2, -0.01];
        p.shift(&mut g);
        assert_eq!(g, [0.3, -1.2, 0.7, 2.2, -0.01]);
        assert_eq!(p.shared(step(1, true)).0, 0.0);
    }

    #[test]
    fn one_and_two_steps_by_the_conditional_normal() {
        // Every z has variance 1, so one step gives each cause `weight x z` and takes
        // `weight^2` off its variance.
        let p = Posterior::new(2, &[Finished { weights: step(0, true), z: 1.5 }]);
        for (i, w) in [0.55, 0.4, 0.25, 0.0].into_iter().enumerate() {
            near(p.mean()[i], w * 1.5);
            near(p.covariance(i, i), 1.0 - w * w);
        }
        near(p.covariance(0, 1), -0.55 * 0.4);
        // Two steps of two trades, one of them fit-up, share the pace only: correlation r =
        // .3025; E = c' S^-1 z with S = (1 r; r 1).
        let z = [1.5, -0.4];
        let both = [Finished { weights: step(0, true), z: z[0] }, Finished { weights: step(1, false), z: z[1] }];
        let p = Posterior::new(2, &both);
        let r = 0.55 * 0.55;
        let d = 1.0 - r * r;
        let inv = |x: f64, y: f64| ((x - r * y) / d, (y - r * x) / d);
        let (a, b) = inv(z[0], z[1]);
        near(p.mean()[0], 0.55 * (a + b));
        near(p.mean()[1], 0.4 * a);
        near(p.mean()[2], 0.25 * a);
        near(p.mean()[3], 0.25 * b);
        near(p.covariance(0, 0), 1.0 - 2.0 * r / (1.0 + r));
        // A further step's shared part: mean and variance from the same matrix.
        let next = step(1, true);
        let c = [r + 0.16, r + 0.0625];
        let (u, v) = inv(c[0], c[1]);
        let (mean, sd) = p.shared(next);
        near(mean, u * z[0] + v * z[1]);
        near(sd * sd, r + 0.16 + 0.0625 - (c[0] * u + c[1] * v));
    }

    #[test]
    fn a_job_steadily_slow_is_a_slow_pace() {
        let many: Vec<Finished> = (0..400).map(|i| Finished { weights: step(i % 2, false), z: 0.8 }).collect();
        let p = Posterior::new(2, &many);
        let (mean, sd) = p.shared(step(0, false));
        assert!((mean - 0.8).abs() < 0.01 && sd < 0.06, "{mean} {sd}");
        // The house has not been seen.
        assert_eq!(p.mean()[1], 0.0);
        near(p.covariance(1, 1), 1.0);
        // Nonsense says nothing.
        let odd = [f64::NAN, f64::INFINITY].map(|z| Finished { weights: step(0, true), z });
        assert_eq!(Posterior::new(2, &odd), Posterior::new(2, &[]));
        let strange = Finished { weights: step(7, true), z: 1.0 };
        assert_eq!(Posterior::new(2, &[strange]), Posterior::new(2, &[]));
    }

    #[test]
    fn moved_blocks_have_the_posterior_moments() {
        let seen = [(0, true, 1.2), (0, false, 0.9), (1, true, -0.5)];
        let f: Vec<Finished> = seen.iter().map(|&(t, h, z)| Finished { weights: step(t, h), z }).collect();
        let p = Posterior::new(2, &f);
        let blocks = 40;
        let mut sum = [0.0; 4];
        let mut cross = [[0.0; 4]; 4];
        for block in 0..blocks {
            let columns: Vec<[f64; BLOCK]> = ["pace", "house", "paint", "trim"]
                .iter()
                .map(|id| {
                    let mut out = [0.0; BLOCK];
                    draws::normal_block(5, draws::id(id), block, &mut out);
                    out
                })
                .collect();
            for t in 0..BLOCK {
                let mut g: Vec<f64> = columns.iter().map(|c| c[t]).collect();
                p.shift(&mut g);
                for i in 0..4 {
                    sum[i] += g[i];
                    (0..4).for_each(|j| cross[i][j] += (g[i] - p.mean()[i]) * (g[j] - p.mean()[j]));
                }
            }
        }
        // 20,000 trials: four standard errors of a mean in complete blocks are well below .01,
        // of a covariance .03.
        let n = f64::from(blocks) * BLOCK as f64;
        for i in 0..4 {
            assert!((sum[i] / n - p.mean()[i]).abs() < 0.01);
            (0..4).for_each(|j| assert!((cross[i][j] / n - p.covariance(i, j)).abs() < 0.03, "{i} {j}"));
        }
    }
}
