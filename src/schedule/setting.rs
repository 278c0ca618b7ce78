//! Who, where and by which clocks: the compiled surroundings of a work graph.

use crate::clock::{AirWeek, Clock, DAY, DayShift, Shifts, UNIT, skim_damp};
use crate::job::{Job, Person, PlaceKind, Week};
use crate::standing::{Hands, Standing};
use crate::trade::{Product, Stage};
use crate::work::WorkGraph;

/// Off-time longer than this ends a stretch of work, minutes.
pub const LONG_PAUSE: i64 = 60;
/// Labor to pick up again what was set down, minutes (judgement).
pub const PICK_UP: i64 = 10;
/// Do not begin with less than this left before a long pause, minutes (judgement).
pub const LEAST_LEFT: i64 = 30;
/// A second change of place in a day only after this wait, working minutes (judgement).
pub const SECOND_TRIP: i64 = 210;
/// Longest reservation, working minutes (judgement).
pub const RESERVE: i64 = 120;
/// Dust settles: with vacuum sander and scrubber, without, minutes (judgement).
pub const SETTLE: (i64, i64) = (30, 120);
/// A wet skim coat damps its room for this long, minutes (judgement).
pub const DAMP: i64 = 12 * 60;
/// A helper's presence sets the others' rate to this, thousandths (judgement).
pub const HELPED: i64 = 900;

/// A person compiled.
#[derive(Clone, Debug)]
pub struct Worker {
    pub id: String,
    pub shifts: Shifts,
    pub clock: Clock,
    /// Thousandths of a labor minute per minute worked alone.
    pub rate: i64,
    pub helper: bool,
    pub cost: f64,
    /// Weekdays (Monday first) he works by his plain week; the lost-day chain moves on these
    /// among Monday to Friday only.
    pub days: [bool; 7],
    /// Day from which on he changes place overnight only.
    pub stays_from: Option<i64>,
}

impl Worker {
    /// Whether he keeps to one place on a day.
    pub fn stays(&self, day: i64) -> bool {
        self.stays_from.is_some_and(|d| day >= d)
    }
}

/// A place compiled.
#[derive(Clone, Debug)]
pub struct Spot {
    pub id: String,
    pub kind: PlaceKind,
    /// Index of the air it shares.
    pub air: usize,
    pub week: AirWeek,
    pub fan: bool,
    /// Minute from which a fan runs that did not before.
    pub fan_from: Option<i64>,
    pub racks: Option<u32>,
    pub settle: i64,
    /// Places with the same base need no trip between them.
    pub base: usize,
    /// At the client's house (closed days apply).
    pub house: bool,
}

impl Spot {
    /// Whether a skim coat laid at `at` damps the air here.
    pub fn damped(&self, at: i64) -> bool {
        !self.fan && self.fan_from.is_none_or(|f| at < f)
    }
}

/// Drying clocks of one product in one place, early and late stages.
#[derive(Clone, Debug)]
pub struct DryClocks {
    pub early: Clock,
    pub late: Clock,
    pub early_damp: Clock,
    pub late_damp: Clock,
    /// Whether a coat may be put on at an hour: speed 1 or 0.
    pub may: Clock,
}

impl DryClocks {
    /// The clock towards a stage.
    pub fn of(&self, stage: Stage) -> &Clock {
        if is_early(stage) { &self.early } else { &self.late }
    }
    /// The same in a room damped by a wet skim coat.
    pub fn damp(&self, stage: Stage) -> &Clock {
        if is_early(stage) { &self.early_damp } else { &self.late_damp }
    }
}

fn is_early(stage: Stage) -> bool {
    matches!(stage, Stage::DustFree | Stage::Sand | Stage::Handle)
}

/// Everything around the graph that dispatch, verification, bounds and trials read.
#[derive(Clone, Debug)]
pub struct Setting {
    pub first_weekday: i64,
    pub workers: Vec<Worker>,
    pub spots: Vec<Spot>,
    pub airs: usize,
    /// Minutes one way between two bases.
    pub away: Vec<i64>,
    /// Per product and place (`product * places + place`), where used by a step.
    pub dry: Vec<Option<DryClocks>>,
    /// Clock of suppliers and laboratories.
    pub business: Clock,
    /// Days (from 0) on which the house is closed.
    pub house_closed: Vec<i64>,
    /// Noisy steps at the house only between these minutes of the day.
    pub noise: Option<(i64, i64)>,
    /// First minute anybody is on shift (elapsed hours are counted from here); 0 where no
    /// step has hands.
    pub origin: i64,
    /// What is known of the work; none while it has not begun.
    pub standing: Option<std::sync::Arc<Standing>>,
}

impl Hands for Setting {
    fn shift(&self, person: usize, day: i64) -> DayShift {
        *self.workers[person].shifts.day(day)
    }
    fn rate(&self, person: usize) -> i64 {
        self.workers[person].rate
    }
    fn helper(&self, person: usize) -> bool {
        self.workers[person].helper
    }
    fn helped(&self) -> i64 {
        HELPED
    }
}

