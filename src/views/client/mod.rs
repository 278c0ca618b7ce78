//! The client's page: when the room is theirs again, what happens when, what is needed from them.
//!
//! Answers the client's questions in the client's words, from a plan and its forecast. Days are
//! local days. The page is text, days and marks only: its types are `Eq`, so no floating number
//! fits in, and none of them holds labor, money or a chance but the one sentence of odds that the
//! job's switch allows. Words and phases are common practice, no source; the cautions name theirs.

mod cautions;
mod days;
mod lists;
mod phases;
mod roll;
mod rooms;
mod sheet;
mod strips;
mod switches;
mod text;
mod told;
mod wants;
mod weeks;

use chrono::{Datelike, NaiveDate};

pub use cautions::Heed;
pub(super) use days::Life;
pub use phases::Phase;
pub use roll::{Drawn, Told, client_roll, client_wait, client_wait_roll};
pub use sheet::client_sheets;
pub use switches::{Seen, seen};
pub use text::{client_json, client_text};

use crate::clock::DAY;
use crate::desk::Sound;
use crate::forecast::{Forecast, last_day};
use crate::job::{Switch, TargetKind};
use crate::search::Found;

/// Something that is to be there or done by a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Want {
    /// A name that stays when the day moves, such as `decision-colour`.
    pub key: String,
    pub day: NaiveDate,
    /// `by Fri 12 Mar`, `Tue 30 Mar, 13:00`.
    pub when: String,
    pub what: String,
}

/// What may be done with the room when it is back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Use {
    /// `that day`, `3 days after`.
    pub when: String,
    pub what: String,
}

/// What a day is like for who lives there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Trouble {
    Closed,
    Dusty,
    Wet,
    Smell,
    Noise,
    PowerOff,
    WaterOff,
}

impl Trouble {
    /// In a word or two.
    pub fn words(self) -> &'static str {
        match self {
            Trouble::Closed => "closed",
            Trouble::Dusty => "dusty",
            Trouble::Wet => "wet",
            Trouble::Smell => "smell",
            Trouble::Noise => "noise",
            Trouble::PowerOff => "power off at times",
            Trouble::WaterOff => "water off at times",
        }
    }
}

/// The door of the room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Door {
    Open,
    /// Keep out.
    Shut,
}

/// A day of the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClientDay {
    pub date: NaiveDate,
    /// `1 Mar` where a month or the page begins, else `2`.
    pub number: String,
    /// Nobody works.
    pub off: bool,
    /// From the first day of work to the last.
    pub door: Option<Door>,
    /// `dusty`; with several rooms only what is in none of them.
    pub troubles: Vec<String>,
    /// The day the room is theirs again.
    pub theirs: bool,
    /// A workday on which nobody works, as time was lost.
    pub lost: bool,
}

/// A room of several, and when it is theirs again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RoomBack {
    pub room: String,
    pub day: NaiveDate,
    /// `by Fri 24 September`, `since Thu 23 September`.
    pub when: String,
}

/// A room on a day, where there are several.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RoomDay {
    /// None where nothing is done in it and nothing dries.
    pub door: Option<Door>,
    pub troubles: Vec<String>,
    /// Phases by their names, the longest first.
    pub phases: Vec<Vec<String>>,
}

/// A room in a week, where there are several.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RoomWeek {
    pub name: String,
    /// Seven.
    pub days: Vec<RoomDay>,
}

/// A stretch of one phase within a week.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ribbon {
    /// Its names, the longest first: a narrow ribbon carries a shorter one.
    pub names: Vec<String>,
    /// Weekdays it spans, Monday = 0, both included.
    pub from: usize,
    pub to: usize,
    /// From the top, 0 first.
    pub row: usize,
    /// Days kept in hand, not work.
    pub in_hand: bool,
}

/// Seven days from a Monday.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClientWeek {
    pub days: Vec<ClientDay>,
    /// Phases; with several rooms only those of none.
    pub ribbons: Vec<Ribbon>,
    /// The rooms with anything in this week, where the job has several.
    pub rooms: Vec<RoomWeek>,
}

