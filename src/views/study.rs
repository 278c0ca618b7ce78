//! A published network in its own units: CPM, classical PERT, the simulated finish.

use serde_json::{Value, json};

use crate::desk::Sound;
use crate::forecast::{Forecast, stats};
use crate::schedule::stage_ix;
use crate::search::Found;
use crate::work::cpm::{Cpm, Network, Pert};
use crate::work::{Ask, Kind, Link, Spread};

fn unit(sound: &Sound) -> f64 {
    sound.job.study.as_ref().map_or(1.0, |s| s.unit_minutes.max(1) as f64)
}

fn spread(sound: &Sound, step: usize) -> Spread {
    let s = &sound.graph.steps[step];
    match s.kind {
        Kind::Labor => s.labor,
        Kind::Elapsed(d) => d,
        Kind::Business { minutes, .. } => Spread::fixed(minutes as f64),
        Kind::Decision { .. } => Spread::ZERO,
    }
}

fn compute(sound: &Sound, found: &Found) -> (Cpm, Pert) {
    let net = sound.net(found);
    // A coat's wait in reference air: a published network has no other.
    let dry = |l: &Link| match l.ask {
        Ask::Dry(stage) => net.stage_min[l.from][stage_ix(stage)].max(0),
        _ => 0,
    };
    let network = Network::new(&sound.graph, &net.methods, dry);
    let cpm = network.cpm(|s| spread(sound, s).typical());
    let pert = network.pert(|s| {
        let d = spread(sound, s);
        [d.low, d.typ, d.high]
    });
    (cpm, pert)
}

/// `{duration, critical_path, steps: [{id, total_float, free_float}], pert}`, all in units.
/// `steps` of `cpm` stand at the most likely durations, those of `pert` at the means.
/// `by` adds the chance of an end by so many units.
pub fn cpm_json(sound: &Sound, found: &Found, by: Option<f64>) -> Value {
    let (cpm, pert) = compute(sound, found);
    let u = unit(sound);
    let id = |s: usize| sound.graph.steps[s].id.as_str();
    // Floats of a pass whose dates are in minutes times `fine`.
    let floats = |c: &Cpm, fine: f64| -> Vec<Value> {
        let row = |(s, d): (usize, &Option<crate::work::cpm::Dates>)| {
            let per = u * fine;
            d.as_ref().map(|d| {
                json!({"id": id(s), "total_float": d.total_float as f64 / per, "free_float": d.free_float as f64 / per})
            })
        };
        c.dates.iter().enumerate().filter_map(row).collect()
    };
    let mut p = json!({"mean": pert.mean / u, "sd": pert.sd / u, "variance": pert.variance / (u * u)});
    p["critical_path"] = json!(pert.path.iter().map(|&s| id(s)).collect::<Vec<_>>());
    p["steps"] = json!(floats(&pert.sixths, 6.0));
    if let Some(by) = by {
        p["by"] = json!(by);
        p["chance"] = json!(pert.chance(by * u));
    }
    json!({
        "duration": cpm.length as f64 / u,
        "critical_path": cpm.path.iter().map(|&s| id(s)).collect::<Vec<_>>(),
        "steps": floats(&cpm, 1.0),
        "pert": p,
    })
}

/// The same to read.
pub fn cpm_text(sound: &Sound, found: &Found, by: Option<f64>) -> String {
    let (cpm, pert) = compute(sound, found);
    let u = unit(sound);
    let id = |s: usize| sound.graph.steps[s].id.as_str();
    let path: Vec<&str> = cpm.path.iter().map(|&s| id(s)).collect();
    let mut out = format!("\nCritical path, {:.2} units: {}\n", cpm.length as f64 / u, path.join(", "));
    out += "  step                     total float   free float\n";
    for (s, d) in cpm.dates.iter().enumerate().filter_map(|(s, d)| d.as_ref().map(|d| (s, d))) {
        out += &format!("  {:<24} {:>11.2} {:>12.2}\n", id(s), d.total_float as f64 / u, d.free_float as f64 / u);
    }
    out += &format!(
        "Classical PERT: mean {:.3}, sd {:.3}, variance {:.3} units",
        pert.mean / u,
        pert.sd / u,
        pert.variance / (u * u)
    );
    if let Some(by) = by {
        out += &format!("; chance by {by}: {:.4}", pert.chance(by * u));
    }
    out + ". It knows nothing of paths that merge and is too early by that.\n"
}

/// `finish_in_units`: elapsed minutes from the origin over the unit, where the job is a
/// published network.
pub fn units(sound: &Sound, f: &Forecast) -> Option<Value> {
    sound.job.study.as_ref()?;
    let u = unit(sound);
    let of = |at: i64| (at - f.origin) as f64 / u;
    let m = stats::Moments::of(f.finish.iter().map(|&t| of(t)));
    let mean = m.interval();
    let mut out = json!({"mean": m.mean, "mean_interval": {"low": mean.low, "high": mean.high}, "sd": m.sd});
    for (name, p) in [("p50", 0.5), ("p80", 0.8), ("p90", 0.9)] {
        let (at, i) = f.quantile(p);
        out[name] = json!(of(at.0));
        out[format!("{name}_interval")] = json!({"low": of(i.low.0), "high": of(i.high.0)});
    }
    Some(out)
}
