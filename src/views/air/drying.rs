//! When a coat is ready in an air other than the plan's, and which change of the air, the
//! place or the product would bring it forward, in hours.
//!
//! The same rules as the plan: speed by the product's law in the air of each moment, none
//! below its least temperature or above its most humidity, damp from skim coats beside it
//! for twelve hours unless a fan runs. Each offer is for one coat by itself: what it does to
//! the date is another question. Products of the same use that are ready sooner stand in
//! [`FASTER`]: setting compound where it is cold or wet follows GA-236 of the Gypsum
//! Association (its summary read); the other pairs are common practice, no source.

use crate::clock::{Air, AirWeek, At, DAY, skim_damp};
use crate::job::Units;
use crate::schedule::DAMP;
use crate::trade::{Product, Stage};
use crate::views::typed::humidity;
use crate::views::{Figure, temperature};

/// Steps in which drying is followed, minutes.
const QUARTER: i64 = 15;
/// No coat is followed further, days.
const FAR: i64 = 60;
/// Least gain worth naming, minutes.
const LEAST: i64 = 30;
/// What a dehumidifier holds, relative humidity (judgement).
const DRY_AIR: f64 = 0.5;

/// A product and one of the same use that is ready sooner.
pub const FASTER: [(&str, &str); 9] = [
    ("compound", "setting-45"),
    ("setting-210", "setting-90"),
    ("setting-90", "setting-45"),
    ("setting-45", "setting-20"),
    ("primer", "primer-cold"),
    ("enamel-slow", "enamel-fast"),
    ("oil-primer-slow", "oil-primer-quick"),
    ("caulk", "caulk-fast"),
    ("spackle", "spackle-light"),
];

/// A coat laid.
#[derive(Clone, Debug)]
pub struct Laid<'a> {
    pub product: &'a Product,
    pub stage: Stage,
    /// Minutes to the stage in the product's reference air.
    pub minutes: i64,
    pub from: At,
}

/// The air a coat dries in.
#[derive(Clone, Debug)]
pub struct Around<'a> {
    pub week: &'a AirWeek,
    pub first_weekday: i64,
    /// Ends of skim coats that damp it.
    pub damps: &'a [i64],
}

impl Around<'_> {
    /// The air at a minute, and whether a skim coat damps it.
    pub fn at(&self, minute: i64) -> (Air, bool) {
        let weekday = (self.first_weekday + minute.div_euclid(DAY)).rem_euclid(7) as usize;
        let air = self.week.at(minute.div_euclid(DAY), weekday, minute.rem_euclid(DAY));
        let damp = self.damps.iter().any(|&d| d <= minute && minute < d + DAMP);
        (if damp { skim_damp(air) } else { air }, damp)
    }

    /// The next minute at which a quarter hour or a damp begins or ends.
    fn border(&self, minute: i64) -> i64 {
        let quarter = (minute.div_euclid(QUARTER) + 1) * QUARTER;
        let damp = self.damps.iter().flat_map(|&d| [d, d + DAMP]).filter(|&d| d > minute).min();
        damp.map_or(quarter, |d| d.min(quarter))
    }
}

impl Laid<'_> {
    /// When it is ready in this air, and how long of that it stands still, minutes; nothing
    /// where it never is.
    pub fn ready(&self, around: &Around) -> Option<(At, i64)> {
        let mut left = self.minutes as f64;
        let (mut t, mut still) = (self.from.0, 0);
        while t < self.from.0 + FAR * DAY {
            let to = around.border(t);
            let speed = self.product.speed(self.stage, around.at(t).0);
            let done = speed * (to - t) as f64;
            if done + 1e-6 >= left {
                let need = (left / speed - 1e-6).ceil().max(0.0) as i64;
                return Some((At((t + need).min(to)), still));
            }
            if speed <= 0.0 {
                still += to - t;
            }
            left -= done;
            t = to;
        }
        None
    }
}

