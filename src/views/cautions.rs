//! Cautions that belong to a job: prompts, never permissions.

use crate::desk::Sound;
use crate::trade::{Caution, cautions as all};
use crate::work::WorkGraph;

/// Houses from this year on get no lead caution (EPA, 40 CFR 745 subpart E: target housing
/// was built before 1978).
const LEAD: i32 = 1978;
/// Houses from this year on get no asbestos caution; compound of the 1980s may still hold it
/// (judgement; the asbestos gate of the recipes uses the same year).
const ASBESTOS: i32 = 1990;

/// The cautions of what this job does, in the order of the table. An unknown year of
/// building counts as old. Steps of the user's own count by their rate row, and by being
/// dusty.
pub fn cautions(sound: &Sound) -> Vec<&'static Caution> {
    let methods = sound.graph.usual();
    let before = |year: i32| sound.job.house.year_built.is_none_or(|y| y < year);
    // A choice left to the search may come out either way: its cautions count in any case.
    let possible = |s: &&crate::work::Step| {
        s.when.iter().all(|&(c, o)| sound.graph.choices[c].fixed.is_none_or(|f| f == o))
            || WorkGraph::holds(&s.when, &methods)
    };
    let does = |c: &Caution| sound.graph.steps.iter().filter(possible).any(|s| belongs(c, s));
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
    let does = |c: &&Caution| steps.iter().any(|&s| belongs(c, &sound.graph.steps[s]));
    cautions(sound).into_iter().filter(does).collect()
}

/// Whether a caution is of this step, by its row, its rates, and for the user's own by its dust.
fn belongs(c: &Caution, s: &crate::work::Step) -> bool {
    let row = s.id.rsplit(['/', ':']).next().unwrap_or("");
    c.rows.iter().any(|r| r == row || s.terms.iter().any(|t| t.rate == *r))
        || (s.flags.dusty && s.origin.starts_with("steps[") && matches!(c.id.as_str(), "silica" | "wood-dust"))
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
        assert!(!powder.contains(&"airless") && !powder.contains(&"spraying") && powder.contains(&"electrical"));
    }
}
