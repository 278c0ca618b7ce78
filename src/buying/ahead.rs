//! What of a plan still takes material: its steps not begun, and work to be done again.
//!
//! What a step takes is at hand when it begins, so a step begun takes nothing more; of batches those not begun count, by
//! their share of the hours. Of stock that is carried in, milled or primed before (`at_hand` of its row) what is there is
//! there once that is begun in its room; a delivery the step waits for has brought its stock and its coats when it came,
//! never nails, tape or caulk. Work done again takes its share of the material anew, whatever was bought before.

use super::used::{InPlan, in_plan};
use crate::job::Job;
use crate::schedule::Plan;
use crate::standing::Standing;
use crate::trade::{Cut, Material};
use crate::work::WorkGraph;

/// What has come before the step that takes it.
pub struct Come<'a> {
    job: &'a Job,
    graph: &'a WorkGraph,
    facts: &'a Standing,
    there: Vec<InPlan>,
}

impl Come<'_> {
    /// Whether what a row of the plan takes of a material is there.
    pub fn has(&self, m: &Material, p: &InPlan) -> bool {
        let early: Vec<&InPlan> = match p.at {
            Some((room, _)) => {
                let here = |x: &&InPlan| x.at.is_some_and(|a| a.0 == room);
                self.there.iter().filter(here).filter(|x| m.at_hand.contains(&x.row)).collect()
            }
            None => Vec::new(),
        };
        let begun = |s: usize| self.facts.steps[s].begun.is_some();
        if early.iter().any(|x| begun(x.step)) {
            return true;
        }
        if m.cut == Cut::None && p.product.is_none_or(|c| !m.products.contains(&self.graph.products[c].id)) {
            return false;
        }
        let waiting: Vec<usize> = early.iter().map(|x| x.step).chain([p.step]).collect();
        let mut gates = self.graph.links.iter().filter(|l| waiting.contains(&l.to)).map(|l| l.from).filter(|&g| {
            let at = self.graph.steps[g].origin.strip_prefix("deliveries[").and_then(|x| x.strip_suffix(']'));
            at.and_then(|x| x.parse::<usize>().ok()).is_some_and(|i| i < self.job.deliveries.len())
        });
        let came = |g: usize| self.facts.steps[g].ended.is_some();
        gates.next().is_some_and(|g| came(g) && gates.all(came))
    }
}

/// Name of a step without its batch and without `again`.
fn base(id: &str) -> &str {
    let id = id.split_once("+again").map_or(id, |x| x.0);
    id.split_once('#').map_or(id, |x| x.0)
}

