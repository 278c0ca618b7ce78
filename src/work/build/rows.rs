//! Surfaces and their recipes to steps.

use super::{Builder, RowStep, When, names};
use crate::job::{Part, PlaceKind, Problem};
use crate::trade::{self, Pieces, Racks, Recipe, Row, RowPlace, Unit};
use crate::work::{Choice, Crew, HourTerm, Kind, Role, Spread, Step};

/// Sticks of trim on one rack.
const STICKS_A_RACK: f64 = 10.0;
/// Loads of the racks a step is split into at most.
const MOST_BATCHES: u32 = 200;

/// A surface's expanded recipe, and where its choices and options stand in the graph.
pub(super) struct Chosen {
    pub recipe: Recipe,
    /// Per choice of the recipe: graph choice, and per option its place there (`None` = cannot
    /// be done by this crew).
    choices: Vec<(usize, Vec<Option<usize>>)>,
    /// Rows not made into steps: skipped, not for this house, nothing to do.
    pub dropped: Vec<bool>,
}

impl Chosen {
    /// The condition of the graph, or nothing if it can never hold.
    pub fn when(&self, w: &Option<(String, String)>) -> Option<When> {
        let Some((choice, option)) = w else { return Some(Vec::new()) };
        let k = self.recipe.choices.iter().position(|c| c.id == *choice)?;
        let o = self.recipe.choices[k].options.iter().position(|x| x == option)?;
        Some(vec![(self.choices[k].0, self.choices[k].1[o]?)])
    }
}

/// The word for a unit.
pub(super) fn unit_word(u: Unit) -> &'static str {
    match u {
        Unit::Day => "day",
        Unit::Delivery => "delivery",
        Unit::Room => "room",
        Unit::SquareFoot => "SF",
        Unit::LinearFoot => "LF",
        Unit::Each => "each",
        Unit::Opening => "opening",
        Unit::Window => "window",
        Unit::Box => "box",
        Unit::SprayDay => "spray day",
    }
}

