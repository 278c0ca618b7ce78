//! Classical critical path method: early and late dates, float and the critical path of a
//! work graph with unlimited hands, and classical PERT on top of it.
//!
//! Plain elapsed minutes from 0: no crew, no shifts, no places, no windows or earliest
//! dates; the longest wait of a link is ignored. All four kinds of link with lags. Steps that
//! are not planned (redone work, surprises) or absent under the methods chosen are left out
//! together with their links. The float here is not the float of a plan, which knows about
//! hands.
//!
//! Source: J. E. Kelley, *Critical-path planning and scheduling: mathematical basis*,
//! Operations Research 9 (1961) 296-320; the four links as precedence diagramming (J. W.
//! Fondahl 1961). From memory.

use super::{Ask, Link, WorkGraph};

/// A link into a step, reduced to what CPM needs.
#[derive(Clone, Copy, Debug)]
struct Tie {
    from: usize,
    /// Counted from the end of the earlier step, else from its begin.
    from_end: bool,
    /// Bears on the end of the later step, else on its begin.
    to_end: bool,
    lag: i64,
}

/// A work graph compiled for repeated passes.
#[derive(Clone, Debug)]
pub struct Network {
    /// Steps left in, each behind all it needs.
    order: Vec<usize>,
    /// By later step, in `order`; `first[k]..first[k+1]` are those into `order[k]`.
    ties: Vec<Tie>,
    first: Vec<usize>,
    steps: usize,
}

/// Dates and float of one step, elapsed minutes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dates {
    pub early_begin: i64,
    pub early_end: i64,
    pub late_begin: i64,
    pub late_end: i64,
    /// How far it may move without moving the end of the whole.
    pub total_float: i64,
    /// How far it may move, begin and end together, while every other step keeps its early
    /// dates, every link is kept and the end of the whole does not move. For finish-start
    /// links this is the textbook's "earliest begin of the next less own early end"; a link
    /// bears on the end of it that it names.
    pub free_float: i64,
}

/// The answer of one pass.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cpm {
    /// End of the last step, minutes.
    pub length: i64,
    /// By step of the graph; `None` for those left out.
    pub dates: Vec<Option<Dates>>,
    /// One critical path, first to last; see [`Network::pert`] for which of several.
    pub path: Vec<usize>,
}

impl Cpm {
    /// Whether a step has no total float. With several critical paths this marks all of
    /// them.
    pub fn critical(&self, step: usize) -> bool {
        self.dates.get(step).copied().flatten().is_some_and(|d| d.total_float == 0)
    }
}

/// Classical PERT: a normal distribution along one critical path.
#[derive(Clone, Debug, PartialEq)]
pub struct Pert {
    /// Minutes: the length of the critical path at the mean durations.
    pub mean: f64,
    /// Minutes: root of the summed variances of its steps.
    pub sd: f64,
    /// Minutes squared.
    pub variance: f64,
    /// The critical path at the means.
    pub path: Vec<usize>,
    /// CPM at the means, in sixths of a minute (exact whole numbers).
    pub sixths: Cpm,
}

impl Pert {
    /// Chance of an end by `minutes`.
    pub fn chance(&self, by: f64) -> f64 {
        if self.sd > 0.0 {
            return share_below((by - self.mean) / self.sd);
        }
        if by >= self.mean { 1.0 } else { 0.0 }
    }
}

/// Normal share below `z`; `work` may not use `forecast`, which has the same function.
fn share_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

/// One CPM pass. `duration` gives whole minutes of a step, `dry` the elapsed minutes from
/// the end of a link's earlier step until its coat has reached the stage asked for.
pub fn cpm(graph: &WorkGraph, methods: &[usize], duration: impl Fn(usize) -> i64, dry: impl Fn(&Link) -> i64) -> Cpm {
    Network::new(graph, methods, dry).cpm(duration)
}

