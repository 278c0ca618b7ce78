//! How lists are made: by a rule, drawn, crossed, varied.
//!
//! Every list made here keeps the needs: no step stands before one it needs.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::islands::{Builder, Genes};
use super::needs::{Needs, Side};
use crate::forecast::draws::Stream;

/// Smallest key first among those whose needs stand before.
pub fn by_key(needs: &Needs, key: &[i64]) -> Vec<u32> {
    let n = needs.len();
    let mut left: Vec<usize> = (0..n).map(|s| needs.before(Side::Forward, s).len()).collect();
    let mut heap: BinaryHeap<Reverse<(i64, usize)>> =
        (0..n).filter(|&s| left[s] == 0).map(|s| Reverse((key[s], s))).collect();
    let mut list = Vec::with_capacity(n);
    while let Some(Reverse((_, s))) = heap.pop() {
        list.push(s as u32);
        for &f in needs.after(Side::Forward, s) {
            let f = f as usize;
            left[f] -= 1;
            if left[f] == 0 {
                heap.push(Reverse((key[f], f)));
            }
        }
    }
    list
}

/// Draws a list: each next step with a chance that grows with the square of how much smaller
/// its key is than the largest (regret-biased sampling, after Drexl, *Management Science* 37
/// (1991) 1590-1602).
pub fn sample(needs: &Needs, key: &[i64], chance: &mut Stream, list: &mut Vec<u32>) {
    list.clear();
    let n = needs.len();
    let mut left: Vec<usize> = (0..n).map(|s| needs.before(Side::Forward, s).len()).collect();
    let mut open: Vec<usize> = (0..n).filter(|&s| left[s] == 0).collect();
    let mut weight: Vec<u64> = Vec::new();
    while !open.is_empty() {
        let last = open.iter().map(|&s| key[s]).max().unwrap_or(0);
        let first = open.iter().map(|&s| key[s]).min().unwrap_or(0);
        // Regrets in at most 2^20 parts, so that their squares can be added up.
        let part = (last - first) / (1 << 20) + 1;
        weight.clear();
        weight.extend(open.iter().map(|&s| (((last - key[s]) / part + 1) as u64).pow(2)));
        let mut u = chance.below(weight.iter().sum());
        let mut i = 0;
        while u >= weight[i] {
            u -= weight[i];
            i += 1;
        }
        let s = open.swap_remove(i);
        list.push(s as u32);
        for &f in needs.after(Side::Forward, s) {
            let f = f as usize;
            left[f] -= 1;
            if left[f] == 0 {
                open.push(f);
            }
        }
    }
}

/// How children differ from their parents.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Breeder {
    /// Length of the stretch a child has of its father, parts of the whole: least and most.
    pub stretch: (f64, f64),
    /// Stretches that are the densest of their length, of 100; the others begin anywhere.
    pub dense: u64,
    /// Neighbours swapped, of 1,000 pairs.
    pub swapped: u64,
    /// Children with steps moved, of 100.
    pub moved: u64,
    /// The most steps moved.
    pub moves: u64,
    /// Children with a method turned, of 100.
    pub turned: u64,
    /// Whether steps move past what they need: where the builder lets each wait its turn.
    pub anywhere: bool,
}

impl Default for Breeder {
    fn default() -> Breeder {
        Breeder { stretch: (0.1, 0.9), dense: 50, swapped: 20, moved: 30, moves: 4, turned: 8, anywhere: false }
    }
}

impl Breeder {
    /// A stretch of time of a schedule, as positions of its list: from, to.
    pub fn stretch(
        &self,
        list: &[u32],
        at: &[i64],
        chance: &mut Stream,
        load: impl Fn(usize) -> u64,
    ) -> (usize, usize) {
        let Some(&last) = at.last() else { return (0, 0) };
        let end = last + 1;
        let share = self.stretch.0 + (self.stretch.1 - self.stretch.0) * chance.uniform();
        let len = (share * end as f64) as i64;
        let from = if chance.below(100) < self.dense {
            let (mut most, mut from) = (0, 0);
            let (mut z, mut sum) = (0, 0u64);
            for a in 0..list.len() {
                while z < list.len() && at[z] < at[a] + len {
                    sum += load(list[z] as usize);
                    z += 1;
                }
                if sum > most {
                    most = sum;
                    from = at[a];
                }
                if z > a {
                    sum -= load(list[a] as usize);
                }
            }
            from
        } else {
            chance.below((end - len + 1).max(1) as u64) as i64
        };
        (at.partition_point(|&t| t < from), at.partition_point(|&t| t < from + len))
    }

