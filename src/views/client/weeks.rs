//! The weeks of the client's page as they are drawn: a line of seven days each, what happens below.
//!
//! Sizes count in units of the smallest text. Days on which nobody works in any of the weeks are narrower. What
//! a day is like stands below its number. Of one room each phase is a ribbon; where the weeks would not all find
//! room, those of some weeks share one row of boxes, cut where the phases change. Of several rooms each has a row
//! of its own, phases of different rooms never share one. No words stand outside the days they speak of.

use super::roll::Drawn;
use super::strips::{Laid, RIBBON, SIDE, boxed, day_words, room};
use super::told::NO_WORK;
use super::told::day_line;
use super::{ClientWeek, Ribbon};
use crate::views::face::{self, Weight};
use crate::views::paper::{Ink, Mark, Sheet, fit};

const NAMES: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
/// Heights in units: the row of a day's number, the air below a week, the row of names.
const HEAD: f32 = 1.35;
const AIR: f32 = 0.22;
const NAMED: f32 = 1.32;
/// Width of a day nobody works on, of a working day; in units, what it is at least and what names of rooms take
/// at most; how wide the days must be for those to stand beside them.
const NARROW: f32 = 0.55;
const LEAST: f32 = 3.5;
const ROOM: f32 = 8.0;
const BESIDE: f32 = 36.0;
/// Weeks that are to stand on one page.
pub(super) const TOGETHER: usize = 6;
/// Rooms in a week from which the weeks take the whole width.
const MANY: usize = 2;

/// Left ends of the seven days, and the right end of the last; left of them the names of rooms.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    pub sheet: Sheet,
    pub left: f32,
    pub x: [f32; 8],
}

impl Grid {
    /// Seven days from `left` to `right`, the names of rooms at their left where there are any and room for them.
    pub fn new(sheet: Sheet, (left, right): (f32, f32), weeks: &[ClientWeek]) -> Grid {
        let u = sheet.unit;
        let names = weeks.iter().flat_map(|w| &w.rooms).map(|r| face::width(&r.name, u, Weight::SemiBold));
        let names = names.fold(0.0, f32::max);
        let names = if names > 0.0 && right - left >= u * BESIDE { (names + u).min(u * ROOM) } else { 0.0 };
        let days = right - left - names;
        let off =
            |n: usize| !weeks.is_empty() && weeks.iter().all(|w| w.days.get(n).is_some_and(|d| d.off && !d.theirs));
        let narrow = NARROW.max((u * LEAST * 5.0 / (days - u * LEAST * 2.0).max(u)).min(1.0));
        let mut share: [f32; 7] = std::array::from_fn(|n| if off(n) { narrow } else { 1.0 });
        if share.iter().all(|s| *s < 1.0) {
            share = [1.0; 7];
        }
        let all: f32 = share.iter().sum();
        let mut x = [left + names; 8];
        for n in 0..7 {
            x[n + 1] = x[n] + days * share[n] / all;
        }
        Grid { sheet, left, x }
    }

    pub fn u(&self) -> f32 {
        self.sheet.unit
    }

    fn wide(&self, n: usize) -> f32 {
        self.x[n + 1] - self.x[n]
    }

    pub fn right(&self) -> f32 {
        self.x[7]
    }
}

/// Whether the weeks take the whole width: several rooms in one of them.
pub(super) fn whole_width(weeks: &[ClientWeek]) -> bool {
    weeks.iter().any(|w| w.rooms.len() > MANY)
}

/// The names of the days; where the first week begins.
pub(super) fn names(g: &Grid, top: f32, out: &mut Drawn) -> f32 {
    let u = g.u();
    for (n, name) in NAMES.iter().enumerate() {
        let name = fit(name, u, Weight::Regular, g.wide(n) - u * SIDE * 2.0);
        out.page.text((g.x[n] + u * SIDE, top + u), u, Weight::Regular, Ink::Quiet, name);
    }
    top + u * NAMED
}

