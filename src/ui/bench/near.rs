//! What fields share across the window: which one has the keyboard with nothing typed in it, and
//! the day that days without a year are read against.

use chrono::NaiveDate;
use egui::{Id, Ui};

use crate::job::Units;
use crate::views::said::Near;

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
