//! Monotone clocks: what turns elapsed time into progress, and back.
//!
//! One idea for a person's hours, a coat's drying and a supplier's business days: a
//! piecewise-linear, non-decreasing map from elapsed whole minutes to progress.
//!
//! Units: instants are whole minutes of local wall clock from midnight of the job's first
//! day ([`At`]); progress is in micro-minutes (`i64`), speed in micro-minutes of progress
//! per elapsed minute, so `progress(a, b)` is exactly additive. There is no zone
//! arithmetic: a job stays in one place.
//!
//! It refuses to know what progresses. A clock that has stopped for good answers
//! [`Stopped`]; nothing here loops without end.

mod air;
mod shifts;

pub use air::{Air, AirWeek, Law, RH_CAP, relative_humidity, saturation_kpa, skim_damp};
pub use shifts::{DayShift, Shifts};

use serde::{Deserialize, Serialize};

/// Progress per minute of a clock that keeps pace with elapsed time.
pub const UNIT: i64 = 1_000_000;
/// Minutes in a day.
pub const DAY: i64 = 1_440;
/// Minutes in a week.
pub const WEEK: i64 = 7 * DAY;

/// An instant: whole minutes of local wall clock since midnight of the job's first day.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct At(pub i64);

impl At {
    /// The day this instant falls in, counted from the job's first day (day 0).
    pub fn day(self) -> i64 {
        self.0.div_euclid(DAY)
    }
    /// Minutes since that day's midnight.
    pub fn minute(self) -> i64 {
        self.0.rem_euclid(DAY)
    }
}

/// The clock makes no further progress, ever.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("this clock has stopped for good")]
pub struct Stopped;

#[derive(Clone, Copy, Debug)]
struct Seg {
    from: i64,
    speed: i64,
    before: i64,
}

/// A compiled clock. See the module for units.
#[derive(Clone, Debug)]
pub struct Clock {
    segs: Vec<Seg>,
    first_of_day: Vec<u32>,
    /// Compiled length in minutes, whole weeks; the last compiled week repeats for ever.
    horizon: i64,
    total: i64,
    week_total: i64,
}

impl Clock {
    /// Compiles `weeks` whole weeks (at least one) from day 0. `day(d, out)` writes the
    /// stretches of day `d` as `(from, to, speed)` in minutes of that day, in order, not
    /// overlapping; gaps have speed 0. The last week must be the plain weekly pattern: it
    /// repeats for ever after.
    pub fn compile(weeks: i64, mut day: impl FnMut(i64, &mut Vec<(i64, i64, i64)>)) -> Clock {
        let weeks = weeks.max(1);
        let mut segs: Vec<Seg> = Vec::new();
        let mut first_of_day = Vec::with_capacity((weeks * 7 + 1) as usize);
        let mut buf = Vec::new();
        let mut sum = 0i64;
        let mut last_week_from = 0;
        for d in 0..weeks * 7 {
            if d == (weeks - 1) * 7 {
                last_week_from = sum;
            }
            first_of_day.push(segs.len() as u32);
            buf.clear();
            day(d, &mut buf);
            let base = d * DAY;
            let mut at = 0;
            for &(from, to, speed) in &buf {
                let (from, to) = (from.clamp(at, DAY), to.clamp(at, DAY));
                if from > at {
                    segs.push(Seg { from: base + at, speed: 0, before: sum });
                }
                if to > from {
                    segs.push(Seg { from: base + from, speed, before: sum });
                    sum += speed * (to - from);
                    at = to;
                } else {
                    at = at.max(from);
                }
            }
            if at < DAY {
                segs.push(Seg { from: base + at, speed: 0, before: sum });
            }
        }
        first_of_day.push(segs.len() as u32);
        let horizon = weeks * WEEK;
        Clock { segs, first_of_day, horizon, total: sum, week_total: sum - last_week_from }
    }

    /// A clock of one speed.
    pub fn constant(speed: i64) -> Clock {
        Clock::compile(1, |_, out| out.push((0, DAY, speed)))
    }

    /// Elapsed time itself.
    pub fn elapsed() -> Clock {
        Clock::constant(UNIT)
    }

    /// Whether it runs at `speed` at every minute.
    pub fn always(&self, speed: i64) -> bool {
        self.segs.iter().all(|s| s.speed == speed)
    }

    /// Moves `t` back by whole weeks into the compiled stretch; the progress left out.
    #[inline]
    fn fold(&self, t: i64) -> (i64, i64) {
        if t < self.horizon {
            return (t, 0);
        }
        let k = (t - self.horizon) / WEEK + 1;
        (t - k * WEEK, k * self.week_total)
    }

    #[inline]
    fn seg(&self, t: i64) -> usize {
        let d = (t / DAY) as usize;
        let mut i = self.first_of_day[d] as usize;
        let end = self.first_of_day[d + 1] as usize;
        while i + 1 < end && self.segs[i + 1].from <= t {
            i += 1;
        }
        i
    }

    /// Progress from minute 0 to `t`; 0 for a negative `t`.
    #[inline]
    pub fn at(&self, t: i64) -> i64 {
        if t <= 0 {
            return 0;
        }
        let (t, extra) = self.fold(t);
        let s = &self.segs[self.seg(t)];
        s.before + s.speed * (t - s.from) + extra
    }

