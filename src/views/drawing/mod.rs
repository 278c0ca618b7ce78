//! A room drawn to scale from its measures: the plan, and its walls unrolled as seen from inside.
//!
//! Pure: [`drawing`] gives every line a position for one size of paper and says what answers
//! where; [`change`] says which room a pull or a typed measure makes of it. Roles say what a
//! line is, a painter's table says how it looks. Feet on the wall, pixels at text scale 1 on
//! paper; wall 1 lies on top and the run goes round clockwise.
//!
//! Openings whose place is not measured are shared out evenly over what is free of their
//! wall. Base 5-1/4 in, crown 4-1/2 in, wall 4-1/2 in thick, boxes 16 in above the floor are
//! common sizes, not the job's own, which does not ask for them.

pub mod change;
mod elevation;
mod plan;
mod run;
mod spots;
#[cfg(test)]
mod tests;

use super::face::{self, Weight};
use super::section::{Area, Pos};
use crate::job::{OpeningKind, Room, Units};
use crate::measure::Length;

pub use run::Run;
pub use spots::{Spot, spots};

/// Size of the words of a drawing, and of the numbers of its walls, pixels.
pub const WORDS: f32 = 12.0;
pub const NUMBER: f32 = 13.0;
/// Between the face of a wall and its measure; from there to the measure of the whole wall.
const NEAR: f32 = 15.0;
const FAR: f32 = 33.0;
/// Paper round the plan for its measures.
const ROUND: f32 = 46.0;
/// Most pixels a foot: a closet is not drawn as large as a hall.
const LARGEST: f32 = 56.0;

/// A part of the room that can be chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Index of the wall.
    Wall(usize),
    /// Index of the opening, and which of several alike.
    Opening(usize, u32),
    /// The boxes on a wall, by its index.
    Boxes(usize),
}

/// A measure that can be typed over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dim {
    Length(usize),
    Height(usize),
    Width(usize, u32),
    High(usize, u32),
    Sill(usize, u32),
    /// From the near corner of its wall.
    From(usize, u32),
    /// Clear wall to the opening before it, to the one behind it or the far corner.
    Before(usize, u32),
    Behind(usize, u32),
}

/// An edge of an opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    Near,
    Far,
    Head,
    Sill,
}

/// What answers to the pointer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Target {
    /// Moves outwards and inwards; the walls at its ends follow.
    Wall(usize),
    /// The far end of a wall: longer and shorter.
    End(usize),
    /// The ceiling over a wall.
    Ceiling(usize),
    Part(Part),
    Edge(usize, u32, Edge),
    Dim(Dim),
}

/// What a line or an area is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Between the two faces of a wall.
    Wall,
    WallChosen,
    /// Face of a wall, outline of an elevation.
    Face,
    /// Paper within an opening.
    Gap,
    Glass,
    Leaf,
    Swing,
    Timber,
    Box,
    /// Outline of what is chosen.
    Chosen,
    /// Paper of the chosen wall.
    Picked,
    Floor,
    DimLine,
    DimText,
    Number,
    Wrong,
}

/// Something drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    Area {
        points: Vec<Pos>,
        role: Role,
    },
    Line {
        points: Vec<Pos>,
        role: Role,
        dashed: bool,
    },
    /// Words about their middle, turned clockwise by so many radians.
    Text {
        at: Pos,
        text: String,
        size: f32,
        turn: f32,
        role: Role,
    },
}

/// What answers where.
#[derive(Clone, Debug, PartialEq)]
pub struct Hit {
    pub of: Target,
    /// A convex area.
    pub at: Vec<Pos>,
    /// Which way a foot more goes, pixels; nothing where it cannot be pulled.
    pub pull: Pos,
    /// Said to a screen reader.
    pub name: String,
}

impl Hit {
    /// Whether a point lies in it.
    pub fn holds(&self, p: Pos) -> bool {
        let n = self.at.len();
        let side = |i: usize| {
            let (a, b) = (self.at[i], self.at[(i + 1) % n]);
            (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)
        };
        n >= 3 && ((0..n).all(|i| side(i) >= 0.0) || (0..n).all(|i| side(i) <= 0.0))
    }

    /// The upright rectangle round it.
    pub fn area(&self) -> Area {
        around(&self.at)
    }

