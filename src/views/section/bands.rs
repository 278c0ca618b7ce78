//! Which band a step belongs to, and what the room looks like in section.
//!
//! A step in the shop or the booth stands there; deliveries, decisions, laboratories and
//! other trades come in above the ceiling; all else stands at the height of the room it is
//! worked at. A step of the whole room that counts trim (casing, rails, base) stands at the
//! highest part it covers and reaches down to the lowest; which parts those are is read from
//! the quantities its hours are counted by, and where a step counts none (masking, a second
//! look) from the steps beside it, if most of them do.

use super::blocks::capital;
use super::{Band, Level, RoomInfo, RoomSection, Site};
use crate::desk::Sound;
use crate::job::{OpeningKind, PlaceKind, Room};
use crate::measure::Length;
use crate::takeoff::{CASING, HEAD};
use crate::trade::Part;
use crate::views::choices::part_word;
use crate::work::{Kind, Role, Step};

/// Heights of the room from the top down.
pub const PARTS: [Part; 7] =
    [Part::Ceiling, Part::Crown, Part::Walls, Part::Openings, Part::Panels, Part::Base, Part::Room];

fn height(p: Part) -> usize {
    PARTS.iter().position(|&q| q == p).unwrap_or(PARTS.len() - 1)
}

/// Where a step stands: room, highest and lowest level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stood {
    pub room: Option<usize>,
    pub top: Level,
    pub low: Level,
    pub site: Site,
}

/// Parts a take-off quantity is measured on, highest and lowest.
fn measured_on(quantity: &str) -> Option<(Part, Part)> {
    let first = quantity.split('_').next().unwrap_or_default();
    let one = match first {
        "crown" => Part::Crown,
        "panel" | "cap" => Part::Panels,
        "wall" | "holes" | "cracks" => Part::Walls,
        "ceiling" => Part::Ceiling,
        "doors" | "windows" | "openings" | "opening" | "stools" | "casing" => Part::Openings,
        "base" => Part::Base,
        "trim" | "old" => return Some((Part::Openings, Part::Base)),
        "painted" => return Some((Part::Crown, Part::Base)),
        _ => return None,
    };
    Some((one, one))
}

fn counted(step: &Step) -> Option<(Part, Part)> {
    step.terms.iter().filter_map(|t| measured_on(&t.of)).reduce(wider)
}

fn wider(a: (Part, Part), b: (Part, Part)) -> (Part, Part) {
    let top = if height(a.0) <= height(b.0) { a.0 } else { b.0 };
    let low = if height(a.1) >= height(b.1) { a.1 } else { b.1 };
    (top, low)
}

fn part_of(room: &Room, surface: &str) -> Option<Part> {
    let own = room.surfaces.iter().find(|s| s.id == surface).map(|s| s.part);
    let word = || serde_json::from_value::<Part>(serde_json::Value::String(surface.into())).ok();
    own.or_else(word)
}

/// Highest and lowest part a step of the room covers.
fn covers(sound: &Sound, room: Option<&Room>, step: &Step) -> (Part, Part) {
    // What nobody listed is of the whole room, whatever its surfaces are called.
    if step.role == Role::Unlisted {
        return (Part::Room, Part::Room);
    }
    match room.and_then(|r| part_of(r, &step.surface)) {
        Some(Part::Room) => {}
        Some(p) => return (p, p),
        None => return (Part::Room, Part::Room),
    }
    // Trim in a room without a crown begins at the openings.
    let crown = room.is_some_and(|r| r.surfaces.iter().any(|s| s.part == Part::Crown));
    let there = |(top, low): (Part, Part)| (if top == Part::Crown && !crown { Part::Openings } else { top }, low);
    if let Some(range) = counted(step) {
        return there(range);
    }
    let beside: Vec<&Step> = sound
        .graph
        .steps
        .iter()
        .filter(|s| s.room == step.room && s.surface == step.surface && s.role.planned())
        .collect();
    let known: Vec<(Part, Part)> = beside.iter().filter_map(|s| counted(s)).collect();
    if 2 * known.len() > beside.len() {
        return known.into_iter().reduce(wider).map_or((Part::Room, Part::Room), there);
    }
    (Part::Room, Part::Room)
}

/// Where a step is worked.
pub fn site(sound: &Sound, step: &Step) -> Site {
    match step.place.and_then(|p| sound.setting.spots.get(p)).map(|s| s.kind) {
        Some(PlaceKind::Shop) => Site::Shop,
        Some(PlaceKind::Booth) => Site::Booth,
        Some(PlaceKind::Room) => Site::Room,
        None => Site::Away,
    }
}

