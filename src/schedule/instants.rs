//! Which instant comes next: ends, wakes, shifts; those at which nobody could do anything are
//! passed over.

use std::cmp::Reverse;

use super::dispatch::Dispatch;
use super::flat::{NONE, flag};
use super::hours::on;
use super::state::NEVER;
use super::{Gang, World, bits};
use crate::clock::DAY;

impl<W: World> Dispatch<'_, '_, W> {
    /// The next instant where every hand is at work that may not be set down, so that nothing
    /// can begin at this one: the next end or wake. `None` where more is to be looked at.
    pub(super) fn while_all_are_at_work(&mut self) -> Option<i64> {
        let st = &mut *self.st;
        if st.running.len() != self.net.set.workers.len() || !self.net.flat.plain {
            return None;
        }
        if st.always > 0 || !st.gates.is_empty() || st.running.iter().any(|r| self.p.has(r.step, flag::SET_DOWN)) {
            return None;
        }
        while st.wakes.peek().is_some_and(|r| r.0 <= self.t) {
            st.wakes.pop();
        }
        let wake = st.wakes.peek().map_or(NEVER, |r| r.0);
        let t = st.running.iter().fold(wake, |t, r| t.min(r.end));
        if t >= NEVER {
            return None;
        }
        self.bring_forward(t);
        Some(t)
    }

    /// Next instant after now at which anything may change; steps ready by then come forward.
    pub(super) fn next(&mut self) -> Option<i64> {
        while self.st.wakes.peek().is_some_and(|r| r.0 <= self.t) {
            self.st.wakes.pop();
        }
        let mut t = self.st.wakes.peek().map_or(NEVER, |r| r.0);
        for r in &self.st.running {
            t = t.min(r.end);
        }
        let quiet = self.quiet_until();
        if self.net.flat.plain && self.st.always == 0 && self.st.gates.is_empty() {
            return self.next_for_hands(t, quiet);
        }
        // Somebody comes on shift while something waits for hands.
        let waits = self.st.front.iter().any(|&s| self.st.ready[s as usize] <= self.t);
        if waits || !self.st.running.is_empty() {
            if quiet > 0 && self.st.gates.is_empty() && !self.net.flat.ends_bound {
                // Who comes on shift before goes on with what he is at.
                t = t.min(quiet);
            } else {
                for p in 0..self.net.set.workers.len() {
                    t = t.min(self.next_on(p));
                }
            }
            // The house opens again or noise hours begin: hours of a place, not of a person.
            if waits && self.net.set.noise.is_some() {
                t = t.min(self.next_noisy());
            }
        }
        if let Some(&Reverse((at, _))) = self.st.looks.peek() {
            t = t.min(at.max(quiet));
        }
        if t >= NEVER {
            return None;
        }
        self.bring_forward(t);
        Some(t)
    }

    /// Steps that are ready by `t` come forward.
    pub(super) fn bring_forward(&mut self, t: i64) {
        while let Some(&Reverse((at, s))) = self.st.looks.peek() {
            if at > t {
                break;
            }
            self.st.looks.pop();
            self.come_forward(s, t);
        }
    }

    /// A step of `later` that is ready by `t` may begin from then on.
    fn come_forward(&mut self, s: u32, t: i64) -> bool {
        if s == NONE || self.st.ready[s as usize] > t {
            return false;
        }
        let Some(i) = self.st.later.iter().position(|&o| o == s) else { return false };
        self.st.later.swap_remove(i);
        self.st.move_to_front(self.p, s as usize);
        true
    }

