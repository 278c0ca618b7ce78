//! A paper that is read from top to bottom: a head, blocks, and the page's number where there are
//! several.

use super::{Block, Flow, Ink, Mark, Page, Sheet, clean, fit, wrap};
use crate::views::face::{self, Weight};

/// What stands over the blocks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Head {
    /// Whose it is, small.
    pub over: String,
    pub title: String,
    /// At the right of the title: the figure it is about.
    pub right: String,
    /// Below the title, a line each.
    pub under: Vec<String>,
    /// Above everything, quiet: who does the work at the left, for whom at the right, a line each.
    pub letter: [Vec<String>; 2],
}

/// How much smaller a paper may be set to need a page less.
const SMALLER: [f32; 2] = [0.975, 0.95];

/// Blocks on as many pages as they take; each says what it is a page of. Where that saves a page they are set up to a
/// twentieth smaller, in the middle of the sheet.
pub fn document(sheet: Sheet, head: &Head, blocks: Vec<Block>) -> Vec<Page> {
    let mut pages = set(sheet, head, blocks.clone());
    for by in SMALLER.into_iter().filter(|_| pages.len() > 1) {
        let m = sheet.margin;
        let tall = Sheet { h: 2.0 * m + (sheet.h - 2.0 * m) / by, ..sheet };
        let less = set(tall, head, blocks.clone());
        if less.len() < pages.len() {
            let side = m + (sheet.w - 2.0 * m) * (1.0 - by) / 2.0;
            let put = |k: Mark| k.moved(-m, -m).scaled(by).moved(side, m);
            let one = |p: Page| Page { w: sheet.w, h: sheet.h, marks: p.marks.into_iter().map(put).collect() };
            pages = less.into_iter().map(one).collect();
            break;
        }
    }
    numbers(&mut pages, sheet, "page");
    pages
}

fn set(sheet: Sheet, head: &Head, blocks: Vec<Block>) -> Vec<Page> {
    let mut pages: Vec<Page> = Vec::new();
    let mut flow = Flow::default();
    let mut left = blocks;
    while !left.is_empty() || pages.is_empty() {
        let mut page = Page::new(sheet);
        let top = if pages.is_empty() { first(head, sheet, &mut page) } else { again(head, sheet, &mut page) };
        flow.column(pages.len(), sheet.margin, top, sheet.h - sheet.margin - sheet.unit * 0.6);
        left = flow.set(left, |_, m| page.marks.push(m));
        pages.push(page);
    }
    pages
}

/// The whole head; where the rest begins.
fn first(head: &Head, sheet: Sheet, page: &mut Page) -> f32 {
    let (u, x) = (sheet.unit, sheet.margin);
    let wide = sheet.w - 2.0 * x;
    let mut y = letter(&head.letter, sheet, page);
    let over = fit(&clean(&head.over), u * 1.2, Weight::Regular, wide);
    page.text((x, y + u * 1.2), u * 1.2, Weight::Regular, Ink::Quiet, over);
    y += u * 1.8;
    let size = u * 2.6;
    let right = face::width(&head.right, size, Weight::SemiBold);
    let room = if head.right.is_empty() { wide } else { wide - right - u * 2.0 };
    let base = y + face::ascent(size, Weight::SemiBold);
    if !head.right.is_empty() {
        page.text((x + wide - right, base), size, Weight::SemiBold, Ink::Ink, head.right.clone());
    }
    for (i, line) in wrap(&clean(&head.title), size, Weight::SemiBold, room, 3).into_iter().enumerate() {
        page.text((x, base + size * 1.2 * i as f32), size, Weight::SemiBold, Ink::Ink, line);
        y += size * 1.2;
    }
    y += u * 0.9;
    for line in &head.under {
        for line in wrap(&clean(line), u * 1.2, Weight::Regular, wide, 3) {
            page.text((x, y + u * 1.2), u * 1.2, Weight::Regular, Ink::Ink, line);
            y += u * 1.6;
        }
    }
    y += u * 0.5;
    page.marks.push(Mark::Line { from: (x, y), to: (x + wide, y), width: u * 0.1, ink: Ink::Ink });
    y + u * 0.6
}

