//! What can be chosen for a surface: recipes with their steps in words, methods, products.
//!
//! The job's own row wins over the table's row of the same id.

use crate::job::{Job, Part, Surface};
use crate::trade::{Product, Rate, Recipe, RecipeChoice, expand, tables};

/// The parts of a room, top down.
pub const PARTS: [Part; 7] =
    [Part::Room, Part::Ceiling, Part::Crown, Part::Walls, Part::Openings, Part::Panels, Part::Base];

/// The word of a part.
pub fn part_word(part: Part) -> &'static str {
    match part {
        Part::Ceiling => "ceiling",
        Part::Crown => "crown",
        Part::Walls => "walls",
        Part::Openings => "openings",
        Part::Panels => "panels",
        Part::Base => "base",
        Part::Room => "whole room",
    }
}

/// A word of the tables as people say it: `by-hand` to `by hand`.
pub fn said(word: &str) -> String {
    word.replace('-', " ")
}

/// The job's own rows, then those of the table it has none of.
fn own_first<'a, T>(own: &'a [T], table: &'a [T], id: fn(&T) -> &str) -> Vec<&'a T> {
    own.iter().chain(table.iter().filter(|t| !own.iter().any(|o| id(o) == id(t)))).collect()
}

/// Recipes that may be used on a part.
pub fn recipes_for(job: &Job, part: Part) -> Vec<&Recipe> {
    let all = own_first(&job.recipes, &tables().recipes, |r| &r.id);
    all.into_iter().filter(|r| r.parts.is_empty() || r.parts.contains(&part)).collect()
}

/// The recipe of this id.
pub fn recipe<'a>(job: &'a Job, id: &str) -> Option<&'a Recipe> {
    job.recipes.iter().find(|r| r.id == id).or_else(|| tables().recipe(id))
}

/// The rate row of this id.
pub fn rate<'a>(job: &'a Job, id: &str) -> Option<&'a Rate> {
    job.rates.iter().find(|r| r.id == id).or_else(|| tables().rate(id))
}

/// The product row of this id.
pub fn product<'a>(job: &'a Job, id: &str) -> Option<&'a Product> {
    job.products.iter().find(|p| p.id == id).or_else(|| tables().product(id))
}

/// All products that can be named.
pub fn products(job: &Job) -> Vec<&Product> {
    own_first(&job.products, &tables().products, |p| &p.id)
}

/// A recipe with what it includes; as it stands where an include is not there.
fn whole(job: &Job, recipe: &Recipe) -> Recipe {
    if recipe.includes.is_empty() {
        return recipe.clone();
    }
    let among: Vec<Recipe> = job.recipes.iter().chain(&tables().recipes).cloned().collect();
    expand(recipe, &among).unwrap_or_else(|_| recipe.clone())
}

/// The recipe of this id with what it includes put in: what becomes the job's own once a row
/// of it is changed.
pub fn own_copy(job: &Job, id: &str) -> Option<Recipe> {
    recipe(job, id).map(|r| whole(job, r))
}

/// What is done to a wall of a room, both by their places: words of a button, the recipe, and the surface it leads
/// to, by its place; none where nothing is chosen for it yet.
pub fn done_to(job: &Job, room: usize, wall: usize) -> (&'static str, String, Option<usize>) {
    let surfaces = job.rooms.get(room).map_or(&[][..], |r| &r.surfaces);
    let covers = |s: &&Surface| s.part == Part::Walls && (s.walls.is_empty() || s.walls.contains(&(wall + 1)));
    match surfaces.iter().position(|s| covers(&s)) {
        Some(k) => {
            let name = recipe(job, &surfaces[k].recipe).map_or("no recipe yet", |r| r.name.as_str());
            ("What is done to it", name.to_string(), Some(k))
        }
        None => ("Choose what is done", "Which part, then its recipe".to_string(), None),
    }
}

/// The choices of a recipe, those of what it includes among them.
pub fn choices_of(job: &Job, id: &str) -> Vec<RecipeChoice> {
    recipe(job, id).map_or_else(Vec::new, |r| whole(job, r).choices)
}

/// A row's name, with the method it belongs to.
pub fn step_names(job: &Job, r: &Recipe) -> Vec<String> {
    let name = |x: &crate::trade::Row| match &x.when {
        Some((_, option)) => format!("{} ({})", x.name, said(option)),
        None => x.name.clone(),
    };
    whole(job, r).steps.iter().map(name).collect()
}

/// The name of a recipe's row; the id where the recipe has it no more.
pub fn row_name(job: &Job, recipe_id: &str, row: &str) -> String {
    let found = recipe(job, recipe_id).and_then(|r| whole(job, r).steps.into_iter().find(|x| x.id == row));
    found.map_or_else(|| row.to_string(), |x| x.name)
}

/// `12 steps: wash; patch; ...` of a recipe.
pub fn recipe_words(job: &Job, r: &Recipe) -> String {
    let names = step_names(job, r);
    let n = names.len();
    format!("{n} {}: {}", if n == 1 { "step" } else { "steps" }, names.join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_recipes_of_the_part_are_offered_and_the_jobs_own_wins() {
        let mut job = Job::default();
        for part in PARTS {
            let list = recipes_for(&job, part);
            assert!(!list.is_empty() && list.iter().all(|r| r.parts.contains(&part)), "{part:?}");
            assert!(list.iter().all(|r| !step_names(&job, r).is_empty()), "{part:?}");
        }
        let n = recipes_for(&job, Part::Base).len();
        let mut own = recipe(&job, "base-and-shoe").unwrap().clone();
        own.name = "base as I do it".into();
        job.recipes.push(own);
        assert_eq!(recipes_for(&job, Part::Base).len(), n);
        assert_eq!(recipe(&job, "base-and-shoe").unwrap().name, "base as I do it");
    }

    #[test]
    fn steps_and_choices_of_what_is_included_are_told() {
        let job = Job::default();
        let r = recipe(&job, "protect-and-strip").unwrap();
        let words = recipe_words(&job, r);
        assert!(words.contains("protect floor") && words.contains("take off casing"), "{words}");
        assert!(choices_of(&job, "trim-two-coats").iter().any(|c| c.id == "by" && c.options.contains(&"brush".into())));
        assert!(choices_of(&job, "no such").is_empty());
        assert_eq!(row_name(&job, "protect-and-strip", "gone"), "gone");
    }
}
