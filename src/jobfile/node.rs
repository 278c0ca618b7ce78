//! RON text to a tree of nodes, each with its place.
//!
//! What a job file may hold of RON: records, tuples, lists, maps, texts (raw ones too),
//! characters, numbers, words, `Some(..)`, comments and `#![enable(..)]` lines. Nothing is
//! known here of jobs. Reading stops at the first fault of syntax; nesting deeper than
//! [`DEEPEST`] is one, so that no text can exhaust the stack.

use super::SyntaxError;

/// Deepest nesting read.
pub(super) const DEEPEST: usize = 64;

/// A value and the byte it begins at.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Node {
    pub at: usize,
    pub kind: Kind,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) enum Kind {
    Bool(bool),
    Int(i128),
    Float(f64),
    Text(String),
    Char(char),
    Bytes,
    Word(String),
    List(Vec<Node>),
    /// `(a, b)`, `Name(a)`; also `()`.
    Tuple(Option<String>, Vec<Node>),
    /// `(a: 1)`, `Name(a: 1)`.
    Record(Option<String>, Vec<Entry>),
    Map,
}

/// A field of a record.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Entry {
    pub name: String,
    pub at: usize,
    pub value: Node,
}

impl Kind {
    /// What a person would call it.
    pub fn spoken(&self) -> String {
        match self {
            Kind::Bool(b) => format!("{b}"),
            Kind::Int(n) => format!("the number {n}"),
            Kind::Float(x) => format!("the number {x}"),
            Kind::Text(t) => format!("the text {:?}", short(t)),
            Kind::Char(c) => format!("the character {c:?}"),
            Kind::Bytes => "a byte text".to_string(),
            Kind::Word(w) => format!("the word {}", short(w)),
            Kind::List(_) => "a list".to_string(),
            Kind::Tuple(_, v) if v.is_empty() => "an empty ( )".to_string(),
            Kind::Tuple(..) => "values in ( )".to_string(),
            Kind::Record(..) => "fields in ( )".to_string(),
            Kind::Map => "a map in { }".to_string(),
        }
    }
}

/// At most 40 characters of a text.
pub(super) fn short(text: &str) -> String {
    if text.chars().count() <= 40 { text.to_string() } else { text.chars().take(37).collect::<String>() + "..." }
}

/// Parses a whole file.
///
/// # Errors
/// The first fault of syntax.
pub(super) fn parse(text: &str) -> Result<Node, SyntaxError> {
    let mut p = Parser { text, at: 0, depth: 0, comments: 0 };
    p.space()?;
    while p.eat('#') {
        p.attribute()?;
        p.space()?;
    }
    let start = p.at;
    let root = p.value()?;
    p.space()?;
    if p.peek() == Some(':') && matches!(root.kind, Kind::Word(_)) {
        return Err(p
            .fault_at(start, "`(` before the first field")
            .with("the whole job stands in parentheses: ( ... )"));
    }
    if p.peek().is_some() {
        return Err(p.fault("the end of the file"));
    }
    Ok(root)
}

/// Whether the text holds a comment. A text that cannot be read counts as having none.
pub(super) fn has_comments(text: &str) -> bool {
    let mut p = Parser { text, at: 0, depth: 0, comments: 0 };
    let mut read = || -> Result<(), SyntaxError> {
        p.space()?;
        while p.eat('#') {
            p.attribute()?;
            p.space()?;
        }
        p.value()?;
        p.space()
    };
    read().is_ok() && p.comments > 0
}

/// Where the reading stands.
pub(super) struct Parser<'a> {
    pub(super) text: &'a str,
    pub(super) at: usize,
    depth: usize,
    comments: usize,
}

pub(super) type Parsed<T> = Result<T, SyntaxError>;

