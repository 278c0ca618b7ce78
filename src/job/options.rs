//! Options and promises: other ways to do the same job kept beside it, and the days the client
//! was given.
//!
//! An option is a copy of the sections it differs in; what it leaves out is as in the job. The
//! job's name, client, days, units and seed are common to all. A promise is a record: it is
//! never edited, only followed by a later one with its reason, or by the record that it was withdrawn.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::{
    Calendar, Decision, Delivery, Hold, House, Job, KeptOrder, OwnStep, Person, Place, Room, Target, TargetKind, Visit,
};
use crate::trade::{Product, Rate, Recipe, Risks};

/// Options kept beside the job itself: with it three stand side by side.
pub const MOST_OPTIONS: usize = 2;

/// Another way to do the job: whole sections in place of the job's.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct JobOption {
    pub name: String,
    pub house: Option<House>,
    pub crew: Option<Vec<Person>>,
    pub calendar: Option<Calendar>,
    pub places: Option<Vec<Place>>,
    pub rooms: Option<Vec<Room>>,
    pub steps: Option<Vec<OwnStep>>,
    pub deliveries: Option<Vec<Delivery>>,
    pub decisions: Option<Vec<Decision>>,
    pub visits: Option<Vec<Visit>>,
    pub holds: Option<Vec<Hold>>,
    pub risks: Option<Risks>,
    pub rates: Option<Vec<Rate>>,
    pub products: Option<Vec<Product>>,
    pub recipes: Option<Vec<Recipe>>,
    /// Its own order; the job's is never taken over.
    pub kept: Option<KeptOrder>,
}

/// A day promised to the client, or the record that the promise of a day was withdrawn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Promise {
    pub day: NaiveDate,
    /// When it was promised, or withdrawn.
    pub made_on: NaiveDate,
    /// What counted as safe then, 0.5 to 0.99.
    pub confidence: f64,
    /// Chance of that day when it was promised or withdrawn, 0 to 1.
    pub chance: f64,
    /// Why it takes the place of the promise before, or is withdrawn; empty for the first.
    #[serde(default)]
    pub reason: String,
    /// The order of work the promise was made on.
    #[serde(default)]
    pub kept: Option<KeptOrder>,
    /// Trials behind the chance.
    #[serde(default = "super::log::usual_trials")]
    pub trials: u32,
    /// The day the client had asked for, where he had named one.
    #[serde(default)]
    pub asked: Option<NaiveDate>,
    /// The promise of this day is withdrawn: from here on no day is promised.
    #[serde(default)]
    pub withdrawn: bool,
}

macro_rules! sections {
    ($macro:ident) => {
        $macro!(
            house, crew, calendar, places, rooms, steps, deliveries, decisions, visits, holds, risks, rates, products,
            recipes
        )
    };
}

/// The job of an option: the job with the option's sections in place of its own, and the job's
/// own way, under its name, in the option's place. An option that is not there gives the job.
pub fn with_option(job: &Job, at: usize) -> Job {
    let mut out = with_sections(job, at);
    if let Some(option) = job.options.get(at) {
        let own = difference(&out, job, named(job));
        out.option.clone_from(&option.name);
        // The others were kept against the job's sections and are kept against these now.
        let all: Vec<Job> = (0..job.options.len()).map(|i| with_sections(job, i)).collect();
        out.options = all.iter().zip(&job.options).map(|(x, o)| difference(&out, x, o.name.clone())).collect();
        out.options[at] = own;
    }
    out
}

/// The job with an option's sections in place of its own, the list of options as it was.
fn with_sections(job: &Job, at: usize) -> Job {
    let mut out = job.clone();
    let Some(option) = job.options.get(at) else { return out };
    macro_rules! take {
        ($($f:ident),*) => { $( if let Some(x) = &option.$f { out.$f.clone_from(x); } )* };
    }
    sections!(take);
    out.kept.clone_from(&option.kept);
    out
}

