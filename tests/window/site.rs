//! A job under way in the window, by the names of its controls; its figures are those of the text
//! commands.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use roomback::cli;
use roomback::desk;
use roomback::job::{How, Job, LostCause};
use roomback::ui::action::Command;

use crate::driver::{FEW, SMALL, Used, sample};

/// Trials of the text commands.
const ALL: usize = 10_000;

/// The powder room on an evening, On site. It begins on Mon 10 May 2027.
fn evening(day: &str, trials: usize) -> Used {
    let text = std::fs::read_to_string(sample("powder")).expect("a sample");
    let mut w = Used::on_day(&text, day, SMALL, trials);
    w.key(Command::Site);
    w
}

/// Presses what begins so.
#[track_caller]
fn press(w: &mut Used, start: &str) {
    let name = w.beginning(start).name;
    // The column scrolls: it may be out of view.
    w.bring(Role::Button, &name);
    w.press(&name);
}

fn hit(w: &mut Used, key: Key) {
    w.h.key_press(key);
    w.rest();
}

/// Name of what has the keyboard.
fn focused(w: &Used) -> Option<String> {
    let all = w.h.root().children_recursive();
    let node = all.into_iter().find(|n| n.accesskit_node().is_focused())?;
    node.accesskit_node().label()
}

/// Goes by Tab to what has this name.
#[track_caller]
fn tab_to(w: &mut Used, name: &str) {
    for _ in 0..300 {
        if focused(w).as_deref() == Some(name) {
            return;
        }
        w.h.key_press(Key::Tab);
        w.h.run();
    }
    panic!("Tab does not come to {name}: {:?}", w.named());
}

/// What a text command says, in JSON.
#[track_caller]
fn said(args: &[&str]) -> serde_json::Value {
    let out = cli::run(std::iter::once("roomback").chain(args.iter().copied()));
    assert_eq!(out.code, 0, "{args:?}: {}", out.text);
    serde_json::from_str(&out.text).unwrap_or(serde_json::Value::Null)
}

fn has_words(w: &Used, words: &str) -> bool {
    w.named().iter().any(|n| n.name.contains(words))
}

#[test]
fn days_are_written_up_as_planned_and_their_evenings_go_on_record() {
    let mut w = evening("2027-05-12", FEW);
    w.beginning("How did Mon 10 May go?");
    w.press("As planned through yesterday");
    let job = w.h.state().job().clone();
    assert_eq!(job.log.len(), 2);
    assert!(job.log.iter().all(|d| d.how == How::AsPlanned && !d.steps.is_empty()));
    assert_eq!(job.record.iter().map(|e| e.day).collect::<Vec<_>>(), job.log.iter().map(|d| d.day).collect::<Vec<_>>());
    assert!(job.kept.is_some(), "a job under way keeps its order");
    assert!(has_words(&w, "Evening of Tue 11 May · "), "{:?}", w.named());
    w.beginning("How did Wed 12 May go?");
    // One undo takes the days back, and not what was said.
    w.key(Command::Undo);
    assert!(w.h.state().job().log.is_empty() && w.h.state().job().record == job.record);
    w.key(Command::Redo);
    assert_eq!(*w.h.state().job(), job);
}

#[test]
fn a_day_on_which_nothing_was_done_and_a_day_that_has_not_come() {
    let mut w = evening("2027-05-10", FEW);
    press(&mut w, "Nothing done, ");
    let job = w.h.state().job();
    assert!(job.log.len() == 1 && job.log[0].how == How::Nothing && job.lost.is_empty());
    assert!(!has_words(&w, "How did"), "a day that has not come is asked about");
    assert!(!w.h.state().can(Command::AsPlanned));
}

#[test]
fn a_day_is_written_up_step_by_step_and_corrected() {
    let mut w = evening("2027-05-10", FEW);
    press(&mut w, "Differently, ");
    let hours: Vec<String> = w.named().into_iter().map(|n| n.name).filter(|n| n.starts_with("hours, ")).collect();
    assert!(hours.len() >= 2, "{hours:?}");
    w.write(&hours[0], "2 1/4");
    w.write("note, the day", "slow start");
    w.press("Write it up");
    let day = w.h.state().job().log[0].clone();
    assert!(day.how == How::Differently && day.note == "slow start");
    assert!((day.steps[0].hours - 2.25).abs() < 1e-9 && day.steps[0].at.is_none(), "{:?}", day.steps[0]);
    let record = w.h.state().job().record.clone();
    assert_eq!(record.len(), 1);
    // Hours more than a day has are asked about, and nothing is written.
    w.key(Command::WriteUp);
    w.write(&hours[0], "26");
    assert!(has_words(&w, "hours of one day are 0 to 24"), "{:?}", w.named());
    w.press("Write it up");
    assert!(has_words(&w, "not written up: what stands in \"hours, "), "{:?}", w.named());
    assert_eq!(w.h.state().job().log[0], day);
    w.write(&hours[0], "2");
    assert!(!has_words(&w, "not written up"), "said although it can be read");
    w.press("Write it up");
    let again = w.h.state().job().log[0].clone();
    assert!((again.steps[0].hours - 2.0).abs() < 1e-9 && again.note == "slow start");
    assert_eq!(w.h.state().job().record, record, "what was said that evening stays said");
    w.key(Command::Undo);
    assert_eq!(w.h.state().job().log[0], day);
}