impl Builder<'_> {
    /// All rooms' recipe steps, in the file's order.
    pub(super) fn rooms(&mut self) {
        for room in 0..self.job.rooms.len() {
            for surface in 0..self.job.rooms[room].surfaces.len() {
                self.surface(room, surface);
            }
        }
    }

    fn surface(&mut self, room: usize, surface: usize) {
        let job = self.job;
        let s = &job.rooms[room].surfaces[surface];
        let path = format!("rooms[{room}].surfaces[{surface}]");
        let Some(found) = self.recipe(&s.recipe) else {
            let all = job.recipes.iter().chain(&trade::tables().recipes).map(|r| r.id.as_str());
            let remedy = names::hint(&s.recipe, all, "give the id of a recipe");
            self.problem(format!("{path}.recipe"), format!("there is no recipe \"{}\"", s.recipe), remedy);
            return;
        };
        let among: Vec<Recipe> = job.recipes.iter().chain(&trade::tables().recipes).cloned().collect();
        let recipe = match trade::expand(found, &among) {
            Ok(r) => r,
            Err(id) => {
                let what =
                    format!("recipe \"{}\" includes \"{id}\", which is not there or includes it in turn", found.id);
                self.problem(format!("{path}.recipe"), what, "mend the recipe's includes");
                return;
            }
        };
        if !recipe.parts.is_empty() && !recipe.parts.contains(&s.part) {
            let what = format!("recipe \"{}\" is not for the {}", recipe.id, part_word(s.part));
            let parts: Vec<&str> = recipe.parts.iter().map(|&p| part_word(p)).collect();
            self.problem(format!("{path}.recipe"), what, format!("it is for: {}", parts.join(", ")));
            return;
        }
        for (i, c) in s.changes.iter().enumerate() {
            if !recipe.steps.iter().any(|r| r.id == c.step) {
                let remedy =
                    names::hint(&c.step, recipe.steps.iter().map(|r| r.id.as_str()), "name a step of the recipe");
                let what = format!("recipe \"{}\" has no step \"{}\"", recipe.id, c.step);
                self.problem(format!("{path}.changes[{i}].step"), what, remedy);
            }
        }
        let choices = self.choices(room, surface, &recipe, &path);
        let mut chosen = Chosen { dropped: vec![false; recipe.steps.len()], recipe, choices };
        for row in 0..chosen.recipe.steps.len() {
            chosen.dropped[row] = !self.row(room, surface, row, &chosen, &path);
        }
        self.recipes.insert((room, surface), chosen);
    }

    /// The recipe's choices with the options this crew can do; fixed ones as the job says.
    fn choices(
        &mut self,
        room: usize,
        surface: usize,
        recipe: &Recipe,
        path: &str,
    ) -> Vec<(usize, Vec<Option<usize>>)> {
        let r = &self.job.rooms[room];
        let s = &r.surfaces[surface];
        let crew = self.job.crew.len() as u32;
        for (i, (choice, option)) in s.methods.iter().enumerate() {
            let at = format!("{path}.methods[{i}]");
            match recipe.choices.iter().find(|c| c.id == *choice) {
                None => {
                    let all = recipe.choices.iter().map(|c| c.id.as_str());
                    let remedy = names::hint(choice, all, "name a choice of the recipe");
                    self.problem(at, format!("recipe \"{}\" has no choice \"{choice}\"", recipe.id), remedy);
                }
                Some(c) if !c.options.contains(option) => {
                    let what = format!("choice \"{choice}\" has no option \"{option}\"");
                    self.problem(at, what, format!("one of: {}", c.options.join(", ")));
                }
                Some(_) => {}
            }
        }
        let mut out = Vec::new();
        for c in &recipe.choices {
            let wants = |o: &String| {
                let mine = |x: &&Row| x.when.as_ref().is_some_and(|w| w.0 == c.id && w.1 == *o);
                recipe.steps.iter().filter(mine).map(|x| x.hands.0).max().unwrap_or(0)
            };
            let fixed = s.methods.iter().find(|m| m.0 == c.id).map(|m| &m.1);
            if let Some(o) = fixed.filter(|o| wants(o) > crew) {
                let what = format!("\"{o}\" needs {} pairs of hands, the crew has {crew}", wants(o));
                self.problem(format!("{path}.methods"), what, "choose another method or add somebody to the crew");
            }
            let mut options = Vec::new();
            let place: Vec<Option<usize>> = c
                .options
                .iter()
                .map(|o| {
                    // With nobody in the crew at all that is told once, not here.
                    (wants(o) <= crew.max(1)).then(|| {
                        options.push(o.clone());
                        options.len() - 1
                    })
                })
                .collect();
            let fixed = fixed.and_then(|o| options.iter().position(|x| x == o)).or((options.len() == 1).then_some(0));
            let index = self.graph.choices.len();
            if !c.only_with.is_empty() {
                self.only_with.push((index, room, c.only_with.clone()));
            }
            let id = format!("{}/{}/{}", r.id, s.id, c.id);
            self.graph.choices.push(Choice { id, name: c.name.clone(), options, fixed });
            out.push((index, place));
        }
        out
    }

    /// One row to its step or steps; false where it is left out.
    fn row(&mut self, room: usize, surface: usize, row: usize, chosen: &Chosen, path: &str) -> bool {
        let job = self.job;
        let (r, x) = (&job.rooms[room], &chosen.recipe.steps[row]);
        let s = &r.surfaces[surface];
        let change = s.changes.iter().rev().find(|c| c.step == x.id);
        let young = matches!((x.built_before, job.house.year_built), (Some(limit), Some(y)) if y >= limit);
        if young || change.is_some_and(|c| c.skip || c.later) {
            return false;
        }
        let Some(when) = chosen.when(&x.when) else {
            if let Some((c, o)) = &x.when
                && !chosen.recipe.choices.iter().any(|k| k.id == *c && k.options.contains(o))
            {
                let what = format!(
                    "step \"{}\" of recipe \"{}\" stands under \"{c}: {o}\", which is no choice of it",
                    x.id, chosen.recipe.id
                );
                self.problem(format!("{path}.recipe"), what, "mend the recipe's choices");
            }
            return false;
        };
        // The age of the house asks for a test once: the rooms share its result.
        if let (Some(_), Some(_), true) = (x.built_before, x.business_days, when.is_empty()) {
            let same = |(_, t): &&(usize, Row)| t.id == x.id && t.built_before == x.built_before;
            if let Some(&(step, _)) = self.tests.iter().find(same) {
                for m in &x.gives {
                    self.milestones.entry((room, m.clone())).or_default().push(step);
                }
                return true;
            }
            self.tests.push((self.graph.steps.len(), x.clone()));
        }
        let labor = !x.labor.is_empty();
        let mut hours = if labor { self.row_hours(room, surface, x, path) } else { None };
        if let Some(h) = change.and_then(|c| c.hours) {
            let spread = self.triple(h, &format!("{path}.changes")).unwrap_or(Spread::ZERO);
            hours = Some(super::hours::RowHours { spread, terms: Vec::new(), own_history: false });
        }
        if labor && hours.is_none() {
            return false;
        }
        let Some(place) = self.row_place(room, x.place, path) else { return true };
        let leaves = match (change.and_then(|c| c.product.clone()), &x.leaves) {
            (Some(product), Some(l)) => {
                // A coat that sets does so by itself, however thin.
                let sets = self.product(&product).is_some_and(|p| p.law == crate::clock::Law::Setting);
                Some(trade::Leaves { product, thick: if sets { 1.0 } else { l.thick } })
            }
            (Some(_), None) => {
                let what = format!("step \"{}\" leaves no product to change", x.id);
                self.problem(format!("{path}.changes"), what, "drop the product from this change");
                None
            }
            (None, l) => l.clone(),
        };
        let coat = leaves.and_then(|l| self.coat(&l, path));
        let kind = match (x.rest_h, x.business_days) {
            (Some(h), _) => Kind::Elapsed(Spread::fixed(h * 60.0)),
            (None, Some(d)) => Kind::Business { minutes: libm::round(d * 1440.0) as i64, late: None },
            (None, None) if hours.is_none() => Kind::Elapsed(Spread::ZERO),
            _ => Kind::Labor,
        };
        let hands = kind == Kind::Labor;
        let (fewest, most) = if hands { (x.hands.0.max(1), x.hands.1.max(x.hands.0).max(1)) } else { (0, 0) };
        let mut who: Vec<usize> = if hands { (0..job.crew.len()).collect() } else { Vec::new() };
        // Fit-up by one pair of hands is no helper's work where there is anybody else.
        if x.fit_up && x.trade != "prep" && fewest == 1 && job.crew.iter().any(|p| !p.helper) {
            who.retain(|&w| !job.crew[w].helper);
        }
        if hands && fewest as usize > job.crew.len() && x.when.is_none() {
            self.short_of_hands(format!("{path}.recipe"), &x.id, fewest);
        }
        let h = hours.unwrap_or(super::hours::RowHours { spread: Spread::ZERO, terms: Vec::new(), own_history: false });
        let setup = if hands { x.setup_min.max(0) } else { 0 };
        let pieces = if x.flags.one_go { self.pieces(room, surface, x.pieces, &h.terms) } else { vec![1.0] };
        let racks = self.racks(room, surface, x.racks);
        let limit = job.places[place].racks.unwrap_or(u32::MAX).max(1);
        let batches = racks.div_ceil(limit).max(1);
        if racks > 0 && job.places[place].racks == Some(0) {
            let what = format!("step \"{}\" needs racks, \"{}\" has none", x.id, job.places[place].id);
            self.problem(format!("places[{place}].racks"), what, "give the place the racks it has");
        }
        if batches > MOST_BATCHES {
            let what = format!("step \"{}\" would take {batches} loads of the racks", x.id);
            self.problem(format!("places[{place}].racks"), what, "give the place more racks, or check the measures");
        }
        for batch in 0..batches.min(MOST_BATCHES) {
            // Batches as even as whole racks allow.
            let even = |n: u32, k: u32| (u64::from(n) * u64::from(k) / u64::from(batches)) as u32;
            let part = |n: u32| even(n, batch + 1) - even(n, batch);
            let share = if racks > 0 { f64::from(part(racks)) / f64::from(racks) } else { 1.0 };
            let mut id = format!("{}/{}/{}", r.id, s.id, x.id);
            if batches > 1 {
                id = format!("{id}#{}", batch + 1);
            }
            let pieces = if batches > 1 && pieces.len() > 1 {
                let n = part(pieces.len() as u32).max(1);
                vec![1.0 / f64::from(n); n as usize]
            } else {
                pieces.clone()
            };
            let mut terms = h.terms.clone();
            terms.iter_mut().for_each(|t| t.factor *= share);
            let windows = if x.appointment { self.windows(&r.walk_through) } else { Vec::new() };
            let step = Step {
                id,
                name: x.name.clone(),
                room: r.id.clone(),
                surface: s.id.clone(),
                place: hands_or_place(place, &kind),
                kind,
                role: Role::Plain,
                labor: if hands { h.spread.scaled(share).plus(setup as f64) } else { Spread::ZERO },
                setup_min: setup,
                terms,
                pieces,
                crew: Crew { fewest: fewest as usize, most: most as usize, who: who.clone() },
                coat,
                flags: x.flags,
                racks: part(racks),
                pools: Vec::new(),
                rh_below: x.rh_below,
                earliest: None,
                windows,
                when: when.clone(),
                trade: x.trade.clone(),
                fit_up: x.fit_up,
                own_history: h.own_history,
                origin: path.to_string(),
            };
            let key = (room, order_of(s.part) * 1000 + surface, row * 100 + batch as usize * 2);
            let step = self.push(step, key);
            self.rows.push(RowStep { step, room, surface, row });
            for m in &x.gives {
                self.milestones.entry((room, m.clone())).or_default().push(step);
            }
            if let Some(risk) = x.redo.as_deref() {
                let n = if x.redo_per.is_empty() {
                    1.0
                } else {
                    self.rooms[room].of_surface(surface, &x.redo_per).map_or(1.0, |q| q.value) * share
                };
                self.redo_row(step, risk, n);
            }
        }
        true
    }

    fn row_place(&mut self, room: usize, place: RowPlace, path: &str) -> Option<usize> {
        let job = self.job;
        let of = |k: PlaceKind| job.places.iter().position(|p| p.kind == k);
        match place {
            RowPlace::Room => {
                let id = &job.rooms[room].place;
                let only = || job.places.iter().filter(|p| p.kind == PlaceKind::Room).count() == 1;
                let found = match id.is_empty() {
                    false => job.places.iter().position(|p| p.id == *id),
                    true => job
                        .places
                        .iter()
                        .position(|p| p.id == job.rooms[room].id)
                        .or_else(|| only().then(|| of(PlaceKind::Room)).flatten()),
                };
                if found.is_none() {
                    let what = if id.is_empty() {
                        "this room has no place to be worked in".to_string()
                    } else {
                        format!("there is no place \"{id}\"")
                    };
                    let all = job.places.iter().map(|p| p.id.as_str());
                    let remedy = names::hint(id, all, "name one of the places of the job");
                    let at = format!("rooms[{room}].place");
                    let p = Problem::new(at, what, remedy);
                    if !self.problems.contains(&p) {
                        self.problems.push(p);
                    }
                }
                found
            }
            RowPlace::Shop | RowPlace::Booth => {
                let first = if place == RowPlace::Booth { of(PlaceKind::Booth) } else { None };
                let found = first.or_else(|| of(PlaceKind::Shop)).or_else(|| of(PlaceKind::Booth));
                if found.is_none() {
                    let p = Problem::new(
                        format!("{path}.recipe"),
                        "this recipe needs a shop and the job has none",
                        "add a place of kind shop, or choose a recipe done on site",
                    );
                    if !self.problems.contains(&p) {
                        self.problems.push(p);
                    }
                }
                found
            }
        }
    }

    /// Shares of the pieces of a coat, glue-up or hung run.
    fn pieces(&self, room: usize, surface: usize, by: Pieces, terms: &[HourTerm]) -> Vec<f64> {
        let off = &self.rooms[room];
        let count = |id: &str| off.of_surface(surface, id).map_or(1.0, |q| q.value.max(1.0)) as usize;
        let alike = |n: usize| vec![1.0 / n.max(1) as f64; n.clamp(1, 500)];
        match by {
            Pieces::One => vec![1.0],
            Pieces::Panels => alike(count("panels")),
            // As many as the row counts: windows, sides of casing, doors and sashes.
            Pieces::Openings => {
                let n: f64 = terms.iter().filter(|t| !matches!(t.unit.as_str(), "SF" | "LF")).map(|t| t.quantity).sum();
                alike(if n >= 1.0 { n as usize } else { count("openings") })
            }
            Pieces::Elevations => alike(count("planes")),
            Pieces::WallPlanes => {
                let planes = off.surfaces.get(surface).map_or(&[][..], |s| &s.planes);
                let sum: f64 = planes.iter().map(|p| p.amount).sum();
                if sum <= 0.0 {
                    return alike(count("planes"));
                }
                planes.iter().filter(|p| p.amount > 0.0).map(|p| p.amount / sum).collect()
            }
        }
    }

    fn racks(&self, room: usize, surface: usize, racks: Racks) -> u32 {
        let q = |id: &str| self.rooms[room].of_surface(surface, id).map_or(0.0, |q| q.value);
        match racks {
            Racks::None => 0,
            Racks::Panels => q("panels") as u32,
            Racks::Sticks => libm::ceil(q("sticks") / STICKS_A_RACK - 1e-9) as u32,
        }
    }

    pub(super) fn short_of_hands(&mut self, path: String, step: &str, fewest: u32) {
        let what = format!("step \"{step}\" needs {fewest} pairs of hands, {} may do it", self.job.crew.len());
        self.problem(path, what, "add somebody to the crew or choose another method");
    }
}

/// A laboratory or supplier works elsewhere; rest and labor have a place.
fn hands_or_place(place: usize, kind: &Kind) -> Option<usize> {
    (!matches!(kind, Kind::Business { .. })).then_some(place)
}

/// Top down.
fn order_of(part: Part) -> usize {
    match part {
        Part::Ceiling => 1,
        Part::Walls => 2,
        Part::Crown => 3,
        Part::Openings => 4,
        Part::Panels => 5,
        Part::Base => 6,
        Part::Room => 7,
    }
}

fn part_word(part: Part) -> &'static str {
    match part {
        Part::Ceiling => "ceiling",
        Part::Walls => "walls",
        Part::Crown => "crown",
        Part::Openings => "openings",
        Part::Panels => "panels",
        Part::Base => "base",
        Part::Room => "room",
    }
}