/// What `of` differs in from `job`, as an option of it.
pub fn difference(job: &Job, of: &Job, name: String) -> JobOption {
    macro_rules! differ {
        ($($f:ident),*) => {
            JobOption { name, kept: of.kept.clone(), $( $f: (of.$f != job.$f).then(|| of.$f.clone()) ),* }
        };
    }
    sections!(differ)
}

/// The name of the option the job itself is.
fn named(job: &Job) -> String {
    let taken = |n: &str| job.options.iter().any(|o| o.name == n);
    match job.option.as_str() {
        "" => (1..).map(|n| format!("option {n}")).find(|n| !taken(n)).unwrap_or_default(),
        name => name.to_string(),
    }
}

impl JobOption {
    /// Sections it differs in, by their words in the job file.
    pub fn differs_in(&self) -> Vec<&'static str> {
        let mut out = Vec::new();
        macro_rules! list {
            ($($f:ident),*) => { $( if self.$f.is_some() { out.push(stringify!($f)); } )* };
        }
        sections!(list);
        out
    }
}

impl Job {
    /// Does something to the job and leaves every option the copy it was, but for measures and what
    /// an hour costs: these are no choice, and an option that had the job's has them still.
    pub(super) fn apart_from_options(&mut self, change: impl FnOnce(&mut Job)) {
        let mut all: Vec<Job> = (0..self.options.len()).map(|i| with_sections(self, i)).collect();
        let (rooms, crew) = (self.rooms.clone(), self.crew.clone());
        change(self);
        for option in &mut all {
            option.measured_as(&rooms, &self.rooms);
            option.paid_as(&crew, &self.crew);
        }
        if self.options.len() == all.len() {
            let names: Vec<String> = self.options.iter().map(|o| o.name.clone()).collect();
            self.options = all.iter().zip(names).map(|(x, name)| difference(self, x, name)).collect();
        }
    }

    /// Measures of rooms that were those of `was` become those of `is`.
    fn measured_as(&mut self, was: &[Room], is: &[Room]) {
        macro_rules! follow {
            ($own:ident, $was:ident, $is:ident: $($f:ident),*) => {
                $( if $own.$f == $was.$f && $was.$f != $is.$f { $own.$f.clone_from(&$is.$f); } )*
            };
        }
        for own in &mut self.rooms {
            let of = |list: &'_ [Room]| list.iter().find(|r| r.id == own.id).cloned();
            if let (Some(was), Some(is)) = (of(was), of(is)) {
                follow!(own, was, is: size, walls, openings, boxes, holes, cracks);
            }
        }
    }

    /// Hours that cost what they did in `was` cost what they do in `is`.
    fn paid_as(&mut self, was: &[Person], is: &[Person]) {
        for own in &mut self.crew {
            let of = |list: &[Person]| list.iter().find(|p| p.id == own.id).map(|p| p.cost);
            if let (Some(was), Some(is)) = (of(was), of(is))
                && own.cost == was
            {
                own.cost = is;
            }
        }
    }

    /// The promise in force: the last one made, unless it was withdrawn.
    pub fn promise(&self) -> Option<&Promise> {
        self.promises.last().filter(|p| !p.withdrawn)
    }

    /// The day promised, also where a file says so without the record of it.
    pub fn promised_day(&self) -> Option<NaiveDate> {
        self.target.filter(|t| t.kind == TargetKind::Promised).map(|t| t.day)
    }

    /// The client's day as the last record of what was promised has it; the present one where there is none.
    pub fn day_as_said(&self) -> Option<Target> {
        match self.promises.last() {
            None => self.target,
            Some(p) if !p.withdrawn => Some(Target { kind: TargetKind::Promised, day: p.day }),
            // What is asked for since stays asked for.
            Some(_) if self.target.is_some_and(|t| t.kind == TargetKind::Asked) => self.target,
            Some(p) => p.asked.map(|day| Target { kind: TargetKind::Asked, day }),
        }
    }

