//! One target put to the test: whether any order could finish by then.
//!
//! Earliest dates go forward by the clocks, latest dates backward from the target; both are
//! tightened to a fixpoint by the steps that must come before or after on the same hands, by
//! pairs that must stand apart, by trips, and by asking how early an end, how late a begin
//! earliest-deadline-first still allows. Every date only ever gets tighter for a reason that
//! holds in every plan, so a target without dates left is refuted.

use super::energy::Energy;
use super::hands::{Hours, pool_clock};
use super::machine::{Load, Machine};
use super::relaxed::{FREE, Relaxed, TieAsk};
use crate::clock::UNIT;
use crate::schedule::Setting;

/// Rounds of tightening for one target.
const ROUNDS: usize = 8;
/// Most steps on one person's hands for which those before and after each are packed.
const MOST_PACKED: usize = 400;
/// Most steps on one person's hands for which single ends are tightened.
const MOST_SHAVED: usize = 48;

/// Earliest and latest dates of every step for one target. A link to its end may hold a
/// step open after its last labor, so labor and end are two dates; coats dry from the first.
#[derive(Clone, PartialEq)]
pub(super) struct Dates {
    pub begin: Vec<i64>,
    pub done: Vec<i64>,
    pub end: Vec<i64>,
    pub last_begin: Vec<i64>,
    pub last_done: Vec<i64>,
    pub last_end: Vec<i64>,
}

/// What the clocks were asked last, and their answer: most dates stand still in a round.
#[derive(Clone, Debug, Default)]
struct Memo {
    may_begin: Vec<(i64, i64)>,
    end_from: Vec<(i64, i64)>,
    begin_by: Vec<(i64, i64)>,
    dry_at: Vec<(i64, i64)>,
    dry_before: Vec<(i64, i64)>,
    /// Two to a pair.
    clear: Vec<(i64, i64)>,
}

/// Marks of a decided pair, by which of the two goes first.
pub(super) const DECIDED: [u8; 2] = [1, 2];

/// No answer.
const NONE: i64 = i64::MIN;

impl Memo {
    fn new(work: &Relaxed) -> Memo {
        let fill = |n: usize| vec![(NONE, NONE); n];
        let (n, ties) = (work.steps.len(), work.ties.len());
        Memo {
            may_begin: fill(n),
            end_from: fill(n),
            begin_by: fill(n),
            dry_at: fill(ties),
            dry_before: fill(ties),
            clear: fill(2 * work.apart.len()),
        }
    }
}

/// The answer to `x`, from memory where it was asked last.
fn asked(slot: &mut (i64, i64), x: i64, answer: impl FnOnce() -> i64) -> i64 {
    if slot.0 != x {
        *slot = (x, answer());
    }
    slot.1
}

/// A relaxed work with the hands that must do it.
pub(super) struct Test<'a> {
    pub work: &'a Relaxed<'a>,
    machines: Vec<Machine>,
    energy: Energy,
    pub heads: Dates,
    hands: bool,
    memo: Memo,
}

