//! What happened, as it is written up and kept: days, and how the date has moved.

mod days;

pub use days::as_planned;
