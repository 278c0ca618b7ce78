//! A job at its end on paper: what was promised, what was likely at first, what came; the hours of
//! each step against their estimate; what it has taught. His own paper, never the client's.

use super::Set;
use crate::desk::close::Ending;
use crate::views::ending::{heads, row_words};
use crate::views::holds::step_name;
use crate::views::paper::{Block, Cell, Head, Ink, Page, Size, clean, document, pair, paragraph, row, ruled};
use crate::views::quote_lines;

/// `+1.5`, `0.0`.
fn more(x: f64) -> String {
    if x.abs() < 0.05 { "0.0".into() } else { format!("{x:+.1}") }
}

/// The pages of a closed job.
pub fn closing_papers(e: &Ending, size: Size) -> Vec<Page> {
    let job = &e.sound.job;
    let set = Set::new(size.sheet(false));
    let client = if job.client.is_empty() { String::new() } else { format!(" for {}", job.client) };
    let head = Head {
        over: format!("{}{client}", job.name),
        title: "What came of it".into(),
        right: String::new(),
        under: vec![format!("Closed on {}", e.closing.day.format("%A %-d %B %Y"))],
    };
    let mut blocks: Vec<Block> = vec![set.head("Days and hours")];
    let at = (set.size * 9.0, set.wide);
    blocks.extend(heads(e).iter().map(|(caption, value)| pair(caption, &clean(value), set.size, at, Ink::Ink)));
    if !e.undone.is_empty() {
        let names: Vec<String> = e.undone.iter().map(|&s| step_name(&e.sound, s)).collect();
        blocks.extend(set.list("Not written up as finished, left out below", &names));
    }
    blocks.extend(hours(e, set));
    let learned: Vec<String> = e
        .rows
        .iter()
        .map(|r| {
            let asked = if r.asked { "; far outside its range: was it written up rightly?" } else { "" };
            format!("{}{asked}", row_words(job.units, r))
        })
        .collect();
    blocks.extend(set.list("What it has taught: the rates this job shows", &learned));
    if learned.is_empty() {
        blocks.push(set.head("What it has taught"));
        blocks.push(paragraph("No finished step shows a rate.", set.size, set.wide, Ink::Ink));
    }
    blocks.extend(set.list("Quoted", &quote_lines(job)));
    document(set.sheet, &head, blocks)
}

/// A line a step, and their sums.
fn hours(e: &Ending, set: Set) -> Vec<Block> {
    let column = set.size * 5.5;
    let ends = [set.wide - 2.0 * column, set.wide - column, set.wide];
    let cells = |what: &str, figures: [String; 3], bold: bool, quiet: bool| {
        let name = Cell::left(0.0, ends[0] - column, clean(what));
        let figures = ends.iter().zip(figures).map(|(&to, text)| Cell::right(to - column, to, text));
        let look = |c: Cell| {
            if bold {
                c.bold()
            } else if quiet {
                c.quiet()
            } else {
                c
            }
        };
        row(&std::iter::once(name).chain(figures).map(look).collect::<Vec<_>>(), set.size)
    };
    let mut out = vec![set.head("Hours of each step")];
    let words = ["estimate, h", "spent, h", "more, h"].map(String::from);
    out.push(cells("", words, false, true).kept());
    for s in &e.steps {
        let name = step_name(&e.sound, s.step);
        let figures = [format!("{:.1}", s.estimate), format!("{:.1}", s.spent), more(s.spent - s.estimate)];
        out.push(cells(&name, figures, false, false));
    }
    let c = &e.closing;
    let sums = [format!("{:.1}", c.estimate), format!("{:.1}", c.hours), more(c.hours - c.estimate)];
    out.push(ruled(cells("all of it", sums, true, false), set.wide, set.size));
    out
}
