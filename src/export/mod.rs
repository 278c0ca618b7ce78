//! Files for others: pages as SVG, days as iCalendar, tables as CSV. Data in, text out.
//!
//! Each writer follows its published standard and takes any text: what a format gives a meaning is
//! escaped, what it forbids is left out. It refuses to know disks and jobs; `store` writes what comes
//! out of it.

mod csv;
mod ical;
mod svg;

pub use csv::csv;
pub use ical::ical;
pub use svg::svg;

use crate::views::paper::Page;

/// Endings of the kinds of file a paper can be.
pub const ENDINGS: &[&str] = &["svg"];

/// Pages as files, a file a page.
pub fn papers(pages: &[Page], title: &str) -> Vec<String> {
    pages.iter().map(|p| svg(p, title)).collect()
}
