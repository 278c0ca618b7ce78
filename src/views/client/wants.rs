//! What is needed from the client and by when, what could move the day, what the room allows when.
//!
//! Dates are those of the plan. Causes are the forecast's, in days to the nearest half. When a coat
//! is hard comes from its product and the air of its place, counted in days after the last work.

use std::collections::BTreeMap;

use super::rooms::listed;
use super::{Use, Want, at_house, day_of, mid_day, number, room_names, row_of, said, small};
use crate::clock::{At, DAY};
use crate::desk::Sound;
use crate::forecast::{Forecast, last_day};
use crate::job::OpeningKind;
use crate::search::Found;
use crate::standing::Stands;
use crate::trade::Stage;
use crate::views::Almanac;
use crate::work::Kind;

/// Days before an appointment that only follows the work at which its hour is named.
const NEAR: i64 = 4;

/// Everything needed from the client that is not there yet, first to last. What only follows the work has no day of its
/// own before it is near: the walk-through is on the last day, which is `named` at the latest.
pub(super) fn wants(sound: &Sound, found: &Found, named: chrono::NaiveDate) -> Vec<Want> {
    let mut out = empty_rooms(sound, found);
    let as_of = sound.job.as_of.map(|t| sound.job.at_of(t).day());
    let near = |at: At| as_of.is_some_and(|now| day_of(at) - now <= NEAR);
    let several = room_names(sound).len() > 1;
    let mut walk = false;
    for t in &found.plan.steps {
        let s = &sound.graph.steps[t.step];
        if ended(sound, t.step) || past(sound, t.step) {
            continue;
        }
        let want = match s.kind {
            Kind::Decision { at, .. } => Some(decision(sound, t.step, at)),
            Kind::Business { .. } if s.origin.starts_with("deliveries[") && comes_to_the_house(sound, t.step) => {
                let day = sound.job.date_of(last_day(t.end).max(day_of(t.begin)));
                let what = format!("expected: {}; please let it in", said(&s.name));
                Some(Want { key: format!("delivery-{}", s.id), day, when: mid_day(day), what })
            }
            Kind::Elapsed(_) if s.origin.starts_with("visits[") && t.begin < t.end => {
                let what = format!("{}: somebody at home", said(&s.name));
                let key = format!("visit-{}", s.id);
                // A visit at hours of its own is agreed with who comes; any other follows the work.
                let follows = s.windows.is_empty() && sound.graph.links.iter().any(|l| l.to == t.step);
                Some(match follows && !near(t.begin) {
                    true => {
                        let day = sound.job.date_of(day_of(t.begin));
                        Want { key, day, when: format!("about {}", mid_day(day)), what: format!("{what}; {NAMED}") }
                    }
                    false => timed(sound, key, t.begin, what),
                })
            }
            Kind::Labor if row_of(&s.id) == "punch" && near(t.begin) => {
                let what = format!("walk-through with you{}", of_room(sound, &s.room));
                Some(timed(sound, format!("walk-through-{}", s.room), t.begin, what))
            }
            Kind::Labor if row_of(&s.id) == "punch" && !walk => {
                walk = true;
                let when = if several { "on each room's last day" } else { "on the last day" };
                let what = format!("walk-through with you; {NAMED}");
                Some(Want { key: "walk-through".into(), day: named, when: when.into(), what })
            }
            _ => None,
        };
        out.extend(want);
    }
    // A day gone by that was written up asks for nothing any more.
    let now = sound.setting.standing.as_deref().filter(|_| !sound.job.log.is_empty());
    let now = now.map_or(i64::MIN, |f| f.as_of.0.div_euclid(DAY));
    out.retain(|w| sound.job.day_of(w.day) >= now);
    out.sort_by(|a, b| (a.day, &a.when, &a.key).cmp(&(b.day, &b.when, &b.key)));
    // A calendar tells its events apart by these.
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    for w in &mut out {
        let n = seen.entry(w.key.clone()).or_insert(0);
        *n += 1;
        if *n > 1 {
            w.key += &format!("-{n}");
        }
    }
    out
}

/// What is said of a day that follows the work.
const NAMED: &str = "we name the day two days before";

impl Want {
    /// Whether its day is still to be named: then it is in no calendar.
    pub fn unnamed(&self) -> bool {
        self.what.ends_with(NAMED)
    }
}

/// Done, settled or arrived.
fn ended(sound: &Sound, step: usize) -> bool {
    let known = sound.setting.standing.as_deref().and_then(|f| f.steps.get(step));
    known.is_some_and(|s: &Stands| s.ended.is_some())
}

