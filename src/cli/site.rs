//! The commands of a job under way: a day written up, time lost, today's sheet, the record.
//!
//! Each change is one atomic replace under an advisory lock: the file is read, changed and
//! written while no other command does.

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::Output;
use super::apply::{Applied, written};
use super::args::{JobArg, LogArgs, LostArgs, TodayArgs};
use super::commands::{Done, found, json_text, open_at, open_sound, put_applied, refused, too_far};
use crate::desk::write_up::{Said, written_up};
use crate::desk::{AT_REST, Sound, evening, evening::Outlook, underway};
use crate::job::{DayLog, Edit, How, Job, LostCause, LostTime, Worked, edited};
use crate::work::Kind;
use crate::{jobfile, search, store, views};

/// Days one call may write up.
const MOST_DAYS: i64 = 366;

/// A file's text and its job, with the order that is worked by kept in it.
pub(super) struct Begun {
    pub text: String,
    pub sound: Sound,
    pub job: Job,
}

pub(super) fn begun(a: &JobArg) -> Result<Begun, Output> {
    let (text, sound) = open_sound(a)?;
    if sound.job.study.is_some() {
        return Err(Output::wrong("nobody works on a published network; there is nothing to write up"));
    }
    let mut job = sound.job.clone();
    if job.kept.is_none() {
        let plan = found(a, &sound, false)?;
        job.kept = Some(search::keep(&sound.graph, &sound.setting, &plan.plan.order, &sound.job));
    }
    Ok(Begun { text, sound, job })
}

pub(super) fn in_job(job: &Job, name: &str, day: NaiveDate) -> Result<(), Output> {
    if day < job.start {
        let (day, start) = (views::day_words(day), views::day_words(job.start));
        return Err(Output::wrong(format!("{name}: {day} lies before the first day, {start}")));
    }
    if underway::far(job, day) {
        return Err(Output::wrong(too_far(name, day)));
    }
    Ok(())
}

/// Ids of people, by id or name.
fn people(job: &Job, names: &[String]) -> Result<Vec<String>, Output> {
    let one = |name: &String| {
        let same = |x: &str| x.eq_ignore_ascii_case(name.trim());
        let there = job.crew.iter().find(|p| same(&p.id) || same(&p.name)).map(|p| p.id.clone());
        let all = || job.crew.iter().map(|p| p.id.as_str()).collect::<Vec<_>>().join(", ");
        there.ok_or_else(|| {
            Output::wrong(format!("--who: nobody of the crew is called \"{name}\"; there are {}", all()))
        })
    };
    names.iter().map(one).collect()
}

/// A cause by its word, or any other with the words kept as a note.
fn cause(text: &str) -> (LostCause, String) {
    let word = text.trim().to_lowercase().replace([' ', '-'], "_");
    match serde_json::from_value(json!(word)) {
        Ok(c) => (c, text.trim().replace('_', " ")),
        Err(_) => (LostCause::Other, text.trim().to_string()),
    }
}

/// Works the job out as it was and as it is, and says what the change comes to.
pub(super) fn outlooks(a: &JobArg, was: &Job, is: &Job) -> Result<(Outlook, Outlook), Output> {
    let of = |job: &Job| Outlook::of(job, underway::last_evening(job), AT_REST).map_err(|p| refused(a, &p));
    Ok((of(was)?, of(is)?))
}

pub(super) fn save(a: &JobArg, text: &str, is: &Job, after: &Outlook) -> Result<Applied, Output> {
    let asked = Job { as_of: underway::last_evening(is), ..is.clone() };
    written(&a.job, text, &asked, &after.found).map_err(Output::wrong)
}

pub(super) fn log(a: &LogArgs) -> Done {
    store::locked(&a.job.job, || log_locked(a)).map_err(Output::wrong)?
}

