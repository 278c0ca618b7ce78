//! The client's page on paper or on a shared screen: the weeks at the left, the lists beside them.
//!
//! Sizes count in units of the smallest text of the sheet. Weeks and lists that find no room go on
//! on the next page; lists also in what the last week leaves free. A ribbon's words stand in it, or run out of it where it is short. A week with more
//! ribbons than a whole sheet holds counts the rest: "and 3 more".

use super::cautions::heed_lines;
use super::{ClientDay, ClientPage, ClientWeek, Door, Ribbon};
use crate::views::and_more;
use crate::views::face::{self, Weight};
use crate::views::paper::{Block, Flow, Ink, Mark, Page, Sheet, Size, fit, heading, item, pair, paragraph, wrap};

const NAMES: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
/// Heights in units: the row of a day's number, a ribbon, a line of words, the air below a week.
const HEAD: f32 = 1.4;
const RIBBON: f32 = 1.3;
const LINE: f32 = 1.2;
const AIR: f32 = 0.25;
/// Lines of words a day has at most.
const MOST: usize = 12;

/// Where things stand on a sheet.
struct Frame {
    sheet: Sheet,
    /// Right end of the weeks.
    weeks: f32,
    /// Left end and width of the lists.
    lists: f32,
    wide: f32,
    bottom: f32,
}

impl Frame {
    fn new(sheet: Sheet) -> Frame {
        let inner = sheet.w - 2.0 * sheet.margin;
        let (weeks, gap) = (inner * 0.62, sheet.unit * 1.2);
        let lists = sheet.margin + weeks + 2.0 * gap;
        Frame {
            sheet,
            weeks: sheet.margin + weeks,
            lists,
            wide: sheet.w - sheet.margin - lists,
            bottom: sheet.h - sheet.margin - sheet.unit * 0.6,
        }
    }

    fn day(&self, n: usize) -> f32 {
        self.sheet.margin + (self.weeks - self.sheet.margin) * n as f32 / 7.0
    }

    fn day_wide(&self) -> f32 {
        self.day(1) - self.day(0)
    }
}

/// The page on as many sheets as it takes, lying.
pub fn client_sheets(page: &ClientPage, size: Size) -> Vec<Page> {
    let f = Frame::new(size.sheet(true));
    let mut flow = Flow::default();
    let mut blocks = lists(page, &f);
    let mut pages = Vec::new();
    let mut weeks = page.weeks.as_slice();
    while !weeks.is_empty() || pages.is_empty() || !blocks.is_empty() {
        let n = pages.len();
        let mut out = Page::new(f.sheet);
        let top = if n == 0 { head(page, &f, &mut out) } else { again(page, &f, &mut out) };
        if weeks.is_empty() && n > 0 {
            // Nothing but lists: as many columns as the sheet holds.
            let step = f.wide + f.sheet.unit * 2.0;
            let columns = ((f.sheet.w - 2.0 * f.sheet.margin + f.sheet.unit * 2.0) / step).floor().max(1.0) as usize;
            (0..columns).for_each(|c| flow.column(n, f.sheet.margin + step * c as f32, top, f.bottom));
        } else {
            let below;
            (weeks, below) = grid(weeks, page.gone.as_deref().filter(|_| n == 0), &f, top, &mut out);
            let x = f.weeks + f.sheet.unit * 1.2;
            let rule = Mark::Line { from: (x, top), to: (x, f.bottom), width: f.sheet.unit * 0.05, ink: Ink::Rule };
            if !blocks.is_empty() {
                out.marks.push(rule);
            }
            flow.column(n, f.lists, top, f.bottom);
            // What the last week leaves free takes lists too.
            let free = below + f.sheet.unit * 0.8;
            if weeks.is_empty() && f.bottom - free > f.sheet.unit * 8.0 {
                let step = f.wide + f.sheet.unit * 2.0;
                let columns = ((f.weeks - f.sheet.margin + f.sheet.unit * 2.0) / step).floor() as usize;
                (0..columns).for_each(|c| flow.column(n, f.sheet.margin + step * c as f32, free, f.bottom));
            }
        }
        let before = blocks.len();
        blocks = flow.set(blocks, |_, m| out.marks.push(m));
        pages.push(out);
        if blocks.len() == before && weeks.is_empty() && n > 0 {
            break;
        }
    }
    foot(page, &f, &mut pages);
    pages
}

