use super::*;
use crate::desk::without_lost_names;
use crate::forecast::draws::{Stream, id};
use crate::job::{Change, Edit, Hold, Switch, Target, TargetKind, Until, edited};

const NEVER: Cancel = &|| false;

fn sample_job(text: &str) -> Job {
    crate::desk::open(text).expect("a job").read.job
}

fn powder() -> Job {
    sample_job(include_str!("../../sample-jobs/powder.ron"))
}

fn at_rest(chain: &mut Chain, job: &Job, trials: usize) -> Result<Desk, Vec<Problem>> {
    let mut last = None;
    chain.answer(job, trials, NEVER, &mut |d| last = Some(d.clone()))?;
    let desk = last.expect("an answer");
    assert_eq!(desk.reached, Reached::Rest);
    Ok(desk)
}

/// One change of any kind, drawn.
fn drawn(job: &Job, chance: &mut Stream) -> Edit {
    let mut pick = |n: usize| chance.below(n as u64) as usize;
    let room = job.rooms[0].clone();
    let surface = pick(room.surfaces.len());
    match pick(14) {
        0 => Edit::Name(format!("Powder room {}", pick(3))),
        1 => Edit::Confidence(0.5 + 0.05 * pick(9) as f64),
        2 => Edit::Target(Some(Target { kind: TargetKind::Asked, day: job.date_of(10 + pick(20) as i64) })),
        3 => Edit::Room(0, Some(Box::new(crate::job::Room { holes: pick(9) as u32, ..room }))),
        4 => {
            let mut size = room.size.expect("a rectangular room");
            size.length = crate::measure::Length::from_feet(5.0 + pick(4) as f64);
            Edit::Room(0, Some(Box::new(crate::job::Room { size: Some(size), ..room })))
        }
        5 => Edit::Person(0, Some(Person { pace: 0.8 + 0.1 * pick(4) as f64, ..job.crew[0].clone() })),
        6 => Edit::Person(0, Some(Person { cost: 40.0 + pick(9) as f64, ..job.crew[0].clone() })),
        7 => {
            let mut place = job.places[0].clone();
            place.off_air.temp_f = 58.0 + pick(10) as f64;
            Edit::Place(0, Some(Box::new(place)))
        }
        8 => Edit::Start(job.start + chrono::Duration::days(pick(3) as i64)),
        9 => {
            let hours = (pick(2) == 0).then_some((1.0, 2.0, 3.0 + pick(3) as f64));
            let head = format!("{}/{}/", room.id, room.surfaces[surface].id);
            let graph = crate::work::build::attempt(job).0;
            let row = graph.steps.iter().find_map(|s| s.id.strip_prefix(&head).map(str::to_string));
            // A surface without steps has none of this name: what cannot be planned is compared too.
            let step = row.unwrap_or_else(|| "sand".into());
            Edit::Change(0, surface, Change { step, hours, ..Change::default() })
        }
        10 => match job.kept.as_ref().filter(|_| pick(2) == 0) {
            Some(_) => Edit::Kept(None),
            None => match judge(job) {
                Ok(sound) => {
                    let found = sound.plan(true).expect("a plan");
                    Edit::Kept(Some(crate::search::keep(&sound.graph, &sound.setting, &found.plan.order, job)))
                }
                Err(_) => Edit::Kept(None),
            },
        },
        11 => {
            let graph = crate::work::build::attempt(job).0;
            let step = graph.steps[pick(graph.steps.len())].id.clone();
            let when = (job.start + chrono::Duration::days(2 + pick(4) as i64)).and_hms_opt(8, 15, 0).expect("a time");
            Edit::Hold(Hold { step, until: Until::At(when), wait: None })
        }
        12 => job.holds.first().map_or(Edit::Name("Powder".into()), |h| Edit::Release(h.step.clone())),
        _ => {
            let mut rate = crate::trade::tables().rates[pick(20)].clone();
            rate.typ *= 1.0 + 0.1 * pick(3) as f64;
            rate.high = rate.high.max(rate.typ);
            Edit::Rate(rate)
        }
    }
}

