//! The user's book beside a job: what is offered to be kept, what is offered to be used.
//!
//! Nothing of the book comes into a job by itself, and nothing of a job into the book.

use super::choices;
use super::inspect::rate_unit;
use super::typed::plain;
use crate::book::{Book, as_done, own_id, same_hours};
use crate::job::{Change, Edit, Job, Surface};
use crate::trade::{Product, Rate, Recipe, Stage, tables};

/// What the book has to do with a rate of the job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RateOffer {
    /// The job's row, where it is none of the table's and not in the book as it stands.
    pub keep: Option<Rate>,
    /// `your book: 0.09 h a SF` and the change that uses it.
    pub yours: Option<(String, Edit)>,
}

/// The offers beside a rate.
pub fn rate_offer(job: &Job, book: &Book, id: &str) -> RateOffer {
    let Some(now) = choices::rate(job, id) else { return RateOffer::default() };
    let kept = book.now(id, tables().rate(id).or(Some(now)));
    let own = tables().rate(id).is_none_or(|t| !same_hours(t, now));
    let keep = (own && kept.as_ref().is_none_or(|k| !same_hours(k, now))).then(|| now.clone());
    let yours = kept.filter(|k| !same_hours(k, now)).map(|k| (rate_words(job, &k), Edit::Rate(k)));
    RateOffer { keep, yours }
}

fn rate_words(job: &Job, r: &Rate) -> String {
    let (unit, times) = rate_unit(job.units, r.unit);
    let jobs = match r.jobs {
        0 => String::new(),
        1 => ", 1 job".into(),
        n => format!(", {n} jobs"),
    };
    format!("your book: {} h a {unit}{jobs}", plain(r.typ * times))
}

/// A row of the book: its id, what it says, and the change that uses it in this job, where
/// the job has another.
#[derive(Clone, Debug, PartialEq)]
pub struct BookRow {
    pub id: String,
    pub words: String,
    pub takes: Option<Edit>,
}

/// The rates kept.
pub fn rate_rows(job: &Job, book: &Book) -> Vec<BookRow> {
    let row = |r: &Rate| {
        let (unit, times) = rate_unit(job.units, r.unit);
        let [low, typ, high] = [r.low, r.typ, r.high].map(|x| plain(x * times));
        let other = choices::rate(job, &r.id).is_none_or(|now| !same_hours(now, r));
        BookRow {
            id: r.id.clone(),
            words: format!("{}: {typ} h a {unit} ({low} to {high})", r.name),
            takes: other.then(|| Edit::Rate(r.clone())),
        }
    };
    let now = |id: String| book.now(&id, tables().rate(&id));
    book.rows().into_iter().filter_map(now).map(|r| row(&r)).collect()
}

/// The recipes kept.
pub fn recipe_rows(book: &Book) -> Vec<BookRow> {
    let row = |r: &Recipe| {
        let n = r.steps.len();
        let words = format!("{}: {n} {}", r.name, if n == 1 { "step" } else { "steps" });
        BookRow { id: r.id.clone(), words, takes: None }
    };
    book.recipes.iter().map(row).collect()
}

/// Whether a surface's steps are others than its recipe's of the table or the book, so that
/// they can be kept as a recipe. Hours given for this surface alone are none of the recipe's.
pub fn changed_here(job: &Job, book: &Book, s: &Surface) -> bool {
    let Some(now) = choices::own_copy(job, &s.recipe) else { return false };
    let of_recipe = |c: &Change| c.skip || c.product.is_some();
    let known = book.recipe(&s.recipe).or_else(|| tables().recipe(&s.recipe));
    s.changes.iter().any(of_recipe) || known.is_none_or(|k| k.steps != now.steps)
}

/// A recipe to be kept, with what goes into the book beside it and what changes in the job.
#[derive(Clone, Debug, PartialEq)]
pub struct ToKeep {
    pub recipe: Recipe,
    pub rates: Vec<Rate>,
    pub products: Vec<Product>,
    pub edits: Vec<Edit>,
}

