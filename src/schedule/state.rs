//! Where a dispatch stands at an instant. Buffers are kept from trial to trial.

use super::{Gang, Net, World, drying, stage_ix};
use crate::trade::Stage;
use crate::work::Role;

/// Not yet known.
pub const NEVER: i64 = i64::MAX / 4;

/// What held the begin of a run, cheaply: the step that released it last.
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
    pub overtime: i64,
    pub trip: i64,
    pub pickup: i64,
    pub piece: usize,
    pub after: Option<usize>,
    /// When its people should be free by what was known at the begin.
    pub expected: i64,
}

/// Everything a dispatch knows.
#[derive(Clone, Debug, Default)]
pub struct State {
    pub rank: Vec<usize>,
    pub active: Vec<bool>,
    pub begun: Vec<i64>,
    pub ended: Vec<i64>,
    /// Labor is over (the end may still wait for an end-to-end link).
    pub worked_out: Vec<i64>,
    /// Needs not yet known.
    pub unmet: Vec<usize>,
    /// When the known needs are met.
    pub ready: Vec<i64>,
    /// The need met last.
    pub ready_by: Vec<Option<usize>>,
    pub piece: Vec<usize>,
    /// Labor done in earlier runs, thousandths, without picking up.
    pub done: Vec<i64>,
    pub pickup: Vec<i64>,
    pub stage: Vec<[i64; 7]>,
    /// Needs met or nearly, not running, not ended; by rank.
    pub open: Vec<usize>,
    /// Gates under way and ends held open.
    pub waiting: Vec<usize>,
    pub running: Vec<Running>,
    pub runs: Vec<RunLog>,
    /// Day of the last work, base, changes of base that day, per worker.
    pub base: Vec<(i64, usize, u32)>,
    /// Last step a worker left.
    pub last_step: Vec<Option<usize>>,
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
    pub reserve_since: Vec<i64>,
    pub held_since: Vec<i64>,
    pub scuff_done: Vec<bool>,
    pub wakes: std::collections::BinaryHeap<std::cmp::Reverse<i64>>,
    pub left: usize,
    pub labor_min: i64,
    pub scratch: Vec<i64>,
}

impl State {
    /// Everything to its start.
    pub fn reset(&mut self, net: &Net, w: &impl World, order: &[usize]) {
        let n = net.present.len();
        fn fill<T: Clone>(v: &mut Vec<T>, n: usize, x: T) {
            v.clear();
            v.resize(n, x);
        }
        fill(&mut self.rank, n, usize::MAX);
        for (r, &s) in order.iter().enumerate() {
            self.rank[s] = r;
        }
        fill(&mut self.active, n, false);
        self.left = 0;
        for s in 0..n {
            let on = net.present[s]
                && match net.graph.steps[s].role {
                    Role::Plain | Role::Unlisted => true,
                    Role::Scuff { .. } => false,
                    _ => w.needed(s),
                };
            self.active[s] = on;
            self.left += usize::from(on);
        }
        // What is not planned has no place of its own in an order: a redo comes with its step,
        // a find right behind what it waits for, a scuff-sand right before its step.
        for s in (0..n).filter(|&s| net.present[s]) {
            match net.graph.steps[s].role {
                Role::Redo { of, .. } | Role::Scuff { of } => self.rank[s] = self.rank[of],
                Role::Surprise { .. } => {
                    let behind = net.deps[s].iter().map(|d| self.rank[d.from]).filter(|&r| r < usize::MAX).max();
                    self.rank[s] = behind.unwrap_or(0);
                }
                Role::Plain | Role::Unlisted => {}
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
        fill(&mut self.stage, n, [-1; 7]);
        fill(&mut self.reserve_since, n, NEVER);
        fill(&mut self.held_since, n, NEVER);
        fill(&mut self.scuff_done, n, false);
        self.unmet.clear();
        for s in 0..n {
            let k = net.deps[s].iter().filter(|d| self.active[d.from] && !is_end_rule(d.ask)).count();
            self.unmet.push(k);
        }
        self.open.clear();
        self.waiting.clear();
        self.running.clear();
        self.runs.clear();
        self.wakes.clear();
        self.labor_min = 0;
        let workers = net.set.workers.len();
        fill(&mut self.base, workers, (-1, 0, 0));
        fill(&mut self.last_step, workers, None);
        let clear = |v: &mut Vec<Vec<usize>>, n: usize| {
            v.resize(n, Vec::new());
            v.iter_mut().for_each(Vec::clear);
        };
        clear(&mut self.wet, net.set.airs);
        clear(&mut self.dusty, net.set.airs);
        clear(&mut self.in_place, net.set.spots.len());
        clear(&mut self.on_racks, net.set.spots.len());
        self.damps.resize(net.set.airs, Vec::new());
        self.damps.iter_mut().for_each(Vec::clear);
        fill(&mut self.closer, net.set.spots.len(), None);
        for s in 0..n {
            if self.active[s] && self.unmet[s] == 0 {
                self.enter(s);
            }
        }
    }

    /// Puts a step among the open ones, by rank then index.
    pub fn enter(&mut self, s: usize) {
        let key = (self.rank[s], s);
        let at = self.open.partition_point(|&o| (self.rank[o], o) < key);
        self.open.insert(at, s);
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
            let spot = net.graph.steps[s].place.map(|p| &net.set.spots[p]);
            self.scratch.clear();
            if let Some(sp) = spot
                && !sp.fan
            {
                let scratch = &mut self.scratch;
                scratch.extend(self.damps[sp.air].iter().filter(|d| d.0 != s).map(|d| d.1));
            }
            drying::ready_at(net, w, s, stage, self.worked_out[s], &self.scratch).unwrap_or(NEVER)
        };
        self.stage[s][i] = t;
        t
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
