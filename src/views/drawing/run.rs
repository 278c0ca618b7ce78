//! The run of walls on paper: where each begins and heads, and how it closes again when one is moved.
//!
//! Feet; the first wall heads to the right, the next turns clockwise. Inside is to the right
//! of each wall. Moving a wall keeps every direction, so a run that closed still closes.

use crate::job::{Room, Size, Units, Wall};
use crate::measure::Length;
use crate::takeoff::Outline;

/// The least a wall is made by pulling, feet.
const LEAST: f64 = 0.25;
/// Two walls meet where the sine of their turn is at least this.
const MEET: f64 = 0.08;

/// A run of walls, each with where it begins and its direction.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    pub walls: Vec<Wall>,
    /// One more than walls: where the last one ends stands behind them.
    pub corners: Vec<(f64, f64)>,
    pub headings: Vec<(f64, f64)>,
}

fn dot(a: (f64, f64), b: (f64, f64)) -> f64 {
    a.0 * b.0 + a.1 * b.1
}

/// Out of the room, from a wall heading that way.
pub fn outward(heading: (f64, f64)) -> (f64, f64) {
    (heading.1, -heading.0)
}

impl Run {
    /// The run of a room; no walls where nothing, or nothing of this world, was measured.
    pub fn of(room: &Room) -> Run {
        let walls = Outline::of(room, "", &mut Vec::new()).walls;
        let sound = |w: &Wall| (0.0..=2_000.0).contains(&w.length.feet()) && (0.0..=2_000.0).contains(&w.height.feet());
        let drawn = walls.iter().all(|w| sound(w) && w.turn.is_finite());
        let long = walls.iter().any(|w| w.length > Length::ZERO) && walls.iter().any(|w| w.height > Length::ZERO);
        Run::along(if drawn && long { walls } else { Vec::new() })
    }

    fn along(walls: Vec<Wall>) -> Run {
        let (mut at, mut turned) = ((0.0, 0.0), 0.0f64);
        let (mut corners, mut headings) = (vec![at], Vec::new());
        for w in &walls {
            let h = (libm::cos(turned.to_radians()), libm::sin(turned.to_radians()));
            at = (at.0 + w.length.feet() * h.0, at.1 + w.length.feet() * h.1);
            corners.push(at);
            headings.push(h);
            turned += w.turn;
        }
        Run { walls, corners, headings }
    }

    /// How far from its beginning the run ends, feet.
    pub fn gap(&self) -> f64 {
        let (x, y) = self.corners.last().copied().unwrap_or_default();
        libm::sqrt(x * x + y * y)
    }

    /// What the run does not do, in words.
    pub fn wrong(&self, units: Units) -> Option<String> {
        let gap = Length::from_feet(self.gap());
        let turns: f64 = self.walls.iter().map(|w| w.turn).sum();
        let seen = self.gap() > 1.0 / 12.0 + 0.005 * self.walls.iter().map(|w| w.length.feet()).sum::<f64>();
        if (turns - 360.0).abs() > 1.0 {
            Some(format!("The turns add up to {turns:.0} degrees; a closed run makes 360."))
        } else if seen {
            Some(format!("The run does not close: it ends {} from where it began.", gap.print(units.style())))
        } else {
            None
        }
    }

    fn next(&self, i: usize) -> usize {
        (i + 1) % self.walls.len()
    }

    fn before(&self, i: usize) -> usize {
        (i + self.walls.len() - 1) % self.walls.len()
    }

    /// The walls with wall `i` moved so that the wall before it grows by `more`; nothing where
    /// the three do not meet, or one would be no wall any more.
    pub fn moved(&self, i: usize, more: Length) -> Option<Vec<Wall>> {
        if self.walls.len() < 3 {
            return None;
        }
        let (a, b) = (self.before(i), self.next(i));
        let n = outward(self.headings[i]);
        let (da, db) = (dot(self.headings[a], n), dot(self.headings[b], n));
        if da.abs() < MEET || db.abs() < MEET {
            return None;
        }
        let s = more.feet();
        let r = s * da / db;
        let mut walls = self.walls.clone();
        let own = r * dot(self.headings[b], self.headings[i]) - s * dot(self.headings[a], self.headings[i]);
        // Where the ends run parallel they change by the very same.
        let parallel = (da + db).abs() < 1e-9;
        walls[a].length = Length(walls[a].length.0 + more.0);
        walls[b].length = Length(walls[b].length.0 + if parallel { more.0 } else { Length::from_feet(-r).0 });
        walls[i].length = Length(walls[i].length.0 + Length::from_feet(own).0);
        [a, i, b].iter().all(|&k| walls[k].length.feet() >= LEAST).then_some(walls)
    }

