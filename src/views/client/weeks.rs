//! The weeks of the client's page as they are drawn: a line of seven days each, ribbons below.
//!
//! Sizes count in units of the smallest text. Days on which nobody works in any of the weeks are
//! narrower. What a day is like begins beside its number and goes on below it; then come the ribbons,
//! their words in them or run out of them where they are short. Where the weeks would not all find room
//! the ribbons of a week share rows: those that would stand deepest are joined and name both phases.

use super::days::day_line;
use super::roll::Drawn;
use super::{ClientDay, ClientWeek, Door, Ribbon};
use crate::views::and_more;
use crate::views::face::{self, Weight};
use crate::views::paper::{Ink, Mark, Sheet, fit, wrap};

const NAMES: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
/// Heights in units: the row of a day's number, a ribbon, a line of words, the air below a week, the row of names.
const HEAD: f32 = 1.35;
const RIBBON: f32 = 1.22;
const LINE: f32 = 1.12;
const AIR: f32 = 0.22;
const NAMED: f32 = 1.32;
/// Lines of words a day has at most.
const MOST: usize = 12;
/// Width of a day nobody works on, of a working day.
const NARROW: f32 = 0.55;
/// Weeks that are to stand on one page.
pub(super) const TOGETHER: usize = 6;
/// Rows of ribbons tried, from none joined to the most joined.
const ROWS: [usize; 5] = [99, 5, 4, 3, 2];

/// Left ends of the seven days, and the right end of the last.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    pub sheet: Sheet,
    x: [f32; 8],
}

impl Grid {
    /// Seven days from `left` to `right`.
    pub fn new(sheet: Sheet, (left, right): (f32, f32), weeks: &[ClientWeek]) -> Grid {
        let off =
            |n: usize| !weeks.is_empty() && weeks.iter().all(|w| w.days.get(n).is_some_and(|d| d.off && !d.theirs));
        let mut share: [f32; 7] = std::array::from_fn(|n| if off(n) { NARROW } else { 1.0 });
        if share.iter().all(|s| *s < 1.0) {
            share = [1.0; 7];
        }
        let all: f32 = share.iter().sum();
        let mut x = [left; 8];
        for n in 0..7 {
            x[n + 1] = x[n] + (right - left) * share[n] / all;
        }
        Grid { sheet, x }
    }

    fn u(&self) -> f32 {
        self.sheet.unit
    }

    fn wide(&self, n: usize) -> f32 {
        self.x[n + 1] - self.x[n]
    }

    fn left(&self) -> f32 {
        self.x[0]
    }

    pub fn right(&self) -> f32 {
        self.x[7]
    }
}

/// The names of the days; where the first week begins.
pub(super) fn names(g: &Grid, top: f32, out: &mut Drawn) -> f32 {
    let u = g.u();
    for (n, name) in NAMES.iter().enumerate() {
        let name = fit(name, u, Weight::Regular, g.wide(n) - u * 0.4);
        out.page.text((g.x[n] + u * 0.3, top + u), u, Weight::Regular, Ink::Quiet, name);
    }
    top + u * NAMED
}

/// As many weeks as there is room for from `top` to `bottom`, at least one; those left over come back, and
/// where the last one ends. No week is higher than `whole`: past it ribbons are counted, `and 3 more`.
pub(super) fn grid<'a>(
    weeks: &'a [ClientWeek],
    gone: Option<&str>,
    g: &Grid,
    (top, bottom): (f32, f32),
    whole: f32,
    out: &mut Drawn,
) -> (&'a [ClientWeek], f32) {
    let u = g.u();
    let mut y = top;
    if let Some(gone) = gone {
        let text = fit(gone, u, Weight::Regular, g.right() - g.left() - u * 0.6);
        out.page.text((g.left() + u * 0.3, y + u), u, Weight::Regular, Ink::Quiet, text);
        out.say_last(1, gone);
        y += u * NAMED;
    }
    let mut sets = together(weeks, g, bottom - y).into_iter();
    let mut set = 0;
    for w in weeks {
        let s = sets.next().unwrap_or_else(|| Set::of(w, g, ROWS[0])).within(whole, g);
        let high = s.high(u);
        // One week stands on every page, however high it is.
        if set > 0 && y + high > bottom {
            break;
        }
        week(w, &s, g, (y, high), out);
        y += high;
        set += 1;
    }
    rule(g, y, out);
    (&weeks[set..], y)
}

