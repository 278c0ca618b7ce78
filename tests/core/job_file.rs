//! The job file against the ron crate, against itself, and against any bytes.

use chrono::NaiveDate;
use proptest::prelude::*;
use roomback::job::*;
use roomback::jobfile::{self, read, write};
use roomback::measure::Length;
use roomback::trade::{Part, Tables, *};

/// A job that fills every record of the file.
pub const FULL: &str = include_str!("full.ron");

fn full() -> Job {
    let read = read(FULL, &Tables::default()).unwrap();
    assert_eq!(jobfile::report(&read.problems, &read.map), "");
    read.job
}

/// The ron crate knows nothing of `hands: none`, `hands: 2` and times without seconds.
fn longhand(text: &str) -> String {
    let mut out = text.replace("hands: none", "hands: (fewest: 0, most: 0)");
    for n in 0..=20 {
        for end in [",", ")"] {
            out = out.replace(&format!("hands: {n}{end}"), &format!("hands: (fewest: {n}, most: {n}){end}"));
        }
    }
    // "2027-03-01T08:00" ends in a quotation mark 6 bytes behind its T.
    let times: Vec<usize> = out.match_indices('T').map(|(i, _)| i + 6).collect();
    for end in times.into_iter().rev() {
        if out.get(end - 3..=end).is_some_and(|s| s.starts_with(':') && s.ends_with('"')) {
            out.insert_str(end, ":00");
        }
    }
    out
}

fn by_ron(text: &str) -> Job {
    let options = ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
    options.from_str(&longhand(text)).unwrap_or_else(|e| panic!("{text}\n{e}"))
}

#[test]
fn a_file_with_every_record_reads_writes_and_reads_the_same() {
    let job = full();
    let text = write(&job);
    let again = read(&text, &Tables::default()).unwrap();
    assert_eq!(jobfile::report(&again.problems, &again.map), "");
    assert_eq!(again.job, job);
    assert_eq!(write(&again.job), text, "a second save changes nothing");
    for (record, fields) in jobfile::schema() {
        for f in fields {
            let shorthand = ["rh", "temp_c", "dew_c"].contains(&f.name);
            assert!(shorthand || FULL.contains(&format!("{}: ", f.name)), "full.ron does not use {record}.{}", f.name);
        }
    }
}

#[test]
fn what_is_written_the_ron_crate_reads_to_the_same_job() {
    let job = full();
    assert_eq!(by_ron(&write(&job)), job);
    let metric = Job { units: Units::Metric, ..job };
    assert_eq!(by_ron(&write(&metric)), metric);
}

#[test]
fn what_the_ron_crate_writes_is_read_to_the_same_job() {
    let job = full();
    for text in [
        ron::to_string(&job).unwrap(),
        ron::ser::to_string_pretty(&job, ron::ser::PrettyConfig::new().struct_names(true)).unwrap(),
    ] {
        let read = read(&text, &Tables::default()).unwrap();
        assert_eq!(jobfile::report(&read.problems, &read.map), "");
        assert_eq!(read.job, job);
    }
}

/// The job of a text, which must have no problems.
fn sound(text: &str) -> Job {
    let read = read(text, &Tables::default()).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(jobfile::report(&read.problems, &read.map), "");
    read.job
}