fn log_locked(a: &LogArgs) -> Done {
    let Begun { text, sound, job: was } = begun(&a.job)?;
    in_job(&was, "--day", a.day)?;
    let to = a.through.unwrap_or(a.day);
    if to < a.day || (to - a.day).num_days() >= MOST_DAYS {
        return Err(Output::wrong("--through: a day after --day, within a year of it"));
    }
    let refuse = |p: Vec<_>| refused(&a.job, &p);
    let mut is = was.clone();
    if a.as_planned || a.nothing {
        let days: Vec<NaiveDate> = a.day.iter_days().take_while(|d| *d <= to).collect();
        let note = || a.note.clone();
        let why = a.cause.as_deref().map(cause);
        let nothing = |day| Said::Nothing { day, cause: why.clone(), note: note() };
        let said = match a.as_planned {
            true => vec![Said::AsPlanned { days, note: note() }],
            // Of several days those on which nobody was to work anyway are left out.
            false if days.len() > 1 => {
                let worked = |d: &&NaiveDate| evening::works(&sound, is.day_of(**d));
                days.iter().filter(worked).map(|d| nothing(*d)).collect()
            }
            false => vec![nothing(a.day)],
        };
        if said.is_empty() {
            return Err(Output::wrong(
                "--through: nobody was to work on any of these days; there is nothing to write up",
            ));
        }
        for one in &said {
            is = written_up(&is, one).map_err(refuse)?;
        }
    } else {
        // The days before are over now.
        let eve = a.day.pred_opt().unwrap_or(a.day);
        is = evening::recorded(&is, eve).map_err(refuse)?;
        let entry = worked(a, &sound, &is)?;
        is = edited(&is, &[Edit::Day(a.day, Some(Box::new(entry)))]);
    }
    let (before, after) = outlooks(&a.job, &was, &is)?;
    let applied = save(&a.job, &text, &is, &after)?;
    let days: Vec<NaiveDate> = is.log.iter().map(|d| d.day).filter(|d| (a.day..=to).contains(d)).collect();
    if a.job.json {
        let mut v = json!({
            "job": is.name, "days": days.iter().map(|d| views::day_json(&is, *d)).collect::<Vec<_>>(),
            "change": views::change_json(&before, &after), "problems": [],
        });
        put_applied(&mut v, Some(&applied));
        return Ok(Output::fine(json_text(&v)));
    }
    let mut out: String = days.iter().map(|d| views::day_line(&is, *d)).collect();
    out += &views::change_text(&before, &after);
    Ok(Output::fine(format!("{out}\n{}", applied.words())))
}

/// The entry of a day with one step written up, beside what stands there.
fn worked(a: &LogArgs, sound: &Sound, job: &Job) -> Result<DayLog, Output> {
    let id = a.step.clone().unwrap_or_default();
    let Some(step) = sound.graph.steps.iter().find(|s| s.id == id) else {
        return Err(Output::wrong(unknown(sound, &id)));
    };
    let gate = !matches!(step.kind, Kind::Labor);
    if let Some(day) = a.coming {
        in_job(job, "--coming", day)?;
    }
    if !gate && a.hours.is_none() && !a.done && a.share.is_none() {
        return Err(Output::wrong("say --hours, such as --hours 2.25, or --done"));
    }
    if gate && !a.done && a.coming.is_none() {
        return Err(Output::wrong(format!("{id} is nobody's work: say --done, or --coming with the day it comes")));
    }
    if a.coming.is_some() && !gate {
        return Err(Output::wrong("--coming is for deliveries, decisions and visits; a step has --hours or --done"));
    }
    let new = Worked {
        step: id,
        who: people(job, &a.who)?,
        from: a.from,
        hours: a.hours.unwrap_or(0.0),
        share: a.share.filter(|_| !a.done),
        done: a.done,
        at: a.at,
        coming: a.coming,
        note: a.note.clone(),
    };
    let there = job.log.iter().find(|d| d.day == a.day).cloned();
    let mut day = there.unwrap_or(DayLog { day: a.day, how: How::default(), steps: Vec::new(), note: String::new() });
    day.how = How::Differently;
    match day.steps.iter_mut().find(|w| w.step == new.step) {
        Some(w) => *w = new,
        None => day.steps.push(new),
    }
    Ok(day)
}

