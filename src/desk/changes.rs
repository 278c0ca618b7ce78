//! Work done again, and changes of scope: the edits they are, and what they come to before
//! anybody says yes.
//!
//! What a change comes to is a paired difference: the job with it and without it, the same
//! order kept, the same random numbers. Hours are typical labor; the allowance for work nobody
//! listed moves with the work and is counted apart. Dollars are what the crew's paid hours cost,
//! trips among them; what the client pays is another matter.

use chrono::NaiveDate;

use super::evening::{self, Outlook};
use super::underway::{asked_at, moment};
use crate::job::{
    Change, ChangeKind, ChangeOrder, DayLog, Edit, Hands, How, Job, Need, OwnStep, Problem, Redone, Worked, edited,
    free_id,
};
use crate::pricing::{self, Price};
use crate::search::Found;
use crate::trade::{Flags, Stage, Supplier};
use crate::work::{Kind, Role, WorkGraph};

/// A step of a change: its hours low, typical, high, where, and between which steps.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Added {
    pub name: String,
    pub hours: (f64, f64, f64),
    /// Room id, empty for none.
    pub room: String,
    /// Place id; the room's place where empty.
    pub place: String,
    /// Steps it comes after, each dry for a next coat.
    pub after: Vec<String>,
    /// Steps that wait for it.
    pub before: Vec<String>,
}

/// A change as edits, with the names it brings and takes out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scope {
    pub edits: Vec<Edit>,
    pub adds: Vec<String>,
    pub drops: Vec<String>,
}

/// What a step added leaves open about its spread: 1 job in 10 is done in three quarters of
/// the hours, 1 in 10 takes half as long again (judgement).
pub const SPREAD: (f64, f64) = (0.75, 1.5);

/// The hours of a step of which only the typical ones are said.
pub fn spread(hours: f64) -> (f64, f64, f64) {
    (hours * SPREAD.0, hours, hours * SPREAD.1)
}

/// Adds a step of the user's own.
///
/// # Errors
/// A sentence: no name, or hours that do not rise from above 0.
pub fn add(job: &Job, graph: &WorkGraph, a: &Added) -> Result<Scope, String> {
    let (low, typ, high) = a.hours;
    if a.name.trim().is_empty() {
        return Err("say what is to be done, in a few words".into());
    }
    if !(low > 0.0 && low <= typ && typ <= high && high <= 1000.0) {
        return Err("hours rise from above 0, such as 4 or 3,4,6, at most 1000".into());
    }
    let plain: String =
        a.name.to_lowercase().chars().map(|c| if c.is_ascii_alphanumeric() { c } else { ' ' }).collect();
    let base = plain.split_whitespace().take(4).collect::<Vec<_>>().join("-");
    let taken = job.steps.iter().map(|s| &s.id).chain(job.deliveries.iter().map(|d| &d.id));
    let taken = taken.chain(job.decisions.iter().map(|d| &d.id)).chain(job.visits.iter().map(|v| &v.id));
    let id = free_id(if base.is_empty() { "change" } else { &base }, taken.map(String::as_str));
    let dry = |name: &String| {
        let coat = graph.steps.iter().find(|s| s.id == *name).and_then(|s| s.coat);
        let product = coat.map(|c| &graph.products[c.product])?;
        [Stage::Recoat, Stage::Handle].into_iter().find(|&s| product.hours.hours(s).is_some())
    };
    // What nobody listed comes after all other work of its room without being told.
    let unlisted = |n: &String| graph.steps.iter().any(|s| s.id == *n && s.role == Role::Unlisted);
    if let Some(n) = a.after.iter().find(|n| unlisted(n)) {
        return Err(format!("{n} comes after all other work of its room; name another step"));
    }
    let need = |n: &String| Need { step: n.clone(), link: Default::default(), dry: dry(n), lag: 0.0, longest: None };
    let step = OwnStep {
        id: id.clone(),
        name: a.name.trim().to_string(),
        room: a.room.clone(),
        place: a.place.clone(),
        hours: Some(a.hours),
        hands: Hands::default(),
        flags: Flags { set_down: true, ..Flags::default() },
        needs: a.after.iter().map(need).collect(),
        before: a.before.iter().filter(|n| !unlisted(n)).cloned().collect(),
        ..OwnStep::default()
    };
    let edits = vec![Edit::OwnStep(job.steps.len(), Some(Box::new(step)))];
    Ok(Scope { edits, adds: vec![id], drops: Vec::new() })
}

