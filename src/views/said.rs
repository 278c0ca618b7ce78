//! A day as it is said at the kitchen table.

use chrono::{Datelike, Days, NaiveDate};

use super::typed;
use crate::job::Units;

/// What a day without a year is read against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Near {
    /// The year is the one that brings the day nearest to this one.
    pub day: NaiveDate,
    /// In a metric job `1/3` and `1.3.` are day and month; elsewhere bare numbers are not guessed.
    pub units: Units,
}

/// The day of a week said by its name, three letters at least, from a day on.
fn by_name(text: &str, from: NaiveDate) -> Option<NaiveDate> {
    let word = text.trim().trim_end_matches('.').to_lowercase();
    let named = |d: &NaiveDate| word.len() >= 3 && d.format("%A").to_string().to_lowercase().starts_with(&word);
    (0..7).filter_map(|n| from.checked_add_days(Days::new(n))).find(named)
}

/// A day with or without its year: `1 Mar 2027`, `10 Dec`, `Mon 10 Dec`, in a metric job `1/3`; the name of a
/// weekday is the first such day from the near one on.
///
/// # Errors
/// As [`typed::read_day`].
pub fn day_near(text: &str, near: Near) -> Result<NaiveDate, String> {
    let whole = typed::read_day(text);
    if whole.is_ok() {
        return whole;
    }
    if let Some(day) = by_name(text, near.day) {
        return typed::read_day(&typed::day_field(day));
    }
    let years = [near.day.year(), near.day.year() - 1, near.day.year() + 1];
    let nearest =
        |days: Vec<NaiveDate>| days.into_iter().min_by_key(|d| ((*d - near.day).num_days().abs(), *d < near.day));
    if near.units == Units::Metric {
        let text = text.trim();
        let sign = if text.contains('/') { '/' } else { '.' };
        let parts: Option<Vec<u32>> =
            text.trim_end_matches('.').split(sign).map(|p| p.trim().parse::<u32>().ok()).collect();
        match parts.as_deref() {
            Some([day, month]) => {
                let of = |y: &i32| NaiveDate::from_ymd_opt(*y, *month, *day);
                if let Some(day) = nearest(years.iter().filter_map(of).collect()) {
                    return typed::read_day(&typed::day_field(day));
                }
            }
            Some([day, month, year]) => {
                let day = i32::try_from(*year).ok().and_then(|y| NaiveDate::from_ymd_opt(y, *month, *day));
                if let Some(day) = day {
                    return typed::read_day(&typed::day_field(day));
                }
            }
            _ => {}
        }
    }
    let all: Vec<_> = years.iter().map(|y| typed::read_day(&format!("{text} {y}"))).collect();
    let found = nearest(all.iter().filter_map(|d| d.as_ref().ok().copied()).collect());
    // A day with another weekday than it has is told so.
    let wrong = all.into_iter().filter_map(Result::err).find(|e| e.contains(" is a "));
    found.map_or_else(|| wrong.map_or(whole, Err), Ok)
}

/// Days between commas, each one day or `from to until`, with or without their years.
///
/// # Errors
/// As [`typed::read_days`].
pub fn days_near(text: &str, near: Near) -> Result<Vec<NaiveDate>, String> {
    let whole = typed::read_days(text);
    if whole.is_ok() {
        return whole;
    }
    // Each said in full, then read as days in full are.
    let full = |part: &str| -> Result<String, String> {
        match part.split_once(" to ") {
            None => Ok(typed::day_field(day_near(part, near)?)),
            Some((a, b)) => {
                let a = day_near(a, near)?;
                let b = day_near(b, Near { day: a, ..near })?;
                Ok(format!("{} to {}", typed::day_field(a), typed::day_field(b)))
            }
        }
    };
    let parts: Result<Vec<String>, String> =
        text.split([',', ';']).map(str::trim).filter(|p| !p.is_empty()).map(full).collect();
    typed::read_days(&parts?.join(", "))
}

/// A day without the weekday before it.
fn unnamed(text: &str) -> &str {
    let text = text.trim();
    match text.split_once(' ') {
        Some((word, rest)) if word.chars().all(char::is_alphabetic) && rest.split_whitespace().count() == 2 => rest,
        _ => text,
    }
}

/// A day as it is said at the kitchen table: a day with or without its year, or a day of the week; in a metric job
/// also `1/3`.
///
/// # Errors
/// Anything else, with the ways to write one.
pub fn said_day(text: &str, today: NaiveDate, units: Units) -> Result<NaiveDate, String> {
    let whole = typed::read_day(text);
    if whole.is_ok() {
        return whole;
    }
    if let Some(day) = by_name(text, today + Days::new(1)) {
        return Ok(day);
    }
    for year in [today.year(), today.year() + 1] {
        if let Ok(day) = typed::read_day(&format!("{text} {year}"))
            && day >= today
        {
            return Ok(day);
        }
    }
    let this = today.year()
        + i32::from(typed::read_day(&format!("{} {}", unnamed(text), today.year())).is_ok_and(|d| d < today));
    if let Err(e) = typed::read_day(&format!("{text} {this}"))
        && e.contains(" is a ")
    {
        return Err(e);
    }
    if units == Units::Metric {
        // The nearest to half a year from now is the next one to come.
        return day_near(text, Near { day: today + Days::new(183), units }).or(whole);
    }
    slashed(text, today).unwrap_or(whole)
}

