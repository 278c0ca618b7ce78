//! A first search for a short order: priority rules, one justification, then insertion and
//! swap within a fixed number of schedules. Every candidate is dispatched; only the
//! dispatched plan counts. Deterministic: one stream of chance, no clock, no threads.

use super::bound::bound;
use super::exact::{budget, exact};
use super::keep::place_missing;
use crate::clock::{At, Clock, UNIT};
use crate::forecast::draws::{Stream, id};
use crate::forecast::world::crew_clock;
use crate::schedule::{Net, Order, Plan, PlanHold, Setting, State, Stuck, Typical, finish, plan, run};
use crate::work::{Ask, Kind, WorkGraph};

/// How far the plan is known to be the shortest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proven {
    /// It ends at the bound.
    ByBound,
    /// Branching left no plan that would end sooner.
    BySearch,
    No,
}

/// A plan with what is known of its length.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    pub plan: Plan,
    pub bound: At,
    pub proven: Proven,
    /// Working minutes of the crew between bound and finish over those from start to finish.
    pub gap: f64,
    /// Schedules built.
    pub schedules: usize,
    /// Stopped before its budget was spent.
    pub unfinished: bool,
}

/// What makes one plan better than another: finish, then trips, then stretches of work.
type Score = (i64, i64, usize);

struct Search<'a> {
    graph: &'a WorkGraph,
    set: &'a Setting,
    nets: Vec<Net<'a>>,
    people: Vec<Option<Vec<usize>>>,
    holds: Vec<PlanHold>,
    st: State,
    schedules: usize,
}

/// Searches for a short order; with `improve` false only dispatches `start`.
///
/// The budget is a number of schedules set by the number of steps. `holds` are kept.
///
/// # Errors
/// [`Stuck`] when no order tried can be carried out.
pub fn search(
    graph: &WorkGraph,
    set: &Setting,
    start: Option<&Order>,
    holds: &[PlanHold],
    improve: bool,
    cancel: &(dyn Fn() -> bool + Sync),
) -> Result<Found, Stuck> {
    let low = bound(graph, set);
    let mut s = Search {
        graph,
        set,
        nets: Vec::new(),
        people: start.map_or_else(|| vec![None; graph.steps.len()], |o| o.people.clone()),
        holds: holds.to_vec(),
        st: State::default(),
        schedules: 0,
    };
    let mut unfinished = false;
    let best = match start {
        Some(o) if !improve => o.clone(),
        _ => {
            let (o, stopped) = s.improve(start, low.at.0, &low.methods, cancel)?;
            unfinished = stopped;
            o
        }
    };
    let net = s.net(&best.methods);
    let mut p = plan(&s.nets[net], &best, &mut s.st)?;
    let mut proven = if p.finish <= low.at { Proven::ByBound } else { Proven::No };
    let mut at = low.at;
    if proven == Proven::No && !unfinished && (improve || start.is_none()) {
        let e = exact(graph, set, &p.order, p.finish, low.at, budget(graph), cancel);
        if let Some(o) = &e.better {
            let net = s.net(&o.methods);
            p = plan(&s.nets[net], o, &mut s.st)?;
        }
        at = e.bound;
        proven = if e.whole { Proven::BySearch } else { Proven::No };
    }
    let gap = gap(set, at, p.finish);
    Ok(Found { plan: p, bound: at, proven, gap, schedules: s.schedules, unfinished })
}

/// Working minutes of the crew between bound and finish over those from start to finish.
pub fn gap(set: &Setting, low: At, finish: At) -> f64 {
    let (clock, _) = crew_clock(set);
    let whole = clock.progress(0, finish.0);
    if whole <= 0 || finish <= low { 0.0 } else { clock.progress(low.0, finish.0) as f64 / whole as f64 }
}

impl<'a> Search<'a> {
    fn net(&mut self, methods: &[usize]) -> usize {
        if let Some(i) = self.nets.iter().position(|n| n.methods == methods) {
            return i;
        }
        self.nets.push(Net::new(self.graph, self.set, methods));
        self.nets.len() - 1
    }

    fn order(&self, net: usize, order: &[usize]) -> Order {
        let n = &self.nets[net];
        Order {
            order: order.iter().copied().filter(|&s| n.present[s]).collect(),
            methods: n.methods.clone(),
            people: self.people.clone(),
            holds: self.holds.clone(),
        }
    }

