//! Fields of the bench: rows with a caption, fields that keep a draft until it is committed.
//!
//! A draft is what was typed and not yet committed. Enter or leaving the field commits it,
//! Escape drops it. What cannot be read stays as typed, with what is wrong and what to write
//! below its row, and is not applied. Inside [`asking`] a number asks what it would do while it
//! is typed, dragged sideways or stepped by the arrows up and down. Every field, choice, tick and button has an accessible
//! name: its own, then what it belongs to, `length, Study`.
//!
//! One file because every kind of field shares the draft, the name and what is said below it.

use chrono::NaiveDate;
use egui::text::{CCursor, CCursorRange};
use egui::text_edit::TextEditState;
use egui::{
    Align, CursorIcon, Frame, Id, Key, Label, LayerId, Layout, Modifiers, Order, Pos2, Rect, Response, RichText, Sense,
    TextEdit, TextWrapMode, Ui, UiBuilder, pos2, vec2,
};

use super::near::{at_rest_id, cannot_be_read, near, stop, take_if_wanted};
use crate::job::{Hm, Units};
use crate::measure::{Length, Unit};
use crate::ui::action::Action;
use crate::ui::session::{AskedBy, WhatIf};
use crate::ui::theme::{self, Theme, plain, size};
use crate::views::said::{self, day_near};
use crate::views::{typed, whole};

/// Width of the caption column.
const CAPTION: f32 = 84.0;
/// Letters of words between fields that stay together.
const WHOLE: usize = 24;
/// Widths of fields: a number, a length, a day.
pub const NUMBER: f32 = 56.0;
pub const COUNT: f32 = 36.0;
pub const LENGTH: f32 = 64.0;
pub const DAY: f32 = 92.0;

/// What was typed and is not committed.
#[derive(Clone, Debug)]
struct Draft {
    text: String,
    /// What the field showed when typing began.
    base: String,
    /// A commit was tried and the text could not be read.
    tried: bool,
}

/// What is said below a row.
enum Said {
    Wrong(String),
    Reads(String),
}

/// Points of a sideways drag that make one step.
const STEP: f32 = 5.0;
/// Steps at once with Shift.
const MANY: i64 = 10;

/// A number being dragged, from what it was.
#[derive(Clone, Copy, Debug, Default)]
struct Drag {
    x: f32,
    steps: i64,
    /// Escape was pressed: the rest of the drag does nothing.
    dropped: bool,
}

/// What fields asked for since [`asking`] began.
#[derive(Clone, Debug, Default)]
struct Asking {
    /// The field whose value is only tried.
    tried: Option<String>,
    /// A field that asks no longer.
    dropped: Option<String>,
}

fn asking_id() -> Id {
    Id::unique("fields that ask")
}

/// Draws a panel whose numbers ask: a change they make while they are typed or dragged is a
/// question, answered and dropped or made by them; everything else stays as it was asked for.
pub fn asking(
    ui: &mut Ui,
    question: Option<&WhatIf>,
    out: &mut Vec<Action>,
    add: impl FnOnce(&mut Ui, &mut Vec<Action>),
) {
    ui.data_mut(|d| d.insert_temp(asking_id(), Asking::default()));
    let mut own = Vec::new();
    add(ui, &mut own);
    let asked = ui.data_mut(|d| d.remove_temp::<Asking>(asking_id())).unwrap_or_default();
    if let Some(name) = asked.tried {
        for a in &mut own {
            if let Action::Edit(edits) = a {
                let asked_by = AskedBy::Field(name.clone());
                *a = Action::Ask(WhatIf { edits: std::mem::take(edits), asked_by });
            }
        }
    } else if let Some(name) = asked.dropped
        && question.is_some_and(|q| q.asked_by == AskedBy::Field(name))
        && !own.iter().any(|a| matches!(a, Action::Edit(_)))
    {
        own.push(Action::DropQuestion);
    }
    out.append(&mut own);
}

/// A value some steps on.
type Step<'a, T> = &'a dyn Fn(&T, i64) -> T;

/// A row being filled: fields beside each other, what is wrong with them below.
pub struct Row<'u> {
    pub ui: &'u mut Ui,
    /// What the row belongs to, part of every accessible name.
    of: &'u str,
    said: Vec<Said>,
    /// The next field takes the keyboard.
    take: bool,
}

