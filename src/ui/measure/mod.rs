//! The measure bench: a line a room as it is said, and the chosen room drawn beside or below.
//!
//! Line and drawing are two ways to one room: what is pulled on the drawing is rewritten into
//! the line, what is typed into the line is drawn.

mod doubts;
mod draw;
mod ink;
mod offer;
mod sheet;
mod typing;

use egui::{Frame, Panel, ScrollArea, Ui, vec2};

use super::Scene;
use super::action::Action;
use super::theme::{Theme, size};

/// Share of the height the sheet has above its drawing; below so little height both are as high as they need to be and
/// scroll together, the drawing at least so high.
const SHARE: f32 = 0.38;
const LOW: f32 = 420.0;
const DRAWN: f32 = 260.0;

/// What the bench remembers between two drawings.
#[derive(Clone, Debug, Default)]
pub struct MeasureState {
    room: usize,
    sheet: sheet::SheetState,
    draw: draw::DrawState,
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

    /// The line that has the keyboard while nothing is typed in it: undo is the job's own there.
    pub fn bare(&self) -> Option<egui::Id> {
        self.sheet.bare()
    }

    /// Whether the drawing has the keyboard: a letter is then no command.
    pub fn takes_letters(&self, ctx: &egui::Context) -> bool {
        self.draw.focused && ctx.memory(|m| m.focused()).is_some()
    }

    /// The sheet takes the keyboard when it is drawn next.
    pub fn take_keyboard(&mut self) {
        self.sheet.take_keyboard(self.room);
    }
}

/// The sheet, and the drawing beside it or, in a narrow column, below it.
pub fn show(ui: &mut Ui, scene: &Scene, state: &mut MeasureState, out: &mut Vec<Action>) {
    state.room = state.room.min(scene.job.rooms.len().saturating_sub(1));
    let theme = Theme::of(ui.ctx());
    let plain = Frame::NONE.fill(theme.paper);
    let beside = ui.available_width() > size::SHEET_WIDE + 1.0;
    let room = state.room;
    let all = ui.available_size();
    let low = !beside && all.y < LOW;
    let live = state.draw.what_if().cloned();
    if low {
        let drawn = vec2(all.x, all.y.max(DRAWN));
        ScrollArea::vertical().id_salt("sheet and drawing").auto_shrink([false, false]).show(ui, |ui| {
            sheet::lines(ui, scene, room, live.as_ref(), &mut state.sheet, out);
            ui.allocate_ui(drawn, |ui| draw::show(ui, scene, room, &mut state.draw, out));
        });
        return;
    }
    let sheet = |ui: &mut Ui| {
        ScrollArea::vertical().id_salt("lines").auto_shrink([false, false]).show(ui, |ui| {
            sheet::lines(ui, scene, room, live.as_ref(), &mut state.sheet, out);
        });
    };
    if beside {
        Panel::left("sheet").exact_size(size::SHEET).resizable(false).frame(plain).show(ui, sheet);
    } else {
        Panel::top("sheet above").exact_size(all.y * SHARE).resizable(false).frame(plain).show(ui, sheet);
    }
    draw::show(ui, scene, room, &mut state.draw, out);
}
