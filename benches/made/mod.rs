//! Jobs made from a seed for the benches: invented work, invented people, the same job for
//! the same seed on every machine.

use roomback::forecast::normal::Z90;
use roomback::job::{
    Day, Decision, Delivery, Hands, Hm, Job, KeptOrder, LinkKind, Need, Opening, OpeningKind, OwnStep, Person, Place,
    PlaceKind, Room, Size, Surface, Switch, Week,
};
use roomback::measure::Length;
use roomback::trade::{Leaves, Part, Risks, Stage};

/// Uniform draws from a 64-bit counter (SplitMix64, Steele, Lea and Flood 2014).
pub struct Draws(u64);

#[allow(dead_code, reason = "each bench takes what it needs")]
impl Draws {
    pub fn new(seed: u64) -> Draws {
        Draws(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5851_f42d_4c95_7f2d)
    }
    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    /// Whole number in `lo..=hi`.
    pub fn int(&mut self, lo: i64, hi: i64) -> i64 {
        lo + (self.bits() % (hi - lo + 1) as u64) as i64
    }
    pub fn chance(&mut self, percent: i64) -> bool {
        self.int(1, 100) <= percent
    }
    pub fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.int(0, of.len() as i64 - 1) as usize]
    }
}

/// A step of a flat job.
pub struct FlatStep {
    /// Median, minutes.
    pub minutes: i64,
    /// Standard deviation of the logarithm.
    pub sigma: f64,
    pub worker: usize,
    /// Earlier steps, and elapsed minutes after their end.
    pub needs: Vec<(usize, i64)>,
}

/// A job without calendar or causes: who does what, after what.
pub struct Flat {
    pub workers: usize,
    /// In the order of work.
    pub steps: Vec<FlatStep>,
}

/// Rooms of twelve steps each, one after the other with drying between, tied to the room
/// before here and there; the rooms are worked on in turn.
#[allow(dead_code, reason = "each bench takes what it needs")]
pub fn flat(seed: u64, rooms: usize, workers: usize) -> Flat {
    const CHAIN: usize = 12;
    let mut d = Draws::new(seed);
    // Later rooms stand two steps behind the room before.
    let mut cells: Vec<(usize, usize)> = (0..rooms).flat_map(|r| (0..CHAIN).map(move |k| (r, k))).collect();
    cells.sort_by_key(|&(r, k)| (k + 2 * r, r));
    let at = |r: usize, k: usize| cells.iter().position(|&c| c == (r, k)).expect("a cell");
    let steps = cells
        .iter()
        .map(|&(r, k)| {
            let mut needs = Vec::new();
            if k > 0 {
                needs.push((at(r, k - 1), d.pick(&[0, 0, 0, 45, 180, 360, 960])));
            }
            if k > 2 && d.chance(25) {
                needs.push((at(r, k - 3), d.pick(&[0, 360, 1440])));
            }
            if r > 0 && d.chance(20) {
                needs.push((at(r - 1, k), 0));
            }
            FlatStep {
                minutes: 15 * d.int(2, 32),
                sigma: d.pick(&[0.15, 0.25, 0.4]),
                worker: if workers > 1 { d.int(0, workers as i64 - 1) as usize } else { 0 },
                needs,
            }
        })
        .collect();
    Flat { workers, steps }
}

#[allow(dead_code, reason = "each bench takes what it needs")]
impl Flat {
    /// As the plain programs read it: steps and workers; then a line per step: median
    /// minutes, sigma, worker, number of needs, then pairs of step and lag in minutes.
    pub fn text(&self) -> String {
        let mut out = format!("{} {}\n", self.steps.len(), self.workers);
        for s in &self.steps {
            out += &format!("{} {} {} {}", s.minutes, s.sigma, s.worker, s.needs.len());
            s.needs.iter().for_each(|(n, lag)| out += &format!(" {n} {lag}"));
            out.push('\n');
        }
        out
    }

    fn steps(&self) -> Vec<OwnStep> {
        let need = |&(n, lag): &(usize, i64)| Need {
            step: format!("s{n}"),
            link: LinkKind::Fs,
            dry: None,
            lag: lag as f64 / 60.0,
            longest: None,
        };
        self.steps
            .iter()
            .enumerate()
            .map(|(i, s)| {
                let (h, k) = (s.minutes as f64 / 60.0, libm::exp(s.sigma * Z90));
                OwnStep {
                    id: format!("s{i}"),
                    name: format!("step {i}"),
                    hours: Some((h / k, h, h * k)),
                    hands: Hands { fewest: 1, most: 1, who: vec![format!("w{}", s.worker)] },
                    needs: s.needs.iter().map(need).collect(),
                    ..OwnStep::default()
                }
            })
            .collect()
    }

    fn kept(&self) -> Option<KeptOrder> {
        Some(KeptOrder { order: (0..self.steps.len()).map(|i| format!("s{i}")).collect(), ..KeptOrder::default() })
    }

