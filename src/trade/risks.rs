//! The causes of lateness with their chances, each with a switch.
//!
//! Defaults are judgement (no source) unless a row of `assets/trade` says otherwise.

use serde::{Deserialize, Serialize};

use super::Switch;

/// All causes of lateness.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Risks {
    /// Hours run long or short.
    pub hours: Switch,
    /// Factor on both sigmas of rows without ten jobs of history.
    pub widening: f64,
    /// Weights of the shared causes, squares summing to at most 1.
    pub pace_weight: f64,
    pub trade_weight: f64,
    pub house_weight: f64,
    /// Drying slower or faster than the table.
    pub drying: Switch,
    /// Log-sd of a place's season, of a day, of a product.
    pub season_sd: f64,
    pub day_sd: f64,
    pub product_sd: f64,
    /// Days lost to illness.
    pub lost_days: Switch,
    /// Share of workdays lost; 0.05 with small children. None = by the house.
    pub lost_rate: Option<f64>,
    /// Mean spell, workdays.
    pub lost_spell: f64,
    /// A late start of 1.5 to 2 h on a day.
    pub holes: Switch,
    pub hole_chance: f64,
    /// The room or the client is not available on a day.
    pub unavailable: Switch,
    pub unavailable_chance: f64,
    /// The job before this one overruns.
    pub job_before: Switch,
    /// Quantiles `(chance up to, workdays)`, linear between.
    pub overrun: Vec<(f64, f64)>,
    /// Something to redo.
    pub redo: Switch,
    pub redos: Vec<RedoRow>,
    /// Found on opening up.
    pub surprises: Switch,
    pub surprise_rows: Vec<SurpriseRow>,
    /// Deliveries and decisions late.
    pub late: Switch,
    /// Work nobody listed: share of hours, low / typical / high. Off drops the step.
    pub unlisted: Switch,
    pub unlisted_share: (f64, f64, f64),
}

/// Part of a step to be done again.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct RedoRow {
    pub id: String,
    pub name: String,
    pub chance: f64,
    /// Share of the step's drawn hours.
    pub share: f64,
}

/// Work found on opening up, once a room.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SurpriseRow {
    pub id: String,
    pub name: String,
    pub chance: f64,
    pub hours: f64,
    /// The surprise needs this milestone's steps in the room to be possible.
    pub only_with: String,
    /// Steps of the room giving this milestone wait for it.
    pub before: String,
}

impl Default for Risks {
    fn default() -> Self {
        let redo = |id: &str, name: &str, chance, share| RedoRow { id: id.into(), name: name.into(), chance, share };
        let surprise = |id: &str, name: &str, chance, hours, only: &str, before: &str| SurpriseRow {
            id: id.into(),
            name: name.into(),
            chance,
            hours,
            only_with: only.into(),
            before: before.into(),
        };
        Risks {
            hours: Switch::On,
            widening: 1.24,
            pace_weight: 0.55,
            trade_weight: 0.25,
            house_weight: 0.4,
            drying: Switch::On,
            season_sd: 0.15,
            day_sd: 0.10,
            product_sd: 0.15,
            lost_days: Switch::On,
            lost_rate: None,
            lost_spell: 3.0,
            holes: Switch::On,
            hole_chance: 0.12,
            unavailable: Switch::On,
            unavailable_chance: 0.02,
            job_before: Switch::On,
            overrun: vec![(0.3, 0.0), (0.5, 1.0), (0.9, 5.0), (1.0, 8.0)],
            redo: Switch::On,
            redos: vec![
                redo("spray", "sprayed face again", 0.10, 0.3),
                redo("skim", "skim coat again", 0.15, 0.25),
                redo("miscut", "long piece miscut", 0.08, 0.1),
                redo("panel", "a panel to remake", 0.03, 0.2),
            ],
            surprises: Switch::On,
            surprise_rows: vec![
                surprise("plaster", "loose plaster", 0.15, 6.0, "patched", "patched"),
                surprise("jamb", "rotten jamb", 0.05, 4.0, "casing-hung", "casing-hung"),
                surprise("backing", "no crown backing", 0.30, 2.0, "crown-hung", "crown-hung"),
            ],
            late: Switch::On,
            unlisted: Switch::On,
            unlisted_share: (0.03, 0.08, 0.18),
        }
    }
}
