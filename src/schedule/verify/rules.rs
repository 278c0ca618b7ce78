//! Labor, gates, begins, needs, holds and recoat windows of one plan.

use super::recount::{Drying, Span, day_together, left_before_pause, together};
use super::{FaultKind, Judge, clock_face};
use crate::clock::{At, DAY, UNIT};
use crate::schedule::{HELPED, HoldUntil, LEAST_LEFT, LONG_PAUSE, PICK_UP, Run, Timed};
use crate::trade::Stage;
use crate::work::{Ask, Kind, Link, Role, WorkGraph};

impl<'a> Judge<'a> {
    pub(super) fn spans(&self, r: &Run) -> Vec<Span> {
        together(self.setting, &r.people, self.at(r.step), r.from.0, r.to.0)
    }

    /// Thousandths of labor that the minutes of a run after its trip hold, and those of its
    /// last minute.
    fn capacity(&self, r: &Run, spans: &[Span]) -> (i64, i64) {
        let mut trip = r.trip_min;
        let mut work: Vec<Span> = Vec::new();
        for &(a, b) in spans {
            let cut = trip.min(b - a);
            trip -= cut;
            if b > a + cut {
                work.push((a + cut, b));
            }
        }
        // Where a helper works in the same place the others are slowed.
        let helpers = self.setting.workers.iter().any(|w| w.helper);
        let place = self.step(r.step).place;
        let mut sum = 0;
        let mut last = 0;
        for &w in &r.people {
            let rate = self.setting.workers[w].rate;
            let helped = rate * HELPED / 1000;
            let mut with: Vec<Span> = Vec::new();
            for h in self.plan.runs.iter().filter(|h| h.from < r.to && h.to > r.from) {
                if !helpers || place.is_none() || self.step(h.step).place != place {
                    continue;
                }
                for &p in h.people.iter().filter(|&&p| p != w && self.setting.workers[p].helper) {
                    let (from, to) = (h.from.0.max(r.from.0), h.to.0.min(r.to.0));
                    with.extend(together(self.setting, &[p], self.at(h.step), from, to));
                }
            }
            let with = joined(with);
            for &(a, b) in &work {
                let slowed: i64 = with.iter().map(|&(x, y)| (y.min(b) - x.max(a)).max(0)).sum();
                sum += slowed * helped + (b - a - slowed) * rate;
            }
            if let Some(&(_, b)) = work.last() {
                last += if with.iter().any(|&(x, y)| x < b && b <= y) { helped } else { rate };
            }
        }
        (sum, last)
    }

    /// Labor of a step's runs, its pieces and pauses, or the length of a gate.
    pub(super) fn labor_and_gates(&mut self, i: usize, t: &Timed) {
        let typical = self.expected(i);
        if t.labor_min != typical {
            self.say(i, FaultKind::Labor, format!("planned with {} min of labor, not {typical}", t.labor_min));
        }
        if !self.worked(i) {
            if !self.runs[i].is_empty() {
                self.say(i, FaultKind::Labor, "has no labor and is worked on".into());
            }
            return self.gate(i, t);
        }
        let runs = self.runs[i].clone();
        let (Some(first), Some(last)) = (runs.first(), runs.last()) else {
            return self.say(i, FaultKind::Labor, "is never worked on".into());
        };
        // A link on the ends may hold the end open after the last labor, to the minute.
        let end = self.held_end(i, last.to.0);
        if first.from != t.begin || t.end.0 != end {
            self.say(i, FaultKind::Shape, "its dates are not those of its runs".into());
        }
        let mut left: i64 = runs.iter().map(|r| r.labor_milli - r.pickup_min * 1000).sum();
        if left != typical * 1000 {
            let what = format!("{left} thousandths of a minute done of {}", typical * 1000);
            self.say(i, FaultKind::Labor, what);
        }
        for (k, r) in runs.iter().enumerate() {
            self.run(i, r, k, left);
            left -= r.labor_milli - r.pickup_min * 1000;
            if k > 0 && runs[k - 1].to > r.from {
                self.say(i, FaultKind::Busy, "is worked on twice at once".into());
            }
        }
        self.pieces(i, &runs, typical);
    }

