//! The kept order of a job file to an order and back.

use crate::job::{Hold, Job, KeptOrder, Problem, Until};
use crate::schedule::{HoldUntil, Net, Order, PlanHold, Setting};
use crate::work::{Role, WorkGraph};

/// Holds of the job and of its kept order, resolved. A step with several variants is held in
/// each.
///
/// # Errors
/// Names that no step has, each at its field path.
pub fn holds(job: &Job, graph: &WorkGraph) -> Result<Vec<PlanHold>, Vec<Problem>> {
    let mut out = Vec::new();
    let mut problems = Vec::new();
    let all = |id: &str| -> Vec<usize> { (0..graph.steps.len()).filter(|&i| graph.steps[i].id == id).collect() };
    let mut one = |h: &Hold, path: String, own: bool| {
        let steps = all(&h.step);
        if steps.is_empty() {
            problems.push(unknown(graph, &format!("{path}.step"), "step", &h.step));
        }
        let untils: Vec<HoldUntil> = match &h.until {
            Until::At(t) => vec![HoldUntil::At(job.at_of(*t))],
            Until::Begun(id) | Until::Done(id) => {
                let found = all(id);
                if found.is_empty() {
                    problems.push(unknown(graph, &format!("{path}.until"), "step", id));
                }
                let begun = matches!(h.until, Until::Begun(_));
                found.into_iter().map(|i| if begun { HoldUntil::Begun(i) } else { HoldUntil::Done(i) }).collect()
            }
        };
        let wait = if own { None } else { h.wait };
        for &step in &steps {
            out.extend(untils.iter().map(|&until| PlanHold { step, until, wait }));
        }
    };
    for (i, h) in job.holds.iter().enumerate() {
        one(h, format!("holds[{i}]"), true);
    }
    for (i, h) in job.kept.iter().flat_map(|k| &k.holds).enumerate() {
        one(h, format!("kept.holds[{i}]"), false);
    }
    if problems.is_empty()
        && !out.is_empty()
        && let Some(p) = circle(graph, &out)
    {
        problems.push(p);
    }
    if problems.is_empty() { Ok(out) } else { Err(problems) }
}

/// Holds that wait for what waits for them, under the usual methods.
fn circle(graph: &WorkGraph, holds: &[PlanHold]) -> Option<Problem> {
    let usual = graph.usual();
    let present = |s: usize| WorkGraph::holds(&graph.steps[s].when, &usual);
    let mut g = petgraph::graphmap::DiGraphMap::<usize, ()>::new();
    for l in graph.links.iter().filter(|l| WorkGraph::holds(&l.when, &usual)) {
        g.add_edge(l.from, l.to, ());
    }
    for h in holds {
        if let HoldUntil::Begun(y) | HoldUntil::Done(y) = h.until
            && present(y)
            && present(h.step)
        {
            g.add_edge(y, h.step, ());
        }
    }
    let knot = petgraph::algo::tarjan_scc(&g).into_iter().find(|k| k.len() > 1 || g.contains_edge(k[0], k[0]))?;
    let mut names: Vec<&str> = knot.iter().map(|&s| graph.steps[s].id.as_str()).collect();
    names.sort_unstable();
    let held = holds.iter().position(|h| knot.contains(&h.step)).unwrap_or(0);
    Some(Problem::new(
        if held < holds.len() { "holds" } else { "kept.holds" },
        format!("steps wait for each other through a hold: {}", names.join(", ")),
        "take the hold out, or let it wait for an earlier step",
    ))
}

/// Whether the user chose a method for this choice (`room/surface/choice`) himself.
fn chosen(job: &Job, choice: &str) -> bool {
    let named = |r: &crate::job::Room, s: &crate::job::Surface| {
        s.methods.iter().any(|m| choice.strip_prefix(&format!("{}/{}/", r.id, s.id)) == Some(m.0.as_str()))
    };
    job.rooms.iter().any(|r| r.surfaces.iter().any(|s| named(r, s)))
}

