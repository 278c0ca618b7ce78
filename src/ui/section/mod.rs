//! The room section on the screen: painted from its layout, asked by pointer and keys.
//!
//! One focus stop for the whole chart. The wheel scrolls bands, with Shift time, with Ctrl
//! it zooms at the pointer; bare paper pans; a block dragged sideways asks what it costs to
//! let it wait. Nothing here decides a position or a figure.
//!
//! One file because pointer, keys and wheel act on one chart and share what it remembers.

pub mod paint;
mod rooms;
mod wait;

use std::sync::Arc;

use egui::{Id, Key, Modifiers, Pos2, Rect, Response, Role, Sense, Ui, UiBuilder, Vec2, WidgetInfo, pos2, vec2};

use super::action::Action;
use super::shown::Shown;
use super::theme::{Theme, size};
use super::{Scene, explain};
use crate::job::Edit;
use crate::views::section::{Ask, Kind, Layout, Model, Pos, Target, layout};
use crate::views::{Figure, ForecastView};
use wait::Wait;

/// Height of the line that says the sentence of what is selected.
const SAID: f32 = 26.0;
/// Left around a step brought into view.
const AIR: f32 = 20.0;
/// Narrowest and widest working day that can be zoomed to, pixels.
const ZOOM: (f32, f32) = (4.0, 4_000.0);

/// What the chart remembers between two drawings.
#[derive(Clone, Debug, Default)]
pub struct SectionState {
    /// Pixels a working day; all of the job in view without.
    zoom: Option<f32>,
    scroll: Vec2,
    plain_time: bool,
    whole_chalk: bool,
    unfolded: usize,
    /// The piece of what holds the date that was last walked to or clicked.
    piece: Option<usize>,
    wait: Option<Wait>,
    rooms: rooms::RoomKeys,
    /// The part whose figure is explained, and where on the section.
    explained: Option<(Target, Pos)>,
    /// A press on bare paper moves the sheet.
    panning: bool,
    /// The selected step is brought into view.
    reveal: bool,
    /// A step, by its id, that is asked what waiting costs.
    ask_wait: Option<String>,
    /// The chart is to have the keyboard when it is drawn next.
    keyboard: bool,
    /// The chart was come to by the mouse, and no key was pressed since: it needs no frame.
    pointed: bool,
    /// The pointer was moved since a key was pressed last: only then it asks what lies under it.
    hovering: bool,
    /// The selected step whose room was opened for it.
    followed: Option<String>,
    model: Option<(Arc<Shown>, Arc<Model>)>,
    laid: Option<(Arc<Model>, Ask, Arc<Layout>)>,
}

impl SectionState {
    /// All of the job in view.
    pub fn fit(&mut self) {
        self.zoom = None;
        self.scroll = Vec2::ZERO;
    }

    /// Takes the keyboard when it is drawn next.
    pub fn take_keyboard(&mut self) {
        self.keyboard = true;
    }

    pub fn toggle_plain_time(&mut self) {
        self.plain_time = !self.plain_time;
    }

    pub fn toggle_whole_chalk(&mut self) {
        self.whole_chalk = !self.whole_chalk;
    }

    /// Brings the selected step into view, its room open, when the chart is drawn next.
    pub fn reveal(&mut self) {
        (self.reveal, self.piece) = (true, None);
    }

    /// Asks what it costs to let a step wait for a day, when the chart is drawn next.
    pub fn ask_wait(&mut self, step: String) {
        self.ask_wait = Some(step);
    }

    /// Opens a room.
    pub fn open_room(&mut self, room: usize) {
        self.unfolded = room;
    }

    /// Another job: nothing of the one before is kept but how it is looked at.
    pub fn forget(&mut self) {
        let (plain_time, whole_chalk) = (self.plain_time, self.whole_chalk);
        *self = SectionState { plain_time, whole_chalk, ..SectionState::default() };
    }

    /// Whether plain letters belong to the chart now: they jump among its rooms.
    pub fn takes_letters(&self, ctx: &egui::Context) -> bool {
        self.rooms.take_letters(ctx)
    }

