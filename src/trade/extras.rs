//! What getting a day back costs: rows of `assets/trade/extras.ron`, dollars with unit, tag and
//! source. A job's own row of the same id wins. Also which product may stand in for another.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::Tag;

/// What an extra is paid by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ExtraUnit {
    /// Dollars an hour.
    Hour,
    #[default]
    Day,
    /// Dollars for each business day sooner.
    BusinessDay,
    Delivery,
    Visit,
    /// Dollars for each step with the other product.
    Step,
    /// A share added to the hourly cost.
    Share,
}

/// What an extra costs.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Extra {
    pub id: String,
    pub name: String,
    pub unit: ExtraUnit,
    /// Dollars a unit; a share of the hourly cost where the unit is one.
    pub amount: f64,
    pub tag: Tag,
    pub source: String,
}

/// A product that may stand in for another of its kind.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Swap {
    /// Product ids.
    pub from: String,
    pub to: String,
    /// Factor on the labor of the step, 1 = as before.
    pub labor: f64,
    /// The extra it costs, by its id.
    pub extra: String,
    /// What the client would notice; empty where nothing.
    pub notice: String,
    pub tag: Tag,
    pub source: String,
}

#[derive(Deserialize)]
struct File {
    extras: Vec<Extra>,
    swaps: Vec<Swap>,
}

static ROWS: LazyLock<File> = LazyLock::new(|| {
    ron::Options::default()
        .with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
        .from_str(include_str!("../../assets/trade/extras.ron"))
        .expect("a bundled table reads")
});

/// The bundled rows of what extras cost.
pub fn extras() -> &'static [Extra] {
    &ROWS.extras
}

/// The bundled rows of products that may stand in for others.
pub fn swaps() -> &'static [Swap] {
    &ROWS.swaps
}

/// The row of an extra: one of `own`, else the table's.
pub fn extra<'a>(own: &'a [Extra], id: &str) -> Option<&'a Extra> {
    own.iter().chain(extras()).find(|e| e.id == id)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::tables;

    #[test]
    fn every_row_is_named_once_with_its_source_and_every_stand_in_is_a_product_sooner_ready() {
        for (i, e) in extras().iter().enumerate() {
            assert!(extras()[..i].iter().all(|o| o.id != e.id) && !e.source.is_empty() && e.amount > 0.0, "{}", e.id);
        }
        for w in swaps() {
            let (from, to) =
                (tables().product(&w.from).expect("a product"), tables().product(&w.to).expect("a product"));
            assert!(extra(&[], &w.extra).is_some() && w.labor >= 1.0 && !w.source.is_empty());
            let sooner = |a: Option<f64>, b: Option<f64>| a.zip(b).is_some_and(|(a, b)| b < a);
            let (a, b) = (&from.hours, &to.hours);
            assert!(sooner(a.sand, b.sand) || sooner(a.recoat, b.recoat), "{} to {}", w.from, w.to);
        }
        let own = [Extra { amount: 9.0, ..extras()[0].clone() }];
        assert_eq!(extra(&own, &extras()[0].id).map(|e| e.amount), Some(9.0));
    }
}
