//! Jobs lived through with a known truth: a world is drawn, the kept order is carried out in
//! it, each evening what happened is written up, and the evening's forecast is held against
//! the finish that came. Fixed seeds; the band is the exact binomial one at 99.9 %.

use roomback::clock::DAY;
use roomback::desk::{self, Sound};
use roomback::forecast::world::{Block, Drawn, Model};
use roomback::forecast::{Acting, Options};
use roomback::job::{Hm, Hours, Job, LostCause, LostTime};
use roomback::record::as_planned;
use roomback::schedule::{Plan, Prepared, State, World, collect};
use roomback::search::{self, Found};

use crate::samples::sample;

/// What happened in one world, and the days lost in it.
pub struct Lived {
    pub plan: Plan,
    pub lost: Vec<LostTime>,
}

pub fn live(sound: &Sound, found: &Found, seed: u64) -> Lived {
    let net = sound.net(found);
    let order = &found.plan.order;
    let model = Model::new(&sound.job, &net, seed);
    let block = Block::new(&model, &net, 0);
    let mut world = Drawn::new(&model, &net, Acting::of(&sound.job));
    world.set(&net, &block, (seed % 500) as usize);
    let mut st = State::default();
    Prepared::new(&net, order).run(&mut world, &mut st).expect("an end");
    let plan = collect(&net, order, &mut world, &mut st);
    let mut lost = Vec::new();
    for day in 0..=plan.finish.0.div_euclid(DAY) {
        for (p, w) in sound.setting.workers.iter().enumerate() {
            let (was, planned) = (*world.shift(&sound.setting, p, day), *w.shifts.day(day));
            let date = sound.job.date_of(day);
            let one = |hours, cause| LostTime {
                from: date,
                to: None,
                hours,
                who: w.id.clone(),
                house: false,
                cause,
                note: String::new(),
            };
            if was == planned || planned.minutes() == 0 {
                continue;
            }
            if was.minutes() == 0 {
                lost.push(one(None, LostCause::Illness));
            } else if let Some(first) = was.stretches().first() {
                let hours = Hours { from: Hm(0), to: Hm(i64::from(first.0)) };
                lost.push(one(Some(hours), LostCause::Other));
            }
        }
        if !world.open(day) {
            let date = sound.job.date_of(day);
            let house = LostTime {
                from: date,
                to: None,
                hours: None,
                who: String::new(),
                house: true,
                cause: LostCause::Client,
                note: String::new(),
            };
            lost.push(house);
        }
    }
    Lived { plan, lost }
}

/// The job on an evening of what was lived.
pub fn evening(job: &Job, sound: &Sound, lived: &Lived, day: i64) -> Job {
    let mut out = job.clone();
    let date = job.date_of(day);
    out.lost = lived.lost.iter().filter(|l| l.from < date).cloned().collect();
    let so_far = desk::judge(&Job { lost: out.lost.clone(), ..job.clone() }).expect("sound");
    for d in 0..day {
        let mut entry = as_planned(job, &sound.graph, &so_far.setting, &lived.plan, d);
        // Nobody measures what is half done.
        entry.steps.iter_mut().for_each(|w| w.share = None);
        out.log.push(entry);
    }
    out.as_of = Some(date.and_hms_opt(0, 0, 0).expect("midnight"));
    out
}

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
