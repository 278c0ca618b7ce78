//! The walk-round: nine questions asked in the house, their plain answers, the changes each
//! answer makes, and what that did, in words.
//!
//! A question counts as answered where the job shows it or where its key stands in
//! [`House::asked`](crate::job::House). Every answer is a list of edits, one undo entry. The
//! figures of the answers are judgement (common practice, no source) and can be written over
//! in their own zones.
//!
//! One file because the nine questions share their choices and the sentences of what they change.

use super::drytime::{dry_hours, roughly};
use super::typed::{self, plain};
use super::{choices, temperature};
use crate::clock::Air;
use crate::desk::asks::HEATED;
use crate::job::{
    Day, Edit, HELPER_PACE, Hm, Hours, House, Job, Part, Person, Place, PlaceKind, Surface, Units, Week, free_id,
    public_holidays,
};
use crate::trade::{Risks, RowPlace, Stage, Switch, tables};
use crate::work::build::{EMPTY, LEAD};

/// Keys of the questions, in the order they are asked.
pub const KEYS: [&str; 9] = ["year", "square", "stairs", "heat", "people", "away", "crew", "before", "shop"];

/// Houses from these years on need no lead and no asbestos test (the recipes' own limits).
const LEAD_YEAR: i32 = 1978;
const OLD_YEAR: i32 = 1990;

/// Out of square: somewhat, badly (judgement; 1.4 is the most).
const OUT: (f64, f64) = (1.15, 1.3);
/// A late start on so many days where there are pets to mind (judgement; 0.12 without).
const PETS: f64 = 0.15;
/// Hours of noise a household with a sleeper or a home office allows (judgement).
const QUIET: Hours = Hours { from: Hm(9 * 60), to: Hm(17 * 60) };

/// An answer to be chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    pub words: String,
    /// It is the answer the job has.
    pub on: bool,
    /// Done when it is chosen; one undo entry.
    pub edits: Vec<Edit>,
}

/// An answer to be typed.
#[derive(Clone, Copy)]
pub struct Blank {
    /// Its accessible name.
    pub name: &'static str,
    /// Words behind the field.
    pub unit: &'static str,
    /// A text wider than a number.
    pub wide: bool,
    /// What the field shows.
    pub shown: fn(&Job) -> String,
    /// The changes a text makes, or what is wrong with it.
    pub read: fn(&Job, &str) -> Result<Vec<Edit>, String>,
}

/// A question with its answers and what they did.
#[derive(Clone)]
pub struct Question {
    pub key: &'static str,
    pub ask: &'static str,
    pub answered: bool,
    /// Answers to choose from, in rows: one of each row holds.
    pub rows: Vec<Vec<Choice>>,
    pub blank: Option<Blank>,
    /// What the answer changed, or what is taken until it is asked.
    pub says: String,
    /// What is offered on top: words and changes.
    pub offers: Vec<(String, Vec<Edit>)>,
}

/// `all asked`, `3 of 9 not asked yet`.
pub fn count(list: &[Question]) -> String {
    match list.iter().filter(|q| !q.answered).count() {
        0 => "all asked".into(),
        n => format!("{n} of {} not asked yet", list.len()),
    }
}

/// How many questions nobody has asked yet.
pub fn unasked(job: &Job) -> usize {
    questions(job).iter().filter(|q| !q.answered).count()
}

/// The nine questions as the job answers them.
pub fn questions(job: &Job) -> Vec<Question> {
    let mut list =
        vec![year(job), square(job), stairs(job), heat(job), people(job), away(job), crew(job), before(job), shop(job)];
    for q in &mut list {
        q.answered |= job.house.asked.iter().any(|k| k == q.key);
        if !q.answered {
            if !q.says.is_empty() {
                q.says = format!("until it is asked: {}", q.says);
            }
            q.offers.retain(|_| q.key != "heat");
            // The usual figure stands, but nobody gave it.
            q.rows.iter_mut().flatten().for_each(|c| c.on = false);
        }
    }
    list
}

/// The house with a question answered, and a change to it.
fn house(job: &Job, key: &str, change: impl FnOnce(&mut House)) -> Edit {
    let mut h = job.house.clone();
    let keep = |k: &&str| *k == key || job.house.asked.iter().any(|a| a == *k);
    h.asked = KEYS.into_iter().filter(keep).map(str::to_string).collect();
    change(&mut h);
    Edit::House(h)
}

