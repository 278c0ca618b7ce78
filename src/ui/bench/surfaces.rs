//! Surfaces of a room: the part, the recipe with its steps shown before it is chosen, methods,
//! height of panels, difficulty, and the steps changed or left out.

use egui::{Label, RichText, Ui};

use super::field::{button, fold, row};
use super::{BenchState, changed, edit};
use crate::job::{Change, Edit, Part, Surface, free_id};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::theme::{Theme, size};
use crate::views::{choices, typed};

/// The surfaces of room `i`.
pub(super) fn show(ui: &mut Ui, scene: &Scene, i: usize, state: &mut BenchState, out: &mut Vec<Action>) {
    let room = &scene.job.rooms[i];
    fold(ui, "surfaces", "Surfaces and their recipes", true, |ui| {
        for (k, s) in room.surfaces.iter().enumerate() {
            ui.push_id(("surface", k), |ui| {
                let recipe = choices::recipe(scene.job, &s.recipe).map_or("no recipe yet", |r| r.name.as_str());
                let words = format!("{}: {recipe}", name(s));
                fold(ui, "surface", &words, false, |ui| surface(ui, scene, i, k, state, out));
            });
        }
        row(ui, &room.name, "", |f| {
            if f.button("Add a surface") {
                let id = free_id("walls", room.surfaces.iter().map(|s| s.id.as_str()));
                let new = Surface { id, part: Part::Walls, recipe: "walls-two-coats".into(), ..Surface::default() };
                edit(out, Edit::Surface(i, room.surfaces.len(), Some(Box::new(new))));
            }
        });
    });
}

fn name(s: &Surface) -> &str {
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
    if choosing && let Some(recipe) = chooser(ui, scene, s, &of) {
        state.choosing = None;
        put(changed(s, |s| {
            s.recipe = recipe;
            s.methods.clear();
            s.changes.clear();
        }));
    }
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
    row(ui, &of, "", |f| {
        if f.button("Take this surface out") {
            state.choosing = None;
            edit(out, Edit::Surface(i, k, None));
        }
    });
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
        let print = |w: &Vec<usize>| typed::walls(w);
        let read = |t: &str| {
            let one = |w: &str| crate::views::typed::read_count(w).map(|n| n as usize);
            t.split([' ', ',']).filter(|w| !w.is_empty()).map(one).collect::<Result<Vec<_>, _>>()
        };
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

/// The recipes for the part, each with its note and steps; gives the id of the one taken.
fn chooser(ui: &mut Ui, scene: &Scene, s: &Surface, of: &str) -> Option<String> {
    let mut taken = None;
    let quiet = Theme::of(ui.ctx()).quiet;
    for r in choices::recipes_for(scene.job, s.part) {
        fold(ui, ("recipe", &r.id), &r.name, false, |ui| {
            if !r.note.is_empty() {
                ui.add(Label::new(RichText::new(&r.note).color(quiet)).wrap());
            }
            let words = choices::recipe_words(scene.job, r);
            ui.add(Label::new(RichText::new(words).size(size::SMALL)).wrap());
            if r.id == s.recipe {
                ui.label("in use");
            } else if button(ui, "Use this recipe", &format!("Use {}, {of}", r.name)) {
                taken = Some(r.id.clone());
            }
        });
    }
    taken
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
