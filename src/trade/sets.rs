//! Whole-room sets: the usual recipes of a room, given in one choice.

use serde::{Deserialize, Serialize};

use super::Part;

/// The surfaces of a room with their usual recipes.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct RoomSet {
    pub id: String,
    /// As a carpenter would say it.
    pub name: String,
    pub surfaces: Vec<SetSurface>,
}

/// One surface of a set.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SetSurface {
    pub id: String,
    pub part: Part,
    /// Recipe id.
    pub recipe: String,
    /// Methods settled, `(choice, option)`; the others are searched.
    pub methods: Vec<(String, String)>,
    /// Height above the floor, inches, for panels.
    pub height_in: Option<f64>,
}
