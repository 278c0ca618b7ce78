//! What befalls a job on the way, said in a card: something to redo, a late delivery, a change
//! agreed with the client; hours, dollars, days and odds before the card closes.
//!
//! While the card is open what stands in it is a question: nothing is in the job until *Keep it*.
//! What a change came to is kept with it, by the same reckoning as the text commands `redo` and
//! `change`.

use std::sync::Arc;

use chrono::NaiveDate;
use egui::{Label, RichText, Ui};

use crate::desk::changes::{self, Added, Effect, Scope, effect_of};
use crate::desk::evening::Outlook;
use crate::job::{ChangeKind, Edit, Redone};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::bench::field::{Row, row};
use crate::ui::bench::near;
use crate::ui::cards;
use crate::ui::explain::told;
use crate::ui::session::{AskedBy, WhatIf};
use crate::ui::shown::Shown;
use crate::ui::theme::{self, Theme, size, strong};
use crate::views::said::Near;
use crate::views::site::{change_rows, gates, redoable, steps_left};
use crate::views::{Figure, OptionOf, change_price, day_words, effect_words};

const ASKER: &str = "a change";
const WIDE: f32 = 560.0;

/// What is being said.
#[derive(Clone, Debug, PartialEq)]
enum Said {
    Redo { step: String, share: f64, cause: String },
    Late { id: String, coming: NaiveDate },
    Add { name: String, hours: (f64, f64, f64), room: String, after: String, before: String },
    LeaveOut { name: String },
}

/// The card while it is open.
#[derive(Clone, Debug)]
pub struct Changing {
    day: NaiveDate,
    said: Said,
    /// What stands in it was asked last.
    asked: Option<(NaiveDate, Said)>,
    /// What the answer of so many trials comes to.
    effect: Option<(usize, Arc<Effect>)>,
    /// What it does to the price, of the same answer.
    price: Option<Figure>,
    begun: bool,
}

/// Which card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Redo,
    Late,
    Add,
}

impl Changing {
    /// An empty card, heard of on a day.
    pub fn new(kind: Kind, day: NaiveDate) -> Changing {
        let none = String::new;
        let said = match kind {
            Kind::Redo => Said::Redo { step: none(), share: 1.0, cause: none() },
            Kind::Late => Said::Late { id: none(), coming: day },
            Kind::Add => {
                Said::Add { name: none(), hours: changes::spread(4.0), room: none(), after: none(), before: none() }
            }
        };
        Changing { day, said, asked: None, effect: None, price: None, begun: false }
    }

    fn head(&self) -> &'static str {
        match self.said {
            Said::Redo { .. } => "Something to redo",
            Said::Late { .. } => "Late delivery",
            Said::Add { .. } | Said::LeaveOut { .. } => "A change",
        }
    }

    /// The change as edits, its kind and words; a sentence where something is missing.
    fn scope(&self, scene: &Scene, shown: &Shown) -> Result<(Scope, ChangeKind, String), String> {
        let (job, graph) = (scene.job, &shown.sound.graph);
        match &self.said {
            Said::Redo { step, share, cause } => {
                let Some(s) = graph.steps.iter().find(|s| s.id == *step) else {
                    return Err("choose the step that must be done again".into());
                };
                let redone = Redone {
                    step: step.clone(),
                    day: self.day,
                    share: Some(*share),
                    hours: None,
                    cause: cause.clone(),
                };
                let scope = changes::redo_of(job, redone)?;
                let words = if cause.is_empty() { s.name.clone() } else { format!("{}, {cause}", s.name) };
                Ok((scope, ChangeKind::Redo, words))
            }
            Said::Late { id, coming } => {
                if id.is_empty() {
                    return Err("choose what comes late".into());
                }
                if *coming < job.start {
                    return Err("that day lies before the first day of the job".into());
                }
                let edits = vec![changes::news(job, id, self.day, *coming)];
                Ok((Scope { edits, ..Scope::default() }, ChangeKind::Scope, String::new()))
            }
            Said::Add { name, hours, room, after, before } => {
                let list = |x: &String| if x.is_empty() { Vec::new() } else { vec![x.clone()] };
                let added = Added {
                    name: name.trim().to_string(),
                    hours: *hours,
                    room: room.clone(),
                    place: String::new(),
                    after: list(after),
                    before: list(before),
                };
                Ok((changes::add(job, graph, &added)?, ChangeKind::Scope, name.trim().to_string()))
            }
            Said::LeaveOut { name } => {
                if name.is_empty() {
                    return Err("choose the step that is left out".into());
                }
                let step = graph.steps.iter().find(|s| s.id == *name).map_or(name.as_str(), |s| s.name.as_str());
                Ok((changes::leave_out(job, graph, name)?, ChangeKind::Scope, format!("left out: {step}")))
            }
        }
    }
}

