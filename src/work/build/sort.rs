//! Steps in an order in which each comes after what it needs, top down where nothing else
//! decides; links in the order of their steps.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::Key;
use crate::work::{Role, WorkGraph};

/// The same graph with its steps in order. Links of other methods may close a ring in the
/// whole graph; the step that comes first by its key then goes first.
pub(super) fn in_order(mut g: WorkGraph, keys: &[Key]) -> WorkGraph {
    let n = g.steps.len();
    let mut waits = vec![0usize; n];
    let mut next: Vec<Vec<usize>> = vec![Vec::new(); n];
    for l in &g.links {
        waits[l.to] += 1;
        next[l.from].push(l.to);
    }
    let mut ready: BinaryHeap<Reverse<(Key, usize)>> =
        (0..n).filter(|&i| waits[i] == 0).map(|i| Reverse((keys[i], i))).collect();
    let mut order = Vec::with_capacity(n);
    let mut done = vec![false; n];
    while order.len() < n {
        let i = match ready.pop() {
            Some(Reverse((_, i))) => i,
            None => (0..n).filter(|&i| !done[i]).min_by_key(|&i| (keys[i], i)).expect("a step is left"),
        };
        if std::mem::replace(&mut done[i], true) {
            continue;
        }
        order.push(i);
        for &t in &next[i] {
            waits[t] -= 1;
            if waits[t] == 0 && !done[t] {
                ready.push(Reverse((keys[t], t)));
            }
        }
    }
    let mut place = vec![0; n];
    order.iter().enumerate().for_each(|(k, &i)| place[i] = k);
    let mut steps: Vec<_> = std::mem::take(&mut g.steps).into_iter().map(Some).collect();
    g.steps = order.iter().filter_map(|&i| steps[i].take()).collect();
    for s in &mut g.steps {
        if let Role::Redo { of, .. } | Role::Scuff { of } = &mut s.role {
            *of = place[*of];
        }
    }
    for l in &mut g.links {
        (l.from, l.to) = (place[l.from], place[l.to]);
    }
    g.links.sort_by(|a, b| (a.to, a.from, a.ask, a.lag, &a.when).cmp(&(b.to, b.from, b.ask, b.lag, &b.when)));
    g
}
