//! The page of a job under way: the new date, what comes next, today's sheet, what dries now,
//! how the date has moved, the room section.
//!
//! Days not written up are asked first. Where the window has no room for the column beside the drawings they are pages,
//! one in sight. The column at the left scrolls; right of it, above, how
//! the date has moved, below, the same section as in a quote. Everything is read from one answer
//! asked as of the evening of the last day written up, so the figures are those of the texts
//! `today`, `log`, `lost` and `moved`.

mod change;
mod close;
mod column;
mod lost;
mod moved;
mod ways;
mod write;

use std::sync::Arc;

use chrono::NaiveDate;
use egui::{CentralPanel, Frame, Margin, Panel, ScrollArea, Ui};

pub use change::Kind;

use super::action::Action;
use super::bench::near;
use super::section::{self, SectionState};
use super::shown::{Reached, Shown};
use super::theme::{Theme, size};
use super::{Scene, benches};
use crate::desk::underway::last_told;
use crate::desk::write_up::to_write_up;
use crate::job::{DayLog, Job};
use crate::views::site::sheet::{Sheet, done, order_words, to_do};
use crate::views::site::{DryingNow, drying_now, headline};
use crate::views::{Figure, TodayView};

/// Narrowest and widest column at the left, and its share of the window.
const COLUMN: (f32, f32, f32) = (400.0, 560.0, 0.33);
/// Narrowest window in which the column and the drawings stand beside each other; below it they are pages.
const BOTH: f32 = 800.0;
const PAGES: [&str; 3] = ["The days", "How the date has moved", "The room"];
/// The page of the room section.
const ROOM: usize = 2;
/// Lowest and highest zone above the section, and its share of the page.
const ABOVE: (f32, f32, f32) = (190.0, 400.0, 0.4);

/// What the page remembers between two drawings.
#[derive(Clone, Debug, Default)]
pub struct SiteState {
    /// A day being written up step by step.
    editing: Option<write::Editing>,
    /// The one sent off, until it is written up: refused, it comes back as it was.
    sent: Option<write::Editing>,
    /// Time lost being said.
    losing: Option<lost::Losing>,
    /// A change being said.
    changing: Option<change::Changing>,
    /// The job being closed.
    closing: Option<close::Closing>,
    /// Why nothing was done, where that is said.
    cause: Option<crate::job::LostCause>,
    moved: moved::MovedState,
    /// Which of [`PAGES`] is in sight where there is not room for all, and the step that was selected then.
    page: usize,
    selected: Option<String>,
    pub ways: ways::WaysState,
    read: Option<Arc<Read>>,
}

/// One answer read for the column.
#[derive(Debug)]
struct Read {
    key: (u64, Reached, NaiveDate, Vec<NaiveDate>, u64),
    asked: Vec<NaiveDate>,
    headline: Figure,
    to_do: Vec<Sheet>,
    done: Option<Sheet>,
    drying: Vec<DryingNow>,
    order: Vec<String>,
}

/// The days that ask to be written up, oldest first; none of a closed job, and none after the last one written up
/// where all is done by it.
pub fn asked(shown: &Shown, job: &Job, today: NaiveDate) -> Vec<NaiveDate> {
    let at = shown.sound.job.as_of.map(|t| job.at_of(t));
    let done = at.is_some_and(|t| shown.found.plan.finish <= t);
    let may = |d: &NaiveDate| job.closed.is_none() && (!done || last_told(job).is_some_and(|l| *d <= l));
    let all = to_write_up(&shown.sound, today).into_iter().filter(may);
    all.filter(|d| !job.log.iter().any(|x| x.day == *d && !x.news_only())).collect()
}

impl SiteState {
    /// Opens a day to be written up, or corrected, step by step.
    pub fn edit(&mut self, day: NaiveDate) {
        self.editing = Some(write::Editing::new(day));
    }

    /// A day sent off is written up.
    pub fn written(&mut self) {
        self.sent = None;
    }

    /// A day sent off cannot be written up: its card is open again with what stands against it;
    /// false where none was sent.
    pub fn refused(&mut self, why: &str) -> bool {
        let card = self.sent.take();
        let back = card.is_some();
        self.editing = card.map(|c| c.refused(why)).or(self.editing.take());
        back
    }

    /// Opens the card of time lost.
    pub fn lose(&mut self, day: NaiveDate) {
        self.losing = Some(lost::Losing::new(day));
    }

    /// Opens the card of something to redo, a late delivery or a change, heard of on a day.
    pub fn change(&mut self, kind: change::Kind, day: NaiveDate) {
        self.changing = Some(change::Changing::new(kind, day));
    }

    /// Opens the card of the job's end.
    pub fn close(&mut self) {
        self.closing = Some(close::Closing::default());
    }

    /// Whether a card of the page has the keyboard.
    pub fn carded(&self) -> bool {
        self.editing.is_some()
            || self.losing.is_some()
            || self.changing.is_some()
            || self.closing.is_some()
            || self.ways.carded()
    }

