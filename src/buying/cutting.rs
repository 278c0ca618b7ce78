//! How few sticks, and which, the pieces of one profile can be cut from.
//!
//! One-dimensional cutting with a kerf and several stock lengths, each with its price: the
//! cheapest whole sticks. A lower bound comes from the relaxation over all cutting patterns
//! (P. C. Gilmore and R. E. Gomory, *Operations Research* 9 (1961) 849-859; its dual prices are
//! scaled as A. A. Farley does, *Operations Research* 38 (1990) 922-923, so that it holds
//! wherever the work on it stops; both from memory). The sticks come from its whole patterns,
//! the rest from a search that is exhaustive on small jobs. Where cost and bound meet, or the
//! search went through everything, the answer is proven; else the gap is said.
//!
//! A piece takes its length and one kerf, a stick offers its length and one kerf more: the last
//! cut of a stick cut up wholly is none. Lengths are whole units of [`Length`], prices cents.
//! It refuses to know profiles, walls and miters: what a piece must measure is the caller's. The
//! work is bounded by counts, never by time: a large job is cut in full and its gap is said.
//!
//! One file because relaxation, search and proof share one task and its limits.

use std::collections::BTreeMap;

use crate::measure::{Length, Money};

/// Search steps spent on what the whole patterns leave.
const STEPS: u64 = 200_000;
/// Patterns tried for one stick while the relaxation is solved.
const TRIES: u64 = 300_000;
/// Rounds of the relaxation, and patterns tried in all of them together.
const ROUNDS: usize = 2_000;
const EFFORT: u64 = 20_000_000;
/// Ways to fill sticks gone through in one search, and kept for one stock at one place of it, on
/// small jobs and on large ones; there the first found, longest pieces first.
const FILLS: (u64, u64) = (10_000_000, 500_000);
const KEPT: (usize, usize) = (4_000, 100);
/// Pieces up to which the whole job is searched through, relaxation or not.
const SMALL: u64 = 60;
const TINY: f64 = 1e-9;

/// A length sold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stock {
    pub length: Length,
    /// Of one stick, above 0.
    pub price: Money,
}

/// Pieces of one length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wanted {
    pub length: Length,
    pub count: u32,
}

/// So many sticks cut alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stick {
    /// Index of the stock.
    pub stock: usize,
    pub times: u32,
    /// Index of each piece wanted, longest first.
    pub pieces: Vec<usize>,
}

/// What to buy and how to cut it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cutting {
    /// Longest stock first.
    pub sticks: Vec<Stick>,
    pub cost: Money,
    /// No way to cut it costs less.
    pub bound: Money,
    /// Nothing cheaper exists.
    pub proven: bool,
}

impl Cutting {
    /// Sticks to buy.
    pub fn count(&self) -> u32 {
        self.sticks.iter().map(|s| s.times).sum()
    }
}

/// Why nothing can be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Uncut {
    /// This piece is longer than every stock.
    TooLong(usize),
    /// A length not above 0, a kerf below 0, or a price not above 0.
    NoMeasure,
}

