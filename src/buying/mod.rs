//! What must be bought for a plan: sticks and how to cut them, sheets, cans, sundries, each with
//! its formula and the days it must be ordered by.
//!
//! Reads take-off, recipes and the plan, so only what the plan does is bought. Rules: sticks are
//! planned piece by piece and never by feet times waste; sheets by whole rows of one size; cans by
//! coat; the rest by a rate row's quantity. Needs in feet, gallons, sheets or pieces; money in cents.
//! Sources stand with each row; methods in `docs/methods.md`. Hours and profit are not its matter.

mod ahead;
mod cutting;
mod order;
mod packs;
mod pieces;
mod sheets;
mod used;

pub use cutting::{Cutting, Stick, Stock, Uncut, Wanted, cut};
pub use order::{OrderBy, business_days_before};
pub use packs::cheapest;
pub use pieces::{CutStick, Piece, long_point, scarfed};
pub use sheets::a_sheet;

use crate::clock::At;
use crate::job::Job;
use crate::measure::{Length, Money};
use crate::schedule::Plan;
use crate::standing::Standing;
use crate::takeoff::{Share, takeoff};
use crate::trade::{Cut, Material, Sold, Supplier, tables};
use crate::work::WorkGraph;
use used::{InPlan, Taken};

/// A saw's cut where nothing else is said: 1/8 in.
pub const KERF: Length = Length(Length::INCH / 8);
/// Widest kerf asked for: an inch.
pub const MOST_KERF: Length = Length(Length::INCH);

/// So many packages of a size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bought {
    pub count: u32,
    /// Feet of a stick or sheet, gallons, or pieces in it.
    pub size: f64,
    /// Shorter side of a sheet, feet; 0 else.
    pub wide: f64,
    /// Of one.
    pub price: Money,
    /// Cut to an exact length by the supplier, at his surcharge.
    pub exact: bool,
    /// How many of them are spare.
    pub spare: u32,
}

/// A row of the buying list.
#[derive(Clone, Debug, PartialEq)]
pub struct BuyRow {
    /// Material row id.
    pub material: String,
    /// Product id of a coat; empty else.
    pub product: String,
    pub name: String,
    pub supplier: Supplier,
    pub sold: Sold,
    /// What is needed before waste, in `unit`.
    pub need: f64,
    pub unit: String,
    /// What is counted: covered area and length, feet of the pieces, backs of panels.
    pub formula: Vec<Share>,
    /// How far one unit goes, and what that counts; 0 for sticks and sheets.
    pub covers: f64,
    pub counts: String,
    /// Share added for waste.
    pub waste: f64,
    /// To be bought of it, waste in, in `unit`.
    pub amount: f64,
    pub packs: Vec<Bought>,
    pub cost: Money,
    /// Of sticks: how each is cut; the spare ones are not in it.
    pub sticks: Vec<CutStick>,
    /// No way to cut it costs less; true of what is not cut.
    pub proven: bool,
    /// How much less any way to cut it could cost at the most; nothing where it is proven.
    pub gap: Money,
    /// What is said of its pieces: scarfs, the rule of the sheets.
    pub notes: Vec<String>,
    /// Steps of the plan that take of it, in order of begin.
    pub steps: Vec<usize>,
    pub order: OrderBy,
    pub material_row: Material,
}

/// The buying list of a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Buying {
    /// By supplier, then in the order of the table.
    pub rows: Vec<BuyRow>,
    /// What could not be counted, a sentence each with its remedy.
    pub left_out: Vec<String>,
    pub kerf: Length,
    /// Of a job under way, where `rows` are what is still to buy: what was bought or used before.
    pub had: Option<Had>,
}

/// What a job under way need not buy any more.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Had {
    /// The day it is asked on.
    pub on: chrono::NaiveDate,
    /// Material, product (empty where it is no coat) and name of each row of the whole list that has come or was used, and
    /// whether some of it is still to buy.
    pub rows: Vec<(String, String, String, bool)>,
    /// What the whole list costs beyond what is still to buy of it.
    pub cost: Money,
}

impl Buying {
    /// All of it.
    pub fn cost(&self) -> Money {
        self.rows.iter().map(|r| r.cost).sum()
    }

    /// What one supplier gets.
    pub fn cost_of(&self, supplier: Supplier) -> Money {
        self.rows.iter().filter(|r| r.supplier == supplier).map(|r| r.cost).sum()
    }
}

/// The job's material rows: its own copies, then those of the tables it has no copy of.
pub fn materials(job: &Job) -> Vec<&Material> {
    let own = |m: &Material| job.materials.iter().find(|x| x.id == m.id);
    let table = tables().materials.iter();
    let mut out: Vec<&Material> = table.map(|m| own(m).unwrap_or(m)).collect();
    out.extend(job.materials.iter().filter(|m| tables().material(&m.id).is_none()));
    out
}

/// Answers, of a step of the graph, the minute before which it begins in no more than the share of trials
/// the job's confidence leaves, and of how many trials; none where no trials were asked.
pub type Early<'a> = &'a dyn Fn(usize) -> Option<(At, usize)>;

/// The buying list of a plan, all of it whatever was done.
pub fn buying(job: &Job, graph: &WorkGraph, plan: &Plan, kerf: Length, early: Early) -> Buying {
    listed(job, graph, plan, kerf, early, &used::in_plan(job, graph, plan), &|_, _| true)
}

