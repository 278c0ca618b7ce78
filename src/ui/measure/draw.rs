//! The chosen room drawn, and changed on the drawing.
//!
//! One focus stop. What is pulled, by pointer or by Alt with arrows, is shown at once and
//! asked as a question; letting go makes it one edit, Escape takes it back. Nothing here
//! decides where a line stands or what a pull makes of the room.
//!
//! One file because pointer, keys and the typed measure change one state of one pull.

use std::sync::Arc;

use egui::{
    CursorIcon, EventFilter, Key, Label, Modifiers, Pos2, Rect, Response, RichText, Role, Sense, Stroke, StrokeKind,
    Ui, UiBuilder, WidgetInfo, pos2, vec2,
};

use super::typing::Typing;
use super::{ink, typing};
use crate::job::{Edit, Room};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::bench::{Spot, field::button};
use crate::ui::session::{AskedBy, WhatIf};
use crate::ui::theme::{self, Theme, size};
use crate::views::choices;
use crate::views::drawing::change::{self, New};
use crate::views::drawing::{self, Ask, Dim, Drawing, Edge, Part, Target};
use crate::views::section::Pos;

/// What the drawing remembers between two drawings.
#[derive(Clone, Debug, Default)]
pub struct DrawState {
    pub chosen: Option<Part>,
    pull: Option<Pull>,
    pub typing: Option<Typing>,
    laid: Option<(Room, Ask, Arc<Drawing>)>,
    /// The room last drawn, by its place.
    room: usize,
    /// It had the keyboard when it was drawn last.
    pub focused: bool,
}

/// Something being pulled.
#[derive(Clone, Debug)]
struct Pull {
    of: Target,
    base: Room,
    /// Revision of the job the pull began in.
    revision: u64,
    /// Pixels of a foot, and where the pointer took hold; nothing when keys pull.
    held: Option<(drawing::Hit, Pos2)>,
    feet: f64,
    now: Option<(Room, Target)>,
}

impl DrawState {
    /// The room as it would be if what is pulled were let go now.
    pub fn what_if(&self) -> Option<&Room> {
        self.pull.as_ref().and_then(|p| p.now.as_ref()).map(|n| &n.0)
    }

    fn laid(&mut self, room: &Room, ask: Ask) -> Arc<Drawing> {
        match &self.laid {
            Some((r, a, d)) if *a == ask && r == room => d.clone(),
            _ => {
                let d = Arc::new(drawing::drawing(room, &ask));
                self.laid = Some((room.clone(), ask, d.clone()));
                d
            }
        }
    }
}

/// One drawing of it.
pub(super) struct Desk<'a> {
    pub scene: &'a Scene<'a>,
    /// Index of the room, and the room as it stands or would stand.
    index: usize,
    pub room: &'a Room,
    pub drawing: &'a Drawing,
    pub area: Rect,
    pub name: String,
}

impl Desk<'_> {
    fn pos(&self, p: Pos2) -> Pos {
        Pos { x: p.x - self.area.left(), y: p.y - self.area.top() }
    }

    pub fn put(&self, room: Room, out: &mut Vec<Action>) {
        out.push(Action::Edit(vec![Edit::Room(self.index, Some(Box::new(room)))]));
    }
}

/// The drawing of a room, with the row of words below it.
pub fn show(ui: &mut Ui, scene: &Scene, index: usize, state: &mut DrawState, out: &mut Vec<Action>) {
    let Some(of_job) = scene.job.rooms.get(index) else {
        state.pull = None;
        ui.add_space(size::ZONE);
        let quiet = Theme::of(ui.ctx()).quiet;
        ui.vertical_centered(|ui| {
            ui.label(RichText::new("A room is drawn here as soon as its line is entered.").color(quiet))
        });
        return;
    };
    // What is chosen belongs to its room, and may be gone.
    if state.room != index || state.chosen.is_some_and(|p| !drawing::parts(of_job).contains(&p)) && state.pull.is_none()
    {
        state.chosen = None;
        state.typing = None;
    }
    let stale = state.room != index || state.pull.as_ref().is_some_and(|p| p.revision != scene.revision);
    if stale && state.pull.take().is_some() && scene.question.is_some() {
        out.push(Action::DropQuestion);
    }
    state.room = index;
    let room = state.what_if().unwrap_or(of_job).clone();
    let called = if room.name.is_empty() { room.id.clone() } else { room.name.clone() };
    let all = ui.available_rect_before_wrap();
    let foot = size::ROW + 2.0 * size::GAP;
    let area = Rect::from_min_max(all.min, pos2(all.right(), (all.bottom() - foot).max(all.top())));
    let chosen = state.pull.as_ref().and_then(|p| p.now.as_ref()).and_then(|n| part_of(n.1)).or(state.chosen);
    let ask = Ask { width: area.width(), height: area.height(), units: scene.job.units, chosen };
    let laid = state.laid(&room, ask);
    let desk = Desk { scene, index, room: &room, drawing: &laid, area, name: called };
    let response = ui.interact(area, ui.scope_id().with("drawing"), Sense::click_and_drag());
    let name = format!("Drawing of {}", desk.name);
    response.widget_info(|| WidgetInfo::labeled(Role::Group, true, &name));
    let theme = Theme::of(ui.ctx());
    ink::paint(&ui.painter().with_clip_rect(area), area.min, &laid, theme);
    state.focused = response.has_focus();
    if state.focused {
        ui.painter().rect_stroke(area.shrink(1.0), 0.0, Stroke::new(size::HAIR, theme.focus), StrokeKind::Inside);
    }
    parts(ui, &desk, &response, state, out);
    pointer(ui, &desk, &response, state, out);
    keys(ui, &desk, &response, state, out);
    typing::show(ui, &desk, &response, state, out);
    let below = Rect::from_min_max(area.left_bottom(), all.max).shrink2(vec2(size::PAD, size::GAP));
    ui.scope_builder(UiBuilder::new().max_rect(below), |ui| words(ui, &desk, state, out));
    ui.allocate_rect(all, Sense::hover());
}