impl Network {
    /// Compiles the planned steps present under `methods`. A work graph is acyclic; steps on
    /// a cycle, were there one, are left out with all behind them.
    pub fn new(graph: &WorkGraph, methods: &[usize], dry: impl Fn(&Link) -> i64) -> Network {
        let n = graph.steps.len();
        let here: Vec<bool> =
            graph.steps.iter().map(|s| s.role.planned() && WorkGraph::holds(&s.when, methods)).collect();
        let mut into: Vec<Vec<Tie>> = vec![Vec::new(); n];
        let mut after: Vec<Vec<usize>> = vec![Vec::new(); n];
        for l in &graph.links {
            if here[l.from] && here[l.to] && WorkGraph::holds(&l.when, methods) {
                let (from_end, to_end) = match l.ask {
                    Ask::Done | Ask::Dry(_) => (true, false),
                    Ask::Begun => (false, false),
                    Ask::EndAfterEnd => (true, true),
                    Ask::EndAfterBegin => (false, true),
                };
                let wait = if matches!(l.ask, Ask::Dry(_)) { dry(l) } else { 0 };
                into[l.to].push(Tie { from: l.from, from_end, to_end, lag: l.lag + wait });
                after[l.from].push(l.to);
            }
        }
        // Kahn's order, lowest index first among those ready.
        let mut missing: Vec<usize> = into.iter().map(Vec::len).collect();
        let mut ready: std::collections::BTreeSet<usize> = (0..n).filter(|&s| here[s] && missing[s] == 0).collect();
        let mut net = Network { order: Vec::new(), ties: Vec::new(), first: vec![0], steps: n };
        while let Some(s) = ready.pop_first() {
            net.order.push(s);
            net.ties.extend(&into[s]);
            net.first.push(net.ties.len());
            for &t in &after[s] {
                missing[t] -= 1;
                if missing[t] == 0 {
                    ready.insert(t);
                }
            }
        }
        net
    }

    fn into(&self, k: usize) -> &[Tie] {
        &self.ties[self.first[k]..self.first[k + 1]]
    }

    /// The forward pass alone: early begins into `begin` (by step of the graph), the end of
    /// the last step as answer. `duration` by step of the graph, minutes, not negative.
    pub fn forward(&self, duration: &[i64], begin: &mut [i64]) -> i64 {
        let mut length = 0;
        for (k, &s) in self.order.iter().enumerate() {
            let mut at = 0;
            for t in self.into(k) {
                let from = begin[t.from] + if t.from_end { duration[t.from] } else { 0 };
                at = at.max(from + t.lag - if t.to_end { duration[s] } else { 0 });
            }
            begin[s] = at;
            length = length.max(at + duration[s]);
        }
        length
    }

    /// Forward and backward pass with float and a critical path.
    pub fn cpm(&self, duration: impl Fn(usize) -> i64) -> Cpm {
        let mut cpm = self.passes(&self.durations(duration));
        cpm.path = self.heaviest(&cpm, |_| 0.0).0;
        cpm
    }

    fn durations(&self, duration: impl Fn(usize) -> i64) -> Vec<i64> {
        let mut d = vec![0; self.steps];
        self.order.iter().for_each(|&s| d[s] = duration(s).max(0));
        d
    }

    /// The same network in a unit `k` times finer.
    fn finer(&self, k: i64) -> Network {
        Network { ties: self.ties.iter().map(|t| Tie { lag: t.lag * k, ..*t }).collect(), ..self.clone() }
    }

    /// Both passes; `path` left empty.
    fn passes(&self, d: &[i64]) -> Cpm {
        let mut begin = vec![0; self.steps];
        let length = self.forward(d, &mut begin);
        let mut late_end = vec![length; self.steps];
        let mut free = vec![i64::MAX; self.steps];
        for (k, &s) in self.order.iter().enumerate().rev() {
            // Everything behind `s` has its late end by now; `s` hands it on.
            free[s] = free[s].min(length - begin[s] - d[s]);
            for t in self.into(k) {
                let own = if t.from_end { 0 } else { d[t.from] };
                let late = late_end[s] - if t.to_end { 0 } else { d[s] } - t.lag + own;
                late_end[t.from] = late_end[t.from].min(late);
                let from = begin[t.from] + if t.from_end { d[t.from] } else { 0 };
                let slack = begin[s] + if t.to_end { d[s] } else { 0 } - from - t.lag;
                free[t.from] = free[t.from].min(slack);
            }
        }
        let mut dates = vec![None; self.steps];
        for &s in &self.order {
            dates[s] = Some(Dates {
                early_begin: begin[s],
                early_end: begin[s] + d[s],
                late_begin: late_end[s] - d[s],
                late_end: late_end[s],
                total_float: late_end[s] - d[s] - begin[s],
                free_float: free[s],
            });
        }
        Cpm { length, dates, path: Vec::new() }
    }

