//! Ways back on the bundled study, on six evenings the two workdays before which were lost, against
//! one forecast of as many trials in the same run, and how soon a stopped run stops.
//! `cargo bench --no-default-features --bench ways`

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use roomback::clock::{At, DAY};
use roomback::desk::ways_back::{Asked, standing, ways_back};
use roomback::desk::{self, ASKED, Sound};
use roomback::forecast::Options;
use roomback::job::{Job, LostCause, LostTime};
use roomback::record::as_planned;
use roomback::search::keep;

/// The study on the evening of a day, the two workdays before it lost.
fn evening(sound: &Sound, day: i64) -> Job {
    let found = sound.plan(false).expect("a plan");
    let mut job = sound.job.clone();
    job.kept = Some(keep(&sound.graph, &sound.setting, &found.plan.order, &job));
    let entry = |d| as_planned(&job, &sound.graph, &sound.setting, &found.plan, d);
    let log: Vec<_> = (0..day - 2).map(entry).filter(|d| !d.steps.is_empty()).collect();
    job.log = log;
    let lost = LostTime {
        from: job.date_of(day - 2),
        to: Some(job.date_of(day - 1)),
        hours: None,
        who: String::new(),
        house: false,
        cause: LostCause::Illness,
        note: String::new(),
    };
    job.lost.push(lost);
    job.as_of = Some(job.time_of(At(day * DAY)));
    job
}

fn main() {
    let sound =
        desk::open(include_str!("../sample-jobs/study.ron")).expect("a job file").sound.expect("a sound sample");
    println!("{:>5} {:>8} {:>10} {:>9} {:>7} {:>8}", "day", "ways", "seconds", "forecast", "ratio", "stops ms");
    // The worst of these is the one with the most to do.
    for day in [3, 5, 9, 12, 17, 19] {
        let job = evening(&sound, day);
        let (now, found) = standing(&job, &|| false).expect("sound").expect("a plan");
        let mut one = f64::INFINITY;
        for _ in 0..5 {
            let from = Instant::now();
            let o = Options { trials: ASKED, seed: job.seed, cause_trials: 0 };
            now.forecast(&found, o).expect("odds");
            one = one.min(from.elapsed().as_secs_f64());
        }
        let (from, mut ways, mut first) = (Instant::now(), 0, 0.0);
        ways_back(&job, &Asked::default(), &|| false, &mut |a| {
            ways = a.tried;
            if first == 0.0 && !a.ways.is_empty() {
                first = from.elapsed().as_secs_f64();
            }
        })
        .expect("sound");
        let all = from.elapsed().as_secs_f64();
        // Stopped after so many milliseconds: how long until it is back.
        let mut worst = 0.0f64;
        for after in [40, 150, 333, 700, 1_111] {
            let stop = AtomicBool::new(false);
            std::thread::scope(|s| {
                let run = s.spawn(|| {
                    let ask = || stop.load(Ordering::Relaxed);
                    ways_back(&job, &Asked::default(), &ask, &mut |_| ()).expect("sound");
                    Instant::now()
                });
                std::thread::sleep(Duration::from_millis(after));
                let said = Instant::now();
                stop.store(true, Ordering::Relaxed);
                let back = run.join().expect("stopped");
                worst = worst.max(back.saturating_duration_since(said).as_secs_f64() * 1e3);
            });
        }
        println!(
            "{day:>5} {ways:>8} {all:>10.2} {:>6.1} ms {:>7.0} {worst:>8.1}   first rows after {first:.2} s",
            one * 1e3,
            all / one
        );
    }
}