    /// The model of an answer, kept until another comes.
    pub fn model(&mut self, shown: &Shown) -> Arc<Model> {
        let same = |s: &Shown| Arc::ptr_eq(&s.plan, &shown.plan) && Arc::ptr_eq(&s.forecast, &shown.forecast);
        match &self.model {
            Some((s, m)) if same(s) && s.odds == shown.odds && s.days == shown.days => m.clone(),
            _ => {
                // The days of the strip: steadied while few trials are out.
                let days = ForecastView { likely: shown.days.likely, safe: shown.days.safe, ..shown.odds.clone() };
                let odds = Some((&*shown.forecast, &days));
                let m = Arc::new(Model::new(&shown.sound, &shown.found, &shown.plan, odds));
                self.model = Some((Arc::new(shown.clone()), m.clone()));
                m
            }
        }
    }

    fn layout(&mut self, model: &Arc<Model>, ask: Ask) -> Arc<Layout> {
        match &self.laid {
            Some((m, a, l)) if Arc::ptr_eq(m, model) && *a == ask => l.clone(),
            _ => {
                let l = Arc::new(layout(model, &ask));
                self.laid = Some((model.clone(), ask, l.clone()));
                l
            }
        }
    }
}

/// One drawing of the chart.
struct Chart<'a> {
    scene: &'a Scene<'a>,
    shown: &'a Shown,
    model: &'a Model,
    layout: &'a Layout,
    area: Rect,
    selected: Option<usize>,
}

impl Chart<'_> {
    /// A point of the screen on the section.
    fn pos(&self, p: Pos2) -> Pos {
        Pos { x: p.x - self.area.left(), y: p.y - self.area.top() }
    }

    /// What a point means: the nearest mark, or the block whose name stands there.
    fn at(&self, p: Pos2) -> Option<Target> {
        let p = self.pos(p);
        // A name scrolled out of its window is not there.
        let bands = self.layout.zones.bands;
        let label = |l: &&crate::views::section::Label| l.at.holds(p) && bands.holds(p);
        let name = || self.layout.labels.iter().find(label).map(|l| Target::Block(l.block));
        match self.layout.hit(p).map(|h| h.of) {
            Some(of) if !matches!(of, Target::Day(_)) => Some(of),
            other => name().or(other),
        }
    }

    /// Whether a block can be asked to wait: hands work on it, and the drawing is of the job as it stands.
    fn can_wait(&self, block: usize) -> bool {
        self.model.blocks[block].hands && !self.model.blocks[block].done && self.shown.revision == self.scene.revision
    }

    fn id(&self, step: usize) -> Option<String> {
        self.shown.sound.graph.steps.get(step).map(|s| s.id.clone())
    }
}