fn asked(job: &Job, key: &str) -> Edit {
    house(job, key, |_| {})
}

fn year(job: &Job) -> Question {
    let h = &job.house;
    let unknown = Choice {
        words: "not known".into(),
        on: h.year_built.is_none(),
        edits: vec![house(job, "year", |h| h.year_built = None)],
    };
    let (says, offer) = gates(job);
    Question {
        key: "year",
        ask: "Which year was the house built?",
        answered: h.year_built.is_some() || h.lead_practices.is_some(),
        rows: vec![vec![unknown]],
        blank: Some(Blank {
            name: "year built",
            unit: "",
            wide: false,
            shown: |job| job.house.year_built.map_or_else(String::new, |y| y.to_string()),
            read: |job, text| {
                let year = match text.trim() {
                    "" => None,
                    t => match typed::read_count(t) {
                        Ok(y @ 1600..=2200) => Some(y as i32),
                        _ => return Err("write the year like 1926, or nothing where it is not known".into()),
                    },
                };
                Ok(vec![house(job, "year", |h| h.year_built = year)])
            },
        }),
        says,
        offers: offer.into_iter().collect(),
    }
}

/// What the age of the house puts before the work, and the tests offered where none stand.
fn gates(job: &Job) -> (String, Option<(String, Vec<Edit>)>) {
    let built = job.house.year_built;
    let old = |limit: i32| built.is_none_or(|y| y < limit);
    let mut says: Vec<String> = Vec::new();
    let mut add = Vec::new();
    let tests = tables().recipe("walk-round").map_or(&[][..], |r| &r.steps[..]);
    let tests: Vec<_> = tests.iter().filter(|x| x.built_before.is_some_and(old)).collect();
    for (i, room) in job.rooms.iter().enumerate() {
        let has = |id: &str| {
            let of = |s: &Surface| choices::recipe(job, &s.recipe).is_some_and(|r| r.steps.iter().any(|x| x.id == id));
            room.surfaces.iter().any(of)
        };
        if !room.surfaces.is_empty() && tests.iter().any(|x| !has(&x.id)) {
            add.push(start(job, i));
        }
    }
    for x in &tests {
        let days = x.business_days.unwrap_or(0.0);
        let what = if x.built_before == Some(LEAD_YEAR) { "lead test" } else { "asbestos test" };
        let first = if add.is_empty() { "first" } else { "not in the work yet" };
        says.push(format!("{what} {first}: {} business days", plain(days)));
    }
    if job.house.lead_practices.unwrap_or(built.is_some_and(|y| y < LEAD_YEAR)) {
        says.push(format!("lead work practices x{} on strip, patch and sand", plain(LEAD)));
    }
    if says.is_empty() {
        says.push(format!("no lead or asbestos test asked for by its age ({OLD_YEAR} or later)"));
    }
    let offer = (!add.is_empty()).then(|| ("Put the tests before the work".to_string(), add));
    let unknown = if built.is_none() { "counts as old; " } else { "" };
    (format!("{unknown}{}", says.join("; ")), offer)
}

/// The walk-round with its tests as a surface of room `i`.
pub fn start(job: &Job, i: usize) -> Edit {
    let surfaces = &job.rooms[i].surfaces;
    let id = free_id("start", surfaces.iter().map(|s| s.id.as_str()));
    let new = Surface { id, part: Part::Room, recipe: "walk-round".into(), ..Surface::default() };
    Edit::Surface(i, surfaces.len(), Some(Box::new(new)))
}

/// Whether the lead or asbestos test belongs before work in this house: built before 1990, or
/// nobody knows when.
pub fn wants_tests(job: &Job) -> bool {
    job.house.year_built.is_none_or(|y| y < OLD_YEAR)
}

fn square(job: &Job) -> Question {
    let now = job.house.out_of_square;
    let choice = |words: &str, x: f64| Choice {
        words: words.into(),
        on: now == x,
        edits: vec![house(job, "square", |h| h.out_of_square = x)],
    };
    let says = if now > 1.0 { format!("fit-up work x{}", plain(now)) } else { "fit-up work at its rates".into() };
    Question {
        key: "square",
        ask: "Is it square and plumb?",
        answered: now != 1.0,
        rows: vec![vec![choice("yes", 1.0), choice("somewhat out", OUT.0), choice("badly out", OUT.1)]],
        blank: None,
        says,
        offers: Vec::new(),
    }
}

