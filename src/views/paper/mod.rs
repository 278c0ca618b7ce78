//! Pages of marks: one drawing model for every paper, whatever file it becomes.
//!
//! A page is as wide and high as its paper, in points of 1/72 in (on the screen sheet in pixels),
//! from the top left. Text stands by its baseline, with the advances of the bundled face; marks say
//! what they are by an [`Ink`], and who writes the file knows its colour. Nothing is cut: what is too
//! long wraps, and past its most lines ends in an ellipsis.

mod document;
mod flow;

pub use document::{Head, document, numbers};
pub use flow::{Block, Cell, Flow, heading, item, pair, paragraph, row, ruled};

use super::face::{self, Weight};
use super::section::Site;

/// Size of a sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Size {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8-1/2 by 11 in (ANSI/ASME Y14.1, size A).
    Letter,
    /// A shared screen of 1920 by 1080 pixels.
    Screen,
}

/// A sheet: width, height, margin, and the size of its smallest text.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    pub w: f32,
    pub h: f32,
    pub margin: f32,
    pub unit: f32,
}

impl Size {
    /// The sheet upright, or lying; the screen always lies.
    pub fn sheet(self, lying: bool) -> Sheet {
        let (short, long, unit) = match self {
            Size::A4 => (595.276, 841.89, 8.5),
            Size::Letter => (612.0, 792.0, 8.5),
            Size::Screen => return Sheet { w: 1920.0, h: 1080.0, margin: 40.0, unit: 24.0 },
        };
        let (w, h) = if lying { (long, short) } else { (short, long) };
        Sheet { w, h, margin: 36.0, unit }
    }
}

/// What a mark is, for its colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Words and drawn lines.
    Ink,
    /// Words beside the point.
    Quiet,
    /// Rules between things.
    Rule,
    /// Ground of a phase.
    Phase,
    /// Ground of days nobody works.
    Off,
    /// The day that stands, and what is kept in hand for it.
    Safe,
    /// What shuts the room.
    Shut,
    /// The paper itself, on a dark ground.
    Paper,
    /// Drawn things that are no work: leaders, ticks, panes.
    Edge,
    /// Lines through the days in hand.
    Hand,
    /// The tape of odds.
    Tape,
    /// Outline of work in a place, and its fill while it is still to do.
    Line(Site),
    Tint(Site),
}

/// One thing drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A line of text, its left end on the baseline.
    Text {
        x: f32,
        y: f32,
        size: f32,
        weight: Weight,
        ink: Ink,
        text: String,
    },
    Line {
        from: (f32, f32),
        to: (f32, f32),
        width: f32,
        ink: Ink,
    },
    /// Filled, outlined or both; the outline has its width.
    Rect {
        x: f32,
        y: f32,
        w: f32,
        h: f32,
        fill: Option<Ink>,
        line: Option<(Ink, f32)>,
    },
    Shape {
        points: Vec<(f32, f32)>,
        fill: Option<Ink>,
        line: Option<(Ink, f32)>,
    },
}

impl Mark {
    /// The mark moved.
    #[must_use]
    pub fn moved(mut self, dx: f32, dy: f32) -> Mark {
        match &mut self {
            Mark::Text { x, y, .. } | Mark::Rect { x, y, .. } => (*x, *y) = (*x + dx, *y + dy),
            Mark::Line { from, to, .. } => {
                (*from, *to) = ((from.0 + dx, from.1 + dy), (to.0 + dx, to.1 + dy));
            }
            Mark::Shape { points, .. } => points.iter_mut().for_each(|p| *p = (p.0 + dx, p.1 + dy)),
        }
        self
    }

    /// The mark drawn so many times its size, from the top left of the page.
    #[must_use]
    pub fn scaled(mut self, by: f32) -> Mark {
        let thin = |line: &mut Option<(Ink, f32)>| line.iter_mut().for_each(|l| l.1 *= by);
        match &mut self {
            Mark::Text { x, y, size, .. } => (*x, *y, *size) = (*x * by, *y * by, *size * by),
            Mark::Line { from, to, width, .. } => {
                (*from, *to) = ((from.0 * by, from.1 * by), (to.0 * by, to.1 * by));
                *width *= by;
            }
            Mark::Rect { x, y, w, h, line, .. } => {
                (*x, *y, *w, *h) = (*x * by, *y * by, *w * by, *h * by);
                thin(line);
            }
            Mark::Shape { points, line, .. } => {
                points.iter_mut().for_each(|p| *p = (p.0 * by, p.1 * by));
                thin(line);
            }
        }
        self
    }

    /// Left, top, right and bottom of what it covers.
    pub fn bounds(&self) -> (f32, f32, f32, f32) {
        match self {
            Mark::Text { x, y, size, weight, text, .. } => (
                *x,
                y - face::ascent(*size, *weight),
                x + face::width(text, *size, *weight),
                y + face::descent(*size, *weight),
            ),
            Mark::Line { from, to, .. } => (from.0.min(to.0), from.1.min(to.1), from.0.max(to.0), from.1.max(to.1)),
            Mark::Rect { x, y, w, h, .. } => (*x, *y, x + w, y + h),
            Mark::Shape { points, .. } => {
                let start = (f32::MAX, f32::MAX, f32::MIN, f32::MIN);
                points.iter().fold(start, |b, p| (b.0.min(p.0), b.1.min(p.1), b.2.max(p.0), b.3.max(p.1)))
            }
        }
    }
}

/// A page of one size.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    pub w: f32,
    pub h: f32,
    pub marks: Vec<Mark>,
}

impl Page {
    /// An empty page of a sheet.
    pub fn new(sheet: Sheet) -> Page {
        Page { w: sheet.w, h: sheet.h, marks: Vec::new() }
    }