/// Draws the card; returns whether it stays open.
pub(super) fn show(ui: &mut Ui, scene: &Scene, shown: &Shown, state: &mut Changing, out: &mut Vec<Action>) -> bool {
    let theme = Theme::of(ui.ctx());
    let asking = scene.question.is_some_and(|q| q.asked_by == AskedBy::Site(ASKER));
    let typing = ui.ctx().text_edit_focused();
    let (mut close, mut keep) = (false, false);
    let mut said = None;
    let modal = cards::show(ui.ctx(), "a change", WIDE, |ui| {
        near::days_near(ui, Near { day: state.day, units: scene.job.units });
        ui.heading(state.head());
        ui.add_space(size::GAP);
        let unread = cards::middle(ui, |ui| {
            let unread = near::unread(ui, |ui| fields(ui, scene, shown, state));
            ui.add_space(size::GAP);
            let scope = state.scope(scene, shown);
            match &scope {
                Err(e) => {
                    ui.add(Label::new(RichText::new(e).color(theme.quiet)).wrap());
                    if asking {
                        out.push(Action::DropQuestion);
                    }
                    state.asked = None;
                    state.effect = None;
                }
                Ok((scope, ..)) => {
                    let now = (state.day, state.said.clone());
                    if state.asked.as_ref() != Some(&now) || !asking {
                        let edits = scope.edits.clone();
                        out.push(Action::Ask(WhatIf { edits, asked_by: AskedBy::Site(ASKER) }));
                        state.asked = Some(now);
                        state.effect = None;
                    }
                    answer(ui, scene, state, &scope.edits);
                }
            }
            said = scope.ok();
            unread
        });
        ui.add_space(size::GAP);
        ui.horizontal(|ui| {
            let may = said.is_some() && asking && state.effect.is_some() && unread.is_none();
            keep = ui.add_enabled(may, egui::Button::new("Keep it")).clicked();
            close = ui.button("Not now").clicked();
        });
    });
    close |= theme::left(&modal) && !typing;
    if let (true, Some((scope, kind, words)), Some((_, effect))) = (keep, said, &state.effect) {
        let mut edits = scope.edits.clone();
        // News is no change of the job; everything else is kept with what it came to.
        if !matches!(state.said, Said::Late { .. }) {
            let is = crate::job::edited(scene.job, &edits);
            let promised = scene.job.promise().map(|p| p.day);
            // The record is in order of the day; an older one would not be kept.
            let day = scene.job.changes.last().map_or(state.day, |c| c.day.max(state.day));
            let (_, order) = changes::made(&is, &scope, effect, (day, kind, &words), promised);
            edits.push(Edit::Changed(Box::new(order)));
        }
        out.push(Action::DropQuestion);
        out.push(Action::Edit(edits));
        return false;
    }
    if close && asking {
        out.push(Action::DropQuestion);
    }
    !close
}

fn fields(ui: &mut Ui, scene: &Scene, shown: &Shown, state: &mut Changing) {
    let of = state.head();
    let first = !std::mem::replace(&mut state.begun, true);
    // News of a delivery stands on the day after the last one written up.
    let adds = matches!(state.said, Said::Add { .. });
    if !matches!(state.said, Said::Late { .. }) {
        row(ui, of, "heard of", |f| {
            // What is added is said first; the day is mostly right.
            if first && !adds {
                f.take_keyboard();
            }
            if let Some(day) = f.day("day", state.day) {
                state.day = day.max(scene.job.start);
            }
        });
    }
    let mut turned = None;
    match &mut state.said {
        Said::Redo { step, share, cause } => {
            row(ui, of, "what", |f| choose(f, "step", step, &redoable(&shown.sound)));
            row(ui, of, "how much", |f| {
                if let Some(x) = f.percent("of its hours", *share) {
                    *share = x;
                }
                f.word("of its hours");
            });
            row(ui, of, "why", |f| text(f, "why", cause));
        }
        Said::Late { id, coming } => {
            row(ui, of, "what", |f| choose(f, "what comes late", id, &gates(&shown.sound)));
            row(ui, of, "comes", |f| {
                if let Some(day) = f.day("day it comes", *coming) {
                    *coming = day;
                }
            });
        }
        Said::Add { name, hours, room, after, before } => {
            turned = kind(ui, of, false);
            row(ui, of, "what", |f| {
                if first {
                    f.take_keyboard();
                }
                // Taken as it is typed: what it comes to stands below while one reads on.
                f.live("what is added", 330.0, name);
            });
            row(ui, of, "hours", |f| {
                if let Some(h) = f.three("hours", *hours) {
                    *hours = h;
                }
            });
            let rooms: Vec<(String, String)> = scene.job.rooms.iter().map(|r| (r.id.clone(), r.name.clone())).collect();
            if room.is_empty()
                && let [only] = rooms.as_slice()
            {
                room.clone_from(&only.0);
            }
            if rooms.len() > 1 {
                row(ui, of, "room", |f| choose(f, "room", room, &with_none(rooms)));
            }
            let left = steps_left(&shown.sound);
            row(ui, of, "after", |f| choose(f, "after", after, &with_none(left.clone())));
            row(ui, of, "before", |f| choose(f, "before", before, &with_none(left)));
        }
        Said::LeaveOut { name } => {
            turned = kind(ui, of, true);
            row(ui, of, "what", |f| choose(f, "what is left out", name, &steps_left(&shown.sound)));
        }
    }
    if let Some(out) = turned {
        state.said = match out {
            true => Said::LeaveOut { name: String::new() },
            false => Changing::new(Kind::Add, state.day).said,
        };
    }
}

