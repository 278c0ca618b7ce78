//! A rectangle with bays, alcoves and chimney breasts as a run of walls, and back.
//!
//! Side 1 is the length, then clockwise. A side cut by a feature falls into pieces called
//! `1a`, `1b` and on, clockwise. What is exact in the measures stays exact; the slanted sides
//! of a bay are rounded to the unit, so that the run closes within a few units of 25 nm.

use super::draft::{Face, FeatureKind};
use crate::job::{Size, Wall};
use crate::measure::Length;

/// A break in a straight side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Feature {
    pub kind: FeatureKind,
    /// 1 to 4.
    pub side: usize,
    pub width: Length,
    pub depth: Length,
    /// From the side's near corner; in the middle where not said.
    pub from: Option<Length>,
    /// Of its sides to the wall, degrees; 90 but for bays.
    pub angle: f64,
    /// Length of a slanted side where that was measured and not the depth; the depth is then what it gives.
    pub slanted: Option<Length>,
}

/// A wall of the run, what side it is of, and of which feature which face.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Piece {
    pub length: i64,
    pub turn: f64,
    pub side: usize,
    pub of: Option<(usize, Face)>,
}

impl Feature {
    /// Where it begins on its side.
    pub fn start(&self, side: Length) -> Length {
        self.from.unwrap_or(Length((side.0 - self.width.0) / 2))
    }
    /// What one slanted side takes of the width, and its own length.
    fn slant(&self) -> (i64, i64) {
        if self.angle >= 90.0 {
            return (0, self.depth.0);
        }
        let a = self.angle.to_radians();
        if let Some(side) = self.slanted {
            return (libm::round(side.0 as f64 * libm::cos(a)) as i64, side.0);
        }
        let d = self.depth.0 as f64;
        let across =
            if self.angle == 45.0 { self.depth.0 } else { libm::round(d * libm::cos(a) / libm::sin(a)) as i64 };
        (across, libm::round(d / libm::sin(a)) as i64)
    }
    /// With a side and a front so long; its depth and its width are what they give.
    pub fn by_walls(mut self, side: Length, front: Length) -> Feature {
        if self.angle >= 90.0 {
            (self.depth, self.width, self.slanted) = (side, front, None);
            return self;
        }
        self.slanted = Some(side);
        self.depth = Length(libm::round(side.0 as f64 * libm::sin(self.angle.to_radians())) as i64);
        self.width = Length(front.0 + 2 * self.slant().0);
        self
    }
    /// Its slanted side and its front: what a tape gives.
    pub fn by_tape(&self) -> (Length, Length) {
        (Length(self.slant().1), self.front())
    }
    /// Width of its front.
    pub fn front(&self) -> Length {
        Length(self.width.0 - 2 * self.slant().0)
    }
}

/// Lengths of the four sides.
pub(super) fn sides(size: &Size) -> [Length; 4] {
    [size.length, size.width, size.length, size.width]
}

/// The pieces of the run; features must lie within their sides and apart.
pub(super) fn pieces(size: &Size, features: &[Feature]) -> Vec<Piece> {
    let mut out: Vec<Piece> = Vec::new();
    for (s, length) in sides(size).into_iter().enumerate() {
        let side = s + 1;
        let mut on: Vec<(usize, &Feature)> = features.iter().enumerate().filter(|f| f.1.side == side).collect();
        on.sort_by_key(|f| (f.1.start(length), f.0));
        let mut at = 0;
        for (k, f) in on {
            let sign = if f.kind == FeatureKind::Breast { 1.0 } else { -1.0 };
            let (across, slanted) = f.slant();
            let start = f.start(length).0;
            let mut put = |length, turn, of| out.push(Piece { length, turn, side, of });
            put(start - at, sign * f.angle, None);
            put(slanted, -sign * f.angle, Some((k, Face::Near)));
            put(f.width.0 - 2 * across, -sign * f.angle, Some((k, Face::Front)));
            put(slanted, sign * f.angle, Some((k, Face::Far)));
            at = start + f.width.0;
        }
        out.push(Piece { length: length.0 - at, turn: 90.0, side, of: None });
    }
    joined(out)
}

