//! An independent judge of plans: is this order of work with these dates possible?
//!
//! It recounts working and drying minutes from the raw tables (`recount`) and checks needs,
//! crew, shifts, pieces, gates and holds here, air, closed places, racks, pools and trips in
//! `places`. It shares no code with dispatch, reads no priority out of the order, and does
//! not ask whether a plan is good, only whether it can be done.
//!
//! Everything is at expected hours: typical labor, the place's air, nobody missing.
//! Reservations and the patience of holds are not judged beyond what must be true of any
//! plan (`docs/methods.md`).

mod places;
mod recount;
mod rules;

use crate::clock::DAY;
use crate::schedule::{Plan, Run, Setting, Timed};
use crate::work::{Kind, Role, Step, WorkGraph};
use recount::{Span, Where};

/// Something in a plan that cannot be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The step it shows at, if one.
    pub step: Option<usize>,
    pub kind: FaultKind,
    pub what: String,
}

/// What sort of impossibility.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaultKind {
    /// The data contradict themselves: indices, order, begin and runs that do not agree.
    Shape,
    /// A step of the work is not in the plan.
    Missing,
    /// A step in the plan that is no part of the work.
    Stray,
    /// Labor and minutes do not match.
    Labor,
    /// Begun or ended at a minute somebody is off.
    Shift,
    /// A piece in one go across a long pause.
    Fit,
    /// Begun with too little left of the shift.
    LateStart,
    /// Left in the middle though it may not be set down.
    SetDown,
    /// Too few, too many or the wrong people.
    Crew,
    /// A person in two places at once.
    Busy,
    /// A need not met.
    Need,
    /// Begun outside its window.
    Window,
    /// Begun before its earliest date.
    Earliest,
    /// Begun in air too humid for it.
    Humidity,
    /// A product put on in air in which it does not dry.
    Air,
    /// A gate that does not last as long as it lasts.
    Gate,
    /// A stage not reached when the plan says.
    Drying,
    /// Dust on a wet coat.
    Dust,
    /// Somebody else's step in a closed place.
    Closed,
    /// More racks held than there are.
    Racks,
    /// More taken of a pool than it holds.
    Pools,
    /// A trip missing, too many trips, a trip across a long pause.
    Trip,
    /// Begun against a hold.
    Hold,
    /// Recoat window passed without scuff-sanding, or scuff-sanded without need.
    Recoat,
    /// Work after hours, which no plan has.
    Overtime,
    /// The finish is not the end of the last labor.
    Finish,
}

/// A plan opened up for checking.
struct Judge<'a> {
    graph: &'a WorkGraph,
    setting: &'a Setting,
    plan: &'a Plan,
    /// Part of the work under the plan's methods, with its dates.
    timed: Vec<Option<&'a Timed>>,
    /// Runs of each step in order of begin.
    runs: Vec<Vec<&'a Run>>,
    /// Wet skim coats by air: step and the minutes it damps.
    damp: Vec<Vec<(usize, Span)>>,
    faults: Vec<Fault>,
}

/// `day 3 13:05`, day 0 being the job's first.
fn clock_face(t: i64) -> String {
    format!("day {} {}:{:02}", t.div_euclid(DAY), t.rem_euclid(DAY) / 60, t.rem_euclid(60))
}

/// All that is impossible in a plan; empty for a plan that can be done. What has happened is
/// not judged.
pub fn verify(graph: &WorkGraph, setting: &Setting, plan: &Plan) -> Vec<Fault> {
    let faults = misfits(graph, setting, plan);
    if !faults.is_empty() {
        return faults;
    }
    let mut judge = Judge::open(graph, setting, plan);
    judge.presence();
    for step in 0..graph.steps.len() {
        if let Some(t) = judge.timed[step] {
            judge.labor_and_gates(step, t);
            judge.begin_rules(step, t);
            judge.coat(step, t);
        }
    }
    judge.needs();
    judge.holds();
    judge.recoat();
    judge.people();
    judge.air();
    judge.closed();
    judge.racks();
    judge.pools();
    judge.finish();
    let mut faults = judge.faults;
    if let Some(facts) = setting.standing.as_deref() {
        // Facts are exempt: the rules bind what begins from now on.
        let begun = |s: usize| plan.timed(s).is_some_and(|t| t.begin < facts.as_of);
        faults.retain(|f| !f.step.is_some_and(begun));
    }
    faults
}

