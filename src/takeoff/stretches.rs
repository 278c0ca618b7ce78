//! Where the pieces of a run lie: from corner or opening to the next; panels wall by wall; openings
//! with their casing.
//!
//! What breaks a run is what breaks it in the take-off. An opening whose place on its wall was not
//! measured is shared out evenly in the widest stretch still free, as it is drawn (common practice,
//! no source). Lengths as measured; it refuses to know profiles and stock.

use super::surface::{BASE, CAP, CROWN, Hole, PANEL_FT, panel_heights};
use super::{Corner, Outline};
use crate::job::{OpeningKind, Part, Room, Surface};
use crate::measure::Length;

/// What a stretch ends at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum End {
    /// An inside corner to the next piece.
    Inside,
    /// An outside corner to the next piece, degrees it turns.
    Outside(f64),
    /// A casing, or where the run ends.
    Plain,
}

/// A piece of a run along one wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// What the wall is called.
    pub wall: String,
    /// Which of several on this wall, from 1; 0 for an only one.
    pub part: usize,
    /// Along the wall.
    pub length: Length,
    pub ends: [End; 2],
}

/// Panels alike on one wall.
#[derive(Clone, Debug, PartialEq)]
pub struct PanelRow {
    pub wall: String,
    pub count: u32,
    pub width: Length,
    pub height: Length,
}

/// An opening with its casing, which may be none.
#[derive(Clone, Debug, PartialEq)]
pub struct Cased {
    pub label: String,
    /// What its wall is called.
    pub wall: String,
    pub kind: OpeningKind,
    pub width: Length,
    pub height: Length,
    pub casing: Length,
    pub count: u32,
}

/// Most openings alike that are placed one by one: as many as a job file holds in one row.
pub const MOST_ALIKE: u32 = 100;

/// Stretches of crown, base or the cap of panels, by the part of the surface; none of another part.
pub fn stretches(room: &Room, s: &Surface) -> Vec<Stretch> {
    let outline = Outline::of(room, "", &mut Vec::new());
    let holes = Hole::all(room, &outline);
    let panel = panel_heights(room, &outline);
    let covered = outline.covered(&s.walls);
    let n = outline.walls.len();
    let mut out = Vec::new();
    for &w in &covered {
        let top = outline.walls[w].height;
        let (lo, hi) = match s.part {
            Part::Crown => (Length(top.0 - CROWN.0), top),
            Part::Base => (Length::ZERO, BASE),
            Part::Panels => (Length(panel[w].0 - CAP.0), panel[w]),
            _ => return Vec::new(),
        };
        let corner = |at: usize, next: usize| match outline.corners[at] {
            Corner::Inside if covered.binary_search(&next).is_ok() && n > 1 => End::Inside,
            Corner::Outside if covered.binary_search(&next).is_ok() => End::Outside(outline.walls[at].turn.abs()),
            _ => End::Plain,
        };
        let ends = [corner((w + n - 1) % n, (w + n - 1) % n), corner(w, (w + 1) % n)];
        let whole = outline.walls[w].length;
        let broken = broken(&holes, w, whole, lo, hi);
        let mut parts: Vec<(Length, Length)> = Vec::new();
        let mut at = Length::ZERO;
        for &(from, to) in &broken {
            parts.push((at, from));
            at = to;
        }
        parts.push((at, whole));
        parts.retain(|p| p.1 > p.0);
        let many = parts.len() > 1;
        for (i, &(from, to)) in parts.iter().enumerate() {
            let first = if from == Length::ZERO { ends[0] } else { End::Plain };
            let last = if to == whole { ends[1] } else { End::Plain };
            out.push(Stretch {
                wall: outline.called(w),
                part: if many { i + 1 } else { 0 },
                length: Length(to.0 - from.0),
                ends: [first, last],
            });
        }
    }
    out
}

/// What of a wall is taken by openings between two heights, casings with them, first to last.
fn broken(holes: &[Hole], wall: usize, whole: Length, lo: Length, hi: Length) -> Vec<(Length, Length)> {
    let on: Vec<(&Hole, u32)> = holes
        .iter()
        .filter(|h| h.wall == wall)
        .flat_map(|h| (0..h.o.count.min(MOST_ALIKE)).map(move |c| (h, c)))
        .collect();
    let measured = |x: &(&Hole, u32)| x.0.o.from_corner.filter(|_| x.1 == 0);
    let taken: Vec<(f64, f64)> = on.iter().filter_map(|x| Some((measured(x)?.feet(), x.0.o.width.feet()))).collect();
    let free: Vec<f64> = on.iter().filter(|x| measured(x).is_none()).map(|x| x.0.o.width.feet()).collect();
    let mut placed = shared_out(whole.feet(), &taken, &free).into_iter();
    let mut out = Vec::new();
    for x in &on {
        let at = measured(x).unwrap_or_else(|| Length::from_feet(placed.next().unwrap_or(0.0)));
        if x.0.within(lo, hi, true) > Length::ZERO {
            let from = (at.0 - x.0.casing.0).clamp(0, whole.0);
            let to = (at.0 + x.0.o.width.0 + x.0.casing.0).clamp(from, whole.0);
            out.push((Length(from), Length(to)));
        }
    }
    out.sort();
    // Casings that touch are one break.
    let mut merged: Vec<(Length, Length)> = Vec::new();
    for (from, to) in out {
        match merged.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => merged.push((from, to)),
        }
    }
    merged
}

