//! What is wrong with a job file, as lines and as JSON.

use serde_json::{Value, json};

use crate::jobfile::{Read, SyntaxError, locate};

/// One line a problem, `study.ron:12:7  what; remedy`, with a closing count.
pub fn problems_text(name: &str, read: &Read) -> String {
    let list = locate(&read.problems, &read.map);
    let mut out: String = list.iter().map(|l| format!("{name}:{l}\n")).collect();
    out += &match list.len() {
        0 => format!("{name}: no problems\n"),
        1 => format!("{name}: 1 problem; no plan until it is mended\n"),
        n => format!("{name}: {n} problems; no plan until they are mended\n"),
    };
    out
}

/// `[{line, col, path, what, remedy}]`.
pub fn problems_json(read: &Read) -> Value {
    let row = |l: &crate::jobfile::Located| {
        let p = &l.problem;
        json!({"line": l.line, "col": l.col, "path": p.path, "what": p.what, "remedy": p.remedy})
    };
    Value::Array(locate(&read.problems, &read.map).iter().map(row).collect())
}

/// The one line of a text that is no job file.
pub fn syntax_text(name: &str, e: &SyntaxError) -> String {
    format!("{name}:{e}\n{name}: not a job file yet; mend this first, the rest is looked at then\n")
}

/// The same rows as [`problems_json`]: one problem of the whole text.
pub fn syntax_json(e: &SyntaxError) -> Value {
    let what = format!("expected {}, found {}", e.expected, e.found);
    json!([{"line": e.line, "col": e.col, "path": "", "what": what, "remedy": e.hint}])
}
