//! Gates without hands of the crew: deliveries, decisions, visits and laboratories.

use super::Builder;
use crate::clock::At;
use crate::job::Problem;
use crate::work::{Ask, Kind, Spread, Step};

/// A decision is settled by 17:00.
const SETTLED: i64 = 17 * 60;
const DAY: i64 = crate::clock::DAY;

/// A step with nobody's hands.
fn gate(id: &str, name: &str, kind: Kind, origin: String) -> Step {
    let name = if name.is_empty() { id } else { name };
    Step { name: name.to_string(), own_history: true, origin, ..Step::bare(id, kind) }
}

impl Builder<'_> {
    /// The gates as steps.
    pub(super) fn gates(&mut self) {
        let job = self.job;
        let last = job.rooms.len() + 1;
        for (i, d) in job.deliveries.iter().enumerate() {
            let at = format!("deliveries[{i}]");
            let late = self.late(d.late, &at);
            let mut minutes = self.days(d.lead_days, &format!("{at}.lead_days"));
            let mut earliest = None;
            if let Some(day) = d.ordered {
                let n = job.day_of(day);
                if n > 0 {
                    earliest = Some(At(n * DAY));
                } else {
                    // Ordered before the first day: the business days since then have run.
                    let since = (n.max(-3650)..0).filter(|&k| self.business(k)).count() as i64;
                    minutes = (minutes - since * DAY).max(0);
                }
            }
            let step = Step { earliest, ..gate(&d.id, &d.name, Kind::Business { minutes, late }, at) };
            let step = self.push(step, (last, 0, i));
            self.deliveries.push(step);
        }
        for (i, d) in job.decisions.iter().enumerate() {
            let path = format!("decisions[{i}]");
            let late = self.late(d.late, &path);
            let at = At((job.day_of(d.by) * DAY + SETTLED).max(0));
            let step = self.push(gate(&d.id, &d.name, Kind::Decision { at, late }, path), (last, 1, i));
            self.decisions.push(step);
        }
        for (i, v) in job.visits.iter().enumerate() {
            let at = format!("visits[{i}]");
            let late = self.late(v.late, &at);
            let place = job.places.iter().position(|p| p.id == v.place);
            if place.is_none() && !v.place.is_empty() {
                let all = job.places.iter().map(|p| p.id.as_str());
                let remedy = super::names::hint(&v.place, all, "name a place of this job");
                self.problem(format!("{at}.place"), format!("there is no place \"{}\"", v.place), remedy);
            }
            if v.hours > 0.0 && v.business_days > 0.0 {
                let what = "a visit takes hours or business days, not both";
                self.problem(&at, what, "keep the one that is meant");
            }
            if !(v.hours >= 0.0 && v.hours <= 10_000.0) {
                self.problem(format!("{at}.hours"), "hours must not be below 0", "give the elapsed hours it takes");
            }
            let business = v.business_days > 0.0;
            let kind = if business || (late.is_some() && v.hours <= 0.0 && v.windows.is_empty()) {
                Kind::Business { minutes: self.days(v.business_days, &format!("{at}.business_days")), late }
            } else {
                Kind::Elapsed(Spread::fixed(v.hours.clamp(0.0, 10_000.0) * 60.0))
            };
            let windows = self.windows(&v.windows);
            let step =
                self.push(Step { place, windows, ..gate(&v.id, &v.name, kind, at.clone()) }, (last, 2, i * 2 + 1));
            self.visits.push(step);
            if let (Kind::Elapsed(_), Some(_)) = (kind, late) {
                // Somebody else's lateness is a wait before his hours, on business days.
                let wait = Kind::Business { minutes: 0, late };
                let name = format!("{} free to come", if v.name.is_empty() { &v.id } else { &v.name });
                let wait = self.push(gate(&format!("{}+free", v.id), &name, wait, at), (last, 2, i * 2));
                self.link(wait, step, Ask::Done, 0, None, &[]);
            }
        }
        self.same_ids();
    }

    /// Business minutes of a number of days.
    fn days(&mut self, days: f64, path: &str) -> i64 {
        if !(0.0..=3650.0).contains(&days) {
            self.problem(path, "business days must be from 0 to 3650", "give the supplier's lead time");
            return 0;
        }
        libm::round(days * DAY as f64) as i64
    }

    /// Chance and minutes of being late.
    fn late(&mut self, late: Option<(f64, f64)>, path: &str) -> Option<(f64, i64)> {
        let (chance, days) = late?;
        if !(0.0..=1.0).contains(&chance) || !(0.0..=3650.0).contains(&days) {
            let what = "late is a chance from 0 to 1 and a number of days";
            self.problem(format!("{path}.late"), what, "write late: (0.2, 3)");
            return None;
        }
        Some((chance, libm::round(days * DAY as f64) as i64))
    }

    fn business(&self, day: i64) -> bool {
        (self.job.first_weekday() + day).rem_euclid(7) < 5
            && !self.job.calendar.holidays.contains(&self.job.date_of(day))
    }

    /// Two things with one id (variants of one step aside).
    fn same_ids(&mut self) {
        let mut first: std::collections::BTreeMap<&str, &str> = Default::default();
        let mut double = Vec::new();
        for s in self.graph.steps.iter().filter(|s| s.role.planned()) {
            let seen = *first.entry(&s.id).or_insert(&s.origin);
            if seen != s.origin {
                double.push(Problem::new(
                    format!("{}.id", s.origin),
                    format!("\"{}\" is the id of {seen} too", s.id),
                    "give one of them another id",
                ));
            }
        }
        self.problems.extend(double);
    }

    /// What gates wait for, and what waits for them.
    pub(super) fn link_gates(&mut self) {
        let job = self.job;
        for (i, d) in job.deliveries.iter().enumerate() {
            let step = self.deliveries[i];
            if d.ordered.is_none() {
                self.needs(&d.needs, step, &format!("deliveries[{i}].needs"));
            }
            self.before(&d.before, step, &format!("deliveries[{i}].before"));
        }
        for (i, d) in job.decisions.iter().enumerate() {
            let step = self.decisions[i];
            self.before(&d.before, step, &format!("decisions[{i}].before"));
        }
        for (i, v) in job.visits.iter().enumerate() {
            let step = self.visits[i];
            let waits = format!("{}+free", v.id);
            let head = self.graph.steps.iter().position(|s| s.id == waits).unwrap_or(step);
            self.needs(&v.needs, head, &format!("visits[{i}].needs"));
            self.before(&v.before, step, &format!("visits[{i}].before"));
        }
    }

    /// A delivery or decision nothing waits for would move no date.
    pub(super) fn idle_gates(&mut self) {
        let job = self.job;
        let named = |before: &[String]| !before.is_empty();
        let deliveries = job
            .deliveries
            .iter()
            .enumerate()
            .map(|(i, d)| (self.deliveries[i], &d.id, named(&d.before), format!("deliveries[{i}]")));
        let decisions = job
            .decisions
            .iter()
            .enumerate()
            .map(|(i, d)| (self.decisions[i], &d.id, named(&d.before), format!("decisions[{i}]")));
        let idle: Vec<(String, String)> = deliveries
            .chain(decisions)
            .filter(|(step, _, named, _)| !named && !self.graph.links.iter().any(|l| l.from == *step))
            .map(|(_, id, _, path)| (path, format!("nothing waits for \"{id}\"")))
            .collect();
        // A walk-through nobody walks through by.
        for (i, r) in job.rooms.iter().enumerate().filter(|(_, r)| !r.walk_through.is_empty()) {
            let met = self.rows.iter().any(|x| x.room == i && !self.graph.steps[x.step].windows.is_empty());
            if !met && !r.surfaces.is_empty() {
                self.problem(
                    format!("rooms[{i}].walk_through"),
                    "no step of this room waits for the walk-through".to_string(),
                    "add (part: room, recipe: \"finish-up\") or \"walk-through\" to its surfaces, or drop the times",
                );
            }
        }
        for (path, what) in idle {
            self.problem(path, what, "name the steps that do in `before`, or give a step a need on it");
        }
    }

    /// Links everything named to wait for a step.
    pub(super) fn before(&mut self, names: &[String], step: usize, path: &str) {
        for (j, n) in names.iter().enumerate() {
            for to in self.resolve(n, &format!("{path}[{j}]")) {
                self.link(step, to, Ask::Done, 0, None, &[]);
            }
        }
    }
}
