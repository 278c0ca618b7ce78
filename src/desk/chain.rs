//! The chain kept between edits: a stage whose input has not changed is not worked out again,
//! and an output equal to the one before stops what hangs on it.
//!
//! Each stage has an input type of what it reads and nothing else, compared by its canonical
//! bytes (JSON in the order of the fields). What comes out at rest is what [`Sound::plan`] and
//! [`Sound::forecast`] give for the same job, whatever was asked before; only answers on the
//! way there, marked [`Reached::First`], stand on the order of the edit before.
//!
//! It owns no thread: a caller passes a hook that stops it and takes answers as they grow.

use std::sync::Arc;

use chrono::{NaiveDate, NaiveDateTime};
use serde::Serialize;

use super::{Sound, judge, stuck};
use crate::forecast::columns::Columns;
use crate::forecast::{Forecast, Options, draws::BLOCK, grow};
use crate::job::{
    Calendar, DayLog, Decision, Delivery, Hold, House, Job, KeptOrder, LostTime, OwnStep, Person, Place, Problem,
    Redone, Room, Study, Units, Visit,
};
use crate::schedule::{Net, Order, State, Stuck, plan};
use crate::search::{Found, Proven, place_missing};
use crate::trade::{Product, Rate, Recipe, Risks};
use crate::work::WorkGraph;

/// Trials behind the first odds, and those a run grows by.
pub const FIRST: usize = BLOCK;
pub const ASKED: usize = 2_000;
/// Trials at rest, unless told otherwise; the text commands take as many.
pub const AT_REST: usize = 10_000;
/// Trials behind what is eating the date; their differences are paired and need fewer.
pub const CAUSES: usize = 1_000;

/// How far an answer has got.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reached {
    /// The order of the edit before, few trials: first odds.
    First,
    /// The final order, with so many trials of those at rest.
    Trials(usize),
    /// All trials; what is eating the date is still being counted.
    Odds,
    /// Nothing more to come.
    Rest,
}

/// Plan and odds of one state of a job: one whole answer.
#[derive(Clone, Debug)]
pub struct Desk {
    pub sound: Arc<Sound>,
    pub found: Arc<Found>,
    pub forecast: Arc<Forecast>,
    pub reached: Reached,
}

/// How often each stage was worked out, not taken from before.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Ran {
    pub judged: usize,
    pub planned: usize,
    /// Blocks of trials.
    pub blocks: usize,
    pub causes: usize,
}

/// What is known of the work, and when it is asked.
#[derive(Serialize)]
struct Asked<'a> {
    lost: &'a [LostTime],
    as_of: Option<NaiveDateTime>,
    /// Read only where the job is asked under way.
    log: &'a [DayLog],
}

impl Asked<'_> {
    fn of(job: &Job) -> Asked<'_> {
        Asked { lost: &job.lost, as_of: job.as_of, log: if job.as_of.is_some() { &job.log } else { &[] } }
    }
}

/// What judging and the work graph read.
#[derive(Serialize)]
struct ScopeInput<'a> {
    units: Units,
    start: NaiveDate,
    house: &'a House,
    crew: &'a [Person],
    calendar: &'a Calendar,
    places: &'a [Place],
    rooms: &'a [Room],
    steps: &'a [OwnStep],
    deliveries: &'a [Delivery],
    decisions: &'a [Decision],
    visits: &'a [Visit],
    redone: &'a [Redone],
    holds: &'a [Hold],
    risks: &'a Risks,
    study: &'a Option<Study>,
    kept: &'a Option<KeptOrder>,
    asked: Asked<'a>,
    rates: &'a [Rate],
    products: &'a [Product],
    recipes: &'a [Recipe],
}

/// What planning reads: a graph (by the number of its value), who works when and where, the kept
/// order, and what may go wrong: among equally short orders the steadiest is taken.
#[derive(Serialize)]
struct PlanInput<'a> {
    graph: u64,
    start: NaiveDate,
    crew: Vec<Person>,
    calendar: &'a Calendar,
    places: Vec<Place>,
    holds: &'a [Hold],
    kept: &'a Option<KeptOrder>,
    asked: Asked<'a>,
    small_children: bool,
    risks: &'a Risks,
    study: bool,
}