/// `2/13`, `2/12/27`: the one day it can be, month or day first; both where it can be two.
fn slashed(text: &str, today: NaiveDate) -> Option<Result<NaiveDate, String>> {
    let parts: Option<Vec<u32>> = text.trim().split('/').map(|p| p.parse().ok()).collect();
    let (a, b, year) = match parts?.as_slice() {
        [a, b] => (*a, *b, None),
        [a, b, y] if *y < 100 => (*a, *b, Some(2000 + *y as i32)),
        [a, b, y] => (*a, *b, Some(*y as i32)),
        _ => return None,
    };
    let coming = |month: u32, day: u32| match year {
        Some(y) => NaiveDate::from_ymd_opt(y, month, day),
        None => (0..=4).filter_map(|n| NaiveDate::from_ymd_opt(today.year() + n, month, day)).find(|d| *d >= today),
    };
    match (coming(a, b), coming(b, a)) {
        (Some(x), Some(y)) if x != y => {
            let say = |d: NaiveDate| typed::day_field(d);
            Some(Err(format!("{} can be {} or {}; write the month in letters", text.trim(), say(x), say(y))))
        }
        (Some(x), _) | (_, Some(x)) => Some(Ok(x)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn a_day_without_its_year_is_the_nearest_one() {
        let near = |at: &str, units| Near { day: day(at), units };
        let feet = near("2026-11-30", Units::FeetInches);
        for (text, want) in [
            ("10 Dec", "2026-12-10"),
            ("Feb 3", "2027-02-03"),
            ("20 Nov", "2026-11-20"),
            ("Thu 10 Dec", "2026-12-10"),
            ("1 Mar 2029", "2029-03-01"),
            // The near day is a Monday.
            ("mon", "2026-11-30"),
            ("Fri.", "2026-12-04"),
            ("sunday", "2026-12-06"),
        ] {
            assert_eq!(day_near(text, feet), Ok(day(want)), "{text}");
        }
        for text in ["fr", "1/3", "1.3.", "", "30 Feb", "Dec", "1/3/2027"] {
            assert!(day_near(text, feet).is_err(), "{text}");
        }
        let metric = near("2026-11-30", Units::Metric);
        for (text, want) in
            [("1/3", "2027-03-01"), ("1.3.", "2027-03-01"), ("24/12", "2026-12-24"), ("2/3/2028", "2028-03-02")]
        {
            assert_eq!(day_near(text, metric), Ok(day(want)), "{text}");
        }
        for text in ["1/13", "31/2", "0/1", "1/", "1/2/3", "5"] {
            assert!(day_near(text, metric).is_err(), "{text}");
        }
        let days = days_near("24 Dec to 2 Jan, 1 Mar", feet).unwrap();
        assert_eq!((days.len(), days[9], days[10]), (11, day("2027-01-02"), day("2027-03-01")));
        assert!(
            days_near("mon to fri", feet).map(|d| d.len()) == Ok(5)
                && days_near("soon, 1 Mar", feet).is_err()
                && days_near(" ", feet) == Ok(vec![])
        );
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
            assert_eq!(said_day(text, today, Units::FeetInches), Ok(day(want)), "{text}");
        }
        for (text, want) in
            [("2/13", "2027-02-13"), ("13/2", "2027-02-13"), ("3/3", "2027-03-03"), ("2/13/28", "2028-02-13")]
        {
            assert_eq!(said_day(text, today, Units::FeetInches), Ok(day(want)), "{text}");
        }
        let two = said_day("2/12/27", today, Units::FeetInches).unwrap_err();
        assert_eq!(two, "2/12/27 can be 12 Feb 2027 or 2 Dec 2027; write the month in letters");
        for text in ["", "soon", "30 Feb", "3/4", "mo", "13/13", "2/30", "1/2/3/4", "/"] {
            assert!(said_day(text, today, Units::FeetInches).is_err(), "{text}");
        }
        let wrong = said_day("Fri 6 Feb", today, Units::FeetInches).unwrap_err();
        assert_eq!(wrong, "6 Feb 2027 is a Saturday; the Friday near it is 5 Feb 2027");
        let metric = |t: &str| said_day(t, today, Units::Metric);
        for (text, want) in
            [("1/3", "2027-03-01"), ("24.12.", "2026-12-24"), ("24/11", "2027-11-24"), ("mon", "2026-11-30")]
        {
            assert_eq!(metric(text), Ok(day(want)), "{text}");
        }
        assert!(metric("31/2").is_err() && metric("soon").is_err());
    }
}
