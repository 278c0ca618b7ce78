//! Why a figure is what it is: one widget, wherever a figure stands.
//!
//! A click, or Enter on the figure, opens a small card at the figure with its formula, source
//! or history; Escape, Tab, another click or another figure closes it. One is open at a time.

use egui::{
    Context, CursorIcon, Id, Key, Label, LayerId, Popup, PopupCloseBehavior, Pos2, Rect, Response, RichText, Role,
    Sense, Stroke, StrokeKind, Ui, WidgetInfo,
};

use super::theme::{Theme, card, size, strong};
use crate::views::Figure;

/// Widest card, points.
const WIDE: f32 = 340.0;
/// Longest words that stand as the head of a card, letters.
const HEAD: usize = 60;

/// Whether a why is open: Escape then closes it and means nothing else.
pub fn is_open(ctx: &Context) -> bool {
    Popup::is_any_open(ctx)
}

/// The words of a figure as a thing to click. `what` is its caption; the screen reader's name
/// is `what: words`.
pub fn told(ui: &mut Ui, what: &str, figure: &Figure) -> Response {
    let color = Theme::of(ui.ctx()).ink;
    told_as(ui, what, figure, RichText::new(figure.unbroken()).color(color))
}

/// The same with the words dressed otherwise.
pub fn told_as(ui: &mut Ui, what: &str, figure: &Figure, words: RichText) -> Response {
    drawn(ui, what, figure, words, false)
}

/// A figure among many of a list: a click explains it, Tab passes it by. What the list is about is explained by keys.
pub fn aside(ui: &mut Ui, what: &str, figure: &Figure, words: RichText) -> Response {
    drawn(ui, what, figure, words, true)
}

fn drawn(ui: &mut Ui, what: &str, figure: &Figure, words: RichText, aside: bool) -> Response {
    let theme = Theme::of(ui.ctx());
    let open = ui.data(|d| d.get_temp::<Id>(Id::unique("figure explained"))).filter(|_| is_open(ui.ctx()));
    let id = ui.next_auto_id();
    let words = if open == Some(id) { words.color(theme.safe) } else { words };
    let sense = if aside { Sense::CLICK } else { Sense::click() };
    let label = Label::new(words).sense(sense);
    let response = ui.add(if aside { label } else { label.wrap() });
    if response.clicked() {
        ui.data_mut(|d| d.insert_temp(Id::unique("figure explained"), id));
    }
    let response = response.on_hover_cursor(CursorIcon::PointingHand);
    let name = if aside { figure.words() } else { format!("{what}: {}", figure.words()) };
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    why(&response, what, figure);
    response
}

/// Opens the why of a figure at whatever shows it, when that is clicked; draws the ring of the
/// focus round it.
pub fn why(response: &Response, what: &str, figure: &Figure) {
    if response.has_focus() {
        let ctx = &response.ctx;
        let stroke = Stroke::new(size::OUTLINE, Theme::of(ctx).focus);
        ctx.layer_painter(response.layer_id).with_clip_rect(response.interact_rect.expand(4.0)).rect_stroke(
            response.rect.expand(2.0),
            0.0,
            stroke,
            StrokeKind::Inside,
        );
    }
    let id = Popup::default_response_id(response);
    let was = Popup::is_id_open(&response.ctx, id);
    if was && response.lost_focus() && response.ctx.input(|i| i.key_pressed(Key::Tab)) {
        // The keyboard went on: the card would lie over what it has come to.
        Popup::close_id(&response.ctx, id);
    }
    Popup::from_toggle_button_response(response)
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .frame(card(&response.ctx))
        .accessible_name(format!("Why {what}"))
        .show(|ui| said(ui, figure));
    if was && response.ctx.input(|i| i.key_pressed(Key::Escape)) {
        response.request_focus();
    }
}

/// The why of something painted, at a point of it, while `open`.
pub fn at(ctx: &Context, id: Id, layer: LayerId, place: Pos2, what: &str, figure: &Figure, open: &mut bool) {
    Popup::new(id, ctx.clone(), Rect::from_min_size(place, egui::Vec2::ZERO), layer)
        .open_bool(open)
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .frame(card(ctx))
        .accessible_name(format!("Why {what}"))
        .show(|ui| said(ui, figure));
}

/// What stands on the card.
fn said(ui: &mut Ui, figure: &Figure) {
    ui.set_max_width(WIDE);
    let words = figure.words();
    // A sentence stands beside the card already.
    if words.chars().count() <= HEAD {
        ui.add(Label::new(RichText::new(words).text_style(strong())).wrap());
    }
    if !figure.why.is_empty() {
        ui.add(Label::new(&figure.why).wrap());
    }
}
