//! Published instances with durations left to chance, dispatched by the engine of the plan.
//!
//! A list by latest finish times of the network alone is dispatched in every trial: each step
//! of elapsed time takes of its pools, and begins at the first instant its needs are met and
//! its pools suffice, the list deciding where not all can. One unit of time is [`UNIT`]
//! minutes, so whole minutes round nothing worth naming. Durations are independent, their
//! means those of the file. Nobody's hands, no calendar: time is elapsed.
//!
//! Rules and shapes as in F. Ballestín and R. Leus, *Production and Operations Management* 18
//! (2009) 459-474, cited from memory. Figures are per cent of the expected finish over the
//! critical path of the means.

use roomback::clock::DayShift;
use roomback::forecast::draws::{Stream, id};
use roomback::job::Job;
use roomback::schedule::{Net, Order, Prepared, Setting, State, World, finish};
use roomback::work::{Ask, Kind, Link, Spread, Step, WorkGraph};

use crate::sm::Instance;

/// Minutes in a unit of time.
const UNIT: f64 = 1000.0;

/// How durations scatter around a mean d.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    Fixed,
    /// d - sqrt d to d + sqrt d.
    Narrow,
    /// 0 to 2 d.
    Wide,
    Exponential,
}

impl Shape {
    pub const ALL: [Shape; 4] = [Shape::Fixed, Shape::Narrow, Shape::Wide, Shape::Exponential];

    pub fn words(self) -> &'static str {
        match self {
            Shape::Fixed => "as in the file",
            Shape::Narrow => "uniform d +/- sqrt d",
            Shape::Wide => "uniform 0 to 2 d",
            Shape::Exponential => "exponential",
        }
    }

    /// Units of time at a uniform number `u`.
    fn at(self, mean: f64, u: f64) -> f64 {
        match self {
            Shape::Fixed => mean,
            Shape::Narrow => mean + (2.0 * u - 1.0) * mean.sqrt(),
            Shape::Wide => 2.0 * mean * u,
            Shape::Exponential => -mean * (1.0 - u).ln(),
        }
    }
}

/// An instance as work without hands.
fn graph(i: &Instance) -> WorkGraph {
    let n = i.duration.len();
    let step = |s: usize| Step {
        pools: (0..i.capacity.len()).map(|p| (p, i.demand[s][p])).filter(|x| x.1 > 0).collect(),
        ..Step::bare(format!("job {}", s + 1), Kind::Elapsed(Spread::fixed(f64::from(i.duration[s]) * UNIT)))
    };
    let link = |from: usize, to: usize| Link { from, to, ask: Ask::Done, lag: 0, longest_h: None, when: Vec::new() };
    WorkGraph {
        steps: (0..n).map(step).collect(),
        links: (0..n).flat_map(|s| i.needs[s].iter().map(move |&p| link(p, s))).collect(),
        pools: i.capacity.clone(),
        ..WorkGraph::default()
    }
}

/// Steps by latest finish in the network alone, then by number; the critical path in minutes.
fn latest_finish(net: &Net) -> (Vec<usize>, i64) {
    let path = net.free_end.iter().copied().max().unwrap_or(0);
    let mut late = vec![path; net.free_end.len()];
    for &s in net.topo().iter().rev() {
        let follow = net.followers[s].iter().map(|&f| late[f] - net.typical[f]);
        late[s] = follow.fold(path, i64::min);
    }
    let mut list: Vec<usize> = (0..late.len()).collect();
    list.sort_by_key(|&s| (late[s], s));
    (list, path)
}

/// One trial's durations, minutes.
struct Drawn(Vec<i64>);

impl World for Drawn {
    fn takes(&self, step: usize) -> i64 {
        self.0[step]
    }
    fn needed(&self, _step: usize) -> bool {
        false
    }
    fn shift<'a>(&'a mut self, set: &'a Setting, worker: usize, day: i64) -> &'a DayShift {
        set.workers[worker].shifts.day(day)
    }
    fn open(&mut self, _day: i64) -> bool {
        true
    }
    fn drying(&mut self, _step: usize, _day: i64) -> Option<i64> {
        None
    }
}

/// Per cent of the mean finish over the critical path of the means.
///
/// # Errors
/// Where dispatch finds no way on.
pub fn over_path(i: &Instance, shape: Shape, trials: usize) -> Result<f64, String> {
    let graph = graph(i);
    let set = Setting::new(&Job::default(), &graph);
    let net = Net::new(&graph, &set, &[]);
    let (list, path) = latest_finish(&net);
    let n = graph.steps.len();
    let order = Order { order: list, methods: Vec::new(), people: vec![None; n], holds: Vec::new() };
    let ready = Prepared::new(&net, &order);
    let (mut world, mut state) = (Drawn(vec![0; n]), State::default());
    let trials = if shape == Shape::Fixed { 1 } else { trials.max(1) };
    let mut sum = 0.0;
    for trial in 0..trials {
        let mut chance = Stream::new(1, id(&i.name), 0, trial as u64);
        for (took, &d) in world.0.iter_mut().zip(&i.duration) {
            *took = (shape.at(f64::from(d), chance.uniform()) * UNIT).round() as i64;
        }
        ready.run(&mut world, &mut state).map_err(|e| format!("{}: {e}", i.name))?;
        sum += finish(&net, &state) as f64;
    }
    Ok(100.0 * (sum / trials as f64 / path.max(1) as f64 - 1.0))
}
