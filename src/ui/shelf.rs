//! The user's book while the window is open: read at the start, changed on the disk at once.

use std::path::PathBuf;

use crate::book::{Book, ClosedJob};
use crate::store;
use crate::trade::{Product, Rate, Recipe};

/// A change of the book.
#[derive(Clone, Debug, PartialEq)]
pub enum BookChange {
    KeepRate(Rate),
    DropRate(String),
    /// A recipe, with the rates and products it uses that no table has.
    KeepRecipe(Box<Recipe>, Vec<Rate>, Vec<Product>),
    DropRecipe(String),
    /// A closed job, with rates it showed that no table has.
    Close(Box<ClosedJob>, Vec<Rate>),
    /// Who does the work, as papers say it, and the days a quote holds.
    Letterhead(Vec<String>, Option<u32>),
    /// Sets a book that cannot be read aside and begins a new one.
    SetAside,
}

/// The book at hand.
#[derive(Clone, Debug, Default)]
pub struct Shelf {
    file: Option<PathBuf>,
    book: Book,
    /// What was said last: that the book cannot be read or written, or what was done.
    said: String,
    /// The file is there and cannot be read.
    broken: bool,
    /// Grows with every change.
    revision: u64,
}

impl Shelf {
    /// The book of a file; without one it is kept while the window is open.
    pub fn open(file: Option<PathBuf>) -> Shelf {
        let mut out = Shelf { file, ..Shelf::default() };
        if let Some(file) = &out.file {
            match store::book::load(file) {
                Ok(book) => out.book = book,
                Err(said) => (out.said, out.broken) = (said, true),
            }
        }
        out
    }

    pub fn book(&self) -> &Book {
        &self.book
    }

    pub fn said(&self) -> &str {
        &self.said
    }

    /// Whether the file is there and cannot be read.
    pub fn broken(&self) -> bool {
        self.broken
    }

    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Makes a change, on the disk first.
    pub fn change(&mut self, change: &BookChange) {
        self.revision += 1;
        if *change == BookChange::SetAside {
            return self.set_aside();
        }
        let make = |b: &mut Book| match change {
            BookChange::KeepRate(r) => b.keep_rate(r.clone()),
            BookChange::DropRate(id) => b.drop_rate(id),
            BookChange::KeepRecipe(r, rates, products) => {
                rates.iter().for_each(|x| b.keep_rate(x.clone()));
                products.iter().for_each(|x| b.keep_product(x.clone()));
                b.keep_recipe((**r).clone());
            }
            BookChange::DropRecipe(id) => b.drop_recipe(id),
            BookChange::Close(job, own) => {
                own.iter().for_each(|r| b.keep_rate(r.clone()));
                b.close((**job).clone());
            }
            BookChange::Letterhead(from, days) => b.keep_letterhead(from, *days),
            BookChange::SetAside => {}
        };
        let Some(file) = &self.file else {
            make(&mut self.book);
            self.said = "There is no folder to keep a book in; it holds until the window is closed.".into();
            return;
        };
        match store::book::change(file, &make) {
            Ok(book) => {
                (self.book, self.broken) = (book, false);
                self.said = format!("Kept in {}.", file.display());
            }
            Err(said) => {
                self.broken = store::book::load(file).is_err();
                self.said = said;
            }
        }
    }

    fn set_aside(&mut self) {
        let Some(file) = &self.file else { return };
        match store::book::set_aside(file) {
            Ok(to) => {
                (self.book, self.broken) = (Book::default(), false);
                self.said = format!("The old book is kept as {}; this one is new.", to.display());
            }
            Err(e) => self.said = format!("Your book was not set aside: {e}."),
        }
    }
}
