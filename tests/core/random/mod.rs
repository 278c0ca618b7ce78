//! Random sound jobs: crews, places, calendars and work graphs of every kind the engine
//! knows, acyclic because links only lead forward, with every piece short enough for the
//! shortest shift. The same seed gives the same job.
//!
//! One file because what is drawn must fit together: steps, links, crew, places and order.

mod around;

pub use around::products;

use around::{calendar, crew, places};
use chrono::{Duration, NaiveDate};
use roomback::clock::At;
use roomback::job::Job;
use roomback::trade::Stage;
use roomback::work::{Ask, BeginWindow, Choice, Coat, Crew, Kind, Link, Role, Spread, Step, WorkGraph};

/// How large a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// At most six planned steps and two people: small enough to search wholly.
    Small,
    /// 10 to 40 steps.
    Normal,
}

/// Uniform draws from a 64-bit counter (SplitMix64, Steele, Lea and Flood 2014; constants
/// from memory).
pub struct Draws(u64);

impl Draws {
    pub fn new(seed: u64) -> Draws {
        Draws(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5851_f42d_4c95_7f2d)
    }
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    /// Whole number in `lo..=hi`.
    pub fn int(&mut self, lo: i64, hi: i64) -> i64 {
        lo + (self.next() % (hi - lo + 1) as u64) as i64
    }
    pub fn chance(&mut self, percent: i64) -> bool {
        self.int(1, 100) <= percent
    }
    pub fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.int(0, of.len() as i64 - 1) as usize]
    }
}

/// The variants of one step: one, or two under a choice.
type Node = Vec<usize>;

struct Growing<'a> {
    d: &'a mut Draws,
    job: &'a Job,
    graph: WorkGraph,
    nodes: Vec<Node>,
    /// A redo twin standing behind a step.
    twin: Vec<Option<usize>>,
}