impl<'a> Test<'a> {
    pub fn new(setting: &Setting, work: &'a Relaxed<'a>) -> Test<'a> {
        let n = work.steps.len();
        // People sets: each as some step names it, everybody, and each by himself where all
        // hands of a step are needed.
        let mut sets: Vec<u64> = work.steps.iter().map(|s| s.who).filter(|&w| w != 0).collect();
        sets.push(sets.iter().fold(0, |a, b| a | b));
        if setting.workers.len() <= 64 {
            let together = work.steps.iter().filter(|s| s.all_hands).fold(0, |a, s| a | s.who);
            sets.extend((0..64).map(|k| together & 1 << k));
        }
        sets.sort_unstable();
        sets.dedup();
        // Steps that end before another begins, through links of that kind only.
        let words = n.div_ceil(64);
        let mut ended = vec![vec![0u64; words]; n];
        for &i in &work.order {
            for &t in &work.into[i] {
                let tie = &work.ties[t];
                if matches!(tie.ask, TieAsk::Done | TieAsk::Dry(..)) && tie.lag >= 0 {
                    let earlier = ended[tie.from].clone();
                    ended[i].iter_mut().zip(earlier).for_each(|(a, b)| *a |= b);
                    ended[i][tie.from / 64] |= 1 << (tie.from % 64);
                }
            }
        }
        let hours = hours(setting, work);
        let machine = |who: u64, hours: Hours| {
            // One person also does his part of what needs all hands.
            let one = who.count_ones() == 1 && setting.workers.len() <= 64;
            let his = |i: usize| {
                let s = &work.steps[i];
                let here = match hours {
                    Hours::All => true,
                    Hours::House(_) => s.house.is_some(),
                    Hours::Noise(_) => s.noisy,
                    Hours::Place(p) => s.place == Some(p),
                };
                here && s.labor > 0 && (s.who & !who == 0 || one && s.all_hands && s.who & who != 0)
            };
            let jobs: Vec<usize> = (0..n).filter(|&i| his(i)).collect();
            let rate = if one { setting.workers[who.trailing_zeros() as usize].rate * UNIT / 1000 } else { 0 };
            let labor = |&j: &usize| match work.steps[j].minutes {
                Some(m) if one => m * rate,
                _ => work.steps[j].labor,
            };
            let labor = jobs.iter().map(labor).collect();
            let bases = jobs.iter().map(|&j| work.steps[j].base.map(|b| (b, setting.away[b]))).collect();
            let clock = pool_clock(setting, who, hours);
            let m = Machine::new(clock, jobs, labor, |a, b| ended[b][a / 64] >> (a % 64) & 1 == 1);
            if one && work.trips { m.driving(bases, rate) } else { m }
        };
        let mut machines: Vec<Machine> = Vec::new();
        for who in sets.into_iter().filter(|&w| w != 0) {
            for &h in &hours {
                // Nobody slows himself.
                if matches!(h, Hours::Place(_)) && who.count_ones() == 1 {
                    continue;
                }
                let m = machine(who, h);
                if !m.jobs.is_empty() {
                    machines.push(m);
                }
            }
        }
        // The finish is that of the last labor if there will be any.
        let hands = work.worked;
        let (zero, free) = (vec![0; n], vec![FREE; n]);
        let heads = Dates {
            begin: zero.clone(),
            done: zero.clone(),
            end: zero,
            last_begin: free.clone(),
            last_done: free.clone(),
            last_end: free,
        };
        let energy = Energy::new(work);
        let mut test = Test { work, machines, energy, heads, hands, memo: Memo::new(work) };
        let mut heads = test.heads.clone();
        test.forward(&mut heads);
        test.heads = heads;
        test
    }

    /// What of a step the finish of the job asks about.
    fn finish(&self, d: &Dates, i: usize) -> i64 {
        if self.hands { d.done[i] } else { d.end[i] }
    }

    fn counts(&self, i: usize) -> bool {
        !self.hands || self.work.steps[i].labor > 0
    }

    /// The smallest target not refuted, from `from` on.
    pub fn smallest(&mut self, from: i64) -> i64 {
        let n = self.work.steps.len();
        let first = (0..n).filter(|&i| self.counts(i)).map(|i| self.finish(&self.heads, i)).max().unwrap_or(0);
        let first = first.max(from);
        if first >= FREE {
            return FREE;
        }
        // Single ends are tightened only where the rest refutes no more.
        let cheap = self.first_open(first, false);
        self.first_open(cheap, true)
    }

    /// The first target from `first` on that is not refuted.
    fn first_open(&mut self, first: i64, singly: bool) -> i64 {
        if !self.refutes(first, singly) {
            return first;
        }
        // `low` is refuted, `high` is not.
        let (mut low, mut step) = (first, if singly { 15 } else { 480 });
        let mut high = loop {
            if !self.refutes(low + step, singly) {
                break low + step;
            }
            low += step;
            step *= 2;
            if step > 1 << 24 {
                return low + 1;
            }
        };
        while high - low > 1 {
            let mid = low + (high - low) / 2;
            if self.refutes(mid, singly) { low = mid } else { high = mid }
        }
        high
    }

    /// Whether no order can finish by `target`; `singly` with single ends tightened.
    fn refutes(&mut self, target: i64, singly: bool) -> bool {
        let mut d = self.heads.clone();
        self.aim(&mut d, target);
        !self.narrow(&mut d, &[], singly)
    }

    /// Deadlines from a target.
    pub fn aim(&self, d: &mut Dates, target: i64) {
        for i in 0..self.work.steps.len() {
            if self.counts(i) {
                let last = if self.hands { &mut d.last_done[i] } else { &mut d.last_end[i] };
                *last = (*last).min(target);
            }
        }
    }

    /// Tightens all dates to a fixpoint (or for a number of rounds); `false` where they admit
    /// no order. `first` holds per pair that must stand apart which goes first where that is
    /// decided: [`DECIDED`] of its place, 0 for open; empty for none decided.
    pub fn narrow(&mut self, d: &mut Dates, first: &[u8], singly: bool) -> bool {
        let mut load = Load::new();
        let mut scratch = Vec::new();
        for _ in 0..ROUNDS {
            let was = d.clone();
            self.forward(d);
            if !self.backward(d) || crossed(d) || !self.stand_apart(d, first) || !self.energy.suffices(d) {
                return false;
            }
            for m in &self.machines {
                m.load(&d.begin, &d.last_done, &mut load);
                m.drives(d, &mut load);
                if !load.feasible() {
                    return false;
                }
                self.tighten(m, &load, &mut scratch, d);
            }
            if was == *d {
                // Single ends only once nothing cheaper helps.
                for m in self.machines.iter().filter(|m| singly && m.jobs.len() <= MOST_SHAVED) {
                    m.load(&d.begin, &d.last_done, &mut load);
                    m.drives(d, &mut load);
                    (0..m.jobs.len()).for_each(|x| shave(m, x, &mut load, d));
                }
                if was == *d {
                    return true;
                }
            }
        }
        !crossed(d)
    }

    /// Earliest begins and ends by the clocks.
    fn forward(&mut self, d: &mut Dates) {
        for &i in &self.work.order {
            let (mut b, mut e) = (d.begin[i], d.end[i]);
            for &t in &self.work.into[i] {
                let tie = &self.work.ties[t];
                let (from_begin, from_end) = (d.begin[tie.from], d.end[tie.from]);
                if from_end >= FREE {
                    b = FREE;
                    continue;
                }
                match tie.ask {
                    TieAsk::Done => b = b.max(from_end + tie.lag),
                    TieAsk::Dry(clock, need) => {
                        let done = d.done[tie.from];
                        let dry = asked(&mut self.memo.dry_at[t], done, || self.work.dry_at(clock, need, done));
                        b = b.max(dry.saturating_add(tie.lag).min(FREE));
                    }
                    TieAsk::Begun => b = b.max(from_begin + tie.lag),
                    TieAsk::EndEnd => e = e.max(from_end + tie.lag),
                    TieAsk::BeginEnd => e = e.max(from_begin + tie.lag),
                }
            }
            let b = asked(&mut self.memo.may_begin[i], b, || self.work.may_begin(i, b));
            d.begin[i] = b;
            d.done[i] = d.done[i].max(asked(&mut self.memo.end_from[i], b, || self.work.end_from(i, b)));
            d.end[i] = d.done[i].max(e);
        }
    }

    /// Latest ends and begins by the clocks; `false` where there is none.
    fn backward(&mut self, d: &mut Dates) -> bool {
        for &i in self.work.order.iter().rev() {
            let (mut b, mut x, mut e) = (d.last_begin[i], d.last_done[i], d.last_end[i]);
            for &t in &self.work.out_of[i] {
                let tie = &self.work.ties[t];
                let (to_begin, to_end) = (d.last_begin[tie.to], d.last_end[tie.to]);
                match tie.ask {
                    TieAsk::Done if to_begin < FREE => e = e.min(to_begin - tie.lag),
                    TieAsk::Dry(clock, need) if to_begin < FREE => {
                        let by = to_begin - tie.lag;
                        let before = || self.work.dry_before(clock, need, by).unwrap_or(NONE);
                        match asked(&mut self.memo.dry_before[t], by, before) {
                            NONE => return false,
                            u => x = x.min(u),
                        }
                    }
                    TieAsk::Begun if to_begin < FREE => b = b.min(to_begin - tie.lag),
                    TieAsk::EndEnd if to_end < FREE => e = e.min(to_end - tie.lag),
                    TieAsk::BeginEnd if to_end < FREE => b = b.min(to_end - tie.lag),
                    _ => {}
                }
            }
            x = x.min(e);
            let own = asked(&mut self.memo.begin_by[i], x, || self.work.begin_by(i, x).unwrap_or(NONE));
            if own == NONE {
                return false;
            }
            (d.last_begin[i], d.last_done[i], d.last_end[i]) = (b.min(own), x, e);
        }
        true
    }

    /// The pair still open both ways whose tighter way has least to spare, minutes.
    pub fn open_pair(&mut self, d: &Dates, decided: &[u8]) -> Option<usize> {
        let work = self.work;
        let mut best: Option<(i64, usize)> = None;
        for (k, pair) in work.apart.iter().enumerate() {
            if decided.get(k).is_some_and(|&x| x != 0) {
                continue;
            }
            let spare = [0, 1].map(|first| {
                let end = d.done[pair.pair[first]];
                let clear = asked(&mut self.memo.clear[2 * k + first], end, || match pair.wait[first] {
                    _ if end >= FREE => FREE,
                    (TieAsk::Dry(clock, need), _) => work.dry_at(clock, need, end),
                    (_, lag) => end + lag,
                });
                d.last_begin[pair.pair[1 - first]] - clear
            });
            // A pair one of whose orders links already settle is never open both ways for long.
            if spare[0] >= 0 && spare[1] >= 0 {
                let least = spare[0].min(spare[1]);
                if best.is_none_or(|b| least < b.0) {
                    best = Some((least, k));
                }
            }
        }
        best.map(|b| b.1)
    }

    /// Pairs of which only one order is left follow it; `false` where neither is.
    fn stand_apart(&mut self, d: &mut Dates, decided: &[u8]) -> bool {
        let work = self.work;
        for (k, pair) in work.apart.iter().enumerate() {
            let mut clear = |d: &Dates, first: usize| {
                let (ask, lag) = &pair.wait[first];
                let end = d.done[pair.pair[first]];
                asked(&mut self.memo.clear[2 * k + first], end, || match ask {
                    _ if end >= FREE => FREE,
                    TieAsk::Dry(clock, need) => work.dry_at(*clock, *need, end),
                    _ => end + lag,
                })
            };
            let may = [0, 1].map(|first| {
                let open = decided.get(k).is_none_or(|&x| x == 0 || x == DECIDED[first]);
                open && clear(d, first) <= d.last_begin[pair.pair[1 - first]]
            });
            let first = match may {
                [false, false] => return false,
                [true, true] => continue,
                [yes, _] => usize::from(!yes),
            };
            let (i, j) = (pair.pair[first], pair.pair[1 - first]);
            d.begin[j] = d.begin[j].max(clear(d, first));
            let by = d.last_begin[j];
            if by < FREE {
                let (ask, lag) = &pair.wait[first];
                let end = match ask {
                    TieAsk::Dry(clock, need) => work.dry_before(*clock, *need, by),
                    _ => Some(by - lag),
                };
                let Some(end) = end else { return false };
                d.last_done[i] = d.last_done[i].min(end);
            }
        }
        true
    }

    /// Earliest begins and ends, latest ends from what one machine must do.
    fn tighten(&self, m: &Machine, load: &Load, scratch: &mut Vec<usize>, d: &mut Dates) {
        if m.jobs.len() > MOST_PACKED {
            return;
        }
        for (x, &j) in m.jobs.iter().enumerate() {
            d.begin[j] = d.begin[j].max(m.packed_before(x, load));
        }
        load.by_deadline(m.jobs.len(), scratch);
        for (x, &j) in m.jobs.iter().enumerate() {
            d.last_done[j] = d.last_done[j].min(m.packed_after(x, load, scratch));
        }
        if self.work.trips {
            for (x, &j) in m.jobs.iter().enumerate() {
                for i in m.before(x).map(|y| m.jobs[y]) {
                    d.done[j] = d.done[j].max(self.work.end_after(i, j, d.done[i], d.begin[j]));
                }
            }
        }
    }
}