    /// One run: its people, minutes, labor and begin; `left` is what the step still needs,
    /// picking up apart.
    fn run(&mut self, i: usize, r: &Run, k: usize, left: i64) {
        let s = self.step(i);
        let allowed = self.plan.order.people[i].as_ref();
        if r.people.len() < s.crew.fewest.max(1) || r.people.len() > s.crew.most.max(s.crew.fewest).max(1) {
            self.say(i, FaultKind::Crew, format!("{} people on it", r.people.len()));
        }
        for p in &r.people {
            if !s.crew.who.contains(p) || allowed.is_some_and(|a| !a.contains(p)) {
                self.say(i, FaultKind::Crew, format!("{} may not work on it", self.setting.workers[*p].id));
            }
        }
        if r.overtime_min != 0 {
            self.say(i, FaultKind::Overtime, format!("{} min after hours", r.overtime_min));
        }
        let spans = self.spans(r);
        if spans.first().is_none_or(|s| s.0 != r.from.0) {
            return self.say(i, FaultKind::Shift, format!("begun {}, off shift", clock_face(r.from.0)));
        }
        let done = self.runs[i].len() == k + 1 || s.flags.one_go;
        if done && spans.last().is_none_or(|s| s.1 != r.to.0) {
            self.say(i, FaultKind::Shift, format!("ended {}, off shift", clock_face(r.to.0)));
        }
        let (capacity, last) = self.capacity(r, &spans);
        if r.labor_milli > capacity || r.labor_milli + last.max(1) <= capacity {
            let what = format!("{} thousandths of labor in minutes that hold {capacity}", r.labor_milli);
            self.say(i, FaultKind::Labor, what);
        }
        // The trip at its head, not across a long pause.
        let mut trip = r.trip_min;
        for (n, &(a, b)) in spans.iter().enumerate() {
            if n > 0 && trip > 0 && a - spans[n - 1].1 > LONG_PAUSE {
                self.say(i, FaultKind::Trip, "the trip to it runs across a long pause".into());
            }
            trip = (trip - (b - a)).max(0);
        }
        if s.flags.one_go && spans.windows(2).any(|w| w[1].0 - w[0].1 > LONG_PAUSE) {
            self.say(i, FaultKind::Fit, format!("piece {} is left over a long pause", r.piece));
        }
        // Too little left of the shift, unless what remains of the piece fits.
        let least = LEAST_LEFT.max(if k == 0 { s.setup_min } else { 0 });
        let rest = if s.flags.one_go { r.labor_milli } else { left + r.pickup_min * 1000 };
        let there = left_before_pause(self.setting, &r.people, self.at(i), r.from.0, least + 1);
        let rate: i64 = r.people.iter().map(|&w| self.setting.workers[w].rate).sum();
        if there <= least && rest > (there - r.trip_min).max(0) * rate {
            self.say(i, FaultKind::LateStart, format!("begun {} with {there} min left", clock_face(r.from.0)));
        }
    }

    /// Pieces of a coat in order and of the right size; pauses only where allowed.
    fn pieces(&mut self, i: usize, runs: &[&Run], typical: i64) {
        let s = self.step(i);
        if s.flags.one_go {
            let total = (typical * 1000) as f64;
            for (k, r) in runs.iter().enumerate() {
                let share = s.pieces.get(k).copied().unwrap_or(0.0) * total;
                // A piece is cut to the whole minute at either end.
                if r.piece != k || (r.labor_milli as f64 - share).abs() > 1000.5 || r.pickup_min != 0 {
                    self.say(i, FaultKind::Labor, format!("run {k} is not its piece {k}"));
                }
            }
            if runs.len() != s.pieces.len() {
                self.say(i, FaultKind::Labor, format!("{} runs for {} pieces", runs.len(), s.pieces.len()));
            }
            for w in runs.windows(2) {
                self.between_pieces(i, w[0], w[1]);
            }
            return;
        }
        for (k, r) in runs.iter().enumerate() {
            if r.piece != 0 || r.pickup_min != if k == 0 { 0 } else { PICK_UP } {
                self.say(i, FaultKind::Labor, format!("{} min to pick it up again", r.pickup_min));
            }
        }
        if !s.flags.set_down && runs.windows(2).any(|w| !self.stays_away(i, w[0])) {
            self.say(i, FaultKind::SetDown, "is left in the middle and may not be set down".into());
        }
    }

