//! What the panels draw: one whole answer, never parts of two.

use std::sync::Arc;

use super::session::WhatIf;
pub use crate::desk::Reached;
use crate::desk::Sound;
use crate::forecast::Forecast;
use crate::job::Problem;
use crate::search::Found;
use crate::views::{ForecastView, PlanView};

/// Plan and odds of one state of the job.
#[derive(Clone, Debug)]
pub struct Shown {
    /// Revision of the session's job this is the answer of.
    pub revision: u64,
    pub reached: Reached,
    pub sound: Arc<Sound>,
    pub found: Arc<Found>,
    pub plan: Arc<PlanView>,
    /// `None` while not a single block is out.
    pub forecast: Option<Arc<Forecast>>,
    /// The forecast read at the job's confidence.
    pub odds: Option<ForecastView>,
}

/// The answer to a question: the same figures with and without, from the same trials.
#[derive(Clone, Debug)]
pub struct Answer {
    pub revision: u64,
    pub question: WhatIf,
    /// The job as it is, cut to as many trials; the job as asked, or what stands against it.
    pub with: Result<(Arc<Shown>, Arc<Shown>), Vec<Problem>>,
}
