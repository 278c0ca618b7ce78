//! The bound, the least finish an outside solver proves and the plan found, job by job:
//! bound <= least <= plan, all one where the plan is proven by bound.
//!
//! The solver is CP-SAT of OR-tools with a model of the rules of `verify` written for it
//! (`tests/oracle/shortest.py`). Its plans are stored with its proofs and must be accepted
//! here. `WRITE_REPORTS=1` writes the jobs for it to read anew.

mod describe;
mod rebuild;

use std::path::PathBuf;

use describe::{describe, fingerprint, unfit};
use roomback::clock::At;
use roomback::job::Job;
use roomback::schedule::{Run, Setting, verify};
use roomback::search::{Found, Proven, bound, search};
use roomback::work::WorkGraph;
use serde::Deserialize;
use serde_json::{Value, json};

use crate::random::{Draws, Size, random};
use crate::samples::samples;
use crate::verify::drawn_plan;

/// Jobs compared: the first so many random ones the outside model can take.
const JOBS: usize = 200;

const AGAIN: &str =
    "run `WRITE_REPORTS=1 cargo test --test core shortest`, then `tests/oracle/run write`, and read the change";

/// What the solver said of one job.
#[derive(Debug, Deserialize)]
struct Said {
    name: String,
    hash: String,
    /// Why there is no answer, if there is none.
    status: Option<String>,
    /// No plan ends sooner.
    #[serde(default)]
    least: i64,
    /// This one ends then.
    #[serde(default)]
    best: i64,
    #[serde(default)]
    methods: Vec<usize>,
    /// Step, from, to, people, piece, trip, labor in thousandths, picking up.
    #[serde(default)]
    #[allow(clippy::type_complexity, reason = "a row as it stands in the file")]
    runs: Vec<(usize, i64, i64, Vec<usize>, usize, i64, i64, i64)>,
}

#[derive(Deserialize)]
struct Stored {
    jobs: Vec<Said>,
}

fn file(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/oracle").join(name)
}

struct Small {
    name: String,
    job: Job,
    graph: WorkGraph,
    setting: Setting,
    text: Value,
}

fn small_jobs() -> Vec<Small> {
    let one = |seed: u64| {
        let (job, graph) = random(seed, Size::Small);
        let setting = Setting::new(&job, &graph);
        let text = describe(&graph, &setting);
        let name = format!("random {seed}");
        unfit(&graph, &setting).is_none().then_some(Small { name, job, graph, setting, text })
    };
    (0..).filter_map(one).take(JOBS).collect()
}

fn found(graph: &WorkGraph, setting: &Setting) -> Found {
    search(graph, setting, None, &[], true, &|| false).expect("a sound job has a plan")
}

/// One job of the file: its name, fingerprint, a finish that can be reached, and the job.
fn entry(name: &str, text: &Value, by: At) -> String {
    let hash = fingerprint(&text.to_string());
    json!({ "name": name, "hash": hash, "by": by.0, "job": text }).to_string()
}

#[test]
fn what_the_outside_solver_reads() {
    let jobs = small_jobs();
    if std::env::var_os("WRITE_REPORTS").is_some() {
        let lines: Vec<String> =
            jobs.iter().map(|j| entry(&j.name, &j.text, found(&j.graph, &j.setting).plan.finish)).collect();
        std::fs::write(file("jobs.json"), format!("[\n{}\n]\n", lines.join(",\n"))).expect("jobs.json");
        // Beside them the sample jobs, for long runs by hand; not stored.
        let lines: Vec<String> = samples()
            .iter()
            .map(|s| {
                if let Some(why) = unfit(&s.sound.graph, &s.sound.setting) {
                    println!("{}: {why}", s.name);
                }
                entry(s.name, &describe(&s.sound.graph, &s.sound.setting), s.found.plan.finish)
            })
            .collect();
        let target = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("samples.json");
        std::fs::write(&target, format!("[\n{}\n]\n", lines.join(",\n"))).expect("samples.json");
        println!("samples are in {}", target.display());
    }
    let text = std::fs::read_to_string(file("jobs.json")).expect("jobs.json");
    let stored: Vec<Value> = serde_json::from_str(&text).expect("jobs.json");
    assert_eq!(stored.len(), jobs.len(), "jobs.json: {AGAIN}");
    for (s, j) in stored.iter().zip(&jobs) {
        assert!(s["name"] == j.name.as_str() && s["job"] == j.text, "{}: another job than stored; {AGAIN}", j.name);
    }
}

