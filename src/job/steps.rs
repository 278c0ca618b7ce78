//! Steps of the user's own and the gates between them.

use chrono::{NaiveDate, NaiveDateTime};
use serde::{Deserialize, Serialize};

use super::{Day, Hm};
use crate::trade::Stage;
pub use crate::trade::{Flags, Leaves, LinkKind, Scheme};

/// A duration with its spread: hours for labor, or the study's units.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Duration {
    pub scheme: Scheme,
    /// Three values, or one for `fixed`.
    pub values: Vec<f64>,
}

/// How many hands, and whose.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Hands {
    /// 0 = nobody: the step takes elapsed time.
    pub fewest: u32,
    pub most: u32,
    /// People or skills allowed; anybody when empty.
    pub who: Vec<String>,
}

impl Default for Hands {
    fn default() -> Self {
        Hands { fewest: 1, most: 1, who: Vec::new() }
    }
}

/// What a step waits for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Need {
    /// Id of the earlier step, delivery, decision or visit.
    pub step: String,
    #[serde(default)]
    pub link: LinkKind,
    /// The earlier step's coat must have reached this stage (with `fs`).
    #[serde(default)]
    pub dry: Option<Stage>,
    /// Lag on the elapsed clock, hours (units in a study); may be negative for a study.
    #[serde(default)]
    pub lag: f64,
    /// Longest wait, hours by the earlier coat's own clock; past it a scuff-sand comes first.
    #[serde(default)]
    pub longest: Option<f64>,
}

/// A weekly window, or one on a date.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Window {
    pub days: Vec<Day>,
    pub date: Option<NaiveDate>,
    pub from: Hm,
    pub to: Hm,
}

impl Default for Window {
    fn default() -> Self {
        Window { days: super::weekdays(), date: None, from: Hm(480), to: Hm(990) }
    }
}

/// A step of the user's own.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct OwnStep {
    pub id: String,
    pub name: String,
    /// Room id it belongs to, if any.
    pub room: String,
    /// Surface id or part word it is drawn with, if any.
    pub surface: String,
    /// Place id; the room's place when left out.
    pub place: String,
    /// Labor hours low / typical / high ...
    pub hours: Option<(f64, f64, f64)>,
    /// ... or a duration with its scheme (labor hours; elapsed hours with hands none) ...
    pub duration: Option<Duration>,
    /// ... or a quantity times a rate row.
    pub rate: Option<(f64, String)>,
    /// Set-up, minutes of labor, part of the step and at its head.
    pub setup_min: i64,
    /// Pieces a coat or glue-up is done in, for `one_go`.
    pub pieces: u32,
    pub hands: Hands,
    pub flags: Flags,
    pub leaves: Option<Leaves>,
    /// Racks held from its begin until its product may be handled.
    pub racks: u32,
    pub earliest: Option<NaiveDateTime>,
    /// May begin only inside one of these.
    pub windows: Vec<Window>,
    pub needs: Vec<Need>,
    /// Steps (ids) or milestones that wait for it to be done.
    pub before: Vec<String>,
    /// Variants of the step: each replaces hours, hands, product or needs. The search picks.
    pub methods: Vec<OwnMethod>,
    /// Trade group for the shared cause; rows of one trade run long together.
    pub trade: String,
    /// Fit-up work, moved by how true the house is.
    pub fit_up: bool,
    /// Chance of doing part of it again, and the share of its hours.
    pub redo: Option<(f64, f64)>,
    /// Done after the hand-over: no part of the plan.
    pub later: bool,
}

/// A variant of an own step.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct OwnMethod {
    pub id: String,
    pub hours: Option<(f64, f64, f64)>,
    pub hands: Option<Hands>,
    pub leaves: Option<Leaves>,
    pub flags: Option<Flags>,
    pub needs: Vec<Need>,
}

/// Something that must be ordered and arrive.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Delivery {
    pub id: String,
    pub name: String,
    /// Business days from the order to the arrival.
    pub lead_days: f64,
    /// Chance of being late, and by how many business days.
    pub late: Option<(f64, f64)>,
    /// Ordered on this day; else as soon as its needs are met.
    pub ordered: Option<NaiveDate>,
    /// Steps that must come before the order (a field measure).
    pub needs: Vec<Need>,
    /// Steps (ids) or milestones that wait for it.
    pub before: Vec<String>,
}

/// Something the client must settle.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Decision {
    pub id: String,
    #[serde(default)]
    pub name: String,
    /// Settled by 17:00 of this day.
    pub by: NaiveDate,
    /// Chance of being late, and by how many days.
    #[serde(default)]
    pub late: Option<(f64, f64)>,
    #[serde(default)]
    pub before: Vec<String>,
}

/// Somebody else's work in the house, or a laboratory: no hands of the crew.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Visit {
    pub id: String,
    pub name: String,
    /// Place id, if it fills one.
    pub place: String,
    /// Elapsed hours once begun.
    pub hours: f64,
    /// Business days instead (a laboratory).
    pub business_days: f64,
    /// Begins only inside one of these.
    pub windows: Vec<Window>,
    pub late: Option<(f64, f64)>,
    pub needs: Vec<Need>,
    pub before: Vec<String>,
}
