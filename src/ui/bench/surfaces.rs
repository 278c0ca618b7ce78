//! Surfaces of a room: the usual recipes of the whole room in one choice; for each surface the
//! part, a short list of recipes with their steps shown before one is chosen, methods, height of
//! panels, difficulty, and the steps changed or left out.

use egui::{Label, Ui};

use super::field::row;
use super::fold::fold_asked;
use super::{BenchState, Spot, changed, edit, offers, take_out, told_first};
use crate::job::{Change, Edit, Part, Room, Surface};
use crate::sheet;
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::theme::size;
use crate::views::choices;

/// Frames until the list of recipes has gone.
const SETTLING: u8 = 3;

/// The surfaces of room `i`.
pub(super) fn show(ui: &mut Ui, scene: &Scene, i: usize, state: &mut BenchState, out: &mut Vec<Action>) {
    let room = &scene.job.rooms[i];
    let of = if room.name.is_empty() { room.id.as_str() } else { room.name.as_str() };
    if room.surfaces.is_empty() {
        ui.add(
            Label::new("What is to be done here? The usual recipes in one choice, or surface by surface below.").wrap(),
        );
        sets(ui, scene, i, of, state, out);
    }
    let to = state.surface.filter(|s| s.0 == i && s.1 != Spot::Whole);
    fold_asked(ui, "surfaces", "Surfaces and their recipes", true, to.is_some(), |ui| {
        for (k, s) in room.surfaces.iter().enumerate() {
            ui.push_id(("surface", k), |ui| {
                let recipe = choices::recipe(scene.job, &s.recipe).map_or("no recipe yet", |r| r.name.as_str());
                let words = headed(name(s), recipe);
                let top = ui.cursor().top();
                if let Some((_, _, frames)) = state.taken.filter(|t| (t.0, t.1) == (i, k)) {
                    // The list above has gone; the surface it was chosen for stays in view.
                    let line = egui::Rect::from_x_y_ranges(ui.max_rect().x_range(), top..=top + size::ROW);
                    ui.scroll_to_rect(line, Some(egui::Align::Center));
                    state.taken = (frames > 1).then(|| (i, k, frames - 1));
                    ui.ctx().request_repaint();
                }
                let asked = to.is_some_and(|s| s.1 == Spot::Of(k));
                fold_asked(ui, "surface", &words, false, asked, |ui| surface(ui, scene, i, k, state, out));
            });
        }
        add(ui, scene, i, of, state, out);
    });
    if !room.surfaces.is_empty() {
        let asked = state.surface == Some((i, Spot::Whole));
        fold_asked(ui, "sets", "The whole room in one choice", false, asked, |ui| sets(ui, scene, i, of, state, out));
    }
}

/// The whole-room sets.
fn sets(ui: &mut Ui, scene: &Scene, i: usize, of: &str, state: &mut BenchState, out: &mut Vec<Action>) {
    let list = state.offers(scene, i, None);
    let key = format!("the whole room, {of}");
    let take = state.surface == Some((i, Spot::Whole));
    ui.push_id("sets", |ui| {
        if let Some(edits) = offers::list(ui, of, &list, &mut state.looked, take) {
            state.make(scene, &key, edits, out);
        }
    });
    told_first(ui, scene, state, &key, out);
}

/// `walls: skim, two coats`; a recipe that begins with the name of its surface says it alone.
fn headed(name: &str, recipe: &str) -> String {
    if recipe.starts_with(&format!("{name}:")) { recipe.to_string() } else { format!("{name}: {recipe}") }
}

/// The first part a room has nothing of yet.
pub(super) fn first_bare(room: &Room) -> Part {
    let bare = |p: &Part| !room.surfaces.iter().any(|s| s.part == *p);
    choices::PARTS[1..].iter().copied().find(bare).unwrap_or(Part::Walls)
}

/// The name of the field that says the part of a surface, or of one to be added.
pub(super) fn part_field(room: &Room, s: Option<&Surface>) -> String {
    match s {
        None => format!("part to be added, {}", if room.name.is_empty() { &room.id } else { &room.name }),
        Some(s) => format!("part, {} of {}", name(s), room.name),
    }
}

/// A surface to be added: its part, then its recipe.
fn add(ui: &mut Ui, scene: &Scene, i: usize, of: &str, state: &mut BenchState, out: &mut Vec<Action>) {
    let room = &scene.job.rooms[i];
    let adding = state.adding.filter(|a| a.0 == i).map(|a| a.1);
    row(ui, of, "", |f| {
        if f.button(if adding.is_some() { "Not now" } else { "Add a surface" }) {
            state.adding = adding.is_none().then(|| (i, first_bare(room)));
            state.looked = None;
        }
        if let Some(now) = adding {
            let parts = choices::PARTS.map(|p| (p, choices::part_word(p).to_string()));
            if let Some(part) = f.choose("part to be added", 120.0, &now, &parts) {
                state.adding = Some((i, part));
            }
        }
    });
    let Some(part) = adding else { return };
    let list = state.offers(scene, i, Some((room.surfaces.len(), part)));
    let key = format!("add a surface, {of}");
    if let Some(edits) = ui.push_id("add", |ui| offers::list(ui, of, &list, &mut state.looked, false)).inner {
        state.adding = None;
        state.taken = Some((i, room.surfaces.len(), SETTLING));
        state.make(scene, &key, edits, out);
    }
    told_first(ui, scene, state, &key, out);
}

