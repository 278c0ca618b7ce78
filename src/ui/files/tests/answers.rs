//! Every question with every answer, and what comes after each.

use super::*;

/// Files beside `job.ron` that the ways out lead to.
fn ways(folder: &Folder) -> Vec<(&'static str, Then)> {
    let other = folder.put("other.ron", &plain("Other"));
    let path = folder.0.join("broken.ron");
    let text = plain("Broken").replace("recipe: \"repaint-walls\"", "recipe: \"repaint-wals\"");
    let Opening::Broken(page) = opening::judged(&path, text) else { panic!("a sound job") };
    let at = folder.0.join("unsaved/unsaved-1-1.roomback-autosave");
    recovery::keep(&at, &plain("Put by"), "").unwrap();
    let Found::Job(found) = recovery::found(&at, "") else { panic!("nothing put by") };
    vec![
        ("Powder room", Then::Close),
        (crate::desk::open(jobfile::starter()).unwrap().read.job.name.leak(), Then::New),
        ("Other", Then::Open(other)),
        (crate::desk::open(SAMPLES[1].2).unwrap().read.job.name.leak(), Then::Sample(1)),
        ("Broken", Then::AsFar(page)),
        ("Put by", Then::TakeUp(Box::new(found), None, String::new())),
    ]
}

/// The way as it is gone, and whether the job at hand is then one nobody saved.
fn gone(name: &str, then: &Then, s: &Session, out: Outcome) {
    if matches!(then, Then::Close) {
        assert_eq!(out, Outcome::Close);
        return;
    }
    if matches!(then, Then::New) {
        // The job at hand stays until the last of the five questions.
        assert_eq!((out, s.job().name.as_str()), (Outcome::Nothing, "Mine"));
        return;
    }
    assert_eq!((out, s.job().name.as_str()), (Outcome::Opened, name), "{then:?}");
    assert_eq!(s.unsaved(), matches!(then, Then::AsFar(_) | Then::TakeUp(..)), "{then:?}");
    assert_eq!(s.file.is_some(), matches!(then, Then::Open(_)), "{then:?}");
    assert!(s.undo_words().is_none(), "{then:?}: another job's undo");
}

#[test]
fn whatever_comes_next_it_waits_for_the_answer() {
    for n in 0..6 {
        let folder = Folder::new(&format!("ways-{n}"));
        let at_hand = || {
            let _ = fs::remove_dir_all(folder.0.join("unsaved"));
            let (mut f, mut s) = folder.opened();
            let (name, then) = ways(&folder).swap_remove(n);
            rename(&mut s, "Mine");
            assert_eq!(f.want(then.clone(), &mut s), Outcome::Nothing);
            assert!(leaving(&f), "{then:?} is not asked about");
            (f, s, name, then)
        };
        let (mut f, mut s, _, then) = at_hand();
        assert_eq!(press(&mut f, &mut s, Press::Stay), Outcome::Nothing);
        assert!(!f.in_front() && s.job().name == "Mine" && s.unsaved(), "{then:?}");
        assert_eq!(folder.read("job.ron"), plain("Powder room"));
        let (mut f, mut s, name, then) = at_hand();
        let out = press(&mut f, &mut s, Press::Leave);
        gone(name, &then, &s, out);
        assert_eq!(folder.read("job.ron"), plain("Powder room"), "{then:?}: left, and yet written");
        let (mut f, mut s, name, then) = at_hand();
        let out = press(&mut f, &mut s, Press::Save);
        gone(name, &then, &s, out);
        assert_eq!(folder.read("job.ron"), plain("Mine"), "{then:?}");
    }
}

#[test]
fn a_job_without_a_file_gets_its_name_first_and_then_goes_on() {
    for n in 0..6 {
        let folder = Folder::new(&format!("named-{n}"));
        let (mut f, mut s) = Files::start(folder.own(), None);
        let (name, then) = ways(&folder).swap_remove(n);
        rename(&mut s, "Mine");
        let _ = f.want(then.clone(), &mut s);
        assert_eq!(press(&mut f, &mut s, Press::Save), Outcome::Nothing);
        // A name that is taken stands in the way once more.
        f.panel.as_mut().expect("the save panel").path = "~/other".into();
        assert_eq!(press(&mut f, &mut s, Press::Entered), Outcome::Nothing);
        assert!(matches!(f.question(), Some(Question::Taken { .. })));
        assert_eq!(press(&mut f, &mut s, Press::OtherName), Outcome::Nothing);
        f.panel.as_mut().expect("still asked for a name").path = " '~/mine' ".into();
        let out = press(&mut f, &mut s, Press::Entered);
        gone(name, &then, &s, out);
        assert!(folder.read("mine.ron").contains("Mine"), "{then:?}");
        assert_eq!(folder.read("other.ron"), plain("Other"));
    }
}

