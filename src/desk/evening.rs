//! What is said on the evening of a day, and why the date moved since the evening before.
//!
//! A reason is a paired difference at the date 8 in 10 trials reach: the same trials with and
//! without it. Time lost and ways taken are asked as of the evening before, as if known then; that work began
//! against a job before that may still run over; the day as planned against the morning, when all
//! might still have happened on it; the day's work against the day as planned; gates now said to
//! come later without what was said. Until work has begun there is no day's work to compare. What the
//! reasons leave of the whole move stays in "together".

use chrono::{Days, NaiveDate};

use super::underway::{asked_at, evening_of, known_by, worse};
use super::{ASKED, AT_REST, Sound, judge, stuck, without_lost_names};
use crate::clock::At;
use crate::forecast::{Forecast, Options};
use crate::job::{ChangeKind, ChangeOrder, DayLog, Edit, Evening, Job, LostTime, MovedBy, Problem, edited};
use crate::record::as_planned;
use crate::search::Found;
use crate::trade::{Risks, Switch};

/// Share of trials at whose finish a move is counted.
pub const MOVE: f64 = 0.8;

/// A job asked at a moment, with its plan and odds.
#[derive(Clone, Debug)]
pub struct Outlook {
    pub sound: Sound,
    pub found: Found,
    pub forecast: Forecast,
}

impl Outlook {
    /// Works it out.
    ///
    /// # Errors
    /// Everything that stands against a plan.
    pub fn of(job: &Job, as_of: Option<chrono::NaiveDateTime>, trials: usize) -> Result<Outlook, Vec<Problem>> {
        Outlook::judged(asked_at(job, as_of)?, job.seed, trials)
    }

    /// [`Outlook::of`] with everything in the job known, of whatever day it is.
    ///
    /// # Errors
    /// Everything that stands against a plan.
    pub fn known(job: &Job, as_of: Option<chrono::NaiveDateTime>, trials: usize) -> Result<Outlook, Vec<Problem>> {
        Outlook::judged(judge(&Job { as_of, ..job.clone() })?, job.seed, trials)
    }

    fn judged(sound: Sound, seed: u64, trials: usize) -> Result<Outlook, Vec<Problem>> {
        let found = sound.plan(false).map_err(|e| vec![stuck(&sound, &e)])?;
        let o = Options { trials, seed, cause_trials: 0 };
        let forecast = sound.forecast(&found, o).map_err(|e| vec![stuck(&sound, &e)])?;
        Ok(Outlook { sound, found, forecast })
    }

    /// [`Outlook::of`] with days not written up counted the way that ends later.
    ///
    /// # Errors
    /// Everything that stands against a plan.
    pub fn worse(job: &Job, as_of: Option<chrono::NaiveDateTime>, trials: usize) -> Result<Outlook, Vec<Problem>> {
        Outlook::judged(worse(job, as_of)?, job.seed, trials)
    }

    /// The date 8 in 10 trials reach.
    pub fn eighty(&self) -> At {
        self.forecast.quantile(MOVE).0
    }
}

/// Whether somebody of the crew would work on a day.
pub fn works(sound: &Sound, day: i64) -> bool {
    sound.setting.workers.iter().any(|w| w.shifts.day(day).minutes() > 0)
}

/// A day as the plan of the evening before had it.
///
/// # Errors
/// Everything that stands against a plan.
pub fn day_as_planned(job: &Job, day: NaiveDate) -> Result<(DayLog, bool), Vec<Problem>> {
    let eve = Job { log: job.log.iter().filter(|d| d.day < day).cloned().collect(), ..job.clone() };
    // Before anything is written up the plan is that from the first day.
    let as_of = (!eve.log.is_empty() || day > job.start).then(|| day.and_time(chrono::NaiveTime::MIN));
    let sound = asked_at(&eve, as_of)?;
    let found = sound.plan(false).map_err(|e| vec![stuck(&sound, &e)])?;
    let n = job.day_of(day);
    Ok((as_planned(&eve, &sound.graph, &sound.setting, &found.plan, n), works(&sound, n)))
}

