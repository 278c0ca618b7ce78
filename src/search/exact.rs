//! Proof by branching: whether any order could finish sooner than the best known.
//!
//! The target just before the known finish is put to the test under some choices made:
//! methods first, then which of two steps that must stand apart goes first, then whether a
//! step is done, or begun, before a given midnight. Each such choice leaves out no plan, so a
//! target refuted under both of its answers is refuted. Where a branch is not refuted, its
//! earliest begins are tried as an order: it may be a better plan.
//!
//! A number of nodes bounds the work, never time, so the answer is the same everywhere. What
//! the relaxation leaves out (`relaxed`) is not branched on: then nothing is proven.

use super::deadlines::{DECIDED, Dates, Test};
use super::relaxed::{FREE, Ground, Relaxed};
use crate::clock::{At, DAY};
use crate::schedule::{Net, Order, Setting, State, Typical, finish, run};
use crate::work::WorkGraph;

/// Nodes a job is worth: about as long as its search, whatever its size.
pub fn budget(graph: &WorkGraph) -> usize {
    let n = graph.steps.iter().filter(|s| s.role.planned()).count().max(1);
    (6_000 / n).clamp(24, 400)
}

/// What branching found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Exact {
    /// No order can finish before this.
    pub bound: At,
    /// A better order than the known one, if one came up.
    pub better: Option<Order>,
    /// Whether no plan is left that would finish sooner than the best known.
    pub whole: bool,
    /// Tests of a target under some choices.
    pub nodes: usize,
}

/// How a target fared.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Answer {
    /// No order finishes by it.
    Refuted,
    /// Dates are left where nothing more can be chosen, or an order reaches it.
    Open,
    /// The nodes ran out.
    Spent,
}

/// Dates under the choices made so far.
struct Node {
    dates: Dates,
    first: Vec<u8>,
}

struct Proof<'a> {
    graph: &'a WorkGraph,
    set: &'a Setting,
    ground: &'a Ground<'a>,
    /// The order known, for its people and holds.
    known: &'a Order,
    best: i64,
    better: Option<Order>,
    st: State,
    nodes: usize,
    most: usize,
    cancel: &'a (dyn Fn() -> bool + Sync),
}

/// Tries to prove that nothing finishes sooner than `upper`, with `low` a known bound, in at
/// most `budget_nodes` tests.
///
/// `known` is the order that finishes at `upper`; a better one keeps its people and holds.
pub fn exact(
    graph: &WorkGraph,
    set: &Setting,
    known: &Order,
    upper: At,
    low: At,
    budget_nodes: usize,
    cancel: &(dyn Fn() -> bool + Sync),
) -> Exact {
    let ground = Ground::new(graph, set);
    let mut p = Proof {
        graph,
        set,
        ground: &ground,
        known,
        best: upper.0,
        better: None,
        st: State::default(),
        nodes: 0,
        most: budget_nodes,
        cancel,
    };
    let mut low = low.0;
    while low < p.best {
        let before = p.best;
        let target = p.best - 1;
        match p.methods(target) {
            Answer::Refuted => low = target + 1,
            // A better plan came up: its finish is the next to beat.
            Answer::Open if p.best < before => {}
            _ => break,
        }
    }
    // Halving between what is refuted and what is not, with what is left of the nodes.
    let (mut from, mut to) = (low, p.best);
    while to - from > 1 && p.nodes < budget_nodes {
        let middle = from + (to - from) / 2;
        p.most = (p.nodes + (budget_nodes - p.nodes).div_ceil(4)).min(budget_nodes);
        match p.methods(middle - 1) {
            Answer::Refuted => from = middle,
            _ => to = middle,
        }
        low = low.max(from);
    }
    Exact { bound: At(low.min(p.best)), better: p.better, whole: low >= p.best, nodes: p.nodes }
}

impl<'a> Proof<'a> {
    /// Puts a target to the test over all methods.
    fn methods(&mut self, target: i64) -> Answer {
        let chosen = self.graph.choices.iter().map(|c| c.fixed.or((c.options.len() < 2).then_some(0))).collect();
        self.choose(target, chosen)
    }

