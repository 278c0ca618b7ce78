//! The layering of the sources, proved by a scan.
//!
//! `src/lib.rs` lists the modules in the order in which they may use each other; this reads
//! that list and every file under `src/`. What is behind `#[cfg(test)]` may do as it likes,
//! but for unfinished marks. Each rule is also shown a planted snippet that breaks it.

mod numbers;
mod source;

use std::collections::BTreeSet;
use std::path::Path;

use source::{bare, line, named_behind, stands_alone, without_tests};

/// Every module there is or may be, top down; those on one line never use each other.
const ORDER: [&[&str]; 21] = [
    &["measure"],
    &["clock"],
    &["trade"],
    &["job"],
    &["jobfile", "takeoff"],
    &["sheet"],
    &["book"],
    &["work"],
    &["standing"],
    &["schedule"],
    &["forecast"],
    &["search"],
    &["record", "buying"],
    &["pricing"],
    &["waysback"],
    &["desk"],
    &["views"],
    &["export", "store"],
    &["cli", "ui"],
    &["lib"],
    &["main"],
];

/// Words, where they may stand, and why nowhere else.
const ONLY_IN: &[(&[&str], &[&str], &str)] = &[
    (&["std::fs", "fs::File", "std::{fs", "OpenOptions", "directories::"], &["store"], "only store touches the disk"),
    (
        &["Local::now", "Utc::now", "SystemTime", "Instant::now", "UNIX_EPOCH"],
        &["store"],
        "only store reads the wall clock",
    ),
    (
        &["print!", "println!", "eprint!", "eprintln!", "dbg!", "stdout(", "stderr(", "stdin(", "process::exit"],
        &["main"],
        "only main.rs prints, reads or exits",
    ),
    (&["HashMap", "HashSet", "RandomState", "DefaultHasher"], &[], "hash order must not reach a result"),
    (&["thread::spawn", "thread::Builder", "thread::scope"], &["ui"], "the core owns no thread"),
    (
        &["env::var", "env::vars", "env::var_os", "env::args"],
        &["main", "store"],
        "a result may not hang on the surroundings",
    ),
    (&["clap"], &["cli", "main"], "arguments are the text commands' matter"),
    (&["egui", "eframe"], &["ui", "main"], "the core builds without a window"),
    (
        &[
            ".exp(",
            ".exp2(",
            ".exp_m1(",
            ".ln(",
            ".ln_1p(",
            ".log(",
            ".log2(",
            ".log10(",
            ".powf(",
            ".powi(",
            ".cbrt(",
            ".sin(",
            ".cos(",
            ".tan(",
            ".atan(",
            ".atan2(",
            ".sinh(",
            ".cosh(",
            ".tanh(",
            ".hypot(",
            ".mul_add(",
            "f64::exp",
            "f64::ln",
            "f64::powf",
            "f64::powi",
            "f64::log10",
        ],
        &[],
        "through libm, or machines differ in the last bit",
    ),
];

/// What a long file says in its first lines.
const WHY_LONG: &str = "One file because";

/// A source file: its top-level module, how deep it stands, its name and text.
struct File {
    module: String,
    /// `src/job/mod.rs` is 1, `src/job/rooms.rs` 2.
    depth: usize,
    name: String,
    text: String,
    test: bool,
}

impl File {
    fn new(name: &str, text: &str) -> File {
        let parts: Vec<&str> = name.trim_start_matches("src/").trim_end_matches(".rs").split('/').collect();
        let last = *parts.last().unwrap();
        File {
            module: parts[0].to_string(),
            depth: if last == "mod" { parts.len() - 1 } else { parts.len() },
            name: name.to_string(),
            text: text.to_string(),
            test: parts.contains(&"tests") || last.ends_with("_tests"),
        }
    }
}

/// Place of a module in [`ORDER`].
fn rank(module: &str) -> Option<usize> {
    ORDER.iter().position(|row| row.contains(&module))
}

/// The modules of a `lib.rs`, in its order.
fn listed(lib: &str) -> Vec<String> {
    let lib = bare(lib);
    lib.lines().filter_map(|l| l.trim().strip_prefix("pub mod ")?.strip_suffix(';')).map(str::to_string).collect()
}

