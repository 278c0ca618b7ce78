//! The card of the questions of a new job as egui draws it, and the date it ends in.

use egui::text::{CCursor, CCursorRange};
use egui::{Button, Context, Id, Key, Label, Modifiers, RichText, TextEdit, TextStyle, Ui, vec2};

use super::begin::{Asks, Beginning};
use super::draw::CARD;
use super::{Files, Outcome};
use crate::ui::bench::radio;
use crate::ui::cards;
use crate::ui::session::Session;
use crate::ui::shown::{Reached, Shown};
use crate::ui::theme::{Theme, figure, size, strong};
use crate::views::strip;

/// Where one stands.
const NUMBERS: [&str; 5] = ["1 of 5", "2 of 5", "3 of 5", "4 of 5", "5 of 5"];
/// From the head of a question to its buttons, points.
const BUTTONS: f32 = 182.0;
/// Width of the questions beside their answers, once all are answered.
const CAPTION: f32 = 190.0;

/// What was pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Pressed {
    Next,
    LeaveOut,
    Back(Asks),
    StepBack,
    Close,
}

impl Files {
    /// The card, in front of everything but a question about files. `shown` is the answer of the job at hand.
    pub fn begin_card(
        &mut self,
        ctx: &Context,
        s: &mut Session,
        shown: Option<&Shown>,
        problem: Option<&str>,
    ) -> Outcome {
        if self.question().is_some() {
            return Outcome::Nothing;
        }
        let Some(b) = &mut self.begin else { return Outcome::Nothing };
        let mut pressed = None;
        let modal = cards::show(ctx, "new-job", CARD, |ui| {
            ui.label(RichText::new("New job").text_style(TextStyle::Heading));
            let done = b.at == Asks::Date;
            cards::middle(ui, |ui| {
                for (n, at) in [Asks::Room, Asks::Measures, Asks::Work, Asks::Begin, Asks::By].into_iter().enumerate() {
                    if done || at < b.at {
                        answered(ui, b, at, &mut pressed);
                    } else if at == b.at {
                        ui.add_space(size::GAP);
                        asked(ui, b, n, &mut pressed);
                    }
                }
                if done {
                    ui.separator();
                    date(ui, s, shown, problem);
                }
            });
            ui.add_space(size::GAP);
            if done { to_the_job(ui, &mut pressed) } else { buttons(ui, b, &mut pressed) }
        });
        if pressed.is_none() && modal.is_top_modal && ctx.input(|i| i.key_pressed(Key::Escape)) {
            // One question back; from the first, and from the date, away.
            pressed = Some(if matches!(b.at, Asks::Room | Asks::Date) { Pressed::Close } else { Pressed::StepBack });
        }
        let Some(pressed) = pressed else { return Outcome::Nothing };
        ctx.request_repaint();
        match pressed {
            Pressed::Next => return self.begin_next(false, s),
            Pressed::LeaveOut => return self.begin_next(true, s),
            Pressed::Back(at) => b.back(at),
            Pressed::StepBack => {
                b.step_back();
            }
            Pressed::Close => {
                let done = b.at == Asks::Date;
                self.left_off = self.begin.take().filter(Beginning::answered_some);
                if done && nothing_chosen(s) {
                    return Outcome::Choose;
                }
            }
        }
        Outcome::Nothing
    }
}

/// A question already answered, on one line; a click goes back to it.
fn answered(ui: &mut Ui, b: &Beginning, at: Asks, pressed: &mut Option<Pressed>) {
    let theme = Theme::of(ui.ctx());
    if b.at == Asks::Date {
        row(ui, Beginning::words(at), RichText::new(b.answered(at)));
        return;
    }
    ui.horizontal(|ui| {
        ui.label(RichText::new(Beginning::words(at)).color(theme.quiet));
        let back = ui.add(Button::new(b.answered(at)).frame(false).truncate());
        let name = format!("{} {}", Beginning::words(at), b.answered(at));
        if back.accessible_name(name).on_hover_text("Go back and change it").clicked() {
            *pressed = Some(Pressed::Back(at));
        }
    });
}

/// What is said of something, in a column of its own.
fn row(ui: &mut Ui, caption: &str, text: RichText) {
    let theme = Theme::of(ui.ctx());
    ui.horizontal_top(|ui| {
        ui.allocate_ui(vec2(CAPTION, size::ROW), |ui| {
            ui.set_width(CAPTION);
            ui.add(Label::new(RichText::new(caption).color(theme.quiet)).wrap());
        });
        ui.vertical(|ui| ui.add(Label::new(text).wrap()));
    });
}

