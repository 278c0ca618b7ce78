//! What can be done in the window is done, and the job, the files or the screen show it.

use std::time::Duration;

use egui::ViewportCommand;
use roomback::job::Job;
use roomback::ui::action::Command;
use roomback::ui::theme::{DARK, LIGHT, Theme};
use roomback::{desk, jobfile};

use crate::driver::{FEW, SMALL, Used};

/// A small job, answered at once.
const SMALL_JOB: &str = r#"(
    format: 1,
    name: "one wall",
    start: "2027-03-01",
    target: (day: "2027-03-05"),
    crew: [(id: "ilse", name: "Ilse")],
    places: [(id: "den", name: "den", kind: room)],
    rooms: [(
        id: "den", name: "Den", place: "den", size: (length: "12'", width: "10'", height: "8'"),
        surfaces: [(id: "base", part: base, recipe: "base-and-shoe")],
    )],
)
"#;

fn small() -> Used {
    Used::on(SMALL_JOB, SMALL, FEW)
}

fn job(w: &Used) -> Job {
    w.h.state().job().clone()
}

fn read(text: &str) -> Job {
    desk::open(text).expect("a job file").read.job
}

/// Makes the room a foot longer by its field.
fn lengthen(w: &mut Used) {
    w.show_room("Den");
    w.write("length, Den", "13'");
    assert_eq!(jobfile::write(&job(w)), jobfile::write(&read(&SMALL_JOB.replace("12'", "13'"))));
}

/// Whether the last frames asked for the window to close.
fn closed(w: &Used) -> bool {
    w.h.output().viewport_output.values().any(|v| v.commands.contains(&ViewportCommand::Close))
}

