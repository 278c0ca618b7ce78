//! Quantities times recipes: the work graph, its steps and links, and its classical CPM.
//!
//! A [`WorkGraph`] exists only for a sound job: names resolved, acyclic for every choice of
//! methods, every step possible. It knows nothing of orders or dates.
//!
//! Units: labor in minutes of one person (`f64` low / typical / high, whole when drawn);
//! lags in elapsed minutes.

pub mod build;
pub mod cpm;

use serde::{Deserialize, Serialize};

use crate::clock::At;
use crate::job::{Flags, Scheme};
use crate::trade::{Product, Stage};

/// A duration or labor with its spread, minutes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Spread {
    pub scheme: Scheme,
    pub low: f64,
    pub typ: f64,
    pub high: f64,
}

impl Spread {
    /// Nothing to do.
    pub const ZERO: Spread = Spread { scheme: Scheme::Fixed, low: 0.0, typ: 0.0, high: 0.0 };

    /// One value.
    pub fn fixed(minutes: f64) -> Spread {
        Spread { scheme: Scheme::Fixed, low: minutes, typ: minutes, high: minutes }
    }

    /// Low / typical / high as a split lognormal reads them.
    pub fn split(low: f64, typ: f64, high: f64) -> Spread {
        Spread { scheme: Scheme::Split, low, typ, high }
    }

    /// Every value times `k`.
    pub fn scaled(&self, k: f64) -> Spread {
        Spread { scheme: self.scheme, low: self.low * k, typ: self.typ * k, high: self.high * k }
    }

    /// Every value later by `minutes`.
    pub fn plus(&self, minutes: f64) -> Spread {
        Spread { scheme: self.scheme, low: self.low + minutes, typ: self.typ + minutes, high: self.high + minutes }
    }

    /// The value of a plan, whole minutes: `typ` rounded (the median of a split lognormal,
    /// the mode of the bounded schemes); 0 stays 0, anything else is at least 1.
    pub fn typical(&self) -> i64 {
        if self.typ <= 0.0 { 0 } else { (libm::round(self.typ) as i64).max(1) }
    }
}

/// One term of the hours, for the *why*.
#[derive(Clone, Debug, PartialEq)]
pub struct HourTerm {
    /// Rate row id, empty for the user's own hours.
    pub rate: String,
    /// Take-off quantity id.
    pub of: String,
    pub quantity: f64,
    pub unit: String,
    /// Hours per unit, low / typical / high.
    pub per_unit: (f64, f64, f64),
    /// Difficulty and shares.
    pub factor: f64,
}

/// What a step is made of besides labor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// Hands work on it.
    Labor,
    /// Nobody's hands: elapsed minutes from its begin.
    Elapsed(Spread),
    /// Nobody's hands: business minutes on the supplier's clock (1,440 a business day) from
    /// its begin; late with a chance, by business minutes.
    Business { minutes: i64, late: Option<(f64, i64)> },
    /// Settled at an instant; late with a chance, by elapsed minutes.
    Decision { at: At, late: Option<(f64, i64)> },
}

/// Why a step exists.
#[derive(Clone, Debug, PartialEq)]
pub enum Role {
    /// Part of the work.
    Plain,
    /// Twin of an earlier step: with `chance`, `share` of its drawn hours again.
    Redo { of: usize, chance: f64, share: f64, risk: String },
    /// Found on opening up with `chance`.
    Surprise { chance: f64, risk: String },
    /// Scuff-sand before `of` when the recoat window has passed.
    Scuff { of: usize },
    /// What nobody listed in a room.
    Unlisted,
}

impl Role {
    /// Whether the step is part of the plan (typical: nothing redone, nothing found).
    pub fn planned(&self) -> bool {
        matches!(self, Role::Plain | Role::Unlisted)
    }
}

/// Whose hands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Crew {
    /// 0 = nobody.
    pub fewest: usize,
    pub most: usize,
    /// Eligible people, indices into the job's crew, in crew order.
    pub who: Vec<usize>,
}

/// A coat, glue or compound a step leaves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coat {
    /// Index into [`WorkGraph::products`].
    pub product: usize,
    /// Multiplies the product's hours.
    pub thick: f64,
}

/// When a step may begin: minutes of the day on given weekdays or one date.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BeginWindow {
    /// Monday first.
    pub days: [bool; 7],
    /// Only this day number.
    pub day: Option<i64>,
    pub from: i64,
    pub to: i64,
}

