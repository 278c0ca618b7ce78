//! Steps of the user's own, with their methods and needs.

use super::{Builder, When, ask, names};
use crate::job::{Duration, Hands, Need, OwnStep, Scheme};
use crate::trade::Leaves;
use crate::work::{Choice, Crew, HourTerm, Kind, Role, Spread, Step};

impl Builder<'_> {
    /// Every own step with its variants.
    pub(super) fn own_steps(&mut self) {
        for i in 0..self.job.steps.len() {
            let variants = if self.job.steps[i].later { Vec::new() } else { self.own_step(i) };
            self.own.push(variants);
        }
    }

    fn own_step(&mut self, index: usize) -> Vec<usize> {
        let job = self.job;
        let o = &job.steps[index];
        let path = format!("steps[{index}]");
        if o.id.is_empty() {
            self.problem(&path, "a step of your own needs an id", "give it a short id, other steps name it by that");
        }
        let room = job.rooms.iter().position(|r| r.id == o.room);
        if room.is_none() && !o.room.is_empty() {
            let remedy = names::hint(&o.room, job.rooms.iter().map(|r| r.id.as_str()), "name a room of this job");
            self.problem(format!("{path}.room"), format!("there is no room \"{}\"", o.room), remedy);
        }
        let place_id =
            if !o.place.is_empty() { o.place.as_str() } else { room.map_or("", |r| job.rooms[r].place.as_str()) };
        let mut place = job.places.iter().position(|p| p.id == place_id);
        if place.is_none() && !o.place.is_empty() {
            let remedy = names::hint(&o.place, job.places.iter().map(|p| p.id.as_str()), "name a place of this job");
            self.problem(format!("{path}.place"), format!("there is no place \"{}\"", o.place), remedy);
        }
        if place.is_none() && o.place.is_empty() && o.hands.fewest > 0 && job.places.len() == 1 {
            place = Some(0);
        }
        let (choice, options): (Option<usize>, Vec<Option<usize>>) = if o.methods.is_empty() {
            (None, vec![None])
        } else {
            let c = self.graph.choices.len();
            let options: Vec<String> = o.methods.iter().map(|m| m.id.clone()).collect();
            for (k, m) in options.iter().enumerate() {
                if m.is_empty() || options[..k].contains(m) {
                    let at = format!("{path}.methods[{k}].id");
                    self.problem(at, "every method of a step needs an id of its own", "give it a short id");
                }
            }
            let fixed = (options.len() == 1).then_some(0);
            self.graph.choices.push(Choice { id: o.id.clone(), name: o.name.clone(), options, fixed });
            (Some(c), (0..o.methods.len()).map(Some).collect())
        };
        options
            .into_iter()
            .map(|k| {
                let when = choice.zip(k).map_or(Vec::new(), |(c, k)| vec![(c, k)]);
                self.variant(index, k, when, room, place, &path)
            })
            .collect()
    }

    fn variant(
        &mut self,
        index: usize,
        method: Option<usize>,
        when: When,
        room: Option<usize>,
        place: Option<usize>,
        path: &str,
    ) -> usize {
        let job = self.job;
        let o = &job.steps[index];
        let m = method.map(|k| &o.methods[k]);
        let at = method.map_or(path.to_string(), |k| format!("{path}.methods[{k}]"));
        let hands = m.and_then(|m| m.hands.as_ref()).unwrap_or(&o.hands);
        let (spread, terms, own_history) = match m.and_then(|m| m.hours) {
            Some(h) => (self.triple(h, &format!("{at}.hours")).unwrap_or(Spread::ZERO), Vec::new(), false),
            None => self.own_hours(o, hands.fewest > 0, path),
        };
        let setup = o.setup_min.max(0);
        if o.setup_min < 0 || (o.rate.is_none() && setup as f64 > spread.typ && hands.fewest > 0) {
            let what = "set-up is longer than the whole step";
            self.problem(format!("{path}.setup_min"), what, "set-up is part of the hours given");
        }
        let leaves: Option<&Leaves> = m.and_then(|m| m.leaves.as_ref()).or(o.leaves.as_ref());
        let coat = leaves.and_then(|l| self.coat(l, &format!("{at}.leaves")));
        if coat.is_some() && place.is_none() {
            let what = format!("step \"{}\" leaves something to dry, but in no place", o.id);
            self.problem(path, what, "say its place");
        }
        let crew = self.own_crew(hands, &o.id, &format!("{at}.hands"));
        let labor = hands.fewest > 0;
        let flags = m.and_then(|m| m.flags).unwrap_or(o.flags);
        let n = if flags.one_go { o.pieces.clamp(1, 500) } else { 1 };
        let (kind, labor) = if labor {
            (
                Kind::Labor,
                if o.rate.is_some() && m.is_none_or(|m| m.hours.is_none()) {
                    spread.plus(setup as f64)
                } else {
                    spread
                },
            )
        } else {
            (Kind::Elapsed(spread), Spread::ZERO)
        };
        let step = Step {
            id: o.id.clone(),
            name: if o.name.is_empty() { o.id.clone() } else { o.name.clone() },
            room: o.room.clone(),
            surface: o.surface.clone(),
            place,
            kind,
            role: Role::Plain,
            labor,
            setup_min: if kind == Kind::Labor { setup } else { 0 },
            terms,
            pieces: vec![1.0 / f64::from(n); n as usize],
            crew,
            coat,
            flags,
            racks: o.racks,
            pools: Vec::new(),
            rh_below: None,
            earliest: o.earliest.map(|t| job.at_of(t)),
            windows: self.windows(&o.windows),
            when,
            trade: o.trade.clone(),
            fit_up: o.fit_up,
            own_history,
            origin: path.to_string(),
        };
        let key = (room.unwrap_or(job.rooms.len()), 8000, index * 100 + method.unwrap_or(0) * 4);
        let step = self.push(step, key);
        if let Some((chance, share)) = o.redo {
            if !((0.0..=1.0).contains(&chance) && share > 0.0 && share <= 10.0) {
                let what = "a redo is a chance from 0 to 1 and a share of the hours above 0";
                self.problem(format!("{path}.redo"), what, "write redo: (0.1, 0.3)");
            } else {
                self.redo(step, chance, share, "own");
            }
        }
        step
    }

    /// Hours, duration or quantity times rate: exactly one of them.
    fn own_hours(&mut self, o: &OwnStep, hands: bool, path: &str) -> (Spread, Vec<HourTerm>, bool) {
        let given = usize::from(o.hours.is_some()) + usize::from(o.duration.is_some()) + usize::from(o.rate.is_some());
        if given > 1 {
            self.problem(path, "this step says its hours in more than one way", "keep one of hours, duration and rate");
        }
        let none = (Spread::ZERO, Vec::new(), false);
        if let Some(h) = o.hours {
            return (self.triple(h, &format!("{path}.hours")).unwrap_or(Spread::ZERO), Vec::new(), false);
        }
        if let Some(d) = &o.duration {
            return (self.duration(d, &format!("{path}.duration")).unwrap_or(Spread::ZERO), Vec::new(), false);
        }
        if let Some((quantity, id)) = &o.rate {
            let at = format!("{path}.rate");
            let Some(rate) = self.rate(id) else {
                let all = self.job.rates.iter().chain(&crate::trade::tables().rates).map(|r| r.id.as_str());
                let remedy = names::hint(id, all, "give the id of a rate row");
                self.problem(at, format!("there is no rate \"{id}\""), remedy);
                return none;
            };
            if !(*quantity > 0.0 && *quantity < 1e7) {
                self.problem(at, "a quantity must be above 0", "count again");
                return none;
            }
            let m = |h: f64| h * quantity * 60.0;
            let term = HourTerm {
                rate: id.clone(),
                of: String::new(),
                quantity: *quantity,
                unit: super::rows::unit_word(rate.unit).into(),
                per_unit: (rate.low, rate.typ, rate.high),
                factor: 1.0,
            };
            return (Spread::split(m(rate.low), m(rate.typ), m(rate.high)), vec![term], rate.jobs >= 10);
        }
        if hands && given == 0 && o.methods.iter().all(|m| m.hours.is_none()) {
            let what = format!("step \"{}\" has hands but no hours", o.id);
            self.problem(path, what, "give hours: (low, typical, high), or hands: none");
        }
        none
    }

    /// Hours low / typical / high to minutes.
    pub(super) fn triple(&mut self, h: (f64, f64, f64), path: &str) -> Option<Spread> {
        if !(h.0 > 0.0 && h.0 <= h.1 && h.1 <= h.2 && h.2 <= 10_000.0) {
            let what = format!("hours must rise from low to high and be above 0, these are {}, {}, {}", h.0, h.1, h.2);
            self.problem(path, what, "write low, typical, high: 1 job in 10 is quicker, half, 1 in 10 slower");
            return None;
        }
        Some(Spread::split(h.0 * 60.0, h.1 * 60.0, h.2 * 60.0))
    }

    fn duration(&mut self, d: &Duration, path: &str) -> Option<Spread> {
        let unit = self.job.study.as_ref().map_or(60.0, |s| s.unit_minutes as f64);
        let v = &d.values;
        let (low, typ, high) = match (d.scheme, v.len()) {
            (_, 1) => (v[0], v[0], v[0]),
            (Scheme::Fixed, n) => {
                let what = format!("a fixed duration has one value, this has {n}");
                self.problem(format!("{path}.values"), what, "write values: [4]");
                return None;
            }
            (_, 3) => (v[0], v[1], v[2]),
            (_, n) => {
                let what = format!("a duration has three values (or one), this has {n}");
                self.problem(format!("{path}.values"), what, "write values: [3, 5, 7]");
                return None;
            }
        };
        let sound = low >= 0.0 && low <= typ && typ <= high && high <= 1e6;
        if !sound || (d.scheme == Scheme::Split && low == 0.0 && high > 0.0) {
            let what = format!("the values of a duration must rise and not be below 0, these are {low}, {typ}, {high}");
            self.problem(format!("{path}.values"), what, "least or low first, then typical, then most or high");
            return None;
        }
        let scheme = if v.len() == 1 { Scheme::Fixed } else { d.scheme };
        Some(Spread { scheme, low: low * unit, typ: typ * unit, high: high * unit })
    }

    fn own_crew(&mut self, hands: &Hands, id: &str, path: &str) -> Crew {
        let job = self.job;
        if hands.fewest == 0 {
            return Crew::default();
        }
        for (i, w) in hands.who.iter().enumerate() {
            let known = job.crew.iter().any(|p| p.id == *w || p.skills.contains(w));
            if !known {
                let all = job.crew.iter().flat_map(|p| std::iter::once(&p.id).chain(&p.skills)).map(String::as_str);
                let remedy = names::hint(w, all, "name a person of the crew, or a skill one of them has");
                self.problem(format!("{path}.who[{i}]"), format!("nobody in the crew is or can \"{w}\""), remedy);
            }
        }
        let may = |i: &usize| {
            let p = &job.crew[*i];
            hands.who.is_empty() || hands.who.iter().any(|w| *w == p.id || p.skills.contains(w))
        };
        let who: Vec<usize> = (0..job.crew.len()).filter(may).collect();
        if (who.len() as u32) < hands.fewest && !job.crew.is_empty() {
            let what = format!("step \"{id}\" needs {} pairs of hands, {} may do it", hands.fewest, who.len());
            self.problem(path, what, "ask for fewer hands or let more people do it");
        }
        Crew { fewest: hands.fewest as usize, most: hands.most.max(hands.fewest) as usize, who }
    }

    /// Links of own steps.
    pub(super) fn link_own(&mut self) {
        let own = std::mem::take(&mut self.own);
        for (i, variants) in own.iter().enumerate() {
            let o = &self.job.steps[i];
            for (k, &step) in variants.iter().enumerate() {
                let m = o.methods.get(k);
                let (needs, at) = match m {
                    Some(m) if !m.needs.is_empty() => (&m.needs, format!("steps[{i}].methods[{k}].needs")),
                    _ => (&o.needs, format!("steps[{i}].needs")),
                };
                self.needs(needs, step, &at);
                self.before(&o.before, step, &format!("steps[{i}].before"));
            }
        }
        self.own = own;
    }

    fn dries_to(&self, step: usize, stage: crate::trade::Stage) -> bool {
        self.graph.steps[step].coat.is_some_and(|c| self.graph.products[c.product].hours.hours(stage).is_some())
    }

    /// Links one step to all it needs.
    pub(super) fn needs(&mut self, needs: &[Need], step: usize, path: &str) {
        for (j, n) in needs.iter().enumerate() {
            let at = format!("{path}[{j}]");
            if n.dry.is_some() && n.link != crate::job::LinkKind::Fs {
                let what = "a stage of dryness goes with fs only";
                self.problem(format!("{at}.dry"), what, "drop the stage, or make the link fs");
            }
            if !n.lag.is_finite() || n.lag.abs() > 1e6 || (n.lag < 0.0 && self.job.study.is_none()) {
                self.problem(format!("{at}.lag"), "a lag is elapsed hours, not below 0", "give 0 or more");
                continue;
            }
            if n.longest.is_some_and(|l| !(l > 0.0 && l <= 1e6)) {
                self.problem(
                    format!("{at}.longest"),
                    "a longest wait is hours above 0",
                    "give the label's recoat window",
                );
                continue;
            }
            let from = self.resolve(&n.step, &format!("{at}.step"));
            if n.longest.is_some() && !from.is_empty() && from.iter().all(|&f| self.graph.steps[f].coat.is_none()) {
                let what = format!("step \"{}\" leaves no coat to count a longest wait by", n.step);
                self.problem(format!("{at}.longest"), what, "drop the longest wait, or say what that step leaves");
                continue;
            }
            if let Some(stage) = n.dry
                && !from.is_empty()
                && from.iter().all(|&f| !self.dries_to(f, stage))
            {
                let what = format!("step \"{}\" leaves nothing that gets to that stage", n.step);
                self.problem(format!("{at}.dry"), what, "drop the stage, or say what that step leaves");
                continue;
            }
            let lag = self.minutes(n.lag);
            for f in from {
                if self.graph.steps[f].id == self.graph.steps[step].id {
                    let what = format!("step \"{}\" waits for itself", n.step);
                    self.problem(format!("{at}.step"), what, "drop this need");
                    continue;
                }
                self.link(f, step, ask(n.link, n.dry), lag, n.longest, &[]);
            }
        }
    }
}