/// Whether work that waited for it has begun: then it was there.
fn past(sound: &Sound, step: usize) -> bool {
    let Some(facts) = sound.setting.standing.as_deref() else { return false };
    let waits = sound.graph.links.iter().filter(|l| l.from == step).map(|l| l.to);
    waits.filter_map(|to| facts.steps.get(to)).any(|s| s.begun.is_some() || s.ended.is_some())
}

fn decision(sound: &Sound, step: usize, at: At) -> Want {
    let s = &sound.graph.steps[step];
    let day = sound.job.date_of(last_day(at));
    let name = said(if s.name.is_empty() { &s.id } else { &s.name });
    Want { key: format!("decision-{}", s.id), day, when: format!("by {}", mid_day(day)), what: name }
}

fn timed(sound: &Sound, key: String, at: At, what: String) -> Want {
    let day = sound.job.date_of(day_of(at));
    let when = format!("{}, {}", mid_day(day), about(sound, at));
    Want { key, day, when, what }
}

/// `13:00`, an hour that was named; what the plan worked out is only about so: `about 9:30`, `about noon`.
fn about(sound: &Sound, at: At) -> String {
    let a = Almanac(&sound.job);
    if at.minute() % 15 == 0 {
        return a.time(at);
    }
    format!("about {}", a.time(At((at.0 + 15).div_euclid(30) * 30)))
}

/// `: study` where the job has several rooms.
fn of_room(sound: &Sound, room: &str) -> String {
    let name = sound.job.rooms.iter().find(|r| r.id == room).map(|r| said(&r.name));
    name.filter(|n| room_names(sound).len() > 1 && !n.is_empty())
        .map_or_else(String::new, |n| format!(": {}", small(&n)))
}

/// Whether something at the house waits for a delivery.
fn comes_to_the_house(sound: &Sound, delivery: usize) -> bool {
    let links = sound.graph.links.iter().filter(|l| l.from == delivery);
    let mut waits = links.map(|l| l.to);
    waits.any(|to| at_house(sound, to).is_some())
}

/// Each room empty on the day before work begins in it; nothing once it has begun, and nothing in a
/// house nobody lives in.
fn empty_rooms(sound: &Sound, found: &Found) -> Vec<Want> {
    let job = &sound.job;
    if !job.house.occupied {
        return Vec::new();
    }
    let mut first: BTreeMap<&str, i64> = BTreeMap::new();
    for r in &found.plan.runs {
        let s = &sound.graph.steps[r.step];
        // A room is measured with the furniture in it.
        if at_house(sound, r.step).is_some() && !s.room.is_empty() && row_of(&s.id) != "measure" {
            let day = first.entry(s.room.as_str()).or_insert(i64::MAX);
            *day = (*day).min(day_of(r.from));
        }
    }
    let known = sound.setting.standing.as_deref().map_or(i64::MIN, |f| f.as_of.0.div_euclid(DAY));
    // Rooms of one day stand together.
    let mut by_day: BTreeMap<i64, Vec<(&str, String)>> = BTreeMap::new();
    for room in &job.rooms {
        let Some(&day) = first.get(room.id.as_str()).filter(|d| **d >= known) else { continue };
        let name = small(&said(if room.name.is_empty() { &room.id } else { &room.name }));
        by_day.entry(day - 1).or_default().push((&room.id, name));
    }
    let one = |(day, rooms): (i64, Vec<(&str, String)>)| {
        let day = job.date_of(day);
        let names: Vec<&str> = rooms.iter().map(|r| r.1.as_str()).collect();
        let all = listed(&names);
        let what = format!("{all} empty: furniture, rugs, curtains and what hangs on the walls");
        Want { key: format!("empty-{}", rooms[0].0), day, when: format!("by {}", mid_day(day)), what }
    };
    by_day.into_iter().map(one).collect()
}

/// A cause in the client's words.
pub(super) fn cause(key: &str) -> Option<&'static str> {
    Some(match key {
        "hours" => "work that takes longer than planned",
        "drying" => "cool, damp weather: everything dries slower",
        "lost_days" => ILLNESS,
        "holes" => "mornings that begin late",
        "unavailable" => "days on which the room cannot be worked in",
        "job_before" => "the day we can begin",
        "redo" => "something that is not good enough and is done again",
        "surprises" => "what is found once walls and trim are opened",
        "late" => "deliveries and decisions that come late",
        "unlisted" => "small things nobody thought of",
        _ => return None,
    })
}

