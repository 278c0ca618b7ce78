//! Texts, characters and numbers of RON, with their escapes, prefixes and suffixes.

use super::node::{Kind, Parsed, Parser, is_word};

impl Parser<'_> {
    /// A text in quotation marks; a byte text is only skipped over.
    pub(super) fn text(&mut self, bytes: bool) -> Parsed<String> {
        let open = self.at;
        self.at += 1;
        let mut out = String::new();
        loop {
            let at = self.at;
            match self.next() {
                None => return Err(self.fault_at(open, "a closing `\"` for this text")),
                Some('"') => return Ok(out),
                // A backslash at the end of a line goes on with the next line's first word.
                Some('\\') if matches!(self.peek(), Some('\n' | '\r')) => {
                    while self.peek().is_some_and(|c| matches!(c, ' ' | '\t' | '\n' | '\r')) {
                        self.next();
                    }
                }
                Some('\\') => match self.escape(at) {
                    Ok(c) => out.push(c),
                    Err(_) if bytes => {}
                    Err(e) => return Err(e),
                },
                Some(c) => out.push(c),
            }
        }
    }

    pub(super) fn character(&mut self) -> Parsed<char> {
        let open = self.at;
        self.at += 1;
        let at = self.at;
        let c = match self.next() {
            Some('\\') => self.escape(at)?,
            Some(c) if c != '\'' => c,
            _ => return Err(self.fault_at(open, "a value")),
        };
        if self.eat('\'') { Ok(c) } else { Err(self.fault_at(open, "a text in \" \"")) }
    }

    fn escape(&mut self, at: usize) -> Parsed<char> {
        let bad = |p: &Self| p.fault_at(at, "an escape such as \\\" \\\\ \\n \\t or \\u{00BD}");
        let hex = |p: &mut Self, most: usize| {
            let len = p.rest().chars().take(most).take_while(char::is_ascii_hexdigit).count();
            let n = u32::from_str_radix(&p.rest()[..len], 16).ok();
            p.at += len;
            n.filter(|_| len > 0).map(|n| (n, len))
        };
        match self.next() {
            Some(c @ ('"' | '\'' | '\\')) => Ok(c),
            Some('n') => Ok('\n'),
            Some('r') => Ok('\r'),
            Some('t') => Ok('\t'),
            Some('0') => Ok('\0'),
            Some('x') => {
                // UTF-8, byte by byte.
                let mut bytes = Vec::new();
                loop {
                    match hex(self, 2) {
                        Some((n, 2)) => bytes.push(n as u8),
                        _ => return Err(bad(self)),
                    }
                    if let Ok(s) = std::str::from_utf8(&bytes) {
                        return s.chars().next().ok_or_else(|| bad(self));
                    }
                    if bytes.len() == 4 || !self.rest().starts_with("\\x") {
                        return Err(bad(self));
                    }
                    self.at += 2;
                }
            }
            Some('u') if self.eat('{') => match hex(self, 6) {
                Some((n, _)) if self.eat('}') => char::from_u32(n).ok_or_else(|| bad(self)),
                _ => Err(bad(self)),
            },
            _ => Err(bad(self)),
        }
    }

    pub(super) fn raw(&mut self, prefix: usize) -> Parsed<String> {
        let open = self.at;
        self.at += prefix;
        let hashes = self.rest().len() - self.rest().trim_start_matches('#').len();
        self.at += hashes + 1;
        let close = format!("\"{}", "#".repeat(hashes));
        let Some(len) = self.rest().find(&close) else {
            return Err(self.fault_at(open, &format!("a closing `{close}` for this text")));
        };
        let out = self.rest()[..len].to_string();
        self.at += len + close.len();
        Ok(out)
    }

    pub(super) fn number(&mut self) -> Parsed<Kind> {
        let at = self.at;
        let bad = |p: &Self| p.fault_at(at, "a number such as 12 or 0.5");
        let negative = self.peek() == Some('-');
        if matches!(self.peek(), Some('+' | '-')) {
            self.at += 1;
        }
        let sign = if negative { -1.0 } else { 1.0 };
        for (word, value) in [("inf", f64::INFINITY), ("NaN", f64::NAN)] {
            if self.rest().starts_with(word) {
                self.word()?;
                return Ok(Kind::Float(sign * value));
            }
        }
        let rest = self.rest();
        let base = [("0x", 16), ("0b", 2), ("0o", 8)].into_iter().find(|b| rest.starts_with(b.0)).map(|b| b.1);
        let mut digits = String::new();
        let mut len = 0;
        if let Some(base) = base {
            len = 2;
            for c in rest[2..].chars().take_while(|&c| c.is_digit(base) || c == '_') {
                digits.push(c);
                len += 1;
            }
        } else {
            let mut last = ' ';
            for c in rest.chars() {
                let exponent_sign = matches!(c, '+' | '-') && matches!(last, 'e' | 'E');
                if !(c.is_ascii_digit() || matches!(c, '_' | '.' | 'e' | 'E') || exponent_sign) {
                    break;
                }
                digits.push(c);
                len += 1;
                last = c;
            }
        }
        let starts_low = digits.starts_with('_');
        digits.retain(|c| c != '_');
        self.at += len;
        const SUFFIXES: [&str; 12] =
            ["i8", "i16", "i32", "i64", "i128", "u8", "u16", "u32", "u64", "u128", "f32", "f64"];
        let tail: String = self.rest().chars().take_while(|&c| is_word(c)).collect();
        if starts_low || !(tail.is_empty() || SUFFIXES.contains(&tail.as_str())) {
            return Err(bad(self));
        }
        self.at += tail.len();
        if base.is_some() || (!digits.contains(['.', 'e', 'E']) && !tail.starts_with('f')) {
            let base = base.unwrap_or(10);
            return match i128::from_str_radix(&digits, base) {
                Ok(n) => Ok(Kind::Int(if negative { -n } else { n })),
                // Past 128 bits it is only a very large number, refused by every range.
                Err(_) if !digits.is_empty() => Ok(Kind::Float(sign * f64::INFINITY)),
                Err(_) => Err(bad(self)),
            };
        }
        digits.parse::<f64>().map(|x| Kind::Float(sign * x)).map_err(|_| bad(self))
    }
}

#[cfg(test)]
mod tests {
    use super::super::node::{Kind, parse};

    #[test]
    fn a_text_may_go_on_on_the_next_line() {
        let text = "\"a\\\n   b\"";
        assert_eq!(parse(text).map(|n| n.kind), Ok(Kind::Text("ab".into())));
        assert_eq!(ron::from_str::<String>(text).as_deref(), Ok("ab"));
    }
}