/// The weeks, one that is higher than `whole` in several: its rooms go on below its days said again.
pub(super) fn pieces(weeks: &[ClientWeek], g: &Grid, whole: f32) -> Vec<ClientWeek> {
    let mut out = Vec::new();
    for w in weeks {
        let bare = ClientWeek { rooms: Vec::new(), ..w.clone() };
        let mut piece = bare.clone();
        for r in &w.rooms {
            piece.rooms.push(r.clone());
            if piece.rooms.len() > 1 && laid(&piece, g, false).high > whole {
                piece.rooms.pop();
                out.push(std::mem::replace(&mut piece, ClientWeek { ribbons: Vec::new(), ..bare.clone() }));
                piece.rooms.push(r.clone());
            }
        }
        out.push(piece);
    }
    out
}

/// As many weeks as there is room for from `top` to `bottom`, at least one; those left over come back, and
/// where the last one ends.
pub(super) fn grid<'a>(
    weeks: &'a [ClientWeek],
    gone: Option<&str>,
    g: &Grid,
    (top, bottom): (f32, f32),
    out: &mut Drawn,
) -> (&'a [ClientWeek], f32) {
    let u = g.u();
    let mut y = top;
    if let Some(gone) = gone {
        let text = fit(gone, u, Weight::Regular, g.right() - g.left - u * 0.6);
        out.page.text((g.left + u * SIDE, y + u), u, Weight::Regular, Ink::Quiet, text);
        out.say_last(1, gone);
        y += u * NAMED;
    }
    let mut sets = together(weeks, g, bottom - y).into_iter();
    let mut set = 0;
    for w in weeks {
        let s = sets.next().unwrap_or_else(|| laid(w, g, false));
        // One week stands on every page, however high it is.
        if set > 0 && y + s.high > bottom + 0.01 {
            break;
        }
        let high = s.high;
        week(w, s, g, y, out);
        y += high;
        set += 1;
    }
    rule(g, y, out);
    (&weeks[set..], y)
}

/// The first weeks, as many of them close as it takes to stand within `room`: those first that win the most.
fn together(weeks: &[ClientWeek], g: &Grid, room: f32) -> Vec<Laid> {
    let first = &weeks[..weeks.len().min(TOGETHER)];
    let mut out: Vec<Laid> = first.iter().map(|w| laid(w, g, false)).collect();
    let close: Vec<Laid> = first.iter().map(|w| laid(w, g, true)).collect();
    let mut wins: Vec<(usize, f32)> = (0..first.len()).map(|i| (i, out[i].high - close[i].high)).collect();
    wins.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    for (i, won) in wins {
        if won > 0.0 && out.iter().map(|l| l.high).sum::<f32>() > room {
            out[i] = close[i].clone();
        }
    }
    out
}

fn rule(g: &Grid, y: f32, out: &mut Drawn) {
    let width = g.u() * 0.06;
    out.page.marks.push(Mark::Line { from: (g.left, y), to: (g.right(), y), width, ink: Ink::Quiet });
}