/// What is still to buy for a job under way, with what it need not buy any more ([`Had`]): `facts` say how far each step is.
pub fn still(job: &Job, graph: &WorkGraph, plan: &Plan, facts: &Standing, kerf: Length, early: Early) -> Buying {
    let whole = buying(job, graph, plan, kerf, &|_| None);
    let (ahead, come) = ahead::ahead(job, graph, plan, facts);
    let wanted = |m: &Material, p: &InPlan| p.again || !come.has(m, p);
    let mut out = listed(job, graph, plan, kerf, early, &ahead, &wanted);
    let first = |m: &Material, p: &InPlan| !p.again && wanted(m, p);
    let again = ahead.iter().any(|p| p.again);
    let of_it = again.then(|| listed(job, graph, plan, kerf, &|_| None, &ahead, &first).rows);
    let of_it = of_it.as_ref().unwrap_or(&out.rows);
    let mut had = Had { on: job.date_of(facts.as_of.day()), ..Had::default() };
    let mut opened = Vec::new();
    for w in &whole.rows {
        let same = |r: &&BuyRow| (&r.material, &r.product) == (&w.material, &w.product);
        let rest = of_it.iter().find(same);
        if rest.is_none_or(|r| r.steps != w.steps || r.amount < w.amount) {
            had.rows.push((w.material.clone(), w.product.clone(), w.name.clone(), rest.is_some()));
            had.cost = had.cost + w.cost - rest.map_or(Money(0), |r| r.cost).min(w.cost);
            if w.sold != Sold::Stick && w.sold != Sold::Sheet {
                opened.push((w.material.clone(), w.product.clone()));
            }
        }
    }
    for r in out.rows.iter_mut().filter(|r| opened.contains(&(r.material.clone(), r.product.clone()))) {
        r.notes.push("for the steps to come; some was bought before, so look what is left of it first".into());
    }
    out.had = Some(had);
    out
}

/// The list of some rows of a plan, of each the materials wanted.
fn listed(
    job: &Job,
    graph: &WorkGraph,
    plan: &Plan,
    kerf: Length,
    early: Early,
    there: &[InPlan],
    wanted: used::Wanted,
) -> Buying {
    let kerf = Length(kerf.0.clamp(0, MOST_KERF.0));
    let rooms = takeoff(job).unwrap_or_default();
    let mut out = Buying { kerf, ..Buying::default() };
    let mut counted = vec![false; there.len()];
    for m in materials(job) {
        if m.cut == Cut::None {
            for (product, taken) in used::taken(m, graph, there, wanted, &rooms, &mut counted) {
                out.rows.extend(poured(m, graph, product, taken));
            }
            continue;
        }
        let mine: Vec<&InPlan> = there.iter().filter(|p| p.uses(m) && wanted(m, p)).collect();
        if mine.is_empty() {
            continue;
        }
        match m.sold {
            Sold::Sheet => out.rows.extend(sheets::row(m, job, &mine, kerf, &mut out.left_out)),
            _ => out.rows.extend(pieces::row(m, job, &mine, kerf, &mut out.left_out)),
        }
    }
    for (p, _) in there.iter().zip(&counted).filter(|(p, counted)| p.product.is_some() && !**counted) {
        let product = p.product.map_or("", |i| graph.products[i].name.as_str());
        out.left_out.push(format!(
            "{product} of {}: how much it takes is not known; add it as an allowance, or a use of a material row",
            p.name
        ));
    }
    out.left_out.dedup();
    for row in &mut out.rows {
        row.steps.sort_by_key(|&s| plan.timed(s).map_or(At(i64::MAX), |t| t.begin));
        row.steps.dedup();
        row.order = order::order_by(job, graph, plan, there, row, early);
    }
    out.rows.sort_by_key(|r| r.supplier);
    out
}

/// A row of cans, tubes or pieces; none where nothing is taken.
fn poured(m: &Material, graph: &WorkGraph, product: Option<usize>, taken: Taken) -> Option<BuyRow> {
    let covered: f64 = taken.formula.iter().map(Share::value).sum();
    if covered <= 0.0 || m.covers <= 0.0 {
        return None;
    }
    let amount = (covered + taken.sprayed * m.sprayed) * (1.0 + m.waste) / m.covers;
    let packs = cheapest(amount, &m.packs);
    let cost = packs.iter().map(|b| Money(b.price.0 * i64::from(b.count))).sum();
    let product = product.map(|i| &graph.products[i]);
    let mut notes = Vec::new();
    if taken.sprayed > 0.0 && m.sprayed > 0.0 {
        notes.push(format!("sprayed: {:.0} % more", m.sprayed * 100.0));
    }
    Some(BuyRow {
        material: m.id.clone(),
        product: product.map_or_else(String::new, |p| p.id.clone()),
        name: product.map_or_else(|| m.name.clone(), |p| p.name.clone()),
        need: covered / m.covers,
        formula: taken.formula,
        covers: m.covers,
        counts: m.unit.clone(),
        waste: m.waste,
        amount,
        packs,
        cost,
        notes,
        steps: taken.steps,
        ..blank(m)
    })
}

/// A row with nothing in it yet.
fn blank(m: &Material) -> BuyRow {
    BuyRow {
        material: m.id.clone(),
        product: String::new(),
        name: m.name.clone(),
        supplier: m.supplier,
        sold: m.sold,
        need: 0.0,
        unit: m.need_unit().into(),
        formula: Vec::new(),
        covers: 0.0,
        counts: String::new(),
        waste: 0.0,
        amount: 0.0,
        packs: Vec::new(),
        cost: Money(0),
        sticks: Vec::new(),
        proven: true,
        gap: Money(0),
        notes: Vec::new(),
        steps: Vec::new(),
        order: OrderBy::default(),
        material_row: m.clone(),
    }
}

/// A price in cents, at least one.
fn cents(dollars: f64) -> Money {
    Money(Money::from_dollars(dollars).0.max(1))
}

#[cfg(test)]
mod tests;
