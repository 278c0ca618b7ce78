//! Dispatch: how a day really goes. One code for the plan and for every trial.
//!
//! At one instant first all ends and releases (by step), then starts: the order is scanned
//! from the top, the first step that may start is started, and the scan begins anew until
//! none may. Only what is known at that minute is used, and every may-start test uses
//! expected hours. The start rules stand in `start.rs`.
//!
//! A step with hands is looked at only while somebody is free for it, or could be; an instant
//! at which nobody is costs next to nothing.
//!
//! One file because every method moves the same state of one instant; the rules of what may
//! begin stand apart already.

use std::cmp::Reverse;

use super::flat::{NONE, Prepared, flag};
use super::state::{NEVER, Running, State, is_end_rule};
use super::{Gang, Net, Order, PICK_UP, Plan, Run, RunLog, Timed, Typical, World, bits};
use crate::clock::{At, DAY, UNIT};
use crate::trade::Stage;
use crate::work::{Ask, Kind, Role};

/// Why a dispatch cannot go on.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Stuck {
    /// Nothing can ever start again; the steps left.
    #[error("nothing more can start; left: {0:?}")]
    NoStart(Vec<usize>),
    /// More instants than any sound job has.
    #[error("more instants than a sound job can have")]
    TooMany,
}

/// One dispatch: net and order laid out, world and state.
pub(super) struct Dispatch<'a, 'n, W: World> {
    pub p: &'a Prepared<'a, 'n>,
    pub net: &'a Net<'n>,
    pub w: &'a mut W,
    pub st: &'a mut State,
    pub t: i64,
}

/// Runs the order in the given world; the state holds what happened.
///
/// # Errors
/// [`Stuck`], never a silent drop.
pub fn run<W: World>(net: &Net, order: &Order, w: &mut W, st: &mut State) -> Result<(), Stuck> {
    Prepared::new(net, order).run(w, st)
}

impl Prepared<'_, '_> {
    /// Runs the order in the given world; the state holds what happened.
    ///
    /// # Errors
    /// [`Stuck`], never a silent drop.
    pub fn run<W: World>(&self, w: &mut W, st: &mut State) -> Result<(), Stuck> {
        st.reset(self, w);
        let mut d = Dispatch { p: self, net: self.net, w, st, t: 0 };
        d.enter_first();
        if let Some(facts) = self.net.set.standing.as_deref() {
            d.replay(facts);
        }
        let limit = 4_000 + 400 * self.net.present.len();
        for _ in 0..limit {
            d.ends();
            let mut next = d.while_all_are_at_work();
            if next.is_none() {
                d.starts();
                if d.st.left == 0 {
                    return Ok(());
                }
                next = d.next();
            }
            match next {
                Some(t) => d.t = t,
                None => {
                    let n = self.net.present.len();
                    let left = (0..n).filter(|&s| d.st.active[s] && d.st.ended[s] == NEVER).collect();
                    return Err(Stuck::NoStart(left));
                }
            }
        }
        Err(Stuck::TooMany)
    }
}

/// The plan of an order: everything typical.
///
/// # Errors
/// [`Stuck`] when the order cannot be carried out.
pub fn plan(net: &Net, order: &Order, st: &mut State) -> Result<Plan, Stuck> {
    let mut w = Typical(net);
    run(net, order, &mut w, st)?;
    Ok(collect(net, order, &mut w, st))
}

/// Finish of the last dispatch: end of the last labor, of the last step where there is none.
pub fn finish(net: &Net, st: &State) -> i64 {
    let labor = st.runs.iter().map(|r| r.to).max();
    labor.unwrap_or_else(|| (0..net.present.len()).filter(|&s| st.active[s]).map(|s| st.ended[s]).max().unwrap_or(0))
}