/// The first weeks set so that they stand within `room`, each with as many rows as that leaves it.
fn together(weeks: &[ClientWeek], g: &Grid, room: f32) -> Vec<Set> {
    let first = &weeks[..weeks.len().min(TOGETHER)];
    let all = |rows: usize| first.iter().map(|w| Set::of(w, g, rows)).collect::<Vec<Set>>();
    let high = |sets: &[Set]| sets.iter().map(|s| s.high(g.u())).sum::<f32>();
    let fits = ROWS.into_iter().find(|r| high(&all(*r)) <= room);
    let Some(rows) = fits else { return all(ROWS[3]) };
    let mut out = all(rows);
    for more in (1..ROWS[1]).map(|n| rows.saturating_add(n)) {
        for (i, w) in first.iter().enumerate() {
            let wider = Set::of(w, g, more);
            let grown = wider.high(g.u()) - out[i].high(g.u());
            if grown > 0.0 && high(&out) + grown <= room {
                out[i] = wider;
            }
        }
    }
    out
}

fn rule(g: &Grid, y: f32, out: &mut Drawn) {
    let width = g.u() * 0.06;
    out.page.marks.push(Mark::Line { from: (g.left(), y), to: (g.right(), y), width, ink: Ink::Quiet });
}

/// A ribbon set in a row: the days it spans, where its words begin, what they are.
#[derive(Clone, Debug)]
struct Band {
    from: usize,
    to: usize,
    row: usize,
    x: f32,
    /// What it covers, its words with it.
    span: (f32, f32),
    text: String,
    in_hand: bool,
    /// Words without a ribbon.
    bare: bool,
}

impl Band {
    fn new(g: &Grid, (from, to): (usize, usize), text: String, in_hand: bool) -> Band {
        let u = g.u();
        let (left, right) = (g.x[from] + u * 0.15, g.x[to + 1] - u * 0.15);
        let text = fit(&text, u, Weight::Regular, g.right() - g.left() - u);
        let wide = face::width(&text, u, Weight::Regular);
        // Words too long for a ribbon at the right end stand to its left.
        let inside = left + u * 0.35;
        let x = if inside + wide > g.right() { (right - wide - u * 0.35).max(g.left()) } else { inside };
        Band { from, to, row: 0, x, span: (left.min(x), right.max(x + wide)), text, in_hand, bare: false }
    }

    /// Whether its words run out of it.
    fn out(&self, g: &Grid) -> bool {
        self.span.1 > g.x[self.to + 1] || self.span.0 < g.x[self.from]
    }

    fn meets(&self, other: &Band, air: f32) -> bool {
        self.span.0 < other.span.1 + air && other.span.0 < self.span.1 + air
    }

    /// This one and a ribbon as one; none where the words of both are too long for a week.
    fn joined(&self, r: &Ribbon, g: &Grid) -> Option<Band> {
        if self.in_hand || r.in_hand {
            return None;
        }
        let text = format!("{}; {}", self.text, r.words);
        let fits = face::width(&text, g.u(), Weight::Regular) <= g.right() - g.left() - g.u();
        fits.then(|| {
            let span = (self.from.min(r.from), self.to.max(r.to));
            Band { row: self.row, ..Band::new(g, span, text, false) }
        })
    }
}

/// A line of words of a day: where it begins, its baseline below the top of the week, its words.
type Words = Vec<(f32, f32, String, Ink)>;

/// A week set: its ribbons by row, the words of its days, the lines those take below the numbers.
struct Set {
    bands: Vec<Band>,
    words: Vec<Words>,
    lines: usize,
}

