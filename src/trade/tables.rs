//! The bundled tables of `assets/trade`, read once; rows by id; recipes with their includes
//! put in. Hours of one person per unit; drying hours in the product's reference air. Each
//! row carries tag and source. It refuses to know any job.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::{Product, Rate, Recipe, RoomSet, Row, Tables, Tag};

/// Something that can hurt: a prompt, never a permission; local code and licensed practice win.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Caution {
    pub id: String,
    pub name: String,
    /// The body whose rule it is.
    pub rule: String,
    pub text: String,
    /// Ids of the recipe rows it belongs to.
    pub rows: Vec<String>,
    #[serde(default)]
    pub tag: Tag,
}

const RATES: &str = include_str!("../../assets/trade/rates.ron");
const PRODUCTS: &str = include_str!("../../assets/trade/products.ron");
const RECIPES: &str = include_str!("../../assets/trade/recipes.ron");
const MATERIALS: &str = include_str!("../../assets/trade/materials.ron");
const SETS: &str = include_str!("../../assets/trade/sets.ron");
const CAUTIONS: &str = include_str!("../../assets/trade/cautions.ron");

static TABLES: LazyLock<Tables> = LazyLock::new(|| {
    let mut t =
        Tables { rates: read(RATES), products: read(PRODUCTS), recipes: read(RECIPES), materials: read(MATERIALS) };
    t.recipes =
        t.recipes.iter().map(|r| expand(r, &t.recipes).expect("bundled recipes include each other soundly")).collect();
    t
});
static CAUTION_ROWS: LazyLock<Vec<Caution>> = LazyLock::new(|| read(CAUTIONS));

static SET_ROWS: LazyLock<Vec<RoomSet>> = LazyLock::new(|| read(SETS));

/// A bundled table; its soundness is a test, so a fault here is a fault of the build.
fn read<T: serde::de::DeserializeOwned>(text: &str) -> Vec<T> {
    ron::Options::default()
        .with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
        .from_str(text)
        .expect("a bundled table reads")
}

/// The bundled tables, recipes expanded.
pub fn tables() -> &'static Tables {
    &TABLES
}

/// The bundled whole-room sets.
pub fn sets() -> &'static [RoomSet] {
    &SET_ROWS
}

/// The bundled cautions.
pub fn cautions() -> &'static [Caution] {
    &CAUTION_ROWS
}

impl Tables {
    /// The rate row with this id.
    pub fn rate(&self, id: &str) -> Option<&Rate> {
        self.rates.iter().find(|r| r.id == id)
    }
    /// The product row with this id.
    pub fn product(&self, id: &str) -> Option<&Product> {
        self.products.iter().find(|p| p.id == id)
    }
    /// The recipe with this id.
    pub fn recipe(&self, id: &str) -> Option<&Recipe> {
        self.recipes.iter().find(|r| r.id == id)
    }
}

/// The recipe with the choices and rows of what it includes put before its own, in order.
/// A row that is the first of an included recipe follows the last row before it unless it
/// says `first`.
///
/// # Errors
/// The id of a recipe that is not there, or that includes itself.
pub fn expand(recipe: &Recipe, among: &[Recipe]) -> Result<Recipe, String> {
    fn put(r: &Recipe, among: &[Recipe], open: &mut Vec<String>, out: &mut Recipe) -> Result<(), String> {
        if open.contains(&r.id) {
            return Err(r.id.clone());
        }
        open.push(r.id.clone());
        for id in &r.includes {
            put(among.iter().find(|x| x.id == *id).ok_or_else(|| id.clone())?, among, open, out)?;
        }
        open.pop();
        out.choices.extend(
            r.choices.iter().filter(|c| !out.choices.iter().any(|o| o.id == c.id)).cloned().collect::<Vec<_>>(),
        );
        out.steps.extend(r.steps.iter().cloned());
        Ok(())
    }
    let mut out = Recipe { choices: Vec::new(), steps: Vec::<Row>::new(), includes: Vec::new(), ..recipe.clone() };
    put(recipe, among, &mut Vec::new(), &mut out)?;
    Ok(out)
}
