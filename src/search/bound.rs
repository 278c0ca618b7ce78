//! How soon any order at all could be finished: a bound by deadlines.
//!
//! For a target T the earliest dates go forward by the clocks, the latest backward from T;
//! T is refuted when a step's earliest passes its latest, or when preemptive
//! earliest-deadline-first on the working minutes of a person (or of several people taken
//! as one) misses a deadline (`deadlines`). The bound is the smallest T not refuted.
//!
//! There is no constant tail anywhere: how many working minutes a night's drying swallows
//! depends on when it starts. What is left out stands in `relaxed`. Methods are chosen by
//! branching; past 256 tests the choices still open are relaxed: their steps and links
//! are left out.

use super::deadlines::Test;
use super::relaxed::{FREE, Ground, Relaxed};
use crate::clock::At;
use crate::schedule::Setting;
use crate::work::WorkGraph;

/// Most choices of methods looked at, whole or in part.
const MOST_TESTS: usize = 256;

/// No order can finish before this.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bound {
    /// End of the last labor at the soonest (of the last step where nothing has labor).
    pub at: At,
    /// The methods that allow it, one option per choice; a choice left open stands at its
    /// usual option.
    pub methods: Vec<usize>,
    /// Whether every choice was looked at by itself.
    pub every_method: bool,
}

/// Some choices made, with the smallest finish not refuted under them.
struct Branch {
    at: i64,
    chosen: Vec<Option<usize>>,
}

/// The smallest finish not refuted, over all methods.
///
/// Choices are made one after the other, always going on from where the finish is least:
/// what hangs on an open choice is left out, so a choice made never lets it be sooner.
pub fn bound(graph: &WorkGraph, setting: &Setting) -> Bound {
    if let Some(facts) = &setting.standing {
        // Nothing ends before now. What is left is not bounded closer than that.
        return Bound { at: facts.as_of, methods: graph.usual(), every_method: false };
    }
    let ground = Ground::new(graph, setting);
    let mut tests = 0;
    let mut least = |chosen: &[Option<usize>], from: i64| {
        tests += 1;
        let work = Relaxed::new(&ground, chosen);
        (Test::new(setting, &work).smallest(from), tests)
    };
    let of = |c: usize| graph.choices[c].options.len().max(1);
    let mut chosen: Vec<Option<usize>> = graph.choices.iter().map(|c| c.fixed).collect();
    (0..chosen.len()).filter(|&c| of(c) == 1).for_each(|c| chosen[c] = chosen[c].or(Some(0)));
    let root = least(&chosen, 0).0;
    // The choices that tell most come first.
    let mut free: Vec<(i64, usize)> = Vec::new();
    for c in (0..chosen.len()).filter(|&c| graph.choices[c].fixed.is_none() && of(c) > 1) {
        let mut soonest = FREE;
        for o in 0..of(c) {
            let mut made = chosen.clone();
            made[c] = Some(o);
            soonest = soonest.min(least(&made, root).0);
            if soonest <= root {
                break;
            }
        }
        free.push((soonest, c));
    }
    free.sort_by_key(|&(soonest, c)| (std::cmp::Reverse(soonest), c));
    let mut open = vec![Branch { at: root, chosen }];
    let best = loop {
        // The soonest; of those the one with most choices made, the earliest found.
        let made = |b: &Branch| b.chosen.iter().flatten().count();
        let next = (0..open.len()).min_by_key(|&k| (open[k].at, std::cmp::Reverse(made(&open[k])), k)).unwrap_or(0);
        let Some(&(_, c)) = free.iter().find(|f| open[next].chosen[f.1].is_none()) else { break open.remove(next) };
        let branch = open.remove(next);
        let mut spent = 0;
        for o in 0..of(c) {
            let mut chosen = branch.chosen.clone();
            chosen[c] = Some(o);
            let (at, tests) = least(&chosen, branch.at);
            spent = tests;
            open.push(Branch { at, chosen });
        }
        if spent >= MOST_TESTS {
            let soonest = (0..open.len()).min_by_key(|&k| (open[k].at, k)).unwrap_or(0);
            break open.remove(soonest);
        }
    };
    let every_method = best.chosen.iter().all(Option::is_some);
    let usual = graph.usual();
    let methods = best.chosen.iter().zip(&usual).map(|(o, &u)| o.unwrap_or(u)).collect();
    Bound { at: At(best.at), methods, every_method }
}
