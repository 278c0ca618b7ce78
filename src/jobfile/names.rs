//! Names: ids missing, doubled or misshapen, and names of things that are not there.
//!
//! What a recipe makes of a surface is not known here, so of a step `room/surface/step`
//! only room and surface are judged.

use std::collections::BTreeSet;

use super::check::Findings;
use super::fill::Expanded;
use super::fill::{expanded, part_word, slug};
use super::near::advise;
use crate::job::{Hold, Job, Need, Room, Surface, Until};
use crate::trade::{ExtraUnit, Recipe, Tables};

/// Checks every name of the job.
pub(super) fn check(job: &Job, tables: &Tables, found: &mut Findings) {
    ids(job, found);
    let n = Names::new(job, tables);
    places(job, &n, found);
    for (i, room) in job.rooms.iter().enumerate() {
        for (j, s) in room.surfaces.iter().enumerate() {
            surface(s, &format!("rooms[{i}].surfaces[{j}]"), &n, found);
        }
    }
    own_steps(job, &n, found);
    for (i, d) in job.deliveries.iter().enumerate() {
        n.needs(&d.needs, &format!("deliveries[{i}].needs"), found);
        n.before(&d.before, &format!("deliveries[{i}].before"), found);
    }
    for (i, d) in job.decisions.iter().enumerate() {
        n.before(&d.before, &format!("decisions[{i}].before"), found);
    }
    for (i, v) in job.visits.iter().enumerate() {
        n.needs(&v.needs, &format!("visits[{i}].needs"), found);
        n.before(&v.before, &format!("visits[{i}].before"), found);
        if !v.place.is_empty() {
            n.place(&v.place, format!("visits[{i}].place"), found);
        }
    }
    n.holds(&job.holds, "holds", found);
    if let Some(kept) = &job.kept {
        for (i, s) in kept.order.iter().enumerate() {
            n.step(s, format!("kept.order[{i}]"), found);
        }
        for (i, (s, people)) in kept.people.iter().enumerate() {
            n.step(s, format!("kept.people[{i}][0]"), found);
            for (j, p) in people.iter().enumerate() {
                n.one_of(p, &n.people, "somebody in the crew", "crew", format!("kept.people[{i}][1][{j}]"), found);
            }
        }
        for (i, (choice, _)) in kept.methods.iter().enumerate() {
            n.step(choice, format!("kept.methods[{i}][0]"), found);
        }
        n.holds(&kept.holds, "kept.holds", found);
    }
    let person = |p: &String, path: String, found: &mut Findings| {
        n.one_of(p, &n.people, "somebody in the crew", "crew", path, found);
    };
    for (i, d) in job.log.iter().enumerate() {
        for (j, w) in d.steps.iter().enumerate() {
            n.step(&w.step, format!("log[{i}].steps[{j}].step"), found);
            for (k, p) in w.who.iter().enumerate() {
                person(p, format!("log[{i}].steps[{j}].who[{k}]"), found);
            }
        }
    }
    for (i, r) in job.redone.iter().enumerate() {
        n.step(&r.step, format!("redone[{i}].step"), found);
    }
    for (i, l) in job.lost.iter().enumerate().filter(|(_, l)| !l.who.is_empty()) {
        person(&l.who, format!("lost[{i}].who"), found);
    }
    // A row serves any job: it may name rates and products this one does not use.
    let bundled = crate::trade::tables();
    let all_rates: Vec<&str> = n.rates.iter().copied().chain(bundled.rates.iter().map(|r| r.id.as_str())).collect();
    let all_products: Vec<&str> =
        n.products.iter().copied().chain(bundled.products.iter().map(|p| p.id.as_str())).collect();
    for (i, m) in job.materials.iter().enumerate() {
        for (j, u) in m.uses.iter().enumerate() {
            n.one_of(&u.rate, &all_rates, "a rate", "rates", format!("materials[{i}].uses[{j}].rate"), found);
        }
        for (j, p) in m.products.iter().enumerate() {
            n.one_of(p, &all_products, "a product", "products", format!("materials[{i}].products[{j}]"), found);
        }
    }
    // An extra is one of the table, paid by the same: nothing else is ever asked for.
    for (i, e) in job.extras.iter().enumerate() {
        let known = crate::trade::extras();
        match known.iter().find(|k| k.id == e.id) {
            Some(k) if k.unit != e.unit => found.add(
                format!("extras[{i}].unit"),
                format!("\"{}\" is paid by another unit", e.id),
                format!("write unit: {}", unit_word(k.unit)),
            ),
            Some(_) => {}
            None => {
                let remedy = advise(&e.id, known.iter().map(|k| k.id.as_str()), "take it out");
                found.add(format!("extras[{i}].id"), format!("\"{}\" is no extra a way back costs", e.id), remedy);
            }
        }
    }
    for (i, r) in job.recipes.iter().enumerate() {
        recipe(r, i, job, &n, found);
    }
}