    /// Builds one schedule; `None` where it cannot be carried out.
    fn score(&mut self, net: usize, order: &[usize]) -> Option<Score> {
        let o = self.order(net, order);
        self.schedules += 1;
        let n = &self.nets[net];
        run(n, &o, &mut Typical(n), &mut self.st).ok()?;
        let trips = self.st.runs.iter().map(|r| r.trip).sum();
        Some((finish(n, &self.st), trips, self.st.runs.len()))
    }

    fn budget(&self) -> usize {
        let n = self.graph.steps.iter().filter(|s| s.role.planned()).count().max(1);
        (200_000 / n).clamp(300, 2_500)
    }

    /// Rules, justification, then insertion and swap.
    fn improve(
        &mut self,
        start: Option<&Order>,
        low: i64,
        low_methods: &[usize],
        cancel: &(dyn Fn() -> bool + Sync),
    ) -> Result<(Order, bool), Stuck> {
        let budget = self.budget();
        let mut best: Option<(Score, usize, Vec<usize>)> = None;
        let consider =
            |s: &mut Search<'a>, net: usize, order: Vec<usize>, best: &mut Option<(Score, usize, Vec<usize>)>| {
                if let Some(x) = s.score(net, &order)
                    && best.as_ref().is_none_or(|b| x < b.0)
                {
                    *best = Some((x, net, order));
                }
            };
        if let Some(o) = start {
            let net = self.net(&o.methods);
            consider(self, net, o.order.clone(), &mut best);
        }
        let mut assignments = vec![self.graph.usual()];
        if !assignments.iter().any(|a| a == low_methods) {
            assignments.push(low_methods.to_vec());
        }
        // Each free choice turned by itself from the usual methods.
        for (c, choice) in self.graph.choices.iter().enumerate() {
            if choice.fixed.is_some() {
                continue;
            }
            for o in 1..choice.options.len() {
                let mut m = self.graph.usual();
                m[c] = o;
                if assignments.len() < 24 && !assignments.contains(&m) {
                    assignments.push(m);
                }
            }
        }
        for m in &assignments {
            let net = self.net(m);
            for order in rules(&self.nets[net]) {
                consider(self, net, order, &mut best);
            }
        }
        let Some((_, net, order)) = best.clone() else {
            // Say why the plain order cannot be carried out.
            let net = self.net(&self.graph.usual());
            let o = self.order(net, &self.nets[net].topo());
            return Err(plan(&self.nets[net], &o, &mut self.st).err().unwrap_or(Stuck::TooMany));
        };
        // One justification: everything as late as the best finish allows, and again forward.
        if let Some(o) = self.justified(net, &order) {
            consider(self, net, o, &mut best);
        }
        let mut chance = Stream::new(0, id("search"), 0, 0);
        let mut stopped = false;
        while self.schedules < budget {
            let (score, net, order) = best.clone().expect("a first plan");
            if score.0 <= low && score.1 == 0 {
                break;
            }
            if self.schedules.is_multiple_of(16) && cancel() {
                stopped = true;
                break;
            }
            let (net, candidate) = self.neighbour(net, &order, &mut chance);
            if let Some(x) = self.score(net, &candidate)
                && x <= score
            {
                best = Some((x, net, candidate));
            }
        }
        let (_, net, order) = best.expect("a first plan");
        Ok((self.order(net, &order), stopped))
    }

    /// A step moved, two swapped, or a method turned.
    fn neighbour(&mut self, net: usize, order: &[usize], chance: &mut Stream) -> (usize, Vec<usize>) {
        let free: Vec<usize> = (0..self.graph.choices.len())
            .filter(|&c| self.graph.choices[c].fixed.is_none() && self.graph.choices[c].options.len() > 1)
            .collect();
        let mut next = order.to_vec();
        if !free.is_empty() && chance.below(12) == 0 {
            let c = free[chance.below(free.len() as u64) as usize];
            let mut m = self.nets[net].methods.clone();
            m[c] = (m[c] + 1 + chance.below(self.graph.choices[c].options.len() as u64 - 1) as usize)
                % self.graph.choices[c].options.len();
            let net = self.net(&m);
            let n = &self.nets[net];
            next.retain(|&s| n.present[s]);
            place_missing(n, &mut next);
            return (net, next);
        }
        let n = &self.nets[net];
        let movable: Vec<usize> = (0..next.len())
            .filter(|&i| n.labor(next[i]) && n.typical[next[i]] > 0 && n.graph.steps[next[i]].role.planned())
            .collect();
        if movable.len() < 2 {
            return (net, next);
        }
        let pick = |c: &mut Stream| movable[c.below(movable.len() as u64) as usize];
        let (i, j) = (pick(chance), pick(chance));
        if chance.below(3) == 0 {
            next.swap(i, j);
        } else {
            let s = next.remove(i);
            next.insert(j.min(next.len()), s);
        }
        (net, next)
    }

    /// The order by latest begins: deadlines backward from the finish by inverse clocks.
    fn justified(&mut self, net: usize, order: &[usize]) -> Option<Vec<usize>> {
        let n = &self.nets[net];
        let o = self.order(net, order);
        let p = plan(n, &o, &mut self.st).ok()?;
        self.schedules += 1;
        let mut latest = vec![p.finish.0; n.present.len()];
        for s in n.topo().into_iter().rev() {
            let mut end = p.finish.0;
            for &f in &n.followers[s] {
                for d in n.deps[f].iter().filter(|d| d.from == s) {
                    let by = latest[f] - d.lag;
                    end = end.min(match d.ask {
                        Ask::Done => by,
                        Ask::Dry(stage) => dry_before(n, s, stage, by),
                        Ask::Begun => by + n.typical[s],
                        Ask::EndAfterEnd | Ask::EndAfterBegin => by + n.typical[f],
                    });
                }
            }
            latest[s] = begin_before(n, s, end);
        }
        let mut out = order.to_vec();
        let rank = |s: usize| order.iter().position(|&x| x == s).unwrap_or(0);
        out.sort_by_key(|&s| (latest[s], rank(s)));
        Some(out)
    }
}

