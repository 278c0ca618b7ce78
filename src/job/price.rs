//! What a job is priced by, and the quotes that were made of it.
//!
//! Shares are of 1: 0.1 is 10 %. Dollars are before tax unless a field says otherwise. A quote is
//! a record: it is never edited, only followed by a later one.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::measure::Money;

/// What the tax is taken of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TaxOn {
    /// The whole price.
    #[default]
    Price,
    /// Materials alone.
    Materials,
}

/// When a payment falls due: something both can see.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PayWhen {
    /// When the quote is signed.
    #[default]
    Agreement,
    /// On the first day of work.
    Begin,
    /// When the last piece of trim hangs.
    TrimHung,
    /// When the last coat is on.
    LastCoat,
    /// When the punch list is done.
    PunchList,
}

impl PayWhen {
    /// In the order they come.
    pub const ALL: [PayWhen; 5] =
        [PayWhen::Agreement, PayWhen::Begin, PayWhen::TrimHung, PayWhen::LastCoat, PayWhen::PunchList];
}

/// A step of payment.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Payment {
    pub when: PayWhen,
    /// Of the price with tax, 0 to 1; the shares of a job sum to 1.
    pub share: f64,
}

/// Dollars set aside for something not yet chosen or measured.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Allowance {
    pub what: String,
    pub dollars: f64,
}

/// What a job is priced by.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct PriceTerms {
    /// Overhead as a share of the direct cost.
    pub overhead: f64,
    /// Profit as a share of the price before tax.
    pub margin: f64,
    pub tax: f64,
    pub tax_on: TaxOn,
    /// Chance at which the hands' cost stays within price and contingency; 0 = no contingency.
    pub contingency: f64,
    /// What an hour after hours costs more, as a share of the hour.
    pub overtime: f64,
    /// The price with tax is rounded up to so many whole dollars, 1 to 1000; none leaves it to the cent.
    pub round_up: Option<u32>,
    /// What a day past the client's day costs, dollars a calendar day; none unless agreed.
    pub late_day: Option<f64>,
    pub payments: Vec<Payment>,
    pub allowances: Vec<Allowance>,
    /// What is in the price beside the surfaces measured, in words.
    pub inclusions: Vec<String>,
    pub exclusions: Vec<String>,
}

impl Default for PriceTerms {
    /// Remodelers of 2018: cost of sales 69.9 %, operating cost 24.8 %, net 5.2 % of the price
    /// (NAHB cost-of-doing-business study 2020): overhead 24.8 / 69.9 of cost. The rest is common
    /// practice, no source.
    fn default() -> Self {
        let pay = |when, share| Payment { when, share };
        PriceTerms {
            overhead: 0.355,
            margin: 0.052,
            tax: 0.0,
            tax_on: TaxOn::Price,
            contingency: 0.8,
            overtime: 0.5,
            round_up: None,
            late_day: None,
            payments: vec![
                pay(PayWhen::Agreement, 0.25),
                pay(PayWhen::TrimHung, 0.35),
                pay(PayWhen::LastCoat, 0.3),
                pay(PayWhen::PunchList, 0.1),
            ],
            allowances: Vec::new(),
            inclusions: Vec::new(),
            exclusions: Vec::new(),
        }
    }
}

impl PriceTerms {
    /// The share of a payment; 0 where there is none.
    pub fn share_at(&self, when: PayWhen) -> f64 {
        self.payments.iter().filter(|p| p.when == when).map(|p| p.share).sum()
    }

    /// The same terms with another share at one occasion, 0 to 1: the others are taken along in their
    /// proportion, so that all still sum to 1. At 0 the payment is left out; with no other there the
    /// rest falls to the punch list, or to the agreement.
    #[must_use]
    pub fn with_share(&self, when: PayWhen, share: f64) -> PriceTerms {
        const STEP: f64 = 1e4;
        let mine = libm::round(share.clamp(0.0, 1.0) * STEP);
        let others: Vec<(PayWhen, f64)> = PayWhen::ALL
            .into_iter()
            .filter(|w| *w != when)
            .map(|w| (w, self.share_at(w)))
            .filter(|x| x.1 > 0.0)
            .collect();
        let all: f64 = others.iter().map(|x| x.1).sum();
        let mut parts: Vec<(PayWhen, f64)> =
            others.iter().map(|(w, s)| (*w, libm::floor(s / all * (STEP - mine)))).collect();
        let rest = STEP - mine - parts.iter().map(|p| p.1).sum::<f64>();
        match parts.last_mut() {
            Some(last) => last.1 += rest,
            None if rest > 0.0 => {
                let to = if when == PayWhen::PunchList { PayWhen::Agreement } else { PayWhen::PunchList };
                parts.push((to, rest));
            }
            None => {}
        }
        parts.push((when, mine));
        parts.retain(|p| p.1 > 0.0);
        parts.sort_by_key(|p| p.0);
        let payments = parts.into_iter().map(|(when, n)| Payment { when, share: n / STEP }).collect();
        PriceTerms { payments, ..self.clone() }
    }
}

