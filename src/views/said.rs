//! A day as it is said at the kitchen table.

use chrono::{Datelike, Days, NaiveDate};

use super::typed;

/// A day as it is said at the kitchen table: a day with or without its year, or a day of the week.
///
/// # Errors
/// Anything else, with the ways to write one.
pub fn said_day(text: &str, today: NaiveDate) -> Result<NaiveDate, String> {
    let whole = typed::read_day(text);
    if whole.is_ok() {
        return whole;
    }
    let soon = (1..=7).map(|n| today + Days::new(n));
    let word = text.trim().to_lowercase();
    if word.len() >= 3
        && let Some(day) = soon.into_iter().find(|d| d.format("%A").to_string().to_lowercase().starts_with(&word))
    {
        return Ok(day);
    }
    for year in [today.year(), today.year() + 1] {
        if let Ok(day) = typed::read_day(&format!("{text} {year}"))
            && day >= today
        {
            return Ok(day);
        }
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn days_are_read_as_they_are_said() {
        // A Wednesday.
        let today = day("2026-11-25");
        for (text, want) in [
            ("1 Mar 2027", "2027-03-01"),
            ("2027-03-01", "2027-03-01"),
            ("1 Mar", "2027-03-01"),
            ("Dec 3", "2026-12-03"),
            ("25 Nov", "2026-11-25"),
            ("24 nov", "2027-11-24"),
            ("mon", "2026-11-30"),
            ("Wednesday", "2026-12-02"),
        ] {
            assert_eq!(said_day(text, today), Ok(day(want)), "{text}");
        }
        for text in ["", "soon", "30 Feb", "3/4", "mo"] {
            assert!(said_day(text, today).is_err(), "{text}");
        }
    }
}
