//! Rows of a band: where each block lies and where its name stands.
//!
//! Blocks go in order of begin into the first row where they cover nothing placed before,
//! wedges included; the rows are then those of an interval graph. Steps that hold the date
//! keep room for their names while they are placed; the other names take what is left. A
//! name stands inside its block, right of its wedge, above it or left of it, cut to whole
//! words if need be. What finds no row or no room is reported, never drawn over another.

use super::{Area, Label, Stand};
use crate::views::face::{self, Weight};

/// A step to be placed, pixels of the time axis.
#[derive(Clone, Debug)]
pub struct Item {
    /// Index of the block.
    pub block: usize,
    /// Each stretch worked, at least the least width wide.
    pub runs: Vec<(f32, f32)>,
    /// Where its wedge ends, its dot counted in; the end of its last stretch without one.
    pub end: f32,
    /// The name in full, then cut, longest first.
    pub names: Vec<String>,
    /// Drawn as a line: no name stands inside.
    pub thin: bool,
    /// Selected first, then what holds the date, then the rest in order of begin.
    pub rank: u8,
}

impl Item {
    fn from(&self) -> f32 {
        self.runs.first().map_or(0.0, |r| r.0)
    }
    fn worked_to(&self) -> f32 {
        self.runs.last().map_or(0.0, |r| r.1)
    }
}

/// A name to be put: where it stands, its left end, its words.
type Named = (Stand, f32, String);

/// Where an item went.
#[derive(Clone, Debug)]
pub struct Put {
    pub item: usize,
    pub row: usize,
    pub name: Option<(Stand, usize, f32, String)>,
}

/// A band packed.
#[derive(Clone, Debug, Default)]
pub struct Packed {
    pub rows: usize,
    pub put: Vec<Put>,
    /// Items without a row.
    pub hidden: Vec<usize>,
}

/// Sizes of names, pixels.
#[derive(Clone, Copy, Debug)]
pub struct Names {
    pub size: f32,
    /// The time axis ends here.
    pub width: f32,
}

/// Space kept between two things in a row.
const APART: f32 = 2.0;
/// How often a name that makes way may itself have another make way.
const FURTHER: u8 = 1;
/// Space between a block and its name.
const BESIDE: f32 = 4.0;

impl Names {
    fn width(&self, text: &str) -> f32 {
        face::width(text, self.size, Weight::Regular)
    }
}

/// The name, the name without what its band is called, and their cuts at whole words,
/// longest first; no cut under four letters.
pub fn cuts(name: &str, band: &str) -> Vec<String> {
    let mut out = vec![name.to_string()];
    let small = band.to_lowercase();
    let other = |w: &&str| w.to_lowercase().trim_end_matches('s') != small.trim_end_matches('s');
    let bare: Vec<&str> = name.split(' ').filter(other).collect();
    let weak = ["a", "the", "to", "and", "in", "on", "of", "off", "with", "for", "first", "second"];
    let cut = |words: &[&str], whole: bool| {
        let text = words.join(" ");
        let last = words.last().copied().unwrap_or_default();
        let fits = text.chars().count() >= 4 && text.to_lowercase() != small;
        (fits && !weak.contains(&last.to_lowercase().as_str())).then(|| if whole { text } else { format!("{text}…") })
    };
    let all: Vec<&str> = name.split(' ').collect();
    // What is left must still say what is done, not where; nothing is taken out of the middle.
    let begins = !bare.is_empty() && all.starts_with(&bare);
    if begins && bare.len() < all.len() {
        out.extend(cut(&bare, true));
    }
    for words in [&all, &bare] {
        if begins || words.len() == all.len() {
            out.extend((1..words.len()).rev().filter_map(|n| cut(&words[..n], false)));
        }
    }
    out.sort_by_key(|t| std::cmp::Reverse(t.chars().count()));
    out.dedup();
    // The name itself comes first, however long its cuts.
    out.retain(|t| t != name);
    out.insert(0, name.to_string());
    out
}

/// What lies in a row: blocks with their wedges, and names by the place of their owner.
#[derive(Clone, Debug, Default)]
struct Row {
    solid: Vec<(f32, f32)>,
    names: Vec<(f32, f32, usize)>,
}

