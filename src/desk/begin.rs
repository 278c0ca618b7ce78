//! A new job from four answers: what room, its measures, what is to be done, when.
//!
//! Each answer may be left out; then the room is a bedroom of common size, it is repainted,
//! work begins on the next Monday and no day is asked for. One person works, the usual week
//! holds, a shop and a booth stand beside the house where the work needs them. Everything can
//! be changed afterwards like any other job. It refuses to know prices and whose house it is.
//!
//! The sets of recipes are common practice, no source.

use chrono::{Datelike, Days, NaiveDate};

use crate::job::{
    Job, Opening, OpeningKind, Part, Person, Place, PlaceKind, Room, Size, Surface, Target, TargetKind, Units, free_id,
};
use crate::measure::Length;
use crate::sheet;
use crate::trade::{RowPlace, tables};

/// What is to be done in a whole room: surfaces, each with its recipe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Work {
    /// Its word on a command line.
    pub id: &'static str,
    pub name: &'static str,
    /// One line about it.
    pub says: &'static str,
    /// Id of the surface, what it covers, recipe.
    pub surfaces: &'static [(&'static str, Part, &'static str)],
}

/// The sets to choose from, the usual one first.
pub const WORK: [Work; 4] = [
    Work {
        id: "repaint",
        name: "Repaint the room",
        says: "ceiling, walls and trim, two coats each; holes patched",
        surfaces: &[
            ("prep", Part::Room, "protect"),
            ("ceiling", Part::Ceiling, "repaint-ceiling"),
            ("walls", Part::Walls, "repaint-walls"),
            ("trim", Part::Room, "repaint-trim"),
            ("finish", Part::Room, "finish-up"),
        ],
    },
    Work {
        id: "walls",
        name: "Repaint the walls",
        says: "wash, patch, spot-prime, two coats",
        surfaces: &[
            ("prep", Part::Room, "protect"),
            ("walls", Part::Walls, "repaint-walls"),
            ("finish", Part::Room, "finish-up"),
        ],
    },
    Work {
        id: "trim",
        name: "New trim, then paint",
        says: "old trim out; casing, base and shoe; ceiling, walls and trim in two coats",
        surfaces: &[
            ("start", Part::Room, "walk-round"),
            ("prep", Part::Room, "protect-and-strip"),
            ("stock", Part::Room, "stock-in"),
            ("ceiling", Part::Ceiling, "repaint-ceiling"),
            ("walls", Part::Walls, "patched-walls"),
            ("openings", Part::Openings, "openings-shop-milled"),
            ("base", Part::Base, "base-and-shoe"),
            ("trim", Part::Room, "trim-finishing"),
            ("paint", Part::Room, "trim-two-coats"),
            ("finish", Part::Room, "finish-up"),
        ],
    },
    Work {
        id: "panels",
        name: "Panels, crown and new trim",
        says: "walls to a level-five look, crown, shop-built panels to 36 in, casing, base; all painted",
        surfaces: &[
            ("start", Part::Room, "walk-round"),
            ("prep", Part::Room, "protect-and-strip"),
            ("stock", Part::Room, "stock-in"),
            ("ceiling", Part::Ceiling, "ceiling-two-coats"),
            ("walls", Part::Walls, "level-five-walls"),
            ("crown", Part::Crown, "crown-on-site"),
            ("openings", Part::Openings, "openings-shop-milled"),
            ("panels", Part::Panels, "panels-shop-built"),
            ("base", Part::Base, "base-and-shoe"),
            ("trim", Part::Room, "trim-finishing"),
            ("paint", Part::Room, "trim-two-coats"),
            ("finish", Part::Room, "finish-up"),
        ],
    },
];

/// The four answers; what is left out takes its usual value.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answers {
    pub name: String,
    pub room: Option<Room>,
    /// Place in [`WORK`].
    pub work: usize,
    pub begin: Option<NaiveDate>,
    pub by: Option<NaiveDate>,
    pub units: Units,
}

/// The Monday after a day.
pub fn next_monday(today: NaiveDate) -> NaiveDate {
    today + Days::new(7 - u64::from(today.weekday().num_days_from_monday()))
}

/// What a line of measures says; a name said before it stands in front of it where the line has none.
pub fn measures(name: &str, line: &str, units: Units) -> sheet::Read {
    let read = sheet::read(line, units);
    if name.trim().is_empty() || (read.room.as_ref().is_some_and(|r| !r.name.is_empty())) {
        return read;
    }
    let front = format!("{} ", name.trim());
    let mut with = sheet::read(&format!("{front}{line}"), units);
    if with.room.is_none() {
        return read;
    }
    // Places in the line are those of the line that was typed.
    for q in &mut with.questions {
        q.at = q.at.start.saturating_sub(front.len())..q.at.end.saturating_sub(front.len());
    }
    with
}