fn stairs(job: &Job) -> Question {
    let now = job.house.longest_stock_ft;
    let choice = |words: &str, ft: f64| Choice {
        words: words.into(),
        on: now == ft,
        edits: vec![house(job, "stairs", |h| h.longest_stock_ft = ft)],
    };
    let usual = House::default().longest_stock_ft;
    // Sticks are sold by the foot; a metric job says what that is in metres.
    let metric = job.units == Units::Metric;
    let long = |ft: f64| if metric { format!("{:.1} m", ft * 0.3048) } else { format!("{} ft", plain(ft)) };
    let says = format!("trim planned in sticks up to {}; a longer run gets a joint", long(now));
    Question {
        key: "stairs",
        ask: if metric { "Does a 4.9 m stick turn on the stairs?" } else { "Does a 16 ft stick turn on the stairs?" },
        answered: now != usual,
        rows: vec![vec![
            choice("yes", usual),
            choice(&format!("{} does", long(12.0)), 12.0),
            choice(&format!("{} does", long(8.0)), 8.0),
        ]],
        blank: None,
        says,
        offers: Vec::new(),
    }
}

/// Temperatures in work hours and at other hours, F, by how the house is heated (judgement).
const HEATS: [(&str, f64, f64); 4] = [
    ("day and night", 68.0, 65.0),
    ("turned down at night", 68.0, 60.0),
    ("a little", 60.0, 55.0),
    ("none", 50.0, 45.0),
];

/// The air of a place at another temperature: heating moves no water, so the dew point stays,
/// but for air that would be damper than full.
fn warmed(air: Air, temp_f: f64) -> Air {
    Air { temp_f, dew_f: air.dew_f.min(temp_f) }
}

/// Places in the house.
fn rooms(job: &Job) -> impl Iterator<Item = (usize, &Place)> {
    job.places.iter().enumerate().filter(|(_, p)| p.kind == PlaceKind::Room)
}

/// A place as a heater of one's own leaves it, day and night.
fn heated(p: &Place) -> Place {
    let warm = |a: Air| warmed(a, a.temp_f.max(HEATED));
    Place { work_air: warm(p.work_air), off_air: warm(p.off_air), ..p.clone() }
}

/// What a place keeps from being done, in words, and whether a heater mends it; `limit` is the humidity stock must
/// have at most, 0 to 1.
fn against_air(job: &Job, p: &Place) -> (Vec<String>, f64) {
    let works = |r: &&crate::job::Room| r.place == p.id || (r.place.is_empty() && r.id == p.id);
    let recipes = job.rooms.iter().filter(works).flat_map(|r| &r.surfaces);
    let rows: Vec<_> = recipes.filter_map(|s| choices::own_copy(job, &s.recipe)).flat_map(|r| r.steps).collect();
    let rows: Vec<_> = rows.into_iter().filter(|x| x.place == RowPlace::Room).collect();
    let name = if p.name.is_empty() { &p.id } else { &p.name };
    let mut here = Vec::new();
    let limit = rows.iter().filter_map(|x| x.rh_below).fold(f64::INFINITY, f64::min);
    if p.work_air.rh() >= limit {
        here.push(format!("trim stock needs drier air in {name}: under {:.0} %", limit * 100.0));
    }
    let products = rows.iter().filter_map(|x| x.leaves.as_ref()).filter_map(|l| choices::product(job, &l.product));
    let wet: Vec<&str> = products.filter(|x| !x.dries_in(p.work_air)).map(|x| x.name.as_str()).collect();
    if let Some(first) = wet.first() {
        here.push(format!("{first} does not dry in {name}"));
    }
    (here, limit)
}

/// A heater in every room of the house whose air keeps work from being done, and in those as damp in which nothing is
/// to be done yet: words of a button, and the changes.
pub fn heater(job: &Job) -> Option<(String, Vec<Edit>)> {
    let mut wanted = Vec::new();
    let mut damp = f64::INFINITY;
    for (i, p) in rooms(job) {
        let (here, limit) = against_air(job, p);
        if !here.is_empty() && heated(p).work_air.rh() < limit {
            damp = damp.min(p.work_air.rh());
            wanted.push(i);
        }
    }
    if wanted.is_empty() {
        return None;
    }
    let bare = |p: &Place| !job.rooms.iter().any(|r| (r.place == p.id || r.id == p.id) && !r.surfaces.is_empty());
    let alike = rooms(job).filter(|(i, p)| !wanted.contains(i) && bare(p) && p.work_air.rh() >= damp - 1e-9);
    let mut all: Vec<usize> = alike.map(|x| x.0).collect();
    all.extend(&wanted);
    all.sort_unstable();
    let names: Vec<&str> = all.iter().map(|&i| job.places[i].name.as_str()).filter(|n| !n.is_empty()).collect();
    let words = match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("Put a heater in: {} and {last}", rest.join(", ")),
        Some((one, _)) => format!("Put a heater in: {one}"),
        None => "Put a heater in".to_string(),
    };
    Some((words, all.into_iter().map(|i| Edit::Place(i, Some(Box::new(heated(&job.places[i]))))).collect()))
}

