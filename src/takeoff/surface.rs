//! Quantities of one surface: areas wall by wall, runs and their breaks, openings.

use super::{BIG_OPENING_SF, Factor, Outline, Plane, Quantity, Sum, SurfaceTakeoff};
use crate::job::{Opening, OpeningKind, Part, Room, Surface};
use crate::measure::Length;
use crate::trade::Unit::{Each, LinearFoot, SquareFoot};

/// Least height of a base (an opening that begins below it breaks it), of a cap, of a crown.
pub(super) const BASE: Length = Length(3 * Length::INCH);
pub(super) const CAP: Length = Length(Length::INCH);
pub(super) const CROWN: Length = Length(4 * Length::INCH);
/// Widest panel made of one sheet's width, feet.
pub(super) const PANEL_FT: f64 = 4.0;
/// A piece longer than this may be miscut and costs a stick, feet.
const LONG_FT: f64 = 12.0;
/// Casing where nothing is said; head height of windows where no sill is said.
pub const CASING: Length = Length(3 * Length::INCH + Length::INCH / 2);
pub const HEAD: Length = Length(80 * Length::INCH);

/// An opening with what its record leaves to the usual rule filled in.
pub(super) struct Hole<'a> {
    pub o: &'a Opening,
    pub wall: usize,
    pub sill: Length,
    pub head: Length,
    pub casing: Length,
    pub count: f64,
    pub label: String,
}

impl Hole<'_> {
    /// Openings of a room on walls that exist.
    pub fn all<'a>(room: &'a Room, outline: &Outline) -> Vec<Hole<'a>> {
        room.openings
            .iter()
            .filter(|o| o.wall >= 1 && o.wall <= outline.walls.len())
            .map(|o| {
                let sill = o.sill.unwrap_or(match o.kind {
                    OpeningKind::Window => Length((HEAD.0 - o.height.0).max(0)),
                    _ => Length::ZERO,
                });
                let label = match (o.name.as_str(), o.kind) {
                    ("", OpeningKind::Door) => "door".into(),
                    ("", OpeningKind::Window) => "window".into(),
                    ("", OpeningKind::Cased) => "opening".into(),
                    (name, _) => name.to_string(),
                };
                Hole {
                    wall: o.wall - 1,
                    sill,
                    head: Length(sill.0 + o.height.0),
                    casing: o.casing.unwrap_or(CASING),
                    count: f64::from(o.count),
                    label,
                    o,
                }
            })
            .collect()
    }

    /// Square feet of one.
    pub fn area(&self) -> f64 {
        self.o.width.feet() * self.o.height.feet()
    }

    /// Width with the casing on both sides.
    fn cased(&self) -> Length {
        Length(self.o.width.0 + 2 * self.casing.0)
    }

    /// Its height between two heights above the floor, head casing counted if `cased`.
    pub(super) fn within(&self, lo: Length, hi: Length, cased: bool) -> Length {
        let head = if cased { self.head.0 + self.casing.0 } else { self.head.0 };
        Length((head.min(hi.0) - self.sill.0.max(lo.0)).max(0))
    }

    /// Feet of casing round one: legs and head mitred; a window's apron with them.
    pub fn casing_run(&self) -> f64 {
        if self.casing == Length::ZERO {
            return 0.0;
        }
        let legs = 2.0 * (self.o.height.feet() + self.casing.feet());
        let heads = if self.o.kind == OpeningKind::Window { 2.0 } else { 1.0 };
        legs + heads * self.cased().feet()
    }
}

/// A run along the walls in a band of heights above the floor of each wall.
pub(super) fn run(
    id: &str,
    name: &str,
    outline: &Outline,
    covered: &[usize],
    holes: &[Hole],
    band: impl Fn(usize) -> (Length, Length),
) -> (Quantity, Vec<Plane>) {
    let mut all = Sum::default();
    let mut planes = Vec::new();
    for &w in covered {
        let mut sum = Sum::default();
        sum.add(format!("wall {}", outline.called(w)), &[Factor::Length(outline.walls[w].length)]);
        let (lo, hi) = band(w);
        for h in holes.iter().filter(|h| h.wall == w && h.within(lo, hi, true) > Length::ZERO) {
            sum.less(format!("{} with casing", h.label), &[Factor::Number(h.count), Factor::Length(h.cased())]);
        }
        planes.push(Plane { wall: w, amount: sum.value() });
        all.0.extend(sum.0);
    }
    (all.done(id, name, LinearFoot), planes)
}

