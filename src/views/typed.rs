//! Figures, days and hours as they are typed into a field, and as a field shows them.
//!
//! What is printed here reads back. A text that cannot be read says what to write instead, in
//! one sentence without a full stop. Shares are typed in per cent, temperatures in the job's
//! own degrees unless a letter says otherwise; a day is never read from three bare numbers,
//! which mean one day to one reader and another to the next.
//!
//! One file because every kind of field is read by the same few readers.

use chrono::{Datelike, NaiveDate};

use crate::clock::Air;
use crate::job::{Day, Hm, Hours, OpeningKind, Units, Window};
use crate::measure::Length;

pub use super::steps::{degrees_stepped, hours_stepped, length_stepped, stepped};
use crate::takeoff::HEAD;

/// `0.014`, `12`, `1.5`: at most four decimals, no empty ones.
pub fn plain(x: f64) -> String {
    let text = format!("{x:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}

/// A number, decimal point or comma.
///
/// # Errors
/// What is no number, as a sentence.
pub fn read_number(text: &str) -> Result<f64, String> {
    let clean = text.trim().replace(',', ".");
    match clean.parse::<f64>() {
        Ok(x) if x.is_finite() && clean.starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c)) => Ok(x),
        _ => Err(format!("\"{}\" is not a number; write it like 1.5", text.trim())),
    }
}

/// A number that is not below nothing.
///
/// # Errors
/// As [`read_number`], and for a negative number.
pub fn read_amount(text: &str) -> Result<f64, String> {
    let x = read_number(text)?;
    if x < 0.0 { Err(format!("{} is below nothing; write 0 or more", plain(x))) } else { Ok(x) }
}

/// Low, typical and high with another typical one; past one of the others it takes them along,
/// in the same proportion, to four decimals.
pub fn with_typical(of: (f64, f64, f64), typical: f64) -> (f64, f64, f64) {
    if typical <= 0.0 || of.1 <= 0.0 || (of.0..=of.2).contains(&typical) {
        return (of.0, typical, of.2);
    }
    let along = |v: f64| (v * typical / of.1 * 1e4).round() / 1e4;
    (along(of.0).min(typical), typical, along(of.2).max(typical))
}

/// A whole number, 0 or more.
///
/// # Errors
/// As [`read_amount`], and for a part of one.
pub fn read_count(text: &str) -> Result<u32, String> {
    let x = read_amount(text)?;
    if x.fract() != 0.0 || x > 1e6 {
        return Err(format!("{} is no count; write a whole number", plain(x)));
    }
    Ok(x as u32)
}

/// `20 %` of a share 0 to 1.
pub fn percent(share: f64) -> String {
    format!("{} %", plain(share * 100.0))
}

/// A share typed in per cent, with or without the sign.
///
/// # Errors
/// What is no number, and what is not 0 to 100.
pub fn read_percent(text: &str) -> Result<f64, String> {
    let x = read_number(text.trim().trim_end_matches('%'))?;
    if (0.0..=100.0).contains(&x) { Ok(x / 100.0) } else { Err("a chance is 0 to 100 %".into()) }
}

/// A share typed in per cent, from nothing to a most.
///
/// # Errors
/// What is no number, and what is not within the limits.
pub fn read_share(text: &str, most: f64) -> Result<f64, String> {
    let x = read_number(text.trim().trim_end_matches('%'))? / 100.0;
    if (0.0..=most).contains(&x) { Ok(x) } else { Err(format!("write 0 to {}", percent(most))) }
}

/// Degrees in the units of the job, from F: `68 F`, `20 C`, `7.8 C`.
pub fn degrees(units: Units, f: f64) -> String {
    let (t, letter) = match units {
        Units::FeetInches => (f, 'F'),
        Units::Metric => ((f - 32.0) / 1.8, 'C'),
    };
    format!("{} {letter}", plain((t * 10.0).round() / 10.0))
}

