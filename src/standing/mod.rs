//! Where each step stands at an instant, by what was written up: facts, and nothing forecast.
//!
//! Read from the log of the job: what had begun, how long it took, how far it got, which gates
//! came. Entries of a day follow each other through the hours of those who worked, unless they
//! say when; a step ends when its hours are over, unless it says when. What is written up after
//! the instant asked for is not known yet.
//!
//! Units: minutes from midnight of the job's first day; labor in thousandths of a labor minute.
//! It refuses to know orders, rules and chances: facts that broke a rule stay facts.

use crate::clock::{At, DAY, DayShift};
use crate::job::{Job, LostTime, Worked};
use crate::work::{Kind, WorkGraph};

/// Days a weekend with a day beside it bridges.
const WEEKEND: i64 = 3;

/// What is known of one step.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stands {
    pub begun: Option<At>,
    /// Finished; a gate has come.
    pub ended: Option<At>,
    /// Labor spent so far, at the rates of those who worked.
    pub spent_milli: i64,
    /// Share of the step done, where it was measured last.
    pub share: Option<f64>,
    /// A gate not here yet: when it is now said to come.
    pub coming: Option<At>,
}

impl Stands {
    /// Begun and not finished.
    pub fn open(&self) -> bool {
        self.begun.is_some() && self.ended.is_none()
    }
}

/// A stretch of work that was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretch {
    pub step: usize,
    pub from: At,
    pub to: At,
    /// Bits of the job's crew.
    pub people: u32,
    pub labor_milli: i64,
}

/// What is known of the work at an instant.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Standing {
    /// Rules bind what begins from here on.
    pub as_of: At,
    /// By step of the graph.
    pub steps: Vec<Stands>,
    /// In order of begin.
    pub past: Vec<Stretch>,
    /// Per person: out on the last workday, with something that lasts.
    pub ill: Vec<bool>,
    /// Days gone by on which somebody should have worked and nothing is written up.
    pub open: Vec<i64>,
    /// Options that were begun with, by choice of the graph.
    pub methods: Vec<Option<usize>>,
    /// Expected labor minutes of each step by what has been learned since, spent hours
    /// included; empty while nothing has.
    pub expected: Vec<i64>,
}

/// The people as the facts need them.
pub trait Hands {
    /// A person's hours on a day, lost time out.
    fn shift(&self, person: usize, day: i64) -> DayShift;
    /// Thousandths of a labor minute a minute.
    fn rate(&self, person: usize) -> i64;
    /// Whether he is a helper: the others at work in his place are slowed.
    fn helper(&self, person: usize) -> bool;
    /// To so many thousandths.
    fn helped(&self) -> i64;
}

impl Standing {
    /// Whether any work is known of.
    pub fn begun(&self) -> bool {
        !self.past.is_empty() || self.steps.iter().any(|s| s.begun.is_some() || s.ended.is_some())
    }

    /// Reads what was written up before `as_of`; `None` where nothing was and the job has not
    /// begun by then.
    pub fn read(job: &Job, graph: &WorkGraph, hands: &impl Hands, as_of: At) -> Option<Standing> {
        if as_of.0 <= 0 && job.log.is_empty() {
            return None;
        }
        let mut out = Standing {
            as_of: At(as_of.0.max(0)),
            steps: vec![Stands::default(); graph.steps.len()],
            ill: vec![false; job.crew.len()],
            methods: vec![None; graph.choices.len()],
            ..Standing::default()
        };
        let likely = likely(job, graph);
        for d in &job.log {
            let day = job.day_of(d.day);
            let mut free = vec![day * DAY; job.crew.len()];
            for w in &d.steps {
                let Some(s) = out.which(graph, &likely, &w.step) else { continue };
                out.worked(job, graph, hands, (day, s), w, &mut free);
            }
        }
        out.past.sort_by_key(|s| (s.from, s.step));
        out.beside(graph, hands);
        out.lost(job, hands);
        Some(out)
    }