    fn choose(&mut self, target: i64, chosen: Vec<Option<usize>>) -> Answer {
        if self.spent() {
            return Answer::Spent;
        }
        let work = Relaxed::new(self.ground, &chosen);
        let mut test = Test::new(self.set, &work);
        let mut dates = test.heads.clone();
        test.aim(&mut dates, target);
        let first = vec![0; work.apart.len()];
        if !test.narrow(&mut dates, &first, false) {
            return Answer::Refuted;
        }
        if let Some(c) = chosen.iter().position(Option::is_none) {
            let mut answer = Answer::Refuted;
            for o in 0..self.graph.choices[c].options.len() {
                let mut next = chosen.clone();
                next[c] = Some(o);
                answer = worse(answer, self.choose(target, next));
                if answer != Answer::Refuted {
                    break;
                }
            }
            return answer;
        }
        let methods: Vec<usize> = chosen.iter().flatten().copied().collect();
        let net = Net::new(self.graph, self.set, &methods);
        self.branch(target, &net, &mut test, Node { dates, first })
    }

    fn spent(&mut self) -> bool {
        self.nodes += 1;
        self.nodes > self.most || self.nodes.is_multiple_of(16) && (self.cancel)()
    }

    /// Goes on from a node whose dates are left over.
    fn branch(&mut self, target: i64, net: &Net, test: &mut Test, node: Node) -> Answer {
        self.dispatched(net, test, &node.dates);
        if self.best <= target {
            return Answer::Open;
        }
        let Some(ways) = split(test, &node) else { return Answer::Open };
        for mut way in ways {
            if self.spent() {
                return Answer::Spent;
            }
            if !test.narrow(&mut way.dates, &way.first, true) {
                continue;
            }
            let answer = self.branch(target, net, test, way);
            if answer != Answer::Refuted {
                return answer;
            }
        }
        Answer::Refuted
    }

    /// Tries the earliest and the latest begins of a node as orders.
    fn dispatched(&mut self, net: &Net, test: &Test, d: &Dates) {
        let steps = &test.work.of;
        let mut rank: Vec<(i64, i64)> = vec![(0, 0); net.present.len()];
        for by_begin in [true, false] {
            for (x, &s) in steps.iter().enumerate() {
                let (a, b) = (d.begin[x], d.last_begin[x].min(FREE));
                rank[s] = if by_begin { (a, b) } else { (b, a) };
            }
            // A step the relaxation does not hold (found or redone work) comes with what it follows.
            let topo = net.topo();
            for &s in &topo {
                if !self.graph.steps[s].role.planned() {
                    rank[s] = net.deps[s].iter().map(|x| rank[x.from]).max().unwrap_or((0, 0));
                }
            }
            let mut order = topo;
            order.sort_by_key(|&s| rank[s]);
            let order = Order {
                order,
                methods: net.methods.clone(),
                people: self.known.people.clone(),
                holds: self.known.holds.clone(),
            };
            if run(net, &order, &mut Typical(net), &mut self.st).is_ok() {
                let end = finish(net, &self.st);
                if end < self.best {
                    self.best = end;
                    self.better = Some(order);
                }
            }
        }
    }
}

/// Of two answers the one that proves less.
fn worse(a: Answer, b: Answer) -> Answer {
    if a == Answer::Refuted { b } else { a }
}

/// Two nodes that leave out no plan of this one; `None` where nothing is left to choose.
fn split(test: &mut Test, node: &Node) -> Option<[Node; 2]> {
    if let Some(k) = test.open_pair(&node.dates, &node.first) {
        return Some(DECIDED.map(|x| {
            let mut first = node.first.clone();
            first[k] = x;
            Node { dates: node.dates.clone(), first }
        }));
    }
    let (by, after) = (node.dates.clone(), node.dates.clone());
    let mut ways = [by, after].map(|dates| Node { dates, first: node.first.clone() });
    let d = &node.dates;
    let fewest = |days: &dyn Fn(usize) -> i64, from: &[i64]| {
        let hands = |i: &usize| test.work.steps[*i].labor > 0 && d.last_done[*i] < FREE && days(*i) > 0;
        (0..d.done.len()).filter(hands).min_by_key(|&i| (days(i), from[i], i))
    };
    // The step with hands that may be done on the fewest days, more than one; then begun.
    let day = |t: i64| t.div_euclid(DAY);
    if let Some(i) = fewest(&|i| day(d.last_done[i] - 1) - day(d.done[i] - 1), &d.done) {
        let midnight = (day(d.done[i] - 1) + 1) * DAY;
        ways[0].dates.last_done[i] = midnight;
        ways[1].dates.done[i] = midnight + 1;
    } else {
        let i = fewest(&|i| day(d.last_begin[i]) - day(d.begin[i]), &d.begin)?;
        let midnight = (day(d.begin[i]) + 1) * DAY;
        ways[0].dates.last_begin[i] = midnight - 1;
        ways[1].dates.begin[i] = midnight;
    }
    Some(ways)
}
