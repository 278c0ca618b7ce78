//! Ways as a drawing: what each costs across, the chance it comes to up; where there is no day to
//! make, the working days it wins. Positions are pixels from the top left; colours are those of
//! the room section.

use super::ways_back::dollars;
use crate::desk::ways_back::Answer;
use crate::views::face::{self, Weight};
use crate::views::section::{Area, Corner, Pos, Role, Shape};

const SMALL: f32 = 11.0;
/// Kept for the names at the left, right, below.
const LEFT: f32 = 44.0;
const RIGHT: f32 = 12.0;
const BELOW: f32 = 34.0;
const TOP: f32 = 16.0;
/// Radius of a numbered mark.
const MARK: f32 = 9.0;

/// A way in the drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WayMark {
    /// From 1, as in the list.
    pub number: usize,
    pub cents: i64,
    /// Chance, a share; or days.
    pub up: f64,
    pub best: bool,
}

/// Everything the drawing shows.
#[derive(Clone, Debug, PartialEq)]
pub struct WaysChart {
    pub ways: Vec<WayMark>,
    /// The job as it stands.
    pub now: f64,
    /// The chance that is safe enough.
    pub want: Option<f64>,
}

/// A round step so that `span` takes at most `most` of them.
fn step(span: f64, most: f64) -> f64 {
    let mut unit = 1.0;
    loop {
        for k in [1.0, 2.0, 2.5, 5.0] {
            if span / (unit * k) <= most {
                return unit * k;
            }
        }
        unit *= 10.0;
    }
}

impl WaysChart {
    /// Reads an answer.
    pub fn new(a: &Answer) -> WaysChart {
        let mark = |(i, w): (usize, &crate::desk::ways_back::Way)| WayMark {
            number: i + 1,
            cents: w.cents,
            up: w.after.map_or(w.days.value, |c| c.value),
            best: a.best == Some(i),
        };
        WaysChart {
            ways: a.ways.iter().enumerate().map(mark).collect(),
            now: a.chance.map_or(0.0, |c| c.value),
            want: a.chance.map(|_| a.job.confidence),
        }
    }

