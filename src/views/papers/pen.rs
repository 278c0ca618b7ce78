//! Shapes of the room section as marks on paper: what the painter of the window does with pixels.
//!
//! Everything lies within its zone: what a zone cuts off on the screen is cut off here by arithmetic,
//! so that no reader of the file has to clip. Pixels of the layout in, points of the page out.

use crate::views::face::{self, Weight};
use crate::views::paper::{Ink, Mark, clean};
use crate::views::section::{Area, Corner, Kind, Layout, Pos, Role, Shape, Site};

/// Distance of hatch lines, pixels of the layout.
const HATCH: f32 = 5.0;

/// The marks of a layout, its top left at `at`.
pub fn marks(out: &Layout, at: (f32, f32), scale: f32) -> Vec<Mark> {
    let mut pen = Pen { clip: Area::default(), at, scale, marks: Vec::new() };
    for layer in &out.layers {
        pen.clip = layer.clip;
        layer.shapes.iter().for_each(|s| pen.draw(s));
    }
    pen.marks
}

/// Turns shapes into marks: pixels of the layout in, points of the page out.
struct Pen {
    clip: Area,
    at: (f32, f32),
    /// Points for a pixel.
    scale: f32,
    marks: Vec<Mark>,
}

/// Ink of a line, a dot or a word.
fn ink(role: Role) -> Ink {
    match role {
        Role::Block { done: true, .. } | Role::RibbonWordOnInk => Ink::Paper,
        Role::Block { site, .. } | Role::Waiting(site) | Role::Drying(site) | Role::Ready(site) => Ink::Line(site),
        Role::Target | Role::Closed => Ink::Shut,
        Role::Safe | Role::AirDamp => Ink::Safe,
        Role::AirWarm => Ink::Line(Site::Shop),
        Role::InHand => Ink::Hand,
        Role::BandRule | Role::DayRule | Role::ZoneRule | Role::Bracket => Ink::Rule,
        Role::Floor | Role::Leader | Role::TapeTick | Role::Timber | Role::Glass | Role::Truck | Role::Shed => {
            Ink::Edge
        }
        Role::DayName | Role::Faint | Role::Lost => Ink::Quiet,
        _ => Ink::Ink,
    }
}

fn corners(a: &Area) -> Vec<Pos> {
    let p = |x, y| Pos { x, y };
    vec![p(a.x, a.y), p(a.right(), a.y), p(a.right(), a.bottom()), p(a.x, a.bottom())]
}

impl Pen {
    fn point(&self, p: Pos) -> (f32, f32) {
        (self.at.0 + p.x * self.scale, self.at.1 + p.y * self.scale)
    }

    fn draw(&mut self, shape: &Shape) {
        match shape {
            Shape::Rect { at, corner, role } => self.area(at, *corner, *role),
            Shape::Poly { points, role } => self.poly(points, *role),
            Shape::Path { points, weight, dotted, role } => {
                for p in points.windows(2) {
                    if *dotted {
                        self.dots(p[0], p[1], *weight, ink(*role));
                    } else {
                        self.line(p[0], p[1], *weight, ink(*role));
                    }
                }
            }
            Shape::Dot { at, radius, role } => self.dot(*at, *radius, ink(*role)),
            Shape::Text { at, text, size, weight, halo, role } => self.text(*at, text, (*size, *weight), *halo, *role),
            Shape::Tick { at, role } => {
                let y = at.y + at.h / 2.0;
                let points = [(at.x, y), (at.x + at.w * 0.38, at.bottom()), (at.right(), at.y)];
                let points = points.map(|(x, y)| Pos { x, y });
                points.windows(2).for_each(|p| self.line(p[0], p[1], 2.0, ink(*role)));
            }
        }
    }

    /// Words on paper where they want it round them; what lies outside the zone is left out whole.
    fn text(&mut self, at: Pos, text: &str, (size, weight): (f32, Weight), halo: bool, role: Role) {
        let text = clean(text);
        let (wide, cap) = (face::width(&text, size, weight), face::cap_height(size, weight));
        let middle = Pos { x: at.x + wide / 2.0, y: at.y - cap / 2.0 };
        if text.is_empty() || !self.clip.holds(middle) {
            return;
        }
        if halo {
            let ground = Area::new(at.x - 1.5, at.y - cap - 2.0, at.x + wide + 1.5, at.y + cap * 0.4);
            self.fill(&corners(&ground), Ink::Paper);
        }
        let (x, y) = self.point(at);
        self.marks.push(Mark::Text { x, y, size: size * self.scale, weight, ink: ink(role), text });
    }

