//! Cautions that belong to a job: prompts, never permissions.

use crate::clock::Law;
use crate::desk::Sound;
use crate::trade::{Caution, Part, cautions as all};
use crate::work::{Step, WorkGraph};

/// Houses from this year on get no lead caution (EPA, 40 CFR 745 subpart E: target housing
/// was built before 1978).
const LEAD: i32 = 1978;
/// Houses from this year on get no asbestos caution; compound of the 1980s may still hold it
/// (judgement; the asbestos gate of the recipes uses the same year).
const ASBESTOS: i32 = 1990;

/// The cautions of what this job does, in the order of the table. An unknown year of
/// building counts as old. Steps of the user's own count by their rate row, by being
/// dusty, and by the product they leave.
pub fn cautions(sound: &Sound) -> Vec<&'static Caution> {
    let methods = sound.graph.usual();
    let before = |year: i32| sound.job.house.year_built.is_none_or(|y| y < year);
    // A choice left to the search may come out either way: its cautions count in any case.
    let possible = |s: &&Step| {
        s.when.iter().all(|&(c, o)| sound.graph.choices[c].fixed.is_none_or(|f| f == o))
            || WorkGraph::holds(&s.when, &methods)
    };
    let does = |c: &Caution| sound.graph.steps.iter().filter(possible).any(|s| belongs(sound, c, s));
    all()
        .iter()
        .filter(|c| match c.id.as_str() {
            "lead" => before(LEAD) && does(c),
            "asbestos" => before(ASBESTOS) && does(c),
            _ => does(c),
        })
        .collect()
}

/// The cautions of some steps of the job, among those of the job.
pub fn cautions_of(sound: &Sound, steps: &[usize]) -> Vec<&'static Caution> {
    let does = |c: &&Caution| steps.iter().any(|&s| belongs(sound, c, &sound.graph.steps[s]));
    cautions(sound).into_iter().filter(does).collect()
}

/// Whether a caution is of this step, by its row, its rates, for the user's own by its dust, and by place and deed.
fn belongs(sound: &Sound, c: &Caution, s: &Step) -> bool {
    let row = s.id.rsplit(['/', ':']).next().unwrap_or("");
    c.rows.iter().any(|r| r == row || s.terms.iter().any(|t| t.rate == *r))
        || (s.flags.dusty && s.origin.starts_with("steps[") && matches!(c.id.as_str(), "silica" | "wood-dust"))
        || by_deed(sound, &c.id, s)
}

/// Cautions of where and how work is done, whatever its row is called: high work by its part, room and name, dust of
/// wood by sanding and sawing trim, vapour by products that form a film, sprayed ones apart. Judgement.
fn by_deed(sound: &Sound, id: &str, s: &Step) -> bool {
    if s.crew.fewest == 0 {
        return false;
    }
    let room = sound.job.rooms.iter().find(|r| r.id == s.room);
    let part = room.and_then(|r| r.surfaces.iter().find(|x| x.id == s.surface)).map(|x| x.part);
    let here = s.place.map_or(crate::job::PlaceKind::Room, |p| sound.setting.spots[p].kind);
    let on_site = here == crate::job::PlaceKind::Room;
    match id {
        "ladders" if on_site => {
            let name = s.name.to_lowercase();
            let stairs = room.is_some_and(|r| format!("{} {}", r.id, r.name).to_lowercase().contains("stair"));
            matches!(part, Some(Part::Crown | Part::Ceiling))
                || stairs && part == Some(Part::Walls)
                || ["platform", "ladder", "scaffold", "trestle"].iter().any(|w| name.contains(w))
        }
        "wood-dust" => {
            let trim = matches!(part, Some(Part::Crown | Part::Openings | Part::Panels | Part::Base | Part::Room));
            trim && (s.flags.dusty && s.trade != "prep" || s.flags.noisy && s.trade == "carpentry")
        }
        "vapour" => {
            let film = |c: &crate::work::Coat| sound.graph.products[c.product].law == Law::FilmForming;
            s.coat.as_ref().is_some_and(film) && !s.flags.closes
        }
        _ => false,
    }
}

