//! Ways back that were taken: what each changed, record by record, so that it can be taken back
//! and nothing else with it.
//!
//! Records are told apart by their ids. A record the way put in stands in `is` alone; one it
//! changed stands in both. Money is whole cents.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::{Calendar, Decision, Delivery, Edit, Hm, Job, KeptOrder, OwnStep, Person, Place, Room, Surface, Visit};

/// After this hour work is an evening's.
pub const EVENING_FROM: Hm = Hm(18 * 60);

/// A way back that was taken.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TakenWay {
    /// The day it was taken.
    pub day: NaiveDate,
    /// What is done, in words.
    pub words: String,
    /// What it was said to cost, cents; less than nothing where it saves.
    #[serde(default)]
    pub cents: i64,
    /// The records it changed, as they were.
    #[serde(default)]
    pub was: Records,
    /// The same as the way made them, and those it put in.
    #[serde(default)]
    pub is: Records,
}

/// A surface with the id of its room.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct RoomSurface {
    pub room: String,
    pub surface: Surface,
}

/// Records of a job, told apart by their ids.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Records {
    pub crew: Vec<Person>,
    pub places: Vec<Place>,
    pub surfaces: Vec<RoomSurface>,
    pub steps: Vec<OwnStep>,
    pub deliveries: Vec<Delivery>,
    pub decisions: Vec<Decision>,
    pub visits: Vec<Visit>,
    /// Rooms as far as their walk-through times go; surfaces are left out.
    pub rooms: Vec<Room>,
    pub calendar: Option<Calendar>,
    pub kept: Option<KeptOrder>,
}

/// Lists of a job with the id of a record, for what is done to each alike.
macro_rules! lists {
    ($do:ident) => {
        $do!(crew, places, steps, deliveries, decisions, visits)
    };
}

/// A room without its surfaces: only the times of its walk-through are changed by a way.
fn bare(r: &Room) -> Room {
    Room { id: r.id.clone(), walk_through: r.walk_through.clone(), ..Room::default() }
}

fn surfaces(job: &Job) -> impl Iterator<Item = RoomSurface> + '_ {
    job.rooms.iter().flat_map(|r| r.surfaces.iter().map(|s| RoomSurface { room: r.id.clone(), surface: s.clone() }))
}

impl Records {
    /// The records in which `after` differs from `before`, as they were and as they are. Records
    /// taken out are none: no way takes any out.
    pub fn between(before: &Job, after: &Job) -> (Records, Records) {
        let (mut was, mut is) = (Records::default(), Records::default());
        macro_rules! differ {
            ($($list:ident),*) => { $(
                for x in &after.$list {
                    let old = before.$list.iter().find(|o| o.id == x.id);
                    if old != Some(x) {
                        was.$list.extend(old.cloned());
                        is.$list.push(x.clone());
                    }
                }
            )* };
        }
        lists!(differ);
        for x in surfaces(after) {
            let old = surfaces(before).find(|o| o.room == x.room && o.surface.id == x.surface.id);
            if old.as_ref() != Some(&x) {
                was.surfaces.extend(old);
                is.surfaces.push(x);
            }
        }
        for x in after.rooms.iter().map(bare) {
            let old = before.rooms.iter().map(bare).find(|o| o.id == x.id);
            if old.as_ref().is_some_and(|o| *o != x) {
                was.rooms.extend(old);
                is.rooms.push(x);
            }
        }
        if before.calendar != after.calendar {
            was.calendar = Some(before.calendar.clone());
            is.calendar = Some(after.calendar.clone());
        }
        if before.kept != after.kept {
            was.kept.clone_from(&before.kept);
            is.kept.clone_from(&after.kept);
        }
        (was, is)
    }

    /// Puts every record of it in place of the one of its id, or at the end of its list.
    fn put(&self, job: &mut Job) {
        macro_rules! put {
            ($($list:ident),*) => { $(
                for x in &self.$list {
                    match job.$list.iter_mut().find(|o| o.id == x.id) {
                        Some(there) => *there = x.clone(),
                        None => job.$list.push(x.clone()),
                    }
                }
            )* };
        }
        lists!(put);
        for x in &self.surfaces {
            let room = job.rooms.iter_mut().find(|r| r.id == x.room);
            if let Some(there) = room.and_then(|r| r.surfaces.iter_mut().find(|s| s.id == x.surface.id)) {
                *there = x.surface.clone();
            }
        }
        for x in &self.rooms {
            if let Some(r) = job.rooms.iter_mut().find(|r| r.id == x.id) {
                r.walk_through.clone_from(&x.walk_through);
            }
        }
        if let Some(c) = &self.calendar {
            job.calendar = c.clone();
        }
        if self.kept.is_some() {
            job.kept.clone_from(&self.kept);
        }
    }

