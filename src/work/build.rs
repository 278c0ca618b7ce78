//! Job to work graph: rooms x surfaces x recipes, own steps and gates, to steps and links.
//!
//! Rows come from the job's own copies of rates, products and recipes, else from the bundled
//! tables. Labor = quantity x rate x difficulty + set-up, in minutes of one person.
//!
//! Conventions other modules rely on: a `Dry(stage)` link whose product lacks the stage counts
//! as done; links from a step that is not planned (a redo not drawn, a surprise not found, a
//! scuff-sand not needed) are met; gates have nobody and no labor. Steps stand in an order in
//! which every step comes after what it needs, top down where nothing else decides.

mod checks;
mod gates;
mod hours;
mod links;
mod names;
mod own;
mod rows;
mod sort;
mod twins;

use std::collections::BTreeMap;

use super::{Ask, BeginWindow, Coat, Link, Step, WorkGraph};
use crate::job::{Job, Problem, Window};
use crate::takeoff::{self, RoomTakeoff};
use crate::trade::{self, Leaves, LinkKind, Product, Rate, Recipe, Stage, Switch};

pub use hours::{EMPTY, LEAD, MOST_DIFFICULT};
pub use names::nearest;

/// Conditions on choices: all must hold.
type When = Vec<(usize, usize)>;

/// Rank among steps nothing else decides: room, part and surface, row.
type Key = (usize, usize, usize);

/// Builds the graph, or says everything that stands against it.
///
/// # Errors
/// All problems found, each at its field path.
pub fn build(job: &Job) -> Result<WorkGraph, Vec<Problem>> {
    let (graph, problems) = attempt(job);
    if problems.is_empty() { Ok(graph) } else { Err(problems) }
}

/// Builds as much of the graph as can be built, with everything that stands against it. With
/// any problem the graph is good for looking for more of them and for nothing else: needs
/// that name nothing are missing in it, and steps may wait for each other.
pub fn attempt(job: &Job) -> (WorkGraph, Vec<Problem>) {
    let mut problems = Vec::new();
    let rooms = (0..job.rooms.len()).map(|i| takeoff::room(job, i, &mut problems)).collect();
    let mut b = Builder { job, rooms, problems, ..Builder::new(job) };
    b.rooms();
    b.own_steps();
    b.gates();
    b.link_rows();
    b.link_own();
    b.link_gates();
    b.settle_choices();
    b.scuffs();
    b.surprises();
    b.close_rooms();
    b.again();
    b.follow_twins();
    b.named_elsewhere();
    b.idle_gates();
    b.check();
    let Builder { mut problems, graph, keys, .. } = b;
    // One fault, one line, in the order of the file's paths as met.
    let mut seen = std::collections::BTreeSet::new();
    problems.retain(|p| seen.insert((p.path.clone(), p.what.clone())));
    (sort::in_order(graph, &keys), problems)
}

/// A step made from a recipe's row, with what its links will be made of.
struct RowStep {
    step: usize,
    room: usize,
    surface: usize,
    /// Index into the expanded recipe of the surface.
    row: usize,
}

struct Builder<'a> {
    job: &'a Job,
    rooms: Vec<RoomTakeoff>,
    graph: WorkGraph,
    problems: Vec<Problem>,
    /// Order among steps nothing else decides, by step.
    keys: Vec<Key>,
    rows: Vec<RowStep>,
    /// Expanded recipe and its choices (recipe choice id to graph choice) by (room, surface).
    recipes: BTreeMap<(usize, usize), rows::Chosen>,
    /// Steps giving a milestone, by (room, milestone).
    milestones: BTreeMap<(usize, String), Vec<usize>>,
    /// Milestone the room must give for a choice to be open: (choice, room, milestone).
    only_with: Vec<(usize, usize, String)>,
    /// Tests the age of the house asks for, each made once: step and row.
    tests: Vec<(usize, crate::trade::Row)>,
    /// Twin and original.
    twins: Vec<(usize, usize)>,
    /// First index of own steps and of gates by kind.
    own: Vec<Vec<usize>>,
    deliveries: Vec<usize>,
    decisions: Vec<usize>,
    visits: Vec<usize>,
}

