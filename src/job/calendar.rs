//! Who works when, and where: crew, calendar, places and their air.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::clock::Air;

/// A time of day as written in the file, `"8:15"`; minutes since midnight inside.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hm(pub i64);

impl std::fmt::Display for Hm {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{:02}", self.0 / 60, self.0 % 60)
    }
}

impl std::str::FromStr for Hm {
    type Err = String;
    fn from_str(s: &str) -> Result<Self, String> {
        let bad = || format!("\"{s}\" is not a time of day such as \"8:15\" or \"16:30\"");
        let (h, m) = s.trim().split_once(':').ok_or_else(bad)?;
        let (h, m): (i64, i64) = (h.parse().map_err(|_| bad())?, m.parse().map_err(|_| bad())?);
        if (0..24).contains(&h) && (0..60).contains(&m) || (h, m) == (24, 0) { Ok(Hm(h * 60 + m)) } else { Err(bad()) }
    }
}

impl Serialize for Hm {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Hm {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(serde::de::Error::custom)
    }
}

/// A weekday.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Day {
    Mon,
    Tue,
    Wed,
    Thu,
    Fri,
    Sat,
    Sun,
}

impl Day {
    pub const ALL: [Day; 7] = [Day::Mon, Day::Tue, Day::Wed, Day::Thu, Day::Fri, Day::Sat, Day::Sun];
    /// Monday = 0.
    pub fn index(self) -> usize {
        self as usize
    }
}

/// Monday to Friday.
pub fn weekdays() -> Vec<Day> {
    Day::ALL[..5].to_vec()
}

/// A stretch of a working day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hours {
    pub from: Hm,
    pub to: Hm,
}

/// The working week. Default 8:00 to 16:30, opening up 15 min, closing 25, lunch 12:30 to
/// 13:00, Monday to Friday: the shift is 8:15-12:30 and 13:00-16:05, 7 h 20 min.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Week {
    pub days: Vec<Day>,
    pub open: Hm,
    pub close: Hm,
    /// Opening up and closing, minutes outside the productive shift.
    pub opening: i64,
    pub closing: i64,
    pub lunch: Option<Hours>,
}

impl Default for Week {
    fn default() -> Self {
        Week {
            days: weekdays(),
            open: Hm(480),
            close: Hm(990),
            opening: 15,
            closing: 25,
            lunch: Some(Hours { from: Hm(750), to: Hm(780) }),
        }
    }
}

/// Days on which the whole job differs from the week.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Calendar {
    pub week: Week,
    /// Nobody works and no supplier delivers.
    pub holidays: Vec<NaiveDate>,
    /// The house may not be worked in: client away, rooms in use.
    pub house_closed: Vec<NaiveDate>,
    /// Noisy steps at the house only between these hours.
    pub noise: Option<Hours>,
}

/// What a helper works at, against the rates as they stand (judgement).
pub const HELPER_PACE: f64 = 0.6;

/// Longest time somebody who came for some days stays away afterwards, days (no end in practice).
pub const AWAY_DAYS: i64 = 400;

/// Somebody who works.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Person {
    pub id: String,
    pub name: String,
    /// What an hour costs, dollars.
    pub cost: f64,
    /// 1 = the rates as they stand; a helper is [`HELPER_PACE`].
    pub pace: f64,
    /// A helper: the others work at 0.9 while he is on shift with them in one place.
    pub helper: bool,
    /// Skills a step may ask for.
    pub skills: Vec<String>,
    /// His own week; else the calendar's.
    pub week: Option<Week>,
    pub days_off: Vec<NaiveDate>,
    /// Hours on one date that replace the week's: half days, evenings, Saturdays.
    pub dates: Vec<DateHours>,
    /// From this day on he changes place overnight only: no trips in the middle of a day, unless
    /// nothing where he is can be begun for hours.
    pub stays_from: Option<NaiveDate>,
}

impl Default for Person {
    fn default() -> Self {
        Person {
            id: String::new(),
            name: String::new(),
            cost: 0.0,
            pace: 1.0,
            helper: false,
            skills: Vec::new(),
            week: None,
            days_off: Vec::new(),
            dates: Vec::new(),
            stays_from: None,
        }
    }
}

/// The working stretches of one date, replacing the week's.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DateHours {
    pub day: NaiveDate,
    pub hours: Vec<Hours>,
}

/// Air of a place from a day on: a heater, fan or dehumidifier brought in. What dried before
/// that day dried in the air there was.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct AirFrom {
    pub day: NaiveDate,
    pub work_air: Air,
    pub off_air: Air,
    /// As [`Place::fan`].
    #[serde(default)]
    pub fan: bool,
}

/// What kind of place.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlaceKind {
    /// In the client's house.
    #[default]
    Room,
    Shop,
    Booth,
}

/// Where work is done: its own air, its own rules.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Place {
    pub id: String,
    pub name: String,
    pub kind: PlaceKind,
    /// Air during the work hours of the place.
    pub work_air: Air,
    /// Air at all other hours.
    pub off_air: Air,
    /// When the work air holds; Monday to Friday 8:00 to 16:30 unless said.
    pub air_days: Vec<Day>,
    pub air_hours: Hours,
    /// A fan or dehumidifier runs: wet skim coats do not damp the room.
    pub fan: bool,
    /// Other air from a day on.
    pub later_air: Option<AirFrom>,
    /// Places open to this one share its air.
    pub open_to: Vec<String>,
    /// Drying racks, where the number matters.
    pub racks: Option<u32>,
    /// Minutes one way from the house; 0 = at the house.
    pub away_min: i64,
    /// The place it stands beside (a booth in the shop): no trip between the two.
    pub beside: Option<String>,
    /// Vacuum sander and scrubber here: dust settles in 30 min instead of 2 h.
    pub dust_control: bool,
}

impl Default for Place {
    fn default() -> Self {
        Place {
            id: String::new(),
            name: String::new(),
            kind: PlaceKind::Room,
            work_air: Air { temp_f: 68.0, dew_f: 48.0 },
            off_air: Air { temp_f: 65.0, dew_f: 48.0 },
            air_days: weekdays(),
            air_hours: Hours { from: Hm(480), to: Hm(990) },
            fan: false,
            later_air: None,
            open_to: Vec::new(),
            racks: None,
            away_min: 0,
            beside: None,
            dust_control: true,
        }
    }
}