/// The chart, with the line below it that says what is selected.
pub fn show(ui: &mut Ui, scene: &Scene, state: &mut SectionState, out: &mut Vec<Action>) {
    let Some(shown) = scene.shown else {
        let words =
            if scene.problems.is_empty() { "Working out the first plan…" } else { "No plan until this is mended." };
        ui.centered_and_justified(|ui| ui.label(words));
        return;
    };
    let model = state.model(shown);
    let all = ui.available_rect_before_wrap();
    let area = Rect::from_min_max(all.min, pos2(all.right(), (all.bottom() - SAID).max(all.top())));
    let selected = scene.selected.and_then(|id| model.blocks.iter().find(|b| b.id == id)).map(|b| b.step);
    // A step found elsewhere opens its room.
    if let Some(room) = selected.and_then(|s| model.block_of(s)).and_then(|b| model.blocks[b].room)
        && state.piece.is_none()
        && model.rooms.len() > 1
        && scene.selected != state.followed.as_deref()
    {
        state.unfolded = room;
        (state.rooms.at, state.rooms.reveal) = (room, true);
    }
    // By its name: another answer may count the steps otherwise, and opens no room by that.
    if selected.is_some() || scene.selected.is_none() {
        state.followed = scene.selected.map(str::to_string);
    }
    // The line below speaks of what is selected, whoever selected it.
    if let (Some(p), Some(s)) = (state.piece, selected)
        && model.pieces.get(p).is_none_or(|x| !x.steps.contains(&s) && x.by != Some(s))
    {
        state.piece = None;
    }
    let ask = Ask {
        width: area.width(),
        height: area.height(),
        text_scale: 1.0,
        zoom: state.zoom,
        scroll_x: state.scroll.x,
        scroll_y: state.scroll.y,
        plain_time: state.plain_time,
        selected,
        whole_chalk: state.whole_chalk,
        unfolded: state.unfolded,
        lanes: true,
        scrolls: true,
    };
    let mut laid = state.layout(&model, ask);
    if std::mem::take(&mut state.rooms.reveal) && model.rooms.len() > 1 {
        // Before it is drawn: a row out of view would lose the keyboard.
        let scroll_y = rooms::scroll_to(&laid, state.rooms.at, laid.scroll.y);
        if (scroll_y - laid.scroll.y).abs() > 0.5 {
            laid = state.layout(&model, Ask { scroll_y, ..ask });
        }
    }
    state.scroll = vec2(laid.scroll.x, laid.scroll.y);
    let chart = Chart { scene, shown, model: &model, layout: &laid, area, selected };
    let explaining = explain::is_open(ui.ctx());
    if std::mem::take(&mut state.reveal) && into_view(&chart, state) {
        ui.ctx().request_repaint();
    }
    wait::follow(&chart, state, out);
    let block = state.ask_wait.take().and_then(|id| model.blocks.iter().position(|b| b.id == id));
    if let Some(b) = block.filter(|&b| chart.can_wait(b)) {
        state.wait = Wait::begun(&chart, b, 0.0).moved(&chart, wait::DAY_ON, out);
        ui.ctx().request_repaint();
    }
    let response = ui.interact(area, ui.id_of("section"), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Group, true, "The room section"));
    if std::mem::take(&mut state.keyboard) {
        response.request_focus();
    }
    paint::paint(&ui.painter().with_clip_rect(area), area.min, &laid, Theme::of(ui.ctx()));
    state.pointed = match ui.input(|i| (i.pointer.any_pressed(), i.events.iter().any(pressed_key))) {
        (_, true) => false,
        (true, _) => true,
        _ => state.pointed,
    };
    let moved = |e: &egui::Event| matches!(e, egui::Event::PointerMoved(_));
    state.hovering = match ui.input(|i| (i.events.iter().any(pressed_key), i.events.iter().any(moved))) {
        (_, true) => true,
        (true, _) => false,
        _ => state.hovering,
    };
    if response.has_focus() && !state.pointed {
        let focus = Theme::of(ui.ctx()).focus;
        ui.painter().rect_stroke(area.shrink(1.0), 0.0, egui::Stroke::new(size::HAIR, focus), egui::StrokeKind::Inside);
    }
    parts(ui, &chart, &response, state, out);
    pointer(ui, &chart, &response, state, out);
    if !explaining {
        keys(ui, &chart, &response, state, out);
    }
    explained(ui, &chart, state);
    wheel(ui, &chart, &response, state);
    wait::show(ui, &chart, state, out);
    said(ui, &chart, state, Rect::from_min_max(area.left_bottom(), all.max));
}

fn pressed_key(e: &egui::Event) -> bool {
    matches!(e, egui::Event::Key { pressed: true, .. })
}

/// Ids of the chart's own.
trait IdOf {
    fn id_of(&self, name: &str) -> Id;
}

impl IdOf for Ui {
    fn id_of(&self, name: &str) -> Id {
        self.scope_id().with(name)
    }
}

/// What a screen reader calls a part of the chart.
fn named(chart: &Chart, of: Target) -> Option<String> {
    let m = chart.model;
    Some(match of {
        Target::Block(b) => {
            let b = &m.blocks[b];
            let hours = if b.hours.is_empty() { String::new() } else { format!(", {}", b.hours) };
            format!("{}{hours}: {}", b.name, b.dates)
        }
        Target::Piece(p) => format!("Holds the date: {}. {}", m.pieces[p].word, m.pieces[p].sentence),
        Target::Room(r) => format!("Room {}", m.rooms[r].name),
        Target::Odds(_)
        | Target::InHand
        | Target::CleanRun
        | Target::Client
        | Target::Safe
        | Target::Done(_)
        | Target::Now
        | Target::Lost(_) => m.figure(of)?.1.value,
        Target::Peg(step) => format!("Let {} no longer wait", m.blocks[m.block_of(step)?].name),
        Target::Band(b) if !m.bands[b].hours.is_empty() => format!("Band {}: {}", m.bands[b].name, m.bands[b].hours),
        _ => return None,
    })
}

