//! How the date has moved, as a drawing: an evening a step across, working days up.
//!
//! The line is the likely day, the upper edge of the field the safe day, the lower edge the clean
//! run; the promised (or asked for) day is a line through it. Evenings on which the date moved for
//! a reason carry a number, told in the list below. Model, then places; the painter's colours are
//! those of the room section.

use super::super::{Almanac, Reading, reasons, workdays_between};
use super::said_since;
use crate::forecast::last_day;
use crate::job::{Evening, TargetKind};
use crate::search::Found;
use crate::views::face::{self, Weight};
use crate::views::section::{Area, Corner, Pos, Role, Shape};

const SMALL: f32 = 11.0;
/// Width kept for the names of days at the left, and for the names of the lines at the right.
const LEFT: f32 = 66.0;
const RIGHT: f32 = 62.0;
/// Height kept below for the evenings.
const BELOW: f32 = 18.0;
/// Radius of a numbered mark.
const MARK: f32 = 8.0;
/// A move of a tenth of a working day is worth a number.
const NUMBERED: f64 = 0.1;

/// What was said on an evening, in day numbers of the job.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// The evening's day; the day before the first for the plan it began with.
    pub day: i64,
    pub name: String,
    pub likely: i64,
    pub safe: i64,
    pub clean: i64,
    /// Its number, where the date moved for a reason.
    pub mark: Option<usize>,
}

/// A numbered reason: `Tue 9 Mar: Mara out, illness +2 days`.
#[derive(Clone, Debug, PartialEq)]
pub struct Reason {
    pub mark: usize,
    pub day: i64,
    pub words: String,
}

/// Everything the drawing shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    pub evenings: Vec<Said>,
    pub reasons: Vec<Reason>,
    /// The day promised or asked for, and which.
    pub target: Option<(i64, &'static str)>,
    /// Working days from `first` on, one a step up: day number and name.
    pub days: Vec<(i64, String)>,
    /// The sentence above: `Likely Thu 1 Apr against Wed 31 Mar promised: 1 day late.`
    pub sentence: String,
}

/// `+1.5 days`, `-1 day`.
fn signed(x: f64) -> String {
    let x = (x * 10.0).round() / 10.0;
    let n = if (x - x.round()).abs() < 1e-9 { format!("{x:+.0}") } else { format!("{x:+.1}") };
    let n = n.replace('-', "−");
    if n == "+1" || n == "−1" { format!("{n} day") } else { format!("{n} days") }
}

/// The reasons of an evening in words, and whether any is worth a number.
fn why(e: &Evening) -> Option<String> {
    let list = reasons(e);
    let all: Vec<String> = list
        .iter()
        .filter(|r| r.days.abs() >= NUMBERED / 2.0)
        .map(|r| format!("{} {}", r.what, signed(r.days)))
        .collect();
    let most = list.iter().map(|r| r.days.abs()).fold(0.0, f64::max);
    (most >= NUMBERED).then(|| all.join("; "))
}