#[test]
fn after_300_random_edits_the_chain_answers_as_one_that_starts_from_nothing() {
    let mut chance = Stream::new(5, id("edits"), 0, 0);
    let (mut job, mut past) = (powder(), Vec::new());
    // Two surfaces and two causes are enough here, and cost a fraction of the time.
    job.rooms[0].surfaces.retain(|s| ["ceiling", "walls"].contains(&s.id.as_str()));
    job.deliveries.clear();
    judge(&job).expect("a sound job to begin with");
    let off = Switch::Off;
    job.risks = Risks { lost_days: off, holes: off, unavailable: off, job_before: off, ..job.risks };
    job.risks = Risks { redo: off, surprises: off, late: off, unlisted: off, ..job.risks };
    let mut chain = Chain::default();
    let mut sound_ones = 0;
    for step in 0..300 {
        if chance.below(5) == 0 && !past.is_empty() {
            job = past.swap_remove(chance.below(past.len() as u64) as usize);
        } else {
            past.push(job.clone());
            job = without_lost_names(edited(&job, &[drawn(&job, &mut chance)]));
        }
        let (kept, fresh) = (at_rest(&mut chain, &job, FIRST), at_rest(&mut Chain::default(), &job, FIRST));
        match (kept, fresh) {
            (Ok(a), Ok(b)) => {
                sound_ones += 1;
                assert_eq!(a.sound.job, job);
                assert_eq!((&a.sound.graph, &a.found.plan), (&b.sound.graph, &b.found.plan), "edit {step}");
                assert_eq!(a.forecast, b.forecast, "edit {step}");
            }
            (a, b) => assert_eq!(a.err(), b.err(), "edit {step}"),
        }
    }
    assert!(sound_ones > 250, "{sound_ones} of 300 could be planned");
    // Something was saved on the way: names, costs, days and confidences run nothing.
    assert!(chain.ran.planned < sound_ones && chain.ran.blocks < sound_ones, "{:?}", chain.ran);
}

#[test]
fn only_what_hangs_on_a_change_is_worked_out_again() {
    let mut chain = Chain::default();
    let job = powder();
    at_rest(&mut chain, &job, 1000).unwrap();
    let first = Ran { judged: 1, planned: 1, blocks: 2, causes: 1 };
    assert_eq!(chain.ran, first);
    let mut ask = |edit: Edit| {
        let job = edited(&job, &[edit]);
        let desk = at_rest(&mut chain, &job, 1000).unwrap();
        assert_eq!(desk.sound.job, job);
        chain.ran
    };
    assert_eq!(ask(Edit::Name("Cloakroom".into())), first);
    assert_eq!(ask(Edit::Confidence(0.95)), first);
    assert_eq!(ask(Edit::Client("Somebody else".into())), first);
    // A name of a room is in no step: judged anew, and the same graph stops there.
    let named = crate::job::Room { name: "Cloakroom".into(), ..job.rooms[0].clone() };
    assert_eq!(ask(Edit::Room(0, Some(Box::new(named)))), Ran { judged: 2, ..first });
    // Small children at home: more lost days; the steadiest order is chosen anew, by the same graph.
    let house = House { small_children: true, ..job.house.clone() };
    let after = ask(Edit::House(house));
    assert_eq!((after.judged, after.planned, after.blocks, after.causes), (3, 2, 4, 2));
}

#[test]
fn answers_on_the_way_are_whole_and_end_at_rest() {
    let mut chain = Chain::default();
    let job = powder();
    let mut reached = Vec::new();
    chain.answer(&job, 3000, NEVER, &mut |d| reached.push((d.reached, d.forecast.trials))).unwrap();
    let end = [(Reached::Trials(2000), 2000), (Reached::Odds, 3000), (Reached::Rest, 3000)];
    assert_eq!(reached[0], (Reached::Trials(500), 500));
    assert_eq!(reached[1..], end);
    // After an edit the first answer stands on the order before.
    let wider = edited(&job, &[Edit::Person(0, Some(Person { pace: 0.5, ..job.crew[0].clone() }))]);
    reached.clear();
    chain.answer(&wider, 3000, NEVER, &mut |d| reached.push((d.reached, d.forecast.trials))).unwrap();
    assert_eq!(reached[0], (Reached::First, 500));
    assert_eq!(reached[2..], end);
}

