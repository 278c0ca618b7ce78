//! Files for others: pages as SVG, PDF and PNG, days as iCalendar, tables as CSV. Data in, bytes out.
//!
//! Each writer follows its published standard and takes any text: what a format gives a meaning is
//! escaped, what it forbids is left out. It refuses to know disks and jobs; `store` writes what comes
//! out of it.

mod csv;
mod ical;
#[cfg(feature = "papers")]
mod pdf;
#[cfg(feature = "papers")]
mod png;
#[cfg(feature = "papers")]
mod settled;
mod svg;
#[cfg(feature = "papers")]
mod tree;

#[cfg(feature = "papers")]
pub use self::png::png;
pub use csv::csv;
pub use ical::ical;
#[cfg(feature = "papers")]
pub use pdf::pdf;
pub use svg::{colour, svg};

use crate::views::paper::Page;

/// Endings of the kinds of file a paper can be.
#[cfg(feature = "papers")]
pub const ENDINGS: &[&str] = &["pdf", "png", "svg"];
#[cfg(not(feature = "papers"))]
pub const ENDINGS: &[&str] = &["svg"];

/// Pages as the bytes of files of this ending: one file, or a file a page.
///
/// # Errors
/// What a writer cannot do with a page, in words.
pub fn papers(pages: &[Page], title: &str, ending: &str) -> Result<Vec<Vec<u8>>, String> {
    match ending {
        #[cfg(feature = "papers")]
        "pdf" => Ok(vec![pdf(pages, title)?]),
        #[cfg(feature = "papers")]
        "png" => pages.iter().map(|p| png(p, title)).collect(),
        _ => Ok(pages.iter().map(|p| svg(p, title).into_bytes()).collect()),
    }
}