/// What happened as a [`Plan`].
pub fn collect<W: World>(net: &Net, order: &Order, w: &mut W, st: &mut State) -> Plan {
    let mut runs: Vec<Run> = st
        .runs
        .iter()
        .map(|r| Run {
            step: r.step,
            from: At(r.from),
            to: At(r.to),
            people: bits(r.people).collect(),
            piece: r.piece,
            trip_min: r.trip,
            overtime_min: r.overtime,
            labor_milli: r.labor_milli,
            pickup_min: r.pickup,
        })
        .collect();
    if let Some(facts) = net.set.standing.as_deref() {
        // What goes on from before is worked on from the first minute anybody is there again.
        for r in runs.iter_mut().filter(|r| r.from == facts.as_of) {
            let people = r.people.iter().fold(0, |m, &p| m | 1 << p);
            let step = &net.graph.steps[r.step];
            let gang = Gang { people, beside: 0, beside_noisy: 0, place: step.place, noisy: step.flags.noisy };
            r.from = gang.after_minutes(net, w, r.from.0, 1).map_or(r.from, |t| At(t - 1)).min(r.to);
        }
        runs.retain(|r| r.from < r.to);
    }
    runs.sort_by_key(|r| (r.from, r.step, r.piece));
    let mut steps = Vec::new();
    for s in 0..net.present.len() {
        if !st.active[s] {
            continue;
        }
        let mut ready = Vec::new();
        if net.graph.steps[s].coat.is_some() {
            for stage in Stage::ALL {
                if net.stage_min[s][super::stage_ix(stage)] >= 0 {
                    let at = st.stage_at(net, w, s, stage);
                    if at < NEVER {
                        ready.push((stage, At(at)));
                    }
                }
            }
        }
        let labor_min = if net.labor(s) { w.takes(s) } else { 0 };
        steps.push(Timed { step: s, begin: At(st.begun[s]), end: At(st.ended[s]), ready, labor_min });
    }
    steps.sort_by_key(|t| (t.begin, t.step));
    Plan { order: order.clone(), runs, steps, finish: At(finish(net, st)) }
}

impl<W: World> Dispatch<'_, '_, W> {
    fn enter_first(&mut self) {
        for i in 0..self.p.first.len() {
            let s = self.p.first[i] as usize;
            if self.st.unmet[s] == 0 {
                self.enter(s);
            }
        }
        for i in 0..self.net.flat.unplanned.len() {
            let s = self.net.flat.unplanned[i] as usize;
            if self.st.active[s] && self.st.unmet[s] == 0 {
                self.enter(s);
            }
        }
    }

    /// Puts a step whose needs are met among those that may begin, now or when it is ready.
    pub(super) fn enter(&mut self, s: usize) {
        if !self.p.labor(s) || self.w.takes(s) == 0 {
            let key = (self.p.rank[s], s as u32);
            let at = self.st.gates.partition_point(|&o| (self.p.rank[o as usize], o) < key);
            self.st.gates.insert(at, s as u32);
            self.wake(self.st.ready[s]);
            return;
        }
        self.st.always += usize::from(self.p.has(s, flag::ALWAYS));
        if self.st.ready[s] <= self.t {
            self.st.move_to_front(self.p, s);
        } else {
            self.st.later.push(s as u32);
            if self.st.ready[s] < NEVER {
                self.st.looks.push(Reverse((self.st.ready[s], s as u32)));
            }
        }
    }

