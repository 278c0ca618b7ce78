//! Marks of one step in its row: block, wedge, bracket, chalk line, peg, and a folded room.

use super::layout::{Draft, line, rect};
use super::pack::Item;
use super::{Area, Block, Corner, Kind, Pos, Role, Shape, Site, Target};
use crate::clock::At;
use crate::views::face::Weight;

/// Height of a block, of a stretch nobody works on.
const BLOCK: f32 = 14.0;
const THIN: f32 = 6.0;
/// Height of a block at most, and what its row keeps free above and below it.
const MOST_BLOCK: f32 = 22.0;
const ROW_AIR: f32 = 12.0;

/// Shapes that lie under all blocks, and the block's own.
#[derive(Default)]
pub(super) struct Marks {
    pub under: Vec<Shape>,
    pub over: Vec<Shape>,
}

fn corner(site: Site) -> Corner {
    match site {
        Site::Shop => Corner::Notched,
        Site::Booth => Corner::Rounded,
        Site::Room | Site::Away => Corner::Plain,
    }
}

/// The wedge behind a block that stands on `bottom`, `high` at its beginning.
fn wedge(d: &Draft, b: &Block, from: f32, bottom: f32, high: f32) -> Option<[Shape; 2]> {
    let w = b.wedge.as_ref()?;
    let mut points: Vec<Pos> = vec![Pos { x: from, y: bottom }];
    let top = |&(at, share): &(At, f32)| Pos { x: d.x(at).max(from), y: bottom - share * high };
    points.extend(w.left.iter().map(top));
    let end = Pos { x: d.x(w.dry).max(from), y: bottom };
    points.push(end);
    let dot = Shape::Dot { at: Pos { x: end.x, y: bottom - 1.5 * d.s }, radius: 2.0 * d.s, role: Role::Ready(b.site) };
    Some([Shape::Poly { points, role: Role::Drying(b.site) }, dot])
}

/// The pieces near the selected one, or all, that a step works in.
fn chalked(d: &Draft, b: &Block) -> Vec<(At, At)> {
    let m = d.m;
    let near: Vec<usize> = if d.ask.whole_chalk {
        (0..m.pieces.len()).collect()
    } else {
        let chosen = d.ask.selected.and_then(|s| m.piece_of(s));
        chosen.map_or(Vec::new(), |p| (p.saturating_sub(1)..(p + 2).min(m.pieces.len())).collect())
    };
    let of = |p: usize| {
        let p = &m.pieces[p];
        let works = matches!(p.kind, Kind::Hands | Kind::Coming) && p.steps.contains(&b.step);
        let dries = p.kind == Kind::Drying && (p.by == Some(b.step) || (p.by.is_none() && p.steps.contains(&b.step)));
        // A piece may be several steps' work: this one's share of it.
        let last = b.runs.last().map_or(b.end, |r| r.1);
        let (from, to) = if works { (p.from.max(b.begin), p.to.min(last)) } else { (p.from, p.to) };
        ((works || dries) && from < to).then_some((from, to))
    };
    near.into_iter().filter_map(of).collect()
}

