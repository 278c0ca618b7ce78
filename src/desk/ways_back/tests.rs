use super::*;
use crate::clock::DAY;
use crate::job::{Edit, LostTime, edited};
use crate::record::as_planned;
use crate::schedule::verify;

fn sample(text: &str) -> Sound {
    crate::desk::open(text).expect("a job").sound.expect("sound")
}

fn study() -> Sound {
    sample(include_str!("../../../sample-jobs/study.ron"))
}

/// The job with its order kept, written up as planned up to a day, asked on its eve, with so many
/// days lost before.
fn evening(sound: &Sound, day: i64) -> Job {
    let found = sound.plan(false).expect("a plan");
    let mut job = sound.job.clone();
    job.kept = Some(keep(&sound.graph, &sound.setting, &found.plan.order, &job));
    job.log = (0..day)
        .map(|d| as_planned(&job, &sound.graph, &sound.setting, &found.plan, d))
        .filter(|d| !d.steps.is_empty())
        .collect();
    job.as_of = Some(job.time_of(At(day * DAY)));
    job
}

fn small() -> Effort {
    Effort { schedules: 60, first: 500, second: 40, trials: 500, most: 40, closer: 4 }
}

#[test]
fn every_lever_plans_is_verified_reads_back_and_is_taken_back() {
    for (text, day) in [
        (include_str!("../../../sample-jobs/study.ron"), 9),
        (include_str!("../../../sample-jobs/study.ron"), 0),
        (include_str!("../../../sample-jobs/house.ron"), 4),
    ] {
        let sound = sample(text);
        let job = evening(&sound, day);
        let (now, found) = standing(&job, &|| false).expect("sound").expect("a plan");
        let ground = Ground::new(&now, &found);
        let all = possible(&now, &found.plan);
        let kinds: std::collections::BTreeSet<String> =
            all.iter().map(|l| l.kind().split(' ').next().unwrap_or("").to_string()).collect();
        assert!(kinds.len() >= 7, "{kinds:?}");
        // One helper of many is enough here.
        let mut helpers = 0;
        for lever in all {
            helpers += usize::from(matches!(lever, Lever::Helper { .. }));
            if helpers > 3 && matches!(lever, Lever::Helper { .. }) {
                continue;
            }
            let one = std::slice::from_ref(&lever);
            let w = ground.work(one, 20, 500, false, None, &|| false).unwrap_or_else(|| panic!("{lever:?}"));
            assert_ne!(w.job, now.job, "{lever:?}");
            if helpers < 2 {
                let more = ground.again(&w.job, 1_000, &|| false).unwrap_or_else(|| panic!("{lever:?}"));
                assert_eq!(more[..500], w.finish[..], "{lever:?}");
            }
            let back = crate::jobfile::read(&crate::jobfile::write(&w.job), crate::trade::tables()).expect("reads");
            assert!(back.problems.is_empty(), "{lever:?}: {}", back.report());
            let again = judge(&Job { as_of: job.as_of, ..back.job }).unwrap_or_else(|p| panic!("{lever:?}: {p:?}"));
            let plan = again.plan(false).expect("carried out").plan;
            assert_eq!(plan.finish, w.plan.finish, "{lever:?}");
            let faults = verify(&again.graph, &again.setting, &plan);
            assert!(faults.is_empty(), "{lever:?}: {:?}", &faults[..faults.len().min(2)]);
            // Facts stay facts.
            assert_eq!(again.job.log, job.log);
            let taken = edited(&job, &[Edit::taking(&job, &w.job, job.start, "so".into(), 0)]);
            assert_eq!(Job { taken: Vec::new(), ..taken.clone() }, w.job, "{lever:?}");
            assert_eq!(edited(&taken, &[Edit::WayTakenBack(0)]), job, "{lever:?}");
        }
    }
}

/// Ends of the last labor in the first `n` trials.
fn answer(job: &Job, asked: &Asked) -> Answer {
    let mut last = None;
    ways_back(job, asked, &|| false, &mut |a| last = Some(a.clone())).expect("sound");
    last.expect("an answer")
}

fn late_study() -> Job {
    let sound = study();
    let mut job = evening(&sound, 9);
    let lost = |d: i64| LostTime {
        from: job.date_of(d),
        to: None,
        hours: None,
        who: String::new(),
        house: false,
        cause: crate::job::LostCause::Illness,
        note: String::new(),
    };
    job.lost = (7..9).map(lost).collect();
    let until = job.date_of(7);
    job.log.retain(|d| d.day < until);
    job
}