    /// The same job by the rules of the plain programs: always at work, nothing moves but the
    /// hours, each by itself.
    pub fn bare(&self) -> Job {
        let week = Week { days: Day::ALL.to_vec(), open: Hm(0), close: Hm(1440), opening: 0, closing: 0, lunch: None };
        let off = Switch::Off;
        Job {
            name: "bare".into(),
            crew: (0..self.workers)
                .map(|w| Person { id: format!("w{w}"), week: Some(week.clone()), ..Person::default() })
                .collect(),
            steps: self.steps(),
            kept: self.kept(),
            risks: Risks {
                widening: 1.0,
                pace_weight: 0.0,
                trade_weight: 0.0,
                house_weight: 0.0,
                drying: off,
                lost_days: off,
                holes: off,
                unavailable: off,
                job_before: off,
                redo: off,
                surprises: off,
                late: off,
                unlisted: off,
                ..Risks::default()
            },
            ..Job::default()
        }
    }

    /// The same job as it would stand in a job file: a working week, coats that dry in the
    /// air of a room, and every cause of lateness such steps can have (a surprise needs the
    /// surfaces of a room). What drying lag stood between two steps is a coat of a product.
    pub fn whole(&self) -> Job {
        let mut steps = self.steps();
        let mut longest = vec![0; steps.len()];
        self.steps.iter().flat_map(|s| &s.needs).for_each(|&(n, lag)| longest[n] = lag.max(longest[n]));
        for (i, s) in self.steps.iter().enumerate() {
            steps[i].place = "room".into();
            steps[i].room = "room".into();
            steps[i].trade = ["paint", "trim"][i % 2].into();
            steps[i].fit_up = i % 2 == 1;
            steps[i].flags.set_down = true;
            for (k, &(n, _)) in s.needs.iter().enumerate().filter(|(_, x)| x.1 > 0) {
                // What stands longest behind a step says what it leaves.
                let product = match longest[n] {
                    ..100 => "caulk",
                    100..700 => "wall-paint",
                    _ => "compound",
                };
                steps[n].leaves = Some(Leaves { product: product.into(), thick: 1.0 });
                steps[n].redo = Some((0.15, 0.25));
                let need = &mut steps[i].needs[k];
                (need.lag, need.dry) = (0.0, Some(Stage::Recoat));
            }
        }
        let ft = Length::from_feet;
        let size = Size { length: ft(14.0), width: ft(12.0), height: ft(8.0) };
        let days = |n| self.bare().start + chrono::Duration::days(n);
        Job {
            name: "whole".into(),
            crew: (0..self.workers).map(|w| Person { id: format!("w{w}"), ..Person::default() }).collect(),
            places: vec![Place { id: "room".into(), name: "room".into(), ..Place::default() }],
            rooms: vec![Room {
                id: "room".into(),
                name: "Room".into(),
                place: "room".into(),
                size: Some(size),
                ..Room::default()
            }],
            deliveries: vec![Delivery {
                id: "stock".into(),
                name: "stock".into(),
                lead_days: 5.0,
                late: Some((0.2, 3.0)),
                before: vec!["s20".into()],
                ..Delivery::default()
            }],
            decisions: vec![Decision {
                id: "colour".into(),
                name: "colour".into(),
                by: days(11),
                late: Some((0.3, 4.0)),
                before: vec!["s30".into()],
            }],
            steps,
            kept: self.kept(),
            ..Job::default()
        }
    }
}

fn inches(x: i64) -> Length {
    Length::from_inches(x as f64)
}

/// A room painted throughout, of 28 to 33 steps, and its place.
#[allow(dead_code, reason = "each bench takes what it needs")]
pub fn room(d: &mut Draws, i: usize) -> (Room, Place) {
    let id = format!("room-{}", i + 1);
    let size = Size { length: inches(d.int(120, 210)), width: inches(d.int(96, 150)), height: inches(d.int(94, 106)) };
    let opening = |kind, wall, width, height| Opening {
        kind,
        name: String::new(),
        wall,
        width: inches(width),
        height: inches(height),
        sill: None,
        from_corner: None,
        casing: None,
        count: 1,
    };
    let surface =
        |id: &str, part, recipe: &str| Surface { id: id.into(), part, recipe: recipe.into(), ..Surface::default() };
    let walls = d.pick(&["patched-walls", "level-five-walls"]);
    let room = Room {
        id: id.clone(),
        name: id.clone(),
        place: id.clone(),
        size: Some(size),
        openings: vec![
            opening(OpeningKind::Door, 1, d.int(28, 36), 80),
            opening(OpeningKind::Window, 2, d.int(28, 40), d.int(46, 58)),
            opening(OpeningKind::Window, 3, d.int(28, 40), d.int(46, 58)),
        ],
        holes: d.int(1, 9) as u32,
        cracks: inches(12 * d.int(2, 12)),
        surfaces: vec![
            surface("prep", Part::Room, "protect"),
            surface("ceiling", Part::Ceiling, "ceiling-two-coats"),
            surface("walls", Part::Walls, walls),
            surface("trim", Part::Room, "repaint-trim"),
            surface("finish", Part::Room, "finish-up"),
        ],
        ..Room::default()
    };
    let place = Place { id: id.clone(), name: id, kind: PlaceKind::Room, ..Place::default() };
    (room, place)
}