/// Takes out walls of no length, and makes one of two that go straight on or straight back,
/// as where an alcove or a breast stands in a corner.
fn joined(mut list: Vec<Piece>) -> Vec<Piece> {
    let all = list.len();
    let mut i = 0;
    while i < list.len() && list.len() > 3 {
        let before = (i + list.len() - 1) % list.len();
        let here = list[i].clone();
        let prev = &mut list[before];
        if here.length == 0 {
            prev.turn += here.turn;
        } else if prev.turn.abs() < 1e-9 && prev.of.is_some() && here.of.is_none() {
            // The face goes on as the next side, and belongs to that.
            list[i].length += prev.length;
            list.remove(before);
            i = i.saturating_sub(1);
            continue;
        } else if prev.turn.abs() < 1e-9 {
            prev.length += here.length;
            prev.turn = here.turn;
        } else if (prev.turn.abs() - 180.0).abs() < 1e-9 && prev.length != here.length {
            if prev.length > here.length {
                prev.length -= here.length;
                prev.turn = here.turn + if here.turn < 0.0 { 180.0 } else { -180.0 };
            } else {
                list[i].length -= prev.length;
                let first = (before + list.len() - 1) % list.len();
                list[first].turn += if list[first].turn < 0.0 { 180.0 } else { -180.0 };
                list.remove(before);
                i = i.saturating_sub(1);
                continue;
            }
        } else {
            i += 1;
            continue;
        }
        list.remove(i);
        i = i.saturating_sub(1);
    }
    // What was joined at the end may go on at the begin.
    if list.len() < all { joined(list) } else { list }
}

/// What each wall is called: its side, lettered where the side is in pieces.
pub(super) fn names(list: &[Piece]) -> Vec<String> {
    let mut out = Vec::new();
    for (i, p) in list.iter().enumerate() {
        let on = list.iter().filter(|q| q.side == p.side).count();
        let before = list[..i].iter().filter(|q| q.side == p.side).count();
        let letter = if on > 1 { char::from(b'a' + before.min(25) as u8).to_string() } else { String::new() };
        out.push(format!("{}{letter}", p.side));
    }
    out
}

/// The run of walls, named.
pub(super) fn walls(size: &Size, features: &[Feature]) -> Vec<Wall> {
    let list = pieces(size, features);
    let names = names(&list);
    let wall = |(p, name): (&Piece, String)| Wall { name, length: Length(p.length), height: size.height, turn: p.turn };
    list.iter().zip(names).map(wall).collect()
}

/// The rectangle and its features that give exactly these walls, names and all.
pub(super) fn recognised(list: &[Wall]) -> Option<(Size, Vec<Feature>)> {
    let side_of = |w: &Wall| w.name.chars().next().and_then(|c| c.to_digit(10)).map(|d| d as usize);
    let height = list.first()?.height;
    let mut rest = list;
    let mut on: [&[Wall]; 4] = [&[]; 4];
    for (s, of) in on.iter_mut().enumerate() {
        let n = rest.iter().take_while(|w| side_of(w) == Some(s + 1)).count();
        (*of, rest) = rest.split_at(n);
    }
    if !rest.is_empty() || on.iter().any(|of| of.is_empty()) {
        return None;
    }
    // A side with three pieces, or four more, has a feature in one of its corners.
    (0..16).find_map(|ends: usize| {
        let mut lengths = [0i64; 4];
        let mut features = Vec::new();
        for s in 0..4 {
            let end = ends >> s & 1 == 1;
            match on[s].len() % 4 {
                1 if !end => lengths[s] += side(s + 1, 0, on[s], &mut features)?,
                3 => corner(s, end, on[s], &mut lengths, &mut features)?,
                _ => return None,
            }
        }
        let size = Size { length: Length(lengths[0]), width: Length(lengths[1]), height };
        for f in &mut features {
            let middle = Feature { from: None, ..*f };
            if Some(middle.start(Length(lengths[f.side - 1]))) == f.from {
                *f = middle;
            }
        }
        let fits = features.iter().all(|f| f.width > Length::ZERO && f.depth > Length::ZERO);
        (fits && walls(&size, &features) == list).then_some((size, features))
    })
}

/// Reads wall, feature, wall and on, from `at` along the side; where it ends.
fn side(number: usize, mut at: i64, list: &[Wall], out: &mut Vec<Feature>) -> Option<i64> {
    let mut i = 0;
    loop {
        at += list.get(i)?.length.0;
        if i + 1 == list.len() {
            return Some(at);
        }
        let f = feature(number, at, list[i].turn, list.get(i + 1..i + 4)?)?;
        at += f.width.0;
        i += 4;
        out.push(f);
    }
}

