//! The user's book on the disk: `book.ron` in his folder for data, kept safe.
//!
//! A change is made to the book as it is on the disk at that moment, so that two windows do
//! not write over each other, under a lock. A file that cannot be read is never written over: it stays as
//! it is until it is mended or set aside by name.

use std::fs;
use std::path::{Path, PathBuf};

use super::{StoreError, beside, failed, locked, read, save, taken};
use crate::book::Book;

/// The book's file in the user's folder for data.
pub fn file(folder: &Path) -> PathBuf {
    folder.join("book.ron")
}

/// Reads the book; an empty one where there is no file.
///
/// # Errors
/// A sentence with the file's name, where it is there and cannot be read.
pub fn load(file: &Path) -> Result<Book, String> {
    let broken = |why: String| {
        format!(
            "Your book {} cannot be read ({why}). It stays as it is and nothing is kept in it until it is mended or set \
             aside.",
            file.display()
        )
    };
    match read(file) {
        Err(StoreError::Missing(_)) => Ok(Book::default()),
        Err(e) => Err(broken(e.to_string())),
        Ok(text) => Book::read(&text).map_err(broken),
    }
}

/// Makes a change to the book on the disk. The text before stays as `book.ron.bak`.
///
/// # Errors
/// A sentence; what was there stays.
pub fn change(file: &Path, change: &dyn Fn(&mut Book)) -> Result<Book, String> {
    let said = |e: StoreError| format!("Your book was not written: {e}.");
    if let Some(folder) = file.parent() {
        fs::create_dir_all(folder).map_err(|e| said(failed(folder, "made", e)))?;
    }
    let changed = locked(file, || {
        let mut book = load(file)?;
        change(&mut book);
        save(file, &book.write()).map_err(said)?;
        Ok(book)
    });
    changed.map_err(said)?
}

/// Sets a book that cannot be read aside under a free name and says which.
///
/// # Errors
/// [`StoreError`]; the file is then where it was.
pub fn set_aside(file: &Path) -> Result<PathBuf, StoreError> {
    let name = |n: usize| if n == 1 { ".unread".to_string() } else { format!(".unread-{n}") };
    let free = (1..).map(|n| beside(file, &name(n))).find(|p| !taken(p)).expect("numbers do not end");
    fs::rename(file, &free).map_err(|e| failed(file, "set aside", e))?;
    Ok(free)
}

#[cfg(test)]
mod tests {
    use super::super::tests::Folder;
    use super::*;
    use crate::trade::tables;

    #[test]
    fn what_is_kept_is_there_the_next_time_and_two_windows_keep_both() {
        let folder = Folder::new("book");
        let file = file(&folder.file("data/roomback"));
        assert_eq!(load(&file), Ok(Book::default()));
        let keep = |id: &str| {
            let rate = tables().rate(id).unwrap().clone();
            change(&file, &move |b| b.keep_rate(rate.clone())).unwrap()
        };
        keep("skim");
        let book = keep("wash");
        assert_eq!(book.rates.len(), 2);
        assert_eq!(load(&file), Ok(book));
    }

    #[test]
    fn a_broken_book_is_never_written_over() {
        let folder = Folder::new("broken-book");
        let file = folder.file("book.ron");
        for broken in ["(rates: [", "(format: 7)", "\u{0}"] {
            fs::write(&file, broken).unwrap();
            let said = load(&file).unwrap_err();
            assert!(said.contains("book.ron") && said.contains("stays as it is"), "{said}");
            assert_eq!(change(&file, &|b| b.drop_rate("skim")), Err(said));
            assert_eq!(fs::read_to_string(&file).unwrap(), broken);
        }
        let aside = set_aside(&file).unwrap();
        assert_eq!(fs::read_to_string(&aside).unwrap(), "\u{0}");
        assert!(load(&file).is_ok() && change(&file, &|_| ()).is_ok());
        fs::write(&file, "(").unwrap();
        assert_ne!(set_aside(&file).unwrap(), aside);
    }
}
