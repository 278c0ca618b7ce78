//! Every change that can be made to a job: a record put in place of another, added, or taken out.
//!
//! An edit never refuses: a job may be wrong, and judging it is another matter. An edit of an
//! entry that is not there changes nothing.

use chrono::NaiveDate;

use super::{
    Calendar, Change, ChangeOrder, ClientSwitches, Closing, DayLog, Decision, Delivery, Evening, Hold, House, Job,
    KeptOrder, Letterhead, LostTime, MOST_OPTIONS, OwnStep, Person, Place, PriceTerms, Promise, Quote, Redone, Room,
    Surface, TakenWay, Target, Units, Visit, difference, with_option,
};
use crate::trade::{Extra, Material, Product, Rate, Recipe, Risks};

/// One change. An index is that of the list in the job; at its end it adds, `None` takes out.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    Name(String),
    Client(String),
    Units(Units),
    Start(NaiveDate),
    Target(Option<Target>),
    /// 0.5 to 0.99.
    Confidence(f64),
    House(House),
    Calendar(Calendar),
    Risks(Box<Risks>),
    Person(usize, Option<Person>),
    Place(usize, Option<Box<Place>>),
    Room(usize, Option<Box<Room>>),
    /// Room, then surface.
    Surface(usize, usize, Option<Box<Surface>>),
    OwnStep(usize, Option<Box<OwnStep>>),
    Delivery(usize, Option<Delivery>),
    Decision(usize, Option<Decision>),
    Visit(usize, Option<Visit>),
    /// Room and surface index; the change to one recipe step, by its row id. A change that
    /// changes nothing is taken out.
    Change(usize, usize, Change),
    /// Room and surface index, choice, option; no option leaves the choice to the search.
    Method(usize, usize, String, Option<String>),
    /// The job's own copy of a rate row, by its id.
    Rate(Rate),
    /// The job's own copy of a product row, by its id.
    Product(Product),
    /// The job's own copy of a recipe, by its id.
    Recipe(Box<Recipe>),
    /// The job's own row of what an extra costs, by its id.
    Extra(Extra),
    /// Takes a way back: its records in place of those there, and the way into the list.
    WayTaken(Box<TakenWay>),
    /// Takes the way of this place in the list back: what it changed is as it was before.
    WayTakenBack(usize),
    /// The job's own copy of a material row, by its id.
    Material(Box<Material>),
    /// Back to the table's row of this id.
    StarterRate(String),
    StarterProduct(String),
    StarterMaterial(String),
    /// What the job is priced by.
    Price(Box<PriceTerms>),
    /// What papers say above their title.
    Letterhead(Box<Letterhead>),
    /// What the client's page shows.
    ClientPage(Box<ClientSwitches>),
    /// Keeps a step waiting; takes the place of an earlier hold of the user's on it.
    Hold(Hold),
    /// Takes every hold of the user's off a step.
    Release(String),
    Kept(Option<KeptOrder>),
    /// Writes a day up in place of what stands there; `None` takes the day out.
    Day(NaiveDate, Option<Box<DayLog>>),
    Lost(usize, Option<LostTime>),
    /// Keeps the job as it stands as an option of this name, while there is room for one.
    OptionKept(String),
    /// Works on this option; the present way is kept in its place.
    OptionTaken(usize),
    /// Takes this option out.
    OptionOut(usize),
    /// What the option worked on is called.
    OptionName(String),
    /// Promises a day; a promise before it stays in the record.
    Promised(Box<Promise>),
    /// Withdraws the promise in force; the record of it stays, with this one behind it.
    Withdrawn(Box<Promise>),
    /// Adds a quote to those given; none is ever taken out.
    Quoted(Box<Quote>),
    /// Adds what was said on an evening later than those of the record.
    Evening(Box<Evening>),
    /// Work to be done again.
    Redo(usize, Option<Redone>),
    /// Adds what a change came to; one of an earlier day than the last is not added.
    Changed(Box<ChangeOrder>),
    /// Closes the job, or opens it again.
    Closed(Option<Closing>),
}