fn clear(from: f32, to: f32, a: f32, b: f32) -> bool {
    to + APART <= a || b + APART <= from
}

impl Row {
    fn free(&self, from: f32, to: f32) -> bool {
        self.solid.iter().all(|&(a, b)| clear(from, to, a, b)) && self.names.iter().all(|n| clear(from, to, n.0, n.1))
    }
}

/// A name beside its block in the row the block is in, if there is room.
fn beside(item: &Item, row: &Row, names: &Names) -> Option<Named> {
    let cuts = &item.names;
    cuts.first()?;
    let widest = item.runs.iter().copied().reduce(|a, b| if b.1 - b.0 > a.1 - a.0 { b } else { a })?;
    if !item.thin && names.width(&cuts[0]) + 8.0 <= widest.1 - widest.0 {
        return Some((Stand::Inside, widest.0 + 4.0, cuts[0].clone()));
    }
    for cut in cuts {
        let w = names.width(cut);
        let right = item.end + BESIDE;
        if right + w <= names.width && row.free(right, right + w) {
            return Some((Stand::Right, right, cut.clone()));
        }
        let left = item.from() - BESIDE - w;
        if left >= 0.0 && row.free(left, left + w) {
            return Some((Stand::Left, left, cut.clone()));
        }
    }
    None
}

/// Packs items (in order of begin) into at most `cap` rows. With `named` false no name
/// claims a row: the fewest rows the blocks need.
pub fn pack(items: &[Item], cap: usize, names: &Names, named: bool) -> Packed {
    let cap = cap.max(1);
    let mut rows: Vec<Row> = Vec::new();
    let mut out = Packed::default();
    for (i, item) in items.iter().enumerate() {
        let wants = named && item.rank < 2;
        let mut best: Option<(u8, usize, Option<Named>)> = None;
        let empty = Row::default();
        for r in 0..(rows.len() + 1).min(cap) {
            let row = rows.get(r).unwrap_or(&empty);
            if !row.free(item.from(), item.end) {
                continue;
            }
            let name = if wants { beside(item, row, names) } else { None };
            let cost = match &name {
                _ if !wants => 0,
                Some((_, _, t)) if Some(t) == item.names.first() => 0,
                Some(_) => 1,
                None => 2,
            };
            if best.as_ref().is_none_or(|b| cost < b.0) {
                best = Some((cost, r, name));
            }
        }
        let (row, name) = match best {
            Some((_, row, name)) => (row, name),
            // A block is worth more than a name, and more than the thin end of a wedge.
            None => match (0..rows.len())
                .find(|&r| rows[r].solid.iter().all(|&(a, b)| clear(item.from(), item.end, a, b)))
                .or_else(|| (0..rows.len()).find(|&r| over_wedges(items, &out, item, r)))
            {
                Some(row) => {
                    rows[row].names.retain(|&(a, b, owner)| {
                        let stays = clear(item.from(), item.end, a, b);
                        if !stays {
                            out.put[owner].name = None;
                        }
                        stays
                    });
                    (row, None)
                }
                None => {
                    out.hidden.push(i);
                    continue;
                }
            },
        };
        if row == rows.len() {
            rows.push(Row::default());
        }
        rows[row].solid.push((item.from(), item.end));
        if let Some((stand, x, text)) = &name
            && *stand != Stand::Inside
        {
            rows[row].names.push((*x, x + names.width(text), out.put.len()));
        }
        out.put.push(Put { item: i, row, name: name.map(|(s, x, t)| (s, row, x, t)) });
    }
    out.rows = rows.len().max(1);
    if named {
        rest(items, &mut rows, names, &mut out);
    }
    out
}

/// Whether a block covers no other's work in a row, only the thin end of a wedge.
fn over_wedges(items: &[Item], out: &Packed, item: &Item, row: usize) -> bool {
    let here = out.put.iter().filter(|p| p.row == row);
    here.flat_map(|p| &items[p.item].runs).all(|&(a, b)| clear(item.from(), item.worked_to(), a, b))
}

