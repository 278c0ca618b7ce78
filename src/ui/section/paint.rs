//! Paints a layout of the room section: each role has its colours, weights and hatch here, and
//! nothing is decided.

use egui::{Color32, CornerRadius, Painter, Pos2, Rect, Shape as Mark, Stroke, StrokeKind, pos2, vec2};

use crate::ui::theme::{Place, Theme, plain, semibold, size};
use crate::views::face::Weight;
use crate::views::section::{Area, Corner, Kind, Layout, Pos, Role, Shape, Site};

/// Paints everything, clipped zone by zone. `origin` is the top left of the section.
pub fn paint(painter: &Painter, origin: Pos2, layout: &Layout, theme: &Theme) {
    for layer in &layout.layers {
        let pen =
            Pen { p: painter.with_clip_rect(rect(origin, &layer.clip).intersect(painter.clip_rect())), origin, theme };
        layer.shapes.iter().for_each(|s| pen.draw(s));
    }
}

/// Paints shapes that are no section, from `origin`, clipped as the painter is.
pub fn shapes(painter: &Painter, origin: Pos2, shapes: &[Shape], theme: &Theme) {
    let pen = Pen { p: painter.clone(), origin, theme };
    shapes.iter().for_each(|s| pen.draw(s));
}

/// An area of a layout on the screen.
pub fn rect(origin: Pos2, a: &Area) -> Rect {
    Rect::from_min_size(origin + vec2(a.x, a.y), vec2(a.w, a.h))
}

struct Pen<'a> {
    p: Painter,
    origin: Pos2,
    theme: &'a Theme,
}

