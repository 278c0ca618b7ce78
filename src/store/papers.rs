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

/// Writes the files of a paper, named after `to`: which were written.
///
/// # Errors
/// What is wrong with a name, before anything is written; what the disk says.
pub fn save_pages(job: Option<&Path>, to: &Path, endings: &[&str], files: &[Vec<u8>]) -> Result<Vec<PathBuf>, String> {
    may_name(job, to, endings)?;
    let names: Vec<PathBuf> = (1..=files.len()).map(|n| numbered(to, n)).collect();
    names.iter().try_for_each(|n| may_name(job, n, endings))?;
    for (bytes, name) in files.iter().zip(&names) {
        save_bytes(name, bytes).map_err(|e| e.to_string())?;
    }
    Ok(names)
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
