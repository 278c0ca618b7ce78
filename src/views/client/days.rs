//! The days of the client's page: phases as ribbons in weeks, the door, what a day is like.
//!
//! A room is closed on a day where something keeps it closed between 7:00 and 22:00, and the door
//! is drawn shut then and on dusty days. A coat is wet until the first stage its product has.
//! Smell is told by the rows and products whose cautions are of spray mist, adhesives and solvents;
//! power and water off by the rows at electrical boxes and by the names of visits. Judgement.

use std::collections::{BTreeMap, BTreeSet};

use super::phases::{Here, Phase, phase};
use super::{
    ClientDay, ClientWeek, Door, IN_HAND, Ribbon, RoomDay, RoomWeek, Trouble, at_house, room_names, row_of, said, small,
};
use crate::clock::{DAY, Law};
use crate::desk::{Sound, evening::works};
use crate::job::Job;
use crate::search::Found;
use crate::trade::cautions;
use crate::views::portions;
use crate::work::Kind;

/// A phase in a room, by its index, with the words of work that has none but its own.
type Worked = (Option<usize>, Phase, String);
/// Minutes of the day between which a closed room is in somebody's way.
const UP: (i64, i64) = (7 * 60, 22 * 60);

/// What happens on which day, by room: an index into the job's rooms, or none.
pub struct Life<'a> {
    sound: &'a Sound,
    /// Phases worked at, by day.
    phases: BTreeMap<i64, BTreeSet<Worked>>,
    troubles: BTreeMap<i64, BTreeSet<(Trouble, Option<usize>)>>,
    many: bool,
}

