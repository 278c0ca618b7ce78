//! Ways back to the date: everything that could be done about a job at a moment, worked out in the
//! same trials as the job as it stands, and what is worth doing.
//!
//! Each way is given the kept order and one of its own, [`Effort::schedules`] schedules and
//! [`Effort::first`] trials; the [`Effort::second`] best of those [`Effort::trials`]; the
//! [`Effort::closer`] best, with the job as it stands, then as many schedules as a plan at rest gets.
//! Only ways in all the trials are combined, shown at the end or taken.
//! A way is compared with the job as it stands at the same
//! budget, never with another. Methods that were open stay those of the kept order, so that a way
//! is what it says and nothing else. Budgets count schedules, so the answer is the same for any
//! number of threads. Money is whole cents; days are working days of the crew as it is.

mod lever;
mod paid;
mod possible;
mod work;

use std::sync::Arc;

use rayon::prelude::*;

pub use lever::Lever;
pub use possible::{evening_day, first_day, possible};
pub use work::Worked;

use self::work::Ground;
use super::{ASKED, Cancel, Sound, judge, stuck};
use crate::clock::{At, Clock, DAY, UNIT};
use crate::forecast::stats::{Interval, share};
use crate::forecast::world::crew_clock;
use crate::job::{Job, Problem};
use crate::search::{Found, keep};
use crate::waysback::{CostLine, Worth, best_for, closest, combinations, days_won, gain, total};

/// Ways combined are picked from so many.
pub const KEPT: usize = 8;
/// Chance from which a way is worth showing, a share; working days where there is no day to make.
pub const LEAST: f64 = 0.01;
/// Ways worked out side by side between two looks at the stop.
const AT_ONCE: usize = 8;

/// How much is tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Schedules for each way at first.
    pub schedules: usize,
    /// Trials for each way at first, whole blocks of 500.
    pub first: usize,
    /// Ways of one kind, alone or combined, given all the trials.
    pub second: usize,
    /// Trials behind every figure of the whole answer, whole blocks of 500.
    pub trials: usize,
    /// Ways at most, combinations among them.
    pub most: usize,
    /// Ways given the full search.
    pub closer: usize,
}

impl Default for Effort {
    fn default() -> Self {
        Effort { schedules: 300, first: 500, second: 32, trials: ASKED, most: 200, closer: 12 }
    }
}

/// What is asked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Asked {
    pub effort: Effort,
    /// Nothing that costs more, cents.
    pub budget: Option<i64>,
}

/// One way with what it comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    pub levers: Vec<Lever>,
    pub cost: Vec<CostLine>,
    pub cents: i64,
    /// Chance of the client's day, without and with it, each with its 95 % interval.
    pub before: Option<Interval<f64>>,
    pub after: Option<Interval<f64>>,
    /// What it wins of it, in the same trials.
    pub gain: Option<Interval<f64>>,
    /// Working days won at the date 8 in 10 reach.
    pub days: Interval<f64>,
    /// Finish 8 in 10 reach with it.
    pub eighty: At,
    /// Working days of the plan won by less waiting, and by less labor in working hours.
    pub waiting: f64,
    pub labor: f64,
    /// Had the full search.
    pub searched: bool,
    /// The job with it, its order kept.
    pub job: Arc<Job>,
    /// Finish of each trial.
    pub finish: Arc<Vec<i64>>,
    /// Finish with everything typical.
    pub clean_run: At,
}

impl Way {
    fn worth(&self) -> Worth {
        let chance = self.after.map_or(0.0, |a| a.value);
        // Among ways that win the same chance the one that wins more days is better. Where the client's day is
        // out of reach as it stands, half a day won is worth showing though the chance stays nothing.
        let far = self.before.is_some_and(|b| b.value < LEAST);
        let won = match self.gain {
            Some(g) if far => (g.value + 0.002 * self.days.value).max(2.0 * LEAST * self.days.value),
            Some(g) => g.value + 0.002 * self.days.value,
            None => self.days.value,
        };
        Worth { cents: self.cents, won, chance }
    }
}

