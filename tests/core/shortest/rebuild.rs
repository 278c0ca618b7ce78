//! A plan from the runs an outside solver names: gates begin as soon as they may, ends and
//! coats are recounted minute by minute.

use roomback::clock::{At, DAY, UNIT};
use roomback::schedule::{DAMP, Order, Plan, Run, Setting, Timed};
use roomback::trade::Stage;
use roomback::work::{Ask, Kind, WorkGraph};

use super::describe::{counts, worked};

/// No coat and no gate is followed further than this.
const FAR: i64 = 120 * DAY;

/// When the coat of `i`, done at `from`, reaches a stage its product has.
fn dry(graph: &WorkGraph, setting: &Setting, i: usize, stage: Stage, from: i64, damps: &[i64]) -> Option<i64> {
    let step = &graph.steps[i];
    let (coat, place) = (step.coat?, step.place?);
    let hours = graph.products[coat.product].hours.hours(stage)?;
    let clocks = setting.dry(coat.product, place)?;
    let mut left = ((hours * 60.0 * coat.thick).round() as i64).max(1) * UNIT;
    for t in from..from + FAR {
        let damp = damps.iter().any(|&d| d <= t && t < d + DAMP);
        left -= if damp { clocks.damp(stage) } else { clocks.of(stage) }.speed_at(t);
        if left <= 0 {
            return Some(t + 1);
        }
    }
    None
}

fn open(graph: &WorkGraph, setting: &Setting, i: usize, t: i64) -> bool {
    let step = &graph.steps[i];
    let (day, minute) = (t.div_euclid(DAY), t.rem_euclid(DAY));
    let weekday = (setting.first_weekday + day).rem_euclid(7) as usize;
    let within = |w: &roomback::work::BeginWindow| {
        w.from <= minute && minute < w.to && w.day.map_or(w.days[weekday], |d| d == day)
    };
    step.earliest.is_none_or(|e| e.0 <= t) && (step.windows.is_empty() || step.windows.iter().any(within))
}

/// Builds the plan; its steps follow each other in the order of the graph, where links only
/// lead forward.
pub fn rebuild(graph: &WorkGraph, setting: &Setting, methods: Vec<usize>, mut runs: Vec<Run>) -> Plan {
    runs.sort_by_key(|r| (r.from, r.step));
    let here = |i: usize| WorkGraph::holds(&graph.steps[i].when, &methods);
    let own = |i: usize| runs.iter().filter(move |r| r.step == i);
    let laid = |i: usize| own(i).map(|r| r.to.0).max();
    let mut timed: Vec<Option<Timed>> = vec![None; graph.steps.len()];
    for i in 0..graph.steps.len() {
        let step = &graph.steps[i];
        // A scuff-sand nobody works on is not due.
        if !here(i) || !counts(step) || worked(step) && laid(i).is_none() {
            continue;
        }
        let (mut after, mut held) = (0, 0);
        for l in graph.links.iter().filter(|l| l.to == i && WorkGraph::holds(&l.when, &methods)) {
            let Some(a) = &timed[l.from] else { continue };
            match l.ask {
                Ask::EndAfterEnd => held = held.max(a.end.0 + l.lag),
                Ask::EndAfterBegin => held = held.max(a.begin.0 + l.lag),
                Ask::Begun => after = after.max(a.begin.0 + l.lag),
                Ask::Done => after = after.max(a.end.0 + l.lag),
                Ask::Dry(stage) => {
                    let ready = a.ready.iter().find(|r| r.0 == stage).map_or(a.end, |r| r.1);
                    after = after.max(ready.0 + l.lag);
                }
            }
        }
        let begin = match own(i).map(|r| r.from.0).min() {
            Some(from) => from,
            None => (after..after + FAR).find(|&t| open(graph, setting, i, t)).unwrap_or(after),
        };
        let over = match &step.kind {
            Kind::Labor => laid(i).unwrap_or(begin),
            Kind::Elapsed(d) => begin + d.typical(),
            Kind::Business { minutes, .. } => {
                let mut left = *minutes;
                let mut t = begin;
                while left > 0 && t < begin + FAR {
                    left -= i64::from(setting.business.speed_at(t) > 0);
                    t += 1;
                }
                t
            }
            Kind::Decision { at, .. } => at.0.max(begin),
        };
        let mut ready = Vec::new();
        if let (Some(place), Some(_), Some(from)) = (step.place, step.coat, laid(i)) {
            let damps = |j: usize| {
                let s = &graph.steps[j];
                let same = s.place.is_some_and(|q| setting.spots[q].air == setting.spots[place].air);
                let wet = s.coat.is_some_and(|c| graph.products[c.product].damps_room);
                if j != i && same && wet && !setting.spots[place].fan { laid(j) } else { None }
            };
            let damps: Vec<i64> = (0..graph.steps.len()).filter_map(damps).collect();
            for stage in Stage::ALL {
                ready.extend(dry(graph, setting, i, stage, from, &damps).map(|t| (stage, At(t))));
            }
        }
        let (begin, end) = (At(begin), At(over.max(held)));
        timed[i] = Some(Timed { step: i, begin, end, ready, labor_min: step.labor.typical() });
    }
    let mut steps: Vec<Timed> = timed.into_iter().flatten().collect();
    steps.sort_by_key(|t| (t.begin, t.step));
    let mut order: Vec<usize> = steps.iter().map(|t| t.step).collect();
    order.extend((0..graph.steps.len()).filter(|&i| here(i) && !steps.iter().any(|t| t.step == i)));
    let finish = runs.iter().map(|r| r.to).max().unwrap_or_default();
    let people = vec![None; graph.steps.len()];
    Plan { order: Order { order, methods, people, holds: Vec::new() }, runs, steps, finish }
}