/// Panels of a surface of panels, wall by wall, in width as the take-off counts them.
pub fn panel_rows(room: &Room, s: &Surface) -> Vec<PanelRow> {
    if s.part != Part::Panels {
        return Vec::new();
    }
    let outline = Outline::of(room, "", &mut Vec::new());
    let holes = Hole::all(room, &outline);
    let heights = panel_heights(room, &outline);
    let mut rows = Vec::new();
    for w in outline.covered(&s.walls) {
        let doors: i64 = holes
            .iter()
            .filter(|h| h.wall == w && h.sill < BASE)
            .map(|h| i64::from(h.o.count) * (h.o.width.0 + 2 * h.casing.0))
            .sum();
        let left = Length((outline.walls[w].length.0 - doors).max(0));
        let count = libm::ceil(left.feet() / PANEL_FT - 1e-9) as u32;
        if count > 0 {
            let width = Length(left.0 / i64::from(count));
            rows.push(PanelRow { wall: outline.called(w), count, width, height: heights[w] });
        }
    }
    if let Some(n) = s.panels {
        // Their number was said: all alike, over all walls.
        let all: i64 = rows.iter().map(|r| r.width.0 * i64::from(r.count)).sum();
        let height = rows.iter().map(|r| r.height).max().unwrap_or(Length::ZERO);
        rows.clear();
        if n > 0 {
            rows.push(PanelRow { wall: String::new(), count: n, width: Length(all / i64::from(n)), height });
        }
    }
    rows
}

/// Openings on the walls a surface covers.
pub fn cased(room: &Room, s: &Surface) -> Vec<Cased> {
    let outline = Outline::of(room, "", &mut Vec::new());
    let covered = outline.covered(&s.walls);
    let holes = Hole::all(room, &outline);
    let mine = holes.iter().filter(|h| covered.binary_search(&h.wall).is_ok());
    mine.map(|h| Cased {
        label: h.label.clone(),
        wall: outline.called(h.wall),
        kind: h.o.kind,
        width: h.o.width,
        height: h.o.height,
        casing: h.casing,
        count: h.o.count,
    })
    .collect()
}

