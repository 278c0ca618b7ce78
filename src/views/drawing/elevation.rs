//! The walls unrolled, each as seen from inside: near corner at the left, floor below.

use super::spots::boxes;
use super::{Area, Dim, Draw, Drawing, Edge, Hit, LARGEST, Part, Pos, Role, Run, Spot, Target, corners};
use crate::job::{OpeningKind, Part as Finish};
use crate::measure::Length;

/// Common heights, feet: base, crown, middle of a box and its size, the rail of a panel.
const BASE: f64 = 5.25 / 12.0;
const CROWN: f64 = 4.5 / 12.0;
const BOX: (f64, f64, f64) = (16.0 / 12.0, 2.25 / 12.0, 3.75 / 12.0);
const RAIL: f64 = 3.0 / 12.0;
/// Widest field of a panel, feet.
const FIELD: f64 = 2.5;

/// Paper left of a row for the height, right of it, above and below for its words.
const LEFT: f32 = 40.0;
const RIGHT: f32 = 14.0;
const ABOVE: f32 = 10.0;
const BELOW: f32 = 28.0;

/// Which walls stand in which row, and how large.
pub struct Rows {
    /// Last wall of each row, and one more.
    ends: Vec<usize>,
    scale: f64,
    /// Height of the highest wall, feet.
    high: f64,
}

impl Rows {
    /// Pixels of all rows.
    pub fn height(&self) -> f32 {
        self.ends.len() as f32 * self.row()
    }

    fn row(&self) -> f32 {
        (self.high * self.scale) as f32 + ABOVE + BELOW
    }
}

/// As many rows as make the walls largest.
pub fn rows(run: &Run, width: f32, height: f32) -> Rows {
    let lengths: Vec<f64> = run.walls.iter().map(|w| w.length.feet()).collect();
    let high = run.walls.iter().map(|w| w.height.feet()).fold(0.1, f64::max);
    let most = lengths.len().min(4);
    let mut best = Rows { ends: vec![lengths.len()], scale: 0.0, high };
    for count in 1..=most {
        let share = lengths.iter().sum::<f64>() / count as f64;
        let (mut ends, mut longest, mut row) = (Vec::new(), 0.0f64, 0.0);
        for (i, l) in lengths.iter().enumerate() {
            // A wall goes into the row most of it lies in.
            if row > 0.0 && row + l / 2.0 > share * 1.001 && ends.len() + 1 < count {
                ends.push(i);
                row = 0.0;
            }
            row += l;
            longest = longest.max(row);
        }
        ends.push(lengths.len());
        let across = f64::from((width - LEFT - RIGHT).max(10.0)) / longest.max(0.1);
        let up = f64::from((height / ends.len() as f32 - ABOVE - BELOW).max(4.0)) / high;
        let scale = across.min(up).min(f64::from(LARGEST));
        if scale > best.scale * 1.05 {
            best = Rows { ends, scale, high };
        }
    }
    best
}

/// Draws the rows into `into`.
pub fn walls(d: &Draw, rows: &Rows, into: Area, out: &mut Drawing) {
    let mut first = 0;
    for (r, &end) in rows.ends.iter().enumerate() {
        let floor = into.y + r as f32 * rows.row() + ABOVE + (rows.high * rows.scale) as f32;
        let long: f64 = d.run.walls[first..end].iter().map(|w| w.length.feet()).sum();
        let mut x = into.x + LEFT + ((into.w - LEFT - RIGHT) - (long * rows.scale) as f32).max(0.0) / 2.0;
        let top = floor - (d.run.walls[first].height.feet() * rows.scale) as f32;
        let height = d.run.walls[first].height;
        let name = format!("height of {}", super::name(d.room, Part::Wall(first)));
        let (a, b) = (Pos { x: x - 14.0, y: floor }, Pos { x: x - 14.0, y: top });
        out.measure(a, b, Dim::Height(first), height, &name, d.ask.units);
        for w in first..end {
            let face = Face { d, w, left: x, floor, scale: rows.scale };
            face.draw(out);
            x += (d.run.walls[w].length.feet() * rows.scale) as f32;
        }
        first = end;
    }
}

/// One wall on paper.
struct Face<'a> {
    d: &'a Draw<'a>,
    w: usize,
    left: f32,
    floor: f32,
    scale: f64,
}

