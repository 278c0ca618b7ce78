//! The figures of a step, read from the sample study.

use super::*;
use crate::desk::open;
use crate::forecast::Options;

fn read(text: &str, id: &str) -> Inspected {
    let sound = open(text).unwrap().sound.expect("sound");
    let found = sound.plan(false).unwrap();
    let plan = PlanView::new(&sound, &found);
    let f = sound.forecast(&found, Options { trials: 500, seed: 1, cause_trials: 0 }).unwrap();
    let odds = ForecastView::new(&sound, &f, 0.8);
    let step = sound.graph.find(id, &found.plan.order.methods).expect(id);
    inspect(&sound.job, &sound, &found, &plan, true, (&odds, 500), step)
}

const STUDY: &str = include_str!("../../../sample-jobs/study.ron");

#[test]
fn every_step_of_the_study_is_told_and_the_hours_are_those_of_the_plan() {
    let sound = open(STUDY).unwrap().sound.unwrap();
    let found = sound.plan(false).unwrap();
    let plan = PlanView::new(&sound, &found);
    let f = sound.forecast(&found, Options { trials: 500, seed: 1, cause_trials: 0 }).unwrap();
    let odds = ForecastView::new(&sound, &f, 0.8);
    for step in 0..sound.graph.steps.len() {
        let x = inspect(&sound.job, &sound, &found, &plan, true, (&odds, 500), step);
        let s = &sound.graph.steps[step];
        if s.kind == Kind::Labor {
            let typ = LaborHours(libm::round(s.labor.typ) as i64).to_string();
            assert!(x.hours.as_ref().unwrap().value.starts_with(&typ), "{}: {:?}", s.id, x.hours);
            assert!(x.hands.is_some() && x.place.is_some(), "{}", s.id);
        }
        for l in x.terms.iter().flat_map(|t| [&t.how_much, &t.line]).chain(&x.hours) {
            assert!(!l.value.is_empty() && !l.why.is_empty(), "{}: {l:?}", s.id);
        }
    }
}

#[test]
fn a_skim_coat_says_quantity_rate_and_drying() {
    let x = read(STUDY, "study/walls/skim-2");
    assert_eq!(x.entry, Entry::Row(0, 4, "skim-2".into()));
    let t = &x.terms[0];
    assert!(t.how_much.value.contains(" SF, ") && t.how_much.why.contains("13'"), "{:?}", t.how_much);
    assert_eq!((t.rate.as_str(), t.unit, t.yours), ("skim", "SF", false));
    assert!(t.line.why.contains("starter figure, judgement: common practice, no source"), "{:?}", t.line);
    let c = x.coat.unwrap();
    let sand = c.stages.iter().find(|s| s.stage == Stage::Sand).unwrap();
    // 17 h for 1/16 in at 70 F and 50 % (drying model inside the band of the Drywall
    // Finishing Council, trade figures); half as thick takes half.
    assert!(sand.line.value.starts_with("8.5 h; "), "{:?}", sand.line);
    assert!(sand.line.why.contains("17 h x 0.5 for its thickness at 70 F, 50 % RH"), "{:?}", sand.line);
    assert!(x.waits.unwrap().value.starts_with("waits for"));
    assert!(x.begins.is_some() && x.ends.is_some() && x.can_wait.is_some());
}

#[test]
fn a_metric_job_is_told_per_square_metre_and_reads_back() {
    let x = read(&STUDY.replacen("confidence: 0.8,", "confidence: 0.8, units: metric,", 1), "study/walls/skim-2");
    let t = &x.terms[0];
    assert_eq!(t.unit, "m2");
    // 0.014 h a square foot is 0.1507 h a square metre (1 ft = 0.3048 m by definition).
    assert!(t.line.value.starts_with("0.1507 h a m2"), "{:?}", t.line);
    let row = choices::rate(&Job::default(), "skim").unwrap().clone();
    let back = rate_with(&row, t.times, (row.low * t.times, row.typ * t.times, row.high * t.times));
    assert!((back.typ - row.typ).abs() < 1e-12 && back.tag == Tag::Own);
    let stage = &x.coat.unwrap().stages[0];
    assert!(stage.line.why.contains(" at 21 C, 50 % RH"), "{:?}", stage.line);
}
