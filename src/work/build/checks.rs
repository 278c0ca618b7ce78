//! What no plan could ever do: pieces longer than any shift, coats that never dry, racks that
//! do not exist, steps that wait for each other.

use petgraph::algo::tarjan_scc;
use petgraph::graph::{DiGraph, NodeIndex};

use super::Builder;
use crate::clock::{DayShift, Shifts};
use crate::job::{Person, Problem, Units};
use crate::trade::Stage;
use crate::work::{Step, WorkGraph};

/// A pause up to this long does not end a piece, minutes.
const PAUSE: i64 = 60;
/// Assignments of choices looked through one by one in a knot of steps; a knot under more
/// choices is reported as it stands.
const MOST_ASSIGNMENTS: usize = 4096;

impl Builder<'_> {
    /// Everything above; nothing is said twice.
    pub(super) fn check(&mut self) {
        let job = self.job;
        if job.crew.is_empty() && self.graph.steps.iter().any(|s| s.crew.fewest > 0) {
            self.problem("crew", "nobody works on this job", "add at least one person");
        }
        let longest: Vec<i64> = job.crew.iter().map(|p| longest_stretch(self, p)).collect();
        let mut found = Vec::new();
        for s in self.graph.steps.iter().filter(|s| s.role.planned()) {
            if !job.crew.is_empty() {
                found.extend(self.too_long(s, &longest));
            }
            found.extend(self.never_dry(s));
            found.extend(self.never_dry_air(s));
            if let Some(p) = s.place
                && let Some(have) = job.places[p].racks.filter(|&have| s.racks > have)
            {
                let what = format!("step \"{}\" needs {} racks, \"{}\" has {have}", s.id, s.racks, job.places[p].id);
                found.push(Problem::new(&s.origin, what, "split the step, or add racks"));
            }
        }
        // Batches and variants of one row share a fault.
        found.dedup_by(|a, b| a == b);
        self.problems.extend(found);
        self.cycles();
    }

    /// A piece in one go that no shift is long enough for, at typical hours.
    fn too_long(&self, s: &Step, longest: &[i64]) -> Option<Problem> {
        if !s.flags.one_go || s.crew.fewest == 0 || s.crew.who.is_empty() {
            return None;
        }
        let first = s.pieces.first().map_or(0.0, |p| p * s.labor.typ);
        let most = s.pieces.iter().fold(first, |m, p| f64::max(m, p * s.labor.typ));
        let mut pace: Vec<(f64, i64)> = s.crew.who.iter().map(|&w| (self.job.crew[w].pace, longest[w])).collect();
        let best = if s.crew.fewest == 1 {
            pace.iter().map(|&(p, l)| p * l as f64).fold(0.0, f64::max)
        } else {
            pace.sort_by(|a, b| b.0.total_cmp(&a.0));
            let shift = pace.iter().map(|p| p.1).max().unwrap_or(0);
            pace.iter().take(s.crew.fewest).map(|p| p.0).sum::<f64>() * shift as f64
        };
        (most > best + 0.5).then(|| {
            let what = format!(
                "step \"{}\" needs {:.1} h in one go, the longest shift does {:.1} h",
                s.id,
                most / 60.0,
                best / 60.0
            );
            Problem::new(&s.origin, what, "do it in more pieces, with more hands, or on a longer day")
        })
    }

    /// A temperature in the units of the job, from degrees F.
    fn degrees(&self, f: f64) -> String {
        match self.job.units {
            Units::FeetInches => format!("{f:.0} F"),
            Units::Metric => format!("{:.0} C", (f - 32.0) / 1.8),
        }
    }

    /// A product whose limits its place's air never meets.
    fn never_dry(&self, s: &Step) -> Option<Problem> {
        let (coat, place) = (s.coat?, &self.job.places[s.place?]);
        let product = &self.graph.products[coat.product];
        let dries =
            |air| Stage::ALL.iter().all(|&st| product.hours.hours(st).is_none() || product.speed(st, air) > 1e-6);
        let whole_day = place.air_hours.from.0 <= self.job.calendar.week.open.0
            && place.air_hours.to.0 >= self.job.calendar.week.close.0;
        let never = !dries(place.work_air) && !dries(place.off_air);
        let not_by_day = !product.dries_in(place.work_air) && whole_day && s.crew.fewest > 0;
        let air = if never || not_by_day { place.work_air } else { return None };
        let why = if product.least_temp_f.is_some_and(|t| air.temp_f < t) {
            let has = self.degrees(air.temp_f);
            let has = has.split(' ').next().unwrap_or_default();
            format!("it wants {}, the place has {has}", self.degrees(product.least_temp_f.unwrap_or(0.0)))
        } else {
            format!("the air is too damp for it, {:.0} % at {}", air.rh() * 100.0, self.degrees(air.temp_f))
        };
        let verb = if never { "never dries" } else { "may not be put on by day" };
        let what = format!("\"{}\" of step \"{}\" {verb} in \"{}\": {why}", product.id, s.id, place.id);
        Some(Problem::new(&s.origin, what, "heat the place, choose another product, or another place"))
    }

    /// A step that waits for air its place never has.
    fn never_dry_air(&self, s: &Step) -> Option<Problem> {
        let (limit, place) = (s.rh_below?, &self.job.places[s.place?]);
        let dry = place.work_air.rh().min(place.off_air.rh());
        (dry >= limit).then(|| {
            let what = format!(
                "step \"{}\" waits for air under {:.0} % in \"{}\", which never has less than {:.0} %",
                s.id,
                limit * 100.0,
                place.id,
                dry * 100.0
            );
            Problem::new(&s.origin, what, "heat or dehumidify the place")
        })
    }

    /// Steps that wait for each other under some choice of methods, every one named.
    fn cycles(&mut self) {
        let g = &self.graph;
        let knots = knots(g, |_| true);
        let mut found = Vec::new();
        for knot in knots {
            let mut choices: Vec<usize> = knot.iter().flat_map(|&s| g.steps[s].when.iter().map(|w| w.0)).collect();
            choices.extend(
                g.links
                    .iter()
                    .filter(|l| knot.contains(&l.from) && knot.contains(&l.to))
                    .flat_map(|l| l.when.iter().map(|w| w.0)),
            );
            choices.sort_unstable();
            choices.dedup();
            let many: usize = choices.iter().fold(1usize, |n, &c| n.saturating_mul(g.choices[c].options.len().max(1)));
            if many > MOST_ASSIGNMENTS {
                found.push(knot);
                continue;
            }
            let mut chosen = g.usual();
            let real = (0..many).find_map(|mut k| {
                for &c in &choices {
                    let n = g.choices[c].options.len().max(1);
                    chosen[c] = k % n;
                    k /= n;
                }
                // A method the job has fixed is not tried otherwise.
                if choices.iter().any(|&c| g.choices[c].fixed.is_some_and(|f| f != chosen[c])) {
                    return None;
                }
                knots_among(g, &knot, &chosen).into_iter().next()
            });
            found.extend(real);
        }
        for knot in found {
            let ring = ring(g, &knot);
            let names: Vec<&str> = ring.iter().map(|&s| g.steps[s].id.as_str()).collect();
            // The entry of the user's own in it is where it can be mended.
            let own = ring.iter().find(|&&s| !g.steps[s].origin.starts_with("rooms")).unwrap_or(&ring[0]);
            let what = format!("these steps wait for each other: {}", names.join(", "));
            let p = Problem::new(g.steps[*own].origin.clone(), what, "drop one of their needs");
            self.problems.push(p);
        }
    }
}

