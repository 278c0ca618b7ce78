//! Steps of the user's own, deliveries, decisions and visits: what they can wait for, found by
//! typing; new ones; and what else changes when something is taken out.

use std::collections::BTreeSet;

use super::choices;
use crate::job::{Decision, Delivery, Edit, Job, Need, OwnStep, Visit, edited, free_id};
use crate::work::build::attempt;
use crate::work::{Role, WorkGraph};

/// Something that can be waited for.
#[derive(Clone, Debug, PartialEq)]
pub struct Name {
    pub id: String,
    pub words: String,
}

/// Most names listed at once.
pub const MOST: usize = 8;

/// `room, surface` of a step, for telling two of the same name apart.
fn where_at(job: &Job, room: &str, surface: &str) -> String {
    let room = job.rooms.iter().find(|r| r.id == room);
    let surface = room.and_then(|r| r.surfaces.iter().find(|s| s.id == surface));
    let name = room.map_or("", |r| if r.name.is_empty() { &r.id } else { &r.name });
    match surface {
        Some(s) => format!("{name}, {}", if s.name.is_empty() { &s.id } else { &s.name }),
        None => name.to_string(),
    }
}

/// A step's id without the number of its batch.
fn batch(id: &str) -> &str {
    id.split('#').next().unwrap_or("")
}

fn or_id<'a>(name: &'a str, id: &'a str) -> &'a str {
    if name.is_empty() { id } else { name }
}

/// Everything that can be waited for: deliveries, decisions, visits, own steps, then the steps
/// of the rooms in their order, then the milestones of each room. A step that is there in several ways is named as under
/// the `methods` in force.
pub fn names(job: &Job, graph: &WorkGraph, methods: &[usize]) -> Vec<Name> {
    let mut out: Vec<Name> = Vec::new();
    let mut seen: BTreeSet<String> = BTreeSet::new();
    let mut put = |id: &str, words: String| {
        if seen.insert(id.to_string()) {
            out.push(Name { id: id.to_string(), words });
        }
    };
    job.deliveries.iter().for_each(|d| put(&d.id, format!("{} (delivery)", or_id(&d.name, &d.id))));
    job.decisions.iter().for_each(|d| put(&d.id, format!("{} (decision)", or_id(&d.name, &d.id))));
    job.visits.iter().for_each(|v| put(&v.id, format!("{} (visit)", or_id(&v.name, &v.id))));
    job.steps.iter().for_each(|s| put(&s.id, format!("{} (your step)", or_id(&s.name, &s.id))));
    for s in graph.steps.iter().filter(|s| s.role == Role::Plain && s.origin.starts_with("rooms[")) {
        // Batches of one row are waited for together; a choice's ways have one id.
        let id = batch(&s.id);
        let now = graph.find(&s.id, methods).map_or(s, |i| &graph.steps[i]);
        put(id, format!("{}: {}", where_at(job, &s.room, &s.surface), now.name));
    }
    for r in &job.rooms {
        // Those somebody gives: a test for an old house is no step in a young one.
        let ids: BTreeSet<&str> = graph.steps.iter().filter(|s| s.room == r.id).map(|s| batch(&s.id)).collect();
        let mut marks: BTreeSet<&str> = BTreeSet::new();
        for s in &r.surfaces {
            let rows = choices::recipe(job, &s.recipe).map_or(&[][..], |x| &x.steps[..]);
            let there = rows.iter().filter(|x| ids.contains(format!("{}/{}/{}", r.id, s.id, x.id).as_str()));
            marks.extend(there.flat_map(|x| &x.gives).map(String::as_str));
        }
        for m in marks {
            put(&format!("{}:{m}", r.id), format!("{}: all of \"{}\"", or_id(&r.name, &r.id), choices::said(m)));
        }
    }
    out
}

/// The words of an id; the id itself where nothing has it.
pub fn said(list: &[Name], id: &str) -> String {
    list.iter().find(|n| n.id == id).map_or_else(|| format!("{id} (gone)"), |n| n.words.clone())
}

/// Those in which every word typed is found, the first few: whole words first, then beginnings of words, then what
/// stands inside one. Nothing typed finds nothing.
pub fn matching<'a>(list: &'a [Name], text: &str, skip: &dyn Fn(&str) -> bool) -> Vec<&'a Name> {
    let words: Vec<String> = text.split_whitespace().map(str::to_lowercase).collect();
    if words.is_empty() {
        return Vec::new();
    }
    // How far each word is from being one of its own; nothing where one is not there.
    let rank = |n: &Name| -> Option<(usize, usize)> {
        let hay = n.words.to_lowercase();
        let own: Vec<&str> = hay.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
        let of = |w: &String| {
            if own.contains(&w.as_str()) {
                return Some(0);
            }
            let begun = own.iter().any(|o| o.starts_with(w.as_str()));
            hay.contains(w.as_str()).then_some(if begun { 1 } else { 2 })
        };
        // Of two that fit as well the shorter is meant.
        words.iter().map(of).sum::<Option<usize>>().map(|sum| (sum, own.len()))
    };
    let mut found: Vec<_> = list.iter().filter(|n| !skip(&n.id)).filter_map(|n| Some((rank(n)?, n))).collect();
    found.sort_by_key(|f| f.0);
    found.into_iter().take(MOST).map(|f| f.1).collect()
}

