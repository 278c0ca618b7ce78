//! Who works: name, cost, pace, helper, skills, own week, days off, dates with other hours.

use egui::Ui;

use super::calendar::week_fields;
use super::field::{LENGTH, row};
use super::fold::{fold_asked, zone};
use super::{BenchState, Zone, edit, problems};
use crate::job::{Edit, HELPER_PACE, Hours, Person, free_id};
use crate::ui::action::Action;
use crate::ui::{Scene, explain};
use crate::views::other_hours::OtherHours;
use crate::views::{share_of_work, typed};

/// The people of the job.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let asked = state.asked(Zone::Crew);
    zone(ui, "Crew", true, asked, |ui| {
        let crew = &scene.job.crew;
        let fresh = state.fresh.take_if(|i| *i < crew.len());
        for (i, p) in crew.iter().enumerate() {
            let fresh = fresh == Some(i);
            ui.push_id(("person", i), |ui| {
                fold_asked(ui, "person", &p.name, crew.len() == 1, fresh, |ui| person(ui, scene, i, fresh, out));
            });
        }
        row(ui, "", "", |f| {
            if f.button("Add somebody") {
                state.fresh = Some(crew.len());
                edit(out, Edit::Person(crew.len(), Some(another(scene, "Somebody", false))));
            }
            if f.button("Add a helper") {
                state.fresh = Some(crew.len());
                edit(out, Edit::Person(crew.len(), Some(another(scene, "Helper", true))));
            }
        });
        problems(ui, scene, "crew");
    });
}

fn another(scene: &Scene, name: &str, helper: bool) -> Person {
    let id = free_id(&name.to_lowercase(), scene.job.crew.iter().map(|p| p.id.as_str()));
    let pace = if helper { HELPER_PACE } else { 1.0 };
    Person { id, name: name.into(), helper, pace, ..Person::default() }
}

fn person(ui: &mut Ui, scene: &Scene, i: usize, fresh: bool, out: &mut Vec<Action>) {
    let p = &scene.job.crew[i];
    let of = p.name.as_str();
    let mut new = p.clone();
    row(ui, of, "name", |f| {
        let width = f.wide();
        if fresh {
            f.take_keyboard();
        }
        if let Some(n) = f.text("name", width, &p.name) {
            new.name = n;
        }
    });
    row(ui, of, "cost an hour", |f| {
        f.word("$");
        if let Some(c) = f.amount("cost an hour", p.cost) {
            new.cost = c;
        }
    });
    row(ui, of, "pace", |f| {
        if let Some(x) = f.within("pace", p.pace, 0.1, 3.0) {
            new.pace = x;
        }
        f.word("of the rates");
        if let Some(on) = f.tick("helper", p.helper) {
            new.helper = on;
        }
    });
    if let Some(share) = scene.shown.and_then(|s| share_of_work(&s.sound, &s.found, &p.id)) {
        row(ui, of, "does", |f| {
            explain::told(f.ui, &format!("work of {of}"), &share);
        });
    }
    row(ui, of, "skills", |f| {
        let width = f.wide();
        let print = |s: &Vec<String>| s.join(", ");
        let read = |t: &str| Ok(typed::read_words(t));
        if let Some(s) = f.hinted("skills", width, &p.skills, "such as spray, crown", print, read) {
            new.skills = s;
        }
    });
    row(ui, of, "days off", |f| {
        if let Some(d) = f.days("days off", &p.days_off) {
            new.days_off = d;
        }
    });
    dates(ui, scene, of, p, &mut new);
    row(ui, of, "", |f| {
        if let Some(on) = f.tick("a week of his or her own", p.week.is_some()) {
            new.week = on.then(|| scene.job.calendar.week.clone());
        }
    });
    if let Some(w) = &mut new.week {
        week_fields(ui, of, w);
    }
    if new != *p {
        edit(out, Edit::Person(i, Some(new)));
    }
    row(ui, of, "", |f| {
        if f.button("Take out") {
            edit(out, Edit::Person(i, None));
        }
    });
}

/// Dates with other hours than the week's: half days, evenings, Saturdays.
fn dates(ui: &mut Ui, scene: &Scene, of: &str, p: &Person, new: &mut Person) {
    let mut gone = None;
    for (k, d) in p.dates.iter().enumerate() {
        let date = crate::views::numbered("date", k + 1);
        row(ui, of, if k == 0 { "other hours" } else { "" }, |f| {
            if let Some(day) = f.day(&format!("{date} with other hours"), d.day) {
                new.dates[k].day = day;
            }
            let name = format!("hours of {date}");
            let print = |h: &Vec<Hours>| typed::stretches_field(h);
            if let Some(h) = f.hinted(&name, LENGTH * 2.0, &d.hours, "off", print, typed::read_stretches) {
                new.dates[k].hours = h;
            }
            if f.button_as("Take out", &format!("take {date} out")) {
                gone = Some(k);
            }
        });
    }
    if let Some(k) = gone {
        new.dates.remove(k);
    }
    row(ui, of, if p.dates.is_empty() { "other hours" } else { "" }, |f| {
        for kind in OtherHours::ALL {
            if f.button(kind.words()) {
                new.dates.push(kind.next(scene.job, p));
            }
        }
    });
}