/// A line of a quote.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct QuoteLine {
    pub what: String,
    /// Integer cents.
    pub cents: i64,
}

/// A payment of a quote as it was given.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct QuotePayment {
    pub when: PayWhen,
    /// Integer cents, tax in it.
    pub cents: i64,
}

/// A quote as it was given: kept, never changed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Quote {
    pub made_on: NaiveDate,
    /// Name of the option quoted, where the job had several.
    #[serde(default)]
    pub option: String,
    /// Lines of the price, in order; they sum to `cents`.
    #[serde(default)]
    pub lines: Vec<QuoteLine>,
    /// The price with tax, cents.
    pub cents: i64,
    /// Payments, in the order they fall due; they sum to `cents`. None in a quote kept before they were.
    #[serde(default)]
    pub payments: Vec<QuotePayment>,
    /// The day promised when it was given; none where no day was, or in a quote kept before it was.
    #[serde(default)]
    pub promised: Option<NaiveDate>,
    /// The user's own number of it.
    #[serde(default)]
    pub number: String,
    /// Days it held from the day it was given; none where that was not said.
    #[serde(default)]
    pub valid_days: Option<u32>,
    /// Changes on record when it was given: they are in its price. None in a quote kept before they were counted.
    #[serde(default)]
    pub changes: Option<u32>,
    /// Labor hours paid, everything typical, and at the contingency's chance.
    pub hours: f64,
    pub hours_high: f64,
    pub likely: NaiveDate,
    pub safe: NaiveDate,
    pub confidence: f64,
    /// Chance that it costs more than it brings, when it was made.
    pub loss: f64,
    #[serde(default)]
    pub assumptions: Vec<String>,
    #[serde(default)]
    pub inclusions: Vec<String>,
    #[serde(default)]
    pub exclusions: Vec<String>,
    /// What would move the day or the price.
    #[serde(default)]
    pub moves: Vec<String>,
}

impl Quote {
    /// The price with tax.
    pub fn price(&self) -> Money {
        Money(self.cents)
    }
}

impl super::Job {
    /// The quote given last.
    pub fn quote(&self) -> Option<&Quote> {
        self.quotes.last()
    }

    /// Changes on record that the quote given last does not hold, work done again among them; all where none was given.
    /// Of a quote that does not say which it holds, those of its day and later.
    pub fn changes_since_quote(&self) -> &[super::ChangeOrder] {
        let from = self.quote().map_or(0, |q| match q.changes {
            Some(n) => n as usize,
            None => self.changes.iter().take_while(|c| c.day < q.made_on).count(),
        });
        self.changes.get(from..).unwrap_or_default()
    }

    /// Whether something was agreed with the client after the quote given last.
    pub fn changed_since_quote(&self) -> bool {
        self.quote().is_some() && self.changes_since_quote().iter().any(|c| c.kind == super::ChangeKind::Scope)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_changed_takes_the_others_along_and_all_is_paid() {
        let sum = |t: &PriceTerms| t.payments.iter().map(|p| p.share).sum::<f64>();
        let usual = PriceTerms::default();
        let half = usual.with_share(PayWhen::Agreement, 0.5);
        // 35, 30 and 10 of 75 share the other half.
        assert!((half.share_at(PayWhen::TrimHung) - 0.2333).abs() < 1e-3 && (sum(&half) - 1.0).abs() < 1e-9);
        for when in PayWhen::ALL {
            for share in [0.0, 0.001, 0.333, 0.9, 1.0] {
                let t = usual.with_share(when, share);
                assert!((sum(&t) - 1.0).abs() < 1e-9 && (t.share_at(when) - share).abs() < 1e-4, "{when:?} {share}");
                assert!(t.payments.windows(2).all(|w| w[0].when < w[1].when), "{:?}", t.payments);
            }
        }
        let one = usual.with_share(PayWhen::PunchList, 1.0);
        assert_eq!(one.payments.len(), 1);
        assert_eq!(one.with_share(PayWhen::PunchList, 0.4).share_at(PayWhen::Agreement), 0.6);
    }
}
