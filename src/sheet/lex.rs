//! A line cut into tokens, each with its bytes.
//!
//! Every character that is not blank belongs to a token, so that whatever is not understood
//! can be underlined.

use std::ops::Range;

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// Figures, with a point or a comma between them where no blank is.
    Number,
    /// `1/2` or `½`.
    Fraction,
    /// The mark of feet.
    Feet,
    /// The mark of inches.
    Inch,
    Word,
    /// `x`, `×`, `by`.
    Cross,
    /// `,` and `;`.
    Comma,
    Colon,
    Dash,
    /// `°` or the word.
    Degree,
    /// A full stop, a bracket: read over.
    Stop,
    Other,
}

/// A piece of the line.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Token {
    pub kind: Kind,
    /// Bytes of the line.
    pub at: Range<usize>,
    /// Its text in small letters.
    pub word: String,
}

fn foot_mark(c: char) -> bool {
    matches!(c, '\'' | '’' | '‘' | '′' | '´' | '`')
}

fn dash(c: char) -> bool {
    matches!(c, '-' | '–' | '−' | '‑' | '—')
}

/// Whether `c` is a fraction in one character.
fn vulgar(c: char) -> bool {
    "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒".contains(c)
}

/// The tokens of a line.
pub(super) fn tokens(line: &str) -> Vec<Token> {
    let chars: Vec<(usize, char)> = line.char_indices().collect();
    let c_at = |i: usize| chars.get(i).map_or('\0', |c| c.1);
    let byte = |i: usize| chars.get(i).map_or(line.len(), |c| c.0);
    let mut out: Vec<Token> = Vec::new();
    let mut i = 0;
    while i < chars.len() {
        let c = chars[i].1;
        let from = i;
        i += 1;
        if c.is_whitespace() || c.is_control() {
            continue;
        }
        let mut kind = match c {
            c if foot_mark(c) => {
                let doubled = foot_mark(c_at(i));
                i += usize::from(doubled);
                if doubled { Kind::Inch } else { Kind::Feet }
            }
            '"' | '”' | '“' | '″' => Kind::Inch,
            ',' | ';' => Kind::Comma,
            ':' => Kind::Colon,
            '×' | '✕' | '✖' | '*' => Kind::Cross,
            '°' | 'º' => Kind::Degree,
            c if dash(c) => Kind::Dash,
            c if vulgar(c) => Kind::Fraction,
            c if c.is_ascii_digit() || (c == '.' && c_at(i).is_ascii_digit()) => {
                while c_at(i).is_ascii_digit() || (matches!(c_at(i), '.' | ',') && c_at(i + 1).is_ascii_digit()) {
                    i += 1;
                }
                let plain = chars[from..i].iter().all(|c| c.1.is_ascii_digit());
                if plain && matches!(c_at(i), '/' | '⁄') && c_at(i + 1).is_ascii_digit() {
                    i += 1;
                    while c_at(i).is_ascii_digit() {
                        i += 1;
                    }
                    Kind::Fraction
                } else {
                    Kind::Number
                }
            }
            c if c.is_alphabetic() => {
                while c_at(i).is_alphabetic() || (foot_mark(c_at(i)) && c_at(i + 1).is_alphabetic()) {
                    i += 1;
                }
                Kind::Word
            }
            '.' | '(' | ')' | '[' | ']' | '!' | '/' => Kind::Stop,
            _ => Kind::Other,
        };
        let at = byte(from)..byte(i);
        let word = line[at.clone()].to_lowercase();
        if kind == Kind::Word {
            kind = match word.as_str() {
                "x" | "by" => Kind::Cross,
                "deg" | "degree" | "degrees" => Kind::Degree,
                _ => Kind::Word,
            };
        }
        out.push(Token { kind, at, word });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_falls_into_its_pieces() {
        let text = |s: &str| tokens(s).iter().map(|t| s[t.at.clone()].to_string()).collect::<Vec<_>>().join("|");
        assert_eq!(text("study 13'x11'6½\""), "study|13|'|x|11|'|6|½|\"");
        assert_eq!(text("13ft6in, 3,5 m"), "13|ft|6|in|,|3,5|m");
        assert_eq!(text("Anna's 6-1/2''"), "Anna's|6|-|1/2|''");
        assert_eq!(text("32X80."), "32|X|80|.");
    }

    #[test]
    fn every_character_that_shows_is_in_a_token() {
        let line = "§ a'b 3.5.1 ,, ½½ 1/2/3 ~\u{301}x";
        let inside: usize = tokens(line).iter().map(|t| t.at.len()).sum();
        assert_eq!(inside, line.len() - line.matches(' ').count());
    }
}
