//! The lists beside and below the weeks: parts with a heading, set in columns.
//!
//! A part stays whole where a column holds it; else it goes on in the next column with its heading again,
//! two entries or more on either side. Sizes count in units of the smallest text.

use std::collections::VecDeque;

use super::ClientPage;
use super::cautions::heed_lines;
use super::roll::{Drawn, around};
use super::rooms::by_day;
use crate::views::paper::{Block, Ink, heading, item, pair, paragraph};

/// A heading and what stands below it, each with its words.
#[derive(Clone, Debug)]
pub(super) struct Part {
    title: String,
    ink: Ink,
    width: f32,
    unit: f32,
    head: Option<Block>,
    items: Vec<(Block, String)>,
}

impl Part {
    fn new(title: &str, ink: Ink, (width, unit): (f32, f32), items: Vec<(Block, String)>) -> Part {
        let head = (!title.is_empty()).then(|| heading(title, unit * 1.2, width, ink));
        Part { title: title.into(), ink, width, unit, head, items }
    }

    pub fn height(&self) -> f32 {
        self.top() + self.items.iter().map(|i| i.0.height).sum::<f32>()
    }

    fn top(&self) -> f32 {
        self.head.as_ref().map_or(0.0, |h| h.height)
    }

    /// How many entries stand below the heading within a height.
    fn within(&self, room: f32) -> usize {
        let mut y = self.top();
        let fits = |i: &&(Block, String)| {
            y += i.0.height;
            y <= room + 0.01
        };
        self.items.iter().take_while(fits).count()
    }

    /// Draws the first entries; what is left goes on under its heading.
    fn draw(mut self, count: usize, (x, top): (f32, f32), out: &mut Drawn) -> Option<Part> {
        let rest = self.items.split_off(count.min(self.items.len()));
        let mut y = top;
        let head = self.head.take().map(|h| (h, self.title.clone()));
        for (block, words) in head.into_iter().chain(self.items) {
            let high = block.height;
            let marks: Vec<_> = block.marks.into_iter().map(|m| m.moved(x, y)).collect();
            out.say(around(&marks), &words);
            out.page.marks.extend(marks);
            y += high;
        }
        (!rest.is_empty()).then(|| {
            let title = self.title.trim_end_matches(", goes on");
            let title = if title.is_empty() { String::new() } else { format!("{title}, goes on") };
            Part::new(&title, self.ink, (self.width, self.unit), rest)
        })
    }
}

/// What is needed, what the day hangs on, what could move it, when it is theirs; the cautions last.
pub(super) fn parts(page: &ClientPage, w: f32, u: f32) -> VecDeque<Part> {
    let two = |first: &str, second: &str, at: f32, ink: Ink| {
        (pair(first, second, u, (at, w), ink), format!("{first}: {second}"))
    };
    let line = |text: &String| (item(text, u, w, Ink::Ink), text.clone());
    let wants = page.wants.iter().map(|x| two(&x.when, &x.what, u * 9.4, Ink::Safe)).collect();
    let hangs = page.conditions.iter().map(|x| (paragraph(x, u, w, Ink::Ink), x.clone())).collect();
    let at = u * if page.done { 9.4 } else { 7.6 };
    let rooms = by_day(&page.rooms).iter().map(|x| two(&x.0, &x.1, u * 9.4, Ink::Safe)).collect();
    let mut moves: Vec<(Block, String)> = page.moves.iter().map(line).collect();
    if !page.moves_note.is_empty() {
        moves.push((paragraph(&page.moves_note, u, w, Ink::Quiet), page.moves_note.clone()));
    }
    let uses = page.uses.iter().map(|x| two(&x.when, &x.what, at, Ink::Ink)).collect();
    [
        Part::new("Yours again, room by room", Ink::Ink, (w, u), rooms),
        Part::new("What is needed from you", Ink::Ink, (w, u), wants),
        Part::new("What the day hangs on", Ink::Ink, (w, u), hangs),
        Part::new("What could still move the day", Ink::Ink, (w, u), moves),
        Part::new("When it is yours", Ink::Ink, (w, u), uses),
    ]
    .into_iter()
    .chain(heeds(page, w, u))
    .filter(|p| !p.items.is_empty())
    .collect()
}

/// The cautions, where there are any.
pub(super) fn heeds(page: &ClientPage, w: f32, u: f32) -> Option<Part> {
    let items: Vec<_> = heed_lines(&page.heeds).iter().map(|t| (item(t, u, w, Ink::Ink), t.clone())).collect();
    (!items.is_empty()).then(|| Part::new("Please heed", Ink::Shut, (w, u), items))
}

/// Words without a heading.
pub(super) fn bare(text: &str, w: f32, u: f32) -> Part {
    Part::new("", Ink::Quiet, (w, u), vec![(paragraph(text, u, w, Ink::Quiet), text.to_string())])
}

/// Which parts may be broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Break {
    Never,
    /// Those no column holds.
    Needed,
    Any,
}

