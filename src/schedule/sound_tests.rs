//! One tiny job for each way in which a step can be impossible.

use super::*;
use crate::clock::Law;
use crate::job::{Day, Flags, Hm, Hours, Person, Place, Week};
use crate::trade::{Stage, Stages, Tag};
use crate::work::{Coat, Crew, Kind, Link, Spread};

fn step(id: &str, minutes: f64) -> Step {
    let crew = Crew { fewest: 1, most: 1, who: vec![0] };
    let (labor, origin) = (Spread::fixed(minutes), format!("steps[{id}]"));
    Step { place: Some(0), labor, crew, origin, ..Step::bare(id, Kind::Labor) }
}

fn enamel() -> Product {
    Product {
        id: "enamel".into(),
        name: "Enamel".into(),
        law: Law::FilmForming,
        ref_temp_f: 77.0,
        ref_rh: 0.5,
        hours: Stages { recoat: Some(16.0), ..Stages::default() },
        then_dries: false,
        least_temp_f: Some(50.0),
        most_rh: Some(0.85),
        above_dew_f: None,
        wet_to_dust: true,
        damps_room: false,
        tag: Tag::default(),
        source: String::new(),
    }
}

fn job() -> Job {
    let evening =
        Week { open: Hm(17 * 60), close: Hm(22 * 60), opening: 0, closing: 0, lunch: None, ..Week::default() };
    Job {
        crew: vec![
            Person { id: "ada".into(), name: "Ada".into(), ..Person::default() },
            Person { id: "bo".into(), name: "Bo".into(), pace: 0.6, week: Some(evening), ..Person::default() },
        ],
        places: vec![
            Place { id: "study".into(), name: "the study".into(), ..Place::default() },
            Place { id: "barn".into(), name: "the barn".into(), racks: Some(4), ..Place::default() },
        ],
        ..Job::default()
    }
}

fn told(job: &Job, steps: Vec<Step>) -> Vec<Problem> {
    let links = (1..steps.len())
        .map(|to| Link { from: 0, to, ask: Ask::Dry(Stage::Recoat), lag: 0, longest_h: None, when: vec![] })
        .collect();
    let graph = WorkGraph { steps, links, choices: vec![], products: vec![enamel()], pools: vec![] };
    sound(job, &graph, &Setting::new(job, &graph))
}

fn one(job: &Job, s: Step, words: &[&str]) {
    let out = told(job, vec![s]);
    assert_eq!(out.len(), 1, "{out:?}");
    for w in words {
        assert!(format!("{} / {}", out[0].what, out[0].remedy).contains(w), "{w} in {out:?}");
    }
    assert!(out[0].path.starts_with("steps["));
}

#[test]
fn a_piece_longer_than_any_stretch_is_told_with_its_numbers() {
    let j = job();
    let one_go = Flags { one_go: true, ..Flags::default() };
    let s = |m: f64| Step { flags: one_go, ..step("glue-up", m) };
    one(&j, s(660.0), &["Ada 11 h", "7 h 20 min", "more pieces"]);
    assert!(told(&j, vec![s(440.0)]).is_empty());
    // Lunch is bridged; two pieces of which one fits and one does not.
    one(&j, Step { pieces: vec![0.2, 0.8], ..s(600.0) }, &["largest piece", "8 h", "7 h 20 min"]);
    // Bo at 0.6 takes 5 h 1 min for what fits 5 h at 0.6 only up to 180 minutes.
    let bo = |m| Step { crew: Crew { who: vec![1], ..s(m).crew }, ..s(m) };
    assert!(told(&j, vec![bo(180.0)]).is_empty());
    one(&j, bo(181.0), &["Bo 5 h 2 min", "is 5 h"]);
    // Not in one go, it may take days.
    assert!(told(&j, vec![step("sand", 6000.0)]).is_empty());
}

