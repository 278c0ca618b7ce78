//! Options of a job read with the same care as the job: each is filled and checked as the
//! whole job it stands for, and what is found in it is said at its own place.

use super::check::{self, Findings};
use super::reader::Reader;
use super::{fill, names};
use crate::job::{Job, JobOption, MOST_OPTIONS, Problem, difference};
use crate::trade::Tables;

/// The jobs the options stand for, as written: nothing filled in yet.
pub(super) fn whole(job: &Job) -> Vec<Job> {
    let blank = Job {
        options: Vec::new(),
        promises: Vec::new(),
        log: Vec::new(),
        lost: Vec::new(),
        record: Vec::new(),
        redone: Vec::new(),
        changes: Vec::new(),
        closed: None,
        quotes: Vec::new(),
        ..job.clone()
    };
    let with = |o: &JobOption| {
        let one = Job { options: vec![o.clone()], ..blank.clone() };
        Job { options: Vec::new(), option: o.name.clone(), ..crate::job::with_option(&one, 0) }
    };
    job.options.iter().map(with).collect()
}

/// Fills the options in and says what is wrong in them beside what is `said` of the job.
pub(super) fn read(job: &mut Job, whole: Vec<Job>, tables: &Tables, r: &Reader, said: &[Problem]) -> Vec<Problem> {
    let mut out = Vec::new();
    if whole.len() > MOST_OPTIONS {
        let what = format!("{} options beside the job, at most {MOST_OPTIONS} can be compared with it", whole.len());
        out.push(Problem::new("options", what, "take one out, or make a job of its own of it"));
    }
    let mut filled = Vec::new();
    for (i, mut full) in whole.into_iter().enumerate() {
        let option = job.options[i].clone();
        fill::ids(&mut full);
        fill::places(&mut full);
        // Rows the job has are used as they stand in it; rows this option alone uses go to the job's.
        let shared = option.rates.is_none() && option.products.is_none() && option.recipes.is_none();
        if shared {
            rows(job, &mut full);
            fill::rows(&mut full, tables);
            rows(&full, job);
        } else {
            fill::rows(&mut full, tables);
        }
        // Materials are the job's for all options.
        let new: Vec<_> = full.materials.iter().filter(|m| !job.materials.iter().any(|x| x.id == m.id)).collect();
        job.materials.extend(new.into_iter().cloned());
        let own = |path: &str| {
            let section = path.split(['.', '[']).next().unwrap_or("");
            section == "kept" || option.differs_in().contains(&section)
        };
        let head = format!("options[{i}].");
        // Paths of this option as if they were the job's, beside those it shares.
        let as_job = |p: &String| match p.strip_prefix(&head) {
            Some(rest) => Some(rest.to_string()),
            None => (!own(p)).then(|| p.clone()),
        };
        let bad = r.bad.iter().filter_map(as_job).collect();
        let offsets = r.offsets.iter().filter_map(|(p, at)| Some((as_job(p)?, *at))).collect();
        let mut findings = Findings::new(&bad, &offsets);
        check::values(&full, &mut findings);
        names::check(&full, tables, &mut findings);
        // Common to all options, and judged with the job.
        let common = |p: &Problem| ["materials", "price", "quotes", "letterhead"].iter().any(|s| p.path.starts_with(s));
        for p in findings.out.into_iter().filter(|p| !common(p)) {
            if own(&p.path) {
                out.push(Problem { path: format!("{head}{}", p.path), ..p });
            } else if !said.contains(&p) {
                let what = format!("in the option \"{}\": {}", option.name, p.what);
                out.push(Problem { path: format!("options[{i}]"), what, ..p });
            }
        }
        if option.name.trim().is_empty() {
            out.push(Problem::new(format!("{head}name"), "the option has no name", "write what it is called"));
        }
        filled.push((full, shared));
    }
    let mut against = job.clone();
    fill::expand(&mut against, tables);
    for (i, (mut full, shared)) in filled.into_iter().enumerate() {
        fill::expand(&mut full, tables);
        if shared {
            rows(&against, &mut full);
        }
        job.options[i] = difference(&against, &full, std::mem::take(&mut job.options[i].name));
    }
    out
}

/// The rows of one job into another.
fn rows(from: &Job, to: &mut Job) {
    to.rates.clone_from(&from.rates);
    to.products.clone_from(&from.products);
    to.recipes.clone_from(&from.recipes);
}

/// Promises in the order they were made, the last of them the client's day unless it was withdrawn.
pub(super) fn promises(job: &Job, found: &mut Findings) {
    for (i, two) in job.promises.windows(2).enumerate() {
        if two[1].made_on < two[0].made_on {
            let what = format!("the promise made on {} stands after one of {}", two[1].made_on, two[0].made_on);
            found.add(format!("promises[{}].made_on", i + 1), what, "write promises in the order they were made");
        }
    }
    for (i, p) in job.promises.iter().enumerate().filter(|p| p.1.withdrawn) {
        let before = i.checked_sub(1).map(|k| &job.promises[k]);
        if before.is_some_and(|b| b.withdrawn || b.day != p.day) {
            let what = format!("{} is withdrawn, and was not promised right before", p.day);
            found.add(
                format!("promises[{i}].day"),
                what,
                "name the day of the promise before it, or take this record out",
            );
        }
        if p.reason.trim().is_empty() {
            found.add(format!("promises[{i}].reason"), "no reason why the promise is withdrawn", "say why");
        }
    }
    let Some(last) = job.promises.last() else { return };
    let promised = job.promised_day();
    if last.withdrawn && promised.is_some() {
        let what = format!("the promise of {} is withdrawn, and the client's day says it is promised", last.day);
        found.add("target", what, "write target: (kind: asked, day: ...), or take target out");
    } else if !last.withdrawn && promised != Some(last.day) {
        let what = format!("the last promise is for {}, and the client's day says otherwise", last.day);
        let remedy = format!("write target: (kind: promised, day: \"{}\")", last.day);
        found.add(if job.target.is_some() { "target" } else { "promises" }, what, remedy);
    }
}
