//! How the simulator's time goes on: begins, ends, the next instant, and the plan at last.

use roomback::clock::{At, DAY, UNIT};
use roomback::schedule::{LONG_PAUSE, Order, PICK_UP, Plan, Run, Timed};
use roomback::trade::Stage;
use roomback::work::{Kind, WorkGraph};

use super::{NEVER, Simulator, Start, State, Status, members};

impl Simulator<'_> {
    fn close_run(&self, s: &mut State, i: usize, runs: &mut Vec<Run>) {
        let x = &mut s.steps[i];
        runs.push(Run {
            step: i,
            from: At(x.run_from),
            to: At(s.t),
            people: members(x.people).collect(),
            piece: x.piece,
            trip_min: x.trip,
            overtime_min: 0,
            labor_milli: x.done,
            pickup_min: x.pickup,
        });
        x.people = 0;
    }

    /// Starts what was chosen; ended runs are added to `runs`.
    pub fn begin(&self, s: &mut State, start: Start, runs: &mut Vec<Run>) {
        let (i, t) = (start.step, s.t);
        for j in 0..s.steps.len() {
            if s.steps[j].status == Status::Active && s.steps[j].people & start.people != 0 {
                self.close_run(s, j, runs);
                s.steps[j].status = Status::Paused;
            }
        }
        let place = self.graph.steps[i].place;
        let mut trip = 0;
        for w in members(start.people) {
            trip = trip.max(self.trip(s, w, place).0);
        }
        for w in members(start.people) {
            let own = self.trip(s, w, place).0;
            if let Some(p) = place {
                let (day, same) = (t.div_euclid(DAY), s.seen[w].1 == t.div_euclid(DAY));
                s.seen[w] = (Some(p), day, if same { s.seen[w].2 + i64::from(own > 0) } else { 0 });
            }
        }
        let one_go = self.graph.steps[i].flags.one_go;
        let gate_end = self.gate_end(i, t);
        let x = &mut s.steps[i];
        x.pickup = if x.status == Status::Paused && !one_go { PICK_UP } else { 0 };
        x.left += x.pickup * 1000;
        if x.status == Status::Waiting {
            x.begin = t;
        }
        (x.status, x.people, x.run_from, x.trip, x.trip_left, x.done) =
            (Status::Active, start.people, t, trip, trip, 0);
        if !self.worked(i) {
            x.left = gate_end;
        }
        self.settle(s, runs);
    }

    /// Earliest end of a gate begun at `t`, links to its end apart.
    fn gate_end(&self, i: usize, t: i64) -> i64 {
        match &self.graph.steps[i].kind {
            Kind::Labor => t,
            Kind::Elapsed(d) => t + d.typical(),
            Kind::Business { minutes, .. } => self.setting.business.reach(t, minutes * UNIT).unwrap_or(NEVER),
            Kind::Decision { at, .. } => at.0.max(t),
        }
    }

    /// Ends whatever ends at this instant. A link to its end may hold a step open, its hands
    /// gone.
    fn settle(&self, s: &mut State, runs: &mut Vec<Run>) {
        loop {
            let mut ended = None;
            for i in 0..s.steps.len() {
                let x = &s.steps[i];
                let over = if self.worked(i) { x.left <= 0 } else { x.left <= s.t };
                let laid = x.laid < NEVER;
                let held = || self.into[i].iter().any(|l| self.end_released(s, l) > s.t);
                if x.status == Status::Active && over && !(laid && held()) {
                    ended = Some(i);
                    break;
                }
            }
            let Some(i) = ended else { return };
            if self.worked(i) && s.steps[i].laid >= NEVER {
                let people = s.steps[i].people;
                self.close_run(s, i, runs);
                if s.steps[i].piece + 1 < self.pieces[i].len() {
                    let x = &mut s.steps[i];
                    x.piece += 1;
                    (x.left, x.status) = (self.pieces[i][x.piece], Status::Paused);
                    // The same hands go on where the next piece fits.
                    if self.on(people, i, s.t) && self.fits(s, i, people) {
                        let x = &mut s.steps[i];
                        (x.status, x.people, x.run_from) = (Status::Active, people, s.t);
                        (x.trip, x.trip_left, x.done, x.pickup) = (0, 0, 0, 0);
                    }
                    continue;
                }
            }
            if s.steps[i].laid >= NEVER {
                s.steps[i].laid = s.t;
                let damps = self.graph.steps[i].coat.is_some_and(|c| self.graph.products[c.product].damps_room);
                for j in 0..s.steps.len() {
                    if s.steps[j].laid < NEVER && (j == i || damps) {
                        self.dry(s, j);
                    }
                }
                continue;
            }
            (s.steps[i].status, s.steps[i].end) = (Status::Done, s.t);
        }
    }

    /// First minute after now at which anything may change.
    fn next(&self, s: &State) -> i64 {
        let t = s.t;
        let day = t.div_euclid(DAY);
        let mut next = (day + 1) * DAY;
        let mut at = |u: i64| {
            if u > t {
                next = next.min(u);
            }
        };
        self.edges.iter().for_each(|e| at(day * DAY + e));
        for w in &self.setting.workers {
            w.shifts.day(day).stretches().iter().for_each(|x| {
                at(day * DAY + i64::from(x.0));
                at(day * DAY + i64::from(x.1));
            });
        }
        for i in 0..s.steps.len() {
            let x = &s.steps[i];
            match x.status {
                Status::Active if self.worked(i) => {
                    if x.trip_left > 0 {
                        at(t + x.trip_left);
                    } else {
                        let r = self.rate(s, x.people, i, t).max(1);
                        at(t + (x.left + r - 1) / r);
                    }
                }
                Status::Active => at(x.left),
                Status::Done => {}
                Status::Waiting => {
                    self.graph.steps[i].earliest.into_iter().for_each(|e| at(e.0));
                }
                Status::Paused => {}
            }
            if x.laid < NEVER {
                [self.free(s, i), self.handled(s, i), self.settled(s, i)].into_iter().for_each(&mut at);
            }
            if x.status != Status::Done {
                for l in &self.into[i] {
                    at(self.released(s, l));
                    at(self.end_released(s, l));
                }
            }
        }
        next
    }

    /// On to the next instant; `false` when this branch breaks a rule.
    pub fn advance(&self, s: &mut State, runs: &mut Vec<Run>) -> bool {
        let next = self.next(s);
        let dt = next - s.t;
        let rates: Vec<i64> = (0..s.steps.len())
            .map(|i| {
                let x = &s.steps[i];
                let works = x.status == Status::Active && self.worked(i) && self.on(x.people, i, s.t);
                if works { self.rate(s, x.people, i, s.t) } else { 0 }
            })
            .collect();
        for i in 0..s.steps.len() {
            if rates[i] == 0 {
                continue;
            }
            let x = &mut s.steps[i];
            if x.trip_left > 0 {
                x.trip_left -= dt;
            } else {
                let did = (rates[i] * dt).min(x.left);
                x.left -= did;
                x.done += did;
            }
            for w in members(x.people) {
                let day = s.t.div_euclid(DAY);
                if s.seen[w].1 != day && self.graph.steps[i].place.is_some() {
                    s.seen[w] = (self.graph.steps[i].place, day, 0);
                }
            }
        }
        s.t = next;
        self.settle(s, runs);
        // A piece in one go may not be caught by a long pause.
        (0..s.steps.len()).all(|i| {
            let x = &s.steps[i];
            x.status != Status::Active
                || !self.graph.steps[i].flags.one_go
                || !self.worked(i)
                || self.on(x.people, i, s.t)
                || (1..=LONG_PAUSE).any(|m| self.on(x.people, i, s.t + m))
        })
    }

    /// End of the last labor.
    pub fn finish(&self, s: &State, runs: &[Run]) -> i64 {
        let last = runs.iter().map(|r| r.to.0).max();
        let ends = (0..s.steps.len()).filter(|&i| s.steps[i].status == Status::Done).map(|i| s.steps[i].end);
        last.or(ends.max()).unwrap_or(0)
    }

    /// The finished state as a plan.
    pub fn plan(&self, s: &State, mut runs: Vec<Run>) -> Plan {
        let mut steps: Vec<Timed> = (0..s.steps.len())
            .filter(|&i| s.steps[i].status == Status::Done)
            .map(|i| Timed {
                step: i,
                begin: At(s.steps[i].begin),
                end: At(s.steps[i].end),
                ready: Stage::ALL
                    .into_iter()
                    .filter(|&x| s.steps[i].ready[x as usize] < NEVER)
                    .map(|x| (x, At(s.steps[i].ready[x as usize])))
                    .collect(),
                labor_min: self.graph.steps[i].labor.typical(),
            })
            .collect();
        let finish = At(self.finish(s, &runs));
        runs.sort_by_key(|r| (r.from, r.step));
        steps.sort_by_key(|t| (t.begin, t.step));
        let mut order: Vec<usize> = steps.iter().map(|t| t.step).collect();
        let here = |i: usize| WorkGraph::holds(&self.graph.steps[i].when, &self.methods);
        order.extend((0..s.steps.len()).filter(|&i| here(i) && s.steps[i].status != Status::Done));
        let people = vec![None; s.steps.len()];
        let order = Order { order, methods: self.methods.clone(), people, holds: Vec::new() };
        Plan { order, runs, steps, finish }
    }
}