/// The question to be answered now.
fn asked(ui: &mut Ui, b: &mut Beginning, n: usize, pressed: &mut Option<Pressed>) {
    let theme = Theme::of(ui.ctx());
    let top = ui.cursor().top();
    let words = Beginning::words(b.at);
    let number = NUMBERS[n.min(NUMBERS.len() - 1)];
    ui.label(RichText::new(format!("{number}   {words}")).text_style(strong()));
    let fresh = std::mem::take(&mut b.fresh);
    if b.at == Asks::Work {
        let many = Beginning::works().count();
        radio::grouped(ui, words, many, |ui| {
            for (i, work) in Beginning::works().enumerate() {
                let on = i == b.work;
                let row = ui.add(Button::new(work).frame(false).wrap().selected(on).sense(radio::sense(on)));
                radio::one_of(&row, i);
                if fresh && on {
                    row.request_focus();
                }
                if let Some(to) = radio::arrows(ui, row.id, i, many) {
                    (b.work, b.fresh) = (to, true);
                    ui.ctx().request_repaint();
                }
                if row.clicked() {
                    b.work = i;
                    *pressed = Some(Pressed::Next);
                }
            }
        });
        ui.label(RichText::new(b.usual(b.at)).color(theme.quiet).size(size::SMALL));
        ui.label(RichText::new("Arrows choose, Enter goes on").color(theme.quiet));
    } else {
        let usual = b.usual(b.at);
        let text = match b.at {
            Asks::Room => &mut b.name,
            Asks::Measures => &mut b.line,
            Asks::Begin => &mut b.begin,
            _ => &mut b.by,
        };
        // A long line of measures is wrapped, and is one line all the same.
        let id = Id::unique("answer of a new job");
        let focused = ui.memory(|m| m.has_focus(id));
        if focused && ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Enter)) {
            *pressed = Some(Pressed::Next);
        }
        let edit = TextEdit::multiline(text).id(id).desired_rows(1).return_key(None).desired_width(f32::INFINITY);
        let field = ui.add(edit).accessible_name(words);
        if fresh {
            field.request_focus();
            let mut cursor = egui::text_edit::TextEditState::load(ui.ctx(), id).unwrap_or_default();
            cursor.cursor.set_char_range(Some(CCursorRange::one(CCursor::new(text.chars().count()))));
            cursor.store(ui.ctx(), id);
        }
        if field.changed() {
            if text.contains(['\n', '\r']) {
                *text = text.replace(['\n', '\r'], " ");
            }
            b.said.clear();
            b.offers.clear();
        }
        ui.add(Label::new(RichText::new(usual).color(theme.quiet).size(size::SMALL)).wrap());
        let echo = if b.at == Asks::Measures { b.echo() } else { String::new() };
        if !echo.is_empty() {
            ui.add(Label::new(echo).wrap());
        }
    }
    if !b.said.is_empty() {
        ui.add(Label::new(RichText::new(&b.said).color(theme.error)).wrap());
    }
    for offer in b.offers.clone() {
        if ui.add(Button::new(&offer).wrap()).on_hover_text("Take this line").clicked() {
            b.line = offer;
            *pressed = Some(Pressed::Next);
        }
    }
    // The buttons stay where they are from question to question, and do not come up while one is answered.
    b.reached = b.reached.max(ui.cursor().top() - top).max(BUTTONS);
    ui.add_space(b.reached - (ui.cursor().top() - top));
}

fn buttons(ui: &mut Ui, b: &Beginning, pressed: &mut Option<Pressed>) {
    ui.horizontal_wrapped(|ui| {
        if ui.button("Go on").on_hover_text("Enter").clicked() {
            *pressed = Some(Pressed::Next);
        }
        let first = b.at == Asks::Room;
        if !first && ui.button("Back").on_hover_text("To the question before; Esc does it too").clicked() {
            *pressed = Some(Pressed::StepBack);
        }
        if ui.button("Leave it out").on_hover_text("Takes the usual; it can be changed later").clicked() {
            *pressed = Some(Pressed::LeaveOut);
        }
        if ui.button("No new job").on_hover_text("Back to the job at hand, which stays as it is").clicked() {
            *pressed = Some(Pressed::Close);
        }
    });
}

/// Whether nothing is to be done in any room yet.
fn nothing_chosen(s: &Session) -> bool {
    s.job().rooms.iter().all(|r| r.surfaces.is_empty())
}

/// The date, once there is one.
fn date(ui: &mut Ui, s: &Session, shown: Option<&Shown>, problem: Option<&str>) {
    let theme = Theme::of(ui.ctx());
    match shown.filter(|x| x.revision == s.revision()) {
        _ if nothing_chosen(s) && problem.is_none() => {
            let words = "No date yet: nothing is to be done. The button below goes to Surfaces and their recipes, at the \
                         right of Measure, where it is chosen surface by surface.";
            ui.add(Label::new(words).wrap());
        }
        _ if problem.is_some() => {
            ui.add(Label::new(RichText::new(problem.unwrap_or_default()).color(theme.error)).wrap());
        }
        Some(x) => {
            for f in strip(&x.reading(), None) {
                row(ui, &f.caption, RichText::new(&f.text).text_style(figure()));
            }
            if x.reached < Reached::Odds {
                ui.label(RichText::new("from the first trials; more are under way").color(theme.quiet));
            }
        }
        None => {
            ui.label(RichText::new("Working it out…").text_style(figure()));
        }
    }
    ui.add_space(size::GAP);
    let words = "Everything can be changed in its place now; Ctrl+Z takes the answers back.";
    ui.add(Label::new(RichText::new(words).color(theme.quiet)).wrap());
}

fn to_the_job(ui: &mut Ui, pressed: &mut Option<Pressed>) {
    let button = ui.button("To the job");
    if ui.memory(|m| m.focused().is_none()) {
        button.request_focus();
    }
    if button.clicked() {
        *pressed = Some(Pressed::Close);
    }
}
