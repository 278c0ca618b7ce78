//! What the worker does for a job under way: days written up, and the days as they were planned.

use std::sync::Arc;

use super::Bench;
use crate::desk::Desk;
use crate::desk::evening::{Outlook, day_as_planned};
use crate::desk::write_up::{Said, written_up};
use crate::job::{Job, Problem};
use crate::search;
use crate::ui::shown::{Beside, Wanted};

/// The job of an answer as it is from the first day written up on: it keeps the order it is
/// worked by.
fn ordered(desk: &Desk) -> Job {
    let mut job = Job { as_of: None, ..desk.sound.job.clone() };
    if job.kept.is_none() {
        job.kept = Some(search::keep(&desk.sound.graph, &desk.sound.setting, &desk.found.plan.order, &job));
    }
    job
}

impl Bench {
    /// Writes days up in the job last answered.
    pub(super) fn written(&self, revision: u64, said: &Said) -> Result<Job, Vec<Problem>> {
        let current = self.last.as_ref().is_some_and(|l| l.revision == revision);
        let Some(desk) = self.desk.as_ref().filter(|_| current) else {
            let what = "the job cannot be planned as it stands";
            return Err(vec![Problem::new("log", what, "mend what is said above, then write the day up")]);
        };
        written_up(&ordered(desk), said)
    }
}

/// Days as the evening before had them, and the plan from the first day; false when stopped.
pub(super) fn beside(
    desk: &Desk,
    trials: usize,
    wanted: &Wanted,
    stop: &dyn Fn() -> bool,
    say: &dyn Fn(Beside),
) -> bool {
    if wanted.days.is_empty() && !wanted.first {
        return true;
    }
    let job = ordered(desk);
    for &day in &wanted.days {
        if let Ok((sheet, _)) = day_as_planned(&job, day) {
            say(Beside::Day(Arc::new(sheet)));
        }
        if stop() {
            return false;
        }
    }
    if wanted.first {
        let from = Job { log: Vec::new(), lost: Vec::new(), ..job };
        if let Ok(first) = Outlook::of(&from, None, trials) {
            say(Beside::First(Arc::new(first)));
        }
    }
    !stop()
}
