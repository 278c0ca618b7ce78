//! A person's working hours, day by day, as stretches of minutes.

use super::{Clock, DAY, UNIT, WEEK};

/// At most this many stretches of work in a day.
pub const MOST: usize = 4;

/// The working stretches of one day, minutes of the day, in order, not overlapping.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct DayShift {
    len: u8,
    seg: [(i32, i32); MOST],
}

impl DayShift {
    /// Nothing worked.
    pub const OFF: DayShift = DayShift { len: 0, seg: [(0, 0); MOST] };

    /// From stretches in any order; overlapping or touching ones are joined, empty ones
    /// dropped; more than `MOST` are cut off at the end of the day.
    pub fn new(stretches: &[(i64, i64)]) -> DayShift {
        let mut v: Vec<(i64, i64)> =
            stretches.iter().map(|&(a, b)| (a.clamp(0, DAY), b.clamp(0, DAY))).filter(|&(a, b)| b > a).collect();
        v.sort_unstable();
        let mut out = DayShift::OFF;
        for (a, b) in v {
            let n = out.len as usize;
            if n > 0 && a <= i64::from(out.seg[n - 1].1) {
                out.seg[n - 1].1 = out.seg[n - 1].1.max(b as i32);
            } else if n < MOST {
                out.seg[n] = (a as i32, b as i32);
                out.len += 1;
            }
        }
        out
    }

    /// The stretches.
    #[inline]
    pub fn stretches(&self) -> &[(i32, i32)] {
        &self.seg[..self.len as usize]
    }

    /// Minutes worked.
    pub fn minutes(&self) -> i64 {
        self.stretches().iter().map(|s| i64::from(s.1 - s.0)).sum()
    }

    /// What both have.
    pub fn and(&self, other: &DayShift) -> DayShift {
        let mut out = DayShift::OFF;
        let (mut i, mut j) = (0, 0);
        let (a, b) = (self.stretches(), other.stretches());
        while i < a.len() && j < b.len() {
            let (from, to) = (a[i].0.max(b[j].0), a[i].1.min(b[j].1));
            if to > from && (out.len as usize) < MOST {
                out.seg[out.len as usize] = (from, to);
                out.len += 1;
            }
            if a[i].1 < b[j].1 { i += 1 } else { j += 1 }
        }
        out
    }

    /// The part from `minute` on.
    pub fn from(&self, minute: i64) -> DayShift {
        self.and(&DayShift::new(&[(minute, DAY)]))
    }
}

/// A calendar: dated days up to a horizon of whole weeks, the weekly pattern after it.
#[derive(Clone, Debug)]
pub struct Shifts {
    days: Vec<DayShift>,
}

impl Shifts {
    /// Compiles `weeks` whole weeks (at least one); the last one repeats for ever after and
    /// must be the plain weekly pattern.
    pub fn compile(weeks: i64, day: impl FnMut(i64) -> DayShift) -> Shifts {
        Shifts { days: (0..weeks.max(1) * 7).map(day).collect() }
    }

    /// Always at work.
    pub fn always() -> Shifts {
        Shifts::compile(1, |_| DayShift::new(&[(0, DAY)]))
    }

    /// The stretches of day `d >= 0`.
    pub fn day(&self, d: i64) -> &DayShift {
        let n = self.days.len() as i64;
        let d = if d < n { d } else { n - 7 + (d - n) % 7 };
        &self.days[d.max(0) as usize]
    }

    /// Whole weeks compiled.
    pub fn weeks(&self) -> i64 {
        self.days.len() as i64 / 7
    }

    /// The clock of these hours, one minute of progress a minute on shift.
    pub fn clock(&self) -> Clock {
        Clock::compile(self.weeks(), |d, out| {
            for &(a, b) in self.day(d).stretches() {
                out.push((i64::from(a), i64::from(b), UNIT));
            }
        })
    }

    /// Minutes of a plain week.
    pub fn week_minutes(&self) -> i64 {
        let n = self.days.len() as i64;
        debug_assert_eq!(n * DAY % WEEK, 0);
        (n - 7..n).map(|d| self.day(d).minutes()).sum()
    }

    /// The longest stretch of work, pauses of up to `pause` minutes bridged and not
    /// counted, in any compiled day, minutes.
    pub fn longest(&self, pause: i64) -> i64 {
        let mut best = 0;
        for d in &self.days {
            let (mut sum, mut last) = (0, i64::MIN / 2);
            for &(a, b) in d.stretches() {
                let (a, b) = (i64::from(a), i64::from(b));
                sum = if a - last <= pause { sum + b - a } else { b - a };
                last = b;
                best = best.max(sum);
            }
        }
        best
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_default_day_is_seven_hours_twenty() {
        let d = DayShift::new(&[(780, 965), (495, 750)]);
        assert_eq!(d.minutes(), 440);
        assert_eq!(d.from(600).minutes(), 150 + 185);
        assert_eq!(d.and(&DayShift::new(&[(700, 800)])).stretches(), [(700, 750), (780, 800)]);
        let s = Shifts::compile(1, |_| d);
        assert_eq!((s.longest(60), s.longest(29)), (440, 255));
        assert_eq!(*s.day(1000), d);
    }
}
