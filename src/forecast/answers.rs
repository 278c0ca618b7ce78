//! What a forecast answers, read from stored trials. Confidence and target re-read them.

use serde::{Deserialize, Serialize};

use super::stats::{self, Interval};
use crate::clock::{At, DAY};

/// One cause of lateness: working days won at the 80 % date were it gone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Cause {
    /// Stable key: `hours`, `drying`, `lost_days`, `holes`, `unavailable`, `job_before`,
    /// `redo`, `surprises`, `late`, `unlisted`; `together` for all at once.
    pub cause: String,
    /// Working days at the unrounded date; may be negative by chance.
    pub days: f64,
    /// Standard error of `days`.
    pub error: f64,
}

/// Stored trials and what was counted in them.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    pub seed: u64,
    pub trials: usize,
    /// Finish of the plan, everything typical.
    pub clean_run: At,
    /// Finish of each trial, in order of trials.
    pub finish: Vec<i64>,
    /// The same, sorted.
    pub sorted: Vec<i64>,
    /// Labor minutes of each trial at pace 1 (redo and finds counted, trips and picking up left out).
    pub labor: Vec<i64>,
    /// By person of the crew: minutes he is paid in each trial (trips and picking up counted), and
    /// those of them after hours.
    pub paid: Vec<Vec<u32>>,
    pub overtime: Vec<Vec<u32>>,
    /// Removal of each cause, largest first; empty where not asked.
    pub causes: Vec<Cause>,
    /// Per step of the graph: share of trials in which it holds the date.
    pub on_date: Vec<f64>,
    /// Minute from which elapsed hours are counted.
    pub origin: i64,
}

impl Forecast {
    /// Date-time of the `p` quantile (order statistic), and its 95 % interval.
    pub fn quantile(&self, p: f64) -> (At, Interval<At>) {
        let q = stats::quantile(&self.sorted, p).unwrap_or(0);
        let i = stats::quantile_interval(&self.sorted, p).unwrap_or(Interval { value: q, low: q, high: q });
        (At(q), Interval { value: At(q), low: At(i.low), high: At(i.high) })
    }

    /// The forecast as its first `trials` trials alone give it. What is eating the date and
    /// how often steps hold it stay those of all.
    pub fn first(&self, trials: usize) -> Forecast {
        let n = trials.min(self.trials);
        let mut sorted = self.finish[..n].to_vec();
        sorted.sort_unstable();
        let (finish, labor) = (self.finish[..n].to_vec(), self.labor[..n].to_vec());
        let cut = |all: &[Vec<u32>]| all.iter().map(|v| v[..n.min(v.len())].to_vec()).collect();
        let (paid, overtime) = (cut(&self.paid), cut(&self.overtime));
        Forecast { trials: n, finish, labor, sorted, paid, overtime, ..self.clone() }
    }

    /// The day (number) by whose midnight the share `p` of trials is done.
    pub fn day(&self, p: f64) -> i64 {
        last_day(self.quantile(p).0)
    }

    /// Share of trials done by the midnight that ends `day`, with its 95 % interval.
    pub fn chance(&self, day: i64) -> (f64, Interval<f64>) {
        let hits = self.sorted.partition_point(|&f| f <= (day + 1) * DAY);
        let n = self.sorted.len().max(1);
        (hits as f64 / n as f64, stats::share(hits, n))
    }

    /// Mean and standard deviation of elapsed hours from the origin.
    pub fn elapsed_hours(&self) -> stats::Moments {
        stats::Moments::of(self.finish.iter().map(|&f| (f - self.origin) as f64 / 60.0))
    }

    /// Mean labor hours and their `p` quantile.
    pub fn labor_hours(&self, p: f64) -> (f64, f64) {
        let m = stats::Moments::of(self.labor.iter().map(|&l| l as f64 / 60.0));
        let mut v = self.labor.clone();
        v.sort_unstable();
        (m.mean, stats::quantile(&v, p).unwrap_or(0) as f64 / 60.0)
    }

    /// Every day from the first to the last with a finish, with the chance of being done.
    pub fn by_day(&self) -> Vec<(i64, f64)> {
        let (Some(&a), Some(&b)) = (self.sorted.first(), self.sorted.last()) else { return Vec::new() };
        (last_day(At(a))..=last_day(At(b))).map(|d| (d, self.chance(d).0)).collect()
    }
}

/// The day an instant belongs to as a finish: midnight belongs to the day it ends.
pub fn last_day(at: At) -> i64 {
    (at.0 - 1).max(0).div_euclid(DAY)
}
