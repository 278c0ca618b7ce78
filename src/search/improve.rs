//! A short order for a crew job: the islands of `islands.rs` over the builder of `crew.rs`.
//!
//! Every candidate is dispatched; only the dispatched plan counts. Better is the earlier
//! finish, then fewer trips, fewer days of a person worked but not filled, fewer stretches,
//! the smallest order. The budget is a number of schedules set by the number of steps.

use super::bound::{Bound, bound};
use super::crew::CrewJob;
use super::exact::{self, exact};
use super::islands::{self, Habits};
use super::steady::{NEAR, most, steadiest};
use crate::clock::{At, UNIT};
use crate::forecast::world::crew_clock;
use crate::job::Job;
use crate::schedule::{Net, Order, Plan, PlanHold, Setting, State, Stuck, plan};
use crate::work::WorkGraph;

/// Orders handed back for a later choice among near ties.
const HANDED_BACK: usize = 16;

/// A slow job's pace.
const SLOW: (i64, i64) = (4, 5);
/// Share of the budget spent on it, one in so many.
const SLOW_SHARE: usize = 3;
/// Orders of it looked at.
const SLOW_KEPT: usize = 8;

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

/// What the search tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// Distinct plans' orders with their finish, best first, at most sixteen; never empty.
    pub orders: Vec<(At, Order)>,
    /// Schedules built.
    pub schedules: usize,
    /// Stopped before its budget was spent.
    pub unfinished: bool,
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
    Ok(shortest(graph, set, start, holds, improve, cancel)?.0)
}

/// [`search`] that takes among about equally short orders the one that keeps its date best in
/// drawn worlds: of those that end with the shortest where that one is proven, else of those
/// up to half a working hour later.
///
/// # Errors
/// [`Stuck`] when no order tried can be carried out.
pub fn steady(
    job: &Job,
    graph: &WorkGraph,
    set: &Setting,
    start: Option<&Order>,
    holds: &[PlanHold],
    improve: bool,
    cancel: &(dyn Fn() -> bool + Sync),
) -> Result<Found, Stuck> {
    let (mut found, near) = shortest(graph, set, start, holds, improve, cancel)?;
    if near.is_empty() || found.unfinished || job.study.is_some() {
        return Ok(found);
    }
    let shortest = found.plan.finish;
    let latest = match found.proven {
        Proven::No => crew_clock(set).0.reach(shortest.0, NEAR * UNIT).map_or(shortest, At),
        _ => shortest,
    };
    let first = (shortest, found.plan.order.clone());
    if most(graph) == 0 {
        // Too large for any choice among ties.
        return Ok(found);
    }
    let (slow, more) = slow_orders(graph, set, start, holds, cancel);
    let mut all: Vec<(At, Order)> = vec![first];
    // Orders good on a slow job first: what holds then is what the search itself does not look at.
    for n in slow.into_iter().chain(near).filter(|n| n.0 <= latest) {
        if all.iter().all(|a| a.1 != n.1) {
            all.push(n);
        }
    }
    let near = all;
    let (order, whole) = steadiest(job, graph, set, &near, latest, cancel);
    if let Some(o) = order {
        found.plan = plan(&Net::new(graph, set, &o.methods), &o, &mut State::default())?;
        found.gap = gap(set, found.bound, found.plan.finish);
    }
    found.unfinished = !whole;
    found.schedules += more;
    Ok(found)
}

/// Orders that are short where everybody works at [`SLOW`] of his pace, with their finish as
/// planned, best first, and the schedules built: most of what makes a date slip is common to all of
/// a job.
fn slow_orders(
    graph: &WorkGraph,
    set: &Setting,
    start: Option<&Order>,
    holds: &[PlanHold],
    cancel: &(dyn Fn() -> bool + Sync),
) -> (Vec<(At, Order)>, usize) {
    let mut slow = set.clone();
    slow.workers.iter_mut().for_each(|w| w.rate = w.rate * SLOW.0 / SLOW.1);
    let low = bound(graph, &slow);
    let Ok(tried) = orders(graph, &slow, start, holds, &low, budget(graph) / SLOW_SHARE, cancel) else {
        // A piece that then fits no shift.
        return (Vec::new(), 0);
    };
    let schedules = tried.schedules;
    let mut st = State::default();
    let planned = tried.orders.into_iter().take(SLOW_KEPT).filter_map(|(_, o)| {
        let p = plan(&Net::new(graph, set, &o.methods), &o, &mut st).ok()?;
        Some((p.finish, o))
    });
    (planned.collect(), schedules)
}

