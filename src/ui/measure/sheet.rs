//! The measure sheet: a line a room, its echo below it, questions where it is not understood.
//!
//! A line shows what was typed as long as that still says the room, else the room written
//! anew. Enter or leaving a line commits it; what leaves a question open stays as typed and
//! changes nothing. Questions are asked once a commit was tried, not while a word is begun.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use egui::text::{CCursor, CCursorRange, LayoutJob, TextFormat};
use egui::{Frame, Galley, Id, Key, Label, Margin, Modifiers, RichText, Stroke, TextBuffer, TextEdit, Ui};

use super::doubts::Doubts;
use super::offer::differs;
use crate::job::{Edit, Job, Place, PlaceKind, Room, Units, free_id};
use crate::sheet::{self, Question};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::bench::field::button;
use crate::ui::theme::{self, Theme, plain, size};
use crate::views::{drawing, entries::knock_on};

/// Width of the room's number before its line.
const NUMBER: f32 = 22.0;

/// What was typed and is not in the job yet.
#[derive(Clone, Debug, Default)]
struct Draft {
    text: String,
    /// A commit was tried; its questions are asked.
    tried: bool,
}

/// What the sheet remembers between two drawings.
#[derive(Clone, Debug, Default)]
pub struct SheetState {
    /// By the id of the room; the empty id is the line of the next room.
    drafts: BTreeMap<String, Draft>,
    /// Lines as they were typed, with the measures they stand for.
    typed: BTreeMap<String, (String, Room)>,
    doubts: Doubts,
    /// Id of the room asked about before it is taken out.
    taking: Option<String>,
    /// The line that is to have the keyboard.
    focus: Option<usize>,
    /// The line that has the keyboard with nothing typed in it.
    bare: Option<Id>,
    /// The room that is chosen, and whether it was chosen since the sheet was drawn last.
    chosen: usize,
    moved: bool,
    /// Where the cursor stands: its row of how many in its line.
    row: (usize, usize),
    /// Lines of the job as it stands, by revision and units.
    lines: Option<(u64, Units, Arc<Vec<Line>>)>,
}

/// A room's line.
#[derive(Clone, Debug, Default)]
struct Line {
    text: String,
    echo: String,
    questions: Vec<Question>,
    /// Surfaces on walls the room has not.
    strays: Vec<String>,
}

/// What a line says of a room: all of it but what no line names.
fn measures(room: &Room) -> Room {
    Room { id: String::new(), place: String::new(), surfaces: Vec::new(), walk_through: Vec::new(), ..room.clone() }
}

impl SheetState {
    /// The line of this room gets the keyboard when it is drawn next; behind the last, that of the next room.
    pub fn take_keyboard(&mut self, room: usize) {
        self.focus = Some(room);
    }

    /// The field that has the keyboard while nothing is typed in it that is not in the job.
    pub fn bare(&self) -> Option<Id> {
        self.bare
    }

    fn lines(&mut self, job: &Job, revision: u64) -> Arc<Vec<Line>> {
        match &self.lines {
            Some((r, u, lines)) if *r == revision && *u == job.units => lines.clone(),
            _ => {
                let lines = job.rooms.iter().map(|r| self.line(r, job.units)).collect();
                let lines = Arc::new(lines);
                self.lines = Some((revision, job.units, Arc::clone(&lines)));
                lines
            }
        }
    }

    fn line(&self, room: &Room, units: Units) -> Line {
        let as_typed = self.typed.get(&room.id).filter(|t| t.1 == measures(room));
        let text = as_typed.map_or_else(|| sheet::write(room, units), |t| t.0.clone());
        let read = sheet::read(&text, units);
        Line { text, echo: read.echo, questions: read.questions, strays: sheet::strays(room) }
    }
}

