//! What is eating the date: causes in working days with plain bars, the steps that hold the
//! date most often; and the cautions of the job.

use egui::{Label, RichText, Sense, Stroke, StrokeKind, Ui, vec2};

use super::field::row;
use super::fold::zone;
use super::{BenchState, Zone};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::explain::{told, told_as};
use crate::ui::shown::Reached;
use crate::ui::theme::{Theme, size};
use crate::views;
use crate::views::Figure;
use crate::views::eating::{CAUSES, CauseRow, OnDate, cause_rows, on_date_rows};

/// Width of the longest bar, and of the words before it.
const BAR: f32 = 38.0;
const WORDS: f32 = 132.0;

/// Rows last counted. They stand, quiet, until those of the job as it is now are there, so that nothing
/// below them moves while it is counted again.
#[derive(Clone, Debug, Default)]
pub(super) struct EatingState {
    causes: Vec<CauseRow>,
    often: Vec<OnDate>,
}

/// The rows now, or the earlier ones while those are being counted; whether they are the earlier ones.
fn kept<T: Clone>(now: Vec<T>, before: &mut Vec<T>, counting: bool) -> (Vec<T>, bool) {
    if now.is_empty() && counting {
        return (before.clone(), true);
    }
    before.clone_from(&now);
    (now, false)
}

/// The causes.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState) {
    let asked = state.asked(Zone::Eating);
    let state = &mut state.eating;
    zone(ui, "What is eating the date", false, asked, |ui| {
        let Some(shown) = scene.shown else { return };
        let quiet = Theme::of(ui.ctx()).quiet;
        ui.add(Label::new(RichText::new(CAUSES).color(quiet).size(size::SMALL)).wrap());
        let counting = shown.reached < Reached::Rest;
        let (rows, earlier) = kept(cause_rows(&shown.forecast), &mut state.causes, counting);
        if rows.is_empty() {
            ui.label(if counting { "counting…" } else { "nothing that can be told apart" });
        }
        for r in &rows {
            cause(ui, r, earlier);
        }
    });
}

/// The steps that hold the date in most trials.
pub(super) fn often(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let Some(shown) = scene.shown else { return };
    let counting = shown.reached < Reached::Rest;
    let now = on_date_rows(&shown.sound, &shown.odds, shown.forecast.sorted.len());
    let (steps, earlier) = kept(now, &mut state.eating.often, counting);
    if steps.is_empty() {
        return;
    }
    let asked = state.asked(Zone::Often);
    zone(ui, "Steps that hold the date most often", true, asked, |ui| {
        for s in &steps {
            row(ui, "", "", |f| {
                dated(f.ui, &s.name, &s.chance, earlier);
                if f.link(&s.name, &s.id) {
                    out.push(Action::Select(Some(s.id.clone())));
                }
            });
        }
    });
}

/// A figure, quiet while it is that of the job before.
fn dated(ui: &mut Ui, what: &str, figure: &Figure, earlier: bool) {
    if earlier {
        let quiet = Theme::of(ui.ctx()).quiet;
        told_as(ui, what, figure, RichText::new(figure.words()).color(quiet));
    } else {
        told(ui, what, figure);
    }
}

/// A cause: its words, a bar, its days; the days say how they were counted.
fn cause(ui: &mut Ui, r: &CauseRow, earlier: bool) {
    let theme = Theme::of(ui.ctx());
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = size::GAP;
        ui.allocate_ui_with_layout(vec2(WORDS, size::ROW), egui::Layout::left_to_right(egui::Align::Center), |ui| {
            ui.set_width(WORDS);
            ui.add(Label::new(RichText::new(r.words).color(if earlier { theme.quiet } else { theme.ink })).wrap());
        });
        // What all of them take is no cause to compare the others with.
        let (bar, _) = ui.allocate_exact_size(vec2(BAR, 8.0), Sense::hover());
        if r.share > 0.0 && r.words != views::causes_words("together") {
            let full = bar.with_max_x(bar.left() + BAR * r.share as f32);
            ui.painter().rect_filled(full, 0.0, theme.hand);
            ui.painter().rect_stroke(full, 0.0, Stroke::new(size::HAIR, theme.safe), StrokeKind::Inside);
        }
        dated(ui, r.words, &r.days, earlier);
    });
}

/// The cautions of what this job does, each with the body whose rule it is.
pub(super) fn cautions(ui: &mut Ui, scene: &Scene, state: &mut BenchState) {
    let Some(shown) = scene.shown else { return };
    let list = views::cautions(&shown.sound);
    if list.is_empty() {
        return;
    }
    let asked = state.asked(Zone::Cautions);
    zone(ui, "Before you begin", false, asked, |ui| {
        let theme = Theme::of(ui.ctx());
        for c in list {
            egui::Frame::NONE.stroke(Stroke::new(size::HAIR, theme.caution)).inner_margin(size::GAP).show(ui, |ui| {
                ui.set_width(ui.available_width());
                ui.add(Label::new(RichText::new(&c.name).text_style(crate::ui::theme::strong())).wrap());
                ui.add(Label::new(&c.text).wrap());
                ui.add(Label::new(RichText::new(&c.rule).color(theme.quiet).size(size::SMALL)).wrap());
            });
        }
        let last = "These are prompts, not permissions: local code and licensed practice win.";
        ui.add(Label::new(RichText::new(last).color(theme.quiet)).wrap());
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn earlier_rows_stand_until_the_new_ones_are_counted() {
        let mut before = Vec::new();
        assert_eq!(kept(vec![], &mut before, true), (Vec::<u8>::new(), true));
        assert_eq!(kept(vec![1, 2], &mut before, true), (vec![1, 2], false));
        assert_eq!(kept(vec![], &mut before, true), (vec![1, 2], true));
        assert_eq!(kept(vec![3], &mut before, false), (vec![3], false));
        assert_eq!(kept(vec![], &mut before, false), (vec![], false));
        assert_eq!(kept(vec![], &mut before, true), (vec![], true));
    }
}
