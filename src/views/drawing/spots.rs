//! Where openings and boxes stand on their walls: as measured, else shared out evenly.
//!
//! Feet from the near corner. What has a measured place stands there; of several alike the
//! first. The rest goes one by one into the widest stretch still free, and is spaced evenly
//! in it.

use super::Run;
use crate::job::{OpeningKind, Room};
use crate::measure::Length;
use crate::takeoff::{CASING, HEAD};

/// One opening on its wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    pub opening: usize,
    /// Which of several alike, from 0.
    pub copy: u32,
    /// Index of the wall.
    pub wall: usize,
    pub kind: OpeningKind,
    /// From the near corner of the wall, feet.
    pub from: f64,
    pub width: f64,
    pub sill: f64,
    pub height: f64,
    pub casing: f64,
    /// Its place was measured.
    pub measured: bool,
}

/// More alike than this are not drawn one by one.
const MOST: u32 = 24;

/// Every opening on a wall there is.
pub fn spots(room: &Room, run: &Run) -> Vec<Spot> {
    let mut out = Vec::new();
    for w in 0..run.walls.len() {
        let mut on: Vec<Spot> = Vec::new();
        for (i, o) in room.openings.iter().enumerate().filter(|(_, o)| o.wall == w + 1) {
            let usual = match o.kind {
                OpeningKind::Window => Length((HEAD.0 - o.height.0).max(0)),
                _ => Length::ZERO,
            };
            for copy in 0..o.count.min(MOST) {
                let from = o.from_corner.filter(|_| copy == 0);
                on.push(Spot {
                    opening: i,
                    copy,
                    wall: w,
                    kind: o.kind,
                    from: from.map_or(0.0, Length::feet),
                    width: o.width.feet(),
                    sill: o.sill.unwrap_or(usual).feet(),
                    height: o.height.feet(),
                    casing: o.casing.unwrap_or(CASING).feet(),
                    measured: from.is_some(),
                });
            }
        }
        let taken: Vec<(f64, f64)> = on.iter().filter(|s| s.measured).map(|s| (s.from, s.width)).collect();
        let free: Vec<f64> = on.iter().filter(|s| !s.measured).map(|s| s.width).collect();
        let placed = shared(run.walls[w].length.feet(), &taken, &free);
        on.iter_mut().filter(|s| !s.measured).zip(placed).for_each(|(s, at)| s.from = at);
        out.extend(on);
    }
    out
}

/// Where boxes on a wall stand: between its openings.
pub fn boxes(length: f64, taken: &[(f64, f64)], count: u32, width: f64) -> Vec<f64> {
    shared(length, taken, &vec![width; count.min(MOST) as usize])
}

/// Places for things of these widths on a stretch of which some is taken, in their order.
fn shared(length: f64, taken: &[(f64, f64)], widths: &[f64]) -> Vec<f64> {
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

    #[test]
    fn what_has_no_place_is_shared_out_evenly() {
        assert_eq!(shared(13.0, &[], &[3.0]), [5.0]);
        assert_eq!(
            shared(13.0, &[], &[3.0, 3.0]).iter().map(|x| (x * 100.0).round()).collect::<Vec<_>>(),
            [233.0, 767.0]
        );
        // A door at the near corner: the window goes where there is room.
        assert_eq!(shared(12.0, &[(0.0, 3.0)], &[3.0]), [6.0]);
        // A door in the middle: one on each side of it.
        assert_eq!(shared(12.0, &[(5.0, 2.0)], &[1.0, 1.0]), [2.0, 9.0]);
        // More than the wall holds is drawn one behind the other.
        assert_eq!(shared(4.0, &[], &[3.0, 3.0]), [0.0, 3.0]);
    }
}
