//! What became of the job on the way: work done again, changes agreed with the client, the end.
//!
//! Plain data. Work to be done again is a step of its own behind the one it repeats; a change
//! agreed keeps what was said of it that day, before and after, and is never changed.

use chrono::{NaiveDate, NaiveDateTime};
use serde::{Deserialize, Serialize};

/// A begun or finished step that must be done again, all of it or in part. Its step is called
/// as the one it repeats with `+again`, a second time `+again-2`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Redone {
    /// Id of the step.
    pub step: String,
    /// When it was found.
    pub day: NaiveDate,
    /// Share of the step's labor; all of it where neither share nor hours are said.
    #[serde(default)]
    pub share: Option<f64>,
    /// Labor hours instead of a share.
    #[serde(default)]
    pub hours: Option<f64>,
    /// Why.
    #[serde(default)]
    pub cause: String,
}

/// What kind of change.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ChangeKind {
    /// Work added or left out.
    #[default]
    Scope,
    /// Work done again.
    Redo,
}

/// A change of the job with what it came to: kept, never changed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ChangeOrder {
    pub day: NaiveDate,
    #[serde(default)]
    pub kind: ChangeKind,
    /// What was agreed.
    #[serde(default)]
    pub words: String,
    /// Ids of the steps it brought.
    #[serde(default)]
    pub adds: Vec<String>,
    /// Ids of steps, or `room/surface`, it took out.
    #[serde(default)]
    pub drops: Vec<String>,
    /// Labor hours, typical; below 0 where it saves some.
    #[serde(default)]
    pub hours: f64,
    /// Own cost of the paid hours, trips among them; none where no hour has a cost.
    #[serde(default)]
    pub dollars: Option<f64>,
    /// Working days at the date 8 in 10 trials reach, the same trials before and after.
    #[serde(default)]
    pub days: f64,
    pub likely_before: NaiveDate,
    pub likely_after: NaiveDate,
    pub safe_before: NaiveDate,
    pub safe_after: NaiveDate,
    /// Chance of the day promised or asked for before, where there was one.
    #[serde(default)]
    pub chance_before: Option<f64>,
    /// Chance of the day promised or asked for afterwards.
    #[serde(default)]
    pub chance_after: Option<f64>,
    #[serde(default)]
    pub promised_before: Option<NaiveDate>,
    #[serde(default)]
    pub promised_after: Option<NaiveDate>,
    /// Trials behind the chances.
    #[serde(default)]
    pub trials: u32,
    /// How sure `safe_before` and `safe_after` are, a share; none in a record written before it was kept.
    #[serde(default)]
    pub confidence: Option<f64>,
    /// The price agreed before it, tax in it, integer cents: of the quote given last with the changes after it, else of a
    /// job not yet begun. None where no price was said.
    #[serde(default)]
    pub cents_before: Option<i64>,
    /// The price with it, tax in it, integer cents.
    #[serde(default)]
    pub cents_after: Option<i64>,
    /// What the client pays for it, tax in it, integer cents, below 0 where he pays less: `cents_after` less
    /// `cents_before` where both were said. None where no hour had a cost.
    #[serde(default)]
    pub cents: Option<i64>,
    /// What more is bought for it, own cost in integer cents, below 0 where less is bought; it is in `cents`. None where no
    /// price was made, or in a record written before it was kept.
    #[serde(default)]
    pub material: Option<i64>,
}

/// The end of a job.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Closing {
    /// When it was closed.
    pub day: NaiveDate,
    /// End of the last labor written up.
    pub finish: NaiveDateTime,
    #[serde(default)]
    pub promised: Option<NaiveDate>,
    /// The likely day of the plan from the first day.
    pub likely: NaiveDate,
    /// Labor hours spent on the steps that were finished.
    #[serde(default)]
    pub hours: f64,
    /// Typical hours of the same steps.
    #[serde(default)]
    pub estimate: f64,
}
