//! A figure as a screen shows it: words ready to show, the unit, and why it is what it is.
//!
//! The why is one or two sentences: the formula with its numbers, the source and its tag, or
//! the user's own history. Whatever shows a figure shows the why at a click.

/// A figure in words, and where it comes from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Figure {
    /// Ready to show, without its unit where it has one of its own.
    pub value: String,
    /// `h`, `SF`; empty where the value says it.
    pub unit: String,
    /// Formula, source and tag, or own history: one or two sentences without a last full stop.
    pub why: String,
}

impl Figure {
    /// A figure whose words need no unit.
    pub fn new(value: impl Into<String>, why: impl Into<String>) -> Figure {
        Figure { value: value.into(), unit: String::new(), why: why.into() }
    }

    /// The same in a unit.
    pub fn of(value: impl Into<String>, unit: impl Into<String>, why: impl Into<String>) -> Figure {
        Figure { value: value.into(), unit: unit.into(), why: why.into() }
    }

    /// The same as it is set on a screen: a number stays on one line with its unit, a day with its month.
    pub fn unbroken(&self) -> String {
        unbroken(&self.words())
    }

    /// Value and unit as read: `12 h`.
    pub fn words(&self) -> String {
        match self.unit.as_str() {
            "" => self.value.clone(),
            unit => format!("{} {unit}", self.value),
        }
    }
}

/// Spaces inside figures and dates made such that no line is broken at them: `7.5 h`, `8 in 10`, `Mon 1 Mar`.
pub fn unbroken(words: &str) -> String {
    const UNITS: [&str; 17] =
        ["h", "%", "SF", "LF", "m", "m2", "F", "C", "min", "day", "days", "mi", "km", "people", "in", "gal", "RH"];
    const DAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
    const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    let number = |w: &str| w.ends_with(|c: char| c.is_ascii_digit()) && w.starts_with(|c: char| !c.is_alphabetic());
    let bare = |w: &str| w.trim_end_matches([',', '.', ';', ':', ')', '?']).to_string();
    let mut out = String::with_capacity(words.len());
    let (mut before, mut last) = ("", "");
    for (i, word) in words.split(' ').enumerate() {
        let is = bare(word);
        let figure = number(last) && (UNITS.contains(&is.as_str()) || MONTHS.contains(&is.as_str()));
        let day = DAYS.contains(&last.trim_start_matches('(')) && is.starts_with(|c: char| c.is_ascii_digit());
        let of = last == "in" && number(before) && number(&is) || last == "%" && is == "RH";
        if i > 0 {
            out.push(if figure || day || of { '\u{a0}' } else { ' ' });
        }
        out += word;
        (before, last) = (last, word);
    }
    out
}

/// A whole number as it is written: a count, a year, the number of a wall.
pub fn whole<N: Into<i128>>(n: N) -> String {
    n.into().to_string()
}

/// `wall 2`: a thing with its number, counted from 1.
pub fn numbered(what: &str, number: usize) -> String {
    format!("{what} {number}")
}

/// The same, the first one without a number: `rate`, `rate 2`.
pub fn numbered_from_second(what: &str, number: usize) -> String {
    if number <= 1 { what.to_string() } else { numbered(what, number) }
}

/// `3 files were dropped`.
pub fn numbered_of(n: usize, what: &str) -> String {
    format!("{n} {what}")
}

/// How many of a list are not shown: `and 3 more`.
pub fn and_more(n: usize) -> String {
    format!("and {n} more")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_and_dates_stay_on_one_line() {
        let is = |words: &str, kept: &str| assert_eq!(unbroken(words), kept.replace('_', "\u{a0}"));
        is("7.0 h after 8 in 10", "7.0_h after 8_in_10");
        is("until Mon 1 Mar, 13 %.", "until Mon_1_Mar, 13_%.");
        is("room 2 in the house", "room 2_in the house");
        is("(Wed 31 Mar) and 2 days more", "(Wed_31_Mar) and 2_days more");
        is("", "");
        assert_eq!(Figure::of("12", "h", "").unbroken(), "12\u{a0}h");
    }

    #[test]
    fn words_have_their_unit_once() {
        assert_eq!((whole(12u32), whole(1926i32)), ("12".into(), "1926".into()));
        assert_eq!(Figure::of("12", "h", "6 + 6").words(), "12 h");
        assert_eq!(Figure::new("Wed 31 Mar", "").words(), "Wed 31 Mar");
        assert_eq!(
            (numbered_from_second("rate", 1), numbered_from_second("rate", 2)),
            ("rate".into(), "rate 2".into())
        );
    }
}
