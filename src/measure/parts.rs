//! Printed parts that add up to the printed total.
//!
//! Largest remainder: each part is rounded down to the printed step, and the steps still
//! missing to the rounded total go to the parts that lost most, the earlier one at a tie.
//! No part is off by a whole step.

use super::{Area, LaborHours, Length, Style};

/// The parts rounded to multiples of `step` (above 0) so that they sum to the rounded
/// total, halves up. Parts of more than about 2^62 together are not supported.
pub fn apportion(parts: &[i64], step: i64) -> Vec<i64> {
    let step = step.max(1);
    let total: i64 = parts.iter().sum();
    let rounded = (total + step / 2).div_euclid(step);
    let mut out: Vec<i64> = parts.iter().map(|p| p.div_euclid(step)).collect();
    let missing = (rounded - out.iter().sum::<i64>()).max(0) as usize;
    let mut by_loss: Vec<usize> = (0..parts.len()).collect();
    by_loss.sort_by_key(|&i| (-parts[i].rem_euclid(step), i));
    for &i in by_loss.iter().take(missing) {
        out[i] += 1;
    }
    out.iter().map(|n| n * step).collect()
}

/// Lengths as printed, and their total as printed.
pub fn print_lengths(parts: &[Length], style: Style) -> (Vec<String>, String) {
    let units: Vec<i64> = parts.iter().map(|l| l.0).collect();
    let out = apportion(&units, style.step());
    let total = Length(out.iter().sum());
    (out.iter().map(|&u| Length(u).print(style)).collect(), total.print(style))
}

/// Labor hours as printed, to the tenth, and their total as printed.
pub fn print_hours(parts: &[LaborHours]) -> (Vec<String>, String) {
    let minutes: Vec<i64> = parts.iter().map(|h| h.0).collect();
    let out = apportion(&minutes, 6);
    let total = LaborHours(out.iter().sum());
    (out.iter().map(|&m| LaborHours(m).to_string()).collect(), total.to_string())
}

/// Areas as printed, and their total as printed.
pub fn print_areas(parts: &[Area], style: Style) -> (Vec<String>, String) {
    // Millionths of the unit printed, so that the sum is exact.
    let (per, step) = match style {
        Style::FeetInches => (1.0, 1_000_000),
        Style::Metric => (Area::from_m2(1.0).0, 100_000),
    };
    let millionths: Vec<i64> = parts.iter().map(|a| libm::round(a.0 / per * 1e6) as i64).collect();
    let out = apportion(&millionths, step);
    let print = |m: i64| Area(m as f64 / 1e6 * per).print(style);
    (out.iter().map(|&m| print(m)).collect(), print(out.iter().sum()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn thirds_of_a_yard_and_of_an_hour() {
        let third = Length::from_inches(1.0 / 3.0);
        let (parts, total) = print_lengths(&[third; 3], Style::FeetInches);
        assert_eq!((parts.join(" + "), total.as_str()), ("3/8\" + 5/16\" + 5/16\"".to_string(), "1\""));
        let (parts, total) = print_hours(&[LaborHours(20); 3]);
        assert_eq!((parts.join(" + "), total.as_str()), ("0.4 h + 0.3 h + 0.3 h".to_string(), "1.0 h"));
        let (parts, total) = print_areas(&[Area(10.4); 3], Style::FeetInches);
        assert_eq!((parts.join(" + "), total.as_str()), ("11 SF + 10 SF + 10 SF".to_string(), "31 SF"));
    }

    proptest! {
        #[test]
        fn parts_add_up(units in prop::collection::vec(0..Length::MOST.0, 0..12), metric: bool) {
            let style = if metric { Style::Metric } else { Style::FeetInches };
            let lengths: Vec<Length> = units.iter().map(|&u| Length(u)).collect();
            let (parts, total) = print_lengths(&lengths, style);
            let sum: Length = parts.iter().map(|p| p.parse::<Length>().unwrap()).sum();
            prop_assert_eq!(sum.print(style), total.clone());
            prop_assert_eq!(total, lengths.iter().copied().sum::<Length>().print(style));
            for (p, l) in parts.iter().zip(&lengths) {
                prop_assert!((p.parse::<Length>().unwrap().0 - l.0).abs() < style.step());
            }
        }

        #[test]
        fn areas_add_up(sf in prop::collection::vec(0.0..5000.0f64, 0..12)) {
            let areas: Vec<Area> = sf.iter().map(|&a| Area(a)).collect();
            let (parts, total) = print_areas(&areas, Style::FeetInches);
            let n = |s: &String| s.trim_end_matches(" SF").parse::<i64>().unwrap();
            prop_assert_eq!(parts.iter().map(n).sum::<i64>(), n(&total));
        }
    }
}
