//! The days a material must be ordered by: to keep the plan, and to keep the odds of the date.
//!
//! It must be at hand when the first step of the plan begins that takes of it, or one of its room
//! before which it is carried in, milled or primed. A delivery of the job that this step waits for
//! brings it, with the delivery's lead; else the row's own lead counts. Ordered on a day it is
//! there on the morning so many business days later (Monday to Friday, holidays out).
//!
//! To keep the date: in at most the share of trials the job's confidence leaves does the step begin
//! before the material would be there. Deliveries that are late are late in the trials themselves.
//! Without trials the day for the plan stands for both, and that is said.

use chrono::{Datelike, NaiveDate, Weekday};

use super::used::InPlan;
use super::{BuyRow, Early};
use crate::clock::At;
use crate::job::Job;
use crate::schedule::Plan;
use crate::work::WorkGraph;

/// When something must be ordered.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OrderBy {
    /// The step it must be at hand for, and when that begins in the plan.
    pub step: Option<usize>,
    pub needed: Option<At>,
    /// Index of the delivery that brings it.
    pub delivery: Option<usize>,
    /// Business days.
    pub lead_days: f64,
    /// Last day to order that keeps the plan; before the first day of work it may be.
    pub plan: Option<NaiveDate>,
    /// Last day to order that keeps the date at the job's confidence.
    pub date: Option<NaiveDate>,
    /// Trials `date` comes from; 0 where it is the plan's.
    pub tried: usize,
    /// Ordered already, on this day.
    pub ordered: Option<NaiveDate>,
}

/// The business day so many business days before a day; of none the day itself, or the business
/// day before it.
pub fn business_days_before(job: &Job, day: NaiveDate, days: f64) -> NaiveDate {
    let open =
        |d: NaiveDate| !matches!(d.weekday(), Weekday::Sat | Weekday::Sun) && !job.calendar.holidays.contains(&d);
    let mut left = libm::ceil(days.clamp(0.0, 400.0) - 1e-9) as i64;
    let mut at = day;
    // A year of holidays in a row ends the search.
    for _ in 0..3_000 {
        if open(at) {
            if left <= 0 {
                break;
            }
            left -= 1;
        }
        let Some(before) = at.pred_opt() else { break };
        at = before;
    }
    at
}

/// Steps that must have the material at hand: those taking of it, and of their rooms those before
/// which it is carried in or worked.
fn needing(row: &BuyRow, there: &[InPlan]) -> Vec<usize> {
    let rooms: Vec<usize> =
        there.iter().filter(|p| row.steps.contains(&p.step)).filter_map(|p| Some(p.at?.0)).collect();
    let early = there
        .iter()
        .filter(|p| row.material_row.at_hand.contains(&p.row) && p.at.is_some_and(|(room, _)| rooms.contains(&room)));
    row.steps.iter().copied().chain(early.map(|p| p.step)).collect()
}

/// Order days of one row.
pub(super) fn order_by(
    job: &Job,
    graph: &WorkGraph,
    plan: &Plan,
    there: &[InPlan],
    row: &BuyRow,
    early: Early,
) -> OrderBy {
    let begins = |s: usize| plan.timed(s).map(|t| t.begin);
    let first = needing(row, there).into_iter().filter_map(|s| Some((begins(s)?, s))).min();
    let Some((needed, step)) = first else { return OrderBy::default() };
    let delivery = graph.links.iter().filter(|l| l.to == step).find_map(|l| {
        let at = graph.steps[l.from].origin.strip_prefix("deliveries[")?.strip_suffix(']')?;
        at.parse::<usize>().ok().filter(|i| *i < job.deliveries.len())
    });
    let brought = delivery.map(|i| &job.deliveries[i]);
    let lead_days = brought.map_or(row.material_row.lead_days, |d| d.lead_days);
    let at = early(step);
    let safe = at.map_or(needed, |(a, _)| if a.0 > 0 { a } else { needed });
    OrderBy {
        step: Some(step),
        needed: Some(needed),
        delivery,
        lead_days,
        plan: Some(business_days_before(job, job.date_of(needed.day()), lead_days)),
        date: Some(business_days_before(job, job.date_of(safe.day()), lead_days)),
        tried: at.map_or(0, |a| a.1),
        ordered: brought.and_then(|d| d.ordered),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn business_days_leave_weekends_and_holidays_out() {
        let day = |d: u32| NaiveDate::from_ymd_opt(2027, 3, d).expect("a day");
        let mut job = Job::default();
        // Thursday the 11th of March 2027, three business days before: Monday.
        assert_eq!(business_days_before(&job, day(11), 3.0), day(8));
        assert_eq!(business_days_before(&job, day(11), 2.5), day(8));
        // Monday the 8th: Friday is one, Wednesday three before.
        assert_eq!(business_days_before(&job, day(8), 3.0), day(3));
        // At hand for a Saturday: there on Friday, so ordered on Thursday.
        assert_eq!(business_days_before(&job, day(6), 1.0), day(4));
        job.calendar.holidays = vec![day(4)];
        assert_eq!(business_days_before(&job, day(8), 3.0), day(2));
        // No lead: the day itself; from a Sunday the Friday before.
        assert_eq!(business_days_before(&job, day(8), 0.0), day(8));
        assert_eq!(business_days_before(&job, day(7), 0.0), day(5));
    }
}
