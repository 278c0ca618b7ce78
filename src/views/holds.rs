//! What held a begin, in words: the reasons behind the date.

use super::{Almanac, laid, temperature};
use crate::clock::{At, DAY};
use crate::desk::Sound;
use crate::forecast::last_day;
use crate::schedule::{Held, Plan, Reason, Stretch};
use crate::trade::Stage;
use crate::work::{Kind, Role};

/// A reason with what it is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Why {
    /// `drying`, `done`, `place`, `hands`, `delivery`, `decision`, `hold`, `clock`.
    pub reason: &'static str,
    /// The earlier step, if there is one.
    pub by: Option<usize>,
    /// One clause without a full stop: `waits for ...`.
    pub sentence: String,
}

/// Stable word of a reason.
pub fn reason_word(r: Reason) -> &'static str {
    match r {
        Reason::Drying(_) => "drying",
        Reason::Done => "done",
        Reason::Place => "place",
        Reason::Hands => "hands",
        Reason::Delivery => "delivery",
        Reason::Decision => "decision",
        Reason::Hold => "hold",
        Reason::Clock => "clock",
    }
}

/// What a coat is ready for at a stage.
pub(super) fn stage_words(s: Stage) -> &'static str {
    match s {
        Stage::DustFree => "to be dust-free",
        Stage::Sand => "to be ready for sanding",
        Stage::Recoat => "to be ready for the next coat",
        Stage::Tape => "to be ready for tape",
        Stage::Handle => "to be ready to handle",
        Stage::Shut => "to be ready to close on",
        Stage::Full => "to be fully hard",
    }
}

/// Name of a step in the texts: hours kept for work nobody listed are called an allowance.
pub(super) fn plain_name(sound: &Sound, step: usize) -> &str {
    match &sound.graph.steps[step] {
        s if s.role == Role::Unlisted => "allowance for unlisted work",
        s => &s.name,
    }
}

/// Name of a step, with its room where the job has more than one.
pub(super) fn step_name(sound: &Sound, step: usize) -> String {
    let s = &sound.graph.steps[step];
    let name = plain_name(sound, step);
    let room = sound.job.rooms.iter().find(|r| r.id == s.room).filter(|_| sound.job.rooms.len() > 1);
    room.map_or_else(|| name.to_string(), |r| format!("{name} ({})", r.name))
}

/// Name of a step with its surface where the name does not say it, and its room where the job has more than one:
/// `first wall coat (walls), Den`.
pub(super) fn full_name(sound: &Sound, step: usize) -> String {
    let s = &sound.graph.steps[step];
    let name = plain_name(sound, step);
    let said = s.surface.is_empty() || name.contains(&s.surface);
    let name = if said { name.to_string() } else { format!("{name} ({})", s.surface) };
    let room = sound.job.rooms.iter().find(|r| r.id == s.room).filter(|_| sound.job.rooms.len() > 1);
    room.map_or_else(|| name.clone(), |r| format!("{name}, {}", if r.name.is_empty() { &r.id } else { &r.name }))
}

/// Mean air of a place over a stretch, F and relative humidity: hourly.
fn mean_air(sound: &Sound, place: usize, from: i64, to: i64) -> (f64, f64) {
    let week = &sound.setting.spots[place].week;
    let (mut t, mut h, mut n) = (0.0, 0.0, 0.0);
    let mut m = from;
    while m < to.max(from + 1) {
        let weekday = (sound.setting.first_weekday + m.div_euclid(DAY)).rem_euclid(7) as usize;
        let air = week.at(m.div_euclid(DAY), weekday, m.rem_euclid(DAY));
        (t, h, n) = (t + air.temp_f, h + air.rh(), n + 1.0);
        m += 60;
    }
    (t / n, h / n)
}

/// Hours as said: `17 h`, `1.5 h`, `20 min`.
pub(super) fn hours(minutes: i64) -> String {
    if minutes.abs() < 60 {
        return format!("{minutes} min");
    }
    let h = minutes as f64 / 60.0;
    if minutes.abs() < 600 { format!("{h:.1} h") } else { format!("{h:.0} h") }
}

fn drying(sound: &Sound, plan: &Plan, by: usize, stage: Stage) -> String {
    let step = &sound.graph.steps[by];
    let mut out = format!("waits for {} {}", step_name(sound, by), stage_words(stage));
    if let (Some(t), Some(place)) = (plan.timed(by), step.place)
        && let Some((_, ready)) = t.ready.iter().find(|(s, _)| *s == stage)
    {
        let (temp, rh) = mean_air(sound, place, t.end.0, ready.0);
        out += &format!(
            ": {} at {}, {:.0} % RH",
            hours(ready.0 - t.end.0),
            temperature(sound.job.units, temp),
            rh * 100.0
        );
    }
    out
}

