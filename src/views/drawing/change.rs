//! Which room a pull on the drawing, or a measure typed into it, makes of the one drawn.
//!
//! A pull goes in steps of 1/2 in or 1 cm: what is pulled comes to stand on a whole step.
//! An opening stops at its neighbours, at the corners and at the ceiling: it is never pulled
//! onto another, and a typed place that another has is refused.
//! Position is changed for one opening alone, so of several alike it becomes one of its own;
//! width, height and sill are those of all alike.

use super::{Dim, Edge, Part, Run, Spot, Target, spots};
use crate::job::{Boxes, Opening, OpeningKind, Room, Units};
use crate::measure::Length;
use crate::sheet;

/// Least width and height of an opening by pulling.
const LEAST: Length = Length(4 * Length::INCH);

/// The step of a pull.
pub fn step(units: Units) -> Length {
    match units {
        Units::FeetInches => Length(Length::INCH / 2),
        Units::Metric => Length(10 * Length::MM),
    }
}

/// To whole steps.
fn stepped(feet: f64, units: Units) -> Length {
    let step = step(units).0;
    Length((libm::round(Length::from_feet(feet).0 as f64 / step as f64) as i64).max(0) * step)
}

fn spot(room: &Room, opening: usize, copy: u32) -> Option<Spot> {
    let run = Run::of(room);
    spots(room, &run).into_iter().find(|s| s.opening == opening && s.copy == copy)
}

/// The room with a target pulled by so many feet, and what the target is called then. Nothing
/// where it cannot be pulled so far.
pub fn pulled(room: &Room, units: Units, of: Target, feet: f64) -> Option<(Room, Target)> {
    let run = Run::of(room);
    if !feet.is_finite() {
        return None;
    }
    match of {
        Target::Wall(w) => {
            let before = run.walls.get((w + run.walls.len()).checked_sub(1)? % run.walls.len().max(1))?.length;
            let to = stepped(before.feet() + feet, units);
            let by = Length(to.0 - before.0);
            let out = match sheet::moved_out(room, units, w, by) {
                Some(out) => out,
                None => Run::put(room, run.moved(w, by)?, units),
            };
            (holds(&out) || !holds(room)).then_some((out, of))
        }
        Target::End(w) => {
            let to = stepped(run.walls.get(w)?.length.feet() + feet, units);
            let out = (to >= LEAST).then(|| longer(room, &run, units, w, to))?;
            (holds(&out) || !holds(room)).then_some((out, of))
        }
        Target::Ceiling(w) => {
            let to = stepped(run.walls.get(w)?.height.feet() + feet, units);
            let out = (to >= LEAST).then(|| with_height(room, &run, units, w, to))?;
            (holds(&out) || !holds(room)).then_some((out, of))
        }
        Target::Part(Part::Opening(o, copy)) => {
            let s = spot(room, o, copy)?;
            let (least, most) = between(room, &run, &s);
            if most - s.width < least {
                // It does not fit where it stands: whatever is pulled is no remedy.
                return None;
            }
            let at = stepped(s.from + feet, units);
            let at = at.max(sixteenth_up(least)).min(sixteenth_down(most - s.width));
            if at.feet() < least - FINE {
                return None;
            }
            let (room, o) = placed(room, o, copy, at);
            Some((room, Target::Part(Part::Opening(o, 0))))
        }
        Target::Edge(o, copy, edge) => {
            let s = spot(room, o, copy)?;
            let mut out = room.clone();
            let x = out.openings.get_mut(o)?;
            let (near, far) = between(room, &run, &s);
            let ceiling = run.walls.get(s.wall)?.height;
            // An unmeasured one moves as it grows: all that is free of its wall is its own.
            let free = match x.from_corner {
                Some(_) if edge == Edge::Far => far - s.from,
                Some(_) => s.from + s.width - near,
                None => room_left(room, &run, &s) / f64::from(x.count.max(1)),
            };
            let widest = sixteenth_down(free.max(s.width));
            match edge {
                Edge::Far => x.width = stepped(s.width + feet, units).max(LEAST).min(widest),
                Edge::Near => {
                    let width = stepped(s.width - feet, units).max(LEAST).min(widest);
                    // The far edge of a measured one stays where it is.
                    if let Some(from) = x.from_corner {
                        x.from_corner = Some(Length((from.0 + x.width.0 - width.0).max(0)));
                    }
                    x.width = width;
                }
                Edge::Head => {
                    let most = Length((ceiling.0 - Length::from_feet(s.sill).0).max(x.height.0));
                    x.height = stepped(s.height + feet, units).max(LEAST).min(most);
                }
                Edge::Sill => {
                    let (sill, head) = (stepped(s.sill + feet, units), Length::from_feet(s.sill + s.height));
                    let sill = sill.min(Length((head.0 - LEAST.0).max(0)));
                    x.height = Length(head.0 - sill.0);
                    x.sill = Some(sill);
                }
            }
            Some((out, of))
        }
        Target::Part(_) | Target::Dim(_) => None,
    }
}

