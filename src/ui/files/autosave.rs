//! When the job is put by, and where. Times in seconds.

use std::path::{Path, PathBuf};

use crate::jobfile;
use crate::store::{StoreError, recovery};
use crate::ui::session::Session;

/// Seconds from the last change to the autosave.
pub const AFTER: f64 = 2.0;

/// What is put by of the job at hand.
#[derive(Debug, Default)]
pub struct Autosave {
    /// Revision seen last.
    seen: u64,
    /// When to write.
    due: Option<f64>,
    /// What lies on the disk for this job.
    written: Option<PathBuf>,
    /// Whether its last failure was told.
    told: bool,
}

impl Autosave {
    /// Another job is at hand, as it was opened; what lies on the disk for it, if anything.
    pub fn begin(&mut self, s: &Session, written: Option<PathBuf>) {
        *self = Autosave { seen: s.revision(), written, ..Autosave::default() };
    }

    /// Whether this is what lies on the disk for the job at hand.
    pub fn holds(&self, at: &Path) -> bool {
        self.written.as_deref() == Some(at)
    }

    /// The job at hand is as good as changed: it was never saved.
    pub fn touch(&mut self, now: f64) {
        self.due = Some(now + AFTER);
    }

    /// Writes what is due. Seconds until it should be asked again, if at all.
    ///
    /// # Errors
    /// What went wrong, told once until it works again.
    pub fn tick(&mut self, now: f64, s: &Session, folder: Option<&Path>) -> Result<Option<f64>, StoreError> {
        if s.revision() != self.seen {
            self.seen = s.revision();
            self.touch(now);
        }
        let Some(due) = self.due else { return Ok(None) };
        if now < due {
            return Ok(Some(due - now));
        }
        self.due = None;
        match self.write(s, folder) {
            Ok(()) => self.told = false,
            Err(e) if !self.told => {
                self.told = true;
                return Err(e);
            }
            Err(_) => {}
        }
        Ok(None)
    }

    fn write(&mut self, s: &Session, folder: Option<&Path>) -> Result<(), StoreError> {
        if !s.unsaved() {
            // Taken back to what the file holds: nothing to keep.
            return self.forget();
        }
        let beside = s.file.as_deref().map(recovery::beside_file);
        // Another window on the same file has that place: this one goes where jobs without a file go.
        let mine = |at: &PathBuf| !recovery::in_use(at);
        let there = self.written.clone().filter(|at| beside.as_ref() != Some(at));
        let at = match (beside.filter(mine), there, folder) {
            (Some(beside), ..) => beside,
            (None, Some(there), _) => there,
            (None, None, Some(folder)) => recovery::free_in(folder),
            (None, None, None) => return Ok(()),
        };
        recovery::keep(&at, &jobfile::write(s.job()), &s.base)?;
        match self.written.replace(at.clone()) {
            Some(before) if before != at => drop_mine(&before),
            _ => Ok(()),
        }
    }

    /// Takes away what lies on the disk for this job: it was saved, or left.
    ///
    /// # Errors
    /// [`StoreError`] where it stays.
    pub fn forget(&mut self) -> Result<(), StoreError> {
        self.due = None;
        self.written.take().map_or(Ok(()), |at| drop_mine(&at))
    }
}

/// Takes an autosave away, unless another window that is still open has written there since.
fn drop_mine(at: &Path) -> Result<(), StoreError> {
    if recovery::in_use(at) { Ok(()) } else { recovery::drop(at) }
}
