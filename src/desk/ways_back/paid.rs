//! What a way costs by itself: people paid by the hour, heaters by the day, freight, trips saved,
//! other products, labor of another method. The price quoted to the client is not needed.
//!
//! A person whose cost the job does not say is counted at the table's `own-hour`, and said so.

use super::super::asks::EVENING;
use super::lever::Lever;
use crate::clock::{DAY, UNIT};
use crate::forecast::last_day;
use crate::job::{Job, Person};
use crate::schedule::{Plan, Setting};
use crate::trade::{extra, swaps};
use crate::waysback::CostLine;
use crate::work::{Kind, Role, WorkGraph};

/// Trips and labor are counted from so many minutes on.
const COUNTED: i64 = 10;

/// A job under an order: what the cost is read from.
pub struct Side<'a> {
    pub job: &'a Job,
    pub graph: &'a WorkGraph,
    pub setting: &'a Setting,
    pub plan: &'a Plan,
}

fn dollars(job: &Job, id: &str) -> f64 {
    extra(&job.extras, id).map_or(0.0, |e| e.amount)
}

/// What an hour of somebody costs, and whether that was assumed.
fn hourly(job: &Job, p: &Person) -> (f64, bool) {
    match (p.cost > 0.0, p.helper) {
        (true, _) => (p.cost, false),
        (false, true) => (dollars(job, "helper-hour"), true),
        (false, false) => (dollars(job, "own-hour"), true),
    }
}

fn name(p: &Person) -> &str {
    if p.name.is_empty() { &p.id } else { &p.name }
}

/// Labor minutes planned and not written up as done, of the steps of an order's methods.
fn labor(side: &Side) -> i64 {
    let ended = |s: usize| side.setting.standing.as_deref().is_some_and(|f| f.steps[s].ended.is_some());
    // Unlisted work goes with the rest of its room, wherever that is done.
    let hands = |s: usize| {
        let x = &side.graph.steps[s];
        matches!(x.kind, Kind::Labor) && x.role != Role::Unlisted && !ended(s)
    };
    side.plan.steps.iter().filter(|t| hands(t.step)).map(|t| side.graph.steps[t.step].labor.typical()).sum()
}

/// Labor minutes of the steps a way leaves for later.
fn put_off(lever: &Lever, base: &Side) -> i64 {
    let of = |id: &str| -> i64 {
        let mine = |s: &usize| base.graph.steps[*s].id.split('#').next() == Some(id);
        let planned = base.plan.steps.iter().map(|t| t.step).filter(mine);
        planned.map(|s| base.graph.steps[s].labor.typical()).sum()
    };
    match lever {
        Lever::Later { room, surface, rows } => {
            let (r, s) = (&base.job.rooms[*room], &base.job.rooms[*room].surfaces[*surface]);
            rows.iter().map(|row| of(&format!("{}/{}/{row}", r.id, s.id))).sum()
        }
        Lever::OwnLater { step } => base.job.steps.get(*step).map_or(0, |s| of(&s.id)),
        _ => 0,
    }
}

/// Minutes the crew of the job as it is spends on trips from an instant on.
pub fn trips(plan: &Plan, crew: usize, now: i64) -> i64 {
    let mine = |r: &crate::schedule::Run| r.people.iter().filter(|p| **p < crew).count() as i64;
    plan.runs.iter().filter(|r| r.from.0 >= now).map(|r| r.trip_min * mine(r)).sum()
}

/// The day on whose evening the last coat of a place is dry enough for what waits for it.
fn last_coat(side: &Side, place: usize) -> i64 {
    let here = |s: usize| side.graph.steps[s].place == Some(place) && side.graph.steps[s].coat.is_some();
    let waits = |s: usize| {
        let to = side.graph.links.iter().filter(|l| l.from == s).filter_map(|l| side.plan.timed(l.to));
        to.map(|t| t.begin.0).max()
    };
    let ends = side.plan.steps.iter().filter(|t| here(t.step)).map(|t| waits(t.step).unwrap_or(t.end.0).max(t.end.0));
    ends.max().map_or(0, |t| last_day(crate::clock::At(t)))
}

