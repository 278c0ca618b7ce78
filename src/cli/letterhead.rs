//! The command of what papers say above their title: shown, or written into the job file and the book.

use super::Output;
use super::apply::{Applied, written};
use super::args::LetterheadArgs;
use super::commands::{Done, found, json_text, open_sound, put_applied};
use super::facts::the_book;
use crate::job::{Edit, Letterhead, MOST_LINES, edited};
use crate::store;
use crate::views::letterhead::{letterhead_json, letterhead_text, offered};

pub(super) fn letterhead(a: &LetterheadArgs) -> Done {
    match writes(a) {
        true => store::locked(&a.job.job, || now(a)).map_err(Output::wrong)?,
        false => now(a),
    }
}

/// Whether something of the head is named.
fn writes(a: &LetterheadArgs) -> bool {
    a.take || a.number.is_some() || a.valid.is_some() || !a.from.is_empty() || !a.to.is_empty()
}

/// Lines in place of those there, where any are said; empty ones are left out.
fn lines(name: &str, said: &[String], there: &[String]) -> Result<Vec<String>, Output> {
    if said.is_empty() {
        return Ok(there.to_vec());
    }
    let all: Vec<String> = said.iter().map(|l| l.trim().to_string()).filter(|l| !l.is_empty()).collect();
    match all.len() {
        n if n > MOST_LINES => {
            Err(Output::wrong(format!("{name}: {n} lines, at most {MOST_LINES}; join some with a comma")))
        }
        _ => Ok(all),
    }
}

fn now(a: &LetterheadArgs) -> Done {
    let (text, sound) = open_sound(&a.job)?;
    let (file, mut book) = the_book(a.book.as_ref())?;
    let mut job = sound.job.clone();
    let was = job.letterhead.clone();
    if a.take && book.letterhead.is_empty() && book.valid_days.is_none() {
        let why = "--take: your book has no head of papers yet; --keep writes this job's into it";
        return Err(Output::wrong(why));
    }
    let taken = if a.take { offered(&job, &book).unwrap_or_else(|| was.clone()) } else { was.clone() };
    let valid_days = match a.valid {
        Some(0) => None,
        Some(d) => Some(d),
        None => taken.valid_days,
    };
    let head = Letterhead {
        from: lines("--from", &a.from, &taken.from)?,
        to: lines("--to", &a.to, &taken.to)?,
        number: a.number.as_ref().map_or(taken.number, |n| n.trim().to_string()),
        valid_days,
    };
    let mut applied = None;
    if head != was {
        job = edited(&job, &[Edit::Letterhead(Box::new(head.clone()))]);
        let plan = found(&a.job, &sound, false)?;
        applied = Some(written(&a.job.job, &text, &job, &plan).map_err(Output::wrong)?);
    } else if writes(a) {
        applied = Some(Applied::same(&a.job.job));
    }
    if a.keep {
        if head.from.is_empty() && head.valid_days.is_none() {
            return Err(Output::wrong(
                "--keep: nothing is set that your book could keep; say who does the work with --from",
            ));
        }
        book = store::book::change(&file, &move |b| {
            b.keep_letterhead(&head.from, head.valid_days);
        })
        .map_err(Output::wrong)?;
    }
    if a.job.json {
        let mut v = letterhead_json(&job, &book);
        put_applied(&mut v, applied.as_ref());
        return Ok(Output::fine(json_text(&v)));
    }
    let mut out = letterhead_text(&job, &book);
    if a.keep {
        out += &format!("\nKept in your book {}.\n", file.display());
    }
    match &applied {
        Some(_) if was == job.letterhead => out += "\nIt says so already; nothing was written.\n",
        Some(done) => out += &format!("\n{}", done.words()),
        None => {}
    }
    Ok(Output::fine(out))
}