    /// Withdraws a promise: the client's day is the one he had asked for, or none.
    pub(super) fn withdrawn(&mut self, p: &Promise) {
        let p = Promise { asked: p.asked.or(self.asked_for()), withdrawn: true, kept: None, ..p.clone() };
        self.promises.push(p);
        self.target = self.day_as_said();
    }

    /// Makes a promise: it is the client's day from now on, and its order is kept.
    pub(super) fn promised(&mut self, p: &Promise) {
        let p = &Promise { asked: p.asked.or(self.asked_for()), ..p.clone() };
        self.target = Some(Target { kind: TargetKind::Promised, day: p.day });
        if p.kept.is_some() {
            self.kept.clone_from(&p.kept);
        }
        self.promises.push(p.clone());
    }

    /// The day the client asked for, also after another was promised.
    pub fn asked_for(&self) -> Option<NaiveDate> {
        match self.target {
            Some(Target { kind: TargetKind::Asked, day }) => Some(day),
            _ => self.promise().and_then(|p| p.asked),
        }
    }

    /// Whether a better order is only offered, not taken: something is promised, or a step was
    /// moved by hand.
    pub fn order_stands(&self) -> bool {
        self.promised_day().is_some() || !self.holds.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Edit, edited};

    fn person(name: &str) -> Person {
        Person { name: name.into(), ..Person::default() }
    }

    #[test]
    fn an_option_stays_the_copy_it_was_and_two_swaps_give_the_job_back() {
        let job = Job { crew: vec![person("Ada")], ..Job::default() };
        let job = edited(&job, &[Edit::OptionKept("alone".into())]);
        assert!(job.options[0].differs_in().is_empty());
        let job = edited(&job, &[Edit::Person(1, Some(person("Ben"))), Edit::Client("R.".into())]);
        assert_eq!(job.options[0].differs_in(), ["crew"]);
        let alone = with_option(&job, 0);
        assert_eq!((alone.crew.len(), alone.client.as_str(), alone.option.as_str()), (1, "R.", "alone"));
        assert_eq!(alone.options[0].name, "option 1");
        let back = with_option(&alone, 0);
        assert_eq!(back.crew, job.crew);
        assert_eq!(back.options, job.options);
        assert_eq!(with_option(&job, 7), job);
    }

    #[test]
    fn measures_and_costs_are_common_to_all_options_that_had_them() {
        let room = |holes| Room { id: "den".into(), holes, ..Room::default() };
        let ada = |cost| Person { id: "ada".into(), cost, ..Person::default() };
        let job = Job { rooms: vec![room(0)], crew: vec![ada(0.0)], ..Job::default() };
        // Another recipe, then measures and a cost an hour: the copy keeps its recipe only.
        let sprayed = crate::job::Surface { id: "walls".into(), recipe: "spray".into(), ..Default::default() };
        let job = edited(&job, &[Edit::OptionKept("brush".into()), Edit::Surface(0, 0, Some(Box::new(sprayed)))]);
        let job = edited(&job, &[Edit::Room(0, Some(Box::new(Room { holes: 6, ..job.rooms[0].clone() })))]);
        let job = edited(&job, &[Edit::Person(0, Some(ada(46.0)))]);
        let brush = with_option(&job, 0);
        assert_eq!((brush.rooms[0].holes, brush.crew[0].cost), (6, 46.0));
        assert_eq!((brush.rooms[0].surfaces.len(), job.rooms[0].surfaces.len()), (0, 1));
        // A measure that was its own stays its own.
        let own = edited(&brush, &[Edit::Room(0, Some(Box::new(room(2))))]);
        assert_eq!(with_option(&own, 0).rooms[0].holes, 2);
        let mut apart = own;
        apart.options[0].rooms.as_mut().expect("rooms")[0].holes = 9;
        let apart = edited(&apart, &[Edit::Room(0, Some(Box::new(room(3))))]);
        assert_eq!((apart.rooms[0].holes, with_option(&apart, 0).rooms[0].holes), (3, 9));
    }