#[test]
fn part_of_a_day_lost_is_told_before_it_is_kept() {
    let mut w = evening("2027-05-10", FEW);
    let before = w.h.state().job().clone();
    w.key(Command::LostTime);
    w.write("first day, time lost", "2027-05-11");
    assert_eq!(*w.h.state().job(), before);
    assert!(has_words(&w, " lost; the clean run "), "{:?}", w.named());
    w.press("Not now");
    assert!(*w.h.state().job() == before && w.h.state().session().question().is_none());
    w.key(Command::LostTime);
    w.write("first day, time lost", "2027-05-11");
    w.press("Keep it");
    let job = w.h.state().job().clone();
    assert!(job.lost.len() == 1 && job.lost[0].cause == LostCause::Illness && job.kept.is_some());
    // Taken back from the list, and that undone.
    press(&mut w, "Take back Tue 11 May");
    assert!(w.h.state().job().lost.is_empty());
    w.key(Command::Undo);
    assert_eq!(w.h.state().job().lost, job.lost);
    w.key(Command::Undo);
    assert_eq!(*w.h.state().job(), before, "kept as one change");
}

#[test]
fn what_was_lost_since_the_evening_is_what_the_headline_tells() {
    let mut w = evening("2027-05-10", FEW);
    press(&mut w, "As planned, ");
    assert!(!has_words(&w, "Since the evening of"), "{:?}", w.named());
    w.key(Command::LostTime);
    w.write("first day, time lost", "tue");
    w.write("last day, time lost", "mon");
    w.press("Keep it");
    let lost = &w.h.state().job().lost[0];
    assert_eq!((lost.from.to_string().as_str(), lost.last().to_string().as_str()), ("2027-05-11", "2027-05-17"));
    assert!(has_words(&w, "Since the evening of Mon 10 May: 5 days later."), "{:?}", w.named());
    w.key(Command::Undo);
    assert!(!has_words(&w, "Since the evening of"), "{:?}", w.named());
}

