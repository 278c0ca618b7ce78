//! Which phase of the work a step is to who lives there, from its place, part, trade and row.
//!
//! Recipes of the user's own fall to the phase of their part, steps of his own go by their own names. Common practice, no source.

use super::row_of;
use crate::desk::Sound;
use crate::job::{OpeningKind, PlaceKind};
use crate::trade::Part;
use crate::work::{Role, Step};

/// A phase in the client's words.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Phase {
    Ready,
    Stock,
    Shop,
    Washing,
    Plaster,
    Priming,
    Crown,
    Openings,
    Panels,
    Base,
    Filling,
    Spraying,
    Trim,
    Walls,
    Carpentry,
    Last,
}

/// What there is of a room for a phase to name.
#[derive(Clone, Copy, Debug, Default)]
pub struct Here {
    pub crown: bool,
    pub ceiling: bool,
    pub doors: bool,
    pub windows: bool,
}

impl Here {
    /// What is worked at in a room, an index into the job's; with none, everything.
    pub fn new(sound: &Sound, room: Option<usize>) -> Here {
        let Some(r) = room.and_then(|r| sound.job.rooms.get(r)) else {
            return Here { crown: true, ceiling: true, doors: true, windows: true };
        };
        let has = |p: Part| {
            let mut of = sound.graph.steps.iter().filter(|s| s.room == r.id && s.role.planned());
            of.any(|s| part(sound, s) == Some(p))
        };
        let any = |k: OpeningKind| r.openings.iter().any(|o| o.kind == k);
        let (doors, windows) = (any(OpeningKind::Door) || any(OpeningKind::Cased), any(OpeningKind::Window));
        Here { crown: has(Part::Crown), ceiling: has(Part::Ceiling), doors, windows }
    }
}

impl Phase {
    /// Its names, the longest first: `plaster and sanding`, `plaster`. A narrow day takes a shorter one.
    pub fn names(self, here: Here) -> &'static [&'static str] {
        match self {
            Phase::Ready => &["measuring and covering up", "covering up", "set-up"],
            Phase::Stock => &["boards carried in", "boards in", "boards"],
            Phase::Shop => &["in our shop", "shop"],
            Phase::Washing => &["washing walls", "washing"],
            Phase::Plaster => &["plaster and sanding", "plaster"],
            Phase::Priming => &["priming walls", "priming"],
            Phase::Crown => match (here.crown, here.ceiling) {
                (true, true) => &["crown and ceiling", "crown, ceiling"],
                (true, false) => &["crown"],
                _ => &["ceiling"],
            },
            Phase::Openings => match (here.doors, here.windows) {
                (true, false) => &["door openings", "doors"],
                (false, true) => &["windows"],
                _ => &["windows and doors", "windows, doors", "openings"],
            },
            Phase::Panels => &["panels"],
            Phase::Base => &["baseboard", "base"],
            Phase::Filling => &["filling and caulking", "filling"],
            Phase::Spraying => &["spraying"],
            Phase::Trim if here.doors => &["painting trim and doors", "painting trim", "trim"],
            Phase::Trim => &["painting trim", "trim"],
            Phase::Walls => &["painting walls", "walls"],
            Phase::Carpentry => &["other work", "other"],
            Phase::Last => &["last checks, walk-through", "last checks", "checks"],
        }
    }
}

/// The phase of a step of the plan.
pub fn phase(sound: &Sound, step: usize) -> Phase {
    let s = &sound.graph.steps[step];
    let site = s.place.and_then(|p| sound.setting.spots.get(p)).map(|p| p.kind);
    if matches!(site, Some(PlaceKind::Shop | PlaceKind::Booth)) {
        return Phase::Shop;
    }
    if s.role == Role::Unlisted {
        return Phase::Last;
    }
    // What the user wrote himself goes by its own name.
    if s.origin.starts_with("steps[") {
        return Phase::Carpentry;
    }
    of(s, part(sound, s), sprayed(sound, s))
}

/// Part of the room a step's surface is, if it has one.
fn part(sound: &Sound, s: &Step) -> Option<Part> {
    let room = sound.job.rooms.iter().find(|r| r.id == s.room)?;
    let surface = room.surfaces.iter().find(|x| x.id == s.surface)?;
    Some(surface.part)
}

/// Whether the surface's trim is sprayed: some step of it closes the room for a coat.
fn sprayed(sound: &Sound, s: &Step) -> bool {
    let same = |o: &&Step| o.room == s.room && o.surface == s.surface && o.when.iter().all(|w| s.when.contains(w));
    !s.surface.is_empty() && sound.graph.steps.iter().filter(same).any(|o| o.flags.closes && o.coat.is_some())
}

