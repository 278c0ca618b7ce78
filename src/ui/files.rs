//! Files of the window: new, open, save, what is recent, what was not saved, what another
//! hand changed.
//!
//! [`Files`] is a machine without egui: commands and presses go in, the job at hand changes,
//! and an [`Outcome`] comes out. Its panels (`cards`, `page`, `bars`) are drawn by egui and
//! give presses. Nothing of the user's is lost on any way through it: a job is left only
//! after a question, a text replaced stays as `.bak`, comments stay in a file of their own, a
//! state taken over another can be undone. Times in seconds.
//!
//! One file because the machine's states and all that leads from one to the next are read together.

mod autosave;
mod begin;
mod browse;
mod draw;
mod draw_begin;
mod keep;
mod opening;
mod question;

use std::collections::VecDeque;
use std::path::{Path, PathBuf};

use chrono::NaiveDate;

pub use opening::{Broken, SAMPLES};
pub use question::{Press, Question, Then};

use super::action::Command;
use super::session::Session;
use crate::store::recovery::{self, Found, Recovered};
use crate::store::settings::{self, Settings};
use crate::{jobfile, store};
use autosave::Autosave;
use begin::Beginning;
use browse::{Browse, Came};
use opening::{Opening, bundled};

/// What the window has to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[must_use]
pub enum Outcome {
    Nothing,
    /// Another job is at hand: selection, view and answers of the one before are void.
    Opened,
    /// The window may close now.
    Close,
    /// The job at hand has nothing to do yet: it is chosen next.
    Choose,
}

/// Where the window keeps what is its own.
#[derive(Clone, Debug, Default)]
pub struct Folders {
    /// File of the settings.
    pub settings: Option<PathBuf>,
    /// Folder of autosaves of jobs without a file.
    pub unsaved: Option<PathBuf>,
    /// The user's folder.
    pub home: Option<PathBuf>,
}

impl Folders {
    /// The file of the user's book, in his folder for data.
    fn book(&self) -> Option<PathBuf> {
        self.unsaved.as_deref().map(store::book::file)
    }

    /// Those of the user.
    pub fn of_user() -> Folders {
        Folders { settings: settings::file(), unsaved: recovery::folder(), home: store::home() }
    }
}

/// What a panel of files is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum For {
    Open,
    Save,
}

/// The open panel or the save panel.
#[derive(Clone, Debug)]
pub struct Panel {
    pub kind: For,
    /// The path as typed.
    pub path: String,
    /// What is to be said about it.
    pub said: String,
    /// The name of the file is to be marked when the field gets the keyboard: what is typed takes its place.
    pub mark: bool,
}

/// A line at the foot of the window.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bar {
    pub text: String,
    /// Whether something went wrong.
    pub failed: bool,
}

/// Everything about files that is open, asked or said.
#[derive(Debug)]
pub struct Files {
    pub settings: Settings,
    folders: Folders,
    panel: Option<Panel>,
    /// The questions of a new job.
    begin: Option<Beginning>,
    /// Questions of a new job left before the last answer: they go on where they were.
    left_off: Option<Beginning>,
    questions: VecDeque<Question>,
    page: Option<Box<Broken>>,
    bar: Option<Bar>,
    /// The revision of the job at which the bar was said.
    bar_of: Option<u64>,
    /// The job at hand is this one of those that come with the program, or was made of it.
    sample: Option<usize>,
    /// What comes after the save that was asked for.
    next: Option<Then>,
    auto: Autosave,
    /// The dialog of the machine, and the panel it was opened from.
    browse: Option<(For, Browse)>,
    /// The window was told that it may close.
    closing: bool,
    /// Whether it was said that the file is gone.
    gone: bool,
    /// The title given to the window last.
    title: String,
    /// When the machine was asked last, seconds.
    now: f64,
    /// The day it is taken to be; today's without.
    believed: Option<NaiveDate>,
}

