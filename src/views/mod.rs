//! Figures, rows, texts and JSON values of the desk's answers: data first, words last.
//!
//! Pure: a view reads a job, a plan or a forecast and never changes one. Times are local,
//! days of the job's calendar; JSON times are `YYYY-MM-DDTHH:MM`. It refuses to know files,
//! screens and terminals.

mod cautions;
mod chance;
mod dates;
mod days;
mod forecast;
mod forecast_text;
mod holds;
mod plan;
mod plan_text;
mod problems;
mod study;
mod takeoff;

pub use cautions::{cautions, cautions_text};
pub use chance::chance_words;
pub use dates::{Almanac, iso, iso_day};
pub use days::{Portion, portions, trip_minutes, working_days};
pub use forecast::{ForecastView, causes_words, forecast_json};
pub use forecast_text::forecast_text;
pub use holds::{Why, reason_word, sentence, stretches_text, why};
pub use plan::{Offer, PlanView, StepRow, plan_json};
pub use plan_text::plan_text;
pub use problems::{problems_json, problems_text, syntax_json, syntax_text};
pub use study::{cpm_json, cpm_text, units};
pub use takeoff::{RoomRows, TakeoffRow, takeoff_json, takeoff_rows, takeoff_text};

/// A value with its unit and where it comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    pub value: f64,
    pub unit: &'static str,
    pub why: String,
}
