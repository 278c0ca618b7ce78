//! What must hold on every sample job, from the text of the file to the forecast.

use std::sync::OnceLock;

use roomback::clock::DAY;
use roomback::desk::{self, Sound};
use roomback::forecast::world::crew_clock;
use roomback::forecast::{Forecast, Options, stats};
use roomback::job::Switch;
use roomback::schedule::{LONGEST, Reason, chalk, verify};
use roomback::search::{self, Found};
use roomback::trade::{Risks, Stage};
use roomback::work::Ask;

use crate::engine::{assert_floats, assert_typical};

/// A sample job, sound, with its plan.
pub struct Sample {
    pub name: &'static str,
    pub sound: Sound,
    pub found: Found,
}

/// Every sample, planned once.
pub fn samples() -> &'static [Sample] {
    static ALL: OnceLock<Vec<Sample>> = OnceLock::new();
    ALL.get_or_init(|| {
        [
            ("hall", include_str!("../../sample-jobs/hall.ron")),
            ("house", include_str!("../../sample-jobs/house.ron")),
            ("nursery", include_str!("../../sample-jobs/nursery.ron")),
            ("powder", include_str!("../../sample-jobs/powder.ron")),
            ("study", include_str!("../../sample-jobs/study.ron")),
        ]
        .map(|(name, text)| {
            let sound = sound(text);
            let found = sound.plan(false).unwrap_or_else(|e| panic!("{name}: {e:?}"));
            Sample { name, sound, found }
        })
        .into()
    })
}

/// A sample by name.
pub fn sample(name: &str) -> &'static Sample {
    samples().iter().find(|s| s.name == name).expect("a sample")
}

/// Opens a job without problems.
pub fn sound(text: &str) -> Sound {
    let opened = desk::open(text).expect("a job file");
    assert!(opened.read.problems.is_empty(), "{:#?}", opened.read.problems);
    opened.sound.expect("no problems")
}

fn options(trials: usize) -> Options {
    Options { trials, seed: 3, cause_trials: 0 }
}

#[test]
fn every_sample_in_the_folder_is_here() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-jobs");
    let mut found: Vec<String> = std::fs::read_dir(folder)
        .expect("the samples")
        .map(|f| f.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "ron"))
        .map(|p| p.file_stem().expect("a name").to_string_lossy().into_owned())
        .collect();
    found.sort();
    assert_eq!(found, samples().iter().map(|s| s.name).collect::<Vec<_>>());
}

#[test]
fn a_typical_trial_is_the_plan_to_the_minute() {
    for s in samples() {
        assert_typical(s.name, &s.sound.job, &s.sound.net(&s.found), &s.found.plan.order);
    }
}

#[test]
fn plans_are_verified_bounded_and_kept() {
    for s in samples() {
        let (graph, setting) = (&s.sound.graph, &s.sound.setting);
        let faults = verify(graph, setting, &s.found.plan);
        assert!(faults.is_empty(), "{}: {faults:#?}", s.name);
        assert!(s.found.bound <= s.found.plan.finish, "{}", s.name);
        // The order written to the job and read again.
        let mut job = s.sound.job.clone();
        job.kept = Some(search::keep(graph, setting, &s.found.plan.order, &job));
        let again = desk::judge(&job).unwrap_or_else(|p| panic!("{}: {p:#?}", s.name));
        let kept = again.plan(false).expect("carried out");
        assert_eq!(kept.plan.finish, s.found.plan.finish, "{}", s.name);
        assert_eq!(kept.plan.runs, s.found.plan.runs, "{}", s.name);
        assert_eq!(kept.schedules, 0, "{}: a kept order is not searched", s.name);
    }
}