/// What is said of a part under the pointer, a line each.
fn lines(chart: &Chart, of: Target) -> Vec<String> {
    let m = chart.model;
    match of {
        Target::Block(b) => m.blocks[b].says.clone(),
        Target::Piece(p) => vec![m.pieces[p].sentence.clone()],
        Target::Band(b) | Target::Drawn(b) if m.bands[b].hours.is_empty() => vec![m.bands[b].name.clone()],
        Target::Band(b) | Target::Drawn(b) => vec![m.bands[b].name.clone(), format!("{} of labor", m.bands[b].hours)],
        Target::Room(r) => vec![m.rooms[r].name.clone(), m.rooms[r].done.clone()],
        Target::Odds(_)
        | Target::InHand
        | Target::CleanRun
        | Target::Client
        | Target::Safe
        | Target::Done(_)
        | Target::Now
        | Target::Lost(_) => m.figure(of).map(|f| vec![f.1.value, f.1.why]).unwrap_or_default(),
        Target::Peg(_) => vec!["Kept waiting by you; a click lets it go".to_string()],
        Target::More(b) => {
            let hidden = |i: &&usize| m.blocks[**i].band == b;
            let l = chart.layout;
            l.hidden.iter().chain(&l.unnamed).filter(hidden).map(|&i| m.blocks[i].name.clone()).collect()
        }
        Target::Day(day) => {
            let odds = m.odds.iter().find(|o| o.day == day);
            let name = m.day_names.iter().find(|d| d.day == day).map(|d| d.long.clone());
            name.into_iter().chain(odds.map(|o| format!("done by its close: {}", o.words))).collect()
        }
    }
}

/// Every visible part as a child of the chart: named, clickable, with what is said of it.
fn parts(ui: &mut Ui, chart: &Chart, response: &Response, state: &mut SectionState, out: &mut Vec<Action>) {
    let pointer = ui.input(|i| i.pointer.hover_pos()).filter(|p| chart.area.contains(*p));
    let over = pointer.and_then(|p| chart.at(p));
    let (mut clicked, mut under) = (None, None);
    let stop = state.rooms.at.min(chart.model.rooms.len().saturating_sub(1));
    let stop = if chart.layout.rooms.iter().any(|r| r.0 == stop) { stop } else { state.unfolded };
    let builder = UiBuilder::new().max_rect(chart.area).accessibility_parent(response.id);
    ui.scope_builder(builder, |ui| {
        for (i, hit) in chart.layout.hits.iter().enumerate() {
            // The mark itself; what lies around it is the chart's own to judge.
            let rect = paint::rect(chart.area.min, &hit.core.at_least(3.0, 3.0)).intersect(chart.area);
            // What has nothing to say is no control: no days in hand once the job is done.
            let Some(name) = named(chart, hit.of).filter(|n| !n.is_empty()) else { continue };
            let window = paint::rect(chart.area.min, &zone(chart.layout, hit.of));
            let rect = rect.intersect(window);
            if !rect.is_positive() {
                continue;
            }
            // Of the rooms one is a stop of the keyboard; the others are reached from it.
            let room = if let Target::Room(r) = hit.of { Some(r) } else { None };
            let (id, sense) = match room {
                // The one the keyboard is just going to is a stop already, or it would lose it again.
                Some(r) if r == stop || ui.memory(|m| m.has_focus(rooms::id(response, r))) => {
                    (rooms::id(response, r), Sense::click())
                }
                Some(r) => (rooms::id(response, r), Sense::CLICK),
                None => (response.id.with(("part", i)), Sense::CLICK),
            };
            let r = ui.interact(rect, id, sense);
            let chosen = matches!(hit.of, Target::Block(b) if Some(chart.model.blocks[b].step) == chart.selected);
            r.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen, &name));
            if let Some(room) = room {
                ui.ctx().accesskit_node_builder(r.id, |n| n.set_expanded(chart.layout.open.contains(&room)));
                rooms::keys(ui, chart, response, &r, room, state);
                if r.has_focus() {
                    let ring = egui::Stroke::new(size::OUTLINE, Theme::of(ui.ctx()).focus);
                    let across = rect.with_max_x(chart.area.right()).shrink(1.0);
                    ui.painter().with_clip_rect(chart.area).rect_stroke(across, 0.0, ring, egui::StrokeKind::Inside);
                }
                if r.clicked() && r.has_focus() {
                    (state.unfolded, state.rooms.at, state.rooms.reveal) = (room, room, true);
                    ui.ctx().request_repaint();
                    continue;
                }
            }
            if r.clicked() {
                // Of areas that lie over each other the pointer means the nearest mark.
                let at = r.interact_pointer_pos().and_then(|p| chart.layout.hit(chart.pos(p)));
                clicked = Some(at.map_or(hit.of, |h| h.of));
            }
            if r.hovered() {
                under = Some(r);
            }
        }
    });
    // Enter is no click here: it goes to the first field of the selected step.
    if response.clicked_by(egui::PointerButton::Primary) {
        response.request_focus();
        clicked = over;
        if over.is_none() {
            state.piece = None;
            out.push(Action::Select(None));
        }
    }
    if let Some(of) = over
        && state.wait.is_none()
        && !state.panning
        && state.hovering
        && ui.memory(|m| m.top_modal_layer()).is_none()
    {
        let r = under.as_ref().unwrap_or(response);
        r.clone().on_hover_ui_at_pointer(|ui| {
            for (n, line) in lines(chart, of).iter().enumerate() {
                let text = egui::RichText::new(line);
                ui.label(if n == 0 { text.text_style(super::theme::strong()) } else { text });
            }
        });
    }
    if let Some(of) = clicked {
        response.request_focus();
        // A figure is explained where it was clicked; by keys and names at its own place.
        let pressed = ui.input(|i| i.pointer.interact_pos()).filter(|p| chart.area.contains(*p));
        let own = chart.layout.area_of(of).map(|h| Pos { x: h.core.x, y: h.core.bottom() });
        let at = pressed.map(|p| chart.pos(p)).or(own);
        state.explained = at.filter(|_| chart.model.figure(of).is_some()).map(|at| (of, at));
        choose(chart, of, state, out);
    }
}

