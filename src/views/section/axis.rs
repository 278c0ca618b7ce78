//! The time axis: working hours at full width, nights and days off drawn narrow.
//!
//! A monotone piecewise-linear map between minutes and pixels. Where anybody is on shift a
//! minute has full width, off hours of a working day 0.2 of it, days off 0.1; a night keeps
//! at least [`LEAST_NIGHT`] and a stretch of days off [`LEAST_WEEKEND`] pixels. When a whole
//! job is fitted into a width, those least widths are what gives way first: together they
//! take no more than [`MOST_LEAST`] of it. Beyond [`PLAIN_FROM`] pixels a working day, or
//! when asked, every minute is as wide as every other.
//!
//! `at` is the exact inverse of `x` for every whole minute of the days spanned. Pixels are
//! counted from the midnight that begins the first day.

use crate::clock::{At, DAY};

/// Width of off hours and of days off against a minute on shift.
const OFF_HOURS: f64 = 0.2;
const DAYS_OFF: f64 = 0.1;
/// Least width of a night and of a stretch of days off, pixels.
pub const LEAST_NIGHT: f64 = 6.0;
pub const LEAST_WEEKEND: f64 = 14.0;
/// The share of a fitted width all least widths together may take.
const MOST_LEAST: f64 = 0.45;
/// Pixels a working day from which time is drawn plain.
pub const PLAIN_FROM: f64 = 160.0;

/// When anybody is on shift, by day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hours {
    /// The day the first entry stands for.
    pub first: i64,
    /// Stretches of each day, minutes of the day; empty for a day off.
    pub days: Vec<Vec<(i64, i64)>>,
    /// Days on which the house is closed.
    pub closed: Vec<i64>,
}

impl Hours {
    /// Stretches of a day, none outside the days known.
    pub fn of(&self, day: i64) -> &[(i64, i64)] {
        usize::try_from(day - self.first).ok().and_then(|i| self.days.get(i)).map_or(&[], Vec::as_slice)
    }

    /// The first minute on shift at or after `at`, inside the days known.
    pub fn next_on(&self, at: At) -> Option<At> {
        (at.day()..self.first + self.days.len() as i64).find_map(|d| {
            let on = |&(a, b): &(i64, i64)| (d * DAY + b > at.0).then_some(At((d * DAY + a).max(at.0)));
            self.of(d).iter().find_map(on)
        })
    }
}

/// How wide time is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    /// All of it in so many pixels.
    Fit { width: f64, plain: bool },
    /// So many pixels a working day.
    Day { pixels: f64, plain: bool },
}

/// A shaded stretch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Night {
    pub from: f64,
    pub to: f64,
    /// Whole days off, not only hours.
    pub days_off: bool,
}

/// A day of the header.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayMark {
    pub day: i64,
    /// Where its working hours begin and end (of a day off: the day itself).
    pub from: f64,
    pub to: f64,
    pub off: bool,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Seg {
    /// First minute.
    from: i64,
    x: f64,
    /// Pixels a minute, never 0.
    slope: f64,
    rest: Rest,
}

/// What a stretch is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Rest {
    On,
    /// Minutes between two shifts, no day off among them: at noon, over night.
    Pause,
    Night,
    /// Belongs to a stretch with a day off in it.
    Off,
}

/// The axis, compiled.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    segs: Vec<Seg>,
    days: Vec<DayMark>,
    from: i64,
    to: i64,
    width: f64,
    /// Pixels a working day.
    day: f64,
    plain: bool,
}

/// A stretch of one kind with its weight; `group` numbers the stretch of rest it is part of.
struct Part {
    from: i64,
    to: i64,
    weight: f64,
    rest: Rest,
    group: usize,
}

