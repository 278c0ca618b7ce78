//! What a layout is made of: shapes with roles, in layers, and the areas that answer.
//!
//! Positions are pixels from the top left of the section. A role says what a shape is; the
//! colour, hatch and weight of a role are the painter's table, so that one layout serves
//! light, dark and paper.

use super::{Axis, Kind, Site};
use crate::clock::At;
use crate::views::face::Weight;

/// A point.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pos {
    pub x: f32,
    pub y: f32,
}

/// An upright rectangle.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Area {
    pub x: f32,
    pub y: f32,
    pub w: f32,
    pub h: f32,
}

impl Area {
    /// From its left, top, right and bottom.
    pub fn new(left: f32, top: f32, right: f32, bottom: f32) -> Area {
        Area { x: left, y: top, w: (right - left).max(0.0), h: (bottom - top).max(0.0) }
    }
    pub fn right(&self) -> f32 {
        self.x + self.w
    }
    pub fn bottom(&self) -> f32 {
        self.y + self.h
    }
    /// Whether the insides of both have a point in common.
    pub fn meets(&self, o: &Area) -> bool {
        self.x < o.right() && o.x < self.right() && self.y < o.bottom() && o.y < self.bottom()
    }
    /// Whether `p` lies in it.
    pub fn holds(&self, p: Pos) -> bool {
        p.x >= self.x && p.x < self.right() && p.y >= self.y && p.y < self.bottom()
    }
    /// Whether `o` lies wholly in it, to a hundredth of a pixel.
    pub fn contains(&self, o: &Area) -> bool {
        let e = 0.01;
        o.x >= self.x - e && o.y >= self.y - e && o.right() <= self.right() + e && o.bottom() <= self.bottom() + e
    }
    /// Grown about its middle to at least `w` by `h`.
    pub fn at_least(&self, w: f32, h: f32) -> Area {
        let (dw, dh) = ((w - self.w).max(0.0), (h - self.h).max(0.0));
        Area { x: self.x - dw / 2.0, y: self.y - dh / 2.0, w: self.w + dw, h: self.h + dh }
    }
}

/// How the corners of a block are cut: the place it is worked in, told without colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Corner {
    /// In the room: plain.
    Plain,
    /// In the shop: a notch in its left side.
    Notched,
    /// In the booth: rounded.
    Rounded,
}

/// What a shape is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Face of a block: tinted by place with an outline; solid once done.
    Block {
        site: Site,
        done: bool,
    },
    /// A stretch nobody works on: resting stock, another trade, an order under way.
    Waiting(Site),
    /// The hatched wedge behind a block.
    Drying(Site),
    /// The dot at a wedge's end: ready for what follows.
    Ready(Site),
    /// A piece of what holds the date.
    Ribbon(Kind),
    /// Frame of the piece or block selected.
    Selected,
    /// The chalk line through the blocks that hold the date.
    Chalk,
    /// Bracket from the highest band a step covers down to the lowest.
    Bracket,
    /// A peg on a block that is held back.
    Peg,
    /// Off hours and days off.
    Night,
    DayOff,
    /// Days on which the house is closed.
    Closed,
    /// Rule between bands, days, zones.
    BandRule,
    DayRule,
    ZoneRule,
    /// The dotted floor line.
    Floor,
    /// Clean run, the client's day, the safe day, the stretch of days in hand.
    CleanRun,
    Target,
    Safe,
    InHand,
    /// The tape of odds and its ticks.
    Tape,
    TapeTick,
    /// Lane of a person: a block of work, a trip.
    Lane,
    Trip,
    /// The room in section.
    Structure,
    Timber,
    Glass,
    Leader,
    Truck,
    Shed,
    /// Text: names of days, bands, steps, figures of the tape, what is said faintly.
    DayName,
    DayNumber,
    BandName,
    StepName,
    RibbonWord,
    RibbonWordOnInk,
    ZoneName,
    Odds,
    Faint,
    /// Warmth and damp of a place by the hour.
    AirWarm,
    AirDamp,
    /// Time lost, and the moment the job is asked at.
    Lost,
    Now,
    /// A numbered mark: a ring on paper.
    Mark,
}

