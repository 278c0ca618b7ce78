//! Files as they are met in the window: cards, the page of a broken file, keys while writing.

use egui::Key;
use roomback::ui::action::Command;

use crate::driver::{FEW, SMALL, Used};

fn small() -> Used {
    Used::open("powder", SMALL, FEW)
}

fn renamed(w: &mut Used, name: &str) {
    w.write("name, the job", name);
    assert_eq!(w.h.state().job().name, name);
}

#[test]
fn what_stands_half_typed_in_a_field_is_in_the_file_that_ctrl_s_writes() {
    let mut w = small();
    w.click_field("name, the job");
    w.h.key_press_modifiers(egui::Modifiers::COMMAND, Key::A);
    w.h.event(egui::Event::Text("Cloakroom".into()));
    w.h.run();
    assert_ne!(w.h.state().job().name, "Cloakroom");
    w.key(Command::Save);
    assert_eq!(w.h.state().job().name, "Cloakroom");
    assert!(w.folder.read("job.ron").contains("\"Cloakroom\"") && !w.h.state().session().unsaved());
}

#[test]
fn ctrl_z_in_a_field_is_the_fields_and_the_jobs_outside_it() {
    let mut w = small();
    let before = w.job_text();
    renamed(&mut w, "Cloakroom");
    w.click_field("name, the job");
    w.h.event(egui::Event::Text("half a na".into()));
    w.h.run();
    w.key(Command::Undo);
    assert_eq!(w.h.state().job().name, "Cloakroom");
    // Escape takes back what the field's own undo wrote.
    w.h.key_press(Key::Escape);
    w.leave_fields();
    assert_eq!(w.h.state().job().name, "Cloakroom");
    w.key(Command::Undo);
    assert!(w.job_text() == before, "the job is not as it was");
}

#[test]
fn a_question_stands_before_everything_and_escape_loses_nothing() {
    let mut w = small();
    renamed(&mut w, "Cloakroom");
    w.leave_fields();
    w.key(Command::New);
    assert!(w.has("Save job.ron first?") && w.has("Leave without saving"));
    // Keys do not reach the job behind it.
    w.key(Command::Undo);
    assert_eq!(w.h.state().job().name, "Cloakroom");
    w.h.key_press(Key::Escape);
    w.rest();
    assert!(!w.has("Save job.ron first?") && w.h.state().session().unsaved());
    assert_eq!(w.h.state().job().name, "Cloakroom");
    w.key(Command::New);
    w.press("Leave without saving");
    assert!(w.has("No new job") && w.h.state().job().name == "Cloakroom", "left only by the last answer");
    for _ in 0..5 {
        w.press("Leave it out");
    }
    assert!(w.h.state().session().file.is_none() && !w.folder.read("job.ron").contains("Cloakroom"));
}

#[test]
fn a_broken_file_shows_each_problem_with_its_place_until_it_is_mended() {
    let mut w = small();
    let whole = w.folder.read("job.ron");
    let broken = whole.replace("recipe: \"repaint-walls\"", "recipe: \"repaint-wals\"");
    std::fs::write(w.folder.file("broken.ron"), &broken).unwrap();
    w.key(Command::Open);
    let path = w.folder.file("broken.ron").display().to_string();
    w.write("Path", &path);
    let line = broken.lines().position(|l| l.contains("repaint-wals")).unwrap() + 1;
    let told = w.beginning(&format!("{line}:"));
    assert!(told.name.contains("\"repaint-wals\" is not a recipe"), "{}", told.name);
    assert!(w.has("did you mean \"repaint-walls\""));
    w.press("Read it again");
    assert!(w.has("Read it again"), "still broken");
    std::fs::write(w.folder.file("broken.ron"), &whole).unwrap();
    w.press("Read it again");
    assert_eq!(w.h.state().session().file.as_deref(), Some(w.folder.file("broken.ron").as_path()));
    assert!(!w.has("Read it again"));
}

#[test]
fn another_jobs_field_does_not_take_what_was_typed_for_this_one() {
    let mut w = small();
    std::fs::write(w.folder.file("other.ron"), w.folder.read("job.ron")).unwrap();
    w.click_field("client, the job");
    w.h.event(egui::Event::Text("half a na".into()));
    w.h.run();
    let other = w.folder.file("other.ron").display().to_string();
    // Opening by key commits what was typed, which is then asked about.
    w.key(Command::Open);
    w.write("Path", &other);
    w.press("Leave without saving");
    assert_eq!(w.h.state().session().file.as_deref(), Some(w.folder.file("other.ron").as_path()));
    w.leave_fields();
    assert!(!w.h.state().job().client.contains("half a na"));
}

#[test]
fn the_open_panel_lists_what_was_open_and_what_comes_with_the_program() {
    let mut w = small();
    let gone = w.folder.file("gone.ron");
    std::fs::write(&gone, w.folder.read("job.ron")).unwrap();
    w.key(Command::Open);
    w.write("Path", &gone.display().to_string());
    assert_eq!(w.h.state().session().file.as_deref(), Some(gone.as_path()));
    std::fs::remove_file(&gone).unwrap();
    w.key(Command::Open);
    assert!(w.has("not there now"));
    w.press("Take gone.ron off the list");
    assert!(!w.has("not there now"));
    w.press("job.ron");
    assert_eq!(w.h.state().session().file.as_deref(), Some(w.folder.file("job.ron").as_path()));
    w.key(Command::Open);
    w.press("powder: a tiny powder room");
    assert!(w.h.state().session().file.is_none() && !w.has("Open a job"));
    w.key(Command::Open);
    w.press("Cancel");
    assert!(!w.has("Open a job"));
}

#[test]
fn keys_with_shift_are_not_taken_for_those_without() {
    let mut w = small();
    renamed(&mut w, "Cloakroom");
    renamed(&mut w, "Pantry");
    w.leave_fields();
    w.key(Command::Undo);
    assert_eq!(w.h.state().job().name, "Cloakroom");
    w.key(Command::Redo);
    assert_eq!(w.h.state().job().name, "Pantry");
    w.key(Command::SaveAs);
    assert!(w.has("Save the job") && !w.folder.read("job.ron").contains("Pantry"));
}

#[test]
fn a_save_says_where_and_the_line_is_taken_away() {
    let mut w = small();
    w.key(Command::SaveAs);
    assert!(w.has("Save the job"));
    let path = w.folder.file("second").display().to_string();
    w.write("Path", &path);
    assert!(w.has(&format!("Saved {path}.ron.")) && w.folder.read("second.ron").contains("name:"));
    w.press("Close this line");
    assert!(!w.has(&format!("Saved {path}.ron.")));
    // The same name again is this job's own file; another's is asked about.
    w.key(Command::SaveAs);
    let own = w.folder.file("job.ron").display().to_string();
    w.write("Path", &own);
    assert!(w.has("job.ron is there already"));
    w.press("Another name");
    assert!(w.has("Save the job"));
}

#[test]
fn another_job_can_be_opened_by_key_from_the_page_of_a_broken_one() {
    let mut w = small();
    std::fs::write(w.folder.file("broken.ron"), "(rooms: [").unwrap();
    w.key(Command::Open);
    let path = w.folder.file("broken.ron").display().to_string();
    w.write("Path", &path);
    assert!(w.has("Read it again") && !w.has("Open as far as it reads"));
    // The job behind it is not changed by a key.
    w.key(Command::Undo);
    w.key(Command::Open);
    assert!(w.has("Open a job"));
    let path = w.folder.file("job.ron").display().to_string();
    w.write("Path", &path);
    assert!(!w.has("Read it again"));
}