/// Lead, headline and early day; where the rest begins.
fn head(page: &ClientPage, f: &Frame, out: &mut Page) -> f32 {
    let (u, x) = (f.sheet.unit, f.sheet.margin);
    let wide = f.sheet.w - 2.0 * x;
    let mut y = x;
    let mut put = |text: &str, size: f32, weight: Weight, ink: Ink, most: usize| {
        for line in wrap(text, size, weight, wide, most) {
            out.text((x, y + face::ascent(size, weight)), size, weight, ink, line);
            y += size * 1.24;
        }
    };
    put(&page.lead, u * 1.3, Weight::Regular, Ink::Quiet, 2);
    put(&page.headline, u * 3.6, Weight::SemiBold, Ink::Ink, 2);
    put(&page.early, u * 1.15, Weight::Regular, Ink::Ink, 3);
    if let Some(odds) = &page.odds {
        put(odds, u * 1.15, Weight::SemiBold, Ink::Safe, 2);
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

/// As many weeks as there is room for from `top` on; those left over come back, and where they end.
fn grid<'a>(
    weeks: &'a [ClientWeek],
    gone: Option<&str>,
    f: &Frame,
    top: f32,
    out: &mut Page,
) -> (&'a [ClientWeek], f32) {
    let u = f.sheet.unit;
    for (n, name) in NAMES.iter().enumerate() {
        out.text((f.day(n) + u * 0.3, top + u * 1.05), u, Weight::Regular, Ink::Quiet, *name);
    }
    let mut y = top + u * 1.45;
    if let Some(gone) = gone {
        let text = fit(gone, u, Weight::Regular, f.weeks - f.sheet.margin);
        out.text((f.sheet.margin + u * 0.3, y + u * 1.05), u, Weight::Regular, Ink::Quiet, text);
        y += u * 1.45;
    }
    let mut set = 0;
    let whole = f.bottom - y;
    for w in weeks {
        let m = measured(w, f, whole);
        // One week stands on every page: none is higher than its sheet, but for names past all measure.
        if set > 0 && y + m.high > f.bottom {
            break;
        }
        week(w, &m, f, y, out);
        y += m.high;
        set += 1;
    }
    rule(f, y, out);
    (&weeks[set..], y)
}

fn rule(f: &Frame, y: f32, out: &mut Page) {
    let width = f.sheet.unit * 0.06;
    out.marks.push(Mark::Line { from: (f.sheet.margin, y), to: (f.weeks, y), width, ink: Ink::Quiet });
}

/// A ribbon set in a row: which, where its words begin, and what they are.
struct Set {
    ribbon: usize,
    row: usize,
    x: f32,
    text: String,
}

/// Words of a day: lines and their ink.
type Words = Vec<Vec<(String, Ink)>>;

/// A week measured.
struct Measured {
    high: f32,
    sets: Vec<Set>,
    /// Rows of ribbons, and how many ribbons the last of them counts instead.
    rows: usize,
    more: usize,
    words: Words,
}

/// A week on a sheet with so much height for it.
fn measured(w: &ClientWeek, f: &Frame, whole: f32) -> Measured {
    let u = f.sheet.unit;
    let mut taken: Vec<(usize, f32, f32)> = Vec::new();
    let mut sets = Vec::new();
    for (i, r) in w.ribbons.iter().enumerate() {
        let (left, right) = (f.day(r.from) + u * 0.15, f.day(r.to + 1) - u * 0.15);
        let text = fit(&r.words, u, Weight::Regular, f.weeks - f.sheet.margin - u);
        let wide = face::width(&text, u, Weight::Regular);
        // Words too long for a ribbon at the right end stand to its left.
        let inside = left + u * 0.35;
        let x = if inside + wide > f.weeks { (right - wide - u * 0.35).max(f.sheet.margin) } else { inside };
        let (a, b) = (left.min(x), right.max(x + wide));
        let free = |row: &usize| !taken.iter().any(|t| t.0 == *row && t.1 < b + u * 0.3 && a < t.2 + u * 0.3);
        let row = (0..).find(free).unwrap_or(0);
        taken.push((row, a, b));
        sets.push(Set { ribbon: i, row, x, text });
    }
    let words: Words = w.days.iter().map(|d| day_words(d, f)).collect();
    let lines = words.iter().map(Vec::len).max().unwrap_or(0) as f32;
    let mut rows = taken.iter().map(|t| t.0 + 1).max().unwrap_or(0);
    let most = ((whole / u - HEAD - lines * LINE - AIR) / RIBBON).floor().max(2.0) as usize;
    let all = sets.len();
    if rows > most {
        rows = most;
        // What is kept in hand for drying and surprises is always told.
        let kept = sets.iter().position(|s| w.ribbons[s.ribbon].in_hand && s.row + 1 >= most);
        if let Some(k) = kept {
            sets.retain(|s| s.row != 0 || s.ribbon == k);
            sets.iter_mut().filter(|s| s.ribbon == k).for_each(|s| s.row = 0);
        }
        sets.retain(|s| s.row + 1 < most);
    }
    let more = all - sets.len();
    Measured { high: u * (HEAD + rows as f32 * RIBBON + lines * LINE + AIR), sets, rows, more, words }
}

fn day_words(d: &ClientDay, f: &Frame) -> Vec<(String, Ink)> {
    let (u, wide) = (f.sheet.unit, f.day_wide() - f.sheet.unit * 0.45);
    let lines = |text: &str, ink: Ink| {
        let set = if text.is_empty() { Vec::new() } else { wrap(text, u, Weight::Regular, wide, MOST) };
        set.into_iter().map(move |l| (l, ink)).collect::<Vec<_>>()
    };
    // A door drawn shut says that the room is closed.
    let told = d.troubles.iter().filter(|t| d.door != Some(Door::Shut) || *t != "closed");
    let told: Vec<&str> = told.map(String::as_str).collect();
    let mut out = lines(if d.theirs { "yours again by evening" } else { "" }, Ink::Safe);
    out.extend(lines(&told.join(", "), Ink::Shut));
    out
}

/// Draws a week at `y`.
fn week(w: &ClientWeek, m: &Measured, f: &Frame, y: f32, out: &mut Page) {
    let (u, high) = (f.sheet.unit, m.high);
    for (n, _) in w.days.iter().enumerate().filter(|(_, d)| d.off) {
        let fill = Some(Ink::Off);
        out.marks.push(Mark::Rect { x: f.day(n), y, w: f.day_wide(), h: high, fill, line: None });
    }
    rule(f, y, out);
    let rows = m.rows as f32;
    for (n, d) in w.days.iter().enumerate() {
        let x = f.day(n) + u * 0.3;
        out.text((x, y + u * 1.08), u, Weight::SemiBold, Ink::Ink, d.number.clone());
        if let Some(kind) = d.door {
            door(kind, f.day(n + 1) - u * 1.1, y + u * 0.15, u, out);
        }
        let top = y + u * (HEAD + rows * RIBBON);
        for (i, (text, ink)) in m.words[n].iter().enumerate() {
            out.text((x, top + u * (0.95 + LINE * i as f32)), u, Weight::Regular, *ink, text.clone());
        }
        if d.theirs {
            let line = Some((Ink::Safe, u * 0.16));
            let (x, w) = (f.day(n), f.day_wide());
            out.marks.push(Mark::Rect { x, y, w, h: high, fill: None, line });
        }
    }
    for s in &m.sets {
        ribbon(&w.ribbons[s.ribbon], s, f, y + u * (HEAD + s.row as f32 * RIBBON), out);
    }
    if m.more > 0 {
        let base = y + u * (HEAD + (rows - 1.0) * RIBBON + 0.92);
        out.text((f.day(0) + u * 0.5, base), u, Weight::Regular, Ink::Quiet, and_more(m.more));
    }
}

fn ribbon(r: &Ribbon, s: &Set, f: &Frame, y: f32, out: &mut Page) {
    let u = f.sheet.unit;
    let (x, right) = (f.day(r.from) + u * 0.15, f.day(r.to + 1) - u * 0.15);
    let (fill, line, ink) = if r.in_hand {
        (None, Some((Ink::Safe, u * 0.08)), Ink::Safe)
    } else {
        (Some(Ink::Phase), Some((Ink::Rule, u * 0.05)), Ink::Ink)
    };
    out.marks.push(Mark::Rect { x, y, w: right - x, h: u * (RIBBON - 0.12), fill, line });
    out.text((s.x, y + u * 0.92), u, Weight::Regular, ink, s.text.clone());
}

/// A door of 0.8 by 1.15 units: a frame with its leaf ajar, or shut and dark.
fn door(kind: Door, x: f32, y: f32, u: f32, out: &mut Page) {
    let line = Some((Ink::Ink, u * 0.06));
    let at = |dx: f32, dy: f32| (x + dx * u, y + dy * u);
    match kind {
        Door::Shut => {
            out.marks.push(Mark::Rect { x, y, w: u * 0.8, h: u * 1.15, fill: Some(Ink::Ink), line });
            let knob = vec![at(0.56, 0.54), at(0.68, 0.54), at(0.68, 0.66), at(0.56, 0.66)];
            out.marks.push(Mark::Shape { points: knob, fill: Some(Ink::Paper), line: None });
        }
        Door::Open => {
            out.marks.push(Mark::Rect { x, y, w: u * 0.8, h: u * 1.15, fill: None, line });
            let leaf = vec![at(0.0, 0.0), at(0.42, 0.16), at(0.42, 1.3), at(0.0, 1.15)];
            out.marks.push(Mark::Shape { points: leaf, fill: Some(Ink::Paper), line });
        }
    }
}

/// The lists beside the weeks, as blocks.
fn lists(page: &ClientPage, f: &Frame) -> Vec<Block> {
    let (u, w) = (f.sheet.unit, f.wide);
    let head = |text: &str| heading(text, u * 1.2, w, Ink::Ink);
    let mut out = Vec::new();
    if !page.wants.is_empty() {
        out.push(head("What is needed from you"));
        out.extend(page.wants.iter().map(|x| pair(&x.when, &x.what, u, (u * 10.0, w), Ink::Safe)));
    }
    out.push(head("What the day hangs on"));
    out.extend(page.conditions.iter().map(|x| paragraph(x, u, w, Ink::Ink)));
    if !page.moves.is_empty() {
        out.push(head("What could still move the day"));
        out.extend(page.moves.iter().map(|x| item(x, u, w, Ink::Ink)));
    }
    out.push(head("When it is yours"));
    out.extend(page.uses.iter().map(|x| pair(&x.when, &x.what, u, (u * 7.6, w), Ink::Ink)));
    let heeds = heed_lines(&page.heeds);
    if !heeds.is_empty() {
        out.push(heading("Please heed", u * 1.2, w, Ink::Shut));
        out.extend(heeds.iter().map(|x| item(x, u, w, Ink::Ink)));
    }
    out.push(paragraph(&page.note, u, w, Ink::Quiet));
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