/// What is wrong with the list itself, or with the folder beside it.
fn list_faults(listed: &[String], there: &BTreeSet<String>) -> Vec<String> {
    let mut out = Vec::new();
    let mut last = None;
    for m in listed {
        match rank(m) {
            None => out.push(format!("src/lib.rs: module {m} has no place in the order")),
            Some(r) if Some(r) < last => out.push(format!("src/lib.rs: module {m} stands too low")),
            r => last = r,
        }
        if !there.contains(m) {
            out.push(format!("src/lib.rs: module {m} has no file"));
        }
    }
    for m in there {
        if !listed.contains(m) && m != "lib" && m != "main" {
            out.push(format!("src/{m} is not listed in src/lib.rs"));
        }
    }
    out
}

/// What is wrong with a file, a line each, given the modules of `lib.rs` in order.
fn faults(f: &File, listed: &[String]) -> Vec<String> {
    let mut out = Vec::new();
    for mark in [concat!("TO", "DO"), concat!("FIX", "ME"), concat!("todo", "!("), concat!("unimplemented", "!(")] {
        for (at, _) in f.text.match_indices(mark) {
            out.push(format!("{}:{} {mark}: nothing is left unfinished", f.name, line(&f.text, at)));
        }
    }
    let lines = f.text.lines().count();
    let said = f.text.lines().take_while(|l| l.starts_with("//!")).any(|l| l.contains(WHY_LONG));
    if lines > 800 || (lines > 500 && !said) {
        out.push(format!("{} has {lines} lines: above 500 say \"{WHY_LONG}\" on top, above 800 split it", f.name));
    }
    if f.test {
        return out;
    }
    let code = without_tests(&bare(&f.text));
    let mut say = |at: usize, what: String| out.push(format!("{}:{} {what}", f.name, line(&code, at)));
    let place = |m: &str| listed.iter().position(|l| l == m);
    for (at, used) in named_behind(&code, "crate::") {
        let (Some(mine), Some(its)) = (place(&f.module), place(used)) else { continue };
        if used == f.module {
            continue;
        }
        if its > mine {
            say(at, format!("{} uses {used}, which stands below it", f.module));
        } else if rank(used) == rank(&f.module) {
            say(at, format!("{} uses {used}, its peer", f.module));
        }
    }
    // A chain of `super` as long as the file is deep would reach the other modules unseen.
    let chain = "super::".repeat(f.depth);
    if !["lib", "main"].contains(&f.module.as_str()) {
        for (at, _) in code.match_indices(&chain).filter(|x| stands_alone(&code, x.0, "super")) {
            say(at, "reaches out of its module by super; write crate::".to_string());
        }
    }
    for (words, only, why) in ONLY_IN {
        if only.contains(&f.module.as_str()) {
            continue;
        }
        for word in *words {
            for (at, _) in code.match_indices(word).filter(|x| stands_alone(&code, x.0, word)) {
                say(at, format!("{word}: {why}"));
            }
        }
    }
    out
}

fn collect(folder: &Path, name: &str, out: &mut Vec<File>) {
    let mut entries: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        let name = format!("{name}/{}", path.file_name().unwrap().to_string_lossy());
        if path.is_dir() {
            collect(&path, &name, out);
        } else if name.ends_with(".rs") {
            out.push(File::new(&name, &std::fs::read_to_string(&path).unwrap()));
        }
    }
}

fn sources(folder: &str) -> Vec<File> {
    let mut out = Vec::new();
    collect(&Path::new(env!("CARGO_MANIFEST_DIR")).join(folder), folder, &mut out);
    out
}