    /// Of all critical paths the one with the most summed `weight` (then the one through
    /// lower steps): its steps and the sum.
    ///
    /// A step counts where the path runs through its duration, from begin to end or back; a
    /// path that enters and leaves it on the same side (start-start, finish-finish) does not
    /// depend on its duration.
    fn heaviest(&self, cpm: &Cpm, weight: impl Fn(usize) -> f64) -> (Vec<usize>, f64) {
        // Per step and side (0 = begin, 1 = end): best weight of a path arriving there from
        // outside the step, and where it left the step before.
        type Arrival = Option<(f64, Option<(usize, usize)>)>;
        let mut arrive: Vec<[Arrival; 2]> = vec![[None; 2]; self.steps];
        // Leaving on a side: straight on from the same side, or through the duration.
        let leave = |arrive: &[Arrival; 2], s: usize, side: usize| {
            let straight = arrive[side].map(|(w, _)| (w, side));
            let through = arrive[1 - side].map(|(w, _)| (w + weight(s), 1 - side));
            match (straight, through) {
                (Some(a), Some(b)) => Some(if a.0 > b.0 { a } else { b }),
                (a, b) => a.or(b),
            }
        };
        let time = |s: usize, end: bool| cpm.dates[s].map(|d| if end { d.early_end } else { d.early_begin });
        for (k, &s) in self.order.iter().enumerate() {
            if !cpm.critical(s) {
                continue;
            }
            if time(s, false) == Some(0) {
                arrive[s][0] = Some((0.0, None));
            }
            // Ties in a fixed order, so that of equal paths the lower step stays.
            let mut ties: Vec<&Tie> = self.into(k).iter().filter(|t| cpm.critical(t.from)).collect();
            ties.sort_by_key(|t| (t.from, t.from_end, t.to_end, t.lag));
            for t in ties {
                if time(t.from, t.from_end).map(|x| x + t.lag) != time(s, t.to_end) {
                    continue;
                }
                let side = usize::from(t.from_end);
                if let Some((w, _)) = leave(&arrive[t.from], t.from, side) {
                    let slot = &mut arrive[s][usize::from(t.to_end)];
                    // A path through a link beats a begin at nothing.
                    if slot.is_none_or(|(best, by)| w > best || by.is_none()) {
                        *slot = Some((w, Some((t.from, side))));
                    }
                }
            }
        }
        let mut last: Option<(usize, f64)> = None;
        for &s in &self.order {
            if cpm.critical(s)
                && time(s, true) == Some(cpm.length)
                && let Some((w, _)) = leave(&arrive[s], s, 1)
                && last.is_none_or(|(l, best)| w > best || (w == best && s < l))
            {
                last = Some((s, w));
            }
        }
        let Some((end, sum)) = last else { return (Vec::new(), 0.0) };
        let (mut path, mut at) = (vec![end], (end, 1));
        while let Some((_, side)) = leave(&arrive[at.0], at.0, at.1)
            && let Some((_, Some(before))) = arrive[at.0][side]
        {
            path.push(before.0);
            at = before;
        }
        path.reverse();
        (path, sum)
    }