    #[test]
    fn a_third_way_keeps_its_sections_when_two_others_change_places() {
        let mut job = Job { crew: vec![person("Ada")], option: "one".into(), ..Job::default() };
        for (n, name) in ["Ben", "Cleo"].into_iter().enumerate() {
            job = edited(&job, &[Edit::OptionKept(name.into()), Edit::Person(n + 1, Some(person(name)))]);
        }
        let crews = |j: &Job| (0..2).map(|i| with_option(j, i).crew.len()).collect::<Vec<_>>();
        assert_eq!((job.crew.len(), crews(&job)), (3, vec![1, 2]));
        let swapped = with_option(&job, 0);
        assert_eq!((swapped.crew.len(), crews(&swapped)), (1, vec![3, 2]));
        // A third beside the job is one too many.
        assert_eq!(edited(&job, &[Edit::OptionKept("more".into())]), job);
    }

    #[test]
    fn a_promise_is_followed_and_never_changed() {
        let day = |d| NaiveDate::from_ymd_opt(2027, 3, d).expect("a day");
        let one = |d, reason: &str| Promise {
            asked: None,
            withdrawn: false,
            day: day(d),
            made_on: day(1),
            confidence: 0.8,
            chance: 0.82,
            reason: reason.into(),
            kept: Some(KeptOrder { order: vec!["a".into()], ..KeptOrder::default() }),
            trials: 10_000,
        };
        let made = |p| Edit::Promised(Box::new(p));
        let job = edited(&Job::default(), &[made(one(20, "")), made(one(24, "the client added a shelf"))]);
        assert_eq!((job.promises.len(), job.promise().map(|p| p.day)), (2, Some(day(24))));
        assert_eq!(job.promises[0], one(20, ""));
        assert_eq!(job.target, Some(Target { kind: TargetKind::Promised, day: day(24) }));
        assert_eq!(job.kept.as_ref().map(|k| k.order.len()), Some(1));
        assert!(job.order_stands() && !Job::default().order_stands());
    }

    #[test]
    fn a_promise_withdrawn_leaves_the_day_asked_for_or_none() {
        let day = |d| NaiveDate::from_ymd_opt(2027, 3, d).expect("a day");
        let one = |d, asked, withdrawn| Promise {
            day: day(d),
            made_on: day(1),
            confidence: 0.8,
            chance: 0.82,
            reason: String::new(),
            kept: None,
            trials: 10_000,
            asked,
            withdrawn,
        };
        for asked in [Some(day(12)), None] {
            let target = asked.map(|day| Target { kind: TargetKind::Asked, day });
            let job = Job { target, ..Job::default() };
            let job = edited(&job, &[Edit::Promised(Box::new(one(20, None, false)))]);
            assert_eq!((job.asked_for(), job.promised_day()), (asked, Some(day(20))));
            let job = edited(&job, &[Edit::Withdrawn(Box::new(one(20, None, true)))]);
            assert_eq!((job.target, job.asked_for(), job.promised_day()), (target, asked, None));
            assert_eq!((job.promises.len(), job.promise(), job.order_stands()), (2, None, false));
            assert_eq!((job.promises[0].clone(), job.promises[1].asked), (one(20, asked, false), asked));
            // Another day asked for, another promised: the record goes on.
            let later = Some(Target { kind: TargetKind::Asked, day: day(25) });
            let job = edited(&job, &[Edit::Target(later), Edit::Promised(Box::new(one(24, None, false)))]);
            assert_eq!((job.promises.len(), job.asked_for()), (3, Some(day(25))));
            assert_eq!(job.promise().map(|p| p.day), Some(day(24)));
        }
    }
}
