//! The window (egui): panels read one whole answer and their own small state, and collect
//! actions; the actions are done after drawing. It formats no figures, judges nothing and
//! plans nothing.

pub mod action;
mod against;
pub mod bench;
mod benches;
mod cards;
mod client;
pub mod explain;
pub mod files;
pub mod find;
pub mod icon;
pub mod icons;
mod marks;
mod measure;
mod menu;
mod print;
mod promise;
mod quote;
mod section;
pub mod session;
pub mod shelf;
pub mod shown;
mod site;
pub mod start;
mod strip;
pub mod theme;
pub mod tries;
mod window;
mod words;
pub mod worker;

pub use window::Window;

use chrono::NaiveDate;
use session::WhatIf;
use shelf::Shelf;
use shown::{Answer, Besides, PricedOf, Shown};

use crate::job::{Job, Problem};
use crate::views::Against;

/// What a panel may read while it is drawn.
#[derive(Clone, Copy)]
pub struct Scene<'a> {
    /// The job as it stands; an answer may still be of the job before.
    pub job: &'a Job,
    /// Its revision.
    pub revision: u64,
    pub shown: Option<&'a Shown>,
    pub answer: Option<&'a Answer>,
    /// The question asked, answered or not.
    pub question: Option<&'a WhatIf>,
    /// Start days, options, a better order.
    pub besides: &'a Besides,
    /// What stands against a plan of the job as it stands.
    pub problems: &'a [Problem],
    /// The same in the words of the job.
    pub against: &'a Against,
    /// Id of the selected step.
    pub selected: Option<&'a str>,
    /// The user's book.
    pub shelf: &'a Shelf,
    /// The day it is taken to be.
    pub today: NaiveDate,
    /// Days are being written up.
    pub writing: bool,
}

impl<'a> Scene<'a> {
    /// Price and buying list, and whether they are of the job as it stands.
    pub fn priced(&self) -> Option<(&'a PricedOf, bool)> {
        let p = self.besides.priced.as_deref()?;
        let now = p.revision == self.revision && self.shown.is_some_and(|s| s.revision == self.revision);
        Some((p, now))
    }
}
