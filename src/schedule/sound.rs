//! Whether every step can be done at all: by somebody, in some shift, in its place's air.
//!
//! Assumes a graph built from the job and its compiled surroundings. Judged at typical hours
//! and the air tables as they stand; what is reported here could never happen, however long
//! one waits. Minutes of labor and of the wall clock. It refuses to know any order: racks
//! taken by others, people busy elsewhere and rooms damped by a wet coat are not its matter.
//! A trip between places never makes a step impossible, since a shift begins free of charge
//! in the place of its first step.

use super::{HELPED, LONG_PAUSE, Setting};
use crate::clock::{Air, Clock, DAY};
use crate::job::{Job, Problem, Units};
use crate::trade::Product;
use crate::work::{Ask, BeginWindow, Role, Step, WorkGraph};

/// Everything that can never be done, by path, each once.
pub fn sound(job: &Job, graph: &WorkGraph, setting: &Setting) -> Vec<Problem> {
    let look = Look { job, graph, setting };
    let mut out = Vec::new();
    for (i, s) in graph.steps.iter().enumerate() {
        look.air(i, s, &mut out);
        look.racks(s, &mut out);
        if s.crew.fewest > 0 {
            // What depends on hours is asked only where there are people.
            if look.people(s, &mut out) {
                look.pieces(s, &mut out);
                look.begins(s, &mut out);
            }
        } else if !s.windows.is_empty() && !look.days(s).any(|d| s.windows.iter().any(|w| opens(w, look.weekday(d), d)))
        {
            out.push(Problem::new(&s.origin, format!("the time {} may begin never comes", quoted(s)), WINDOW));
        }
    }
    out.sort();
    out.dedup();
    out
}

/// Most ways to staff a step that are looked at.
const MOST_GANGS: usize = 4_000;
const WINDOW: &str = "give it a time that is open on a day from the job's first day on";

fn quoted(s: &Step) -> String {
    format!("\"{}\"", if s.name.is_empty() { &s.id } else { &s.name })
}

/// Minutes as `7 h 20 min`.
fn hours(min: i64) -> String {
    match (min / 60, min % 60) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}

fn opens(w: &BeginWindow, weekday: usize, day: i64) -> bool {
    w.from < w.to && w.day.map_or(w.days[weekday], |d| d == day)
}

/// Longest stretch of a day's hours, pauses up to [`LONG_PAUSE`] bridged and not counted.
fn longest(day: &[(i64, i64)]) -> i64 {
    let (mut best, mut sum, mut last) = (0, 0, i64::MIN / 2);
    for &(a, b) in day {
        sum = if a - last <= LONG_PAUSE { sum + b - a } else { b - a };
        last = b;
        best = best.max(sum);
    }
    best
}

/// Labor minutes of the longest piece of a step that can be done in one go in the plain week.
pub fn longest_piece(job: &Job, graph: &WorkGraph, setting: &Setting, step: &Step) -> i64 {
    let look = Look { job, graph, setting };
    let week = || look.days(step).collect::<Vec<_>>().into_iter().rev().take(7);
    let of = |who: Vec<usize>| {
        let fits = |d| longest(&look.shared(step, &who, who.len(), d)) * look.one_go_rate(step, &who, d) / 1000;
        week().map(fits).max().unwrap_or(0)
    };
    gangs(&step.crew.who, step.crew.fewest).into_iter().map(of).max().unwrap_or(0)
}

struct Look<'a> {
    job: &'a Job,
    graph: &'a WorkGraph,
    setting: &'a Setting,
}