/// A row: caption at the left, fields at the right, remarks below.
pub fn row(ui: &mut Ui, of: &str, caption: &str, add: impl FnOnce(&mut Row)) {
    let quiet = Theme::of(ui.ctx()).quiet;
    ui.horizontal_top(|ui| {
        ui.allocate_ui_with_layout(vec2(CAPTION, size::ROW), Layout::top_down(Align::Min), |ui| {
            ui.set_width(CAPTION);
            ui.add_space(3.0);
            ui.add(Label::new(RichText::new(caption).color(quiet)).wrap());
        });
        ui.vertical(|ui| line(ui, of, add));
    });
}

/// A row without a caption, as wide as there is room: fields beside each other, remarks below.
pub fn line(ui: &mut Ui, of: &str, add: impl FnOnce(&mut Row)) {
    let mut said = Vec::new();
    let mut end = Pos2::ZERO;
    let row = ui.horizontal_wrapped(|ui| {
        let mut row = Row { ui, of, said: Vec::new(), take: false };
        add(&mut row);
        end = row.ui.cursor().min;
        said = row.said;
    });
    let theme = Theme::of(ui.ctx());
    let mut reads = Vec::new();
    for s in said {
        match s {
            Said::Wrong(text) => {
                ui.add(Label::new(RichText::new(text).color(theme.error).size(size::SMALL)).wrap());
            }
            Said::Reads(text) => reads.push(text),
        }
    }
    if !reads.is_empty() {
        over(ui, row.response.rect.left_top(), end, &reads.join(", "));
    }
}

/// Whether how it is read says more than what is typed: a unit alone does not.
pub(super) fn tells_more(as_read: &str, typed: &str) -> bool {
    let unit = as_read.strip_prefix(typed).filter(|_| !typed.is_empty());
    unit.is_none_or(|u| u.contains(|c: char| c.is_ascii_digit()))
}

/// How what is being typed is read, behind the row's `end` where there is room, else above its `top`, over what was
/// written before: nothing moves for it, and what is written or clicked next lies where it lay.
fn over(ui: &mut Ui, top: Pos2, end: Pos2, text: &str) {
    let theme = Theme::of(ui.ctx());
    let wide = ui.painter().layout_no_wrap(text.to_string(), plain(size::SMALL), theme.quiet).rect.width();
    let beside = end.x + wide <= ui.max_rect().right();
    let at = if beside { end + vec2(0.0, 3.0) } else { pos2(top.x, top.y - size::SMALL - size::LINE) };
    let layer = LayerId::new(Order::Tooltip, ui.scope_id().with("reads"));
    let place = Rect::from_min_size(at, vec2(ui.available_width(), size::ROW));
    let mut above = ui.new_child(UiBuilder::new().layer_id(layer).max_rect(place));
    Frame::new().fill(theme.paper).show(&mut above, |ui| {
        let words = RichText::new(text).color(theme.quiet).size(size::SMALL);
        ui.add(Label::new(words).wrap_mode(TextWrapMode::Extend).selectable(false));
    });
}

/// Records renamed here: the name a record has now, and the one its fields are remembered by. A field that
/// Tab went to keeps the keyboard although its name has changed.
#[derive(Clone, Default)]
struct Renamed(Vec<(String, String)>);

/// Names remembered; an older one costs at most the keyboard once.
const MOST_RENAMED: usize = 100;

fn renamed(ui: &Ui, old: &str, new: &str) {
    let first = first_name(ui, &format!(", {old}"));
    let first = first.trim_start_matches(", ").to_string();
    ui.data_mut(|d| {
        let list = d.get_temp_mut_or_default::<Renamed>(Id::unique("renamed records"));
        // The old name is still that of the fields drawn after this one in the same frame.
        list.0.retain(|(now, _)| now != new);
        if first != new {
            list.0.push((new.to_string(), first));
        }
        if list.0.len() > MOST_RENAMED {
            list.0.remove(0);
        }
    });
}

