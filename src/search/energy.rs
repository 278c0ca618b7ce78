//! Pools by energy: what a stretch of time must see taken of a pool, whatever the order.
//!
//! A step that lasts `p` minutes and stands between its earliest begin and its latest end
//! spends in a stretch at least what is left of it there when it is pushed as far out as its
//! dates allow, to the front or to the back. Where the steps together must spend more than the
//! pool gives in the stretch, the dates admit no order (J. Erschler and P. Lopez, 1990; Ph.
//! Baptiste, C. Le Pape and W. Nuijten, *Constraint-Based Scheduling*, Kluwer 2001, ch. 3; both from memory).

use super::deadlines::Dates;
use super::relaxed::{FREE, Relaxed};

/// Begins and ends looked at as ends of a stretch, each, in a pool.
const MOST_EDGES: usize = 48;

/// One step's part in a pool: what it takes, and for how long at least.
struct Part {
    step: usize,
    takes: i64,
    lasts: i64,
}

/// The pools of a relaxed work.
pub(super) struct Energy {
    pools: Vec<(i64, Vec<Part>)>,
}

impl Energy {
    pub fn new(work: &Relaxed) -> Energy {
        let part = |pool: usize| {
            let of = |i: usize| {
                let takes = work.steps[i].pools.iter().filter(|x| x.0 == pool).map(|x| i64::from(x.1)).sum();
                Part { step: i, takes, lasts: work.rests(i) }
            };
            (0..work.steps.len()).map(of).filter(|p| p.takes > 0 && p.lasts > 0).collect()
        };
        let capacity = work.pools().iter().enumerate();
        Energy { pools: capacity.map(|(p, &there)| (i64::from(there), part(p))).collect() }
    }

    /// Whether no stretch between dates asks for more than a pool gives.
    pub fn suffices(&self, d: &Dates) -> bool {
        let edges = |parts: &[Part], dates: &[i64]| {
            let mut all: Vec<i64> = parts.iter().map(|p| dates[p.step]).filter(|&t| t < FREE).collect();
            all.sort_unstable();
            all.dedup();
            let every = all.len().div_ceil(MOST_EDGES).max(1);
            // The outermost stay.
            let last = all.len().saturating_sub(1);
            let kept = all.iter().enumerate().filter(|(k, _)| k % every == 0 || *k == last);
            kept.map(|(_, &t)| t).collect::<Vec<i64>>()
        };
        self.pools.iter().all(|(there, parts)| {
            let (from, to) = (edges(parts, &d.begin), edges(parts, &d.last_end));
            from.iter().all(|&a| {
                to.iter().filter(|&&b| b > a).all(|&b| {
                    let spent = |p: &Part| {
                        let front = d.begin[p.step] + p.lasts - a;
                        let back = b - (d.last_end[p.step] - p.lasts);
                        p.takes * front.min(back).min(p.lasts).min(b - a).max(0)
                    };
                    parts.iter().map(spent).sum::<i64>() <= there * (b - a)
                })
            })
        })
    }
}