/// The kinds of hours and steps that may bind a job's hands more than all of them.
fn hours(setting: &Setting, work: &Relaxed) -> Vec<Hours> {
    let mut out = vec![Hours::All];
    if let Some(p) = work.steps.iter().find_map(|s| s.house) {
        if !setting.house_closed.is_empty() {
            out.push(Hours::House(p));
        }
        if setting.noise.is_some() && work.steps.iter().any(|s| s.noisy) {
            out.push(Hours::Noise(p));
        }
    }
    if setting.workers.iter().any(|w| w.helper) {
        let mut places: Vec<usize> = work.steps.iter().filter_map(|s| s.place).collect();
        places.sort_unstable();
        places.dedup();
        out.extend(places.into_iter().map(Hours::Place));
    }
    out
}

/// The earliest end and the latest begin of one job that earliest-deadline-first allows.
fn shave(m: &Machine, x: usize, load: &mut Load, d: &mut Dates) {
    let j = m.jobs[x];
    let (begin, end) = (d.begin[j], d.last_done[j]);
    if end >= FREE || begin >= FREE || begin >= end {
        return;
    }
    let (release, deadline) = (load.release[x], load.deadline[x]);
    let mut allows = |begin: i64, end: i64| {
        load.set(x, m.clock.at(begin), m.clock.at(end));
        load.feasible()
    };
    // Smallest deadline allowed.
    let (mut low, mut high) = (d.done[j], end);
    if low < high && !allows(begin, low) {
        while high - low > 1 {
            let mid = low + (high - low) / 2;
            if allows(begin, mid) { high = mid } else { low = mid }
        }
        d.done[j] = high;
    }
    // Largest release allowed.
    let (mut low, mut high) = (begin, d.last_begin[j].min(end));
    if high < FREE && low < high && !allows(high, end) {
        while high - low > 1 {
            let mid = low + (high - low) / 2;
            if allows(mid, end) { low = mid } else { high = mid }
        }
        d.last_begin[j] = low;
    }
    load.set(x, release, deadline);
}

/// Whether an earliest date has passed its latest.
fn crossed(d: &Dates) -> bool {
    (0..d.begin.len()).any(|i| d.begin[i] > d.last_begin[i] || d.done[i] > d.last_done[i] || d.end[i] > d.last_end[i])
}