/// The cheapest sticks for these pieces, `kerf` lost at each cut.
///
/// # Errors
/// [`Uncut`]: a piece no stock holds, or a measure that is none.
pub fn cut(wanted: &[Wanted], stock: &[Stock], kerf: Length) -> Result<Cutting, Uncut> {
    let sound = wanted.iter().all(|w| w.length.0 > 0) && stock.iter().all(|s| s.length.0 > 0 && s.price.0 > 0);
    if !sound || kerf.0 < 0 {
        return Err(Uncut::NoMeasure);
    }
    // Pieces longest first, those of one length together.
    let mut kinds: Vec<(i64, u32, Vec<usize>)> = Vec::new();
    let mut by_length: Vec<usize> = (0..wanted.len()).filter(|&i| wanted[i].count > 0).collect();
    by_length.sort_by_key(|&i| (-wanted[i].length.0, i));
    for i in by_length {
        let (w, names) = (wanted[i], std::iter::repeat_n(i, wanted[i].count as usize));
        match kinds.last_mut() {
            Some(k) if k.0 == w.length.0 => {
                k.1 += w.count;
                k.2.extend(names);
            }
            _ => kinds.push((w.length.0, w.count, names.collect())),
        }
    }
    let longest = stock.iter().map(|s| s.length.0).max().unwrap_or(0);
    if let Some(k) = kinds.iter().find(|k| k.0 > longest) {
        return Err(Uncut::TooLong(k.2[0]));
    }
    let task = Task {
        size: kinds.iter().map(|k| k.0 + kerf.0).collect(),
        count: kinds.iter().map(|k| k.1).collect(),
        room: stock.iter().map(|s| s.length.0 + kerf.0).collect(),
        price: stock.iter().map(|s| s.price.0).collect(),
        step: stock.iter().map(|s| s.price.0).fold(0, gcd).max(1),
    };
    let (patterns, bound, proven) = task.solve();
    Ok(named(&patterns, kinds, stock, &task, bound, proven))
}

/// Patterns with the caller's pieces in them, alike ones together.
fn named(
    patterns: &[(Pattern, u32)],
    mut kinds: Vec<(i64, u32, Vec<usize>)>,
    stock: &[Stock],
    task: &Task,
    bound: i64,
    proven: bool,
) -> Cutting {
    for k in &mut kinds {
        k.2.reverse();
    }
    let mut sticks: Vec<Stick> = Vec::new();
    for (p, times) in patterns {
        for _ in 0..*times {
            let mut pieces = Vec::new();
            for (kind, n) in p.take.iter().enumerate() {
                pieces.extend((0..*n).filter_map(|_| kinds[kind].2.pop()));
            }
            match sticks.last_mut() {
                Some(s) if s.stock == p.stock && s.pieces == pieces => s.times += 1,
                _ => sticks.push(Stick { stock: p.stock, times: 1, pieces }),
            }
        }
    }
    sticks.sort_by_key(|s| -stock[s.stock].length.0);
    let cost: i64 = patterns.iter().map(|(p, n)| task.price[p.stock] * i64::from(*n)).sum();
    Cutting { sticks, cost: Money(cost), bound: Money(bound.min(cost)), proven }
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// How one stick is cut: pieces of each kind.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Pattern {
    stock: usize,
    take: Vec<u32>,
}

/// The job in whole numbers, kinds longest first.
struct Task {
    size: Vec<i64>,
    count: Vec<u32>,
    room: Vec<i64>,
    price: Vec<i64>,
    /// What every cost is a multiple of.
    step: i64,
}

impl Task {
    fn whole(&self, cost: f64) -> i64 {
        let steps = cost / self.step as f64;
        libm::ceil(steps - 1e-6 * (1.0 + steps.abs() * 1e-3)) as i64 * self.step
    }

