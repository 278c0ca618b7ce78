//! Trials of the kept order through the same dispatch, in blocks of 500.
//!
//! Block `k` never depends on how many follow, so 2,000 trials are the first four blocks of
//! 10,000; blocks may run on any number of threads, the answer is the same.

use rayon::prelude::*;

use super::acting::{Acting, CauseKind};
use super::answers::{Cause, Forecast};
use super::columns::Columns;
use super::draws::BLOCK;
use super::stats;
use super::world::{Block, Drawn, Model, crew_clock};
use crate::clock::UNIT;
use crate::job::Job;
use crate::schedule::{Gang, Net, Order, Prepared, State, Stuck, Typical, bits, finish};

/// A block is sampled in so many parts, so that first odds use every core.
const PARTS: usize = 4;
/// So many blocks are drawn at a time: what they hold does not grow with the trials asked for.
const AT_ONCE: usize = 20;

/// What to sample.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Rounded up to whole blocks of 500.
    pub trials: usize,
    pub seed: u64,
    /// Trials for the removal of causes, at most `trials`; 0 = leave causes out.
    pub cause_trials: usize,
}

/// What a block of trials gives.
#[derive(Clone, Debug, Default)]
struct Sampled {
    finish: Vec<i64>,
    labor: Vec<i64>,
    on_date: Vec<u32>,
    /// By person: minutes paid, minutes after hours.
    paid: Vec<Vec<u32>>,
    overtime: Vec<Vec<u32>>,
}

/// Samples the order in `o.trials` drawn worlds.
///
/// A cancelled forecast holds the blocks finished in order before the first unfinished one.
///
/// # Errors
/// [`Stuck`] when the order cannot be carried out in some world: no trial is dropped.
pub fn forecast(
    job: &Job,
    net: &Net,
    order: &Order,
    o: Options,
    cancel: &(dyn Fn() -> bool + Sync),
) -> Result<Forecast, Stuck> {
    grow(None, &Columns::default(), job, net, order, o, cancel)
}

/// [`forecast`] that goes on from fewer trials of the same order in the same job: the same
/// answer as from nothing. `before` must be of the same seed and hold whole blocks. Scores
/// drawn for an earlier forecast are taken from `columns`, new ones kept there.
///
/// # Errors
/// [`Stuck`] when the order cannot be carried out in some world.
pub fn grow(
    before: Option<&Forecast>,
    columns: &Columns,
    job: &Job,
    net: &Net,
    order: &Order,
    o: Options,
    cancel: &(dyn Fn() -> bool + Sync),
) -> Result<Forecast, Stuck> {
    let done = before.map_or(0, |f| f.trials / BLOCK);
    let blocks = o.trials.div_ceil(BLOCK).max(1).max(done);
    let cause_blocks = o.cause_trials.div_ceil(BLOCK).min(blocks);
    let model = Model::with(job, net, o.seed, columns);
    let acting = Acting::of(job);
    let prepared = Prepared::new(net, order);
    let mut st = State::default();
    prepared.run(&mut Typical(net), &mut st)?;
    let clean_run = crate::clock::At(finish(net, &st));
    let mut held = vec![0.0; net.present.len()];
    let mut base: Vec<Sampled> = Vec::new();
    if let Some(f) = before {
        held.iter_mut().zip(&f.on_date).for_each(|(h, share)| *h = libm::round(share * f.trials as f64));
        let block = |all: &[Vec<u32>], k: usize| -> Vec<Vec<u32>> {
            all.iter().map(|v| v[k * BLOCK..(k + 1) * BLOCK].to_vec()).collect()
        };
        base.extend((0..done).map(|k| Sampled {
            finish: f.finish[k * BLOCK..(k + 1) * BLOCK].to_vec(),
            labor: f.labor[k * BLOCK..(k + 1) * BLOCK].to_vec(),
            on_date: Vec::new(),
            paid: block(&f.paid, k),
            overtime: block(&f.overtime, k),
        }));
    }
    for first in (done..blocks).step_by(AT_ONCE) {
        let last = (first + AT_ONCE).min(blocks);
        let drawn: Vec<Block> = (first..last).into_par_iter().map(|k| Block::new(&model, net, k as u32)).collect();
        let parts: Vec<Option<Result<Sampled, Stuck>>> = (0..drawn.len() * PARTS)
            .into_par_iter()
            .map(|k| (!cancel()).then(|| sample(net, &prepared, &model, &drawn[k / PARTS], k % PARTS, acting, true)))
            .collect();
        for block in whole_blocks(parts) {
            let block = block?;
            held.iter_mut().zip(&block.on_date).for_each(|(h, n)| *h += f64::from(*n));
            base.push(block);
        }
        if base.len() < last {
            break;
        }
    }
    let trials = base.len() * BLOCK;
    let finish: Vec<i64> = base.iter().flat_map(|s| s.finish.iter().copied()).collect();
    let labor: Vec<i64> = base.iter().flat_map(|s| s.labor.iter().copied()).collect();
    let mut sorted = finish.clone();
    sorted.sort_unstable();
    let on_date = held.iter().map(|h| h / trials.max(1) as f64).collect();
    let causes = causes(net, &prepared, &model, acting, &base[..cause_blocks.min(base.len())], cancel)?;
    let by_person = |of: fn(&Sampled) -> &Vec<Vec<u32>>| -> Vec<Vec<u32>> {
        (0..net.set.workers.len()).map(|p| base.iter().flat_map(|s| of(s)[p].iter().copied()).collect()).collect()
    };
    let (paid, overtime) = (by_person(|s| &s.paid), by_person(|s| &s.overtime));
    let origin = net.set.origin;
    Ok(Forecast { seed: o.seed, trials, clean_run, finish, sorted, labor, paid, overtime, causes, on_date, origin })
}

