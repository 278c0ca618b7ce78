//! Float in the frozen sequence: assignment, method and every order on people, air, racks and
//! closed places as planned; nothing begins before its planned minute.
//!
//! Working minutes are those of the step's own hands where it is done; for gates, those of
//! the first person of the crew. CPM float is another thing (`work::cpm`).

use super::{Gang, Net, Plan, Run, Typical, drying, stage_ix};
use crate::clock::UNIT;
use crate::trade::Stage;
use crate::work::{Ask, Kind};

/// Floats are not looked for beyond this, working minutes.
pub const LONGEST: i64 = (1 << 20) - 1;

/// One run or gate in the frozen sequence.
struct Item {
    step: usize,
    /// `None` for gates.
    gang: Option<Gang>,
    from: i64,
    to: i64,
    /// Working minutes from begin to end.
    minutes: i64,
    first: bool,
    last: bool,
    /// Part of what has happened: it does not move.
    was: bool,
    /// Items whose hands, air, place or racks it follows: `(item, what of it)`.
    after: Vec<(usize, What)>,
}

#[derive(Clone, Copy)]
enum What {
    End,
    Stage(Stage),
    Settled(i64),
}

/// The frozen sequence of a plan.
pub struct Frozen<'a> {
    net: &'a Net<'a>,
    items: Vec<Item>,
    finish: i64,
    /// Item of the last run (or the gate) of each step, and of the first.
    ends: Vec<Option<usize>>,
    begins: Vec<Option<usize>>,
    damps: Vec<Vec<(usize, usize)>>,
}

/// Per step of the graph: the most working minutes its begin can move with the last finish
/// unchanged; `None` for steps not planned or begun already.
pub fn floats(net: &Net, plan: &Plan) -> Vec<Option<i64>> {
    let f = Frozen::new(net, plan);
    (0..net.present.len()).map(|s| f.first(s).filter(|&i| !f.items[i].was).map(|i| f.float(i))).collect()
}