    /// Whether both hold a record, the kept order aside.
    fn shares(&self, other: &Records) -> bool {
        macro_rules! both {
            ($($list:ident),*) => { [$(self.$list.iter().any(|x| other.$list.iter().any(|o| o.id == x.id))),*] };
        }
        let surface = |x: &RoomSurface| other.surfaces.iter().any(|o| o.room == x.room && o.surface.id == x.surface.id);
        let lists: [bool; 6] = lists!(both);
        lists.contains(&true)
            || self.surfaces.iter().any(surface)
            || self.rooms.iter().any(|x| other.rooms.iter().any(|o| o.id == x.id))
    }

    /// Whether somebody works an evening by it.
    fn evenings(&self) -> bool {
        self.crew.iter().flat_map(|p| &p.dates).flat_map(|d| &d.hours).any(|h| h.to > EVENING_FROM)
    }

    /// Whether it holds nothing.
    pub fn is_empty(&self) -> bool {
        *self == Records::default()
    }
}

impl TakenWay {
    /// The way that makes `after` of `before`.
    pub fn of(before: &Job, after: &Job, day: NaiveDate, words: String, cents: i64) -> TakenWay {
        let (was, is) = Records::between(before, after);
        TakenWay { day, words, cents, was, is }
    }

    /// Puts it into the job.
    pub(super) fn take(&self, job: &mut Job) {
        self.is.put(job);
        job.taken.push(self.clone());
    }

    /// What of its records somebody has changed since, in words; empty where it can be taken back
    /// without losing anything.
    pub fn changed_since(&self, job: &Job) -> Vec<String> {
        let mut out = Vec::new();
        macro_rules! same {
            ($($list:ident),*) => { $(
                for x in &self.is.$list {
                    if job.$list.iter().find(|o| o.id == x.id) != Some(x) {
                        out.push(if x.name.is_empty() { x.id.clone() } else { x.name.clone() });
                    }
                }
            )* };
        }
        lists!(same);
        for x in &self.is.surfaces {
            if !surfaces(job).any(|s| s == *x) {
                out.push(format!("{}/{}", x.room, x.surface.id));
            }
        }
        for x in &self.is.rooms {
            if job.rooms.iter().find(|r| r.id == x.id).map(bare).as_ref() != Some(x) {
                out.push(format!("the walk-through of {}", x.id));
            }
        }
        if self.is.calendar.as_ref().is_some_and(|c| *c != job.calendar) {
            out.push("the working week".into());
        }
        out
    }

    /// The way taken last of those after the one at this place that changed a record of it once
    /// more: it is taken back before that one, or its own change would be lost with it.
    pub fn taken_over(job: &Job, at: usize) -> Option<usize> {
        let way = job.taken.get(at)?;
        (at + 1..job.taken.len()).rev().find(|&k| job.taken[k].is.shares(&way.is))
    }

    /// Takes the way at a place of the list back. Somebody it brought in stays in the crew where
    /// days written up name him, with no day to come; a kept order changed since stays, without
    /// the names that go.
    pub(super) fn take_back(job: &mut Job, at: usize) {
        if at >= job.taken.len() {
            return;
        }
        let way = job.taken.remove(at);
        let order_is_its_own = way.is.kept.is_some() && job.kept == way.is.kept;
        let mut was = way.was.clone();
        was.kept = None;
        if job.taken.iter().any(|t| t.is.evenings()) {
            // Another evening needs the hours of quiet.
            was.calendar = None;
        }
        was.put(job);
        let new = |id: &String| !way.was.crew.iter().any(|p| p.id == *id);
        for p in way.is.crew.iter().filter(|p| new(&p.id)) {
            let worked: Vec<NaiveDate> =
                job.log.iter().filter(|d| d.steps.iter().any(|w| w.who.contains(&p.id))).map(|d| d.day).collect();
            let Some(i) = job.crew.iter().position(|x| x.id == p.id) else { continue };
            let Some(last) = worked.iter().max() else {
                job.crew.remove(i);
                job.lost.retain(|l| l.who != p.id);
                continue;
            };
            let after = last.iter_days().skip(1).take(super::AWAY_DAYS as usize);
            let off = &mut job.crew[i].days_off;
            off.extend(after);
            off.sort_unstable();
            off.dedup();
        }
        if order_is_its_own {
            job.kept.clone_from(&way.was.kept);
        } else if let Some(k) = &mut job.kept {
            let crew: Vec<&String> = job.crew.iter().map(|p| &p.id).collect();
            k.people.iter_mut().for_each(|(_, who)| who.retain(|w| crew.contains(&w)));
            k.people.retain(|(_, who)| !who.is_empty());
        }
    }
}

