//! A day written up step by step, in a card: hours in quarters, what is left, who, when, a note;
//! deliveries, decisions and visits heard of; steps that were not planned.
//!
//! The rows begin as the evening before had the day, so what went as planned is left as it is.
//! An earlier day is corrected in the same card.

use chrono::NaiveDate;
use egui::{Label, RichText, Ui, vec2};

use crate::desk::write_up::Said;
use crate::job::Hm;
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::bench::field::{Row, line};
use crate::ui::bench::near;
use crate::ui::bench::picker::pick;
use crate::ui::cards;
use crate::ui::shown::Shown;
use crate::ui::theme::{self, Theme, size, strong};
use crate::views::said::Near;
use crate::views::site::entry::{EntryRow, RowOf, another, entry, more, rows, times_gone};
use crate::views::site::sheet::long_day;
use crate::views::site::{capital, hours_field, left_field, quarters_on, read_hours_worked, read_left};
use crate::views::typed;

/// Width of the card, of a field for hours, and least and greatest of the one for the note of the day.
const WIDE: f32 = 820.0;
const HOURS: f32 = 56.0;
const NOTE: (f32, f32) = (160.0, 640.0);

/// The card while it is open.
#[derive(Clone, Debug)]
pub struct Editing {
    day: NaiveDate,
    /// Begun once the plan of the evening before is there.
    rows: Option<Vec<EntryRow>>,
    note: String,
    /// The row whose hours take the keyboard.
    fresh: Option<usize>,
    /// What stands against it.
    against: Option<String>,
    /// It was to be written up while something in it could not be read.
    stopped: bool,
}

impl Editing {
    /// A day to be written up or corrected.
    pub fn new(day: NaiveDate) -> Editing {
        Editing { day, rows: None, note: String::new(), fresh: Some(0), against: None, stopped: false }
    }

    pub fn day(&self) -> NaiveDate {
        self.day
    }

    /// The card again, with what stands against it.
    pub fn refused(self, why: &str) -> Editing {
        Editing { against: Some(why.to_string()), ..self }
    }

    /// Whether closing it would lose anything.
    fn said_anything(&self, scene: &Scene) -> bool {
        let log = scene.job.log.iter().find(|d| d.day == self.day);
        self.note != log.map_or("", |d| d.note.as_str()) || self.rows.iter().flatten().any(EntryRow::touched)
    }

    fn begin(&mut self, scene: &Scene, shown: &Shown) {
        if let (None, Some(planned)) = (&self.rows, scene.besides.day(self.day)) {
            let log = scene.job.log.iter().find(|d| d.day == self.day);
            self.note = log.map_or_else(String::new, |d| d.note.clone());
            self.rows = Some(rows(&shown.sound, &shown.found, planned, log));
        }
    }
}

/// What becomes of the card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Then {
    Stays,
    /// Its day is being written up.
    Sent,
    /// Left without a word.
    Goes,
}

/// Draws the card.
pub(super) fn show(ui: &mut Ui, scene: &Scene, shown: &Shown, state: &mut Editing, out: &mut Vec<Action>) -> Then {
    let theme = Theme::of(ui.ctx());
    state.begin(scene, shown);
    let typing = ui.ctx().text_edit_focused();
    let (mut close, mut write, mut unread) = (false, false, None);
    let modal = cards::show(ui.ctx(), "a day written up", WIDE, |ui| {
        near::days_near(ui, Near { day: state.day, units: scene.job.units });
        ui.heading(format!("How {} went", long_day(state.day)));
        ui.add_space(size::GAP);
        if state.rows.is_none() {
            ui.label(RichText::new("Working out what the evening before had for it…").color(theme.quiet));
            close = ui.button("Not now").clicked();
            return;
        }
        unread = near::unread(ui, |ui| fields(ui, scene, shown, state));
        state.stopped &= unread.is_some();
        let stopped = unread.as_ref().filter(|_| state.stopped);
        let stopped = stopped.map(|name| format!("not written up: what stands in \"{name}\" cannot be read"));
        if let Some(against) = stopped.as_ref().or(state.against.as_ref()) {
            ui.add(Label::new(RichText::new(against).color(theme.error)).wrap());
        }
        ui.add_space(size::GAP);
        ui.horizontal(|ui| {
            write = ui.button("Write it up").clicked();
            close = ui.button("Not now").clicked();
        });
    });
    // Escape and a click beside it leave the card only while nothing was said in it.
    close |= theme::left(&modal) && !typing && !state.said_anything(scene);
    state.stopped |= write && unread.is_some();
    if write
        && unread.is_none()
        && let Some(list) = &state.rows
    {
        match entry(state.day, list, &state.note) {
            Ok(e) => {
                out.push(Action::WriteUp(Said::Entry(Box::new(e))));
                return Then::Sent;
            }
            Err(e) => state.against = Some(e),
        }
    }
    if close { Then::Goes } else { Then::Stays }
}