impl Growing<'_> {
    fn push(&mut self, step: Step) -> usize {
        self.graph.steps.push(step);
        self.twin.push(None);
        self.graph.steps.len() - 1
    }

    fn blank(&self, id: String, kind: Kind) -> Step {
        Step { name: String::new(), origin: format!("steps[{}]", self.nodes.len()), ..Step::bare(id, kind) }
    }

    fn spread(&mut self, typ: i64) -> Spread {
        let typ = typ as f64;
        Spread { scheme: Default::default(), low: typ * 0.8, typ, high: typ * self.d.pick(&[1.2, 1.4, 1.7]) }
    }

    fn gate(&mut self, id: String) -> Step {
        let kind = match self.d.int(0, 9) {
            0..=4 => {
                let typ = self.d.pick(&[0, 30, 120, 600, 2880]);
                Kind::Elapsed(self.spread(typ))
            }
            5..=7 => Kind::Business { minutes: self.d.pick(&[720, 1440, 4320]), late: Some((0.3, 1440)) },
            _ => Kind::Decision { at: At(self.d.int(0, 8) * 1440 + 1020), late: Some((0.2, 2880)) },
        };
        let mut s = self.blank(id, kind);
        if matches!(s.kind, Kind::Elapsed(_)) {
            match self.d.int(0, 5) {
                0 => s.windows.push(week_window([true, false, true, false, true, false, false], 540, 720)),
                1 => {
                    let spot = self.d.int(0, self.job.places.len() as i64 - 1) as usize;
                    s.place = Some(spot);
                    let typ = self.d.int(60, 240);
                    s.kind = Kind::Elapsed(self.spread(typ));
                }
                2 => s.earliest = Some(At(self.d.int(0, 4) * 1440 + 600)),
                _ => {}
            }
        }
        s
    }

    fn labor(&mut self, id: String) -> Step {
        let mut s = self.blank(id, Kind::Labor);
        let p = self.d.int(0, self.job.places.len() as i64 - 1) as usize;
        s.place = if self.d.chance(96) { Some(p) } else { None };
        s.trade = self.d.pick(&["paint", "trim", ""]).into();
        s.fit_up = s.trade == "trim";
        let all = self.job.crew.len();
        s.crew = Crew { fewest: 1, most: 1, who: (0..all).collect() };
        if all == 2 {
            match self.d.int(0, 9) {
                0 | 1 => s.crew.who = vec![0],
                2 => s.crew.who = vec![1],
                3 => (s.crew.fewest, s.crew.most) = (2, 2),
                4 => s.crew.most = 2,
                _ => {}
            }
        }
        let place = s.place.map(|p| &self.job.places[p]);
        match self.d.int(0, 9) {
            0..=3 if place.is_some() => {
                let place = place.expect("checked");
                let able: Vec<usize> = (0..self.graph.products.len())
                    .filter(|&k| self.graph.products[k].dries_in(place.work_air))
                    .collect();
                let racks = place.racks;
                let product = self.d.pick(&able);
                let damp = self.graph.products[product].damps_room;
                s.coat = Some(Coat { product, thick: if damp { self.d.pick(&[1.0, 0.5, 0.25]) } else { 1.0 } });
                s.flags.one_go = true;
                let n = self.d.pick(&[1, 1, 2, 3, 4]);
                let minutes: Vec<i64> = (0..n).map(|_| self.d.int(20, 110)).collect();
                let sum: i64 = minutes.iter().sum();
                s.pieces = minutes.iter().map(|&m| m as f64 / sum as f64).collect();
                s.labor = self.spread(sum);
                s.setup_min = self.d.pick(&[0, 0, 10, 15]);
                s.flags.closes = self.d.chance(25);
                if let Some(r) = racks {
                    s.racks = self.d.int(0, i64::from(r)) as u32;
                }
            }
            0..=5 => {
                s.flags.set_down = true;
                s.flags.dusty = self.d.chance(60);
                let typ = self.d.int(20, 500);
                s.labor = self.spread(typ);
            }
            6 | 7 => {
                s.flags.set_down = true;
                let typ = self.d.int(15, 400);
                s.labor = self.spread(typ);
                s.setup_min = self.d.pick(&[0, 20, 45]).min(typ);
            }
            _ => {
                // Hung pieces: not set down, may stand over night.
                s.flags.noisy = self.d.chance(50);
                let typ = self.d.int(40, 700);
                s.labor = self.spread(typ);
                s.setup_min = self.d.pick(&[0, 20, 35]);
            }
        }
        if !s.flags.one_go {
            if self.d.chance(8) {
                s.windows.push(week_window([true, true, true, true, true, false, false], 540, 720));
                s.windows.push(week_window([false, true, false, true, false, false, false], 800, 900));
            }
            if let Some(p) = s.place
                && self.d.chance(8)
            {
                s.rh_below = Some(self.job.places[p].work_air.rh() + 0.02);
            }
        }
        if self.d.chance(8) {
            s.earliest = Some(At(self.d.int(0, 5) * 1440 + self.d.int(400, 900)));
        }
        s
    }

    fn link(&mut self, a: usize, b: usize, ask: Ask, lag: i64, longest_h: Option<f64>) {
        let mut when = self.graph.steps[a].when.clone();
        for &w in &self.graph.steps[b].when {
            if when.iter().any(|v| v.0 == w.0 && v.1 != w.1) {
                return;
            }
            if !when.contains(&w) {
                when.push(w);
            }
        }
        if let Some(t) = self.twin[a] {
            self.graph.links.push(Link { from: t, to: b, ask, lag, longest_h: None, when: when.clone() });
        }
        self.graph.links.push(Link { from: a, to: b, ask, lag, longest_h, when });
    }

    /// What the later step asks of the earlier one, at random but sensible for its coat.
    fn ask(&mut self, a: usize, b: usize) -> (Ask, i64) {
        let (sa, sb) = (&self.graph.steps[a], &self.graph.steps[b]);
        let loose = sb.place.is_none() && matches!(sb.kind, Kind::Elapsed(_));
        let hands = matches!(sb.kind, Kind::Labor);
        let plain = hands && !sb.flags.one_go && sb.windows.is_empty();
        let coat = sa.coat;
        if let Some(c) = coat {
            let h = self.graph.products[c.product].hours.clone();
            let cold = self.job.places[sa.place.expect("coats have places")].off_air.temp_f < 50.0;
            let able: Vec<Stage> = Stage::ALL
                .into_iter()
                // Long stages take weeks in a shop that is cold at night.
                .filter(|&s| h.hours(s).is_some_and(|h| h <= if cold { 8.0 } else { 24.0 }))
                .collect();
            if !able.is_empty() && self.d.chance(85) {
                return (Ask::Dry(self.d.pick(&able)), self.d.pick(&[0, 0, 0, 60]));
            }
        }
        match self.d.int(0, 19) {
            0 | 1 => (Ask::Begun, self.d.pick(&[0, 30, 240])),
            2 | 3 if loose || plain => (Ask::EndAfterEnd, self.d.pick(&[0, 45])),
            4 if loose || plain => (Ask::EndAfterBegin, self.d.pick(&[60, 300])),
            5 => (Ask::Done, self.d.pick(&[45, 1440])),
            _ => (Ask::Done, 0),
        }
    }

    fn node(&mut self, small: bool) {
        let i = self.nodes.len();
        let gate = i > 0 && self.d.chance(12);
        let id = format!("room/surface/s{i}");
        let step = if gate { self.gate(id) } else { self.labor(id) };
        // Earlier nodes it waits for, mostly recent ones.
        let mut needs = Vec::new();
        for _ in 0..self.d.pick(&[0, 1, 1, 1, 2]) {
            if i > 0 {
                let back = self.d.int(1, 5).min(i as i64) as usize;
                if !needs.contains(&(i - back)) {
                    needs.push(i - back);
                }
            }
        }
        let single = |g: &Self, n: usize| g.nodes[n].len() == 1;
        let scuffed = step.coat.is_some()
            && needs.first().is_some_and(|&n| single(self, n) && self.graph.steps[self.nodes[n][0]].coat.is_some())
            && self.d.chance(60);
        let before = if scuffed {
            let mut s = self.blank(format!("room/surface/scuff{i}"), Kind::Labor);
            s.role = Role::Scuff { of: self.graph.steps.len() + 1 };
            (s.place, s.crew, s.flags.set_down) = (step.place, step.crew.clone(), true);
            s.labor = Spread::fixed(25.0);
            Some(self.push(s))
        } else if !small && !gate && !needs.is_empty() && self.d.chance(6) {
            let mut s = self.blank(format!("room/surface/found{i}"), Kind::Labor);
            s.role = Role::Surprise { chance: 0.3, risk: "plaster".into() };
            (s.place, s.crew, s.flags.set_down) = (step.place, Crew { fewest: 1, most: 1, ..step.crew.clone() }, true);
            s.labor = Spread::fixed(120.0);
            Some(self.push(s))
        } else {
            None
        };
        let choice =
            !gate && before.is_none() && self.d.chance(if small { 20 } else { 8 }) && self.graph.choices.len() < 4;
        let mut node = Vec::new();
        if choice {
            let c = self.graph.choices.len();
            self.graph.choices.push(Choice {
                id: format!("room/surface/c{c}"),
                name: String::new(),
                options: vec!["one".into(), "other".into()],
                fixed: if self.d.chance(15) { Some(self.d.int(0, 1) as usize) } else { None },
            });
            let mut other = self.labor(step.id.clone());
            other.id = step.id.clone();
            for (o, mut s) in [step, other].into_iter().enumerate() {
                s.when = vec![(c, o)];
                node.push(self.push(s));
            }
        } else {
            node.push(self.push(step));
        }
        for (k, &n) in needs.iter().enumerate() {
            for &b in &node {
                for a in self.nodes[n].clone() {
                    if scuffed && k == 0 {
                        let recoat =
                            self.graph.products[self.graph.steps[a].coat.expect("checked").product].hours.recoat;
                        let stage = if recoat.is_some() { Ask::Dry(Stage::Recoat) } else { Ask::Done };
                        let h = recoat.unwrap_or(1.0) + self.d.pick(&[0.5, 6.0, 24.0]);
                        self.link(a, b, stage, 0, Some(h));
                        self.link(a, before.expect("scuffed"), Ask::Done, 0, None);
                    } else {
                        let (ask, lag) = self.ask(a, b);
                        self.link(a, b, ask, lag, None);
                        if let Some(x) = before {
                            self.link(a, x, Ask::Done, 0, None);
                        }
                    }
                }
            }
        }
        if let Some(x) = before {
            self.link(x, node[0], Ask::Done, 0, None);
        }
        let coated = self.graph.steps[node[0]].coat.is_some();
        if node.len() == 1 && coated && self.d.chance(if small { 10 } else { 15 }) {
            let of = node[0];
            let mut s = self.graph.steps[of].clone();
            s.id = format!("{}-again", s.id);
            s.role = Role::Redo { of, chance: 0.15, share: 0.3, risk: "spray".into() };
            s.labor = Spread::ZERO;
            s.pieces = vec![1.0];
            let r = self.push(s);
            self.link(of, r, Ask::Done, 0, None);
            self.twin[of] = Some(r);
        }
        self.nodes.push(node);
    }
}