/// Where a step stands.
pub fn stood(sound: &Sound, step: &Step) -> Stood {
    let job = &sound.job;
    let place = step.place.and_then(|p| job.places.get(p)).map(|p| p.id.as_str());
    let room = job
        .rooms
        .iter()
        .position(|r| r.id == step.room)
        .or_else(|| job.rooms.iter().position(|r| Some(r.place.as_str()) == place));
    let site = site(sound, step);
    let away = match step.kind {
        Kind::Business { .. } | Kind::Decision { .. } => true,
        Kind::Elapsed(_) => step.origin.starts_with("visits") || (step.place.is_none() && step.room.is_empty()),
        Kind::Labor => false,
    };
    let one = |level| Stood { room, top: level, low: level, site };
    match site {
        _ if away => Stood { site: Site::Away, ..one(Level::Coming) },
        Site::Shop => one(Level::Shop),
        Site::Booth => one(Level::Booth),
        _ => {
            let (top, low) = covers(sound, room.map(|r| &job.rooms[r]), step);
            // Work of no room at all stands with the first one.
            let room = room.or((!job.rooms.is_empty()).then_some(0));
            Stood { room, top: Level::Part(top), low: Level::Part(low), site: Site::Room }
        }
    }
}

/// Name of a level.
pub fn level_name(level: Level) -> String {
    match level {
        Level::Coming => "Coming in".into(),
        Level::Part(part) => capital(part_word(part)),
        Level::Shop => "Shop".into(),
        Level::Booth => "Booth".into(),
    }
}

/// The bands of the job: what comes in, the parts of each room, shop and booth.
pub fn bands(sound: &Sound, stood: &[Stood]) -> Vec<Band> {
    let has = |room: Option<usize>, level| stood.iter().any(|s| s.room == room && (s.top == level || s.low == level));
    let any = |level| stood.iter().any(|s| s.top == level);
    let band = |room, level| Band {
        level,
        room,
        name: level_name(level),
        labor_min: 0,
        hours: String::new(),
        why: String::new(),
    };
    let mut out = Vec::new();
    if any(Level::Coming) {
        out.push(band(None, Level::Coming));
    }
    for (i, r) in sound.job.rooms.iter().enumerate() {
        for p in PARTS {
            let measured = r.surfaces.iter().any(|s| s.part == p)
                || matches!(p, Part::Ceiling | Part::Walls | Part::Room)
                || (p == Part::Openings && !r.openings.is_empty());
            if measured || has(Some(i), Level::Part(p)) {
                out.push(band(Some(i), Level::Part(p)));
            }
        }
    }
    if sound.job.rooms.is_empty() && has(None, Level::Part(Part::Room)) {
        out.push(Band { name: "The work".into(), ..band(None, Level::Part(Part::Room)) });
    }
    for level in [Level::Shop, Level::Booth] {
        if any(level) {
            out.push(band(None, level));
        }
    }
    out
}

/// Index of the band a level of a room has: the nearest below it (or above) that is there.
pub fn band_of(bands: &[Band], room: Option<usize>, level: Level) -> usize {
    let shared = !matches!(level, Level::Part(_));
    let room = if shared { None } else { room };
    let of_room = |b: &&(usize, &Band)| b.1.room == room && matches!(b.1.level, Level::Part(_)) != shared;
    let all: Vec<(usize, &Band)> = bands.iter().enumerate().collect();
    let here: Vec<&(usize, &Band)> = all.iter().filter(of_room).collect();
    let below = here.iter().find(|b| b.1.level >= level || rank(b.1.level) >= rank(level));
    below.or(here.last()).map_or(0, |b| b.0)
}

fn rank(level: Level) -> usize {
    match level {
        Level::Coming => 0,
        Level::Part(p) => 1 + height(p),
        Level::Shop => 10,
        Level::Booth => 11,
    }
}

/// The room's own heights.
pub fn section(room: &Room) -> RoomSection {
    let feet = |l: Length| l.feet() as f32;
    let (wide, high) = match &room.size {
        Some(s) => (feet(s.length), feet(s.height)),
        None => {
            let longest = room.walls.iter().max_by_key(|w| w.length.0);
            (longest.map_or(0.0, |w| feet(w.length)), room.walls.iter().map(|w| feet(w.height)).fold(0.0, f32::max))
        }
    };
    let part = |p: Part| room.surfaces.iter().any(|s| s.part == p);
    let window = room.openings.iter().find(|o| o.kind == OpeningKind::Window);
    let door = room.openings.iter().find(|o| o.kind != OpeningKind::Window);
    let head = feet(HEAD);
    RoomSection {
        height: high,
        width: wide,
        crown: part(Part::Crown),
        window: window.map(|o| {
            let tall = feet(o.height);
            let sill = o.sill.map_or(head - tall, feet);
            (sill + tall, sill, feet(o.width))
        }),
        door: door.map(|o| (feet(o.height), feet(o.width))),
        panels: room.surfaces.iter().find(|s| s.part == Part::Panels).map(|s| s.height.map_or(3.0, feet)),
        base: part(Part::Base),
        casing: window.or(door).and_then(|o| o.casing).map_or(feet(CASING), feet),
    }
}

