//! Recounts working and drying minutes from the raw tables: the stretches of each day's
//! shift and the two airs of each place. Nothing here uses a compiled clock, so that it can
//! judge those who do.
//!
//! Minutes are instants from midnight of the job's first day; drying progress is in
//! micro-minutes of the product's reference air.

use crate::clock::{DAY, DayShift, UNIT, skim_damp};
use crate::schedule::{DAMP, LONG_PAUSE, Setting, Spot};
use crate::trade::{Product, Stage};

/// A half-open stretch of minutes.
pub(super) type Span = (i64, i64);

/// Where people work: the place and whether noise hours bind.
#[derive(Clone, Copy)]
pub(super) struct Where {
    pub place: Option<usize>,
    pub noisy: bool,
}

/// The hours of a day in which all of `people` are on shift.
pub(super) fn day_together(setting: &Setting, people: &[usize], at: Where, day: i64) -> DayShift {
    people.iter().map(|&w| setting.hours(w, at.place, at.noisy, day)).reduce(|a, b| a.and(&b)).unwrap_or(DayShift::OFF)
}

/// The stretches of `from..to` in which all of `people` are on shift.
pub(super) fn together(setting: &Setting, people: &[usize], at: Where, from: i64, to: i64) -> Vec<Span> {
    let mut out: Vec<Span> = Vec::new();
    for day in from.div_euclid(DAY)..=(to - 1).max(from).div_euclid(DAY) {
        for &(a, b) in day_together(setting, people, at, day).stretches() {
            let (a, b) = ((day * DAY + i64::from(a)).max(from), (day * DAY + i64::from(b)).min(to));
            if b > a {
                match out.last_mut() {
                    Some(last) if last.1 == a => last.1 = b,
                    _ => out.push((a, b)),
                }
            }
        }
    }
    out
}

/// Minutes all of `people` are on shift from `from` until off-time longer than
/// [`LONG_PAUSE`], counted no further than `enough`; 0 when `from` is not worked.
pub(super) fn left_before_pause(setting: &Setting, people: &[usize], at: Where, from: i64, enough: i64) -> i64 {
    let (mut sum, mut last) = (0, from);
    for day in from.div_euclid(DAY).. {
        for &(a, b) in day_together(setting, people, at, day).stretches() {
            let (a, b) = ((day * DAY + i64::from(a)).max(from), day * DAY + i64::from(b));
            if b <= from {
                continue;
            }
            if a - last > LONG_PAUSE || (sum == 0 && a > from) {
                return sum;
            }
            sum += b - a;
            last = b;
            if sum >= enough {
                return sum;
            }
        }
        if (day + 1) * DAY - last > LONG_PAUSE {
            return sum;
        }
    }
    sum
}

/// A coat drying in a place, its air damped during `damp` (sorted or not, may overlap).
pub(super) struct Drying<'a> {
    pub product: &'a Product,
    pub spot: &'a Spot,
    pub first_weekday: i64,
    pub damp: &'a [Span],
}

impl Drying<'_> {
    /// Speed in the minute beginning at `t` and the first minute after it at which the air
    /// may change.
    fn speed(&self, stage: Stage, t: i64) -> (i64, i64) {
        let (day, minute) = (t.div_euclid(DAY), t.rem_euclid(DAY));
        let hours = self.spot.week.hours;
        let mut until = day * DAY + DAY;
        for edge in [hours.0, hours.1] {
            if edge > minute {
                until = until.min(day * DAY + edge);
            }
        }
        let mut wet = false;
        for &(a, b) in self.damp {
            if a <= t && t < b {
                wet = true;
                until = until.min(b);
            } else if a > t {
                until = until.min(a);
            }
        }
        let air = self.spot.week.at(day, (self.first_weekday + day).rem_euclid(7) as usize, minute);
        let air = if wet { skim_damp(air) } else { air };
        (libm::round(self.product.speed(stage, air).max(0.0) * UNIT as f64) as i64, until)
    }

    /// Progress between two instants.
    pub fn progress(&self, stage: Stage, from: i64, to: i64) -> i64 {
        let (mut t, mut sum) = (from, 0);
        while t < to {
            let (speed, until) = self.speed(stage, t);
            let until = until.min(to);
            sum += speed * (until - t);
            t = until;
        }
        sum
    }

    /// When a coat `thick` times the reference one, ended at `from`, reaches a stage its
    /// product has; `None` when never.
    pub fn reached(&self, stage: Stage, thick: f64, from: i64) -> Option<i64> {
        let hours = self.product.hours.hours(stage)?;
        let mut left = (libm::round(hours * 60.0 * thick) as i64).max(1) * UNIT;
        let (mut t, mut moved) = (from, from);
        loop {
            let (speed, until) = self.speed(stage, t);
            if speed > 0 {
                if speed * (until - t) >= left {
                    return Some(t + (left + speed - 1) / speed);
                }
                left -= speed * (until - t);
                moved = until;
            } else if t - moved > 8 * DAY + DAMP && self.damp.iter().all(|d| d.1 <= t - 8 * DAY) {
                return None;
            }
            t = until;
        }
    }
}