fn people(sound: &Sound, plan: &Plan, step: usize) -> String {
    let mut who: Vec<usize> = plan.runs.iter().filter(|r| r.step == step).flat_map(|r| r.people.clone()).collect();
    who.sort_unstable();
    who.dedup();
    let names: Vec<&str> = who.iter().filter_map(|&w| sound.job.crew.get(w)).map(|p| p.name.as_str()).collect();
    if names.is_empty() { "the hands".into() } else { names.join(" and ") }
}

/// What a clock keeps a step from: its own windows, its first day, or the hours of work.
fn clock_words(sound: &Sound, step: usize) -> &'static str {
    let s = &sound.graph.steps[step];
    if !s.windows.is_empty() {
        "its appointment"
    } else if s.earliest.is_some() {
        "its first day or working hours"
    } else {
        "working hours"
    }
}

enum Since {
    Stage(Stage),
    Done,
}

/// What of the earlier step happened when the constraint was released.
fn since(plan: &Plan, by: usize, held: &Held) -> Option<Since> {
    let t = plan.timed(by)?;
    let stage = t.ready.iter().find(|(_, at)| *at == held.released).map(|(s, _)| Since::Stage(*s));
    stage.or((t.end == held.released).then_some(Since::Done))
}

/// Why a place was not free: what the earlier step does to it.
fn place_words(sound: &Sound, plan: &Plan, step: usize, by: usize, name: &str) -> String {
    let earlier = &sound.graph.steps[by];
    let place = sound.graph.steps[step].place.and_then(|p| sound.job.places.get(p));
    let place = place.map_or("its place".to_string(), |p| format!("the {}", p.name));
    let done = plan.timed(by).is_some_and(|t| t.end < plan.timed(step).map_or(t.end, |s| s.begin));
    if done && earlier.flags.dusty {
        format!("waits until the dust of {name} has settled in {place}")
    } else if earlier.flags.closes {
        format!("waits for {place}, closed by {name}")
    } else if sound.graph.steps[step].racks > 0 && earlier.racks > 0 {
        format!("waits for racks in {place}, full of {name}")
    } else if sound.graph.steps[step].flags.dusty {
        format!("waits until no dust can spoil {name} in {place}")
    } else {
        format!("waits until {name} has left {place} free")
    }
}

/// Day a delivery or a result is there: a supplier's day has no hour, and an end at midnight
/// belongs to the day it ends.
pub(super) fn arrival_day(begin: At, end: At) -> i64 {
    if begin < end { last_day(end) } else { end.day() }
}

fn arrival(sound: &Sound, plan: &Plan, by: usize, released: At) -> String {
    let begin = plan.timed(by).map_or(released, |t| t.begin);
    Almanac(&sound.job).short_day(arrival_day(begin, released))
}

