//! What stands in the days of a week: boxes over days whose words stay within them, the words of a day, doors.
//!
//! A box takes the longest of its names that stands in it on one line, else the shortest on several; a word too
//! long for it ends in an ellipsis, never beyond it. Heights count in units of the smallest text.

use super::weeks::Grid;
use super::{Door, RoomWeek};
use crate::views::face::{self, Weight};
use crate::views::paper::{Ink, Mark, fit, wrap};

/// Heights: a box of one line, each further line of words.
pub(super) const RIBBON: f32 = 1.22;
pub(super) const LINE: f32 = 1.12;
/// Lines a box or a day has at most.
const MOST: usize = 6;
/// Air at the sides of a day's words.
pub(super) const SIDE: f32 = 0.3;

/// Marks from the left end of the page and the top of what they stand in, and how high they are.
#[derive(Clone, Debug, Default)]
pub(super) struct Laid {
    pub high: f32,
    pub marks: Vec<Mark>,
}

impl Laid {
    /// Takes another in, `down` from the top.
    pub fn take(&mut self, other: Laid, down: f32) {
        self.high = self.high.max(down + other.high);
        self.marks.extend(other.marks.into_iter().map(|m| m.moved(0.0, down)));
    }
}

/// Text in lines of whole words; a word wider than a line ends in an ellipsis.
pub(super) fn lines(text: &str, u: f32, width: f32, most: usize) -> Vec<String> {
    let words: Vec<String> = text.split_whitespace().map(|w| fit(w, u, Weight::Regular, width)).collect();
    wrap(&words.join(" "), u, Weight::Regular, width, most)
}

/// The lines of a box: one or several things, each by its names, in so much room.
fn named(things: &[&[String]], u: f32, width: f32) -> Vec<String> {
    let levels = things.iter().map(|n| n.len()).max().unwrap_or(0);
    let text = |level: usize| {
        let one = |n: &&[String]| n.get(level.min(n.len().saturating_sub(1))).cloned().unwrap_or_default();
        things.iter().map(one).collect::<Vec<_>>().join(", ")
    };
    let short = (0..levels).map(text).find(|t| face::width(t, u, Weight::Regular) <= width);
    match short {
        Some(one) => vec![one],
        None => lines(&text(levels.saturating_sub(1)), u, width, MOST),
    }
}

/// A box over days, its words within it.
pub(super) fn boxed(g: &Grid, (from, to): (usize, usize), things: &[&[String]], in_hand: bool) -> Laid {
    let u = g.u();
    let (x, right) = (g.x[from] + u * 0.15, g.x[to + 1] - u * 0.15);
    let set = named(things, u, right - x - u * 0.6);
    let high = u * (RIBBON + LINE * (set.len().saturating_sub(1)) as f32);
    let (fill, line, ink) = if in_hand {
        (None, Some((Ink::Safe, u * 0.08)), Ink::Safe)
    } else {
        (Some(Ink::Phase), Some((Ink::Rule, u * 0.05)), Ink::Ink)
    };
    let mut marks = vec![Mark::Rect { x, y: 0.0, w: right - x, h: high - u * 0.1, fill, line }];
    marks.extend(set.into_iter().enumerate().map(|(n, text)| Mark::Text {
        x: x + u * 0.3,
        y: u * (0.88 + LINE * n as f32),
        size: u,
        weight: Weight::Regular,
        ink,
        text,
    }));
    Laid { high, marks }
}

/// Words of a day, its door beside them at the right.
pub(super) fn day_words(g: &Grid, n: usize, told: &[(String, Ink)], door: Option<Door>) -> Laid {
    let u = g.u();
    let (left, right) = (g.x[n] + u * SIDE, g.x[n + 1] - u * SIDE);
    let mut out = Laid::default();
    let width = right - left - if door.is_some() { u * 1.0 } else { 0.0 };
    for (text, ink) in told.iter().filter(|t| !t.0.is_empty()) {
        for text in lines(text, u, width, MOST) {
            let y = out.high + u * 0.88;
            out.marks.push(Mark::Text { x: left, y, size: u, weight: Weight::Regular, ink: *ink, text });
            out.high += u * LINE;
        }
    }
    if let Some(kind) = door {
        out.marks.extend(door_marks(kind, g.x[n + 1] - u * 1.05, u * 0.02, u));
        out.high = out.high.max(u * 1.3);
    }
    out
}

