//! A measure changed on the drawing of a rectangle with bays, alcoves and breasts: it stays one.
//!
//! The front of a feature is its width, a side of it its depth; a piece of wall before a feature moves it along, the
//! last piece of a side makes the side longer. Lengths made here are whole 1/64 in or millimetres.

use super::draft::Face;
use super::shape::{self, Feature};
use crate::job::{Room, Size, Units, Wall};
use crate::measure::Length;

/// To a length the line can write: 1/64 in, or 1 mm.
pub fn writable(l: Length, units: Units) -> Length {
    let step = match units {
        Units::FeetInches => Length::INCH / 64,
        Units::Metric => Length::MM,
    };
    if l.0 % (Length::INCH / 64) == 0 || l.0 % Length::MM == 0 {
        return l;
    }
    Length(libm::round(l.0 as f64 / step as f64) as i64 * step)
}

/// Size, features, and the feature and face a wall belongs to.
type Shaped = (Size, Vec<Feature>, Option<(usize, Face)>);

/// What of the room a wall (index) is: its size, features, the feature and face.
fn found(room: &Room, wall: usize) -> Option<Shaped> {
    let (size, features) = shape::recognised(&room.walls)?;
    let of = shape::pieces(&size, &features).get(wall)?.of;
    Some((size, features, of))
}

/// The room of these, where no wall is lost and none crosses another.
fn made(room: &Room, size: &Size, features: &[Feature]) -> Option<Room> {
    let walls = shape::walls(size, features);
    let fits = |f: &Feature| {
        let side = shape::sides(size)[f.side - 1];
        let start = f.start(side);
        let deep = f.depth > Length::ZERO && f.front() > Length::ZERO;
        deep && start >= Length::ZERO && start.0 + f.width.0 <= side.0
    };
    let whole = walls.len() == room.walls.len() && walls.iter().all(|w| w.length > Length::ZERO);
    let sound = features.iter().all(fits) && whole && shape::crossing(&walls).is_none();
    sound.then(|| Room { walls, ..room.clone() })
}

/// The room with a wall (index) as long as said, still a rectangle with its features; nothing where it is none, or
/// would be none any more.
pub fn lengthened(room: &Room, units: Units, wall: usize, to: Length) -> Option<Room> {
    let (mut size, mut features, of) = found(room, wall)?;
    if let Some((k, face)) = of {
        let f = features.get_mut(k)?;
        match face {
            _ if f.slanted.is_some() => {
                let (side, front) = f.by_tape();
                *f = if face == Face::Front { f.by_walls(side, to) } else { f.by_walls(to, front) };
            }
            Face::Front => f.width = writable(Length(f.width.0 - f.front().0 + to.0), units),
            _ if f.angle >= 90.0 => f.depth = to,
            _ => {
                let deep = to.0 as f64 * libm::sin(f.angle.to_radians());
                f.depth = writable(Length(libm::round(deep) as i64), units);
            }
        }
        return made(room, &size, &features);
    }
    let list = shape::pieces(&size, &features);
    let (side, more) = (list[wall].side, to.0 - list[wall].length);
    let behind = list.get(wall + 1).filter(|p| p.side == side).and_then(|p| p.of);
    match behind {
        // What stands behind it on the side moves along with it.
        Some((k, _)) => {
            let along = shape::sides(&size)[side - 1];
            let first = features.get(k)?.start(along);
            for f in features.iter_mut().filter(|f| f.side == side) {
                let start = f.start(along);
                f.from = Some(if start == first { Length(start.0 + more) } else { start });
            }
        }
        None if side % 2 == 1 => size.length = Length(size.length.0 + more),
        None => size.width = Length(size.width.0 + more),
    }
    made(room, &size, &features)
}

/// The room with a wall (index) moved outwards by so much: the front of a feature, which grows deeper. Nothing for
/// any other wall.
pub fn moved_out(room: &Room, units: Units, wall: usize, by: Length) -> Option<Room> {
    let (size, mut features, of) = found(room, wall)?;
    let (k, Face::Front) = of? else { return None };
    let f = features.get_mut(k)?;
    let deeper = if f.kind == super::draft::FeatureKind::Breast { -by.0 } else { by.0 };
    f.depth = writable(Length(f.depth.0 + deeper), units);
    if f.slanted.take().is_some() {
        f.width = writable(f.width, units);
    }
    made(room, &size, &features)
}

/// Walls no rectangle with features is made of, their lengths such as a line can write.
pub fn written_out(walls: &mut [Wall], units: Units) {
    if shape::recognised(walls).is_none() {
        walls.iter_mut().for_each(|w| w.length = writable(w.length, units));
    }
}