impl Moved {
    /// Reads the record. `first` is the plan from the first day: its likely and safe day and its
    /// plan; `now` how it stands.
    pub fn new(now: &Reading, found: &Found, first: Option<(i64, i64, i64)>) -> Moved {
        let (sound, job) = (now.sound, &now.sound.job);
        let a = Almanac(job);
        let mut evenings = Vec::new();
        if let Some((likely, safe, clean)) = first {
            evenings.push(Said { day: -1, name: "begin".into(), likely, safe, clean, mark: None });
        }
        let mut list = Vec::new();
        for e in &job.record {
            let day = job.day_of(e.day);
            let words = why(e);
            let mark = words.as_ref().map(|_| list.len() + 1);
            if let Some(words) = words {
                list.push(Reason { mark: list.len() + 1, day, words: format!("{}: {words}", a.short_day(day)) });
            }
            evenings.push(Said {
                day,
                name: e.day.format("%-d").to_string(),
                likely: job.day_of(e.likely),
                safe: job.day_of(e.safe),
                clean: last_day(job.at_of(e.clean_run)),
                mark,
            });
        }
        // How it stands, where something was said since: a day corrected, time lost heard of.
        let stands = Said {
            day: evenings.last().map_or(0, |e| e.day),
            name: "now".into(),
            likely: now.days.likely,
            safe: now.days.safe,
            clean: last_day(found.plan.finish),
            mark: None,
        };
        let other = |e: &Said| (e.likely, e.safe, e.clean) != (stands.likely, stands.safe, stands.clean);
        if said_since(now, found) || job.record.is_empty() && evenings.last().is_none_or(other) {
            evenings.push(stands.clone());
        }
        let kind = |k| if k == TargetKind::Promised { "promised" } else { "asked for" };
        let target = job.target.map(|t| (job.day_of(t.day), kind(t.kind)));
        let all = evenings.iter().flat_map(|e| [e.likely, e.safe, e.clean]).chain(target.map(|t| t.0));
        let (low, high) = all.fold((i64::MAX, i64::MIN), |x, d| (x.0.min(d), x.1.max(d)));
        let works = |d: i64| sound.setting.workers.iter().any(|w| w.shifts.day(d).minutes() > 0);
        let wanted = |d: &i64| works(*d) || target.is_some_and(|t| t.0 == *d);
        let mut days: Vec<(i64, String)> = (low - 1..=high + 1).filter(wanted).map(|d| (d, a.short_day(d))).collect();
        if days.is_empty() {
            days = (low..=high.max(low)).map(|d| (d, a.short_day(d))).collect();
        }
        let sentence = match target {
            Some((day, what)) => {
                let n = workdays_between(sound, day, now.days.likely);
                let late = match n {
                    0 => "on the day".to_string(),
                    1 => "1 day later".into(),
                    -1 => "1 day sooner".into(),
                    n if n > 0 => format!("{n} days later"),
                    n => format!("{} days sooner", -n),
                };
                format!("Likely {} against {} {what}: {late}.", a.short_day(now.days.likely), a.short_day(day))
            }
            None => format!("Likely {}.", a.short_day(now.days.likely)),
        };
        Moved { evenings, reasons: list, target, days, sentence }
    }

