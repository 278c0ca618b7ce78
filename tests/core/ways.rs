//! Ways back: taken and taken back through the commands, and whether following the recommended
//! one does for the share on time what was said.

use roomback::clock::{At, DAY};
use roomback::desk::ways_back::{Asked, Effort, standing, ways_back};
use roomback::desk::{self, Sound};
use roomback::forecast::stats::Moments;
use roomback::job::{Job, LostCause, LostTime, Target, TargetKind};
use roomback::record::as_planned;
use roomback::search;

use crate::lived::live;
use crate::samples::sample;

/// The powder room on the evening of its third day, the day before lost, promised for the day that
/// is kept in about a third of the trials.
fn evening() -> Job {
    let s = sample("powder");
    let mut job = s.sound.job.clone();
    job.kept = Some(search::keep(&s.sound.graph, &s.sound.setting, &s.found.plan.order, &job));
    let entry = |d| as_planned(&job, &s.sound.graph, &s.sound.setting, &s.found.plan, d);
    let log: Vec<_> = (0..2).map(entry).filter(|d| !d.steps.is_empty()).collect();
    job.log = log;
    job.lost.push(LostTime {
        from: job.date_of(2),
        to: None,
        hours: None,
        who: String::new(),
        house: false,
        cause: LostCause::ChildIll,
        note: String::new(),
    });
    job.as_of = Some(job.time_of(At(3 * DAY)));
    let now = desk::judge(&job).expect("sound");
    let plan = now.plan(false).expect("a plan");
    let o = roomback::forecast::Options { trials: 500, seed: job.seed, cause_trials: 0 };
    let f = now.forecast(&plan, o).expect("odds");
    job.target = Some(Target { kind: TargetKind::Promised, day: job.date_of(f.day(0.35)) });
    job.promises.clear();
    job
}

#[test]
fn following_the_way_raises_the_share_on_time_as_was_said() {
    let job = evening();
    let effort = Effort { schedules: 60, first: 500, second: 12, trials: 2_000, most: 40, closer: 4 };
    let mut last = None;
    ways_back(&job, &Asked { effort, budget: None }, &|| false, &mut |a| last = Some(a.clone())).expect("sound");
    let answer = last.expect("an answer");
    let way = &answer.ways[answer.best.expect("a way")];
    let said = way.gain.expect("a day to make");
    assert!(said.value > 0.05, "{said:?}");
    let limit = (job.day_of(job.target.expect("a day").day) + 1) * DAY;
    let sound = |job: &Job| -> Sound { desk::judge(&Job { as_of: answer.job.as_of, ..job.clone() }).expect("sound") };
    let (not, follows) = (sound(&answer.job), sound(&way.job));
    let (a, b) = (not.plan(false).expect("a plan"), follows.plan(false).expect("a plan"));
    let worlds = 300u64;
    let won = (0..worlds).map(|w| {
        let seed = 77_003 + 11 * w;
        let on_time = |s: &Sound, f| f64::from(u8::from(live(s, f, seed).plan.finish.0 <= limit));
        on_time(&follows, &b) - on_time(&not, &a)
    });
    let won: Vec<f64> = won.collect();
    let lived = Moments::of(won.into_iter());
    // Both are shares with their own errors; three of them together leave 3 in 1,000 outside.
    let error = ((said.high - said.value) / 1.96).hypot(lived.error());
    assert!((lived.mean - said.value).abs() <= 3.0 * error, "said {said:?}, lived {lived:?}");
    assert!(lived.mean > 0.0, "{lived:?}");
    // The job as it stands is what every way was measured against.
    let (now, _) = standing(&job, &|| false).expect("sound").expect("a plan");
    assert_eq!(Job { kept: None, ..now.job }, Job { kept: None, ..(*answer.job).clone() });
}

