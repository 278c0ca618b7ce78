//! What chance has made of the plan: spread of durations, streams of chance, lost days,
//! precision of what is counted.
//!
//! Everything here is a function of (seed, id, event, trial): the same answer for any number
//! of threads, for any number of trials after it, on any machine (`exp`, `ln`, `pow` through
//! `libm`). Methods and sources: `docs/methods.md`.

mod beta;
pub mod chain;
pub mod columns;
pub mod conditioned;
pub mod draws;
pub mod hours;
pub mod known;
pub mod normal;
pub mod posterior;
pub mod quantile;
pub mod scores;
pub mod stats;
mod acting;
mod answers;
mod trial;
pub mod world;

pub use acting::{Acting, CauseKind};
pub use answers::{Cause, Forecast, last_day};
pub use trial::{Options, begins, ends, finishes, forecast, grow};
