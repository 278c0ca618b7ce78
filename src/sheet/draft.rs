//! What a line said, each measure with its bytes, before anything is drawn from it.

use std::ops::Range;

use crate::job::OpeningKind;
use crate::measure::Length;

/// A value and where it was said.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Said<T> {
    pub v: T,
    pub at: Range<usize>,
}

/// A measure and where it was said.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Measure {
    pub v: Length,
    pub at: Range<usize>,
    /// Said without a unit.
    pub bare: bool,
    /// Said to be the height, `80 high`.
    pub high: bool,
}

/// A wall of a free run.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct SaidWall {
    pub length: Measure,
    /// Turn at the far corner, degrees.
    pub turn: f64,
    pub turn_said: bool,
    pub height: Option<Measure>,
}

/// The walls as said.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Shape {
    /// Length, width, height.
    Rectangle(Vec<Measure>),
    Run(Vec<SaidWall>),
}

/// What breaks a straight wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum FeatureKind {
    Bay,
    Alcove,
    Breast,
}

impl FeatureKind {
    pub fn word(self) -> &'static str {
        match self {
            FeatureKind::Bay => "bay",
            FeatureKind::Alcove => "alcove",
            FeatureKind::Breast => "chimney breast",
        }
    }
}

/// Which face of a bay, an alcove or a breast.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Face {
    Near,
    Front,
    Far,
}

/// Where something is.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Place {
    Unsaid,
    /// A wall by what it is called: `2`, `1a`.
    Wall(String),
    In(FeatureKind, Face),
}

#[derive(Clone, Debug, PartialEq)]
pub(super) struct SaidOpening {
    pub kind: OpeningKind,
    pub name: String,
    /// From its first word on.
    pub at: Range<usize>,
    pub count: u32,
    pub size: Vec<Measure>,
    pub size_at: Range<usize>,
    pub place: Said<Place>,
    pub sill: Option<Measure>,
    pub from_corner: Option<Measure>,
    /// Where the others of several stand, from the same corner.
    pub further: Vec<Measure>,
    /// From the far corner of its wall.
    pub far: bool,
    /// From the opening before it; of several, from one to the next.
    pub gap: Option<Measure>,
    pub casing: Option<Measure>,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) struct SaidFeature {
    pub kind: FeatureKind,
    pub at: Range<usize>,
    /// The words it is called by.
    pub word_at: Range<usize>,
    /// Width and depth; or its three walls.
    pub size: Vec<Measure>,
    pub size_at: Range<usize>,
    pub place: Said<Place>,
    pub from_corner: Option<Measure>,
    /// Angle of the sides to the wall, degrees.
    pub angle: f64,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) struct SaidBoxes {
    pub count: u32,
    pub at: Range<usize>,
    pub place: Said<Place>,
}

/// A whole line.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Draft {
    pub name: String,
    pub shape: Option<Shape>,
    pub shape_at: Range<usize>,
    pub features: Vec<SaidFeature>,
    pub openings: Vec<SaidOpening>,
    pub boxes: Vec<SaidBoxes>,
    pub holes: u32,
    pub cracks: Length,
    /// Casing of every opening that does not say its own.
    pub casing: Option<Measure>,
    /// `as measured`: odd values are meant.
    pub meant: bool,
}