    /// [`Dispatch::next`] of a plain net while hands alone matter: `t` is the next end or wake.
    /// Until then nothing begins but what is more urgent than the work of somebody who may do
    /// it, so an instant at which nothing such is ready, or nobody such comes, is passed over.
    fn next_for_hands(&mut self, mut t: i64, quiet: i64) -> Option<i64> {
        self.st.finds.clear();
        for p in 0..self.net.set.workers.len() {
            let rank = match self.st.running.iter().find(|r| r.gang.people >> p & 1 == 1) {
                None => NONE,
                Some(r) if self.p.has(r.step, flag::SET_DOWN) => self.p.rank[r.step],
                Some(_) => 0,
            };
            self.st.finds.push(rank);
        }
        let first = self.st.front.iter().map(|&s| s as usize).find(|&s| self.wanted(s));
        if let Some(first) = first {
            for p in 0..self.net.set.workers.len() {
                if self.p.rank[first] < self.st.finds[p] {
                    t = t.min(self.next_on(p));
                }
            }
            if self.net.set.noise.is_some() {
                t = t.min(self.next_noisy());
            }
            if let Some(&Reverse((at, _))) = self.st.looks.peek() {
                t = t.min(at.max(quiet));
            }
        }
        while let Some(&Reverse((at, s))) = self.st.looks.peek() {
            if at > t {
                break;
            }
            self.st.looks.pop();
            if self.come_forward(s, at) && first.is_none() && self.wanted(s as usize) {
                t = t.min(at.max(quiet));
            }
        }
        (t < NEVER).then_some(t)
    }

    /// Whether somebody may do the step who is idle or at something less urgent.
    fn wanted(&self, s: usize) -> bool {
        let rank = self.p.rank[s];
        bits(self.p.who[s]).any(|p| rank < self.st.finds[p])
    }

    /// First minute after now at which a worker comes on shift.
    #[inline]
    pub(super) fn next_on(&mut self, p: usize) -> i64 {
        if self.st.next_on[p] <= self.t {
            let on = Gang::one(p, None, false).next_on(self.net, self.w, self.t);
            self.st.next_on[p] = on.unwrap_or(NEVER);
        }
        self.st.next_on[p]
    }

    fn next_noisy(&mut self) -> i64 {
        let mut t = NEVER;
        for i in 0..self.st.front.len() {
            let s = self.st.front[i] as usize;
            if self.p.has(s, flag::NOISY) && self.st.ready[s] <= self.t {
                for p in bits(self.net.who[s]) {
                    let g = Gang::one(p, self.net.graph.steps[s].place, true);
                    t = t.min(g.next_on(self.net, self.w, self.t).unwrap_or(NEVER));
                }
            }
        }
        t
    }

    /// Before then nobody is to be had for anything: all are off shift, or at what may not be
    /// set down.
    fn quiet_until(&mut self) -> i64 {
        if self.st.always > 0 {
            return 0;
        }
        let day = self.t.div_euclid(DAY);
        let mut until = NEVER;
        for p in 0..self.net.set.workers.len() {
            let free = match self.st.running.iter().find(|r| r.gang.people >> p & 1 == 1) {
                Some(r) if !self.p.has(r.step, flag::SET_DOWN) => r.end,
                _ if on(self.w.shift(self.net.set, p, day), self.t - day * DAY) => return 0,
                _ => self.next_on(p),
            };
            until = until.min(free);
        }
        until
    }

    pub(super) fn wake(&mut self, at: i64) {
        if at > self.t && at < NEVER {
            self.st.wakes.push(Reverse(at));
        }
    }

    /// Nothing lets a step begin before `at`: looked at again then.
    pub(super) fn sleep(&mut self, s: usize, at: i64) {
        self.st.sleeps[s] = at;
        self.wake_for(s, at);
    }

    /// Looks again at `at` for the sake of a step; said once.
    pub(super) fn wake_for(&mut self, s: usize, at: i64) {
        if at > self.t && at < NEVER && self.st.woke[s] != at {
            self.st.woke[s] = at;
            if self.p.labor(s) {
                self.st.looks.push(Reverse((at, NONE)));
            } else {
                self.st.wakes.push(Reverse(at));
            }
        }
    }
}