/// Names for those still without one: beside the block, or in the row above it. For what
/// holds the date a name that is in the way is cut shorter or goes elsewhere.
fn rest(items: &[Item], rows: &mut [Row], names: &Names, out: &mut Packed) {
    let mut order: Vec<usize> = (0..out.put.len()).filter(|&k| out.put[k].name.is_none()).collect();
    order.sort_by_key(|&k| (items[out.put[k].item].rank, k));
    for k in order {
        let item = &items[out.put[k].item];
        if let Some(spot) = free_spot(item, out.put[k].row, rows, names) {
            take(k, spot, rows, names, out);
        } else if item.rank < 2 {
            make_way(k, items, rows, names, out, FURTHER);
        }
    }
}

/// A name with the row it stands in.
type Spot = (Stand, usize, f32, String);

/// The first place for a name in which nothing is in its way.
fn free_spot(item: &Item, row: usize, rows: &[Row], names: &Names) -> Option<Spot> {
    if let Some((stand, x, text)) = beside(item, &rows[row], names) {
        return Some((stand, row, x, text));
    }
    above(item, row, names).find(|s| rows[s.1].free(s.2, s.2 + names.width(&s.3)))
}

/// Places in the row above: over the block, begun with it or ended with it.
fn above<'a>(item: &'a Item, row: usize, names: &'a Names) -> impl Iterator<Item = Spot> + 'a {
    let cuts = if row == 0 { &[][..] } else { &item.names[..] };
    cuts.iter().flat_map(move |cut| {
        let w = names.width(cut);
        let on = move |x: &f32| *x >= 0.0 && *x + w <= names.width;
        [item.from(), item.worked_to() - w].into_iter().filter(on).map(move |x| (Stand::Above, row - 1, x, cut.clone()))
    })
}

/// Places right and left of the block, whatever is there.
fn sides<'a>(item: &'a Item, row: usize, names: &'a Names) -> impl Iterator<Item = Spot> + 'a {
    item.names.iter().flat_map(move |cut| {
        let w = names.width(cut);
        let on = move |s: &Spot| s.2 >= 0.0 && s.2 + w <= names.width;
        let places = [(Stand::Right, item.end + BESIDE), (Stand::Left, item.from() - BESIDE - w)];
        places.into_iter().map(move |(stand, x)| (stand, row, x, cut.clone())).filter(on)
    })
}

/// Puts a name down.
fn take(k: usize, spot: Spot, rows: &mut [Row], names: &Names, out: &mut Packed) {
    if spot.0 != Stand::Inside {
        rows[spot.1].names.push((spot.2, spot.2 + names.width(&spot.3), k));
    }
    out.put[k].name = Some(spot);
}

/// Names a step in the first place where every name in its way finds another, or belongs to
/// a step that does not hold the date: in its own row, else in one it can move to.
fn make_way(k: usize, items: &[Item], rows: &mut [Row], names: &Names, out: &mut Packed, further: u8) -> bool {
    let (item, own) = (&items[out.put[k].item], out.put[k].row);
    let (from, end) = (item.from(), item.end);
    let others = (0..rows.len()).filter(|&r| r != own);
    for row in std::iter::once(own).chain(others) {
        if row != own && !rows[row].solid.iter().all(|&(a, b)| clear(from, end, a, b)) {
            continue;
        }
        for spot in sides(item, row, names).chain(above(item, row, names)) {
            let (x, to) = (spot.2, spot.2 + names.width(&spot.3));
            // Its own block leaves the row it stood in.
            let solid = |&&(a, b): &&(f32, f32)| row == own || spot.1 != own || (a, b) != (from, end);
            if !rows[spot.1].solid.iter().filter(solid).all(|&(a, b)| clear(x, to, a, b)) {
                continue;
            }
            let (mut tried, mut then) = (rows.to_vec(), out.clone());
            if row != own {
                tried[own].solid.retain(|&s| s != (from, end));
                tried[row].solid.push((from, end));
                then.put[k].row = row;
            }
            let covered = |r: usize, n: &(f32, f32, usize)| {
                (r == spot.1 && !clear(x, to, n.0, n.1)) || (r == row && !clear(from, end, n.0, n.1))
            };
            let mut way = Vec::new();
            for (r, in_row) in tried.iter_mut().enumerate() {
                way.extend(in_row.names.iter().filter(|n| covered(r, n)).map(|n| n.2));
                in_row.names.retain(|n| !covered(r, n));
            }
            way.iter().for_each(|&owner| then.put[owner].name = None);
            take(k, spot, &mut tried, names, &mut then);
            let all = way.iter().all(|&owner| {
                let (of, at) = (&items[then.put[owner].item], then.put[owner].row);
                match free_spot(of, at, &tried, names) {
                    Some(spot) => take(owner, spot, &mut tried, names, &mut then),
                    None if of.rank < 2 => {
                        return further > 0 && make_way(owner, items, &mut tried, names, &mut then, further - 1);
                    }
                    None => {}
                }
                true
            });
            if all {
                rows.clone_from_slice(&tried);
                *out = then;
                return true;
            }
        }
    }
    false
}

