//! Graph, clocks, crew and places to a plan: start rules, dispatch, verification, float and
//! what holds the date.
//!
//! Every minute here is an instant from midnight of the job's first day, or labor minutes
//! where a name says labor.

pub mod plan;
pub mod setting;
pub mod sound;
pub mod verify;

pub use plan::*;
pub use setting::*;
pub use sound::sound;
pub use verify::{Fault, FaultKind, verify};
