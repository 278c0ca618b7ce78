//! What the panels draw: one whole answer, never parts of two.

use std::sync::Arc;

use chrono::NaiveDate;

use super::session::WhatIf;
use crate::buying::Buying;
pub use crate::desk::Reached;
use crate::desk::evening::Outlook;
use crate::desk::starts::Starts;
use crate::desk::ways_back::Answer as WaysBack;
use crate::desk::{Desk, Priced, Sound};
use crate::forecast::Forecast;
use crate::job::{DayLog, KeptOrder, Problem};
use crate::measure::Money;
use crate::search::Found;
use crate::views::client::ClientPage;
use crate::views::{ForecastView, PlanView, Reading, ShownDays};

/// Plan and odds of one state of the job.
#[derive(Clone, Debug)]
pub struct Shown {
    /// Revision of the session's job this is the answer of.
    pub revision: u64,
    pub reached: Reached,
    pub sound: Arc<Sound>,
    pub found: Arc<Found>,
    pub plan: Arc<PlanView>,
    /// What can wait is known already (in `plan`).
    pub with_float: bool,
    pub forecast: Arc<Forecast>,
    /// The forecast read at the job's confidence.
    pub odds: ForecastView,
    /// The days shown, steadied while few trials are out.
    pub days: ShownDays,
}

impl Shown {
    pub fn confidence(&self) -> f64 {
        self.odds.confidence
    }

    /// As the strip reads it.
    pub fn reading(&self) -> Reading<'_> {
        Reading { sound: &self.sound, forecast: &self.forecast, odds: &self.odds, days: self.days }
    }
}

/// The answer to a question: the same figures with and without, from the same trials.
#[derive(Clone, Debug)]
pub struct Answer {
    pub revision: u64,
    pub question: WhatIf,
    /// The job as it is, cut to as many trials; the job as asked, or what stands against it.
    pub with: Result<(Arc<Shown>, Arc<Shown>), Vec<Problem>>,
}

/// What is worked out beside an answer, and only where it is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// Start days, none before a day.
    pub starts: bool,
    pub not_before: Option<NaiveDate>,
    pub options: bool,
    /// Price and buying list.
    pub price: bool,
    /// A better order than the one kept.
    pub offer: bool,
    /// What the evening before had for these days.
    pub days: Vec<NaiveDate>,
    /// The plan from the first day, that the slip is counted from.
    pub first: bool,
    /// What could be done to get days back.
    pub ways: bool,
    /// The client's page.
    pub client: bool,
}

impl Wanted {
    pub fn anything(&self) -> bool {
        let on = [self.starts, self.options, self.price, self.offer, self.first, self.ways, self.client];
        on.contains(&true) || !self.days.is_empty()
    }
}

/// An option's whole answer, or what stands against one.
pub type Way = Result<Arc<Desk>, Vec<Problem>>;

/// A better order than the one kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Offered {
    /// `A better order is known: 1.5 days sooner, 4 steps move`.
    pub words: String,
    pub kept: KeptOrder,
}

/// Price and buying list of an answer.
#[derive(Clone, Debug)]
pub struct PricedOf {
    /// Revision of the job it is of.
    pub revision: u64,
    /// Steps and people are named by this one.
    pub sound: Arc<Sound>,
    pub priced: Priced,
    /// Of a job under way what is still to buy.
    pub to_buy: Option<Buying>,
}

impl PricedOf {
    /// What is to buy as the job stands.
    pub fn list(&self) -> &Buying {
        self.to_buy.as_ref().unwrap_or(&self.priced.buying)
    }
}

/// Something worked out beside an answer.
#[derive(Clone, Debug)]
pub enum Beside {
    Starts(Arc<Starts>),
    /// The option of this place and name, and its price where it has one.
    Option(usize, String, Way, Option<Money>),
    Price(Arc<PricedOf>),
    Offer(Option<Arc<Offered>>),
    /// What the evening before had for a day, as the entry that says it was done so.
    Day(Arc<DayLog>),
    First(Arc<Outlook>),
    /// Ways back, as far as they are worked out.
    Ways(Arc<WaysBack>),
    /// The client's page of the job at this revision.
    Client(u64, Arc<ClientPage>),
    /// So many days are written up, of so many.
    Writing(usize, usize),
}

/// What stands beside the answer; what is of an older job stays until it is worked out anew.
#[derive(Clone, Debug, Default)]
pub struct Besides {
    pub starts: Option<Arc<Starts>>,
    pub options: Vec<(String, Option<Way>, Option<Money>)>,
    pub priced: Option<Arc<PricedOf>>,
    /// Only ever of the job as it stands.
    pub offer: Option<Arc<Offered>>,
    /// Days as the evening before each had them.
    pub days: Vec<Arc<DayLog>>,
    /// The plan from the first day with its odds.
    pub first: Option<Arc<Outlook>>,
    /// Only ever of the job as it stands.
    pub ways: Option<Arc<WaysBack>>,
    /// The client's page, and the revision it is of.
    pub client: Option<(u64, Arc<ClientPage>)>,
    /// Days written up so far, of how many, while several are.
    pub writing: Option<(usize, usize)>,
}

impl Besides {
    /// Takes one in.
    pub fn take(&mut self, what: Beside) {
        match what {
            Beside::Starts(s) => self.starts = Some(s),
            Beside::Price(p) => self.priced = Some(p),
            Beside::Option(i, name, way, price) => {
                if self.options.len() <= i {
                    self.options.resize(i + 1, (String::new(), None, None));
                }
                self.options[i] = (name, Some(way), price);
            }
            Beside::Offer(o) => self.offer = o,
            Beside::Day(d) => {
                self.days.retain(|x| x.day != d.day);
                self.days.push(d);
            }
            Beside::First(o) => self.first = Some(o),
            Beside::Ways(a) => self.ways = Some(a),
            Beside::Client(revision, page) => self.client = Some((revision, page)),
            Beside::Writing(done, of) => self.writing = Some((done, of)),
        }
    }

    /// What the evening before had for a day.
    pub fn day(&self, day: NaiveDate) -> Option<&Arc<DayLog>> {
        self.days.iter().find(|d| d.day == day)
    }

    /// The answer of the option of this place and name.
    pub fn option(&self, at: usize, name: &str) -> Option<&Way> {
        self.options.get(at).filter(|o| o.0 == name).and_then(|o| o.1.as_ref())
    }

    /// Its price.
    pub fn option_price(&self, at: usize, name: &str) -> Option<Money> {
        self.options.get(at).filter(|o| o.0 == name).and_then(|o| o.2)
    }
}
