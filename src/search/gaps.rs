//! A rough schedule with gaps: step by step, each at the first (or last) place its hands and
//! its needs allow, a step earlier in the list taking its hands first and later ones filling
//! what is left between.
//!
//! It answers in which sequence things might be done; never when. It knows people's clocks,
//! drying in undamped air, deliveries, earliest dates and begin windows. It refuses to know
//! dust, closed places, racks, trips, noise hours and closed houses: dispatch does. Backward
//! it works from a finish by the same clocks turned round.
//!
//! Units: instants in minutes; a person's booked stretches in his own working minutes, where
//! nights and weekends do not exist.

use crate::clock::{Clock, DAY, UNIT};
use crate::schedule::{LONG_PAUSE, Net, bits, stage_ix, window_open};
use crate::trade::Stage;
use crate::work::{Ask, Kind, Step};

/// Not placed.
const NOWHERE: i64 = i64::MIN;
/// Places tried for one step before the last is taken as it is.
const TRIES: usize = 12;

/// Buffers and the last result.
#[derive(Clone, Debug, Default)]
pub struct Gaps {
    /// Booked stretches of each worker, in order.
    busy: Vec<Vec<(i64, i64)>>,
    pub begin: Vec<i64>,
    pub end: Vec<i64>,
    /// Hands of each step.
    pub hands: Vec<u32>,
}

impl Gaps {
    fn reset(&mut self, net: &Net) {
        let n = net.present.len();
        self.busy.resize(net.set.workers.len(), Vec::new());
        self.busy.iter_mut().for_each(Vec::clear);
        for v in [&mut self.begin, &mut self.end] {
            v.clear();
            v.resize(n, NOWHERE);
        }
        self.hands.clear();
        self.hands.resize(n, 0);
    }

    /// Places the steps of the list as early as may be; the finish of the last labor.
    pub fn forward(&mut self, net: &Net, who: &[u32], list: &[u32]) -> i64 {
        self.reset(net);
        let mut finish = 0;
        let mut waiting: Vec<u32> = list.iter().copied().filter(|&s| net.present[s as usize]).collect();
        // A list may name a step before one it needs: such a step waits its turn.
        while !waiting.is_empty() {
            let before = waiting.len();
            waiting.retain(|&s| {
                let s = s as usize;
                if net.deps[s].iter().any(|d| self.begin[d.from] == NOWHERE) {
                    return true;
                }
                self.early(net, who[s], s);
                if net.labor(s) && counts(net, s) {
                    finish = finish.max(self.end[s]);
                }
                false
            });
            if waiting.len() == before {
                break;
            }
        }
        finish
    }

    fn early(&mut self, net: &Net, who: u32, s: usize) {
        let step = &net.graph.steps[s];
        let typical = net.typical[s];
        let mut ready = step.earliest.map_or(0, |e| e.0).max(net.set.origin);
        for d in net.deps[s].iter().filter(|d| counts(net, d.from)) {
            let at = match d.ask {
                Ask::Done => self.end[d.from],
                Ask::Dry(stage) => dry_after(net, d.from, stage, self.end[d.from]),
                Ask::Begun => self.begin[d.from],
                Ask::EndAfterEnd => self.end[d.from] - typical,
                Ask::EndAfterBegin => self.begin[d.from] - typical,
            };
            ready = ready.max(at + d.lag);
        }
        let (mut begin, mut end) = (ready, ready);
        if !counts(net, s) {
        } else if net.labor(s) && typical > 0 {
            for _ in 0..TRIES {
                let from = window_from(net, step, ready);
                (begin, end, self.hands[s]) = self.hands_for(net, who, s, from, true);
                let opens = window_from(net, step, begin);
                let whole = end - begin <= self.minutes(net, s) + LONG_PAUSE;
                if opens > begin {
                    ready = opens;
                } else if step.flags.one_go && step.pieces.len() <= 1 && !whole {
                    // Not in one go today: from the next morning.
                    ready = (begin.div_euclid(DAY) + 1) * DAY;
                } else {
                    break;
                }
            }
            self.book(net, s, begin);
        } else {
            begin = window_from(net, step, ready);
            end = match step.kind {
                Kind::Labor => begin,
                Kind::Elapsed(_) => begin + typical,
                Kind::Business { minutes, .. } => net.set.business.reach(begin, minutes * UNIT).unwrap_or(begin),
                Kind::Decision { at, .. } => begin.max(at.0),
            };
        }
        (self.begin[s], self.end[s]) = (begin, end);
    }