    /// Takes one entry of a day in.
    fn worked(
        &mut self,
        job: &Job,
        graph: &WorkGraph,
        hands: &impl Hands,
        (day, s): (i64, usize),
        w: &Worked,
        free: &mut [i64],
    ) {
        let step = &graph.steps[s];
        let at = |hm: crate::job::Hm| day * DAY + hm.0;
        if !matches!(step.kind, Kind::Labor) || step.crew.fewest == 0 {
            let when = w.at.or(w.from).map_or(day * DAY, at);
            if w.done && when < self.as_of.0 {
                let st = &mut self.steps[s];
                st.begun.get_or_insert(At(when));
                (st.ended, st.coming) = (Some(At(when)), None);
            } else if let (Some(c), true) = (w.coming, day * DAY <= self.as_of.0) {
                self.steps[s].coming = Some(At(job.day_of(c) * DAY));
            }
            return;
        }
        let mut people: Vec<usize> = w.who.iter().filter_map(|id| job.crew.iter().position(|p| p.id == *id)).collect();
        if people.is_empty() {
            people.extend(step.crew.who.iter().take(step.crew.fewest));
        }
        let minutes = libm::round(w.hours.max(0.0) * 60.0) as i64;
        let after = people.iter().map(|&p| free[p]).max().unwrap_or(day * DAY);
        let from = match (w.from, w.at) {
            (Some(f), _) => at(f),
            (None, Some(end)) => (at(end) - minutes).max(after.min(at(end))),
            (None, None) => people.first().map_or(after, |&p| on_from(hands.shift(p, day), after, day)),
        };
        let to = match w.at {
            Some(end) if at(end) >= from => at(end),
            _ => people.first().map_or(from, |&p| after_minutes(hands.shift(p, day), from, minutes, day)),
        };
        people.iter().for_each(|&p| free[p] = to);
        if from >= self.as_of.0 {
            return;
        }
        // Of what is still going on only the part before now is known.
        let over = to <= self.as_of.0;
        let so_far = |p: &usize| minutes_by(hands.shift(*p, day), from, self.as_of.0, day);
        let known = if over { minutes } else { people.first().map_or(self.as_of.0 - from, so_far) };
        let helped = people.iter().any(|&p| hands.helper(p));
        let rate =
            |p: usize| if helped && !hands.helper(p) { hands.rate(p) * hands.helped() / 1000 } else { hands.rate(p) };
        let rate: i64 = people.iter().map(|&p| rate(p)).sum();
        let st = &mut self.steps[s];
        st.begun = Some(At(st.begun.map_or(from, |b| b.0.min(from))));
        st.spent_milli += known.min(minutes) * rate;
        if over {
            st.share = w.share.or(st.share.filter(|_| minutes == 0));
            st.ended = w.done.then_some(At(to));
        }
        let labor_milli = known.min(minutes) * rate;
        let bits = people.iter().fold(0, |m, &p| m | 1 << p);
        if minutes > 0 {
            let to = At(to.min(self.as_of.0));
            self.past.push(Stretch { step: s, from: At(from), to, people: bits, labor_milli });
        }
    }

    /// Who worked in one place with a helper did less in the time.
    fn beside(&mut self, graph: &WorkGraph, hands: &impl Hands) {
        let helps = |p: u32| (0..32).any(|i| p >> i & 1 == 1 && hands.helper(i));
        let place = |s: usize| graph.steps[s].place;
        for i in 0..self.past.len() {
            let x = self.past[i];
            if helps(x.people) || place(x.step).is_none() {
                continue;
            }
            let with = |y: &&Stretch| helps(y.people) && place(y.step) == place(x.step);
            // Minutes of a stretch that all these people were on shift.
            let on = |people: u32, a: i64, b: i64| {
                let day = a.div_euclid(DAY);
                let cut = DayShift::new(&[(a - day * DAY, b - day * DAY)]);
                let all = (0..32).filter(|p| people >> p & 1 == 1).fold(cut, |s, p| s.and(&hands.shift(p, day)));
                all.minutes()
            };
            let shared = |y: &Stretch| {
                let (a, b) = (y.from.0.max(x.from.0), y.to.0.min(x.to.0));
                if b > a { on(x.people | y.people, a, b) } else { 0 }
            };
            let minutes: i64 = self.past.iter().filter(with).map(shared).sum();
            let share = minutes as f64 / on(x.people, x.from.0, x.to.0).max(1) as f64;
            let slower = share.min(1.0) * (1000 - hands.helped()) as f64 / 1000.0;
            let less = libm::round(x.labor_milli as f64 * slower) as i64;
            self.past[i].labor_milli -= less;
            self.steps[x.step].spent_milli -= less;
        }
    }

