//! A new job from five answers: what room, its measures, what is to be done, when it begins and by when.
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

/// What can be answered behind the whole-room sets: the room is measured, its surfaces come later.
pub const NOTHING_YET: &str = "nothing yet, surface by surface";

/// The five answers; what is left out takes its usual value.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answers {
    pub name: String,
    pub room: Option<Room>,
    /// Place in [`sets`]; the one behind the last is [`NOTHING_YET`].
    pub work: usize,
    pub begin: Option<NaiveDate>,
    pub by: Option<NaiveDate>,
    pub units: Units,
}

/// The Monday after a day.
pub fn next_monday(today: NaiveDate) -> NaiveDate {
    today + Days::new(7 - u64::from(today.weekday().num_days_from_monday()))
}

/// What a line of measures says, and the units it is said in: metres where it speaks of them
/// itself, else those given. A name said before it, or that of the usual room, stands in front
/// where the line has none. Every question has an offer.
pub fn measures(name: &str, line: &str, units: Units) -> (sheet::Read, Units) {
    let front = format!("{} ", if name.trim().is_empty() { "Bedroom" } else { name.trim() });
    let whole = format!("{front}{line}");
    let metric = sheet::speaks_metric(line) || sheet::speaks_metric(&whole);
    let units = if metric { Units::Metric } else { units };
    let read = sheet::read(line, units);
    if line.trim().is_empty() || read.room.as_ref().is_some_and(|r| !r.name.is_empty()) {
        return (read, units);
    }
    let mut with = sheet::read(&whole, units);
    for q in &mut with.questions {
        // Places and offers are those of the line that was typed.
        q.at = q.at.start.saturating_sub(front.len())..q.at.end.saturating_sub(front.len());
        for offer in &mut q.offers {
            if let Some(own) = offer.strip_prefix(&front) {
                *offer = own.to_string();
            }
        }
        q.offers.retain(|o| !o.trim().is_empty());
        if q.offers.is_empty() {
            q.offers.push(common(units).to_string());
        }
    }
    (with, units)
}

/// Measures of a common room, offered where a line says none that can be read.
fn common(units: Units) -> &'static str {
    match units {
        Units::FeetInches => "12' x 10' x 8'",
        Units::Metric => "4 x 3.5 x 2.5",
    }
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

/// The job of five answers. `today` decides when work begins where nobody said.
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
    let set: &[SetSurface] = sets().get(a.work).map_or(&[], |s| &s.surfaces);
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
    fn a_line_in_metres_makes_itself_understood() {
        let feet = Units::FeetInches;
        for line in
            ["4,2 x 3,6 x 2,5", "4.2 m x 3.6 m x 2.5 m", "420 x 360 x 250 cm, door 80x200", "4,2x3,6x2,5, door 80x200"]
        {
            let (read, units) = measures("Kitchen", line, feet);
            assert_eq!(units, Units::Metric, "{line}");
            let size = read.room.unwrap_or_else(|| panic!("{line}: {:?}", read.questions)).size.unwrap();
            assert_eq!((size.length, size.height), (Length::from_mm(4200.0), Length::from_mm(2500.0)), "{line}");
        }
        for line in ["13' x 11'6 x 8'4", "13 x 11 x 8", "13' x 11' x 8', window 90 x 120 cm", "13,6 x 11,4 x 8"] {
            assert_eq!(measures("", line, feet).1, feet, "{line}");
        }
    }

    #[test]
    fn every_question_has_an_offer_that_is_a_line_of_its_own() {
        let lines =
            ["what is this", "13 yards x 11 x 8", "4 x 3", "13,6 x 11,4 x 8", "13 x", "x", "12 x 10 x 8, stairs"];
        for units in [Units::FeetInches, Units::Metric] {
            for line in lines {
                let (read, _) = measures("Kitchen", line, units);
                assert!(!read.questions.is_empty(), "{line}");
                for q in read.questions {
                    assert!(!q.offers.is_empty(), "{line}: {}", q.ask);
                    assert!(q.offers.iter().all(|o| !o.starts_with("Kitchen")), "{line}: {:?}", q.offers);
                }
            }
        }
        let (read, _) = measures("Kitchen", "13,6 x 11,4 x 8", Units::FeetInches);
        assert!(read.questions[0].offers.contains(&"13.6 m x 11.4 m x 8 m".to_string()), "{:?}", read.questions);
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
