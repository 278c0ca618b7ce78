//! The words shared by recipes and jobs: parts of a room, links, flags, schemes.

use serde::{Deserialize, Serialize};

/// Which part of the room.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    Ceiling,
    Crown,
    #[default]
    Walls,
    Openings,
    Panels,
    Base,
    /// The whole room: protection, gates, finishing of all its trim, hand-back.
    Room,
}

/// How a duration is spread.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Scheme {
    /// Low / typical / high = 1 in 10 quicker, half, 1 in 10 slower.
    #[default]
    Split,
    /// Least, most likely, most of a beta-PERT.
    BetaPert,
    /// Least, most likely, most of a triangle.
    Triangular,
    /// One value.
    Fixed,
}

/// What a step does to its surroundings and how it may be interrupted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(default)]
pub struct Flags {
    /// A piece, once begun, is finished before a long pause.
    pub one_go: bool,
    /// May be dropped at any time for a more urgent step.
    pub set_down: bool,
    pub dusty: bool,
    pub noisy: bool,
    /// Nobody else in the place from its begin until it is dust-free.
    pub closes: bool,
}

/// A product left by a step.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Leaves {
    /// Product id.
    pub product: String,
    /// Thickness against the product's reference coat; its times scale with it; 0 = not said = 1.
    pub thick: f64,
}

/// The four kinds of link.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LinkKind {
    /// Begins after the other is done.
    #[default]
    Fs,
    /// Begins after the other has begun.
    Ss,
    /// Ends after the other is done.
    Ff,
    /// Ends after the other has begun.
    Sf,
}

/// On or off.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Switch {
    #[default]
    On,
    Off,
}
