//! Dispatch: how a day really goes. One code for the plan and for every trial.
//!
//! At one instant first all ends and releases (by step), then starts: the order is scanned
//! from the top, the first step that may start is started, and the scan begins anew until
//! none may. Only what is known at that minute is used, and every may-start test uses
//! expected hours. The start rules stand in `start.rs`.
//!
//! One file because every method moves the same state of one instant; the rules of what may
//! begin stand apart already.

use super::state::{NEVER, Running, State, is_end_rule};
use super::{Gang, Net, Order, PICK_UP, Plan, Run, RunLog, Timed, Typical, World, bits};
use crate::clock::{At, UNIT};
use crate::trade::Stage;
use crate::work::{Ask, Kind};

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

/// One dispatch: net, order, world and state.
pub struct Dispatch<'a, 'n, W: World> {
    pub net: &'a Net<'n>,
    pub order: &'a Order,
    pub w: &'a mut W,
    pub st: &'a mut State,
    pub t: i64,
}

/// Runs the order in the given world; the state holds what happened.
///
/// # Errors
/// [`Stuck`], never a silent drop.
pub fn run<W: World>(net: &Net, order: &Order, w: &mut W, st: &mut State) -> Result<(), Stuck> {
    st.reset(net, w, &order.order);
    let mut d = Dispatch { net, order, w, st, t: 0 };
    let limit = 4_000 + 400 * net.present.len();
    for _ in 0..limit {
        d.ends();
        d.starts();
        if d.st.left == 0 {
            return Ok(());
        }
        match d.next() {
            Some(t) => d.t = t,
            None => {
                let left = (0..net.present.len()).filter(|&s| d.st.active[s] && d.st.ended[s] == NEVER).collect();
                return Err(Stuck::NoStart(left));
            }
        }
    }
    Err(Stuck::TooMany)
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
    /// Next instant after now at which anything may change.
    fn next(&mut self) -> Option<i64> {
        while self.st.wakes.peek().is_some_and(|r| r.0 <= self.t) {
            self.st.wakes.pop();
        }
        let mut t = self.st.wakes.peek().map_or(NEVER, |r| r.0);
        for r in &self.st.running {
            t = t.min(r.end);
        }
        // Somebody comes on shift while something waits for hands.
        let waits = self.st.open.iter().any(|&s| self.net.labor(s) && self.st.ready[s] <= self.t);
        if waits || !self.st.running.is_empty() {
            for p in 0..self.net.set.workers.len() {
                let g = Gang { people: 1 << p, beside: 0, beside_noisy: 0, place: None, noisy: false };
                if let Some(on) = g.next_on(self.net, self.w, self.t) {
                    t = t.min(on);
                }
            }
            // The house opens again or noise hours begin: hours of a place, not of a person.
            if waits && (self.net.set.noise.is_some()) {
                for i in 0..self.st.open.len() {
                    let s = self.st.open[i];
                    let step = &self.net.graph.steps[s];
                    if self.net.labor(s) && step.flags.noisy && self.st.ready[s] <= self.t {
                        for p in bits(self.net.who[s]) {
                            let g = Gang { people: 1 << p, beside: 0, beside_noisy: 0, place: step.place, noisy: true };
                            if let Some(on) = g.next_on(self.net, self.w, self.t) {
                                t = t.min(on);
                            }
                        }
                    }
                }
            }
        }
        (t < NEVER).then_some(t)
    }

    pub(super) fn wake(&mut self, at: i64) {
        if at > self.t && at < NEVER {
            self.st.wakes.push(std::cmp::Reverse(at));
        }
    }

    /// All ends and releases of this instant.
    fn ends(&mut self) {
        let mut due: Vec<(usize, u32)> = Vec::new();
        self.st.running.sort_by_key(|r| r.step);
        let mut i = 0;
        while i < self.st.running.len() {
            if self.st.running[i].end <= self.t {
                let r = self.st.running.remove(i);
                self.finish_run(r, &mut due);
            } else {
                i += 1;
            }
        }
        for (s, people) in due {
            // The same hands go on with the next piece if it is expected to fit.
            if self.may_go_on(s, people) {
                self.begin(s, people, 0, Some(s));
            }
        }
        self.settle_waiting();
    }

    /// Gates whose time is up and ends no longer held open.
    fn settle_waiting(&mut self) {
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
    }

    /// The instant before which the step may not end, by its end-to-end links.
    fn end_rule(&self, s: usize) -> i64 {
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

    /// Books a finished or interrupted stretch.
    fn book(&mut self, r: &Running, to: i64) {
        if to > r.from {
            self.st.runs.push(RunLog {
                step: r.step,
                from: r.from,
                to,
                people: r.gang.people,
                piece: r.piece,
                trip: r.trip,
                overtime: r.overtime,
                labor_milli: r.done,
                pickup: r.pickup,
                after: r.after,
            });
        }
        let day = to.div_euclid(crate::clock::DAY);
        let base = self.net.graph.steps[r.step].place.map(|p| self.net.set.spots[p].base);
        for p in bits(r.gang.people) {
            self.st.last_step[p] = Some(r.step);
            if let Some(b) = base {
                let from = r.from.max(day * crate::clock::DAY);
                if r.gang.worked(self.net, self.w, from, to).1 > 0 || r.overtime > 0 {
                    let old = self.st.base[p];
                    self.st.base[p] = (day, b, if old.0 == day { old.2 } else { 0 });
                }
            }
        }
    }

    /// A piece is done.
    fn finish_run(&mut self, mut r: Running, due: &mut Vec<(usize, u32)>) {
        r.done += r.left;
        let s = r.step;
        self.book(&r, r.end);
        self.st.done[s] += r.done - r.pickup * 1000;
        self.st.pickup[s] = 0;
        self.helpers_moved(r.gang);
        if r.piece + 1 < self.net.piece_count(s) {
            self.st.piece[s] = r.piece + 1;
            self.st.enter(s);
            due.push((s, r.gang.people));
        } else {
            self.laid(s);
            self.st.labor_min += self.w.takes(s);
            if self.end_rule(s) <= self.t {
                self.end_step(s);
            } else {
                let at = self.end_rule(s);
                self.wake(at);
                self.st.waiting.push(s);
            }
        }
    }

    /// The last labor of a step is done: its dust, its coat and its place count from here,
    /// even where an end-to-end link holds its end open.
    fn laid(&mut self, s: usize) {
        let t = self.t;
        self.st.worked_out[s] = t;
        let step = &self.net.graph.steps[s];
        let Some(p) = step.place else { return };
        self.st.in_place[p].retain(|&x| x != s);
        let air = self.net.set.spots[p].air;
        if let Some(c) = step.coat
            && self.net.graph.products[c.product].damps_room
            && !self.net.set.spots[p].fan
        {
            self.damp(air, s);
        }
        if step.flags.dusty {
            let settle = self.net.set.spots[p].settle;
            self.wake(t + settle);
        }
        if self.st.wet[air].contains(&s) || self.st.closer[p] == Some(s) {
            let at = self.st.dust_free_at(self.net, self.w, s);
            self.wake(at);
        }
        if step.racks > 0 {
            let at = self.st.stage_at(self.net, self.w, s, Stage::Handle);
            self.wake(at);
        }
    }

    /// A step is over: what follows may know.
    fn end_step(&mut self, s: usize) {
        let t = self.t;
        self.st.ended[s] = t;
        self.st.left -= 1;
        let step = &self.net.graph.steps[s];
        if let crate::work::Role::Scuff { of } = step.role {
            self.st.scuff_done[of] = true;
        }
        self.tell(s, false);
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
        for x in 0..self.net.present.len() {
            let Some(p) = self.net.graph.steps[x].place else { continue };
            if x == s || self.net.set.spots[p].air != air || self.st.worked_out[x] == NEVER {
                continue;
            }
            for i in 0..7 {
                if self.st.stage[x][i] > self.t {
                    self.st.stage[x][i] = -1;
                }
            }
            for j in 0..self.net.followers[x].len() {
                let f = self.net.followers[x][j];
                if self.st.begun[f] == NEVER && self.st.unmet[f] == 0 {
                    self.recount(f);
                }
            }
            if self.st.wet[air].contains(&x) || self.st.closer[p] == Some(x) {
                let at = self.st.dust_free_at(self.net, self.w, x);
                self.wake(at);
            }
            if self.net.graph.steps[x].racks > 0 {
                let at = self.st.stage_at(self.net, self.w, x, Stage::Handle);
                self.wake(at);
            }
        }
    }

    /// Counts anew when the known needs of a step are met.
    fn recount(&mut self, f: usize) {
        let mut ready = 0;
        let mut by = None;
        for i in 0..self.net.deps[f].len() {
            let d = self.net.deps[f][i];
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
        if self.st.unmet[f] == 0 {
            self.wake(ready);
        }
    }

    /// Tells the followers of a step that it has begun (or ended).
    pub(super) fn tell(&mut self, s: usize, begun: bool) {
        for i in 0..self.net.followers[s].len() {
            let f = self.net.followers[s][i];
            if !self.st.active[f] {
                continue;
            }
            let k = self.net.deps[f]
                .iter()
                .filter(|d| d.from == s && !is_end_rule(d.ask) && begun == (d.ask == Ask::Begun))
                .count();
            if k > 0 {
                // A scuff-sand called in later was never counted among the needs.
                let counted = self.st.unmet[f] > 0;
                self.st.unmet[f] = self.st.unmet[f].saturating_sub(k);
                if self.st.unmet[f] == 0 {
                    self.recount(f);
                    if counted && self.st.begun[f] == NEVER {
                        self.st.enter(f);
                    }
                }
            }
            if begun {
                for j in 0..self.net.deps[f].len() {
                    let d = self.net.deps[f][j];
                    if d.from == s && is_end_rule(d.ask) {
                        let base = if d.ask == Ask::EndAfterBegin { self.t } else { self.t + self.net.typical[s] };
                        self.wake(base + d.lag);
                        self.wake(base + d.lag - self.net.typical[f]);
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
        self.st.unmet[scuff] = unmet;
        self.recount(scuff);
        if unmet == 0 {
            self.st.enter(scuff);
        }
    }

    /// Starts a gate or a step without labor.
    pub(super) fn fire(&mut self, s: usize) {
        let t = self.t;
        self.st.open.retain(|&x| x != s);
        self.st.begun[s] = t;
        let takes = self.w.takes(s);
        let end = match self.net.graph.steps[s].kind {
            Kind::Labor => t,
            Kind::Elapsed(_) => t + takes,
            Kind::Business { .. } => self.net.set.business.reach(t, takes * UNIT).unwrap_or(NEVER),
            Kind::Decision { .. } => t.max(takes),
        };
        self.st.worked_out[s] = end;
        self.tell(s, true);
        self.st.waiting.push(s);
        self.wake(end);
        let rule = self.end_rule(s);
        self.wake(rule);
        self.settle_waiting();
    }

    /// Hands begin on a step (or its next piece, or pick it up again).
    pub(super) fn begin(&mut self, s: usize, people: u32, trip: i64, after: Option<usize>) {
        let t = self.t;
        let step = &self.net.graph.steps[s];
        let total = self.w.takes(s);
        let first = self.st.begun[s] == NEVER;
        self.st.open.retain(|&x| x != s);
        for p in bits(people) {
            self.interrupt(p);
        }
        let (beside, beside_noisy) = self.beside(step.place, people);
        let gang = Gang { people, beside, beside_noisy, place: step.place, noisy: step.flags.noisy };
        let arrived = gang.after_minutes(self.net, self.w, t, trip).unwrap_or(NEVER);
        let piece = self.st.piece[s];
        let pickup = self.st.pickup[s];
        let left = (self.net.piece_end(s, total, piece) * 1000 - self.st.done[s]).max(0) + pickup * 1000;
        let day = t.div_euclid(crate::clock::DAY);
        if let Some(place) = step.place {
            let b = self.net.set.spots[place].base;
            for p in bits(people) {
                let old = self.st.base[p];
                let changes = if old.0 == day { old.2 + u32::from(trip > 0 && old.1 != b) } else { 0 };
                self.st.base[p] = (day, b, changes);
            }
            let air = self.net.set.spots[place].air;
            if first {
                self.st.in_place[place].push(s);
                if self.wets(s) {
                    self.st.wet[air].push(s);
                }
                if step.flags.dusty {
                    self.st.dusty[air].push(s);
                }
                if step.racks > 0 {
                    self.st.on_racks[place].push(s);
                }
                if step.flags.closes {
                    self.st.closer[place] = Some(s);
                }
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
            firm: NEVER,
            overtime: 0,
            trip,
            pickup,
            piece,
            after,
            expected: 0,
        };
        r.expected = self.expected_end(s, gang, trip);
        self.time_run(&mut r);
        self.st.running.push(r);
        self.helpers_moved(gang);
        if first {
            self.st.begun[s] = t;
            self.tell(s, true);
        }
    }

    /// The end of a run by what is left at `since`.
    fn time_run(&mut self, r: &mut Running) {
        let s = r.step;
        if self.net.graph.steps[s].flags.one_go {
            let (end, over) = r.gang.done_in_one_go(self.net, self.w, r.since, r.left).unwrap_or((NEVER, 0));
            r.end = end;
            r.overtime = over;
        } else {
            r.end = r.gang.done_at(self.net, self.w, r.since, r.left).unwrap_or(NEVER);
        }
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
    fn helpers_moved(&mut self, moved: Gang) {
        if moved.people & self.net.helpers == 0 || moved.place.is_none() {
            return;
        }
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
        self.book(&r, self.t);
        self.st.done[s] += r.done - r.pickup * 1000;
        self.st.pickup[s] = PICK_UP;
        self.helpers_moved(r.gang);
        self.st.enter(s);
    }

    /// Whether the step leaves something dust would spoil.
    pub(super) fn wets(&self, s: usize) -> bool {
        self.net.graph.steps[s].coat.is_some_and(|c| self.net.graph.products[c.product].wet_to_dust)
    }
}
