//! What a recipe would be on this surface: its hours, its drying, its steps, before it is
//! chosen; and the usual recipes of a whole room.
//!
//! Each is tried on a copy of the room, by the same take-off and the same rows as a plan. Only
//! the steps of one way of doing it are counted, never those of its other ways. Hours are
//! labor hours of one person, typical; drying is by the clock on the wall in a usual week of
//! the room's air, along the longest chain of waits inside the recipe.

use super::choices;
use super::drytime::{dry_hours, labor_words, roughly};
use super::holds::stage_words;
use super::walkround::{shop_edits, start, wants_tests};
use crate::book::Book;
use crate::job::{Edit, Job, Part, Place, PlaceKind, Problem, Room, Surface, edited, free_id};
use crate::measure::Length;
use crate::trade::{Recipe, RoomSet, RowPlace, Stage, sets, tables};
use crate::work::build::attempt;
use crate::work::{Ask, Kind, Role, WorkGraph};

/// One step as it would be done.
#[derive(Clone, Debug, PartialEq)]
pub struct StepWords {
    pub name: String,
    /// `1.6 h`, `0.7 h and 1.2 h set-up`; empty where it takes nobody's hands.
    pub hours: String,
    /// `ready for the next coat in 5 h`; empty where nothing dries.
    pub then: String,
    /// How its hours come about.
    pub why: String,
}

/// A way to finish a surface, or a whole room.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// Tells it from the others of its list.
    pub key: String,
    pub name: String,
    /// `6.2 h, dry in 2 days`.
    pub figures: String,
    /// How they come about.
    pub why: String,
    pub note: String,
    /// From the user's book.
    pub yours: bool,
    pub in_use: bool,
    pub steps: Vec<StepWords>,
    /// What else it changes: `puts a shop at the house into the job`.
    pub also: String,
    /// What stands against it on this surface.
    pub wrong: String,
    /// Done when it is chosen.
    pub edits: Vec<Edit>,
}

/// Where hours and drying of a recipe come from.
const OF_STEPS: &str = "hours of all its steps here, one person, typical; trips left out";
const OF_SURFACES: &str = "hours of the surfaces below together, one person, typical; trips left out";
const DRYING: &str = "drying by the clock on the wall, along the longest chain of its waits, in a usual week of the \
room's air";

/// Minutes of set-up from which on a step says how much of it there is.
const SET_UP: i64 = 20;

/// The job with one room alone and nothing of the user's own around it.
fn alone(job: &Job, room: Room) -> Job {
    Job {
        rooms: vec![room],
        steps: Vec::new(),
        deliveries: Vec::new(),
        decisions: Vec::new(),
        visits: Vec::new(),
        holds: Vec::new(),
        kept: None,
        log: Vec::new(),
        ..job.clone()
    }
}

/// Whether a recipe has work in a shop or booth and the job has neither.
fn wants_shop(job: &Job, r: &Recipe) -> bool {
    r.steps.iter().any(|x| x.place != RowPlace::Room) && !job.places.iter().any(|p| p.kind != PlaceKind::Room)
}

const SHOP: &str = "puts a shop at the house into the job; give its drive in the walk-round";

/// The place of a room where the job has it not.
fn missing_place(job: &Job, room: &Room) -> Option<Edit> {
    let id = if room.place.is_empty() { &room.id } else { &room.place };
    let there = job.places.iter().any(|p| p.id == *id);
    let only = room.place.is_empty() && job.places.iter().filter(|p| p.kind == PlaceKind::Room).count() == 1;
    let new = || Place { id: id.clone(), name: room.name.to_lowercase(), ..Place::default() };
    (!there && !only).then(|| Edit::Place(job.places.len(), Some(Box::new(new()))))
}

/// Problems of a trial as one line.
fn wrong(problems: &[Problem], path: &str) -> String {
    let of = problems.iter().find(|p| p.path.starts_with(path));
    of.map_or_else(String::new, |p| format!("{}; {}", p.what, p.remedy))
}

/// Steps of a room, or of one surface of it, there under these methods.
fn mine(g: &WorkGraph, chosen: &[usize], room: &str, surface: Option<&str>) -> Vec<usize> {
    let of = |s: &crate::work::Step| {
        s.room == room
            && s.role == Role::Plain
            && surface.is_none_or(|x| s.surface == x)
            && WorkGraph::holds(&s.when, chosen)
    };
    (0..g.steps.len()).filter(|&i| of(&g.steps[i])).collect()
}

/// `altogether 6.2 h, dry in 2 days`.
pub fn altogether(figures: &str) -> String {
    format!("altogether {figures}")
}