impl Face<'_> {
    fn at(&self, along: f64, up: f64) -> Pos {
        Pos { x: self.left + (along * self.scale) as f32, y: self.floor - (up * self.scale) as f32 }
    }

    /// A rectangle from one corner of it to the other, feet.
    fn area(&self, a: (f64, f64), b: (f64, f64)) -> Area {
        let (p, q) = (self.at(a.0, a.1), self.at(b.0, b.1));
        Area::new(p.x.min(q.x), p.y.min(q.y), p.x.max(q.x), p.y.max(q.y))
    }

    fn rect(&self, a: (f64, f64), b: (f64, f64), role: Role, out: &mut Drawing) {
        out.area(corners(self.area(a, b)), role);
    }

    fn outline(&self, a: (f64, f64), b: (f64, f64), role: Role, out: &mut Drawing) {
        let mut points = corners(self.area(a, b));
        points.push(points[0]);
        out.line(points, role);
    }

    fn has(&self, part: Finish) -> bool {
        let covers = |s: &&crate::job::Surface| s.walls.is_empty() || s.walls.contains(&(self.w + 1));
        self.d.room.surfaces.iter().filter(|s| s.part == part).any(|s| covers(&s))
    }

    fn panels(&self) -> f64 {
        let s = self.d.room.surfaces.iter().filter(|s| s.part == Finish::Panels);
        s.filter(|s| s.walls.is_empty() || s.walls.contains(&(self.w + 1)))
            .filter_map(|s| s.height)
            .map(Length::feet)
            .fold(0.0, f64::max)
    }

    /// Stretches of the wall clear of openings that reach below `up`, casing included.
    fn clear(&self, up: f64) -> Vec<(f64, f64)> {
        let long = self.d.run.walls[self.w].length.feet();
        let mut cut: Vec<(f64, f64)> =
            self.spots().filter(|s| s.sill < up).map(|s| (s.from - s.casing, s.from + s.width + s.casing)).collect();
        cut.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut at, mut out) = (0.0f64, Vec::new());
        for (a, b) in cut {
            if a > at {
                out.push((at, a.min(long)));
            }
            at = at.max(b);
        }
        if at < long {
            out.push((at, long));
        }
        out
    }

    fn spots(&self) -> impl Iterator<Item = &Spot> {
        self.d.spots.iter().filter(|s| s.wall == self.w)
    }

    fn draw(&self, out: &mut Drawing) {
        let wall = &self.d.run.walls[self.w];
        let (long, high) = (wall.length.feet(), wall.height.feet());
        if self.d.wall == Some(self.w) {
            self.rect((0.0, 0.0), (long, high), Role::Picked, out);
        }
        self.trim(long, high, out);
        self.hits(long, high, out);
        for s in self.spots() {
            self.opening(s, out);
        }
        self.boxes(long, out);
        self.outline((0.0, 0.0), (long, high), Role::Face, out);
        if self.d.chosen(Part::Wall(self.w)) {
            self.outline((0.0, 0.0), (long, high), Role::Chosen, out);
        }
        out.line(vec![self.at(0.0, 0.0), self.at(long, 0.0)], Role::Floor);
        // Its number below, over its measure where the plan does not say it nearer.
        let below = self.at(long / 2.0, 0.0);
        out.text(Pos { x: below.x, y: below.y + 13.0 }, &super::number(self.d.room, self.w), 0.0, Role::Number);
        let chosen = self.spots().find(|s| self.d.chosen(Part::Opening(s.opening, s.copy)));
        if let Some(s) = chosen {
            self.measures(s, out);
        }
    }

    fn trim(&self, long: f64, high: f64, out: &mut Drawing) {
        let panels = self.panels().min(high);
        if panels > 0.0 {
            for (a, b) in self.clear(panels) {
                self.panel((a, b), panels, out);
            }
            // Under a window the panels end at its casing.
            for s in self.spots().filter(|s| s.sill > s.casing && s.sill < panels) {
                self.panel((s.from - s.casing, s.from + s.width + s.casing), s.sill - s.casing, out);
            }
        }
        if self.has(Finish::Base) {
            for (a, b) in self.clear(BASE / 2.0) {
                self.rect((a, 0.0), (b, BASE), Role::Timber, out);
            }
        }
        if self.has(Finish::Crown) && high > CROWN {
            self.rect((0.0, high - CROWN), (long, high), Role::Timber, out);
            let y = high - CROWN * 0.45;
            out.line(vec![self.at(0.0, y), self.at(long, y)], Role::Swing);
        }
    }

    /// A stretch of panels: its frame, and fields of equal width in it.
    fn panel(&self, (a, b): (f64, f64), high: f64, out: &mut Drawing) {
        self.rect((a, 0.0), (b, high), Role::Timber, out);
        let low = if self.has(Finish::Base) { BASE + RAIL } else { RAIL };
        let fields = libm::ceil(((b - a - RAIL) / (FIELD + RAIL)).max(0.0)).max(1.0);
        let wide = (b - a - RAIL) / fields - RAIL;
        if wide < 0.2 || high - RAIL <= low {
            return;
        }
        for k in 0..fields as usize {
            let x = a + RAIL + k as f64 * (wide + RAIL);
            self.outline((x, low), (x + wide, high - RAIL), Role::Swing, out);
        }
    }

    fn opening(&self, s: &Spot, out: &mut Drawing) {
        let (from, to, head) = (s.from, s.from + s.width, s.sill + s.height);
        let c = s.casing;
        let window = s.kind == OpeningKind::Window;
        if c > 0.0 {
            let low = if window { s.sill - c } else { 0.0 };
            self.rect((from - c, low), (to + c, head + c), Role::Timber, out);
            if window {
                // The stool stands past the casing.
                out.line(vec![self.at(from - c * 1.3, s.sill), self.at(to + c * 1.3, s.sill)], Role::Face);
            }
        }
        self.rect((from, s.sill), (to, head), Role::Gap, out);
        self.outline((from, s.sill), (to, head), Role::Face, out);
        match s.kind {
            OpeningKind::Window => {
                let rail = s.sill + s.height / 2.0;
                out.line(vec![self.at(from, rail), self.at(to, rail)], Role::Glass);
            }
            OpeningKind::Door => {
                // The hand: lines from the corners of the lock side to the middle of the hinges.
                let middle = s.sill + s.height / 2.0;
                let two = s.width > super::plan::TWO_LEAVES;
                let meet = if two { from + s.width / 2.0 } else { to };
                out.line(vec![self.at(meet, head), self.at(from, middle), self.at(meet, s.sill)], Role::Swing);
                if two {
                    out.line(vec![self.at(meet, head), self.at(to, middle), self.at(meet, s.sill)], Role::Swing);
                    out.line(vec![self.at(meet, head), self.at(meet, s.sill)], Role::Face);
                }
            }
            OpeningKind::Cased => {}
        }
        let part = Part::Opening(s.opening, s.copy);
        let name = super::name(self.d.room, part);
        let right = Pos { x: self.scale as f32, y: 0.0 };
        let up = Pos { x: 0.0, y: -self.scale as f32 };
        let whole = self.area((from, s.sill), (to, head));
        let hit = |of, a: Area, pull, name: String| Hit { of, at: corners(a), pull, name };
        out.hits.push(hit(Target::Part(part), whole, right, name.clone()));
        if !self.d.chosen(part) {
            return;
        }
        self.outline((from, s.sill), (to, head), Role::Chosen, out);
        let g = 5.0;
        let strip = |a: Pos, b: Pos| Area::new(a.x - g, a.y - g, b.x + g, b.y + g);
        let p = |x: f64, y: f64| self.at(x, y);
        let edge = |e| Target::Edge(s.opening, s.copy, e);
        out.hits.push(hit(
            edge(Edge::Near),
            strip(p(from, head), p(from, s.sill)),
            right,
            format!("near edge of {name}"),
        ));
        out.hits.push(hit(edge(Edge::Far), strip(p(to, head), p(to, s.sill)), right, format!("far edge of {name}")));
        out.hits.push(hit(edge(Edge::Head), strip(p(from, head), p(to, head)), up, format!("head of {name}")));
        if window {
            out.hits.push(hit(edge(Edge::Sill), strip(p(from, s.sill), p(to, s.sill)), up, format!("sill of {name}")));
        }
    }

    fn boxes(&self, long: f64, out: &mut Drawing) {
        let count: u32 = self.d.room.boxes.iter().filter(|b| b.wall == self.w + 1).map(|b| b.count).sum();
        if count == 0 {
            return;
        }
        let taken: Vec<(f64, f64)> = self.spots().map(|s| (s.from, s.width)).collect();
        let (up, wide, high) = BOX;
        let places = boxes(long, &taken, count, wide);
        let mut all: Option<Area> = None;
        for x in places {
            let (a, b) = ((x, up - high / 2.0), (x + wide, up + high / 2.0));
            self.rect(a, b, Role::Box, out);
            let at = self.area(a, b);
            all = Some(all.map_or(at, |w| {
                Area::new(w.x.min(at.x), w.y.min(at.y), w.right().max(at.right()), w.bottom().max(at.bottom()))
            }));
            let part = Part::Boxes(self.w);
            let name = format!("{count} {}", super::name(self.d.room, part));
            // One name for all of them; each can be clicked.
            if out.hits.iter().all(|h| h.of != Target::Part(part)) {
                out.hits.push(Hit {
                    of: Target::Part(part),
                    at: corners(at.at_least(12.0, 14.0)),
                    pull: Pos::default(),
                    name,
                });
            }
        }
        if let Some(a) = all.filter(|_| self.d.chosen(Part::Boxes(self.w))) {
            let mut points = corners(a.at_least(a.w + 8.0, a.h + 8.0));
            points.push(points[0]);
            out.line(points, Role::Chosen);
        }
    }

    fn hits(&self, long: f64, high: f64, out: &mut Drawing) {
        let name = super::name(self.d.room, Part::Wall(self.w));
        let print = |l: Length| self.d.print(l);
        let wall = &self.d.run.walls[self.w];
        let whole = self.area((0.0, 0.0), (long, high));
        let size = format!("{name} from inside: {} by {}", print(wall.length), print(wall.height));
        let mut put = |of, a: Area, pull: Pos, name: String| out.hits.push(Hit { of, at: corners(a), pull, name });
        put(Target::Part(Part::Wall(self.w)), whole, Pos::default(), size);
        let (end, top) = (self.at(long, 0.0).x, self.at(0.0, high).y);
        let far = Area::new(end - 5.0, whole.y, end + 5.0, whole.bottom());
        put(Target::End(self.w), far, Pos { x: self.scale as f32, y: 0.0 }, format!("far end of {name}"));
        let ceiling = Area::new(whole.x + 6.0, top - 5.0, whole.right() - 6.0, top + 5.0);
        put(Target::Ceiling(self.w), ceiling, Pos { x: 0.0, y: -self.scale as f32 }, format!("ceiling over {name}"));
    }

    /// Measures of the chosen opening: from the corner, its height, its sill.
    fn measures(&self, s: &Spot, out: &mut Drawing) {
        let of = super::name(self.d.room, Part::Opening(s.opening, s.copy));
        let units = self.d.ask.units;
        let length = Length::from_feet;
        let mid = s.sill + s.height * 0.62;
        let from = Dim::From(s.opening, s.copy);
        out.measure(self.at(0.0, mid), self.at(s.from, mid), from, length(s.from), &format!("corner to {of}"), units);
        // What is clear beside it, lower down: to its neighbours, and to the far corner.
        let low = s.sill + s.height * 0.3;
        let beside = |x: &&Spot| {
            (x.opening, x.copy) != (s.opening, s.copy) && x.sill < s.sill + s.height && s.sill < x.sill + x.height
        };
        let end = self.d.run.walls[self.w].length.feet();
        let before = self.spots().filter(beside).map(|x| x.from + x.width).filter(|x| *x <= s.from + 1e-6);
        if let Some(x) = before.max_by(f64::total_cmp) {
            let dim = Dim::Before(s.opening, s.copy);
            let name = format!("clear before {of}");
            out.measure(self.at(x, low), self.at(s.from, low), dim, length(s.from - x), &name, units);
        }
        let far = s.from + s.width;
        let behind = self.spots().filter(beside).map(|x| x.from).filter(|x| *x >= far - 1e-6);
        let x = behind.min_by(f64::total_cmp).unwrap_or(end);
        if x > far {
            let dim = Dim::Behind(s.opening, s.copy);
            let name = format!("clear behind {of}");
            out.measure(self.at(far, low), self.at(x, low), dim, length(x - far), &name, units);
        }
        let x = s.from + s.width * 0.5;
        let (low, head) = (s.sill, s.sill + s.height);
        let high = Dim::High(s.opening, s.copy);
        out.measure(self.at(x, low), self.at(x, head), high, length(s.height), &format!("height of {of}"), units);
        if s.kind == OpeningKind::Window {
            let sill = Dim::Sill(s.opening, s.copy);
            out.measure(self.at(x, 0.0), self.at(x, low), sill, length(s.sill), &format!("sill of {of}"), units);
        }
    }
}