/// Less than any step, feet.
const FINE: f64 = 1e-6;

/// Whether two spots of one wall stand side by side, not one above the other.
fn beside(a: &Spot, b: &Spot) -> bool {
    let above = a.sill + a.height <= b.sill + FINE || b.sill + b.height <= a.sill + FINE;
    a.wall == b.wall && (a.opening, a.copy) != (b.opening, b.copy) && !above
}

/// The stretch of its wall an opening has between its neighbours that stand where they were
/// measured, or are drawn beside it; feet from the near corner.
fn between(room: &Room, run: &Run, s: &Spot) -> (f64, f64) {
    let wall = run.walls.get(s.wall).map_or(0.0, |w| w.length.feet());
    let all = spots(room, run);
    let others = || all.iter().filter(|x| beside(x, s));
    let middle = |x: &Spot| x.from + x.width / 2.0;
    let before = others().filter(|x| middle(x) <= middle(s)).map(|x| x.from + x.width);
    let behind = others().filter(|x| middle(x) > middle(s)).map(|x| x.from);
    (before.fold(0.0, f64::max), behind.fold(wall, f64::min))
}

/// Whether every wall holds what is on it.
fn holds(room: &Room) -> bool {
    let run = Run::of(room);
    let all = spots(room, &run);
    run.walls.iter().enumerate().all(|(w, wall)| {
        let on = || all.iter().filter(|s| s.wall == w);
        let long = wall.length.feet() + FINE;
        let inside = |s: &Spot| s.from + s.width <= long && s.sill + s.height <= wall.height.feet() + FINE;
        on().all(inside)
    })
}

/// What its neighbours leave of an opening's wall, feet; its like do not count.
fn room_left(room: &Room, run: &Run, s: &Spot) -> f64 {
    let wall = run.walls.get(s.wall).map_or(0.0, |w| w.length.feet());
    let all = spots(room, run);
    wall - all.iter().filter(|x| beside(x, s) && x.opening != s.opening).map(|x| x.width).sum::<f64>()
}

/// The room with another ceiling: over every wall as high as this one, so over all of a level ceiling.
fn with_height(room: &Room, run: &Run, units: Units, w: usize, to: Length) -> Room {
    let now = run.walls[w].height;
    let mut walls = run.walls.clone();
    walls.iter_mut().filter(|x| x.height == now).for_each(|x| x.height = to);
    Run::put(room, walls, units)
}

/// The room with a wall as long as said: a bay stays a bay where it can.
fn longer(room: &Room, run: &Run, units: Units, w: usize, to: Length) -> Room {
    sheet::lengthened(room, units, w, to).unwrap_or_else(|| Run::put(room, run.lengthened(w, to), units))
}

/// The room with one of an opening's copies at a place of its own; and the index it has then.
fn placed(room: &Room, o: usize, copy: u32, at: Length) -> (Room, usize) {
    let mut out = room.clone();
    let one = &room.openings[o];
    if one.count <= 1 {
        out.openings[o].from_corner = Some(at);
        return (out, o);
    }
    // The others stay where they are drawn.
    let run = Run::of(room);
    let mut all: Vec<Opening> = Vec::new();
    for s in spots(room, &run).iter().filter(|s| s.opening == o) {
        let from = if s.copy == copy { at } else { sixteenth(s.from) };
        all.push(Opening { count: 1, from_corner: Some(from), ..one.clone() });
    }
    if one.count as usize > all.len() {
        all.push(Opening { count: one.count - all.len() as u32, from_corner: None, ..one.clone() });
    }
    out.openings.splice(o..=o, all);
    (out, o + copy as usize)
}

/// As fine as lengths are printed, no less or no more than said.
fn sixteenth_up(feet: f64) -> Length {
    let step = Length::INCH / 16;
    let near = Length::from_feet(feet).0;
    Length((near + step - 2).div_euclid(step) * step)
}

fn sixteenth_down(feet: f64) -> Length {
    let step = Length::INCH / 16;
    Length((Length::from_feet(feet).0 + 1).div_euclid(step) * step)
}

/// As fine as lengths are printed.
fn sixteenth(feet: f64) -> Length {
    let step = (Length::INCH / 16) as f64;
    Length(libm::round(Length::from_feet(feet).0 as f64 / step) as i64 * (Length::INCH / 16))
}

