//! Figures, rows, texts and JSON values of the desk's answers: data first, words last.
//!
//! Pure: a view reads a job, a plan or a forecast and never changes one. Times are local,
//! days of the job's calendar; JSON times are `YYYY-MM-DDTHH:MM`. It refuses to know files,
//! screens and terminals.

mod against;
pub mod air;
mod buying;
mod cautions;
mod calendar;
mod chance;
mod change;
pub mod change_order;
pub mod choices;
pub mod client;
mod dates;
mod days;
mod differs;
mod drytime;
pub mod drawing;
pub mod eating;
pub mod ended;
pub mod letterhead;
mod ending;
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
pub mod papers;
mod plan;
mod plan_text;
pub mod plan_words;
mod price;
mod problems;
mod promise;
mod quote;
pub mod quoted;
pub mod said;
pub mod recipes;
pub mod section;
mod shares;
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
mod message;
mod ways_back;
mod ways_chart;
pub mod walkround;

pub use against::{Against, against, first_against};
pub use air::{air_json, air_text};
pub use buying::{
    Behind, BuyLine, StickDrawn, behind, buy_line, buying_json, buying_text, buying_total, had_words, nothing_words,
    order_days, order_words, stick_drawn, stick_words, supplier_total,
};
pub use calendar::{Event, Span, client_events, revision, work_events};
pub use cautions::{cautions, cautions_of, cautions_text};
pub use chance::chance_words;
pub use change::{LostDays, change_json, change_text, clean_moves, day_json, day_line, lost_days, lost_days_of};
pub use change_order::{effect_words, order_json, order_text, orders_text, promise_words};
pub use dates::{Almanac, day_words, instant_words, iso, iso_day};
pub use days::{Portion, portions, trip_minutes, working_days};
pub use ending::{
    OwnRate, book_json, book_text, ending_json, ending_text, own_rates, rates_json, rates_line, rates_text,
    scores_text, undecided, whose,
};
pub use figure::{Figure, and_more, numbered, numbered_from_second, numbered_of, whole};
pub use forecast::{ForecastView, causes_words, forecast_json};
pub use forecast_text::{forecast_text, in_ten};
pub use holds::{Why, chain_words, reason_word, sentence, stretches_text, until_words, why};
pub use message::{message_json, message_text};
pub use moved::{Slip, moved_json, moved_text, reasons, slip};
pub use options::{
    OptionColumn, OptionOf, change_price, option_columns, option_columns_priced, option_name, option_price,
    options_head, options_json, options_text,
};
pub use plan::{Offer, PlanView, StepRow, plan_json, tried_words};
pub use plan_text::{plan_text, wait_words};
pub use price::{
    ANEW, PriceRow, agreed_figure, difference_words, kind_key, line_words, pay_words, payment_figure, payment_words,
    price_json, price_notes, price_odds, price_rows, price_strip, price_text, quote_lines, supplier_words, trusted,
};
pub use problems::{ProblemRow, problem_rows, problems_json, problems_text, syntax_json, syntax_row, syntax_text};
pub use promise::{
    PromiseDay, holidays_offered, may_promise, may_withdraw, promise_day, promise_days, promise_json, promise_lines,
    promise_lost, promise_notes, promise_of, promise_text, withdrawal_of,
};
pub use quote::{hours_written, quote_of};
pub use quoted::{NoQuote, Quoted, held_payments, may_quote, quote_json, quote_text};
pub use said::said_day;
pub use shares::share_of_work;
pub use sheet::{line_json, line_text, sheet_json, sheet_text};
pub use starts::{ask_words, begin_words, begins_words, latest_words, safe_figure, start_why, start_words, starts_why};
pub use strip::{
    COUNTED, JOB_LINE, NONE_YET, Reading, ShownDays, StripFigure, Tone, cost_words, job_line, nothing_to_do, strip,
    what_if_words, workdays_between,
};
pub use study::{cpm_json, cpm_text, units};
pub use tables::{Cell, Table, days_table, plan_table, takeoff_table};
pub use takeoff::{RoomRows, TakeoffRow, takeoff_json, takeoff_rows, takeoff_text};
pub use today::{DaySheet, Doing, ToOrder, TodayView, today_json, today_text};
pub use underway::{
    Broke, as_of_json, as_of_line, broke, broke_json, moment_words, open_days, open_line, open_words, read_moment,
    stands,
};
pub use ways_back::{
    WayRow, best_words, cents_words, changed_words, dollars, first_back_words, lever_words, notice, progress_words,
    stands_words, taken_json, taken_text, taken_words, way_rows, way_words, ways_button, ways_head, ways_json,
    ways_text,
};
pub use ways_chart::{WayMark, WaysChart};

/// First letter large.
pub fn capital(text: &str) -> String {
    let mut c = text.chars();
    c.next().map(|f| f.to_uppercase().chain(c).collect()).unwrap_or_default()
}

/// The name of a thing of the job, its id where it has none.
pub(crate) fn named<'a>(name: &'a str, id: &'a str) -> &'a str {
    if name.is_empty() { id } else { name }
}

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

/// A name of the file as it may stand in a line: what would move or hide other text is a blank.
pub fn printable(text: &str) -> String {
    let hides = |c: char| {
        c.is_control()
            || matches!(c, '\u{200E}' | '\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FEFF}')
    };
    text.chars().map(|c| if hides(c) { ' ' } else { c }).collect()
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
