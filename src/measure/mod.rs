//! Lengths, areas, labor hours and money: newtypes that read and write themselves.
//!
//! A [`Length`] counts units of 25 nm, so that both 1/64 in and 1 mm are whole numbers of
//! it; reading and writing lose nothing. Lengths read as carpenters write them, in feet and
//! inches or metric, and print in one [`Style`]. Printed parts are apportioned so that they
//! add up to the printed total.
//!
//! It refuses to know any job, room or default unit: a bare number means something only
//! where the caller says what ([`Length::parse_with`]).

mod figures;
mod length;
mod parts;
mod read;

pub use figures::{Area, LaborHours, Money};
pub use length::Length;
pub use parts::{apportion, print_areas, print_hours, print_lengths};
pub use read::{BadLength, Unit};

/// How figures are printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Style {
    /// Feet and inches to the sixteenth, square feet.
    #[default]
    FeetInches,
    /// Metres and millimetres, square metres.
    Metric,
}