/// A small hall, done by one person.
const HALL: &str = r#"(
    format: 1,
    name: "Back hall",
    client: "T. Aldous",
    start: "2027-03-01",
    target: (kind: promised, day: "2027-03-08"),
    promises: [(day: "2027-03-08", made_on: "2027-02-20", confidence: 0.8, chance: 0.8)],
    crew: [(id: "noor", name: "Noor", cost: 40)],
    places: [(id: "hall", name: "hall", work_air: (temp_f: 62, rh: 50), off_air: (temp_f: 58, rh: 50))],
    steps: [
        (id: "sand", name: "Sand the trim", place: "hall", hours: (8, 11, 15), trade: "prep", flags: (dusty: true, set_down: true)),
        (id: "prime", name: "Prime", place: "hall", hours: (3, 4, 6), trade: "paint", flags: (one_go: true), pieces: 2,
            leaves: (product: "primer"), needs: [(step: "sand")]),
        (id: "coat-1", name: "First coat", place: "hall", hours: (4, 5, 7), trade: "paint", flags: (one_go: true), pieces: 2,
            leaves: (product: "enamel-slow"), needs: [(step: "prime", dry: recoat)]),
        (id: "coat-2", name: "Second coat", place: "hall", hours: (4, 5, 7), trade: "paint", flags: (one_go: true), pieces: 2,
            leaves: (product: "enamel-slow"), needs: [(step: "coat-1", dry: recoat)]),
        (id: "hooks", name: "Hang the hooks", place: "hall", hours: (1, 2, 3), trade: "carpentry",
            needs: [(step: "coat-2", dry: handle)]),
    ],
)
"#;

struct File(std::path::PathBuf);

