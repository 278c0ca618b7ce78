//! Two crew jobs kept outside the tree: one worker, no calendar, drying as waits.
//!
//! `cargo bench --bench crewjobs -- FOLDER`. A file `NAME.flat` holds: steps and workers;
//! then a line a step: median hours, log sigma, worker, number of links, and pairs of an
//! earlier step and hours after its end. Hours are counted in thousandths here, a minute of
//! the engine each. Prints the bound, the plan's finish, whether it is proven, and times.

use std::path::Path;
use std::time::Instant;

use roomback::job::{Day, Hm, Job, Person, Week};
use roomback::schedule::Setting;
use roomback::search::{bound, search};
use roomback::work::{Ask, Crew, Kind, Link, Spread, Step, WorkGraph};

/// Minutes of the engine for an hour of the file.
const HOUR: f64 = 1000.0;

fn step(k: usize, hours: f64, who: usize) -> Step {
    let (labor, crew) = (Spread::fixed(hours * HOUR), Crew { fewest: 1, most: 1, who: vec![who] });
    Step { labor, crew, ..Step::bare(format!("s{k}"), Kind::Labor) }
}

fn read(text: &str) -> Option<(WorkGraph, usize)> {
    let mut words = text.split_whitespace();
    let mut next = || words.next()?.parse::<f64>().ok();
    let (steps, workers) = (next()? as usize, next()? as usize);
    let mut graph = WorkGraph::default();
    for k in 0..steps {
        let (hours, _sigma, who, links) = (next()?, next()?, next()? as usize, next()? as usize);
        graph.steps.push(step(k, hours, who));
        for _ in 0..links {
            let (from, dry) = (next()? as usize, next()?);
            let lag = (dry * HOUR).round() as i64;
            graph.links.push(Link { from, to: k, ask: Ask::Done, lag, longest_h: None, when: Vec::new() });
        }
    }
    Some((graph, workers))
}

/// People who work day and night.
fn around(workers: usize, graph: &WorkGraph) -> Setting {
    let week = Week { days: Day::ALL.to_vec(), open: Hm(0), close: Hm(1440), lunch: None, opening: 0, closing: 0 };
    let person = |k: usize| Person { id: format!("w{k}"), week: Some(week.clone()), ..Person::default() };
    let job = Job { crew: (0..workers).map(person).collect(), ..Job::default() };
    Setting::new(&job, graph)
}

fn one(path: &Path) -> Result<String, String> {
    let text = std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))?;
    let (graph, workers) = read(&text).ok_or_else(|| format!("{}: not a crew job", path.display()))?;
    let setting = around(workers, &graph);
    let began = Instant::now();
    let low = bound(&graph, &setting);
    let bounded = began.elapsed();
    let began = Instant::now();
    let found = search(&graph, &setting, None, &[], true, &|| false).map_err(|e| e.to_string())?;
    let searched = began.elapsed();
    Ok(format!(
        "{:<8} bound {:8.3} h in {:6.2} ms; plan {:8.3} h, proven {:?}, {} schedules, {:6.2} ms with its bound",
        path.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned()),
        low.at.0 as f64 / HOUR,
        bounded.as_secs_f64() * 1000.0,
        found.plan.finish.0 as f64 / HOUR,
        found.proven,
        found.schedules,
        searched.as_secs_f64() * 1000.0,
    ))
}

fn main() {
    // Cargo hands a bench its own flags beside ours.
    let folder = std::env::args().skip(1).find(|a| !a.starts_with("--"));
    let Some(folder) = folder else {
        println!("no folder of crew jobs given: cargo bench --bench crewjobs -- FOLDER");
        return;
    };
    for name in ["reno1", "mc1"] {
        match one(&Path::new(&folder).join(format!("{name}.flat"))) {
            Ok(line) => println!("{line}"),
            Err(why) => println!("missing: {why}"),
        }
    }
}
