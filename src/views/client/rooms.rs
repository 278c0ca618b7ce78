//! When each room of several is theirs again.
//!
//! A room's day is the one its last work is done by in as many trials as the job's confidence asks for (the first 500, of
//! the same chances as the day of all), never after the day named for all of them: the rooms given back last have that day.
//! Nothing is said where all of them have.

use super::{RoomBack, mid_day, room_names, said};
use crate::clock::At;
use crate::desk::Sound;
use crate::forecast::{ends, last_day, stats};
use crate::search::Found;

/// The rooms worked in, in the order they are given back; none where one day is that of all.
pub(super) fn backs(sound: &Sound, found: &Found, named: chrono::NaiveDate) -> Vec<RoomBack> {
    let job = &sound.job;
    if room_names(sound).len() < 2 {
        return Vec::new();
    }
    let steps = 0..sound.graph.steps.len();
    let of = |id: &str| -> Vec<usize> {
        let mine = |s: &usize| sound.graph.steps[*s].room == id && sound.graph.steps[*s].crew.fewest > 0;
        steps.clone().filter(mine).collect()
    };
    let worked: Vec<(usize, Vec<usize>)> =
        job.rooms.iter().enumerate().map(|(i, r)| (i, of(&r.id))).filter(|x| !x.1.is_empty()).collect();
    let groups: Vec<Vec<usize>> = worked.iter().map(|x| x.1.clone()).collect();
    let Ok(all) = ends(job, &sound.net(found), &found.plan.order, job.seed, &groups) else { return Vec::new() };
    let mut out = Vec::new();
    for ((room, steps), ends) in worked.into_iter().zip(&all) {
        let Some(end) = stats::quantile(ends, job.confidence) else { continue };
        let name = &job.rooms[room].name;
        let name = said(if name.is_empty() { &job.rooms[room].id } else { name });
        out.push(match done(sound, found, &steps) {
            Some(day) => RoomBack { room: name, day, when: format!("since {}", mid_day(day)) },
            None => {
                let day = job.date_of(last_day(At(end))).min(named);
                RoomBack { room: name, day, when: format!("by {}", mid_day(day)) }
            }
        });
    }
    out.sort_by_key(|r| r.day);
    if out.iter().all(|r| r.day == named) { Vec::new() } else { out }
}

/// The rooms of one day together, for reading: when, and which.
pub(super) fn by_day(rooms: &[RoomBack]) -> Vec<(String, String)> {
    let mut out: Vec<(String, Vec<&str>)> = Vec::new();
    for r in rooms {
        match out.iter_mut().find(|x| x.0 == r.when) {
            Some(x) => x.1.push(&r.room),
            None => out.push((r.when.clone(), vec![&r.room])),
        }
    }
    out.into_iter().map(|(when, names)| (when, listed(&names))).collect()
}

/// `den, landing and bathroom`.
pub(super) fn listed(names: &[&str]) -> String {
    match names.split_last() {
        Some((last, [])) => (*last).to_string(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        None => String::new(),
    }
}

/// The day the planned work of a room was done, where none is left.
fn done(sound: &Sound, found: &Found, steps: &[usize]) -> Option<chrono::NaiveDate> {
    let facts = sound.setting.standing.as_deref()?;
    let planned = steps.iter().filter(|&&s| found.plan.timed(s).is_some());
    let ends: Option<Vec<At>> = planned.map(|&s| facts.steps[s].ended).collect();
    ends?.into_iter().max().map(|end| sound.job.date_of(last_day(end)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rooms_of_a_house_come_back_one_by_one_and_none_after_the_day_of_all() {
        let sound =
            crate::desk::open(include_str!("../../../sample-jobs/house.ron")).expect("a job").sound.expect("sound");
        let found = sound.plan(false).expect("a plan");
        let finish = last_day(found.plan.finish);
        let named = sound.job.date_of(finish + 15);
        let all = backs(&sound, &found, named);
        assert_eq!(all.len(), room_names(&sound).len());
        assert!(all.windows(2).all(|w| w[0].day <= w[1].day) && all.iter().all(|r| r.day <= named), "{all:?}");
        // No room is named for a day before its last work even in the clean run.
        for r in &all {
            let id = sound.job.rooms.iter().find(|x| x.name == r.room || x.id == r.room).expect("a room").id.clone();
            let of = |t: &&crate::schedule::Timed| sound.graph.steps[t.step].room == id;
            let end = found.plan.steps.iter().filter(of).map(|t| t.end).max().expect("work");
            assert!(sound.job.day_of(r.day) >= last_day(end), "{r:?}");
        }
        assert!(all[0].day < named);
        let told = by_day(&all);
        assert!(told.len() > 1 && told.iter().all(|t| told.iter().filter(|x| x.0 == t.0).count() == 1), "{told:?}");
        assert_eq!((listed(&["a"]), listed(&["a", "b", "c"])), ("a".into(), "a, b and c".into()));
        // All on one day, because that day comes before any room's own: nothing to say.
        assert!(backs(&sound, &found, sound.job.start).is_empty());
    }
}
