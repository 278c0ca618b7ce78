//! The machine of files, way by way, in folders of its own. Times are numbers.

mod answers;
mod disk;
mod put_by;

use std::fs;

use super::*;
use crate::job::Edit;

/// A folder of its own, removed at the end.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Folder {
        let path = std::env::temp_dir().join(format!("roomback-files-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Folder(path)
    }

    fn own(&self) -> Folders {
        Folders {
            settings: Some(self.0.join("settings.ron")),
            unsaved: Some(self.0.join("unsaved")),
            home: Some(self.0.clone()),
        }
    }

    fn put(&self, name: &str, text: &str) -> PathBuf {
        let path = self.0.join(name);
        fs::write(&path, text).unwrap();
        path
    }

    fn read(&self, name: &str) -> String {
        fs::read_to_string(self.0.join(name)).unwrap_or_default()
    }

    /// The machine on a powder room's file without comments.
    fn opened(&self) -> (Files, Session) {
        let path = self.put("job.ron", &plain("Powder room"));
        let (files, session) = Files::start(self.own(), Some(path.clone()));
        assert_eq!((session.file.as_ref(), files.question().is_none()), (Some(&path), true));
        (files, session)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// A sound job as it is written, without comments.
fn plain(name: &str) -> String {
    let mut job = crate::desk::open(SAMPLES[3].2).unwrap().read.job;
    job.name = name.into();
    jobfile::write(&job)
}

fn rename(s: &mut Session, name: &str) {
    s.edit(&[Edit::Name(name.into())]);
}

/// Presses at a quiet moment.
fn press(f: &mut Files, s: &mut Session, p: Press) -> Outcome {
    f.press(p, s, 100.0)
}

/// Leaves all the questions of a new job out, and its card.
fn leave_out(f: &mut Files, s: &mut Session) -> Outcome {
    let done = (0..5).map(|_| f.begin_next(true, s)).last();
    f.begin = None;
    done.unwrap()
}

fn leaving(f: &Files) -> bool {
    matches!(f.question(), Some(Question::Leaving { .. }))
}

#[test]
fn a_saved_job_is_left_without_a_question_and_an_unsaved_one_never() {
    let folder = Folder::new("leave");
    let (mut f, mut s) = folder.opened();
    assert!(f.may_close(&mut s));
    let (mut f, mut s) = folder.opened();
    rename(&mut s, "Cloakroom");
    assert!(!f.may_close(&mut s) && leaving(&f));
    assert_eq!(press(&mut f, &mut s, Press::Stay), Outcome::Nothing);
    assert!(f.question().is_none() && s.unsaved() && s.job().name == "Cloakroom");
    // Leave: the window closes, the file is as it was.
    assert!(!f.may_close(&mut s));
    assert_eq!(press(&mut f, &mut s, Press::Leave), Outcome::Close);
    assert!(f.may_close(&mut s) && folder.read("job.ron") == plain("Powder room"));
    // Save: the file has the change, then the window closes.
    let (mut f, mut s) = folder.opened();
    rename(&mut s, "Cloakroom");
    assert!(!f.may_close(&mut s));
    assert_eq!(press(&mut f, &mut s, Press::Save), Outcome::Close);
    assert_eq!(folder.read("job.ron"), plain("Cloakroom"));
    assert_eq!(folder.read("job.ron.bak"), plain("Powder room"));
}

#[test]
fn a_new_job_comes_after_the_answer_and_asks_for_a_name_when_saved() {
    let folder = Folder::new("new");
    let (mut f, mut s) = folder.opened();
    rename(&mut s, "Cloakroom");
    assert_eq!(f.command(Command::New, &mut s), Outcome::Nothing);
    assert!(leaving(&f) && s.job().name == "Cloakroom");
    assert_eq!(press(&mut f, &mut s, Press::Save), Outcome::Nothing);
    assert_eq!(s.job().name, "Cloakroom", "the job at hand stays until the last answer");
    assert_eq!(leave_out(&mut f, &mut s), Outcome::Opened);
    assert!(s.file.is_none() && !s.unsaved() && folder.read("job.ron") == plain("Cloakroom"));
    rename(&mut s, "Attic");
    assert_eq!(f.command(Command::Save, &mut s), Outcome::Nothing);
    let path = PathBuf::from(&f.panel().expect("the save panel").path);
    assert!(path.is_absolute() && path.ends_with("attic.ron"), "{path:?}");
    f.panel.as_mut().unwrap().path = folder.0.join("attic").display().to_string();
    assert_eq!(press(&mut f, &mut s, Press::Entered), Outcome::Nothing);
    assert!(!s.unsaved() && folder.read("attic.ron").contains("Attic") && f.panel().is_none());
    assert_eq!(f.settings.recent.first(), Some(&folder.0.join("attic.ron")));
}

#[test]
fn a_save_given_up_at_the_panel_leaves_nothing_behind_it() {
    let folder = Folder::new("given-up");
    let (mut f, mut s) = Files::start(folder.own(), None);
    rename(&mut s, "Attic");
    assert!(!f.may_close(&mut s));
    assert_eq!(press(&mut f, &mut s, Press::Save), Outcome::Nothing);
    assert!(f.panel().is_some());
    assert_eq!(press(&mut f, &mut s, Press::ClosePanel), Outcome::Nothing);
    // A later save is a save, not the close that was given up.
    let _ = f.command(Command::Save, &mut s);
    f.panel.as_mut().unwrap().path = folder.0.join("attic.ron").display().to_string();
    assert_eq!(press(&mut f, &mut s, Press::Entered), Outcome::Nothing);
    assert!(!s.unsaved());
}

#[test]
fn a_name_that_is_taken_is_asked_about() {
    let folder = Folder::new("taken");
    let (mut f, mut s) = folder.opened();
    let other = folder.put("other.ron", "somebody's notes");
    let _ = f.command(Command::SaveAs, &mut s);
    f.panel.as_mut().unwrap().path = other.display().to_string();
    let _ = press(&mut f, &mut s, Press::Entered);
    assert!(matches!(f.question(), Some(Question::Taken { .. })));
    let _ = press(&mut f, &mut s, Press::OtherName);
    assert!(folder.read("other.ron") == "somebody's notes" && f.panel().is_some());
    let _ = press(&mut f, &mut s, Press::Entered);
    let _ = press(&mut f, &mut s, Press::Replace);
    assert_eq!(folder.read("other.ron"), plain("Powder room"));
    assert_eq!(folder.read("other.ron.bak"), "somebody's notes");
    assert_eq!(s.file, Some(other));
}

#[test]
fn comments_stay_in_a_file_of_their_own() {
    let folder = Folder::new("comments");
    let text = format!("// measured on a Tuesday\n{}", plain("Powder room"));
    let path = folder.put("job.ron", &text);
    let (mut f, mut s) = Files::start(folder.own(), Some(path));
    rename(&mut s, "Cloakroom");
    let _ = f.command(Command::Save, &mut s);
    assert_eq!(folder.read("job.ron"), plain("Cloakroom"));
    let said = f.bar().map(|b| b.text.clone()).unwrap_or_default();
    let kept = fs::read_dir(&folder.0).unwrap().map(|e| e.unwrap().path());
    let mut kept = kept.filter(|p| said.contains(&question::name(p)) && p.file_name() != Some("job.ron".as_ref()));
    assert_eq!(fs::read_to_string(kept.next().expect("named in the bar")).unwrap(), text);
}

#[test]
fn a_file_another_hand_changed_is_never_written_over_unasked() {
    let folder = Folder::new("theirs");
    let changed = |answer: Press| {
        let (mut f, mut s) = folder.opened();
        rename(&mut s, "Mine");
        folder.put("job.ron", &plain("Theirs"));
        assert_eq!(f.command(Command::Save, &mut s), Outcome::Nothing);
        assert!(matches!(f.question(), Some(Question::Theirs { saving: true, .. })));
        assert_eq!(folder.read("job.ron"), plain("Theirs"));
        let out = press(&mut f, &mut s, answer);
        (f, s, out)
    };
    let (_, mut s, out) = changed(Press::TakeTheirs);
    assert_eq!((out, s.job().name.as_str(), s.unsaved()), (Outcome::Opened, "Theirs", false));
    s.undo();
    assert!(s.job().name == "Mine" && s.unsaved());
    let (_, s, _) = changed(Press::KeepMine);
    assert!(!s.unsaved() && folder.read("job.ron") == plain("Mine") && folder.read("job.ron.bak") == plain("Theirs"));
    let (_, s, _) = changed(Press::SaveBeside);
    assert_eq!(folder.read("job.ron"), plain("Theirs"));
    let beside = s.file.clone().expect("a file beside");
    assert!(beside != folder.0.join("job.ron") && fs::read_to_string(beside).unwrap() == plain("Mine"));
    let (_, s, _) = changed(Press::Stay);
    assert!(s.unsaved() && folder.read("job.ron") == plain("Theirs"));
}

#[test]
fn the_file_is_looked_at_when_the_window_comes_to_the_front() {
    let folder = Folder::new("focus");
    let (mut f, mut s) = folder.opened();
    f.focused(&mut s);
    assert!(f.question().is_none());
    // Another layout of the same job is no change.
    folder.put("job.ron", &format!("// tidied\n{}", plain("Powder room")));
    f.focused(&mut s);
    assert!(f.question().is_none());
    folder.put("job.ron", &plain("Theirs"));
    f.focused(&mut s);
    assert!(matches!(f.question(), Some(Question::Theirs { saving: false, unsaved: false, .. })));
    let _ = press(&mut f, &mut s, Press::KeepMine);
    assert!(s.unsaved() && s.job().name == "Powder room");
    // Kept, the next save writes it without asking again.
    let _ = f.command(Command::Save, &mut s);
    assert!(f.question().is_none() && folder.read("job.ron") == plain("Powder room"));
    fs::remove_file(folder.0.join("job.ron")).unwrap();
    f.focused(&mut s);
    assert!(f.bar().is_some_and(|b| b.failed && b.text.contains("not there any more")) && s.unsaved());
}

#[test]
fn what_was_not_saved_when_the_program_ended_is_offered_and_never_taken_by_itself() {
    let folder = Folder::new("crash");
    let put_by = || {
        let (mut f, mut s) = folder.opened();
        rename(&mut s, "Half done");
        let (_, wait) = f.tick(10.0, &mut s);
        assert_eq!(wait, Some(2.0));
        assert!(!recovery::beside_file(&folder.0.join("job.ron")).exists());
        let _ = f.tick(12.0, &mut s);
        assert!(recovery::beside_file(&folder.0.join("job.ron")).exists());
    };
    let again = || Files::start(folder.own(), Some(folder.0.join("job.ron")));
    put_by();
    let (mut f, mut s) = again();
    assert!(matches!(f.question(), Some(Question::Unsaved { found, .. }) if found.base_matches));
    assert_eq!(s.job().name, "Powder room");
    let _ = press(&mut f, &mut s, Press::TakeUp);
    assert!(s.job().name == "Half done" && s.unsaved() && folder.read("job.ron") == plain("Powder room"));
    // Saved, it is offered no more.
    let _ = f.command(Command::Save, &mut s);
    assert!(folder.read("job.ron") == plain("Half done") && again().0.question().is_none());
    put_by();
    let (mut f, mut s) = again();
    let _ = press(&mut f, &mut s, Press::Drop);
    assert!(s.job().name == "Powder room" && again().0.question().is_none());
    // A file changed since is said to be.
    put_by();
    folder.put("job.ron", &plain("Theirs"));
    assert!(matches!(again().0.question(), Some(Question::Unsaved { found, .. }) if !found.base_matches));
}

#[test]
fn a_job_without_a_file_is_put_by_with_the_users_own() {
    let folder = Folder::new("no-file");
    let (mut f, mut s) = Files::start(folder.own(), None);
    rename(&mut s, "Sample, changed");
    let _ = f.tick(0.0, &mut s);
    let _ = f.tick(3.0, &mut s);
    let (mut f, mut s) = Files::start(folder.own(), None);
    assert!(matches!(f.question(), Some(Question::Unsaved { file: None, .. })));
    let _ = press(&mut f, &mut s, Press::TakeUp);
    assert!(s.job().name == "Sample, changed" && s.file.is_none() && s.unsaved());
    // Left without saving, it is gone.
    let _ = f.command(Command::New, &mut s);
    assert_eq!(press(&mut f, &mut s, Press::Leave), Outcome::Nothing);
    assert_eq!(leave_out(&mut f, &mut s), Outcome::Opened);
    assert!(Files::start(folder.own(), None).0.question().is_none());
}

#[test]
fn a_broken_file_is_a_page_and_stays_as_it_is() {
    let folder = Folder::new("broken");
    let broken = plain("Powder room").replace("recipe: \"repaint-walls\"", "recipe: \"repaint-wals\"");
    assert_ne!(broken, plain("Powder room"));
    let path = folder.put("broken.ron", &broken);
    let (mut f, mut s) = folder.opened();
    let _ = f.open_path(&path, &mut s);
    let page = f.broken().unwrap_or_else(|| panic!("no page: {:?} {:?}", f.bar(), f.question()));
    assert!(page.rows.iter().any(|r| r.what.contains("repaint-wals") && !r.place.is_empty()), "{:?}", page.rows);
    assert_eq!(s.job().name, "Powder room");
    // Read again while still broken, then as far as it reads.
    assert_eq!(press(&mut f, &mut s, Press::ReadAgain), Outcome::Nothing);
    assert!(f.broken().is_some());
    assert_eq!(press(&mut f, &mut s, Press::OpenAsFar), Outcome::Opened);
    assert!(s.file.is_none() && s.unsaved() && folder.read("broken.ron") == broken);
    // Mended, it opens.
    let (mut f, mut s) = folder.opened();
    let _ = f.open_path(&path, &mut s);
    folder.put("broken.ron", &plain("Mended"));
    assert_eq!(press(&mut f, &mut s, Press::ReadAgain), Outcome::Opened);
    assert!(s.job().name == "Mended" && f.broken().is_none() && s.file == Some(path));
    // No job file at all: nothing to open as far as it reads.
    let path = folder.put("notes.ron", "(format: 1, rooms: [");
    let _ = f.open_path(&path, &mut s);
    assert!(f.broken().is_some_and(|p| p.job.is_none() && p.rows.len() == 1));
    assert_eq!(press(&mut f, &mut s, Press::Back), Outcome::Nothing);
    assert!(f.broken().is_none() && s.job().name == "Mended");
}

#[test]
fn of_several_dropped_files_the_first_is_opened_and_that_is_said() {
    let folder = Folder::new("dropped");
    let (mut f, mut s) = folder.opened();
    let (a, b) = (folder.put("a.ron", &plain("A")), folder.put("b.ron", &plain("B")));
    assert_eq!(f.dropped(&[a.clone(), b.clone()], &mut s), Outcome::Opened);
    assert!(s.job().name == "A" && f.bar().is_some_and(|x| x.text.contains("2 files")));
    // While something is asked, nothing is dropped into it.
    rename(&mut s, "A, changed");
    let _ = f.dropped(std::slice::from_ref(&b), &mut s);
    assert!(leaving(&f) && s.job().name == "A, changed");
    assert_eq!(f.dropped(&[a], &mut s), Outcome::Nothing);
    assert_eq!(press(&mut f, &mut s, Press::Leave), Outcome::Opened);
    assert_eq!(s.job().name, "B");
}

#[test]
fn a_save_that_fails_loses_nothing_and_closes_nothing() {
    let folder = Folder::new("fails");
    let (mut f, mut s) = folder.opened();
    rename(&mut s, "Cloakroom");
    // A folder stands where the file was: nobody can write there.
    fs::remove_file(folder.0.join("job.ron")).unwrap();
    fs::create_dir(folder.0.join("job.ron")).unwrap();
    assert!(!f.may_close(&mut s));
    assert_eq!(press(&mut f, &mut s, Press::Save), Outcome::Nothing);
    assert!(f.bar().is_some_and(|b| b.failed && b.text.starts_with("Not saved")), "{:?}", f.bar());
    assert!(s.unsaved() && s.job().name == "Cloakroom" && !f.may_close(&mut s));
}

#[test]
fn jobs_that_were_open_are_remembered_and_a_missing_last_one_gives_the_sample() {
    let folder = Folder::new("recent");
    let (mut f, mut s) = folder.opened();
    let other = folder.put("other.ron", &plain("Other"));
    let _ = f.open_path(&other, &mut s);
    f.ended();
    let (f, s) = Files::start(folder.own(), None);
    assert_eq!((s.job().name.as_str(), f.settings.last.as_ref()), ("Other", Some(&other)));
    assert_eq!(f.settings.recent, [other.clone(), folder.0.join("job.ron")]);
    fs::remove_file(&other).unwrap();
    let (mut f, mut s) = Files::start(folder.own(), None);
    assert!(s.file.is_none() && f.bar().is_some_and(|b| b.failed));
    assert!(f.settings.recents().iter().any(|r| r.path == other && !r.there));
    let _ = press(&mut f, &mut s, Press::Forget(other.clone()));
    assert!(!f.settings.recent.contains(&other));
}

/// The panel with a dialog that gives this, looked at so long after it was asked for.
fn browsed(f: &mut Files, s: &mut Session, gives: Option<PathBuf>, after: f64) -> Outcome {
    let (wake, woken) = std::sync::mpsc::channel();
    f.browse_for(50.0, move || gives, move || wake.send(()).unwrap());
    woken.recv().unwrap();
    f.tick(50.0 + after, s).0
}

#[test]
fn what_the_machines_dialog_chose_is_opened_or_saved_to() {
    let folder = Folder::new("browse");
    let (mut f, mut s) = folder.opened();
    let other = folder.put("other.ron", &plain("Other"));
    let said = |f: &Files| f.panel().map(|p| p.said.clone()).unwrap_or_default();
    let _ = f.command(Command::Open, &mut s);
    let _ = browsed(&mut f, &mut s, None, 0.1);
    assert!(said(&f).starts_with("No file dialog on this machine"), "{}", said(&f));
    let _ = f.command(Command::Open, &mut s);
    let _ = browsed(&mut f, &mut s, None, 4.0);
    assert_eq!(said(&f), "", "cancelled by hand");
    assert_eq!(browsed(&mut f, &mut s, Some(other.clone()), 4.0), Outcome::Opened);
    assert!(s.file == Some(other) && f.panel().is_none());
    let _ = f.command(Command::SaveAs, &mut s);
    let new = folder.0.join("new.ron");
    assert_eq!(browsed(&mut f, &mut s, Some(new.clone()), 4.0), Outcome::Nothing);
    assert!(s.file == Some(new) && folder.read("new.ron") == plain("Other"));
    // A panel closed meanwhile no longer wants the answer.
    let _ = f.command(Command::SaveAs, &mut s);
    let late = folder.0.join("late.ron");
    let (let_go, wait) = std::sync::mpsc::channel::<PathBuf>();
    let (wake, woken) = std::sync::mpsc::channel();
    f.browse_for(60.0, move || wait.recv().ok(), move || wake.send(()).unwrap());
    let _ = press(&mut f, &mut s, Press::ClosePanel);
    let_go.send(late.clone()).unwrap();
    woken.recv().unwrap();
    assert_eq!(f.tick(70.0, &mut s).0, Outcome::Nothing);
    assert!(!late.exists());
}

#[test]
fn what_is_typed_wrong_is_said_in_the_panel() {
    let folder = Folder::new("typed");
    let (mut f, mut s) = folder.opened();
    let _ = f.command(Command::Open, &mut s);
    let mut typed = |text: &str| {
        f.panel.as_mut().unwrap().path = text.into();
        let out = press(&mut f, &mut s, Press::Entered);
        (out, f.panel().map(|p| p.said.clone()).unwrap_or_default())
    };
    assert!(typed("  ").1.starts_with("Type the name of a job file"));
    assert!(typed("~/none.ron").1.contains("none.ron is not there"));
    assert!(typed("~").1.contains("is a folder"));
    // The user's folder stands for the mark.
    assert_eq!(typed("~/job.ron").0, Outcome::Opened);
}

#[test]
fn an_autosave_that_cannot_be_written_is_said_once_and_again_after_it_worked() {
    let folder = Folder::new("no-autosave");
    let (mut f, mut s) = folder.opened();
    let part = recovery::beside_file(&folder.0.join("job.ron")).with_extension("roomback-autosave.part");
    fs::create_dir(&part).unwrap();
    let mut at = 0.0;
    let mut change = |f: &mut Files, s: &mut Session, name: &str| {
        rename(s, name);
        at += 10.0;
        let _ = f.tick(at, s);
        f.bar = None;
        let _ = f.tick(at + 3.0, s);
        f.bar().is_some_and(|b| b.failed)
    };
    assert!(change(&mut f, &mut s, "A"));
    assert!(!change(&mut f, &mut s, "B"));
    fs::remove_dir(&part).unwrap();
    assert!(!change(&mut f, &mut s, "C"));
    fs::create_dir(&part).unwrap();
    assert!(change(&mut f, &mut s, "D"));
    // Taken back to what the file holds, nothing is kept for it.
    while s.unsaved() {
        s.undo();
    }
    let _ = f.tick(200.0, &mut s);
    let _ = f.tick(203.0, &mut s);
    assert!(!recovery::beside_file(&folder.0.join("job.ron")).exists());
}

#[test]
fn a_saved_job_that_cannot_be_planned_says_so() {
    let folder = Folder::new("unplanned");
    let (mut f, mut s) = folder.opened();
    s.edit(&[crate::job::Edit::Person(0, None)]);
    let _ = f.command(Command::Save, &mut s);
    let bar = f.bar().expect("a line");
    assert!(bar.failed && bar.text.starts_with("Saved ") && bar.text.contains("cannot be planned"), "{}", bar.text);
    assert!(!s.unsaved());
}

#[test]
fn a_file_dropped_on_the_questions_leaves_them_and_is_said() {
    let folder = Folder::new("dropped-on-questions");
    let (mut f, mut s) = folder.opened();
    let other = folder.put("other.ron", &plain("Other"));
    let _ = f.command(Command::New, &mut s);
    f.begin.as_mut().unwrap().name = "Attic".into();
    assert_eq!(f.dropped(&[other], &mut s), Outcome::Nothing);
    let b = f.begin.as_ref().expect("still asked");
    assert!(b.name == "Attic" && b.said.starts_with("other.ron was not opened"), "{}", b.said);
}
