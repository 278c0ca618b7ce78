//! What the worker does for a job under way: days written up, and the days as they were planned.

use std::sync::Arc;

use super::Bench;
use crate::desk::evening::{Outlook, day_as_planned};
use crate::desk::underway::untouched;
use crate::desk::ways_back::{Asked, Effort, ways_back};
use crate::desk::write_up::{Said, written_up_telling};
use crate::desk::{ASKED, Cancel, Desk};
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
    pub(super) fn written(
        &self,
        revision: u64,
        said: &Said,
        tell: &mut dyn FnMut(usize, usize),
    ) -> Result<Job, Vec<Problem>> {
        let current = self.last.as_ref().is_some_and(|l| l.revision == revision);
        let Some(desk) = self.desk.as_ref().filter(|_| current) else {
            let what = "the job cannot be planned as it stands";
            return Err(vec![Problem::new("log", what, "mend what is said above, then write the day up")]);
        };
        written_up_telling(&ordered(desk), said, tell)
    }
}

/// Days as the evening before had them, and the plan from the first day; false when stopped.
pub(super) fn beside(desk: &Desk, trials: usize, wanted: &Wanted, stop: Cancel, say: &dyn Fn(Beside)) -> bool {
    if wanted.days.is_empty() && !wanted.first && !wanted.ways {
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
    if wanted.first
        && let Ok(first) = Outlook::of(&untouched(&job), None, trials)
    {
        say(Beside::First(Arc::new(first)));
    }
    if wanted.ways && !stop() {
        // Who wants few trials wants few ways.
        let effort = match trials < ASKED {
            true => Effort { schedules: 40, first: trials, second: 24, trials, most: 24, closer: 4 },
            false => Effort::default(),
        };
        let asked = Asked { effort, budget: None };
        let job = Job { as_of: desk.sound.job.as_of, ..job };
        // A job that cannot be planned says so elsewhere.
        let _ = ways_back(&job, &asked, stop, &mut |a| say(Beside::Ways(Arc::new(a.clone()))));
    }
    !stop()
}
