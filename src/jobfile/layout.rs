//! Values as written: short ones on one line, long ones broken and indented.

/// A written value.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Doc {
    Atom(String),
    List(Vec<Doc>),
    Tuple(Vec<Doc>),
    Record(Vec<(&'static str, Doc)>),
    /// `word(value)`.
    Call(&'static str, Box<Doc>),
}

/// Longest line aimed at, characters.
const WIDTH: usize = 100;
const INDENT: usize = 4;

impl Doc {
    /// A text in quotation marks.
    pub fn text(s: &str) -> Doc {
        let mut out = String::from("\"");
        for c in s.chars() {
            match c {
                '"' => out.push_str("\\\""),
                '\\' => out.push_str("\\\\"),
                '\n' => out.push_str("\\n"),
                '\r' => out.push_str("\\r"),
                '\t' => out.push_str("\\t"),
                c if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | '\u{FEFF}') => {
                    out.push_str(&format!("\\u{{{:X}}}", c as u32));
                }
                c => out.push(c),
            }
        }
        out.push('"');
        Doc::Atom(out)
    }

    fn flat(&self) -> String {
        let join = |items: &[Doc]| items.iter().map(Doc::flat).collect::<Vec<_>>().join(", ");
        match self {
            Doc::Atom(s) => s.clone(),
            Doc::List(items) => format!("[{}]", join(items)),
            Doc::Tuple(items) => format!("({})", join(items)),
            Doc::Record(fields) => {
                let parts: Vec<String> = fields.iter().map(|(n, d)| format!("{n}: {}", d.flat())).collect();
                format!("({})", parts.join(", "))
            }
            Doc::Call(word, value) => format!("{word}({})", value.flat()),
        }
    }

    /// Writes it behind `used` characters of a line at `depth`.
    fn put(&self, out: &mut String, depth: usize, used: usize) {
        let flat = self.flat();
        if depth > 0 && used + flat.chars().count() < WIDTH {
            out.push_str(&flat);
            return;
        }
        let pad = " ".repeat(INDENT * (depth + 1));
        let mut broken = |open: &str, close: &str, items: Vec<(String, &Doc)>| {
            out.push_str(open);
            out.push('\n');
            for (head, item) in items {
                out.push_str(&pad);
                out.push_str(&head);
                item.put(out, depth + 1, pad.len() + head.chars().count());
                out.push_str(",\n");
            }
            out.push_str(&" ".repeat(INDENT * depth));
            out.push_str(close);
        };
        match self {
            Doc::List(items) if !items.is_empty() => {
                broken("[", "]", items.iter().map(|d| (String::new(), d)).collect());
            }
            Doc::Record(fields) if !fields.is_empty() => {
                broken("(", ")", fields.iter().map(|(n, d)| (format!("{n}: "), d)).collect());
            }
            // Tuples and calls are short by nature; a long text in one stays on its line.
            _ => out.push_str(&flat),
        }
    }

    /// The whole file.
    pub fn file(&self) -> String {
        let mut out = String::new();
        self.put(&mut out, 0, 0);
        out.push('\n');
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_on_one_line_long_broken() {
        let point = Doc::Record(vec![("x", Doc::Atom("1".into())), ("y", Doc::text("a\"b\n"))]);
        let long = Doc::List(vec![point.clone(); 5]);
        let call = Doc::Call("at", Box::new(point.clone()));
        let doc = Doc::Record(vec![("p", point), ("many", long), ("none", Doc::List(vec![])), ("c", call)]);
        let want = r#"(
    p: (x: 1, y: "a\"b\n"),
    many: [
        (x: 1, y: "a\"b\n"),
        (x: 1, y: "a\"b\n"),
        (x: 1, y: "a\"b\n"),
        (x: 1, y: "a\"b\n"),
        (x: 1, y: "a\"b\n"),
    ],
    none: [],
    c: at((x: 1, y: "a\"b\n")),
)
"#;
        assert_eq!(doc.file(), want);
    }
}
