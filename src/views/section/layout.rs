//! Positions of everything the section shows.
//!
//! From top to bottom: months and days, the ribbon of what holds the date, a strip for the
//! names of the day lines, the bands (which scroll), the tape of odds, a lane a person, the
//! legend. Left of them the room in section and the names of the bands. Rows are at least
//! [`ROW`] pixels high and share what height is to spare; a band has at most [`MOST_ROWS`].
//! When the bands do not fit, names give up their rows before blocks do, and then the bands
//! scroll. All of it times the text scale.

use super::frame;
use super::marks;
use super::pack::{Item, Names, Packed, cuts, label, pack};
use super::room;
use super::{Area, Block, Corner, Hit, Layer, Layout, Level, Model, Pos, Role, Scale, Shape, Stand};
use super::{Target, Zones};
use crate::views::face::{self, Weight};

/// Least height of a row, pixels.
const ROW: f32 = 22.0;
/// Rows of a band before the rest is counted in `+n`.
const MOST_ROWS: usize = 4;
/// Height of a row at most: beyond it a row is no easier to read.
const MOST_ROW: f32 = 44.0;
/// Height of a band without steps, of a folded room, of an open room's title.
const EMPTY: f32 = 8.0;
const FOLDED: f32 = 26.0;
const TITLE: f32 = 20.0;
/// Least width of a block.
const LEAST_BLOCK: f32 = 6.0;
/// Least area that answers to a pointer.
pub(super) const LEAST_HIT: (f32, f32) = (24.0, 22.0);
/// Space around everything.
pub(super) const PAD: f32 = 8.0;

/// What a layout is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ask {
    pub width: f32,
    pub height: f32,
    pub text_scale: f32,
    /// Pixels a working day; `None` fits all of the job into the width.
    pub zoom: Option<f32>,
    pub scroll_x: f32,
    pub scroll_y: f32,
    /// Every minute as wide as every other.
    pub plain_time: bool,
    /// Step selected, index in the graph.
    pub selected: Option<usize>,
    /// The chalk line through all of what holds the date, not only the selected stretch.
    pub whole_chalk: bool,
    /// Which of the model's rooms is unfolded.
    pub unfolded: usize,
    /// Whether the lanes of the people are shown.
    pub lanes: bool,
}

impl Default for Ask {
    fn default() -> Self {
        Ask {
            width: 930.0,
            height: 560.0,
            text_scale: 1.0,
            zoom: None,
            scroll_x: 0.0,
            scroll_y: 0.0,
            plain_time: false,
            selected: None,
            whole_chalk: false,
            unfolded: 0,
            lanes: true,
        }
    }
}

/// A strip of the bands' window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Strip {
    Band(usize),
    Folded(usize),
    Title(usize),
    Floor,
}

/// A layout under way.
pub(super) struct Draft<'a> {
    pub m: &'a Model,
    pub ask: &'a Ask,
    /// Text scale, kept to what stays legible and useful.
    pub s: f32,
    pub out: Layout,
    /// Left end of the names of the bands.
    pub names_x: f32,
    /// Height of a row.
    pub row: f32,
}

impl Draft<'_> {
    /// Pixels of an instant on the section.
    pub fn x(&self, at: crate::clock::At) -> f32 {
        self.out.x(at)
    }

    /// Text placed by the left end of its baseline, its middle at `y`.
    pub fn text(&self, x: f32, y: f32, text: &str, size: f32, weight: Weight, role: Role) -> Shape {
        let size = size * self.s;
        let at = Pos { x, y: y + face::cap_height(size, weight) / 2.0 };
        Shape::Text { at, text: text.to_string(), size, weight, halo: false, role }
    }

    /// Width of a text.
    pub fn wide(&self, text: &str, size: f32, weight: Weight) -> f32 {
        face::width(text, size * self.s, weight)
    }

    /// An area that answers.
    pub fn hit(&mut self, core: Area, of: Target) {
        let at = core.at_least(LEAST_HIT.0, LEAST_HIT.1);
        self.out.hits.push(Hit { at, core, of });
    }

    pub fn many_rooms(&self) -> bool {
        self.m.rooms.len() > 1
    }

    /// The tag of a room with a blank behind it, where there are several.
    pub fn tag(&self, room: Option<usize>) -> String {
        match room.and_then(|r| self.m.rooms.get(r)) {
            Some(r) if self.many_rooms() => format!("{} ", r.tag),
            _ => String::new(),
        }
    }
}

