//! The walk-round, recipes and entries of one's own, by the names of their controls.

use super::*;
use crate::job::PlaceKind;

#[test]
fn answers_are_chosen_counted_and_taken_back_one_by_one() {
    let mut h = bench(Desk::study());
    assert!(h.query_by_label("Walk-round: 6 of 9 not asked yet").is_some());
    press(&mut h, "Is it square and plumb? somewhat out");
    assert_eq!(h.state().job().house.out_of_square, 1.15);
    assert!(h.query_by_label("Walk-round: 5 of 9 not asked yet").is_some());
    assert!(h.query_by_label_contains("fit-up work x1.15").is_some());
    press(&mut h, "Does a 16 ft stick turn on the stairs? yes");
    assert_eq!(h.state().job().house.asked, ["square", "stairs"]);
    h.state_mut().session.undo();
    h.run();
    assert!(h.query_by_label("Walk-round: 5 of 9 not asked yet").is_some());
    fill(&mut h, "year built, the walk-round", "1926");
    assert!(h.query_by_label_contains("lead test first: 5 business days").is_some());
    fill(&mut h, "year built, the walk-round", "long ago");
    assert!(h.query_by_label_contains("write the year like 1926").is_some());
    fill(&mut h, "days nobody gets in, the walk-round", "10 Mar 2027 to 12 Mar 2027");
    fill(&mut h, "minutes to the shop, the walk-round", "35");
    let job = h.state().job();
    assert_eq!((job.house.year_built, job.calendar.house_closed.len()), (Some(1926), 3));
    assert!(job.places.iter().any(|p| p.kind == PlaceKind::Shop && p.away_min == 35));
}

/// The whole name of what begins so.
fn named(h: &Harness<'static, Desk>, part: &str) -> String {
    h.get_by_label_contains(part).accesskit_node().label().unwrap()
}

#[test]
fn a_bare_room_gets_its_usual_recipes_by_the_keyboard() {
    let mut desk = Desk::study();
    let bare = crate::job::Room { surfaces: Vec::new(), ..desk.job().rooms[0].clone() };
    desk.session.edit(&[
        crate::job::Edit::Room(0, Some(Box::new(bare))),
        crate::job::Edit::Delivery(1, None),
        crate::job::Edit::Delivery(0, None),
        crate::job::Edit::Decision(0, None),
    ]);
    let mut h = bench(desk);
    // A room without surfaces stands open.
    let line = named(&h, "panelled room: ");
    h.get_by_label(&line).focus();
    h.run();
    assert!(h.query_by_label_contains("crown: crown on site with backing, ").is_some());
    h.key_press(egui::Key::Enter);
    h.run();
    assert_eq!(h.state().job().rooms[0].surfaces.len(), 12);
    assert!(desk::judge(h.state().job()).is_ok());
    h.state_mut().session.undo();
    assert!(h.state().job().rooms[0].surfaces.is_empty(), "one choice, one undo");
}