    /// Puts a line of text.
    pub fn text(&mut self, at: (f32, f32), size: f32, weight: Weight, ink: Ink, text: impl Into<String>) {
        self.marks.push(Mark::Text { x: at.0, y: at.1, size, weight, ink, text: text.into() });
    }

    /// Its words, in the order drawn, a line each.
    pub fn words(&self) -> String {
        let text = |m: &Mark| match m {
            Mark::Text { text, .. } => Some(format!("{text}\n")),
            _ => None,
        };
        self.marks.iter().filter_map(text).collect()
    }
}

/// Text of the user's as it may be printed: one line, without control characters, without marks
/// that turn the direction of writing round or that have no width, without what XML 1.0 forbids.
pub fn clean(text: &str) -> String {
    let turns = |c: char| matches!(c, '\u{61C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FEFF}');
    let space = |c: char| if c.is_control() || c.is_whitespace() { ' ' } else { c };
    let bare =
        |c: char| matches!(c, '\u{AD}' | '\u{200B}'..='\u{200D}' | '\u{2060}'..='\u{2064}' | '\u{FE00}'..='\u{FE0F}');
    let kept = text.chars().map(space).filter(|c| !turns(*c) && !bare(*c) && !matches!(c, '\u{FFFE}' | '\u{FFFF}'));
    kept.collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The text, or as much of it as fits with an ellipsis behind.
pub fn fit(text: &str, size: f32, weight: Weight, width: f32) -> String {
    if face::width(text, size, weight) <= width {
        return text.to_string();
    }
    let room = width - face::width("…", size, weight);
    let mut out = String::new();
    let mut used = 0.0;
    for c in text.chars() {
        used += face::width(c.encode_utf8(&mut [0; 4]), size, weight);
        if used > room {
            break;
        }
        out.push(c);
    }
    out.truncate(out.trim_end().len());
    out + "…"
}

/// The text in lines no wider than `width`, at most `most` of them; words longer than a line are
/// broken, and what is left over is told by an ellipsis.
pub fn wrap(text: &str, size: f32, weight: Weight, width: f32, most: usize) -> Vec<String> {
    let wide = |t: &str| face::width(t, size, weight);
    let mut lines: Vec<String> = vec![String::new()];
    let space = wide(" ");
    let mut used = 0.0;
    for word in text.split_whitespace() {
        let w = wide(word);
        let gap = if used > 0.0 { space } else { 0.0 };
        if used + gap + w <= width {
            if used > 0.0 {
                lines.last_mut().expect("a line").push(' ');
            }
            lines.last_mut().expect("a line").push_str(word);
            used += gap + w;
            continue;
        }
        if used > 0.0 {
            lines.push(String::new());
            used = 0.0;
        }
        for c in word.chars() {
            let w = wide(c.encode_utf8(&mut [0; 4]));
            if used + w > width && used > 0.0 {
                lines.push(String::new());
                used = 0.0;
            }
            lines.last_mut().expect("a line").push(c);
            used += w;
        }
        if lines.len() > most {
            break;
        }
    }
    if lines.len() > most.max(1) {
        lines.truncate(most.max(1));
        let last = lines.pop().expect("a line");
        lines.push(fit(&format!("{last}…"), size, weight, width));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_would_turn_or_break_a_line_is_left_out() {
        assert_eq!(clean("a\nb\t c\u{0}d"), "a b c d");
        assert_eq!(clean("\u{202E}evil\u{202C}\u{FFFE}\u{200F}"), "evil");
        assert_eq!(clean("<script>=1+1"), "<script>=1+1");
        assert_eq!(clean(" \r\n "), "");
    }

    #[test]
    fn a_line_too_long_ends_in_an_ellipsis_and_fits() {
        let long = "w".repeat(10_000);
        let cut = fit(&long, 10.0, Weight::Regular, 100.0);
        assert!(cut.ends_with('…') && face::width(&cut, 10.0, Weight::Regular) <= 100.0);
        assert_eq!(fit("short", 10.0, Weight::Regular, 100.0), "short");
        let lines = wrap(&long, 10.0, Weight::Regular, 100.0, 3);
        assert!(lines.len() == 3 && lines[2].ends_with('…'), "{lines:?}");
        assert_eq!(wrap("one two", 10.0, Weight::Regular, 1000.0, 3), ["one two"]);
        assert_eq!(wrap("", 10.0, Weight::Regular, 100.0, 3), [""]);
    }

    proptest! {
        #[test]
        fn no_line_is_wider_than_it_may_be_and_no_letter_is_lost(text in "[a-z éß<&]{0,120}", width in 60.0f32..400.0) {
            let lines = wrap(&text, 9.0, Weight::Regular, width, 1000);
            for l in &lines {
                prop_assert!(face::width(l, 9.0, Weight::Regular) <= width + 0.01, "{l}");
            }
            let letters = |t: &str| t.chars().filter(|c| !c.is_whitespace()).collect::<String>();
            prop_assert_eq!(letters(&lines.concat()), letters(&text));
        }
    }

    #[test]
    fn sheets_are_as_large_as_their_standards_say() {
        // ISO 216: A4 is 210 x 297 mm; a point is 1/72 in (CSS Values 4).
        let a4 = Size::A4.sheet(false);
        assert!((a4.w - 210.0 / 25.4 * 72.0).abs() < 0.01 && (a4.h - 297.0 / 25.4 * 72.0).abs() < 0.01);
        let letter = Size::Letter.sheet(true);
        assert_eq!((letter.w, letter.h), (11.0 * 72.0, 8.5 * 72.0));
    }
}