/// Takes a step, or a whole surface written `room/surface`, out of the job.
///
/// # Errors
/// A sentence: nothing of that name, or work of it that has been done.
pub fn leave_out(job: &Job, graph: &WorkGraph, name: &str) -> Result<Scope, String> {
    let logged = |fits: &dyn Fn(&str) -> bool| {
        job.log
            .iter()
            .flat_map(|d| &d.steps)
            .find(|w| fits(&w.step) && (w.hours > 0.0 || w.done))
            .map(|w| w.step.clone())
    };
    let begun = |id: String| format!("{id} is written up already; it cannot be left out any more");
    let out = |edit| Scope { edits: vec![edit], adds: Vec::new(), drops: vec![name.to_string()] };
    if let Some(i) = job.steps.iter().position(|s| s.id == name) {
        return match logged(&|id| id.split('+').next() == Some(name)) {
            Some(id) => Err(begun(id)),
            None => Ok(out(Edit::OwnStep(i, None))),
        };
    }
    let parts: Vec<&str> = name.split('/').collect();
    let at = |room: &str, surface: &str| {
        let r = job.rooms.iter().position(|r| r.id == room)?;
        let s = job.rooms[r].surfaces.iter().position(|s| s.id == surface)?;
        Some((r, s))
    };
    match parts[..] {
        [room, surface] => {
            let (r, s) = at(room, surface).ok_or_else(|| format!("there is no surface \"{name}\""))?;
            let head = format!("{name}/");
            match logged(&|id| id.starts_with(&head)) {
                Some(id) => Err(begun(id)),
                None => Ok(out(Edit::Surface(r, s, None))),
            }
        }
        [room, surface, row] => {
            let row = row.split(['#', '+']).next().unwrap_or(row);
            let (r, s) = at(room, surface).ok_or_else(|| format!("there is no surface \"{room}/{surface}\""))?;
            let head = format!("{room}/{surface}/{row}");
            let fits = |id: &str| id.split(['#', '+']).next() == Some(&head);
            if !graph.steps.iter().any(|x| fits(&x.id) && x.role == Role::Plain) {
                return Err(format!("there is no step \"{name}\""));
            }
            if let Some(id) = logged(&fits) {
                return Err(begun(id));
            }
            let old = job.rooms[r].surfaces[s].changes.iter().find(|c| c.step == row).cloned();
            let change = Change { skip: true, ..old.unwrap_or(Change { step: row.into(), ..Change::default() }) };
            Ok(out(Edit::Change(r, s, change)))
        }
        _ => Err(format!("\"{name}\" is neither a step nor a surface (room/surface)")),
    }
}

/// Has a step done again.
///
/// # Errors
/// A sentence: nothing of that name, not begun by then, or no share above 0.
pub fn redo(job: &Job, r: Redone) -> Result<Scope, String> {
    let sound = asked_at(job, moment(job, r.day)).map_err(|p| p[0].what.clone())?;
    let Some(s) = sound.graph.steps.iter().position(|s| s.id == r.step && s.kind == Kind::Labor) else {
        return Err(format!("there is no step \"{}\" with work in it", r.step));
    };
    let facts = sound.setting.standing.as_deref();
    let stands = facts.and_then(|f| f.steps.get(s)).is_some_and(|x| x.begun.is_some());
    // The same id may stand for the step of another method.
    let any = facts.is_some_and(|f| {
        sound.graph.steps.iter().zip(&f.steps).any(|(step, x)| step.id == r.step && x.begun.is_some())
    });
    if !stands && !any {
        return Err(format!("{} is not begun by what is written up; write it up first", r.step));
    }
    redo_of(job, r)
}

