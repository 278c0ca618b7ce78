//! What could be done to get days back, each only where the job allows it: days still to come,
//! steps not begun, deliveries not here.

use chrono::{NaiveDate, NaiveTime};

use super::super::asks::{HEATED, saturdays};
use super::super::starts::{working_day, working_day_after};
use super::super::{MOST_PEOPLE, Sound, judge};
use super::lever::{Lever, saturday};
use crate::clock::{DAY, UNIT};
use crate::forecast::last_day;
use crate::job::{Job, Part, edited};
use crate::schedule::Plan;
use crate::trade::swaps;
use crate::work::{Kind, Role};

/// Working days from now on which a helper may begin.
const STARTS: [i64; 5] = [0, 1, 2, 4, 7];
/// Longest a helper is asked for, working days.
const HELPER_DAYS: u32 = 5;
/// Evenings looked at one by one, and runs of them.
const EVENINGS: i64 = 5;
const RUNS: [i64; 3] = [2, 3, 5];
/// Most steps of a surface left for after the hand-over.
const MOST_LATER: usize = 3;

/// The first day something can be done on: today where the day is still before it, else the next.
pub fn first_day(job: &Job) -> NaiveDate {
    match job.as_of {
        Some(t) if t.time() == NaiveTime::MIN => t.date().max(job.start),
        Some(t) => t.date().succ_opt().unwrap_or(t.date()).max(job.start),
        None => job.start,
    }
}

/// The day whose evening a moment is.
pub fn evening_day(t: chrono::NaiveDateTime) -> NaiveDate {
    if t.time() == NaiveTime::MIN { t.date().pred_opt().unwrap_or(t.date()) } else { t.date() }
}

struct Look<'a> {
    sound: &'a Sound,
    plan: &'a Plan,
    now: i64,
    first: NaiveDate,
    last: NaiveDate,
}

/// All that could be done about the job under a plan of it, each by itself.
pub fn possible(sound: &Sound, plan: &Plan) -> Vec<Lever> {
    let job = &sound.job;
    if job.study.is_some() || job.crew.is_empty() {
        return Vec::new();
    }
    let now = job.as_of.map_or(0, |t| job.at_of(t).0.max(0));
    let look = Look { sound, plan, now, first: first_day(job), last: job.date_of(last_day(plan.finish)) };
    let mut out = look.people();
    out.extend(look.places());
    out.extend(look.surfaces());
    out.extend(look.own_steps());
    out.extend(look.gates());
    out
}

