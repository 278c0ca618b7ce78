//! What the section shows, as plain data: no positions, no colours.

use super::{Axis, Hours};
use crate::clock::At;
use crate::trade::Part;

/// Which of the places a step is worked in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Site {
    Room,
    Shop,
    Booth,
    /// Nobody's place: deliveries, decisions, laboratories.
    Away,
}

/// A band: one height of the room, or what lies outside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Deliveries, decisions, other trades, the laboratory.
    Coming,
    Part(Part),
    Shop,
    Booth,
}

/// A band with its name.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    pub level: Level,
    /// Index into [`Model::rooms`]; `None` for bands all rooms share.
    pub room: Option<usize>,
    pub name: String,
    /// Labor of all its steps, minutes, and the words for it.
    pub labor_min: i64,
    pub hours: String,
}

/// A coat on its way: how much is still to dry, and what it is then good for.
#[derive(Clone, Debug, PartialEq)]
pub struct Wedge {
    /// When the last piece was finished.
    pub from: At,
    /// When the next step may touch it.
    pub dry: At,
    /// The first working minute after it.
    pub ready: At,
    /// Share still to dry over time, 1 down to 0, by the product's own clock.
    pub left: Vec<(At, f32)>,
    /// `dry Sat 03:00, ready Mon 8:00`.
    pub words: String,
}

/// A step in its band.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Index in the graph.
    pub step: usize,
    pub id: String,
    pub name: String,
    /// The name cut to what fits beside a block.
    pub short: String,
    /// Index into [`Model::bands`] of the highest band it covers, and of the lowest.
    pub band: usize,
    pub lowest: usize,
    pub room: Option<usize>,
    pub site: Site,
    /// Whether hands work on it.
    pub hands: bool,
    pub begin: At,
    pub end: At,
    /// Stretches worked (or filled), pieces apart only by off hours joined.
    pub runs: Vec<(At, At)>,
    /// Labor minutes, and the words for them.
    pub labor_min: i64,
    pub hours: String,
    /// `Mara`, `Ada and Jon`.
    pub who: String,
    pub wedge: Option<Wedge>,
    /// Whether it holds the date.
    pub on_ribbon: bool,
    /// Whether the user holds it back.
    pub held_back: bool,
    pub done: bool,
    /// What is said of it, a line each: hours and place, dates, drying, why, what can wait.
    pub says: Vec<String>,
}

/// Why a stretch of the date is as long as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Hands,
    Drying,
    /// A delivery, a decision, a laboratory, another trade.
    Coming,
    /// Closed hours, an appointment, the first day.
    Closed,
    /// Dust that settles, a place not free, a hold.
    Place,
}

/// A piece of what holds the date.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    pub kind: Kind,
    pub from: At,
    pub to: At,
    /// What of it is worked or dries; the rest is closed hours.
    pub parts: Vec<(At, At)>,
    /// Steps of the piece in order; of a wait the step that waits.
    pub steps: Vec<usize>,
    /// `crown`, `drying`, `delivery`.
    pub word: String,
    pub sentence: String,
}

/// The chance that it is done by the close of a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Odds {
    pub day: i64,
    pub share: f64,
    /// `40`, the figure of the tape; the sheet's name says per cent.
    pub figure: String,
    /// `40 %`.
    pub words: String,
}

/// A person's lane.
#[derive(Clone, Debug, PartialEq)]
pub struct Lane {
    pub name: String,
    pub work: Vec<LaneWork>,
}

/// What a person does in a stretch.
#[derive(Clone, Debug, PartialEq)]
pub struct LaneWork {
    pub step: usize,
    pub site: Site,
    pub from: At,
    pub to: At,
    /// On the road at its head, minutes.
    pub trip_min: i64,
    /// Tag of the room.
    pub tag: String,
}

/// A day with a name on the section: clean run, the client's day, the safe day.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    pub at: At,
    pub name: String,
    pub says: String,
}

/// A room of the job.
#[derive(Clone, Debug, PartialEq)]
pub struct RoomInfo {
    /// Index into the job's rooms.
    pub room: usize,
    pub name: String,
    /// One or two letters.
    pub tag: String,
    pub section: RoomSection,
    /// Work, drying and the next usable moment, for the row it folds to.
    pub work: Vec<(At, At)>,
    pub drying: Vec<(At, At)>,
}

/// A room's own heights, feet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RoomSection {
    pub height: f32,
    /// Width of the stretch of wall drawn.
    pub width: f32,
    pub crown: bool,
    /// Head and sill over the floor, and width, of the window (or door) shown.
    pub window: Option<(f32, f32, f32)>,
    pub door: Option<(f32, f32)>,
    pub panels: Option<f32>,
    pub base: bool,
    /// Casing width.
    pub casing: f32,
}

/// Everything the section shows of one plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    pub first_weekday: i64,
    /// Days the section spans, first to last.
    pub days: (i64, i64),
    /// Names of the days spanned.
    pub day_names: Vec<DayName>,
    pub hours: Hours,
    pub rooms: Vec<RoomInfo>,
    pub bands: Vec<Band>,
    pub blocks: Vec<Block>,
    pub pieces: Vec<Piece>,
    pub clean_run: Line,
    pub target: Option<Line>,
    pub promised: bool,
    pub safe: Option<Line>,
    /// `days in hand`, with how many.
    pub in_hand: String,
    pub odds: Vec<Odds>,
    pub lanes: Vec<Lane>,
    /// The day the section is read on.
    pub today: Option<i64>,
}

/// A day as the header writes it.
#[derive(Clone, Debug, PartialEq)]
pub struct DayName {
    pub day: i64,
    /// `Mo`.
    pub weekday: String,
    /// `1`.
    pub number: String,
    /// `1 Mar`.
    pub dated: String,
}

impl Model {
    /// The axis of the model at a scale.
    pub fn axis(&self, scale: super::Scale) -> Axis {
        Axis::new(&self.hours, self.days, scale)
    }

    /// The block of a step.
    pub fn block_of(&self, step: usize) -> Option<usize> {
        self.blocks.iter().position(|b| b.step == step)
    }

    /// The first piece of what holds the date a step works on.
    pub fn piece_of(&self, step: usize) -> Option<usize> {
        let own = |p: &Piece| p.kind == Kind::Hands || p.kind == Kind::Coming;
        self.pieces.iter().position(|p| own(p) && p.steps.contains(&step))
    }
}
