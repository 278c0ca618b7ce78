//! What finished work teaches: steps under way, rates of closed jobs, scores of forecasts,
//! against values computed outside the project (scipy) and one textbook.

use roomback::book::{KnownSpread, Learned, student_quantile};
use roomback::forecast::conditioned::{Given, after_spent, survival};
use roomback::forecast::normal::{self, Z90};
use roomback::forecast::quantile::Shape;
use roomback::forecast::scores;
use roomback::work::Spread;

#[track_caller]
fn near(what: &str, got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "{what}: {got}, not {want} within {tolerance}");
}

#[test]
fn a_step_under_way() {
    // Lognormal, median 5, sigma .4, uncapped, with so many hours spent (scipy).
    let k = libm::exp(0.4 * Z90);
    let shape = Shape::new(&Spread::split(5.0 / k, 5.0, 5.0 * k), 1.0, false);
    for (spent, median, p80) in [(3.0, 5.2598, 7.2126), (5.0, 6.5485, 8.3483), (8.0, 9.3125, 11.0275)] {
        let whole = |u: f64, given| spent + after_spent(&shape, given, normal::inverse(u), spent, 0.0);
        let alone = Given { shared: 0.0, own: 1.0 };
        near("median", whole(0.5, alone), median, 5e-5);
        near("P80", whole(0.8, alone), p80, 5e-5);
        // Half the variance shared and drawn as 0: the own chance alone moves the score.
        let given = Given { shared: 0.0, own: libm::sqrt(0.5) };
        let narrow =
            Shape::new(&Spread::split(5.0 / libm::pow(k, given.own), 5.0, 5.0 * libm::pow(k, given.own)), 1.0, false);
        near(
            "narrower",
            whole(0.8, given),
            spent + after_spent(&narrow, alone, normal::inverse(0.8), spent, 0.0),
            1e-9,
        );
        near("survival", survival(&shape, alone, spent), normal::cdf(-libm::log(spent / 5.0) / 0.4), 1e-12);
    }
}

#[test]
fn rates_learned_with_known_spread() {
    // Logarithms: prior median .75 h, sd .25, sigma .20, observed .90, .85, 1.00 (scipy).
    let prior = KnownSpread { mean: libm::log(0.75), sd: 0.25, sigma: 0.20 };
    let p = prior.after(&[0.90, 0.85, 1.00].map(libm::log));
    near("mean", p.mean, -0.124175, 5e-7);
    near("median", libm::exp(p.mean), 0.883226, 5e-7);
    near("sd", p.sd, 0.104828, 5e-7);
    near("predictive sd", p.next_sd(), 0.225807, 5e-7);
    for (u, rate) in [(0.1, 0.66129), (0.5, 0.88323), (0.8, 1.06809), (0.9, 1.17964)] {
        near("predictive", libm::exp(p.mean + normal::inverse(u) * p.next_sd()), rate, 5e-6);
    }
    // W. M. Bolstad, *Introduction to Bayesian Statistics*, trout lengths: twelve of mean 32,
    // sigma 2, prior N(30, 4^2).
    let p = KnownSpread { mean: 30.0, sd: 4.0, sigma: 2.0 }.after(&[32.0; 12]);
    near("mean", p.mean, 31.959184, 5e-7);
    near("sd", p.sd, 0.571429, 5e-7);
}

#[test]
fn rates_learned_with_unknown_spread() {
    // Normal-inverse-gamma k0 .64, a0 3, b0 .08 on the same three jobs (scipy).
    let p = Learned::new(libm::log(0.75), 0.64, 6, 0.08).after(&[0.90, 0.85, 1.00]);
    let (weight, df, rate) = p.parameters();
    near("kn", weight, 3.64, 1e-12);
    assert_eq!((df, p.jobs()), (9, 3));
    near("bn", rate, 0.097177, 5e-7);
    near("scale", p.scale(), 0.165914, 5e-7);
    for (u, rate) in [(0.1, 0.70213), (0.5, 0.88323), (0.8, 1.02265), (0.9, 1.11103)] {
        near("predictive", p.quantile(u), rate, 5e-6);
    }
    let (low, typ, high) = p.triple();
    near("low", low, 0.70213, 5e-6);
    near("typical", typ, 0.88323, 5e-6);
    near("high", high, 1.11103, 5e-6);
    // The 90 % point of t with 9 degrees, any table: 1.383.
    near("t", student_quantile(0.9, 9), 1.383, 5e-4);
}

#[test]
fn scores_of_forecasts() {
    // Computed outside (scipy).
    let p = [0.9, 0.8, 0.8, 0.7, 0.6, 0.5, 0.9, 0.3, 0.8, 0.6];
    let came = [true, true, false, true, true, false, true, false, true, false];
    let all: Vec<(f64, bool)> = p.into_iter().zip(came).collect();
    near("Brier", scores::brier(&all).expect("ten"), 0.169, 1e-12);
    near("pinball, late", scores::pinball(0.8, 24.0, 27.0), 2.4, 1e-12);
    near("pinball, early", scores::pinball(0.8, 24.0, 21.0), 0.6, 1e-12);
    near("CRPS", scores::crps(&[24.0, 18.0, 30.0, 20.0, 21.0], 22.0).expect("five"), 1.16, 1e-12);
    assert_eq!((scores::plausible_hits(10, 0.8), scores::plausible_hits(20, 0.8)), ((5, 10), (12, 19)));
    // Edges.
    assert_eq!((scores::brier(&[]), scores::crps(&[], 1.0)), (None, None));
    near("one value", scores::crps(&[4.0], 6.0).expect("one"), 2.0, 0.0);
    assert_eq!((scores::plausible_hits(0, 0.8), scores::plausible_hits(5, 1.0)), ((0, 0), (5, 5)));
}
