//! The pages as they will be written, one at a time: the whole page, or close enough to read.

use egui::{Key, Label, Modifiers, RichText, Role, ScrollArea, Sense, Ui, WidgetInfo, vec2};

use crate::ui::marks;
use crate::ui::theme::{Theme, size};
use crate::views::papers::{Printed, page_words};

/// Points of the window for a point of paper, seen close: text of 8.5 points is read.
const CLOSE: f32 = 1.5;

/// Which page is looked at, and how.
#[derive(Clone, Copy, Debug, Default)]
pub struct Preview {
    at: usize,
    close: bool,
}

impl Preview {
    /// Back to the first page.
    pub fn first(&mut self) {
        self.at = 0;
    }

    /// Draws a page with what turns the pages; nothing yet while they are being made.
    pub fn show(&mut self, ui: &mut Ui, printed: Option<&Printed>) {
        let theme = Theme::of(ui.ctx());
        let Some(printed) = printed else {
            ui.add_space(size::PAD);
            ui.label(RichText::new("The page is being drawn…").color(theme.quiet));
            return;
        };
        let all = printed.pages.len();
        self.at = self.at.min(all.saturating_sub(1));
        let by = ui.input_mut(|i| {
            let down = i.consume_key(Modifiers::NONE, Key::PageDown);
            let up = i.consume_key(Modifiers::NONE, Key::PageUp);
            i32::from(down) - i32::from(up)
        });
        self.turn(by, all);
        ui.horizontal(|ui| {
            let back = ui.add_enabled(self.at > 0, egui::Button::new("Page before"));
            let next = ui.add_enabled(self.at + 1 < all, egui::Button::new("Next page"));
            self.turn(i32::from(next.clicked()) - i32::from(back.clicked()), all);
            ui.add(Label::new(page_words(self.at, all)));
            let words = if self.close { "Whole page" } else { "Close up" };
            if ui.button(words).clicked() {
                self.close = !self.close;
            }
        });
        ui.add_space(size::GAP);
        let Some(page) = printed.pages.get(self.at) else { return };
        let room = ui.available_size() - vec2(2.0, 2.0);
        // A screen's page counts in pixels and is larger than any paper.
        let most = (CLOSE * 792.0) / page.w.max(page.h).max(792.0);
        let whole = (room.x / page.w).min(room.y / page.h).max(0.05);
        let scale = if self.close { whole.max(most) } else { whole };
        let area = ScrollArea::both().id_salt(("page", self.at, self.close)).auto_shrink([false, false]);
        area.show(ui, |ui| {
            let asked = vec2(page.w, page.h) * scale;
            let wide = asked.max(vec2(room.x.min(asked.x), 0.0));
            let (rect, response) = ui.allocate_exact_size(wide, Sense::hover());
            ui.painter().rect_filled(rect, 0.0, marks::in_file(crate::views::paper::Ink::Paper));
            marks::paint(ui, page, rect.min, scale, &marks::in_file);
            ui.painter().rect_stroke(rect, 0.0, (size::HAIR, theme.edge), egui::StrokeKind::Inside);
            response.widget_info(|| WidgetInfo::labeled(Role::Label, true, page.words()));
        });
    }

    fn turn(&mut self, by: i32, all: usize) {
        match by {
            1 => self.at = (self.at + 1).min(all.saturating_sub(1)),
            -1 => self.at = self.at.saturating_sub(1),
            _ => {}
        }
    }
}