/// Contradictions that would make the other checks meaningless.
fn misfits(graph: &WorkGraph, setting: &Setting, plan: &Plan) -> Vec<Fault> {
    let mut out = Vec::new();
    let mut say = |step: Option<usize>, what: String| out.push(Fault { step, kind: FaultKind::Shape, what });
    let n = graph.steps.len();
    let order = &plan.order;
    if order.methods.len() != graph.choices.len()
        || order.methods.iter().zip(&graph.choices).any(|(&m, c)| m >= c.options.len().max(1))
    {
        say(None, "the plan's methods do not fit the choices of the work".into());
    } else {
        for (m, c) in order.methods.iter().zip(&graph.choices) {
            if c.fixed.is_some_and(|f| f != *m) {
                say(None, format!("{} is fixed by the job and planned otherwise", c.id));
            }
        }
        let mut listed = vec![0; n];
        order.order.iter().for_each(|&s| {
            if s < n {
                listed[s] += 1
            }
        });
        let there = (0..n).map(|s| i32::from(WorkGraph::holds(&graph.steps[s].when, &order.methods)));
        if !order.order.iter().all(|&s| s < n) || !listed.into_iter().eq(there) {
            say(None, "the order does not list every step of these methods once".into());
        }
    }
    if order.people.len() != n {
        say(None, "the plan's people do not fit the steps".into());
    }
    for t in &plan.steps {
        if t.step >= n || t.begin > t.end || t.begin.0 < 0 {
            say(Some(t.step), format!("step {} has no sound dates", t.step));
        }
    }
    for r in &plan.runs {
        let known = r.step < n && r.people.iter().all(|&p| p < setting.workers.len());
        let distinct = r.people.iter().enumerate().all(|(i, p)| !r.people[..i].contains(p));
        if !known || !distinct || r.people.is_empty() || r.from >= r.to || r.from.0 < 0 {
            say(Some(r.step), format!("a run of step {} is not sound", r.step));
        } else if r.labor_milli < 0 || r.trip_min < 0 || r.pickup_min < 0 || r.overtime_min < 0 {
            say(Some(r.step), format!("a run of step {} has negative minutes", r.step));
        }
    }
    if !plan.runs.is_sorted_by_key(|r| (r.from, r.step)) || !plan.steps.is_sorted_by_key(|t| (t.begin, t.step)) {
        say(None, "runs or steps are not in order of begin".into());
    }
    out
}

impl Judge<'_> {
    /// Labor minutes a step is planned with: typical, or by the pace so far.
    fn expected(&self, i: usize) -> i64 {
        let facts = self.setting.standing.as_deref().filter(|_| matches!(self.step(i).kind, Kind::Labor));
        facts.and_then(|f| f.expected.get(i)).copied().unwrap_or_else(|| self.step(i).labor.typical())
    }

    /// When the last labor of a step was done; its end where nobody worked on it.
    fn laid(&self, t: &Timed) -> i64 {
        self.runs[t.step].last().map_or(t.end.0, |r| r.to.0)
    }
}

impl<'a> Judge<'a> {
    fn open(graph: &'a WorkGraph, setting: &'a Setting, plan: &'a Plan) -> Judge<'a> {
        let n = graph.steps.len();
        let mut timed = vec![None; n];
        plan.steps.iter().for_each(|t| timed[t.step] = Some(t));
        let mut runs: Vec<Vec<&Run>> = vec![Vec::new(); n];
        plan.runs.iter().for_each(|r| runs[r.step].push(r));
        let mut damp = vec![Vec::new(); setting.airs];
        for t in &plan.steps {
            let s = &graph.steps[t.step];
            if let (Some(c), Some(p)) = (s.coat, s.place)
                && graph.products[c.product].damps_room
            {
                // From its last labor, also where a link holds its end open.
                let laid = runs[t.step].last().map_or(t.end.0, |r| r.to.0);
                if setting.spots[p].fan_from.is_none_or(|f| laid < f) {
                    damp[setting.spots[p].air].push((t.step, (laid, laid + crate::schedule::DAMP)));
                }
            }
        }
        Judge { graph, setting, plan, timed, runs, damp, faults: Vec::new() }
    }

    fn say(&mut self, step: usize, kind: FaultKind, what: String) {
        let what = format!("{}: {what}", self.graph.steps[step].id);
        self.faults.push(Fault { step: Some(step), kind, what });
    }

    fn step(&self, i: usize) -> &'a Step {
        &self.graph.steps[i]
    }

    fn at(&self, i: usize) -> Where {
        Where { place: self.step(i).place, noisy: self.step(i).flags.noisy }
    }

    /// Whether hands work on a step.
    fn worked(&self, i: usize) -> bool {
        matches!(self.step(i).kind, Kind::Labor) && self.step(i).labor.typical() > 0
    }

    /// The minutes in which other steps' wet skim coats damp the air a step dries in.
    fn damp_for(&self, i: usize) -> Vec<Span> {
        match self.step(i).place {
            Some(p) if !self.setting.spots[p].fan => {
                self.damp[self.setting.spots[p].air].iter().filter(|d| d.0 != i).map(|d| d.1).collect()
            }
            _ => Vec::new(),
        }
    }

    /// Every step of the work once, nothing else.
    fn presence(&mut self) {
        for (i, s) in self.graph.steps.iter().enumerate() {
            let here = WorkGraph::holds(&s.when, &self.plan.order.methods);
            let times = self.plan.steps.iter().filter(|t| t.step == i).count();
            if times > 1 {
                self.say(i, FaultKind::Shape, "is dated twice".into());
            }
            match (here && s.role.planned(), times > 0) {
                (true, false) => self.say(i, FaultKind::Missing, "is not in the plan".into()),
                (false, true) if !here || !matches!(s.role, Role::Scuff { .. }) => {
                    self.say(i, FaultKind::Stray, "is no part of the planned work".into())
                }
                (_, false) if !self.runs[i].is_empty() => {
                    self.say(i, FaultKind::Shape, "is worked on without dates".into())
                }
                _ => {}
            }
        }
    }

    fn finish(&mut self) {
        let last = self.plan.runs.iter().map(|r| r.to).max();
        let last = last.or_else(|| self.plan.steps.iter().map(|t| t.end).max()).unwrap_or_default();
        if self.plan.finish != last {
            let what = format!(
                "the finish is given as {}, the last labor ends {}",
                clock_face(self.plan.finish.0),
                clock_face(last.0)
            );
            self.faults.push(Fault { step: None, kind: FaultKind::Finish, what });
        }
    }
}