/// Degrees F from what is typed; without a letter in the job's own.
///
/// # Errors
/// What is no number, and what no house has: below -40 or above 150 F.
pub fn read_degrees(units: Units, text: &str) -> Result<f64, String> {
    let t = text.trim();
    let (number, metric) = match t.chars().last() {
        Some('F' | 'f') => (&t[..t.len() - 1], false),
        Some('C' | 'c') => (&t[..t.len() - 1], true),
        _ => (t, units == Units::Metric),
    };
    let x = read_number(number.trim().trim_end_matches('°'))?;
    let f = if metric { x * 1.8 + 32.0 } else { x };
    if (-40.0..=150.0).contains(&f) { Ok(f) } else { Err(format!("{} is no air to work in", degrees(units, f))) }
}

/// The same with how it follows from the two temperatures.
pub fn humidity_figure(units: Units, air: Air) -> super::Figure {
    super::Figure::new(
        humidity(air),
        format!(
            "from {} and a dew point of {}: what the air holds against what it could hold (Magnus form, coefficients \
             of Alduchov and Eskridge 1996, from memory)",
            degrees(units, air.temp_f),
            degrees(units, air.dew_f)
        ),
    )
}

/// `46 % RH`.
pub fn humidity(air: Air) -> String {
    format!("{:.0} % RH", air.rh() * 100.0)
}

const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];
const DAYS: [&str; 7] = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];
const DAY_WAYS: &str = "write the day like 2027-03-01 or 1 Mar 2027";

/// Index of the one word of a list that begins like this, three letters at least.
fn among(list: &[&str], word: &str) -> Option<usize> {
    let w = word.trim_end_matches('.').to_lowercase();
    (w.chars().count() >= 3).then(|| list.iter().position(|m| m.starts_with(&w))).flatten()
}

/// `1 Mar 2027`, as a field shows it.
pub fn day_field(day: NaiveDate) -> String {
    day.format("%-d %b %Y").to_string()
}

/// A day: `2027-03-01`, `1 Mar 2027`, `Mon 1 March 2027`, `Mar 1, 2027`.
///
/// # Errors
/// Anything else, three bare numbers with slashes or points among it.
pub fn read_day(text: &str) -> Result<NaiveDate, String> {
    let bad = || format!("\"{}\" is not a day; {DAY_WAYS}", text.trim());
    let years = crate::jobfile::YEARS;
    let far = || format!("a job file takes days of {} to {}; {DAY_WAYS}", years.start(), years.end());
    if let Ok(d) = NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d") {
        return if years.contains(&d.year()) { Ok(d) } else { Err(far()) };
    }
    let mut words: Vec<&str> = text.split([' ', ',']).filter(|w| !w.is_empty()).collect();
    let weekday = words.first().and_then(|w| among(&DAYS, w));
    if weekday.is_some() {
        words.remove(0);
    }
    let [a, b, year] = words[..] else { return Err(bad()) };
    let (day, month) = match (among(&MONTHS, a), among(&MONTHS, b)) {
        (None, Some(m)) => (a, m),
        (Some(m), None) => (b, m),
        _ => return Err(bad()),
    };
    let number = |w: &str| w.trim_end_matches('.').parse::<u32>().map_err(|_| bad());
    let (day, year) = (number(day)?, number(year)?);
    let Some(year) = i32::try_from(year).ok().filter(|y| years.contains(y)) else { return Err(far()) };
    let Some(date) = NaiveDate::from_ymd_opt(year, month as u32 + 1, day) else {
        return Err(format!("{} has no day {day}; {DAY_WAYS}", MONTHS[month]));
    };
    match weekday {
        Some(w) if w != date.weekday().num_days_from_monday() as usize => {
            let by = (w as i64 - i64::from(date.weekday().num_days_from_monday()) + 10) % 7 - 3;
            let near = date + chrono::Duration::days(by);
            let (is, said) = (date.format("%A"), near.format("%A"));
            Err(format!("{} is a {is}; the {said} near it is {}", day_field(date), day_field(near)))
        }
        _ => Ok(date),
    }
}

/// Several days, those on end as one stretch: `1 Mar 2027, 5 Apr 2027 to 9 Apr 2027`.
pub fn days_field(days: &[NaiveDate]) -> String {
    let mut days = days.to_vec();
    days.sort_unstable();
    days.dedup();
    let mut out: Vec<String> = Vec::new();
    let mut i = 0;
    while i < days.len() {
        let mut k = i;
        while k + 1 < days.len() && (days[k + 1] - days[k]).num_days() == 1 {
            k += 1;
        }
        out.push(match k - i {
            0 => day_field(days[i]),
            _ => format!("{} to {}", day_field(days[i]), day_field(days[k])),
        });
        i = k + 1;
    }
    out.join(", ")
}

