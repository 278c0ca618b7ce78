//! The bench driven by the names of its fields: typed, committed, and looked for in the job.

use std::sync::{Arc, LazyLock};

use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use super::{BenchState, show};
use crate::desk;
use crate::job::Job;
use crate::measure::Length;
use crate::ui::action::Action;
use crate::ui::session::Session;
use crate::ui::shown::Shown;
use crate::ui::worker::{Told, Worker};
use crate::ui::{Scene, theme};

/// A session with its answer, as the window holds them.
pub struct Desk {
    pub session: Session,
    pub shown: Shown,
    pub state: BenchState,
    pub selected: Option<String>,
    /// Everything asked for that is no edit.
    pub asked: Vec<Action>,
}

const STUDY: &str = include_str!("../../../sample-jobs/study.ron");

/// The study's answer at rest, worked out once.
fn answer() -> &'static (Job, Shown) {
    static ANSWER: LazyLock<(Job, Shown)> = LazyLock::new(|| {
        let job = desk::open(STUDY).unwrap().read.job;
        let mut worker = Worker::inline(500);
        worker.job(1, Arc::new(job.clone()));
        let last = worker.told().into_iter().filter_map(|t| match t {
            Told::Shown(s) => Some((*s).clone()),
            _ => None,
        });
        (job, last.last().expect("an answer"))
    });
    &ANSWER
}

impl Desk {
    fn study() -> Desk {
        let (job, shown) = answer().clone();
        let session = Session::new(job, None, STUDY.into());
        Desk { session, shown, state: BenchState::default(), selected: None, asked: Vec::new() }
    }

    fn job(&self) -> &Job {
        self.session.job()
    }
}

fn ui(ui: &mut egui::Ui, desk: &mut Desk) {
    let mut out = Vec::new();
    let job = desk.session.job().clone();
    let problems = desk::judge(&job).err().unwrap_or_default();
    let scene = Scene {
        job: &job,
        revision: desk.session.revision(),
        shown: Some(&desk.shown),
        answer: None,
        problems: &problems,
        selected: desk.selected.as_deref(),
    };
    show(ui, &scene, &mut desk.state, &mut out);
    for a in out {
        match a {
            Action::Edit(edits) => desk.session.edit(&edits),
            Action::Select(id) => desk.selected = id,
            other => desk.asked.push(other),
        }
    }
}

fn wide(desk: Desk, width: f32) -> Harness<'static, Desk> {
    Harness::builder()
        .with_size([width, 6000.0])
        .with_context_setup(|ctx| theme::apply(ctx, false, 1.0))
        .build_ui_state(ui, desk)
}

fn bench(desk: Desk) -> Harness<'static, Desk> {
    let mut h = wide(desk, 330.0);
    h.run();
    h
}

/// Types into the field of this name and commits with Enter.
fn fill(h: &mut Harness<'static, Desk>, name: &str, text: &str) {
    typed(h, name, text);
    h.key_press(egui::Key::Enter);
    h.run();
}

fn typed(h: &mut Harness<'static, Desk>, name: &str, text: &str) {
    h.get_by_role_and_label(Role::TextInput, name).focus();
    h.run();
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    h.run();
    h.get_by_role_and_label(Role::TextInput, name).type_text(text);
    h.run();
}

fn press(h: &mut Harness<'static, Desk>, name: &str) {
    h.get_by_label(name).click();
    h.run();
}

#[test]
fn a_measure_is_committed_with_enter_as_one_undo_entry() {
    let mut h = bench(Desk::study());
    fill(&mut h, "length, Study", "14'6");
    let size = h.state().job().rooms[0].size.unwrap();
    assert_eq!(size.length, Length::from_inches(174.0));
    assert_eq!(h.state().session.undo_words(), Some("Study"));
    h.state_mut().session.undo();
    h.run();
    assert_eq!(h.state().job().rooms[0].size.unwrap().length, Length::from_feet(13.0));
    assert_eq!(h.state().session.undo_words(), None);
    // The field shows the job again.
    let field = h.get_by_role_and_label(Role::TextInput, "length, Study");
    assert_eq!(field.value().as_deref(), Some("13'"));
}

#[test]
fn escape_restores_and_nonsense_is_said_and_not_applied() {
    let mut h = bench(Desk::study());
    let before = h.state().job().clone();
    typed(&mut h, "width, Study", "20'");
    h.key_press(egui::Key::Escape);
    h.run();
    assert_eq!(*h.state().job(), before);
    fill(&mut h, "width, Study", "eleven");
    assert_eq!(*h.state().job(), before);
    assert!(h.query_by_label_contains("write it like 11'6").is_some(), "the remedy stands below the field");
    fill(&mut h, "width, Study", "12");
    assert_eq!(h.state().job().rooms[0].size.unwrap().width, Length::from_feet(12.0));
    assert!(h.query_by_label_contains("write it like").is_none());
}