/// Why a product makes no progress in an air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stop {
    /// Below its least temperature.
    Cold,
    /// Above its most humidity, or too near the dew point.
    Damp,
}

/// What stops a product in an air.
pub fn stop(p: &Product, air: Air) -> Option<Stop> {
    match () {
        () if p.dries_in(air) => None,
        () if p.least_temp_f.is_some_and(|t| air.temp_f < t - 1e-9) => Some(Stop::Cold),
        () => Some(Stop::Damp),
    }
}

/// What could be changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Means {
    Heater,
    Dehumidifier,
    Fan,
    Place,
    Product,
}

impl Means {
    /// Stable word.
    pub fn key(self) -> &'static str {
        match self {
            Means::Heater => "heater",
            Means::Dehumidifier => "dehumidifier",
            Means::Fan => "fan",
            Means::Place => "place",
            Means::Product => "product",
        }
    }
}

/// Something that would help a coat.
#[derive(Clone, Debug, PartialEq)]
pub struct Help {
    pub means: Means,
    /// `a heater that holds 68 F at other hours: 9.5 h sooner`.
    pub figure: Figure,
    pub ready: At,
    /// Minutes sooner; none where it is never ready as it is.
    pub gain: Option<i64>,
}

/// What may be tried on one coat.
pub struct Trial<'a> {
    pub laid: &'a Laid<'a>,
    pub around: &'a Around<'a>,
    pub units: Units,
    /// Other places it could be laid in: name and air.
    pub places: &'a [(&'a str, &'a AirWeek)],
    pub products: &'a [Product],
    /// Words of an instant.
    pub words: &'a dyn Fn(At) -> String,
}

/// `9.5 h sooner`.
fn sooner(minutes: i64) -> String {
    format!("{} sooner", crate::views::holds::hours(minutes))
}