#[test]
fn the_chalk_line_leads_to_the_finish() {
    for s in samples() {
        let plan = &s.found.plan;
        let line = chalk(&s.sound.net(&s.found), plan);
        assert_eq!(line.last().map(|x| x.to), Some(plan.finish), "{}", s.name);
        for x in &line {
            assert!(x.from <= x.to && x.held.released <= x.from, "{}: {x:?}", s.name);
        }
        for w in line.windows(2) {
            assert!(w[0].from <= w[1].from, "{}: {w:?}", s.name);
            // What held a begin is the step that stands before it on the line.
            assert_eq!(w[1].held.by, Some(w[0].step), "{}: {w:?}", s.name);
        }
        // It goes back to a begin that no other step held.
        assert_eq!(line[0].held.by, None, "{}: {:?}", s.name, line[0]);
    }
}

#[test]
fn floats_are_the_edge_of_what_the_finish_bears() {
    for s in samples() {
        let net = s.sound.net(&s.found);
        let floats = assert_floats(s.name, &net, &s.found.plan);
        assert!(floats.contains(&Some(0)), "{}: nothing holds the date", s.name);
        assert!(floats.iter().any(|f| f.is_some_and(|f| f > 0 && f < LONGEST)), "{}: no float at all", s.name);
        // Where a begin waits for the hands or the end of the step before, to the minute, and
        // that step is done in one run, it has as little float as the one it holds.
        let line = chalk(&net, &s.found.plan);
        let single = |step: usize| s.found.plan.runs.iter().filter(|r| r.step == step).count() == 1;
        for w in line.windows(2).rev() {
            if !single(w[1].step) || floats[w[1].step] != Some(0) {
                break;
            }
            let tight = w[1].held.released == w[1].from && matches!(w[1].held.reason, Reason::Hands | Reason::Done);
            if tight && single(w[0].step) {
                assert_eq!(floats[w[0].step], Some(0), "{}: {w:?}", s.name);
            }
        }
    }
}

#[test]
fn threads_change_nothing() {
    for name in ["powder", "study"] {
        let s = sample(name);
        let with = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
            pool.install(|| {
                let found = s.sound.plan(false).expect("a plan");
                let o = Options { cause_trials: 500, ..options(1_000) };
                let f = s.sound.forecast(&found, o).expect("a forecast");
                (format!("{found:?}"), format!("{f:?}"))
            })
        };
        assert!(with(1) == with(2), "{name}");
    }
}

#[test]
fn more_trials_go_on_from_fewer() {
    for s in samples().iter().filter(|s| s.name != "house") {
        let of = |trials| s.sound.forecast(&s.found, options(trials)).expect("a forecast");
        let (few, many) = (of(500), of(1_000));
        assert_eq!((few.finish.len(), many.finish.len()), (500, 1_000));
        assert_eq!((&few.finish[..], &few.labor[..]), (&many.finish[..500], &many.labor[..500]), "{}", s.name);
        assert_ne!(many.finish[..500], many.finish[500..], "{}", s.name);
    }
}

#[test]
fn target_and_confidence_change_no_plan_and_no_trial() {
    for name in ["powder", "nursery"] {
        let s = sample(name);
        let mut job = s.sound.job.clone();
        job.target = None;
        job.confidence = 0.95;
        let other = desk::judge(&job).expect("sound");
        let found = other.plan(false).expect("a plan");
        assert_eq!(found, s.found, "{name}");
        let base = s.sound.forecast(&s.found, options(500)).expect("a forecast");
        assert_eq!(other.forecast(&found, options(500)).expect("a forecast"), base, "{name}");
    }
}

#[test]
fn a_higher_confidence_never_gives_an_earlier_day() {
    let s = sample("study");
    let f = s.sound.forecast(&s.found, options(1_000)).expect("a forecast");
    let days: Vec<i64> = (50..=99).map(|p| f.day(f64::from(p) / 100.0)).collect();
    assert!(days.is_sorted() && days[0] < days[49], "{days:?}");
    // And by that day that share is done.
    for (p, &day) in (50..=99).zip(&days) {
        let p = f64::from(p) / 100.0;
        assert!(f.chance(day).0 >= p && f.chance(day - 1).0 < p, "{p}: day {day}");
    }
    assert_eq!(f.by_day().last().map(|d| d.1), Some(1.0));
}

