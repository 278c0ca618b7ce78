//! The run of walls: does it close, what area does it enclose, which corners has it.
//!
//! Walls run clockwise; each turns at its far corner: 90 degrees an inside corner, -90 an
//! outside one. Angles in degrees, lengths as measured.

use crate::job::{Problem, Room, Wall};
use crate::measure::Length;

/// A run closes within an inch and half a percent of its length (judgement: tape and plaster).
const TOLERANCE_IN: f64 = 1.0;
const TOLERANCE_SHARE: f64 = 0.005;

/// What a corner is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Corner {
    Inside,
    Outside,
    /// The wall goes straight on.
    Straight,
}

/// A room's walls and what they enclose.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    pub walls: Vec<Wall>,
    /// By the far corner of each wall.
    pub corners: Vec<Corner>,
    /// Enclosed area, SF.
    pub area: f64,
}

impl Outline {
    /// Reads the walls of a room; problems stand at `path`.
    pub fn of(room: &Room, path: &str, problems: &mut Vec<Problem>) -> Outline {
        let walls = match (&room.size, room.walls.is_empty()) {
            (Some(s), true) => {
                let wall = |length| Wall { name: String::new(), length, height: s.height, turn: 90.0 };
                vec![wall(s.length), wall(s.width), wall(s.length), wall(s.width)]
            }
            (None, false) => room.walls.clone(),
            (Some(_), false) => {
                problems.push(Problem::new(
                    format!("{path}.size"),
                    "this room has both a size and a run of walls",
                    "keep the size for a rectangle, or the walls, not both",
                ));
                room.walls.clone()
            }
            (None, true) => {
                problems.push(Problem::new(
                    path,
                    "this room has no measures",
                    "give size: (length, width, height) or a run of walls",
                ));
                Vec::new()
            }
        };
        let measured = room.walls.is_empty();
        for (i, w) in walls.iter().enumerate() {
            for (field, l) in [("length", w.length), ("height", w.height)] {
                if l <= Length::ZERO {
                    let (at, field) = match (measured, field, i) {
                        (false, _, _) => (format!("{path}.walls[{i}].{field}"), field),
                        (true, "height", 0) => (format!("{path}.size.height"), "height"),
                        (true, "length", 0) => (format!("{path}.size.length"), "length"),
                        (true, "length", 1) => (format!("{path}.size.width"), "width"),
                        _ => continue,
                    };
                    problems.push(Problem::new(at, format!("a {field} must be more than nothing"), "measure it again"));
                }
            }
        }
        let corners = walls
            .iter()
            .map(|w| match w.turn {
                t if t > 1.0 => Corner::Inside,
                t if t < -1.0 => Corner::Outside,
                _ => Corner::Straight,
            })
            .collect();
        let area = enclosed(&walls, path, problems);
        Outline { walls, corners, area }
    }

    /// What a wall (index) is called: `1a` where the measure sheet named the run by the sides
    /// of a rectangle, else its number from 1.
    pub fn called(&self, wall: usize) -> String {
        let of_sheet = |name: &str| {
            let mut c = name.chars();
            c.next().is_some_and(|d| ('1'..='4').contains(&d)) && c.all(|l| l.is_ascii_lowercase()) && name.len() <= 2
        };
        match self.walls.get(wall) {
            Some(w) if self.walls.iter().all(|w| of_sheet(&w.name)) => w.name.clone(),
            _ => wall.wrapping_add(1).to_string(),
        }
    }

    /// Walls (indices) a surface covers: those named from 1, or all. Wrong numbers are left
    /// out; [`super::room`] reports them.
    pub fn covered(&self, named: &[usize]) -> Vec<usize> {
        let mut list: Vec<usize> = if named.is_empty() {
            (0..self.walls.len()).collect()
        } else {
            named.iter().filter(|&&w| w >= 1 && w <= self.walls.len()).map(|w| w - 1).collect()
        };
        list.sort_unstable();
        list.dedup();
        list
    }

