//! Saving, and the file that another hand changed.

use std::path::{Path, PathBuf};

use super::question::{Question, name};
use super::{Files, For, Outcome, Panel, opening};
use crate::jobfile::{self, SaveNotice};
use crate::store::{self, OnDisk};
use crate::trade::tables;
use crate::ui::session::Session;

impl Files {
    /// The save panel, with a name to begin with.
    pub(super) fn save_panel(&mut self, s: &Session) {
        let path = s.file.as_deref().map_or_else(
            || store::absolute(Path::new(&suggested(&s.job().name))).display().to_string(),
            |f| f.display().to_string(),
        );
        self.panel = Some(Panel { kind: For::Save, path, said: String::new(), mark: true });
    }

    /// Saves to the job's own file; asks for a name where it has none.
    pub(super) fn save(&mut self, s: &mut Session) -> Outcome {
        let Some(file) = s.file.clone() else {
            self.save_panel(s);
            return Outcome::Nothing;
        };
        let text = jobfile::write(s.job());
        // Looked at and written in one turn: no text command comes between.
        let done = in_turn(&file, || match store::changed(&file, &s.base) {
            OnDisk::Same | OnDisk::Missing => Ok(written(&file, &text)),
            OnDisk::Changed(there) if there == text => Ok(written(&file, &text)),
            other => Err(other),
        });
        match done {
            Ok(done) => self.wrote(&file, text, done, s),
            Err(OnDisk::Changed(text)) => {
                let unsaved = s.unsaved();
                self.questions.push_front(Question::Theirs { file, text, saving: true, unsaved });
                Outcome::Nothing
            }
            Err(OnDisk::Unreadable(e)) => {
                self.next = None;
                self.fail(format!("Not saved: {e}"));
                Outcome::Nothing
            }
            Err(OnDisk::Same | OnDisk::Missing) => Outcome::Nothing,
        }
    }

    /// Saves under a name that was typed or chosen; asks where another file has it.
    pub fn save_to(&mut self, path: &Path, s: &mut Session) -> Outcome {
        let mut path = store::absolute(path);
        if path.extension().is_none() {
            path.set_extension("ron");
        }
        if s.file.as_deref().is_some_and(|f| store::real(f) == store::real(&path)) {
            self.panel = None;
            return self.save(s);
        }
        if store::taken(&path) {
            self.questions.push_front(Question::Taken { file: path });
            return Outcome::Nothing;
        }
        self.write(&path, s)
    }

    /// Writes the job, then does what was to come after the save.
    pub(super) fn write(&mut self, file: &Path, s: &mut Session) -> Outcome {
        let text = jobfile::write(s.job());
        let done = in_turn(file, || written(file, &text));
        self.wrote(file, text, done, s)
    }

    /// What follows a save: where the comments went, or why it was none.
    fn wrote(
        &mut self,
        file: &Path,
        text: String,
        done: Result<Option<PathBuf>, store::StoreError>,
        s: &mut Session,
    ) -> Outcome {
        match done {
            Ok(comments) => {
                s.saved_as(file.to_path_buf(), text);
                self.forget_autosave();
                self.auto.begin(s, None);
                self.gone = false;
                self.panel = None;
                self.bar = None;
                self.used(file);
                if self.bar.is_none() {
                    let mut words = format!("Saved {}.", file.display());
                    if let Some(kept) = comments {
                        words +=
                            &format!(" Comments are not carried over; the text with them stays in {}.", name(&kept));
                    }
                    match cannot_be_planned(&s.base) {
                        Some(why) => self.fail(format!("{words} {why}")),
                        None => self.say(words),
                    }
                }
                match self.next.take() {
                    Some(then) => self.go(then, s),
                    None => Outcome::Nothing,
                }
            }
            Err(e) => {
                self.next = None;
                match &mut self.panel {
                    Some(p) => p.said = format!("Not saved: {e}"),
                    None => self.fail(format!("Not saved: {e}")),
                }
                Outcome::Nothing
            }
        }
    }

