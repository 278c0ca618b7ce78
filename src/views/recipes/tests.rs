//! What is shown before a recipe is chosen, against the graph the choice then makes.

use super::*;
use crate::desk;

fn job(name: &str) -> Job {
    let text = match name {
        "study" => include_str!("../../../sample-jobs/study.ron"),
        _ => include_str!("../../../sample-jobs/powder.ron"),
    };
    desk::open(text).unwrap().read.job
}

#[test]
fn an_offer_is_what_the_plan_has_once_it_is_chosen() {
    for name in ["study", "powder"] {
        let before = job(name);
        for k in 0..before.rooms[0].surfaces.len() {
            for o in offers(&before, &Book::default(), 0, k, Part::Walls).iter().filter(|o| o.wrong.is_empty()) {
                let after = edited(&before, &o.edits);
                let (g, _) = attempt(&after);
                let s = &after.rooms[0].surfaces[k];
                let list = mine(&g, &g.usual(), &after.rooms[0].id, Some(&s.id));
                assert_eq!(o.figures, figures(&g, &after, &g.usual(), &list), "{name} {}", o.name);
                assert_eq!(o.steps.len(), list.len(), "{}", o.name);
            }
        }
    }
}

#[test]
fn ways_of_one_recipe_are_lines_of_their_own_and_none_counts_two() {
    let study = job("study");
    let list = offers(&study, &Book::default(), 0, 10, Part::Room);
    let of = |word: &str| list.iter().find(|o| o.name.ends_with(word)).unwrap();
    let (spray, brush) = (of("trim painted by: spray"), of("trim painted by: brush"));
    assert!(spray.in_use && !brush.in_use);
    let has = |o: &Offer, step: &str| o.steps.iter().any(|s| s.name.contains(step));
    assert!(has(spray, "sprayed") && !has(spray, "brushed") && has(brush, "brushed") && !has(brush, "mask"));
    // Masked, sprayed twice, scuffed, unmasked, doors and sashes twice.
    assert_eq!(spray.steps.len(), 7);
    let coat = spray.steps.iter().find(|s| s.name.starts_with("first sprayed")).unwrap();
    assert!(coat.hours.ends_with(" h") && coat.then.contains(" in "), "{coat:?}");
    assert!(spray.figures.contains(" h, dry in "), "{}", spray.figures);
    // Each says how it comes about.
    assert!(coat.why.contains(" x ") && coat.why.contains(" typical"), "{}", coat.why);
    assert!(list.iter().all(|o| !o.why.is_empty() && o.steps.iter().all(|s| s.hours.is_empty() || !s.why.is_empty())));
    // Choosing it settles the method.
    assert_eq!(edited(&study, &brush.edits).rooms[0].surfaces[10].methods, [("by".to_string(), "brush".to_string())]);
}

#[test]
fn a_recipe_with_shop_work_brings_the_shop() {
    let powder = job("powder");
    let list = offers(&powder, &Book::default(), 0, powder.rooms[0].surfaces.len(), Part::Panels);
    let built = list.iter().find(|o| o.name.starts_with("panel wall built in the shop")).unwrap();
    assert!(built.also.contains("shop") && built.wrong.is_empty(), "{built:?}");
    let after = edited(&powder, &built.edits);
    assert!(after.places.iter().any(|p| p.kind == PlaceKind::Shop));
    assert_eq!(after.rooms[0].surfaces.last().unwrap().id, "panels");
}

#[test]
fn every_set_gives_a_measured_room_a_plan_at_once() {
    let mut bare = job("powder");
    bare.deliveries.clear();
    bare.rooms[0].surfaces.clear();
    bare.places.clear();
    for year in [None, Some(1926), Some(2003)] {
        bare.house.year_built = year;
        let list = room_sets(&bare, 0);
        assert!(list.len() > 4);
        for o in list {
            assert_eq!(o.wrong, "", "{}", o.name);
            let after = edited(&bare, &o.edits);
            let sound = desk::judge(&after).unwrap_or_else(|p| panic!("{}: {p:?}", o.name));
            let tests = sound.graph.steps.iter().filter(|s| s.id.ends_with("-result")).count();
            assert_eq!(tests, if year == Some(2003) { 0 } else { 2 }, "{}", o.name);
            assert!(sound.plan(false).is_ok(), "{}", o.name);
            assert!(o.figures.ends_with(" h") && o.steps.len() >= 4);
        }
    }
    let study = job("study");
    assert!(room_sets(&study, 0)[0].also.contains("in place of the 12 surfaces there are"));
}

#[test]
fn own_recipes_stand_first_and_come_into_the_job_when_chosen() {
    let study = job("study");
    let mut book = Book::default();
    let base = tables().recipe("base-and-shoe").unwrap();
    book.keep_recipe(crate::book::as_done(base, "base, no shoe", &["shoe"], &[], &|_, _| true));
    let list = offers(&study, &book, 0, 8, Part::Base);
    assert!(list[0].yours && list[0].name == "base, no shoe" && list[0].steps.len() == 1);
    let after = edited(&study, &list[0].edits);
    assert_eq!(after.rooms[0].surfaces[8].recipe, "mine-base-no-shoe");
    assert!(after.recipes.iter().any(|r| r.id == "mine-base-no-shoe"));
    assert!(desk::judge(&after).is_ok());
}
