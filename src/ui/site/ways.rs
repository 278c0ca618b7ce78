//! Ways back: the one to take in the column, all of them in a card with their drawing, *Make it
//! so*, *Take back*, and the message to the client.
//!
//! They are worked out when asked for, for the job as it stands then; a change of the job puts
//! them away.

use egui::{Label, RichText, Role, Sense, Ui, WidgetInfo, vec2};

use crate::desk::ways_back::{self, Answer};
use crate::job::{Edit, TakenWay};
use crate::ui::Scene;
use crate::ui::action::{Action, Command};
use crate::ui::bench::fold::zone;
use crate::ui::cards;
use crate::ui::explain::told;
use crate::ui::section::paint;
use crate::ui::theme::{self, Theme, size, strong};
use crate::views::{self, WayRow, WaysChart, way_rows};

/// Widths of the cards, and height of the drawing.
const CARD: f32 = 860.0;
const MESSAGE: f32 = 560.0;
const BACK: f32 = 420.0;
const DRAWING: f32 = 180.0;

/// What is open of it.
#[derive(Clone, Debug, Default)]
pub struct WaysState {
    /// Revision of the job they were asked for.
    asked: Option<u64>,
    open: bool,
    /// The message to the client is open.
    message: bool,
    /// A way that is asked about before it is taken back, by its place.
    back: Option<usize>,
}

impl WaysState {
    /// Opens the card, and has them worked out for this revision.
    pub fn open(&mut self, revision: u64) {
        (self.asked, self.open) = (Some(revision), true);
    }

    /// The same with the message to the client.
    pub fn write(&mut self, revision: u64) {
        (self.asked, self.message) = (Some(revision), true);
    }

    /// Whether they are to be worked out for a revision.
    pub fn wanted(&self, revision: u64) -> bool {
        self.asked == Some(revision)
    }

    /// Whether a card of it has the keyboard.
    pub fn carded(&self) -> bool {
        self.open || self.message || self.back.is_some()
    }
}

/// The change that makes a way so.
fn take(a: &Answer, at: usize, scene: &Scene) -> Action {
    let way = &a.ways[at];
    let day = a.job.as_of.map_or(scene.today, ways_back::evening_day);
    let words = views::way_words(&a.job, &way.levers);
    Action::Edit(vec![Edit::taking(scene.job, &way.job, day, words, way.cents)])
}

/// The zone in the column; of a job that is `done` the close takes the place of the ways.
pub(super) fn column(ui: &mut Ui, scene: &Scene, done: bool, state: &mut WaysState, out: &mut Vec<Action>) {
    if done {
        let close = Command::CloseJob;
        if scene.job.closed.is_none() {
            ui.separator();
            if ui.button(close.text()).on_hover_text(close.help()).clicked() {
                out.push(Action::Do(close));
            }
        }
        taken(ui, scene, state, out);
        return;
    }
    ui.separator();
    let answer = scene.besides.ways.as_deref().filter(|_| state.wanted(scene.revision));
    if let Some(a) = answer.filter(|a| a.whole) {
        ui.add(Label::new(RichText::new(views::best_words(a)).text_style(strong())).wrap());
        if let Some((best, row)) = a.best.and_then(|b| Some((b, way_rows(a).into_iter().nth(b)?))) {
            ui.add(Label::new(views::site::capital(&row.words)).wrap());
            figures(ui, &row);
            ui.horizontal_wrapped(|ui| {
                if ui.button("Make it so").accessible_name(format!("Make it so: {}", row.words)).clicked() {
                    out.push(take(a, best, scene));
                }
                buttons(ui, scene, out);
            });
        } else {
            ui.horizontal_wrapped(|ui| buttons(ui, scene, out));
        }
    } else if state.wanted(scene.revision) {
        progress(ui, answer, state);
    } else {
        ui.horizontal_wrapped(|ui| buttons(ui, scene, out));
    }
    taken(ui, scene, state, out);
}