/// [`redo`] of a step that is known to be begun.
///
/// # Errors
/// A sentence: no share or hours above 0.
pub fn redo_of(job: &Job, r: Redone) -> Result<Scope, String> {
    let said = r.share.or(r.hours).unwrap_or(1.0);
    if !(said > 0.0 && said.is_finite()) {
        return Err("a share or hours above 0".into());
    }
    let n = job.redone.iter().filter(|x| x.step == r.step).count();
    let id = if n == 0 { format!("{}+again", r.step) } else { format!("{}+again-{}", r.step, n + 1) };
    Ok(Scope { edits: vec![Edit::Redo(job.redone.len(), Some(r))], adds: vec![id], drops: Vec::new() })
}

/// The news that a delivery, decision or visit comes on another day, heard on a day.
pub fn news(job: &Job, id: &str, day: NaiveDate, coming: NaiveDate) -> Edit {
    let there = job.log.iter().find(|d| d.day == day).cloned();
    let mut entry = there.unwrap_or(DayLog { day, how: How::default(), steps: Vec::new(), note: String::new() });
    entry.steps.retain(|w| w.step != id);
    entry.steps.push(Worked { step: id.to_string(), coming: Some(coming), ..Worked::default() });
    Edit::Day(day, Some(Box::new(entry)))
}

/// What a change comes to.
#[derive(Clone, Debug)]
pub struct Effect {
    pub before: Outlook,
    pub after: Outlook,
    /// Labor hours, typical, without the allowance.
    pub hours: f64,
    /// The allowance for work nobody listed, labor hours.
    pub allowance: f64,
    /// Own cost; none where no hour of the crew has one.
    pub dollars: Option<f64>,
    /// Working days at the date 8 in 10 trials reach, and of the clean run.
    pub days: f64,
    pub clean: f64,
}

/// Works a job out with a change and without it, at the moment it is known.
///
/// # Errors
/// Everything that stands against a plan of either.
pub fn effect(was: &Job, is: &Job, day: NaiveDate, trials: usize) -> Result<Effect, Vec<Problem>> {
    let as_of = moment(was, day);
    effect_of(Outlook::of(was, as_of, trials)?, Outlook::of(is, as_of, trials)?)
}

/// What a change comes to, from a job worked out without it and with it, the same trials.
///
/// # Errors
/// Everything that stands against a plan of the job from its first day.
pub fn effect_of(before: Outlook, after: Outlook) -> Result<Effect, Vec<Problem>> {
    let was = before.sound.job.clone();
    let plain = asked_at(&Job { lost: Vec::new(), ..was.clone() }, None)?;
    let days = |a, b| libm::round(evening::days(&plain, a, b) * 100.0) / 100.0;
    let labor = |o: &Outlook, unlisted: bool| {
        let of = |s: usize| (o.sound.graph.steps[s].role == Role::Unlisted) == unlisted;
        o.found.plan.steps.iter().filter(|t| of(t.step)).map(|t| t.labor_min).sum::<i64>()
    };
    let more = |unlisted| (labor(&after, unlisted) - labor(&before, unlisted)) as f64 / 60.0;
    let dollars = was.crew.iter().any(|p| p.cost > 0.0).then(|| {
        let cost = |o: &Outlook| paid(&o.sound.job, &o.sound.setting, &o.found);
        libm::round((cost(&after) - cost(&before)) * 100.0) / 100.0
    });
    Ok(Effect {
        hours: more(false),
        allowance: more(true),
        dollars,
        days: days(before.eighty(), after.eighty()),
        clean: days(before.found.plan.finish, after.found.plan.finish),
        before,
        after,
    })
}

