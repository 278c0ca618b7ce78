//! What fields share across the window: which one has the keyboard with nothing typed in it, and
//! the day that days without a year are read against.

use chrono::NaiveDate;
use egui::{Id, Ui};

use crate::job::Units;
use crate::views::said::Near;

fn wanted_id() -> Id {
    Id::unique("field that is to have the keyboard")
}

/// What is to have the keyboard.
#[derive(Clone, Debug, Default)]
struct Wanted {
    name: String,
    /// The first field drawn, whatever its name.
    first: bool,
    /// It is brought to the middle of the column; else its heading stands on top.
    middle: bool,
}

/// The field of this name takes the keyboard when it is drawn next; none where the name is empty.
pub fn wanted(ctx: &egui::Context, name: impl Into<String>) {
    ctx.data_mut(|d| d.insert_temp(wanted_id(), Wanted { name: name.into(), ..Wanted::default() }));
}

/// The same, somewhere below its heading: it is brought into view itself.
pub fn wanted_below(ctx: &egui::Context, name: impl Into<String>) {
    ctx.data_mut(|d| d.insert_temp(wanted_id(), Wanted { name: name.into(), middle: true, first: false }));
}

/// The first field drawn from now on takes the keyboard.
pub(super) fn first_wanted(ctx: &egui::Context) {
    ctx.data_mut(|d| d.insert_temp(wanted_id(), Wanted { first: true, middle: true, name: String::new() }));
}

pub(super) fn wanted_no_more(ui: &Ui) {
    ui.data_mut(|d| d.remove::<Wanted>(wanted_id()));
}

/// Gives a control the keyboard where its name is the one wanted.
pub(super) fn take_if_wanted(response: &egui::Response, name: &str) {
    let Some(wanted) = response.ctx.data(|d| d.get_temp::<Wanted>(wanted_id())) else { return };
    let its = wanted.first || (!wanted.name.is_empty() && wanted.name == name);
    if !its {
        return;
    }
    if wanted.first {
        // No other field is the first.
        response
            .ctx
            .data_mut(|d| d.insert_temp(wanted_id(), Wanted { name: name.to_string(), first: false, middle: true }));
    }
    if !response.has_focus() {
        response.request_focus();
    }
    if wanted.middle {
        response.scroll_to_me(Some(egui::Align::Center));
    }
}

/// Whether a field is to have the keyboard, not the heading above it.
pub(super) fn field_wanted(ui: &Ui) -> bool {
    ui.data(|d| d.get_temp::<Wanted>(wanted_id())).is_some_and(|w| w.first || !w.name.is_empty())
}

/// Opens a zone without going to its heading.
pub(super) fn unfold_zone(ui: &Ui, key: &str) {
    ui.data_mut(|d| d.insert_temp(Id::unique(("bench zone", key)), true));
}

/// Everything of the column the keyboard can be on, with where it stands, top down.
pub(super) type Stops = Vec<(Id, f32)>;

pub(super) fn stops_id() -> Id {
    Id::unique("stops of the keyboard in the column")
}

/// Notes something the keyboard can be on.
pub(super) fn stop(response: &egui::Response) {
    let at = (response.id, response.rect.top());
    response.ctx.data_mut(|d| d.get_temp_mut_or_default::<Stops>(stops_id()).push(at));
}

/// Where the column is not drawn nothing of it is noted.
pub fn forget_stops(ui: &Ui) {
    ui.data_mut(|d| d.remove::<Stops>(stops_id()));
}

/// Where the keyboard goes from something that has gone: what stands nearest below it, else the last thing.
pub(super) fn instead(now: &Stops, gone: f32) -> Option<Id> {
    let below = now.iter().filter(|s| s.1 >= gone - 2.0).min_by(|a, b| a.1.total_cmp(&b.1));
    below.or(now.last()).map(|s| s.0)
}

fn unread_id() -> Id {
    Id::unique("fields that cannot be read")
}

/// Notes a field in which something stands that cannot be read.
pub(super) fn cannot_be_read(ui: &Ui, name: &str) {
    ui.data_mut(|d| d.get_temp_mut_or_default::<Vec<String>>(unread_id()).push(name.to_string()));
}

/// Draws fields of a card; says which of them first holds something that cannot be read. What a card does is not
/// done meanwhile: it would leave out what was typed.
pub fn unread(ui: &mut Ui, add: impl FnOnce(&mut Ui)) -> Option<String> {
    ui.data_mut(|d| d.remove::<Vec<String>>(unread_id()));
    add(ui);
    ui.data_mut(|d| d.remove_temp::<Vec<String>>(unread_id())).and_then(|list| list.into_iter().next())
}

pub(super) fn at_rest_id() -> Id {
    Id::unique("field with nothing typed in it")
}

/// The field that has the keyboard while nothing is typed in it that is not in the job: undo is the job's own there.
pub fn at_rest(ctx: &egui::Context) -> Option<Id> {
    let id = ctx.data(|d| d.get_temp::<Id>(at_rest_id()))?;
    ctx.memory(|m| m.has_focus(id)).then_some(id)
}

/// What the days in the fields below are read against: the first day of the job, and its units.
pub fn days_near(ui: &Ui, near: Near) {
    ui.data_mut(|d| d.insert_temp(Id::unique("days are near"), near));
}

/// The same, near to a day of its own.
pub(super) fn near(ui: &Ui, own: Option<NaiveDate>) -> Near {
    let job = ui.data(|d| d.get_temp::<Near>(Id::unique("days are near")));
    let job = job.unwrap_or(Near { day: NaiveDate::default(), units: Units::default() });
    Near { day: own.unwrap_or(job.day), ..job }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_keyboard_goes_to_what_stands_below() {
        let id = |n: usize| Id::unique(("stop", n));
        let all: Stops = vec![(id(0), 10.0), (id(1), 40.0), (id(2), 70.0)];
        assert_eq!(instead(&all, 41.0), Some(id(1)));
        assert_eq!(instead(&all, 45.0), Some(id(2)));
        assert_eq!(instead(&all, 500.0), Some(id(2)));
        assert_eq!(instead(&Vec::new(), 1.0), None);
    }
}