    /// Whether those who left a step are next there after two workdays of others who may do it.
    fn stays_away(&self, i: usize, r: &Run) -> bool {
        let (s, at) = (self.step(i), self.at(i));
        let there = |who: &[usize], day: i64| !day_together(self.setting, who, at, day).stretches().is_empty();
        let spare = s.crew.who.iter().filter(|&p| s.crew.fewest > 1 || !r.people.contains(p));
        let others: Vec<usize> = spare.copied().collect();
        let mut missed = 0;
        // The longest anybody may be away by a calendar, days.
        for day in (r.to.0 - 1).div_euclid(DAY) + 1..(r.to.0 - 1).div_euclid(DAY) + 3_000 {
            if there(&r.people, day) {
                return false;
            }
            missed += usize::from(others.iter().filter(|&&p| there(&[p], day)).count() >= s.crew.fewest.max(1));
            if missed >= 2 {
                return true;
            }
        }
        false
    }

    /// Between two pieces somebody may turn to other work only if the next piece did not
    /// fit before the next long pause.
    fn between_pieces(&mut self, i: usize, r: &Run, next: &Run) {
        let turned = self.plan.runs.iter().any(|o| {
            o.step != i && o.from >= r.to && o.from < next.from && o.people.iter().any(|p| r.people.contains(p))
        });
        let rate: i64 = r.people.iter().map(|&w| self.setting.workers[w].rate * HELPED / 1000).sum();
        let need = (next.labor_milli + rate - 1) / rate.max(1);
        if turned && left_before_pause(self.setting, &r.people, self.at(i), r.to.0, need) >= need {
            self.say(i, FaultKind::SetDown, format!("left before piece {}, which fits", next.piece));
        }
    }

    /// When a step ends whose own time is over at `own`: then, or when the links to its end
    /// let it.
    fn held_end(&self, i: usize, own: i64) -> i64 {
        let held = self.links_to(i).filter_map(|(l, from)| match l.ask {
            Ask::EndAfterEnd => Some(from.end.0 + l.lag),
            Ask::EndAfterBegin => Some(from.begin.0 + l.lag),
            _ => None,
        });
        held.fold(own, i64::max)
    }

    /// A step nobody works on ends when its own time is over, or when the links to its end
    /// let it.
    fn gate(&mut self, i: usize, t: &Timed) {
        let s = self.step(i);
        let own = match &s.kind {
            Kind::Labor => t.begin.0,
            Kind::Elapsed(d) => t.begin.0 + d.typical(),
            Kind::Decision { at, .. } => at.0.max(t.begin.0),
            Kind::Business { minutes, .. } => self.business_end(t.begin.0, *minutes),
        };
        let end = self.held_end(i, own);
        if t.end.0 != end {
            let what = format!("ends {}, not {}", clock_face(t.end.0), clock_face(end));
            self.say(i, FaultKind::Gate, what);
        }
    }

    /// Business minutes counted day by day; each day is business or is not.
    fn business_end(&self, begin: i64, minutes: i64) -> i64 {
        let (mut left, mut t) = (minutes, begin);
        // A supplier who never works again shows as a wrong end.
        for _ in 0..100_000 {
            if left <= 0 {
                break;
            }
            let midnight = (t.div_euclid(DAY) + 1) * DAY;
            if self.setting.business.speed_at(t) > 0 {
                let step = left.min(midnight - t);
                left -= step;
                t += step;
                if left == 0 {
                    return t;
                }
            }
            t = t.max(midnight);
        }
        t
    }

    /// What binds the begin of a step apart from other steps.
    pub(super) fn begin_rules(&mut self, i: usize, t: &Timed) {
        let s = self.step(i);
        let b = t.begin.0;
        if s.earliest.is_some_and(|e| t.begin < e) {
            self.say(i, FaultKind::Earliest, format!("begun {}", clock_face(b)));
        }
        if !self.window_open(i, b) {
            self.say(i, FaultKind::Window, format!("begun {}", clock_face(b)));
        }
        if !self.dry_enough(i, b) {
            self.say(i, FaultKind::Humidity, format!("begun {}", clock_face(b)));
        }
        if !self.product_may(i, b) {
            self.say(i, FaultKind::Air, format!("put on {} in air its product does not dry in", clock_face(b)));
        }
    }

