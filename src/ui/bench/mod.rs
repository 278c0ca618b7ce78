//! The order of work bench: what was measured, what was chosen, who works when and where,
//! and the figures of the selected step; everything changeable in place.
//!
//! Each panel reads the scene and collects actions. A committed field is one edit, so one
//! entry of undo; a slider asks while it is dragged and is an edit when let go.

pub mod field;
mod openings;
pub mod rooms;
mod surfaces;
#[cfg(test)]
mod tests;

use egui::{Label, RichText, ScrollArea, Ui};

use super::Scene;
use super::action::Action;
use super::theme::{Theme, size};
use crate::job::Edit;

/// A zone of the bench that can be asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zone {
    Rooms,
}

/// What the bench remembers between two drawings.
#[derive(Clone, Debug, Default)]
pub struct BenchState {
    /// A zone to unfold and scroll to when it is drawn next.
    pub reveal: Option<Zone>,
    /// Room and surface whose recipe is being chosen.
    choosing: Option<(usize, usize)>,
}

impl BenchState {
    /// Whether this zone was asked for; asked once.
    fn asked(&mut self, zone: Zone) -> bool {
        self.reveal.take_if(|z| *z == zone).is_some()
    }
}

/// The whole bench, one zone below the other, scrolled as one.
pub fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    ScrollArea::vertical().id_salt("bench").auto_shrink([false, false]).show(ui, |ui| {
        rooms::show(ui, scene, state, out);
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