    /// Feet of a pull by so many pixels.
    pub fn feet(&self, by: Pos) -> f64 {
        let whole = self.pull.x * self.pull.x + self.pull.y * self.pull.y;
        if whole <= 0.0 { 0.0 } else { f64::from((by.x * self.pull.x + by.y * self.pull.y) / whole) }
    }
}

/// A length as the drawing says it: feet and inches, or metres with as many places as it has, at least two.
pub(super) fn said_length(l: Length, units: Units) -> String {
    if units == Units::FeetInches {
        return l.print(units.style());
    }
    let mm = (l.0 + Length::MM / 2).div_euclid(Length::MM);
    let (metres, rest) = (mm / 1000, mm.rem_euclid(1000));
    if rest % 10 == 0 { format!("{metres}.{:02} m", rest / 10) } else { format!("{metres}.{rest:03} m") }
}

/// What is asked of a drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ask {
    pub width: f32,
    pub height: f32,
    pub units: Units,
    pub chosen: Option<Part>,
}

/// A room drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    pub marks: Vec<Mark>,
    /// The last of several at a point is meant.
    pub hits: Vec<Hit>,
    /// What the run does not do, in words.
    pub wrong: Option<String>,
}

impl Drawing {
    /// What answers at a point.
    pub fn hit(&self, p: Pos) -> Option<&Hit> {
        self.hits.iter().rev().find(|h| h.holds(p))
    }

    fn text(&mut self, at: Pos, text: &str, turn: f32, role: Role) {
        let size = if role == Role::Number { NUMBER } else { WORDS };
        self.marks.push(Mark::Text { at, text: text.to_string(), size, turn, role });
    }

    fn line(&mut self, points: Vec<Pos>, role: Role) {
        self.marks.push(Mark::Line { points, role, dashed: false });
    }

    fn area(&mut self, points: Vec<Pos>, role: Role) {
        self.marks.push(Mark::Area { points, role });
    }

    /// A measure from `a` to `b` with a stroke at each end; its words stand in the middle and answer.
    fn measure(&mut self, a: Pos, b: Pos, dim: Dim, length: Length, name: &str, units: Units) {
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let long = libm::sqrtf(dx * dx + dy * dy);
        if long < 1.0 {
            return;
        }
        let (ux, uy) = (dx / long, dy / long);
        let text = said_length(length, units);
        let (wide, high) = (face::width(&text, WORDS, Weight::Regular) + 8.0, WORDS + 4.0);
        let mid = Pos { x: (a.x + b.x) / 2.0, y: (a.y + b.y) / 2.0 };
        let point = |p: Pos, along: f32| Pos { x: p.x + ux * along, y: p.y + uy * along };
        let (w, h) = (wide / 2.0 + 2.0, high / 2.0 + 3.0);
        let round = |at: Pos| -> Vec<Pos> {
            let corner = |s: f32, t: f32| Pos { x: at.x + ux * w * s - uy * h * t, y: at.y + uy * w * s + ux * h * t };
            vec![corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)]
        };
        // The line is cut for its words; a stretch too short for them has them beside it, or before or behind it where
        // something stands there.
        let fits = wide + 8.0 < long;
        let ways = if fits {
            let off = (long - wide - 8.0) / 2.0;
            [mid, point(mid, -off), point(mid, off), mid]
        } else {
            let (off, side) = (wide / 2.0 + 6.0, |s: f32| Pos { x: mid.x + uy * high * s, y: mid.y - ux * high * s });
            [side(1.0), point(a, -off), point(b, off), side(-1.0)]
        };
        // Between two openings the words stand over their stretch as long as they are no wider than it.
        let between = matches!(dim, Dim::Before(..) | Dim::Behind(..)) && !fits && wide - 8.0 <= long;
        let free = ways.into_iter().find(|p| between || self.clear(&round(*p), a, b));
        let at = free.unwrap_or(ways[0]);
        if fits {
            self.line(vec![a, point(at, -wide / 2.0)], Role::DimLine);
            self.line(vec![point(at, wide / 2.0), b], Role::DimLine);
        } else {
            self.line(vec![a, b], Role::DimLine);
        }
        for p in [a, b] {
            let (tx, ty) = ((ux - uy) * 3.5, (uy + ux) * 3.5);
            self.line(vec![Pos { x: p.x - tx, y: p.y - ty }, Pos { x: p.x + tx, y: p.y + ty }], Role::DimLine);
        }
        let mut turn = libm::atan2f(uy, ux);
        // Read from below or from the right.
        let half = std::f32::consts::FRAC_PI_2;
        if turn > half - 0.01 {
            turn -= 2.0 * half;
        } else if turn <= -half - 0.01 {
            turn += 2.0 * half;
        }
        self.text(at, &text, turn, Role::DimText);
        let (of, pull) = (Target::Dim(dim), Pos::default());
        self.hits.push(Hit { of, at: round(at), pull, name: format!("{name}: {text}") });
    }

    /// Whether words of a measure from `a` to `b` stand clear of other measures, of walls and their numbers.
    fn clear(&self, words: &[Pos], a: Pos, b: Pos) -> bool {
        let own = around(words);
        let meets = |x: Area| own.x < x.right() && x.x < own.right() && own.y < x.bottom() && x.y < own.bottom();
        // The strokes at its own ends do not count.
        let near = |p: Pos, q: Pos| (p.x - q.x).abs() < 8.0 && (p.y - q.y).abs() < 8.0;
        let number = |at: Pos| Area::new(at.x - 7.0, at.y - 7.0, at.x + 7.0, at.y + 7.0);
        let stands = |m: &Mark| match m {
            Mark::Area { points, role: Role::Wall | Role::WallChosen } => meets(around(points)),
            Mark::Line { points, role: Role::DimLine, .. } => {
                !points.iter().any(|&p| near(p, a) || near(p, b)) && meets(around(points))
            }
            Mark::Text { at, role: Role::Number, .. } => meets(number(*at)),
            _ => false,
        };
        let measures = self.hits.iter().filter(|h| matches!(h.of, Target::Dim(_)));
        !self.marks.iter().any(stands) && !measures.map(Hit::area).any(meets)
    }
}