/// A room's row of a week: its name at the left or above, its phases by the days they are on, its words and
/// doors by day.
pub(super) fn room(g: &Grid, r: &RoomWeek, off: &[bool; 7]) -> Laid {
    let u = g.u();
    let mut out = Laid::default();
    let put = |out: &mut Laid, width: f32, most: usize| {
        let set = lines(&r.name, u, width, most);
        for (n, text) in set.iter().enumerate() {
            let y = u * (0.9 + LINE * n as f32);
            let text = text.clone();
            out.marks.push(Mark::Text {
                x: g.left + u * SIDE,
                y,
                size: u,
                weight: Weight::SemiBold,
                ink: Ink::Ink,
                text,
            });
        }
        set.len() as f32 * u * LINE
    };
    // Semi-bold letters are a little wider than those the lines are made with.
    let beside = g.x[0] - g.left;
    let top = if beside > 0.0 {
        out.high = put(&mut out, (beside - u * SIDE * 2.0) * 0.94, 4);
        0.0
    } else {
        put(&mut out, (g.right() - g.left - u) * 0.94, 1)
    };
    let mut boxes = Laid::default();
    for (from, to) in runs(r, off) {
        let things: Vec<&[String]> = r.days[from].phases.iter().map(Vec::as_slice).collect();
        boxes.take(boxed(g, (from, to), &things, false), 0.0);
    }
    let below = top + boxes.high + u * 0.05;
    out.take(boxes, top);
    for (n, d) in r.days.iter().enumerate() {
        let told: Vec<&str> = d.troubles.iter().map(String::as_str).collect();
        out.take(day_words(g, n, &[(told.join(", "), Ink::Shut)], d.door), below);
    }
    out.high += u * 0.12;
    out
}

/// Days in a row with the same phases; a day off between them does not part them.
fn runs(r: &RoomWeek, off: &[bool; 7]) -> Vec<(usize, usize)> {
    let mut out: Vec<(usize, usize)> = Vec::new();
    for n in (0..7).filter(|&n| !r.days[n].phases.is_empty()) {
        let goes_on = |s: &(usize, usize)| {
            r.days[s.0].phases == r.days[n].phases && (s.1 + 1..n).all(|k| off[k] && r.days[k].phases.is_empty())
        };
        match out.last_mut().filter(|s| goes_on(s)) {
            Some(s) => s.1 = n,
            None => out.push((n, n)),
        }
    }
    out
}

/// A door of 0.8 by 1.05 units: a frame with its leaf ajar, or shut and dark.
fn door_marks(kind: Door, x: f32, y: f32, u: f32) -> Vec<Mark> {
    let line = Some((Ink::Ink, u * 0.06));
    let at = |dx: f32, dy: f32| (x + dx * u, y + dy * u);
    let frame = |fill| Mark::Rect { x, y, w: u * 0.8, h: u * 1.05, fill, line };
    match kind {
        Door::Shut => {
            let knob = vec![at(0.56, 0.48), at(0.68, 0.48), at(0.68, 0.6), at(0.56, 0.6)];
            vec![frame(Some(Ink::Ink)), Mark::Shape { points: knob, fill: Some(Ink::Paper), line: None }]
        }
        Door::Open => {
            let leaf = vec![at(0.0, 0.0), at(0.42, 0.15), at(0.42, 1.2), at(0.0, 1.05)];
            vec![frame(None), Mark::Shape { points: leaf, fill: Some(Ink::Paper), line }]
        }
    }
}
