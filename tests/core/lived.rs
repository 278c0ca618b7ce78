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

#[test]
fn forecasts_of_the_evening_keep_their_word_in_lived_jobs() {
    let s = sample("powder");
    let mut job = s.sound.job.clone();
    job.kept = Some(search::keep(&s.sound.graph, &s.sound.setting, &s.found.plan.order, &job));
    let sound = desk::judge(&job).expect("sound");
    let found = sound.plan(false).expect("a plan");
    let (mut held, mut all) = ([0usize; 3], 0usize);
    for world in 0..60u64 {
        let lived = live(&sound, &found, 900_001 + 7 * world);
        let last = lived.plan.finish.0.div_euclid(DAY);
        all += 1;
        for (k, share) in [0.25, 0.5, 0.75].into_iter().enumerate() {
            let day = ((last as f64 * share) as i64).max(1);
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
    for h in held {
        // Binomial(60, 0.8): outside 37 to 57 lie 3.0e-4 below and 1.9e-4 above (scipy.stats.binom).
        assert!((37..=57).contains(&h), "held at 80 %: {held:?} of {all}");
    }
}
