//! Exhaustive search over small jobs: at each instant any startable step with any method
//! and any people is started, or the next instant awaited. Slow, plain, and the judge of
//! bounds and of dispatched plans.

use std::collections::HashSet;
use std::hash::{DefaultHasher, Hash, Hasher};

use roomback::clock::{Clock, Law, UNIT};
use roomback::schedule::{FaultKind, Net, Order, Plan, Run, Setting, State as Room, plan as dispatch, verify};
use roomback::search::{bound, exact, search};
use roomback::trade::Stage;
use roomback::work::{Ask, WorkGraph};

use crate::random::{Draws, Size, how_many, random};
use crate::simulator::{NEVER, Simulator, State, Status};
use crate::verify::drawn_plan;

/// The best plan found and whether everything was looked at.
pub struct Best {
    pub plan: Plan,
    pub whole: bool,
}

struct Search<'a> {
    sim: Simulator<'a>,
    /// Per step: hours in which anybody eligible is on shift, and the most they do a minute.
    hands: Vec<(Clock, i64)>,
    /// The same for everybody.
    all: (Clock, i64),
    best: i64,
    plan: Option<Plan>,
    seen: HashSet<u64>,
    nodes: usize,
    most: usize,
}

fn union_clock(setting: &Setting, who: &[usize]) -> Clock {
    let weeks = who.iter().map(|&w| setting.workers[w].shifts.weeks()).max().unwrap_or(1);
    Clock::compile(weeks, |d, out| {
        let mut spans: Vec<(i64, i64)> = Vec::new();
        for &w in who {
            spans.extend(
                setting.workers[w].shifts.day(d).stretches().iter().map(|&(a, b)| (i64::from(a), i64::from(b))),
            );
        }
        spans.sort_unstable();
        for (a, b) in spans {
            out.push((a, b, UNIT));
        }
    })
}

impl Search<'_> {
    /// No completion of this state ends sooner: needs, drying and hands, each by itself.
    fn least(&self, s: &State) -> i64 {
        let sim = &self.sim;
        let mut ends = vec![0; s.steps.len()];
        let mut begins = vec![0; s.steps.len()];
        let (mut least, mut labor) = (0, 0);
        for i in 0..s.steps.len() {
            if !sim.planned(i) {
                continue;
            }
            let x = &s.steps[i];
            begins[i] = if x.status == Status::Waiting { s.t } else { x.begin };
            if x.status == Status::Waiting {
                for l in &sim.into[i] {
                    let (b, e) = (begins[l.from], ends[l.from]);
                    let a = match l.ask {
                        Ask::Begun => b + l.lag,
                        Ask::Done => e + l.lag,
                        Ask::Dry(stage) => self.dry_after(s, l.from, stage, e) + l.lag,
                        _ => 0,
                    };
                    begins[i] = begins[i].max(a);
                }
            }
            // Its coat dries from its last labor, which is not after its end.
            ends[i] = match x.status {
                Status::Done => x.end,
                _ if sim.worked(i) && x.laid < NEVER => s.t,
                _ if sim.worked(i) => {
                    let left = sim.remaining(s, i);
                    labor += left;
                    let (clock, rate) = &self.hands[i];
                    let end = clock.reach(begins[i].max(s.t), (left + rate - 1) / rate * UNIT).unwrap_or(NEVER);
                    least = least.max(end);
                    end
                }
                _ => begins[i].max(s.t),
            };
        }
        let rate = self.all.1;
        least.max(if labor > 0 { self.all.0.reach(s.t, (labor + rate - 1) / rate * UNIT).unwrap_or(NEVER) } else { 0 })
    }

    fn dry_after(&self, s: &State, i: usize, stage: Stage, end: i64) -> i64 {
        let step = &self.sim.graph.steps[i];
        let (Some(c), Some(p)) = (step.coat, step.place) else { return end };
        let product = &self.sim.graph.products[c.product];
        // Damp air quickens what hardens by moisture.
        let (Some(h), false) = (product.hours.hours(stage), product.law == Law::MoistureCuring) else { return end };
        let end = if s.steps[i].laid < NEVER { s.steps[i].laid } else { end };
        let clock = self.sim.setting.dry(c.product, p).expect("compiled").of(stage);
        clock.reach(end, ((h * 60.0 * c.thick).round() as i64).max(1) * UNIT).unwrap_or(NEVER)
    }

    fn visit(&mut self, mut s: State, mut runs: Vec<Run>) {
        loop {
            self.nodes += 1;
            if self.nodes > self.most {
                return;
            }
            let labor_done =
                (0..s.steps.len()).all(|i| !self.sim.planned(i) || !self.sim.worked(i) || s.steps[i].laid < NEVER);
            if self.sim.finished(&s) || labor_done && self.sim.finish(&s, &runs) >= self.best {
                let end = self.sim.finish(&s, &runs);
                if end < self.best {
                    self.best = end;
                    self.plan = Some(self.sim.plan(&s, runs));
                }
                return;
            }
            if !labor_done && self.least(&s) >= self.best {
                return;
            }
            let options = self.sim.options(&s);
            // What takes nobody is never better begun later.
            let gate = options.iter().find(|o| o.people == 0);
            if let Some(&g) = gate {
                self.sim.begin(&mut s, g, &mut runs);
                continue;
            }
            if !options.is_empty() {
                let mut hash = DefaultHasher::new();
                s.hash(&mut hash);
                if !self.seen.insert(hash.finish()) {
                    return;
                }
                for o in options {
                    let (mut next, mut more) = (s.clone(), runs.clone());
                    self.sim.begin(&mut next, o, &mut more);
                    self.visit(next, more);
                }
            }
            if !self.sim.advance(&mut s, &mut runs) || !labor_done && s.t > self.best {
                return;
            }
        }
    }
}

