//! The frame of a card in front of the sheet: what stands above its middle stays on top, what stands below stays at
//! the foot, and the middle scrolls where the window is too low for all of it.
//!
//! How much of a card is not its middle is measured while it is drawn and holds from the next frame on, so a card
//! draws its title, [`middle`] and its buttons one below the other and says no height at all.

use egui::{Context, Id, Modal, ModalResponse, ScrollArea, Ui};

use super::theme::{Theme, card, size, veil};

/// What the window keeps around a card, at each side, and the lowest middle of a card, points.
const AROUND: f32 = 10.0;
const LOWEST: f32 = 48.0;
/// What is not its middle, of a card not drawn before.
const FIRST: f32 = 120.0;

/// A card being drawn.
#[derive(Clone, Copy, Debug, Default)]
struct Drawn {
    /// Height of the card without its middle, as last drawn.
    rest: Option<f32>,
    /// Height of its middle in this frame.
    middle: f32,
    /// What had the keyboard when it was last drawn.
    focus: Option<Id>,
    /// The pass it was last drawn in, and how often it was drawn since it was opened.
    pass: u64,
    times: u8,
}

/// Drawings until a card just opened stands as it will.
const OPENING: u8 = 3;

fn at_hand() -> Id {
    Id::unique("card being drawn")
}

fn drawn(ctx: &Context, id: Id) -> Drawn {
    ctx.data(|d| d.get_temp::<Drawn>(id)).unwrap_or_default()
}

/// Draws a card of this name, so wide where the window has the room. Its middle is drawn by [`middle`].
pub fn show<T>(ctx: &Context, name: &str, wide: f32, add: impl FnOnce(&mut Ui) -> T) -> ModalResponse<T> {
    let id = Id::unique(name);
    let key = id.with("card");
    let room = ctx.content_rect().width() - 2.0 * (AROUND + size::PAD);
    Modal::new(id).backdrop_color(veil(ctx)).frame(card(ctx)).show(ctx, |ui| {
        ui.set_width(wide.min(room));
        ctx.data_mut(|d| d.insert_temp(at_hand(), key));
        let mut before = Drawn { middle: 0.0, ..drawn(ctx, key) };
        let pass = ctx.cumulative_pass_nr();
        if before.pass + 1 < pass {
            before.times = 0;
        }
        (before.pass, before.times) = (pass, before.times.saturating_add(1));
        if before.times <= OPENING {
            before.focus = None;
        }
        ctx.data_mut(|d| d.insert_temp(key, before));
        let out = add(ui);
        let now = drawn(ctx, key);
        let rest = ui.min_rect().height() - now.middle;
        if before.rest.is_none_or(|r| (r - rest).abs() > 0.5) || before.times < OPENING {
            ctx.request_repaint();
        }
        let focus = ctx.memory(|m| m.focused());
        ctx.data_mut(|d| d.insert_temp(key, Drawn { rest: Some(rest), focus, ..now }));
        out
    })
}

/// The middle of the card being drawn: as high as what is in it, at most what the window leaves; then it scrolls, with
/// a line where something is hidden.
pub fn middle<T>(ui: &mut Ui, add: impl FnOnce(&mut Ui) -> T) -> T {
    let ctx = ui.ctx().clone();
    let key = ctx.data(|d| d.get_temp::<Id>(at_hand())).unwrap_or_else(at_hand);
    let now = drawn(&ctx, key);
    let around = 2.0 * (AROUND + size::PAD + size::HAIR);
    let high = (ctx.content_rect().height() - around - now.rest.unwrap_or(FIRST)).max(LOWEST);
    let area = ScrollArea::vertical().id_salt("middle of the card").max_height(high).min_scrolled_height(high);
    let out = area.auto_shrink([false, true]).show(ui, |ui| {
        let out = add(ui);
        follow(ui, now.focus);
        out
    });
    let (seen, whole) = (out.inner_rect, out.content_size.y);
    if whole > seen.height() + 0.5 {
        let rule = (size::HAIR, Theme::of(&ctx).rule);
        if out.state.clamped_offset().y > 0.5 {
            ui.painter().hline(seen.x_range(), seen.top(), rule);
        }
        if out.state.clamped_offset().y + seen.height() < whole - 0.5 {
            ui.painter().hline(seen.x_range(), seen.bottom(), rule);
        }
    }
    // What is there may be less than what was offered.
    ctx.data_mut(|d| d.insert_temp(key, Drawn { middle: seen.height().min(whole), ..now }));
    out.inner
}

/// Brings what the keyboard has come to into view. What stands below the middle is never cut, so that what is cut is
/// in it.
fn follow(ui: &Ui, before: Option<Id>) {
    let now = ui.memory(|m| m.focused());
    if now == before || ui.input(|i| i.pointer.any_down() || i.pointer.any_released()) {
        return;
    }
    let Some(response) = now.and_then(|id| ui.ctx().read_response(id)) else { return };
    let cut = response.interact_rect.height() + 0.5 < response.rect.height();
    if response.layer_id == ui.layer_id() && cut {
        ui.scroll_to_rect(response.rect.expand(size::GAP), None);
    }
}
