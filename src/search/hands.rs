//! The hours and rates of the hands a step may count on, for bounds: never fewer minutes,
//! never a slower rate than any plan could give it.
//!
//! Labor in micro-minutes: a clock's speed is the summed rate of those on shift.

use super::relaxed::FREE;
use crate::clock::{Clock, DAY, UNIT, WEEK};
use crate::schedule::{HELPED, LONG_PAUSE, Setting};

/// The hands a step may count on: in each minute the summed rates of the fastest `most`
/// people on shift, nothing where fewer than `fewest` are.
pub(super) struct Hands {
    pub clock: Clock,
    /// Stretches of work, pauses of up to an hour bridged, over the compiled weeks and two
    /// plain ones more.
    stretches: Vec<(i64, i64)>,
    /// Compiled weeks and one more, minutes; instants after it fold back by weeks.
    fold: i64,
}

impl Hands {
    /// Of the fastest `most` on shift in each minute.
    pub fn of_any(setting: &Setting, who: &[usize], hands: (usize, usize), place: Option<usize>, noisy: bool) -> Hands {
        let (fewest, most) = (hands.0.max(1), hands.1.max(hands.0).max(1));
        let rate = |there: &[usize]| {
            let mut rates: Vec<i64> = there.iter().map(|&w| setting.workers[w].rate).collect();
            rates.sort_unstable_by(|a, b| b.cmp(a));
            if rates.len() >= fewest { rates.iter().take(most).sum() } else { 0 }
        };
        Hands::new(setting, who, place, noisy, rate)
    }

    /// Of these people and no others, together, slowed by a helper among them.
    pub fn of_all(setting: &Setting, who: &[usize], place: Option<usize>, noisy: bool, in_place: bool) -> Hands {
        let all = Hands::rate_of_all(setting, who, in_place);
        Hands::new(setting, who, place, noisy, |there| if there.len() < who.len() { 0 } else { all })
    }

    /// Thousandths of labor a minute of these people together, slowed by a helper among them.
    pub fn rate_of_all(setting: &Setting, who: &[usize], in_place: bool) -> i64 {
        let one = |&w: &usize| {
            let slowed = in_place && who.iter().any(|&h| h != w && setting.workers[h].helper);
            let rate = setting.workers[w].rate;
            if slowed { rate * HELPED / 1000 } else { rate }
        };
        who.iter().map(one).sum()
    }

    fn new(
        setting: &Setting,
        who: &[usize],
        place: Option<usize>,
        noisy: bool,
        rate: impl Fn(&[usize]) -> i64,
    ) -> Hands {
        let weeks = who.iter().map(|&w| setting.workers[w].shifts.weeks()).max().unwrap_or(1);
        let closed = setting.house_closed.last().map_or(0, |d| d.div_euclid(7) + 2);
        let weeks = weeks.max(closed);
        let day = |d: i64, out: &mut Vec<(i64, i64, i64)>| {
            let shifts: Vec<_> = who.iter().map(|&w| (w, setting.hours(w, place, noisy, d))).collect();
            let mut edges: Vec<i64> = Vec::new();
            for (_, s) in &shifts {
                edges.extend(s.stretches().iter().flat_map(|&(a, b)| [i64::from(a), i64::from(b)]));
            }
            edges.sort_unstable();
            edges.dedup();
            for e in edges.windows(2) {
                let works = |s: &crate::clock::DayShift| {
                    s.stretches().iter().any(|&(a, b)| i64::from(a) <= e[0] && e[1] <= i64::from(b))
                };
                let there: Vec<usize> = shifts.iter().filter(|(_, s)| works(s)).map(|&(w, _)| w).collect();
                let sum = rate(&there);
                if sum > 0 {
                    out.push((e[0], e[1], sum * UNIT / 1000));
                }
            }
        };
        let mut stretches: Vec<(i64, i64)> = Vec::new();
        let mut buf = Vec::new();
        for d in 0..(weeks + 2) * 7 {
            buf.clear();
            day(d, &mut buf);
            for &(a, b, _) in &buf {
                let (a, b) = (d * DAY + a, d * DAY + b);
                match stretches.last_mut() {
                    Some(last) if a - last.1 <= LONG_PAUSE => last.1 = b,
                    _ => stretches.push((a, b)),
                }
            }
        }
        // One that runs past what is compiled has no known end.
        if let Some(last) = stretches.last_mut()
            && last.1 > (weeks + 2) * WEEK - LONG_PAUSE
        {
            last.1 = FREE;
        }
        Hands { clock: Clock::compile(weeks, day), stretches, fold: (weeks + 1) * WEEK }
    }