/// Searches a small job; `None` when it has no plan.
pub fn exhaust(graph: &WorkGraph, setting: &Setting, most: usize) -> Option<Best> {
    let mut out: Option<(i64, Plan)> = None;
    let mut whole = true;
    let options = |c: usize| match graph.choices[c].fixed {
        Some(f) => vec![f],
        None => (0..graph.choices[c].options.len()).collect(),
    };
    let mut all = vec![Vec::new()];
    for c in 0..graph.choices.len() {
        all = all
            .iter()
            .flat_map(|m: &Vec<usize>| options(c).into_iter().map(|o| [m.clone(), vec![o]].concat()))
            .collect();
    }
    for methods in all {
        let everybody: Vec<usize> = (0..setting.workers.len()).collect();
        let hands = graph.steps.iter().map(|s| {
            let mut rates: Vec<i64> = s.crew.who.iter().map(|&w| setting.workers[w].rate).collect();
            rates.sort_unstable_by(|a, b| b.cmp(a));
            let most = s.crew.most.max(s.crew.fewest).max(1);
            (union_clock(setting, &s.crew.who), rates.iter().take(most).sum::<i64>().max(1))
        });
        let mut search = Search {
            hands: hands.collect(),
            all: (union_clock(setting, &everybody), setting.workers.iter().map(|w| w.rate).sum()),
            sim: Simulator::new(graph, setting, methods, false).prudent(),
            best: out.as_ref().map_or(NEVER / 2, |o| o.0),
            plan: None,
            seen: HashSet::new(),
            nodes: 0,
            most,
        };
        let s = search.sim.start();
        search.visit(s, Vec::new());
        whole &= search.nodes <= search.most;
        if let Some(p) = search.plan {
            out = Some((search.best, p));
        }
    }
    Some(Best { plan: out?.1, whole })
}

/// Plans of the work as dispatch makes them, from the order of needs and shuffled ones.
fn dispatched(graph: &WorkGraph, setting: &Setting, seed: u64, n: u64) -> Vec<Plan> {
    let one = |k: u64| {
        let mut d = Draws::new(seed * 31 + k);
        let methods: Vec<usize> = graph.choices.iter().map(|c| c.fixed.unwrap_or(d.int(0, 1) as usize)).collect();
        let net = Net::new(graph, setting, &methods);
        let mut order = net.topo();
        for i in (1..order.len()).rev().filter(|_| k > 0) {
            order.swap(i, d.int(0, i as i64) as usize);
        }
        let order = Order { order, methods, people: vec![None; graph.steps.len()], holds: Vec::new() };
        dispatch(&net, &order, &mut Room::default()).expect("a sound job has a plan")
    };
    (0..n).map(one).collect()
}

