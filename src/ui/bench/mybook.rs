//! The user's book in the bench: what stands in it, what of it this job has otherwise, and the
//! offers beside a rate and a changed surface. Nothing is taken or kept by itself.

use egui::{Label, RichText, Ui};

use super::field::{line, row};
use super::fold::zone;
use super::{BenchState, Zone, edit};
use crate::job::Surface;
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::shelf::BookChange;
use crate::ui::theme::{Theme, size};
use crate::views::mybook;

fn keep(out: &mut Vec<Action>, change: BookChange) {
    out.push(Action::Book(change));
}

/// Whether there is anything of the book to show.
pub(super) fn there(scene: &Scene) -> bool {
    let shelf = scene.shelf;
    !shelf.said().is_empty()
        || !mybook::recipe_rows(shelf.book()).is_empty()
        || !mybook::rate_rows(scene.job, shelf.book()).is_empty()
}

/// What stands in the book.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    if !there(scene) {
        return;
    }
    let shelf = scene.shelf;
    let (rates, recipes) = (mybook::rate_rows(scene.job, shelf.book()), mybook::recipe_rows(shelf.book()));
    let asked = state.asked(Zone::Book);
    zone(ui, "Your book", !shelf.broken(), asked, |ui| {
        let theme = Theme::of(ui.ctx());
        if !shelf.said().is_empty() {
            let color = if shelf.broken() { theme.error } else { theme.quiet };
            ui.add(Label::new(RichText::new(shelf.said()).color(color).size(size::SMALL)).wrap());
        }
        if shelf.broken() && ui.button("Set it aside and begin a new one").clicked() {
            keep(out, BookChange::SetAside);
        }
        let others: Vec<_> = rates.iter().filter_map(|r| r.takes.clone()).collect();
        if others.len() > 1 && ui.button("Use all rates of your book in this job").clicked() {
            out.push(Action::Edit(others));
        }
        for r in &rates {
            ui.add(Label::new(&r.words).wrap());
            line(ui, &r.words, |f| {
                if let Some(take) = &r.takes
                    && f.button("Use it in this job")
                {
                    edit(out, take.clone());
                }
                if f.button("Take out of the book") {
                    keep(out, BookChange::DropRate(r.id.clone()));
                }
            });
        }
        for r in &recipes {
            ui.add(Label::new(&r.words).wrap());
            line(ui, &r.words, |f| {
                if f.button("Take out of the book") {
                    keep(out, BookChange::DropRecipe(r.id.clone()));
                }
            });
        }
    });
}

/// The offers beside a rate field. `what` is the field, `of` the step it belongs to.
pub(super) fn beside_rate(ui: &mut Ui, scene: &Scene, of: &str, what: &str, rate: &str, out: &mut Vec<Action>) {
    let offer = mybook::rate_offer(scene.job, scene.shelf.book(), rate);
    if offer.keep.is_none() && offer.yours.is_none() {
        return;
    }
    row(ui, of, "", |f| {
        if let Some((words, take)) = &offer.yours {
            f.word(words);
            if f.button_as("Use it", &format!("{what}: use that of your book")) {
                edit(out, take.clone());
            }
        }
        if let Some(rate) = &offer.keep
            && f.button_as("Keep in my book", &format!("{what}: keep in my book"))
        {
            keep(out, BookChange::KeepRate(rate.clone()));
        }
    });
}

/// *Keep as my recipe…* on a surface whose steps were changed.
pub(super) fn beside_surface(
    ui: &mut Ui,
    scene: &Scene,
    state: &mut BenchState,
    at: (usize, usize),
    s: &Surface,
    of: &str,
    out: &mut Vec<Action>,
) {
    let book = scene.shelf.book();
    if !mybook::changed_here(scene.job, book, s) {
        return;
    }
    let naming = state.naming == Some(at);
    row(ui, of, "", |f| {
        if f.button(if naming { "Keep no recipe" } else { "Keep as my recipe…" }) {
            state.naming = (!naming).then_some(at);
        }
    });
    if !naming {
        return;
    }
    let mut kept = None;
    row(ui, of, "its name", |f| {
        let width = f.wide();
        let read = |t: &str| mybook::to_keep(scene.job, book, at, t).map(|_| t.trim().to_string());
        if let Some(name) = f.once("name of my recipe", width, &String::new(), |t: &String| t.clone(), read) {
            kept = mybook::to_keep(scene.job, book, at, &name).ok();
        }
    });
    if let Some(k) = kept {
        state.naming = None;
        keep(out, BookChange::KeepRecipe(Box::new(k.recipe), k.rates, k.products));
        out.push(Action::Edit(k.edits));
    }
}