/// Most days of one list.
const MOST_DAYS: i64 = 1_000;

/// Days between commas, each one day or `from to until`.
///
/// # Errors
/// The first that is no day, a stretch that runs backwards, more than 1,000 days.
pub fn read_days(text: &str) -> Result<Vec<NaiveDate>, String> {
    let mut out = Vec::new();
    for part in text.split([',', ';']).map(str::trim).filter(|p| !p.is_empty()) {
        match part.split_once(" to ") {
            None => out.push(read_day(part)?),
            Some((a, b)) => {
                let (a, b) = (read_day(a)?, read_day(b)?);
                if b < a || (b - a).num_days() > MOST_DAYS {
                    return Err(format!("\"{part}\" is no stretch of days; the first day stands first"));
                }
                out.extend((0..=(b - a).num_days()).map(|d| a + chrono::Duration::days(d)));
            }
        }
    }
    out.sort_unstable();
    out.dedup();
    if out.len() as i64 > MOST_DAYS { Err("more than 1,000 days; leave some out".into()) } else { Ok(out) }
}

/// A time of day as it is read back; nothing for none.
pub fn time_text(time: Option<Hm>) -> String {
    time.map_or_else(String::new, |t| t.to_string())
}

/// A time of day: `8:15`, `16:30`, `8`.
///
/// # Errors
/// What is no time of day.
pub fn read_time(text: &str) -> Result<Hm, String> {
    let t = text.trim();
    let whole = !t.is_empty() && t.len() <= 2 && t.chars().all(|c| c.is_ascii_digit());
    let t = if whole { format!("{t}:00") } else { t.to_string() };
    t.parse()
}

/// What an empty sill means: a door stands on the floor, a window has its head at the usual
/// height.
pub fn sill_hint(units: Units, kind: OpeningKind, height: Length) -> String {
    let sill = if kind == OpeningKind::Window { HEAD - height } else { Length::ZERO };
    sill.max(Length::ZERO).print(units.style())
}

/// `spray, crown`: words between commas.
pub fn read_words(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for w in text.split([',', ';']).map(str::trim).filter(|w| !w.is_empty()) {
        if !out.iter().any(|o| o == w) {
            out.push(w.to_string());
        }
    }
    out
}

/// `8:00 to 12:00, 18:00 to 20:30`, nothing for none.
pub fn stretches_field(list: &[Hours]) -> String {
    list.iter().map(|h| hours_field(Some(*h))).collect::<Vec<_>>().join(", ")
}

/// Up to four stretches of one day between commas, in their order; nothing for a day off.
///
/// # Errors
/// The first that is no hours, stretches that run into each other, more than four.
pub fn read_stretches(text: &str) -> Result<Vec<Hours>, String> {
    let parts = text.split([',', ';']).map(str::trim).filter(|p| !p.is_empty());
    let list: Vec<Hours> = parts.map(read_hours).collect::<Result<Vec<_>, _>>()?.into_iter().flatten().collect();
    if list.windows(2).any(|w| w[1].from < w[0].to) {
        return Err("the stretches must follow each other".into());
    }
    if list.len() > 4 { Err("more than four stretches in one day; join some".into()) } else { Ok(list) }
}

/// `12:30 to 13:00`, nothing for none.
pub fn hours_field(hours: Option<Hours>) -> String {
    hours.map_or_else(String::new, |h| format!("{} to {}", h.from, h.to))
}

/// Hours of a day, nothing for none.
///
/// # Errors
/// What is not two times of day, the earlier first.
pub fn read_hours(text: &str) -> Result<Option<Hours>, String> {
    let t = text.trim();
    if t.is_empty() {
        return Ok(None);
    }
    let two = t.split_once("to").or_else(|| t.split_once('-')).or_else(|| t.split_once('–'));
    let Some((a, b)) = two else { return Err(format!("\"{t}\" is no hours; write them like 12:30 to 13:00")) };
    let hours = Hours { from: read_time(a)?, to: read_time(b)? };
    if hours.from < hours.to { Ok(Some(hours)) } else { Err("the earlier time stands first".into()) }
}

