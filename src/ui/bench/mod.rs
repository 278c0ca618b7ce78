//! The column beside the two benches: what was measured and chosen, who works when and where,
//! and the figures of the selected step; everything changeable in place.
//!
//! Each panel reads the scene and collects actions. A committed field is one edit, so one
//! entry of undo; a slider asks while it is dragged and is an edit when let go.

mod air;
mod asks;
mod buying;
mod calendar;
pub mod choose;
mod crew;
mod eating;
pub mod field;
pub mod fold;
mod house;
mod entries;
mod inspector;
mod job;
mod mybook;
pub mod near;
mod offers;
mod openings;
pub mod own;
pub mod picker;
mod places;
mod price;
pub mod radio;
pub mod rooms;
mod surfaces;
mod walkround;
#[cfg(test)]
mod tests;

use std::sync::Arc;

use egui::{Frame, Label, Margin, RichText, ScrollArea, Ui};

use super::action::Action;
use super::theme::{Theme, size};
use super::{Scene, explain};
use crate::job::{Edit, Job, Part};
use crate::store::settings::Bench;
use crate::views::Figure;
use crate::views::entries::knock_on;
use crate::views::inspect::Inspected;
use crate::views::recipes::{self, Offer};
use crate::views::said::Near;

/// A zone of the bench that can be asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zone {
    Rooms,
    Step,
    Crew,
    Places,
    Calendar,
    WalkRound,
    Own,
    WhatIf,
    Starts,
    Options,
    Job,
    Air,
    Eating,
    Often,
    House,
    Risks,
    Cautions,
    Book,
    Price,
    Buying,
}

/// A surface of a room to go to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spot {
    /// One to be added.
    New,
    /// All of the room in one choice.
    Whole,
    /// By its place in the room's list.
    Of(usize),
}

impl Zone {
    /// The bench beside which it stands.
    pub fn bench(self) -> Bench {
        match self {
            Zone::Rooms | Zone::WalkRound | Zone::Own | Zone::House | Zone::Book => Bench::Measure,
            _ => Bench::Order,
        }
    }

    /// Whether it has anything to show now.
    pub fn there(self, scene: &Scene) -> bool {
        match self {
            Zone::Book => mybook::there(scene),
            Zone::Price | Zone::Buying => scene.job.study.is_none(),
            Zone::Air | Zone::Eating | Zone::Often => scene.shown.is_some(),
            Zone::Cautions => scene.shown.is_some_and(|s| !crate::views::cautions(&s.sound).is_empty()),
            _ => true,
        }
    }
}

/// What stands under a heading and can be found by its words: the words, the zone, the heading, and the field that
/// takes the keyboard, if one does.
pub const FOUND: [(&str, Zone, &str, &str); 35] = [
    ("Rooms, surfaces and recipes", Zone::Rooms, "Rooms", ""),
    ("Openings and boxes of a room", Zone::Rooms, "Rooms", ""),
    ("The house", Zone::House, "The house", ""),
    ("Year the house was built", Zone::House, "The house", "built in, the house"),
    ("Lead work practices", Zone::House, "The house", "lead, the house"),
    ("Stairs, ladder, longest stock", Zone::House, "The house", "stairs or ladder, the house"),
    ("Your book of recipes and rates", Zone::Book, "Your book", ""),
    ("The job", Zone::Job, "The job", ""),
    ("Name of the job", Zone::Job, "The job", "name, the job"),
    ("Client", Zone::Job, "The job", "client, the job"),
    ("First day", Zone::Job, "The job", "first day, the job"),
    ("Day asked for or promised", Zone::Job, "The job", "asked for, the job"),
    ("How safe a promise must be", Zone::Job, "The job", "how safe a promise must be"),
    ("Lengths in metres, metric", Zone::Job, "The job", "lengths in, the job"),
    ("Lengths in feet and inches, imperial", Zone::Job, "The job", "lengths in, the job"),
    ("Overhead, profit, contingency", Zone::Price, "Price", "overhead, price"),
    ("Tax", Zone::Price, "Price", "tax, price"),
    ("Rounding of the price", Zone::Price, "Price", "rounding, price"),
    ("Payments, quotes kept", Zone::Price, "Price", ""),
    ("Head of the papers, letterhead", Zone::Price, "Price", "number of the quote, head of the papers"),
    ("Chance of losing money", Zone::Price, "Price", ""),
    ("What is in the price and what is not", Zone::Price, "Price", "another, inclusion"),
    ("Sticks, sheets, cans: what to order when", Zone::Buying, "Buying list", ""),
    ("Air", Zone::Air, "Air", ""),
    ("What dries tonight", Zone::Air, "Air", ""),
    ("What is eating the date", Zone::Eating, "What is eating the date", ""),
    ("Steps that hold the date most often", Zone::Often, "Steps that hold the date most often", ""),
    ("What may go wrong", Zone::Risks, "What may go wrong", ""),
    ("Before you begin: cautions", Zone::Cautions, "Before you begin", ""),
    ("People, cost an hour, pace, skills, helper", Zone::Crew, "Crew", ""),
    ("Temperature and dew point of a place", Zone::Places, "Places and their air", ""),
    ("Heat, heater, fan, racks", Zone::Places, "Places and their air", ""),
    ("Hours of the day, lunch", Zone::Calendar, "Working week and days off", ""),
    ("Holidays, days the house is closed", Zone::Calendar, "Working week and days off", ""),
    ("Noise only in some hours", Zone::Calendar, "Working week and days off", ""),
];