    /// Inside and outside corners between walls that are both covered.
    pub fn corners_of(&self, covered: &[usize]) -> (usize, usize) {
        let n = self.walls.len();
        let both =
            |i: usize| n > 1 && covered.binary_search(&i).is_ok() && covered.binary_search(&((i + 1) % n)).is_ok();
        let count = |c| (0..n).filter(|&i| both(i) && self.corners[i] == c).count();
        (count(Corner::Inside), count(Corner::Outside))
    }
}

/// Area by the surveyor's formula; says where the run does not close.
fn enclosed(walls: &[Wall], path: &str, problems: &mut Vec<Problem>) -> f64 {
    if walls.is_empty() {
        return 0.0;
    }
    let turns: f64 = walls.iter().map(|w| w.turn).sum();
    if (turns - 360.0).abs() > 1.0 || !turns.is_finite() {
        problems.push(Problem::new(
            format!("{path}.walls"),
            format!("the turns of the walls add up to {turns:.0} degrees, a closed run makes 360"),
            "go round clockwise: 90 at an inside corner, -90 at an outside one",
        ));
        return 0.0;
    }
    let (mut x, mut y, mut heading, mut twice, mut run) = (0.0f64, 0.0f64, 0.0f64, 0.0f64, 0.0f64);
    for w in walls {
        let (sin, cos) = (libm::sin(heading.to_radians()), libm::cos(heading.to_radians()));
        let (nx, ny) = (x + w.length.feet() * cos, y + w.length.feet() * sin);
        twice += x * ny - nx * y;
        (x, y) = (nx, ny);
        heading += w.turn;
        run += w.length.feet();
    }
    let gap = libm::sqrt(x * x + y * y);
    if gap > TOLERANCE_IN / 12.0 + TOLERANCE_SHARE * run {
        problems.push(Problem::new(
            format!("{path}.walls"),
            format!("the run of walls does not close: it ends {:.0} in from where it began", gap * 12.0),
            "measure the walls again, or the angles where they are not square",
        ));
    }
    twice.abs() / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wall(feet: f64, turn: f64) -> Wall {
        Wall { name: String::new(), length: Length::from_feet(feet), height: Length::from_feet(8.0), turn }
    }

    fn outline(walls: Vec<Wall>) -> (Outline, Vec<Problem>) {
        let mut p = Vec::new();
        let o = Outline::of(&Room { walls, ..Room::default() }, "rooms[0]", &mut p);
        (o, p)
    }

    #[test]
    fn an_l_shaped_room_has_one_outside_corner() {
        let (o, p) = outline(vec![
            wall(12.0, 90.0),
            wall(6.0, 90.0),
            wall(5.0, -90.0),
            wall(4.0, 90.0),
            wall(7.0, 90.0),
            wall(10.0, 90.0),
        ]);
        assert!(p.is_empty(), "{p:?}");
        assert!((o.area - (12.0 * 6.0 + 7.0 * 4.0)).abs() < 1e-6, "{}", o.area);
        assert_eq!(o.corners_of(&o.covered(&[])), (5, 1));
        assert_eq!(o.corners_of(&o.covered(&[1, 2])), (1, 0));
    }

    #[test]
    fn a_bay_with_other_angles_closes() {
        // A square with one corner cut at 45 degrees: 10 x 10 less a triangle of 2 x 2.
        let d = libm::sqrt(8.0);
        let (o, p) = outline(vec![wall(8.0, 45.0), wall(d, 45.0), wall(8.0, 90.0), wall(10.0, 90.0), wall(10.0, 90.0)]);
        assert!(p.is_empty(), "{p:?}");
        assert!((o.area - 98.0).abs() < 1e-5, "{}", o.area);
    }

    #[test]
    fn a_run_that_does_not_close_says_by_how_much() {
        let (_, p) = outline(vec![wall(12.0, 90.0), wall(9.0, 90.0), wall(11.0, 90.0), wall(9.0, 90.0)]);
        assert_eq!(p[0].what, "the run of walls does not close: it ends 12 in from where it began");
        let (_, p) = outline(vec![wall(12.0, 90.0), wall(9.0, -90.0), wall(12.0, 90.0), wall(9.0, 90.0)]);
        assert!(p[0].what.contains("180 degrees"), "{p:?}");
    }
}
