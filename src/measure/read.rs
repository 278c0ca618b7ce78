//! Reading a length as a carpenter writes it.
//!
//! `13'`, `11'6`, `11' 6-1/2"`, `8'-4"`, `150"`, `11.5 ft`, `6 ft 8`, curly quotes, `½` and
//! its kin; `13-6` where a bare number means feet or inches; `3.5 m`, `3,5 m`, `350 cm`, `3500 mm`. Fractions are exact; what does not fall
//! on a unit of 25 nm is rounded to the nearest. It refuses bare numbers unless told what
//! they mean, negative lengths, inches of 12 and more behind feet, and a comma before three
//! figures, which means thousands to one reader and a decimal to another.

use super::Length;

/// What a bare number means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    Feet,
    Inches,
    Metres,
    Centimetres,
    Millimetres,
}

impl Unit {
    fn units(self) -> i64 {
        match self {
            Unit::Feet => Length::FOOT,
            Unit::Inches => Length::INCH,
            Unit::Metres => 1000 * Length::MM,
            Unit::Centimetres => 10 * Length::MM,
            Unit::Millimetres => Length::MM,
        }
    }
    /// The unit a word or a mark stands for, small letters: `ft`, `'`, `inches`, `cm`.
    pub fn of_word(word: &str) -> Option<Unit> {
        Some(match word {
            "'" | "ft" | "foot" | "feet" => Unit::Feet,
            "\"" | "in" | "inch" | "inches" => Unit::Inches,
            "m" | "metre" | "metres" | "meter" | "meters" => Unit::Metres,
            "cm" => Unit::Centimetres,
            "mm" => Unit::Millimetres,
            _ => return None,
        })
    }
}

/// Why a text is not a length, and what to write instead.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{what}; {remedy}")]
pub struct BadLength {
    /// What is wrong.
    pub what: String,
    /// What to write.
    pub remedy: String,
}

const WAYS: &str = "write it like 11'6, 3-1/2 in, 3.5 m or 3500 mm";

fn bad<T>(what: String, remedy: &str) -> Result<T, BadLength> {
    Err(BadLength { what, remedy: remedy.to_string() })
}

impl std::str::FromStr for Length {
    type Err = BadLength;
    /// # Errors
    /// [`BadLength`] for anything that is not a length with its unit from 0 to [`Length::MOST`].
    fn from_str(text: &str) -> Result<Length, BadLength> {
        read(text, None)
    }
}

impl Length {
    /// Reads a length; a number without a unit is taken in `unit`.
    ///
    /// # Errors
    /// [`BadLength`] as for `parse`, bare numbers excepted.
    pub fn parse_with(text: &str, unit: Unit) -> Result<Length, BadLength> {
        read(text, Some(unit))
    }
}

#[derive(Clone, Debug, PartialEq)]
enum Token {
    /// Numerator over a power of ten; whether it had decimals.
    Number(i128, i128, bool),
    /// A number over a number.
    Fraction(i128, i128),
    Dash,
    Unit(Unit),
}

/// Vulgar fractions with their values.
const VULGAR: [(char, i128, i128); 18] = [
    ('½', 1, 2),
    ('⅓', 1, 3),
    ('⅔', 2, 3),
    ('¼', 1, 4),
    ('¾', 3, 4),
    ('⅕', 1, 5),
    ('⅖', 2, 5),
    ('⅗', 3, 5),
    ('⅘', 4, 5),
    ('⅙', 1, 6),
    ('⅚', 5, 6),
    ('⅐', 1, 7),
    ('⅛', 1, 8),
    ('⅜', 3, 8),
    ('⅝', 5, 8),
    ('⅞', 7, 8),
    ('⅑', 1, 9),
    ('⅒', 1, 10),
];

/// More figures than this are not a measure.
const MOST_FIGURES: usize = 12;

fn tokens(text: &str) -> Result<Vec<Token>, BadLength> {
    let chars: Vec<char> = text.chars().collect();
    let mut out = Vec::new();
    let mut i = 0;
    while i < chars.len() {
        let c = chars[i];
        i += 1;
        match c {
            c if c.is_whitespace() => {}
            '\'' | '’' | '‘' | '′' => {
                let doubled = chars.get(i).is_some_and(|c| matches!(c, '\'' | '’' | '‘' | '′'));
                i += usize::from(doubled);
                out.push(Token::Unit(if doubled { Unit::Inches } else { Unit::Feet }));
            }
            '"' | '”' | '“' | '″' => out.push(Token::Unit(Unit::Inches)),
            '-' | '–' | '−' | '‑' => out.push(Token::Dash),
            '/' | '⁄' => match (out.pop(), figures(&chars, &mut i)) {
                (Some(Token::Number(num, 1, false)), Some(den)) if (1..=1024).contains(&den) => {
                    out.push(Token::Fraction(num, den));
                }
                _ => return bad(format!("\"{text}\" has a fraction that cannot be read"), WAYS),
            },
            c if c.is_ascii_digit() || c == '.' || c == ',' => {
                i -= 1;
                out.push(number(text, &chars, &mut i)?);
            }
            c if c.is_alphabetic() => {
                let from = i - 1;
                while chars.get(i).is_some_and(|c| c.is_alphabetic()) {
                    i += 1;
                }
                let word: String = chars[from..i].iter().collect::<String>().to_lowercase();
                i += usize::from(chars.get(i) == Some(&'.'));
                match Unit::of_word(&word) {
                    Some(u) => out.push(Token::Unit(u)),
                    None => return bad(format!("\"{text}\" has no unit called \"{word}\""), WAYS),
                }
            }
            c => match VULGAR.iter().find(|v| v.0 == c) {
                Some(&(_, n, d)) => out.push(Token::Fraction(n, d)),
                None => return bad(format!("\"{text}\" is not a length"), WAYS),
            },
        }
    }
    Ok(out)
}

