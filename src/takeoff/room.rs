//! Quantities of a whole room, and what is wrong with its measures.

use super::surface::{Hole, openings, run, surface};
use super::{Factor, Outline, Quantity, RoomTakeoff, Sum};
use crate::job::{Job, OpeningKind, Part, Problem, Room};
use crate::measure::Length;
use crate::trade::Unit::{Each, LinearFoot, SquareFoot};

/// Painted girth of trim (judgement: 6 in).
const GIRTH: Length = Length(6 * Length::INCH);

/// A length in feet as a factor.
fn feet(ft: f64) -> Factor {
    Factor::Length(Length::from_feet(ft))
}

/// The take-off of room `index`; faults of its measures are added to `problems`.
pub fn room(job: &Job, index: usize, problems: &mut Vec<Problem>) -> RoomTakeoff {
    let r = &job.rooms[index];
    let path = format!("rooms[{index}]");
    let outline = Outline::of(r, &path, problems);
    faults(r, &outline, &path, problems);
    let holes = Hole::all(r, &outline);
    let stock = job.house.longest_stock_ft;
    let surfaces: Vec<_> = r.surfaces.iter().map(|s| surface(r, s, &outline, &holes, stock)).collect();
    let mut q = measures(r, &outline, &holes);
    let sum = |id: &str, name: &str, unit, of: &[(Part, &str)]| {
        let mut sum = Sum::default();
        for (part, want) in of {
            for (s, t) in r.surfaces.iter().zip(&surfaces).filter(|(s, _)| s.part == *part) {
                if let Some(x) = t.quantities.iter().find(|x| x.id == *want) {
                    let factor = match unit {
                        LinearFoot => feet(x.value),
                        SquareFoot => Factor::Area(x.value),
                        _ => Factor::Number(x.value),
                    };
                    sum.add(format!("{} ({})", x.name, s.id), &[factor]);
                }
            }
        }
        sum.done(id, name, unit)
    };
    let low = [(Part::Base, "base_run"), (Part::Panels, "cap_run"), (Part::Openings, "casing_run")];
    q.push(sum("trim_run", "trim below the crown", LinearFoot, &low));
    q.push(sum(
        "trim_joints",
        "joints of trim below the crown",
        Each,
        &[(Part::Base, "base_joints"), (Part::Panels, "cap_joints"), (Part::Openings, "casing_joints")],
    ));
    q.push(sum(
        "trim_caulk",
        "joints below the crown to caulk",
        LinearFoot,
        &[(Part::Base, "base_caulk"), (Part::Panels, "cap_caulk"), (Part::Openings, "casing_run")],
    ));
    let all = [(Part::Crown, "crown_run"), low[0], low[1], low[2]];
    let painted = sum("painted_run", "trim to paint", LinearFoot, &all);
    let panels = sum("panel_area", "panels", SquareFoot, &[(Part::Panels, "panel_area")]);
    let mut area = Sum::default();
    area.add("trim", &[feet(painted.value), Factor::Length(GIRTH)]);
    area.add("panels", &[Factor::Area(panels.value)]);
    q.extend([painted, panels, area.done("painted_area", "trim and panels to paint", SquareFoot)]);
    RoomTakeoff { room: r.id.clone(), quantities: q, surfaces }
}