    /// Feet by which the wall before `i` grows when `i` is moved outwards by a foot.
    pub fn per_foot_out(&self, i: usize) -> f64 {
        let along = dot(self.headings[self.before(i)], outward(self.headings[i]));
        if along.abs() < MEET { 0.0 } else { 1.0 / along }
    }

    /// The walls with wall `i` as long as said: its far end moves, else its near end, else the
    /// wall over against it follows, else it alone.
    pub fn lengthened(&self, i: usize, to: Length) -> Vec<Wall> {
        let more = Length(to.0 - self.walls[i].length.0);
        if let Some(walls) = self.moved(self.next(i), more) {
            return walls;
        }
        let over = |k: &usize| dot(self.headings[*k], self.headings[i]) < -0.999;
        let mut walls = self.walls.clone();
        walls[i].length = to;
        if let Some(k) = (0..walls.len()).find(over)
            && walls[k].length.feet() + more.feet() >= LEAST
        {
            walls[k].length = Length(walls[k].length.0 + more.0);
        }
        walls
    }

    /// A room with these walls, their lengths such as its line can write; one measured by length and width stays so.
    pub fn put(room: &Room, walls: Vec<Wall>, units: Units) -> Room {
        let mut out = room.clone();
        match (room.size, room.walls.is_empty(), walls.as_slice()) {
            (Some(_), true, [a, b, ..]) => {
                out.size = Some(Size { length: a.length, width: b.length, height: a.height });
            }
            _ => {
                out.walls = walls;
                crate::sheet::written_out(&mut out.walls, units);
            }
        }
        crate::sheet::without_stale_letters(out)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    pub fn wall(feet: f64, turn: f64) -> Wall {
        Wall { name: String::new(), length: Length::from_feet(feet), height: Length::from_feet(8.0), turn }
    }

    fn feet(walls: &[Wall]) -> Vec<f64> {
        walls.iter().map(|w| (w.length.feet() * 1000.0).round() / 1000.0).collect()
    }

    fn rectangle() -> Run {
        Run::along(vec![wall(13.0, 90.0), wall(11.5, 90.0), wall(13.0, 90.0), wall(11.5, 90.0)])
    }

    #[test]
    fn the_wall_over_against_follows() {
        let r = rectangle();
        assert_eq!(feet(&r.lengthened(0, Length::from_feet(14.0))), [14.0, 11.5, 14.0, 11.5]);
        assert_eq!(feet(&r.moved(0, Length::from_feet(1.0)).unwrap()), [13.0, 12.5, 13.0, 12.5]);
        assert_eq!(r.per_foot_out(0), 1.0);
        assert!(r.moved(0, Length::from_feet(-11.4)).is_none(), "no room is left");
        assert_eq!(r.corners[2], (13.0, 11.5));
    }

    #[test]
    fn a_cut_corner_keeps_its_angle_when_the_wall_beside_it_is_moved() {
        // A square of 10 with one corner cut at 45 degrees, 2 by 2.
        let d = libm::sqrt(8.0);
        let r = Run::along(vec![wall(8.0, 45.0), wall(d, 45.0), wall(8.0, 90.0), wall(10.0, 90.0), wall(10.0, 90.0)]);
        // The right wall out by a foot: its neighbour below grows by one, the cut by sqrt 2, itself less one.
        let out = r.moved(2, Length::from_feet(libm::sqrt(2.0))).unwrap();
        assert_eq!(feet(&out), [8.0, 4.243, 7.0, 11.0, 10.0]);
        assert!(Run::along(out).gap() < 1e-5);
    }

    #[test]
    fn a_run_that_does_not_close_says_so() {
        assert_eq!(rectangle().wrong(Units::FeetInches), None);
        let r = Run::along(vec![wall(13.0, 90.0), wall(11.5, 90.0), wall(12.0, 90.0), wall(11.5, 90.0)]);
        assert_eq!(r.wrong(Units::FeetInches).unwrap(), "The run does not close: it ends 1' from where it began.");
    }

    proptest! {
        #[test]
        fn a_closed_run_closes_after_any_move(i in 0usize..6, more in -3.0f64..3.0) {
            // An L of six walls.
            let l = [wall(12.0, 90.0), wall(6.0, 90.0), wall(5.0, -90.0), wall(4.0, 90.0), wall(7.0, 90.0), wall(10.0, 90.0)];
            let r = Run::along(l.to_vec());
            if let Some(walls) = r.moved(i, Length::from_feet(more)) {
                prop_assert!(Run::along(walls).gap() < 1e-5);
            }
            let to = r.walls[i].length.feet() * (1.0 + more / 12.0);
            prop_assert!(Run::along(r.lengthened(i, Length::from_feet(to))).gap() < 1e-5);
        }
    }
}
