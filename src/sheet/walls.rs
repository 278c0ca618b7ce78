//! The walls a line says: a rectangle, its bays, alcoves and breasts, or a run one by one.

use super::build::{CEILING, DEPTH, NARROW, SIDE, WALL, chain_at, meant, offers, within};
use super::draft::{Measure, Place, SaidFeature, SaidWall};
use super::faces::{forms, sizes};
use super::reader::{Of, Reader};
use super::shape::{self, Feature};
use super::words::length;
use crate::job::{Room, Size, Wall};
use crate::measure::Length;

/// Most walls of a room.
const WALLS: usize = 64;

pub(super) fn rectangle(r: &mut Reader, sides: &[Measure]) -> Option<Size> {
    let at = chain_at(sides);
    let heights = match r.units {
        crate::job::Units::FeetInches => ["8'", "9'", "8'4"],
        crate::job::Units::Metric => ["2.4", "2.5", "2.7"],
    };
    match sides {
        [_] => {
            r.ask(at, "How wide is the room, and how high?", Vec::new());
            None
        }
        [_, w] => {
            let offers = heights.map(|h| r.inserted(w.at.end, &format!(" x {h}"))).to_vec();
            r.ask(at, "How high is the ceiling?", offers);
            None
        }
        [l, w, h] => {
            let ranges = [SIDE, SIDE, CEILING];
            let zero = sides.iter().any(|m| m.v <= Length::ZERO);
            let odd: Vec<usize> = (0..3).filter(|&i| !within(sides[i].v, ranges[i])).collect();
            if zero || (!odd.is_empty() && !r.out.meant) {
                let place = if odd.len() == 1 { sides[odd[0]].at.clone() } else { at.clone() };
                let say = |l: Length| length(l, r.units);
                let what = match odd.as_slice() {
                    [2] => format!("The ceiling would be {} high. Is it?", say(h.v)),
                    [i] => format!("The room would be {} {}. Is it?", say(sides[*i].v), ["long", "wide"][*i]),
                    _ => format!("The room would be {} x {}, {} high. Is it?", say(l.v), say(w.v), say(h.v)),
                };
                let mut list = Vec::new();
                if let [i] = odd.as_slice()
                    && sides[*i].bare
                    && let Some(tenth) = r.tenth(&sides[*i].at)
                {
                    // `25` where 2.5 was meant: the point was not struck.
                    list.push(r.with(&sides[*i].at, &tenth));
                }
                list.extend(offers(r, sides, &at, Of::Room, &odd));
                let offers = list;
                r.ask(place, what, offers);
                if zero {
                    return None;
                }
            }
            Some(Size { length: l.v, width: w.v, height: h.v })
        }
        _ => None,
    }
}

/// The run of walls said one by one.
pub(super) fn run(r: &mut Reader, said: &[SaidWall]) -> Option<Vec<Wall>> {
    let at = r.out.shape_at.clone();
    if said.len() < 3 || said.len() > WALLS {
        r.ask(at, "A room has 3 to 64 walls. Which are they?", Vec::new());
        return None;
    }
    let heights = match r.units {
        crate::job::Units::FeetInches => ["8'", "9'", "8'4"],
        crate::job::Units::Metric => ["2.4", "2.5", "2.7"],
    };
    if said.iter().any(|w| w.height.is_none()) {
        let end = said.last().map_or(at.end, |w| w.length.at.end.max(at.end));
        let end = r.line[..end].trim_end_matches([',', ' ', ';']).len();
        let offers = heights.map(|h| r.inserted(end, &format!(", high {h}"))).to_vec();
        r.ask(at, "How high is the ceiling?", offers);
        return None;
    }
    let mut fine = true;
    for w in said {
        let h = w.height.as_ref().expect("checked");
        for (m, range, what) in [(&w.length, WALL, "long"), (h, CEILING, "high")] {
            let zero = m.v <= Length::ZERO;
            if fine && (zero || (!within(m.v, range) && !r.out.meant)) {
                let mut texts: Vec<String> = Vec::new();
                if m.bare {
                    texts = ["ft", "in", "m", "cm"].map(|u| format!("{} {u}", &r.line[m.at.clone()])).to_vec();
                }
                let mut offers: Vec<String> = texts.iter().map(|t| r.with(&m.at, t)).collect();
                offers.push(meant(r));
                let what = format!("This wall would be {} {what}. Is it?", length(m.v, r.units));
                r.ask(m.at.clone(), what, offers);
                fine = !zero;
            }
        }
    }
    let walls: Vec<Wall> = said
        .iter()
        .map(|w| Wall {
            name: String::new(),
            length: w.length.v,
            height: w.height.as_ref().expect("checked").v,
            turn: w.turn,
        })
        .collect();
    closes(r, said, &walls);
    Some(walls)
}

