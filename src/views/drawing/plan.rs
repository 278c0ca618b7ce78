//! The plan: walls as two lines, openings cut into them, doors with their swing, measures outside.

use super::run::outward;
use super::spots::boxes;
use super::{
    Area, Dim, Draw, Drawing, Edge, FAR, Hit, LARGEST, Mark, NEAR, NUMBER, Part, Pos, ROUND, Role, Spot, Target,
};
use crate::job::OpeningKind;
use crate::measure::Length;

/// Thickness of a wall, feet.
const THICK: f64 = 4.5 / 12.0;
/// A door wider than this has two leaves, feet.
pub const TWO_LEAVES: f64 = 4.0;
/// A wall drawn shorter than this, pixels, has no room for the words of its measure.
const SHORT: f64 = 60.0;
/// Strokes of the arc of a door.
const ARC: usize = 12;

type Point = (f64, f64);

/// The way from feet to the paper.
struct Sheet {
    scale: f64,
    left: f64,
    top: f64,
}

impl Sheet {
    fn at(&self, p: Point) -> Pos {
        Pos { x: (self.left + p.0 * self.scale) as f32, y: (self.top + p.1 * self.scale) as f32 }
    }
}

fn plus(p: Point, by: Point, times: f64) -> Point {
    (p.0 + by.0 * times, p.1 + by.1 * times)
}

/// Corners of the outer face, one more than walls.
fn outer(d: &Draw) -> Vec<Point> {
    let n = d.run.walls.len();
    let closed = d.run.gap() < 0.1;
    let normal = |i: usize| outward(d.run.headings[i]);
    (0..=n)
        .map(|i| {
            let (a, b) = match (i, closed) {
                (0, true) => (n - 1, 0),
                (0, false) => (0, 0),
                (i, true) if i == n => (n - 1, 0),
                (i, false) if i == n => (n - 1, n - 1),
                (i, _) => (i - 1, i),
            };
            let (a, b) = (normal(a), normal(b));
            let meet = 1.0 + a.0 * b.0 + a.1 * b.1;
            // A very sharp corner is cut off.
            let out = if meet < 0.15 { b } else { ((a.0 + b.0) / meet, (a.1 + b.1) / meet) };
            plus(d.run.corners[i], out, THICK)
        })
        .collect()
}

/// Draws the plan into `into`.
pub fn plan(d: &Draw, into: Area, out: &mut Drawing) {
    let faces = outer(d);
    let all = || d.run.corners.iter().chain(&faces);
    let least = |of: fn(&Point) -> f64| all().map(of).fold(f64::INFINITY, f64::min);
    let most = |of: fn(&Point) -> f64| all().map(of).fold(f64::NEG_INFINITY, f64::max);
    let (left, top) = (least(|p| p.0), least(|p| p.1));
    let (wide, high) = (most(|p| p.0) - left, most(|p| p.1) - top);
    let room = |px: f32| f64::from((px - 2.0 * ROUND).max(10.0));
    let scale = (room(into.w) / wide.max(0.1)).min(room(into.h) / high.max(0.1)).min(f64::from(LARGEST));
    let sheet = Sheet {
        scale,
        left: f64::from(into.x + into.w / 2.0) - (left + wide / 2.0) * scale,
        top: f64::from(into.y + into.h / 2.0) - (top + high / 2.0) * scale,
    };
    let n = d.run.walls.len();
    for w in 0..n {
        let quad = [d.run.corners[w], d.run.corners[w + 1], faces[w + 1], faces[w]].map(|p| sheet.at(p)).to_vec();
        let role = if d.wall == Some(w) { Role::WallChosen } else { Role::Wall };
        out.area(quad.clone(), role);
        let (inner, outer) = (vec![quad[0], quad[1]], vec![quad[3], quad[2]]);
        out.line(inner, Role::Face);
        out.line(outer, Role::Face);
        out.hits.push(wall_hit(d, &sheet, w));
    }
    for s in d.spots {
        opening(d, &sheet, s, out);
    }
    for w in 0..n {
        on_wall(d, &sheet, w, out);
    }
    // Those of short walls last: they stand where the others leave room.
    let (short, long): (Vec<usize>, Vec<usize>) = (0..n).partition(|&w| d.run.walls[w].length.feet() * scale < SHORT);
    for w in long.into_iter().chain(short) {
        measures(d, &sheet, w, out);
    }
    if d.run.gap() > 0.1 {
        let ends = [d.run.corners[n], d.run.corners[0]].map(|p| sheet.at(p)).to_vec();
        out.marks.push(Mark::Line { points: ends, role: Role::Wrong, dashed: true });
    }
}