/// Rooms whose air never lets stock in or keeps a product from drying, in words, each once, and
/// the ways out: a heater there, or the answer taken back.
fn damp(job: &Job) -> (String, Vec<(String, Vec<Edit>)>) {
    let said: Vec<String> = rooms(job).flat_map(|(_, p)| against_air(job, p).0).collect();
    if said.is_empty() {
        return (String::new(), Vec::new());
    }
    let usual = Place::default();
    let back = |p: &Place| Place { work_air: usual.work_air, off_air: usual.off_air, ..p.clone() };
    let mut unasked = job.house.clone();
    unasked.asked.retain(|k| k != "heat");
    let mut taken = vec![Edit::House(unasked)];
    taken.extend(rooms(job).map(|(i, p)| Edit::Place(i, Some(Box::new(back(p))))));
    let mut offers: Vec<(String, Vec<Edit>)> = heater(job).into_iter().collect();
    offers.push(("Take the answer back".to_string(), taken));
    (format!("; {}", said.join("; ")), offers)
}

/// How a place is heated by the house alone, where it is one of the usual ways.
fn plain_heat(p: &Place) -> Option<&'static str> {
    HEATS.iter().find(|h| p.work_air.temp_f == h.1 && p.off_air.temp_f == h.2).map(|h| h.0)
}

/// Whether a heater runs in a place, day and night.
fn has_heater(p: &Place) -> bool {
    p.work_air.temp_f == HEATED && p.off_air.temp_f == HEATED
}

/// The answer where a heater of one's own runs.
const HEATER: &str = "with a heater of mine";

fn heat(job: &Job) -> Question {
    let choice = |&(words, work, off): &(&str, f64, f64)| {
        let set =
            |p: &Place| Place { work_air: warmed(p.work_air, work), off_air: warmed(p.off_air, off), ..p.clone() };
        let mut edits = vec![asked(job, "heat")];
        edits.extend(rooms(job).map(|(i, p)| Edit::Place(i, Some(Box::new(set(p))))));
        let on = rooms(job).next().is_some() && rooms(job).all(|(_, p)| plain_heat(p) == Some(words));
        Choice { words: words.into(), on, edits }
    };
    let usual = Place::default();
    let moved = |p: &Place| p.work_air != usual.work_air || p.off_air != usual.off_air;
    let says = rooms(job).next().map_or_else(
        || "no room yet to be heated".to_string(),
        |(_, p)| {
            let t = |f: f64| temperature(job.units, f);
            let air = format!("{} in work hours, {} at other hours", t(p.work_air.temp_f), t(p.off_air.temp_f));
            let paint = choices::product(job, "wall-paint");
            let dry = paint.and_then(|w| dry_hours(w, Stage::Recoat, 1.0, p));
            match dry {
                Some(h) => format!("{air}: wall paint takes the next coat after {}", roughly(h)),
                None => format!("{air}: wall paint does not dry in that"),
            }
        },
    );
    let mut row: Vec<Choice> = HEATS.iter().map(choice).collect();
    // A heater in some rooms, the house's own heat in the others.
    let own = rooms(job).any(|(_, p)| has_heater(p));
    let others: Vec<_> = rooms(job).filter(|(_, p)| !has_heater(p)).map(|(_, p)| plain_heat(p)).collect();
    let known = others.iter().all(|h| h.is_some() && *h == others[0]);
    let mut edits = vec![asked(job, "heat")];
    edits.extend(rooms(job).map(|(i, p)| Edit::Place(i, Some(Box::new(heated(p))))));
    row.push(Choice { words: HEATER.into(), on: own && known, edits });
    // The air was written over, or places differ: no answer of these fits.
    let written = if row.iter().any(|c| c.on) || rooms(job).next().is_none() { "" } else { "your own figures: " };
    let (against, offers) = damp(job);
    Question {
        key: "heat",
        ask: "How is it heated?",
        answered: rooms(job).any(|(_, p)| moved(p)),
        rows: vec![row],
        blank: None,
        says: format!("{written}{says}{against}"),
        offers,
    }
}

