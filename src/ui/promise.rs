//! *Promise a day…*: days around the one safe to promise with their odds, what a promise of
//! the chosen one means, and the promise, made by an act, followed by another or withdrawn.

use chrono::NaiveDate;
use egui::{Button, Grid, Key, Label, RichText, TextEdit, Ui, vec2};

use super::action::Action;
use super::bench::radio;
use super::shown::{Reached, Shown};
use super::theme::{self, Theme, size, strong};
use super::{Scene, cards, explain};
use crate::job::Edit;
use crate::views::Figure;
use crate::{search, views};

/// Width of the card.
const WIDE: f32 = 470.0;

/// The card while it is open.
#[derive(Clone, Debug, Default)]
pub struct Promising {
    /// The day chosen; the safe one at first.
    day: Option<NaiveDate>,
    reason: String,
    /// The field of the reason takes the keyboard when the card opens.
    why: bool,
    /// The day that gets the keyboard at the next drawing; the chosen one when the card opens.
    next: Option<NaiveDate>,
    begun: bool,
    /// What stood against it when it was last tried.
    against: Option<String>,
}

impl Promising {
    /// The card as somebody opens it who wants to withdraw the promise.
    pub fn withdrawing() -> Promising {
        Promising { why: true, ..Promising::default() }
    }

    /// Says what stands against it; where a reason is missing its field takes the keyboard.
    fn refuse(&mut self, ui: &Ui, against: String) {
        self.why = self.reason.trim().is_empty();
        self.against = Some(against);
        ui.ctx().request_repaint();
    }
}

/// The quote that goes with a promise of a job not yet begun; none where nothing is priced.
fn quoted(scene: &Scene, shown: &Shown) -> Option<Edit> {
    let (sound, f) = (&shown.sound, &shown.forecast);
    if sound.job.as_of.is_some() || sound.job.study.is_some() {
        return None;
    }
    // Promised before the price was worked out: that is done now.
    let there = scene.priced().filter(|p| p.1 && shown.reached == Reached::Rest).map(|p| p.0.priced.price.clone());
    let price = there.or_else(|| sound.priced(&shown.found, f).ok().map(|p| p.price))?;
    let quote = views::quote_of(sound, f, &price, scene.today);
    views::trusted(&sound.job, &price).then(|| Edit::Quoted(Box::new(quote)))
}

