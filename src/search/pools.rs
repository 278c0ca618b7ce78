//! The plain problem: steps with whole durations, finish-start needs, pools of capacity.
//!
//! It answers how early a list of steps can be done, built forward or backward, step by step
//! (*serial*: each at its first place, gaps filled) or instant by instant (*dispatch*). What it
//! refuses to know: clocks, drying, people. One unit of time is whatever the caller counts in.
//!
//! Backward is the same problem looked at from the end: needs turned round, time counted from
//! the finish. So a schedule built backward is as good as one built forward, and its steps in
//! the order of their begins, latest end first, are a justified list (Valls, Ballestín and
//! Quintanilla, *European Journal of Operational Research* 165 (2005) 375-386). The two ways of
//! building: Kolisch, *European Journal of Operational Research* 90 (1996) 320-333.
//!
//! What is free at a unit of time is packed four pools to a word, 16 bits each with a guard
//! bit on top, so one subtraction compares four pools. No build allocates.

use super::breed::by_key;
use super::islands::{Builder, Built, Genes, Way};
use super::needs::{Needs, Side};

/// Guard bits: set in what is free, lost where a step asks for more than that.
const GUARD: u64 = 0x8000_8000_8000_8000;
/// Pools in a word.
const LANES: usize = 4;
/// Longest horizon, units of time: one word each for four pools.
const LONGEST: u64 = 4_000_000;

/// Why a problem is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadPools {
    #[error("step {0} needs a step there is not, or its needs go round in a circle")]
    Needs(usize),
    #[error("step {step} asks for more of pool {pool} than there is")]
    Capacity { step: usize, pool: usize },
    #[error("a step must name what it takes of each pool")]
    Shape,
    #[error("together the steps are longer than {LONGEST} units of time, or a capacity is above 32,767")]
    Size,
}

/// The problem, laid out flat. Index 0 of a pair is the forward side, 1 the backward one.
#[derive(Clone, Debug)]
pub struct Pools {
    duration: Vec<u32>,
    /// What each step takes, packed, `words` to a step.
    takes: Vec<u64>,
    free: Vec<u64>,
    words: usize,
    horizon: usize,
    needs: Needs,
    /// Latest end by the network alone.
    late: Vec<i64>,
    /// Earliest begin by the network alone, per side.
    early: [Vec<i64>; 2],
    path: i64,
    /// Labor of a step, in shares of the capacities, thousandths.
    load: Vec<u64>,
}

/// Buffers of one builder.
#[derive(Clone, Debug, Default)]
pub struct PoolBench {
    free: Vec<u64>,
    /// Units of time touched by the last build.
    used: usize,
    begin: Vec<u32>,
    unmet: Vec<u32>,
    open: Vec<u32>,
    busy: Vec<(u32, u32)>,
    rank: Vec<u32>,
    now: Vec<u64>,
}

