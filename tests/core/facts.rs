//! What befalls a job on the way, by the text commands: open days, work done again, changes,
//! late deliveries, the end, the book; three lived worlds evening by evening.

use roomback::book::Book;
use roomback::clock::DAY;
use roomback::desk::{self, changes, evening::Outlook, underway};
use roomback::job::{Job, Redone};
use roomback::{jobfile, search};

use crate::lived::{evening, live};
use crate::samples::sample;
use crate::underway::{File, call, json};

const POWDER: &str = "powder";

/// The powder room with its first days as planned.
fn begun(name: &str, through: &str) -> File {
    let file = File::new(name, POWDER);
    let out = call(&["log", &file.path(), "--day", "2027-05-10", "--as-planned", "--through", through]);
    assert_eq!(out.code, 0, "{}", out.text);
    file
}

#[test]
fn days_nobody_wrote_up_are_counted_both_ways_and_the_later_shown() {
    let file = begun("open", "2027-05-10");
    let path = file.path();
    let at = |when: &str| json(&["plan", &path, "--as-of", when, "--json"]);
    // Nothing open on the evening of the last day written up.
    assert!(at("2027-05-10")["as_of"]["open_days"].is_null());
    let v = at("2027-05-12");
    let open = &v["as_of"]["open_days"];
    assert_eq!((open["count"].as_i64(), open["words"].as_str()), (Some(2), Some("2 days open")), "{v}");
    assert_eq!(open["counted_as"], "nothing_done");
    // The other way is the plan as it was: both days written up as planned end there.
    let other = begun("open-planned", "2027-05-12");
    let planned = json(&["plan", &other.path(), "--as-of", "2027-05-12", "--json"]);
    assert_eq!(open["otherwise"]["clean_run"], planned["clean_run"]);
    assert!(v["clean_run"].as_str() > planned["clean_run"].as_str(), "{v}");
    // And nothing done is what two days written up so come to.
    let none = begun("open-none", "2027-05-10");
    for day in ["2027-05-11", "2027-05-12"] {
        assert_eq!(call(&["log", &none.path(), "--day", day, "--nothing"]).code, 0);
    }
    let none = json(&["plan", &none.path(), "--as-of", "2027-05-12", "--json"]);
    assert_eq!(v["clean_run"], none["clean_run"]);
    // Every answer says it, in words too, and nothing of it is written.
    let before = file.text();
    for command in ["plan", "forecast", "today", "moved"] {
        let v = json(&[command, &path, "--as-of", "2027-05-12", "--json"]);
        assert_eq!(v["as_of"]["open_days"]["count"], 2, "{command}");
        let text = call(&[command, &path, "--as-of", "2027-05-12"]).text;
        assert!(text.contains("2 days open: Tue 11 May to Wed 12 May, counted as nothing done"), "{command}: {text}");
    }
    assert_eq!(file.text(), before);
    // Of a day not over yet nothing is assumed.
    let noon = at("2027-05-11T12:00");
    assert!(noon["as_of"]["open_days"].is_null() && noon["as_of"]["open"] == serde_json::json!([]), "{noon}");
    // An order taken at such a moment does not write the days up.
    let out = call(&["plan", &path, "--as-of", "2027-05-12", "--search", "--apply"]);
    assert_eq!(out.code, 0, "{}", out.text);
    assert_eq!(file.job().log.len(), 1);
}