/// Height of panels on each wall of the room.
pub(super) fn panel_heights(room: &Room, outline: &Outline) -> Vec<Length> {
    let mut h = vec![Length::ZERO; outline.walls.len()];
    for s in room.surfaces.iter().filter(|s| s.part == Part::Panels) {
        for w in outline.covered(&s.walls) {
            h[w] = h[w].max(s.height.unwrap_or(Length::ZERO)).min(outline.walls[w].height);
        }
    }
    h
}

fn number(id: &str, name: &str, n: f64) -> Quantity {
    let mut s = Sum::default();
    s.count(name, n);
    s.done(id, name, Each)
}

/// Joints where pieces meet: corners, and scarfs where a wall is longer than the stock.
fn joints(prefix: &str, what: &str, planes: &[Plane], corners: (usize, usize), stock_ft: f64, out: &mut Vec<Quantity>) {
    let mut c = Sum::default();
    c.count("inside corners", corners.0 as f64);
    c.count("outside corners", corners.1 as f64);
    out.push(c.done(&format!("{prefix}_corners"), &format!("corners of {what}"), Each));
    out.push(number(&format!("{prefix}_inside_corners"), &format!("inside corners of {what}"), corners.0 as f64));
    out.push(number(&format!("{prefix}_outside_corners"), &format!("outside corners of {what}"), corners.1 as f64));
    let scarfs: f64 = planes.iter().map(|p| (libm::ceil(p.amount / stock_ft.max(1.0) - 1e-9) - 1.0).max(0.0)).sum();
    let mut j = Sum::default();
    j.count("corners", (corners.0 + corners.1) as f64);
    j.count("scarfs", scarfs);
    out.push(j.done(&format!("{prefix}_joints"), &format!("joints of {what} to fill"), Each));
    let long = planes.iter().filter(|p| p.amount > LONG_FT).count();
    out.push(number(&format!("{prefix}_long_runs"), &format!("runs of {what} over 12 ft"), long as f64));
}

/// Caulk joints along a run.
fn caulk(id: &str, name: &str, run: f64, lines: f64) -> Quantity {
    let mut s = Sum::default();
    let what = if lines == 1.0 { "one joint along the run".into() } else { format!("{lines} joints along the run") };
    s.add(what, &[Factor::Number(lines), Factor::Length(Length::from_feet(run))]);
    s.done(id, name, LinearFoot)
}

/// All quantities of a surface.
pub(super) fn surface(room: &Room, s: &Surface, outline: &Outline, holes: &[Hole], stock_ft: f64) -> SurfaceTakeoff {
    let covered = outline.covered(&s.walls);
    let panel = panel_heights(room, outline);
    let top = |w: usize| outline.walls[w].height;
    let mut q = Vec::new();
    let mut planes = Vec::new();
    let mine: Vec<&Hole> = holes.iter().filter(|h| covered.binary_search(&h.wall).is_ok()).collect();
    match s.part {
        Part::Ceiling | Part::Room => {}
        Part::Walls => {
            let (mut labor, mut net) = (Sum::default(), Sum::default());
            for &w in &covered {
                let (mut one, wall) = (Sum::default(), &outline.walls[w]);
                let high = Length(wall.height.0 - panel[w].0);
                let what = if panel[w] > Length::ZERO { " above the panels" } else { "" };
                one.add(
                    format!("wall {}{what}", outline.called(w)),
                    &[Factor::Length(wall.length), Factor::Length(high)],
                );
                net.add(
                    format!("wall {}{what}", outline.called(w)),
                    &[Factor::Length(wall.length), Factor::Length(high)],
                );
                for h in mine.iter().filter(|h| h.wall == w) {
                    let f = [
                        Factor::Number(h.count),
                        Factor::Length(h.o.width),
                        Factor::Length(h.within(panel[w], top(w), false)),
                    ];
                    net.less(h.label.clone(), &f);
                    if h.area() >= BIG_OPENING_SF {
                        one.less(format!("{} of 32 SF or more", h.label), &f);
                    }
                }
                planes.push(Plane { wall: w, amount: one.value() });
                labor.0.extend(one.0);
            }
            q.push(labor.done("wall_labor", "wall to work on (openings under 32 SF counted as wall)", SquareFoot));
            q.push(net.done("wall_material", "wall to cover (all openings off)", SquareFoot));
        }
        Part::Crown => {
            let band = |w: usize| (Length(top(w).0 - CROWN.0), top(w));
            let (r, p) = run("crown_run", "run of crown", outline, &covered, holes, band);
            joints("crown", "crown", &p, outline.corners_of(&covered), stock_ft, &mut q);
            q.push(caulk("crown_caulk", "crown joints to caulk, ceiling and wall", r.value, 2.0));
            q.push(r);
            planes = p;
        }
        Part::Base => {
            let (r, p) = run("base_run", "run of base", outline, &covered, holes, |_| (Length::ZERO, BASE));
            joints("base", "base", &p, outline.corners_of(&covered), stock_ft, &mut q);
            q.push(caulk("base_caulk", "base joint to caulk", r.value, 1.0));
            q.push(r);
            planes = p;
        }
        Part::Panels => {
            let mut area = Sum::default();
            let mut count = 0.0;
            for &w in &covered {
                let wall = &outline.walls[w];
                let high = panel[w];
                let mut one = Sum::default();
                one.add(format!("wall {}", outline.called(w)), &[Factor::Length(wall.length), Factor::Length(high)]);
                for h in mine.iter().filter(|h| h.wall == w) {
                    let deep = h.within(Length::ZERO, high, true);
                    if deep > Length::ZERO {
                        let f = [Factor::Number(h.count), Factor::Length(h.cased()), Factor::Length(deep)];
                        one.less(format!("{} with casing", h.label), &f);
                    }
                }
                planes.push(Plane { wall: w, amount: one.value() });
                area.0.extend(one.0);
                // Only what breaks the panels down to the floor shortens the row of them.
                let doors: f64 =
                    mine.iter().filter(|h| h.wall == w && h.sill < BASE).map(|h| h.count * h.cased().feet()).sum();
                count += libm::ceil(((wall.length.feet() - doors).max(0.0)) / PANEL_FT - 1e-9);
            }
            q.push(area.done("panel_area", "panels", SquareFoot));
            q.push(number("panels", "panels, at most 4 ft wide", s.panels.map_or(count, f64::from)));
            let band = |w: usize| (Length(panel[w].0 - CAP.0), panel[w]);
            let (r, p) = run("cap_run", "run of cap rail", outline, &covered, holes, band);
            joints("cap", "cap rail", &p, outline.corners_of(&covered), stock_ft, &mut q);
            q.push(caulk("cap_caulk", "cap rail joint to caulk", r.value, 1.0));
            q.push(r);
            let mut boxes = Sum::default();
            for b in room.boxes.iter().filter(|b| b.wall >= 1 && covered.binary_search(&(b.wall - 1)).is_ok()) {
                boxes.count(format!("boxes on wall {}", outline.called(b.wall - 1)), f64::from(b.count));
            }
            q.push(boxes.done("panel_boxes", "boxes behind panels", Each));
        }
        Part::Openings => q.extend(openings(&mine)),
    }
    let id = s.id.clone();
    SurfaceTakeoff { surface: id, quantities: q, planes }
}

