//! The cards and the page of files, used by their names and by the keyboard: what each button
//! and Escape do, and that no key reaches the job behind them.

use egui::{Event, Key, Modifiers, ViewportCommand, ViewportEvent, ViewportId};
use roomback::ui::action::Command;

use crate::driver::{FEW, SMALL, Used};

fn small() -> Used {
    Used::open("powder", SMALL, FEW)
}

fn named(text: &str, name: &str) -> String {
    let out = text.replacen("name: \"Powder room\"", &format!("name: \"{name}\""), 1);
    assert_ne!(out, text);
    out
}

/// A change nobody saved.
fn change(w: &mut Used) {
    w.write("name, the job", "Cloakroom");
    w.leave_fields();
    assert!(w.h.state().session().unsaved());
}

fn put(w: &Used, name: &str, text: &str) -> String {
    std::fs::write(w.folder.file(name), text).unwrap();
    w.folder.file(name).display().to_string()
}

/// Types a path over what stands in the panel; nothing is entered yet.
fn type_path(w: &mut Used, path: &str) {
    w.click_field("Path");
    w.h.key_press_modifiers(Modifiers::COMMAND, Key::A);
    w.h.event(Event::Text(path.to_string()));
    w.rest();
}

fn escape(w: &mut Used) {
    w.h.key_press(Key::Escape);
    w.rest();
}

/// Whether the last frame told the system this.
fn told(w: &Used, command: &ViewportCommand) -> bool {
    w.h.output().viewport_output.values().any(|v| v.commands.contains(command))
}

/// The system asks the window to close; one frame.
fn close(w: &mut Used) {
    let root = w.h.input_mut().viewports.entry(ViewportId::ROOT).or_default();
    root.events.push(ViewportEvent::Close);
    w.h.step();
    let root = w.h.input_mut().viewports.entry(ViewportId::ROOT).or_default();
    root.events.clear();
}

/// Presses a button and says whether the window was told to close by it.
#[track_caller]
fn closes(w: &mut Used, name: &str) -> bool {
    use egui_kittest::kittest::Queryable as _;
    w.h.get_by_label(name).click();
    // Down and up are frames of their own.
    (0..6).any(|_| {
        w.h.step();
        told(w, &ViewportCommand::Close)
    })
}

fn file(w: &Used) -> Option<String> {
    let name = |p: &std::path::PathBuf| p.file_name().unwrap().to_string_lossy().into_owned();
    w.h.state().session().file.as_ref().map(name)
}

/// Nothing a key does reaches the job, the chart or the menu's commands.
#[track_caller]
fn deaf(w: &mut Used) {
    let state = |w: &Used| {
        let win = w.h.state();
        (w.job_text(), win.session().revision(), win.selected().map(str::to_string), win.session().question().cloned())
    };
    assert!(w.h.state().files().in_front());
    let page = w.h.state().files().broken().is_some();
    let (before, files) = (state(w), w.h.state().files().question().map(|q| q.title()));
    let keys = [Key::ArrowRight, Key::ArrowDown, Key::F, Key::T, Key::K, Key::Delete, Key::X];
    for (m, k) in keys.map(|k| (Modifiers::NONE, k)).into_iter().chain([
        (Modifiers::COMMAND, Key::Z),
        (Modifiers::COMMAND, Key::S),
        (Modifiers::COMMAND, Key::N),
        (Modifiers::COMMAND, Key::Q),
    ]) {
        // The page of a broken file is left by keys too; it has no job to lose.
        if page && matches!(k, Key::N | Key::Q) {
            continue;
        }
        w.h.event(Event::Text("x".into()));
        w.h.key_press_modifiers(m, k);
        w.rest();
        assert!(w.h.state().files().in_front(), "{m:?} {k:?} takes it away");
        assert!(state(w) == before, "{m:?} {k:?} reaches the job");
        assert_eq!(w.h.state().files().question().map(|q| q.title()), files, "{m:?} {k:?}");
    }
}