fn people(job: &Job) -> Question {
    let usual = Risks::default().hole_chance;
    let (h, r) = (&job.house, &job.risks);
    let pets = r.hole_chance > usual;
    let choice = |words: &str, occupied: bool, with_pets: bool| {
        let hole_chance = if with_pets { r.hole_chance.max(PETS) } else { r.hole_chance.min(usual) };
        let risks = Risks { hole_chance, ..r.clone() };
        let edits = vec![house(job, "people", |h| h.occupied = occupied), Edit::Risks(Box::new(risks))];
        Choice { words: words.into(), on: h.occupied == occupied && pets == with_pets, edits }
    };
    let noise = |words: &str, hours: Option<Hours>| {
        let calendar = crate::job::Calendar { noise: hours, ..job.calendar.clone() };
        let edits = vec![asked(job, "people"), Edit::Calendar(calendar)];
        Choice { words: words.into(), on: job.calendar.noise == hours, edits }
    };
    let mut says = vec![match h.occupied {
        true => "rates as they stand".to_string(),
        false => format!("work in the house x{}", plain(EMPTY)),
    }];
    if pets {
        says.push(format!("a late start on {} in 100 days", plain(r.hole_chance * 100.0)));
    }
    says.push(
        job.calendar.noise.map_or_else(
            || "noise at any hour".into(),
            |n| format!("noisy steps only {}", typed::hours_field(Some(n))),
        ),
    );
    Question {
        key: "people",
        ask: "Who lives there? Noise at which hours?",
        answered: !h.occupied || job.calendar.noise.is_some() || pets,
        rows: vec![
            vec![choice("nobody", false, false), choice("people", true, false), choice("people and pets", true, true)],
            vec![noise("any hour", None), noise(&typed::hours_field(Some(QUIET)), Some(QUIET))],
        ],
        blank: Some(Blank {
            name: "noisy hours",
            unit: "",
            wide: false,
            shown: |job| typed::hours_field(job.calendar.noise),
            read: |job, text| {
                let noise = typed::read_hours(text)?;
                let calendar = crate::job::Calendar { noise, ..job.calendar.clone() };
                Ok(vec![asked(job, "people"), Edit::Calendar(calendar)])
            },
        }),
        says: says.join("; "),
        offers: Vec::new(),
    }
}

fn away(job: &Job) -> Question {
    let closed = &job.calendar.house_closed;
    let set = |job: &Job, days: Vec<chrono::NaiveDate>| {
        let calendar = crate::job::Calendar { house_closed: days, ..job.calendar.clone() };
        vec![asked(job, "away"), Edit::Calendar(calendar)]
    };
    let none = Choice { words: "none".into(), on: closed.is_empty(), edits: set(job, Vec::new()) };
    let says = match closed.len() {
        0 => "the house is open on every working day".to_string(),
        1 => "the house is shut on 1 day".to_string(),
        n => format!("the house is shut on {n} days"),
    };
    Question {
        key: "away",
        ask: "On which days can nobody get in?",
        answered: !closed.is_empty(),
        rows: vec![vec![none]],
        blank: Some(Blank {
            name: "days nobody gets in",
            unit: "",
            wide: true,
            shown: |job| typed::days_field(&job.calendar.house_closed),
            read: |job, text| {
                let calendar = crate::job::Calendar {
                    house_closed: super::said::days_near(text, super::said::Near { day: job.start, units: job.units })?,
                    ..job.calendar.clone()
                };
                Ok(vec![asked(job, "away"), Edit::Calendar(calendar)])
            },
        }),
        says,
        offers: holidays(job).into_iter().collect(),
    }
}

/// Days from the first one on in which public holidays are looked for.
const AHEAD: u64 = 120;

