//! The job as plain data, and nothing else: what was measured, who works when and where,
//! what was chosen, the kept order. A [`Job`] may be wrong; `jobfile` and `work` say so.
//!
//! Lengths are [`Length`](crate::measure::Length); hours are labor hours of one person; dates are local days.
//! Everything here is written to and read from the job file (see `docs/job-file.md`).

mod calendar;
mod client;
mod change;
mod edit;
mod holidays;
mod letterhead;
mod log;
mod options;
mod price;
mod problem;
mod rooms;
mod steps;
mod taken;

pub use calendar::*;
pub use change::*;
pub use client::*;
pub use edit::{Edit, edited, free_id};
pub use holidays::public_holidays;
pub use letterhead::*;
pub use log::*;
pub use options::*;
pub use price::*;
pub use problem::*;
pub use rooms::*;
pub use steps::*;
pub use taken::*;

use chrono::{NaiveDate, NaiveDateTime};
use serde::{Deserialize, Serialize};

pub use crate::trade::Switch;
use crate::trade::{Extra, Material, Product, Rate, Recipe, Risks};

/// The job file's version this program writes.
pub const FORMAT: u32 = 1;

/// Days from the first one that may be written up, asked at or promised: three years. A later
/// date is taken for a slip of the pen.
pub const FARTHEST: i64 = 3 * 365 + 1;

/// How lengths are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Units {
    #[default]
    FeetInches,
    Metric,
}

impl Units {
    /// The style lengths print in.
    pub fn style(self) -> crate::measure::Style {
        match self {
            Units::FeetInches => crate::measure::Style::FeetInches,
            Units::Metric => crate::measure::Style::Metric,
        }
    }
}

/// The client's day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Target {
    #[serde(default)]
    pub kind: TargetKind,
    pub day: NaiveDate,
}

/// Whether the day was only asked for or has been promised.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TargetKind {
    #[default]
    Asked,
    Promised,
}

/// One renovation job.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Job {
    /// Version of the file, [`FORMAT`].
    pub format: u32,
    pub name: String,
    pub client: String,
    pub units: Units,
    /// First day; minute 0 of every clock is its midnight.
    pub start: NaiveDate,
    pub target: Option<Target>,
    /// Chance at which a day counts as safe to promise, 0.5 to 0.99.
    pub confidence: f64,
    pub seed: u64,
    pub house: House,
    pub crew: Vec<Person>,
    pub calendar: Calendar,
    pub places: Vec<Place>,
    pub rooms: Vec<Room>,
    /// Steps of the user's own, of any kind, gates included.
    pub steps: Vec<OwnStep>,
    pub deliveries: Vec<Delivery>,
    pub decisions: Vec<Decision>,
    pub visits: Vec<Visit>,
    pub holds: Vec<Hold>,
    /// Which causes of lateness are switched off or changed.
    pub risks: Risks,
    /// A published network to be checked: causes off, own unit of time.
    pub study: Option<Study>,
    pub kept: Option<KeptOrder>,
    /// Time lost, past and to come.
    pub lost: Vec<LostTime>,
    /// Days written up, in order of the day.
    pub log: Vec<DayLog>,
    /// What was said each evening, in order of the day; it only grows.
    pub record: Vec<Evening>,
    /// Work found to be done again.
    pub redone: Vec<Redone>,
    /// Changes made on the way, in order of the day; it only grows.
    pub changes: Vec<ChangeOrder>,
    /// The end, once the job is closed.
    pub closed: Option<Closing>,
    /// Name of the option worked on, where there are several.
    pub option: String,
    /// Other ways to do the job, at most [`MOST_OPTIONS`].
    pub options: Vec<JobOption>,
    /// Days promised to the client; the last is in force.
    pub promises: Vec<Promise>,
    /// What the client's page says.
    pub client_page: ClientSwitches,
    /// What papers say above their title.
    pub letterhead: Letterhead,
    /// What it is priced by; common to all options.
    pub price: PriceTerms,
    /// Quotes given, in order; the list only grows.
    pub quotes: Vec<Quote>,
    /// Copies of the rate, product, recipe and material rows in use.
    pub rates: Vec<Rate>,
    pub products: Vec<Product>,
    pub recipes: Vec<Recipe>,
    /// What getting a day back costs, where it differs from the table.
    pub extras: Vec<Extra>,
    /// Ways back that were taken, with what each changed, in the order they were taken.
    pub taken: Vec<TakenWay>,
    pub materials: Vec<Material>,
    /// The moment it is asked at: what was written up before it is a fact. None asks for the
    /// plan from the first day. Not part of the file.
    #[serde(skip)]
    pub as_of: Option<NaiveDateTime>,
}