fn unit_word(u: ExtraUnit) -> String {
    serde_json::to_value(u).ok().and_then(|v| v.as_str().map(String::from)).unwrap_or_default()
}

/// Ids of a list: there, well shaped, each once.
fn list<'a>(
    ids: impl Iterator<Item = &'a str>,
    path: &str,
    what: &str,
    seen: &mut BTreeSet<String>,
    found: &mut Findings,
) {
    for (i, id) in ids.enumerate() {
        let at = format!("{path}[{i}].id");
        let shaped = id.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.'));
        if id.is_empty() {
            found.add(at, format!("{what} has no id and no name"), "add name: \"...\" or id: \"...\"");
        } else if !shaped {
            let remedy = format!("use letters, figures and hyphens, such as \"{}\"", slug(id));
            found.add(at, format!("\"{id}\" cannot be an id"), remedy);
        } else if !seen.insert(id.to_string()) {
            found.add(at, format!("the id \"{id}\" is used twice"), "give one of the two another id");
        }
    }
}

fn ids(job: &Job, found: &mut Findings) {
    let none = BTreeSet::new;
    list(job.crew.iter().map(|p| p.id.as_str()), "crew", "a person", &mut none(), found);
    list(job.places.iter().map(|p| p.id.as_str()), "places", "a place", &mut none(), found);
    list(job.rooms.iter().map(|p| p.id.as_str()), "rooms", "a room", &mut none(), found);
    for (i, r) in job.rooms.iter().enumerate() {
        let path = format!("rooms[{i}].surfaces");
        list(r.surfaces.iter().map(|s| s.id.as_str()), &path, "a surface", &mut none(), found);
    }
    let mut gates = none();
    list(job.steps.iter().map(|s| s.id.as_str()), "steps", "a step", &mut gates, found);
    list(job.deliveries.iter().map(|s| s.id.as_str()), "deliveries", "a delivery", &mut gates, found);
    list(job.decisions.iter().map(|s| s.id.as_str()), "decisions", "a decision", &mut gates, found);
    list(job.visits.iter().map(|s| s.id.as_str()), "visits", "a visit", &mut gates, found);
    for (i, s) in job.steps.iter().enumerate() {
        let path = format!("steps[{i}].methods");
        list(s.methods.iter().map(|m| m.id.as_str()), &path, "a method", &mut none(), found);
    }
    list(job.rates.iter().map(|r| r.id.as_str()), "rates", "a rate", &mut none(), found);
    list(job.products.iter().map(|r| r.id.as_str()), "products", "a product", &mut none(), found);
    list(job.recipes.iter().map(|r| r.id.as_str()), "recipes", "a recipe", &mut none(), found);
    list(job.extras.iter().map(|e| e.id.as_str()), "extras", "an extra", &mut none(), found);
    list(job.materials.iter().map(|m| m.id.as_str()), "materials", "a material", &mut none(), found);
    for (i, r) in job.recipes.iter().enumerate() {
        // Rows of one id are allowed where different methods bring them; the work graph judges.
        let choices = r.choices.iter().map(|c| c.id.as_str());
        list(choices, &format!("recipes[{i}].choices"), "a choice", &mut none(), found);
    }
}

/// Everything that can be named.
struct Names<'a> {
    people: Vec<&'a str>,
    skills: Vec<&'a str>,
    places: Vec<&'a str>,
    rooms: &'a [Room],
    room_ids: Vec<&'a str>,
    /// Own steps, deliveries, decisions, visits.
    gates: Vec<&'a str>,
    milestones: Vec<String>,
    rates: Vec<&'a str>,
    products: Vec<&'a str>,
    recipes: Vec<&'a str>,
    /// The job's recipes, in its order, with what they include.
    whole: Vec<Expanded>,
}

