//! The model of the sample jobs.

use super::model::samples;
use super::*;
use crate::clock::{At, DAY};
use crate::trade::Part;

fn study() -> &'static Model {
    &samples()[0].1
}

fn block(id: &str) -> &'static Block {
    study().blocks.iter().find(|b| b.id == id).expect(id)
}

#[test]
fn every_step_has_its_block_in_a_band_of_its_room() {
    for (name, m) in samples() {
        for b in &m.blocks {
            assert!(b.lowest >= b.band && b.lowest < m.bands.len(), "{name} {}", b.id);
            let band = &m.bands[b.band];
            assert!(band.room.is_none() || band.room == b.room, "{name} {}", b.id);
            assert!(
                !b.runs.is_empty() && b.runs[0].0 == b.begin && b.runs.last().unwrap().1 == b.end,
                "{name} {}",
                b.id
            );
            assert!(b.runs.windows(2).all(|w| w[0].1 < w[1].0), "{name} {}", b.id);
            assert!(!b.short.is_empty() && b.says.len() >= 2 && !b.dates.is_empty(), "{name} {}", b.id);
        }
        // Labor of the bands is labor of the blocks.
        let (bands, blocks): (i64, i64) =
            (m.bands.iter().map(|b| b.labor_min).sum(), m.blocks.iter().map(|b| b.labor_min).sum());
        assert_eq!(bands, blocks, "{name}");
        assert_eq!(m.lanes.len() > 1, name == "hall" || name == "house", "{name}");
    }
}

#[test]
fn bands_of_the_study_go_from_the_ceiling_to_the_booth() {
    let names: Vec<&str> = study().bands.iter().map(|b| b.name.as_str()).collect();
    let all = ["Coming in", "Ceiling", "Crown", "Walls", "Openings", "Panels", "Base", "Whole room", "Shop", "Booth"];
    assert_eq!(names, all);
    let level = |b: &Block| (study().bands[b.band].level, study().bands[b.lowest].level);
    let part = Level::Part;
    assert_eq!(level(block("study/trim/caulk")), (part(Part::Openings), part(Part::Base)));
    assert_eq!(level(block("study/paint/mask")), (part(Part::Crown), part(Part::Base)));
    assert_eq!(level(block("study/walls/skim-1")), (part(Part::Walls), part(Part::Walls)));
    assert_eq!(level(block("study/panels/glue-up")), (Level::Shop, Level::Shop));
    assert_eq!(block("study/openings/prime-stock").site, Site::Booth);
    assert!(block("colour").says[1].starts_with("To be settled by Fri 12 Mar"));
}

#[test]
fn a_wedge_ends_when_the_plan_says_the_coat_is_ready() {
    for (name, m) in samples() {
        let mut wedges = 0;
        for b in &m.blocks {
            let Some(w) = &b.wedge else { continue };
            wedges += 1;
            assert_eq!((w.left[0], w.left.last().map(|l| l.1)), ((b.end, 1.0), Some(0.0)), "{name} {}", b.id);
            assert!(w.left.windows(2).all(|p| p[0].0 < p[1].0 && p[0].1 >= p[1].1), "{name} {}", b.id);
            assert!(w.from == b.end && w.dry > w.from && w.ready >= w.dry, "{name} {}", b.id);
        }
        assert!(wedges > 5, "{name}");
    }
    // The plan's own words: adhesive ready to handle Wed 17 Mar 6:00, work from 8:15.
    let hang = block("study/panels/hang").wedge.as_ref().unwrap();
    assert_eq!(hang.words, "dry Wed 17 Mar 6:00, ready Wed 17 Mar 8:15");
    assert_eq!(hang.dry, At(16 * DAY + 360));
}

#[test]
fn the_tape_goes_up_and_its_figures_are_whole() {
    for (name, m) in samples() {
        assert!(
            m.odds.len() > 2 && m.odds.windows(2).all(|w| w[0].share <= w[1].share && w[0].day < w[1].day),
            "{name}"
        );
        assert!(m.odds.iter().all(|o| o.figure.trim_start_matches(['<', '>']).parse::<u32>().is_ok()), "{name}");
        assert!(m.safe.as_ref().is_some_and(|s| s.at > m.clean_run.at) && m.in_hand.ends_with(" in hand"), "{name}");
    }
    assert_eq!(study().target.as_ref().map(|t| t.name.as_str()), Some("asked for"));
}
