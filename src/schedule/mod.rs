//! Graph, clocks, crew and places to a plan: start rules, dispatch, verification, float and
//! what holds the date.
//!
//! Every minute here is an instant from midnight of the job's first day, or labor minutes
//! where a name says labor.

mod chalk;
mod dispatch;
mod drying;
mod flat;
mod float;
mod hours;
mod instants;
mod net;
mod people;
mod plan;
mod replay;
mod setting;
mod sound;
mod start;
mod state;
pub mod verify;
mod world;

pub use chalk::*;
pub use dispatch::*;
pub use drying::ready_at;
pub use flat::Prepared;
pub use float::{Frozen, LONGEST, floats};
pub use hours::*;
pub use net::*;
pub use plan::*;
pub use setting::*;
pub use sound::{longest_piece, sound};
pub use start::window_open;
pub use state::*;
pub use verify::{Fault, FaultKind, verify};
pub use world::*;
