//! Single questions a tradesman asks: a helper for some days, an evening, a Saturday, heat, a
//! fan, another method. Each is a list of edits; only those the job allows are put.

use chrono::{Datelike, NaiveDate};

use super::starts::{working_day, working_day_after};
use super::{MOST_PEOPLE, Sound};
use crate::clock::DAY;
use crate::forecast::last_day;
use crate::job::{DateHours, Day, Edit, HELPER_PACE, Hm, Hours, Job, Person, Week, free_id};
use crate::search::Found;
use crate::work::Kind;

/// Air a heater brings a place to, degrees F, and from which below it is worth asking.
pub const HEATED: f64 = 70.0;
const COLD: f64 = 68.0;
/// An evening's work.
pub const EVENING: Hours = Hours { from: Hm(18 * 60), to: Hm(21 * 60) };
/// Longest time a helper who comes for some days stays away afterwards, days.
const AWAY: i64 = crate::job::AWAY_DAYS;

/// A question. Indices are those of the job's lists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ask {
    /// A helper for so many working days from a day.
    Helper { from: NaiveDate, days: u32 },
    /// Somebody works the evening of a day as well.
    Evening { person: usize, day: NaiveDate },
    /// Somebody works on a day he has off by the week.
    Extra { person: usize, day: NaiveDate },
    /// Somebody is away on a day.
    Off { person: usize, day: NaiveDate },
    /// A heater in a place, day and night.
    Heater { place: usize },
    /// A fan or dehumidifier in a place.
    Fan { place: usize },
    /// Another method of a surface: room, surface, choice, option.
    Method { room: usize, surface: usize, choice: String, option: String },
}

/// Minutes of work that make a day one on which more hands, hours or fewer of them tell.
const BUSY: i64 = 4 * 60;

/// The first working day with half a day's work or more planned, from now on; on the days before somebody waits for
/// a laboratory or a delivery, and more hands would wait too. The first working day where there is none.
fn first_busy(sound: &Sound, found: &Found) -> NaiveDate {
    let job = &sound.job;
    let from = job.as_of.map_or(job.start, |t| t.date().max(job.start));
    let first = if working_day(job, from) { from } else { working_day_after(job, from, 1) };
    let worked = |day: NaiveDate| {
        let (begin, end) = (job.day_of(day) * DAY, (job.day_of(day) + 1) * DAY);
        let labor = found.plan.runs.iter().filter(|r| matches!(sound.graph.steps[r.step].kind, Kind::Labor));
        labor.map(|r| (r.to.0.min(end) - r.from.0.max(begin)).max(0)).sum::<i64>()
    };
    let days =
        (0..=last_day(found.plan.finish) - job.day_of(first)).map(|n| first + chrono::Days::new(n.max(0) as u64));
    days.filter(|d| working_day(job, *d)).find(|d| worked(*d) >= BUSY).unwrap_or(first)
}

/// What the job allows to be asked, each at its most usual day: a helper first, methods last.
pub fn possible(sound: &Sound, found: &Found) -> Vec<Ask> {
    let job = &sound.job;
    let mut out = Vec::new();
    if job.study.is_some() || job.crew.is_empty() {
        return out;
    }
    let first = first_busy(sound, found);
    if job.crew.len() < MOST_PEOPLE {
        out.push(Ask::Helper { from: first, days: 2 });
    }
    out.push(Ask::Evening { person: 0, day: first });
    let last = job.date_of(last_day(found.plan.finish));
    if let Some(day) = saturdays(job, last).first() {
        out.push(Ask::Extra { person: 0, day: *day });
    }
    out.push(Ask::Off { person: 0, day: first });
    let used = |p: usize| sound.graph.steps.iter().any(|s| s.place == Some(p));
    for (place, p) in job.places.iter().enumerate().filter(|(i, _)| used(*i)) {
        if p.work_air.temp_f < COLD || p.off_air.temp_f < COLD {
            out.push(Ask::Heater { place });
        }
        if !p.fan {
            out.push(Ask::Fan { place });
        }
    }
    for (c, choice) in sound.graph.choices.iter().enumerate() {
        let Some((path, id)) = choice.id.rsplit_once('/') else { continue };
        let Some((room, surface)) = path.rsplit_once('/') else { continue };
        let Some(room) = job.rooms.iter().position(|r| r.id == room) else { continue };
        let Some(surface) = job.rooms[room].surfaces.iter().position(|s| s.id == surface) else { continue };
        // Settled by the room or the crew and not by the user: no question.
        if choice.fixed.is_some() && !job.rooms[room].surfaces[surface].methods.iter().any(|m| m.0 == id) {
            continue;
        }
        let now = found.plan.order.methods.get(c).copied();
        for (_, option) in choice.options.iter().enumerate().filter(|(o, _)| Some(*o) != now) {
            out.push(Ask::Method { room, surface, choice: id.to_string(), option: option.clone() });
        }
    }
    out
}

