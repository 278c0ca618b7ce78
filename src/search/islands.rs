//! Many lists of steps tried, the better ones crossed: one search for crews and for pools.
//!
//! What turns a list into a schedule is a [`Builder`]; here stands how lists are made. Eight
//! islands always, each with its own stream of chance, run side by side and meet at fixed
//! counts of schedules, in the order of their numbers: the same answer for any number of
//! threads. Every build counts one; the budget is a count, never a time. It can be stopped
//! at any schedule and then says so.
//!
//! Method: a genetic search over lists with double justification (Valls, Ballestín and
//! Quintanilla, *European Journal of Operational Research* 165 (2005) 375-386 and 185 (2008)
//! 495-508), two populations on islands whose builder works from both ends, the children of
//! one built from the other end (Debels and Vanhoucke, *Operations Research* 55 (2007)
//! 457-469). A child keeps a stretch of its father, often where the most is going on, and
//! its mother's sequence around it.
//!
//! Units: none of its own; times are the builder's.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use super::breed;
pub use super::habits::Habits;
use super::needs::{Needs, Side};
use crate::forecast::draws::{Stream, id};

/// Always as many, whatever the machine.
pub const ISLANDS: usize = 8;
/// Builds between two looks at the stop.
const LOOK: usize = 16;

/// How a list becomes a schedule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Step by step, each at the first place it fits, gaps filled.
    Serial,
    /// Instant by instant, the first of the list that may begin.
    Dispatch,
}

/// What the search decides.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Genes {
    /// Every step once.
    pub list: Vec<u32>,
    /// One option a choice.
    pub methods: Vec<u8>,
    /// A step that does not begin before another has begun.
    pub holds: Vec<(u32, u32)>,
}

/// A schedule: times of every step by index, counted from the side it was built from.
#[derive(Clone, Debug, Default)]
pub struct Built {
    pub begin: Vec<i64>,
    pub end: Vec<i64>,
    pub finish: i64,
    /// Schedules this took.
    pub counted: usize,
}

/// What turns lists into schedules.
pub trait Builder: Sync {
    /// Smaller is better.
    type Score: Ord + Copy + Send + Sync;
    /// Buffers of one island.
    type Bench: Send;

    fn bench(&self) -> Self::Bench;
    fn needs(&self) -> &Needs;
    /// How much a step asks for; a dense stretch has much of it.
    fn load(&self, step: usize) -> u64;
    /// Latest end by the network alone, for lists drawn at first.
    fn late(&self) -> &[i64];
    /// Fixed first lists, the best rules first.
    fn rules(&self) -> Vec<(Genes, Way)>;
    /// Options of each choice; one where nothing is to choose.
    fn options(&self) -> &[u8] {
        &[]
    }
    /// Whether a schedule built backward is as good as one built forward.
    fn both_sides(&self) -> bool;
    /// The most schedules one build may count.
    fn most(&self, _way: Way) -> usize {
        1
    }
    /// Builds; `None` where it cannot be carried out. The genes may be rewritten to those that
    /// give the same schedule by dispatch.
    fn build(
        &self,
        bench: &mut Self::Bench,
        side: Side,
        way: Way,
        genes: &mut Genes,
        out: &mut Built,
    ) -> Option<Self::Score>;
    /// Rewrites the list of the forward schedule just built to one by latest begins; counts one
    /// schedule. For builders with one side.
    fn justify(&self, _bench: &mut Self::Bench, _genes: &mut Genes, _built: &Built) -> bool {
        false
    }
    /// Nothing can be better than this.
    fn enough(&self, _score: Self::Score) -> bool {
        false
    }
}

/// A schedule found, with the genes that build it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Best<S> {
    pub score: S,
    pub genes: Genes,
    pub side: Side,
    pub way: Way,
    hash: u64,
}

/// What a search found.
#[derive(Clone, Debug)]
pub struct Outcome<S> {
    /// Distinct schedules, best first, ties by smallest list.
    pub best: Vec<Best<S>>,
    /// Schedules built.
    pub schedules: usize,
    /// Stopped before its budget was spent.
    pub unfinished: bool,
}

