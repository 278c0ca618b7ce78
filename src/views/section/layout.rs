//! Positions of everything the section shows.
//!
//! From top to bottom: months and days, the ribbon of what holds the date, a strip for the
//! names of the day lines, the bands (which scroll), the tape of odds, a lane a person, the
//! legend. Left of them the room in section and the names of the bands. Rows are at least
//! [`ROW`] pixels high and share what height is to spare; a band has at most [`MOST_ROWS`].
//! When the bands do not fit, names give up their rows before blocks do, and then the bands
//! scroll. All of it times the text scale.

mod rows;

use rows::Bands;

use super::frame;
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
    /// Whether it can be scrolled; on paper what is left stands on another page.
    pub scrolls: bool,
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
            scrolls: true,
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
        self.m.many
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
