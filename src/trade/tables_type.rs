//! The rows a job draws on: rates, products, recipes, materials.

use super::{Material, Product, Rate, Recipe};

/// Rates, products, recipes and materials, as bundled or as a job's own copies.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tables {
    pub rates: Vec<Rate>,
    pub products: Vec<Product>,
    pub recipes: Vec<Recipe>,
    pub materials: Vec<Material>,
}