/// A parent: its list as seen from the side its children are built from.
#[derive(Clone, Debug)]
pub(super) struct One<S> {
    pub score: S,
    pub genes: Genes,
    /// Begins along the list.
    pub at: Vec<i64>,
    pub hash: u64,
}

struct Island<'b, B: Builder> {
    b: &'b B,
    bench: B::Bench,
    chance: Stream,
    habits: Habits,
    number: usize,
    /// Parents of children built forward (1) and backward (0); one-sided builders use 0 alone.
    sides: [Vec<One<B::Score>>; 2],
    side: Side,
    next: usize,
    started: usize,
    left: usize,
    spent: usize,
    best: Vec<Best<B::Score>>,
    done: bool,
    out: Built,
    spare: Built,
    genes: Genes,
    other: Genes,
    key: Vec<(i64, u32, u32)>,
    mark: Vec<u8>,
    rules: &'b [(Genes, Way)],
    seeds: &'b [Genes],
}

/// Searches within `budget` schedules; `seeds` are lists tried first.
pub fn search<B: Builder>(
    b: &B,
    seeds: &[Genes],
    budget: usize,
    habits: Habits,
    cancel: &(dyn Fn() -> bool + Sync),
) -> Outcome<B::Score> {
    let rules = b.rules();
    let mut islands: Vec<Island<B>> = (0..ISLANDS)
        .map(|number| Island {
            b,
            bench: b.bench(),
            chance: Stream::new(0, id("search"), number as u64, 0),
            habits,
            number,
            sides: [Vec::new(), Vec::new()],
            side: Side::Forward,
            next: 0,
            started: 0,
            left: 0,
            spent: 0,
            best: Vec::new(),
            done: false,
            out: Built::default(),
            spare: Built::default(),
            genes: Genes::default(),
            other: Genes::default(),
            key: Vec::new(),
            mark: Vec::new(),
            rules: &rules,
            seeds,
        })
        .collect();
    let stop = AtomicBool::new(false);
    let rounds = habits.rounds.max(1);
    for round in 0..rounds {
        for i in &mut islands {
            let whole = budget / ISLANDS + usize::from(i.number < budget % ISLANDS);
            i.left += whole * (round + 1) / rounds - whole * round / rounds;
        }
        islands.par_iter_mut().for_each(|i| i.run(cancel, &stop));
        if stop.load(Ordering::Relaxed) || islands.iter().any(|i| i.done) {
            break;
        }
        if round + 1 < rounds {
            meet(&mut islands, b.both_sides(), habits.dealt);
        }
    }
    let schedules = islands.iter().map(|i| i.spent).sum();
    let mut best: Vec<Best<B::Score>> = islands.into_iter().flat_map(|i| i.best).collect();
    best.sort_by(|a, b| a.score.cmp(&b.score).then_with(|| a.genes.cmp(&b.genes)));
    let mut seen: Vec<u64> = Vec::new();
    best.retain(|x| {
        let new = !seen.contains(&x.hash);
        seen.push(x.hash);
        new
    });
    best.truncate(habits.hand_back.max(1));
    Outcome { best, schedules, unfinished: stop.into_inner() }
}

/// The best of each island goes to the next and takes the place of its worst.
fn meet<B: Builder>(islands: &mut [Island<B>], both: bool, dealt: bool) {
    for side in 0..=usize::from(both) {
        if dealt {
            let mut all: Vec<One<B::Score>> =
                islands.iter_mut().flat_map(|i| std::mem::take(&mut i.sides[side])).collect();
            all.sort_by_key(|x| x.score);
            all.into_iter().enumerate().for_each(|(k, one)| islands[k % ISLANDS].sides[side].push(one));
            continue;
        }
        let best: Vec<Option<One<B::Score>>> =
            islands.iter().map(|i| i.sides[side].iter().min_by(|a, b| a.score.cmp(&b.score)).cloned()).collect();
        for (k, one) in best.into_iter().enumerate() {
            let to = &mut islands[(k + 1) % ISLANDS].sides[side];
            if let Some(one) = one
                && let Some(w) = (0..to.len()).max_by_key(|&i| to[i].score)
                && one.score < to[w].score
            {
                to[w] = one;
            }
        }
    }
}

