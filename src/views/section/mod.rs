//! The room section: the chart whose vertical axis is the room itself.
//!
//! Three steps, as for every drawing here: [`Model`] is what is drawn, as plain data read
//! from a job, its plan and its forecast; [`layout`] gives every part a position for one
//! [`Ask`] (size, zoom, selection) and decides nothing about colour; a painter paints the
//! [`Layout`] and decides nothing at all. Screen and paper share the first two.
//!
//! Units: instants are minutes as everywhere; lengths on the drawing are pixels at text
//! scale 1, from the top left of the section.

mod axis;
mod bands;
mod blocks;
mod frame;
mod layout;
#[cfg(test)]
mod layout_tests;
mod marks;
mod model;
#[cfg(test)]
mod model_tests;
mod pack;
mod part;
mod ribbon;
mod room;
mod shapes;
mod why;

pub use axis::{Axis, DayMark, Hours, Night, Scale};
pub use blocks::usable;
pub use layout::{Ask, layout};
pub use model::*;
pub use shapes::*;
