//! A plan as data: one order of work with its dates.

use crate::clock::At;
use crate::trade::Stage;

/// A hold resolved to steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlanHold {
    pub step: usize,
    pub until: HoldUntil,
    /// Planned wait, working minutes; `None` = the user's own, never lapses.
    pub wait: Option<i64>,
}

/// What a hold waits for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HoldUntil {
    Begun(usize),
    Done(usize),
    At(At),
}

/// What the search decides: order, methods, people, holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Order {
    /// Every step present under `methods`, first to last; gates and unplanned steps too.
    pub order: Vec<usize>,
    /// One option per choice.
    pub methods: Vec<usize>,
    /// Per step of the graph: the people the plan allows; `None` = all eligible.
    pub people: Vec<Option<Vec<usize>>>,
    pub holds: Vec<PlanHold>,
}

/// A stretch in which the same hands stay with a step; off-time inside it is not worked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    pub step: usize,
    pub from: At,
    /// Exclusive.
    pub to: At,
    pub people: Vec<usize>,
    /// Which piece (0 for steps not done by piece).
    pub piece: usize,
    /// Minutes at its head spent on a trip, working minutes of each of `people`.
    pub trip_min: i64,
    /// Minutes at its tail worked after hours (a one-go piece that ran long).
    pub overtime_min: i64,
    /// Labor done in it, thousandths of a labor minute.
    pub labor_milli: i64,
    /// Minutes of labor spent picking the step up again, part of `labor_milli`.
    pub pickup_min: i64,
}

/// A step with its dates.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Timed {
    pub step: usize,
    pub begin: At,
    pub end: At,
    /// When its coat reaches each stage it has.
    pub ready: Vec<(Stage, At)>,
    /// Labor minutes it was planned with.
    pub labor_min: i64,
}

/// One order of work with its dates. Steps not planned (redo, surprises, scuff-sands not
/// needed) are absent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    pub order: Order,
    /// In order of begin, then of step.
    pub runs: Vec<Run>,
    /// In order of begin, then of step.
    pub steps: Vec<Timed>,
    /// End of the last labor (of the last step where nothing has labor).
    pub finish: At,
}

impl Plan {
    /// Dates of a step, if it is planned.
    pub fn timed(&self, step: usize) -> Option<&Timed> {
        self.steps.iter().find(|t| t.step == step)
    }
}
