//! The head of papers in words: who does the work, for whom, the quote's number and how long it holds.
//!
//! Free lines are cleaned before they are set. Days are calendar days.

use chrono::Days;
use serde_json::{Value, json};

use super::paper::clean;
use super::{day_words, printable};
use crate::book::Book;
use crate::job::{Job, Letterhead, Quote};

/// What stands above the title of a paper: who does the work, and for whom; both sides empty where nothing is set.
pub fn letter_lines(job: &Job) -> [Vec<String>; 2] {
    let side = |lines: &[String]| lines.iter().map(|l| clean(l)).filter(|l| !l.is_empty()).collect::<Vec<_>>();
    let to = side(&job.letterhead.to);
    // An address says whose it is.
    let client = clean(&job.client);
    let to = if to.is_empty() || client.is_empty() || to[0].contains(&client) {
        to
    } else {
        std::iter::once(client).chain(to).collect()
    };
    [side(&job.letterhead.from), to]
}

/// Who signs for the work: the first line of who does it.
pub fn signer(job: &Job) -> String {
    letter_lines(job)[0].first().cloned().unwrap_or_else(|| "who does the work".into())
}

/// `Quote`, `Quote 27-014`.
pub fn quote_title(q: &Quote) -> String {
    let number = clean(&q.number);
    if number.is_empty() { "Quote".into() } else { format!("Quote {number}") }
}

/// `It holds until Thu 20 May 2027.`; none where that is not said.
pub fn holds_until(q: &Quote) -> Option<String> {
    let day = q.made_on.checked_add_days(Days::new(u64::from(q.valid_days?)))?;
    Some(format!("It holds until {}.", day_words(day)))
}

/// What the book offers a job, where that is other than what it has: the head it would have.
pub fn offered(job: &Job, book: &Book) -> Option<Letterhead> {
    let now = &job.letterhead;
    let from = if book.letterhead.is_empty() { &now.from } else { &book.letterhead };
    let with = Letterhead { from: from.clone(), valid_days: book.valid_days.or(now.valid_days), ..now.clone() };
    (with != *now).then_some(with)
}

/// Whether the book has something else of this head than it says, or nothing.
pub fn to_keep(job: &Job, book: &Book) -> bool {
    let l = &job.letterhead;
    !l.from.is_empty() && (l.from != book.letterhead || (l.valid_days.is_some() && l.valid_days != book.valid_days))
}

/// The head to read.
pub fn letterhead_text(job: &Job, book: &Book) -> String {
    let l = &job.letterhead;
    let mut out = format!("{}: the head of its papers\n\n", printable(&job.name));
    let mut side = |caption: &str, lines: &[String]| {
        let none = ["nothing is set".to_string()];
        let lines = if lines.is_empty() { &none[..] } else { lines };
        for (i, line) in lines.iter().enumerate() {
            out += &format!("  {:<22} {}\n", if i == 0 { caption } else { "" }, printable(line));
        }
    };
    side("who does the work", &l.from);
    side("the client's address", &l.to);
    side(
        "number of the quote",
        std::slice::from_ref(&l.number).iter().filter(|n| !n.is_empty()).cloned().collect::<Vec<_>>().as_slice(),
    );
    let days: Vec<String> = l.valid_days.iter().map(|d| format!("{d} days")).collect();
    side("a quote holds", &days);
    if offered(job, book).is_some() {
        out += "\nYour book has another head; --take uses it here.\n";
    }
    out
}

/// The head with stable names, and what the book has.
pub fn letterhead_json(job: &Job, book: &Book) -> Value {
    let l = &job.letterhead;
    json!({
        "job": job.name, "from": l.from, "to": l.to, "number": l.number, "valid_days": l.valid_days,
        "book": {"from": book.letterhead, "valid_days": book.valid_days}, "problems": [],
    })
}
