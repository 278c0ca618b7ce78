//! The start rules: which open step may begin at this instant, and with whose hands.
//!
//! One file because the rules are asked together, in one order, at every instant, and each
//! may wake the others.

use super::dispatch::Dispatch;
use super::flat::{NONE, flag, gate_minutes};
use super::hours::{ceil, on, stretch};
use super::state::{NEVER, Running};
use super::{Gang, HELPED, HoldUntil, Known, LEAST_LEFT, RESERVE, SECOND_TRIP, World, bits};
use crate::clock::{DAY, DayShift, UNIT};
use crate::trade::Stage;
use crate::work::{Ask, BeginWindow, Kind};

/// Why a step may not begin now.
enum No {
    /// Needs, air, place or clock; the scan goes on.
    Waits,
    /// A scuff-sand must come first.
    Scuff(usize),
    /// First among those whose needs are met, and lacks only people: until when, where, whom.
    People { until: i64, place: Option<usize>, who: u32 },
}

/// What a reservation keeps free.
#[derive(Clone, Copy)]
struct Reserved {
    until: i64,
    place: Option<usize>,
    who: u32,
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
                if self.st.ready[s] > self.t {
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
        for p in 0..self.net.set.workers.len() {
            let rank = match self.st.running.iter().find(|r| r.gang.people >> p & 1 == 1) {
                None => NONE,
                Some(r) if self.may_set_down(r) => self.p.rank[r.step],
                Some(_) => continue,
            };
            if rank > below && on(self.w.shift(self.net.set, p, day), minute) {
                below = rank;
            }
        }
        below
    }