/// Puts, adds or takes out.
fn put<T>(list: &mut Vec<T>, at: usize, to: Option<T>) {
    match to {
        Some(x) if at < list.len() => list[at] = x,
        Some(x) if at == list.len() => list.push(x),
        None if at < list.len() => {
            list.remove(at);
        }
        _ => {}
    }
}

/// A row of the job's own copies, by id.
fn put_row<T: Clone>(list: &mut Vec<T>, row: &T, id: impl Fn(&T) -> &str) {
    match list.iter_mut().find(|x| id(x) == id(row)) {
        Some(there) => *there = row.clone(),
        None => list.push(row.clone()),
    }
}

impl Edit {
    /// The job with this change made.
    pub fn apply(&self, job: &mut Job) {
        match self {
            Edit::Name(x) => job.name.clone_from(x),
            Edit::Client(x) => job.client.clone_from(x),
            Edit::Units(x) => job.units = *x,
            Edit::Start(x) => job.start = *x,
            Edit::Target(x) => job.target = *x,
            Edit::Confidence(x) => job.confidence = x.clamp(0.5, 0.99),
            Edit::House(x) => job.house = x.clone(),
            Edit::Calendar(x) => job.calendar = x.clone(),
            Edit::Risks(x) => job.risks = (**x).clone(),
            Edit::Person(i, x) => put(&mut job.crew, *i, x.clone()),
            Edit::Place(i, x) => put(&mut job.places, *i, x.as_deref().cloned()),
            Edit::Room(i, x) => put(&mut job.rooms, *i, x.as_deref().cloned()),
            Edit::Surface(r, i, x) => {
                if let Some(room) = job.rooms.get_mut(*r) {
                    put(&mut room.surfaces, *i, x.as_deref().cloned());
                }
            }
            Edit::OwnStep(i, x) => put(&mut job.steps, *i, x.as_deref().cloned()),
            Edit::Delivery(i, x) => put(&mut job.deliveries, *i, x.clone()),
            Edit::Decision(i, x) => put(&mut job.decisions, *i, x.clone()),
            Edit::Visit(i, x) => put(&mut job.visits, *i, x.clone()),
            Edit::Change(r, s, change) => {
                if let Some(surface) = job.rooms.get_mut(*r).and_then(|r| r.surfaces.get_mut(*s)) {
                    surface.changes.retain(|c| c.step != change.step);
                    let nothing = Change { step: change.step.clone(), ..Change::default() };
                    if *change != nothing {
                        surface.changes.push(change.clone());
                    }
                }
            }
            Edit::Method(r, s, choice, option) => {
                if let Some(surface) = job.rooms.get_mut(*r).and_then(|r| r.surfaces.get_mut(*s)) {
                    surface.methods.retain(|m| m.0 != *choice);
                    surface.methods.extend(option.iter().map(|o| (choice.clone(), o.clone())));
                }
            }
            Edit::Rate(row) => put_row(&mut job.rates, row, |r| &r.id),
            Edit::Product(row) => put_row(&mut job.products, row, |p| &p.id),
            Edit::Recipe(r) => put_row(&mut job.recipes, r, |r| &r.id),
            Edit::Extra(row) => put_row(&mut job.extras, row, |e| &e.id),
            Edit::WayTaken(way) => way.take(job),
            Edit::WayTakenBack(at) => TakenWay::take_back(job, *at),
            Edit::Material(m) => put_row(&mut job.materials, m, |m| &m.id),
            Edit::StarterRate(id) => job.rates.retain(|r| r.id != *id),
            Edit::StarterProduct(id) => job.products.retain(|p| p.id != *id),
            Edit::StarterMaterial(id) => job.materials.retain(|m| m.id != *id),
            Edit::Price(x) => job.price = (**x).clone(),
            Edit::Letterhead(x) => job.letterhead = (**x).clone(),
            Edit::ClientPage(x) => job.client_page = (**x).clone(),
            Edit::Hold(hold) => {
                job.holds.retain(|h| h.step != hold.step);
                job.holds.push(hold.clone());
            }
            Edit::Release(step) => job.holds.retain(|h| h.step != *step),
            Edit::Kept(kept) => job.kept.clone_from(kept),
            Edit::Day(day, x) => {
                job.log.retain(|d| d.day != *day);
                job.log.extend(x.as_deref().cloned());
                job.log.sort_by_key(|d| d.day);
            }
            Edit::Lost(i, x) => put(&mut job.lost, *i, x.clone()),
            Edit::OptionKept(name) if job.options.len() < MOST_OPTIONS => {
                job.options.push(difference(job, job, name.clone()));
            }
            Edit::OptionKept(_) => {}
            Edit::OptionTaken(i) => *job = with_option(job, *i),
            Edit::OptionOut(i) => put(&mut job.options, *i, None),
            Edit::OptionName(name) => job.option.clone_from(name),
            Edit::Promised(p) => job.promised(p),
            Edit::Withdrawn(p) => job.withdrawn(p),
            Edit::Quoted(q) => job.quotes.push((**q).clone()),
            Edit::Evening(e) if job.record.last().is_none_or(|last| last.day < e.day) => {
                job.record.push((**e).clone());
            }
            Edit::Evening(_) => {}
            Edit::Redo(i, x) => put(&mut job.redone, *i, x.clone()),
            Edit::Changed(c) if job.changes.last().is_none_or(|last| last.day <= c.day) => {
                job.changes.push((**c).clone());
            }
            Edit::Changed(_) => {}
            Edit::Closed(x) => job.closed.clone_from(x),
        }
    }