/// A week set; `close` puts the phases of one room into one row of boxes.
fn laid(w: &ClientWeek, g: &Grid, close: bool) -> Laid {
    let u = g.u();
    let mut out = Laid::default();
    let mut y = u * HEAD;
    for (n, d) in w.days.iter().enumerate() {
        let text = d.number.clone();
        out.marks.push(Mark::Text {
            x: g.x[n] + u * SIDE,
            y: u,
            size: u,
            weight: Weight::SemiBold,
            ink: Ink::Ink,
            text,
        });
        let door = d.door.filter(|_| w.rooms.is_empty());
        // The door stands beside the number, the words below it.
        out.take(day_words(g, n, &[], door), u * 0.1);
        let theirs = if d.theirs { "yours again by evening" } else { "" };
        let told: Vec<&str> = d.troubles.iter().map(String::as_str).collect();
        let idle = if d.lost { NO_WORK } else { "" };
        let mut rest = told.as_slice();
        if close && theirs.is_empty() && !d.lost {
            // A close week begins what a day is like beside its number.
            let x = g.x[n] + u * SIDE + face::width(&d.number, u, Weight::SemiBold) + u * 0.45;
            let room = g.x[n + 1] - u * 1.35 - x;
            let line = |k: usize| told[..k].join(", ") + if k < told.len() { "," } else { "" };
            let fits = |k: &usize| face::width(&line(*k), u, Weight::Regular) <= room;
            if let Some(k) = (1..=told.len()).rev().find(fits) {
                let (size, weight, ink) = (u, Weight::Regular, Ink::Shut);
                out.marks.push(Mark::Text { x, y: u, size, weight, ink, text: line(k) });
                rest = &told[k..];
            }
        }
        let words = day_words(
            g,
            n,
            &[(theirs.into(), Ink::Safe), (idle.into(), Ink::Quiet), (rest.join(", "), Ink::Shut)],
            None,
        );
        y = y.max(u * HEAD + words.high);
        out.take(words, u * HEAD);
    }
    let rows = if close { boxes(w, g) } else { ribbons(w, g) };
    let down = y;
    y += rows.high;
    out.take(rows, down);
    let off: [bool; 7] = std::array::from_fn(|n| w.days.get(n).is_some_and(|d| d.off));
    for (n, r) in w.rooms.iter().enumerate() {
        if n > 0 || !w.ribbons.is_empty() {
            let width = u * 0.03;
            out.marks.push(Mark::Line { from: (g.left, y), to: (g.right(), y), width, ink: Ink::Rule });
        }
        let row = room(g, r, &off);
        y += u * 0.12;
        let down = y;
        y += row.high;
        out.take(row, down);
    }
    out.high = y + u * AIR;
    out
}

/// Ribbons in their rows, each row as high as its highest.
fn ribbons(w: &ClientWeek, g: &Grid) -> Laid {
    let mut out = Laid::default();
    let rows = w.ribbons.iter().map(|r| r.row + 1).max().unwrap_or(0);
    for row in 0..rows {
        let mut one = Laid::default();
        for r in w.ribbons.iter().filter(|r| r.row == row) {
            one.take(boxed(g, (r.from, r.to), &[r.names.as_slice()], r.in_hand), 0.0);
        }
        let down = out.high;
        out.high += one.high.max(g.u() * RIBBON);
        out.take(one, down);
    }
    out
}

/// The ribbons as one row of boxes, each over the days on which the same go on.
fn boxes(w: &ClientWeek, g: &Grid) -> Laid {
    let on = |n: usize| -> Vec<&Ribbon> { w.ribbons.iter().filter(|r| (r.from..=r.to).contains(&n)).collect() };
    let mut out = Laid::default();
    let mut n = 0;
    while n < 7 {
        let here = on(n);
        let to = (n..7).take_while(|&k| on(k) == here).last().unwrap_or(n);
        let (hand, work): (Vec<&Ribbon>, Vec<&Ribbon>) = here.into_iter().partition(|r| r.in_hand);
        let things: Vec<&[String]> = work.iter().map(|r| r.names.as_slice()).collect();
        if !things.is_empty() {
            out.take(boxed(g, (n, to), &things, false), 0.0);
        }
        if let (Some(h), true) = (hand.first(), things.is_empty()) {
            out.take(boxed(g, (n, to), &[h.names.as_slice()], true), 0.0);
        }
        n = to + 1;
    }
    out
}

