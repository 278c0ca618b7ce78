//! Sheets: how many backs of panels one gives, and how many sheets of which size.
//!
//! Rule: backs of one size are laid in straight rows and columns on a sheet, lengthwise or across,
//! whichever gives more; sizes do not share a sheet (common practice, no source). Never fewer
//! sheets than are needed, sometimes one more a size than a clever layout would take.

use super::packs::{at_least, cost};
use super::used::InPlan;
use super::{BuyRow, blank, cents};
use crate::job::Job;
use crate::measure::{Length, Money};
use crate::takeoff::{Factor, Share, panel_rows};
use crate::trade::{Material, Pack};

/// Pieces `width` by `height` out of one sheet, in rows all one way, `kerf` lost between them.
pub fn a_sheet(long: Length, wide: Length, width: Length, height: Length, kerf: Length) -> u32 {
    let fit = |room: Length, piece: Length| ((room.0 + kerf.0) / (piece.0 + kerf.0).max(1)).max(0);
    if width.0 <= 0 || height.0 <= 0 {
        return 0;
    }
    let straight = fit(wide, width) * fit(long, height);
    let turned = fit(wide, height) * fit(long, width);
    straight.max(turned).min(i64::from(u32::MAX)) as u32
}

/// The row of a sheet material.
pub(super) fn row(m: &Material, job: &Job, mine: &[&InPlan], kerf: Length, left: &mut Vec<String>) -> Option<BuyRow> {
    let mut out = blank(m);
    // Width, height, how many, whose.
    let mut sizes: Vec<(Length, Length, u32, String)> = Vec::new();
    for p in mine {
        let Some((r, s)) = p.at else { continue };
        let room = &job.rooms[r];
        out.steps.push(p.step);
        for panel in panel_rows(room, &room.surfaces[s]) {
            let count = libm::ceil(f64::from(panel.count) * p.part - 1e-9).max(0.0) as u32;
            let whose = if room.name.is_empty() { &room.id } else { &room.name };
            match sizes.iter_mut().find(|x| x.0 == panel.width && x.1 == panel.height) {
                Some(x) => x.2 += count,
                None => sizes.push((panel.width, panel.height, count, whose.clone())),
            }
        }
    }
    let mut area = 0.0;
    for (width, height, count, whose) in sizes {
        let best = m
            .packs
            .iter()
            .filter_map(|p| {
                let per = a_sheet(Length::from_feet(p.size), Length::from_feet(p.wide), width, height, kerf);
                (per > 0).then(|| (p, per, count.div_ceil(per)))
            })
            .min_by_key(|(p, _, n)| cents(p.price).0 * i64::from(*n));
        let style = job.units.style();
        let what = format!("{} x {}", width.print(style), height.print(style));
        let Some((pack, per, n)) = best else {
            left.push(format!("{}: a back of {what} ({whose}) fits no sheet sold; add a larger one", m.name));
            continue;
        };
        let factors = vec![Factor::Number(f64::from(count))];
        out.formula.push(Share { what: format!("backs {what}, {per} a sheet"), less: false, factors });
        let (backs, sheets) = (if count == 1 { "back" } else { "backs" }, if n == 1 { "sheet" } else { "sheets" });
        out.notes.push(format!("{count} {backs} of {what}: {per} fit on a sheet, so {n} {sheets}"));
        out.need += f64::from(count) / f64::from(per);
        area += width.feet() * height.feet() * f64::from(count);
        put(&mut out, pack, n);
    }
    if out.packs.is_empty() {
        return None;
    }
    if out.formula.len() > 1 {
        out.notes.push("counted with one size of back on a sheet, all laid the same way".into());
    }
    out.amount = out.packs.iter().map(|b| f64::from(b.count)).sum();
    out.cost = cost(&out.packs);
    // No layout of the same area costs less than whole sheets of it.
    let sold: Vec<(f64, Money)> = m.packs.iter().map(|p| (p.size * p.wide, cents(p.price))).collect();
    let bound = at_least(area, &sold);
    out.proven = out.cost <= bound;
    out.gap = out.cost - bound.min(out.cost);
    Some(out)
}

fn put(out: &mut BuyRow, pack: &Pack, n: u32) {
    match out.packs.iter_mut().find(|b| b.size == pack.size && b.wide == pack.wide) {
        Some(b) => b.count += n,
        None => out.packs.push(super::Bought {
            count: n,
            size: pack.size,
            wide: pack.wide,
            price: cents(pack.price),
            exact: false,
            spare: 0,
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn backs_out_of_a_sheet_by_hand() {
        let sheet = |w: f64, h: f64| {
            let inch = Length::from_inches;
            a_sheet(inch(96.0), inch(48.0), inch(w), inch(h), inch(0.125))
        };
        // 46 x 36 in on 48 x 96: two beneath each other either way.
        assert_eq!(sheet(46.0, 36.0), 2);
        // 24 in twice and the cut between are more than 48, so three lie across; a little less and
        // two columns of three fit.
        assert_eq!((sheet(24.0, 32.0), sheet(23.875, 31.875)), (3, 6));
        // A whole sheet loses nothing to the saw; anything larger is none.
        assert_eq!((sheet(48.0, 96.0), sheet(96.0, 48.0), sheet(49.0, 49.0), sheet(0.0, 4.0)), (1, 1, 0, 0));
    }
}
