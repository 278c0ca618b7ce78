//! Shapes, shared causes, lost days and precision against values computed outside the
//! project (scipy), closed forms and exact sums.

use roomback::forecast::chain::Chain;
use roomback::forecast::draws;
use roomback::forecast::quantile::Shape;
use roomback::forecast::stats::{self, Moments};
use roomback::forecast::{draws::Stream, normal};
use roomback::job::Scheme;
use roomback::work::Spread;

use crate::net::{self, Sampling};

#[track_caller]
fn near(what: &str, got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "{what}: {got}, not {want} within {tolerance}");
}

fn shape(scheme: Scheme, [low, typ, high]: [f64; 3], widening: f64, cap: bool) -> Shape {
    Shape::new(&Spread { scheme, low, typ, high }, widening, cap)
}

#[test]
fn split_lognormal() {
    // Closed forms, uncapped; scipy. Low and high are the 10 % and 90 % points themselves.
    let s = shape(Scheme::Split, [2., 3., 5.], 1.0, false);
    near("mean", s.mean(), 3.31260, 5e-6);
    near("sd", s.sd(), 1.28829, 5e-6);
    for (u, x) in [(0.05, 1.7828), (0.1, 2.0), (0.5, 3.0), (0.8, 4.1958), (0.9, 5.0), (0.95, 5.7791), (0.99, 7.5829)] {
        near("quantile", s.quantile(u), x, 5e-5);
    }
    // sL .31639 and sH .39860 are what one sigma does.
    near("sL", libm::log(3.0 / s.at(-1.0)), 0.31639, 5e-6);
    near("sH", libm::log(s.at(1.0) / 3.0), 0.39860, 5e-6);
    let s = shape(Scheme::Split, [2., 3., 7.], 1.0, false);
    near("mean", s.mean(), 3.96918, 5e-6);
    near("sd", s.sd(), 2.59008, 5e-6);
    near("P80", s.quantile(0.8), 5.2333, 5e-5);
    near("P99", s.quantile(0.99), 13.9667, 5e-5);
    let s = shape(Scheme::Split, [6., 8., 9.], 1.0, false);
    near("mean", s.mean(), 7.68455, 5e-6);
    near("sd", s.sd(), 1.16931, 5e-6);
    near("P80", s.quantile(0.8), 8.6434, 5e-5);
    let s = shape(Scheme::Split, [4., 5., 8.], 1.0, false);
    near("mean", s.mean(), 5.62650, 5e-6);
    near("P80", s.quantile(0.8), 6.8080, 5e-5);
    // With the clamp at three sigmas.
    let s = shape(Scheme::Split, [2., 3., 7.], 1.0, true);
    near("mean", s.mean(), 3.9626, 5e-5);
    near("sd", s.sd(), 2.5288, 5e-5);
    near("sd", shape(Scheme::Split, [2., 3., 5.], 1.0, true).sd(), 1.2777, 5e-5);
}

#[test]
fn what_is_drawn_has_the_moments_stated() {
    for (scheme, cap) in
        [(Scheme::Split, true), (Scheme::Split, false), (Scheme::BetaPert, false), (Scheme::Triangular, false)]
    {
        let s = shape(scheme, [200., 300., 700.], 1.0, cap);
        let scores = net::scores(1, "x", 50_000, 0.0, Sampling::Blocks);
        let m = Moments::of(scores.iter().map(|&z| s.draw(z) as f64));
        near("mean", m.mean, s.mean(), 0.4);
        near("sd", m.sd, s.sd(), 0.02 * s.sd());
    }
}

#[test]
fn widening_makes_stated_ranges_true() {
    // If stated 80 % ranges held 70, 60 or 50 % of the time, both sigmas grow by 1.24, 1.52,
    // 1.90: z of the 90 % point over z of what it really was.
    for (factor, held) in [(1.24, 0.70), (1.52, 0.60), (1.90, 0.50)] {
        near("factor", normal::Z90 / normal::inverse(0.5 + held / 2.0), factor, 0.005);
        let s = shape(Scheme::Split, [2., 3., 5.], factor, true);
        // The widened shape gives the stated range that chance.
        let z = |x: f64| {
            let (mut lo, mut hi) = (-3.0, 3.0);
            for _ in 0..60 {
                let mid = 0.5 * (lo + hi);
                if s.at(mid) < x { lo = mid } else { hi = mid }
            }
            lo
        };
        near("range holds", normal::cdf(z(5.0)) - normal::cdf(z(2.0)), held, 0.002);
        assert_eq!(s.quantile(0.5), 3.0);
    }
    // Bounds stay bounds.
    let s = shape(Scheme::Triangular, [2., 3., 5.], 1.9, false);
    near("least", s.at(-30.0), 2.0, 1e-9);
    near("most", s.at(30.0), 5.0, 1e-9);
}