/// The answer, whole or on the way there.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The job as asked, its order kept.
    pub job: Arc<Job>,
    /// As it stands: chance of the client's day, the date 8 in 10 reach, the clean run.
    pub chance: Option<Interval<f64>>,
    pub eighty: At,
    pub clean_run: At,
    /// Finish of each trial as it stands.
    pub finish: Arc<Vec<i64>>,
    /// Trials behind every figure.
    pub trials: usize,
    /// Worth showing: the most won for a dollar first, what costs nothing before all.
    pub ways: Vec<Way>,
    /// The one to take: the cheapest that is safe enough, else the nearest to it.
    pub best: Option<usize>,
    /// Whether the best is safe enough.
    pub enough: bool,
    /// Ways tried so far.
    pub tried: usize,
    /// Work done so far, and in all as far as known: ways tried, tried again, searched in full.
    pub done: usize,
    pub of: usize,
    /// Nothing more to come.
    pub whole: bool,
}

/// The job judged with its order kept: the one it has, else the one found.
///
/// # Errors
/// Everything that stands against a plan.
pub fn standing(job: &Job, cancel: Cancel) -> Result<Option<(Sound, Found)>, Vec<Problem>> {
    let sound = judge(job)?;
    let found = sound.plan_until(false, cancel).map_err(|e| vec![stuck(&sound, &e)])?;
    if found.unfinished && job.kept.is_none() {
        return Ok(None);
    }
    if job.kept.is_some() {
        return Ok(Some((sound, found)));
    }
    let kept = keep(&sound.graph, &sound.setting, &found.plan.order, job);
    let sound = judge(&Job { kept: Some(kept), ..job.clone() })?;
    Ok(Some((sound, found)))
}

/// Works every way out. `job` carries the moment it is asked at; `out` takes answers as they
/// grow, the last of them whole unless it was stopped.
///
/// # Errors
/// Everything that stands against a plan of the job as it is.
pub fn ways_back(job: &Job, asked: &Asked, cancel: Cancel, out: &mut dyn FnMut(&Answer)) -> Result<(), Vec<Problem>> {
    let Some((sound, found)) = standing(job, cancel)? else { return Ok(()) };
    let singles = possible(&sound, &found.plan);
    ways_of(&sound, &found, singles, asked, cancel, out)
}

/// [`ways_back`] of these levers, in a job whose order is kept.
///
/// # Errors
/// Everything that stands against a plan of the job as it is.
pub fn ways_of(
    sound: &Sound,
    found: &Found,
    levers: Vec<Lever>,
    asked: &Asked,
    cancel: Cancel,
    out: &mut dyn FnMut(&Answer),
) -> Result<(), Vec<Problem>> {
    let ground = Ground::new(sound, found);
    let e = asked.effort;
    let Some(plain) = ground.work(&[], e.schedules, e.trials, false, None, cancel) else { return Ok(()) };
    let Some(stands) = ground.stands(e.trials, cancel) else { return Ok(()) };
    let mut run =
        Run { ground, asked, stands, plain, cancel, ways: Vec::new(), sifted: false, tried: 0, done: 0, of: 0 };
    let combined = (KEPT * (KEPT - 1) / 2 + KEPT * (KEPT - 1) * (KEPT - 2) / 6).min(e.most / 2);
    let singles: Vec<Vec<Lever>> = thinned(levers, e.most - combined).into_iter().map(|l| vec![l]).collect();
    run.of = singles.len() + 1 + e.closer;
    out(&run.answer(false));
    if !run.all(&singles, out) || !run.sift(0, out) {
        return Ok(());
    }
    let kept = run.kept();
    let together = |a: usize, b: usize| run.ways[kept[a]].levers[0].kind() != run.ways[kept[b]].levers[0].kind();
    let mut pairs: Vec<Vec<Lever>> = combinations(kept.len(), &together)
        .into_iter()
        .map(|c| c.into_iter().map(|k| run.ways[kept[k]].levers[0].clone()).collect())
        .collect();
    pairs.truncate(e.most.saturating_sub(singles.len()));
    run.of = run.done + pairs.len() + 1 + e.closer;
    let from = run.ways.len();
    if !run.all(&pairs, out) || !run.sift(from, out) {
        return Ok(());
    }
    run.look_closer(out);
    Ok(())
}