/// The whole page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClientPage {
    /// Who does the work, in one line; empty where nothing is set.
    pub from: String,
    pub client: String,
    /// `Your study is yours again by the end of`.
    pub lead: String,
    pub day: NaiveDate,
    /// `Wednesday 31 March 2027`.
    pub headline: String,
    /// Whether that day is the one promised.
    pub promised: bool,
    /// A day that was promised and cannot be kept any more; the headline is then the safe one.
    pub broken: Option<NaiveDate>,
    /// Nothing is left to do.
    pub done: bool,
    /// The day of the clean run, and the sentence that names it.
    pub early_day: NaiveDate,
    pub early: String,
    pub conditions: Vec<String>,
    /// `8 chances in 10 that it is done by then`, where it is wanted.
    pub odds: Option<String>,
    /// Weeks gone by, in one line.
    pub gone: Option<String>,
    pub weeks: Vec<ClientWeek>,
    pub wants: Vec<Want>,
    /// Each room with its own day, where the job has several and they are not all given back on one.
    pub rooms: Vec<RoomBack>,
    /// What could still move the day.
    pub moves: Vec<String>,
    /// How those are read; empty where there is but one.
    pub moves_note: String,
    pub uses: Vec<Use>,
    pub heeds: Vec<Heed>,
    /// How the drawing is read, and when work is done.
    pub note: String,
}

/// What is said over days between the last work and the day named.
pub const IN_HAND: &str = "kept in hand";
/// What is said of several causes.
const NOT_A_SUM: &str = "These do not add up: several often fall on the same days.";
/// The last word on cautions.
pub const REMINDERS: &str = "These are reminders, not permissions: local code and licensed practice win.";

impl ClientPage {
    /// Reads plan and forecast of a job.
    pub fn new(sound: &Sound, found: &Found, f: &Forecast) -> ClientPage {
        let job = &sound.job;
        if let Some(day) = ended(sound, found) {
            return ClientPage::of_the_end(sound, found, day);
        }
        let finish = last_day(found.plan.finish);
        let promise = job.target.filter(|t| t.kind == TargetKind::Promised).map(|t| t.day);
        // A day the work runs past even if nothing gets in the way is no day to count on.
        let broken = promise.filter(|d| job.day_of(*d) < finish);
        let promised = promise.filter(|_| broken.is_none());
        let day = promised.unwrap_or_else(|| job.date_of(f.day(job.confidence)));
        let early_day = job.date_of(finish);
        let life = days::Life::new(sound, found);
        let (gone, weeks) = life.weeks(day, finish);
        let moves = wants::moves(sound, f);
        let mut conditions = Vec::new();
        if broken.is_some() {
            conditions.push("The new day is not promised yet: we settle it with you.".to_string());
        } else if promised.is_none() {
            conditions.push("This day is planned and not promised yet.".to_string());
        }
        conditions.push("It holds if what is needed from you is there by the days named here.".into());
        conditions.push("A change is named with its days and agreed with you before it is begun.".into());
        ClientPage {
            from: said(&job.letterhead.from.join(", ")),
            client: said(&job.client),
            lead: lead(sound, broken),
            day,
            headline: long_day(day),
            promised: promised.is_some(),
            broken,
            done: false,
            early_day,
            early: early(day, early_day),
            conditions,
            odds: (job.client_page.odds == Switch::On).then(|| odds(f.chance(job.day_of(day)).0)),
            gone,
            weeks,
            wants: wants::wants(sound, found, day),
            rooms: rooms::backs(sound, found, day),
            moves_note: if moves.len() > 1 { NOT_A_SUM.into() } else { String::new() },
            moves,
            uses: wants::uses(sound, found, None),
            heeds: cautions::heeds(sound),
            note: note(sound),
        }
    }

