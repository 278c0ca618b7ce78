//! A new job from four answers: what room, its measures, what is to be done, when.
//!
//! Each answer may be left out; then the room is a bedroom of common size, it is repainted,
//! work begins on the next Monday and no day is asked for. One person works, the usual week
//! holds, a shop and a booth stand beside the house where the work needs them. Everything can
//! be changed afterwards like any other job. It refuses to know prices and whose house it is.

use chrono::{Datelike, Days, NaiveDate};

use crate::job::{
    Job, Opening, OpeningKind, Person, Place, PlaceKind, Room, Size, Surface, Target, TargetKind, Units, free_id,
};
use crate::jobfile;
use crate::measure::Length;
use crate::sheet;
use crate::trade::{RowPlace, SetSurface, sets, tables};

/// The four answers; what is left out takes its usual value.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answers {
    pub name: String,
    pub room: Option<Room>,
    /// Place in [`sets`].
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
    let set: &[SetSurface] = sets().get(a.work).or(sets().first()).map_or(&[], |s| &s.surfaces);
    let surface = |s: &SetSurface| Surface {
        id: s.id.clone(),
        part: s.part,
        recipe: s.recipe.clone(),
        methods: s.methods.clone(),
        height: s.height_in.map(Length::from_inches),
        ..Surface::default()
    };
    room.surfaces = set.iter().map(surface).collect();
    let mut places = vec![Place { id: room.id.clone(), name: room.name.to_lowercase(), ..Place::default() }];
    room.place.clone_from(&room.id);
    let needs = |place| {
        let rows = set.iter().filter_map(|s| tables().recipes.iter().find(|r| r.id == s.recipe));
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
    let job = Job {
        name: room.name.clone(),
        units: a.units,
        start: a.begin.unwrap_or_else(|| next_monday(today)),
        target: a.by.map(|day| Target { kind: TargetKind::Asked, day }),
        crew: vec![Person { id: "you".into(), name: "You".into(), ..Person::default() }],
        places,
        rooms: vec![room],
        ..Job::default()
    };
    // As its file will read: with the rows of rates and products in use.
    match jobfile::read(&jobfile::write(&job), tables()) {
        Ok(read) => read.job,
        Err(_) => job,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn every_set_makes_a_job_that_can_be_planned_and_written() {
        for (n, work) in sets().iter().enumerate() {
            let job = begun(&Answers { work: n, ..Answers::default() }, day("2026-11-25"));
            let sound = desk::judge(&job);
            assert!(sound.is_ok(), "{}: {:?}", work.id, sound.err());
            let back = desk::open(&jobfile::write(&job)).unwrap();
            assert!(back.read.problems.is_empty() && back.read.job == job, "{}", work.id);
            // Every row of the set gives steps.
            let graph = sound.unwrap().graph;
            for s in &work.surfaces {
                assert!(graph.steps.iter().any(|x| x.surface == s.id), "{}: {} is empty", work.id, s.id);
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
