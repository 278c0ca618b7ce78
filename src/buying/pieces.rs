//! Pieces of a profile, and the sticks they are cut from.
//!
//! A piece is measured over its long point. At an inside corner that lies on the wall, so coped or
//! mitred it is the wall's own length; at an outside corner it lies off the wall, and the piece is
//! longer by `off the wall x tan(half the turn)`: at 90 degrees by what the profile stands off.
//! Casing: a leg is opening + reveal + casing, a head opening + 2 reveals + 2 casings, both over
//! the long point of their miters. Lengths are rounded up to the sixteenth or millimetre.
//!
//! Stock may arrive short by what its row says, or be had exact at a surcharge; both are offered
//! to the cutting. Stock that does not turn on the stairs is not. A run is scarfed only where it is
//! longer than the longest stock, in equal parts. Rules and their sources: `docs/methods.md`.

use super::packs::{at_least, cost};
use super::used::InPlan;
use super::{Bought, BuyRow, Stock, Uncut, Wanted, blank, cents, cut};
use crate::job::{Job, OpeningKind, Units};
use crate::measure::{Length, Money};
use crate::takeoff::{Cased, End, Factor, Share, cased, panel_rows, stretches};
use crate::trade::{Cut, Material, Pack};

/// What casing keeps back from the edge of the jamb (common practice, no source).
pub const REVEAL: Length = Length(Length::INCH * 3 / 16);
/// A stool's horn past the casing, each side (common practice, no source).
pub const HORN: Length = Length(Length::INCH);
/// Most pieces of one profile cut from sticks; more are a problem of the job.
const MOST: usize = 20_000;

/// Most parts a run is scarfed in; stock that short is none.
const MOST_PARTS: i64 = 100;

/// A piece to cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// `wall 2, piece 1`, `leg of door, wall 1`; the room before it where the job has several.
    pub name: String,
    /// Over the long point.
    pub length: Length,
}

/// One stick and what is cut from it.
#[derive(Clone, Debug, PartialEq)]
pub struct CutStick {
    /// As sold, and what of it can be counted on.
    pub nominal: Length,
    pub usable: Length,
    /// Cut to its length by the supplier.
    pub exact: bool,
    /// Longest first.
    pub pieces: Vec<Piece>,
    /// Left of the usable length once everything is cut off it.
    pub offcut: Length,
}

/// A run's length over its long points.
pub fn long_point(along: Length, ends: [End; 2], off_wall: Length) -> Length {
    let more = |e: End| match e {
        End::Outside(turn) => off_wall.0 as f64 * libm::tan(turn.to_radians() / 2.0),
        _ => 0.0,
    };
    Length(along.0 + libm::round(more(ends[0]) + more(ends[1])) as i64)
}

/// Equal parts of a run longer than the stock, each joint losing `scarf`; one part where it fits.
/// None where the stock is no longer than the scarf, or far too short.
pub fn scarfed(length: Length, longest: Length, scarf: Length) -> Option<Vec<Length>> {
    if length <= longest {
        return Some(vec![length]);
    }
    let gain = longest.0 - scarf.0;
    if gain <= 0 {
        return None;
    }
    let n = (length.0 - scarf.0 + gain - 1) / gain;
    if n > MOST_PARTS {
        return None;
    }
    let part = (length.0 + (n - 1) * scarf.0 + n - 1) / n;
    Some(vec![Length(part); n as usize])
}

/// Up to the next sixteenth or millimetre.
fn up(l: Length, units: Units) -> Length {
    let step = match units {
        Units::FeetInches => Length::INCH / 16,
        Units::Metric => Length::MM,
    };
    Length((l.0 + step - 1).div_euclid(step) * step)
}