#[test]
fn a_job_is_opened_by_its_path_and_a_wrong_path_is_said() {
    let mut w = small();
    let other = put(&w, "other.ron", &named(&w.folder.read("job.ron"), "Other room"));
    w.key(Command::Open);
    type_path(&mut w, "~/none.ron");
    w.press("Open");
    let none = w.folder.file("none.ron").display().to_string();
    assert!(w.named().iter().any(|n| n.name.starts_with(&format!("{none} is not there"))), "{:?}", w.named());
    assert_eq!(file(&w).as_deref(), Some("job.ron"));
    type_path(&mut w, &other);
    w.press("Open");
    assert!(!w.has("Open a job") && w.h.state().job().name == "Other room");
    // Had open before: by name. What is gone can be taken off.
    w.key(Command::Open);
    w.press("job.ron");
    assert_eq!(file(&w).as_deref(), Some("job.ron"));
    std::fs::remove_file(other).unwrap();
    w.key(Command::Open);
    w.press("Take other.ron off the list");
    assert!(!w.has("other.ron") && w.has("job.ron"));
    w.press("hall: a hall and stairwell of 1931 for two");
    assert!(file(&w).is_none() && !w.has("Open a job"));
}

#[test]
fn a_job_is_saved_under_another_name_and_a_taken_name_is_asked_about() {
    let mut w = small();
    let taken = put(&w, "taken.ron", "notes");
    change(&mut w);
    w.key(Command::SaveAs);
    type_path(&mut w, &taken);
    w.press("Save");
    assert!(w.has("taken.ron is there already"));
    deaf(&mut w);
    escape(&mut w);
    // Escape goes back to the name and no further.
    assert!(!w.has("taken.ron is there already") && w.has("Save the job"));
    assert_eq!(w.folder.read("taken.ron"), "notes");
    w.press("Save");
    w.press("Another name");
    type_path(&mut w, "~/second");
    w.press("Save");
    assert!(!w.has("Save the job") && w.folder.read("second.ron").contains("Cloakroom"));
    assert_eq!((file(&w).as_deref(), w.h.state().session().unsaved()), (Some("second.ron"), false));
    // The bar says so until it was read.
    assert!(w.named().iter().any(|n| n.name.starts_with("Saved ")));
    w.press("Close this line");
    assert!(!w.named().iter().any(|n| n.name.starts_with("Saved ")));
    w.key(Command::SaveAs);
    type_path(&mut w, &taken);
    w.press("Save");
    w.press("Replace it");
    assert!(w.folder.read("taken.ron").contains("Cloakroom") && w.folder.read("taken.ron.bak") == "notes");
}

#[test]
fn the_window_is_left_by_an_answer_only() {
    let mut w = small();
    change(&mut w);
    w.key(Command::Quit);
    assert!(w.has("Save job.ron before the window closes?"));
    deaf(&mut w);
    assert!(!closes(&mut w, "Stay") && !w.has("Stay"));
    // The system's own close is held back the same way.
    close(&mut w);
    assert!(told(&w, &ViewportCommand::CancelClose) && !told(&w, &ViewportCommand::Close));
    w.rest();
    escape(&mut w);
    assert!(!w.has("Stay") && w.h.state().job().name == "Cloakroom");
    close(&mut w);
    w.rest();
    assert!(closes(&mut w, "Leave without saving"));
    assert!(!w.folder.read("job.ron").contains("Cloakroom"));
    // Told to close, it lets itself be closed.
    close(&mut w);
    assert!(!told(&w, &ViewportCommand::CancelClose));
    let mut w = small();
    change(&mut w);
    w.key(Command::Quit);
    assert!(closes(&mut w, "Save"));
    assert!(w.folder.read("job.ron").contains("\"Cloakroom\""));
}

#[test]
fn what_stands_half_typed_is_asked_about_when_the_system_closes_the_window() {
    let mut w = small();
    w.click_field("name, the job");
    w.h.key_press_modifiers(Modifiers::COMMAND, Key::A);
    w.h.event(Event::Text("Cloakroom".into()));
    w.h.run();
    close(&mut w);
    assert!(told(&w, &ViewportCommand::CancelClose), "closed over what was being written");
    w.rest();
    assert!(w.h.state().job().name == "Cloakroom" && w.has("Save job.ron before the window closes?"));
    assert!(closes(&mut w, "Save"));
    assert!(w.folder.read("job.ron").contains("\"Cloakroom\""));
    // A field entered and left as it was holds nothing back for long.
    let mut w = small();
    w.click_field("name, the job");
    close(&mut w);
    let at_once = told(&w, &ViewportCommand::Close);
    let soon = (0..6).any(|_| {
        w.h.step();
        told(&w, &ViewportCommand::Close)
    });
    assert!(at_once || soon, "the window does not close");
}