/// Fills columns (left, top, bottom) one after the other; what finds no room comes back.
pub(super) fn fill(
    mut parts: VecDeque<Part>,
    columns: &[(f32, f32, f32)],
    may: Break,
    out: &mut Drawn,
) -> VecDeque<Part> {
    for &(x, top, bottom) in columns {
        let mut y = top;
        while let Some(p) = parts.pop_front() {
            let (high, all) = (p.height(), p.items.len());
            let first = y <= top;
            let fits = if y + high <= bottom + 0.01 { all } else { p.within(bottom - y) };
            // Two entries at least on either side of a break.
            let fits = if fits < all { fits.min(all.saturating_sub(2)) } else { fits };
            let count = match fits {
                n if n == all => all,
                _ if may == Break::Never => 0,
                n if n >= 2 && (may == Break::Any || first) => n,
                _ if first && bottom - top > p.unit * 12.0 => p.within(bottom - y).max(1),
                _ => 0,
            };
            if count == 0 {
                parts.push_front(p);
                break;
            }
            if let Some(rest) = p.draw(count, (x, y), out) {
                parts.push_front(rest);
                break;
            }
            y += high;
        }
    }
    parts
}

/// Fills columns of one height, as even as the parts go, no lower than `limit`; whole parts where that works.
pub(super) fn even(parts: VecDeque<Part>, lefts: &[f32], (top, limit): (f32, f32), out: &mut Drawn) -> VecDeque<Part> {
    let Some(u) = parts.front().map(|p| p.unit) else { return parts };
    let columns = |bottom: f32| lefts.iter().map(|x| (*x, top, bottom)).collect::<Vec<_>>();
    let all: f32 = parts.iter().map(Part::height).sum();
    let tallest = parts.iter().map(Part::height).fold(0.0, f32::max);
    // Whole parts first, unless a long one would make the columns uneven.
    let long = parts.iter().any(|p| p.items.len() > 5 && p.height() >= tallest);
    let whole = !long || tallest <= all / lefts.len().max(1) as f32 * 1.6;
    for may in [if whole { Break::Never } else { Break::Any }, Break::Any] {
        let mut high = all / lefts.len().max(1) as f32;
        while top + high <= limit + 0.01 {
            let mut trial = out.clone();
            let left = fill(parts.clone(), &columns(top + high), may, &mut trial);
            if left.is_empty() {
                *out = trial;
                return left;
            }
            high += u * 0.5;
            if high > all + u * 40.0 {
                break;
            }
        }
    }
    fill(parts, &columns(limit), Break::Any, out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::paper::{Page, Size};

    fn part(title: &str, lines: usize) -> Part {
        let items = (0..lines).map(|n| (paragraph("words", 10.0, 100.0, Ink::Ink), format!("{title} {n}"))).collect();
        Part::new(title, Ink::Ink, (100.0, 10.0), items)
    }

    #[test]
    fn a_part_is_broken_with_its_heading_again_and_never_for_one_line() {
        let mut out = Drawn::new(Page::new(Size::A4.sheet(false)));
        let six = part("six", 6);
        let (head, line) = (six.top(), six.items[0].0.height);
        let columns = [(0.0, 0.0, head + line * 5.5), (200.0, 0.0, 400.0)];
        // Five would fit; two go on, not one.
        let left = fill(VecDeque::from([six]), &columns, Break::Any, &mut out);
        assert!(left.is_empty());
        let words: Vec<&str> = out.told.iter().map(|t| t.words.as_str()).collect();
        assert_eq!(words, ["six", "six 0", "six 1", "six 2", "six 3", "six, goes on", "six 4", "six 5"]);
        // Nothing is lost where there is no room at all: it comes back.
        assert_eq!(fill(VecDeque::from([part("a", 2)]), &[], Break::Any, &mut out).len(), 1);
    }

    #[test]
    fn parts_stand_whole_in_even_columns_where_they_can() {
        let mut out = Drawn::new(Page::new(Size::A4.sheet(false)));
        let left =
            even((0..4).map(|n| part(["a", "b", "c", "d"][n], 4)).collect(), &[0.0, 200.0], (0.0, 800.0), &mut out);
        assert!(left.is_empty() && out.told.iter().all(|t| !t.words.contains("goes on")), "{:?}", out.told);
        let right = out.told.iter().filter(|t| t.area.0 >= 200.0).count();
        assert_eq!(right * 2, out.told.len());
        // A long one alone is broken, and never below the limit.
        let mut out = Drawn::new(Page::new(Size::A4.sheet(false)));
        let left = even(VecDeque::from([part("long", 20)]), &[0.0, 200.0], (0.0, 200.0), &mut out);
        assert!(left.is_empty() && out.told.iter().any(|t| t.words == "long, goes on"), "{:?}", out.told);
        assert!(out.told.iter().all(|t| t.area.3 <= 200.5));
    }
}