#[test]
fn grown_trials_are_those_from_nothing_and_a_stopped_run_goes_on() {
    let job = powder();
    let whole = at_rest(&mut Chain::default(), &job, 3000).unwrap();
    let sound = &whole.sound;
    let o = crate::forecast::Options { trials: 3000, seed: job.seed, cause_trials: super::CAUSES };
    let at_once = sound.forecast(&whole.found, o).unwrap();
    assert_eq!(*whole.forecast, at_once);
    // Stopped after the first answer, asked again.
    let mut chain = Chain::default();
    let told = std::sync::atomic::AtomicUsize::new(0);
    let count = || told.load(std::sync::atomic::Ordering::Relaxed);
    let mut note = |_: &Desk| {
        told.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
    };
    chain.answer(&job, 3000, &|| count() > 0, &mut note).unwrap();
    assert_eq!((count(), chain.ran.blocks), (1, 1));
    let again = at_rest(&mut chain, &job, 3000).unwrap();
    assert_eq!(*again.forecast, at_once);
    assert_eq!((chain.ran.planned, chain.ran.blocks), (1, 6));
}

#[test]
fn a_question_is_answered_by_the_same_random_numbers() {
    let job = powder();
    let base = at_rest(&mut Chain::default(), &job, 3000).unwrap();
    let mut told = Vec::new();
    // What an hour costs moves nothing.
    let dearer = edited(&job, &[Edit::Person(0, Some(Person { cost: 99.0, ..job.crew[0].clone() }))]);
    Chain::default()
        .what_if(&base, &dearer, NEVER, &mut |a, b| {
            told.push(a.forecast.trials);
            assert_eq!(a.forecast.finish, b.forecast.finish, "nothing asked, nothing changed");
            assert_eq!(a.found.plan.runs, b.found.plan.runs);
        })
        .unwrap();
    assert_eq!(told, [FIRST, 3000], "as many as the job's own odds have");
    // How safe a promise must be is read from the trials there are, at once.
    let surer = edited(&job, &[Edit::Confidence(0.95)]);
    let mut told = Vec::new();
    let read = &mut |a: &Desk, b: &Desk| told.push((a.forecast.trials, b.forecast.trials, b.sound.job.confidence));
    Chain::default().what_if(&base, &surer, NEVER, read).unwrap();
    assert_eq!(told, [(3000, 3000, 0.95)]);
    // Kept waiting for a week, the first step costs about that.
    let step = base.sound.graph.steps[base.found.plan.runs[0].step].id.clone();
    let when = (job.start + chrono::Duration::days(7)).and_hms_opt(8, 15, 0).unwrap();
    let held = edited(&job, &[Edit::Hold(Hold { step, until: Until::At(when), wait: None })]);
    let mut later = 0.0;
    Chain::default()
        .what_if(&base, &held, NEVER, &mut |a, b| {
            later = (b.forecast.quantile(0.8).0.0 - a.forecast.quantile(0.8).0.0) as f64 / 1440.0;
        })
        .unwrap();
    assert!((3.0..=8.0).contains(&later), "{later}");
    // What cannot be planned says so.
    let nobody = edited(&job, &[Edit::Person(0, None)]);
    assert!(Chain::default().what_if(&base, &nobody, NEVER, &mut |_, _| ()).is_err());
}

#[test]
fn a_kept_order_loses_the_steps_an_edit_takes_away() {
    let job = powder();
    let sound = judge(&job).expect("sound");
    let found = sound.plan(true).expect("a plan");
    let kept = crate::search::keep(&sound.graph, &sound.setting, &found.plan.order, &job);
    let job = edited(&job, &[Edit::Kept(Some(kept))]);
    let sound = judge(&job).expect("sound with its order kept");
    let graph = &sound.graph;
    // A surface the others can do without, as far as names go.
    let at = (0..job.rooms[0].surfaces.len()).find(|&i| {
        let mut less = job.clone();
        less.rooms[0].surfaces.remove(i);
        (less.kept, less.holds) = (None, Vec::new());
        judge(&less).is_ok()
    });
    let mut less = job.clone();
    let gone = less.rooms[0].surfaces.remove(at.expect("a surface that can go")).id;
    let head = format!("{}/{gone}/", job.rooms[0].id);
    let named = |j: &Job| j.kept.as_ref().map_or(0, |k| k.order.iter().filter(|s| s.starts_with(&head)).count());
    assert!(named(&less) > 0 && graph.steps.iter().any(|s| s.id.starts_with(&head)));
    // As it stands each lost name is said once; without them the job can be planned.
    let said = judge(&less).expect_err("lost names");
    let paths: std::collections::BTreeSet<_> = said.iter().map(|p| &p.path).collect();
    assert_eq!(paths.len(), said.len(), "{said:?}");
    let mended = without_lost_names(less);
    assert_eq!(named(&mended), 0);
    assert!(mended.kept.as_ref().is_some_and(|k| !k.order.is_empty()));
    judge(&mended).expect("sound");
}
