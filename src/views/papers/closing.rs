//! A job at its end on paper: what was promised, what was likely at first, what came; the hours of
//! each step against their estimate; what it came to in money; what it has taught. His own paper, never the client's.

use super::Set;
use crate::desk::close::Ending;
use crate::views::ended::{money_lines, rates};
use crate::views::ending::heads;
use crate::views::holds::step_name;
use crate::views::letterhead::letter_lines;
use crate::views::paper::{Block, Cell, Head, Ink, Page, Size, clean, document, pair, paragraph, row, ruled};
use crate::views::{capital, quote_lines};

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
        letter: letter_lines(job),
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
    blocks.push(set.head("Money"));
    let wide = (set.size * 13.0, set.wide);
    blocks.extend(
        money_lines(e).iter().map(|(what, value)| pair(&capital(what), &clean(value), set.size, wide, Ink::Ink)),
    );
    blocks.extend(learned(e, set));
    blocks.extend(set.list("Quoted", &quote_lines(job)));
    document(set.sheet, &head, blocks)
}

/// The rates that moved, a line or more each; the rest in one.
fn learned(e: &Ending, set: Set) -> Vec<Block> {
    let told = rates(e);
    let mut out = vec![set.head("What it has taught: hours a unit")];
    if told.moved.is_empty() {
        let words = if told.rest.is_empty() { "No finished step shows a rate." } else { "No rate moved." };
        out.push(paragraph(words, set.size, set.wide, Ink::Ink));
    } else {
        let at = [0.0, 0.39, 0.58, 0.83].map(|x| x * set.wide);
        let ends = [at[1], at[2], at[3], set.wide];
        let line = |texts: [&str; 4], quiet: bool| {
            let cell = |i: usize| {
                let c = Cell::left(at[i], ends[i] - set.size * if i == 3 { 0.0 } else { 1.0 }, clean(texts[i]));
                if quiet { c.quiet() } else { c }
            };
            row(&[0, 1, 2, 3].map(cell), set.size)
        };
        out.push(line(["row", "this job", "before", "the book, if it learns"], true).kept());
        out.extend(told.moved.iter().map(|r| line([&r[0], &r[1], &r[2], &r[3]], false)));
    }
    if !told.rest.is_empty() {
        out.push(paragraph(&clean(&told.rest), set.size, set.wide, Ink::Quiet));
    }
    out
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
    let mut out = vec![("hours quoted", format!("{:.1} of {:.1} estimated{share}", quoted.1, quoted.0))];
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
    // The sum stands with the last steps.
    out.iter_mut().rev().take(2).for_each(|b| b.keeps = true);
    let (estimate, hours) = (both(e, Was::Quoted).0 + both(e, Was::Agreed).0, e.closing.hours);
    let sums = [format!("{estimate:.1}"), format!("{hours:.1}"), more(hours - estimate)];
    out.push(ruled(cells("all of it", sums, true, false), set.wide, set.size));
    out
}
