//! What befalls a job on the way, by the text commands: open days, work done again, changes,
//! late deliveries, passed recoat windows, the middle of a day.

use roomback::desk::{self, changes, evening::Outlook, underway};
use roomback::job::{Hm, Redone, Week};
use roomback::{jobfile, search};

use crate::samples::sample;
use crate::underway::{File, call, json};

const POWDER: &str = "powder";

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
    let out = call(&["redo", &path, "--step", "powder/finish/punch", "--day", "2027-05-14"]);
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
fn a_way_taken_in_the_evening_is_a_reason_of_the_next() {
    let job = begun("way", "2027-05-11").job();
    let mut after = job.clone();
    // From six to seven instead of the usual hours.
    after.crew[0].week = Some(Week { open: Hm(360), close: Hm(1_140), ..Week::default() });
    let taken = job.log.last().expect("written up").day;
    let way = roomback::job::Edit::taking(&job, &after, taken, "longer days".into(), 0);
    let with = roomback::job::edited(&job, &[way]);
    let next = chrono::NaiveDate::from_ymd_opt(2027, 5, 12).expect("a day");
    let evening = |job: &roomback::job::Job| {
        let (entry, _) = desk::evening::day_as_planned(job, next).expect("a day");
        let job = roomback::job::edited(job, &[roomback::job::Edit::Day(next, Some(Box::new(entry)))]);
        (desk::evening::evening(&job, next).expect("an evening"), job)
    };
    let (told, job) = evening(&with);
    let way = told.reasons.iter().find(|r| r.what == "a way taken").expect("a reason");
    let named: f64 = told.reasons.iter().map(|r| r.days).sum();
    assert!(way.days < -0.5 && (named - told.together).abs() < 0.5, "{told:?}");
    // Known by then, it is none of a later evening's; in a file that lacks the count its day tells.
    assert_eq!(told.ways, Some(1));
    for ways in [Some(1), None] {
        let mut later = job.clone();
        later.record.push(roomback::job::Evening { ways, ..told.clone() });
        let third = next.succ_opt().expect("a day");
        let (entry, _) = desk::evening::day_as_planned(&later, third).expect("a day");
        let later = roomback::job::edited(&later, &[roomback::job::Edit::Day(third, Some(Box::new(entry)))]);
        let told = desk::evening::evening(&later, third).expect("an evening");
        assert!(told.reasons.iter().all(|r| r.what != "a way taken"), "{told:?}");
    }
    // Without it there is no such reason.
    assert!(evening(&begun("no-way", "2027-05-11").job()).0.reasons.iter().all(|r| r.what != "a way taken"));
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
        let all = [&add[..], &["--hours", "3,4,6", "--before", "powder/finish/punch"], more].concat();
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
fn a_method_kept_gives_way_where_the_room_settles_it_another_way() {
    let s = crate::samples::sample("study");
    let mut job = s.sound.job.clone();
    let mut kept = roomback::search::keep(&s.sound.graph, &s.sound.setting, &s.found.plan.order, &job);
    let id = kept.methods.iter().find(|m| m.0.ends_with("/ceiling/crown")).expect("a choice").0.clone();
    kept.methods.iter_mut().filter(|m| m.0 == id).for_each(|m| m.1 = "after".into());
    job.kept = Some(kept);
    assert!(roomback::desk::judge(&job).is_ok());
    // Without a crown the ceiling is painted the one way there is.
    let (r, room) = job.rooms.iter().enumerate().find(|(_, r)| id.starts_with(&format!("{}/", r.id))).expect("a room");
    let crown = format!("{}/crown", room.id);
    let file = File::new("crown", "study");
    std::fs::write(file.path(), roomback::jobfile::write(&job)).expect("written");
    let asked = ["change", &file.path(), "--day", "2027-03-02", "--words", "no crown", "--drop", &crown, "--dry"];
    let out = call(&asked);
    assert_eq!(out.code, 0, "{}", out.text);
    // What he chose himself is no room's to settle.
    let mut own = job;
    let ceiling = own.rooms[r].surfaces.iter().position(|s| id.contains(&format!("/{}/", s.id))).expect("a ceiling");
    own.rooms[r].surfaces[ceiling].methods.push(("crown".into(), "before".into()));
    let said = roomback::desk::judge(&own).map(|_| ()).expect_err("two methods");
    assert!(said.iter().any(|p| p.what.contains("fixes another method")), "{said:?}");
}
