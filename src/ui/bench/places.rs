//! Places and their air: kind, air in work hours and at other hours, fan, racks, the drive.

use egui::Ui;

use super::calendar::{days, hours};
use super::field::{Row, row};
use super::fold::{fold, zone};
use super::near::near;
use super::{BenchState, Zone, edit, problems};
use crate::clock::Air;
use crate::job::{Edit, Place, PlaceKind, Units, Window, free_id};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::views::said::day_near;
use crate::views::typed;

/// The places of the job.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let asked = state.asked(Zone::Places);
    zone(ui, "Places and their air", true, asked, |ui| {
        let places = &scene.job.places;
        for (i, p) in places.iter().enumerate() {
            ui.push_id(("place", i), |ui| {
                let words = format!("{}, {}", p.name, kind_word(p.kind));
                fold(ui, "place", if p.name == kind_word(p.kind) { &p.name } else { &words }, false, |ui| {
                    place(ui, scene, i, out);
                });
            });
        }
        row(ui, "", "", |f| {
            for kind in [PlaceKind::Shop, PlaceKind::Booth, PlaceKind::Room] {
                if f.button(&format!("Add a {}", kind_word(kind))) {
                    let id = free_id(kind_word(kind), places.iter().map(|p| p.id.as_str()));
                    let new = Place { name: id.replace('-', " "), id, kind, ..Place::default() };
                    edit(out, Edit::Place(places.len(), Some(Box::new(new))));
                }
            }
        });
        problems(ui, scene, "places");
    });
}

fn kind_word(kind: PlaceKind) -> &'static str {
    match kind {
        PlaceKind::Room => "room",
        PlaceKind::Shop => "shop",
        PlaceKind::Booth => "booth",
    }
}

fn place(ui: &mut Ui, scene: &Scene, i: usize, out: &mut Vec<Action>) {
    let p = &scene.job.places[i];
    let of = p.name.as_str();
    let mut new = p.clone();
    row(ui, of, "name", |f| {
        let width = f.wide();
        if let Some(n) = f.text("place's name", width, &p.name) {
            new.name = n;
        }
    });
    row(ui, of, "kind", |f| {
        let kinds = [PlaceKind::Room, PlaceKind::Shop, PlaceKind::Booth].map(|k| (k, kind_word(k).to_string()));
        if let Some(k) = f.choose("kind", 100.0, &p.kind, &kinds) {
            new.kind = k;
        }
    });
    let units = scene.job.units;
    // The damp is that of the air being tried.
    let tried = scene.question.and_then(|q| {
        q.edits.iter().find_map(|e| match e {
            Edit::Place(k, Some(t)) if *k == i => Some((t.work_air, t.off_air)),
            _ => None,
        })
    });
    let now = tried.unwrap_or((p.work_air, p.off_air));
    row(ui, of, "work air", |f| air(f, units, "in work hours", &mut new.work_air, now.0));
    row(ui, of, "other hours", |f| air(f, units, "at other hours", &mut new.off_air, now.1));
    row(ui, of, "its work hours", |f| {
        if let Some(Some(h)) = hours(f, "its work hours", Some(p.air_hours)) {
            new.air_hours = h;
        }
        days(f, &mut new.air_days);
    });
    row(ui, of, "", |f| {
        if let Some(on) = f.tick("fan or dehumidifier runs", p.fan) {
            new.fan = on;
        }
        if let Some(on) = f.tick("vacuum sander and scrubber", p.dust_control) {
            new.dust_control = on;
        }
    });
    row(ui, of, "racks", |f| {
        if let Some(n) = f.maybe_count("racks", p.racks) {
            new.racks = n;
        }
        f.word("or as many as wanted");
    });
    between(ui, scene, i, of, &mut new);
    if new != *p {
        edit(out, Edit::Place(i, Some(Box::new(new))));
    }
    row(ui, of, "", |f| {
        if f.button("Take this place out") {
            edit(out, Edit::Place(i, None));
        }
    });
}

/// The drive, what it stands beside, what it is open to.
fn between(ui: &mut Ui, scene: &Scene, i: usize, of: &str, new: &mut Place) {
    let others: Vec<&Place> = scene.job.places.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, p)| p).collect();
    row(ui, of, "away", |f| {
        if let Some(n) = f.count("minutes away", new.away_min.max(0) as u32) {
            new.away_min = i64::from(n);
        }
        f.word("min one way");
    });
    if others.is_empty() {
        return;
    }
    row(ui, of, "beside", |f| {
        let none = (None, "nothing".to_string());
        let options: Vec<_> =
            std::iter::once(none).chain(others.iter().map(|p| (Some(p.id.clone()), p.name.clone()))).collect();
        if let Some(b) = f.choose("beside", 120.0, &new.beside, &options) {
            new.beside = b;
        }
    });
    row(ui, of, "open to", |f| {
        for p in others {
            if let Some(on) = f.tick(&p.name, new.open_to.contains(&p.id)) {
                if on { new.open_to.push(p.id.clone()) } else { new.open_to.retain(|o| *o != p.id) }
            }
        }
    });
}

/// Temperature and dew point; the humidity they make, that of `now`.
fn air(f: &mut Row, units: Units, when: &str, value: &mut Air, now: Air) {
    let print = |t: &f64| typed::degrees(units, *t);
    let read = |t: &str| typed::read_degrees(units, t);
    let at = *value;
    let step = |t: &f64, n: i64| typed::degrees_stepped(units, *t, n);
    if let Some(t) = f.stepped(&format!("temperature {when}"), 48.0, &at.temp_f, print, read, &step) {
        value.temp_f = t;
    }
    f.word("dew");
    // Air cannot be damper than full.
    let below = |t: &str| match typed::read_degrees(units, t)? {
        d if d <= at.temp_f => Ok(d),
        _ => Err("the dew point is not above the temperature".to_string()),
    };
    if let Some(d) = f.stepped(&format!("dew point {when}"), 48.0, &at.dew_f, print, below, &step) {
        value.dew_f = d;
    }
    crate::ui::explain::told(f.ui, &format!("damp {when}"), &typed::humidity_figure(units, now));
}

/// Hours somebody comes, as one text.
pub(super) fn windows(f: &mut Row, name: &str, value: &mut Vec<Window>) {
    let width = f.wide();
    let print = |w: &Vec<Window>| typed::windows_field(w);
    let near = near(f.ui, None);
    let read = |t: &str| typed::read_windows_by(t, &|d| day_near(d, near));
    if let Some(w) = f.field(name, width, value, print, read) {
        *value = w;
    }
}
