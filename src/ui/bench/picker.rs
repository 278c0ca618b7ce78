//! Something picked from a list that is filtered while it is typed: Enter takes the first one.

use egui::{Id, Key, Ui};

use super::field::line;
use crate::views::entries::{Name, matching};

/// A field to find a step, and what fits it below. Gives the id picked.
pub fn pick(ui: &mut Ui, of: &str, name: &str, list: &[Name], skip: &dyn Fn(&str) -> bool) -> Option<String> {
    let key: Id = ui.make_persistent_id(("pick", name, of));
    let mut text = ui.data(|d| d.get_temp::<String>(key)).unwrap_or_default();
    let mut picked = None;
    line(ui, of, |f| {
        let width = f.wide() - 8.0;
        let edit = egui::TextEdit::singleline(&mut text).id(key.with("field")).desired_width(width);
        let made = f.ui.add(edit.hint_text("type a word of it")).accessible_name(format!("{name}, {of}"));
        super::near::stop(&made);
        let top = made.rect;
        let found = matching(list, &text, skip);
        if made.lost_focus() && f.ui.input(|i| i.key_pressed(Key::Enter)) {
            picked = found.first().map(|n| n.id.clone());
        }
        if (made.has_focus() || made.lost_focus()) && f.ui.input(|i| i.key_pressed(Key::Escape)) {
            text.clear();
            made.request_focus();
        }
        for n in &found {
            f.ui.end_row();
            if f.button_as(&n.words, &format!("{name}: {}", n.words)) {
                picked = Some(n.id.clone());
            }
        }
        if made.changed() && !found.is_empty() {
            // A list opened at the foot of the column is brought into view, its field with it.
            f.ui.scroll_to_rect(top.union(f.ui.min_rect()), None);
        }
        if found.is_empty() && !text.trim().is_empty() {
            f.ui.end_row();
            f.word("nothing has these words");
        }
    });
    if picked.is_some() {
        text.clear();
    }
    ui.data_mut(|d| d.insert_temp(key, text));
    picked
}
