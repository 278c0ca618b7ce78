//! A job at its end on paper: what was promised, what was likely at first, what came; the hours of
//! each step against their estimate; what it has taught. His own paper, never the client's.

use super::Set;
use crate::desk::close::Ending;
use crate::views::ending::{heads, row_plain_words};
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
    let plain = heads(e).into_iter().filter(|(caption, _)| caption != "hours");
    blocks.extend(plain.map(|(caption, value)| pair(&caption, &clean(&value), set.size, at, Ink::Ink)));
    blocks.extend(sums(e).iter().map(|(caption, value)| pair(caption, &clean(value), set.size, at, Ink::Ink)));
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
            format!("{}{asked}", row_plain_words(job.units, r))
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

/// What a finished step was: quoted, agreed on top, or done again.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Was {
    Quoted,
    Agreed,
    Again,
}

fn was(e: &Ending, step: usize) -> Was {
    let id = &e.sound.graph.steps[step].id;
    if id.contains("+again") {
        return Was::Again;
    }
    let agreed = e.sound.job.changes.iter().any(|c| c.adds.contains(id));
    if agreed { Was::Agreed } else { Was::Quoted }
}

/// Hours estimated and spent of one kind of step.
fn both(e: &Ending, kind: Was) -> (f64, f64) {
    let of = e.steps.iter().filter(|s| was(e, s.step) == kind);
    of.fold((0.0, 0.0), |a, s| (a.0 + s.estimate, a.1 + s.spent))
}

/// Hours quoted, agreed on top with what the client pays for it, and done again, which nobody pays.
fn sums(e: &Ending) -> Vec<(&'static str, String)> {
    let (quoted, agreed, again) = (both(e, Was::Quoted), both(e, Was::Agreed), both(e, Was::Again));
    let share = if quoted.0 > 0.0 && (quoted.1 / quoted.0 - 1.0).abs() >= 0.005 {
        format!(", {:+.0} %", (quoted.1 / quoted.0 - 1.0) * 100.0)
    } else {
        ", as estimated".into()
    };
    let mut out = vec![("hours", format!("{:.1} of {:.1} estimated{share}", quoted.1, quoted.0))];
    if agreed.1 > 0.0 {
        let added = e.sound.job.changes.iter().filter(|c| !c.adds.is_empty());
        let cents = added.filter_map(|c| c.cents).reduce(i64::saturating_add);
        let price =
            cents.map_or_else(String::new, |c| format!("; the client pays {} for it", crate::measure::Money(c)));
        out.push(("agreed on top", format!("{:.1} h of {:.1} estimated{price}", agreed.1, agreed.0)));
    }
    if again.1 > 0.0 {
        out.push(("done again", format!("{:.1} h, in no estimate and paid by nobody", again.1)));
    }
    out
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
        // What is done again was in no estimate.
        let estimate = if was(e, s.step) == Was::Again { 0.0 } else { s.estimate };
        let figures = [format!("{estimate:.1}"), format!("{:.1}", s.spent), more(s.spent - estimate)];
        out.push(cells(&name, figures, false, false));
    }
    let (estimate, hours) = (both(e, Was::Quoted).0 + both(e, Was::Agreed).0, e.closing.hours);
    let sums = [format!("{estimate:.1}"), format!("{hours:.1}"), more(hours - estimate)];
    out.push(ruled(cells("all of it", sums, true, false), set.wide, set.size));
    out
}
