//! The client's page on paper or on a shared screen: the weeks at the left, the lists beside them.
//!
//! Sizes count in units of the smallest text. Of more rooms than two the weeks take the whole width and the lists
//! stand below. Weeks and lists that find no room go on on the next page; the cautions stand below the weeks where
//! they fit there as a whole. How the doors are read stands below the weeks of every page.

use std::collections::VecDeque;

use super::ClientPage;
use super::lists::{Break, Part, bare, even, fill, heeds, parts};
use super::roll::Drawn;
use super::weeks::{Grid, TOGETHER, grid, names, pieces, whole_width};
use crate::views::face::{self, Weight};
use crate::views::paper::{Ink, Mark, Page, Sheet, Size, fit, wrap};

/// Where things stand on a sheet.
struct Frame {
    sheet: Sheet,
    grid: Grid,
    /// Whether lists stand beside the weeks, their left end and width.
    beside: bool,
    lists: f32,
    wide: f32,
    bottom: f32,
    note: Vec<String>,
}

impl Frame {
    fn new(size: Size, page: &ClientPage) -> Frame {
        let sheet = size.sheet(true);
        let (inner, u) = (sheet.w - 2.0 * sheet.margin, sheet.unit);
        // On a screen, whose text is large, the weeks take more, so that six stand on it.
        let share = if size == Size::Screen { 0.7 } else { 0.64 };
        let (weeks, gap) = (sheet.margin + inner * share, u * 1.2);
        let lists = weeks + 2.0 * gap;
        let beside = !whole_width(&page.weeks);
        let right = if beside { weeks } else { sheet.w - sheet.margin };
        Frame {
            sheet,
            grid: Grid::new(sheet, (sheet.margin, right), &page.weeks),
            beside,
            lists,
            // Three columns stand on a page of lists alone.
            wide: (sheet.w - sheet.margin - lists).min((inner - u * 4.0) / 3.0),
            bottom: sheet.h - sheet.margin - u * 0.6,
            note: if page.note.is_empty() {
                Vec::new()
            } else {
                wrap(&page.note, u, Weight::Regular, right - sheet.margin, 4)
            },
        }
    }

    /// Left ends of columns from the margin to `right`.
    fn columns(&self, right: f32) -> Vec<f32> {
        let gap = self.sheet.unit * 2.0;
        let count = ((right - self.sheet.margin + gap) / (self.wide + gap)).floor().max(1.0) as usize;
        (0..count).map(|c| self.sheet.margin + (self.wide + gap) * c as f32).collect()
    }
}

/// The page on as many sheets as it takes, lying.
pub fn client_sheets(page: &ClientPage, size: Size) -> Vec<Page> {
    let f = Frame::new(size, page);
    let u = f.sheet.unit;
    let mut left = parts(page, f.wide, u);
    // The cautions wait for the end of the weeks.
    let mut last: Option<Part> = heeds(page, f.wide, u);
    if last.is_some() {
        left.pop_back();
    }
    let mut pages = Vec::new();
    // What the first page leaves below its head: no week is higher.
    let begin = head(page, &f.sheet, &mut Drawn::new(Page::new(f.sheet)));
    let high = f.bottom - begin - u * (3.3 + 1.25 * f.note.len() as f32);
    let all = pieces(&page.weeks, &f.grid, high);
    let mut weeks = all.as_slice();
    while !weeks.is_empty() || pages.is_empty() || !left.is_empty() || last.is_some() {
        let n = pages.len();
        let mut out = Drawn::new(Page::new(f.sheet));
        let top = if n == 0 { head(page, &f.sheet, &mut out) } else { again(page, &f, &mut out.page) };
        let mut free = top;
        let mut right = f.sheet.w - f.sheet.margin;
        if !weeks.is_empty() {
            let first = names(&f.grid, top, &mut out);
            let gone = page.gone.as_deref().filter(|_| n == 0);
            let lowest = f.bottom - u * (0.5 + 1.25 * f.note.len() as f32);
            let mut bare_of_note = out.clone();
            let (more, end) = grid(weeks, gone, &f.grid, (first, f.bottom), &mut bare_of_note);
            let before = weeks.len();
            let below;
            (weeks, below) = grid(weeks, gone, &f.grid, (first, lowest), &mut out);
            let mut y = below + u * 0.3;
            // Weeks that are to stand together come before the note, which then stands with the lists.
            if n == 0 && more.len() < weeks.len() && before - weeks.len() < TOGETHER {
                (weeks, out, y) = (more, bare_of_note, end);
                left.push_front(bare(&page.note, f.wide, u));
            } else {
                for line in &f.note {
                    out.page.text((f.sheet.margin, y + u), u, Weight::Regular, Ink::Quiet, line.as_str());
                    y += u * 1.25;
                }
            }
            free = y + u * 0.4;
            if weeks.is_empty()
                && let Some(p) = last.take()
            {
                let mut trial = out.clone();
                let wide = (f.grid.right() - f.sheet.margin - u * 2.0) / 2.0;
                let lefts = [f.sheet.margin, f.sheet.margin + wide + u * 2.0];
                let two = heeds(page, wide, u).into_iter().collect();
                if f.beside && even(two, &lefts, (free, f.bottom), &mut trial).is_empty() {
                    out = trial;
                } else {
                    left.push_back(p);
                }
            }
            if f.beside {
                let x = f.grid.right() + u * 1.2;
                if !left.is_empty() {
                    let width = u * 0.05;
                    out.page.marks.push(Mark::Line { from: (x, top), to: (x, f.bottom), width, ink: Ink::Rule });
                }
                left = fill(left, &[(f.lists, top, f.bottom)], Break::Needed, &mut out);
                right = f.grid.right();
            }
        } else if let Some(p) = last.take() {
            left.push_back(p);
        }
        // Lists in columns: on a page of their own, or in what the weeks leave free.
        let alone = weeks.is_empty() && free <= top + 0.01;
        if alone && !left.is_empty() {
            left = even(left, &f.columns(right), (free, f.bottom), &mut out);
        } else if !f.beside && f.bottom - free > u * 8.0 {
            // As many parts as stand there as they are.
            for count in (1..=left.len()).rev() {
                let mut trial = out.clone();
                let first: VecDeque<Part> = left.iter().take(count).cloned().collect();
                if even(first, &f.columns(right), (free, f.bottom), &mut trial).is_empty() {
                    out = trial;
                    left.drain(..count);
                    break;
                }
            }
        }
        pages.push(out.page);
        if n > 200 {
            break;
        }
    }
    foot(page, &f, &mut pages);
    pages
}

