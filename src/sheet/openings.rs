//! Openings that hardly anybody builds, and openings that their wall does not hold.

use super::apart::{At, Made};
use super::build::{CASING, offers, units_of, usual, within};
use super::draft::{Place, SaidOpening};
use super::reader::{Of, Reader};
use super::words::{inches, length};
use crate::job::{Opening, OpeningKind, Wall};
use crate::measure::Length;

/// Sizes of openings that hardly anybody builds, whatever the walls.
pub(super) fn sizes_of_openings(r: &mut Reader) {
    for o in r.out.openings.clone() {
        let word = noun(&o);
        match o.size.as_slice() {
            [] => {}
            [one] => {
                let said = r.line[one.at.clone()].to_string();
                let highs = match r.units {
                    crate::job::Units::FeetInches => ["80", "78", "84"],
                    crate::job::Units::Metric => ["200", "205", "210"],
                };
                let mut offers = highs.map(|h| r.with(&o.size_at, &format!("{said} x {h}"))).to_vec();
                let wides = match r.units {
                    crate::job::Units::FeetInches => ["30", "32", "36"],
                    crate::job::Units::Metric => ["70", "80", "90"],
                };
                offers.extend(wides.map(|w| r.with(&o.size_at, &format!("{w} x {said}"))));
                r.ask(o.size_at.clone(), format!("How wide and how high is the {word}?"), offers);
            }
            [w, h] => {
                let (w, h) = if w.high && !h.high { (h, w) } else { (w, h) };
                let ranges = usual(o.kind);
                let odd: Vec<usize> = [(w, ranges[0]), (h, ranges[1])]
                    .iter()
                    .enumerate()
                    .filter(|(_, (m, range))| !within(m.v, *range))
                    .map(|x| x.0)
                    .collect();
                let zero = w.v <= Length::ZERO || h.v <= Length::ZERO;
                if zero || (!odd.is_empty() && !r.out.meant) {
                    let at = o.size_at.clone();
                    let swapped = format!("{} x {}", &r.line[h.at.clone()], &r.line[w.at.clone()]);
                    let mut list = vec![r.with(&at, &swapped)];
                    let said = r.line[at.clone()].to_string();
                    if said.contains('/') {
                        // `2/8 x 6/8`, as some write feet and inches.
                        list.push(r.with(&at, &said.replace('/', "-")));
                    }
                    list.extend(offers(r, &o.size, &at, Of::Opening, &odd));
                    let what = format!(
                        "The {word} would be {} wide and {} high. Is it?",
                        inches(w.v, r.units),
                        inches(h.v, r.units)
                    );
                    r.ask(at, what, list);
                }
            }
            [w, h, rest @ ..] => {
                let two = format!("{} x {}", &r.line[w.at.clone()], &r.line[h.at.clone()]);
                let mut offers = vec![r.with(&o.size_at, &two)];
                if let [n] = rest
                    && o.count == 1
                    && n.bare
                {
                    let count = r.line[n.at.clone()].to_string();
                    let fewer = r.with(&o.size_at, &two);
                    let whole = format!("{}{count} {}", &fewer[..o.at.start], &fewer[o.at.start..]);
                    offers.insert(0, whole);
                }
                r.ask(rest[0].at.clone(), "An opening has a width and a height. What is the third?", offers);
            }
        }
        if let Some(c) = o.casing.as_ref().or(r.out.casing.as_ref()).cloned()
            && c.v > CASING
            && !r.out.meant
            && !r.asks.iter().any(|q| q.at == c.at)
        {
            let mut texts =
                ["in", "mm", "cm"].map(|u| r.with(&c.at, &format!("{} {u}", &r.line[c.at.clone()]))).to_vec();
            texts.push(super::build::meant(r));
            let what = format!("The casing would be {} wide. Is it?", inches(c.v, r.units));
            r.ask(c.at.clone(), what, texts);
        }
        if let (OpeningKind::Door, Some(s)) = (o.kind, &o.sill)
            && s.v > Length::ZERO
        {
            let from = r.line[..s.at.start].rfind("sill").unwrap_or(s.at.start);
            let gone = r.with(&(from..s.at.end), "");
            let first =
                r.toks.iter().find(|t| t.at.start >= o.at.start && t.word.starts_with("door")).map(|t| t.at.clone());
            let mut offers = vec![gone];
            offers.extend(first.map(|at| r.with(&at, "window")));
            r.ask(s.at.clone(), "A door has no sill. Is it a window?", offers);
        }
    }
}

