//! The papers of a job as pages: each from the data of its text command, laid out once for every file.
//!
//! What the client signs or reads (`quote`, `change`) has no hours, rates or costs of the
//! tradesman; days, section, buying list and closing page are his own. Names of the file are
//! cleaned before they are set; nothing is left out but what a line says it leaves out.

mod buying;
mod change;
mod closing;
mod days;
mod quote;
mod section;

pub use buying::buying_papers;
pub use change::change_papers;
pub use closing::closing_papers;
pub use days::day_papers;
pub use quote::quote_papers;
pub use section::section_papers;

use super::paper::{Block, Cell, Ink, Sheet, clean, heading, item, row, ruled};

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
        let to = self.wide * 0.66;
        let from = to - self.size * 9.0;
        row(&[Cell::left(0.0, from - self.size, clean(what)), Cell::right(from, to, value)], self.size)
    }

    /// The sum under such lines.
    fn sum(&self, what: &str, value: &str) -> Block {
        let to = self.wide * 0.66;
        let from = to - self.size * 9.0;
        let cells = [Cell::left(0.0, from - self.size, what).bold(), Cell::right(from, to, value).bold()];
        ruled(row(&cells, self.size), to, self.size)
    }

    /// Lines to sign on: who, and below the line what belongs there.
    fn signatures(&self, who: &[&str]) -> Vec<Block> {
        let mut out = vec![self.head("Agreed")];
        let (name, day) = (self.wide * 0.55, self.wide * 0.62);
        for (i, w) in who.iter().enumerate() {
            let cells = [
                Cell::left(0.0, name, clean(w)).quiet(),
                Cell::left(day, self.wide * 0.85, "day").quiet(),
            ];
            let mut block = row(&cells, self.size);
            let down = self.size * 2.2;
            block.marks = block.marks.into_iter().map(|m| m.moved(0.0, down)).collect();
            let mut line = |from: f32, to: f32| {
                let y = down - self.size * 0.1;
                let (from, to) = ((from, y), (to, y));
                block.marks.push(super::paper::Mark::Line { from, to, width: self.size * 0.07, ink: Ink::Ink });
            };
            line(0.0, name);
            line(day, self.wide * 0.85);
            block.height += down;
            block.keeps = i + 1 < who.len();
            out.push(block);
        }
        out
    }
}