/// The marks of a step whose row has its middle at `y`; its band ends at `ends.0`, the
/// lowest it covers at `ends.1`.
pub(super) fn block(d: &mut Draft, item: &Item, y: f32, ends: (f32, f32)) -> Marks {
    let b = &d.m.blocks[item.block];
    let mut out = Marks::default();
    let left = d.out.left;
    // In a high row a block is higher too.
    let tall = (d.row - ROW_AIR * d.s).clamp(BLOCK * d.s, MOST_BLOCK * d.s);
    let high = if b.hands { tall } else { THIN * d.s };
    let (top, bottom) = (y - high / 2.0, y + high / 2.0);
    let areas: Vec<Area> = item.runs.iter().map(|r| Area::new(left + r.0, top, left + r.1, bottom)).collect();
    let Some(first) = areas.first().copied() else { return out };
    if b.lowest > b.band {
        let x = first.x + 1.5;
        out.under.push(line(x, bottom, x, ends.1 - 3.0, 1.0, Role::Bracket));
        out.under.push(line(x, ends.1 - 3.0, x + 5.0 * d.s, ends.1 - 3.0, 1.0, Role::Bracket));
    }
    let last = areas.last().map_or(first.right(), Area::right);
    out.over.extend(wedge(d, b, last, bottom, high).into_iter().flatten());
    for at in &areas {
        let role = if b.hands { Role::Block { site: b.site, done: b.done } } else { Role::Waiting(b.site) };
        out.over.push(Shape::Rect { at: *at, corner: corner(b.site), role });
        let tick = Area { x: at.x + at.w / 2.0 - 4.5 * d.s, y: y - 3.5 * d.s, w: 9.0 * d.s, h: 7.0 * d.s };
        if b.done && b.hands && at.w >= tick.w + 3.0 {
            out.over.push(Shape::Tick { at: tick, role: Role::Block { site: b.site, done: true } });
        }
    }
    for (from, to) in chalked(d, b) {
        // Through the block where it works, along its foot where it dries.
        let foot = if from >= b.end { bottom } else { y };
        out.over.push(line(d.x(from), foot, d.x(to).max(d.x(from) + 4.0), foot, 2.0, Role::Chalk));
    }
    if d.ask.selected == Some(b.step) {
        let around = |a: &Area| Area { x: a.x - 2.0, y: a.y - 2.0, w: a.w + 4.0, h: a.h + 4.0 };
        out.over.extend(areas.iter().map(|a| rect(around(a), Role::Selected)));
    }
    if b.held_back {
        let peg = Area { x: first.x - 4.0, y: top - 5.0, w: 8.0, h: 8.0 };
        out.over.push(rect(peg, Role::Peg));
    }
    let step = b.step;
    let held = b.held_back;
    for at in areas {
        d.hit(at, Target::Block(item.block));
    }
    if held {
        d.hit(Area { x: first.x - 6.0, y: top - 7.0, w: 12.0, h: 12.0 }, Target::Peg(step));
    }
    out
}

/// A room's row when another is open: work, drying, and the day it is done.
pub(super) fn folded(d: &mut Draft, room: usize, top: f32, h: f32) -> Vec<Shape> {
    let r = &d.m.rooms[room];
    let mid = top + h / 2.0;
    let mut out = Vec::new();
    for &(from, to) in &r.drying {
        let at = Area::new(d.x(from), mid + 2.0 * d.s, d.x(to).max(d.x(from) + 1.0), mid + 6.0 * d.s);
        out.push(rect(at, Role::Drying(Site::Room)));
        // When the room can be gone on with.
        let ready = Pos { x: at.right(), y: mid + 5.0 * d.s };
        out.push(Shape::Dot { at: ready, radius: 1.5 * d.s, role: Role::Ready(Site::Room) });
    }
    let now = d.m.now.as_ref().map(|n| n.at);
    for &(from, to) in &r.work {
        let at = Area::new(d.x(from), mid - 6.0 * d.s, d.x(to).max(d.x(from) + 2.0), mid + 1.0 * d.s);
        out.push(rect(at, Role::Block { site: Site::Room, done: now.is_some_and(|n| to <= n) }));
    }
    if let Some(last) = r.work.last() {
        let dry = r.drying.last().map_or(last.1, |w| w.1.max(last.1));
        let (x, w) = (d.x(dry) + 5.0, d.wide(&r.done, 10.5, Weight::Regular));
        if x + w <= d.out.zones.bands.right() {
            out.push(d.text(x, mid, &r.done, 10.5, Weight::Regular, Role::Faint));
            d.hit(Area::new(x, top + 2.0, x + w, top + h - 2.0), Target::Done(room));
        }
    }
    out
}
