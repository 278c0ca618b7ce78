//! What is bought: sold lengths, sheets, cans and pieces, how far they go, what uses them.
//!
//! A row of `assets/trade/materials.ron`, or the job's own copy of it. Sizes are feet of a stick
//! or a sheet, gallons of what is poured, a count of the rest; prices dollars before tax. A row
//! answers how much one coat, run or step takes by the rate rows of a recipe; which of them are
//! in a plan is not known here.

use serde::{Deserialize, Serialize};

use super::{Tables, Tag};
use crate::measure::Length;

/// Where it is bought.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Supplier {
    /// Profiles and boards by the stick.
    Millwork,
    /// Panels and boards by the sheet.
    Sheets,
    /// What comes in cans, tubs, bags and tubes.
    Paint,
    #[default]
    Sundries,
}

impl Supplier {
    /// All, in the order of a list.
    pub const ALL: [Supplier; 4] = [Supplier::Millwork, Supplier::Sheets, Supplier::Paint, Supplier::Sundries];
}

/// What its packages are counted in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Sold {
    /// Feet of one stick.
    Stick,
    /// Feet of one sheet's longer side.
    Sheet,
    /// Gallons.
    Gallon,
    /// Tubes, rolls, boxes, pieces.
    #[default]
    Each,
}

/// What is cut from a stick or a sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Cut {
    /// Nothing: it is poured or counted.
    #[default]
    None,
    /// A run along the walls, one piece from corner or opening to the next.
    Run,
    /// The same in pieces that may be joined anywhere.
    Joined,
    /// Legs and head round an opening.
    Casing,
    /// Sides and head of a window's jamb.
    Jamb,
    /// A window's stool.
    Stool,
    /// A window's apron.
    Apron,
    /// Stiles and rails of panels.
    Frame,
    /// Backs of panels, out of sheets.
    Back,
}

/// A size sold and its price.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Pack {
    /// Feet, gallons or pieces, by [`Sold`].
    pub size: f64,
    /// A sheet's shorter side, feet.
    pub wide: f64,
    /// Dollars of one, before tax.
    pub price: f64,
}

/// A rate row whose steps take of it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Use {
    /// Rate row of the step's labor.
    pub rate: String,
    /// Only where this quantity is counted; any where empty.
    pub of: String,
    /// Only steps of this row id; any where empty.
    pub row: String,
    /// Covered a unit of the quantity; 0 = not said = 1.
    pub per: f64,
    /// Quantity of the take-off counted instead.
    pub by: String,
    /// The share of the row's labor counts here too (a tenth of the wall, both faces).
    pub share: bool,
    /// Only steps that make dust.
    pub dusty: bool,
}

/// Something bought.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Material {
    pub id: String,
    pub name: String,
    pub supplier: Supplier,
    pub sold: Sold,
    pub packs: Vec<Pack>,
    /// How far one gallon or one piece goes (one foot of a stick or sheet: none).
    pub covers: f64,
    /// What `covers` counts: `SF`, `LF`, `room`.
    pub unit: String,
    /// Share bought beyond the need, 0.1 = a tenth more; sticks are cut exactly and have none.
    pub waste: f64,
    /// Share more where it is sprayed.
    pub sprayed: f64,
    pub cut: Cut,
    /// Sticks may arrive so much short of their length.
    pub short: Length,
    /// Exact lengths cost this share more; 0 = not to be had.
    pub exact: f64,
    /// What the profile stands off its wall: added for the long point of an outside miter.
    pub off_wall: Length,
    /// Width of a stile or rail.
    pub wide: Length,
    /// Length lost in a scarf.
    pub scarf: Length,
    /// Spare sticks.
    pub spare: u32,
    /// Products of coats it is bought for, by id; then its uses say how much a coat covers.
    pub products: Vec<String>,
    pub uses: Vec<Use>,
    /// Rows of the room by whose first it must be at hand: carried in, milled, primed.
    pub at_hand: Vec<String>,
    /// Business days from the order.
    pub lead_days: f64,
    pub tag: Tag,
    /// Of coverage, waste and rule; prices are common practice, no source.
    pub source: String,
}

impl Material {
    /// The word for one unit of the need: `LF`, `SF`, `gal`.
    pub fn need_unit(&self) -> &'static str {
        match self.sold {
            Sold::Stick => "LF",
            Sold::Sheet => "sheet",
            Sold::Gallon => "gal",
            Sold::Each => "piece",
        }
    }

    /// Whether a job that draws on these rates and products may buy it.
    pub fn wanted(&self, rate: impl Fn(&str) -> bool, product: impl Fn(&str) -> bool) -> bool {
        match self.products.is_empty() {
            true => self.uses.iter().any(|u| rate(&u.rate)),
            false => self.products.iter().any(|p| product(p)),
        }
    }
}

impl Tables {
    /// The material row with this id.
    pub fn material(&self, id: &str) -> Option<&Material> {
        self.materials.iter().find(|m| m.id == id)
    }
}