    /// The page of a job with nothing left to do: since when it is theirs, and what may be used from which day on.
    fn of_the_end(sound: &Sound, found: &Found, day: NaiveDate) -> ClientPage {
        let rooms: Vec<String> = room_names(sound).iter().map(|r| small(r)).collect();
        let lead = match rooms.as_slice() {
            [] => "The work has been done since".into(),
            [one] => format!("Your {one} has been yours since"),
            [a, b] => format!("Your {a} and {b} have been yours since"),
            many => format!("Your {} rooms have been yours since", number(many.len() as i64)),
        };
        ClientPage {
            from: said(&sound.job.letterhead.from.join(", ")),
            client: said(&sound.job.client),
            lead,
            day,
            headline: long_day(day),
            promised: false,
            broken: None,
            done: true,
            early_day: day,
            early: String::new(),
            conditions: Vec::new(),
            odds: None,
            gone: None,
            weeks: Vec::new(),
            wants: Vec::new(),
            rooms: Vec::new(),
            moves: Vec::new(),
            moves_note: String::new(),
            uses: wants::uses(sound, found, Some(day)),
            heeds: Vec::new(),
            note: String::new(),
        }
    }
}

/// The day of the last work of a job that is closed or has nothing left to do.
fn ended(sound: &Sound, found: &Found) -> Option<NaiveDate> {
    let job = &sound.job;
    if let Some(c) = &job.closed {
        return Some(job.date_of(last_day(job.at_of(c.finish))));
    }
    let facts = sound.setting.standing.as_deref()?;
    let left = |t: &crate::schedule::Timed| facts.steps.get(t.step).is_none_or(|s| s.ended.is_none());
    let work = |t: &&crate::schedule::Timed| sound.graph.steps[t.step].crew.fewest > 0;
    let mut of = found.plan.steps.iter().filter(work).peekable();
    (of.peek().is_some() && !of.any(left)).then(|| job.date_of(last_day(found.plan.finish)))
}

/// `two`, `six`, `14`: a count in a sentence.
fn number(n: i64) -> String {
    let words =
        ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    usize::try_from(n).ok().and_then(|n| words.get(n)).map_or_else(|| super::whole(n), ToString::to_string)
}

/// `Wednesday 31 March 2027`.
pub fn long_day(day: NaiveDate) -> String {
    day.format("%A %-d %B %Y").to_string()
}

/// `Wed 31 March`.
pub(super) fn mid_day(day: NaiveDate) -> String {
    day.format("%a %-d %B").to_string()
}

/// Names of the rooms worked in, as said: the room's own, else that of its place.
fn room_names(sound: &Sound) -> Vec<String> {
    let job = &sound.job;
    let worked = |id: &str| sound.graph.steps.iter().any(|s| s.room == id);
    let name = |r: &crate::job::Room| said(if r.name.is_empty() { &r.id } else { &r.name });
    job.rooms.iter().filter(|r| worked(&r.id)).map(name).collect()
}

/// A name as the page says it: its first letter small unless the whole word is capitals.
fn small(name: &str) -> String {
    let mut c = name.chars();
    match (c.next(), c.clone().next()) {
        (Some(a), Some(b)) if a.is_uppercase() && b.is_uppercase() => name.to_string(),
        (Some(a), _) => a.to_lowercase().chain(c).collect(),
        _ => String::new(),
    }
}

/// Text of the user's as it is printed: one line, nothing that draws or turns the line round.
fn said(text: &str) -> String {
    super::paper::clean(text)
}

/// Whose rooms the day is of; with a day that does not hold, that first.
fn lead(sound: &Sound, broken: Option<NaiveDate>) -> String {
    let rooms: Vec<String> = room_names(sound).iter().map(|r| small(r)).collect();
    let (whose, are) = match rooms.as_slice() {
        [] => ("the work".into(), "is done"),
        [one] => (format!("your {one}"), "is yours again"),
        [a, b] => (format!("your {a} and {b}"), "are yours again"),
        many => (format!("your {} rooms", number(many.len() as i64)), "are yours again"),
    };
    match broken {
        Some(day) => {
            let day = day.format("%A %-d %B");
            format!("The day we named, {day}, does not hold. Count on it that {whose} {are} by the end of")
        }
        None => {
            let (first, rest) = whose.split_at(1);
            format!("{}{rest} {are} by the end of", first.to_uppercase())
        }
    }
}

fn early(day: NaiveDate, early: NaiveDate) -> String {
    if early >= day {
        return "Nothing is left in hand between the last work and that day.".into();
    }
    let between = "The days between are kept in hand for drying and surprises.";
    let year = if early.year() == day.year() { "%A %-d %B" } else { "%A %-d %B %Y" };
    format!("As early as {} if nothing gets in the way. {between}", early.format(year))
}