/// Frames until what is unfolded stands where it will.
const GOING: u8 = 3;

/// What the bench remembers between two drawings.
#[derive(Clone, Debug, Default)]
pub struct BenchState {
    /// A zone to unfold and scroll to when it is drawn next.
    pub reveal: Option<Zone>,
    /// The zone being gone to, and for how many frames more.
    going: Option<(Zone, u8)>,
    /// An entry of one's own just added, by its kind and place.
    pub fresh_entry: Option<(own::Kind, usize)>,
    /// Somebody of the crew just added, whose name takes the keyboard.
    fresh: Option<usize>,
    /// What had the keyboard when the column was last drawn, and what could have it.
    focus: Option<egui::Id>,
    stops: near::Stops,
    /// The step selected when the bench was last drawn.
    selected: Option<String>,
    /// The room chosen on the measure sheet when the column was last drawn.
    room: Option<usize>,
    /// Room and surface whose recipe is being chosen.
    choosing: Option<(usize, usize)>,
    /// Room and surface gone to, while it is gone to; no surface for one to be added.
    surface: Option<(usize, Spot)>,
    /// The field of the selected step that is to have the keyboard; the first one where it is empty.
    step_field: Option<&'static str>,
    /// Room and surface whose recipe was just chosen, and for how many frames more its line is brought into view.
    taken: Option<(usize, usize, u8)>,
    enter_step: bool,
    /// Room and part of a surface being added.
    adding: Option<(usize, Part)>,
    /// The line of a list of recipes whose steps are shown.
    looked: Option<String>,
    /// Surface whose steps are being named as a recipe.
    naming: Option<(usize, usize)>,
    /// A change that takes something along, told and not yet made.
    taking: Option<Taking>,
    /// Recipes and sets last tried, with what they were tried for.
    tried: Vec<(Tried, Arc<Vec<Offer>>)>,
    /// Where the slider of the confidence is while it is dragged.
    confidence: Option<f64>,
    /// Escape was pressed: the rest of the drag does nothing.
    confidence_dropped: bool,
    /// The zone of start days is open.
    pub starts_shown: bool,
    asks: asks::AsksState,
    /// The step last read, with the answer and the job it was read from.
    read: Option<(u64, u64, usize, String, Arc<Inspected>)>,
    air: air::AirState,
    eating: eating::EatingState,
}

/// What a list of recipes was tried for: revisions of job and book, room, surface and part; no
/// surface for the sets of the whole room.
type Tried = (u64, u64, usize, Option<(usize, Part)>);

/// Changes that take more along than they say.
#[derive(Clone, Debug)]
struct Taking {
    /// The button they were asked by.
    key: String,
    revision: u64,
    edits: Vec<Edit>,
    /// What else changes.
    words: Vec<String>,
}

impl BenchState {
    /// The recipes for a surface, or the sets for a room, tried once for each job and book.
    fn offers(&mut self, scene: &Scene, room: usize, of: Option<(usize, Part)>) -> Arc<Vec<Offer>> {
        let (job, book) = (scene.revision, scene.shelf.revision());
        self.tried.retain(|t| (t.0.0, t.0.1) == (job, book));
        let key = (job, book, room, of);
        if let Some(t) = self.tried.iter().find(|t| t.0 == key) {
            return t.1.clone();
        }
        let list = Arc::new(match of {
            Some((surface, part)) => recipes::offers(scene.job, scene.shelf.book(), room, surface, part),
            None => recipes::room_sets(scene.job, room),
        });
        self.tried.push((key, list.clone()));
        list
    }

