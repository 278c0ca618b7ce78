//! Orders tried by dispatch: a short honest order, and how much shorter any could be.

pub mod bound;
mod hands;
mod improve;
mod keep;
mod machine;
mod relaxed;

pub use bound::{Bound, bound};
pub use improve::{Found, Proven, gap, search};
pub use keep::{holds, keep, kept, place_missing};
