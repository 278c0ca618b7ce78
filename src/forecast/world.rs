//! One drawn way the job may go: hours, drying, lost time, redo, surprises, deliveries.
//!
//! Every draw is keyed by (seed, id, event, trial), so an edit elsewhere redraws nothing and
//! two forecasts of one job are paired. Units: minutes; drying factors in millionths.
//!
//! One file because every draw of a trial is keyed, cached and read in one place.

use std::sync::Arc;

use super::acting::{Acting, CauseKind};
use super::chain::Chain;
use super::columns::Columns;
use super::conditioned::Given;
use super::draws::{self, BLOCK, Line};
use super::hours::Hours;
use super::known::Known;
use super::normal::{self, exp};
use crate::clock::{DAY, DayShift};
use crate::job::Job;
use crate::schedule::{Net, PAR, Setting, World, usual};
use crate::trade::Risks;
use crate::work::{Kind, Role};

/// What of a job does not change from trial to trial.
#[derive(Clone, Debug)]
pub struct Model {
    seed: u64,
    hours: Hours,
    /// What was written up, once the work has begun.
    known: Option<Known>,
    ids: Vec<u64>,
    trades: Vec<u64>,
    places: Vec<u64>,
    products: Vec<u64>,
    /// Steps with a coat in a place: step, place, product.
    coats: Vec<(usize, usize, usize)>,
    /// Steps of unlisted work.
    unlisted: Vec<bool>,
    chancy: Vec<Chance>,
    lines: Vec<Lines>,
    house: Line,
    air: Line,
    /// Equally likely drying factors of a day.
    day_factors: Vec<f64>,
    chain: Chain,
    risks: Risks,
    /// Workdays gone by, by worker, lost ones among them.
    waited: Vec<i64>,
    /// Chance that the job before was over by now.
    over: f64,
    columns: Columns,
}

/// A chance of a step, and what it brings.
#[derive(Clone, Debug)]
struct Chance {
    step: usize,
    chance: f64,
    cause: CauseKind,
    what: Chancy,
}

#[derive(Clone, Debug)]
enum Chancy {
    /// Part of another step's hours again.
    Twin { of: usize, share: f64 },
    /// A step found needed.
    Find,
    /// Minutes late.
    Late { by: i64 },
}

/// A worker's streams of chance.
#[derive(Clone, Debug)]
struct Lines {
    lost: Line,
    hole: Line,
    long: Line,
}

/// Fastest drying followed, millionths: a thousand times as fast as in the table.
const MOST_FACTOR: i64 = 1_000 * PAR;
/// A day's drying factor is one of so many equally likely ones.
const DAY_FACTORS: usize = 1_024;

impl Model {
    /// Reads the job once.
    pub fn new(job: &Job, net: &Net, seed: u64) -> Model {
        Model::with(job, net, seed, &Columns::default())
    }

    /// Reads the job once; scores come from and go to `columns`.
    pub fn with(job: &Job, net: &Net, seed: u64, columns: &Columns) -> Model {
        let r = job.risks.clone();
        let hours = Hours::of(job, net.graph);
        let known = Known::of(&hours, net);
        let rate = r.lost_rate.unwrap_or(if job.house.small_children { 0.05 } else { 0.02 });
        let id = |kind: &str, s: &str| draws::id(&format!("{kind}/{s}"));
        // A day lost to the job before, or to anything else, brought that job a day nearer to its end.
        let gone = known.as_ref().map_or(0, |k| k.days);
        let workdays = |p: &crate::job::Person| (0..gone).filter(|&d| usual(job, p, d).minutes() > 0).count() as i64;
        let waited: Vec<i64> = job.crew.iter().map(workdays).collect();
        let over = over_by(&r.overrun, 2 * waited.iter().copied().max().unwrap_or(0));
        let lines = net.set.workers.iter().map(|w| {
            let worker = id("worker", &w.id);
            let line = |what: &str| Line::new(seed, worker ^ draws::id(what));
            Lines { lost: Line::new(seed, worker), hole: line("hole"), long: line("length of hole") }
        });
        Model {
            seed,
            trades: hours.trades.iter().map(|t| id("trade", t)).collect(),
            hours,
            known,
            ids: net.graph.steps.iter().map(|s| draws::id(&s.id)).collect(),
            places: job.places.iter().map(|p| id("season", &p.id)).collect(),
            products: net.graph.products.iter().map(|p| id("product", &p.id)).collect(),
            coats: net
                .graph
                .steps
                .iter()
                .enumerate()
                .filter_map(|(i, s)| Some((i, s.place?, s.coat?.product)))
                .collect(),
            unlisted: net.graph.steps.iter().map(|s| s.role == Role::Unlisted).collect(),
            chancy: chances(net),
            lines: lines.collect(),
            house: Line::new(seed, draws::id("house open")),
            air: Line::new(seed, draws::id("day of drying")),
            day_factors: (0..DAY_FACTORS)
                .map(|k| exp(r.day_sd * normal::inverse((k as f64 + 0.5) / DAY_FACTORS as f64)))
                .collect(),
            chain: Chain::new(rate, r.lost_spell),
            waited,
            over,
            risks: r,
            columns: columns.clone(),
        }
    }
}

