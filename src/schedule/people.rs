//! Whose hands: who is free for a step, how long he would need, his trips, whether what is left
//! of the shift allows a begin, and the people with the earliest expected end.

use super::dispatch::Dispatch;
use super::flat::flag;
use super::hours::{FAR, ceil, on, stretch};
use super::start::{No, Reserved};
use super::state::{NEVER, Running};
use super::{Gang, HELPED, Known, LEAST_LEFT, Net, SECOND_TRIP, World, bits};
use crate::clock::{DAY, DayShift, UNIT};

/// Workdays of somebody else missed, from which on a step may be taken over.
const MISSED: i64 = 2;

impl<W: World> Dispatch<'_, '_, W> {
    /// Expected labor left of the piece in hand, thousandths, picking up included.
    #[inline]
    pub(super) fn expected_left(&self, s: usize) -> i64 {
        let typ = self.net.typical[s];
        // A piece is begun whole: what earlier pieces took says nothing of it.
        let left = match self.net.flat.expected(s).get(self.st.piece[s] as usize) {
            Some(&piece) => piece,
            None => typ * 1000 - self.st.done[s],
        };
        // Past the expected hours a tenth of them is still expected.
        let left = if left > 0 { left } else { (typ * 100).max(1000) };
        left + self.st.pickup[s] * 1000
    }

    /// When the people would be done with the piece, by expected hours.
    fn expected_end(&mut self, s: usize, gang: Gang, trip: i64) -> i64 {
        let left = self.expected_left(s);
        self.by_expected(self.t, gang, trip, left)
    }

    /// The end of so much labor begun at `from`, as it was known then.
    fn by_expected(&mut self, from: i64, gang: Gang, trip: i64, left: i64) -> i64 {
        let mut known = Known { w: &mut *self.w, today: from.div_euclid(DAY) };
        let Some(arrived) = gang.after_minutes(self.net, &mut known, from, trip) else { return NEVER };
        gang.done_at(self.net, &mut known, arrived, left).unwrap_or(NEVER)
    }

    /// Works out when a run's people should be free.
    pub(super) fn expect(&mut self, r: &mut Running) -> i64 {
        if let Some(at) = r.expected {
            return at;
        }
        let at = self.by_expected(r.from, r.gang, r.trip, r.expected_left);
        r.expected = Some(at);
        at
    }

    pub(super) fn expected(&mut self, i: usize) -> i64 {
        let mut r = self.st.running[i];
        let at = self.expect(&mut r);
        self.st.running[i] = r;
        at
    }

    /// Minutes the piece is expected to need without pauses. While a helper is still to be there
    /// today a one-go piece must fit even if he joins the place.
    #[inline]
    fn expected_need(&mut self, s: usize, gang: Gang) -> i64 {
        if self.net.helpers == 0 {
            let rate = gang.rates(self.net).0;
            return if rate > 0 { ceil(self.expected_left(s), rate) } else { NEVER };
        }
        self.need_beside_helpers(s, gang)
    }

    fn need_beside_helpers(&mut self, s: usize, gang: Gang) -> i64 {
        let (alone, helped) = gang.rates(self.net);
        let one_go = self.net.graph.steps[s].flags.one_go;
        let may_join = one_go && gang.people & !self.net.helpers != 0 && self.helper_may_join(gang);
        let rate = match (may_join, gang.people & self.net.helpers != 0) {
            (true, false) => alone * HELPED / 1000,
            (false, false) if gang.beside != 0 => helped,
            _ => alone,
        };
        if rate <= 0 {
            return NEVER;
        }
        ceil(self.expected_left(s), rate)
    }

    /// Whether a helper outside the gang is on shift now or later today where it works.
    fn helper_may_join(&mut self, gang: Gang) -> bool {
        let day = self.t.div_euclid(DAY);
        let mut buf = DayShift::OFF;
        bits(self.net.helpers & !gang.people).any(|h| {
            let his = Gang::one(h, gang.place, false).day(self.net, self.w, day, &mut buf);
            his.stretches().iter().any(|x| day * DAY + i64::from(x.1) > self.t)
        })
    }

    /// Whether the stretch left allows a begin.
    fn fits(&mut self, s: usize, gang: Gang, trip: i64) -> bool {
        let stretch = gang.stretch(self.net, self.w, self.t);
        self.fits_in(s, gang, trip, stretch)
    }