/// A straight line.
pub(super) fn line(x1: f32, y1: f32, x2: f32, y2: f32, weight: f32, role: Role) -> Shape {
    Shape::Path { points: vec![Pos { x: x1, y: y1 }, Pos { x: x2, y: y2 }], weight, dotted: false, role }
}

pub(super) fn rect(at: Area, role: Role) -> Shape {
    Shape::Rect { at, corner: Corner::Plain, role }
}

/// Places everything.
pub fn layout(m: &Model, ask: &Ask) -> Layout {
    let s = ask.text_scale.clamp(0.5, 3.0);
    let (w, h) = (ask.width.max(1.0), ask.height.max(1.0));
    let left = (w * 0.2).clamp(150.0, 200.0) * s;
    let left = left.min(w * 0.45);
    let time_w = (w - left - PAD).max(20.0);
    let scale = match ask.zoom {
        None => Scale::Fit { width: f64::from(time_w), plain: ask.plain_time },
        Some(day) => Scale::Day { pixels: f64::from(day * s), plain: ask.plain_time },
    };
    let axis = m.axis(scale);
    let most_x = (axis.width() as f32 - time_w).max(0.0);
    let scroll_x = ask.scroll_x.clamp(0.0, most_x);
    let zones = zones(m, ask, s, (w, h), left);
    let out = Layout {
        width: w,
        height: h,
        zones,
        layers: Vec::new(),
        hits: Vec::new(),
        labels: Vec::new(),
        unnamed: Vec::new(),
        hidden: Vec::new(),
        open: Vec::new(),
        rooms: Vec::new(),
        axis,
        left: left - scroll_x,
        most_scroll: Pos { x: most_x, y: 0.0 },
        scroll: Pos { x: scroll_x, y: 0.0 },
    };
    let names_x = left - 76.0 * s;
    let mut d = Draft { m, ask, s, out, names_x, row: ROW * s };
    let mut bands = Bands::new(&d);
    bands.fit(&mut d);
    frame::ground(&mut d);
    bands.draw(&mut d);
    frame::header(&mut d);
    frame::ribbon(&mut d);
    frame::odds(&mut d);
    frame::lanes(&mut d);
    frame::legend(&mut d);
    d.out
}

/// The zones; the bands' window is as high as what remains, and shrinks to its bands later.
fn zones(m: &Model, ask: &Ask, s: f32, (w, h): (f32, f32), left: f32) -> Zones {
    let right = w - PAD;
    let mut y = 4.0 * s;
    let mut take = |high: f32| {
        let a = Area::new(left, y, right, y + high);
        y += high;
        a
    };
    let header = take(41.0 * s);
    let ribbon = take(20.0 * s);
    let strip = take(15.0 * s);
    let lanes = if ask.lanes && !m.lanes.is_empty() { m.lanes.len() as f32 * 20.0 * s + 4.0 * s } else { 0.0 };
    let (odds, legend) = (33.0 * s, 18.0 * s);
    let top = strip.bottom();
    let bottom = (h - legend - lanes - odds - 2.0 * s).max(top + 40.0 * s);
    let bands = Area::new(left, top, right, bottom);
    Zones {
        header,
        ribbon,
        bands,
        drawing: Area::new(PAD, top, left, bottom),
        odds: Area::new(left, bottom, right, bottom + odds),
        lanes: Area::new(left, bottom + odds, right, bottom + odds + lanes),
        legend: Area::new(left, bottom + odds + lanes, right, bottom + odds + lanes + legend),
    }
}

/// The bands with their rows.
struct Bands {
    /// Rooms that stand open.
    open: Vec<bool>,
    strips: Vec<Strip>,
    /// By band of the model.
    packed: Vec<Packed>,
    items: Vec<Vec<Item>>,
    names: Names,
    /// Height of a row.
    row: f32,
}