#[test]
fn the_share_of_a_step_done_again_is_a_step_behind_it_with_its_drying() {
    let file = begun("redo", "2027-05-13");
    let path = file.path();
    let job = file.job();
    let walls = "powder/walls/wash";
    let dry = json(&["redo", &path, "--step", walls, "--day", "2027-05-14", "--share", "0.5", "--dry", "--json"]);
    assert_eq!(file.job(), job, "--dry writes nothing");
    assert!(dry["applied"].is_null());
    let sound = desk::judge(&job).expect("sound");
    let labor = |id: &str| {
        let s = sound.graph.steps.iter().find(|s| s.id == id).expect("a step");
        s.labor.typ / 60.0
    };
    // Hours: half of the step's, rounded to the minute.
    let hours = dry["own_hours"].as_f64().expect("hours");
    assert!((hours - 0.5 * labor(walls)).abs() < 1.0 / 30.0, "{dry}");
    for name in ["hours", "days", "dollars", "clean_run_days", "chance_before", "chance_after", "safe_before"] {
        assert!(dry.get(name).is_some(), "{name}: {dry}");
    }
    let args = ["redo", &path, "--step", walls, "--day", "2027-05-14", "--hours", "2", "--cause", "soap left on"];
    let out = call(&args);
    assert!(
        out.code == 0 && out.text.contains("again") && out.text.contains("Promised:")
            || out.text.contains("Nothing is promised"),
        "{}",
        out.text
    );
    let is = file.job();
    assert_eq!((is.redone.len(), is.changes.len()), (1, 1));
    assert_eq!(
        (is.redone[0].hours, is.changes[0].adds.as_slice()),
        (Some(2.0), &["powder/walls/wash+again".to_string()][..])
    );
    assert!(is.changes[0].words.contains("soap left on"));
    let plan = json(&["plan", &path, "--json"]);
    let steps = plan["steps"].as_array().expect("steps");
    let again = steps.iter().find(|s| s["id"] == "powder/walls/wash+again").expect("in the plan");
    assert!((again["labor_h"].as_f64().expect("hours") - 2.0).abs() < 0.02, "{again}");
    assert_eq!(again["stands"], "to_do");
    // It can be written up, and done a second time.
    let log = ["log", &path, "--day", "2027-05-14", "--step", "powder/walls/wash+again", "--hours", "2", "--done"];
    assert_eq!(call(&log).code, 0);
    assert_eq!(call(&["redo", &path, "--step", walls, "--day", "2027-05-14"]).code, 0);
    assert_eq!(file.job().changes[1].adds, ["powder/walls/wash+again-2"]);
    let text = call(&["moved", &path]).text;
    assert!(text.contains("Changes") && text.contains("soap left on"), "{text}");
    // What has not begun cannot be done again; what is not there is named.
    let out = call(&["redo", &path, "--step", "powder/room/punch-list", "--day", "2027-05-14"]);
    assert_eq!(out.code, 2, "{}", out.text);
    let out = call(&["redo", &path, "--step", "powder/walls/wahs", "--day", "2027-05-14"]);
    assert!(out.code == 2 && out.text.contains("powder/walls/wash"), "{}", out.text);
    assert_eq!(jobfile::read(&jobfile::write(&file.job()), roomback::trade::tables()).expect("reads").job, file.job());
}