impl<'a> Life<'a> {
    /// Reads a plan.
    pub fn new(sound: &'a Sound, found: &Found) -> Life<'a> {
        let mut life =
            Life { sound, phases: BTreeMap::new(), troubles: BTreeMap::new(), many: room_names(sound).len() > 1 };
        for (&day, list) in &portions(&sound.net(found), &found.plan) {
            for p in list {
                life.worked(day, p.step);
            }
        }
        for t in &found.plan.steps {
            life.stands(t);
        }
        life
    }

    fn room(&self, step: usize) -> Option<usize> {
        let id = &self.sound.graph.steps[step].room;
        self.sound.job.rooms.iter().position(|r| r.id == *id)
    }

    fn put(&mut self, day: i64, what: Trouble, room: Option<usize>) {
        self.troubles.entry(day).or_default().insert((what, room));
    }

    /// Work on a step on a day.
    fn worked(&mut self, day: i64, step: usize) {
        let (sound, which) = (self.sound, phase(self.sound, step));
        let room = self.room(step).filter(|_| which != Phase::Shop);
        let name = &sound.graph.steps[step].name;
        let own = if which == Phase::Carpentry { said(name) } else { String::new() };
        self.phases.entry(day).or_default().insert((room, which, own));
        if at_house(sound, step).is_none() {
            return;
        }
        let s = &sound.graph.steps[step];
        if s.flags.dusty {
            self.put(day, Trouble::Dusty, room);
        }
        if s.flags.noisy {
            self.put(day, Trouble::Noise, room);
        }
        if listed(&["spraying", "adhesives"], row_of(&s.id)) {
            self.put(day, Trouble::Smell, room);
        }
        if listed(&["electrical"], row_of(&s.id)) {
            self.put(day, Trouble::PowerOff, room);
        }
    }

    /// What a step leaves behind: a coat, a closed room; another trade's visit.
    fn stands(&mut self, t: &crate::schedule::Timed) {
        let sound = self.sound;
        let s = &sound.graph.steps[t.step];
        let room = self.room(t.step);
        if let Some(c) = s.coat.filter(|_| at_house(sound, t.step).is_some()) {
            let dry = t.ready.iter().map(|r| r.1.0).min().unwrap_or(t.end.0);
            let product = &sound.graph.products[c.product];
            for day in days_between(t.begin.0, dry) {
                self.put(day, Trouble::Wet, room);
                if product.law == Law::MoistureCuring || smells(&product.id) {
                    self.put(day, Trouble::Smell, room);
                }
            }
        }
        if s.flags.closes && at_house(sound, t.step).is_some() {
            let free = t.ready.iter().find(|r| r.0 == crate::trade::Stage::DustFree).map_or(t.end.0, |r| r.1.0);
            for day in days_between(t.begin.0, free) {
                self.put(day, Trouble::Closed, room);
            }
        }
        if s.origin.starts_with("visits[") && matches!(s.kind, Kind::Elapsed(_)) {
            let name = s.name.to_lowercase();
            let has = |words: &[&str]| words.iter().any(|w| name.contains(w));
            for day in days_between(t.begin.0, t.end.0) {
                if has(&["electric", "wiring", "outlet", "wire"]) {
                    self.put(day, Trouble::PowerOff, room);
                }
                if has(&["plumb", "water", "radiator"]) {
                    self.put(day, Trouble::WaterOff, room);
                }
            }
        }
    }

    /// The weeks from the first day of work to the later of the day named and the last work, and
    /// those gone by in a line.
    pub fn weeks(&self, day: chrono::NaiveDate, finish: i64) -> (Option<String>, Vec<ClientWeek>) {
        let job = &self.sound.job;
        let named = job.day_of(day);
        let first = self.phases.keys().next().copied().unwrap_or(0).min(0);
        let last = named.max(finish).max(first);
        let monday = first - (first + job.first_weekday()).rem_euclid(7);
        let starts: Vec<i64> = (0..).map(|w| monday + 7 * w).take_while(|m| *m <= last).collect();
        let now = self.sound.setting.standing.as_deref().map_or(i64::MIN, |s| s.as_of.0.div_euclid(DAY));
        // The week that is going on stays, and the last one in any case.
        let gone = starts.iter().filter(|m| **m + 6 < now).count().min(starts.len().saturating_sub(1));
        let folded = (gone > 0).then(|| {
            let (a, b) = (job.date_of(starts[0]), job.date_of(starts[gone] - 1));
            format!("Gone by: {} to {}.", super::mid_day(a), super::mid_day(b))
        });
        let span = (first, last, finish, named);
        (folded, starts[gone..].iter().enumerate().map(|(i, m)| self.week(*m, i == 0, span)).collect())
    }

    fn week(&self, monday: i64, begins: bool, (first, last, finish, named): (i64, i64, i64, i64)) -> ClientWeek {
        let job = &self.sound.job;
        let day = |n: usize| {
            let d = monday + n as i64;
            let date = job.date_of(d);
            let month = date.format("%-d").to_string() == "1" || (begins && n == 0);
            let troubles = self.troubles.get(&d).into_iter().flatten();
            let shut = self.shut(d, None);
            let off = !works(self.sound, d);
            let at_work = (first..=finish).contains(&d) && (!off || self.troubles.contains_key(&d));
            ClientDay {
                date,
                number: date.format(if month { "%-d %b" } else { "%-d" }).to_string(),
                off,
                door: at_work.then_some(if shut { Door::Shut } else { Door::Open }),
                // With several rooms a day says what is in none of them; the rest stands with its room.
                troubles: plain(troubles.filter(|t| !self.many || t.1.is_none())),
                theirs: d == named,
                lost: off && self.lost(d),
            }
        };
        let days: Vec<ClientDay> = (0..7).map(day).collect();
        let mut spans: Vec<(Worked, usize, usize)> = Vec::new();
        for n in 0..7 {
            let here = self.phases.get(&(monday + n as i64)).into_iter().flatten();
            for p in here.filter(|p| !self.many || p.0.is_none()) {
                // A working day without it ends a ribbon; a day off does not.
                let goes_on = |to: usize| !(to + 1..n).any(|k| works(self.sound, monday + k as i64));
                match spans.iter_mut().rfind(|s| s.0 == *p).filter(|s| goes_on(s.2)) {
                    Some(span) => span.2 = n,
                    None => spans.push((p.clone(), n, n)),
                }
            }
        }
        let mut list: Vec<(usize, usize, Vec<String>, bool)> =
            spans.into_iter().map(|(p, a, b)| (a, b, self.names(&p), false)).collect();
        let kept: Vec<usize> = (0..7)
            .filter(|&n| (finish + 1..=named.min(last)).contains(&(monday + n as i64)))
            .filter(|&n| works(self.sound, monday + n as i64) || monday + n as i64 == named)
            .collect();
        if let (Some(&a), Some(&b)) = (kept.first(), kept.last()) {
            list.push((a, b, vec![IN_HAND.to_string()], true));
        }
        list.sort();
        let mut ribbons: Vec<Ribbon> = Vec::new();
        for (from, to, names, in_hand) in list {
            let free = |row: &usize| !ribbons.iter().any(|r| r.row == *row && r.from <= to && from <= r.to);
            let row = (0..).find(free).unwrap_or(0);
            ribbons.push(Ribbon { names, from, to, row, in_hand });
        }
        let rooms = if self.many { self.rooms(monday) } else { Vec::new() };
        ClientWeek { days, ribbons, rooms }
    }

    /// Whether somebody's hours were lost on a day of the working week: without that it were no day off.
    fn lost(&self, day: i64) -> bool {
        let job = &self.sound.job;
        let date = job.date_of(day);
        let workday =
            job.calendar.week.days.iter().any(|d| d.index() as i64 == (day + job.first_weekday()).rem_euclid(7));
        workday && !job.calendar.holidays.contains(&date) && job.lost.iter().any(|l| !l.house && l.on(date))
    }

    /// Whether something keeps a room shut on a day; with no room named, any.
    fn shut(&self, day: i64, room: Option<usize>) -> bool {
        let all = self.troubles.get(&day).into_iter().flatten();
        let mut here = all.filter(|t| room.is_none() || t.1 == room);
        here.any(|t| matches!(t.0, Trouble::Closed | Trouble::Dusty))
    }

    /// The rooms with anything in a week, in the order of the job.
    fn rooms(&self, monday: i64) -> Vec<RoomWeek> {
        let day = |room: usize, d: i64| {
            let worked = self.phases.get(&d).into_iter().flatten().filter(|p| p.0 == Some(room));
            let phases: Vec<Vec<String>> = worked.map(|p| self.names(p)).collect();
            let troubles = plain(self.troubles.get(&d).into_iter().flatten().filter(|t| t.1 == Some(room)));
            let any = !phases.is_empty() || !troubles.is_empty();
            let door = any.then_some(if self.shut(d, Some(room)) { Door::Shut } else { Door::Open });
            RoomDay { door, troubles, phases }
        };
        let one = |room: usize| RoomWeek {
            name: name(&self.sound.job, room),
            days: (0..7).map(|n| day(room, monday + n)).collect(),
        };
        let rooms = (0..self.sound.job.rooms.len()).map(one);
        rooms.filter(|r| r.days.iter().any(|d| d.door.is_some())).collect()
    }

    /// Names of a phase, the longest first; work of its own by its own words.
    fn names(&self, (room, phase, own): &Worked) -> Vec<String> {
        let here = Here::new(self.sound, *room);
        let short = phase.names(here).iter().map(ToString::to_string);
        if own.is_empty() { short.collect() } else { vec![own.clone()] }
    }

    /// Phases of a day in words, for a calendar of the days worked: with several rooms each room's name once.
    pub fn phases_of(&self, day: i64) -> Vec<String> {
        let mut out: Vec<(Option<usize>, Vec<String>)> = Vec::new();
        for p in self.phases.get(&day).into_iter().flatten() {
            let words = self.names(p).swap_remove(0);
            match out.last_mut().filter(|o| o.0 == p.0) {
                Some(o) => o.1.push(words),
                None => out.push((p.0, vec![words])),
            }
        }
        let one = |(room, list): (Option<usize>, Vec<String>)| match room.filter(|_| self.many) {
            Some(r) => vec![format!("{}: {}", name(&self.sound.job, r), list.join(", "))],
            None => list,
        };
        out.into_iter().flat_map(one).collect()
    }

    /// Rooms to keep out of on a day, and why; empty where the door is open.
    pub fn shut_on(&self, day: i64) -> Vec<String> {
        let all = self.troubles.get(&day).into_iter().flatten();
        let shut: Vec<_> = all.filter(|t| matches!(t.0, Trouble::Closed | Trouble::Dusty)).collect();
        let mut rooms: Vec<Option<usize>> = shut.iter().map(|t| t.1).collect();
        rooms.sort_unstable();
        rooms.dedup();
        let one = |room: Option<usize>| {
            let why = plain(shut.iter().copied().filter(|t| t.1 == room)).join(", ");
            match room.filter(|_| self.many) {
                Some(r) => format!("{} ({why})", small(&name(&self.sound.job, r))),
                None => why,
            }
        };
        rooms.into_iter().map(one).collect()
    }

    /// Days with work or with something left behind.
    pub fn days(&self) -> BTreeSet<i64> {
        self.phases.keys().chain(self.troubles.keys()).copied().collect()
    }
}

fn name(job: &Job, room: usize) -> String {
    job.rooms.get(room).map_or_else(String::new, |r| said(if r.name.is_empty() { &r.id } else { &r.name }))
}

/// Troubles in words, each once.
fn plain<'a>(all: impl Iterator<Item = &'a (Trouble, Option<usize>)>) -> Vec<String> {
    let mut out: Vec<String> = all.map(|t| t.0.words().to_string()).collect();
    out.dedup();
    out
}