/// What follows from the measures alone, whatever is to be done.
fn measures(r: &Room, outline: &Outline, holes: &[Hole]) -> Vec<Quantity> {
    let (mut perimeter, mut gross, mut net, mut one) = (Sum::default(), Sum::default(), Sum::default(), Sum::default());
    one.count("room", 1.0);
    for (i, w) in outline.walls.iter().enumerate() {
        let what = format!("wall {}", outline.called(i));
        perimeter.add(what.clone(), &[Factor::Length(w.length)]);
        gross.add(what.clone(), &[Factor::Length(w.length), Factor::Length(w.height)]);
        net.add(what, &[Factor::Length(w.length), Factor::Length(w.height)]);
    }
    for h in holes {
        net.less(h.label.clone(), &[Factor::Number(h.count), Factor::Length(h.o.width), Factor::Length(h.o.height)]);
    }
    let (mut ceiling, mut planes, mut patches, mut cracks, mut boxes) =
        (Sum::default(), Sum::default(), Sum::default(), Sum::default(), Sum::default());
    match r.size {
        Some(s) if r.walls.is_empty() => {
            ceiling.add("length by width", &[Factor::Length(s.length), Factor::Length(s.width)])
        }
        _ => ceiling.add("enclosed by the walls", &[Factor::Area(outline.area)]),
    }
    planes.count("walls", outline.walls.len() as f64);
    patches.count("holes", f64::from(r.holes));
    cracks.add("cracks", &[Factor::Length(r.cracks)]);
    for b in &r.boxes {
        boxes.count(format!("boxes on wall {}", outline.called(b.wall.wrapping_sub(1))), f64::from(b.count));
    }
    let everywhere = outline.covered(&[]);
    let base = run("old_base", "base", outline, &everywhere, holes, |_| (Length::ZERO, Length(3 * Length::INCH))).0;
    let all: Vec<&Hole> = holes.iter().collect();
    let mut q = vec![
        one.done("one", "the room", Each),
        perimeter.done("perimeter", "perimeter", LinearFoot),
        gross.done("wall_gross", "walls, gross", SquareFoot),
        net.done("wall_net", "walls, openings off", SquareFoot),
        ceiling.done("ceiling", "ceiling", SquareFoot),
        planes.done("planes", "walls", Each),
        patches.done("holes", "holes to patch", Each),
        cracks.done("cracks", "cracks and hollow plaster", LinearFoot),
        boxes.done("boxes", "electrical boxes", Each),
    ];
    let opens = openings(&all);
    let casing = opens.iter().find(|x| x.id == "casing_run").map_or(0.0, |x| x.value);
    let (mut old, mut old_area) = (Sum::default(), Sum::default());
    old.add("base", &[feet(base.value)]);
    old.add("casing", &[feet(casing)]);
    old_area.add("base and casing", &[feet(old.value()), Factor::Length(GIRTH)]);
    q.push(old.done("old_trim_run", "base and casing there are", LinearFoot));
    q.push(old_area.done("old_trim_area", "base and casing there are, painted face", SquareFoot));
    q.extend(opens);
    q
}

