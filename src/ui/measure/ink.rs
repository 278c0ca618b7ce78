//! Paints a drawing of a room: each role has its colours and weights here, nothing is decided.

use egui::epaint::TextShape;
use egui::{Color32, Painter, Pos2, Shape, Stroke, vec2};

use crate::ui::theme::{Theme, plain, semibold, size};
use crate::views::drawing::{Drawing, Mark, Role};
use crate::views::section::Pos;

/// A point of the drawing on the screen.
pub fn at(origin: Pos2, p: Pos) -> Pos2 {
    origin + vec2(p.x, p.y)
}

/// Paints every mark in its order.
pub fn paint(p: &Painter, origin: Pos2, drawing: &Drawing, theme: &Theme) {
    for mark in &drawing.marks {
        match mark {
            Mark::Area { points, role } => {
                let points: Vec<Pos2> = points.iter().map(|&q| at(origin, q)).collect();
                p.add(Shape::convex_polygon(points, fill(*role, theme), edge(*role, theme)));
            }
            Mark::Line { points, role, dashed } => {
                let points: Vec<Pos2> = points.iter().map(|&q| at(origin, q)).collect();
                let stroke = line(*role, theme);
                if *dashed {
                    p.extend(Shape::dashed_line(&points, stroke, 5.0, 4.0));
                } else {
                    p.add(Shape::line(points, stroke));
                }
            }
            Mark::Text { at: q, text, size, turn, role } => words(p, at(origin, *q), text, *size, *turn, *role, theme),
        }
    }
}

fn fill(role: Role, t: &Theme) -> Color32 {
    match role {
        Role::Wall => t.night,
        Role::WallChosen | Role::Picked => t.picked,
        Role::Timber => t.shop.tint,
        Role::Box => t.ink,
        Role::Gap => t.paper,
        _ => Color32::TRANSPARENT,
    }
}

fn edge(role: Role, t: &Theme) -> Stroke {
    match role {
        Role::Timber => Stroke::new(0.7, t.edge),
        _ => Stroke::NONE,
    }
}

fn line(role: Role, t: &Theme) -> Stroke {
    match role {
        Role::Face => Stroke::new(size::OUTLINE, t.ink),
        Role::Floor => Stroke::new(2.5, t.ink),
        Role::Leaf => Stroke::new(size::DAY, t.ink),
        Role::Glass => Stroke::new(size::HAIR, t.ink),
        Role::Swing => Stroke::new(0.8, t.edge),
        Role::Chosen => Stroke::new(size::DAY + 0.5, t.safe),
        Role::Wrong => Stroke::new(size::OUTLINE, t.error),
        _ => Stroke::new(0.8, t.quiet),
    }
}

/// Words about their middle.
fn words(p: &Painter, middle: Pos2, text: &str, size: f32, turn: f32, role: Role, t: &Theme) {
    let (font, color) = match role {
        Role::Number => (semibold(size), t.ink),
        Role::Wrong => (plain(size), t.error),
        _ => (plain(size), t.ink),
    };
    let galley = p.layout_no_wrap(text.to_string(), font, color);
    let half = galley.size() / 2.0;
    let (sin, cos) = (libm::sinf(turn), libm::cosf(turn));
    let corner = middle - vec2(half.x * cos - half.y * sin, half.x * sin + half.y * cos);
    p.add(TextShape::new(corner, galley, color).with_angle(turn));
}