    /// Whether it takes a record out of a list, so that those after it move up.
    pub fn takes_out(&self) -> bool {
        matches!(
            self,
            Edit::Person(_, None)
                | Edit::Place(_, None)
                | Edit::Room(_, None)
                | Edit::Surface(_, _, None)
                | Edit::OwnStep(_, None)
                | Edit::Delivery(_, None)
                | Edit::Decision(_, None)
                | Edit::Visit(_, None)
                | Edit::Lost(_, None)
                | Edit::Redo(_, None)
                | Edit::OptionOut(_)
                | Edit::WayTakenBack(_)
        )
    }

    /// What it changes, in a few words: `the first day`, `walls of a room`.
    pub fn words(&self) -> String {
        match self {
            Edit::Name(_) => "the job's name".into(),
            Edit::Client(_) => "the client's name".into(),
            Edit::Units(_) => "feet or metres".into(),
            Edit::Start(_) => "the first day".into(),
            Edit::Target(_) => "the client's day".into(),
            Edit::Confidence(_) => "how safe a promise must be".into(),
            Edit::House(_) => "the house".into(),
            Edit::Calendar(_) => "the working week".into(),
            Edit::Risks(_) => "what may go wrong".into(),
            Edit::Person(_, x) => said("somebody of the crew", x.as_ref().map(|p| p.name.as_str())),
            Edit::Place(_, x) => said("a place", x.as_ref().map(|p| p.name.as_str())),
            Edit::Room(_, x) => said("a room", x.as_ref().map(|r| r.name.as_str())),
            Edit::Surface(.., x) => said("a surface", x.as_ref().map(|s| s.id.as_str())),
            Edit::OwnStep(_, x) => said("a step of your own", x.as_ref().map(|s| s.name.as_str())),
            Edit::Delivery(_, x) => said("a delivery", x.as_ref().map(|d| d.name.as_str())),
            Edit::Decision(_, x) => said("a decision", x.as_ref().map(|d| d.name.as_str())),
            Edit::Visit(_, x) => said("a visit", x.as_ref().map(|v| v.name.as_str())),
            Edit::Change(_, _, c) => format!("the step {}", c.step),
            Edit::Method(_, _, choice, _) => format!("how: {choice}"),
            Edit::Rate(r) => format!("the rate of {}", r.name),
            Edit::Product(p) => format!("the drying of {}", p.name),
            Edit::Recipe(r) => format!("the recipe {}", r.name),
            Edit::Extra(e) => format!("what {} costs", e.name),
            Edit::WayTaken(w) => w.words.clone(),
            Edit::WayTakenBack(_) => "a way back taken back".into(),
            Edit::Material(m) => format!("price and reach of {}", m.name),
            Edit::Price(_) => "what the job is priced by".into(),
            Edit::Letterhead(_) => "the head of the papers".into(),
            Edit::ClientPage(_) => "what the client sees".into(),
            Edit::Quoted(_) => "a quote".into(),
            Edit::StarterRate(id) | Edit::StarterProduct(id) | Edit::StarterMaterial(id) => {
                format!("back to the starter row of {id}")
            }
            Edit::Hold(h) => format!("{} kept waiting", h.step),
            Edit::Release(step) => format!("{step} no longer kept waiting"),
            Edit::Kept(_) => "the kept order".into(),
            Edit::Day(day, Some(_)) => format!("{} written up", day.format("%-d %b")),
            Edit::Day(day, None) => format!("what was written of {}", day.format("%-d %b")),
            Edit::Lost(_, Some(_)) => "time lost".into(),
            Edit::Lost(_, None) => "time lost taken back".into(),
            Edit::OptionKept(name) => format!("the option {name} kept"),
            Edit::OptionTaken(_) => "working on another option".into(),
            Edit::OptionOut(_) => "an option taken out".into(),
            Edit::OptionName(_) => "the option's name".into(),
            Edit::Promised(_) => "the promise".into(),
            Edit::Withdrawn(_) => "the promise withdrawn".into(),
            Edit::Evening(_) => "the record of an evening".into(),
            Edit::Redo(_, Some(_)) => "work to be done again".into(),
            Edit::Redo(_, None) => "work to be done again taken back".into(),
            Edit::Changed(_) => "a change of the job".into(),
            Edit::Closed(Some(_)) => "the end of the job".into(),
            Edit::Closed(None) => "the job opened again".into(),
        }
    }
}

