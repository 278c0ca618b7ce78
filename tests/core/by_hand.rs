//! Small plans written out by hand, with the minutes they must have.

use roomback::clock::{Air, At};
use roomback::job::{Day, Job, Person, Place, PlaceKind, Week};
use roomback::schedule::{FaultKind, Net, Order, Plan, Run, Setting, State, Timed, verify};
use roomback::search::bound;
use roomback::trade::Stage;
use roomback::work::{Ask, Coat, Crew, Kind, Link, Spread, Step, WorkGraph};

use crate::random::{Size, how_many, products, random};

/// Compound in the list of products: 13 h to sand and to recoat at 77 F, 50 %.
const COMPOUND: usize = 2;

fn step(id: &str, place: usize, labor: f64, who: &[usize]) -> Step {
    let crew = Crew { fewest: 1, most: 1, who: who.to_vec() };
    Step { place: Some(place), labor: Spread::fixed(labor), crew, ..Step::bare(id, Kind::Labor) }
}

fn skim(id: &str, place: usize) -> Step {
    let mut s = step(id, place, 60.0, &[0]);
    (s.coat, s.flags.one_go) = (Some(Coat { product: COMPOUND, thick: 1.0 }), true);
    s
}

/// Two rooms open to each other at 77 F and 50 %, a shop 15 minutes away, a lead and a
/// helper with the default week; the first day is a Monday.
fn job() -> Job {
    let air = Air::from_rh(77.0, 0.5);
    let room = |id: &str| Place { id: id.into(), work_air: air, off_air: air, ..Place::default() };
    let bed = Place { open_to: vec!["study".into()], ..room("bed") };
    let shop = Place { kind: PlaceKind::Shop, away_min: 15, ..room("shop") };
    let helper = Person { id: "arvo".into(), pace: 0.6, helper: true, ..Person::default() };
    Job {
        crew: vec![Person { id: "nell".into(), ..Person::default() }, helper],
        places: vec![room("study"), bed, shop],
        ..Job::default()
    }
}

fn graph(steps: Vec<Step>, links: Vec<Link>) -> WorkGraph {
    WorkGraph { steps, links, choices: Vec::new(), products: products(), pools: Vec::new() }
}

fn link(from: usize, to: usize, ask: Ask) -> Link {
    Link { from, to, ask, lag: 0, longest_h: None, when: Vec::new() }
}

fn run(step: usize, from: i64, to: i64, who: usize, trip_min: i64, labor: i64) -> Run {
    Run {
        step,
        from: At(from),
        to: At(to),
        people: vec![who],
        piece: 0,
        trip_min,
        overtime_min: 0,
        labor_milli: labor * 1000,
        pickup_min: 0,
    }
}

/// A plan of one run a step.
fn plan(graph: &WorkGraph, runs: Vec<Run>, ready: &[(usize, Stage, i64)]) -> Plan {
    let steps: Vec<Timed> = runs
        .iter()
        .map(|r| Timed {
            step: r.step,
            begin: r.from,
            end: r.to,
            ready: ready.iter().filter(|x| x.0 == r.step).map(|x| (x.1, At(x.2))).collect(),
            labor_min: graph.steps[r.step].labor.typical(),
        })
        .collect();
    let n = graph.steps.len();
    let finish = runs.iter().map(|r| r.to).max().unwrap_or_default();
    let order = Order { order: (0..n).collect(), methods: Vec::new(), people: vec![None; n], holds: Vec::new() };
    Plan { order, runs, steps, finish }
}

fn kinds(graph: &WorkGraph, job: &Job, plan: &Plan) -> Vec<FaultKind> {
    verify(graph, &Setting::new(job, graph), plan).into_iter().map(|f| f.kind).collect()
}

#[test]
fn a_skim_coat_is_sanded_the_next_morning() {
    // 8:15 to 9:15, dry after 13 h at 22:15, sanded at 8:15.
    let mut sand = step("sand", 0, 30.0, &[0]);
    (sand.flags.set_down, sand.flags.dusty) = (true, true);
    let g = graph(vec![skim("skim", 0), sand], vec![link(0, 1, Ask::Dry(Stage::Sand))]);
    let ready = [(0, Stage::Sand, 1335), (0, Stage::Recoat, 1335)];
    let p = plan(&g, vec![run(0, 495, 555, 0, 0, 60), run(1, 1935, 1965, 0, 0, 30)], &ready);
    assert_eq!(kinds(&g, &job(), &p), []);
    let b = bound(&g, &Setting::new(&job(), &g));
    assert_eq!((b.at, b.every_method), (At(1965), true));
    // The same afternoon is too soon, and the bound knows no night by heart: begun at
    // 13:00 the coat is dry at 3:00 and the morning is still what counts.
    let p = plan(&g, vec![run(0, 495, 555, 0, 0, 60), run(1, 900, 930, 0, 0, 30)], &ready);
    assert_eq!(kinds(&g, &job(), &p), [FaultKind::Need]);
    let mut late = g.clone();
    late.steps[0].earliest = Some(At(780));
    assert_eq!(bound(&late, &Setting::new(&job(), &late)).at, At(1965));
    late.steps[0].earliest = Some(At(1935));
    assert_eq!(bound(&late, &Setting::new(&job(), &late)).at, At(1965 + 1440));
}

