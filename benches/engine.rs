//! The engine on the bundled study: compare the lines of one run with each other, not with
//! another machine's. `cargo bench`.

use roomback::desk::{self, Sound};
use roomback::forecast::Options;
use roomback::schedule::{Frozen, Order, State, floats, plan, verify};
use roomback::search::bound;

fn main() {
    divan::main();
}

fn study() -> Sound {
    let opened = desk::open(include_str!("../sample-jobs/study.ron")).expect("a job file");
    opened.sound.expect("a sound sample")
}

/// One schedule of a given order: the unit everything else is counted in.
#[divan::bench]
fn one_schedule(b: divan::Bencher) {
    let s = study();
    let found = s.plan(false).expect("a plan");
    let net = s.net(&found);
    let order: &Order = &found.plan.order;
    let mut st = State::default();
    b.bench_local(|| plan(&net, order, &mut st).expect("a plan"));
}

#[divan::bench]
fn verify_plan(b: divan::Bencher) {
    let s = study();
    let found = s.plan(false).expect("a plan");
    b.bench(|| verify(&s.graph, &s.setting, &found.plan));
}

#[divan::bench]
fn lower_bound(b: divan::Bencher) {
    let s = study();
    b.bench(|| bound(&s.graph, &s.setting));
}

#[divan::bench]
fn float_of_every_step(b: divan::Bencher) {
    let s = study();
    let found = s.plan(false).expect("a plan");
    let net = s.net(&found);
    let _ = Frozen::new(&net, &found.plan);
    b.bench_local(|| floats(&net, &found.plan));
}

/// 500 trials, all causes acting: the first odds after an edit.
#[divan::bench(sample_count = 10)]
fn first_odds(b: divan::Bencher) {
    let s = study();
    let found = s.plan(false).expect("a plan");
    b.bench(|| s.forecast(&found, Options { trials: 500, seed: 1, cause_trials: 0 }).expect("odds"));
}

#[divan::bench(sample_count = 3)]
fn whole_search(b: divan::Bencher) {
    let s = study();
    b.bench(|| s.plan(false).expect("a plan"));
}
