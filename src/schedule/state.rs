//! Where a dispatch stands at an instant. Buffers are kept from trial to trial.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::flat::{NONE, Prepared, flag};
use super::{Gang, Net, World, drying, stage_ix};
use crate::trade::Stage;

/// Not yet known.
pub const NEVER: i64 = i64::MAX / 4;

/// A stretch of work, and what let it begin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RunLog {
    pub step: usize,
    pub from: i64,
    pub to: i64,
    pub people: u32,
    pub piece: usize,
    pub trip: i64,
    pub overtime: i64,
    pub labor_milli: i64,
    pub pickup: i64,
    /// The step whose end, dryness or hands let it begin, if any.
    pub after: Option<usize>,
    /// The stretch of the same step before it, by its place in the log.
    pub earlier: Option<u32>,
}

/// Hands at work on a step.
#[derive(Clone, Copy, Debug)]
pub struct Running {
    pub step: usize,
    pub gang: Gang,
    pub from: i64,
    /// May not be set down before: the trip and the picking up are over.
    pub firm: i64,
    /// The trip is over.
    pub arrived: i64,
    /// Labor counted up to here.
    pub since: i64,
    /// Labor left of the piece, thousandths, at `since`.
    pub left: i64,
    pub done: i64,
    pub end: i64,
    /// Its hands are gone for long: others may take it over from here on.
    pub gone: i64,
    pub overtime: i64,
    pub trip: i64,
    pub pickup: i64,
    pub piece: usize,
    pub after: Option<usize>,
    /// When its people should be free by what was known at the begin; worked out when asked
    /// for, from the labor expected then.
    pub expected: Option<i64>,
    pub expected_left: i64,
}

/// Everything a dispatch knows.
#[derive(Clone, Debug, Default)]
pub struct State {
    pub active: Vec<bool>,
    pub begun: Vec<i64>,
    pub ended: Vec<i64>,
    /// Labor is over (the end may still wait for an end-to-end link).
    pub worked_out: Vec<i64>,
    /// Needs not yet known.
    pub unmet: Vec<u32>,
    /// When the known needs are met.
    pub ready: Vec<i64>,
    /// The need met last.
    pub ready_by: Vec<Option<usize>>,
    pub piece: Vec<u32>,
    /// Labor done in earlier runs, thousandths, without picking up.
    pub done: Vec<i64>,
    pub pickup: Vec<i64>,
    /// By stage; read only once the labor is over.
    pub stage: Vec<[i64; 7]>,
    /// Steps with hands whose needs are met, not running, not ended: by rank, then index.
    pub front: Vec<u32>,
    /// The same whose needs will be met at a known later minute.
    pub later: Vec<u32>,
    /// Steps without hands whose needs are met or nearly.
    pub gates: Vec<u32>,
    /// Of `front` and `later`, those judged even while nobody is free.
    pub always: usize,
    /// Gates under way and ends held open.
    pub waiting: Vec<usize>,
    /// Before then the time of none of them is up.
    pub(super) settle_at: i64,
    pub running: Vec<Running>,
    pub runs: Vec<RunLog>,
    /// The last stretch of each step, by its place in the log.
    pub(super) last_run: Vec<u32>,
    /// Day of the last work, base, changes of base that day, per worker.
    pub base: Vec<(i64, usize, u32)>,
    /// Last step a worker left, and when.
    pub last_step: Vec<Option<(usize, i64)>>,
    /// First minute each worker comes on shift after some past instant.
    pub next_on: Vec<i64>,
    /// Ends of skim coats per air.
    pub damps: Vec<Vec<(usize, i64)>>,
    /// Wet coats and dusty steps per air that may still matter.
    pub wet: Vec<Vec<usize>>,
    pub dusty: Vec<Vec<usize>>,
    /// The closing step that holds a place.
    pub closer: Vec<Option<usize>>,
    /// Begun, unfinished labor steps per place.
    pub in_place: Vec<Vec<usize>>,
    pub on_racks: Vec<Vec<usize>>,
    pub pools: Vec<i64>,
    pub reserve_since: Vec<i64>,
    pub held_since: Vec<i64>,
    pub scuff_done: Vec<bool>,
    /// Instants at which a gate or an end may move.
    pub wakes: BinaryHeap<Reverse<i64>>,
    /// Instants at which hands may find something to do, with the step whose needs are met
    /// then, if it is one of `later`.
    pub looks: BinaryHeap<Reverse<(i64, u32)>>,
    /// The instant last asked for on behalf of each step.
    pub woke: Vec<i64>,
    /// Nothing can let a step begin before this instant.
    pub sleeps: Vec<i64>,
    /// Workers whose stretch has too little left for a step, and until when that is so.
    pub too_late: Vec<(u32, i64)>,
    /// From this instant on a scuff-sand comes before a step; -1 while not worked out.
    pub scuff_from: Vec<i64>,
    /// Per worker: only steps of a rank below this find him now.
    pub finds: Vec<u32>,
    pub left: usize,
    pub labor_min: i64,
    pub scratch: Vec<i64>,
}

fn fill<T: Clone>(v: &mut Vec<T>, n: usize, x: T) {
    v.clear();
    v.resize(n, x);
}