fn dry_before(n: &Net, s: usize, stage: crate::trade::Stage, by: i64) -> i64 {
    let x = n.stage_min[s][crate::schedule::stage_ix(stage)];
    let step = &n.graph.steps[s];
    match (step.coat, step.place) {
        (Some(c), Some(p)) => n
            .set
            .dry(c.product, p)
            .and_then(|d| d.of(stage).latest_start(by.max(0), x.max(0) * UNIT))
            .unwrap_or(0)
            .min(by),
        _ => by,
    }
}

fn begin_before(n: &Net, s: usize, end: i64) -> i64 {
    let back = |c: &Clock, x: i64| c.latest_start(end.max(0), x * UNIT).unwrap_or(0).min(end);
    match n.graph.steps[s].kind {
        Kind::Labor => match n.graph.steps[s].crew.who.first() {
            Some(&w) if n.typical[s] > 0 => back(&n.set.workers[w].clock, n.typical[s]),
            _ => end,
        },
        Kind::Elapsed(_) => end - n.typical[s],
        Kind::Business { minutes, .. } => back(&n.set.business, minutes),
        Kind::Decision { .. } => end,
    }
}

/// Orders by priority rules: longest tail of work and drying first, the same with labor alone,
/// most followers first, and the plain order top down.
fn rules(n: &Net) -> Vec<Vec<usize>> {
    let topo = n.topo();
    let len = n.present.len();
    let (_, day) = crew_clock(n.set);
    let stretch = 1_440.0 * 7.0 / 5.0 / day.max(1.0);
    let mut tail = vec![0.0f64; len];
    let mut labor_tail = vec![0.0f64; len];
    let mut below = vec![0usize; len];
    for &s in topo.iter().rev() {
        let planned = n.graph.steps[s].role.planned();
        let own = match n.graph.steps[s].kind {
            Kind::Labor if planned => n.typical[s] as f64 * stretch,
            Kind::Elapsed(_) => n.typical[s] as f64,
            Kind::Business { minutes, .. } => minutes as f64 * 1.4,
            _ => 0.0,
        };
        let mut after = 0.0f64;
        let mut labor_after = 0.0f64;
        for &f in &n.followers[s] {
            for d in n.deps[f].iter().filter(|d| d.from == s) {
                let dry = match d.ask {
                    Ask::Dry(stage) => n.stage_min[s][crate::schedule::stage_ix(stage)].max(0) as f64,
                    _ => 0.0,
                };
                after = after.max(tail[f] + dry + d.lag as f64);
            }
            labor_after = labor_after.max(labor_tail[f]);
            below[s] += 1 + below[f];
        }
        tail[s] = own + after;
        labor_tail[s] = own + labor_after;
    }
    let by = |key: &dyn Fn(usize) -> f64| {
        let mut o = topo.clone();
        let rank: Vec<usize> = {
            let mut r = vec![0; len];
            topo.iter().enumerate().for_each(|(i, &s)| r[s] = i);
            r
        };
        o.sort_by(|&a, &b| key(b).total_cmp(&key(a)).then(rank[a].cmp(&rank[b])));
        o
    };
    vec![topo.clone(), by(&|s| tail[s]), by(&|s| labor_tail[s]), by(&|s| below[s] as f64)]
}