#[test]
fn a_coat_done_again_dries_again_before_what_waits_for_it() {
    let s = sample(POWDER);
    let mut job = s.sound.job.clone();
    job.kept = Some(search::keep(&s.sound.graph, &s.sound.setting, &s.found.plan.order, &job));
    // A coat somebody waits for, finished by the evening it is looked at.
    let net = s.sound.net(&s.found);
    let plan = &s.found.plan;
    let (coat, next) = plan
        .steps
        .iter()
        .find_map(|t| {
            s.sound.graph.steps[t.step].coat?;
            let f = net.followers[t.step].iter().find(|&&f| {
                plan.timed(f).is_some_and(|x| x.begin.day() > t.end.day())
                    && net.deps[f].iter().any(|d| d.from == t.step && matches!(d.ask, roomback::work::Ask::Dry(_)))
            })?;
            Some((t.clone(), *f))
        })
        .expect("a coat that dries over night");
    let day = coat.end.day();
    for d in 0..=day {
        let entry = roomback::record::as_planned(&job, &s.sound.graph, &s.sound.setting, plan, d);
        if !entry.steps.is_empty() {
            job.log.push(entry);
        }
    }
    let step = s.sound.graph.steps[coat.step].id.clone();
    let found = job.date_of(day);
    let redone = Redone { step: step.clone(), day: found, share: None, hours: None, cause: String::new() };
    let scope = changes::redo(&job, redone).expect("begun");
    let is = roomback::job::edited(&job, &scope.edits);
    let e = changes::effect(&job, &is, found, 500).expect("sound");
    let graph = &e.after.sound.graph;
    let at = |id: &str| graph.steps.iter().position(|s| s.id == id).expect("a step");
    let again = e.after.found.plan.timed(at(&scope.adds[0])).expect("planned");
    let waits = e.after.found.plan.timed(at(&s.sound.graph.steps[next].id)).expect("planned");
    let ask = net.deps[next].iter().find(|d| d.from == coat.step).expect("a need").ask;
    let roomback::work::Ask::Dry(stage) = ask else { panic!("a stage") };
    let ready = again.ready.iter().find(|r| r.0 == stage).expect("dries").1;
    assert!(again.begin >= coat.end && ready <= waits.begin, "{again:?} {waits:?}");
    assert!(e.clean > 0.0 && e.hours > 0.0, "a coat over again costs: {} {}", e.clean, e.hours);
    assert!(roomback::schedule::verify(graph, &e.after.sound.setting, &e.after.found.plan).is_empty());
    // The evening's record names it.
    let (made, _) = changes::made(&is, &scope, &e, (found, roomback::job::ChangeKind::Redo, "first coat"), None);
    let told = desk::evening::evening(&made, found).expect("an evening");
    assert!(told.reasons.iter().any(|r| r.what.contains("done again: first coat")), "{:?}", told.reasons);
    // Asked of an evening before, it is not known.
    let eve = underway::asked_at(
        &made,
        Some(underway::evening_of(found.pred_opt().expect("a day")) - chrono::Duration::minutes(1)),
    );
    assert!(!eve.expect("sound").graph.steps.iter().any(|s| s.id == scope.adds[0]));
}