/// The whole sheet, as high as it is. `live` is the chosen room while it is pulled on the drawing.
pub fn lines(
    ui: &mut Ui,
    scene: &Scene,
    chosen: usize,
    live: Option<&Room>,
    state: &mut SheetState,
    out: &mut Vec<Action>,
) {
    let theme = Theme::of(ui.ctx());
    let job = scene.job;
    let lines = state.lines(job, scene.revision);
    state.bare = None;
    state.moved = std::mem::replace(&mut state.chosen, chosen) != chosen;
    let pad = Margin { left: size::PAD as i8, right: size::PAD as i8, top: size::GAP as i8, bottom: 0 };
    Frame::NONE.inner_margin(pad).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.label(RichText::new("The measure sheet").text_style(theme::strong()).size(size::HEAD));
        let how = "A line a room: name, length x width x height, what is on its walls.";
        ui.add(Label::new(RichText::new(how).color(theme.quiet).size(size::SMALL)).wrap());
        ui.add_space(size::GAP);
        for (i, room) in job.rooms.iter().enumerate() {
            let pulled = live.filter(|_| i == chosen).map(|r| state.line(r, job.units));
            let line = pulled.as_ref().unwrap_or(&lines[i]);
            ui.push_id(("line", i), |ui| entry(ui, scene, Some((i, room)), line, i == chosen, state, out));
        }
        ui.push_id("next", |ui| entry(ui, scene, None, &Line::default(), job.rooms.is_empty(), state, out));
        ui.add_space(size::ZONE);
    });
}

fn called(room: &Room) -> &str {
    if room.name.is_empty() { &room.id } else { &room.name }
}

/// One line with what is said of it below. No room: the line of the next one.
fn entry(
    ui: &mut Ui,
    scene: &Scene,
    of: Option<(usize, &Room)>,
    line: &Line,
    chosen: bool,
    state: &mut SheetState,
    out: &mut Vec<Action>,
) {
    let theme = Theme::of(ui.ctx());
    // A room without an id has its place for one; the line of the next room has none.
    let key =
        of.map_or(String::new(), |(i, r)| if r.id.is_empty() { crate::views::numbered("#", i) } else { r.id.clone() });
    let at = of.map_or(scene.job.rooms.len(), |o| o.0);
    let top = ui.cursor().top();
    ui.horizontal_top(|ui| {
        let number = if of.is_some() { drawing::line_number(at) } else { "+".to_string() };
        let color = if chosen { theme.ink } else { theme.quiet };
        ui.allocate_ui(egui::vec2(NUMBER, size::ROW), |ui| {
            ui.set_width(NUMBER - size::GAP);
            ui.add_space(3.0);
            ui.label(RichText::new(number).color(color).text_style(theme::strong()));
        });
        ui.vertical(|ui| {
            field(ui, scene, of, &key, line, state, out);
            said(ui, scene, of, &key, line, state, out);
        });
    });
    let bottom = ui.cursor().top();
    let left = ui.max_rect().left();
    if chosen && std::mem::take(&mut state.moved) {
        // Chosen elsewhere, by name or on the drawing: its line comes into view.
        ui.scroll_to_rect(egui::Rect::from_x_y_ranges(ui.max_rect().x_range(), top..=bottom), None);
    }
    if chosen && of.is_some() {
        let x = left - size::PAD / 2.0;
        ui.painter().vline(x, top..=bottom - size::GAP, Stroke::new(size::DAY, theme.ink));
    }
    ui.painter().hline(ui.max_rect().x_range(), bottom - 1.0, Stroke::new(size::HAIR, theme.rule));
    ui.add_space(size::GAP);
}

