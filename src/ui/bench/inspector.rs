//! The selected step: every figure with its why, every number changeable in place.

use std::sync::Arc;

use egui::{Id, Label, Ui};

use super::field::row;
use super::fold::zone_of;
use super::{BenchState, Zone, edit, entries, figure, near, problems};
use crate::job::{Change, Edit, Job};
use crate::trade::{Product, Recipe, Stage, Tag};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::explain::told;
use crate::ui::shown::Shown;
use crate::views::inspect::{CoatLines, Entry, Inspected, TermLine, inspect, rate_with};
use crate::views::{Figure, choices, numbered_from_second, until_words};

/// The selected step, or how to select one.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let read = read(scene, state);
    let asked = state.asked(Zone::Step);
    if let (Some(field), Some(x)) = (state.step_field, &read) {
        state.step_field = None;
        match field {
            "" => state.enter_step = true,
            f => near::wanted_below(ui.ctx(), format!("{f}, {}", x.name)),
        }
    }
    let head = read.as_ref().map_or("The selected step", |x| x.name.as_str());
    // One zone whatever is selected: it stays folded or open.
    zone_of(ui, "the selected step", head, false, asked, |ui| match &read {
        Some(x) => {
            if std::mem::take(&mut state.enter_step) {
                near::first_wanted(ui.ctx());
            }
            ui.push_id(&x.id, |ui| step(ui, scene, state, x, out));
        }
        None => {
            ui.add(Label::new("Select a step in the chart to see and change its figures.").wrap());
        }
    });
}

/// Reads the selected step once for each answer and job.
fn read(scene: &Scene, state: &mut BenchState) -> Option<Arc<Inspected>> {
    let (id, shown) = (scene.selected?, scene.shown?);
    let sound = &shown.sound;
    if let Some((a, b, n, of, x)) = &state.read
        && (*a, *b, *n)
            == (shown.revision, scene.revision, shown.forecast.sorted.len() * 2 + usize::from(shown.with_float))
        && of == id
    {
        return Some(x.clone());
    }
    let find = |methods: &[usize]| sound.graph.find(id, methods);
    let step = find(&shown.found.plan.order.methods).or_else(|| sound.graph.steps.iter().position(|s| s.id == id))?;
    let odds = (&shown.odds, shown.forecast.sorted.len());
    let x = Arc::new(inspect(scene.job, sound, &shown.found, &shown.plan, shown.with_float, odds, step));
    let stamp = shown.forecast.sorted.len() * 2 + usize::from(shown.with_float);
    state.read = Some((shown.revision, scene.revision, stamp, id.to_string(), x.clone()));
    Some(x)
}

fn step(ui: &mut Ui, scene: &Scene, state: &mut BenchState, x: &Inspected, out: &mut Vec<Action>) {
    let job = scene.job;
    let planned = |s: &Shown| s.plan.steps.iter().any(|r| s.sound.graph.steps[r.step].id == x.id);
    if scene.shown.is_some_and(|s| s.revision == scene.revision && !planned(s)) {
        let words = "Not part of the work as it is planned now: another method was chosen, or the step is left out.";
        ui.add(Label::new(words).wrap());
    }
    if let Some(hold) = job.holds.iter().find(|h| h.step == x.id) {
        let why = "you keep it waiting; nothing else waits for that hour".to_string();
        figure(ui, "kept waiting", &Figure::new(until_words(&hold.until), why));
        row(ui, &x.name, "", |f| {
            if f.button("Wait no longer") {
                edit(out, Edit::Release(x.id.clone()));
            }
        });
    }
    for (k, t) in x.terms.iter().enumerate() {
        ui.push_id(("term", k), |ui| {
            term(ui, job, x, k, t, out);
            let what = numbered_from_second("rate", k + 1);
            super::mybook::beside_rate(ui, scene, &x.name, &what, &t.rate, out);
        });
    }
    if let Some(l) = &x.hours {
        figure(ui, "hours", l);
    }
    match &x.entry {
        Entry::Row(r, s, id) => row_figures(ui, job, x, (*r, *s, id), out),
        _ => {
            if let Some((_, l)) = x.set_up.as_ref().filter(|s| s.0 > 0) {
                figure(ui, "set-up", l);
            }
            entries::show(ui, scene, state, x, out);
        }
    }
    for (what, l) in [("where", &x.place), ("hands", &x.hands)] {
        if let Some(l) = l {
            figure(ui, what, l);
        }
    }
    if let Some(c) = &x.coat {
        coat(ui, job, x, c, out);
    }
    let lines = [
        ("why then", &x.waits),
        ("can wait", &x.can_wait),
        ("begins", &x.begins),
        ("ends", &x.ends),
        ("holds the date", &x.on_date),
    ];
    for (what, l) in lines {
        if let Some(l) = l {
            figure(ui, what, l);
        }
    }
    if let Entry::Row(r, s, id) = &x.entry {
        problems(ui, scene, &format!("rooms[{r}].surfaces[{s}]"));
        row(ui, &x.name, "", |f| {
            if f.button("Leave this step out") {
                edit(out, Edit::Change(*r, *s, Change { step: id.clone(), skip: true, ..Change::default() }));
            }
        });
    }
}

/// How much, and the rate it is multiplied with.
fn term(ui: &mut Ui, job: &Job, x: &Inspected, k: usize, t: &TermLine, out: &mut Vec<Action>) {
    let numbered = |what: &str| numbered_from_second(what, k + 1);
    figure(ui, &numbered("how much"), &t.how_much);
    let what = numbered("rate");
    row(ui, &x.name, &what, |f| {
        told(f.ui, &what, &t.line);
    });
    let Some(kept) = choices::rate(job, &t.rate) else { return };
    row(ui, &x.name, "", |f| {
        let shown = (kept.low * t.times, kept.typ * t.times, kept.high * t.times);
        if let Some(new) = f.three(&what, shown) {
            edit(out, Edit::Rate(rate_with(kept, t.times, new)));
        }
        f.word(&t.whose);
        if t.yours && f.button_as("Back to starter", &format!("{what}: back to the starter row")) {
            edit(out, Edit::StarterRate(t.rate.clone()));
        }
    });
}