impl<'a> Frozen<'a> {
    /// Freezes a plan.
    pub fn new(net: &'a Net<'a>, plan: &Plan) -> Frozen<'a> {
        let mut rank = vec![0; net.present.len()];
        net.topo().iter().enumerate().for_each(|(i, &s)| rank[s] = i);
        let mut list: Vec<(i64, usize, Option<&Run>, i64, usize)> = plan
            .runs
            .iter()
            .map(|r| (r.from.0, rank[r.step], Some(r), r.to.0, r.step))
            .chain(
                plan.steps
                    .iter()
                    .filter(|d| !plan.runs.iter().any(|r| r.step == d.step))
                    .map(|d| (d.begin.0, rank[d.step], None, d.end.0, d.step)),
            )
            .collect();
        list.sort_by_key(|x| (x.0, x.1));
        let mut w = Typical(net);
        let mut items: Vec<Item> = list
            .iter()
            .map(|&(from, _, run, to, step)| {
                let s = &net.graph.steps[step];
                let gang = run.map(|r| Gang {
                    people: r.people.iter().fold(0, |m, &p| m | 1 << p),
                    beside: 0,
                    beside_noisy: 0,
                    place: s.place,
                    noisy: s.flags.noisy,
                });
                let minutes = gang.map_or(0, |g| g.worked(net, &mut w, from, to).1);
                let was = net.set.standing.as_deref().is_some_and(|f| from < f.as_of.0);
                Item { step, gang, from, to, minutes, first: true, last: true, was, after: Vec::new() }
            })
            .collect();
        let mut ends = vec![None; net.present.len()];
        let mut begins = vec![None; net.present.len()];
        for i in 0..items.len() {
            let s = items[i].step;
            if let Some(prev) = ends[s] {
                let p: usize = prev;
                items[p].last = false;
                items[i].first = false;
            } else {
                begins[s] = Some(i);
            }
            ends[s] = Some(i);
        }
        let mut damps = vec![Vec::new(); net.set.airs];
        for i in 0..items.len() {
            let s = &net.graph.steps[items[i].step];
            if let (Some(c), Some(p), true) = (s.coat, s.place, items[i].last)
                && net.graph.products[c.product].damps_room
                && !net.set.spots[p].fan
            {
                damps[net.set.spots[p].air].push((i, items[i].step));
            }
        }
        let mut f = Frozen { net, items, finish: plan.finish.0, ends, begins, damps };
        f.orders(plan);
        f
    }

    /// The orders on people, air, places and racks as arcs.
    fn orders(&mut self, plan: &Plan) {
        let g = self.net.graph;
        let wet = |i: usize| g.steps[i].coat.is_some_and(|c| g.products[c.product].wet_to_dust);
        for j in 0..self.items.len() {
            let mut after = Vec::new();
            let b = &self.items[j];
            let Some(gang) = b.gang else { continue };
            for i in 0..j {
                let a = &self.items[i];
                let Some(other) = a.gang else { continue };
                if a.step == b.step || other.people & gang.people != 0 {
                    after.push((i, What::End));
                }
                let (Some(p), Some(q)) = (g.steps[a.step].place, g.steps[b.step].place) else { continue };
                if !a.last || a.step == b.step || !b.first {
                    continue;
                }
                let spot = &self.net.set.spots[p];
                if p == q && g.steps[a.step].flags.closes {
                    after.push((i, What::Stage(Stage::DustFree)));
                }
                if p == q && g.steps[b.step].flags.closes {
                    after.push((i, What::End));
                }
                if spot.air == self.net.set.spots[q].air {
                    if wet(a.step) && g.steps[b.step].flags.dusty {
                        after.push((i, What::Stage(Stage::DustFree)));
                    }
                    if g.steps[a.step].flags.dusty && wet(b.step) {
                        after.push((i, What::Settled(spot.settle)));
                    }
                }
                if p == q && g.steps[a.step].racks > 0 && g.steps[b.step].racks > 0 && spot.racks.is_some() {
                    let off = plan
                        .timed(a.step)
                        .and_then(|t| t.ready.iter().find(|r| r.0 == Stage::Handle))
                        .map_or(a.to, |r| r.1.0);
                    if off <= b.from {
                        after.push((i, What::Stage(Stage::Handle)));
                    }
                }
            }
            self.items[j].after = after;
        }
    }

    /// The item with which a step begins; `None` for steps not planned.
    pub fn first(&self, step: usize) -> Option<usize> {
        self.begins[step]
    }

    /// Finish when the begin of item `k` moves by `minutes` of working time; `None` if the
    /// sequence can no longer be carried out.
    pub fn retimed(&self, k: usize, minutes: i64) -> Option<i64> {
        let net = self.net;
        let mut w = Typical(net);
        let n = self.items.len();
        let mut from: Vec<i64> = self.items.iter().map(|i| i.from).collect();
        let mut to: Vec<i64> = self.items.iter().map(|i| i.to).collect();
        let mut stage: Vec<[i64; 7]> = vec![[-1; 7]; n];
        for j in k..n {
            let it = &self.items[j];
            if it.was {
                continue;
            }
            let mut t = it.from;
            if j == k {
                t = match it.gang {
                    Some(g) => g.after_minutes(net, &mut w, t, minutes)?,
                    None => match net.set.workers.first() {
                        Some(p) => p.clock.reach(t, minutes * UNIT).ok()?,
                        None => t + minutes,
                    },
                };
            }
            for &(i, what) in &it.after {
                t = t.max(match what {
                    What::End => to[i],
                    What::Settled(m) => to[i] + m,
                    What::Stage(s) => self.stage(&mut w, &to, &mut stage, i, s)?,
                });
            }
            if it.first {
                for d in &net.deps[it.step] {
                    let (Some(b), Some(e)) = (self.begins[d.from], self.ends[d.from]) else { continue };
                    t = t.max(match d.ask {
                        Ask::Done => to[e] + d.lag,
                        Ask::Dry(s) => self.stage(&mut w, &to, &mut stage, e, s)? + d.lag,
                        Ask::Begun => from[b] + d.lag,
                        // Kept by moving the begin as far as the earlier end moved.
                        Ask::EndAfterEnd => it.from + (to[e] - self.items[e].to).max(0),
                        Ask::EndAfterBegin => it.from + (from[b] - self.items[b].from).max(0),
                    });
                }
            }
            if t <= it.from {
                continue;
            }
            (from[j], to[j]) = self.begin_at(&mut w, j, t)?;
        }
        (0..n).filter(|&i| self.items[i].gang.is_some() || self.finish == self.items[i].to).map(|i| to[i]).max()
    }

    /// First allowed begin of an item from `t` on, and its end.
    fn begin_at(&self, w: &mut Typical, j: usize, t: i64) -> Option<(i64, i64)> {
        let net = self.net;
        let it = &self.items[j];
        let step = &net.graph.steps[it.step];
        let Some(g) = it.gang else {
            return Some(match step.kind {
                Kind::Business { minutes, .. } => (t, net.set.business.reach(t, minutes * UNIT).ok()?),
                Kind::Decision { at, .. } => (t, t.max(at.0)),
                Kind::Elapsed(_) => {
                    // A dated window may be over for good.
                    let t = (t..t + 400 * 1440).find(|&t| self.window(it.step, t))?;
                    (t, t + net.typical[it.step])
                }
                Kind::Labor => (t, t),
            });
        };
        let mut t = t;
        for _ in 0..4_000 {
            let stretch = g.stretch(net, w, t);
            let open = !it.first || self.window(it.step, t);
            let may = match (step.coat, step.place) {
                (Some(c), Some(p)) => net.set.dry(c.product, p).is_none_or(|d| d.may.speed_at(t) > 0),
                _ => true,
            };
            let fits = it.minutes <= stretch
                || !step.flags.one_go && stretch > if it.first { step.setup_min.max(30) } else { 30 };
            if stretch > 0 && fits && open && may {
                return Some((t, g.after_minutes(net, w, t, it.minutes)?));
            }
            // A window may open in mid-shift; else try the next coming on shift.
            let on = g.next_on(net, w, t)?;
            t = if stretch > 0 && (!open || !may) { t + 1 } else { on };
        }
        None
    }

    fn window(&self, s: usize, t: i64) -> bool {
        let w = &self.net.graph.steps[s].windows;
        w.is_empty() || w.iter().any(|w| super::window_open(w, self.net.set.first_weekday, t))
    }

    fn stage(&self, w: &mut Typical, to: &[i64], known: &mut [[i64; 7]], i: usize, s: Stage) -> Option<i64> {
        let step = self.items[i].step;
        let k = stage_ix(s);
        if self.net.stage_min[step][k] < 0 {
            return Some(to[i]);
        }
        if known[i][k] >= 0 {
            return Some(known[i][k]);
        }
        let damps: Vec<i64> = match self.net.graph.steps[step].place {
            Some(p) if !self.net.set.spots[p].fan => self.damps[self.net.set.spots[p].air]
                .iter()
                .filter(|d| d.1 != step)
                .map(|d| to[d.0])
                .filter(|&at| self.net.set.spots[p].damped(at))
                .collect(),
            _ => Vec::new(),
        };
        let at = drying::ready_at(self.net, w, step, s, to[i], &damps)?;
        known[i][k] = at;
        Some(at)
    }

    /// The most working minutes item `k` can move; [`LONGEST`] where nothing follows from it.
    pub fn float(&self, k: usize) -> i64 {
        let ok = |m: i64| self.retimed(k, m).is_some_and(|f| f <= self.finish);
        if !ok(1) {
            return 0;
        }
        let mut hi = 2;
        while hi <= LONGEST && ok(hi) {
            hi *= 2;
        }
        let mut lo = hi / 2;
        while hi - lo > 1 {
            let mid = lo + (hi - lo) / 2;
            if ok(mid) { lo = mid } else { hi = mid }
        }
        lo
    }
}
