//! What is put by while a job is not saved, and what becomes of it.

use super::*;

fn beside(folder: &Folder) -> PathBuf {
    recovery::beside_file(&folder.0.join("job.ron"))
}

/// A change at 10 s, put by at 12 s.
fn put_by(f: &mut Files, s: &mut Session, name: &str) {
    rename(s, name);
    let _ = f.tick(10.0, s);
    let _ = f.tick(12.0, s);
}

fn again(folder: &Folder) -> (Files, Session) {
    Files::start(folder.own(), Some(folder.0.join("job.ron")))
}

fn offered(f: &Files) -> Option<&Recovered> {
    match f.question() {
        Some(Question::Unsaved { found, .. }) => Some(found),
        _ => None,
    }
}

#[test]
fn two_seconds_are_counted_from_the_last_change() {
    let folder = Folder::new("two-seconds");
    let (mut f, mut s) = folder.opened();
    assert_eq!(f.tick(0.0, &mut s), (Outcome::Nothing, None));
    rename(&mut s, "One");
    assert_eq!(f.tick(10.0, &mut s).1, Some(2.0));
    rename(&mut s, "Two");
    assert_eq!(f.tick(11.5, &mut s).1, Some(2.0));
    assert_eq!(f.tick(13.0, &mut s).1, Some(0.5));
    assert!(!beside(&folder).exists());
    assert_eq!(f.tick(13.5, &mut s), (Outcome::Nothing, None));
    assert!(folder.read(".job.ron.roomback-autosave").contains("\"Two\""));
    assert_eq!(folder.read("job.ron"), plain("Powder room"));
    // Nothing changed: nothing is due.
    assert_eq!(f.tick(60.0, &mut s).1, None);
}

#[test]
fn what_is_saved_left_or_taken_back_is_no_longer_put_by() {
    let folder = Folder::new("no-longer");
    let put = || {
        let (mut f, mut s) = folder.opened();
        put_by(&mut f, &mut s, "Mine");
        assert!(beside(&folder).exists());
        (f, s)
    };
    let (mut f, mut s) = put();
    let _ = f.command(Command::Save, &mut s);
    assert!(!beside(&folder).exists(), "saved");
    let (mut f, mut s) = put();
    let _ = f.command(Command::SaveAs, &mut s);
    f.panel.as_mut().unwrap().path = "~/second.ron".into();
    let _ = press(&mut f, &mut s, Press::Entered);
    assert!(!beside(&folder).exists(), "saved under another name");
    let (mut f, mut s) = put();
    let _ = f.command(Command::Quit, &mut s);
    assert!(beside(&folder).exists(), "only asked");
    let _ = press(&mut f, &mut s, Press::Leave);
    assert!(!beside(&folder).exists(), "left");
    let (mut f, mut s) = put();
    s.undo();
    let _ = f.tick(20.0, &mut s);
    let _ = f.tick(22.0, &mut s);
    assert!(!beside(&folder).exists(), "taken back");
    let (mut f, mut s) = put();
    folder.put("job.ron", &plain("Theirs"));
    f.focused(&mut s);
    let _ = press(&mut f, &mut s, Press::TakeTheirs);
    assert!(!beside(&folder).exists(), "theirs taken");
}

#[test]
fn what_is_taken_up_is_one_undo_away_from_what_another_hand_wrote_since() {
    let folder = Folder::new("base-changed");
    let (mut f, mut s) = folder.opened();
    put_by(&mut f, &mut s, "Mine");
    folder.put("job.ron", &plain("Theirs"));
    let (mut f, mut s) = again(&folder);
    assert!(f.question().unwrap().lines().iter().any(|l| l.contains("changed since by another hand")));
    assert_eq!((s.job().name.as_str(), s.unsaved()), ("Theirs", false));
    // Nothing but an answer ends it: neither a command nor the focus.
    let _ = f.command(Command::Save, &mut s);
    f.focused(&mut s);
    assert!(f.questions.len() == 1 && folder.read("job.ron") == plain("Theirs"));
    assert_eq!(press(&mut f, &mut s, Press::TakeUp), Outcome::Opened);
    assert_eq!((s.job().name.as_str(), s.unsaved()), ("Mine", true));
    s.undo();
    assert_eq!((s.job().name.as_str(), s.unsaved()), ("Theirs", false));
    s.redo();
    let _ = f.command(Command::Save, &mut s);
    assert_eq!((folder.read("job.ron"), folder.read("job.ron.bak")), (plain("Mine"), plain("Theirs")));
    assert!(!beside(&folder).exists());
}

