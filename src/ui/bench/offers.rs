//! A short list of recipes, one line each with hours and drying for this surface. A line looked
//! at shows its steps; Enter on it, or *Use this*, chooses it. Arrows go from line to line.

use egui::{
    Align, Frame, Label, Margin, RichText, Role, Sense, Stroke, StrokeKind, TextStyle, TextWrapMode, Ui, WidgetInfo,
    WidgetText,
};
use egui::{pos2, vec2};

use super::field::button;
use super::radio;
use crate::job::Edit;
use crate::ui::explain;
use crate::ui::theme::{Theme, size, strong};
use crate::views::Figure;
use crate::views::recipes::{Offer, altogether};

/// The list. `looked` is the line whose steps are shown; `take`: the first line takes the keyboard. Gives the changes of
/// the one chosen.
pub fn list(ui: &mut Ui, of: &str, offers: &[Offer], looked: &mut Option<String>, take: bool) -> Option<Vec<Edit>> {
    let mut chosen = None;
    let mut lines = Vec::with_capacity(offers.len());
    let mut next = None;
    for (i, o) in offers.iter().enumerate() {
        ui.push_id(&o.key, |ui| {
            let open = looked.as_deref() == Some(o.key.as_str());
            let response = head(ui, o, open);
            super::near::stop(&response);
            if take && i == 0 && !response.has_focus() {
                response.request_focus();
                response.scroll_to_me(Some(Align::Center));
            }
            lines.push(response.id);
            next = radio::arrows(ui, response.id, i, offers.len()).or(next);
            if response.clicked() && open {
                chosen = Some(o.edits.clone());
            } else if response.clicked() || response.gained_focus() {
                *looked = Some(o.key.clone());
                response.request_focus();
            }
            if open {
                let below = Margin { left: size::GAP as i8, bottom: size::LINE as i8, ..Margin::ZERO };
                Frame::NONE.inner_margin(below).show(ui, |ui| {
                    steps(ui, o);
                    let words = if o.in_use { "Use this again" } else { "Use this" };
                    if button(ui, words, &format!("Use {}, {of}", o.name)) {
                        chosen = Some(o.edits.clone());
                    }
                });
            }
        });
    }
    if let Some(id) = next.and_then(|to| lines.get(to)) {
        ui.memory_mut(|m| m.request_focus(*id));
        ui.ctx().request_repaint();
    }
    chosen
}

/// The line: the name, below it what it takes here.
fn head(ui: &mut Ui, o: &Offer, open: bool) -> egui::Response {
    let theme = Theme::of(ui.ctx());
    let width = ui.available_width();
    let style = if o.in_use || open { strong() } else { TextStyle::Body };
    let name = RichText::new(&o.name).color(theme.ink).text_style(style);
    let mut words = o.figures.clone();
    if o.yours {
        words = format!("yours; {words}");
    }
    if o.in_use {
        words += "; in use";
    }
    let galley = |ui: &Ui, text: RichText| {
        WidgetText::from(text).into_galley(ui, Some(TextWrapMode::Wrap), width - 2.0 * size::GAP, TextStyle::Body)
    };
    let name = galley(ui, name);
    let figures = galley(ui, RichText::new(&words).color(theme.quiet).size(size::SMALL));
    let high = name.size().y + figures.size().y + 2.0 * size::LINE;
    let (rect, response) = ui.allocate_exact_size(vec2(width, high), Sense::click());
    let said = format!("{}: {words}", o.name);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, o.in_use, &said));
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    let p = ui.painter();
    if response.hovered() {
        p.rect_filled(rect, 0.0, theme.rule);
    }
    if response.has_focus() {
        p.rect_stroke(rect, 0.0, Stroke::new(size::OUTLINE, theme.focus), StrokeKind::Inside);
    } else {
        p.hline(rect.x_range(), rect.bottom(), Stroke::new(size::HAIR, theme.rule));
    }
    let top = pos2(rect.left() + size::GAP, rect.top() + size::LINE);
    p.galley(top, name.clone(), theme.ink);
    p.galley(top + vec2(0.0, name.size().y), figures, theme.quiet);
    response
}

fn steps(ui: &mut Ui, o: &Offer) {
    let theme = Theme::of(ui.ctx());
    let small = |text: String, color| Label::new(RichText::new(text).color(color).size(size::SMALL)).wrap();
    for s in &o.steps {
        let mut words = s.name.clone();
        for more in [&s.hours, &s.then] {
            if !more.is_empty() {
                words += &format!(", {more}");
            }
        }
        if s.why.is_empty() {
            ui.add(small(words, theme.ink));
        } else {
            let figure = Figure::new(words.as_str(), s.why.as_str());
            explain::aside(ui, &s.name, &figure, RichText::new(words).color(theme.ink).size(size::SMALL));
        }
    }
    let whole = Figure::new(o.figures.as_str(), o.why.as_str());
    explain::told_as(
        ui,
        "altogether",
        &whole,
        RichText::new(altogether(&o.figures)).color(theme.ink).size(size::SMALL),
    );
    for more in [&o.note, &o.also] {
        if !more.is_empty() {
            ui.add(small(more.clone(), theme.quiet));
        }
    }
    if !o.wrong.is_empty() {
        ui.add(small(o.wrong.clone(), theme.error));
    }
}
