//! What stands against a plan, on top of the window: a line a place, and the way out where one is known.

use egui::{Label, Ui};

use super::action::Action;
use super::bench::field::button;
use super::theme::Theme;
use crate::views;

/// What stands against a plan of the job as it stands, and the way out where one is known.
pub fn problems_bar(ui: &mut Ui, against: &views::Against, before: bool, theme: &Theme, out: &mut Vec<Action>) {
    ui.horizontal_wrapped(|ui| {
        let words = if before {
            "This cannot be planned; the figures are of the job before."
        } else {
            "This cannot be planned yet."
        };
        ui.colored_label(theme.error, words);
        for (words, edits) in &against.ways_out {
            if button(ui, words, &format!("{words}, so that it can be planned")) {
                out.push(Action::Edit(edits.clone()));
            }
        }
    });
    let lines = &against.lines;
    for l in lines.iter().take(4) {
        ui.add(Label::new(&l.words).wrap());
    }
    if lines.len() > 4 {
        ui.label(views::and_more(lines.len() - 4));
    }
}
