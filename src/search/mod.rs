//! The shortest honest order: bounds on what any order can reach.

pub mod bound;
mod hands;
mod relaxed;

pub use bound::{Bound, bound};