/// The upright rectangle round points.
fn around(points: &[Pos]) -> Area {
    let least = |of: fn(&Pos) -> f32| points.iter().map(of).fold(f32::INFINITY, f32::min);
    let most = |of: fn(&Pos) -> f32| points.iter().map(of).fold(f32::NEG_INFINITY, f32::max);
    if points.is_empty() {
        return Area::default();
    }
    Area::new(least(|p| p.x), least(|p| p.y), most(|p| p.x), most(|p| p.y))
}

/// Corners of an upright rectangle.
fn corners(a: Area) -> Vec<Pos> {
    let p = |x: f32, y: f32| Pos { x, y };
    vec![p(a.x, a.y), p(a.right(), a.y), p(a.right(), a.bottom()), p(a.x, a.bottom())]
}

/// Points a plan needs beside its measures to be read.
const PLAN: f32 = 64.0;

/// Draws a room: the plan above, the walls below. Where there is no room for both, the plan, and the walls while
/// something on one is chosen.
pub fn drawing(room: &Room, ask: &Ask) -> Drawing {
    let mut out = Drawing::default();
    let run = Run::of(room);
    if run.walls.is_empty() || ask.width < 80.0 || ask.height < 80.0 {
        return out;
    }
    let spots = spots(room, &run);
    let mut rows = elevation::rows(&run, ask.width, ask.height * 0.46);
    let mut below = rows.height().min(ask.height * 0.5);
    let one = ask.height - below < 2.0 * ROUND + PLAN;
    let walls = matches!(ask.chosen, Some(Part::Opening(..) | Part::Boxes(_)));
    if one {
        below = if walls { ask.height } else { 0.0 };
        rows = elevation::rows(&run, ask.width, ask.height);
    }
    let chosen = ask.chosen.map(|p| wall_of(room, p));
    let draw = Draw { room, run: &run, spots: &spots, ask, wall: chosen.flatten() };
    // What lies in the plan's middle is clicked before what lies round it.
    if !(one && walls) {
        plan::plan(&draw, Area::new(0.0, 0.0, ask.width, ask.height - below), &mut out);
    }
    if !one || walls {
        elevation::walls(&draw, &rows, Area::new(0.0, ask.height - below, ask.width, ask.height), &mut out);
    }
    out.wrong = run.wrong(ask.units);
    out
}