fn figures(chars: &[char], i: &mut usize) -> Option<i128> {
    let from = *i;
    let mut n = 0i128;
    while let Some(d) = chars.get(*i).and_then(|c| c.to_digit(10)) {
        if *i - from >= MOST_FIGURES {
            return None;
        }
        n = n * 10 + i128::from(d);
        *i += 1;
    }
    (*i > from).then_some(n)
}

fn number(text: &str, chars: &[char], i: &mut usize) -> Result<Token, BadLength> {
    let long = || bad(format!("\"{text}\" has a number that cannot be read"), WAYS);
    let starts_with_figure = chars[*i].is_ascii_digit();
    let whole = if starts_with_figure { figures(chars, i) } else { Some(0) };
    let Some(whole) = whole else { return long() };
    let Some(&mark @ ('.' | ',')) = chars.get(*i) else { return Ok(Token::Number(whole, 1, false)) };
    *i += 1;
    let from = *i;
    let Some(part) = figures(chars, i) else { return long() };
    if mark == ',' && *i - from == 3 {
        let remedy = "leave the comma out, or write a point for the decimals";
        return bad(format!("\"{text}\" can be read two ways, the comma as thousands or as decimals"), remedy);
    }
    if matches!(chars.get(*i), Some('.' | ',')) {
        return long();
    }
    let scale = 10i128.pow((*i - from) as u32);
    Ok(Token::Number(whole * scale + part, scale, true))
}

/// A sum of fractions of units, exact until the end.
fn scaled(num: i128, den: i128, unit: Unit) -> i128 {
    // Rounded to the nearest unit, halves up.
    (2 * num * i128::from(unit.units()) + den) / (2 * den)
}

fn read(text: &str, bare: Option<Unit>) -> Result<Length, BadLength> {
    let text = text.trim();
    if text.is_empty() {
        return bad("the length is empty".to_string(), WAYS);
    }
    if text.len() > 60 {
        let head: String = text.chars().take(20).collect();
        return bad(format!("\"{head}...\" is too long for a length"), WAYS);
    }
    let tokens = tokens(text)?;
    if tokens.first() == Some(&Token::Dash) {
        return bad(format!("\"{text}\" is negative"), "a length is 0 or more");
    }
    let mut rest = tokens.as_slice();
    let Some((first, whole)) = mixed(&mut rest) else { return bad(format!("\"{text}\" is not a length"), WAYS) };
    let unit = match rest.first() {
        Some(Token::Unit(u)) => {
            rest = &rest[1..];
            *u
        }
        None => match bare {
            Some(u) => u,
            None => {
                let remedy = format!("write {text}' for feet, {text} in for inches or {text} mm");
                return bad(format!("\"{text}\" has no unit"), &remedy);
            }
        },
        // `13-6`: feet, then inches.
        Some(Token::Dash) if whole && matches!(bare, Some(Unit::Feet | Unit::Inches)) => Unit::Feet,
        Some(_) => return bad(format!("\"{text}\" is not a length"), WAYS),
    };
    let mut units = scaled(first.0, first.1, unit);
    if !rest.is_empty() {
        if unit != Unit::Feet {
            return bad(format!("\"{text}\" goes on behind its unit"), WAYS);
        }
        if rest.first() == Some(&Token::Dash) {
            rest = &rest[1..];
        }
        let second = mixed(&mut rest);
        let end = matches!(rest, [] | [Token::Unit(Unit::Inches)]);
        let (Some((inches, _)), true) = (second, end) else {
            return bad(format!("\"{text}\" is not feet and inches"), WAYS);
        };
        if !whole {
            return bad(format!("\"{text}\" has a part of a foot and inches"), "write whole feet, then inches");
        }
        if inches.0 >= 12 * inches.1 {
            return bad(format!("\"{text}\" has 12 inches or more behind its feet"), "carry them into the feet");
        }
        units += scaled(inches.0, inches.1, Unit::Inches);
    }
    if units > i128::from(Length::MOST.0) {
        return bad(format!("\"{text}\" is longer than 2,000 feet"), "check the unit");
    }
    Ok(Length(units as i64))
}