impl Bands {
    fn new(d: &Draft) -> Bands {
        let m = d.m;
        let mut open = vec![false; m.rooms.len()];
        if let Some(last) = m.rooms.len().checked_sub(1) {
            open[d.ask.unfolded.min(last)] = true;
        }
        let names = Names { size: 11.0 * d.s, width: d.out.axis.width().max(f64::from(d.out.zones.bands.w)) as f32 };
        let mut items: Vec<Vec<Item>> = vec![Vec::new(); m.bands.len()];
        for (i, b) in m.blocks.iter().enumerate() {
            items[b.band].push(item(d, i, b));
        }
        for list in &mut items {
            list.sort_by(|a, b| a.runs[0].0.total_cmp(&b.runs[0].0).then(a.block.cmp(&b.block)));
        }
        let packed = vec![Packed::default(); m.bands.len()];
        Bands { strips: Bands::strips(d, &open), open, packed, items, names, row: ROW * d.s }
    }

    /// What stands under each other while these rooms are open.
    fn strips(d: &Draft, open: &[bool]) -> Vec<Strip> {
        let m = d.m;
        let mut strips = Vec::new();
        let level = |want: fn(&Level) -> bool| (0..m.bands.len()).filter(move |&b| want(&m.bands[b].level));
        strips.extend(level(|l| *l == Level::Coming).map(Strip::Band));
        for r in 0..m.rooms.len() {
            if !open[r] {
                strips.push(Strip::Folded(r));
                continue;
            }
            if d.many_rooms() {
                strips.push(Strip::Title(r));
            }
            strips.extend(
                level(|l| matches!(l, Level::Part(_))).filter(|&b| m.bands[b].room == Some(r)).map(Strip::Band),
            );
        }
        strips.extend(level(|l| matches!(l, Level::Part(_))).filter(|&b| m.bands[b].room.is_none()).map(Strip::Band));
        let below: Vec<usize> = level(|l| matches!(l, Level::Shop | Level::Booth)).collect();
        if !below.is_empty() {
            strips.push(Strip::Floor);
            strips.extend(below.into_iter().map(Strip::Band));
        }
        strips
    }

    /// Bands that are shown, packed with their names.
    fn pack(&mut self) {
        for s in &self.strips {
            if let Strip::Band(b) = s
                && self.packed[*b].rows == 0
            {
                self.packed[*b] = pack(&self.items[*b], MOST_ROWS, &self.names, true);
            }
        }
    }

    /// Opens more rooms while everything still fits with all its names: those after the one
    /// chosen, then those before it.
    fn open_more(&mut self, d: &Draft, there: f32) {
        let chosen = d.ask.unfolded.min(self.open.len().saturating_sub(1));
        for r in (chosen + 1..self.open.len()).chain((0..chosen).rev()) {
            let mut open = self.open.clone();
            open[r] = true;
            let strips = Bands::strips(d, &open);
            let least = |s: &Strip| match s {
                Strip::Band(b) if self.packed[*b].rows == 0 && !self.items[*b].is_empty() => ROW * d.s,
                s => self.height(d, *s, ROW * d.s, &self.packed),
            };
            if strips.iter().map(least).sum::<f32>() > there {
                return;
            }
            let before = std::mem::replace(&mut self.strips, strips);
            self.pack();
            if self.total(d, ROW * d.s, &self.packed) > there {
                self.strips = before;
                return;
            }
            self.open = open;
        }
    }

    fn height(&self, d: &Draft, strip: Strip, row: f32, packed: &[Packed]) -> f32 {
        match strip {
            Strip::Band(b) if self.items[b].is_empty() => EMPTY * d.s,
            Strip::Band(b) => packed[b].rows as f32 * row,
            Strip::Folded(_) => FOLDED * d.s,
            Strip::Title(_) => TITLE * d.s,
            Strip::Floor => EMPTY * d.s,
        }
    }

    fn rows(&self, packed: &[Packed]) -> usize {
        let of = |s: &Strip| match s {
            Strip::Band(b) if !self.items[*b].is_empty() => packed[*b].rows,
            _ => 0,
        };
        self.strips.iter().map(of).sum()
    }

    fn total(&self, d: &Draft, row: f32, packed: &[Packed]) -> f32 {
        self.strips.iter().map(|&s| self.height(d, s, row, packed)).sum()
    }