pub(super) fn name(s: &Surface) -> &str {
    if !s.name.is_empty() {
        &s.name
    } else if !s.id.is_empty() {
        &s.id
    } else {
        choices::part_word(s.part)
    }
}

fn surface(ui: &mut Ui, scene: &Scene, i: usize, k: usize, state: &mut BenchState, out: &mut Vec<Action>) {
    let job = scene.job;
    let (r, s) = (&job.rooms[i], &job.rooms[i].surfaces[k]);
    let of = format!("{} of {}", name(s), r.name);
    let mut put = |new: Surface| edit(out, Edit::Surface(i, k, Some(Box::new(new))));
    row(ui, &of, "part", |f| {
        let parts = choices::PARTS.map(|p| (p, choices::part_word(p).to_string()));
        if let Some(part) = f.choose("part", 120.0, &s.part, &parts) {
            // A recipe of another part would not do; the first of the part stands till chosen.
            put(changed(s, |s| {
                s.part = part;
                let list = choices::recipes_for(job, part);
                if !list.iter().any(|r| r.id == s.recipe) {
                    s.recipe = list.first().map_or_else(String::new, |r| r.id.clone());
                    s.methods.clear();
                    s.changes.clear();
                }
            }));
        }
    });
    let choosing = state.choosing == Some((i, k));
    row(ui, &of, "recipe", |f| {
        let words = choices::recipe(job, &s.recipe).map_or(s.recipe.as_str(), |r| r.name.as_str());
        f.ui.add(Label::new(words).wrap());
        if f.button(if choosing { "Leave it" } else { "Choose another" }) {
            state.choosing = (!choosing).then_some((i, k));
        }
    });
    let key = format!("recipe, {of}");
    if choosing {
        let list = state.offers(scene, i, Some((k, s.part)));
        if let Some(edits) = ui.push_id("choose", |ui| offers::list(ui, &of, &list, &mut state.looked, false)).inner {
            state.choosing = None;
            state.taken = Some((i, k, SETTLING));
            state.make(scene, &key, edits, out);
        }
    }
    told_first(ui, scene, state, &key, out);
    for c in choices::choices_of(job, &s.recipe) {
        row(ui, &of, &c.name, |f| {
            let open = (None, "whichever is sooner".to_string());
            let options: Vec<_> =
                std::iter::once(open).chain(c.options.iter().map(|o| (Some(o.clone()), choices::said(o)))).collect();
            let now = s.methods.iter().find(|m| m.0 == c.id).map(|m| m.1.clone());
            if let Some(option) = f.choose(&c.name, 140.0, &now, &options) {
                edit(out, Edit::Method(i, k, c.id.clone(), option));
            }
        });
    }
    figures(ui, scene, i, k, &of, out);
    for c in &s.changes {
        changed_step(ui, scene, i, k, c, &of, out);
    }
    super::mybook::beside_surface(ui, scene, state, (i, k), s, &of, out);
    take_out(ui, scene, state, &of, "Take this surface out", Edit::Surface(i, k, None), out);
}

/// Height of panels, how many, difficulty, walls covered, name.
fn figures(ui: &mut Ui, scene: &Scene, i: usize, k: usize, of: &str, out: &mut Vec<Action>) {
    let units = scene.job.units;
    let s = &scene.job.rooms[i].surfaces[k];
    let mut put = |new: Surface| edit(out, Edit::Surface(i, k, Some(Box::new(new))));
    if s.part == Part::Panels || s.height.is_some() {
        row(ui, of, "height", |f| {
            if let Some(l) = f.maybe_length("height", units, s.height) {
                put(changed(s, |s| s.height = l));
            }
            f.word("panels");
            if let Some(n) = f.maybe_count("panels", s.panels) {
                put(changed(s, |s| s.panels = n));
            }
        });
    }
    row(ui, of, "difficulty", |f| {
        let print = |d: &Option<f64>| d.map_or_else(String::new, crate::views::typed::plain);
        let read = |t: &str| match t.trim() {
            "" => Ok(None),
            t => match crate::views::typed::read_number(t)? {
                x if (0.5..=1.8).contains(&x) => Ok(Some(x)),
                _ => Err("difficulty is 0.5 to 1.8; 1 is the rate as it stands".to_string()),
            },
        };
        if let Some(d) = f.field("difficulty", super::field::NUMBER, &s.difficulty, print, read) {
            put(changed(s, |s| s.difficulty = d));
        }
        f.word("walls");
        let room = &scene.job.rooms[i];
        let print = |w: &Vec<usize>| sheet::walls_field(room, w);
        let read = |t: &str| sheet::read_walls(room, t);
        if let Some(w) = f.field("walls covered", super::field::LENGTH, &s.walls, print, read) {
            put(changed(s, |s| s.walls = w));
        }
    });
    row(ui, of, "name", |f| {
        let width = f.wide();
        if let Some(n) = f.text("name", width, &s.name) {
            put(changed(s, |s| s.name = n));
        }
    });
}

fn changed_step(ui: &mut Ui, scene: &Scene, i: usize, k: usize, c: &Change, of: &str, out: &mut Vec<Action>) {
    let s = &scene.job.rooms[i].surfaces[k];
    row(ui, of, if c.skip { "left out" } else { "changed" }, |f| {
        let step = choices::row_name(scene.job, &s.recipe, &c.step);
        f.ui.add(Label::new(&step).wrap());
        if f.button_as("As in the recipe", &format!("{step}: as in the recipe")) {
            edit(out, Edit::Change(i, k, Change { step: c.step.clone(), ..Change::default() }));
        }
    });
}