impl Pools {
    /// Steps by index: `duration` in units of time, `needs[s]` the steps done before `s`,
    /// `demand[s][p]` what it takes of pool `p` while it runs.
    ///
    /// # Errors
    /// [`BadPools`] for needs that are circular or name no step, for a step no pool can serve, and
    /// for what is too large.
    pub fn new(
        duration: &[u32],
        needs: &[Vec<usize>],
        demand: &[Vec<u32>],
        capacity: &[u32],
    ) -> Result<Pools, BadPools> {
        let n = duration.len();
        if needs.len() != n || demand.len() != n || demand.iter().any(|d| d.len() != capacity.len()) {
            return Err(BadPools::Shape);
        }
        let total: u64 = duration.iter().map(|&d| u64::from(d)).sum();
        if total > LONGEST || capacity.len() > 4 * LANES || capacity.iter().any(|&c| c > 0x7fff) {
            return Err(BadPools::Size);
        }
        for (s, d) in demand.iter().enumerate() {
            if let Some(pool) = (0..capacity.len()).find(|&p| d[p] > capacity[p]) {
                return Err(BadPools::Capacity { step: s, pool });
            }
        }
        let needs = Needs::new(needs).map_err(BadPools::Needs)?;
        let words = capacity.len().div_ceil(LANES).max(1);
        let pack = |v: &[u32]| -> Vec<u64> {
            let mut out = vec![0; words];
            v.iter().enumerate().for_each(|(p, &x)| out[p / LANES] |= u64::from(x) << (16 * (p % LANES)));
            out
        };
        let load = (0..n)
            .map(|s| {
                let share: u64 =
                    (0..capacity.len()).map(|p| u64::from(demand[s][p]) * 1000 / u64::from(capacity[p].max(1))).sum();
                share * u64::from(duration[s])
            })
            .collect();
        let mut early = [vec![0i64; n], vec![0i64; n]];
        for side in [Side::Forward, Side::Backward] {
            let e = &mut early[side as usize];
            for &s in needs.topo(side) {
                let s = s as usize;
                e[s] = needs
                    .before(side, s)
                    .iter()
                    .map(|&p| e[p as usize] + i64::from(duration[p as usize]))
                    .max()
                    .unwrap_or(0);
            }
        }
        let path = (0..n).map(|s| early[0][s] + i64::from(duration[s])).max().unwrap_or(0);
        let late = (0..n).map(|s| path - early[1][s]).collect();
        Ok(Pools {
            duration: duration.to_vec(),
            takes: demand.iter().flat_map(|d| pack(d)).collect(),
            free: pack(capacity).iter().map(|w| w | GUARD).collect(),
            words,
            horizon: total as usize + 1,
            needs,
            late,
            early,
            path,
            load,
        })
    }

    /// Longest chain of needs, units of time.
    pub fn path(&self) -> i64 {
        self.path
    }

    /// Earliest begin and latest end of each step by the network alone.
    pub fn windows(&self) -> Vec<(i64, i64)> {
        self.early[0].iter().copied().zip(self.late.iter().copied()).collect()
    }

    /// Each step of the list at the first place it fits; the finish.
    fn serial<const W: usize>(&self, side: Side, list: &[u32], b: &mut PoolBench) -> u32 {
        let full: &[u64; W] = self.free[..W].try_into().expect("as many words");
        let (touched, _) = b.free[..b.used * W].as_chunks_mut::<W>();
        touched.fill(*full);
        let (free, _) = b.free.as_chunks_mut::<W>();
        let (takes, _) = self.takes.as_chunks::<W>();
        let mut finish = 0;
        for &s in list {
            let s = s as usize;
            let d = self.duration[s];
            let mut from = 0;
            for &p in self.needs.before(side, s) {
                from = from.max(b.begin[p as usize] + self.duration[p as usize]);
            }
            if d > 0 {
                let take = &takes[s];
                let (mut at, mut run) = (from as usize, 0);
                while run < d {
                    let f = &free[at];
                    at += 1;
                    run = if (0..W).all(|w| (f[w] - take[w]) & GUARD == GUARD) { run + 1 } else { 0 };
                }
                from = at as u32 - d;
                for f in &mut free[from as usize..at] {
                    (0..W).for_each(|w| f[w] -= take[w]);
                }
            }
            b.begin[s] = from;
            finish = finish.max(from + d);
        }
        b.used = finish as usize;
        finish
    }

