//! Faults planted in plans that can be done, or rules made stricter under them: each kind
//! must be found wherever it is planted.

use std::collections::BTreeMap;

use roomback::clock::{At, DAY};
use roomback::schedule::{FaultKind, HoldUntil, Plan, PlanHold, Setting, Timed, verify};
use roomback::work::{Ask, BeginWindow, Kind, Link, Role, WorkGraph};

use crate::random::{Draws, Size, random};
use crate::verify::drawn_plan;

type Plant = fn(&mut WorkGraph, &mut Setting, &mut Plan, &mut Draws) -> bool;

/// A dated step of the plan for which `good` holds, at random.
fn some(plan: &Plan, d: &mut Draws, good: impl Fn(&Timed) -> bool) -> Option<Timed> {
    let all: Vec<&Timed> = plan.steps.iter().filter(|t| good(t)).collect();
    if all.is_empty() { None } else { Some(d.pick(&all).clone()) }
}

fn run_of(plan: &Plan, d: &mut Draws, good: impl Fn(usize) -> bool) -> Option<usize> {
    let all: Vec<usize> = (0..plan.runs.len()).filter(|&k| good(k)).collect();
    if all.is_empty() { None } else { Some(d.pick(&all)) }
}

/// Whether a run is not worked for more than an hour somewhere inside.
fn over_night(plan: &Plan, k: usize) -> bool {
    plan.runs[k].to.day() > plan.runs[k].from.day()
}

fn link(g: &mut WorkGraph, from: usize, to: usize, ask: Ask, lag: i64) -> bool {
    g.links.push(Link { from, to, ask, lag, longest_h: None, when: Vec::new() });
    true
}

/// End of the last labor on a step; its begin where nobody works on it.
fn laid(p: &Plan, t: &Timed) -> At {
    p.runs.iter().filter(|r| r.step == t.step).map(|r| r.to).max().unwrap_or(t.begin)
}

/// Two dated steps of one place (or air) that stand in it at once.
fn together(g: &WorkGraph, s: &Setting, p: &Plan, air: bool) -> Option<(usize, usize)> {
    let place = |t: &Timed| g.steps[t.step].place.map(|p| if air { s.spots[p].air } else { p });
    let laid = |t: &Timed| laid(p, t);
    p.steps.iter().find_map(|a| {
        let b = p.steps.iter().find(|b| {
            b.step != a.step
                && place(a).is_some()
                && place(a) == place(b)
                && g.steps[a.step].coat.is_some()
                && a.begin < laid(b)
                && b.begin < laid(a)
        })?;
        Some((a.step, b.step))
    })
}