impl Pen<'_> {
    fn at(&self, p: Pos) -> Pos2 {
        self.origin + vec2(p.x, p.y)
    }

    fn draw(&self, shape: &Shape) {
        match shape {
            Shape::Rect { at, corner, role } => self.area(rect(self.origin, at), *corner, *role),
            Shape::Poly { points, role } => self.poly(&points.iter().map(|&p| self.at(p)).collect::<Vec<_>>(), *role),
            Shape::Path { points, weight, dotted, role } => {
                let points: Vec<Pos2> = points.iter().map(|&p| self.at(p)).collect();
                let color = self.line(*role);
                if *dotted {
                    self.p.extend(Mark::dotted_line(&points, color, 5.0, weight.max(1.0) * 0.7));
                } else {
                    self.p.add(Mark::line(points, Stroke::new(*weight, color)));
                }
            }
            Shape::Dot { at, radius, role } => {
                self.p.circle_filled(self.at(*at), *radius, self.line(*role));
            }
            Shape::Text { at, text, size, weight, halo, role } => {
                self.text(self.at(*at), text, *size, *weight, *halo, *role)
            }
            Shape::Tick { at, role } => {
                let r = rect(self.origin, at);
                let points = vec![
                    pos2(r.left(), r.center().y),
                    pos2(r.left() + r.width() * 0.38, r.bottom()),
                    pos2(r.right(), r.top()),
                ];
                self.p.add(Mark::line(points, Stroke::new(size::DAY, self.line(*role))));
            }
        }
    }

    fn place(&self, site: Site) -> Place {
        match site {
            Site::Room => self.theme.room,
            Site::Shop => self.theme.shop,
            Site::Booth => self.theme.booth,
            Site::Away => Place { tint: self.theme.paper, line: self.theme.quiet },
        }
    }

    /// Colour of a line, dot or word.
    fn line(&self, role: Role) -> Color32 {
        let t = self.theme;
        match role {
            Role::Block { done: true, .. } => t.tick,
            Role::Block { site, .. } | Role::Waiting(site) | Role::Drying(site) | Role::Ready(site) => {
                if site == Site::Away { t.quiet } else { self.place(site).line }
            }
            Role::Selected => t.selected,
            Role::Peg => t.peg,
            Role::Target | Role::Closed => t.target,
            Role::Safe | Role::AirDamp => t.safe,
            Role::AirWarm => t.shop.line,
            Role::InHand => t.hand,
            Role::BandRule | Role::DayRule | Role::ZoneRule | Role::Bracket => t.rule,
            Role::RibbonWordOnInk => t.ribbon_word,
            Role::Floor | Role::Leader | Role::TapeTick => t.edge,
            Role::Timber | Role::Glass | Role::Truck | Role::Shed => t.edge,
            Role::DayName | Role::Faint | Role::Lost => t.quiet,
            _ => t.ink,
        }
    }

    fn area(&self, r: Rect, corner: Corner, role: Role) {
        let t = self.theme;
        let fill = |c: Color32| {
            self.p.rect_filled(r, 0.0, c);
        };
        let outline = |weight: f32, c: Color32| {
            self.p.rect_stroke(r, 0.0, Stroke::new(weight, c), StrokeKind::Inside);
        };
        match role {
            Role::Block { site, done } => {
                let place = self.place(site);
                self.block(
                    r,
                    corner,
                    if done { place.line } else { place.tint },
                    // Narrow work keeps its tint within its outline.
                    Stroke::new(size::OUTLINE.min(r.width() / 4.0), place.line),
                );
            }
            Role::Waiting(site) => {
                let c = self.line(Role::Waiting(site));
                let y = r.center().y;
                self.p.hline(r.x_range(), y, Stroke::new(size::HAIR, c));
                self.p.vline(r.left() + 0.5, r.y_range(), Stroke::new(size::OUTLINE, c));
                self.p.vline(r.right() - 0.5, r.y_range(), Stroke::new(size::OUTLINE, c));
            }
            Role::Drying(site) => self.hatch(&corners(r), size::HATCH, 1.0, self.place(site).line),
            Role::Ribbon(kind) => self.ribbon(r, kind),
            Role::Selected => {
                self.p.rect_stroke(r, 0.0, Stroke::new(size::DAY + 0.5, t.selected), StrokeKind::Outside);
            }
            Role::Night | Role::DayOff => fill(t.night),
            Role::Closed => {
                fill(t.night);
                self.hatch(&corners(r), size::HATCH * 1.6, 1.0, t.target.gamma_multiply(0.5));
            }
            Role::Lost => {
                fill(t.night);
                self.hatch(&corners(r), size::HATCH * 2.0, 1.0, t.edge.gamma_multiply(0.7));
                self.p.vline(r.left() + 0.5, r.y_range(), Stroke::new(size::HAIR, t.edge));
                self.p.vline(r.right() - 0.5, r.y_range(), Stroke::new(size::HAIR, t.edge));
            }
            Role::Mark => {
                self.p.circle(r.center(), r.width() / 2.0, t.paper, Stroke::new(size::OUTLINE, t.ink));
            }
            Role::InHand => {
                // Wide apart behind the bands, where names stand on it.
                let gap = if r.height() > 2.0 * size::ROW { 2.0 * size::HATCH } else { size::HATCH };
                let mut y = r.top() + gap / 2.0;
                while y < r.bottom() {
                    self.p.hline(r.x_range(), y, Stroke::new(0.7, t.hand.gamma_multiply(0.55)));
                    y += gap;
                }
            }
            Role::Tape => {
                fill(t.tape);
                outline(size::HAIR, t.edge);
            }
            Role::Lane => {
                fill(t.room.tint);
                outline(size::HAIR, t.room.line);
            }
            Role::Trip => fill(t.edge),
            Role::Structure => fill(t.ink),
            Role::Peg => {
                self.p.rect_filled(r.expand(1.0), 0.0, t.paper);
                fill(t.peg);
            }
            Role::Timber => {
                fill(t.shop.tint);
                outline(size::HAIR, t.ink);
            }
            Role::Glass => {
                fill(t.room.tint);
                outline(size::HAIR, t.ink);
            }
            Role::Truck | Role::Shed => outline(size::OUTLINE, t.ink),
            _ => outline(size::HAIR, self.line(role)),
        }
    }

    fn block(&self, r: Rect, corner: Corner, fill: Color32, line: Stroke) {
        match corner {
            Corner::Plain => {
                self.p.rect(r, 0.0, fill, line, StrokeKind::Inside);
            }
            Corner::Rounded => {
                let round = (r.height().min(r.width()) / 2.0).min(6.0);
                self.p.rect(r, CornerRadius::same(round as u8), fill, line, StrokeKind::Inside);
            }
            Corner::Notched => {
                let n = (r.height() * 0.3).min(r.width() * 0.5);
                let r = r.shrink(line.width / 2.0);
                let mid = pos2(r.left() + n, r.center().y);
                // Two halves, since the outline is not convex.
                let upper = vec![r.left_top(), r.right_top(), pos2(r.right(), mid.y), mid];
                let lower = vec![mid, pos2(r.right(), mid.y), r.right_bottom(), r.left_bottom()];
                self.p.add(Mark::convex_polygon(upper, fill, Stroke::NONE));
                self.p.add(Mark::convex_polygon(lower, fill, Stroke::NONE));
                let around = vec![r.left_top(), r.right_top(), r.right_bottom(), r.left_bottom(), mid];
                self.p.add(Mark::closed_line(around, line));
            }
        }
    }

    fn ribbon(&self, r: Rect, kind: Kind) {
        let t = self.theme;
        match kind {
            Kind::Hands => {
                self.p.rect_filled(r, 0.0, t.ribbon);
                return;
            }
            Kind::Drying => self.hatch(&corners(r), size::HATCH, 1.2, t.ribbon),
            Kind::Coming => {
                let mut x = r.left() + 4.0;
                while x < r.right() - 1.0 {
                    self.p.circle_filled(pos2(x, r.center().y), 1.6, t.ribbon);
                    x += 7.0;
                }
            }
            Kind::Place => {
                let mut x = r.left() + 3.0;
                while x < r.right() - 1.0 {
                    self.p.vline(x, r.top() + 4.0..=r.bottom() - 4.0, Stroke::new(1.2, t.ribbon));
                    x += 5.0;
                }
            }
            Kind::Closed => {}
        }
        self.p.rect_stroke(r, 0.0, Stroke::new(size::HAIR, t.ribbon), StrokeKind::Inside);
    }

    fn poly(&self, points: &[Pos2], role: Role) {
        if points.len() < 3 {
            return;
        }
        match role {
            Role::Drying(site) => {
                let c = self.line(Role::Drying(site));
                self.hatch(points, size::HATCH, 1.2, c);
                self.p.add(Mark::line(points.to_vec(), Stroke::new(0.8, c.gamma_multiply(0.7))));
            }
            Role::Timber => {
                self.p.add(Mark::convex_polygon(
                    points.to_vec(),
                    self.theme.shop.tint,
                    Stroke::new(size::HAIR, self.theme.ink),
                ));
            }
            Role::Glass => {
                self.p.add(Mark::convex_polygon(
                    points.to_vec(),
                    self.theme.room.tint,
                    Stroke::new(size::HAIR, self.theme.ink),
                ));
            }
            Role::Shed | Role::Truck => {
                self.p.add(Mark::closed_line(points.to_vec(), Stroke::new(size::OUTLINE, self.theme.ink)));
            }
            Role::InHand => {
                let fill = self.theme.hand.gamma_multiply(0.22);
                self.p.add(Mark::convex_polygon(points.to_vec(), fill, Stroke::NONE));
            }
            _ => {
                self.p.add(Mark::convex_polygon(points.to_vec(), self.line(role), Stroke::NONE));
            }
        }
    }

    /// Rising lines `gap` apart inside a polygon, convex or not; they keep their place on the sheet
    /// so that neighbours meet.
    fn hatch(&self, points: &[Pos2], gap: f32, weight: f32, color: Color32) {
        let view = self.p.clip_rect();
        let sum = |p: &Pos2| p.x + p.y;
        let bounds = Rect::from_points(points).intersect(view.expand(gap));
        if !bounds.is_positive() {
            return;
        }
        let (least, most) = (sum(&bounds.min), sum(&bounds.max));
        let mut c = (least / gap).ceil() * gap;
        let mut cuts: Vec<f32> = Vec::new();
        while c < most {
            cuts.clear();
            for (i, a) in points.iter().enumerate() {
                let b = &points[(i + 1) % points.len()];
                let (sa, sb) = (sum(a) - c, sum(b) - c);
                if (sa < 0.0) != (sb < 0.0) {
                    cuts.push(a.x + (b.x - a.x) * sa / (sa - sb));
                }
            }
            cuts.sort_by(f32::total_cmp);
            for pair in cuts.chunks_exact(2) {
                self.p
                    .line_segment([pos2(pair[0], c - pair[0]), pos2(pair[1], c - pair[1])], Stroke::new(weight, color));
            }
            c += gap;
        }
    }

    /// Text by the left end of its baseline.
    fn text(&self, at: Pos2, text: &str, size: f32, weight: Weight, halo: bool, role: Role) {
        let font = if weight == Weight::SemiBold { semibold(size) } else { plain(size) };
        let color = self.line(role);
        let galley = self.p.layout_no_wrap(text.to_string(), font, color);
        let base = galley.rows.first().and_then(|r| r.glyphs.first().map(|g| r.pos.y + g.pos.y)).unwrap_or(size);
        let top = pos2(at.x, at.y - base);
        if halo && role == Role::RibbonWord {
            // Hatching would show between the letters: the word stands on paper.
            let ground = Rect::from_min_size(top, galley.size()).expand2(vec2(2.0, -1.0));
            self.p.rect_filled(ground, 0.0, self.theme.paper);
        } else if halo {
            let paper = self.theme.paper;
            for (dx, dy) in
                [(-1.5, 0.0), (1.5, 0.0), (0.0, -1.5), (0.0, 1.5), (-1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (1.0, -1.0)]
            {
                self.p.galley_with_override_text_color(top + vec2(dx, dy), galley.clone(), paper);
            }
        }
        self.p.galley(top, galley, color);
    }
}

fn corners(r: Rect) -> [Pos2; 4] {
    [r.left_top(), r.right_top(), r.right_bottom(), r.left_bottom()]
}
