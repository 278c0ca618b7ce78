//! The order of work bench: what was measured, what was chosen, who works when and where,
//! and the figures of the selected step; everything changeable in place.
//!
//! Each panel reads the scene and collects actions. A committed field is one edit, so one
//! entry of undo; a slider asks while it is dragged and is an edit when let go.

mod air;
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

use egui::{Frame, Label, Margin, RichText, ScrollArea, Ui};

use super::action::Action;
use super::theme::{Theme, size};
use super::{Scene, explain};
use crate::job::Edit;
use crate::views::Figure;
use crate::views::inspect::Inspected;

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
    /// The step last read, with the answer and the job it was read from.
    read: Option<(u64, u64, usize, String, Arc<Inspected>)>,
    air: air::AirState,
}

impl BenchState {
    /// Whether this zone was asked for; asked once.
    fn asked(&mut self, zone: Zone) -> bool {
        self.reveal.take_if(|z| *z == zone).is_some()
    }
}

/// The whole bench, one zone below the other, scrolled as one.
pub fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let mut area = ScrollArea::vertical().id_salt("bench").auto_shrink([false, false]);
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
            // Who has just chosen a step wants to see it; what eats the date is below then.
            if scene.selected.is_some() {
                inspector::show(ui, scene, state, out);
            }
            eating::show(ui, scene);
            eating::often(ui, scene, out);
            air::show(ui, scene, &mut state.air, out);
            job::show(ui, scene, state, out);
            rooms::show(ui, scene, state, out);
            crew::show(ui, scene, state, out);
            places::show(ui, scene, state, out);
            calendar::show(ui, scene, state, out);
            house::show(ui, scene, out);
            house::risks(ui, scene, out);
            eating::cautions(ui, scene);
        });
    });
}

/// A figure that says where it comes from when it is clicked. `what` is its caption.
fn figure(ui: &mut Ui, what: &str, figure: &Figure) {
    field::row(ui, "", what, |f| {
        explain::told(f.ui, what, figure);
    });
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