#[test]
fn a_study_reads_as_it_is_spelled() {
    let job = sound(
        r#"(
        format: 1,
        study: (unit_minutes: 10000, pace: off, widening: 1.0, cap: off),
        steps: [
            (id: "a", hands: none, duration: (scheme: split, values: [1, 2, 4])),
            (id: "b", hands: none, duration: (scheme: beta_pert, values: [3, 5, 7]), needs: [(step: "a", link: ss, lag: -0.5)]),
            (id: "c", hands: none, duration: (scheme: triangular, values: [3, 5, 7]), needs: [(step: "a", link: ff)]),
            (id: "d", hands: none, duration: (scheme: fixed, values: [3]), needs: [(step: "a", link: sf, lag: 2), (step: "b", link: fs)]),
        ],
    )"#,
    );
    assert_eq!(job.study.as_ref().unwrap().unit_minutes, 10_000);
    assert!(job.steps.iter().all(|s| s.hands == Hands { fewest: 0, most: 0, who: vec![] }));
    let links: Vec<(LinkKind, f64)> = job.steps.iter().flat_map(|s| &s.needs).map(|n| (n.link, n.lag)).collect();
    use LinkKind::*;
    assert_eq!(links, [(Ss, -0.5), (Ff, 0.0), (Sf, 2.0), (Fs, 0.0)]);
    assert_eq!(job.steps[1].duration.as_ref().unwrap().scheme, Scheme::BetaPert);
}

#[test]
fn a_short_file_is_filled_in() {
    let tables = Tables {
        rates: vec![rate("roll"), rate("idle")],
        products: vec![product("latex"), product("idle")],
        recipes: vec![recipe("repaint", "roll", "latex")],
        materials: Vec::new(),
    };
    let text = r#"(
        format: 1,
        start: "2027-03-01",
        crew: [(name: "Ana Brook")],
        places: [(id: "shop", kind: shop, work_air: (temp_c: 20, rh: 50), off_air: (temp_f: 50, dew_c: 5))],
        rooms: [
            (name: "Anna's study", size: ("13'", "11'6", "8'4"), surfaces: [
                (recipe: "repaint"), (recipe: "repaint"), (part: ceiling, recipe: "repaint"),
            ]),
        ],
        steps: [(name: "Hang shelf", hours: (1, 2, 3), hands: 2, room: "annas-study")],
    )"#;
    let read = read(text, &tables).unwrap();
    assert_eq!(jobfile::report(&read.problems, &read.map), "");
    let job = read.job;
    assert_eq!(job.crew[0].id, "ana-brook");
    assert_eq!((job.rooms[0].id.as_str(), job.rooms[0].place.as_str()), ("annas-study", "annas-study"));
    let surfaces: Vec<&str> = job.rooms[0].surfaces.iter().map(|s| s.id.as_str()).collect();
    assert_eq!(surfaces, ["walls", "walls-2", "ceiling"]);
    assert_eq!(job.rooms[0].size.unwrap().width, Length::from_inches(138.0));
    assert_eq!(job.steps[0].hands, Hands { fewest: 2, most: 2, who: vec![] });
    assert_eq!(job.places[1].id, "annas-study");
    let air = job.places[0].work_air;
    assert!((air.temp_f - 68.0).abs() < 1e-9 && (air.rh() - 0.5).abs() < 0.001, "{air:?}");
    assert_eq!(job.places[0].off_air.dew_f, 41.0);
    // Only the rows in use are copied, and a save carries them.
    let ids = |job: &Job| (job.rates.len(), job.products.len(), job.recipes.len());
    assert_eq!(ids(&job), (1, 1, 1));
    let alone = sound(&write(&job));
    assert_eq!(alone, job);
    // The file's own row wins over the table's.
    let own = text
        .replace("steps: [", "rates: [(id: \"roll\", name: \"mine\", unit: sf, low: 1, typ: 2, high: 3)], steps: [");
    assert_eq!(jobfile::read(&own, &tables).unwrap().job.rates[0].name, "mine");
}

pub fn rate(id: &str) -> Rate {
    Rate {
        id: id.into(),
        name: id.into(),
        unit: Unit::SquareFoot,
        low: 0.01,
        typ: 0.02,
        high: 0.03,
        jobs: 0,
        tag: Tag::Judgement,
        source: String::new(),
    }
}

pub fn product(id: &str) -> Product {
    ron::from_str(&format!("(id: \"{id}\", name: \"{id}\", law: film_forming, hours: (recoat: Some(4)))")).unwrap()
}