/// The part a target belongs to.
pub(super) fn part_of(of: Target) -> Option<Part> {
    Some(match of {
        Target::Wall(w) | Target::End(w) | Target::Ceiling(w) => Part::Wall(w),
        Target::Part(p) => p,
        Target::Edge(o, k, _) => Part::Opening(o, k),
        Target::Dim(d) => match d {
            Dim::Length(w) | Dim::Height(w) => Part::Wall(w),
            Dim::Width(o, k) | Dim::High(o, k) | Dim::Sill(o, k) => Part::Opening(o, k),
            Dim::From(o, k) | Dim::Before(o, k) | Dim::Behind(o, k) => Part::Opening(o, k),
        },
    })
}

/// Everything that answers, as children of the drawing: named and clickable.
fn parts(ui: &mut Ui, desk: &Desk, response: &Response, state: &mut DrawState, out: &mut Vec<Action>) {
    let mut clicked = None;
    let builder = UiBuilder::new().max_rect(desk.area).accessibility_parent(response.id);
    ui.scope_builder(builder, |ui| {
        for (i, hit) in desk.drawing.hits.iter().enumerate() {
            let a = hit.area();
            let rect = Rect::from_min_size(ink::at(desk.area.min, Pos { x: a.x, y: a.y }), vec2(a.w, a.h));
            let rect = rect.intersect(desk.area);
            if rect.width() < 1.0 || rect.height() < 1.0 {
                continue;
            }
            let r = ui.interact(rect, response.id.with(("part", i)), Sense::CLICK);
            let chosen = matches!(hit.of, Target::Part(p) if Some(p) == state.chosen);
            r.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen, &hit.name));
            if r.clicked() {
                // Of areas that lie over each other the pointer means the one on top.
                let at = r.interact_pointer_pos().and_then(|p| desk.drawing.hit(desk.pos(p)));
                clicked = Some(at.map_or(hit.of, |h| h.of));
            }
        }
    });
    // Enter is no click here: it types a measure of what is chosen.
    if response.clicked_by(egui::PointerButton::Primary) {
        response.request_focus();
        let at = response.interact_pointer_pos().and_then(|p| desk.drawing.hit(desk.pos(p)));
        clicked = at.map(|h| h.of);
        if clicked.is_none() {
            state.chosen = None;
            state.typing = None;
            out.push(Action::Room(desk.index));
        }
    }
    let Some(of) = clicked else { return };
    response.request_focus();
    out.push(Action::Room(desk.index));
    state.chosen = part_of(of);
    state.typing = match of {
        Target::Dim(d) => Some(typing::begun(desk, d)),
        _ => None,
    };
}

