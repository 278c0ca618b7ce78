//! What stands against a plan, as it is told on the screen: rooms, steps and products by their names, a line a place.
//!
//! The same problems as the text of `check`, which names lines and ids of the file. What is said of several steps of
//! a place in the same words is said once.

use super::walkround;
use crate::job::{Edit, Job, Problem};
use crate::work::build::attempt;

/// A line.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Where in the job it stands, each by its path.
    pub paths: Vec<String>,
    pub words: String,
}

/// All of it, with a way out where one is known.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Against {
    pub lines: Vec<Line>,
    /// Words of a button, and the changes it makes.
    pub ways_out: Vec<(String, Vec<Edit>)>,
}

/// Problems of a job in its own words.
pub fn against(job: &Job, problems: &[Problem]) -> Against {
    let names = names(job);
    // By place and remedy: what is said, and of how many steps more.
    let mut list: Vec<Told> = Vec::new();
    for p in problems {
        let place = place(job, &p.path);
        let said = human(&p.what, &names);
        let remedy = human(&p.remedy, &names);
        let told = match list.iter_mut().find(|t| t.place == place && t.remedy == remedy) {
            Some(t) => t,
            None => {
                list.push(Told { place, remedy, paths: Vec::new(), said: Vec::new() });
                list.last_mut().expect("just put there")
            }
        };
        told.paths.push(p.path.clone());
        match told.said.iter_mut().find(|s| alike(&s.0, &said)) {
            Some(s) if s.0 == said || s.1.contains(&said) => {}
            Some(s) => s.1.push(said),
            None => told.said.push((said, Vec::new())),
        }
    }
    let lines = list.into_iter().map(Told::line).collect();
    let ways_out = if problems.is_empty() { Vec::new() } else { walkround::heater(job).into_iter().collect() };
    Against { lines, ways_out }
}

/// The first of it, for where there is room for one line.
pub fn first_against(job: &Job, problems: &[Problem]) -> Option<String> {
    against(job, problems).lines.into_iter().next().map(|l| l.words)
}

/// What is told of a place with one remedy.
struct Told {
    place: String,
    remedy: String,
    paths: Vec<String>,
    said: Vec<(String, Vec<String>)>,
}

impl Told {
    fn line(self) -> Line {
        let each = self.said.into_iter().map(|(what, more)| match more.len() {
            0 => what,
            1 => format!("{what}; so with 1 more step"),
            n => format!("{what}; so with {n} more steps"),
        });
        let said = each.collect::<Vec<_>>().join("; ");
        let place = if self.place.is_empty() { String::new() } else { format!("{}: ", self.place) };
        Line { paths: self.paths, words: format!("{place}{said}; {}", self.remedy) }
    }
}

/// Whether two sentences differ only in the step they begin with.
fn alike(a: &str, b: &str) -> bool {
    let rest = |s: &str| -> Option<String> {
        let mut parts = s.splitn(3, '"');
        let (before, _, behind) = (parts.next()?, parts.next()?, parts.next()?);
        Some(format!("{before}\"{behind}"))
    };
    a == b || rest(a).is_some_and(|x| Some(x) == rest(b))
}

/// What things of the file are called: id, name, and whether the name stands in quotes.
fn names(job: &Job) -> Vec<(String, String, bool)> {
    let mut out = Vec::new();
    let mut put = |id: &str, name: &str, quoted: bool| {
        if !id.is_empty() && !name.is_empty() {
            out.push((id.to_string(), name.to_string(), quoted));
        }
    };
    for s in &attempt(job).0.steps {
        put(&s.id, &s.name, true);
    }
    job.places.iter().for_each(|p| put(&p.id, &p.name, false));
    job.crew.iter().for_each(|p| put(&p.id, &p.name, false));
    for p in super::choices::products(job) {
        put(&p.id, &p.name, false);
    }
    for r in job.recipes.iter().chain(&crate::trade::tables().recipes) {
        put(&r.id, &r.name, true);
    }
    out
}

