//! Rooms by keyboard: one stop for all of them, up and down between them, Enter to open one,
//! typed letters to jump; what has the focus is scrolled into view.

use egui::{EventFilter, Id, Key, Modifiers, Response, Ui};

use super::{Chart, SectionState};
use crate::views::section::Layout;

/// Rooms a page key goes past.
const PAGE: usize = 10;
/// Letters typed within this many seconds belong to one name.
const PAUSE: f64 = 1.0;

/// What is remembered of the keyboard among the rooms.
#[derive(Clone, Debug, Default)]
pub struct RoomKeys {
    /// The room the keyboard is at: the one stop among all of them.
    pub at: usize,
    /// Id of its row while it has the focus.
    focused: Option<Id>,
    /// Letters typed so far, and when the last came.
    typed: (String, f64),
    /// To be scrolled into view with the next drawing.
    pub reveal: bool,
}

impl RoomKeys {
    /// Whether a room has the focus: plain letters then belong to it.
    pub fn take_letters(&self, ctx: &egui::Context) -> bool {
        self.focused.is_some_and(|id| ctx.memory(|m| m.has_focus(id)))
    }
}

/// Id of a room's row.
pub fn id(chart: &Response, room: usize) -> Id {
    chart.id.with(("room", room))
}

/// The scroll at which the row of a room is seen, with what it opens to as far as it fits.
pub fn scroll_to(layout: &Layout, room: usize, now: f32) -> f32 {
    let Some(&(_, top, high)) = layout.rooms.iter().find(|r| r.0 == room) else { return now };
    let window = layout.zones.bands.h;
    let next = layout.rooms.iter().map(|r| r.1).filter(|&t| t > top).reduce(f32::min);
    // An open room reaches to the next row.
    let bottom = next.unwrap_or(top + high).min(top + window).max(top + high);
    now.max(bottom - window).min(top).clamp(0.0, layout.most_scroll.y)
}

/// Keys while a room's row has the focus.
pub fn keys(ui: &Ui, chart: &Chart, parent: &Response, row: &Response, room: usize, state: &mut SectionState) {
    if row.gained_focus() {
        state.rooms.at = room;
        state.rooms.reveal = true;
    }
    if !row.has_focus() {
        return;
    }
    state.rooms.focused = Some(row.id);
    let filter = EventFilter { vertical_arrows: true, ..Default::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(row.id, filter));
    let order: Vec<usize> = chart.layout.rooms.iter().map(|r| r.0).collect();
    let Some(here) = order.iter().position(|&r| r == room) else { return };
    let last = order.len() - 1;
    let pressed = |k| ui.input_mut(|i| i.consume_key(Modifiers::NONE, k));
    let to = [
        (Key::ArrowDown, (here + 1).min(last)),
        (Key::ArrowUp, here.saturating_sub(1)),
        (Key::PageDown, (here + PAGE).min(last)),
        (Key::PageUp, here.saturating_sub(PAGE)),
        (Key::Home, 0),
        (Key::End, last),
    ];
    let mut go = to.into_iter().rev().find(|&(k, _)| pressed(k)).map(|x| order[x.1]);
    let (text, now) = ui.input(|i| {
        let typed = i.events.iter().filter_map(|e| match e {
            egui::Event::Text(t) => Some(t.to_lowercase()),
            _ => None,
        });
        (typed.collect::<String>(), i.time)
    });
    let typed = &mut state.rooms.typed;
    if now - typed.1 > PAUSE {
        typed.0.clear();
    }
    // A space is part of a name only inside it.
    if !text.trim().is_empty() || (!text.is_empty() && !typed.0.is_empty()) {
        typed.0 += &text;
        typed.1 = now;
        // One letter goes on to the next room of that letter, a longer beginning stays where it fits.
        let from = if typed.0.chars().count() > 1 { here } else { here + 1 };
        let fits = |r: &&usize| chart.model.rooms[**r].name.to_lowercase().starts_with(typed.0.as_str());
        go = order[from.min(order.len())..].iter().chain(&order[..from.min(order.len())]).find(fits).copied().or(go);
    }
    if let Some(room) = go {
        state.rooms.at = room;
        state.rooms.reveal = true;
        ui.memory_mut(|m| m.request_focus(id(parent, room)));
        ui.ctx().request_repaint();
    }
}