const PLANTS: &[(&str, FaultKind, Plant)] = &[
    ("order misses a step", FaultKind::Shape, |_, _, p, _| p.order.order.pop().is_some()),
    ("runs out of order", FaultKind::Shape, |_, _, p, _| {
        p.runs.reverse();
        !p.runs.is_sorted_by_key(|r| (r.from, r.step))
    }),
    ("dates not those of the runs", FaultKind::Shape, |g, _, p, _| {
        let hands = p.steps.iter_mut().find(|t| g.steps[t.step].labor.typical() > 0);
        hands.map(|t| t.end.0 += 1).is_some()
    }),
    ("step left out", FaultKind::Missing, |g, _, p, d| {
        let Some(t) = some(p, d, |t| g.steps[t.step].role.planned()) else { return false };
        p.steps.retain(|x| x.step != t.step);
        p.runs.retain(|x| x.step != t.step);
        true
    }),
    ("redo in the plan", FaultKind::Stray, |g, _, p, _| {
        let Some(x) = g.steps.iter().position(|s| matches!(s.role, Role::Redo { .. } | Role::Surprise { .. })) else {
            return false;
        };
        let last = p.steps.last().expect("steps").begin;
        p.steps.push(Timed { step: x, begin: At(last.0 + 1), end: At(last.0 + 1), ready: vec![], labor_min: 0 });
        true
    }),
    ("other method in the plan", FaultKind::Stray, |g, _, p, _| {
        let Some(x) = g.steps.iter().position(|s| !WorkGraph::holds(&s.when, &p.order.methods)) else { return false };
        let last = p.steps.last().expect("steps").begin;
        p.steps.push(Timed { step: x, begin: At(last.0 + 1), end: At(last.0 + 1), ready: vec![], labor_min: 0 });
        true
    }),
    ("labor shortened", FaultKind::Labor, |_, _, p, d| {
        let Some(k) = run_of(p, d, |_| true) else { return false };
        p.runs[k].labor_milli -= 2000;
        p.runs[k].labor_milli >= 0
    }),
    ("minutes shortened", FaultKind::Labor, |g, _, p, d| {
        let Some(k) = run_of(p, d, |k| {
            // One set down may end in off-time.
            p.runs[k].labor_milli > 5000 && p.runs[k + 1..].iter().all(|r| r.step != p.runs[k].step)
        }) else {
            return false;
        };
        let (step, to) = (p.runs[k].step, p.runs[k].to);
        p.runs[k].to.0 -= 3;
        p.steps.iter_mut().filter(|t| t.step == step && t.end == to).for_each(|t| t.end.0 -= 3);
        g.steps[step].pieces.len() == 1
    }),
    ("labor of more", FaultKind::Labor, |g, _, p, d| {
        let Some(t) = some(p, d, |t| t.labor_min > 0) else { return false };
        g.steps[t.step].labor.typ += 2.0;
        true
    }),
    ("picking up forgotten", FaultKind::Labor, |_, _, p, _| {
        let Some(r) = p.runs.iter_mut().find(|r| r.pickup_min > 0) else { return false };
        r.pickup_min = 0;
        true
    }),
    ("pieces swapped", FaultKind::Labor, |g, _, p, _| {
        let Some(r) = p.runs.iter_mut().find(|r| g.steps[r.step].pieces.len() > 1) else { return false };
        r.piece += 1;
        true
    }),
    ("begun before the shift", FaultKind::Shift, |g, s, p, d| {
        let off = |k: usize| {
            let r = &p.runs[k];
            let at = r.from.0 - 1;
            let day = s.hours(r.people[0], g.steps[r.step].place, g.steps[r.step].flags.noisy, at.div_euclid(DAY));
            !day.stretches().iter().any(|x| i64::from(x.0) <= at.rem_euclid(DAY) && at.rem_euclid(DAY) < i64::from(x.1))
        };
        let Some(k) = run_of(p, d, off) else { return false };
        let (step, from) = (p.runs[k].step, p.runs[k].from);
        p.runs[k].from.0 -= 1;
        p.steps.iter_mut().filter(|t| t.step == step && t.begin == from).for_each(|t| t.begin.0 -= 1);
        p.runs.sort_by_key(|r| (r.from, r.step));
        p.steps.sort_by_key(|t| (t.begin, t.step));
        true
    }),
    ("a day off where it was worked", FaultKind::Shift, |_, s, p, d| {
        let Some(k) = run_of(p, d, |_| true) else { return false };
        let day = p.runs[k].from.day();
        let own = s.workers[p.runs[k].people[0]].shifts.clone();
        s.workers[p.runs[k].people[0]].shifts = roomback::clock::Shifts::compile(day / 7 + own.weeks() + 2, |x| {
            if x == day { roomback::clock::DayShift::OFF } else { *own.day(x) }
        });
        true
    }),
    ("piece over night", FaultKind::Fit, |g, _, p, d| {
        let alone = |k: usize| p.runs.iter().filter(|r| r.step == p.runs[k].step).count() == 1;
        let Some(k) = run_of(p, d, |k| over_night(p, k) && alone(k)) else { return false };
        g.steps[p.runs[k].step].flags.one_go = true;
        true
    }),
    ("long set-up over night", FaultKind::LateStart, |g, s, p, d| {
        let Some(k) = run_of(p, d, |k| over_night(p, k) && p.runs[k].pickup_min == 0) else { return false };
        g.steps[p.runs[k].step].setup_min = 3000;
        // Beside a helper it may have been expected to fit.
        !g.steps[p.runs[k].step].flags.one_go && s.workers.iter().all(|w| !w.helper)
    }),
    ("left in the middle", FaultKind::SetDown, |g, _, p, _| {
        let Some(r) = p.runs.iter().find(|r| r.pickup_min > 0) else { return false };
        g.steps[r.step].flags.set_down = false;
        true
    }),
    ("wrong person", FaultKind::Crew, |g, s, p, d| {
        let Some(k) = run_of(p, d, |k| p.runs[k].people.len() == 1) else { return false };
        let step = p.runs[k].step;
        g.steps[step].crew.who.retain(|&w| w != p.runs[k].people[0]);
        s.workers.len() > 1
    }),
    ("person the order does not allow", FaultKind::Crew, |_, _, p, d| {
        let Some(k) = run_of(p, d, |_| true) else { return false };
        let step = p.runs[k].step;
        p.order.people[step] = Some(Vec::new());
        true
    }),
    ("one pair of hands for two", FaultKind::Crew, |g, _, p, _| {
        let two = |step: usize| g.steps[step].crew.fewest == 2;
        let Some(r) = p.runs.iter_mut().find(|r| two(r.step)) else { return false };
        r.people.pop();
        true
    }),
    ("in two places at once", FaultKind::Busy, |_, _, p, _| {
        for a in 0..p.runs.len() {
            for b in a + 1..p.runs.len() {
                if p.runs[b].from < p.runs[a].to && p.runs[a].people != p.runs[b].people {
                    p.runs[b].people = p.runs[a].people.clone();
                    return true;
                }
            }
        }
        false
    }),
    ("a step twice at once", FaultKind::Busy, |_, _, p, _| {
        let Some(k) = (0..p.runs.len()).find(|&k| p.runs[k].pickup_min > 0) else { return false };
        let Some(j) = (0..k).rev().find(|&j| p.runs[j].step == p.runs[k].step) else { return false };
        p.runs[j].to.0 = p.runs[k].from.0 + 1;
        true
    }),
    ("need: done", FaultKind::Need, |g, _, p, d| {
        let Some(a) = some(p, d, |_| true) else { return false };
        let Some(b) = some(p, d, |b| b.begin < a.end && b.step != a.step) else { return false };
        link(g, a.step, b.step, Ask::Done, 0)
    }),
    ("need: dry", FaultKind::Need, |g, _, p, d| {
        let Some(a) = some(p, d, |a| !a.ready.is_empty()) else { return false };
        let Some(b) = some(p, d, |b| b.begin < a.ready[0].1 && b.step != a.step) else { return false };
        link(g, a.step, b.step, Ask::Dry(a.ready[0].0), 0)
    }),
    ("need: begun", FaultKind::Need, |g, _, p, d| {
        let Some(a) = some(p, d, |_| true) else { return false };
        let Some(b) = some(p, d, |b| b.begin.0 < a.begin.0 + 30 && b.step != a.step) else { return false };
        link(g, a.step, b.step, Ask::Begun, 30)
    }),
    ("need: ends after end", FaultKind::Need, |g, _, p, d| {
        let Some(a) = some(p, d, |_| true) else { return false };
        let Some(b) = some(p, d, |b| b.end < a.end) else { return false };
        link(g, a.step, b.step, Ask::EndAfterEnd, 0)
    }),
    ("need: ends after begin", FaultKind::Need, |g, _, p, d| {
        let Some(a) = some(p, d, |_| true) else { return false };
        let Some(b) = some(p, d, |b| b.end < a.begin) else { return false };
        link(g, a.step, b.step, Ask::EndAfterBegin, 0)
    }),
    ("lag grown", FaultKind::Need, |g, _, p, _| {
        let there = |x: usize| p.steps.iter().find(|t| t.step == x);
        let l = g
            .links
            .iter_mut()
            .find(|l| WorkGraph::holds(&l.when, &p.order.methods) && there(l.from).is_some() && there(l.to).is_some());
        l.map(|l| l.lag += 200 * DAY).is_some()
    }),
    ("window shut", FaultKind::Window, |g, _, p, d| {
        let Some(t) = some(p, d, |_| true) else { return false };
        let minute = t.begin.minute();
        g.steps[t.step].windows = vec![BeginWindow { days: [true; 7], day: None, from: minute + 1, to: DAY }];
        true
    }),
    ("window on another day", FaultKind::Window, |g, _, p, d| {
        let Some(t) = some(p, d, |_| true) else { return false };
        let day = Some(t.begin.day() + 7);
        g.steps[t.step].windows = vec![BeginWindow { days: [true; 7], day, from: 0, to: DAY }];
        true
    }),
    ("before its earliest", FaultKind::Earliest, |g, _, p, d| {
        let Some(t) = some(p, d, |_| true) else { return false };
        g.steps[t.step].earliest = Some(At(t.begin.0 + 1));
        true
    }),
    ("air too humid", FaultKind::Humidity, |g, _, p, d| {
        let Some(t) = some(p, d, |t| g.steps[t.step].place.is_some()) else { return false };
        g.steps[t.step].rh_below = Some(0.05);
        true
    }),
    ("product too cold", FaultKind::Air, |g, _, p, d| {
        let Some(t) = some(p, d, |t| g.steps[t.step].coat.is_some()) else { return false };
        let c = g.steps[t.step].coat.expect("chosen").product;
        g.products[c].least_temp_f = Some(95.0);
        true
    }),
    ("gate of another length", FaultKind::Gate, |g, _, p, d| {
        let Some(t) = some(p, d, |t| !matches!(g.steps[t.step].kind, Kind::Labor)) else { return false };
        p.steps.iter_mut().filter(|x| x.step == t.step).for_each(|x| x.end.0 += 1);
        true
    }),
    ("a stage too soon", FaultKind::Drying, |_, _, p, d| {
        let Some(t) = some(p, d, |t| !t.ready.is_empty()) else { return false };
        let k = d.int(0, t.ready.len() as i64 - 1) as usize;
        p.steps.iter_mut().filter(|x| x.step == t.step).for_each(|x| x.ready[k].1.0 -= 1);
        true
    }),
    ("a stage left out", FaultKind::Drying, |_, _, p, d| {
        let Some(t) = some(p, d, |t| !t.ready.is_empty()) else { return false };
        p.steps.iter_mut().filter(|x| x.step == t.step).for_each(|x| x.ready.truncate(0));
        true
    }),
    ("dust on a wet coat", FaultKind::Dust, |g, s, p, _| {
        let Some((coat, other)) = together(g, s, p, true) else { return false };
        g.products[g.steps[coat].coat.expect("a coat").product].wet_to_dust = true;
        g.steps[other].flags.dusty = true;
        true
    }),
    ("dust not settled", FaultKind::Dust, |g, s, p, _| {
        let place = |t: &Timed| g.steps[t.step].place;
        let found = p.steps.iter().find_map(|a| {
            let settle = s.spots[place(a)?].settle;
            let b = p.steps.iter().find(|b| {
                place(b) == place(a)
                    && g.steps[b.step].coat.is_some()
                    && b.end > b.begin
                    && b.begin >= laid(p, a)
                    && b.begin.0 < laid(p, a).0 + settle
            })?;
            (laid(p, a) > a.begin).then_some((a.step, b.step))
        });
        let Some((dusty, coat)) = found else { return false };
        g.products[g.steps[coat].coat.expect("a coat").product].wet_to_dust = true;
        g.steps[dusty].flags.dusty = true;
        true
    }),
    ("others in a closed place", FaultKind::Closed, |g, s, p, _| {
        let Some((coat, _)) = together(g, s, p, false) else { return false };
        g.steps[coat].flags.closes = true;
        true
    }),
    ("racks gone", FaultKind::Racks, |g, s, p, d| {
        let Some(t) = some(p, d, |t| g.steps[t.step].racks > 0) else { return false };
        s.spots[g.steps[t.step].place.expect("racks stand somewhere")].racks = Some(g.steps[t.step].racks - 1);
        true
    }),
    ("trip forgotten", FaultKind::Trip, |_, _, p, _| {
        let Some(r) = p.runs.iter_mut().find(|r| r.trip_min > 0) else { return false };
        r.trip_min = 0;
        true
    }),
    ("trip for nothing", FaultKind::Trip, |_, _, p, d| {
        let Some(k) = run_of(p, d, |k| p.runs[k].trip_min == 0) else { return false };
        p.runs[k].trip_min = 5;
        true
    }),
    ("begun against a hold", FaultKind::Hold, |_, _, p, d| {
        let Some(t) = some(p, d, |_| true) else { return false };
        let until = match some(p, d, |o| o.end > t.begin && o.step != t.step) {
            Some(o) if d.chance(50) => HoldUntil::Done(o.step),
            Some(o) if o.begin > t.begin => HoldUntil::Begun(o.step),
            _ => HoldUntil::At(At(t.begin.0 + 1)),
        };
        p.order.holds.push(PlanHold { step: t.step, until, wait: if d.chance(50) { None } else { Some(1_000_000) } });
        true
    }),
    ("recoat window passed", FaultKind::Recoat, |g, _, p, _| {
        let there = |x: usize| p.steps.iter().any(|t| t.step == x);
        let bare: Vec<usize> = (0..g.steps.len())
            .filter(|&x| matches!(g.steps[x].role, Role::Scuff { of } if !there(x) && there(of)))
            .map(|x| if let Role::Scuff { of } = g.steps[x].role { of } else { x })
            .collect();
        let l = g
            .links
            .iter_mut()
            .find(|l| matches!(l.ask, Ask::Dry(_)) && l.longest_h.is_some() && bare.contains(&l.to) && there(l.from));
        l.map(|l| l.longest_h = Some(0.001)).is_some()
    }),
    ("scuff-sanded for nothing", FaultKind::Recoat, |g, _, p, _| {
        let there = |x: usize| p.steps.iter().any(|t| t.step == x);
        let l = g.links.iter_mut().find(|l| {
            l.longest_h.is_some()
                && g.steps.iter().enumerate().any(|(x, s)| s.role == Role::Scuff { of: l.to } && there(x))
        });
        l.map(|l| l.longest_h = Some(9000.0)).is_some()
    }),
    ("after hours", FaultKind::Overtime, |_, _, p, d| {
        let Some(k) = run_of(p, d, |_| true) else { return false };
        p.runs[k].overtime_min = 10;
        true
    }),
    ("finish too soon", FaultKind::Finish, |_, _, p, _| {
        p.finish.0 -= 1;
        true
    }),
];

