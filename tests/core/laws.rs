//! Laws that are true of forecasts, bounds, drying and the search, over random jobs.
//!
//! Only those: dispatch by a list is not monotone, so no single plan or trial is asked to be.

use roomback::clock::{Air, Law, UNIT};
use roomback::forecast::stats::{Moments, quantile};
use roomback::forecast::{Options, forecast};
use roomback::job::{Job, Place};
use roomback::schedule::{Net, Order, Setting, State, plan};
use roomback::search::{Proven, bound, search};
use roomback::trade::{Product, Stage, tables};
use roomback::work::{Ask, Kind, WorkGraph};

use crate::engine::drawn_order;
use crate::oracle::exhaust;
use crate::random::{Draws, Size, how_many, products, random};

/// Finishes of a block of trials; `None` where the order cannot be carried out.
fn finishes(job: &Job, graph: &WorkGraph, order: &Order) -> Option<Vec<i64>> {
    let set = Setting::new(job, graph);
    let net = Net::new(graph, &set, &order.methods);
    let o = Options { trials: 500, seed: job.seed, cause_trials: 0 };
    forecast(job, &net, order, o, &|| false).ok().map(|f| f.finish)
}

/// How much later the mean and the 80 % date are, minutes, paired: one pair a job.
#[derive(Default)]
struct Later {
    mean: Vec<f64>,
    p80: Vec<f64>,
    skipped: usize,
}

impl Later {
    fn add(&mut self, base: Option<Vec<i64>>, worse: Option<Vec<i64>>) {
        let (Some(mut a), Some(mut b)) = (base, worse) else {
            self.skipped += 1;
            return;
        };
        let n = a.len() as f64;
        self.mean.push(a.iter().zip(&b).map(|(a, b)| (b - a) as f64).sum::<f64>() / n);
        a.sort_unstable();
        b.sort_unstable();
        self.p80.push((quantile(&b, 0.8).expect("trials") - quantile(&a, 0.8).expect("trials")) as f64);
    }

    /// Not earlier by more than two standard errors over the jobs; and, since the change is
    /// for the worse in most of them, later on the whole.
    fn check(&self, what: &str, jobs: u64) {
        assert!(self.skipped as u64 * 20 <= jobs, "{what}: {} of {jobs} cannot be carried out", self.skipped);
        for (name, v) in [("mean", &self.mean), ("80 % date", &self.p80)] {
            let m = Moments::of(v.iter().copied());
            println!("{what}, {name}: {:.1} minutes later, error {:.1}, {} jobs", m.mean, m.error(), v.len());
            assert!(m.mean >= -2.0 * m.error(), "{what}: {name} earlier: {} ± {}", m.mean, m.error());
            assert!(m.mean > 0.0, "{what}: {name} not later: {} ± {}", m.mean, m.error());
        }
    }
}

/// A step of labor in the order, drawn.
fn drawn_step(d: &mut Draws, graph: &WorkGraph, order: &Order) -> Option<usize> {
    let labor: Vec<usize> = order
        .order
        .iter()
        .copied()
        .filter(|&s| {
            graph.steps[s].kind == Kind::Labor && graph.steps[s].role.planned() && graph.steps[s].labor.typ > 0.0
        })
        .collect();
    if labor.is_empty() { None } else { Some(d.pick(&labor)) }
}

fn grown(graph: &WorkGraph, step: usize) -> WorkGraph {
    let mut g = graph.clone();
    g.steps[step].labor = g.steps[step].labor.scaled(1.2);
    g
}

#[test]
fn a_longer_step_makes_no_forecast_earlier() {
    let mut later = Later::default();
    let jobs = how_many(200);
    for seed in 0..jobs {
        let (job, graph) = random(seed, if seed % 2 == 0 { Size::Small } else { Size::Normal });
        let order = drawn_order(2 * seed, &graph, &Setting::new(&job, &graph));
        let Some(step) = drawn_step(&mut Draws::new(seed + 900), &graph, &order) else { continue };
        later.add(finishes(&job, &graph, &order), finishes(&job, &grown(&graph, step), &order));
    }
    later.check("a step longer by a fifth", jobs);
}