/// Days a stretch touches while people are up; the day it begins in any case.
fn days_between(from: i64, to: i64) -> impl Iterator<Item = i64> {
    let first = from.div_euclid(DAY);
    (first..=to.max(from).div_euclid(DAY)).filter(move |d| *d == first || to > d * DAY + UP.0 && from < d * DAY + UP.1)
}

/// Whether a row belongs to one of these cautions of the table.
fn listed(ids: &[&str], row: &str) -> bool {
    cautions().iter().filter(|c| ids.contains(&c.id.as_str())).any(|c| c.rows.iter().any(|r| r == row))
}

/// Products with solvents, by their ids in the table.
fn smells(product: &str) -> bool {
    ["oil", "shellac", "lacquer", "urethane", "alkyd", "adhesive"].iter().any(|w| product.contains(w))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_night_is_in_nobodys_way() {
        let days = |a: i64, b: i64| days_between(a, b).collect::<Vec<_>>();
        // Sprayed at 14:00, free at 1:00: the next day is not shut.
        assert_eq!(days(14 * 60, DAY + 60), [0]);
        // Free at 9:00 of the next day: it is.
        assert_eq!(days(14 * 60, DAY + 9 * 60), [0, 1]);
        assert_eq!(days(23 * 60, DAY + 60), [0]);
        assert_eq!(days(100, 100), [0]);
    }

    #[test]
    fn dust_and_spray_shut_the_study_and_its_days_follow_each_other() {
        let sound =
            crate::desk::open(include_str!("../../../sample-jobs/study.ron")).expect("a job").sound.expect("sound");
        let found = sound.plan(false).expect("a plan");
        let life = Life::new(&sound, &found);
        let finish = crate::forecast::last_day(found.plan.finish);
        let named = sound.job.date_of(finish + 3);
        let (gone, weeks) = life.weeks(named, finish);
        assert_eq!(gone, None);
        let days: Vec<&ClientDay> = weeks.iter().flat_map(|w| &w.days).collect();
        assert!(days.windows(2).all(|w| w[0].date.succ_opt() == Some(w[1].date)) && days.len().is_multiple_of(7));
        assert_eq!(days.iter().filter(|d| d.theirs).map(|d| d.date).collect::<Vec<_>>(), [named]);
        let all = portions(&sound.net(&found), &found.plan);
        let mut shut = 0;
        for d in &days {
            let n = sound.job.day_of(d.date);
            let list = all.get(&n).map_or(&[][..], Vec::as_slice);
            let dusty = |p: &&crate::views::Portion| {
                sound.graph.steps[p.step].flags.dusty && at_house(&sound, p.step).is_some()
            };
            if list.iter().any(|p| dusty(&p)) {
                assert!(d.door == Some(Door::Shut) && d.troubles.iter().any(|t| t == "dusty"), "{d:?}");
                shut += 1;
            }
            // A day on which somebody works has a ribbon over it.
            let week = weeks.iter().find(|w| w.days.contains(d)).expect("its week");
            let at = week.days.iter().position(|x| x == *d).expect("its place");
            assert!(list.is_empty() || week.ribbons.iter().any(|r| (r.from..=r.to).contains(&at)), "{d:?}");
        }
        assert!(shut > 3);
        // Ribbons of one row never meet.
        for w in &weeks {
            for (i, a) in w.ribbons.iter().enumerate() {
                assert!(w.ribbons[i + 1..].iter().all(|b| a.row != b.row || a.to < b.from || b.to < a.from), "{w:?}");
            }
        }
        assert!(weeks.iter().flat_map(|w| &w.ribbons).any(|r| r.in_hand && r.names[0] == IN_HAND));
    }
}