/// The clause that says why `step` began when it did.
pub fn why(sound: &Sound, plan: &Plan, step: usize, held: &Held) -> Why {
    let by = held.by.map(|b| step_name(sound, b));
    let at = Almanac(&sound.job).short(held.released);
    let sentence = match (held.reason, held.by, by.as_deref()) {
        (Reason::Drying(stage), Some(b), _) => drying(sound, plan, b, stage),
        (Reason::Drying(stage), None, _) => format!("waits for a coat {}", stage_words(stage)),
        (Reason::Hands | Reason::Done, Some(b), _) if b == step => "goes on, piece by piece".into(),
        (Reason::Done, Some(b), Some(n)) => match sound.graph.steps[b].kind {
            Kind::Business { .. } => format!("waits for {n}, there {}", arrival(sound, plan, b, held.released)),
            Kind::Elapsed(_) => format!("waits for {n}, done {at}"),
            _ => format!("follows {n}"),
        },
        (Reason::Done, ..) => "follows the step before".into(),
        (Reason::Place, Some(b), Some(n)) => place_words(sound, plan, step, b, n),
        (Reason::Place, _, by) => {
            let place = sound.graph.steps[step].place.and_then(|p| sound.job.places.get(p));
            let place = place.map_or("its place".to_string(), |p| format!("the {}", p.name));
            match by {
                Some(n) => format!("waits until {n} has left {place} free"),
                None => format!("waits until {place} is free"),
            }
        }
        (Reason::Hands, Some(b), Some(n)) => format!("waits for {}, at {n} until {at}", people(sound, plan, b)),
        (Reason::Hands, ..) => format!("waits for hands, free {at}"),
        (Reason::Delivery, Some(b), Some(n)) => match sound.graph.steps[b].kind {
            Kind::Elapsed(_) => format!("waits for {n}, done {at}"),
            _ => format!("waits for {n}, there {}", arrival(sound, plan, b, held.released)),
        },
        (Reason::Delivery, ..) => format!("waits for a delivery, there {at}"),
        (Reason::Decision, _, Some(n)) => format!("waits for the client: {n}, by {at}"),
        (Reason::Decision, ..) => format!("waits for the client, until {at}"),
        (Reason::Hold, _, Some(n)) => format!("is held back behind {n}"),
        (Reason::Hold, ..) => format!("is held back until {at}"),
        (Reason::Clock, ..) if held.released.0 <= sound.setting.origin => "begins with the job".into(),
        (Reason::Clock, Some(b), _) if b == step => "goes on with the next working hours".into(),
        (Reason::Clock, Some(b), Some(n)) => {
            let since = match since(plan, b, held) {
                Some(Since::Stage(s)) => format!("{n} was {} {at}", stage_words(s).trim_start_matches("to be ")),
                Some(Since::Done) if matches!(sound.graph.steps[b].kind, Kind::Decision { .. }) => {
                    format!("{n} was settled {at}")
                }
                Some(Since::Done) if matches!(sound.graph.steps[b].kind, Kind::Business { .. }) => {
                    format!("{n} was there {}", arrival(sound, plan, b, held.released))
                }
                Some(Since::Done) => format!("{n} was done {at}"),
                None => format!("free {at}"),
            };
            format!("waits for {}; {since}", clock_words(sound, step))
        }
        (Reason::Clock, ..) => format!("waits for {}; free {at}", clock_words(sound, step)),
    };
    Why { reason: reason_word(held.reason), by: held.by, sentence }
}

/// Until when the user keeps a step waiting: `until Wed 24 Mar 2027, 8:15`.
pub fn until_words(until: &crate::job::Until) -> String {
    match until {
        crate::job::Until::At(t) => format!("until {}", super::instant_words(*t)),
        crate::job::Until::Begun(step) => format!("until {step} has begun"),
        crate::job::Until::Done(step) => format!("until {step} is done"),
    }
}

/// `Skim coat 2 waits for ...`.
pub fn sentence(sound: &Sound, plan: &Plan, s: &Stretch) -> String {
    format!("{} {}", step_name(sound, s.step), why(sound, plan, s.step, &s.held).sentence)
}

fn works_on(r: Reason) -> bool {
    matches!(r, Reason::Done | Reason::Hands)
}

/// What is worked on in stretches that follow each other: `one after the other until Mon 12
/// Apr 16:04: a, b, c`.
pub fn chain_words(sound: &Sound, list: &[Stretch]) -> String {
    let mut names: Vec<String> = Vec::new();
    for s in list {
        let n = step_name(sound, s.step);
        if names.last() != Some(&n) {
            names.push(n);
        }
    }
    let chain = if names.len() > 5 {
        format!(
            "{}, {}, ... {}, {} ({} steps)",
            names[0],
            names[1],
            names[names.len() - 2],
            names[names.len() - 1],
            names.len()
        )
    } else {
        names.join(", ")
    };
    let until = list.last().map(|s| Almanac(&sound.job).short(s.to)).unwrap_or_default();
    match names.len() {
        1 => format!("{chain}, until {until}"),
        _ => format!("one after the other until {until}: {chain}"),
    }
}

/// The stretches as lines; stretches of the same reason that follow each other are one.
pub fn stretches_text(sound: &Sound, plan: &Plan, list: &[Stretch]) -> String {
    let almanac = Almanac(&sound.job);
    let mut out = String::new();
    let mut i = 0;
    while i < list.len() {
        let mut k = i + 1;
        let same = |a: &Stretch, b: &Stretch| {
            (works_on(a.held.reason) && works_on(b.held.reason))
                || (a.held.reason == b.held.reason && a.held.by.is_some() && a.held.by == b.held.by)
                || (a.held.reason == b.held.reason && a.step == b.step && a.held.reason != Reason::Clock)
        };
        while k < list.len() && same(&list[i], &list[k]) {
            k += 1;
        }
        let first = &list[i];
        // The job begins with its first shift, whatever the day's first minute is.
        let from = At(first.from.0.max(sound.setting.origin));
        let from = format!("  {}", almanac.short(from));
        let text = if k == i + 1 || !works_on(first.held.reason) {
            sentence(sound, plan, first)
        } else {
            chain_words(sound, &list[i..k])
        };
        out += &laid(&from, 20, &text);
        i = k;
    }
    out
}