impl Default for Job {
    fn default() -> Self {
        Job {
            format: FORMAT,
            name: String::new(),
            client: String::new(),
            units: Units::FeetInches,
            start: NaiveDate::from_ymd_opt(2027, 3, 1).expect("a date"),
            target: None,
            confidence: 0.8,
            seed: 1,
            house: House::default(),
            crew: Vec::new(),
            calendar: Calendar::default(),
            places: Vec::new(),
            rooms: Vec::new(),
            steps: Vec::new(),
            deliveries: Vec::new(),
            decisions: Vec::new(),
            visits: Vec::new(),
            holds: Vec::new(),
            risks: Risks::default(),
            study: None,
            kept: None,
            lost: Vec::new(),
            option: String::new(),
            options: Vec::new(),
            promises: Vec::new(),
            client_page: ClientSwitches::default(),
            letterhead: Letterhead::default(),
            price: PriceTerms::default(),
            quotes: Vec::new(),
            log: Vec::new(),
            record: Vec::new(),
            redone: Vec::new(),
            changes: Vec::new(),
            closed: None,
            rates: Vec::new(),
            products: Vec::new(),
            recipes: Vec::new(),
            extras: Vec::new(),
            taken: Vec::new(),
            materials: Vec::new(),
            as_of: None,
        }
    }
}

impl Job {
    /// Day number of a date, counted from the job's first day (day 0).
    pub fn day_of(&self, date: NaiveDate) -> i64 {
        (date - self.start).num_days()
    }
    /// Date of a day number.
    pub fn date_of(&self, day: i64) -> NaiveDate {
        self.start + chrono::Duration::days(day)
    }
    /// Minute of a date-time.
    pub fn at_of(&self, t: NaiveDateTime) -> crate::clock::At {
        crate::clock::At((t - self.start.and_hms_opt(0, 0, 0).expect("midnight")).num_minutes())
    }
    /// Date-time of an instant.
    pub fn time_of(&self, at: crate::clock::At) -> NaiveDateTime {
        self.start.and_hms_opt(0, 0, 0).expect("midnight") + chrono::Duration::minutes(at.0)
    }
    /// Weekday of day 0, Monday = 0.
    pub fn first_weekday(&self) -> i64 {
        use chrono::Datelike;
        i64::from(self.start.weekday().num_days_from_monday())
    }
}

/// Facts of the house that change hours, gates and risks.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct House {
    /// Year built, if known; decides the lead and asbestos gates.
    pub year_built: Option<i32>,
    /// Lead work practices in force; where left out, in a house built before 1978.
    pub lead_practices: Option<bool>,
    /// People live in it (base of the rates); an empty house is x0.85.
    pub occupied: bool,
    /// Small children in the tradesman's household: more lost days.
    pub small_children: bool,
    /// Out of square, 1.0 to 1.4, on fit-up work.
    pub out_of_square: f64,
    /// Work stairs or ladder, 1.0 to 1.6, on rows without a ladder factor of their own.
    pub ladder: f64,
    /// Longest stock that turns on the stairs, feet.
    pub longest_stock_ft: f64,
    /// Questions of the walk-round that have been answered, by their key, whatever the answer.
    pub asked: Vec<String>,
}

impl Default for House {
    fn default() -> Self {
        House {
            year_built: None,
            lead_practices: None,
            occupied: true,
            small_children: false,
            out_of_square: 1.0,
            ladder: 1.0,
            longest_stock_ft: 16.0,
            asked: Vec::new(),
        }
    }
}

/// The order of work the job keeps, as data.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct KeptOrder {
    /// Step ids, first to last. Steps missing here go right behind the last step they need.
    pub order: Vec<String>,
    /// Chosen methods: `(choice id, option)`.
    pub methods: Vec<(String, String)>,
    /// Who may do a step, where the order restricts it: `(step id, people)`.
    pub people: Vec<(String, Vec<String>)>,
    pub holds: Vec<Hold>,
}

/// Keeps a step from beginning too soon.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Hold {
    pub step: String,
    pub until: Until,
    /// Planned wait of a hold found by the search, working minutes; it lapses after twice
    /// this plus 60. A hold of the user's own has none and never lapses.
    #[serde(default)]
    pub wait: Option<i64>,
}

/// What a hold waits for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Until {
    Begun(String),
    Done(String),
    At(NaiveDateTime),
}

/// Switches the causes off for a published network and prints its figures in its own unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Study {
    /// Minutes in one unit of the network.
    pub unit_minutes: i64,
    pub pace: Switch,
    /// Factor on both sigmas of a split lognormal, 1 = as stated.
    pub widening: f64,
    /// The clamp of z to +-3.
    pub cap: Switch,
    /// Correlation of a single common factor, 0 to 1 (for published correlated cases).
    pub common: f64,
}

impl Default for Study {
    fn default() -> Self {
        Study { unit_minutes: 1, pace: Switch::Off, widening: 1.0, cap: Switch::Off, common: 0.0 }
    }
}