/// The rows that still take material, and what has come before they do.
pub fn ahead<'a>(job: &'a Job, graph: &'a WorkGraph, plan: &Plan, facts: &'a Standing) -> (Vec<InPlan>, Come<'a>) {
    let there = in_plan(job, graph, plan);
    let begun = |s: usize| facts.steps[s].begun.is_some();
    let hours = |s: usize| graph.steps[s].labor.typ;
    let mut out = Vec::new();
    for p in &there {
        let id = base(&graph.steps[p.step].id);
        let mine = |again: bool| {
            let of = plan.steps.iter().map(|t| t.step);
            of.filter(move |&s| base(&graph.steps[s].id) == id && graph.steps[s].id.contains("+again") == again)
        };
        let all: f64 = mine(false).map(hours).sum();
        let left: f64 = mine(false).filter(|&s| !begun(s)).map(hours).sum();
        if let Some(step) = mine(false).filter(|&s| !begun(s)).min_by_key(|&s| plan.timed(s).map(|t| t.begin)) {
            let part = if all > 0.0 { left / all } else { 1.0 };
            out.push(InPlan { step, part, ..p.clone() });
        }
        for step in mine(true).filter(|&s| !begun(s)) {
            let part = if all > 0.0 { hours(step) / all } else { 1.0 };
            out.push(InPlan { step, part, again: true, name: format!("{}, again", p.name), ..p.clone() });
        }
    }
    (out, Come { job, graph, facts, there })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::buying::{Buying, KERF, buying, still};
    use crate::clock::{At, DAY};
    use crate::desk::{self, Sound};
    use crate::job::Redone;
    use crate::measure::Money;
    use crate::search::Found;
    use crate::standing::Stands;

    fn powder(redone: Option<f64>) -> (Sound, Found) {
        let mut job = desk::open(include_str!("../../sample-jobs/powder.ron")).expect("a job").read.job;
        job.redone.extend(redone.map(|share| Redone {
            step: "powder/walls/wall-1".into(),
            day: job.start,
            share: Some(share),
            hours: None,
            cause: String::new(),
        }));
        let sound = desk::judge(&job).expect("sound");
        let found = sound.plan(false).expect("a plan");
        (sound, found)
    }

    /// The list once these steps are done.
    fn after((sound, found): &(Sound, Found), done: &dyn Fn(&str) -> bool) -> Buying {
        let stands = |s: &crate::work::Step| {
            let at = done(&s.id).then_some(At(DAY));
            Stands { begun: at, ended: at, ..Stands::default() }
        };
        let steps = sound.graph.steps.iter().map(stands).collect();
        let facts = Standing { as_of: At(2 * DAY), steps, ..Standing::default() };
        still(&sound.job, &sound.graph, &found.plan, &facts, KERF, &|_| None)
    }

    fn amount(b: &Buying, id: &str) -> Option<f64> {
        b.rows.iter().find(|r| r.material == id || r.product == id).map(|r| r.amount)
    }

    #[test]
    fn what_a_done_step_has_used_is_not_bought_again() {
        let it = powder(None);
        let whole = buying(&it.0.job, &it.0.graph, &it.1.plan, KERF, &|_| None);
        let none = after(&it, &|_| false);
        assert_eq!((&none.rows, none.had.as_ref().map(|h| (h.rows.len(), h.cost))), (&whole.rows, Some((0, Money(0)))));
        // One of two equal wall coats: half the paint, two quarts at 22.00 for a gallon at 55.00.
        let one = after(&it, &|id| id == "powder/walls/wall-1");
        let (all, half) = (amount(&whole, "wall-paint").expect("paint"), amount(&one, "wall-paint").expect("paint"));
        assert!((half - all / 2.0).abs() < 1e-9, "{half} of {all}");
        let paint = one.rows.iter().find(|r| r.product == "wall-paint").expect("paint");
        assert_eq!((paint.cost, paint.steps.len()), (Money(4_400), 1));
        assert!(paint.notes.iter().any(|n| n.contains("look what is left")), "{:?}", paint.notes);
        let had = one.had.as_ref().expect("under way");
        assert!(had.rows.iter().any(|r| r.1 == "wall-paint" && r.3), "{had:?}");
        // With every row what is still to buy and what was had make up the whole list.
        assert_eq!(one.cost() + had.cost, whole.cost());
        let all = after(&it, &|_| true);
        assert_eq!((all.rows.len(), all.had.expect("under way").cost), (0, whole.cost()));
    }

    #[test]
    fn stock_that_came_is_there_and_nails_are_not() {
        let it = powder(None);
        let came = after(&it, &|id| id == "base-stock");
        assert_eq!(amount(&came, "base"), None);
        assert!(amount(&came, "finish-nails").or(amount(&came, "nails")).is_some(), "{:?}", came.rows);
        assert!(came.had.expect("under way").rows.iter().any(|r| r.0 == "base" && !r.3));
    }

    #[test]
    fn work_done_again_takes_its_share_anew() {
        let all = |id: &str| !id.contains("+again");
        let whole = amount(&after(&powder(None), &|_| false), "wall-paint").expect("paint");
        for share in [1.0, 0.25] {
            let again = after(&powder(Some(share)), &all);
            let got = amount(&again, "wall-paint").expect("paint");
            assert!((got - whole / 2.0 * share).abs() < 1e-9, "{got} for {share}");
            // Everything of the first list was bought before.
            let it = powder(None);
            let cost = buying(&it.0.job, &it.0.graph, &it.1.plan, KERF, &|_| None).cost();
            assert_eq!(again.had.expect("under way").cost, cost);
        }
        assert_eq!(amount(&after(&powder(Some(1.0)), &|_| true), "wall-paint"), None);
    }
}