#[test]
fn the_answer_grows_is_the_same_on_any_number_of_threads_and_keeps_to_a_budget() {
    let job = late_study();
    let asked = Asked { effort: small(), budget: None };
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        let mut all = Vec::new();
        pool.install(|| ways_back(&job, &asked, &|| false, &mut |a| all.push(a.clone()))).expect("sound");
        all
    };
    let (one, two) = (on(1), on(2));
    assert_eq!(one, two);
    let last = one.last().expect("an answer");
    assert!(last.whole && one[..one.len() - 1].iter().all(|a| !a.whole));
    assert!(one.windows(2).all(|w| w[0].done <= w[1].done) && last.done == last.of);
    assert!(!last.ways.is_empty() && last.ways.iter().all(|w| w.searched));
    assert!(last.ways.iter().any(|w| w.levers.len() > 1), "nothing combined");
    assert!(
        last.ways.iter().all(|w| w.levers.len() <= 3 && w.gain.is_some_and(|g| g.low <= g.value && g.value <= g.high))
    );
    let cheap = answer(&job, &Asked { budget: Some(20_000), ..asked });
    assert!(!cheap.ways.is_empty() && cheap.ways.iter().all(|w| w.cents <= 20_000));
    assert!(last.ways.iter().any(|w| w.cents > 20_000));
}

#[test]
fn a_stopped_run_stops_and_says_nothing_whole() {
    let job = late_study();
    let calls = std::sync::atomic::AtomicUsize::new(0);
    let stop = || calls.fetch_add(1, std::sync::atomic::Ordering::Relaxed) > 300;
    let mut all = Vec::new();
    ways_back(&job, &Asked { effort: small(), budget: None }, &stop, &mut |a| all.push(a.whole)).expect("sound");
    assert!(!all.is_empty() && all.iter().all(|w| !w));
}

#[test]
fn without_a_day_ways_are_told_by_the_days_they_win() {
    let job = Job { target: None, ..late_study() };
    let a = answer(&job, &Asked { effort: small(), budget: None });
    assert!(a.chance.is_none() && a.ways.iter().all(|w| w.gain.is_none() && w.before.is_none()));
    assert!(a.ways.iter().any(|w| w.days.value > 0.5));
    assert!(!a.enough);
}

#[test]
fn a_helper_costs_his_hours_and_heat_its_days() {
    let job = late_study();
    let (sound, found) = standing(&job, &|| false).expect("sound").expect("a plan");
    let ground = Ground::new(&sound, &found);
    let from = first_day(&sound.job);
    let cost = |l: Lever| {
        let w = ground.work(&[l], 20, 500, false, None, &|| false).expect("a plan");
        w.cost.into_iter().filter(|l| l.row != "trips" && l.row != "labor").collect::<Vec<_>>()
    };
    // Two days of 7 h 20 min at 28 dollars: 410.67.
    let two = cost(Lever::Helper { from, days: 2, rough: false });
    assert_eq!((two.len(), two[0].cents), (1, 41_067));
    // Three hours at 48 dollars and half as much again.
    let evening = cost(Lever::Evenings { person: 0, days: vec![from] });
    assert_eq!((evening.len(), evening[0].cents, evening[0].assumed), (1, 21_600, false));
    let heat = cost(Lever::Heat { place: 0, from });
    assert_eq!((heat.len(), heat[0].row.as_str(), heat[0].dollars), (1, "heater", 30.0));
    assert!(heat[0].quantity >= 5.0);
    // The job's own price wins.
    let mut own = job.clone();
    own.extras.push(crate::trade::Extra { amount: 50.0, ..crate::trade::extras()[0].clone() });
    let (sound, found) = standing(&own, &|| false).expect("sound").expect("a plan");
    let w = Ground::new(&sound, &found).work(
        &[Lever::Helper { from, days: 1, rough: true }],
        20,
        500,
        false,
        None,
        &|| false,
    );
    assert_eq!(w.expect("a plan").cost[0].cents, 36_667);
}

