//! Orders tried by dispatch: a short honest order, and how much shorter any could be.

pub mod bound;
pub mod breed;
mod crew;
mod deadlines;
mod energy;
mod exact;
mod gaps;
mod habits;
mod hands;
mod improve;
pub mod islands;
mod keep;
mod machine;
pub mod needs;
pub mod pools;
mod relaxed;
mod steady;

pub use bound::{Bound, bound};
pub use exact::{Exact, exact};
pub use improve::{Found, Proven, Tried, budget, gap, orders, orders_from, search, steadiest_of, steady};
pub use keep::{holds, keep, kept, place_missing};