impl<'a> Names<'a> {
    fn new(job: &'a Job, tables: &'a Tables) -> Names<'a> {
        fn all<'a, T>(lists: &[&'a [T]], id: fn(&T) -> &str) -> Vec<&'a str> {
            let mut out: Vec<&str> = Vec::new();
            for list in lists {
                for x in *list {
                    if !out.contains(&id(x)) {
                        out.push(id(x));
                    }
                }
            }
            out
        }
        let mut gates = all(&[&job.steps], |s| &s.id);
        gates.extend(all(&[&job.deliveries], |s| &s.id));
        gates.extend(all(&[&job.decisions], |s| &s.id));
        gates.extend(all(&[&job.visits], |s| &s.id));
        let whole: Vec<Expanded> = job.recipes.iter().map(|r| expanded(r, &job.recipes, tables)).collect();
        let gives = whole.iter().flat_map(|r| &r.recipe.steps).flat_map(|s| &s.gives).cloned();
        Names {
            people: all(&[&job.crew], |p| &p.id),
            skills: job.crew.iter().flat_map(|p| &p.skills).map(String::as_str).collect(),
            places: all(&[&job.places], |p| &p.id),
            rooms: &job.rooms,
            room_ids: all(&[&job.rooms], |r| &r.id),
            gates,
            milestones: gives.collect(),
            whole,
            rates: all(&[&job.rates, &tables.rates], |r| &r.id),
            products: all(&[&job.products, &tables.products], |r| &r.id),
            recipes: all(&[&job.recipes, &tables.recipes], |r| &r.id),
        }
    }

    fn one_of(&self, name: &str, there: &[&str], what: &str, list: &str, path: String, found: &mut Findings) {
        if !there.contains(&name) && found.sure(list) {
            let remedy = advise(name, there.iter().copied(), &format!("add it under {list}"));
            found.add(path, format!("\"{name}\" is not {what}"), remedy);
        }
    }

    fn place(&self, name: &str, path: String, found: &mut Findings) {
        self.one_of(name, &self.places, "a place of this job", "places", path, found);
    }

    fn product(&self, name: &str, path: String, found: &mut Findings) {
        self.one_of(name, &self.products, "a product", "products", path, found);
    }

    fn rate(&self, name: &str, path: String, found: &mut Findings) {
        self.one_of(name, &self.rates, "a rate", "rates", path, found);
    }

    /// `room/surface/step`: room and surface; anything else must be an own step or a gate.
    fn step(&self, name: &str, path: String, found: &mut Findings) {
        self.step_or(name, &[], "a step, delivery, decision or visit", path, found);
    }

    fn step_or(&self, name: &str, more: &[&str], what: &str, path: String, found: &mut Findings) {
        // `+redo`, `+scuff`: work that only some trials have, of the step before it.
        let base = name.split(['#', '+']).next().unwrap_or(name);
        // A milestone may be one room's: `study:crown-hung`.
        let base = match base.split_once(':') {
            Some((room, mark)) if !more.is_empty() && self.room_ids.contains(&room) => mark,
            _ => base,
        };
        if self.gates.contains(&base) || more.contains(&base) {
            return;
        }
        let sure = ["steps", "deliveries", "decisions", "visits", "rooms"].iter().all(|l| found.sure(l));
        let Some((room, rest)) = base.split_once('/') else {
            if sure {
                let there: Vec<&str> = self.gates.iter().chain(more).copied().collect();
                let remedy = advise(name, there, "name a step of a recipe as \"room/surface/step\"");
                found.add(path, format!("\"{name}\" is not {what}"), remedy);
            }
            return;
        };
        let Some(at) = self.rooms.iter().find(|r| r.id == room) else {
            // An own step may be named with its room in front.
            if sure && !self.gates.contains(&base.rsplit('/').next().unwrap_or(base)) {
                let remedy = advise(room, self.room_ids.iter().copied(), "write the id of a room");
                found.add(path, format!("there is no room \"{room}\" for \"{name}\""), remedy);
            }
            return;
        };
        if let Some((surface, _)) = rest.split_once('/')
            && !at.surfaces.iter().any(|s| s.id == surface)
            && !["room", "found"].contains(&surface)
            && sure
        {
            let remedy = advise(surface, at.surfaces.iter().map(|s| s.id.as_str()), "write the id of a surface");
            found.add(path, format!("room \"{room}\" has no surface \"{surface}\""), remedy);
        }
    }

    fn needs(&self, needs: &[Need], path: &str, found: &mut Findings) {
        let milestones: Vec<&str> = self.milestones.iter().map(String::as_str).collect();
        for (i, n) in needs.iter().enumerate() {
            let what = "a step, delivery, decision or visit";
            self.step_or(&n.step, &milestones, what, format!("{path}[{i}].step"), found);
        }
    }

    fn before(&self, names: &[String], path: &str, found: &mut Findings) {
        let milestones: Vec<&str> = self.milestones.iter().map(String::as_str).collect();
        for (i, name) in names.iter().enumerate() {
            let what = "a step or a milestone";
            self.step_or(name, &milestones, what, format!("{path}[{i}]"), found);
        }
    }

    fn holds(&self, holds: &[Hold], path: &str, found: &mut Findings) {
        for (i, h) in holds.iter().enumerate() {
            self.step(&h.step, format!("{path}[{i}].step"), found);
            if let Until::Begun(s) | Until::Done(s) = &h.until {
                self.step(s, format!("{path}[{i}].until"), found);
            }
        }
    }
}