    fn fits_in(&mut self, s: usize, gang: Gang, trip: i64, stretch: i64) -> bool {
        if stretch <= trip {
            return false;
        }
        let step = &self.net.graph.steps[s];
        let need = self.expected_need(s, gang);
        if trip + need <= stretch {
            return true;
        }
        if step.flags.one_go {
            return false;
        }
        let setup = if self.st.begun[s] == NEVER { step.setup_min } else { 0 };
        stretch - trip > setup.max(LEAST_LEFT)
    }

    /// Whether the same people may go straight on with the next piece.
    pub(super) fn may_go_on(&mut self, s: usize, people: u32) -> bool {
        let step = &self.net.graph.steps[s];
        if !self.clock_may(s) {
            return false;
        }
        let gang = Gang { people, beside: 0, beside_noisy: 0, place: step.place, noisy: step.flags.noisy };
        self.fits(s, gang, 0)
    }

    /// The base a worker is at today, and how often he has changed it; `None` before his
    /// first work of the day.
    fn at_base(&mut self, p: usize) -> Option<(usize, u32)> {
        let day = self.t.div_euclid(DAY);
        if let Some(r) = self.st.running.iter().find(|r| r.gang.people >> p & 1 == 1).copied()
            && let Some(place) = r.gang.place
        {
            let old = self.st.base[p];
            let changes = if old.0 == day { old.2 } else { 0 };
            if r.gang.worked(self.net, self.w, r.from.max(day * DAY), self.t).1 > 0 {
                return Some((self.net.set.spots[place].base, changes));
            }
        }
        let b = self.st.base[p];
        (b.0 == day).then_some((b.1, b.2))
    }

    /// Trip minutes for a worker to a place now; `None` where the day allows no more.
    #[inline]
    fn trip_for(&mut self, p: usize, place: Option<usize>) -> Option<i64> {
        match place {
            Some(place) if self.net.trips => self.trip_to(p, place),
            _ => Some(0),
        }
    }

    fn trip_to(&mut self, p: usize, place: usize) -> Option<i64> {
        let to = self.net.set.spots[place].base;
        match self.at_base(p) {
            None => Some(0),
            Some((b, _)) if b == to => Some(0),
            Some((b, changes)) => {
                let least = u32::from(!self.net.set.workers[p].stays(self.t.div_euclid(DAY)));
                if changes >= least && !self.nothing_here(p, b) {
                    return None;
                }
                if changes >= 2 {
                    return None;
                }
                Some(2 * (self.net.set.away[b] + self.net.set.away[to]))
            }
        }
    }

    /// Nothing he may do at this base can start for three and a half working hours.
    fn nothing_here(&self, p: usize, base: usize) -> bool {
        if self.st.running.iter().any(|r| r.gang.people >> p & 1 == 1) {
            return false;
        }
        for &s in self.st.front.iter().chain(&self.st.later) {
            let s = s as usize;
            let Some(place) = self.net.graph.steps[s].place else { continue };
            if self.net.who[s] >> p & 1 == 0 || self.net.set.spots[place].base != base {
                continue;
            }
            let mut at = self.st.ready[s].max(self.t);
            if let Some(e) = self.net.graph.steps[s].earliest {
                at = at.max(e.0);
            }
            if at >= NEVER {
                continue;
            }
            let clock = &self.net.set.workers[p].clock;
            if clock.progress(self.t, at) < SECOND_TRIP * UNIT {
                return false;
            }
        }
        true
    }

    /// Whether a person counts as free for `s` now.
    fn free_for(&self, p: usize, s: usize) -> bool {
        match self.st.running.iter().find(|r| r.gang.people >> p & 1 == 1) {
            None => true,
            Some(r) => self.p.rank[r.step] > self.p.rank[s] && self.may_set_down(r),
        }
    }

    /// Who may take over what these hands are at; nobody where it is done in one go, which is
    /// finished after hours, or where there are no other hands for it.
    fn others(&self, s: usize, people: u32) -> u32 {
        let who = self.p.who[s];
        let rest = if self.net.graph.steps[s].crew.fewest <= 1 { who & !people } else { who };
        let spare = who.count_ones() as usize > self.net.graph.steps[s].crew.fewest.max(1);
        if spare && !self.p.has(s, flag::ONE_GO) { rest } else { 0 }
    }

