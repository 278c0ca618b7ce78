//! The user's own book: rates and recipes he keeps from one job to the next.
//!
//! Answers what he has kept, and how a changed recipe reads once its changes are worked into
//! it. It is offered to a job, never forced on it: a job keeps its own copies. Rates are hours
//! of one person a unit. It refuses to know any job and any file.

use serde::{Deserialize, Serialize};

use super::closed::ClosedJob;
use crate::trade::{Leaves, Product, Rate, Recipe, RowNeed, Stage, Tag};

/// Version of the text this program writes: 2 since closed jobs stand in it, 3 since the letterhead does.
pub const FORMAT: u32 = 3;

/// Rates and recipes kept, with the products his recipes use and no table has.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Book {
    pub format: u32,
    pub rates: Vec<Rate>,
    pub recipes: Vec<Recipe>,
    pub products: Vec<Product>,
    /// Who does the work, a line each, as the papers of a job say it; and the days his quotes hold.
    pub letterhead: Vec<String>,
    pub valid_days: Option<u32>,
    /// Jobs that were closed, with what they showed.
    pub closed: Vec<ClosedJob>,
}

impl Default for Book {
    fn default() -> Self {
        Book {
            format: FORMAT,
            rates: Vec::new(),
            recipes: Vec::new(),
            products: Vec::new(),
            letterhead: Vec::new(),
            valid_days: None,
            closed: Vec::new(),
        }
    }
}

fn put<T>(list: &mut Vec<T>, row: T, same: impl Fn(&T, &T) -> bool) {
    match list.iter_mut().find(|x| same(x, &row)) {
        Some(there) => *there = row,
        None => list.push(row),
    }
}

impl Book {
    /// Reads the text of a book.
    ///
    /// # Errors
    /// What is wrong with it, with its line and column where that is known.
    pub fn read(text: &str) -> Result<Book, String> {
        let options = ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
        let book: Book = options.from_str(text).map_err(|e| format!("line {e}"))?;
        if book.format > FORMAT {
            return Err(format!("it was written by a newer program (format {})", book.format));
        }
        for r in &book.rates {
            let rises = r.low > 0.0 && r.low <= r.typ && r.typ <= r.high && r.high.is_finite();
            if r.id.is_empty() || !rises {
                return Err(format!("the rate \"{}\" needs an id and hours that rise from above 0", r.id));
            }
        }
        let ids: Vec<&str> = book.rates.iter().map(|r| r.id.as_str()).collect();
        let names: Vec<&str> = book.recipes.iter().map(|r| r.id.as_str()).collect();
        let twice =
            |list: &[&str]| list.iter().enumerate().find(|(i, x)| list[..*i].contains(x)).map(|x| x.1.to_string());
        if let Some(id) = twice(&ids).or_else(|| twice(&names)) {
            return Err(format!("\"{id}\" stands in it twice"));
        }
        if let Some(r) = book.recipes.iter().find(|r| r.id.is_empty() || r.steps.is_empty() || !r.includes.is_empty()) {
            return Err(format!("the recipe \"{}\" needs an id and steps of its own", r.name));
        }
        Ok(book)
    }

    /// The text of the book; it reads back equal.
    pub fn write(&self) -> String {
        let style = ron::ser::PrettyConfig::default();
        // Plain data of numbers, words and lists has nothing that cannot be written.
        ron::ser::to_string_pretty(&Book { format: FORMAT, ..self.clone() }, style).unwrap_or_default() + "\n"
    }

    pub fn rate(&self, id: &str) -> Option<&Rate> {
        self.rates.iter().find(|r| r.id == id)
    }

    pub fn recipe(&self, id: &str) -> Option<&Recipe> {
        self.recipes.iter().find(|r| r.id == id)
    }

    pub fn product(&self, id: &str) -> Option<&Product> {
        self.products.iter().find(|p| p.id == id)
    }

