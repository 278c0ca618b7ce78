//! That the window formats no numbers: figures come from `views` as words.
//!
//! A text scan knows no types, so it looks for what a number formatted in the window must look
//! like: a width, sign or precision in a format; an argument that counts, adds or converts; a
//! name that the same file declares as a number, or a name of one letter; `to_string` on one
//! of these. What is neither shown nor a figure is listed.

use std::collections::BTreeSet;

use super::source::{line, without_tests};

/// A piece of a line, and why it may stand.
const ALLOWED: &[(&str, &str)] = &[
    ("[{", "path of a field of the job, compared and never shown"),
    ("{e}", "an error in words"),
    ("e.to_string()", "an error in words"),
    ("{e:?}", "a library's own error, searched and never shown"),
    ("{key:?}", "an id of the drawing"),
    ("w.to_string()", "words"),
    ("{f}", "a file's name"),
];

/// Kinds of number a name may be declared as.
const NUMBERS: [&str; 11] = ["u8", "u16", "u32", "u64", "usize", "i32", "i64", "isize", "f32", "f64", "At"];

fn is_name(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// Names declared as numbers anywhere in a file: `n: usize`, and what `enumerate` counts.
fn numbers(text: &str) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for kind in NUMBERS {
        let mark = format!(": {kind}");
        for (at, _) in text.match_indices(&mark) {
            let after = text[at + mark.len()..].chars().next().unwrap_or(' ');
            let name: String =
                text[..at].chars().rev().take_while(|c| is_name(*c)).collect::<Vec<_>>().into_iter().rev().collect();
            if !is_name(after) && !name.is_empty() {
                out.insert(name);
            }
        }
    }
    for l in text.lines().filter(|l| l.contains(".enumerate()")) {
        let first = l.split("for (").nth(1).or_else(|| l.split("|(").nth(1));
        let name: String = first.unwrap_or("").chars().take_while(|c| is_name(*c)).collect();
        if !name.is_empty() {
            out.insert(name);
        }
    }
    out
}

/// The inside of the brackets that open at `from`.
fn inside(text: &str, from: usize) -> &str {
    let (mut depth, mut quoted, mut escaped) = (0, false, false);
    for (i, c) in text[from..].char_indices() {
        match c {
            _ if escaped => escaped = false,
            '\\' if quoted => escaped = true,
            '"' => quoted = !quoted,
            '(' | '[' | '{' if !quoted => depth += 1,
            ')' | ']' | '}' if !quoted => {
                depth -= 1;
                if depth == 0 {
                    return &text[from + 1..from + i];
                }
            }
            _ => {}
        }
    }
    ""
}

/// Whether an expression is a number by its looks.
fn counts(expr: &str, known: &BTreeSet<String>) -> bool {
    let e = expr.trim();
    let one_letter = e.len() == 1 && e.chars().all(|c| c.is_alphabetic());
    let sum = [" + ", " - ", " * ", " / "].iter().any(|o| e.contains(o)) && !e.contains('"');
    let plain = e.chars().all(|c| is_name(c) || c == '.' || c == '*' || c == '&');
    let last = e.trim_start_matches(['*', '&']).rsplit('.').next().unwrap_or("");
    one_letter
        || sum
        || e.ends_with(".len()")
        || e.ends_with(".count()")
        || e.contains(".round()")
        || [" as f", " as i", " as u"].iter().any(|c| e.contains(c))
        || e.starts_with(|c: char| c.is_ascii_digit())
        || (plain && known.contains(last))
}

/// Arguments of a call, cut at its commas.
fn arguments(text: &str) -> Vec<String> {
    let (mut depth, mut quoted, mut escaped) = (0, false, false);
    let mut out = vec![String::new()];
    for c in text.chars() {
        match c {
            _ if escaped => escaped = false,
            '\\' if quoted => escaped = true,
            '"' => quoted = !quoted,
            '(' | '[' | '{' if !quoted => depth += 1,
            ')' | ']' | '}' if !quoted => depth -= 1,
            ',' if !quoted && depth == 0 => {
                out.push(String::new());
                continue;
            }
            _ => {}
        }
        out.last_mut().unwrap().push(c);
    }
    out
}