/// Stock on offer: what can be counted on of each, its package, whether exact.
fn stock<'a>(m: &'a Material, job: &Job) -> Vec<(Stock, &'a Pack, bool)> {
    let turns = |p: &&Pack| p.size <= job.house.longest_stock_ft + 1e-9;
    let mut out = Vec::new();
    for p in m.packs.iter().filter(turns) {
        let whole = Length::from_feet(p.size);
        if whole > m.short {
            out.push((Stock { length: Length(whole.0 - m.short.0), price: cents(p.price) }, p, false));
        }
        if m.exact > 0.0 && m.short > Length::ZERO {
            out.push((Stock { length: whole, price: cents(p.price * (1.0 + m.exact)) }, p, true));
        }
    }
    out
}

/// Pieces of a profile for one row of a plan, names and all.
fn pieces(m: &Material, job: &Job, p: &InPlan) -> Vec<Piece> {
    let Some((r, s)) = p.at else { return Vec::new() };
    let (room, surface) = (&job.rooms[r], &job.rooms[r].surfaces[s]);
    let head = match job.rooms.len() {
        1 => String::new(),
        _ => format!("{}, ", if room.name.is_empty() { &room.id } else { &room.name }),
    };
    let piece = |what: String, l: i64| Piece { name: format!("{head}{what}"), length: up(Length(l), job.units) };
    let openings = |of: &dyn Fn(&Cased) -> bool, each: &dyn Fn(&Cased) -> Vec<(&'static str, i64)>| {
        let mut out = Vec::new();
        for o in cased(room, surface).iter().filter(|o| of(o)) {
            for n in 0..o.count.min(MOST as u32) {
                let which = if o.count > 1 { format!(" {}", n + 1) } else { String::new() };
                let one = |(what, l): (&str, i64)| piece(format!("{what} of {}{which}, wall {}", o.label, o.wall), l);
                out.extend(each(o).into_iter().map(one));
            }
        }
        out
    };
    let window = |o: &Cased| o.kind == OpeningKind::Window;
    let has_casing = |o: &Cased| o.casing > Length::ZERO;
    match m.cut {
        Cut::None | Cut::Back => Vec::new(),
        Cut::Run | Cut::Joined => stretches(room, surface)
            .iter()
            .map(|x| {
                let part = if x.part > 0 { format!(", piece {}", x.part) } else { String::new() };
                piece(format!("wall {}{part}", x.wall), long_point(x.length, x.ends, m.off_wall).0)
            })
            .collect(),
        Cut::Casing => {
            let windows = p.counted(m) == "stools";
            openings(&|o| window(o) == windows && has_casing(o), &|o| {
                let leg = o.height.0 + REVEAL.0 + o.casing.0;
                let head = o.width.0 + 2 * REVEAL.0 + 2 * o.casing.0;
                vec![("leg", leg), ("leg", leg), ("head", head)]
            })
        }
        Cut::Jamb => openings(&window, &|o| vec![("side", o.height.0), ("side", o.height.0), ("head", o.width.0)]),
        Cut::Stool => {
            openings(&|o| window(o) && has_casing(o), &|o| vec![("stool", o.width.0 + 2 * o.casing.0 + 2 * HORN.0)])
        }
        Cut::Apron => openings(&|o| window(o) && has_casing(o), &|o| vec![("apron", o.width.0 + 2 * o.casing.0)]),
        Cut::Frame => {
            let mut out = Vec::new();
            for row in panel_rows(room, surface) {
                let wall = if row.wall.is_empty() { String::new() } else { format!(", wall {}", row.wall) };
                let rail = (row.width.0 - 2 * m.wide.0).max(0);
                for n in 1..=row.count.min(MOST as u32) {
                    for (what, l) in [("stile", row.height.0), ("stile", row.height.0), ("rail", rail), ("rail", rail)]
                    {
                        out.push(piece(format!("{what} of panel {n}{wall}"), l));
                    }
                }
            }
            out
        }
    }
}

