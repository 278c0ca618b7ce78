//! What must hold of dispatch, trials, float and facts of the trade on random and small jobs.

use roomback::clock::{Air, At, DAY, Law};
use roomback::forecast::world::{Block, Drawn, Model};
use roomback::forecast::{Acting, CauseKind};
use roomback::job::{Day, Hm, Job, Person, Place, Week};
use roomback::schedule::{Frozen, LONGEST, Net, Order, Plan, Setting, State, Typical, finish, floats, plan, run};
use roomback::trade::{Product, Risks, Stage, Stages};
use roomback::work::{Ask, Coat, Crew, Spread, Step, WorkGraph};

use crate::net::{link, plain_step};
use crate::random::{Draws, Size, how_many, products, random};

/// A random order of a random job's steps (half of them by index), methods drawn too.
pub fn drawn_order(seed: u64, graph: &WorkGraph, set: &Setting) -> Order {
    let mut d = Draws::new(seed + 5);
    let methods: Vec<usize> = graph.choices.iter().map(|c| c.fixed.unwrap_or(d.int(0, 1) as usize)).collect();
    let mut order = Net::new(graph, set, &methods).topo();
    if seed % 2 == 1 {
        for i in (1..order.len()).rev() {
            order.swap(i, d.int(0, i as i64) as usize);
        }
    }
    Order { order, methods, people: vec![None; graph.steps.len()], holds: Vec::new() }
}

/// The order dispatched in a drawn world whose every score is typical, all causes acting:
/// the same runs, labor and finish as the plan.
#[track_caller]
pub fn assert_typical(name: &str, job: &Job, net: &Net, order: &Order) {
    // Every switch on, and the chances that are not scores of a block at their typical nothing.
    let risks =
        Risks { lost_rate: Some(0.0), hole_chance: 0.0, unavailable_chance: 0.0, day_sd: 0.0, ..Risks::default() };
    let job = Job { risks, ..job.clone() };
    let acting = Acting::of(&job);
    assert!(CauseKind::ALL.iter().all(|k| acting.has(*k)));
    let model = Model::new(&job, net, 7);
    let block = Block::typical(&model, net);
    let (mut clean, mut trial) = (State::default(), State::default());
    run(net, order, &mut Typical(net), &mut clean).unwrap_or_else(|e| panic!("{name}: {e:?}"));
    let mut world = Drawn::new(&model, net, acting);
    for i in [0, 499] {
        world.set(net, &block, i);
        run(net, order, &mut world, &mut trial).unwrap_or_else(|e| panic!("{name}: {e:?}"));
        assert_eq!(finish(net, &trial), finish(net, &clean), "{name}");
        assert_eq!(trial.runs, clean.runs, "{name}");
        assert_eq!(trial.labor_min, clean.labor_min, "{name}");
    }
}

/// Checks the float of every step of a plan by re-timing; the floats.
#[track_caller]
pub fn assert_floats(name: &str, net: &Net, plan: &Plan) -> Vec<Option<i64>> {
    let frozen = Frozen::new(net, plan);
    let all = floats(net, plan);
    for (s, f) in all.iter().enumerate() {
        let Some(f) = *f else { continue };
        let item = frozen.first(s).expect("planned");
        let id = &net.graph.steps[s].id;
        let at = |m: i64| frozen.retimed(item, m);
        assert_eq!(at(0), Some(plan.finish.0), "{name}: {id} where it stands");
        for m in [1, f / 3, f / 2, f - 1, f] {
            if m > 0 && m <= f {
                assert_eq!(at(m), Some(plan.finish.0), "{name}: {id} moved by {m} of {f}");
            }
        }
        if f < LONGEST {
            // Later still never mends it.
            for m in [f + 1, f + 2, f + 17, f + 60, f + 441, 2 * f + 1_000] {
                assert!(at(m).is_none_or(|x| x > plan.finish.0), "{name}: {id} moved by {m}, float {f}");
            }
        }
    }
    all
}

#[test]
fn a_typical_trial_of_random_jobs_is_the_plan() {
    for seed in 0..how_many(500) {
        let (job, graph) = random(seed, if seed % 3 == 0 { Size::Small } else { Size::Normal });
        let set = Setting::new(&job, &graph);
        let order = drawn_order(seed, &graph, &set);
        let net = Net::new(&graph, &set, &order.methods);
        assert_typical(&format!("job {seed}"), &job, &net, &order);
    }
}