/// The working days from one instant to another by the calendar of a job without lost time.
pub(super) fn days(plain: &Sound, a: At, b: At) -> f64 {
    let clock = crate::forecast::world::crew_clock(&plain.setting).0;
    let week: i64 = plain.setting.workers.iter().map(|w| w.shifts.week_minutes()).max().unwrap_or(0);
    let workdays = plain.setting.workers.iter().map(|w| w.days.iter().filter(|d| **d).count()).max().unwrap_or(0);
    if week == 0 || workdays == 0 {
        return (b.0 - a.0) as f64 / crate::clock::DAY as f64;
    }
    let sign = if b < a { -1.0 } else { 1.0 };
    let minutes = clock.progress(a.0.min(b.0), a.0.max(b.0)) as f64 / crate::clock::UNIT as f64;
    sign * minutes * workdays as f64 / week as f64
}

/// What lost time is called in the record.
fn lost_words(job: &Job, l: &LostTime) -> String {
    let who = job.crew.iter().find(|p| p.id == l.who).map(|p| if p.name.is_empty() { &p.id } else { &p.name });
    let whom = match (l.house, who) {
        (true, _) => "the house not free".to_string(),
        (false, Some(name)) => format!("{name} out"),
        (false, None) => "nobody there".to_string(),
    };
    if l.note.is_empty() { whom } else { format!("{whom}: {}", l.note) }
}

