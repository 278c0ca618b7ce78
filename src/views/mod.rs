//! Figures, rows, texts and JSON values of the desk's answers: data first, words last.
//!
//! Pure: a view reads a job, a plan or a forecast and never changes one. Times are local,
//! days of the job's calendar; JSON times are `YYYY-MM-DDTHH:MM`. It refuses to know files,
//! screens and terminals.

pub mod air;
mod cautions;
mod calendar;
mod chance;
mod change;
pub mod choices;
pub mod client;
mod dates;
mod day_papers;
mod days;
mod drytime;
pub mod drawing;
pub mod eating;
pub mod entries;
pub mod face;
mod figure;
mod forecast;
mod forecast_text;
mod holds;
pub mod inspect;
mod moved;
pub mod mybook;
mod options;
pub mod other_hours;
pub mod paper;
mod plan;
mod plan_text;
pub mod plan_words;
mod problems;
mod promise;
pub mod said;
pub mod recipes;
pub mod section;
mod sheet;
pub mod site;
mod starts;
mod strip;
mod study;
mod tables;
mod takeoff;
mod today;
mod underway;
mod steps;
pub mod typed;
pub mod walkround;

pub use air::{air_json, air_text};
pub use calendar::{Event, Span, client_events, revision, work_events};
pub use cautions::{cautions, cautions_of, cautions_text};
pub use chance::chance_words;
pub use change::{LostDays, change_json, change_text, clean_moves, day_json, day_line, lost_days, lost_days_of};
pub use dates::{Almanac, day_words, instant_words, iso, iso_day};
pub use day_papers::day_papers;
pub use days::{Portion, portions, trip_minutes, working_days};
pub use figure::{Figure, and_more, numbered, numbered_from_second, numbered_of, whole};
pub use forecast::{ForecastView, causes_words, forecast_json};
pub use forecast_text::{forecast_text, in_ten};
pub use holds::{Why, chain_words, reason_word, sentence, stretches_text, until_words, why};
pub use moved::{Slip, moved_json, moved_text, reasons, slip};
pub use options::{OptionColumn, OptionOf, option_columns, option_name, options_head, options_json, options_text};
pub use plan::{Offer, PlanView, StepRow, plan_json, tried_words};
pub use plan_text::{plan_text, wait_words};
pub use problems::{ProblemRow, problem_rows, problems_json, problems_text, syntax_json, syntax_row, syntax_text};
pub use promise::{
    PromiseDay, holidays_offered, may_promise, promise_day, promise_days, promise_json, promise_lines, promise_of,
    promise_text,
};
pub use said::said_day;
pub use sheet::{line_json, line_text, sheet_json, sheet_text};
pub use starts::{ask_words, latest_words, safe_words, start_words};
pub use strip::{
    COUNTED, JOB_LINE, Reading, ShownDays, StripFigure, Tone, cost_words, job_line, strip, workdays_between,
};
pub use study::{cpm_json, cpm_text, units};
pub use tables::{Cell, Table, days_table, plan_table, takeoff_table};
pub use takeoff::{RoomRows, TakeoffRow, takeoff_json, takeoff_rows, takeoff_text};
pub use today::{DaySheet, Doing, ToOrder, TodayView, today_json, today_text};
pub use underway::{Broke, as_of_json, as_of_line, broke, broke_json, moment_words, read_moment, stands};

/// Words laid out from column `at` on, no line past column 100; `first` stands before them.
fn laid(first: &str, at: usize, text: &str) -> String {
    let mut line = format!("{first:<at$}");
    let mut out = String::new();
    let mut begun = false;
    // A figure stays with its unit.
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match words.last_mut() {
            Some(last) if word.len() <= 2 && last.starts_with(|c: char| c.is_ascii_digit()) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_string()),
        }
    }
    for word in &words {
        if begun && line.chars().count() + 1 + word.chars().count() > 100 {
            out += line.trim_end();
            out.push('\n');
            line = " ".repeat(at);
            begun = false;
        }
        if begun {
            line.push(' ');
        }
        line += word;
        begun = true;
    }
    out += line.trim_end();
    out.push('\n');
    out
}

/// `10,000`.
fn thousands(n: usize) -> String {
    let digits = n.to_string();
    let mut out = String::new();
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(c);
    }
    out
}

/// A temperature in the units of the job, from degrees F: `68 F`, `20 C`.
fn temperature(units: crate::job::Units, f: f64) -> String {
    match units {
        crate::job::Units::FeetInches => format!("{f:.0} F"),
        crate::job::Units::Metric => format!("{:.0} C", (f - 32.0) / 1.8),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_sentences_go_on_below_their_own_beginning() {
        let text = "word ".repeat(40);
        let out = laid("  Mon 1 Mar 8:15", 20, &text);
        assert!(out.starts_with("  Mon 1 Mar 8:15    word word"), "{out}");
        assert!(out.lines().all(|l| l.len() <= 100 && !l.ends_with(' ')) && out.lines().count() == 3, "{out}");
        assert!(out.lines().skip(1).all(|l| l.starts_with(&format!("{}word", " ".repeat(20)))), "{out}");
        assert_eq!(laid("  a", 6, ""), "  a\n");
    }

    #[test]
    fn figures_read_as_the_job_writes_them() {
        assert_eq!(
            (thousands(500), thousands(10_000), thousands(1_000_000)),
            ("500".into(), "10,000".into(), "1,000,000".into())
        );
        // 68 F is 20 C by the definition of the scales.
        assert_eq!(temperature(crate::job::Units::Metric, 68.0), "20 C");
        assert_eq!(temperature(crate::job::Units::FeetInches, 68.4), "68 F");
    }
}