/// Hours until the coat a step leaves has got to a stage.
fn coat_hours(g: &WorkGraph, job: &Job, step: usize, stage: Stage) -> Option<f64> {
    let s = &g.steps[step];
    let (c, place) = (s.coat?, job.places.get(s.place?)?);
    dry_hours(&g.products[c.product], stage, c.thick, place)
}

/// The stage the last coat is waited for: to be handled, else to be gone on with.
fn last_stage(g: &WorkGraph, job: &Job, step: usize) -> Option<(Stage, f64)> {
    let stages = [Stage::Handle, Stage::Recoat, Stage::Sand];
    stages.into_iter().find_map(|s| coat_hours(g, job, step, s).map(|h| (s, h)))
}

/// Elapsed hours of waiting along the longest chain, and whether anything dries at its end.
fn waiting(g: &WorkGraph, job: &Job, chosen: &[usize], list: &[usize]) -> (f64, bool) {
    let mut at = vec![0.0_f64; g.steps.len()];
    let (mut longest, mut dries) = (0.0_f64, false);
    // Every step comes after what it needs.
    for &i in list {
        let links = g.links.iter().filter(|l| l.to == i && list.contains(&l.from) && WorkGraph::holds(&l.when, chosen));
        for l in links {
            let dry = match l.ask {
                Ask::Dry(stage) => coat_hours(g, job, l.from, stage).unwrap_or(0.0),
                _ => 0.0,
            };
            at[i] = at[i].max(at[l.from] + dry + l.lag as f64 / 60.0);
        }
        at[i] += match g.steps[i].kind {
            Kind::Elapsed(d) => d.typ / 60.0,
            Kind::Business { minutes, .. } => minutes as f64 / 60.0,
            _ => 0.0,
        };
        let end = last_stage(g, job, i);
        dries |= end.is_some();
        longest = longest.max(at[i] + end.map_or(0.0, |e| e.1));
    }
    (longest, dries)
}

fn labor(g: &WorkGraph, list: &[usize]) -> f64 {
    list.iter().map(|&i| g.steps[i].labor.typ).sum()
}

/// `6.2 h, dry in 2 days`; `1.0 h, then 2 days of waiting`.
fn figures(g: &WorkGraph, job: &Job, chosen: &[usize], list: &[usize]) -> String {
    let hours = labor_words(labor(g, list));
    match waiting(g, job, chosen, list) {
        (w, _) if w <= 0.0 => hours,
        (w, true) => format!("{hours}, dry in {}", roughly(w)),
        (w, false) => format!("{hours}, then {} of waiting", roughly(w)),
    }
}

/// The steps in their order, each with its hours and what is waited for after it.
fn steps(g: &WorkGraph, job: &Job, chosen: &[usize], list: &[usize]) -> Vec<StepWords> {
    let one = |&i: &usize| {
        let s = &g.steps[i];
        let asked = g.links.iter().filter(|l| l.from == i && list.contains(&l.to) && WorkGraph::holds(&l.when, chosen));
        let asked = asked.filter_map(|l| match l.ask {
            Ask::Dry(stage) => coat_hours(g, job, i, stage).map(|h| (stage, h)),
            _ => None,
        });
        let next = asked.max_by(|a, b| a.1.total_cmp(&b.1)).or_else(|| last_stage(g, job, i));
        let then = match (next, s.kind) {
            (Some((stage, h)), _) => format!("{} in {}", stage_words(stage).trim_start_matches("to be "), roughly(h)),
            (None, Kind::Elapsed(d)) if d.typ > 0.0 => format!("waits {}", roughly(d.typ / 60.0)),
            (None, Kind::Business { minutes, .. }) => {
                format!("{} business days", super::typed::plain(minutes as f64 / 1440.0))
            }
            _ => String::new(),
        };
        let work = s.labor.typ - s.setup_min as f64;
        let hours = match s.setup_min {
            _ if s.labor.typ <= 0.0 => String::new(),
            m if m >= SET_UP && work > 0.0 => {
                format!("{} and {} set-up", labor_words(work), labor_words(m as f64))
            }
            _ => labor_words(s.labor.typ),
        };
        let why = super::inspect::hours_why(job, s).unwrap_or_default();
        StepWords { name: s.name.clone(), hours, then, why }
    };
    list.iter().map(one).collect()
}

