//! What stands around a random job's work: products, crew, places, calendar.

use chrono::{Duration, NaiveDate};
use roomback::clock::{Air, Law};
use roomback::job::{Calendar, DateHours, Day, Hm, Hours, Person, Place, PlaceKind, Week};
use roomback::trade::{Product, Stages};

use super::Draws;

/// One product for each law and habit. Times are of the usual order of such products
/// (common practice, no source).
pub fn products() -> Vec<Product> {
    let product = |id: &str, law, hours| Product {
        id: id.into(),
        name: id.into(),
        law,
        ref_temp_f: 77.0,
        ref_rh: 0.5,
        hours,
        then_dries: false,
        least_temp_f: Some(50.0),
        most_rh: None,
        above_dew_f: None,
        wet_to_dust: false,
        damps_room: false,
        tag: Default::default(),
        source: String::new(),
    };
    let hours = |dust, sand, recoat, tape, handle, shut| Stages {
        dust_free: dust,
        sand,
        recoat,
        tape,
        handle,
        shut,
        full: None,
    };
    vec![
        Product {
            most_rh: Some(0.85),
            above_dew_f: Some(5.0),
            wet_to_dust: true,
            ..product("primer", Law::FilmForming, hours(Some(0.5), Some(2.0), Some(2.0), Some(6.0), Some(4.0), None))
        },
        Product {
            most_rh: Some(0.85),
            wet_to_dust: true,
            ..product(
                "enamel",
                Law::FilmForming,
                hours(Some(4.0), Some(16.0), Some(16.0), Some(48.0), Some(24.0), Some(72.0)),
            )
        },
        Product {
            damps_room: true,
            ..product("compound", Law::Evaporating, hours(None, Some(13.0), Some(13.0), None, None, None))
        },
        Product {
            then_dries: true,
            ..product("hot-mud", Law::Setting, hours(None, Some(1.5), Some(12.0), None, None, None))
        },
        product("glue", Law::Setting, hours(None, None, None, None, Some(1.0), None)),
        product("adhesive", Law::MoistureCuring, hours(None, None, None, None, Some(24.0), None)),
        Product {
            wet_to_dust: true,
            ..product("caulk", Law::Evaporating, hours(Some(0.7), None, Some(2.0), None, None, None))
        },
    ]
}

fn hm(h: i64, m: i64) -> Hm {
    Hm(h * 60 + m)
}

pub fn crew(d: &mut Draws, start: NaiveDate) -> Vec<Person> {
    let people = if d.chance(55) { 1 } else { 2 };
    let mut out = Vec::new();
    for i in 0..people {
        let helper = i == 1 && d.chance(50);
        let mut p = Person {
            id: ["nell", "arvo"][i].into(),
            pace: if helper { 0.6 } else { d.pick(&[1.0, 1.0, 1.0, 0.9, 1.15]) },
            helper,
            cost: 40.0,
            ..Person::default()
        };
        if d.chance(35) {
            p.week = Some(match d.int(0, 3) {
                0 => Week { days: Day::ALL[1..6].to_vec(), ..Week::default() },
                1 => Week { days: Day::ALL[..4].to_vec(), open: hm(7, 0), close: hm(17, 0), ..Week::default() },
                2 => Week { open: hm(7, 30), close: hm(15, 30), lunch: None, ..Week::default() },
                // A long noon pause splits the day in two.
                _ => Week { lunch: Some(Hours { from: hm(12, 0), to: hm(13, 20) }), ..Week::default() },
            });
        }
        for _ in 0..d.pick(&[0, 0, 1, 2]) {
            p.days_off.push(start + Duration::days(d.int(0, 20)));
        }
        if d.chance(25) {
            p.dates.push(DateHours {
                day: start + Duration::days(d.int(1, 15)),
                hours: vec![Hours { from: hm(8, 30), to: hm(12, 30) }],
            });
        }
        if d.chance(15) {
            p.dates.push(DateHours {
                day: start + Duration::days(d.int(1, 15)),
                hours: vec![Hours { from: hm(9, 0), to: hm(12, 0) }, Hours { from: hm(18, 0), to: hm(21, 0) }],
            });
        }
        out.push(p);
    }
    out
}

pub fn places(d: &mut Draws) -> Vec<Place> {
    let mut out = Vec::new();
    let rooms = d.int(1, 3);
    for i in 0..rooms {
        let temp = d.int(64, 76) as f64;
        let mut p = Place {
            id: format!("room{i}"),
            work_air: Air { temp_f: temp, dew_f: d.int(36, 52) as f64 },
            off_air: Air { temp_f: temp - d.int(0, 10) as f64, dew_f: d.int(36, 48) as f64 },
            fan: d.chance(20),
            dust_control: d.chance(60),
            ..Place::default()
        };
        if i > 0 && d.chance(40) {
            p.open_to.push("room0".into());
        }
        out.push(p);
    }
    if d.chance(50) {
        out.push(Place {
            id: "shop".into(),
            kind: PlaceKind::Shop,
            work_air: Air { temp_f: d.int(58, 70) as f64, dew_f: d.int(30, 45) as f64 },
            off_air: Air { temp_f: d.int(42, 56) as f64, dew_f: d.int(28, 36) as f64 },
            racks: d.chance(60).then(|| d.int(2, 4) as u32),
            away_min: d.pick(&[0, 10, 20, 25]),
            ..Place::default()
        });
        if d.chance(40) {
            out.push(Place {
                id: "booth".into(),
                kind: PlaceKind::Booth,
                beside: Some("shop".into()),
                racks: d.chance(50).then_some(3),
                ..Place::default()
            });
        }
    }
    out
}

pub fn calendar(d: &mut Draws, start: NaiveDate) -> Calendar {
    let mut c = Calendar::default();
    if d.chance(20) {
        c.holidays.push(start + Duration::days(d.int(0, 15)));
    }
    for _ in 0..d.pick(&[0, 0, 0, 1, 2]) {
        c.house_closed.push(start + Duration::days(d.int(0, 15)));
    }
    if d.chance(30) {
        c.noise = Some(Hours { from: hm(9, 0), to: hm(d.pick(&[15, 17]), 0) });
    }
    c
}