#[test]
fn two_wet_skim_coats_damp_one_air() {
    // 50 % and 17 points more: (1 - 0.67) / (1 - 0.50) to the power 0.90.
    let slow = (0.33f64 / 0.5).powf(0.9);
    let g = graph(vec![skim("study", 0), skim("bed", 1)], vec![]);
    // The study's coat dries alone until the bedroom's is done at 10:15, then 12 h damped.
    let study = 1335 + (780.0 - 60.0 - 720.0 * slow).ceil() as i64;
    let bed = 1275 + (780.0 - 660.0 * slow).ceil() as i64;
    let stages = |s, at| [(s, Stage::Sand, at), (s, Stage::Recoat, at)];
    let ready = [stages(0, study), stages(1, bed)].concat();
    let runs = vec![run(0, 495, 555, 0, 0, 60), run(1, 555, 615, 0, 0, 60)];
    assert_eq!(kinds(&g, &job(), &plan(&g, runs.clone(), &ready)), []);
    let alone = [stages(0, 1335), stages(1, 1395)].concat();
    assert_eq!(kinds(&g, &job(), &plan(&g, runs.clone(), &alone)), [FaultKind::Drying; 4]);
    // With a fan in either room nothing is damped.
    let mut fanned = job();
    fanned.places[1].fan = true;
    assert_eq!(kinds(&g, &fanned, &plan(&g, runs, &alone)), []);
}

#[test]
fn beside_a_helper_the_lead_is_slower() {
    // The helper's 60 labor minutes take 100; beside him the lead's 90 take 100 as well.
    let g = graph(vec![step("lead", 0, 90.0, &[0]), step("helper", 0, 60.0, &[1])], vec![]);
    let runs = |to| vec![run(0, 495, to, 0, 0, 90), run(1, 495, 595, 1, 0, 60)];
    assert_eq!(kinds(&g, &job(), &plan(&g, runs(595), &[])), []);
    assert_eq!(kinds(&g, &job(), &plan(&g, runs(585), &[])), [FaultKind::Labor]);
    // In another room he is not slowed.
    let g = graph(vec![step("lead", 1, 90.0, &[0]), step("helper", 0, 60.0, &[1])], vec![]);
    assert_eq!(kinds(&g, &job(), &plan(&g, runs(585), &[])), []);
    assert_eq!(kinds(&g, &job(), &plan(&g, runs(595), &[])), [FaultKind::Labor]);
}

#[test]
fn a_second_change_of_place_needs_nothing_left_to_do() {
    let house = |id: &str| step(id, 0, 60.0, &[0]);
    let shop = |id: &str| step(id, 2, 60.0, &[0]);
    // House, shop (30 min of trip), house again the same day.
    let runs = vec![run(0, 495, 555, 0, 0, 60), run(1, 555, 645, 0, 30, 60), run(2, 645, 735, 0, 30, 60)];
    let g = graph(vec![house("a"), shop("b"), house("c")], vec![link(1, 2, Ask::Done)]);
    assert_eq!(kinds(&g, &job(), &plan(&g, runs.clone(), &[])), []);
    // With more to do in the shop he stays there.
    let g = graph(vec![house("a"), shop("b"), house("c"), shop("d")], vec![link(1, 2, Ask::Done)]);
    let more = [runs, vec![run(3, 1935, 1995, 0, 0, 60)]].concat();
    assert_eq!(kinds(&g, &job(), &plan(&g, more, &[])), [FaultKind::Trip]);
}

#[test]
fn the_bound_grows_with_the_work() {
    for seed in 0..how_many(120) {
        let (job, graph) = random(seed, if seed % 2 == 0 { Size::Small } else { Size::Normal });
        let setting = Setting::new(&job, &graph);
        let before = bound(&graph, &setting).at;
        let mut longer = graph.clone();
        let k = seed as usize % longer.steps.len();
        longer.steps[k].labor.typ *= 1.2;
        let after = bound(&longer, &setting).at;
        assert!(before <= after, "job {seed}: {before:?} then {after:?}");
        let mut freer = graph.clone();
        if !freer.links.is_empty() {
            freer.links.remove(seed as usize % graph.links.len());
            let after = bound(&freer, &setting).at;
            assert!(after <= before, "job {seed}: {before:?} then without a link {after:?}");
        }
    }
}