#[test]
fn people_must_exist_and_meet() {
    let j = job();
    let crew =
        |fewest, who: &[usize]| Step { crew: Crew { fewest, most: fewest, who: who.into() }, ..step("hang", 60.0) };
    one(&j, crew(1, &[]), &["nobody", "skill"]);
    one(&j, crew(2, &[0]), &["2 pairs of hands", "only Ada"]);
    one(&j, crew(2, &[0, 1]), &["Ada and Bo never work at the same time", "hours in common"]);
    let mut quiet = job();
    quiet.calendar.noise = Some(Hours { from: Hm(5 * 60), to: Hm(8 * 60) });
    let noisy = Step { flags: Flags { noisy: true, ..Flags::default() }, ..step("nail", 30.0) };
    one(&quiet, noisy, &["Ada is never at work", "noisy"]);
}

#[test]
fn cold_or_damp_air_is_told_with_a_way_out() {
    let mut j = job();
    j.places[1].work_air = Air { temp_f: 46.0, dew_f: 40.0 };
    j.places[1].off_air = Air { temp_f: 38.0, dew_f: 36.0 };
    let coat = Some(Coat { product: 0, thick: 1.0 });
    let cold = Step { coat, place: Some(1), ..step("coat", 60.0) };
    one(&j, cold.clone(), &["46 F in work hours", "at least 50 F", "heat the barn", "the study"]);
    j.places[1].work_air = Air::from_rh(60.0, 0.9);
    j.places[1].off_air = Air::from_rh(60.0, 0.95);
    one(&j, cold.clone(), &["90 % humidity", "at most 85 %"]);
    // Warm enough only while nobody is there.
    j.places[1].work_air = Air { temp_f: 46.0, dew_f: 40.0 };
    j.places[1].off_air = Air { temp_f: 60.0, dew_f: 40.0 };
    one(&j, cold.clone(), &["while anybody is at work"]);
    j.places[1].work_air = Air { temp_f: 60.0, dew_f: 40.0 };
    assert!(told(&j, vec![cold]).is_empty());
    // A wait for dry air that never comes.
    let rh = j.places[0].work_air.rh().min(j.places[0].off_air.rh());
    one(&j, Step { rh_below: Some(rh - 0.05), ..step("rest", 30.0) }, &["humidity in the study", "dehumidify"]);
    assert!(told(&j, vec![Step { rh_below: Some(0.8), ..step("rest", 30.0) }]).is_empty());
}

#[test]
fn racks_and_windows() {
    let j = job();
    one(&j, Step { racks: 5, place: Some(1), ..step("spray", 60.0) }, &["5 drying racks", "has 4"]);
    assert!(told(&j, vec![Step { racks: 4, place: Some(1), ..step("spray", 60.0) }]).is_empty());
    let window = |wd: Day, from, to| {
        let mut days = [false; 7];
        days[wd.index()] = true;
        Step { windows: vec![BeginWindow { days, day: None, from, to }], ..step("walk", 30.0) }
    };
    one(&j, window(Day::Sat, 540, 600), &["never falls into a shift of Ada"]);
    one(&j, window(Day::Mon, 1000, 1100), &["never falls"]);
    assert!(told(&j, vec![window(Day::Mon, 540, 600)]).is_empty());
    let gate = Step {
        crew: Crew::default(),
        kind: Kind::Elapsed(Spread::fixed(60.0)),
        windows: vec![BeginWindow { days: [false; 7], day: Some(-3), from: 0, to: 600 }],
        ..step("visit", 0.0)
    };
    one(&j, gate, &["never comes"]);
}

#[test]
fn a_helper_on_the_crew_leaves_less_room_for_a_piece() {
    let mut j = job();
    j.crew[1] = Person { id: "bo".into(), name: "Bo".into(), pace: 0.6, helper: true, ..Person::default() };
    let one_go = Flags { one_go: true, ..Flags::default() };
    let s = |m: f64| Step { flags: one_go, ..step("glue-up", m) };
    // 440 minutes of work without a long pause; he may join, and 0.9 of them is 396.
    assert!(told(&j, vec![s(396.0)]).is_empty());
    one(&j, s(397.0), &["Ada 7 h 22 min", "7 h 20 min"]);
    // Both together: 0.9 and 0.6, and nobody is left to join.
    let both = |m| Step { crew: Crew { fewest: 2, most: 2, who: vec![0, 1] }, ..s(m) };
    assert!(told(&j, vec![both(660.0)]).is_empty());
    one(&j, both(661.0), &["Ada and Bo 7 h 21 min", "is 7 h 20 min"]);
}
