//! Job to work graph.

use super::WorkGraph;
use crate::job::{Job, Problem};

/// Builds the graph, or says everything that stands against it.
///
/// # Errors
/// All problems found, each at its field path.
pub fn build(_job: &Job) -> Result<WorkGraph, Vec<Problem>> {
    Ok(WorkGraph::default())
}