impl Model {
    /// Whole days gone by of which everything is known.
    fn gone(&self) -> i64 {
        self.known.as_ref().map_or(0, |k| k.days)
    }

    /// A chance of the job before, given that it is not over by now.
    fn still(&self, u: f64) -> f64 {
        self.over + (1.0 - self.over) * u
    }
}

/// Shared scores of a block, moved by what is known.
fn shift_all(known: &Known, pace: &mut Arc<Scores>, house: &mut Arc<Scores>, trades: &mut [Arc<Scores>]) {
    let mut scores = vec![0.0; 2 + trades.len()];
    for i in 0..BLOCK {
        (scores[0], scores[1]) = (pace[i], house[i]);
        trades.iter().enumerate().for_each(|(t, column)| scores[2 + t] = column[i]);
        known.shift(&mut scores);
        Arc::make_mut(pace)[i] = scores[0];
        Arc::make_mut(house)[i] = scores[1];
        trades.iter_mut().enumerate().for_each(|(t, column)| Arc::make_mut(column)[i] = scores[2 + t]);
    }
}

/// The scores of one block of 500 trials, and the durations they give.
#[derive(Clone, Debug)]
pub struct Block {
    first: u64,
    /// Minutes of each step as drawn, trial by trial; redo of its own step's hours.
    takes: Vec<i64>,
    /// Drying factors of seasons per place and of products, trial by trial.
    season: Vec<f64>,
    product: Vec<f64>,
    /// Chances of redo, surprise or lateness, per step that has one.
    chance: Vec<Arc<Scores>>,
    before: Arc<Scores>,
}

/// One number for each trial of a block.
pub type Scores = [f64; BLOCK];

impl Block {
    /// Draws the scores of a block.
    pub fn new(m: &Model, net: &Net, block: u32) -> Block {
        let z = |id: u64| m.columns.normal(m.seed, id, block);
        let u = |id: u64| m.columns.uniform(m.seed, id, block);
        Block::of(m, net, u64::from(block) * BLOCK as u64, &z, &u)
    }

    /// Scores at which everything is typical: medians, no redo, nothing found, nothing late.
    pub fn typical(m: &Model, net: &Net) -> Block {
        Block::of(m, net, 0, &|_| Arc::new([0.0; BLOCK]), &|id| {
            Arc::new([if id == draws::id("the job before") { 0.0 } else { 1.0 }; BLOCK])
        })
    }

