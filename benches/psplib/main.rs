//! The search on published instances: per set the average over the best known finish, at
//! 1,000, 5,000 and 50,000 schedules.
//!
//! `cargo bench --no-default-features --bench psplib -- FOLDER [--sets j30,j60,j120]
//! [--schedules 1000,5000,50000] [--every 1]`. Every schedule found is checked here against the
//! file, by needs and capacities at every unit of time.
//!
//! With `--stochastic` (and `[--trials 1000]`) durations are left to chance instead, and the
//! plan's own dispatch keeps one list in every trial (`stochastic`).

mod sm;
mod stochastic;

use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;

use roomback::search::islands::{Builder, Built, Habits, search};
use roomback::search::needs::Side;
use roomback::search::pools::Pools;
use sm::Instance;
use stochastic::Shape;

struct Asked {
    folder: Option<String>,
    sets: Vec<String>,
    schedules: Vec<usize>,
    every: usize,
    stochastic: bool,
    trials: usize,
}

fn asked() -> Result<Asked, String> {
    let list = |s: &str| s.split(',').map(str::to_string).collect::<Vec<_>>();
    let mut out = Asked {
        folder: None,
        sets: list("j30,j60,j120"),
        schedules: vec![1_000, 5_000, 50_000],
        every: 1,
        stochastic: false,
        trials: 1_000,
    };
    let mut args = std::env::args().skip(1);
    while let Some(a) = args.next() {
        let mut value = || args.next().ok_or(format!("{a} needs a value"));
        let number = |s: &str| s.parse::<usize>().map_err(|e| format!("{s}: {e}"));
        match a.as_str() {
            // Added by cargo.
            "--bench" => {}
            "--sets" => out.sets = list(&value()?),
            "--schedules" => out.schedules = list(&value()?).iter().map(|s| number(s)).collect::<Result<_, _>>()?,
            "--stochastic" => out.stochastic = true,
            "--trials" => out.trials = number(&value()?)?,
            "--every" => out.every = number(&value()?)?,
            _ if a.starts_with('-') => return Err(format!("what is {a}?")),
            _ => out.folder = Some(a),
        }
    }
    Ok(out)
}

fn main() -> ExitCode {
    match asked().and_then(|a| run(&a)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("{e}");
            ExitCode::FAILURE
        }
    }
}

fn run(asked: &Asked) -> Result<(), String> {
    let Some(folder) = asked.folder.as_deref().map(Path::new).filter(|f| f.is_dir()) else {
        println!("psplib: no folder of instances (name it behind --), nothing measured");
        return Ok(());
    };
    for set in &asked.sets {
        let instances = sm::set(folder, set, asked.every)?;
        if asked.stochastic {
            by_chance(set, &instances, asked.trials)?;
            continue;
        }
        for &schedules in &asked.schedules {
            let begun = Instant::now();
            let (mut over, mut path, mut built, mut equal, mut below) = (0.0, 0.0, 0, 0, 0);
            for i in &instances {
                let pools = Pools::new(&i.duration, &i.needs, &i.demand, &i.capacity)
                    .map_err(|e| format!("{}: {e}", i.name))?;
                let out = search(&pools, &[], schedules, Habits::new(schedules, i.duration.len()), &|| false);
                let best = out.best.first().ok_or(format!("{}: no schedule", i.name))?;
                let mut times = Built::default();
                let mut genes = best.genes.clone();
                pools.build(&mut pools.bench(), best.side, best.way, &mut genes, &mut times);
                // A schedule built backward counts its times from the finish.
                let begin: Vec<i64> = match best.side {
                    Side::Forward => times.begin.clone(),
                    Side::Backward => times.end.iter().map(|e| times.finish - e).collect(),
                };
                let finish = check(i, &begin)?;
                if finish != best.score || out.schedules > schedules {
                    return Err(format!("{}: said {}, is {finish}; {} schedules", i.name, best.score, out.schedules));
                }
                over += 100.0 * (finish - i.high) as f64 / i.high as f64;
                path += 100.0 * (finish - pools.path()) as f64 / pools.path().max(1) as f64;
                built += out.schedules;
                equal += usize::from(finish == i.high);
                below += usize::from(finish < i.high);
            }
            let n = instances.len().max(1) as f64;
            println!(
                "{set}: {} instances, {schedules} schedules: {:.2} % over best known, {:.2} % over the critical path; \
                 {equal} as good, {below} better; {:.0} schedules a second",
                instances.len(),
                over / n,
                path / n,
                built as f64 / begun.elapsed().as_secs_f64()
            );
        }
    }
    Ok(())
}

/// The mean over the instances of each shape of durations.
fn by_chance(set: &str, instances: &[Instance], trials: usize) -> Result<(), String> {
    for shape in Shape::ALL {
        let begun = Instant::now();
        let mut over = 0.0;
        for i in instances {
            over += stochastic::over_path(i, shape, trials)?;
        }
        println!(
            "{set}: {} instances, {trials} trials, durations {}: {:.2} % over the critical path; {:.1} s",
            instances.len(),
            shape.words(),
            over / instances.len().max(1) as f64,
            begun.elapsed().as_secs_f64()
        );
    }
    Ok(())
}

/// The finish of a schedule that keeps needs and capacities.
fn check(i: &Instance, begin: &[i64]) -> Result<i64, String> {
    let end = |s: usize| begin[s] + i64::from(i.duration[s]);
    let finish = (0..begin.len()).map(end).max().unwrap_or(0);
    if begin.len() != i.duration.len() || begin.iter().any(|&b| b < 0) {
        return Err(format!("{}: a step without a begin", i.name));
    }
    for (s, needs) in i.needs.iter().enumerate() {
        if let Some(p) = needs.iter().find(|&&p| end(p) > begin[s]) {
            return Err(format!("{}: job {} begins before job {} ends", i.name, s + 1, p + 1));
        }
    }
    for (p, &capacity) in i.capacity.iter().enumerate() {
        let mut used = vec![0u32; finish as usize];
        for s in 0..begin.len() {
            used[begin[s] as usize..end(s) as usize].iter_mut().for_each(|u| *u += i.demand[s][p]);
        }
        if let Some(t) = used.iter().position(|&u| u > capacity) {
            return Err(format!("{}: pool {} overdrawn at {t}", i.name, p + 1));
        }
    }
    if finish < i.low {
        return Err(format!("{}: {finish} is below the bound {}", i.name, i.low));
    }
    Ok(finish)
}