    fn area(&mut self, a: &Area, corner: Corner, role: Role) {
        let all = corners(a);
        let (left, right) = (a.x, a.right());
        let upright = |pen: &mut Pen, x: f32, weight: f32, ink: Ink| {
            pen.line(Pos { x, y: a.y }, Pos { x, y: a.bottom() }, weight, ink);
        };
        match role {
            Role::Block { site, done } => {
                let fill = if done { Ink::Line(site) } else { Ink::Tint(site) };
                self.shape(&block(a, corner), Some(fill), Some((Ink::Line(site), 1.5f32.min(a.w / 4.0))));
            }
            Role::Waiting(site) => {
                let y = a.y + a.h / 2.0;
                self.line(Pos { x: left, y }, Pos { x: right, y }, 1.0, Ink::Line(site));
                upright(self, left + 0.5, 1.5, Ink::Line(site));
                upright(self, right - 0.5, 1.5, Ink::Line(site));
            }
            Role::Drying(site) => self.hatch(&all, HATCH, 1.0, Ink::Line(site)),
            Role::Ribbon(kind) => self.ribbon(a, kind),
            Role::Night | Role::DayOff => self.fill(&all, Ink::Off),
            Role::Closed => {
                self.fill(&all, Ink::Off);
                self.hatch(&all, HATCH * 1.6, 0.6, Ink::Shut);
            }
            Role::Lost => {
                self.fill(&all, Ink::Off);
                self.hatch(&all, HATCH * 2.0, 0.7, Ink::Edge);
                upright(self, left + 0.5, 1.0, Ink::Edge);
                upright(self, right - 0.5, 1.0, Ink::Edge);
            }
            Role::InHand => {
                // Wide apart behind the bands, where names stand on it.
                let gap = if a.h > 44.0 { 2.0 * HATCH } else { HATCH };
                let mut y = a.y + gap / 2.0;
                while y < a.bottom() {
                    self.line(Pos { x: left, y }, Pos { x: right, y }, 0.7, Ink::Hand);
                    y += gap;
                }
            }
            Role::Tape => self.shape(&all, Some(Ink::Tape), Some((Ink::Edge, 1.0))),
            Role::Lane => self.shape(&all, Some(Ink::Tint(Site::Room)), Some((Ink::Line(Site::Room), 1.0))),
            Role::Trip => self.fill(&all, Ink::Edge),
            Role::Structure | Role::Peg => self.fill(&all, Ink::Ink),
            Role::Timber => self.shape(&all, Some(Ink::Tint(Site::Shop)), Some((Ink::Ink, 1.0))),
            Role::Glass => self.shape(&all, Some(Ink::Tint(Site::Room)), Some((Ink::Ink, 1.0))),
            Role::Truck | Role::Shed => self.shape(&all, None, Some((Ink::Ink, 1.5))),
            _ => self.shape(&all, None, Some((ink(role), 1.0))),
        }
    }

    fn poly(&mut self, points: &[Pos], role: Role) {
        match role {
            Role::Drying(site) => {
                self.hatch(points, HATCH, 1.2, Ink::Line(site));
                points.windows(2).for_each(|p| self.line(p[0], p[1], 0.8, Ink::Line(site)));
            }
            Role::Timber => self.shape(points, Some(Ink::Tint(Site::Shop)), Some((Ink::Ink, 1.0))),
            Role::Glass => self.shape(points, Some(Ink::Tint(Site::Room)), Some((Ink::Ink, 1.0))),
            Role::Shed | Role::Truck => self.shape(points, None, Some((Ink::Ink, 1.5))),
            Role::InHand => self.fill(points, Ink::Hand),
            _ => self.fill(points, ink(role)),
        }
    }

