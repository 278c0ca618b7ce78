//! What holds the date: the chain of reasons from the last finish back to the start.
//!
//! What held a begin is the constraint released last; among equals drying before done, place,
//! hands, delivery or decision, hold and clock, then the lowest step. *Clock* stands where
//! everything else was released strictly before and closed hours (or a piece that did not
//! fit before them) filled the rest.

use super::{HoldUntil, Net, Plan, Run, Timed};
use crate::clock::{At, DAY};
use crate::trade::Stage;
use crate::work::{Ask, Kind};

/// What held a begin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// A coat had to reach a stage.
    Drying(Stage),
    /// An earlier step had to be done (or begun).
    Done,
    /// The place was closed, dusty, wet or its racks were full.
    Place,
    /// The hands were at another step.
    Hands,
    /// A delivery or a laboratory.
    Delivery,
    /// The client's decision.
    Decision,
    /// A hold.
    Hold,
    /// Closed hours, a window or the day before which it may not begin.
    Clock,
}

/// What held the begin of a run, and since when it was free of all else.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Held {
    pub reason: Reason,
    /// The earlier step, if there is one.
    pub by: Option<usize>,
    /// When that constraint was released.
    pub released: At,
}

/// A stretch of what holds the date: the step that fills it and the reason it began then.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretch {
    pub step: usize,
    /// Begin of the run.
    pub from: At,
    pub to: At,
    pub held: Held,
}

struct Trace<'a> {
    net: &'a Net<'a>,
    plan: &'a Plan,
    timed: Vec<Option<&'a Timed>>,
}

/// The stretches, first to last.
pub fn chalk(net: &Net, plan: &Plan) -> Vec<Stretch> {
    let t = Trace::new(net, plan);
    let mut out = Vec::new();
    let last = plan.runs.iter().max_by_key(|r| (r.to, std::cmp::Reverse(r.step)));
    let mut next: Option<(usize, At, At, Option<&Run>)> = match last {
        Some(r) => Some((r.step, r.from, r.to, Some(r))),
        None => {
            plan.steps.iter().max_by_key(|s| (s.end, std::cmp::Reverse(s.step))).map(|s| (s.step, s.begin, s.end, None))
        }
    };
    while let Some((step, from, to, run)) = next {
        let held = t.held(step, from, run);
        out.push(Stretch { step, from, to, held });
        if out.len() > plan.runs.len() + plan.steps.len() {
            break;
        }
        next = held.by.and_then(|b| t.before(b, from, step));
    }
    out.reverse();
    out
}

/// What held the begin of each step of the plan, by index of the graph.
pub fn held(net: &Net, plan: &Plan) -> Vec<Option<Held>> {
    let t = Trace::new(net, plan);
    (0..net.present.len())
        .map(|s| {
            let d = t.timed[s]?;
            let run = plan.runs.iter().find(|r| r.step == s && r.from == d.begin);
            Some(t.held(s, d.begin, run))
        })
        .collect()
}

