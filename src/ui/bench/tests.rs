//! The bench driven by the names of its fields: typed, committed, and looked for in the job.

mod panels;
mod walk;

use std::sync::{Arc, LazyLock};

use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use super::{BenchState, field, measure_side, order_side};
use crate::desk;
use crate::job::Job;
use crate::measure::Length;
use crate::ui::action::Action;
use crate::ui::session::Session;
use crate::ui::shelf::Shelf;
use crate::ui::shown::{Besides, Shown};
use crate::ui::worker::{Told, Worker};
use crate::ui::{Scene, theme};

/// A session with its answer, as the window holds them.
pub struct Desk {
    pub session: Session,
    pub shown: Shown,
    pub state: BenchState,
    pub selected: Option<String>,
    pub shelf: Shelf,
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
        Desk {
            session,
            shown,
            state: BenchState::default(),
            selected: None,
            shelf: Shelf::default(),
            asked: Vec::new(),
        }
    }

    fn job(&self) -> &Job {
        self.session.job()
    }
}

fn ui(ui: &mut egui::Ui, desk: &mut Desk) {
    let mut out = Vec::new();
    let job = desk.session.job().clone();
    let problems = desk::judge(&job).err().unwrap_or_default();
    let against = crate::views::against(&job, &problems);
    let scene = Scene {
        job: &job,
        revision: desk.session.revision(),
        shown: Some(&desk.shown),
        answer: None,
        question: None,
        besides: &Besides::default(),
        problems: &problems,
        against: &against,
        selected: desk.selected.as_deref(),
        shelf: &desk.shelf.clone(),
        today: job.start,
        writing: false,
    };
    order_side(ui, &scene, &mut desk.state, &mut out);
    measure_side(ui, &scene, &mut desk.state, 0, &mut out);
    // A zone asked for has the keyboard for some frames, as in the column.
    let going = desk.state.going.take();
    desk.state.going = going.and_then(|(zone, n)| (n > 1).then_some((zone, n - 1)));
    if going.is_some() {
        if desk.state.going.is_none() {
            super::near::wanted_no_more(ui);
        }
        ui.ctx().request_repaint();
    }
    for a in out {
        match a {
            Action::Edit(edits) => desk.session.edit(&edits),
            Action::Select(id) => desk.selected = id,
            Action::Book(change) => desk.shelf.change(&change),
            // As the window does it.
            Action::AddOwn(k) => {
                let (_, kind, make) = super::own::ADD[k];
                let edit = make(desk.session.job());
                desk.state.fresh_entry = Some((kind, kind.many(desk.session.job())));
                desk.session.edit(&[edit]);
            }
            other => desk.asked.push(other),
        }
    }
}

fn wide(desk: Desk, width: f32) -> Harness<'static, Desk> {
    Harness::builder()
        .with_size([width, 6000.0])
        .with_context_setup(|ctx| theme::apply(ctx, false, 1.0))
        .with_max_steps(20)
        .build_ui_state(ui, desk)
}

fn bench(desk: Desk) -> Harness<'static, Desk> {
    let mut h = wide(desk, 330.0);
    h.run();
    h
}

/// The bench with the room unfolded.
fn room() -> Harness<'static, Desk> {
    let mut h = bench(Desk::study());
    press(&mut h, "Study");
    h
}

/// The bench with a step selected.
fn step(id: &str) -> Harness<'static, Desk> {
    let mut desk = Desk::study();
    desk.selected = Some(id.into());
    bench(desk)
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
    match text {
        "" => h.key_press(egui::Key::Delete),
        text => h.get_by_role_and_label(Role::TextInput, name).type_text(text),
    }
    h.run();
}

fn press(h: &mut Harness<'static, Desk>, name: &str) {
    h.get_by_label(name).click();
    h.run();
}

#[test]
fn a_measure_is_committed_with_enter_as_one_undo_entry() {
    let mut h = room();
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
    let mut h = room();
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
    let mut h = room();
    typed(&mut h, "height, Study", "250 cm");
    let reads = h.get_by_label("reads as 8' 2-7/16\"").rect();
    // It covers nothing that is written next.
    let field = h.get_by_label("height, Study").rect();
    assert!(reads.bottom() <= field.bottom() + 1.0, "{reads:?} over what is below {field:?}");
    // A unit alone says nothing.
    assert!(!field::tells_more("52 F", "52") && field::tells_more("15 Mar 2027", "15 Mar"));
}

#[test]
fn leaving_a_field_commits_it() {
    let mut h = room();
    typed(&mut h, "holes, Study", "9");
    h.key_press(egui::Key::Tab);
    h.run();
    assert_eq!(h.state().job().rooms[0].holes, 9);
}