    fn ribbon(&mut self, a: &Area, kind: Kind) {
        let all = corners(a);
        match kind {
            Kind::Hands => return self.fill(&all, Ink::Ink),
            Kind::Drying => self.hatch(&all, HATCH, 1.2, Ink::Ink),
            Kind::Coming => {
                let mut x = a.x + 4.0;
                while x < a.right() - 1.0 {
                    self.dot(Pos { x, y: a.y + a.h / 2.0 }, 1.6, Ink::Ink);
                    x += 7.0;
                }
            }
            Kind::Place => {
                let mut x = a.x + 3.0;
                while x < a.right() - 1.0 {
                    self.line(Pos { x, y: a.y + 4.0 }, Pos { x, y: a.bottom() - 4.0 }, 1.2, Ink::Ink);
                    x += 5.0;
                }
            }
            Kind::Closed => {}
        }
        self.shape(&all, None, Some((Ink::Ink, 1.0)));
    }

    fn fill(&mut self, points: &[Pos], fill: Ink) {
        self.shape(points, Some(fill), None);
    }

    /// A polygon within the zone, filled, outlined or both.
    fn shape(&mut self, points: &[Pos], fill: Option<Ink>, line: Option<(Ink, f32)>) {
        let within = clipped(points, &self.clip);
        if within.len() < 3 {
            return;
        }
        let points = within.iter().map(|&p| self.point(p)).collect();
        self.marks.push(Mark::Shape { points, fill, line: line.map(|(i, w)| (i, w * self.scale)) });
    }

    fn dot(&mut self, at: Pos, radius: f32, fill: Ink) {
        if !self.clip.holds(at) {
            return;
        }
        let turn = |i: usize| std::f64::consts::TAU * i as f64 / 12.0;
        let around = (0..12).map(|i| Pos {
            x: at.x + radius * libm::cos(turn(i)) as f32,
            y: at.y + radius * libm::sin(turn(i)) as f32,
        });
        self.fill(&around.collect::<Vec<_>>(), fill);
    }

    fn line(&mut self, a: Pos, b: Pos, weight: f32, ink: Ink) {
        if let Some((a, b)) = cut(a, b, &self.clip) {
            let (from, to) = (self.point(a), self.point(b));
            self.marks.push(Mark::Line { from, to, width: weight * self.scale, ink });
        }
    }

    fn dots(&mut self, a: Pos, b: Pos, weight: f32, ink: Ink) {
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let long = (dx * dx + dy * dy).sqrt();
        let mut at = 0.0;
        while at < long {
            let (s, e) = (at / long, ((at + 1.5) / long).min(1.0));
            let p = |t: f32| Pos { x: a.x + dx * t, y: a.y + dy * t };
            self.line(p(s), p(e), weight, ink);
            at += 5.0;
        }
    }

    /// Rising lines `gap` apart in a polygon, convex or not; neighbours meet.
    fn hatch(&mut self, points: &[Pos], gap: f32, weight: f32, ink: Ink) {
        let sum = |p: &Pos| p.x + p.y;
        let (least, most) = points.iter().map(sum).fold((f32::MAX, f32::MIN), |m, s| (m.0.min(s), m.1.max(s)));
        let zone = (sum(&Pos { x: self.clip.x, y: self.clip.y }), self.clip.right() + self.clip.bottom());
        let mut c = (least.max(zone.0) / gap).ceil() * gap;
        while c < most.min(zone.1) {
            let mut cuts: Vec<f32> = Vec::new();
            for (i, a) in points.iter().enumerate() {
                let b = &points[(i + 1) % points.len()];
                let (sa, sb) = (sum(a) - c, sum(b) - c);
                if (sa < 0.0) != (sb < 0.0) {
                    cuts.push(a.x + (b.x - a.x) * sa / (sa - sb));
                }
            }
            cuts.sort_by(f32::total_cmp);
            for p in cuts.chunks_exact(2) {
                self.line(Pos { x: p[0], y: c - p[0] }, Pos { x: p[1], y: c - p[1] }, weight, ink);
            }
            c += gap;
        }
    }
}

