//! The week of a place as a small drawing: days across; from the top down warmth by the hour,
//! damp by the hour, a strip hatched where something laid there stands still, and the coats
//! that are wet with the dot where the next step may touch them. Nights are shaded.

use super::PlaceAir;
use crate::clock::{At, DAY};
use crate::views::face::{self, Weight};
use crate::views::section::{Area, Corner, Pos, Role, Shape, Site};

/// Height of the drawing at text scale 1.
pub const HIGH: f32 = 150.0;
/// Width kept for the marks at the left.
const MARKS: f32 = 38.0;
/// Rows for wet coats.
const ROWS: usize = 4;
const SMALL: f32 = 10.5;

fn text(x: f32, middle: f32, words: &str, role: Role) -> Shape {
    let at = Pos { x, y: middle + face::cap_height(SMALL, Weight::Regular) / 2.0 };
    Shape::Text { at, text: words.to_string(), size: SMALL, weight: Weight::Regular, halo: false, role }
}

fn rect(at: Area, role: Role) -> Shape {
    Shape::Rect { at, corner: Corner::Plain, role }
}

/// Stretches of hours that have something in common.
fn stretches(x: &PlaceAir, of: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let mut out: Vec<(usize, usize)> = Vec::new();
    for k in (0..x.hours.len()).filter(|&k| of(k)) {
        match out.last_mut() {
            Some(last) if last.1 == k => last.1 = k + 1,
            _ => out.push((k, k + 1)),
        }
    }
    out
}

/// Everything drawn, from the top left of an area as wide as `width`.
pub fn picture(x: &PlaceAir, width: f32) -> Vec<Shape> {
    let (left, right) = (MARKS, width.max(MARKS + 70.0));
    let day = (right - left) / 7.0;
    let at = |t: At| left + ((t.0 - x.first * DAY) as f32 / DAY as f32 * day).clamp(0.0, right - left);
    let hour = |k: usize| left + k as f32 * day / 24.0;
    let mut out = Vec::new();
    let (top, warm, damp, stops, coats) = (16.0, (20.0, 52.0), (58.0, 90.0), (94.0, 101.0), 105.0);
    for (a, b) in stretches(x, |k| !x.hours[k].on) {
        let days_off = b - a > 24;
        let role = if days_off { Role::DayOff } else { Role::Night };
        out.push(rect(Area::new(hour(a), top, hour(b), HIGH), role));
    }
    // All days in one form: in full where that leaves paper between them, else `Fr 5`, else `Fr`.
    let letters = |name: &str| name.chars().take(2).collect::<String>();
    let short = |name: &String| format!("{} {}", letters(name), name.split(' ').nth(1).unwrap_or(""));
    let fits = |list: &[String], gap: f32| list.iter().all(|n| face::width(n, SMALL, Weight::Regular) + gap <= day);
    let shorter: Vec<String> = x.days.iter().map(short).collect();
    let names = match (fits(&x.days, 8.0), fits(&shorter, 4.0)) {
        (true, _) => x.days.clone(),
        (_, true) => shorter,
        _ => x.days.iter().map(|n| letters(n)).collect(),
    };
    for (i, words) in names.iter().enumerate() {
        let from = left + i as f32 * day;
        let role = if x.first + i as i64 == x.day { Role::Safe } else { Role::DayName };
        out.push(text(from + 2.0, 8.0, words, role));
        let points = vec![Pos { x: from, y: top }, Pos { x: from, y: HIGH }];
        out.push(Shape::Path { points, weight: 1.0, dotted: false, role: Role::DayRule });
    }
    let mut curve = |of: &dyn Fn(usize) -> f64, (top, bottom): (f32, f32), role: Role, marks: [&str; 2]| {
        let all: Vec<f64> = (0..x.hours.len()).map(of).collect();
        let (low, high) = all.iter().fold((f64::MAX, f64::MIN), |a, v| (a.0.min(*v), a.1.max(*v)));
        let flat = high - low < 1e-6;
        let y = |v: f64| {
            if flat { (top + bottom) / 2.0 } else { bottom - ((v - low) / (high - low)) as f32 * (bottom - top) }
        };
        let mut points: Vec<Pos> = Vec::new();
        for (k, v) in all.iter().enumerate() {
            let y = y(*v);
            if points.last().is_none_or(|p| (p.y - y).abs() > 0.01) {
                points.push(Pos { x: hour(k), y });
            } else if points.len() > 1 && points[points.len() - 2].y == y {
                points.pop();
            }
            points.push(Pos { x: hour(k + 1), y });
        }
        out.push(Shape::Path { points, weight: 1.5, dotted: false, role });
        let mid = (top + bottom) / 2.0;
        if flat {
            out.push(text(2.0, mid, marks[0], Role::Faint));
        } else {
            out.push(text(2.0, top + 3.0, marks[0], Role::Faint));
            out.push(text(2.0, bottom - 3.0, marks[1], Role::Faint));
        }
    };
    curve(&|k| x.hours[k].air.temp_f, warm, Role::AirWarm, [&x.ends[0], &x.ends[1]]);
    curve(&|k| x.hours[k].air.rh(), damp, Role::AirDamp, [&x.ends[2], &x.ends[3]]);
    for (a, b) in stretches(x, |k| x.hours[k].stops.is_some()) {
        out.push(rect(Area::new(hour(a), stops.0, hour(b), stops.1), Role::Closed));
    }
    // A row each until it is ready, the next in the first row that is free.
    let mut free = [f32::MIN; ROWS];
    let high = (HIGH - coats) / ROWS as f32;
    for w in &x.wet {
        let (from, to) = (at(w.from), at(w.ready));
        let Some(row) = free.iter().position(|f| *f <= from) else { continue };
        free[row] = to + 4.0;
        let (y, bottom) = (coats + row as f32 * high, coats + (row + 1) as f32 * high - 2.0);
        let points = vec![Pos { x: from, y }, Pos { x: to.max(from + 1.0), y: bottom }, Pos { x: from, y: bottom }];
        out.push(Shape::Poly { points, role: Role::Drying(Site::Room) });
        if w.ready.0 < (x.first + 7) * DAY {
            out.push(Shape::Dot { at: Pos { x: to, y: bottom - 1.5 }, radius: 2.0, role: Role::Ready(Site::Room) });
        }
    }
    out
}
