//! The measure sheet: a corpus of lines with exact outcomes, and laws over lines and rooms
//! at random.
//!
//! `corpus.txt` holds lines of our own invention: what each is as a room and in words, or
//! which bytes are asked about and what is offered. `WRITE_REPORTS=1` writes the outcomes
//! anew; read each before it is kept. That 1 in is 25.4 mm exactly is NIST SP 811, appendix
//! B.8; what `2868` means is common practice, no source.

mod fuzz;
mod lay;

use std::fmt::Write as _;

use roomback::job::{OpeningKind, Room, Units};
use roomback::measure::{Length, Style};
use roomback::sheet::{Read, read, write};

const CORPUS: &str = include_str!("corpus.txt");

/// The measures of a room, lossless and without the words of the sheet.
fn told(room: &Room) -> String {
    let l = |l: Length| l.exact(Style::FeetInches);
    let mut out = format!("\"{}\"", room.name);
    if let Some(s) = &room.size {
        let _ = write!(out, " {} by {} by {}", l(s.length), l(s.width), l(s.height));
    }
    for (i, w) in room.walls.iter().enumerate() {
        let name = if w.name.is_empty() { (i + 1).to_string() } else { w.name.clone() };
        let _ = write!(out, " [{name}: {} by {} turn {}]", l(w.length), l(w.height), w.turn);
    }
    for o in &room.openings {
        let kind = match o.kind {
            OpeningKind::Door => "door",
            OpeningKind::Window => "window",
            OpeningKind::Cased => "cased",
        };
        let _ = write!(out, " | {} {kind}", o.count);
        if !o.name.is_empty() {
            let _ = write!(out, " \"{}\"", o.name);
        }
        let _ = write!(out, " {} by {} wall {}", l(o.width), l(o.height), o.wall);
        for (what, x) in [("from", o.from_corner), ("sill", o.sill), ("casing", o.casing)] {
            if let Some(x) = x {
                let _ = write!(out, " {what} {}", l(x));
            }
        }
    }
    for b in &room.boxes {
        let _ = write!(out, " | {} boxes wall {}", b.count, b.wall);
    }
    if room.holes > 0 {
        let _ = write!(out, " | {} holes", room.holes);
    }
    if room.cracks > Length::ZERO {
        let _ = write!(out, " | cracks {}", l(room.cracks));
    }
    out
}

/// What a line says, as the corpus holds it.
fn outcome(line: &str, units: Units) -> String {
    let got = read(line, units);
    let mut out = String::new();
    if let Some(room) = &got.room {
        let _ = writeln!(out, "  room {}\n  echo {}\n  line {}", told(room), got.echo, write(room, units));
    }
    for q in &got.questions {
        let _ = writeln!(out, "  asks {}..{} [{}] {}", q.at.start, q.at.end, &line[q.at.clone()], q.ask);
        for o in &q.offers {
            let _ = writeln!(out, "   or  {o}");
        }
    }
    out
}

/// The lines of the corpus with their units.
fn lines() -> Vec<(&'static str, Units)> {
    CORPUS
        .lines()
        .filter_map(|l| {
            let metric = l.strip_prefix("metres: ").map(|l| (l, Units::Metric));
            metric.or_else(|| l.strip_prefix("feet: ").map(|l| (l, Units::FeetInches)))
        })
        .collect()
}

#[test]
fn every_line_of_the_corpus_comes_out_as_written() {
    let mut text = String::new();
    for (line, units) in lines() {
        let system = if units == Units::Metric { "metres" } else { "feet" };
        let _ = write!(text, "{system}: {line}\n{}", outcome(line, units));
    }
    if std::env::var_os("WRITE_REPORTS").is_some() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/core/sheet/corpus.txt");
        std::fs::write(path, &text).unwrap();
        return;
    }
    for (got, want) in text.lines().zip(CORPUS.lines()) {
        assert_eq!(got, want);
    }
    assert_eq!(text, CORPUS);
}

#[test]
fn the_corpus_is_large_enough_and_a_third_of_it_is_not_easy() {
    let all = lines();
    let asked = all.iter().filter(|(l, u)| !read(l, *u).questions.is_empty()).count();
    assert!(all.len() >= 120 && asked * 3 >= all.len(), "{} lines, {asked} with questions", all.len());
    let mut sorted: Vec<(&str, bool)> = all.iter().map(|x| (x.0, x.1 == Units::Metric)).collect();
    sorted.sort_unstable();
    sorted.dedup();
    assert_eq!(sorted.len(), all.len(), "a line stands twice");
}

