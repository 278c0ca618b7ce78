//! Rooms as measured: size or walls, openings, boxes, holes, cracks, the client's hours for
//! the walk-through, and the surfaces with their recipes.

use egui::Ui;

use super::field::{Row, row};
use super::fold::{fold, fold_asked, zone};
use super::near::unfold_zone;
use super::{BenchState, Zone, changed, edit, openings, problems, surfaces, take_out};
use crate::job::{Boxes, Edit, Opening, OpeningKind, Place, PlaceKind, Room, Size, Wall, free_id};
use crate::measure::Length;
use crate::sheet;
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::views::{drawing, numbered, typed};

/// The rooms of the job. `chosen` unfolds one now.
pub fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, chosen: Option<usize>, out: &mut Vec<Action>) {
    let asked = state.asked(Zone::Rooms);
    // On the way to a surface it is that which is brought into view.
    let to_surface = asked.then_some(state.surface).flatten().map(|s| s.0);
    if to_surface.is_some() {
        unfold_zone(ui, "Rooms");
    }
    zone(ui, "Rooms", false, asked && to_surface.is_none(), |ui| {
        let rooms = &scene.job.rooms;
        for (i, r) in rooms.iter().enumerate() {
            ui.push_id(("room", i), |ui| {
                let name = if r.name.is_empty() { &r.id } else { &r.name };
                let open = r.surfaces.is_empty();
                let now = chosen == Some(i) || to_surface == Some(i);
                fold_asked(ui, "room", name, open, now, |ui| room(ui, scene, i, state, out));
            });
        }
        row(ui, "", "", |r| {
            if r.button("Add a room") {
                out.push(Action::Edit(another(scene)));
            }
        });
    });
}

/// A bedroom of common size with one door, to be measured, and its place.
fn another(scene: &Scene) -> Vec<Edit> {
    let job = scene.job;
    let name = numbered("Room", job.rooms.len() + 1);
    let id = free_id("room", job.rooms.iter().map(|r| r.id.as_str()));
    let place = free_id(&id, job.places.iter().map(|p| p.id.as_str()));
    let feet = Length::from_feet;
    let room = Room {
        id,
        name: name.clone(),
        place: place.clone(),
        size: Some(Size { length: feet(12.0), width: feet(10.0), height: feet(8.0) }),
        openings: vec![openings::door()],
        ..Room::default()
    };
    let place = Place { id: place, name: name.to_lowercase(), kind: PlaceKind::Room, ..Place::default() };
    vec![Edit::Place(job.places.len(), Some(Box::new(place))), Edit::Room(job.rooms.len(), Some(Box::new(room)))]
}

fn room(ui: &mut Ui, scene: &Scene, i: usize, state: &mut BenchState, out: &mut Vec<Action>) {
    let job = scene.job;
    let r = &job.rooms[i];
    let of = if r.name.is_empty() { r.id.as_str() } else { r.name.as_str() };
    let units = job.units;
    let mut put = |new: Room| edit(out, Edit::Room(i, Some(Box::new(new))));
    row(ui, of, "name", |f| {
        let width = f.wide();
        if let Some(name) = f.text("name", width, &r.name) {
            put(changed(r, |r| r.name = name));
        }
    });
    match &r.size {
        Some(s) => row(ui, of, "length × width × height", |f| size(f, scene, r, s, &mut put)),
        // The line of the sheet says them; each can be changed here all the same.
        None => fold(ui, "walls", &drawing::walls_words(r.walls.len()), false, |ui| walls(ui, of, scene, r, &mut put)),
    }
    row(ui, of, "place", |f| {
        let places: Vec<_> =
            job.places.iter().filter(|p| p.kind == PlaceKind::Room).map(|p| (p.id.clone(), p.name.clone())).collect();
        if let Some(place) = f.choose("place", 140.0, &r.place, &places) {
            put(changed(r, |r| r.place = place));
        }
    });
    fold(ui, "openings", "Doors and windows", false, |ui| openings::list(ui, of, units, r, &mut put));
    boxes(ui, of, r, &mut put);
    row(ui, of, "holes", |f| {
        if let Some(n) = f.count("holes", r.holes) {
            put(changed(r, |r| r.holes = n));
        }
        f.word("cracks");
        if let Some(l) = f.length("cracks", units, false, r.cracks) {
            put(changed(r, |r| r.cracks = l));
        }
    });
    row(ui, of, "walk-through", |f| {
        let width = f.wide();
        let print = |w: &Vec<crate::job::Window>| typed::windows_field(w);
        if let Some(w) = f.field("walk-through", width, &r.walk_through, print, typed::read_windows) {
            put(changed(r, |r| r.walk_through = w));
        }
    });
    surfaces::show(ui, scene, i, state, out);
    problems(ui, scene, &format!("rooms[{i}]"));
    take_out(ui, scene, state, of, "Take this room out", Edit::Room(i, None), out);
}