fn parts(hours: &Hours, days: (i64, i64)) -> (Vec<Part>, Vec<f64>) {
    let mut out: Vec<Part> = Vec::new();
    for d in days.0..=days.1 {
        let (base, list) = (d * DAY, hours.of(d));
        let (off, weight) = if list.is_empty() { (Rest::Off, DAYS_OFF) } else { (Rest::Night, OFF_HOURS) };
        let mut at = base;
        for &(a, b) in list {
            let (a, b) = ((base + a).max(at), (base + b).min(base + DAY));
            if a > at {
                let rest = if at == base { off } else { Rest::Pause };
                out.push(Part { from: at, to: a, weight, rest, group: 0 });
            }
            if b > a {
                out.push(Part { from: a, to: b, weight: 1.0, rest: Rest::On, group: 0 });
                at = b;
            }
        }
        if at < base + DAY {
            out.push(Part { from: at, to: base + DAY, weight, rest: off, group: 0 });
        }
    }
    // Rest that is not broken by a shift is one stretch, and has one least width.
    let mut least = vec![0.0];
    let mut i = 0;
    while i < out.len() {
        if out[i].rest == Rest::On || out[i].rest == Rest::Pause {
            i += 1;
            continue;
        }
        let mut k = i;
        while k < out.len() && matches!(out[k].rest, Rest::Night | Rest::Off) {
            k += 1;
        }
        let off = out[i..k].iter().any(|p| p.rest == Rest::Off);
        // The morning before the first shift and the evening after the last are half nights.
        let half = if i == 0 || k == out.len() { 0.5 } else { 1.0 };
        let group = least.len();
        least.push(half * if off { LEAST_WEEKEND } else { LEAST_NIGHT });
        for p in &mut out[i..k] {
            p.group = group;
            if off {
                p.rest = Rest::Off;
            }
        }
        i = k;
    }
    (out, least)
}

/// Widths of the parts at `k` pixels a full minute, least widths times `give`.
fn widths(parts: &[Part], least: &[f64], k: f64, give: f64) -> Vec<f64> {
    let mut group = vec![0.0; least.len()];
    for p in parts {
        group[p.group] += p.weight * (p.to - p.from) as f64;
    }
    parts
        .iter()
        .map(|p| {
            let own = p.weight * (p.to - p.from) as f64;
            if p.group == 0 {
                return own * k;
            }
            own * (k.max(give * least[p.group] / group[p.group]))
        })
        .collect()
}

impl Axis {
    /// Lays out the days `days.0..=days.1`.
    pub fn new(hours: &Hours, days: (i64, i64), scale: Scale) -> Axis {
        let days = (days.0, days.1.max(days.0));
        let (parts, least) = parts(hours, days);
        let span = ((days.1 - days.0 + 1) * DAY) as f64;
        // Weighted minutes of an ordinary working day: the middle one of all.
        let mut by_day: Vec<f64> = (days.0..=days.1)
            .filter(|&d| !hours.of(d).is_empty())
            .map(|d| {
                let on: i64 = hours.of(d).iter().map(|(a, b)| b - a).sum();
                on as f64 + OFF_HOURS * (DAY - on) as f64
            })
            .collect();
        by_day.sort_by(f64::total_cmp);
        let ordinary = by_day.get(by_day.len() / 2).copied().unwrap_or(DAY as f64 * DAYS_OFF);
        let plain_of = |pixels: f64| pixels / DAY as f64;
        let (widths, plain) = match scale {
            Scale::Fit { width, plain } => {
                let width = width.max(1.0);
                let (warped, k) = fitted(&parts, &least, width);
                if plain || k * ordinary > PLAIN_FROM { (even(&parts, width / span), true) } else { (warped, false) }
            }
            Scale::Day { pixels, plain } => {
                let pixels = pixels.clamp(1.0, 100_000.0);
                if plain || pixels > PLAIN_FROM {
                    (even(&parts, plain_of(pixels)), true)
                } else {
                    (widths(&parts, &least, pixels / ordinary, 1.0), false)
                }
            }
        };
        let mut segs = Vec::with_capacity(parts.len());
        let mut x = 0.0;
        for (p, w) in parts.iter().zip(&widths) {
            segs.push(Seg { from: p.from, x, slope: w / (p.to - p.from) as f64, rest: p.rest });
            x += w;
        }
        let mut axis =
            Axis { segs, days: Vec::new(), from: days.0 * DAY, to: (days.1 + 1) * DAY, width: x, day: 0.0, plain };
        axis.days = (days.0..=days.1)
            .map(|d| {
                let list = hours.of(d);
                let (a, b) = (list.first().map_or(0, |s| s.0), list.last().map_or(DAY, |s| s.1));
                DayMark { day: d, from: axis.x(At(d * DAY + a)), to: axis.x(At(d * DAY + b)), off: list.is_empty() }
            })
            .collect();
        axis.day = if plain { x / (span / DAY as f64) } else { axis.ordinary_width() };
        axis
    }