    /// All ends and releases of this instant.
    fn ends(&mut self) {
        let ended = self.st.running.iter().filter(|r| r.end <= self.t).count();
        if ended == 1 {
            // By far the most instants.
            let i = self.st.running.iter().position(|r| r.end <= self.t).unwrap_or_default();
            if !self.next_piece(i) {
                let r = self.st.running.swap_remove(i);
                if let Some((s, people)) = self.finish_run(&r) {
                    self.go_on(s, people);
                }
            }
        } else if ended > 1 {
            self.st.running.sort_by_key(|r| r.step);
            let mut due: Vec<(usize, u32)> = Vec::new();
            let mut i = 0;
            while i < self.st.running.len() {
                if self.st.running[i].end > self.t {
                    i += 1;
                    continue;
                }
                let r = self.st.running.remove(i);
                due.extend(self.finish_run(&r));
            }
            for (s, people) in due {
                self.go_on(s, people);
            }
        }
        while let Some(r) = self.st.running.iter().find(|r| r.gone <= self.t && r.end > self.t) {
            self.interrupt(r.gang.people.trailing_zeros() as usize);
        }
        if self.st.settle_at <= self.t {
            self.settle_waiting();
        }
    }

    /// A piece is done and the same hands are at the next one, where nothing else can have
    /// changed: what [`Dispatch::finish_run`] and [`Dispatch::begin`] come to then. False, and
    /// nothing done, where more is to be looked at.
    fn next_piece(&mut self, i: usize) -> bool {
        let r = &self.st.running[i];
        let (s, net) = (r.step, self.net);
        if net.helpers != 0 || r.piece + 1 >= net.piece_count(s) {
            return false;
        }
        let mut r = *r;
        let before = (self.st.piece[s], self.st.done[s], self.st.pickup[s]);
        self.st.piece[s] = r.piece as u32 + 1;
        self.st.done[s] += r.done + r.left - r.pickup * 1000;
        self.st.pickup[s] = 0;
        if !self.may_go_on(s, r.gang.people) {
            (self.st.piece[s], self.st.done[s], self.st.pickup[s]) = before;
            return false;
        }
        let t = self.t;
        self.book(&r, r.end, r.done + r.left);
        let piece = r.piece + 1;
        r.left = (net.piece_end(s, self.w.takes(s), piece) * 1000 - self.st.done[s]).max(0);
        (r.from, r.arrived, r.since, r.piece) = (t, t, t, piece);
        (r.done, r.overtime, r.trip, r.pickup) = (0, 0, 0, 0);
        (r.after, r.expected, r.expected_left) = (Some(s), None, self.expected_left(s));
        self.time_run(&mut r);
        self.st.running[i] = r;
        true
    }

    /// The same hands go on with the next piece if it is expected to fit.
    fn go_on(&mut self, s: usize, people: u32) {
        if self.may_go_on(s, people) {
            self.begin(s, people, 0, Some(s));
        } else {
            self.enter(s);
        }
    }

    /// Gates whose time is up and ends no longer held open.
    pub(super) fn settle_waiting(&mut self) {
        let mut changed = true;
        while changed {
            changed = false;
            let mut i = 0;
            while i < self.st.waiting.len() {
                let s = self.st.waiting[i];
                if self.st.worked_out[s] <= self.t && self.end_rule(s) <= self.t {
                    self.st.waiting.remove(i);
                    self.end_step(s);
                    changed = true;
                } else {
                    i += 1;
                }
            }
        }
        self.st.settle_at = self.st.waiting.iter().map(|&s| self.st.worked_out[s]).min().unwrap_or(NEVER);
    }

    /// Ends a step once its time is up and its end-to-end links allow it.
    fn wait_for_end(&mut self, s: usize) {
        self.st.waiting.push(s);
        self.st.settle_at = self.st.settle_at.min(self.st.worked_out[s]);
    }

    /// The instant before which the step may not end, by its end-to-end links.
    #[inline]
    fn end_rule(&self, s: usize) -> i64 {
        if self.p.has(s, flag::ENDS_BOUND) { self.bound_end(s) } else { 0 }
    }

    fn bound_end(&self, s: usize) -> i64 {
        let mut at = 0;
        for d in &self.net.deps[s] {
            if !self.st.active[d.from] {
                continue;
            }
            let x = match d.ask {
                Ask::EndAfterEnd => self.st.ended[d.from],
                Ask::EndAfterBegin => self.st.begun[d.from],
                _ => continue,
            };
            at = at.max(if x >= NEVER { NEVER } else { x + d.lag });
        }
        at
    }

