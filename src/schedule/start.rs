//! The start rules: which open step may begin at this instant, and with whose hands.
//!
//! One file because the rules are asked together, in one order, at every instant, and each
//! may wake the others.

use super::dispatch::Dispatch;
use super::flat::{NONE, flag, gate_minutes};
use super::hours::on;
use super::state::{NEVER, Running};
use super::{HoldUntil, RESERVE, World, bits};
use crate::clock::{DAY, UNIT};
use crate::trade::Stage;
use crate::work::{Ask, BeginWindow, Kind};

/// Why a step may not begin now.
pub(super) enum No {
    /// Needs, air, place or clock; the scan goes on.
    Waits,
    /// A scuff-sand must come first.
    Scuff(usize),
    /// First among those whose needs are met, and lacks only people: until when, where, whom.
    People { until: i64, place: Option<usize>, who: u32 },
}

/// What a reservation keeps free.
#[derive(Clone, Copy)]
pub(super) struct Reserved {
    pub until: i64,
    pub place: Option<usize>,
    pub who: u32,
}

impl<W: World> Dispatch<'_, '_, W> {
    /// Starts whatever may start at this instant.
    pub(super) fn starts(&mut self) {
        'scan: loop {
            // Gates fire at once and take nobody.
            for i in 0..self.st.gates.len() {
                let s = self.st.gates[i] as usize;
                if self.gate_may(s) {
                    self.fire(s);
                    continue 'scan;
                }
            }
            if self.st.front.is_empty() {
                return;
            }
            let below = self.below();
            if below == 0 && self.st.always == 0 {
                return;
            }
            let mut reserved: Option<Reserved> = None;
            for i in 0..self.st.front.len() {
                let s = self.st.front[i] as usize;
                if self.p.rank[s] >= below && !self.p.has(s, flag::ALWAYS) {
                    if self.st.always == 0 {
                        return;
                    }
                    continue;
                }
                if self.st.ready[s] > self.t || self.st.sleeps[s] > self.t {
                    continue;
                }
                if !self.p.has(s, flag::ALWAYS) && !self.found(s) {
                    continue;
                }
                match self.labor_may(s, reserved) {
                    Ok((people, trip)) => {
                        let after = self.after(s, people);
                        self.begin(s, people, trip, after);
                        continue 'scan;
                    }
                    Err(No::Scuff(x)) => {
                        self.need_scuff(x);
                        continue 'scan;
                    }
                    Err(No::People { until, place, who }) => {
                        if reserved.is_none() && self.reserve(s) {
                            reserved = Some(Reserved { until, place, who });
                        }
                    }
                    Err(No::Waits) => {}
                }
            }
            return;
        }
    }

    /// Only steps of a rank below this can find hands now: anybody's where somebody on shift
    /// is idle, else those above what may be set down for them; 0 where nobody is to be had.
    fn below(&mut self) -> u32 {
        let day = self.t.div_euclid(DAY);
        let minute = self.t - day * DAY;
        let mut below = 0;
        self.st.finds.clear();
        for p in 0..self.net.set.workers.len() {
            let mut rank = match self.st.running.iter().find(|r| r.gang.people >> p & 1 == 1) {
                None => NONE,
                Some(r) if self.may_set_down(r) => self.p.rank[r.step],
                Some(_) => 0,
            };
            if rank > 0 && !on(self.w.shift(self.net.set, p, day), minute) {
                rank = 0;
            }
            below = below.max(rank);
            self.st.finds.push(rank);
        }
        below
    }

    /// Whether a step could find anybody now.
    fn found(&self, s: usize) -> bool {
        let rank = self.p.rank[s];
        let (late, until) = self.st.too_late[s];
        let who = if until > self.t { self.p.who[s] & !late } else { self.p.who[s] };
        bits(who).any(|p| rank < self.st.finds[p])
    }

    /// Whether those at work on a run may leave it for something more urgent.
    pub(super) fn may_set_down(&self, r: &Running) -> bool {
        self.p.has(r.step, flag::SET_DOWN) && self.t >= r.firm && self.t > r.from && r.end > self.t
    }

    /// Whether a reservation for `s` still holds (at most two working hours).
    fn reserve(&mut self, s: usize) -> bool {
        if self.st.reserve_since[s] == NEVER {
            self.st.reserve_since[s] = self.t;
            return true;
        }
        let Some(p) = bits(self.net.who[s]).next() else { return false };
        if let Ok(over) = self.net.set.workers[p].clock.reach(self.st.reserve_since[s], RESERVE * UNIT) {
            self.wake(over + 1);
        }
        self.net.set.workers[p].clock.progress(self.st.reserve_since[s], self.t) <= RESERVE * UNIT
    }

    /// What let it begin last, for the trace: a need, or the step its hands came from.
    fn after(&self, s: usize, people: u32) -> Option<usize> {
        let mut best = (self.st.ready[s], self.st.ready_by[s]);
        for p in bits(people) {
            if let Some((l, end)) = self.st.last_step[p]
                && l != s
                && end > best.0
            {
                best = (end, Some(l));
            }
        }
        best.1
    }

    fn in_window(&self, windows: &[BeginWindow]) -> bool {
        windows.is_empty() || windows.iter().any(|w| window_open(w, self.net.set.first_weekday, self.t))
    }

    /// Wakes when a window opens next (within a year).
    fn wake_window(&mut self, s: usize, windows: &[BeginWindow]) {
        let day = self.t.div_euclid(DAY);
        let first = self.net.set.first_weekday;
        let opens = |d: i64, w: &BeginWindow| {
            let at = d * DAY + w.from;
            (at > self.t && w.to > w.from && window_open(w, first, at)).then_some(at)
        };
        let next = (day..day + 371).find_map(|d| windows.iter().filter_map(|w| opens(d, w)).min());
        if let Some(at) = next {
            self.sleep(s, at);
        }
    }

    /// Rules of the clock alone: earliest, windows, air at the begin, holds, end-to-end links
    /// of a step without hands.
    #[inline]
    pub(super) fn clock_may(&mut self, s: usize) -> bool {
        self.st.ready[s] <= self.t && (!self.p.has(s, flag::CLOCK) || self.clock_rules_may(s))
    }

    fn clock_rules_may(&mut self, s: usize) -> bool {
        let graph = self.net.graph;
        let step = &graph.steps[s];
        let first = self.st.begun[s] == NEVER;
        if first {
            if let Some(e) = step.earliest
                && e.0 > self.t
            {
                self.sleep(s, e.0);
                return false;
            }
            if !self.in_window(&step.windows) {
                self.wake_window(s, &step.windows);
                return false;
            }
            if let (Some(limit), Some(p)) = (step.rh_below, step.place) {
                let week = &self.net.set.spots[p].week;
                let day = self.t.div_euclid(DAY) * DAY;
                let wd = (self.net.set.first_weekday + self.t.div_euclid(DAY)).rem_euclid(7) as usize;
                if week.at(self.t.div_euclid(DAY), wd, self.t - day).rh() >= limit {
                    let changes = [day + week.hours.0, day + week.hours.1, day + DAY];
                    let next = changes.into_iter().filter(|&at| at > self.t).min();
                    self.wake_for(s, next.unwrap_or(day + DAY));
                    return false;
                }
            }
        }
        if self.p.has(s, flag::AIR_STOPS)
            && let (Some(c), Some(p)) = (step.coat, step.place)
            && let Some(dry) = self.net.set.dry(c.product, p)
            && dry.may.speed_at(self.t) == 0
        {
            if let Ok(at) = dry.may.next_on(self.t) {
                self.sleep(s, at);
            }
            return false;
        }
        !first || !self.p.has(s, flag::HELD) || self.holds_may(s)
    }

    fn holds_may(&mut self, s: usize) -> bool {
        let mut ok = true;
        for h in &self.p.order.holds {
            if h.step != s {
                continue;
            }
            let free_at = match h.until {
                HoldUntil::At(at) => at.0,
                HoldUntil::Begun(y) if self.st.active[y] => self.st.begun[y],
                HoldUntil::Done(y) if self.st.active[y] => self.st.ended[y],
                _ => 0,
            };
            if free_at <= self.t {
                continue;
            }
            if let Some(wait) = h.wait {
                if self.st.held_since[s] == NEVER {
                    self.st.held_since[s] = self.t;
                }
                if let Some(p) = bits(self.net.who[s]).next() {
                    let c = &self.net.set.workers[p].clock;
                    let limit = (2 * wait + 60) * UNIT;
                    if c.progress(self.st.held_since[s], self.t) >= limit {
                        continue;
                    }
                    if let Ok(at) = c.reach(self.st.held_since[s], limit) {
                        self.wake(at);
                    }
                }
            }
            if free_at < NEVER {
                self.wake(free_at);
            }
            ok = false;
        }
        ok
    }

    pub(super) fn gate_may(&mut self, s: usize) -> bool {
        if !self.clock_may(s) {
            return false;
        }
        let step = &self.net.graph.steps[s];
        if self.p.has(s, flag::POOLS) && step.pools.iter().any(|&(pool, n)| self.st.pools[pool] < i64::from(n)) {
            return false;
        }
        self.end_rules_may(s, self.t + gate_minutes(step.kind, self.net.typical[s]))
    }

    /// Whether the expected end keeps the end-to-end links.
    pub(super) fn end_rules_may(&mut self, s: usize, end: i64) -> bool {
        if !self.p.has(s, flag::ENDS_BOUND) {
            return true;
        }
        let mut ok = true;
        for i in 0..self.net.deps[s].len() {
            let d = self.net.deps[s][i];
            if !self.st.active[d.from] {
                continue;
            }
            let x = match d.ask {
                Ask::EndAfterEnd => self.expected_end_of(d.from),
                Ask::EndAfterBegin if self.st.begun[d.from] < NEVER => self.st.begun[d.from],
                Ask::EndAfterBegin => self.net.free_begin[d.from],
                _ => continue,
            };
            if end < x + d.lag {
                ok = false;
                // An earlier step not begun, or over its time, tells by itself when it moves on.
                let known = self.st.begun[d.from] < NEVER || self.net.free_end[d.from] > self.t;
                if known && x > self.t {
                    self.wake(self.t + (x + d.lag - end));
                    // With hands the begin may move less than the end: look again within the hour.
                    if self.net.labor(s) {
                        self.wake(self.t + 30);
                    }
                }
            }
        }
        ok
    }

    /// The end of a step as far as it can be known now.
    fn expected_end_of(&mut self, s: usize) -> i64 {
        if self.st.ended[s] < NEVER {
            return self.st.ended[s];
        }
        if let Some(i) = self.st.running.iter().position(|r| r.step == s) {
            return self.expected(i).max(self.t);
        }
        if self.st.begun[s] < NEVER && !self.net.labor(s) {
            let typ = match self.net.graph.steps[s].kind {
                Kind::Business { minutes, .. } => {
                    self.net.set.business.reach(self.st.begun[s], minutes * UNIT).unwrap_or(NEVER)
                }
                Kind::Decision { at, .. } => at.0,
                _ => self.st.begun[s] + self.net.typical[s],
            };
            return typ.max(self.t);
        }
        self.net.free_end[s].max(self.t)
    }

    /// Whether hands may begin on `s` now: whose, and the trip.
    fn labor_may(&mut self, s: usize, reserved: Option<Reserved>) -> Result<(u32, i64), No> {
        if !self.clock_may(s) {
            return Err(No::Waits);
        }
        let graph = self.net.graph;
        let step = &graph.steps[s];
        let mut leaving: Option<i64> = None;
        if let Some(p) = step.place {
            self.air_may(s, p)?;
            leaving = self.place_may(s, p)?;
        }
        if self.st.begun[s] == NEVER && self.p.has(s, flag::SCUFF) {
            self.recoat_may(s)?;
        }
        if let Some(until) = leaving {
            return Err(No::People { until, place: step.place, who: 0 });
        }
        self.pick(s, reserved)
    }

    /// Dust and wet coats in one air.
    fn air_may(&mut self, s: usize, place: usize) -> Result<(), No> {
        let air = self.net.set.spots[place].air;
        if self.p.has(s, flag::DUSTY) {
            let mut i = 0;
            while i < self.st.wet[air].len() {
                let x = self.st.wet[air][i];
                if x != s {
                    let at = self.st.dust_free_at(self.net, self.w, x);
                    if at > self.t {
                        if at < NEVER {
                            self.sleep(s, at);
                        }
                        return Err(No::Waits);
                    }
                    self.st.wet[air].remove(i);
                    continue;
                }
                i += 1;
            }
        }
        if self.p.has(s, flag::WETS) {
            let mut i = 0;
            while i < self.st.dusty[air].len() {
                let x = self.st.dusty[air][i];
                if x != s {
                    let settled = match self.net.graph.steps[x].place {
                        Some(q) if self.st.worked_out[x] < NEVER => {
                            self.st.worked_out[x] + self.net.set.spots[q].settle
                        }
                        _ => NEVER,
                    };
                    if settled > self.t {
                        if settled < NEVER {
                            self.sleep(s, settled);
                        }
                        return Err(No::Waits);
                    }
                    self.st.dusty[air].remove(i);
                    continue;
                }
                i += 1;
            }
        }
        Ok(())
    }

    /// Closed places and racks. `Ok(Some(t))`: a closing step that only waits for people now
    /// at work in the place, expected to be gone at `t`.
    fn place_may(&mut self, s: usize, place: usize) -> Result<Option<i64>, No> {
        if let Some(c) = self.st.closer[place]
            && c != s
        {
            let free = self.st.dust_free_at(self.net, self.w, c);
            if free > self.t {
                if free < NEVER {
                    self.sleep(s, free);
                }
                return Err(No::Waits);
            }
            self.st.closer[place] = None;
        }
        let step = &self.net.graph.steps[s];
        if self.st.begun[s] < NEVER {
            return Ok(None);
        }
        if step.racks > 0
            && let Some(capacity) = self.net.set.spots[place].racks
        {
            let (mut used, mut free_at) = (0, NEVER);
            let mut i = 0;
            while i < self.st.on_racks[place].len() {
                let x = self.st.on_racks[place][i];
                let off = self.st.stage_at(self.net, self.w, x, Stage::Handle);
                if off <= self.t {
                    self.st.on_racks[place].remove(i);
                    continue;
                }
                used += self.net.graph.steps[x].racks;
                free_at = free_at.min(off);
                i += 1;
            }
            if used + step.racks > capacity {
                self.wake_for(s, free_at);
                return Err(No::Waits);
            }
        }
        if step.flags.closes {
            let mut until = None;
            for i in 0..self.st.in_place[place].len() {
                let x = self.st.in_place[place][i];
                if x == s {
                    continue;
                }
                match self.st.running.iter().position(|r| r.step == x) {
                    Some(r) => until = Some(until.unwrap_or(0).max(self.expected(r))),
                    None => return Err(No::Waits),
                }
            }
            return Ok(until);
        }
        Ok(None)
    }

    /// Recoat windows: past the longest wait a scuff-sand comes first.
    fn recoat_may(&mut self, s: usize) -> Result<(), No> {
        if self.st.scuff_done[s] {
            return Ok(());
        }
        let Some(scuff) = self.net.scuff[s] else { return Ok(()) };
        if self.st.active[scuff] {
            return Err(No::Waits);
        }
        if self.st.scuff_from[s] < 0 {
            let (from, all) = self.scuff_from(s);
            if !all {
                return if self.t >= from { Err(No::Scuff(scuff)) } else { Ok(()) };
            }
            self.st.scuff_from[s] = from;
        }
        if self.t >= self.st.scuff_from[s] { Err(No::Scuff(scuff)) } else { Ok(()) }
    }

    /// The first minute past the recoat windows of what a step is put on, by the clocks of the
    /// earlier coats that are done; and whether all are.
    fn scuff_from(&self, s: usize) -> (i64, bool) {
        let (mut from, mut all) = (NEVER, true);
        for d in &self.net.deps[s] {
            let Some(longest) = d.longest.filter(|_| self.st.active[d.from]) else { continue };
            let ended = self.st.ended[d.from];
            if ended >= NEVER {
                all = false;
                continue;
            }
            let x = &self.net.graph.steps[d.from];
            // One unit of progress more than the longest wait.
            let past = match (x.coat, x.place) {
                (Some(c), Some(p)) => self
                    .net
                    .set
                    .dry(c.product, p)
                    .map_or(Ok(NEVER), |k| k.of(Stage::Recoat).reach(ended, longest * UNIT + 1)),
                _ => Ok(ended + longest + 1),
            };
            from = from.min(past.unwrap_or(NEVER));
        }
        (from, all)
    }
}

/// Whether a begin-window is open at `t`.
pub fn window_open(w: &BeginWindow, first_weekday: i64, t: i64) -> bool {
    let day = t.div_euclid(DAY);
    let minute = t.rem_euclid(DAY);
    let on = match w.day {
        Some(d) => d == day,
        None => w.days[(first_weekday + day).rem_euclid(7) as usize],
    };
    on && minute >= w.from && minute < w.to
}
