//! Among orders that are about equally short, the one that keeps its date best.
//!
//! Two orders may finish alike when everything goes as typical and yet differ by half a day
//! when it does not. Orders that are short on a slow job, near ties of the search, and small
//! moves from the best of them are carried out in the same few drawn worlds; the one with the earliest 80 % date is taken,
//! the search's own first choice where none beats it. The worlds are others than those any
//! forecast shows, and what wins there must win again in as many more, so an order is not
//! taken for its luck. Deadline and confidence are never read.
//!
//! Units: minutes; the 80 % date is the mean of the drawn finishes from the 75 % to the 85 %
//! one, in working minutes of the crew: less jumpy than the single one, and paired.

use rayon::prelude::*;

use crate::clock::{At, Clock, UNIT};
use crate::forecast::draws::{BLOCK, Stream, id};
use crate::forecast::world::{Block, Drawn, Model, crew_clock};
use crate::forecast::{Acting, columns::Columns};
use crate::job::Job;
use crate::schedule::{Net, Order, Prepared, Setting, State, Typical, finish};
use crate::work::WorkGraph;

/// Drawn worlds an order is tried in.
const WORLDS: usize = 200;
/// Their seed.
const SEED: u64 = 0x51ea_d1e5;
/// Near ties tried first, at most.
const TIES: usize = 16;
/// Moves tried side by side, from the best so far.
const MOVES: usize = 8;
/// Near: so many working minutes later than the shortest.
pub(super) const NEAR: i64 = 30;

/// Orders a job is worth trying, by its planned steps: 24 at most, none from 900 steps on.
pub(super) fn most(graph: &WorkGraph) -> usize {
    let n = graph.steps.iter().filter(|s| s.role.planned()).count().max(1);
    let most = 1_800 / n;
    if most < 2 { 0 } else { most.min(24) }
}

struct Trial<'a> {
    job: &'a Job,
    graph: &'a WorkGraph,
    set: &'a Setting,
    /// No order that ends later is taken.
    latest: At,
    clock: Clock,
    columns: Columns,
}

impl Trial<'_> {
    /// The 80 % date of an order in the worlds of a block; `None` where it cannot be carried out
    /// or ends too late.
    fn date(&self, order: &Order, block: u32) -> Option<f64> {
        let net = Net::new(self.graph, self.set, &order.methods);
        let prepared = Prepared::new(&net, order);
        let mut st = State::default();
        prepared.run(&mut Typical(&net), &mut st).ok()?;
        if finish(&net, &st) > self.latest.0 {
            return None;
        }
        let model = Model::with(self.job, &net, SEED, &self.columns);
        let block = Block::new(&model, &net, block);
        let mut world = Drawn::new(&model, &net, Acting::of(self.job));
        let mut ends = Vec::with_capacity(WORLDS);
        // A block holds more worlds than are wanted: every second of its first ones.
        for i in (0..BLOCK).step_by(BLOCK / WORLDS).take(WORLDS) {
            world.set(&net, &block, i);
            prepared.run(&mut world, &mut st).ok()?;
            ends.push(self.clock.at(finish(&net, &st)));
        }
        ends.sort_unstable();
        let part = &ends[WORLDS * 3 / 4..WORLDS * 17 / 20];
        Some(part.iter().map(|&x| x as f64 / UNIT as f64).sum::<f64>() / part.len() as f64)
    }
}