    /// Neighbours swapped, steps moved, a method turned.
    pub fn vary<B: Builder>(&self, b: &B, alike: bool, chance: &mut Stream, genes: &mut Genes) {
        let (needs, options) = (b.needs(), b.options());
        let turned = options.iter().any(|&o| o > 1) && chance.below(100) < self.turned;
        if turned {
            turn(options, chance, &mut genes.methods);
        }
        let list = &mut genes.list;
        if chance.below(100) < self.moved || alike && !turned {
            for _ in 0..1 + chance.below(self.moves) {
                if self.anywhere {
                    jump(b, chance, list);
                } else {
                    shift(needs, chance, list);
                }
            }
        }
        if self.swapped > 0 {
            for i in 1..list.len() {
                if chance.below(1000) < self.swapped && !needs.linked(list[i - 1] as usize, list[i] as usize) {
                    list.swap(i - 1, i);
                }
            }
        }
        if !genes.holds.is_empty() && chance.below(4) == 0 {
            let i = chance.below(genes.holds.len() as u64) as usize;
            genes.holds.remove(i);
        }
    }
}

/// A child: its father's sequence inside the stretch, its mother's before and after it; what is
/// before, inside and after is as with the father. Each method is of one of the two.
pub fn cross(
    father: &Genes,
    mother: &Genes,
    (from, to): (usize, usize),
    chance: &mut Stream,
    mark: &mut Vec<u8>,
    child: &mut Genes,
) {
    let (f, m) = (&father.list, &mother.list);
    mark.clear();
    mark.resize(f.len(), 0);
    f[from..to].iter().for_each(|&s| mark[s as usize] = 1);
    f[to..].iter().for_each(|&s| mark[s as usize] = 2);
    child.list.clear();
    child.list.extend(m.iter().copied().filter(|&s| mark[s as usize] == 0));
    child.list.extend_from_slice(&f[from..to]);
    child.list.extend(m.iter().copied().filter(|&s| mark[s as usize] == 2));
    child.methods.clear();
    for (a, b) in father.methods.iter().zip(&mother.methods) {
        child.methods.push(if a == b || chance.below(2) == 0 { *a } else { *b });
    }
    child.holds.clone_from(&father.holds);
}

/// Turns one method that is free to another option.
pub fn turn(options: &[u8], chance: &mut Stream, methods: &mut [u8]) {
    let free = options.iter().filter(|&&o| o > 1).count();
    if free == 0 {
        return;
    }
    let k = chance.below(free as u64) as usize;
    let c = (0..options.len()).filter(|&c| options[c] > 1).nth(k).unwrap_or(0);
    methods[c] = (methods[c] + 1 + chance.below(u64::from(options[c]) - 1) as u8) % options[c];
}

/// Moves a step to any place between what it needs and what needs it.
fn shift(needs: &Needs, chance: &mut Stream, list: &mut [u32]) {
    let n = list.len();
    if n < 2 {
        return;
    }
    let i = chance.below(n as u64) as usize;
    let (mut lo, mut hi) = (i, i);
    while lo > 0 && !needs.linked(list[lo - 1] as usize, list[i] as usize) {
        lo -= 1;
    }
    while hi + 1 < n && !needs.linked(list[hi + 1] as usize, list[i] as usize) {
        hi += 1;
    }
    let to = lo + chance.below((hi - lo + 1) as u64) as usize;
    if to < i {
        list[to..=i].rotate_right(1);
    } else {
        list[i..=to].rotate_left(1);
    }
}

/// Moves a step that asks for something to the place of another, or changes their places.
fn jump<B: Builder>(b: &B, chance: &mut Stream, list: &mut [u32]) {
    let n = list.len() as u64;
    let mut pick = || (0..8).map(|_| chance.below(n) as usize).find(|&i| b.load(list[i] as usize) > 0);
    let (Some(i), Some(j)) = (pick(), pick()) else { return };
    if chance.below(3) == 0 {
        list.swap(i, j);
    } else if j < i {
        list[j..=i].rotate_right(1);
    } else {
        list[i..=j].rotate_left(1);
    }
}
