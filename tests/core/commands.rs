//! The text commands, driven as a person types them.

use std::path::{Path, PathBuf};

use roomback::cli::{Output, run};
use serde_json::Value;

/// A small job with a published network: A. Kucharski, R package critpath 0.2.2 (CRAN),
/// vignette: most likely path A-B-E-H-I, mean 31, sd 1.490712.
const NETWORK: &str = r#"(
    format: 1,
    name: "a network",
    start: "2027-03-01",
    study: (unit_minutes: 10000),
    steps: [
        (id: "A", hands: none, duration: (scheme: beta_pert, values: [3, 5, 7])),
        (id: "B", hands: none, duration: (scheme: beta_pert, values: [5, 7, 9]), needs: [(step: "A")]),
        (id: "C", hands: none, duration: (scheme: beta_pert, values: [5, 5, 8]), needs: [(step: "B")]),
        (id: "D", hands: none, duration: (scheme: beta_pert, values: [1, 6, 8]), needs: [(step: "B")]),
        (id: "E", hands: none, duration: (scheme: beta_pert, values: [6, 8, 10]), needs: [(step: "B")]),
        (id: "F", hands: none, duration: (scheme: beta_pert, values: [2, 6, 7]), needs: [(step: "C")]),
        (id: "G", hands: none, duration: (scheme: beta_pert, values: [5, 6, 7]), needs: [(step: "D")]),
        (id: "H", hands: none, duration: (scheme: beta_pert, values: [3, 5, 7]), needs: [(step: "E")]),
        (id: "I", hands: none, duration: (scheme: beta_pert, values: [4, 6, 8]),
         needs: [(step: "F"), (step: "G"), (step: "H")]),
    ],
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

fn sample(name: &str) -> String {
    format!("{}/sample-jobs/{name}.ron", env!("CARGO_MANIFEST_DIR"))
}

