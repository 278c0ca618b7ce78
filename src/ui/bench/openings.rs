//! Doors, windows and plain openings of a room.

use egui::Ui;

use super::changed;
use super::field::row;
use super::rooms::{opening_name, wall_field};
use crate::job::{Opening, OpeningKind, Room, Units};
use crate::measure::Length;
use crate::takeoff::CASING;
use crate::views::typed;

/// A door of common size on the first wall.
pub(super) fn door() -> Opening {
    Opening {
        kind: OpeningKind::Door,
        name: String::new(),
        wall: 1,
        width: Length::from_inches(32.0),
        height: Length::from_inches(80.0),
        sill: None,
        from_corner: None,
        casing: None,
        count: 1,
    }
}

fn window() -> Opening {
    Opening { kind: OpeningKind::Window, width: Length::from_inches(36.0), height: Length::from_inches(54.0), ..door() }
}

/// The openings of a room, each with its measures.
pub(super) fn list(ui: &mut Ui, of: &str, units: Units, r: &Room, put: &mut impl FnMut(Room)) {
    for (k, o) in r.openings.iter().enumerate() {
        let name = opening_name(&r.openings, k);
        let own = format!("{name} of {of}");
        let mut new = o.clone();
        let mut gone = false;
        row(ui, &own, &name, |f| {
            let kinds = [
                (OpeningKind::Door, "door".to_string()),
                (OpeningKind::Window, "window".to_string()),
                (OpeningKind::Cased, "cased opening".to_string()),
            ];
            if let Some(kind) = f.choose("kind", 80.0, &o.kind, &kinds) {
                new.kind = kind;
            }
            f.word("×");
            if let Some(n) = f.count("how many", o.count) {
                new.count = n.max(1);
            }
        });
        row(ui, &own, "size", |f| {
            if let Some(l) = f.length("width", units, true, o.width) {
                new.width = l;
            }
            f.word("×");
            if let Some(l) = f.length("height", units, true, o.height) {
                new.height = l;
            }
        });
        row(ui, &own, "on wall", |f| {
            if let Some(w) = wall_field(f, "wall", r, o.wall) {
                new.wall = w;
            }
            f.word("corner");
            if let Some(l) = f.usual_length("from corner", units, o.from_corner, "not measured") {
                new.from_corner = l;
            }
        });
        row(ui, &own, "sill", |f| {
            let sill = typed::sill_hint(units, o.kind, o.height);
            if let Some(l) = f.usual_length("sill", units, o.sill, &sill) {
                new.sill = l;
            }
            f.word("casing");
            if let Some(l) = f.usual_length("casing", units, o.casing, &CASING.print(units.style())) {
                new.casing = l;
            }
        });
        row(ui, &own, "name", |f| {
            if let Some(n) = f.text("name", 90.0, &o.name) {
                new.name = n;
            }
            gone = f.button("Take out");
        });
        if gone {
            put(changed(r, |r| {
                r.openings.remove(k);
            }));
        } else if new != *o {
            put(changed(r, |r| r.openings[k] = new));
        }
        ui.add_space(crate::ui::theme::size::GAP);
    }
    row(ui, of, "", |f| {
        if f.button("Add a door") {
            put(changed(r, |r| r.openings.push(door())));
        }
        if f.button("Add a window") {
            put(changed(r, |r| r.openings.push(window())));
        }
    });
}