#[test]
fn beta_pert_and_triangular() {
    // scipy.stats.beta; the table adds at most 1e-5 of the range.
    let s = shape(Scheme::BetaPert, [2., 3., 7.], 1.0, false);
    near("sd", s.sd(), 0.866025, 5e-7);
    near("mean", s.mean(), 21.0 / 6.0, 1e-12);
    for (u, x) in [(0.1, 2.44951), (0.5, 3.38336), (0.8, 4.25129), (0.9, 4.72667)] {
        near("quantile", s.quantile(u), x, 1.5e-5);
    }
    let s = shape(Scheme::BetaPert, [4., 5., 12.], 1.0, false);
    for (u, x) in [(0.1, 4.47847), (0.5, 5.76896), (0.8, 7.10276), (0.9, 7.87123)] {
        near("quantile", s.quantile(u), x, 2e-5);
    }
    let s = shape(Scheme::BetaPert, [4., 4., 4.], 1.0, false);
    assert_eq!((s.at(-2.0), s.at(2.0), s.sd()), (4.0, 4.0, 0.0));
    // Triangle 80/100/120: its 80 % point is 120 - sqrt(.2 x 40 x 20).
    let s = shape(Scheme::Triangular, [80., 100., 120.], 1.0, false);
    near("P80", s.quantile(0.8), 107.350_889, 1e-6);
    near("P10", s.quantile(0.1), 80.0 + libm::sqrt(80.0), 1e-9);
}

/// Ten tasks LN(0, sigma) with a common factor: columns of logarithms.
fn tasks(n: usize, rho: f64, trials: usize) -> Vec<Vec<f64>> {
    (0..n).map(|i| net::scores(6, &format!("task-{i}"), trials, rho, Sampling::Blocks)).collect()
}

fn correlation(x: &[f64], y: &[f64]) -> f64 {
    let (mx, my) = (Moments::of(x.iter().copied()), Moments::of(y.iter().copied()));
    let cross: f64 = x.iter().zip(y).map(|(a, b)| (a - mx.mean) * (b - my.mean)).sum();
    cross / (x.len() - 1) as f64 / mx.sd / my.sd
}

fn ranks(x: &[f64]) -> Vec<f64> {
    let mut by: Vec<usize> = (0..x.len()).collect();
    by.sort_by(|&a, &b| x[a].total_cmp(&x[b]));
    let mut out = vec![0.0; x.len()];
    by.iter().enumerate().for_each(|(r, &i)| out[i] = r as f64);
    out
}

#[test]
fn shared_factor() {
    // Pearson of two lognormals (exp(rho s1 s2) - 1) / sqrt((e^{s1^2} - 1)(e^{s2^2} - 1));
    // Spearman of a Gaussian pair 6/pi asin(rho/2); sd of a sum sqrt(1 + (n-1) rho).
    let trials = 50_000;
    for (rho, sigma, want) in [(0.3, 0.3, 0.290608), (0.5, 0.5, 0.468791)] {
        let e = libm::exp(sigma * sigma) - 1.0;
        near("formula", (libm::exp(rho * sigma * sigma) - 1.0) / e, want, 5e-7);
        let k = libm::exp(sigma * normal::Z90);
        // The shape of a plain lognormal.
        let s = shape(Scheme::Split, [1.0 / k, 1.0, k], 1.0, false);
        let t: Vec<Vec<f64>> = tasks(2, rho, trials).iter().map(|c| c.iter().map(|&z| s.at(z)).collect()).collect();
        near("sampled", correlation(&t[0], &t[1]), want, 0.02);
    }
    let t = tasks(2, 0.3, trials);
    near("formula", 6.0 / std::f64::consts::PI * libm::asin(0.15), 0.287564, 5e-7);
    near("Spearman", correlation(&ranks(&t[0]), &ranks(&t[1])), 0.287564, 0.018);
    for (rho, want) in [(0.1, 1.378), (0.3, 1.924), (0.5, 2.345)] {
        near("formula", libm::sqrt(1.0 + 9.0 * rho), want, 5e-4);
        let t = tasks(10, rho, trials);
        let sum = Moments::of((0..trials).map(|i| t.iter().map(|c| c[i]).sum::<f64>()));
        near("sd of a sum", sum.sd / libm::sqrt(10.0), want, 0.03);
    }
}

