//! The room section on paper: the same layout as on the screen, asked for at the size of a lying
//! sheet, its roles in ink.
//!
//! A job of several rooms has a page for every room that found no place unfolded on one before, the others folded
//! beside it. Of very many, which no page holds so, each page has the next few by themselves, unfolded and whole. Behind
//! the drawing every step is told in words, by day.

use std::ops::Range;

use super::pen::marks;
use crate::clock::{At, DAY};
use crate::desk::Sound;
use crate::forecast::{Forecast, last_day};
use crate::search::Found;
use crate::views::face::{self, Weight};
use crate::views::holds::step_name;
use crate::views::paper::{
    Block, Cell, Flow, Head, Ink, Page, Sheet, Size, clean, fit, heading, numbers, paragraph, row,
};
use crate::views::section::{Ask, Layout, Model, layout};
use crate::views::{Almanac, ForecastView, PlanView, day_words, moment_words};
use crate::work::Kind;

/// Points of paper for a pixel of the layout: as many as let a room stand whole on its page. The
/// smallest words of the layout come to 8 points at the most, to 6.2 at the least.
const SCALES: [f32; 4] = [0.77, 0.72, 0.67, 0.62];

/// A page of the section, and where its drawing ends.
type Drawn = (Page, f32);

/// The section of a plan with its odds, on lying pages; of one room where one is asked for (its place in the job).
pub fn section_papers(sound: &Sound, found: &Found, f: &Forecast, size: Size, room: Option<usize>) -> Vec<Page> {
    let sheet = size.sheet(true);
    let view = PlanView::without_float(sound, found);
    let odds = ForecastView::new(sound, f, sound.job.confidence);
    let m = Model::new(sound, found, &view, Some((f, &odds)));
    let head = head(sound, odds.safe, found.plan.finish);
    let asked = room.and_then(|r| m.rooms.iter().position(|x| x.room == r));
    let told = words(sound, &m, sheet, asked);
    let drawn = match asked {
        Some(r) => apart(&m, r..r + 1, &head, sheet),
        None => together(&m, &told, &head, sheet).unwrap_or_else(|| apart(&m, 0..m.rooms.len(), &head, sheet)),
    };
    let below = drawn.last().map_or(0.0, |d| d.1);
    let mut pages: Vec<Page> = drawn.into_iter().map(|d| d.0).collect();
    place(told, &head, sheet, below, &mut pages);
    numbers(&mut pages, sheet, "page");
    pages
}

/// A layout on a page below a head; how much of its height stays free.
struct On<'a> {
    head: &'a Head,
    sheet: Sheet,
}

impl On<'_> {
    /// The layout of an ask at a scale, `free` points of the page left for something else.
    fn ask(&self, m: &Model, scale: f32, free: f32, ask: Ask) -> (Layout, f32) {
        let s = self.sheet;
        let top = title_height(s);
        let ask = Ask {
            width: (s.w - 2.0 * s.margin) / scale,
            height: (s.h - s.margin - s.unit - top - free) / scale,
            scrolls: false,
            ..ask
        };
        (layout(m, &ask), scale)
    }

    /// The largest scale at which all of it stands on the page.
    fn whole(&self, m: &Model, ask: Ask) -> Option<(Layout, f32)> {
        SCALES.iter().map(|&k| self.ask(m, k, 0.0, ask)).find(|l| is_whole(&l.0))
    }

    fn draw(&self, (out, scale): &(Layout, f32)) -> Drawn {
        let mut page = Page::new(self.sheet);
        let top = title(self.head, self.sheet, &mut page);
        page.marks.extend(marks(out, (self.sheet.margin, top), *scale));
        (page, top + out.zones.legend.bottom() * scale)
    }
}

fn is_whole(out: &Layout) -> bool {
    out.most_scroll.y < 0.5
}

