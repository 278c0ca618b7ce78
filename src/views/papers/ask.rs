//! A paper as it is asked for: which page, on which sheet, of which room, days or change; and what comes of it, its pages
//! or why the job cannot have it.
//!
//! Text commands and window ask for the same things here, so a page is the same whoever prints it. Who asks has the
//! answers at hand that a page is made from; nothing is planned or forecast here but the end of a closed job.

use chrono::NaiveDate;

use super::{buying_papers, change_papers, closing_papers, day_papers, quote_papers, section_papers};
use crate::buying::Buying;
use crate::desk::{Sound, close};
use crate::forecast::Forecast;
use crate::job::{ChangeKind, Job, Units};
use crate::pricing::Price;
use crate::search::Found;
use crate::views::change_order::{order_number, order_place};
use crate::views::client::{ClientPage, client_sheets};
use crate::views::paper::{Page, Size, clean};
use crate::views::quoted::{BEGUN, NoQuote, Quoted};
use crate::views::{self, TodayView, day_words};

/// A page of the job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Paper {
    Client,
    Section,
    Days,
    Quote,
    Change,
    Buying,
    Closing,
}

impl Paper {
    pub const ALL: [Paper; 7] =
        [Paper::Client, Paper::Section, Paper::Days, Paper::Quote, Paper::Change, Paper::Buying, Paper::Closing];

    /// Its word in the text commands and in the name of its file.
    pub fn word(self) -> &'static str {
        match self {
            Paper::Client => "client",
            Paper::Section => "section",
            Paper::Days => "days",
            Paper::Quote => "quote",
            Paper::Change => "change",
            Paper::Buying => "buying",
            Paper::Closing => "closing",
        }
    }

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Paper::Client => "client's page",
            Paper::Section => "room section",
            Paper::Days => "day sheets",
            Paper::Quote => "quote",
            Paper::Change => "change order",
            Paper::Buying => "buying list",
            Paper::Closing => "closing page",
        }
    }

    /// Whom it is for, and what it is good for.
    pub fn about(self) -> &'static str {
        match self {
            Paper::Client => "For the client: the day, the weeks, what is needed from them.",
            Paper::Section => "For the wall of the shop: the chart, then every step by its day.",
            Paper::Days => "For who works: a sheet a day, with what to load and what dries.",
            Paper::Quote => "For the client, to sign: price, payments, what is in it and what is not.",
            Paper::Change => "For the client, to sign: what was agreed, its price and days.",
            Paper::Buying => "For the store: packages by supplier, order days, every stick with its cuts.",
            Paper::Closing => "For yourself: promised, likely, come; hours against their estimate.",
        }
    }

    /// Whether it shows nothing of labor, money or odds, and so may lie open before the client unasked.
    pub fn open_to_all(self) -> bool {
        self == Paper::Client
    }
}

/// What is asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PaperAsk {
    pub paper: Paper,
    pub size: Size,
    /// Of the section: this room alone, by its place in the job.
    pub room: Option<usize>,
    /// Of the day sheets: none before and none after these days.
    pub from: Option<NaiveDate>,
    pub through: Option<NaiveDate>,
    /// Which change by its place on record, counted from 1; the last change order where none is said.
    pub change: Option<usize>,
}

impl PaperAsk {
    /// A page on the paper of the job's units: A4 in a metric job, else Letter.
    pub fn new(paper: Paper, units: Units) -> PaperAsk {
        let size = if units == Units::Metric { Size::A4 } else { Size::Letter };
        PaperAsk { paper, size, room: None, from: None, through: None, change: None }
    }
}

/// Pages with the title of their file.
#[derive(Clone, Debug, PartialEq)]
pub struct Printed {
    pub title: String,
    pub pages: Vec<Page>,
    /// Of the day sheets: every day that has one, whichever were asked for.
    pub days: Vec<NaiveDate>,
}

/// Why a job cannot have a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// A published network has neither client nor crew.
    Network,
    NoCost,
    /// Work has begun, and no quote was kept before it.
    Begun,
    NoChange,
    NotClosed,
    Said(String),
}

impl Refusal {
    /// Why, and where to go in the window.
    pub fn words(&self) -> String {
        match self {
            Refusal::Network => "A published network has no client and no crew; it has no papers.".into(),
            Refusal::NoCost => {
                "There is no price yet: somebody of the crew has no cost an hour. It is given in Crew, on the bench Order \
                 of work."
                    .into()
            }
            Refusal::Begun => BEGUN.into(),
            Refusal::NoChange => {
                "No change is on record. One is made with “Add a change” or “Something to redo”, On site.".into()
            }
            Refusal::NotClosed => {
                "The job is not closed yet. “Close the job”, On site, does so once its last day is written up.".into()
            }
            Refusal::Said(why) => why.clone(),
        }
    }
}

type Made = Result<Printed, Refusal>;

fn titled(sound: &Sound, what: &str, pages: Vec<Page>) -> Printed {
    Printed { title: format!("{}: {what}", clean(&sound.job.name)), pages, days: Vec::new() }
}

/// The client's page.
pub fn client_print(page: &ClientPage, ask: &PaperAsk) -> Printed {
    let title = format!("{} {}", page.lead, page.headline);
    Printed { title, pages: client_sheets(page, ask.size), days: Vec::new() }
}