#[test]
fn a_sum_of_80_percent_times_is_no_80_percent_time() {
    // Ten tasks LN(0, .3), each given its own 80 % time: the total holds in 98.5 % of the
    // jobs if independent, 89.0 % at log-rho .3 (scipy).
    let k = libm::exp(0.3 * normal::Z90);
    let s = shape(Scheme::Split, [1.0 / k, 1.0, k], 1.0, false);
    let given = 10.0 * s.quantile(0.8);
    for (rho, want) in [(0.0, 0.985), (0.3, 0.890)] {
        let t = tasks(10, rho, 20_000);
        let held = (0..20_000).filter(|&i| t.iter().map(|c| s.at(c[i])).sum::<f64>() <= given).count();
        near("held", held as f64 / 20_000.0, want, 0.007);
    }
}

/// Exact distribution of the days lost in `days`: a state per count and health.
fn lost(chain: Chain, days: usize, sick_before: f64) -> Vec<f64> {
    let (p, q) = chain.chances();
    // Per count of lost days: chance of being well, of being sick.
    let mut now = vec![(0.0, 0.0); days + 1];
    now[0] = (1.0 - sick_before, sick_before);
    for _ in 0..days {
        let mut next = vec![(0.0, 0.0); days + 1];
        for (k, &(well, sick)) in now.iter().enumerate() {
            next[k].0 += well * (1.0 - p) + sick * q;
            if k < days {
                next[k + 1].1 += well * p + sick * (1.0 - q);
            }
        }
        now = next;
    }
    now.iter().map(|(w, s)| w + s).collect()
}

fn moments(of: &[f64]) -> (f64, f64) {
    let mean: f64 = of.iter().enumerate().map(|(k, p)| k as f64 * p).sum();
    let square: f64 = of.iter().enumerate().map(|(k, p)| (k * k) as f64 * p).sum();
    (mean, libm::sqrt(square - mean * mean))
}

fn point(of: &[f64], u: f64) -> usize {
    let mut sum = 0.0;
    of.iter()
        .position(|p| {
            sum += p;
            sum >= u
        })
        .expect("a distribution")
}

/// Days lost in 20 workdays by the sampler, one keyed uniform a day.
fn sampled(chain: Chain, who: &str, trial: u64, from_rate: bool) -> usize {
    let id = draws::id(who);
    let mut sick = from_rate && chain.first(draws::uniform(8, id, 0, trial));
    (1..=20)
        .filter(|&day| {
            sick = chain.step(sick, draws::uniform(8, id, day, trial));
            sick
        })
        .count()
}

#[test]
fn lost_days_come_in_runs() {
    // Chain with rate .02 over 20 workdays, starting well, one transition before each day.
    let trials = 40_000u64;
    for (spell, none, mean, points) in [
        (3.0, 0.872389, 0.36121, [0, 1, 3, 6]),
        (2.0, 0.814541, 0.38080, [0, 1, 2, 5]),
        (5.0, 0.921457, 0.32281, [0, 0, 2, 8]),
    ] {
        let chain = Chain::new(0.02, spell);
        let exact = lost(chain, 20, 0.0);
        near("no day lost", exact[0], none, 5e-7);
        near("mean", moments(&exact).0, mean, 5e-6);
        assert_eq!([0.80, 0.90, 0.95, 0.99].map(|u| point(&exact, u)), points);
        let got: Vec<usize> = (0..trials).map(|t| sampled(chain, "him", t, false)).collect();
        let m = Moments::of(got.iter().map(|&k| k as f64));
        // Four standard errors: .0068 of the share, .025 to .03 of the mean.
        near("sampled none", got.iter().filter(|&&k| k == 0).count() as f64 / trials as f64, none, 0.007);
        near("sampled mean", m.mean, mean, 0.03);
        if spell == 3.0 {
            near("sd", moments(&exact).1, 1.22742, 5e-6);
            near("sampled sd", m.sd, 1.22742, 0.06);
        }
    }
    // Independent days at the same rate would give .667608: the wrong model.
    near("independent days", libm::pow(0.98, 20.0), 0.667608, 5e-7);
    // First state drawn from the rate: the mean is rate times days; starting well less.
    for (rate, drawn, well) in [(0.02, 0.40, 0.36), (0.05, 1.00, 0.91)] {
        let chain = Chain::new(rate, 3.0);
        near("from the rate", moments(&lost(chain, 20, chain.rate())).0, drawn, 1e-12);
        near("starting well", moments(&lost(chain, 20, 0.0)).0, well, 0.005);
        let m = Moments::of((0..trials).map(|t| sampled(chain, "him", t, true) as f64));
        near("sampled", m.mean, drawn, 4.0 * m.error());
    }
}