/// What the trials read besides the plan.
#[derive(Serialize)]
struct OddsInput<'a> {
    plan: u64,
    /// A plan may come out the same from another graph or other hours.
    surroundings: &'a [u8],
    small_children: bool,
    risks: &'a Risks,
    study: &'a Option<Study>,
    seed: u64,
}

fn bytes(input: &impl Serialize) -> Vec<u8> {
    serde_json::to_vec(input).expect("plain data")
}

struct Judged {
    input: Vec<u8>,
    sound: Arc<Sound>,
    /// Number of the graph's value, names left out.
    graph: u64,
}

struct Planned {
    input: Vec<u8>,
    found: Arc<Found>,
    graph: Arc<Sound>,
    number: u64,
}

struct Sampled {
    input: Vec<u8>,
    forecast: Arc<Forecast>,
    /// What is eating the date has been counted (it may be nothing).
    causes: bool,
}

/// What has been worked out so far, for the next edit.
#[derive(Default)]
pub struct Chain {
    judged: Option<Judged>,
    planned: Option<Planned>,
    sampled: Option<Sampled>,
    numbers: u64,
    columns: Columns,
    pub ran: Ran,
}

/// Stops a run between two schedules or blocks.
pub type Cancel<'a> = &'a (dyn Fn() -> bool + Sync);

impl Chain {
    /// Works a job out and hands over every answer on the way, the last with
    /// [`Reached::Rest`]. `trials` at rest, rounded up to whole blocks. Stopped by `cancel` it
    /// returns early; what was done is kept for the next call.
    ///
    /// # Errors
    /// Everything that stands against a plan.
    pub fn answer(
        &mut self,
        job: &Job,
        trials: usize,
        cancel: Cancel,
        out: &mut dyn FnMut(&Desk),
    ) -> Result<(), Vec<Problem>> {
        let sound = self.judge(job)?;
        let input = self.plan_input(&sound);
        if self.planned.as_ref().is_none_or(|p| p.input != input) {
            self.first(&sound, cancel, out);
            if cancel() {
                return Ok(());
            }
            let found = sound.plan_until(false, cancel).map_err(|e| vec![stuck(&sound, &e)])?;
            if found.unfinished {
                return Ok(());
            }
            self.ran.planned += 1;
            let same = self.planned.as_ref().filter(|p| p.found.plan == found.plan);
            let number = same.map_or(self.numbers + 1, |p| p.number);
            self.numbers = self.numbers.max(number);
            self.planned = Some(Planned { input, found: Arc::new(found), graph: sound.clone(), number });
        }
        self.odds(&sound, trials, cancel, out).map_err(|e| vec![stuck(&sound, &e)])
    }

    fn judge(&mut self, job: &Job) -> Result<Arc<Sound>, Vec<Problem>> {
        let input = bytes(&ScopeInput {
            units: job.units,
            start: job.start,
            house: &job.house,
            crew: &job.crew,
            calendar: &job.calendar,
            places: &job.places,
            rooms: &job.rooms,
            steps: &job.steps,
            deliveries: &job.deliveries,
            decisions: &job.decisions,
            visits: &job.visits,
            redone: &job.redone,
            holds: &job.holds,
            risks: &job.risks,
            study: &job.study,
            kept: &job.kept,
            asked: Asked::of(job),
            rates: &job.rates,
            products: &job.products,
            recipes: &job.recipes,
        });
        if let Some(j) = self.judged.as_mut().filter(|j| j.input == input) {
            if j.sound.job != *job {
                // Names, the client's day, the confidence: nothing planned hangs on them.
                j.sound = Arc::new(Sound { job: job.clone(), ..(*j.sound).clone() });
            }
            return Ok(j.sound.clone());
        }
        let sound = Arc::new(judge(job)?);
        self.ran.judged += 1;
        let same = self.judged.as_ref().filter(|j| nameless(&j.sound.graph) == nameless(&sound.graph));
        let graph = same.map_or(self.numbers + 1, |j| j.graph);
        self.numbers = self.numbers.max(graph);
        self.judged = Some(Judged { input, sound: sound.clone(), graph });
        Ok(sound)
    }