/// All causes off.
fn calm() -> Risks {
    let off = Switch::Off;
    Risks {
        hours: off,
        drying: off,
        lost_days: off,
        holes: off,
        unavailable: off,
        job_before: off,
        redo: off,
        surprises: off,
        late: off,
        unlisted: off,
        ..Risks::default()
    }
}

#[test]
fn without_causes_the_forecast_is_the_clean_run() {
    for s in samples().iter().filter(|s| s.name != "house") {
        let mut job = s.sound.job.clone();
        job.risks = calm();
        let quiet = desk::judge(&job).expect("sound");
        let found = quiet.plan(false).expect("a plan");
        let f = quiet.forecast(&found, Options { cause_trials: 500, ..options(500) }).expect("a forecast");
        assert_eq!(f.clean_run, found.plan.finish, "{}", s.name);
        assert_eq!((f.sorted[0], f.sorted[499]), (f.clean_run.0, f.clean_run.0), "{}", s.name);
        // Nothing left to remove but everything.
        assert_eq!(f.causes.iter().map(|c| (c.cause.as_str(), c.days)).collect::<Vec<_>>(), [("together", 0.0)]);
        // With the causes back the job is later at the 80 % date.
        let base = s.sound.forecast(&s.found, options(500)).expect("a forecast");
        assert!(base.quantile(0.8).0 > f.clean_run, "{}", s.name);
    }
}

/// The 80 % date in working days of the crew.
fn p80_days(sound: &Sound, f: &Forecast) -> f64 {
    let (clock, day) = crew_clock(&sound.setting);
    let mut v: Vec<f64> = f.finish.iter().map(|&t| clock.progress(0, t) as f64 / 1e6 / day).collect();
    v.sort_by(f64::total_cmp);
    stats::quantile(&v, 0.8).expect("trials")
}

#[test]
fn what_a_cause_eats_is_what_switching_it_off_gives_back() {
    let s = sample("study");
    let o = Options { cause_trials: 500, ..options(500) };
    let f = s.sound.forecast(&s.found, o).expect("a forecast");
    let base = p80_days(&s.sound, &f);
    type Switching = fn(&mut Risks);
    let switches: [(&str, Switching); 6] = [
        ("hours", |r| r.hours = Switch::Off),
        ("drying", |r| r.drying = Switch::Off),
        ("lost_days", |r| r.lost_days = Switch::Off),
        ("job_before", |r| r.job_before = Switch::Off),
        ("holes", |r| r.holes = Switch::Off),
        ("late", |r| r.late = Switch::Off),
    ];
    for (key, switch) in switches {
        let mut job = s.sound.job.clone();
        switch(&mut job.risks);
        let other = desk::judge(&job).expect("sound");
        let without = other.forecast(&s.found, options(500)).expect("a forecast");
        let got = f.causes.iter().find(|c| c.cause == key).expect("a cause").days;
        let want = base - p80_days(&other, &without);
        assert!((got - want).abs() < 1e-9, "{key}: {got}, switched off {want}");
    }
    let together = f.causes.last().expect("together");
    assert_eq!(together.cause, "together");
    assert!(together.days > f.causes[0].days, "{:?}", f.causes);
}

#[test]
fn fresh_wall_paint_is_not_taped_the_same_afternoon() {
    // Common practice, no source: tape pulls fresh latex off; a day at least is waited.
    let s = sample("study");
    let net = s.sound.net(&s.found);
    let plan = &s.found.plan;
    let mut seen = 0;
    for l in &s.sound.graph.links {
        let (Some(coat), Some(tape)) = (plan.timed(l.from), plan.timed(l.to)) else { continue };
        if l.ask != Ask::Dry(Stage::Tape) || !net.present[l.from] || !net.present[l.to] {
            continue;
        }
        seen += 1;
        let id = &s.sound.graph.steps[l.from].id;
        let ready = coat.ready.iter().find(|r| r.0 == Stage::Tape).expect("a tape time").1;
        assert!(tape.begin >= ready, "{id}");
        assert!(tape.begin.0.div_euclid(DAY) > coat.end.0.div_euclid(DAY), "{id}: taped on the day of its coat");
    }
    assert!(seen > 0, "nothing in the study waits for tape");
}