/// A side whose first or last feature stands in its corner: one face of that has become a
/// part of the next side, longer by an alcove, shorter by a breast.
fn corner(s: usize, end: bool, list: &[Wall], lengths: &mut [i64; 4], out: &mut Vec<Feature>) -> Option<()> {
    let n = list.len();
    let (front, face, rest) =
        if end { (&list[n - 1], &list[n - 2], &list[..n - 2]) } else { (&list[0], &list[1], &list[2..]) };
    let turn = if end { face.turn } else { front.turn };
    let kind = if turn > 0.0 { FeatureKind::Alcove } else { FeatureKind::Breast };
    let (width, depth) = (front.length, face.length);
    let mut on = Vec::new();
    let at = side(s + 1, if end { 0 } else { width.0 }, rest, &mut on)?;
    let made = Feature {
        kind,
        side: s + 1,
        width,
        depth,
        from: Some(Length(if end { at } else { 0 })),
        angle: 90.0,
        slanted: None,
    };
    lengths[s] += if end { at + width.0 } else { at };
    let more = if kind == FeatureKind::Alcove { depth.0 } else { -depth.0 };
    lengths[if end { (s + 1) % 4 } else { (s + 3) % 4 }] -= more;
    out.extend(on);
    out.push(made);
    Some(())
}

/// The feature that begins at `at` behind a wall that turns so, from its three faces.
fn feature(side: usize, at: i64, turn: f64, faces: &[Wall]) -> Option<Feature> {
    let (angle, slanted) = (turn.abs(), faces[0].length.0);
    if !(15.0..=90.0).contains(&angle) {
        return None;
    }
    let kind = match (turn > 0.0, angle == 90.0) {
        (true, _) => FeatureKind::Breast,
        (false, true) => FeatureKind::Alcove,
        (false, false) => FeatureKind::Bay,
    };
    let near = libm::round(slanted as f64 * libm::sin(angle.to_radians())) as i64;
    let (width, depth, from) = (Length::ZERO, Length::ZERO, Some(Length(at)));
    let plain = Feature { kind, side, width, depth, from, angle, slanted: None };
    let deep = (near - 2..=near + 2).find_map(|depth| {
        let mut f = Feature { depth: Length(depth), ..plain };
        let (across, length) = f.slant();
        f.width = Length(faces[1].length.0 + 2 * across);
        (length == slanted).then_some(f)
    });
    // No depth gives just this side: the side itself was measured.
    deep.or_else(|| (angle < 90.0).then(|| plain.by_walls(Length(slanted), faces[1].length)))
}

