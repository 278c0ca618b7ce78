//! The papers of a job as pages: each from the data of its text command, laid out once for every file.
//!
//! What the client signs or reads (`quote`, `change`) has no hours, rates or costs of the
//! tradesman; days, section, buying list and closing page are his own. Names of the file are
//! cleaned before they are set; nothing is left out but what a line says it leaves out.

mod ask;
mod buying;
mod change;
mod closing;
mod days;
mod pen;
mod quote;
mod section;

pub use ask::{
    Paper, PaperAsk, Printed, Refusal, buying_print, change_choices, change_print, client_print, closing_print,
    days_print, page_words, quote_print, room_choices, section_print,
};
pub use buying::buying_papers;
pub use change::change_papers;
pub use closing::closing_papers;
pub use days::day_papers;
pub use quote::quote_papers;
pub use section::section_papers;

use super::paper::{Block, Cell, Ink, Mark, Sheet, clean, heading, item, row, ruled};

/// A box to tick, its top left at a place, as wide as high.
fn tick((x, y): (f32, f32), high: f32) -> Mark {
    let points = vec![(x, y), (x + high, y), (x + high, y + high), (x, y + high)];
    Mark::Shape { points, fill: None, line: Some((Ink::Ink, high * 0.1)) }
}

/// Text and air of a paper read from top to bottom.
#[derive(Clone, Copy)]
struct Set {
    sheet: Sheet,
    /// Size of its text.
    size: f32,
    /// Width of its column.
    wide: f32,
}

impl Set {
    fn new(sheet: Sheet) -> Set {
        Set { sheet, size: sheet.unit * 1.15, wide: sheet.w - 2.0 * sheet.margin }
    }

    fn head(&self, text: &str) -> Block {
        heading(text, self.size * 1.2, self.wide, Ink::Ink)
    }

    /// A heading and the lines under it; nothing where there are none.
    fn list(&self, head: &str, lines: &[String]) -> Vec<Block> {
        if lines.is_empty() {
            return Vec::new();
        }
        let lines = lines.iter().map(|l| item(&clean(l), self.size, self.wide, Ink::Ink));
        std::iter::once(self.head(head)).chain(lines).collect()
    }

    /// What, and how much of it at the right of two thirds of the column.
    fn amount(&self, what: &str, value: &str) -> Block {
        row(&self.amount_cells((0.0, self.wide * 0.66), what, value), self.size)
    }

    fn amount_cells(&self, (left, right): (f32, f32), what: &str, value: &str) -> [Cell; 2] {
        let from = right - self.size * 8.0;
        [Cell::left(left, from - self.size, clean(what)), Cell::right(from, right, value)]
    }

    /// Two lists of amounts side by side, each under its head; the last of the first is its sum.
    fn amounts(&self, heads: [&str; 2], first: &[(String, String)], second: &[(String, String)]) -> Vec<Block> {
        let halves = [(0.0, self.wide * 0.46), (self.wide * 0.54, self.wide)];
        let big = self.size * 1.2;
        let mut head = row(&[0, 1].map(|i| Cell::left(halves[i].0, halves[i].1, heads[i]).bold()), big);
        head.marks = head.marks.into_iter().map(|m| m.moved(0.0, big * 0.7)).collect();
        head.height += big * 0.7;
        let mut out = vec![head.kept()];
        for i in 0..first.len().max(second.len()) {
            let sum = i + 1 == first.len();
            let mut cells = Vec::new();
            if let Some((what, value)) = first.get(i) {
                let both = self.amount_cells(halves[0], what, value);
                cells.extend(both.map(|c| if sum { c.bold() } else { c }));
            }
            if let Some((what, value)) = second.get(i) {
                cells.extend(self.amount_cells(halves[1], what, value));
            }
            let line = row(&cells, self.size);
            out.push(if sum { ruled(line, halves[0].1, self.size) } else { line });
        }
        out
    }

    /// Lines to sign on, side by side: who, and the day.
    fn signatures(&self, who: [&str; 2]) -> Vec<Block> {
        let half = self.wide * 0.54;
        let (name, day, end) = (self.wide * 0.28, self.wide * 0.31, self.wide * 0.46);
        let down = self.size * 2.4;
        let cells = [0, 1].map(|i| {
            let from = half * i as f32;
            let line = |a: f32, b: f32, text: &str| Cell::left(from + a, from + b, clean(text)).quiet();
            [line(0.0, name, who[i]), line(day, end, "day")]
        });
        let mut block = row(&cells.concat(), self.size);
        block.marks = block.marks.into_iter().map(|m| m.moved(0.0, down)).collect();
        for c in cells.iter().flatten() {
            let y = down - self.size * 0.1;
            let (from, to) = ((c.from, y), (c.to, y));
            block.marks.push(Mark::Line { from, to, width: self.size * 0.07, ink: Ink::Ink });
        }
        block.height += down;
        vec![self.head("Agreed"), block]
    }
}
