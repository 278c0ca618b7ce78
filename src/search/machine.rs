//! What certain hands must do by themselves: packing and preemptive earliest-deadline-first
//! in the progress of their clock.
//!
//! All figures here are progress of one clock (micro-minutes of labor), so nothing is looked
//! up while packing. A job not yet released lets later deadlines go first; what is left of a
//! minute serves the next job. Both only let things happen sooner than any plan could.

use super::deadlines::Dates;
use super::relaxed::FREE;
use crate::clock::{Clock, DAY};

/// Hands that must do certain steps by themselves.
pub(super) struct Machine {
    pub clock: Clock,
    /// Steps, indices into the relaxed work.
    pub jobs: Vec<usize>,
    /// Labor of each job. One person's work fills whole minutes of his.
    pub labor: Vec<i64>,
    /// Per job: the jobs (by place in `jobs`) that must wholly end before it begins.
    before: Vec<Vec<u64>>,
    /// And those that cannot begin before it has ended.
    after: Vec<Vec<u64>>,
    /// Where one person must be for each job, where there is more than one base; and his labor
    /// a minute.
    bases: Option<(Vec<Option<Base>>, i64)>,
}

/// A base and the minutes to it.
type Base = (usize, i64);

/// The jobs of a machine with their releases and deadlines as progress.
pub(super) struct Load {
    pub release: Vec<i64>,
    pub deadline: Vec<i64>,
    labor: Vec<i64>,
    /// Day, base, minutes to it, and between which instants he is there.
    visits: Vec<(i64, usize, i64, i64, i64)>,
    /// Jobs by release.
    by_release: Vec<usize>,
    heap: std::collections::BinaryHeap<std::cmp::Reverse<(i64, i64)>>,
}

/// Whether bit `k` is set.
fn has(set: &[u64], k: usize) -> bool {
    set[k / 64] >> (k % 64) & 1 == 1
}

impl Machine {
    /// `ended(a, b)`: step `a` ends before `b` begins in every plan.
    pub fn new(clock: Clock, jobs: Vec<usize>, labor: Vec<i64>, ended: impl Fn(usize, usize) -> bool) -> Machine {
        let words = jobs.len().div_ceil(64);
        let set = |good: &dyn Fn(usize) -> bool| {
            let mut out = vec![0u64; words];
            (0..jobs.len()).filter(|&k| good(jobs[k])).for_each(|k| out[k / 64] |= 1 << (k % 64));
            out
        };
        let before = jobs.iter().map(|&j| set(&|i| ended(i, j))).collect();
        let after = jobs.iter().map(|&j| set(&|i| ended(j, i))).collect();
        Machine { clock, jobs, labor, before, after, bases: None }
    }

    /// The machine of one person who drives between bases.
    pub fn driving(mut self, bases: Vec<Option<(usize, i64)>>, rate: i64) -> Machine {
        self.bases = Some((bases, rate));
        self
    }

    /// Trips nobody can avoid: on a day on which he must be at several bases he drives between
    /// them, from the first visit on and before the last is over. The labor they take, with
    /// release and deadline, is added to the load.
    pub fn drives(&self, d: &Dates, load: &mut Load) {
        let Some((bases, rate)) = &self.bases else { return };
        load.visits.clear();
        for (k, &j) in self.jobs.iter().enumerate() {
            let Some((base, away)) = bases[k] else { continue };
            let (begun, done) = (d.begin[j].div_euclid(DAY), (d.last_done[j] - 1).div_euclid(DAY));
            let visit = |day: i64| {
                let from = d.begin[j].max(day * DAY);
                (day, base, away, from, d.last_done[j].min((day + 1) * DAY))
            };
            if d.last_done[j] >= FREE || d.begin[j] >= FREE {
                continue;
            }
            if begun == d.last_begin[j].div_euclid(DAY) {
                load.visits.push(visit(begun));
            }
            if (d.done[j] - 1).div_euclid(DAY) == done {
                load.visits.push(visit(done));
            }
        }
        load.visits.sort_unstable();
        let visits = std::mem::take(&mut load.visits);
        for day in visits.chunk_by(|a, b| a.0 == b.0) {
            let (mut sum, mut most, mut count) = (0, (0, 0), 0);
            for base in day.chunk_by(|a, b| a.1 == b.1) {
                let away = base[0].2;
                (sum, count) = (sum + away, count + 1);
                most = if away > most.0 { (away, most.0) } else { (most.0, most.1.max(away)) };
            }
            if count < 2 {
                continue;
            }
            // The two furthest are the ends of the shortest round.
            let minutes = 2 * (2 * sum - most.0 - most.1);
            let from = day.iter().map(|v| v.3).min().unwrap_or(0);
            let to = day.iter().map(|v| v.4).max().unwrap_or(FREE);
            load.add(self.clock.at(from), self.clock.at(to), minutes * rate);
        }
        load.visits = visits;
    }

    /// Releases and deadlines of its jobs as progress of its clock.
    pub fn load(&self, begin: &[i64], last_done: &[i64], load: &mut Load) {
        let at = |t: i64| if t >= FREE { FREE } else { self.clock.at(t) };
        load.labor.clear();
        load.labor.extend(&self.labor);
        load.release.clear();
        load.release.extend(self.jobs.iter().map(|&j| at(begin[j])));
        load.deadline.clear();
        load.deadline.extend(self.jobs.iter().map(|&j| at(last_done[j])));
        load.by_release.clear();
        load.by_release.extend(0..self.jobs.len());
        load.by_release.sort_by_key(|&k| load.release[k]);
    }

