//! Lengths (placeholder until the measures land).
use serde::{Deserialize, Serialize};

/// A length, in units of 25 nanometres: 1 in = 1,016,000, 1 mm = 40,000.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Length(pub i64);
