//! Rooms as measured: walls, openings, boxes, surfaces and the recipe chosen for each.

use serde::{Deserialize, Serialize};

use crate::measure::Length;
pub use crate::trade::Part;

/// A room: a closed run of walls, openings on them, surfaces to be finished.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Room {
    /// Short id, part of every step id; made from the name where left out.
    pub id: String,
    pub name: String,
    /// The place the room's work is done in.
    pub place: String,
    /// Shorthand for a rectangular room; then `walls` is empty.
    pub size: Option<Size>,
    /// The run of walls, clockwise seen from above.
    pub walls: Vec<Wall>,
    pub openings: Vec<Opening>,
    /// Electrical boxes on the walls.
    pub boxes: Vec<Boxes>,
    /// Holes to patch.
    pub holes: u32,
    /// Feet of crack to tape or hollow plaster to re-fix.
    pub cracks: Length,
    pub surfaces: Vec<Surface>,
    /// Days on which the client can walk through; the punch list waits for one.
    pub walk_through: Vec<super::Window>,
}

/// A rectangular room.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Size {
    pub length: Length,
    pub width: Length,
    pub height: Length,
}

/// One wall of the run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Wall {
    #[serde(default)]
    pub name: String,
    pub length: Length,
    pub height: Length,
    /// Turn at its far corner, degrees: 90 an inside corner, -90 an outside one; a closed
    /// run sums to 360.
    #[serde(default = "quarter")]
    pub turn: f64,
}

fn quarter() -> f64 {
    90.0
}

/// Door, window or a plain hole.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum OpeningKind {
    #[default]
    Door,
    Window,
    /// Cased or plain opening without a slab.
    Cased,
}

/// An opening in a wall.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Opening {
    #[serde(default)]
    pub kind: OpeningKind,
    #[serde(default)]
    pub name: String,
    /// Which wall, 1 = the first.
    #[serde(default = "first_wall")]
    pub wall: usize,
    pub width: Length,
    pub height: Length,
    /// Sill height above the floor; 0 for doors. Windows without one: head at 80 in.
    #[serde(default)]
    pub sill: Option<Length>,
    /// Distance from the wall's near corner to the opening, if measured.
    #[serde(default)]
    pub from_corner: Option<Length>,
    /// Casing width; 3-1/2 in unless said, 0 = none.
    #[serde(default)]
    pub casing: Option<Length>,
    /// How many alike.
    #[serde(default = "one")]
    pub count: u32,
}

fn first_wall() -> usize {
    1
}
fn one() -> u32 {
    1
}

/// Electrical boxes on a wall.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Boxes {
    #[serde(default = "first_wall")]
    pub wall: usize,
    pub count: u32,
}

/// A surface and how it gets its finish.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Surface {
    /// Short id, part of every step id; the part's word where left out.
    pub id: String,
    pub name: String,
    pub part: Part,
    /// Recipe id.
    pub recipe: String,
    /// Fixed methods `(choice, option)`; a choice left out is searched.
    pub methods: Vec<(String, String)>,
    /// Walls it covers, 1 = the first; all when empty.
    pub walls: Vec<usize>,
    /// Height of panels or wainscot above the floor.
    pub height: Option<Length>,
    /// Number of panels, where it matters; else by the rule of the take-off.
    pub panels: Option<u32>,
    /// Difficulty of this surface, 0.5 to 1.8, beside the house's own factors.
    pub difficulty: Option<f64>,
    /// Changed or dropped steps of the recipe.
    pub changes: Vec<Change>,
}

/// A change to one step of a recipe.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Change {
    /// Id of the recipe's step.
    pub step: String,
    pub skip: bool,
    /// Hours low / typical / high instead of quantity times rate.
    pub hours: Option<(f64, f64, f64)>,
    /// Another product.
    pub product: Option<String>,
    /// Done after the hand-over: no part of the plan.
    pub later: bool,
}