/// The field of a line.
fn field(
    ui: &mut Ui,
    scene: &Scene,
    of: Option<(usize, &Room)>,
    key: &str,
    line: &Line,
    state: &mut SheetState,
    out: &mut Vec<Action>,
) {
    let units = scene.job.units;
    let at = of.map_or(scene.job.rooms.len(), |o| o.0);
    let id = Id::unique(("measures", ui.scope_id()));
    let mut text = state.drafts.get(key).map_or_else(|| line.text.clone(), |d| d.text.clone());
    let asked = state.drafts.get(key).map_or(!line.questions.is_empty(), |d| d.tried);
    let focused = ui.memory(|m| m.has_focus(id));
    let mut go = None;
    let (mut entered, mut walked) = (false, false);
    if focused {
        let (row, rows) = state.row;
        let pressed = |m, k| ui.input_mut(|i| i.consume_key(m, k));
        entered = pressed(Modifiers::NONE, Key::Enter);
        if row == 0 && at > 0 && pressed(Modifiers::NONE, Key::ArrowUp) {
            (go, walked) = (Some(at - 1), true);
        }
        if row + 1 >= rows && at < scene.job.rooms.len() && pressed(Modifiers::NONE, Key::ArrowDown) {
            (go, walked) = (Some(at + 1), true);
        }
    }
    let theme = Theme::of(ui.ctx());
    let mut layouter = |ui: &Ui, text: &dyn TextBuffer, wrap: f32| -> Arc<Galley> {
        let marks = if asked { sheet::read(text.as_str(), units).questions } else { Vec::new() };
        let job = underlined(text.as_str(), &marks, wrap, theme);
        ui.painter().layout_job(job)
    };
    let hint = match units {
        Units::FeetInches => "the next room: hall 14' x 4' x 8', 3 doors 30x80",
        Units::Metric => "the next room: hall 4.2 x 1.2 x 2.5, 3 doors 80x200",
    };
    let edit = TextEdit::multiline(&mut text)
        .id(id)
        .desired_rows(1)
        .desired_width(f32::INFINITY)
        .return_key(None)
        .hint_text(hint)
        .layouter(&mut layouter)
        .show(ui);
    let name = of.map_or("the next room".to_string(), |(_, r)| format!("measures of {}", called(r)));
    let galley = edit.galley.clone();
    let cursor = edit.cursor_range;
    let response = edit.response.response.accessible_name(name);
    if let Some(c) = cursor {
        state.row = (galley.layout_from_cursor(c.primary).row, galley.rows.len());
    }
    if response.changed() {
        // A line is one line, also when several were pasted.
        let text = text.replace(['\n', '\r'], " ");
        let tried = state.drafts.get(key).is_some_and(|d| d.tried);
        state.drafts.insert(key.to_string(), Draft { text, tried });
        state.taking = None;
    }
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    // Who only passes by Tab chooses nothing; the line that is typed in, clicked or gone to by arrows is the room meant.
    let meant = response.changed() || response.clicked() || response.dragged();
    if let Some((i, _)) = of.filter(|(i, _)| meant && *i != state.chosen) {
        out.push(Action::Room(i));
    }
    let escaped = response.lost_focus() && ui.input(|i| i.key_pressed(Key::Escape));
    if escaped {
        state.drafts.remove(key);
        state.taking = None;
    } else if entered || go.is_some() || response.lost_focus() {
        let done = commit(scene, of, key, state, out);
        if done && entered && state.taking.is_none() {
            go = Some(at + 1);
        }
    }
    if response.has_focus() && !state.drafts.contains_key(key) {
        state.bare = Some(id);
    }
    if state.focus == Some(at) {
        state.focus = None;
        response.request_focus();
        let mut cursor = egui::text_edit::TextEditState::load(ui.ctx(), id).unwrap_or_default();
        let end = CCursor::new(text.chars().count());
        cursor.cursor.set_char_range(Some(CCursorRange::one(end)));
        cursor.store(ui.ctx(), id);
        state.row = (0, 1);
    }
    if go.is_some() {
        // The line it goes to may stand above: it takes the keyboard when it is drawn next.
        state.focus = go;
        if let Some(to) = go.filter(|&to| walked && to < scene.job.rooms.len()) {
            out.push(Action::Room(to));
        }
        ui.ctx().request_repaint();
    }
}