impl<'a> Trace<'a> {
    fn new(net: &'a Net<'a>, plan: &'a Plan) -> Trace<'a> {
        let mut timed = vec![None; net.present.len()];
        plan.steps.iter().for_each(|s| timed[s.step] = Some(s));
        Trace { net, plan, timed }
    }

    /// The last run (or gate) of `s` that began before `t`.
    fn before(&self, s: usize, t: At, after: usize) -> Option<(usize, At, At, Option<&'a Run>)> {
        let run = self.plan.runs.iter().filter(|r| r.step == s && r.from < t).max_by_key(|r| r.from);
        match run {
            Some(r) => Some((s, r.from, r.to, Some(r))),
            None if s != after => self.timed[s].filter(|d| d.begin <= t).map(|d| (s, d.begin, d.end, None)),
            None => None,
        }
    }

    fn held(&self, s: usize, from: At, run: Option<&Run>) -> Held {
        let mut all: Vec<(i64, Reason, Option<usize>)> = Vec::new();
        let first = self.timed[s].is_none_or(|d| d.begin == from);
        if first {
            self.needs(s, &mut all);
        }
        if let Some(r) = run {
            self.hands(r, &mut all);
            self.place(s, from.0, &mut all);
        }
        if first {
            for h in self.plan.order.holds.iter().filter(|h| h.step == s) {
                let (at, by) = match h.until {
                    HoldUntil::At(a) => (a.0, None),
                    HoldUntil::Begun(y) => (self.timed[y].map_or(0, |d| d.begin.0), Some(y)),
                    HoldUntil::Done(y) => (self.timed[y].map_or(0, |d| d.end.0), Some(y)),
                };
                all.push((at, Reason::Hold, by));
            }
        }
        all.retain(|c| c.0 <= from.0);
        let best = all
            .into_iter()
            .max_by_key(|&(at, r, by)| (at, std::cmp::Reverse(order(r)), std::cmp::Reverse(by.unwrap_or(usize::MAX))));
        match best {
            None => Held { reason: Reason::Clock, by: None, released: At(0) },
            Some((at, reason, by)) if at == from.0 => Held { reason, by, released: At(at) },
            Some((at, reason, by)) => {
                // Released before: the rest was closed hours, unless nothing was closed (a
                // reservation, a trip limit), and then the constraint itself is named.
                let clock = self.closed_between(s, at, from.0) || run.is_none();
                Held { reason: if clock { Reason::Clock } else { reason }, by, released: At(at) }
            }
        }
    }

    fn closed_between(&self, s: usize, a: i64, b: i64) -> bool {
        let graph = self.net.graph;
        let step = &graph.steps[s];
        if step.earliest.is_some() || !step.windows.is_empty() || a.div_euclid(DAY) != b.div_euclid(DAY) {
            return true;
        }
        let day = a.div_euclid(DAY);
        step.crew.who.iter().all(|&w| {
            let h = self.net.set.hours(w, step.place, step.flags.noisy, day);
            let open: i64 = h
                .stretches()
                .iter()
                .map(|x| {
                    let (x, y) = (day * DAY + i64::from(x.0), day * DAY + i64::from(x.1));
                    (y.min(b) - x.max(a)).max(0)
                })
                .sum();
            open < b - a
        })
    }

    fn needs(&self, s: usize, all: &mut Vec<(i64, Reason, Option<usize>)>) {
        for d in &self.net.deps[s] {
            let Some(x) = self.timed[d.from] else { continue };
            let gate = match self.net.graph.steps[d.from].kind {
                Kind::Business { .. } => Some(Reason::Delivery),
                Kind::Decision { .. } => Some(Reason::Decision),
                _ => None,
            };
            let (at, reason) = match d.ask {
                Ask::Done => (x.end.0, Reason::Done),
                Ask::Begun => (x.begin.0, Reason::Done),
                Ask::Dry(stage) => match x.ready.iter().find(|r| r.0 == stage) {
                    Some(r) => (r.1.0, Reason::Drying(stage)),
                    None => (x.end.0, Reason::Done),
                },
                // The begin was put off so that the end keeps the rule.
                Ask::EndAfterEnd => (x.end.0 - self.net.typical[s], Reason::Done),
                Ask::EndAfterBegin => (x.begin.0 - self.net.typical[s], Reason::Done),
            };
            all.push((at + d.lag, gate.unwrap_or(reason), Some(d.from)));
        }
    }

    fn hands(&self, run: &Run, all: &mut Vec<(i64, Reason, Option<usize>)>) {
        for p in &run.people {
            let last = self
                .plan
                .runs
                .iter()
                .filter(|r| r.people.contains(p) && r.to <= run.from && (r.step, r.from) != (run.step, run.from))
                .max_by_key(|r| r.to);
            if let Some(r) = last {
                all.push((r.to.0, Reason::Hands, Some(r.step)));
            }
        }
    }

    fn place(&self, s: usize, from: i64, all: &mut Vec<(i64, Reason, Option<usize>)>) {
        let graph = self.net.graph;
        let Some(place) = graph.steps[s].place else { return };
        let air = self.net.set.spots[place].air;
        let wet = |i: usize| graph.steps[i].coat.is_some_and(|c| graph.products[c.product].wet_to_dust);
        for d in &self.plan.steps {
            let i = d.step;
            let (Some(q), true) = (graph.steps[i].place, i != s && self.net.labor(i)) else { continue };
            let stage = |st: Stage| d.ready.iter().find(|r| r.0 == st).map_or(d.end.0, |r| r.1.0);
            let mut at = None;
            if q == place && graph.steps[i].flags.closes {
                at = Some(stage(Stage::DustFree));
            }
            if q == place && graph.steps[s].flags.closes {
                at = at.max(Some(d.end.0));
            }
            if self.net.set.spots[q].air == air {
                if graph.steps[s].flags.dusty && wet(i) {
                    at = at.max(Some(stage(Stage::DustFree)));
                }
                if wet(s) && graph.steps[i].flags.dusty {
                    at = at.max(Some(d.end.0 + self.net.set.spots[q].settle));
                }
            }
            if q == place && graph.steps[s].racks > 0 && graph.steps[i].racks > 0 {
                at = at.max(Some(stage(Stage::Handle)));
            }
            if let Some(at) = at
                && at <= from
                && d.begin.0 < from
            {
                all.push((at, Reason::Place, Some(i)));
            }
        }
    }
}

fn order(r: Reason) -> u8 {
    match r {
        Reason::Drying(_) => 0,
        Reason::Done => 1,
        Reason::Place => 2,
        Reason::Hands => 3,
        Reason::Delivery | Reason::Decision => 4,
        Reason::Hold => 5,
        Reason::Clock => 6,
    }
}