    fn of(
        m: &Model,
        net: &Net,
        first: u64,
        z: &(dyn Fn(u64) -> Arc<Scores> + Sync),
        u: &(dyn Fn(u64) -> Arc<Scores> + Sync),
    ) -> Block {
        let n = m.ids.len();
        let (mut pace, mut house) = (z(draws::id("pace")), z(draws::id("house")));
        let mut trades: Vec<Arc<Scores>> = m.trades.iter().map(|&t| z(t)).collect();
        if let Some(known) = &m.known {
            shift_all(known, &mut pace, &mut house, &mut trades);
        }
        let none: Scores = [0.0; BLOCK];
        let mut takes = vec![0i64; n * BLOCK];
        for (s, &typical) in net.typical.iter().enumerate() {
            let column = takes[s..].iter_mut().step_by(n);
            match &m.hours.shapes[s] {
                Some(shape) if net.present[s] => {
                    let (w, own) = (m.hours.weights[s], z(m.ids[s]));
                    let trade = trades.get(m.hours.trade[s]).map_or(&none, |t| t);
                    if let Some(known) = m.known.as_ref().filter(|k| net.labor(s) && !k.free(s)) {
                        for (i, to) in column.enumerate() {
                            let shared = w[0] * pace[i] + w[1] * trade[i] + w[2] * house[i];
                            *to = known.takes(s, shape, Given { shared, own: w[3] }, own[i]);
                        }
                        continue;
                    }
                    let mut score = none;
                    for i in 0..BLOCK {
                        score[i] = w[0] * pace[i] + w[1] * trade[i] + w[2] * house[i] + w[3] * own[i];
                    }
                    let mut minutes = [0i64; BLOCK];
                    shape.draw_all(&score, &mut minutes);
                    column.zip(minutes).for_each(|(to, x)| *to = x);
                }
                _ => column.for_each(|to| *to = if net.present[s] { typical } else { 0 }),
            }
        }
        let factors = |ids: &[u64], sd: f64| {
            let mut out = vec![1.0; ids.len() * BLOCK];
            for (k, &id) in ids.iter().enumerate() {
                let column = out[k..].iter_mut().step_by(ids.len());
                column.zip(z(id).iter()).for_each(|(to, z)| *to = exp(sd * z));
            }
            out
        };
        Block {
            first,
            takes,
            season: factors(&m.places, m.risks.season_sd),
            product: factors(&m.products, m.risks.product_sd),
            chance: m.chancy.iter().map(|c| u(m.ids[c.step] ^ 0x5bd1_e995)).collect(),
            before: u(draws::id("the job before")),
        }
    }
}

/// The world of one trial; buffers are kept from trial to trial.
#[derive(Clone, Debug)]
pub struct Drawn<'a> {
    m: &'a Model,
    acting: Acting,
    trial: u64,
    takes: Vec<i64>,
    need: Vec<bool>,
    /// Drying factor of a step's coat without the day's part; empty where drying never varies.
    dry: Vec<f64>,
    day_factor: Vec<f64>,
    /// Per worker and day: his shift, and what of it counts at the client's house.
    days: Vec<Vec<[DayShift; 2]>>,
    sick: Vec<bool>,
    workdays: Vec<i64>,
    /// Half workdays the job before this one still takes.
    before_halves: i64,
    open: Vec<bool>,
}