    fn weekday(&self, t: i64) -> usize {
        (self.setting.first_weekday + t.div_euclid(DAY)).rem_euclid(7) as usize
    }

    pub(super) fn window_open(&self, i: usize, t: i64) -> bool {
        let s = self.step(i);
        let (day, minute) = (t.div_euclid(DAY), t.rem_euclid(DAY));
        s.windows.is_empty()
            || s.windows
                .iter()
                .any(|w| w.day.map_or(w.days[self.weekday(t)], |d| d == day) && (w.from..w.to).contains(&minute))
    }

    pub(super) fn dry_enough(&self, i: usize, t: i64) -> bool {
        match (self.step(i).rh_below, self.step(i).place) {
            (Some(limit), Some(p)) => {
                let air = self.setting.spots[p].week.at(t.div_euclid(DAY), self.weekday(t), t.rem_euclid(DAY));
                air.rh() < limit
            }
            _ => true,
        }
    }

    pub(super) fn product_may(&self, i: usize, t: i64) -> bool {
        match (self.step(i).coat, self.step(i).place) {
            (Some(c), Some(p)) => {
                let air = self.setting.spots[p].week.at(t.div_euclid(DAY), self.weekday(t), t.rem_euclid(DAY));
                self.graph.products[c.product].dries_in(air)
            }
            _ => true,
        }
    }

    /// The stages of a coat, recounted.
    pub(super) fn coat(&mut self, i: usize, t: &Timed) {
        let (Some(c), Some(p)) = (self.step(i).coat, self.step(i).place) else {
            if !t.ready.is_empty() {
                self.say(i, FaultKind::Drying, "leaves no coat in a place".into());
            }
            return;
        };
        let damp = self.damp_for(i);
        let drying = Drying {
            product: &self.graph.products[c.product],
            spot: &self.setting.spots[p],
            first_weekday: self.setting.first_weekday,
            damp: &damp,
        };
        for stage in Stage::ALL {
            let said: Vec<At> = t.ready.iter().filter(|r| r.0 == stage).map(|r| r.1).collect();
            let real = drying.reached(stage, c.thick, self.laid(t));
            if said != real.map(At).into_iter().collect::<Vec<At>>() {
                let face = |t: Option<i64>| t.map_or("never".into(), clock_face);
                let what = format!("{stage:?} said {}, is {}", face(said.first().map(|a| a.0)), face(real));
                self.say(i, FaultKind::Drying, what);
            }
        }
    }