/// When each of the first `trials` trials ends (whole blocks of 500), and nothing else of them: the
/// finishes of [`forecast`]. None where it was stopped.
///
/// # Errors
/// [`Stuck`] when the order cannot be carried out in some world.
pub fn finishes(
    job: &Job,
    net: &Net,
    order: &Order,
    (seed, trials): (u64, usize),
    columns: &Columns,
    cancel: &(dyn Fn() -> bool + Sync),
) -> Result<Option<Vec<i64>>, Stuck> {
    let model = Model::with(job, net, seed, columns);
    let (acting, prepared) = (Acting::of(job), Prepared::new(net, order));
    let mut out = Vec::with_capacity(trials);
    for k in 0..trials.div_ceil(BLOCK) {
        if cancel() {
            return Ok(None);
        }
        let block = Block::new(&model, net, k as u32);
        for part in 0..PARTS {
            if cancel() {
                return Ok(None);
            }
            out.extend(sample(net, &prepared, &model, &block, part, acting, false)?.finish);
        }
    }
    Ok(Some(out))
}

/// Parts put together to blocks, up to the first block that is not whole.
fn whole_blocks(parts: Vec<Option<Result<Sampled, Stuck>>>) -> Vec<Result<Sampled, Stuck>> {
    let mut out = Vec::new();
    let mut parts = parts.into_iter();
    loop {
        let block: Vec<Result<Sampled, Stuck>> = parts.by_ref().take(PARTS).map_while(|p| p).collect();
        if block.len() < PARTS {
            return out;
        }
        out.push(block.into_iter().collect::<Result<Vec<_>, _>>().map(|parts| {
            let mut whole = Sampled::default();
            for p in parts {
                whole.finish.extend(p.finish);
                whole.labor.extend(p.labor);
                whole.paid.resize(p.paid.len(), Vec::new());
                whole.paid.iter_mut().zip(p.paid).for_each(|(a, b)| a.extend(b));
                whole.overtime.resize(p.overtime.len(), Vec::new());
                whole.overtime.iter_mut().zip(p.overtime).for_each(|(a, b)| a.extend(b));
                whole.on_date.resize(p.on_date.len(), 0);
                whole.on_date.iter_mut().zip(p.on_date).for_each(|(a, b)| *a += b);
            }
            whole
        }));
    }
}

