//! Cautions in the client's words: which ones is for the job to say, each names its body.
//!
//! The list is that of `views::cautions`; here stands what it means to who lives there. Rags have
//! no row of a recipe: they are said where a product of the job is oil.

use super::{REMINDERS, row_of};
use crate::desk::Sound;

/// Advice of the trade names nobody.
const NO_BODY: &str = "common practice, no source";

/// What is to be heeded, and whose rule or advice it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Heed {
    pub id: String,
    pub what: String,
    /// The body whose rule it is.
    pub body: String,
}

impl Heed {
    /// One sentence with its body.
    pub fn words(&self) -> String {
        if self.body == NO_BODY { self.what.clone() } else { format!("{} ({})", self.what, self.body) }
    }
}

/// Cautions of this job, the reminder of what wins not among them.
pub(super) fn heeds(sound: &Sound) -> Vec<Heed> {
    let built = sound.job.house.year_built.map(|y| format!("House of {}:", super::super::whole(y)));
    // Said to be tested only where the plan has the test.
    let tests = |row: &str| sound.graph.steps.iter().any(|s| row_of(&s.id) == row);
    let known = Known {
        lead: tests("lead-result"),
        asbestos: tests("asbestos-result"),
        panels: sound.job.rooms.iter().flat_map(|r| &r.surfaces).any(|x| x.part == crate::trade::Part::Panels),
        built: built.unwrap_or_else(|| "Please tell us the year the house was built:".into()),
    };
    let ids = super::super::cautions(sound).into_iter().map(|c| c.id.as_str());
    let oil = sound.graph.products.iter().any(|p| p.id.contains("oil") || p.name.contains("oil"));
    let used = oil && sound.graph.steps.iter().any(|s| s.coat.is_some());
    ids.chain(used.then_some("rags")).filter_map(|id| heed(id, &known)).collect()
}

/// What of the job the words of a caution hang on.
#[derive(Clone, Debug, Default)]
struct Known {
    /// Whether the plan has the test.
    lead: bool,
    asbestos: bool,
    panels: bool,
    /// `House of 1926:`, or the wish to be told.
    built: String,
}

/// A caution of the table as the client needs it; none for what concerns only who works.
fn heed(id: &str, known: &Known) -> Option<Heed> {
    let built = &known.built;
    let (what, body) = match id {
        "lead" => (
            if known.lead {
                format!(
                    "{built} old paint is tested for lead before it is sanded or stripped. Keep children, pregnant women \
                     and pets out until the room is cleaned."
                )
            } else {
                format!(
                    "{built} paint from before 1978 may hold lead. Keep children, pregnant women and pets out until the \
                     room is cleaned."
                )
            },
            "EPA Renovation, Repair and Painting rule, 40 CFR 745 subpart E",
        ),
        "asbestos" => (
            if known.asbestos {
                format!("{built} old compound, texture and tile are tested for asbestos before they are sanded or scraped.")
            } else {
                format!("{built} old compound, texture and tile may hold asbestos: do not sand or scrape them.")
            },
            "16 CFR 1304",
        ),
        "silica" => (
            "Sanding makes fine dust: please stay out while the door is shut and until it is vacuumed.".into(),
            "OSHA 29 CFR 1926.1153",
        ),
        "wood-dust" => ("Sawing and sanding wood and MDF makes fine dust: stay out of it.".into(), "IARC group 1"),
        "spraying" => (
            "While we spray and until it has aired: no flame, spark, pilot light or cigarette; leave windows and fans as \
             we set them."
                .into(),
            "the product's safety data sheet",
        ),
        "vapour" => (
            "While paint and primer dry: please keep the windows as we set them and air the room.".into(),
            "the product's safety data sheet",
        ),
        "airless" => (
            "Do not touch the sprayer: its jet goes through skin, and that is an emergency even when it looks small.".into(),
            "the maker's safety sheet",
        ),
        "ladders" => ("Please keep clear of ladders and platforms.".into(), "OSHA 29 CFR 1926 subparts X and L"),
        "electrical" => (
            format!(
                "{} with the power off; moving or extending wiring is for a licensed electrician where the law says so.",
                if known.panels { "Boxes behind panels are brought flush" } else { "Switch plates come off" }
            ),
            "NFPA 70, 314.20",
        ),
        "adhesives" => (
            "Adhesives and solvents: air the room, no flames.".into(),
            "the product's safety data sheet",
        ),
        "rags" => (
            "Oily rags ignite by themselves: they dry flat outdoors or stay in a closed metal can with water.".into(),
            "fire authorities' advice",
        ),
        "lifting" => (
            "Long and heavy pieces are carried in: keep the path and the stairs clear.".into(),
            NO_BODY,
        ),
        _ => return None,
    };
    Some(Heed { id: id.to_string(), what, body: body.to_string() })
}

/// The cautions a sentence each, what wins last; none where there are none.
pub(super) fn heed_lines(heeds: &[Heed]) -> Vec<String> {
    let last = (!heeds.is_empty()).then(|| REMINDERS.to_string());
    heeds.iter().map(Heed::words).chain(last).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_caution_of_the_table_has_words_and_names_the_body_of_its_row() {
        for c in crate::trade::cautions() {
            let h = heed(&c.id, &Known { built: "House of 1926:".into(), ..Known::default() })
                .unwrap_or_else(|| panic!("{} has no words", c.id));
            assert!(c.rule.starts_with(&h.body), "{}: {} is not {}", c.id, h.body, c.rule);
        }
        assert_eq!(heed("unheard-of", &Known::default()), None);
    }

    fn ids(text: &str) -> Vec<String> {
        let sound = crate::desk::open(text).expect("a job").sound.expect("sound");
        heeds(&sound).into_iter().map(|h| h.id).collect()
    }

    #[test]
    fn the_year_and_the_products_choose() {
        let study = include_str!("../../../sample-jobs/study.ron");
        let has = |list: &[String], id: &str| list.iter().any(|x| x == id);
        let new = ids(study);
        assert!(
            has(&new, "spraying") && has(&new, "electrical") && !has(&new, "lead") && !has(&new, "rags"),
            "{new:?}"
        );
        let old = study.replacen("year_built: 1994", "year_built: 1926", 1);
        assert!(has(&ids(&old), "lead") && has(&ids(&old), "asbestos"));
        let oil = study.replacen(
            r#"methods: [("by", "spray")]"#,
            r#"methods: [("by", "spray")], changes: [(step: "doors-1", product: "oil-primer-slow")]"#,
            1,
        );
        assert_ne!(oil, study);
        assert!(has(&ids(&oil), "rags"));
    }
}
