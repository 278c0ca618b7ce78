//! Steps nobody plans: redone, found on opening up, scuffed late, unlisted; work known to be done
//! again, right behind what it repeats; and the end of a room, where the unlisted work, the punch list and the hand-back follow everything else.

use super::{Builder, next_coat};
use crate::trade::{Stage, Unit};
use crate::work::{Ask, Crew, HourTerm, Kind, Role, Spread, Step, WorkGraph};

/// Scuffing before a late coat takes this share of the coat's hours where its area is not
/// known (judgement).
const SCUFF_SHARE: f64 = 0.5;
/// Milestones that end a room.
const TAIL: [&str; 2] = ["punch-list", "handed-back"];

impl Builder<'_> {
    /// Twin of a recipe step by its key in the risks, `n` independent chances in one: the
    /// chance of at least one of them.
    pub(super) fn redo_row(&mut self, step: usize, risk: &str, n: f64) {
        if !self.causes(self.job.risks.redo) {
            return;
        }
        // A key without a row means the user dropped that cause.
        let Some(row) = self.job.risks.redos.iter().find(|r| r.id == risk) else { return };
        let (chance, share) = (row.chance, row.share);
        if (0.0..=1.0).contains(&chance) && share > 0.0 && n > 0.0 {
            self.redo(step, 1.0 - libm::pow(1.0 - chance, n), share, risk);
        }
    }

    /// Twin of any step.
    pub(super) fn redo(&mut self, step: usize, chance: f64, share: f64, risk: &str) {
        if !self.causes(self.job.risks.redo) || chance <= 0.0 {
            return;
        }
        let of = &self.graph.steps[step];
        let twin = Step {
            id: format!("{}+redo", of.id),
            name: format!("{}, part of it again", of.name),
            role: Role::Redo { of: step, chance, share, risk: risk.to_string() },
            labor: of.labor.scaled(share),
            setup_min: 0,
            terms: Vec::new(),
            windows: Vec::new(),
            earliest: None,
            ..of.clone()
        };
        let (a, b, c) = self.keys[step];
        let twin = self.push(twin, (a, b, c + 1));
        self.twins.push((twin, step));
    }

    /// Work found to be done again: a step of its own behind the one it repeats, with its coat.
    pub(super) fn again(&mut self) {
        let job = self.job;
        for (i, r) in job.redone.iter().enumerate() {
            let path = format!("redone[{i}]");
            let before = job.redone[..i].iter().filter(|x| x.step == r.step).count();
            let called = |n: usize| if n == 0 { "again".to_string() } else { format!("again-{}", n + 1) };
            let fits = |s: &Step| s.id == r.step && s.role.planned() && s.kind == Kind::Labor && s.labor.typ > 0.0;
            let all: Vec<usize> = (0..self.graph.steps.len()).filter(|&s| fits(&self.graph.steps[s])).collect();
            if all.is_empty() {
                let ids = self.graph.steps.iter().filter(|s| s.role.planned()).map(|s| s.id.as_str());
                let remedy = super::names::hint(&r.step, ids, "name a step somebody's hands do");
                self.problem(format!("{path}.step"), format!("there is no work \"{}\" to do again", r.step), remedy);
            }
            for of in all {
                let first = self.graph.steps[of].clone();
                let share = r.hours.map_or(r.share.unwrap_or(1.0), |h| h * 60.0 / first.labor.typ);
                if !(share > 0.0 && share.is_finite()) {
                    self.problem(&path, "nothing of it is to be done again", "write a share or hours above 0");
                    continue;
                }
                let last = (0..before).next_back().map(|n| format!("{}+{}", r.step, called(n)));
                let same = |s: &&usize| self.graph.steps[**s].when == first.when;
                let steps = 0..self.graph.steps.len();
                let behind: Vec<usize> =
                    steps.filter(|&s| last.as_ref().is_some_and(|l| *l == self.graph.steps[s].id)).collect();
                let behind = behind.iter().find(same).copied().unwrap_or(of);
                let found = job.day_of(r.day);
                let twin = Step {
                    id: format!("{}+{}", r.step, called(before)),
                    name: format!("{}, again", first.name),
                    labor: first.labor.scaled(share),
                    setup_min: 0,
                    terms: Vec::new(),
                    windows: Vec::new(),
                    earliest: (found > 0).then(|| crate::clock::At(found * crate::clock::DAY)),
                    origin: path.clone(),
                    ..first
                };
                let (a, b, c) = self.keys[of];
                let twin = self.push(twin, (a, b, c + 1));
                self.twins.push((twin, behind));
            }
        }
    }

    /// Closes choices whose reason is not in the room.
    pub(super) fn settle_choices(&mut self) {
        for (choice, room, milestone) in std::mem::take(&mut self.only_with) {
            if !self.milestones.contains_key(&(room, milestone)) {
                self.graph.choices[choice].fixed.get_or_insert(0);
            }
        }
    }

    /// A scuff-sand before every step whose coat may come too late on the one before.
    pub(super) fn scuffs(&mut self) {
        let late: Vec<_> = self.graph.links.iter().filter(|l| l.longest_h.is_some()).cloned().collect();
        let mut made: Vec<(usize, usize)> = Vec::new();
        for l in late {
            let scuff = match made.iter().find(|m| m.0 == l.to) {
                Some(m) => m.1,
                None => {
                    let s = self.scuff(l.to);
                    made.push((l.to, s));
                    s
                }
            };
            self.link(l.from, scuff, l.ask, l.lag, None, &l.when);
            self.link(scuff, l.to, Ask::Done, 0, None, &[]);
        }
    }

    fn scuff(&mut self, of: usize) -> usize {
        let to = self.graph.steps[of].clone();
        let area = to.terms.iter().find(|t| t.unit == "SF").map(|t| t.quantity);
        let (labor, terms) = match (area, self.rate("scuff")) {
            (Some(sf), Some(r)) if r.unit == Unit::SquareFoot => {
                let term = HourTerm {
                    rate: r.id.clone(),
                    of: to.terms[0].of.clone(),
                    quantity: sf,
                    unit: "SF".into(),
                    per_unit: (r.low, r.typ, r.high),
                    factor: 1.0,
                };
                (Spread::split(r.low * sf * 60.0, r.typ * sf * 60.0, r.high * sf * 60.0), vec![term])
            }
            _ => (Spread { scheme: to.labor.scheme, ..to.labor.scaled(SCUFF_SHARE) }, Vec::new()),
        };
        let flags = crate::job::Flags { set_down: true, dusty: true, ..Default::default() };
        let step = Step {
            id: format!("{}+scuff", to.id),
            name: format!("scuff-sand before: {}", to.name),
            role: Role::Scuff { of },
            labor,
            setup_min: 0,
            terms,
            pieces: vec![1.0],
            crew: Crew { fewest: to.crew.fewest.min(1), ..to.crew.clone() },
            coat: None,
            flags,
            racks: 0,
            pools: Vec::new(),
            earliest: None,
            windows: Vec::new(),
            ..to
        };
        let (a, b, c) = self.keys[of];
        self.push(step, (a, b, c.saturating_sub(1)))
    }

    /// What may be found on opening up, once a room.
    pub(super) fn surprises(&mut self) {
        let job = self.job;
        if !self.causes(job.risks.surprises) {
            return;
        }
        for room in 0..job.rooms.len() {
            for row in &job.risks.surprise_rows {
                let givers = |b: &Self, m: &str| b.milestones.get(&(room, m.to_string())).cloned().unwrap_or_default();
                let (with, before) = (givers(self, &row.only_with), givers(self, &row.before));
                let Some(&first) = with.first() else { continue };
                if !(row.chance > 0.0 && row.chance <= 1.0 && row.hours > 0.0 && row.hours <= 10_000.0) {
                    continue;
                }
                let opened = givers(self, "opened");
                let opened = if opened.is_empty() { givers(self, "protected") } else { opened };
                let r = &job.rooms[room];
                let step = Step {
                    id: format!("{}/found/{}", r.id, row.id),
                    name: row.name.clone(),
                    surface: "found".into(),
                    role: Role::Surprise { chance: row.chance, risk: row.id.clone() },
                    labor: Spread::fixed(row.hours * 60.0),
                    own_history: true,
                    when: Vec::new(),
                    ..self.bare(first)
                };
                let step = self.push(step, (room, 0, 0));
                for o in opened {
                    self.link(o, step, Ask::Done, 0, None, &[]);
                }
                for b in before {
                    self.link(step, b, Ask::Done, 0, None, &[]);
                }
            }
        }
    }

    /// A step like another in room and place, with one pair of hands and nothing else.
    fn bare(&self, like: usize) -> Step {
        let s = &self.graph.steps[like];
        Step {
            kind: Kind::Labor,
            setup_min: 0,
            terms: Vec::new(),
            pieces: vec![1.0],
            crew: Crew { fewest: 1, most: 1, who: (0..self.job.crew.len()).collect() },
            coat: None,
            flags: crate::job::Flags { set_down: true, ..Default::default() },
            racks: 0,
            pools: Vec::new(),
            rh_below: None,
            earliest: None,
            windows: Vec::new(),
            trade: String::new(),
            fit_up: false,
            own_history: false,
            ..s.clone()
        }
    }

    /// The unlisted work of each room after all its other work, then punch list and hand-back.
    pub(super) fn close_rooms(&mut self) {
        for room in 0..self.job.rooms.len() {
            self.close_room(room);
        }
    }

    fn close_room(&mut self, room: usize) {
        let id = self.job.rooms[room].id.clone();
        let mut tail: Vec<usize> = TAIL
            .iter()
            .flat_map(|m| self.milestones.get(&(room, m.to_string())).cloned().unwrap_or_default())
            .collect();
        tail.sort_unstable();
        tail.dedup();
        // Whatever waits for the end of the room is no part of what the end waits for.
        let mut after = vec![false; self.graph.steps.len()];
        let mut open = tail.clone();
        while let Some(s) = open.pop() {
            if !std::mem::replace(&mut after[s], true) {
                open.extend(self.graph.links.iter().filter(|l| l.from == s).map(|l| l.to));
            }
        }
        let body: Vec<usize> = (0..self.graph.steps.len())
            .filter(|&i| {
                let s = &self.graph.steps[i];
                s.role == Role::Plain && s.room == id && !after[i]
            })
            .collect();
        let usual = self.graph.usual();
        let steps = &self.graph.steps;
        let there =
            |i: usize| steps[i].room == id && steps[i].role == Role::Plain && WorkGraph::holds(&steps[i].when, &usual);
        let total: f64 = (0..steps.len()).filter(|&i| there(i)).map(|i| steps[i].labor.typ).sum();
        let last: Vec<usize> = body.iter().copied().filter(|&x| !self.superseded(x, &body)).collect();
        let share = self.job.risks.unlisted_share;
        let (on, share_ok) =
            (self.causes(self.job.risks.unlisted), share.0 > 0.0 && share.0 <= share.1 && share.1 <= share.2);
        if on && !share_ok {
            let what = "the share of unlisted work must rise from low to high and be above 0";
            self.problem("risks.unlisted_share", what, "write (0.03, 0.08, 0.18), or switch it off");
        }
        let site = body.iter().copied().find(|&i| {
            let s = &self.graph.steps[i];
            s.kind == Kind::Labor && s.place.is_some_and(|p| self.job.places[p].kind == crate::job::PlaceKind::Room)
        });
        if let (true, true, Some(site)) = (on && total > 0.0, share_ok, site.or(body.first().copied())) {
            let step = Step {
                id: format!("{id}/room/unlisted"),
                name: "what nobody listed".into(),
                surface: "room".into(),
                role: Role::Unlisted,
                labor: Spread::split(share.0 * total, share.1 * total, share.2 * total),
                when: Vec::new(),
                origin: format!("rooms[{room}]"),
                ..self.bare(site)
            };
            let unlisted = self.push(step, (room, 9000, 0));
            for &x in &last {
                self.link(x, unlisted, Ask::Done, 0, None, &[]);
            }
            for &t in &tail {
                self.link(unlisted, t, Ask::Done, 0, None, &[]);
            }
        }
        for &x in &last {
            let coat = self.graph.steps[x].coat;
            let dry = coat.is_some_and(|c| self.graph.products[c.product].hours.handle.is_some());
            let ask = if dry { Ask::Dry(Stage::Handle) } else { Ask::Done };
            for &t in &tail {
                self.link(x, t, ask, 0, None, &[]);
            }
        }
    }

    /// Whether some later step of `body` is there whenever this one is, and waits for its end.
    fn superseded(&self, x: usize, body: &[usize]) -> bool {
        let steps = &self.graph.steps;
        let within = |w: &[(usize, usize)]| w.iter().all(|c| steps[x].when.contains(c));
        self.graph.links.iter().any(|l| {
            l.from == x
                && matches!(l.ask, Ask::Done | Ask::Dry(_))
                && body.contains(&l.to)
                && within(&steps[l.to].when)
                && within(&l.when)
        })
    }

    /// A twin follows its step as a next coat would; whoever follows the step follows the twin.
    pub(super) fn follow_twins(&mut self) {
        for (twin, of) in std::mem::take(&mut self.twins) {
            let after: Vec<_> = self.graph.links.iter().filter(|l| l.from == of && l.to != twin).cloned().collect();
            for l in after {
                self.link(twin, l.to, l.ask, l.lag, l.longest_h, &l.when);
            }
            let ask = self.graph.steps[of].coat.map_or(Ask::Done, |c| next_coat(&self.graph.products[c.product]));
            self.link(of, twin, ask, 0, None, &[]);
        }
    }
}