/// A folder of this test's own.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Folder {
        let dir = std::env::temp_dir().join(format!("roomback-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&dir);
        std::fs::create_dir_all(&dir).expect("a folder");
        Folder(dir)
    }
    fn file(&self, name: &str, text: &str) -> String {
        let path = self.0.join(name);
        std::fs::write(&path, text).expect("written");
        path.display().to_string()
    }
    fn path(&self, name: &str) -> String {
        self.0.join(name).display().to_string()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn names(v: &Value) -> Vec<&str> {
    v.as_object().expect("an object").keys().map(String::as_str).collect()
}

#[track_caller]
fn has(v: &Value, wanted: &[&str]) {
    let there = names(v);
    for w in wanted {
        assert!(there.contains(w), "no `{w}` among {there:?}");
    }
}

#[test]
fn every_sample_is_without_problems() {
    for name in ["study", "hall", "nursery", "powder", "house"] {
        let out = call(&["check", &sample(name)]);
        assert_eq!(out.code, 0, "{}", out.text);
        assert!(out.text.ends_with("no problems\n"), "{}", out.text);
    }
    let v = json(&["check", &sample("powder"), "--json"]);
    assert_eq!(v, serde_json::json!({"problems": []}));
}

#[test]
fn problems_are_printed_by_every_command_and_end_in_one() {
    let dir = Folder::new("problems");
    let text = std::fs::read_to_string(sample("powder")).unwrap();
    let broken = text.replacen("confidence: 0.8", "confidence: 8", 1).replacen("recipe: \"", "recipe: \"x", 1);
    assert_ne!(broken, text);
    let job = dir.file("broken.ron", &broken);
    for command in ["check", "takeoff", "measure", "plan", "forecast"] {
        let out = call(&[command, &job]);
        assert_eq!(out.code, 1, "{command}: {}", out.text);
        assert!(out.text.contains("broken.ron:"), "{command}: {}", out.text);
        let out = call(&[command, &job, "--json"]);
        let v: Value = serde_json::from_str(&out.text).unwrap();
        let problems = v["problems"].as_array().unwrap();
        assert!(out.code == 1 && !problems.is_empty(), "{command}: {v}");
        for p in problems {
            assert_eq!(names(p), ["line", "col", "path", "what", "remedy"]);
            assert!(p["line"].as_u64().unwrap() > 1 && p["col"].as_u64().unwrap() > 0);
        }
    }
}

#[test]
fn a_text_that_is_no_job_file_names_line_column_and_what_was_expected() {
    let dir = Folder::new("syntax");
    let job = dir.file("syntax.ron", "(\n    format: 1,\n    name: [\"study\",\n)\n");
    let out = call(&["check", &job]);
    assert_eq!(out.code, 1);
    assert!(out.text.contains("syntax.ron:4:1  expected "), "{}", out.text);
    let out = call(&["plan", &job, "--json"]);
    let v: Value = serde_json::from_str(&out.text).unwrap();
    assert_eq!((out.code, &v["problems"][0]["line"]), (1, &Value::from(4)));
    assert!(v["problems"][0]["what"].as_str().unwrap().starts_with("expected "));
}

#[test]
fn a_file_that_is_not_there_and_a_wrong_call_end_in_two() {
    for command in ["check", "takeoff", "measure", "plan", "forecast"] {
        let out = call(&[command, "/no/such/job.ron"]);
        assert_eq!(out.code, 2);
        assert!(out.text.contains("/no/such/job.ron is not there"), "{}", out.text);
    }
    assert_eq!(call(&["forecast", &sample("powder"), "--confidence", "80"]).code, 2);
    assert_eq!(call(&["forecast", &sample("powder"), "--trials", "0"]).code, 2);
    assert_eq!(call(&["plan", &sample("powder"), "--by", "30"]).code, 2);
    assert_eq!(call(&["nothing"]).code, 2);
    assert_eq!(call(&["--help"]).code, 0);
}

#[test]
fn new_writes_the_job_of_four_answers() {
    let dir = Folder::new("answers");
    let job = dir.path("den.ron");
    let line = "den 13' x 11' x 8', door 32x80";
    let out = call(&["new", &job, "--room", line, "--work", "panelled", "--start", "1 Mar 2027", "--by", "2027-04-30"]);
    assert_eq!(out.code, 0, "{}", out.text);
    let text = std::fs::read_to_string(&job).unwrap();
    assert!(text.contains("2027-03-01") && text.contains("2027-04-30") && text.contains("panels-shop-built"), "{text}");
    assert_eq!(call(&["check", &job]).code, 0);
    for (wrong, said) in [
        (vec!["new", "--work", "nothing"], "repaint-all: "),
        (vec!["new", "--room", "as large as the other"], "--room: "),
        (vec!["new", "--start", "soon"], "\"soon\" is not a day"),
        (vec!["new", "--start", "2027-03-01", "--by", "2027-02-01"], "before work begins"),
    ] {
        let out = call(&wrong);
        assert!(out.code == 2 && out.text.contains(said), "{wrong:?}: {}", out.text);
    }
}

#[test]
fn new_writes_a_sound_job_once() {
    let dir = Folder::new("new");
    let job = dir.path("bedroom.ron");
    assert_eq!(call(&["new", &job]).code, 0);
    assert_eq!(call(&["check", &job]).code, 0, "{}", call(&["check", &job]).text);
    let text = std::fs::read_to_string(&job).unwrap();
    assert_eq!(call(&["new"]).text, text);
    std::fs::write(&job, "mine").unwrap();
    let out = call(&["new", &job]);
    assert_eq!(out.code, 2);
    assert!(out.text.contains("is there already"), "{}", out.text);
    assert_eq!(std::fs::read_to_string(&job).unwrap(), "mine");
}

#[test]
fn take_off_has_a_formula_and_a_place_for_every_quantity() {
    let v = json(&["takeoff", &sample("study"), "--json"]);
    let rooms = v["rooms"].as_array().unwrap();
    let gross = rooms[0]["quantities"].as_array().unwrap().iter().find(|q| q["name"] == "walls, gross").unwrap();
    // 2 x (13' + 11'6) x 8'4 = 408.33 SF.
    assert_eq!(gross["printed"], "408 SF");
    assert!((gross["value"].as_f64().unwrap() - 49.0 * 100.0 / 12.0).abs() < 1e-9);
    for r in rooms {
        assert!(r["source"]["line"].as_u64().unwrap() > 1);
        for q in r["quantities"].as_array().unwrap() {
            has(q, &["id", "name", "value", "unit", "printed", "formula", "parts"]);
            assert!(!q["formula"].as_str().unwrap().is_empty() || q["value"] == 0.0, "{q}");
        }
    }
}

#[test]
fn plan_has_its_stable_names() {
    let v = json(&["plan", &sample("powder"), "--json"]);
    has(&v, &["clean_run", "bound", "proven", "gap", "holds_date", "steps", "problems"]);
    let steps = v["steps"].as_array().unwrap();
    let wanted = [
        "id",
        "name",
        "room",
        "surface",
        "place",
        "who",
        "start",
        "end",
        "labor_h",
        "float_minutes",
        "held_by",
        "ready",
        "stands",
    ];
    for s in steps {
        assert_eq!(names(s), wanted);
    }
    let last = steps.iter().filter(|s| s["labor_h"] != 0.0).map(|s| s["end"].as_str().unwrap()).max().unwrap();
    assert_eq!(v["clean_run"], last);
    assert!(v["bound"].as_str().unwrap() <= last);
    assert!((0.0..1.0).contains(&v["gap"].as_f64().unwrap()));
    let holds = v["holds_date"].as_array().unwrap();
    assert!(!holds.is_empty());
    for h in holds {
        has(h, &["step", "start", "reason", "sentence"]);
    }
    let words = call(&["plan", &sample("powder")]);
    for part in ["Clean run: ", "What holds the date", " of labor"] {
        assert!(words.text.contains(part), "{}", words.text);
    }
}

#[test]
fn forecast_has_its_stable_names_and_reads_its_own_trials_right() {
    let v = json(&["forecast", &sample("powder"), "--trials", "600", "--json"]);
    assert_eq!(v["trials"], 1000, "rounded up to blocks of 500");
    has(
        &v,
        &[
            "clean_run",
            "likely_day",
            "safe_day",
            "confidence",
            "target",
            "chance_of_target",
            "chance_error",
            "finish_p50",
            "finish_p80",
            "finish_p90",
            "finish_p50_interval",
            "finish_p80_interval",
            "finish_p90_interval",
            "finish_mean_elapsed_h",
            "finish_mean_elapsed_h_interval",
            "finish_sd_elapsed_h",
            "finish_sd_elapsed_h_interval",
            "labor_mean_h",
            "labor_p80_h",
            "by_day",
            "causes",
            "on_date",
            "seed",
        ],
    );
    assert!(v["finish_p80"].as_str().unwrap().starts_with(v["safe_day"].as_str().unwrap()));
    assert!(v["finish_p50"].as_str().unwrap().starts_with(v["likely_day"].as_str().unwrap()));
    let by_day = v["by_day"].as_array().unwrap();
    let safe = by_day.iter().find(|d| d["day"] == v["safe_day"]).unwrap();
    assert!(safe["chance"].as_f64().unwrap() >= 0.8);
    assert_eq!(by_day.last().unwrap()["chance"], 1.0);
    let i = &v["finish_p80_interval"];
    assert!(i["low"].as_str() <= v["finish_p80"].as_str() && v["finish_p80"].as_str() <= i["high"].as_str());
    let later = json(&["forecast", &sample("powder"), "--trials", "1000", "--confidence", "0.95", "--json"]);
    assert!(later["safe_day"].as_str() >= v["safe_day"].as_str());
    assert_eq!(later["finish_p90"], v["finish_p90"], "confidence re-reads the same trials");
    let other = json(&["forecast", &sample("powder"), "--trials", "1000", "--seed", "977", "--json"]);
    assert_eq!(other["seed"], 977);
    assert_ne!(other["finish_mean_elapsed_h"], v["finish_mean_elapsed_h"]);
}

#[test]
fn a_line_of_the_measure_sheet_is_echoed_or_asked_about() {
    let out = call(&["measure", "study 13' x 11'6 x 8'4, door 32x80"]);
    let want = "Study: 13' x 11'6\", 8'4\" high; one door 2'8\" x 6'8\"; 49' of wall, 149.5 SF of floor\n\n\
                Study 13' x 11'6 x 8'4, door 32x80\n";
    assert_eq!((out.text.as_str(), out.code), (want, 0));
    let out = call(&["measure", "study 13 x 11 x 8, dor 32x80"]);
    let want = "study 13 x 11 x 8, dor 32x80\n                   ^^^^^^^^^  What is \"dor 32x80\"?\n  \
                study 13 x 11 x 8, door 32x80\n  study 13 x 11 x 8\n";
    assert_eq!((out.text.as_str(), out.code), (want, 1));
    let v = json(&["measure", "den 4,2 x 3,6 x 2,5", "--metric", "--json"]);
    assert_eq!(names(&v), ["name", "echo", "line", "questions"]);
    assert_eq!((&v["line"], &v["questions"]), (&Value::from("Den 4.2 x 3.6 x 2.5"), &serde_json::json!([])));
    let out = call(&["measure", "den 13 x 11 x 2", "--json"]);
    let v: Value = serde_json::from_str(&out.text).unwrap();
    assert_eq!(out.code, 1);
    assert_eq!(names(&v["questions"][0]), ["from", "to", "text", "ask", "offers"]);
    assert_eq!((&v["name"], &v["questions"][0]["from"]), (&Value::Null, &Value::from(14)));
    for odd in ["", "\u{0}", "x".repeat(3000).as_str()] {
        assert_eq!(call(&["measure", odd]).code, 1, "{odd:?}");
    }
}

#[test]
fn a_job_is_printed_as_lines_that_read_back() {
    let out = call(&["measure", &sample("study")]);
    assert_eq!(out.code, 0);
    assert_eq!(
        out.text,
        "Study 13' x 11'6 x 8'4, door 32x80 wall 2, 2 windows 36x54, 2 boxes wall 1, 1 box wall 2, 2 boxes wall 3, \
         6 holes, 8' of cracks\n"
    );
    for name in ["study", "hall", "nursery", "powder", "house"] {
        let v = json(&["measure", &sample(name), "--json"]);
        has(&v, &["job", "units", "rooms"]);
        for room in v["rooms"].as_array().unwrap() {
            let line = room["line"].as_str().unwrap();
            let metric = v["units"] == "metric";
            let mut args = vec!["measure", line, "--json"];
            args.extend(metric.then_some("--metric"));
            assert_eq!(json(&args)["line"], line, "{name}");
        }
    }
}

#[test]
fn forecast_reads_in_the_words_of_the_trade() {
    let out = call(&["forecast", &sample("powder"), "--trials", "500"]);
    assert_eq!(out.code, 0, "{}", out.text);
    for part in [
        "Likely",
        "Safe to promise",
        "Clean run",
        "Days in hand",
        "What is eating the date",
        "Labor: ",
        "500 trials",
        "about ",
        "local code and licensed practice win",
    ] {
        assert!(out.text.contains(part), "no {part:?} in\n{}", out.text);
    }
}

#[test]
fn without_arguments_the_sample_is_forecast() {
    let out = call(&[]);
    assert_eq!(out.code, 0, "{}", out.text);
    assert!(out.text.starts_with("The bundled sample job, sample-jobs/study.ron"));
    for part in ["Safe to promise", "10,000 trials", "roomback new "] {
        assert!(out.text.contains(part), "no {part:?} in\n{}", out.text);
    }
}

#[test]
fn apply_keeps_the_order_and_the_old_text() {
    let dir = Folder::new("apply");
    let text = std::fs::read_to_string(sample("powder")).unwrap();
    let job = dir.file("powder.ron", &text);
    let before = json(&["plan", &job, "--json"]);
    let out = call(&["plan", &job, "--apply"]);
    assert_eq!(out.code, 0, "{}", out.text);
    assert!(out.text.contains("is written; the text before is in"), "{}", out.text);
    assert!(std::fs::read_to_string(&job).unwrap().contains("kept: ("));
    assert_eq!(std::fs::read_to_string(dir.path("powder.ron.bak")).unwrap(), text);
    assert_eq!(std::fs::read_to_string(dir.path("powder.with-comments.ron")).unwrap(), text);
    let after = json(&["plan", &job, "--json"]);
    assert_eq!(after["clean_run"], before["clean_run"]);
    let again = call(&["plan", &job, "--apply"]);
    assert!(again.text.contains("keeps this order already"), "{}", again.text);
    let searched = json(&["plan", &job, "--search", "--json"]);
    has(&searched, &["offer"]);
}

#[test]
fn a_published_network_is_read_in_its_own_units() {
    let dir = Folder::new("network");
    let job = dir.file("network.ron", NETWORK);
    let v = json(&["plan", &job, "--by", "30", "--json"]);
    let cpm = &v["cpm"];
    // The vignette's figures, as in the tests of the networks themselves.
    assert_eq!(cpm["duration"], 31.0);
    assert_eq!(cpm["critical_path"], serde_json::json!(["A", "B", "E", "H", "I"]));
    let pert = &cpm["pert"];
    assert_eq!(pert["mean"], 31.0);
    assert!((pert["sd"].as_f64().unwrap() - 1.490712).abs() < 5e-7);
    assert!((pert["chance"].as_f64().unwrap() - 0.2511675).abs() < 5e-8);
    let f = json(&["forecast", &job, "--trials", "2000", "--json"]);
    let u = &f["finish_in_units"];
    has(u, &["mean", "sd", "p50", "p80", "p90"]);
    // Paths that merge make the true mean a little later than 31, by less than one sd.
    let mean = u["mean"].as_f64().unwrap();
    assert!(mean > 30.9 && mean < 32.5, "{mean}");
}

#[test]
fn no_bytes_make_a_command_panic() {
    let dir = Folder::new("bytes");
    for (i, text) in ["", "(", "()", "(format: 1)", "\u{0}", "(rooms: [()])", "(format: 99)"].iter().enumerate() {
        let job = dir.file(&format!("{i}.ron"), text);
        for command in ["check", "takeoff", "measure", "plan", "forecast"] {
            assert_ne!(call(&[command, &job]).code, 2, "{text:?}");
        }
    }
    std::fs::write(Path::new(&dir.path("raw.ron")), [0xff, 0xfe, 0x00]).unwrap();
    assert_eq!(call(&["check", &dir.path("raw.ron")]).code, 2);
}
