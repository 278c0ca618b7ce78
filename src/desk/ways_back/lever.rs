//! One thing that could be done to get days back, as edits of the job.
//!
//! Nothing here touches what has happened: people are brought in, hours added and air changed from
//! a day on; steps written up, deliveries here and methods begun with are left alone by whoever
//! puts the question (`possible.rs`).

use chrono::{Datelike, NaiveDate};

use super::super::asks::{EVENING, HEATED, on_date};
use super::super::starts::{working_day, working_day_after};
use crate::job::{AirFrom, Change, Edit, HELPER_PACE, Hm, Hours, Job, Person, Window, free_id, weekdays};
use crate::trade::extra;
use crate::work::WorkGraph;

/// Trades a helper does as well as anybody: preparing, sanding, priming, filling, masking.
const ROUGH: [&str; 4] = ["prep", "plaster", "paint", "finish"];

/// Something that could be done. Indices are those of the job's lists.
#[derive(Clone, Debug, PartialEq)]
pub enum Lever {
    /// A helper on so many working days from a day; `rough`: not at the fitting and hanging.
    Helper { from: NaiveDate, days: u32, rough: bool },
    /// Somebody works these evenings as well.
    Evenings { person: usize, days: Vec<NaiveDate> },
    /// Somebody works on days he has off by the week.
    DaysOff { person: usize, days: Vec<NaiveDate> },
    /// A heater in a place from a day on, day and night.
    Heat { place: usize, from: NaiveDate },
    /// A fan or dehumidifier in a place from a day on.
    Fan { place: usize, from: NaiveDate },
    /// Another product for steps of a surface not begun yet: rows of its recipe, by id.
    Product { room: usize, surface: usize, rows: Vec<String>, from: String, to: String },
    /// The same for a step of the user's own.
    OwnProduct { step: usize, from: String, to: String },
    /// Another method of a surface.
    Method { room: usize, surface: usize, choice: String, option: String },
    /// A delivery comes so many business days sooner.
    Express { delivery: usize, days: u32 },
    /// A delivery is ordered on this day, not when all it waits for is done.
    OrderNow { delivery: usize, on: NaiveDate },
    /// Steps of a surface done after the hand-over: rows of its recipe, by id.
    Later { room: usize, surface: usize, rows: Vec<String> },
    /// A step of the user's own done after the hand-over.
    OwnLater { step: usize },
    /// Somebody changes place overnight only.
    Stay { person: usize, from: NaiveDate },
    /// The client settles something by an earlier day.
    Decide { decision: usize, by: NaiveDate },
    /// Somebody else comes on any weekday.
    AnyDay { visit: usize },
    /// The client walks through on any weekday.
    WalkThrough { room: usize },
}

fn change(job: &Job, room: usize, surface: usize, row: &str) -> Change {
    let s = job.rooms.get(room).and_then(|r| r.surfaces.get(surface));
    let there = s.and_then(|s| s.changes.iter().rev().find(|c| c.step == row)).cloned();
    there.unwrap_or_else(|| Change { step: row.into(), ..Change::default() })
}

/// Labor hours of a row as planned, low, typical, high; set-up left out.
fn hours(graph: &WorkGraph, job: &Job, room: usize, surface: usize, row: &str) -> Option<(f64, f64, f64)> {
    let id = format!("{}/{}/{row}", job.rooms.get(room)?.id, job.rooms[room].surfaces.get(surface)?.id);
    let of = |s: &&crate::work::Step| s.id.split('#').next() == Some(&id) && s.role.planned();
    let mut sum = (0.0, 0.0, 0.0);
    for s in graph.steps.iter().filter(of) {
        let cut = s.setup_min as f64;
        sum.0 += (s.labor.low - cut).max(0.0) / 60.0;
        sum.1 += (s.labor.typ - cut).max(0.0) / 60.0;
        sum.2 += (s.labor.high - cut).max(0.0) / 60.0;
    }
    (sum.1 > 0.0).then_some(sum)
}

impl Lever {
    /// What two of a kind share: they never go together.
    pub fn kind(&self) -> String {
        match self {
            Lever::Helper { .. } => "helper".into(),
            Lever::Evenings { person, .. } => format!("evenings {person}"),
            Lever::DaysOff { person, .. } => format!("days off {person}"),
            Lever::Heat { place, .. } => format!("heat {place}"),
            Lever::Fan { place, .. } => format!("fan {place}"),
            Lever::Product { room, surface, .. }
            | Lever::Method { room, surface, .. }
            | Lever::Later { room, surface, .. } => format!("surface {room}/{surface}"),
            Lever::OwnProduct { step, .. } | Lever::OwnLater { step } => format!("step {step}"),
            Lever::Express { delivery, .. } | Lever::OrderNow { delivery, .. } => format!("delivery {delivery}"),
            Lever::Stay { person, .. } => format!("stay {person}"),
            Lever::Decide { decision, .. } => format!("decision {decision}"),
            Lever::AnyDay { visit } => format!("visit {visit}"),
            Lever::WalkThrough { room } => format!("walk {room}"),
        }
    }