/// Pulling by pointer, and what the pointer says of where it is.
fn pointer(ui: &Ui, desk: &Desk, response: &Response, state: &mut DrawState, out: &mut Vec<Action>) {
    let origin = ui.input(|i| i.pointer.press_origin()).filter(|p| desk.area.contains(*p));
    if response.drag_started()
        && let Some(hit) = origin.and_then(|p| desk.drawing.hit(desk.pos(p)))
    {
        response.request_focus();
        out.push(Action::Room(desk.index));
        state.chosen = part_of(hit.of);
        state.typing = None;
        if hit.pull != Pos::default() {
            let held = origin.map(|p| (hit.clone(), p));
            state.pull = Some(pull(desk, hit.of, held));
        }
    }
    if response.dragged()
        && let Some(p) = response.interact_pointer_pos()
        && let Some(pull) = &mut state.pull
        && let Some((hit, from)) = &pull.held
    {
        let feet = hit.feet(Pos { x: p.x - from.x, y: p.y - from.y });
        pulled(desk, pull, feet, out);
    }
    if response.drag_stopped() && state.pull.as_ref().is_some_and(|p| p.held.is_some()) {
        // Escape ends a drag too, and takes back what it pulled.
        if ui.input(|i| i.key_pressed(Key::Escape)) {
            state.pull = None;
            out.push(Action::DropQuestion);
        } else {
            let_go(desk, state, out);
        }
    }
    let over = ui.input(|i| i.pointer.hover_pos()).filter(|p| desk.area.contains(*p));
    let held = state.pull.as_ref().and_then(|p| p.held.as_ref()).map(|h| &h.0);
    if let Some(hit) = held.or_else(|| over.and_then(|p| desk.drawing.hit(desk.pos(p)))) {
        let across = hit.pull.x.abs() > hit.pull.y.abs();
        let icon = match hit.of {
            Target::Dim(_) => CursorIcon::Text,
            _ if hit.pull == Pos::default() => CursorIcon::PointingHand,
            Target::Part(_) => CursorIcon::Grab,
            _ if across => CursorIcon::ResizeHorizontal,
            _ => CursorIcon::ResizeVertical,
        };
        ui.ctx().set_cursor_icon(icon);
    }
}

fn pull(desk: &Desk, of: Target, held: Option<(drawing::Hit, Pos2)>) -> Pull {
    let base = desk.scene.job.rooms[desk.index].clone();
    Pull { of, base, revision: desk.scene.revision, held, feet: 0.0, now: None }
}

/// Pulls on to so many feet from where it began, and asks what that would mean.
fn pulled(desk: &Desk, pull: &mut Pull, feet: f64, out: &mut Vec<Action>) {
    let Some(now) = change::pulled(&pull.base, desk.scene.job.units, pull.of, feet) else { return };
    pull.feet = feet;
    if pull.now.as_ref() == Some(&now) {
        return;
    }
    if now.0 == pull.base {
        pull.now = None;
        out.push(Action::DropQuestion);
        return;
    }
    let edits = vec![Edit::Room(desk.index, Some(Box::new(now.0.clone())))];
    out.push(Action::Ask(WhatIf { edits, asked_by: AskedBy::Field("the drawing".to_string()) }));
    pull.now = Some(now);
}

/// What was pulled becomes an edit.
fn let_go(desk: &Desk, state: &mut DrawState, out: &mut Vec<Action>) {
    let Some(pull) = state.pull.take() else { return };
    if let Some((room, of)) = pull.now {
        state.chosen = part_of(of);
        desk.put(room, out);
    }
}

/// What Alt with an arrow pulls of a part: which target, and whether a step more or less.
fn by_arrow(room: &Room, part: Part, key: Key, shift: bool) -> Option<(Target, f64)> {
    let more = matches!(key, Key::ArrowRight | Key::ArrowUp);
    let across = matches!(key, Key::ArrowRight | Key::ArrowLeft);
    let of = match (part, across, shift) {
        (Part::Wall(w), true, false) => Target::End(w),
        (Part::Wall(w), false, false) => Target::Wall(w),
        (Part::Wall(w), false, true) => Target::Ceiling(w),
        (Part::Opening(..), true, false) => Target::Part(part),
        (Part::Opening(o, k), true, true) => Target::Edge(o, k, Edge::Far),
        (Part::Opening(o, k), false, true) => Target::Edge(o, k, Edge::Head),
        (Part::Opening(o, k), false, false) if room.openings.get(o)?.kind == crate::job::OpeningKind::Window => {
            Target::Edge(o, k, Edge::Sill)
        }
        _ => return None,
    };
    Some((of, if more { 1.0 } else { -1.0 }))
}