/// So many of the pieces as a share of the step asks for, the longest first; at least one.
fn part_of(mut all: Vec<Piece>, part: f64) -> Vec<Piece> {
    if part < 1.0 {
        let n = libm::ceil(all.len() as f64 * part - 1e-9).max(1.0) as usize;
        all.sort_by_key(|p| std::cmp::Reverse(p.length));
        all.truncate(n);
    }
    all
}

/// The row of a profile.
pub(super) fn row(m: &Material, job: &Job, mine: &[&InPlan], kerf: Length, left: &mut Vec<String>) -> Option<BuyRow> {
    let mut out = blank(m);
    let on_offer = stock(m, job);
    let longest = on_offer.iter().map(|s| s.0.length).max().unwrap_or(Length::ZERO);
    let style = job.units.style();
    if on_offer.is_empty() {
        left.push(format!(
            "{}: no length sold turns on the stairs; add a shorter one, or look at longest_stock_ft of the house",
            m.name
        ));
        return None;
    }
    let mut all: Vec<Piece> = Vec::new();
    let mut joined = false;
    for p in mine {
        out.steps.push(p.step);
        let wanted = part_of(pieces(m, job, p), p.part);
        if p.part < 1.0 && !wanted.is_empty() {
            out.notes.push(format!("{}: which pieces is not known before, so the longest are counted", p.name));
        }
        let sum: i64 = wanted.iter().map(|x| x.length.0).sum();
        if sum > 0 {
            let what = format!("{}: {} pieces", p.name, wanted.len());
            out.formula.push(Share { what, less: false, factors: vec![Factor::Length(Length(sum))] });
        }
        for x in wanted.into_iter().filter(|x| x.length > Length::ZERO) {
            let run = matches!(m.cut, Cut::Run | Cut::Joined);
            let parts = if x.length <= longest { Some(vec![x.length]) } else { scarfed(x.length, longest, m.scarf) };
            match parts.filter(|p| p.len() == 1 || run) {
                Some(parts) if parts.len() == 1 => all.push(x),
                Some(parts) => {
                    if m.cut == Cut::Run {
                        out.notes.push(format!(
                            "{}: {} is longer than the longest stock, {}: scarfed in {} parts, {} lost in each joint",
                            x.name,
                            x.length.print(style),
                            longest.print(style),
                            parts.len(),
                            m.scarf.print(style)
                        ));
                    }
                    joined |= m.cut == Cut::Joined;
                    let n = parts.len();
                    let part = |(i, l): (usize, Length)| Piece {
                        name: format!("{}, part {} of {n}", x.name, i + 1),
                        length: up(l, job.units).min(longest),
                    };
                    all.extend(parts.into_iter().enumerate().map(part));
                }
                None => left.push(format!(
                    "{}: {} is {}, the longest stock that turns on the stairs {}; add a longer length, or longest_stock_ft of the house",
                    m.name,
                    x.name,
                    x.length.print(style),
                    longest.print(style)
                )),
            }
        }
    }
    if all.len() > MOST {
        left.push(format!("{}: more than {MOST} pieces; look at the counts of panels and openings", m.name));
        return None;
    }
    if all.is_empty() {
        return None;
    }
    out.need = all.iter().map(|p| p.length.feet()).sum();
    let wanted: Vec<Wanted> = all.iter().map(|p| Wanted { length: p.length, count: 1 }).collect();
    let offered: Vec<Stock> = on_offer.iter().map(|s| s.0).collect();
    let done = match cut(&wanted, &offered, kerf) {
        Ok(done) => done,
        Err(Uncut::TooLong(_) | Uncut::NoMeasure) => {
            left.push(format!("{}: cannot be cut from the lengths sold; look at its packs and short", m.name));
            return None;
        }
    };
    // What is joined anywhere is cut here in equal parts; other parts may cost less, but never less than its length.
    let by_length = || {
        let sold: Vec<(f64, Money)> = offered.iter().map(|s| (s.length.feet(), s.price)).collect();
        at_least(out.need, &sold)
    };
    let bound = if joined { done.bound.min(by_length()) } else { done.bound };
    out.proven = done.cost <= bound;
    out.gap = done.cost - bound.min(done.cost);
    for s in done.sticks.iter().flat_map(|s| (0..s.times).map(move |_| s)) {
        let (stock, pack, exact) = on_offer[s.stock];
        let cuts: Vec<Piece> = s.pieces.iter().map(|&i| all[i].clone()).collect();
        let used: i64 = cuts.iter().map(|p| p.length.0 + kerf.0).sum();
        out.sticks.push(CutStick {
            nominal: Length::from_feet(pack.size),
            usable: stock.length,
            exact,
            pieces: cuts,
            offcut: Length((stock.length.0 - used).max(0)),
        });
        put(&mut out.packs, pack, stock.price, exact, 0);
    }
    // The spare is a stick of the longest length bought.
    let most = on_offer.iter().filter(|s| out.packs.iter().any(|b| b.size == s.1.size));
    if let Some((stock, pack, exact)) = most.filter(|s| !s.2).max_by(|a, b| a.1.size.total_cmp(&b.1.size))
        && m.spare > 0
    {
        put(&mut out.packs, pack, stock.price, *exact, m.spare);
    }
    out.packs.sort_by(|a, b| b.size.total_cmp(&a.size).then(a.exact.cmp(&b.exact)));
    out.amount = out.packs.iter().map(|b| b.size * f64::from(b.count)).sum();
    out.cost = cost(&out.packs);
    Some(out)
}

