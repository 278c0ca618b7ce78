//! Published networks through the whole chain: text of a job file, dispatch, trials.
//!
//! `networks` checks the same values over a plain forward pass; here nothing but the engine a
//! job goes through. Simulated reference values were computed outside the project (scipy) with
//! at least a million independent trials; 10,000 trials in blocks of 500 spread by .0060 in the
//! mean, .0282 in the 80 % date, .0024 in P(<= 47) of the house (150 repeats): four times that
//! is allowed, and what the reference itself may be off by.

use roomback::desk::Sound;
use roomback::forecast::{Forecast, Options};
use roomback::job::{Day, Hm, Job, Person, Week};
use roomback::schedule::{Net, Order, Plan, Setting, State, chalk, plan};
use roomback::search::search;
use roomback::work::{Ask, Crew, Kind, Spread, WorkGraph};

use crate::net::{self, UNIT, link, plain_step};
use crate::samples::sound;

#[track_caller]
fn near(what: &str, got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "{what}: {got}, not {want} within {tolerance}");
}

/// A study as a job file: `(id, values, needs as written)`; one value is fixed.
fn file(scheme: &str, common: f64, steps: &[(&str, &[f64], &[&str])]) -> String {
    let rows: String = steps
        .iter()
        .map(|(id, values, needs)| {
            let scheme = if values.len() == 1 { "fixed" } else { scheme };
            let needs: Vec<String> = needs
                .iter()
                .map(|n| if n.contains(':') { format!("({n})") } else { format!("(step: \"{n}\")") })
                .collect();
            format!(
                "(id: \"{id}\", hands: none, duration: (scheme: {scheme}, values: {values:?}), needs: [{}]),\n",
                needs.join(", ")
            )
        })
        .collect();
    format!(
        "(format: 1, name: \"network\",\nstudy: (unit_minutes: 10000, pace: off, widening: 1.0, cap: off, common: {common}),\nsteps: [\n{rows}])"
    )
}

fn opened(scheme: &str, common: f64, steps: &[(&str, &[f64], &[&str])]) -> Sound {
    sound(&file(scheme, common, steps))
}

/// The plan's finish in units, and the forecast.
fn forecast(s: &Sound, seed: u64) -> (f64, Forecast) {
    let found = s.plan(false).expect("a plan");
    let f = s.forecast(&found, Options { trials: 10_000, seed, cause_trials: 0 }).expect("a forecast");
    assert_eq!((f.trials, f.clean_run), (10_000, found.plan.finish));
    (found.plan.finish.0 as f64 / UNIT, f)
}

fn moments(f: &Forecast) -> (f64, f64) {
    assert_eq!(f.origin, 0);
    let m = f.elapsed_hours();
    (m.mean * 60.0 / UNIT, m.sd * 60.0 / UNIT)
}

fn by(f: &Forecast, units: f64) -> f64 {
    f.sorted.partition_point(|&x| x as f64 <= units * UNIT) as f64 / f.sorted.len() as f64
}

fn p(f: &Forecast, share: f64) -> f64 {
    f.quantile(share).0.0 as f64 / UNIT
}

/// House building of F. S. Hillier and G. J. Lieberman, *Introduction to Operations
/// Research*, project-management chapter: weeks. The network was read in two reprints, the
/// triples are from memory [M].
const HOUSE: [(&str, &[f64], &[&str]); 14] = [
    ("a", &[1., 2., 3.], &[]),
    ("b", &[2., 3.5, 8.], &["a"]),
    ("c", &[6., 9., 18.], &["b"]),
    ("d", &[4., 5.5, 10.], &["c"]),
    ("e", &[1., 4.5, 5.], &["c"]),
    ("f", &[4., 4., 10.], &["e"]),
    ("g", &[5., 6.5, 11.], &["d"]),
    ("h", &[5., 8., 17.], &["e", "g"]),
    ("i", &[3., 7.5, 9.], &["c"]),
    ("j", &[3., 9., 9.], &["f", "i"]),
    ("k", &[4.], &["j"]),
    ("l", &[1., 5.5, 7.], &["j"]),
    ("m", &[1., 2., 3.], &["h"]),
    ("n", &[5., 5.5, 9.], &["k", "l"]),
];

#[test]
fn house_building() {
    let (plan, f) = forecast(&opened("beta_pert", 0.0, &HOUSE), 1);
    assert_eq!(plan, 43.0, "all as likely");
    let (mean, sd) = moments(&f);
    near("mean", mean, 44.329, 0.024 + 0.005);
    near("sd", sd, 2.933, 0.06);
    near("P50", p(&f, 0.5), 44.198, 0.113 + 0.02);
    near("P80", p(&f, 0.8), 46.813, 0.113 + 0.02);
    near("P(<= 47)", by(&f, 47.0), 0.8160, 0.0096 + 0.005);
    // Steps on the path in every trial, one never far from it, one that ends nothing.
    let share = |id: &str| f.on_date[HOUSE.iter().position(|s| s.0 == id).expect("a step")];
    assert_eq!([share("a"), share("b"), share("c")], [1.0; 3]);
    near("E holds the date", share("e"), 0.830, 0.02);
    near("J holds the date", share("j"), 0.901, 0.02);
    near("L holds the date", share("l"), 0.745, 0.02);
    near("D holds the date", share("d"), 0.099, 0.02);
}