    /// Packs the bands into the height there is, and draws the zones below them up to them.
    fn fit(&mut self, d: &mut Draft) {
        let there = d.out.zones.bands.h;
        let row = ROW * d.s;
        let names = self.names;
        self.pack();
        if self.total(d, row, &self.packed) < there {
            self.open_more(d, there);
        }
        let mut packed = std::mem::take(&mut self.packed);
        let mut least = vec![0; self.items.len()];
        if self.total(d, row, &packed) > there {
            for s in &self.strips {
                if let Strip::Band(b) = s {
                    least[*b] = pack(&self.items[*b], MOST_ROWS, &names, false).rows;
                }
            }
        }
        while self.total(d, row, &packed) > there {
            // The band whose names lose least by a row less gives one up.
            let shown = self.strips.iter().filter_map(|s| if let Strip::Band(b) = s { Some(*b) } else { None });
            let less = |b: usize| {
                let p = pack(&self.items[b], packed[b].rows - 1, &names, true);
                let lost = worth(&self.items[b], &packed[b]) - worth(&self.items[b], &p);
                (lost, std::cmp::Reverse(packed[b].rows), b, p)
            };
            let spare = shown.filter(|&b| packed[b].rows > least[b]).map(less);
            let Some((_, _, b, p)) = spare.min_by_key(|c| (c.0, c.1, c.2)) else { break };
            packed[b] = p;
        }
        self.packed = packed;
        let fixed = self.total(d, 0.0, &self.packed);
        let rows = self.rows(&self.packed).max(1) as f32;
        self.row = ((there - fixed) / rows).clamp(row, MOST_ROW * d.s);
        d.row = self.row;
        d.out.open = (0..self.open.len()).filter(|&r| self.open[r]).collect();
        let height = self.total(d, self.row, &self.packed);
        d.out.most_scroll.y = (height - there).max(0.0);
        d.out.scroll.y = d.ask.scroll_y.clamp(0.0, d.out.most_scroll.y);
        // What is not needed is left free below the legend.
        let up = (there - height).max(0.0);
        let z = &mut d.out.zones;
        z.bands.h -= up;
        z.drawing.h -= up;
        for zone in [&mut z.odds, &mut z.lanes, &mut z.legend] {
            zone.y -= up;
        }
    }

    /// Top of every strip on the section, the scroll taken off.
    fn tops(&self, d: &Draft) -> Vec<(Strip, f32, f32)> {
        let mut y = d.out.zones.bands.y - d.out.scroll.y;
        self.strips
            .iter()
            .map(|&s| {
                let h = self.height(d, s, self.row, &self.packed);
                y += h;
                (s, y - h, h)
            })
            .collect()
    }

    fn draw(&self, d: &mut Draft) {
        let tops = self.tops(d);
        let zone = d.out.zones.bands;
        let from = zone.y - d.out.scroll.y;
        let rooms = tops.iter().filter_map(|&(s, top, h)| match s {
            Strip::Folded(r) | Strip::Title(r) => Some((r, top - from, h)),
            _ => None,
        });
        d.out.rooms = rooms.collect();
        let (mut under, mut over, mut text) = (Vec::new(), Vec::new(), Vec::new());
        let bottom_of = |band: usize| tops.iter().find(|t| t.0 == Strip::Band(band)).map(|t| t.1 + t.2);
        for &(strip, top, h) in &tops {
            under.push(line(zone.x, top + h, zone.right(), top + h, 1.0, Role::BandRule));
            match strip {
                Strip::Band(b) => {
                    for put in &self.packed[b].put {
                        let block = self.items[b][put.item].block;
                        let y = top + (put.row as f32 + 0.5) * self.row;
                        let low = bottom_of(d.m.blocks[block].lowest).unwrap_or(top + h);
                        let mut shapes = marks::block(d, &self.items[b][put.item], y, (top + h, low));
                        under.append(&mut shapes.under);
                        over.append(&mut shapes.over);
                        match &put.name {
                            Some(name) => {
                                let y = top + (name.1 as f32 + 0.5) * self.row;
                                let l = label(block, name, d.out.left, y, &self.names);
                                let base = y + face::cap_height(self.names.size, Weight::Regular) / 2.0;
                                let at = Pos { x: l.at.x, y: base };
                                let halo = l.stand != Stand::Inside;
                                let (size, weight, role) = (self.names.size, Weight::Regular, Role::StepName);
                                text.push(Shape::Text { at, text: l.text.clone(), size, weight, halo, role });
                                d.out.labels.push(l);
                            }
                            None => d.out.unnamed.push(block),
                        }
                    }
                    d.out.hidden.extend(self.packed[b].hidden.iter().map(|&i| self.items[b][i].block));
                }
                Strip::Folded(r) => over.extend(marks::folded(d, r, top, h)),
                Strip::Title(_) => {}
                Strip::Floor => {
                    let y = top + h / 2.0;
                    let points = vec![Pos { x: zone.x, y }, Pos { x: zone.right(), y }];
                    under.push(Shape::Path { points, weight: 1.5, dotted: true, role: Role::Floor });
                }
            }
        }
        under.append(&mut over);
        under.append(&mut text);
        d.out.layers.push(Layer { clip: zone, shapes: under });
        self.left_side(d, &tops);
    }