    /// Keeps a rate in place of an earlier one of its id.
    pub fn keep_rate(&mut self, rate: Rate) {
        let rate = Rate { tag: Tag::Own, ..rate };
        put(&mut self.rates, rate, |a, b| a.id == b.id);
    }

    /// Keeps a recipe in place of an earlier one of its id.
    pub fn keep_recipe(&mut self, recipe: Recipe) {
        put(&mut self.recipes, recipe, |a, b| a.id == b.id);
    }

    /// Keeps a product in place of an earlier one of its id.
    pub fn keep_product(&mut self, product: Product) {
        put(&mut self.products, product, |a, b| a.id == b.id);
    }

    /// Keeps who does the work, and the days a quote holds where they are said.
    pub fn keep_letterhead(&mut self, from: &[String], valid_days: Option<u32>) {
        self.letterhead = from.to_vec();
        self.valid_days = valid_days.or(self.valid_days);
    }

    pub fn drop_rate(&mut self, id: &str) {
        self.rates.retain(|r| r.id != id);
    }

    pub fn drop_recipe(&mut self, id: &str) {
        self.recipes.retain(|r| r.id != id);
    }
}

/// Whether two rates say the same hours.
pub fn same_hours(a: &Rate, b: &Rate) -> bool {
    let near = |x: f64, y: f64| (x - y).abs() <= 1e-9 * x.abs().max(y.abs());
    near(a.low, b.low) && near(a.typ, b.typ) && near(a.high, b.high)
}

/// The id of a recipe of this name: `mine-two-coats-my-way`.
pub fn own_id(name: &str) -> String {
    let plain: String = name.to_lowercase().chars().map(|c| if c.is_ascii_alphanumeric() { c } else { ' ' }).collect();
    let words: Vec<&str> = std::iter::once("mine").chain(plain.split_whitespace()).collect();
    words.join("-")
}

/// A recipe as he does it: expanded, some steps left out, other products in some.
pub fn as_done(
    from: &Recipe,
    name: &str,
    left_out: &[&str],
    products: &[(&str, &str)],
    has: &dyn Fn(&str, Stage) -> bool,
) -> Recipe {
    // The client is told the name he gave it.
    let mut out = Recipe { id: own_id(name), name: name.trim().to_string(), client: Vec::new(), ..from.clone() };
    for (row, product) in products {
        for x in out.steps.iter_mut().filter(|x| x.id == *row) {
            x.leaves = x.leaves.take().map(|l| Leaves { product: product.to_string(), ..l });
        }
    }
    left_out.iter().fold(out, |r, id| without(&r, id, has))
}

/// What a row waits for inside its recipe, said out where it leaves that open: the row before
/// it, dry to recoat, else to handle.
fn needs_of(recipe: &Recipe, row: usize, has: &dyn Fn(&str, Stage) -> bool) -> Vec<RowNeed> {
    let x = &recipe.steps[row];
    if !x.needs.is_empty() || x.first {
        return x.needs.clone();
    }
    let mut out = Vec::new();
    for y in recipe.steps[..row].iter().rev() {
        // Rows under another option of the same choice are never there together.
        let apart = matches!((&x.when, &y.when), (Some(a), Some(b)) if a.0 == b.0 && a.1 != b.1);
        if apart {
            continue;
        }
        let product = y.leaves.as_ref().map(|l| l.product.as_str());
        let dry = product.and_then(|p| [Stage::Recoat, Stage::Handle].into_iter().find(|&s| has(p, s)));
        out.push(RowNeed {
            row: y.id.clone(),
            dry,
            when: y.when.clone().or_else(|| x.when.clone()),
            ..RowNeed::default()
        });
        if y.when.is_none() || y.when == x.when {
            break;
        }
    }
    out
}