    fn solve(&self) -> (Vec<(Pattern, u32)>, i64, bool) {
        if self.size.is_empty() {
            return (Vec::new(), 0, true);
        }
        let relaxed = self.relax();
        let bound = self.whole(relaxed.bound);
        let cost = |ps: &[(Pattern, u32)]| ps.iter().map(|(p, n)| self.price[p.stock] * i64::from(*n)).sum::<i64>();
        let mut best = self.greedy(&self.count);
        // Whole patterns of the relaxation, what they leave searched through.
        let mut left = self.count.clone();
        let mut whole: Vec<(Pattern, u32)> = Vec::new();
        let mut parts = relaxed.patterns;
        parts.sort_by(|a, b| b.1.total_cmp(&a.1));
        for (p, x) in parts {
            let most = p.take.iter().zip(&left).filter(|(t, _)| **t > 0).map(|(t, l)| l / t).min().unwrap_or(0);
            let n = (libm::floor(x + 1e-6).max(0.0) as u32).min(most);
            if n > 0 {
                p.take.iter().zip(&mut left).for_each(|(t, l)| *l -= t * n);
                whole.push((p, n));
            }
        }
        let mut search = Search::new(self, &relaxed.dual, &left);
        let rest = search.run(&left, cost(&best) - cost(&whole), bound - cost(&whole));
        if let Some(rest) = rest.0 {
            whole.extend(rest);
            best = whole;
        }
        let mut proven = cost(&best) <= bound;
        if !proven && self.count.iter().map(|c| u64::from(*c)).sum::<u64>() <= SMALL {
            let mut search = Search::new(self, &relaxed.dual, &self.count);
            let (better, all) = search.run(&self.count, cost(&best), bound);
            best = better.unwrap_or(best);
            proven = all || cost(&best) <= bound;
        }
        let bound = if proven { cost(&best) } else { bound };
        (best, bound, proven)
    }

    /// Longest piece first, each stick filled; the stock with least cost for what goes in.
    fn greedy(&self, count: &[u32]) -> Vec<(Pattern, u32)> {
        let mut left = count.to_vec();
        let mut out: Vec<(Pattern, u32)> = Vec::new();
        while left.iter().any(|n| *n > 0) {
            let fill = |stock: usize| {
                let mut room = self.room[stock];
                let mut take = vec![0; left.len()];
                for (i, &n) in left.iter().enumerate() {
                    take[i] = n.min((room / self.size[i]) as u32);
                    room -= self.size[i] * i64::from(take[i]);
                }
                (Pattern { stock, take }, self.room[stock] - room)
            };
            let longest = left.iter().position(|n| *n > 0).map_or(0, |i| self.size[i]);
            let fits = (0..self.room.len()).filter(|&s| self.room[s] >= longest).map(fill);
            let worth = |(p, used): &(Pattern, i64)| self.price[p.stock] as f64 / *used as f64;
            let Some((p, _)) = fits.min_by(|a, b| worth(a).total_cmp(&worth(b))) else { break };
            p.take.iter().zip(&mut left).for_each(|(t, l)| *l -= t);
            match out.last_mut() {
                Some((last, n)) if *last == p => *n += 1,
                _ => out.push((p, 1)),
            }
        }
        out
    }

    /// The most worth one stick can hold at a worth per kind, and no worth above which any holds.
    fn fullest(&self, stock: usize, worth: &[f64], effort: &mut u64) -> (Vec<u32>, f64, f64) {
        let mut by: Vec<usize> = (0..self.size.len()).filter(|&i| worth[i] > TINY).collect();
        let density = |i: usize| worth[i] / self.size[i] as f64;
        by.sort_by(|&a, &b| density(b).total_cmp(&density(a)).then(a.cmp(&b)));
        let tries = TRIES.min(*effort);
        let mut knap = Knap { task: self, by: &by, worth, best: 0.0, take: vec![0; worth.len()], tries };
        let mut now = vec![0; worth.len()];
        knap.put(0, self.room[stock], 0.0, &mut now);
        *effort -= tries - knap.tries;
        let most =
            if knap.tries > 0 { knap.best } else { by.first().map_or(0.0, |&i| density(i) * self.room[stock] as f64) };
        (knap.take, knap.best, most)
    }