fn places(job: &Job, n: &Names, found: &mut Findings) {
    for (i, p) in job.places.iter().enumerate() {
        for (j, other) in p.open_to.iter().enumerate() {
            n.place(other, format!("places[{i}].open_to[{j}]"), found);
        }
        if let Some(b) = &p.beside {
            n.place(b, format!("places[{i}].beside"), found);
        }
    }
    for (i, r) in job.rooms.iter().enumerate() {
        if !r.place.is_empty() {
            n.place(&r.place, format!("rooms[{i}].place"), found);
        }
    }
}

fn surface(s: &Surface, path: &str, n: &Names, found: &mut Findings) {
    let Some(recipe) = n.whole.iter().map(|e| &e.recipe).find(|r| r.id == s.recipe) else {
        // Only what may go on this part of the room helps.
        let fits = |r: &&crate::trade::Recipe| r.parts.contains(&s.part);
        let own = n.whole.iter().map(|e| &e.recipe).filter(fits).map(|r| r.id.as_str());
        let there: Vec<&str> =
            own.chain(crate::trade::tables().recipes.iter().filter(fits).map(|r| r.id.as_str())).collect();
        let there = if there.is_empty() { n.recipes.clone() } else { there };
        n.one_of(&s.recipe, &there, "a recipe", "recipes", format!("{path}.recipe"), found);
        return;
    };
    if !recipe.parts.is_empty() && !recipe.parts.contains(&s.part) {
        let parts: Vec<&str> = recipe.parts.iter().map(|&p| part_word(p)).collect();
        let what = format!("the recipe \"{}\" is not for {}", recipe.id, part_word(s.part));
        found.add(format!("{path}.recipe"), what, format!("it is for {}; choose another", parts.join(", ")));
    }
    for (i, (choice, option)) in s.methods.iter().enumerate() {
        choice_of(recipe, choice, option, &format!("{path}.methods[{i}]"), found);
    }
    for (i, c) in s.changes.iter().enumerate() {
        if !recipe.steps.iter().any(|r| r.id == c.step) {
            let remedy = advise(&c.step, recipe.steps.iter().map(|r| r.id.as_str()), "remove the change");
            let what = format!("the recipe \"{}\" has no step \"{}\"", recipe.id, c.step);
            found.add(format!("{path}.changes[{i}].step"), what, remedy);
        }
        if let Some(p) = &c.product {
            n.product(p, format!("{path}.changes[{i}].product"), found);
        }
    }
}

/// A choice of a recipe and one of its options.
fn choice_of(recipe: &Recipe, choice: &str, option: &str, path: &str, found: &mut Findings) {
    let Some(c) = recipe.choices.iter().find(|c| c.id == choice) else {
        let remedy = advise(choice, recipe.choices.iter().map(|c| c.id.as_str()), "remove it");
        found.add(format!("{path}[0]"), format!("the recipe \"{}\" has no choice \"{choice}\"", recipe.id), remedy);
        return;
    };
    if !c.options.iter().any(|o| o == option) {
        let remedy = advise(option, c.options.iter().map(String::as_str), "remove it");
        found.add(format!("{path}[1]"), format!("\"{option}\" is not an option of \"{choice}\""), remedy);
    }
}

