//! What a card of a change offers: steps begun, steps still to come, deliveries on their way; and a
//! job at its end, line by line.

use super::entry::used;
use crate::desk::Sound;
use crate::desk::close::Ending;
use crate::job::Units;
use crate::views::Almanac;
use crate::views::ending::{count, heads, row_plain_words};
use crate::views::holds::full_name;
use crate::work::{Kind, Role};

/// An id and its words.
type Choice = (String, String);

fn begun(sound: &Sound, step: usize) -> bool {
    sound.setting.standing.as_deref().and_then(|f| f.steps.get(step)).is_some_and(|s| s.begun.is_some())
}

fn choice(sound: &Sound, step: usize) -> Choice {
    (sound.graph.steps[step].id.clone(), full_name(sound, step))
}

/// Steps of somebody's hands that are begun or finished, the last begun first.
pub fn redoable(sound: &Sound) -> Vec<Choice> {
    let mut all: Vec<usize> =
        (0..sound.graph.steps.len()).filter(|&s| sound.graph.steps[s].kind == Kind::Labor && begun(sound, s)).collect();
    let when = |s: &usize| sound.setting.standing.as_deref().and_then(|f| f.steps[*s].begun);
    all.sort_by_key(|s| std::cmp::Reverse(when(s)));
    let mut out: Vec<Choice> = all.iter().map(|&s| choice(sound, s)).collect();
    // Of two of one name the day each was begun tells which.
    let names: Vec<String> = out.iter().map(|c| c.1.clone()).collect();
    for (c, s) in out.iter_mut().zip(&all) {
        if names.iter().filter(|n| **n == c.1).count() > 1
            && let Some(at) = when(s)
        {
            c.1 = format!("{}, {}", c.1, Almanac(&sound.job).short_day(at.day()));
        }
    }
    out
}

/// Steps of somebody's hands not begun yet, in the order of the job; none of several methods twice.
pub fn steps_left(sound: &Sound) -> Vec<Choice> {
    let mut out: Vec<Choice> = Vec::new();
    for s in 0..sound.graph.steps.len() {
        let step = &sound.graph.steps[s];
        let new = !out.iter().any(|o| o.0 == step.id);
        if step.kind == Kind::Labor && step.role == Role::Plain && !begun(sound, s) && new {
            out.push(choice(sound, s));
        }
    }
    out
}

/// Deliveries, decisions and visits that have not come yet, as far as the work begun tells.
pub fn gates(sound: &Sound) -> Vec<Choice> {
    let come =
        |s: usize| sound.setting.standing.as_deref().and_then(|f| f.steps.get(s)).is_some_and(|x| x.ended.is_some());
    let gate = |s: &usize| {
        let origin = &sound.graph.steps[*s].origin;
        ["deliveries[", "decisions[", "visits["].iter().any(|h| origin.starts_with(h)) && !come(*s) && !used(sound, *s)
    };
    (0..sound.graph.steps.len()).filter(gate).map(|s| choice(sound, s)).collect()
}

/// A job at its end: captions with their figures.
pub fn ending_heads(e: &Ending) -> Vec<(String, String)> {
    let mut out = heads(e);
    if !e.undone.is_empty() {
        out.push(("not written up as finished".into(), count(e.undone.len(), "step")));
    }
    out
}

/// Hours of each finished step: its name, the estimate, what was spent.
pub fn ending_steps(e: &Ending) -> Vec<(String, String, String)> {
    let hours = |h: f64| format!("{h:.1} h");
    e.steps.iter().map(|s| (full_name(&e.sound, s.step), hours(s.estimate), hours(s.spent))).collect()
}

/// A rate the job shows: its row, in words, and whether it is asked about.
pub fn ending_rates(e: &Ending) -> Vec<(String, String, bool)> {
    let units: Units = e.sound.job.units;
    e.rows.iter().map(|r| (r.rate.id.clone(), row_plain_words(units, r), r.asked)).collect()
}
