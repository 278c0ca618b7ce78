//! In what two ways of doing one job differ, in the words of the trade: what the second has or does that the first
//! has not or does otherwise, a phrase each, top of the job file first.

use super::choices::{choices_of, part_word, recipe, said};
use super::typed::plain;
use super::{named, temperature, whole};
use crate::desk::Sound;
use crate::forecast::last_day;
use crate::job::{Job, Person, Place, Room, Surface};
use crate::search::Found;

/// Phrases said at most; the rest is counted.
const MOST: usize = 6;

/// A job with its plan.
type Way<'a> = (&'a Sound, &'a Found);

/// `crown: trim painted by spray instead of brush; Helper on 3 days`; empty where nothing is told apart.
pub fn differences(first: Way, other: Way) -> String {
    let (a, b) = (&first.0.job, &other.0.job);
    let mut out = Vec::new();
    house(a, b, &mut out);
    crew(a, other, &mut out);
    week(a, b, &mut out);
    for (x, y) in pairs(&a.places, &b.places, |p| &p.id) {
        match (x, y) {
            (Some(x), Some(y)) => place(b, x, y, &mut out),
            (None, Some(y)) => out.push(format!("{} as well", named(&y.name, &y.id))),
            (Some(x), None) => out.push(format!("no {}", x.name)),
            (None, None) => {}
        }
    }
    rooms(a, b, &mut out);
    listed("", &a.steps, &b.steps, |s| (&s.id, &s.name), &mut out);
    listed("delivery of ", &a.deliveries, &b.deliveries, |s| (&s.id, &s.name), &mut out);
    listed("decision on ", &a.decisions, &b.decisions, |s| (&s.id, &s.name), &mut out);
    listed("visit of ", &a.visits, &b.visits, |s| (&s.id, &s.name), &mut out);
    let same = [
        (a.holds == b.holds, "other steps kept waiting"),
        (a.risks == b.risks, "other chances of what may go wrong"),
        (a.rates == b.rates, "other rates"),
        (a.products == b.products, "other drying times"),
        (a.recipes == b.recipes, "other steps in a recipe of your own"),
    ];
    out.extend(same.iter().filter(|s| !s.0).map(|s| s.1.to_string()));
    let more = out.len().saturating_sub(MOST);
    out.truncate(MOST);
    if more > 0 {
        out.push(super::and_more(more));
    }
    out.join("; ")
}

/// Records of two lists by their id: those of the first in its order, then those only the second has.
fn pairs<'a, T>(a: &'a [T], b: &'a [T], id: fn(&T) -> &String) -> Vec<(Option<&'a T>, Option<&'a T>)> {
    let of = |x: &T, list: &'a [T]| list.iter().find(|y| id(y) == id(x));
    let mut out: Vec<_> = a.iter().map(|x| (Some(x), of(x, b))).collect();
    out.extend(b.iter().filter(|y| of(y, a).is_none()).map(|y| (None, Some(y))));
    out
}

fn house(a: &Job, b: &Job, out: &mut Vec<String>) {
    let (x, y) = (&a.house, &b.house);
    if x.year_built != y.year_built {
        out.push(y.year_built.map_or_else(|| "year built not known".into(), |n| format!("built {}", whole(n))));
    }
    let factors = [(x.out_of_square, y.out_of_square, "fit-up work"), (x.ladder, y.ladder, "stairs and ladders")];
    out.extend(factors.iter().filter(|f| f.0 != f.1).map(|f| format!("{} x{}", f.2, plain(f.1))));
    let same = [
        (x.lead_practices == y.lead_practices, "lead work practices settled otherwise"),
        (x.occupied == y.occupied, if y.occupied { "a house lived in" } else { "an empty house" }),
        (x.small_children == y.small_children, "other days lost by small children"),
        (x.longest_stock_ft == y.longest_stock_ft, "stock of another length on the stairs"),
    ];
    out.extend(same.iter().filter(|s| !s.0).map(|s| s.1.to_string()));
}

fn days(n: usize) -> String {
    if n == 1 { "1 day".into() } else { format!("{n} days") }
}