/// `8 chances in 10`; nothing is said to be certain.
fn odds(share: f64) -> String {
    match (share * 10.0).floor() as i64 {
        n if n >= 10 => "More than 9 chances in 10 that it is done by then.".into(),
        n if n >= 1 => format!("{n} chance{} in 10 that it is done by then.", if n == 1 { "" } else { "s" }),
        _ => "Less than 1 chance in 10 that it is done by then.".into(),
    }
}

fn note(sound: &Sound) -> String {
    let week = &sound.job.calendar.week;
    let names = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
    let mut on: Vec<usize> = week.days.iter().map(|d| d.index()).collect();
    on.sort_unstable();
    on.dedup();
    let run = on.windows(2).all(|w| w[1] == w[0] + 1);
    let days = match on.as_slice() {
        [a, .., b] if run && b - a > 1 => format!("{} to {}", names[*a], names[*b]),
        list => list.iter().map(|&d| names[d]).collect::<Vec<_>>().join(", "),
    };
    let quiet = sound.job.calendar.noise.map_or_else(String::new, |n| format!(", noise {} to {} only", n.from, n.to));
    let times = format!("{days} {} to {}{quiet}", week.open, week.close);
    let out = if room_names(sound).len() > 1 { "of that room " } else { "" };
    format!(
        "A door drawn shut: please keep out {out}that day. Work is {times}; drying goes on at night and on days off."
    )
}

/// Whether a step is done at the client's house, and the index of its place.
fn at_house(sound: &Sound, step: usize) -> Option<usize> {
    sound.graph.steps[step].place.filter(|&p| sound.setting.spots[p].house)
}

/// Id of the recipe's row a step was made of; the id itself for a step of the user's own.
fn row_of(id: &str) -> &str {
    id.rsplit(['/', ':']).next().unwrap_or(id)
}

/// Day number an instant lies in, as the begin of something.
fn day_of(at: crate::clock::At) -> i64 {
    at.0.div_euclid(DAY)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn odds_are_rounded_down_and_never_certain() {
        assert_eq!(odds(0.89), "8 chances in 10 that it is done by then.");
        assert_eq!(odds(0.19), "1 chance in 10 that it is done by then.");
        assert_eq!(odds(1.0), "More than 9 chances in 10 that it is done by then.");
        assert_eq!(odds(0.02), "Less than 1 chance in 10 that it is done by then.");
    }

    #[test]
    fn the_day_named_and_the_early_day_are_one_story() {
        let day = |d: &str| d.parse::<NaiveDate>().expect("a day");
        // 31 March 2027 is a Wednesday (Gregorian calendar).
        assert_eq!(long_day(day("2027-03-31")), "Wednesday 31 March 2027");
        let words = early(day("2027-03-31"), day("2027-03-25"));
        assert!(words.starts_with("As early as Thursday 25 March if"), "{words}");
        assert!(words.contains(IN_HAND));
        assert!(early(day("2027-01-04"), day("2026-12-30")).contains("30 December 2026"));
        assert_eq!((number(0), number(6), number(14)), ("no".into(), "six".into(), "14".into()));
    }

    #[test]
    fn names_are_said_small_in_a_sentence() {
        assert_eq!((small("Study"), small("TV room"), small("")), ("study".into(), "TV room".into(), String::new()));
    }

    #[test]
    fn no_type_of_the_page_can_hold_labor_money_or_a_float() {
        // The types stand in this file and in cautions.rs; `Eq` keeps floats out, the scan the rest.
        fn eq<T: Eq>() {}
        eq::<ClientPage>();
        for (name, source) in [("mod.rs", include_str!("mod.rs")), ("cautions.rs", include_str!("cautions.rs"))] {
            let code = source.split("#[cfg(test)]").next().expect("code");
            let types: Vec<&str> = code.split("pub struct ").skip(1).filter_map(|s| s.split("\n}").next()).collect();
            assert!(!types.is_empty(), "{name}");
            for t in types {
                for word in ["LaborHours", "Money", "f64", "f32", "Rate", "Figure", "i64"] {
                    assert!(!t.contains(word), "{name}: {word} in {t}");
                }
            }
        }
    }
}
