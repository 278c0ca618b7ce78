//! Marks of a page painted: what `views::paper` laid out, in the colours it is given, at any scale.
//!
//! The client's page has the colours of the window; a paper about to be printed those of its file.

use egui::{Color32, Pos2, Rect, Shape, Stroke, StrokeKind, Ui, pos2, vec2};

use super::theme::{plain, semibold, size};
use crate::export;
use crate::views::face::{self, Weight};
use crate::views::paper::{Ink, Mark, Page};

/// Colour of an ink in a file: a paper looks before it is written as it looks then.
pub fn in_file(ink: Ink) -> Color32 {
    Color32::from_hex(export::colour(ink)).unwrap_or(Color32::BLACK)
}

/// Paints a page from `at` on, `scale` times its size.
pub fn paint(ui: &mut Ui, page: &Page, at: Pos2, scale: f32, color: &dyn Fn(Ink) -> Color32) {
    let p = ui.painter().clone();
    let clip = ui.clip_rect().expand(2.0);
    let to = |x: f32, y: f32| pos2(at.x + x * scale, at.y + y * scale);
    for m in &page.marks {
        let b = m.bounds();
        if !clip.intersects(Rect::from_min_max(to(b.0, b.1), to(b.2, b.3)).expand(1.0)) {
            continue;
        }
        match m {
            Mark::Text { x, y, size, weight, ink, text } => {
                let font = if *weight == Weight::SemiBold { semibold(size * scale) } else { plain(size * scale) };
                let top = to(*x, y - face::ascent(*size, *weight));
                p.text(top, egui::Align2::LEFT_TOP, text, font, color(*ink));
            }
            Mark::Line { from, to: end, width, ink } => {
                p.line_segment([to(from.0, from.1), to(end.0, end.1)], (thin(width * scale), color(*ink)));
            }
            Mark::Rect { x, y, w, h, fill, line } => {
                let rect = Rect::from_min_size(to(*x, *y), vec2(w * scale, h * scale));
                if let Some(ink) = fill {
                    p.rect_filled(rect, 0.0, color(*ink));
                }
                if let Some((ink, width)) = line {
                    p.rect_stroke(rect, 0.0, (thin(width * scale), color(*ink)), StrokeKind::Middle);
                }
            }
            Mark::Shape { points, fill, line } => {
                let points: Vec<Pos2> = points.iter().map(|q| to(q.0, q.1)).collect();
                let fill = fill.map_or(Color32::TRANSPARENT, color);
                let stroke = line.map_or(Stroke::NONE, |(ink, w)| Stroke::new(thin(w * scale), color(ink)));
                p.add(Shape::convex_polygon(points, fill, stroke));
            }
        }
    }
}

/// A line is never thinner than a hair.
fn thin(width: f32) -> f32 {
    width.max(size::HAIR)
}