/// No such step, and the nearest there are.
pub(super) fn unknown(sound: &Sound, id: &str) -> String {
    let ids = || sound.graph.steps.iter().filter(|s| s.role.planned()).map(|s| s.id.as_str());
    let word = id.to_lowercase();
    let mut near: Vec<&str> = jobfile::nearest(id, ids()).into_iter().collect();
    let tail = word.rsplit('/').next().unwrap_or("").to_string();
    for s in ids().filter(|s| tail.len() > 2 && s.to_lowercase().contains(&tail)) {
        if near.len() < 4 && !near.contains(&s) {
            near.push(s);
        }
    }
    let hint = match near.as_slice() {
        [] => "`roomback plan JOB --json` lists their ids".to_string(),
        all => format!("did you mean {}", all.join(", ")),
    };
    format!("--step: no step, delivery, decision or visit is called \"{id}\"; {hint}")
}

pub(super) fn lost(a: &LostArgs) -> Done {
    store::locked(&a.job.job, || lost_locked(a)).map_err(Output::wrong)?
}

fn lost_locked(a: &LostArgs) -> Done {
    let Begun { text, sound, job: was } = begun(&a.job)?;
    in_job(&was, "--day", a.day)?;
    let to = a.to.unwrap_or(a.day);
    if to < a.day || (to - a.day).num_days() >= MOST_DAYS {
        return Err(Output::wrong("--to: a day not before --day, within a year of it"));
    }
    let who = people(&was, &a.who)?;
    let part = |p: &str| views::site::part(&sound, &who, was.day_of(a.day), p);
    let hours = a.part.as_deref().map(part).transpose().map_err(|e| Output::wrong(format!("--part: {e}")))?;
    let (cause, note) = cause(&a.cause);
    let one = |who: String| LostTime {
        from: a.day,
        to: (to > a.day).then_some(to),
        hours,
        who,
        house: a.house,
        cause,
        note: note.clone(),
    };
    let new: Vec<LostTime> = if who.is_empty() { vec![one(String::new())] } else { who.into_iter().map(one).collect() };
    let mut is = was.clone();
    for l in new.iter().filter(|l| !was.lost.contains(l)) {
        is = edited(&is, &[Edit::Lost(is.lost.len(), Some(l.clone()))]);
    }
    let (before, after) = outlooks(&a.job, &was, &is)?;
    let cost = views::lost_days(&before, &after, &new);
    let applied = save(&a.job, &text, &is, &after)?;
    if a.job.json {
        let entry = |l: &LostTime| serde_json::to_value(l).unwrap_or(Value::Null);
        let mut v = json!({
            "job": is.name, "lost": new.iter().map(entry).collect::<Vec<_>>(),
            "days_lost": cost.lost, "date_moves": cost.moves, "means": cost.sentence,
            "change": views::change_json(&before, &after), "problems": [],
        });
        put_applied(&mut v, Some(&applied));
        return Ok(Output::fine(json_text(&v)));
    }
    let out = format!("{}\n{}", cost.sentence, views::change_text(&before, &after));
    Ok(Output::fine(format!("{out}\n{}", applied.words())))
}

pub(super) fn today(a: &TodayArgs) -> Done {
    let (_, sound) = open_at(&a.job, a.as_of.as_of)?;
    if sound.job.study.is_some() {
        return Err(Output::wrong("nobody works on a published network"));
    }
    let plan = found(&a.job, &sound, false)?;
    let view = views::TodayView::new(&sound, &plan);
    Ok(Output::fine(if a.job.json {
        json_text(&views::today_json(&sound, &view))
    } else {
        views::today_text(&sound, &view)
    }))
}

pub(super) fn moved(a: &TodayArgs) -> Done {
    let (a, as_of) = (&a.job, a.as_of.as_of);
    let Begun { job, .. } = begun(a)?;
    if let Some(t) = as_of.filter(|t| underway::far(&job, t.date())) {
        return Err(Output::wrong(too_far("--as-of", t.date())));
    }
    let refuse = |p: Vec<_>| refused(a, &p);
    let first = Outlook::of(&underway::untouched(&job), None, AT_REST).map_err(refuse)?;
    let as_of = as_of.or_else(|| underway::last_evening(&job));
    let now = Outlook::worse(&job, as_of, AT_REST).map_err(refuse)?;
    Ok(Output::fine(if a.json {
        json_text(&views::moved_json(&job, &first, &now))
    } else {
        views::moved_text(&job, &first, &now)
    }))
}