/// What the paid hours of a plan cost: labor at each one's rate, trips among them.
fn paid(job: &Job, setting: &crate::schedule::Setting, found: &Found) -> f64 {
    let one = |r: &crate::schedule::Run| {
        let rate: i64 = r.people.iter().map(|&p| setting.workers[p].rate).sum();
        let cost: f64 = r.people.iter().map(|&p| job.crew[p].cost).sum();
        (r.labor_milli as f64 / rate.max(1) as f64 + r.trip_min as f64) / 60.0 * cost
    };
    found.plan.runs.iter().filter(|r| !r.people.is_empty()).map(one).sum()
}

/// What a change comes to in cents: the price agreed before it, what the client pays for it, what more is bought.
struct Cents {
    before: Option<i64>,
    more: i64,
    material: i64,
}

/// None where somebody's hours have no cost. Work done again costs the client nothing.
fn agreed(effect: &Effect, kind: ChangeKind) -> Option<Cents> {
    let price = |o: &Outlook| o.sound.price_alone(&o.found, &o.forecast);
    let (before, after) = (price(&effect.before)?, price(&effect.after)?);
    let bought = |p: &Price| Supplier::ALL.into_iter().map(|s| p.of(pricing::Kind::Materials(s)).0).sum::<i64>();
    let material = bought(&after) - bought(&before);
    let job = &effect.before.sound.job;
    let more = if kind == ChangeKind::Redo { 0 } else { after.total.0 - before.total.0 };
    let said = pricing::agreed(job).or(job.as_of.is_none().then_some(before.total));
    // No file holds more.
    let fits = |c: &i64| c.abs() <= 2_000_000_000;
    let said = said.map(|m| m.0).filter(|c| *c >= 0 && fits(c) && fits(&(c + more)));
    Some(Cents { before: said, more, material }).filter(|c| fits(&c.more) && fits(&c.material))
}

/// The job with a change made, and the change as it is kept: what it came to, with the day
/// promised before and after.
pub fn made(
    is: &Job,
    scope: &Scope,
    effect: &Effect,
    (day, kind, words): (NaiveDate, ChangeKind, &str),
    promised_before: Option<NaiveDate>,
) -> (Job, ChangeOrder) {
    let on = |o: &Outlook| {
        let job = &o.sound.job;
        (job.date_of(o.forecast.day(0.5)), job.date_of(o.forecast.day(job.confidence)))
    };
    let chance = |o: &Outlook, job: &Job| {
        let day = job.target.map(|t| job.day_of(t.day))?;
        Some(libm::round(o.forecast.chance(day).0 * 1e4) / 1e4)
    };
    let round = |x: f64| libm::round(x * 100.0) / 100.0;
    let ((likely_before, safe_before), (likely_after, safe_after)) = (on(&effect.before), on(&effect.after));
    let cents = agreed(effect, kind);
    let order = ChangeOrder {
        day,
        kind,
        words: words.trim().to_string(),
        adds: scope.adds.clone(),
        drops: scope.drops.clone(),
        hours: round(effect.hours + effect.allowance),
        dollars: effect.dollars,
        days: effect.days,
        likely_before,
        likely_after,
        safe_before,
        safe_after,
        chance_before: chance(&effect.before, &effect.before.sound.job),
        chance_after: chance(&effect.after, is),
        promised_before,
        promised_after: is.promise().map(|p| p.day),
        trials: effect.after.forecast.trials as u32,
        confidence: Some(effect.before.sound.job.confidence),
        cents_before: cents.as_ref().and_then(|c| c.before),
        cents_after: cents.as_ref().and_then(|c| Some(c.before? + c.more)),
        cents: cents.as_ref().map(|c| c.more),
        material: cents.as_ref().map(|c| c.material),
    };
    (edited(is, &[Edit::Changed(Box::new(order.clone()))]), order)
}
