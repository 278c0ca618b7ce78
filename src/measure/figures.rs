//! Areas, labor hours and money.

use std::fmt;
use std::ops::{Add, AddAssign, Mul, Sub};

use serde::{Deserialize, Serialize};

use super::Style;

/// Square feet in a square metre.
const SF_PER_M2: f64 = 1.0 / (0.3048 * 0.3048);

/// An area, square feet.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Area(pub f64);

impl Area {
    /// From square metres.
    pub fn from_m2(m2: f64) -> Area {
        Area(m2 * SF_PER_M2)
    }
    /// In square metres.
    pub fn m2(self) -> f64 {
        self.0 / SF_PER_M2
    }
    /// `408 SF`, or `37.9 m2`.
    pub fn print(self, style: Style) -> String {
        match style {
            Style::FeetInches => format!("{:.0} SF", self.0),
            Style::Metric => format!("{:.1} m2", self.m2()),
        }
    }
}

impl Add for Area {
    type Output = Area;
    fn add(self, other: Area) -> Area {
        Area(self.0 + other.0)
    }
}
impl Sub for Area {
    type Output = Area;
    fn sub(self, other: Area) -> Area {
        Area(self.0 - other.0)
    }
}
impl AddAssign for Area {
    fn add_assign(&mut self, other: Area) {
        self.0 += other.0;
    }
}
impl Mul<f64> for Area {
    type Output = Area;
    fn mul(self, times: f64) -> Area {
        Area(self.0 * times)
    }
}
impl std::iter::Sum for Area {
    fn sum<I: Iterator<Item = Area>>(iter: I) -> Area {
        iter.fold(Area(0.0), Add::add)
    }
}

/// Labor of one person, whole minutes. Not elapsed time: the two do not add up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct LaborHours(pub i64);

impl LaborHours {
    /// From hours, rounded to the minute.
    pub fn from_hours(hours: f64) -> LaborHours {
        LaborHours(libm::round(hours * 60.0) as i64)
    }
    /// In hours.
    pub fn hours(self) -> f64 {
        self.0 as f64 / 60.0
    }
}

/// `6.5 h`, to the tenth, halves away from zero.
impl fmt::Display for LaborHours {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 <= -3 { "-" } else { "" };
        let tenths = (self.0.unsigned_abs() + 3) / 6;
        f.pad(&format!("{sign}{}.{} h", tenths / 10, tenths % 10))
    }
}

impl Add for LaborHours {
    type Output = LaborHours;
    fn add(self, other: LaborHours) -> LaborHours {
        LaborHours(self.0 + other.0)
    }
}
impl Sub for LaborHours {
    type Output = LaborHours;
    fn sub(self, other: LaborHours) -> LaborHours {
        LaborHours(self.0 - other.0)
    }
}
impl AddAssign for LaborHours {
    fn add_assign(&mut self, other: LaborHours) {
        self.0 += other.0;
    }
}
impl std::iter::Sum for LaborHours {
    fn sum<I: Iterator<Item = LaborHours>>(iter: I) -> LaborHours {
        iter.fold(LaborHours(0), Add::add)
    }
}

/// Dollars and cents, in cents.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Money(pub i64);

impl Money {
    /// From dollars, rounded to the cent.
    pub fn from_dollars(dollars: f64) -> Money {
        Money(libm::round(dollars * 100.0) as i64)
    }
    /// In dollars.
    pub fn dollars(self) -> f64 {
        self.0 as f64 / 100.0
    }
}

/// `$1,234.50`.
impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let n = self.0.unsigned_abs();
        let whole = (n / 100).to_string();
        let mut grouped = String::new();
        for (i, c) in whole.chars().enumerate() {
            if i > 0 && (whole.len() - i).is_multiple_of(3) {
                grouped.push(',');
            }
            grouped.push(c);
        }
        f.pad(&format!("{sign}${grouped}.{:02}", n % 100))
    }
}

impl Add for Money {
    type Output = Money;
    fn add(self, other: Money) -> Money {
        Money(self.0 + other.0)
    }
}
impl Sub for Money {
    type Output = Money;
    fn sub(self, other: Money) -> Money {
        Money(self.0 - other.0)
    }
}
impl std::iter::Sum for Money {
    fn sum<I: Iterator<Item = Money>>(iter: I) -> Money {
        iter.fold(Money(0), Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_print() {
        assert_eq!(Area(408.3).print(Style::FeetInches), "408 SF");
        assert_eq!(Area(408.3).print(Style::Metric), "37.9 m2");
        assert!((Area::from_m2(37.9).m2() - 37.9).abs() < 1e-12);
        assert_eq!(LaborHours(390).to_string(), "6.5 h");
        assert_eq!(LaborHours(3).to_string(), "0.1 h");
        assert_eq!(LaborHours(2).to_string(), "0.0 h");
        assert_eq!(LaborHours(-90).to_string(), "-1.5 h");
        assert_eq!(LaborHours::from_hours(1.0 / 3.0), LaborHours(20));
        assert_eq!(Money(123_450).to_string(), "$1,234.50");
        assert_eq!(Money(-100_000_005).to_string(), "-$1,000,000.05");
        assert_eq!(Money::from_dollars(0.1) + Money(5), Money(15));
        assert_eq!(Money(i64::MIN).to_string(), "-$92,233,720,368,547,758.08");
    }
}