impl Files {
    /// The file of the user's book.
    pub fn book(&self) -> Option<PathBuf> {
        self.folders.book()
    }

    /// The same, taking it to be this day.
    pub fn believing(mut self, day: Option<NaiveDate>) -> Files {
        self.believed = day;
        self
    }

    /// The day it is taken to be.
    pub fn today(&self) -> NaiveDate {
        self.believed.unwrap_or_else(store::today)
    }

    /// Begins with this job, or the last one, or the sample.
    pub fn start(folders: Folders, job: Option<PathBuf>) -> (Files, Session) {
        let loaded = folders.settings.as_deref().map(settings::load);
        let (settings, said) = loaded.map_or_else(|| (Settings::default(), None), |l| (l.settings, l.said));
        let job = job.or_else(|| settings.last.clone()).map(|p| store::absolute(&p));
        let mut session = bundled(SAMPLES[0].2);
        let mut files = Files {
            settings,
            folders,
            panel: None,
            begin: None,
            left_off: None,
            questions: VecDeque::new(),
            page: None,
            sample: Some(0),
            bar: said.map(|text| Bar { text, failed: true }),
            bar_of: None,
            next: None,
            auto: Autosave::default(),
            browse: None,
            closing: false,
            gone: false,
            title: String::new(),
            now: 0.0,
            believed: None,
        };
        files.auto.begin(&session, None);
        if let Some(path) = &job {
            // Gone, or not to be read: the bar says so, and the sample stands in.
            let _ = files.open(path, &mut session);
        }
        let unsaved = files.folders.unsaved.as_deref().map(recovery::unsaved).unwrap_or_default();
        if let Some(found) = unsaved.into_iter().next() {
            let question = Question::Unsaved { found: Box::new(found), file: None, base: String::new() };
            files.questions.push_back(question);
        }
        (files, session)
    }

    /// The question to be answered now.
    pub fn question(&self) -> Option<&Question> {
        self.questions.front()
    }

    pub fn panel(&self) -> Option<&Panel> {
        self.panel.as_ref()
    }

    /// The file that is no sound job and whose problems are on the page.
    pub fn broken(&self) -> Option<&Broken> {
        self.page.as_deref()
    }

    pub fn bar(&self) -> Option<&Bar> {
        self.bar.as_ref()
    }

    /// Whether the study that comes with the program is at hand and not saved anywhere yet.
    pub fn on_the_study(&self, s: &Session) -> bool {
        self.sample == Some(0) && s.file.is_none() && !self.in_front()
    }

    /// Whether a question, a panel or the page of problems stands before the job.
    pub fn in_front(&self) -> bool {
        self.carded() || self.page.is_some()
    }

    /// Whether a question or a panel stands before everything else.
    pub fn carded(&self) -> bool {
        self.question().is_some() || self.panel.is_some() || self.begin.is_some()
    }

    /// Says something in the bar.
    pub fn say(&mut self, text: impl Into<String>) {
        self.bar = Some(Bar { text: text.into(), failed: false });
        self.bar_of = None;
    }

    /// Says that something went wrong.
    pub fn fail(&mut self, text: impl Into<String>) {
        self.bar = Some(Bar { text: text.into(), failed: true });
        self.bar_of = None;
    }

    /// Title of the window: the job, its file, and a mark while it is not saved.
    pub fn heading(s: &Session) -> String {
        let mark = if s.unsaved() { "• " } else { "" };
        let job = if s.job().name.is_empty() { "Job without a name" } else { &s.job().name };
        let file = s.file.as_deref().map_or_else(|| "no file yet".into(), question::name);
        format!("{mark}{job} ({file}) - Roomback")
    }

    /// Does a command of the menu that concerns files; others do nothing.
    pub fn command(&mut self, c: Command, s: &mut Session) -> Outcome {
        if self.question().is_some() {
            return Outcome::Nothing;
        }
        match c {
            Command::New => self.want(Then::New, s),
            Command::Open => {
                self.panel = Some(Panel { kind: For::Open, path: String::new(), said: String::new(), mark: false });
                Outcome::Nothing
            }
            Command::Save => self.save(s),
            Command::SaveAs => {
                self.save_panel(s);
                Outcome::Nothing
            }
            Command::Quit => self.want(Then::Close, s),
            _ => Outcome::Nothing,
        }
    }