/// What is said on the evening of a day that is written up, against the last of the record.
///
/// # Errors
/// Everything that stands against a plan.
pub fn evening(job: &Job, day: NaiveDate) -> Result<Evening, Vec<Problem>> {
    let whole = known_by(job, day);
    let upto = |d: NaiveDate| Job { log: whole.log.iter().filter(|x| x.day <= d).cloned().collect(), ..whole.clone() };
    let job = upto(day);
    let now = Outlook::of(&job, Some(evening_of(day)), AT_REST)?;
    let f = &now.forecast;
    let date = |d: i64| job.date_of(d);
    let before = job.record.iter().rev().find(|e| e.day < day);
    let agreed = job.changes.iter().filter(|c| c.day <= day).count();
    let mut out = Evening {
        day,
        clean_run: job.time_of(f.clean_run),
        likely: date(f.day(0.5)),
        safe: date(f.day(job.confidence)),
        eighty: job.time_of(now.eighty()),
        chance: job.target.map(|t| libm::round(f.chance(job.day_of(t.day)).0 * 1e4) / 1e4),
        confidence: job.confidence,
        lost: job.lost.len() as u32,
        ways: Some(job.taken.len() as u32),
        changes: Some(agreed as u32),
        reasons: Vec::new(),
        together: 0.0,
        trials: f.trials as u32,
    };
    let Some(prev) = day.checked_sub_days(Days::new(1)) else { return Ok(out) };
    // Changes since the evening before are a reason of their own.
    let since = before.map_or_else(|| job.start.pred_opt().unwrap_or(job.start), |e| e.day);
    let changed = changes_by(&job, before, since);
    let eve = before_ways(&known_by(&before_changes(&upto(prev), changed), since), before);
    let known = before.map_or(0, |e| e.lost as usize).min(job.lost.len());
    // An evening before has counted what was known then, days to come among it.
    let old: Vec<LostTime> = job.lost.iter().take(known).cloned().collect();
    // From the last evening on record; days since are told apart, whether lost or not written up.
    let morning = day.and_time(chrono::NaiveTime::MIN);
    let start = match before {
        Some(e) => Some(evening_of(e.day)),
        None => (!eve.log.is_empty() || day > job.start).then_some(morning),
    };
    let plain = asked_at(&Job { lost: Vec::new(), ..job.clone() }, None)?;
    let mut so_far = Job { lost: old, ..eve };
    let mut last = Outlook::of(&so_far, start, ASKED)?;
    let first = last.eighty();
    let mut put = |what: String, from: &Outlook, to: &Outlook| {
        let days = libm::round(days(&plain, from.eighty(), to.eighty()) * 100.0) / 100.0;
        out.reasons.push(MovedBy { what, days });
    };
    for l in job.lost.iter().skip(known) {
        so_far.lost.push(l.clone());
        let next = Outlook::of(&so_far, start, ASKED)?;
        put(lost_words(&job, l), &last, &next);
        last = next;
    }
    let taken = job.taken.len() - so_far.taken.len();
    if taken > 0 {
        let later = Job { log: so_far.log, lost: so_far.lost, ..job.clone() };
        so_far = known_by(&before_changes(&later, changed), since);
        let next = Outlook::of(&so_far, start, ASKED)?;
        put(if taken == 1 { "a way taken" } else { "ways taken" }.into(), &last, &next);
        last = next;
    }
    let news = &job.changes[changed.min(agreed)..agreed];
    if !news.is_empty() {
        so_far = Job { log: so_far.log, lost: so_far.lost, ..job.clone() };
        let next = Outlook::known(&so_far, start, ASKED)?;
        put(change_words(news), &last, &next);
        last = next;
    }
    let mut between = before.map_or(day, |e| e.day).iter_days().skip(1).take_while(|d| *d < day);
    let open = |d: &NaiveDate| works(&last.sound, job.day_of(*d)) && !job.log.iter().any(|x| x.day == *d);
    if between.any(|d| open(&d)) {
        let next = Outlook::of(&so_far, Some(morning), ASKED)?;
        put("days not written up".into(), &last, &next);
        last = next;
    }
    let entry = job.log.iter().find(|d| d.day == day);
    // Until somebody has worked the job before may still run over.
    let at_work = |d: &DayLog| d.steps.iter().any(|w| w.hours > 0.0);
    let not_begun = !job.log.iter().any(at_work);
    if !not_begun && !so_far.log.iter().any(at_work) && so_far.risks.job_before == Switch::On {
        let risks = Risks { job_before: Switch::Off, ..so_far.risks.clone() };
        let next = Outlook::of(&Job { risks, ..so_far.clone() }, start, ASKED)?;
        put(if day == job.start { "begun on the first day" } else { "work has begun" }.into(), &last, &next);
        last = next;
    }
    // The day as planned, then as it was; gates heard of last.
    if !not_begun {
        let (planned, _) = day_as_planned(&so_far, day)?;
        // Of a day somebody is out all that is new is how it may go on.
        let what = if at_work(&planned) { "a day with nothing in its way" } else { "a day nobody worked" };
        let as_planned = edited(&so_far, &[Edit::Day(day, Some(Box::new(planned)))]);
        let planned = Outlook::of(&as_planned, Some(evening_of(day)), ASKED)?;
        put(what.into(), &last, &planned);
        last = planned;
    }
    let gates = |w: &crate::job::Worked| w.coming.is_some();
    let mut worked = job.clone();
    worked.log.iter_mut().filter(|d| d.day == day).for_each(|d| d.steps.retain(|w| !gates(w)));
    let without = Outlook::of(&worked, Some(evening_of(day)), ASKED)?;
    let what = if not_begun { "work not begun yet" } else { "the day's work against as planned" };
    put(what.into(), &last, &without);
    let mut last = without;
    for w in entry.into_iter().flat_map(|d| &d.steps).filter(|w| gates(w)) {
        worked.log.iter_mut().filter(|d| d.day == day).for_each(|d| d.steps.push(w.clone()));
        let next = Outlook::of(&worked, Some(evening_of(day)), ASKED)?;
        put(coming_words(&job, w), &last, &next);
        last = next;
    }
    let since = before.map_or(first, |e| job.at_of(e.eighty));
    out.together = libm::round(days(&plain, since, now.eighty()) * 100.0) / 100.0;
    out.reasons.retain(|r| r.days != 0.0);
    Ok(out)
}

/// A job without the ways taken since an evening.
fn before_ways(job: &Job, evening: Option<&Evening>) -> Job {
    let by_day = |e: &Evening| job.taken.iter().filter(|w| w.day <= e.day).count();
    let known = evening.map_or(0, |e| e.ways.map_or_else(|| by_day(e), |n| n as usize));
    let back: Vec<Edit> = (known..job.taken.len()).rev().map(Edit::WayTakenBack).collect();
    edited(job, &back)
}

/// Changes known on the evening before.
fn changes_by(job: &Job, evening: Option<&Evening>, since: NaiveDate) -> usize {
    let by_day = || job.changes.iter().filter(|c| c.day <= since).count();
    evening.and_then(|e| e.changes).map_or_else(by_day, |n| n as usize).min(job.changes.len())
}

