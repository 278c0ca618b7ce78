//! Paths typed, dropped and chosen; files that fail; what the window remembers.

use super::*;
use std::sync::mpsc::channel;

fn enter(f: &mut Files, s: &mut Session, path: &str) -> (Outcome, String) {
    f.panel.as_mut().expect("a panel").path = path.into();
    let out = press(f, s, Press::Entered);
    (out, f.panel().map(|p| p.said.clone()).unwrap_or_default())
}

#[test]
fn a_path_that_leads_nowhere_is_said_at_the_path() {
    let folder = Folder::new("nowhere");
    let (mut f, mut s) = folder.opened();
    let _ = f.command(Command::Open, &mut s);
    for (path, words) in [
        ("  ", "Type the name of a job file"),
        ("~/none.ron", "none.ron is not there"),
        ("~", "is a folder"),
        ("~/job.ron/x.ron", "x.ron"),
    ] {
        let (out, said) = enter(&mut f, &mut s, path);
        assert!(out == Outcome::Nothing && said.contains(words), "{path}: {said}");
        assert!(s.job().name == "Powder room" && f.bar().is_none() && f.settings.recent.len() == 1);
    }
    folder.put("other.ron", &plain("Other"));
    assert_eq!(enter(&mut f, &mut s, "~/other.ron").0, Outcome::Opened);
    assert!(f.panel().is_none() && s.job().name == "Other");
}

#[test]
fn leaving_for_a_file_that_cannot_be_opened_loses_nothing() {
    let folder = Folder::new("left-for-nothing");
    let (mut f, mut s) = folder.opened();
    rename(&mut s, "Mine");
    let _ = f.open_path(&folder.0.join("none.ron"), &mut s);
    assert_eq!(press(&mut f, &mut s, Press::Leave), Outcome::Nothing);
    assert!(f.bar().is_some_and(|b| b.failed && b.text.contains("none.ron is not there")));
    assert!(s.job().name == "Mine" && s.unsaved() && !f.may_close(&mut s));
}

#[test]
fn a_save_that_fails_in_the_middle_goes_nowhere_and_can_be_made_again() {
    let folder = Folder::new("part");
    let (mut f, mut s) = folder.opened();
    rename(&mut s, "Mine");
    // A folder in the way of the part written beside: the write fails, whoever runs this.
    fs::create_dir(folder.0.join("job.ron.part")).unwrap();
    let _ = f.command(Command::New, &mut s);
    assert_eq!(press(&mut f, &mut s, Press::Save), Outcome::Nothing);
    assert!(f.bar().is_some_and(|b| b.failed && b.text.starts_with("Not saved")));
    assert!(s.job().name == "Mine" && s.unsaved() && folder.read("job.ron") == plain("Powder room"));
    fs::remove_dir(folder.0.join("job.ron.part")).unwrap();
    // Saved now, and no new job comes of what failed before.
    assert_eq!(f.command(Command::Save, &mut s), Outcome::Nothing);
    assert!(s.job().name == "Mine" && folder.read("job.ron") == plain("Mine"));
    assert!(f.bar().is_some_and(|b| !b.failed && b.text.starts_with("Saved")));
}

#[test]
fn a_name_that_cannot_be_written_is_said_at_the_name() {
    let folder = Folder::new("bad-name");
    fs::create_dir(folder.0.join("plans.d")).unwrap();
    let (mut f, mut s) = Files::start(folder.own(), None);
    rename(&mut s, "Mine");
    assert!(!f.may_close(&mut s));
    let _ = press(&mut f, &mut s, Press::Save);
    let (out, said) = enter(&mut f, &mut s, "~/none/mine.ron");
    assert!(out == Outcome::Nothing && said.starts_with("Not saved") && said.contains("its folder is not there"));
    let _ = enter(&mut f, &mut s, "~/plans.d");
    let _ = press(&mut f, &mut s, Press::Replace);
    let said = f.panel().map(|p| p.said.clone()).unwrap_or_default();
    assert!(said.starts_with("Not saved") && said.contains("is a folder"), "{said}");
    assert!(s.file.is_none() && s.unsaved() && folder.0.join("plans.d").is_dir());
    let (out, _) = enter(&mut f, &mut s, "~/mine");
    assert!(!s.unsaved() && folder.0.join("mine.ron").exists());
    // What failed in between has taken the close away: they typed a name, and see it saved.
    assert_eq!(out, Outcome::Nothing);
}

#[test]
fn the_jobs_own_name_in_the_save_panel_is_a_plain_save() {
    let folder = Folder::new("own-name");
    let (mut f, mut s) = folder.opened();
    rename(&mut s, "Mine");
    let _ = f.command(Command::SaveAs, &mut s);
    assert_eq!(f.panel().map(|p| p.path.clone()), Some(folder.0.join("job.ron").display().to_string()));
    let _ = enter(&mut f, &mut s, "~/job");
    assert!(!f.in_front() && folder.read("job.ron") == plain("Mine"));
    // Changed by another hand it is asked about here too.
    rename(&mut s, "Mine again");
    folder.put("job.ron", &plain("Theirs"));
    let _ = f.command(Command::SaveAs, &mut s);
    let _ = enter(&mut f, &mut s, "~/job.ron");
    assert!(matches!(f.question(), Some(Question::Theirs { saving: true, .. })));
    assert_eq!(folder.read("job.ron"), plain("Theirs"));
}

