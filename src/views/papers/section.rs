//! The room section on paper: the same layout as on the screen, asked for at the size of a lying
//! sheet, its roles in ink.
//!
//! A job of several rooms has a page for every room that found
//! no place unfolded on one before. Behind the drawing every step is told in words, by day.

use super::pen::marks;
use crate::desk::Sound;
use crate::forecast::Forecast;
use crate::search::Found;
use crate::views::face::{self, Weight};
use crate::views::holds::step_name;
use crate::views::paper::{Block, Cell, Flow, Head, Ink, Page, Sheet, Size, clean, fit, heading, numbers, row};
use crate::views::section::{Ask, Model, layout};
use crate::views::{Almanac, ForecastView, PlanView, day_words};

/// Points of paper for a pixel of the layout: as many as let a room stand whole on its page. The
/// smallest words of the layout come to 8 points at the most, to 6.2 at the least.
const SCALES: [f32; 4] = [0.77, 0.72, 0.67, 0.62];

/// The section of a plan with its odds, on lying pages.
pub fn section_papers(sound: &Sound, found: &Found, f: &Forecast, size: Size) -> Vec<Page> {
    let sheet = size.sheet(true);
    let view = PlanView::without_float(sound, found);
    let odds = ForecastView::new(sound, f, sound.job.confidence);
    let m = Model::new(sound, found, &view, Some((f, &odds)));
    let mut pages: Vec<Page> = Vec::new();
    let mut shown: Vec<usize> = Vec::new();
    let mut below = 0.0;
    let head = head(sound, odds.safe);
    let told = words(sound, &m, sheet);
    for room in 0..m.rooms.len().max(1) {
        if shown.contains(&room) && !pages.is_empty() {
            continue;
        }
        let mut scroll = 0.0;
        loop {
            let mut page = Page::new(sheet);
            let top = title(&head, sheet, &mut page);
            let asked = |scale: f32, free: f32| {
                let ask = Ask {
                    width: (sheet.w - 2.0 * sheet.margin) / scale,
                    height: (sheet.h - sheet.margin - sheet.unit - top - free) / scale,
                    scroll_y: scroll,
                    unfolded: room,
                    scrolls: false,
                    ..Ask::default()
                };
                (layout(&m, &ask), scale)
            };
            // One room may leave room for its words; a drawing is read at most a little smaller for it.
            let words_high = even_height(&told, column(sheet).0) + sheet.unit * 1.5;
            let both = SCALES[..3].iter().map(|&k| asked(k, words_high)).filter(|_| m.rooms.len() < 2);
            let alone = SCALES.iter().map(|&k| asked(k, 0.0));
            let whole = both.chain(alone).find(|l| l.0.most_scroll.y < 0.5);
            let (out, scale) = whole.unwrap_or_else(|| asked(SCALES[SCALES.len() - 1], 0.0));
            page.marks.extend(marks(&out, (sheet.margin, top), scale));
            shown.extend(&out.open);
            below = top + out.zones.legend.bottom() * scale;
            pages.push(page);
            if out.scroll.y >= out.most_scroll.y - 0.5 {
                break;
            }
            scroll = out.scroll.y + out.zones.bands.h;
        }
    }
    place(told, &head, sheet, below, &mut pages);
    numbers(&mut pages, sheet, "page");
    pages
}

fn head(sound: &Sound, safe: i64) -> Head {
    let job = &sound.job;
    let client = if job.client.is_empty() { String::new() } else { format!(", for {}", job.client) };
    let as_of = job.as_of.map_or_else(String::new, |t| format!(", as of {}", day_words(t.date())));
    Head {
        over: String::new(),
        title: format!("{}{client}{as_of}", job.name),
        right: format!("safe to promise {}", day_words(job.date_of(safe))),
        under: Vec::new(),
    }
}