    /// Progress between two instants, `a <= b`.
    pub fn progress(&self, a: i64, b: i64) -> i64 {
        if a < 0 || b > self.horizon || b - a > DAY {
            return self.at(b) - self.at(a);
        }
        // The later segment is near the earlier one.
        let mut i = self.seg(a.min(self.horizon - 1));
        let first = &self.segs[i];
        while i + 1 < self.segs.len() && self.segs[i + 1].from <= b {
            i += 1;
        }
        let last = &self.segs[i];
        last.before + last.speed * (b - last.from) - first.before - first.speed * (a - first.from)
    }

    /// Speed during the minute that begins at `t`.
    pub fn speed_at(&self, t: i64) -> i64 {
        let (t, _) = self.fold(t.max(0));
        self.segs[self.seg(t)].speed
    }

    /// First whole minute `u >= t` with `progress(t, u) >= x`; `reach(t, x) = t` for `x <= 0`.
    ///
    /// # Errors
    /// [`Stopped`] when the progress is never made.
    pub fn reach(&self, t: i64, x: i64) -> Result<i64, Stopped> {
        let t = t.max(0);
        if x <= 0 {
            return Ok(t);
        }
        self.first_at(self.at(t) + x)
    }

    /// Progress from minute 0 to the midnight day `d >= 0` begins with.
    #[inline]
    pub fn at_midnight(&self, d: i64) -> i64 {
        if d * DAY >= self.horizon {
            return self.at(d * DAY);
        }
        self.segs[self.first_of_day[d as usize] as usize].before
    }

    /// First minute with a progress of at least `goal > 0` since minute 0.
    ///
    /// # Errors
    /// [`Stopped`] when the progress is never made.
    #[inline]
    pub fn first_at(&self, mut goal: i64) -> Result<i64, Stopped> {
        // Whole weeks past the compiled stretch first, then a search inside it.
        let mut shift = 0;
        if goal > self.total {
            if self.week_total <= 0 {
                return Err(Stopped);
            }
            let k = (goal - self.total + self.week_total - 1) / self.week_total;
            shift = k * WEEK;
            goal -= k * self.week_total;
        }
        // `goal` is now in (total - week_total, total] or below: first minute with at(u) >= goal.
        let i = self.segs.partition_point(|s| s.before < goal) - 1;
        let s = &self.segs[i];
        let u = s.from + (goal - s.before + s.speed - 1) / s.speed;
        Ok(u + shift)
    }

    /// First minute `u >= t` at which the clock runs.
    ///
    /// # Errors
    /// [`Stopped`] when it never runs again.
    pub fn next_on(&self, t: i64) -> Result<i64, Stopped> {
        let t = t.max(0);
        if self.speed_at(t) > 0 {
            return Ok(t);
        }
        // The minute in which the first further micro-minute is made.
        Ok(self.reach(t, 1)? - 1)
    }

    /// Last whole minute `u <= t` with `progress(u, t) >= x`, the inverse of [`Clock::reach`];
    /// `None` when even minute 0 is too late. For bounds and backward passes.
    pub fn latest_start(&self, t: i64, x: i64) -> Option<i64> {
        if x <= 0 {
            return Some(t);
        }
        let goal = self.at(t) - x;
        if goal < 0 {
            return None;
        }
        // Last u with at(u) <= goal.
        let (mut lo, mut hi) = (0, t);
        while lo < hi {
            let mid = lo + (hi - lo + 1) / 2;
            if self.at(mid) <= goal { lo = mid } else { hi = mid - 1 }
        }
        Some(lo)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn weekdays() -> Clock {
        Clock::compile(3, |d, out| {
            if d.rem_euclid(7) < 5 && d != 2 {
                out.push((495, 750, UNIT));
                out.push((780, 965, UNIT));
            }
        })
    }

    #[test]
    fn progress_is_additive_and_reach_is_its_inverse() {
        let c = weekdays();
        for t in (0..60 * DAY).step_by(97) {
            assert_eq!(c.progress(0, t) + c.progress(t, t + 5000), c.progress(0, t + 5000));
            for x in [1, 30 * UNIT, 440 * UNIT, 441 * UNIT, 5000 * UNIT] {
                let u = c.reach(t, x).unwrap();
                assert!(c.progress(t, u) >= x);
                assert!(c.progress(t, u - 1) < x);
                let s = c.latest_start(u, x).unwrap();
                assert!(s >= t && c.progress(s, u) >= x && c.progress(s + 1, u) < x);
            }
            let n = c.next_on(t).unwrap();
            assert!(c.speed_at(n) > 0 && c.progress(t, n) == 0);
        }
    }

    #[test]
    fn a_stopped_clock_says_so() {
        let c = Clock::compile(2, |d, out| {
            if d < 3 {
                out.push((0, 60, UNIT))
            }
        });
        assert_eq!(c.reach(0, 180 * UNIT), Ok(2 * DAY + 60));
        assert_eq!(c.reach(0, 181 * UNIT), Err(Stopped));
        assert_eq!(c.next_on(2 * DAY + 60), Err(Stopped));
        assert_eq!(c.reach(5, 0), Ok(5));
    }
}