/// Ids taken by what stands for itself in a job.
fn taken(job: &Job) -> Vec<&str> {
    let steps = job.steps.iter().map(|s| s.id.as_str());
    let gates = job.deliveries.iter().map(|d| d.id.as_str()).chain(job.decisions.iter().map(|d| d.id.as_str()));
    steps.chain(gates).chain(job.visits.iter().map(|v| v.id.as_str())).collect()
}

/// Whether a step of this id, by whichever way it is done, leaves a coat that gets ready for the next.
pub fn leaves_coat(graph: &WorkGraph, id: &str) -> bool {
    let coat = |s: &crate::work::Step| {
        s.coat.is_some_and(|c| graph.products[c.product].hours.hours(crate::trade::Stage::Recoat).is_some())
    };
    graph.steps.iter().filter(|s| s.id == id || batch(&s.id) == id).any(coat)
}

fn named(job: &Job, word: &str) -> (String, String) {
    let id = free_id(word, taken(job).into_iter());
    let name = id.replace('-', " ");
    (id, name)
}

/// A step of the user's own to begin with: two hours in the first room.
pub fn new_step(job: &Job) -> Edit {
    let (id, name) = named(job, "step");
    let room = job.rooms.first().map_or_else(String::new, |r| r.id.clone());
    let place =
        if room.is_empty() { job.places.first().map_or_else(String::new, |p| p.id.clone()) } else { String::new() };
    let new = OwnStep { id, name, room, place, hours: Some((1.0, 2.0, 3.0)), ..OwnStep::default() };
    Edit::OwnStep(job.steps.len(), Some(Box::new(new)))
}

/// What waits for something new until it is said: the last step of the first room, which
/// holds nothing else up.
fn last_step(job: &Job) -> Vec<String> {
    let (g, _) = attempt(job);
    let room = job.rooms.first().map_or("", |r| r.id.as_str());
    let of = |s: &&crate::work::Step| s.role == Role::Plain && s.room == room && s.when.is_empty();
    g.steps.iter().rev().find(of).map(|s| batch(&s.id).to_string()).into_iter().collect()
}

/// A delivery to begin with: a week from the order, before the last step of the first room.
pub fn new_delivery(job: &Job) -> Edit {
    let (id, name) = named(job, "delivery");
    Edit::Delivery(
        job.deliveries.len(),
        Some(Delivery { id, name, lead_days: 5.0, before: last_step(job), ..Delivery::default() }),
    )
}

/// A decision to begin with: settled a week after the first day, before the last step.
pub fn new_decision(job: &Job) -> Edit {
    let (id, name) = named(job, "decision");
    let by = job.start + chrono::Duration::days(7);
    Edit::Decision(job.decisions.len(), Some(Decision { id, name, by, late: None, before: last_step(job) }))
}

/// A visit to begin with: two hours of somebody else.
pub fn new_visit(job: &Job) -> Edit {
    let (id, name) = named(job, "visit");
    Edit::Visit(job.visits.len(), Some(Visit { id, name, hours: 2.0, ..Visit::default() }))
}

/// Index in `list` behind `at`: `3` of `needs[3].step` with `needs`.
fn index(rest: &str, list: &str) -> Option<usize> {
    rest.strip_prefix(list)?.strip_prefix('[')?.split(']').next()?.parse().ok()
}

