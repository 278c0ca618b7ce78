//! The whole chain for one job: text or job in, plan and forecast out.

pub mod asks;
pub mod begin;
pub mod changes;
pub mod close;
pub mod evening;
mod chain;
mod merged;
mod offer;
mod price;
pub mod starts;
pub mod underway;
mod ways;
pub mod ways_back;
pub mod write_up;

use std::sync::Arc;

pub use chain::*;
pub use offer::{Searched, WORTH, moves, search_beside};
pub use price::Priced;
pub use ways::{option_job, worked_out};

use crate::clock::At;
use crate::forecast::{Forecast, Options, hours::Hours, known};
use crate::job::{Job, Problem};
use crate::jobfile::{self, Read, SyntaxError};
use crate::schedule::{Net, Setting, Stuck, longest_piece, sound};
use crate::search::{self, Found};
use crate::standing::Standing;
use crate::trade::tables;
use crate::work::WorkGraph;

/// The largest crew dispatch can tell apart.
pub const MOST_PEOPLE: usize = 32;

/// A job that can be planned.
#[derive(Clone, Debug)]
pub struct Sound {
    pub job: Job,
    pub graph: WorkGraph,
    pub setting: Setting,
    /// The kept order of the file, if it has one.
    pub kept: Option<crate::schedule::Order>,
    /// Holds of the job.
    pub holds: Vec<crate::schedule::PlanHold>,
    /// Days passed and not written up, where they are counted both ways.
    pub open: Option<underway::OpenDays>,
}

/// A job file read and judged: all problems, and the sound job where there are none.
#[derive(Clone, Debug)]
pub struct Opened {
    pub read: Read,
    pub sound: Option<Sound>,
    /// What an older file said otherwise, and how it is read now.
    pub remarks: Vec<String>,
}

/// Reads a job file and says everything that is wrong with it.
///
/// # Errors
/// A text that is no job file at all: line, column and what was expected.
pub fn open(text: &str) -> Result<Opened, SyntaxError> {
    let mut read = jobfile::read(text, tables())?;
    let remarks = merged::renamed(&mut read.job);
    let sound = match against(&read.job, &read.problems) {
        Ok(sound) if read.problems.is_empty() => Some(sound),
        Ok(_) => None,
        Err(later) => {
            read.add(later);
            None
        }
    };
    Ok(Opened { read, sound, remarks })
}

/// Builds graph and surroundings of a job: from its first day, or of the work as it stands
/// at the moment it is asked at.
///
/// # Errors
/// Everything that stands against a plan. What could never be done is said only of entries
/// in which nothing else is wrong.
pub fn judge(job: &Job) -> Result<Sound, Vec<Problem>> {
    against(job, &[])
}

/// What is known of the work at an instant, laid into graph and surroundings: methods begun
/// with are settled, hours still to come are expected by the pace so far.
fn stand(job: &Job, graph: &mut WorkGraph, setting: &mut Setting, as_of: At) {
    let Some(mut facts) = Standing::read(job, graph, setting, as_of) else { return };
    for (choice, begun) in graph.choices.iter_mut().zip(&facts.methods) {
        choice.fixed = begun.or(choice.fixed);
    }
    facts.expected = known::expected(&Hours::of(job, graph), graph, &facts);
    for (s, step) in graph.steps.iter().enumerate().filter(|(_, s)| s.flags.one_go) {
        // A piece slower than any shift is long is finished in overtime, so it may begin.
        let longest = longest_piece(job, graph, setting, step);
        let share = step.pieces.iter().copied().fold(0.0, f64::max);
        let most = (longest as f64 / share.max(1e-9)) as i64;
        facts.expected[s] = facts.expected[s].min(most.max(step.labor.typical()));
    }
    setting.standing = Some(Arc::new(facts));
}

