//! The bands with their rows: which rooms stand open, how high each band is, where it scrolls.

use super::super::marks;
use super::super::pack::{Item, Names, Packed, cuts, label, pack};
use super::*;

/// The bands with their rows.
pub(super) struct Bands {
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
    pub(super) fn new(d: &Draft) -> Bands {
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
    pub(super) fn fit(&mut self, d: &mut Draft) {
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

    pub(super) fn draw(&self, d: &mut Draft) {
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
            _ if !d.ask.scrolls => "more on another page",
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
    let of = |put: &super::super::pack::Put| match (items[put.item].rank, &put.name) {
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
