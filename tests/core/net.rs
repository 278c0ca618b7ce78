//! Builders of published networks: steps without a crew on a plain elapsed clock.
//!
//! One unit of a network is [`UNIT`] minutes, no cause of lateness but the durations, no
//! widening, no clamp.

use roomback::clock::DAY;
use roomback::forecast::draws::{self, BLOCK};
use roomback::forecast::quantile::Shape;
use roomback::forecast::stats::{Moments, quantile};
use roomback::job::{Duration, Hands, Job, LinkKind, Need, OwnStep, Scheme, Study, Switch};
use roomback::work::cpm::{Cpm, Network, Pert};
use roomback::work::{Ask, Kind, Link, Spread, Step, WorkGraph};

/// Minutes in one unit of a published network.
pub const UNIT: f64 = 10_000.0;

/// A step with nothing to it: no labor, no place, no flags; for tests to change.
pub fn plain_step(id: &str) -> Step {
    Step { own_history: true, ..Step::bare(id, Kind::Labor) }
}

/// A link without lag or condition.
pub fn link(from: usize, to: usize, ask: Ask) -> Link {
    Link { from, to, ask, lag: 0, longest_h: None, when: Vec::new() }
}

fn spread(scheme: Scheme, values: &[f64]) -> Spread {
    match *values {
        [low, typ, high] => Spread { scheme, low: low * UNIT, typ: typ * UNIT, high: high * UNIT },
        [one] => Spread::fixed(one * UNIT),
        _ => panic!("one value or three"),
    }
}

/// A published network `(name, scheme, values in units, finish-start predecessors)` as a job
/// file would hold it, and as a work graph.
pub fn network(steps: &[(&str, Scheme, &[f64], &[&str])]) -> (Job, WorkGraph) {
    let find = |name: &str| steps.iter().position(|s| s.0 == name).expect("a step of the network");
    let mut job = Job {
        study: Some(Study {
            unit_minutes: UNIT as i64,
            pace: Switch::Off,
            widening: 1.0,
            cap: Switch::Off,
            common: 0.0,
        }),
        ..Job::default()
    };
    let mut graph = WorkGraph::default();
    for (i, &(id, scheme, values, before)) in steps.iter().enumerate() {
        let need = |b: &&str| Need { step: (*b).into(), link: LinkKind::Fs, dry: None, lag: 0.0, longest: None };
        job.steps.push(OwnStep {
            id: id.into(),
            duration: Some(Duration { scheme, values: values.to_vec() }),
            hands: Hands { fewest: 0, most: 0, who: Vec::new() },
            needs: before.iter().map(need).collect(),
            ..OwnStep::default()
        });
        graph.steps.push(Step { kind: Kind::Elapsed(spread(scheme, values)), ..plain_step(id) });
        graph.links.extend(before.iter().map(|b| link(find(b), i, Ask::Done)));
    }
    (job, graph)
}

/// The allocation example of the R package ProjectManagement: four activities, what each
/// needs of one resource, and how much of it there is. Optimum 7 (exhaustive).
pub fn allocation() -> (WorkGraph, [u32; 4], u32) {
    let graph = network(&[
        ("1", Scheme::Fixed, &[3.], &[]),
        ("2", Scheme::Fixed, &[4.], &["1"]),
        ("3", Scheme::Fixed, &[2.], &[]),
        ("4", Scheme::Fixed, &[1.], &["3"]),
    ])
    .1;
    (graph, [4, 1, 3, 3], 4)
}

/// Activities on arcs `(name, from, to)` to finish-start predecessors: those whose arc ends
/// where this one begins. In the order given.
pub fn arcs<'a>(list: &[(&'a str, u32, u32)]) -> Vec<Vec<&'a str>> {
    list.iter().map(|&(_, from, _)| list.iter().filter(|a| a.2 == from).map(|a| a.0).collect()).collect()
}

/// The elapsed duration of a step.
pub fn elapsed(graph: &WorkGraph, step: usize) -> Spread {
    match graph.steps[step].kind {
        Kind::Elapsed(s) => s,
        _ => Spread::ZERO,
    }
}

/// Compiles a network without coats.
pub fn compile(graph: &WorkGraph) -> Network {
    Network::new(graph, &[], |_| 0)
}

/// CPM at the typical durations.
pub fn typical(graph: &WorkGraph) -> Cpm {
    compile(graph).cpm(|s| elapsed(graph, s).typical())
}

/// Classical PERT.
pub fn pert(graph: &WorkGraph) -> Pert {
    compile(graph).pert(|s| {
        let d = elapsed(graph, s);
        [d.low, d.typ, d.high]
    })
}

/// Ids of steps, joined by `-`.
pub fn names(graph: &WorkGraph, path: &[usize]) -> String {
    path.iter().map(|&s| graph.steps[s].id.as_str()).collect::<Vec<_>>().join("-")
}