    /// The changes it makes to a job, in which other levers may have made theirs before. `graph`
    /// is the work of the job.
    pub fn edits(&self, job: &Job, graph: &WorkGraph) -> Vec<Edit> {
        match self {
            Lever::Helper { from, days, .. } => {
                vec![Edit::Person(job.crew.len(), Some(helper(job, *from, *days)))]
            }
            Lever::Evenings { person, days } => {
                let mut out = quiet(job);
                out.extend(dates(job, *person, days, |hours| {
                    hours.retain(|h| h.from < EVENING.from);
                    if let Some(h) = hours.last_mut().filter(|h| h.to > EVENING.from) {
                        h.to = EVENING.from;
                    }
                    hours.push(EVENING);
                }));
                out
            }
            Lever::DaysOff { person, days } => dates(job, *person, days, |_| ()),
            Lever::Heat { place, from } => later_air(job, *place, *from, |a| {
                a.work_air.temp_f = a.work_air.temp_f.max(HEATED);
                a.off_air.temp_f = a.off_air.temp_f.max(HEATED);
            }),
            Lever::Fan { place, from } => later_air(job, *place, *from, |a| a.fan = true),
            Lever::Product { room, surface, rows, from, to } => {
                let labor = swap_labor(from, to);
                let one = |row: &String| {
                    let mut c = change(job, *room, *surface, row);
                    c.product = Some(to.clone());
                    if (labor - 1.0).abs() > 1e-9
                        && let Some(h) = hours(graph, job, *room, *surface, row)
                    {
                        let long = |x: f64| libm::round(x * labor * 100.0) / 100.0;
                        c.hours = Some((long(h.0), long(h.1), long(h.2)));
                    }
                    Edit::Change(*room, *surface, c)
                };
                rows.iter().map(one).collect()
            }
            Lever::OwnProduct { step, to, .. } => own(job, *step, |s| {
                if let Some(l) = &mut s.leaves {
                    l.product.clone_from(to);
                }
            }),
            Lever::Method { room, surface, choice, option } => {
                vec![Edit::Method(*room, *surface, choice.clone(), Some(option.clone()))]
            }
            Lever::Express { delivery, days } => {
                let Some(d) = job.deliveries.get(*delivery) else { return Vec::new() };
                let mut new = d.clone();
                new.lead_days = (new.lead_days - f64::from(*days)).max(0.0);
                vec![Edit::Delivery(*delivery, Some(new))]
            }
            Lever::OrderNow { delivery, on } => {
                let Some(d) = job.deliveries.get(*delivery) else { return Vec::new() };
                vec![Edit::Delivery(*delivery, Some(crate::job::Delivery { ordered: Some(*on), ..d.clone() }))]
            }
            Lever::Later { room, surface, rows } => rows
                .iter()
                .map(|row| Edit::Change(*room, *surface, Change { later: true, ..change(job, *room, *surface, row) }))
                .collect(),
            Lever::OwnLater { step } => own(job, *step, |s| s.later = true),
            Lever::Stay { person, from } => match job.crew.get(*person) {
                Some(p) => vec![Edit::Person(*person, Some(Person { stays_from: Some(*from), ..p.clone() }))],
                None => Vec::new(),
            },
            Lever::Decide { decision, by } => match job.decisions.get(*decision) {
                Some(d) => vec![Edit::Decision(*decision, Some(crate::job::Decision { by: *by, ..d.clone() }))],
                None => Vec::new(),
            },
            Lever::AnyDay { visit } => match job.visits.get(*visit) {
                Some(v) => {
                    let windows = any_day(&v.windows);
                    vec![Edit::Visit(*visit, Some(crate::job::Visit { windows, ..v.clone() }))]
                }
                None => Vec::new(),
            },
            Lever::WalkThrough { room } => match job.rooms.get(*room) {
                Some(r) => {
                    let walk_through = any_day(&r.walk_through);
                    vec![Edit::Room(*room, Some(Box::new(crate::job::Room { walk_through, ..r.clone() })))]
                }
                None => Vec::new(),
            },
        }
    }

