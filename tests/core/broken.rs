//! Broken job files with the exact report of each.
//!
//! A file under `tests/core/broken/` holds the text; its report stands in the file of the
//! same name ending in `.txt`: `line:column  what; remedy`, a line for each problem. A file
//! named `several-*` holds three or more faults that have nothing to do with one another.
//! With `WRITE_REPORTS=1` in the environment the reports are written anew, to be read and
//! judged before they are committed.

use std::path::PathBuf;

use roomback::desk;

/// Everything wrong with a text, as `roomback check` finds it.
fn report(text: &str) -> String {
    match desk::open(text) {
        Ok(opened) => {
            assert_eq!(opened.sound.is_none(), !opened.read.problems.is_empty());
            opened.read.report()
        }
        Err(e) => format!("{e}\n"),
    }
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/core/broken")
}

/// Names, texts and expected reports, in order of name.
fn cases() -> Vec<(String, String, String)> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder()).unwrap().map(|e| e.unwrap().path()).collect();
    files.retain(|f| f.extension().is_some_and(|e| e == "ron"));
    files.sort();
    let read = |f: &PathBuf| std::fs::read_to_string(f).unwrap_or_default();
    files
        .iter()
        .map(|f| (f.file_stem().unwrap().to_string_lossy().into(), read(f), read(&f.with_extension("txt"))))
        .collect()
}

#[test]
fn every_broken_file_gets_its_exact_report() {
    let mut wrong = String::new();
    for (name, text, want) in cases() {
        let got = report(&text);
        if std::env::var_os("WRITE_REPORTS").is_some() {
            std::fs::write(folder().join(format!("{name}.txt")), &got).unwrap();
        }
        if got != want || got.is_empty() {
            wrong += &format!("== {name}\n-- expected\n{want}-- got\n{got}");
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn there_are_enough_of_them() {
    let cases = cases();
    assert!(cases.len() >= 25, "{} broken files", cases.len());
    let several: Vec<_> = cases.iter().filter(|c| c.0.starts_with("several-")).collect();
    assert!(several.len() >= 10, "{} files with several faults", several.len());
    for (name, _, want) in several {
        assert!(want.lines().count() >= 3, "{name} has too few faults");
    }
}

#[test]
fn every_report_line_has_a_place_a_fault_and_a_remedy() {
    for (name, text, want) in cases() {
        let lines = text.lines().count(); // the end of the file stands on the line behind the last
        for line in want.lines() {
            let (place, said) = line.split_once("  ").unwrap_or_else(|| panic!("{name}: {line}"));
            let (row, col) = place.split_once(':').unwrap();
            assert!(
                (1..=lines + 1).contains(&row.parse().unwrap()) && col.parse::<usize>().unwrap() >= 1,
                "{name}: {line}"
            );
            assert!(said.contains("; ") || said.contains("expected"), "{name}: {line}");
            assert!(!said.ends_with('.'), "{name}: {line}");
        }
    }
}

/// A line lost from a job, sound or broken, is judged like anything else.
#[test]
fn a_job_short_of_a_line_is_judged_without_panic() {
    let samples = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("sample-jobs");
    let mut texts: Vec<String> = cases().into_iter().map(|c| c.1).collect();
    let samples = std::fs::read_dir(samples).unwrap().map(|e| std::fs::read_to_string(e.unwrap().path()).unwrap());
    texts.extend(samples);
    let (mut refused, mut judged) = (0, 0);
    for text in texts {
        let lines: Vec<&str> = text.lines().collect();
        for k in 0..lines.len() {
            let less = [&lines[..k], &lines[k + 1..]].concat().join("\n");
            match desk::open(&less) {
                Ok(o) if o.sound.is_none() => judged += 1,
                Ok(_) => {}
                Err(_) => refused += 1,
            }
        }
    }
    assert!(refused > 100 && judged > 100, "{refused} refused, {judged} judged");
}

/// A sound job mended from nothing: what the broken ones are made of.
#[test]
fn the_unbroken_one_has_no_report() {
    assert_eq!(report(SOUND), "");
}

/// A small sound job.
pub const SOUND: &str = r#"(
    format: 1,
    start: "2027-03-01",
    crew: [(id: "ana", name: "Ana Brook", cost: 48, skills: ["spray"])],
    rooms: [(id: "den", size: ("11'", "10'", "8'"), surfaces: [(part: walls, recipe: "repaint-walls")])],
)"#;
