//! Papers as files: which names they may have, and how the files of several pages are named.
//!
//! A job's own file is never written over, and every name is looked at before the first file is written.

use std::path::{Path, PathBuf};

use super::{real, save_bytes};

/// Whether this name may be written: it ends as one of these kinds, and is not the job's.
///
/// # Errors
/// What is wrong with it, and what to write.
pub fn may_name(job: Option<&Path>, to: &Path, endings: &[&str]) -> Result<(), String> {
    let end = ending(to);
    if !endings.contains(&end.as_str()) {
        let has = if end.is_empty() { "no ending".to_string() } else { format!("the ending .{end}") };
        let known = endings.iter().map(|e| format!(".{e}")).collect::<Vec<_>>().join(" or ");
        return Err(format!("{} has {has}; this is written as {known}", to.display()));
    }
    if job.is_some_and(|job| real(to) == real(job)) {
        return Err(format!("{} is the job itself; give another name", to.display()));
    }
    Ok(())
}

/// Ending of a name, small.
pub fn ending(to: &Path) -> String {
    to.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default()
}

/// What came of writing a paper.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Written {
    pub files: Vec<PathBuf>,
    /// Files beside them named like further pages of the same paper, not of this print: older ones, left as they are.
    pub older: Vec<PathBuf>,
}

impl Written {
    /// What is said of the older files; nothing where there are none.
    pub fn older_words(&self) -> String {
        let names: Vec<String> =
            self.older.iter().filter_map(|f| f.file_name()).map(|n| n.to_string_lossy().into_owned()).collect();
        match names.as_slice() {
            [] => String::new(),
            [one] => format!("{one} is not a page of this print; it is older and was left as it is."),
            [first, .., last] => format!(
                "{} older files, {first} to {last}, are not pages of this print and were left as they are.",
                names.len()
            ),
        }
    }
}

/// Writes the files of a paper, named after `to`: which were written, and which of an older print stay beside them.
/// Nothing is taken away.
///
/// # Errors
/// What is wrong with a name, before anything is written; what the disk says.
pub fn save_pages(job: Option<&Path>, to: &Path, endings: &[&str], files: &[Vec<u8>]) -> Result<Written, String> {
    may_name(job, to, endings)?;
    let names: Vec<PathBuf> = (1..=files.len()).map(|n| numbered(to, n)).collect();
    names.iter().try_for_each(|n| may_name(job, n, endings))?;
    for (bytes, name) in files.iter().zip(&names) {
        save_bytes(name, bytes).map_err(|e| e.to_string())?;
    }
    Ok(Written { older: further(to, files.len()), files: names })
}

/// Files beside `to` that are named like its pages after the `n`-th, in their order.
fn further(to: &Path, n: usize) -> Vec<PathBuf> {
    let folder = to.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let head = format!("{}-", to.file_stem().unwrap_or_default().to_string_lossy());
    let end = ending(to);
    let page = |path: &Path| {
        let stem = path.file_stem()?.to_string_lossy().into_owned();
        let number = stem.strip_prefix(&head)?;
        let plain = number.bytes().all(|b| b.is_ascii_digit()) && !number.starts_with('0');
        number.parse::<usize>().ok().filter(|k| plain && *k > n.max(1) && ending(path) == end)
    };
    // A folder that cannot be listed says nothing of older files.
    let all = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let mut found: Vec<(usize, PathBuf)> =
        all.filter_map(|e| Some((page(&e.path())?, to.with_file_name(e.file_name())))).collect();
    found.sort();
    found.into_iter().map(|f| f.1).collect()
}

/// `week.svg`, `week-2.svg`.
fn numbered(to: &Path, n: usize) -> PathBuf {
    if n == 1 {
        return to.to_path_buf();
    }
    let stem = to.file_stem().unwrap_or_default().to_string_lossy();
    let end = to.extension().unwrap_or_default().to_string_lossy();
    to.with_file_name(format!("{stem}-{n}.{end}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shorter_print_says_which_files_are_older_and_takes_none_away() {
        let dir = std::env::temp_dir().join(format!("roomback-{}-older-pages", std::process::id()));
        let _ = std::fs::remove_dir_all(&dir);
        std::fs::create_dir_all(&dir).expect("a folder");
        let to = dir.join("week.png");
        let pages = |n: u8| (0..n).map(|i| vec![i]).collect::<Vec<_>>();
        let first = save_pages(None, &to, &["png"], &pages(12)).expect("written");
        assert!(first.files.len() == 12 && first.older.is_empty() && first.older_words().is_empty());
        // His own files beside them are none of its pages.
        for own in ["week-b.png", "week-05.png", "week-4.svg", "weekly-4.png", "week-.png"] {
            std::fs::write(dir.join(own), b"his").expect("written");
        }
        let again = save_pages(None, &to, &["png"], &pages(9)).expect("written");
        assert_eq!(again.older, ["week-10.png", "week-11.png", "week-12.png"].map(|n| dir.join(n)));
        let words = again.older_words();
        assert!(words.starts_with("3 older files, week-10.png to week-12.png") && words.contains("left"), "{words}");
        assert_eq!(std::fs::read(dir.join("week-12.png")).expect("there"), [11]);
        let again = save_pages(None, &to, &["png"], &pages(11)).expect("written");
        assert!(again.older_words().starts_with("week-12.png is not a page of this print"), "{again:?}");
        std::fs::remove_dir_all(&dir).expect("removed");
    }
}