/// The outline of a block: plain, notched at its left, or rounded, told by its place.
fn block(a: &Area, corner: Corner) -> Vec<Pos> {
    let all = corners(a);
    match corner {
        Corner::Plain => all,
        Corner::Notched => {
            let n = (a.h * 0.3).min(a.w * 0.5);
            let mid = Pos { x: a.x + n, y: a.y + a.h / 2.0 };
            all.into_iter().chain([mid]).collect()
        }
        Corner::Rounded => {
            let r = (a.h.min(a.w) / 2.0).min(6.0);
            // Clockwise from the top left: middle of each arc, and where it begins.
            let arcs = [
                (a.x + r, a.y + r, 180.0),
                (a.right() - r, a.y + r, 270.0),
                (a.right() - r, a.bottom() - r, 0.0),
                (a.x + r, a.bottom() - r, 90.0),
            ];
            let arc = |(x, y, from): (f32, f32, f64)| {
                (0..5).map(move |i| {
                    let t = (from + 22.5 * f64::from(i)).to_radians();
                    Pos { x: x + r * libm::cos(t) as f32, y: y + r * libm::sin(t) as f32 }
                })
            };
            arcs.into_iter().flat_map(arc).collect()
        }
    }
}

/// An edge of a rectangle: the coordinate it is a value of, the value, the side that is inside.
type Side = (fn(&Pos) -> f32, f32, f32);

/// The part of a polygon within an upright rectangle (Sutherland and Hodgman 1974).
fn clipped(points: &[Pos], a: &Area) -> Vec<Pos> {
    let edges: [Side; 4] =
        [(|p| p.x, a.x, 1.0), (|p| p.x, a.right(), -1.0), (|p| p.y, a.y, 1.0), (|p| p.y, a.bottom(), -1.0)];
    let mut out = points.to_vec();
    for (along, at, side) in edges {
        let inside = |p: &Pos| (along(p) - at) * side >= 0.0;
        let all = std::mem::take(&mut out);
        for (i, b) in all.iter().enumerate() {
            let a = &all[(i + all.len() - 1) % all.len()];
            if inside(a) != inside(b) {
                let t = (at - along(a)) / (along(b) - along(a));
                out.push(Pos { x: a.x + (b.x - a.x) * t, y: a.y + (b.y - a.y) * t });
            }
            if inside(b) {
                out.push(*b);
            }
        }
    }
    out
}

/// The part of a line within an upright rectangle (Liang and Barsky 1984).
fn cut(a: Pos, b: Pos, r: &Area) -> Option<(Pos, Pos)> {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let (mut from, mut to) = (0.0f32, 1.0f32);
    for (p, q) in [(-dx, a.x - r.x), (dx, r.right() - a.x), (-dy, a.y - r.y), (dy, r.bottom() - a.y)] {
        if p == 0.0 {
            if q < 0.0 {
                return None;
            }
        } else if p < 0.0 {
            from = from.max(q / p);
        } else {
            to = to.min(q / p);
        }
    }
    let at = |t: f32| Pos { x: a.x + dx * t, y: a.y + dy * t };
    (from <= to).then(|| (at(from), at(to)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shapes_and_lines_end_at_their_zone() {
        let zone = Area { x: 0.0, y: 0.0, w: 10.0, h: 10.0 };
        let p = |x, y| Pos { x, y };
        let big = clipped(&[p(-5.0, -5.0), p(15.0, -5.0), p(15.0, 15.0), p(-5.0, 15.0)], &zone);
        assert!(big.iter().all(|q| (0.0..=10.0).contains(&q.x) && (0.0..=10.0).contains(&q.y)) && big.len() == 4);
        assert!(clipped(&[p(20.0, 0.0), p(30.0, 0.0), p(30.0, 5.0)], &zone).is_empty());
        assert_eq!(cut(p(-5.0, 5.0), p(15.0, 5.0), &zone), Some((p(0.0, 5.0), p(10.0, 5.0))));
        assert_eq!(cut(p(-5.0, 11.0), p(15.0, 11.0), &zone), None);
        assert_eq!(cut(p(2.0, 2.0), p(3.0, 3.0), &zone), Some((p(2.0, 2.0), p(3.0, 3.0))));
    }

    #[test]
    fn places_are_told_by_the_shape_of_their_blocks() {
        let a = Area { x: 0.0, y: 0.0, w: 40.0, h: 20.0 };
        let points = [Corner::Plain, Corner::Notched, Corner::Rounded].map(|c| block(&a, c));
        assert_eq!((points[0].len(), points[1].len(), points[2].len()), (4, 5, 20));
        assert!(points.iter().flatten().all(|q| q.x >= -0.01 && q.x <= 40.01 && q.y >= -0.01 && q.y <= 20.01));
    }
}
