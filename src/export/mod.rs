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
mod svg;
#[cfg(feature = "papers")]
mod tree;

#[cfg(feature = "papers")]
pub use self::png::png;
pub use csv::csv;
pub use ical::ical;
#[cfg(feature = "papers")]
pub use pdf::pdf;
pub use svg::svg;
