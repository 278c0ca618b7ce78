//! When a coat reaches a stage, in the air of its place, damped by skim coats beside it.

use super::{DAMP, Net, PAR, World, stage_ix};
use crate::clock::{Clock, DAY, UNIT};
use crate::trade::Stage;

/// No coat is followed further than this, days.
const FAR: i64 = 400;

/// The instant at which the coat of `step`, finished at `from`, reaches `stage`. `damps` are
/// the ends of the other skim coats in its air. `None`: it never does.
pub fn ready_at(net: &Net, w: &mut impl World, step: usize, stage: Stage, from: i64, damps: &[i64]) -> Option<i64> {
    let x = net.stage_min[step][stage_ix(stage)];
    let s = &net.graph.steps[step];
    let (Some(coat), Some(place)) = (s.coat, s.place) else { return Some(from) };
    let clocks = net.set.dry(coat.product, place)?;
    let dry = clocks.of(stage);
    let left = x * UNIT;
    let touched = damps.iter().any(|&d| d + DAMP > from);
    if !touched && w.drying(step, from.div_euclid(DAY)).is_none() {
        return dry.reach(from, left).ok();
    }
    if !touched {
        return undamped(w, step, dry, from, left);
    }
    let damp = clocks.damp(stage);
    // Progress still to be made, in millionths of the clocks' own unit.
    let mut left = i128::from(left) * i128::from(PAR);
    let mut t = from;
    while t < from + FAR * DAY {
        let day = t.div_euclid(DAY);
        let mut to = (day + 1) * DAY;
        let mut is_damp = false;
        for &d in damps {
            if d <= t && t < d + DAMP {
                is_damp = true;
                to = to.min(d + DAMP);
            } else if d > t {
                to = to.min(d);
            }
        }
        let clock = if is_damp { damp } else { dry };
        let f = i128::from(w.drying(step, day).unwrap_or(PAR));
        let p = i128::from(clock.progress(t, to)) * f;
        if p >= left {
            let need = (left + f - 1) / f;
            return clock.reach(t, need as i64).ok().map(|u| u.min(to));
        }
        left -= p;
        t = to;
    }
    None
}

/// The same by one clock, day by day of varying speed: from midnight to midnight its progress
/// is known.
fn undamped(w: &mut impl World, step: usize, dry: &Clock, from: i64, left: i64) -> Option<i64> {
    let mut left = i128::from(left) * i128::from(PAR);
    let mut at = dry.at(from);
    let first = from.div_euclid(DAY);
    for day in first..(from + FAR * DAY + DAY - 1).div_euclid(DAY) {
        let midnight = dry.at_midnight(day + 1);
        let f = i128::from(w.drying(step, day).unwrap_or(PAR));
        let p = i128::from(midnight - at) * f;
        if p >= left {
            let need = (left + f - 1) / f;
            return dry.first_at(at + need as i64).ok().map(|u| u.min((day + 1) * DAY));
        }
        left -= p;
        at = midnight;
    }
    None
}
