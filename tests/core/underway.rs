//! A job under way by the text commands: days written up, time lost, today's sheet, the record.

use roomback::cli::{Output, run};
use roomback::desk::underway;
use roomback::forecast::Options;
use roomback::job::{How, Job, LostCause, LostTime, Switch};
use roomback::{desk, jobfile};
use serde_json::Value;

use crate::samples::{sample, samples};

pub fn call(args: &[&str]) -> Output {
    run(std::iter::once("roomback").chain(args.iter().copied()))
}

#[track_caller]
pub fn json(args: &[&str]) -> Value {
    let out = call(args);
    assert_eq!(out.code, 0, "{args:?}: {}", out.text);
    serde_json::from_str(&out.text).expect("JSON")
}

/// A copy of a sample in a folder of one test's own.
pub struct File(pub std::path::PathBuf);

impl File {
    pub fn new(name: &str, sample: &str) -> File {
        let dir = std::env::temp_dir().join(format!("roomback-site-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&dir);
        std::fs::create_dir_all(&dir).expect("a folder");
        let from = format!("{}/sample-jobs/{sample}.ron", env!("CARGO_MANIFEST_DIR"));
        std::fs::copy(from, dir.join("job.ron")).expect("copied");
        File(dir)
    }
    pub fn path(&self) -> String {
        self.0.join("job.ron").display().to_string()
    }
    pub fn text(&self) -> String {
        std::fs::read_to_string(self.0.join("job.ron")).expect("a file")
    }
    pub fn job(&self) -> Job {
        desk::open(&self.text()).expect("reads").read.job
    }
}

impl Drop for File {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// Doors coated on the first day and hung once they may be closed.
const DOORS: &str = r#"(
    format: 1,
    name: "two doors",
    start: "2027-03-01",
    crew: [(id: "ilse", name: "Ilse")],
    places: [(id: "den", name: "den", kind: room)],
    steps: [
        (id: "coat", name: "coat doors", place: "den", hours: (0.9, 1, 1.2), leaves: (product: "enamel-fast")),
        (id: "hang", name: "hang doors", place: "den", hours: (1.5, 2, 3), needs: [(step: "coat", dry: shut)]),
    ],
)
"#;

#[test]
fn a_lost_day_that_falls_wholly_into_drying_costs_nothing_and_says_so() {
    let file = File::new("drying", "powder");
    std::fs::write(file.path(), DOORS).expect("written");
    // Coated on Monday, ready to close on late on Tuesday, hung on Wednesday.
    let plan = json(&["plan", &file.path(), "--json"]);
    let ready = plan["steps"][0]["ready"]["shut"].as_str().expect("a time");
    assert!(("2027-03-02T16:05".."2027-03-03T08:15").contains(&ready), "{plan}");
    let v = json(&["lost", &file.path(), "--day", "2027-03-02", "--cause", "vehicle", "--json"]);
    assert_eq!((v["days_lost"].as_f64(), v["date_moves"].as_f64()), (Some(1.0), Some(0.0)), "{v}");
    let means = v["means"].as_str().expect("a sentence");
    assert!(means.starts_with("1 day lost; the clean run does not move: drying had that time anyway."), "{means}");
    assert_eq!(v["change"]["before"]["clean_run"], v["change"]["after"]["clean_run"]);
    // The odds have less in hand all the same, and say so.
    assert!(means.ends_with("later: less is left in hand."), "{means}");
    // Who is ill on the day just gone by may be ill tomorrow too.
    for (cause, why) in [("illness", "an illness may last longer."), ("vehicle", "")] {
        std::fs::write(file.path(), DOORS).expect("written");
        assert_eq!(call(&["log", &file.path(), "--day", "2027-03-01", "--as-planned"]).code, 0);
        assert_eq!(call(&["log", &file.path(), "--day", "2027-03-02", "--nothing"]).code, 0);
        let v = json(&["lost", &file.path(), "--day", "2027-03-02", "--cause", cause, "--json"]);
        let means = v["means"].as_str().expect("a sentence");
        assert!(means.ends_with(why) && means.contains("illness") != why.is_empty(), "{cause}: {v}");
    }
    // A day full of work costs.
    let file = File::new("costs", "powder");
    let v = json(&["lost", &file.path(), "--day", "2027-05-12", "--to", "2027-05-14", "--who", "Ilse", "--json"]);
    let (lost, moves) = (v["days_lost"].as_f64().expect("days"), v["date_moves"].as_f64().expect("days"));
    assert!(lost == 3.0 && moves > 0.5, "{v}");
    assert!(v["means"].as_str().expect("a sentence").starts_with("3 days lost; the clean run moves "), "{v}");
    let job = file.job();
    assert_eq!((job.lost.len(), job.lost[0].who.as_str()), (1, "ilse"));
    assert!(job.kept.is_some(), "the order worked by is kept");
    // A part: the last hours of the day.
    let v = json(&["lost", &file.path(), "--day", "2027-05-18", "--part", "2", "--json"]);
    assert_eq!(v["lost"][0]["hours"], serde_json::json!({"from": "14:05", "to": "16:05"}), "{v}");
    for (wrong, said) in [
        (vec!["--day", "2027-05-18", "--who", "nobody"], "there are ilse"),
        (vec!["--day", "2027-05-18", "--part", "late"], "none; write hours"),
        (vec!["--day", "2027-05-18", "--to", "2027-05-17"], "--to:"),
        (vec!["--day", "2026-05-18"], "before the first day"),
    ] {
        let path = file.path();
        let out = call(&[vec!["lost", &path], wrong.clone()].concat());
        assert!(out.code == 2 && out.text.contains(said), "{wrong:?}: {}", out.text);
    }
}

#[test]
fn a_day_the_job_before_still_took_is_one_day_less_of_it() {
    let s = sample("powder");
    let after = |days: i64, lost: bool, before: Switch| {
        let mut job = s.sound.job.clone();
        job.risks.job_before = before;
        let one = LostTime {
            from: job.start,
            to: Some(job.date_of(days - 1)),
            hours: None,
            who: String::new(),
            house: false,
            cause: LostCause::OtherJob,
            note: String::new(),
        };
        job.lost.extend(lost.then_some(one));
        job.as_of = job.date_of(days).and_hms_opt(0, 0, 0);
        let now = desk::judge(&job).expect("sound");
        let plan = now.plan(false).expect("a plan");
        now.forecast(&plan, Options { trials: 500, seed: 11, cause_trials: 0 }).expect("odds").sorted
    };
    // It runs over by eight workdays at the most: after eleven it is over.
    assert_eq!(after(15, true, Switch::On), after(15, true, Switch::Off));
    assert_ne!(after(2, true, Switch::On), after(2, true, Switch::Off));
    // Two days lost to it say what two days without a beginning say.
    assert_eq!(after(2, true, Switch::On), after(2, false, Switch::On));
}

#[test]
fn who_said_how_long_he_is_out_is_back_after_it() {
    let s = sample("powder");
    let day = |d: u32| chrono::NaiveDate::from_ymd_opt(2027, 5, d).expect("a day");
    let out = |from: u32, to: Option<u32>, cause: LostCause| LostTime {
        from: day(from),
        to: to.map(day),
        hours: None,
        who: String::new(),
        house: false,
        cause,
        note: String::new(),
    };
    let ill = |lost: Vec<LostTime>, evening: u32| {
        let job = Job { lost, ..s.sound.job.clone() };
        let sound = underway::asked_at(&job, Some(underway::evening_of(day(evening)))).expect("sound");
        sound.setting.standing.as_deref().expect("facts").ill[0]
    };
    let illness = LostCause::Illness;
    // Nobody knows how long: likelier out tomorrow too.
    assert!(ill(vec![out(11, None, illness)], 11));
    assert!(ill(vec![out(10, Some(11), illness)], 11));
    // Through Friday, or Friday and then a week from Monday on: he said when he is back.
    assert!(!ill(vec![out(11, Some(14), illness)], 11));
    assert!(!ill(vec![out(14, None, illness), out(17, Some(21), illness)], 14));
    // Another week to come is another matter; and what does not last does not.
    assert!(ill(vec![out(11, None, illness), out(24, Some(28), illness)], 11));
    assert!(!ill(vec![out(11, None, LostCause::OtherJob)], 11));
    // Kept away by something else the day after, he is well; ill the day after that, he is not.
    assert!(!ill(vec![out(10, Some(11), illness), out(12, None, LostCause::Vehicle)], 12));
    assert!(ill(vec![out(11, None, LostCause::Vehicle), out(12, None, illness)], 12));
}

#[test]
fn days_as_planned_keep_the_plan_and_the_record_only_grows() {
    let file = File::new("planned", "powder");
    let before = json(&["plan", &file.path(), "--json"]);
    assert_eq!((&before["as_of"], before["steps"][0]["stands"].as_str()), (&Value::Null, Some("to_do")));
    let v = json(&["log", &file.path(), "--day", "2027-05-10", "--as-planned", "--through", "2027-05-12", "--json"]);
    assert_eq!(v["days"].as_array().map(Vec::len), Some(3));
    let after = json(&["plan", &file.path(), "--json"]);
    assert_eq!(after["clean_run"], before["clean_run"]);
    assert_eq!(after["as_of"], serde_json::json!({"at": "2027-05-13T00:00", "open": [], "open_days": null}));
    assert_eq!((&after["bound"], &after["proven"]), (&Value::Null, &Value::Null));
    assert_eq!(after["against_rules"], serde_json::json!([]));
    let text = call(&["plan", &file.path()]).text;
    assert!(text.contains("As of the evening of Wed 12 May 2027.") && text.contains("  done\n"), "{text}");
    assert!(!text.contains("No order can finish") && !text.contains("No faster order"), "{text}");
    let text = call(&["forecast", &file.path(), "--as-of", "2027-05-11", "--trials", "500"]).text;
    assert!(text.contains("As of the evening of Tue 11 May 2027."), "{text}");
    let noon = json(&["forecast", &file.path(), "--as-of", "2027-05-12T12:00", "--trials", "500", "--json"]);
    assert_eq!(noon["as_of"]["at"], "2027-05-12T12:00");
    assert_eq!(call(&["plan", &file.path(), "--as-of", "soon"]).code, 2);

    let job = file.job();
    assert_eq!(
        job.record.iter().map(|e| e.day.to_string()).collect::<Vec<_>>(),
        ["2027-05-10", "2027-05-11", "2027-05-12"]
    );
    // The way on: a day with nothing done, and why the date moved.
    let v = json(&["log", &file.path(), "--day", "2027-05-13", "--nothing", "--cause", "child ill", "--json"]);
    assert!(v["change"]["after"]["clean_run"].as_str() > v["change"]["before"]["clean_run"].as_str(), "{v}");
    let later = file.job();
    assert_eq!((&later.record[..3], later.record.len()), (&job.record[..], 4));
    let last = &later.record[3];
    assert!(last.together > 0.3, "{last:?}");
    assert!(last.reasons.iter().any(|r| r.what == "nobody there: child ill" && r.days > 0.3), "{last:?}");
    let moved = json(&["moved", &file.path(), "--json"]);
    assert_eq!(moved["evenings"].as_array().map(Vec::len), Some(4));
    assert!(moved["slip"]["clean_run"].as_i64() >= Some(1), "{moved}");
    assert!(call(&["moved", &file.path()]).text.contains("child ill"));
    // A correction of a day on record changes the log, not the record.
    let fixed = json(&[
        "log",
        &file.path(),
        "--day",
        "2027-05-13",
        "--step",
        "powder/trim/caulk",
        "--hours",
        "0.25",
        "--done",
        "--json",
    ]);
    assert_eq!(fixed["days"][0]["how"], "differently");
    assert_eq!(file.job().record, later.record);
    // The text reads back to the same job.
    let job = file.job();
    assert_eq!(desk::open(&jobfile::write(&job)).expect("reads").read.job, job);
}

#[test]
fn steps_are_written_up_one_by_one_and_put_right() {
    let file = File::new("steps", "powder");
    let path = file.path();
    let day = ["log", &path, "--day", "2027-05-10"];
    let with = |more: &[&str]| call(&[&day[..], more].concat());
    let out = with(&["--step", "powder/wals/wash", "--hours", "1"]);
    assert!(out.code == 2 && out.text.contains("powder/walls/wash"), "{}", out.text);
    assert_eq!(with(&["--step", "powder/walls/wash"]).code, 2);
    assert_eq!(with(&["--step", "powder/walls/wash", "--hours", "25"]).code, 2);
    assert_eq!(with(&["--nothing", "--as-planned"]).code, 2);
    assert_eq!(with(&[]).code, 2);
    assert_eq!(with(&["--step", "powder/walls/wash", "--hours", "1", "--done"]).code, 0);
    let out = with(&["--step", "powder/walls/patch", "--hours", "1.5", "--at", "15:30"]);
    assert!(out.code == 0 && out.text.contains("2 entries"), "{}", out.text);
    assert_eq!(with(&["--step", "powder/walls/patch", "--hours", "2", "--done", "--who", "Ilse"]).code, 0);
    let job = file.job();
    assert_eq!((job.log.len(), job.log[0].how, job.log[0].steps.len()), (1, How::Differently, 2));
    assert_eq!((job.log[0].steps[1].hours, job.log[0].steps[1].done), (2.0, true));
    // The day is not over until the next is begun.
    assert!(job.record.is_empty());
    // A coat put on before what is under it is dry is a fact and a caution.
    assert_eq!(
        call(&[
            "log",
            &path,
            "--day",
            "2027-05-11",
            "--step",
            "powder/walls/patch-sand",
            "--hours",
            "0.5",
            "--done",
            "--from",
            "0:30"
        ])
        .code,
        0
    );
    assert_eq!(file.job().record.len(), 1);
    let early = |v: &Value| {
        let all = v["against_rules"].as_array().expect("a list");
        all.iter().any(|b| b["step"] == "powder/walls/patch-sand" && b["of"] == "powder/walls/patch")
    };
    assert!(!early(&json(&["plan", &path, "--json"])));
    assert_eq!(
        call(&[
            "log",
            &path,
            "--day",
            "2027-05-10",
            "--step",
            "powder/walls/patch-sand",
            "--hours",
            "0.25",
            "--done",
            "--from",
            "11:30"
        ])
        .code,
        0
    );
    let v = json(&["plan", &path, "--json"]);
    assert!(early(&v), "{v}");
    assert!(call(&["plan", &path]).text.contains("Done against the rules"));
}

#[test]
fn the_sheet_of_the_day_says_what_where_and_what_dries() {
    let file = File::new("today", "powder");
    let v = json(&["today", &file.path(), "--json"]);
    let days = v["days"].as_array().expect("days");
    assert_eq!((days.len(), &days[0]["day"], &days[1]["day"]), (2, &"2027-05-10".into(), &"2027-05-11".into()));
    let work = days[0]["work"].as_array().expect("work");
    assert!(!work.is_empty() && work[0]["load"].is_array() && work[0]["place"] == "powder room", "{v}");
    assert_eq!(call(&["log", &file.path(), "--day", "2027-05-10", "--as-planned"]).code, 0);
    let v = json(&["today", &file.path(), "--as-of", "2027-05-12", "--json"]);
    assert_eq!(v["open"], serde_json::json!(["2027-05-11", "2027-05-12"]));
    assert_eq!(v["days"][0]["day"], "2027-05-13");
    let text = call(&["today", &file.path(), "--as-of", "2027-05-12"]).text;
    assert!(text.contains("How did it go on Tue 11 May, Wed 12 May?"), "{text}");
    let text = call(&["today", &file.path()]).text;
    assert!(text.contains("Tue 11 May 2027") && text.contains("load "), "{text}");
}

#[test]
fn what_went_as_planned_broke_no_rule() {
    for s in samples() {
        let last = s.found.plan.finish.0.div_euclid(roomback::clock::DAY);
        let mut job = s.sound.job.clone();
        job.kept = Some(roomback::search::keep(&s.sound.graph, &s.sound.setting, &s.found.plan.order, &job));
        let all =
            (0..=last).map(|d| roomback::record::as_planned(&job, &s.sound.graph, &s.sound.setting, &s.found.plan, d));
        let log: Vec<_> = all.filter(|d| !d.steps.is_empty()).collect();
        job.log = log;
        let as_of = Some(job.time_of(roomback::clock::At((last + 1) * roomback::clock::DAY)));
        let sound = desk::underway::asked_at(&job, as_of).expect("sound");
        let found = sound.plan(false).expect("a plan");
        let broke = roomback::views::broke(&sound, &found);
        assert!(broke.is_empty(), "{}: {broke:?}", s.name);
    }
}

#[test]
fn a_lived_day_by_the_commands_is_forecast_as_by_the_library() {
    let s = sample("powder");
    let mut job = s.sound.job.clone();
    job.kept = Some(roomback::search::keep(&s.sound.graph, &s.sound.setting, &s.found.plan.order, &job));
    let sound = desk::judge(&job).expect("sound");
    let found = sound.plan(false).expect("a plan");
    // Worlds in which work begins on the first day.
    let mut worlds = 0;
    let lives = (0..60u64).map(|n| crate::lived::live(&sound, &found, 700_001 + 11 * n));
    let begun = |l: &crate::lived::Lived| l.plan.runs.iter().any(|r| r.from.day() == 0);
    for (world, lived) in lives.filter(begun).take(3).enumerate() {
        worlds += 1;
        let mut by_hand = crate::lived::evening(&job, &sound, &lived, 1);
        by_hand.log.iter_mut().for_each(|d| d.steps.truncate(2));
        let file = File::new(&format!("lived-{world}"), "powder");
        std::fs::write(file.path(), jobfile::write(&job)).expect("written");
        for l in &by_hand.lost {
            let day = l.from.to_string();
            let mut args = vec!["lost".to_string(), file.path(), "--day".into(), day];
            match l.hours {
                Some(h) => args.extend(["--part".into(), format!("{}-{}", h.from, h.to)]),
                None => args.extend(["--cause".into(), "illness".into()]),
            }
            args.extend(if l.house { vec!["--house".into()] } else { vec!["--who".into(), l.who.clone()] });
            let args: Vec<&str> = args.iter().map(String::as_str).collect();
            assert_eq!(call(&args).code, 0, "{args:?}");
        }
        for d in &by_hand.log {
            let (path, day) = (file.path(), d.day.to_string());
            if d.steps.is_empty() {
                assert_eq!(call(&["log", &path, "--day", &day, "--nothing"]).code, 0);
            }
            for w in &d.steps {
                let hours = w.hours.to_string();
                let (from, at) = (w.from.expect("a time").to_string(), w.at.expect("a time").to_string());
                let mut args = vec![
                    "log", &path, "--day", &day, "--step", &w.step, "--hours", &hours, "--from", &from, "--at", &at,
                ];
                w.who.iter().for_each(|p| args.extend(["--who", p]));
                if w.done {
                    args.push("--done");
                }
                let out = call(&args);
                assert_eq!(out.code, 0, "{args:?}: {}", out.text);
            }
        }
        let out = json(&["forecast", &file.path(), "--trials", "500", "--json"]);
        let mut asked = file.job();
        asked.as_of = by_hand.as_of;
        let now = desk::judge(&asked).expect("sound");
        let plan = now.plan(false).expect("a plan");
        let o = roomback::forecast::Options { trials: 500, seed: asked.seed, cause_trials: 0 };
        let f = now.forecast(&plan, o).expect("odds");
        assert_eq!(out["safe_day"], asked.date_of(f.day(asked.confidence)).to_string(), "world {world}");
        // The library, told the same by hand, says the same.
        let told = desk::judge(&Job { log: by_hand.log.clone(), lost: by_hand.lost.clone(), ..by_hand.clone() })
            .expect("sound");
        let plan = told.plan(false).expect("a plan");
        let g = told.forecast(&plan, o).expect("odds");
        assert_eq!((f.day(0.5), f.clean_run), (g.day(0.5), g.clean_run), "world {world}");
    }
    assert_eq!(worlds, 3);
}