fn said(what: &str, name: Option<&str>) -> String {
    match name {
        Some("") => what.into(),
        Some(name) => name.into(),
        None => format!("{what} taken out"),
    }
}

/// An id nobody of `taken` has: `base`, else `base-2` and on.
pub fn free_id<'a>(base: &str, taken: impl Iterator<Item = &'a str>) -> String {
    let taken: Vec<&str> = taken.collect();
    let free = |id: &String| !taken.contains(&id.as_str());
    std::iter::once(base.to_string()).chain((2..).map(|n| format!("{base}-{n}"))).find(free).unwrap_or_default()
}

/// A job with several changes made, first to last.
pub fn edited(job: &Job, edits: &[Edit]) -> Job {
    let mut out = job.clone();
    for e in edits {
        match e {
            Edit::OptionTaken(_) | Edit::OptionOut(_) => e.apply(&mut out),
            _ if out.options.is_empty() => e.apply(&mut out),
            _ => out.apart_from_options(|job| e.apply(job)),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entries_are_put_added_and_taken_out_and_an_edit_of_nothing_changes_nothing() {
        let mut job = Job::default();
        let mara = Person { name: "Mara".into(), ..Person::default() };
        Edit::Person(0, Some(mara.clone())).apply(&mut job);
        Edit::Person(5, Some(mara.clone())).apply(&mut job);
        assert_eq!(job.crew.len(), 1);
        Edit::Person(0, Some(Person { cost: 50.0, ..mara })).apply(&mut job);
        assert!((job.crew[0].cost - 50.0).abs() < 1e-9);
        let before = job.clone();
        Edit::Person(3, None).apply(&mut job);
        Edit::Surface(2, 0, None).apply(&mut job);
        assert_eq!(job, before);
        Edit::Person(0, None).apply(&mut job);
        assert!(job.crew.is_empty());
    }

    #[test]
    fn a_taken_id_gets_a_number() {
        assert_eq!(free_id("wall", ["room"].into_iter()), "wall");
        assert_eq!(free_id("wall", ["wall", "wall-2"].into_iter()), "wall-3");
    }

    #[test]
    fn a_change_that_changes_nothing_leaves_no_trace() {
        let mut job = Job::default();
        job.rooms.push(Room { surfaces: vec![Surface::default()], ..Room::default() });
        let before = job.clone();
        let skip = Change { step: "sand".into(), skip: true, ..Change::default() };
        Edit::Change(0, 0, skip).apply(&mut job);
        assert_eq!(job.rooms[0].surfaces[0].changes.len(), 1);
        Edit::Change(0, 0, Change { step: "sand".into(), ..Change::default() }).apply(&mut job);
        assert_eq!(job, before);
    }
}
