//! What the panels draw: one whole answer, never parts of two.

use std::sync::Arc;

use super::session::WhatIf;
use crate::desk::Sound;
use crate::forecast::Forecast;
use crate::job::Problem;
use crate::search::Found;
use crate::views::{ForecastView, PlanView};

/// How far an answer has got.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reached {
    /// The order of the edit before, 500 trials: first odds.
    First,
    /// The final order, with so many trials of 10,000.
    Trials(usize),
    /// All trials; what is eating the date is still being counted.
    Odds,
    /// Nothing more to come.
    Rest,
}

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