/// Public holidays on working days soon after the first day that are worked as it stands, to be taken off. US federal
/// ones, so offered only where lengths are in feet.
fn holidays(job: &Job) -> Option<(String, Vec<Edit>)> {
    let until = job.start.checked_add_days(chrono::Days::new(AHEAD))?;
    let works = |d: chrono::NaiveDate| {
        let day = chrono::Datelike::weekday(&d).num_days_from_monday() as usize;
        job.calendar.week.days.iter().any(|x| x.index() == day)
    };
    let all = public_holidays(job.start, until);
    let new: Vec<_> = all.into_iter().filter(|h| works(h.0) && !job.calendar.holidays.contains(&h.0)).collect();
    if job.units != Units::FeetInches || new.is_empty() {
        return None;
    }
    let mut days = job.calendar.holidays.clone();
    days.extend(new.iter().map(|h| h.0));
    days.sort_unstable();
    let calendar = crate::job::Calendar { holidays: days, ..job.calendar.clone() };
    let words = match new.len() {
        1 => format!("Take {} off, {}", typed::day_field(new[0].0), new[0].1),
        n => format!("Take {n} public holidays off"),
    };
    Some((words, vec![asked(job, "away"), Edit::Calendar(calendar)]))
}

/// Days of the week a helper comes on where he comes on two.
const TWO_DAYS: [Day; 2] = [Day::Tue, Day::Wed];

/// The helper of the walk-round: the one helper of the crew, by his place.
fn helper(job: &Job) -> Option<usize> {
    let mut all = job.crew.iter().enumerate().filter(|(_, p)| p.helper);
    all.next().filter(|_| all.next().is_none()).map(|x| x.0)
}

fn crew(job: &Job) -> Question {
    let at = helper(job);
    let helpers = job.crew.iter().filter(|p| p.helper).count();
    let week = |days: &[Day]| Week { days: days.to_vec(), ..job.calendar.week.clone() };
    let on_days = |days: Option<&[Day]>| {
        let p = at.map(|i| &job.crew[i]);
        p.is_some_and(|p| match (days, &p.week) {
            (None, None) => p.days_off.is_empty(),
            (Some(days), Some(w)) => w.days == days,
            _ => false,
        })
    };
    let with = |days: Option<&[Day]>| {
        let new = at.map_or_else(
            || {
                let id = free_id("helper", job.crew.iter().map(|p| p.id.as_str()));
                Person { id, name: "Helper".into(), helper: true, pace: HELPER_PACE, ..Person::default() }
            },
            |i| job.crew[i].clone(),
        );
        let new = Person { week: days.map(week), days_off: Vec::new(), ..new };
        vec![asked(job, "crew"), Edit::Person(at.unwrap_or(job.crew.len()), Some(new))]
    };
    let mut alone = vec![asked(job, "crew")];
    alone.extend(job.crew.iter().enumerate().rev().filter(|(_, p)| p.helper).map(|(i, _)| Edit::Person(i, None)));
    let row = vec![
        Choice { words: "no helper".into(), on: helpers == 0, edits: alone },
        Choice { words: "Tuesdays and Wednesdays".into(), on: on_days(Some(&TWO_DAYS)), edits: with(Some(&TWO_DAYS)) },
        Choice { words: "every day".into(), on: on_days(None), edits: with(None) },
    ];
    let mains = job.crew.len() - helpers;
    let who = match mains {
        0 | 1 => "one person".to_string(),
        n => format!("{n} people"),
    };
    let pace = at.map(|i| job.crew[i].pace);
    let says = match (helpers, pace) {
        (0, _) => format!("{who}; steps that want two pairs of hands take their way for one"),
        (_, Some(pace)) => {
            format!("{who} and a helper at {} of the pace; his days, cost and pace are in Crew", plain(pace))
        }
        (n, None) => format!("{who} and {n} helpers, as they are in Crew"),
    };
    Question {
        key: "crew",
        ask: "Does a helper come?",
        answered: helpers > 0,
        rows: vec![row],
        blank: None,
        says,
        offers: Vec::new(),
    }
}

/// Overrun of a job that is all but done: half in time, 1 in 10 by 2 days or more (judgement).
fn nearly() -> Vec<(f64, f64)> {
    vec![(0.5, 0.0), (0.9, 2.0), (1.0, 3.0)]
}

/// Work days of overrun that share `u` of jobs stay below; linear between the points given.
fn overrun(points: &[(f64, f64)], u: f64) -> f64 {
    let mut last = (0.0, points.first().map_or(0.0, |p| p.1));
    for &(p, d) in points {
        if u <= p {
            let part = if p > last.0 { (u - last.0) / (p - last.0) } else { 1.0 };
            return last.1 + (d - last.1) * part;
        }
        last = (p, d);
    }
    last.1
}

