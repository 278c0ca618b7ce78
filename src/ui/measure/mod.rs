//! The measure bench: a line a room, and the chosen room drawn.

use egui::Ui;

use super::Scene;
use super::action::Action;

/// What the bench remembers between two drawings.
#[derive(Clone, Debug, Default)]
pub struct MeasureState {
    room: usize,
    /// The sheet is to have the keyboard when it is drawn next.
    keyboard: bool,
}

impl MeasureState {
    /// The chosen room, by its place in the job.
    pub fn room(&self) -> usize {
        self.room
    }

    /// Chooses a room.
    pub fn choose(&mut self, room: usize) {
        self.room = room;
    }

    /// The sheet takes the keyboard when it is drawn next.
    pub fn take_keyboard(&mut self) {
        self.keyboard = true;
    }
}

/// The sheet, and the drawing beside it or below it.
pub fn show(ui: &mut Ui, _scene: &Scene, _state: &mut MeasureState, _out: &mut Vec<Action>) {
    ui.label("The measure sheet");
}