/// All rooms on every page, each unfolded on one; none where a page does not hold them so.
fn together(m: &Model, told: &[Block], head: &Head, sheet: Sheet) -> Option<Vec<Drawn>> {
    let on = On { head, sheet };
    let mut pages: Vec<Drawn> = Vec::new();
    let mut shown: Vec<usize> = Vec::new();
    // One room may leave room for its words; a drawing is read at most a little smaller for it.
    let words_high = even_height(told, column(sheet).0) + sheet.unit * 1.5;
    for room in 0..m.rooms.len().max(1) {
        if shown.contains(&room) && !pages.is_empty() {
            continue;
        }
        let ask = Ask { unfolded: room, ..Ask::default() };
        let both = SCALES[..3].iter().filter(|_| m.rooms.len() < 2).map(|&k| on.ask(m, k, words_high, ask));
        let out = both.into_iter().find(|l| is_whole(&l.0)).or_else(|| on.whole(m, ask))?;
        shown.extend(&out.0.open);
        // Every page says which of several rooms it shows open.
        let open = match out.0.open.as_slice() {
            _ if m.rooms.len() < 2 => String::new(),
            [one] => which_rooms(m, *one, one + 1, m.rooms.len()),
            some => {
                let names: Vec<String> = some.iter().filter_map(|&r| m.rooms.get(r)).map(|r| clean(&r.name)).collect();
                format!("{} of {} rooms", fit(&names.join(", "), 10.0, Weight::SemiBold, 220.0), m.rooms.len())
            }
        };
        let right = if open.is_empty() { head.right.clone() } else { format!("{open}; {}", head.right) };
        pages.push(On { head: &Head { right, ..head.clone() }, sheet }.draw(&out));
    }
    Some(pages)
}

/// Rooms a few to a page, as many as stand on it unfolded and whole; each page says which.
fn apart(m: &Model, rooms: Range<usize>, head: &Head, sheet: Sheet) -> Vec<Drawn> {
    let all = m.rooms.len();
    let mut pages: Vec<Drawn> = Vec::new();
    let mut first = rooms.start;
    while first < rooms.end.max(rooms.start + 1) {
        // Who does what stands on the first page only.
        let ask = Ask { lanes: pages.is_empty(), ..Ask::default() };
        let group = |to: usize| {
            let part = m.of_rooms(first..to);
            let on = On { head, sheet };
            on.whole(&part, ask).filter(|l| l.0.open.len() == to - first)
        };
        let mut last = first + 1;
        let mut drawn = group(last);
        while drawn.is_some() && last < rooms.end {
            let Some(more) = group(last + 1) else { break };
            (drawn, last) = (Some(more), last + 1);
        }
        let which = which_rooms(m, first, last, all);
        let right = if which.is_empty() { head.right.clone() } else { format!("{which}; {}", head.right) };
        let own = Head { right, ..head.clone() };
        let on = On { head: &own, sheet };
        match drawn {
            Some(out) => pages.push(on.draw(&out)),
            None => pages.extend(halves(&m.of_rooms(first..last), ask, &on)),
        }
        first = last;
    }
    pages
}

/// A room too full for a page: above its floor, then below it.
fn halves(m: &Model, ask: Ask, on: &On) -> Vec<Drawn> {
    let mut out = Vec::new();
    for half in [m.half(true), m.half(false)] {
        if half.blocks.is_empty() {
            continue;
        }
        let least = SCALES[SCALES.len() - 1];
        let mut at = on.whole(&half, ask).or_else(|| on.whole(&half, Ask { lanes: false, ..ask }));
        let mut scroll = 0.0;
        loop {
            let bare = Ask { lanes: false, scroll_y: scroll, ..ask };
            let drawn = at.take().unwrap_or_else(|| on.ask(&half, least, 0.0, bare));
            out.push(on.draw(&drawn));
            scroll = drawn.0.scroll.y + drawn.0.zones.bands.h;
            if drawn.0.scroll.y >= drawn.0.most_scroll.y - 0.5 {
                break;
            }
        }
    }
    out
}

/// `rooms 4 to 6 of 60`, `Guest bath, room 4 of 60`; nothing where there is one.
fn which_rooms(m: &Model, first: usize, last: usize, all: usize) -> String {
    match last - first {
        _ if all < 2 => String::new(),
        1 => {
            let name = m.rooms.get(first).map_or("", |r| r.name.as_str());
            let name = fit(&clean(name), 10.0, Weight::SemiBold, 160.0);
            format!("{name}, room {} of {all}", first + 1)
        }
        _ => format!("rooms {} to {last} of {all}", first + 1),
    }
}

fn head(sound: &Sound, safe: i64, finish: At) -> Head {
    let job = &sound.job;
    let client = if job.client.is_empty() { String::new() } else { format!(", for {}", job.client) };
    let as_of = job.as_of.map_or_else(String::new, |t| format!(", as of {}", moment_words(t)));
    let now = job.as_of.map(|t| job.at_of(t));
    // What is done needs no safe day.
    let right = match now.filter(|t| finish <= *t) {
        Some(_) => format!("done {}", day_words(job.date_of(last_day(finish)))),
        None => format!("safe to promise {}", day_words(job.date_of(safe))),
    };
    Head { over: String::new(), title: format!("{}{client}{as_of}", job.name), right, ..Head::default() }
}

/// How far down the page the drawing begins.
fn title_height(sheet: Sheet) -> f32 {
    sheet.margin + sheet.unit * 1.6 * 1.6
}

