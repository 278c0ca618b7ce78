//! Small drawings of the window's own, painted where a word would crowd: each within a rectangle,
//! in one colour, with the window's line widths. A name for a screen reader is given where it is used.

use egui::{Color32, Painter, Rect, pos2, vec2};

use super::theme::size;

/// Three lines: the menu.
pub fn menu(p: &Painter, at: Rect, color: Color32) {
    for i in -1..=1 {
        let y = at.center().y + 5.0 * i as f32;
        p.hline(at.center().x - 8.0..=at.center().x + 8.0, y, (size::DAY, color));
    }
}

/// An empty box, or one with a tick.
pub fn tick_box(p: &Painter, at: Rect, ticked: bool, edge: Color32, tick: Color32) {
    p.rect_stroke(at, 0.0, (size::HAIR, edge), egui::StrokeKind::Inside);
    if ticked {
        let to = |x: f32, y: f32| at.center() + vec2(x * at.width(), y * at.height());
        p.line(vec![to(-0.32, 0.0), to(-0.1, 0.27), to(0.36, -0.36)], (size::DAY, tick));
    }
}

/// A glass over a line: find.
pub fn find(p: &Painter, at: Rect, color: Color32) {
    let c = at.center();
    p.circle_stroke(c + vec2(-2.0, -2.0), 5.0, (size::OUTLINE, color));
    p.line_segment([c + vec2(1.8, 1.8), c + vec2(6.5, 6.5)], (size::DAY, color));
}

/// A door standing open: leave.
pub fn door(p: &Painter, at: Rect, color: Color32) {
    let (l, t, r, b) = (at.left() + 3.0, at.top() + 2.0, at.right() - 4.0, at.bottom() - 2.0);
    p.line(vec![pos2(l, b), pos2(l, t), pos2(r, t), pos2(r, b)], (size::HAIR, color));
    let leaf = [pos2(l, t), pos2(l + (r - l) * 0.65, t + 3.0), pos2(l + (r - l) * 0.65, b + 2.0), pos2(l, b)];
    p.line(leaf.to_vec(), (size::OUTLINE, color));
}

/// A roller with its handle: work and its finish.
pub fn roller(p: &Painter, at: Rect, color: Color32) {
    let c = at.center();
    p.rect_stroke(
        Rect::from_center_size(c + vec2(-1.0, -4.0), vec2(11.0, 5.0)),
        0.0,
        (size::OUTLINE, color),
        egui::StrokeKind::Inside,
    );
    p.line(
        vec![c + vec2(4.5, -4.0), c + vec2(7.0, -4.0), c + vec2(7.0, 1.0), c + vec2(0.0, 1.0), c + vec2(0.0, 7.0)],
        (size::HAIR, color),
    );
}

/// A level with its bubble: measures.
pub fn level(p: &Painter, at: Rect, color: Color32) {
    let bar = Rect::from_center_size(at.center(), vec2(15.0, 6.0));
    p.rect_stroke(bar, 0.0, (size::HAIR, color), egui::StrokeKind::Inside);
    for x in [-2.5, 2.5] {
        p.vline(at.center().x + x, bar.y_range(), (size::HAIR, color));
    }
    p.circle_filled(at.center(), 1.3, color);
}
