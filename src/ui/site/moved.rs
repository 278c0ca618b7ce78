//! How the date has moved: the drawing with its numbered marks, and the list of reasons.

use std::sync::Arc;

use egui::{Label, Rect, RichText, Role, ScrollArea, Sense, Ui, WidgetInfo, vec2};

use crate::desk::evening::Outlook;
use crate::forecast::last_day;
use crate::ui::Scene;
use crate::ui::section::paint;
use crate::ui::shown::{Reached, Shown};
use crate::ui::theme::{Theme, size};
use crate::views::site::moved::Moved;

/// Height of a line of the list, lines of it at most in view, least height of the drawing.
const LINE: f32 = 24.0;
const LINES: usize = 4;
const LEAST: f32 = 110.0;

/// What was worked out, and of what.
type ReadOf = (u64, Reached, Option<Arc<Outlook>>, Arc<Moved>);

/// What the drawing was made of last.
#[derive(Clone, Debug, Default)]
pub struct MovedState {
    read: Option<ReadOf>,
}

impl MovedState {
    fn read(&mut self, scene: &Scene, shown: &Shown) -> Arc<Moved> {
        let first = scene.besides.first.clone();
        let same = |f: &Option<Arc<Outlook>>| match (f, &first) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        };
        if let Some((r, reached, f, m)) = &self.read
            && *r == shown.revision
            && *reached == shown.reached
            && same(f)
        {
            return m.clone();
        }
        let confidence = shown.confidence();
        let begin =
            first.as_ref().map(|o| (o.forecast.day(0.5), o.forecast.day(confidence), last_day(o.found.plan.finish)));
        let m = Arc::new(Moved::new(&shown.reading(), &shown.found, begin));
        self.read = Some((shown.revision, shown.reached, first, m.clone()));
        m
    }
}

/// The zone.
pub(super) fn show(ui: &mut Ui, scene: &Scene, shown: &Shown, state: &mut MovedState) {
    let theme = Theme::of(ui.ctx());
    let moved = state.read(scene, shown);
    ui.horizontal_wrapped(|ui| {
        ui.heading("How the date has moved");
        ui.label(RichText::new(&moved.sentence).color(theme.quiet));
    });
    let all = ui.available_size();
    let lines = moved.reasons.len().min(LINES) as f32;
    let high = (all.y - lines * LINE - size::GAP).max(LEAST);
    let (area, response) = ui.allocate_exact_size(vec2(all.x, high), Sense::hover());
    let (shapes, marks) = moved.layout(area.width(), area.height());
    response
        .widget_info(|| WidgetInfo::labeled(Role::Image, true, format!("How the date has moved. {}", moved.sentence)));
    paint::shapes(&ui.painter().with_clip_rect(area.expand(2.0)), area.min, &shapes, theme);
    for (number, at) in marks {
        let at = Rect::from_min_size(area.min + vec2(at.x, at.y), vec2(at.w, at.h)).expand(4.0);
        if let Some(r) = moved.reasons.iter().find(|r| r.mark == number) {
            ui.interact(at, ui.scope_id().with(("reason", number)), Sense::hover()).on_hover_text(&r.words);
        }
    }
    ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        for r in moved.reasons.iter().rev() {
            ui.horizontal_wrapped(|ui| {
                ui.label(RichText::new(crate::views::whole(r.mark as i64)).strong());
                ui.add(Label::new(&r.words).wrap());
            });
        }
        if moved.reasons.is_empty() && !scene.job.record.is_empty() {
            ui.label(RichText::new("The date has not moved by a tenth of a day on any evening.").color(theme.quiet));
        }
    });
}
