//! Trials of the bundled study in one thread, for counting instructions.
//!
//! ```sh
//! cargo bench --no-default-features --bench trials --no-run  # names the program
//! for n in 500 1500; do
//!   valgrind --tool=callgrind --callgrind-out-file=target/callgrind.$n PROGRAM $n
//! done
//! ```
//!
//! The difference of the two counts ("Collected") is that of 1,000 trials, everything on;
//! what the plan takes is in both. `callgrind_annotate target/callgrind.1500` tells where.

use roomback::desk;
use roomback::forecast::Options;

fn main() {
    let trials = std::env::args().find_map(|n| n.parse().ok()).unwrap_or(1_000);
    let opened = desk::open(include_str!("../sample-jobs/study.ron")).expect("a job file");
    let sound = opened.sound.expect("a sound sample");
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("a thread");
    let f = pool.install(|| {
        let found = sound.plan(false).expect("a plan");
        sound.forecast(&found, Options { trials, seed: 11, cause_trials: 0 }).expect("odds")
    });
    println!("{} trials, 80 % done by minute {}", f.trials, f.quantile(0.8).0.0);
}