pub fn recipe(id: &str, rate: &str, product: &str) -> Recipe {
    Recipe {
        id: id.into(),
        parts: vec![Part::Walls, Part::Ceiling],
        choices: vec![RecipeChoice {
            id: "edge".into(),
            name: String::new(),
            options: vec!["tape".into(), "hand".into()],
            only_with: String::new(),
        }],
        steps: vec![
            Row {
                id: "coat-1".into(),
                labor: vec![Term { of: "one".into(), rate: rate.into(), ..Term::default() }],
                leaves: Some(Leaves { product: product.into(), thick: 1.0 }),
                gives: vec!["painted".into()],
                ..Row::default()
            },
            Row { id: "coat-2".into(), ..Row::default() },
        ],
        ..Recipe::default()
    }
}

#[test]
fn a_recipe_takes_in_what_it_includes() {
    let tables = Tables {
        recipes: vec![recipe("paint", "roll", "latex")],
        rates: vec![rate("roll")],
        products: vec![product("latex")],
        materials: Vec::new(),
    };
    let text = r#"(
        format: 1, start: "2027-03-01", crew: [(name: "Ana")],
        rooms: [(id: "r", size: ("9'", "9'", "8'"), surfaces: [(recipe: "mine", methods: [("edge", "hand")], changes: [(step: "coat-2", skip: true)])])],
        recipes: [(id: "mine", includes: ["paint"], steps: [(id: "wipe", needs: [(row: "coat-1")])])],
    )"#;
    let read = read(text, &tables).unwrap();
    assert_eq!(jobfile::report(&read.problems, &read.map), "");
    let rows: Vec<&str> = read.job.recipes[0].steps.iter().map(|s| s.id.as_str()).collect();
    assert_eq!(rows, ["coat-1", "coat-2", "wipe"]);
    assert_eq!((read.job.rates.len(), read.job.products.len()), (1, 1));
    // Doubling fifty times over must end, and say so.
    for first in ["(id: \"a\")", ""] {
        let mut bomb = format!("(format: 1, start: \"2027-03-01\", recipes: [(id: \"r0\", steps: [{first}]),");
        for i in 1..50 {
            bomb += &format!("(id: \"r{i}\", includes: [\"r{0}\", \"r{0}\"]),", i - 1);
        }
        let read = jobfile::read(&(bomb + "])"), &Tables::default()).unwrap();
        assert!(read.problems.iter().any(|p| p.what.contains("more than 1,000 steps")));
    }
}

#[test]
fn comments_are_kept_in_the_old_file() {
    use jobfile::{SaveNotice, keep_comments};
    let file = std::path::Path::new("jobs/study.ron");
    assert_eq!(keep_comments("(format: 1, name: \"// no\")", file), SaveNotice::NoComments);
    let goes = SaveNotice::CommentsGoTo("jobs/study.with-comments.ron".into());
    assert_eq!(keep_comments("( // yes\n format: 1)", file), goes);
    assert_eq!(keep_comments("(format: /* yes */ 1)", file), goes);
}

#[test]
fn the_starter_job_reads_without_problems() {
    let mut read = read(jobfile::starter(), roomback::trade::tables()).unwrap();
    read.add(roomback::work::build::build(&read.job).err().unwrap_or_default());
    assert_eq!(jobfile::report(&read.problems, &read.map), "");
    // A save carries every row in use: it reads without any table.
    assert_eq!(sound(&write(&read.job)), read.job);
}

/// Reads a text and everything behind it; only a panic fails.
fn survive(text: &str) {
    if let Ok(read) = read(text, &Tables::default()) {
        let _ = jobfile::report(&read.problems, &read.map);
        if read.problems.is_empty() {
            let written = write(&read.job);
            let again = jobfile::read(&written, &Tables::default()).unwrap();
            assert_eq!(again.job, read.job, "{written}");
        }
    }
}