impl Trial<'_> {
    fn help(&self, means: Means, what: String, why: String, then: Option<(At, i64)>) -> Option<Help> {
        let (ready, _) = then?;
        let now = self.laid.ready(self.around).map(|r| r.0);
        let gain = now.map(|n| n.0 - ready.0);
        if gain.is_some_and(|g| g < LEAST) {
            return None;
        }
        let at = (self.words)(ready);
        let words = match gain {
            Some(g) => format!("{what}: {}, {at}", sooner(g)),
            None => format!("{what}: ready {at}"),
        };
        let why = format!("{why}; this coat by itself, all else as planned");
        Some(Help { means, figure: Figure::new(words, why), ready, gain })
    }

    fn in_week(&self, means: Means, week: &AirWeek, what: String, why: String) -> Option<Help> {
        let around = Around { week, ..self.around.clone() };
        self.help(means, what, why, self.laid.ready(&around))
    }

    /// Everything that would bring the coat forward by half an hour or more, most first.
    pub fn helps(&self) -> Vec<Help> {
        let (laid, week, p) = (self.laid, self.around.week, self.laid.product);
        let warm = |f: f64| temperature(self.units, f);
        let mut out = Vec::new();
        // Heat: other hours as warm as work hours, and nowhere below what the product needs.
        let hold = week.work.temp_f.max(p.least_temp_f.unwrap_or(f64::MIN));
        let up = |a: Air| Air { temp_f: a.temp_f.max(hold), ..a };
        if up(week.off) != week.off || up(week.work) != week.work {
            let heated = AirWeek { work: up(week.work), off: up(week.off), ..week.clone() };
            let when = if up(week.work) == week.work { " at other hours too" } else { " at all hours" };
            let why = format!(
                "held at {} the air there is at {} with the water it holds now",
                warm(hold),
                humidity(up(week.off))
            );
            out.extend(self.in_week(Means::Heater, &heated, format!("a heater that holds {}{when}", warm(hold)), why));
        }
        let dry = |a: Air| if a.rh() > DRY_AIR { Air::from_rh(a.temp_f, DRY_AIR) } else { a };
        if dry(week.off) != week.off || dry(week.work) != week.work {
            let dried = AirWeek { work: dry(week.work), off: dry(week.off), ..week.clone() };
            let why = format!("held at {} at the same warmth", humidity(dry(week.off)));
            out.extend(self.in_week(Means::Dehumidifier, &dried, "a dehumidifier".into(), why));
        }
        if !self.around.damps.is_empty() {
            let around = Around { damps: &[], ..self.around.clone() };
            let why = "it takes out the damp of the skim coats beside it".to_string();
            out.extend(self.help(Means::Fan, "a fan".into(), why, laid.ready(&around)));
        }
        for (name, week) in self.places {
            let around = Around { week, damps: &[], ..self.around.clone() };
            let why = format!("at {}, {} in its work hours", warm(week.work.temp_f), humidity(week.work));
            out.extend(self.help(Means::Place, format!("in the {name} instead"), why, laid.ready(&around)));
        }
        let other = FASTER.iter().find(|f| f.0 == p.id).and_then(|f| self.products.iter().find(|q| q.id == f.1));
        if let Some((q, h)) = other.and_then(|q| Some((q, q.hours.hours(laid.stage)?))) {
            let with = Laid { product: q, minutes: libm::round(h * 60.0) as i64, ..laid.clone() };
            let why = format!(
                "{} h at {}, {:.0} % RH; {}; read its label first",
                crate::views::typed::plain(h),
                warm(q.ref_temp_f),
                q.ref_rh * 100.0,
                crate::views::inspect::source(q.tag, &q.source, false)
            );
            out.extend(self.help(Means::Product, q.name.clone(), why, with.ready(self.around)));
        }
        out.sort_by_key(|h| h.ready);
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::tables;

    fn week(work: Air, off: Air) -> AirWeek {
        AirWeek { work, off, hours: (480, 1020), days: [true, true, true, true, true, false, false], later: None }
    }

    /// Hours to the next coat by the product's own row.
    fn hours(product: &str, air: Air) -> f64 {
        let w = week(air, air);
        let around = Around { week: &w, first_weekday: 0, damps: &[] };
        let product = tables().product(product).unwrap();
        let minutes = (product.hours.hours(Stage::Recoat).unwrap() * 60.0) as i64;
        let laid = Laid { product, stage: Stage::Recoat, minutes, from: At(600) };
        (laid.ready(&around).unwrap().0.0 - 600) as f64 / 60.0
    }

    #[test]
    fn drying_hours_are_those_of_the_model() {
        // Trade figures, model [C] fitted to a handbook grid from memory [M]: a 1/16 in coat at
        // 50 % RH 35 h at 50 F, 24 h at 60 F, 17 h at 70 F; at 70 F 26 h at 70 %, 38 h at 80 %.
        for (f, rh, want) in
            [(50.0, 0.5, 35.0), (60.0, 0.5, 24.0), (70.0, 0.5, 17.0), (70.0, 0.7, 26.0), (70.0, 0.8, 38.0)]
        {
            let got = hours("compound", Air::from_rh(f, rh));
            assert!((got - want).abs() < 0.04 * want, "{f} F, {rh}: {got} h, not {want}");
        }
        // Within the 17-19 h band of the Drywall Finishing Council's *Joint Compound Drying Time* [R].
        let got = hours("compound", Air::from_rh(70.0, 0.5));
        assert!((17.0..=19.0).contains(&got), "{got}");
    }

    #[test]
    fn a_cold_rated_latex_takes_a_little_less_than_its_maker_says() {
        // A cold-rated exterior latex recoats in 4 h at 77 F and 24 h at 35 F [R]; the engine's
        // mix gives 21.4 h there [C].
        let at = |f: f64| hours("primer-cold", Air::from_rh(f, 0.5));
        assert!((at(77.0) - 4.0).abs() < 0.05, "{}", at(77.0));
        assert!((18.0..24.0).contains(&at(35.0)) && (at(35.0) - 21.4).abs() < 0.3, "{}", at(35.0));
    }

    #[test]
    fn a_heater_brings_what_the_model_says() {
        // 55 F, 70 % RH heated to 70 F leaves 41 % RH: 45 h become 14 h [C].
        let cold = Air::from_rh(55.0, 0.70);
        let w = week(Air { temp_f: 70.0, ..cold }, cold);
        // On a Saturday nobody heats.
        let around = Around { week: &w, first_weekday: 5, damps: &[] };
        let product = tables().product("compound").unwrap();
        // The model's own figure for the coat at 70 F, 50 %, before it is rounded to 17 h.
        let kpa = crate::clock::saturation_kpa(70.0);
        let hours = 23.0 / (libm::pow(kpa, 1.04) * libm::pow(0.5, 0.9));
        let laid = Laid { product, stage: Stage::Sand, minutes: (hours * 60.0) as i64, from: At(0) };
        let (now, still) = laid.ready(&around).unwrap();
        assert!((now.0 as f64 / 60.0 - 45.0).abs() < 1.0 && still == 0, "{now:?}");
        let words = |at: At| at.0.to_string();
        let products = &tables().products;
        let t = Trial { laid: &laid, around: &around, units: Units::FeetInches, places: &[], products, words: &words };
        let helps = t.helps();
        let heat = helps.iter().find(|h| h.means == Means::Heater).unwrap();
        assert!((heat.gain.unwrap() as f64 / 60.0 - 31.0).abs() < 1.0, "{heat:?}");
        assert!(heat.figure.value.contains("holds 70 F") && heat.figure.why.contains("41 %"), "{heat:?}");
        assert!(helps.iter().any(|h| h.means == Means::Product && h.figure.value.contains("setting compound")));
    }

    #[test]
    fn too_cold_and_too_damp_stand_still_and_nothing_helps_what_is_never_ready_but_says_so() {
        // 50 F until dry: National Gypsum guide [R]; no coating above 85 % RH: judgement.
        let product = |id: &str| tables().product(id).unwrap();
        assert_eq!(stop(product("compound"), Air::from_rh(45.0, 0.5)), Some(Stop::Cold));
        assert_eq!(stop(product("wall-paint"), Air::from_rh(70.0, 0.9)), Some(Stop::Damp));
        assert_eq!(stop(product("wall-paint"), Air::from_rh(70.0, 0.5)), None);
        let w = week(Air::from_rh(45.0, 0.5), Air::from_rh(40.0, 0.5));
        let around = Around { week: &w, first_weekday: 0, damps: &[] };
        let laid = Laid { product: product("compound"), stage: Stage::Sand, minutes: 1020, from: At(0) };
        assert_eq!(laid.ready(&around), None);
        let words = |at: At| at.0.to_string();
        let products = &tables().products;
        let t = Trial { laid: &laid, around: &around, units: Units::FeetInches, places: &[], products, words: &words };
        let helps = t.helps();
        let means: Vec<Means> = helps.iter().map(|h| h.means).collect();
        // Setting compound wants 45 F: it sets by day.
        assert!(means.contains(&Means::Heater) && means.contains(&Means::Product), "{helps:?}");
        assert!(helps.iter().all(|h| h.gain.is_none()), "{helps:?}");
    }

    #[test]
    fn every_faster_product_is_in_the_tables_and_faster() {
        for (slow, fast) in FASTER {
            let (a, b) = (tables().product(slow).expect(slow), tables().product(fast).expect(fast));
            let sooner = Stage::ALL
                .into_iter()
                .any(|s| matches!((a.hours.hours(s), b.hours.hours(s)), (Some(x), Some(y)) if y < x));
            let colder = b.least_temp_f < a.least_temp_f;
            assert!(sooner || colder, "{slow} and {fast}");
        }
    }
}
