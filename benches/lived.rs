//! Do the forecasts of an evening hold in jobs lived through? Worlds drawn for the powder room, its
//! kept order carried out in each, three evenings written up as they came, and each evening's 80 %
//! date held against the finish that came.
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
const EVENINGS: [f64; 3] = [0.25, 0.5, 0.75];

/// The fewest and the most of `n` that hold at chance `p`, leaving out at most `tail` to each side.
fn band(n: usize, p: f64, tail: f64) -> (usize, usize) {
    let chance = |k: usize| {
        let (n, k) = (n as f64, k as f64);
        let ways = libm::lgamma(n + 1.0) - libm::lgamma(k + 1.0) - libm::lgamma(n - k + 1.0);
        libm::exp(ways + k * libm::log(p) + (n - k) * libm::log1p(-p))
    };
    let (mut sum, mut low) = (chance(0), 0);
    while sum <= tail {
        low += 1;
        sum += chance(low);
    }
    let (mut sum, mut high) = (chance(n), n);
    while sum <= tail {
        high -= 1;
        sum += chance(high);
    }
    (low, high)
}

fn main() {
    let worlds = std::env::args().skip(1).find_map(|a| a.parse().ok()).unwrap_or(WORLDS);
    let opened = desk::open(include_str!("../sample-jobs/powder.ron")).expect("a job");
    let sound = opened.sound.expect("sound");
    let found = sound.plan(false).expect("a plan");
    let mut job = sound.job.clone();
    job.kept = Some(search::keep(&sound.graph, &sound.setting, &found.plan.order, &job));
    let sound = desk::judge(&job).expect("sound");
    let found = sound.plan(false).expect("a plan");
    let from = std::time::Instant::now();
    let one = |n: u64| {
        let lived = world::live(&sound, &found, 1_000_003 + 13 * n);
        let last = lived.plan.finish.0.div_euclid(DAY);
        EVENINGS.map(|share| {
            let day = ((last as f64 * share) as i64).max(1);
            let now = desk::judge(&world::evening(&job, &sound, &lived, day)).expect("sound");
            let plan = now.plan(false).expect("a plan");
            let f = now.forecast(&plan, Options { trials: TRIALS, seed: 11, cause_trials: 0 }).expect("odds");
            f.sorted.iter().filter(|&&t| t < lived.plan.finish.0).count() < TRIALS * 4 / 5
        })
    };
    let all: Vec<[bool; 3]> = (0..worlds as u64).into_par_iter().map(one).collect();
    let (low, high) = band(worlds, 0.8, 0.0005);
    println!("{worlds} worlds of the powder room, {TRIALS} trials an evening; {:.0} s", from.elapsed().as_secs_f64());
    let mut good = true;
    for (k, share) in EVENINGS.into_iter().enumerate() {
        let held = all.iter().filter(|w| w[k]).count();
        let inside = (low..=high).contains(&held);
        good &= inside;
        println!(
            "{:>3.0} % of the way: {held} of {worlds} 80 % dates held, {:.2} %; band {low} to {high}, {:.2} to {:.2} %   {}",
            share * 100.0,
            100.0 * held as f64 / worlds as f64,
            100.0 * low as f64 / worlds as f64,
            100.0 * high as f64 / worlds as f64,
            if inside { "holds" } else { "MISSED" }
        );
    }
    if !good {
        std::process::exit(1);
    }
}