/// The trials of one part of a block.
fn sample(
    net: &Net,
    order: &Prepared,
    m: &Model,
    b: &Block,
    part: usize,
    acting: Acting,
    trace: bool,
) -> Result<Sampled, Stuck> {
    let mut w = Drawn::new(m, net, acting);
    let mut st = State::default();
    let people = if trace { net.set.workers.len() } else { 0 };
    let none = vec![Vec::with_capacity(BLOCK / PARTS); people];
    let on_date = vec![0; net.present.len()];
    let mut out = Sampled { on_date, paid: none.clone(), overtime: none, ..Sampled::default() };
    let mut seen = vec![0; net.present.len()];
    for i in part * BLOCK / PARTS..(part + 1) * BLOCK / PARTS {
        w.set(net, b, i);
        order.run(&mut w, &mut st)?;
        out.finish.push(finish(net, &st));
        out.labor.push(st.labor_min);
        if trace {
            trace_back(net, &st, i as u32 + 1, &mut seen, &mut out.on_date);
            pay(net, &mut w, &st, &mut out);
        }
    }
    Ok(out)
}

/// Adds what each of the crew is paid for in a trial.
fn pay(net: &Net, w: &mut Drawn, st: &State, out: &mut Sampled) {
    out.paid.iter_mut().chain(&mut out.overtime).for_each(|v| v.push(0));
    for r in &st.runs {
        let step = &net.graph.steps[r.step];
        let gang = Gang { people: r.people, beside: 0, beside_noisy: 0, place: step.place, noisy: step.flags.noisy };
        let minutes = gang.paid(net, w, r).max(0) as u32;
        for p in bits(r.people) {
            if let (Some(paid), Some(over)) = (out.paid[p].last_mut(), out.overtime[p].last_mut()) {
                *paid += minutes;
                *over += r.overtime.max(0) as u32;
            }
        }
    }
}

/// When steps begin in the trials of the first block: per step asked for, a minute a trial,
/// earliest first. A step some trial does not have counts as begun at its end of time.
///
/// # Errors
/// [`Stuck`] when the order cannot be carried out in some world.
pub fn begins(job: &Job, net: &Net, order: &Order, seed: u64, steps: &[usize]) -> Result<Vec<Vec<i64>>, Stuck> {
    let model = Model::new(job, net, seed);
    let prepared = Prepared::new(net, order);
    let block = Block::new(&model, net, 0);
    let mut w = Drawn::new(&model, net, Acting::of(job));
    let mut st = State::default();
    let mut out = vec![Vec::with_capacity(BLOCK); steps.len()];
    for i in 0..BLOCK {
        w.set(net, &block, i);
        prepared.run(&mut w, &mut st)?;
        out.iter_mut().zip(steps).for_each(|(v, &s)| v.push(st.begun[s]));
    }
    out.iter_mut().for_each(|v| v.sort_unstable());
    Ok(out)
}

/// When groups of steps are all done in the trials of the first block: per group a minute a trial, earliest first; of a
/// trial the steps that are in it count.
///
/// # Errors
/// [`Stuck`] when the order cannot be carried out in some world.
pub fn ends(job: &Job, net: &Net, order: &Order, seed: u64, groups: &[Vec<usize>]) -> Result<Vec<Vec<i64>>, Stuck> {
    let model = Model::new(job, net, seed);
    let prepared = Prepared::new(net, order);
    let block = Block::new(&model, net, 0);
    let mut w = Drawn::new(&model, net, Acting::of(job));
    let mut st = State::default();
    let mut out = vec![Vec::with_capacity(BLOCK); groups.len()];
    for i in 0..BLOCK {
        w.set(net, &block, i);
        prepared.run(&mut w, &mut st)?;
        for (v, group) in out.iter_mut().zip(groups) {
            v.extend(group.iter().filter(|&&s| st.active[s]).map(|&s| st.ended[s]).max());
        }
    }
    out.iter_mut().for_each(|v| v.sort_unstable());
    Ok(out)
}