#[test]
fn every_planted_fault_is_found() {
    let mut planted: BTreeMap<&str, usize> = PLANTS.iter().map(|p| (p.0, 0)).collect();
    let mut kinds = std::collections::BTreeSet::new();
    for seed in 0..260 {
        let (job, graph) = random(seed, if seed % 4 == 0 { Size::Small } else { Size::Normal });
        let setting = Setting::new(&job, &graph);
        let mut d = Draws::new(seed + 5);
        let methods = graph.choices.iter().map(|c| c.fixed.unwrap_or(d.int(0, 1) as usize)).collect();
        let Some(plan) = drawn_plan(&graph, &setting, methods, &mut d) else { continue };
        assert!(verify(&graph, &setting, &plan).is_empty());
        for (name, kind, plant) in PLANTS {
            let (mut g, mut s, mut p) = (graph.clone(), setting.clone(), plan.clone());
            if plant(&mut g, &mut s, &mut p, &mut d) {
                let found = verify(&g, &s, &p);
                let seen: Vec<FaultKind> = found.iter().map(|f| f.kind).collect();
                assert!(seen.contains(kind), "job {seed}, {name}: {seen:?}");
                assert!(found.iter().all(|f| !f.what.is_empty()));
                *planted.get_mut(name).expect("listed") += 1;
                kinds.insert(*kind);
            }
        }
    }
    assert!(planted.values().all(|&n| n >= 5), "{planted:#?}");
    assert_eq!(kinds.len(), 25, "{kinds:?}");
}
