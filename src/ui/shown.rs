//! What the panels draw: one whole answer, never parts of two.

use std::sync::Arc;

use super::session::WhatIf;
pub use crate::desk::Reached;
use crate::desk::Sound;
use crate::forecast::Forecast;
use crate::job::Problem;
use crate::search::Found;
use crate::views::{ForecastView, PlanView, Reading, ShownDays};

/// Plan and odds of one state of the job.
#[derive(Clone, Debug)]
pub struct Shown {
    /// Revision of the session's job this is the answer of.
    pub revision: u64,
    pub reached: Reached,
    pub sound: Arc<Sound>,
    pub found: Arc<Found>,
    pub plan: Arc<PlanView>,
    /// What can wait is known already (in `plan`).
    pub with_float: bool,
    pub forecast: Arc<Forecast>,
    /// The forecast read at the job's confidence.
    pub odds: ForecastView,
    /// The days shown, steadied while few trials are out.
    pub days: ShownDays,
}

impl Shown {
    pub fn confidence(&self) -> f64 {
        self.odds.confidence
    }

    /// As the strip reads it.
    pub fn reading(&self) -> Reading<'_> {
        Reading { sound: &self.sound, forecast: &self.forecast, odds: &self.odds, days: self.days }
    }
}

/// The answer to a question: the same figures with and without, from the same trials.
#[derive(Clone, Debug)]
pub struct Answer {
    pub revision: u64,
    pub question: WhatIf,
    /// The job as it is, cut to as many trials; the job as asked, or what stands against it.
    pub with: Result<(Arc<Shown>, Arc<Shown>), Vec<Problem>>,
}
