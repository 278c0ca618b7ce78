//! A job to its end by the text commands: three lived worlds evening by evening, closing, the book;
//! files and days that are not what they seem.

use roomback::book::Book;
use roomback::clock::DAY;
use roomback::desk::{self, evening::Outlook};
use roomback::job::Job;
use roomback::{jobfile, search};

use crate::lived::{evening, live};
use crate::samples::sample;
use crate::underway::{File, call, json};

const POWDER: &str = "powder";

#[test]
fn a_closed_job_teaches_its_rates_once_outliers_are_settled() {
    let file = File::new("close", POWDER);
    let path = file.path();
    let book = file.0.join("book.ron").display().to_string();
    let plan = json(&["plan", &path, "--json"]);
    let last = plan["clean_run"].as_str().expect("a time")[..10].to_string();
    let out = call(&["close", &path, "--book", &book, "--day", &last]);
    assert!(out.code == 1 && out.text.contains("no finished work"), "{}", out.text);
    assert_eq!(call(&["log", &path, "--day", "2027-05-10", "--as-planned", "--through", &last]).code, 0);
    let v = json(&["close", &path, "--book", &book, "--day", &last, "--dry", "--json"]);
    assert_eq!((v["undone"].as_array().map(Vec::len), &v["undecided"]), (Some(0), &serde_json::json!([])), "{v}");
    assert!((v["labor_h"].as_f64().expect("hours") - v["estimate_h"].as_f64().expect("hours")).abs() < 0.5, "{v}");
    // As planned, every row shows its own typical rate.
    for r in v["rates"].as_array().expect("rates") {
        let (shown, typ) = (r["rate"].as_f64().expect("a rate"), r["typical"].as_f64().expect("a rate"));
        // Plans are in whole minutes.
        assert!((shown / typ - 1.0).abs() < 0.2, "{r}");
        assert_eq!(r["whose"], "starter");
    }
    assert!(file.job().closed.is_none());
    // One step took five times as long as was thought.
    let plan = json(&["plan", &path, "--json"]);
    let wash = plan["steps"]
        .as_array()
        .expect("steps")
        .iter()
        .find(|s| s["id"] == "powder/walls/wash")
        .expect("a step")
        .clone();
    let (day, hours) =
        (wash["start"].as_str().expect("a time")[..10].to_string(), wash["labor_h"].as_f64().expect("hours"));
    let hours = format!("{:.2}", hours * 5.0);
    assert_eq!(
        call(&["log", &path, "--day", &day, "--step", "powder/walls/wash", "--hours", &hours, "--done"]).code,
        0
    );
    let v = json(&["close", &path, "--book", &book, "--day", &last, "--dry", "--json"]);
    assert_eq!(v["undecided"], serde_json::json!(["wash"]), "{}", v["rates"]);
    let out = call(&["close", &path, "--book", &book, "--day", &last, "--learn"]);
    assert!(out.code == 2 && out.text.contains("wash") && out.text.contains("--exclude"), "{}", out.text);
    assert!(!std::path::Path::new(&book).exists() && file.job().closed.is_none());
    let v = json(&["close", &path, "--book", &book, "--day", &last, "--learn", "--exclude", "wash", "--json"]);
    assert!(v["learned"].as_i64() > Some(0) && v["scores"]["verdict"].is_null(), "{v}");
    let kept = Book::read(&std::fs::read_to_string(&book).expect("a book")).expect("reads");
    assert_eq!((kept.closed.len(), kept.closed[0].evenings.len()), (1, file.job().record.len()));
    assert!(kept.seen("wash").is_empty() && !kept.seen("patch-paint").is_empty() | (kept.rows().len() > 1));
    assert_eq!(file.job().closed.expect("closed").day.to_string(), last);
    // A new job offers what the book has and keeps its own until it is taken.
    let other = File::new("close-other", POWDER);
    let v = json(&["book", &other.path(), "--book", &book, "--json"]);
    let newer: Vec<_> = v["rates"].as_array().expect("rates").iter().filter(|r| r["newer"] == true).cloned().collect();
    assert!(
        !newer.is_empty()
            && newer.iter().all(|r| r["job"]["whose"] == "starter" && r["book"]["whose"] == "yours, 1 job"),
        "{v}"
    );
    assert!(call(&["takeoff", &other.path()]).text.contains(", starter"));
    let out = call(&["book", &other.path(), "--book", &book, "--take"]);
    assert_eq!(out.code, 0, "{}", out.text);
    let v = json(&["takeoff", &other.path(), "--json"]);
    let mine = v["rates"].as_array().expect("rates").iter().filter(|r| r["whose"] == "yours, 1 job").count();
    assert_eq!(mine, newer.len());
    assert!(call(&["plan", &other.path()]).text.contains("(1 job)"));
    let text = call(&["book", "--book", &book]).text;
    assert!(text.contains("No verdict before 20 jobs") && text.contains("closed "), "{text}");
}