/// The card of the figure asked about.
fn explained(ui: &Ui, chart: &Chart, state: &mut SectionState) {
    let Some((of, at)) = state.explained else { return };
    let figure = chart.model.figure(of);
    let mut open = figure.is_some();
    if let Some((what, figure)) = figure {
        let place = chart.area.min + vec2(at.x, at.y + 2.0);
        explain::at(ui.ctx(), ui.id_of("explained"), ui.layer_id(), place, &what, &figure, &mut open);
    }
    if !open {
        state.explained = None;
    }
}

/// The zone a part is clipped to.
fn zone(l: &Layout, of: Target) -> crate::views::section::Area {
    match of {
        Target::Block(_) | Target::Peg(_) | Target::Done(_) => l.zones.bands,
        Target::Piece(_) | Target::InHand => l.zones.ribbon,
        Target::CleanRun | Target::Client | Target::Safe | Target::Now | Target::Lost(_) => {
            let (above, below) = (l.zones.ribbon, l.zones.bands);
            crate::views::section::Area::new(below.x, above.bottom(), below.right(), below.y)
        }
        Target::Odds(_) => l.zones.odds,
        Target::Band(_) | Target::More(_) | Target::Room(_) | Target::Drawn(_) => l.zones.drawing,
        Target::Day(_) => l.zones.header,
    }
}

/// A click.
fn choose(chart: &Chart, of: Target, state: &mut SectionState, out: &mut Vec<Action>) {
    let m = chart.model;
    match of {
        Target::Block(b) => {
            state.piece = None;
            out.push(Action::Select(Some(m.blocks[b].id.clone())));
        }
        Target::Piece(p) => walk_to(chart, p, state, out),
        Target::Room(r) => (state.unfolded, state.rooms.at, state.rooms.reveal) = (r, r, true),
        Target::Peg(step) => {
            out.extend(chart.id(step).map(|id| Action::Edit(vec![Edit::Release(id)])));
        }
        _ => {}
    }
}