    /// The drawing, leaders, names of bands and rooms.
    fn left_side(&self, d: &mut Draft, tops: &[(Strip, f32, f32)]) {
        let zone = d.out.zones.drawing;
        let bands = d.m.bands.clone();
        let mut shapes = Vec::new();
        let mut leaders: Vec<(usize, Pos)> = Vec::new();
        for r in 0..self.open.len() {
            let of = |b: usize| d.m.bands[b].room == Some(r) && matches!(d.m.bands[b].level, Level::Part(_));
            let parts = |s: &Strip| matches!(s, Strip::Band(b) if of(*b));
            let span = tops.iter().filter(|t| self.open[r] && parts(&t.0)).fold(None, |a: Option<(f32, f32)>, t| {
                Some(a.map_or((t.1, t.1 + t.2), |a| (a.0.min(t.1), a.1.max(t.1 + t.2))))
            });
            let Some((top, bottom)) = span else { continue };
            let into =
                Area::new(zone.x, top.max(zone.y) + 4.0, d.names_x - 20.0 * d.s, bottom.min(zone.bottom()) - 4.0);
            let drawn = room::room(&d.m.rooms[r].section, into);
            shapes.extend(drawn.shapes);
            for (level, p) in drawn.leaders {
                if let Some(b) = (0..bands.len()).find(|&b| of(b) && bands[b].level == level) {
                    leaders.push((b, p));
                    // Anywhere on the drawing the part whose point is nearest answers.
                    let core = Area { x: p.x - 2.0, y: p.y - 2.0, w: 4.0, h: 4.0 };
                    d.out.hits.push(Hit { at: into, core, of: Target::Drawn(b) });
                }
            }
        }
        for &(strip, top, h) in tops {
            let y = top + h / 2.0;
            if top + h <= zone.y || top >= zone.bottom() {
                continue;
            }
            match strip {
                Strip::Band(b) if !self.items[b].is_empty() => {
                    let core = Area::new(d.names_x, top.max(zone.y), zone.right(), (top + h).min(zone.bottom()));
                    // In the middle of what is seen of the band; of a sliver nothing is said.
                    let y = core.y + core.h / 2.0;
                    if core.h < 14.0 * d.s {
                        continue;
                    }
                    if let Some((_, p)) = leaders.iter().find(|l| l.0 == b) {
                        let bend = Pos { x: d.names_x - 12.0 * d.s, y };
                        let points = vec![*p, bend, Pos { x: d.names_x - 4.0 * d.s, y }];
                        shapes.push(Shape::Path { points, weight: 1.0, dotted: false, role: Role::Leader });
                        shapes.push(Shape::Dot { at: *p, radius: 2.0, role: Role::Leader });
                    }
                    let more =
                        self.packed[b].hidden.len() + self.packed[b].put.iter().filter(|p| p.name.is_none()).count();
                    shapes.push(d.text(d.names_x, y, &bands[b].name, 12.0, Weight::SemiBold, Role::BandName));
                    d.hit(core, Target::Band(b));
                    if more > 0 && core.h >= 2.0 * 20.0 * d.s {
                        let text = format!("+{more}");
                        shapes.push(d.text(d.names_x, y + 14.0 * d.s, &text, 10.5, Weight::Regular, Role::Faint));
                        let at = Area { x: d.names_x, y: y + 8.0 * d.s, w: 30.0, h: 12.0 * d.s };
                        d.hit(at, Target::More(b));
                    } else if more > 0 {
                        let text = format!("+{more}");
                        let x = d.names_x + d.wide(&bands[b].name, 12.0, Weight::SemiBold) + 4.0;
                        if x + d.wide(&text, 10.5, Weight::Regular) <= zone.right() {
                            shapes.push(d.text(x, y, &text, 10.5, Weight::Regular, Role::Faint));
                        }
                    }
                    let into = Area::new(zone.x, top + 3.0, d.names_x - 20.0 * d.s, top + h - 3.0);
                    match bands[b].level {
                        Level::Coming => shapes.extend(room::truck(into)),
                        Level::Shop if into.h > 12.0 => shapes.extend(room::shed(into)),
                        _ => {}
                    }
                }
                Strip::Folded(r) | Strip::Title(r) => {
                    let info = &d.m.rooms[r];
                    let (weight, tag) = (Weight::SemiBold, info.tag.clone());
                    shapes.push(d.text(zone.x, y, &tag, 12.0, weight, Role::BandName));
                    let name = frame::cut_to(d, &info.name, 11.5, zone.w - 30.0 * d.s);
                    let role = if matches!(strip, Strip::Title(_)) { Role::BandName } else { Role::Faint };
                    shapes.push(d.text(zone.x + 24.0 * d.s, y, &name, 11.5, Weight::Regular, role));
                    d.hit(Area::new(zone.x, top, zone.right(), top + h), Target::Room(r));
                }
                _ => {}
            }
        }
        self.beyond(d, tops);
        d.out.layers.push(Layer { clip: zone, shapes });
    }

