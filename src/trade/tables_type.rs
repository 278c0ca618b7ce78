//! The starter tables of the trade, as one value.

use super::{Product, Rate, Recipe};

/// Rates, products and recipes a job may draw on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tables {
    pub rates: Vec<Rate>,
    pub products: Vec<Product>,
    pub recipes: Vec<Recipe>,
}