    /// The relaxation by columns: its patterns with their shares, dual prices scaled to hold, bound.
    fn relax(&self) -> Relaxed {
        let m = self.size.len();
        // Begins with each kind alone on the cheapest stick that holds it.
        let alone = |i: usize| {
            let fits = (0..self.room.len()).filter(|&s| self.room[s] >= self.size[i]);
            let per = |s: usize| ((self.room[s] / self.size[i]) as u32).min(self.count[i]).max(1);
            let stock = fits.min_by(|&a, &b| {
                let cost = |s: usize| self.price[s] as f64 / f64::from(per(s));
                cost(a).total_cmp(&cost(b))
            });
            let stock = stock.unwrap_or(0);
            let mut take = vec![0; m];
            take[i] = per(stock);
            Pattern { stock, take }
        };
        let mut basis: Vec<Pattern> = (0..m).map(alone).collect();
        let mut inverse = vec![vec![0.0; m]; m];
        let mut x: Vec<f64> = Vec::new();
        for i in 0..m {
            inverse[i][i] = 1.0 / f64::from(basis[i].take[i]);
            x.push(f64::from(self.count[i]) * inverse[i][i]);
        }
        let mut out = Relaxed { patterns: Vec::new(), dual: vec![0.0; m], bound: 0.0 };
        let mut effort = EFFORT;
        for _ in 0..ROUNDS {
            let price = |p: &Pattern| self.price[p.stock] as f64;
            let dual: Vec<f64> =
                (0..m).map(|j| (0..m).map(|i| price(&basis[i]) * inverse[i][j]).sum::<f64>().max(0.0)).collect();
            let full: Vec<(Vec<u32>, f64, f64)> =
                (0..self.room.len()).map(|s| self.fullest(s, &dual, &mut effort)).collect();
            let over = (0..full.len()).map(|s| full[s].2 / self.price[s] as f64).fold(1.0, f64::max);
            let all: f64 = dual.iter().zip(&self.count).map(|(y, n)| y * f64::from(*n)).sum();
            if all / over > out.bound {
                out.bound = all / over;
                // A hair below, so that rounding never makes a bound too high.
                out.dual = dual.iter().map(|y| y / over * (1.0 - 1e-12)).collect();
            }
            let gain = |s: usize| full[s].1 - self.price[s] as f64;
            let enters = (0..full.len()).max_by(|&a, &b| gain(a).total_cmp(&gain(b)));
            let Some(stock) = enters.filter(|&s| gain(s) > 1e-7 * self.price[s] as f64) else { break };
            let take = full[stock].0.clone();
            let u: Vec<f64> = (0..m).map(|i| (0..m).map(|j| inverse[i][j] * f64::from(take[j])).sum::<f64>()).collect();
            let ratio = |i: usize| x[i].max(0.0) / u[i];
            let leaves = (0..m).filter(|&i| u[i] > TINY).min_by(|&a, &b| ratio(a).total_cmp(&ratio(b)));
            let Some(out_row) = leaves else { break };
            let t = ratio(out_row);
            for i in 0..m {
                if i != out_row {
                    let by = u[i] / u[out_row];
                    for j in 0..m {
                        inverse[i][j] -= by * inverse[out_row][j];
                    }
                    x[i] -= u[i] * t;
                }
            }
            inverse[out_row].iter_mut().for_each(|v| *v /= u[out_row]);
            x[out_row] = t;
            basis[out_row] = Pattern { stock, take };
        }
        out.patterns = basis.into_iter().zip(x).filter(|(_, x)| *x > 1e-7).collect();
        out
    }
}

struct Relaxed {
    patterns: Vec<(Pattern, f64)>,
    /// No stick holds more worth at these prices than it costs.
    dual: Vec<f64>,
    bound: f64,
}

/// The fullest stick by worth: depth first, the densest kind first.
struct Knap<'a> {
    task: &'a Task,
    by: &'a [usize],
    worth: &'a [f64],
    best: f64,
    take: Vec<u32>,
    tries: u64,
}

impl Knap<'_> {
    fn put(&mut self, at: usize, room: i64, worth: f64, now: &mut Vec<u32>) {
        if worth > self.best {
            self.best = worth;
            self.take.clone_from(now);
        }
        let Some(&i) = self.by.get(at) else { return };
        let density = self.worth[i] / self.task.size[i] as f64;
        if self.tries == 0 || worth + density * room as f64 <= self.best * (1.0 + 1e-12) {
            return;
        }
        self.tries -= 1;
        let most = ((room / self.task.size[i]) as u32).min(self.task.count[i]);
        for n in (0..=most).rev() {
            now[i] = n;
            let (taken, by) = (self.task.size[i] * i64::from(n), self.worth[i] * f64::from(n));
            self.put(at + 1, room - taken, worth + by, now);
        }
        now[i] = 0;
    }
}