    /// Books a finished or interrupted stretch with the labor done in it.
    fn book(&mut self, r: &Running, to: i64, done: i64) {
        let s = r.step;
        if to > r.from {
            let last = std::mem::replace(&mut self.st.last_run[s], self.st.runs.len() as u32);
            self.st.runs.push(RunLog {
                step: s,
                from: r.from,
                to,
                people: r.gang.people,
                piece: r.piece,
                trip: r.trip,
                overtime: r.overtime,
                labor_milli: done,
                pickup: r.pickup,
                after: r.after,
                earlier: (last != NONE).then_some(last),
            });
        }
        for p in bits(r.gang.people) {
            let worked = self.st.last_step[p].map_or(0, |l| l.1);
            self.st.last_step[p] = Some((s, if to > r.from { to } else { worked }));
        }
        if !self.net.trips {
            return;
        }
        let day = to.div_euclid(DAY);
        let base = self.net.graph.steps[s].place.map(|p| self.net.set.spots[p].base);
        let Some(b) = base else { return };
        let from = r.from.max(day * DAY);
        // The last minute before an end of labor was worked.
        let worked = to > from && (to == r.end || r.gang.worked(self.net, self.w, from, to).1 > 0);
        if worked || r.overtime > 0 {
            for p in bits(r.gang.people) {
                let old = self.st.base[p];
                self.st.base[p] = (day, b, if old.0 == day { old.2 } else { 0 });
            }
        }
    }

    /// A piece is done; the next one of the same step, if any, with the hands there.
    fn finish_run(&mut self, r: &Running) -> Option<(usize, u32)> {
        let done = r.done + r.left;
        let s = r.step;
        self.book(r, r.end, done);
        self.st.done[s] += done - r.pickup * 1000;
        self.st.pickup[s] = 0;
        self.helpers_moved(r.gang);
        if r.piece + 1 < self.net.piece_count(s) {
            self.st.piece[s] = r.piece as u32 + 1;
            return Some((s, r.gang.people));
        }
        self.laid(s);
        self.st.labor_min += self.w.takes(s);
        let rule = self.end_rule(s);
        if rule <= self.t {
            self.end_step(s);
        } else {
            self.wake(rule);
            self.wait_for_end(s);
        }
        None
    }

    /// The last labor of a step is done: its coat and its place count from here, even where an
    /// end-to-end link holds its end open.
    pub(super) fn laid(&mut self, s: usize) {
        self.st.worked_out[s] = self.t;
        self.st.stage[s] = [-1; 7];
        let flat = &self.net.flat;
        let place = flat.place[s];
        if place == NONE {
            return;
        }
        if flat.closing {
            self.st.in_place[place as usize].retain(|&x| x != s);
        }
        let spot = &self.net.set.spots[place as usize];
        if self.p.has(s, flag::DAMPS) && spot.damped(self.t) {
            self.damp(flat.air[s] as usize, s);
        }
    }

    /// A step is over: what follows may know.
    pub(super) fn end_step(&mut self, s: usize) {
        let t = self.t;
        self.st.ended[s] = t;
        self.st.left -= 1;
        if self.p.has(s, flag::POOLS) {
            for &(pool, n) in &self.net.graph.steps[s].pools {
                self.st.pools[pool] += i64::from(n);
            }
        }
        if self.p.has(s, flag::SCUFFS)
            && let Role::Scuff { of } = self.net.graph.steps[s].role
        {
            self.st.scuff_done[of] = true;
        }
        self.tell(s, false);
        if !self.p.has(s, flag::BINDS_ENDS) {
            return;
        }
        // An end-to-end follower may end or begin now.
        for i in 0..self.net.followers[s].len() {
            let f = self.net.followers[s][i];
            for d in &self.net.deps[f] {
                if d.from == s && is_end_rule(d.ask) {
                    let lag = d.lag;
                    self.wake(t + lag);
                    let at = t + lag - self.net.typical[f];
                    self.wake(at);
                }
            }
        }
    }

