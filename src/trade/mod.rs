//! The trade as tables: labor rates, products and their stages, recipes, causes of
//! lateness, cautions. Rows live in `assets/trade/*.ron`, each with unit, tag and source;
//! the user's own row always wins. This module holds their types and reads the bundled
//! tables; it refuses to know any room or job.

use serde::{Deserialize, Serialize};

use crate::clock::Law;

/// Where a figure comes from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Tag {
    /// Read in the source named.
    Read,
    /// Read in a secondary source.
    Secondary,
    /// Computed from read values.
    Computed,
    /// From memory, unchecked.
    Memory,
    /// Common practice, no source.
    #[default]
    Judgement,
    /// The user's own.
    Own,
}

/// What a rate is counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Unit {
    Day,
    Delivery,
    Room,
    #[serde(rename = "sf")]
    SquareFoot,
    #[serde(rename = "lf")]
    LinearFoot,
    Each,
    Opening,
    Window,
    Box,
    SprayDay,
}

/// A labor rate: hours of one person per unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Rate {
    pub id: String,
    pub name: String,
    pub unit: Unit,
    /// Hours a unit: 1 job in 10 is quicker than `low`, half than `typ`, 1 in 10 slower than `high`.
    pub low: f64,
    pub typ: f64,
    pub high: f64,
    /// Jobs of own history behind the row; from ten on its range is not widened.
    #[serde(default)]
    pub jobs: u32,
    #[serde(default)]
    pub tag: Tag,
    #[serde(default)]
    pub source: String,
}

/// How far a coat has got. Words follow ASTM D1640 where it has them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// Dust no longer sticks.
    DustFree,
    /// May be sanded.
    Sand,
    /// May take the next coat.
    Recoat,
    /// Tape may go on it and come off again.
    Tape,
    /// May be handled and carried; glue out of clamps; adhesive holding.
    Handle,
    /// A door or sash may close on it.
    Shut,
    /// Fully hard, may be loaded.
    Full,
}

impl Stage {
    /// All stages in order.
    pub const ALL: [Stage; 7] =
        [Stage::DustFree, Stage::Sand, Stage::Recoat, Stage::Tape, Stage::Handle, Stage::Shut, Stage::Full];
}

/// Hours to each stage in the product's reference air; an absent stage is never waited for.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Stages {
    pub dust_free: Option<f64>,
    pub sand: Option<f64>,
    pub recoat: Option<f64>,
    pub tape: Option<f64>,
    pub handle: Option<f64>,
    pub shut: Option<f64>,
    pub full: Option<f64>,
}

impl Stages {
    /// Hours to `stage`, if the product has it.
    pub fn hours(&self, stage: Stage) -> Option<f64> {
        match stage {
            Stage::DustFree => self.dust_free,
            Stage::Sand => self.sand,
            Stage::Recoat => self.recoat,
            Stage::Tape => self.tape,
            Stage::Handle => self.handle,
            Stage::Shut => self.shut,
            Stage::Full => self.full,
        }
    }
}

/// Something that must dry or harden.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Product {
    pub id: String,
    pub name: String,
    pub law: Law,
    /// Reference air of the hours below: F and 0 to 1.
    #[serde(default = "ref_temp")]
    pub ref_temp_f: f64,
    #[serde(default = "ref_rh")]
    pub ref_rh: f64,
    pub hours: Stages,
    /// For [`Law::Setting`]: stages from `recoat` on (paint, tape, shut) need the water out and
    /// follow evaporation; dust-free, sand and handle follow the setting itself.
    #[serde(default)]
    pub then_dries: bool,
    /// No progress below this, F.
    #[serde(default)]
    pub least_temp_f: Option<f64>,
    /// No progress above this relative humidity, 0 to 1.
    #[serde(default)]
    pub most_rh: Option<f64>,
    /// No progress unless the air is at least this many F above its dew point.
    #[serde(default)]
    pub above_dew_f: Option<f64>,
    /// Open film or fresh caulk that dust would spoil until dust-free.
    #[serde(default)]
    pub wet_to_dust: bool,
    /// A skim coat: adds humidity to a closed room for 12 h after its end.
    #[serde(default)]
    pub damps_room: bool,
    #[serde(default)]
    pub tag: Tag,
    #[serde(default)]
    pub source: String,
}

fn ref_temp() -> f64 {
    77.0
}
fn ref_rh() -> f64 {
    0.5
}

impl Product {
    /// The law the given stage follows.
    pub fn law_of(&self, stage: Stage) -> Law {
        let early = matches!(stage, Stage::DustFree | Stage::Sand | Stage::Handle);
        if self.law == Law::Setting && self.then_dries && !early { Law::Evaporating } else { self.law }
    }

    /// Speed of this product towards `stage` in the given air, 1 in its reference air, 0
    /// where its limits forbid progress.
    pub fn speed(&self, stage: Stage, air: crate::clock::Air) -> f64 {
        if !self.dries_in(air) {
            return 0.0;
        }
        self.law_of(stage).speed(air.temp_f, air.rh(), self.ref_temp_f, self.ref_rh)
    }

    /// Whether the product's limits allow it in this air.
    pub fn dries_in(&self, air: crate::clock::Air) -> bool {
        // A hair of tolerance so that a limit met exactly counts as met after unit changes.
        let e = 1e-9;
        self.least_temp_f.is_none_or(|t| air.temp_f >= t - e)
            && self.most_rh.is_none_or(|h| air.rh() <= h + e)
            && self.above_dew_f.is_none_or(|d| air.temp_f - air.dew_f >= d - e)
    }
}

mod extras;
mod material;
mod recipe;
mod risks;
mod sets;
mod tables;
mod tables_type;
mod words;

pub use extras::*;
pub use material::*;
pub use recipe::*;
pub use risks::*;
pub use sets::*;
pub use tables::*;
pub use tables_type::Tables;
pub use words::*;
