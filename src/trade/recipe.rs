//! Recipes: how a surface gets its finish, as ordered rows of steps.

use serde::{Deserialize, Serialize};

use super::{Flags, Leaves, LinkKind, Part, Stage, Tag};

/// An ordered list of steps that gives a surface its finish.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Recipe {
    pub id: String,
    pub name: String,
    /// What it may be used on.
    pub parts: Vec<Part>,
    /// Choices the search makes, each with its options, the usual one first.
    pub choices: Vec<RecipeChoice>,
    /// Recipes whose choices and rows come first, in this order; none left once expanded.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub includes: Vec<String>,
    pub steps: Vec<Row>,
    pub note: String,
    /// What a client is told of it, one behind the other; its name where empty.
    pub client: Vec<Say>,
}

/// Words a client is told, where the plan does what they name.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Say {
    /// With the spaces and commas around it.
    pub say: String,
    /// Only where this row of the recipe is done; always where empty.
    pub row: String,
    /// Only where something is done to this part of the room.
    pub part: Option<Part>,
}

impl Recipe {
    /// What a client is told of it: the words whose row and part are done, the name where it has none.
    pub fn told(&self, row: &dyn Fn(&str) -> bool, part: &dyn Fn(Part) -> bool) -> String {
        let said = |s: &&Say| (s.row.is_empty() || row(&s.row)) && s.part.is_none_or(part);
        let words: String = self.client.iter().filter(said).map(|s| s.say.as_str()).collect();
        match (words.trim(), self.name.is_empty()) {
            ("", true) => self.id.clone(),
            ("", false) => self.name.clone(),
            (words, _) => words.to_string(),
        }
    }
}

/// A choice between methods.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct RecipeChoice {
    pub id: String,
    pub name: String,
    pub options: Vec<String>,
    /// Open only where a step of the room gives this milestone; else the usual option stands.
    pub only_with: String,
}

/// One row of a recipe.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Row {
    pub id: String,
    pub name: String,
    /// Terms of its labor, summed: `quantity x rate x factor`.
    pub labor: Vec<Term>,
    /// Set-up minutes at its head.
    pub setup_min: i64,
    /// In the room, or in the shop or booth.
    pub place: RowPlace,
    pub flags: Flags,
    /// Product left.
    pub leaves: Option<Leaves>,
    /// How many pieces: by wall plane, panel or elevation.
    pub pieces: Pieces,
    /// Fewest and most pairs of hands.
    pub hands: (u32, u32),
    /// Nobody: waits this many elapsed hours (rest, acclimation).
    pub rest_h: Option<f64>,
    /// Begins only below this relative humidity of its place, 0 to 1.
    pub rh_below: Option<f64>,
    /// Business days of a laboratory or supplier, nobody's hands.
    pub business_days: Option<f64>,
    /// Racks held a piece until it may be handled.
    pub racks: Racks,
    /// Waits for earlier rows of this recipe; the row before it when empty (then dry to
    /// recoat, else to handle, where that row leaves a product with the stage).
    pub needs: Vec<RowNeed>,
    /// First of its recipe: waits for nothing of its own recipe.
    pub first: bool,
    /// Milestones of the room it waits for.
    pub after: Vec<After>,
    /// Milestones it belongs to.
    pub gives: Vec<String>,
    /// Only with this option of a choice of the recipe: `(choice, option)`.
    pub when: Option<(String, String)>,
    /// The step waits for the room's walk-through appointment.
    pub appointment: bool,
    pub trade: String,
    pub fit_up: bool,
    /// Redo key in the risks table.
    pub redo: Option<String>,
    /// Quantity that counts the independent chances of the redo; one where empty.
    pub redo_per: String,
    /// Disturbs old paint or compound: half as long again under lead work practices.
    pub disturbs: bool,
    /// Only in a house built before this year; a house of unknown age counts as old.
    pub built_before: Option<i32>,
    pub tag: Tag,
    pub note: String,
}

/// One term of a row's labor.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Term {
    /// Quantity of the take-off, by its id (`wall_gross_labor`, `crown_run`, `one` ...).
    pub of: String,
    /// Rate row id.
    pub rate: String,
    /// Plain factor (a share of a row, two coats ...); 0 = not said = 1.
    pub times: f64,
    /// The row carries its own ladder factor: take no second one.
    pub own_ladder: bool,
}

/// Where a row is done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RowPlace {
    #[default]
    Room,
    Shop,
    Booth,
}

/// How a coat or glue-up is split into pieces.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Pieces {
    /// All at once.
    #[default]
    One,
    /// Wall planes, by area.
    WallPlanes,
    /// Panels, alike.
    Panels,
    /// Elevations to spray, alike.
    Elevations,
    /// Openings, alike.
    Openings,
}

/// Racks a row takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Racks {
    #[default]
    None,
    /// One a panel.
    Panels,
    /// One for each ten sticks of trim.
    Sticks,
}

/// A need inside the recipe.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct RowNeed {
    /// Row id.
    pub row: String,
    pub link: LinkKind,
    pub dry: Option<Stage>,
    /// Elapsed hours.
    pub lag: f64,
    /// Longest wait, hours by the coat's clock.
    pub longest: Option<f64>,
    /// Only with this option: `(choice, option)`.
    pub when: Option<(String, String)>,
}

/// A milestone of the room a row waits for: every step of the room that gives it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct After {
    pub milestone: String,
    pub dry: Option<Stage>,
    /// Only with this option: `(choice, option)`.
    pub when: Option<(String, String)>,
}