#[test]
fn a_change_is_shown_before_it_is_kept_and_the_promise_stands_beside_it() {
    let file = begun("change", "2027-05-11");
    let path = file.path();
    assert_eq!(call(&["promise", &path, "--day", "2027-05-28"]).code, 0);
    let was = file.text();
    let add =
        ["change", &path, "--day", "2027-05-12", "--words", "a shelf over the door", "--add", "shelf over the door"];
    let with = |more: &[&str]| -> Vec<String> {
        let all = [&add[..], &["--hours", "3,4,6", "--before", "powder/room/unlisted"], more].concat();
        all.into_iter().map(str::to_string).collect()
    };
    let args = with(&["--dry", "--json"]);
    let v = json(&args.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!(file.text(), was);
    assert!((v["own_hours"].as_f64().expect("hours") - 4.0).abs() < 0.02, "{v}");
    assert_eq!((&v["promised_before"], &v["promised_after"]), (&"2027-05-28".into(), &"2027-05-28".into()));
    assert!(v["days"].as_f64().expect("days") > 0.0);
    // The engine says the same of the job with such a step.
    let args = with(&[]);
    let text = call(&args.iter().map(String::as_str).collect::<Vec<_>>()).text;
    assert!(text.contains("a shelf over the door") && text.contains("before and after"), "{text}");
    let job = file.job();
    let c = &job.changes[0];
    assert_eq!((c.adds.as_slice(), c.trials), (&["shelf-over-the-door".to_string()][..], 10_000));
    let now = Outlook::of(&job, underway::last_evening(&job), 10_000).expect("sound");
    assert_eq!(job.date_of(now.forecast.day(job.confidence)), c.safe_after);
    // Left out again: before its work has begun.
    let out = call(&[
        "change",
        &path,
        "--day",
        "2027-05-13",
        "--words",
        "no shelf after all",
        "--drop",
        "shelf-over-the-door",
        "--promise",
        "2027-05-27",
    ]);
    assert_eq!(out.code, 0, "{}", out.text);
    let job = file.job();
    assert!(job.steps.iter().all(|s| s.id != "shelf-over-the-door"));
    assert_eq!(job.changes.len(), 2);
    assert!(job.changes[1].hours < -3.9, "{:?}", job.changes[1]);
    assert_eq!(job.promises.iter().map(|p| p.day.to_string()).collect::<Vec<_>>(), ["2027-05-28", "2027-05-27"]);
    assert_eq!(job.promises[1].reason, "no shelf after all");
    // A recipe step, and what cannot be.
    assert_eq!(
        call(&["change", &path, "--day", "2027-05-13", "--words", "x", "--drop", "powder/trim/caulk", "--dry"]).code,
        0
    );
    for (more, said) in [
        (vec!["--words", "x", "--drop", "powder/walls/wash"], "written up already"),
        (vec!["--words", "x", "--drop", "powder/walls/none"], "there is no step"),
        (vec!["--words", "x", "--drop", "powder/attic"], "there is no surface"),
        (vec!["--words", "x", "--add", "y", "--hours", "6,4,3"], "low, typical, high"),
        (vec!["--words", "x"], "--add"),
    ] {
        let out = call(&[vec!["change", &path, "--day", "2027-05-13"], more.clone()].concat());
        assert!(out.code == 2 && out.text.contains(said), "{more:?}: {}", out.text);
    }
    // A change that costs nothing says so.
    let out = call(&[
        "change",
        &path,
        "--day",
        "2027-05-13",
        "--words",
        "trifle",
        "--add",
        "trifle",
        "--hours",
        "0.05",
        "--dry",
    ])
    .text;
    assert!(out.contains("no dollars") || out.contains("dollars not known") || out.contains("$"), "{out}");
}

#[test]
fn a_late_delivery_is_news_and_does_not_write_the_day_up() {
    let file = File::new("late", "study");
    let path = file.path();
    let job = file.job();
    let d = &job.deliveries[0];
    let day = job.start.to_string();
    assert_eq!(call(&["log", &path, "--day", &day, "--as-planned"]).code, 0);
    let plan = json(&["plan", &path, "--json"]);
    let coming = job.date_of(40).to_string();
    let v = json(&["late", &path, "--id", &d.id, "--coming", &coming, "--json"]);
    assert!(v["change"]["after"]["clean_run"].as_str() > v["change"]["before"]["clean_run"].as_str(), "{v}");
    let after = json(&["plan", &path, "--json"]);
    assert_eq!(after["as_of"]["open_days"], serde_json::Value::Null, "{}", after["as_of"]);
    assert!(after["clean_run"].as_str() > plan["clean_run"].as_str());
    let gate = |v: &serde_json::Value| {
        let all = v["steps"].as_array().expect("steps").clone();
        all.into_iter().find(|s| s["id"] == d.id.as_str()).expect("the gate")["end"]
            .as_str()
            .expect("a time")
            .to_string()
    };
    assert!(gate(&after).starts_with(&coming), "{}", gate(&after));
    // The next day written up keeps the news.
    let news = file.job().log.last().expect("news").day.to_string();
    assert_eq!(call(&["log", &path, "--day", &news, "--nothing"]).code, 0);
    assert!(gate(&json(&["plan", &path, "--json"])).starts_with(&coming));
    let out = call(&["late", &path, "--id", "nothing-such", "--coming", &coming]);
    assert!(out.code == 2 && out.text.contains(&d.id), "{}", out.text);
    // A delivery the plan had ordered by now is asked about until it is spoken of.
    let fresh = File::new("late-asked", "study");
    let out = call(&["log", &fresh.path(), "--day", &day, "--as-planned", "--through", &job.date_of(4).to_string()]);
    assert_eq!(out.code, 0, "{}", out.text);
    let asked = json(&["today", &fresh.path(), "--json"]);
    let ordered = job.deliveries.iter().any(|d| d.ordered.is_none());
    assert!(!ordered || asked["ordered"].is_array(), "{asked}");
}

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
    let usual = |l: &crate::lived::Lived| l.plan.runs.iter().any(|r| r.from.day() == 0) && l.plan.finish.day() >= 6;
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

/// Two coats, the second within two days of the first by its own clock.
const COATS: &str = r#"(
    format: 1,
    name: "two coats",
    start: "2027-03-01",
    crew: [(id: "ilse", name: "Ilse", cost: 40)],
    places: [(id: "den", name: "den", kind: room, work_air: (temp_f: 77, dew_f: 57), off_air: (temp_f: 77, dew_f: 57))],
    steps: [
        (id: "first", name: "first coat", place: "den", hours: (0.9, 1, 1.2), leaves: (product: "enamel-fast")),
        (id: "second", name: "second coat", place: "den", hours: (0.9, 1, 1.2), leaves: (product: "enamel-fast"),
         needs: [(step: "first", dry: recoat, longest: 36)]),
    ],
)
"#;