    /// Opens a file, after a question where something would be lost.
    pub fn open_path(&mut self, path: &Path, s: &mut Session) -> Outcome {
        if self.question().is_some() {
            return Outcome::Nothing;
        }
        self.want(Then::Open(store::absolute(path)), s)
    }

    /// Files dropped on the window: the first is opened.
    pub fn dropped(&mut self, paths: &[PathBuf], s: &mut Session) -> Outcome {
        let Some(first) = paths.first().filter(|_| self.question().is_none()) else { return Outcome::Nothing };
        if let Some(begin) = &mut self.begin {
            // What is half answered is not thrown away for it.
            begin.said =
                format!("{} was not opened: answer these or leave them, then drop it again.", question::name(first));
            return Outcome::Nothing;
        }
        let out = self.open_path(first, s);
        if paths.len() > 1 && self.bar.as_ref().is_none_or(|b| !b.failed) {
            let n = paths.len();
            let first = question::name(first);
            let many = crate::views::numbered_of(n, "files were dropped");
            self.say(format!("{many}; one job is open at a time, so only {first} was taken."));
        }
        out
    }

    /// Whether the window may close at once. If not, it is asked what to do first.
    pub fn may_close(&mut self, s: &mut Session) -> bool {
        if self.closing {
            return true;
        }
        if matches!(self.question(), Some(Question::Leaving { then: Then::Close, .. })) {
            return false;
        }
        if !s.unsaved() {
            return self.go(Then::Close, s) == Outcome::Close;
        }
        // Asked before anything else that is open; that is still there if they stay.
        self.questions.push_front(leaving(s, Then::Close));
        false
    }

    /// Does it, or asks first where something would be lost.
    fn want(&mut self, then: Then, s: &mut Session) -> Outcome {
        if !s.unsaved() {
            return self.go(then, s);
        }
        self.questions.push_front(leaving(s, then));
        Outcome::Nothing
    }

    /// Does what was to come next; what is unsaved has been saved or given up.
    fn go(&mut self, then: Then, s: &mut Session) -> Outcome {
        match then {
            Then::Close => {
                self.forget_autosave();
                self.closing = true;
                Outcome::Close
            }
            Then::New => {
                let today = self.today();
                let fresh = || Beginning::new(s.job().units, today);
                self.begin = Some(self.left_off.take().map_or_else(fresh, Beginning::again));
                Outcome::Nothing
            }
            Then::Sample(n) => match SAMPLES.get(n) {
                Some(sample) => {
                    let out = self.install(bundled(sample.2), None, s);
                    self.sample = Some(n);
                    out
                }
                None => Outcome::Nothing,
            },
            Then::Open(path) => self.open(&path, s),
            Then::AsFar(page) => {
                let Some(job) = page.job else { return Outcome::Nothing };
                let mut copy = Session::new(job, None, String::new());
                copy.never_saved();
                let out = self.install(copy, None, s);
                self.auto.touch(self.now);
                self.say(format!(
                    "A copy of {} as far as it reads; the file itself stays as it is.",
                    question::name(&page.file)
                ));
                out
            }
            Then::TakeUp(found, file, base) => self.take_up(*found, file, base, s),
        }
    }

    /// Goes on to the next of the questions, or leaves this one out. After the last the job of the
    /// answers is at hand, one undo away from that of no answers.
    pub fn begin_next(&mut self, leave_out: bool, s: &mut Session) -> Outcome {
        let done = self.begin.as_mut().is_some_and(|b| if leave_out { b.leave_out() } else { b.next() });
        let Some(begin) = self.begin.take_if(|_| done) else { return Outcome::Nothing };
        let (job, none) = begin.jobs();
        let out = self.install(Session::new(none.clone(), None, String::new()), None, s);
        if job != none {
            s.lay(job, "the answers of the new job");
        }
        self.begin = Some(begin);
        out
    }