/// One line over the drawing; where the drawing begins.
fn title(head: &Head, sheet: Sheet, page: &mut Page) -> f32 {
    let (u, x) = (sheet.unit, sheet.margin);
    let size = u * 1.6;
    let y = x + face::ascent(size, Weight::SemiBold);
    let wide = face::width(&head.right, size, Weight::SemiBold);
    let room = sheet.w - 2.0 * x - wide - u * 2.0;
    page.text((x, y), size, Weight::SemiBold, Ink::Ink, fit(&clean(&head.title), size, Weight::SemiBold, room));
    page.text((sheet.w - x - wide, y), size, Weight::SemiBold, Ink::Safe, head.right.clone());
    x + size * 1.6
}

/// Every step by the day it begins on, with its hour and who does it: the drawing has not room for
/// every name.
fn words(sound: &Sound, m: &Model, sheet: Sheet) -> Vec<Block> {
    let a = Almanac(&sound.job);
    let mut all: Vec<usize> = (0..m.blocks.len()).collect();
    all.sort_by_key(|&b| (m.blocks[b].begin, m.blocks[b].step));
    let size = sheet.unit * 0.95;
    let wide = column(sheet).1;
    let mut out = Vec::new();
    let mut day = None;
    for (i, &b) in all.iter().enumerate() {
        let block = &m.blocks[b];
        if day != Some(block.begin.day()) {
            day = Some(block.begin.day());
            out.push(heading(&a.short_day(block.begin.day()), size, wide, Ink::Ink));
        }
        let who = if block.who.is_empty() { String::new() } else { format!(", {}", block.who) };
        let done = if block.done { ", done" } else { "" };
        let text = clean(&format!("{}{who}{done}", step_name(sound, block.step)));
        // Orders and decisions begin with the day, at no hour of it.
        let hour = if block.hands || block.begin.minute() > 0 { a.time(block.begin) } else { String::new() };
        let time = Cell::right(0.0, size * 3.4, hour).quiet();
        out.push(row(&[time, Cell::left(size * 4.2, wide, text)], size).kept());
        // A day stays in one column.
        if all.get(i + 1).is_none_or(|&n| m.blocks[n].begin.day() != block.begin.day()) {
            out.last_mut().expect("a row").keeps = false;
        }
    }
    out
}

/// How many columns a lying sheet has for words, their width and the step from one to the next.
fn column(sheet: Sheet) -> (usize, f32, f32) {
    let (gap, wide) = (sheet.unit * 2.4, sheet.w - 2.0 * sheet.margin);
    let one = (wide - 2.0 * gap) / 3.0;
    (3, one, one + gap)
}

/// The least height of columns, near enough, that take these blocks.
fn even_height(blocks: &[Block], columns: usize) -> f32 {
    let all: f32 = blocks.iter().map(|b| b.height).sum();
    let bare = || blocks.iter().map(|b| Block { height: b.height, marks: Vec::new(), keeps: b.keeps }).collect();
    let fits = |high: f32| {
        let mut flow = Flow::default();
        (0..columns).for_each(|c| flow.column(c, 0.0, 0.0, high));
        flow.set(bare(), |_, _| {}).is_empty()
    };
    let mut high = all / columns as f32;
    while high < all && !fits(high) {
        high += 4.0;
    }
    high
}

/// Words below the last drawing where there is room for them, else on pages of their own.
fn place(blocks: Vec<Block>, head: &Head, sheet: Sheet, below: f32, pages: &mut Vec<Page>) {
    let (columns, _, step) = column(sheet);
    let bottom = sheet.h - sheet.margin - sheet.unit;
    let mut left = blocks;
    let mut top = below + sheet.unit;
    // Columns even in height; below a drawing only where all of it fits.
    let even = |top: f32, left: &[Block]| (top + even_height(left, columns)).min(bottom);
    if left.is_empty() {
        return;
    }
    if even_height(&left, columns) > bottom - top {
        let mut page = Page::new(sheet);
        top = title(head, sheet, &mut page);
        pages.push(page);
    }
    let mut flow = Flow::default();
    loop {
        let n = pages.len() - 1;
        let foot = even(top, &left);
        (0..columns).for_each(|c| flow.column(n, sheet.margin + step * c as f32, top, foot));
        let page = &mut pages[n];
        left = flow.set(left, |_, m| page.marks.push(m));
        if left.is_empty() {
            return;
        }
        let mut page = Page::new(sheet);
        top = title(head, sheet, &mut page);
        pages.push(page);
    }
}