/// A recipe without the rows of this id: what waited for them waits for what they waited for.
/// `has` says whether a product has a stage.
#[must_use]
pub fn without(recipe: &Recipe, id: &str, has: &dyn Fn(&str, Stage) -> bool) -> Recipe {
    let mut out = recipe.clone();
    // Said out, so that taking a row out moves nobody's row before.
    for k in 0..out.steps.len() {
        let needs = needs_of(recipe, k, has);
        out.steps[k].first |= needs.is_empty();
        out.steps[k].needs = needs;
    }
    let gone: Vec<_> = out.steps.iter().filter(|x| x.id == id).cloned().collect();
    out.steps.retain(|x| x.id != id);
    for x in &mut out.steps {
        let (waited, kept): (Vec<RowNeed>, Vec<RowNeed>) = x.needs.drain(..).partition(|n| n.row == id);
        x.needs = kept;
        for (g, w) in gone.iter().flat_map(|g| waited.iter().map(move |w| (g, w))) {
            // Handed on under the condition it was waited for.
            let under = |own: &Option<(String, String)>| match (own, &w.when) {
                (Some(a), Some(b)) if a.0 == b.0 && a.1 != b.1 => None,
                (a, b) => Some(a.clone().or_else(|| b.clone())),
            };
            for n in &g.needs {
                let Some(when) = under(&n.when) else { continue };
                let n = RowNeed { when, ..n.clone() };
                if n.row != x.id && !x.needs.contains(&n) {
                    x.needs.push(n);
                }
            }
            for a in &g.after {
                let Some(when) = under(&a.when) else { continue };
                let a = crate::trade::After { when, ..a.clone() };
                if !x.after.contains(&a) {
                    x.after.push(a);
                }
            }
        }
        x.first |= x.needs.is_empty();
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::tables;

    fn has(product: &str, stage: Stage) -> bool {
        tables().product(product).is_some_and(|p| p.hours.hours(stage).is_some())
    }

    #[test]
    fn a_book_reads_back_equal_and_a_broken_one_says_where() {
        let mut book = Book::default();
        let skim = tables().rate("skim").unwrap();
        book.keep_rate(Rate { typ: 0.02, ..skim.clone() });
        book.keep_rate(Rate { typ: 0.016, ..skim.clone() });
        let base = as_done(tables().recipe("base-and-shoe").unwrap(), "Base, no shoe", &["shoe"], &[], &has);
        book.keep_recipe(base);
        let back = Book::read(&book.write()).unwrap();
        assert_eq!(back, book);
        assert_eq!((back.rates.len(), back.rate("skim").unwrap().typ, back.rates[0].tag), (1, 0.016, Tag::Own));
        assert_eq!(back.recipe("mine-base-no-shoe").unwrap().steps.len(), 1);
        assert!(Book::read("(rates: [").unwrap_err().contains("line 1:"));
        assert!(Book::read("(format: 9)").unwrap_err().contains("newer"));
        let falls = book.write().replace("low: 0.008", "low: 0.8");
        assert!(Book::read(&falls).unwrap_err().contains("rise"));
        book.drop_rate("skim");
        book.drop_recipe("mine-base-no-shoe");
        assert_eq!(book, Book::default());
    }

    #[test]
    fn a_row_taken_out_hands_on_what_it_waited_for() {
        let trim = tables().recipe("trim-finishing").unwrap();
        let out = without(trim, "fill-low", &has);
        let fine = out.steps.iter().find(|x| x.id == "sand-fine").unwrap();
        assert_eq!(fine.needs.iter().map(|n| n.row.as_str()).collect::<Vec<_>>(), ["sand-flush"]);
        let walls = tables().recipe("patched-walls").unwrap();
        let out = as_done(walls, "mine", &["wash"], &[("prime", "shellac-primer")], &has);
        assert_eq!(out.steps[0].id, "patch");
        // The wash waited for the protection, so does what comes first now.
        assert!(out.steps[0].after.iter().any(|a| a.milestone == "protected"));
        let prime = out.steps.iter().find(|x| x.id == "prime").unwrap();
        assert_eq!(prime.leaves.as_ref().unwrap().product, "shellac-primer");
    }
}