    /// Puts another job at hand; the autosave of the one before goes.
    fn install(&mut self, new: Session, written: Option<PathBuf>, s: &mut Session) -> Outcome {
        self.forget_autosave();
        s.replace(new);
        self.auto.begin(s, written);
        self.page = None;
        self.panel = None;
        self.begin = None;
        self.sample = None;
        self.next = None;
        self.gone = false;
        Outcome::Opened
    }

    /// Opens a file over the job at hand, or shows what is wrong with it.
    fn open(&mut self, path: &Path, s: &mut Session) -> Outcome {
        let opening = match opening::open(path) {
            Ok(o) => o,
            Err(e) => {
                match &mut self.panel {
                    Some(p) => p.said = e.to_string(),
                    None => self.fail(e.to_string()),
                }
                if matches!(e, store::StoreError::Missing(_)) {
                    // The file may be gone and what was put by of it still there.
                    self.look_for_unsaved(path, String::new(), s);
                }
                return Outcome::Nothing;
            }
        };
        self.used(path);
        match opening {
            Opening::Job(new) => {
                let base = new.base.clone();
                let out = self.install(*new, None, s);
                self.look_for_unsaved(path, base, s);
                out
            }
            Opening::Broken(page) => {
                let base = page.text.clone();
                self.page = Some(page);
                self.panel = None;
                self.look_for_unsaved(path, base, s);
                Outcome::Nothing
            }
        }
    }

    /// Offers what was autosaved beside a file and never saved.
    fn look_for_unsaved(&mut self, file: &Path, base: String, s: &Session) {
        let at = recovery::beside_file(file);
        if self.auto.holds(&at) {
            // It is of the job at hand, which could not be left for this file.
            return;
        }
        match recovery::found(&at, &base) {
            Found::Nothing => {}
            Found::Job(found) => {
                let same = s.file.as_deref() == Some(file)
                    && jobfile::read(&found.text, crate::trade::tables()).is_ok_and(|r| r.job == **s.job());
                if same {
                    // It was saved after all.
                    if let Err(e) = recovery::drop(&found.path) {
                        self.fail(e.to_string());
                    }
                    return;
                }
                let file = Some(file.to_path_buf());
                self.questions.push_back(Question::Unsaved { found: Box::new(found), file, base });
            }
            Found::InUse => self.fail(format!(
                "{} has unsaved changes in another window of Roomback; saved in both, the later save wins.",
                question::name(file)
            )),
            Found::Unread(kept) => self.fail(format!(
                "What was put by of {} could not be read; it is kept as {}.",
                question::name(file),
                kept.display()
            )),
        }
    }

    /// Goes on where the program ended.
    fn take_up(&mut self, found: Recovered, file: Option<PathBuf>, base: String, s: &mut Session) -> Outcome {
        let job = match jobfile::read(&found.text, crate::trade::tables()) {
            Ok(read) => read.job,
            Err(e) => {
                self.fail(format!("What was put by in {} does not read: {e}", found.path.display()));
                return Outcome::Nothing;
            }
        };
        if file.is_some() && s.file == file && self.page.is_none() {
            s.lay(job, "taking up what was never saved");
            self.auto.begin(s, Some(found.path));
            return Outcome::Opened;
        }
        let mut new = Session::new(job, file, base);
        new.never_saved();
        self.install(new, Some(found.path), s)
    }