#[test]
fn openings_boxes_and_walls_are_changed_added_and_taken_out() {
    let mut h = room();
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
    press(&mut h, "Walls: 4, as its line says");
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
    let mut h = room();
    press(&mut h, "panels: panel wall built in the shop, hung with adhesive");
    press(&mut h, "Choose another, panels of Study");
    let line = h.get_by_label_contains("flat panel wall built in place: ").accesskit_node().label().unwrap();
    assert!(line.contains(" h, dry in "), "{line}");
    assert!(h.query_by_value("rip panel stock").is_none());
    press(&mut h, &line);
    assert!(h.query_by_label_contains("build panels in place, ").is_some());
    press(&mut h, "Use flat panel wall built in place, panels of Study");
    // The panel stock was ordered for a step that goes: told first.
    assert_eq!(h.state().job().rooms[0].surfaces[7].recipe, "panels-shop-built");
    assert!(h.query_by_label_contains("no longer comes before study/panels/rip").is_some());
    press(&mut h, "Do it, recipe, panels of Study");
    assert_eq!(h.state().job().rooms[0].surfaces[7].recipe, "panels-in-place");
    fill(&mut h, "height, panels of Study", "42");
    assert_eq!(h.state().job().rooms[0].surfaces[7].height, Some(Length::from_inches(42.0)));
    press(&mut h, "Take this surface out, panels of Study");
    assert_eq!(h.state().job().rooms[0].surfaces.len(), 11);
    press(&mut h, "Add a surface, Study");
    // The room has no panels any more: they are what is asked for first.
    let line = h.get_by_label_contains("flat panel wall built in place: ").accesskit_node().label().unwrap();
    press(&mut h, &line);
    press(&mut h, "Use flat panel wall built in place, Study");
    assert_eq!(h.state().job().rooms[0].surfaces[11].id, "panels");
    assert!(h.state().session.undo_words().is_some());
}

#[test]
fn a_method_is_fixed_and_left_open_again() {
    let mut h = room();
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
    press(&mut h, "Take this room out, Room 2");
    assert_eq!(h.state().job().rooms.len(), 1);
}