/// [`judge`] beside what is said of the job already.
fn against(job: &Job, said: &[Problem]) -> Result<Sound, Vec<Problem>> {
    let (mut graph, mut problems) = crate::work::build::attempt(job);
    if job.crew.len() > MOST_PEOPLE {
        problems.push(Problem::new(
            "crew",
            format!("{} people, at most {MOST_PEOPLE} can be planned", job.crew.len()),
            "split the job, or leave out who does not work on it",
        ));
        return Err(problems);
    }
    let mut setting = Setting::new(job, &graph);
    if let (Some(t), true) = (job.as_of, problems.is_empty()) {
        stand(job, &mut graph, &mut setting, job.at_of(t));
    }
    if !job.crew.is_empty() {
        let mut never = sound(job, &graph, &setting);
        never.retain(|n| !problems.iter().chain(said).any(|p| p.path.starts_with(&n.path)));
        problems.extend(never);
    }
    let kept = match search::kept(job, &graph, &setting) {
        Ok(k) => k,
        Err(p) => {
            // A lost name is known from the graph already.
            let new: Vec<Problem> = p.into_iter().filter(|p| !problems.iter().any(|q| q.path == p.path)).collect();
            problems.extend(new);
            None
        }
    };
    let holds = search::holds(job, &graph).unwrap_or_default();
    if problems.is_empty() {
        Ok(Sound { job: job.clone(), graph, setting, kept, holds, open: None })
    } else {
        Err(problems)
    }
}

impl Sound {
    /// The plan: the kept order as it stands, or the result of the search. With `improve` a
    /// kept order is searched on from.
    ///
    /// # Errors
    /// When no order can be carried out.
    pub fn plan(&self, improve: bool) -> Result<Found, Stuck> {
        self.plan_until(improve, &|| false)
    }

    /// [`Sound::plan`] that can be stopped: what it returns then is marked unfinished.
    ///
    /// # Errors
    /// When no order can be carried out.
    pub fn plan_until(&self, improve: bool, cancel: Cancel) -> Result<Found, Stuck> {
        let improve = improve || self.kept.is_none();
        search::steady(&self.job, &self.graph, &self.setting, self.kept.as_ref(), &self.holds, improve, cancel)
    }

    /// The net of these methods.
    pub(crate) fn net_of(&self, methods: &[usize]) -> Net<'_> {
        Net::new(&self.graph, &self.setting, methods)
    }

    /// The net of a plan's methods.
    pub fn net(&self, found: &Found) -> Net<'_> {
        Net::new(&self.graph, &self.setting, &found.plan.order.methods)
    }

    /// Samples a plan's order.
    ///
    /// # Errors
    /// When the order cannot be carried out.
    pub fn forecast(&self, found: &Found, o: Options) -> Result<Forecast, Stuck> {
        crate::forecast::forecast(&self.job, &self.net(found), &found.plan.order, o, &|| false)
    }
}

/// An order that cannot be carried out, as a problem of the job.
pub fn stuck(sound: &Sound, e: &Stuck) -> Problem {
    let left: Vec<&str> = match e {
        Stuck::NoStart(steps) => {
            steps.iter().filter_map(|&s| sound.graph.steps.get(s)).map(|s| s.id.as_str()).collect()
        }
        Stuck::TooMany => Vec::new(),
    };
    let what = if left.is_empty() {
        "this order does not come to an end".to_string()
    } else {
        format!("in this order nothing more can start; left: {}", left.join(", "))
    };
    Problem::new("kept", what, "look at the holds, windows and kept order of these steps")
}

/// The job with every name taken out of its kept order and holds that no step has any more: what an
/// edit removed cannot be ordered. A job with a fault in its rooms is left as it is: the fault may
/// hide steps that come back when it is mended.
pub fn without_lost_names(mut job: Job) -> Job {
    // Judged without the names themselves: they make no step, and a lost one is a fault of its own.
    let bare = Job { kept: None, holds: Vec::new(), ..job.clone() };
    let (graph, problems) = crate::work::build::attempt(&bare);
    if problems.iter().any(|p| p.path.starts_with("rooms")) {
        return job;
    }
    let step = |id: &String| graph.steps.iter().any(|s| s.id == *id);
    let held = |h: &crate::job::Hold| {
        step(&h.step)
            && match &h.until {
                crate::job::Until::Begun(id) | crate::job::Until::Done(id) => step(id),
                crate::job::Until::At(_) => true,
            }
    };
    job.holds.retain(held);
    if let Some(k) = &mut job.kept {
        k.order.retain(step);
        k.people.retain(|(id, _)| step(id));
        k.methods.retain(|(c, o)| graph.choices.iter().any(|x| x.id == *c && x.options.contains(o)));
        k.holds.retain(held);
        let crew: Vec<&String> = job.crew.iter().map(|p| &p.id).collect();
        k.people.iter_mut().for_each(|(_, who)| who.retain(|w| crew.contains(&w)));
        k.people.retain(|(_, who)| !who.is_empty());
    }
    job
}