fn week_window(days: [bool; 7], from: i64, to: i64) -> BeginWindow {
    BeginWindow { days, day: None, from, to }
}

/// A random sound job with its work graph.
pub fn random(seed: u64, size: Size) -> (Job, WorkGraph) {
    let mut d = Draws::new(seed);
    let start = NaiveDate::from_ymd_opt(2027, 3, 1).expect("a date") + Duration::days(d.int(0, 6));
    let job = Job {
        start,
        seed,
        crew: crew(&mut d, start),
        calendar: calendar(&mut d, start),
        places: places(&mut d),
        ..Job::default()
    };
    let n = match size {
        Size::Small => d.int(2, 6),
        Size::Normal => d.int(10, 40),
    };
    let graph = WorkGraph { products: products(), ..WorkGraph::default() };
    let mut g = Growing { d: &mut d, job: &job, graph, nodes: Vec::new(), twin: Vec::new() };
    for _ in 0..n {
        g.node(size == Size::Small);
    }
    // Somebody's hands finish the job.
    if !g.nodes.iter().flatten().any(|&s| g.graph.steps[s].crew.fewest > 0) {
        let last = g.labor("room/surface/last".into());
        let at = g.push(last);
        g.nodes.push(vec![at]);
    }
    let graph = g.graph;
    (job, graph)
}