    /// Places the steps, last end first in `list`, as late as `finish` allows.
    pub fn backward(&mut self, net: &Net, who: &[u32], list: &[u32], finish: i64) {
        self.reset(net);
        let mut waiting: Vec<u32> = list.iter().copied().filter(|&s| net.present[s as usize]).collect();
        while !waiting.is_empty() {
            let before = waiting.len();
            waiting.retain(|&s| {
                let s = s as usize;
                if net.followers[s].iter().any(|&f| self.begin[f] == NOWHERE) {
                    return true;
                }
                self.late(net, who[s], s, finish);
                false
            });
            if waiting.len() == before {
                break;
            }
        }
    }

    fn late(&mut self, net: &Net, who: u32, s: usize, finish: i64) {
        let step = &net.graph.steps[s];
        let typical = if counts(net, s) { net.typical[s] } else { 0 };
        let mut by = finish;
        for &f in &net.followers[s] {
            for d in net.deps[f].iter().filter(|d| d.from == s) {
                let at = self.begin[f] - d.lag;
                by = by.min(match d.ask {
                    Ask::Done => at,
                    Ask::Dry(stage) => dry_before(net, s, stage, at),
                    Ask::Begun => at + typical,
                    Ask::EndAfterEnd => self.end[f] - d.lag,
                    Ask::EndAfterBegin => self.end[f] - d.lag + typical,
                });
            }
        }
        let (mut begin, mut end) = (by, by);
        if !counts(net, s) {
        } else if net.labor(s) && typical > 0 {
            for _ in 0..TRIES {
                (begin, end, self.hands[s]) = self.hands_for(net, who, s, by, false);
                let whole = end - begin <= self.minutes(net, s) + LONG_PAUSE;
                if step.flags.one_go && step.pieces.len() <= 1 && !whole && end.div_euclid(DAY) > 0 {
                    by = end.div_euclid(DAY) * DAY;
                } else {
                    break;
                }
            }
            self.book(net, s, begin);
        } else {
            begin = match step.kind {
                Kind::Labor | Kind::Decision { .. } => by,
                Kind::Elapsed(_) => by - typical,
                Kind::Business { minutes, .. } => net.set.business.latest_start(by.max(0), minutes * UNIT).unwrap_or(0),
            };
            end = by;
        }
        (self.begin[s], self.end[s]) = (begin, end);
    }

    /// The hands with the earliest end from `t` (the latest begin up to `t`).
    fn hands_for(&self, net: &Net, who: u32, s: usize, t: i64, forward: bool) -> (i64, i64, u32) {
        let fewest = net.graph.steps[s].crew.fewest;
        let mut best: Option<(i64, i64, u32)> = None;
        let better = |a: (i64, i64, u32), b: Option<(i64, i64, u32)>| {
            b.is_none_or(|b| if forward { a.1 < b.1 } else { a.0 > b.0 })
        };
        if fewest == 1 {
            for p in bits(who) {
                let x = self.place(net, 1 << p, s, t, forward);
                if better(x, best) {
                    best = Some(x);
                }
            }
        } else {
            // The first so many by their own place, then one they share.
            let mut own: Vec<(i64, usize)> = bits(who)
                .map(|p| {
                    let x = self.place(net, 1 << p, s, t, forward);
                    (if forward { x.1 } else { -x.0 }, p)
                })
                .collect();
            own.sort_unstable();
            let people = own.iter().take(fewest).fold(0, |m, x| m | 1 << x.1);
            best = Some(self.place(net, people, s, t, forward));
        }
        best.unwrap_or((t, t, 0))
    }

    /// Minutes the hands last chosen for a step need.
    fn minutes(&self, net: &Net, s: usize) -> i64 {
        need(net, s, self.hands[s])
    }

