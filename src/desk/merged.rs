//! Tests of a house made once: rooms whose recipes ask for the same test share the first room's.
//! A file of a time when each room had its own names steps that are no more; here their names
//! become that of the one test, and what was renamed is said.

use crate::job::{Job, KeptOrder, Until};
use crate::trade::tables;
use crate::work::build::attempt;

/// The row of a recipe by its id, where it is a test the age of the house asks for.
fn is_test(job: &Job, row: &str) -> bool {
    let rows = job.recipes.iter().chain(&tables().recipes).flat_map(|r| &r.steps);
    rows.clone().any(|x| x.id == row && x.built_before.is_some() && x.business_days.is_some())
}

/// Every step name written in a job's log, holds and orders.
fn names<'a>(job: &'a mut Job) -> Vec<&'a mut String> {
    let mut out: Vec<&'a mut String> = Vec::new();
    let orders = job.kept.iter_mut().chain(job.promises.iter_mut().filter_map(|p| p.kept.as_mut()));
    let orders = orders.chain(job.options.iter_mut().filter_map(|o| o.kept.as_mut()));
    for KeptOrder { order, people, holds, .. } in orders {
        out.extend(order.iter_mut());
        out.extend(people.iter_mut().map(|p| &mut p.0));
        out.extend(holds.iter_mut().flat_map(|h| std::iter::once(&mut h.step).chain(until(&mut h.until))));
    }
    out.extend(job.holds.iter_mut().flat_map(|h| std::iter::once(&mut h.step).chain(until(&mut h.until))));
    out.extend(job.log.iter_mut().flat_map(|d| d.steps.iter_mut().map(|w| &mut w.step)));
    out
}

fn until(u: &mut Until) -> Option<&mut String> {
    match u {
        Until::Begun(s) | Until::Done(s) => Some(s),
        Until::At(_) => None,
    }
}

/// Puts the shared test's name in place of a room's own, and says where. Nothing is done to a
/// name of anything else.
pub(super) fn renamed(job: &mut Job) -> Vec<String> {
    let suspect = |job: &Job, name: &str| {
        let parts: Vec<&str> = name.split('/').collect();
        matches!(parts[..], [_, _, row] if is_test(job, row))
    };
    let plain = job.clone();
    if !names(job).into_iter().any(|n| suspect(&plain, n)) {
        return Vec::new();
    }
    let bare = Job { kept: None, holds: Vec::new(), redone: Vec::new(), ..plain.clone() };
    let (graph, _) = attempt(&bare);
    let room_there = |name: &str| {
        let mut parts = name.split('/');
        let room = parts.next().and_then(|id| plain.rooms.iter().find(|r| r.id == id));
        parts.next().is_some_and(|s| room.is_some_and(|r| r.surfaces.iter().any(|x| x.id == s)))
    };
    let mut said: Vec<String> = Vec::new();
    for n in names(job) {
        if graph.steps.iter().any(|s| s.id == *n) || !suspect(&plain, n) || !room_there(n) {
            continue;
        }
        let tail = format!("/{}", n.rsplit('/').next().unwrap_or(""));
        if let Some(shared) = graph.steps.iter().find(|s| s.id.ends_with(&tail)) {
            let words = format!("\"{n}\" is one test with \"{}\" now and goes by its name", shared.id);
            if !said.contains(&words) {
                said.push(words);
            }
            n.clone_from(&shared.id);
        }
    }
    if !said.is_empty() {
        let orders = job.kept.iter_mut().chain(job.promises.iter_mut().filter_map(|p| p.kept.as_mut()));
        for order in orders.chain(job.options.iter_mut().filter_map(|o| o.kept.as_mut())) {
            let mut seen: Vec<String> = Vec::new();
            order.order.retain(|n| {
                let new = !seen.contains(n);
                seen.push(n.clone());
                new
            });
        }
    }
    said
}
