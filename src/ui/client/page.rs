//! The client's page painted: marks by their inks, and each thing told to a screen reader.

use egui::{Color32, Pos2, Rect, Role, Sense, StrokeKind, Ui, WidgetInfo, pos2, vec2};

use crate::ui::marks;
use crate::ui::theme::{Place, Theme, size};
use crate::views::client::Drawn;
use crate::views::paper::Ink;
use crate::views::section::Site;

/// Smallest text of the page: 24 points in a window of 1920, less in a smaller one.
const UNIT: (f32, f32, f32) = (24.0, 18.0, 64.0);
const OF: f32 = 1920.0;

/// Size of the smallest text in a window so wide, points.
pub(super) fn unit(wide: f32) -> f32 {
    (UNIT.0 * wide / OF).clamp(UNIT.1, UNIT.2)
}

fn color(ink: Ink, theme: &Theme) -> Color32 {
    match ink {
        Ink::Ink => theme.ink,
        Ink::Quiet => theme.quiet,
        Ink::Rule => theme.edge,
        Ink::Phase => theme.room.tint,
        Ink::Off => theme.night,
        Ink::Safe => theme.safe,
        Ink::Shut => theme.target,
        Ink::Paper => theme.paper,
        Ink::Edge => theme.edge,
        Ink::Hand => theme.hand,
        Ink::Tape => theme.tape,
        Ink::Line(site) => place(site, theme).line,
        Ink::Tint(site) => place(site, theme).tint,
    }
}

/// Colours of work in a place.
fn place(site: Site, theme: &Theme) -> Place {
    match site {
        Site::Room => theme.room,
        Site::Shop => theme.shop,
        Site::Booth => theme.booth,
        Site::Away => Place { tint: theme.paper, line: theme.quiet },
    }
}

/// Paints a page from `at` on, `scale` times its size, and names what is on it.
pub(super) fn paint(ui: &mut Ui, drawn: &Drawn, at: Pos2, scale: f32, theme: &Theme) {
    marks::paint(ui, &drawn.page, at, scale, &|ink| color(ink, theme));
    let to = |x: f32, y: f32| pos2(at.x + x * scale, at.y + y * scale);
    for (n, t) in drawn.told.iter().enumerate() {
        let (a, b, c, d) = t.area;
        let rect = Rect::from_min_max(to(a, b), to(c, d));
        let response = ui.interact(rect, ui.scope_id().with(("told", n)), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &t.words));
    }
}

/// Side of the corner control: it stands in the margin of the page, beside the bar.
const CORNER: f32 = 22.0;

/// The small cross at the right upper corner that leaves the page; whether it was pressed.
pub(super) fn corner(ui: &mut Ui, theme: &Theme) -> bool {
    let right = ui.max_rect().right_top() + vec2(-CORNER - 9.0, 4.0);
    let rect = Rect::from_min_size(right, vec2(CORNER, CORNER));
    let response = ui.interact(rect, ui.scope_id().with("leave the page"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Leave the client's page"));
    let color = if response.hovered() || response.has_focus() { theme.ink } else { theme.edge };
    let r = rect.shrink(6.0);
    let p = ui.painter();
    p.line_segment([r.left_top(), r.right_bottom()], (size::OUTLINE, color));
    p.line_segment([r.right_top(), r.left_bottom()], (size::OUTLINE, color));
    if response.has_focus() {
        p.rect_stroke(rect, 0.0, (size::OUTLINE, theme.focus), StrokeKind::Inside);
    }
    response.clicked()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_reads_from_across_the_room_and_is_never_tiny() {
        assert!((unit(1920.0) - 24.0).abs() < 1e-4 && (unit(3840.0) - 48.0).abs() < 1e-4);
        // At 1.5 times the text a window of 1920 pixels is 1280 points wide: 18 points are 27 pixels.
        assert!(unit(1280.0) * 1.5 >= 24.0 && unit(400.0) >= 18.0);
    }
}
