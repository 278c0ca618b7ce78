//! Hours of a day and what is left of a step, as they are typed in the evening.
//!
//! Hours are written in quarters, `4 1/4`, `4.25`, `4:15`, and read in any of these ways. What is
//! left is a share, `30 %` or `1/3`, or a quantity in the step's own unit, `40 SF`.

use super::super::typed::{plain, read_number};

/// Quarters as fractions.
const QUARTERS: [(&str, f64); 3] = [("1/4", 0.25), ("1/2", 0.5), ("3/4", 0.75)];

/// Hours so many quarters on, from the quarter they are nearest to; 0 to 24.
pub fn quarters_on(hours: f64, by: i64) -> f64 {
    ((hours * 4.0).round() + by as f64).clamp(0.0, 96.0) / 4.0
}

/// `4 1/4`, `1/2`, `4.1` where it is no quarter.
pub fn hours_field(hours: f64) -> String {
    let quarters = hours * 4.0;
    if (quarters - quarters.round()).abs() > 1e-6 {
        return plain((hours * 100.0).round() / 100.0);
    }
    let (whole, rest) = (quarters.round() as i64 / 4, quarters.round() as i64 % 4);
    match (whole, rest) {
        (w, 0) => w.to_string(),
        (0, r) => QUARTERS[r as usize - 1].0.to_string(),
        (w, r) => format!("{w} {}", QUARTERS[r as usize - 1].0),
    }
}

/// A number with a fraction behind it: `4 1/4`, `1/3`, `4¼`.
fn fraction(text: &str) -> Option<f64> {
    let spread =
        ["¼", "½", "¾"].iter().zip(QUARTERS).fold(text.to_string(), |t, (c, (w, _))| t.replace(c, &format!(" {w}")));
    let mut parts = spread.split_whitespace();
    let (first, second, none) = (parts.next()?, parts.next(), parts.next());
    let over = |t: &str| {
        let (a, b) = t.split_once('/')?;
        let (a, b) = (a.parse::<u32>().ok()?, b.parse::<u32>().ok()?);
        (b > 0 && a < b).then(|| f64::from(a) / f64::from(b))
    };
    match (second, none) {
        (_, Some(_)) => None,
        (None, None) => over(first),
        (Some(s), None) => Some(f64::from(first.parse::<u32>().ok()?) + over(s)?),
    }
}

/// Hours of one day.
///
/// # Errors
/// What is no hours, and what is not 0 to 24.
pub fn read_hours_worked(text: &str) -> Result<f64, String> {
    let t = text.trim().trim_end_matches('h').trim();
    let clock = || {
        let (h, m) = t.split_once(':')?;
        let (h, m) = (h.trim().parse::<u32>().ok()?, m.trim().parse::<u32>().ok()?);
        (m < 60).then(|| f64::from(h) + f64::from(m) / 60.0)
    };
    let hours = match fraction(t).or_else(clock) {
        Some(h) => h,
        None => {
            read_number(t).map_err(|_| format!("\"{}\" is no hours; write them like 4 1/4 or 4.25", text.trim()))?
        }
    };
    if (0.0..=24.0).contains(&hours) { Ok(hours) } else { Err("hours of one day are 0 to 24".into()) }
}

/// `30 %` of a share left; nothing where it was not measured.
pub fn left_field(left: Option<f64>) -> String {
    left.map_or_else(String::new, |l| format!("{} %", plain((l * 1000.0).round() / 10.0)))
}

/// What is left of a step: a share, or a quantity of it; nothing for not measured.
///
/// # Errors
/// What is neither, and more than there is.
pub fn read_left(text: &str, quantity: Option<(f64, &str)>) -> Result<Option<f64>, String> {
    let t = text.trim();
    if t.is_empty() {
        return Ok(None);
    }
    let share = |x: f64| {
        if (0.0..=1.0).contains(&x) { Ok(Some(x)) } else { Err("what is left is 0 to 100 % of the step".to_string()) }
    };
    if let Some(p) = t.strip_suffix('%') {
        return share(read_number(p)? / 100.0);
    }
    if let Some(x) = fraction(t) {
        return share(x);
    }
    let number: String = t.chars().take_while(|c| c.is_ascii_digit() || ".,".contains(*c)).collect();
    let unit = t[number.len()..].trim();
    let x = read_number(&number)?;
    match quantity {
        Some((all, of)) if unit.eq_ignore_ascii_case(of) && !unit.is_empty() => {
            if x > all + 1e-9 {
                return Err(format!("there are {} {of} in all", plain((all * 10.0).round() / 10.0)));
            }
            Ok(Some(if all > 0.0 { x / all } else { 0.0 }))
        }
        _ if unit.is_empty() && x <= 1.0 => share(x),
        Some((_, of)) if !of.is_empty() => Err(format!("write 30 %, 1/3, or how many {of} are left")),
        _ => Err("write what is left as 30 % or 1/3".into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_are_read_as_they_are_said_and_step_by_quarters() {
        for (text, hours) in
            [("4 1/4", 4.25), ("4.25", 4.25), ("4,25 h", 4.25), ("4:15", 4.25), ("4¼", 4.25), ("½", 0.5), ("0", 0.0)]
        {
            assert_eq!(read_hours_worked(text), Ok(hours), "{text}");
        }
        for text in ["", "long", "25", "-1", "4:75", "4 5/4", "1 2 3"] {
            assert!(read_hours_worked(text).is_err(), "{text}");
        }
        for quarters in 0..=96 {
            let h = f64::from(quarters) / 4.0;
            assert_eq!(read_hours_worked(&hours_field(h)), Ok(h));
        }
        assert_eq!(hours_field(2.9), "2.9");
        assert_eq!((quarters_on(2.9, 1), quarters_on(0.0, -1), quarters_on(4.25, -2)), (3.25, 0.0, 3.75));
    }

    #[test]
    fn what_is_left_is_a_share_or_a_quantity() {
        let walls = Some((160.0, "SF"));
        assert_eq!(read_left("30 %", walls), Ok(Some(0.3)));
        assert_eq!(read_left("40 sf", walls), Ok(Some(0.25)));
        assert_eq!(read_left("1/4", None), Ok(Some(0.25)));
        assert_eq!(read_left(" ", walls), Ok(None));
        for text in ["200 SF", "40", "130 %", "40 LF", "half"] {
            assert!(read_left(text, walls).is_err(), "{text}");
        }
        assert_eq!(left_field(Some(0.256)), "25.6 %");
    }
}