/// The room where none was measured.
fn usual_room() -> Room {
    let opening = |kind, wall, width| Opening {
        kind,
        name: String::new(),
        wall,
        width: Length::from_inches(width),
        height: Length::from_inches(if kind == OpeningKind::Door { 80.0 } else { 54.0 }),
        sill: None,
        from_corner: None,
        casing: None,
        count: 1,
    };
    let feet = Length::from_feet;
    Room {
        name: "Bedroom".into(),
        size: Some(Size { length: feet(12.0), width: feet(10.0), height: feet(8.0) }),
        openings: vec![opening(OpeningKind::Door, 1, 30.0), opening(OpeningKind::Window, 3, 36.0)],
        holes: 6,
        ..Room::default()
    }
}

/// The job of four answers. `today` decides when work begins where nobody said.
pub fn begun(a: &Answers, today: NaiveDate) -> Job {
    let mut room = a.room.clone().unwrap_or_else(usual_room);
    if !a.name.trim().is_empty() {
        room.name = a.name.trim().into();
    } else if room.name.trim().is_empty() {
        room.name = "Room".into();
    }
    let letters: String =
        room.name.to_lowercase().chars().map(|c| if c.is_ascii_alphanumeric() { c } else { ' ' }).collect();
    let stem = letters.split_whitespace().collect::<Vec<_>>().join("-");
    room.id = if stem.is_empty() { "room".into() } else { stem };
    let work = WORK.get(a.work).unwrap_or(&WORK[0]);
    let surface = |&(id, part, recipe): &(&str, Part, &str)| Surface {
        id: id.into(),
        part,
        recipe: recipe.into(),
        height: (part == Part::Panels).then(|| Length::from_inches(36.0)),
        ..Surface::default()
    };
    room.surfaces = work.surfaces.iter().map(surface).collect();
    let mut places = vec![Place { id: room.id.clone(), name: room.name.to_lowercase(), ..Place::default() }];
    room.place.clone_from(&room.id);
    let needs = |place| {
        let rows = work.surfaces.iter().filter_map(|s| tables().recipes.iter().find(|r| r.id == s.2));
        rows.flat_map(|r| &r.steps).any(|row| row.place == place)
    };
    let booth = needs(RowPlace::Booth);
    if booth || needs(RowPlace::Shop) {
        let shop = free_id("shop", places.iter().map(|p| p.id.as_str()));
        places.push(Place { id: shop.clone(), name: "shop".into(), kind: PlaceKind::Shop, ..Place::default() });
        if booth {
            let id = free_id("booth", places.iter().map(|p| p.id.as_str()));
            let beside = Some(shop);
            places.push(Place { id, name: "booth".into(), kind: PlaceKind::Booth, beside, ..Place::default() });
        }
    }
    Job {
        name: room.name.clone(),
        units: a.units,
        start: a.begin.unwrap_or_else(|| next_monday(today)),
        target: a.by.map(|day| Target { kind: TargetKind::Asked, day }),
        crew: vec![Person { id: "you".into(), name: "You".into(), ..Person::default() }],
        places,
        rooms: vec![room],
        ..Job::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{desk, jobfile};

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn every_set_makes_a_job_that_can_be_planned_and_written() {
        for (n, work) in WORK.iter().enumerate() {
            let job = begun(&Answers { work: n, ..Answers::default() }, day("2026-11-25"));
            let sound = desk::judge(&job);
            assert!(sound.is_ok(), "{}: {:?}", work.id, sound.err());
            let back = desk::open(&jobfile::write(&job)).unwrap();
            assert!(back.read.problems.is_empty() && back.read.job == job, "{}", work.id);
            // Every row of the set gives steps.
            let graph = sound.unwrap().graph;
            for (id, ..) in work.surfaces {
                assert!(graph.steps.iter().any(|s| s.surface == *id), "{}: {id} is empty", work.id);
            }
        }
    }

    #[test]
    fn what_is_left_out_has_its_usual_value() {
        let job = begun(&Answers::default(), day("2026-11-25"));
        assert_eq!((job.name.as_str(), job.start, job.target), ("Bedroom", day("2026-11-30"), None));
        assert_eq!(next_monday(day("2026-11-30")), day("2026-12-07"));
        let named = Answers { name: " Ünit 4/B ".into(), begin: Some(day("2027-01-05")), ..Answers::default() };
        let job = begun(&Answers { by: Some(day("2027-02-01")), ..named }, day("2026-11-25"));
        assert_eq!((job.rooms[0].name.as_str(), job.rooms[0].id.as_str()), ("Ünit 4/B", "nit-4-b"));
        assert_eq!((job.start, job.target.unwrap().day), (day("2027-01-05"), day("2027-02-01")));
        assert!(desk::judge(&job).is_ok());
    }
}
