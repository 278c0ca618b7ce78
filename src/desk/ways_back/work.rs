//! One way worked out: its job judged, an order looked for from the kept one, the trials drawn.

use super::super::chain::{carried, dispatched};
use super::super::{Cancel, Sound, judge};
use super::paid::{Side, lines};
use super::{Days, Lever, days_of};
use crate::clock::{At, UNIT};
use crate::forecast::columns::Columns;
use crate::forecast::finishes;
use crate::job::{Hold, Job, KeptOrder, Until, edited};
use crate::schedule::{Order, Plan};
use crate::search::{Bound, Found, keep, orders_from, steadiest_of};
use crate::waysback::CostLine;
use crate::work::WorkGraph;

/// An order found counts as shorter than the kept one from so many working minutes on.
const SHORTER: i64 = 30;

/// The job as it stands, which every way starts from.
pub(super) struct Ground<'a> {
    pub sound: &'a Sound,
    pub found: &'a Found,
    pub clock: Days,
    now: i64,
    columns: Columns,
}

/// A way worked out.
#[derive(Clone, Debug)]
pub struct Worked {
    pub levers: Vec<Lever>,
    pub cost: Vec<CostLine>,
    /// The job with it, its order kept.
    pub job: Job,
    pub plan: Plan,
    /// Finish of each trial.
    pub finish: Vec<i64>,
    pub schedules: usize,
}