/// Goes to a piece of what holds the date, its room open, its hours in view.
fn walk_to(chart: &Chart, p: usize, state: &mut SectionState, out: &mut Vec<Action>) {
    let m = chart.model;
    let Some(piece) = m.pieces.get(p) else { return };
    state.piece = Some(p);
    let step = if piece.kind == Kind::Drying {
        piece.by.or(piece.steps.first().copied())
    } else {
        piece.steps.first().copied()
    };
    if let Some(room) = step.and_then(|s| m.block_of(s)).and_then(|b| m.blocks[b].room) {
        state.unfolded = room;
    }
    let z = &chart.layout.zones.bands;
    let (from, to) = (chart.layout.x(piece.from), chart.layout.x(piece.to));
    if from < z.x {
        state.scroll.x -= z.x - from + 20.0;
    } else if to > z.right() {
        state.scroll.x += (to - z.right() + 20.0).min(from - z.x);
    }
    out.push(Action::Select(step.and_then(|s| chart.id(s))));
}

/// Scrolls to the selected step; whether anything moves.
fn into_view(chart: &Chart, state: &mut SectionState) -> bool {
    let Some(block) = chart.selected.and_then(|s| chart.model.block_of(s)) else { return false };
    let of = |h: &&crate::views::section::Hit| h.of == Target::Block(block);
    let Some(at) = chart.layout.hits.iter().find(of).map(|h| h.core) else { return false };
    let z = chart.layout.zones.bands;
    // Its end first, then its beginning, which of a block longer than the window is what is wanted.
    let by = |low: f32, high: f32, from: f32, to: f32| {
        let end = (high - to).max(0.0);
        end + (low - end - from).min(0.0)
    };
    let moved =
        vec2(by(at.x - AIR, at.right() + AIR, z.x, z.right()), by(at.y - AIR, at.bottom() + AIR, z.y, z.bottom()));
    state.scroll += moved;
    moved != Vec2::ZERO
}

/// Dragging: a block sideways asks, bare paper moves the sheet.
fn pointer(ui: &Ui, chart: &Chart, response: &Response, state: &mut SectionState, out: &mut Vec<Action>) {
    let origin = ui.input(|i| i.pointer.press_origin()).filter(|p| chart.area.contains(*p));
    if response.drag_started()
        && let Some(p) = origin
    {
        response.request_focus();
        match chart.at(p) {
            Some(Target::Block(b)) if chart.can_wait(b) => {
                state.wait = Some(Wait::begun(chart, b, p.x));
                out.push(Action::Select(Some(chart.model.blocks[b].id.clone())));
            }
            _ => state.panning = true,
        }
    }
    if response.dragged()
        && let (Some(p), Some(start)) = (response.interact_pointer_pos(), origin)
    {
        if state.panning {
            state.scroll -= response.drag_delta();
        } else if (p.x - start.x).abs() > size::DRAG
            && let Some(w) = &mut state.wait
        {
            w.dragged(chart, p.x, out);
        }
    }
    if response.drag_stopped() {
        state.panning = false;
        if let Some(w) = &mut state.wait {
            w.dragging = false;
            // A press that went nowhere, or came back, asks nothing.
            if w.until.is_none() {
                state.wait = None;
            }
        }
    }
}

