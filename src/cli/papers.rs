//! The commands that make something for others: the client's page, papers, calendar, tables.
//!
//! What is written never takes the place of a job file: a name must end as its kind does, and may not
//! be another name of the job. The text a file had before stays beside it as a backup.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::Output;
use super::args::{CalendarArgs, JobArg, PrintArgs, TableArgs};
use super::commands::{Done, found, json_text, open, open_at, problems, stuck};
use crate::desk::{AT_REST, CAUSES, Sound};
use crate::export;
use crate::forecast::{Forecast, Options};
use crate::job::Units;
use crate::search::Found;
use crate::views::client::{ClientPage, client_sheets, client_text};
use crate::views::paper::{Page, Size};
use crate::{store, takeoff, views};

/// A sound job with its plan and odds, and the client's page of it.
struct Shown {
    sound: Sound,
    found: Found,
    page: ClientPage,
}

fn shown(a: &JobArg) -> Result<Shown, Output> {
    let (sound, found) = planned(a)?;
    if sound.job.study.is_some() {
        return Err(Output::wrong("a published network has no client; this is for a job with rooms"));
    }
    let o = Options { trials: AT_REST, seed: sound.job.seed, cause_trials: CAUSES };
    let f: Forecast = sound.forecast(&found, o).map_err(|e| stuck(a, &sound, &e))?;
    let page = ClientPage::new(&sound, &found, &f);
    Ok(Shown { sound, found, page })
}

fn planned(a: &JobArg) -> Result<(Sound, Found), Output> {
    let (_, sound) = open_at(a, None)?;
    let found = found(a, &sound, false)?;
    Ok((sound, found))
}

pub(super) fn show(a: &JobArg) -> Done {
    let s = shown(a)?;
    Ok(Output::fine(if a.json { json_text(&views::client::client_json(&s.page)) } else { client_text(&s.page) }))
}

/// Refuses a name that does not end as its kind does, or that is the job's.
fn may_write(job: &Path, to: &Path, ending: &str) -> Result<(), Output> {
    store::may_name(Some(job), to, &[ending]).map_err(|e| Output::wrong(format!("--to: {e}")))
}

/// One of a few words, by its place in the list.
fn one_of(name: &str, word: &str, words: &[&str]) -> Result<usize, Output> {
    let at = words.iter().position(|w| *w == word);
    at.ok_or_else(|| Output::wrong(format!("--{name}: \"{word}\" is none of these: {}", words.join(", "))))
}

/// What was written, as words or as `{files}`.
fn wrote(a: &JobArg, files: &[PathBuf]) -> Output {
    let names: Vec<String> = files.iter().map(|f| f.display().to_string()).collect();
    Output::fine(if a.json {
        json_text(&json!({"files": names, "problems": []}))
    } else {
        names.iter().map(|n| format!("Wrote {n}\n")).collect::<String>()
    })
}

pub(super) fn print(a: &PrintArgs) -> Done {
    let which = one_of("page", &a.page, &["client", "days"])?;
    let paper = a.paper.as_deref().map(|p| one_of("paper", p, &["a4", "letter", "screen"])).transpose()?;
    may_write(&a.job.job, &a.to, "svg")?;
    let size = |sound: &Sound| match (paper, sound.job.units) {
        (Some(0), _) | (None, Units::Metric) => Size::A4,
        (Some(2), _) => Size::Screen,
        (Some(_), _) | (None, Units::FeetInches) => Size::Letter,
    };
    let (title, pages): (String, Vec<Page>) = if which == 0 {
        let s = shown(&a.job)?;
        let title = format!("{} {}", s.page.lead, s.page.headline);
        (title, client_sheets(&s.page, size(&s.sound)))
    } else {
        let (sound, found) = planned(&a.job)?;
        if sound.job.study.is_some() {
            return Err(Output::wrong("nobody works on a published network; there are no days to print"));
        }
        if paper == Some(2) {
            return Err(Output::wrong("--paper: the days are for paper, a4 or letter"));
        }
        let view = views::TodayView::whole(&sound, &found);
        (format!("{}: days", views::paper::clean(&sound.job.name)), views::day_papers(&sound, &view, size(&sound)))
    };
    let names = store::save_pages(Some(&a.job.job), &a.to, export::ENDINGS, &export::papers(&pages, &title))
        .map_err(Output::wrong)?;
    Ok(wrote(&a.job, &names))
}

pub(super) fn calendar(a: &CalendarArgs) -> Done {
    may_write(&a.job.job, &a.to, "ics")?;
    let s = shown(&a.job)?;
    let mut events = views::client_events(&s.sound, &s.found, &s.page);
    if a.work_days {
        events.extend(views::work_events(&s.sound, &s.found));
    }
    let name = views::paper::clean(&s.sound.job.name);
    let text = export::ical(&name, &events, views::revision(&s.sound.job), store::now());
    store::save(&a.to, &text).map_err(Output::wrong)?;
    Ok(wrote(&a.job, std::slice::from_ref(&a.to)))
}

pub(super) fn table(a: &TableArgs) -> Done {
    let which = one_of("what", &a.what, &["takeoff", "plan", "days"])?;
    may_write(&a.job.job, &a.to, "csv")?;
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
    Ok(wrote(&a.job, std::slice::from_ref(&a.to)))
}