#[test]
fn the_panels_are_closed_by_escape_and_no_key_goes_past_them() {
    let mut w = small();
    change(&mut w);
    for (command, title) in [(Command::Open, "Open a job"), (Command::SaveAs, "Save the job")] {
        w.key(command);
        assert!(w.has(title));
        deaf(&mut w);
        escape(&mut w);
        assert!(!w.has(title) && w.h.state().job().name == "Cloakroom", "{title}");
        w.key(command);
        w.press("Cancel");
        assert!(!w.has(title));
    }
    assert!(!w.folder.read("job.ron").contains("Cloakroom"));
}

#[test]
fn the_page_of_a_broken_file_leads_on_by_each_of_its_buttons() {
    let mut w = small();
    let whole = w.folder.read("job.ron");
    let broken = whole.replace("recipe: \"repaint-walls\"", "recipe: \"repaint-wals\"");
    let path = put(&w, "broken.ron", &broken);
    let show = |w: &mut Used| {
        w.key(Command::Open);
        type_path(w, &path);
        w.press("Open");
        assert!(w.has("Read it again"));
    };
    show(&mut w);
    let (line, text) = broken.lines().enumerate().find(|(_, l)| l.contains("repaint-wals")).unwrap();
    let col = text.find("\"repaint-wals\"").unwrap() + 1;
    w.beginning(&format!("{}:{col}  ", line + 1));
    assert!(w.has(text.trim()));
    deaf(&mut w);
    w.press("Back to job.ron");
    assert!(!w.has("Read it again") && file(&w).as_deref() == Some("job.ron"));
    show(&mut w);
    w.press("Open another");
    assert!(w.has("Open a job"));
    escape(&mut w);
    assert!(!w.has("Open a job") && w.has("Read it again"));
    w.press("Open as far as it reads");
    assert!(!w.has("Read it again") && file(&w).is_none() && w.h.state().session().unsaved());
    assert!(w.folder.read("broken.ron") == broken);
}

#[test]
fn a_file_another_hand_changed_is_asked_about_when_the_window_comes_to_the_front() {
    let mut w = small();
    let theirs = named(&w.folder.read("job.ron"), "Their room");
    change(&mut w);
    put(&w, "job.ron", &theirs);
    let front = |w: &mut Used| {
        w.h.event(Event::WindowFocused(true));
        w.rest();
    };
    front(&mut w);
    assert!(w.has("job.ron was changed by another hand"));
    deaf(&mut w);
    escape(&mut w);
    assert!(!w.has("Take theirs") && w.h.state().job().name == "Cloakroom");
    assert_eq!(w.folder.read("job.ron"), theirs);
    front(&mut w);
    w.press("Take theirs");
    assert_eq!(w.h.state().job().name, "Their room");
    w.key(Command::Undo);
    assert_eq!(w.h.state().job().name, "Cloakroom");
    // Saved, mine stands in the file and theirs beside it.
    w.key(Command::Save);
    assert!(w.folder.read("job.ron").contains("Cloakroom") && w.folder.read("job.ron.bak") == theirs);
}

#[test]
fn what_was_never_saved_is_offered_and_escape_is_no_answer() {
    let w = small();
    let put_by = named(&w.folder.read("job.ron"), "Put by");
    let at = roomback::store::recovery::beside_file(&w.folder.file("job.ron"));
    roomback::store::recovery::keep(&at, &put_by, &w.folder.read("job.ron")).unwrap();
    let Used { h, folder, .. } = w;
    drop(h);
    let mut w = Used::of(folder, SMALL, FEW);
    assert!(w.has("job.ron has changes that were never saved"));
    escape(&mut w);
    deaf(&mut w);
    assert!(w.has("Take it up") && w.h.state().job().name == "Powder room");
    w.press("Take it up");
    assert!(!w.has("Take it up") && w.h.state().job().name == "Put by" && w.h.state().session().unsaved());
    assert!(!w.folder.read("job.ron").contains("Put by"));
}