/// Counts and runs of openings.
pub(super) fn openings(holes: &[&Hole]) -> Vec<Quantity> {
    let count = |id: &str, name: &str, of: &dyn Fn(&Hole) -> bool| {
        let mut s = Sum::default();
        for h in holes.iter().filter(|h| of(h)) {
            s.count(h.label.clone(), h.count);
        }
        s.done(id, name, Each)
    };
    let cased = |h: &Hole| h.casing > Length::ZERO;
    let window = |h: &Hole| h.o.kind == OpeningKind::Window;
    let run_of = |h: &Hole| Factor::Length(Length::from_feet(h.casing_run()));
    let mut run = Sum::default();
    let mut stock = Sum::default();
    let mut joints = Sum::default();
    for h in holes.iter().filter(|h| cased(h)) {
        run.add(format!("round {}", h.label), &[Factor::Number(h.count), run_of(h)]);
        // Two faces and two edges of 3/4 in; a window's stool 6 in deep, both faces.
        let around = 2.0 * (h.casing.feet() + 0.75 / 12.0);
        stock.add(
            format!("casing of {}", h.label),
            &[Factor::Number(h.count), run_of(h), Factor::Length(Length::from_feet(around))],
        );
        if window(h) {
            stock.add(
                format!("stool of {}", h.label),
                &[Factor::Number(h.count), Factor::Length(h.cased()), Factor::Length(Length::from_feet(1.0))],
            );
        }
        joints.count(format!("mitres of {}", h.label), 2.0 * h.count);
    }
    let sticks = libm::ceil(run.value() / 8.0 - 1e-9);
    vec![
        count("doors", "doors", &|h| h.o.kind == OpeningKind::Door),
        count("windows", "windows", &window),
        count("openings", "openings", &|_| true),
        count("stools", "windows with stool, apron and casing", &|h| window(h) && cased(h)),
        count("casing_sides", "sides of door casing", &|h| !window(h) && cased(h)),
        run.done("casing_run", "run of casing", LinearFoot),
        stock.done("opening_stock", "casing and stools to prime, all faces", SquareFoot),
        joints.done("casing_joints", "joints of casing to fill", Each),
        number("sticks", "sticks of casing, 8 ft", sticks),
    ]
}