    /// A skim coat is done in an air: other coats there dry slower from now on.
    fn damp(&mut self, air: usize, s: usize) {
        self.st.damps[air].push((s, self.t));
        // What hardens by moisture is ready sooner now.
        let open = self.st.front.iter().chain(&self.st.later);
        for &x in open.filter(|&&x| self.net.flat.air[x as usize] == air as u32) {
            self.st.sleeps[x as usize] = -1;
        }
        for i in 0..self.net.flat.coats[air].len() {
            let x = self.net.flat.coats[air][i] as usize;
            if x == s || self.st.worked_out[x] == NEVER {
                continue;
            }
            for i in 0..7 {
                if self.st.stage[x][i] > self.t {
                    self.st.stage[x][i] = -1;
                }
            }
            for j in 0..self.net.followers[x].len() {
                let f = self.net.followers[x][j];
                if self.st.begun[f] == NEVER && self.st.unmet[f] == 0 && self.st.active[f] {
                    self.recount(f);
                    self.reenter(f);
                }
            }
        }
    }

    /// A step among those that may begin goes where its new ready time says.
    fn reenter(&mut self, f: usize) {
        let x = f as u32;
        if self.st.front.contains(&x) || self.st.later.contains(&x) {
            self.st.leave(self.p, f);
            self.enter(f);
        } else if self.st.gates.contains(&x) {
            let at = self.st.ready[f];
            self.wake(at);
        }
    }

    /// Counts anew when the known needs of a step are met.
    fn recount(&mut self, f: usize) {
        let mut ready = 0;
        let mut by = None;
        for d in &self.net.deps[f] {
            if !self.st.active[d.from] {
                continue;
            }
            let at = match d.ask {
                Ask::Done => self.st.ended[d.from],
                Ask::Begun => self.st.begun[d.from],
                Ask::Dry(stage) => self.st.stage_at(self.net, self.w, d.from, stage),
                _ => continue,
            };
            if at >= NEVER {
                // Not known yet; or a coat that never dries, and then the step never starts.
                if self.st.ended[d.from] < NEVER {
                    ready = NEVER;
                }
                continue;
            }
            let at = at + d.lag;
            if at > ready || by.is_none() {
                ready = ready.max(at);
                by = Some(d.from);
            }
        }
        self.st.ready[f] = ready;
        self.st.ready_by[f] = by;
    }

    /// Tells the followers of a step that it has begun (or ended).
    pub(super) fn tell(&mut self, s: usize, begun: bool) {
        let net = self.net;
        for e in net.flat.edges(s) {
            let f = e.to as usize;
            if e.begun != begun || !self.st.active[f] {
                continue;
            }
            // A scuff-sand called in later was never counted among the needs.
            let counted = self.st.unmet[f] > 0;
            self.st.unmet[f] = self.st.unmet[f].saturating_sub(e.count);
            if self.st.unmet[f] == 0 {
                self.recount(f);
                if self.st.begun[f] == NEVER {
                    if counted { self.enter(f) } else { self.reenter(f) }
                }
            }
        }
        if begun && self.p.has(s, flag::BINDS_ENDS) {
            for i in 0..net.followers[s].len() {
                let f = net.followers[s][i];
                for d in &net.deps[f] {
                    if self.st.active[f] && d.from == s && is_end_rule(d.ask) {
                        let base = if d.ask == Ask::EndAfterBegin { self.t } else { self.t + net.typical[s] };
                        self.wake(base + d.lag);
                        self.wake(base + d.lag - net.typical[f]);
                    }
                }
            }
        }
    }

