//! A world drawn for a job, its kept order carried out in it, and the job as it is written up on an
//! evening of what came.

use roomback::clock::DAY;
use roomback::desk::{self, Sound};
use roomback::forecast::world::{Block, Drawn, Model};
use roomback::forecast::{Acting, CauseKind, Options};
use roomback::job::{Hm, Hours, Job, LostCause, LostTime};
use roomback::record::as_planned;
use roomback::schedule::{Plan, Prepared, State, World, collect};
use roomback::search::Found;

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
    // The same world with the job before over in time: what is lost there too is an illness.
    let mut free = Drawn::new(&model, &net, Acting::of(&sound.job).without(CauseKind::JobBefore));
    free.set(&net, &block, (seed % 500) as usize);
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
                let ill = free.shift(&sound.setting, p, day).minutes() == 0;
                lost.push(one(None, if ill { LostCause::Illness } else { LostCause::OtherJob }));
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

/// The evenings asked on: a quarter, half and three quarters of the way to the likely finish as it was
/// before the first day, whatever came. An evening chosen by the finish that came would know of it.
pub fn evenings(sound: &Sound, found: &Found) -> [i64; 3] {
    let o = Options { trials: 500, seed: 11, cause_trials: 0 };
    let likely = sound.forecast(found, o).expect("odds").sorted[250].div_euclid(DAY);
    [0.25, 0.5, 0.75].map(|share| ((likely as f64 * share) as i64).max(1))
}

/// The fewest and the most of `n` that hold at chance `p`, leaving out at most `tail` to each side.
pub fn band(n: usize, p: f64, tail: f64) -> (usize, usize) {
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