    /// A button was pressed, a field entered. `now` in seconds.
    pub fn press(&mut self, p: Press, s: &mut Session, now: f64) -> Outcome {
        self.now = now;
        match p {
            Press::BarRead => self.bar = None,
            Press::ClosePanel => {
                self.panel = None;
                self.next = None;
            }
            Press::Entered => return self.entered(s),
            Press::Recent(path) => return self.want(Then::Open(path), s),
            Press::Forget(path) => {
                self.with_theirs();
                self.settings.forget(&path);
                self.keep_settings();
            }
            Press::Sample(n) => return self.want(Then::Sample(n), s),
            // The dialog is opened where the window is at hand: `browse_for`.
            Press::Browse => {}
            Press::ReadAgain => return self.read_again(s),
            Press::OpenAnother => return self.command(Command::Open, s),
            Press::OpenAsFar => {
                if let Some(page) = self.page.clone().filter(|p| p.job.is_some()) {
                    return self.want(Then::AsFar(page), s);
                }
            }
            Press::Back => self.page = None,
            answer => {
                if let Some(q) = self.questions.pop_front() {
                    return self.answer(q, answer, s);
                }
            }
        }
        Outcome::Nothing
    }

    /// Reads the broken file again: nothing is asked while it is still broken.
    fn read_again(&mut self, s: &mut Session) -> Outcome {
        let Some(path) = self.page.as_ref().map(|p| p.file.clone()) else { return Outcome::Nothing };
        match opening::open(&path) {
            Ok(Opening::Broken(page)) => self.page = Some(page),
            Ok(Opening::Job(_)) => return self.want(Then::Open(path), s),
            Err(e) => self.fail(e.to_string()),
        }
        Outcome::Nothing
    }

    /// A question is answered.
    fn answer(&mut self, q: Question, answer: Press, s: &mut Session) -> Outcome {
        match (q, answer) {
            (Question::Leaving { then, .. }, Press::Save) => {
                self.next = Some(then);
                self.save(s)
            }
            (Question::Leaving { then, .. }, Press::Leave) => {
                // What an earlier save was to lead to is given up for this.
                self.next = None;
                self.go(then, s)
            }
            (Question::Leaving { .. }, Press::Stay) => Outcome::Nothing,
            (Question::Theirs { file, text, .. }, Press::TakeTheirs) => self.take_theirs(&file, text, s),
            (Question::Theirs { file, saving, .. }, Press::KeepMine) if saving => self.write(&file, s),
            (Question::Theirs { text, .. }, Press::KeepMine) => {
                s.base = text;
                s.never_saved();
                self.auto.touch(self.now);
                Outcome::Nothing
            }
            (Question::Theirs { file, .. }, Press::SaveBeside) => self.write(&store::free_beside(&file, "mine"), s),
            (Question::Theirs { .. }, Press::Stay) => {
                self.next = None;
                Outcome::Nothing
            }
            (Question::Unsaved { found, file, base }, Press::TakeUp) => {
                let same = file.is_some() && s.file == file && self.page.is_none();
                let then = Then::TakeUp(found, file, base);
                if same { self.go(then, s) } else { self.want(then, s) }
            }
            (Question::Unsaved { found, .. }, Press::Drop) => {
                if let Err(e) = recovery::drop(&found.path) {
                    self.fail(e.to_string());
                }
                Outcome::Nothing
            }
            (Question::Taken { file }, Press::Replace) => self.write(&file, s),
            (Question::Taken { .. }, Press::OtherName) => Outcome::Nothing,
            (q, _) => {
                // Not one of its answers: it still stands.
                self.questions.push_front(q);
                Outcome::Nothing
            }
        }
    }

    /// The path of the panel was entered.
    fn entered(&mut self, s: &mut Session) -> Outcome {
        let Some(panel) = &mut self.panel else { return Outcome::Nothing };
        let Some(path) = store::typed(&panel.path, self.folders.home.as_deref()) else {
            panel.said = "Type the name of a job file, such as ~/jobs/study.ron".into();
            return Outcome::Nothing;
        };
        panel.said.clear();
        match panel.kind {
            For::Open => self.want(Then::Open(path), s),
            For::Save => self.save_to(&path, s),
        }
    }

