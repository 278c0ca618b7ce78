//! Take-off: rooms to quantities, each with its formula as data.
//!
//! Answers how many square feet, feet and pieces a recipe's rates are multiplied with. Rules
//! (common practice, no source): a window does not break the base; an opening breaks a run
//! only at the heights it covers, its casing included; no skim or finish paint behind panels;
//! labor counts openings under 32 SF as wall, material never does.
//!
//! Units: square feet, feet, counts (`f64`), whatever style the job writes its lengths in.
//! It refuses to know rates, products and dates.

mod outline;
mod room;
mod stretches;
mod surface;

use crate::job::{Job, Problem};
use crate::measure::Length;
use crate::trade::Unit;

pub use outline::{Corner, Outline};
pub use room::room;
pub use stretches::{Cased, End, MOST_ALIKE, PanelRow, Stretch, cased, panel_rows, shared_out, stretches};
pub use surface::{CASING, HEAD};

/// An opening of at least this area is no wall for labor either, SF.
pub const BIG_OPENING_SF: f64 = 32.0;

/// One factor of a formula.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Factor {
    Length(Length),
    /// Square feet.
    Area(f64),
    Number(f64),
}

impl Factor {
    /// Feet, square feet or the number.
    pub fn value(self) -> f64 {
        match self {
            Factor::Length(l) => l.feet(),
            Factor::Area(a) => a,
            Factor::Number(n) => n,
        }
    }
}

/// One signed product of a formula; a quantity is the sum of its shares.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// What it counts: `wall 1`, `less door`.
    pub what: String,
    /// Taken off instead of added.
    pub less: bool,
    pub factors: Vec<Factor>,
}

impl Share {
    /// Signed value.
    pub fn value(&self) -> f64 {
        let v: f64 = self.factors.iter().map(|f| f.value()).product();
        if self.less { -v } else { v }
    }
}

/// A quantity of the take-off with its formula.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    pub id: String,
    pub name: String,
    pub unit: Unit,
    pub value: f64,
    pub formula: Vec<Share>,
}

/// Where a run stretches along a wall, or how much of a plane is worked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// Index of the wall.
    pub wall: usize,
    /// SF for walls and panels, feet for runs.
    pub amount: f64,
}

/// Quantities of one surface.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SurfaceTakeoff {
    pub surface: String,
    pub quantities: Vec<Quantity>,
    /// What is done wall by wall; the pieces of its coats.
    pub planes: Vec<Plane>,
}

/// Quantities of one room.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RoomTakeoff {
    pub room: String,
    pub quantities: Vec<Quantity>,
    /// In the order of the room's surfaces.
    pub surfaces: Vec<SurfaceTakeoff>,
}

impl RoomTakeoff {
    /// Quantity of the room.
    pub fn get(&self, id: &str) -> Option<&Quantity> {
        self.quantities.iter().find(|q| q.id == id)
    }
    /// Quantity of a surface (by its place in the list), else of the room.
    pub fn of_surface(&self, surface: usize, id: &str) -> Option<&Quantity> {
        self.surfaces.get(surface).and_then(|s| s.quantities.iter().find(|q| q.id == id)).or_else(|| self.get(id))
    }
}

/// The whole job's take-off.
///
/// # Errors
/// Every fault of a measure, with its field path.
pub fn takeoff(job: &Job) -> Result<Vec<RoomTakeoff>, Vec<Problem>> {
    let mut problems = Vec::new();
    let rooms = (0..job.rooms.len()).map(|i| room(job, i, &mut problems)).collect();
    if problems.is_empty() { Ok(rooms) } else { Err(problems) }
}

/// A formula under construction.
#[derive(Default)]
struct Sum(Vec<Share>);

impl Sum {
    fn add(&mut self, what: impl Into<String>, factors: &[Factor]) {
        self.0.push(Share { what: what.into(), less: false, factors: factors.to_vec() });
    }
    fn less(&mut self, what: impl Into<String>, factors: &[Factor]) {
        self.0.push(Share { what: what.into(), less: true, factors: factors.to_vec() });
    }
    fn count(&mut self, what: impl Into<String>, n: f64) {
        self.add(what, &[Factor::Number(n)]);
    }
    fn value(&self) -> f64 {
        // Never below nothing: openings larger than their wall are a problem told elsewhere.
        self.0.iter().map(Share::value).sum::<f64>().max(0.0)
    }
    fn done(self, id: &str, name: &str, unit: Unit) -> Quantity {
        Quantity { id: id.into(), name: name.into(), unit, value: self.value(), formula: self.0 }
    }
}