/// The names and formats in the braces of a text.
fn holes(text: &str) -> Vec<&str> {
    let bare = text.split("{{").flat_map(|t| t.split("}}"));
    bare.flat_map(|t| t.split('{').skip(1).filter_map(|h| h.split('}').next())).collect()
}

/// What of a file under `src/ui` formats a number, a line each.
pub fn faults(name: &str, text: &str) -> Vec<String> {
    let mut code = without_tests(text);
    // Comments go, texts stay.
    code = code.lines().map(|l| if l.trim_start().starts_with("//") { "" } else { l }).collect::<Vec<_>>().join("\n");
    let known = numbers(&code);
    let mut out = Vec::new();
    let mut say = |at: usize, what: &str| {
        let all = code[..at].rfind('\n').map_or(0, |i| i + 1);
        let this = code[all..].lines().next().unwrap_or("");
        if !ALLOWED.iter().any(|(piece, _)| this.contains(piece)) {
            out.push(format!("{name}:{} {}: figures come from views as words ({what})", line(&code, at), this.trim()));
        }
    };
    for call in ["format!(", "write!(", "writeln!("] {
        for (at, _) in code.match_indices(call) {
            let args = arguments(inside(&code, at + call.len() - 1));
            let text = args.iter().position(|a| a.trim_start().starts_with('"'));
            let Some(text) = text else { continue };
            for hole in holes(&args[text]) {
                let (of, how) = hole.split_once(':').unwrap_or((hole, ""));
                if !how.is_empty() && how != "?" {
                    say(at, "a width or precision");
                } else if !of.is_empty() && counts(of, &known) {
                    say(at, of);
                }
            }
            args[text + 1..].iter().filter(|a| counts(a, &known)).for_each(|a| say(at, a.trim()));
        }
    }
    for kind in NUMBERS {
        for (at, _) in code.match_indices(&format!("{kind}::to_string")) {
            say(at, kind);
        }
    }
    for (at, _) in code.match_indices(".to_string()") {
        let of: Vec<char> = code[..at].chars().rev().take_while(|c| is_name(*c) || *c == '.').collect();
        let of: String = of.into_iter().rev().collect();
        let call = code[..at].ends_with("len()") || code[..at].ends_with("count()");
        if call || (!of.is_empty() && counts(of.trim_start_matches('.'), &known)) {
            say(at, &of);
        }
    }
    out
}

#[test]
fn a_number_formatted_is_found() {
    let wrong = [
        "fn f(hours: f64) { format!(\"{hours:.1} h\") }",
        "fn f(hours: f64) { format!(\"{hours} h\") }",
        "fn f(hours: f64) { format!(\"{} h\", hours) }",
        "fn f(x: &[u8]) { format!(\"and {} more\", list.len() - 4) }",
        "for (wall, w) in walls.iter().enumerate() { row(&format!(\"wall {}\", wall + 1)) }",
        "for (wall, w) in walls.iter().enumerate() { row(&format!(\"wall {wall}\")) }",
        "let t = |n: &u32| n.to_string();",
        "row(u32::to_string)",
        "label(list.len().to_string())",
        "label(format!(\"{} %\", (share * 100.0).round() as i64))",
        "write!(out, \"{}\", p.days_sooner as f32)",
    ];
    for w in wrong {
        assert_eq!(faults("x", w).len(), 1, "{w}: {:?}", faults("x", w));
    }
    let right = [
        "format!(\"{name}, {} of {of}\", p.name)",
        "format!(\"{{n}} {words}\")",
        "words.to_string(); \"a\".to_string()",
        "problems(ui, scene, &format!(\"steps[{i}]\"));",
        "Err(e) => self.fail(format!(\"not saved: {e}\"))",
    ];
    for r in right {
        assert_eq!(faults("x", r), Vec::<String>::new(), "{r}");
    }
}