#[test]
fn entries_of_ones_own_are_added_changed_waited_for_and_taken_out() {
    let mut h = bench(Desk::study());
    press(&mut h, "Your own steps, deliveries, decisions, visits");
    press(&mut h, "Add a step of your own");
    // It is open, its name marked.
    assert!(h.get_by_role_and_label(Role::TextInput, "name, step").is_focused());
    fill(&mut h, "name, step", "Hang shelves");
    let of = "Hang shelves";
    fill(&mut h, &format!("hours high, {of}"), "6");
    press(&mut h, &format!("dusty, {of}"));
    press(&mut h, &format!("product, {of}: nothing that dries"));
    press(&mut h, "drying-type joint compound, 1/16 in");
    fill(&mut h, &format!("begins only, {of}"), "Tue 9:00 to 12:00");
    typed(&mut h, &format!("find what it waits for, {of}"), "second wall edges hand");
    h.key_press(egui::Key::Enter);
    h.run();
    press(&mut h, &format!("Study, walls: second wall coat, edges cut in by hand to be, {of}: dry for the next coat"));
    press(&mut h, "dry to handle");
    typed(&mut h, &format!("find what it comes before, {of}"), "clean hand back");
    let clean = named(&h, "find what it comes before: Study, finish: clean");
    press(&mut h, &clean);
    let s = h.state().job().steps[0].clone();
    assert_eq!((s.hours, s.flags.dusty, s.windows.len()), (Some((1.0, 2.0, 6.0)), true, 1));
    assert_eq!(s.leaves.unwrap().product, "compound");
    assert_eq!((s.needs[0].step.as_str(), s.needs[0].dry), ("study/walls/wall-2", Some(crate::trade::Stage::Handle)));
    assert_eq!(s.before, ["study/finish/clean"]);
    let text = crate::jobfile::write(h.state().job());
    assert_eq!(crate::jobfile::read(&text, crate::trade::tables()).unwrap().job, *h.state().job());
    press(&mut h, &format!("Take this step out, {of}"));
    assert!(h.state().job().steps.is_empty(), "nothing else named it");
    for add in ["Add a delivery", "Add a visit"] {
        press(&mut h, add);
    }
    fill(&mut h, "business days, delivery", "9");
    fill(&mut h, "elapsed hours, visit", "3");
    press(&mut h, "Add a decision");
    let job = h.state().job();
    assert_eq!((job.deliveries[2].lead_days, job.visits[0].hours, job.decisions.len()), (9.0, 3.0, 2));
    assert!(desk::judge(job).is_ok());
}

#[test]
fn a_rate_and_a_recipe_are_kept_in_the_book_and_offered_again() {
    let mut h = step("study/walls/skim-2");
    fill(&mut h, "rate typical, second full skim coat", "0.016");
    press(&mut h, "rate: keep in my book, second full skim coat");
    assert_eq!(h.state().shelf.book().rates.len(), 1);
    assert!(h.query_by_label("rate: keep in my book, second full skim coat").is_none());
    press(&mut h, "rate: back to the starter row, second full skim coat");
    assert!(h.state().job().rates.iter().all(|r| r.id != "skim"), "nothing is taken by itself");
    press(&mut h, "rate: use that of your book, second full skim coat");
    assert_eq!(h.state().job().rates.iter().find(|r| r.id == "skim").unwrap().typ, 0.016);
    press(&mut h, "Leave this step out, second full skim coat");
    press(&mut h, "Study");
    press(&mut h, "walls: old walls to a level-five look: wash, bond, patch, full skim, prime, two coats");
    press(&mut h, "Keep as my recipe…, walls of Study");
    fill(&mut h, "name of my recipe, walls of Study", "two skims");
    let walls = &h.state().job().rooms[0].surfaces[4];
    assert_eq!((walls.recipe.as_str(), walls.changes.len()), ("mine-two-skims", 0));
    assert!(h.state().shelf.book().recipe("mine-two-skims").is_some());
    assert!(h.query_by_label("walls: two skims").is_some());
    press(&mut h, "Choose another, walls of Study");
    assert!(named(&h, "two skims; first skim coat: drying").contains("yours; "));
}

#[test]
fn skills_other_hours_hands_and_spreads_have_fields() {
    let mut h = bench(Desk::study());
    press(&mut h, "Crew");
    fill(&mut h, "skills, Mara", "spray, crown");
    press(&mut h, "A half day, Mara");
    fill(&mut h, "hours of date 1, Mara", "8:15 to 11:00, 18:00 to 20:00");
    let mara = &h.state().job().crew[0];
    assert_eq!((mara.skills.len(), mara.dates[0].hours.len()), (2, 2));
    press(&mut h, "take date 1 out, Mara");
    assert!(h.state().job().crew[0].dates.is_empty());
    press(&mut h, "What may go wrong");
    fill(&mut h, "steps alike in this house, what may go wrong", "0.3");
    fill(&mut h, "drying off by the day, what may go wrong", "20");
    let r = &h.state().job().risks;
    assert_eq!((r.house_weight, r.day_sd), (0.3, 0.2));
    let mut h = step("study/walls/skim-2");
    fill(&mut h, "most hands, second full skim coat", "2");
    let own = crate::views::choices::own_copy(h.state().job(), "level-five-walls").unwrap();
    assert_eq!(own.steps.iter().find(|x| x.id == "skim-2").unwrap().hands, (1, 2));
}
