//! How plan and odds grow with the job: 30 to 2,000 steps, the last with 60 rooms and four
//! people.
//!
//! `cargo bench --no-default-features --bench growth` for all sizes, with the numbers of
//! rooms behind `--` for those alone.
//!
//! Rooms are invented from a seed and go the whole way: a job as a file would hold it, its
//! take-off, recipes, work graph, search, 2,000 trials with every cause. Each size runs in a
//! process of its own, so that its peak memory (`VmHWM` of `/proc/self/status`) is its own.
//! One person for up to 15 rooms and one more for each 15 after.

mod made;

use std::process::Command;
use std::time::Instant;

use roomback::desk;
use roomback::forecast::Options;
use roomback::job::{Job, Person, Place, Room};

const TRIALS: usize = 2_000;
/// Rooms of about 33 steps.
const ROOMS: [usize; 7] = [1, 2, 4, 8, 15, 30, 60];

fn job(rooms: usize) -> Job {
    let mut d = made::Draws::new(30);
    let (rooms, places): (Vec<Room>, Vec<Place>) = (0..rooms).map(|i| made::room(&mut d, i)).unzip();
    let people = rooms.len().div_ceil(15);
    Job {
        name: "growth".into(),
        seed: 3,
        crew: ["ola", "ines", "rafe", "tove"][..people.min(4)]
            .iter()
            .map(|&id| Person { id: id.into(), name: id.into(), cost: 45.0, ..Person::default() })
            .collect(),
        rooms,
        places,
        ..Job::default()
    }
}

/// Peak memory of this process, MB; 0 where the system does not tell.
fn peak_mb() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    line.and_then(|l| l.split_whitespace().next()?.parse::<f64>().ok()).unwrap_or(0.0) / 1024.0
}

/// Measures one size and prints it as figures with blanks between.
fn one(rooms: usize) {
    let job = job(rooms);
    let ms = |from: Instant| from.elapsed().as_secs_f64() * 1e3;
    let from = Instant::now();
    let sound = desk::judge(&job).unwrap_or_else(|p| panic!("{:?}", &p[..p.len().min(3)]));
    let judged = ms(from);
    let from = Instant::now();
    let found = sound.plan(false).expect("a plan");
    let planned = ms(from);
    let from = Instant::now();
    let f = sound.forecast(&found, Options { trials: TRIALS, seed: 3, cause_trials: 0 }).expect("odds");
    let sampled = ms(from);
    let steps = sound.graph.steps.iter().filter(|s| s.role.planned()).count();
    println!(
        "{rooms} {} {steps} {} {judged} {planned} {sampled} {} {} {}",
        job.crew.len(),
        sound.graph.steps.len(),
        peak_mb(),
        found.gap * 100.0,
        (f.quantile(0.8).0.0 - found.plan.finish.0) as f64 / 1440.0,
    );
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    if let [word, rooms] = &args[..]
        && word == "one"
    {
        return one(rooms.parse().expect("a number of rooms"));
    }
    let asked: Vec<usize> = args.iter().filter_map(|a| a.parse().ok()).collect();
    let list = if asked.is_empty() { ROOMS.to_vec() } else { asked };
    println!(
        "rooms people steps all  judge ms   plan ms  {TRIALS} trials ms  us a step and trial   peak MB  gap %  P80 after plan, days"
    );
    let mut last: Option<Vec<f64>> = None;
    for rooms in list {
        let me = std::env::current_exe().expect("this program");
        let out = Command::new(me).args(["one", &rooms.to_string()]).output().expect("this program runs");
        let text = String::from_utf8_lossy(&out.stdout);
        let v: Vec<f64> = text.split_whitespace().filter_map(|x| x.parse().ok()).collect();
        if v.len() != 10 {
            println!("{rooms:>5} failed: {}", String::from_utf8_lossy(&out.stderr).trim());
            continue;
        }
        println!(
            "{:>5} {:>6} {:>5} {:>4} {:>8.1} {:>9.1} {:>15.1} {:>20.3} {:>9.1} {:>6.1} {:>8.1}",
            v[0],
            v[1],
            v[2],
            v[3],
            v[4],
            v[5],
            v[6],
            v[6] * 1e3 / v[2] / TRIALS as f64,
            v[7],
            v[8],
            v[9]
        );
        if let Some(l) = last {
            println!(
                "      ratio  {:>5.2}      {:>8.2} {:>9.2} {:>15.2}                      {:>9.2}",
                v[2] / l[2],
                v[4] / l[4],
                v[5] / l[5],
                v[6] / l[6],
                v[7] / l[7]
            );
        }
        last = Some(v);
    }
}
