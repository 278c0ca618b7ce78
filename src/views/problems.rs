//! What is wrong with a job file, as lines and as JSON.

use serde_json::{Value, json};

use crate::jobfile::{Located, Read, SyntaxError, locate};

/// One line a problem, `study.ron:12:7  what; remedy`, with a closing count.
pub fn problems_text(name: &str, read: &Read) -> String {
    let list = locate(&read.problems, &read.map);
    let mut out: String = list.iter().map(|l| format!("{name}:{l}\n")).collect();
    out += &format!("{name}: {}\n", problems_count(list.len()));
    out
}

/// How many there are, and what that means.
fn problems_count(n: usize) -> String {
    match n {
        0 => "no problems".into(),
        1 => "1 problem; no plan until it is mended".into(),
        n => format!("{n} problems; no plan until they are mended"),
    }
}

/// A problem with the line of the text it stands in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProblemRow {
    /// `12:7`, line and column from 1.
    pub place: String,
    /// The text of that line, without the blanks around it.
    pub line: String,
    pub what: String,
    pub remedy: String,
}

/// All problems of a text, and how many there are in words.
pub fn problem_rows(text: &str, read: &Read) -> (Vec<ProblemRow>, String) {
    let row = |l: &Located| ProblemRow {
        place: format!("{}:{}", l.line, l.col),
        line: line_of(text, l.line),
        what: l.problem.what.clone(),
        remedy: l.problem.remedy.clone(),
    };
    let rows: Vec<ProblemRow> = locate(&read.problems, &read.map).iter().map(row).collect();
    let count = problems_count(rows.len());
    (rows, count)
}

/// The one row of a text that is no job file, and what that means.
pub fn syntax_row(text: &str, e: &SyntaxError) -> (ProblemRow, &'static str) {
    let row = ProblemRow {
        place: format!("{}:{}", e.line, e.col),
        line: line_of(text, e.line),
        what: format!("expected {}, found {}", e.expected, e.found),
        remedy: e.hint.clone(),
    };
    (row, NOT_A_JOB_YET)
}

/// What the first fault of syntax means.
const NOT_A_JOB_YET: &str = "not a job file yet; mend this first, the rest is looked at then";

/// A line of a text, from 1, cut to a bearable length.
fn line_of(text: &str, line: usize) -> String {
    let whole = text.lines().nth(line.saturating_sub(1)).unwrap_or_default().trim();
    match whole.char_indices().nth(160) {
        Some((cut, _)) => format!("{}…", &whole[..cut]),
        None => whole.to_string(),
    }
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
    format!("{name}:{e}\n{name}: {NOT_A_JOB_YET}\n")
}

/// The same rows as [`problems_json`]: one problem of the whole text.
pub fn syntax_json(e: &SyntaxError) -> Value {
    let what = format!("expected {}, found {}", e.expected, e.found);
    json!([{"line": e.line, "col": e.col, "path": "", "what": what, "remedy": e.hint}])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_shows_the_line_it_speaks_of() {
        let text = "(\n    format: 1,\n    confidence: 7,\n)\n";
        let read = crate::jobfile::read(text, crate::trade::tables()).unwrap();
        let (rows, count) = problem_rows(text, &read);
        let row = rows.iter().find(|r| r.line == "confidence: 7,").expect("the line of the confidence");
        assert_eq!(row.place, "3:17");
        assert!(problems_text("x.ron", &read).ends_with(&format!("x.ron: {count}\n")));
        assert!(problems_text("x.ron", &read).contains(&format!("x.ron:3:17  {}; {}\n", row.what, row.remedy)));
        let broken = format!("(\n  name: {}", "x".repeat(300));
        let e = crate::jobfile::read(&broken, crate::trade::tables()).unwrap_err();
        let (row, words) = syntax_row(&broken, &e);
        assert_eq!(row.place, format!("{}:{}", e.line, e.col));
        assert!(row.line.chars().count() <= 161 && syntax_text("x", &e).contains(words));
    }
}
