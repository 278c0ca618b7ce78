//! Rooms whose measures cannot be: no walls, runs that do not close, openings past their wall.

use super::check::Findings;
use super::values::plain;
use crate::job::Room;
use crate::measure::{Length, Style};

/// Length and height of each wall.
fn walls(room: &Room) -> Vec<(Length, Length)> {
    match room.size {
        Some(s) => vec![(s.length, s.height), (s.width, s.height), (s.length, s.height), (s.width, s.height)],
        None => room.walls.iter().map(|w| (w.length, w.height)).collect(),
    }
}

fn print(l: Length) -> String {
    l.print(Style::FeetInches)
}

/// Checks one room.
pub(super) fn check(room: &Room, path: &str, found: &mut Findings) {
    if room.size.is_some() && !room.walls.is_empty() {
        found.add(format!("{path}.walls"), "the room has a size and walls", "keep one of the two");
    }
    if room.size.is_none() && room.walls.is_empty() && !room.surfaces.is_empty() {
        if !found.written(&format!("{path}.size")) && !found.written(&format!("{path}.walls")) {
            let remedy = "add size: (\"13'\", \"11'6\", \"8'4\") or walls: [ ... ]";
            found.add(path, "the room has surfaces but no size and no walls", remedy);
        }
        return;
    }
    if room.size.is_none() && room.walls.len() > 1 {
        let turns: f64 = room.walls.iter().map(|w| w.turn).sum();
        if (turns - 360.0).abs() > 0.5 {
            found.add(
                format!("{path}.walls"),
                format!("the corners of the walls turn by {} degrees in all, a closed run by 360", plain(turns)),
                "write turn: 90 for an inside corner and turn: -90 for an outside one",
            );
        }
    }
    let walls = walls(room);
    let here = walls.len();
    let no_wall = |n: usize| format!("there is no wall {n}, the room has {here}");
    let remedy = format!("write a wall from 1 to {here}");
    for (i, o) in room.openings.iter().enumerate() {
        let path = format!("{path}.openings[{i}]");
        let Some(&(length, height)) = o.wall.checked_sub(1).and_then(|w| walls.get(w)) else {
            found.add(format!("{path}.wall"), no_wall(o.wall), remedy.clone());
            continue;
        };
        let wide = o.width * i64::from(o.count.max(1));
        if wide > length && length > Length::ZERO {
            let what = format!("openings of {} do not fit in wall {} of {}", print(wide), o.wall, print(length));
            found.add(format!("{path}.width"), what, "correct width, count or wall");
        } else if o.from_corner.is_some_and(|c| c + o.width > length) {
            let what = format!("the opening ends past wall {} of {}", o.wall, print(length));
            found.add(format!("{path}.from_corner"), what, "measure from the near corner to the near side");
        }
        let top = o.height + o.sill.unwrap_or_default();
        if top > height && height > Length::ZERO {
            let what = format!("the opening reaches {} up a wall of {}", print(top), print(height));
            found.add(format!("{path}.height"), what, "correct height or sill");
        }
    }
    for (i, b) in room.boxes.iter().enumerate() {
        if b.wall > here || b.wall == 0 {
            found.add(format!("{path}.boxes[{i}].wall"), no_wall(b.wall), remedy.clone());
        }
    }
    let highest = walls.iter().map(|w| w.1).max().unwrap_or_default();
    for (i, s) in room.surfaces.iter().enumerate() {
        for (j, &w) in s.walls.iter().enumerate() {
            if w > here || w == 0 {
                found.add(format!("{path}.surfaces[{i}].walls[{j}]"), no_wall(w), remedy.clone());
            }
        }
        if let Some(h) = s.height
            && h > highest
            && highest > Length::ZERO
        {
            let what = format!("the surface reaches {} up a room of {}", print(h), print(highest));
            found.add(format!("{path}.surfaces[{i}].height"), what, "correct the height");
        }
    }
}
