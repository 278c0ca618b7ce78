//! Networks and distributions against networkx and scipy, a few hundred random inputs each.
//! Inputs and answers stand in `tests/oracle`, beside the scripts that made them;
//! `tests/oracle/run` makes them again.

use roomback::forecast::normal;
use roomback::forecast::quantile::Shape;
use roomback::forecast::stats::{self, Moments};
use roomback::job::Scheme;
use roomback::work::{Ask, Kind, Spread, Step, WorkGraph};
use serde::Deserialize;

use crate::net::{link, plain_step, typical};

fn read<T: for<'a> Deserialize<'a>>(name: &str) -> T {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/oracle").join(name);
    let text = std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{name}: {e}"));
    serde_json::from_str(&text).unwrap_or_else(|e| panic!("{name}: {e}"))
}

#[derive(Deserialize)]
struct Network {
    minutes: Vec<i64>,
    links: Vec<(usize, usize, String, i64)>,
    length: i64,
    early: Vec<i64>,
    late: Vec<i64>,
    free: Vec<i64>,
}

#[test]
fn early_and_late_dates_are_longest_paths() {
    let networks: Vec<Network> = read("networks.json");
    assert_eq!(networks.len(), 300);
    let mut kinds = std::collections::BTreeSet::new();
    for (k, n) in networks.iter().enumerate() {
        let mut graph = WorkGraph::default();
        for (i, &minutes) in n.minutes.iter().enumerate() {
            let kind = Kind::Elapsed(Spread::fixed(minutes as f64));
            graph.steps.push(Step { kind, ..plain_step(&format!("s{i}")) });
        }
        for (a, b, kind, lag) in &n.links {
            let ask = match kind.as_str() {
                "done" => Ask::Done,
                "begun" => Ask::Begun,
                "end_after_end" => Ask::EndAfterEnd,
                "end_after_begin" => Ask::EndAfterBegin,
                other => panic!("a link {other}"),
            };
            kinds.insert(ask);
            graph.links.push(roomback::work::Link { lag: *lag, ..link(*a, *b, ask) });
        }
        let cpm = typical(&graph);
        assert_eq!(cpm.length, n.length, "network {k}");
        for (i, d) in cpm.dates.iter().enumerate() {
            let d = d.expect("planned");
            let want = (n.early[i], n.late[i], n.late[i] - n.early[i], n.free[i]);
            assert_eq!((d.early_begin, d.late_begin, d.total_float, d.free_float), want, "network {k}, step {i}");
            assert_eq!((d.early_end, d.late_end), (n.early[i] + n.minutes[i], n.late[i] + n.minutes[i]));
        }
    }
    assert_eq!(kinds.len(), 4);
}

/// low, typ, high, mean, sd, quantiles.
type Bounded = (f64, f64, f64, f64, f64, Vec<f64>);

#[derive(Deserialize)]
struct Distributions {
    shares: Vec<f64>,
    /// low, typ, high, widening, clamped, mean, sd, quantiles.
    #[allow(clippy::type_complexity, reason = "a row as it stands in the file")]
    split: Vec<(f64, f64, f64, f64, bool, f64, f64, Vec<f64>)>,
    pert: Vec<Bounded>,
    triangular: Vec<Bounded>,
    /// z, share below, density; share, z.
    normal: Vec<(f64, f64, f64, f64, f64)>,
    /// hits, of, low, high.
    wilson: Vec<(usize, usize, f64, f64)>,
    /// n, share, ranks.
    #[allow(clippy::type_complexity, reason = "a row as it stands in the file")]
    ranks: Vec<(usize, f64, Option<(usize, usize)>)>,
    /// values, mean, sd, low, high.
    moments: Vec<(Vec<f64>, f64, f64, f64, f64)>,
}

/// `got` within a part `tolerance` of `want`.
#[track_caller]
fn near(what: &str, got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance * want.abs(), "{what}: {got}, not {want}");
}

fn shape(scheme: Scheme, low: f64, typ: f64, high: f64, widening: f64, clamp: bool) -> Shape {
    Shape::new(&Spread { scheme, low, typ, high }, widening, clamp)
}

#[test]
fn shapes_have_scipys_moments_and_quantiles() {
    let d: Distributions = read("distributions.json");
    assert_eq!((d.split.len(), d.pert.len(), d.triangular.len(), d.shares.len()), (200, 200, 200, 9));
    for (low, typ, high, widening, clamp, mean, sd, points) in &d.split {
        let s = shape(Scheme::Split, *low, *typ, *high, *widening, *clamp);
        near("split lognormal mean", s.mean(), *mean, 1e-9);
        near("split lognormal sd", s.sd(), *sd, 1e-8);
        for (&u, &x) in d.shares.iter().zip(points) {
            near("split lognormal quantile", s.quantile(u), x, 1e-11);
        }
    }
    for (scheme, rows, within) in [(Scheme::BetaPert, &d.pert, 1e-5), (Scheme::Triangular, &d.triangular, 1e-10)] {
        for (low, typ, high, mean, sd, points) in rows {
            let s = shape(scheme, *low, *typ, *high, 1.0, false);
            near("mean", s.mean(), *mean, 1e-11);
            near("sd", s.sd(), *sd, 1e-10);
            for (&u, &x) in d.shares.iter().zip(points) {
                // A beta-PERT is read from a table, a part of its range off.
                let off = (s.quantile(u) - x).abs();
                assert!(
                    off <= within * (high - low),
                    "{scheme:?} {low} {typ} {high}: {} at {u}, not {x}",
                    s.quantile(u)
                );
            }
        }
    }
}

#[test]
fn intervals_and_the_normal_are_scipys() {
    let d: Distributions = read("distributions.json");
    assert_eq!((d.normal.len(), d.wilson.len(), d.ranks.len(), d.moments.len()), (200, 200, 200, 200));
    for &(z, below, density, u, point) in &d.normal {
        near("share below", normal::cdf(z), below, 1e-10);
        near("density", normal::density(z), density, 1e-10);
        // A share near one half lies at a score near zero.
        assert!((normal::inverse(u) - point).abs() <= 1e-10 * point.abs().max(1e-3), "z of {u}");
    }
    for &(k, n, low, high) in &d.wilson {
        let share = stats::share(k, n);
        assert!((share.low - low).abs() < 1e-11 && (share.high - high).abs() < 1e-11, "{k} of {n}: {share:?}");
    }
    for &(n, p, ranks) in &d.ranks {
        assert_eq!(stats::quantile_ranks(n, p), ranks, "{p} of {n}");
    }
    assert!(d.ranks.iter().any(|r| r.2.is_none()) && d.ranks.iter().any(|r| r.2.is_some()));
    for (values, mean, sd, low, high) in &d.moments {
        let m = Moments::of(values.iter().copied());
        near("mean", m.mean, *mean, 1e-10);
        near("sd", m.sd, *sd, 1e-9);
        near("low", m.interval().low, *low, 1e-9);
        near("high", m.interval().high, *high, 1e-9);
    }
}
