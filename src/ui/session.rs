//! One job being worked on: its undo, its question, its file. No egui in here.

use std::path::PathBuf;
use std::sync::Arc;

use crate::desk;
use crate::job::{Edit, Job, Promise, edited};

/// Undo entries kept.
const MOST_UNDO: usize = 500;

/// A question that is not yet an edit: answered against the job as it is, dropped by Escape,
/// kept as one undo entry.
#[derive(Clone, Debug, PartialEq)]
pub struct WhatIf {
    pub edits: Vec<Edit>,
    pub asked_by: AskedBy,
}

/// Where a question comes from, so that its answer is shown there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AskedBy {
    /// A step kept waiting on the chart, by its id.
    Wait(String),
    /// A field or slider being dragged, by its name.
    Field(String),
    /// The card of single questions, by the question.
    Card(String),
    /// A dialog of a job under way, by its name.
    Site(&'static str),
}

/// A state of the job that can be gone back to.
#[derive(Clone, Debug)]
struct Past {
    job: Arc<Job>,
    words: String,
    /// The record this step adds that a promise is withdrawn.
    withdraws: Option<Promise>,
}

/// Whether a change may call for another order, and brings none of its own.
fn moves_work(edit: &Edit) -> bool {
    !matches!(
        edit,
        Edit::Name(_)
            | Edit::Client(_)
            | Edit::Units(_)
            | Edit::Target(_)
            | Edit::Confidence(_)
            | Edit::Kept(_)
            | Edit::OptionKept(_)
            | Edit::OptionTaken(_)
            | Edit::OptionOut(_)
            | Edit::OptionName(_)
            | Edit::Promised(_)
            | Edit::Withdrawn(_)
            | Edit::Material(_)
            | Edit::StarterMaterial(_)
            | Edit::Price(_)
            | Edit::ClientPage(_)
            | Edit::Quoted(_)
            | Edit::Evening(_)
            | Edit::Changed(_)
            | Edit::Closed(_)
            | Edit::Day(..)
            | Edit::Lost(..)
            | Edit::Extra(_)
            | Edit::WayTaken(_)
            | Edit::WayTakenBack(_)
    )
}

/// What was said on an evening, promised or quoted stays said: no undo takes it back. A promise withdrawn is an
/// entry of its own, which undo does take back.
fn stays_said(edit: &Edit) -> bool {
    matches!(edit, Edit::Promised(_) | Edit::Quoted(_) | Edit::Evening(_))
}

/// The job of the window, with what was before and what is being asked.
#[derive(Clone, Debug)]
pub struct Session {
    job: Arc<Job>,
    /// Grows with every change of the job; answers name the one they are of.
    revision: u64,
    undo: Vec<Past>,
    redo: Vec<Past>,
    question: Option<WhatIf>,
    /// Where it is saved; none for a new job and for the sample.
    pub file: Option<PathBuf>,
    /// The job as the file has it.
    saved: Arc<Job>,
    /// The text the file had when it was last read or written.
    pub base: String,
}

impl Session {
    /// A job just opened. `base` is the text of its file.
    pub fn new(job: Job, file: Option<PathBuf>, base: String) -> Session {
        let job = Arc::new(job);
        Session { saved: job.clone(), job, revision: 1, undo: Vec::new(), redo: Vec::new(), question: None, file, base }
    }

    pub fn job(&self) -> &Arc<Job> {
        &self.job
    }

    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Makes a change: one undo entry, the question is over.
    pub fn edit(&mut self, edits: &[Edit]) {
        let mut next = desk::without_lost_names(edited(&self.job, edits));
        if edits.iter().any(moves_work) && !next.order_stands() {
            // Nothing is promised and no step was moved by hand: what the search finds is taken.
            next.kept = None;
        }
        self.question = None;
        if next == *self.job {
            return;
        }
        if edits.iter().all(stays_said) {
            self.redo.clear();
            self.put(Arc::new(next));
            return;
        }
        let words = edits.first().map(Edit::words).unwrap_or_default();
        self.past(words);
        let withdrew = edits.iter().any(|e| matches!(e, Edit::Withdrawn(_)));
        if let Some(p) = self.undo.last_mut().filter(|_| withdrew) {
            p.withdraws = next.promises.last().cloned();
        }
        self.put(Arc::new(next));
    }

    /// Days written up: another state of the job with more on record, one undo entry.
    pub fn written_up(&mut self, job: Job, words: String) {
        self.question = None;
        self.past(words);
        self.put(Arc::new(job));
    }

