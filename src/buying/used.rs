//! Which rows of recipes a plan does, and how much of a material they take.
//!
//! A row is found by its step's id; of two rows with one id (two methods) the one whose method was
//! chosen. Batches of a row are one. Quantities are the take-off's; material never counts an
//! opening as wall.

use std::collections::BTreeMap;

use crate::job::Job;
use crate::measure::Length;
use crate::schedule::Plan;
use crate::takeoff::{Factor, Quantity, RoomTakeoff, Share};
use crate::trade::{Material, Recipe, Row, Term, Unit, Use, expand, tables};
use crate::work::WorkGraph;

/// A row of a recipe, or a step of the user's own, in the plan.
#[derive(Clone, Debug)]
pub struct InPlan {
    /// Step of the graph; of batches the first.
    pub step: usize,
    /// Index of room and surface; none for a step of the user's own.
    pub at: Option<(usize, usize)>,
    pub row: String,
    /// `prime walls`, with its room where the job has several.
    pub name: String,
    pub labor: Vec<Term>,
    /// Quantity of a step of the user's own.
    pub quantity: f64,
    pub dusty: bool,
    /// It shuts its place, so it is sprayed.
    pub sprayed: bool,
    /// Product of its coat, in the graph, and its thickness.
    pub product: Option<usize>,
    pub thick: f64,
    /// Share of it that takes material: 1, less of what is done again or has batches behind it.
    pub part: f64,
    /// Done again.
    pub again: bool,
}

impl InPlan {
    fn term(&self, u: &Use) -> Option<&Term> {
        let here = (u.row.is_empty() || u.row == self.row) && (!u.dusty || self.dusty);
        let of = |t: &&Term| t.rate == u.rate && (u.of.is_empty() || u.of == t.of);
        self.labor.iter().find(|t| here && of(t))
    }

    /// Whether it takes of a material by one of its uses.
    pub fn uses(&self, m: &Material) -> bool {
        m.uses.iter().any(|u| self.term(u).is_some())
    }

    /// Quantity of the take-off its matching use counts.
    pub fn counted(&self, m: &Material) -> &str {
        m.uses.iter().find_map(|u| self.term(u)).map_or("", |t| t.of.as_str())
    }
}

fn recipe(job: &Job, id: &str) -> Option<Recipe> {
    let found = job.recipes.iter().chain(&tables().recipes).find(|r| r.id == id)?;
    if found.includes.is_empty() {
        return Some(found.clone());
    }
    let among: Vec<Recipe> = job.recipes.iter().chain(&tables().recipes).cloned().collect();
    expand(found, &among).ok()
}

/// Whether the plan goes by the method a row stands under.
fn chosen(row: &Row, path: &str, graph: &WorkGraph, methods: &[usize]) -> bool {
    let Some((choice, option)) = &row.when else { return true };
    let id = format!("{path}/{choice}");
    let at = graph.choices.iter().position(|c| c.id == id);
    at.is_some_and(|c| graph.choices[c].options.get(methods[c]) == Some(option))
}

/// Everything a plan does that may take of a material, in the order of rooms, surfaces and rows.
pub fn in_plan(job: &Job, graph: &WorkGraph, plan: &Plan) -> Vec<InPlan> {
    let mut steps: BTreeMap<&str, usize> = BTreeMap::new();
    for t in &plan.steps {
        let id = graph.steps[t.step].id.as_str();
        // The first batch stands for all of them.
        match id.split_once('#') {
            Some((base, "1")) => steps.insert(base, t.step),
            Some(_) => None,
            None => steps.insert(id, t.step),
        };
    }
    let mut out = Vec::new();
    for (r, room) in job.rooms.iter().enumerate() {
        let called = match job.rooms.len() {
            1 => String::new(),
            _ => format!(" ({})", if room.name.is_empty() { &room.id } else { &room.name }),
        };
        for (s, surface) in room.surfaces.iter().enumerate() {
            let path = format!("{}/{}", room.id, surface.id);
            let rows = recipe(job, &surface.recipe).map_or_else(Vec::new, |x| x.steps);
            for row in rows.iter().filter(|row| chosen(row, &path, graph, &plan.order.methods)) {
                let Some(&step) = steps.get(format!("{path}/{}", row.id).as_str()) else { continue };
                let coat = graph.steps[step].coat;
                out.push(InPlan {
                    step,
                    at: Some((r, s)),
                    row: row.id.clone(),
                    name: format!("{}{called}", row.name),
                    labor: row.labor.clone(),
                    quantity: 0.0,
                    dusty: row.flags.dusty,
                    sprayed: row.flags.closes,
                    product: coat.map(|c| c.product),
                    thick: coat.map_or(1.0, |c| c.thick),
                    part: 1.0,
                    again: false,
                });
            }
        }
    }
    for own in &job.steps {
        let Some(&step) = steps.get(own.id.as_str()) else { continue };
        let coat = graph.steps[step].coat;
        let term = own.rate.iter().map(|(_, rate)| Term { rate: rate.clone(), ..Term::default() });
        out.push(InPlan {
            step,
            at: None,
            row: own.id.clone(),
            name: if own.name.is_empty() { own.id.clone() } else { own.name.clone() },
            labor: term.collect(),
            quantity: own.rate.as_ref().map_or(0.0, |r| r.0),
            dusty: own.flags.dusty,
            sprayed: own.flags.closes,
            product: coat.map(|c| c.product),
            thick: coat.map_or(1.0, |c| c.thick),
            part: 1.0,
            again: false,
        });
    }
    out
}