#[test]
fn their_broken_text_is_shown_and_mine_stays_at_hand() {
    let folder = Folder::new("theirs-broken");
    let (mut f, mut s) = folder.opened();
    rename(&mut s, "Mine");
    folder.put("job.ron", "(format: 1, rooms: [");
    f.focused(&mut s);
    assert!(matches!(f.question(), Some(Question::Theirs { saving: false, unsaved: true, .. })));
    assert_eq!(press(&mut f, &mut s, Press::TakeTheirs), Outcome::Nothing);
    assert!(f.broken().is_some() && s.job().name == "Mine" && s.unsaved());
    let _ = press(&mut f, &mut s, Press::Back);
    // Beside, twice: no name is used up.
    for name in ["job.mine.ron", "job-2.mine.ron"] {
        folder.opened().0.ended();
        let (mut f, mut s) = folder.opened();
        rename(&mut s, "Mine");
        folder.put("job.ron", &plain("Theirs"));
        f.focused(&mut s);
        let _ = press(&mut f, &mut s, Press::SaveBeside);
        assert_eq!((folder.read(name), s.file.clone()), (plain("Mine"), Some(folder.0.join(name))));
        assert_eq!(folder.read("job.ron"), plain("Theirs"));
    }
}

#[test]
fn a_file_that_is_gone_is_said_once_and_written_by_the_next_save() {
    let folder = Folder::new("gone");
    let (mut f, mut s) = folder.opened();
    fs::remove_file(folder.0.join("job.ron")).unwrap();
    f.focused(&mut s);
    assert!(s.unsaved() && f.bar().is_some_and(|b| b.failed));
    let _ = press(&mut f, &mut s, Press::BarRead);
    f.focused(&mut s);
    assert_eq!(f.bar(), None);
    // It is put by, as nothing else holds it now.
    let _ = f.tick(102.0, &mut s);
    assert!(recovery::beside_file(&folder.0.join("job.ron")).exists());
    let _ = f.command(Command::Save, &mut s);
    assert!(folder.read("job.ron") == plain("Powder room") && !s.unsaved());
    fs::remove_file(folder.0.join("job.ron")).unwrap();
    f.focused(&mut s);
    assert!(f.bar().is_some_and(|b| b.failed), "gone again, and not said");
}

#[test]
fn a_broken_file_dropped_gives_its_page_and_several_are_not_said_to_be_open() {
    let folder = Folder::new("dropped-broken");
    let (mut f, mut s) = folder.opened();
    let (a, b) = (folder.put("a.ron", "(format: 1, rooms: ["), folder.put("b.ron", &plain("B")));
    assert_eq!(f.dropped(&[], &mut s), Outcome::Nothing);
    assert_eq!(f.dropped(std::slice::from_ref(&a), &mut s), Outcome::Nothing);
    assert!(f.broken().is_some_and(|p| p.file == a) && s.job().name == "Powder room" && f.bar().is_none());
    // Another dropped on the page takes its place.
    assert_eq!(f.dropped(std::slice::from_ref(&b), &mut s), Outcome::Opened);
    assert!(f.broken().is_none() && s.job().name == "B");
    rename(&mut s, "B, changed");
    let _ = f.command(Command::New, &mut s);
    assert_eq!(f.dropped(&[a.clone(), b], &mut s), Outcome::Nothing);
    assert!(f.bar().is_none(), "nothing was opened, and this is said: {:?}", f.bar());
    assert_eq!(f.questions.len(), 1);
    let _ = press(&mut f, &mut s, Press::Stay);
    let _ = f.dropped(&[folder.0.clone(), a], &mut s);
    let _ = press(&mut f, &mut s, Press::Leave);
    assert!(f.bar().is_some_and(|b| b.failed && b.text.contains("is a folder")), "{:?}", f.bar());
    assert_eq!(s.job().name, "B, changed");
}

