//! Verification accepts plans that can be done and finds every planted fault.

use std::collections::BTreeMap;

use roomback::schedule::{Plan, Setting, sound, verify};
use roomback::work::WorkGraph;

use crate::random::{Draws, Size, how_many, random};
use crate::simulator::{Simulator, Start};

/// A plan in which every start is drawn from what could start, seldom dropping work.
pub fn drawn_plan(graph: &WorkGraph, setting: &Setting, methods: Vec<usize>, d: &mut Draws) -> Option<Plan> {
    let sim = Simulator::new(graph, setting, methods, true);
    let (mut s, mut runs) = (sim.start(), Vec::new());
    for _ in 0..60_000 {
        let waits = d.chance(3);
        let drops = d.chance(4);
        let options: Vec<Start> = sim.options(&s).into_iter().filter(|o| drops || !o.drops).collect();
        if options.is_empty() || waits {
            if sim.finished(&s) {
                return Some(sim.plan(&s, runs));
            }
            if !sim.advance(&mut s, &mut runs) {
                return None;
            }
        } else {
            let o = d.pick(&options);
            sim.begin(&mut s, o, &mut runs);
        }
    }
    None
}

#[test]
fn drawn_plans_of_random_jobs_pass() {
    let (mut built, jobs) = (0, how_many(400));
    let mut failed = BTreeMap::new();
    for seed in 0..jobs {
        let (job, graph) = random(seed, if seed % 3 == 0 { Size::Small } else { Size::Normal });
        let setting = Setting::new(&job, &graph);
        let mut d = Draws::new(seed + 77);
        let methods = graph.choices.iter().map(|c| c.fixed.unwrap_or(d.int(0, 1) as usize)).collect();
        let Some(plan) = drawn_plan(&graph, &setting, methods, &mut d) else {
            *failed.entry("not built").or_insert(0) += 1;
            println!("job {seed} could not be built");
            continue;
        };
        built += 1;
        let faults = verify(&graph, &setting, &plan);
        assert!(faults.is_empty(), "job {seed}: {faults:#?}");
    }
    assert!(built * 100 >= jobs * 97, "{built} of {jobs} built: {failed:?}");
}

#[test]
fn random_jobs_hold_nothing_that_can_never_be_done() {
    for seed in 0..how_many(400) {
        let (job, graph) = random(seed, if seed % 2 == 0 { Size::Small } else { Size::Normal });
        let found = sound(&job, &graph, &Setting::new(&job, &graph));
        assert!(found.is_empty(), "job {seed}: {found:#?}");
    }
}