impl Edit {
    /// The way that makes `after` of a job, as one change.
    pub fn taking(before: &Job, after: &Job, day: NaiveDate, words: String, cents: i64) -> Edit {
        Edit::WayTaken(Box::new(TakenWay::of(before, after, day, words, cents)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{DateHours, DayLog, Hours, How, Worked, edited};

    fn day(d: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2027, 3, d).expect("a day")
    }

    fn job() -> Job {
        Job {
            crew: vec![Person { id: "mara".into(), ..Person::default() }],
            places: vec![Place { id: "study".into(), ..Place::default() }],
            kept: Some(KeptOrder { order: vec!["a".into(), "b".into()], ..KeptOrder::default() }),
            ..Job::default()
        }
    }

    /// An evening, a helper, a fan and another order.
    fn with_all(job: &Job) -> Job {
        let mut new = job.clone();
        let hours = vec![Hours { from: EVENING_FROM, to: Hm(21 * 60) }];
        new.crew[0].dates.push(DateHours { day: day(9), hours });
        new.crew.push(Person { id: "helper".into(), helper: true, ..Person::default() });
        new.places[0].fan = true;
        new.calendar.noise = Some(Hours { from: Hm(0), to: EVENING_FROM });
        new.kept = Some(KeptOrder { order: vec!["b".into(), "a".into()], ..KeptOrder::default() });
        new
    }

    fn written_up(who: &str, d: u32) -> Edit {
        let worked = Worked { step: "a".into(), who: vec![who.into()], hours: 2.0, ..Worked::default() };
        let log = DayLog { day: day(d), how: How::Differently, steps: vec![worked], note: String::new() };
        Edit::Day(day(d), Some(Box::new(log)))
    }

    #[test]
    fn taken_back_is_as_before_and_later_logs_stay() {
        let (before, after) = (job(), with_all(&job()));
        let take = Edit::taking(&before, &after, day(8), "all at once".into(), 12_300);
        let taken = edited(&before, &[take]);
        assert_eq!(Job { taken: Vec::new(), ..taken.clone() }, after);
        assert_eq!((taken.taken[0].is.crew.len(), taken.taken[0].was.crew.len()), (2, 1));
        assert_eq!(edited(&taken, &[Edit::WayTakenBack(0)]), before);
        let later = edited(&taken, &[written_up("mara", 9)]);
        assert!(later.taken[0].changed_since(&later).is_empty());
        assert_eq!(edited(&later, &[Edit::WayTakenBack(0)]), edited(&before, &[written_up("mara", 9)]));
        assert_eq!(edited(&later, &[Edit::WayTakenBack(7)]), later);
    }

    #[test]
    fn somebody_who_has_worked_stays_and_comes_no_more() {
        let before = job();
        let taken = edited(&before, &[Edit::taking(&before, &with_all(&before), day(8), String::new(), 0)]);
        let back = edited(&edited(&taken, &[written_up("helper", 9)]), &[Edit::WayTakenBack(0)]);
        let helper = &back.crew[1];
        assert!(!helper.days_off.contains(&day(9)) && helper.days_off.contains(&day(10)));
        assert_eq!(back.kept, before.kept);
    }

    #[test]
    fn a_later_way_on_the_same_record_goes_first() {
        let before = job();
        let one = edited(&before, &[Edit::taking(&before, &with_all(&before), day(8), String::new(), 0)]);
        let mut more = one.clone();
        more.crew[0].dates.push(DateHours { day: day(10), hours: Vec::new() });
        let two = edited(&one, &[Edit::taking(&one, &more, day(9), String::new(), 0)]);
        assert_eq!((TakenWay::taken_over(&two, 0), TakenWay::taken_over(&two, 1)), (Some(1), None));
        // Another record does not stand in its way.
        let mut other = one.clone();
        other.places.push(Place { id: "shop".into(), ..Place::default() });
        let apart = edited(&one, &[Edit::taking(&one, &other, day(9), String::new(), 0)]);
        assert_eq!(TakenWay::taken_over(&apart, 0), None);
        // In the other order nothing of the first comes back.
        let back = edited(&edited(&two, &[Edit::WayTakenBack(1)]), &[Edit::WayTakenBack(0)]);
        assert_eq!(back, before);
    }

    #[test]
    fn what_was_changed_since_is_said_and_a_later_evening_keeps_the_quiet() {
        let before = job();
        let taken = edited(&before, &[Edit::taking(&before, &with_all(&before), day(8), String::new(), 0)]);
        let mut place = taken.places[0].clone();
        place.racks = Some(3);
        let other = edited(&taken, &[Edit::Place(0, Some(Box::new(place)))]);
        assert_eq!(other.taken[0].changed_since(&other), ["study"]);
        let mut second = taken.clone();
        second.crew[0].dates.push(DateHours { day: day(10), hours: vec![Hours { from: EVENING_FROM, to: Hm(1260) }] });
        let both = edited(&taken, &[Edit::taking(&taken, &second, day(9), String::new(), 0)]);
        let back = edited(&both, &[Edit::WayTakenBack(0)]);
        assert_eq!((back.calendar.noise, back.taken.len()), (taken.calendar.noise, 1));
        // Without the other evening the hours of quiet go too.
        assert_eq!(edited(&taken, &[Edit::WayTakenBack(0)]).calendar.noise, None);
    }
}