/// The shortest plan found, and the orders it was chosen from (none where `start` stands as it is).
fn shortest(
    graph: &WorkGraph,
    set: &Setting,
    start: Option<&Order>,
    holds: &[PlanHold],
    improve: bool,
    cancel: &(dyn Fn() -> bool + Sync),
) -> Result<(Found, Vec<(At, Order)>), Stuck> {
    let low = bound(graph, set);
    let (best, near, schedules, unfinished) = match start {
        Some(o) if !improve => (o.clone(), Vec::new(), 0, false),
        _ => {
            let t = orders(graph, set, start, holds, &low, budget(graph), cancel)?;
            let first = t.orders.first().ok_or(Stuck::TooMany)?.1.clone();
            (first, t.orders, t.schedules, t.unfinished)
        }
    };
    let at = |o: &Order| plan(&Net::new(graph, set, &o.methods), o, &mut State::default());
    let mut p = at(&best)?;
    let mut low = low.at;
    let mut proven = if p.finish <= low { Proven::ByBound } else { Proven::No };
    if set.standing.is_some() {
        proven = Proven::No;
    } else if proven == Proven::No && !unfinished && (improve || start.is_none()) {
        let e = exact(graph, set, &p.order, p.finish, low, exact::budget(graph), cancel);
        if let Some(o) = &e.better {
            p = at(o)?;
        }
        low = e.bound;
        proven = if e.whole { Proven::BySearch } else { Proven::No };
    }
    let gap = gap(set, low, p.finish);
    Ok((Found { plan: p, bound: low, proven, gap, schedules, unfinished }, near))
}

/// Of orders tried, the one that keeps its date best among those up to half a working hour after
/// the first; false with it where it was stopped.
pub fn steadiest_of(
    job: &Job,
    graph: &WorkGraph,
    set: &Setting,
    tried: &[(At, Order)],
    cancel: &(dyn Fn() -> bool + Sync),
) -> (Option<Order>, bool) {
    let Some(first) = tried.first().map(|t| t.0) else { return (None, true) };
    let latest = crew_clock(set).0.reach(first.0, NEAR * UNIT).map_or(first, At);
    steadiest(job, graph, set, tried, latest, cancel)
}

/// Schedules a job of this size is searched with.
pub fn budget(graph: &WorkGraph) -> usize {
    let n = graph.steps.iter().filter(|s| s.role.planned()).count().max(1);
    (200_000 / n).clamp(300, 2_500)
}

/// The best distinct orders found within `budget` schedules, for a choice among near ties.
///
/// `start`, if any, is tried first and its people are kept to; `holds` are kept; `low` is the
/// bound of the same job.
///
/// # Errors
/// [`Stuck`] when no order tried can be carried out: why the plain one cannot.
pub fn orders(
    graph: &WorkGraph,
    set: &Setting,
    start: Option<&Order>,
    holds: &[PlanHold],
    low: &Bound,
    budget: usize,
    cancel: &(dyn Fn() -> bool + Sync),
) -> Result<Tried, Stuck> {
    let starts: Vec<&Order> = start.into_iter().collect();
    orders_from(graph, set, &starts, holds, low, budget, cancel)
}

/// [`orders`] from several first orders; the people of the first are kept to.
///
/// # Errors
/// [`Stuck`] when no order tried can be carried out: why the plain one cannot.
pub fn orders_from(
    graph: &WorkGraph,
    set: &Setting,
    starts: &[&Order],
    holds: &[PlanHold],
    low: &Bound,
    budget: usize,
    cancel: &(dyn Fn() -> bool + Sync),
) -> Result<Tried, Stuck> {
    let people = starts.first().map_or_else(|| vec![None; graph.steps.len()], |o| o.people.clone());
    let job = CrewJob::new(graph, set, people, holds, (low.at.0, &low.methods));
    let seeds: Vec<_> = starts.iter().map(|o| job.genes(o)).collect();
    let habits = Habits::for_crews(budget, HANDED_BACK);
    let found = islands::search(&job, &seeds, budget, habits, cancel);
    let mut st = State::default();
    let mut out = Vec::new();
    for best in &found.best {
        let mut order = job.order(&best.genes);
        let net = Net::new(graph, set, &order.methods);
        job.settle(&net, &mut order, &mut st);
        out.push((At(best.score.0), order));
    }
    if out.is_empty() {
        let net = Net::new(graph, set, &graph.usual());
        let people = vec![None; graph.steps.len()];
        let plain = Order { order: net.topo(), methods: graph.usual(), people, holds: holds.to_vec() };
        return Err(plan(&net, &plain, &mut st).err().unwrap_or(Stuck::TooMany));
    }
    Ok(Tried { orders: out, schedules: found.schedules, unfinished: found.unfinished })
}

/// Working minutes of the crew between bound and finish over those from start to finish.
pub fn gap(set: &Setting, low: At, finish: At) -> f64 {
    let (clock, _) = crew_clock(set);
    let whole = clock.progress(0, finish.0);
    if whole <= 0 || finish <= low { 0.0 } else { clock.progress(low.0, finish.0) as f64 / whole as f64 }
}
