//! The two benches of a quote and the column beside them.

use egui::{CentralPanel, Frame, Panel, Ui};

use super::action::Action;
use super::bench::{self, BenchState};
use super::measure::{self, MeasureState};
use super::section::{self, SectionState};
use super::theme::{Theme, size};
use super::words::{self, WordsState};
use super::{Scene, benches};
use crate::store::settings::Bench;

/// The page, with what its parts remember.
pub struct Page<'a> {
    pub bench: &'a mut BenchState,
    pub measure: &'a mut MeasureState,
    pub section: &'a mut SectionState,
    pub words: &'a mut WordsState,
    /// The bench in hand.
    pub now: Bench,
    /// Jobs opened so far: what is half typed belongs to the job it was typed for.
    pub opened: u64,
}

impl Page<'_> {
    /// Draws it over all there is.
    pub fn show(&mut self, ui: &mut Ui, scene: &Scene, out: &mut Vec<Action>) {
        let theme = Theme::of(ui.ctx());
        let plain = Frame::NONE.fill(theme.paper);
        let both = ui.available_width() >= size::WIDE;
        let (now, opened) = (self.now, self.opened);
        Panel::top("benches").exact_size(size::BENCHES).frame(plain).show_separator_line(false).show(ui, |ui| {
            benches::show(ui, now, both.then_some(size::SHEET_WIDE), out);
        });
        let width = if both { size::SIDE_WIDE } else { size::SIDE };
        let hand = bench::Hand { bench: now, both, room: self.measure.room() };
        Panel::right("bench").exact_size(width).resizable(false).frame(Frame::NONE.fill(theme.panel)).show(ui, |ui| {
            ui.push_id(("job", opened), |ui| bench::show(ui, scene, self.bench, hand, out));
        });
        if both || now == Bench::Measure {
            // Its name does not change with the width, so that what has the keyboard keeps it.
            let state = &mut *self.measure;
            let mut draw = |ui: &mut Ui| {
                ui.push_id(("measure", opened), |ui| measure::show(ui, scene, state, out));
            };
            if both {
                Panel::left("measure").exact_size(size::SHEET_WIDE).resizable(false).frame(plain).show(ui, draw);
            } else {
                CentralPanel::default().frame(plain).show(ui, |ui| draw(ui));
            }
        }
        if (both || now == Bench::Order) && words::show(ui, scene, self.words, self.section, out) {
            CentralPanel::default().frame(plain).show(ui, |ui| {
                section::show(ui, scene, self.section, out);
            });
        }
    }
}