fn clear<T>(v: &mut Vec<Vec<T>>, n: usize) {
    v.resize_with(n, Vec::new);
    v.iter_mut().for_each(Vec::clear);
}

impl State {
    /// Everything to its start, but for the first steps to enter.
    pub(super) fn reset(&mut self, p: &Prepared, w: &impl World) {
        let net = p.net;
        let n = net.present.len();
        self.active.clone_from(&p.active);
        self.unmet.clone_from(&p.unmet);
        self.left = p.left;
        for &s in &net.flat.unplanned {
            if w.needed(s as usize) {
                self.active[s as usize] = true;
                self.left += 1;
                for e in net.flat.edges(s as usize) {
                    self.unmet[e.to as usize] += e.count;
                }
            }
        }
        fill(&mut self.begun, n, NEVER);
        fill(&mut self.ended, n, NEVER);
        fill(&mut self.worked_out, n, NEVER);
        fill(&mut self.ready, n, 0);
        fill(&mut self.ready_by, n, None);
        fill(&mut self.piece, n, 0);
        fill(&mut self.done, n, 0);
        fill(&mut self.pickup, n, 0);
        self.stage.resize(n, [-1; 7]);
        fill(&mut self.reserve_since, n, NEVER);
        fill(&mut self.held_since, n, NEVER);
        fill(&mut self.scuff_done, n, false);
        fill(&mut self.last_run, n, NONE);
        fill(&mut self.woke, n, -1);
        fill(&mut self.sleeps, n, -1);
        fill(&mut self.too_late, n, (0, -1));
        fill(&mut self.scuff_from, n, -1);
        self.front.clear();
        self.later.clear();
        self.gates.clear();
        self.always = 0;
        self.waiting.clear();
        self.settle_at = NEVER;
        self.running.clear();
        self.runs.clear();
        self.wakes.clear();
        self.looks.clear();
        self.labor_min = 0;
        let workers = net.set.workers.len();
        fill(&mut self.base, workers, (-1, 0, 0));
        fill(&mut self.last_step, workers, None);
        fill(&mut self.next_on, workers, -1);
        clear(&mut self.wet, net.set.airs);
        clear(&mut self.dusty, net.set.airs);
        clear(&mut self.damps, net.set.airs);
        clear(&mut self.in_place, net.set.spots.len());
        clear(&mut self.on_racks, net.set.spots.len());
        fill(&mut self.closer, net.set.spots.len(), None);
        self.pools.clone_from(&net.flat.total_pools);
    }

    /// Puts a step with hands among those that may begin now, by rank then index.
    pub(super) fn move_to_front(&mut self, p: &Prepared, s: usize) {
        let key = (p.rank[s], s as u32);
        let at = self.front.partition_point(|&o| (p.rank[o as usize], o) < key);
        if self.front.get(at) == Some(&key.1) {
            return;
        }
        self.front.insert(at, key.1);
    }

    /// Takes a step out of all lists of what may begin.
    pub(super) fn leave(&mut self, p: &Prepared, s: usize) {
        let x = s as u32;
        if let Some(i) = self.front.iter().position(|&o| o == x) {
            self.front.remove(i);
            self.always -= usize::from(p.has(s, flag::ALWAYS));
        } else if let Some(i) = self.gates.iter().position(|&o| o == x) {
            self.gates.remove(i);
        } else if let Some(i) = self.later.iter().position(|&o| o == x) {
            self.later.swap_remove(i);
            self.always -= usize::from(p.has(s, flag::ALWAYS));
        }
    }

    /// The last stretch of a step.
    pub fn last_run(&self, s: usize) -> Option<&RunLog> {
        self.runs.get(self.last_run[s] as usize)
    }

    /// When the coat of an ended step reaches a stage; [`NEVER`] if not ended or never.
    pub fn stage_at(&mut self, net: &Net, w: &mut impl World, s: usize, stage: Stage) -> i64 {
        let i = stage_ix(stage);
        if self.worked_out[s] == NEVER {
            return NEVER;
        }
        if self.stage[s][i] >= 0 {
            return self.stage[s][i];
        }
        let t = if net.stage_min[s][i] < 0 {
            self.worked_out[s]
        } else {
            self.scratch.clear();
            let air = net.flat.air[s];
            if air != NONE && !self.damps[air as usize].is_empty() && !self.fan(net, s) {
                let scratch = &mut self.scratch;
                scratch.extend(self.damps[air as usize].iter().filter(|d| d.0 != s).map(|d| d.1));
            }
            drying::ready_at(net, w, s, stage, self.worked_out[s], &self.scratch).unwrap_or(NEVER)
        };
        self.stage[s][i] = t;
        t
    }

    fn fan(&self, net: &Net, s: usize) -> bool {
        net.graph.steps[s].place.is_some_and(|p| net.set.spots[p].fan)
    }

    /// Until when an ended step with an open coat must be kept from dust.
    pub fn dust_free_at(&mut self, net: &Net, w: &mut impl World, s: usize) -> i64 {
        self.stage_at(net, w, s, Stage::DustFree)
    }
}

/// Links that bind the end of the later step, not its begin alone.
pub fn is_end_rule(ask: crate::work::Ask) -> bool {
    matches!(ask, crate::work::Ask::EndAfterEnd | crate::work::Ask::EndAfterBegin)
}
