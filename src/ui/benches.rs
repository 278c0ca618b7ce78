//! The names of the two benches in a ruled row under the strip.
//!
//! Where the window has no room for both they are a choice; side by side each stands over its
//! own part of the sheet, and a click says which of the two the column at the right is about.

use egui::{Role, Sense, Ui, WidgetInfo, pos2, vec2};

use super::action::{Action, Command};
use super::theme::{Theme, plain, semibold, size};
use crate::store::settings::Bench;

/// Draws the row; `now` is the bench in hand, `apart` where the second name stands, side by side.
pub fn show(ui: &mut Ui, now: Bench, apart: Option<f32>, out: &mut Vec<Action>) {
    let theme = Theme::of(ui.ctx());
    let area = ui.max_rect();
    ui.painter().hline(area.x_range(), area.bottom() - 0.5, (size::HAIR, theme.rule));
    let mut x = area.left() + size::PAD;
    for (bench, command) in [(Bench::Measure, Command::Measure), (Bench::Order, Command::Order)] {
        if bench == Bench::Order {
            x = apart.map_or(x, |at| area.left() + at + size::PAD);
        }
        let chosen = bench == now;
        let (font, color) = if chosen { (semibold(size::BODY), theme.ink) } else { (plain(size::BODY), theme.quiet) };
        let words = ui.painter().layout_no_wrap(command.text().to_string(), font, color);
        let rect = egui::Rect::from_min_size(pos2(x, area.top()), vec2(words.rect.width(), area.height()));
        let response = ui.interact(rect.expand2(vec2(6.0, 0.0)), ui.scope_id().with(command.text()), Sense::click());
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen, command.text()));
        let p = ui.painter();
        let at = pos2(x, area.center().y - words.rect.height() / 2.0);
        if response.hovered() && !chosen {
            p.galley_with_override_text_color(at, words, theme.safe);
        } else {
            p.galley(at, words, color);
        }
        if chosen {
            p.hline(rect.x_range(), area.bottom() - 1.5, (size::DAY, theme.ink));
        }
        if response.has_focus() {
            p.rect_stroke(
                response.rect.shrink2(vec2(0.0, 2.0)),
                0.0,
                (size::OUTLINE, theme.focus),
                egui::StrokeKind::Inside,
            );
        }
        if response.clicked() {
            out.push(Action::Do(command));
        }
        let key = command.shortcut().map(|k| ui.ctx().format_shortcut(&k)).unwrap_or_default();
        response.on_hover_text(format!("{} ({key})", command.help()));
        x = rect.right() + 2.0 * size::ZONE;
    }
    ui.allocate_rect(area, Sense::hover());
}
