//! One command at a time on a file: an advisory lock beside it.
//!
//! A save puts another file in the place of the old one, so the file itself cannot carry the
//! lock. `.NAME.lock` beside it does: it is made for the time of a change, and taken away by
//! whoever held it, last. One left behind by a power cut is in nobody's way: it holds nothing,
//! the next change takes it over and takes it away.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use super::{StoreError, failed, real};

/// The lock of a file: `study.ron` to `.study.ron.lock`, beside the file a link stands for.
fn lock_file(path: &Path) -> PathBuf {
    let path = real(path);
    let mut name = std::ffi::OsString::from(".");
    name.push(path.file_name().unwrap_or_default());
    name.push(".lock");
    path.with_file_name(name)
}

/// Does something while no other command of this program reads and writes the same file.
///
/// # Errors
/// [`StoreError`] where the folder cannot hold the lock.
pub fn locked<T>(path: &Path, done: impl FnOnce() -> T) -> Result<T, StoreError> {
    let _held = Held::take(&lock_file(path)).map_err(|e| failed(path, "locked", e))?;
    Ok(done())
}

/// The lock while it is held.
struct Held {
    #[cfg_attr(windows, allow(dead_code, reason = "its end is the end of the lock"))]
    file: File,
    #[cfg(unix)]
    path: PathBuf,
}

#[cfg(unix)]
impl Held {
    fn take(path: &Path) -> io::Result<Held> {
        use std::os::unix::fs::MetadataExt;
        loop {
            let file = File::options().create(true).truncate(false).write(true).open(path)?;
            file.lock()?;
            // Whoever held it before has taken it away; another may be there by now.
            let same = |there: &fs::Metadata| -> io::Result<bool> {
                let mine = file.metadata()?;
                Ok((mine.dev(), mine.ino()) == (there.dev(), there.ino()))
            };
            match fs::metadata(path) {
                Ok(there) if same(&there)? => return Ok(Held { file, path: path.to_path_buf() }),
                Ok(_) => {}
                Err(e) if e.kind() == io::ErrorKind::NotFound => {}
                Err(e) => return Err(e),
            }
        }
    }
}

#[cfg(unix)]
impl Drop for Held {
    fn drop(&mut self) {
        // Taken away while it is still held, so that nobody waits on a name that is gone.
        let _ = fs::remove_file(&self.path);
        let _ = self.file.unlock();
    }
}

#[cfg(windows)]
impl Held {
    /// A file nobody else may open while it is open, gone with its last handle.
    fn take(path: &Path) -> io::Result<Held> {
        use std::os::windows::fs::OpenOptionsExt;
        const DELETE_ON_CLOSE: u32 = 0x0400_0000;
        const SHARING_VIOLATION: i32 = 32;
        const ACCESS_DENIED: i32 = 5;
        let mut tries = 0;
        loop {
            let open = fs::OpenOptions::new()
                .create(true)
                .truncate(false)
                .write(true)
                .share_mode(0)
                .custom_flags(DELETE_ON_CLOSE)
                .open(path);
            match open {
                Ok(file) => return Ok(Held { file }),
                Err(e) if e.raw_os_error() == Some(SHARING_VIOLATION) => {}
                // Being taken away just now; a folder that may not be written to says the same for ever.
                Err(e) if e.raw_os_error() == Some(ACCESS_DENIED) && tries < 100 => tries += 1,
                Err(e) => return Err(e),
            }
            std::thread::sleep(std::time::Duration::from_millis(20));
        }
    }
}

#[cfg(not(any(unix, windows)))]
impl Held {
    fn take(path: &Path) -> io::Result<Held> {
        let file = fs::OpenOptions::new().create(true).truncate(false).write(true).open(path)?;
        file.lock()?;
        Ok(Held { file })
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::Folder;
    use super::*;
    use crate::store::{read, save};

    #[test]
    fn changes_follow_each_other_though_the_file_is_replaced_each_time() {
        let folder = Folder::new("lock");
        let file = folder.file("job.ron");
        fs::write(&file, "0").unwrap();
        let add = || {
            for _ in 0..20 {
                locked(&file, || {
                    let n: u32 = read(&file).unwrap().parse().unwrap();
                    std::thread::yield_now();
                    save(&file, &(n + 1).to_string()).unwrap();
                })
                .unwrap();
            }
        };
        std::thread::scope(|s| {
            (0..4).for_each(|_| {
                s.spawn(add);
            });
        });
        assert_eq!(read(&file).unwrap(), "80");
        // Nothing is left in the way.
        assert!(!lock_file(&file).exists());
        let names = fs::read_dir(file.parent().unwrap()).unwrap().count();
        assert_eq!(names, 2, "the file and its backup");
    }

    #[test]
    fn a_lock_left_behind_stops_nobody_and_goes_with_the_next_change() {
        let folder = Folder::new("lock-left");
        let file = folder.file("job.ron");
        fs::write(&file, "a").unwrap();
        fs::write(lock_file(&file), "").unwrap();
        assert_eq!(locked(&file, || 7).unwrap(), 7);
        assert!(!lock_file(&file).exists());
        // A folder that is not there is said.
        assert!(locked(&folder.file("nowhere/job.ron"), || ()).is_err());
    }
}