/// The wall a part is on.
pub fn wall_of(room: &Room, part: Part) -> Option<usize> {
    match part {
        Part::Wall(w) | Part::Boxes(w) => Some(w),
        Part::Opening(o, _) => room.openings.get(o).and_then(|o| o.wall.checked_sub(1)),
    }
}

/// The parts of a room in the order the keyboard walks them: each wall, then what is on it from its near corner on.
pub fn parts(room: &Room) -> Vec<Part> {
    let run = Run::of(room);
    let spots = spots(room, &run);
    let mut out = Vec::new();
    for w in 0..run.walls.len() {
        out.push(Part::Wall(w));
        let mut on: Vec<&Spot> = spots.iter().filter(|s| s.wall == w).collect();
        on.sort_by(|a, b| a.from.total_cmp(&b.from));
        out.extend(on.iter().map(|s| Part::Opening(s.opening, s.copy)));
        if room.boxes.iter().any(|b| b.wall == w + 1 && b.count > 0) {
            out.push(Part::Boxes(w));
        }
    }
    out
}

/// What a part is called: `wall 2`, `window 2 on wall 1`.
pub fn name(room: &Room, part: Part) -> String {
    match part {
        Part::Wall(w) => format!("wall {}", number(room, w)),
        Part::Boxes(w) => format!("boxes on wall {}", number(room, w)),
        Part::Opening(o, copy) => {
            let Some(x) = room.openings.get(o) else { return String::new() };
            let alike = |y: &&crate::job::Opening| y.kind == x.kind && y.name == x.name;
            let before: u32 = room.openings[..o].iter().filter(alike).map(|y| y.count).sum();
            let word = if x.name.is_empty() { word(x.kind) } else { x.name.as_str() };
            format!("{word} {} on wall {}", before + copy + 1, number(room, x.wall.saturating_sub(1)))
        }
    }
}

/// What the line of a room calls a wall: `2`, and `1a` in a room with a bay.
pub fn number(room: &Room, wall: usize) -> String {
    crate::sheet::label(room, wall + 1)
}

/// The number a room has on the measure sheet.
pub fn line_number(room: usize) -> String {
    (room + 1).to_string()
}

/// Asked before a room with surfaces is taken out of the job.
pub fn taking_words(room: &Room) -> String {
    let name = if room.name.is_empty() { &room.id } else { &room.name };
    match room.surfaces.len() {
        0 => format!("Take {name} out of the job?"),
        1 => format!("Take {name} out of the job, with its surface and the recipe of it?"),
        n => format!("Take {name} out of the job, with its {n} surfaces and their recipes?"),
    }
}

/// Heads the walls of a room: `Walls: 8, as the line says`.
pub fn walls_words(many: usize) -> String {
    format!("Walls: {many}, as its line says")
}

/// Said where two rooms have one name.
pub fn twice_words(name: &str) -> String {
    format!("Another room is called {name} too; a name of its own tells them apart.")
}

/// That a surface is where it is: `Wall 2 is right`.
pub fn still_words(walls: &str) -> String {
    let word = if walls.contains(' ') { "Walls" } else { "Wall" };
    format!("{word} {walls} {} right", if walls.contains(' ') { "are" } else { "is" })
}

/// The same, said of a surface.
pub fn still_of(surface: &str, walls: &str) -> String {
    format!("{}, {surface}", still_words(walls))
}

/// What a carpenter calls it.
pub fn word(kind: OpeningKind) -> &'static str {
    match kind {
        OpeningKind::Door => "door",
        OpeningKind::Window => "window",
        OpeningKind::Cased => "opening",
    }
}

/// What is being drawn.
struct Draw<'a> {
    room: &'a Room,
    run: &'a Run,
    spots: &'a [Spot],
    ask: &'a Ask,
    /// The wall that is chosen, or has on it what is.
    wall: Option<usize>,
}

impl Draw<'_> {
    fn chosen(&self, part: Part) -> bool {
        self.ask.chosen == Some(part)
    }

    fn print(&self, l: Length) -> String {
        said_length(l, self.ask.units)
    }
}