/// The steps of a surface as a recipe of the user's own, of this name; the surface then uses it.
///
/// # Errors
/// A name that is empty, or has the id of a recipe of another name.
pub fn to_keep(job: &Job, book: &Book, at: (usize, usize), name: &str) -> Result<ToKeep, String> {
    let name = name.trim();
    if own_id(name) == own_id("") {
        return Err("give it a name, such as walls my way".into());
    }
    let surface = job.rooms.get(at.0).and_then(|r| r.surfaces.get(at.1)).ok_or("this surface is gone")?;
    let from = choices::own_copy(job, &surface.recipe).ok_or("this surface has no recipe")?;
    let other = |r: &&Recipe| r.id == own_id(name) && r.name != name;
    if let Some(r) = book.recipes.iter().chain(&job.recipes).find(other) {
        return Err(format!("\"{}\" is too much like it; give it another name", r.name));
    }
    let out: Vec<&str> = surface.changes.iter().filter(|c| c.skip).map(|c| c.step.as_str()).collect();
    let product = |c: &'_ Change| c.product.clone().map(|p| (c.step.clone(), p));
    let products: Vec<(String, String)> = surface.changes.iter().filter_map(product).collect();
    let products: Vec<(&str, &str)> = products.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
    let has = |p: &str, s: Stage| choices::product(job, p).is_some_and(|p| p.hours.hours(s).is_some());
    let recipe = as_done(&from, name, &out, &products, &has);
    if recipe.steps.is_empty() {
        return Err("every step is left out; there is nothing to keep".into());
    }
    // What no table has comes along, so that another job can use it.
    let rates = job.rates.iter().filter(|r| {
        tables().rate(&r.id).is_none() && recipe.steps.iter().any(|x| x.labor.iter().any(|t| t.rate == r.id))
    });
    let brought = job.products.iter().filter(|p| {
        let leaves = |x: &crate::trade::Row| x.leaves.as_ref().is_some_and(|l| l.product == p.id);
        tables().product(&p.id).is_none() && recipe.steps.iter().any(leaves)
    });
    let changes = surface.changes.iter().filter(|c| !c.skip && c.hours.is_some());
    let new = Surface {
        recipe: recipe.id.clone(),
        changes: changes.map(|c| Change { product: None, ..c.clone() }).collect(),
        ..surface.clone()
    };
    Ok(ToKeep {
        rates: rates.cloned().collect(),
        products: brought.cloned().collect(),
        edits: vec![Edit::Recipe(Box::new(recipe.clone())), Edit::Surface(at.0, at.1, Some(Box::new(new)))],
        recipe,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk;
    use crate::job::{Part, edited};
    use crate::views::inspect::rate_with;
    use crate::work::build::attempt;
    use crate::work::cpm::{Dates, cpm};
    use crate::work::{Ask, Link};

    fn study() -> Job {
        desk::open(include_str!("../../sample-jobs/study.ron")).unwrap().read.job
    }

    #[test]
    fn a_rate_is_offered_both_ways_and_never_twice() {
        let (mut job, mut book) = (study(), Book::default());
        assert_eq!(rate_offer(&job, &book, "skim"), RateOffer::default());
        let own = rate_with(tables().rate("skim").unwrap(), 1.0, (0.01, 0.018, 0.03));
        Edit::Rate(own.clone()).apply(&mut job);
        let keep = rate_offer(&job, &book, "skim");
        assert_eq!((keep.keep.clone(), keep.yours), (Some(own), None));
        book.keep_rate(keep.keep.unwrap());
        assert_eq!(rate_offer(&job, &book, "skim"), RateOffer::default());
        let other = study();
        let (words, take) = rate_offer(&other, &book, "skim").yours.unwrap();
        assert_eq!(words, "your book: 0.018 h a SF");
        let rows = rate_rows(&other, &book);
        assert_eq!(rows[0].takes, Some(take.clone()));
        let taken = edited(&other, &[take]);
        assert_eq!(rate_offer(&taken, &book, "skim"), RateOffer::default());
        assert!(crate::jobfile::write(&taken).contains("0.018"));
    }

    /// When each step could begin at the soonest, by id, the methods as usual and each choice the
    /// other way once: links that bind, whatever else is linked.
    fn soonest(job: &Job) -> Vec<String> {
        let (g, problems) = attempt(job);
        assert!(problems.is_empty(), "{problems:?}");
        let dry = |l: &Link| match (l.ask, g.steps[l.from].coat) {
            (Ask::Dry(stage), Some(c)) => {
                (g.products[c.product].hours.hours(stage).unwrap_or(0.0) * c.thick * 60.0) as i64
            }
            _ => 0,
        };
        let usual = g.usual();
        let other = |c: usize| {
            let open = g.choices[c].fixed.is_none() && g.choices[c].options.len() > 1;
            open.then(|| usual.iter().enumerate().map(|(i, &o)| if i == c { 1 } else { o }).collect::<Vec<_>>())
        };
        let ways = std::iter::once(usual.clone()).chain((0..usual.len()).filter_map(other));
        let mut out = Vec::new();
        for (k, methods) in ways.enumerate() {
            let dates = cpm(&g, &methods, |s| g.steps[s].labor.typical() + 1, dry).dates;
            let at = |(s, d): (usize, &Option<Dates>)| {
                d.as_ref().map(|d| format!("{k} {} {:?} {}", g.steps[s].id, g.steps[s].coat, d.early_begin))
            };
            out.extend(dates.iter().enumerate().filter_map(at));
        }
        out.sort();
        out
    }

    #[test]
    fn kept_as_a_recipe_a_surface_is_planned_as_it_was_with_any_step_left_out() {
        let mut seen = 0;
        for recipe in &tables().recipes {
            for row in &recipe.steps {
                let mut job = study();
                // Two, so that every way can be chosen.
                job.crew.push(crate::job::Person { id: "ben".into(), name: "Ben".into(), ..Default::default() });
                let room = &mut job.rooms[0];
                let part = recipe.parts.first().copied().unwrap_or(Part::Room);
                let k = room.surfaces.iter().position(|s| s.recipe == recipe.id).unwrap_or_else(|| {
                    let height = (part == Part::Panels).then(|| crate::measure::Length::from_inches(36.0));
                    room.surfaces.push(Surface {
                        id: "new".into(),
                        part,
                        recipe: recipe.id.clone(),
                        height,
                        ..Surface::default()
                    });
                    room.surfaces.len() - 1
                });
                job.deliveries.clear();
                job.decisions.clear();
                room_methods(&mut job, k);
                job.rooms[0].surfaces[k].changes =
                    vec![Change { step: row.id.clone(), skip: true, ..Change::default() }];
                if !attempt(&job).1.is_empty() {
                    continue;
                }
                let Ok(kept) = to_keep(&job, &Book::default(), (0, k), "my way") else { continue };
                let after = edited(&job, &kept.edits);
                assert!(after.rooms[0].surfaces[k].changes.is_empty());
                let (mine, theirs) = (soonest(&after), soonest(&job));
                let first = mine.iter().zip(&theirs).find(|(a, b)| a != b);
                assert_eq!((mine.len(), first), (theirs.len(), None), "{} without {}", recipe.id, row.id);
                seen += 1;
            }
        }
        assert!(seen > 100, "{seen}");
    }

    /// Methods settled by the sample would not all be there without their rows.
    fn room_methods(job: &mut Job, k: usize) {
        job.rooms[0].surfaces[k].methods.clear();
    }

    #[test]
    fn only_changed_steps_are_offered_to_be_kept_and_a_name_is_asked() {
        let (mut job, book) = (study(), Book::default());
        let walls = |job: &Job| job.rooms[0].surfaces[4].clone();
        assert!(!changed_here(&job, &book, &walls(&job)));
        let hours = Change { step: "skim-2".into(), hours: Some((1.0, 2.0, 3.0)), ..Change::default() };
        Edit::Change(0, 4, hours.clone()).apply(&mut job);
        assert!(!changed_here(&job, &book, &walls(&job)));
        let product = Change { product: Some("setting-90".into()), ..hours };
        Edit::Change(0, 4, product).apply(&mut job);
        assert!(changed_here(&job, &book, &walls(&job)));
        assert!(to_keep(&job, &book, (0, 4), " ").unwrap_err().contains("name"));
        let kept = to_keep(&job, &book, (0, 4), "Skim, setting second").unwrap();
        let after = edited(&job, &kept.edits);
        // The hours of this room stay with it.
        assert_eq!(walls(&after).changes[0].hours, Some((1.0, 2.0, 3.0)));
        let mut book = book;
        book.keep_recipe(kept.recipe);
        assert!(!changed_here(&after, &book, &walls(&after)));
        assert_eq!(recipe_rows(&book)[0].words.split(':').next(), Some("Skim, setting second"));
        assert!(to_keep(&job, &book, (0, 4), "skim setting second").unwrap_err().contains("too much like it"));
        assert_eq!(crate::jobfile::read(&crate::jobfile::write(&after), tables()).unwrap().job, after);
    }
}