    /// Days whose plan of the evening before is wanted: the one being written up, the last one
    /// written up.
    pub fn days(&self, job: &Job) -> Vec<NaiveDate> {
        let mut out: Vec<NaiveDate> = self.editing.iter().map(write::Editing::day).collect();
        out.extend(last_told(job).filter(|d| !out.contains(d)));
        out
    }

    fn read(&mut self, scene: &Scene, shown: &Shown) -> Arc<Read> {
        let asked = asked(shown, scene.job, scene.today);
        let last = shown.sound.job.log.iter().rev().find(|d| !d.news_only());
        let planned = last.and_then(|d| scene.besides.day(d.day));
        let stamp = planned.map_or(0, |p| p.steps.len() as u64 + 1);
        let key = (shown.revision, shown.reached, scene.today, asked, stamp);
        if let Some(r) = self.read.as_ref().filter(|r| r.key == key) {
            return r.clone();
        }
        let (sound, found) = (&shown.sound, &shown.found);
        let view = TodayView::new(sound, found);
        let sheet = |d: &DayLog| done(sound, d, planned.map(|p| &**p), scene.today);
        let read = Arc::new(Read {
            asked: key.3.clone(),
            headline: headline(&shown.reading(), found),
            to_do: view.days.iter().map(|d| to_do(sound, d, scene.today)).collect(),
            done: last.map(sheet),
            drying: drying_now(sound, found, &shown.plan),
            order: view.order.iter().map(|o| order_words(sound, o)).collect(),
            key,
        });
        self.read = Some(read.clone());
        read
    }
}

/// The page, with what it remembers and the chart it shares with the quote.
pub struct Page<'a> {
    pub state: &'a mut SiteState,
    pub section: &'a mut SectionState,
}

impl Page<'_> {
    /// Draws it over all there is.
    pub fn show(&mut self, ui: &mut Ui, scene: &Scene, out: &mut Vec<Action>) {
        let theme = Theme::of(ui.ctx());
        let Some(shown) = scene.shown else {
            CentralPanel::default().frame(Frame::NONE.fill(theme.paper)).show(ui, |ui| {
                section::show(ui, scene, self.section, out);
            });
            return;
        };
        let paper = Frame::NONE.fill(theme.paper);
        let all = ui.available_size();
        let width = (all.x * COLUMN.2).clamp(COLUMN.0, COLUMN.1);
        let read = self.state.read(scene, shown);
        let both = all.x >= BOTH;
        let selected = scene.selected.map(str::to_string);
        if selected != self.state.selected {
            self.state.page = if selected.is_some() { ROOM } else { self.state.page };
            self.state.selected = selected;
        }
        if !both {
            Panel::top("pages").exact_size(size::BENCHES).frame(paper).show_separator_line(false).show(ui, |ui| {
                if let Some(page) = benches::pages(ui, &PAGES, self.state.page) {
                    self.state.page = page;
                }
            });
        }
        let left = paper.inner_margin(Margin { left: size::PAD as i8, right: 2, top: 8, bottom: 0 });
        let state = &mut *self.state;
        let inner = paper.inner_margin(Margin::symmetric(size::PAD as i8, 6));
        let days = |ui: &mut Ui, width: f32, state: &mut SiteState, out: &mut Vec<Action>| {
            ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
                ui.set_max_width(width - 2.0 * size::PAD - 4.0);
                column::show(ui, scene, shown, &read, state, out);
            });
        };
        if both {
            Panel::left("day").exact_size(width).resizable(false).frame(left).show(ui, |ui| {
                days(ui, width, state, out);
            });
            let above = (all.y * ABOVE.2).clamp(ABOVE.0, ABOVE.1);
            Panel::top("above").exact_size(above).resizable(false).frame(inner).show(ui, |ui| {
                moved::show(ui, scene, shown, &mut state.moved);
            });
        }
        let frame = match state.page {
            _ if both => paper,
            0 => left,
            ROOM => paper,
            _ => inner,
        };
        CentralPanel::default().frame(frame).show(ui, |ui| match state.page {
            0 if !both => days(ui, all.x, state, out),
            1 if !both => moved::show(ui, scene, shown, &mut state.moved),
            _ => section::show(ui, scene, self.section, out),
        });
        ways::cards(ui, scene, &mut self.state.ways, out);
        if let Some(mut card) = self.state.editing.take() {
            match write::show(ui, scene, shown, &mut card, out) {
                write::Then::Stays => self.state.editing = Some(card),
                write::Then::Sent => self.state.sent = Some(card),
                write::Then::Goes => {}
            }
        }
        if let Some(mut card) = self.state.changing.take()
            && change::show(ui, scene, shown, &mut card, out)
        {
            self.state.changing = Some(card);
        }
        if let Some(mut card) = self.state.closing.take()
            && close::show(ui, scene, &mut card, out)
        {
            self.state.closing = Some(card);
        }
        if let Some(mut card) = self.state.losing.take()
            && lost::show(ui, scene, shown, &mut card, out)
        {
            self.state.losing = Some(card);
        }
        near::forget_stops(ui);
    }
}