/// What of a recipe's row can be changed for this surface alone, and its set-up and hands,
/// which are the recipe's.
fn row_figures(ui: &mut Ui, job: &Job, x: &Inspected, at: (usize, usize, &String), out: &mut Vec<Action>) {
    let (r, s, id) = at;
    let surface = &job.rooms[r].surfaces[s];
    let change = surface.changes.iter().find(|c| c.step == *id).cloned();
    let change = change.unwrap_or_else(|| Change { step: id.clone(), ..Change::default() });
    if x.row_hours.1 > 0.0 {
        row(ui, &x.name, "hours instead", |f| {
            let given = change.hours.unwrap_or(x.row_hours);
            if let Some(h) = f.three("hours", given) {
                edit(out, Edit::Change(r, s, Change { hours: Some(h), ..change.clone() }));
            }
            // Hours given by hand stay at hand while the step is told by quantity and rate.
            let put_by = Id::unique(("hours put by", &x.id));
            if change.hours.is_some() && f.button("By quantity and rate") {
                f.ui.data_mut(|d| d.insert_temp(put_by, given));
                edit(out, Edit::Change(r, s, Change { hours: None, ..change.clone() }));
            }
            let kept: Option<(f64, f64, f64)> = f.ui.data(|d| d.get_temp(put_by));
            if let (None, Some(h)) = (change.hours, kept)
                && f.button("The hours given by hand")
            {
                edit(out, Edit::Change(r, s, Change { hours: Some(h), ..change.clone() }));
            }
        });
    }
    let Some((minutes, l)) = &x.set_up else { return };
    let Some(recipe) = choices::own_copy(job, &surface.recipe) else { return };
    let rows = |r: &mut Recipe, change: &dyn Fn(&mut crate::trade::Row)| {
        r.steps.iter_mut().filter(|x| x.id == *id).for_each(change);
    };
    row(ui, &x.name, "set-up", |f| {
        if let Some(n) = f.count("set-up minutes", *minutes as u32) {
            let mut own = recipe.clone();
            rows(&mut own, &|x| x.setup_min = i64::from(n));
            edit(out, Edit::Recipe(Box::new(own)));
        }
        told(f.ui, "set-up", &Figure { value: "min".into(), ..l.clone() });
    });
    // Ways of one step have rows of their own; the hands are the very difference.
    let alone = recipe.steps.iter().filter(|x| x.id == *id).count() == 1;
    let Some((fewest, most)) = x.row_hands.filter(|_| alone) else { return };
    row(ui, &x.name, "pairs of hands", |f| {
        let mut now = (fewest, most);
        if let Some(n) = f.count("fewest hands", fewest) {
            now = (n.max(1), most.max(n));
        }
        f.word("to");
        if let Some(n) = f.count("most hands", most) {
            now = (now.0.min(n.max(1)), n.max(1));
        }
        if now != (fewest, most) {
            let mut own = recipe.clone();
            rows(&mut own, &|x| x.hands = now);
            edit(out, Edit::Recipe(Box::new(own)));
        }
    });
}

/// The product, another in its place, and its hours to each stage.
fn coat(ui: &mut Ui, job: &Job, x: &Inspected, c: &CoatLines, out: &mut Vec<Action>) {
    figure(ui, "leaves", &c.line);
    if let Entry::Row(r, s, id) = &x.entry {
        let change = job.rooms[*r].surfaces[*s].changes.iter().find(|c| c.step == *id).cloned();
        let change = change.unwrap_or_else(|| Change { step: id.clone(), ..Change::default() });
        row(ui, &x.name, "product", |f| {
            let own = (None, "as in the recipe".to_string());
            let all = choices::products(job).into_iter().map(|p| (Some(p.id.clone()), p.name.clone()));
            let options: Vec<_> = std::iter::once(own).chain(all).collect();
            let width = f.wide() - 20.0;
            if let Some(product) = f.choose("product", width, &change.product, &options) {
                edit(out, Edit::Change(*r, *s, Change { product, ..change.clone() }));
            }
        });
    }
    let Some(kept) = choices::product(job, &c.product) else { return };
    for s in &c.stages {
        row(ui, &c.line.value, &s.what, |f| {
            if let Some(hours) = kept.hours.hours(s.stage)
                && let Some(h) = f.amount(&format!("hours until {}", s.what), hours)
            {
                edit(out, Edit::Product(with_stage(kept, s.stage, h)));
            }
            f.word("h");
            f.ui.end_row();
            told(f.ui, &s.what, &s.line);
        });
    }
    row(ui, &c.line.value, "", |f| {
        f.word(if c.yours { "yours" } else { "starter" });
        if c.yours && f.button_as("Back to starter", "product: back to the starter row") {
            edit(out, Edit::StarterProduct(c.product.clone()));
        }
    });
}

fn with_stage(p: &Product, stage: Stage, hours: f64) -> Product {
    let mut new = Product { tag: Tag::Own, source: "your own figure".into(), ..p.clone() };
    let h = &mut new.hours;
    *match stage {
        Stage::DustFree => &mut h.dust_free,
        Stage::Sand => &mut h.sand,
        Stage::Recoat => &mut h.recoat,
        Stage::Tape => &mut h.tape,
        Stage::Handle => &mut h.handle,
        Stage::Shut => &mut h.shut,
        Stage::Full => &mut h.full,
    } = Some(hours);
    new
}