impl Look<'_> {
    fn weekday(&self, d: i64) -> usize {
        (self.setting.first_weekday + d).rem_euclid(7) as usize
    }

    /// Days that show all there is: the compiled weeks, dated windows, one plain week more.
    fn days(&self, s: &Step) -> impl Iterator<Item = i64> + use<> {
        let weeks = s.crew.who.iter().map(|&w| self.setting.workers[w].shifts.weeks()).max().unwrap_or(1);
        let closed = self.setting.house_closed.last().map_or(0, |d| d + 1);
        let dated = s.windows.iter().filter_map(|w| w.day).max().map_or(0, |d| d + 1);
        0..(weeks * 7).max(closed).max(dated).clamp(7, 3660) + 7
    }

    /// Stretches of a day in which at least `fewest` of `who` may work on a step.
    fn shared(&self, s: &Step, who: &[usize], fewest: usize, day: i64) -> Vec<(i64, i64)> {
        let shifts: Vec<_> = who.iter().map(|&w| self.setting.hours(w, s.place, s.flags.noisy, day)).collect();
        let mut edges: Vec<i64> =
            shifts.iter().flat_map(|h| h.stretches()).flat_map(|&(a, b)| [i64::from(a), i64::from(b)]).collect();
        edges.sort_unstable();
        edges.dedup();
        let mut out: Vec<(i64, i64)> = vec![];
        for e in edges.windows(2) {
            let here = |&&(a, b): &&(i32, i32)| i64::from(a) <= e[0] && e[1] <= i64::from(b);
            if shifts.iter().filter(|h| h.stretches().iter().find(here).is_some()).count() >= fewest {
                match out.last_mut() {
                    Some(l) if l.1 == e[0] => l.1 = e[1],
                    _ => out.push((e[0], e[1])),
                }
            }
        }
        out
    }

    fn names(&self, who: &[usize]) -> String {
        let name = |&w: &usize| match self.job.crew.get(w) {
            Some(p) if !p.name.is_empty() => p.name.clone(),
            _ => self.setting.workers[w].id.clone(),
        };
        let v: Vec<String> = who.iter().map(name).collect();
        match v.split_last() {
            Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
            _ => v.concat(),
        }
    }

    fn place(&self, p: usize) -> String {
        match self.job.places.get(p) {
            Some(x) if !x.name.is_empty() => x.name.clone(),
            _ => self.setting.spots[p].id.clone(),
        }
    }

    /// A temperature in the units of the job.
    fn degrees(&self, f: f64) -> String {
        match self.job.units {
            Units::FeetInches => format!("{f:.0} F"),
            Units::Metric => format!("{:.0} C", (f - 32.0) / 1.8),
        }
    }

    /// Whether there are people for it, ever at work together.
    fn people(&self, s: &Step, out: &mut Vec<Problem>) -> bool {
        let (who, fewest) = (&s.crew.who, s.crew.fewest);
        if who.is_empty() {
            let what = format!("nobody on the crew may do {}", quoted(s));
            out.push(Problem::new(&s.origin, what, "name a person or a skill that somebody on the crew has"));
            return false;
        }
        if who.iter().all(|&w| self.setting.workers[w].rate <= 0) {
            let what = format!("{} would take for ever: nobody who may do it has a pace above 0", quoted(s));
            out.push(Problem::new(&s.origin, what, "give one of them a pace, 1 where the rates fit as they stand"));
            return false;
        }
        if who.len() < fewest {
            let what = format!("{} needs {fewest} pairs of hands, and only {} may do it", quoted(s), self.names(who));
            out.push(Problem::new(&s.origin, what, "let more people do it, or ask for fewer hands"));
            return false;
        }
        if !self.days(s).any(|d| !self.shared(s, who, fewest, d).is_empty()) {
            let (what, remedy) = if fewest > 1 {
                (
                    format!(
                        "{} needs {fewest} pairs of hands, and {} never work at the same time where it is done",
                        quoted(s),
                        self.names(who)
                    ),
                    "give them hours in common, or ask for fewer hands",
                )
            } else {
                (
                    format!("{} is never at work when {} may be done", self.names(who), quoted(s)),
                    "give hours on a day the house is open, or change the hours noisy work is allowed",
                )
            };
            out.push(Problem::new(&s.origin, what, remedy));
            return false;
        }
        true
    }

    /// Thousandths of labor a minute that a piece in one go is judged by on a day: where a helper
    /// may join the place that day, the others are taken to work at [`HELPED`].
    fn one_go_rate(&self, s: &Step, who: &[usize], day: i64) -> i64 {
        let helper = |w: usize| self.setting.workers[w].helper;
        let inside = who.iter().any(|&w| helper(w));
        let rate = |&w: &usize| {
            let r = self.setting.workers[w].rate;
            if inside && !helper(w) { r * HELPED / 1000 } else { r }
        };
        let alone: i64 = who.iter().map(rate).sum();
        let joins = |w: usize| helper(w) && self.setting.hours(w, s.place, false, day).minutes() > 0;
        let may_join = (0..self.setting.workers.len()).any(|w| !who.contains(&w) && joins(w));
        if may_join && who.iter().any(|&w| !helper(w)) { alone * HELPED / 1000 } else { alone }
    }

    /// A piece done in one go must fit some stretch of work.
    fn pieces(&self, s: &Step, out: &mut Vec<Problem>) {
        let share = s.pieces.iter().copied().fold(0.0, f64::max);
        let labor = libm::ceil(share * s.labor.typical() as f64 * 1000.0 - 1e-6) as i64;
        if !s.flags.one_go || labor <= 0 {
            return;
        }
        let need = |who: &[usize], day| {
            let rate = self.one_go_rate(s, who, day);
            if rate > 0 { (labor + rate - 1) / rate } else { i64::MAX }
        };
        // Every way to staff it with the fewest hands, as dispatch does.
        let mut said = Vec::new();
        for who in gangs(&s.crew.who, s.crew.fewest) {
            let stretch = |d: i64| longest(&self.shared(s, &who, who.len(), d));
            if self.days(s).any(|d| need(&who, d) <= stretch(d)) {
                return;
            }
            // The day that comes nearest to it.
            let Some(d) = self.days(s).filter(|&d| need(&who, d) < i64::MAX).max_by_key(|&d| stretch(d)) else {
                continue;
            };
            said.push(format!(
                "it takes {} {}, whose longest stretch of work there is {}",
                self.names(&who),
                hours(need(&who, d)),
                hours(stretch(d))
            ));
        }
        let piece = if s.pieces.len() > 1 { "the largest piece of " } else { "" };
        let what = format!("{piece}{} must be done in one go and never can be: {}", quoted(s), said.join("; "));
        let remedy = "split it into more pieces, give more hands, or plan a longer day for it";
        out.push(Problem::new(&s.origin, what, remedy));
    }

    /// Some minute of some shift must be open to its begin.
    fn begins(&self, s: &Step, out: &mut Vec<Problem>) {
        let shifts = |d: i64| self.shared(s, &s.crew.who, s.crew.fewest, d);
        if !s.windows.is_empty() {
            let met = self.days(s).any(|d| {
                let day = shifts(d);
                let wd = self.weekday(d);
                s.windows.iter().any(|w| opens(w, wd, d) && day.iter().any(|&(a, b)| a < w.to && w.from < b))
            });
            if !met {
                let what =
                    format!("the time {} may begin never falls into a shift of {}", quoted(s), self.names(&s.crew.who));
                out.push(Problem::new(&s.origin, what, "move the time into working hours, or give hours that day"));
            }
        }
        let Some(p) = s.place else { return };
        let dry = s.coat.and_then(|c| self.setting.dry(c.product, p));
        if let (Some(c), Some(dry)) = (s.coat, dry)
            && dry.may.next_on(0).is_ok()
            && !self.days(s).any(|d| shifts(d).iter().any(|&(a, b)| runs(&dry.may, d, a, b)))
        {
            let product = &self.graph.products[c.product];
            let what = format!(
                "{} can never be put on in {} while anybody is at work: {}",
                product.name,
                self.place(p),
                self.why(product, p)
            );
            out.push(Problem::new(&s.origin, what, self.elsewhere(c.product, p)));
        }
    }

    /// Numbers that keep a product from drying in a place.
    fn why(&self, product: &Product, p: usize) -> String {
        let week = &self.setting.spots[p].week;
        let mut said: Vec<String> = Vec::new();
        for (air, when) in [(week.work, "in work hours"), (week.off, "at other hours")] {
            if let Some(t) = product.least_temp_f
                && air.temp_f < t
            {
                said.push(format!("{} {when}, it needs at least {}", self.degrees(air.temp_f), self.degrees(t)));
            }
            if let Some(h) = product.most_rh
                && air.rh() > h
            {
                said.push(format!("{:.0} % humidity {when}, it needs at most {:.0} %", air.rh() * 100.0, h * 100.0));
            }
            if let Some(d) = product.above_dew_f
                && air.temp_f - air.dew_f < d
            {
                let above = |f: f64| match self.job.units {
                    Units::FeetInches => format!("{f:.0} F"),
                    Units::Metric => format!("{:.1} C", f / 1.8),
                };
                let (is, needs) = (above(air.temp_f - air.dew_f), above(d));
                said.push(format!("{is} above its dew point {when}, it needs {needs}"));
            }
        }
        if said.is_empty() { "its air is too damp for any water to leave".into() } else { said.join("; ") }
    }

    /// What may be done about a product in a place.
    fn elsewhere(&self, product: usize, p: usize) -> String {
        let has = &self.graph.products[product];
        let good = |x: &Product, a: Air| x.dries_in(a);
        let mut ways = Vec::new();
        let air = self.setting.spots[p].week.work;
        if let Some(t) = has.least_temp_f.filter(|&t| air.temp_f < t) {
            ways.push(format!("heat {} to {} or more", self.place(p), self.degrees(t)));
        } else {
            ways.push(format!("heat or dehumidify {}", self.place(p)));
        }
        let places: Vec<String> = (0..self.setting.spots.len())
            .filter(|&q| q != p && good(has, self.setting.spots[q].week.work))
            .map(|q| self.place(q))
            .collect();
        if !places.is_empty() {
            ways.push(format!("do it in {}", places.join(" or ")));
        }
        let others: Vec<&str> = self
            .graph
            .products
            .iter()
            .filter(|x| x.id != has.id && x.law == has.law && good(x, air))
            .map(|x| x.name.as_str())
            .collect();
        ways.push(if others.is_empty() {
            "choose a product made for such air".to_string()
        } else {
            format!("choose {}", others.join(" or "))
        });
        ways.join(", or ")
    }

    /// A coat must dry where it is, a humidity gate must open.
    fn air(&self, i: usize, s: &Step, out: &mut Vec<Problem>) {
        let Some(p) = s.place else { return };
        if let (Some(c), Some(dry)) = (s.coat, s.coat.and_then(|c| self.setting.dry(c.product, p))) {
            let product = &self.graph.products[c.product];
            let asked = self.graph.links.iter().filter(|l| l.from == i).filter_map(|l| match l.ask {
                Ask::Dry(stage) if product.hours.hours(stage).is_some_and(|h| h > 0.0) => Some(stage),
                _ => None,
            });
            let stuck = |c: &Clock| c.next_on(0).is_err();
            if stuck(&dry.may) || asked.into_iter().any(|stage| stuck(dry.of(stage))) {
                let what = format!("{} never dries in {}: {}", product.name, self.place(p), self.why(product, p));
                out.push(Problem::new(&s.origin, what, self.elsewhere(c.product, p)));
            }
        }
        let Some(limit) = s.rh_below else { return };
        let week = &self.setting.spots[p].week;
        let below = week.clock(self.setting.first_weekday, |a| if a.rh() < limit { 1.0 } else { 0.0 });
        let met = if s.crew.fewest == 0 {
            below.next_on(0).is_ok()
        } else {
            self.days(s)
                .any(|d| self.shared(s, &s.crew.who, s.crew.fewest, d).iter().any(|&(a, b)| runs(&below, d, a, b)))
                || s.crew.who.len() < s.crew.fewest
        };
        if !met {
            let what = format!(
                "{} waits for less than {:.0} % humidity in {}, which has {:.0} % in work hours and {:.0} % at other hours",
                quoted(s),
                limit * 100.0,
                self.place(p),
                week.work.rh() * 100.0,
                week.off.rh() * 100.0
            );
            let remedy = format!("heat or dehumidify {}, or take the wait out", self.place(p));
            out.push(Problem::new(&s.origin, what, remedy));
        }
    }

    fn racks(&self, s: &Step, out: &mut Vec<Problem>) {
        let Some((p, have)) = s.place.and_then(|p| Some((p, self.setting.spots[p].racks?))) else { return };
        if s.racks > have && !matches!(s.role, Role::Redo { .. }) {
            let what = format!("{} needs {} drying racks and {} has {have}", quoted(s), s.racks, self.place(p));
            out.push(Problem::new(&s.origin, what, "set up more racks, or do the work in two lots"));
        }
    }
}

/// Every choice of `k` of `who`, in order; the first few thousand.
fn gangs(who: &[usize], k: usize) -> Vec<Vec<usize>> {
    let mut out: Vec<Vec<usize>> = vec![vec![]];
    for _ in 0..k {
        out = out
            .into_iter()
            .flat_map(|g| {
                let rest = g.last().map_or(0, |l| who.iter().position(|w| w == l).map_or(0, |i| i + 1));
                who[rest..].iter().map(move |&w| [g.as_slice(), &[w]].concat()).collect::<Vec<_>>()
            })
            .take(MOST_GANGS)
            .collect();
    }
    out
}

/// Whether a clock runs at some minute of a stretch of a day.
fn runs(c: &Clock, day: i64, from: i64, to: i64) -> bool {
    c.progress(day * DAY + from, day * DAY + to) > 0
}

#[cfg(test)]
#[path = "sound_tests.rs"]
mod tests;