/// Recipes for a part: the job's and the table's, then those of the book the job has not.
fn candidates<'a>(job: &'a Job, book: &'a Book, part: Part) -> Vec<(&'a Recipe, bool)> {
    let mine = |r: &Recipe| book.recipe(&r.id).is_some() || tables().recipe(&r.id).is_none();
    let mut list: Vec<(&Recipe, bool)> = choices::recipes_for(job, part).into_iter().map(|r| (r, mine(r))).collect();
    let fits = |r: &&Recipe| r.parts.is_empty() || r.parts.contains(&part);
    let new = |r: &&Recipe| !list.iter().any(|l| l.0.id == r.id);
    let more: Vec<_> = book.recipes.iter().filter(fits).filter(new).map(|r| (r, true)).collect();
    list.extend(more);
    // What he does himself comes first.
    list.sort_by_key(|l| !l.1);
    list
}

/// What a recipe of the book brings along: itself, and rates and products no table has.
pub fn brought(job: &Job, book: &Book, r: &Recipe) -> Vec<Edit> {
    let mut out = vec![Edit::Recipe(Box::new(r.clone()))];
    for t in r.steps.iter().flat_map(|x| &x.labor) {
        if let (None, Some(rate)) = (choices::rate(job, &t.rate), book.rate(&t.rate)) {
            out.push(Edit::Rate(rate.clone()));
        }
    }
    for l in r.steps.iter().filter_map(|x| x.leaves.as_ref()) {
        if let (None, Some(p)) = (choices::product(job, &l.product), book.product(&l.product)) {
            out.push(Edit::Product(p.clone()));
        }
    }
    out
}

/// A surface of a part, to be added to a room.
pub fn new_surface(room: &Room, part: Part) -> Surface {
    let word = if part == Part::Room { "room" } else { choices::part_word(part) };
    let id = free_id(word, room.surfaces.iter().map(|s| s.id.as_str()));
    Surface { id, part, height: usual_height(part), ..Surface::default() }
}

/// Panels stand this high until it is said (common practice, no source).
const PANELS_IN: f64 = 36.0;

fn usual_height(part: Part) -> Option<Length> {
    (part == Part::Panels).then(|| Length::from_inches(PANELS_IN))
}

/// Every way to finish a surface of a room, each with what it would take here. `surface` at the
/// end of the room's list is one to be added, of the part given.
pub fn offers(job: &Job, book: &Book, room: usize, surface: usize, part: Part) -> Vec<Offer> {
    let Some(r) = job.rooms.get(room) else { return Vec::new() };
    let s = r.surfaces.get(surface).cloned().unwrap_or_else(|| new_surface(r, part));
    let mut out: Vec<Offer> = Vec::new();
    for o in candidates(job, book, s.part).into_iter().flat_map(|c| ways(job, book, (room, surface), &s, c)) {
        // Two of the same steps, hours and drying are one choice, by the name in use or the first.
        let same = |x: &&mut Offer| {
            !x.steps.is_empty() && x.steps == o.steps && x.figures == o.figures && !x.yours && !o.yours
        };
        match out.iter_mut().find(same) {
            Some(x) if o.in_use => *x = o,
            Some(_) => {}
            None => out.push(o),
        }
    }
    out
}

/// The ways of one recipe: one, or one for each option of the first choice it leaves open.
fn ways(job: &Job, book: &Book, at: (usize, usize), s: &Surface, (recipe, yours): (&Recipe, bool)) -> Vec<Offer> {
    let r = &job.rooms[at.0];
    let same = s.recipe == recipe.id;
    let shop = wants_shop(job, recipe);
    let mut around: Vec<Edit> = if shop { shop_edits(job, 0) } else { Vec::new() };
    if choices::recipe(job, &recipe.id).is_none() {
        around.extend(brought(job, book, recipe));
    }
    let bare = Surface {
        recipe: recipe.id.clone(),
        methods: Vec::new(),
        changes: if same { s.changes.clone() } else { Vec::new() },
        height: s.height.or_else(|| usual_height(s.part)),
        ..s.clone()
    };
    let with = |surface: Surface| {
        let mut room = r.clone();
        match room.surfaces.get_mut(at.1) {
            Some(there) => *there = surface,
            None => room.surfaces.push(surface),
        }
        room
    };
    let mut trial = edited(job, &around);
    if let Some(place) = missing_place(job, r) {
        place.apply(&mut trial);
    }
    let trial = alone(&trial, with(bare.clone()));
    let (g, problems) = attempt(&trial);
    let head = format!("{}/{}/", r.id, s.id);
    let usual = g.usual();
    let open = g.choices.iter().position(|c| c.id.starts_with(&head) && c.fixed.is_none() && c.options.len() > 1);
    let options: Vec<Option<usize>> = open.map_or(vec![None], |c| (0..g.choices[c].options.len()).map(Some).collect());
    let way = |option: Option<usize>| {
        let mut chosen = usual.clone();
        let (mut name, mut methods) = (recipe.name.clone(), Vec::new());
        if let (Some(c), Some(o)) = (open, option) {
            chosen[c] = o;
            let (choice, word) = (&g.choices[c], g.choices[c].options[o].clone());
            name = format!("{name}; {}: {}", choice.name, choices::said(&word));
            methods.push((choice.id[head.len()..].to_string(), word));
        }
        let settled = s.methods.iter().filter(|m| same && !methods.iter().any(|n| n.0 == m.0));
        let in_use = same && methods.iter().all(|m| s.methods.iter().find(|x| x.0 == m.0).is_none_or(|x| x == m));
        methods.extend(settled.cloned().collect::<Vec<_>>());
        let list = mine(&g, &chosen, &r.id, Some(&s.id));
        let new = Surface { methods, ..bare.clone() };
        let mut edits = around.clone();
        edits.push(Edit::Surface(at.0, at.1, Some(Box::new(new))));
        Offer {
            key: format!("{} {option:?}", recipe.id),
            name,
            figures: figures(&g, &trial, &chosen, &list),
            why: format!("{OF_STEPS}; {DRYING}"),
            note: recipe.note.clone(),
            yours,
            in_use,
            steps: steps(&g, &trial, &chosen, &list),
            also: if shop { SHOP.into() } else { String::new() },
            wrong: wrong(&problems, &format!("rooms[0].surfaces[{}]", at.1)),
            edits,
        }
    };
    options.into_iter().map(way).collect()
}

