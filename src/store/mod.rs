//! The only user of disk, wall clock and surroundings: a file's text, kept safe; what was not
//! saved when the program ended; settings of the window; today's date.
//!
//! A save writes beside the file, flushes to the disk and only then takes the file's name,
//! so that at every moment either the old text or the new one is whole. The text replaced
//! stays as `NAME.bak`. Refuses to know what the text means.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use chrono::NaiveDate;

pub mod book;
mod lock;
mod papers;
pub mod recovery;
pub mod settings;
mod surroundings;

pub use lock::locked;
pub use papers::{Written, ending, may_name, save_pages};
pub use surroundings::{absolute, display, home, say_ready, seconds, typed};

/// Largest file read, bytes.
pub const LARGEST: u64 = 16 << 20;

/// Why a file was not read or written, and what to do.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    #[error("{0} is not there; check the name, or write a new job first")]
    Missing(PathBuf),
    #[error("{0} is a folder; give the name of a file in it")]
    Folder(PathBuf),
    #[error("{path} is larger than {} MB and cannot be a job", LARGEST >> 20)]
    TooLarge { path: PathBuf },
    #[error("{path}:{line}:{col} holds bytes that are not UTF-8 text; save it as UTF-8 in your editor")]
    NotText { path: PathBuf, line: usize, col: usize },
    #[error("{path} may not be {doing} ({error}); check its rights and those of its folder")]
    Forbidden { path: PathBuf, doing: &'static str, error: io::Error },
    #[error("the disk of {path} is full; nothing was changed, make room and save again")]
    Full { path: PathBuf },
    #[error("{path} could not be {doing} ({error})")]
    Other { path: PathBuf, doing: &'static str, error: io::Error },
}

fn failed(path: &Path, doing: &'static str, error: io::Error) -> StoreError {
    let path = path.to_path_buf();
    match error.kind() {
        io::ErrorKind::NotFound => StoreError::Missing(path),
        io::ErrorKind::IsADirectory => StoreError::Folder(path),
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            StoreError::Forbidden { path, doing, error }
        }
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => StoreError::Full { path },
        _ => StoreError::Other { path, doing, error },
    }
}

/// Reads a text file.
///
/// # Errors
/// [`StoreError`]; bytes that are no UTF-8 are named with their line and column.
pub fn read(path: &Path) -> Result<String, StoreError> {
    let fail = |e| failed(path, "read", e);
    let meta = fs::metadata(path).map_err(fail)?;
    if meta.is_dir() {
        return Err(StoreError::Folder(path.to_path_buf()));
    }
    if meta.len() > LARGEST {
        return Err(StoreError::TooLarge { path: path.to_path_buf() });
    }
    let bytes = fs::read(path).map_err(fail)?;
    String::from_utf8(bytes).map_err(|e| {
        let good = String::from_utf8_lossy(&e.as_bytes()[..e.utf8_error().valid_up_to()]).into_owned();
        let line = good.matches('\n').count() + 1;
        let col = good.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        StoreError::NotText { path: path.to_path_buf(), line, col }
    })
}

/// The backup of a file: `study.ron` to `study.ron.bak`.
pub fn backup(path: &Path) -> PathBuf {
    beside(path, ".bak")
}

fn beside(path: &Path, tail: &str) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_os_string();
    name.push(tail);
    path.with_file_name(name)
}

