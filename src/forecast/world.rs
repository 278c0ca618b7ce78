//! One drawn way the job may go: hours, drying, lost time, redo, surprises, deliveries.
//!
//! Every draw is keyed by (seed, id, event, trial), so an edit elsewhere redraws nothing and
//! two forecasts of one job are paired. Units: minutes; drying factors in millionths.

use rayon::prelude::*;

use super::acting::{Acting, CauseKind};
use super::chain::Chain;
use super::draws::{self, BLOCK};
use super::normal;
use super::quantile::Shape;
use crate::clock::{DAY, DayShift};
use crate::job::{Job, Switch};
use crate::schedule::{Net, PAR, Setting, World};
use crate::trade::Risks;
use crate::work::{Kind, Role};

/// What of a job does not change from trial to trial.
#[derive(Clone, Debug)]
pub struct Model {
    seed: u64,
    /// Per step: labor (or elapsed) shape, `None` where nothing is drawn.
    shapes: Vec<Option<Shape>>,
    ids: Vec<u64>,
    /// Weights of pace, trade, house and own chance per step.
    weights: Vec<[f64; 4]>,
    trade: Vec<usize>,
    trades: Vec<u64>,
    places: Vec<u64>,
    products: Vec<u64>,
    workers: Vec<u64>,
    chain: Chain,
    risks: Risks,
}

impl Model {
    /// Reads the job once.
    pub fn new(job: &Job, net: &Net, seed: u64) -> Model {
        let r = job.risks.clone();
        let (widening, cap) = match &job.study {
            Some(s) => (s.widening, s.cap == Switch::On),
            None => (r.widening, true),
        };
        let mut trades: Vec<String> = Vec::new();
        let mut trade = Vec::new();
        let mut weights = Vec::new();
        for s in &net.graph.steps {
            let t = if s.trade.is_empty() {
                usize::MAX
            } else {
                trades.iter().position(|x| *x == s.trade).unwrap_or_else(|| {
                    trades.push(s.trade.clone());
                    trades.len() - 1
                })
            };
            trade.push(t);
            let (p, tw, h) = match &job.study {
                Some(st) if st.pace == Switch::Off => (libm::sqrt(st.common.clamp(0.0, 1.0)), 0.0, 0.0),
                _ => (
                    r.pace_weight,
                    if t == usize::MAX { 0.0 } else { r.trade_weight },
                    if s.fit_up { r.house_weight } else { 0.0 },
                ),
            };
            weights.push([p, tw, h, libm::sqrt((1.0 - p * p - tw * tw - h * h).max(0.0))]);
        }
        let shapes = net
            .graph
            .steps
            .iter()
            .map(|s| {
                let w = if s.own_history { 1.0 } else { widening };
                match s.kind {
                    Kind::Labor => Some(Shape::new(&s.labor, w, cap)),
                    Kind::Elapsed(d) => Some(Shape::new(&d, w, cap)),
                    _ => None,
                }
            })
            .collect();
        let rate = r.lost_rate.unwrap_or(if job.house.small_children { 0.05 } else { 0.02 });
        let id = |kind: &str, s: &str| draws::id(&format!("{kind}/{s}"));
        Model {
            seed,
            shapes,
            ids: net.graph.steps.iter().map(|s| draws::id(&s.id)).collect(),
            weights,
            trade,
            trades: trades.iter().map(|t| id("trade", t)).collect(),
            places: job.places.iter().map(|p| id("season", &p.id)).collect(),
            products: net.graph.products.iter().map(|p| id("product", &p.id)).collect(),
            workers: net.set.workers.iter().map(|w| id("worker", &w.id)).collect(),
            chain: Chain::new(rate, r.lost_spell),
            risks: r,
        }
    }
}

/// The scores of one block of 500 trials.
#[derive(Clone, Debug)]
pub struct Block {
    first: u64,
    pace: Vec<f64>,
    house: Vec<f64>,
    trades: Vec<Vec<f64>>,
    own: Vec<Vec<f64>>,
    season: Vec<Vec<f64>>,
    product: Vec<Vec<f64>>,
    /// Chances of redo, surprise or lateness, per step.
    chance: Vec<Vec<f64>>,
    before: Vec<f64>,
}