#[test]
fn modules_use_only_those_above_them() {
    let files = sources("src");
    let lib = files.iter().find(|f| f.name == "src/lib.rs").unwrap();
    let listed = listed(&lib.text);
    assert!(listed.len() >= 14, "{listed:?}");
    let there = files.iter().map(|f| f.module.clone()).collect();
    let mut wrong = list_faults(&listed, &there);
    for f in &files {
        wrong.extend(faults(f, &listed));
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    // The scan saw what it was to judge.
    let uses: usize = files.iter().map(|f| named_behind(&without_tests(&bare(&f.text)), "crate::").len()).sum();
    assert!(files.len() > 50 && uses > 100, "{} files, {uses} uses", files.len());
}

#[test]
fn the_window_formats_no_numbers() {
    let files: Vec<File> = sources("src").into_iter().filter(|f| f.module == "ui" && !f.test).collect();
    let wrong: Vec<String> = files.iter().flat_map(|f| numbers::faults(&f.name, &f.text)).collect();
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    let formats: usize = files.iter().map(|f| f.text.matches("format!(").count()).sum();
    assert!(files.len() > 30 && formats > 40, "{} files, {formats} formats", files.len());
}

#[test]
fn tests_are_finished_and_not_too_long() {
    let wrong: Vec<String> =
        sources("tests").into_iter().flat_map(|f| faults(&File { test: true, ..f }, &[])).collect();
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// Faults of a snippet standing in a file of that name, under an order of a few modules.
fn planted(name: &str, text: &str) -> Vec<String> {
    let order = ["clock", "job", "jobfile", "takeoff", "schedule", "store", "cli"].map(String::from);
    faults(&File::new(name, text), &order)
}

#[test]
fn the_scan_finds_a_use_in_the_wrong_direction() {
    let one = |name: &str, text: &str, what: &str| {
        let got = planted(name, text);
        assert!(got.len() == 1 && got[0].contains(what), "{text}: {got:?}");
    };
    one("src/clock/mod.rs", "use crate::job::Job;", "clock uses job");
    one("src/clock/air.rs", "\nfn f() { crate::schedule::run() }", "src/clock/air.rs:2 clock uses schedule");
    one("src/job/mod.rs", "use crate::{clock::At, schedule};", "job uses schedule");
    one("src/takeoff/room.rs", "use crate::jobfile::Read;", "its peer");
    one("src/job/mod.rs", "use super::schedule::Plan;", "by super");
    one("src/job/rooms.rs", "use super::super::schedule::Plan;", "by super");
    assert!(planted("src/job/mod.rs", "use crate::clock::At; use crate::job::rooms; // crate::schedule").is_empty());
    assert!(planted("src/job/rooms.rs", "use super::Job;").is_empty());
    assert!(
        planted("src/job/mod.rs", "#[cfg(test)]\nmod tests { use crate::schedule::Plan; use super::*; }").is_empty()
    );
    assert!(planted("src/schedule/sound_tests.rs", "use crate::cli; use std::fs;").is_empty());
    assert!(planted("src/schedule/tests/sound.rs", "use crate::cli; use std::fs;").is_empty());
}

#[test]
fn the_scan_finds_every_word_out_of_its_place() {
    for (words, only, _) in ONLY_IN {
        for word in *words {
            let text = format!("fn f() {{ x{}{word} }}", if word.starts_with('.') { "" } else { " = " });
            assert!(!planted("src/job/mod.rs", &text).is_empty(), "{text}");
            assert!(planted("src/job/mod.rs", &format!("// {text}\nconst A: &str = \"{word}\";")).is_empty(), "{text}");
            for home in *only {
                let name = if *home == "main" { "src/main.rs".to_string() } else { format!("src/{home}/mod.rs") };
                assert!(planted(&name, &text).is_empty(), "{name}: {text}");
            }
        }
    }
    assert!(planted("src/job/mod.rs", "let y = libm::exp(x) + a.explain(b) + my_print!(c);").is_empty());
}

#[test]
fn the_scan_finds_unfinished_and_overlong_files() {
    assert_eq!(planted("src/job/mod.rs", concat!("// TO", "DO later")).len(), 1);
    assert_eq!(planted("src/job/tests.rs", concat!("fn f() { todo", "!() }")).len(), 1);
    let long = |top: &str, n| planted("src/job/mod.rs", &format!("{top}\n{}", "\n".repeat(n))).len();
    assert_eq!((long("//! What.", 498), long("//! What.", 500)), (0, 1));
    assert_eq!((long("//! One file because so.", 600), long("//! One file because so.", 800)), (0, 1));
}

#[test]
fn the_list_itself_is_judged() {
    let list = |m: &[&str]| m.iter().map(ToString::to_string).collect::<Vec<_>>();
    let there = |m: &[&str]| m.iter().map(ToString::to_string).collect::<BTreeSet<_>>();
    assert_eq!(listed("//! pub mod no;\npub mod clock;\n/// Doc.\npub mod job;"), ["clock", "job"]);
    let sound = list(&["clock", "job", "takeoff", "jobfile", "work"]);
    assert!(list_faults(&sound, &there(&["clock", "job", "takeoff", "jobfile", "work", "lib", "main"])).is_empty());
    assert_eq!(list_faults(&list(&["job", "clock"]), &there(&["job", "clock"])).len(), 1);
    assert_eq!(list_faults(&list(&["helpers"]), &there(&["helpers"])).len(), 1);
    assert_eq!(list_faults(&list(&["clock"]), &there(&["clock", "job"])).len(), 1);
    assert_eq!(list_faults(&list(&["clock"]), &there(&[])).len(), 1);
}