#[test]
fn house_building_by_triangles_and_with_a_common_factor() {
    let (_, f) = forecast(&opened("triangular", 0.0, &HOUSE), 1);
    let (mean, sd) = moments(&f);
    near("mean", mean, 46.236, 0.035);
    near("sd", sd, 3.692, 0.07);
    near("P80", p(&f, 0.8), 49.384, 0.15);
    near("P(<= 47)", by(&f, 47.0), 0.5934, 0.013);
    for (rho, sd, share) in [(0.3, 4.73, 0.723), (0.6, 5.97, 0.683)] {
        let (_, f) = forecast(&opened("beta_pert", rho, &HOUSE), 2);
        near("sd", moments(&f).1, sd, 0.08);
        near("P(<= 47)", by(&f, 47.0), share, 0.016);
    }
}

#[test]
fn merging_paths() {
    // Triangular 80/100/120 in n parallel paths: exact values from the n-th power of the
    // distribution; the problem in S. Bhat (2015). One plain trial's error of the share is .005.
    let ids = ["p1", "p2", "p3", "p4"];
    let exact = [
        (1, 0.5, 100.0, 107.3509, Some(100.0)),
        (2, 0.25, 104.6927, 110.8099, Some(104.6667)),
        (3, 0.125, 107.1532, 112.4273, None),
        (4, 0.0625, 108.7180, 113.4116, Some(108.4841)),
    ];
    for (n, share, p50, p80, mean) in exact {
        let steps: Vec<_> = ids[..n].iter().map(|id| (*id, &[80., 100., 120.][..], &[][..])).collect();
        let (plan, f) = forecast(&opened("triangular", 0.0, &steps), 4);
        assert_eq!(plan, 100.0);
        near("P(<= 100)", by(&f, 100.0), share, 0.015);
        near("P50", p(&f, 0.5), p50, 0.35);
        near("P80", p(&f, 0.8), p80, 0.35);
        if let Some(mean) = mean {
            near("mean", moments(&f).0, mean, 0.2);
        }
    }
}

#[test]
fn vignette_of_the_r_package_critpath() {
    // A. Kucharski, R package critpath 0.2.2 (CRAN), vignette: activities on arcs, each at its
    // PERT mean, end at 31 by A-B-E-H-I.
    let s = opened(
        "fixed",
        0.0,
        &[
            ("a", &[5.], &[]),
            ("b", &[7.], &["a"]),
            ("c", &[5.5], &["b"]),
            ("d", &[5.5], &["b"]),
            ("e", &[8.], &["b"]),
            ("f", &[5.5], &["c"]),
            ("g", &[6.], &["d"]),
            ("h", &[5.], &["e"]),
            ("i", &[6.], &["f", "g", "h"]),
        ],
    );
    let found = s.plan(false).expect("a plan");
    assert_eq!(found.plan.finish.0 as f64 / UNIT, 31.0);
    assert_eq!(found.bound, found.plan.finish);
    let line: Vec<&str> =
        chalk(&s.net(&found), &found.plan).iter().map(|x| s.graph.steps[x.step].id.as_str()).collect();
    assert_eq!(line, ["a", "b", "e", "h", "i"]);
}

/// Begins and ends of a study's plan, units.
fn dates(s: &Sound) -> Vec<(f64, f64)> {
    let p = s.plan(false).expect("a plan").plan;
    (0..s.graph.steps.len())
        .map(|i| p.timed(i).expect("planned"))
        .map(|t| (t.begin.0 as f64 / UNIT, t.end.0 as f64 / UNIT))
        .collect()
}

/// Early dates by CPM, units.
fn early(graph: &WorkGraph) -> Vec<(f64, f64)> {
    let c = net::typical(graph);
    c.dates
        .iter()
        .zip(&graph.steps)
        .map(|(d, s)| {
            let Kind::Elapsed(x) = s.kind else { panic!("elapsed") };
            let b = d.as_ref().expect("planned").early_begin as f64 / UNIT;
            (b, b + x.typical() as f64 / UNIT)
        })
        .collect()
}