/// What else must change with some changes, so that nothing waits for what is gone: the changes
/// to make behind them, and each in words.
pub fn knock_on(job: &Job, edits: &[Edit]) -> (Vec<Edit>, Vec<String>) {
    let after = edited(job, edits);
    let nobody = |p: &crate::job::Problem| p.what.starts_with("there is no step");
    let before: BTreeSet<String> = attempt(job).1.into_iter().filter(nobody).map(|p| p.what).collect();
    let lost: Vec<_> = attempt(&after).1.into_iter().filter(nobody).filter(|p| !before.contains(&p.what)).collect();
    let mut words = Vec::new();
    let mut out = Vec::new();
    // Needs and followers of one record that are gone, by their place in its lists.
    let gone = |list: &str, i: usize| -> (Vec<usize>, Vec<usize>) {
        let head = format!("{list}[{i}].");
        let rests: Vec<&str> = lost.iter().filter_map(|p| p.path.strip_prefix(&head)).collect();
        let of = |l: &str| rests.iter().filter_map(|r| index(r, l)).collect();
        (of("needs"), of("before"))
    };
    let mut tell = |name: &str, needs: &[Need], before: &[String], gone: &(Vec<usize>, Vec<usize>)| {
        for n in gone.0.iter().filter_map(|&j| needs.get(j)) {
            words.push(format!("\"{name}\" no longer waits for {}", n.step));
        }
        for b in gone.1.iter().filter_map(|&j| before.get(j)) {
            words.push(format!("\"{name}\" no longer comes before {b}"));
        }
        !gone.0.is_empty() || !gone.1.is_empty()
    };
    fn keep<T: Clone>(list: &[T], gone: &[usize]) -> Vec<T> {
        list.iter().enumerate().filter(|(j, _)| !gone.contains(j)).map(|(_, x)| x.clone()).collect()
    }
    for (i, s) in after.steps.iter().enumerate() {
        let g = gone("steps", i);
        if tell(or_id(&s.name, &s.id), &s.needs, &s.before, &g) {
            let new = OwnStep { needs: keep(&s.needs, &g.0), before: keep(&s.before, &g.1), ..s.clone() };
            out.push(Edit::OwnStep(i, Some(Box::new(new))));
        }
    }
    for (i, d) in after.deliveries.iter().enumerate() {
        let g = gone("deliveries", i);
        if tell(or_id(&d.name, &d.id), &d.needs, &d.before, &g) {
            let new = Delivery { needs: keep(&d.needs, &g.0), before: keep(&d.before, &g.1), ..d.clone() };
            out.push(Edit::Delivery(i, Some(new)));
        }
    }
    for (i, d) in after.decisions.iter().enumerate() {
        let g = gone("decisions", i);
        if tell(or_id(&d.name, &d.id), &[], &d.before, &g) {
            out.push(Edit::Decision(i, Some(Decision { before: keep(&d.before, &g.1), ..d.clone() })));
        }
    }
    for (i, v) in after.visits.iter().enumerate() {
        let g = gone("visits", i);
        if tell(or_id(&v.name, &v.id), &v.needs, &v.before, &g) {
            let new = Visit { needs: keep(&v.needs, &g.0), before: keep(&v.before, &g.1), ..v.clone() };
            out.push(Edit::Visit(i, Some(new)));
        }
    }
    (out, words)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk;

    fn study() -> Job {
        desk::open(include_str!("../../sample-jobs/study.ron")).unwrap().read.job
    }

    #[test]
    fn what_is_waited_for_is_found_by_any_of_its_words() {
        let job = study();
        let (g, _) = attempt(&job);
        let list = names(&job, &g, &g.usual());
        let find = |t: &str| matching(&list, t, &|_| false).iter().map(|n| n.id.clone()).collect::<Vec<_>>();
        assert_eq!(find("second skim"), ["study/walls/skim-2"]);
        assert_eq!(find("crown delivery"), ["crown-stock"]);
        assert!(find("all of measured").contains(&"study:measured".to_string()));
        assert!(find("").is_empty() && find("no such thing").is_empty());
        assert!(find("e").len() == MOST);
        assert!(matching(&list, "second skim", &|id| id == "study/walls/skim-2").is_empty());
        assert_eq!(said(&list, "colour"), "trim colour chosen (decision)");
        assert_eq!(said(&list, "lost"), "lost (gone)");
        // Each can be waited for, and the job is then still sound.
        for n in &list {
            let mut j = job.clone();
            new_step(&job).apply(&mut j);
            j.steps[0].needs.push(Need {
                step: n.id.clone(),
                link: Default::default(),
                dry: None,
                lag: 0.0,
                longest: None,
            });
            assert_eq!(desk::judge(&j).err(), None, "{}", n.words);
        }
    }

    #[test]
    fn new_entries_are_sound_and_have_ids_of_their_own() {
        let mut job = study();
        for _ in 0..2 {
            for new in [new_step, new_delivery, new_decision, new_visit] {
                new(&job).apply(&mut job);
            }
        }
        assert_eq!(desk::judge(&job).err(), None);
        assert_eq!((job.steps[1].id.as_str(), job.visits[1].name.as_str()), ("step-2", "visit 2"));
        assert_eq!(crate::jobfile::read(&crate::jobfile::write(&job), crate::trade::tables()).unwrap().job, job);
    }

    #[test]
    fn what_is_taken_out_takes_its_names_along_and_says_so() {
        let job = study();
        let out = [Edit::Surface(0, 7, None)];
        let (more, words) = knock_on(&job, &out);
        assert_eq!(words, ["\"MDF sheets and poplar\" no longer comes before study/panels/rip"]);
        let all: Vec<Edit> = out.iter().cloned().chain(more).collect();
        let after = edited(&job, &all);
        assert_eq!(desk::judge(&after).err(), None);
        assert_eq!(after.deliveries[1].before, ["study/openings/mill"]);
        // Records behind the one taken out keep their own lists.
        let mut job = job;
        for _ in 0..2 {
            new_step(&job).apply(&mut job);
        }
        let need = |id: &str| Need { step: id.into(), link: Default::default(), dry: None, lag: 0.0, longest: None };
        job.steps[1].needs = vec![need("study/walls/prime"), need("step")];
        let out = [Edit::OwnStep(0, None)];
        let (more, words) = knock_on(&job, &out);
        assert_eq!(words, ["\"step 2\" no longer waits for step"]);
        let after = edited(&job, &out.iter().cloned().chain(more).collect::<Vec<_>>());
        assert_eq!(after.steps[0].needs, [need("study/walls/prime")]);
        assert_eq!(knock_on(&job, &[Edit::Name("x".into())]), (Vec::new(), Vec::new()));
    }
}