/// The name of a field with the record's first name in place of the one it has now.
fn first_name(ui: &Ui, name: &str) -> String {
    let list = ui.data(|d| d.get_temp::<Renamed>(Id::unique("renamed records"))).unwrap_or_default();
    for (now, first) in &list.0 {
        let front =
            name.strip_suffix(now.as_str()).filter(|f| !now.is_empty() && (f.ends_with(", ") || f.ends_with(" of ")));
        if let Some(front) = front {
            return format!("{front}{first}");
        }
    }
    name.to_string()
}

impl Row<'_> {
    pub(super) fn named(&self, name: &str) -> String {
        if self.of.is_empty() { name.to_string() } else { format!("{name}, {}", self.of) }
    }

    /// A word between fields.
    pub fn word(&mut self, text: &str) {
        let quiet = Theme::of(self.ui.ctx()).quiet;
        let label = Label::new(RichText::new(text).color(quiet));
        // A few words are not torn apart at the end of the column.
        self.ui.add(if text.chars().count() <= WHOLE { label.extend() } else { label });
    }

    /// The next field of this row takes the keyboard.
    pub fn take_keyboard(&mut self) {
        self.take = true;
    }

    /// A text field over a value. Gives the new value once it is committed and differs; inside
    /// [`asking`] also each value typed on the way, to be tried.
    pub fn field<T: PartialEq>(
        &mut self,
        name: &str,
        width: f32,
        value: &T,
        print: impl Fn(&T) -> String,
        read: impl Fn(&str) -> Result<T, String>,
    ) -> Option<T> {
        self.filled(name, width, value, "", print, read, None, true)
    }

    /// The same, with what holds while it is empty shown in it.
    pub fn hinted<T: PartialEq>(
        &mut self,
        name: &str,
        width: f32,
        value: &T,
        hint: &str,
        print: impl Fn(&T) -> String,
        read: impl Fn(&str) -> Result<T, String>,
    ) -> Option<T> {
        self.filled(name, width, value, hint, print, read, None, true)
    }

    /// A field that asks nothing on the way: its value is only taken once it is committed.
    pub fn once<T: PartialEq>(
        &mut self,
        name: &str,
        width: f32,
        value: &T,
        print: impl Fn(&T) -> String,
        read: impl Fn(&str) -> Result<T, String>,
    ) -> Option<T> {
        self.filled(name, width, value, "", print, read, None, false)
    }

    /// A field whose value can be stepped: dragged sideways, or by the arrows up and down.
    pub fn stepped<T: PartialEq>(
        &mut self,
        name: &str,
        width: f32,
        value: &T,
        print: impl Fn(&T) -> String,
        read: impl Fn(&str) -> Result<T, String>,
        step: &dyn Fn(&T, i64) -> T,
    ) -> Option<T> {
        self.filled(name, width, value, "", print, read, Some(step), true)
    }

    #[expect(clippy::too_many_arguments)]
    fn filled<T: PartialEq>(
        &mut self,
        name: &str,
        width: f32,
        value: &T,
        hint: &str,
        print: impl Fn(&T) -> String,
        read: impl Fn(&str) -> Result<T, String>,
        step: Option<Step<T>>,
        asks: bool,
    ) -> Option<T> {
        let name = self.named(name);
        let asks = asks && self.ui.data(|d| d.get_temp::<Asking>(asking_id())).is_some();
        let id = self.ui.make_persistent_id(("field", first_name(self.ui, &name)));
        let shown = print(value);
        let focused = self.ui.memory(|m| m.has_focus(id));
        let mut draft = self.ui.data(|d| d.get_temp::<Draft>(id)).filter(|d| focused || d.base == shown);
        let had = draft.is_some();
        let before = draft.as_ref().map_or_else(|| shown.clone(), |d| d.text.clone());
        let mut text = before.clone();
        if let Some(step) = step.filter(|_| focused)
            && let Some(n) = arrows(self.ui)
        {
            let from = read(&text);
            let to = step(from.as_ref().unwrap_or(value), n);
            if read(&print(&to)).is_ok() {
                text = print(&to);
            }
        }
        let stepped = text != before;
        let wrong = draft.as_ref().is_some_and(|d| (d.tried || !focused) && read(&d.text).is_err());
        let color = wrong.then(|| Theme::of(self.ui.ctx()).error);
        // A number being dragged shows where it is.
        let drag_id = id.with("drag");
        let drag = self.ui.data(|d| d.get_temp::<Drag>(drag_id)).filter(|d| !d.dropped);
        let at = |n: i64| step.map(|s| s(value, n)).filter(|v| read(&print(v)).is_ok());
        if let Some(v) = drag.and_then(|d| at(d.steps)) {
            text = print(&v);
        }
        let letters = text.chars().count();
        let edit = TextEdit::singleline(&mut text).id(id).desired_width(width).text_color_opt(color);
        let edit = edit.hint_text(hint);
        let response = self.ui.add(edit).accessible_name(name.clone());
        stop(&response);
        take_if_wanted(&response, &name);
        if std::mem::take(&mut self.take) {
            response.request_focus();
        }
        if response.gained_focus() {
            response.scroll_to_me(None);
            // Come to by the keyboard all of it is marked, as after a click into a number.
            if !self.ui.input(|i| i.pointer.any_down() || i.pointer.any_released()) {
                mark_all(&response, letters);
            }
        }
        if let Some(v) = step.and_then(|_| self.dragged(&response, drag_id, &at, asks, &name, shown.chars().count())) {
            return Some(v).filter(|v| v != value);
        }
        let changed = response.changed() || stepped;
        if changed && drag.is_none() {
            draft = Some(Draft { text, base: shown.clone(), tried: false });
        }
        let mut tried = None;
        let by = |key: Key| response.lost_focus() && self.ui.input(|i| i.key_pressed(key));
        let (dropped, entered) = (by(Key::Escape), by(Key::Enter));
        if dropped {
            draft = None;
        }
        // What is committed by Enter or dropped by Escape keeps the keyboard.
        let stays = dropped && had || entered;
        let mut committed = None;
        if let Some(d) = &mut draft {
            let focused = response.has_focus();
            match read(&d.text) {
                Ok(v) if focused => {
                    let as_read = print(&v);
                    if tells_more(&as_read, d.text.trim()) {
                        self.said.push(Said::Reads(format!("reads as {as_read}")));
                    }
                    if changed && asks {
                        tried = Some(v).filter(|v| v != value);
                        self.asks(&name, tried.is_some());
                    }
                }
                // Typed over by the same: a value finer than it is shown stays as it is.
                Ok(_) if d.text == shown => draft = None,
                Ok(v) => committed = Some(v),
                Err(e) => {
                    cannot_be_read(self.ui, &name);
                    d.tried |= !focused;
                    if d.tried {
                        self.said.push(Said::Wrong(e));
                        if asks {
                            self.asks(&name, false);
                        }
                    }
                }
            }
        }
        if committed.is_some() {
            draft = None;
        }
        if had && draft.is_none() && asks {
            self.asks(&name, false);
        }
        if stays {
            response.request_focus();
        }
        if draft.as_ref().is_none_or(|d| d.text == d.base) && (stays || response.has_focus()) {
            self.ui.data_mut(|d| d.insert_temp(at_rest_id(), id));
        } else {
            self.ui.data_mut(|d| {
                if d.get_temp::<Id>(at_rest_id()) == Some(id) {
                    d.remove::<Id>(at_rest_id());
                }
            });
        }
        self.ui.data_mut(|store| match draft {
            Some(d) => {
                store.insert_temp(id, d);
            }
            None => store.remove::<Draft>(id),
        });
        committed.filter(|v| v != value).or(tried)
    }

    /// Notes that a field asks, or asks no longer.
    fn asks(&self, name: &str, on: bool) {
        self.ui.data_mut(|d| {
            if let Some(mut a) = d.get_temp::<Asking>(asking_id()) {
                let at = if on { &mut a.tried } else { &mut a.dropped };
                *at = Some(name.to_string());
                d.insert_temp(asking_id(), a);
            }
        });
    }

    /// A drag sideways over a number that is not being written in: a value to try, and the
    /// last one, when it is let go, to keep.
    fn dragged<T: PartialEq>(
        &mut self,
        field: &Response,
        id: Id,
        at: &dyn Fn(i64) -> Option<T>,
        asks: bool,
        name: &str,
        letters: usize,
    ) -> Option<T> {
        let old = self.ui.data(|d| d.get_temp::<Drag>(id));
        if field.has_focus() && old.is_none() {
            // A number is one word, with its point and its fraction.
            if field.double_clicked() || field.triple_clicked() {
                mark_all(field, letters);
            }
            return None;
        }
        // Over the field, so that a drag is not a choice of letters; a click goes on to the field.
        let over = self.ui.interact(field.rect, id, Sense::CLICK | Sense::DRAG);
        if over.hovered() || old.is_some() {
            self.ui.ctx().set_cursor_icon(CursorIcon::ResizeHorizontal);
        }
        if over.clicked() {
            field.request_focus();
            mark_all(field, letters);
            return None;
        }
        if over.drag_stopped() {
            self.ui.data_mut(|d| d.remove::<Drag>(id));
            if asks {
                self.asks(name, false);
            }
            return old.filter(|d| !d.dropped).and_then(|d| at(d.steps));
        }
        if !over.dragged() {
            if old.is_some() {
                self.ui.data_mut(|d| d.remove::<Drag>(id));
            }
            return None;
        }
        let mut drag = old.unwrap_or_default();
        if self.ui.input(|i| i.key_pressed(Key::Escape)) && !drag.dropped {
            drag.dropped = true;
            if asks {
                self.asks(name, false);
            }
        }
        drag.x += over.drag_delta().x;
        let steps = (drag.x / STEP) as i64;
        let moved = steps != drag.steps && !drag.dropped;
        // A value out of range stays at the last that is not.
        if moved && at(steps).is_some() {
            drag.steps = steps;
        }
        self.ui.data_mut(|d| d.insert_temp(id, drag));
        let value = at(drag.steps).filter(|_| moved && asks);
        if value.is_some() {
            self.asks(name, drag.steps != 0);
        }
        value
    }

    /// Words; an empty text is allowed.
    pub fn text(&mut self, name: &str, width: f32, value: &str) -> Option<String> {
        let new =
            self.filled(name, width, &value.to_string(), "", |v| v.clone(), |t| Ok(t.trim().to_string()), None, false);
        if let Some(new) = new.as_ref().filter(|_| name == "name" && self.of == value) {
            renamed(self.ui, value, new);
        }
        new
    }

    /// Words taken letter by letter, as they are typed.
    pub fn live(&mut self, name: &str, width: f32, value: &mut String) {
        let name = self.named(name);
        let id = self.ui.make_persistent_id(("live", &name));
        let edit = TextEdit::singleline(value).id(id).desired_width(width);
        let response = self.ui.add(edit).accessible_name(name.clone());
        stop(&response);
        take_if_wanted(&response, &name);
        if std::mem::take(&mut self.take) {
            response.request_focus();
        }
    }

    /// A length in the job's style; a number without a unit is taken in feet or metres, or,
    /// for what is `small`, in inches or centimetres.
    pub fn length(&mut self, name: &str, units: Units, small: bool, value: Length) -> Option<Length> {
        let step = |l: &Length, n: i64| typed::length_stepped(units, *l, n);
        self.stepped(name, LENGTH, &value, |l| l.print(units.style()), |t| read_length(units, small, t), &step)
    }

    /// A length that may be left out.
    pub fn maybe_length(&mut self, name: &str, units: Units, value: Option<Length>) -> Option<Option<Length>> {
        let print = |l: &Option<Length>| l.map_or_else(String::new, |l| l.print(units.style()));
        self.field(name, LENGTH, &value, print, |t| match t.trim() {
            "" => Ok(None),
            t => read_length(units, true, t).map(Some),
        })
    }

    /// A length that may be left out; empty it shows what holds then.
    pub fn usual_length(
        &mut self,
        name: &str,
        units: Units,
        value: Option<Length>,
        usual: &str,
    ) -> Option<Option<Length>> {
        let print = |l: &Option<Length>| l.map_or_else(String::new, |l| l.print(units.style()));
        self.hinted(name, LENGTH * 1.3, &value, usual, print, |t| match t.trim() {
            "" => Ok(None),
            t => read_length(units, true, t).map(Some),
        })
    }

    /// A number, 0 or more.
    pub fn amount(&mut self, name: &str, value: f64) -> Option<f64> {
        let step = |x: &f64, n: i64| typed::stepped(value, *x, n);
        self.stepped(name, NUMBER, &value, |x| typed::plain(*x), typed::read_amount, &step)
    }

    /// A number between two others, the limits allowed.
    pub fn within(&mut self, name: &str, value: f64, low: f64, high: f64) -> Option<f64> {
        let step = |x: &f64, n: i64| typed::stepped(value, *x, n).clamp(low, high);
        self.stepped(
            name,
            NUMBER,
            &value,
            |x| typed::plain(*x),
            |t| {
                let x = typed::read_number(t)?;
                let limits = format!("write {} to {}", typed::plain(low), typed::plain(high));
                if (low..=high).contains(&x) {
                    Ok(x)
                } else {
                    Err(format!("{} is out of range; {limits}", typed::plain(x)))
                }
            },
            &step,
        )
    }

    /// A whole number.
    pub fn count(&mut self, name: &str, value: u32) -> Option<u32> {
        let step = |x: &u32, n: i64| (i64::from(*x) + n).max(0) as u32;
        self.stepped(name, COUNT, &value, |n| whole(*n), typed::read_count, &step)
    }

    /// A whole number that may be left out.
    pub fn maybe_count(&mut self, name: &str, value: Option<u32>) -> Option<Option<u32>> {
        let print = |n: &Option<u32>| n.map_or_else(String::new, whole);
        self.field(name, COUNT, &value, print, |t| match t.trim() {
            "" => Ok(None),
            t => typed::read_count(t).map(Some),
        })
    }

    /// A chance or share, in per cent.
    pub fn percent(&mut self, name: &str, value: f64) -> Option<f64> {
        let step = |x: &f64, n: i64| (((x * 100.0).round() as i64 + n).clamp(0, 100)) as f64 / 100.0;
        self.stepped(name, 56.0, &value, |x| typed::percent(*x), typed::read_percent, &step)
    }

    /// A day.
    pub fn day(&mut self, name: &str, value: NaiveDate) -> Option<NaiveDate> {
        let near = near(self.ui, Some(value));
        self.stepped(name, DAY, &value, |d| typed::day_field(*d), |t| day_near(t, near), &day_on)
    }

    /// A day that may be left out.
    pub fn maybe_day(&mut self, name: &str, value: Option<NaiveDate>) -> Option<Option<NaiveDate>> {
        let print = |d: &Option<NaiveDate>| d.map_or_else(String::new, typed::day_field);
        let near = near(self.ui, value);
        let read = |t: &str| match t.trim() {
            "" => Ok(None),
            t => day_near(t, near).map(Some),
        };
        self.stepped(name, DAY, &value, print, read, &|d, n| d.map(|d| day_on(&d, n)))
    }

    /// Days between commas.
    pub fn days(&mut self, name: &str, value: &[NaiveDate]) -> Option<Vec<NaiveDate>> {
        let (width, near) = (self.wide(), near(self.ui, None));
        self.field(name, width, &value.to_vec(), |d| typed::days_field(d), |t| said::days_near(t, near))
    }

    /// A time of day.
    pub fn time(&mut self, name: &str, value: Hm) -> Option<Hm> {
        let step = |t: &Hm, n: i64| Hm((t.0 + QUARTER * n).clamp(0, 24 * 60));
        self.stepped(name, NUMBER, &value, Hm::to_string, typed::read_time, &step)
    }

    /// Low, typical and high, each more than nothing and rising; all three at once when one is
    /// committed.
    pub fn three(&mut self, name: &str, value: (f64, f64, f64)) -> Option<(f64, f64, f64)> {
        let rising = |x: (f64, f64, f64)| match x {
            (a, b, c) if a > 0.0 && a <= b && b <= c => Ok(x),
            (a, ..) if a <= 0.0 => Err("must be more than nothing".to_string()),
            _ => Err("low, typical, high must rise".to_string()),
        };
        let mut out = None;
        // Each over its field.
        let quiet = Theme::of(self.ui.ctx()).quiet;
        for word in ["low", "typical", "high"] {
            let (at, _) = self.ui.allocate_exact_size(vec2(NUMBER, size::SMALL + 3.0), Sense::hover());
            let p = self.ui.painter();
            p.text(at.left_bottom(), egui::Align2::LEFT_BOTTOM, word, theme::plain(size::SMALL), quiet);
        }
        self.ui.end_row();
        for (k, word) in ["low", "typical", "high"].into_iter().enumerate() {
            let with = |x: f64| match k {
                0 => (x, value.1, value.2),
                1 => typed::with_typical(value, x),
                _ => (value.0, value.1, x),
            };
            let one = [value.0, value.1, value.2][k];
            let read = |t: &str| typed::read_amount(t).and_then(|x| rising(with(x)).map(|_| x));
            let step = |x: &f64, n: i64| typed::stepped(one, *x, n);
            let field = format!("{name} {word}");
            if let Some(x) = self.stepped(&field, NUMBER, &one, |x| typed::plain(*x), read, &step) {
                out = Some(with(x));
            }
        }
        out
    }

    /// A tick with its words. Gives the new state when it is changed.
    pub fn tick(&mut self, words: &str, on: bool) -> Option<bool> {
        let name = self.named(words);
        let mut now = on;
        stop(&self.ui.checkbox(&mut now, words).accessible_name(name));
        (now != on).then_some(now)
    }

    /// A button.
    pub fn button(&mut self, words: &str) -> bool {
        let name = self.named(words);
        button(self.ui, words, &name)
    }

    /// A button that reads out more than it shows.
    pub fn button_as(&mut self, words: &str, name: &str) -> bool {
        let name = self.named(name);
        button(self.ui, words, &name)
    }

    /// Words that lead somewhere; `name` tells two of the same words apart.
    pub fn link(&mut self, words: &str, name: &str) -> bool {
        let name = self.named(name);
        let link = egui::Link::new(words);
        self.ui.add(link).accessible_name(format!("{words}, {name}")).clicked()
    }

    /// Width left on a line of its own.
    pub fn wide(&self) -> f32 {
        (self.ui.max_rect().width() - 12.0).max(LENGTH)
    }
}