/// Saturdays up to a day on which the week has no work and the house is open.
pub fn saturdays(job: &Job, last: NaiveDate) -> Vec<NaiveDate> {
    let free = !job.calendar.week.days.contains(&Day::Sat);
    let days = job.start.iter_days().take_while(|d| free && *d <= last).take(400);
    let open = |d: &NaiveDate| !job.calendar.house_closed.contains(d) && !job.calendar.holidays.contains(d);
    days.filter(|d| d.weekday() == chrono::Weekday::Sat && open(d)).collect()
}

/// The stretches of a usual day: opening up, closing and lunch taken out.
fn stretches(w: &Week) -> Vec<Hours> {
    let (from, to) = (Hm(w.open.0 + w.opening), Hm(w.close.0 - w.closing));
    let all = match w.lunch {
        Some(l) => vec![Hours { from, to: l.from }, Hours { from: l.to, to }],
        None => vec![Hours { from, to }],
    };
    all.into_iter().filter(|h| h.from < h.to).collect()
}

impl Ask {
    /// The changes it asks about.
    pub fn edits(&self, job: &Job) -> Vec<Edit> {
        match self {
            Ask::Helper { from, days } => vec![Edit::Person(job.crew.len(), Some(helper(job, *from, *days)))],
            Ask::Evening { person, day } => on_date(job, *person, *day, |hours| {
                hours.retain(|h| h.from < EVENING.from);
                if let Some(h) = hours.last_mut().filter(|h| h.to > EVENING.from) {
                    h.to = EVENING.from;
                }
                hours.push(EVENING);
            }),
            Ask::Extra { person, day } => on_date(job, *person, *day, |_| ()),
            Ask::Off { person, day } => match job.crew.get(*person) {
                Some(p) if !p.days_off.contains(day) => {
                    let mut new = p.clone();
                    new.days_off.push(*day);
                    new.days_off.sort_unstable();
                    new.dates.retain(|d| d.day != *day);
                    vec![Edit::Person(*person, Some(new))]
                }
                _ => Vec::new(),
            },
            Ask::Heater { place } => on_place(job, *place, |p| {
                p.work_air.temp_f = p.work_air.temp_f.max(HEATED);
                p.off_air.temp_f = p.off_air.temp_f.max(HEATED);
            }),
            Ask::Fan { place } => on_place(job, *place, |p| p.fan = true),
            Ask::Method { room, surface, choice, option } => {
                let mut out = vec![Edit::Method(*room, *surface, choice.clone(), Some(option.clone()))];
                // An order kept by another method goes by this one from now on.
                if let (Some(kept), Some(r)) = (&job.kept, job.rooms.get(*room)) {
                    let id = r.surfaces.get(*surface).map(|s| format!("{}/{}/{choice}", r.id, s.id));
                    let mut kept = kept.clone();
                    kept.methods.retain(|m| Some(&m.0) != id.as_ref());
                    out.push(Edit::Kept(Some(kept)));
                }
                out
            }
        }
    }
}

fn helper(job: &Job, from: NaiveDate, days: u32) -> Person {
    let comes: Vec<NaiveDate> =
        (0..i64::from(days.max(1))).map(|n| working_day_after(job, working_day_after(job, from, -1), n + 1)).collect();
    let from = job.start.min(from);
    let off = from.iter_days().take(AWAY as usize).filter(|d| working_day(job, *d) && !comes.contains(d));
    let id = free_id("helper", job.crew.iter().map(|p| p.id.as_str()));
    let pace = HELPER_PACE;
    Person { id, name: "Helper".into(), helper: true, pace, days_off: off.collect(), ..Person::default() }
}