/// Keys while the chart has the focus.
fn keys(ui: &Ui, chart: &Chart, response: &Response, state: &mut SectionState, out: &mut Vec<Action>) {
    let asked_before = state.wait.is_some();
    if asked_before && ui.input(|i| i.key_pressed(Key::Escape)) {
        state.wait = None;
        out.push(Action::DropQuestion);
    }
    if !response.has_focus() {
        return;
    }
    let filter =
        egui::EventFilter { horizontal_arrows: true, vertical_arrows: true, escape: true, ..Default::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let pressed = |m, k| ui.input_mut(|i| i.consume_key(m, k));
    let m = chart.model;
    for (key, by) in [(Key::ArrowLeft, -1), (Key::ArrowRight, 1)] {
        if pressed(Modifiers::ALT, key)
            && let Some(b) = chart.selected.and_then(|s| m.block_of(s)).filter(|&b| chart.can_wait(b))
        {
            let w = state.wait.take().filter(|w| w.block == b).unwrap_or_else(|| Wait::begun(chart, b, 0.0));
            state.wait = w.moved(chart, by, out);
        }
        if pressed(Modifiers::NONE, key) && !m.pieces.is_empty() {
            let last = m.pieces.len() as i64 - 1;
            let now = state.piece.or_else(|| chart.selected.and_then(|s| m.piece_of(s)));
            let p = now.map_or(if by > 0 { 0 } else { last }, |p| (p as i64 + by).clamp(0, last));
            walk_to(chart, p as usize, state, out);
        }
    }
    for (key, by) in [(Key::ArrowUp, -1), (Key::ArrowDown, 1)] {
        if pressed(Modifiers::NONE, key) && !m.blocks.is_empty() {
            let last = m.blocks.len() as i64 - 1;
            let now = chart.selected.and_then(|s| m.block_of(s));
            let b = now.map_or(0, |b| (b as i64 + by).clamp(0, last)) as usize;
            choose(chart, Target::Block(b), state, out);
        }
    }
    // With a question open Enter is its own.
    if chart.selected.is_some() && scene_asks_nothing(chart) && pressed(Modifiers::NONE, Key::Enter) {
        out.push(Action::StepField(""));
    }
    if asked_before || !ui.input(|i| i.key_pressed(Key::Escape)) {
        return;
    }
    // First the question, then the selection, then the chart is left.
    if chart.selected.is_some() {
        state.piece = None;
        out.push(Action::Select(None));
    } else {
        response.surrender_focus();
    }
}

fn scene_asks_nothing(chart: &Chart) -> bool {
    chart.scene.question.is_none()
}

/// The wheel: bands, with Shift time, with Ctrl (or two fingers) zoom at the pointer.
fn wheel(ui: &Ui, chart: &Chart, response: &Response, state: &mut SectionState) {
    let Some(p) = ui.input(|i| i.pointer.hover_pos()).filter(|p| chart.area.contains(*p)) else { return };
    if !response.contains_pointer() {
        return;
    }
    let (zoom, delta) = ui.input(|i| (i.zoom_delta(), i.smooth_scroll_delta()));
    if (zoom - 1.0).abs() > 1e-3 {
        let axis = &chart.layout.axis;
        let x = chart.pos(p).x.max(chart.layout.zones.bands.x);
        let at = chart.layout.at(x);
        let day = (axis.day_width() as f32 * zoom).clamp(ZOOM.0, ZOOM.1);
        let scale = crate::views::section::Scale::Day { pixels: f64::from(day), plain: state.plain_time };
        let next = chart.model.axis(scale);
        let wide = chart.layout.zones.bands.w;
        if next.width() as f32 <= wide {
            state.fit();
        } else {
            state.zoom = Some(day);
            // The minute under the pointer stays there.
            state.scroll.x = next.x(at) as f32 - (x - chart.layout.zones.bands.x);
        }
        ui.ctx().request_repaint();
    } else if delta != Vec2::ZERO {
        let most = chart.layout.most_scroll;
        state.scroll = (state.scroll - delta).clamp(Vec2::ZERO, vec2(most.x, most.y));
        ui.ctx().request_repaint();
    }
}

/// The sentence of what is selected, or what can be done.
fn said(ui: &mut Ui, chart: &Chart, state: &SectionState, area: Rect) {
    let theme = Theme::of(ui.ctx());
    ui.painter().hline(area.x_range(), area.top(), egui::Stroke::new(size::HAIR, theme.rule));
    let piece = state.piece.and_then(|p| chart.model.pieces.get(p));
    let block = chart.selected.and_then(|s| chart.model.block_of(s)).map(|b| &chart.model.blocks[b]);
    let hint = "Click a block or a piece of the ribbon; arrows walk what holds the date; drag a block to ask what waiting costs";
    let figure = match (piece, block) {
        (Some(p), _) => Some(Figure::new(p.sentence.as_str(), p.why.as_str())),
        (None, Some(b)) => Some(Figure::new(b.says.join(" · "), b.told.as_str())),
        (None, None) => None,
    };
    let inside = Rect::from_min_max(area.min + vec2(8.0, 3.0), area.max - vec2(8.0, 3.0));
    ui.scope_builder(UiBuilder::new().max_rect(inside), |ui| {
        let Some(figure) = figure else {
            ui.add(egui::Label::new(egui::RichText::new(hint).color(theme.quiet)).truncate());
            return;
        };
        let text = egui::RichText::new(&figure.value).color(theme.ink);
        let response = ui.add(egui::Label::new(text).truncate().sense(Sense::click()));
        explain::why(&response, "what is selected", &figure);
    });
}
