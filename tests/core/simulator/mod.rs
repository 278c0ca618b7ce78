//! A plain simulator of the start rules, minute by minute between instants at which
//! something may change: the oracle's and the verification tests' own. It knows no
//! priorities: at every instant it lists what could start, and its caller chooses.
//!
//! *Strict* keeps every rule; *prudent* that of too little left of the shift; otherwise the
//! rules of prudence (that one, a second change of place) are waived, so that no plan is missed.
//!
//! One file because it is a whole second program, kept from sharing code with the first.

mod time;

use roomback::clock::{Clock, DAY, UNIT};
use roomback::schedule::{DAMP, HELPED, LEAST_LEFT, LONG_PAUSE, PICK_UP, Setting};
use roomback::trade::Stage;
use roomback::work::{Ask, Kind, Link, Role, WorkGraph};

pub const NEVER: i64 = i64::MAX / 4;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Status {
    Waiting,
    /// A run or a gate under way.
    Active,
    /// Set down, or between two pieces.
    Paused,
    Done,
}

#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct StepState {
    pub status: Status,
    pub begin: i64,
    pub end: i64,
    /// End of its last labor; its end may be held open after it.
    pub laid: i64,
    /// Thousandths of labor left of the piece, or of the step.
    pub left: i64,
    pub piece: usize,
    people: u8,
    run_from: i64,
    trip: i64,
    trip_left: i64,
    done: i64,
    pickup: i64,
    ready: [i64; 7],
}

#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct State {
    pub t: i64,
    pub steps: Vec<StepState>,
    /// Place, day and changes of place that day of each person.
    seen: Vec<(Option<usize>, i64, i64)>,
}

/// One thing that may be started.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Start {
    pub step: usize,
    pub people: u8,
    /// Somebody drops a step for it.
    pub drops: bool,
}

pub struct Simulator<'a> {
    pub graph: &'a WorkGraph,
    pub setting: &'a Setting,
    pub methods: Vec<usize>,
    pub strict: bool,
    prudent: bool,
    present: Vec<bool>,
    pub into: Vec<Vec<&'a Link>>,
    scuff_of: Vec<Option<usize>>,
    /// Labor of each piece, thousandths.
    pieces: Vec<Vec<i64>>,
    /// Minutes of the day at which something of the calendar may change.
    edges: Vec<i64>,
}

fn members(mask: u8) -> impl Iterator<Item = usize> {
    (0..8).filter(move |w| mask >> w & 1 == 1)
}

