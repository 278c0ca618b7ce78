//! Jobs nobody would write and windows nobody would use: everything is drawn, nothing panics.

use egui::{Vec2, vec2};
use egui_kittest::Harness;
use roomback::job::{Job, Person, Room, Size, Target, TargetKind};
use roomback::ui::Window;
use roomback::ui::files::{Files, Folders};
use roomback::ui::session::Session;
use roomback::ui::worker::Worker;
use roomback::{desk, measure::Length};

use crate::driver::{FEW, SMALL, sample};

fn study() -> Job {
    desk::open(&std::fs::read_to_string(sample("study")).unwrap()).unwrap().read.job
}

/// A window of that size on a job as it is, its first answer drawn.
fn draw(what: &str, job: Job, size: Vec2, scale: f32) {
    let (mut files, _) = Files::start(Folders::default(), None);
    files.settings.text_scale = scale;
    let window = Window::new(files, Session::new(job, None, String::new()), Worker::inline(FEW));
    let show = |ui: &mut egui::Ui, w: &mut Window| {
        w.logic(ui.ctx());
        w.ui(ui);
    };
    let mut h = Harness::builder().with_size(size).with_max_steps(40).build_ui_state(show, window);
    for _ in 0..6 {
        h.step();
    }
    let w = h.state();
    assert!(w.at_rest() || !w.problems().is_empty(), "{what} does not come to rest");
    let next = h.output().viewport_output.values().map(|v| v.repaint_delay).min().unwrap();
    assert!(next >= std::time::Duration::from_secs(3600), "{what} is drawn again in {next:?}");
}

fn with(change: impl FnOnce(&mut Job)) -> Job {
    let mut job = study();
    change(&mut job);
    job
}

#[test]
fn jobs_that_lack_something_are_drawn() {
    draw("nothing at all", Job::default(), SMALL, 1.0);
    draw("no crew", with(|j| j.crew.clear()), SMALL, 1.0);
    draw("somebody without a name", with(|j| j.crew.push(Person::default())), SMALL, 1.0);
    draw("no places", with(|j| j.places.clear()), SMALL, 1.0);
    draw("no rooms", with(|j| j.rooms.clear()), SMALL, 1.0);
    draw("an empty room", with(|j| j.rooms = vec![Room::default()]), SMALL, 1.0);
    draw("no surfaces", with(|j| j.rooms.iter_mut().for_each(|r| r.surfaces.clear())), SMALL, 1.0);
    draw("no walls", with(|j| j.rooms.iter_mut().for_each(|r| r.size = None)), SMALL, 1.0);
    let zero = Length::from_feet(0.0);
    let size = Size { length: zero, width: zero, height: zero };
    draw("no size", with(|j| j.rooms.iter_mut().for_each(|r| r.size = Some(size))), SMALL, 1.0);
    let vast = Length::from_feet(1e6);
    let size = Size { length: vast, width: vast, height: vast };
    draw("a vast room", with(|j| j.rooms.iter_mut().for_each(|r| r.size = Some(size))), SMALL, 1.0);
    draw("no days to work", with(|j| j.calendar.week.days.clear()), SMALL, 1.0);
}

#[test]
fn days_far_away_are_drawn() {
    let day = |y| chrono::NaiveDate::from_ymd_opt(y, 12, 31).unwrap();
    for year in [1990, 2200] {
        draw(&format!("begun in {year}"), with(|j| j.start = day(year)), SMALL, 1.0);
        let target = Target { kind: TargetKind::Asked, day: day(year) };
        draw(&format!("asked for in {year}"), with(|j| j.target = Some(target)), SMALL, 1.0);
    }
}

#[test]
fn a_small_window_a_large_text_and_many_rooms_are_drawn() {
    for (size, scale) in [(vec2(400.0, 300.0), 1.0), (vec2(400.0, 300.0), 2.0), (vec2(50.0, 20.0), 2.0), (SMALL, 2.0)] {
        draw("the study", study(), size, scale);
        draw("nothing", Job::default(), size, scale);
    }
    let mut many = desk::open(roomback::jobfile::starter()).unwrap().read.job;
    let room = many.rooms[0].clone();
    many.rooms.extend((2..=12).map(|n| Room { id: format!("r{n}"), name: format!("Room {n}"), ..room.clone() }));
    assert!(desk::judge(&many).is_ok(), "the twelve rooms are to be planned");
    draw("twelve rooms", many, SMALL, 1.0);
}
