//! Float in the frozen sequence.

use super::{Net, Plan};

/// Per step of the graph: the most working minutes its begin can move with the last finish
/// unchanged, in the frozen sequence; `None` for steps not planned.
pub fn floats(_net: &Net, _plan: &Plan) -> Vec<Option<i64>> {
    Vec::new()
}
