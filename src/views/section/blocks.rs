//! Steps as blocks in their bands, with the wedge of what is still drying behind them.
//!
//! A wedge's height is the share still to dry by the product's own clock in the air of its
//! place; damp from skim coats beside it stretches it evenly, so that it ends when the plan
//! says. It ends at the last stage any step asks of it. Minutes throughout.

use super::bands::{Stood, band_of};
use super::{Band, Block, Hours, Site, Wedge};
use crate::clock::At;
use crate::desk::Sound;
use crate::schedule::{Net, PlanHold};
use crate::search::Found;
use crate::trade::Stage;
use crate::views::holds::{hours, plain_name};
use crate::views::{Almanac, PlanView, StepRow, wait_words};
use crate::work::{Ask, Kind};

/// Points a wedge is drawn through.
const WEDGE_POINTS: i64 = 24;

pub use crate::views::capital;

/// A name up to its first comma, colon or bracket: what it is without how it is done.
pub fn short_name(name: &str) -> String {
    let cut = name.find([',', ':', '(']).filter(|&i| i >= 4).unwrap_or(name.len());
    capital(name[..cut].trim_end())
}

/// `Ada`, `Ada and Jon`, `Ada, Jon and Teo`.
fn people(sound: &Sound, who: &[usize]) -> String {
    let names: Vec<&str> = who.iter().filter_map(|&w| sound.job.crew.get(w)).map(|p| p.name.as_str()).collect();
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => names.concat(),
    }
}

/// Stretches joined where nobody is on shift between them.
fn joined(hours: &Hours, mut runs: Vec<(At, At)>) -> Vec<(At, At)> {
    runs.sort_unstable();
    let mut out: Vec<(At, At)> = Vec::new();
    for (from, to) in runs {
        match out.last_mut() {
            Some(last) if from <= last.1 || hours.next_on(last.1).is_none_or(|on| on >= from) => {
                last.1 = last.1.max(to)
            }
            _ => out.push((from, to)),
        }
    }
    out
}

/// The last stage any step asks of a coat, and when the plan reaches it.
pub fn usable(net: &Net, row: &StepRow) -> Option<(Stage, At)> {
    let reached = |stage: Stage| row.ready.iter().find(|(s, _)| *s == stage).copied();
    let asked = net.followers[row.step]
        .iter()
        .flat_map(|&f| &net.deps[f])
        .filter(|d| d.from == row.step)
        .filter_map(|d| match d.ask {
            Ask::Dry(stage) => reached(stage),
            _ => None,
        })
        .max_by_key(|&(_, at)| at);
    asked.or_else(|| reached(Stage::DustFree)).filter(|&(_, at)| at > row.end)
}

/// The wedge behind a coat, if anything waits for it to dry.
pub fn wedge(sound: &Sound, net: &Net, hours: &Hours, row: &StepRow) -> Option<Wedge> {
    let step = &sound.graph.steps[row.step];
    let (coat, place) = (step.coat?, step.place?);
    let (stage, dry) = usable(net, row)?;
    let clock = sound.setting.dry(coat.product, place)?.of(stage);
    let whole = clock.progress(row.end.0, dry.0).max(1) as f64;
    let span = dry.0 - row.end.0;
    let n = WEDGE_POINTS.min(span);
    let left = (0..=n)
        .map(|i| {
            let t = row.end.0 + span * i / n;
            let done = clock.progress(row.end.0, t) as f64 / whole;
            (At(t), (1.0 - done).clamp(0.0, 1.0) as f32)
        })
        .collect();
    let ready = hours.next_on(dry).unwrap_or(dry);
    let a = Almanac(&sound.job);
    let at = |t: At| format!("{} {}", a.short_day(t.day()), a.time(t));
    let words =
        if ready == dry { format!("ready {}", at(dry)) } else { format!("dry {}, ready {}", at(dry), at(ready)) };
    Some(Wedge { from: row.end, dry, ready, left, words })
}

/// When it is worked on, ordered, there or settled.
fn dates(sound: &Sound, row: &StepRow) -> String {
    let a = Almanac(&sound.job);
    match sound.graph.steps[row.step].kind {
        Kind::Decision { .. } => format!("To be settled by {}", a.short(row.end)),
        Kind::Business { .. } => {
            let there = crate::views::holds::arrival_day(row.begin, row.end);
            format!("Ordered {}, there {}", a.short_day(row.begin.day()), a.short_day(there))
        }
        _ => format!("{} to {}", a.short(row.begin), a.short(row.end)),
    }
}

/// `Crown down to base`, of a step that covers more than one band.
fn reach(bands: &[Band], band: usize, low: usize) -> Option<String> {
    (low > band).then(|| format!("{} down to {}", bands[band].name, bands[low].name.to_lowercase()))
}