    fn ordinary_width(&self) -> f64 {
        let mut v: Vec<f64> = self
            .days
            .iter()
            .filter(|d| !d.off)
            .map(|d| self.x(At((d.day + 1) * DAY)) - self.x(At(d.day * DAY)))
            .collect();
        v.sort_by(f64::total_cmp);
        v.get(v.len() / 2).copied().unwrap_or(self.width)
    }

    /// Pixels of an instant; the ends of the axis for what lies outside.
    pub fn x(&self, at: At) -> f64 {
        if at.0 <= self.from {
            return 0.0;
        }
        if at.0 >= self.to {
            return self.width;
        }
        let i = self.segs.partition_point(|s| s.from <= at.0).saturating_sub(1);
        let s = &self.segs[i];
        s.x + s.slope * (at.0 - s.from) as f64
    }

    /// The whole minute nearest to a pixel.
    pub fn at(&self, x: f64) -> At {
        if x.is_nan() || x <= 0.0 {
            return At(self.from);
        }
        if x >= self.width {
            return At(self.to);
        }
        let i = self.segs.partition_point(|s| s.x <= x).saturating_sub(1);
        let s = &self.segs[i];
        let end = self.segs.get(i + 1).map_or(self.to, |n| n.from);
        At((s.from + libm::round((x - s.x) / s.slope) as i64).min(end))
    }

    /// Pixels of all days.
    pub fn width(&self) -> f64 {
        self.width
    }

    /// Pixels an ordinary working day has.
    pub fn day_width(&self) -> f64 {
        self.day
    }

    /// Whether every minute is as wide as every other.
    pub fn is_plain(&self) -> bool {
        self.plain
    }

    /// Days with their working hours.
    pub fn days(&self) -> &[DayMark] {
        &self.days
    }

    /// Nights and stretches of days off, to be shaded; pauses by day are not.
    pub fn nights(&self) -> Vec<Night> {
        let mut out: Vec<Night> = Vec::new();
        let mut i = 0;
        while i < self.segs.len() {
            if matches!(self.segs[i].rest, Rest::On | Rest::Pause) {
                i += 1;
                continue;
            }
            let from = self.segs[i].x;
            let days_off = self.segs[i].rest == Rest::Off;
            while i < self.segs.len() && matches!(self.segs[i].rest, Rest::Night | Rest::Off) {
                i += 1;
            }
            out.push(Night { from, to: self.segs.get(i).map_or(self.width, |s| s.x), days_off });
        }
        out
    }
}

fn even(parts: &[Part], slope: f64) -> Vec<f64> {
    parts.iter().map(|p| (p.to - p.from) as f64 * slope).collect()
}