impl<'a> Parser<'a> {
    pub(super) fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }
    pub(super) fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }
    pub(super) fn next(&mut self) -> Option<char> {
        let c = self.peek()?;
        self.at += c.len_utf8();
        Some(c)
    }
    pub(super) fn eat(&mut self, c: char) -> bool {
        let there = self.peek() == Some(c);
        if there {
            self.at += c.len_utf8();
        }
        there
    }

    fn fault(&self, expected: &str) -> SyntaxError {
        self.fault_at(self.at, expected)
    }

    pub(super) fn fault_at(&self, at: usize, expected: &str) -> SyntaxError {
        let rest = &self.text[at..];
        let found = match rest.chars().next() {
            None => "the end of the file".to_string(),
            Some(c) if is_word(c) || c == '-' || c == '+' => {
                let word: String = rest.chars().take_while(|&c| is_word(c) || "+-.".contains(c)).collect();
                format!("`{}`", short(&word))
            }
            Some(c) if c.is_control() => format!("`{}`", c.escape_debug()),
            Some(c) => format!("`{c}`"),
        };
        let (line, col) = super::place::line_col(self.text, at);
        SyntaxError { line, col, expected: expected.to_string(), found, hint: String::new() }
    }

    /// White space and comments.
    fn space(&mut self) -> Parsed<()> {
        loop {
            let rest = self.rest();
            let blank = |c: char| c.is_whitespace() || matches!(c, '\u{200E}' | '\u{200F}' | '\u{FEFF}');
            self.at += rest.len() - rest.trim_start_matches(blank).len();
            let rest = self.rest();
            if rest.starts_with("//") {
                self.comments += 1;
                self.at += rest.find('\n').unwrap_or(rest.len());
            } else if rest.starts_with("/*") {
                self.comments += 1;
                self.block_comment()?;
            } else {
                return Ok(());
            }
        }
    }

    fn block_comment(&mut self) -> Parsed<()> {
        let start = self.at;
        let mut level = 0usize;
        loop {
            let rest = self.rest();
            if rest.starts_with("/*") {
                level += 1;
                self.at += 2;
            } else if rest.starts_with("*/") {
                level -= 1;
                self.at += 2;
                if level == 0 {
                    return Ok(());
                }
            } else if self.next().is_none() {
                return Err(self.fault_at(start, "`*/` that ends this comment"));
            }
        }
    }

    /// `![enable(implicit_some, ...)]` behind its `#`.
    fn attribute(&mut self) -> Parsed<()> {
        const NAMES: [&str; 4] =
            ["implicit_some", "unwrap_newtypes", "unwrap_variant_newtypes", "explicit_struct_names"];
        for part in ["!", "[", "enable", "("] {
            self.space()?;
            if !self.rest().starts_with(part) {
                return Err(self.fault("`#![enable(implicit_some)]`"));
            }
            self.at += part.len();
        }
        loop {
            self.space()?;
            if self.eat(')') {
                break;
            }
            let at = self.at;
            let name = self.word()?;
            if !NAMES.contains(&name.as_str()) {
                return Err(self.fault_at(at, &format!("one of {}", NAMES.join(", "))));
            }
            self.space()?;
            if !self.eat(',') && self.peek() != Some(')') {
                return Err(self.fault("`,` or `)`"));
            }
        }
        self.space()?;
        if self.eat(']') { Ok(()) } else { Err(self.fault("`]`")) }
    }

    fn value(&mut self) -> Parsed<Node> {
        self.space()?;
        let at = self.at;
        let rest = self.rest();
        let kind = match self.peek() {
            Some('(') => self.group(None)?,
            Some('[') => Kind::List(self.list()?),
            Some('{') => {
                self.map()?;
                Kind::Map
            }
            Some('"') => Kind::Text(self.text(false)?),
            Some('\'') => Kind::Char(self.character()?),
            Some('r') if raw_text(&rest[1..]) => Kind::Text(self.raw(1)?),
            Some('b') if rest[1..].starts_with('"') => {
                self.at += 1;
                self.text(true)?;
                Kind::Bytes
            }
            Some('b') if rest.starts_with("br") && raw_text(&rest[2..]) => {
                self.raw(2)?;
                Kind::Bytes
            }
            Some(c) if c.is_ascii_digit() || matches!(c, '+' | '-' | '.') => self.number()?,
            Some(c) if is_word(c) || rest.starts_with("r#") => {
                let word = self.word()?;
                match word.as_str() {
                    "true" => Kind::Bool(true),
                    "false" => Kind::Bool(false),
                    "inf" | "inff32" | "inff64" => Kind::Float(f64::INFINITY),
                    "NaN" | "NaNf32" | "NaNf64" => Kind::Float(f64::NAN),
                    _ => {
                        let behind = self.at;
                        self.space()?;
                        if self.peek() == Some('(') {
                            self.group(Some(word))?
                        } else {
                            self.at = behind;
                            Kind::Word(word)
                        }
                    }
                }
            }
            _ => return Err(self.fault("a value")),
        };
        Ok(Node { at, kind })
    }

    pub(super) fn word(&mut self) -> Parsed<String> {
        if self.rest().starts_with("r#") {
            self.at += 2;
        }
        let len = self.rest().find(|c| !is_word(c)).unwrap_or(self.rest().len());
        if len == 0 || self.rest().starts_with(|c: char| c.is_ascii_digit()) {
            return Err(self.fault("a name"));
        }
        let word = self.rest()[..len].to_string();
        self.at += len;
        Ok(word)
    }

    fn deeper(&mut self) -> Parsed<()> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(self.fault(&format!("nesting no deeper than {DEEPEST}")));
        }
        Ok(())
    }

    fn unclosed(&self, open: usize, close: char, fields: bool) -> SyntaxError {
        let what = if fields { "`,` or" } else { "`,`, a value or" };
        let line = super::place::line_col(self.text, open).0;
        let bracket = &self.text[open..=open];
        let fault = self.fault(&format!("{what} `{close}` for the `{bracket}` of line {line}"));
        if self.peek() == Some('"') {
            return fault.with("inside a text write \\\" for an inch mark, or leave it out as in \"11'6\"");
        }
        fault
    }

    /// What stands between `(` and `)`.
    fn group(&mut self, name: Option<String>) -> Parsed<Kind> {
        let open = self.at;
        self.deeper()?;
        self.at += 1;
        self.space()?;
        let mut entries = Vec::new();
        let mut values = Vec::new();
        let record = self.field_ahead();
        loop {
            self.space()?;
            if self.eat(')') {
                break;
            }
            if self.peek().is_none() {
                return Err(self.unclosed(open, ')', true));
            }
            if record {
                let at = self.at;
                if !self.peek().is_some_and(|c| is_word(c) && !c.is_ascii_digit()) {
                    return Err(self.fault("a field name or `)`"));
                }
                let name = self.word()?;
                self.space()?;
                if !self.eat(':') {
                    return Err(self.fault(&format!("`:` behind the field name `{}`", short(&name))));
                }
                let value = self.value()?;
                entries.push(Entry { name, at, value });
            } else {
                values.push(self.value()?);
            }
            self.space()?;
            if !self.eat(',') && self.peek() != Some(')') {
                return Err(self.unclosed(open, ')', record || !values.is_empty()));
            }
        }
        self.depth -= 1;
        Ok(if record { Kind::Record(name, entries) } else { Kind::Tuple(name, values) })
    }

    fn field_ahead(&self) -> bool {
        let mut ahead = Parser { text: self.text, at: self.at, depth: 0, comments: 0 };
        ahead.peek().is_some_and(|c| is_word(c) || c == 'r')
            && ahead.word().is_ok()
            && ahead.space().is_ok()
            && ahead.peek() == Some(':')
    }

    fn list(&mut self) -> Parsed<Vec<Node>> {
        let open = self.at;
        self.deeper()?;
        self.at += 1;
        let mut values = Vec::new();
        loop {
            self.space()?;
            if self.eat(']') {
                self.depth -= 1;
                return Ok(values);
            }
            if self.peek().is_none() {
                return Err(self.unclosed(open, ']', true));
            }
            values.push(self.value()?);
            self.space()?;
            if !self.eat(',') && self.peek() != Some(']') {
                return Err(self.unclosed(open, ']', true));
            }
        }
    }

    fn map(&mut self) -> Parsed<()> {
        let open = self.at;
        self.deeper()?;
        self.at += 1;
        loop {
            self.space()?;
            if self.eat('}') {
                self.depth -= 1;
                return Ok(());
            }
            self.value()?;
            self.space()?;
            if !self.eat(':') {
                return Err(self.fault("`:`"));
            }
            self.value()?;
            self.space()?;
            if !self.eat(',') && self.peek() != Some('}') {
                return Err(self.unclosed(open, '}', true));
            }
        }
    }
}