/// Asks where a run does not come back to its begin, with the corrections that would.
fn closes(r: &mut Reader, said: &[SaidWall], walls: &[Wall]) {
    let at = r.out.shape_at.clone();
    let open = |list: &[Wall]| {
        let mut problems = Vec::new();
        let probe = Room { walls: list.to_vec(), ..Room::default() };
        crate::takeoff::Outline::of(&probe, "", &mut problems);
        problems.into_iter().next().map(|p| p.what)
    };
    if open(walls).is_none() {
        if let Some((i, j)) = shape::crossing(walls) {
            let what = format!("Wall {} would cross wall {}. Which corner goes the other way?", i + 1, j + 1);
            r.ask(at, what, flipped(r, said, walls, &open));
        }
        return;
    }
    let turns: f64 = walls.iter().map(|w| w.turn).sum();
    if (turns - 360.0).abs() > 1.0 {
        let offers = flipped(r, said, walls, &open);
        r.ask(at, "These walls do not come round to where they began. Which corner is an outside one?", offers);
        return;
    }
    // Two gaps, along and across: a wall that runs that way can take each up.
    let (mut x, mut y, mut heading) = (0.0f64, 0.0f64, 0.0f64);
    let mut ways = Vec::new();
    for w in walls {
        let (cos, sin) = (libm::cos(heading.to_radians()), libm::sin(heading.to_radians()));
        x += w.length.0 as f64 * cos;
        y += w.length.0 as f64 * sin;
        ways.push((cos, sin));
        heading += w.turn;
    }
    let mut offers = Vec::new();
    for (i, w) in walls.iter().enumerate() {
        let (cos, sin) = ways[i];
        let change = Length(libm::round(-(x * cos + y * sin)) as i64);
        let mut list = walls.to_vec();
        list[i].length = Length(w.length.0 + change.0);
        if list[i].length > Length::ZERO && open(&list).is_none() && shape::crossing(&list).is_none() {
            offers.push(r.with(&said[i].length.at, &super::write::room_length(list[i].length, r.units)));
        }
    }
    let gap = length(Length(libm::sqrt(x * x + y * y) as i64), r.units);
    r.ask(
        at,
        format!("These walls do not meet: the last ends {gap} from where the first begins. Which one is wrong?"),
        offers,
    );
}

/// The line with one more corner turned the other way, where the run then closes.
fn flipped(r: &Reader, said: &[SaidWall], walls: &[Wall], open: &dyn Fn(&[Wall]) -> Option<String>) -> Vec<String> {
    let mut out = Vec::new();
    for i in 0..walls.len() {
        if said[i].turn_said {
            continue;
        }
        let mut list = walls.to_vec();
        list[i].turn = -list[i].turn;
        if open(&list).is_none() && shape::crossing(&list).is_none() {
            out.push(r.inserted(said[i].length.at.end, " out"));
        }
    }
    out
}

/// The features of a rectangle; `None` where one is not known.
pub(super) fn features(r: &mut Reader, size: &Size) -> Option<Vec<Feature>> {
    let mut out: Vec<Feature> = Vec::new();
    let mut fine = true;
    for f in r.out.features.clone() {
        match feature(r, size, &f) {
            Some(made) => {
                let side = shape::sides(size)[made.side - 1];
                let (a, b) = (made.start(side).0, made.start(side).0 + made.width.0);
                let meets = out.iter().any(|o| {
                    let (c, d) = (o.start(side).0, o.start(side).0 + o.width.0);
                    o.side == made.side && a < d && c < b
                });
                if meets {
                    let what =
                        format!("The {} would stand in another on wall {}. Where is it?", f.kind.word(), made.side);
                    r.ask(f.at.clone(), what, Vec::new());
                    fine = false;
                } else {
                    out.push(made);
                }
            }
            None => fine = false,
        }
    }
    if fine {
        let through = |some: &[Feature]| {
            let walls = shape::walls(size, some);
            let ends = walls.iter().any(|w| w.length <= Length::ZERO || w.turn.abs() > 179.0);
            ends || shape::crossing(&walls).is_some()
        };
        // The first one with which it does not do is meant.
        let at = (1..=out.len()).find(|&n| through(&out[..n])).map(|n| r.out.features[n - 1].size_at.clone());
        if let Some(at) = at {
            r.ask(at, "It would reach through another wall. How deep is it?", Vec::new());
            fine = false;
        }
    }
    fine.then_some(out)
}

