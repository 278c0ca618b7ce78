//! The window says what the text commands say.

use std::sync::OnceLock;

use chrono::{Datelike as _, NaiveDate, Weekday};
use roomback::cli;
use roomback::ui::action::Command;
use roomback::ui::theme::size;

use crate::driver::{FEW, Named, SAMPLES, SMALL, Used, sample};

/// A sample in the window and in the text command, from the same number of trials.
struct Both {
    name: &'static str,
    /// Names of everything on the strip.
    shown: Vec<String>,
    copied: Option<String>,
    printed: String,
}

impl Both {
    /// The figure under a caption of the strip.
    fn figure(&self, caption: &str) -> &str {
        let all: Vec<&String> = self.shown.iter().filter(|n| n.starts_with(caption)).collect();
        assert_eq!(all.len(), 1, "{}, {caption}: {:?}", self.name, self.shown);
        all[0].rsplit_once(": ").expect("caption and figure").1
    }

    /// What stands behind a word at the head of the printed forecast.
    fn line(&self, word: &str) -> Option<&str> {
        self.printed.lines().take(8).find_map(|l| l.trim_start().strip_prefix(word)).map(str::trim)
    }

    /// The day behind a word: `Wed 14 Apr 2027`.
    fn day(&self, word: &str) -> Option<NaiveDate> {
        let day: Vec<&str> = self.line(word)?.split_whitespace().take(4).collect();
        Some(NaiveDate::parse_from_str(&day.join(" "), "%a %d %b %Y").expect("a day"))
    }
}

fn all() -> &'static [Both] {
    static ALL: OnceLock<Vec<Both>> = OnceLock::new();
    ALL.get_or_init(|| {
        let both = |name| {
            let (path, trials) = (sample(name), FEW.to_string());
            let out = cli::run(["roomback", "forecast", &path, "--trials", &trials]);
            assert_eq!(out.code, 0, "{}", out.text);
            let mut w = Used::open(name, SMALL, FEW);
            let strip = |n: &Named| n.rect.bottom() <= size::STRIP;
            let shown = w.named().into_iter().filter(strip).map(|n| n.name).collect();
            Both { name, shown, copied: w.copied_by(Command::CopyOdds), printed: out.text }
        };
        SAMPLES.map(both).into()
    })
}

#[test]
fn the_strip_says_what_the_forecast_says() {
    let said = |d: NaiveDate| d.format("%a %-d %b").to_string();
    let mut targets = 0;
    for b in all() {
        let (likely, safe) = (b.day("Likely").expect("likely"), b.day("Safe to promise").expect("safe"));
        assert_eq!(b.figure("likely"), said(likely), "{}", b.name);
        assert_eq!(b.figure("safe to promise"), said(safe), "{}", b.name);
        for (caption, word) in [("promised", "Promised"), ("asked for", "Asked for")] {
            let Some(day) = b.day(word) else { continue };
            targets += 1;
            assert_eq!(b.figure(caption), said(day), "{}", b.name);
            // "Fri 9 Apr 2027          34 % in time"
            let line = b.line(word).unwrap();
            assert!(line.ends_with(&format!("  {} in time", b.figure("chance"))), "{}: {line}", b.name);
            let slip = b.figure("slip");
            let right = match word {
                "Promised" if likely > day => slip.ends_with(" late"),
                "Promised" => slip == "nothing lost",
                _ if safe > day => slip.ends_with(" short"),
                _ => slip.ends_with(" to spare") || slip == "just enough",
            };
            assert!(right, "{}: {slip}", b.name);
        }
    }
    assert!(targets >= 4, "{targets} samples have a day of the client's");
}

#[test]
fn the_odds_copied_are_the_forecast_printed() {
    for b in all() {
        assert_eq!(b.copied.as_deref(), Some(b.printed.as_str()), "{}", b.name);
    }
}

#[test]
fn a_slip_is_counted_in_working_days() {
    // The study's one person works Monday to Friday, and takes no day off before May.
    let study = all().iter().find(|b| b.name == "study").unwrap();
    let (asked, safe) = (study.day("Asked for").unwrap(), study.day("Safe to promise").unwrap());
    let works = |d: &NaiveDate| !matches!(d.weekday(), Weekday::Sat | Weekday::Sun);
    let days = asked.iter_days().skip(1).take_while(|d| *d <= safe).filter(works).count();
    assert!(days > 0);
    assert_eq!(study.figure("slip"), format!("{days} days short"));
}