/// Places for things of these widths on a stretch of which some is taken, in their order, feet.
pub fn shared_out(length: f64, taken: &[(f64, f64)], widths: &[f64]) -> Vec<f64> {
    let mut taken = taken.to_vec();
    taken.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut free = Vec::new();
    let mut at = 0.0f64;
    for (from, wide) in taken {
        free.push((at, from.clamp(at, length.max(at))));
        at = at.max(from + wide);
    }
    free.push((at, length.max(at)));
    // How many go into each stretch: one by one where most is left between.
    let mut into: Vec<Vec<usize>> = vec![Vec::new(); free.len()];
    for i in 0..widths.len() {
        let between = |k: usize| {
            let used: f64 = into[k].iter().map(|&j| widths[j]).sum();
            (free[k].1 - free[k].0 - used - widths[i]) / (into[k].len() + 2) as f64
        };
        let best = (0..free.len()).fold(0, |b, k| if between(k) > between(b) + 1e-9 { k } else { b });
        into[best].push(i);
    }
    let mut out = vec![0.0; widths.len()];
    for (k, on) in into.iter().enumerate() {
        let used: f64 = on.iter().map(|&j| widths[j]).sum();
        let gap = ((free[k].1 - free[k].0 - used) / (on.len() + 1) as f64).max(0.0);
        let mut at = free[k].0 + gap;
        for &j in on {
            out[j] = at;
            at += widths[j] + gap;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Opening, Size, Wall};

    fn inch(x: f64) -> Length {
        Length::from_inches(x)
    }

    fn room() -> Room {
        let door = Opening {
            kind: OpeningKind::Door,
            name: String::new(),
            wall: 1,
            width: inch(28.0),
            height: inch(80.0),
            sill: None,
            from_corner: Some(inch(10.0)),
            casing: None,
            count: 1,
        };
        Room {
            id: "r".into(),
            size: Some(Size { length: inch(60.0), width: inch(54.0), height: inch(96.0) }),
            openings: vec![door],
            ..Room::default()
        }
    }

    fn part(part: Part) -> Surface {
        Surface { part, height: Some(inch(36.0)), ..Surface::default() }
    }

    #[test]
    fn a_door_makes_two_pieces_of_its_wall() {
        // 60 in of wall, the door 10 in from the corner, 28 wide, casing 3-1/2 in: 6-1/2 and 18-1/2.
        let got = stretches(&room(), &part(Part::Base));
        let lengths: Vec<f64> = got.iter().map(|s| s.length.inches()).collect();
        assert_eq!(lengths, [6.5, 18.5, 54.0, 60.0, 54.0]);
        assert_eq!((got[0].ends, got[1].ends), ([End::Inside, End::Plain], [End::Plain, End::Inside]));
        assert_eq!((got[0].part, got[1].part, got[2].part), (1, 2, 0));
        // The crown runs over the door; 96 in of wall, 80 and its casing end below.
        assert_eq!(stretches(&room(), &part(Part::Crown)).len(), 4);
        assert!(stretches(&room(), &part(Part::Walls)).is_empty());
    }

    #[test]
    fn pieces_sum_to_the_run_of_the_take_off() {
        let mut r = room();
        r.openings[0].from_corner = None;
        r.surfaces = vec![part(Part::Base), part(Part::Crown), part(Part::Panels)];
        let job = crate::job::Job { rooms: vec![r.clone()], ..crate::job::Job::default() };
        let off = super::super::room(&job, 0, &mut Vec::new());
        for (i, id) in ["base_run", "crown_run", "cap_run"].iter().enumerate() {
            let sum: f64 = stretches(&r, &r.surfaces[i]).iter().map(|s| s.length.feet()).sum();
            let run = off.of_surface(i, id).expect("a run").value;
            assert!((sum - run).abs() < 1e-6, "{id}: {sum} and {run}");
        }
    }

    #[test]
    fn an_outside_corner_is_known_by_its_turn() {
        let wall = |l: f64, turn: f64| Wall { name: String::new(), length: inch(l), height: inch(96.0), turn };
        let walls = vec![
            wall(120.0, 90.0),
            wall(60.0, 90.0),
            wall(60.0, -90.0),
            wall(60.0, 90.0),
            wall(60.0, 90.0),
            wall(120.0, 90.0),
        ];
        let r = Room { walls, ..Room::default() };
        let got = stretches(&r, &part(Part::Base));
        assert_eq!((got[2].ends, got[3].ends), ([End::Inside, End::Outside(90.0)], [End::Outside(90.0), End::Inside]));
        // Where the wall behind the corner has no base, the piece ends plainly.
        let some = Surface { walls: vec![3], ..part(Part::Base) };
        assert_eq!(stretches(&r, &some)[0].ends, [End::Plain, End::Plain]);
    }

    #[test]
    fn panels_share_their_wall() {
        // 60 - 35 = 25 in: one panel; 54 in: two of 27; 60 in: two of 30.
        let rows = panel_rows(&room(), &part(Part::Panels));
        let got: Vec<(u32, f64)> = rows.iter().map(|r| (r.count, r.width.inches())).collect();
        assert_eq!(got, [(1, 25.0), (2, 27.0), (2, 30.0), (2, 27.0)]);
        let said = Surface { panels: Some(4), ..part(Part::Panels) };
        assert_eq!(panel_rows(&room(), &said)[0].width.inches(), (25.0 + 54.0 + 60.0 + 54.0) / 4.0);
    }

    #[test]
    fn what_has_no_place_is_shared_out_evenly() {
        assert_eq!(shared_out(13.0, &[], &[3.0]), [5.0]);
        let two = shared_out(13.0, &[], &[3.0, 3.0]);
        assert_eq!(two.iter().map(|x| (x * 100.0).round()).collect::<Vec<_>>(), [233.0, 767.0]);
        // A door at the near corner: the window goes where there is room.
        assert_eq!(shared_out(12.0, &[(0.0, 3.0)], &[3.0]), [6.0]);
        // A door in the middle: one on each side of it.
        assert_eq!(shared_out(12.0, &[(5.0, 2.0)], &[1.0, 1.0]), [2.0, 9.0]);
        // More than the wall holds is drawn one behind the other.
        assert_eq!(shared_out(4.0, &[], &[3.0, 3.0]), [0.0, 3.0]);
    }
}
