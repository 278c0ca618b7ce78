//! The names of the two benches in a ruled row under the strip; the same row names the pages of a job under way where
//! the window has no room for all of it.
//!
//! Where the window has no room for both they are a choice; side by side each stands over its
//! own part of the sheet, and a click says which of the two the column at the right is about.

use egui::{Role, Sense, Ui, WidgetInfo, pos2, vec2};

use super::action::{Action, Command};
use super::theme::{Theme, plain, semibold, size};
use crate::store::settings::Bench;

/// Draws the row; `now` is the bench in hand, `apart` where the second name stands, side by side.
pub fn show(ui: &mut Ui, now: Bench, apart: Option<f32>, out: &mut Vec<Action>) {
    let mut row = Row::new(ui);
    for (bench, command) in [(Bench::Measure, Command::Measure), (Bench::Order, Command::Order)] {
        if let (Bench::Order, Some(at)) = (bench, apart) {
            row.x = row.area.left() + at + size::PAD;
        }
        let response = row.name(ui, command.text(), bench == now);
        if response.clicked() {
            out.push(Action::Do(command));
        }
        let key = command.shortcut().map(|k| ui.ctx().format_shortcut(&k)).unwrap_or_default();
        response.on_hover_text(format!("{} ({key})", command.help()));
    }
    ui.allocate_rect(row.area, Sense::hover());
}

/// A row of pages, one of which is in sight; the one clicked.
pub fn pages(ui: &mut Ui, names: &[&str], now: usize) -> Option<usize> {
    let mut row = Row::new(ui);
    let clicked = (0..names.len()).filter(|&i| row.name(ui, names[i], i == now).clicked()).last();
    ui.allocate_rect(row.area, Sense::hover());
    clicked
}

/// A ruled row of names; the next begins at `x`.
struct Row {
    area: egui::Rect,
    x: f32,
}

impl Row {
    fn new(ui: &Ui) -> Row {
        let area = ui.max_rect();
        ui.painter().hline(area.x_range(), area.bottom() - 0.5, (size::HAIR, Theme::of(ui.ctx()).rule));
        Row { area, x: area.left() + size::PAD }
    }

    fn name(&mut self, ui: &Ui, words: &str, chosen: bool) -> egui::Response {
        let (theme, area) = (Theme::of(ui.ctx()), self.area);
        let (font, color) = if chosen { (semibold(size::BODY), theme.ink) } else { (plain(size::BODY), theme.quiet) };
        let galley = ui.painter().layout_no_wrap(words.to_string(), font, color);
        let rect = egui::Rect::from_min_size(pos2(self.x, area.top()), vec2(galley.rect.width(), area.height()));
        let response = ui.interact(rect.expand2(vec2(6.0, 0.0)), ui.scope_id().with(words), Sense::click());
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen, words));
        let p = ui.painter();
        let at = pos2(self.x, area.center().y - galley.rect.height() / 2.0);
        if response.hovered() && !chosen {
            p.galley_with_override_text_color(at, galley, theme.safe);
        } else {
            p.galley(at, galley, color);
        }
        if chosen {
            p.hline(rect.x_range(), area.bottom() - 1.5, (size::DAY, theme.ink));
        }
        if response.has_focus() {
            let round = response.rect.shrink2(vec2(0.0, 2.0));
            p.rect_stroke(round, 0.0, (size::OUTLINE, theme.focus), egui::StrokeKind::Inside);
        }
        self.x = rect.right() + 2.0 * size::ZONE;
        response
    }
}