/// A step by id.
pub fn at(graph: &WorkGraph, id: &str) -> usize {
    graph.find(id, &[]).expect("a step of the network")
}

/// What a trial's scores are made of.
#[derive(Clone, Copy, PartialEq)]
pub enum Sampling {
    /// Blocks of 500, each a complete Latin hypercube.
    Blocks,
    /// Independent numbers.
    Plain,
}

/// Scores of one step over `trials`, one common factor of correlation `rho` mixed in.
pub fn scores(seed: u64, id: &str, trials: usize, rho: f64, how: Sampling) -> Vec<f64> {
    let own = column(seed, draws::id(id), trials, how);
    if rho == 0.0 {
        return own;
    }
    let common = column(seed, draws::id("common"), trials, how);
    let (a, b) = (libm::sqrt(rho), libm::sqrt(1.0 - rho));
    own.iter().zip(&common).map(|(e, g)| a * g + b * e).collect()
}

fn column(seed: u64, id: u64, trials: usize, how: Sampling) -> Vec<f64> {
    let mut out = Vec::with_capacity(trials);
    match how {
        Sampling::Plain => {
            out.extend((0..trials as u64).map(|t| roomback::forecast::normal::inverse(draws::uniform(seed, id, 0, t))))
        }
        Sampling::Blocks => {
            let mut block = [0.0; BLOCK];
            for k in 0..trials.div_ceil(BLOCK) {
                draws::normal_block(seed, id, k as u32, &mut block);
                out.extend_from_slice(&block[..BLOCK.min(trials - k * BLOCK)]);
            }
        }
    }
    out
}

/// A sampled network.
pub struct Sample {
    /// Ends in minutes, by trial.
    pub ends: Vec<i64>,
    pub sorted: Vec<i64>,
}

impl Sample {
    /// Of ends by trial.
    pub fn of(ends: Vec<i64>) -> Sample {
        let mut sorted = ends.clone();
        sorted.sort_unstable();
        Sample { ends, sorted }
    }
    /// Mean and standard deviation, units.
    pub fn moments(&self) -> (f64, f64) {
        let m = Moments::of(self.ends.iter().map(|&x| x as f64 / UNIT));
        (m.mean, m.sd)
    }
    /// Quantile, units.
    pub fn quantile(&self, p: f64) -> f64 {
        quantile(&self.sorted, p).expect("trials") as f64 / UNIT
    }
    /// Share of trials that end by `units`.
    pub fn by(&self, units: f64) -> f64 {
        self.sorted.partition_point(|&x| x as f64 <= units * UNIT) as f64 / self.sorted.len() as f64
    }
}

/// Shapes of all steps, as stated.
pub fn shapes(graph: &WorkGraph) -> Vec<Shape> {
    (0..graph.steps.len()).map(|s| Shape::new(&elapsed(graph, s), 1.0, false)).collect()
}

/// Drawn durations by step, then trial: minutes.
pub fn draw_all(graph: &WorkGraph, seed: u64, trials: usize, rho: f64, how: Sampling) -> Vec<Vec<i64>> {
    draw_from(&shapes(graph), graph, seed, trials, rho, how)
}

/// The same from shapes compiled before.
pub fn draw_from(
    shapes: &[Shape],
    graph: &WorkGraph,
    seed: u64,
    trials: usize,
    rho: f64,
    how: Sampling,
) -> Vec<Vec<i64>> {
    let ids = graph.steps.iter().map(|s| s.id.as_str());
    shapes
        .iter()
        .zip(ids)
        .map(|(shape, id)| scores(seed, id, trials, rho, how).into_iter().map(|z| shape.draw(z)).collect())
        .collect()
}

/// Forward passes over drawn durations, `change(step, minutes)` applied to each.
pub fn run(graph: &WorkGraph, drawn: &[Vec<i64>], change: impl Fn(usize, i64) -> i64) -> Sample {
    let net = compile(graph);
    let (mut d, mut begin) = (vec![0; drawn.len()], vec![0; drawn.len()]);
    let trials = drawn.first().map_or(0, Vec::len);
    let mut one = |t: usize| {
        for s in 0..d.len() {
            d[s] = change(s, drawn[s][t]);
        }
        net.forward(&d, &mut begin)
    };
    Sample::of((0..trials).map(&mut one).collect())
}

/// A whole simulation.
pub fn simulate(graph: &WorkGraph, seed: u64, trials: usize, rho: f64, how: Sampling) -> Sample {
    run(graph, &draw_all(graph, seed, trials, rho, how), |_, d| d)
}

/// `(day, minute of day)` of a minute.
pub fn day_and_minute(t: i64) -> (i64, i64) {
    (t.div_euclid(DAY), t.rem_euclid(DAY))
}