    /// A place all of `people` have free.
    fn place(&self, net: &Net, people: u32, s: usize, t: i64, forward: bool) -> (i64, i64, u32) {
        let m = need(net, s, people);
        let mut t = t;
        for _ in 0..TRIES {
            let (mut begin, mut end) = if forward { (t, t) } else { (i64::MAX, t) };
            for p in bits(people) {
                let clock = &net.set.workers[p].clock;
                let a = if forward { self.gap_from(p, clock, t, m) } else { self.gap_by(p, clock, t, m) };
                let (b, e) =
                    (time_of(clock, a), if a + m <= 0 { 0 } else { clock.reach(0, (a + m) * UNIT).unwrap_or(t) });
                if forward {
                    begin = begin.max(b);
                    end = end.max(e);
                } else {
                    begin = begin.min(b);
                    end = end.min(e);
                }
            }
            if people.count_ones() <= 1 || forward && begin == t || !forward && end == t {
                return (begin, end, people);
            }
            t = if forward { begin } else { end };
        }
        (t, t, people)
    }

    /// First working minute of `p` from `t` on with `m` free ones.
    fn gap_from(&self, p: usize, clock: &Clock, t: i64, m: i64) -> i64 {
        let mut a = clock.at(t) / UNIT;
        for &(x, y) in &self.busy[p] {
            if x >= a + m {
                break;
            }
            a = a.max(y);
        }
        a
    }

    /// Last working minute of `p` from which `m` free ones end by `t`; negative before the start.
    fn gap_by(&self, p: usize, clock: &Clock, t: i64, m: i64) -> i64 {
        let mut b = clock.at(t) / UNIT + t.min(0);
        for &(x, y) in self.busy[p].iter().rev() {
            if y <= b - m {
                break;
            }
            b = b.min(x);
        }
        b - m
    }

    fn book(&mut self, net: &Net, s: usize, begin: i64) {
        let m = self.minutes(net, s);
        for p in bits(self.hands[s]) {
            let a = net.set.workers[p].clock.at(begin) / UNIT + begin.min(0);
            let i = self.busy[p].partition_point(|b| b.0 < a);
            self.busy[p].insert(i, (a, a + m));
        }
    }
}

/// Steps of the plan; the others take no time here.
fn counts(net: &Net, s: usize) -> bool {
    net.present[s] && net.graph.steps[s].role.planned()
}

fn need(net: &Net, s: usize, people: u32) -> i64 {
    let rate: i64 = bits(people).map(|p| net.set.workers[p].rate).sum();
    (net.typical[s] * 1000 + rate - 1) / rate.max(1)
}

fn time_of(clock: &Clock, a: i64) -> i64 {
    if a < 0 {
        return a;
    }
    clock.reach(0, a * UNIT).and_then(|t| clock.next_on(t)).unwrap_or(0)
}

/// First instant from `t` on at which the step may begin.
fn window_from(net: &Net, step: &Step, t: i64) -> i64 {
    let first = net.set.first_weekday;
    if step.windows.is_empty() || step.windows.iter().any(|w| window_open(w, first, t)) {
        return t;
    }
    let day = t.div_euclid(DAY);
    (day..day + 371)
        .flat_map(|d| step.windows.iter().map(move |w| (d * DAY + w.from, w)))
        .filter(|(at, w)| *at > t && window_open(w, first, *at))
        .map(|(at, _)| at)
        .min()
        .unwrap_or(t)
}

fn dry_after(net: &Net, s: usize, stage: Stage, from: i64) -> i64 {
    let x = net.stage_min[s][stage_ix(stage)].max(0);
    match coat_clock(net, s, stage) {
        Some(c) => c.reach(from.max(0), x * UNIT).unwrap_or(from),
        None => from,
    }
}

fn dry_before(net: &Net, s: usize, stage: Stage, by: i64) -> i64 {
    let x = net.stage_min[s][stage_ix(stage)].max(0);
    match coat_clock(net, s, stage) {
        Some(c) if by > 0 => c.latest_start(by, x * UNIT).unwrap_or(by - x).min(by),
        Some(_) => by - x,
        None => by,
    }
}

fn coat_clock<'n>(net: &'n Net, s: usize, stage: Stage) -> Option<&'n Clock> {
    let step = &net.graph.steps[s];
    let (coat, place) = (step.coat?, step.place?);
    Some(net.set.dry(coat.product, place)?.of(stage))
}
