//! Options of a job, each worked out by the whole chain: its own order, its own odds.

use std::sync::Arc;

use super::chain::sample;
use super::{Cancel, Desk, Reached, judge, stuck};
use crate::forecast::columns::Columns;
use crate::job::{Job, Problem, with_option};

/// The job an option stands for, nothing else beside it.
pub fn option_job(job: &Job, at: usize) -> Job {
    Job { options: Vec::new(), ..with_option(job, at) }
}

/// Plan and odds of a job from so many trials; nothing where it was stopped.
///
/// # Errors
/// Everything that stands against a plan.
pub fn worked_out(job: &Job, trials: usize, cancel: Cancel) -> Result<Option<Desk>, Vec<Problem>> {
    let sound = Arc::new(judge(job)?);
    let fail = |e| vec![stuck(&sound, &e)];
    let found = sound.plan_until(false, cancel).map_err(fail)?;
    if found.unfinished {
        return Ok(None);
    }
    let forecast = sample(&Columns::default(), &sound, &found, None, trials, 0, cancel).map_err(fail)?;
    let whole = forecast.trials >= trials;
    let desk = Desk { sound, found: Arc::new(found), forecast: Arc::new(forecast), reached: Reached::Odds };
    Ok(whole.then_some(desk))
}