#[test]
fn only_an_answer_of_its_own_ends_a_question() {
    let folder = Folder::new("own-answers");
    let all = [
        Press::Save,
        Press::Leave,
        Press::Stay,
        Press::TakeTheirs,
        Press::KeepMine,
        Press::SaveBeside,
        Press::TakeUp,
        Press::Drop,
        Press::Replace,
        Press::OtherName,
    ];
    let at = folder.0.join("x.ron");
    let found = Recovered { path: at.clone(), text: plain("X"), base_matches: true, at: None };
    let questions = [
        Question::Leaving { job: "x".into(), lost: Vec::new(), then: Then::New },
        Question::Theirs { file: at.clone(), text: plain("X"), saving: true, unsaved: true },
        Question::Unsaved { found: Box::new(found), file: None, base: String::new() },
        Question::Taken { file: at },
    ];
    for q in questions {
        let its: Vec<Press> = q.answers().into_iter().map(|a| a.0).chain(q.escape()).collect();
        for p in &all {
            let (mut f, mut s) = folder.opened();
            rename(&mut s, "Mine");
            f.questions.push_back(q.clone());
            let _ = press(&mut f, &mut s, p.clone());
            let stands = f.question().is_some_and(|now| now.title() == q.title());
            assert_eq!(stands, !its.contains(p), "{} answered by {p:?}", q.title());
            // Commands of the menu wait for it.
            if stands {
                assert_eq!(f.command(Command::New, &mut s), Outcome::Nothing);
                assert!(f.questions.len() == 1 && f.panel().is_none() && s.job().name == "Mine");
            }
        }
    }
}

#[test]
fn a_question_names_what_would_be_lost() {
    let folder = Folder::new("lost");
    let (mut f, mut s) = folder.opened();
    for n in 0..8 {
        rename(&mut s, &format!("Name {n}"));
    }
    assert!(!f.may_close(&mut s));
    let q = f.question().unwrap();
    assert_eq!(q.title(), "Save job.ron before the window closes?");
    let lines = q.lines();
    assert_eq!((lines.len(), lines[1].as_str(), lines[7].as_str()), (8, "•  the job's name", "and 2 more"));
    let _ = press(&mut f, &mut s, Press::Stay);
    assert_eq!(Files::heading(&s), "• Name 7 (job.ron) - Roomback");
    let _ = f.command(Command::Save, &mut s);
    assert_eq!(Files::heading(&s), "Name 7 (job.ron) - Roomback");
}

#[test]
fn closing_is_asked_before_anything_else_and_what_was_open_is_still_there() {
    let folder = Folder::new("close-over");
    let (mut f, mut s) = folder.opened();
    rename(&mut s, "Mine");
    let _ = f.command(Command::New, &mut s);
    assert!(!f.may_close(&mut s));
    assert!(f.question().unwrap().title().contains("before the window closes"));
    // Asked to close again while that is asked: once is enough.
    assert!(!f.may_close(&mut s));
    let _ = press(&mut f, &mut s, Press::Stay);
    assert_eq!(f.question().unwrap().title(), "Save job.ron first?");
    let _ = press(&mut f, &mut s, Press::Stay);
    assert!(!f.in_front() && s.job().name == "Mine");
}

#[test]
fn taking_theirs_on_the_way_out_leaves_time_to_undo_it() {
    let folder = Folder::new("theirs-out");
    let (mut f, mut s) = folder.opened();
    rename(&mut s, "Mine");
    folder.put("job.ron", &plain("Theirs"));
    assert!(!f.may_close(&mut s));
    assert_eq!(press(&mut f, &mut s, Press::Save), Outcome::Nothing);
    // Mine was to be saved and is one undo away: the window does not close over it.
    assert_eq!(press(&mut f, &mut s, Press::TakeTheirs), Outcome::Opened);
    s.undo();
    assert!(s.job().name == "Mine" && s.unsaved());
    // A later save is a save, not the close from before.
    assert_eq!(f.command(Command::Save, &mut s), Outcome::Nothing);
    assert_eq!(folder.read("job.ron"), plain("Mine"));
    // The other two answers have written mine, and go on.
    for (answer, at) in [(Press::KeepMine, "job.ron"), (Press::SaveBeside, "job.mine.ron")] {
        let (mut f, mut s) = folder.opened();
        rename(&mut s, "Mine");
        folder.put("job.ron", &plain("Theirs"));
        assert!(!f.may_close(&mut s));
        let _ = press(&mut f, &mut s, Press::Save);
        assert_eq!(press(&mut f, &mut s, answer), Outcome::Close);
        assert_eq!(folder.read(at), plain("Mine"));
    }
}

#[test]
fn a_save_for_a_reason_given_up_goes_nowhere_later() {
    let folder = Folder::new("reason");
    let broken = folder.put("broken.ron", "(format: 1, rooms: [");
    let (mut f, mut s) = Files::start(folder.own(), None);
    rename(&mut s, "Mine");
    assert!(!f.may_close(&mut s));
    let _ = press(&mut f, &mut s, Press::Save);
    // A name is asked for; a file dropped now leads elsewhere, and to a page.
    let _ = f.dropped(&[broken], &mut s);
    assert_eq!(press(&mut f, &mut s, Press::Leave), Outcome::Nothing);
    assert!(f.broken().is_some());
    let _ = press(&mut f, &mut s, Press::Back);
    let _ = f.command(Command::Save, &mut s);
    f.panel.as_mut().unwrap().path = "~/mine".into();
    assert_eq!(press(&mut f, &mut s, Press::Entered), Outcome::Nothing, "closed by a save");
    assert!(!s.unsaved());
}