/// One piece of labor in one place on one surface, or a gate.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// `room/surface/step`.
    pub id: String,
    pub name: String,
    /// Room id or empty.
    pub room: String,
    /// Surface id or empty.
    pub surface: String,
    /// Index into the job's places; gates that fill no place have `None`.
    pub place: Option<usize>,
    pub kind: Kind,
    pub role: Role,
    /// Labor minutes, set-up included; zero for gates.
    pub labor: Spread,
    /// The part of `labor` that is set-up, at its head, typical.
    pub setup_min: i64,
    pub terms: Vec<HourTerm>,
    /// Shares of the labor by piece, summing to 1; one piece where not `one_go`.
    pub pieces: Vec<f64>,
    pub crew: Crew,
    pub coat: Option<Coat>,
    pub flags: Flags,
    pub racks: u32,
    /// What it takes of each pool while it lasts (index into [`WorkGraph::pools`], how much);
    /// steps without hands only.
    pub pools: Vec<(usize, u32)>,
    /// Begins only below this relative humidity of its place.
    pub rh_below: Option<f64>,
    pub earliest: Option<At>,
    /// May begin only inside one of these; any time when empty.
    pub windows: Vec<BeginWindow>,
    /// Present only with these options: `(choice, option)`; all must hold.
    pub when: Vec<(usize, usize)>,
    /// Trade group of the shared cause (empty = none).
    pub trade: String,
    pub fit_up: bool,
    /// Rate row has ten jobs of own history: range not widened.
    pub own_history: bool,
    /// Field path of the job entry it comes from, `steps[3]` or `rooms[0].surfaces[2]`.
    pub origin: String,
}

impl Step {
    /// A step with nothing to it: no labor, no hands, no place, no rule; its name is its id.
    pub fn bare(id: impl Into<String>, kind: Kind) -> Step {
        let id = id.into();
        Step {
            name: id.clone(),
            id,
            room: String::new(),
            surface: String::new(),
            place: None,
            kind,
            role: Role::Plain,
            labor: Spread::ZERO,
            setup_min: 0,
            terms: Vec::new(),
            pieces: vec![1.0],
            crew: Crew::default(),
            coat: None,
            flags: Flags::default(),
            racks: 0,
            pools: Vec::new(),
            rh_below: None,
            earliest: None,
            windows: Vec::new(),
            when: Vec::new(),
            trade: String::new(),
            fit_up: false,
            own_history: false,
            origin: String::new(),
        }
    }
}

/// What a link asks of the earlier step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ask {
    /// Done.
    Done,
    /// Its coat has reached a stage (counted from the end of its last piece).
    Dry(Stage),
    /// Begun.
    Begun,
    /// The later step ends not before the earlier ends.
    EndAfterEnd,
    /// The later step ends not before the earlier begins.
    EndAfterBegin,
}

/// One step waits for another.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    pub from: usize,
    pub to: usize,
    pub ask: Ask,
    /// Elapsed minutes after what is asked.
    pub lag: i64,
    /// Longest wait in hours of the earlier coat's own clock; past it scuff first.
    pub longest_h: Option<f64>,
    /// Holds only with these options.
    pub when: Vec<(usize, usize)>,
}

/// A choice between methods.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// `room/surface/choice`.
    pub id: String,
    pub name: String,
    pub options: Vec<String>,
    /// Fixed by the job, else searched.
    pub fixed: Option<usize>,
}

/// Steps, links, choices and products of a sound job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WorkGraph {
    pub steps: Vec<Step>,
    pub links: Vec<Link>,
    pub choices: Vec<Choice>,
    pub products: Vec<Product>,
    /// Capacities of pools: what steps without hands share (published networks).
    pub pools: Vec<u32>,
}

impl WorkGraph {
    /// Whether something conditional on `when` is there under the options `chosen`.
    pub fn holds(when: &[(usize, usize)], chosen: &[usize]) -> bool {
        when.iter().all(|&(c, o)| chosen[c] == o)
    }

    /// The usual methods: each choice's fixed or first option.
    pub fn usual(&self) -> Vec<usize> {
        self.choices.iter().map(|c| c.fixed.unwrap_or(0)).collect()
    }

    /// Index of the step with this id that is present under `chosen`.
    pub fn find(&self, id: &str, chosen: &[usize]) -> Option<usize> {
        self.steps.iter().position(|s| s.id == id && WorkGraph::holds(&s.when, chosen))
    }
}