/// The area a name takes in a row whose middle is `y`.
pub fn label(block: usize, put: &(Stand, usize, f32, String), left: f32, y: f32, names: &Names) -> Label {
    let h = face::ascent(names.size, Weight::Regular) + face::descent(names.size, Weight::Regular);
    let (stand, _, x, text) = put;
    let at = Area { x: left + x, y: y - h / 2.0, w: names.width(text), h };
    Label { block, at, stand: *stand, text: text.clone() }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NAMES: Names = Names { size: 11.0, width: 600.0 };

    fn item(block: usize, from: f32, to: f32, end: f32, name: &str, rank: u8) -> Item {
        Item { block, runs: vec![(from, to)], end, names: cuts(name, ""), thin: false, rank }
    }

    #[test]
    fn names_are_cut_at_whole_words() {
        assert_eq!(cuts("Sand walls", "Base"), ["Sand walls", "Sand…"]);
        assert_eq!(cuts("Sand walls", "Walls"), ["Sand walls", "Sand…", "Sand"]);
        assert_eq!(
            cuts("Second full skim coat", "Walls"),
            ["Second full skim coat", "Second full skim…", "Second full…"].map(String::from)
        );
        assert_eq!(cuts("Take off casing and base", "")[..2], ["Take off casing and base", "Take off casing…"]);
        assert_eq!(cuts("Fill low spots on crown", "Crown")[..2], ["Fill low spots on crown", "Fill low spots…"]);
        assert_eq!(cuts("Crown backing", "Crown"), ["Crown backing"]);
        let coat = "First brushed coat on doors and panels";
        assert!(cuts(coat, "Doors").iter().all(|c| coat.starts_with(c.trim_end_matches('…'))));
        assert_eq!(cuts("", ""), [""]);
    }

    #[test]
    fn names_stand_inside_right_or_left() {
        let items = [
            item(0, 0.0, 90.0, 90.0, "Base", 1),
            item(1, 100.0, 110.0, 130.0, "Sand walls", 1),
            item(2, 585.0, 598.0, 598.0, "Clean up", 1),
        ];
        let p = pack(&items, 4, &NAMES, true);
        let stands: Vec<Stand> = p.put.iter().map(|p| p.name.as_ref().unwrap().0).collect();
        assert_eq!((stands, p.rows), (vec![Stand::Inside, Stand::Right, Stand::Left], 1));
    }

    #[test]
    fn a_name_that_would_be_covered_opens_a_row_or_goes_without() {
        let items = [item(0, 0.0, 10.0, 10.0, "A long name here", 1), item(1, 14.0, 24.0, 24.0, "Another long one", 1)];
        let p = pack(&items, 4, &NAMES, true);
        assert_eq!((p.rows, p.put[1].row), (2, 1));
        // In one row both blocks stay, and the name between them goes.
        let one = pack(&items, 1, &NAMES, true);
        assert!(one.rows == 1 && one.hidden.is_empty() && one.put[0].name.is_none(), "{one:?}");
        let same = [items[0].clone(), Item { block: 1, ..items[0].clone() }];
        assert_eq!(pack(&same, 1, &NAMES, true).hidden, [1]);
    }
}