/// One line over the drawing; where the drawing begins.
fn title(head: &Head, sheet: Sheet, page: &mut Page) -> f32 {
    let (u, x) = (sheet.unit, sheet.margin);
    let size = u * 1.6;
    let y = x + face::ascent(size, Weight::SemiBold);
    let wide = face::width(&head.right, size, Weight::SemiBold);
    let room = sheet.w - 2.0 * x - wide - u * 2.0;
    // A long name is set smaller before it is cut.
    let title = clean(&head.title);
    let small = size * (room / face::width(&title, size, Weight::SemiBold).max(1.0)).clamp(0.65, 1.0);
    page.text((x, y), small, Weight::SemiBold, Ink::Ink, fit(&title, small, Weight::SemiBold, room));
    page.text((sheet.w - x - wide, y), size, Weight::SemiBold, Ink::Safe, head.right.clone());
    title_height(sheet)
}

/// Every step by its day, with its hour and who does it: the drawing has not room for every name. Of one room those of
/// that room.
fn words(sound: &Sound, m: &Model, sheet: Sheet, room: Option<usize>) -> Vec<Block> {
    let a = Almanac(&sound.job);
    let size = sheet.unit * 0.95;
    let wide = column(sheet).1;
    let mut all: Vec<Line> =
        m.blocks.iter().filter(|b| room.is_none() || b.room == room).flat_map(|b| lines_of(sound, b)).collect();
    all.sort_by_key(|l| (l.day, l.minute, l.step));
    let mut out = Vec::new();
    if !all.is_empty() {
        let note = "Every step by its day. A number such as +2 in the drawing counts steps it has no room to name.";
        out.push(paragraph(note, size, wide, Ink::Quiet));
    }
    for (i, l) in all.iter().enumerate() {
        if i == 0 || all[i - 1].day != l.day {
            out.push(heading(&a.short_day(l.day), size, wide, Ink::Ink));
        }
        // Orders and decisions begin with the day, at no hour of it.
        let hour = if l.hour { a.time(At(l.day * DAY + l.minute)) } else { String::new() };
        let time = Cell::right(0.0, size * 3.4, hour).quiet();
        out.push(row(&[time, Cell::left(size * 4.2, wide, clean(&l.text))], size).kept());
        // A day stays in one column.
        if all.get(i + 1).is_none_or(|n| n.day != l.day) {
            out.last_mut().expect("a row").keeps = false;
        }
    }
    out
}

/// A line of the list by day.
struct Line {
    day: i64,
    minute: i64,
    hour: bool,
    step: usize,
    text: String,
}

/// What a block is told as: work on the day it begins; a delivery on the day it is ordered and on the day it comes;
/// a result or a choice on the day it is due.
fn lines_of(sound: &Sound, b: &crate::views::section::Block) -> Vec<Line> {
    let s = &sound.graph.steps[b.step];
    let name = step_name(sound, b.step);
    let line = |at: At, hour: bool, text: String| Line { day: at.day(), minute: at.minute(), hour, step: b.step, text };
    let done = if b.done { ", done" } else { "" };
    let due = At(last_day(b.end).max(b.begin.day()) * DAY);
    match s.kind {
        Kind::Business { .. } if s.origin.starts_with("deliveries[") => {
            let order = s.origin.trim_start_matches("deliveries[").trim_end_matches(']').parse::<usize>().ok();
            let ordered = order.and_then(|i| sound.job.deliveries.get(i)).is_some_and(|d| d.ordered.is_some());
            let first = line(At(b.begin.day() * DAY), false, format!("order: {name}"));
            let comes = line(due, false, if b.done { format!("here: {name}") } else { format!("expected: {name}") });
            if ordered || b.done { vec![comes] } else { vec![first, comes] }
        }
        Kind::Business { .. } => vec![line(due, false, format!("due: {name}{done}"))],
        Kind::Decision { at, .. } => vec![line(At(last_day(at) * DAY), false, format!("due: {name}{done}"))],
        _ => {
            let who = if b.who.is_empty() || sound.job.crew.len() < 2 { String::new() } else { format!(", {}", b.who) };
            vec![line(b.begin, b.hands || b.begin.minute() > 0, format!("{name}{who}{done}"))]
        }
    }
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
    // No column is too low for a day, whose lines stand together.
    let mut day = 0.0;
    let mut tallest: f32 = 0.0;
    for b in blocks {
        day += b.height;
        tallest = tallest.max(day);
        day = if b.keeps { day } else { 0.0 };
    }
    let mut high = (all / columns as f32).max(tallest.min(all));
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