    /// The file's own text in place of what is here, which stays one undo away.
    pub(super) fn take_theirs(&mut self, file: &Path, text: String, s: &mut Session) -> Outcome {
        match opening::judged(file, text) {
            opening::Opening::Job(theirs) => {
                s.reread((**theirs.job()).clone(), theirs.base);
                self.forget_autosave();
                self.auto.begin(s, None);
                // Mine is one undo away only while the job is at hand: a close or another job that
                // was to come after the save waits to be asked for again.
                self.next = None;
                Outcome::Opened
            }
            opening::Opening::Broken(page) => {
                self.next = None;
                self.page = Some(page);
                Outcome::Nothing
            }
        }
    }

    /// The window has the focus again: looks whether another hand changed the file.
    pub fn focused(&mut self, s: &mut Session) {
        let Some(file) = s.file.clone().filter(|_| !self.in_front()) else { return };
        match store::changed(&file, &s.base) {
            OnDisk::Same => self.gone = false,
            OnDisk::Changed(text) => {
                let unsaved = s.unsaved();
                // Another layout or other comments around the same job are no change of it.
                if !unsaved && jobfile::read(&text, tables()).is_ok_and(|r| r.problems.is_empty() && r.job == **s.job())
                {
                    s.base = text;
                    return;
                }
                self.questions.push_back(Question::Theirs { file, text, saving: false, unsaved });
            }
            OnDisk::Missing if !self.gone => {
                self.gone = true;
                s.never_saved();
                self.auto.touch(self.now);
                self.fail(format!("{} is not there any more; the next save writes it again.", file.display()));
            }
            OnDisk::Missing => {}
            OnDisk::Unreadable(e) => self.fail(e.to_string()),
        }
    }
}

/// What stands against a plan of a job as it was written; a file may hold such a job all the same.
fn cannot_be_planned(text: &str) -> Option<String> {
    let problems = crate::desk::open(text).map(|o| o.read.problems).unwrap_or_default();
    let first = problems.first()?;
    let more = match problems.len() - 1 {
        0 => String::new(),
        n => format!("; {}", crate::views::and_more(n)),
    };
    Some(format!("It cannot be planned as it stands: {}; {}{more}.", first.what, first.remedy))
}

/// Does something with a file while no text command changes it. Where a file is not there, or its
/// system knows no locks, it is done all the same.
fn in_turn<T>(file: &Path, done: impl Fn() -> T) -> T {
    store::locked(file, &done).unwrap_or_else(|_| done())
}

/// Writes a text to a file, its comments kept beside it. Where those went.
fn written(file: &Path, text: &str) -> Result<Option<PathBuf>, store::StoreError> {
    // The file may be a link; backup and comments stay beside the file itself.
    let real = store::real(file);
    let old = match store::read(&real) {
        Ok(old) => old,
        Err(store::StoreError::Missing(_)) => String::new(),
        // What is no text has no comments; the save says what is wrong, or keeps it as it is.
        Err(store::StoreError::NotText { .. } | store::StoreError::TooLarge { .. }) => String::new(),
        Err(e) => return Err(e),
    };
    let comments = match jobfile::keep_comments(&old, &real) {
        SaveNotice::CommentsGoTo(to) if old != text => Some(store::keep_commented(&real, &to)?),
        _ => None,
    };
    store::save(&real, text)?;
    Ok(comments)
}

/// A file name for a job: its name in small letters, joined by hyphens.
fn suggested(job: &str) -> String {
    let plain: String = job.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    let words: Vec<&str> = plain.split_whitespace().collect();
    if words.is_empty() { "job.ron".into() } else { format!("{}.ron", words.join("-")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_to_begin_with_is_made_of_the_jobs_own() {
        assert_eq!(suggested("Panelled study, Ms. Ødegård"), "panelled-study-ms-ødegård.ron");
        assert_eq!(suggested("  /../ "), "job.ron");
    }
}