impl<'a> Drawn<'a> {
    /// A world to be set to one trial after another.
    pub fn new(m: &'a Model, net: &Net, acting: Acting) -> Drawn<'a> {
        let w = net.set.workers.len();
        Drawn {
            m,
            acting,
            trial: 0,
            takes: Vec::new(),
            need: vec![false; net.present.len()],
            dry: Vec::new(),
            day_factor: Vec::new(),
            days: vec![Vec::new(); w],
            sick: vec![false; w],
            workdays: vec![0; w],
            before_halves: 0,
            open: Vec::new(),
        }
    }

    /// Sets it to trial `i` of a block.
    pub fn set(&mut self, net: &Net, b: &Block, i: usize) {
        let m = self.m;
        let n = net.present.len();
        self.trial = b.first + i as u64;
        self.takes.clear();
        self.takes.extend_from_slice(&b.takes[i * n..(i + 1) * n]);
        let has = |k: CauseKind| self.acting.has(k);
        for (listed, kind) in [(false, CauseKind::Hours), (true, CauseKind::Unlisted)] {
            if !has(kind) {
                let these = m.unlisted.iter().enumerate().filter(|x| *x.1 == listed && net.present[x.0]);
                these.for_each(|(s, _)| self.takes[s] = net.typical[s]);
            }
        }
        for (c, chance) in m.chancy.iter().zip(&b.chance) {
            let hit = chance[i] < c.chance && has(c.cause) && m.known.as_ref().is_none_or(|k| k.may_come(c.step));
            match c.what {
                Chancy::Twin { of, share } => {
                    self.need[c.step] = hit;
                    let part = libm::round(self.takes[of] as f64 * share) as i64;
                    self.takes[c.step] = if self.takes[of] > 0 { part.max(1) } else { 0 };
                }
                Chancy::Find => self.need[c.step] = hit,
                Chancy::Late { by } => self.takes[c.step] = net.typical[c.step] + if hit { by } else { 0 },
            }
        }
        self.dry.clear();
        if has(CauseKind::Drying) {
            let (p, q) = (m.places.len(), m.products.len());
            let (season, product) = (&b.season[i * p..(i + 1) * p], &b.product[i * q..(i + 1) * q]);
            self.dry.resize(n, PAR as f64);
            m.coats.iter().for_each(|&(s, x, y)| self.dry[s] = season[x] * product[y] * PAR as f64);
        }
        self.day_factor.clear();
        self.open.clear();
        for w in 0..self.days.len() {
            self.days[w].clear();
            self.workdays[w] = m.waited.get(w).copied().unwrap_or(0);
            // The state of the day before the job.
            self.sick[w] = match &m.known {
                Some(k) => k.ill[w],
                None => m.chain.first(m.lines[w].lost.uniform(u64::MAX >> 2, self.trial)),
            };
        }
        let before = has(CauseKind::JobBefore) && !m.known.as_ref().is_some_and(|k| k.begun);
        self.before_halves = if before { overrun(&m.risks.overrun, m.still(b.before[i])) } else { 0 };
    }

    /// Extends a worker's days past `day`.
    #[inline(never)]
    fn extend(&mut self, set: &Setting, w: usize, day: i64) {
        let m = self.m;
        let (lost_acts, holes_act) = (self.acting.has(CauseKind::LostDays), self.acting.has(CauseKind::Holes));
        while (self.days[w].len() as i64) <= day {
            let d = self.days[w].len() as i64;
            let mut s = *set.workers[w].shifts.day(d);
            if d < m.gone() {
                // What happened then is known.
                self.days[w].push([s; 2]);
                continue;
            }
            if s.stretches().is_empty() {
                self.days[w].push([s; 2]);
                continue;
            }
            let weekday = (set.first_weekday + d).rem_euclid(7);
            // Evenings and Saturdays take the last state.
            if lost_acts && weekday < 5 && set.workers[w].days[weekday as usize] {
                self.sick[w] = m.chain.step(self.sick[w], m.lines[w].lost.uniform(d as u64, self.trial));
            }
            let halves = self.before_halves - 2 * self.workdays[w];
            self.workdays[w] += 1;
            if lost_acts && self.sick[w] || halves >= 2 {
                s = DayShift::OFF;
            } else if halves == 1 {
                s = second_half(s);
            }
            if holes_act && m.lines[w].hole.uniform(d as u64, self.trial) < m.risks.hole_chance {
                let late = 90 + (m.lines[w].long.uniform(d as u64, self.trial) * 31.0) as i64;
                if let Some(first) = s.stretches().first().copied() {
                    s = s.from(i64::from(first.0) + late);
                }
            }
            let house = if self.open(d) && !set.closed(d) { s } else { DayShift::OFF };
            self.days[w].push([s, house]);
        }
    }

    /// Draws the days' drying up to `day`.
    #[inline(never)]
    fn air_until(&mut self, day: i64) {
        for d in self.day_factor.len() as u64..=day as u64 {
            let share = self.m.air.uniform(d, self.trial) * self.m.day_factors.len() as f64;
            self.day_factor.push(self.m.day_factors[share as usize]);
        }
    }

    #[inline]
    fn day(&mut self, set: &Setting, worker: usize, day: i64) -> &[DayShift; 2] {
        if self.days[worker].len() as i64 <= day {
            self.extend(set, worker, day);
        }
        &self.days[worker][day as usize]
    }
}

/// What may befall the steps of a net.
fn chances(net: &Net) -> Vec<Chance> {
    let mut out = Vec::new();
    for (step, s) in net.graph.steps.iter().enumerate().filter(|(i, _)| net.present[*i]) {
        let (chance, cause, what) = match (&s.role, s.kind) {
            (Role::Redo { of, chance, share, .. }, _) => {
                (*chance, CauseKind::Redo, Chancy::Twin { of: *of, share: *share })
            }
            (Role::Surprise { chance, .. }, _) => (*chance, CauseKind::Surprises, Chancy::Find),
            (_, Kind::Business { late: Some((chance, by)), .. } | Kind::Decision { late: Some((chance, by)), .. }) => {
                (chance, CauseKind::Late, Chancy::Late { by })
            }
            _ => continue,
        };
        out.push(Chance { step, chance, cause, what });
    }
    out
}

/// Half workdays of overrun at a chance: quantiles, linear between, rounded to half days.
fn overrun(table: &[(f64, f64)], u: f64) -> i64 {
    let mut last = (0.0, table.first().map_or(0.0, |t| t.1));
    for &(p, days) in table {
        if u <= p {
            let share = if p > last.0 { (u - last.0) / (p - last.0) } else { 1.0 };
            return libm::round(2.0 * (last.1 + share * (days - last.1))) as i64;
        }
        last = (p, days);
    }
    libm::round(2.0 * last.1) as i64
}

/// Chance of an overrun below so many half workdays.
fn over_by(table: &[(f64, f64)], halves: i64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    if halves <= 0 || overrun(table, 1.0) < halves {
        return 0.0;
    }
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if overrun(table, middle) < halves { low = middle } else { high = middle }
    }
    low
}