fn buttons(ui: &mut Ui, scene: &Scene, out: &mut Vec<Action>) {
    for command in [Command::WaysBack, Command::WriteClient] {
        let words = match command {
            Command::WaysBack => views::ways_button(scene.job),
            _ => command.text(),
        };
        if ui.button(words).on_hover_text(command.help()).clicked() {
            out.push(Action::Do(command));
        }
    }
}

fn progress(ui: &mut Ui, answer: Option<&Answer>, state: &mut WaysState) {
    let theme = Theme::of(ui.ctx());
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(views::progress_words(answer)).color(theme.quiet));
        if ui.button("Stop").accessible_name("Stop working ways out").clicked() {
            *state = WaysState::default();
        }
    });
    // A still line that grows with the share done.
    let (area, _) = ui.allocate_exact_size(vec2(ui.available_width(), 3.0), Sense::hover());
    let share = answer.map_or(0.0, |a| a.done as f32 / a.of.max(1) as f32).min(1.0);
    ui.painter().hline(area.x_range(), area.center().y, egui::Stroke::new(size::HAIR, theme.rule));
    let to = area.left() + share * area.width();
    ui.painter().hline(area.left()..=to, area.center().y, egui::Stroke::new(size::OUTLINE, theme.ink));
}

fn figures(ui: &mut Ui, row: &WayRow) {
    ui.horizontal_wrapped(|ui| {
        told(ui, "what it costs", &row.cost);
        if !row.chance.value.is_empty() {
            told(ui, "chance", &row.chance);
        }
        told(ui, "days", &row.days);
    });
}

/// Ways taken: each can be taken back.
fn taken(ui: &mut Ui, scene: &Scene, state: &mut WaysState, out: &mut Vec<Action>) {
    if scene.job.taken.is_empty() {
        return;
    }
    zone(ui, "Ways taken", false, false, |ui| {
        for (i, t) in scene.job.taken.iter().enumerate() {
            let words = views::taken_words(t);
            ui.horizontal_wrapped(|ui| {
                ui.add(Label::new(&words).wrap());
                if ui.button("Take back").accessible_name(format!("Take back {words}")).clicked() {
                    let alone = TakenWay::taken_over(scene.job, i).is_none();
                    if alone && t.changed_since(scene.job).is_empty() {
                        out.push(Action::Edit(vec![Edit::WayTakenBack(i)]));
                    } else {
                        state.back = Some(i);
                    }
                }
            });
        }
    });
}

/// The cards, over everything.
pub(super) fn cards(ui: &mut Ui, scene: &Scene, state: &mut WaysState, out: &mut Vec<Action>) {
    if let Some(i) = state.back {
        match scene.job.taken.get(i) {
            Some(t) => ask_back(ui, scene, state, (i, t), out),
            None => state.back = None,
        }
    }
    let answer = scene.besides.ways.as_deref().filter(|_| state.wanted(scene.revision));
    if state.open && !state.wanted(scene.revision) {
        // The job was changed under it: by a way made so, most often.
        state.open = false;
    }
    if state.message && !state.wanted(scene.revision) {
        state.message = false;
    }
    if state.message {
        message(ui, answer, state);
    } else if state.open {
        all(ui, scene, answer, state, out);
    }
}

fn ask_back(ui: &mut Ui, scene: &Scene, state: &mut WaysState, (i, t): (usize, &TakenWay), out: &mut Vec<Action>) {
    let (mut back, mut close) = (false, false);
    let modal = cards::show(ui.ctx(), "take a way back", BACK, |ui| {
        ui.heading("Take it back?");
        if let Some(later) = TakenWay::taken_over(scene.job, i).and_then(|k| scene.job.taken.get(k)) {
            cards::middle(ui, |ui| ui.add(Label::new(views::first_back_words(t, later)).wrap()));
            close = ui.button("Close").clicked();
            return;
        }
        cards::middle(ui, |ui| ui.add(Label::new(views::changed_words(t, scene.job)).wrap()));
        ui.horizontal_wrapped(|ui| {
            back = ui.button("Take it back all the same").clicked();
            close = ui.button("Leave it").clicked();
        });
    });
    if back {
        out.push(Action::Edit(vec![Edit::WayTakenBack(i)]));
    }
    if back || close || theme::left(&modal) {
        state.back = None;
    }
}