/// Whether two walls of a run that are no neighbours meet: first such pair.
pub(super) fn crossing(list: &[Wall]) -> Option<(usize, usize)> {
    let mut points = vec![(0.0f64, 0.0f64)];
    let mut heading = 0.0f64;
    for w in list {
        let (x, y) = points[points.len() - 1];
        let a = heading.to_radians();
        points.push((x + w.length.feet() * libm::cos(a), y + w.length.feet() * libm::sin(a)));
        heading += w.turn;
    }
    let n = list.len();
    let side = |a: (f64, f64), b: (f64, f64), c: (f64, f64)| {
        let v = (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0);
        if v.abs() < 1e-6 { 0.0 } else { v.signum() }
    };
    for i in 0..n {
        for j in i + 2..n {
            if i == 0 && j == n - 1 {
                continue;
            }
            let (a, b, c, d) = (points[i], points[i + 1], points[j], points[j + 1]);
            if side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0 {
                return Some((i, j));
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Room;
    use crate::takeoff::Outline;

    fn ft(x: f64) -> Length {
        Length::from_feet(x)
    }

    fn size() -> Size {
        Size { length: ft(13.0), width: ft(11.5), height: ft(8.0) }
    }

    fn one(kind: FeatureKind, side: usize, w: f64, d: f64, from: Option<f64>, angle: f64) -> Feature {
        Feature { kind, side, width: ft(w), depth: ft(d), from: from.map(ft), angle, slanted: None }
    }

    /// Walls as lengths in feet and turns; area.
    fn told(features: &[Feature]) -> (String, f64) {
        let walls = walls(&size(), features);
        let mut p = Vec::new();
        let o = Outline::of(&Room { walls: walls.clone(), ..Room::default() }, "r", &mut p);
        assert!(p.is_empty(), "{p:?}");
        let text: Vec<String> = walls.iter().map(|w| format!("{} {:.2} {}", w.name, w.length.feet(), w.turn)).collect();
        (text.join(", "), o.area)
    }

    #[test]
    fn a_bay_goes_out_at_45_degrees() {
        let (text, area) = told(&[one(FeatureKind::Bay, 1, 6.0, 2.0, None, 45.0)]);
        let want = "1a 3.50 -45, 1b 2.83 45, 1c 2.00 45, 1d 2.83 -45, 1e 3.50 90, 2 11.50 90, 3 13.00 90, 4 11.50 90";
        assert_eq!(text, want);
        // The trapezium of the bay: (6 + 2) / 2 x 2.
        assert!((area - (149.5 + 8.0)).abs() < 1e-6, "{area}");
    }

    #[test]
    fn a_breast_comes_in_and_an_alcove_goes_out() {
        let breast = one(FeatureKind::Breast, 2, 5.0, 1.5, Some(3.0), 90.0);
        let alcove = one(FeatureKind::Alcove, 3, 4.0, 1.25, Some(1.0), 90.0);
        let (text, area) = told(&[breast, alcove]);
        assert!(text.contains("2a 3.00 90, 2b 1.50 -90, 2c 5.00 -90, 2d 1.50 90, 2e 3.50 90"), "{text}");
        assert!(text.contains("3a 1.00 -90, 3b 1.25 90, 3c 4.00 90, 3d 1.25 -90, 3e 8.00 90"), "{text}");
        assert!((area - (149.5 - 7.5 + 5.0)).abs() < 1e-6, "{area}");
    }

    #[test]
    fn in_a_corner_there_is_a_wall_less() {
        let (text, area) = told(&[one(FeatureKind::Alcove, 3, 4.0, 1.0, Some(0.0), 90.0)]);
        assert_eq!(text, "1 13.00 90, 2 12.50 90, 3a 4.00 90, 3b 1.00 -90, 3c 9.00 90, 4 11.50 90");
        assert!((area - 153.5).abs() < 1e-6);
        let (text, area) = told(&[one(FeatureKind::Breast, 3, 4.0, 1.0, Some(9.0), 90.0)]);
        assert_eq!(text, "1 13.00 90, 2 11.50 90, 3a 9.00 90, 3b 1.00 -90, 3c 4.00 90, 4 10.50 90");
        assert!((area - 145.5).abs() < 1e-6);
        let (_, area) = told(&[one(FeatureKind::Alcove, 1, 4.0, 1.0, Some(0.0), 90.0)]);
        assert!((area - 153.5).abs() < 1e-6);
        let (_, area) = told(&[one(FeatureKind::Breast, 1, 4.0, 1.0, Some(0.0), 90.0)]);
        assert!((area - 145.5).abs() < 1e-6);
    }

    #[test]
    fn the_rectangle_is_found_again() {
        for list in [
            vec![one(FeatureKind::Bay, 1, 6.0, 2.0, None, 45.0)],
            vec![
                one(FeatureKind::Bay, 4, 7.0, 1.9, Some(2.0), 30.0),
                one(FeatureKind::Alcove, 2, 4.0, 1.2, None, 90.0),
            ],
            vec![
                one(FeatureKind::Alcove, 3, 2.0, 1.0, Some(1.0), 90.0),
                one(FeatureKind::Breast, 3, 3.0, 1.0, Some(6.0), 90.0),
            ],
        ] {
            let (s, mut f) = recognised(&walls(&size(), &list)).expect("found");
            f.sort_by_key(|x| list.iter().position(|y| y.side == x.side && y.kind == x.kind));
            assert_eq!((s, f), (size(), list));
        }
        // In a corner, where what is an alcove of one rectangle may be a breast of another.
        for kind in [FeatureKind::Alcove, FeatureKind::Breast] {
            for (number, width) in [(1, 13.0), (2, 11.5), (3, 13.0), (4, 11.5)] {
                for from in [0.0, width - 4.0] {
                    let list = walls(&size(), &[one(kind, number, 4.0, 1.0, Some(from), 90.0)]);
                    let (s, f) =
                        recognised(&list).unwrap_or_else(|| panic!("{kind:?} on {number} at {from}: {list:?}"));
                    assert_eq!(walls(&s, &f), list);
                }
            }
        }
        let mut other = walls(&size(), &[one(FeatureKind::Bay, 1, 6.0, 2.0, None, 45.0)]);
        other[2].length = ft(2.5);
        assert_eq!(recognised(&other), None);
    }

    #[test]
    fn walls_that_cross_are_found() {
        let wall = |l: f64, turn| Wall { name: String::new(), length: ft(l), height: ft(8.0), turn };
        let fine = [wall(12.0, 90.0), wall(9.0, 90.0), wall(12.0, 90.0), wall(9.0, 90.0)];
        assert_eq!(crossing(&fine), None);
        let far = walls(&size(), &[one(FeatureKind::Breast, 2, 5.0, 14.0, Some(3.0), 90.0)]);
        assert!(crossing(&far).is_some());
    }
}
