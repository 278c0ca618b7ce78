//! The room drawn in section, to scale with its own heights: the axis of the chart.
//!
//! One wall seen from inside, cut at its right: ceiling, crown, window or door with its
//! casing, panels, base, floor. Feet times one scale both ways; what does not fit to the
//! left is cut off. Sizes of crown (4-1/2 in) and base (5-1/4 in) are common ones, not the
//! job's own, which does not ask for them.

use super::{Area, Corner, Level, Pos, Role, RoomSection, Shape};
use crate::trade::Part;

const CROWN_FT: f32 = 4.5 / 12.0;
const BASE_FT: f32 = 5.25 / 12.0;
/// The least stretch of wall that is worth a drawing, feet.
const LEAST_WALL: f32 = 1.6;
/// Thickness of the cut wall, pixels.
const CUT: f32 = 3.0;

/// The drawing and, by level, the point its leader starts from.
#[derive(Clone, Debug, Default)]
pub struct Drawn {
    pub shapes: Vec<Shape>,
    pub leaders: Vec<(Level, Pos)>,
}

fn rect(at: Area, role: Role) -> Shape {
    Shape::Rect { at, corner: Corner::Plain, role }
}

/// Draws the room into `into`: its top is the ceiling, its bottom the floor.
pub fn room(s: &RoomSection, into: Area) -> Drawn {
    let mut out = Drawn::default();
    if s.height <= 0.0 || into.h < 24.0 || into.w < 30.0 {
        return out;
    }
    let scale = (into.h / s.height).min(into.w / LEAST_WALL);
    let (top, wall) = (into.y, into.right() - CUT);
    let floor = top + s.height * scale;
    let y = |feet: f32| floor - feet * scale;
    let point = |out: &mut Drawn, part: Part, x: f32, y: f32| out.leaders.push((Level::Part(part), Pos { x, y }));
    let clip = |left: f32, t: f32, right: f32, b: f32| Area::new(left.max(into.x), t, right.min(wall), b);
    let base = if s.base { BASE_FT } else { 0.0 };

    let shown = (wall - into.x) / scale;
    let opening = s.window.or(s.door.map(|(head, w)| (head, 0.0, w)));
    if let Some((head, sill, w)) = opening {
        // Its right edge stands where a third of the wall is left to be seen.
        let right = into.x + (shown * 0.52 * scale).min((w + 2.0 * s.casing) * scale);
        let c = (s.casing * scale).max(3.0);
        let low = if sill > 0.0 { y(sill) } else { floor };
        out.shapes.push(rect(clip(right - w * scale - c, y(head) - c, right, low), Role::Timber));
        let pane = clip(right - w * scale - c + c, y(head), right - c, low);
        out.shapes.push(rect(pane, Role::Glass));
        if sill > 0.0 {
            let rail = (y(head) + low) / 2.0;
            let line = vec![Pos { x: pane.x, y: rail }, Pos { x: pane.right(), y: rail }];
            out.shapes.push(Shape::Path { points: line, weight: 1.0, dotted: false, role: Role::Structure });
            let stool = clip(into.x, low, right + 0.08 * scale, low + (0.09 * scale).max(2.0));
            out.shapes.push(rect(stool, Role::Timber));
            out.shapes.push(rect(clip(into.x, stool.bottom(), right, stool.bottom() + 0.25 * scale), Role::Timber));
        }
        point(&mut out, Part::Openings, right - c / 2.0, (y(head) + low) / 2.0);
    }
    if let Some(h) = s.panels {
        let left = if opening.is_some_and(|o| o.1 <= 0.0) { into.x + shown * 0.55 * scale } else { into.x };
        let rail = (0.3 * scale).max(3.0);
        let whole = clip(left, y(h), wall, y(base));
        out.shapes.push(rect(whole, Role::Timber));
        let wide = (1.1 * scale).min((whole.w - 2.0 * rail).max(4.0));
        let mut right = wall - rail;
        while right - 6.0 > whole.x {
            let field = clip((right - wide).max(whole.x), whole.y + rail, right, whole.bottom() - rail);
            if field.w > 4.0 && field.h > 4.0 {
                out.shapes.push(rect(field, Role::Glass));
            }
            right -= wide + rail;
        }
        point(&mut out, Part::Panels, wall - rail - wide / 2.0, whole.y + whole.h / 2.0);
    }
    if s.base {
        out.shapes.push(rect(clip(into.x, y(base), wall, floor), Role::Timber));
        point(&mut out, Part::Base, wall - 8.0, y(base / 2.0));
    }
    if s.crown {
        let h = CROWN_FT * scale;
        out.shapes.push(rect(clip(into.x, top, wall, top + h), Role::Timber));
        let profile = vec![
            Pos { x: wall - h, y: top },
            Pos { x: wall, y: top },
            Pos { x: wall, y: top + h },
            Pos { x: wall - h * 0.25, y: top + h * 0.72 },
            Pos { x: wall - h * 0.72, y: top + h * 0.3 },
        ];
        out.shapes.push(Shape::Poly { points: profile, role: Role::Structure });
        point(&mut out, Part::Crown, wall - h / 2.0, top + h * 0.62);
    }
    let free = s.panels.unwrap_or(base);
    point(&mut out, Part::Walls, wall - 10.0, y(free + (s.height - free) * 0.55));
    point(&mut out, Part::Ceiling, wall - 26.0, top + 1.0);
    // Ceiling, cut wall and floor over all else.
    out.shapes.push(rect(Area::new(into.x, top - CUT, into.right(), top), Role::Structure));
    out.shapes.push(rect(Area::new(wall, top, into.right(), floor), Role::Structure));
    out.shapes.push(rect(Area::new(into.x, floor, into.right(), floor + CUT), Role::Structure));
    out
}