impl Block {
    /// Draws the scores of a block.
    pub fn new(m: &Model, net: &Net, block: u32) -> Block {
        let z = |id: u64| {
            let mut out = [0.0; BLOCK];
            draws::normal_block(m.seed, id, block, &mut out);
            out.to_vec()
        };
        let u = |id: u64| {
            let mut out = [0.0; BLOCK];
            draws::uniform_block(m.seed, id, block, &mut out);
            out.to_vec()
        };
        let chancy = |s: usize| match (&net.graph.steps[s].role, net.graph.steps[s].kind) {
            (Role::Redo { .. } | Role::Surprise { .. }, _) => true,
            (_, Kind::Business { late, .. } | Kind::Decision { late, .. }) => late.is_some(),
            _ => false,
        };
        let n = m.ids.len();
        Block {
            first: u64::from(block) * BLOCK as u64,
            pace: z(draws::id("pace")),
            house: z(draws::id("house")),
            trades: m.trades.iter().map(|&t| z(t)).collect(),
            own: (0..n)
                .into_par_iter()
                .map(|s| if net.present[s] && m.shapes[s].is_some() { z(m.ids[s]) } else { Vec::new() })
                .collect(),
            season: m.places.iter().map(|&p| z(p)).collect(),
            product: m.products.iter().map(|&p| z(p)).collect(),
            chance: (0..n)
                .map(|s| if net.present[s] && chancy(s) { u(m.ids[s] ^ 0x5bd1_e995) } else { Vec::new() })
                .collect(),
            before: u(draws::id("the job before")),
        }
    }
}

impl Block {
    /// Scores at which everything is typical: medians, no redo, nothing found, nothing late.
    pub fn typical(m: &Model, net: &Net) -> Block {
        let z = || vec![0.0; BLOCK];
        let u = || vec![1.0; BLOCK];
        Block {
            first: 0,
            pace: z(),
            house: z(),
            trades: m.trades.iter().map(|_| z()).collect(),
            own: (0..net.present.len()).map(|_| z()).collect(),
            season: m.places.iter().map(|_| z()).collect(),
            product: m.products.iter().map(|_| z()).collect(),
            chance: (0..net.present.len()).map(|_| u()).collect(),
            before: z(),
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
    /// Drying factor of a step's coat without the day's part.
    dry: Vec<f64>,
    day_factor: Vec<f64>,
    days: Vec<Vec<DayShift>>,
    sick: Vec<bool>,
    workdays: Vec<i64>,
    /// Half workdays the job before this one still takes.
    before_halves: i64,
    open: Vec<Option<bool>>,
    stream: [u64; 4],
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
            need: Vec::new(),
            dry: Vec::new(),
            day_factor: Vec::new(),
            days: vec![Vec::new(); w],
            sick: vec![false; w],
            workdays: vec![0; w],
            before_halves: 0,
            open: Vec::new(),
            stream: [
                draws::id("day of drying"),
                draws::id("house open"),
                draws::id("hole"),
                draws::id("length of hole"),
            ],
        }
    }

    /// Sets it to trial `i` of a block.
    pub fn set(&mut self, net: &Net, b: &Block, i: usize) {
        let m = self.m;
        self.trial = b.first + i as u64;
        let n = net.present.len();
        self.takes.clear();
        self.need.clear();
        for s in 0..n {
            self.takes.push(self.drawn(net, b, i, s));
            self.need.push(match &net.graph.steps[s].role {
                Role::Redo { chance, .. } => {
                    net.present[s] && self.acting.has(CauseKind::Redo) && b.chance[s][i] < *chance
                }
                Role::Surprise { chance, .. } => {
                    net.present[s] && self.acting.has(CauseKind::Surprises) && b.chance[s][i] < *chance
                }
                _ => false,
            });
        }
        for s in 0..n {
            if let Role::Redo { of, share, .. } = &net.graph.steps[s].role {
                let part = libm::round(self.takes[*of] as f64 * share) as i64;
                self.takes[s] = if self.takes[*of] > 0 { part.max(1) } else { 0 };
            }
        }
        self.dry.clear();
        if self.acting.has(CauseKind::Drying) {
            let r = &m.risks;
            self.dry.extend(net.graph.steps.iter().map(|s| match (s.coat, s.place) {
                (Some(c), Some(p)) => libm::exp(r.season_sd * b.season[p][i] + r.product_sd * b.product[c.product][i]),
                _ => 1.0,
            }));
        }
        self.day_factor.clear();
        self.open.clear();
        for w in 0..self.days.len() {
            self.days[w].clear();
            self.workdays[w] = 0;
            // The state of the day before the job.
            self.sick[w] = m.chain.first(draws::uniform(m.seed, m.workers[w], u64::MAX >> 2, self.trial));
        }
        self.before_halves =
            if self.acting.has(CauseKind::JobBefore) { overrun(&m.risks.overrun, b.before[i]) } else { 0 };
    }

