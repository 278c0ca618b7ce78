//! The trials against the same rules in plain C and in NumPy, on the same job in the same
//! run: compare the ratios, not the milliseconds of two machines.
//!
//! `cargo bench --no-default-features --bench ratio`
//!
//! Needs `cc` and a `python3` with numpy (another interpreter by `ROOMBACK_PYTHON`), and says
//! so where one is missing. C runs in one thread, NumPy as it comes, the library in one and
//! in two. The library's time is that of the whole forecast: drawing, dispatch, what held
//! each finish, sorting.

mod made;

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use roomback::desk;
use roomback::forecast::{Options, stats::Moments};
use roomback::job::Job;

const TRIALS: usize = 10_000;
/// A frame of a screen at 60 Hz, milliseconds: what the whole forecast is to fit in.
const FRAME: f64 = 16.7;

/// Best time, and mean and standard deviation of the finish in minutes.
#[derive(Clone, Copy)]
struct Ran {
    ms: f64,
    mean: f64,
    sd: f64,
}

fn ours(job: &Job, threads: usize, repeats: usize) -> Ran {
    let sound = desk::judge(job).expect("a sound job");
    let found = sound.plan(false).expect("a plan");
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
    let mut ran = Ran { ms: f64::INFINITY, mean: 0.0, sd: 0.0 };
    for _ in 0..repeats {
        let from = Instant::now();
        let o = Options { trials: TRIALS, seed: 1, cause_trials: 0 };
        let f = pool.install(|| sound.forecast(&found, o)).expect("odds");
        ran.ms = ran.ms.min(from.elapsed().as_secs_f64() * 1e3);
        let m = Moments::of(f.finish.iter().map(|&t| t as f64));
        (ran.mean, ran.sd) = (m.mean, m.sd);
    }
    ran
}

fn theirs(mut command: Command, file: &Path, repeats: usize) -> Result<Ran, String> {
    let out = command.arg(file).arg(TRIALS.to_string()).arg(repeats.to_string()).output();
    let out = out.map_err(|e| e.to_string())?;
    let text = String::from_utf8_lossy(&out.stdout);
    let v: Vec<f64> = text.split_whitespace().filter_map(|x| x.parse().ok()).collect();
    match v[..] {
        [ms, mean, sd] if out.status.success() => Ok(Ran { ms, mean, sd }),
        _ => Err(String::from_utf8_lossy(&out.stderr).lines().last().unwrap_or("no answer").to_string()),
    }
}

fn c_program(here: &Path, tmp: &Path) -> Result<PathBuf, String> {
    let program = tmp.join("plain");
    let cc = Command::new("cc")
        .args(["-O3", "-o"])
        .args([&program, &here.join("plain.c")])
        .arg("-lm")
        .output()
        .map_err(|e| format!("cc: {e}"))?;
    if cc.status.success() { Ok(program) } else { Err(String::from_utf8_lossy(&cc.stderr).into_owned()) }
}

fn main() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/plain");
    let tmp = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let program = c_program(&here, tmp);
    if let Err(e) = &program {
        println!("no C compiler to compare with: {e}");
    }
    let python = std::env::var("ROOMBACK_PYTHON").unwrap_or_else(|_| "python3".into());
    let mut wrong = false;
    for workers in [1, 2] {
        let job = made::flat(60, 5, workers);
        let file = tmp.join(format!("flat-{workers}"));
        std::fs::write(&file, job.text()).expect("a file under target/");
        println!("{} steps, {workers} at work, no calendar, no causes, {TRIALS} trials:", job.steps.len());
        let c = program.as_ref().ok().and_then(|p| match theirs(Command::new(p), &file, 15) {
            Ok(r) => Some(r),
            Err(e) => {
                println!("  the C program did not run: {e}");
                None
            }
        });
        let mut py = Command::new(&python);
        py.arg(here.join("plain.py"));
        let numpy = match theirs(py, &file, 5) {
            Ok(r) => Some(r),
            Err(e) => {
                println!("  no python3 with numpy to compare with: {e}");
                None
            }
        };
        let bare = job.bare();
        let one = ours(&bare, 1, 7);
        let two = ours(&bare, 2, 7);
        for (name, r) in
            [("C -O3, one thread", c), ("NumPy", numpy), ("one thread", Some(one)), ("two threads", Some(two))]
        {
            let Some(r) = r else { continue };
            let ns = r.ms * 1e6 / (TRIALS * job.steps.len()) as f64;
            println!(
                "  {name:<20}{:>9.2} ms {ns:>8.1} ns a step   mean {:.1} h, sd {:.1} h",
                r.ms,
                r.mean / 60.0,
                r.sd / 60.0
            );
        }
        if let Some(c) = c {
            println!("  one thread / C {:.2}, two threads / C {:.2}", one.ms / c.ms, two.ms / c.ms);
        }
        if let Some(n) = numpy {
            println!("  NumPy / one thread {:.1}, NumPy / two threads {:.1} (reach 20)", n.ms / one.ms, n.ms / two.ms);
        }
        // The library's blocks are far better than plain trials, so the error is that of the
        // other side; four of it.
        for (name, other) in [("C", c), ("NumPy", numpy)] {
            let Some(o) = other else { continue };
            let (off, error) = (one.mean - o.mean, o.sd / (TRIALS as f64).sqrt());
            if off.abs() > 4.0 * error {
                println!("  WRONG: the mean finish is {off:.1} min off that of {name}, error {error:.1} min");
                wrong = true;
            }
        }
    }
    println!(
        "everything on (shifts of 8:00 to 16:30, drying, all causes), {TRIALS} trials, reach {FRAME} ms with two threads:"
    );
    let study = desk::open(include_str!("../sample-jobs/study.ron")).expect("a job file").read.job;
    let crew = |n| made::flat(60, 5, n).whole();
    for (name, job) in
        [("60 steps, 1 at work", crew(1)), ("60 steps, 2 at work", crew(2)), ("the bundled study", study)]
    {
        let sound = desk::judge(&job).expect("a sound job");
        let (one, two) = (ours(&job, 1, 5), ours(&job, 2, 5));
        let planned = sound.graph.steps.iter().filter(|s| s.role.planned()).count();
        println!(
            "  {name:<20}{planned:>4} planned of {:>3}: one thread {:>8.2} ms, two threads {:>8.2} ms   mean {:.1} days, sd {:.1}",
            sound.graph.steps.len(),
            one.ms,
            two.ms,
            two.mean / 1440.0,
            two.sd / 1440.0
        );
    }
    if wrong {
        std::process::exit(1);
    }
}
