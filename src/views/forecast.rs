//! A forecast as figures and as JSON.

use serde_json::{Value, json};

use super::{Almanac, cautions, iso_day, units};
use crate::clock::At;
use crate::desk::Sound;
use crate::forecast::stats::{self, Interval, Moments, Z95};
use crate::forecast::{Cause, Forecast};
use crate::job::{Target, TargetKind};

/// What is said of stored trials at one confidence.
#[derive(Clone, Debug, PartialEq)]
pub struct ForecastView {
    pub confidence: f64,
    /// Day number of the median finish.
    pub likely: i64,
    /// Day number by whose end the share `confidence` of trials is done.
    pub safe: i64,
    /// Day number of the target, its chance and 95 % interval.
    pub target: Option<(Target, i64, Interval<f64>)>,
    /// Steps that hold the date, with their share of trials; most often first.
    pub on_date: Vec<(usize, f64)>,
}

impl ForecastView {
    /// Reads stored trials. `confidence` 0.5 to 0.99.
    pub fn new(sound: &Sound, f: &Forecast, confidence: f64) -> ForecastView {
        let target = sound.job.target.map(|t| {
            let day = sound.job.day_of(t.day);
            (t, day, f.chance(day).1)
        });
        let mut on_date: Vec<(usize, f64)> =
            f.on_date.iter().copied().enumerate().filter(|(_, share)| *share > 0.0).collect();
        on_date.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        ForecastView { confidence, likely: f.day(0.5), safe: f.day(confidence), target, on_date }
    }
}

/// A cause in the words of the trade.
pub fn causes_words(cause: &str) -> &str {
    match cause {
        "hours" => "hours that run long",
        "drying" => "slow drying",
        "lost_days" => "days lost to illness",
        "holes" => "late starts",
        "unavailable" => "days the room cannot be worked in",
        "job_before" => "the job before running over",
        "redo" => "work done again",
        "surprises" => "what opening up finds",
        "late" => "late deliveries and decisions",
        "unlisted" => "unlisted work",
        "together" => "all of them together",
        other => other,
    }
}

/// Standard deviation with a 95 % interval from the sample's own fourth moment
/// (large-sample delta method).
fn sd_interval(values: impl Iterator<Item = f64> + Clone, m: &Moments) -> Interval<f64> {
    if m.n < 2 || m.sd <= 0.0 {
        return Interval { value: m.sd, low: m.sd, high: m.sd };
    }
    let n = m.n as f64;
    let fourth = values.map(|x| (x - m.mean) * (x - m.mean)).map(|s| s * s).sum::<f64>() / n;
    let v = m.sd * m.sd;
    let half = Z95 * ((fourth - v * v).max(0.0) / n).sqrt() / (2.0 * m.sd);
    Interval { value: m.sd, low: (m.sd - half).max(0.0), high: m.sd + half }
}

fn put(v: &mut Value, name: &str, i: Interval<f64>) {
    v[name] = json!(i.value);
    v[format!("{name}_interval")] = json!({"low": i.low, "high": i.high});
}

/// Labor quantile with its interval, hours.
fn labor(f: &Forecast, p: f64) -> Interval<f64> {
    let mut v = f.labor.clone();
    v.sort_unstable();
    let h = |m: i64| m as f64 / 60.0;
    let i = stats::quantile_interval(&v, p).unwrap_or(Interval { value: 0, low: 0, high: 0 });
    Interval { value: h(i.value), low: h(i.low), high: h(i.high) }
}

/// The forecast with the stable names of `docs/text-commands.md`.
pub fn forecast_json(sound: &Sound, f: &Forecast, view: &ForecastView) -> Value {
    let a = Almanac(&sound.job);
    let mut v = json!({
        "job": sound.job.name,
        "as_of": super::as_of_json(sound),
        "clean_run": a.json(f.clean_run),
        "likely_day": a.json_day(view.likely),
        "safe_day": a.json_day(view.safe),
        "confidence": view.confidence,
    });
    match view.target {
        Some((t, _, chance)) => {
            let kind = if t.kind == TargetKind::Promised { "promised" } else { "asked" };
            v["target"] = json!({"kind": kind, "day": iso_day(t.day)});
            put(&mut v, "chance_of_target", chance);
            v["chance_error"] = json!(stats::share_error(chance.value, f.sorted.len()));
        }
        None => {
            for name in ["target", "chance_of_target", "chance_of_target_interval", "chance_error"] {
                v[name] = Value::Null;
            }
        }
    }
    for (name, p) in [("finish_p50", 0.5), ("finish_p80", 0.8), ("finish_p90", 0.9)] {
        let (at, i) = f.quantile(p);
        v[name] = a.json(at);
        v[format!("{name}_interval")] = json!({"low": a.json(i.low), "high": a.json(i.high)});
    }
    let elapsed = f.finish.iter().map(|&t| (t - f.origin) as f64 / 60.0);
    let m = f.elapsed_hours();
    put(&mut v, "finish_mean_elapsed_h", m.interval());
    put(&mut v, "finish_sd_elapsed_h", sd_interval(elapsed, &m));
    if let Some(u) = units(sound, f) {
        v["finish_in_units"] = u;
    }
    put(&mut v, "labor_mean_h", Moments::of(f.labor.iter().map(|&l| l as f64 / 60.0)).interval());
    put(&mut v, "labor_p80_h", labor(f, 0.8));
    let day = |(d, chance): (i64, f64)| json!({"day": a.json_day(d), "chance": chance});
    v["by_day"] = f.by_day().into_iter().map(day).collect();
    let cause = |c: &Cause| json!({"cause": c.cause, "days": c.days, "error": c.error});
    v["causes"] = f.causes.iter().map(cause).collect();
    let step = |&(s, share): &(usize, f64)| json!({"step": sound.graph.steps[s].id, "share": share});
    v["on_date"] = view.on_date.iter().map(step).collect();
    let caution = |c: &&crate::trade::Caution| json!({"id": c.id, "name": c.name, "text": c.text, "rule": c.rule});
    v["cautions"] = cautions(sound).iter().map(caution).collect();
    v["trials"] = json!(f.trials);
    v["seed"] = json!(f.seed);
    v["problems"] = json!([]);
    v
}

/// Labor in trials: mean and 80 % quantile, hours.
pub(super) fn labor_figures(f: &Forecast) -> (f64, f64) {
    f.labor_hours(0.8)
}

/// Days in hand: working days from the clean run to the end of the safe day's finish.
pub(super) fn in_hand(sound: &Sound, f: &Forecast, confidence: f64) -> f64 {
    let safe: At = f.quantile(confidence).0;
    super::working_days(&sound.setting, f.clean_run, safe)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_spread_has_an_interval_that_holds_the_true_one() {
        // The numbers 0 to 999: sd over n - 1 is sqrt(1000 * 1001 / 12) = 288.82.
        let v: Vec<f64> = (0..1000).map(f64::from).collect();
        let m = Moments::of(v.iter().copied());
        let i = sd_interval(v.iter().copied(), &m);
        assert!((i.value - 288.819).abs() < 0.001);
        assert!(i.low < i.value && i.value < i.high && i.high - i.low < 20.0, "{i:?}");
    }

    #[test]
    fn every_cause_has_words() {
        for c in ["hours", "drying", "lost_days", "holes", "unavailable", "job_before", "redo", "surprises", "late"] {
            assert_ne!(causes_words(c), c);
        }
    }
}