/// Draws a week at `y`.
fn week(w: &ClientWeek, set: Laid, g: &Grid, y: f32, out: &mut Drawn) {
    let (u, high) = (g.u(), set.high);
    for (n, _) in w.days.iter().enumerate().filter(|(_, d)| d.off) {
        let fill = Some(Ink::Off);
        out.page.marks.push(Mark::Rect { x: g.x[n], y, w: g.wide(n), h: high, fill, line: None });
    }
    rule(g, y, out);
    out.page.marks.extend(set.marks.into_iter().map(|m| m.moved(0.0, y)));
    for (n, d) in w.days.iter().enumerate() {
        if d.theirs {
            let line = Some((Ink::Safe, u * 0.16));
            let at = u * 0.08;
            let (x, w) = (g.x[n] + at, g.wide(n) - 2.0 * at);
            out.page.marks.push(Mark::Rect { x, y: y + at, w, h: high - 2.0 * at, fill: None, line });
        }
        out.say((g.x[n], y, g.x[n + 1], y + high), &day_line(w, n));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::client::{ClientDay, Door, RoomDay, RoomWeek};
    use crate::views::paper::{Page, Size};

    fn day(off: bool) -> ClientDay {
        let date = "2027-03-01".parse().expect("a day");
        ClientDay { date, number: "1".into(), off, door: None, troubles: Vec::new(), theirs: false, lost: false }
    }

    fn busy() -> ClientWeek {
        let ribbon = |names: &[&str], from, to, row| Ribbon {
            names: names.iter().map(ToString::to_string).collect(),
            from,
            to,
            row,
            in_hand: false,
        };
        ClientWeek {
            days: (0..7).map(|n| day(n > 4)).collect(),
            ribbons: vec![
                ribbon(&["in our shop", "shop"], 0, 3, 0),
                ribbon(&["plaster and sanding of everything", "plaster"], 0, 2, 1),
                ribbon(&["windows"], 1, 3, 2),
                ribbon(&["painting walls of all rooms", "walls"], 2, 2, 3),
                ribbon(&["panels"], 2, 4, 4),
            ],
            rooms: Vec::new(),
        }
    }

    fn laid_out(weeks: &[ClientWeek]) -> Grid {
        Grid::new(Size::Screen.sheet(true), (40.0, 1200.0), weeks)
    }

    fn texts(l: &Laid) -> Vec<(String, (f32, f32, f32, f32))> {
        let one = |m: &Mark| match m {
            Mark::Text { text, .. } => Some((text.clone(), m.bounds())),
            _ => None,
        };
        l.marks.iter().filter_map(one).collect()
    }

    #[test]
    fn days_nobody_works_on_are_narrow_unless_all_are() {
        let g = laid_out(&[busy()]);
        assert!((g.wide(5) / g.wide(0) - NARROW).abs() < 1e-4 && (g.right() - 1200.0).abs() < 0.01);
        let off = ClientWeek { days: (0..7).map(|_| day(true)).collect(), ribbons: Vec::new(), rooms: Vec::new() };
        assert!((laid_out(&[off]).wide(5) - 1160.0 / 7.0).abs() < 0.01);
    }

    #[test]
    fn words_stay_within_the_days_they_speak_of_and_none_is_lost() {
        let w = busy();
        let g = laid_out(std::slice::from_ref(&w));
        for close in [false, true] {
            let set = laid(&w, &g, close);
            for n in 0..7 {
                let here = w.ribbons.iter().filter(|r| (r.from..=r.to).contains(&n));
                let over = texts(&set).into_iter().filter(|(_, b)| b.0 < g.x[n + 1] && b.2 > g.x[n]);
                let over: String = over.map(|t| t.0 + " ").collect();
                for r in here.filter(|_| close) {
                    assert!(r.names.iter().any(|name| over.contains(name.as_str())), "day {n}: {r:?} in {over}");
                }
            }
            let all: String = texts(&set).into_iter().map(|t| t.0 + " ").collect();
            assert!(w.ribbons.iter().all(|r| r.names.iter().any(|n| all.contains(n.as_str()))), "{all}");
            for (text, b) in texts(&set).into_iter().filter(|t| t.0 != "1") {
                assert!(b.2 <= g.x[5], "{text} runs into the days off");
            }
        }
        assert!(laid(&w, &g, true).high < laid(&w, &g, false).high);
        // One day holds the short name of a phase, not the long one.
        let one = boxed(&g, (2, 2), &[w.ribbons[3].names.as_slice()], false);
        assert_eq!(texts(&one)[0].0, "walls");
        assert!(texts(&one)[0].1.2 <= g.x[3]);
    }

    fn of_rooms(count: usize) -> ClientWeek {
        let work = |n: usize, phase: &str| RoomDay {
            door: Some(if n == 1 { Door::Shut } else { Door::Open }),
            troubles: vec!["dusty".into(), "wet".into(), "power off at times".into()],
            phases: vec![vec![phase.to_string()]],
        };
        let rest = RoomDay { door: None, troubles: Vec::new(), phases: Vec::new() };
        let one = |i: usize| RoomWeek {
            name: format!("Room {i}"),
            days: (0..7)
                .map(|n| if n < 3 { work(n, if n < 2 { "plaster" } else { "walls" }) } else { rest.clone() })
                .collect(),
        };
        ClientWeek { ribbons: Vec::new(), rooms: (0..count).map(one).collect(), ..busy() }
    }

    #[test]
    fn every_room_has_its_own_row_with_its_phases_doors_and_words() {
        let w = of_rooms(3);
        let g = laid_out(std::slice::from_ref(&w));
        assert!(whole_width(std::slice::from_ref(&w)) && !whole_width(&[busy()]) && g.x[0] > g.left);
        let all = texts(&laid(&w, &g, false));
        let top = |name: &str| all.iter().find(|t| t.0 == name).expect(name).1.1;
        assert!(top("Room 0") < top("Room 1") && top("Room 1") < top("Room 2"));
        // Two days of plaster are one box, the walls another; per room, never over two of them.
        let boxes = all.iter().filter(|t| t.0 == "plaster" || t.0 == "walls");
        assert_eq!(boxes.count(), 6);
        for (text, b) in &all {
            let n = (0..7).find(|&n| b.0 >= g.x[n] && b.0 < g.x[n + 1]);
            let to = match (n, text.as_str()) {
                (Some(_), "plaster") => 2,
                (Some(n), _) => n + 1,
                (None, _) => 0,
            };
            assert!(b.2 <= g.x[to] + 0.01, "{text}");
        }
        // In a narrow window the name stands above its row.
        let slim = Grid::new(Size::Screen.sheet(true), (0.0, 24.0 * 30.0), std::slice::from_ref(&w));
        assert!((slim.x[0] - slim.left).abs() < 0.01 && slim.wide(5) >= 24.0 * LEAST - 0.01);
        // A week higher than a page goes on with its days said again, and loses no room.
        let many = of_rooms(14);
        let cut = pieces(std::slice::from_ref(&many), &g, 400.0);
        assert!(cut.len() > 1 && cut.iter().all(|p| laid(p, &g, false).high <= 400.0 && p.days.len() == 7));
        assert_eq!(cut.iter().map(|p| p.rooms.len()).sum::<usize>(), 14);
    }

    #[test]
    fn what_a_day_is_like_stands_below_its_number_within_its_day() {
        let mut w = busy();
        w.days[1].troubles = ["dusty", "wet", "noise", "power off at times"].map(String::from).to_vec();
        w.days[1].door = Some(Door::Shut);
        let g = laid_out(std::slice::from_ref(&w));
        let red: Vec<_> =
            laid(&w, &g, false).marks.into_iter().filter(|m| matches!(m, Mark::Text { ink: Ink::Shut, .. })).collect();
        let words: Vec<&str> = red
            .iter()
            .filter_map(|m| if let Mark::Text { text, .. } = m { Some(text.as_str()) } else { None })
            .collect();
        assert_eq!(words.join(" "), "dusty, wet, noise, power off at times");
        for m in &red {
            assert!(m.bounds().0 >= g.x[1] && m.bounds().2 <= g.x[2] && m.bounds().1 > g.u() * 1.0, "{m:?}");
        }
        // A week drawn says each of its days.
        let mut out = Drawn::new(Page::new(g.sheet));
        let top = names(&g, 70.0, &mut out);
        let (left, y) = grid(std::slice::from_ref(&w), None, &g, (top, 1000.0), &mut out);
        assert!(left.is_empty() && y > 100.0 && out.told.len() == 7);
    }
}