    /// The stretch of work `t` lies in or before, with the minutes it was folded back.
    fn stretch_after(&self, t: i64) -> Option<(i64, i64)> {
        let back = if t < self.fold { 0 } else { ((t - self.fold) / WEEK + 1) * WEEK };
        let k = self.stretches.partition_point(|s| s.1 <= t - back);
        self.stretches.get(k).map(|s| (s.0 + back, if s.1 >= FREE { FREE } else { s.1 + back }))
    }

    /// The last stretch of work begun before `t`.
    fn stretch_before(&self, t: i64) -> Option<(i64, i64)> {
        let back = if t < self.fold { 0 } else { ((t - self.fold) / WEEK + 1) * WEEK };
        let k = self.stretches.partition_point(|s| s.0 < t - back);
        let s = self.stretches.get(k.checked_sub(1)?)?;
        Some((s.0 + back, if s.1 >= FREE { FREE } else { s.1 + back }))
    }

    /// First minute from `t` on from which `x` is done within one stretch of work.
    pub fn fit_from(&self, t: i64, x: i64) -> Option<i64> {
        let mut t = self.clock.next_on(t).ok()?;
        let give_up = t.max(self.fold) + 2 * WEEK;
        while t <= give_up {
            let end = self.clock.reach(t, x).ok()?;
            let stretch = self.stretch_after(t)?;
            if end <= stretch.1 {
                return Some(t);
            }
            t = self.clock.next_on(stretch.1).ok()?;
        }
        None
    }

    /// First minute from `t` on at which `x` may begin without being done in the stretch of
    /// work: more than `least` minutes of it are left, or all of it fits.
    pub fn start_from(&self, t: i64, x: i64, least: i64) -> Option<i64> {
        let mut t = self.clock.next_on(t).ok()?;
        let give_up = t.max(self.fold) + 2 * WEEK;
        while t <= give_up {
            let end = self.stretch_after(t)?.1;
            if end - t > least || self.clock.reach(t, x).is_ok_and(|u| u <= end) {
                return Some(t);
            }
            t = self.clock.next_on(end).ok()?;
        }
        None
    }

    /// Last minute up to `t` at which `x` may begin by the rule of [`Hands::start_from`].
    pub fn start_before(&self, t: i64, x: i64, least: i64) -> Option<i64> {
        let mut t = t;
        loop {
            let stretch = self.stretch_before(t + 1)?;
            let within = t.min(stretch.1 - 1);
            if stretch.1 - within > least || self.clock.reach(within, x).is_ok_and(|u| u <= stretch.1) {
                return Some(within);
            }
            let sooner = (stretch.1 - least - 1).min(within);
            let fits = latest(&self.clock, stretch.1, x).filter(|&u| u >= stretch.0 && u <= within);
            match fits.max((sooner >= stretch.0).then_some(sooner)) {
                Some(u) => return Some(u),
                None => t = stretch.0 - 1,
            }
            if t < 0 {
                return None;
            }
        }
    }

    /// Last minute from which `x` is done by `end` within one stretch of work.
    pub fn fit_before(&self, end: i64, x: i64) -> Option<i64> {
        let mut end = end;
        while end > 0 {
            let stretch = self.stretch_before(end)?;
            let t = latest(&self.clock, end.min(stretch.1), x)?;
            if t >= stretch.0 {
                return Some(t);
            }
            end = stretch.0;
        }
        None
    }
}