/// What was worked on, what else was, the note of the day.
fn fields(ui: &mut Ui, scene: &Scene, shown: &Shown, state: &mut Editing) {
    let Some(list) = &mut state.rows else { return };
    cards::middle(ui, |ui| {
        let gone = times_gone(list);
        for (i, (r, gone)) in list.iter_mut().zip(gone).enumerate() {
            if i > 0 {
                ui.separator();
            }
            let fresh = state.fresh.take_if(|f| *f == i).is_some();
            let id = (r.is.step.clone(), i);
            ui.push_id(id, |ui| one(ui, scene, r, gone, fresh));
        }
        if list.is_empty() {
            ui.label("Nothing was planned for that day.");
        }
        ui.separator();
        let names = more(&shown.sound, &shown.found, list);
        ui.label(RichText::new("Something else was worked on").color(Theme::of(ui.ctx()).quiet));
        if let Some(id) = pick(ui, "the day", "another step", &names, &|_| false)
            && let Some(r) = another(&shown.sound, &shown.found, &id)
        {
            // Before what nobody's hands work on.
            let at = list.iter().position(|r| r.of != RowOf::Work).unwrap_or(list.len());
            list.insert(at, r);
            state.fresh = Some(at);
        }
    });
    ui.add_space(size::GAP);
    line(ui, "the day", |f| {
        f.word("why, or a note");
        let width = (f.wide() - f.ui.min_rect().width() - size::PAD).clamp(NOTE.0, NOTE.1);
        if let Some(note) = f.text("note", width, &state.note) {
            state.note = note;
        }
    });
}

/// A row: its name, and below it what is said of it.
fn one(ui: &mut Ui, scene: &Scene, r: &mut EntryRow, gone: (bool, bool), fresh: bool) {
    let theme = Theme::of(ui.ctx());
    ui.horizontal_wrapped(|ui| {
        ui.add(Label::new(RichText::new(capital(&r.name)).text_style(strong())).wrap());
        ui.label(RichText::new(r.planned_words()).color(theme.quiet));
    });
    let name = r.name.clone();
    line(ui, &name, |f| {
        f.ui.spacing_mut().item_spacing = vec2(size::GAP, size::LINE);
        if r.of == RowOf::Work { work(f, scene, r, gone, fresh) } else { gate(f, r) }
    });
}

/// A time of day that may be left out.
fn time(f: &mut Row, name: &str, value: Option<Hm>) -> Option<Option<Hm>> {
    let read = |t: &str| match t.trim() {
        "" => Ok(None),
        t => typed::read_time(t).map(Some),
    };
    let step = |t: &Option<Hm>, n: i64| t.map(|t| Hm((t.0 + 15 * n).clamp(0, 24 * 60)));
    f.stepped(name, 56.0, &value, |t| typed::time_text(*t), read, &step)
}

/// `gone`: begin and end that hold no longer; they stand empty, as they are written.
fn work(f: &mut Row, scene: &Scene, r: &mut EntryRow, gone: (bool, bool), fresh: bool) {
    if fresh {
        f.take_keyboard();
    }
    if f.button_as("−", "a quarter less") {
        r.set_hours(quarters_on(r.is.hours, -1));
    }
    if let Some(h) = f.stepped(
        "hours",
        HOURS,
        &r.is.hours,
        |h| hours_field((h * 100.0).round() / 100.0),
        read_hours_worked,
        &|h, n| quarters_on(*h, n),
    ) {
        r.set_hours(h);
    }
    if f.button_as("+", "a quarter more") {
        r.set_hours(quarters_on(r.is.hours, 1));
    }
    f.word("h");
    if let Some(done) = f.tick(r.of.done(), r.is.done) {
        r.is.done = done;
    }
    if !r.is.done {
        f.word("left");
        let quantity = r.quantity.clone();
        let read = |t: &str| read_left(t, quantity.as_ref().map(|q| (q.0, q.1.as_str())));
        if let Some(left) = f.hinted("left", 76.0, &r.left(), "by hours", |l| left_field(*l), read) {
            r.set_left(left);
        }
    }
    f.word("from");
    if let Some(t) = time(f, "begun", r.is.from.filter(|_| !gone.0)) {
        r.is.at = r.is.at.filter(|_| !gone.1);
        (r.is.from, r.times_said) = (t, true);
    }
    f.word("to");
    if let Some(t) = time(f, "finished at", r.is.at.filter(|_| !gone.1)) {
        r.is.from = r.is.from.filter(|_| !gone.0);
        (r.is.at, r.times_said) = (t, true);
    }
    if scene.job.crew.len() > 1 {
        f.word("by");
        for p in &scene.job.crew {
            let on = r.is.who.contains(&p.id);
            let name = if p.name.is_empty() { &p.id } else { &p.name };
            if let Some(now) = f.tick(name, on) {
                r.is.who.retain(|w| *w != p.id);
                if now {
                    r.is.who.push(p.id.clone());
                }
            }
        }
    }
    f.word("note");
    if let Some(note) = f.text("note", 120.0, &r.is.note) {
        r.is.note = note;
    }
}

fn gate(f: &mut Row, r: &mut EntryRow) {
    if let Some(done) = f.tick(r.of.done(), r.is.done) {
        r.is.done = done;
        if done {
            r.is.coming = None;
        }
    }
    if r.is.done {
        f.word("at");
        if let Some(t) = time(f, "at", r.is.at) {
            r.is.at = t;
        }
    } else {
        f.word("or now said to come");
        if let Some(day) = f.maybe_day("said to come", r.is.coming) {
            r.is.coming = day;
        }
    }
}