    /// Classical PERT: means `(o + 4m + p) / 6`, variances `((p - o) / 6)^2` summed along the
    /// critical path at the means, the end taken as normal (D. G. Malcolm, J. H. Roseboom, C.
    /// E. Clark and W. Fazar, Operations Research 7 (1959) 646-669). Of several critical
    /// paths the one with the most variance counts. It knows nothing of merging paths and is
    /// too early by that.
    ///
    /// `three` gives optimistic, most likely, pessimistic of a step in minutes; they are
    /// taken as whole ones.
    pub fn pert(&self, three: impl Fn(usize) -> [f64; 3]) -> Pert {
        let whole = |s: usize| three(s).map(|x| if x.is_finite() { libm::round(x.clamp(0.0, 1e12)) as i64 } else { 0 });
        let d = self.durations(|s| {
            let [o, m, p] = whole(s);
            o + 4 * m + p
        });
        let fine = self.finer(6);
        let mut sixths = fine.passes(&d);
        let variance = |s: usize| {
            let [o, _, p] = whole(s);
            let sd = (p - o) as f64 / 6.0;
            sd * sd
        };
        let (path, variance) = fine.heaviest(&sixths, variance);
        sixths.path = path.clone();
        Pert { mean: sixths.length as f64 / 6.0, sd: libm::sqrt(variance), variance, path, sixths }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ties(steps: usize, list: &[(usize, usize, bool, bool, i64)]) -> Network {
        let mut net = Network { order: (0..steps).collect(), ties: Vec::new(), first: vec![0], steps };
        for s in 0..steps {
            let into = list.iter().filter(|t| t.1 == s);
            net.ties.extend(into.map(|&(from, _, from_end, to_end, lag)| Tie { from, from_end, to_end, lag }));
            net.first.push(net.ties.len());
        }
        net
    }

    /// Slowest way to the dates: every step pushed until nothing moves.
    fn relaxed(list: &[(usize, usize, bool, bool, i64)], d: &[i64], floor: &[i64]) -> (Vec<i64>, i64) {
        let mut b = floor.to_vec();
        loop {
            let old = b.clone();
            for &(i, j, from_end, to_end, lag) in list {
                let need = b[i] + if from_end { d[i] } else { 0 } + lag - if to_end { d[j] } else { 0 };
                b[j] = b[j].max(need);
            }
            if b == old {
                break;
            }
        }
        let end = (0..d.len()).map(|s| b[s] + d[s]).max().unwrap_or(0);
        (b, end)
    }

    #[test]
    fn float_is_how_far_a_step_may_move() {
        // Random networks of all four links: a step pushed by its total float leaves the end
        // alone, by one more moves it; pushed by its free float it moves no other step, by
        // one more it does.
        let mut state = 1u64;
        let mut next = |n: i64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) as i64 % n
        };
        for _ in 0..300 {
            let n = 2 + next(6) as usize;
            let d: Vec<i64> = (0..n).map(|_| next(9)).collect();
            let mut list = Vec::new();
            for j in 1..n {
                for i in 0..j {
                    if next(3) == 0 {
                        list.push((i, j, next(2) == 0, next(2) == 0, next(6) - 2));
                    }
                }
            }
            let net = ties(n, &list);
            let cpm = net.cpm(|s| d[s]);
            let (early, end) = relaxed(&list, &d, &vec![0; n]);
            assert_eq!(cpm.length, end);
            for s in 0..n {
                let x = cpm.dates[s].unwrap();
                assert_eq!((x.early_begin, x.early_end), (early[s], early[s] + d[s]));
                assert_eq!(x.late_end - x.late_begin, d[s]);
                assert!(x.free_float >= 0 && x.free_float <= x.total_float);
                let push = |by: i64| {
                    let mut floor = vec![0; n];
                    floor[s] = early[s] + by;
                    relaxed(&list, &d, &floor)
                };
                assert_eq!(push(x.total_float).1, end);
                assert!(push(x.total_float + 1).1 > end);
                let others = |b: &[i64]| (0..n).filter(|&t| t != s).map(|t| b[t]).collect::<Vec<_>>();
                let (b, e) = push(x.free_float);
                assert!(others(&b) == others(&early) && e == end);
                let (b, e) = push(x.free_float + 1);
                assert!(others(&b) != others(&early) || e != end);
            }
            // A critical path: every step critical, from a begin at 0 to the end of all.
            let p = &cpm.path;
            assert!(!p.is_empty() && p.iter().all(|&s| cpm.critical(s)));
            assert_eq!(cpm.dates[p[0]].unwrap().early_begin, 0);
            assert_eq!(cpm.dates[p[p.len() - 1]].unwrap().early_end, end);
            assert!(p.windows(2).all(|w| list.iter().any(|t| (t.0, t.1) == (w[0], w[1]))));
        }
    }

    #[test]
    fn the_heavier_of_two_critical_paths_counts() {
        // 0 -> 1 -> 3 and 0 -> 2 -> 3, both 9 long at the means; 2 has the wider spread.
        let net =
            ties(4, &[(0, 1, true, false, 0), (0, 2, true, false, 0), (1, 3, true, false, 0), (2, 3, true, false, 0)]);
        let three = [[3.0, 3.0, 3.0], [2.0, 3.0, 4.0], [0.0, 3.0, 6.0], [3.0, 3.0, 3.0]];
        let pert = net.pert(|s| three[s]);
        assert_eq!((pert.mean, pert.variance, pert.path), (9.0, 1.0, vec![0, 2, 3]));
        // Entered and left at its begin, a step's own spread does not count.
        let net = ties(2, &[(0, 1, false, false, 0)]);
        let pert = net.pert(|s| [[0.0, 3.0, 6.0], [4.0, 5.0, 6.0]][s]);
        assert_eq!((pert.mean, pert.path), (5.0, vec![0, 1]));
        assert!((pert.variance - 1.0 / 9.0).abs() < 1e-15);
        assert_eq!(Network::new(&WorkGraph::default(), &[], |_| 0).pert(|_| [f64::NAN; 3]).chance(0.0), 1.0);
    }
}