/// Lead, headline and early day; where the rest begins.
pub(super) fn head(page: &ClientPage, sheet: &Sheet, out: &mut Drawn) -> f32 {
    let (u, x) = (sheet.unit, sheet.margin);
    let wide = sheet.w - 2.0 * x;
    let mut y = x;
    let mut put = |text: &str, (size, below): (f32, f32), weight: Weight, ink: Ink, most: usize| {
        if text.is_empty() {
            return;
        }
        let set = wrap(text, size, weight, wide, most);
        for line in &set {
            out.page.text((x, y + face::ascent(size, weight)), size, weight, ink, line.as_str());
            y += size * 1.2;
        }
        y += below;
        out.say_last(set.len(), text);
    };
    put(&page.from, (u, u * 0.5), Weight::Regular, Ink::Quiet, 2);
    put(&page.lead, (u * 1.25, 0.0), Weight::Regular, Ink::Quiet, 3);
    put(&page.headline, (u * 3.55, u * 0.35), Weight::SemiBold, Ink::Ink, 2);
    put(&page.early, (u * 1.1, u * 0.1), Weight::Regular, Ink::Ink, 3);
    if let Some(odds) = &page.odds {
        put(odds, (u * 1.1, u * 0.1), Weight::SemiBold, Ink::Safe, 2);
    }
    y + u * 0.4
}

/// The head of a page that goes on.
fn again(page: &ClientPage, f: &Frame, out: &mut Page) -> f32 {
    let (u, x) = (f.sheet.unit, f.sheet.margin);
    let size = u * 1.3;
    let text = fit(&format!("{} {}", page.lead, page.headline), size, Weight::SemiBold, f.sheet.w - 2.0 * x);
    out.text((x, x + face::ascent(size, Weight::SemiBold)), size, Weight::SemiBold, Ink::Quiet, text);
    x + size * 1.9
}

/// Whose page it is, and its number where there are several.
fn foot(page: &ClientPage, f: &Frame, pages: &mut [Page]) {
    let (u, x) = (f.sheet.unit, f.sheet.margin);
    let y = f.sheet.h - x + u * 0.9;
    let all = pages.len();
    for (n, p) in pages.iter_mut().enumerate() {
        if !page.client.is_empty() {
            let name = fit(&format!("For {}", page.client), u, Weight::Regular, f.sheet.w - 2.0 * x - u * 8.0);
            p.text((x, y), u, Weight::Regular, Ink::Quiet, name);
        }
        if all > 1 {
            let number = format!("page {} of {all}", n + 1);
            let wide = face::width(&number, u, Weight::Regular);
            p.text((f.sheet.w - x - wide, y), u, Weight::Regular, Ink::Quiet, number);
        }
    }
}