/// The wall as something to be pulled: a little wider than it is drawn.
fn wall_hit(d: &Draw, sheet: &Sheet, w: usize) -> Hit {
    let (h, n) = (d.run.headings[w], outward(d.run.headings[w]));
    let (a, b) = (d.run.corners[w], plus(d.run.corners[w], h, d.run.walls[w].length.feet()));
    let (within, without) = (-5.0 / sheet.scale, THICK.max(6.0 / sheet.scale) + 4.0 / sheet.scale);
    let at = [plus(a, n, within), plus(b, n, within), plus(b, n, without), plus(a, n, without)];
    // A foot more on the wall before it is so much outwards.
    let per = d.run.per_foot_out(w);
    let pull = if per.abs() < 1e-9 { 0.0 } else { sheet.scale / per };
    let pull = Pos { x: (n.0 * pull) as f32, y: (n.1 * pull) as f32 };
    let name = format!("{} in the plan: {}", super::name(d.room, Part::Wall(w)), d.print(d.run.walls[w].length));
    Hit { of: Target::Wall(w), at: at.map(|p| sheet.at(p)).to_vec(), pull, name }
}

fn opening(d: &Draw, sheet: &Sheet, s: &Spot, out: &mut Drawing) {
    let (h, n) = (d.run.headings[s.wall], outward(d.run.headings[s.wall]));
    let corner = d.run.corners[s.wall];
    let point = |along: f64, off: f64| sheet.at(plus(plus(corner, h, along), n, off));
    let (from, to) = (s.from, s.from + s.width);
    let quad = vec![point(from, 0.0), point(to, 0.0), point(to, THICK), point(from, THICK)];
    out.area(quad.clone(), Role::Gap);
    for at in [from, to] {
        out.line(vec![point(at, 0.0), point(at, THICK)], Role::Face);
    }
    match s.kind {
        OpeningKind::Window => {
            for (off, role) in [(0.0, Role::Face), (THICK * 0.5, Role::Glass), (THICK, Role::Face)] {
                out.line(vec![point(from, off), point(to, off)], role);
            }
        }
        OpeningKind::Door => {
            let leaves: &[(f64, f64, f64)] = if s.width > TWO_LEAVES {
                &[(from, 1.0, s.width / 2.0), (to, -1.0, s.width / 2.0)]
            } else {
                &[(from, 1.0, s.width)]
            };
            for &(hinge, way, wide) in leaves {
                out.line(vec![point(hinge, 0.0), point(hinge, -wide)], Role::Leaf);
                let arc = (0..=ARC).map(|k| {
                    let turn = std::f64::consts::FRAC_PI_2 * k as f64 / ARC as f64;
                    point(hinge + way * wide * libm::sin(turn), -wide * libm::cos(turn))
                });
                out.line(arc.collect(), Role::Swing);
            }
        }
        OpeningKind::Cased => {
            for off in [0.0, THICK] {
                let points = vec![point(from, off), point(to, off)];
                out.marks.push(Mark::Line { points, role: Role::Swing, dashed: true });
            }
        }
    }
    let part = Part::Opening(s.opening, s.copy);
    if d.chosen(part) {
        let mut round = quad;
        round.push(round[0]);
        out.line(round, Role::Chosen);
    }
    let (within, without) = (-5.0 / sheet.scale, THICK + 5.0 / sheet.scale);
    let pull = Pos { x: (h.0 * sheet.scale) as f32, y: (h.1 * sheet.scale) as f32 };
    let name = super::name(d.room, part);
    let area = |a: f64, b: f64| vec![point(a, within), point(b, within), point(b, without), point(a, without)];
    out.hits.push(Hit { of: Target::Part(part), at: area(from, to), pull, name: format!("{name}, in the plan") });
    if d.chosen(part) {
        let grip = 5.0 / sheet.scale;
        for (at, edge, word) in [(from, Edge::Near, "near"), (to, Edge::Far, "far")] {
            let of = Target::Edge(s.opening, s.copy, edge);
            let name = format!("{word} edge of {name}, in the plan");
            out.hits.push(Hit { of, at: area(at - grip, at + grip), pull, name });
        }
    }
}