    /// Wakes a scuff-sand: the recoat window of `of` has passed.
    pub(super) fn need_scuff(&mut self, scuff: usize) {
        self.st.active[scuff] = true;
        self.st.left += 1;
        let known = |d: &super::Dep| match d.ask {
            Ask::Begun => self.st.begun[d.from] < NEVER,
            a => is_end_rule(a) || self.st.ended[d.from] < NEVER,
        };
        let unmet = self.net.deps[scuff].iter().filter(|d| self.st.active[d.from] && !known(d)).count();
        self.st.unmet[scuff] = unmet as u32;
        self.recount(scuff);
        if unmet == 0 {
            self.enter(scuff);
        }
    }

    /// Starts a gate or a step without labor.
    pub(super) fn fire(&mut self, s: usize) {
        let t = self.t;
        self.st.leave(self.p, s);
        self.st.begun[s] = t;
        if self.p.has(s, flag::POOLS) {
            for &(pool, n) in &self.net.graph.steps[s].pools {
                self.st.pools[pool] -= i64::from(n);
            }
        }
        let takes = self.w.takes(s);
        let end = self.known_end(s).unwrap_or_else(|| match self.net.graph.steps[s].kind {
            Kind::Labor => t,
            Kind::Elapsed(_) => t + takes,
            Kind::Business { .. } => self.net.set.business.reach(t, takes * UNIT).unwrap_or(NEVER),
            Kind::Decision { .. } => t.max(takes),
        });
        self.st.worked_out[s] = end;
        self.st.stage[s] = [-1; 7];
        self.tell(s, true);
        self.wait_for_end(s);
        self.wake(end);
        let rule = self.end_rule(s);
        self.wake(rule);
        self.settle_waiting();
    }

    /// Hands begin on a step (or its next piece, or pick it up again).
    pub(super) fn begin(&mut self, s: usize, people: u32, trip: i64, after: Option<usize>) {
        let t = self.t;
        let net = self.net;
        let step = &net.graph.steps[s];
        let total = self.w.takes(s);
        let first = self.st.begun[s] == NEVER;
        self.st.leave(self.p, s);
        self.st.too_late[s] = (0, -1);
        for p in bits(people) {
            self.interrupt(p);
        }
        let (beside, beside_noisy) = self.beside(step.place, people);
        let gang = Gang { people, beside, beside_noisy, place: step.place, noisy: step.flags.noisy };
        let arrived = gang.after_minutes(net, self.w, t, trip).unwrap_or(NEVER);
        let piece = self.st.piece[s] as usize;
        let pickup = self.st.pickup[s];
        let left = (net.piece_end(s, total, piece) * 1000 - self.st.done[s]).max(0) + pickup * 1000;
        if let Some(place) = step.place {
            if net.trips {
                let day = t.div_euclid(DAY);
                let b = net.set.spots[place].base;
                for p in bits(people) {
                    let old = self.st.base[p];
                    let changes = if old.0 == day { old.2 + u32::from(trip > 0 && old.1 != b) } else { 0 };
                    self.st.base[p] = (day, b, changes);
                }
            }
            if first {
                self.occupy(s);
            }
        }
        let mut r = Running {
            step: s,
            gang,
            from: t,
            arrived,
            since: arrived,
            left,
            done: 0,
            end: NEVER,
            gone: NEVER,
            firm: NEVER,
            overtime: 0,
            trip,
            pickup,
            piece,
            after,
            expected: None,
            expected_left: self.expected_left(s),
        };
        if net.helpers != 0 {
            // Who is beside them may change later.
            self.expect(&mut r);
        }
        self.time_run(&mut r);
        if self.p.has(s, flag::SET_DOWN) {
            // From then on he may leave it.
            if r.firm > t && r.firm < NEVER {
                self.st.looks.push(Reverse((r.firm, NONE)));
            }
        }
        self.st.running.push(r);
        self.helpers_moved(gang);
        if first {
            self.st.begun[s] = t;
            self.tell(s, true);
        }
    }

