//! What was written up, as the trials read it: hours that are facts, begun steps that cannot
//! take less than they took, shared causes known better by what is finished.
//!
//! Of the finished steps each shows a score (see [`super::posterior`]); a begun one is taken
//! given its hours or the share measured (see [`super::conditioned`]). Scores drawn before are
//! moved, not drawn anew, so evenings of one job are paired.

use super::conditioned::{Given, after_quantity, after_spent};
use super::hours::Hours;
use super::posterior::{Finished, Posterior, Weights};
use crate::clock::DAY;
use crate::schedule::Net;
use crate::standing::{Standing, Stands};
use crate::work::{Kind, Role, WorkGraph};

/// How a step stands for the trials.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fact {
    Free,
    /// Labor minutes it took.
    Over(i64),
    /// Labor minutes spent, share done where measured.
    Begun(f64, Option<f64>),
}

/// What is known, laid out for the trials.
#[derive(Clone, Debug)]
pub struct Known {
    facts: Vec<Fact>,
    posterior: Posterior,
    /// Whether a step that comes only when needed can still be.
    may_come: Vec<bool>,
    pub ill: Vec<bool>,
    /// Whether any work is known of: the job before is over then.
    pub begun: bool,
    /// Whole days gone by.
    pub days: i64,
}

fn minutes(milli: i64) -> i64 {
    ((milli + 500) / 1000).max(1)
}

fn fact(x: &Stands) -> Fact {
    match (x.begun, x.ended) {
        (Some(_), Some(_)) => Fact::Over(minutes(x.spent_milli)),
        (Some(_), None) => Fact::Begun(x.spent_milli as f64 / 1000.0, x.share),
        _ => Fact::Free,
    }
}

/// Posterior of the shared causes by what is finished.
fn learned(hours: &Hours, graph: &WorkGraph, facts: &Standing) -> Posterior {
    let finished: Vec<Finished> = facts
        .steps
        .iter()
        .enumerate()
        // A step ticked off without hours says nothing of the pace.
        .filter(|(_, x)| x.ended.is_some() && x.spent_milli > 0)
        .filter_map(|(s, x)| {
            let shape = hours.shapes[s].as_ref()?;
            let spread = shape.at(1.0) > shape.at(-1.0);
            // A plan is made in whole minutes of its hands: as planned is as planned.
            let step = &graph.steps[s];
            let off = x.spent_milli - 1000 * step.labor.typical();
            // Every stretch is in whole minutes of each of its people.
            let stretches = facts.past.iter().filter(|x| x.step == s);
            let rounded = stretches.map(|x| i64::from(x.people.count_ones())).sum::<i64>();
            let plain = off.abs() <= 1000 * rounded.max(step.crew.fewest.max(1) as i64);
            let z = if plain { 0.0 } else { shape.score(x.spent_milli as f64 / 1000.0).clamp(-3.0, 3.0) };
            spread.then_some(Finished { weights: weights(hours, s), z })
        })
        .collect();
    Posterior::new(hours.trades.len(), &finished)
}

fn weights(hours: &Hours, s: usize) -> Weights {
    let [pace, trade, house, own] = hours.weights[s];
    Weights { pace, house, trade: (hours.trade[s] != usize::MAX).then_some((hours.trade[s], trade)), own }
}

/// Labor minutes each step is expected to take in all, hours spent included, by what has been
/// learned so far: the median of what the trials draw. Gates as in the graph.
pub fn expected(hours: &Hours, graph: &WorkGraph, facts: &Standing) -> Vec<i64> {
    let posterior = learned(hours, graph, facts);
    let step = |s: usize| match (&hours.shapes[s], graph.steps[s].kind) {
        (Some(shape), Kind::Labor) => {
            let shared = posterior.shared(weights(hours, s)).0;
            if shared == 0.0 && fact(&facts.steps[s]) == Fact::Free {
                return graph.steps[s].labor.typical();
            }
            takes(fact(&facts.steps[s]), shape, Given { shared, own: hours.weights[s][3] }, 0.0)
        }
        (_, Kind::Elapsed(d)) => d.typical(),
        (_, Kind::Business { minutes, .. }) => minutes,
        (_, Kind::Decision { at, .. }) => at.0,
        (None, Kind::Labor) => graph.steps[s].labor.typical(),
    };
    (0..graph.steps.len()).map(step).collect()
}

/// Minutes a step takes in all, given the shared causes and its own chance.
fn takes(fact: Fact, shape: &super::quantile::Shape, given: Given, e: f64) -> i64 {
    match fact {
        Fact::Free => shape.draw(given.shared + given.own * e),
        Fact::Over(minutes) => minutes,
        Fact::Begun(spent, share) => {
            let left = match share {
                Some(done) => after_quantity(shape, given, e, 1.0 - done),
                None => after_spent(shape, given, e, spent, 0.0),
            };
            libm::round(spent) as i64 + (libm::round(left) as i64).max(1)
        }
    }
}

impl Known {
    /// Lays out what is known; `None` where nothing is.
    pub fn of(hours: &Hours, net: &Net) -> Option<Known> {
        let facts = net.set.standing.as_deref()?;
        let over = |s: usize| facts.steps[s].ended.is_some();
        let under_way = |s: usize| net.followers[s].iter().any(|&f| facts.steps[f].begun.is_some());
        let may_come = net.graph.steps.iter().enumerate().map(|(s, step)| match step.role {
            // Whoever has gone on with what waits for it has found it good.
            Role::Redo { of, .. } => !over(of) || !under_way(of),
            // Found on opening up or not at all.
            Role::Surprise { .. } => net.deps[s].is_empty() || !net.deps[s].iter().all(|d| over(d.from)),
            _ => true,
        });
        Some(Known {
            facts: facts.steps.iter().map(fact).collect(),
            posterior: learned(hours, net.graph, facts),
            may_come: may_come.collect(),
            ill: facts.ill.clone(),
            begun: facts.begun(),
            days: facts.as_of.0.div_euclid(DAY),
        })
    }

    /// Moves a trial's shared scores (pace, house, then trades).
    pub fn shift(&self, scores: &mut [f64]) {
        self.posterior.shift(scores);
    }

    /// Whether a step is as free as before any work.
    pub fn free(&self, step: usize) -> bool {
        self.facts[step] == Fact::Free
    }

    /// Minutes of a step in a trial.
    pub fn takes(&self, step: usize, shape: &super::quantile::Shape, given: Given, e: f64) -> i64 {
        takes(self.facts[step], shape, given, e)
    }

    /// Whether a step that comes only when needed can still be.
    pub fn may_come(&self, step: usize) -> bool {
        self.may_come[step]
    }
}