#[test]
fn a_recoat_window_that_passed_brings_its_scuff_sand() {
    let file = File::new("scuff", POWDER);
    let path = file.path();
    std::fs::write(&path, COATS).expect("written");
    let scuff = |v: &serde_json::Value| v["steps"].as_array().expect("steps").iter().any(|s| s["id"] == "second+scuff");
    assert!(!scuff(&json(&["plan", &path, "--json"])));
    assert_eq!(call(&["log", &path, "--day", "2027-03-01", "--step", "first", "--hours", "1", "--done"]).code, 0);
    // The next day is in time; then nobody comes for three days.
    assert!(!scuff(&json(&["plan", &path, "--as-of", "2027-03-01", "--json"])));
    for day in ["2027-03-02", "2027-03-03", "2027-03-04"] {
        assert_eq!(call(&["log", &path, "--day", day, "--nothing", "--cause", "illness"]).code, 0);
    }
    let v = json(&["plan", &path, "--json"]);
    assert!(scuff(&v), "{v}");
    // A finish written up late, on the day it was, counts from that day.
    let late = File::new("scuff-late", POWDER);
    std::fs::write(late.path(), COATS).expect("written");
    for day in ["2027-03-02", "2027-03-03", "2027-03-04"] {
        assert_eq!(call(&["log", &late.path(), "--day", day, "--nothing"]).code, 0);
    }
    let log = ["log", &late.path(), "--day", "2027-03-01", "--step", "first", "--hours", "1", "--done"];
    assert_eq!(call(&log).code, 0);
    assert!(scuff(&json(&["plan", &late.path(), "--json"])));
    // Put on after all without it: a fact, and a caution.
    let on = ["log", &path, "--day", "2027-03-05", "--step", "second", "--hours", "1", "--done"];
    assert_eq!(call(&on).code, 0);
    let v = json(&["plan", &path, "--json"]);
    let all = v["against_rules"].as_array().expect("a list");
    assert!(all.iter().any(|b| b["step"] == "second" && b["of"] == "first"), "{v}");
}

#[test]
fn noon_does_not_count_lunch_as_work() {
    let file = File::new("lunch", POWDER);
    let path = file.path();
    std::fs::write(
        &path,
        COATS
            .replace(
                "(0.9, 1, 1.2), leaves: (product: \"enamel-fast\")),\n        (id: \"second\"",
                "(5.5, 6, 7)),\n        (id: \"second\"",
            )
            .replace(", dry: recoat, longest: 36", ""),
    )
    .expect("written");
    let log = ["log", &path, "--day", "2027-03-01", "--step", "first", "--from", "8:15", "--hours", "7"];
    assert_eq!(call(&log).code, 0, "{}", call(&log).text);
    let spent = |hm: &str| {
        let at = chrono::NaiveDateTime::parse_from_str(&format!("2027-03-01T{hm}"), "%Y-%m-%dT%H:%M").expect("a time");
        let sound = underway::asked_at(&file.job(), Some(at)).expect("sound");
        let facts = sound.setting.standing.clone().expect("facts");
        facts.steps[sound.graph.steps.iter().position(|s| s.id == "first").expect("a step")].spent_milli / 1000
    };
    // 8:15 to 12:30 are 255 minutes; lunch is none of them, 13:30 half an hour more.
    assert_eq!(
        [spent("10:15"), spent("12:30"), spent("12:50"), spent("13:00"), spent("13:30")],
        [120, 255, 255, 255, 285]
    );
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
