//! Does an 80 % date hold in 80 of 100 jobs? Jobs drawn from the model, forecast with the order
//! kept, then lived once: one more drawn world, from a seed of its own, in the same order.
//!
//! `cargo bench --no-default-features --bench truth`; a number behind `--` for other than
//! 2,000 jobs. Exit code 1 if a band is missed.
//!
//! Unrounded dates (minutes, not ends of days) are judged: 80 % dates must hold in 80 +- 2 %
//! of the jobs, 95 % dates in 95 +- 1.2 %. The same count must *find* two planted wrong models,
//! each on jobs and at a date where it matters:
//!
//! - **mixed jobs, 80 %**: one or two people, one or two rooms, weeks of 4 to 6 days, warm and
//!   cold rooms, each cause of lateness on in about half of the jobs, hours always. Planted:
//!   a forecast whose steps are independent (no pace, trade or house), while the world has
//!   them. Hours drive these dates, so it is far too sure.
//! - **jobs in a house of colds, 95 %**: one person, two or three rooms, 5 % of workdays lost
//!   in spells of three, ranges of hours a quarter as wide, nothing else but drying. Planted: days lost
//!   independently at the same rate (mean spell `1/(1-r)`, at which a sick day says nothing of
//!   the next). The long spells it does not know lie in the tail, so at 95 %, not at 80 %.
//!
//! 2,000 jobs hold an 80 % date in 80 +- 1.8 %, a 95 % date in 95 +- 1 % of the cases by chance
//! alone (95 % of the binomial).

mod made;

use chrono::Duration;
use rayon::prelude::*;
use roomback::clock::Air;
use roomback::desk::{self, Sound};
use roomback::forecast::{Options, forecast, scores, stats};
use roomback::job::{Day, Job, Person, Place, Room, Switch, Week};
use roomback::schedule::{Net, Order};
use roomback::search::place_missing;

use made::Draws;

const JOBS: usize = 2_000;
const TRIALS: usize = 1_000;

/// A job of a few invented rooms.
fn rooms(d: &mut Draws, n: i64) -> Job {
    let (rooms, places): (Vec<Room>, Vec<Place>) = (0..n as usize).map(|i| made::room(d, i)).unzip();
    let mut job = Job { rooms, places, ..Job::default() };
    job.start += Duration::days(d.int(0, 6));
    job
}

fn person(id: &str, week: Option<Week>) -> Person {
    Person { id: id.into(), name: id.into(), week, ..Person::default() }
}

/// Varied crew, week, air and causes.
fn mixed(seed: u64) -> Job {
    let mut d = Draws::new(seed);
    let n = d.int(1, 2);
    let mut job = rooms(&mut d, n);
    let week = |d: &mut Draws| {
        d.chance(40).then(|| Week { days: Day::ALL[..d.int(4, 6) as usize].to_vec(), ..Week::default() })
    };
    job.crew.push(person("odile", week(&mut d)));
    if d.chance(40) {
        job.crew.push(Person { helper: d.chance(50), pace: d.pick(&[0.6, 0.9, 1.0]), ..person("bram", week(&mut d)) });
    }
    for p in &mut job.places {
        p.work_air = Air { temp_f: d.int(62, 74) as f64, dew_f: d.int(38, 50) as f64 };
        p.off_air = Air { temp_f: p.work_air.temp_f - d.int(0, 6) as f64, ..p.work_air };
    }
    job.house.small_children = d.chance(30);
    let mut on = |percent| if d.chance(percent) { Switch::On } else { Switch::Off };
    let r = &mut job.risks;
    (r.drying, r.lost_days, r.holes, r.unavailable) = (on(70), on(50), on(50), on(50));
    (r.redo, r.surprises, r.late, r.unlisted, r.job_before) = (on(60), on(60), on(60), on(60), on(25));
    job
}

/// Long jobs with little in doubt but the days lost.
fn colds(seed: u64) -> Job {
    let mut d = Draws::new(seed);
    let n = d.int(2, 3);
    let mut job = rooms(&mut d, n);
    job.crew.push(person("odile", None));
    let r = &mut job.risks;
    (r.holes, r.unavailable, r.job_before) = (Switch::Off, Switch::Off, Switch::Off);
    (r.redo, r.surprises, r.late, r.unlisted) = (Switch::Off, Switch::Off, Switch::Off, Switch::Off);
    (r.widening, r.lost_rate, r.lost_spell) = (0.25, Some(0.05), 3.0);
    job
}

fn independent_steps(job: &mut Job) {
    (job.risks.pace_weight, job.risks.trade_weight, job.risks.house_weight) = (0.0, 0.0, 0.0);
}

fn independent_days(job: &mut Job) {
    job.risks.lost_spell = 1.0 / (1.0 - job.risks.lost_rate.unwrap_or(0.05));
}