fn crew(a: &Job, other: Way, out: &mut Vec<String>) {
    let b = &other.0.job;
    let last = last_day(other.1.plan.finish);
    // Days up to the end of the clean run on which somebody works.
    let comes = |p: &Person| {
        let w = b.crew.iter().position(|q| q.id == p.id).and_then(|i| other.0.setting.workers.get(i));
        w.map_or(0, |w| (0..=last).filter(|&d| w.shifts.day(d).minutes() > 0).count())
    };
    for (x, y) in pairs(&a.crew, &b.crew, |p| &p.id) {
        match (x, y) {
            (None, Some(y)) => out.push(format!("{} on {}", named(&y.name, &y.id), days(comes(y)))),
            (Some(x), None) => out.push(format!("without {}", named(&x.name, &x.id))),
            (Some(x), Some(y)) => {
                if x.pace != y.pace || x.helper != y.helper {
                    out.push(format!("{} at pace {}", named(&y.name, &y.id), plain(y.pace)));
                }
                if x.skills != y.skills {
                    out.push(format!("{} with other skills", named(&y.name, &y.id)));
                }
                if (&x.week, &x.days_off, &x.dates) != (&y.week, &y.days_off, &y.dates) {
                    out.push(format!("{} on other days or hours", named(&y.name, &y.id)));
                }
                if x.cost != y.cost {
                    out.push(format!("{} at another cost an hour", named(&y.name, &y.id)));
                }
            }
            (None, None) => {}
        }
    }
}

fn week(a: &Job, b: &Job, out: &mut Vec<String>) {
    let (x, y) = (&a.calendar, &b.calendar);
    if x.week.days != y.week.days {
        let names: Vec<String> = y.week.days.iter().map(|d| format!("{d:?}")).collect();
        out.push(format!("work on {}", names.join(", ")));
    }
    let hours = |w: &crate::job::Week| crate::job::Week { days: Vec::new(), ..w.clone() };
    if hours(&x.week) != hours(&y.week) {
        out.push(format!("open {} to {}", y.week.open, y.week.close));
    }
    let same = [
        (x.holidays == y.holidays, "other holidays"),
        (x.house_closed == y.house_closed, "the house closed on other days"),
        (x.noise == y.noise, "other hours of noise"),
    ];
    out.extend(same.iter().filter(|s| !s.0).map(|s| s.1.to_string()));
}

fn place(job: &Job, x: &Place, y: &Place, out: &mut Vec<String>) {
    let name = named(&y.name, &y.id);
    if (x.work_air, x.off_air) != (y.work_air, y.off_air) {
        let (day, night) = (y.work_air.temp_f, y.off_air.temp_f);
        let (day, night) = (temperature(job.units, day), temperature(job.units, night));
        let heat = if day == night { format!("{day} day and night") } else { format!("{day}, at night {night}") };
        out.push(format!("{name} at {heat}"));
    }
    if x.fan != y.fan {
        out.push(format!("{} in {name}", if y.fan { "a fan" } else { "no fan" }));
    }
    let rest = |p: &Place| Place { work_air: y.work_air, off_air: y.off_air, fan: y.fan, ..p.clone() };
    if rest(x) != rest(y) {
        out.push(format!("{name} set up otherwise"));
    }
}

fn rooms(a: &Job, b: &Job, out: &mut Vec<String>) {
    let many = a.rooms.len().max(b.rooms.len()) > 1;
    // Surfaces that differ alike are said together.
    let mut said: Vec<(String, Vec<String>)> = Vec::new();
    for (x, y) in pairs(&a.rooms, &b.rooms, |r| &r.id) {
        match (x, y) {
            (None, Some(y)) => out.push(format!("{} as well", named(&y.name, &y.id))),
            (Some(x), None) => out.push(format!("without {}", named(&x.name, &x.id))),
            (Some(x), Some(y)) => {
                let bare = |r: &Room| Room { surfaces: Vec::new(), name: String::new(), ..r.clone() };
                if bare(x) != bare(y) {
                    out.push(format!("{}: other measures", named(&y.name, &y.id)));
                }
                for (s, t) in pairs(&x.surfaces, &y.surfaces, |s| &s.id) {
                    let of = |s: &Surface| match many {
                        true => format!("{}, {}", named(&y.name, &y.id), surface(s)),
                        false => surface(s),
                    };
                    match (s, t) {
                        (None, Some(t)) => out.push(format!("{} as well", of(t))),
                        (Some(s), None) => out.push(format!("without {}", of(s))),
                        (Some(s), Some(t)) => {
                            for what in surfaces(a, s, b, t) {
                                match said.iter_mut().find(|x| x.0 == what) {
                                    Some(x) => x.1.push(of(t)),
                                    None => said.push((what, vec![of(t)])),
                                }
                            }
                        }
                        (None, None) => {}
                    }
                }
            }
            (None, None) => {}
        }
    }
    out.extend(said.into_iter().map(|(what, of)| format!("{}: {what}", of.join(", "))));
}