/// What each command does, chosen in the menu and by the mouse, or found in the box of Ctrl+K and by keys alone. A
/// new command does not compile until it is told here.
fn deed(command: Command, by_keys: bool) {
    let mut w = small();
    w.by_keys = by_keys;
    let at_first = job(&w);
    match command {
        Command::New => {
            w.menu(command);
            assert_eq!(job(&w), at_first, "the job at hand stays until the last answer");
            for _ in 0..5 {
                w.press("Leave it out");
            }
            w.press("To the job");
            assert!(job(&w).name == "Bedroom" && w.h.state().session().file.is_none());
        }
        Command::Open => {
            std::fs::write(w.folder.file("other.ron"), SMALL_JOB.replace("one wall", "another wall")).unwrap();
            w.menu(command);
            let path = w.folder.file("other.ron").display().to_string();
            w.write("Path", &path);
            assert_eq!(job(&w).name, "another wall");
        }
        Command::Save => {
            lengthen(&mut w);
            assert!(w.h.state().session().unsaved());
            assert_eq!(w.folder.read("job.ron"), SMALL_JOB);
            w.menu(command);
            assert_eq!(read(&w.folder.read("job.ron")), job(&w));
            assert!(!w.h.state().session().unsaved());
        }
        Command::SaveAs => {
            w.menu(command);
            let path = w.folder.file("second.ron").display().to_string();
            w.write("Path", &path);
            assert_eq!(read(&w.folder.read("second.ron")), at_first);
            assert_eq!(w.h.state().session().file, Some(w.folder.file("second.ron")));
        }
        Command::Quit => {
            lengthen(&mut w);
            w.menu(command);
            assert!(w.has("Stay") && w.has("Leave without saving") && w.has("Save"), "{:?}", w.named());
            w.press("Stay");
            assert!(!closed(&w) && !w.has("Stay"));
            w.menu(Command::Undo);
            w.open_menu_at(command);
            // Down and up are frames of their own.
            let gone = (0..6).any(|_| {
                w.h.step();
                closed(&w)
            });
            assert!(gone, "nothing is unsaved and the window stays open");
        }
        Command::Undo | Command::Redo => {
            lengthen(&mut w);
            let longer = job(&w);
            let safe = w.beginning("safe to promise").name;
            w.menu(Command::Undo);
            assert_eq!(job(&w), at_first);
            w.menu(Command::Redo);
            assert_eq!(job(&w), longer);
            assert_eq!(w.beginning("safe to promise").name, safe);
            w.leave_fields();
            w.key(Command::Undo);
            assert_eq!(job(&w), at_first);
            w.key(Command::Redo);
            assert_eq!(job(&w), longer);
        }
        Command::CopyOdds => {
            let copied = w.copied_by(command).expect("something copied");
            assert!(copied.starts_with("one wall") && copied.contains("Safe to promise"), "{copied}");
        }
        Command::PlanInWords => {
            w.menu(command);
            assert!(w.named().iter().any(|n| n.name.contains("What holds the date")), "{:?}", w.named());
            w.press("Close the plan in words");
            assert!(!w.has("Close the plan in words"));
        }
        Command::FitTime | Command::PlainTime | Command::WholeChalk => {
            // Their effect is on the chart alone.
            let before = w.picture();
            w.menu(Command::PlainTime);
            let plain = w.picture();
            assert!(before != plain, "hours of equal width change nothing");
            w.menu(Command::FitTime);
            w.menu(Command::PlainTime);
            assert!(w.picture() == before, "the whole job is not in view again");
            w.menu(Command::WholeChalk);
            assert!(w.picture() != before, "no chalk line");
            w.menu(Command::WholeChalk);
            assert!(w.picture() == before, "the chalk line stays");
        }
        Command::PromiseDay => {
            w.menu(command);
            assert!(w.has("Promise a day") && w.has("Not now"), "{:?}", w.named());
            w.press("Not now");
            assert!(!w.has("Not now") && job(&w) == at_first);
        }
        Command::Withdraw => {
            w.menu(Command::PromiseDay);
            let all = w.named();
            let act = all
                .iter()
                .find(|n| n.name.starts_with("Promise ") && !n.name.contains('…') && n.name != "Promise a day");
            let act = act.expect("a day to promise").name.clone();
            w.press(&act);
            let day = job(&w).promised_day().expect("promised");
            w.menu(command);
            let withdraw = format!("Withdraw {}", roomback::views::day_words(day));
            w.press(&withdraw);
            assert!(job(&w).promised_day().is_some() && w.named().iter().any(|n| n.name.contains("say why")));
            // The keyboard is in the field of the reason.
            w.h.event(egui::Event::Text("a wall is wet".into()));
            w.h.run();
            w.press(&withdraw);
            assert!(job(&w).promised_day().is_none() && job(&w).promises.len() == 2 && !w.has("Not now"));
            w.menu(Command::Undo);
            assert_eq!(job(&w).promised_day(), Some(day));
            w.menu(Command::Redo);
            assert_eq!((job(&w).target, job(&w).promises[1].reason.as_str()), (at_first.target, "a wall is wet"));
        }
        Command::WhatIf => {
            w.menu(command);
            assert!(w.named().iter().any(|n| n.name.starts_with("a helper for 2 days from")), "{:?}", w.named());
        }
        Command::StartDays | Command::Options | Command::Crew | Command::Places | Command::Calendar => {
            let before = w.named().len();
            w.menu(command);
            assert!(w.named().len() > before, "{command:?} unfolds nothing");
        }
        Command::WalkRound => {
            w.menu(command);
            assert!(w.named().iter().any(|n| n.name.starts_with("How is it heated?")), "{:?}", w.named());
        }
        Command::Own => {
            w.menu(command);
            assert!(w.has("Add a delivery"), "{:?}", w.named());
        }
        Command::Find => {
            w.key(command);
            w.h.event(egui::Event::Text("cre".into()));
            w.h.run();
            let before = w.named().len();
            w.h.key_press(egui::Key::Enter);
            w.rest();
            assert!(
                !w.has("Find anything to do") && w.named().len() != before && w.has("name, Ilse"),
                "{:?}",
                w.named()
            );
        }
        Command::FindStep => {
            w.key(command);
            w.h.event(egui::Event::Text("base".into()));
            w.h.run();
            w.h.key_press(egui::Key::Enter);
            w.rest();
            let id = w.h.state().selected().expect("a step").to_string();
            assert!(id.starts_with("den/base/"), "{id}");
        }
        Command::ThreeThings => {
            assert!(!w.has("Three things to try"));
            w.menu(command);
            assert!(w.has("Three things to try") && job(&w).name == "Panelled study");
        }
        Command::Measure | Command::Order => {
            const CHART: &str = "The room section";
            const SHEET: &str = "The measure sheet";
            assert!(w.has(CHART) && !w.has(SHEET));
            w.menu(Command::Measure);
            assert!(!w.has(CHART) && w.has(SHEET));
            w.key(Command::Order);
            assert!(w.has(CHART) && !w.has(SHEET));
            w.key(Command::Measure);
            assert!(w.has(SHEET));
            w.menu(Command::Order);
            assert!(w.has(CHART));
            // Side by side in a wide window.
            w.h.set_size(crate::driver::LARGE);
            w.rest();
            assert!(w.has(CHART) && w.has(SHEET));
        }
        Command::Quote | Command::Site => {
            assert!(!w.has("How the date has moved"));
            w.key(Command::Site);
            assert!(w.h.state().on_site() && w.has("How the date has moved"));
            w.menu(Command::Quote);
            assert!(!w.h.state().on_site() && !w.has("How the date has moved"));
            w.menu(Command::Site);
            assert!(w.h.state().on_site());
        }
        Command::Client => {
            w.menu(command);
            assert!(w.has("What they see") && w.has("Menu"), "{:?}", w.named());
            w.press("Show the page");
            assert!(!w.has("Menu") && !w.has("What they see") && w.has("Leave the client's page"), "{:?}", w.named());
            w.press("Leave the client's page");
            assert!(w.has("Menu") && job(&w) == at_first);
        }
        Command::Print => {
            w.menu(command);
            // Nobody here has a cost: the page offered is the client's.
            assert!(w.has("Print a page") && !w.has("What they see"), "{:?}", w.named());
            // The kind offered is the first that is known; an SVG is text to look into.
            let kind = roomback::export::ENDINGS[0];
            w.press("Write the file");
            assert!(!std::fs::read(w.folder.file(&format!("job-client.{kind}"))).expect("a file").is_empty());
            let svg = w.folder.file("job-client.svg");
            w.write("Write to", &svg.display().to_string());
            w.press("Write the file");
            let file = w.folder.read("job-client.svg");
            let s = w.h.state().shown().expect("an answer");
            let page = roomback::views::client::ClientPage::new(&s.sound, &s.found, &s.forecast);
            assert!(file.contains(&page.headline) && job(&w) == at_first);
            // The job's own file is never written over, and only kinds that are known are written.
            for path in [w.folder.file("job.ron"), w.folder.file("page.odd")] {
                w.write("Write to", &path.display().to_string());
                w.press("Write the file");
                assert!(w.named().iter().any(|n| n.name.contains("this is written as .")), "{:?}", w.named());
            }
            assert_eq!(w.folder.read("job.ron"), SMALL_JOB);
            w.press("Close");
            assert!(!w.has("Print a page"));
        }
        Command::Price | Command::Buying => {
            w.menu(command);
            let there = if command == Command::Price { "Shares of the payments" } else { "all of it" };
            assert!(w.has(there), "{:?}", w.named());
        }
        Command::WriteUp | Command::AsPlanned | Command::NothingDone => {
            assert!(!w.h.state().can(command), "work begins later");
            let mut w = Used::on_day(SMALL_JOB, "2027-03-02", SMALL, FEW);
            w.menu(command);
            let log = job(&w).log;
            match command {
                Command::WriteUp => {
                    assert!(w.has("How Monday 1 March went") && log.is_empty(), "{:?}", w.named());
                    w.press("Not now");
                    assert!(!w.has("How Monday 1 March went"));
                }
                Command::AsPlanned => assert!(log.len() == 2 && job(&w).record.len() == 2, "{log:?}"),
                _ => assert!(log.len() == 1 && log[0].steps.is_empty(), "{log:?}"),
            }
        }
        Command::WaysBack | Command::WriteClient => {
            w.menu(command);
            let head = if command == Command::WaysBack { "Ways to be safer" } else { "To the client" };
            assert!(w.has(head) && job(&w) == at_first);
            w.press("Close");
            assert!(!w.has(head));
        }
        Command::LostTime => {
            w.menu(command);
            assert!(w.has("Time lost") && job(&w) == at_first);
            w.press("Not now");
            assert!(!w.has("Keep it") && w.h.state().session().question().is_none());
        }
        Command::WorkAgain | Command::LateDelivery | Command::CloseJob => {
            assert!(!w.h.state().can(command), "nothing is written up");
            let mut w = Used::on_day(SMALL_JOB, "2027-03-02", SMALL, FEW);
            w.menu(Command::AsPlanned);
            let before = job(&w);
            w.menu(command);
            let head = match command {
                Command::WorkAgain => "Something to redo",
                Command::LateDelivery => "Late delivery",
                _ => "Close the job",
            };
            assert!(w.has(head) && job(&w) == before, "{:?}", w.named());
            w.press("Not now");
            assert!(!w.has(head) && job(&w) == before);
        }
        Command::AddChange => {
            w.menu(command);
            assert!(w.has("A change") && job(&w) == at_first);
            w.press("Not now");
            assert!(!w.has("A change") && w.h.state().session().question().is_none());
        }
        Command::LightDark => {
            assert_eq!(Theme::of(&w.h.ctx), &LIGHT);
            w.menu(command);
            assert_eq!(Theme::of(&w.h.ctx), &DARK);
            w.menu(command);
            assert_eq!(Theme::of(&w.h.ctx), &LIGHT);
        }
        Command::Larger | Command::Smaller | Command::PlainSize => {
            let zoom = |w: &Used| (w.h.ctx.zoom_factor() * 10.0).round();
            assert_eq!(zoom(&w), 10.0);
            w.menu(Command::Larger);
            assert_eq!(zoom(&w), 11.0);
            w.menu(Command::PlainSize);
            assert_eq!(zoom(&w), 10.0);
            w.menu(Command::Smaller);
            assert_eq!(zoom(&w), 9.0);
            w.key(Command::PlainSize);
            assert_eq!(zoom(&w), 10.0);
            // Plus without Shift is the equals sign on many keyboards.
            w.h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Equals);
            w.rest();
            assert_eq!(zoom(&w), 11.0);
        }
    }
}