    /// Unfolds a room, by its place, with its surfaces and one of them, or a surface to be added there, or the recipes
    /// of the whole room. Gives the name of the field to begin at, if it is known before it is drawn.
    pub fn go_to_surface(&mut self, job: &Job, room: usize, surface: Spot) -> Option<String> {
        let r = job.rooms.get(room)?;
        self.surface = Some((room, surface));
        self.looked = None;
        match surface {
            Spot::New => {
                self.adding = Some((room, surfaces::first_bare(r)));
                Some(surfaces::part_field(r, None))
            }
            Spot::Whole => {
                self.adding = None;
                None
            }
            Spot::Of(k) => {
                self.adding = None;
                r.surfaces.get(k).map(|s| surfaces::part_field(r, Some(s)))
            }
        }
    }

    /// The field of this name of the selected step takes the keyboard; its first one where the name is empty.
    pub fn go_to_field(&mut self, field: &'static str) {
        self.step_field = Some(field);
    }

    /// Makes changes, unless they take something along: that is told first, at the button of
    /// this name (see [`told_first`]).
    fn make(&mut self, scene: &Scene, key: &str, edits: Vec<Edit>, out: &mut Vec<Action>) {
        let (more, words) = knock_on(scene.job, &edits);
        let edits: Vec<Edit> = edits.into_iter().chain(more).collect();
        if words.is_empty() {
            self.taking = None;
            out.push(Action::Edit(edits));
        } else {
            self.taking = Some(Taking { key: key.to_string(), revision: scene.revision, edits, words });
        }
    }

    /// Whether this zone was asked for. It stays so for some frames: what it unfolds is only known after the first.
    fn asked(&mut self, zone: Zone) -> bool {
        if self.reveal.take_if(|z| *z == zone).is_some() {
            self.going = Some((zone, GOING));
        }
        self.going.is_some_and(|g| g.0 == zone)
    }
}

/// The column at the right: what belongs to the bench in hand, scrolled as one. `both` where
/// the two benches stand side by side: then the other is one line, to be opened by a click.
pub fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, hand: Hand, out: &mut Vec<Action>) {
    let salt = if hand.bench == Bench::Measure { "measure side" } else { "bench" };
    let mut area = ScrollArea::vertical().id_salt(salt).auto_shrink([false, false]);
    if state.selected.as_deref() != scene.selected {
        state.selected = scene.selected.map(str::to_string);
        area = area.vertical_scroll_offset(0.0);
    }
    near::days_near(ui, Near { day: scene.job.start, units: scene.job.units });
    area.show(ui, |ui| {
        let pad =
            Margin { left: size::PAD as i8, right: size::PAD as i8, top: size::GAP as i8, bottom: size::PAD as i8 };
        Frame::NONE.inner_margin(pad).show(ui, |ui| {
            ui.set_max_width(ui.available_width());
            ui.set_min_width(ui.available_width());
            let measure = hand.bench == Bench::Measure;
            state.starts_shown = false;
            if hand.both && fold::head_of(ui, "Rooms, surfaces, house", measure) {
                out.push(Action::Room(hand.room));
            }
            if measure {
                field::asking(ui, scene.question, out, |ui, out| measure_side(ui, scene, state, hand.room, out));
            }
            if hand.both && fold::head_of(ui, "Steps, crew, days", !measure) {
                out.push(Action::Select(scene.selected.map(str::to_string)));
            }
            if !measure {
                field::asking(ui, scene.question, out, |ui, out| order_side(ui, scene, state, out));
            }
            // What had nothing to show is not opened later, unasked.
            state.reveal = None;
            match state.going.take() {
                Some((zone, frames)) => {
                    if frames > 1 {
                        state.going = Some((zone, frames - 1));
                    } else {
                        near::wanted_no_more(ui);
                        state.surface = None;
                    }
                    ui.ctx().request_repaint();
                    state.focus = ui.memory(|m| m.focused());
                    state.stops = ui.data_mut(|d| d.remove_temp(near::stops_id())).unwrap_or_default();
                }
                None => follow_keyboard(ui, state),
            }
        });
    });
}

/// Scrolls to what the keyboard has just come to; from what has gone it goes on to what stands there now.
fn follow_keyboard(ui: &mut Ui, state: &mut BenchState) {
    let stops = ui.data_mut(|d| d.remove_temp::<near::Stops>(near::stops_id())).unwrap_or_default();
    let before = std::mem::replace(&mut state.stops, stops);
    let mut now = ui.memory(|m| m.focused());
    if let Some(at) = before.iter().find(|s| Some(s.0) == now && !state.stops.iter().any(|t| t.0 == s.0))
        && let Some(id) = near::instead(&state.stops, at.1)
    {
        ui.memory_mut(|m| m.request_focus(id));
        ui.ctx().request_repaint();
        now = Some(id);
    }
    if std::mem::replace(&mut state.focus, now) == now {
        return;
    }
    // What was clicked is in view, and must not move under the mouse.
    if ui.input(|i| i.pointer.any_down() || i.pointer.any_released()) {
        return;
    }
    let Some(response) = now.and_then(|id| ui.ctx().read_response(id)) else { return };
    let column = ui.max_rect().x_range();
    if response.layer_id == ui.layer_id() && column.contains(response.rect.center().x) {
        ui.scroll_to_rect(response.rect.expand(size::GAP), None);
    }
}