#[test]
fn what_is_typed_is_echoed_as_it_is_read() {
    let mut h = bench(Desk::study());
    typed(&mut h, "height, Study", "250 cm");
    assert!(h.query_by_label("reads as 8' 2-7/16\"").is_some());
}

#[test]
fn leaving_a_field_commits_it() {
    let mut h = bench(Desk::study());
    typed(&mut h, "holes, Study", "9");
    h.key_press(egui::Key::Tab);
    h.run();
    assert_eq!(h.state().job().rooms[0].holes, 9);
}

#[test]
fn openings_boxes_and_walls_are_changed_added_and_taken_out() {
    let mut h = bench(Desk::study());
    press(&mut h, "Doors and windows");
    fill(&mut h, "width, door 1 of Study", "36");
    assert_eq!(h.state().job().rooms[0].openings[0].width, Length::from_inches(36.0));
    fill(&mut h, "sill, window 1 of Study", "30");
    assert_eq!(h.state().job().rooms[0].openings[1].sill, Some(Length::from_inches(30.0)));
    press(&mut h, "Add a window, Study");
    assert_eq!(h.state().job().rooms[0].openings.len(), 3);
    press(&mut h, "Take out, window 2 of Study");
    assert_eq!(h.state().job().rooms[0].openings.len(), 2);
    fill(&mut h, "boxes, entry 1, Study", "0");
    assert_eq!(h.state().job().rooms[0].boxes.len(), 2);
    press(&mut h, "Wall by wall, Study");
    assert_eq!(h.state().job().rooms[0].walls.len(), 4);
    fill(&mut h, "length, wall 2 of Study", "12'");
    assert_eq!(h.state().job().rooms[0].walls[1].length, Length::from_feet(12.0));
    assert!(h.query_by_label("As length, width, height, Study").is_none(), "no rectangle any more");
    fill(&mut h, "length, wall 4 of Study", "12'");
    press(&mut h, "As length, width, height, Study");
    assert_eq!(h.state().job().rooms[0].size.unwrap().width, Length::from_feet(12.0));
    fill(&mut h, "walk-through, Study", "Fri 9:00 to 11:00");
    assert_eq!(h.state().job().rooms[0].walk_through.len(), 1);
}

#[test]
fn a_recipe_shows_its_steps_before_it_is_chosen() {
    let mut h = bench(Desk::study());
    press(&mut h, "panels: panel wall built in the shop, hung with adhesive");
    press(&mut h, "Choose another, panels of Study");
    press(&mut h, "flat panel wall built in place");
    assert!(h.query_by_label_contains("steps: ").is_some());
    press(&mut h, "Use flat panel wall built in place, panels of Study");
    assert_eq!(h.state().job().rooms[0].surfaces[7].recipe, "panels-in-place");
    fill(&mut h, "height, panels of Study", "42");
    assert_eq!(h.state().job().rooms[0].surfaces[7].height, Some(Length::from_inches(42.0)));
    press(&mut h, "Take this surface out, panels of Study");
    assert_eq!(h.state().job().rooms[0].surfaces.len(), 11);
    press(&mut h, "Add a surface, Study");
    assert_eq!(h.state().job().rooms[0].surfaces[11].id, "walls-2");
}

#[test]
fn a_method_is_fixed_and_left_open_again() {
    let mut h = bench(Desk::study());
    press(&mut h, "paint: trim and panels, two coats; doors and sashes");
    press(&mut h, "trim painted by, paint of Study: spray");
    press(&mut h, "whichever is sooner");
    assert!(h.state().job().rooms[0].surfaces[10].methods.is_empty());
}

#[test]
fn a_room_comes_with_its_place_and_goes() {
    let mut h = bench(Desk::study());
    press(&mut h, "Add a room");
    let job = h.state().job();
    assert_eq!((job.rooms.len(), job.places.len()), (2, 4));
    assert_eq!(job.rooms[1].place, job.places[3].id);
    press(&mut h, "Room 2");
    press(&mut h, "Take this room out, Room 2");
    assert_eq!(h.state().job().rooms.len(), 1);
}

#[test]
fn nothing_reaches_past_a_narrow_bench() {
    for width in [320.0, 330.0, 480.0] {
        let mut desk = Desk::study();
        desk.state.choosing = Some((0, 4));
        let mut h = wide(desk, width);
        h.run();
        let heads = ["Doors and windows", "walls: level-five walls: wash, patch, skim, prime"];
        for head in heads.iter().filter(|w| h.query_by_label(w).is_some()).copied().collect::<Vec<_>>() {
            press(&mut h, head);
        }
        let mut seen = 0;
        for node in h.root().children_recursive() {
            let Some(at) = node.accesskit_node().raw_bounds() else { continue };
            let label = node.accesskit_node().label();
            if label.is_some() {
                seen += 1;
                assert!(at.x1 <= f64::from(width) + 0.5, "{label:?} reaches to {}", at.x1);
            }
        }
        assert!(seen > 40, "{seen}");
    }
}
