//! People in one place at a time, trips, dust on wet coats, closed places, racks and pools.

use super::recount::{left_before_pause, together};
use super::{FaultKind, Judge, clock_face};
use crate::clock::DAY;
use crate::schedule::{HoldUntil, LEAST_LEFT, Run};
use crate::trade::Stage;
use crate::work::Ask;

/// What a step does to its place from its begin.
#[derive(Clone, Copy)]
struct Stay {
    step: usize,
    place: usize,
    from: i64,
    /// End of its work.
    end: i64,
    /// Dust settled.
    dust: Option<i64>,
    /// Open film until then.
    wet: Option<i64>,
    /// Holds the place alone until then.
    alone: Option<i64>,
}

impl Judge<'_> {
    fn stays(&self) -> Vec<Stay> {
        let mut out = Vec::new();
        for t in &self.plan.steps {
            let s = self.step(t.step);
            let Some(place) = s.place.filter(|_| t.end > t.begin) else { continue };
            // Dust-free, or its end where its product has no such stage.
            let free = match t.ready.iter().find(|r| r.0 == Stage::DustFree) {
                Some(r) => r.1.0,
                None if self.has_stage(t.step, Stage::DustFree) => i64::MAX / 2,
                None => self.laid(t),
            };
            let wet = s.coat.is_some_and(|c| self.graph.products[c.product].wet_to_dust);
            out.push(Stay {
                step: t.step,
                place,
                from: t.begin.0,
                end: self.laid(t),
                dust: s.flags.dusty.then(|| self.laid(t) + self.setting.spots[place].settle),
                wet: wet.then_some(free),
                alone: s.flags.closes.then_some(free),
            });
        }
        out
    }

    /// Dusty and wet never overlap in one air.
    pub(super) fn air(&mut self) {
        let stays = self.stays();
        for d in stays.iter().filter(|d| d.dust.is_some()) {
            for w in stays.iter().filter(|w| w.wet.is_some() && w.step != d.step) {
                let one_air = self.setting.spots[d.place].air == self.setting.spots[w.place].air;
                if one_air && d.from < w.wet.unwrap_or(0) && w.from < d.dust.unwrap_or(0) {
                    let what = format!("dust on the wet {}", self.step(w.step).id);
                    self.say(d.step, FaultKind::Dust, what);
                }
            }
        }
    }

    /// A closing step holds its place alone.
    pub(super) fn closed(&mut self) {
        let stays = self.stays();
        for c in stays.iter().filter(|c| c.alone.is_some()) {
            // Gates rest in a place without filling it.
            let others = stays.iter().filter(|o| o.step != c.step && o.place == c.place);
            for o in others.filter(|o| self.timed[o.step].is_some() && self.worked(o.step)).collect::<Vec<_>>() {
                if o.from < c.alone.unwrap_or(0) && c.from < o.end {
                    let what = format!("in a place closed by {}", self.step(c.step).id);
                    self.say(o.step, FaultKind::Closed, what);
                }
            }
        }
    }

    /// Racks from begin to the stage at which the coat may be handled.
    pub(super) fn racks(&mut self) {
        let mut moves: Vec<Vec<(i64, i64, usize)>> = vec![Vec::new(); self.setting.spots.len()];
        for t in &self.plan.steps {
            let s = self.step(t.step);
            let Some(place) = s.place.filter(|_| s.racks > 0 && t.end > t.begin) else { continue };
            let until = match t.ready.iter().find(|r| r.0 == Stage::Handle) {
                Some(r) => r.1.0,
                None if self.has_stage(t.step, Stage::Handle) => i64::MAX / 2,
                None => self.laid(t),
            };
            moves[place].push((t.begin.0, i64::from(s.racks), t.step));
            moves[place].push((until, -i64::from(s.racks), t.step));
        }
        for (place, mut moves) in moves.into_iter().enumerate() {
            let Some(there) = self.setting.spots[place].racks else { continue };
            // Freed before taken at one minute.
            moves.sort_unstable();
            let mut held = 0;
            for (at, n, step) in moves {
                held += n;
                if n > 0 && held > i64::from(there) {
                    let what = format!("{held} racks held {} where there are {there}", clock_face(at));
                    self.say(step, FaultKind::Racks, what);
                }
            }
        }
    }

    /// Pools from begin to end, never more than they hold.
    pub(super) fn pools(&mut self) {
        let mut moves: Vec<Vec<(i64, i64, usize)>> = vec![Vec::new(); self.graph.pools.len()];
        for t in self.plan.steps.iter().filter(|t| t.end > t.begin) {
            for &(pool, n) in &self.step(t.step).pools {
                moves[pool].push((t.begin.0, i64::from(n), t.step));
                moves[pool].push((t.end.0, -i64::from(n), t.step));
            }
        }
        for (pool, mut moves) in moves.into_iter().enumerate() {
            let there = self.graph.pools[pool];
            // Given back before taken at one minute.
            moves.sort_unstable();
            let mut taken = 0;
            for (at, n, step) in moves {
                taken += n;
                if n > 0 && taken > i64::from(there) {
                    let what = format!("{taken} taken of pool {pool} {}, which holds {there}", clock_face(at));
                    self.say(step, FaultKind::Pools, what);
                }
            }
        }
    }

    /// Everybody in one run at a time, with the trips between places.
    pub(super) fn people(&mut self) {
        let plan = self.plan;
        let mut trips = vec![0; plan.runs.len()];
        for w in 0..self.setting.workers.len() {
            let own: Vec<usize> = (0..plan.runs.len()).filter(|&k| plan.runs[k].people.contains(&w)).collect();
            // Where he is: the place and the last day he was seen there; changes that day.
            let mut seen: Option<(usize, i64)> = None;
            let (mut day, mut changes) = (i64::MIN, 0);
            let mut busy_until = i64::MIN;
            for &k in &own {
                let r = &plan.runs[k];
                if r.from.0 < busy_until {
                    let what = format!("{} is elsewhere {}", self.setting.workers[w].id, clock_face(r.from.0));
                    self.say(r.step, FaultKind::Busy, what);
                }
                busy_until = busy_until.max(r.to.0);
                let Some(place) = self.step(r.step).place else { continue };
                if r.from.day() != day {
                    (day, changes) = (r.from.day(), 0);
                }
                if let Some((left, on)) = seen
                    && on == day
                {
                    let trip = self.setting.trip(left, place);
                    trips[k] = trips[k].max(trip);
                    if trip > 0 {
                        changes += 1;
                        if changes > i64::from(!self.setting.workers[w].stays(day)) {
                            self.second_change(w, left, r);
                        }
                    }
                }
                let last = self.spans(r).last().map_or(r.from.0, |s| s.1 - 1);
                seen = Some((place, last.div_euclid(DAY)));
            }
        }
        for (r, trip) in plan.runs.iter().zip(trips) {
            if r.trip_min != trip {
                self.say(r.step, FaultKind::Trip, format!("{} min of trip where it takes {trip}", r.trip_min));
            }
        }
    }

    /// A second change of place in a day needs that nothing he may do here can start now.
    /// Waits of up to the rule's length are not searched through: only what could begin at
    /// this very minute counts against it.
    fn second_change(&mut self, w: usize, left: usize, r: &Run) {
        // What waits for this very begin, or is only called in by it, could not begin before it.
        let follows = |x: usize| self.graph.links.iter().any(|l| l.from == r.step && l.to == x);
        let scuff = |x: usize| matches!(self.step(x).role, crate::work::Role::Scuff { .. });
        let found = (0..self.graph.steps.len())
            .find(|&x| x != r.step && !scuff(x) && !follows(x) && self.could_begin(x, w, left, r.from.0));
        if let Some(x) = found {
            let what = format!("second change of place in a day while {} could begin", self.step(x).id);
            self.say(r.step, FaultKind::Trip, what);
        }
    }

    /// Whether a step not yet begun certainly could have begun at `t` by `w` alone, in a
    /// place that needs no trip from `here`. Doubt says no.
    fn could_begin(&self, x: usize, w: usize, here: usize, t: i64) -> bool {
        let s = self.step(x);
        let (Some(tx), Some(place)) = (self.timed[x], s.place) else { return false };
        let allowed = self.plan.order.people[x].as_ref().is_none_or(|a| a.contains(&w));
        let mine = s.crew.fewest <= 1 && s.crew.who.contains(&w) && allowed && self.worked(x);
        if !mine || tx.begin.0 <= t || self.setting.trip(here, place) > 0 || s.flags.closes {
            return false;
        }
        let met = self.links_to(x).all(|(l, a)| match l.ask {
            Ask::Done => a.end.0 + l.lag <= t,
            Ask::Dry(stage) if self.has_stage(l.from, stage) => {
                a.ready.iter().any(|r| r.0 == stage && r.1.0 + l.lag <= t)
            }
            Ask::Dry(_) | Ask::EndAfterEnd => a.end.0 + l.lag <= t,
            Ask::Begun | Ask::EndAfterBegin => a.begin.0 + l.lag <= t,
        }) && self.links_to(x).all(|(l, _)| l.longest_h.is_none());
        let date = |s: usize| self.timed.get(s).copied().flatten();
        let held = self.plan.order.holds.iter().any(|h| {
            h.step == x
                && match h.until {
                    HoldUntil::Begun(s) => date(s).is_some_and(|d| d.begin.0 > t),
                    HoldUntil::Done(s) => date(s).is_some_and(|d| d.end.0 > t),
                    HoldUntil::At(at) => at.0 > t,
                }
        });
        let begins = s.earliest.is_none_or(|e| e.0 <= t)
            && self.window_open(x, t)
            && self.dry_enough(x, t)
            && self.product_may(x, t);
        if !met || held || !begins {
            return false;
        }
        // A reserving step, or anything standing in its way in the place or its air.
        let air = self.setting.spots[place].air;
        let wet = s.coat.is_some_and(|c| self.graph.products[c.product].wet_to_dust);
        let barred = self.stays().iter().any(|o| {
            let now = o.from <= t;
            o.step != x
                && (now && o.place == place && o.alone.is_some_and(|u| t < u)
                    || now && self.setting.spots[o.place].air == air && s.flags.dusty && o.wet.is_some_and(|u| t < u)
                    || now && self.setting.spots[o.place].air == air && wet && o.dust.is_some_and(|u| t < u))
        });
        let reserved = self.plan.steps.iter().any(|o| {
            let s = self.step(o.step);
            o.begin.0 > t && (s.flags.closes || s.crew.fewest > 1)
        });
        let racks = s.racks > 0 && self.setting.spots[place].racks.is_some();
        if barred || reserved || racks {
            return false;
        }
        // Long enough before the next long pause, at his slower rate beside a helper.
        let rate = self.setting.workers[w].rate * crate::schedule::HELPED / 1000;
        let piece = if s.flags.one_go { s.pieces.first().copied().unwrap_or(1.0) } else { 0.0 };
        let need = (piece * (self.expected(x) * 1000) as f64 / rate.max(1) as f64) as i64 + 2;
        let need = need.max(LEAST_LEFT.max(s.setup_min) + 1);
        !together(self.setting, &[w], self.at(x), t, t + 1).is_empty()
            && left_before_pause(self.setting, &[w], self.at(x), t, need) >= need
    }
}