    /// Steps it is about: tried first in one of its orders.
    pub fn first(&self, job: &Job, graph: &WorkGraph) -> Vec<usize> {
        let all = |of: &dyn Fn(&crate::work::Step) -> bool| {
            (0..graph.steps.len()).filter(|&s| of(&graph.steps[s])).collect::<Vec<_>>()
        };
        let behind = |id: &str| {
            let to = |s: usize| graph.links.iter().any(|l| l.to == s && graph.steps[l.from].id == id);
            (0..graph.steps.len()).filter(|&s| to(s)).collect::<Vec<_>>()
        };
        let surface = |room: usize, surface: usize| {
            let r = job.rooms.get(room);
            let s = r.and_then(|r| r.surfaces.get(surface));
            r.zip(s).map_or_else(Vec::new, |(r, s)| all(&|x| x.room == r.id && x.surface == s.id))
        };
        match self {
            Lever::Helper { .. } => all(&|s| ROUGH.contains(&s.trade.as_str())),
            Lever::Evenings { .. } => all(&|s| !s.flags.noisy && s.crew.fewest > 0),
            Lever::Heat { place, .. } | Lever::Fan { place, .. } => all(&|s| s.place == Some(*place)),
            Lever::Product { room, surface: s, .. } | Lever::Method { room, surface: s, .. } => surface(*room, *s),
            Lever::OwnProduct { step, .. } => job.steps.get(*step).map_or_else(Vec::new, |o| all(&|s| s.id == o.id)),
            Lever::Express { delivery, .. } | Lever::OrderNow { delivery, .. } => {
                job.deliveries.get(*delivery).map_or_else(Vec::new, |d| behind(&d.id))
            }
            Lever::Decide { decision, .. } => job.decisions.get(*decision).map_or_else(Vec::new, |d| behind(&d.id)),
            Lever::AnyDay { visit } => job.visits.get(*visit).map_or_else(Vec::new, |v| behind(&v.id)),
            _ => Vec::new(),
        }
    }

    /// Steps its helper keeps out of; empty where he may do what he can.
    pub fn not_for_helper(&self, graph: &WorkGraph) -> Vec<usize> {
        match self {
            Lever::Helper { rough: true, .. } => {
                let fine = |s: &usize| !ROUGH.contains(&graph.steps[*s].trade.as_str());
                (0..graph.steps.len()).filter(fine).collect()
            }
            _ => Vec::new(),
        }
    }
}

/// Factor on the labor where a product stands in for another.
pub fn swap_labor(from: &str, to: &str) -> f64 {
    crate::trade::swaps().iter().find(|w| w.from == from && w.to == to).map_or(1.0, |w| w.labor)
}

fn helper(job: &Job, from: NaiveDate, days: u32) -> Person {
    let eve = working_day_after(job, from, -1);
    let comes: Vec<NaiveDate> = (0..i64::from(days.max(1))).map(|n| working_day_after(job, eve, n + 1)).collect();
    let first = job.start.min(from);
    let last = comes.last().copied().unwrap_or(from);
    let until = (last - first).num_days() + crate::job::AWAY_DAYS;
    let off = first.iter_days().take(until as usize).filter(|d| working_day(job, *d) && !comes.contains(d));
    let id = free_id("helper", job.crew.iter().map(|p| p.id.as_str()));
    let cost = extra(&job.extras, "helper-hour").map_or(0.0, |e| e.amount);
    Person {
        id,
        name: "Helper".into(),
        helper: true,
        cost,
        pace: HELPER_PACE,
        days_off: off.collect(),
        ..Person::default()
    }
}

/// People live here and nothing is said of noise: none of it after the evening begins.
fn quiet(job: &Job) -> Vec<Edit> {
    let calendar =
        |noise: Hours| vec![Edit::Calendar(crate::job::Calendar { noise: Some(noise), ..job.calendar.clone() })];
    match job.calendar.noise {
        _ if !job.house.occupied => Vec::new(),
        Some(_) => Vec::new(),
        None => calendar(Hours { from: Hm(0), to: EVENING.from.max(job.calendar.week.close) }),
    }
}

fn dates(job: &Job, person: usize, days: &[NaiveDate], put: impl Fn(&mut Vec<Hours>)) -> Vec<Edit> {
    let mut job = job.clone();
    for day in days {
        crate::job::edited(&job, &on_date(&job, person, *day, &put)).clone_into(&mut job);
    }
    job.crew.get(person).map_or_else(Vec::new, |p| vec![Edit::Person(person, Some(p.clone()))])
}

fn later_air(job: &Job, place: usize, day: NaiveDate, put: impl Fn(&mut AirFrom)) -> Vec<Edit> {
    let Some(p) = job.places.get(place) else { return Vec::new() };
    let mut new = p.clone();
    let plain = AirFrom { day, work_air: p.work_air, off_air: p.off_air, fan: p.fan };
    let mut air = p.later_air.filter(|a| a.day == day).unwrap_or(plain);
    put(&mut air);
    new.later_air = Some(air);
    vec![Edit::Place(place, Some(Box::new(new)))]
}

fn own(job: &Job, step: usize, put: impl Fn(&mut crate::job::OwnStep)) -> Vec<Edit> {
    let Some(s) = job.steps.get(step) else { return Vec::new() };
    let mut new = s.clone();
    put(&mut new);
    vec![Edit::OwnStep(step, Some(Box::new(new)))]
}

/// The same hours on every weekday.
fn any_day(windows: &[Window]) -> Vec<Window> {
    let from = windows.iter().map(|w| w.from).min().unwrap_or(Hm(8 * 60));
    let to = windows.iter().map(|w| w.to).max().unwrap_or(Hm(17 * 60));
    vec![Window { days: weekdays(), date: None, from, to }]
}

/// Whether a day is a Saturday.
pub(super) fn saturday(day: NaiveDate) -> bool {
    day.weekday() == chrono::Weekday::Sat
}