#[test]
fn the_window_and_the_text_commands_tell_one_story() {
    let mut w = evening("2027-05-11", ALL);
    let path = w.folder.file("text.ron");
    std::fs::copy(sample("powder"), &path).expect("a copy");
    let text = path.display().to_string();
    let read = || -> Job { desk::open(&std::fs::read_to_string(&path).unwrap()).expect("a job").read.job };
    // Monday as planned.
    press(&mut w, "As planned, ");
    said(&["log", &text, "--day", "2027-05-10", "--as-planned", "--json"]);
    assert_eq!(*w.h.state().job(), read(), "as planned");
    // Wednesday lost to come.
    w.key(Command::LostTime);
    w.write("first day, time lost", "2027-05-12");
    let lost = said(&["lost", &text, "--day", "2027-05-12", "--who", "ilse", "--cause", "illness", "--json"]);
    let means = lost["means"].as_str().expect("a sentence");
    assert!(has_words(&w, means), "{means}: {:?}", w.named());
    w.press("Keep it");
    assert_eq!(*w.h.state().job(), read(), "lost");
    // Tuesday differently: the first step ran long.
    press(&mut w, "Differently, ");
    let hours: Vec<String> = w.named().into_iter().map(|n| n.name).filter(|n| n.starts_with("hours, ")).collect();
    w.write(&hours[0], "1 1/2");
    w.press("Write it up");
    let log = w.h.state().job().log[1].clone();
    for x in &log.steps {
        let (h, from, at) = (x.hours.to_string(), x.from.map(|t| t.to_string()), x.at.map(|t| t.to_string()));
        let share = x.share.map(|s| s.to_string());
        let mut args = vec!["log", &text, "--day", "2027-05-11", "--step", &x.step, "--hours", &h, "--json"];
        x.who.iter().for_each(|p| args.extend(["--who", p]));
        for (name, value) in [("--from", &from), ("--at", &at), ("--share", &share)] {
            args.extend(value.iter().flat_map(|v| [name, v.as_str()]));
        }
        args.extend(x.done.then_some("--done"));
        said(&args);
    }
    let theirs = read();
    let mine = w.h.state().job().clone();
    assert_eq!((&mine.log, &mine.lost, &mine.kept), (&theirs.log, &theirs.lost, &theirs.kept));
    // The text puts an evening on record once the next day is written up.
    assert_eq!(mine.record[..1], theirs.record[..]);
    // What is on the screen is what `moved` and `today` say.
    let moved = said(&["moved", &text, "--json"]);
    let shown = w.h.state().shown().expect("an answer");
    let a = roomback::views::Almanac(&shown.sound.job);
    assert_eq!(moved["now"]["likely_day"], a.json_day(shown.days.likely));
    assert_eq!(moved["now"]["safe_day"], a.json_day(shown.days.safe));
    assert_eq!(moved["now"]["clean_run"], a.json(shown.found.plan.finish));
    w.beginning(&format!("likely: {}", a.short_day(shown.days.likely)));
    let today = said(&["today", &text, "--json"]);
    let first = &today["days"][0]["work"][0];
    let name = first["name"].as_str().expect("a first step");
    let begin = a.time(
        shown.sound.job.at_of(
            first["start"]
                .as_str()
                .unwrap()
                .parse()
                .or_else(|_| chrono::NaiveDateTime::parse_from_str(first["start"].as_str().unwrap(), "%Y-%m-%dT%H:%M"))
                .expect("a time"),
        ),
    );
    let row = |n: &crate::driver::Named| n.name.starts_with(&format!("{begin}, ")) && n.name.contains(name);
    assert!(w.named().iter().any(row), "{begin} {name}: {:?}", w.named());
    // The slip against the first day is counted from the same plan.
    let first = w.h.state().besides().first.clone().expect("the plan from the first day");
    assert_eq!(moved["first_plan"]["likely_day"], a.json_day(first.forecast.day(0.5)));
    assert_eq!(moved["first_plan"]["clean_run"], a.json(first.found.plan.finish));
}

#[test]
fn a_day_is_written_up_and_time_lost_by_keys_alone() {
    let mut w = evening("2027-05-10", FEW);
    w.key(Command::WriteUp);
    let all = w.named();
    let first =
        all.iter().find(|n| n.name.starts_with("hours, ") && n.role == Role::TextInput).expect("a row").name.clone();
    // The hours of the first row have the keyboard; Up is a quarter more.
    let before = all.iter().find(|n| n.name == first).unwrap().value.clone();
    w.h.key_press(Key::ArrowUp);
    hit(&mut w, Key::Enter);
    let after = w.named().into_iter().find(|n| n.name == first).unwrap().value;
    assert_ne!(before, after, "Up changes nothing");
    tab_to(&mut w, "Write it up");
    hit(&mut w, Key::Enter);
    assert_eq!(w.h.state().job().log.len(), 1, "{:?}", w.named());
    w.key(Command::LostTime);
    w.h.key_press_modifiers(Modifiers::COMMAND, Key::A);
    w.h.event(egui::Event::Text("12 May 2027".into()));
    w.h.run();
    hit(&mut w, Key::Enter);
    tab_to(&mut w, "Keep it");
    hit(&mut w, Key::Enter);
    assert_eq!(w.h.state().job().lost[0].from.to_string(), "2027-05-12");
    // Escape closes a card and writes nothing.
    w.key(Command::WriteUp);
    w.leave_fields();
    hit(&mut w, Key::Escape);
    assert!(!w.has("Write it up") && w.h.state().job().log.len() == 1);
}

#[test]
fn what_the_text_commands_write_meanwhile_is_noticed() {
    let mut w = evening("2027-05-10", FEW);
    let path = w.folder.file("job.ron").display().to_string();
    said(&["log", &path, "--day", "2027-05-10", "--as-planned", "--json"]);
    press(&mut w, "Nothing done, ");
    w.key(Command::Save);
    assert!(w.has("Take theirs") && w.has("Keep mine"), "{:?}", w.named());
    w.press("Take theirs");
    let job = w.h.state().job();
    assert_eq!(job.log[0].how, How::AsPlanned);
    assert_eq!(job.record.len(), 1, "the evening that was said stays on record");
    assert!(w.h.query_by_label("Take theirs").is_none());
}

