//! Where openings and boxes stand on their walls: as measured, else shared out evenly.
//!
//! Feet from the near corner. What has a measured place stands there; of several alike the
//! first. The rest goes one by one into the widest stretch still free, and is spaced evenly
//! in it.

use super::Run;
use crate::job::{OpeningKind, Room};
use crate::measure::Length;
use crate::takeoff::{CASING, HEAD, shared_out};

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
        let placed = shared_out(run.walls[w].length.feet(), &taken, &free);
        on.iter_mut().filter(|s| !s.measured).zip(placed).for_each(|(s, at)| s.from = at);
        out.extend(on);
    }
    out
}

/// Where boxes on a wall stand: between its openings.
pub fn boxes(length: f64, taken: &[(f64, f64)], count: u32, width: f64) -> Vec<f64> {
    shared_out(length, taken, &vec![width; count.min(MOST) as usize])
}
