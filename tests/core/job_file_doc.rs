//! `docs/job-file.md` against the reader: every field, its range, whether it is required.

use std::collections::BTreeMap;

use roomback::jobfile;
use roomback::measure::{Length, Style};
use roomback::trade::tables;

const DOC: &str = include_str!("../../docs/job-file.md");

/// Record type to its rows: field and the whole line.
fn documented() -> BTreeMap<&'static str, Vec<(&'static str, &'static str)>> {
    let mut out: BTreeMap<&str, Vec<(&str, &str)>> = BTreeMap::new();
    let mut record = "";
    for line in DOC.lines() {
        if let Some(head) = line.strip_prefix("### ") {
            record = head.split(':').next().unwrap();
            assert!(out.insert(record, Vec::new()).is_none(), "{record} is described twice");
        } else if let Some(rest) = line.strip_prefix("| `") {
            let field = rest.split('`').next().unwrap();
            out.entry(record).or_default().push((field, line));
        }
    }
    out.remove("");
    out
}

#[test]
fn the_fields_are_those_of_the_reader() {
    let doc = documented();
    let code: BTreeMap<&str, Vec<&str>> =
        jobfile::schema().into_iter().map(|(r, fields)| (r, fields.iter().map(|f| f.name).collect())).collect();
    let named: BTreeMap<&str, Vec<&str>> =
        doc.iter().map(|(r, rows)| (*r, rows.iter().map(|row| row.0).collect())).collect();
    for (record, fields) in &code {
        assert_eq!(named.get(record), Some(fields), "{record}");
    }
    assert_eq!(named.len(), code.len(), "{:?}", named.keys().filter(|k| !code.contains_key(*k)).collect::<Vec<_>>());
}

#[test]
fn the_ranges_and_what_is_required_are_those_of_the_reader() {
    let doc = documented();
    let number = |x: f64| if x.fract() == 0.0 { format!("{x:.0}") } else { format!("{x}") };
    let length = |x: f64| Length::from_inches(x).print(Style::FeetInches);
    for (record, fields) in jobfile::schema() {
        for f in fields {
            let line = doc[record].iter().find(|row| row.0 == f.name).unwrap().1;
            // Outside a study `start` is required, and somebody in the crew where hands are needed.
            let sometimes =
                record == "Job" && ["start", "crew"].contains(&f.name) || record == "OwnMethod" && f.name == "id";
            assert!(sometimes || line.contains("**required**") == f.required, "{record}.{}: {line}", f.name);
            if let Some((low, high)) = f.range.filter(|r| r.0 < r.1) {
                let written = [number, length].map(|p: fn(f64) -> String| format!("{} to {}", p(low), p(high)));
                assert!(written.iter().any(|w| line.contains(w)), "{record}.{} is not {written:?}: {line}", f.name);
            }
        }
    }
}

#[test]
fn the_complete_example_reads_without_problems() {
    let from = DOC.find("```ron\n").unwrap() + 7;
    let example = &DOC[from..from + DOC[from..].find("```").unwrap()];
    let mut read = jobfile::read(example, tables()).unwrap();
    if let Err(problems) = roomback::work::build::build(&read.job) {
        read.add(problems);
    }
    assert_eq!(read.report(), "");
    assert_eq!(jobfile::read(&jobfile::write(&read.job), tables()).unwrap().job, read.job);
}

#[test]
fn every_opening_of_a_row_is_placed() {
    let fields = jobfile::schema().into_iter().find(|r| r.0 == "Opening").expect("openings").1;
    let most = fields.iter().find(|f| f.name == "count").and_then(|f| f.range).expect("a range").1;
    assert_eq!(most, f64::from(roomback::takeoff::MOST_ALIKE));
}