fn size(f: &mut Row, scene: &Scene, r: &Room, s: &Size, put: &mut impl FnMut(Room)) {
    let units = scene.job.units;
    let mut new = *s;
    for (k, name) in ["length", "width", "height"].into_iter().enumerate() {
        if k > 0 {
            f.word("×");
        }
        let at = match k {
            0 => &mut new.length,
            1 => &mut new.width,
            _ => &mut new.height,
        };
        if let Some(l) = f.length(name, units, false, *at) {
            *at = l;
        }
    }
    if new != *s {
        put(changed(r, |r| r.size = Some(new)));
    }
    if f.button("Wall by wall") {
        let wall = |length| Wall { name: String::new(), length, height: s.height, turn: 90.0 };
        put(changed(r, |r| {
            r.size = None;
            r.walls = [s.length, s.width, s.length, s.width].map(wall).to_vec();
        }));
    }
}

/// The rectangle a run of walls makes, where it is one.
fn rectangle(walls: &[Wall]) -> Option<Size> {
    let [a, b, c, d] = walls else { return None };
    let square = walls.iter().all(|w| w.turn == 90.0 && w.height == a.height && w.name.is_empty());
    (square && a.length == c.length && b.length == d.length).then_some(Size {
        length: a.length,
        width: b.length,
        height: a.height,
    })
}

fn walls(ui: &mut Ui, of: &str, scene: &Scene, r: &Room, put: &mut impl FnMut(Room)) {
    let units = scene.job.units;
    for (k, w) in r.walls.iter().enumerate() {
        let mut new = w.clone();
        let mut gone = false;
        let called = sheet::label(r, k + 1);
        let lettered = called == w.name;
        let named = drawing::name(r, drawing::Part::Wall(k));
        let of = format!("{named} of {of}");
        row(ui, &of, &named, |f| {
            if let Some(l) = f.length("length", units, false, w.length) {
                new.length = l;
            }
            f.word("×");
            if let Some(l) = f.length("height", units, false, w.height) {
                new.height = l;
            }
            f.word("turn");
            let read = |t: &str| {
                let x = typed::read_number(t.trim().trim_end_matches('°'))?;
                let fits = (-180.0..=180.0).contains(&x);
                if fits { Ok(x) } else { Err("90 at an inside corner, -90 at an outside one".to_string()) }
            };
            if let Some(t) = f.field("turn", super::field::NUMBER, &w.turn, |t| format!("{}°", typed::plain(*t)), read)
            {
                new.turn = t;
            }
            // The letters of a bay are the sheet's, no name to be changed.
            if !lettered {
                f.word("name");
                if let Some(name) = f.text("name", 72.0, &w.name) {
                    new.name = name;
                }
            }
            gone = r.walls.len() > 1 && f.button("Take out");
        });
        if gone {
            put(sheet::without_stale_letters(changed(r, |r| {
                r.walls.remove(k);
            })));
        } else if new != *w {
            put(sheet::without_stale_letters(changed(r, |r| r.walls[k] = new)));
        }
    }
    row(ui, of, "", |f| {
        if f.button("Add a wall") {
            let height = r.walls.last().map_or(Length::from_feet(8.0), |w| w.height);
            let wall = Wall { name: String::new(), length: Length::from_feet(4.0), height, turn: 90.0 };
            put(sheet::without_stale_letters(changed(r, |r| r.walls.push(wall))));
        }
        if let Some(s) = rectangle(&r.walls)
            && f.button("As length, width, height")
        {
            put(changed(r, |r| {
                r.walls.clear();
                r.size = Some(s);
            }));
        }
    });
}

fn boxes(ui: &mut Ui, of: &str, r: &Room, put: &mut impl FnMut(Room)) {
    row(ui, of, "electrical boxes", |f| {
        for (k, b) in r.boxes.iter().enumerate() {
            let mut new = b.clone();
            if let Some(n) = f.count(&numbered("boxes, entry", k + 1), b.count) {
                new.count = n;
            }
            f.word("on wall");
            if let Some(w) = wall_field(f, &numbered("wall of boxes, entry", k + 1), r, b.wall) {
                new.wall = w;
            }
            if new.count == 0 {
                put(changed(r, |r| {
                    r.boxes.remove(k);
                }));
            } else if new != *b {
                put(changed(r, |r| r.boxes[k] = new));
            }
            f.ui.end_row();
        }
        if f.button("Add boxes") {
            let wall = r.boxes.last().map_or(1, |b| b.wall + 1);
            put(changed(r, |r| r.boxes.push(Boxes { wall, count: 1 })));
        }
    });
}

/// A field for one wall, by what it is called.
pub(super) fn wall_field(f: &mut super::field::Row, name: &str, r: &Room, wall: usize) -> Option<usize> {
    let read = |t: &str| match sheet::read_walls(r, t)?.as_slice() {
        [w] => Ok(*w),
        [] => Err("write the wall it is on".to_string()),
        _ => Err("write one of its pieces, like 1a".to_string()),
    };
    f.field(name, super::field::COUNT, &wall, |w| sheet::label(r, *w), read)
}

/// The word of an opening with its number among its kind.
pub(super) fn opening_name(list: &[Opening], at: usize) -> String {
    let o = &list[at];
    let alike = list[..at].iter().filter(|x| x.kind == o.kind).count() + 1;
    if !o.name.is_empty() {
        return o.name.clone();
    }
    let word = match o.kind {
        OpeningKind::Door => "door",
        OpeningKind::Window => "window",
        OpeningKind::Cased => "cased opening",
    };
    format!("{word} {alike}")
}
