//! What is wrong with a job: where, what, and what to do.

/// One problem of a job. `path` is the field it stands at, `rooms[0].surfaces[2].recipe`;
/// the job file maps it to a line and column.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Problem {
    pub path: String,
    /// What is wrong, one sentence without a full stop.
    pub what: String,
    /// What to do about it, one sentence without a full stop.
    pub remedy: String,
}

impl Problem {
    /// A problem at a field path.
    pub fn new(path: impl Into<String>, what: impl Into<String>, remedy: impl Into<String>) -> Problem {
        Problem { path: path.into(), what: what.into(), remedy: remedy.into() }
    }
}