/// `a day and a half`, from halves of a day; none below a half.
fn halves(n: i64) -> Option<String> {
    Some(match n {
        ..=0 => return None,
        1 => "half a day".into(),
        2 => "a day".into(),
        3 => "a day and a half".into(),
        n if n % 2 == 0 => format!("{} days", number(n / 2)),
        n => format!("{} and a half days", number(n / 2)),
    })
}

const ILLNESS: &str = "illness";

/// What could move the day, largest first, by the switches of the job.
pub(super) fn moves(sound: &Sound, f: &Forecast) -> Vec<String> {
    let switches = &sound.job.client_page;
    let mut list: Vec<(i64, &'static str)> = Vec::new();
    for c in f.causes.iter().filter(|c| switches.says(&c.cause)) {
        // What is no more than chance is not said.
        let counted = if c.days < c.error { 0 } else { libm::round(c.days * 2.0) as i64 };
        list.extend(cause(&c.cause).map(|w| (counted, w)));
    }
    list.sort_by_key(|x| -x.0);
    // How long somebody may be ill is nobody's business but his.
    let told = |(n, words): (i64, &'static str)| {
        halves(n).map(|h| if words == ILLNESS { words.to_string() } else { format!("{words}: about {h}") })
    };
    list.into_iter().filter_map(told).collect()
}

/// From the day it is back on; common practice, no source.
const FIRST: &str = "walk in, light use, furniture a hand's width off the walls";
const WALLS: &str = "walls may be washed and leaned on";

/// What may be done with the room, and how long after it is handed back; from which day on where it has been since `done`.
pub(super) fn uses(sound: &Sound, found: &Found, done: Option<chrono::NaiveDate>) -> Vec<Use> {
    let days_after = |n: i64| match done {
        Some(day) if n <= 0 => format!("since {}", mid_day(day)),
        Some(day) => format!("from {}", mid_day(sound.job.date_of(sound.job.day_of(day) + n))),
        None => days_after(n),
    };
    let finish = last_day(found.plan.finish);
    // Days after the last work at which the last coat picked is there.
    let after = |stage: Stage, pick: &dyn Fn(&str) -> bool| -> Option<i64> {
        let coats = found
            .plan
            .steps
            .iter()
            .filter(|t| at_house(sound, t.step).is_some() && pick(row_of(&sound.graph.steps[t.step].id)));
        let ready = coats.filter_map(|t| t.ready.iter().find(|r| r.0 == stage).map(|r| r.1));
        ready.map(|at| (last_day(at) - finish).max(0)).max()
    };
    let any = |_: &str| true;
    let trim = |row: &str| ["spray-", "brush-", "doors-"].iter().any(|p| row.starts_with(p));
    let walls = |row: &str| row.starts_with("wall-");
    let doors = sound.job.rooms.iter().flat_map(|r| &r.openings).any(|o| o.kind != OpeningKind::Cased);
    let mut out = vec![Use { when: days_after(0), what: FIRST.into() }];
    let entry = |days: Option<i64>, what: &str| days.map(|d| Use { when: days_after(d), what: what.into() });
    if doors {
        let shut = after(Stage::Shut, &|r| r.starts_with("doors-"));
        out.extend(entry(shut, "doors and windows stay shut without sticking"));
    }
    out.extend(entry(after(Stage::Full, &walls), WALLS));
    out.extend(entry(after(Stage::Full, &trim), "things on sills and rails, cleaning trim and doors"));
    if out.len() == 1 {
        out.extend(entry(after(Stage::Full, &any), "everything as before"));
    }
    out.push(Use { when: "always".into(), what: "what the paint can says comes before these days".into() });
    out
}

/// `that day`, `next day`, `5 days after`, `3 weeks after`: weeks are rounded up.
fn days_after(n: i64) -> String {
    match n {
        ..=0 => "that day".into(),
        1 => "next day".into(),
        2..=13 => format!("{n} days after"),
        n => format!("{} weeks after", (n + 6) / 7),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::Cause;
    use crate::trade::Switch;

    fn study(change: &dyn Fn(&mut crate::job::Job)) -> (Sound, Found) {
        let mut job = crate::desk::open(include_str!("../../../sample-jobs/study.ron")).expect("a job").read.job;
        change(&mut job);
        let sound = crate::desk::judge(&job).expect("sound");
        let found = sound.plan(false).expect("a plan");
        (sound, found)
    }

    #[test]
    fn the_study_needs_a_colour_an_empty_room_the_boards_and_a_walk_through() {
        let (sound, found) = study(&|_| {});
        let named = "2027-04-21".parse().expect("a day");
        let all = wants(&sound, &found, named);
        let of = |key: &str| all.iter().find(|w| w.key == key).unwrap_or_else(|| panic!("{key}: {all:?}"));
        // The job's own words: trim colour chosen by 12 March; she is home Tuesday and Thursday from 13:00.
        assert_eq!(of("decision-colour").when, "by Fri 12 March");
        // It follows the work, so it has no hour before it is near.
        let walk = of("walk-through");
        assert_eq!((walk.when.as_str(), walk.day), ("on the last day", named));
        assert!(walk.what.ends_with(NAMED) && walk.unnamed());
        let punch = found.plan.steps.iter().find(|t| row_of(&sound.graph.steps[t.step].id) == "punch").expect("one");
        let eve = sound.job.date_of(day_of(punch.begin) - 1).and_time(chrono::NaiveTime::MIN);
        let soon = Sound { job: crate::job::Job { as_of: Some(eve), ..sound.job.clone() }, ..sound.clone() };
        let near = wants(&soon, &found, named);
        let walk = near.iter().find(|w| w.key == "walk-through-study").expect("an appointment");
        assert!(!walk.unnamed());
        assert!(
            walk.when.ends_with("13:00") && (walk.when.starts_with("Tue") || walk.when.starts_with("Thu")),
            "{walk:?}"
        );
        assert!(of("delivery-crown-stock").what.starts_with("expected: primed crown and base, 16 ft;"));
        // Sheets for the shop do not come to her door.
        assert!(all.iter().all(|w| w.key != "delivery-panel-stock"), "{all:?}");
        // Work begins on Monday 1 March with measuring; the furniture is out before plates come off.
        assert_eq!(of("empty-study").day, "2027-02-28".parse().expect("a day"));
        assert!(all.windows(2).all(|w| w[0].day <= w[1].day));
        let (sound, found) = study(&|j| j.house.occupied = false);
        assert!(wants(&sound, &found, named).iter().all(|w| w.key != "empty-study"));
    }

    #[test]
    fn causes_are_said_in_half_days_and_each_can_be_switched_off() {
        let (mut sound, _) = study(&|_| {});
        let cause = |cause: &str, days: f64, error: f64| Cause { cause: cause.into(), days, error };
        let causes = vec![
            cause("together", 6.0, 0.1),
            cause("hours", 1.3, 0.1),
            cause("drying", 0.74, 0.1),
            cause("late", 0.2, 0.1),
            cause("redo", 1.0, 1.5),
            cause("surprises", 2.6, 0.1),
            cause("lost_days", 0.5, 0.1),
        ];
        let f = Forecast {
            seed: 1,
            trials: 500,
            clean_run: At(0),
            finish: vec![],
            sorted: vec![],
            labor: vec![],
            overtime: vec![],
            paid: vec![],
            causes,
            on_date: vec![],
            origin: 0,
        };
        let said = moves(&sound, &f);
        // How long somebody may be ill is not told.
        assert!(said.iter().any(|s| s == "illness"), "{said:?}");
        assert_eq!(said[0], "what is found once walls and trim are opened: about two and a half days");
        assert_eq!(said[1], "work that takes longer than planned: about a day and a half");
        assert_eq!(said[2], "cool, damp weather: everything dries slower: about half a day");
        assert_eq!(said.len(), 4, "{said:?}");
        sound.job.client_page.surprises = Switch::Off;
        assert!(moves(&sound, &f)[0].starts_with("work that takes longer"));
        assert_eq!((halves(0), halves(2), halves(4)), (None, Some("a day".into()), Some("two days".into())));
    }

    #[test]
    fn a_wall_is_washed_when_its_paint_is_hard() {
        let (sound, found) = study(&|_| {});
        let all = uses(&sound, &found, None);
        assert_eq!(all[0].when, "that day");
        // The product of the last wall coat, by its own clock, counted from the last work.
        let full = found.plan.steps.iter().filter(|t| sound.graph.steps[t.step].id.contains("/wall-"));
        let full = full.filter_map(|t| t.ready.iter().find(|r| r.0 == Stage::Full)).map(|r| r.1).max();
        let walls = all.iter().find(|u| u.what == WALLS);
        assert_eq!(walls.is_some(), full.is_some());
        if let (Some(u), Some(at)) = (walls, full) {
            assert_eq!(u.when, days_after(last_day(at) - last_day(found.plan.finish)));
        }
        assert_eq!(
            (days_after(13), days_after(14), days_after(30)),
            ("13 days after".into(), "2 weeks after".into(), "5 weeks after".into())
        );
    }
}