    /// Instant by instant: of the steps that may begin and fit, the first of the list.
    fn dispatch(&self, side: Side, list: &[u32], b: &mut PoolBench) -> u32 {
        let w = self.words;
        let n = self.duration.len();
        b.rank.resize(n, 0);
        list.iter().enumerate().for_each(|(r, &s)| b.rank[s as usize] = r as u32);
        b.unmet.clear();
        b.unmet.extend((0..n).map(|s| self.needs.before(side, s).len() as u32));
        b.open.clear();
        b.open.extend(list.iter().copied().filter(|&s| b.unmet[s as usize] == 0));
        b.busy.clear();
        b.now.clear();
        b.now.extend_from_slice(&self.free);
        let free = &mut b.now;
        let (mut at, mut finish) = (0, 0);
        loop {
            let mut i = 0;
            while i < b.open.len() {
                let s = b.open[i] as usize;
                let take = &self.takes[s * w..][..w];
                if !(0..w).all(|k| (free[k] - take[k]) & GUARD == GUARD) {
                    i += 1;
                    continue;
                }
                b.open.remove(i);
                b.begin[s] = at;
                (0..w).for_each(|k| free[k] -= take[k]);
                b.busy.push((at + self.duration[s], s as u32));
            }
            let Some(next) = b.busy.iter().map(|x| x.0).min() else { break };
            at = next;
            finish = finish.max(at);
            let mut j = 0;
            while j < b.busy.len() {
                if b.busy[j].0 > at {
                    j += 1;
                    continue;
                }
                let s = b.busy.swap_remove(j).1 as usize;
                (0..w).for_each(|k| free[k] += self.takes[s * w + k]);
                for &f in self.needs.after(side, s) {
                    b.unmet[f as usize] -= 1;
                    if b.unmet[f as usize] == 0 {
                        let r = b.rank[f as usize];
                        let to = b.open.partition_point(|&o| b.rank[o as usize] < r);
                        b.open.insert(to, f);
                    }
                }
            }
        }
        finish
    }
}

impl Builder for Pools {
    type Score = i64;
    type Bench = PoolBench;

    fn bench(&self) -> PoolBench {
        let n = self.duration.len();
        PoolBench { free: self.free.repeat(self.horizon), used: 0, begin: vec![0; n], ..PoolBench::default() }
    }

    fn needs(&self) -> &Needs {
        &self.needs
    }

    fn load(&self, step: usize) -> u64 {
        self.load[step]
    }

    fn late(&self) -> &[i64] {
        &self.late
    }

    fn rules(&self) -> Vec<(Genes, Way)> {
        let n = self.duration.len();
        let begin: Vec<i64> = (0..n).map(|s| self.late[s] - i64::from(self.duration[s])).collect();
        let tail: Vec<i64> = (0..n).map(|s| -self.early[1][s] - i64::from(self.duration[s])).collect();
        let mut below = vec![0i64; n];
        for &s in self.needs.topo(Side::Backward) {
            let after = self.needs.after(Side::Forward, s as usize);
            below[s as usize] = after.iter().map(|&f| below[f as usize] - 1).sum();
        }
        let mut out = Vec::new();
        for key in [&self.late, &begin, &tail, &below] {
            let genes = Genes { list: by_key(&self.needs, key), ..Genes::default() };
            out.push((genes.clone(), Way::Dispatch));
            out.push((genes, Way::Serial));
        }
        out
    }

    fn both_sides(&self) -> bool {
        true
    }

    fn enough(&self, score: i64) -> bool {
        score <= self.path
    }

    fn build(&self, b: &mut PoolBench, side: Side, way: Way, genes: &mut Genes, out: &mut Built) -> Option<i64> {
        let list = &genes.list[..];
        let finish = match (way, self.words) {
            (Way::Dispatch, _) => self.dispatch(side, list, b),
            (_, 1) => self.serial::<1>(side, list, b),
            (_, 2) => self.serial::<2>(side, list, b),
            (_, 3) => self.serial::<3>(side, list, b),
            _ => self.serial::<4>(side, list, b),
        };
        out.begin.clear();
        out.end.clear();
        for s in 0..self.duration.len() {
            out.begin.push(i64::from(b.begin[s]));
            out.end.push(i64::from(b.begin[s] + self.duration[s]));
        }
        out.finish = i64::from(finish);
        Some(i64::from(finish))
    }
}