    /// Opens the system's file dialog on a thread.
    pub fn browse_for(
        &mut self,
        now: f64,
        dialog: impl FnOnce() -> Option<PathBuf> + Send + 'static,
        wake: impl FnOnce() + Send + 'static,
    ) {
        if let Some(panel) = self.panel.as_ref().filter(|_| self.browse.is_none()) {
            self.browse = Some((panel.kind, Browse::start(now, dialog, wake)));
        }
    }

    /// What is due by now: the dialog's answer, the autosave. With the seconds until it should
    /// be asked again, if at all.
    pub fn tick(&mut self, now: f64, s: &mut Session) -> (Outcome, Option<f64>) {
        self.now = now;
        // What was merely said goes with the next change; what went wrong stays until it is read.
        let of = *self.bar_of.get_or_insert(s.revision());
        if of != s.revision() && self.bar.as_ref().is_some_and(|b| !b.failed) {
            self.bar = None;
        }
        let mut out = Outcome::Nothing;
        let asked_for = self.browse.as_ref().map(|b| b.0);
        // What was chosen waits for the answer to a question asked meanwhile.
        let heard = self.browse.as_ref().filter(|_| self.question().is_none());
        match heard.map_or(Came::Open, |b| b.1.came(now)) {
            Came::Open => {}
            Came::Chosen(path) => {
                self.browse = None;
                // A panel closed meanwhile no longer wants it, and one for something else never did.
                if let Some(panel) = self.panel.as_mut().filter(|p| Some(p.kind) == asked_for) {
                    panel.path = path.display().to_string();
                    out = match panel.kind {
                        For::Open => self.want(Then::Open(path), s),
                        For::Save => self.save_to(&path, s),
                    };
                }
            }
            came => {
                self.browse = None;
                if let Some(panel) = self.panel.as_mut().filter(|_| came == Came::NoDialog) {
                    panel.said = "No file dialog on this machine; type the path.".into();
                }
            }
        }
        let wait = match self.auto.tick(now, s, self.folders.unsaved.as_deref()) {
            Ok(wait) => wait,
            Err(e) => {
                self.fail(format!("The job could not be put by in case the program ends: {e}"));
                None
            }
        };
        (out, wait)
    }

    /// The window has closed: what it remembers is written.
    pub fn ended(&mut self) {
        self.with_theirs();
        self.keep_settings();
    }

    fn used(&mut self, path: &Path) {
        self.with_theirs();
        self.settings.used(path);
        self.keep_settings();
    }

    /// Another window may have written since: its jobs stay on the list, after those of this one.
    fn with_theirs(&mut self) {
        if let Some(file) = &self.folders.settings {
            let mut theirs = settings::load(file).settings.recent;
            theirs.retain(|p| !self.settings.recent.contains(p));
            self.settings.recent.extend(theirs);
            self.settings.recent.truncate(settings::MOST_RECENT);
        }
    }

    fn keep_settings(&mut self) {
        if let Some(file) = self.folders.settings.clone()
            && let Err(e) = settings::keep(&file, &self.settings)
            && self.bar.is_none()
        {
            self.fail(format!("What the window remembers was not written: {e}"));
        }
    }

    fn forget_autosave(&mut self) {
        if let Err(e) = self.auto.forget() {
            self.fail(e.to_string());
        }
    }
}

/// The study that comes with the program.
pub fn study() -> crate::job::Job {
    (**bundled(SAMPLES[0].2).job()).clone()
}

/// The question before a job with unsaved changes is left.
fn leaving(s: &Session, then: Then) -> Question {
    let job = match &s.file {
        Some(file) => question::name(file),
        None if s.job().name.is_empty() => "this job".into(),
        None => s.job().name.clone(),
    };
    let promises = s.unsaved_promises().iter().map(crate::views::promise_lost);
    let lost = s.unsaved_words().iter().map(|w| w.to_string()).chain(promises).collect();
    Question::Leaving { job, lost, then }
}

#[cfg(test)]
mod tests;