/// A truck in `into`: what comes in.
pub fn truck(into: Area) -> Vec<Shape> {
    let h = into.h.min(16.0);
    let (x, y) = (into.x, into.y + (into.h - h) / 2.0);
    let body = Area { x, y, w: 24.0, h: h - 4.0 };
    let cab = Area { x: x + 25.0, y: y + 4.0, w: 9.0, h: h - 8.0 };
    let wheel = |dx: f32| Shape::Dot { at: Pos { x: x + dx, y: y + h - 3.0 }, radius: 2.5, role: Role::Truck };
    vec![rect(body, Role::Truck), rect(cab, Role::Truck), wheel(6.0), wheel(28.0)]
}

/// A shed in `into`: the shop.
pub fn shed(into: Area) -> Vec<Shape> {
    let w = into.w.min(into.h * 1.7);
    let (l, r, t, b) = (into.x, into.x + w, into.y, into.bottom());
    let eaves = t + (b - t) * 0.45;
    let p = |x: f32, y: f32| Pos { x, y };
    let walls = vec![p(l, b), p(l, eaves), p((l + r) / 2.0, t), p(r, eaves), p(r, b)];
    let door = Area::new(l + w * 0.38, b - (b - eaves) * 0.7, l + w * 0.62, b);
    vec![Shape::Poly { points: walls, role: Role::Shed }, rect(door, Role::Glass)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_room_is_to_scale_and_inside() {
        let s = RoomSection {
            height: 8.0,
            width: 13.0,
            crown: true,
            window: Some((6.5, 2.0, 3.0)),
            door: None,
            panels: Some(3.0),
            base: true,
            casing: 0.3,
        };
        for into in [Area { x: 5.0, y: 50.0, w: 110.0, h: 240.0 }, Area { x: 5.0, y: 50.0, w: 90.0, h: 900.0 }] {
            let d = room(&s, into);
            let around = Area { x: into.x, y: into.y - CUT, w: into.w, h: into.h + 2.0 * CUT };
            for shape in &d.shapes {
                match shape {
                    Shape::Rect { at, .. } => assert!(around.contains(at), "{at:?}"),
                    Shape::Poly { points, .. } | Shape::Path { points, .. } => {
                        points.iter().for_each(|p| assert!(around.holds(*p) || p.x <= around.right(), "{p:?}"));
                    }
                    _ => {}
                }
            }
            assert_eq!(d.leaders.len(), 6);
        }
        // The window's head stands at 6.5 of 8 ft.
        let d = room(&s, Area { x: 0.0, y: 0.0, w: 110.0, h: 240.0 });
        let pane = d.shapes.iter().find_map(|s| match s {
            Shape::Rect { at, role: Role::Glass, .. } => Some(*at),
            _ => None,
        });
        assert!((pane.unwrap().y - 45.0).abs() < 0.01 && (pane.unwrap().bottom() - 180.0).abs() < 0.01, "{pane:?}");
        assert!(room(&RoomSection::default(), Area { x: 0.0, y: 0.0, w: 99.0, h: 99.0 }).shapes.is_empty());
    }
}