#[test]
fn every_offer_answers_its_question() {
    for (line, units) in lines() {
        let open = read(line, units).questions;
        for offer in open.iter().flat_map(|q| &q.offers) {
            let then = read(offer, units);
            assert!(then.questions.len() < open.len(), "{line}: {offer}: {:?}", then.questions);
            assert!(open.len() > 1 || then.room.is_some(), "{line}: {offer}");
        }
    }
}

#[test]
fn what_is_written_reads_back() {
    for (line, units) in lines() {
        let Read { room: Some(room), .. } = read(line, units) else { continue };
        let text = write(&room, units);
        let again = read(&text, units);
        assert_eq!(again.room.as_ref(), Some(&room), "{line}\n{text}\n{:?}", again.questions);
        assert_eq!(write(&again.room.unwrap(), units), text);
        // In the other system too: the measures are the same, only said otherwise.
        let other = if units == Units::Metric { Units::FeetInches } else { Units::Metric };
        let text = write(&room, other);
        assert_eq!(read(&text, other).room.as_ref(), Some(&room), "{line}\n{text}");
    }
}

/// The page's examples: what stands in back ticks in the first column of its tables.
#[test]
fn every_example_of_the_page_reads() {
    let page = include_str!("../../../docs/measure-sheet.md");
    let mut read_ones = 0;
    for row in page.lines().filter(|l| l.starts_with("| `")) {
        let (first, means) = row[2..].split_once(" | ").unwrap();
        for said in first.split('`').skip(1).step_by(2) {
            let begins = |words: &[&str]| words.iter().any(|w| said.starts_with(w));
            let line = if begins(&["den", "Bedroom", "13 x", "walls 12"]) && !said.ends_with("...") {
                said.to_string()
            } else if begins(&["bay", "square", "alcove", "chimney", "wall 2"]) {
                format!("den 13 x 11 x 8, {said}")
            } else if said.contains("in the bay") || begins(&["2 w", "two", "a pair", "36x54", "closet", "french"]) {
                format!("den 13 x 11 x 8, bay 9 x 2'6 on wall 1, {said}")
            } else if begins(&["door", "window", "cased", "archway", "3 boxes", "box", "6 holes", "8' of", "cracks"]) {
                format!("den 13 x 11 x 8, {said}")
            } else if begins(&["no casing", "..."]) {
                format!("den 13 x 11 x 8, door 32x80 wall 2 {}", said.trim_start_matches("..."))
            } else if means.contains("feet") {
                format!("den {said} x 12' x 8'")
            } else if let Some(metric) = means.contains("any job").then_some(said) {
                format!("den {metric} x 12' x 8'")
            } else {
                continue;
            };
            read_ones += 1;
            assert!(
                read(&line, Units::FeetInches).questions.is_empty(),
                "{line}: {:?}",
                read(&line, Units::FeetInches)
            );
        }
    }
    for line in page.lines().filter(|l| l.starts_with("study ") || l.starts_with("hall ")) {
        assert!(read(line, Units::FeetInches).room.is_some(), "{line}");
    }
    assert!(read_ones > 50, "{read_ones}");
}

#[test]
fn an_inch_is_exactly_25_4_millimetres() {
    // NIST SP 811, appendix B.8: inch to millimetre 2.54 E+01, exact.
    let [a, b] = ["den 156 in x 138 in x 100 in", "den 3962.4 mm x 3505.2 mm x 2540 mm"]
        .map(|l| read(l, Units::FeetInches).room.unwrap().size);
    assert_eq!(a, b);
    assert_eq!(a.unwrap().length, Length::from_feet(13.0));
}

#[test]
fn a_study_as_it_is_said() {
    let got = read("study 13' x 11'6 x 8'4, door 32x80, 2 windows 36x54", Units::FeetInches);
    assert_eq!(
        got.echo,
        "Study: 13' x 11'6\", 8'4\" high; one door 2'8\" x 6'8\"; two windows 3' x 4'6\"; \
         49' of wall, 149.5 SF of floor"
    );
    let room = got.room.unwrap();
    assert_eq!(room.size.unwrap().height, Length::from_inches(100.0));
    assert_eq!((room.openings[0].width, room.openings[1].count), (Length::from_inches(32.0), 2));
    assert_eq!(read("", Units::FeetInches), read("  ", Units::Metric));
}
