//! Orders tried by dispatch: a short honest order, and how much shorter any could be.

pub mod bound;
mod improve;
mod keep;
mod relaxed;

pub use bound::{Bound, bound};
pub use improve::{Found, Proven, search};
pub use keep::{keep, kept};