fn write_new(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::create(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// Makes a rename last through a power cut, where the system can.
fn sync_folder(path: &Path) {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if let Ok(folder) = File::open(folder) {
        // Not every file system can; the file itself is on the disk already.
        let _ = folder.sync_all();
    }
}

/// Writes bytes to a name atomically: beside, flushed, renamed.
fn put(path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    let part = beside(path, ".part");
    let done = write_new(&part, bytes).and_then(|()| {
        if let Ok(old) = fs::metadata(path) {
            // The new file keeps the rights of the one it replaces.
            fs::set_permissions(&part, old.permissions())?;
        }
        fs::rename(&part, path)
    });
    done.map_err(|e| {
        // The half-written part is ours alone.
        let _ = fs::remove_file(&part);
        match failed(path, "written", e) {
            StoreError::Missing(path) => {
                let error = io::Error::from(io::ErrorKind::NotFound);
                StoreError::Other { path, doing: "written: its folder is not there", error }
            }
            other => other,
        }
    })?;
    sync_folder(path);
    Ok(())
}

/// Saves a text: the file's name always holds a whole text, the old or the new one; the old
/// one stays as [`backup`]. A link is followed to its file.
///
/// # Errors
/// [`StoreError`]; the file is then as it was.
pub fn save(path: &Path, text: &str) -> Result<(), StoreError> {
    save_bytes(path, text.as_bytes())
}

/// [`save`] for a file that is no text.
///
/// # Errors
/// [`StoreError`]; the file is then as it was.
pub fn save_bytes(path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    match fs::metadata(&target) {
        Ok(meta) if meta.is_dir() => return Err(StoreError::Folder(target)),
        Ok(meta) if meta.permissions().readonly() => {
            let error = io::Error::from(io::ErrorKind::PermissionDenied);
            return Err(StoreError::Forbidden { path: target, doing: "written", error });
        }
        Ok(_) => {
            let old = fs::read(&target).map_err(|e| failed(&target, "read", e))?;
            if old == bytes {
                return Ok(());
            }
            keep(&target, &backup(&target), &old)?;
        }
        Err(e) if e.kind() == io::ErrorKind::NotFound => {}
        Err(e) => return Err(failed(&target, "read", e)),
    }
    put(&target, bytes)
}

/// Keeps the bytes of `from` whole under another name, atomically.
fn keep(from: &Path, to: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    let part = beside(to, ".part");
    let done = File::create(&part)
        .and_then(|mut f| f.write_all(bytes).and_then(|()| f.sync_all()))
        .and_then(|()| fs::rename(&part, to));
    done.map_err(|e| {
        let _ = fs::remove_file(&part);
        failed(from, "written", e)
    })
}

/// Keeps the commented text of a file under `to` before the first save that drops its
/// comments. A name already taken by another text gets a number, `-2` and on; nothing kept
/// is ever overwritten. Says where it went.
///
/// # Errors
/// [`StoreError`]; the caller must not save then.
pub fn keep_commented(from: &Path, to: &Path) -> Result<PathBuf, StoreError> {
    let text = fs::read(from).map_err(|e| failed(from, "read", e))?;
    let name = to.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let (stem, end) = name.split_once('.').unwrap_or((&name, "ron"));
    for n in 1.. {
        let free = if n == 1 { to.to_path_buf() } else { to.with_file_name(format!("{stem}-{n}.{end}")) };
        match fs::read(&free) {
            Ok(there) if there == text => return Ok(free),
            Ok(_) => {}
            Err(e) if e.kind() == io::ErrorKind::NotFound => {
                keep(from, &free, &text)?;
                sync_folder(&free);
                return Ok(free);
            }
            Err(e) => return Err(failed(&free, "read", e)),
        }
    }
    unreachable!("numbers do not end")
}

/// Whether a name is taken, be it by a file, a folder or a link to nothing.
pub fn taken(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// The file a name stands for, links followed; the name itself where there is none.
pub fn real(path: &Path) -> PathBuf {
    fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf())
}

/// What became of a file since its text was last read or written.
#[derive(Debug)]
pub enum OnDisk {
    Same,
    /// It holds this text now.
    Changed(String),
    Missing,
    /// It is there and cannot be read.
    Unreadable(StoreError),
}

/// Compares a file with the text it had when it was last read or written.
pub fn changed(path: &Path, base: &str) -> OnDisk {
    match read(path) {
        Ok(text) if text == base => OnDisk::Same,
        Ok(text) => OnDisk::Changed(text),
        Err(StoreError::Missing(_)) => OnDisk::Missing,
        Err(e) => OnDisk::Unreadable(e),
    }
}

/// A name beside `path` that is not taken: `study.ron` to `study.mine.ron`, `study-2.mine.ron`.
pub fn free_beside(path: &Path, word: &str) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let end = path.extension().map_or_else(|| "ron".into(), |e| e.to_string_lossy().into_owned());
    let name = |n: usize| match n {
        1 => path.with_file_name(format!("{stem}.{word}.{end}")),
        n => path.with_file_name(format!("{stem}-{n}.{word}.{end}")),
    };
    (1..).map(name).find(|p| !taken(p)).expect("numbers do not end")
}

/// The moment by the clock, UTC.
pub fn now() -> chrono::NaiveDateTime {
    chrono::Utc::now().naive_utc()
}

/// Today's date by the local clock.
pub fn today() -> NaiveDate {
    chrono::Local::now().date_naive()
}

#[cfg(test)]
mod tests;