pub(super) fn on_date(job: &Job, person: usize, day: NaiveDate, change: impl FnOnce(&mut Vec<Hours>)) -> Vec<Edit> {
    let Some(p) = job.crew.get(person) else { return Vec::new() };
    let usual = || stretches(p.week.as_ref().unwrap_or(&job.calendar.week));
    let mut hours = p.dates.iter().find(|d| d.day == day).map_or_else(usual, |d| d.hours.clone());
    change(&mut hours);
    let mut new = p.clone();
    new.dates.retain(|d| d.day != day);
    new.dates.push(DateHours { day, hours });
    new.dates.sort_by_key(|d| d.day);
    new.days_off.retain(|d| *d != day);
    vec![Edit::Person(person, Some(new))]
}

fn on_place(job: &Job, place: usize, change: impl FnOnce(&mut crate::job::Place)) -> Vec<Edit> {
    let Some(p) = job.places.get(place) else { return Vec::new() };
    let mut new = p.clone();
    change(&mut new);
    vec![Edit::Place(place, Some(Box::new(new)))]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::judge;
    use crate::job::edited;

    fn study() -> (Sound, Found) {
        let sound =
            crate::desk::open(include_str!("../../sample-jobs/study.ron")).expect("a job").sound.expect("sound");
        let order = Found { ..sound.plan_until(false, &|| true).expect("a plan") };
        (sound, order)
    }

    #[test]
    fn what_is_asked_can_be_planned_and_changes_the_job() {
        let (sound, found) = study();
        let all = possible(&sound, &found);
        assert!(all.len() >= 6, "{all:?}");
        for ask in &all {
            let asked = edited(&sound.job, &ask.edits(&sound.job));
            assert_ne!(asked, sound.job, "{ask:?}");
            assert!(judge(&asked).is_ok(), "{ask:?}");
            let back = crate::jobfile::read(&crate::jobfile::write(&asked), crate::trade::tables()).expect("reads");
            assert!(back.problems.is_empty(), "{ask:?}: {}", back.report());
        }
        let fan = |j: &Job| j.places.iter().filter(|p| p.fan).count();
        let with = all.iter().find(|a| matches!(a, Ask::Fan { .. })).expect("a fan");
        assert_eq!(fan(&edited(&sound.job, &with.edits(&sound.job))), fan(&sound.job) + 1);
    }

    #[test]
    fn hands_are_asked_about_from_the_first_day_with_half_a_day_of_work() {
        // An old house: nothing but waiting for the laboratory in its first days.
        let hall = crate::desk::open(include_str!("../../sample-jobs/hall.ron")).expect("a job").sound.expect("sound");
        let order = hall.plan_until(false, &|| true).expect("a plan");
        let Some(Ask::Helper { from, .. }) = possible(&hall, &order).first().cloned() else { panic!("no helper") };
        let job = &hall.job;
        let labor = |r: &&crate::schedule::Run| matches!(hall.graph.steps[r.step].kind, Kind::Labor);
        let begun = |day: NaiveDate| order.plan.runs.iter().filter(labor).any(|r| r.from.day() == job.day_of(day));
        assert!(working_day(job, from) && from >= job.start && begun(from), "{from}");
        // Of a job under way no day before the present one is offered.
        let (sound, found) = study();
        let later =
            Job { as_of: sound.job.start.and_hms_opt(17, 0, 0).map(|t| t + chrono::Days::new(7)), ..sound.job.clone() };
        let sound = Sound { job: later, ..sound };
        let Some(Ask::Helper { from, .. }) = possible(&sound, &found).first().cloned() else { panic!("no helper") };
        assert!(from >= sound.job.start + chrono::Days::new(7));
    }

    #[test]
    fn a_helper_comes_on_his_days_only_and_an_evening_follows_the_day() {
        let (sound, _) = study();
        let job = &sound.job;
        let from = working_day_after(job, job.start, 3);
        let helper = edited(job, &Ask::Helper { from, days: 2 }.edits(job)).crew.pop().expect("somebody");
        let comes: Vec<NaiveDate> =
            job.start.iter_days().take(60).filter(|d| working_day(job, *d) && !helper.days_off.contains(d)).collect();
        assert_eq!(comes, [from, working_day_after(job, from, 1)]);
        let evening = edited(job, &Ask::Evening { person: 0, day: from }.edits(job));
        let hours = &evening.crew[0].dates.iter().find(|d| d.day == from).expect("the day").hours;
        assert!(hours.len() >= 2 && *hours.last().expect("hours") == EVENING);
        assert!(hours.windows(2).all(|w| w[0].to <= w[1].from));
    }
}
