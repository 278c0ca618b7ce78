//! How fast a coat dries in the air of a place.
//!
//! Air is a weekly table of the place (work hours and off hours) holding temperature and
//! *dew point*; relative humidity is derived, so heating a cold room dries it. Degrees
//! Fahrenheit, humidity as a share 0 to 1. Model and sources: `docs/methods.md`.

use serde::{Deserialize, Serialize};

use super::{Clock, DAY, UNIT};

/// Highest relative humidity the model lets wet compound bring a room to.
pub const RH_CAP: f64 = 0.95;

/// Temperature and dew point, degrees Fahrenheit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Air {
    /// Dry-bulb temperature, F.
    pub temp_f: f64,
    /// Dew point, F; not above the temperature.
    pub dew_f: f64,
}

fn celsius(f: f64) -> f64 {
    (f - 32.0) / 1.8
}

/// Saturation vapour pressure over water, kPa, at `f` degrees Fahrenheit (Magnus form with
/// the coefficients of Alduchov and Eskridge 1996; from memory).
pub fn saturation_kpa(f: f64) -> f64 {
    let c = celsius(f);
    0.61094 * libm::exp(17.625 * c / (c + 243.04))
}

/// Relative humidity (0 to 1) of air at `temp_f` with dew point `dew_f`.
pub fn relative_humidity(temp_f: f64, dew_f: f64) -> f64 {
    (saturation_kpa(dew_f) / saturation_kpa(temp_f)).min(1.0)
}

impl Air {
    /// Relative humidity, 0 to 1.
    pub fn rh(&self) -> f64 {
        relative_humidity(self.temp_f, self.dew_f)
    }
    /// The air of this temperature with the given relative humidity (0 to 1).
    pub fn from_rh(temp_f: f64, rh: f64) -> Air {
        // Inverse Magnus.
        let e = rh.clamp(0.001, 1.0) * saturation_kpa(temp_f);
        let l = libm::log(e / 0.61094);
        let c = 243.04 * l / (17.625 - l);
        Air { temp_f, dew_f: c * 1.8 + 32.0 }
    }
}

/// What makes a product dry or harden.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Law {
    /// Water leaving by evaporation: drying compound, filler, caulk.
    Evaporating,
    /// Coalescing coatings: latex, waterborne enamel.
    FilmForming,
    /// Own chemistry, hardly moved by air: setting compound, wood glue.
    Setting,
    /// Hardened by the moisture of the air: polyurethane adhesive.
    MoistureCuring,
}

fn evaporation(temp_f: f64, rh: f64) -> f64 {
    libm::pow(saturation_kpa(temp_f), 1.04) * libm::pow((1.0 - rh).max(0.0), 0.90)
}

impl Law {
    /// Speed against the product's reference air (1 there).
    pub fn speed(self, temp_f: f64, rh: f64, ref_temp_f: f64, ref_rh: f64) -> f64 {
        let evap = evaporation(temp_f, rh) / evaporation(ref_temp_f, ref_rh);
        match self {
            Law::Evaporating => evap,
            Law::FilmForming => libm::pow(evap, 0.6) * libm::pow(libm::exp2((temp_f - ref_temp_f) / 16.0), 0.4),
            Law::Setting => 1.0,
            Law::MoistureCuring => libm::exp2((temp_f - ref_temp_f) / 18.0) * libm::sqrt((rh / ref_rh).max(0.0)),
        }
    }
}

/// The air of a place through the week.
#[derive(Clone, Debug, PartialEq)]
pub struct AirWeek {
    /// During `hours` on `days`.
    pub work: Air,
    /// At all other times.
    pub off: Air,
    /// Work hours of the place as minutes of the day.
    pub hours: (i64, i64),
    /// Monday first.
    pub days: [bool; 7],
    /// Other air from this day (from 0) on: during the hours, at other times.
    pub later: Option<(i64, Air, Air)>,
}

impl AirWeek {
    /// The air on day `day` of the job, a `weekday` (0 = Monday), at a minute of it.
    pub fn at(&self, day: i64, weekday: usize, minute: i64) -> Air {
        let (work, off) = self.on(day);
        if self.days[weekday] && minute >= self.hours.0 && minute < self.hours.1 { work } else { off }
    }

    /// The two airs of a day.
    pub fn on(&self, day: i64) -> (Air, Air) {
        match self.later {
            Some((from, work, off)) if day >= from => (work, off),
            _ => (self.work, self.off),
        }
    }

    /// Compiles a clock whose speed at each hour is `speed(air)`; `first_weekday` is the
    /// weekday (0 = Monday) of the job's day 0.
    pub fn clock(&self, first_weekday: i64, speed: impl Fn(Air) -> f64) -> Clock {
        let micro = |a: Air| libm::round(speed(a).max(0.0) * UNIT as f64) as i64;
        let before = (micro(self.work), micro(self.off));
        let after = self.later.map(|(from, work, off)| (from, micro(work), micro(off)));
        // Whole weeks up to the change, and one of the air that stays.
        let weeks = after.map_or(1, |a| a.0.max(0).div_euclid(7) + 2);
        Clock::compile(weeks, |d, out| {
            let (w, o) = after.filter(|a| d >= a.0).map_or(before, |a| (a.1, a.2));
            let wd = (first_weekday + d).rem_euclid(7) as usize;
            if self.days[wd] && self.hours.1 > self.hours.0 {
                out.push((0, self.hours.0, o));
                out.push((self.hours.0, self.hours.1, w));
                out.push((self.hours.1, DAY, o));
            } else {
                out.push((0, DAY, o));
            }
        })
    }
}

/// The same air with a wet skim coat in it: 17 points of relative humidity more (judgement,
/// no source), at most [`RH_CAP`], never less than it had.
pub fn skim_damp(air: Air) -> Air {
    let rh = air.rh();
    Air::from_rh(air.temp_f, (rh + 0.17).min(RH_CAP).max(rh))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heating_a_cold_room_dries_it() {
        // trade figures, drying model [C]: 55 F at 70 % heated to 70 F leaves 41 %, a
        // 1/16 in coat goes from 45 h to 14 h.
        let cold = Air::from_rh(55.0, 0.70);
        let warm = Air { temp_f: 70.0, ..cold };
        assert!((warm.rh() - 0.41).abs() < 0.005, "{}", warm.rh());
        // The model's own 70 F, 50 % figure before it is rounded to 17 h.
        let at_70 = 23.0 / evaporation(70.0, 0.5);
        let hours = |a: Air| at_70 / Law::Evaporating.speed(a.temp_f, a.rh(), 70.0, 0.5);
        assert!((hours(cold) - 45.0).abs() < 1.0, "{}", hours(cold));
        assert!((hours(warm) - 14.0).abs() < 0.5, "{}", hours(warm));
        // Held at the same humidity it would only reach 26 h.
        assert!((hours(Air::from_rh(70.0, 0.70)) - 26.0).abs() < 1.0);
    }

    #[test]
    fn damp_never_dries_a_room() {
        for t in [45.0, 60.0, 77.0] {
            for rh in [0.2, 0.6, 0.9, 0.97] {
                let a = Air::from_rh(t, rh);
                assert!((a.rh() - rh).abs() < 1e-9);
                assert!(skim_damp(a).rh() >= a.rh() - 1e-12 && skim_damp(a).rh() <= rh.max(RH_CAP) + 1e-9);
            }
        }
    }
}