/// Whether a row of the plan wants a material bought.
pub type Wanted<'a> = &'a dyn Fn(&Material, &InPlan) -> bool;

/// What steps take of a material, in the unit it covers.
#[derive(Clone, Debug, Default)]
pub struct Taken {
    pub formula: Vec<Share>,
    /// The part of it that is sprayed.
    pub sprayed: f64,
    pub steps: Vec<usize>,
}

/// What is taken of a material that is poured or counted, by product of the coat where it is
/// bought for coats. `counted` is set for each row that took of it.
pub fn taken(
    m: &Material,
    graph: &WorkGraph,
    there: &[InPlan],
    wanted: Wanted,
    rooms: &[RoomTakeoff],
    counted: &mut [bool],
) -> Vec<(Option<usize>, Taken)> {
    let mut out: Vec<(Option<usize>, Taken)> = Vec::new();
    for (i, p) in there.iter().enumerate() {
        let coat = p.product.filter(|&c| m.products.contains(&graph.products[c].id));
        if !m.products.is_empty() && coat.is_none() {
            continue;
        }
        let mut shares: Vec<Share> = m.uses.iter().filter_map(|u| share(u, p, rooms, coat.is_some())).collect();
        let sum: f64 = shares.iter().map(Share::value).sum();
        counted[i] |= coat.is_some() && !shares.is_empty();
        shares.retain(|s| s.value() != 0.0);
        if sum <= 0.0 || !wanted(m, p) {
            continue;
        }
        let at = out.iter().position(|x| x.0 == coat).unwrap_or_else(|| {
            out.push((coat, Taken::default()));
            out.len() - 1
        });
        let t = &mut out[at].1;
        t.formula.extend(shares);
        t.sprayed += if p.sprayed { sum } else { 0.0 };
        t.steps.push(p.step);
    }
    out
}

/// One use as a share of a formula.
fn share(u: &Use, p: &InPlan, rooms: &[RoomTakeoff], coat: bool) -> Option<Share> {
    let term = p.term(u)?;
    let (name, first) = match p.at {
        None => ("quantity".to_string(), Factor::Number(p.quantity)),
        Some((room, surface)) => {
            let off = rooms.get(room)?;
            let q = quantity(off, surface, if u.by.is_empty() { &term.of } else { &u.by })?;
            let first = match q.unit {
                Unit::LinearFoot => Factor::Length(Length::from_feet(q.value)),
                Unit::SquareFoot => Factor::Area(q.value),
                _ => Factor::Number(q.value),
            };
            (q.name.clone(), first)
        }
    };
    let mut factors = vec![first];
    let mut times = |n: f64| {
        if n != 1.0 {
            factors.push(Factor::Number(n));
        }
    };
    times(if u.per == 0.0 { 1.0 } else { u.per });
    times(if u.share && term.times != 0.0 { term.times } else { 1.0 });
    times(if coat && p.thick > 0.0 { p.thick } else { 1.0 });
    times(p.part);
    Some(Share { what: format!("{}: {name}", p.name), less: false, factors })
}

/// A quantity of the take-off; of walls what is covered, not what labor counts.
fn quantity<'a>(off: &'a RoomTakeoff, surface: usize, id: &str) -> Option<&'a Quantity> {
    let net = id.strip_suffix("_labor").and_then(|base| off.of_surface(surface, &format!("{base}_material")));
    net.or_else(|| off.of_surface(surface, id))
}