#[test]
fn a_heater_from_a_day_on_leaves_what_dried_before_alone() {
    let sound = study();
    let place = sound.job.places.iter().position(|p| p.id == "study").expect("the study");
    let day = sound.job.date_of(2);
    let lever = Lever::Heat { place, from: day };
    let warm = edited(&sound.job, &lever.edits(&sound.job, &sound.graph));
    let warm = judge(&warm).expect("sound");
    for (was, is) in sound.setting.dry.iter().zip(&warm.setting.dry) {
        let (Some(was), Some(is)) = (was, is) else { continue };
        assert_eq!(was.late.progress(0, 2 * DAY), is.late.progress(0, 2 * DAY));
        assert!(was.late.progress(2 * DAY, 30 * DAY) <= is.late.progress(2 * DAY, 30 * DAY));
    }
    let moved = |s: &Sound| s.setting.dry.iter().flatten().map(|d| d.late.progress(2 * DAY, 30 * DAY)).sum::<i64>();
    assert!(moved(&warm) > moved(&sound));
}

#[test]
fn somebody_who_stays_makes_fewer_trips_and_evenings_are_quiet() {
    let sound = study();
    let found = sound.plan(false).expect("a plan");
    let trips = |p: &crate::schedule::Plan| p.runs.iter().filter(|r| r.trip_min > 0).count();
    let day = sound.job.start;
    let lever = Lever::Stay { person: 0, from: day };
    let kept = Some(keep(&sound.graph, &sound.setting, &found.plan.order, &sound.job));
    let stays = edited(&Job { kept, ..sound.job.clone() }, &lever.edits(&sound.job, &sound.graph));
    let stays = judge(&stays).expect("sound");
    let plan = stays.plan(false).expect("a plan").plan;
    assert!(verify(&stays.graph, &stays.setting, &plan).is_empty());
    assert!(trips(&found.plan) > 0 && trips(&plan) <= trips(&found.plan));
    // A plan made without the rule is found out: off to the shop while the hall has work.
    let free = sample(
        r#"(format: 1, name: "two places", start: "2027-03-01", crew: [(id: "noor", name: "Noor")],
            places: [(id: "hall"), (id: "shop", kind: shop, away_min: 20)],
            steps: [(id: "a", place: "hall", hours: (1, 2, 3)), (id: "b", place: "shop", hours: (1, 2, 3)),
                (id: "c", place: "hall", hours: (1, 2, 3))],
            kept: (order: ["a", "b", "c"]))"#,
    );
    let went = free.plan(false).expect("a plan").plan;
    // To the shop and back.
    assert_eq!(trips(&went), 2);
    let mut bound = free.setting.clone();
    bound.workers[0].stays_from = Some(0);
    let faults = verify(&free.graph, &bound, &went);
    assert!(faults.iter().any(|f| f.kind == crate::schedule::FaultKind::Trip), "{faults:?}");
    bound.workers[0].stays_from = Some(1);
    assert!(verify(&free.graph, &bound, &went).is_empty());
    let lever = Lever::Stay { person: 0, from: free.job.start };
    let stayed = judge(&edited(&free.job, &lever.edits(&free.job, &free.graph)));
    let stayed = stayed.expect("sound").plan(false).expect("a plan").plan;
    // Once, when the hall has no more work.
    assert_eq!(trips(&stayed), 1);
    let evenings = Lever::Evenings { person: 0, days: vec![day] };
    let late = edited(&sound.job, &evenings.edits(&sound.job, &sound.graph));
    assert_eq!(late.calendar.noise.map(|n| n.to), Some(crate::job::EVENING_FROM));
    let empty = Job { house: crate::job::House { occupied: false, ..sound.job.house.clone() }, ..sound.job.clone() };
    assert_eq!(edited(&empty, &evenings.edits(&empty, &sound.graph)).calendar.noise, None);
}

#[test]
fn the_job_as_it_stands_is_forecast_as_everywhere_else() {
    let job = late_study();
    let (sound, found) = standing(&job, &|| false).expect("sound").expect("a plan");
    let o = crate::forecast::Options { trials: 1_000, seed: job.seed, cause_trials: 0 };
    let f = sound.forecast(&found, o).expect("odds");
    let net = sound.net(&found);
    let columns = crate::forecast::columns::Columns::default();
    let same = crate::forecast::finishes(&job, &net, &found.plan.order, (job.seed, 1_000), &columns, &|| false);
    assert_eq!(same, Ok(Some(f.finish)));
    let stopped = crate::forecast::finishes(&job, &net, &found.plan.order, (job.seed, 500), &columns, &|| true);
    assert_eq!(stopped, Ok(None));
}
