//! The client's page for a window: one sheet as wide as the window and as long as it takes.
//!
//! The weeks stand at the left and the lists beside them; what finds no room beside goes on below in
//! columns. Where the window is narrow for its text, or rooms are many, the lists stand below the weeks. Everything
//! drawn is also told in words, with the area it stands in.

use super::ClientPage;
use super::lists::{Break, bare, even, fill, parts};
use super::sheet::head;
use super::weeks::{Grid, grid, names, whole_width};
use crate::views::face::Weight;
use crate::views::paper::{Ink, Mark, Page, Sheet, wrap};

/// Left, top, right, bottom.
pub type Area = (f32, f32, f32, f32);

/// Something of the page in words, and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    pub area: Area,
    pub words: String,
}

/// A page drawn, and the same in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    pub page: Page,
    pub told: Vec<Told>,
}

impl Drawn {
    pub(super) fn new(page: Page) -> Drawn {
        Drawn { page, told: Vec::new() }
    }

    pub(super) fn say(&mut self, area: Area, words: &str) {
        if !words.is_empty() {
            self.told.push(Told { area, words: words.to_string() });
        }
    }

    /// Says what the last few marks show.
    pub(super) fn say_last(&mut self, marks: usize, words: &str) {
        let from = self.page.marks.len().saturating_sub(marks);
        let area = around(&self.page.marks[from..]);
        self.say(area, words);
    }
}

/// What marks cover together.
pub(super) fn around(marks: &[Mark]) -> Area {
    let start = (f32::MAX, f32::MAX, f32::MIN, f32::MIN);
    marks.iter().map(Mark::bounds).fold(start, |a, b| (a.0.min(b.0), a.1.min(b.1), a.2.max(b.2), a.3.max(b.3)))
}

/// Units of the smallest text a window must be wide for lists beside the weeks, and for two columns below.
const BESIDE: f32 = 60.0;
const TWO: f32 = 44.0;

/// The page in a window `wide` by `high`, its smallest text `unit`.
pub fn client_roll(page: &ClientPage, (wide, high): (f32, f32), unit: f32) -> Drawn {
    let u = unit;
    let sheet = Sheet { w: wide, h: high, margin: u * 1.3, unit };
    let mut out = Drawn::new(Page::new(sheet));
    let top = head(page, &sheet, &mut out);
    let inner = wide - 2.0 * sheet.margin;
    let beside = wide / u >= BESIDE && !whole_width(&page.weeks) && !page.weeks.is_empty();
    let gap = u * 1.2;
    let (right, column) = if beside {
        let weeks = sheet.margin + inner * 0.64;
        (weeks, wide - sheet.margin - weeks - 2.0 * gap)
    } else {
        let columns = if wide / u >= BESIDE {
            3.0
        } else if wide / u >= TWO {
            2.0
        } else {
            1.0
        };
        (wide - sheet.margin, (inner - 2.0 * gap * (columns - 1.0)) / columns)
    };
    let g = Grid::new(sheet, (sheet.margin, right), &page.weeks);
    let mut bottom = high - sheet.margin;
    let mut weeks = page.weeks.as_slice();
    let mut y = if weeks.is_empty() { top } else { names(&g, top, &mut out) };
    let mut gone = page.gone.as_deref();
    // The first weeks are set as close as the window asks; all of them are there.
    while !weeks.is_empty() {
        let rows = out.page.marks.len();
        (weeks, y) = grid(weeks, gone.take(), &g, (y, bottom), &mut out);
        debug_assert!(out.page.marks.len() > rows, "weeks are drawn");
        bottom = y + high;
    }
    if !page.note.is_empty() {
        y += u * 0.3;
        let from = out.page.marks.len();
        for line in wrap(&page.note, u, Weight::Regular, right - sheet.margin, 4) {
            out.page.text((sheet.margin, y + u), u, Weight::Regular, Ink::Quiet, line);
            y += u * 1.25;
        }
        out.say_last(out.page.marks.len() - from, &page.note);
    }
    let mut left = parts(page, column, u);
    if !page.client.is_empty() {
        left.push_back(bare(&format!("For {}", page.client), column, u));
    }
    if beside {
        let x = right + gap;
        let from = out.page.marks.len();
        left = fill(left, &[(right + 2.0 * gap, top, y.max(high - sheet.margin))], Break::Any, &mut out);
        let end = y.max(around(&out.page.marks[from..]).3);
        let rule = Mark::Line { from: (x, top), to: (x, end), width: u * 0.05, ink: Ink::Rule };
        out.page.marks.push(rule);
        y = end;
    }
    let step = column + u * 2.4;
    let count = ((wide - 2.0 * sheet.margin + u * 2.5) / step).floor().max(1.0) as usize;
    let lefts: Vec<f32> = (0..count).map(|c| sheet.margin + step * c as f32).collect();
    even(left, &lefts, (y + u * 0.8, f32::MAX), &mut out);
    let end = around(&out.page.marks).3 + sheet.margin;
    out.page.h = end.max(high);
    out
}

/// What stands in place of the page while there is none: a line and the words below it.
pub fn client_wait(stuck: bool) -> (&'static str, &'static str) {
    if stuck {
        (
            "Your day cannot be named yet.",
            "Something about the work is still to be settled. As soon as it is, the day will stand here.",
        )
    } else {
        ("Your days are being put together.", "One moment, please.")
    }
}

/// Those words in a window.
pub fn client_wait_roll(stuck: bool, (wide, high): (f32, f32), unit: f32) -> Drawn {
    let u = unit;
    let sheet = Sheet { w: wide, h: high, margin: u * 1.3, unit };
    let mut out = Drawn::new(Page::new(sheet));
    let (line, words) = client_wait(stuck);
    let mut y = sheet.margin;
    for (text, size, weight, ink) in
        [(line, u * 2.2, Weight::SemiBold, Ink::Ink), (words, u * 1.15, Weight::Regular, Ink::Quiet)]
    {
        let set = wrap(text, size, weight, wide - 2.0 * sheet.margin, 6);
        for l in &set {
            out.page.text((sheet.margin, y + size), size, weight, ink, l.as_str());
            y += size * 1.24;
        }
        out.say_last(set.len(), text);
    }
    out
}