/// `Mon`.
pub fn day_word(day: Day) -> &'static str {
    ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"][day.index()]
}

/// `Tue Thu 13:00 to 16:00; 12 Apr 2027 9:00 to 10:00`, nothing for none.
pub fn windows_field(windows: &[Window]) -> String {
    let one = |w: &Window| {
        let days = match w.date {
            Some(d) => day_field(d),
            None => w.days.iter().map(|&d| day_word(d)).collect::<Vec<_>>().join(" "),
        };
        format!("{days} {}", hours_field(Some(Hours { from: w.from, to: w.to })))
    };
    windows.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// Appointments between semicolons, each weekdays or one day, then hours.
///
/// # Errors
/// The first that is neither.
pub fn read_windows(text: &str) -> Result<Vec<Window>, String> {
    read_windows_by(text, &read_day)
}

/// The same, days read as `day` reads them.
///
/// # Errors
/// The first that is neither.
pub fn read_windows_by(text: &str, day: ReadDay) -> Result<Vec<Window>, String> {
    text.split(';').map(str::trim).filter(|p| !p.is_empty()).map(|t| window(t, day)).collect()
}

/// A way to read a day.
pub type ReadDay<'a> = &'a dyn Fn(&str) -> Result<NaiveDate, String>;

fn window(text: &str, day: ReadDay) -> Result<Window, String> {
    let bad = || format!("\"{text}\" is no appointment; write it like Tue Thu 13:00 to 16:00");
    // The hours begin with the last word but two.
    let words: Vec<&str> = text.split([' ', ',']).filter(|w| !w.is_empty()).collect();
    let Some(cut) = words.len().checked_sub(3).filter(|_| words.get(words.len() - 2) == Some(&"to")) else {
        return Err(bad());
    };
    let hours = read_hours(&words[cut..].join(" "))?.ok_or_else(bad)?;
    let (from, to) = (hours.from, hours.to);
    let days: Option<Vec<Day>> = words[..cut].iter().map(|w| among(&DAYS, w).map(|d| Day::ALL[d])).collect();
    match days {
        Some(days) if !days.is_empty() => Ok(Window { days, date: None, from, to }),
        Some(_) => Ok(Window { from, to, ..Window::default() }),
        None => Ok(Window { days: Vec::new(), date: Some(day(&words[..cut].join(" "))?), from, to }),
    }
}

/// What a caption says of stock in feet, the unit behind the field and the accessible name of the field.
pub fn stock_words(units: Units) -> (&'static str, &'static str) {
    match units {
        Units::FeetInches => ("ft turn on the stairs", "feet that turn on the stairs"),
        Units::Metric => ("m turn on the stairs", "metres that turn on the stairs"),
    }
}

/// Feet of stock in the units of the job, to the centimetre.
pub fn stock_field(units: Units, feet: f64) -> String {
    match units {
        Units::FeetInches => plain(feet),
        Units::Metric => plain((feet * 30.48).round() / 100.0),
    }
}

/// Feet of stock typed in the units of the job.
///
/// # Errors
/// As [`read_amount`].
pub fn read_stock(units: Units, text: &str) -> Result<f64, String> {
    let x = read_amount(text)?;
    Ok(if units == Units::Metric { x / 0.3048 } else { x })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn d(y: i32, m: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(y, m, day).unwrap()
    }

    #[test]
    fn days_are_read_as_people_write_them_and_bare_numbers_are_not_guessed() {
        for text in ["2027-03-01", "1 Mar 2027", " Mon 1 March 2027", "Mar 1, 2027", "Monday, 1 mar. 2027"] {
            assert_eq!(read_day(text), Ok(d(2027, 3, 1)), "{text}");
        }
        for text in ["3/1/2027", "1.3.2027", "1 Mar", "Mar", "", "1 Mar 27", "31 Nov 2027", "2027-13-01", "1 2 2027"] {
            let e = read_day(text).unwrap_err();
            assert!(e.contains("write the day like"), "{text}: {e}");
        }
        // 1 March 2027 is a Monday (proleptic Gregorian calendar).
        assert_eq!(read_day("Tue 1 Mar 2027"), Err("1 Mar 2027 is a Monday; the Tuesday near it is 2 Mar 2027".into()));
    }

    #[test]
    fn hours_of_one_day_are_read_as_they_are_shown() {
        let two = read_stretches("8 to 12, 18:00 - 20:30").unwrap();
        assert_eq!(stretches_field(&two), "8:00 to 12:00, 18:00 to 20:30");
        assert_eq!(read_stretches(&stretches_field(&two)), Ok(two));
        assert_eq!(read_stretches(" "), Ok(vec![]));
        assert!(read_stretches("8 to 12, 11 to 14").unwrap_err().contains("follow"));
        assert!(read_stretches("morning").is_err());
        assert_eq!(read_words("spray, crown ,spray;"), ["spray", "crown"]);
        let in36 = Length::from_inches(54.0);
        assert_eq!(sill_hint(Units::FeetInches, OpeningKind::Window, in36), "2' 2\"");
        assert_eq!(sill_hint(Units::FeetInches, OpeningKind::Door, in36), "0\"");
    }

    #[test]
    fn a_typical_figure_past_its_range_takes_the_range_along() {
        assert_eq!(with_typical((1.0, 2.0, 4.0), 3.0), (1.0, 3.0, 4.0));
        assert_eq!(with_typical((1.0, 2.0, 4.0), 6.0), (3.0, 6.0, 12.0));
        assert_eq!(with_typical((1.0, 2.0, 4.0), 0.5), (0.25, 0.5, 1.0));
        // What is too small for four decimals still rises.
        let (low, _, high) = with_typical((0.001, 0.002, 0.003), 0.000_01);
        assert!(low <= 0.000_01 && high >= 0.000_01);
        assert_eq!(with_typical((0.0, 0.0, 0.0), 1.0), (0.0, 1.0, 0.0));
    }

    #[test]
    fn days_on_end_are_one_stretch() {
        let list = [d(2027, 4, 6), d(2027, 4, 5), d(2027, 3, 1), d(2027, 4, 7)];
        assert_eq!(days_field(&list), "1 Mar 2027, 5 Apr 2027 to 7 Apr 2027");
        assert_eq!(read_days("1 Mar 2027, 2027-04-05 to 7 Apr 2027").unwrap().len(), 4);
        assert_eq!(read_days(" "), Ok(vec![]));
        assert!(read_days("7 Apr 2027 to 5 Apr 2027").is_err());
        assert!(read_days("1 Apr 2027 to 5 Apr 2090").is_err());
    }

    #[test]
    fn a_step_is_of_the_size_of_the_number() {
        assert_eq!([stepped(12.0, 12.0, 1), stepped(0.4, 0.4, 3), stepped(0.4, 0.4, -50)], [13.0, 0.43, 0.0]);
        assert_eq!([stepped(1.5, 1.5, -1), stepped(0.0, 0.0, 2), stepped(250.0, 250.0, 1)], [1.4, 0.2, 260.0]);
        assert_eq!(plain(stepped(0.008, 0.008, 1)), "0.0081");
        let foot = Length::from_inches(12.25);
        assert_eq!(length_stepped(Units::FeetInches, foot, 2), Length::from_inches(14.0));
        assert_eq!(length_stepped(Units::FeetInches, foot, -50), Length::from_inches(1.0));
        // 68 F is 20 C by the definition of the scales.
        assert!((degrees_stepped(Units::Metric, 68.0, 5) - 77.0).abs() < 1e-9);
        assert!((degrees_stepped(Units::FeetInches, 68.4, -1) - 67.0).abs() < 1e-9);
        let day = Some(Hours { from: Hm(480), to: Hm(990) });
        assert_eq!(hours_stepped(day, -2), Some(Hours { from: Hm(480), to: Hm(960) }));
        assert_eq!((hours_stepped(day, -900).map(|h| h.to), hours_stepped(None, 3)), (Some(Hm(495)), None));
    }

    #[test]
    fn shares_are_typed_in_per_cent_and_degrees_in_the_jobs_own() {
        assert_eq!((read_percent("20 %"), read_percent("20")), (Ok(0.2), Ok(0.2)));
        assert!(read_percent("120").is_err() && read_percent("-1 %").is_err());
        assert_eq!(percent(0.02), "2 %");
        // 68 F is 20 C by the definition of the scales.
        assert_eq!(degrees(Units::Metric, 68.0), "20 C");
        assert_eq!(degrees(Units::FeetInches, 68.0), "68 F");
        assert!((read_degrees(Units::Metric, "20").unwrap() - 68.0).abs() < 1e-9);
        assert!((read_degrees(Units::FeetInches, "20 C").unwrap() - 68.0).abs() < 1e-9);
        assert!((read_degrees(Units::Metric, "68 °F").unwrap() - 68.0).abs() < 1e-9);
        assert!(read_degrees(Units::FeetInches, "900").is_err());
    }

    #[test]
    fn hours_and_appointments_read_back() {
        assert_eq!(read_time("8"), Ok(Hm(480)));
        assert!(read_time("8:75").is_err() && read_time("").is_err());
        let lunch = read_hours("12:30-13:00").unwrap();
        assert_eq!(hours_field(lunch), "12:30 to 13:00");
        assert_eq!(read_hours(""), Ok(None));
        assert!(read_hours("13:00 to 12:30").is_err() && read_hours("noon").is_err());
        let text = "Tue Thu 13:00 to 16:00; 12 Apr 2027 9:00 to 10:00";
        let w = read_windows(text).unwrap();
        assert_eq!((w[0].days.len(), w[1].date), (2, Some(d(2027, 4, 12))));
        assert_eq!(windows_field(&w), text);
        // Without a year it is the one near the job.
        let near = |t: &str| {
            crate::views::said::day_near(t, crate::views::said::Near { day: d(2027, 3, 1), units: Units::FeetInches })
        };
        assert_eq!(read_windows_by("Tue 9 Mar 9:00 to 10:00", &near).unwrap()[0].date, Some(d(2027, 3, 9)));
        assert!(read_windows("9 Mar 9:00 to 10:00").is_err());
        // 16 ft are 4.8768 m.
        assert_eq!(stock_field(Units::Metric, 16.0), "4.88");
        assert!((read_stock(Units::Metric, "4,88").unwrap() - 16.01).abs() < 0.001);
        assert_eq!(read_windows("13:00 to 16:00").unwrap()[0].days.len(), 5);
        assert!(read_windows("Tue afternoon").is_err() && read_windows("Foo 1:00 to 2:00").is_err());
    }

    #[test]
    fn a_day_no_job_file_holds_is_not_taken() {
        for text in [
            "1989-12-31",
            "31 Dec 1989",
            "1 Jan 2201",
            "2201-01-01",
            "+262142-12-31",
            "-0001-01-01",
            "1 Jan 4000000000",
        ] {
            assert!(read_day(text).is_err(), "{text}");
        }
        assert_eq!((read_day("1990-01-01"), read_day("31 Dec 2200")), (Ok(d(1990, 1, 1)), Ok(d(2200, 12, 31))));
    }

    #[test]
    fn numbers_say_what_to_write() {
        assert_eq!((plain(0.0140), plain(12.0), plain(-0.00001)), ("0.014".into(), "12".into(), "0".into()));
        assert_eq!(read_number(" 1,5 "), Ok(1.5));
        for text in ["", "ten", "nan", "inf", "1e999", "1.2.3"] {
            assert!(read_number(text).unwrap_err().contains("write it like"), "{text}");
        }
        assert!(read_amount("-1").is_err() && read_count("1.5").is_err() && read_count("3") == Ok(3));
    }

    proptest! {
        #[test]
        fn no_text_makes_trouble(text in "\\PC{0,30}", near in "[0-9a-zA-Z:,; to.%°-]{0,30}") {
            for t in [&text, &near] {
                let _ = (read_day(t), read_days(t), read_windows(t), read_hours(t), read_percent(t));
                let _ = (read_degrees(Units::Metric, t), read_count(t));
            }
        }

        #[test]
        fn a_printed_day_reads_back(n in 0i64..77_000) {
            let day = d(1990, 1, 1) + chrono::Duration::days(n);
            prop_assert_eq!(read_day(&day_field(day)), Ok(day));
            prop_assert_eq!(read_day(&super::super::dates::day_words(day)), Ok(day));
            prop_assert_eq!(read_day(&super::super::iso_day(day)), Ok(day));
        }
    }
}