#[test]
fn days_out_of_all_reach_are_refused_at_once() {
    let file = File::new("far", POWDER);
    let path = file.path();
    for args in [
        vec!["log", &path, "--day", "2199-05-10", "--nothing"],
        vec!["lost", &path, "--day", "2199-05-10"],
        vec!["plan", &path, "--as-of", "2199-05-10"],
        vec!["promise", &path, "--day", "2199-05-10"],
        vec!["change", &path, "--day", "2199-05-10", "--words", "x", "--add", "x", "--hours", "1"],
        vec!["new", "--by", "2199-05-10"],
    ] {
        let out = call(&args);
        assert!(out.code == 2 && out.text.contains("three years"), "{args:?}: {}", out.text);
    }
}

#[test]
fn three_lived_worlds_evening_by_evening_by_the_commands() {
    let s = sample(POWDER);
    let mut job = s.sound.job.clone();
    job.kept = Some(search::keep(&s.sound.graph, &s.sound.setting, &s.found.plan.order, &job));
    let sound = desk::judge(&job).expect("sound");
    let found = sound.plan(false).expect("a plan");
    let lives = (0..60u64).map(|n| live(&sound, &found, 900_001 + 7 * n));
    // Work begins on the first day, and no step is taken up twice on one: the command counts it once.
    let usual = |l: &crate::lived::Lived| {
        let last = l.plan.finish.0.div_euclid(DAY);
        let log = evening(&job, &sound, l, 3 * last / 4).log;
        let twice = |d: &roomback::job::DayLog| {
            d.steps.iter().enumerate().any(|(i, w)| d.steps[..i].iter().any(|x| x.step == w.step))
        };
        l.plan.runs.iter().any(|r| r.from.day() == 0) && last >= 6 && !log.iter().any(twice)
    };
    for (world, lived) in lives.filter(usual).take(3).enumerate() {
        let file = File::new(&format!("world-{world}"), POWDER);
        let path = file.path();
        std::fs::write(&path, jobfile::write(&job)).expect("written");
        let last = lived.plan.finish.0.div_euclid(DAY);
        let mut told = 0;
        for day in [last / 4, last / 2, 3 * last / 4].map(|d| d.max(1)) {
            let by_hand = evening(&job, &sound, &lived, day);
            for l in by_hand.lost.iter().filter(|l| job.day_of(l.from) >= told) {
                let from = l.from.to_string();
                let mut args = vec![
                    "lost".to_string(),
                    path.clone(),
                    "--day".into(),
                    from,
                    "--cause".into(),
                    if l.cause.lasts() {
                        "illness"
                    } else if l.house {
                        "client"
                    } else {
                        "other"
                    }
                    .into(),
                ];
                if let Some(h) = l.hours {
                    args.extend(["--part".into(), format!("{}-{}", h.from, h.to)]);
                }
                args.extend(if l.house { vec!["--house".into()] } else { vec!["--who".into(), l.who.clone()] });
                let args: Vec<&str> = args.iter().map(String::as_str).collect();
                let out = call(&args);
                assert_eq!(out.code, 0, "{args:?}: {}", out.text);
            }
            for d in by_hand.log.iter().filter(|d| job.day_of(d.day) >= told) {
                let date = d.day.to_string();
                if d.steps.is_empty() {
                    assert_eq!(call(&["log", &path, "--day", &date, "--nothing"]).code, 0);
                }
                for w in &d.steps {
                    let hours = w.hours.to_string();
                    let (from, at) = (w.from.expect("a time").to_string(), w.at.expect("a time").to_string());
                    let mut args = vec![
                        "log", &path, "--day", &date, "--step", &w.step, "--hours", &hours, "--from", &from, "--at",
                        &at,
                    ];
                    w.who.iter().for_each(|p| args.extend(["--who", p]));
                    if w.done {
                        args.push("--done");
                    }
                    let out = call(&args);
                    assert_eq!(out.code, 0, "{args:?}: {}", out.text);
                }
            }
            told = day;
            let as_of = by_hand.as_of.expect("an evening");
            let when = (as_of.date().pred_opt().expect("a day")).to_string();
            let v = json(&["forecast", &path, "--as-of", &when, "--trials", "500", "--json"]);
            let want = Outlook::of(&by_hand, Some(as_of), 500).expect("sound");
            let f = &want.forecast;
            let date = |d: i64| job.date_of(d).to_string();
            let what = format!("world {world} day {day}");
            assert_eq!(
                v["clean_run"].as_str(),
                Some(job.time_of(want.found.plan.finish).format("%Y-%m-%dT%H:%M").to_string().as_str()),
                "{what}"
            );
            assert_eq!(v["likely_day"].as_str(), Some(date(f.day(0.5)).as_str()), "{what}");
            assert_eq!(v["safe_day"].as_str(), Some(date(f.day(job.confidence)).as_str()), "{what}");
            let p80 = job.time_of(f.quantile(0.8).0).format("%Y-%m-%dT%H:%M").to_string();
            assert_eq!(v["finish_p80"].as_str(), Some(p80.as_str()), "{what}");
        }
        let kept: Job = file.job();
        assert!(kept.record.windows(2).all(|w| w[0].day < w[1].day) && !kept.record.is_empty());
    }
}