fn of(s: &Step, part: Option<Part>, sprayed: bool) -> Phase {
    let row = row_of(&s.id);
    // What closes a room for a coat is sprayed, whatever it is called.
    if s.flags.closes && s.coat.is_some() {
        return Phase::Spraying;
    }
    match (part, s.trade.as_str()) {
        (Some(Part::Walls), "paint") if row.starts_with("wall-") => Phase::Walls,
        (Some(Part::Walls), "paint") => Phase::Priming,
        (Some(Part::Walls), _) if row == "wash" => Phase::Washing,
        (Some(Part::Walls), _) => Phase::Plaster,
        (Some(Part::Crown | Part::Ceiling), _) => Phase::Crown,
        (Some(Part::Openings), _) => Phase::Openings,
        (Some(Part::Panels), _) => Phase::Panels,
        (Some(Part::Base), _) => Phase::Base,
        (Some(Part::Room), _) if matches!(row, "plates-on" | "punch" | "clean") => Phase::Last,
        (Some(Part::Room), _) if row == "carry-in" => Phase::Stock,
        (Some(Part::Room), "prep") if row != "scuff-trim" => Phase::Ready,
        (Some(Part::Room), "finish" | "prep") => Phase::Filling,
        (Some(Part::Room), "paint") if sprayed && !row.starts_with("doors-") => Phase::Spraying,
        (Some(Part::Room), "paint") => Phase::Trim,
        (Some(Part::Room), _) => Phase::Ready,
        (None, _) => Phase::Carpentry,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn phases(text: &str) -> Vec<(String, Phase)> {
        let sound = crate::desk::open(text).expect("a job").sound.expect("sound");
        let usual = sound.graph.usual();
        // Work of the plan: no gates, nothing that is only found on opening up.
        let there = |&i: &usize| {
            let s = &sound.graph.steps[i];
            s.role.planned() && s.crew.fewest > 0 && crate::work::WorkGraph::holds(&s.when, &usual)
        };
        (0..sound.graph.steps.len())
            .filter(there)
            .map(|i| (sound.graph.steps[i].id.clone(), phase(&sound, i)))
            .collect()
    }

    #[test]
    fn every_step_of_the_study_is_a_phase_its_client_would_name() {
        let all = phases(include_str!("../../../sample-jobs/study.ron"));
        let of = |id: &str| all.iter().find(|x| x.0 == id).unwrap_or_else(|| panic!("{id} among {all:?}")).1;
        for (id, want) in [
            ("study/start/measure", Phase::Ready),
            ("study/prep/protect", Phase::Ready),
            ("study/stock/carry-in", Phase::Stock),
            ("study/walls/skim-2", Phase::Plaster),
            ("study/walls/wash", Phase::Washing),
            ("study/walls/bond-prime", Phase::Priming),
            ("study/walls/wall-1", Phase::Walls),
            ("study/crown/hang-crown", Phase::Crown),
            ("study/ceiling/ceiling-1", Phase::Crown),
            ("study/openings/mill", Phase::Shop),
            ("study/openings/casing", Phase::Openings),
            ("study/panels/hang", Phase::Panels),
            ("study/base/shoe", Phase::Base),
            ("study/trim/caulk", Phase::Filling),
            ("study/paint/mask", Phase::Spraying),
            ("study/paint/spray-1", Phase::Spraying),
            ("study/paint/doors-1", Phase::Trim),
            ("study/finish/punch", Phase::Last),
        ] {
            assert_eq!(of(id), want, "{id}");
        }
        assert!(all.iter().all(|x| x.1 != Phase::Carpentry), "{all:?}");
    }

    #[test]
    fn what_the_user_wrote_himself_goes_by_its_own_name() {
        let mut job = crate::desk::open(include_str!("../../../sample-jobs/study.ron")).expect("a job").read.job;
        job.steps.push(crate::job::OwnStep {
            id: "rail".into(),
            name: "Paint the rail".into(),
            room: "study".into(),
            surface: "prep".into(),
            hours: Some((1.0, 2.0, 3.0)),
            ..crate::job::OwnStep::default()
        });
        let sound = crate::desk::judge(&job).expect("sound");
        let rail = sound.graph.steps.iter().position(|s| s.id == "rail").expect("the step");
        assert_eq!(phase(&sound, rail), Phase::Carpentry);
    }

    #[test]
    fn brushed_trim_is_not_called_spraying() {
        let all = phases(include_str!("../../../sample-jobs/powder.ron"));
        assert!(all.iter().any(|x| x.1 == Phase::Trim) && all.iter().all(|x| x.1 != Phase::Spraying), "{all:?}");
    }

    #[test]
    fn a_phase_names_only_what_is_there_and_its_short_names_are_shorter() {
        let open = |text: &str| crate::desk::open(text).expect("a job").sound.expect("sound");
        let study = Here::new(&open(include_str!("../../../sample-jobs/study.ron")), Some(0));
        assert_eq!(Phase::Crown.names(study)[0], "crown and ceiling");
        // The powder room has no crown and no window.
        let powder = Here::new(&open(include_str!("../../../sample-jobs/powder.ron")), Some(0));
        assert_eq!(Phase::Crown.names(powder), ["ceiling"]);
        for here in [study, powder] {
            for p in [Phase::Ready, Phase::Plaster, Phase::Crown, Phase::Openings, Phase::Trim, Phase::Last] {
                assert!(p.names(here).windows(2).all(|w| w[1].len() < w[0].len()), "{:?}", p.names(here));
            }
        }
    }
}
