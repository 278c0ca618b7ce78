//! Where each step and coat stands at an instant.
//!
//! A job not yet begun stands at its start: nothing begun, nothing wet, every clock at its
//! first minute. A log in the job file is kept but not read into the standing.

use crate::clock::At;
use crate::work::WorkGraph;

/// What is known of the work at an instant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// Rules bind what begins from here on.
    pub as_of: At,
    /// Per step of the graph, whether it has begun.
    pub begun: Vec<bool>,
}

impl Standing {
    /// The start of the job.
    pub fn start(graph: &WorkGraph) -> Standing {
        Standing { as_of: At(0), begun: vec![false; graph.steps.len()] }
    }
}