#[test]
fn an_older_file_that_names_a_test_of_each_room_opens_with_a_remark() {
    let s = sample("hall");
    let mut job = s.sound.job.clone();
    let test = |id: &str| {
        let row = id.rsplit('/').next().unwrap_or("");
        let rows = roomback::trade::tables().recipes.iter().flat_map(|r| &r.steps);
        rows.clone().any(|x| x.id == row && x.built_before.is_some() && x.business_days.is_some())
    };
    let shared = s.sound.graph.steps.iter().find(|x| test(&x.id)).expect("a house of 1931 is tested").id.clone();
    let other = shared.replacen("hall/", "stair/", 1);
    assert!(other != shared && !s.sound.graph.steps.iter().any(|x| x.id == other));
    let mut kept = search::keep(&s.sound.graph, &s.sound.setting, &s.found.plan.order, &job);
    kept.order.insert(0, other.clone());
    job.kept = Some(kept.clone());
    let opened = desk::open(&jobfile::write(&job)).expect("reads");
    assert_eq!(opened.read.report(), "");
    assert_eq!(opened.remarks.len(), 1, "{:?}", opened.remarks);
    assert!(opened.remarks[0].contains(&other) && opened.remarks[0].contains(&shared));
    let order = opened.sound.expect("sound").job.kept.expect("kept").order;
    assert_eq!(order.iter().filter(|n| **n == shared).count(), 1);
    // A name nothing ever had is a problem as before.
    kept.order[0] = "stair/start/nothing-such".into();
    job.kept = Some(kept);
    let opened = desk::open(&jobfile::write(&job)).expect("reads");
    assert!(opened.sound.is_none() && opened.remarks.is_empty());
}
