//! A work graph under one assignment of methods, laid out for dispatch.

use super::Setting;
use super::flat::Flat;
use crate::trade::Stage;
use crate::work::{Ask, Kind, Role, WorkGraph};

/// A need of a step, resolved.
#[derive(Clone, Copy, Debug)]
pub struct Dep {
    pub from: usize,
    pub ask: Ask,
    /// Elapsed minutes.
    pub lag: i64,
    /// Longest wait, minutes of the earlier coat's own clock.
    pub longest: Option<i64>,
}

/// The graph as one plan sees it.
#[derive(Clone, Debug)]
pub struct Net<'a> {
    pub graph: &'a WorkGraph,
    pub set: &'a Setting,
    pub methods: Vec<usize>,
    /// Present under these methods (planned or not).
    pub present: Vec<bool>,
    pub deps: Vec<Vec<Dep>>,
    /// Steps with a need from this one, each once.
    pub followers: Vec<Vec<usize>>,
    /// Expected labor minutes (elapsed minutes for gates), typical.
    pub typical: Vec<i64>,
    /// The scuff-sand that goes before a step once its recoat window has passed.
    pub scuff: Vec<Option<usize>>,
    /// Minutes to each stage in reference air, by [`Stage::ALL`]; -1 where the coat has none.
    pub stage_min: Vec<[i64; 7]>,
    /// Earliest end by the network alone (elapsed, no crew), for end-to-end links.
    pub free_end: Vec<i64>,
    pub free_begin: Vec<i64>,
    /// Eligible workers as bits.
    pub who: Vec<u32>,
    pub helpers: u32,
    /// Several bases: trips matter.
    pub trips: bool,
    pub(super) flat: Flat,
}

/// Index of a stage in [`Stage::ALL`].
pub fn stage_ix(s: Stage) -> usize {
    s as usize
}

impl<'a> Net<'a> {
    /// Lays out the graph under `methods` (one option a choice).
    pub fn new(graph: &'a WorkGraph, set: &'a Setting, methods: &[usize]) -> Net<'a> {
        let n = graph.steps.len();
        let present: Vec<bool> = graph.steps.iter().map(|s| WorkGraph::holds(&s.when, methods)).collect();
        let stage_min: Vec<[i64; 7]> = graph
            .steps
            .iter()
            .map(|s| {
                let mut out = [-1; 7];
                if let Some(c) = s.coat {
                    for (i, st) in Stage::ALL.into_iter().enumerate() {
                        if let Some(h) = graph.products[c.product].hours.hours(st) {
                            out[i] = stage_minutes(h, c.thick);
                        }
                    }
                }
                out
            })
            .collect();
        let mut deps: Vec<Vec<Dep>> = vec![Vec::new(); n];
        let mut followers: Vec<Vec<usize>> = vec![Vec::new(); n];
        for l in &graph.links {
            if !present[l.from] || !present[l.to] || !WorkGraph::holds(&l.when, methods) {
                continue;
            }
            let ask = match l.ask {
                // A coat without that stage is only waited for to be done.
                Ask::Dry(st) if stage_min[l.from][stage_ix(st)] < 0 || graph.steps[l.from].place.is_none() => Ask::Done,
                a => a,
            };
            let longest = l.longest_h.map(|h| libm::round(h * 60.0) as i64);
            deps[l.to].push(Dep { from: l.from, ask, lag: l.lag, longest });
            if !followers[l.from].contains(&l.to) {
                followers[l.from].push(l.to);
            }
        }
        let typical: Vec<i64> = graph
            .steps
            .iter()
            .map(|s| match s.kind {
                Kind::Labor => s.labor.typical(),
                Kind::Elapsed(d) => d.typical(),
                Kind::Business { minutes, .. } => minutes,
                Kind::Decision { at, .. } => at.0,
            })
            .collect();
        let typical = match set.standing.as_deref() {
            Some(facts) if !facts.expected.is_empty() => facts.expected.clone(),
            _ => typical,
        };
        let mut scuff = vec![None; n];
        for (i, s) in graph.steps.iter().enumerate() {
            if let (Role::Scuff { of }, true) = (&s.role, present[i]) {
                scuff[*of] = Some(i);
            }
        }
        let who = graph.steps.iter().map(|s| s.crew.who.iter().fold(0u32, |m, &w| m | 1 << w)).collect();
        let helpers = set.workers.iter().enumerate().filter(|(_, w)| w.helper).fold(0u32, |m, (i, _)| m | 1 << i);
        let trips = set.spots.iter().any(|s| s.base != set.spots[0].base);
        let mut net = Net {
            graph,
            set,
            methods: methods.to_vec(),
            present,
            deps,
            followers,
            typical,
            scuff,
            stage_min,
            free_end: vec![0; n],
            free_begin: vec![0; n],
            who,
            helpers,
            trips,
            flat: Flat::default(),
        };
        net.free_pass();
        net.flat = Flat::new(&net);
        net
    }

    /// A topological order of the present steps (lowest index first among equals).
    pub fn topo(&self) -> Vec<usize> {
        let n = self.present.len();
        let mut left: Vec<usize> = (0..n).map(|i| self.deps[i].len()).collect();
        let mut heap: std::collections::BinaryHeap<std::cmp::Reverse<usize>> =
            (0..n).filter(|&i| self.present[i] && left[i] == 0).map(std::cmp::Reverse).collect();
        let mut out = Vec::with_capacity(n);
        while let Some(std::cmp::Reverse(s)) = heap.pop() {
            out.push(s);
            for &f in &self.followers[s] {
                left[f] -= self.deps[f].iter().filter(|d| d.from == s).count();
                if left[f] == 0 {
                    heap.push(std::cmp::Reverse(f));
                }
            }
        }
        out
    }

    fn free_pass(&mut self) {
        for s in self.topo() {
            let dur =
                if self.graph.steps[s].role.planned() && !matches!(self.graph.steps[s].kind, Kind::Decision { .. }) {
                    self.typical[s]
                } else {
                    0
                };
            let mut b = self.graph.steps[s].earliest.map_or(0, |a| a.0).max(0);
            for d in &self.deps[s] {
                b = b.max(match d.ask {
                    Ask::Done | Ask::Dry(_) => self.free_end[d.from] + d.lag,
                    Ask::Begun => self.free_begin[d.from] + d.lag,
                    Ask::EndAfterEnd => self.free_end[d.from] + d.lag - dur,
                    Ask::EndAfterBegin => self.free_begin[d.from] + d.lag - dur,
                });
            }
            self.free_begin[s] = b;
            self.free_end[s] = b + dur;
        }
    }

    /// Whether hands work on the step (and not for no time).
    pub fn labor(&self, s: usize) -> bool {
        matches!(self.graph.steps[s].kind, Kind::Labor) && self.graph.steps[s].crew.fewest > 0
    }

    /// Cumulative labor minutes at the end of piece `k` of `total`.
    pub fn piece_end(&self, s: usize, total: i64, k: usize) -> i64 {
        match self.flat.shares(s).get(k) {
            Some(share) => (total as f64 * share + 0.5) as i64,
            None => total,
        }
    }

    /// Number of pieces it is done in (1 where it is not done in one go).
    pub fn piece_count(&self, s: usize) -> usize {
        if self.graph.steps[s].flags.one_go { self.flat.shares(s).len() + 1 } else { 1 }
    }
}

/// Whole minutes to a stage in reference air, at least 1.
pub fn stage_minutes(hours: f64, thick: f64) -> i64 {
    (libm::round(hours * 60.0 * thick) as i64).max(1)
}