    /// The job as it stands becomes one that can be gone back to.
    fn past(&mut self, words: String) {
        self.undo.push(Past { job: self.job.clone(), words, withdraws: None });
        if self.undo.len() > MOST_UNDO {
            self.undo.remove(0);
        }
        self.redo.clear();
    }

    /// A state gone to by undo or redo, with everything that has been said since and these promises.
    fn as_said(&self, job: Arc<Job>, promises: Vec<Promise>) -> Arc<Job> {
        let now = &self.job;
        if job.record == now.record && job.promises == promises && job.quotes == now.quotes {
            return job;
        }
        let mut out = (*job).clone();
        out.record.clone_from(&now.record);
        out.quotes.clone_from(&now.quotes);
        if out.promises != promises {
            out.promises = promises;
            out.target = now.target;
            out.target = out.day_as_said();
            // The promise was made on its order.
            out.kept = out.kept.or_else(|| now.kept.clone());
            out = desk::without_lost_names(out);
        }
        Arc::new(out)
    }

    fn put(&mut self, job: Arc<Job>) {
        self.job = job;
        self.revision += 1;
    }

    /// What undo would take back.
    pub fn undo_words(&self) -> Option<&str> {
        self.undo.last().map(|p| p.words.as_str())
    }

    /// What redo would make again.
    pub fn redo_words(&self) -> Option<&str> {
        self.redo.last().map(|p| p.words.as_str())
    }

    pub fn undo(&mut self) {
        self.question = None;
        if let Some(p) = self.undo.pop() {
            let mut promises = self.job.promises.clone();
            if let Some(i) = p.withdraws.as_ref().and_then(|w| promises.iter().rposition(|x| x == w)) {
                promises.remove(i);
            }
            let next = self.as_said(p.job, promises);
            self.redo.push(Past { job: self.job.clone(), words: p.words, withdraws: p.withdraws });
            self.put(next);
        }
    }

    pub fn redo(&mut self) {
        self.question = None;
        if let Some(p) = self.redo.pop() {
            let mut promises = self.job.promises.clone();
            promises.extend(p.withdraws.clone());
            let next = self.as_said(p.job, promises);
            self.undo.push(Past { job: self.job.clone(), words: p.words, withdraws: p.withdraws });
            self.put(next);
        }
    }

    /// Asks; an earlier question is dropped.
    pub fn ask(&mut self, question: WhatIf) {
        self.question = Some(question);
    }

    /// Adds to what is asked, before it is kept.
    pub fn add_to_question(&mut self, edit: Edit) {
        if let Some(q) = &mut self.question {
            q.edits.push(edit);
        }
    }

    pub fn drop_question(&mut self) {
        self.question = None;
    }

    pub fn question(&self) -> Option<&WhatIf> {
        self.question.as_ref()
    }

    /// Keeps what was asked as one undo entry.
    pub fn keep_question(&mut self) {
        if let Some(q) = self.question.take() {
            self.edit(&q.edits);
        }
    }

    /// Whether the job differs from its file.
    pub fn unsaved(&self) -> bool {
        self.saved != self.job && *self.saved != *self.job
    }

    /// The job has been written as it is now, with this text.
    pub fn saved_as(&mut self, file: PathBuf, text: String) {
        self.file = Some(file);
        self.saved = self.job.clone();
        self.base = text;
    }

    /// Lays another state of the whole job over this one, as one undo entry. Evenings on record, promises
    /// and quotes made here that the other has not stay.
    pub fn lay(&mut self, job: Job, words: &str) {
        self.question = None;
        self.past(words.to_string());
        let job = self.with_said(job);
        self.put(Arc::new(job));
    }

    /// Another state of the job with what has been said in this one.
    fn with_said(&self, mut job: Job) -> Job {
        for e in &self.job.record {
            if !job.record.iter().any(|t| t.day == e.day) {
                job.record.push(e.clone());
            }
        }
        job.record.sort_by_key(|e| e.day);
        for q in &self.job.quotes {
            if !job.quotes.contains(q) {
                job.quotes.push(q.clone());
            }
        }
        job.quotes.sort_by_key(|q| q.made_on);
        let more: Vec<Promise> = self.job.promises.iter().filter(|p| !job.promises.contains(p)).cloned().collect();
        if !more.is_empty() {
            job.promises.extend(more);
            job.promises.sort_by_key(|p| p.made_on);
            job.target = job.day_as_said();
        }
        job
    }

    /// The file was changed by another hand and its job taken; what was here is one undo away.
    /// What was said here and is not in the file stays, unsaved.
    pub fn reread(&mut self, job: Job, text: String) {
        let theirs = Arc::new(job.clone());
        self.lay(job, "taking what the file holds now");
        self.saved = if *theirs == *self.job { self.job.clone() } else { theirs };
        self.base = text;
    }