#[test]
fn every_command_of_the_menu_does_what_it_says() {
    for command in Command::ALL {
        deed(command, false);
    }
}

#[test]
fn every_command_is_carried_out_without_a_mouse() {
    for command in Command::ALL {
        deed(command, true);
    }
}

#[test]
fn a_command_that_cannot_be_done_says_so() {
    let mut w = small();
    w.press("Menu");
    for command in Command::ALL {
        assert_eq!(w.called_in("Menu", command.text()).enabled, w.h.state().can(command), "{command:?}");
    }
    assert!(!w.called_in("Menu", Command::Undo.text()).enabled);
}

#[test]
fn nothing_is_drawn_while_nothing_happens() {
    let mut w = small();
    // The window has the keyboard, a field is being written in.
    w.h.input_mut().focused = true;
    w.show_room("Den");
    w.click_field("length, Den");
    for _ in 0..30 {
        w.h.step();
    }
    let next = w.h.output().viewport_output.values().map(|v| v.repaint_delay).min().unwrap();
    assert!(next >= Duration::from_secs(3600), "a repaint is asked for in {next:?}");
}

#[test]
fn a_wall_made_longer_moves_the_figures() {
    let mut w = small();
    let hours = |w: &Used| w.beginning("one wall").name.clone();
    let before = hours(&w);
    lengthen(&mut w);
    assert_ne!(hours(&w), before, "the hours of the job stay as they were");
    assert!(w.h.state().session().undo_words().is_some());
}

#[test]
fn words_no_length_can_be_read_from_leave_the_job_alone() {
    let mut w = small();
    let before = job(&w);
    w.show_room("Den");
    w.write("length, Den", "a long wall");
    assert_eq!(job(&w), before);
    assert!(w.h.state().session().undo_words().is_none());
}

#[test]
fn the_size_remembered_is_that_of_the_window_at_any_text_size() {
    let mut w = small();
    w.menu(Command::Larger);
    // The system tells the window's size in points as they are scaled now.
    let root = w.h.input_mut().viewports.entry(egui::ViewportId::ROOT).or_default();
    root.inner_rect = Some(egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1000.0, 600.0)));
    w.h.step();
    let (wide, high) = w.h.state().files().settings.window;
    assert!((wide - 1100.0).abs() < 0.1 && (high - 660.0).abs() < 0.1, "{wide} x {high}");
}
