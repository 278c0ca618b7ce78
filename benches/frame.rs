//! What one frame of the window costs: drawing by egui and cutting into triangles, at about
//! 150 and 2,000 steps, and where opening a room of sixty spends its time.
//!
//! `cargo bench --bench frame`. The answer is at rest, no input moves but the pointer; every
//! other frame scrolls the bands, so that the section is laid out anew. Half way and worst of
//! twenty (p95) of the frames that do not scroll, p95 of those that do. Reach: 4 ms at 150
//! steps, 8 ms at 2,000.

mod made;

use std::sync::Arc;
use std::time::Instant;

use egui::{Context, Event, Pos2, RawInput, Rect, Vec2, vec2};
use roomback::desk;
use roomback::forecast::Options;
use roomback::job::{Job, Person, Place, Room};
use roomback::ui::Window;
use roomback::ui::files::{Files, Folders};
use roomback::ui::worker::Worker;
use roomback::views::section::{Ask, Model, layout};
use roomback::views::{ForecastView, PlanView};

const FRAMES: usize = 200;
/// Rooms of about 33 steps.
const ROOMS: [usize; 2] = [5, 60];

fn job(rooms: usize) -> Job {
    let mut d = made::Draws::new(30);
    let (rooms, places): (Vec<Room>, Vec<Place>) = (0..rooms).map(|i| made::room(&mut d, i)).unzip();
    let people = rooms.len().div_ceil(15);
    let person = |&id: &&str| Person { id: id.into(), name: id.into(), cost: 45.0, ..Person::default() };
    let crew = ["ola", "ines", "rafe", "tove"][..people.min(4)].iter().map(person).collect();
    Job { name: "frame".into(), seed: 3, crew, rooms, places, ..Job::default() }
}

/// Half way and worst of twenty, ms.
fn read(mut all: Vec<f64>) -> (f64, f64) {
    all.sort_by(f64::total_cmp);
    (all[all.len() / 2], all[all.len() * 95 / 100])
}

fn timed<T>(what: &str, run: impl FnOnce() -> T) -> T {
    let t = Instant::now();
    let out = run();
    println!("  {what:<44} {:>8.1} ms", t.elapsed().as_secs_f64() * 1e3);
    out
}

/// Where the time from a plan to a drawing goes.
fn parts(job: &Job) {
    let sound = desk::judge(job).expect("sound");
    let found = timed("order searched", || sound.plan(false).expect("a plan"));
    let plan = timed("plan read, without what can wait", || PlanView::without_float(&sound, &found));
    let o = Options { trials: 500, seed: 3, cause_trials: 0 };
    let f = timed("500 trials", || sound.forecast(&found, o).expect("odds"));
    let v = ForecastView::new(&sound, &f, 0.8);
    let m = timed("section read", || Model::new(&sound, &found, &plan, Some((&f, &v))));
    timed("section laid out", || layout(&m, &Ask { width: 1500.0, height: 920.0, ..Ask::default() }));
}

fn frames(job: &Job) -> (f64, f64, f64) {
    let folder = std::env::temp_dir().join(format!("roomback-frame-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    std::fs::write(folder.join("job.ron"), roomback::jobfile::write(job)).expect("written");
    let own = Folders {
        settings: Some(folder.join("settings.ron")),
        unsaved: Some(folder.join("unsaved")),
        home: Some(folder.clone()),
    };
    let (files, session) = Files::start(own, Some(folder.join("job.ron")));
    let mut window = Window::new(files, session, Worker::inline(500));
    let ctx = Context::default();
    let size = vec2(1920.0, 1080.0);
    let frame = |window: &mut Window, n: usize, events: Vec<Event>| {
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, size)),
            time: Some(n as f64 / 60.0),
            events,
            ..RawInput::default()
        };
        let t = Instant::now();
        let mut out = ctx.run_ui(input, |ui| {
            window.logic(ui.ctx());
            window.ui(ui);
        });
        let shapes = std::mem::take(&mut out.shapes);
        let ppp = out.pixels_per_point;
        let cut = ctx.tessellate(shapes, ppp);
        let took = t.elapsed().as_secs_f64() * 1e3;
        out.textures_delta.clear();
        drop(Arc::new(cut));
        took
    };
    let mut n = 0;
    while !window.at_rest() && n < 400 {
        frame(&mut window, n, Vec::new());
        n += 1;
    }
    assert!(window.at_rest(), "the window does not come to rest");
    let mut all = Vec::new();
    let mut scrolled = Vec::new();
    for k in 0..FRAMES {
        n += 1;
        let moved = Event::PointerMoved(Pos2::new(400.0 + k as f32, 400.0));
        let wheel = Event::MouseWheel {
            unit: egui::MouseWheelUnit::Point,
            source: egui::MouseWheelSource::Wheel,
            delta: Vec2::new(0.0, if k % 4 < 2 { -40.0 } else { 40.0 }),
            phase: egui::TouchPhase::Move,
            modifiers: egui::Modifiers::NONE,
        };
        if k % 2 == 0 {
            scrolled.push(frame(&mut window, n, vec![moved, wheel]));
        } else {
            all.push(frame(&mut window, n, vec![moved]));
        }
    }
    let _ = std::fs::remove_dir_all(&folder);
    let still = read(all);
    (still.0, still.1, read(scrolled).1)
}

fn main() {
    for rooms in ROOMS {
        let job = job(rooms);
        let steps = desk::judge(&job).expect("sound").graph.steps.len();
        println!("{rooms} rooms, {steps} steps");
        parts(&job);
        let (half, worst, scrolled) = frames(&job);
        println!("  frame {half:.2} ms half way, {worst:.2} ms p95; scrolled {scrolled:.2} ms p95");
    }
}