    /// Another job in place of this one. Revisions go on, so that no answer of the job before
    /// is taken for one of this.
    pub fn replace(&mut self, with: Session) {
        let revision = self.revision + 1;
        *self = Session { revision, ..with };
    }

    /// Promises made and withdrawn that the file does not have; they are no entries of undo.
    pub fn unsaved_promises(&self) -> &[crate::job::Promise] {
        self.job.promises.get(self.saved.promises.len()..).unwrap_or_default()
    }

    /// What would be lost without saving: the changes since then, first to last. Empty where
    /// nothing is unsaved, and where the saved state is not among the ones gone back to.
    pub fn unsaved_words(&self) -> Vec<&str> {
        if !self.unsaved() {
            return Vec::new();
        }
        let from = |list: &[Past]| list.iter().rposition(|p| Arc::ptr_eq(&p.job, &self.saved));
        match (from(&self.undo), from(&self.redo)) {
            (Some(i), _) => self.undo[i..].iter().map(|p| p.words.as_str()).collect(),
            // Taken back past the saved state: the changes taken back are what the file has more.
            (None, Some(i)) => self.redo[i..].iter().rev().map(|p| p.words.as_str()).collect(),
            (None, None) => Vec::new(),
        }
    }

    /// The job came from somewhere else than its file (a recovered text) and is unsaved.
    pub fn never_saved(&mut self) {
        self.saved = Arc::new(Job::default());
    }
}

#[cfg(test)]
mod walks;

#[cfg(test)]
mod tests {
    use super::*;

    fn named(name: &str) -> Job {
        Job { name: name.into(), ..Job::default() }
    }

    fn rename(s: &mut Session, name: &str) {
        s.edit(&[Edit::Name(name.into())]);
    }

    #[test]
    fn what_is_unsaved_is_told_on_both_sides_of_the_saved_state() {
        let mut s = Session::new(named("a"), None, String::new());
        assert!(s.unsaved_words().is_empty());
        rename(&mut s, "b");
        rename(&mut s, "c");
        assert_eq!(s.unsaved_words().len(), 2);
        s.saved_as("x.ron".into(), "text".into());
        assert!(!s.unsaved() && s.unsaved_words().is_empty());
        s.undo();
        assert!(s.unsaved() && s.unsaved_words().len() == 1);
        s.redo();
        assert!(!s.unsaved());
        s.never_saved();
        assert!(s.unsaved() && s.unsaved_words().is_empty());
    }

    #[test]
    fn what_another_hand_wrote_is_taken_and_can_be_undone() {
        let mut s = Session::new(named("a"), Some("x.ron".into()), "a".into());
        rename(&mut s, "mine");
        s.reread(named("theirs"), "theirs".into());
        assert_eq!((s.job().name.as_str(), s.unsaved(), s.base.as_str()), ("theirs", false, "theirs"));
        s.undo();
        assert_eq!((s.job().name.as_str(), s.unsaved()), ("mine", true));
    }

    #[test]
    fn a_kept_order_stands_once_something_is_promised_or_a_step_was_moved_by_hand() {
        use crate::job::{Hold, KeptOrder, Person, Target, TargetKind, Until};
        let kept = Some(KeptOrder::default());
        let with = |target, holds: Vec<Hold>| {
            let job = Job { kept: kept.clone(), target, holds, ..Job::default() };
            let mut s = Session::new(job, None, String::new());
            s.edit(&[Edit::Confidence(0.9)]);
            assert_eq!(s.job().kept, kept, "a promise is no safer by another order");
            s.edit(&[Edit::Person(0, Some(Person::default()))]);
            s.job().kept.is_some()
        };
        let target = |kind| Some(Target { kind, day: Job::default().start });
        assert!(!with(None, Vec::new()) && !with(target(TargetKind::Asked), Vec::new()));
        assert!(with(target(TargetKind::Promised), Vec::new()));
        let hold = Hold { step: "a".into(), until: Until::Done("b".into()), wait: None };
        // Without a graph no name is lost: the hold stands.
        assert!(Job { holds: vec![hold], ..Job::default() }.order_stands());
    }

    #[test]
    fn revisions_go_on_from_one_job_to_the_next() {
        let mut s = Session::new(named("a"), None, String::new());
        rename(&mut s, "b");
        let before = s.revision();
        s.replace(Session::new(named("c"), None, String::new()));
        assert!(s.revision() > before && s.undo_words().is_none());
    }
}
