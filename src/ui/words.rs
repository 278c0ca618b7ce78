//! A text of the text commands on the screen: the plan in words.
//!
//! Columns stand where the text has them: a word that follows two spaces or more begins at its
//! own column, measured in widths of a figure.

use egui::{Align2, Modal, Role, ScrollArea, Sense, Ui, WidgetInfo, pos2, vec2};

use super::theme::{Theme, card, plain, semibold, size, veil};

/// Shows the text over the window until it is closed; returns whether it stays open.
pub fn show(ui: &mut Ui, title: &str, text: &str) -> bool {
    let room = ui.ctx().content_rect().size();
    let mut close = false;
    let modal = Modal::new(egui::Id::unique("plan in words"))
        .backdrop_color(veil(ui.ctx()))
        .frame(card(ui.ctx()))
        .show(ui.ctx(), |ui| {
            ui.set_width((room.x * 0.8).min(900.0));
            ui.set_height(room.y * 0.8);
            ui.horizontal(|ui| {
                ui.heading(title);
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    close |= ui.button("Close").clicked();
                    if ui.button("Copy").clicked() {
                        ui.ctx().copy_text(text.to_string());
                    }
                });
            });
            ui.separator();
            ScrollArea::both().auto_shrink([false, false]).show(ui, |ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                let mut begins = true;
                for l in text.lines() {
                    line(ui, l, begins && !l.ends_with('.'));
                    begins = l.is_empty();
                }
            });
        });
    !(close || modal.should_close())
}

/// A line; the first of a paragraph without a full stop is its heading.
fn line(ui: &mut Ui, text: &str, heading: bool) {
    let theme = Theme::of(ui.ctx());
    let column = size::BODY * 0.6;
    let font = if heading { semibold(size::BODY) } else { plain(size::BODY) };
    let mut runs = Vec::new();
    let mut from = 0;
    for (i, piece) in text.split("  ").enumerate() {
        if i > 0 {
            from += 2;
        }
        let trimmed = piece.trim_start();
        if !trimmed.is_empty() {
            let at = from + piece.chars().count() - trimmed.chars().count();
            runs.push((at as f32 * column, ui.painter().layout_no_wrap(trimmed.into(), font.clone(), theme.ink)));
        }
        from += piece.chars().count();
    }
    let width = runs.iter().map(|(x, g)| x + g.rect.width()).fold(0.0, f32::max);
    let (area, response) = ui.allocate_exact_size(vec2(width.max(1.0), size::BODY + 5.0), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, text.trim()));
    let mut end = area.left();
    for (x, galley) in runs {
        // A word longer than its column pushes what follows, it is never covered.
        let at = (area.left() + x).max(end);
        end = at + galley.rect.width() + size::GAP;
        ui.painter().galley(
            pos2(at, Align2::LEFT_CENTER.align_size_within_rect(galley.rect.size(), area).top()),
            galley,
            theme.ink,
        );
    }
}