/// Who does the work and for whom, side by side; where the rest begins.
fn letter(sides: &[Vec<String>; 2], sheet: Sheet, page: &mut Page) -> f32 {
    let (u, x) = (sheet.unit, sheet.margin);
    let half = (sheet.w - 2.0 * x) / 2.0 - u;
    let mut end = x;
    for (lines, right) in sides.iter().zip([false, true]) {
        let mut y = x;
        for line in lines {
            for line in wrap(&clean(line), u * 1.1, Weight::Regular, half, 3) {
                let at = if right { sheet.w - x - face::width(&line, u * 1.1, Weight::Regular) } else { x };
                page.text((at, y + u * 1.1), u * 1.1, Weight::Regular, Ink::Quiet, line);
                y += u * 1.45;
            }
        }
        end = end.max(y);
    }
    if end > x { end + u * 1.4 } else { x }
}

/// The head of a page that goes on.
fn again(head: &Head, sheet: Sheet, page: &mut Page) -> f32 {
    let (u, x) = (sheet.unit, sheet.margin);
    let wide = sheet.w - 2.0 * x;
    let text = format!("{}, {}", clean(&head.over), clean(&head.title));
    let text = fit(text.trim_start_matches(", "), u * 1.2, Weight::Regular, wide);
    page.text((x, x + u * 1.2), u * 1.2, Weight::Regular, Ink::Quiet, text);
    let y = x + u * 2.0;
    page.marks.push(Mark::Line { from: (x, y), to: (x + wide, y), width: u * 0.06, ink: Ink::Rule });
    y + u * 0.6
}

/// `page 2 of 3` at the foot, where there are several.
pub fn numbers(pages: &mut [Page], sheet: Sheet, what: &str) {
    let all = pages.len();
    let (u, x) = (sheet.unit, sheet.margin);
    for (n, p) in pages.iter_mut().enumerate().filter(|_| all > 1) {
        let number = format!("{what} {} of {all}", n + 1);
        let at = p.w - x - face::width(&number, u, Weight::Regular);
        let y = p.h - x + u * 0.9;
        p.text((at, y), u, Weight::Regular, Ink::Quiet, number);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::paper::{Size, paragraph};

    #[test]
    fn every_block_is_on_a_page_and_pages_are_counted() {
        let sheet = Size::Letter.sheet(false);
        let head = Head {
            over: "job".into(),
            title: "t".repeat(4000),
            right: "$1.00".into(),
            under: vec!["one\ntwo".into()],
            ..Head::default()
        };
        let blocks: Vec<Block> = (0..120).map(|n| paragraph(&format!("line {n}."), 10.0, 500.0, Ink::Ink)).collect();
        let pages = document(sheet, &head, blocks);
        let words: String = pages.iter().map(Page::words).collect();
        assert!(pages.len() > 2 && (0..120).all(|n| words.contains(&format!("line {n}.\n"))));
        assert!(words.contains(&format!("page 2 of {}\n", pages.len())) && words.contains("one two\n"));
        for m in pages.iter().flat_map(|p| &p.marks) {
            let (a, b, c, d) = m.bounds();
            assert!(a >= 0.0 && b >= 0.0 && c <= sheet.w && d <= sheet.h, "{m:?}");
        }
        // A letterhead moves the title down, and is on the first page alone.
        let lettered = Head { letter: [vec!["firm".into(), "licence".into()], vec!["a road".into()]], ..head.clone() };
        let with = document(sheet, &lettered, vec![paragraph("line.", 10.0, 500.0, Ink::Ink)]);
        let bare = document(
            sheet,
            &Head { letter: Default::default(), ..lettered },
            vec![paragraph("line.", 10.0, 500.0, Ink::Ink)],
        );
        let at = |pages: &[Page], what: &str| {
            let of = |m: &Mark| matches!(m, Mark::Text { text, .. } if text == what).then(|| m.bounds());
            pages[0].marks.iter().find_map(of).unwrap_or_default()
        };
        assert!(at(&with, "line.").1 > at(&bare, "line.").1 + sheet.unit * 2.0);
        assert!(at(&with, "firm").1 < at(&with, "job").1 && at(&with, "a road").2 > sheet.w * 0.8);
        // Blocks a line too high for a page are set a little smaller on one; far too many are not.
        let line = || Block { height: 12.0, marks: vec![], keeps: false };
        let many = |n: usize| document(sheet, &Head::default(), (0..n).map(|_| line()).collect());
        let most = (1..).take_while(|&n| set(sheet, &Head::default(), (0..n).map(|_| line()).collect()).len() == 1);
        let most = most.last().expect("some");
        assert_eq!((many(most + 1).len(), many(most * 21 / 20 + 2).len()), (1, 2));
        // One page has no number.
        assert!(!document(sheet, &Head::default(), Vec::new())[0].words().contains("page"));
    }
}