    /// The minute of a day from which on as many of `others` as the step asks for are there.
    fn opens(net: &Net, w: &mut impl World, s: usize, others: u32, day: i64) -> Option<i64> {
        let step = &net.graph.steps[s];
        let mut buf = DayShift::OFF;
        let mut at: Vec<i32> = bits(others)
            .filter_map(|o| {
                let g = Gang::one(o, step.place, step.flags.noisy);
                g.day(net, w, day, &mut buf).stretches().first().map(|x| x.0)
            })
            .collect();
        at.sort_unstable();
        at.get(step.crew.fewest.max(1) - 1).map(|&m| i64::from(m))
    }

    /// When what a run is at may be taken over because its hands stay away: at the close of
    /// their day where by the calendar they then miss [`MISSED`] workdays of others who may do
    /// it, else on the morning of that workday as it turns out.
    pub(super) fn gone(&mut self, r: &Running) -> i64 {
        let (since, end) = (r.since.div_euclid(DAY), r.end.div_euclid(DAY));
        if end - since <= MISSED {
            return NEVER;
        }
        let others = self.others(r.step, r.gang.people);
        if others == 0 {
            return NEVER;
        }
        let mut missed = 0;
        let mut buf = DayShift::OFF;
        let end = end.min(since + FAR);
        for day in since..end {
            let last = r.gang.day(self.net, self.w, day, &mut buf).stretches().last();
            if let Some(close) = last.map(|s| day * DAY + i64::from(s.1)).filter(|&at| at > r.since) {
                missed = 0;
                if close > self.t && self.away(r.step, r.gang, others, day, end) {
                    return close;
                }
                continue;
            }
            if let Some(at) = Self::opens(self.net, self.w, r.step, others, day) {
                missed += 1;
                let at = day * DAY + at;
                if missed >= MISSED && at > self.t {
                    return at;
                }
            }
        }
        NEVER
    }

    /// Whether by the calendar the hands miss, after `day` and before `end`, [`MISSED`]
    /// workdays of others in a row.
    fn away(&mut self, s: usize, gang: Gang, others: u32, day: i64, end: i64) -> bool {
        let mut known = Known { w: &mut *self.w, today: day };
        let mut missed = 0;
        let mut buf = DayShift::OFF;
        for d in day + 1..end {
            if gang.day(self.net, &mut known, d, &mut buf).minutes() > 0 {
                return false;
            }
            missed += i64::from(Self::opens(self.net, &mut known, s, others, d).is_some());
            if missed >= MISSED {
                return true;
            }
        }
        false
    }

    /// Whether these hands would have to leave it in the middle and stay away, where somebody
    /// else would be done with it sooner: it is left to him. For what may not be set down.
    fn leaves_it(&mut self, s: usize, gang: Gang, end: i64) -> bool {
        let (from, to) = (self.t.div_euclid(DAY), end.div_euclid(DAY));
        if to - from <= MISSED || self.p.has(s, flag::SET_DOWN) || self.net.graph.steps[s].crew.fewest > 1 {
            return false;
        }
        let others = self.others(s, gang.people);
        if others == 0 || !(from..to.min(from + FAR)).any(|day| self.away(s, gang, others, day, to)) {
            return false;
        }
        let left = self.expected_left(s);
        bits(others).any(|o| self.by_expected(self.t, Gang { people: 1 << o, ..gang }, 0, left) < end)
    }

    /// Whether the hands a step was left with the evening before stay away from now on, and
    /// somebody else may take it.
    pub(super) fn left_behind(&mut self, s: usize, people: u32) -> bool {
        let others = self.others(s, people);
        let step = &self.net.graph.steps[s];
        let gang = Gang { people, beside: 0, beside_noisy: 0, place: step.place, noisy: step.flags.noisy };
        let day = self.t.div_euclid(DAY);
        others != 0 && self.away(s, gang, others, day - 1, day + FAR)
    }