#[test]
fn links_of_all_kinds_with_lags_by_hand() {
    let s = opened(
        "fixed",
        0.0,
        &[
            ("a", &[5.], &[]),
            ("b", &[4.], &["step: \"a\", link: ss, lag: 2"]),
            ("c", &[3.], &["step: \"a\", link: ff, lag: 1"]),
            ("d", &[2.], &["step: \"b\", link: sf, lag: 6"]),
            ("e", &[1.], &["c", "step: \"d\", lag: 1.5"]),
        ],
    );
    // c ends 1 after a, d ends 6 after the begin of b, e begins 1.5 after d.
    let by_hand = [(0., 5.), (2., 6.), (3., 6.), (6., 8.), (9.5, 10.5)];
    assert_eq!(dates(&s), by_hand);
    assert_eq!(early(&s.graph), by_hand);
}

/// Four people who are always there, and the allocation example as labor steps.
fn allocation() -> (Job, WorkGraph) {
    let always = Week { days: Day::ALL.to_vec(), open: Hm(0), close: Hm(1440), opening: 0, closing: 0, lunch: None };
    let person = |id: &str| Person { id: id.into(), week: Some(always.clone()), ..Person::default() };
    let (plain, needs, capacity) = net::allocation();
    let job = Job { crew: ["p", "q", "r", "s"].map(person).to_vec(), ..Job::default() };
    assert_eq!(job.crew.len() as u32, capacity);
    let hour = 60.0;
    let mut graph = WorkGraph { links: plain.links.clone(), ..WorkGraph::default() };
    for (i, n) in needs.into_iter().enumerate() {
        let hours = net::elapsed(&plain, i).typ / UNIT;
        let mut s = plain_step(&plain.steps[i].id);
        s.labor = Spread::fixed(hours * hour * f64::from(n));
        s.crew = Crew { fewest: n as usize, most: n as usize, who: vec![0, 1, 2, 3] };
        graph.steps.push(s);
    }
    (job, graph)
}

#[test]
fn allocation_example_of_the_r_package_projectmanagement() {
    // R package ProjectManagement, allocation example: durations 3, 4, 2, 1, needs 4, 1, 3, 3 of
    // a resource of 4, 1 before 2, 3 before 4: optimum 7, by exhaustion.
    let (job, graph) = allocation();
    let set = Setting::new(&job, &graph);
    let net = Net::new(&graph, &set, &[]);
    let dispatched = |order: Vec<usize>| -> Plan {
        let o = Order { order, methods: Vec::new(), people: vec![None; 4], holds: Vec::new() };
        plan(&net, &o, &mut State::default()).expect("a plan")
    };
    let mut ends = Vec::new();
    for k in 0..256usize {
        let order: Vec<usize> = (0..4).map(|i| k >> (2 * i) & 3).collect();
        if (0..4).all(|s| order.contains(&s)) {
            let p = dispatched(order);
            let faults = roomback::schedule::verify(&graph, &set, &p);
            assert!(faults.is_empty(), "{faults:?}");
            ends.push(p.finish.0);
        }
    }
    assert_eq!(ends.len(), 24);
    assert_eq!(ends.iter().min(), Some(&(7 * 60)));
    assert!(ends.iter().any(|&e| e > 7 * 60), "the order matters");
    let found = search(&graph, &set, None, &[], true, &|| false).expect("a plan");
    assert_eq!(found.plan.finish.0, 7 * 60);
    assert!(found.bound.0 <= 7 * 60);
    // Without the limit: the longer chain.
    assert_eq!(net::names(&net::allocation().0, &net::typical(&net::allocation().0).path), "1-2");
}

#[test]
fn dispatch_of_random_networks_is_cpm() {
    // Steps without hands on the elapsed clock: nothing competes, so early dates it is.
    let mut d = crate::random::Draws::new(8);
    for round in 0..crate::random::how_many(100) {
        let n = d.int(2, 14) as usize;
        let mut graph = WorkGraph::default();
        for i in 0..n {
            let kind = Kind::Elapsed(Spread::fixed(d.int(0, 900) as f64));
            graph.steps.push(roomback::work::Step { kind, ..plain_step(&format!("s{i}")) });
        }
        for to in 1..n {
            for from in 0..to {
                if d.chance(30) {
                    let ask = d.pick(&[Ask::Done, Ask::Done, Ask::Begun, Ask::EndAfterEnd, Ask::EndAfterBegin]);
                    graph.links.push(roomback::work::Link { lag: d.int(0, 300), ..link(from, to, ask) });
                }
            }
        }
        let job = Job::default();
        let set = Setting::new(&job, &graph);
        let net = Net::new(&graph, &set, &[]);
        let o = Order { order: net.topo(), methods: Vec::new(), people: vec![None; n], holds: Vec::new() };
        let p = plan(&net, &o, &mut State::default()).expect("a plan");
        let c = net::typical(&graph);
        for i in 0..n {
            let got = p.timed(i).expect("planned").begin.0;
            let want = c.dates[i].as_ref().expect("planned").early_begin;
            assert_eq!(got, want, "network {round}: s{i} of {n} {:?}", graph.links);
        }
        assert_eq!(p.finish.0, c.length, "network {round}");
    }
}