impl Set {
    fn of(w: &ClientWeek, g: &Grid, most: usize) -> Set {
        let air = g.u() * 0.3;
        let mut bands: Vec<Band> = Vec::new();
        for r in &w.ribbons {
            let mut new = Band::new(g, (r.from, r.to), r.words.clone(), r.in_hand);
            // The frame of the day the room is theirs again stands at its end.
            let framed = w.days.get(r.to).is_some_and(|d| d.theirs);
            let crossed = framed && new.x + face::width(&new.text, g.u(), Weight::Regular) > g.x[r.to];
            if r.in_hand && (new.out(g) || crossed) {
                // Said in full at the head of the page.
                new = Band::new(g, (r.from, r.to), "kept in hand".into(), true);
            }
            let free = |row: &usize| !bands.iter().any(|b| b.row == *row && b.meets(&new, air));
            let row = (0..).find(free).unwrap_or(0);
            // Joined with the one it makes the least longer, where the two together meet no other.
            let with = |(i, b): (usize, &Band)| {
                let j = b.joined(r, g)?;
                let apart = bands.iter().enumerate().all(|(k, o)| k == i || o.row != j.row || !o.meets(&j, air));
                let grown = (j.to - j.from) * 2 - (b.to - b.from) - (r.to - r.from);
                // Words that stand within the two together come before words that run out of them.
                apart.then_some(((j.out(g), grown), i, j))
            };
            let best = (row >= most).then(|| bands.iter().enumerate().filter_map(with).min_by_key(|x| (x.0, x.1)));
            match best.flatten() {
                Some((_, i, j)) => bands[i] = j,
                None => {
                    new.row = row;
                    bands.push(new);
                }
            }
        }
        let words: Vec<Words> = w.days.iter().enumerate().map(|(n, d)| day_words(d, n, g)).collect();
        let low = words.iter().flatten().map(|l| l.1).fold(0.0, f32::max);
        let lines = ((low - g.u()) / (g.u() * LINE)).round().max(0.0) as usize;
        Set { bands, words, lines }
    }

    /// The set with no more ribbons than a week of this height holds; the rest is counted.
    fn within(mut self, whole: f32, g: &Grid) -> Set {
        let u = g.u();
        let free = (whole - u * (HEAD + self.lines as f32 * LINE + AIR)) / (u * RIBBON);
        let most = free.floor().clamp(1.0, 999.0) as usize;
        if self.rows() > most {
            let before = self.bands.len();
            self.bands.retain(|b| b.row + 1 < most);
            let mut rest = Band::new(g, (0, 6), and_more(before - self.bands.len()), false);
            (rest.row, rest.bare) = (most - 1, true);
            self.bands.push(rest);
        }
        self
    }

    fn rows(&self) -> usize {
        self.bands.iter().map(|b| b.row + 1).max().unwrap_or(0)
    }

    fn high(&self, u: f32) -> f32 {
        u * (HEAD + self.lines as f32 * LINE + self.rows() as f32 * RIBBON + AIR)
    }
}

/// What a day is like: beside its number as much as fits there, the rest below.
fn day_words(d: &ClientDay, n: usize, g: &Grid) -> Words {
    let u = g.u();
    let wide = |t: &str| face::width(t, u, Weight::Regular);
    let left = g.x[n] + u * 0.3;
    let beside = left + face::width(&d.number, u, Weight::SemiBold) + u * 0.45;
    let end = g.x[n + 1] - u * if d.door.is_some() { 1.35 } else { 0.15 };
    // A door drawn shut says that the room is closed.
    let told = d.troubles.iter().filter(|t| d.door != Some(Door::Shut) || *t != "closed");
    let mut told: Vec<&str> = told.map(String::as_str).collect();
    let mut out = Words::new();
    let mut first = String::new();
    while let Some(t) = told.first().filter(|_| !d.theirs) {
        let comma = if told.len() > 1 { "," } else { "" };
        let with = if first.is_empty() { format!("{t}{comma}") } else { format!("{first} {t}{comma}") };
        if beside + wide(&with) > end {
            break;
        }
        first = with;
        told.remove(0);
    }
    if !first.is_empty() {
        out.push((beside, u, first, Ink::Shut));
    }
    let mut below = |text: &str, ink: Ink| {
        if !text.is_empty() {
            for line in wrap(text, u, Weight::Regular, g.wide(n) - u * 0.4, MOST) {
                let k = out.iter().filter(|l| l.0 == left).count() + 1;
                out.push((left, u * (1.0 + LINE * k as f32), line, ink));
            }
        }
    };
    below(if d.theirs { "yours again by evening" } else { "" }, Ink::Safe);
    below(&told.join(", "), Ink::Shut);
    out
}