#[test]
fn a_day_lost_makes_no_forecast_earlier() {
    let mut later = Later::default();
    let jobs = how_many(200);
    let alone = (0..).map(|seed| (seed, random(seed, if seed % 2 == 0 { Size::Small } else { Size::Normal })));
    for (seed, (job, graph)) in alone.filter(|(_, (job, _))| job.crew.len() == 1).take(jobs as usize) {
        let set = Setting::new(&job, &graph);
        let order = drawn_order(2 * seed, &graph, &set);
        let p = plan(&Net::new(&graph, &set, &order.methods), &order, &mut State::default()).expect("a plan");
        // A day he works on, with hours of the week, not after the plan's last.
        let days: Vec<i64> = (0..=p.finish.day())
            .filter(|&d| set.workers[0].shifts.day(d).minutes() > 0)
            .filter(|&d| job.crew[0].dates.iter().all(|x| x.day != job.date_of(d)))
            .collect();
        if days.is_empty() {
            continue;
        }
        let mut lost = job.clone();
        lost.crew[0].days_off.push(job.date_of(Draws::new(seed + 77).pick(&days)));
        later.add(finishes(&job, &graph, &order), finishes(&lost, &graph, &order));
    }
    later.check("a day lost", jobs);
}

#[test]
fn bounds_lie_before_plans_and_grow_with_steps() {
    let (mut more, jobs) = (0, how_many(500));
    for seed in 0..jobs {
        let (job, graph) = random(seed, if seed % 2 == 0 { Size::Small } else { Size::Normal });
        let set = Setting::new(&job, &graph);
        let order = drawn_order(seed, &graph, &set);
        let p = plan(&Net::new(&graph, &set, &order.methods), &order, &mut State::default()).expect("a plan");
        let low = bound(&graph, &set).at;
        assert!(low <= p.finish, "job {seed}: bound {low:?}, plan {:?}", p.finish);
        let Some(step) = drawn_step(&mut Draws::new(seed + 900), &graph, &order) else { continue };
        let longer = grown(&graph, step);
        let high = bound(&longer, &Setting::new(&job, &longer)).at;
        assert!(low <= high, "job {seed}: {} grows, the bound falls from {low:?} to {high:?}", graph.steps[step].id);
        more += u64::from(low < high);
    }
    assert!(more * 10 > jobs, "a longer step moves the bound in {more} of {jobs}");
}

#[test]
fn the_search_is_never_better_than_all_orders() {
    let (mut whole, mut proven, mut reached) = (0, 0, 0);
    let mut jobs = 0;
    for seed in 0..how_many(120) {
        let (job, graph) = random(seed, Size::Small);
        // The exhaustive search lets no link hold the end of a step open after its labor.
        let worked = |s: usize| graph.steps[s].kind == Kind::Labor;
        if graph.links.iter().any(|l| matches!(l.ask, Ask::EndAfterEnd | Ask::EndAfterBegin) && worked(l.to)) {
            continue;
        }
        jobs += 1;
        let set = Setting::new(&job, &graph);
        let found = search(&graph, &set, None, &[], true, &|| false).expect("a plan");
        let Some(best) = exhaust(&graph, &set, 12_000).filter(|b| b.whole) else { continue };
        whole += 1;
        assert!(best.plan.finish <= found.plan.finish, "job {seed}: {:?} by search", found.plan.finish);
        reached += u64::from(best.plan.finish == found.plan.finish);
        if found.proven == Proven::ByBound {
            proven += 1;
            assert_eq!(best.plan.finish, found.plan.finish, "job {seed}");
        }
        // First plans of the same job are no better than what the search made of them.
        let first = drawn_order(2 * seed, &graph, &set);
        let net = Net::new(&graph, &set, &graph.usual());
        let plain = Order { order: net.topo(), methods: graph.usual(), ..first };
        let p = plan(&net, &plain, &mut State::default()).expect("a plan");
        assert!(found.plan.finish <= p.finish, "job {seed}");
    }
    println!("{whole} searched wholly, {reached} reached, {proven} proven by bound");
    assert!(whole * 10 >= jobs * 7 && proven * 3 >= whole && reached * 2 >= whole, "{whole}, {reached}, {proven}");
}