    /// A step begins: its place, air and racks know.
    pub(super) fn occupy(&mut self, s: usize) {
        let net = self.net;
        let Some(place) = net.graph.steps[s].place else { return };
        let air = net.set.spots[place].air;
        if net.flat.closing {
            self.st.in_place[place].push(s);
            if self.p.has(s, flag::CLOSES) {
                self.st.closer[place] = Some(s);
            }
        }
        if net.flat.dusting && self.p.has(s, flag::WETS) {
            self.st.wet[air].push(s);
        }
        if net.flat.wetting && self.p.has(s, flag::DUSTY) {
            self.st.dusty[air].push(s);
        }
        if self.p.has(s, flag::RACKS) {
            self.st.on_racks[place].push(s);
        }
    }

    /// The end of a run by what is left at `since`.
    fn time_run(&mut self, r: &mut Running) {
        if self.p.has(r.step, flag::ONE_GO) {
            let (end, over) = r.gang.done_in_one_go(self.net, self.w, r.since, r.left).unwrap_or((NEVER, 0));
            r.end = end;
            r.overtime = over;
        } else {
            r.end = r.gang.done_at(self.net, self.w, r.since, r.left).unwrap_or(NEVER);
        }
        r.gone = self.gone(r);
        self.wake(r.gone);
        let picking = r.pickup * 1000 - r.done;
        r.firm =
            if picking > 0 { r.gang.done_at(self.net, self.w, r.since, picking).unwrap_or(NEVER) } else { r.arrived };
    }

    /// Helpers at work in a place, other than `people`, and those of them on a noisy step.
    fn beside(&self, place: Option<usize>, people: u32) -> (u32, u32) {
        if place.is_none() || self.net.helpers == 0 {
            return (0, 0);
        }
        self.st.running.iter().filter(|r| r.gang.place == place).fold((0, 0), |(all, loud), r| {
            let h = r.gang.people & self.net.helpers & !people;
            (all | h, if r.gang.noisy { loud | h } else { loud })
        })
    }

    /// Somebody began or left in a place: the others there go faster or slower from now.
    #[inline]
    fn helpers_moved(&mut self, moved: Gang) {
        if moved.people & self.net.helpers != 0 && moved.place.is_some() {
            self.pace_of_others(moved);
        }
    }

    fn pace_of_others(&mut self, moved: Gang) {
        for i in 0..self.st.running.len() {
            let mut r = self.st.running[i];
            if r.gang.place != moved.place {
                continue;
            }
            // After hours the shift tables say nothing: a piece in overtime goes on as it was.
            if r.overtime > 0 && self.t >= r.end - r.overtime {
                continue;
            }
            let beside = self.beside(moved.place, r.gang.people);
            if beside == (r.gang.beside, r.gang.beside_noisy) {
                continue;
            }
            self.settle(&mut r);
            (r.gang.beside, r.gang.beside_noisy) = beside;
            self.time_run(&mut r);
            self.st.running[i] = r;
        }
    }

    /// Counts the labor done up to now.
    fn settle(&mut self, r: &mut Running) {
        if self.t > r.since {
            let (milli, _) = r.gang.worked(self.net, self.w, r.since, self.t);
            let milli = milli.min(r.left);
            r.done += milli;
            r.left -= milli;
            r.since = self.t;
        }
    }

    /// Sets down what a person is doing; his partners are free too.
    fn interrupt(&mut self, p: usize) {
        let Some(i) = self.st.running.iter().position(|r| r.gang.people >> p & 1 == 1) else { return };
        let mut r = self.st.running.remove(i);
        self.settle(&mut r);
        let s = r.step;
        self.book(&r, self.t, r.done);
        self.st.done[s] += r.done - r.pickup * 1000;
        self.st.pickup[s] = PICK_UP;
        self.helpers_moved(r.gang);
        self.enter(s);
    }
}