impl<B: Builder> Island<'_, B> {
    fn run(&mut self, cancel: &(dyn Fn() -> bool + Sync), stop: &AtomicBool) {
        let mut looked = self.spent;
        while !self.done {
            if self.spent >= looked + LOOK {
                looked = self.spent;
                if stop.load(Ordering::Relaxed) || cancel() {
                    stop.store(true, Ordering::Relaxed);
                    return;
                }
            }
            let before = self.spent;
            if self.started < self.habits.people {
                self.first();
            } else if self.b.both_sides() {
                self.child();
            } else {
                self.child_of_one_side();
            }
            if self.spent == before {
                return;
            }
        }
    }

    /// Builds `genes` into `out`; `None` too where the budget does not allow it.
    fn build(&mut self, side: Side, way: Way) -> Option<B::Score> {
        if self.b.most(way) > self.left {
            return None;
        }
        self.out.counted = 1;
        let score = self.b.build(&mut self.bench, side, way, &mut self.genes, &mut self.out);
        self.left -= self.out.counted;
        self.spent += self.out.counted;
        let score = score?;
        self.done |= self.b.enough(score);
        let keep = self.habits.hand_back.max(1);
        let full = self.best.len() >= keep;
        if !full || self.best.last().is_none_or(|w| score <= w.score) {
            let hash = fingerprint(&self.out);
            let at = self.best.partition_point(|x| (x.score, &x.genes) < (score, &self.genes));
            // Of the same schedule only one list, the better and smaller.
            let twin = self.best.iter().position(|x| x.hash == hash);
            if twin.is_none_or(|t| t >= at) && at < keep {
                if let Some(t) = twin {
                    self.best.remove(t);
                }
                self.best.insert(at, Best { score, genes: self.genes.clone(), side, way, hash });
                self.best.truncate(keep);
            }
        }
        Some(score)
    }

    /// The schedule just built as a parent: its list from the end for a builder with two
    /// sides, else by begins.
    fn parent(&mut self, side: Side, score: B::Score) -> One<B::Score> {
        let needs = self.b.needs();
        let (out, key) = (&self.out, &mut self.key);
        key.clear();
        if !self.b.both_sides() {
            let at = (0..self.genes.list.len() as i64).collect();
            return One { score, genes: self.genes.clone(), at, hash: fingerprint(out) };
        }
        let o = side.other();
        key.extend((0..out.end.len()).map(|s| (out.finish - out.end[s], needs.place(o, s), s as u32)));
        key.sort_unstable();
        let mut genes = self.genes.clone();
        genes.list.clear();
        genes.list.extend(key.iter().map(|k| k.2));
        One { score, genes, at: key.iter().map(|k| k.0).collect(), hash: fingerprint(&self.out) }
    }

    /// One of the first lists: given, by a rule, drawn.
    fn first(&mut self) {
        let g = self.number + ISLANDS * self.started;
        self.started += 1;
        let way = if let Some(seed) = self.seeds.get(g) {
            self.genes.clone_from(seed);
            Way::Dispatch
        } else if let Some((genes, way)) = self.rules.get(g - self.seeds.len().min(g)) {
            self.genes.clone_from(genes);
            *way
        } else {
            if let Some((genes, _)) = self.rules.first() {
                self.genes.clone_from(genes);
            }
            breed::sample(self.b.needs(), self.b.late(), &mut self.chance, &mut self.genes.list);
            let options = self.b.options();
            if self.chance.below(2) == 0 {
                breed::turn(options, &mut self.chance, &mut self.genes.methods);
            }
            if self.chance.below(100) < self.habits.dispatched { Way::Dispatch } else { Way::Serial }
        };
        if let Some(one) = self.grown(way) {
            self.sides[0].push(one);
        }
        if self.started >= self.habits.people {
            self.side = if self.b.both_sides() { Side::Backward } else { Side::Forward };
            self.next = 0;
        }
    }

    /// Builds the genes forward and, on one side, justifies them where that is wanted.
    fn grown(&mut self, way: Way) -> Option<One<B::Score>> {
        let score = self.build(Side::Forward, way)?;
        let one = self.parent(Side::Forward, score);
        if self.b.both_sides() || self.left < 2 || self.chance.below(100) >= self.habits.justified {
            return Some(one);
        }
        std::mem::swap(&mut self.out, &mut self.spare);
        self.left -= 1;
        self.spent += 1;
        if !self.b.justify(&mut self.bench, &mut self.genes, &self.spare) {
            return Some(one);
        }
        let Some(again) = self.build(Side::Forward, Way::Dispatch) else { return Some(one) };
        Some(if again <= score { self.parent(Side::Forward, again) } else { one })
    }

    /// A child on a builder with two sides: of two parents built from the other side.
    fn child(&mut self) {
        if self.next >= self.habits.people {
            self.next = 0;
            self.side = self.side.other();
        }
        let (mine, from) = (self.side as usize, 1 - self.side as usize);
        if self.sides[from].is_empty() {
            return;
        }
        let i = self.next;
        self.next += 1;
        let grown = self.sides[mine].len() > i;
        if grown {
            self.mate(from, i);
        } else {
            // The first from this side are the justified ones of the other.
            self.genes.clone_from(&self.sides[from][i.min(self.sides[from].len() - 1)].genes);
        }
        let Some(score) = self.build(self.side, Way::Serial) else { return };
        let hash = fingerprint(&self.out);
        let here = &self.sides[mine];
        if !grown || score <= here[i].score && !here.iter().any(|x| x.hash == hash) {
            let one = self.parent(self.side, score);
            let here = &mut self.sides[mine];
            if grown {
                here[i] = one;
            } else {
                here.push(one);
            }
        }
    }

    /// A child on a builder with one side.
    fn child_of_one_side(&mut self) {
        let n = self.sides[0].len();
        if n == 0 {
            return;
        }
        self.next = (self.next + 1) % n;
        let i = self.next;
        self.mate(0, i);
        let way = if self.chance.below(100) < self.habits.serial && self.b.most(Way::Serial) <= self.left {
            Way::Serial
        } else {
            Way::Dispatch
        };
        let Some(one) = self.grown(way) else { return };
        let here = &mut self.sides[0];
        if one.score <= here[i].score && !here.iter().enumerate().any(|(k, x)| k != i && x.hash == one.hash) {
            here[i] = one;
        }
    }

    /// Crosses parent `i` of a side with a good other one into `genes`.
    fn mate(&mut self, side: usize, i: usize) {
        let parents = &self.sides[side];
        let n = parents.len();
        let c = &mut self.chance;
        let i = if i < n { i } else { c.below(n as u64) as usize };
        let (a, b) = (c.below(n as u64) as usize, c.below(n as u64) as usize);
        let mut j = if parents[b].score < parents[a].score { b } else { a };
        if i == j {
            j = (j + 1) % n;
        }
        let (father, mother) = (&parents[i], &parents[j]);
        let br = &self.habits.breeder;
        let stretch = br.stretch(&father.genes.list, &father.at, c, |s| self.b.load(s));
        std::mem::swap(&mut self.genes, &mut self.other);
        breed::cross(&father.genes, &mother.genes, stretch, c, &mut self.mark, &mut self.genes);
        let alike = father.hash == mother.hash;
        br.vary(self.b, alike, c, &mut self.genes);
    }
}

/// Schedules with the same begins are the same.
fn fingerprint(out: &Built) -> u64 {
    let mut h = out.finish as u64;
    for &b in &out.begin {
        h = (h ^ b as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15).rotate_left(29);
    }
    h
}