/// The job's kept order, steps missing from it put right behind the last step they need.
///
/// # Errors
/// Names that no step, choice, option or person has, each at its field path.
pub fn kept(job: &Job, graph: &WorkGraph, setting: &Setting) -> Result<Option<Order>, Vec<Problem>> {
    let Some(k) = &job.kept else { return holds(job, graph).map(|_| None) };
    let mut problems = Vec::new();
    let mut methods = graph.usual();
    for (i, (choice, option)) in k.methods.iter().enumerate() {
        let path = format!("kept.methods[{i}]");
        let Some(c) = graph.choices.iter().position(|c| c.id == *choice) else {
            let near = nearest(choice, graph.choices.iter().map(|c| c.id.as_str()));
            problems.push(Problem::new(path, format!("no choice is called \"{choice}\""), remedy("choice", near)));
            continue;
        };
        match graph.choices[c].options.iter().position(|o| o == option) {
            Some(o) if graph.choices[c].fixed.is_none_or(|f| f == o) => methods[c] = o,
            // The room settles it another way since the order was kept: a crown left out, a helper gone.
            Some(_) if !chosen(job, choice) => methods[c] = graph.choices[c].fixed.unwrap_or(methods[c]),
            Some(_) => problems.push(Problem::new(
                path,
                format!("the surface fixes another method than \"{option}\" for \"{choice}\""),
                "take the method out of the surface or out of the kept order",
            )),
            None => problems.push(Problem::new(
                path,
                format!("\"{choice}\" has no option \"{option}\""),
                format!("write one of {}", graph.choices[c].options.join(", ")),
            )),
        }
    }
    let mut order = Vec::new();
    for (i, id) in k.order.iter().enumerate() {
        let any = graph.steps.iter().any(|s| s.id == *id);
        match graph.find(id, &methods) {
            Some(s) if !order.contains(&s) => order.push(s),
            Some(_) => problems.push(Problem::new(
                format!("kept.order[{i}]"),
                format!("\"{id}\" stands in the order twice"),
                "take one of the two out",
            )),
            // A step of a method not chosen: nothing to order.
            None if any => {}
            None => problems.push(unknown(graph, &format!("kept.order[{i}]"), "step", id)),
        }
    }
    let mut people: Vec<Option<Vec<usize>>> = vec![None; graph.steps.len()];
    for (i, (id, names)) in k.people.iter().enumerate() {
        let path = format!("kept.people[{i}]");
        if !graph.steps.iter().any(|s| s.id == *id) {
            problems.push(unknown(graph, &path, "step", id));
        }
        let mut who = Vec::new();
        for n in names {
            match setting.workers.iter().position(|w| w.id == *n) {
                Some(p) if !who.contains(&p) => who.push(p),
                Some(_) => {}
                None => problems.push(Problem::new(
                    path.clone(),
                    format!("nobody in the crew is called \"{n}\""),
                    remedy("person", nearest(n, setting.workers.iter().map(|w| w.id.as_str()))),
                )),
            }
        }
        for (s, step) in graph.steps.iter().enumerate() {
            if step.id == *id {
                let able = who.iter().filter(|p| step.crew.who.contains(p)).count();
                if able < step.crew.fewest {
                    problems.push(Problem::new(
                        path.clone(),
                        format!(
                            "\"{id}\" needs {} pairs of hands, the order allows {able} of those who may",
                            step.crew.fewest
                        ),
                        "allow more people for it, or take the entry out",
                    ));
                }
                people[s] = Some(who.clone());
            }
        }
    }
    let holds = match holds(job, graph) {
        Ok(h) => h,
        Err(p) => {
            problems.extend(p);
            Vec::new()
        }
    };
    if !problems.is_empty() {
        return Err(problems);
    }
    let net = Net::new(graph, setting, &methods);
    place_missing(&net, &mut order);
    Ok(Some(Order { order, methods, people, holds }))
}

/// Puts every present step the order lacks right behind the last step it needs.
pub fn place_missing(net: &Net, order: &mut Vec<usize>) {
    for s in net.topo() {
        if order.contains(&s) {
            continue;
        }
        let at = order.iter().rposition(|x| net.deps[s].iter().any(|d| d.from == *x)).map_or(0, |i| i + 1);
        order.insert(at, s);
    }
}

/// An order as the job file keeps it: planned steps by id, methods that were free to choose.
pub fn keep(graph: &WorkGraph, setting: &Setting, order: &Order, job: &Job) -> KeptOrder {
    let planned =
        |s: &usize| !matches!(graph.steps[*s].role, Role::Scuff { .. } | Role::Redo { .. } | Role::Surprise { .. });
    let mut steps: Vec<usize> = order.order.iter().copied().filter(planned).collect();
    // Work that only some trials have is named where it stands elsewhere than it would be put.
    let mut read_back = steps.clone();
    place_missing(&Net::new(graph, setting, &order.methods), &mut read_back);
    if read_back != order.order {
        steps.clone_from(&order.order);
    }
    KeptOrder {
        order: steps.iter().map(|&s| graph.steps[s].id.clone()).collect(),
        methods: graph
            .choices
            .iter()
            .zip(&order.methods)
            .filter(|(c, _)| c.fixed.is_none())
            .map(|(c, &o)| (c.id.clone(), c.options[o].clone()))
            .collect(),
        people: order
            .people
            .iter()
            .enumerate()
            .filter_map(|(s, p)| {
                let names = p.as_ref()?.iter().map(|&w| setting.workers[w].id.clone()).collect();
                Some((graph.steps[s].id.clone(), names))
            })
            .collect(),
        holds: kept_holds(graph, order, job),
    }
}

/// The holds of the order kept before and those the search found, by id, each once.
fn kept_holds(graph: &WorkGraph, order: &Order, job: &Job) -> Vec<Hold> {
    let mut out = job.kept.as_ref().map(|k| k.holds.clone()).unwrap_or_default();
    for h in order.holds.iter().filter(|h| h.wait.is_some()) {
        let id = |s: usize| graph.steps[s].id.clone();
        let until = match h.until {
            HoldUntil::Begun(y) => Until::Begun(id(y)),
            HoldUntil::Done(y) => Until::Done(id(y)),
            // Only a job names an instant, and its holds are there already.
            HoldUntil::At(_) => continue,
        };
        let step = id(h.step);
        if !out.iter().any(|x| x.step == step && x.until == until) {
            out.push(Hold { step, until, wait: h.wait });
        }
    }
    out
}

fn nearest<'a>(name: &str, among: impl Iterator<Item = &'a str>) -> Option<String> {
    crate::work::build::nearest(name, among).map(str::to_string)
}

fn remedy(what: &str, near: Option<String>) -> String {
    match near {
        Some(n) => format!("did you mean \"{n}\"?"),
        None => format!("name a {what} the job has, or take it out"),
    }
}

fn unknown(graph: &WorkGraph, path: &str, what: &str, id: &str) -> Problem {
    let near = nearest(id, graph.steps.iter().map(|s| s.id.as_str()));
    Problem::new(path, format!("no {what} is called \"{id}\""), remedy(what, near))
}
