//! Several openings on one wall: from which corner, at which places, how far apart.
//!
//! Distances are between the openings themselves, casing not counted, and from a corner to the
//! opening. Openings told only by how far apart they are stand in the middle of their wall
//! together, to a sixteenth of an inch or a millimetre.

use super::build::inch;
use super::draft::{Measure, Place, SaidOpening};
use super::openings::noun;
use super::reader::Reader;
use super::words::length;
use crate::job::{Opening, Units, Wall};
use crate::measure::Length;

/// What the place of an opening was said by.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum At {
    /// From the near corner, from the far one.
    Near(Measure),
    Far(Measure),
    /// From the opening before it.
    Gap(Measure),
}

impl At {
    pub fn measure(&self) -> &Measure {
        match self {
            At::Near(m) | At::Far(m) | At::Gap(m) => m,
        }
    }
}

/// An opening of the room, of which said one it is, and what its place was said by.
#[derive(Clone, Debug)]
pub(super) struct Made {
    pub o: Opening,
    pub wall: Option<usize>,
    pub said: usize,
    pub at: Option<At>,
}

/// Asks where distances do not go with what they are said of.
pub(super) fn asks(r: &mut Reader, said: &[SaidOpening]) {
    for (i, o) in said.iter().enumerate() {
        let places = usize::from(o.from_corner.is_some()) + o.further.len();
        if let (Some(first), Some(last)) = (&o.from_corner, o.further.last())
            && places != o.count as usize
        {
            let mut offers = Vec::new();
            let word = r.toks.iter().find(|t| t.at.start == o.at.start).map(|t| t.at.clone());
            if let Some(at) = word {
                let many = places.to_string();
                offers.push(if o.count == 1 { several(r, o, &many) } else { r.with(&at, &many) });
            }
            if o.count == 1 {
                offers.push(r.with(&(first.at.end..last.at.end), ""));
            }
            let what = format!("{places} places for {}. How many are there?", counted(o));
            r.ask(first.at.start..last.at.end, what, offers);
        } else if let (Some(gap), Some(_)) = (&o.gap, o.further.last()) {
            let gone = without(r, gap);
            r.ask(gap.at.clone(), "Their places say how far apart they are. Which is it?", vec![gone]);
        } else if let Some(gap) = &o.gap
            && o.count == 1
            && (i == 0 || o.from_corner.is_some())
        {
            let gone = without(r, gap);
            let what = match i {
                0 => format!("How far from what? No opening stands before this {}.", noun(o)),
                _ => "It is so far from the corner, and so far from the opening before it. Which is it?".to_string(),
            };
            r.ask(gap.at.clone(), what, vec![gone]);
        }
    }
}

/// `two doors`.
fn counted(o: &SaidOpening) -> String {
    match o.count {
        1 => format!("one {}", noun(o)),
        n => format!("{n} {}s", noun(o)),
    }
}

/// The line with so many of what it says one of.
fn several(r: &Reader, o: &SaidOpening, many: &str) -> String {
    let word = r
        .toks
        .iter()
        .find(|t| t.at.start >= o.at.start && ["door", "window", "opening", "archway"].contains(&t.word.as_str()));
    let mut line = r.line.to_string();
    if let Some(t) = word {
        line.insert(t.at.end, 's');
    }
    line.insert_str(o.at.start, &format!("{many} "));
    line
}

/// The line without how far apart.
fn without(r: &Reader, gap: &Measure) -> String {
    let word =
        r.toks.iter().find(|t| t.at.start >= gap.at.end && ["apart", "between", "gap"].contains(&t.word.as_str()));
    let end = match word {
        Some(t) if r.line[gap.at.end..t.at.start].trim().is_empty() => t.at.end,
        _ => gap.at.end,
    };
    let before = r.line[..gap.at.start].trim_end().trim_end_matches(" gap").trim_end_matches([',', ' ']);
    format!("{before}{}", &r.line[end..])
}

/// Openings at their places, each of several that has one as an opening of its own. What has no place, and so stands
/// where the wall leaves room, stays one with its count.
pub(super) fn spread(
    r: &mut Reader,
    made: Vec<Made>,
    said: &[SaidOpening],
    walls: &[Wall],
    names: &[String],
) -> Vec<Made> {
    let mut out: Vec<Made> = Vec::new();
    // Which one is so far from the one before it.
    let mut gaps: Vec<Option<Length>> = Vec::new();
    for m in made {
        let o = &said[m.said];
        let Some(wall) = m.wall.map(|i| &walls[i]) else {
            out.push(m);
            gaps.push(None);
            continue;
        };
        let place = |d: &Measure| match o.far {
            true => (Length(wall.length.0 - d.v.0 - m.o.width.0), At::Far(d.clone())),
            false => (d.v, At::Near(d.clone())),
        };
        let places: Vec<&Measure> = o.from_corner.iter().chain(&o.further).collect();
        let count = if places.len() > 1 || o.gap.is_some() { o.count as usize } else { 1 };
        for k in 0..count {
            let mut one = m.clone();
            if count > 1 {
                one.o.count = 1;
            }
            // Of several from the far corner the last is the one measured to.
            let nth = if places.len() > 1 {
                k
            } else if o.far {
                count - 1 - k
            } else {
                k
            };
            let at = places.get(nth).map(|d| place(d));
            one.o.from_corner = at.as_ref().map(|a| a.0);
            let linked = o.gap.clone().filter(|_| k > 0 || o.count == 1);
            one.at = at.map(|a| a.1).or(o.gap.clone().map(At::Gap));
            gaps.push(linked.map(|g| g.v));
            out.push(one);
        }
    }
    let mut from = 0;
    while from < out.len() {
        let mut to = from + 1;
        while gaps.get(to).is_some_and(Option::is_some) && out[to].wall == out[from].wall {
            to += 1;
        }
        if to > from + 1 {
            row(r, &mut out[from..to], &gaps[from..to], said, walls, names);
        }
        from = to;
    }
    out
}