/// Strongly connected knots of more than one step.
fn knots(g: &WorkGraph, keep: impl Fn(&crate::work::Link) -> bool) -> Vec<Vec<usize>> {
    let mut d = DiGraph::<(), ()>::with_capacity(g.steps.len(), g.links.len());
    g.steps.iter().for_each(|_| {
        d.add_node(());
    });
    for l in g.links.iter().filter(|l| keep(l)) {
        d.add_edge(NodeIndex::new(l.from), NodeIndex::new(l.to), ());
    }
    let mut out: Vec<Vec<usize>> = tarjan_scc(&d)
        .into_iter()
        .filter(|k| k.len() > 1)
        .map(|k| {
            let mut k: Vec<usize> = k.into_iter().map(NodeIndex::index).collect();
            k.sort_unstable();
            k
        })
        .collect();
    out.sort();
    out
}

fn knots_among(g: &WorkGraph, knot: &[usize], chosen: &[usize]) -> Vec<Vec<usize>> {
    let there = |s: usize| knot.binary_search(&s).is_ok() && WorkGraph::holds(&g.steps[s].when, chosen);
    knots(g, |l| there(l.from) && there(l.to) && WorkGraph::holds(&l.when, chosen))
}

/// A shortest ring through the first step of a knot, in the order they wait.
fn ring(g: &WorkGraph, knot: &[usize]) -> Vec<usize> {
    let start = knot[0];
    let mut from = std::collections::BTreeMap::new();
    let mut queue = std::collections::VecDeque::from([start]);
    while let Some(s) = queue.pop_front() {
        for l in g.links.iter().filter(|l| l.from == s && knot.contains(&l.to)) {
            if l.to == start {
                let mut out = vec![s];
                let mut at = s;
                while at != start {
                    at = from[&at];
                    out.push(at);
                }
                out.reverse();
                return out;
            }
            if let std::collections::btree_map::Entry::Vacant(e) = from.entry(l.to) {
                e.insert(s);
                queue.push_back(l.to);
            }
        }
    }
    knot.to_vec()
}

/// The longest stretch a person ever works, pauses up to an hour bridged, minutes.
fn longest_stretch(b: &Builder, p: &Person) -> i64 {
    let week = p.week.as_ref().unwrap_or(&b.job.calendar.week);
    let (from, to) = (week.open.0 + week.opening, week.close.0 - week.closing);
    let plain = match week.lunch {
        Some(l) => DayShift::new(&[(from, l.from.0.min(to)), (l.to.0.max(from), to)]),
        None => DayShift::new(&[(from, to)]),
    };
    let days: Vec<DayShift> = p
        .dates
        .iter()
        .map(|d| DayShift::new(&d.hours.iter().map(|h| (h.from.0, h.to.0)).collect::<Vec<_>>()))
        .chain((!week.days.is_empty()).then_some(plain))
        .collect();
    // Each day by itself: stretches of two days never join.
    days.into_iter()
        .map(|d| Shifts::compile(1, |i| if i == 0 { d } else { DayShift::OFF }).longest(PAUSE))
        .max()
        .unwrap_or(0)
}
