//! What a person may leave out: ids, places of rooms, rows of the starter tables.

use std::collections::BTreeSet;

use crate::job::{Job, Part, Place};
use crate::trade::{Recipe, Tables};

/// A short id from a name: `Anna's study` to `annas-study`.
pub(super) fn slug(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        if c.is_alphanumeric() {
            out.push(c);
        } else if !matches!(c, '\'' | '’') && !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    out.trim_end_matches('-').to_string()
}

/// Gives ids to those of a list that have none, from their names, `-2` and on where taken.
fn give<T>(list: &mut [T], taken: &mut BTreeSet<String>, id: fn(&mut T) -> &mut String, name: fn(&T) -> String) {
    taken.extend(list.iter_mut().map(|x| id(x).clone()));
    for x in list {
        let base = slug(&name(x));
        if !id(x).is_empty() || base.is_empty() {
            continue;
        }
        let mut new = base.clone();
        let mut n = 2;
        while !taken.insert(new.clone()) {
            new = format!("{base}-{n}");
            n += 1;
        }
        *id(x) = new;
    }
}

/// The word of a part, as in the file.
pub(super) fn part_word(part: Part) -> &'static str {
    match part {
        Part::Ceiling => "ceiling",
        Part::Crown => "crown",
        Part::Walls => "walls",
        Part::Openings => "openings",
        Part::Panels => "panels",
        Part::Base => "base",
        Part::Room => "room",
    }
}

/// Ids left out, made from names; a surface's from its part.
pub(super) fn ids(job: &mut Job) {
    let none = BTreeSet::new;
    give(&mut job.crew, &mut none(), |p| &mut p.id, |p| p.name.clone());
    give(&mut job.places, &mut none(), |p| &mut p.id, |p| p.name.clone());
    give(&mut job.rooms, &mut none(), |r| &mut r.id, |r| r.name.clone());
    for room in &mut job.rooms {
        give(&mut room.surfaces, &mut none(), |s| &mut s.id, |s| part_word(s.part).to_string());
    }
    // What a need may name shares one set of ids.
    let mut gates = BTreeSet::new();
    gates.extend(job.steps.iter().map(|s| s.id.clone()));
    gates.extend(job.deliveries.iter().map(|s| s.id.clone()));
    gates.extend(job.decisions.iter().map(|s| s.id.clone()));
    gates.extend(job.visits.iter().map(|s| s.id.clone()));
    give(&mut job.steps, &mut gates, |s| &mut s.id, |s| s.name.clone());
    give(&mut job.deliveries, &mut gates, |s| &mut s.id, |s| s.name.clone());
    give(&mut job.decisions, &mut gates, |s| &mut s.id, |s| s.name.clone());
    give(&mut job.visits, &mut gates, |s| &mut s.id, |s| s.name.clone());
}

/// A room without a place works in one called like itself, with the usual air.
pub(super) fn places(job: &mut Job) {
    for room in &mut job.rooms {
        if !room.place.is_empty() || room.id.is_empty() {
            continue;
        }
        room.place = room.id.clone();
        if !job.places.iter().any(|p| p.id == room.id) {
            job.places.push(Place { id: room.id.clone(), name: room.name.clone(), ..Place::default() });
        }
    }
}

/// Copies the rows in use that the job has no row of its own for.
pub(super) fn rows(job: &mut Job, tables: &Tables) {
    fn copy<T: Clone>(own: &mut Vec<T>, table: &[T], id: fn(&T) -> &str, used: &BTreeSet<String>) {
        for row in table {
            if used.contains(id(row)) && !own.iter().any(|o| id(o) == id(row)) {
                own.push(row.clone());
            }
        }
    }
    let surfaces = || job.rooms.iter().flat_map(|r| &r.surfaces);
    let used = surfaces().map(|s| s.recipe.clone()).collect();
    let mut products: BTreeSet<String> =
        surfaces().flat_map(|s| &s.changes).filter_map(|c| c.product.clone()).collect();
    let mut rates = BTreeSet::new();
    for step in &job.steps {
        products.extend(step.leaves.iter().map(|l| l.product.clone()));
        products.extend(step.methods.iter().filter_map(|m| m.leaves.as_ref()).map(|l| l.product.clone()));
        rates.extend(step.rate.iter().map(|r| r.1.clone()));
    }
    copy(&mut job.recipes, &tables.recipes, |r| &r.id, &used);
    for recipe in &job.recipes {
        for row in expanded(recipe, &job.recipes, tables).recipe.steps {
            products.extend(row.leaves.iter().map(|l| l.product.clone()));
            rates.extend(row.labor.iter().map(|t| t.rate.clone()));
        }
    }
    let wanted = |m: &crate::trade::Material| m.wanted(|r| rates.contains(r), |p| products.contains(p));
    let materials = tables.materials.iter().filter(|m| wanted(m)).map(|m| m.id.clone()).collect();
    copy(&mut job.materials, &tables.materials, |m| &m.id, &materials);
    copy(&mut job.products, &tables.products, |p| &p.id, &products);
    copy(&mut job.rates, &tables.rates, |r| &r.id, &rates);
}

/// Most rows of a recipe with what it includes.
const MOST_ROWS: usize = 1000;

/// A recipe with the choices and rows of what it includes before its own.
pub(super) struct Expanded {
    pub recipe: Recipe,
    /// It includes itself, by way of this recipe.
    pub circle: Option<String>,
    /// Rows past [`MOST_ROWS`] were left out.
    pub too_long: bool,
    /// Recipes taken in so far.
    taken: usize,
}

/// Expands a recipe; included ones come from the job, then from the tables. One that is
/// nowhere is left out.
pub(super) fn expanded(recipe: &Recipe, own: &[Recipe], tables: &Tables) -> Expanded {
    fn put<'a>(r: &'a Recipe, own: &'a [Recipe], tables: &'a Tables, open: &mut Vec<&'a str>, out: &mut Expanded) {
        out.taken += 1;
        out.too_long |= out.taken > MOST_ROWS;
        open.push(&r.id);
        for id in &r.includes {
            if open.contains(&id.as_str()) {
                out.circle = Some(r.id.clone());
            } else if out.too_long {
                break;
            } else if let Some(x) = own.iter().chain(&tables.recipes).find(|x| x.id == *id) {
                put(x, own, tables, open, out);
            }
        }
        open.pop();
        for c in &r.choices {
            if !out.recipe.choices.iter().any(|o| o.id == c.id) {
                out.recipe.choices.push(c.clone());
            }
        }
        if out.recipe.steps.len() + r.steps.len() > MOST_ROWS {
            out.too_long = true;
        } else {
            out.recipe.steps.extend(r.steps.iter().cloned());
        }
    }
    let bare = Recipe { choices: Vec::new(), includes: Vec::new(), steps: Vec::new(), ..recipe.clone() };
    let mut out = Expanded { recipe: bare, circle: None, too_long: false, taken: 0 };
    put(recipe, own, tables, &mut Vec::new(), &mut out);
    out
}

/// Puts what recipes include in its place.
pub(super) fn expand(job: &mut Job, tables: &Tables) {
    job.recipes = job.recipes.iter().map(|r| expanded(r, &job.recipes, tables).recipe).collect();
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slugs() {
        assert_eq!(slug("Anna's  study (north)"), "annas-study-north");
        assert_eq!(slug("Küche 2"), "küche-2");
        assert_eq!(slug("--"), "");
    }
}
