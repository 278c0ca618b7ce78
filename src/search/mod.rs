//! Orders tried by dispatch: a short honest order, and how much shorter any could be.

pub mod bound;
mod deadlines;
mod exact;
mod hands;
mod improve;
mod keep;
mod machine;
mod relaxed;

pub use bound::{Bound, bound};
pub use exact::{Exact, exact};
pub use improve::{Found, Proven, gap, search};
pub use keep::{holds, keep, kept, place_missing};