impl File {
    fn new(name: &str, text: &str) -> File {
        let dir = std::env::temp_dir().join(format!("roomback-ways-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&dir);
        std::fs::create_dir_all(&dir).expect("a folder");
        std::fs::write(dir.join("hall.ron"), text).expect("written");
        File(dir)
    }
    fn text(&self) -> String {
        std::fs::read_to_string(self.0.join("hall.ron")).expect("read")
    }
    fn call(&self, command: &str, args: &[&str]) -> (u8, String) {
        let path = self.0.join("hall.ron").display().to_string();
        let out = roomback::cli::run(["roomback", command, &path].into_iter().chain(args.iter().copied()));
        (out.code, out.text)
    }
    fn json(&self, args: &[&str]) -> serde_json::Value {
        let (code, text) = self.call("ways-back", args);
        assert_eq!(code, 0, "{text}");
        serde_json::from_str(&text).expect("JSON")
    }
}

impl Drop for File {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

#[test]
fn a_way_is_taken_and_taken_back_and_what_was_logged_since_stays() {
    let hall = File::new("take", HALL);
    let log = |f: &File, args: &[&str]| {
        let (code, text) = f.call("log", args);
        assert_eq!(code, 0, "{text}");
    };
    log(&hall, &["--day", "2027-03-01", "--nothing", "--cause", "illness"]);
    let plain = File::new("plain", &hall.text());
    let v = hall.json(&["--json"]);
    let ways = v["ways"].as_array().expect("a list").clone();
    assert!(!ways.is_empty() && v["taken"] == serde_json::json!([]), "{v:#}");
    assert!(v["chance_of_target"]["value"].as_f64().expect("a chance") < 0.8, "{v:#}");
    for w in &ways {
        let cost: i64 = w["cost"].as_array().expect("lines").iter().map(|l| l["cents"].as_i64().expect("cents")).sum();
        assert_eq!(w["cents"].as_i64(), Some(cost));
        assert!(w["gain"]["low"].as_f64() <= w["gain"]["value"].as_f64() && w["searched"] == true, "{w:#}");
    }
    // As it was shown, so it is taken.
    let best = v["best"].as_i64().expect("a best").to_string();
    let (code, said) = hall.call("ways-back", &["--take", &best]);
    assert_eq!(code, 0, "{said}");
    let words = ways[best.parse::<usize>().expect("a number") - 1]["words"].as_str().expect("words").to_string();
    assert!(said.starts_with(&format!("Taken: {words}")), "{said}");
    let (code, checked) = hall.call("check", &[]);
    assert_eq!(code, 0, "{checked}");
    let taken = desk::open(&hall.text()).expect("a job").read.job.taken;
    assert!(taken.len() == 1 && taken[0].words == words && taken[0].day.to_string() == "2027-03-01");
    let chance = |f: &File| {
        let (code, text) = f.call("forecast", &["--json", "--trials", "2000"]);
        assert_eq!(code, 0, "{text}");
        let v: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        v["target"]["chance"].as_f64().or(v["chance_of_target"].as_f64()).unwrap_or(-1.0)
    };
    let (with, without) = (chance(&hall), chance(&plain));
    assert!(with > without, "{without} to {with}");
    for f in [&hall, &plain] {
        log(f, &["--day", "2027-03-02", "--step", "sand", "--hours", "5"]);
    }
    assert_ne!(hall.text(), plain.text());
    let (code, back) = hall.call("ways-back", &["--take-back", "1"]);
    assert_eq!(code, 0, "{back}");
    assert_eq!(hall.text(), plain.text());
    let (code, none) = hall.call("ways-back", &["--take-back", "1"]);
    assert!(code == 2 && none.contains("none was taken"), "{none}");
    assert_eq!(hall.text(), plain.text());
}

#[test]
fn what_was_changed_since_is_asked_about_and_a_wrong_number_writes_nothing() {
    let hall = File::new("changed", HALL);
    let (code, text) = hall.call("ways-back", &["--take", "99"]);
    assert!(code == 2 && text.contains("no way 99"), "{text}");
    assert_eq!(hall.text(), HALL);
    let (code, _) = hall.call("ways-back", &["--take", "1", "--message"]);
    assert_eq!(code, 2);
    let mut job = desk::open(HALL).expect("a job").sound.expect("sound").job;
    let mut after = job.clone();
    after.places[0].fan = true;
    let way = roomback::job::Edit::taking(&job, &after, job.start, "a fan".into(), 3_500);
    job = roomback::job::edited(&job, &[way]);
    job.places[0].racks = Some(2);
    let hall = File::new("changed", &roomback::jobfile::write(&job));
    let before = hall.text();
    let (code, text) = hall.call("ways-back", &["--take-back", "1"]);
    assert!(code == 2 && text.contains("hall changed since") && hall.text() == before, "{text}");
    let (code, text) = hall.call("ways-back", &["--take-back", "1", "--anyway"]);
    assert_eq!(code, 0, "{text}");
    let back = desk::open(&hall.text()).expect("a job").read.job;
    assert!(!back.places[0].fan && back.taken.is_empty());
}

#[test]
fn the_message_says_day_reason_and_two_prices_and_nothing_of_his() {
    let hall = File::new("message", HALL);
    let (code, text) = hall.call("log", &["--day", "2027-03-01", "--nothing", "--cause", "illness"]);
    assert_eq!(code, 0, "{text}");
    let v = hall.json(&["--message", "--json"]);
    let text = v["text"].as_str().expect("a text");
    assert!(text.starts_with("Dear T. Aldous,") && text.contains("illness cost a day"), "{text}");
    let choices = v["choices"].as_array().expect("choices");
    assert_eq!(choices.len(), 2, "{text}");
    for c in choices {
        let d = c["extra_dollars"].as_i64().expect("dollars");
        assert!(if d == 0 { text.contains("no extra") } else { text.contains("an extra of $") }, "{text}");
    }
    for never in ["hour", "rate", "Noor", "%", "chance", "cost him", "frontier", "lever"] {
        assert!(!text.contains(never), "{never} in: {text}");
    }
    // No day, no way back to it.
    let free = File::new(
        "free",
        &HALL
            .replace("    target: (kind: promised, day: \"2027-03-08\"),\n", "")
            .lines()
            .filter(|l| !l.contains("promises:"))
            .collect::<Vec<_>>()
            .join("\n"),
    );
    let (code, text) = free.call("ways-back", &["--budget", "0"]);
    assert!(
        code == 0 && text.contains("No day is asked for or promised") && text.contains("Ways to be safer"),
        "{text}"
    );
    assert!(!text.contains('$'), "{text}");
}
