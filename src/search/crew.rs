//! Crew jobs as a builder: a list of steps, a method for each choice, holds; built by dispatch.
//!
//! The list holds every step of the graph, those of methods not taken too, so that a turned
//! method finds its steps in their places. A serial build goes through `gaps.rs` to a list and
//! holds, and these are dispatched: only what was dispatched counts.

use std::cmp::Reverse;

use super::breed::by_key;
use super::gaps::Gaps;
use super::islands::{Builder, Built, Genes, Way};
use super::needs::{Needs, Side};
use crate::clock::{DAY, UNIT};
use crate::forecast::world::crew_clock;
use crate::schedule::{HoldUntil, NEVER, Net, Order, PlanHold, Setting, State, Typical, bits, finish, run, stage_ix};
use crate::work::{Ask, Kind, WorkGraph};

/// A hold that does not lapse while it is tried, working minutes.
const LONG: i64 = 1_000_000;
/// Nets kept by an island, one for each set of methods.
const MOST_NETS: usize = 64;
/// Most holds a serial build asks for.
const MOST_HOLDS: usize = 4;

/// What makes one plan better than another: finish, then trips, then days of a person worked
/// but not filled, then stretches of work.
pub type Score = (i64, i64, usize, usize);

/// A job ready to be searched.
pub struct CrewJob<'a> {
    graph: &'a WorkGraph,
    set: &'a Setting,
    people: Vec<Option<Vec<usize>>>,
    /// Who may do each step under `people`, as bits.
    who: Vec<u32>,
    holds: &'a [PlanHold],
    needs: Needs,
    options: Vec<u8>,
    late: Vec<i64>,
    load: Vec<u64>,
    rules: Vec<(Genes, Way)>,
    /// No plan ends before.
    floor: i64,
}

/// Buffers of one island.
pub struct CrewBench<'a> {
    nets: Vec<Net<'a>>,
    st: State,
    order: Order,
    gaps: Gaps,
    days: Vec<(usize, i64, i64)>,
    key: Vec<(i64, usize, u32)>,
}

