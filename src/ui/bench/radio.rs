//! Choices of which one holds: one stop of Tab for all of them, arrows go from one to the next.
//!
//! Going to a choice chooses nothing; Space, Enter or a click does. A screen reader is told the group, its name and
//! which of how many each is.

use egui::{Atom, EventFilter, Id, Key, Modifiers, Response, Role, Sense, Ui, UiBuilder, Vec2, WidgetAtom, WidgetInfo};

use crate::ui::theme::{Theme, size};

/// Arrows pressed while the thing of this id, one of so many, has the keyboard: the place of the one they lead to.
/// Tab still leaves all of them.
pub fn arrows(ui: &Ui, id: Id, at: usize, many: usize) -> Option<usize> {
    if !ui.memory(|m| m.has_focus(id)) {
        return None;
    }
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
    let by = ui.input_mut(|i| {
        let mut n = 0;
        for (key, by) in [(Key::ArrowDown, 1), (Key::ArrowRight, 1), (Key::ArrowUp, -1), (Key::ArrowLeft, -1)] {
            n += by * i.count_and_consume_key(Modifiers::NONE, key) as i64;
        }
        n
    });
    let to = (at as i64 + by).clamp(0, many as i64 - 1) as usize;
    (to != at).then_some(to)
}

/// How a thing listens: all to clicks, only the `stop` of its group to Tab.
pub fn sense(stop: bool) -> Sense {
    if stop { Sense::click() } else { Sense::CLICK }
}

/// Tells a screen reader the place of a choice in its group.
pub fn one_of(response: &Response, at: usize) {
    response.ctx.accesskit_node_builder(response.id, |n| {
        n.set_role(Role::RadioButton);
        n.set_position_in_set(at);
    });
}

/// A part of the window that is one group of choices of this name.
pub fn grouped<R>(ui: &mut Ui, name: &str, many: usize, add: impl FnOnce(&mut Ui) -> R) -> R {
    let builder = UiBuilder::new().accessibility_role(Role::RadioGroup);
    ui.scope_builder(builder, |ui| {
        ui.ctx().accesskit_node_builder(ui.unique_id(), |n| {
            n.set_label(name);
            n.set_size_of_set(many);
        });
        add(ui)
    })
    .inner
}

/// A group being drawn, choice after choice.
pub struct Group {
    id: Id,
    /// The choice that Tab comes to.
    stop: usize,
    next: usize,
}

impl Group {
    /// Draws a group of this name; `on` says of each choice whether it holds. Where several hold, as in rows that
    /// belong together, Tab comes to the first.
    pub fn show<R>(ui: &mut Ui, name: &str, on: &[bool], add: impl FnOnce(&mut Ui, &mut Group) -> R) -> R {
        let many = on.len();
        grouped(ui, name, many, |ui| {
            let id = ui.make_persistent_id(("choices", name));
            let has = (0..many).find(|k| ui.memory(|m| m.has_focus(id.with(k))));
            if let Some(k) = has
                && let Some(to) = arrows(ui, id.with(k), k, many)
            {
                ui.memory_mut(|m| m.request_focus(id.with(to)));
                ui.ctx().request_repaint();
            }
            let stop = has.or_else(|| on.iter().position(|x| *x)).unwrap_or(0);
            add(ui, &mut Group { id, stop, next: 0 })
        })
    }

    /// The next choice, in its words; `name` is what a screen reader says of it.
    pub fn choice(&mut self, ui: &mut Ui, words: &str, name: &str, on: bool) -> Response {
        let k = self.next;
        self.next += 1;
        let theme = Theme::of(ui.ctx());
        let wide = ui.spacing().icon_width;
        let high = ui.spacing().interact_size.y;
        let ring = egui::IdSalt::new("ring");
        let atoms = (Atom::custom(ring, Vec2::new(wide, high)), words);
        let made = WidgetAtom::new(atoms).id(self.id.with(k)).sense(sense(k == self.stop));
        let mut made = made.min_size(Vec2::splat(high)).allocate(ui);
        let visuals = *ui.style().interact(&made.response);
        made.fallback_text_color = visuals.text_color();
        let painted = made.paint(ui);
        if let Some(rect) = painted.rect(ring) {
            let p = ui.painter();
            let r = wide / 2.0 - 1.0;
            p.circle(rect.center(), r, visuals.bg_fill, visuals.bg_stroke);
            if on {
                p.circle_filled(rect.center(), r / 2.0, theme.ink);
            }
        }
        let response = painted.response;
        if response.has_focus() {
            let edge = response.rect.expand2(egui::vec2(2.0, 0.0));
            ui.painter().rect_stroke(edge, 0.0, (size::OUTLINE, theme.focus), egui::StrokeKind::Inside);
        }
        response.widget_info(|| WidgetInfo::selected(Role::RadioButton, ui.is_enabled(), on, name));
        one_of(&response, k);
        if k == self.stop {
            super::near::stop(&response);
        }
        response
    }
}