impl Look<'_> {
    /// Working days from the first one on which something can be done up to the finish.
    fn days(&self) -> Vec<NaiveDate> {
        let job = &self.sound.job;
        self.first.iter_days().take(120).take_while(|d| *d <= self.last).filter(|d| working_day(job, *d)).collect()
    }

    fn people(&self) -> Vec<Lever> {
        let job = &self.sound.job;
        let days = self.days();
        let mut out = Vec::new();
        if job.crew.len() < MOST_PEOPLE {
            for &at in STARTS.iter().filter(|&&n| n == 0 || (n as usize) < days.len()) {
                let Some(&from) = days.get(at as usize) else { continue };
                for n in 1..=HELPER_DAYS {
                    for rough in [false, true] {
                        out.push(Lever::Helper { from, days: n, rough });
                    }
                }
            }
        }
        for (person, p) in job.crew.iter().enumerate().filter(|(_, p)| !p.helper).take(2) {
            let works = |d: &&NaiveDate| {
                let shift = self.sound.setting.workers[person].shifts.day(job.day_of(**d));
                let free = shift.stretches().iter().all(|s| i64::from(s.1) <= super::super::asks::EVENING.from.0);
                shift.minutes() > 0 && free
            };
            let days: Vec<NaiveDate> = days.iter().filter(works).copied().collect();
            for &day in days.iter().take(EVENINGS as usize) {
                out.push(Lever::Evenings { person, days: vec![day] });
            }
            for n in RUNS {
                let run: Vec<NaiveDate> = days.iter().take(n as usize).copied().collect();
                if run.len() == n as usize {
                    out.push(Lever::Evenings { person, days: run });
                }
            }
            let off = |d: &NaiveDate| *d >= self.first && saturday(*d) && !p.dates.iter().any(|x| x.day == *d);
            let sat: Vec<NaiveDate> = saturdays(job, self.last).into_iter().filter(off).collect();
            for &day in sat.iter().take(3) {
                out.push(Lever::DaysOff { person, days: vec![day] });
            }
            for n in 2..=sat.len().min(3) {
                out.push(Lever::DaysOff { person, days: sat[..n].to_vec() });
            }
            let trips =
                self.plan.runs.iter().any(|r| r.from.0 >= self.now && r.trip_min > 0 && r.people.contains(&person));
            if trips && p.stays_from.is_none() {
                out.push(Lever::Stay { person, from: self.first });
            }
        }
        out
    }

    /// Whether a step has begun by now.
    fn begun(&self, step: usize) -> bool {
        let facts = self.sound.setting.standing.as_deref();
        facts.is_some_and(|f| f.steps[step].begun.is_some() || f.steps[step].ended.is_some())
    }

    fn places(&self) -> Vec<Lever> {
        let (job, graph) = (&self.sound.job, &self.sound.graph);
        let mut out = Vec::new();
        for (place, p) in job.places.iter().enumerate().filter(|(_, p)| p.later_air.is_none()) {
            // A coat still to be laid here, or not dry yet.
            let coats: Vec<usize> = (0..graph.steps.len())
                .filter(|&s| graph.steps[s].place == Some(place) && graph.steps[s].coat.is_some())
                .filter(|&s| {
                    self.plan
                        .timed(s)
                        .is_some_and(|t| t.end.0.max(t.ready.iter().map(|r| r.1.0).max().unwrap_or(0)) > self.now)
                })
                .collect();
            if coats.is_empty() {
                continue;
            }
            if p.work_air.temp_f.min(p.off_air.temp_f) < HEATED - 2.0 {
                out.push(Lever::Heat { place, from: self.first });
            }
            let damps = |s: &usize| graph.steps[*s].coat.is_some_and(|c| graph.products[c.product].damps_room);
            if !p.fan && coats.iter().any(|s| damps(s) && !self.begun(*s)) {
                out.push(Lever::Fan { place, from: self.first });
            }
        }
        out
    }

    fn surfaces(&self) -> Vec<Lever> {
        let (job, graph) = (&self.sound.job, &self.sound.graph);
        let mut out = Vec::new();
        for (c, choice) in graph.choices.iter().enumerate() {
            let mut parts = choice.id.splitn(3, '/');
            let (Some(r), Some(s), Some(id)) = (parts.next(), parts.next(), parts.next()) else { continue };
            let Some(room) = job.rooms.iter().position(|x| x.id == r) else { continue };
            let Some(surface) = job.rooms[room].surfaces.iter().position(|x| x.id == s) else { continue };
            let said = job.rooms[room].surfaces[surface].methods.iter().any(|m| m.0 == id);
            let begun = self.sound.setting.standing.as_deref().is_some_and(|f| f.methods[c].is_some());
            if begun || (choice.fixed.is_some() && !said) {
                continue;
            }
            let now = self.plan.order.methods.get(c).copied();
            for (_, option) in choice.options.iter().enumerate().filter(|(o, _)| Some(*o) != now) {
                out.push(Lever::Method { room, surface, choice: id.into(), option: option.clone() });
            }
        }
        for room in 0..job.rooms.len() {
            for surface in 0..job.rooms[room].surfaces.len() {
                let steps = self.of(room, surface);
                for w in swaps() {
                    let rows = self.rows(&steps, &w.from);
                    if !rows.is_empty() {
                        let (from, to) = (w.from.clone(), w.to.clone());
                        out.push(Lever::Product { room, surface, rows, from, to });
                    }
                }
                out.extend(self.later(room, surface, &steps));
            }
        }
        out
    }

    /// Planned steps of a surface.
    fn of(&self, room: usize, surface: usize) -> Vec<usize> {
        let (r, graph) = (&self.sound.job.rooms[room], &self.sound.graph);
        let s = &r.surfaces[surface];
        (0..graph.steps.len())
            .filter(|&x| graph.steps[x].room == r.id && graph.steps[x].surface == s.id)
            .filter(|&x| graph.steps[x].origin.starts_with("rooms") && self.plan.timed(x).is_some())
            .filter(|&x| graph.steps[x].role == Role::Plain)
            .collect()
    }

    /// The row of a step: what stands behind room and surface, without its batch.
    fn row(&self, step: usize) -> String {
        let id = &self.sound.graph.steps[step].id;
        id.rsplit('/').next().and_then(|r| r.split('#').next()).unwrap_or_default().to_string()
    }

    /// Rows that leave a product, none of their batches begun and no variants of them.
    fn rows(&self, steps: &[usize], product: &str) -> Vec<String> {
        let graph = &self.sound.graph;
        let leaves = |s: usize| graph.steps[s].coat.is_some_and(|c| graph.products[c.product].id == product);
        let mut out: Vec<String> = Vec::new();
        for &s in steps.iter().filter(|&&s| leaves(s)) {
            let row = self.row(s);
            let same = |x: &&usize| self.row(**x) == row;
            let free = steps.iter().filter(same).all(|&x| !self.begun(x) && graph.steps[x].when.is_empty());
            if free && !out.contains(&row) {
                out.push(row);
            }
        }
        out
    }

    /// The last steps of a surface that only its own and the last checks wait for.
    fn later(&self, room: usize, surface: usize, steps: &[usize]) -> Vec<Lever> {
        let (job, graph) = (&self.sound.job, &self.sound.graph);
        let part = job.rooms[room].surfaces[surface].part;
        if part == Part::Room || steps.is_empty() {
            return Vec::new();
        }
        // Of other surfaces only the last checks, which lay no coat, may stand behind them.
        let mut free: Vec<usize> = steps.iter().copied().filter(|&s| !self.begun(s)).collect();
        let checks = |s: usize| {
            let x = &graph.steps[s];
            let of = job.rooms[room].surfaces.iter().find(|y| y.id == x.surface && x.room == job.rooms[room].id);
            let lays = |y: &crate::work::Step| y.room == x.room && y.surface == x.surface && y.coat.is_some();
            of.is_some_and(|y| y.part == Part::Room) && !graph.steps.iter().any(lays)
        };
        loop {
            let stands = |s: usize| self.plan.timed(s).is_some() && graph.steps[s].role.planned();
            let held = |s: usize| {
                graph.links.iter().any(|l| l.from == s && stands(l.to) && !free.contains(&l.to) && !checks(l.to))
            };
            let left: Vec<usize> = free.iter().copied().filter(|&s| !held(s)).collect();
            if left.len() == free.len() {
                break;
            }
            free = left;
        }
        let mut at: Vec<(i64, String)> = Vec::new();
        for &s in &free {
            let row = self.row(s);
            let end = self.plan.timed(s).map_or(0, |t| t.end.0);
            let all = steps.iter().filter(|&&x| self.row(x) == row).all(|x| free.contains(x));
            match at.iter_mut().find(|x| x.1 == row) {
                Some(x) => x.0 = x.0.max(end),
                None if all => at.push((end, row)),
                None => {}
            }
        }
        at.sort_by(|a, b| b.cmp(a));
        let at = &at[..at.len().min(MOST_LATER)];
        let sets = (1..=at.len()).map(|n| at[..n].iter().map(|x| x.1.clone()).collect::<Vec<_>>());
        let mut out: Vec<Lever> = sets.map(|rows| Lever::Later { room, surface, rows }).collect();
        out.retain(|l| judge(&self.bare(l)).is_ok());
        out
    }

    /// The job under a lever, whose order names no step that may be gone.
    fn bare(&self, lever: &Lever) -> Job {
        let job = Job { kept: None, ..self.sound.job.clone() };
        edited(&job, &lever.edits(&job, &self.sound.graph))
    }

    fn own_steps(&self) -> Vec<Lever> {
        let (job, graph) = (&self.sound.job, &self.sound.graph);
        let mut out = Vec::new();
        for (step, o) in job.steps.iter().enumerate().filter(|(_, o)| !o.later) {
            let mine: Vec<usize> = (0..graph.steps.len()).filter(|&s| graph.steps[s].id == o.id).collect();
            if mine.iter().any(|&s| self.begun(s)) || !mine.iter().any(|&s| self.plan.timed(s).is_some()) {
                continue;
            }
            for w in swaps().iter().filter(|w| o.leaves.as_ref().is_some_and(|l| l.product == w.from)) {
                out.push(Lever::OwnProduct { step, from: w.from.clone(), to: w.to.clone() });
            }
            let waited = graph.links.iter().any(|l| mine.contains(&l.from) && graph.steps[l.to].role.planned());
            if !waited && mine.iter().any(|&s| graph.steps[s].crew.fewest > 0) {
                let lever = Lever::OwnLater { step };
                if judge(&self.bare(&lever)).is_ok() {
                    out.push(lever);
                }
            }
        }
        out
    }

    /// Whether anything written up says when a gate comes.
    fn said(&self, id: &str) -> bool {
        self.sound.job.log.iter().flat_map(|d| &d.steps).any(|w| w.step == id && (w.done || w.coming.is_some()))
    }

    fn gates(&self) -> Vec<Lever> {
        let (job, graph, set) = (&self.sound.job, &self.sound.graph, &self.sound.setting);
        let find = |id: &str| graph.steps.iter().position(|s| s.id == id);
        let mut out = Vec::new();
        for (delivery, d) in job.deliveries.iter().enumerate().filter(|(_, d)| !self.said(&d.id)) {
            let Some(t) = find(&d.id).and_then(|s| self.plan.timed(s)) else { continue };
            if t.end.0 <= self.now {
                continue;
            }
            // Business days it is still under way, less one for the change.
            let from = t.begin.0.max(self.now);
            let left =
                (set.business.progress(from, t.end.0) / (UNIT * DAY) - 1).min(libm::floor(d.lead_days / 2.0) as i64);
            for days in [1, 2, 3, 5].into_iter().filter(|n| *n <= left) {
                out.push(Lever::Express { delivery, days: days as u32 });
            }
            if d.ordered.is_none() && t.begin.0 > job.day_of(self.first) * DAY {
                out.push(Lever::OrderNow { delivery, on: self.first });
            }
        }
        for (decision, d) in job.decisions.iter().enumerate().filter(|(_, d)| !self.said(&d.id) && d.by > self.first) {
            let between =
                self.first.iter_days().take_while(|x| *x < d.by).filter(|x| working_day(job, *x)).count() as i64;
            let mut days = vec![self.first, working_day_after(job, self.first, between / 2)];
            days.dedup();
            out.extend(days.into_iter().filter(|by| *by < d.by).map(|by| Lever::Decide { decision, by }));
        }
        let fewer = |windows: &[crate::job::Window]| {
            let all: Vec<_> = windows.iter().filter(|w| w.date.is_none()).flat_map(|w| &w.days).collect();
            !windows.is_empty() && !crate::job::weekdays().iter().all(|d| all.contains(&d))
        };
        for (visit, v) in job.visits.iter().enumerate() {
            let Some(s) = find(&v.id) else { continue };
            if fewer(&v.windows)
                && !self.begun(s)
                && !self.said(&v.id)
                && matches!(graph.steps[s].kind, Kind::Elapsed(_))
            {
                out.push(Lever::AnyDay { visit });
            }
        }
        for (room, r) in job.rooms.iter().enumerate().filter(|(_, r)| fewer(&r.walk_through)) {
            let waits = |s: &usize| graph.steps[*s].room == r.id && !graph.steps[*s].windows.is_empty();
            if (0..graph.steps.len()).filter(waits).any(|s| !self.begun(s) && self.plan.timed(s).is_some()) {
                out.push(Lever::WalkThrough { room });
            }
        }
        out
    }
}