    /// The step of an id, of the method it was begun with; the method is settled by that.
    fn which(&mut self, graph: &WorkGraph, likely: &[usize], id: &str) -> Option<usize> {
        let fits = |s: usize| graph.steps[s].when.iter().all(|&(c, o)| self.methods[c].is_none_or(|m| m == o));
        let all: Vec<usize> = (0..graph.steps.len()).filter(|&s| graph.steps[s].id == id).collect();
        let s = *all
            .iter()
            .find(|&&s| fits(s) && WorkGraph::holds(&graph.steps[s].when, likely))
            .or_else(|| all.iter().find(|&&s| fits(s)))
            .or(all.first())?;
        for &(c, o) in &graph.steps[s].when {
            self.methods[c].get_or_insert(o);
        }
        Some(s)
    }

    /// Days nobody wrote up, and who is ill now.
    fn lost(&mut self, job: &Job, hands: &impl Hands) {
        let whole = self.as_of.0.div_euclid(DAY);
        let someone = |d: i64| (0..job.crew.len()).any(|p| hands.shift(p, d).minutes() > 0);
        let told = |d: i64| job.log.iter().any(|x| job.day_of(x.day) == d && !x.news_only());
        self.open = (0..whole).filter(|&d| someone(d) && !told(d)).collect();
        let yesterday = (self.as_of.0 - 1).div_euclid(DAY);
        for (p, person) in job.crew.iter().enumerate() {
            let mut since = (0..=yesterday).rev().take_while(|&d| hands.shift(p, d).minutes() == 0);
            let out = |d: i64, any: bool| {
                let date = job.date_of(d);
                let what = |l: &LostTime| (any || l.cause.lasts()) && l.hours.is_none();
                job.lost.iter().any(|l| what(l) && l.of(&person.id) && l.on(date))
            };
            // Of days on end the last one lost tells: who was well enough to be kept away by another cause is well.
            let latest = since.find(|&d| out(d, true));
            // Who said of a later day too that he is out then has said when he is back.
            let said = |l: &LostTime| {
                let (from, last) = (job.day_of(l.from), job.day_of(l.last()));
                l.cause.lasts()
                    && l.hours.is_none()
                    && l.of(&person.id)
                    && from <= yesterday + WEEKEND
                    && last > yesterday
            };
            self.ill[p] = latest.is_some_and(|d| out(d, false)) && !job.lost.iter().any(said);
        }
    }
}

/// The methods of the kept order, else the usual ones.
fn likely(job: &Job, graph: &WorkGraph) -> Vec<usize> {
    let mut out = graph.usual();
    for (choice, option) in job.kept.iter().flat_map(|k| &k.methods) {
        if let Some(c) = graph.choices.iter().position(|c| c.id == *choice && c.fixed.is_none())
            && let Some(o) = graph.choices[c].options.iter().position(|x| x == option)
        {
            out[c] = o;
        }
    }
    out
}

/// The first minute from `t` on that is on shift that day, `t` itself where none is left.
fn on_from(shift: DayShift, t: i64, day: i64) -> i64 {
    let m = t - day * DAY;
    shift.from(m).stretches().first().map_or(t, |s| day * DAY + i64::from(s.0).max(m))
}

/// Minutes of work done by `now` since `t`: those on shift, then those right after it.
fn minutes_by(shift: DayShift, t: i64, now: i64, day: i64) -> i64 {
    let (mut done, mut at) = (0, t);
    for s in shift.from(t - day * DAY).stretches() {
        let (a, b) = (day * DAY + i64::from(s.0), day * DAY + i64::from(s.1));
        if now <= a {
            return done;
        }
        done += now.min(b) - a.max(at);
        at = b;
    }
    done + (now - at).max(0)
}

/// The minute at which so many minutes on shift are over from `t`; what does not fit into the
/// day's hours was worked right after them.
fn after_minutes(shift: DayShift, t: i64, minutes: i64, day: i64) -> i64 {
    let (mut left, mut at) = (minutes, t);
    for s in shift.from(t - day * DAY).stretches() {
        let (a, b) = (day * DAY + i64::from(s.0), day * DAY + i64::from(s.1));
        // Hours begun off shift run on until the shift does.
        if left <= b - a.max(at) {
            return a.max(at) + left;
        }
        left -= b - a.max(at);
        at = b;
    }
    at + left
}