/// What is said of a step, a line each.
fn says(
    sound: &Sound,
    found: &Found,
    row: &StepRow,
    wedge: Option<&Wedge>,
    holds_date: bool,
    reach: Option<String>,
) -> Vec<String> {
    let step = &sound.graph.steps[row.step];
    let place = step.place.and_then(|p| sound.job.places.get(p)).map(|p| format!("in the {}", p.name));
    let who = people(sound, &row.who);
    let labor = (row.labor_min > 0).then(|| hours(row.labor_min));
    let what: Vec<String> = [labor, (!who.is_empty()).then_some(who), place].into_iter().flatten().collect();
    let mut out = vec![capital(plain_name(sound, row.step))];
    if !what.is_empty() {
        out.push(what.join(", "));
    }
    out.extend(reach);
    out.push(dates(sound, row));
    out.extend(wedge.map(|w| capital(&w.words)));
    out.extend(row.held.as_ref().map(|(w, _)| capital(&w.sentence)));
    if holds_date {
        out.push("Cannot wait: it holds the date".into());
    } else if let Some(f) = row.float {
        out.push(match wait_words(sound, found, f, row.begin) {
            w if w.starts_with("nothing") => capital(&w),
            _ if f <= 0 => "Cannot wait".into(),
            w => format!("Can wait: {w}"),
        });
    }
    out
}

/// Where the figures of a step come from.
fn told(sound: &Sound, step: &crate::work::Step, row: &StepRow) -> String {
    let mut out =
        crate::views::inspect::hours_why(&sound.job, step).map_or_else(String::new, |w| format!("hours: {w}. "));
    out += "Days: the clean run of this order, everything typical";
    if row.float.is_some() {
        out += "; what can wait keeps the end of the job and the order of the others";
    }
    out
}

fn is_held_back(holds: &[PlanHold], step: usize) -> bool {
    holds.iter().any(|h| h.step == step && h.wait.is_none())
}

/// Blocks of all steps of the plan, in order of begin.
pub fn blocks(
    sound: &Sound,
    found: &Found,
    view: &PlanView,
    stood: &[Stood],
    bands: &[Band],
    hours_on: &Hours,
) -> Vec<Block> {
    let net = sound.net(found);
    let on_ribbon: std::collections::BTreeSet<usize> = view.stretches.iter().map(|s| s.step).collect();
    let mut runs_of: Vec<Vec<(At, At)>> = vec![Vec::new(); sound.graph.steps.len()];
    found.plan.runs.iter().for_each(|r| runs_of[r.step].push((r.from, r.to)));
    let block = |row: &StepRow| {
        let s = &stood[row.step];
        let step = &sound.graph.steps[row.step];
        let runs = runs_of[row.step].clone();
        let runs = if runs.is_empty() { vec![(row.begin, row.end)] } else { joined(hours_on, runs) };
        let wedge = wedge(sound, &net, hours_on, row);
        let holds_date = on_ribbon.contains(&row.step);
        let (band, low) = (band_of(bands, s.room, s.top), band_of(bands, s.room, s.low));
        Block {
            step: row.step,
            id: step.id.clone(),
            name: plain_name(sound, row.step).to_string(),
            short: short_name(plain_name(sound, row.step)),
            band,
            lowest: low.max(band),
            room: s.room,
            site: s.site,
            hands: matches!(step.kind, Kind::Labor),
            begin: row.begin,
            end: row.end,
            runs,
            labor_min: row.labor_min,
            hours: if row.labor_min > 0 { hours(row.labor_min) } else { String::new() },
            who: people(sound, &row.who),
            dates: dates(sound, row),
            why: row.held.as_ref().map(|(w, _)| capital(&w.sentence)).unwrap_or_default(),
            says: says(sound, found, row, wedge.as_ref(), holds_date, reach(bands, band, low)),
            told: told(sound, step, row),
            wedge,
            on_ribbon: holds_date,
            held_back: is_held_back(&sound.holds, row.step),
            done: crate::views::stands(sound, row.step) == Some(true),
        }
    };
    told_apart(view.steps.iter().map(block).collect())
}

/// Longest name by which two blocks of one short name are told apart.
const APART: usize = 32;

/// Blocks of one room that have one short name go by their whole one, where that is not long: `Doors and sashes,
/// first coat`.
fn told_apart(mut blocks: Vec<Block>) -> Vec<Block> {
    let mut seen: std::collections::BTreeMap<(Option<usize>, String), usize> = std::collections::BTreeMap::new();
    blocks.iter().for_each(|b| *seen.entry((b.room, b.short.clone())).or_default() += 1);
    for b in &mut blocks {
        let twice = seen.get(&(b.room, b.short.clone())).is_some_and(|n| *n > 1);
        if twice && b.name.chars().count() <= APART {
            b.short = capital(&b.name);
        }
    }
    blocks
}

/// Stretches of time, first to last.
type Spans = Vec<(At, At)>;

/// Stretches worked and stretches drying in a room, for the row it folds to.
pub fn folded(blocks: &[Block], room: usize, hours: &Hours) -> (Spans, Spans) {
    let here = blocks.iter().filter(|b| b.room == Some(room) && b.site == Site::Room);
    let work = here.clone().filter(|b| b.hands).flat_map(|b| b.runs.iter().copied()).collect();
    let dry = here.filter_map(|b| b.wedge.as_ref()).map(|w| (w.from, w.dry)).collect();
    (joined(hours, work), joined(hours, dry))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_cut_to_what_it_is() {
        assert_eq!(short_name("first ceiling coat, cut in along the crown"), "First ceiling coat");
        assert_eq!(short_name("fill crown: nail holes and joints"), "Fill crown");
        assert_eq!(short_name("MDF sheets and poplar"), "MDF sheets and poplar");
        assert_eq!(short_name("a, b"), "A, b");
        assert_eq!(short_name(""), "");
    }
}
