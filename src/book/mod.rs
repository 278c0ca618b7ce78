//! A tradesman's own book: the rates and recipes he keeps, and what his jobs have taught about
//! his rates.
//!
//! It works on plain figures and knows no job: when one closes, its finished steps give one
//! rate a row, and the rows learn from those.

mod closed;
mod learned;
mod own;
mod student;

pub use closed::{ClosedJob, Said, Seen, far_outside, workdays};
pub use learned::{KnownSpread, Learned, Triple, job_rate, next_typical};
pub use own::{Book, FORMAT, as_done, own_id, same_hours, without};
pub use student::quantile as student_quantile;
