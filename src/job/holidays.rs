//! Legal public holidays of the United States with the days they are kept on.
//!
//! Source: 5 U.S.C. 6103(a), and (b)(1): a holiday on a Saturday is kept on the Friday before.
//! One on a Sunday is kept on the Monday after (Executive Order 11582). Inauguration Day, kept
//! only around the capital, and the holidays of states are left out: they are added by hand.

use chrono::{Datelike, Days, NaiveDate, Weekday};

/// Longest span holidays are looked for in, days.
const LONGEST: u64 = 3_660;

/// The holidays of a year as the law dates them.
fn of_year(year: i32) -> Vec<(NaiveDate, &'static str)> {
    use Weekday::{Mon, Thu};
    let on = |month, day| NaiveDate::from_ymd_opt(year, month, day);
    let nth = |month, day, n| NaiveDate::from_weekday_of_month_opt(year, month, day, n);
    // The last Monday of May: the one on or before the 31st.
    let memorial = on(5, 31).map(|d| d - Days::new(u64::from(d.weekday().num_days_from_monday())));
    let all = [
        (on(1, 1), "New Year's Day"),
        (nth(1, Mon, 3), "Birthday of Martin Luther King, Jr."),
        (nth(2, Mon, 3), "Washington's Birthday"),
        (memorial, "Memorial Day"),
        (on(6, 19), "Juneteenth"),
        (on(7, 4), "Independence Day"),
        (nth(9, Mon, 1), "Labor Day"),
        (nth(10, Mon, 2), "Columbus Day"),
        (on(11, 11), "Veterans Day"),
        (nth(11, Thu, 4), "Thanksgiving Day"),
        (on(12, 25), "Christmas Day"),
    ];
    all.into_iter().filter_map(|(d, name)| Some((d?, name))).collect()
}

/// The working day a holiday is kept on.
fn kept_on(day: NaiveDate) -> NaiveDate {
    match day.weekday() {
        Weekday::Sat => day - Days::new(1),
        Weekday::Sun => day + Days::new(1),
        _ => day,
    }
}

/// Holidays kept from the first day to the last, in their order, with their names.
pub fn public_holidays(first: NaiveDate, last: NaiveDate) -> Vec<(NaiveDate, &'static str)> {
    let last = last.min(first.checked_add_days(Days::new(LONGEST)).unwrap_or(last));
    // New Year's Day of the next year may be kept in this one.
    let mut all: Vec<_> = (first.year() - 1..=last.year() + 1).flat_map(of_year).collect();
    all.iter_mut().for_each(|h| h.0 = kept_on(h.0));
    all.retain(|h| first <= h.0 && h.0 <= last);
    all.sort_unstable();
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_days_are_those_of_the_law() {
        let day = |t: &str| t.parse::<NaiveDate>().unwrap();
        let of = |a: &str, b: &str| -> Vec<String> {
            public_holidays(day(a), day(b)).into_iter().map(|h| h.0.to_string()).collect()
        };
        // Worked out by hand from 5 U.S.C. 6103 and a calendar. Juneteenth 2027 is a Saturday,
        // 4 July 2027 a Sunday, Christmas 2027 a Saturday, and so is New Year's Day 2028.
        let want = "2027-01-01 2027-01-18 2027-02-15 2027-05-31 2027-06-18 2027-07-05 2027-09-06 2027-10-11 \
                    2027-11-11 2027-11-25 2027-12-24 2027-12-31";
        assert_eq!(of("2027-01-01", "2027-12-31"), want.split_whitespace().collect::<Vec<_>>());
        assert_eq!(of("2026-12-20", "2027-01-05"), ["2026-12-25", "2027-01-01"]);
        assert!(of("2027-03-01", "2027-03-31").is_empty() && of("2027-03-02", "2027-03-01").is_empty());
    }
}