/// Tags of one or two letters, no two alike.
pub fn tags(names: &[&str]) -> Vec<String> {
    let letters = |n: &str| n.chars().filter(|c| c.is_alphanumeric()).collect::<Vec<char>>();
    let first = |n: &str| letters(n).first().map_or('?', |c| c.to_uppercase().next().unwrap_or(*c));
    let mut out: Vec<String> = Vec::new();
    for n in names {
        let f = first(n);
        if names.iter().filter(|m| first(m) == f).count() == 1 {
            out.push(f.to_string());
            continue;
        }
        let rest = letters(n);
        let tail = rest.iter().skip(1).copied().chain('1'..='9');
        let tag = tail.map(|c| format!("{f}{c}")).find(|t| !out.contains(t));
        out.push(tag.unwrap_or_else(|| f.to_string()));
    }
    out
}

/// The rooms with their tags; work and drying are added with the blocks.
pub fn rooms(sound: &Sound) -> Vec<RoomInfo> {
    let names: Vec<&str> = sound.job.rooms.iter().map(|r| r.name.as_str()).collect();
    let room = |(i, tag): (usize, String)| {
        let r = &sound.job.rooms[i];
        let (section, name) = (section(r), r.name.clone());
        RoomInfo {
            room: i,
            name,
            tag,
            section,
            work: Vec::new(),
            drying: Vec::new(),
            done: String::new(),
            done_why: String::new(),
        }
    };
    tags(&names).into_iter().enumerate().map(room).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_are_short_and_apart() {
        assert_eq!(tags(&["Study"]), ["S"]);
        let t = tags(&["North bedroom", "South bedroom", "Landing", "Sitting room", "Den", "Bathroom"]);
        assert_eq!(t, ["N", "So", "L", "Si", "D", "B"]);
        assert_eq!(tags(&["Bed", "Bed", "Bed"]), ["Be", "Bd", "B1"]);
    }

    #[test]
    fn trim_reaches_from_the_openings_to_the_base() {
        let opened = crate::desk::open(include_str!("../../../sample-jobs/study.ron")).unwrap();
        let sound = opened.sound.expect("sound");
        let of = |id: &str| {
            let s = stood(&sound, sound.graph.steps.iter().find(|s| s.id == id).expect(id));
            (s.top, s.low, s.site)
        };
        let part = Level::Part;
        assert_eq!(of("study/trim/fill"), (part(Part::Openings), part(Part::Base), Site::Room));
        assert_eq!(of("study/trim/look"), (part(Part::Openings), part(Part::Base), Site::Room));
        assert_eq!(of("study/paint/spray-1"), (part(Part::Crown), part(Part::Base), Site::Room));
        assert_eq!(of("study/paint/doors-2"), (part(Part::Openings), part(Part::Openings), Site::Room));
        assert_eq!(of("study/prep/protect"), (part(Part::Room), part(Part::Room), Site::Room));
        assert_eq!(of("study/panels/rip"), (Level::Shop, Level::Shop, Site::Shop));
        assert_eq!(of("study/panels/hang").0, part(Part::Panels));
        assert_eq!(of("colour"), (Level::Coming, Level::Coming, Site::Away));
        let s = section(&sound.job.rooms[0]);
        assert!((s.height - 8.0 - 4.0 / 12.0).abs() < 0.01 && s.panels == Some(3.0) && s.crown && s.base, "{s:?}");
    }

    #[test]
    fn a_room_without_a_crown_has_no_row_of_it() {
        let mut job = crate::desk::open(include_str!("../../../sample-jobs/study.ron")).unwrap().read.job;
        (job.kept, job.holds) = (None, Vec::new());
        job.rooms[0].surfaces.retain(|s| s.part != Part::Crown);
        for s in job.rooms[0].surfaces.iter_mut().filter(|s| s.id == "paint") {
            // As the window names a surface of the whole room.
            s.id = "room".into();
        }
        let (graph, _) = crate::work::build::attempt(&job);
        let sound = Sound {
            setting: crate::schedule::Setting::new(&job, &graph),
            job,
            graph,
            kept: None,
            holds: Vec::new(),
            open: None,
        };
        let all: Vec<Stood> = sound.graph.steps.iter().map(|s| stood(&sound, s)).collect();
        assert!(!bands(&sound, &all).iter().any(|b| b.level == Level::Part(Part::Crown)));
        let unlisted = sound.graph.steps.iter().position(|s| s.role == Role::Unlisted).expect("the allowance");
        assert_eq!(all[unlisted].top, Level::Part(Part::Room));
        // And nobody asks about ceiling coats after a crown.
        let ceiling = sound.graph.choices.iter().find(|c| c.id.ends_with("/crown")).expect("a choice");
        assert_eq!(ceiling.fixed, Some(0));
    }
}