    /// Everything drawn from the top left of an area so wide and high, with the places of the
    /// numbered marks.
    pub fn layout(&self, width: f32, height: f32) -> (Vec<Shape>, Vec<(usize, Area)>) {
        let (left, right) = (LEFT, (width - RIGHT).max(LEFT + 40.0));
        let (top, bottom) = (8.0, (height - BELOW).max(40.0));
        let steps = self.days.len().saturating_sub(1).max(1) as f32;
        // A day off stands with the working day before it.
        let rank = |d: i64| self.days.iter().rposition(|x| x.0 <= d).unwrap_or(0) as f32;
        let y = |d: i64| bottom - rank(d) / steps * (bottom - top);
        let n = self.evenings.len().saturating_sub(1).max(1) as f32;
        let x = |i: usize| left + i as f32 / n * (right - left);
        let mut out = Vec::new();
        let line =
            |points: Vec<Pos>, weight: f32, dotted: bool, role: Role| Shape::Path { points, weight, dotted, role };
        let text = |x: f32, y: f32, words: &str, weight: Weight, role: Role| Shape::Text {
            at: Pos { x, y: y + face::cap_height(SMALL, weight) / 2.0 },
            text: words.to_string(),
            size: SMALL,
            weight,
            halo: true,
            role,
        };
        // Names of days as far apart as they are high.
        let every = (14.0 * steps / (bottom - top)).ceil().max(1.0) as usize;
        for (i, (day, name)) in self.days.iter().enumerate() {
            let at = y(*day);
            out.push(line(vec![Pos { x: left, y: at }, Pos { x: right, y: at }], 1.0, false, Role::DayRule));
            if i % every == 0 {
                let wide = face::width(name, SMALL, Weight::Regular);
                out.push(text((left - 6.0 - wide).max(0.0), at, name, Weight::Regular, Role::DayName));
            }
        }
        let edge = |of: &dyn Fn(&Said) -> i64| -> Vec<Pos> {
            self.evenings.iter().enumerate().map(|(i, e)| Pos { x: x(i), y: y(of(e)) }).collect()
        };
        if self.evenings.is_empty() {
            return (out, Vec::new());
        }
        let (safe, likely, clean) = (edge(&|e| e.safe), edge(&|e| e.likely), edge(&|e| e.clean));
        // The field between safe and clean run, strip by strip: each is convex.
        for i in 1..safe.len() {
            let points = vec![safe[i - 1], safe[i], clean[i], clean[i - 1]];
            out.push(Shape::Poly { points, role: Role::InHand });
        }
        if let Some((day, _)) = self.target {
            out.push(line(vec![Pos { x: left, y: y(day) }, Pos { x: right, y: y(day) }], 2.0, false, Role::Target));
        }
        // One evening alone is no line.
        let clean = if clean.len() > 1 { clean } else { vec![clean[0], Pos { x: clean[0].x + 1.0, ..clean[0] }] };
        out.push(line(clean, 1.0, true, Role::CleanRun));
        out.push(line(safe.clone(), 1.5, false, Role::Safe));
        out.push(line(likely.clone(), 2.0, false, Role::Chalk));
        let mut marks = Vec::new();
        for (i, e) in self.evenings.iter().enumerate() {
            let p = likely[i];
            match e.mark {
                Some(number) => {
                    let r = MARK;
                    let area = Area { x: p.x - r, y: p.y - r, w: 2.0 * r, h: 2.0 * r };
                    out.push(Shape::Rect { at: area, corner: Corner::Rounded, role: Role::Mark });
                    let words = number.to_string();
                    let wide = face::width(&words, SMALL, Weight::SemiBold);
                    let at = Pos { x: p.x - wide / 2.0, y: p.y + face::cap_height(SMALL, Weight::SemiBold) / 2.0 };
                    out.push(Shape::Text {
                        at,
                        text: words,
                        size: SMALL,
                        weight: Weight::SemiBold,
                        halo: false,
                        role: Role::StepName,
                    });
                    marks.push((number, area));
                }
                None => out.push(Shape::Dot { at: p, radius: 2.5, role: Role::Chalk }),
            }
        }
        // Evenings below, as many names as fit.
        let mut free = f32::MIN;
        for (i, e) in self.evenings.iter().enumerate() {
            let wide = face::width(&e.name, SMALL, Weight::Regular);
            let from = (x(i) - wide / 2.0).min(width - wide);
            if from >= free {
                out.push(text(from, height - 7.0, &e.name, Weight::Regular, Role::DayName));
                free = from + wide + 6.0;
            }
        }
        self.names(&mut out, right + 12.0, (top, bottom), &y, &text);
        (out, marks)
    }

    /// The names of the lines at their right ends, apart from each other.
    fn names(
        &self,
        out: &mut Vec<Shape>,
        x: f32,
        (top, bottom): (f32, f32),
        y: &dyn Fn(i64) -> f32,
        text: &dyn Fn(f32, f32, &str, Weight, Role) -> Shape,
    ) {
        let Some(last) = self.evenings.last() else { return };
        let mut names = vec![
            (y(last.safe), "safe", Weight::SemiBold, Role::Safe),
            (y(last.likely), "likely", Weight::SemiBold, Role::StepName),
            (y(last.clean), "clean run", Weight::Regular, Role::DayName),
        ];
        names.extend(self.target.map(|(d, what)| (y(d), what, Weight::SemiBold, Role::Target)));
        names.sort_by(|a, b| a.0.total_cmp(&b.0));
        let high = 13.0;
        let mut at: Vec<f32> = names.iter().map(|n| n.0).collect();
        for i in 1..at.len() {
            at[i] = at[i].max(at[i - 1] + high);
        }
        // Pushed back up where they ran out below.
        let mut most = bottom;
        for p in at.iter_mut().rev() {
            *p = p.min(most).max(top);
            most = *p - high;
        }
        for (n, p) in names.iter().zip(at) {
            out.push(text(x, p, n.1, n.2, n.3));
        }
    }
}