#[test]
fn two_people_lose_days_of_their_own() {
    let chain = Chain::new(0.02, 3.0);
    let one = lost(chain, 20, 0.0);
    let mut two = vec![0.0; 41];
    for (i, a) in one.iter().enumerate() {
        for (j, b) in one.iter().enumerate() {
            two[i + j] += a * b;
        }
    }
    near("no day lost", two[0], 0.761063, 5e-7);
    near("mean", moments(&two).0, 0.72242, 5e-6);
    assert_eq!([0.90, 0.95, 0.99].map(|u| point(&two, u)), [3, 4, 8]);
    let trials = 40_000u64;
    let got: Vec<(usize, usize)> =
        (0..trials).map(|t| (sampled(chain, "him", t, false), sampled(chain, "her", t, false))).collect();
    let none = got.iter().filter(|k| **k == (0, 0)).count() as f64 / trials as f64;
    near("sampled none", none, 0.761063, 0.0086);
    near("sampled mean", Moments::of(got.iter().map(|k| (k.0 + k.1) as f64)).mean, 0.72242, 0.035);
}

#[test]
fn rework_factor() {
    // Chance .15 to do .3 of a step again: mean factor 1.045, variance .011475.
    let id = draws::id("study/walls/skim-1/again");
    let m = Moments::of((0..40_000).map(|t| if draws::uniform(3, id, 0, t) < 0.15 { 1.3 } else { 1.0 }));
    near("mean", m.mean, 1.045, 4.0 * 0.1071 / 200.0);
    near("variance", m.sd * m.sd, 0.011475, 0.0004);
}

#[test]
fn precision_of_an_80_percent_date() {
    // Exact binomial ranks of the 80 % point, 95 %.
    for (n, ranks) in
        [(500, (382, 418)), (1000, (775, 825)), (2000, (1565, 1636)), (5000, (3944, 4056)), (10_000, (7921, 8079))]
    {
        assert_eq!(stats::quantile_ranks(n, 0.8), Some(ranks));
    }
    near("standard error", stats::normal_quantile_error(0.8, 1.0, 1), 1.4288, 5e-5);
    near("standard error", stats::normal_quantile_error(0.8, 2.0, 400), 0.14288, 5e-6);
    // The interval holds the true point in at least 95 % of plain samples (1,000 of them:
    // standard error .7 %), the standard error is the spread seen.
    let truth = normal::inverse(0.8);
    let (mut held, mut seen) = (0, Vec::new());
    for repeat in 0..1_000 {
        let mut s = Stream::new(1, draws::id("coverage"), 0, repeat);
        let mut v: Vec<f64> = (0..500).map(|_| normal::inverse(s.uniform())).collect();
        v.sort_by(f64::total_cmp);
        let i = stats::quantile_interval(&v, 0.8).expect("a sample");
        held += usize::from(i.low <= truth && truth <= i.high);
        seen.push(i.value);
    }
    assert!((930..=980).contains(&held), "{held}");
    let spread = Moments::of(seen.into_iter()).sd;
    near("spread seen", spread, stats::normal_quantile_error(0.8, 1.0, 500), 0.006);
    // So does the interval of a share.
    let held = (0..1_000u64)
        .filter(|&repeat| {
            let mut s = Stream::new(2, draws::id("coverage"), 0, repeat);
            let i = stats::share((0..500).filter(|_| s.uniform() < 0.8).count(), 500);
            i.low <= 0.8 && 0.8 <= i.high
        })
        .count();
    assert!((930..=972).contains(&held), "{held}");
}