const STAGES: [Stage; 7] =
    [Stage::DustFree, Stage::Sand, Stage::Recoat, Stage::Tape, Stage::Handle, Stage::Shut, Stage::Full];

fn all_products() -> Vec<Product> {
    products().into_iter().chain(tables().products.iter().cloned()).filter(|p| p.law != Law::MoistureCuring).collect()
}

#[test]
fn a_colder_or_damper_place_dries_nothing_faster() {
    // Same dew point or higher: what the law of partial pressures and the doubling rule say.
    let products = all_products();
    let laws: std::collections::BTreeSet<Law> = products.iter().map(|p| p.law).collect();
    assert_eq!(laws.len(), 3, "{laws:?}");
    let mut slower = 0;
    for p in &products {
        for stage in STAGES {
            for temp in (40..=90).step_by(5) {
                for dew in (20..=temp).step_by(4) {
                    let speed = |t: f64, d: f64| p.speed(stage, Air { temp_f: t, dew_f: d });
                    let base = speed(f64::from(temp), f64::from(dew));
                    for (colder, damper) in [(0, 3), (3, 0), (2, 2), (10, 0), (0, 15)] {
                        if dew + damper > temp - colder {
                            continue;
                        }
                        let v = speed(f64::from(temp - colder), f64::from(dew + damper));
                        assert!(v <= base, "{} to {stage:?} at {temp}/{dew}: {base}, then {v}", p.id);
                        slower += usize::from(v < base);
                    }
                }
            }
        }
    }
    assert!(slower > 10_000, "{slower}");
}

#[test]
fn drying_clocks_of_a_colder_or_damper_place_are_never_ahead() {
    let mut d = Draws::new(41);
    let mut behind = 0;
    for round in 0..how_many(40) {
        let (job, mut graph) = random(round, Size::Normal);
        graph.products.retain(|p| p.law != Law::MoistureCuring);
        let kept: Vec<String> = graph.products.iter().map(|p| p.id.clone()).collect();
        let all = products();
        graph.steps.retain_mut(|s| match &mut s.coat {
            Some(c) => match kept.iter().position(|k| *k == all[c.product].id) {
                Some(p) => {
                    c.product = p;
                    true
                }
                None => false,
            },
            None => false,
        });
        let worse = |p: &Place, cold: f64, damp: f64| {
            let air = |a: Air| {
                let temp_f = a.temp_f - cold;
                Air { temp_f, dew_f: (a.dew_f + damp).min(temp_f).max(a.dew_f.min(temp_f)) }
            };
            Place { work_air: air(p.work_air), off_air: air(p.off_air), ..p.clone() }
        };
        let (cold, damp) = d.pick(&[(3.0, 0.0), (0.0, 4.0), (2.0, 2.0)]);
        // Nothing gets drier for being cold: the dew point may not be cut by the temperature.
        if job.places.iter().any(|p| [p.work_air, p.off_air].iter().any(|a| a.temp_f - cold < a.dew_f)) {
            continue;
        }
        let other = Job { places: job.places.iter().map(|p| worse(p, cold, damp)).collect(), ..job.clone() };
        let (a, b) = (Setting::new(&job, &graph), Setting::new(&other, &graph));
        for s in &graph.steps {
            let (Some(c), Some(p)) = (s.coat, s.place) else { continue };
            let (Some(x), Some(y)) = (a.dry(c.product, p), b.dry(c.product, p)) else { continue };
            for stage in STAGES {
                let Some(h) = graph.products[c.product].hours.hours(stage) else { continue };
                let from = d.int(0, 14 * 1_440);
                let need = (h * 60.0) as i64 * UNIT;
                let (Ok(t), u) = (x.of(stage).reach(from, need), y.of(stage).reach(from, need)) else { continue };
                // One that never dries there is not ahead.
                let u = u.unwrap_or(i64::MAX);
                assert!(t <= u, "job {round}: {} {stage:?} from {from}: {t}, worse air {u}", s.id);
                behind += usize::from(t < u);
            }
        }
    }
    assert!(behind > 100, "{behind}");
}
