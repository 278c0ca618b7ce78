//! How long a coat takes in the air of a place, without a plan: a usual week of that air.
//!
//! A plan counts hour by hour; here the speed of the week's work hours and of its other hours
//! is weighed by how many there are. Hours by the clock on the wall. It is told before a
//! recipe is chosen and never used for a date.

use crate::job::Place;
use crate::measure::LaborHours;
use crate::trade::{Product, Stage};

const WEEK_MIN: f64 = 7.0 * 1440.0;

/// Elapsed hours until a coat of this thickness has got to the stage; `None` where the product
/// has no such stage, or does not dry in this air at all.
pub fn dry_hours(product: &Product, stage: Stage, thick: f64, place: &Place) -> Option<f64> {
    let hours = product.hours.hours(stage)? * thick;
    let work_min = place.air_days.len() as f64 * (place.air_hours.to.0 - place.air_hours.from.0) as f64;
    let share = (work_min / WEEK_MIN).clamp(0.0, 1.0);
    let speed = share * product.speed(stage, place.work_air) + (1.0 - share) * product.speed(stage, place.off_air);
    (speed > 1e-6).then(|| hours / speed)
}

/// `5 h`, `half a day`, `2 days`: elapsed hours said roughly, never shorter than they are.
pub fn roughly(hours: f64) -> String {
    if hours < 18.0 {
        let whole = libm::ceil(hours - 1e-9).max(1.0);
        return format!("{whole:.0} h");
    }
    match libm::ceil(hours / 12.0 - 1e-9) as i64 {
        2 => "a day".into(),
        n if n % 2 == 0 => format!("{} days", n / 2),
        3 => "a day and a half".into(),
        n => format!("{} 1/2 days", n / 2),
    }
}

/// `6.2 h` of labor from minutes.
pub fn labor_words(minutes: f64) -> String {
    LaborHours(libm::round(minutes) as i64).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::Air;
    use crate::trade::tables;

    #[test]
    fn in_its_reference_air_all_week_a_coat_takes_its_label_hours() {
        let paint = tables().product("wall-paint").unwrap();
        let air = Air::from_rh(paint.ref_temp_f, paint.ref_rh);
        let place = Place { work_air: air, off_air: air, ..Place::default() };
        let got = dry_hours(paint, Stage::Recoat, 1.0, &place).unwrap();
        assert!((got - paint.hours.recoat.unwrap()).abs() < 1e-9, "{got}");
        assert!((dry_hours(paint, Stage::Recoat, 2.0, &place).unwrap() - 2.0 * got).abs() < 1e-9);
        let cold = Place { work_air: Air { temp_f: 40.0, dew_f: 30.0 }, off_air: air, ..Place::default() };
        assert!(dry_hours(paint, Stage::Recoat, 1.0, &cold).unwrap() > got);
        let frozen = Air { temp_f: 30.0, dew_f: 20.0 };
        let frozen = Place { work_air: frozen, off_air: frozen, ..Place::default() };
        assert_eq!(dry_hours(paint, Stage::Recoat, 1.0, &frozen), None);
        assert_eq!(dry_hours(paint, Stage::Sand, 1.0, &place), paint.hours.sand);
    }

    #[test]
    fn waits_are_said_roughly_and_never_too_short() {
        let said = [0.2, 4.0, 4.01, 17.9, 18.0, 24.0, 25.0, 36.1, 48.0, 50.0].map(roughly);
        let want =
            ["1 h", "4 h", "5 h", "18 h", "a day", "a day", "a day and a half", "2 days", "2 days", "2 1/2 days"];
        assert_eq!(said, want);
    }
}
