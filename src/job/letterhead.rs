//! Who does the work and for whom, as papers say it above their title; the quote's number, and how long it holds.
//!
//! Free lines: name, address, phone, licence as the user writes them. Nothing is printed where nothing is set.

use serde::{Deserialize, Serialize};

/// Lines one side of a letterhead may have.
pub const MOST_LINES: usize = 8;

/// The head of papers.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Letterhead {
    /// Who does the work: name, address, phone, licence, a line each, at most [`MOST_LINES`].
    pub from: Vec<String>,
    /// The client's address, a line each, at most [`MOST_LINES`].
    pub to: Vec<String>,
    /// The user's own number of the quote.
    pub number: String,
    /// Days a quote holds from the day it is given, 1 to 365; none where that is not said.
    pub valid_days: Option<u32>,
}
