//! Which part of a run is worked on which day, and working days between two instants.

use std::collections::BTreeMap;

use crate::clock::{At, DAY};
use crate::forecast::last_day;
use crate::schedule::{Net, Plan, Run, Setting};

/// What of a run falls on one day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Portion {
    /// Index into the plan's runs.
    pub run: usize,
    pub step: usize,
    pub day: i64,
    pub begin: At,
    pub end: At,
    /// Minutes of each of the people, trip left in.
    pub minutes: i64,
    /// Trip at its head, minutes of each.
    pub trip: i64,
    /// Worked after hours, minutes of each.
    pub overtime: i64,
    pub people: Vec<usize>,
    /// The step goes on after this portion.
    pub goes_on: bool,
}

fn shift_parts(net: &Net, run: &Run, day: i64) -> Vec<(i64, i64)> {
    let step = &net.graph.steps[run.step];
    let Some(&p) = run.people.first() else { return Vec::new() };
    let mut parts: Vec<(i64, i64)> = net
        .set
        .hours(p, step.place, step.flags.noisy, day)
        .stretches()
        .iter()
        .map(|&(a, b)| (day * DAY + i64::from(a), day * DAY + i64::from(b)))
        .collect();
    if run.overtime_min > 0 && last_day(run.to) == day {
        parts.push((run.to.0 - run.overtime_min, run.to.0));
    }
    parts
}

/// Every run cut by days, in order of begin.
pub fn portions(net: &Net, plan: &Plan) -> BTreeMap<i64, Vec<Portion>> {
    let mut out: BTreeMap<i64, Vec<Portion>> = BTreeMap::new();
    for (i, run) in plan.runs.iter().enumerate().filter(|(_, r)| !r.people.is_empty()) {
        let mut trip = run.trip_min;
        let end_of_step = plan.timed(run.step).map_or(run.to, |t| t.end);
        for day in run.from.day()..=last_day(run.to) {
            let cut = |(a, b): (i64, i64)| (a.max(run.from.0), b.min(run.to.0));
            let parts: Vec<_> = shift_parts(net, run, day).into_iter().map(cut).filter(|(a, b)| a < b).collect();
            let (Some(first), Some(last)) = (parts.first(), parts.last()) else { continue };
            let minutes: i64 = parts.iter().map(|(a, b)| b - a).sum();
            let portion = Portion {
                run: i,
                step: run.step,
                day,
                begin: At(first.0),
                end: At(last.1),
                minutes,
                trip: trip.min(minutes),
                overtime: if last_day(run.to) == day { run.overtime_min } else { 0 },
                people: run.people.clone(),
                goes_on: last.1 < end_of_step.0,
            };
            trip -= portion.trip;
            out.entry(day).or_default().push(portion);
        }
    }
    for day in out.values_mut() {
        day.sort_by_key(|p| (p.begin, p.run));
    }
    out
}

/// Minutes of all trips of a plan, people-minutes.
pub fn trip_minutes(plan: &Plan) -> i64 {
    plan.runs.iter().map(|r| r.trip_min * r.people.len() as i64).sum()
}

/// Working days between two instants: shift minutes of whoever works most between them over
/// that person's mean shift; elapsed days where nobody has hands. Negative when `b < a`.
pub fn working_days(set: &Setting, a: At, b: At) -> f64 {
    if b < a {
        return -working_days(set, b, a);
    }
    let of = |w: &crate::schedule::Worker| {
        let week = w.shifts.week_minutes();
        let days = w.days.iter().filter(|d| **d).count();
        let between = w.clock.progress(a.0, b.0) as f64 / crate::clock::UNIT as f64;
        (week > 0 && days > 0).then(|| between * days as f64 / week as f64)
    };
    let most = set.workers.iter().filter_map(of).fold(None, |m: Option<f64>, d| Some(m.map_or(d, |m| m.max(d))));
    most.unwrap_or((b.0 - a.0) as f64 / DAY as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn portions_hold_every_minute_of_labor_and_no_night() {
        let opened = crate::desk::open(include_str!("../../sample-jobs/study.ron")).unwrap();
        let sound = opened.sound.expect("sound");
        let found = sound.plan(false).unwrap();
        let net = sound.net(&found);
        let all = portions(&net, &found.plan);
        for (day, list) in &all {
            for p in list {
                assert!(p.begin.day() == *day && last_day(p.end) == *day && p.minutes <= 440, "{p:?}");
            }
        }
        // One person at the plain pace: minutes worked are labor minutes.
        let worked: i64 = all.values().flatten().map(|p| (p.minutes - p.trip) * p.people.len() as i64).sum();
        let runs: i64 = found.plan.runs.iter().map(|r| r.labor_milli).sum();
        assert!((worked - runs / 1000).abs() <= found.plan.runs.len() as i64, "{worked} and {runs}");
        let trips: i64 = all.values().flatten().map(|p| p.trip * p.people.len() as i64).sum();
        assert_eq!(trips, trip_minutes(&found.plan));
        assert!(trips > 0);
    }

    #[test]
    fn a_working_day_is_a_mean_shift() {
        let opened = crate::desk::open(include_str!("../../sample-jobs/study.ron")).unwrap();
        let set = &opened.sound.expect("sound").setting;
        // Monday 8:15 to the same hour a week later: five shifts.
        let (a, b) = (At(495), At(495 + 7 * DAY));
        assert!((working_days(set, a, b) - 5.0).abs() < 1e-9);
        assert!((working_days(set, b, a) + 5.0).abs() < 1e-9);
    }
}