    fn drawn(&self, net: &Net, b: &Block, i: usize, s: usize) -> i64 {
        if !net.present[s] {
            return 0;
        }
        let step = &net.graph.steps[s];
        let late = self.acting.has(CauseKind::Late);
        match step.kind {
            Kind::Business { minutes, late: Some((chance, by)) } if late && b.chance[s][i] < chance => minutes + by,
            Kind::Decision { at, late: Some((chance, by)) } if late && b.chance[s][i] < chance => at.0 + by,
            Kind::Business { .. } | Kind::Decision { .. } => net.typical[s],
            Kind::Labor | Kind::Elapsed(_) => {
                let cause = if step.role == Role::Unlisted { CauseKind::Unlisted } else { CauseKind::Hours };
                match &self.m.shapes[s] {
                    Some(shape) if self.acting.has(cause) => {
                        let w = self.m.weights[s];
                        let t = self.m.trade[s];
                        let g = if t == usize::MAX { 0.0 } else { b.trades[t][i] };
                        let z = w[0] * b.pace[i] + w[1] * g + w[2] * b.house[i] + w[3] * b.own[s][i];
                        shape.draw(z)
                    }
                    _ => net.typical[s],
                }
            }
        }
    }

    /// Extends a worker's days up to `day`.
    fn extend(&mut self, set: &Setting, w: usize, day: i64) {
        while (self.days[w].len() as i64) <= day {
            let d = self.days[w].len() as i64;
            let mut s = set.workers[w].shifts.day(d);
            let weekday = (set.first_weekday + d).rem_euclid(7);
            let planned = s.minutes() > 0;
            let m = self.m;
            // Evenings and Saturdays take the last state.
            if planned && weekday < 5 && set.workers[w].days[weekday as usize] {
                let u = draws::uniform(m.seed, m.workers[w], d as u64, self.trial);
                self.sick[w] = m.chain.step(self.sick[w], u);
            }
            let lost = self.acting.has(CauseKind::LostDays) && self.sick[w];
            if planned {
                let halves = self.before_halves - 2 * self.workdays[w];
                self.workdays[w] += 1;
                if lost || halves >= 2 {
                    s = DayShift::OFF;
                } else if halves == 1 {
                    s = second_half(s);
                }
                if self.acting.has(CauseKind::Holes)
                    && draws::uniform(m.seed, m.workers[w] ^ self.stream[2], d as u64, self.trial) < m.risks.hole_chance
                {
                    let u = draws::uniform(m.seed, m.workers[w] ^ self.stream[3], d as u64, self.trial);
                    let late = 90 + (u * 31.0) as i64;
                    if let Some(first) = s.stretches().first().copied() {
                        s = s.from(i64::from(first.0) + late);
                    }
                }
            }
            self.days[w].push(s);
        }
    }
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
    fn shift(&mut self, set: &Setting, worker: usize, day: i64) -> DayShift {
        self.extend(set, worker, day);
        self.days[worker][day as usize]
    }
    fn open(&mut self, day: i64) -> bool {
        if !self.acting.has(CauseKind::Unavailable) {
            return true;
        }
        let d = day as usize;
        if self.open.len() <= d {
            self.open.resize(d + 1, None);
        }
        let (m, trial, id) = (self.m, self.trial, self.stream[1]);
        *self.open[d].get_or_insert_with(|| draws::uniform(m.seed, id, day as u64, trial) >= m.risks.unavailable_chance)
    }
    fn drying(&mut self, step: usize, day: i64) -> Option<i64> {
        if self.dry.is_empty() {
            return None;
        }
        let m = self.m;
        while (self.day_factor.len() as i64) <= day {
            let d = self.day_factor.len() as u64;
            let u = draws::uniform(m.seed, self.stream[0], d, self.trial);
            self.day_factor.push(libm::exp(m.risks.day_sd * normal::inverse(u)));
        }
        Some((libm::round(self.dry[step] * self.day_factor[day as usize] * PAR as f64) as i64).max(1))
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