impl<'a> Simulator<'a> {
    pub fn new(graph: &'a WorkGraph, setting: &'a Setting, methods: Vec<usize>, strict: bool) -> Simulator<'a> {
        let n = graph.steps.len();
        let there = |s: usize| {
            WorkGraph::holds(&graph.steps[s].when, &methods)
                && (graph.steps[s].role.planned() || matches!(graph.steps[s].role, Role::Scuff { .. }))
        };
        let present: Vec<bool> = (0..n).map(there).collect();
        let mut into: Vec<Vec<&Link>> = vec![Vec::new(); n];
        for l in &graph.links {
            let planned = |s: usize| present[s] && graph.steps[s].role.planned();
            if WorkGraph::holds(&l.when, &methods) && planned(l.from) && present[l.to] {
                into[l.to].push(l);
            }
        }
        let mut scuff_of = vec![None; n];
        for (x, s) in graph.steps.iter().enumerate() {
            if let Role::Scuff { of } = s.role
                && present[x]
            {
                scuff_of[of] = Some(x);
            }
        }
        let pieces = graph.steps.iter().map(|s| {
            let total = s.labor.typical();
            let (mut sum, mut cut) = (0.0, 0);
            let mut out: Vec<i64> = Vec::new();
            for (k, share) in s.pieces.iter().enumerate() {
                sum += share;
                let to = if k + 1 == s.pieces.len() { total } else { (sum * total as f64).round() as i64 };
                out.push((to - cut) * 1000);
                cut = to;
            }
            out
        });
        let pieces = pieces.collect();
        let mut edges = vec![0];
        for s in &setting.spots {
            edges.extend([s.week.hours.0, s.week.hours.1]);
        }
        for s in &graph.steps {
            edges.extend(s.windows.iter().flat_map(|w| [w.from, w.to]));
        }
        edges.extend(setting.noise.iter().flat_map(|n| [n.0, n.1]));
        edges.retain(|e| (0..DAY).contains(e));
        edges.sort_unstable();
        edges.dedup();
        Simulator { graph, setting, methods, strict, prudent: strict, present, into, scuff_of, pieces, edges }
    }

    /// The same, keeping the rule of too little left of the shift.
    pub fn prudent(self) -> Simulator<'a> {
        Simulator { prudent: true, ..self }
    }

    pub fn start(&self) -> State {
        let blank = |s: usize| StepState {
            status: Status::Waiting,
            begin: 0,
            end: NEVER,
            laid: NEVER,
            left: self.pieces[s][0],
            piece: 0,
            people: 0,
            run_from: 0,
            trip: 0,
            trip_left: 0,
            done: 0,
            pickup: 0,
            ready: [NEVER; 7],
        };
        let steps = (0..self.graph.steps.len()).map(blank).collect();
        State { t: 0, steps, seen: vec![(None, -1, 0); self.setting.workers.len()] }
    }

    pub fn planned(&self, i: usize) -> bool {
        self.present[i] && self.graph.steps[i].role.planned()
    }

    pub fn worked(&self, i: usize) -> bool {
        matches!(self.graph.steps[i].kind, Kind::Labor) && self.graph.steps[i].labor.typical() > 0
    }

    pub fn finished(&self, s: &State) -> bool {
        (0..s.steps.len()).all(|i| !self.planned(i) || s.steps[i].status == Status::Done)
    }

    /// Labor still to do in thousandths, later pieces included.
    pub fn remaining(&self, s: &State, i: usize) -> i64 {
        let x = &s.steps[i];
        match x.status {
            Status::Done => 0,
            _ => x.left + self.pieces[i][x.piece + 1..].iter().sum::<i64>(),
        }
    }

    fn on(&self, mask: u8, i: usize, t: i64) -> bool {
        let s = &self.graph.steps[i];
        let (day, m) = (t.div_euclid(DAY), t.rem_euclid(DAY) as i32);
        members(mask)
            .all(|w| self.setting.hours(w, s.place, s.flags.noisy, day).stretches().iter().any(|x| x.0 <= m && m < x.1))
    }

    /// Joint minutes from a worked `t` until a pause of more than an hour.
    fn left_today(&self, mask: u8, i: usize, t: i64) -> i64 {
        let s = &self.graph.steps[i];
        let (mut sum, mut last) = (0, t);
        for day in t.div_euclid(DAY)..t.div_euclid(DAY) + 3 {
            let joint = members(mask)
                .map(|w| self.setting.hours(w, s.place, s.flags.noisy, day))
                .reduce(|a, b| a.and(&b))
                .unwrap_or_default();
            for &(a, b) in joint.stretches() {
                let (a, b) = ((day * DAY + i64::from(a)).max(t), day * DAY + i64::from(b));
                if b <= t {
                    continue;
                }
                if a - last > LONG_PAUSE {
                    return sum;
                }
                sum += b - a;
                last = b;
            }
        }
        sum
    }

    fn rate(&self, s: &State, mask: u8, i: usize, t: i64) -> i64 {
        let place = self.graph.steps[i].place;
        members(mask)
            .map(|w| {
                let helped = members(mask).any(|h| h != w && self.setting.workers[h].helper && place.is_some())
                    || (0..s.steps.len()).any(|j| {
                        let x = &s.steps[j];
                        j != i
                            && x.status == Status::Active
                            && place.is_some()
                            && self.graph.steps[j].place == place
                            && members(x.people)
                                .any(|h| h != w && self.setting.workers[h].helper && self.on(1 << h, j, t))
                    });
                let r = self.setting.workers[w].rate;
                if helped { r * HELPED / 1000 } else { r }
            })
            .sum()
    }

    fn stage_hours(&self, i: usize, stage: Stage) -> Option<f64> {
        let s = &self.graph.steps[i];
        s.place?;
        self.graph.products[s.coat?.product].hours.hours(stage)
    }

    /// Recounts the stages of a finished coat with the skim coats known to be wet.
    fn dry(&self, s: &mut State, i: usize) {
        let step = &self.graph.steps[i];
        let (Some(coat), Some(place)) = (step.coat, step.place) else { return };
        let spot = &self.setting.spots[place];
        let mut damp: Vec<(i64, i64)> = Vec::new();
        for (j, o) in self.graph.steps.iter().enumerate() {
            if let (Some(c), Some(p)) = (o.coat, o.place)
                && j != i
                && spot.damped(s.steps[j].laid)
                && self.setting.spots[p].air == spot.air
                && self.graph.products[c.product].damps_room
                && s.steps[j].laid < NEVER
            {
                damp.push((s.steps[j].laid, s.steps[j].laid + DAMP));
            }
        }
        let clocks = self.setting.dry(coat.product, place).expect("compiled");
        for stage in Stage::ALL {
            let Some(hours) = self.stage_hours(i, stage) else { continue };
            let mut left = ((hours * 60.0 * coat.thick).round() as i64).max(1) * UNIT;
            let mut t = s.steps[i].laid;
            s.steps[i].ready[stage as usize] = loop {
                let wet = damp.iter().any(|d| d.0 <= t && t < d.1);
                let until = damp.iter().flat_map(|d| [d.0, d.1]).filter(|&e| e > t).min();
                let clock: &Clock = if wet { clocks.damp(stage) } else { clocks.of(stage) };
                match (clock.reach(t, left), until) {
                    (Ok(u), Some(e)) if u > e => (),
                    (Ok(u), _) => break u,
                    (Err(_), None) => break NEVER,
                    (Err(_), Some(_)) => (),
                }
                let e = until.expect("only with a change ahead");
                left -= clock.progress(t, e);
                t = e;
            };
        }
    }

    /// When dust no longer harms a coat and its place opens.
    fn free(&self, s: &State, i: usize) -> i64 {
        match s.steps[i].status {
            Status::Waiting => 0,
            _ if self.stage_hours(i, Stage::DustFree).is_some() => s.steps[i].ready[Stage::DustFree as usize],
            _ => s.steps[i].laid,
        }
    }

    fn handled(&self, s: &State, i: usize) -> i64 {
        match s.steps[i].status {
            Status::Waiting => 0,
            _ if self.stage_hours(i, Stage::Handle).is_some() => s.steps[i].ready[Stage::Handle as usize],
            _ => s.steps[i].laid,
        }
    }

    fn settled(&self, s: &State, i: usize) -> i64 {
        match (s.steps[i].status, self.graph.steps[i].place) {
            (Status::Waiting, _) => 0,
            (_, Some(p)) if s.steps[i].laid < NEVER => s.steps[i].laid + self.setting.spots[p].settle,
            _ => NEVER,
        }
    }

    /// When a link to a begin lets go, as far as is known.
    fn released(&self, s: &State, l: &Link) -> i64 {
        let a = &s.steps[l.from];
        let x = match l.ask {
            Ask::Begun => {
                if a.status == Status::Waiting {
                    NEVER
                } else {
                    a.begin
                }
            }
            Ask::Dry(stage) if self.stage_hours(l.from, stage).is_some() => a.ready[stage as usize],
            Ask::Done | Ask::Dry(_) => a.end,
            Ask::EndAfterEnd | Ask::EndAfterBegin => 0,
        };
        if x >= NEVER || x == 0 && matches!(l.ask, Ask::EndAfterEnd | Ask::EndAfterBegin) { x } else { x + l.lag }
    }

    /// When a link to an end lets go; `NEVER` while its step has not come so far.
    fn end_released(&self, s: &State, l: &Link) -> i64 {
        let a = &s.steps[l.from];
        match l.ask {
            Ask::EndAfterEnd if a.status == Status::Done => a.end + l.lag,
            Ask::EndAfterBegin if a.status != Status::Waiting => a.begin + l.lag,
            Ask::EndAfterEnd | Ask::EndAfterBegin => NEVER,
            _ => 0,
        }
    }

    /// Whether a recoat window into `i` has passed by now.
    fn passed(&self, s: &State, i: usize) -> bool {
        self.into[i].iter().any(|l| {
            let (Some(h), Some(c), Some(p)) =
                (l.longest_h, self.graph.steps[l.from].coat, self.graph.steps[l.from].place)
            else {
                return false;
            };
            let stage = if let Ask::Dry(x) = l.ask { x } else { Stage::Recoat };
            let clock = self.setting.dry(c.product, p).expect("compiled").of(stage);
            s.steps[l.from].status == Status::Done
                && clock.progress(s.steps[l.from].laid, s.t) > (h * 60.0).round() as i64 * UNIT
        })
    }

    /// Whether everything but people lets `i` begin or go on now.
    fn may_begin(&self, s: &State, i: usize) -> bool {
        let (x, step, t) = (&s.steps[i], &self.graph.steps[i], s.t);
        if x.status == Status::Paused {
            return true;
        }
        if x.status != Status::Waiting || !self.present[i] || self.into[i].iter().any(|l| self.released(s, l) > t) {
            return false;
        }
        if let Role::Scuff { of } = step.role {
            let due = s.steps[of].status == Status::Waiting
                && self.passed(s, of)
                && self.into[of].iter().all(|l| self.released(s, l) <= t);
            if !due {
                return false;
            }
        }
        if let Some(x) = self.scuff_of[i]
            && s.steps[x].status != Status::Done
            && (s.steps[x].status != Status::Waiting || self.passed(s, i))
        {
            return false;
        }
        let weekday = (self.setting.first_weekday + t.div_euclid(DAY)).rem_euclid(7) as usize;
        let m = t.rem_euclid(DAY);
        let open = step.windows.is_empty()
            || step
                .windows
                .iter()
                .any(|w| w.from <= m && m < w.to && w.day.map_or(w.days[weekday], |d| d == t.div_euclid(DAY)));
        if !open || step.earliest.is_some_and(|e| e.0 > t) {
            return false;
        }
        let Some(place) = step.place else { return true };
        let spot = &self.setting.spots[place];
        let air = spot.week.at(t.div_euclid(DAY), weekday, m);
        let wet = step.coat.is_some_and(|c| self.graph.products[c.product].wet_to_dust);
        if step.rh_below.is_some_and(|h| air.rh() >= h)
            || step.coat.is_some_and(|c| !self.graph.products[c.product].dries_in(air))
        {
            return false;
        }
        // Gates rest in a place without filling it.
        if !self.worked(i) {
            return true;
        }
        let mut racks = i64::from(step.racks);
        for (j, o) in self.graph.steps.iter().enumerate() {
            let Some(p) = o.place else { continue };
            if j == i || s.steps[j].status == Status::Waiting || !self.worked(j) {
                continue;
            }
            let unfinished = s.steps[j].laid >= NEVER;
            if p == place && (step.flags.closes && unfinished || o.flags.closes && self.free(s, j) > t) {
                return false;
            }
            if self.setting.spots[p].air == spot.air {
                let open = o.coat.is_some_and(|c| self.graph.products[c.product].wet_to_dust);
                if step.flags.dusty && open && self.free(s, j) > t || wet && o.flags.dusty && self.settled(s, j) > t {
                    return false;
                }
            }
            if p == place && o.racks > 0 && self.handled(s, j) > t {
                racks += i64::from(o.racks);
            }
        }
        step.racks == 0 || spot.racks.is_none_or(|r| racks <= i64::from(r))
    }

    /// Trip minutes of a person to a place, and whether it would be a second change today.
    fn trip(&self, s: &State, w: usize, place: Option<usize>) -> (i64, bool) {
        match (s.seen[w], place) {
            ((Some(from), day, changes), Some(to)) if day == s.t.div_euclid(DAY) => {
                let trip = self.setting.trip(from, to);
                (trip, trip > 0 && (changes > 0 || self.setting.workers[w].stays(day)))
            }
            _ => (0, false),
        }
    }

    /// Whether these people may begin `i` now, who are on shift and free for it.
    fn fits(&self, s: &State, i: usize, mask: u8) -> bool {
        let (x, step) = (&s.steps[i], &self.graph.steps[i]);
        let mut trip = 0;
        for w in members(mask) {
            let (minutes, second) = self.trip(s, w, step.place);
            trip = trip.max(minutes);
            if second && self.strict {
                return false;
            }
        }
        let there = self.left_today(mask, i, s.t);
        let mut rate = self.rate(s, mask, i, s.t);
        if self.strict && self.setting.workers.iter().any(|w| w.helper) {
            rate = members(mask).map(|w| self.setting.workers[w].rate * HELPED / 1000).sum();
        }
        if trip >= there {
            return false;
        }
        let pickup = if x.status == Status::Paused && !step.flags.one_go { PICK_UP * 1000 } else { 0 };
        let need = trip + (x.left + pickup + rate - 1) / rate;
        if step.flags.one_go && need > there {
            return false;
        }
        let least = LEAST_LEFT.max(if x.status == Status::Waiting { step.setup_min } else { 0 });
        !self.prudent || there > least || need <= there
    }

    /// Everything that could be started at this instant.
    pub fn options(&self, s: &State) -> Vec<Start> {
        let mut out = Vec::new();
        let busy: Vec<Option<usize>> = (0..self.setting.workers.len())
            .map(|w| {
                (0..s.steps.len()).find(|&j| s.steps[j].status == Status::Active && s.steps[j].people >> w & 1 == 1)
            })
            .collect();
        for i in 0..s.steps.len() {
            if matches!(s.steps[i].status, Status::Done | Status::Active) || !self.may_begin(s, i) {
                continue;
            }
            if !self.worked(i) {
                out.push(Start { step: i, people: 0, drops: false });
                continue;
            }
            let crew = &self.graph.steps[i].crew;
            for mask in 1u8..1 << self.setting.workers.len() {
                let n = mask.count_ones() as usize;
                let allowed = n >= crew.fewest.max(1)
                    && n <= crew.most.max(crew.fewest).max(1)
                    && members(mask).all(|w| {
                        crew.who.contains(&w)
                            && busy[w].is_none_or(|j| {
                                self.graph.steps[j].flags.set_down && s.steps[j].run_from < s.t && s.steps[j].done > 0
                            })
                    });
                if allowed && self.on(mask, i, s.t) && self.fits(s, i, mask) {
                    let drops = members(mask).any(|w| busy[w].is_some());
                    out.push(Start { step: i, people: mask, drops });
                }
            }
        }
        out
    }
}