/// Places of a row of openings so far apart.
fn row(
    r: &mut Reader,
    row: &mut [Made],
    gaps: &[Option<Length>],
    said: &[SaidOpening],
    walls: &[Wall],
    names: &[String],
) {
    let Some(wall) = row[0].wall else { return };
    let gap = |k: usize| gaps[k].map_or(0, |g| g.0);
    let long = walls[wall].length.0;
    let widths: i64 = row.iter().map(|m| m.o.width.0).sum();
    let total: i64 = widths + (1..row.len()).map(gap).sum::<i64>();
    // From the first of them; where a later one is measured, from there back.
    let known = row.iter().position(|m| m.o.from_corner.is_some());
    let mut at = match known {
        Some(k) => {
            let before: i64 = (0..k).map(|j| row[j].o.width.0 + gap(j + 1)).sum();
            row[k].o.from_corner.map_or(0, |c| c.0) - before
        }
        None => {
            let step = if r.units == Units::Metric { Length::MM } else { Length::INCH / 16 };
            (long - total).div_euclid(2 * step) * step
        }
    };
    if at < 0 || at + total > long {
        let last = &row[row.len() - 1];
        let o = &said[last.said];
        let Some(m) = o.gap.as_ref().or(last.at.as_ref().map(At::measure)).cloned() else { return };
        let say = |l: i64| length(Length(l), r.units);
        let what = format!(
            "With their distances the {} openings take {}{}, wall {} is {} long. How far apart are they?",
            row.len(),
            say(total),
            if known.is_some() { " from there on" } else { "" },
            names[wall],
            say(long)
        );
        let mut offers = Vec::new();
        let room = long - widths - if known.is_some() { at.max(0) } else { 0 };
        let most = room / (row.len() as i64 - 1).max(1);
        if most >= 0 && (known.is_none() || at >= 0) && row.iter().all(|x| x.said == last.said) {
            let step = if r.units == Units::Metric { 10 * Length::MM } else { Length::INCH };
            offers.push(r.with(&m.at, &super::write::inch_length(Length(most / step * step), r.units)));
        }
        if let (Place::Wall(_), true) = (&o.place.v, row.iter().all(|x| x.said == last.said)) {
            let fits = |i: &usize| *i != wall && walls[*i].length.0 >= total && known.is_none();
            let list: Vec<String> =
                (0..walls.len()).filter(fits).map(|i| r.with(&o.place.at, &format!("wall {}", names[i]))).collect();
            offers.extend(list);
        }
        r.ask(m.at, what, offers);
        return;
    }
    for (k, m) in row.iter_mut().enumerate() {
        at += gap(k) * i64::from(k > 0);
        // One that is measured itself stays there.
        let here = m.o.from_corner.get_or_insert(Length(at)).0;
        at = here + m.o.width.0;
    }
}

/// Two openings in one place.
pub(super) fn overlaps(r: &mut Reader, made: &[Made], said: &[SaidOpening], walls: &[Wall], names: &[String]) {
    for (j, b) in made.iter().enumerate() {
        for a in &made[..j] {
            let (Some(x), Some(y), Some(at)) = (a.o.from_corner, b.o.from_corner, &b.at) else { continue };
            let base = |o: &Opening| match (o.sill, o.kind) {
                (Some(s), _) => s.0,
                (None, crate::job::OpeningKind::Window) => (inch(80).0 - o.height.0).max(0),
                (None, _) => 0,
            };
            let (a, b) = (&a.o, &b.o);
            let beside = x.0 + a.width.0 <= y.0 || y.0 + b.width.0 <= x.0;
            let above = base(a) + a.height.0 <= base(b) || base(b) + b.height.0 <= base(a);
            if a.wall != b.wall || beside || above || r.asks.iter().any(|q| q.at == at.measure().at) {
                continue;
            }
            let long = walls[b.wall - 1].length.0;
            // Behind it, a hand's breadth between; before it where there is no room behind.
            let behind = x.0 + a.width.0 + inch(4).0;
            let before = x.0 - b.width.0 - inch(4).0;
            let free = [behind, before].into_iter().find(|p| *p >= 0 && p + b.width.0 <= long);
            let m = at.measure().at.clone();
            let far = |p: i64| if matches!(at, At::Far(_)) { long - p - b.width.0 } else { p };
            let offers = match (free, at) {
                (Some(p), At::Near(_) | At::Far(_)) => {
                    vec![r.with(&m, &super::write::inch_length(Length(far(p)), r.units))]
                }
                _ => Vec::new(),
            };
            let say = |l: i64| length(Length(l), r.units);
            let what = format!(
                "There the {} would stand in an opening of wall {}, from {} to {}. How far {} is it?",
                noun(&said[made[j].said]),
                names[b.wall - 1],
                say(x.0),
                say(x.0 + a.width.0),
                match at {
                    At::Near(_) => "from the corner",
                    At::Far(_) => "from the far corner",
                    At::Gap(_) => "from the one before",
                }
            );
            r.ask(m, what, offers);
        }
    }
}