fn with_none(list: Vec<(String, String)>) -> Vec<(String, String)> {
    std::iter::once((String::new(), "nothing in particular".to_string())).chain(list).collect()
}

/// Work added, or left out.
fn kind(ui: &mut Ui, of: &str, out: bool) -> Option<bool> {
    let options = [(false, "work added".to_string()), (true, "work left out".to_string())];
    let mut now = None;
    row(ui, of, "kind", |f| now = f.choose("kind", 150.0, &out, &options));
    now
}

fn choose(f: &mut Row, name: &str, value: &mut String, options: &[(String, String)]) {
    if let Some(x) = f.choose(name, 330.0, value, options) {
        *value = x;
    }
}

fn text(f: &mut Row, name: &str, value: &mut String) {
    if let Some(x) = f.text(name, 330.0, value) {
        *value = x;
    }
}

/// What these edits come to, once they are answered.
fn answer(ui: &mut Ui, scene: &Scene, state: &mut Changing, edits: &[Edit]) {
    let theme = Theme::of(ui.ctx());
    let answer = scene.answer.filter(|a| a.question.asked_by == AskedBy::Site(ASKER) && a.question.edits == *edits);
    let Some(answer) = answer else {
        ui.label(RichText::new("Working out what it comes to…").color(theme.quiet));
        return;
    };
    match &answer.with {
        Err(problems) => {
            for p in problems.iter().take(2) {
                let words = format!("{}; {}", p.what, p.remedy);
                ui.add(Label::new(RichText::new(words).color(theme.error)).wrap());
            }
        }
        Ok((is, asked)) => {
            if state.effect.as_ref().is_none_or(|e| e.0 != asked.forecast.trials) {
                let look = |s: &Shown| Outlook {
                    sound: (*s.sound).clone(),
                    found: (*s.found).clone(),
                    forecast: (*s.forecast).clone(),
                };
                let effect = effect_of(look(is), look(asked));
                state.effect = effect.ok().map(|e| (asked.forecast.trials, Arc::new(e)));
                let one = |s: &'_ Shown| (s.sound.clone(), s.found.clone(), s.forecast.clone());
                let (a, b) = (one(is), one(asked));
                let (name, differs) = (String::new(), Vec::new());
                let a = OptionOf { name: name.clone(), differs: differs.clone(), with: Ok((&a.0, &a.1, &a.2)) };
                let b = OptionOf { name, differs, with: Ok((&b.0, &b.1, &b.2)) };
                // What is done again is his own affair, and news changes no price.
                let priced = matches!(state.said, Said::Add { .. } | Said::LeaveOut { .. });
                state.price = priced.then(|| change_price(&a, &b)).flatten();
            }
            if let Some((_, e)) = &state.effect {
                let words = match state.said {
                    Said::Late { coming, .. } => format!("Now said to come {}.", day_words(coming)),
                    _ => effect_words(e),
                };
                ui.add(Label::new(RichText::new(words).text_style(strong())).wrap());
            }
            egui::Grid::new("what it comes to").num_columns(2).spacing([size::PAD, 2.0]).show(ui, |ui| {
                for (caption, figure) in change_rows(&is.reading(), &asked.reading(), (&is.found, &asked.found)) {
                    ui.label(RichText::new(&caption).color(theme.quiet));
                    told(ui, &caption, &figure);
                    ui.end_row();
                }
                if let Some(price) = &state.price {
                    ui.label(RichText::new("price").color(theme.quiet));
                    told(ui, "price", price);
                    ui.end_row();
                }
            });
        }
    }
}
