//! What holds the date: the chain of reasons from the last finish back to the start.

use super::{Net, Plan};
use crate::clock::At;
use crate::trade::Stage;

/// What held a begin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// A coat had to reach a stage.
    Drying(Stage),
    /// An earlier step had to be done (or begun).
    Done,
    /// The place was closed, dusty, wet or its racks were full.
    Place,
    /// The hands were at another step.
    Hands,
    /// A delivery, a laboratory or somebody else's visit.
    Delivery,
    /// The client's decision.
    Decision,
    /// A hold.
    Hold,
    /// Closed hours, a window or the day before which it may not begin.
    Clock,
}

/// What held the begin of a run, and since when it was free of all else.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Held {
    pub reason: Reason,
    /// The earlier step, if there is one.
    pub by: Option<usize>,
    /// When that constraint was released.
    pub released: At,
}

/// A stretch of what holds the date: the step that fills it and the reason it began then.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretch {
    pub step: usize,
    /// Begin of the run.
    pub from: At,
    pub to: At,
    pub held: Held,
}

/// The stretches, first to last.
pub fn chalk(_net: &Net, _plan: &Plan) -> Vec<Stretch> {
    Vec::new()
}

/// What held the begin of each step of the plan, by index of the graph.
pub fn held(_net: &Net, _plan: &Plan) -> Vec<Option<Held>> {
    Vec::new()
}