/// A sentence with names in place of the ids it quotes.
fn human(text: &str, names: &[(String, String, bool)]) -> String {
    let mut out = String::new();
    for (k, part) in text.split('"').enumerate() {
        if k % 2 == 0 {
            out += part;
            continue;
        }
        match names.iter().find(|n| n.0 == part) {
            Some((_, name, quoted)) => {
                // `step "rest stock"`: its name says that it is one.
                if out.ends_with("step ") {
                    out.truncate(out.len() - "step ".len());
                }
                out += &if *quoted { format!("\"{name}\"") } else { name.clone() };
            }
            None => out += &format!("\"{part}\""),
        }
    }
    out
}

/// The thing a path leads to, by its name.
fn place(job: &Job, path: &str) -> String {
    let Some((list, rest)) = path.split_once('[') else { return String::new() };
    let Some(i) = rest.split(']').next().and_then(|n| n.parse::<usize>().ok()) else { return String::new() };
    let called = |name: &str, id: &str| if name.is_empty() { id.to_string() } else { name.to_string() };
    let found = match list {
        "rooms" => job.rooms.get(i).map(|x| called(&x.name, &x.id)),
        "places" => job.places.get(i).map(|x| called(&x.name, &x.id)),
        "crew" => job.crew.get(i).map(|x| called(&x.name, &x.id)),
        "steps" => job.steps.get(i).map(|x| called(&x.name, &x.id)),
        "deliveries" => job.deliveries.get(i).map(|x| called(&x.name, &x.id)),
        "decisions" => job.decisions.get(i).map(|x| called(&x.name, &x.id)),
        "visits" => job.visits.get(i).map(|x| called(&x.name, &x.id)),
        _ => None,
    };
    found.unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk;
    use crate::job::edited;

    fn cold_house() -> Job {
        let study = desk::open(include_str!("../../sample-jobs/study.ron")).expect("a job").read.job;
        let study = Job { kept: None, ..study };
        let q = walkround::questions(&study).into_iter().find(|q| q.key == "heat").expect("asked");
        let cold = q.rows.iter().flatten().find(|c| c.words == "none").expect("an answer");
        edited(&study, &cold.edits)
    }

    #[test]
    fn a_cold_house_is_told_in_names_a_line_a_place_and_can_be_heated_there() {
        let job = cold_house();
        let problems = desk::judge(&job).expect_err("too damp");
        assert!(problems.iter().any(|p| p.what.contains('/')), "{problems:?}");
        let told = against(&job, &problems);
        assert!(told.lines.len() < problems.len(), "{:?}", told.lines);
        for l in &told.lines {
            // No ids, no paths.
            assert!(!l.words.contains('/') && !l.words.contains('[') && l.words.starts_with("Study: "), "{}", l.words);
        }
        let all: usize = told.lines.iter().map(|l| l.paths.len()).sum();
        assert_eq!(all, problems.len(), "every problem is in a line");
        let (words, edits) = told.ways_out.first().expect("a heater");
        assert!(words.starts_with("Put a heater in"), "{words}");
        assert!(desk::judge(&edited(&job, edits)).is_ok());
    }

    #[test]
    fn what_differs_in_its_step_alone_is_said_once() {
        let p = |path: &str, what: &str| Problem::new(path, what, "heat it");
        let list = [
            p("rooms[0].surfaces[0]", "\"a\" waits for dry air"),
            p("rooms[0].surfaces[1]", "\"b\" waits for dry air"),
            p("rooms[0].surfaces[1]", "\"b\" waits for dry air"),
            p("rooms[0]", "paint never dries"),
            p("confidence", "it is 7"),
        ];
        let told = against(&Job::default(), &list);
        let words: Vec<&str> = told.lines.iter().map(|l| l.words.as_str()).collect();
        assert_eq!(words, ["\"a\" waits for dry air; so with 1 more step; paint never dries; it is 7; heat it"]);
        let room = crate::job::Room { name: "Hall".into(), ..Default::default() };
        let job = Job { rooms: vec![room], ..Job::default() };
        let told = against(&job, &list);
        assert_eq!(told.lines.len(), 2);
        assert!(told.lines[0].words.starts_with("Hall: \"a\" waits") && told.lines[1].words == "it is 7; heat it");
    }
}