/// At most so many levers: of those too many the helper's variants go first, the latest of them.
fn thinned(levers: Vec<Lever>, most: usize) -> Vec<Lever> {
    let helper = |l: &Lever| matches!(l, Lever::Helper { .. });
    let others = levers.iter().filter(|l| !helper(l)).count().min(most);
    let mut helpers = most - others;
    let mut rest = most;
    levers
        .into_iter()
        .filter(|l| {
            let left = if helper(l) { &mut helpers } else { &mut rest };
            let keep = *left > 0;
            *left = left.saturating_sub(1);
            keep
        })
        .collect::<Vec<_>>()
        .into_iter()
        .take(most)
        .collect()
}

/// Chance without and with a way, what is won of it, working days won.
type Told = (Option<Interval<f64>>, Option<Interval<f64>>, Option<Interval<f64>>, Interval<f64>);

struct Run<'a> {
    ground: Ground<'a>,
    asked: &'a Asked,
    /// The job as it stands, in its kept order: finish of each trial.
    stands: Vec<i64>,
    /// The job as it stands at the budget of the ways.
    plain: Worked,
    cancel: Cancel<'a>,
    ways: Vec<Way>,
    /// The first ways are in all the trials: others are not yet compared with them.
    sifted: bool,
    tried: usize,
    done: usize,
    of: usize,
}