    /// Everything drawn in an area so wide and high, with the places of the numbered marks.
    pub fn layout(&self, width: f32, height: f32) -> (Vec<Shape>, Vec<(usize, Area)>) {
        let (left, right) = (LEFT, (width - RIGHT).max(LEFT + 40.0));
        let (top, bottom) = (TOP, (height - BELOW).max(TOP + 40.0));
        let cents = || self.ways.iter().map(|w| w.cents as f64 / 100.0);
        let most = cents().fold(100.0, f64::max);
        let least = cents().fold(0.0, f64::min);
        let across = step(most - least, 6.0);
        let (x0, x1) = ((least / across).floor() * across, (most / across).ceil() * across);
        let ups = || self.ways.iter().map(|w| w.up).chain([self.now]).chain(self.want);
        let unit = if self.want.is_some() { 100.0 } else { 1.0 };
        let (low, high) = (ups().fold(f64::MAX, f64::min) * unit, ups().fold(f64::MIN, f64::max) * unit);
        let rise = step((high - low).max(1.0), 5.0);
        let y0 = ((low / rise).floor() * rise).max(if self.want.is_some() { 0.0 } else { f64::MIN });
        let y1 = ((high / rise).ceil() * rise).max(y0 + rise);
        let y1 = if self.want.is_some() { y1.min(100.0) } else { y1 };
        let x = |d: f64| left + ((d - x0) / (x1 - x0).max(1.0)) as f32 * (right - left);
        let y = |u: f64| bottom - ((u - y0) / (y1 - y0).max(1e-9)) as f32 * (bottom - top);
        let mut out = Vec::new();
        let line = |a: Pos, b: Pos, weight: f32, dotted: bool, role: Role| Shape::Path {
            points: vec![a, b],
            weight,
            dotted,
            role,
        };
        let text = |x: f32, y: f32, words: String, role: Role| Shape::Text {
            at: Pos { x, y: y + face::cap_height(SMALL, Weight::Regular) / 2.0 },
            text: words,
            size: SMALL,
            weight: Weight::Regular,
            halo: true,
            role,
        };
        let wide = |words: &str| face::width(words, SMALL, Weight::Regular);
        let mut u = y0;
        while u <= y1 + 1e-6 {
            out.push(line(Pos { x: left, y: y(u) }, Pos { x: right, y: y(u) }, 1.0, false, Role::DayRule));
            let name = match (self.want.is_some(), rise.fract() > 0.0) {
                (true, false) => format!("{u:.0} %"),
                (true, true) => format!("{u:.1} %"),
                (false, _) => format!("{u:.1}"),
            };
            out.push(text(left - 6.0 - wide(&name), y(u), name, Role::DayName));
            u += rise;
        }
        let mut d = x0;
        while d <= x1 + 1e-6 {
            let name = dollars((d * 100.0) as i64);
            let at = (x(d) - wide(&name) / 2.0).clamp(0.0, width - wide(&name));
            out.push(line(Pos { x: x(d), y: bottom }, Pos { x: x(d), y: bottom + 4.0 }, 1.0, false, Role::DayRule));
            out.push(text(at, bottom + 12.0, name, Role::DayName));
            d += across;
        }
        let caption = "what it costs beside the job as it is".to_string();
        out.push(text(right - wide(&caption), bottom + 26.0, caption, Role::Faint));
        let up = if self.want.is_some() { "chance of the day" } else { "working days won" };
        out.push(text(left, 6.0, up.into(), Role::Faint));
        out.push(line(
            Pos { x: left, y: y(self.now * unit) },
            Pos { x: right, y: y(self.now * unit) },
            1.0,
            true,
            Role::CleanRun,
        ));
        if let Some(want) = self.want {
            out.push(line(
                Pos { x: left, y: y(want * unit) },
                Pos { x: right, y: y(want * unit) },
                1.5,
                false,
                Role::Safe,
            ));
            let words = "safe enough".to_string();
            out.push(text(right - wide(&words), y(want * unit) - 9.0, words, Role::Safe));
        }
        let mut marks: Vec<(usize, Area)> = Vec::new();
        // Numbers lie over every line and ring.
        let mut over = Vec::new();
        for w in &self.ways {
            let r = MARK;
            let mut area = Area { x: x(w.cents as f64 / 100.0) - r, y: y(w.up * unit) - r, w: 2.0 * r, h: 2.0 * r };
            let own = Pos { x: area.x + r, y: area.y + r };
            // Marks that would hide each other stand side by side, a line back to their own place.
            while marks.iter().any(|(_, m)| m.meets(&area)) && area.right() + 2.0 * r < width {
                area.x += 2.0 * r + 1.0;
            }
            if area.x + r > own.x + 0.5 {
                out.push(line(own, Pos { x: area.x + r, y: own.y }, 1.0, false, Role::Mark));
                let dot = Area { x: own.x - 1.5, y: own.y - 1.5, w: 3.0, h: 3.0 };
                out.push(Shape::Rect { at: dot, corner: Corner::Plain, role: Role::Mark });
            }
            let role = if w.best { Role::Selected } else { Role::Mark };
            over.push(Shape::Rect { at: area, corner: Corner::Rounded, role: Role::Mark });
            if w.best {
                let ring = Area { x: area.x - 3.0, y: area.y - 3.0, w: area.w + 6.0, h: area.h + 6.0 };
                out.push(Shape::Rect { at: ring, corner: Corner::Plain, role });
            }
            let words = w.number.to_string();
            let half = face::width(&words, SMALL, Weight::SemiBold) / 2.0;
            over.push(Shape::Text {
                at: Pos { x: area.x + r - half, y: area.y + r + face::cap_height(SMALL, Weight::SemiBold) / 2.0 },
                text: words,
                size: SMALL,
                weight: Weight::SemiBold,
                halo: false,
                role: Role::StepName,
            });
            marks.push((w.number, area));
        }
        out.append(&mut over);
        (out, marks)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dearer_lies_right_likelier_lies_up_and_no_mark_hides_another() {
        let mark = |number, cents, up| WayMark { number, cents, up, best: number == 2 };
        let ways = vec![mark(1, -2_400, 0.35), mark(2, 41_000, 0.62), mark(3, 41_200, 0.62), mark(4, 120_000, 0.85)];
        let chart = WaysChart { ways, now: 0.2, want: Some(0.8) };
        for (w, h) in [(520.0, 220.0), (900.0, 300.0)] {
            let (shapes, marks) = chart.layout(w, h);
            assert!(!shapes.is_empty() && marks.len() == 4);
            assert!(marks.windows(2).all(|m| m[0].1.x < m[1].1.x), "{marks:?}");
            assert!(marks[3].1.y < marks[1].1.y && marks[1].1.y < marks[0].1.y);
            // No line, dot or ring goes through a number.
            let number = |s: &Shape| matches!(s, Shape::Text { role: Role::StepName, .. });
            let paper = |s: &Shape| matches!(s, Shape::Rect { corner: Corner::Rounded, .. });
            let first = shapes.iter().position(|s| number(s) || paper(s)).unwrap_or(0);
            assert!(shapes[first..].iter().all(|s| number(s) || paper(s)), "{:?}", &shapes[first..]);
            for (i, a) in marks.iter().enumerate() {
                assert!(a.1.x >= 0.0 && a.1.right() <= w && a.1.y >= 0.0 && a.1.bottom() <= h, "{a:?}");
                assert!(marks[..i].iter().all(|b| !b.1.meets(&a.1)), "{marks:?}");
            }
        }
    }

    #[test]
    fn without_ways_and_without_a_day_it_is_drawn_all_the_same() {
        let (shapes, marks) = WaysChart { ways: Vec::new(), now: 0.0, want: None }.layout(300.0, 150.0);
        assert!(!shapes.is_empty() && marks.is_empty());
        assert!((step(730.0, 6.0) - 200.0).abs() < 1e-9 && (step(1.0, 5.0) - 1.0).abs() < 1e-9);
    }
}