#[test]
fn a_crash_after_a_crash_loses_nothing_either() {
    let folder = Folder::new("twice");
    let (mut f, mut s) = folder.opened();
    put_by(&mut f, &mut s, "Mine");
    let (mut f, mut s) = again(&folder);
    let _ = press(&mut f, &mut s, Press::TakeUp);
    // Ended before two seconds were over, and once more before the question was answered.
    drop((f, s));
    drop(again(&folder));
    let (mut f, mut s) = again(&folder);
    assert!(offered(&f).is_some_and(|found| found.text == plain("Mine")));
    // Closed over the question: it is asked again the next time.
    assert!(f.may_close(&mut s));
    f.ended();
    assert!(offered(&again(&folder).0).is_some());
}

#[test]
fn a_file_that_is_gone_is_taken_up_from_what_was_put_by_of_it() {
    let folder = Folder::new("gone-put-by");
    let (mut f, mut s) = folder.opened();
    put_by(&mut f, &mut s, "Mine");
    fs::remove_file(folder.0.join("job.ron")).unwrap();
    let (mut f, mut s) = again(&folder);
    assert!(f.bar().is_some_and(|b| b.failed && b.text.contains("is not there")));
    assert!(s.file.is_none());
    assert_eq!(press(&mut f, &mut s, Press::TakeUp), Outcome::Opened);
    assert_eq!((s.job().name.as_str(), s.unsaved(), s.file.clone()), ("Mine", true, Some(folder.0.join("job.ron"))));
    assert!(!folder.0.join("job.ron").exists(), "written unasked");
    let _ = f.command(Command::Save, &mut s);
    assert_eq!(folder.read("job.ron"), plain("Mine"));
}

#[test]
fn what_is_put_by_of_the_job_at_hand_is_no_find() {
    let folder = Folder::new("at-hand");
    let path = folder.0.join("job.ron");
    for theirs in [None, Some("(format: 1, rooms: [")] {
        let (mut f, mut s) = folder.opened();
        put_by(&mut f, &mut s, "Mine");
        match theirs {
            None => fs::remove_file(&path).unwrap(),
            Some(text) => fs::write(&path, text).unwrap(),
        }
        let _ = f.open_path(&path, &mut s);
        let _ = press(&mut f, &mut s, Press::Leave);
        // It could not be opened, so the job is still at hand, and still put by.
        assert!(s.job().name == "Mine" && s.unsaved());
        assert!(beside(&folder).exists(), "{theirs:?}: no longer put by");
        assert!(offered(&f).is_none(), "{theirs:?}: the program has not ended");
        drop((f, s));
        fs::remove_file(beside(&folder)).unwrap();
    }
}

#[test]
fn what_was_put_by_of_a_broken_file_stands_in_for_it() {
    let folder = Folder::new("put-by-broken");
    let (mut f, mut s) = folder.opened();
    put_by(&mut f, &mut s, "Mine");
    folder.put("job.ron", "(format: 1, rooms: [");
    let other = folder.put("other.ron", &plain("Other"));
    let (mut f, mut s) = Files::start(folder.own(), Some(other));
    rename(&mut s, "Other, changed");
    let _ = f.open_path(&folder.0.join("job.ron"), &mut s);
    let _ = press(&mut f, &mut s, Press::Leave);
    assert!(f.broken().is_some() && offered(&f).is_some());
    // The job at hand is still there, and asked about before another takes its place.
    assert_eq!(press(&mut f, &mut s, Press::TakeUp), Outcome::Nothing);
    assert!(leaving(&f));
    assert_eq!(press(&mut f, &mut s, Press::Leave), Outcome::Opened);
    assert!(f.broken().is_none() && s.job().name == "Mine" && s.unsaved());
    assert!(beside(&folder).exists() && folder.read("job.ron") == "(format: 1, rooms: [");
    // What another hand wrote there in between is kept when this is saved.
    let _ = f.command(Command::Save, &mut s);
    assert_eq!((folder.read("job.ron"), folder.read("job.ron.bak")), (plain("Mine"), "(format: 1, rooms: [".into()));
}

#[test]
fn what_was_put_by_and_saved_after_all_is_not_asked_about() {
    let folder = Folder::new("after-all");
    let (mut f, mut s) = folder.opened();
    put_by(&mut f, &mut s, "Mine");
    folder.put("job.ron", &format!("// by hand\n{}", plain("Mine")));
    let (f, s) = again(&folder);
    assert!(!f.in_front() && !s.unsaved() && !beside(&folder).exists());
}

