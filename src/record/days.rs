//! A day written up from the plan: "as planned" in full.

use crate::clock::{At, DAY};
use crate::job::{DayLog, Hm, How, Job, Worked};
use crate::schedule::{Plan, Run, Setting};
use crate::work::WorkGraph;

/// What a plan has for a day, as the entry that says it was done so. `day` counts from the
/// job's first.
pub fn as_planned(job: &Job, graph: &WorkGraph, setting: &Setting, plan: &Plan, day: i64) -> DayLog {
    let mut steps: Vec<(At, Worked)> = Vec::new();
    for run in plan.runs.iter().filter(|r| r.from.0 < (day + 1) * DAY && r.to.0 > day * DAY) {
        let (from, to) = (run.from.0.max(day * DAY), run.to.0.min((day + 1) * DAY));
        let Some((from, to, minutes)) = worked(graph, setting, run, day, from, to) else { continue };
        let last = plan.runs.iter().filter(|r| r.step == run.step).all(|r| r.to <= run.to);
        let who = run.people.iter().map(|&p| job.crew[p].id.clone()).collect();
        let done = last && to == run.to.0;
        let hm = |t: i64| Some(Hm(t - day * DAY));
        steps.push((
            At(from),
            Worked {
                step: graph.steps[run.step].id.clone(),
                who,
                from: hm(from),
                hours: libm::round(minutes as f64 / 60.0 * 1e4) / 1e4,
                // As planned means as far as planned.
                share: (!done).then(|| share(setting, graph, plan, run.step, to)),
                done,
                at: hm(to),
                ..Worked::default()
            },
        ));
    }
    steps.sort_by_key(|s| s.0);
    let steps = steps.into_iter().map(|s| s.1).collect();
    DayLog { day: job.date_of(day), how: How::AsPlanned, steps, note: String::new() }
}

/// Share of a step's labor done by `t`, to four digits.
fn share(setting: &Setting, graph: &WorkGraph, plan: &Plan, step: usize, t: i64) -> f64 {
    let (mut done, mut all) = (0.0, 0.0);
    for r in plan.runs.iter().filter(|r| r.step == step) {
        // Finding the way in again brings the work no further.
        let labor = (r.labor_milli - 1000 * r.pickup_min).max(0) as f64;
        all += labor;
        let span = |to: i64| {
            let days = r.from.0.div_euclid(DAY)..=(to - 1).div_euclid(DAY);
            let part = |d: i64| worked(graph, setting, r, d, r.from.0.max(d * DAY), to.min((d + 1) * DAY));
            days.filter_map(part).map(|x| x.2).sum::<i64>() as f64
        };
        if r.from.0 < t {
            done += if r.to.0 <= t { labor } else { labor * span(t) / span(r.to.0).max(1.0) };
        }
    }
    libm::round(1e4 * done / f64::max(all, 1.0)) / 1e4
}

/// The part of a run on a day: from, to and minutes of work in it, the trip at its head left out.
fn worked(graph: &WorkGraph, setting: &Setting, run: &Run, day: i64, from: i64, to: i64) -> Option<(i64, i64, i64)> {
    let step = &graph.steps[run.step];
    let hours = |d: i64| {
        let all = run.people.iter().map(|&p| setting.hours(p, step.place, step.flags.noisy, d));
        all.reduce(|a, b| a.and(&b)).unwrap_or(crate::clock::DayShift::OFF)
    };
    let within = |d: i64, a: i64, b: i64| -> (i64, i64, i64) {
        let stretches = hours(d);
        let cut =
            stretches.stretches().iter().map(|s| (a.max(d * DAY + i64::from(s.0)), b.min(d * DAY + i64::from(s.1))));
        let cut: Vec<(i64, i64)> = cut.filter(|s| s.1 > s.0).collect();
        match (cut.first(), cut.last()) {
            (Some(f), Some(l)) => (f.0, l.1, cut.iter().map(|s| s.1 - s.0).sum()),
            _ => (a, a, 0),
        }
    };
    let (first, last, mut minutes) = within(day, from, to);
    let mut last = last;
    if run.to.0 == to && run.overtime_min > 0 {
        minutes += run.overtime_min;
        last = to;
    }
    let head = day == run.from.0.div_euclid(DAY);
    if head {
        // The trip, and finding the way in again, are no hours of the step.
        let rate: i64 = run.people.iter().map(|&p| setting.workers[p].rate).sum();
        minutes -= (run.trip_min + run.pickup_min * 1000 / rate.max(1)).min(minutes);
    }
    (minutes > 0 || run.to.0 == to).then_some((if head { run.from.0 } else { first }, last.max(first), minutes))
}