/// Asks which wall a bay, an alcove or a breast is on.
fn ask_wall(r: &mut Reader, f: &SaidFeature) {
    let offers = (1..=4).map(|n| r.inserted(f.at.end, &format!(" on wall {n}"))).collect();
    r.ask(f.at.clone(), format!("Which wall is the {} on?", f.kind.word()), offers);
}

fn feature(r: &mut Reader, size: &Size, f: &SaidFeature) -> Option<Feature> {
    let word = f.kind.word();
    let (width, depth, slanted) = match f.size.as_slice() {
        [width, depth] => (width, depth, None),
        [side, front, _] => (front, side, Some(side.v)),
        few => {
            if !few.is_empty() {
                let units = r.units;
                let said = r.line[f.size_at.clone()].to_string();
                let mut offers: Vec<String> = Vec::new();
                if let [one] = few {
                    let deeper = sizes(f.kind, units).map(|s| s.split(" x ").nth(1).unwrap_or(s));
                    offers.extend(deeper.map(|d| r.inserted(one.at.end, &format!(" x {d}"))));
                } else {
                    offers.extend(sizes(f.kind, units).map(|s| r.with(&f.size_at, s)));
                }
                let what = if few.len() == 1 { "How deep" } else { "How wide and how deep" };
                let ask = format!("{said}: {} is the {word}? {}", what.to_lowercase(), forms(f.kind, units));
                r.ask(f.size_at.clone(), ask, offers);
            }
            if few.len() < 2 && f.place.v == Place::Unsaid {
                ask_wall(r, f);
            }
            return None;
        }
    };
    let side = match &f.place.v {
        Place::Wall(w) if matches!(w.as_str(), "1" | "2" | "3" | "4") => w.parse::<usize>().unwrap_or(1),
        Place::Unsaid => {
            ask_wall(r, f);
            return None;
        }
        _ => {
            let offers = (1..=4).map(|n| r.with(&f.place.at, &format!("on wall {n}"))).collect();
            r.ask(f.place.at.clone(), format!("Which of the walls 1 to 4 is the {word} on?"), offers);
            return None;
        }
    };
    let mut made = Feature {
        kind: f.kind,
        side,
        width: width.v,
        depth: depth.v,
        from: f.from_corner.as_ref().map(|m| m.v),
        angle: f.angle,
        slanted: None,
    };
    if let Some(of) = slanted {
        made = made.by_walls(of, width.v);
    }
    let along = shape::sides(size)[side - 1];
    let swapped = || {
        let [a, b] = [&width.at, &depth.at].map(|at| &r.line[at.clone()]);
        let swapped = if slanted.is_some() { format!("{a}, {b}, {a}") } else { format!("{b} x {a}") };
        r.with(&f.size_at, &swapped)
    };
    let say = |l: Length| length(l, r.units);
    if made.depth <= Length::ZERO || made.width <= Length::ZERO {
        let ask = format!("How wide and how deep is the {word}? {}", forms(f.kind, r.units));
        let offers = sizes(f.kind, r.units).map(|s| r.with(&f.size_at, s)).to_vec();
        r.ask(f.size_at.clone(), ask, offers);
        return None;
    }
    if made.width >= along {
        let what = format!("The {word} is {} wide, wall {side} is {}. Which is it?", say(made.width), say(along));
        let offers = vec![swapped()];
        r.ask(f.size_at.clone(), what, offers);
        return None;
    }
    if made.front() <= Length::ZERO {
        let what =
            format!("A bay {} wide and {} deep has no front left. How is it built?", say(made.width), say(made.depth));
        let offers = vec![swapped(), r.inserted(f.size_at.end, " 60 degrees"), r.inserted(f.at.start, "square ")];
        r.ask(f.size_at.clone(), what, offers);
        return None;
    }
    if (made.depth > DEPTH || made.width < NARROW) && !r.out.meant {
        let what = format!("The {word} would be {} wide and {} deep. Is it?", say(made.width), say(made.depth));
        let mut list = vec![swapped()];
        if slanted.is_none() {
            list.extend(offers(r, &f.size, &f.size_at, Of::Room, &[1]));
        } else {
            list.push(meant(r));
        }
        r.ask(f.size_at.clone(), what, list);
        return None;
    }
    let start = made.start(along);
    if start < Length::ZERO || start.0 + made.width.0 > along.0 {
        let at = f.from_corner.as_ref().map_or(f.at.clone(), |m| m.at.clone());
        let most = Length(along.0 - made.width.0);
        let what = format!("There the {word} would reach past the end of wall {side}. How far from the corner is it?");
        let offers = vec![
            r.with(&at, &super::write::room_length(most, r.units)),
            r.with(&at, &super::write::room_length(Length(most.0 / 2), r.units)),
        ];
        r.ask(at, what, offers);
        return None;
    }
    Some(made)
}