impl<'a> CrewJob<'a> {
    /// `low`: a bound of the finish and the methods it was found with.
    pub fn new(
        graph: &'a WorkGraph,
        set: &'a Setting,
        people: Vec<Option<Vec<usize>>>,
        holds: &'a [PlanHold],
        low: (i64, &[usize]),
    ) -> CrewJob<'a> {
        let n = graph.steps.len();
        let usual = Net::new(graph, set, &graph.usual());
        // Every link of every method where that is acyclic, else those of the usual methods.
        let mut links: Vec<(usize, usize, Ask, i64)> =
            graph.links.iter().map(|l| (l.from, l.to, l.ask, l.lag)).collect();
        let rows = |links: &[(usize, usize, Ask, i64)]| {
            let mut rows = vec![Vec::new(); n];
            links.iter().for_each(|l| rows[l.1].push(l.0));
            rows
        };
        let needs = Needs::new(&rows(&links)).unwrap_or_else(|_| {
            links = (0..n).flat_map(|s| usual.deps[s].iter().map(move |d| (d.from, s, d.ask, d.lag))).collect();
            Needs::new(&rows(&links)).expect("a sound job's needs are acyclic")
        });
        let options = graph
            .choices
            .iter()
            .map(|c| if c.fixed.is_some() { 1 } else { c.options.len().clamp(1, 250) as u8 })
            .collect();
        let who = (0..n)
            .map(|s| match people.get(s) {
                Some(Some(only)) => usual.who[s] & only.iter().fold(0, |m, &p| m | 1 << p),
                _ => usual.who[s],
            })
            .collect();
        let keys = Keys::new(&usual, &needs, &links);
        let rules = keys.rules(graph, &needs, low.1);
        let load = (0..n).map(|s| if usual.labor(s) { usual.typical[s].max(0) as u64 } else { 0 }).collect();
        CrewJob { graph, set, people, who, holds, needs, options, late: keys.late, load, rules, floor: low.0 }
    }

    /// A list over every step from an order over those present; what it lacks stands right
    /// behind the last step it needs.
    pub fn genes(&self, order: &Order) -> Genes {
        let mut list: Vec<u32> = order.order.iter().map(|&s| s as u32).collect();
        let mut there = vec![false; self.needs.len()];
        list.iter().for_each(|&s| there[s as usize] = true);
        for &s in self.needs.topo(Side::Forward) {
            if !there[s as usize] {
                let before = self.needs.before(Side::Forward, s as usize);
                let at = list.iter().rposition(|x| before.contains(x)).map_or(0, |i| i + 1);
                list.insert(at, s);
            }
        }
        Genes { list, methods: order.methods.iter().map(|&o| o as u8).collect(), holds: Vec::new() }
    }

    /// The order a list stands for.
    pub fn order(&self, genes: &Genes) -> Order {
        let methods: Vec<usize> = genes.methods.iter().map(|&o| usize::from(o)).collect();
        let present: Vec<bool> = self.graph.steps.iter().map(|s| WorkGraph::holds(&s.when, &methods)).collect();
        Order {
            order: genes.list.iter().map(|&s| s as usize).filter(|&s| present[s]).collect(),
            methods,
            people: self.people.clone(),
            holds: self.holds.iter().copied().chain(own_holds(genes, &present)).collect(),
        }
    }

    /// Sets the planned waits of the search's own holds to what they come to in the plan, and
    /// leaves out those that never held anything.
    pub fn settle(&self, net: &Net, order: &mut Order, st: &mut State) {
        let ours = self.holds.len();
        if order.holds.len() == ours || run(net, order, &mut Typical(net), st).is_err() {
            return;
        }
        let end = finish(net, st);
        let mut settled = order.clone();
        settled.holds.truncate(ours);
        for h in &order.holds[ours..] {
            let since = st.held_since[h.step];
            if since < NEVER
                && let Some(p) = bits(net.who[h.step]).next()
            {
                let wait = self.set.workers[p].clock.progress(since, st.begun[h.step]).max(0) / UNIT;
                settled.holds.push(PlanHold { wait: Some(wait), ..*h });
            }
        }
        if run(net, &settled, &mut Typical(net), st).is_ok() && finish(net, st) <= end {
            *order = settled;
        }
    }

    fn net(&self, bench: &mut CrewBench<'a>, methods: &[u8]) -> usize {
        let same = |n: &Net| n.methods.iter().zip(methods).all(|(&a, &b)| a == usize::from(b));
        if let Some(i) = bench.nets.iter().position(same) {
            return i;
        }
        if bench.nets.len() >= MOST_NETS {
            bench.nets.remove(0);
        }
        let methods: Vec<usize> = methods.iter().map(|&o| usize::from(o)).collect();
        bench.nets.push(Net::new(self.graph, self.set, &methods));
        bench.nets.len() - 1
    }

    fn dispatch(&self, b: &mut CrewBench<'a>, net: usize, genes: &Genes) -> Option<Score> {
        let n = &b.nets[net];
        b.order.order.clear();
        b.order.order.extend(genes.list.iter().map(|&s| s as usize).filter(|&s| n.present[s]));
        b.order.methods.clone_from(&n.methods);
        b.order.holds.clear();
        b.order.holds.extend_from_slice(self.holds);
        b.order.holds.extend(own_holds(genes, &n.present));
        run(n, &b.order, &mut Typical(n), &mut b.st).ok()?;
        let trips = b.st.runs.iter().map(|r| r.trip).sum();
        Some((finish(n, &b.st), trips, self.part_days(&b.st, &mut b.days), b.st.runs.len()))
    }

    /// Days on which a person works but has working minutes left.
    fn part_days(&self, st: &State, days: &mut Vec<(usize, i64, i64)>) -> usize {
        days.clear();
        for r in &st.runs {
            for p in bits(r.people) {
                let clock = &self.set.workers[p].clock;
                let mut from = r.from;
                while from < r.to {
                    let day = from.div_euclid(DAY);
                    let to = r.to.min((day + 1) * DAY);
                    days.push((p, day, clock.progress(from, to)));
                    from = to;
                }
            }
        }
        days.sort_unstable();
        let mut part = 0;
        for same in days.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
            let (p, day, _) = same[0];
            let worked: i64 = same.iter().map(|x| x.2).sum();
            let whole = self.set.workers[p].clock.progress(day * DAY, (day + 1) * DAY);
            part += usize::from(worked > 0 && worked < whole);
        }
        part
    }

    /// Times of the last dispatch; a step not in it stands with the last step it needs.
    fn times(&self, st: &State, finish: i64, out: &mut Built) {
        let n = self.needs.len();
        out.begin.clear();
        out.begin.resize(n, 0);
        out.end.clear();
        out.end.resize(n, 0);
        out.finish = finish;
        for &s in self.needs.topo(Side::Forward) {
            let s = s as usize;
            (out.begin[s], out.end[s]) = if st.active[s] {
                (st.begun[s], st.ended[s])
            } else {
                let at = self.needs.before(Side::Forward, s).iter().map(|&p| out.begin[p as usize]).max().unwrap_or(0);
                (at, at)
            };
        }
    }

    /// Puts the steps placed by `gaps` in the sequence of their begins; the others go with the
    /// last step they need, or stay first.
    fn by_gaps(&self, gaps: &Gaps, present: &[bool], key: &mut Vec<(i64, usize, u32)>, list: &mut [u32]) {
        let mut at = vec![i64::MIN; list.len()];
        for &s in self.needs.topo(Side::Forward) {
            let s = s as usize;
            at[s] = if present[s] {
                gaps.begin[s]
            } else {
                self.needs.before(Side::Forward, s).iter().map(|&p| at[p as usize]).max().unwrap_or(i64::MIN)
            };
        }
        key.clear();
        key.extend(list.iter().enumerate().map(|(r, &s)| (at[s as usize], r, s)));
        key.sort_unstable();
        list.iter_mut().zip(key.iter()).for_each(|(to, k)| *to = k.2);
    }

    /// Holds where dispatch began something before its place and so put off a step that should
    /// have had the hands first.
    fn wanted(&self, net: &Net, st: &State, gaps: &Gaps) -> Vec<(u32, u32)> {
        let mut late: Vec<usize> = (0..net.present.len())
            .filter(|&s| st.active[s] && net.labor(s) && gaps.begin[s] >= 0 && st.begun[s] > gaps.begin[s])
            .collect();
        late.sort_by_key(|&s| (gaps.begin[s], s));
        let mut out: Vec<(u32, u32)> = Vec::new();
        for y in late {
            let in_way = st.runs.iter().find(|r| {
                r.step != y
                    && r.from < st.begun[y]
                    && r.to > gaps.begin[y]
                    && r.people & gaps.hands[y] != 0
                    && gaps.begin[r.step] > gaps.begin[y]
                    && st.begun[r.step] == r.from
            });
            if let Some(r) = in_way
                && out.len() < MOST_HOLDS
                && !out.iter().any(|h| h.0 == r.step as u32)
            {
                out.push((r.step as u32, y as u32));
            }
        }
        out
    }
}