#[test]
fn no_exhaustive_search_beats_the_bound() {
    let (mut whole, mut tight, mut found) = (0, 0, 0);
    let (mut raised, mut proven) = (0, 0);
    let jobs = how_many(500);
    for seed in 0..jobs {
        let (job, graph) = random(seed, Size::Small);
        let setting = Setting::new(&job, &graph);
        let bound = bound(&graph, &setting);
        let Some(best) = exhaust(&graph, &setting, 12_000) else { continue };
        found += 1;
        whole += u64::from(best.whole);
        tight += u64::from(best.whole && best.plan.finish == bound.at);
        assert!(bound.at <= best.plan.finish, "job {seed}: bound {:?}, found {:?}", bound, best.plan.finish);
        // Branching from the worst of a few orders: its bound is one, what it calls better is,
        // and what it calls proven is not beaten.
        let shuffled = dispatched(&graph, &setting, seed, 4);
        if let Some(known) = shuffled.iter().max_by_key(|p| p.finish)
            && known.finish > bound.at
        {
            let e = exact(&graph, &setting, &known.order, known.finish, bound.at, 200, &|| false);
            let better = e.better.as_ref().map(|o| {
                let net = Net::new(&graph, &setting, &o.methods);
                dispatch(&net, o, &mut Room::default()).expect("a better order can be carried out").finish
            });
            let reached = better.unwrap_or(known.finish);
            assert!(better.is_none_or(|b| b < known.finish), "job {seed}: {e:?}");
            assert!(
                bound.at <= e.bound && e.bound <= best.plan.finish,
                "job {seed}: {e:?}, found {:?}",
                best.plan.finish
            );
            assert!(!e.whole || e.bound == reached, "job {seed}: {e:?} reaches {reached:?}");
            assert!(e.nodes <= 201, "job {seed}: {e:?}");
            raised += u64::from(e.bound > bound.at);
            proven += u64::from(e.whole);
        }
        for plan in shuffled {
            let (p, b) = (plan.finish, best.plan.finish);
            assert!(!best.whole || b <= p, "job {seed}: dispatched {p:?}, searched wholly {b:?}");
            assert!(bound.at <= p, "job {seed}: bound {bound:?}, dispatched {p:?}");
        }
        // The search waives the rule of second trips; nothing else may be wrong with its plan.
        let faults: Vec<_> =
            verify(&graph, &setting, &best.plan).into_iter().filter(|f| f.kind != FaultKind::Trip).collect();
        assert!(faults.is_empty(), "job {seed}: {faults:#?}");
    }
    assert!(found * 100 >= jobs * 95, "{found} of {jobs} have a plan");
    assert!(whole * 10 >= jobs * 7, "{whole} of {jobs} searched wholly");
    // Picking up, who does what, and most trips are left out of the bound on purpose.
    assert!(tight * 3 >= whole * 2, "reached in {tight} of {whole}");
    assert!(raised * 100 >= jobs && proven * 100 >= jobs, "branching raised {raised}, proved {proven} of {jobs}");
}

#[test]
fn no_plan_beats_the_bound() {
    for seed in 0..how_many(150) {
        let (job, graph) = random(seed, Size::Normal);
        let setting = Setting::new(&job, &graph);
        let bound = bound(&graph, &setting);
        for round in 0..4 {
            let mut d = Draws::new(seed * 10 + round);
            let methods = graph.choices.iter().map(|c| c.fixed.unwrap_or(d.int(0, 1) as usize)).collect();
            let Some(plan) = drawn_plan(&graph, &setting, methods, &mut d) else { continue };
            assert!(bound.at <= plan.finish, "job {seed}: {bound:?}, a plan ends {:?}", plan.finish);
        }
        for plan in dispatched(&graph, &setting, seed, 4) {
            assert!(bound.at <= plan.finish, "job {seed}: {bound:?}, dispatched {:?}", plan.finish);
        }
    }
}

/// Branching over methods: of 128 ways through a job the shortest is found, whichever option
/// comes first, and no choice is left open.
#[test]
fn every_choice_of_many_counts() {
    let (job, mut graph) = random(3, Size::Small);
    let setting = Setting::new(&job, &graph);
    let labor = (0..graph.steps.len())
        .find(|&i| matches!(graph.steps[i].kind, roomback::work::Kind::Labor) && graph.steps[i].role.planned())
        .expect("a step with hands");
    let mut template = graph.steps[labor].clone();
    (template.coat, template.place, template.racks) = (None, None, 0);
    (template.flags, template.pieces, template.rh_below) = (Default::default(), vec![1.0], None);
    template.flags.set_down = true;
    graph = WorkGraph::default();
    // Seven choices in a row, each of 60 or 90 minutes, the shorter second.
    for c in 0..7 {
        let names = ["long".to_string(), "short".to_string()];
        let id = format!("c{c}");
        graph.choices.push(roomback::work::Choice { id, name: String::new(), options: names.into(), fixed: None });
        for (o, minutes) in [(0, 90.0), (1, 60.0)] {
            let mut s = template.clone();
            s.id = format!("s{c}-{o}");
            s.labor = roomback::work::Spread::fixed(minutes);
            s.when = vec![(c, o)];
            graph.steps.push(s);
        }
        for (from, to) in [(2 * c, 2 * c + 2), (2 * c, 2 * c + 3), (2 * c + 1, 2 * c + 2), (2 * c + 1, 2 * c + 3)] {
            if c < 6 {
                let when = vec![(c, from % 2), (c + 1, to % 2)];
                graph.links.push(roomback::work::Link { from, to, ask: Ask::Done, lag: 0, longest_h: None, when });
            }
        }
    }
    let low = bound(&graph, &setting);
    assert!(low.every_method);
    assert_eq!(low.methods, vec![1; 7]);
    let found = search(&graph, &setting, None, &[], true, &|| false).expect("a plan");
    assert!(low.at <= found.plan.finish);
    // No plan of the shorter ways ends sooner than their labor takes.
    let who = &template.crew.who;
    let rate: i64 = who.iter().map(|&w| setting.workers[w].rate).sum();
    let least = union_clock(&setting, who).reach(0, 420 * 1000 / rate * UNIT).expect("somebody works");
    assert!(low.at.0 >= least, "{low:?}, {least}");
}