    /// The people with the earliest expected end among those who may begin now.
    pub(super) fn pick(&mut self, s: usize, reserved: Option<Reserved>) -> Result<(u32, i64), No> {
        let step = &self.net.graph.steps[s];
        let who = self.p.who[s];
        let k = step.crew.fewest;
        let day = self.t.div_euclid(DAY);
        let minute = self.t - day * DAY;
        if k == 1 && who & who.wrapping_sub(1) == 0 && who & self.net.flat.sure != 0 && reserved.is_none() {
            return self.pick_only(s, who.trailing_zeros() as usize, day, minute);
        }
        let mut free = 0u32;
        let mut busy_until = NEVER;
        let mut busy = 0u32;
        let mut buf = DayShift::OFF;
        for p in bits(who) {
            let g = Gang::one(p, step.place, step.flags.noisy);
            if !on(g.day(self.net, self.w, day, &mut buf), minute) {
                continue;
            }
            if self.free_for(p, s) {
                free |= 1 << p;
            } else if let Some(i) = self.st.running.iter().position(|r| r.gang.people >> p & 1 == 1) {
                busy |= 1 << p;
                if k > 1 {
                    busy_until = busy_until.min(self.expected(i));
                }
            }
        }
        if (free.count_ones() as usize) < k {
            return match free != 0 && (free | busy).count_ones() as usize >= k {
                true => Err(No::People { until: busy_until, place: None, who: free }),
                false => Err(No::Waits),
            };
        }
        let mut best: Option<(i64, u32, i64)> = None;
        if k > 2 {
            // With many hands only the first few in crew order are weighed against each other.
            let kept = bits(free).take(k + 6).fold(0, |m, p| m | 1 << p);
            free &= kept;
        }
        self.combos(free, k, 0, s, reserved, &mut best);
        match best {
            Some((_, people, trip)) => Ok((people, trip)),
            None => Err(No::Waits),
        }
    }

    /// What does not fit in the rest of a worker's stretch does not fit later in it either. Not so
    /// where a trip may fall away, or a helper may leave and the others go faster.
    fn too_late(&mut self, s: usize, p: usize, trip: i64) {
        if trip == 0 && self.net.helpers == 0 && self.net.graph.steps[s].crew.fewest == 1 {
            let on = self.next_on(p);
            let (late, until) = self.st.too_late[s];
            self.st.too_late[s] = if until > self.t { (late | 1 << p, until.min(on)) } else { (1 << p, on) };
        }
    }

    /// The same where one pair of hands is asked for and only one man may give it: nobody is
    /// weighed against him.
    fn pick_only(&mut self, s: usize, p: usize, day: i64, minute: i64) -> Result<(u32, i64), No> {
        if !self.free_for(p, s) {
            return Err(No::Waits);
        }
        let step = &self.net.graph.steps[s];
        let gang = Gang::one(p, step.place, step.flags.noisy);
        let mut buf = DayShift::OFF;
        let own = gang.day(self.net, self.w, day, &mut buf);
        if !on(own, minute) {
            return Err(No::Waits);
        }
        let stretch = stretch(own, minute);
        let Some(trip) = self.trip_for(p, step.place) else { return Err(No::Waits) };
        if !self.fits_in(s, gang, trip, stretch) {
            self.too_late(s, p, trip);
            return Err(No::Waits);
        }
        if self.p.has(s, flag::ENDS_BOUND) && self.st.begun[s] == NEVER {
            let end = self.expected_end(s, gang, trip);
            if end >= NEVER || !self.end_rules_may(s, end) {
                return Err(No::Waits);
            }
        }
        Ok((1 << p, trip))
    }

    /// Weighs every choice of `k` more people out of `left` beside `people`.
    fn combos(
        &mut self,
        left: u32,
        k: usize,
        people: u32,
        s: usize,
        reserved: Option<Reserved>,
        best: &mut Option<(i64, u32, i64)>,
    ) {
        if k == 0 {
            return self.weigh(people, s, reserved, best);
        }
        let mut left = left;
        while left.count_ones() as usize >= k {
            let first = left & left.wrapping_neg();
            left &= !first;
            self.combos(left, k - 1, people | first, s, reserved, best);
        }
    }

    /// Takes these people where they may begin and are done sooner than the best so far.
    fn weigh(&mut self, people: u32, s: usize, reserved: Option<Reserved>, best: &mut Option<(i64, u32, i64)>) {
        let step = &self.net.graph.steps[s];
        let mut trip = 0;
        for p in bits(people) {
            match self.trip_for(p, step.place) {
                Some(x) => trip = trip.max(x),
                None => return,
            }
        }
        let gang = Gang { people, beside: 0, beside_noisy: 0, place: step.place, noisy: step.flags.noisy };
        if !self.fits(s, gang, trip) {
            if people.count_ones() == 1 {
                self.too_late(s, people.trailing_zeros() as usize, trip);
            }
            return;
        }
        let end = self.expected_end(s, gang, trip);
        if end >= NEVER || self.st.begun[s] == NEVER && !self.end_rules_may(s, end) || self.leaves_it(s, gang, end) {
            return;
        }
        if let Some(r) = reserved {
            let there = r.place.is_some() && r.place == step.place || r.who & people != 0;
            if there && end > r.until {
                return;
            }
        }
        if best.is_none_or(|b| end < b.0) {
            *best = Some((end, people, trip));
        }
    }
}
