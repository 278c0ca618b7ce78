//! Comma-separated values: RFC 4180, with a head line, CRLF at every end, quotes where needed.
//!
//! A cell of the user's that a spreadsheet would take for a formula (it begins with `=`, `+`, `-`, `@`,
//! a tab or a line end) gets a single quote before it, as OWASP, "CSV Injection", advises; numbers of
//! the program's own stay numbers.

use crate::views::{Cell, Table};

/// The table as text.
pub fn csv(table: &Table) -> String {
    let mut out = line(table.head.iter().map(|h| quoted(h)));
    for row in &table.rows {
        out += &line(row.iter().map(|c| match c {
            Cell::Text(t) => quoted(&defused(t)),
            Cell::Number(n) => quoted(n),
        }));
    }
    out
}

fn line(cells: impl Iterator<Item = String>) -> String {
    cells.collect::<Vec<_>>().join(",") + "\r\n"
}

fn defused(text: &str) -> String {
    // A spreadsheet may pass over blanks before it looks.
    // What is left out below hides nothing here.
    let text = &text.replace('\0', "");
    let first = text.trim_start_matches(' ').chars().next();
    match first {
        Some('=' | '+' | '-' | '@' | '\t' | '\r' | '\n' | '＝' | '＋' | '－' | '＠') => format!("'{text}"),
        _ => text.to_string(),
    }
}

fn quoted(text: &str) -> String {
    // NUL ends a text for many readers.
    let text = text.replace('\0', "");
    if text.contains(['"', ',', '\r', '\n', '\'']) || text.starts_with(' ') || text.ends_with(' ') {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_that_would_be_run_are_defused_byte_for_byte() {
        let one = |t: &str| csv(&Table { head: vec!["a"], rows: vec![vec![Cell::Text(t.into())]] });
        for (text, want) in [
            ("plain", "a\r\nplain\r\n"),
            ("=1+1", "a\r\n\"'=1+1\"\r\n"),
            ("+1", "a\r\n\"'+1\"\r\n"),
            ("-1", "a\r\n\"'-1\"\r\n"),
            ("@A1", "a\r\n\"'@A1\"\r\n"),
            ("\t=1", "a\r\n\"'\t=1\"\r\n"),
            ("\r=1", "a\r\n\"'\r=1\"\r\n"),
            ("  =1", "a\r\n\"'  =1\"\r\n"),
            ("\0=1", "a\r\n\"'=1\"\r\n"),
            ("a,b", "a\r\n\"a,b\"\r\n"),
            ("say \"x\"", "a\r\n\"say \"\"x\"\"\"\r\n"),
            ("two\nlines", "a\r\n\"two\nlines\"\r\n"),
            ("11' 6\"", "a\r\n\"11' 6\"\"\"\r\n"),
            ("", "a\r\n\r\n"),
        ] {
            assert_eq!(one(text), want, "{text:?}");
        }
    }

    #[test]
    fn numbers_stay_numbers() {
        let t = Table { head: vec!["n", "t"], rows: vec![vec![Cell::Number("-1.50".into()), Cell::Text("x".into())]] };
        assert_eq!(csv(&t), "n,t\r\n-1.50,x\r\n");
    }
}
