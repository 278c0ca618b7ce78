//! The command that writes papers: which page of the job, on which paper, as which file.
//!
//! Every page is drawn before the first file is written, and every name is looked at before that: a
//! paper that cannot be drawn, or would take the job's own place, leaves everything as it was.

use super::Output;
use super::args::PrintArgs;
use super::commands::{Done, found, open_sound, refused, stuck};
use super::papers::{may_write, one_of, planned, shown, wrote};
use super::price::{no_network, priced};
use crate::buying::KERF;
use crate::desk::{Sound, close};
use crate::job::Units;
use crate::views::paper::{Page, Size, clean};
use crate::views::papers::{buying_papers, change_papers, closing_papers, day_papers, quote_papers, section_papers};
use crate::views::{self, client::client_sheets};
use crate::{export, store};

/// Papers by name.
const PAGES: [&str; 7] = ["client", "section", "days", "quote", "change", "buying", "closing"];
/// Pages with the title of their file.
struct Paper {
    title: String,
    pages: Vec<Page>,
}

pub(super) fn print(a: &PrintArgs) -> Done {
    let which = PAGES[one_of("page", &a.page, &PAGES)?];
    let paper = a.paper.as_deref().map(|p| one_of("paper", p, &["a4", "letter", "screen"])).transpose()?;
    may_write(&a.job.job, &a.to, export::ENDINGS)?;
    if paper == Some(2) && which != "client" {
        return Err(Output::wrong(format!("--paper: {which} is for paper, a4 or letter")));
    }
    if a.id.is_some() && which != "change" {
        return Err(Output::wrong(format!("--id: it names a change order; --page {which} has none")));
    }
    let made = made(a, which, paper)?;
    let files = export::papers(&made.pages, &made.title, &store::ending(&a.to)).map_err(Output::wrong)?;
    let names = store::save_pages(Some(&a.job.job), &a.to, export::ENDINGS, &files).map_err(Output::wrong)?;
    Ok(wrote(&a.job, &names))
}

fn made(a: &PrintArgs, which: &str, paper: Option<usize>) -> Result<Paper, Output> {
    let size = |sound: &Sound| match (paper, sound.job.units) {
        (Some(0), _) | (None, Units::Metric) => Size::A4,
        (Some(2), _) => Size::Screen,
        (Some(_), _) | (None, Units::FeetInches) => Size::Letter,
    };
    let named = |sound: &Sound, what: &str| format!("{}: {what}", clean(&sound.job.name));
    Ok(match which {
        "client" => {
            let s = shown(&a.job)?;
            let title = format!("{} {}", s.page.lead, s.page.headline);
            Paper { title, pages: client_sheets(&s.page, size(&s.sound)) }
        }
        "section" => {
            let s = shown(&a.job)?;
            let pages = section_papers(&s.sound, &s.found, &s.forecast, size(&s.sound));
            Paper { title: named(&s.sound, "room section"), pages }
        }
        "days" => {
            let (sound, found) = planned(&a.job)?;
            if sound.job.study.is_some() {
                return Err(Output::wrong("nobody works on a published network; there are no days to print"));
            }
            let view = views::TodayView::whole(&sound, &found);
            Paper { title: named(&sound, "days"), pages: day_papers(&sound, &view, size(&sound)) }
        }
        "quote" => {
            let p = priced(&a.job)?;
            if !views::trusted(&p.sound.job, &p.price) {
                return Err(Output::wrong(
                    "a quote without what an hour costs is not printed: give everybody of the crew a cost",
                ));
            }
            let quote = views::quote_of(&p.sound, &p.forecast, &p.price, crate::store::today());
            let pages = quote_papers(&p.sound, &quote, &p.price, size(&p.sound));
            Paper { title: named(&p.sound, "quote"), pages }
        }
        "change" => change(a, size)?,
        "buying" => {
            let (_, sound) = open_sound(&a.job)?;
            no_network(&sound)?;
            let found = found(&a.job, &sound, false)?;
            let list = sound.buying(&found, KERF).map_err(|e| stuck(&a.job, &sound, &e))?;
            let pages = buying_papers(&sound, &list, size(&sound));
            Paper { title: named(&sound, "buying list"), pages }
        }
        _ => {
            let (_, sound) = open_sound(&a.job)?;
            let Some(closing) = &sound.job.closed else {
                let job = a.job.job.display();
                return Err(Output::wrong(format!(
                    "this job is not closed yet; close it first (roomback close {job}), then print what came of it"
                )));
            };
            let e = close::ending_from(&sound.job, closing.day, closing.likely).map_err(|p| refused(&a.job, &p))?;
            Paper { title: named(&sound, "closing page"), pages: closing_papers(&e, size(&sound)) }
        }
    })
}

/// The change order asked for, or the last.
fn change(a: &PrintArgs, size: impl Fn(&Sound) -> Size) -> Result<Paper, Output> {
    let (_, sound) = open_sound(&a.job)?;
    let all = &sound.job.changes;
    if all.is_empty() {
        return Err(Output::wrong("this job has no change on record (roomback change makes one)"));
    }
    let n = a.id.unwrap_or(all.len());
    let Some(order) = n.checked_sub(1).and_then(|i| all.get(i)) else {
        let there = if all.len() == 1 { "one, number 1".into() } else { format!("{}, from 1 on", all.len()) };
        return Err(Output::wrong(format!("--id: there is no change {n}; the job has {there}")));
    };
    let title = format!("{}: change order {n}", clean(&sound.job.name));
    Ok(Paper { title, pages: change_papers(&sound, n, order, size(&sound)) })
}