/// Jobs a test runs over: `usual`, or what the environment variable `ROOMBACK_JOBS` says.
pub fn how_many(usual: u64) -> u64 {
    std::env::var("ROOMBACK_JOBS").ok().and_then(|v| v.parse().ok()).unwrap_or(usual)
}

#[test]
fn random_jobs_lead_forward_and_show_every_kind() {
    let mut seen = std::collections::BTreeSet::new();
    for seed in 0..300 {
        let size = if seed % 2 == 0 { Size::Small } else { Size::Normal };
        let (job, graph) = random(seed, size);
        assert_eq!((&job, &graph), (&random(seed, size).0, &random(seed, size).1));
        assert!(graph.links.iter().all(|l| l.from < l.to));
        for s in &graph.steps {
            assert!((s.pieces.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            if let Role::Scuff { of } = s.role {
                assert!(graph.steps[of].coat.is_some());
            }
            for (word, yes) in [
                ("pieces", s.pieces.len() > 1),
                ("set down", s.flags.set_down),
                ("dusty", s.flags.dusty),
                ("noisy", s.flags.noisy),
                ("closes", s.flags.closes),
                ("window", !s.windows.is_empty()),
                ("earliest", s.earliest.is_some()),
                ("rh", s.rh_below.is_some()),
                ("two hands", s.crew.fewest == 2),
                ("one or two hands", s.crew.most > s.crew.fewest),
                ("racks", s.racks > 0),
                ("variant", !s.when.is_empty()),
                ("redo", matches!(s.role, Role::Redo { .. })),
                ("surprise", matches!(s.role, Role::Surprise { .. })),
                ("scuff", matches!(s.role, Role::Scuff { .. })),
                ("elapsed", matches!(s.kind, Kind::Elapsed(_))),
                ("business", matches!(s.kind, Kind::Business { .. })),
                ("decision", matches!(s.kind, Kind::Decision { .. })),
            ] {
                if yes {
                    seen.insert(word);
                }
            }
        }
        for l in &graph.links {
            seen.insert(match l.ask {
                Ask::Done => "fs",
                Ask::Dry(_) => "dry",
                Ask::Begun => "ss",
                Ask::EndAfterEnd => "ff",
                Ask::EndAfterBegin => "sf",
            });
            if l.longest_h.is_some() {
                seen.insert("recoat window");
            }
        }
        if job.crew.iter().any(|p| p.helper) {
            seen.insert("helper");
        }
    }
    assert_eq!(seen.len(), 18 + 5 + 2, "{seen:?}");
}