impl<'a> Ground<'a> {
    pub fn new(sound: &'a Sound, found: &'a Found) -> Ground<'a> {
        let now = sound.job.as_of.map_or(0, |t| sound.job.at_of(t).0.max(0));
        Ground { sound, found, clock: days_of(sound), now, columns: Columns::default() }
    }

    /// Finishes of the kept order as it stands; nothing where it was stopped.
    pub fn stands(&self, trials: usize, cancel: Cancel) -> Option<Vec<i64>> {
        let net = self.sound.net(self.found);
        let (job, order) = (&self.sound.job, &self.found.plan.order);
        finishes(job, &net, order, (job.seed, trials), &self.columns, cancel).ok()?
    }

    /// Works levers out within so many schedules; `from` is the job of the same levers with an
    /// order found before. Nothing where they cannot be planned, or where it was stopped.
    pub fn work(
        &self,
        levers: &[Lever],
        schedules: usize,
        trials: usize,
        steady: bool,
        from: Option<&Job>,
        cancel: Cancel,
    ) -> Option<Worked> {
        if cancel() {
            return None;
        }
        let base = self.sound;
        let mut job = base.job.clone();
        for lever in levers {
            job = edited(&job, &lever.edits(&job, &base.graph));
        }
        let bare = Job { kept: self.holds(levers), ..job.clone() };
        let free = judge(&bare).ok()?;
        let fixed = self.fixed(&free);
        let mut kept = carried(base, &self.found.plan.order, &fixed);
        self.people(levers, &mut kept, &fixed);
        let stands = dispatched(&fixed, &kept).ok()?;
        let starts = self.starts(levers, &kept, &fixed, from);
        let all: Vec<&Order> = std::iter::once(&kept).chain(&starts).collect();
        let low = Bound { at: At(self.now), methods: fixed.graph.usual(), every_method: false };
        let tried = orders_from(&fixed.graph, &fixed.setting, &all, &fixed.holds, &low, schedules, cancel).ok()?;
        if tried.unfinished {
            return None;
        }
        let sooner = |at: At| {
            let worked = free.setting.workers.iter().map(|w| w.clock.progress(at.0, stands.plan.finish.0)).max();
            at < stands.plan.finish && worked.unwrap_or(0) >= SHORTER * UNIT
        };
        let first = tried.orders.first()?;
        let mut order = if sooner(first.0) { first.1.clone() } else { kept.clone() };
        if steady {
            let own = (stands.plan.finish, kept.clone());
            let mut near = vec![if sooner(first.0) { first.clone() } else { own.clone() }];
            let head = near[0].1.clone();
            near.extend(std::iter::once(own).chain(tried.orders.iter().cloned()).filter(|n| n.1 != head));
            let (best, whole) = steadiest_of(&bare, &fixed.graph, &fixed.setting, &near, cancel);
            if !whole {
                return None;
            }
            order = best.unwrap_or(order);
        }
        let found = if order == kept { stands } else { dispatched(&fixed, &order).ok()? };
        let net = fixed.net(&found);
        let what = (bare.seed, trials);
        let finish = finishes(&bare, &net, &found.plan.order, what, &self.columns, cancel).ok()??;
        let old = Side { job: &base.job, graph: &base.graph, setting: &base.setting, plan: &self.found.plan };
        let new = Side { job: &bare, graph: &free.graph, setting: &free.setting, plan: &found.plan };
        let cost = if levers.is_empty() { Vec::new() } else { lines(levers, &old, &new) };
        job.kept = Some(keep(&free.graph, &free.setting, &found.plan.order, &bare));
        Some(Worked { levers: levers.to_vec(), cost, job, plan: found.plan, finish, schedules: tried.schedules })
    }

    /// Finishes of a way worked out, in so many trials; its first ones are those it had.
    pub fn again(&self, job: &Job, trials: usize, cancel: Cancel) -> Option<Vec<i64>> {
        let sound = judge(job).ok()?;
        let found = sound.plan_until(false, cancel).ok()?;
        let (net, what) = (sound.net(&found), (job.seed, trials));
        finishes(job, &net, &found.plan.order, what, &self.columns, cancel).ok()?
    }

    /// The holds of the kept order, without steps that are done after the hand-over.
    fn holds(&self, levers: &[Lever]) -> Option<KeptOrder> {
        let job = &self.sound.job;
        let kept = job.kept.as_ref()?;
        let gone = |id: &String| {
            levers.iter().any(|l| match l {
                Lever::Later { room, surface, rows } => {
                    let (r, s) = (&job.rooms[*room], &job.rooms[*room].surfaces[*surface]);
                    let head = format!("{}/{}/", r.id, s.id);
                    id.strip_prefix(&head).is_some_and(|t| rows.iter().any(|x| t.split(['#', '+']).next() == Some(x)))
                }
                Lever::OwnLater { step } => job.steps.get(*step).is_some_and(|s| s.id == *id),
                _ => false,
            })
        };
        let stays = |h: &&Hold| !gone(&h.step) && !matches!(&h.until, Until::Begun(id) | Until::Done(id) if gone(id));
        let holds: Vec<Hold> = kept.holds.iter().filter(stays).cloned().collect();
        (!holds.is_empty()).then(|| KeptOrder { holds, ..KeptOrder::default() })
    }

    /// The job with every open choice at the option of the kept order.
    fn fixed(&self, free: &Sound) -> Sound {
        let (base, methods) = (&self.sound.graph, &self.found.plan.order.methods);
        let mut graph: WorkGraph = free.graph.clone();
        for c in graph.choices.iter_mut().filter(|c| c.fixed.is_none()) {
            let was = base.choices.iter().position(|b| b.id == c.id);
            let option = was.and_then(|b| base.choices[b].options.get(methods[b]));
            c.fixed = option.and_then(|o| c.options.iter().position(|x| x == o)).or(Some(0));
        }
        Sound { graph, ..free.clone() }
    }

    /// Whom the kept order restricts stays restricted, and a helper keeps out of what is not his.
    fn people(&self, levers: &[Lever], order: &mut Order, to: &Sound) {
        for (s, who) in self.found.plan.order.people.iter().enumerate().filter(|(_, w)| w.is_some()) {
            if let Some(x) = to.graph.find(&self.sound.graph.steps[s].id, &order.methods) {
                order.people[x].clone_from(who);
            }
        }
        let crew = self.sound.job.crew.len();
        for lever in levers {
            for s in lever.not_for_helper(&to.graph) {
                let step = &to.graph.steps[s];
                let own: Vec<usize> = step.crew.who.iter().copied().filter(|&p| p < crew).collect();
                // An order names people by the step's id: every variant of it must be able to keep to them.
                let most = to.graph.steps.iter().filter(|x| x.id == step.id).map(|x| x.crew.fewest).max();
                if order.people[s].is_none() && own.len() >= most.unwrap_or(0) && step.crew.fewest > 0 {
                    order.people[s] = Some(own);
                }
            }
        }
    }

    /// First orders beside the kept one: what the levers are about first, and an order of before.
    fn starts(&self, levers: &[Lever], kept: &Order, to: &Sound, from: Option<&Job>) -> Vec<Order> {
        let mut out = Vec::new();
        let first: Vec<usize> = levers.iter().flat_map(|l| l.first(&to.job, &to.graph)).collect();
        if !first.is_empty() {
            let (a, b): (Vec<usize>, Vec<usize>) = kept.order.iter().partition(|s| first.contains(s));
            let order = [a, b].concat();
            if order != kept.order {
                out.push(Order { order, ..kept.clone() });
            }
        }
        if let Some(k) = from.and_then(|j| j.kept.as_ref()) {
            let mut order: Vec<usize> = Vec::new();
            for s in k.order.iter().filter_map(|id| to.graph.find(id, &kept.methods)) {
                if !order.contains(&s) {
                    order.push(s);
                }
            }
            crate::search::place_missing(&to.net_of(&kept.methods), &mut order);
            if order != kept.order {
                out.push(Order { order, ..kept.clone() });
            }
        }
        out
    }

    /// Working days in which the crew as it is works by a plan, from now on, in its own hours: a
    /// mean of its people.
    pub fn worked(&self, plan: &Plan) -> f64 {
        let workers = &self.sound.setting.workers;
        let n = workers.len().max(1) as f64;
        let mut minutes = 0;
        for r in plan.runs.iter().filter(|r| r.to.0 > self.now) {
            for &p in r.people.iter().filter(|&&p| p < workers.len()) {
                minutes += workers[p].clock.progress(r.from.0.max(self.now), r.to.0.max(self.now)) / UNIT;
            }
        }
        minutes as f64 / n / self.clock.1
    }
}