/// Draws a week at `y`.
fn week(w: &ClientWeek, set: &Set, g: &Grid, (y, high): (f32, f32), out: &mut Drawn) {
    let u = g.u();
    for (n, _) in w.days.iter().enumerate().filter(|(_, d)| d.off) {
        let fill = Some(Ink::Off);
        out.page.marks.push(Mark::Rect { x: g.x[n], y, w: g.wide(n), h: high, fill, line: None });
    }
    rule(g, y, out);
    for b in &set.bands {
        let top = y + u * (HEAD + set.lines as f32 * LINE + b.row as f32 * RIBBON);
        band(b, g, top, out);
    }
    for (n, d) in w.days.iter().enumerate() {
        out.page.text((g.x[n] + u * 0.3, y + u), u, Weight::SemiBold, Ink::Ink, d.number.clone());
        if let Some(kind) = d.door {
            door(kind, g.x[n + 1] - u * 1.05, y + u * 0.12, u, out);
        }
        for (x, down, text, ink) in &set.words[n] {
            out.page.text((*x, y + down), u, Weight::Regular, *ink, text.clone());
        }
        if d.theirs {
            let line = Some((Ink::Safe, u * 0.16));
            let at = u * 0.08;
            let (x, w) = (g.x[n] + at, g.wide(n) - 2.0 * at);
            out.page.marks.push(Mark::Rect { x, y: y + at, w, h: high - 2.0 * at, fill: None, line });
        }
        let words = day_line(w, n);
        out.say((g.x[n], y, g.x[n + 1], y + high), &words);
    }
}

fn band(b: &Band, g: &Grid, y: f32, out: &mut Drawn) {
    let u = g.u();
    let (x, right) = (g.x[b.from] + u * 0.15, g.x[b.to + 1] - u * 0.15);
    let (fill, line, ink) = if b.in_hand {
        (None, Some((Ink::Safe, u * 0.08)), Ink::Safe)
    } else {
        (Some(Ink::Phase), Some((Ink::Rule, u * 0.05)), Ink::Ink)
    };
    let (wide, high) = (right - x, u * (RIBBON - 0.1));
    if !b.bare {
        let runs_out = b.x >= x && b.span.1 > right;
        let whole = line.filter(|_| !runs_out);
        out.page.marks.push(Mark::Rect { x, y, w: wide, h: high, fill, line: whole });
        // Words that run out of it leave by an open end.
        if let (true, Some((ink, width))) = (runs_out, line) {
            let edges = [((x, y), (right, y)), ((x, y), (x, y + high)), ((x, y + high), (right, y + high))];
            out.page.marks.extend(edges.map(|(from, to)| Mark::Line { from, to, width, ink }));
        }
    }
    out.page.text((b.x, y + u * 0.88), u, Weight::Regular, ink, b.text.clone());
}

