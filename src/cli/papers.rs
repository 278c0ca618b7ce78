//! The commands that make something for others: the client's page, calendar, tables; what they share
//! with `print`.
//!
//! What is written never takes the place of a job file: a name must end as its kind does, and may not
//! be another name of the job. The text a file had before stays beside it as a backup.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::Output;
use super::args::{CalendarArgs, JobArg, TableArgs};
use super::commands::{Done, found, json_text, open, open_at, problems, stuck};
use crate::desk::{AT_REST, CAUSES, Sound};
use crate::export;
use crate::forecast::{Forecast, Options};
use crate::search::Found;
use crate::views::client::{ClientPage, client_text};
use crate::{store, takeoff, views};

/// A sound job with its plan and odds, and the client's page of it.
pub(super) struct Shown {
    pub sound: Sound,
    pub found: Found,
    pub forecast: Forecast,
    pub page: ClientPage,
}

pub(super) fn shown(a: &JobArg) -> Result<Shown, Output> {
    let (sound, found) = planned(a)?;
    if sound.job.study.is_some() {
        return Err(Output::wrong("a published network has no client; this is for a job with rooms"));
    }
    let o = Options { trials: AT_REST, seed: sound.job.seed, cause_trials: CAUSES };
    let f: Forecast = sound.forecast(&found, o).map_err(|e| stuck(a, &sound, &e))?;
    let page = ClientPage::new(&sound, &found, &f);
    Ok(Shown { sound, found, forecast: f, page })
}

pub(super) fn planned(a: &JobArg) -> Result<(Sound, Found), Output> {
    let (_, sound) = open_at(a, None)?;
    let found = found(a, &sound, false)?;
    Ok((sound, found))
}

pub(super) fn show(a: &JobArg) -> Done {
    let s = shown(a)?;
    Ok(Output::fine(if a.json { json_text(&views::client::client_json(&s.page)) } else { client_text(&s.page) }))
}

/// Refuses a name that ends as none of these kinds does, or that is the job's.
pub(super) fn may_write(job: &Path, to: &Path, endings: &[&str]) -> Result<(), Output> {
    store::may_name(Some(job), to, endings).map_err(|e| Output::wrong(format!("--to: {e}")))
}

/// One of a few words, by its place in the list.
pub(super) fn one_of(name: &str, word: &str, words: &[&str]) -> Result<usize, Output> {
    let at = words.iter().position(|w| *w == word);
    at.ok_or_else(|| Output::wrong(format!("--{name}: \"{word}\" is none of these: {}", words.join(", "))))
}

/// What was written, as words or as `{files}`; a file replaced is said nowhere, it stays as `.bak`.
pub(super) fn wrote(a: &JobArg, done: &store::Written) -> Output {
    let names = |all: &[PathBuf]| all.iter().map(|f| f.display().to_string()).collect::<Vec<_>>();
    Output::fine(if a.json {
        json_text(&json!({"files": names(&done.files), "older": names(&done.older), "problems": []}))
    } else {
        let words = done.older_words();
        let more = if words.is_empty() { words } else { format!("{words}\n") };
        names(&done.files).iter().map(|n| format!("Wrote {n}\n")).collect::<String>() + &more
    })
}

/// One file.
fn one(to: &Path) -> store::Written {
    store::Written { files: vec![to.to_path_buf()], older: Vec::new() }
}

pub(super) fn calendar(a: &CalendarArgs) -> Done {
    may_write(&a.job.job, &a.to, &["ics"])?;
    let s = shown(&a.job)?;
    let mut events = views::client_events(&s.sound, &s.found, &s.page);
    if a.work_days {
        events.extend(views::work_events(&s.sound, &s.found));
    }
    let name = views::paper::clean(&s.sound.job.name);
    let text = export::ical(&name, &events, views::revision(&s.sound.job), store::now());
    store::save(&a.to, &text).map_err(Output::wrong)?;
    Ok(wrote(&a.job, &one(&a.to)))
}

pub(super) fn table(a: &TableArgs) -> Done {
    let which = one_of("what", &a.what, &["takeoff", "plan", "days"])?;
    may_write(&a.job.job, &a.to, &["csv"])?;
    let table = if which == 0 {
        let (_, mut opened) = open(&a.job)?;
        let job = &opened.read.job;
        match takeoff::takeoff(job).ok().filter(|_| opened.sound.is_some()) {
            Some(rooms) => views::takeoff_table(job, &views::takeoff_rows(job, &rooms, &opened.read.map)),
            None => {
                if let (Some(_), Err(more)) = (&opened.sound, takeoff::takeoff(&opened.read.job)) {
                    opened.read.add(more);
                }
                return Err(problems(&a.job, &opened));
            }
        }
    } else {
        let (sound, found) = planned(&a.job)?;
        match which {
            1 => views::plan_table(&sound, &views::PlanView::without_float(&sound, &found)),
            _ => views::days_table(&sound, &found),
        }
    };
    store::save(&a.to, &export::csv(&table)).map_err(Output::wrong)?;
    Ok(wrote(&a.job, &one(&a.to)))
}
