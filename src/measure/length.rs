//! A length, and how it is printed and stored.

use std::fmt;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::{Area, Style};

/// A length, in units of 25 nanometres: 1 in = 1,016,000, 1 mm = 40,000.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(pub i64);

impl Length {
    /// Nothing.
    pub const ZERO: Length = Length(0);
    /// Units in an inch.
    pub const INCH: i64 = 1_016_000;
    /// Units in a foot.
    pub const FOOT: i64 = 12 * Length::INCH;
    /// Units in a millimetre.
    pub const MM: i64 = 40_000;
    /// The longest that reads, 2,000 ft: past any room, and short of overflow by far.
    pub const MOST: Length = Length(2_000 * Length::FOOT);

    /// From inches, rounded to the nearest unit.
    pub fn from_inches(inches: f64) -> Length {
        Length(libm::round(inches * Length::INCH as f64) as i64)
    }
    /// From feet, rounded to the nearest unit.
    pub fn from_feet(feet: f64) -> Length {
        Length(libm::round(feet * Length::FOOT as f64) as i64)
    }
    /// From millimetres, rounded to the nearest unit.
    pub fn from_mm(mm: f64) -> Length {
        Length(libm::round(mm * Length::MM as f64) as i64)
    }
    /// In inches.
    pub fn inches(self) -> f64 {
        self.0 as f64 / Length::INCH as f64
    }
    /// In feet.
    pub fn feet(self) -> f64 {
        self.0 as f64 / Length::FOOT as f64
    }
    /// In millimetres.
    pub fn mm(self) -> f64 {
        self.0 as f64 / Length::MM as f64
    }
    /// In metres.
    pub fn metres(self) -> f64 {
        self.mm() / 1000.0
    }

    /// Printed for people: `11' 6-1/2"`, `13'`, `3-1/2"` to the sixteenth; `3.500 m` from a
    /// metre up, `350 mm` below, to the millimetre. Halves round away from zero.
    pub fn print(self, style: Style) -> String {
        let sign = if self.0 < 0 { "-" } else { "" };
        let n = self.round_to(style.step()).0.saturating_abs();
        let sign = if n == 0 { "" } else { sign };
        match style {
            Style::FeetInches => {
                let sixteenths = n / style.step();
                let (feet, rest) = (sixteenths / 192, sixteenths % 192);
                match (feet, rest) {
                    (0, r) => format!("{sign}{}\"", mixed(r, 16)),
                    (f, 0) => format!("{sign}{f}'"),
                    (f, r) => format!("{sign}{f}' {}\"", mixed(r, 16)),
                }
            }
            Style::Metric => {
                let mm = n / Length::MM;
                if mm >= 1000 { format!("{sign}{}.{:03} m", mm / 1000, mm % 1000) } else { format!("{sign}{mm} mm") }
            }
        }
    }

    /// Written so that it reads back to the same unit, in the style asked where that is
    /// exact, without quotation marks: `11'6-1/2`, `36 in`, `2413.000025 mm`.
    pub fn exact(self, style: Style) -> String {
        let whole_mm = self.0 % Length::MM == 0;
        let sixty_fourth = Length::INCH / 64;
        let sign = if self.0 < 0 { "-" } else { "" };
        let n = self.0.unsigned_abs() as i128;
        if self.0 % sixty_fourth == 0 && !(style == Style::Metric && whole_mm) {
            let parts = (n / sixty_fourth as i128) as i64;
            let (feet, rest) = (parts / 768, parts % 768);
            return match (feet, rest) {
                (0, r) => format!("{sign}{} in", mixed(r, 64)),
                (f, 0) => format!("{sign}{f}'"),
                (f, r) => format!("{sign}{f}'{}", mixed(r, 64)),
            };
        }
        // 1 unit = 0.000025 mm: six decimals are exact.
        let millionths = n * 25;
        let (mm, rest) = (millionths / 1_000_000, millionths % 1_000_000);
        if rest == 0 {
            return format!("{sign}{mm} mm");
        }
        let decimals = format!("{rest:06}");
        format!("{sign}{mm}.{} mm", decimals.trim_end_matches('0'))
    }

    pub(super) fn round_to(self, step: i64) -> Length {
        let half = step / 2;
        let n = self.0.unsigned_abs() as i128 + half as i128;
        let n = (n / step as i128 * step as i128).min(i64::MAX as i128) as i64;
        Length(if self.0 < 0 { -n } else { n })
    }
}