    /// What the wheel would bring, said above the drawing.
    fn beyond(&self, d: &mut Draft, tops: &[(Strip, f32, f32)]) {
        let zone = d.out.zones.bands;
        // Bands without steps and the floor line are nothing to scroll for.
        let worth = |s: &Strip| match s {
            Strip::Band(b) => !self.items[*b].is_empty(),
            Strip::Folded(_) | Strip::Title(_) => true,
            Strip::Floor => false,
        };
        let seen = |t: &&(Strip, f32, f32)| worth(&t.0);
        let cut = 4.0 * d.s;
        let above = tops.iter().filter(seen).any(|t| t.1 < zone.y - cut);
        let below = tops.iter().filter(seen).any(|t| t.1 + t.2 > zone.bottom() + cut);
        let words = match (above, below) {
            (false, false) => return,
            (true, false) => "more above: scroll",
            (false, true) => "more below: scroll",
            (true, true) => "more above and below",
        };
        let (x, bottom) = (d.out.zones.drawing.x, d.out.zones.bands.y);
        let text = d.text(x, bottom - 7.0 * d.s, words, 10.5, Weight::Regular, Role::Faint);
        let clip = Area::new(x, bottom - 14.0 * d.s, d.out.zones.drawing.right(), bottom);
        d.out.layers.push(Layer { clip, shapes: vec![text] });
    }
}

/// What the names of a band are worth: those of what holds the date before all others.
fn worth(items: &[Item], p: &Packed) -> i64 {
    let of = |put: &super::pack::Put| match (items[put.item].rank, &put.name) {
        (_, None) => 0,
        (0 | 1, Some(_)) => 10,
        _ => 1,
    };
    p.put.iter().map(of).sum()
}

/// A block as an item to be packed.
fn item(d: &Draft, index: usize, b: &Block) -> Item {
    let axis = &d.out.axis;
    let x = |at| axis.x(at) as f32;
    let least = LEAST_BLOCK * d.s;
    let run = |&(from, to): &(_, _)| {
        let (a, z) = (x(from), x(to));
        (a, z.max(a + least))
    };
    let runs: Vec<(f32, f32)> = b.runs.iter().map(run).collect();
    let worked = runs.last().map_or(0.0, |r| r.1);
    let end = b.wedge.as_ref().map_or(worked, |w| (x(w.dry) + 3.0 * d.s).max(worked));
    let shared = matches!(d.m.bands[b.band].level, Level::Coming | Level::Shop | Level::Booth);
    let tag = if shared { d.tag(b.room) } else { String::new() };
    let rank = if d.ask.selected == Some(b.step) { 0 } else { 2 - u8::from(b.on_ribbon) };
    let level = if b.lowest == b.band { d.m.bands[b.band].name.as_str() } else { "trim" };
    Item { block: index, runs, end, names: cuts(&format!("{tag}{}", b.short), level), thin: !b.hands, rank }
}