impl Run<'_> {
    /// Works a list of ways out; false where it was stopped.
    fn all(&mut self, list: &[Vec<Lever>], out: &mut dyn FnMut(&Answer)) -> bool {
        let e = self.asked.effort;
        for part in list.chunks(AT_ONCE) {
            let (ground, cancel) = (&self.ground, self.cancel);
            let worked: Vec<Option<Worked>> =
                part.par_iter().map(|l| ground.work(l, e.schedules, e.first, false, None, cancel)).collect();
            if cancel() {
                return false;
            }
            // A way that cannot be planned is none.
            let new: Vec<Way> = worked.into_iter().flatten().map(|w| self.way(&self.plain, w, false)).collect();
            self.ways.extend(new);
            self.tried += part.len();
            self.done += part.len();
            out(&self.answer(false));
        }
        true
    }

    /// Gives the best of the ways from one on all the trials; false where it was stopped. Of what a part
    /// of a way wins alone nothing is asked yet: the two are not in the same trials.
    fn sift(&mut self, from: usize, out: &mut dyn FnMut(&Answer)) -> bool {
        let (e, cancel) = (self.asked.effort, self.cancel);
        let open: Vec<usize> = (from..self.ways.len())
            .filter(|&i| self.ways[i].finish.len() < e.trials && self.affordable(&self.ways[i]))
            .collect();
        let worth: Vec<Worth> = open.iter().map(|&i| self.ways[i].worth()).collect();
        let picked: Vec<usize> = closest(&worth, e.second, LEAST).into_iter().map(|k| open[k]).collect();
        self.of += picked.len();
        for part in picked.chunks(AT_ONCE) {
            let (ground, ways) = (&self.ground, &self.ways);
            let ends: Vec<Option<Vec<i64>>> =
                part.par_iter().map(|&i| ground.again(&ways[i].job, e.trials, cancel)).collect();
            if cancel() {
                return false;
            }
            for (&i, finish) in part.iter().zip(ends) {
                let Some(finish) = finish else { continue };
                let told = self.told(&self.plain.finish, &finish);
                let way = &mut self.ways[i];
                (way.before, way.after, way.gain, way.days) = told;
                way.eighty = At(crate::waysback::p80(&finish));
                way.finish = Arc::new(finish);
            }
            self.done += part.len();
            out(&self.answer(false));
        }
        self.sifted = true;
        true
    }

    /// Chances without and with, and what is won, of finishes in the same trials: of the first of
    /// `was`, where there are more.
    fn told(&self, was: &[i64], is: &[i64]) -> Told {
        let was = &was[..is.len().min(was.len())];
        let (clock, day) = &self.ground.clock;
        let days = |t: i64| clock.at(t) as f64 / UNIT as f64 / day;
        let limit = self.limit();
        let chance = |f: &[i64]| limit.map(|l| share(f.iter().filter(|x| **x <= l).count(), f.len()));
        (chance(was), chance(is), limit.map(|l| gain(was, is, l)), days_won(was, is, &days))
    }

    /// Whether a way is compared: in all the trials, once the first ways are.
    fn counts(&self, w: &Way) -> bool {
        self.affordable(w) && (!self.sifted || w.finish.len() >= self.asked.effort.trials)
    }

    fn limit(&self) -> Option<i64> {
        let job = &self.ground.sound.job;
        job.target.map(|t| (job.day_of(t.day) + 1) * DAY)
    }

    fn way(&self, plain: &Worked, w: Worked, searched: bool) -> Way {
        let (clock, day) = &self.ground.clock;
        let days = |t: i64| clock.at(t) as f64 / UNIT as f64 / day;
        let (was, is) = (self.ground.worked(&plain.plan), self.ground.worked(&w.plan));
        let labor = was - is;
        let (before, after, gain, days_won) = self.told(&plain.finish, &w.finish);
        Way {
            cents: total(&w.cost),
            before,
            after,
            gain,
            days: days_won,
            eighty: At(crate::waysback::p80(&w.finish)),
            waiting: days(plain.plan.finish.0) - days(w.plan.finish.0) - labor,
            labor,
            searched,
            clean_run: w.plan.finish,
            levers: w.levers,
            cost: w.cost,
            job: Arc::new(w.job),
            finish: Arc::new(w.finish),
        }
    }

    fn affordable(&self, w: &Way) -> bool {
        self.asked.budget.is_none_or(|b| w.cents <= b)
    }

    /// Whether a part of it alone wins as much: then the rest of it is paid for nothing.
    fn needless(&self, w: &Way) -> bool {
        self.ways.iter().any(|o| {
            let part = !o.levers.is_empty() && o.levers.len() < w.levers.len();
            let as_good = o.cents <= w.cents && o.worth().won + LEAST > w.worth().won;
            part && as_good && o.levers.iter().all(|l| w.levers.contains(l))
        })
    }

    /// The singles combinations are made of: the best of each kind first, no more than two of one.
    fn kept(&self) -> Vec<usize> {
        let sure = |w: &Way| w.gain.map_or(w.days.low > 0.0, |g| g.low > 0.0) || w.days.low > 0.0;
        let mut at: Vec<usize> = (0..self.ways.len())
            .filter(|&i| self.ways[i].worth().won >= LEAST && sure(&self.ways[i]) && self.counts(&self.ways[i]))
            .collect();
        // By what is won for a dollar, and by what is won: one of each in turn.
        let per = |i: usize| self.ways[i].worth().won / (self.ways[i].cents.max(0) as f64 / 100.0 + 25.0);
        at.sort_by(|&a, &b| per(b).total_cmp(&per(a)).then(a.cmp(&b)));
        let mut most = at.clone();
        most.sort_by(|&a, &b| self.ways[b].worth().won.total_cmp(&self.ways[a].worth().won).then(a.cmp(&b)));
        let mut out: Vec<usize> = Vec::new();
        for (a, b) in at.into_iter().zip(most) {
            for i in [a, b] {
                let kind = self.ways[i].levers[0].kind();
                let same = out.iter().filter(|&&k| self.ways[k].levers[0].kind() == kind).count();
                if out.len() < KEPT && same < 2 && !out.contains(&i) {
                    out.push(i);
                }
            }
        }
        out
    }

    /// The best and the job as it stands, with the full search.
    fn look_closer(&mut self, out: &mut dyn FnMut(&Answer)) {
        let e = self.asked.effort;
        let afford: Vec<usize> =
            (0..self.ways.len()).filter(|&i| self.counts(&self.ways[i]) && !self.needless(&self.ways[i])).collect();
        let worth: Vec<Worth> = afford.iter().map(|&i| self.ways[i].worth()).collect();
        let picked: Vec<usize> = closest(&worth, e.closer, LEAST).into_iter().map(|k| afford[k]).collect();
        let full = crate::search::budget(&self.ground.sound.graph);
        let lists: Vec<(Vec<Lever>, Option<Arc<Job>>)> =
            std::iter::once((Vec::new(), Some(Arc::new(self.plain.job.clone()))))
                .chain(picked.iter().map(|&i| (self.ways[i].levers.clone(), Some(self.ways[i].job.clone()))))
                .collect();
        let mut worked: Vec<Option<Worked>> = Vec::new();
        for part in lists.chunks(AT_ONCE) {
            let (ground, cancel) = (&self.ground, self.cancel);
            let some: Vec<Option<Worked>> =
                part.par_iter().map(|(l, job)| ground.work(l, full, e.trials, true, job.as_deref(), cancel)).collect();
            if cancel() {
                return;
            }
            worked.extend(some);
            self.done += part.len();
            self.of = self.of.max(self.done);
            out(&self.answer(false));
        }
        let mut worked = worked.into_iter();
        let Some(plain) = worked.next().flatten() else { return };
        let mut ways: Vec<Way> = worked.flatten().map(|w| self.way(&plain, w, true)).collect();
        // Another order of the same work costs nothing: a way of its own, against the order kept.
        if plain.plan.order != self.ground.found.plan.order {
            let (finish, plan) = (self.stands.clone(), self.ground.found.plan.clone());
            let kept = Worked { finish, plan, ..plain.clone() };
            ways.push(self.way(&kept, plain.clone(), true));
        }
        self.ways = ways;
        self.plain = plain;
        self.of = self.done;
        out(&self.answer(true));
    }

    fn answer(&self, whole: bool) -> Answer {
        let afford: Vec<&Way> = self.ways.iter().filter(|w| self.counts(w) && !self.needless(w)).collect();
        let worth: Vec<Worth> = afford.iter().map(|w| w.worth()).collect();
        let mut shown: Vec<Way> =
            closest(&worth, self.asked.effort.closer, LEAST).into_iter().map(|k| afford[k].clone()).collect();
        let per = |w: &Way| {
            let won = w.worth().won;
            if w.cents <= 0 { (0, -won) } else { (1, -won / w.cents as f64) }
        };
        shown.sort_by(|a, b| {
            let (a, b) = (per(a), per(b));
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
        });
        let worth: Vec<Worth> = shown.iter().map(Way::worth).collect();
        let job = &self.ground.sound.job;
        let best = best_for(&worth, job.confidence, LEAST);
        let limit = self.limit();
        let hits = |l: i64| self.stands.iter().filter(|x| **x <= l).count();
        Answer {
            job: Arc::new(job.clone()),
            chance: limit.map(|l| share(hits(l), self.stands.len())),
            eighty: At(crate::waysback::p80(&self.stands)),
            clean_run: self.ground.found.plan.finish,
            finish: Arc::new(self.stands.clone()),
            trials: self.stands.len(),
            enough: best.is_some_and(|b| worth[b].chance >= job.confidence),
            best,
            ways: shown,
            tried: self.tried,
            done: self.done,
            of: self.of,
            whole,
        }
    }
}

/// Crew clock and minutes of its workday.
type Days = (Clock, f64);

fn days_of(sound: &Sound) -> Days {
    crew_clock(&sound.setting)
}

#[cfg(test)]
mod tests;