fn own_holds(genes: &Genes, present: &[bool]) -> impl Iterator<Item = PlanHold> {
    genes.holds.iter().filter(|h| present[h.0 as usize] && present[h.1 as usize]).map(|&(step, y)| PlanHold {
        step: step as usize,
        until: HoldUntil::Begun(y as usize),
        wait: Some(LONG),
    })
}

impl<'a> Builder for CrewJob<'a> {
    type Score = Score;
    type Bench = CrewBench<'a>;

    fn bench(&self) -> CrewBench<'a> {
        CrewBench {
            nets: Vec::new(),
            st: State::default(),
            order: Order { order: Vec::new(), methods: Vec::new(), people: self.people.clone(), holds: Vec::new() },
            gaps: Gaps::default(),
            days: Vec::new(),
            key: Vec::new(),
        }
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
        self.rules.clone()
    }

    fn options(&self) -> &[u8] {
        &self.options
    }

    fn both_sides(&self) -> bool {
        false
    }

    fn most(&self, way: Way) -> usize {
        if way == Way::Serial { 3 } else { 1 }
    }

    fn build(&self, b: &mut CrewBench<'a>, _: Side, way: Way, genes: &mut Genes, out: &mut Built) -> Option<Score> {
        let net = self.net(b, &genes.methods);
        out.counted = 1;
        if way == Way::Dispatch {
            let score = self.dispatch(b, net, genes)?;
            self.times(&b.st, score.0, out);
            return Some(score);
        }
        let n = &b.nets[net];
        let end = b.gaps.forward(n, &self.who, &genes.list);
        self.by_gaps(&b.gaps, &n.present, &mut b.key, &mut genes.list);
        genes.holds.clear();
        out.counted = 2;
        let mut score = self.dispatch(b, net, genes)?;
        self.times(&b.st, score.0, out);
        if score.0 > end {
            genes.holds = self.wanted(&b.nets[net], &b.st, &b.gaps);
            if !genes.holds.is_empty() {
                out.counted = 3;
                match self.dispatch(b, net, genes) {
                    Some(held) if held < score => {
                        score = held;
                        self.times(&b.st, score.0, out);
                    }
                    _ => genes.holds.clear(),
                }
            }
        }
        Some(score)
    }

    fn justify(&self, b: &mut CrewBench<'a>, genes: &mut Genes, built: &Built) -> bool {
        let net = self.net(b, &genes.methods);
        let n = &b.nets[net];
        let mut last: Vec<u32> = genes.list.clone();
        last.sort_by_key(|&s| Reverse((built.end[s as usize], built.begin[s as usize])));
        b.gaps.backward(n, &self.who, &last, built.finish);
        self.by_gaps(&b.gaps, &n.present, &mut b.key, &mut genes.list);
        true
    }

    fn enough(&self, score: Score) -> bool {
        score.0 <= self.floor && score.1 == 0
    }
}

