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

    /// Value and unit as read: `12 h`.
    pub fn words(&self) -> String {
        match self.unit.as_str() {
            "" => self.value.clone(),
            unit => format!("{} {unit}", self.value),
        }
    }
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
