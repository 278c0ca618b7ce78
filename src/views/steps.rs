//! The next value of a field that is dragged or stepped by the arrows: numbers, lengths, degrees
//! and hours, each on a grid a person would type.

use crate::job::{Hm, Hours, Units};
use crate::measure::Length;

/// A number so many steps on, not below nothing: a step is a tenth of the size `of` has (of 12
/// it is 1, of 0.4 it is 0.01), on the grid of the steps.
pub fn stepped(of: f64, from: f64, by: i64) -> f64 {
    let size = if of.abs() < 1e-9 { 0.0 } else { libm::floor(libm::log10(of.abs())) };
    let step = libm::pow(10.0, (size - 1.0).clamp(-4.0, 3.0));
    // By whole steps, or the decimals of a step would show.
    let at = (from / step).round() + by as f64;
    let per = libm::pow(10.0, (1.0 - size).clamp(-3.0, 4.0));
    if per >= 1.0 { (at.max(0.0)) / per.round() } else { at.max(0.0) * step }
}

/// A length so many inches or centimetres on, at least one of them.
pub fn length_stepped(units: Units, from: Length, by: i64) -> Length {
    let unit = match units {
        Units::FeetInches => 1.0,
        Units::Metric => 1.0 / 2.54,
    };
    Length::from_inches(((from.inches() / unit).round() + by as f64).max(1.0) * unit)
}

/// A temperature so many degrees of the job on, in F.
pub fn degrees_stepped(units: Units, from: f64, by: i64) -> f64 {
    match units {
        Units::FeetInches => from.round() + by as f64,
        Units::Metric => (((from - 32.0) / 1.8).round() + by as f64) * 1.8 + 32.0,
    }
}

/// Hours of a day whose end is so many quarters of an hour later; none stays none.
pub fn hours_stepped(hours: Option<Hours>, by: i64) -> Option<Hours> {
    hours.map(|h| Hours { to: Hm((h.to.0 + 15 * by).clamp((h.from.0 + 15).min(24 * 60), 24 * 60)), ..h })
}