/// What the start rules go by.
struct Keys {
    /// Latest end, counted back from the finish (negative).
    late: Vec<i64>,
    begin: Vec<i64>,
    labor: Vec<i64>,
    below: Vec<i64>,
}

impl Keys {
    fn new(net: &Net, needs: &Needs, links: &[(usize, usize, Ask, i64)]) -> Keys {
        let n = needs.len();
        let (_, day) = crew_clock(net.set);
        let stretch = 1_440.0 * 7.0 / 5.0 / day.max(1.0);
        let mut after: Vec<Vec<(usize, Ask, i64)>> = vec![Vec::new(); n];
        links.iter().for_each(|&(from, to, ask, lag)| after[from].push((to, ask, lag)));
        let (mut late, mut begin, mut labor, mut below) = (vec![0; n], vec![0; n], vec![0; n], vec![0; n]);
        for &s in needs.topo(Side::Backward) {
            let s = s as usize;
            let planned = net.graph.steps[s].role.planned();
            let own = match net.graph.steps[s].kind {
                Kind::Labor if planned => net.typical[s] as f64 * stretch,
                Kind::Elapsed(_) => net.typical[s] as f64,
                Kind::Business { minutes, .. } => minutes as f64 * 1.4,
                _ => 0.0,
            };
            for &(f, ask, lag) in &after[s] {
                let dry = match ask {
                    Ask::Dry(stage) => net.stage_min[s][stage_ix(stage)].max(0),
                    _ => 0,
                };
                late[s] = late[s].min(begin[f] - dry - lag);
                labor[s] = labor[s].min(labor[f]);
                below[s] += below[f] - 1;
            }
            begin[s] = late[s] - own as i64;
            labor[s] -= own as i64;
        }
        Keys { late, begin, labor, below }
    }

    /// Longest tail of work and drying first, the same with labor alone, latest end, most
    /// followers, and the plain order top down; each for the usual methods and those of the
    /// bound, the first for each method turned by itself too.
    fn rules(&self, graph: &WorkGraph, needs: &Needs, low: &[usize]) -> Vec<(Genes, Way)> {
        let plain: Vec<i64> = (0..needs.len() as i64).collect();
        let lists: Vec<Vec<u32>> =
            [&self.begin, &self.labor, &self.late, &self.below, &plain].map(|k| by_key(needs, k)).into();
        let gene = |list: &Vec<u32>, methods: &[usize]| Genes {
            list: list.clone(),
            methods: methods.iter().map(|&o| o as u8).collect(),
            holds: Vec::new(),
        };
        let usual = graph.usual();
        let mut out = Vec::new();
        let mut tried = vec![usual.clone()];
        if low != usual {
            tried.push(low.to_vec());
        }
        for l in &lists {
            tried.iter().for_each(|m| out.push((gene(l, m), Way::Dispatch)));
        }
        tried.iter().for_each(|m| out.push((gene(&lists[0], m), Way::Serial)));
        for (c, choice) in graph.choices.iter().enumerate().filter(|(_, c)| c.fixed.is_none()) {
            for o in 1..choice.options.len() {
                let mut m = usual.clone();
                m[c] = o;
                if tried.len() < 24 && !tried.contains(&m) {
                    out.push((gene(&lists[0], &m), Way::Dispatch));
                    tried.push(m);
                }
            }
        }
        out
    }
}