/// What the column is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hand {
    /// The bench in hand; the one last touched where both are shown.
    pub bench: Bench,
    pub both: bool,
    /// The room of the measure sheet that is chosen, by its place in the job.
    pub room: usize,
}

/// Beside the measure sheet: the walk-round, rooms with their surfaces and openings, entries of
/// one's own, the book, the house.
pub fn measure_side(ui: &mut Ui, scene: &Scene, state: &mut BenchState, room: usize, out: &mut Vec<Action>) {
    // A room just chosen or measured shows itself; the one at the start stays as it is.
    let chosen = state.room.replace(room).is_some_and(|before| before != room).then_some(room);
    walkround::show(ui, scene, state, out);
    rooms::show(ui, scene, state, chosen, out);
    own::show(ui, scene, state, out);
    mybook::show(ui, scene, state, out);
    house::show(ui, scene, state, out);
}

/// Beside the room section: the selected step, what eats the date, the job, crew, places, week, risks, cautions.
pub fn order_side(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    // Who has just chosen a step wants to see it; what eats the date is below then.
    if scene.selected.is_some() {
        inspector::show(ui, scene, state, out);
    }
    eating::show(ui, scene, state);
    eating::often(ui, scene, state, out);
    air::show(ui, scene, state, out);
    asks::offer(ui, scene, out);
    asks::what_if(ui, scene, state, out);
    asks::starts(ui, scene, state, out);
    asks::options(ui, scene, state, out);
    price::show(ui, scene, state, out);
    buying::show(ui, scene, state);
    job::show(ui, scene, state, out);
    crew::show(ui, scene, state, out);
    places::show(ui, scene, state, out);
    calendar::show(ui, scene, state, out);
    house::risks(ui, scene, state, out);
    eating::cautions(ui, scene, state);
}

/// A figure that says where it comes from when it is clicked. `what` is its caption.
fn figure(ui: &mut Ui, what: &str, figure: &Figure) {
    field::row(ui, "", what, |f| {
        explain::told(f.ui, what, figure);
    });
}

/// What a change asked for at the button of this name takes along, to be made or left.
fn told_first(ui: &mut Ui, scene: &Scene, state: &mut BenchState, key: &str, out: &mut Vec<Action>) {
    let Some(t) = state.taking.clone().filter(|t| t.key == key && t.revision == scene.revision) else { return };
    let theme = Theme::of(ui.ctx());
    field::row(ui, key, "then", |f| {
        for w in &t.words {
            f.ui.add(Label::new(RichText::new(w).color(theme.ink).size(size::SMALL)).wrap());
            f.ui.end_row();
        }
        if f.button("Do it") {
            out.push(Action::Edit(t.edits.clone()));
            state.taking = None;
        }
        if f.button("Leave it as it is") {
            state.taking = None;
        }
    });
}

/// A button that takes something out; what else changes with it is told first.
fn take_out(
    ui: &mut Ui,
    scene: &Scene,
    state: &mut BenchState,
    of: &str,
    words: &str,
    change: Edit,
    out: &mut Vec<Action>,
) {
    let key = format!("{words}, {of}");
    field::row(ui, of, "", |f| {
        if f.button(words) {
            state.make(scene, &key, vec![change], out);
        }
    });
    told_first(ui, scene, state, &key, out);
}

/// One change, one undo entry.
fn edit(out: &mut Vec<Action>, edit: Edit) {
    out.push(Action::Edit(vec![edit]));
}

/// A record with a change made to it.
fn changed<T: Clone>(of: &T, change: impl FnOnce(&mut T)) -> T {
    let mut new = of.clone();
    change(&mut new);
    new
}

/// What stands against a plan at or below a path of the job.
fn problems(ui: &mut Ui, scene: &Scene, path: &str) {
    let error = Theme::of(ui.ctx()).error;
    let within = |p: &str| p.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']));
    for l in scene.against.lines.iter().filter(|l| l.paths.iter().any(|p| within(p))) {
        ui.add(Label::new(RichText::new(&l.words).color(error).size(size::SMALL)).wrap());
    }
}