#[test]
fn what_a_helper_leaves_for_days_is_taken_over() {
    // Sanding of 10 h at 0.6: the helper has it on Monday and Tuesday, his only days, and does
    // 0.6 x 880 = 528 of 600 minutes. The lead is elsewhere until Wednesday 9:35.
    let mut sand = step("sand", 0, 600.0, &[0, 1]);
    sand.flags.set_down = true;
    let g = graph(vec![step("lead", 1, 960.0, &[0]), sand], vec![]);
    let week = |days| Some(Week { days, ..Week::default() });
    let mut with = job();
    with.crew[1].week = week(vec![Day::Mon, Day::Tue]);
    let planned = |job: &Job, sand: &Step| {
        let g = graph(vec![g.steps[0].clone(), sand.clone()], vec![]);
        let set = Setting::new(job, &g);
        let net = Net::new(&g, &set, &[]);
        let order = Order { order: vec![0, 1], methods: Vec::new(), people: vec![None; 2], holds: Vec::new() };
        let p = roomback::schedule::plan(&net, &order, &mut State::default()).expect("a plan");
        assert_eq!(verify(&g, &set, &p), []);
        let runs = p.runs.iter().filter(|r| r.step == 1);
        runs.map(|r| (r.people[0], r.from.0, r.to.0, r.labor_milli)).collect::<Vec<_>>()
    };
    // The lead's 960 min end Wednesday 9:35; then 72 min and 10 to find the way in.
    let wed = 2 * 1440;
    let helper = (1, 495, 1440 + 965, 528_000);
    assert_eq!(planned(&with, &g.steps[1]), [helper, (0, wed + 575, wed + 657, 82_000)]);
    // Back on Thursday he misses one day only: it stays his.
    with.crew[1].week = week(vec![Day::Mon, Day::Tue, Day::Thu]);
    assert_eq!(planned(&with, &g.steps[1]), [(1, 495, 3 * 1440 + 495 + 120, 600_000)]);
    // What may not be set down he does not begin: the lead would be done with it sooner.
    with.crew[1].week = week(vec![Day::Mon, Day::Tue]);
    let hung = Step { flags: Default::default(), ..g.steps[1].clone() };
    assert_eq!(planned(&with, &hung), [(0, wed + 575, wed + 1440 + 735, 600_000)]);
}

#[test]
fn what_somebody_slowed_down_could_not_finish_is_taken_over() {
    // Nell hangs from Monday to Tuesday, her only days, and would just be done; the helper sands
    // beside her for 500 min and makes her slower, so 50 of 880 min are left. Sam is elsewhere
    // until Wednesday 9:35 and finds his way in for 10 min.
    let mut job = job();
    job.crew[0].week = Some(Week { days: vec![Day::Mon, Day::Tue], ..Week::default() });
    job.crew.push(Person { id: "sam".into(), ..Person::default() });
    let steps = vec![step("hang", 0, 880.0, &[0, 2]), step("sand", 0, 300.0, &[1]), step("elsewhere", 1, 960.0, &[2])];
    let g = graph(steps, vec![]);
    let set = Setting::new(&job, &g);
    let net = Net::new(&g, &set, &[]);
    let order = Order { order: vec![2, 0, 1], methods: Vec::new(), people: vec![None; 3], holds: Vec::new() };
    let p = roomback::schedule::plan(&net, &order, &mut State::default()).expect("a plan");
    let hung = p.runs.iter().filter(|r| r.step == 0);
    let hung: Vec<_> = hung.map(|r| (r.people[0], r.from.0, r.to.0, r.labor_milli)).collect();
    let wed = 2 * 1440;
    assert_eq!(hung, [(0, 495, 1440 + 965, 830_000), (2, wed + 575, wed + 635, 60_000)]);
    assert_eq!(verify(&g, &set, &p), []);
    assert!(bound(&g, &set).at <= p.finish, "{:?}", bound(&g, &set).at);
    // On Wednesday she is there again: then she had no reason to leave it.
    let mut there = set.clone();
    job.crew[0].week = None;
    there.workers[0] = Setting::new(&job, &g).workers[0].clone();
    assert!(verify(&g, &there, &p).iter().any(|f| f.kind == FaultKind::SetDown));
}

#[test]
fn a_helper_who_never_comes_changes_nothing() {
    // A coat of 420 min fits a day of 440, but not at 0.9 of the pace.
    let mut coat = step("coat", 0, 420.0, &[0, 1]);
    coat.flags.one_go = true;
    let g = graph(vec![coat], vec![]);
    let begins = |days: Vec<Day>| {
        let mut job = job();
        job.crew[1].week = Some(Week { days, ..Week::default() });
        let set = Setting::new(&job, &g);
        assert_eq!(roomback::schedule::sound(&job, &g, &set), []);
        let net = Net::new(&g, &set, &[]);
        let order = Order { order: vec![0], methods: Vec::new(), people: vec![None], holds: Vec::new() };
        let p = roomback::schedule::plan(&net, &order, &mut State::default()).expect("a plan");
        assert_eq!(verify(&g, &set, &p), []);
        p.steps[0].begin.0
    };
    assert_eq!(begins(vec![]), 495);
    // On Monday he might join her; on Tuesday he is not there.
    assert_eq!(begins(vec![Day::Mon]), 1440 + 495);
}