/// One stick more of a length, or `spare` of them beside those cut.
fn put(packs: &mut Vec<Bought>, pack: &Pack, price: Money, exact: bool, spare: u32) {
    let more = spare.max(1);
    match packs.iter_mut().find(|b| b.size == pack.size && b.exact == exact) {
        Some(b) => {
            b.count += more;
            b.spare += spare;
        }
        None => packs.push(Bought { count: more, size: pack.size, wide: 0.0, price, exact, spare }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inch(x: f64) -> Length {
        Length::from_inches(x)
    }

    #[test]
    fn an_outside_corner_adds_the_long_point() {
        let long = |ends| long_point(inch(100.0), ends, inch(3.25)).inches();
        assert_eq!(long([End::Inside, End::Plain]), 100.0);
        // tan 45 = 1; at 45 degrees of turn tan 22.5 = 0.41421 (a table of tangents).
        assert_eq!(long([End::Outside(90.0), End::Inside]), 103.25);
        assert_eq!(long([End::Outside(90.0), End::Outside(90.0)]), 106.5);
        assert!((long([End::Outside(45.0), End::Plain]) - 100.0 - 3.25 * 0.414_214).abs() < 1e-5);
    }

    #[test]
    fn a_scarf_only_where_the_stock_is_too_short() {
        let parts = |l: f64| scarfed(inch(l), inch(186.0), inch(1.0)).expect("parts");
        assert_eq!(parts(186.0), [inch(186.0)]);
        // 200 in and the inch lost: two of 100-1/2.
        assert_eq!(parts(200.0), [inch(100.5), inch(100.5)]);
        // Two of 186 reach 371, no more.
        assert_eq!((parts(371.0).len(), parts(371.1).len()), (2, 3));
        assert!(scarfed(inch(2.0), inch(1.0), inch(1.0)).is_none());
        assert!(scarfed(inch(20_000.0), Length(inch(1.0).0 + 1), inch(1.0)).is_none());
    }

    #[test]
    fn lengths_round_up_to_what_can_be_marked() {
        assert_eq!(up(inch(10.01), Units::FeetInches).inches(), 10.0625);
        assert_eq!(up(inch(10.0625), Units::FeetInches).inches(), 10.0625);
        assert_eq!(up(Length::from_mm(100.2), Units::Metric).mm(), 101.0);
    }
}
