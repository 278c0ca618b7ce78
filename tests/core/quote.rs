//! Options and promises by the text commands, and how a job file says them.

use roomback::cli::{Output, run};
use roomback::job::TargetKind;
use roomback::{desk, jobfile};
use serde_json::Value;

/// A small job; `MORE` takes the fields of a test.
const JOB: &str = r#"(
    format: 1,
    name: "one wall",
    start: "2027-03-01",
    target: (kind: asked, day: "2027-03-05"),
    crew: [(id: "ilse", name: "Ilse")],
    places: [(id: "den", name: "den", kind: room)],
    rooms: [(
        id: "den", name: "Den", place: "den", size: (length: "12'", width: "10'", height: "8'"),
        surfaces: [(id: "base", part: base, recipe: "base-and-shoe")],
    )],
    MORE
)
"#;

fn call(args: &[&str]) -> Output {
    run(std::iter::once("roomback").chain(args.iter().copied()))
}

#[track_caller]
fn json(args: &[&str]) -> Value {
    let out = call(args);
    assert_eq!(out.code, 0, "{}", out.text);
    serde_json::from_str(&out.text).expect("JSON")
}

/// A file of one test's own, gone with it.
struct File(std::path::PathBuf);

impl File {
    fn new(name: &str, more: &str) -> File {
        let dir = std::env::temp_dir().join(format!("roomback-quote-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&dir);
        std::fs::create_dir_all(&dir).expect("a folder");
        std::fs::write(dir.join("job.ron"), JOB.replace("MORE", more)).expect("written");
        File(dir)
    }
    fn path(&self) -> String {
        self.0.join("job.ron").display().to_string()
    }
    fn text(&self) -> String {
        std::fs::read_to_string(self.0.join("job.ron")).expect("a file")
    }
}

impl Drop for File {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

const SLOW: &str = r#"option: "quick", options: [(name: "slow", crew: [(id: "ilse", name: "Ilse", pace: 0.4)])],"#;

#[test]
fn options_stand_side_by_side_and_each_is_the_forecast_of_its_job() {
    let file = File::new("options", SLOW);
    let v = json(&["options", &file.path(), "--json"]);
    let all = v["options"].as_array().expect("options");
    assert_eq!((all.len(), &all[0]["name"], &all[1]["name"]), (2, &"quick".into(), &"slow".into()));
    assert_eq!(all[1]["differs_in"], serde_json::json!(["crew"]));
    // At four tenths of the pace the work takes longer.
    let time = |i: usize, what: &str| all[i][what].as_str().expect("a time").to_string();
    assert!(time(1, "clean_run") > time(0, "clean_run") && time(1, "safe_day") >= time(0, "safe_day"));
    // The option is what a job of its own says.
    let job = desk::option_job(&desk::open(&file.text()).expect("reads").read.job, 0);
    let own = File::new("own", "");
    std::fs::write(own.0.join("job.ron"), jobfile::write(&job)).expect("written");
    let f = json(&["forecast", &own.path(), "--json"]);
    for name in ["clean_run", "likely_day", "safe_day", "chance_of_target"] {
        assert_eq!(f[name], all[1][name], "{name}");
    }
    let text = call(&["options", &file.path()]).text;
    assert!(text.contains("quick") && text.contains(": Ilse at pace 0.4"), "{text}");
}

#[test]
fn what_is_wrong_in_an_option_is_said_at_its_place() {
    let problems = |more: &str| -> Vec<(String, String)> {
        let text = JOB.replace("MORE", more);
        let read = desk::open(&text).expect("a job file").read;
        assert!(read.map.place(&read.problems[0].path).0 > 1);
        read.problems.into_iter().map(|p| (p.path, p.what)).collect()
    };
    let one = problems(r#"options: [(name: "a", crew: [(id: "ilse", cost: 5000)])],"#);
    assert_eq!(one[0].0, "options[0].crew[0].cost");
    let one = problems(r#"options: [(name: "a", places: [(id: "shop")])],"#);
    assert!(one.iter().any(|p| p.0.starts_with("options[0]") && p.1.contains("\"a\"")), "{one:?}");
    let one = problems(r#"options: [(name: "a", romos: [])],"#);
    assert!(one[0].1.contains("romos"), "{one:?}");
    let one = problems(r#"options: [(name: ""), (name: "b"), (name: "c")],"#);
    assert!(one.iter().any(|p| p.0 == "options" && p.1.contains("at most 2")), "{one:?}");
    assert!(one.iter().any(|p| p.0 == "options[0].name"), "{one:?}");
    // A fault of the job is said once, not for each option again.
    let one = problems(r#"options: [(name: "a")], holds: [(step: "den/bse/hang", until: done("den/base/hang"))],"#);
    assert!(one.iter().all(|p| p.0.starts_with("holds[0]")), "{one:?}");
}

#[test]
fn an_option_is_written_only_where_it_differs() {
    let job = desk::open(&JOB.replace("MORE", SLOW)).expect("reads").read.job;
    let text = jobfile::write(&job);
    assert_eq!(text.matches("surfaces:").count(), 1, "{text}");
    assert_eq!(text.matches("pace:").count(), 1, "{text}");
    assert_eq!(desk::open(&text).expect("reads").read.job, job);
}

#[test]
fn a_promise_is_made_written_and_followed_only_with_a_reason() {
    let file = File::new("promise", "");
    let days = json(&["promise", &file.path(), "--json"]);
    let safe = days["safe_day"].as_str().expect("a day").to_string();
    assert!(days["days"].as_array().expect("days").iter().any(|d| d["day"] == safe.as_str()));
    assert!(call(&["promise", &file.path()]).text.contains("safe to promise"));
    let before = json(&["forecast", &file.path(), "--json"]);
    let made = json(&["promise", &file.path(), "--day", &safe, "--json"]);
    assert!(made["chance"].as_f64().expect("a chance") >= 0.8 && made["applied"]["changed"] == true);
    let job = desk::open(&file.text()).expect("reads").read.job;
    assert_eq!(job.target.map(|t| t.kind), Some(TargetKind::Promised));
    assert!(job.kept.is_some() && job.promises[0].kept == job.kept && job.promises[0].reason.is_empty());
    // The order is that of the forecast before, and so are the odds.
    let after = json(&["forecast", &file.path(), "--json"]);
    assert_eq!((&after["clean_run"], &after["finish_p80"]), (&before["clean_run"], &before["finish_p80"]));
    assert_eq!(after["target"]["kind"], "promised");
    // Followed by another only with a reason, never by the same.
    let text = file.text();
    let out = call(&["promise", &file.path(), "--day", "2027-04-02"]);
    assert!(out.code == 2 && out.text.contains("--reason"), "{}", out.text);
    assert_eq!(call(&["promise", &file.path(), "--day", &safe, "--reason", "none"]).code, 2);
    assert_eq!(file.text(), text, "nothing was written");
    let out = call(&["promise", &file.path(), "--day", "2027-04-02", "--reason", "a shelf more"]);
    assert!(out.code == 0 && out.text.contains("replaced") && out.text.contains("a shelf more"), "{}", out.text);
    let job = desk::open(&file.text()).expect("reads").read.job;
    assert_eq!((job.promises.len(), job.promises[1].reason.as_str()), (2, "a shelf more"));
    assert_eq!(call(&["promise", &file.path(), "--day", "2026-01-01"]).code, 2);
}

#[test]
fn a_promise_the_clients_day_gainsays_is_a_problem() {
    let more = r#"promises: [(day: "2027-03-09", made_on: "2027-02-20", confidence: 0.8, chance: 0.85)],"#;
    let said = |text: &str| {
        let read = desk::open(text).expect("a job file").read;
        read.problems.into_iter().map(|p| p.path).collect::<Vec<_>>()
    };
    let text = JOB.replace("MORE", more);
    assert_eq!(said(&text), ["target"]);
    let right = text.replace("(kind: asked, day: \"2027-03-05\")", "(kind: promised, day: \"2027-03-09\")");
    assert!(said(&right).is_empty());
    let earlier = more.replace("],", r#", (day: "2027-03-09", made_on: "2027-02-01", confidence: 0.8, chance: 0.9)],"#);
    assert_eq!(said(&right.replace(more, &earlier)), ["promises[1].made_on"]);
    // Withdrawn: of the day promised before, with a reason, and no longer the client's day.
    let gone = |day: &str, more: &str| {
        format!(r#", (day: "{day}", made_on: "2027-02-22", confidence: 0.8, chance: 0.6, withdrawn: true{more})],"#)
    };
    let with = |text: &str, day: &str, reason: &str| said(&text.replace(more, &more.replace("],", &gone(day, reason))));
    let why = r#", reason: "a wall is wet""#;
    assert!(with(&text, "2027-03-09", why).is_empty());
    assert_eq!(with(&right, "2027-03-09", why), ["target"]);
    assert_eq!(with(&text, "2027-03-10", why), ["promises[1].day"]);
    assert_eq!(with(&text, "2027-03-09", ""), ["promises[1].reason"]);
}

#[test]
fn a_promise_is_withdrawn_by_command_with_a_reason() {
    let file = File::new("withdraw", "");
    let before = desk::open(&file.text()).expect("reads").read.job;
    let refused = |args: &[&str], word: &str| {
        let text = file.text();
        let out = call(args);
        assert!(out.code == 2 && out.text.contains(word), "{}", out.text);
        assert_eq!(file.text(), text, "nothing was written");
    };
    refused(&["promise", &file.path(), "--withdraw", "--reason", "a wall is wet"], "nothing is promised");
    assert_eq!(call(&["promise", &file.path(), "--day", "2027-04-02"]).code, 0);
    refused(&["promise", &file.path(), "--withdraw"], "--reason");
    refused(&["promise", &file.path(), "--withdraw", "--day", "2027-04-05"], "cannot be used with");
    let plan = |v: &Value| v["clean_run"].clone();
    let promised = json(&["forecast", &file.path(), "--json"]);
    let out = call(&["promise", &file.path(), "--withdraw", "--reason", "a wall is wet"]);
    assert!(out.code == 0 && out.text.contains("Withdrawn: Fri 2 Apr 2027"), "{}", out.text);
    assert!(out.text.contains("withdrawn since") && out.text.contains(": a wall is wet"), "{}", out.text);
    let job = desk::open(&file.text()).expect("reads").read.job;
    assert_eq!((job.target, job.promises.len(), job.promise()), (before.target, 2, None));
    assert!(job.promises[1].withdrawn && job.kept.is_some());
    let after = json(&["forecast", &file.path(), "--json"]);
    assert_eq!((plan(&after), &after["target"]["kind"]), (plan(&promised), &Value::from("asked")));
    let page = json(&["show", &file.path(), "--json"]);
    assert_eq!((&page["promised"], &page["day"]), (&Value::from(false), &after["safe_day"]));
    let listed = json(&["promise", &file.path(), "--json"]);
    assert_eq!(listed["promises"][1]["withdrawn"], true);
    // Promised anew without a reason: there is nothing to change.
    assert_eq!(call(&["promise", &file.path(), "--day", "2027-04-05"]).code, 0);
    refused(&["promise", &file.path(), "--day", "2027-04-06"], "--reason");
}