/// Minutes of a step of a time of day.
pub const QUARTER: i64 = 15;

/// A day so many later.
fn day_on(day: &NaiveDate, by: i64) -> NaiveDate {
    day.checked_add_signed(chrono::Duration::days(by)).unwrap_or(*day)
}

/// Marks all of a field: what is typed takes its place.
fn mark_all(field: &Response, letters: usize) {
    let mut state = TextEditState::load(&field.ctx, field.id).unwrap_or_default();
    state.cursor.set_char_range(Some(CCursorRange::two(CCursor::new(0), CCursor::new(letters))));
    state.store(&field.ctx, field.id);
}

/// Steps by the arrows up and down, ten at once with Shift.
fn arrows(ui: &Ui) -> Option<i64> {
    ui.input_mut(|i| {
        let mut n = 0;
        for (key, by) in [(Key::ArrowUp, 1), (Key::ArrowDown, -1)] {
            n += by * MANY * i.count_and_consume_key(Modifiers::SHIFT, key) as i64;
            n += by * i.count_and_consume_key(Modifiers::NONE, key) as i64;
        }
        Some(n).filter(|n| *n != 0)
    })
}

/// Fields inside a row laid out otherwise; what they remark is not shown.
pub fn within(ui: &mut Ui, of: &str, add: impl FnOnce(&mut Row)) {
    add(&mut Row { ui, of, said: Vec::new(), take: false });
}

/// A button with an accessible name of its own.
pub fn button(ui: &mut Ui, words: &str, name: &str) -> bool {
    let response = ui.button(words).accessible_name(name);
    stop(&response);
    response.clicked()
}

fn read_length(units: Units, small: bool, text: &str) -> Result<Length, String> {
    let bare = match (units, small) {
        (Units::FeetInches, false) => Unit::Feet,
        (Units::FeetInches, true) => Unit::Inches,
        (Units::Metric, false) => Unit::Metres,
        (Units::Metric, true) => Unit::Centimetres,
    };
    Length::parse_with(text, bare).map_err(|e| e.to_string())
}