/// Keys while the drawing has the keyboard.
fn keys(ui: &Ui, desk: &Desk, response: &Response, state: &mut DrawState, out: &mut Vec<Action>) {
    let pulling = state.pull.is_some();
    if pulling && ui.input(|i| i.key_pressed(Key::Escape)) {
        state.pull = None;
        out.push(Action::DropQuestion);
    }
    // Keys that pulled are let go of with Alt.
    if state.pull.as_ref().is_some_and(|p| p.held.is_none())
        && (!ui.input(|i| i.modifiers.alt) || !response.has_focus())
    {
        let_go(desk, state, out);
    }
    if !response.has_focus() || state.typing.is_some() {
        return;
    }
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, escape: true, ..Default::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let pressed = |m, k| ui.input_mut(|i| i.consume_key(m, k));
    let alt_shift = Modifiers { shift: true, ..Modifiers::ALT };
    for key in [Key::ArrowLeft, Key::ArrowRight, Key::ArrowUp, Key::ArrowDown] {
        for (modifiers, shift) in [(alt_shift, true), (Modifiers::ALT, false)] {
            if !pressed(modifiers, key) {
                continue;
            }
            let Some((of, by)) = state.chosen.and_then(|p| by_arrow(desk.room, p, key, shift)) else { continue };
            if state.pull.as_ref().is_some_and(|p| p.of != of) {
                let_go(desk, state, out);
                continue;
            }
            let pull = state.pull.get_or_insert_with(|| pull(desk, of, None));
            let feet = pull.feet + by * change::step(desk.scene.job.units).feet();
            pulled(desk, pull, feet, out);
        }
        if pressed(Modifiers::NONE, key) {
            state.chosen = walked(desk.room, state.chosen, key);
            out.push(Action::Room(desk.index));
        }
    }
    if let Some(part) = state.chosen {
        if pressed(Modifiers::NONE, Key::Enter) {
            state.typing = typing::measures(desk, part).first().map(|&d| typing::begun(desk, d));
        }
        if (pressed(Modifiers::NONE, Key::Delete) || pressed(Modifiers::NONE, Key::Backspace))
            && let Some(room) = change::without(desk.room, part)
        {
            desk.put(room, out);
            state.chosen = drawing::wall_of(desk.room, part).map(Part::Wall);
        }
    }
    if pulling || !ui.input(|i| i.key_pressed(Key::Escape)) {
        return;
    }
    if state.chosen.take().is_none() {
        response.surrender_focus();
    }
}

/// Where an arrow goes: left and right from wall to wall, down and up along what is on one.
fn walked(room: &Room, from: Option<Part>, key: Key) -> Option<Part> {
    let all = drawing::parts(room);
    let Some(at) = from.and_then(|p| all.iter().position(|x| *x == p)) else { return all.first().copied() };
    let wall = |p: &Part| matches!(p, Part::Wall(_));
    match key {
        Key::ArrowRight => all[at + 1..].iter().find(|p| wall(p)).or(all.first()).copied(),
        Key::ArrowLeft => {
            let here = drawing::wall_of(room, all[at]).unwrap_or(0);
            let walls = all.iter().filter(|p| wall(p)).count().max(1);
            Some(Part::Wall((here + walls - 1) % walls))
        }
        Key::ArrowDown => all.get(at + 1).filter(|p| !wall(p)).or(all.get(at)).copied(),
        _ if wall(&all[at]) => Some(all[at]),
        _ => all.get(at - 1).copied(),
    }
}

/// Below the drawing: what is chosen, what can be added to its wall, what can be taken out.
fn words(ui: &mut Ui, desk: &Desk, state: &mut DrawState, out: &mut Vec<Action>) {
    let theme = Theme::of(ui.ctx());
    ui.horizontal(|ui| {
        if let Some(wrong) = &desk.drawing.wrong {
            ui.add(Label::new(RichText::new(wrong).color(theme.error)).truncate());
            return;
        }
        let Some(part) = state.chosen else {
            let hint = "Click a wall, an opening or a measure, or drag it; Alt+arrows move by a step";
            ui.add(Label::new(RichText::new(hint).color(theme.quiet).size(size::SMALL)).truncate());
            return;
        };
        let Some(wall) = drawing::wall_of(desk.room, part) else { return };
        let name = drawing::name(desk.room, part);
        ui.label(RichText::new(&name).text_style(theme::strong()));
        ui.label(RichText::new("add a").color(theme.quiet));
        for new in New::ALL {
            if button(
                ui,
                new.word(),
                &format!("Add a {} to wall {}, {}", new.word(), drawing::number(desk.room, wall), desk.name),
            ) {
                let (room, part) = change::added(desk.room, desk.scene.job.units, wall, new);
                desk.put(room, out);
                state.chosen = Some(part);
            }
        }
        if matches!(part, Part::Wall(_)) {
            let (done, recipe, surface) = choices::done_to(desk.scene.job, desk.index, wall);
            let name_of = format!("{done}: wall {}, {}", drawing::number(desk.room, wall), desk.name);
            let made = ui.button(done).accessible_name(name_of).on_hover_text(recipe);
            if made.clicked() {
                out.push(Action::Surface(desk.index, surface.map_or(Spot::New, Spot::Of)));
            }
        }
        if !matches!(part, Part::Wall(_)) && button(ui, "Take out", &format!("Take out {name}, {}", desk.name)) {
            if let Some(room) = change::without(desk.room, part) {
                desk.put(room, out);
            }
            state.chosen = Some(Part::Wall(wall));
        }
    });
}