impl Setting {
    /// Trip minutes between two places, both ways.
    pub fn trip(&self, a: usize, b: usize) -> i64 {
        let (x, y) = (self.spots[a].base, self.spots[b].base);
        if x == y { 0 } else { 2 * (self.away[x] + self.away[y]) }
    }

    /// Drying clocks of a product in a place.
    pub fn dry(&self, product: usize, place: usize) -> Option<&DryClocks> {
        self.dry[product * self.spots.len() + place].as_ref()
    }

    /// Whether the house is closed on a day.
    pub fn closed(&self, day: i64) -> bool {
        self.house_closed.binary_search(&day).is_ok()
    }

    /// Hours of a worker that count for a step in `place` on `day` (closed house, noise
    /// hours), before any lost time.
    pub fn hours(&self, worker: usize, place: Option<usize>, noisy: bool, day: i64) -> DayShift {
        let s = self.workers[worker].shifts.day(day);
        self.mask(*s, place, noisy, day)
    }

    /// The part of a shift in which a step in `place` may be worked on.
    pub fn mask(&self, s: DayShift, place: Option<usize>, noisy: bool, day: i64) -> DayShift {
        let Some(p) = place else { return s };
        if !self.spots[p].house {
            return s;
        }
        if self.closed(day) {
            return DayShift::OFF;
        }
        match self.noise {
            Some(n) if noisy => s.and(&DayShift::new(&[n])),
            _ => s,
        }
    }

    /// Compiles the surroundings of a sound job.
    pub fn new(job: &Job, graph: &WorkGraph) -> Setting {
        setting(job, graph)
    }
}

fn week_shift(week: &Week, weekday: usize) -> DayShift {
    if !week.days.iter().any(|d| d.index() == weekday) {
        return DayShift::OFF;
    }
    let (from, to) = (week.open.0 + week.opening, week.close.0 - week.closing);
    match week.lunch {
        Some(l) => DayShift::new(&[(from, l.from.0.min(to)), (l.to.0.max(from), to)]),
        None => DayShift::new(&[(from, to)]),
    }
}

/// A person's hours on a day before any lost time: his week or the calendar's, none on holidays and
/// days off, dated hours instead where given.
pub fn usual(job: &Job, p: &Person, day: i64) -> DayShift {
    let date = job.date_of(day);
    if let Some(own) = p.dates.iter().find(|x| x.day == date) {
        let h: Vec<(i64, i64)> = own.hours.iter().map(|h| (h.from.0, h.to.0)).collect();
        return DayShift::new(&h);
    }
    if p.days_off.contains(&date) || job.calendar.holidays.contains(&date) {
        return DayShift::OFF;
    }
    let week = p.week.as_ref().unwrap_or(&job.calendar.week);
    week_shift(week, (job.first_weekday() + day).rem_euclid(7) as usize)
}

/// A person's shifts: his usual hours without the time lost.
fn shifts(job: &Job, p: &Person) -> Shifts {
    let last = job
        .calendar
        .holidays
        .iter()
        .chain(&p.days_off)
        .chain(p.dates.iter().map(|d| &d.day))
        .copied()
        .chain(job.lost.iter().filter(|l| l.of(&p.id)).map(|l| l.last()))
        .map(|d| job.day_of(d))
        .max()
        .unwrap_or(0)
        .clamp(0, 3650);
    Shifts::compile(last / 7 + 2, |d| {
        let date = job.date_of(d);
        job.lost.iter().filter(|l| l.of(&p.id) && l.on(date)).fold(usual(job, p, d), |shift, l| match l.hours {
            Some(h) => shift.and(&DayShift::new(&[(0, h.from.0), (h.to.0, DAY)])),
            None => DayShift::OFF,
        })
    })
}

fn business_clock(job: &Job) -> Clock {
    let first = job.first_weekday();
    let last = job.calendar.holidays.iter().map(|&d| job.day_of(d)).max().unwrap_or(0).clamp(0, 3650);
    Clock::compile(last / 7 + 2, |d, out| {
        let open = (first + d).rem_euclid(7) < 5 && !job.calendar.holidays.contains(&job.date_of(d));
        out.push((0, DAY, if open { UNIT } else { 0 }));
    })
}

/// Index of the set each item belongs to, numbered by first member, from pairs that are one.
fn sets(n: usize, pairs: &[(usize, usize)]) -> Vec<usize> {
    let mut uf = petgraph::unionfind::UnionFind::<usize>::new(n);
    for &(a, b) in pairs {
        uf.union(a, b);
    }
    let mut firsts: Vec<usize> = Vec::new();
    (0..n)
        .map(|i| {
            let root = uf.find(i);
            firsts.iter().position(|&r| r == root).unwrap_or_else(|| {
                firsts.push(root);
                firsts.len() - 1
            })
        })
        .collect()
}

