//! A dispatch that begins in the middle: what was written up happens first, as it happened.
//!
//! Facts are played in order of time through the same bookkeeping as any dispatch, without its
//! start rules; gates nobody's hands are needed for run beside them. Then the rules bind what
//! begins from the instant the facts are known at. A gate nothing was written of has come if it
//! was due; one due later takes what the world says.

use super::dispatch::Dispatch;
use super::flat::{NONE, flag};
use super::state::NEVER;
use super::{PICK_UP, RunLog, World, bits};
use crate::clock::{At, DAY, UNIT};
use crate::standing::Standing;
use crate::work::Kind;

/// What happens to a step at an instant, in the order it is taken up.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Event {
    Ends,
    Begins,
    /// Ends at the minute it began.
    Was,
}

impl<W: World> Dispatch<'_, '_, W> {
    /// Plays the facts; afterwards it is the instant they are known at.
    pub(super) fn replay(&mut self, facts: &Standing) {
        let events = self.events(facts);
        self.history(facts);
        let mut next = 0;
        loop {
            self.settle_waiting();
            while let Some(&(at, event, s)) = events.get(next).filter(|e| e.0 <= self.t) {
                debug_assert!(at <= self.t);
                next += 1;
                match event {
                    Event::Begins => self.had_begun(s),
                    Event::Ends | Event::Was => self.had_ended(s, facts.steps[s].spent_milli),
                }
            }
            self.fire_gates();
            while self.st.wakes.peek().is_some_and(|r| r.0 <= self.t) {
                self.st.wakes.pop();
            }
            let gate = self.st.wakes.peek().map_or(NEVER, |r| r.0);
            let fact = events.get(next).map_or(NEVER, |e| e.0);
            let t = gate.min(fact);
            if t >= facts.as_of.0 {
                break;
            }
            self.t = t;
        }
        self.t = facts.as_of.0;
        for s in 0..facts.steps.len() {
            if self.st.active[s] && facts.steps[s].open() && self.p.labor(s) {
                self.goes_on(s, facts.steps[s].spent_milli);
            }
        }
        self.bring_forward(self.t);
    }

    /// Begins and ends of labor before now, in order.
    fn events(&mut self, facts: &Standing) -> Vec<(i64, Event, usize)> {
        let mut out = Vec::new();
        for (s, x) in facts.steps.iter().enumerate() {
            let Some(begun) = x.begun.filter(|_| self.net.present[s] && self.p.labor(s)) else { continue };
            if !self.st.active[s] {
                // Redo, a find or a scuff-sand that turned out to be needed.
                self.st.active[s] = true;
                self.st.left += 1;
                for e in self.net.flat.edges(s) {
                    self.st.unmet[e.to as usize] += e.count;
                }
            }
            out.push((begun.0, Event::Begins, s));
            if let Some(end) = x.ended {
                out.push((end.0, if end == begun { Event::Was } else { Event::Ends }, s));
            }
        }
        out.sort_unstable();
        out
    }

    /// The stretches of work that were done, and where everybody was last.
    fn history(&mut self, facts: &Standing) {
        for x in facts.past.iter().filter(|x| self.st.active[x.step]) {
            let s = x.step;
            let last = std::mem::replace(&mut self.st.last_run[s], self.st.runs.len() as u32);
            let after = bits(x.people).find_map(|p| self.st.last_step[p]).map(|l| l.0).filter(|&l| l != s);
            self.st.runs.push(RunLog {
                step: s,
                from: x.from.0,
                to: x.to.0,
                people: x.people,
                piece: 0,
                trip: 0,
                overtime: 0,
                labor_milli: x.labor_milli,
                pickup: 0,
                after,
                earlier: (last != NONE).then_some(last),
            });
            for p in bits(x.people) {
                self.st.last_step[p] = Some((s, x.to.0));
                if let Some(place) = self.net.graph.steps[s].place {
                    self.st.base[p] = ((x.to.0 - 1).div_euclid(DAY), self.net.set.spots[place].base, 0);
                }
            }
        }
    }

    fn fire_gates(&mut self) {
        'scan: loop {
            for i in 0..self.st.gates.len() {
                let s = self.st.gates[i] as usize;
                if self.gate_may(s) {
                    self.fire(s);
                    continue 'scan;
                }
            }
            return;
        }
    }

    fn had_begun(&mut self, s: usize) {
        self.st.leave(self.p, s);
        self.st.unmet[s] = 0;
        self.st.begun[s] = self.t;
        self.occupy(s);
        self.tell(s, true);
    }

    fn had_ended(&mut self, s: usize, spent_milli: i64) {
        self.laid(s);
        self.st.done[s] = spent_milli;
        self.st.labor_min += (spent_milli + 500) / 1000;
        self.end_step(s);
    }

    /// A step begun before now: what is left of it may be gone on with at once.
    fn goes_on(&mut self, s: usize, spent_milli: i64) {
        let total = self.w.takes(s);
        self.st.done[s] = spent_milli;
        let over = |k: usize| self.net.piece_end(s, total, k) * 1000 <= spent_milli;
        let last = self.net.piece_count(s) - 1;
        self.st.piece[s] = (0..last).find(|&k| !over(k)).unwrap_or(last) as u32;
        // Whoever left it last and did nothing else since need not find his way in again.
        let with_it = (0..self.st.last_step.len()).filter(|&p| self.st.last_step[p].is_some_and(|l| l.0 == s));
        let mut people = with_it.fold(0u32, |m, p| m | 1 << p);
        if people != 0 && self.left_behind(s, people) {
            people = 0;
        }
        self.st.pickup[s] = if self.p.has(s, flag::SET_DOWN) && people == 0 { PICK_UP } else { 0 };
        self.st.unmet[s] = 0;
        self.st.ready[s] = self.t;
        self.enter(s);
        // The work in hand at the close of the day is the work in hand in the morning.
        let hands = self.net.graph.steps[s].crew.fewest.max(1);
        if !self.net.graph.steps[s].flags.one_go && people.count_ones() as usize >= hands && self.clock_may(s) {
            let base = self.st.base.clone();
            self.begin(s, people, 0, Some(s));
            // Where the day begins is where he first works on it.
            self.st.base = base;
        }
    }

    /// When a gate begun now ends by what is known of it; `None` where the world says.
    pub(super) fn known_end(&self, s: usize) -> Option<i64> {
        let facts = self.net.set.standing.as_deref()?;
        let x = &facts.steps[s];
        if let Some(At(end)) = x.ended {
            return Some(end.max(self.t));
        }
        let (kind, typical) = (self.net.graph.steps[s].kind, self.net.typical[s]);
        let more = (self.w.takes(s) - typical).max(0);
        let business = |from: i64, minutes: i64| self.net.set.business.reach(from, minutes * UNIT).unwrap_or(NEVER);
        if let Some(At(end)) = x.coming {
            let late = if matches!(kind, Kind::Business { .. }) { business(end, more) } else { end + more };
            return Some(late.max(facts.as_of.0).max(self.t));
        }
        let due = match kind {
            Kind::Business { .. } => business(self.t, typical),
            Kind::Decision { at, .. } => at.0,
            Kind::Labor | Kind::Elapsed(_) => return None,
        };
        (due < facts.as_of.0).then_some(due.max(self.t))
    }
}