    fn plan_input(&self, sound: &Sound) -> Vec<u8> {
        let job = &sound.job;
        bytes(&PlanInput {
            graph: self.judged.as_ref().map_or(0, |j| j.graph),
            start: job.start,
            crew: job.crew.iter().map(|p| Person { name: String::new(), cost: 0.0, ..p.clone() }).collect(),
            calendar: &job.calendar,
            places: job.places.iter().map(|p| Place { name: String::new(), ..p.clone() }).collect(),
            holds: &job.holds,
            kept: &job.kept,
            asked: Asked::of(job),
            small_children: job.house.small_children,
            risks: &job.risks,
            study: job.study.is_some(),
        })
    }

    /// First odds: the order of the edit before dispatched in the new surroundings, without a
    /// search and without a bound. Nothing where there is none or it cannot be carried out.
    fn first(&self, sound: &Arc<Sound>, cancel: Cancel, out: &mut dyn FnMut(&Desk)) {
        let order = match (&sound.kept, &self.planned) {
            (Some(kept), _) => Some(kept.clone()),
            (None, Some(p)) => Some(carried(&p.graph, &p.found.plan.order, sound)),
            (None, None) => None,
        };
        if let Some(found) = order.and_then(|o| dispatched(sound, &o).ok())
            && let Ok(forecast) = sample(&self.columns, sound, &found, None, FIRST, 0, cancel)
            && forecast.trials > 0
        {
            out(&Desk {
                sound: sound.clone(),
                found: Arc::new(found),
                forecast: Arc::new(forecast),
                reached: Reached::First,
            });
        }
    }

    fn odds(
        &mut self,
        sound: &Arc<Sound>,
        trials: usize,
        cancel: Cancel,
        out: &mut dyn FnMut(&Desk),
    ) -> Result<(), Stuck> {
        let Some(planned) = &self.planned else { return Ok(()) };
        let found = planned.found.clone();
        let input = bytes(&OddsInput {
            plan: planned.number,
            surroundings: &planned.input,
            small_children: sound.job.house.small_children,
            risks: &sound.job.risks,
            study: &sound.job.study,
            seed: sound.job.seed,
        });
        if self.sampled.as_ref().is_some_and(|s| s.input != input) {
            self.sampled = None;
        }
        let trials = trials.div_ceil(BLOCK).max(1) * BLOCK;
        let mut tell = |forecast: &Arc<Forecast>, reached| {
            out(&Desk { sound: sound.clone(), found: found.clone(), forecast: forecast.clone(), reached });
        };
        let have = |s: &Option<Sampled>| s.as_ref().map_or(0, |s| s.forecast.trials);
        if let Some(s) = self.sampled.as_ref().filter(|s| s.forecast.trials < trials) {
            tell(&s.forecast, Reached::Trials(s.forecast.trials));
        }
        while have(&self.sampled) < trials {
            let before = have(&self.sampled);
            let next = if before < FIRST { FIRST } else { (before / ASKED + 1) * ASKED };
            let old = self.sampled.as_ref().map(|s| &*s.forecast);
            let forecast = Arc::new(sample(&self.columns, sound, &found, old, next.min(trials), 0, cancel)?);
            self.ran.blocks += (forecast.trials - before) / BLOCK;
            if forecast.trials == before {
                return Ok(());
            }
            let reached = if forecast.trials >= trials { Reached::Odds } else { Reached::Trials(forecast.trials) };
            tell(&forecast, reached);
            self.sampled = Some(Sampled { input: input.clone(), forecast, causes: false });
            if cancel() {
                return Ok(());
            }
        }
        let Some(s) = &mut self.sampled else { return Ok(()) };
        if !s.causes {
            let causes = if sound.job.study.is_some() { 0 } else { CAUSES.min(trials) };
            let forecast = sample(&self.columns, sound, &found, Some(&s.forecast), s.forecast.trials, causes, cancel)?;
            // A stopped count gives no causes; every other gives at least their sum.
            if causes > 0 && forecast.causes.is_empty() {
                return Ok(());
            }
            self.ran.causes += 1;
            *s = Sampled { input: input.clone(), forecast: Arc::new(forecast), causes: true };
        }
        tell(&s.forecast, Reached::Rest);
        Ok(())
    }