/// Makes a draft part of the job. Says whether nothing is left open.
fn commit(scene: &Scene, of: Option<(usize, &Room)>, key: &str, state: &mut SheetState, out: &mut Vec<Action>) -> bool {
    let job = scene.job;
    let Some(draft) = state.drafts.get_mut(key) else { return true };
    let text = draft.text.trim().to_string();
    if text.is_empty() {
        if let Some((i, room)) = of {
            let (more, told) = knock_on(job, &[Edit::Room(i, None)]);
            if room.surfaces.is_empty() && told.is_empty() {
                state.drafts.remove(key);
                out.push(Action::Edit(std::iter::once(Edit::Room(i, None)).chain(more).collect()));
            } else {
                state.taking = Some(room.id.clone());
            }
        } else {
            state.drafts.remove(key);
        }
        return true;
    }
    draft.tried = true;
    let read = sheet::read(&text, job.units);
    let Some(mut measured) = read.room else { return false };
    state.drafts.remove(key);
    match of {
        Some((i, room)) => {
            // What stood on a wall stays there although the line does not say it; then the line is written anew.
            let moved = sheet::keep_walls(&mut measured, &read.placed, room);
            let new = sheet::lay(measured, room);
            state.doubts.ask(room, &new);
            if moved {
                state.typed.remove(&room.id);
            } else {
                state.typed.insert(room.id.clone(), (text, measures(&new)));
            }
            state.lines = None;
            if new != *room {
                out.push(Action::Edit(vec![Edit::Room(i, Some(Box::new(new)))]));
            }
        }
        None => {
            let (room, place) = another(job, measured);
            state.typed.insert(room.id.clone(), (text, measures(&room)));
            let at = job.rooms.len();
            let place = Edit::Place(job.places.len(), Some(Box::new(place)));
            out.push(Action::Edit(vec![Edit::Room(at, Some(Box::new(room))), place]));
            out.push(Action::Room(at));
        }
    }
    true
}

/// A room more with a place of its own.
fn another(job: &Job, measured: Room) -> (Room, Place) {
    let name = if measured.name.is_empty() {
        crate::views::numbered("Room", job.rooms.len() + 1)
    } else {
        measured.name.clone()
    };
    let letters: String =
        name.to_lowercase().chars().map(|c| if c.is_ascii_alphanumeric() { c } else { ' ' }).collect();
    let base = letters.split_whitespace().collect::<Vec<_>>().join("-");
    let base = if base.is_empty() { "room" } else { &base };
    let id = free_id(base, job.rooms.iter().map(|r| r.id.as_str()));
    let place = free_id(&id, job.places.iter().map(|p| p.id.as_str()));
    let of_it = Place { id: place.clone(), name: name.to_lowercase(), kind: PlaceKind::Room, ..Place::default() };
    (Room { id, name, place, ..measured }, of_it)
}