fn own_steps(job: &Job, n: &Names, found: &mut Findings) {
    let who = |list: &[String], path: String, found: &mut Findings| {
        let there: Vec<&str> = n.people.iter().chain(&n.skills).copied().collect();
        for (i, w) in list.iter().enumerate() {
            n.one_of(w, &there, "a person or a skill of the crew", "crew", format!("{path}[{i}]"), found);
        }
    };
    for (i, s) in job.steps.iter().enumerate() {
        let path = format!("steps[{i}]");
        if !s.room.is_empty() {
            n.one_of(&s.room, &n.room_ids, "a room of this job", "rooms", format!("{path}.room"), found);
        }
        if !s.place.is_empty() {
            n.place(&s.place, format!("{path}.place"), found);
        }
        who(&s.hands.who, format!("{path}.hands.who"), found);
        n.needs(&s.needs, &format!("{path}.needs"), found);
        n.before(&s.before, &format!("{path}.before"), found);
        if let Some(l) = &s.leaves {
            n.product(&l.product, format!("{path}.leaves.product"), found);
        }
        if let Some((_, rate)) = &s.rate {
            n.rate(rate, format!("{path}.rate[1]"), found);
        }
        for (j, m) in s.methods.iter().enumerate() {
            let path = format!("{path}.methods[{j}]");
            n.needs(&m.needs, &format!("{path}.needs"), found);
            if let Some(l) = &m.leaves {
                n.product(&l.product, format!("{path}.leaves.product"), found);
            }
            if let Some(h) = &m.hands {
                who(&h.who, format!("{path}.hands.who"), found);
            }
        }
    }
}

fn recipe(r: &Recipe, at: usize, job: &Job, n: &Names, found: &mut Findings) {
    let path = format!("recipes[{at}]");
    for (i, other) in r.includes.iter().enumerate() {
        n.one_of(other, &n.recipes, "a recipe", "recipes", format!("{path}.includes[{i}]"), found);
    }
    let whole = &n.whole[at];
    if let Some(by) = &whole.circle {
        let what = format!("the recipe \"{}\" includes itself, by way of \"{by}\"", r.id);
        found.add(format!("{path}.includes"), what, "take it out of one of the two");
    }
    if whole.too_long {
        let what = format!("the recipe \"{}\" has more than 1,000 steps with what it includes", r.id);
        found.add(format!("{path}.includes"), what, "include less");
    }
    if whole.recipe.steps.is_empty() {
        found.add(
            path.clone(),
            format!("the recipe \"{}\" has no steps", r.id),
            "add steps: [ ... ] or includes: [ ... ]",
        );
    }
    let rows: Vec<&str> = whole.recipe.steps.iter().map(|s| s.id.as_str()).collect();
    let choices = &whole.recipe;
    let when = |w: &Option<(String, String)>, path: String, found: &mut Findings| {
        if let Some((choice, option)) = w {
            choice_of(choices, choice, option, &path, found);
        }
    };
    for (i, s) in r.steps.iter().enumerate() {
        let path = format!("{path}.steps[{i}]");
        for (j, t) in s.labor.iter().enumerate() {
            n.rate(&t.rate, format!("{path}.labor[{j}].rate"), found);
        }
        if let Some(l) = &s.leaves {
            n.product(&l.product, format!("{path}.leaves.product"), found);
        }
        for (j, need) in s.needs.iter().enumerate() {
            if !rows.contains(&need.row.as_str()) {
                let what = format!("the recipe \"{}\" has no step \"{}\"", r.id, need.row);
                found.add(format!("{path}.needs[{j}].row"), what, advise(&need.row, rows.iter().copied(), "remove it"));
            }
            when(&need.when, format!("{path}.needs[{j}].when"), found);
        }
        for (j, a) in s.after.iter().enumerate() {
            when(&a.when, format!("{path}.after[{j}].when"), found);
        }
        when(&s.when, format!("{path}.when"), found);
        if let Some(key) = &s.redo
            && !job.risks.redos.iter().any(|x| x.id == *key)
        {
            let remedy = advise(key, job.risks.redos.iter().map(|x| x.id.as_str()), "add it under risks.redos");
            found.add(format!("{path}.redo"), format!("\"{key}\" is not a cause of redoing"), remedy);
        }
    }
}