/// A whole number, a decimal, a fraction, or a whole number with a fraction behind it; and
/// whether it was a plain whole number.
fn mixed(rest: &mut &[Token]) -> Option<((i128, i128), bool)> {
    let (value, used, whole) = match **rest {
        [Token::Number(w, 1, false), Token::Fraction(n, d), ..] if n < d => ((w * d + n, d), 2, false),
        [Token::Number(w, 1, false), Token::Dash, Token::Fraction(n, d), ..] if n < d => ((w * d + n, d), 3, false),
        [Token::Number(n, d, decimals), ..] => ((n, d), 1, !decimals),
        [Token::Fraction(n, d), ..] => ((n, d), 1, false),
        _ => return None,
    };
    *rest = &rest[used..];
    Some((value, whole))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn inches(text: &str) -> f64 {
        text.parse::<Length>().unwrap_or_else(|e| panic!("{e}")).inches()
    }

    #[test]
    fn feet_and_inches_as_written() {
        for (text, want) in [
            ("13'", 156.0),
            ("11'6", 138.0),
            ("11' 6-1/2\"", 138.5),
            ("11' 6 1/2", 138.5),
            ("11’6½”", 138.5),
            ("11′ 6″", 138.0),
            ("8'-4\"", 100.0),
            ("8' - 4", 100.0),
            ("8'-4-1/2\"", 100.5),
            ("150\"", 150.0),
            ("150''", 150.0),
            ("11.5 ft", 138.0),
            ("11½ ft", 138.0),
            ("6 ft. 8 in.", 80.0),
            ("6' 8", 80.0),
            ("36 in", 36.0),
            ("36 IN", 36.0),
            ("3-1/2\"", 3.5),
            ("3 1/2 in", 3.5),
            ("3½\"", 3.5),
            ("1/2 in", 0.5),
            ("⅞\"", 0.875),
            (".5 in", 0.5),
            ("11' ½", 132.5),
            ("0 in", 0.0),
        ] {
            assert_eq!(inches(text), want, "{text}");
        }
    }

    #[test]
    fn metric_as_written() {
        for text in ["3.5 m", "3,5 m", "350 cm", "3500 mm", "3500mm", "3.5 metres"] {
            assert_eq!(text.parse::<Length>(), Ok(Length(3500 * Length::MM)), "{text}");
        }
    }

    #[test]
    fn a_bare_number_means_what_the_caller_says() {
        assert_eq!(Length::parse_with("36", Unit::Inches).unwrap(), Length::from_inches(36.0));
        assert_eq!(Length::parse_with("3-1/2", Unit::Inches).unwrap(), Length::from_inches(3.5));
        assert_eq!(Length::parse_with("3,5", Unit::Metres).unwrap(), Length::from_mm(3500.0));
        assert_eq!(Length::parse_with("36 cm", Unit::Inches).unwrap(), Length::from_mm(360.0));
        for unit in [Unit::Feet, Unit::Inches] {
            assert_eq!(Length::parse_with("13-6 1/2", unit).unwrap(), Length::from_inches(162.5));
        }
        assert!(Length::parse_with("13-6", Unit::Metres).is_err() && "13-6".parse::<Length>().is_err());
        assert_eq!(
            "12".parse::<Length>().unwrap_err().to_string(),
            "\"12\" has no unit; write 12' for feet, 12 in for inches or 12 mm"
        );
    }

    #[test]
    fn nonsense_says_what_to_write() {
        for (text, want) in [
            ("", "the length is empty"),
            ("-3'", "\"-3'\" is negative"),
            ("11'18\"", "\"11'18\"\" has 12 inches or more behind its feet"),
            ("11.5'6", "\"11.5'6\" has a part of a foot and inches"),
            ("3,500 mm", "\"3,500 mm\" can be read two ways, the comma as thousands or as decimals"),
            ("3 yards", "\"3 yards\" has no unit called \"yards\""),
            ("9000 ft", "\"9000 ft\" is longer than 2,000 feet"),
            ("1/0 in", "\"1/0 in\" has a fraction that cannot be read"),
            ("3 m 5", "\"3 m 5\" goes on behind its unit"),
            ("6'8'", "\"6'8'\" is not feet and inches"),
            ("99999999999999999999 mm", "\"99999999999999999999 mm\" has a number that cannot be read"),
            ("§", "\"§\" is not a length"),
        ] {
            let e = text.parse::<Length>().unwrap_err();
            assert_eq!(e.what, want);
            assert!(!e.remedy.is_empty());
        }
    }

    proptest! {
        #[test]
        fn never_panics(text in "\\PC{0,40}", measure in "[0-9'\"/., ½mcft-]{0,24}") {
            let _ = (text.parse::<Length>(), measure.parse::<Length>());
            let _ = (Length::parse_with(&text, Unit::Inches), Length::parse_with(&measure, Unit::Metres));
        }
    }
}