/// Which of their hours and steps hands are taken by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Hours {
    /// All of them.
    All,
    /// Steps at the house, by this place of it.
    House(usize),
    /// Noisy ones there.
    Noise(usize),
    /// Steps in one place, where a helper slows the others.
    Place(usize),
}

/// The clock of several people's hands together.
pub(super) fn pool_clock(setting: &Setting, who: u64, hours: Hours) -> Clock {
    let who: Vec<usize> = (0..setting.workers.len()).filter(|w| who >> (w % 64) & 1 == 1).collect();
    let (place, noisy, together) = match hours {
        Hours::All => (None, false, false),
        Hours::House(p) => (Some(p), false, false),
        Hours::Noise(p) => (Some(p), true, false),
        Hours::Place(p) => (Some(p), false, true),
    };
    let rate = |there: &[usize]| {
        let crew = || there.iter().map(|&w| &setting.workers[w]);
        let all: i64 = crew().map(|w| w.rate).sum();
        if !together || !crew().any(|w| w.helper) {
            return all;
        }
        // Either no helper is at work there, or all others are slowed.
        let slowed: i64 = crew().map(|w| if w.helper { w.rate } else { w.rate * HELPED / 1000 }).sum();
        slowed.max(crew().filter(|w| !w.helper).map(|w| w.rate).sum())
    };
    Hands::new(setting, &who, place, noisy, rate).clock
}

/// [`Clock::latest_start`] by the segments of the clock, not by halving the minutes.
pub(super) fn latest(clock: &Clock, t: i64, x: i64) -> Option<i64> {
    if x <= 0 {
        return Some(t);
    }
    let goal = clock.at(t) - x;
    if goal < 0 {
        return None;
    }
    // Before the first minute by which more than the goal is made.
    Some(clock.reach(0, goal + 1).map_or(t, |u| (u - 1).min(t)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, Person};
    use crate::work::WorkGraph;

    /// The default day: 8:15 to 12:30 and 13:00 to 16:05, Monday to Friday.
    fn hands() -> Hands {
        let job = Job { crew: vec![Person { id: "nell".into(), ..Person::default() }], ..Job::default() };
        let setting = Setting::new(&job, &WorkGraph::default());
        Hands::of_all(&setting, &[0], None, false, false)
    }

    /// Judged minute by minute from the rule itself.
    #[test]
    fn a_begin_keeps_the_rule_of_too_little_left_both_ways() {
        let h = hands();
        let on = |t: i64| h.clock.speed_at(t) > 0;
        for (labor, least) in [(10 * UNIT, 30), (45 * UNIT, 30), (45 * UNIT, 60), (600 * UNIT, 30)] {
            // The day's last minute on shift ends its stretch: lunch is shorter than an hour.
            let ends = |t: i64| (t..t + DAY).filter(|&u| on(u)).take_while(|&u| u - t < DAY / 2).last().unwrap() + 1;
            let may = |t: i64| {
                on(t) && {
                    let end = ends(t);
                    end - t > least || h.clock.progress(t, end) >= labor
                }
            };
            for t in (7 * DAY..9 * DAY).step_by(13) {
                let soonest = (t..t + 5 * DAY).find(|&u| may(u));
                assert_eq!(h.start_from(t, labor, least), soonest, "{t} {labor}");
                let latest = (0..=t).rev().find(|&u| may(u));
                // A minute of a bridged pause is left as it is, which only allows more.
                if on(t) || h.stretch_before(t + 1).is_some_and(|s| s.1 <= t) {
                    assert_eq!(h.start_before(t, labor, least), latest, "{t} {labor}");
                }
            }
        }
    }

    #[test]
    fn the_inverse_by_segments_is_the_inverse() {
        let c = hands().clock;
        for t in (0..9 * DAY).step_by(37) {
            for x in [0, 1, UNIT, 100 * UNIT, 440 * UNIT, 441 * UNIT] {
                assert_eq!(latest(&c, t, x), c.latest_start(t, x), "{t} {x}");
            }
        }
    }
}
