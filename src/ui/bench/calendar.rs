//! The working week, holidays, days the house is closed, hours in which noise is allowed.

use egui::{Label, RichText, Ui};

use super::field::{LENGTH, Row, row};
use super::fold::zone;
use super::{BenchState, Zone, edit, problems};
use crate::job::{Day, Edit, Hours, Week};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::theme::{Theme, size};
use crate::views::{self, typed};

/// The calendar of the job.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let asked = state.asked(Zone::Calendar);
    zone(ui, "Working week and days off", true, asked, |ui| {
        let c = &scene.job.calendar;
        let mut new = c.clone();
        week_fields(ui, "the week", &mut new.week);
        row(ui, "the job", "holidays", |f| {
            if let Some(d) = f.days("holidays", &c.holidays) {
                new.holidays = d;
            }
        });
        let offered = scene.shown.and_then(|s| views::holidays_offered(scene.job, &s.forecast));
        if let Some((words, days)) = offered {
            ui.add(Label::new(RichText::new(&words).color(Theme::of(ui.ctx()).quiet).size(size::SMALL)).wrap());
            row(ui, "the job", "", |f| {
                if f.button("Take these days off") {
                    new.holidays = days;
                }
            });
        }
        row(ui, "the job", "house closed", |f| {
            if let Some(d) = f.days("house closed", &c.house_closed) {
                new.house_closed = d;
            }
        });
        row(ui, "the job", "noise only", |f| {
            if let Some(h) = hours(f, "noise only", c.noise) {
                new.noise = h;
            }
        });
        if new != *c {
            edit(out, Edit::Calendar(new));
        }
        problems(ui, scene, "calendar");
    });
}

/// Hours of a day as one text, nothing for none.
pub(super) fn hours(f: &mut Row, name: &str, value: Option<Hours>) -> Option<Option<Hours>> {
    let step = |h: &Option<Hours>, n: i64| typed::hours_stepped(*h, n);
    f.stepped(name, LENGTH * 2.2, &value, |h| typed::hours_field(*h), typed::read_hours, &step)
}

/// Ticks for the days of a week.
pub(super) fn days(f: &mut Row, value: &mut Vec<Day>) {
    for day in Day::ALL {
        if let Some(on) = f.tick(typed::day_word(day), value.contains(&day)) {
            if on {
                value.push(day);
                value.sort_unstable();
            } else {
                value.retain(|d| *d != day);
            }
        }
    }
}

/// A working week.
pub(super) fn week_fields(ui: &mut Ui, of: &str, w: &mut Week) {
    row(ui, of, "days", |f| days(f, &mut w.days));
    row(ui, of, "hours", |f| {
        let open = Some(Hours { from: w.open, to: w.close });
        if let Some(Some(h)) = hours(f, "hours", open) {
            (w.open, w.close) = (h.from, h.to);
        }
    });
    row(ui, of, "lunch", |f| {
        if let Some(h) = hours(f, "lunch", w.lunch) {
            w.lunch = h;
        }
    });
    row(ui, of, "opening up", |f| {
        if let Some(n) = f.count("minutes to open up", w.opening.max(0) as u32) {
            w.opening = i64::from(n);
        }
        f.word("min, closing");
        if let Some(n) = f.count("minutes to close", w.closing.max(0) as u32) {
            w.closing = i64::from(n);
        }
        f.word("min");
    });
}