pub(super) fn is_word(c: char) -> bool {
    c == '_' || c.is_alphanumeric()
}

fn raw_text(rest: &str) -> bool {
    rest.trim_start_matches('#').starts_with('"')
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn kind(text: &str) -> Kind {
        parse(text).unwrap_or_else(|e| panic!("{text}: {e}")).kind
    }

    #[test]
    fn values_of_every_kind() {
        assert_eq!(kind("/* a /* b */ */ 12 // c"), Kind::Int(12));
        assert_eq!(kind("-1_000"), Kind::Int(-1000));
        assert_eq!(kind("0xFFu8"), Kind::Int(255));
        assert_eq!(kind("1.5e-3f64"), Kind::Float(0.0015));
        assert_eq!(kind("-inf"), Kind::Float(f64::NEG_INFINITY));
        assert_eq!(kind(r#""a\"\u{BD}\x41\n""#), Kind::Text("a\"½A\n".into()));
        assert_eq!(kind("\"\\xC2\\xBD\""), Kind::Text("½".into()));
        assert_eq!(kind("r#\"11'6\"\"#"), Kind::Text("11'6\"".into()));
        assert_eq!(kind("'x'"), Kind::Char('x'));
        assert_eq!(kind("b\"\\xff\""), Kind::Bytes);
        assert_eq!(kind("{ 1: (2), \"a\": [3] }"), Kind::Map);
        assert_eq!(kind("#![enable(implicit_some)]\n#![enable(unwrap_newtypes,)] fs"), Kind::Word("fs".into()));
        assert_eq!(kind("()"), Kind::Tuple(None, vec![]));
        let Kind::Record(Some(name), entries) = kind("Job ( a: Some(1), r#b: [ ] , )") else { panic!() };
        assert_eq!((name.as_str(), entries.len(), entries[1].name.as_str()), ("Job", 2, "b"));
    }

    #[test]
    fn a_fault_names_its_place_and_what_was_expected() {
        for (text, want) in [
            ("(a: 1\n b: 2)", "2:2  expected `,` or `)` for the `(` of line 1, found `b`"),
            ("(a 1)", "1:4  expected `,` or `)` for the `(` of line 1, found `1`"),
            ("(a: 1, b 2)", "1:10  expected `:` behind the field name `b`, found `2`"),
            ("(a: )", "1:5  expected a value, found `)`"),
            ("[1, 2", "1:6  expected `,` or `]` for the `[` of line 1, found the end of the file"),
            ("(a: \"x)", "1:5  expected a closing `\"` for this text, found `\"`"),
            ("(a: 1) b", "1:8  expected the end of the file, found `b`"),
            (
                "format: 1,",
                "1:1  expected `(` before the first field, found `format`; the whole job stands in parentheses: ( ... )",
            ),
            (
                "(a: \"11'6\"\")",
                "1:11  expected `,` or `)` for the `(` of line 1, found `\"`; inside a text write \\\" for an inch mark, or leave it out as in \"11'6\"",
            ),
            ("/* x", "1:1  expected `*/` that ends this comment, found `/`"),
            ("1.2.3", "1:1  expected a number such as 12 or 0.5, found `1.2.3`"),
            ("\"\\q\"", "1:2  expected an escape such as \\\" \\\\ \\n \\t or \\u{00BD}, found `\\`"),
            ("", "1:1  expected a value, found the end of the file"),
        ] {
            match parse(text) {
                Err(e) => assert_eq!(e.to_string(), want, "{text}"),
                Ok(n) => panic!("{text} read as {n:?}"),
            }
        }
    }

    #[test]
    fn depth_is_limited() {
        let deep = |n| "[".repeat(n) + &"]".repeat(n);
        assert!(parse(&deep(DEEPEST)).is_ok());
        assert!(parse(&deep(DEEPEST + 1)).unwrap_err().expected.contains("nesting"));
        for open in ["[", "(", "{", "Some(", "(a:", "/*"] {
            assert!(parse(&open.repeat(100_000)).is_err());
        }
    }

    proptest! {
        #[test]
        fn never_panics(text in "\\PC{0,60}", ron in "[(){}\\[\\]:,\"'#!r0-9a-c.+\\-_eE\\\\/* \n]{0,60}") {
            let _ = (parse(&text), parse(&ron), has_comments(&ron));
        }

        #[test]
        fn agrees_with_the_ron_crate(ron in "[(){}\\[\\]:,\"r0-9a-c.+\\-_eE\\\\/* \n]{0,24}") {
            // What it reads as a plain value, this reads too.
            if ron::from_str::<ron::Value>(&ron).is_ok() {
                prop_assert!(parse(&ron).is_ok(), "{:?}: {:?}", ron, parse(&ron));
            }
        }
    }
}
