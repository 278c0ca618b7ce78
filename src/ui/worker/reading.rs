//! A desk as the panels read it, and what its file would be found wrong for.

use std::sync::Arc;

use crate::desk::{Desk, Reached, Sound, open};
use crate::job::{Job, Problem};
use crate::jobfile;
use crate::trade::tables;
use crate::ui::shown::Shown;
use crate::views::{ForecastView, PlanView, ShownDays};

/// What a file of this job would be found wrong for by its own text; none where it reads back sound.
pub(super) fn unfit(job: &Job) -> Vec<Problem> {
    let text = jobfile::write(job);
    match jobfile::read(&text, tables()) {
        Ok(read) if read.problems.is_empty() => Vec::new(),
        _ => open(&text).map(|o| o.read.problems).unwrap_or_default(),
    }
}

/// Whether a plan reads the same for two jobs: they differ in the client's day, in how safe a promise must
/// be, in the price and in what the client sees, at most.
fn reads_alike(a: &Arc<Sound>, b: &Arc<Sound>) -> bool {
    let (is, was) = (&a.job, &b.job);
    Arc::ptr_eq(a, b)
        || Job {
            target: was.target,
            confidence: was.confidence,
            promises: was.promises.clone(),
            price: was.price.clone(),
            quotes: was.quotes.clone(),
            client_page: was.client_page.clone(),
            letterhead: was.letterhead.clone(),
            ..is.clone()
        } == *was
}

/// A desk as the panels read it; the plan's view is taken from before where the plan is.
pub(super) fn shown(revision: u64, desk: &Desk, before: Option<&Shown>) -> Shown {
    let quick = desk.reached < Reached::Odds;
    let same = before
        .filter(|b| Arc::ptr_eq(&b.found, &desk.found) && reads_alike(&b.sound, &desk.sound))
        .filter(|b| quick || b.with_float);
    let plan = same.map_or_else(
        || {
            let (sound, found) = (&desk.sound, &desk.found);
            Arc::new(if quick { PlanView::without_float(sound, found) } else { PlanView::new(sound, found) })
        },
        |b| b.plan.clone(),
    );
    let confidence = desk.sound.job.confidence;
    // A question's answer is steadied by the job's own days, and only by those of its size.
    let days = ShownDays::new(
        &desk.forecast,
        confidence,
        desk.reached >= Reached::Odds,
        before.filter(|b| b.sound.job.start == desk.sound.job.start && b.confidence() == confidence).map(|b| b.days),
    );
    Shown {
        revision,
        reached: desk.reached,
        odds: ForecastView::new(&desk.sound, &desk.forecast, confidence),
        sound: desk.sound.clone(),
        found: desk.found.clone(),
        forecast: desk.forecast.clone(),
        with_float: same.map_or(!quick, |b| b.with_float),
        plan,
        days,
    }
}