/// The number of a wall, inside, and its boxes.
fn on_wall(d: &Draw, sheet: &Sheet, w: usize, out: &mut Drawing) {
    let (h, n) = (d.run.headings[w], outward(d.run.headings[w]));
    let taken: Vec<(f64, f64)> = d.spots.iter().filter(|s| s.wall == w).map(|s| (s.from, s.width)).collect();
    let long = d.run.walls[w].length.feet();
    let count: u32 = d.room.boxes.iter().filter(|b| b.wall == w + 1).map(|b| b.count).sum();
    for at in boxes(long, &taken, count, 0.25) {
        let point = |along: f64, off: f64| sheet.at(plus(plus(d.run.corners[w], h, along), n, off));
        let deep = 3.5 / sheet.scale;
        out.area(vec![point(at, 0.0), point(at + 0.25, 0.0), point(at + 0.25, -deep), point(at, -deep)], Role::Box);
    }
    let middle = boxes(long, &taken, 1, 0.0).first().copied().unwrap_or(long / 2.0);
    let off = -(f64::from(NUMBER)) / sheet.scale;
    let at = sheet.at(plus(plus(d.run.corners[w], h, middle), n, off));
    out.text(at, &super::number(d.room, w), 0.0, Role::Number);
}

/// The measure of a wall; of the chosen one also those of what is on it.
fn measures(d: &Draw, sheet: &Sheet, w: usize, out: &mut Drawing) {
    let (h, n) = (d.run.headings[w], outward(d.run.headings[w]));
    let wall = &d.run.walls[w];
    let point =
        |along: f64, px: f32| sheet.at(plus(plus(d.run.corners[w], h, along), n, THICK + f64::from(px) / sheet.scale));
    let mut on: Vec<&Spot> = d.spots.iter().filter(|s| s.wall == w).collect();
    on.sort_by(|a, b| a.from.total_cmp(&b.from));
    let chain = d.wall == Some(w) && !on.is_empty();
    let far = if chain { FAR } else { NEAR };
    let long = wall.length.feet();
    for at in [0.0, long] {
        out.line(vec![point(at, 3.0), point(at, far + 4.0)], Role::DimLine);
    }
    let name = format!("length of {}", super::name(d.room, Part::Wall(w)));
    out.measure(point(0.0, far), point(long, far), Dim::Length(w), wall.length, &name, d.ask.units);
    if !chain {
        return;
    }
    for s in on {
        let of = super::name(d.room, Part::Opening(s.opening, s.copy));
        for at in [s.from, s.from + s.width] {
            out.line(vec![point(at, 3.0), point(at, NEAR + 4.0)], Role::DimLine);
        }
        let (a, b) = (point(s.from, NEAR), point(s.from + s.width, NEAR));
        let width = Length::from_feet(s.width);
        out.measure(a, b, Dim::Width(s.opening, s.copy), width, &format!("width of {of}"), d.ask.units);
    }
}