#[test]
fn no_change_of_bytes_makes_it_panic() {
    let mut state = 1u64;
    let mut random = |below: usize| {
        // Numbers of Knuth's MMIX generator; any would do.
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below
    };
    let spice = ["(", ")", "[", "]", "\"", ",", ":", "-", "9", "1e999", "NaN", "None", "Some(", "/*", "½", "\\", "\0"];
    for base in [FULL, jobfile::starter()] {
        for _ in 0..1500 {
            let mut bytes = base.as_bytes().to_vec();
            for _ in 0..=random(4) {
                let at = random(bytes.len());
                match random(4) {
                    0 => bytes[at] = random(256) as u8,
                    1 => drop(bytes.drain(at..(at + random(40)).min(bytes.len()))),
                    2 => drop(bytes.splice(at..at, spice[random(spice.len())].bytes())),
                    _ => {
                        let part = bytes[at..(at + random(60)).min(bytes.len())].to_vec();
                        let to = random(bytes.len());
                        bytes.splice(to..to, part);
                    }
                }
            }
            survive(&String::from_utf8_lossy(&bytes));
        }
    }
}

fn a_job() -> impl Strategy<Value = Job> {
    let step =
        ("[a-z]{1,6}", "\\PC{0,12}", 0.01..50.0f64, 1.0..4.0f64, 0u32..4).prop_map(|(id, name, low, by, hands)| {
            OwnStep {
                id,
                name,
                hours: Some((low, low * by, low * by * by)),
                hands: Hands { fewest: hands, most: hands, who: vec![] },
                ..OwnStep::default()
            }
        });
    let lengths = (40_000i64..200_000_000, 40_000i64..200_000_000, 40_000i64..200_000_000);
    let steps = prop::collection::vec(step, 1..6);
    (steps, lengths, "\\PC{0,20}", any::<u64>(), 0i64..3000, any::<bool>()).prop_map(
        |(mut steps, (l, w, h), name, seed, days, metric)| {
            for (i, s) in steps.iter_mut().enumerate() {
                s.id = format!("{}{i}", s.id);
            }
            let size = Size {
                length: Length(l + Length::INCH),
                width: Length(w + Length::INCH),
                height: Length(h + Length::INCH),
            };
            Job {
                name,
                seed,
                steps,
                units: if metric { Units::Metric } else { Units::FeetInches },
                start: NaiveDate::from_ymd_opt(2027, 1, 1).unwrap() + chrono::Duration::days(days),
                crew: vec![Person { id: "ana".into(), ..Person::default() }],
                places: vec![Place { id: "r".into(), ..Place::default() }],
                rooms: vec![Room { id: "r".into(), place: "r".into(), size: Some(size), ..Room::default() }],
                ..Job::default()
            }
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    #[test]
    fn any_job_comes_back_from_its_file(job in a_job()) {
        let text = write(&job);
        let read = read(&text, &Tables::default()).unwrap();
        prop_assert_eq!(jobfile::report(&read.problems, &read.map), "");
        prop_assert_eq!(&read.job, &job);
        prop_assert_eq!(by_ron(&text), job);
    }

    #[test]
    fn any_text_is_survived(text in "\\PC{0,80}", ron in "\\((format|rooms|crew|steps|start|,|:| |\\[|\\]|\\(|\\)|\"|1|-|NaN|1e400){0,40}") {
        survive(&text);
        survive(&ron);
    }
}

#[test]
fn every_sample_job_reads_and_survives_a_save() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-jobs");
    let mut seen = 0;
    for file in std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()) {
        let text = roomback::store::read(&file).unwrap();
        let mut read = read(&text, roomback::trade::tables()).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
        if let Err(problems) = roomback::work::build::build(&read.job) {
            read.add(problems);
        }
        assert_eq!(read.report(), "", "{}", file.display());
        assert_eq!(sound(&write(&read.job)), read.job, "{}", file.display());
        seen += 1;
    }
    assert!(seen >= 5, "{seen} samples");
}
