//! The column beside the two benches: what was measured and chosen, who works when and where,
//! and the figures of the selected step; everything changeable in place.
//!
//! Each panel reads the scene and collects actions. A committed field is one edit, so one
//! entry of undo; a slider asks while it is dragged and is an edit when let go.

mod calendar;
mod crew;
mod eating;
pub mod field;
mod house;
mod entries;
mod inspector;
mod job;
mod openings;
mod places;
pub mod rooms;
mod surfaces;
#[cfg(test)]
mod tests;

use std::sync::Arc;

use egui::{CursorIcon, Frame, Label, Margin, RichText, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, WidgetInfo};

use super::Scene;
use super::action::Action;
use super::theme::{Theme, size};
use crate::job::Edit;
use crate::store::settings::Bench;
use crate::views::inspect::{Inspected, Line};

/// A zone of the bench that can be asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zone {
    Rooms,
    Crew,
    Places,
    Calendar,
}

/// What the bench remembers between two drawings.
#[derive(Clone, Debug, Default)]
pub struct BenchState {
    /// A zone to unfold and scroll to when it is drawn next.
    pub reveal: Option<Zone>,
    /// The step selected when the bench was last drawn.
    selected: Option<String>,
    /// Room and surface whose recipe is being chosen.
    choosing: Option<(usize, usize)>,
    /// Where the slider of the confidence is while it is dragged.
    confidence: Option<f64>,
    /// The figure whose why is told.
    why: Option<String>,
    /// The step last read, with the answer and the job it was read from.
    read: Option<(u64, u64, usize, String, Arc<Inspected>)>,
}

impl BenchState {
    /// Whether this zone was asked for; asked once.
    fn asked(&mut self, zone: Zone) -> bool {
        self.reveal.take_if(|z| *z == zone).is_some()
    }
}

/// The column at the right: what belongs to the bench in hand, scrolled as one. `both` where
/// the two benches stand side by side: then the other is one line, to be opened by a click.
pub fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, hand: Hand, out: &mut Vec<Action>) {
    let salt = if hand.bench == Bench::Measure { "measure side" } else { "bench" };
    let mut area = ScrollArea::vertical().id_salt(salt).auto_shrink([false, false]);
    if state.selected.as_deref() != scene.selected {
        state.selected = scene.selected.map(str::to_string);
        area = area.vertical_scroll_offset(0.0);
    }
    area.show(ui, |ui| {
        let pad =
            Margin { left: size::PAD as i8, right: size::PAD as i8, top: size::GAP as i8, bottom: size::PAD as i8 };
        Frame::NONE.inner_margin(pad).show(ui, |ui| {
            ui.set_max_width(ui.available_width());
            ui.set_min_width(ui.available_width());
            let measure = hand.bench == Bench::Measure;
            if hand.both && field::head_of(ui, "Rooms, surfaces, house", measure) {
                out.push(Action::Room(hand.room));
            }
            if measure {
                measure_side(ui, scene, state, hand.room, out);
            }
            if hand.both && field::head_of(ui, "Steps, crew, days", !measure) {
                out.push(Action::Select(scene.selected.map(str::to_string)));
            }
            if !measure {
                order_side(ui, scene, state, out);
            }
        });
    });
}

/// What the column is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hand {
    /// The bench in hand; the one last touched where both are shown.
    pub bench: Bench,
    pub both: bool,
    /// The room of the measure sheet that is chosen, by its place in the job.
    pub room: usize,
}

/// Beside the measure sheet: rooms with their surfaces and openings, the house.
pub fn measure_side(ui: &mut Ui, scene: &Scene, state: &mut BenchState, _room: usize, out: &mut Vec<Action>) {
    rooms::show(ui, scene, state, out);
    house::show(ui, scene, out);
}

/// Beside the room section: the selected step, what eats the date, the job, crew, places, week, risks, cautions.
pub fn order_side(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    // Who has just chosen a step wants to see it; what eats the date is below then.
    if scene.selected.is_some() {
        inspector::show(ui, scene, state, out);
    }
    eating::show(ui, scene, state);
    eating::often(ui, scene, out);
    job::show(ui, scene, state, out);
    crew::show(ui, scene, state, out);
    places::show(ui, scene, state, out);
    calendar::show(ui, scene, state, out);
    house::risks(ui, scene, out);
    eating::cautions(ui, scene);
}

/// A figure that says where it comes from when it is clicked. `what` is its caption.
fn figure(ui: &mut Ui, state: &mut BenchState, what: &str, line: &Line) {
    field::row(ui, "", what, |f| told(f, state, what, line));
    reason(ui, state, what, line);
}

/// The words of a figure, to be clicked.
fn told(f: &mut field::Row, state: &mut BenchState, what: &str, line: &Line) {
    let theme = Theme::of(f.ui.ctx());
    let open = state.why.as_deref() == Some(what);
    let words = RichText::new(&line.words).color(if open { theme.safe } else { theme.ink });
    let label = Label::new(words).wrap().sense(Sense::click());
    let response = f.ui.add(label).on_hover_cursor(CursorIcon::PointingHand);
    let name = format!("{what}: {}", line.words);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    if response.has_focus() {
        let stroke = Stroke::new(size::OUTLINE, theme.focus);
        f.ui.painter().rect_stroke(response.rect.expand(2.0), 0.0, stroke, StrokeKind::Inside);
    }
    if response.clicked() {
        state.why = (!open).then(|| what.to_string());
    }
}

/// Where a figure comes from, below it, once it was clicked.
fn reason(ui: &mut Ui, state: &BenchState, what: &str, line: &Line) {
    if state.why.as_deref() == Some(what) && !line.why.is_empty() {
        let quiet = Theme::of(ui.ctx()).quiet;
        ui.add(Label::new(RichText::new(&line.why).color(quiet)).wrap());
    }
}

/// One change, one undo entry.
fn edit(out: &mut Vec<Action>, edit: Edit) {
    out.push(Action::Edit(vec![edit]));
}

/// A record with a change made to it.
fn changed<T: Clone>(of: &T, change: impl FnOnce(&mut T)) -> T {
    let mut new = of.clone();
    change(&mut new);
    new
}

/// What stands against a plan at or below a path of the job.
fn problems(ui: &mut Ui, scene: &Scene, path: &str) {
    let error = Theme::of(ui.ctx()).error;
    let within = |p: &str| p.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']));
    for p in scene.problems.iter().filter(|p| within(&p.path)) {
        let text = format!("{}; {}", p.what, p.remedy);
        ui.add(Label::new(RichText::new(text).color(error).size(size::SMALL)).wrap());
    }
}