    /// Answers a question about the job of `base`: the job as asked under the same order and
    /// the same random numbers, first with few trials, then with as many as there are of it; `out`
    /// takes the job as it is, cut to as many trials, and the job as asked.
    ///
    /// # Errors
    /// Everything that stands against a plan of the job as asked.
    pub fn what_if(
        &self,
        base: &Desk,
        asked: &Job,
        cancel: Cancel,
        out: &mut dyn FnMut(&Desk, &Desk),
    ) -> Result<(), Vec<Problem>> {
        let is = &base.sound.job;
        let same = Job { name: is.name.clone(), client: is.client.clone(), ..asked.clone() };
        let same = Job { target: is.target, confidence: is.confidence, ..same };
        if same == *is {
            // Confidence, the client's day, names: the trials there are, read again.
            let sound = Arc::new(Sound { job: asked.clone(), ..(*base.sound).clone() });
            out(base, &Desk { sound, ..base.clone() });
            return Ok(());
        }
        let sound = Arc::new(judge(asked)?);
        let fail = |e: Stuck| vec![stuck(&sound, &e)];
        let order = carried(&base.sound, &base.found.plan.order, &sound);
        let found = Arc::new(dispatched(&sound, &order).map_err(fail)?);
        let mut old: Option<Arc<Forecast>> = None;
        for trials in [FIRST, base.forecast.trials.max(FIRST)] {
            let forecast =
                Arc::new(sample(&self.columns, &sound, &found, old.as_deref(), trials, 0, cancel).map_err(fail)?);
            let trials = forecast.trials.min(base.forecast.trials);
            if trials == 0 || old.as_ref().is_some_and(|o| o.trials == trials) {
                break;
            }
            let reached = Reached::Trials(trials);
            let as_is = Desk { forecast: Arc::new(base.forecast.first(trials)), reached, ..base.clone() };
            let cut = if trials < forecast.trials { Arc::new(forecast.first(trials)) } else { forecast.clone() };
            out(&as_is, &Desk { sound: sound.clone(), found: found.clone(), forecast: cut, reached });
            if cancel() {
                break;
            }
            old = Some(forecast);
        }
        Ok(())
    }
}

pub(super) fn sample(
    columns: &Columns,
    sound: &Sound,
    found: &Found,
    before: Option<&Forecast>,
    trials: usize,
    cause_trials: usize,
    cancel: Cancel,
) -> Result<Forecast, Stuck> {
    let o = Options { trials, seed: sound.job.seed, cause_trials };
    grow(before, columns, &sound.job, &sound.net(found), &found.plan.order, o, cancel)
}

/// A graph without the names shown, which nothing is planned by.
fn nameless(graph: &WorkGraph) -> WorkGraph {
    let mut g = graph.clone();
    g.steps.iter_mut().for_each(|s| s.name.clear());
    g.choices.iter_mut().for_each(|c| c.name.clear());
    g.products.iter_mut().for_each(|p| p.name.clear());
    g
}

/// An order of one graph in another, step by step and choice by choice by their ids; the
/// holds are those of the new job.
pub(super) fn carried(from: &Sound, order: &Order, to: &Sound) -> Order {
    let (old, new) = (&from.graph, &to.graph);
    let mut methods = new.usual();
    for (i, choice) in new.choices.iter().enumerate().filter(|(_, c)| c.fixed.is_none()) {
        let was = old.choices.iter().position(|c| c.id == choice.id);
        let option = was.and_then(|c| old.choices[c].options.get(order.methods[c]));
        if let Some(o) = option.and_then(|o| choice.options.iter().position(|x| x == o)) {
            methods[i] = o;
        }
    }
    let mut steps: Vec<usize> = Vec::new();
    for &s in &order.order {
        if let Some(x) = new.find(&old.steps[s].id, &methods)
            && !steps.contains(&x)
        {
            steps.push(x);
        }
    }
    place_missing(&Net::new(new, &to.setting, &methods), &mut steps);
    Order { order: steps, methods, people: vec![None; new.steps.len()], holds: to.holds.clone() }
}

/// An order with its dates, nothing known of how short it is.
pub(super) fn dispatched(sound: &Sound, order: &Order) -> Result<Found, Stuck> {
    let net = Net::new(&sound.graph, &sound.setting, &order.methods);
    let plan = plan(&net, order, &mut State::default())?;
    Ok(Found { plan, bound: crate::clock::At(0), proven: Proven::No, gap: 1.0, schedules: 1, unfinished: true })
}

#[cfg(test)]
#[path = "chain_tests.rs"]
mod tests;