/// Sticks for the longest piece left, the least waste first; states seen cheaper are not
/// gone into again.
struct Search<'a> {
    task: &'a Task,
    dual: &'a [f64],
    steps: u64,
    fills: u64,
    kept: usize,
    /// Some way to fill a stick was left out.
    short: bool,
    seen: BTreeMap<Vec<u32>, i64>,
    best: Option<Vec<Pattern>>,
}

impl<'a> Search<'a> {
    fn new(task: &'a Task, dual: &'a [f64], count: &[u32]) -> Search<'a> {
        let small = count.iter().map(|c| u64::from(*c)).sum::<u64>() <= SMALL;
        let (fills, kept) = if small { (FILLS.0, KEPT.0) } else { (FILLS.1, KEPT.1) };
        Search { task, dual, steps: STEPS, fills, kept, short: false, seen: BTreeMap::new(), best: None }
    }

    /// Sticks cheaper than `below`, if any were found, and whether all were gone through or the
    /// bound was met.
    fn run(&mut self, left: &[u32], below: i64, bound: i64) -> (Option<Vec<(Pattern, u32)>>, bool) {
        let mut below = below;
        let all = self.go(left, 0, &mut below, bound, &mut Vec::new());
        let mut out: Vec<(Pattern, u32)> = Vec::new();
        let Some(best) = self.best.take() else { return (None, all) };
        for p in best {
            match out.iter_mut().find(|(q, _)| *q == p) {
                Some((_, n)) => *n += 1,
                None => out.push((p, 1)),
            }
        }
        (Some(out), all)
    }

    fn go(&mut self, left: &[u32], spent: i64, below: &mut i64, bound: i64, way: &mut Vec<Pattern>) -> bool {
        let Some(first) = left.iter().position(|n| *n > 0) else {
            if spent < *below {
                *below = spent;
                self.best = Some(way.clone());
            }
            return true;
        };
        let worth: f64 = left.iter().zip(self.dual).map(|(n, y)| f64::from(*n) * y).sum();
        if spent + self.task.whole(worth) >= *below || *below <= bound {
            return true;
        }
        if self.seen.get(left).is_some_and(|s| *s <= spent) {
            return true;
        }
        if self.steps == 0 {
            return false;
        }
        self.steps -= 1;
        self.seen.insert(left.to_vec(), spent);
        let mut next: Vec<(f64, Pattern)> = Vec::new();
        for stock in (0..self.task.room.len()).filter(|&s| self.task.room[s] >= self.task.size[first]) {
            let mut take = vec![0; left.len()];
            take[first] = 1;
            let room = self.task.room[stock] - self.task.size[first];
            let most = next.len() + self.kept;
            self.maximal(left, first, stock, room, most, &mut take, &mut next);
        }
        let mut all = !std::mem::take(&mut self.short);
        next.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (_, p) in next {
            let rest: Vec<u32> = left.iter().zip(&p.take).map(|(l, t)| l - t).collect();
            let cost = spent + self.task.price[p.stock];
            way.push(p);
            all &= self.go(&rest, cost, below, bound, way);
            way.pop();
            if *below <= bound {
                return true;
            }
        }
        all
    }

    /// Every way to fill a stick so that no piece left still fits, up to `most` ways in `out`.
    fn maximal(
        &mut self,
        left: &[u32],
        at: usize,
        stock: usize,
        room: i64,
        most: usize,
        take: &mut Vec<u32>,
        out: &mut Vec<(f64, Pattern)>,
    ) {
        if out.len() >= most || self.fills == 0 {
            self.short = true;
            return;
        }
        self.fills -= 1;
        // Kinds of which nothing is left, or which no longer fit, are passed over.
        let next = (at..left.len()).find(|&i| take[i] < left[i] && self.task.size[i] <= room);
        let Some(at) = next else {
            let fits = (0..left.len()).any(|i| take[i] < left[i] && self.task.size[i] <= room);
            if !fits {
                let worth: f64 = take.iter().zip(self.dual).map(|(n, y)| f64::from(*n) * y).sum();
                out.push((self.task.price[stock] as f64 - worth, Pattern { stock, take: take.clone() }));
            }
            return;
        };
        let already = take[at];
        let more = ((room / self.task.size[at]).max(0) as u32).min(left[at] - already);
        for n in (0..=more).rev() {
            take[at] = already + n;
            self.maximal(left, at + 1, stock, room - self.task.size[at] * i64::from(n), most, take, out);
        }
        take[at] = already;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn units(wanted: &[(i64, u32)], stock: &[(i64, i64)], kerf: i64) -> Cutting {
        let wanted: Vec<Wanted> = wanted.iter().map(|&(l, count)| Wanted { length: Length(l), count }).collect();
        let stock: Vec<Stock> = stock.iter().map(|&(l, p)| Stock { length: Length(l), price: Money(p) }).collect();
        let c = cut(&wanted, &stock, Length(kerf)).expect("can be cut");
        // Every piece once, no stick overfull, the cost that of the sticks.
        let mut got = vec![0; wanted.len()];
        for s in &c.sticks {
            let used: i64 = s.pieces.iter().map(|&p| wanted[p].length.0 + kerf).sum();
            assert!(used <= stock[s.stock].length.0 + kerf, "{s:?}");
            s.pieces.iter().for_each(|&p| got[p] += s.times);
        }
        assert_eq!(got, wanted.iter().map(|w| w.count).collect::<Vec<_>>());
        assert_eq!(c.cost.0, c.sticks.iter().map(|s| stock[s.stock].price.0 * i64::from(s.times)).sum::<i64>());
        assert!(c.bound <= c.cost && (!c.proven || c.bound == c.cost));
        c
    }

    // Lecture notes on integer programming, University of Toronto, MIE376, "Winston's boards": boards of
    // 17 ft into 25 of 3, 20 of 5, 15 of 9 ft; relaxation 18 1/3, whole 19.
    #[test]
    fn boards_of_the_lecture_notes() {
        let c = units(&[(3, 25), (5, 20), (9, 15)], &[(17, 1)], 0);
        assert_eq!((c.cost.0, c.proven), (19, true));
    }

    // Gilmore and Gomory's rolls as a solver library ships them: 100 into 97 of 45, 610 of 36, 395 of 31,
    // 211 of 14; relaxation 452.25, whole 453.
    #[test]
    fn rolls_of_gilmore_and_gomory() {
        let c = units(&[(45, 97), (36, 610), (31, 395), (14, 211)], &[(100, 1)], 0);
        assert_eq!((c.cost.0, c.proven), (453, true));
    }

    // The lumber yard of a textbook: 25 ft into 5,000 of 7, 1,200 of 9, 300 of 11; 2,166 2/3, whole 2,167.
    #[test]
    fn the_lumber_yard() {
        let c = units(&[(7, 5000), (9, 1200), (11, 300)], &[(25, 1)], 0);
        assert_eq!((c.cost.0, c.proven), (2167, true));
    }

    #[test]
    fn a_kerf_is_lost_between_pieces_and_not_after_the_last() {
        assert_eq!(units(&[(50, 2)], &[(100, 1)], 0).count(), 1);
        assert_eq!(units(&[(50, 2)], &[(100, 1)], 1).count(), 2);
        assert_eq!(units(&[(50, 1), (49, 1)], &[(100, 1)], 1).count(), 1);
    }

    #[test]
    fn the_cheaper_mix_of_lengths_is_bought() {
        // Two of 7 fit a 16 at 9; a 8 each costs 5.
        let c = units(&[(7, 2)], &[(8, 5), (16, 9)], 0);
        assert_eq!((c.cost.0, c.count()), (9, 1));
        let c = units(&[(7, 2)], &[(8, 4), (16, 9)], 0);
        assert_eq!((c.cost.0, c.count()), (8, 2));
        assert!(c.proven);
    }

    #[test]
    fn what_no_stick_holds_and_what_is_no_measure_is_said() {
        let w = |l| Wanted { length: Length(l), count: 1 };
        let s = Stock { length: Length(10), price: Money(1) };
        assert_eq!(cut(&[w(5), w(11)], &[s], Length(0)), Err(Uncut::TooLong(1)));
        assert_eq!(cut(&[w(5)], &[], Length(0)), Err(Uncut::TooLong(0)));
        assert_eq!(cut(&[w(0)], &[s], Length(0)), Err(Uncut::NoMeasure));
        assert_eq!(cut(&[w(5)], &[Stock { price: Money(0), ..s }], Length(0)), Err(Uncut::NoMeasure));
        assert!(cut(&[], &[s], Length(0)).expect("nothing").sticks.is_empty());
    }

    /// Every way to cut at most seven pieces, by brute force: each piece into each stick begun, or a new one.
    fn plain(pieces: &[i64], stock: &[(i64, i64)], kerf: i64, open: &mut Vec<i64>, spent: i64, best: &mut i64) {
        if spent >= *best {
            return;
        }
        let Some((&p, rest)) = pieces.split_first() else {
            *best = spent;
            return;
        };
        for i in 0..open.len() {
            if open[i] >= p + kerf {
                open[i] -= p + kerf;
                plain(rest, stock, kerf, open, spent, best);
                open[i] += p + kerf;
            }
        }
        for &(l, price) in stock.iter().filter(|s| s.0 >= p) {
            open.push(l + kerf - (p + kerf));
            plain(rest, stock, kerf, open, spent + price, best);
            open.pop();
        }
    }

    #[test]
    fn small_jobs_agree_with_brute_force() {
        let mut seed = 7_u64;
        let mut draw = |n: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            ((seed >> 33) % n) as i64
        };
        let mut unproven = 0;
        for _ in 0..400 {
            let n = 2 + draw(6);
            let pieces: Vec<i64> = (0..n).map(|_| 10 + draw(110)).collect();
            let kerf = draw(3);
            let stock: Vec<(i64, i64)> = [(96, 10 + draw(4)), (120, 12 + draw(6)), (144, 15 + draw(8))].to_vec();
            let wanted: Vec<(i64, u32)> = pieces.iter().map(|&p| (p, 1)).collect();
            let mut best = i64::MAX;
            plain(&pieces, &stock, kerf, &mut Vec::new(), 0, &mut best);
            let c = units(&wanted, &stock, kerf);
            assert_eq!(c.cost.0, best, "{pieces:?} {stock:?} {kerf}");
            unproven += u32::from(!c.proven);
        }
        assert_eq!(unproven, 0);
    }

    #[test]
    fn a_job_past_proof_is_still_cut_in_full() {
        // Three hundred lengths, no two alike; a stick costs 1 for each 600 of it, so no cutting
        // costs less than the pieces' own length does.
        let wanted: Vec<(i64, u32)> = (0..300).map(|i| (1_000 + i * 37 % 5_003, 1)).collect();
        let c = units(&wanted, &[(9_600, 16), (12_000, 20), (14_400, 24), (19_200, 32)], 12);
        let least = wanted.iter().map(|w| w.0).sum::<i64>() / 600;
        assert!(least <= c.cost.0 && c.cost.0 * 90 <= least * 100, "{least} {}", c.cost.0);
    }
}