/// Draws the card; returns whether it stays open.
pub fn show(ui: &mut Ui, scene: &Scene, state: &mut Promising, out: &mut Vec<Action>) -> bool {
    let Some(shown) = scene.shown.filter(|s| s.revision == scene.revision) else { return false };
    let (sound, f) = (&shown.sound, &shown.forecast);
    let job = &sound.job;
    let theme = Theme::of(ui.ctx());
    let days = views::promise_days(sound, f);
    let day = state.day.unwrap_or_else(|| job.date_of(f.day(job.confidence)));
    let promised = job.promised_day();
    if !std::mem::replace(&mut state.begun, true) && !state.why {
        state.next = Some(day);
    }
    let mut close = false;
    // Enter on a day goes on to the button that promises it.
    let mut to_button = false;
    let modal = cards::show(ui.ctx(), "promise a day", WIDE, |ui| {
        ui.heading(if promised.is_some() { "Change the promise" } else { "Promise a day" });
        ui.add_space(size::GAP);
        let said = views::promise_day(sound, f, job.day_of(day));
        cards::middle(ui, |ui| {
            radio::grouped(ui, "the day", days.len(), |ui| {
                Grid::new("days").num_columns(3).spacing(vec2(size::PAD, 2.0)).show(ui, |ui| {
                    for (i, d) in days.iter().enumerate() {
                        let on = d.day == day;
                        let response = ui.add(Button::selectable(on, &d.words).sense(radio::sense(on)));
                        let marks = if d.marks.is_empty() { String::new() } else { format!(", {}", d.marks) };
                        let response = response.accessible_name(format!("promise {}: {}{marks}", d.words, d.chance));
                        radio::one_of(&response, i);
                        if state.next == Some(d.day) {
                            response.request_focus();
                            state.next = None;
                        }
                        if let Some(to) = radio::arrows(ui, response.id, i, days.len()).and_then(|k| days.get(k)) {
                            (state.day, state.next, state.against) = (Some(to.day), Some(to.day), None);
                            ui.ctx().request_repaint();
                        }
                        if response.has_focus() && ui.input(|i| i.key_pressed(Key::Enter)) {
                            to_button = true;
                        }
                        if response.clicked() {
                            state.day = Some(d.day);
                            state.against = None;
                        }
                        let chance = Figure::new(d.chance.as_str(), d.why.as_str());
                        explain::aside(ui, "chance", &chance, RichText::new(&d.chance).color(theme.ink));
                        // The client's day is marked in his colour only where it is short.
                        let short = f.chance(job.day_of(d.day)).0 < job.confidence;
                        let color = match d.marks.starts_with("safe") {
                            true => theme.safe,
                            false if short => theme.target,
                            false => theme.ink,
                        };
                        ui.label(RichText::new(&d.marks).color(color));
                        ui.end_row();
                    }
                });
            });
            ui.add_space(size::GAP);
            let means = Figure::new(format!("{}: {}", said.words, said.means), said.why.as_str());
            let words = RichText::new(&means.value).text_style(strong());
            explain::told_as(ui, "a promise of", &means, words);
            let quoted = scene.priced().is_some_and(|p| views::trusted(&p.0.sound.job, &p.0.priced.price));
            let notes = views::promise_notes(job, quoted);
            ui.add(Label::new(RichText::new(notes).color(theme.quiet)).wrap());
            if let Some((words, _)) = views::holidays_offered(job, f) {
                let worked = "They are worked as the plan stands; Ctrl+K \"holidays\" takes them off.";
                ui.add(Label::new(RichText::new(format!("{words} {worked}")).color(theme.quiet)).wrap());
            }
            for line in views::promise_lines(job) {
                ui.add(Label::new(RichText::new(line).color(theme.quiet)).wrap());
            }
        });
        ui.add_space(size::GAP);
        if promised.is_some() {
            ui.horizontal(|ui| {
                let label = ui.label("why it changes or is withdrawn");
                let edit = TextEdit::singleline(&mut state.reason).desired_width(ui.available_width());
                let field =
                    ui.add(edit).labelled_by(label.id).accessible_name("why the promise changes or is withdrawn");
                if std::mem::take(&mut state.why) {
                    field.request_focus();
                }
            });
        }
        if let Some(against) = &state.against {
            ui.add(Label::new(RichText::new(against).color(theme.error)).wrap());
        }
        ui.horizontal_wrapped(|ui| {
            let act = ui.button(format!("Promise {}", said.words));
            if to_button {
                act.request_focus();
            } else if act.clicked() {
                match views::may_promise(job, day, &state.reason) {
                    Ok(()) => {
                        let kept = search::keep(&sound.graph, &sound.setting, &shown.found.plan.order, job);
                        let made = views::promise_of(sound, f, kept, day, scene.today, &state.reason);
                        let promised = Edit::Promised(Box::new(made));
                        out.push(Action::Edit(std::iter::once(promised).chain(quoted(scene, shown)).collect()));
                        close = true;
                    }
                    Err(e) => state.refuse(ui, e),
                }
            }
            if let Some(before) = promised
                && ui.button(format!("Withdraw {}", views::day_words(before))).clicked()
            {
                let record = views::withdrawal_of(sound, f, scene.today, &state.reason);
                match (views::may_withdraw(job, &state.reason), record) {
                    (Ok(()), Some(record)) => {
                        out.push(Action::Edit(vec![Edit::Withdrawn(Box::new(record))]));
                        close = true;
                    }
                    (against, _) => state.refuse(ui, against.err().unwrap_or_default()),
                }
            }
            close |= ui.button("Not now").clicked();
        });
    });
    !(close || theme::left(&modal))
}