fn spots(job: &Job) -> (Vec<Spot>, Vec<i64>) {
    let n = job.places.len();
    let find = |id: &str| job.places.iter().position(|p| p.id == id);
    let mut open = Vec::new();
    let mut near = Vec::new();
    let mut house = None;
    for (i, p) in job.places.iter().enumerate() {
        open.extend(p.open_to.iter().filter_map(|o| Some((i, find(o)?))));
        near.extend(p.beside.iter().filter_map(|o| Some((i, find(o)?))));
        if p.away_min == 0 && p.beside.is_none() {
            near.extend(house.map(|h| (h, i)));
            house = Some(i);
        }
    }
    let airs = sets(n, &open);
    let bases = sets(n, &near);
    let mut away = vec![0; bases.iter().max().map_or(0, |b| b + 1)];
    for (i, p) in job.places.iter().enumerate() {
        if p.beside.is_none() {
            away[bases[i]] = p.away_min;
        }
    }
    let list = job
        .places
        .iter()
        .enumerate()
        .map(|(i, p)| {
            let mut days = [false; 7];
            p.air_days.iter().for_each(|d| days[d.index()] = true);
            Spot {
                id: p.id.clone(),
                kind: p.kind,
                air: airs[i],
                week: AirWeek {
                    work: p.work_air,
                    off: p.off_air,
                    hours: (p.air_hours.from.0, p.air_hours.to.0),
                    days,
                    later: p.later_air.map(|a| (job.day_of(a.day), a.work_air, a.off_air)),
                },
                // A fan in any room of one air serves it all.
                fan: job.places.iter().enumerate().any(|(j, q)| airs[j] == airs[i] && q.fan),
                fan_from: job
                    .places
                    .iter()
                    .enumerate()
                    .filter(|(j, _)| airs[*j] == airs[i])
                    .filter_map(|(_, q)| q.later_air.filter(|a| a.fan).map(|a| job.day_of(a.day) * DAY))
                    .min(),
                racks: p.racks,
                settle: if p.dust_control { SETTLE.0 } else { SETTLE.1 },
                base: bases[i],
                house: p.kind == PlaceKind::Room,
            }
        })
        .collect();
    (list, away)
}

fn dry_clocks(product: &Product, week: &AirWeek, first_weekday: i64) -> DryClocks {
    let c =
        |stage, damp: bool| week.clock(first_weekday, |a| product.speed(stage, if damp { skim_damp(a) } else { a }));
    DryClocks {
        early: c(Stage::Sand, false),
        late: c(Stage::Recoat, false),
        early_damp: c(Stage::Sand, true),
        late_damp: c(Stage::Recoat, true),
        may: week.clock(first_weekday, |a| if product.dries_in(a) { 1.0 } else { 0.0 }),
    }
}

fn setting(job: &Job, graph: &WorkGraph) -> Setting {
    let first_weekday = job.first_weekday();
    let workers: Vec<Worker> = job
        .crew
        .iter()
        .map(|p| {
            let s = shifts(job, p);
            let week = p.week.as_ref().unwrap_or(&job.calendar.week);
            let mut days = [false; 7];
            week.days.iter().for_each(|d| days[d.index()] = true);
            Worker {
                id: p.id.clone(),
                clock: s.clock(),
                shifts: s,
                rate: libm::round(p.pace * 1000.0) as i64,
                helper: p.helper,
                cost: p.cost,
                days,
                stays_from: p.stays_from.map(|d| job.day_of(d)),
            }
        })
        .collect();
    let (spots, away) = spots(job);
    let mut dry: Vec<Option<DryClocks>> = vec![None; graph.products.len() * spots.len()];
    for s in &graph.steps {
        if let (Some(c), Some(p)) = (s.coat, s.place) {
            let slot = &mut dry[c.product * spots.len() + p];
            if slot.is_none() {
                *slot = Some(dry_clocks(&graph.products[c.product], &spots[p].week, first_weekday));
            }
        }
    }
    let mut house_closed: Vec<i64> = job.calendar.house_closed.iter().map(|&d| job.day_of(d)).collect();
    for l in job.lost.iter().filter(|l| l.house && l.hours.is_none()) {
        house_closed.extend(job.day_of(l.from)..=job.day_of(l.last()).min(job.day_of(l.from) + 3650));
    }
    house_closed.sort_unstable();
    house_closed.dedup();
    let hands = graph.steps.iter().any(|s| s.crew.fewest > 0);
    let origin = if hands { workers.iter().filter_map(|w| w.clock.next_on(0).ok()).min().unwrap_or(0) } else { 0 };
    Setting {
        first_weekday,
        airs: spots.iter().map(|s| s.air + 1).max().unwrap_or(0),
        workers,
        spots,
        away,
        dry,
        business: business_clock(job),
        house_closed,
        noise: job.calendar.noise.map(|h| (h.from.0, h.to.0)),
        origin,
        standing: None,
    }
}