/// The room with a measure of the drawing typed over.
///
/// # Errors
/// What cannot be, with what can.
pub fn typed(room: &Room, units: Units, of: Dim, to: Length) -> Result<(Room, Option<Part>), String> {
    let run = Run::of(room);
    let more = || "it must be more than nothing; measure it again".to_string();
    let nothing = || "there is nothing to measure any more".to_string();
    let opening = |o: usize, change: &dyn Fn(&mut Opening)| {
        let mut out = room.clone();
        change(out.openings.get_mut(o).ok_or_else(nothing)?);
        Ok((out, None))
    };
    match of {
        Dim::Length(_) | Dim::Height(_) | Dim::Width(..) | Dim::High(..) if to <= Length::ZERO => Err(more()),
        Dim::Length(w) if w < run.walls.len() => Ok((longer(room, &run, units, w, to), None)),
        Dim::Height(w) if w < run.walls.len() => Ok((with_height(room, &run, units, w, to), None)),
        Dim::Length(_) | Dim::Height(_) => Err(nothing()),
        Dim::Width(o, _) => opening(o, &|x| x.width = to),
        Dim::High(o, _) => opening(o, &|x| x.height = to),
        Dim::Sill(o, _) => opening(o, &|x| x.sill = Some(to)),
        Dim::Before(o, copy) | Dim::Behind(o, copy) => {
            let s = spot(room, o, copy).ok_or_else(nothing)?;
            let (least, most) = between(room, &run, &s);
            let at = match of {
                Dim::Before(..) => least + to.feet(),
                _ => most - to.feet() - s.width,
            };
            if at < least - FINE || at + s.width > most + FINE {
                let free = Length::from_feet((most - least - s.width).max(0.0)).print(units.style());
                return Err(format!("there is no room for that; {free} is the most"));
            }
            let (room, o) = placed(room, o, copy, Length::from_feet(at));
            Ok((room, Some(Part::Opening(o, 0))))
        }
        Dim::From(o, copy) => {
            let s = spot(room, o, copy).ok_or_else(nothing)?;
            let wall = run.walls[s.wall].length;
            let most = Length((wall.0 - Length::from_feet(s.width).0).max(0));
            if to > most {
                return Err(format!("it would pass the far corner; {} is the most", most.print(units.style())));
            }
            let there = Spot { from: to.feet(), ..s };
            let over = |x: &Spot| x.from < there.from + s.width - FINE && there.from < x.from + x.width - FINE;
            if let Some(x) = spots(room, &run).iter().find(|x| x.measured && beside(x, &s) && over(x)) {
                let what = super::name(room, Part::Opening(x.opening, x.copy));
                let said = |feet: f64| Length::from_feet(feet).print(units.style());
                let (a, b) = (said(x.from), said(x.from + x.width));
                return Err(format!("{what} stands there, from {a} to {b}"));
            }
            let (room, o) = placed(room, o, copy, to);
            Ok((room, Some(Part::Opening(o, 0))))
        }
    }
}

/// What can be added to a wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum New {
    Opening(OpeningKind),
    Box,
}

impl New {
    pub const ALL: [New; 4] = [
        New::Opening(OpeningKind::Door),
        New::Opening(OpeningKind::Window),
        New::Opening(OpeningKind::Cased),
        New::Box,
    ];

    pub fn word(self) -> &'static str {
        match self {
            New::Opening(kind) => super::word(kind),
            New::Box => "box",
        }
    }
}

/// The room with something of common size more on a wall, and what it is.
pub fn added(room: &Room, units: Units, wall: usize, what: New) -> (Room, Part) {
    let mut out = room.clone();
    let New::Opening(kind) = what else {
        match out.boxes.iter_mut().find(|b| b.wall == wall + 1) {
            Some(b) => b.count += 1,
            None => out.boxes.push(Boxes { wall: wall + 1, count: 1 }),
        }
        return (out, Part::Boxes(wall));
    };
    let size = |inches: (f64, f64), mm: (f64, f64)| match units {
        Units::FeetInches => (Length::from_inches(inches.0), Length::from_inches(inches.1)),
        Units::Metric => (Length::from_mm(mm.0), Length::from_mm(mm.1)),
    };
    let (width, height) = match kind {
        OpeningKind::Door => size((32.0, 80.0), (800.0, 2000.0)),
        OpeningKind::Window => size((36.0, 54.0), (900.0, 1400.0)),
        OpeningKind::Cased => size((48.0, 80.0), (1200.0, 2000.0)),
    };
    let name = String::new();
    let (sill, from_corner, casing) = (None, None, None);
    out.openings.push(Opening { kind, name, wall: wall + 1, width, height, sill, from_corner, casing, count: 1 });
    let at = out.openings.len() - 1;
    (out, Part::Opening(at, 0))
}

/// The room without a part; of several alike one less. A wall stays.
pub fn without(room: &Room, part: Part) -> Option<Room> {
    let mut out = room.clone();
    match part {
        Part::Wall(_) => return None,
        Part::Boxes(w) => {
            let at = out.boxes.iter().position(|b| b.wall == w + 1)?;
            if out.boxes[at].count > 1 {
                out.boxes[at].count -= 1;
            } else {
                out.boxes.remove(at);
            }
        }
        Part::Opening(o, copy) => {
            let x = out.openings.get_mut(o)?;
            if x.count > 1 {
                x.count -= 1;
                // The first of several is the one measured from the corner.
                if copy == 0 {
                    x.from_corner = None;
                }
            } else {
                out.openings.remove(o);
            }
        }
    }
    Some(out)
}