/// The second half of a shift by its minutes.
fn second_half(s: DayShift) -> DayShift {
    let mut left = s.minutes() / 2;
    for &(a, b) in s.stretches() {
        let len = i64::from(b - a);
        if len > left {
            return s.from(i64::from(a) + left);
        }
        left -= len;
    }
    DayShift::OFF
}

impl World for Drawn<'_> {
    fn takes(&self, step: usize) -> i64 {
        self.takes[step]
    }
    fn needed(&self, step: usize) -> bool {
        self.need[step]
    }
    #[inline]
    fn shift<'b>(&'b mut self, set: &'b Setting, worker: usize, day: i64) -> &'b DayShift {
        &self.day(set, worker, day)[0]
    }
    #[inline]
    fn house_shift<'b>(&'b mut self, set: &'b Setting, worker: usize, day: i64) -> &'b DayShift {
        &self.day(set, worker, day)[1]
    }
    #[inline]
    fn open(&mut self, day: i64) -> bool {
        if !self.acting.has(CauseKind::Unavailable) {
            return true;
        }
        for d in self.open.len() as u64..=day as u64 {
            let shut = self.m.house.uniform(d, self.trial) < self.m.risks.unavailable_chance;
            self.open.push(!shut || (d as i64) < self.m.gone());
        }
        self.open[day as usize]
    }
    #[inline]
    fn drying(&mut self, step: usize, day: i64) -> Option<i64> {
        let own = *self.dry.get(step)?;
        if self.day_factor.len() as i64 <= day {
            self.air_until(day);
        }
        Some(((own * self.day_factor[day as usize] + 0.5) as i64).clamp(1, MOST_FACTOR))
    }
}

/// The crew's clock (somebody on shift) and the minutes of its workday: those of a plain week
/// over the days worked in it.
pub fn crew_clock(set: &Setting) -> (crate::clock::Clock, f64) {
    let weeks = set.workers.iter().map(|w| w.shifts.weeks()).max().unwrap_or(1);
    let union = |d: i64| {
        let mut v: Vec<(i64, i64)> = Vec::new();
        for w in &set.workers {
            v.extend(w.shifts.day(d).stretches().iter().map(|s| (i64::from(s.0), i64::from(s.1))));
        }
        DayShift::new(&v)
    };
    let shifts = crate::clock::Shifts::compile(weeks, union);
    let last = weeks * 7;
    let worked = (last - 7..last).filter(|&d| shifts.day(d).minutes() > 0).count().max(1);
    let day = shifts.week_minutes() as f64 / worked as f64;
    if day > 0.0 { (shifts.clock(), day) } else { (crate::clock::Clock::elapsed(), DAY as f64) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn overruns_follow_their_quantiles() {
        // 0 workdays up to 30 %, 1 at 50 %, 5 at 90 %, 8 at 100 %, linear between, half days.
        let t = Risks::default().overrun;
        let days: Vec<f64> = [0.1, 0.3, 0.4, 0.5, 0.7, 0.9, 1.0].iter().map(|&u| overrun(&t, u) as f64 / 2.0).collect();
        assert_eq!(days, [0.0, 0.0, 0.5, 1.0, 3.0, 5.0, 8.0]);
    }

    #[test]
    fn half_a_shift_is_its_second_half() {
        let s = DayShift::new(&[(495, 750), (780, 965)]);
        assert_eq!(second_half(s).stretches(), [(715, 750), (780, 965)]);
        assert_eq!(second_half(s).minutes(), s.minutes() / 2);
    }
}