    /// Links into a step that bind under the plan's methods, with the earlier step's dates.
    pub(super) fn links_to(&self, i: usize) -> impl Iterator<Item = (&'a Link, &'a Timed)> + '_ {
        self.graph
            .links
            .iter()
            .filter(move |l| l.to == i && WorkGraph::holds(&l.when, &self.plan.order.methods))
            .filter_map(|l| Some((l, self.timed[l.from]?)))
    }

    pub(super) fn needs(&mut self) {
        for l in &self.graph.links {
            let (Some(a), Some(b)) = (self.timed[l.from], self.timed[l.to]) else { continue };
            if !WorkGraph::holds(&l.when, &self.plan.order.methods) {
                continue;
            }
            let (met, after) = match l.ask {
                Ask::Done => (b.begin, a.end.0),
                Ask::Dry(stage) => (b.begin, ready(a, stage, self.step(l.from).coat.is_some()).unwrap_or(i64::MAX / 2)),
                Ask::Begun => (b.begin, a.begin.0),
                Ask::EndAfterEnd => (b.end, a.end.0),
                Ask::EndAfterBegin => (b.end, a.begin.0),
            };
            let stage_missing = matches!(l.ask, Ask::Dry(s) if !self.has_stage(l.from, s));
            let after = if stage_missing { a.end.0 } else { after };
            if met.0 < after + l.lag {
                let what = format!("{} too soon after {}", clock_face(met.0), self.step(l.from).id);
                self.say(l.to, FaultKind::Need, what);
            }
        }
        for (x, s) in self.graph.steps.iter().enumerate() {
            if let (Role::Scuff { of }, Some(t)) = (&s.role, self.timed[x])
                && self.timed[*of].is_some_and(|o| o.begin < t.end)
            {
                self.say(*of, FaultKind::Need, "begun before its scuff-sanding is done".into());
            }
        }
    }

    /// Whether the coat a step leaves has a stage at all; absent ones are never waited for.
    pub(super) fn has_stage(&self, i: usize, stage: Stage) -> bool {
        let s = self.step(i);
        s.place.is_some() && s.coat.is_some_and(|c| self.graph.products[c.product].hours.hours(stage).is_some())
    }

    /// A hold binds; one of the search's may have lapsed, and then its step was free to
    /// begin for the whole of its patience.
    pub(super) fn holds(&mut self) {
        let plan = self.plan;
        for h in &plan.order.holds {
            let Some(x) = self.timed.get(h.step).copied().flatten() else { continue };
            let date = |s: usize| self.timed.get(s).copied().flatten();
            let until = match h.until {
                HoldUntil::Begun(s) => date(s).map_or(0, |t| t.begin.0),
                HoldUntil::Done(s) => date(s).map_or(0, |t| t.end.0),
                HoldUntil::At(at) => at.0,
            };
            let free = self.links_to(h.step).map(|(l, from)| match l.ask {
                Ask::Done => from.end.0 + l.lag,
                Ask::Begun => from.begin.0 + l.lag,
                Ask::Dry(s) => ready(from, s, true).unwrap_or(from.end.0) + l.lag,
                _ => 0,
            });
            let free = free.max().unwrap_or(0);
            let lapsed = h.wait.is_some_and(|w| x.begin.0 - free >= 2 * w + 60);
            if x.begin.0 < until && !lapsed {
                self.say(
                    h.step,
                    FaultKind::Hold,
                    format!("begun {}, held to {}", clock_face(x.begin.0), clock_face(until)),
                );
            }
        }
    }

    /// Scuff-sanding where a recoat window has passed, and only there. Within two minutes of
    /// the window, or where damp air decides, either is accepted.
    pub(super) fn recoat(&mut self) {
        for b in 0..self.graph.steps.len() {
            let Some(tb) = self.timed[b] else { continue };
            let scuffs: Vec<usize> = (0..self.graph.steps.len())
                .filter(|&x| self.step(x).role == Role::Scuff { of: b })
                .filter(|&x| WorkGraph::holds(&self.step(x).when, &self.plan.order.methods))
                .collect();
            if scuffs.is_empty() {
                continue;
            }
            let scuffed = scuffs.iter().filter_map(|&x| self.timed[x]).map(|t| t.begin.0).min();
            let judged = scuffed.unwrap_or(tb.begin.0);
            let (mut must, mut may) = (false, false);
            for (l, a) in self.links_to(b) {
                let (Some(h), Some(c), Some(p)) = (l.longest_h, self.step(l.from).coat, self.step(l.from).place) else {
                    continue;
                };
                let stage = if let Ask::Dry(s) = l.ask { s } else { Stage::Recoat };
                let limit = libm::round(h * 60.0) as i64 * UNIT;
                let damp = self.damp_for(l.from);
                let gone = |damp: &[Span]| {
                    let product = &self.graph.products[c.product];
                    let spot = &self.setting.spots[p];
                    Drying { product, spot, first_weekday: self.setting.first_weekday, damp }
                        .progress(stage, a.end.0, judged)
                };
                let (x, y) = (gone(&damp), gone(&[]));
                must |= x.min(y) > limit + 2 * UNIT;
                may |= x.max(y) > limit - 2 * UNIT;
            }
            match scuffed {
                None if must => self.say(b, FaultKind::Recoat, "its recoat window has passed".into()),
                Some(_) if !may => self.say(b, FaultKind::Recoat, "scuff-sanded within its recoat window".into()),
                _ => {}
            }
        }
    }
}

/// When a dated coat reaches a stage; without a coat, when its step ends.
fn ready(t: &Timed, stage: Stage, coat: bool) -> Option<i64> {
    if coat { t.ready.iter().find(|r| r.0 == stage).map(|r| r.1.0) } else { Some(t.end.0) }
}

fn joined(mut spans: Vec<Span>) -> Vec<Span> {
    spans.sort_unstable();
    let mut out: Vec<Span> = Vec::new();
    for (a, b) in spans {
        match out.last_mut() {
            Some(last) if a <= last.1 => last.1 = last.1.max(b),
            _ => out.push((a, b)),
        }
    }
    out
}