/// The order the kept order of such a job would be: room by room, every step behind what it
/// needs.
fn order(sound: &Sound) -> Order {
    let methods = sound.graph.usual();
    let mut steps = Vec::new();
    place_missing(&Net::new(&sound.graph, &sound.setting, &methods), &mut steps);
    Order { order: steps, methods, people: vec![None; sound.graph.steps.len()], holds: Vec::new() }
}

fn sampled(job: &Job, sound: &Sound, order: &Order, seed: u64, trials: usize) -> Vec<i64> {
    let net = Net::new(&sound.graph, &sound.setting, &order.methods);
    let o = Options { trials, seed, cause_trials: 0 };
    forecast(job, &net, order, o, &|| false).expect("an order that can be carried out").finish
}

/// One job: for the 80 % and the 95 % date of the right model, then of the planted one, whether
/// it held, and in what share of a whole block of worlds it would have held.
fn live(seed: u64, make: fn(u64) -> Job, plant: fn(&mut Job)) -> [(bool, f64); 4] {
    let job = make(seed);
    let sound = desk::judge(&job).unwrap_or_else(|p| panic!("job {seed}: {}", p[0].what));
    let order = order(&sound);
    // Worlds of another seed; the job is lived in one of them.
    let worlds = sampled(&job, &sound, &order, 1_000_000_000 + seed, 1);
    let came = worlds[seed as usize % worlds.len()];
    let mut planted = job.clone();
    plant(&mut planted);
    let dates = |job: &Job| {
        let mut f = sampled(job, &sound, &order, seed, TRIALS);
        f.sort_unstable();
        [0.80, 0.95].map(|p| {
            let date = stats::quantile(&f, p).expect("trials");
            (came <= date, worlds.iter().filter(|&&w| w <= date).count() as f64 / worlds.len() as f64)
        })
    };
    let (right, wrong) = (dates(&job), dates(&planted));
    [right[0], right[1], wrong[0], wrong[1]]
}

/// One figure with its band, and whether it is as it should be: inside for the right model,
/// outside for a planted one. By chance: the middle 95 % of the binomial.
fn line(what: &str, (hits, worlds): (usize, f64), jobs: usize, p: f64, band: f64, right: bool) -> bool {
    let share = hits as f64 / jobs as f64;
    let (low, high) = scores::plausible_hits(jobs, p);
    let inside = (share - p).abs() <= band;
    let percent = |n: usize| 100.0 * n as f64 / jobs as f64;
    println!(
        "{what:<46} {:>6.2} %   band {:.1} to {:.1}, by chance {:.1} to {:.1}   {:<13} all worlds {:.2} %",
        100.0 * share,
        100.0 * (p - band),
        100.0 * (p + band),
        percent(low),
        percent(high),
        match (inside, right) {
            (true, true) => "holds",
            (false, false) => "found out",
            (false, true) => "MISSED",
            (true, false) => "NOT FOUND OUT",
        },
        100.0 * worlds
    );
    inside == right
}

fn main() {
    let jobs = std::env::args().skip(1).find_map(|a| a.parse().ok()).unwrap_or(JOBS);
    let from = std::time::Instant::now();
    // Each kind has seeds of its own, so one kind's luck is not the other's.
    let count = |first: u64, make: fn(u64) -> Job, plant: fn(&mut Job)| {
        let all: Vec<[(bool, f64); 4]> =
            (first..first + jobs as u64).into_par_iter().map(|s| live(s, make, plant)).collect();
        [0, 1, 2, 3].map(|k| {
            let hits = all.iter().filter(|j| j[k].0).count();
            (hits, all.iter().map(|j| j[k].1).sum::<f64>() / jobs as f64)
        })
    };
    println!("{jobs} jobs a kind, {TRIALS} trials each, lived once (all worlds: had each been lived in 500)");
    let a = count(1, mixed, independent_steps);
    let mut good = line("mixed jobs, 80 % dates", a[0], jobs, 0.80, 0.02, true);
    good &= line("mixed jobs, 95 % dates", a[1], jobs, 0.95, 0.012, true);
    good &= line("mixed jobs, 80 % dates, steps independent", a[2], jobs, 0.80, 0.02, false);
    let b = count(1_000_001, colds, independent_days);
    good &= line("a house of colds, 80 % dates", b[0], jobs, 0.80, 0.02, true);
    good &= line("a house of colds, 95 % dates", b[1], jobs, 0.95, 0.012, true);
    good &= line("a house of colds, 95 % dates, days independent", b[3], jobs, 0.95, 0.012, false);
    println!("{:.0} s", from.elapsed().as_secs_f64());
    if !good {
        std::process::exit(1);
    }
}
