//! A job under way in the window, by the names of its controls; its figures are those of the text
//! commands.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use roomback::cli;
use roomback::job::{How, LostCause};
use roomback::ui::action::Command;

use crate::driver::{FEW, SMALL, Used};

/// Trials of the text commands.
const ALL: usize = 10_000;

fn powder() -> String {
    std::fs::read_to_string(crate::driver::sample("powder")).expect("a sample")
}

/// The powder room on an evening, On site.
fn evening(day: &str, trials: usize) -> Used {
    let mut w = Used::on_day(&powder(), day, SMALL, trials);
    w.key(Command::Site);
    w
}

/// What a text command says, in JSON.
#[track_caller]
fn said(args: &[&str]) -> serde_json::Value {
    let out = cli::run(std::iter::once("roomback").chain(args.iter().copied()));
    assert_eq!(out.code, 0, "{}", out.text);
    serde_json::from_str(&out.text).unwrap_or_else(|_| serde_json::Value::String(out.text))
}

fn days(w: &Used) -> Vec<String> {
    w.h.state().job().log.iter().map(|d| d.day.to_string()).collect()
}

#[test]
fn a_day_is_written_up_as_planned_and_the_evening_is_on_record() {
    let mut w = evening("2027-03-03", FEW);
    let start = w.h.state().job().start;
    w.beginning("How did");
    w.h.get_by_label("As planned through yesterday").click();
    w.rest();
    let job = w.h.state().job().clone();
    assert_eq!(job.log.len() as i64, ("2027-03-03".parse::<chrono::NaiveDate>().unwrap() - start).num_days());
    assert!(job.log.iter().all(|d| d.how == How::AsPlanned && !d.steps.is_empty()));
    assert_eq!(job.record.len(), job.log.len());
    assert!(job.kept.is_some(), "a job under way keeps its order");
    assert!(
        w.beginning("Evening of").name.contains("h done") || w.named().iter().any(|n| n.name.contains("Evening of"))
    );
    // One undo takes the days back, and not what was said.
    w.key(Command::Undo);
    assert!(w.h.state().job().log.is_empty() && w.h.state().job().record == job.record);
    w.key(Command::Redo);
    assert_eq!(*w.h.state().job(), job);
}

#[test]
fn a_day_on_which_nothing_was_done_says_so() {
    let mut w = evening("2027-03-01", FEW);
    let name = w.beginning("Nothing done, ").name;
    w.press(&name);
    let job = w.h.state().job();
    assert!(job.log.len() == 1 && job.log[0].how == How::Nothing && job.lost.is_empty());
    assert!(w.named().iter().all(|n| !n.name.starts_with("How did")), "the day is asked about again");
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
    w.press("Close it, and let my book learn");
    assert!(w.h.state().job().closed.is_some() && !w.has("Close the job"));
}