#[test]
fn floats_of_random_jobs_are_edges() {
    let mut held = 0;
    let jobs = how_many(100);
    for seed in 0..jobs {
        let (job, graph) = random(seed, if seed % 3 == 0 { Size::Small } else { Size::Normal });
        let set = Setting::new(&job, &graph);
        let order = drawn_order(seed, &graph, &set);
        let net = Net::new(&graph, &set, &order.methods);
        let p = plan(&net, &order, &mut State::default()).expect("a plan");
        let floats = assert_floats(&format!("job {seed}"), &net, &p);
        // A step whose only run ends the job has no float.
        let last = p.runs.iter().max_by_key(|r| (r.to, std::cmp::Reverse(r.step))).expect("work");
        if p.runs.iter().filter(|r| r.step == last.step).count() == 1 {
            held += 1;
            assert_eq!(floats[last.step], Some(0), "job {seed}");
        }
    }
    assert!(held * 3 > jobs, "{held} of {jobs}");
}

/// One worker's job: `labor` minutes a step, one after the other.
fn chain(labor: &[f64], crew: Vec<Person>) -> (Job, WorkGraph) {
    let steps: Vec<Step> = labor
        .iter()
        .enumerate()
        .map(|(i, &m)| Step {
            labor: Spread::split(m * 0.8, m, m * 1.4),
            crew: Crew { fewest: 1, most: 1, who: vec![0] },
            place: Some(0),
            ..plain_step(&format!("s{i}"))
        })
        .collect();
    let links = (1..steps.len()).map(|i| link(i - 1, i, Ask::Done)).collect();
    let room = Place { id: "room".into(), work_air: at_reference(), off_air: at_reference(), ..Place::default() };
    let job = Job { crew, places: vec![room], ..Job::default() };
    (job, WorkGraph { steps, links, choices: Vec::new(), products: products(), pools: Vec::new() })
}

fn at_reference() -> Air {
    Air::from_rh(77.0, 0.5)
}

fn dispatched(job: &Job, graph: &WorkGraph) -> Plan {
    let set = Setting::new(job, graph);
    let net = Net::new(graph, &set, &graph.usual());
    let order =
        Order { order: net.topo(), methods: graph.usual(), people: vec![None; graph.steps.len()], holds: Vec::new() };
    plan(&net, &order, &mut State::default()).expect("a plan")
}

#[test]
fn a_week_lost_by_the_only_worker_is_a_week() {
    // Common practice, no source: without slack the finish moves by about a week.
    let nell = Person { id: "nell".into(), ..Person::default() };
    let (job, graph) = chain(&[440.0; 8], vec![nell.clone()]);
    let clean = dispatched(&job, &graph).finish;
    // Eight full days from a Monday: Wednesday of the week after, at the end of the shift.
    assert_eq!(clean, At(9 * DAY + 965));
    for first in 1..8 {
        let off = (first..).filter(|d| d % 7 < 5).take(5).map(|d| job.date_of(d)).collect();
        let lost = Job { crew: vec![Person { days_off: off, ..nell.clone() }], ..job.clone() };
        assert_eq!(dispatched(&lost, &graph).finish, At(clean.0 + 7 * DAY), "off from day {first}");
    }
}

/// A coat of one piece that ends on Friday at 15:00, dry after `hours` in reference air, and
/// ninety minutes of work on it: the minute that begins, counted from Friday midnight.
fn after_drying(hours: f64, week: Week) -> i64 {
    let (mut job, mut graph) = chain(&[375.0, 90.0], vec![Person { id: "nell".into(), ..Person::default() }]);
    job.start = chrono::NaiveDate::from_ymd_opt(2027, 3, 5).expect("a Friday");
    job.calendar.week = week;
    graph.products = vec![Product {
        hours: Stages { recoat: Some(hours), ..Stages::default() },
        law: Law::Evaporating,
        ..products().remove(0)
    }];
    graph.steps[0].coat = Some(Coat { product: 0, thick: 1.0 });
    graph.links[0].ask = Ask::Dry(Stage::Recoat);
    let p = dispatched(&job, &graph);
    assert_eq!(p.timed(0).expect("the coat").end, At(15 * 60));
    let dry = p.timed(0).expect("the coat").ready.iter().find(|r| r.0 == Stage::Recoat).expect("recoat").1;
    assert_eq!(dry, At(15 * 60 + (hours * 60.0) as i64));
    p.timed(1).expect("the work").begin.0
}

#[test]
fn drying_over_a_weekend() {
    // Recomputed by calendar: Friday 15:00 + 16 h is Saturday 7:00, work goes on Monday at the
    // start of the shift; + 72 h is Monday 15:00, work goes on the same afternoon if the
    // shift ends after 15:30.
    let monday = 3 * DAY;
    let week = |close: i64| Week { close: Hm(close + 25), ..Week::default() };
    assert_eq!(after_drying(16.0, Week::default()), monday + 495);
    assert_eq!(after_drying(72.0, Week::default()), monday + 900);
    assert_eq!(after_drying(72.0, week(931)), monday + 900);
    assert_eq!(after_drying(72.0, week(930)), monday + DAY + 495);
    // Nobody is there on a Monday.
    let four = Week { days: Day::ALL[1..5].to_vec(), ..Week::default() };
    assert_eq!(after_drying(16.0, four), monday + DAY + 495);
}