/// The whole-room sets, each with what it would take in this room.
pub fn room_sets(job: &Job, room: usize) -> Vec<Offer> {
    let Some(r) = job.rooms.get(room) else { return Vec::new() };
    sets().iter().map(|s| whole(job, room, r, s)).collect()
}

fn whole(job: &Job, at: usize, r: &Room, set: &RoomSet) -> Offer {
    let surface = |s: &crate::trade::SetSurface| Surface {
        id: s.id.clone(),
        part: s.part,
        recipe: s.recipe.clone(),
        methods: s.methods.clone(),
        height: s.height_in.map(Length::from_inches),
        ..Surface::default()
    };
    let mut edits = Vec::new();
    let mut also = Vec::new();
    let recipes = set.surfaces.iter().filter_map(|s| choices::recipe(job, &s.recipe));
    if recipes.clone().any(|r| wants_shop(job, r)) {
        edits.extend(shop_edits(job, 0));
        also.push(SHOP.to_string());
    }
    if let Some(Edit::Place(_, p)) = missing_place(job, r) {
        // Behind a shop that is put in by the same choice.
        edits.push(Edit::Place(job.places.len() + edits.len(), p));
    }
    let new = Room { surfaces: set.surfaces.iter().map(surface).collect(), ..r.clone() };
    edits.push(Edit::Room(at, Some(Box::new(new))));
    let mut after = edited(job, &edits);
    if wants_tests(job) && !set.surfaces.iter().any(|s| s.recipe == "walk-round") {
        let tests = start(&after, at);
        tests.apply(&mut after);
        edits.push(tests);
        also.push("with the lead and asbestos tests, for the age of the house is old or not known".to_string());
    }
    match r.surfaces.len() {
        0 => {}
        1 => also.push("in place of the surface there is".into()),
        n => also.push(format!("in place of the {n} surfaces there are")),
    }
    let trial = alone(&after, after.rooms[at].clone());
    let (g, problems) = attempt(&trial);
    let chosen = g.usual();
    let all = mine(&g, &chosen, &r.id, None);
    let lines = trial.rooms[0].surfaces.iter().map(|s| {
        let list = mine(&g, &chosen, &r.id, Some(&s.id));
        let recipe = choices::recipe(&trial, &s.recipe).map_or(s.recipe.as_str(), |r| r.name.as_str());
        let name =
            if s.part == Part::Room { recipe.to_string() } else { format!("{}: {recipe}", choices::part_word(s.part)) };
        StepWords { name, hours: labor_words(labor(&g, &list)), then: String::new(), why: OF_STEPS.into() }
    });
    Offer {
        key: set.id.clone(),
        name: set.name.clone(),
        figures: labor_words(labor(&g, &all)),
        why: OF_SURFACES.into(),
        note: String::new(),
        yours: false,
        in_use: false,
        steps: lines.collect(),
        also: also.join("; "),
        wrong: wrong(&problems, "rooms[0]"),
        edits,
    }
}

#[cfg(test)]
mod tests;
