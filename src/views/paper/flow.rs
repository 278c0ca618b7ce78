//! Blocks set one below the other in columns, going on in the next column and on the next page.
//!
//! A block never breaks: it is a heading, a paragraph or a line of a list, and no higher than its
//! most lines. A heading takes the block behind it along.

use super::{Ink, Mark, fit, wrap};
use crate::views::face::{self, Weight};

/// Lines a paragraph has at most.
const MOST: usize = 10;

/// Marks from the top left of a column, and their height.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    pub height: f32,
    pub marks: Vec<Mark>,
    /// Stands with the block behind it.
    pub keeps: bool,
}

/// Lines of text of one look, set `at` from the left of a column.
fn lines(text: &str, size: f32, weight: Weight, ink: Ink, (at, width): (f32, f32)) -> (f32, Vec<Mark>) {
    let step = size * 1.28;
    let up = face::ascent(size, weight);
    let set = wrap(text, size, weight, width - at, MOST);
    let marks = set.iter().enumerate().map(|(i, l)| Mark::Text {
        x: at,
        y: up + step * i as f32,
        size,
        weight,
        ink,
        text: l.clone(),
    });
    (step * set.len() as f32, marks.collect())
}

/// A heading.
pub fn heading(text: &str, size: f32, width: f32, ink: Ink) -> Block {
    let (height, marks) = lines(text, size, Weight::SemiBold, ink, (0.0, width));
    let marks = marks.into_iter().map(|m| m.moved(0.0, size * 0.7)).collect();
    Block { height: height + size * 1.0, marks, keeps: true }
}

/// A paragraph.
pub fn paragraph(text: &str, size: f32, width: f32, ink: Ink) -> Block {
    let (height, marks) = lines(text, size, Weight::Regular, ink, (0.0, width));
    Block { height: height + size * 0.3, marks, keeps: false }
}

/// A line of a list, with a dash drawn before it.
pub fn item(text: &str, size: f32, width: f32, ink: Ink) -> Block {
    let at = size * 0.9;
    let (height, mut marks) = lines(text, size, Weight::Regular, ink, (at, width));
    let y = face::ascent(size, Weight::Regular) - size * 0.26;
    marks.push(Mark::Line { from: (0.0, y), to: (size * 0.5, y), width: size * 0.07, ink });
    Block { height: height + size * 0.3, marks, keeps: false }
}

/// Two texts side by side, the first `at` wide; where it is wider, they stand below each other.
pub fn pair(first: &str, second: &str, size: f32, (at, width): (f32, f32), ink: Ink) -> Block {
    let wide = face::width(first, size, Weight::SemiBold);
    let (high, mut marks) = lines(first, size, Weight::SemiBold, ink, (0.0, width));
    let beside = wide + size * 0.5 <= at;
    let (height, more) = lines(second, size, Weight::Regular, Ink::Ink, (if beside { at } else { size }, width));
    let down = if beside { 0.0 } else { high };
    marks.extend(more.into_iter().map(|m| m.moved(0.0, down)));
    Block { height: (down + height).max(high) + size * 0.3, marks, keeps: false }
}

/// A cell of a row: from and to where it reaches, counted from the left of the column.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    pub from: f32,
    pub to: f32,
    /// Stands at its right end, in one line.
    pub right: bool,
    pub weight: Weight,
    pub ink: Ink,
    pub text: String,
}

impl Cell {
    pub fn left(from: f32, to: f32, text: impl Into<String>) -> Cell {
        Cell { from, to, right: false, weight: Weight::Regular, ink: Ink::Ink, text: text.into() }
    }
    pub fn right(from: f32, to: f32, text: impl Into<String>) -> Cell {
        Cell { right: true, ..Cell::left(from, to, text) }
    }
    #[must_use]
    pub fn bold(self) -> Cell {
        Cell { weight: Weight::SemiBold, ..self }
    }
    #[must_use]
    pub fn quiet(self) -> Cell {
        Cell { ink: Ink::Quiet, ..self }
    }
}

/// Cells side by side, each in its own width.
pub fn row(cells: &[Cell], size: f32) -> Block {
    let mut height: f32 = 0.0;
    let mut marks = Vec::new();
    for c in cells {
        if c.right {
            // An amount below nothing has a minus sign, no hyphen.
            let amount = c.text.strip_prefix("-$").map_or_else(|| c.text.clone(), |a| format!("−${a}"));
            let text = fit(&amount, size, c.weight, c.to - c.from);
            let x = c.to - face::width(&text, size, c.weight);
            let y = face::ascent(size, c.weight);
            marks.push(Mark::Text { x, y, size, weight: c.weight, ink: c.ink, text });
            height = height.max(size * 1.28);
        } else {
            let (high, set) = lines(&c.text, size, c.weight, c.ink, (c.from, c.to));
            marks.extend(set);
            height = height.max(high);
        }
    }
    Block { height: height + size * 0.3, marks, keeps: false }
}

/// A block with a hairline over it.
pub fn ruled(block: Block, width: f32, size: f32) -> Block {
    let down = size * 0.25;
    let rule = Mark::Line { from: (0.0, 0.0), to: (width, 0.0), width: size * 0.06, ink: Ink::Rule };
    let marks = std::iter::once(rule).chain(block.marks.into_iter().map(|m| m.moved(0.0, down))).collect();
    Block { height: block.height + down, marks, keeps: block.keeps }
}

