//! What folds in a column: zones with their headings, entries with a line of words.
//!
//! Open or folded is remembered by the name of the zone while the window is open. What is unfolded by hand comes into
//! view below its head.

use std::fmt::Debug;
use std::hash::Hash;

use egui::{
    Align, Id, Rect, Response, RichText, Role, Sense, Shape, Stroke, StrokeKind, TextStyle, TextWrapMode, Ui,
    WidgetInfo, WidgetText, pos2, vec2,
};

use super::field::LENGTH;
use super::near::{field_wanted, stop};
use crate::ui::theme::{self, Theme, size};

/// Width of the triangle of a fold.
const MARK: f32 = 14.0;

/// The head of something that folds: a line as wide as the column, wrapped, with its triangle.
/// Gives the head and whether it is open.
fn head(ui: &mut Ui, id: Id, words: &str, strong: bool, open: bool) -> (Response, bool) {
    let theme = Theme::of(ui.ctx());
    let mut open = ui.data(|d| d.get_temp(id)).unwrap_or(open);
    let width = ui.available_width();
    let text = RichText::new(words).color(theme.ink);
    let text = if strong { text.text_style(theme::strong()).size(size::HEAD) } else { text };
    let room = (width - MARK - 4.0).max(LENGTH);
    let galley = WidgetText::from(text).into_galley(ui, Some(TextWrapMode::Wrap), room, TextStyle::Body);
    let high = (galley.size().y + 4.0).max(size::ROW);
    let (_, rect) = ui.allocate_space(vec2(width, high));
    let response = ui.interact(rect, id, Sense::click());
    if response.clicked() {
        open = !open;
    }
    ui.data_mut(|d| d.insert_temp(id, open));
    stop(&response);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, words));
    ui.ctx().accesskit_node_builder(id, |node| node.set_expanded(open));
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    let p = ui.painter();
    if response.hovered() {
        p.rect_filled(rect, 0.0, theme.rule);
    }
    if response.has_focus() {
        p.rect_stroke(rect, 0.0, Stroke::new(size::OUTLINE, theme.focus), StrokeKind::Inside);
    }
    let c = pos2(rect.left() + MARK / 2.0, rect.top() + size::ROW / 2.0);
    let tip = if open {
        [c + vec2(-4.0, -2.5), c + vec2(4.0, -2.5), c + vec2(0.0, 3.5)]
    } else {
        [c + vec2(-2.5, -4.0), c + vec2(3.5, 0.0), c + vec2(-2.5, 4.0)]
    };
    p.add(Shape::convex_polygon(tip.to_vec(), theme.quiet, Stroke::NONE));
    p.galley(pos2(rect.left() + MARK + 4.0, rect.top() + (high - galley.size().y) / 2.0), galley, theme.ink);
    (response, open)
}

/// The head of one of two halves of a column, of which one is open. Says whether it was opened.
pub fn head_of(ui: &mut Ui, words: &str, open: bool) -> bool {
    let id = Id::unique(("half", words));
    ui.data_mut(|d| d.insert_temp(id, open));
    let (_, now) = head(ui, id, words, true, open);
    now && !open
}

/// An entry that folds; its head is a line of words.
pub fn fold(ui: &mut Ui, key: impl Hash + Debug, words: &str, open: bool, add: impl FnOnce(&mut Ui)) {
    fold_asked(ui, key, words, open, false, add);
}

/// The same; `asked` opens it now.
pub fn fold_asked(
    ui: &mut Ui,
    key: impl Hash + Debug,
    words: &str,
    open: bool,
    asked: bool,
    add: impl FnOnce(&mut Ui),
) {
    let id = ui.make_persistent_id(("fold", format!("{key:?}")));
    if asked {
        ui.data_mut(|d| d.insert_temp(id, true));
    }
    let words = if words.trim().is_empty() { "without a name" } else { words };
    let (response, open) = head(ui, id, words, false, open);
    if open {
        ui.push_id(("in", format!("{key:?}")), add);
        if response.clicked() && !asked {
            into_view(ui, response.rect);
        }
    }
}

/// Brings what was just unfolded below a head into view, as far as the column holds it with its head on top.
fn into_view(ui: &Ui, head: Rect) {
    let high = (ui.clip_rect().height() - 2.0 * size::GAP).max(head.height());
    let foot = ui.cursor().top().min(head.top() + high).max(head.bottom());
    ui.scroll_to_rect(Rect::from_min_max(head.min, pos2(head.right(), foot)), None);
}

/// A zone of the bench: a rule, its heading, its contents; folded where it is not needed.
/// `asked` opens it and scrolls to it now.
pub fn zone(ui: &mut Ui, words: &str, folded: bool, asked: bool, add: impl FnOnce(&mut Ui)) {
    zone_of(ui, words, words, folded, asked, add);
}

/// A zone whose heading changes; `key` is what it is remembered by.
pub fn zone_of(ui: &mut Ui, key: &str, words: &str, folded: bool, asked: bool, add: impl FnOnce(&mut Ui)) {
    ui.separator();
    let id = Id::unique(("bench zone", key));
    if asked {
        ui.data_mut(|d| d.insert_temp(id, true));
    }
    let (response, open) = head(ui, id, words, true, !folded);
    if asked {
        response.scroll_to_me(Some(Align::Min));
        if !field_wanted(ui) {
            response.request_focus();
        }
    }
    if open {
        ui.push_id(("zone", key), add);
        ui.add_space(size::GAP);
        if response.clicked() && !asked {
            into_view(ui, response.rect);
        }
    }
}