/// One mark.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    Rect {
        at: Area,
        corner: Corner,
        role: Role,
    },
    /// A filled polygon, convex or not, given in order.
    Poly {
        points: Vec<Pos>,
        role: Role,
    },
    /// Lines through the points.
    Path {
        points: Vec<Pos>,
        weight: f32,
        dotted: bool,
        role: Role,
    },
    Dot {
        at: Pos,
        radius: f32,
        role: Role,
    },
    /// Text placed by the left end of its baseline; `halo` wants paper round the letters.
    Text {
        at: Pos,
        text: String,
        size: f32,
        weight: Weight,
        halo: bool,
        role: Role,
    },
    /// A tick of the pen on a finished block.
    Tick {
        at: Area,
        role: Role,
    },
}

/// Shapes of one zone, clipped to it, in order of painting.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Layer {
    pub clip: Area,
    pub shapes: Vec<Shape>,
}

/// What an area of the section answers for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Target {
    /// Index into [`super::Model::blocks`].
    Block(usize),
    /// Index into [`super::Model::pieces`].
    Piece(usize),
    /// Index into [`super::Model::bands`].
    Band(usize),
    /// Index into [`super::Model::rooms`]: a folded room's row, or the tag of the open one.
    Room(usize),
    /// A day of the header or of the tape.
    Day(i64),
    /// Peg of a step held back.
    Peg(usize),
    /// Steps hidden in a band behind `+n`.
    More(usize),
    /// A figure of the tape: index into [`super::Model::odds`].
    Odds(usize),
    /// The days in hand, and the names of the day lines.
    InHand,
    CleanRun,
    Client,
    Safe,
    /// The day a folded room is done.
    Done(usize),
    /// The moment asked at; a stretch of time lost, index into [`super::Model::lost`].
    Now,
    Lost(usize),
    /// A part of the drawing, by its band.
    Drawn(usize),
}

/// An area that answers, at least 24 by 22 pixels; `core` is the mark itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hit {
    pub at: Area,
    pub core: Area,
    pub of: Target,
}

/// Where a step's name stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stand {
    Inside,
    Right,
    Above,
    Left,
}

/// A name that was placed.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    pub block: usize,
    pub at: Area,
    pub stand: Stand,
    pub text: String,
}

/// The zones of the section.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Zones {
    pub header: Area,
    pub ribbon: Area,
    /// The bands' window; its contents may be higher and scroll.
    pub bands: Area,
    pub drawing: Area,
    pub odds: Area,
    pub lanes: Area,
    pub legend: Area,
}

/// Everything placed.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    pub width: f32,
    pub height: f32,
    pub zones: Zones,
    pub layers: Vec<Layer>,
    pub hits: Vec<Hit>,
    pub labels: Vec<Label>,
    /// Blocks whose name found no room.
    pub unnamed: Vec<usize>,
    /// Blocks that found no row.
    pub hidden: Vec<usize>,
    /// Rooms that stand open.
    pub open: Vec<usize>,
    /// Rows of rooms, folded or open: room, top and height of its row from the top of the
    /// bands before any scroll.
    pub rooms: Vec<(usize, f32, f32)>,
    pub axis: Axis,
    /// Pixels from the left of the section to minute 0 less the scroll.
    pub left: f32,
    /// How far time and bands can be scrolled.
    pub most_scroll: Pos,
    /// The scroll in force, kept inside `most_scroll`.
    pub scroll: Pos,
}

/// Squared distance of a point from an area, 0 inside.
fn apart(a: &Area, p: Pos) -> f32 {
    let (dx, dy) = ((a.x - p.x).max(p.x - a.right()).max(0.0), (a.y - p.y).max(p.y - a.bottom()).max(0.0));
    dx * dx + dy * dy
}

impl Layout {
    /// What lies under a point: of several areas that answer the one whose mark is nearest,
    /// of those the one on top.
    pub fn hit(&self, p: Pos) -> Option<&Hit> {
        let mut best: Option<(f32, &Hit)> = None;
        for h in self.hits.iter().filter(|h| h.at.holds(p)) {
            let d = apart(&h.core, p);
            if best.is_none_or(|b| d <= b.0) {
                best = Some((d, h));
            }
        }
        best.map(|b| b.1)
    }

    /// The area that answers for a target.
    pub fn area_of(&self, of: Target) -> Option<&Hit> {
        self.hits.iter().find(|h| h.of == of)
    }

    /// The instant under a pixel of the section.
    pub fn at(&self, x: f32) -> At {
        self.axis.at(f64::from(x - self.left))
    }

    /// The pixel of an instant.
    pub fn x(&self, at: At) -> f32 {
        self.left + self.axis.x(at) as f32
    }
}
