//! Classical critical path method.