fn before(job: &Job) -> Question {
    let usual = Risks::default();
    let r = &job.risks;
    let off = r.job_before == Switch::Off;
    let choice = |words: &str, on: bool, switch: Switch, points: Vec<(f64, f64)>| {
        let risks = Risks { job_before: switch, overrun: points, ..r.clone() };
        Choice { words: words.into(), on, edits: vec![asked(job, "before"), Edit::Risks(Box::new(risks))] }
    };
    let says = if off {
        "this one starts on its day".to_string()
    } else {
        let days = |u: f64| plain((overrun(&r.overrun, u) * 10.0).round() / 10.0);
        let (half, tenth) = (days(0.5), days(0.9));
        match overrun(&r.overrun, 0.5) {
            d if d < 0.05 => format!("on time in half of all cases; {tenth} or more work days late in 1 of 10"),
            _ => format!("{half} or more work days late in half of all cases; {tenth} or more in 1 of 10"),
        }
    };
    Question {
        key: "before",
        ask: "How far is the job before this one?",
        answered: off || r.overrun != usual.overrun,
        rows: vec![vec![
            choice("done", off, Switch::Off, r.overrun.clone()),
            choice("nearly done", !off && r.overrun == nearly(), Switch::On, nearly()),
            choice("in the middle", !off && r.overrun == usual.overrun, Switch::On, usual.overrun.clone()),
        ]],
        blank: None,
        says,
        offers: Vec::new(),
    }
}

/// Shops and booths one drives to: not those beside another place.
fn away_from_house(job: &Job) -> impl Iterator<Item = (usize, &Place)> {
    job.places.iter().enumerate().filter(|(_, p)| p.kind != PlaceKind::Room && p.beside.is_none())
}

/// A shop where the job has none, or those it has, so many minutes away.
pub fn shop_edits(job: &Job, minutes: i64) -> Vec<Edit> {
    let at = |p: &Place| Place { away_min: minutes, ..p.clone() };
    let mut edits: Vec<Edit> = away_from_house(job).map(|(i, p)| Edit::Place(i, Some(Box::new(at(p))))).collect();
    if !job.places.iter().any(|p| p.kind == PlaceKind::Shop) {
        let id = free_id("shop", job.places.iter().map(|p| p.id.as_str()));
        let new =
            Place { name: id.replace('-', " "), id, kind: PlaceKind::Shop, away_min: minutes, ..Place::default() };
        edits.push(Edit::Place(job.places.len(), Some(Box::new(new))));
    }
    edits
}

fn shop(job: &Job) -> Question {
    let there = job.places.iter().any(|p| p.kind != PlaceKind::Room);
    let far = away_from_house(job).map(|(_, p)| p.away_min).max().filter(|_| there);
    let mut row = Vec::new();
    if !there {
        row.push(Choice { words: "no shop".into(), on: true, edits: vec![asked(job, "shop")] });
    }
    for (words, minutes) in [("at the house", 0), ("10 min", 10), ("20 min", 20), ("40 min", 40)] {
        let mut edits = vec![asked(job, "shop")];
        edits.extend(shop_edits(job, minutes));
        row.push(Choice { words: words.into(), on: far == Some(minutes), edits });
    }
    let says = match far {
        None => "all work in the house; recipes with shop work ask for a shop".to_string(),
        Some(0) => "no drive between house and shop".to_string(),
        Some(n) => format!("{n} min each way, on each day with work in both"),
    };
    Question {
        key: "shop",
        ask: "How far is your shop, one way?",
        // A shop put there by a recipe stands at the house until somebody says how far it is.
        answered: far.is_some_and(|n| n > 0),
        rows: vec![row],
        blank: Some(Blank {
            name: "minutes to the shop",
            unit: "min",
            wide: false,
            shown: |job| {
                let far = away_from_house(job).map(|(_, p)| p.away_min).max();
                far.map_or_else(String::new, |n| n.to_string())
            },
            read: |job, text| {
                let mut edits = vec![asked(job, "shop")];
                if !text.trim().is_empty() {
                    let minutes = i64::from(typed::read_count(text)?);
                    if minutes > 600 {
                        return Err("that is more than ten hours; write the minutes of one drive".into());
                    }
                    edits.extend(shop_edits(job, minutes));
                }
                Ok(edits)
            },
        }),
        says,
        offers: Vec::new(),
    }
}

#[cfg(test)]
mod tests;