/// A job without the work its changes from one on brought.
fn before_changes(job: &Job, known: usize) -> Job {
    let mut out = job.clone();
    for id in job.changes[known.min(job.changes.len())..].iter().rev().flat_map(|c| &c.adds) {
        out.steps.retain(|s| s.id != *id);
        let again = id.split_once("+again").and_then(|(step, _)| out.redone.iter().rposition(|r| r.step == step));
        if let Some(at) = again {
            out.redone.remove(at);
        }
    }
    without_lost_names(out)
}

/// What changes are called in the record.
fn change_words(news: &[ChangeOrder]) -> String {
    let one = |c: &ChangeOrder| match c.kind {
        ChangeKind::Redo => format!("done again: {}", c.words),
        ChangeKind::Scope => format!("a change: {}", c.words),
    };
    news.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// What was heard of a gate: its name and the day it is now said to come.
fn coming_words(job: &Job, w: &crate::job::Worked) -> String {
    let named = |id: &str, name: &str| (id == w.step && !name.is_empty()).then(|| name.to_string());
    let all = job.deliveries.iter().map(|d| (&d.id, &d.name)).chain(job.decisions.iter().map(|d| (&d.id, &d.name)));
    let all = all.chain(job.visits.iter().map(|v| (&v.id, &v.name)));
    let name = all.into_iter().find_map(|(id, name)| named(id, name)).unwrap_or_else(|| w.step.clone());
    w.coming.map_or(name.clone(), |day| format!("{name}: now said to come {}", day.format("%-d %b")))
}

/// Evenings the record lacks up to a day, added; days not written up have none.
///
/// # Errors
/// Everything that stands against a plan.
pub fn recorded(job: &Job, through: NaiveDate) -> Result<Job, Vec<Problem>> {
    let mut job = job.clone();
    let told = job.log.iter().filter(|d| !d.news_only());
    let mut days: Vec<NaiveDate> = told.map(|d| d.day).filter(|d| *d <= through).collect();
    days.sort_unstable();
    for day in days {
        if job.record.last().is_none_or(|e| e.day < day) {
            let e = evening(&job, day)?;
            job = edited(&job, &[Edit::Evening(Box::new(e))]);
        }
    }
    Ok(job)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Redone;

    #[test]
    fn work_found_since_goes_and_what_was_known_of_the_same_step_stays() {
        let day = |d| NaiveDate::from_ymd_opt(2027, 3, d).expect("a day");
        let redone =
            |d| Redone { step: "walls/skim".into(), day: day(d), share: None, hours: None, cause: String::new() };
        let change = |d, adds: &str| ChangeOrder { adds: vec![adds.into()], kind: ChangeKind::Redo, ..blank(day(d)) };
        let redone_of = |days: &[u32]| days.iter().map(|d| redone(*d)).collect::<Vec<_>>();
        // One known on the evening of the 5th, one found that night, one on the 8th.
        let job = Job {
            redone: redone_of(&[3, 5, 8]),
            changes: vec![
                change(3, "walls/skim+again"),
                change(5, "walls/skim+again-2"),
                change(8, "walls/skim+again-3"),
            ],
            ..Job::default()
        };
        let left = |known: usize| known_by(&before_changes(&job, known), day(5)).redone;
        assert_eq!(left(1), redone_of(&[3]));
        assert_eq!(left(2), redone_of(&[3, 5]));
        assert_eq!(before_changes(&job, 3), job);
    }

    fn blank(day: NaiveDate) -> ChangeOrder {
        ChangeOrder {
            day,
            kind: ChangeKind::Scope,
            words: String::new(),
            adds: Vec::new(),
            drops: Vec::new(),
            hours: 0.0,
            dollars: None,
            days: 0.0,
            likely_before: day,
            likely_after: day,
            safe_before: day,
            safe_after: day,
            chance_before: None,
            chance_after: None,
            promised_before: None,
            promised_after: None,
            trials: 0,
            confidence: None,
            cents_before: None,
            cents_after: None,
            cents: None,
            material: None,
        }
    }
}
