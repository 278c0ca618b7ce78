//! Trials.

use super::answers::Forecast;
use crate::job::Job;
use crate::schedule::{Net, Order};

/// What to sample.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Rounded up to whole blocks of 500.
    pub trials: usize,
    pub seed: u64,
    /// Trials for the removal of causes; 0 = leave causes out.
    pub cause_trials: usize,
}

/// Samples the order.
///
/// # Errors
/// When the order cannot be carried out at all.
pub fn forecast(
    _job: &Job,
    _net: &Net,
    _order: &Order,
    _o: Options,
    _cancel: &(dyn Fn() -> bool + Sync),
) -> Result<Forecast, crate::schedule::Stuck> {
    Err(crate::schedule::Stuck::TooMany)
}