/// What the levers cost together, line by line.
pub fn lines(levers: &[Lever], base: &Side, way: &Side) -> Vec<CostLine> {
    let job = way.job;
    let crew = base.job.crew.len();
    let now = job.as_of.map_or(0, |t| job.at_of(t).0.max(0));
    let mut out = Vec::new();
    let mut helpers = crew;
    for lever in levers {
        match lever {
            Lever::Helper { .. } => {
                let (p, w) = (&job.crew[helpers], &way.setting.workers[helpers]);
                let minutes = w.clock.progress(now, now + 200 * DAY) / UNIT;
                let (cost, assumed) = hourly(job, p);
                out.push(CostLine::new("helper-hour", name(p), minutes as f64 / 60.0, cost).assumed(assumed));
                helpers += 1;
            }
            Lever::Evenings { person, days } => {
                let p = &job.crew[*person];
                let (cost, assumed) = hourly(job, p);
                let hours = days.len() as f64 * (EVENING.to.0 - EVENING.from.0) as f64 / 60.0;
                let dear = cost * (1.0 + dollars(job, "evening"));
                out.push(CostLine::new("evening", name(p), hours, dear).assumed(assumed));
            }
            Lever::DaysOff { person, days } => {
                let p = &job.crew[*person];
                let (cost, assumed) = hourly(job, p);
                let shift = |d: &chrono::NaiveDate| way.setting.workers[*person].shifts.day(job.day_of(*d)).minutes();
                let hours = days.iter().map(shift).sum::<i64>() as f64 / 60.0;
                let dear = cost * (1.0 + dollars(job, "day-off"));
                out.push(CostLine::new("day-off", name(p), hours, dear).assumed(assumed));
            }
            Lever::Heat { place, from } | Lever::Fan { place, from } => {
                let row = if matches!(lever, Lever::Heat { .. }) { "heater" } else { "fan" };
                let days = (last_coat(way, *place) - job.day_of(*from) + 1).max(1);
                let p = &job.places[*place];
                let of = if p.name.is_empty() { &p.id } else { &p.name };
                out.push(CostLine::new(row, of, days as f64, dollars(job, row)));
            }
            Lever::Product { rows, from, to, .. } => out.push(swapped(job, from, to, rows.len())),
            Lever::OwnProduct { from, to, .. } => out.push(swapped(job, from, to, 1)),
            Lever::Express { delivery, days } => {
                let of = &job.deliveries[*delivery].name;
                out.push(CostLine::new("express", of, f64::from(*days), dollars(job, "express")));
                out.push(CostLine::new("express-base", of, 1.0, dollars(job, "express-base")));
            }
            Lever::OrderNow { delivery, .. } => {
                let d = &job.deliveries[*delivery];
                if !d.needs.is_empty() {
                    out.push(CostLine::new("order-unmeasured", &d.name, 1.0, dollars(job, "order-unmeasured")));
                }
            }
            _ => {}
        }
    }
    if levers.iter().any(|l| matches!(l, Lever::Later { .. } | Lever::OwnLater { .. })) {
        // He comes back once for all that is left.
        out.push(CostLine::new("return-visit", "", 1.0, dollars(job, "return-visit")));
    }
    let Some(p) = job.crew.iter().find(|p| !p.helper).or(job.crew.first()) else { return out };
    let (cost, assumed) = hourly(job, p);
    let left: i64 = levers.iter().map(|l| put_off(l, base)).sum();
    let more = labor(way) + left - labor(base);
    if more.abs() >= COUNTED {
        out.push(CostLine::new("labor", name(p), more as f64 / 60.0, cost).assumed(assumed));
    }
    let saved = trips(way.plan, crew, now) - trips(base.plan, crew, now);
    if saved.abs() >= COUNTED {
        out.push(CostLine::new("trips", name(p), saved as f64 / 60.0, cost).assumed(assumed));
    }
    out
}

fn swapped(job: &Job, from: &str, to: &str, steps: usize) -> CostLine {
    let row = swaps().iter().find(|w| w.from == from && w.to == to).map_or("", |w| w.extra.as_str());
    CostLine::new(row, "", steps as f64, dollars(job, row))
}
