//! Walking a crew's hours: when labor ends, how much is done by now, how long the stretch is.

use super::{HELPED, LONG_PAUSE, Net, World};
use crate::clock::{DAY, DayShift};

/// No walk looks further ahead than this, days.
pub const FAR: i64 = 3_000;

/// Who works where, and which helpers are at work in the same place.
#[derive(Clone, Copy, Debug)]
pub struct Gang {
    pub people: u32,
    /// Helpers running in the place outside `people`.
    pub beside: u32,
    /// Those among them on a noisy step: they are there in noise hours only.
    pub beside_noisy: u32,
    pub place: Option<usize>,
    pub noisy: bool,
}

/// Indices of the set bits.
pub fn bits(mut m: u32) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        if m == 0 {
            return None;
        }
        let i = m.trailing_zeros() as usize;
        m &= m - 1;
        Some(i)
    })
}

impl Gang {
    /// Minutes of `day` in which all of the gang are on shift and the place is open.
    pub fn day(&self, net: &Net, w: &mut impl World, day: i64) -> DayShift {
        let mut out: Option<DayShift> = None;
        if let Some(p) = self.place
            && net.set.spots[p].house
            && !w.open(day)
        {
            return DayShift::OFF;
        }
        for p in bits(self.people) {
            let s = w.shift(net.set, p, day);
            out = Some(out.map_or(s, |o| o.and(&s)));
        }
        net.set.mask(out.unwrap_or(DayShift::OFF), self.place, self.noisy, day)
    }

    /// Rate without and with a helper beside them, thousandths.
    pub fn rates(&self, net: &Net) -> (i64, i64) {
        let inside = self.place.is_some() && self.people & net.helpers != 0;
        let mut alone = 0;
        let mut helped = 0;
        for p in bits(self.people) {
            let r = net.set.workers[p].rate;
            if net.helpers >> p & 1 == 1 {
                alone += r;
                helped += r;
            } else {
                helped += r * HELPED / 1000;
                alone += if inside { r * HELPED / 1000 } else { r };
            }
        }
        (alone, helped)
    }

    fn beside_day(&self, net: &Net, w: &mut impl World, day: i64) -> DayShift {
        let mut out: Vec<(i64, i64)> = Vec::new();
        for h in bits(self.beside) {
            let noisy = self.beside_noisy >> h & 1 == 1;
            let g = Gang { people: 1 << h, beside: 0, beside_noisy: 0, noisy, ..*self };
            out.extend(g.day(net, w, day).stretches().iter().map(|s| (i64::from(s.0), i64::from(s.1))));
        }
        DayShift::new(&out)
    }

    /// Calls `f(from, to, rate)` for each stretch of one rate from `t` on, until it is false.
    fn walk(&self, net: &Net, w: &mut impl World, t: i64, mut f: impl FnMut(i64, i64, i64) -> bool) -> Option<()> {
        let (alone, helped) = self.rates(net);
        let first = t.div_euclid(DAY);
        for day in first..first + FAR {
            let base = day * DAY;
            let own = self.day(net, w, day);
            let beside = if self.beside == 0 { DayShift::OFF } else { self.beside_day(net, w, day) };
            for &(a, b) in own.stretches() {
                let (mut a, b) = ((base + i64::from(a)).max(t), base + i64::from(b));
                while a < b {
                    let mut to = b;
                    let mut rate = alone;
                    for &(x, y) in beside.stretches() {
                        let (x, y) = (base + i64::from(x), base + i64::from(y));
                        if x <= a && a < y {
                            rate = helped;
                            to = to.min(y);
                        } else if x > a {
                            to = to.min(x);
                        }
                    }
                    if !f(a, to, rate) {
                        return Some(());
                    }
                    a = to;
                }
            }
        }
        None
    }

    /// When `minutes` of the gang's hours from `t` have passed, at the earliest.
    pub fn after_minutes(&self, net: &Net, w: &mut impl World, t: i64, minutes: i64) -> Option<i64> {
        if minutes <= 0 {
            return Some(t);
        }
        let mut left = minutes;
        let mut end = t;
        self.walk(net, w, t, |a, b, _| {
            if b - a >= left {
                end = a + left;
                return false;
            }
            left -= b - a;
            true
        })?;
        Some(end)
    }

    /// When `milli` thousandths of labor begun at `t` are done.
    pub fn done_at(&self, net: &Net, w: &mut impl World, t: i64, milli: i64) -> Option<i64> {
        if milli <= 0 {
            return Some(t);
        }
        let mut left = milli;
        let mut end = t;
        self.walk(net, w, t, |a, b, rate| {
            if rate <= 0 {
                return true;
            }
            let need = (left + rate - 1) / rate;
            if b - a >= need {
                end = a + need;
                return false;
            }
            left -= (b - a) * rate;
            true
        })?;
        Some(end)
    }

    /// As [`Gang::done_at`], finished after hours where the stretch does not hold it: the end
    /// and the minutes of overtime.
    pub fn done_in_one_go(&self, net: &Net, w: &mut impl World, t: i64, milli: i64) -> Option<(i64, i64)> {
        if milli <= 0 {
            return Some((t, 0));
        }
        let mut left = milli;
        let mut end = t;
        let mut over = 0;
        self.walk(net, w, t, |a, b, rate| {
            if a - end > LONG_PAUSE {
                return false;
            }
            let need = if rate > 0 { (left + rate - 1) / rate } else { i64::MAX };
            if b - a >= need {
                end = a + need;
                left = 0;
                return false;
            }
            left -= (b - a) * rate;
            end = b;
            true
        });
        if left > 0 {
            let rate = self.rates(net).0;
            if rate <= 0 {
                return None;
            }
            over = (left + rate - 1) / rate;
            end += over;
        }
        Some((end, over))
    }

    /// Labor done between two instants, thousandths; and the minutes worked.
    pub fn worked(&self, net: &Net, w: &mut impl World, from: i64, to: i64) -> (i64, i64) {
        let mut sum = 0;
        let mut min = 0;
        if to > from {
            self.walk(net, w, from, |a, b, rate| {
                if a >= to {
                    return false;
                }
                let m = b.min(to) - a;
                sum += m * rate;
                min += m;
                b < to
            });
        }
        (sum, min)
    }

    /// Working minutes from `t` to the next pause longer than an hour; 0 off shift.
    pub fn stretch(&self, net: &Net, w: &mut impl World, t: i64) -> i64 {
        let day = t.div_euclid(DAY);
        let base = day * DAY;
        let own = self.day(net, w, day);
        let mut sum = 0;
        let mut last = t;
        for &(a, b) in own.stretches() {
            let (a, b) = (base + i64::from(a), base + i64::from(b));
            if b <= t {
                continue;
            }
            if sum == 0 && a > t || a - last > LONG_PAUSE {
                break;
            }
            sum += b - a.max(t);
            last = b;
        }
        sum
    }

    /// First minute after `t` at which the gang comes on shift.
    pub fn next_on(&self, net: &Net, w: &mut impl World, t: i64) -> Option<i64> {
        let first = t.div_euclid(DAY);
        for day in first..first + FAR {
            for &(a, _) in self.day(net, w, day).stretches() {
                let a = day * DAY + i64::from(a);
                if a > t {
                    return Some(a);
                }
            }
        }
        None
    }
}