impl Style {
    /// The smallest length printed, in units: a sixteenth of an inch or a millimetre.
    pub(super) fn step(self) -> i64 {
        match self {
            Style::FeetInches => Length::INCH / 16,
            Style::Metric => Length::MM,
        }
    }
}

/// Inches from a number of `1/per` inches: `6`, `6-1/2`, `1/2`, `0`.
fn mixed(parts: i64, per: i64) -> String {
    let (whole, mut num) = (parts / per, parts % per);
    let mut den = per;
    while num > 0 && num % 2 == 0 {
        num /= 2;
        den /= 2;
    }
    match (whole, num) {
        (w, 0) => format!("{w}"),
        (0, n) => format!("{n}/{den}"),
        (w, n) => format!("{w}-{n}/{den}"),
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.print(Style::FeetInches))
    }
}

impl Serialize for Length {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_str(&self.exact(Style::FeetInches))
    }
}

impl<'de> Deserialize<'de> for Length {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(serde::de::Error::custom)
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}
impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        self.0 += other.0;
    }
}
impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0 - other.0)
    }
}
impl SubAssign for Length {
    fn sub_assign(&mut self, other: Length) {
        self.0 -= other.0;
    }
}
impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(-self.0)
    }
}
impl Mul<i64> for Length {
    type Output = Length;
    fn mul(self, times: i64) -> Length {
        Length(self.0 * times)
    }
}
impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Length) -> Area {
        Area(self.feet() * other.feet())
    }
}
impl std::iter::Sum for Length {
    fn sum<I: Iterator<Item = Length>>(iter: I) -> Length {
        iter.fold(Length::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn prints_as_carpenters_write() {
        let p = |s: &str, style| s.parse::<Length>().unwrap().print(style);
        assert_eq!(p("11'6 1/2", Style::FeetInches), "11' 6-1/2\"");
        assert_eq!(p("13'", Style::FeetInches), "13'");
        assert_eq!(p("3.5 in", Style::FeetInches), "3-1/2\"");
        assert_eq!(p("11-31/32 in", Style::FeetInches), "1'");
        assert_eq!(p("350 cm", Style::FeetInches), "11' 5-13/16\"");
        assert_eq!(p("3,5 m", Style::Metric), "3.500 m");
        assert_eq!(p("35 cm", Style::Metric), "350 mm");
        assert_eq!(p("13'", Style::Metric), "3.962 m");
        assert_eq!(Length::ZERO.print(Style::FeetInches), "0\"");
        assert_eq!((-Length::from_inches(2.5)).to_string(), "-2-1/2\"");
        assert_eq!((-Length(1)).to_string(), "0\"");
    }

    #[test]
    fn stores_without_quotation_marks_and_loses_nothing() {
        let e = |l: Length| l.exact(Style::FeetInches);
        assert_eq!(e(Length::from_inches(138.5)), "11'6-1/2");
        assert_eq!(e(Length::from_inches(3.5)), "3-1/2 in");
        assert_eq!(e(Length::from_inches(0.015625)), "1/64 in");
        assert_eq!(e(Length::from_mm(3500.0)), "3500 mm");
        assert_eq!(Length::from_mm(254.0).exact(Style::Metric), "254 mm");
        assert_eq!(e(Length(1)), "0.000025 mm");
        assert_eq!(e(Length::ZERO), "0 in");
    }

    #[test]
    fn a_product_of_lengths_is_an_area() {
        assert!(((Length::from_feet(13.0) * Length::from_feet(11.5)).0 - 149.5).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn exact_reads_back(units in 0..=Length::MOST.0, metric: bool) {
            let style = if metric { Style::Metric } else { Style::FeetInches };
            prop_assert_eq!(Length(units).exact(style).parse::<Length>(), Ok(Length(units)));
        }

        #[test]
        fn print_reads_back_to_what_was_printed(units in 0..=Length::MOST.0, metric: bool) {
            let style = if metric { Style::Metric } else { Style::FeetInches };
            let read = Length(units).print(style).parse::<Length>().unwrap();
            prop_assert_eq!(read, Length(units).round_to(style.step()));
            prop_assert!((read.0 - units).abs() * 2 <= style.step());
            prop_assert_eq!(read.print(style), Length(units).print(style));
        }

        #[test]
        fn every_unit_prints(units: i64) {
            for l in [Length(units), Length(i64::MIN), Length(i64::MAX)] {
                let _ = (l.print(Style::FeetInches), l.exact(Style::Metric));
            }
        }
    }
}