/// The cautions as lines, ending in what wins.
pub fn cautions_text(list: &[&Caution]) -> String {
    if list.is_empty() {
        return String::new();
    }
    let mut out = "\nCautions\n".to_string();
    for c in list {
        let text = format!("{}: {} ({})", c.name, c.text, c.rule);
        // The first line begins further out than those below it.
        let laid = super::laid("", 5, &text);
        out += "  ";
        out += laid.trim_start();
    }
    out + "  These are prompts, not permissions: local code and licensed practice win.\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(text: &str) -> Vec<&'static str> {
        let opened = crate::desk::open(text).unwrap();
        cautions(&opened.sound.expect("sound")).iter().map(|c| c.id.as_str()).collect()
    }

    #[test]
    fn old_houses_and_the_steps_of_the_job_decide() {
        let study = include_str!("../../sample-jobs/study.ron");
        assert!(study.contains("year_built: 1994") && study.contains("(\"by\", \"spray\")"));
        let new = names(study);
        assert!(new.contains(&"spraying") && new.contains(&"silica") && new.contains(&"lifting"));
        assert!(!new.contains(&"lead") && !new.contains(&"asbestos"));
        let old = names(&study.replacen("year_built: 1994", "year_built: 1950", 1));
        assert!(old.contains(&"lead") && old.contains(&"asbestos"));
        let middle = names(&study.replacen("year_built: 1994", "year_built: 1984", 1));
        assert!(!middle.contains(&"lead") && middle.contains(&"asbestos"));
        let unknown = names(&study.replacen("house: (year_built: 1994),", "", 1));
        assert!(unknown.contains(&"lead"));
        let powder = names(include_str!("../../sample-jobs/powder.ron"));
        assert!(powder.contains(&"vapour"), "enamel by brush");
        assert!(!powder.contains(&"airless") && !powder.contains(&"spraying") && powder.contains(&"electrical"));
    }

    #[test]
    fn high_work_sawing_sanding_and_brushed_coats_have_their_caution_whatever_the_row() {
        let of = |text: &str, id: &str| -> Vec<&'static str> {
            let sound = crate::desk::open(text).unwrap().sound.expect("sound");
            let step = sound.graph.steps.iter().position(|s| s.id == id).unwrap_or_else(|| panic!("no {id}"));
            cautions_of(&sound, &[step]).iter().map(|c| c.id.as_str()).collect()
        };
        let study = include_str!("../../sample-jobs/study.ron");
        for id in ["fill-crown", "sand-flush-crown", "vacuum-crown", "caulk-crown"] {
            assert!(of(study, &format!("study/crown/{id}")).contains(&"ladders"), "{id}");
        }
        assert!(of(study, "study/crown/sand-flush-crown").contains(&"wood-dust"));
        // Base is sawn; a wall of a study needs no ladder said.
        assert!(of(study, "study/base/shoe").contains(&"wood-dust"));
        let wall = of(study, "study/walls/wall-1");
        assert!(wall.contains(&"vapour") && !wall.contains(&"ladders"), "{wall:?}");
        // Primer by brush and a coat of a step of one's own give off vapour too; compound does not.
        assert!(of(study, "study/crown/spot-prime-crown").contains(&"vapour"));
        assert!(!of(study, "study/walls/skim-1").contains(&"vapour"));
        let mut job = crate::desk::open(study).unwrap().read.job;
        job.steps.push(crate::job::OwnStep {
            id: "rail".into(),
            room: "study".into(),
            hours: Some((1.0, 2.0, 3.0)),
            leaves: Some(crate::trade::Leaves { product: "enamel-fast".into(), ..Default::default() }),
            ..Default::default()
        });
        let sound = crate::desk::judge(&job).unwrap();
        let rail = sound.graph.steps.iter().position(|s| s.id == "rail").unwrap();
        assert!(cautions_of(&sound, &[rail]).iter().any(|c| c.id == "vapour"));
        let hall = include_str!("../../sample-jobs/hall.ron");
        let sound = crate::desk::open(hall).unwrap().sound.expect("sound");
        let stairs =
            sound.graph.steps.iter().find(|s| s.room.contains("stair") && s.id.ends_with("/wall-1")).expect("a wall");
        assert!(of(hall, &stairs.id).contains(&"ladders"));
    }
}