fn all(ui: &mut Ui, scene: &Scene, answer: Option<&Answer>, state: &mut WaysState, out: &mut Vec<Action>) {
    let mut close = false;
    let modal = cards::show(ui.ctx(), "ways back", CARD, |ui| {
        ui.heading(views::ways_head(scene.job));
        let Some(a) = answer else {
            progress(ui, None, state);
            close = ui.button("Close").clicked();
            return;
        };
        if !a.whole {
            progress(ui, answer, state);
        }
        cards::middle(ui, |ui| {
            ui.add(Label::new(views::stands_words(a)).wrap());
            let rows = way_rows(a);
            drawing(ui, a, &rows);
            for (i, row) in rows.iter().enumerate() {
                ui.push_id(i, |ui| line(ui, scene, (a, i), row, out));
            }
        });
        ui.add_space(size::GAP);
        ui.add(Label::new(RichText::new(views::best_words(a)).text_style(strong())).wrap());
        ui.horizontal(|ui| {
            if a.whole && ui.button(Command::WriteClient.text()).clicked() {
                state.message = true;
            }
            close = ui.button("Close").clicked();
        });
    });
    if close || theme::left(&modal) {
        state.open = false;
    }
}

fn drawing(ui: &mut Ui, a: &Answer, rows: &[WayRow]) {
    let theme = Theme::of(ui.ctx());
    let (area, response) = ui.allocate_exact_size(vec2(ui.available_width(), DRAWING), Sense::hover());
    let (shapes, marks) = WaysChart::new(a).layout(area.width(), area.height());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, "What each way costs and the chance it comes to"));
    paint::shapes(&ui.painter().with_clip_rect(area.expand(2.0)), area.min, &shapes, theme);
    for (number, at) in marks {
        let at = egui::Rect::from_min_size(area.min + vec2(at.x, at.y), vec2(at.w, at.h)).expand(3.0);
        if let Some(r) = rows.iter().find(|r| r.number == number) {
            ui.interact(at, ui.scope_id().with(("way", number)), Sense::hover()).on_hover_text(&r.words);
        }
    }
}

fn line(ui: &mut Ui, scene: &Scene, (a, i): (&Answer, usize), row: &WayRow, out: &mut Vec<Action>) {
    let theme = Theme::of(ui.ctx());
    ui.separator();
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(views::whole(row.number as i64)).text_style(strong()));
        let words = RichText::new(views::site::capital(&row.words));
        ui.add(Label::new(if row.best { words.text_style(strong()) } else { words }).wrap());
    });
    figures(ui, row);
    for more in [&row.split, &row.notice_words()] {
        if !more.is_empty() {
            ui.add(Label::new(RichText::new(more).color(theme.quiet).size(size::SMALL)).wrap());
        }
    }
    if a.whole && ui.button("Make it so").accessible_name(format!("Make it so: {}", row.words)).clicked() {
        out.push(take(a, i, scene));
    }
}

fn message(ui: &mut Ui, answer: Option<&Answer>, state: &mut WaysState) {
    let mut close = false;
    let modal = cards::show(ui.ctx(), "message to the client", MESSAGE, |ui| {
        ui.heading("To the client");
        match answer.filter(|a| a.whole) {
            Some(a) => {
                let text = views::message_text(a);
                cards::middle(ui, |ui| {
                    ui.add(Label::new(&text).wrap().selectable(true));
                });
                ui.add_space(size::GAP);
                ui.horizontal(|ui| {
                    if ui.button("Copy").accessible_name("Copy the message").clicked() {
                        ui.ctx().copy_text(text);
                    }
                    close = ui.button("Close").clicked();
                });
            }
            None => {
                progress(ui, answer, state);
                close = ui.button("Close").clicked();
            }
        }
    });
    if close || theme::left(&modal) {
        state.message = false;
    }
}
