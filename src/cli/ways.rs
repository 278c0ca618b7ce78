//! The command `ways-back`: what could be done, one of them made so or taken back, and the message
//! to the client.
//!
//! Taking and taking back are one atomic replace under an advisory lock. The ways are worked out
//! anew before one is taken, so a number means what it meant while the file is the same.

use serde_json::json;

use super::Output;
use super::apply::{Applied, written};
use super::args::WaysBackArgs;
use super::commands::{Done, at, found, json_text, moment_of, open_sound, put_applied, refused};
use crate::desk::ways_back::{self as ways, Answer, Asked};
use crate::desk::{Sound, underway};
use crate::job::{Edit, Job, TakenWay, edited};
use crate::{store, views};

pub(super) fn ways_back(a: &WaysBackArgs) -> Done {
    match (a.take, a.take_back) {
        (None, None) => show(a),
        _ => store::locked(&a.job.job, || change(a)).map_err(Output::wrong)?,
    }
}

/// The job at the moment asked, and its file's text and own job: with what is only known later than
/// that moment, and without days counted both ways.
fn asked(a: &WaysBackArgs) -> Result<(String, Job, Sound), Output> {
    let (text, sound) = open_sound(&a.job)?;
    if sound.job.study.is_some() {
        return Err(Output::wrong("a published network has nobody to help and nothing to heat; there is no way back"));
    }
    let as_of = moment_of(&sound.job, a.as_of.as_of)?;
    let own = Job { as_of, ..sound.job.clone() };
    Ok((text, own, if as_of.is_some() { at(&a.job, &sound.job, as_of)? } else { sound }))
}

fn worked_out(a: &WaysBackArgs, sound: &Sound) -> Result<Answer, Output> {
    let budget = a.budget.map(crate::waysback::cents);
    let what = Asked { budget, ..Asked::default() };
    let mut last = None;
    ways::ways_back(&sound.job, &what, &|| false, &mut |x| last = Some(x.clone())).map_err(|p| refused(&a.job, &p))?;
    last.ok_or_else(|| Output::wrong("no way could be worked out for this job"))
}

fn show(a: &WaysBackArgs) -> Done {
    let (_, _, sound) = asked(a)?;
    let answer = worked_out(a, &sound)?;
    Ok(Output::fine(match (a.message, a.job.json) {
        (true, true) => json_text(&views::message_json(&answer)),
        (true, false) => views::message_text(&answer),
        (false, true) => json_text(&views::ways_json(&sound, &answer)),
        (false, false) => views::ways_text(&sound, &answer),
    }))
}

fn change(a: &WaysBackArgs) -> Done {
    let (text, own, sound) = asked(a)?;
    let (is, said) = match (a.take, a.take_back) {
        (Some(n), _) => taken(a, &own, &sound, n as usize)?,
        (None, n) => back(a, &own, n.unwrap_or(1) as usize)?,
    };
    let judged = underway::worse(&is, is.as_of).map_err(|p| refused(&a.job, &p))?;
    let plan = found(&a.job, &judged, false)?;
    let applied: Applied = written(&a.job.job, &text, &is, &plan).map_err(Output::wrong)?;
    if a.job.json {
        let mut v = json!({"job": is.name, "means": said, "taken": views::taken_json(&is), "problems": []});
        put_applied(&mut v, Some(&applied));
        return Ok(Output::fine(json_text(&v)));
    }
    Ok(Output::fine(format!("{said}\n\n{}", applied.words())))
}

fn taken(a: &WaysBackArgs, own: &Job, sound: &Sound, n: usize) -> Result<(Job, String), Output> {
    let answer = worked_out(a, sound)?;
    let Some(way) = n.checked_sub(1).and_then(|i| answer.ways.get(i)) else {
        let there = match answer.ways.len() {
            0 => "there is none".to_string(),
            1 => "there is one".to_string(),
            many => format!("there are {many}"),
        };
        return Err(Output::wrong(format!("--take: there is no way {n}; {there}. Leave --take out to see them")));
    };
    let words = views::way_words(&answer.job, &way.levers);
    let day = sound.job.as_of.map_or_else(store::today, ways::evening_day);
    let is = edited(own, &[Edit::taking(own, &way.job, day, words.clone(), way.cents)]);
    let cost = views::cents_words(way.cents);
    Ok((is, format!("Taken: {words}, {cost}. --take-back {} takes it back.", own.taken.len() + 1)))
}

fn back(a: &WaysBackArgs, job: &Job, n: usize) -> Result<(Job, String), Output> {
    let Some(way) = n.checked_sub(1).and_then(|i| job.taken.get(i)) else {
        let there =
            if job.taken.is_empty() { "none was taken".to_string() } else { format!("{} were taken", job.taken.len()) };
        return Err(Output::wrong(format!("--take-back: there is no way {n} to take back; {there}")));
    };
    if let Some(later) = TakenWay::taken_over(job, n - 1) {
        let why = views::first_back_words(way, &job.taken[later]);
        return Err(Output::wrong(format!("--take-back: {why} --take-back {} does", later + 1)));
    }
    let changed = way.changed_since(job);
    if !changed.is_empty() && !a.anyway {
        let list = changed.join(", ");
        return Err(Output::wrong(format!(
            "{list} changed since that way was taken; nothing was written. --anyway puts it back as it was before the way, and what was changed since is lost"
        )));
    }
    let words = way.words.clone();
    Ok((edited(job, &[Edit::WayTakenBack(n - 1)]), format!("Taken back: {words}. Days written up since stay.")))
}