impl Block {
    /// Stands with the block behind it.
    #[must_use]
    pub fn kept(self) -> Block {
        Block { keeps: true, ..self }
    }
}

/// A column on a page: left, top, bottom.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Column {
    page: usize,
    x: f32,
    top: f32,
    bottom: f32,
}

/// Columns in the order they are filled.
#[derive(Clone, Debug, Default)]
pub struct Flow {
    columns: Vec<Column>,
    at: usize,
    y: f32,
}

impl Flow {
    /// Adds a column: its page, left, top and bottom.
    pub fn column(&mut self, page: usize, x: f32, top: f32, bottom: f32) {
        // Whatever waits for room begins at the top of this one.
        if self.at == self.columns.len() {
            self.y = top;
        }
        self.columns.push(Column { page, x, top, bottom });
    }

    /// Where the next block of this height goes: page, left and top. None where no column is left
    /// for it; a block higher than a whole column goes to the top of one.
    fn place(&mut self, height: f32) -> Option<(usize, f32, f32)> {
        loop {
            let c = *self.columns.get(self.at)?;
            if self.y + height <= c.bottom + 0.01 || self.y <= c.top {
                let y = self.y;
                self.y += height;
                return Some((c.page, c.x, y));
            }
            self.next();
        }
    }

    fn next(&mut self) {
        self.at += 1;
        self.y = self.columns.get(self.at).map_or(0.0, |c| c.top);
    }

    /// Sets blocks from the first on: for each set its page and marks. What found no column comes
    /// back, to be set once there are more.
    pub fn set(&mut self, blocks: Vec<Block>, mut put: impl FnMut(usize, Mark)) -> Vec<Block> {
        let mut left: std::collections::VecDeque<Block> = blocks.into();
        while let Some(b) = left.front() {
            // A heading does not stand alone at the foot of a column.
            let kept = left.iter().take_while(|b| b.keeps).count();
            let Some(c) = self.columns.get(self.at).copied() else { break };
            let mut along: f32 = left.iter().skip(1).take(kept).map(|n| n.height).sum();
            if b.height + along > c.bottom - c.top {
                // No column holds them all: as any text they go on in the next, two by two.
                along = if b.keeps { left.get(1).map_or(0.0, |n| n.height) } else { 0.0 };
            }
            if self.y + b.height + along > c.bottom && self.y > c.top {
                self.next();
                continue;
            }
            let top = self.y <= c.top;
            let Some((page, x, y)) = self.place(b.height) else { break };
            let b = left.pop_front().expect("a block");
            // At the top there is nothing to be parted from.
            let rule = |m: &Mark| matches!(m, Mark::Line { from: (_, a), to: (_, b), ink: Ink::Rule, .. } if *a == 0.0 && *b == 0.0);
            let seen = b.marks.into_iter().filter(|m| !(top && rule(m)));
            seen.for_each(|m| put(page, m.moved(x, y)));
        }
        left.into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_go_on_in_the_next_column_and_a_heading_stays_with_its_text() {
        let mut flow = Flow::default();
        flow.column(0, 0.0, 0.0, 30.0);
        flow.column(1, 100.0, 10.0, 60.0);
        let block = |height, keeps| Block {
            height,
            keeps,
            marks: vec![Mark::Line { from: (0.0, 0.0), to: (1.0, 0.0), width: 1.0, ink: Ink::Ink }],
        };
        let mut seen = Vec::new();
        let left = flow
            .set(vec![block(20.0, false), block(8.0, true), block(10.0, false), block(40.0, false)], |page, m| {
                seen.push((page, m.bounds().0, m.bounds().1))
            });
        assert_eq!(seen, [(0, 0.0, 0.0), (1, 100.0, 10.0), (1, 100.0, 18.0)]);
        assert_eq!(left.len(), 1);
        // More room, and what was left is set; a block higher than any column too.
        flow.column(2, 0.0, 0.0, 30.0);
        assert!(flow.set(left, |page, _| assert_eq!(page, 2)).is_empty());
        // More that belongs together than a column holds fills one after the other.
        let mut flow = Flow::default();
        (0..12).for_each(|page| flow.column(page, 0.0, 0.0, 30.0));
        let mut pages = Vec::new();
        let mut set: Vec<Block> = (0..19).map(|_| block(8.0, true)).collect();
        set.push(block(8.0, false));
        assert!(flow.set(set, |page, _| pages.push(page)).is_empty());
        // Two and the next would not fit: two a column, the last three together.
        assert_eq!((pages.iter().filter(|p| **p == 0).count(), pages.last()), (2, Some(&9)), "{pages:?}");
        // Headings one under the other stay with the text of the last.
        let mut flow = Flow::default();
        flow.column(0, 0.0, 0.0, 30.0);
        flow.column(1, 100.0, 0.0, 60.0);
        let mut pages = Vec::new();
        let set = vec![block(8.0, false), block(8.0, true), block(8.0, true), block(8.0, false)];
        assert!(flow.set(set, |page, _| pages.push(page)).is_empty());
        assert_eq!(pages, [0, 1, 1, 1]);
    }

    #[test]
    fn a_pair_stands_below_itself_where_its_head_is_wide() {
        let beside = pair("Mon 1", "room empty", 10.0, (60.0, 200.0), Ink::Safe);
        let below = pair("a very long heading", "room empty", 10.0, (60.0, 200.0), Ink::Safe);
        assert!(below.height > beside.height * 1.5);
        assert!(below.marks.iter().all(|m| m.bounds().2 <= 200.0));
    }
}