    /// Whether those at work on a run may leave it for something more urgent.
    fn may_set_down(&self, r: &Running) -> bool {
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
            self.wake_for(s, at);
        }
    }

    /// Rules of the clock alone: earliest, windows, air at the begin, holds, end-to-end links
    /// of a step without hands.
    fn clock_may(&mut self, s: usize) -> bool {
        if self.st.ready[s] > self.t {
            return false;
        }
        if !self.p.has(s, flag::CLOCK) {
            return true;
        }
        let graph = self.net.graph;
        let step = &graph.steps[s];
        let first = self.st.begun[s] == NEVER;
        if first {
            if let Some(e) = step.earliest
                && e.0 > self.t
            {
                self.wake_for(s, e.0);
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
                if week.at(wd, self.t - day).rh() >= limit {
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
                self.wake_for(s, at);
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

    fn gate_may(&mut self, s: usize) -> bool {
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
    fn end_rules_may(&mut self, s: usize, end: i64) -> bool {
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
                        self.wake_for(s, at);
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
                        self.wake_for(s, settled);
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
                self.wake_for(s, free);
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
        for d in &self.net.deps[s] {
            let (Some(longest), true) = (d.longest, self.st.active[d.from] && self.st.ended[d.from] < NEVER) else {
                continue;
            };
            let x = &self.net.graph.steps[d.from];
            let waited = match (x.coat, x.place) {
                (Some(c), Some(p)) => self
                    .net
                    .set
                    .dry(c.product, p)
                    .map_or(0, |k| k.of(Stage::Recoat).progress(self.st.ended[d.from], self.t)),
                _ => (self.t - self.st.ended[d.from]) * UNIT,
            };
            if waited > longest * UNIT {
                return Err(No::Scuff(scuff));
            }
        }
        Ok(())
    }

    /// Expected labor left of the piece in hand, thousandths, picking up included.
    pub(super) fn expected_left(&self, s: usize) -> i64 {
        let typ = self.net.typical[s];
        let k = self.st.piece[s] as usize;
        let left = if k > 0 {
            // A piece is begun whole: what earlier pieces took says nothing of it.
            (self.net.piece_end(s, typ, k) - self.net.piece_end(s, typ, k - 1)) * 1000
        } else if self.net.piece_count(s) > 1 {
            self.net.piece_end(s, typ, 0) * 1000
        } else {
            typ * 1000 - self.st.done[s]
        };
        // Past the expected hours a tenth of them is still expected.
        let left = if left > 0 { left } else { (typ * 100).max(1000) };
        left + self.st.pickup[s] * 1000
    }

    /// When the people would be done with the piece, by expected hours.
    fn expected_end(&mut self, s: usize, gang: Gang, trip: i64) -> i64 {
        let left = self.expected_left(s);
        self.by_expected(self.t, gang, trip, left)
    }

    /// The end of so much labor begun at `from`, as it was known then.
    fn by_expected(&mut self, from: i64, gang: Gang, trip: i64, left: i64) -> i64 {
        let mut known = Known { w: &mut *self.w, today: from.div_euclid(DAY) };
        let Some(arrived) = gang.after_minutes(self.net, &mut known, from, trip) else { return NEVER };
        gang.done_at(self.net, &mut known, arrived, left).unwrap_or(NEVER)
    }

    /// Works out when a run's people should be free.
    pub(super) fn expect(&mut self, r: &mut Running) -> i64 {
        if let Some(at) = r.expected {
            return at;
        }
        let at = self.by_expected(r.from, r.gang, r.trip, r.expected_left);
        r.expected = Some(at);
        at
    }

    fn expected(&mut self, i: usize) -> i64 {
        let mut r = self.st.running[i];
        let at = self.expect(&mut r);
        self.st.running[i] = r;
        at
    }

    /// Minutes the piece is expected to need without pauses. With a helper on the crew a
    /// one-go piece must fit even if he joins the place.
    fn expected_need(&self, s: usize, gang: Gang) -> i64 {
        let (alone, helped) = gang.rates(self.net);
        let may_join = self.net.helpers & !gang.people != 0 && gang.people & !self.net.helpers != 0;
        let rate = match (self.net.graph.steps[s].flags.one_go && may_join, gang.people & self.net.helpers != 0) {
            (true, false) => alone * HELPED / 1000,
            (false, false) if gang.beside != 0 => helped,
            _ => alone,
        };
        if rate <= 0 {
            return NEVER;
        }
        ceil(self.expected_left(s), rate)
    }

    /// Whether the stretch left allows a begin.
    fn fits(&mut self, s: usize, gang: Gang, trip: i64) -> bool {
        let stretch = gang.stretch(self.net, self.w, self.t);
        self.fits_in(s, gang, trip, stretch)
    }

    fn fits_in(&self, s: usize, gang: Gang, trip: i64, stretch: i64) -> bool {
        if stretch <= trip {
            return false;
        }
        let step = &self.net.graph.steps[s];
        let need = self.expected_need(s, gang);
        if trip + need <= stretch {
            return true;
        }
        if step.flags.one_go {
            return false;
        }
        let setup = if self.st.begun[s] == NEVER { step.setup_min } else { 0 };
        stretch - trip > setup.max(LEAST_LEFT)
    }

    /// Whether the same people may go straight on with the next piece.
    pub(super) fn may_go_on(&mut self, s: usize, people: u32) -> bool {
        let step = &self.net.graph.steps[s];
        if !self.clock_may(s) {
            return false;
        }
        let gang = Gang { people, beside: 0, beside_noisy: 0, place: step.place, noisy: step.flags.noisy };
        self.fits(s, gang, 0)
    }

    /// The base a worker is at today, and how often he has changed it; `None` before his
    /// first work of the day.
    fn at_base(&mut self, p: usize) -> Option<(usize, u32)> {
        let day = self.t.div_euclid(DAY);
        if let Some(r) = self.st.running.iter().find(|r| r.gang.people >> p & 1 == 1).copied()
            && let Some(place) = r.gang.place
        {
            let old = self.st.base[p];
            let changes = if old.0 == day { old.2 } else { 0 };
            if r.gang.worked(self.net, self.w, r.from.max(day * DAY), self.t).1 > 0 {
                return Some((self.net.set.spots[place].base, changes));
            }
        }
        let b = self.st.base[p];
        (b.0 == day).then_some((b.1, b.2))
    }

    /// Trip minutes for a worker to a place now; `None` where the day allows no more.
    fn trip_for(&mut self, p: usize, place: Option<usize>) -> Option<i64> {
        let Some(place) = place else { return Some(0) };
        if !self.net.trips {
            return Some(0);
        }
        let to = self.net.set.spots[place].base;
        match self.at_base(p) {
            None => Some(0),
            Some((b, _)) if b == to => Some(0),
            Some((b, changes)) => {
                if changes >= 1 && !self.nothing_here(p, b) {
                    return None;
                }
                if changes >= 2 {
                    return None;
                }
                Some(2 * (self.net.set.away[b] + self.net.set.away[to]))
            }
        }
    }

    /// Nothing he may do at this base can start for three and a half working hours.
    fn nothing_here(&self, p: usize, base: usize) -> bool {
        if self.st.running.iter().any(|r| r.gang.people >> p & 1 == 1) {
            return false;
        }
        for &s in self.st.front.iter().chain(&self.st.later) {
            let s = s as usize;
            let Some(place) = self.net.graph.steps[s].place else { continue };
            if self.net.who[s] >> p & 1 == 0 || self.net.set.spots[place].base != base {
                continue;
            }
            let mut at = self.st.ready[s].max(self.t);
            if let Some(e) = self.net.graph.steps[s].earliest {
                at = at.max(e.0);
            }
            if at >= NEVER {
                continue;
            }
            let clock = &self.net.set.workers[p].clock;
            if clock.progress(self.t, at) < SECOND_TRIP * UNIT {
                return false;
            }
        }
        true
    }

    /// Whether a person counts as free for `s` now.
    fn free_for(&self, p: usize, s: usize) -> bool {
        match self.st.running.iter().find(|r| r.gang.people >> p & 1 == 1) {
            None => true,
            Some(r) => self.p.rank[r.step] > self.p.rank[s] && self.may_set_down(r),
        }
    }

    /// The people with the earliest expected end among those who may begin now.
    fn pick(&mut self, s: usize, reserved: Option<Reserved>) -> Result<(u32, i64), No> {
        let step = &self.net.graph.steps[s];
        let who = self.p.who[s];
        let k = step.crew.fewest;
        let day = self.t.div_euclid(DAY);
        let minute = self.t - day * DAY;
        if k == 1 && who & who.wrapping_sub(1) == 0 && who & self.net.flat.sure != 0 && reserved.is_none() {
            return self.pick_only(s, who.trailing_zeros() as usize, day, minute);
        }
        let mut free = 0u32;
        let mut busy_until = NEVER;
        let mut busy = 0u32;
        let mut buf = DayShift::OFF;
        for p in bits(who) {
            let g = Gang::one(p, step.place, step.flags.noisy);
            if !on(g.day(self.net, self.w, day, &mut buf), minute) {
                continue;
            }
            if self.free_for(p, s) {
                free |= 1 << p;
            } else if let Some(i) = self.st.running.iter().position(|r| r.gang.people >> p & 1 == 1) {
                busy |= 1 << p;
                if k > 1 {
                    busy_until = busy_until.min(self.expected(i));
                }
            }
        }
        if (free.count_ones() as usize) < k {
            return match free != 0 && (free | busy).count_ones() as usize >= k {
                true => Err(No::People { until: busy_until, place: None, who: free }),
                false => Err(No::Waits),
            };
        }
        let mut best: Option<(i64, u32, i64)> = None;
        let mut set: Vec<usize> = Vec::with_capacity(k);
        let mut all: Vec<usize> = bits(free).collect();
        if k > 2 {
            // With many hands only the first few in crew order are weighed against each other.
            all.truncate(k + 6);
        }
        self.combos(&all, 0, k, &mut set, s, reserved, &mut best);
        match best {
            Some((_, people, trip)) => Ok((people, trip)),
            None => Err(No::Waits),
        }
    }

    /// The same where one pair of hands is asked for and only one man may give it: nobody is
    /// weighed against him.
    fn pick_only(&mut self, s: usize, p: usize, day: i64, minute: i64) -> Result<(u32, i64), No> {
        if !self.free_for(p, s) {
            return Err(No::Waits);
        }
        let step = &self.net.graph.steps[s];
        let gang = Gang::one(p, step.place, step.flags.noisy);
        let mut buf = DayShift::OFF;
        let own = gang.day(self.net, self.w, day, &mut buf);
        if !on(own, minute) {
            return Err(No::Waits);
        }
        let stretch = stretch(own, minute);
        let Some(trip) = self.trip_for(p, step.place) else { return Err(No::Waits) };
        if !self.fits_in(s, gang, trip, stretch) {
            return Err(No::Waits);
        }
        if self.p.has(s, flag::ENDS_BOUND) && self.st.begun[s] == NEVER {
            let end = self.expected_end(s, gang, trip);
            if end >= NEVER || !self.end_rules_may(s, end) {
                return Err(No::Waits);
            }
        }
        Ok((1 << p, trip))
    }

    #[allow(clippy::type_complexity)]
    fn combos(
        &mut self,
        all: &[usize],
        from: usize,
        k: usize,
        set: &mut Vec<usize>,
        s: usize,
        reserved: Option<Reserved>,
        best: &mut Option<(i64, u32, i64)>,
    ) {
        if set.len() == k {
            let people = set.iter().fold(0u32, |m, &p| m | 1 << p);
            let step = &self.net.graph.steps[s];
            let mut trip = 0;
            for &p in set.iter() {
                match self.trip_for(p, step.place) {
                    Some(x) => trip = trip.max(x),
                    None => return,
                }
            }
            let gang = Gang { people, beside: 0, beside_noisy: 0, place: step.place, noisy: step.flags.noisy };
            if !self.fits(s, gang, trip) {
                return;
            }
            let end = self.expected_end(s, gang, trip);
            if end >= NEVER || self.st.begun[s] == NEVER && !self.end_rules_may(s, end) {
                return;
            }
            if let Some(r) = reserved {
                let there = r.place.is_some() && r.place == step.place || r.who & people != 0;
                if there && end > r.until {
                    return;
                }
            }
            if best.is_none_or(|b| end < b.0) {
                *best = Some((end, people, trip));
            }
            return;
        }
        for i in from..all.len() {
            set.push(all[i]);
            self.combos(all, i + 1, k, set, s, reserved, best);
            set.pop();
        }
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
