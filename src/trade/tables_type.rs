//! The rows a job draws on: rates, products, recipes.

use super::{Product, Rate, Recipe};

/// Rates, products and recipes, as bundled or as a job's own copies.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tables {
    pub rates: Vec<Rate>,
    pub products: Vec<Product>,
    pub recipes: Vec<Recipe>,
}
