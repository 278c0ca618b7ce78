//! Work under way: facts in the log, and what is planned and forecast from them.

use roomback::clock::{At, DAY};
use roomback::desk::{self, Sound};
use roomback::job::{Job, KeptOrder};
use roomback::record::as_planned;
use roomback::schedule::{Plan, Run, verify};
use roomback::search;

use crate::samples::{Sample, samples};

/// The sample with its plan kept, written up as planned for every day before `day`.
fn lived(s: &Sample, day: i64) -> Job {
    let mut job = s.sound.job.clone();
    let kept: KeptOrder = search::keep(&s.sound.graph, &s.sound.setting, &s.found.plan.order, &job);
    job.kept = Some(kept);
    let days = (0..day).map(|d| as_planned(&job, &s.sound.graph, &s.sound.setting, &s.found.plan, d));
    let log: Vec<_> = days.filter(|d| !d.steps.is_empty()).collect();
    job.log = log;
    job
}

fn at(job: &Job, minute: i64) -> Sound {
    let asked = Job { as_of: Some(job.time_of(At(minute))), ..job.clone() };
    desk::judge(&asked).unwrap_or_else(|p| panic!("{}: {p:?}", job.name))
}

/// What is still to come of a plan: step, begin, end of each stretch.
fn ahead(plan: &Plan, from: i64) -> Vec<(usize, i64, i64)> {
    plan.runs.iter().filter(|r| r.from.0 >= from).map(|r| (r.step, r.from.0, r.to.0)).collect()
}

#[test]
fn a_job_that_goes_as_planned_keeps_its_plan_every_evening() {
    for s in samples() {
        let last = s.found.plan.finish.0.div_euclid(DAY);
        let (mut others, mut moved) = (0, 0);
        let alone = s.sound.job.crew.len() == 1;
        for day in 1..=last {
            let job = lived(s, day);
            let sound = at(&job, day * DAY);
            let found = sound.plan(false).unwrap_or_else(|e| panic!("{} day {day}: {e:?}", s.name));
            let faults = verify(&sound.graph, &sound.setting, &found.plan);
            assert!(faults.is_empty(), "{} day {day}: {:?}", s.name, &faults[..faults.len().min(3)]);
            // What was begun before and goes on is the rest of a stretch.
            let goes_on = |x: &(usize, i64, i64)| {
                let over = |r: &Run| r.step == x.0 && r.from.0 < day * DAY && r.to.0 == x.2;
                s.found.plan.runs.iter().any(over)
            };
            let was = ahead(&s.found.plan, day * DAY);
            let now: Vec<_> = ahead(&found.plan, day * DAY).into_iter().filter(|x| !goes_on(x)).collect();
            let first = was.iter().zip(&now).find(|(a, b)| a != b);
            let name = |x: &(usize, i64, i64)| (s.sound.graph.steps[x.0].id.clone(), x.1, x.2);
            let seen = first.map(|(a, b)| (name(a), name(b)));
            if !alone && found.plan.finish != s.found.plan.finish {
                // Measured on the hall, whose walk-through has its days: three days, once five.
                let off = (found.plan.finish.0 - s.found.plan.finish.0).abs();
                assert!(off <= 5 * DAY, "{} day {day}: {seen:?}", s.name);
                others += 1;
                continue;
            }
            assert_eq!(found.plan.finish, s.found.plan.finish, "{} day {day}: {seen:?}", s.name);
            moved += i64::from((seen.is_some() || was.len() != now.len()) && alone);
        }
        assert!(moved * 10 <= last, "{}: {moved} evenings of {last} go on in another order", s.name);
        // Two people share labor in whole minutes of each: now and then one is over or short.
        assert!(others * 6 <= last, "{}: {others} evenings of {last} end otherwise", s.name);
    }
}
