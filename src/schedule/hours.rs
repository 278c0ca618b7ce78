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
    /// One person for a step in a place, nobody beside him.
    pub fn one(p: usize, place: Option<usize>, noisy: bool) -> Gang {
        Gang { people: 1 << p, beside: 0, beside_noisy: 0, place, noisy }
    }

    /// Minutes of `day` in which all of the gang are on shift and the place is open; `buf`
    /// holds them where they are not a person's plain shift.
    #[inline]
    pub fn day<'a, W: World>(&self, net: &'a Net, w: &'a mut W, day: i64, buf: &'a mut DayShift) -> &'a DayShift {
        let house = self.place.is_some_and(|p| net.set.spots[p].house);
        let noise = if house && self.noisy { net.set.noise } else { None };
        if self.people.is_power_of_two() && noise.is_none() {
            let p = self.people.trailing_zeros() as usize;
            return if house { w.house_shift(net.set, p, day) } else { w.shift(net.set, p, day) };
        }
        if house && (!w.open(day) || net.set.closed(day)) {
            *buf = DayShift::OFF;
            return buf;
        }
        self.day_of_many(net, w, day, buf, noise);
        buf
    }

    #[cold]
    fn day_of_many<W: World>(&self, net: &Net, w: &mut W, day: i64, buf: &mut DayShift, noise: Option<(i64, i64)>) {
        let first = self.people.trailing_zeros() as usize;
        let rest = self.people & self.people.wrapping_sub(1);
        *buf = if self.people == 0 { DayShift::OFF } else { *w.shift(net.set, first, day) };
        for p in bits(rest) {
            *buf = buf.and(w.shift(net.set, p, day));
        }
        if let Some(n) = noise {
            *buf = buf.and(&DayShift::new(&[n]));
        }
    }

    /// Rate without and with a helper beside them, thousandths.
    #[inline]
    pub fn rates(&self, net: &Net) -> (i64, i64) {
        if net.helpers == 0 && self.people.is_power_of_two() {
            let r = net.set.workers[self.people.trailing_zeros() as usize].rate;
            return (r, r);
        }
        self.rates_of_many(net)
    }

    fn rates_of_many(&self, net: &Net) -> (i64, i64) {
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
            let mut buf = DayShift::OFF;
            let own = g.day(net, w, day, &mut buf);
            out.extend(own.stretches().iter().map(|s| (i64::from(s.0), i64::from(s.1))));
        }
        DayShift::new(&out)
    }

    /// Calls `f(from, to, rate)` for each stretch of one rate from `t` on, until it is false.
    fn walk(&self, net: &Net, w: &mut impl World, t: i64, mut f: impl FnMut(i64, i64, i64) -> bool) -> Option<()> {
        let (alone, helped) = self.rates(net);
        let first = t.div_euclid(DAY);
        let mut buf = DayShift::OFF;
        for day in first..first + FAR {
            let base = day * DAY;
            let beside = if self.beside == 0 { DayShift::OFF } else { self.beside_day(net, w, day) };
            let own = self.day(net, w, day, &mut buf);
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
        let first = t.div_euclid(DAY);
        let mut buf = DayShift::OFF;
        for day in first..first + FAR {
            let base = day * DAY;
            for &(a, b) in self.day(net, w, day, &mut buf).stretches() {
                let (a, b) = ((base + i64::from(a)).max(t), base + i64::from(b));
                if b <= a {
                    continue;
                }
                if b - a >= left {
                    return Some(a + left);
                }
                left -= b - a;
            }
        }
        None
    }

    /// When `milli` thousandths of labor begun at `t` are done.
    pub fn done_at(&self, net: &Net, w: &mut impl World, t: i64, milli: i64) -> Option<i64> {
        if milli <= 0 {
            return Some(t);
        }
        if self.beside == 0 {
            let rate = self.rates(net).0;
            return if rate <= 0 { None } else { self.after_minutes(net, w, t, ceil(milli, rate)) };
        }
        let mut left = milli;
        let mut end = t;
        self.walk(net, w, t, |a, b, rate| {
            if rate <= 0 {
                return true;
            }
            let need = ceil(left, rate);
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
        if self.beside == 0 {
            return self.one_go_alone(net, w, t, milli);
        }
        let mut left = milli;
        let mut end = t;
        let mut over = 0;
        self.walk(net, w, t, |a, b, rate| {
            if a - end > LONG_PAUSE {
                return false;
            }
            let need = if rate > 0 { ceil(left, rate) } else { i64::MAX };
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
            over = ceil(left, rate);
            end += over;
        }
        Some((end, over))
    }

    fn one_go_alone(&self, net: &Net, w: &mut impl World, t: i64, milli: i64) -> Option<(i64, i64)> {
        let rate = self.rates(net).0;
        if rate <= 0 {
            return None;
        }
        let mut left = ceil(milli, rate);
        let mut end = t;
        let first = t.div_euclid(DAY);
        let mut buf = DayShift::OFF;
        'days: for day in first..first + FAR {
            let base = day * DAY;
            for &(a, b) in self.day(net, w, day, &mut buf).stretches() {
                let (a, b) = ((base + i64::from(a)).max(t), base + i64::from(b));
                if b <= a {
                    continue;
                }
                if a - end > LONG_PAUSE {
                    break 'days;
                }
                if b - a >= left {
                    return Some((a + left, 0));
                }
                left -= b - a;
                end = b;
            }
            // Nothing goes on so long after the last stretch.
            if base + DAY - end > LONG_PAUSE {
                break;
            }
        }
        Some((end + left, left))
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

    /// Minutes each of them is paid for a stretch: trip, labor, and what was worked after hours.
    pub fn paid(&self, net: &Net, w: &mut impl World, run: &super::RunLog) -> i64 {
        if net.helpers == 0 {
            let rate = self.rates(net).0;
            return run.trip + if rate > 0 { ceil(run.labor_milli, rate) } else { 0 };
        }
        // Beside a helper the rate may change under way: the hours themselves are counted.
        self.worked(net, w, run.from, run.to - run.overtime).1 + run.overtime
    }

    /// Working minutes from `t` to the next pause longer than an hour; 0 off shift.
    pub fn stretch(&self, net: &Net, w: &mut impl World, t: i64) -> i64 {
        let day = t.div_euclid(DAY);
        let mut buf = DayShift::OFF;
        stretch(self.day(net, w, day, &mut buf), t - day * DAY)
    }

    /// First minute after `t` at which the gang comes on shift.
    pub fn next_on(&self, net: &Net, w: &mut impl World, t: i64) -> Option<i64> {
        let first = t.div_euclid(DAY);
        let mut buf = DayShift::OFF;
        for day in first..first + FAR {
            for &(a, _) in self.day(net, w, day, &mut buf).stretches() {
                let a = day * DAY + i64::from(a);
                if a > t {
                    return Some(a);
                }
            }
        }
        None
    }
}

/// Whole minutes for so much labor at a rate above 0.
pub(super) fn ceil(milli: i64, rate: i64) -> i64 {
    if rate == 1000 { (milli as u64).div_ceil(1000) as i64 } else { (milli + rate - 1) / rate }
}

/// Working minutes of a day's shift from `minute` to the next pause longer than an hour; 0
/// off shift.
pub(super) fn stretch(own: &DayShift, minute: i64) -> i64 {
    let mut sum = 0;
    let mut last = minute;
    for &(a, b) in own.stretches() {
        let (a, b) = (i64::from(a), i64::from(b));
        if b <= minute {
            continue;
        }
        if sum == 0 && a > minute || a - last > LONG_PAUSE {
            break;
        }
        sum += b - a.max(minute);
        last = b;
    }
    sum
}

/// Whether a day's shift is on at `minute`.
pub(super) fn on(own: &DayShift, minute: i64) -> bool {
    own.stretches().iter().any(|x| i64::from(x.0) <= minute && minute < i64::from(x.1))
}