#[test]
fn the_bound_the_outside_solver_and_the_plan_agree() {
    let text = std::fs::read_to_string(file("shortest.json")).expect("shortest.json");
    let stored: Stored = serde_json::from_str(&text).expect("shortest.json");
    let jobs = small_jobs();
    assert_eq!(stored.jobs.len(), jobs.len(), "shortest.json: {AGAIN}");
    let (mut closed, mut equal, mut by_bound, mut by_search, mut shorter) = (0, 0, 0, 0, 0);
    for (said, j) in stored.jobs.iter().zip(&jobs) {
        let name = &j.name;
        assert_eq!((&said.name, &said.hash), (name, &fingerprint(&j.text.to_string())), "another job; {AGAIN}");
        if let Some(status) = &said.status {
            println!("{name}: the solver found nothing in its time: {status}");
            continue;
        }
        // The solver's plan is one: nothing in it is impossible.
        let run = |r: &(usize, i64, i64, Vec<usize>, usize, i64, i64, i64)| Run {
            step: r.0,
            from: At(r.1),
            to: At(r.2),
            people: r.3.clone(),
            piece: r.4,
            trip_min: r.5,
            overtime_min: 0,
            labor_milli: r.6,
            pickup_min: r.7,
        };
        let outside = rebuild::rebuild(&j.graph, &j.setting, said.methods.clone(), said.runs.iter().map(run).collect());
        let faults = verify(&j.graph, &j.setting, &outside);
        assert!(faults.is_empty(), "{name}: the solver's plan: {faults:#?}");
        assert_eq!(outside.finish.0, said.best, "{name}");
        assert!(said.least <= said.best, "{name}");

        let found = found(&j.graph, &j.setting);
        let (low, plan) = (bound(&j.graph, &j.setting).at.0, found.plan.finish.0);
        assert!(low <= said.best, "{name}: bound {low}, a plan ends {}", said.best);
        assert!(said.least <= plan, "{name}: no plan ends before {}, ours ends {plan}", said.least);
        closed += usize::from(said.least == said.best);
        equal += usize::from(plan == said.best);
        shorter += usize::from(plan < said.best);
        match found.proven {
            Proven::ByBound => {
                by_bound += 1;
                assert_eq!(plan, said.best, "{name}: proven by bound");
            }
            Proven::BySearch => {
                by_search += 1;
                if plan != said.best {
                    println!("{name}: proven by search at {plan}, the solver's plan ends {}", said.best);
                }
            }
            Proven::No if plan > said.best => println!("{name}: {plan}, the solver's plan ends {}", said.best),
            Proven::No => {}
        }
        // Any plan at all ends no sooner.
        for round in 0..4 {
            let mut d = Draws::new(j.job.seed * 10 + round);
            let methods = j.graph.choices.iter().map(|c| c.fixed.unwrap_or(d.int(0, 1) as usize)).collect();
            if let Some(p) = drawn_plan(&j.graph, &j.setting, methods, &mut d) {
                assert!(said.least <= p.finish.0, "{name}: no plan before {}, one ends {:?}", said.least, p.finish);
            }
        }
    }
    println!(
        "{equal} of {} plans as short as the solver's, {shorter} shorter; {by_bound} proven by bound, {by_search} by \
         search; the solver closed {closed}",
        jobs.len()
    );
    assert!(closed * 100 >= jobs.len() * 95, "{closed} closed by the solver");
    assert!(equal * 100 >= jobs.len() * 80, "{equal} of {} plans as short as any", jobs.len());
}