/// Openings, boxes and surfaces that do not fit their walls.
fn faults(r: &Room, outline: &Outline, path: &str, problems: &mut Vec<Problem>) {
    let n = outline.walls.len();
    let no_wall = |at: String, w: usize| {
        Problem::new(at, format!("there is no wall {w}, this room has {n}"), format!("count walls from 1 to {n}"))
    };
    let mut taken = vec![0i64; n];
    for (i, o) in r.openings.iter().enumerate() {
        let at = format!("{path}.openings[{i}]");
        if o.width <= Length::ZERO || o.height <= Length::ZERO {
            problems.push(Problem::new(&at, "an opening needs a width and a height above nothing", "measure it again"));
            continue;
        }
        if n > 0 && (o.wall < 1 || o.wall > n) {
            problems.push(no_wall(format!("{at}.wall"), o.wall));
            continue;
        }
        let Some(wall) = outline.walls.get(o.wall.wrapping_sub(1)) else { continue };
        let sill = o.sill.unwrap_or(Length::ZERO);
        if o.kind != OpeningKind::Window && o.sill.is_some_and(|s| s > Length::ZERO) && o.kind == OpeningKind::Door {
            problems.push(Problem::new(
                format!("{at}.sill"),
                "a door has no sill",
                "leave it out, or call it a window",
            ));
        }
        if sill < Length::ZERO || sill.0 + o.height.0 > wall.height.0 {
            problems.push(Problem::new(
                format!("{at}.height"),
                format!("this opening is higher than wall {}", outline.called(o.wall - 1)),
                "check its height and sill against the wall",
            ));
        }
        if o.from_corner.is_some_and(|c| c < Length::ZERO || c.0 + o.width.0 > wall.length.0) {
            problems.push(Problem::new(
                format!("{at}.from_corner"),
                format!("this opening reaches past the end of wall {}", outline.called(o.wall - 1)),
                "measure from the wall's near corner",
            ));
        }
        let all = o.width.0.saturating_mul(i64::from(o.count));
        let before = taken[o.wall - 1];
        taken[o.wall - 1] = before.saturating_add(all);
        if before <= wall.length.0 && taken[o.wall - 1] > wall.length.0 {
            problems.push(Problem::new(
                format!("{at}.width"),
                format!("the openings on wall {} are wider than the wall", outline.called(o.wall - 1)),
                "check the widths, the count and the wall's number",
            ));
        }
    }
    for (i, b) in r.boxes.iter().enumerate() {
        if n > 0 && (b.wall < 1 || b.wall > n) {
            problems.push(no_wall(format!("{path}.boxes[{i}].wall"), b.wall));
        }
    }
    for (i, s) in r.surfaces.iter().enumerate() {
        let at = format!("{path}.surfaces[{i}]");
        for (k, &w) in s.walls.iter().enumerate() {
            if n > 0 && (w < 1 || w > n) {
                problems.push(no_wall(format!("{at}.walls[{k}]"), w));
            }
        }
        if s.part != Part::Panels {
            continue;
        }
        match s.height {
            None => problems.push(Problem::new(
                &at,
                "panels need a height above the floor",
                "add height: \"36\\\"\" or what it is",
            )),
            Some(h) => {
                let low = outline.covered(&s.walls).iter().map(|&w| outline.walls[w].height).min();
                if h <= Length::ZERO || low.is_some_and(|l| h > l) {
                    problems.push(Problem::new(
                        format!("{at}.height"),
                        "panels must be higher than nothing and no higher than their wall",
                        "check the height of the panels",
                    ));
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Opening, Size, Surface};

    /// 13' x 11'6 x 8'4, door 32x80, two windows 36x54 with heads at 80 in, casing 3-1/2 in,
    /// crown, panels to 36 in, base.
    pub(crate) fn study() -> Job {
        let inch = |x: f64| Length::from_inches(x);
        let opening = |kind, wall, w, h| Opening {
            kind,
            name: String::new(),
            wall,
            width: inch(w),
            height: inch(h),
            sill: None,
            from_corner: None,
            casing: None,
            count: 1,
        };
        let surface = |part, id: &str| Surface { part, id: id.into(), ..Surface::default() };
        let mut panels = surface(Part::Panels, "panels");
        panels.height = Some(inch(36.0));
        let room = Room {
            id: "study".into(),
            size: Some(Size { length: inch(156.0), width: inch(138.0), height: inch(100.0) }),
            openings: vec![
                opening(OpeningKind::Door, 2, 32.0, 80.0),
                opening(OpeningKind::Window, 1, 36.0, 54.0),
                opening(OpeningKind::Window, 3, 36.0, 54.0),
            ],
            surfaces: vec![
                surface(Part::Walls, "walls"),
                surface(Part::Crown, "crown"),
                panels,
                surface(Part::Base, "base"),
                surface(Part::Openings, "openings"),
            ],
            ..Room::default()
        };
        Job { rooms: vec![room], ..Job::default() }
    }

    fn off(job: &Job) -> RoomTakeoff {
        let mut p = Vec::new();
        let t = room(job, 0, &mut p);
        assert!(p.is_empty(), "{p:?}");
        t
    }

    fn value(t: &RoomTakeoff, id: &str) -> f64 {
        t.get(id).or_else(|| t.surfaces.iter().flat_map(|s| &s.quantities).find(|q| q.id == id)).unwrap().value
    }

    #[test]
    fn the_study_comes_out_as_the_trade_counts_it() {
        // Trade figures, sanity of the study (common practice, no source).
        let t = off(&study());
        for (id, want, within) in [
            ("wall_gross", 408.0, 0.5),
            ("wall_labor", 261.0, 0.5),
            ("wall_material", 230.0, 0.5),
            ("panel_area", 131.0, 0.5),
            ("base_run", 45.8, 0.06),
            ("cap_run", 38.6, 0.06),
            ("crown_run", 49.0, 1e-9),
            ("ceiling", 149.5, 1e-9),
            ("crown_corners", 4.0, 0.0),
            ("crown_caulk", 98.0, 1e-9),
            ("doors", 1.0, 0.0),
            ("stools", 2.0, 0.0),
            ("panels", 14.0, 0.0),
        ] {
            assert!((value(&t, id) - want).abs() <= within, "{id}: {}", value(&t, id));
        }
    }

    #[test]
    fn every_formula_adds_up_to_its_quantity() {
        let t = off(&study());
        for q in t.quantities.iter().chain(t.surfaces.iter().flat_map(|s| &s.quantities)) {
            let sum: f64 = q.formula.iter().map(super::super::Share::value).sum();
            assert!((sum - q.value).abs() < 1e-9, "{}", q.id);
        }
    }

    #[test]
    fn a_double_door_is_no_wall_for_labor() {
        let mut job = study();
        let before = value(&off(&job), "wall_labor");
        // 60 x 80 in is 33.3 SF; its part above 36 in of panels is 60 x 44 in.
        job.rooms[0].openings[0].width = Length::from_inches(60.0);
        assert!((before - value(&off(&job), "wall_labor") - 60.0 * 44.0 / 144.0).abs() < 1e-9);
        // 57 x 80 in is 31.7 SF: still wall.
        job.rooms[0].openings[0].width = Length::from_inches(57.0);
        assert!((before - value(&off(&job), "wall_labor")).abs() < 1e-9);
    }

    #[test]
    fn a_window_breaks_only_what_it_covers() {
        let mut job = study();
        let base = value(&off(&job), "base_run");
        job.rooms[0].openings[1].sill = Some(Length::from_inches(40.0));
        // Sill above the cap: the cap runs on below it, the base never noticed.
        let t = off(&job);
        assert!((value(&t, "cap_run") - (38.583_333 + 43.0 / 12.0)).abs() < 1e-3);
        assert_eq!(value(&t, "base_run"), base);
        // Down to the floor it breaks the base as a door does.
        job.rooms[0].openings[1].sill = Some(Length::ZERO);
        assert!((base - value(&off(&job), "base_run") - 43.0 / 12.0).abs() < 1e-9);
    }

    #[test]
    fn metric_rooms_give_the_same_quantities() {
        let mut job = study();
        let mm = |x: f64| Length::from_mm(x);
        job.rooms[0].size = Some(Size { length: mm(3962.4), width: mm(3505.2), height: mm(2540.0) });
        let (a, b) = (off(&study()), off(&job));
        assert_eq!(value(&a, "wall_labor"), value(&b, "wall_labor"));
    }

    #[test]
    fn openings_that_do_not_fit_are_all_reported() {
        let mut job = study();
        let o = &mut job.rooms[0].openings;
        o[0].wall = 7;
        o[1].height = Length::from_inches(120.0);
        o[2].count = 9;
        job.rooms[0].surfaces[2].height = None;
        let mut p = Vec::new();
        room(&job, 0, &mut p);
        let paths: Vec<&str> = p.iter().map(|x| x.path.as_str()).collect();
        assert_eq!(
            paths,
            [
                "rooms[0].openings[0].wall",
                "rooms[0].openings[1].height",
                "rooms[0].openings[2].width",
                "rooms[0].surfaces[2]"
            ]
        );
    }
}