/// The room section, of all rooms or of one.
///
/// # Errors
/// A room the job has not.
pub fn section_print(sound: &Sound, found: &Found, f: &Forecast, ask: &PaperAsk) -> Made {
    if let Some(r) = ask.room.filter(|r| *r >= sound.job.rooms.len()) {
        return Err(Refusal::Said(format!("There is no room {} any more.", r + 1)));
    }
    Ok(titled(sound, "room section", section_papers(sound, found, f, ask.size, ask.room)))
}

/// The day sheets, all or those of some days.
///
/// # Errors
/// A published network; nothing left to do; no day with work among those asked for.
pub fn days_print(sound: &Sound, found: &Found, ask: &PaperAsk) -> Made {
    if sound.job.study.is_some() {
        return Err(Refusal::Network);
    }
    let mut view = TodayView::whole(sound, found);
    view.days.retain(|d| !d.work.is_empty());
    if view.days.is_empty() {
        return Err(Refusal::Said(format!(
            "{}: nothing is left to do, so there are no day sheets.",
            clean(&sound.job.name)
        )));
    }
    let days: Vec<NaiveDate> = view.days.iter().map(|d| sound.job.date_of(d.day)).collect();
    let asked = |day: NaiveDate| ask.from.is_none_or(|f| day >= f) && ask.through.is_none_or(|t| day <= t);
    view.days.retain(|d| asked(sound.job.date_of(d.day)));
    if let (true, Some(first), Some(last)) = (view.days.is_empty(), days.first(), days.last()) {
        let (first, last) = (day_words(*first), day_words(*last));
        return Err(Refusal::Said(format!("No day of work lies in these days; the sheets go from {first} to {last}.")));
    }
    Ok(Printed { days, ..titled(sound, "days", day_papers(sound, &view, ask.size)) })
}

/// The quote, dated.
///
/// # Errors
/// Somebody's hours have no cost; work has begun and no quote was kept.
pub fn quote_print(sound: &Sound, f: &Forecast, price: &Price, made_on: NaiveDate, ask: &PaperAsk) -> Made {
    let quoted = Quoted::of(sound, f, price, made_on).map_err(|why| match why {
        NoQuote::NoCost => Refusal::NoCost,
        NoQuote::Begun => Refusal::Begun,
    })?;
    Ok(titled(sound, "quote", quote_papers(&sound.job, &quoted, ask.size)))
}

/// A change order.
///
/// # Errors
/// None is on record, or not that one.
pub fn change_print(sound: &Sound, ask: &PaperAsk) -> Made {
    let all = &sound.job.changes;
    if all.is_empty() {
        return Err(Refusal::NoChange);
    }
    let n = ask.change.or_else(|| order_place(&sound.job, false, None)).unwrap_or(all.len());
    let Some(order) = n.checked_sub(1).and_then(|i| all.get(i)) else {
        return Err(Refusal::Said(format!("There is no change {n} on record any more.")));
    };
    let title = match order.kind {
        ChangeKind::Redo => "put right at no charge".to_string(),
        ChangeKind::Scope => format!("change order {}", order_number(&sound.job, n)),
    };
    Ok(titled(sound, &title, change_papers(sound, n, order, ask.size)))
}

/// The buying list.
pub fn buying_print(sound: &Sound, list: &Buying, ask: &PaperAsk) -> Printed {
    titled(sound, "buying list", buying_papers(sound, list, ask.size))
}

/// What came of a closed job.
///
/// # Errors
/// It is not closed; what stands against its plan.
pub fn closing_print(job: &Job, ask: &PaperAsk) -> Made {
    let closing = job.closed.as_ref().ok_or(Refusal::NotClosed)?;
    let e = close::ending_from(job, closing.day, closing.likely)
        .map_err(|p| Refusal::Said(views::first_against(job, &p).unwrap_or_default()))?;
    Ok(titled(&e.sound, "closing page", closing_papers(&e, ask.size)))
}

/// `page 2 of 3`, of a page counted from 0.
pub fn page_words(at: usize, all: usize) -> String {
    format!("page {} of {all}", at + 1)
}

/// Changes on record to choose from, the last first: place on record from 1, and its words. Work done again has no number.
pub fn change_choices(job: &Job) -> Vec<(usize, String)> {
    let one = |(i, c): (usize, &crate::job::ChangeOrder)| {
        let words: String = clean(&c.words).chars().take(40).collect();
        let words = if words.is_empty() { "a change".to_string() } else { words };
        let head = match c.kind {
            ChangeKind::Redo => "put right".to_string(),
            ChangeKind::Scope => order_number(job, i + 1).to_string(),
        };
        (i + 1, format!("{head}: {words}, {}", day_words(c.day)))
    };
    job.changes.iter().enumerate().map(one).rev().collect()
}

/// Rooms to choose from: place in the job, and name.
pub fn room_choices(job: &Job) -> Vec<(usize, String)> {
    let name = |r: &crate::job::Room| clean(views::named(&r.name, &r.id)).chars().take(40).collect();
    job.rooms.iter().map(name).enumerate().collect()
}