/// Widths that add up to `width`, and the pixels of a full minute. Least widths give way to
/// [`MOST_LEAST`] of the width.
fn fitted(parts: &[Part], least: &[f64], width: f64) -> (Vec<f64>, f64) {
    let give = (MOST_LEAST * width / least.iter().sum::<f64>().max(1e-9)).min(1.0);
    let sum = |k: f64| widths(parts, least, k, give).iter().sum::<f64>();
    let (mut low, mut high) = (0.0, width);
    // Sixty halvings leave nothing a double could tell.
    for _ in 0..60 {
        let mid = (low + high) / 2.0;
        if sum(mid) > width { high = mid } else { low = mid }
    }
    // A job without any hours has only days off: their least widths are all there is.
    let w = widths(parts, least, high, give);
    let over = width / w.iter().sum::<f64>().max(1e-9);
    (w.into_iter().map(|x| x * over).collect(), high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four weeks of Monday to Friday, 8:15 to 12:30 and 13:00 to 16:05, one holiday.
    fn hours() -> Hours {
        let day = |d: i64| if d % 7 < 5 && d != 9 { vec![(495, 750), (780, 965)] } else { vec![] };
        Hours { first: 0, days: (0..28).map(day).collect(), closed: vec![] }
    }

    fn all() -> Vec<Axis> {
        let scales = [
            Scale::Fit { width: 300.0, plain: false },
            Scale::Fit { width: 740.0, plain: false },
            Scale::Fit { width: 740.0, plain: true },
            Scale::Fit { width: 9_000.0, plain: false },
            Scale::Day { pixels: 3.0, plain: false },
            Scale::Day { pixels: 40.0, plain: false },
            Scale::Day { pixels: 159.0, plain: false },
            Scale::Day { pixels: 161.0, plain: false },
            Scale::Day { pixels: 30.0, plain: true },
        ];
        scales.iter().map(|&s| Axis::new(&hours(), (0, 27), s)).collect()
    }

    #[test]
    fn every_minute_comes_back() {
        for a in all() {
            let mut last = -1.0;
            for t in 0..=28 * DAY {
                let x = a.x(At(t));
                assert!(x > last, "minute {t}: {x} after {last}");
                assert_eq!(a.at(x), At(t));
                last = x;
            }
        }
    }

    #[test]
    fn a_fit_fits_and_nights_keep_their_least_width() {
        for (a, w) in all().iter().zip([300.0, 740.0, 740.0, 9_000.0]) {
            assert!((a.width() - w).abs() < 1e-6, "{} for {w}", a.width());
        }
        let a = &all()[5];
        for n in &a.nights()[1..a.nights().len() - 1] {
            let least = if n.days_off { LEAST_WEEKEND } else { LEAST_NIGHT };
            assert!(n.to - n.from >= least - 1e-9, "{n:?}");
        }
        // The holiday is the tenth day: a stretch of days off of its own.
        assert_eq!(a.nights().iter().filter(|n| n.days_off).count(), 5);
        assert_eq!(a.nights().len(), 20);
    }

    #[test]
    fn hours_on_shift_are_wider_than_those_off() {
        let a = Axis::new(&hours(), (0, 27), Scale::Day { pixels: 150.0, plain: false });
        let of = |from: i64, to: i64| (a.x(At(to)) - a.x(At(from))) / (to - from) as f64;
        let on = of(500, 560);
        assert!((of(755, 775) / on - 0.2).abs() < 1e-9);
        assert!((of(1000, 1400) / on - 0.2).abs() < 1e-9);
        assert!((of(5 * DAY, 6 * DAY) / on - 0.1).abs() < 1e-9);
        assert!((a.day_width() - 150.0).abs() < 1e-6 && !a.is_plain());
    }

    #[test]
    fn time_is_plain_past_its_width_and_when_asked() {
        let plain: Vec<bool> = all().iter().map(Axis::is_plain).collect();
        assert_eq!(plain, [false, false, true, true, false, false, false, true, true]);
        let a = &all()[8];
        assert!((a.x(At(100)) * 2.0 - a.x(At(200))).abs() < 1e-9 && (a.day_width() - 30.0).abs() < 1e-9);
    }

    #[test]
    fn outside_and_odd_hours_do_no_harm() {
        let a = &all()[1];
        assert_eq!((a.x(At(-5)), a.x(At(99 * DAY))), (0.0, a.width()));
        assert_eq!((a.at(-1.0), a.at(1e9), a.at(f64::NAN)), (At(0), At(28 * DAY), At(0)));
        let none = Hours { first: 0, days: vec![vec![]; 7], closed: vec![] };
        let idle = Axis::new(&none, (0, 6), Scale::Fit { width: 500.0, plain: false });
        assert!((idle.width() - 500.0).abs() < 1e-6);
        let round = Hours { first: 0, days: vec![vec![(0, DAY)]; 7], closed: vec![] };
        let b = Axis::new(&round, (0, 6), Scale::Fit { width: 500.0, plain: false });
        assert!((b.width() - 500.0).abs() < 1e-6 && b.nights().is_empty());
        assert_eq!(hours().next_on(At(5 * DAY)), Some(At(7 * DAY + 495)));
        assert_eq!(hours().next_on(At(600)), Some(At(600)));
        assert_eq!(hours().next_on(At(28 * DAY)), None);
    }
}
