//! Writes a found order into the job file, and says what that did.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use crate::desk::{self, Sound, underway};
use crate::job::Job;
use crate::jobfile::{self, SaveNotice};
use crate::search::{self, Found};
use crate::store;

/// What was done to the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Applied {
    file: PathBuf,
    /// False where it keeps this order already.
    changed: bool,
    /// Where the text with comments went.
    comments: Option<PathBuf>,
}

impl Applied {
    /// Nothing to write.
    pub fn same(file: &Path) -> Applied {
        Applied { file: file.into(), changed: false, comments: None }
    }

    /// In words, each on a line.
    pub fn words(&self) -> String {
        let file = self.file.display();
        if !self.changed {
            return format!("{file} keeps this order already; nothing was written.\n");
        }
        let backup = store::backup(&self.file);
        let mut out = format!("{file} is written; the text before is in {}.\n", backup.display());
        if let Some(c) = &self.comments {
            out += &format!("Comments are not carried over; the text with them stays in {}.\n", c.display());
        }
        out
    }

    /// `{file, changed, backup, comments}`.
    pub fn json(&self) -> Value {
        let path = |p: &Path| p.display().to_string();
        json!({
            "file": path(&self.file),
            "changed": self.changed,
            "backup": self.changed.then(|| path(&store::backup(&self.file))),
            "comments": self.comments.as_deref().map(path),
        })
    }
}

/// Saves the job with this order kept. `old` is the text of the file as it was read.
///
/// # Errors
/// In words: the file cannot be written, or the new text would not read back to this plan.
pub fn apply(file: &Path, old: &str, sound: &Sound, found: &Found) -> Result<Applied, String> {
    // The file's own job: days counted both ways, and what is not known at an earlier moment, are
    // not taken for written.
    let own = desk::open(old).map_err(|_| format!("{} was not written: it cannot be read", file.display()))?.read.job;
    let mut job = Job { as_of: sound.job.as_of, ..own };
    job.kept = Some(search::keep(&sound.graph, &sound.setting, &found.plan.order, &job));
    written(file, old, &job, found)
}

/// Saves a job whose plan is `found`.
///
/// # Errors
/// As [`apply`].
pub fn written(file: &Path, old: &str, job: &Job, found: &Found) -> Result<Applied, String> {
    let text = jobfile::write(job);
    let back = desk::open(&text).ok().filter(|o| o.read.problems.is_empty());
    let same = |s: Result<Sound, _>| {
        s.ok().and_then(|s| s.plan(false).ok()).is_some_and(|f| f.plan.finish == found.plan.finish)
    };
    // Days not written up are counted as nothing done, or the way that ends later.
    let reads = back.is_some_and(|o| {
        same(underway::asked_at(&o.read.job, job.as_of)) || same(underway::worse(&o.read.job, job.as_of))
    });
    if !reads {
        return Err(format!("{} was not written: the order would not read back as planned", file.display()));
    }
    // The file may be a link; backup and comments stay beside the file itself.
    let file = store::real(file);
    let comments = match jobfile::keep_comments(old, &file) {
        SaveNotice::NoComments => None,
        SaveNotice::CommentsGoTo(to) => Some(store::keep_commented(&file, &to).map_err(|e| e.to_string())?),
    };
    store::save(&file, &text).map_err(|e| e.to_string())?;
    Ok(Applied { file, changed: true, comments })
}