#[test]
fn what_was_put_by_and_cannot_be_read_is_kept_and_said() {
    let folder = Folder::new("unread");
    folder.put(".job.ron.roomback-autosave", "half of a wri");
    let (f, s) = folder.opened();
    assert_eq!(s.job().name, "Powder room");
    assert!(f.bar().is_some_and(|b| b.failed && b.text.contains(".job.ron.roomback-autosave.unread")));
    assert_eq!(folder.read(".job.ron.roomback-autosave.unread"), "half of a wri");
}

#[test]
fn of_jobs_without_a_file_each_is_offered_in_its_turn() {
    let folder = Folder::new("in-turn");
    let data = folder.0.join("unsaved");
    for (name, minutes) in [("Older", 1), ("Newer", 2)] {
        let at = recovery::free_in(&data);
        recovery::keep(&at, &plain(name), "").unwrap();
        let time = std::time::SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(60 * minutes);
        fs::File::options().append(true).open(&at).unwrap().set_modified(time).unwrap();
    }
    let mut names = Vec::new();
    for _ in 0..2 {
        let (mut f, mut s) = Files::start(folder.own(), None);
        names.push(f.question().unwrap().lines()[0].split(" not in any").next().unwrap().to_string());
        let _ = press(&mut f, &mut s, Press::Drop);
        assert!(f.question().is_none() && s.file.is_none() && !s.unsaved());
    }
    assert!(names[0].ends_with("Newer") && names[1].ends_with("Older"), "{names:?}");
    assert!(Files::start(folder.own(), None).0.question().is_none());
}

#[test]
fn a_new_job_is_put_by_only_once_it_is_changed() {
    let folder = Folder::new("new-put-by");
    let (mut f, mut s) = folder.opened();
    assert_eq!(f.command(Command::New, &mut s), Outcome::Nothing);
    assert_eq!(super::leave_out(&mut f, &mut s), Outcome::Opened);
    let _ = f.tick(0.0, &mut s);
    let _ = f.tick(10.0, &mut s);
    assert!(recovery::unsaved(&folder.0.join("unsaved")).is_empty());
    put_by(&mut f, &mut s, "Attic");
    let put = recovery::unsaved(&folder.0.join("unsaved"));
    assert!(put.len() == 1 && put[0].text.contains("Attic"));
    // Once it has a file, nothing is left there.
    let _ = f.command(Command::Save, &mut s);
    f.panel.as_mut().unwrap().path = "~/attic".into();
    let _ = press(&mut f, &mut s, Press::Entered);
    assert!(!s.unsaved() && recovery::unsaved(&folder.0.join("unsaved")).is_empty());
}

#[test]
fn where_nothing_can_be_put_by_that_is_said_once() {
    let folder = Folder::new("no-place");
    folder.put("unsaved", "a file where the folder should be");
    let (mut f, mut s) = Files::start(folder.own(), None);
    put_by(&mut f, &mut s, "Mine");
    assert!(f.bar().is_some_and(|b| b.failed && b.text.starts_with("The job could not be put by")));
    let _ = press(&mut f, &mut s, Press::BarRead);
    put_by(&mut f, &mut s, "Mine again");
    assert_eq!(f.bar(), None);
    assert!(s.unsaved() && s.job().name == "Mine again");
}

#[cfg(target_os = "linux")]
#[test]
fn two_windows_on_one_file_leave_each_other_what_they_put_by() {
    let folder = Folder::new("two-windows");
    let (mut f, mut s) = folder.opened();
    put_by(&mut f, &mut s, "Mine");
    // A second process of this very program, which stays until its standard input ends.
    let mut other = std::process::Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "store::recovery::tests::waits_for_the_end_of_its_input", "--ignored"])
        .stdout(std::process::Stdio::piped())
        .stdin(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let head = format!("// roomback autosave, base {:016x}, process {}\n", recovery::hash(&s.base), other.id());
    let theirs = head + &plain("Theirs");
    fs::write(beside(&folder), &theirs).unwrap();
    put_by(&mut f, &mut s, "Mine, longer");
    let kept = |what: &str| assert_eq!(folder.read(".job.ron.roomback-autosave"), theirs, "{what}");
    kept("put by");
    let mine = || fs::read_dir(folder.0.join("unsaved")).unwrap().map(|e| e.unwrap().path()).collect::<Vec<_>>();
    assert!(fs::read_to_string(&mine()[0]).unwrap().contains("\"Mine, longer\""));
    let _ = f.command(Command::Save, &mut s);
    assert_eq!(mine(), Vec::<PathBuf>::new(), "saved and still put by");
    kept("saved");
    other.stdin.take();
    other.wait().unwrap();
    // The other window is gone: its place is free again.
    put_by(&mut f, &mut s, "Alone");
    assert!(folder.read(".job.ron.roomback-autosave").contains("\"Alone\""));
}
