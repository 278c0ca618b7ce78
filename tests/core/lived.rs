//! Jobs lived through with a known truth: a world is drawn, the kept order is carried out in
//! it, each evening what happened is written up, and the evening's forecast is held against
//! the finish that came. Fixed seeds; the band is the exact binomial one at 99.9 %.

mod world;

use roomback::clock::DAY;
use roomback::desk;
use roomback::forecast::Options;
use roomback::search;

use crate::samples::sample;
pub use world::{Lived, evening, live};
use world::{band, evenings};

#[test]
fn forecasts_of_the_evening_keep_their_word_in_lived_jobs() {
    let s = sample("powder");
    let mut job = s.sound.job.clone();
    job.kept = Some(search::keep(&s.sound.graph, &s.sound.setting, &s.found.plan.order, &job));
    let sound = desk::judge(&job).expect("sound");
    let found = sound.plan(false).expect("a plan");
    let evenings = evenings(&sound, &found);
    let (mut held, mut all) = ([0usize; 3], [0usize; 3]);
    for world in 0..60u64 {
        let lived = live(&sound, &found, 900_001 + 7 * world);
        for (k, day) in evenings.into_iter().enumerate() {
            // Done by then: nothing is forecast any more.
            if lived.plan.finish.0 <= day * DAY {
                continue;
            }
            all[k] += 1;
            let asked = evening(&job, &sound, &lived, day);
            let now = desk::judge(&asked).unwrap_or_else(|p| panic!("world {world} day {day}: {p:?}"));
            let plan = now.plan(false).unwrap_or_else(|e| panic!("world {world} day {day}: {e:?}"));
            let f = now
                .forecast(&plan, Options { trials: 500, seed: 11, cause_trials: 0 })
                .unwrap_or_else(|e| panic!("world {world} day {day}: {e:?}"));
            assert!(f.sorted[0] >= day * DAY, "nothing is forecast in the past");
            let within = f.sorted.iter().filter(|&&t| t < lived.plan.finish.0).count();
            held[k] += usize::from(within < 400);
        }
    }
    // Binomial(60, 0.8): outside 37 to 57 lie 3.0e-4 below and 1.9e-4 above (scipy.stats.binom).
    assert_eq!(band(60, 0.8, 0.0005), (37, 57));
    for (k, (h, n)) in held.into_iter().zip(all).enumerate() {
        assert!(n >= 30, "day {}: {n} worlds under way", evenings[k]);
        let (low, high) = band(n, 0.8, 0.0005);
        assert!((low..=high).contains(&h), "held at 80 %: {held:?} of {all:?}");
    }
}