/// Below a line: its echo, its questions with their offers, what stands against its measures.
fn said(
    ui: &mut Ui,
    scene: &Scene,
    of: Option<(usize, &Room)>,
    key: &str,
    line: &Line,
    state: &mut SheetState,
    out: &mut Vec<Action>,
) {
    let theme = Theme::of(ui.ctx());
    let quiet = |ui: &mut Ui, text: &str| {
        ui.add(Label::new(RichText::new(text).color(theme.quiet).size(size::SMALL)).wrap());
    };
    let wrong = |ui: &mut Ui, text: &str| {
        ui.add(Label::new(RichText::new(text).color(theme.error).size(size::SMALL)).wrap());
    };
    let name = of.map_or("the next room", |(_, r)| called(r)).to_string();
    if let Some((i, room)) = of.filter(|(_, r)| state.taking.as_deref() == Some(&r.id)) {
        let taken = Edit::Room(i, None);
        let (more, told) = knock_on(scene.job, std::slice::from_ref(&taken));
        wrong(ui, &drawing::taking_words(room));
        told.iter().for_each(|words| wrong(ui, words));
        ui.horizontal(|ui| {
            if button(ui, "Take it out", &format!("Take {name} out")) {
                state.taking = None;
                state.drafts.remove(key);
                out.push(Action::Edit(std::iter::once(taken).chain(more).collect()));
            }
            if button(ui, "Leave it", &format!("Leave {name} in")) {
                state.taking = None;
                state.drafts.remove(key);
            }
        });
        return;
    }
    let read = state.drafts.get(key).map(|d| (sheet::read(&d.text, scene.job.units), d.tried, d.text.clone()));
    let (echo, questions, text) = match &read {
        Some((r, tried, text)) => (&r.echo, if *tried { r.questions.as_slice() } else { &[] }, text),
        None => (&line.echo, line.questions.as_slice(), &line.text),
    };
    if !echo.is_empty() {
        quiet(ui, echo);
        let name = read.as_ref().and_then(|(r, ..)| r.room.as_ref()).or(of.map(|o| o.1)).map_or("", |r| r.name.trim());
        let other =
            |(i, r): (usize, &Room)| Some(i) != of.map(|o| o.0) && r.name.trim().to_lowercase() == name.to_lowercase();
        if !name.is_empty() && scene.job.rooms.iter().enumerate().any(other) {
            quiet(ui, &drawing::twice_words(name));
        }
    }
    let mut taken = None;
    for q in questions {
        wrong(ui, &q.ask);
        ui.horizontal_wrapped(|ui| {
            for offer in &q.offers {
                if button(ui, &differs(text, offer), offer) {
                    taken = Some(offer.clone());
                }
            }
        });
    }
    if let Some(text) = taken {
        state.drafts.insert(key.to_string(), Draft { text, tried: true });
        if !commit(scene, of, key, state, out) {
            state.focus = Some(of.map_or(scene.job.rooms.len(), |o| o.0));
        }
    }
    if let Some((i, room)) = of.filter(|_| read.is_none()) {
        state.doubts.show(ui, room, &wrong);
        line.strays.iter().for_each(|s| wrong(ui, s));
        let path = format!("rooms[{i}]");
        let surfaces = format!("rooms[{i}].surfaces");
        let its = |p: &str| p.strip_prefix(&path).is_some_and(|r| r.is_empty() || r.starts_with('.'));
        let of_line = |p: &String| its(p) && !p.starts_with(&surfaces);
        for l in scene.against.lines.iter().filter(|l| l.paths.iter().any(of_line)) {
            wrong(ui, &l.words);
        }
    }
}

/// A line with what is asked about underlined.
fn underlined(text: &str, questions: &[Question], wrap: f32, theme: &Theme) -> LayoutJob {
    let mut job = LayoutJob::default();
    job.wrap.max_width = wrap;
    let of = |marked: bool| {
        let color = if marked { theme.error } else { theme.ink };
        let underline = if marked { Stroke::new(size::OUTLINE, theme.error) } else { Stroke::NONE };
        TextFormat { underline, ..TextFormat::simple(plain(size::BODY), color) }
    };
    let marked = |at: usize| questions.iter().any(|q| q.at.contains(&at));
    let mut run: Range<usize> = 0..0;
    for (at, c) in text.char_indices() {
        if marked(at) != marked(run.start) {
            job.append(&text[run.clone()], 0.0, of(marked(run.start)));
            run.start = at;
        }
        run.end = at + c.len_utf8();
    }
    job.append(&text[run.clone()], 0.0, of(marked(run.start)));
    job
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_asked_about_is_underlined_and_nothing_else() {
        let q = Question { at: 5..8, ask: String::new(), offers: Vec::new() };
        let job = underlined("hall ½x 4", &[q], 400.0, &theme::LIGHT);
        let said: Vec<(String, bool)> = job
            .sections
            .iter()
            .map(|s| {
                (job.text[s.byte_range.start.0..s.byte_range.end.0].to_string(), s.format.underline != Stroke::NONE)
            })
            .collect();
        assert_eq!(said, [("hall ".into(), false), ("½x".into(), true), (" 4".into(), false)]);
    }
}
