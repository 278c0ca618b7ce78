//! Do the forecasts of an evening hold in jobs lived through? Worlds drawn for the powder room, its
//! kept order carried out in each, three evenings written up as they came, and each evening's 80 %
//! date held against the finish that came, in the worlds still under way.
//!
//! `cargo bench --no-default-features --bench lived`; a number behind `--` for other than 2,000
//! worlds. The band is the exact binomial one at 99.9 %; exit code 1 where a share lies outside. The
//! worlds come from the model: this shows that an evening's facts are read rightly, not that the
//! model is right.

#[path = "../tests/core/lived/world.rs"]
mod world;

use rayon::prelude::*;
use roomback::clock::DAY;
use roomback::desk;
use roomback::forecast::Options;
use roomback::search;

const WORLDS: usize = 2_000;
const TRIALS: usize = 500;

fn main() {
    let worlds = std::env::args().skip(1).find_map(|a| a.parse().ok()).unwrap_or(WORLDS);
    let opened = desk::open(include_str!("../sample-jobs/powder.ron")).expect("a job");
    let sound = opened.sound.expect("sound");
    let found = sound.plan(false).expect("a plan");
    let mut job = sound.job.clone();
    job.kept = Some(search::keep(&sound.graph, &sound.setting, &found.plan.order, &job));
    let sound = desk::judge(&job).expect("sound");
    let found = sound.plan(false).expect("a plan");
    let evenings = world::evenings(&sound, &found);
    let from = std::time::Instant::now();
    let one = |n: u64| {
        let lived = world::live(&sound, &found, 1_000_003 + 13 * n);
        evenings.map(|day| {
            // Done by then: nothing is forecast any more.
            if lived.plan.finish.0 <= day * DAY {
                return None;
            }
            let now = desk::judge(&world::evening(&job, &sound, &lived, day)).expect("sound");
            let plan = now.plan(false).expect("a plan");
            let f = now.forecast(&plan, Options { trials: TRIALS, seed: 11, cause_trials: 0 }).expect("odds");
            Some(f.sorted.iter().filter(|&&t| t < lived.plan.finish.0).count() < TRIALS * 4 / 5)
        })
    };
    let all: Vec<[Option<bool>; 3]> = (0..worlds as u64).into_par_iter().map(one).collect();
    println!("{worlds} worlds of the powder room, {TRIALS} trials an evening; {:.0} s", from.elapsed().as_secs_f64());
    let mut good = true;
    for (k, day) in evenings.into_iter().enumerate() {
        let told: Vec<bool> = all.iter().filter_map(|w| w[k]).collect();
        let (n, held) = (told.len(), told.iter().filter(|h| **h).count());
        let (low, high) = world::band(n, 0.8, 0.0005);
        let inside = (low..=high).contains(&held);
        good &= inside;
        let share = |x: usize| 100.0 * x as f64 / n as f64;
        println!(
            "evening of day {day:>2}: {held} of {n} 80 % dates held, {:.2} %; band {low} to {high}, {:.2} to {:.2} %   {}",
            share(held),
            share(low),
            share(high),
            if inside { "holds" } else { "MISSED" }
        );
    }
    if !good {
        std::process::exit(1);
    }
}