/// A door of 0.8 by 1.05 units: a frame with its leaf ajar, or shut and dark.
fn door(kind: Door, x: f32, y: f32, u: f32, out: &mut Drawn) {
    let line = Some((Ink::Ink, u * 0.06));
    let at = |dx: f32, dy: f32| (x + dx * u, y + dy * u);
    let marks = &mut out.page.marks;
    match kind {
        Door::Shut => {
            marks.push(Mark::Rect { x, y, w: u * 0.8, h: u * 1.05, fill: Some(Ink::Ink), line });
            let knob = vec![at(0.56, 0.48), at(0.68, 0.48), at(0.68, 0.6), at(0.56, 0.6)];
            marks.push(Mark::Shape { points: knob, fill: Some(Ink::Paper), line: None });
        }
        Door::Open => {
            marks.push(Mark::Rect { x, y, w: u * 0.8, h: u * 1.05, fill: None, line });
            let leaf = vec![at(0.0, 0.0), at(0.42, 0.15), at(0.42, 1.2), at(0.0, 1.05)];
            marks.push(Mark::Shape { points: leaf, fill: Some(Ink::Paper), line });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::paper::{Page, Size};

    fn day(off: bool) -> ClientDay {
        let date = "2027-03-01".parse().expect("a day");
        ClientDay { date, number: "1".into(), off, door: None, troubles: Vec::new(), theirs: false }
    }

    fn busy() -> ClientWeek {
        let ribbon = |words: &str, from, to, row| Ribbon { words: words.into(), from, to, row, in_hand: false };
        ClientWeek {
            days: (0..7).map(|n| day(n > 4)).collect(),
            ribbons: vec![
                ribbon("in our shop", 0, 3, 0),
                ribbon("plaster", 0, 2, 1),
                ribbon("windows", 1, 3, 2),
                ribbon("walls", 2, 2, 3),
                ribbon("panels", 2, 4, 4),
            ],
        }
    }

    fn laid(weeks: &[ClientWeek]) -> Grid {
        Grid::new(Size::Screen.sheet(true), (40.0, 1200.0), weeks)
    }

    #[test]
    fn days_nobody_works_on_are_narrow_unless_all_are() {
        let g = laid(&[busy()]);
        assert!((g.wide(5) / g.wide(0) - NARROW).abs() < 1e-4 && (g.right() - 1200.0).abs() < 0.01);
        let off = ClientWeek { days: (0..7).map(|_| day(true)).collect(), ribbons: Vec::new() };
        assert!((laid(&[off]).wide(5) - 1160.0 / 7.0).abs() < 0.01);
    }

    #[test]
    fn ribbons_that_find_no_row_are_joined_and_none_is_lost() {
        let w = busy();
        let g = laid(std::slice::from_ref(&w));
        let (free, three) = (Set::of(&w, &g, 99), Set::of(&w, &g, 3));
        assert_eq!((free.rows(), three.rows()), (5, 3));
        let words: String = three.bands.iter().map(|b| format!("{};", b.text)).collect();
        for r in &w.ribbons {
            assert!(words.contains(&r.words), "{words}");
            // Each still lies over every day it did.
            let over = |b: &&Band| b.text.contains(&r.words) && b.from <= r.from && r.to <= b.to;
            assert_eq!(three.bands.iter().filter(over).count(), 1, "{r:?}");
        }
        for (i, a) in three.bands.iter().enumerate() {
            assert!(three.bands[i + 1..].iter().all(|b| a.row != b.row || !a.meets(b, 0.0)), "{:?}", three.bands);
        }
    }

    #[test]
    fn what_a_day_is_like_stands_beside_its_number_and_goes_on_below() {
        let mut d = day(false);
        d.troubles = ["dusty", "wet", "noise", "power off at times"].map(String::from).to_vec();
        d.door = Some(Door::Shut);
        let mut w = busy();
        w.days[1] = d;
        let g = laid(std::slice::from_ref(&w));
        let words = day_words(&w.days[1], 1, &g);
        let text: Vec<&str> = words.iter().map(|l| l.2.as_str()).collect();
        assert!(text[0].starts_with("dusty,") && text.len() > 1, "{text:?}");
        assert_eq!(text.join(" "), "dusty, wet, noise, power off at times");
        for (x, _, t, _) in &words {
            assert!(*x >= g.x[1] && x + face::width(t, g.u(), Weight::Regular) <= g.x[2], "{t}");
        }
        // A week drawn says each of its days.
        let mut out = Drawn::new(Page::new(g.sheet));
        let top = names(&g, 70.0, &mut out);
        let (left, y) = grid(std::slice::from_ref(&w), None, &g, (top, 1000.0), 900.0, &mut out);
        assert!(left.is_empty() && y > 100.0 && out.told.len() == 7);
    }
}