/// What an opening is called in a question.
pub(super) fn noun(o: &SaidOpening) -> &str {
    match (o.name.as_str(), o.kind) {
        ("", OpeningKind::Door) => "door",
        ("", OpeningKind::Window) => "window",
        ("", OpeningKind::Cased) => "opening",
        (name, _) => name,
    }
}

/// Asks what cannot be: an opening that its wall does not hold.
pub(super) fn fits(r: &mut Reader, m: &Made, said: &SaidOpening, walls: &[Wall], names: &[String], taken: &[i64]) {
    let o = &m.o;
    let wall = &walls[o.wall - 1];
    let name = &names[o.wall - 1];
    let word = noun(said).to_string();
    let at = said.size_at.clone();
    let say = |l: Length| length(l, r.units);
    let swapped = r.with(&at, &format!("{} x {}", &r.line[said.size[1].at.clone()], &r.line[said.size[0].at.clone()]));
    let mut other = vec![swapped];
    other.extend(units_of(r, &said.size, Of::Opening, None).iter().map(|t| r.with(&at, t)));
    let elsewhere = || -> Vec<String> {
        let text = |n: &String| match said.place.v {
            Place::Unsaid => r.inserted(at.end, &format!(" wall {n}")),
            _ => r.with(&said.place.at, &format!("wall {n}")),
        };
        names.iter().map(text).collect()
    };
    if o.height > wall.height {
        let what =
            format!("The {word} would be {} high, the wall is {}. Which is it?", say(o.height), say(wall.height));
        r.ask(at, what, other);
    } else if o.width > wall.length {
        let what = format!("The {word} is {} wide, wall {name} is {}. Which is it?", say(o.width), say(wall.length));
        let mut offers = elsewhere();
        offers.extend(other);
        r.ask(at, what, offers);
    } else if o.sill.is_some_and(|s| s.0 + o.height.0 > wall.height.0) {
        let s = said.sill.as_ref().expect("a sill");
        let most = Length(wall.height.0 - o.height.0);
        let what =
            format!("With its sill at {} the {word} would reach through the ceiling. How high is the sill?", say(s.v));
        let mut offers: Vec<String> =
            ["in", "cm"].iter().map(|u| r.with(&s.at, &format!("{} {u}", &r.line[s.at.clone()]))).collect();
        offers.push(r.with(&s.at, &super::write::inch_length(most, r.units)));
        r.ask(s.at.clone(), what, offers);
    } else if let (Some(c), Some(At::Near(m) | At::Far(m))) = (o.from_corner, &m.at)
        && (c.0 < 0 || c.0 + o.width.0 > wall.length.0)
    {
        let most = Length(wall.length.0 - o.width.0);
        let what = format!("There the {word} would reach past the end of wall {name}. How far from the corner is it?");
        let mut offers: Vec<String> = if m.bare {
            ["in", "cm", "mm"].iter().map(|u| r.with(&m.at, &format!("{} {u}", &r.line[m.at.clone()]))).collect()
        } else {
            Vec::new()
        };
        offers.push(r.with(&m.at, &super::write::inch_length(most, r.units)));
        r.ask(m.at.clone(), what, offers);
    } else if taken[o.wall - 1] > wall.length.0 || (said.place.v == Place::Unsaid && !room_for(o, walls, taken)) {
        let asked = format!("wider than wall {name}");
        if !r.asks.iter().any(|q| q.ask.contains(&asked)) {
            let what = format!("The openings together are {asked}, {}. Which wall is the {word} on?", say(wall.length));
            let mut offers = elsewhere();
            // As many as there is room for.
            let rest = wall.length.0
                - if taken[o.wall - 1] > wall.length.0 {
                    taken[o.wall - 1] - o.width.0 * i64::from(o.count)
                } else {
                    taken[o.wall - 1]
                };
            let most = if o.width.0 > 0 { rest.max(0) / o.width.0 } else { 0 };
            let first = r.toks.iter().find(|t| t.at.start == said.at.start).map(|t| t.at.clone());
            if let (Some(first), true) = (first, o.count > 1 && most > 0) {
                offers.push(r.with(&first, &most.to_string()));
            }
            r.ask(said.at.clone(), what, offers);
        }
    }
}

/// Whether an opening without a wall found one: it is counted among what its wall holds.
fn room_for(o: &Opening, walls: &[Wall], taken: &[i64]) -> bool {
    let i = o.wall - 1;
    taken[i] >= o.width.0 * i64::from(o.count) && taken[i] <= walls[i].length.0
}
