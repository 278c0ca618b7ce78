//! What happened: days written up, and time lost before or to come.
//!
//! Plain data hanging on step ids. A day written up names what was worked on, by whom, for how
//! long and how far it got; lost time takes hours out of somebody's calendar, or shuts the house.

use chrono::{NaiveDate, NaiveDateTime};
use serde::{Deserialize, Serialize};

use super::{Hm, Hours};

/// How a day went, as a whole.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum How {
    /// What the plan of the evening before had for it; the entries say it in full.
    AsPlanned,
    /// Nobody worked on this job.
    Nothing,
    #[default]
    Differently,
}

/// A day written up. One entry a day; a correction puts another in its place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DayLog {
    pub day: NaiveDate,
    #[serde(default)]
    pub how: How,
    /// What was worked on, in order; gates that came or were settled among them.
    #[serde(default)]
    pub steps: Vec<Worked>,
    #[serde(default)]
    pub note: String,
}

impl DayLog {
    /// Only news of a delivery, decision or visit: the day itself is still to be written up.
    pub fn news_only(&self) -> bool {
        self.how == How::Differently && !self.steps.is_empty() && self.steps.iter().all(|w| w.coming.is_some())
    }
}

/// A step worked on during a day, or a delivery, decision or visit heard of.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Worked {
    /// Step id, or id of a delivery, decision or visit.
    pub step: String,
    /// Ids of those who worked; the first who may do it where left out.
    pub who: Vec<String>,
    /// Begun at; right after the entry before where left out.
    pub from: Option<Hm>,
    /// Hours each of them spent, trips left out.
    pub hours: f64,
    /// Share of the whole step done by the end of the day, 0 to 1, where it was measured.
    pub share: Option<f64>,
    /// Finished (a gate: arrived, settled, over).
    pub done: bool,
    /// Finished at; when the hours are over where left out.
    pub at: Option<Hm>,
    /// A gate not yet here: the day it is now said to come.
    pub coming: Option<NaiveDate>,
    pub note: String,
}

/// What was said on the evening of a day: kept, never changed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Evening {
    pub day: NaiveDate,
    /// Finish with everything typical from here on.
    pub clean_run: NaiveDateTime,
    pub likely: NaiveDate,
    pub safe: NaiveDate,
    /// Finish reached by 8 in 10 trials, to the minute; how the date moved is told by it.
    pub eighty: NaiveDateTime,
    /// Chance of the client's day, where there was one.
    #[serde(default)]
    pub chance: Option<f64>,
    pub confidence: f64,
    /// Entries of lost time known by then.
    #[serde(default)]
    pub lost: u32,
    /// Ways taken by then; told by their days where it was not written.
    #[serde(default)]
    pub ways: Option<u32>,
    /// Changes agreed and work found to be done again by then; told by their days where it was not written.
    #[serde(default)]
    pub changes: Option<u32>,
    /// Why the date moved since the evening before; the remainder is said as one.
    #[serde(default)]
    pub reasons: Vec<MovedBy>,
    /// Working days the date moved since the evening before, all together.
    #[serde(default)]
    pub together: f64,
    /// Trials behind it.
    #[serde(default = "usual_trials")]
    pub trials: u32,
}

/// Trials at rest before their number was written with each record.
pub(super) fn usual_trials() -> u32 {
    10_000
}

/// One reason of a move, counted in the same trials with and without it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct MovedBy {
    pub what: String,
    /// Working days at the date 8 in 10 trials reach; later counts above 0.
    pub days: f64,
}

/// Why time was lost.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LostCause {
    Illness,
    ChildIll,
    Family,
    OtherJob,
    Weather,
    Vehicle,
    /// The client, or the rooms in use.
    Client,
    #[default]
    Other,
}

impl LostCause {
    /// Whether whoever it befell is likelier to be out the next day too.
    pub fn lasts(self) -> bool {
        matches!(self, LostCause::Illness | LostCause::ChildIll)
    }
}

/// Time lost, past or to come: whole days, or the same hours of each.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LostTime {
    pub from: NaiveDate,
    /// Last day; the first where left out.
    #[serde(default)]
    pub to: Option<NaiveDate>,
    /// Only these hours of each day.
    #[serde(default)]
    pub hours: Option<Hours>,
    /// Id of whom it befell; everybody where left out.
    #[serde(default)]
    pub who: String,
    /// The house cannot be worked in; shop and booth can.
    #[serde(default)]
    pub house: bool,
    #[serde(default)]
    pub cause: LostCause,
    #[serde(default)]
    pub note: String,
}

impl LostTime {
    /// Last day.
    pub fn last(&self) -> NaiveDate {
        self.to.unwrap_or(self.from)
    }

    /// Whether it touches a day.
    pub fn on(&self, day: NaiveDate) -> bool {
        self.from <= day && day <= self.last()
    }

    /// Whether it takes hours from this person.
    pub fn of(&self, id: &str) -> bool {
        !self.house && (self.who.is_empty() || self.who == id)
    }
}
