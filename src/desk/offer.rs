//! A better order than the one a job keeps: searched beside it, offered, never taken by itself.
//!
//! Worth offering from half a working hour of the crew up; of the moves that make it better
//! those are left out that win nothing.

use super::chain::dispatched;
use super::{Cancel, Sound};
use crate::clock::UNIT;
use crate::forecast::world::crew_clock;
use crate::schedule::{Order, Plan, Stuck};
use crate::search::{Found, Proven, gap};

/// Working minutes sooner from which an order is offered.
pub const WORTH: i64 = 30;

/// What a search beside a kept order came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Searched {
    /// An order worth offering.
    pub better: Option<Found>,
    /// Orders tried.
    pub tried: usize,
    /// What is known now of how short the kept order is.
    pub kept: Found,
    /// Stopped before its budget was spent.
    pub unfinished: bool,
}

/// Searches on from the order a job keeps; `kept` is that order with its dates.
///
/// # Errors
/// When no order can be carried out.
pub fn search_beside(sound: &Sound, kept: &Found, cancel: Cancel) -> Result<Searched, Stuck> {
    let found = sound.plan_until(true, cancel)?;
    let (tried, unfinished) = (found.schedules, found.unfinished);
    let (clock, _) = crew_clock(&sound.setting);
    let sooner = clock.progress(found.plan.finish.0, kept.plan.finish.0) / UNIT;
    if found.plan.finish < kept.plan.finish && sooner >= WORTH {
        let better = fewest_moves(sound, kept, found);
        return Ok(Searched { better: Some(better), tried, kept: kept.clone(), unfinished });
    }
    let mut known = kept.clone();
    known.bound = known.bound.max(found.bound);
    if found.plan.finish >= kept.plan.finish {
        known.proven = found.proven;
    }
    known.gap = gap(&sound.setting, known.bound, known.plan.finish);
    Ok(Searched { better: None, tried, kept: known, unfinished })
}

/// Steps that begin at another time.
pub fn moves(kept: &Plan, other: &Plan) -> usize {
    other.steps.iter().filter(|t| kept.timed(t.step).is_none_or(|k| k.begin != t.begin)).count()
}

/// The better order with each step put back behind the one it follows in the kept order, where
/// that ends no later and moves fewer steps.
fn fewest_moves(sound: &Sound, kept: &Found, better: Found) -> Found {
    let latest = better.plan.finish;
    let mut best = better;
    let mut least = moves(&kept.plan, &best.plan);
    for (i, &s) in kept.plan.order.order.iter().enumerate() {
        let order = &best.plan.order;
        let Some(at) = order.order.iter().position(|&x| x == s) else { continue };
        let mut steps = order.order.clone();
        steps.remove(at);
        let before = kept.plan.order.order[..i].iter().rev().find_map(|b| steps.iter().position(|x| x == b));
        steps.insert(before.map_or(0, |b| b + 1), s);
        if steps == order.order {
            continue;
        }
        let tried = dispatched(sound, &Order { order: steps, ..order.clone() });
        if let Ok(f) = tried
            && f.plan.finish <= latest
        {
            let n = moves(&kept.plan, &f.plan);
            if n < least {
                least = n;
                let proven = if f.plan.finish == latest { best.proven } else { Proven::No };
                best = Found { plan: f.plan, proven, ..best };
            }
        }
    }
    best.gap = gap(&sound.setting, best.bound, best.plan.finish);
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::judge;
    use crate::search::keep;

    #[test]
    fn only_what_is_worth_half_an_hour_is_offered_and_nothing_moves_for_nothing() {
        let sound =
            crate::desk::open(include_str!("../../sample-jobs/study.ron")).expect("a job").sound.expect("sound");
        let best = sound.plan(false).expect("a plan");
        let kept_as = |order: &Order| {
            let mut job = sound.job.clone();
            job.kept = Some(keep(&sound.graph, &sound.setting, order, &job));
            let sound = judge(&job).expect("sound");
            let found = sound.plan(false).expect("a plan");
            (sound, found)
        };
        let (same, found) = kept_as(&best.plan.order);
        let none = search_beside(&same, &found, &|| false).expect("searched");
        assert!(none.better.is_none() && none.tried > 0 && none.kept.plan == found.plan);
        // The order turned round is days later.
        let mut turned = best.plan.order.clone();
        turned.order.reverse();
        let (worse, found) = kept_as(&turned);
        assert!(found.plan.finish.0 > best.plan.finish.0 + 24 * 60);
        let searched = search_beside(&worse, &found, &|| false).expect("searched");
        let better = searched.better.expect("an offer");
        assert!(better.plan.finish.0 + WORTH <= found.plan.finish.0);
        let plain = worse.plan(true).expect("a plan");
        assert!(better.plan.finish <= plain.plan.finish);
        assert!(moves(&found.plan, &better.plan) <= moves(&found.plan, &plain.plan));
        assert_eq!(moves(&found.plan, &found.plan), 0);
    }

    #[test]
    fn the_order_of_every_sample_reads_back_to_its_plan() {
        for text in [
            include_str!("../../sample-jobs/powder.ron"),
            include_str!("../../sample-jobs/nursery.ron"),
            include_str!("../../sample-jobs/hall.ron"),
        ] {
            let sound = crate::desk::open(text).expect("a job").sound.expect("sound");
            let found = sound.plan(false).expect("a plan");
            let mut job = sound.job.clone();
            job.kept = Some(keep(&sound.graph, &sound.setting, &found.plan.order, &job));
            let again = judge(&job).expect("sound").plan(false).expect("a plan");
            let names = |p: &Plan| {
                p.steps.iter().map(|t| (t.begin.0, sound.graph.steps[t.step].id.clone())).collect::<Vec<_>>()
            };
            let differ: Vec<_> =
                names(&found.plan).into_iter().zip(names(&again.plan)).filter(|(a, b)| a != b).take(6).collect();
            assert!(differ.is_empty(), "{}: {differ:?}", job.name);
        }
    }
}