#[test]
fn the_job_named_at_the_start_is_a_page_where_it_is_broken() {
    let folder = Folder::new("start-broken");
    let path = folder.put("job.ron", "(format: 1, rooms: [");
    let (mut f, mut s) = Files::start(folder.own(), Some(path.clone()));
    assert!(f.broken().is_some_and(|p| p.file == path) && s.file.is_none() && !s.unsaved());
    fs::remove_file(&path).unwrap();
    assert_eq!(press(&mut f, &mut s, Press::ReadAgain), Outcome::Nothing);
    assert!(f.broken().is_some() && f.bar().is_some_and(|b| b.failed && b.text.contains("is not there")));
    // Without a job as far as it reads there is nothing to open.
    assert_eq!(press(&mut f, &mut s, Press::OpenAsFar), Outcome::Nothing);
    let _ = press(&mut f, &mut s, Press::OpenAnother);
    assert!(f.panel().is_some_and(|p| p.kind == For::Open));
    assert_eq!(press(&mut f, &mut s, Press::Sample(3)), Outcome::Opened);
    assert!(!f.in_front() && s.file.is_none() && s.job().name == "Powder room");
    assert_eq!(press(&mut f, &mut s, Press::Sample(SAMPLES.len())), Outcome::Nothing);
}

/// What the dialog of the machine gives, looked at after so many seconds.
fn chosen(f: &mut Files, s: &mut Session, path: Option<PathBuf>, after: f64) -> Outcome {
    let (wake, woken) = channel();
    f.browse_for(50.0, move || path, move || wake.send(()).unwrap());
    woken.recv().unwrap();
    f.tick(50.0 + after, s).0
}

#[test]
fn what_the_dialog_gives_is_entered_in_its_panel() {
    let folder = Folder::new("dialog");
    let other = folder.put("other.ron", &plain("Other"));
    let (mut f, mut s) = folder.opened();
    let _ = f.command(Command::Open, &mut s);
    assert_eq!(chosen(&mut f, &mut s, None, 0.1), Outcome::Nothing);
    assert!(f.panel().is_some_and(|p| p.said.starts_with("No file dialog")));
    f.panel.as_mut().unwrap().said.clear();
    assert_eq!(chosen(&mut f, &mut s, None, 5.0), Outcome::Nothing);
    assert!(f.panel().is_some_and(|p| p.said.is_empty()));
    assert_eq!(chosen(&mut f, &mut s, Some(other.clone()), 5.0), Outcome::Opened);
    assert_eq!(s.job().name, "Other");
    let _ = f.command(Command::SaveAs, &mut s);
    let _ = chosen(&mut f, &mut s, Some(folder.0.join("third.ron")), 5.0);
    assert_eq!((folder.read("third.ron"), s.file.clone()), (plain("Other"), Some(folder.0.join("third.ron"))));
}

#[test]
fn what_was_chosen_to_open_is_never_saved_to() {
    let folder = Folder::new("dialog-late");
    let other = folder.0.join("other.ron");
    let (mut f, mut s) = folder.opened();
    let _ = f.command(Command::Open, &mut s);
    let (let_go, wait) = channel::<()>();
    let (wake, woken) = channel();
    let to = other.clone();
    let dialog = move || {
        wait.recv().unwrap();
        Some(to)
    };
    f.browse_for(50.0, dialog, move || wake.send(()).unwrap());
    let _ = press(&mut f, &mut s, Press::ClosePanel);
    let _ = f.command(Command::SaveAs, &mut s);
    let_go.send(()).unwrap();
    woken.recv().unwrap();
    assert_eq!(f.tick(60.0, &mut s).0, Outcome::Nothing);
    assert!(!other.exists() && f.question().is_none());
    assert_eq!(f.panel().map(|p| p.path.clone()), Some(folder.0.join("job.ron").display().to_string()));
}

#[test]
fn settings_that_cannot_be_read_are_kept_aside_and_said() {
    let folder = Folder::new("settings");
    folder.put("settings.ron", "(recent: [");
    let (f, s) = Files::start(folder.own(), None);
    assert!(f.bar().is_some_and(|b| b.failed && b.text.contains("settings.ron.unread")));
    assert_eq!((folder.read("settings.ron.unread").as_str(), &f.settings), ("(recent: [", &Settings::default()));
    assert!(s.file.is_none());
}

#[test]
fn what_another_window_opened_stays_on_the_list() {
    let folder = Folder::new("two-windows");
    let (mut f, mut s) = folder.opened();
    let theirs = folder.put("theirs.ron", &plain("Theirs"));
    let other = folder.put("other.ron", &plain("Other"));
    let read = || settings::load(&folder.0.join("settings.ron")).settings.recent;
    drop(Files::start(folder.own(), Some(theirs.clone())));
    let job = folder.0.join("job.ron");
    assert_eq!(read(), [theirs.clone(), job.clone()]);
    let _ = f.open_path(&other, &mut s);
    assert_eq!(read(), [other.clone(), job.clone(), theirs.clone()]);
    let late = folder.put("late.ron", &plain("Late"));
    drop(Files::start(folder.own(), Some(late.clone())));
    let _ = press(&mut f, &mut s, Press::Forget(job.clone()));
    assert!(read().contains(&late) && !read().contains(&job), "{:?}", read());
    let last = folder.put("last.ron", &plain("Last"));
    drop(Files::start(folder.own(), Some(last.clone())));
    f.ended();
    assert!(read().contains(&last) && !read().contains(&job) && read()[0] == other, "{:?}", read());
}
