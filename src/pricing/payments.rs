//! Payments tied to what both can see, summing to the price to the cent.
//!
//! A step of payment the job has not (no trim in it) is left out and its share goes to the next
//! there is; the punch list stands for the end of any job. Days are those of the plan.

use crate::clock::At;
use crate::job::{Job, PayWhen};
use crate::measure::{Money, apportion};
use crate::schedule::Plan;
use crate::trade::tables;
use crate::work::WorkGraph;

/// When a payment falls due.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Due {
    /// At the signature, whenever that is.
    Signed,
    /// In the plan.
    At(At),
}

/// One payment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Instalment {
    pub when: PayWhen,
    pub due: Due,
    /// Of the price with tax.
    pub share: f64,
    pub amount: Money,
    /// Shares of payments the job has no occasion for are in it.
    pub joined: bool,
}

/// Milestones that are trim hung.
const HUNG: [&str; 5] = ["crown-hung", "casing-hung", "panels-hung", "cap-hung", "base-hung"];
const PUNCH: &str = "punch-list";

/// Last end in the plan of the steps that give one of these milestones.
fn given(job: &Job, graph: &WorkGraph, plan: &Plan, milestones: &[&str]) -> Option<At> {
    let mut last = None;
    for room in &job.rooms {
        for s in &room.surfaces {
            let Some(recipe) = job.recipes.iter().chain(&tables().recipes).find(|r| r.id == s.recipe) else { continue };
            let gives = |row: &str| {
                let of =
                    |r: &crate::trade::Row| r.id == row && r.gives.iter().any(|g| milestones.contains(&g.as_str()));
                recipe.steps.iter().any(of)
            };
            let head = format!("{}/{}/", room.id, s.id);
            for t in &plan.steps {
                let id = graph.steps[t.step].id.as_str();
                let row = id.strip_prefix(&head).map(|r| r.split('#').next().unwrap_or(r));
                if row.is_some_and(gives) {
                    last = last.max(Some(t.end));
                }
            }
        }
    }
    last
}

/// Last end of a step that leaves a coat of paint.
fn last_coat(graph: &WorkGraph, plan: &Plan) -> Option<At> {
    let film = |t: &&crate::schedule::Timed| {
        let law = graph.steps[t.step].coat.map(|c| graph.products[c.product].law);
        law == Some(crate::clock::Law::FilmForming)
    };
    plan.steps.iter().filter(film).map(|t| t.end).max()
}

/// The payments of a job at a price.
pub fn instalments(job: &Job, graph: &WorkGraph, plan: &Plan, total: Money) -> Vec<Instalment> {
    let due = |when: PayWhen| match when {
        PayWhen::Agreement => Some(Due::Signed),
        PayWhen::Begin => plan.steps.iter().map(|t| Due::At(t.begin)).next(),
        PayWhen::TrimHung => given(job, graph, plan, &HUNG).map(Due::At),
        PayWhen::LastCoat => last_coat(graph, plan).map(Due::At),
        PayWhen::PunchList => Some(Due::At(given(job, graph, plan, &[PUNCH]).unwrap_or(plan.finish))),
    };
    let mut out: Vec<Instalment> = Vec::new();
    let mut carried = 0.0;
    for p in &job.price.payments {
        match due(p.when) {
            Some(due) => {
                let share = p.share + carried;
                out.push(Instalment { when: p.when, due, share, amount: Money(0), joined: carried > 0.0 });
                carried = 0.0;
            }
            None => carried += p.share,
        }
    }
    match out.last_mut() {
        Some(last) if carried > 0.0 => {
            last.share += carried;
            last.joined = true;
        }
        Some(_) => {}
        None => {
            let due = Due::At(plan.finish);
            out.push(Instalment { when: PayWhen::PunchList, due, share: 1.0, amount: Money(0), joined: false });
        }
    }
    // Shares in millionths, so that amounts are whole and sum to the price.
    let weights: Vec<i64> = out.iter().map(|p| libm::round(p.share * 1e6) as i64).collect();
    let all: i64 = weights.iter().sum::<i64>().max(1);
    let parts: Vec<i64> = weights.iter().map(|w| w * total.0).collect();
    for (p, cents) in out.iter_mut().zip(apportion(&parts, all)) {
        p.amount = Money(cents / all);
    }
    out
}
