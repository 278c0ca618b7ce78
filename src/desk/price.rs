//! Buying list and price of a planned job.

use super::Sound;
use crate::buying::{self, Buying, KERF};
use crate::clock::At;
use crate::forecast::{Forecast, begins, stats};
use crate::measure::Length;
use crate::pricing::{self, Price};
use crate::schedule::Stuck;
use crate::search::Found;

/// The price of a plan and what is bought for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Priced {
    pub buying: Buying,
    pub price: Price,
}

/// Begins of steps in trials.
struct Begins {
    steps: Vec<usize>,
    all: Vec<Vec<i64>>,
    /// Share of the trials that may begin earlier.
    share: f64,
}

impl Begins {
    fn of(&self, step: usize) -> Option<(At, usize)> {
        let at = self.steps.binary_search(&step).ok()?;
        stats::quantile(&self.all[at], self.share).map(|t| (At(t), self.all[at].len()))
    }
}

impl Sound {
    /// Buying list and price of a plan, a usual saw's cut.
    ///
    /// # Errors
    /// When the order cannot be carried out in some trial.
    pub fn priced(&self, found: &Found, f: &Forecast) -> Result<Priced, Stuck> {
        let buying = self.buying(found, KERF)?;
        let price = self.price(found, f, &buying);
        Ok(Priced { buying, price })
    }

    /// The buying list of a plan, `kerf` lost at each cut. Order days that keep the date come from
    /// 500 trials of its order.
    ///
    /// # Errors
    /// When the order cannot be carried out in some trial.
    pub fn buying(&self, found: &Found, kerf: Length) -> Result<Buying, Stuck> {
        let early = self.early(found)?;
        Ok(buying::buying(&self.job, &self.graph, &found.plan, kerf, &|s| early.of(s)))
    }

    /// What is to buy as the job stands: of a job under way what is still needed, else all of it.
    ///
    /// # Errors
    /// When the order cannot be carried out in some trial.
    pub fn to_buy(&self, found: &Found, kerf: Length) -> Result<Buying, Stuck> {
        let Some(facts) = self.setting.standing.as_deref().filter(|f| f.begun()) else {
            return self.buying(found, kerf);
        };
        let early = self.early(found)?;
        Ok(buying::still(&self.job, &self.graph, &found.plan, facts, kerf, &|s| early.of(s)))
    }

    /// When each step of a plan begins in 500 trials of its order.
    fn early(&self, found: &Found) -> Result<Begins, Stuck> {
        let net = self.net(found);
        let mut steps: Vec<usize> = found.plan.steps.iter().map(|t| t.step).collect();
        steps.sort_unstable();
        let all = begins(&self.job, &net, &found.plan.order, self.job.seed, &steps)?;
        Ok(Begins { steps, all, share: 1.0 - self.job.confidence })
    }

    /// The price of a plan by itself, without days to order by. None where somebody's hours have no cost, nothing is paid,
    /// or it is a published network.
    pub fn price_alone(&self, found: &Found, f: &Forecast) -> Option<Price> {
        if self.job.study.is_some() || f.paid.is_empty() {
            return None;
        }
        let list = buying::buying(&self.job, &self.graph, &found.plan, KERF, &|_| None);
        Some(self.price(found, f, &list)).filter(|p| p.trusted(&self.job))
    }

    /// The price of a plan with its odds, read from stored trials.
    pub fn price(&self, found: &Found, f: &Forecast, buying: &Buying) -> Price {
        pricing::price(&self.job, &self.net(found), &found.plan, f, buying)
    }
}
