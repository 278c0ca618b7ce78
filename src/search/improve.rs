//! Search.

use crate::clock::At;
use crate::schedule::{Order, Plan, Setting, Stuck};
use crate::work::WorkGraph;

/// How far the plan is known to be the shortest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proven {
    /// It ends at the bound.
    ByBound,
    /// The whole plan space was tried.
    BySearch,
    No,
}

/// A plan with what is known of its length.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    pub plan: Plan,
    pub bound: At,
    pub proven: Proven,
    /// Working minutes of the crew between bound and finish over those from start to finish.
    pub gap: f64,
    /// Schedules built.
    pub schedules: usize,
}

/// Searches; or only dispatches `start` where `improve` is false.
///
/// # Errors
/// [`Stuck`] when no order can be carried out.
pub fn search(
    _graph: &WorkGraph,
    _set: &Setting,
    _start: Option<&Order>,
    _improve: bool,
    _cancel: &(dyn Fn() -> bool + Sync),
) -> Result<Found, Stuck> {
    Err(Stuck::TooMany)
}
