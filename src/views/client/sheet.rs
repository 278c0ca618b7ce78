//! The client's page on paper or on a shared screen: the weeks at the left, the lists beside them.
//!
//! Sizes count in units of the smallest text of the sheet. Weeks and lists that find no room go on
//! on the next page; lists also in what the last week leaves free.

use super::ClientPage;
use super::cautions::heed_lines;
use super::roll::Drawn;
use super::weeks::{Grid, grid, names};
use crate::views::face::{self, Weight};
use crate::views::paper::{Block, Flow, Ink, Mark, Page, Sheet, Size, fit, heading, item, pair, paragraph, wrap};

/// Where things stand on a sheet.
struct Frame {
    sheet: Sheet,
    grid: Grid,
    /// Left end and width of the lists.
    lists: f32,
    wide: f32,
    bottom: f32,
}

impl Frame {
    fn new(sheet: Sheet, page: &ClientPage) -> Frame {
        let inner = sheet.w - 2.0 * sheet.margin;
        let (weeks, gap) = (sheet.margin + inner * 0.64, sheet.unit * 1.2);
        let lists = weeks + 2.0 * gap;
        Frame {
            sheet,
            grid: Grid::new(sheet, (sheet.margin, weeks), &page.weeks),
            lists,
            wide: sheet.w - sheet.margin - lists,
            bottom: sheet.h - sheet.margin - sheet.unit * 0.6,
        }
    }
}

/// The page on as many sheets as it takes, lying.
pub fn client_sheets(page: &ClientPage, size: Size) -> Vec<Page> {
    let f = Frame::new(size.sheet(true), page);
    let mut flow = Flow::default();
    let mut blocks: Vec<Block> = lists(page, f.wide, f.sheet.unit).into_iter().map(|b| b.0).collect();
    blocks.push(paragraph(&page.note, f.sheet.unit, f.wide, Ink::Quiet));
    let mut pages = Vec::new();
    let mut weeks = page.weeks.as_slice();
    while !weeks.is_empty() || pages.is_empty() || !blocks.is_empty() {
        let n = pages.len();
        let mut out = Drawn::new(Page::new(f.sheet));
        let top = if n == 0 { head(page, &f.sheet, &mut out) } else { again(page, &f, &mut out.page) };
        if weeks.is_empty() && n > 0 {
            // Nothing but lists: as many columns as the sheet holds.
            let step = f.wide + f.sheet.unit * 2.0;
            let columns = ((f.sheet.w - 2.0 * f.sheet.margin + f.sheet.unit * 2.0) / step).floor().max(1.0) as usize;
            (0..columns).for_each(|c| flow.column(n, f.sheet.margin + step * c as f32, top, f.bottom));
        } else {
            let first = names(&f.grid, top, &mut out);
            let gone = page.gone.as_deref().filter(|_| n == 0);
            let below;
            (weeks, below) = grid(weeks, gone, &f.grid, (first, f.bottom), f.bottom - first, &mut out);
            let x = f.grid.right() + f.sheet.unit * 1.2;
            let rule = Mark::Line { from: (x, top), to: (x, f.bottom), width: f.sheet.unit * 0.05, ink: Ink::Rule };
            if !blocks.is_empty() {
                out.page.marks.push(rule);
            }
            flow.column(n, f.lists, top, f.bottom);
            // What the last week leaves free takes lists too.
            let free = below + f.sheet.unit * 0.8;
            if weeks.is_empty() && f.bottom - free > f.sheet.unit * 8.0 {
                let step = f.wide + f.sheet.unit * 2.0;
                let columns = ((f.grid.right() - f.sheet.margin + f.sheet.unit * 2.0) / step).floor() as usize;
                (0..columns).for_each(|c| flow.column(n, f.sheet.margin + step * c as f32, free, f.bottom));
            }
        }
        let before = blocks.len();
        blocks = flow.set(blocks, |_, m| out.page.marks.push(m));
        pages.push(out.page);
        if blocks.len() == before && weeks.is_empty() && n > 0 {
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
    let mut put = |text: &str, size: f32, weight: Weight, ink: Ink, most: usize| {
        let set = wrap(text, size, weight, wide, most);
        for line in &set {
            out.page.text((x, y + face::ascent(size, weight)), size, weight, ink, line.as_str());
            y += size * 1.2;
        }
        out.say_last(set.len(), text);
    };
    put(&page.lead, u * 1.25, Weight::Regular, Ink::Quiet, 2);
    put(&page.headline, u * 3.55, Weight::SemiBold, Ink::Ink, 2);
    put(&page.early, u * 1.1, Weight::Regular, Ink::Ink, 3);
    if let Some(odds) = &page.odds {
        put(odds, u * 1.1, Weight::SemiBold, Ink::Safe, 2);
    }
    y + u * 0.3
}

/// The head of a page that goes on.
fn again(page: &ClientPage, f: &Frame, out: &mut Page) -> f32 {
    let (u, x) = (f.sheet.unit, f.sheet.margin);
    let size = u * 1.3;
    let text = fit(&format!("{} {}", page.lead, page.headline), size, Weight::SemiBold, f.sheet.w - 2.0 * x);
    out.text((x, x + face::ascent(size, Weight::SemiBold)), size, Weight::SemiBold, Ink::Quiet, text);
    x + size * 1.9
}

/// The lists beside the weeks, as blocks with their words.
pub(super) fn lists(page: &ClientPage, w: f32, u: f32) -> Vec<(Block, String)> {
    let head = |text: &str, ink: Ink| (heading(text, u * 1.2, w, ink), text.to_string());
    let two = |first: &str, second: &str, at: f32, ink: Ink| {
        (pair(first, second, u, (at, w), ink), format!("{first}: {second}"))
    };
    let line = |text: &String| (item(text, u, w, Ink::Ink), text.clone());
    let mut out = Vec::new();
    if !page.wants.is_empty() {
        out.push(head("What is needed from you", Ink::Ink));
        out.extend(page.wants.iter().map(|x| two(&x.when, &x.what, u * 9.4, Ink::Safe)));
    }
    out.push(head("What the day hangs on", Ink::Ink));
    out.extend(page.conditions.iter().map(|x| (paragraph(x, u, w, Ink::Ink), x.clone())));
    if !page.moves.is_empty() {
        out.push(head("What could still move the day", Ink::Ink));
        out.extend(page.moves.iter().map(line));
    }
    out.push(head("When it is yours", Ink::Ink));
    out.extend(page.uses.iter().map(|x| two(&x.when, &x.what, u * 7.6, Ink::Ink)));
    let heeds = heed_lines(&page.heeds);
    if !heeds.is_empty() {
        out.push(head("Please heed", Ink::Shut));
        out.extend(heeds.iter().map(line));
    }
    out
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