/// The steadiest of `near` (typical finish and order, best first), none ending after `latest`;
/// stopped by `cancel` the best known by then, and false.
pub(super) fn steadiest(
    job: &Job,
    graph: &WorkGraph,
    set: &Setting,
    near: &[(At, Order)],
    latest: At,
    cancel: &(dyn Fn() -> bool + Sync),
) -> (Option<Order>, bool) {
    let (clock, _) = crew_clock(set);
    let trial = Trial { job, graph, set, latest, clock, columns: Columns::default() };
    let most = most(graph);
    if most == 0 {
        return (None, true);
    }
    let ties: Vec<&Order> = near.iter().filter(|n| n.0 <= latest).map(|n| &n.1).take(TIES.min(most)).collect();
    let mut left = most.saturating_sub(ties.len());
    // Dates in the first worlds; those in the second only of what wins in the first.
    let mut best: Option<(f64, Option<f64>, Order)> = None;
    let try_all = |all: &[&Order], best: &mut Option<(f64, Option<f64>, Order)>| {
        let dates: Vec<Option<f64>> = all.par_iter().map(|o| if cancel() { None } else { trial.date(o, 0) }).collect();
        let mut sooner: Vec<(f64, &Order)> = dates.into_iter().zip(all).filter_map(|(d, o)| Some((d?, *o))).collect();
        // A stable sort: the first of equals stays first.
        sooner.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (date, order) in sooner {
            let Some((first, second, old)) = best else {
                *best = Some((date, None, order.clone()));
                continue;
            };
            if date >= *first {
                return;
            }
            let known = *second.get_or_insert_with(|| trial.date(old, 1).unwrap_or(f64::INFINITY));
            if let Some(again) = trial.date(order, 1).filter(|d| *d < known) {
                *best = Some((date, Some(again), order.clone()));
                return;
            }
        }
    };
    // The search's own first choice stands until another is sooner twice.
    for part in [&ties[..ties.len().min(1)], &ties[ties.len().min(1)..]] {
        try_all(part, &mut best);
    }
    let mut chance = Stream::new(0, id("steady"), 0, 0);
    while left > 0 && !cancel() {
        let Some((_, _, order)) = &best else { break };
        let moved: Vec<Order> = (0..MOVES.min(left)).filter_map(|_| moved(graph, order, &mut chance)).collect();
        left = left.saturating_sub(MOVES);
        try_all(&moved.iter().collect::<Vec<_>>(), &mut best);
    }
    (best.map(|b| b.2), !cancel())
}

/// The order with one step with hands moved by up to a third of its length.
fn moved(graph: &WorkGraph, order: &Order, chance: &mut Stream) -> Option<Order> {
    let works = |s: usize| graph.steps[s].crew.fewest > 0 && graph.steps[s].role.planned();
    let places: Vec<usize> = (0..order.order.len()).filter(|&i| works(order.order[i])).collect();
    if places.len() < 2 {
        return None;
    }
    let reach = (places.len() / 3).max(1) as u64;
    let from = chance.below(places.len() as u64) as usize;
    let by = 1 + chance.below(reach) as usize;
    let to = if chance.below(2) == 0 { from.saturating_sub(by) } else { (from + by).min(places.len() - 1) };
    if to == from {
        return None;
    }
    let mut out = order.clone();
    let s = out.order.remove(places[from]);
    out.order.insert(places[to], s);
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk;
    use crate::search::orders;

    #[test]
    fn the_steadiest_is_no_later_than_any_tried_and_the_same_on_any_number_of_threads() {
        let opened = desk::open(include_str!("../../sample-jobs/nursery.ron")).expect("a job file");
        let s = opened.sound.expect("a sound sample");
        let low = crate::search::bound(&s.graph, &s.setting);
        let near = orders(&s.graph, &s.setting, None, &[], &low, 400, &|| false).expect("orders").orders;
        let latest = At(near[0].0.0 + 60);
        let on = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
            pool.install(|| steadiest(&s.job, &s.graph, &s.setting, &near, latest, &|| false))
        };
        let (order, whole) = on(1);
        assert_eq!(on(2), (order.clone(), whole));
        assert!(whole);
        let (clock, _) = crew_clock(&s.setting);
        let columns = Columns::default();
        let trial = Trial { job: &s.job, graph: &s.graph, set: &s.setting, latest, clock, columns };
        // Sooner than the search's first in both halves, or that one itself.
        let (order, first) = (order.expect("an order"), &near[0].1);
        if order != *first {
            for block in [0, 1] {
                assert!(trial.date(&order, block) < trial.date(first, block));
            }
        }
        // A worse one given first does not stand: the last steps done first cost days.
        let mut turned = near[0].1.clone();
        turned.order.reverse();
        let both = [(latest, turned.clone()), (latest, first.clone())];
        let open = At(i64::MAX / 8);
        let (kept, _) = steadiest(&s.job, &s.graph, &s.setting, &both, open, &|| false);
        let late = Trial { latest: open, ..trial };
        assert!(late.date(&turned, 1) > late.date(first, 1));
        assert_ne!(kept, Some(turned));
        // What ends later is not looked at, however steady.
        let late = steadiest(&s.job, &s.graph, &s.setting, &near, At(near[0].0.0 - 1), &|| false);
        assert_eq!(late, (None, true));
    }
}
