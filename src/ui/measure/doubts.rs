//! Which wall a surface is on, where that is not sure since its room was measured anew.
//!
//! Asked below the line of the room until it is said to be right or the surface is given other walls; not kept in the job.

use std::collections::BTreeMap;

use egui::Ui;

use crate::job::Room;
use crate::sheet::{self, Doubt};
use crate::ui::bench::field::button;
use crate::views::drawing;

/// What is not sure, by the id of the room.
#[derive(Clone, Debug, Default)]
pub struct Doubts(BTreeMap<String, Vec<Doubt>>);

impl Doubts {
    /// Notes what is not sure of a room measured anew.
    pub fn ask(&mut self, old: &Room, new: &Room) {
        self.0.insert(old.id.clone(), sheet::doubts(old, new));
    }

    /// Draws the questions of a room; `wrong` draws a question.
    pub fn show(&mut self, ui: &mut Ui, room: &Room, wrong: &dyn Fn(&mut Ui, &str)) {
        let Some(list) = self.0.get_mut(&room.id) else { return };
        // Undo may have brought the walls of before back.
        list.retain(|d| {
            d.of == sheet::walls(room) && room.surfaces.iter().any(|s| s.id == d.surface && s.walls == d.walls)
        });
        let mut right = None;
        for (k, d) in list.iter().enumerate() {
            wrong(ui, &d.ask);
            let now = sheet::walls_field(room, &d.walls);
            if button(ui, &drawing::still_words(&now), &drawing::still_of(&d.surface, &now)) {
                right = Some(k);
            }
        }
        if let Some(k) = right {
            list.remove(k);
        }
    }
}