#[test]
fn nothing_reaches_past_a_narrow_bench() {
    for width in [320.0, 330.0, 480.0] {
        let mut desk = Desk::study();
        desk.state.choosing = Some((0, 4));
        desk.selected = Some("study/walls/skim-2".into());
        let mut h = wide(desk, width);
        h.run();
        for head in [
            "Study",
            "Doors and windows",
            "walls: old walls to a level-five look: wash, bond, patch, full skim, prime, two coats",
        ] {
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

#[test]
fn a_rate_is_the_jobs_own_once_changed_and_the_starter_row_comes_back() {
    let mut h = step("study/walls/skim-2");
    fill(&mut h, "rate typical, second full skim coat", "0.016");
    let own = h.state().job().rates.iter().find(|r| r.id == "skim").unwrap();
    assert_eq!((own.low, own.typ, own.high, own.tag), (0.008, 0.016, 0.025, crate::trade::Tag::Own));
    press(&mut h, "rate: back to the starter row, second full skim coat");
    assert!(!h.state().job().rates.iter().any(|r| r.id == "skim"));
    // The table's row stands in for it.
    let sound = desk::judge(h.state().job()).unwrap();
    assert!(sound.graph.steps.iter().any(|s| s.terms.iter().any(|t| t.rate == "skim" && t.per_unit.1 == 0.014)));
}

#[test]
fn low_typical_and_high_must_rise() {
    let mut h = step("study/walls/skim-2");
    let before = h.state().job().clone();
    fill(&mut h, "rate low, second full skim coat", "0.5");
    assert_eq!(*h.state().job(), before);
    assert!(h.query_by_label_contains("must rise").is_some());
}

#[test]
fn hours_product_and_set_up_of_one_step_are_changed_and_it_is_left_out() {
    let mut h = step("study/walls/skim-2");
    fill(&mut h, "hours high, second full skim coat", "20");
    let change = |h: &Harness<'static, Desk>| h.state().job().rooms[0].surfaces[4].changes.clone();
    assert_eq!(change(&h)[0].hours.unwrap().2, 20.0);
    press(&mut h, "By quantity and rate, second full skim coat");
    assert!(change(&h).is_empty());
    press(&mut h, "The hours given by hand, second full skim coat");
    assert_eq!(change(&h)[0].hours.unwrap().2, 20.0);
    press(&mut h, "By quantity and rate, second full skim coat");
    assert!(change(&h).is_empty());
    press(&mut h, "product, second full skim coat: as in the recipe");
    press(&mut h, "setting compound, grade 90");
    assert_eq!(change(&h)[0].product.as_deref(), Some("setting-90"));
    fill(&mut h, "set-up minutes, second full skim coat", "15");
    let id = h.state().job().rooms[0].surfaces[4].recipe.clone();
    let recipe = crate::views::choices::recipe(h.state().job(), &id).unwrap();
    assert_eq!(recipe.steps.iter().find(|r| r.id == "skim-2").unwrap().setup_min, 15);
    press(&mut h, "Leave this step out, second full skim coat");
    assert!(change(&h)[0].skip);
    press(&mut h, "Study");
    press(&mut h, "walls: old walls to a level-five look: wash, bond, patch, full skim, prime, two coats");
    press(&mut h, "second full skim coat: as in the recipe, walls of Study");
    assert!(change(&h).is_empty());
}

#[test]
fn drying_hours_are_the_jobs_own_once_changed() {
    let mut h = step("study/walls/skim-2");
    let name = "hours until ready for sanding, drying-type joint compound, 1/16 in";
    fill(&mut h, name, "20");
    let own = h.state().job().products.iter().find(|p| p.id == "compound").unwrap();
    assert_eq!(own.hours.sand, Some(20.0));
    press(&mut h, "product: back to the starter row, drying-type joint compound, 1/16 in");
    assert!(!h.state().job().products.iter().any(|p| p.id == "compound"));
}

#[test]
fn a_figure_says_why_when_it_is_clicked() {
    let mut h = step("study/walls/skim-2");
    assert!(h.query_by_label_contains("of ten jobs one is quicker").is_none());
    press(&mut h, "rate: 0.014 h a SF (0.008 to 0.025)");
    assert!(h.query_by_label_contains("of ten jobs one is quicker than 0.008 h a SF").is_some());
    press(&mut h, "rate: 0.014 h a SF (0.008 to 0.025)");
    assert!(h.query_by_label_contains("of ten jobs one is quicker").is_none());
    // By keys: Enter on it opens, Escape closes, and the focus stays where it was.
    h.get_by_label("rate: 0.014 h a SF (0.008 to 0.025)").focus();
    h.run();
    h.key_press(egui::Key::Enter);
    h.run();
    assert!(h.query_by_label_contains("of ten jobs one is quicker").is_some());
    h.key_press(egui::Key::Escape);
    h.run();
    assert!(h.query_by_label_contains("of ten jobs one is quicker").is_none());
    assert!(h.get_by_label("rate: 0.014 h a SF (0.008 to 0.025)").is_focused());
}

#[test]
fn deliveries_and_decisions_are_changed_where_they_are_told() {
    let mut h = step("crown-stock");
    fill(&mut h, "business days, primed crown and base, 16 ft", "12");
    fill(&mut h, "chance of being late, primed crown and base, 16 ft", "30 %");
    let d = &h.state().job().deliveries[0];
    assert_eq!((d.lead_days, d.late), (12.0, Some((0.3, 3.0))));
    let mut h = step("colour");
    fill(&mut h, "settled by, trim colour chosen", "2027-03-19");
    assert_eq!(h.state().job().decisions[0].by.to_string(), "2027-03-19");
    fill(&mut h, "settled by, trim colour chosen", "3/19/2027");
    assert!(h.query_by_label_contains("write the day like 2027-03-01").is_some());
}

#[test]
fn unlisted_work_is_changed_in_per_cent_of_the_hours() {
    let mut h = step("study/room/unlisted");
    fill(&mut h, "share high, allowance for unlisted work", "25");
    assert_eq!(h.state().job().risks.unlisted_share, (0.03, 0.08, 0.25));
}

#[test]
fn the_causes_read_as_in_the_text_and_a_step_of_the_list_is_selected() {
    let mut h = bench(Desk::study());
    let (_, shown) = answer();
    let text = crate::views::forecast_text(&shown.sound, &shown.forecast, &shown.odds);
    let rows = crate::views::eating::cause_rows(&shown.forecast);
    assert!(rows.len() > 8);
    for r in &rows {
        assert!(text.contains(&format!("  {:<36} {:>18}\n", r.words, r.days.value)), "{r:?}");
        assert!(h.query_by_label(&format!("{}: {}", r.words, r.days.value)).is_some(), "{r:?}");
    }
    let first = &crate::views::eating::on_date_rows(&shown.sound, &shown.odds, 500)[0];
    press(&mut h, "Steps that hold the date most often");
    press(&mut h, &format!("{}, {}", first.name, first.id));
    assert_eq!(h.state().selected.as_deref(), Some(first.id.as_str()));
    assert!(h.query_by_label_contains("can wait: ").is_some());
}

#[test]
fn cautions_name_the_body_whose_rule_it_is() {
    let h = bench(Desk::study());
    assert!(h.query_by_label_contains("OSHA 29 CFR 1926.1153").is_some());
    assert!(h.query_by_label_contains("local code and licensed practice win").is_some());
}