/// Counts the steps on the chain that led to the finish, each once a trial: `seen` holds the
/// last trial each was counted in.
fn trace_back(net: &Net, st: &State, trial: u32, seen: &mut [u32], on_date: &mut [u32]) {
    let mut mark = |s: usize| {
        let new = std::mem::replace(&mut seen[s], trial) != trial;
        on_date[s] += u32::from(new);
        new
    };
    let last = st.runs.iter().max_by_key(|r| (r.to, std::cmp::Reverse(r.step)));
    let Some(mut run) = last else {
        // No labor at all: walk the network by its latest need.
        let mut s =
            (0..net.present.len()).filter(|&s| st.active[s]).max_by_key(|&s| (st.ended[s], std::cmp::Reverse(s)));
        while let Some(x) = s.filter(|&x| mark(x)) {
            s = st.ready_by[x];
        }
        return;
    };
    for _ in 0..4 * (st.runs.len() + net.present.len()) {
        mark(run.step);
        let mut next = run.after;
        // Gates have no run: go on from what they waited for.
        while let Some(x) = next {
            if net.labor(x) && st.last_run(x).is_some() {
                break;
            }
            mark(x);
            next = st.ready_by[x].filter(|&y| y != x);
        }
        let Some(x) = next else { return };
        // Runs of a step lie one after the other: the last that began before this one.
        let mut before = st.last_run(x);
        while let Some(r) = before.filter(|r| r.from >= run.from) {
            before = r.earlier.map(|i| &st.runs[i as usize]);
        }
        match before {
            Some(r) => run = r,
            None => return,
        }
    }
}

/// Paired removal of each cause at the unrounded 80 % date, in working days.
fn causes(
    net: &Net,
    order: &Prepared,
    m: &Model,
    acting: Acting,
    base: &[Sampled],
    cancel: &(dyn Fn() -> bool + Sync),
) -> Result<Vec<Cause>, Stuck> {
    if base.is_empty() {
        return Ok(Vec::new());
    }
    let (clock, day) = crew_clock(net.set);
    let days = |t: i64| clock.at(t) as f64 / UNIT as f64 / day;
    let p80 = |v: &[i64]| {
        let mut v: Vec<f64> = v.iter().map(|&t| days(t)).collect();
        v.sort_by(f64::total_cmp);
        stats::quantile(&v, 0.8).unwrap_or(0.0)
    };
    let kinds: Vec<(String, Acting)> = CauseKind::ALL
        .iter()
        .filter(|k| acting.has(**k))
        .map(|k| (k.key().to_string(), acting.without(*k)))
        .chain([("together".to_string(), Acting::none())])
        .collect();
    let drawn: Vec<Block> = (0..base.len()).into_par_iter().map(|b| Block::new(m, net, b as u32)).collect();
    let parts: Vec<Option<Result<Sampled, Stuck>>> = (0..kinds.len() * base.len() * PARTS)
        .into_par_iter()
        .map(|i| {
            let (k, b, part) = (i / PARTS / base.len(), i / PARTS % base.len(), i % PARTS);
            (!cancel()).then(|| sample(net, order, m, &drawn[b], part, kinds[k].1, false))
        })
        .collect();
    let runs = whole_blocks(parts).into_iter().collect::<Result<Vec<_>, _>>()?;
    if runs.len() < kinds.len() * base.len() {
        return Ok(Vec::new());
    }
    let by_kind: Vec<Vec<&[i64]>> =
        runs.chunks(base.len()).map(|blocks| blocks.iter().map(|s| s.finish.as_slice()).collect()).collect();
    let whole: Vec<i64> = base.iter().flat_map(|s| s.finish.iter().copied()).collect();
    let base_p80 = p80(&whole);
    let mut out: Vec<Cause> = kinds
        .iter()
        .zip(&by_kind)
        .map(|((key, _), blocks)| {
            let without: Vec<i64> = blocks.iter().flat_map(|b| b.iter().copied()).collect();
            // The spread between blocks gives the error; they are alike by construction.
            let each = blocks.iter().zip(base).map(|(w, b)| p80(&b.finish) - p80(w));
            let moments = stats::Moments::of(each);
            let error = if blocks.len() > 1 {
                moments.error()
            } else {
                // One block has no spread between blocks: the paired differences stand in.
                let d = whole.iter().zip(&without).map(|(a, b)| days(*a) - days(*b));
                stats::normal_quantile_error(0.8, stats::Moments::of(d).sd, whole.len())
            };
            Cause { cause: key.clone(), days: base_p80 - p80(&without), error }
        })
        .collect();
    let together = out.pop();
    out.sort_by(|a, b| b.days.total_cmp(&a.days).then_with(|| a.cause.cmp(&b.cause)));
    out.extend(together);
    Ok(out)
}
