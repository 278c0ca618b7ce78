//! A choice from a list that drops down: Space, Enter or the arrow down opens it, arrows go from line to line, Enter
//! takes one, Escape closes it and changes nothing; the field has the keyboard again then.

use egui::{ComboBox, EventFilter, Id, Key, Popup};

use super::field::Row;
use super::near::stop;
use super::radio::{arrows, sense};

/// Height a list may have: the reasons for a lost day fit, none of them cut.
pub const HIGH: f32 = 300.0;

impl Row<'_> {
    /// A choice among several; the words of what is chosen, then those of each option.
    pub fn choose<T: PartialEq + Clone>(
        &mut self,
        name: &str,
        width: f32,
        value: &T,
        options: &[(T, String)],
    ) -> Option<T> {
        let name = self.named(name);
        let now = options.iter().find(|o| o.0 == *value).map_or("", |o| o.1.as_str());
        let mut out = None;
        let mut taken = false;
        // The line of the list that has the keyboard, by its place and id; none while it is closed.
        let key: Id = self.ui.make_persistent_id(("list", &name));
        let before = self.ui.data(|d| d.get_temp::<usize>(key));
        let first = before.or_else(|| options.iter().position(|o| o.0 == *value)).unwrap_or(0);
        let mut at = first;
        let shown = ComboBox::from_id_salt(("choice", &name)).width(width).height(HIGH).truncate().selected_text(now);
        let made = shown.show_ui(self.ui, |ui| {
            let mut lines = Vec::new();
            for (k, (option, words)) in options.iter().enumerate() {
                let line = egui::Button::selectable(option == value, words).sense(sense(k == first));
                let response = ui.add(line);
                if response.clicked() {
                    taken = true;
                    // A click closes a list by itself, a key does not.
                    ui.close();
                    out = Some(option).filter(|o| *o != value).cloned();
                }
                lines.push(response);
            }
            let mut to = before.is_none().then_some(first);
            if let Some(line) = lines.get(first) {
                to = arrows(ui, line.id, first, lines.len()).or(to);
            }
            if let Some(line) = to.and_then(|k| lines.get(k)) {
                at = to.unwrap_or(first);
                line.request_focus();
                line.scroll_to_me(None);
                ui.ctx().request_repaint();
            }
            if ui.input(|i| i.key_pressed(Key::Tab)) {
                ui.close();
            }
        });
        let open = made.inner.is_some();
        if open && !self.ui.clip_rect().intersects(made.response.rect) {
            // Its field was scrolled away: the list does not float on without it.
            Popup::close_id(self.ui.ctx(), made.response.id.with("popup"));
        }
        let response = made.response.accessible_name(format!("{name}: {now}"));
        stop(&response);
        super::near::take_if_wanted(&response, &name);
        self.ui.ctx().accesskit_node_builder(response.id, |n| {
            n.set_expanded(open);
            n.set_has_popup(egui::accesskit::HasPopup::Listbox);
        });
        self.ui.data_mut(|d| match open && !taken {
            true => {
                d.insert_temp(key, at);
            }
            false => d.remove::<usize>(key),
        });
        if open {
            // A list closed by Escape, by Tab or by a choice gives the keyboard back.
            if taken || self.ui.input(|i| i.key_pressed(Key::Escape) || i.key_pressed(Key::Tab)) {
                response.request_focus();
            }
        } else if response.has_focus() {
            let down = EventFilter { vertical_arrows: true, ..EventFilter::default() };
            self.ui.memory_mut(|m| m.set_focus_lock_filter(response.id, down));
            if self.ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, Key::ArrowDown)) {
                Popup::open_id(self.ui.ctx(), response.id.with("popup"));
                self.ui.ctx().request_repaint();
            }
        }
        out
    }
}