fn surface(s: &Surface) -> String {
    match (s.name.as_str(), s.id.as_str()) {
        ("", "") => part_word(s.part).into(),
        ("", id) => said(id),
        (name, _) => name.into(),
    }
}

/// What one surface has or does otherwise.
fn surfaces(a: &Job, s: &Surface, b: &Job, t: &Surface) -> Vec<String> {
    let mut out = Vec::new();
    let name = |job: &Job, id: &str| recipe(job, id).map_or_else(|| said(id), |r| r.name.clone());
    if s.recipe != t.recipe {
        out.push(format!("{} instead of {}", name(b, &t.recipe), name(a, &s.recipe)));
    } else {
        for c in choices_of(b, &t.recipe) {
            let fixed = |s: &Surface| s.methods.iter().find(|m| m.0 == c.id).map(|m| said(&m.1));
            let (x, y) = (fixed(s), fixed(t));
            if x != y {
                let word = |o: Option<String>| o.unwrap_or_else(|| "whichever is sooner".into());
                out.push(format!("{} {} instead of {}", c.name, word(y), word(x)));
            }
        }
    }
    if s.changes != t.changes && s.recipe == t.recipe {
        out.push("steps changed or left out otherwise".into());
    }
    if (&s.walls, s.height, s.panels, s.difficulty) != (&t.walls, t.height, t.panels, t.difficulty) {
        out.push("other extent or difficulty".into());
    }
    out
}

/// Entries of a list by id and name: added, left out, changed.
fn listed<T: PartialEq>(what: &str, a: &[T], b: &[T], named: fn(&T) -> (&String, &String), out: &mut Vec<String>) {
    let name = |x: &T| {
        let (id, name) = named(x);
        if name.is_empty() { said(id) } else { name.clone() }
    };
    let of = |x: &T, list: &[T]| list.iter().position(|y| named(y).0 == named(x).0);
    for x in a {
        match of(x, b) {
            None => out.push(format!("without {what}{}", name(x))),
            Some(i) if b[i] != *x => out.push(format!("{what}{} changed", name(x))),
            Some(_) => {}
        }
    }
    out.extend(b.iter().filter(|y| of(y, a).is_none()).map(|y| format!("{what}{} as well", name(y))));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::asks::Ask;
    use crate::job::{Edit, edited};

    fn told(edits: impl Fn(&Job) -> Vec<Edit>) -> String {
        let job = crate::desk::open(include_str!("../../sample-jobs/study.ron")).expect("a job").read.job;
        let other = edited(&job, &edits(&job));
        let way = |job: &Job| {
            let sound = crate::desk::judge(job).expect("sound");
            let found = sound.plan(false).expect("a plan");
            (sound, found)
        };
        let (a, b) = (way(&job), way(&other));
        differences((&a.0, &a.1), (&b.0, &b.1))
    }

    #[test]
    fn what_was_changed_is_said_as_a_carpenter_would() {
        let helper = |job: &Job| Ask::Helper { from: job.start, days: 3 }.edits(job);
        assert_eq!(told(helper), "Helper on 3 days");
        let brushed = |job: &Job| {
            let with = |s: &Surface| choices_of(job, &s.recipe).iter().any(|c| c.id == "by");
            let k = job.rooms[0].surfaces.iter().position(with).expect("painted trim");
            let now = job.rooms[0].surfaces[k].methods.iter().find(|m| m.0 == "by").map(|m| m.1.as_str());
            let to = if now == Some("brush") { "spray" } else { "brush" };
            vec![Edit::Method(0, k, "by".into(), Some(to.into()))]
        };
        let said = told(brushed);
        assert!(said.contains("trim painted by ") && said.contains(" instead of "), "{said}");
        assert_eq!(told(|_| Vec::new()), "");
        let without = |job: &Job| vec![Edit::Person(0, Some(Person { pace: 0.9, ..job.crew[0].clone() }))];
        assert_eq!(told(without), "Mara at pace 0.9");
        assert!(told(|job| Ask::Heater { place: 0 }.edits(job)).contains(" at 70 F"));
    }
}
