//! From an edit of the bundled study to what the strip shows: first odds, the odds at rest, and
//! what is eating the date. `cargo bench --no-default-features --bench edit`
//!
//! Each line is the best and the middle of nine edits, milliseconds since the edit. The chain
//! is that of the window's worker, without the window.

use std::time::Instant;

use roomback::desk::{self, AT_REST, Chain, Reached};
use roomback::job::{Edit, edited};

fn main() {
    let opened = desk::open(include_str!("../sample-jobs/study.ron")).expect("a job file");
    let mut job = opened.sound.expect("a sound sample").job;
    let mut chain = Chain::default();
    chain.answer(&job, AT_REST, &|| false, &mut |_| ()).expect("a plan");
    let mut times: Vec<[f64; 4]> = Vec::new();
    for round in 0..9 {
        // A surface's difficulty moves to and fro: hours, order and odds are all worked out anew.
        let mut surface = job.rooms[0].surfaces[0].clone();
        surface.difficulty = Some(if round % 2 == 0 { 1.1 } else { 1.0 });
        job = edited(&job, &[Edit::Surface(0, 0, Some(Box::new(surface)))]);
        let (start, mut seen) = (Instant::now(), [f64::NAN; 4]);
        let mut say = |d: &desk::Desk| {
            let ms = start.elapsed().as_secs_f64() * 1e3;
            let k = match d.reached {
                Reached::First => 0,
                Reached::Trials(_) => 1,
                Reached::Odds => 2,
                Reached::Rest => 3,
            };
            if seen[k].is_nan() {
                seen[k] = ms;
            }
        };
        chain.answer(&job, AT_REST, &|| false, &mut say).expect("a plan");
        times.push(seen);
    }
    for (k, what) in [
        "first odds, 500 trials of the order before",
        "search over, 500 trials of its order",
        "10,000 trials",
        "what is eating the date",
    ]
    .iter()
    .enumerate()
    {
        let mut ms: Vec<f64> = times.iter().map(|t| t[k]).collect();
        ms.sort_by(f64::total_cmp);
        println!("{what:45} {:8.1} {:8.1}", ms[0], ms[ms.len() / 2]);
    }
}