impl<'a> Builder<'a> {
    fn new(job: &'a Job) -> Builder<'a> {
        Builder {
            job,
            rooms: Vec::new(),
            graph: WorkGraph::default(),
            problems: Vec::new(),
            keys: Vec::new(),
            rows: Vec::new(),
            recipes: BTreeMap::new(),
            milestones: BTreeMap::new(),
            only_with: Vec::new(),
            tests: Vec::new(),
            twins: Vec::new(),
            own: Vec::new(),
            deliveries: Vec::new(),
            decisions: Vec::new(),
            visits: Vec::new(),
        }
    }

    fn problem(&mut self, path: impl Into<String>, what: impl Into<String>, remedy: impl Into<String>) {
        self.problems.push(Problem::new(path, what, remedy));
    }

    fn push(&mut self, step: Step, key: Key) -> usize {
        self.graph.steps.push(step);
        self.keys.push(key);
        self.graph.steps.len() - 1
    }

    /// Links two steps unless they can never be there together.
    fn link(&mut self, from: usize, to: usize, ask: Ask, lag: i64, longest_h: Option<f64>, when: &[(usize, usize)]) {
        if from == to {
            return;
        }
        let steps = &self.graph.steps;
        let Some(when) = both(&steps[from].when, &steps[to].when).and_then(|w| both(&w, when)) else { return };
        let link = Link { from, to, ask, lag, longest_h, when };
        if !self.graph.links.contains(&link) {
            self.graph.links.push(link);
        }
    }

    fn rate(&self, id: &str) -> Option<&'a Rate> {
        self.job.rates.iter().find(|r| r.id == id).or_else(|| trade::tables().rate(id))
    }

    fn recipe(&self, id: &str) -> Option<&'a Recipe> {
        self.job.recipes.iter().find(|r| r.id == id).or_else(|| trade::tables().recipe(id))
    }

    fn product(&self, id: &str) -> Option<&'a Product> {
        self.job.products.iter().find(|p| p.id == id).or_else(|| trade::tables().product(id))
    }

    /// The coat a step leaves, its product added to the graph.
    fn coat(&mut self, leaves: &Leaves, path: &str) -> Option<Coat> {
        let Some(p) = self.product(&leaves.product) else {
            let all = self.job.products.iter().chain(&trade::tables().products).map(|p| p.id.as_str());
            let remedy = names::hint(&leaves.product, all, "give the id of a product row");
            self.problem(path, format!("there is no product \"{}\"", leaves.product), remedy);
            return None;
        };
        let thick = if leaves.thick == 0.0 { 1.0 } else { leaves.thick };
        if !(thick > 0.0 && thick <= 100.0) {
            self.problem(path, "a coat's thickness must be above 0", "1 is the product's reference coat");
            return None;
        }
        let product = self.graph.products.iter().position(|q| q.id == p.id).unwrap_or_else(|| {
            self.graph.products.push(p.clone());
            self.graph.products.len() - 1
        });
        Some(Coat { product, thick })
    }

    fn windows(&self, list: &[Window]) -> Vec<BeginWindow> {
        list.iter()
            .map(|w| {
                let mut days = [false; 7];
                w.days.iter().for_each(|d| days[d.index()] = true);
                BeginWindow { days, day: w.date.map(|d| self.job.day_of(d)), from: w.from.0, to: w.to.0 }
            })
            .collect()
    }

    /// Elapsed minutes of a lag in hours, or in a study's units.
    fn minutes(&self, hours: f64) -> i64 {
        let unit = self.job.study.as_ref().map_or(60.0, |s| s.unit_minutes as f64);
        libm::round(hours * unit) as i64
    }

    /// Whether a cause of lateness may add steps.
    fn causes(&self, switch: Switch) -> bool {
        switch == Switch::On && self.job.study.is_none()
    }
}

/// Both conditions together, or nothing if they contradict each other.
fn both(a: &[(usize, usize)], b: &[(usize, usize)]) -> Option<When> {
    let mut out = a.to_vec();
    for &(c, o) in b {
        match out.iter().find(|x| x.0 == c) {
            Some(x) if x.1 != o => return None,
            Some(_) => {}
            None => out.push((c, o)),
        }
    }
    out.sort_unstable();
    Some(out)
}

/// What a need asks.
fn ask(kind: LinkKind, dry: Option<Stage>) -> Ask {
    match (kind, dry) {
        (LinkKind::Fs, Some(stage)) => Ask::Dry(stage),
        (LinkKind::Fs, None) => Ask::Done,
        (LinkKind::Ss, _) => Ask::Begun,
        (LinkKind::Ff, _) => Ask::EndAfterEnd,
        (LinkKind::Sf, _) => Ask::EndAfterBegin,
    }
}

/// What a next coat asks of this one: its recoat or sanding stage, whichever comes first.
fn next_coat(product: &Product) -> Ask {
    let stages = [Stage::Recoat, Stage::Sand];
    let first = stages.into_iter().filter(|&s| product.hours.hours(s).is_some()).min_by(|&a, &b| {
        let h = |s| product.hours.hours(s).unwrap_or(f64::INFINITY);
        h(a).total_cmp(&h(b))
    });
    first.map_or(Ask::Done, Ask::Dry)
}
