//! Ways back to a date compared: what each wins in the same trials, what it costs, and which are
//! worth a closer look.
//!
//! Pure: nothing is planned or sampled here. A way is known by what it costs (whole cents), how
//! much chance it wins (a share of trials) and how many working days at the date 8 in 10 reach.
//! Which ways a job has, and how they are worked out, is told by `desk::ways_back`.

mod choose;
mod cost;
mod paired;

pub use choose::{Worth, best_for, closest, combinations, on_the_edge};
pub use cost::{CostLine, cents, total};
pub use paired::{days_won, gain, p80};