    /// Places in `jobs` of those that must wholly end before job `k` begins.
    pub fn before(&self, k: usize) -> impl Iterator<Item = usize> {
        (0..self.jobs.len()).filter(move |&i| has(&self.before[k], i))
    }

    /// Earliest begin of job `k` after all that must come before it on the same hands, as an
    /// instant; 0 where nothing must.
    pub fn packed_before(&self, k: usize, load: &Load) -> i64 {
        let mut t = 0;
        for &i in load.by_release.iter().filter(|&&i| i < self.jobs.len()) {
            if has(&self.before[k], i) {
                t = load.release[i].max(t) + self.labor[i];
                if t >= FREE {
                    return FREE;
                }
            }
        }
        if t > 0 { self.clock.reach(0, t).unwrap_or(FREE) } else { 0 }
    }

    /// Latest end of job `k` before all that must come after it on the same hands; `order`
    /// holds the jobs by deadline, the latest first.
    pub fn packed_after(&self, k: usize, load: &Load, order: &[usize]) -> i64 {
        let mut t = FREE;
        for &i in order {
            if has(&self.after[k], i) {
                t = load.deadline[i].min(t);
                if t < FREE {
                    t -= self.labor[i];
                }
                if t < 0 {
                    return -1;
                }
            }
        }
        // The last minute by which no more than that is made.
        if t >= FREE { FREE } else { self.clock.reach(0, t + 1).map_or(FREE, |u| u - 1) }
    }
}

impl Load {
    pub fn new() -> Load {
        Load {
            release: Vec::new(),
            deadline: Vec::new(),
            labor: Vec::new(),
            visits: Vec::new(),
            by_release: Vec::new(),
            heap: Default::default(),
        }
    }

    /// Labor that belongs to no job.
    fn add(&mut self, release: i64, deadline: i64, labor: i64) {
        let k = self.release.len();
        self.release.push(release);
        self.deadline.push(deadline);
        self.labor.push(labor);
        let at = self.by_release.partition_point(|&i| self.release[i] <= release);
        self.by_release.insert(at, k);
    }

    /// Jobs by deadline, the latest first.
    pub fn by_deadline(&self, jobs: usize, out: &mut Vec<usize>) {
        out.clear();
        out.extend(0..jobs);
        out.sort_by_key(|&k| std::cmp::Reverse(self.deadline[k]));
    }

    /// Sets release and deadline of one job.
    pub fn set(&mut self, k: usize, release: i64, deadline: i64) {
        if self.release[k] != release {
            self.release[k] = release;
            self.by_release.retain(|&i| i != k);
            let at = self.by_release.partition_point(|&i| self.release[i] <= release);
            self.by_release.insert(at, k);
        }
        self.deadline[k] = deadline;
    }

    /// Preemptive earliest-deadline-first, which is optimal for one machine, so a miss proves
    /// that no order meets the deadlines.
    pub fn feasible(&mut self) -> bool {
        use std::cmp::Reverse;
        self.heap.clear();
        let (mut next, mut now) = (0, 0i64);
        let n = self.by_release.len();
        while next < n || !self.heap.is_empty() {
            if self.heap.is_empty() {
                now = now.max(self.release[self.by_release[next]]);
                if now >= FREE {
                    return false;
                }
            }
            while next < n && self.release[self.by_release[next]] <= now {
                let k = self.by_release[next];
                self.heap.push(Reverse((self.deadline[k], self.labor[k])));
                next += 1;
            }
            let Some(Reverse((deadline, left))) = self.heap.pop() else { continue };
            let until = self.by_release.get(next).map_or(i64::MAX, |&k| self.release[k]);
            let worked = left.min(until - now);
            now += worked;
            if deadline < FREE && now > deadline {
                return false;
            }
            if worked < left {
                self.heap.push(Reverse((deadline, left - worked)));
            }
        }
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn load(jobs: &[(i64, i64, i64)]) -> Load {
        let mut l = Load::new();
        for &(release, deadline, labor) in jobs {
            l.add(release, deadline, labor);
        }
        l
    }

    /// Whether unit slots can be given to all jobs: the most that fit before every deadline,
    /// by going through all intervals (Horn 1974: preemptive work on one machine meets its
    /// deadlines where no interval holds more labor than it is long; from memory).
    fn by_intervals(jobs: &[(i64, i64, i64)]) -> bool {
        jobs.iter().all(|a| {
            jobs.iter().all(|b| {
                let inside = jobs.iter().filter(|j| j.0 >= a.0 && j.1 <= b.1).map(|j| j.2).sum::<i64>();
                inside <= (b.1 - a.0).max(0)
            })
        })
    }

    #[test]
    fn earliest_deadline_first_misses_exactly_where_an_interval_is_too_full() {
        let mut x = 12_345u64;
        let mut next = |n: u64| {
            x = x.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            ((x >> 33) % n) as i64
        };
        let mut met = 0;
        for _ in 0..2_000 {
            let jobs: Vec<(i64, i64, i64)> = (0..5)
                .map(|_| {
                    let (r, l) = (next(12), 1 + next(4));
                    (r, r + l + next(9), l)
                })
                .collect();
            let got = load(&jobs).feasible();
            assert_eq!(got, by_intervals(&jobs), "{jobs:?}");
            met += usize::from(got);
        }
        assert!((200..1_800).contains(&met), "{met}");
    }
}