#[test]
fn a_change_says_what_it_comes_to_before_it_is_kept() {
    let mut w = evening("2027-05-11", ALL);
    let until = w.beginning("As planned, ").name;
    w.press(&until);
    let before = w.h.state().job().clone();
    w.menu(Command::AddChange);
    w.write("what is added, A change", "a shelf over the door");
    w.rest();
    // The figures of the text command, from as many trials as a question takes.
    let line =
        w.named().into_iter().find(|n| n.name.contains("on the date 8 in 10 jobs reach")).expect("a sentence").name;
    assert!(line.starts_with("+4.0 h"), "{line}");
    assert_eq!(*w.h.state().job(), before, "nothing is in the job yet");
    w.press("Keep it");
    let job = w.h.state().job().clone();
    assert_eq!((job.steps.len(), job.changes.len()), (before.steps.len() + 1, 1));
    let c = &job.changes[0];
    assert!(c.words == "a shelf over the door" && c.hours >= 4.0 && c.trials > 0, "{c:?}");
    // One undo takes it back.
    w.key(Command::Undo);
    assert_eq!(w.h.state().job().steps, before.steps);
}

#[test]
fn a_step_is_chosen_to_be_done_again() {
    let mut w = evening("2027-05-11", FEW);
    let until = w.beginning("As planned, ").name;
    w.press(&until);
    w.menu(Command::WorkAgain);
    assert!(w.has("choose the step that must be done again"), "{:?}", w.named());
    let list = w.beginning("step, Something to redo: ").name;
    w.press(&list);
    let first = roomback::views::site::redoable(
        &roomback::desk::underway::asked_at(
            w.h.state().job(),
            roomback::desk::underway::last_evening(w.h.state().job()),
        )
        .expect("sound"),
    )[0]
    .clone();
    w.press(&first.1);
    w.press("Keep it");
    let job = w.h.state().job();
    assert_eq!((job.redone.len(), job.redone[0].step.as_str(), job.changes.len()), (1, first.0.as_str(), 1));
}

#[test]
fn a_job_is_closed_with_its_figures() {
    let mut w = evening("2027-05-14", FEW);
    let all = w.beginning("As planned through ").name;
    w.press(&all);
    w.menu(Command::CloseJob);
    assert!(w.has("likely at start") && w.has("Rates this job shows"), "{:?}", w.named());
    let asked = has_words(&w, "How did Fri 14 May go?");
    w.press("Close it, and let my book learn");
    assert!(w.h.state().job().closed.is_some() && !w.has("Close the job"));
    assert!(asked && !has_words(&w, "How did"), "a closed job asks about a day");
    // All of it was not done by then: the rest is still told.
    assert!(has_words(&w, "The room is now likely done"), "{:?}", w.named());
}

#[test]
fn a_list_in_a_card_closes_when_a_key_has_chosen_from_it() {
    let mut w = evening("2027-05-11", FEW);
    let until = w.beginning("As planned, ").name;
    w.press(&until);
    w.menu(Command::WorkAgain);
    let list = w.beginning("step, Something to redo: ").name;
    tab_to(&mut w, &list);
    hit(&mut w, Key::Space);
    // The first of the list, as a line of it.
    let job = w.h.state().job();
    let sound = desk::underway::asked_at(job, desk::underway::last_evening(job)).expect("sound");
    let first = roomback::views::site::redoable(&sound)[0].1.clone();
    assert!(w.has(&first), "the list does not open: {:?}", w.named());
    hit(&mut w, Key::ArrowDown);
    hit(&mut w, Key::Enter);
    let chosen = w.beginning("step, Something to redo: ").name;
    assert_ne!(chosen, list, "nothing was chosen");
    assert!(!w.has(&first), "the list stays open: {:?}", w.named());
    assert_eq!(focused(&w), Some(chosen), "the field has not the keyboard back");
}

#[test]
fn a_job_that_is_done_has_a_day_and_no_odds_and_is_closed_once() {
    let mut w = evening("2027-05-28", FEW);
    let all = w.beginning("As planned through ").name;
    w.press(&all);
    assert!(has_words(&w, "The work was done on "), "{:?}", w.named());
    // As planned it is done a day after the one asked for.
    assert!(w.beginning("done: ").name.ends_with(" May"), "{:?}", w.named());
    assert!(w.beginning("it came: ").name.ends_with(": 1 day late"), "{:?}", w.named());
    let odds = ["likely: ", "safe to promise", "chance: ", "slip"];
    let strip = |n: &crate::driver::Named| n.rect.top() < 56.0 && odds.iter().any(|o| n.name.starts_with(o));
    assert!(!w.named().iter().any(strip), "{:?}", w.named());
    w.menu(Command::CloseJob);
    w.press("Close it");
    assert!(w.h.state().job().closed.is_some());
    for command in [Command::CloseJob, Command::WriteUp, Command::PromiseDay] {
        assert!(!w.h.state().can(command), "{command:?} of a closed job");
        assert!(!w.has(command.text()), "{command:?} is offered");
    }
}
