//! Your own steps, deliveries, decisions and visits: the list, each with its fields, and new ones.

use egui::Ui;

use super::field::row;
use super::fold::{fold_asked, zone};
use super::{BenchState, Zone, entries, near};
use crate::job::{Edit, Job};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::views::entries as kinds;

/// A way to add an entry: its words, the kind, how it is made.
type Add = (&'static str, Kind, fn(&Job) -> Edit);

pub const ADD: [Add; 4] = [
    ("Add a step of your own", Kind::Step, kinds::new_step),
    ("Add a delivery", Kind::Delivery, kinds::new_delivery),
    ("Add a decision", Kind::Decision, kinds::new_decision),
    ("Add a visit", Kind::Visit, kinds::new_visit),
];

/// What an entry is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Step,
    Delivery,
    Decision,
    Visit,
}

impl Kind {
    /// How many of it the job has.
    pub fn many(self, job: &Job) -> usize {
        match self {
            Kind::Step => job.steps.len(),
            Kind::Delivery => job.deliveries.len(),
            Kind::Decision => job.decisions.len(),
            Kind::Visit => job.visits.len(),
        }
    }
}

/// The entries of the job that stand by themselves.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let job = scene.job;
    // One just added opens, and its name is marked to be written over.
    let fresh = state.fresh_entry.take_if(|(kind, i)| *i < kind.many(job));
    if fresh.is_some() {
        state.going = Some((Zone::Own, super::GOING));
    }
    let asked = state.asked(Zone::Own);
    let is = |kind: Kind, i: usize| fresh == Some((kind, i));
    zone(ui, "Your own steps, deliveries, decisions, visits", true, asked, |ui| {
        let named = |name: &str, id: &str| if name.is_empty() { id.to_string() } else { name.to_string() };
        for (i, s) in job.steps.iter().enumerate() {
            let of = named(&s.name, &s.id);
            one(ui, ("step", i), &format!("step: {of}"), (is(Kind::Step, i), &of), |ui| {
                entries::own(ui, scene, state, i, &of, out)
            });
        }
        for (i, d) in job.deliveries.iter().enumerate() {
            let of = named(&d.name, &d.id);
            one(ui, ("delivery", i), &format!("delivery: {of}"), (is(Kind::Delivery, i), &of), |ui| {
                entries::delivery(ui, scene, state, i, &of, out)
            });
        }
        for (i, d) in job.decisions.iter().enumerate() {
            let of = named(&d.name, &d.id);
            one(ui, ("decision", i), &format!("decision: {of}"), (is(Kind::Decision, i), &of), |ui| {
                entries::decision(ui, scene, state, i, &of, out)
            });
        }
        for (i, v) in job.visits.iter().enumerate() {
            let of = named(&v.name, &v.id);
            one(ui, ("visit", i), &format!("visit: {of}"), (is(Kind::Visit, i), &of), |ui| {
                entries::visit(ui, scene, state, i, &of, out)
            });
        }
        row(ui, "", "", |f| {
            for (k, (words, ..)) in ADD.into_iter().enumerate() {
                if f.button(words) {
                    out.push(Action::AddOwn(k));
                }
            }
        });
    });
}

/// One entry, folded to its name; a fresh one is opened and named.
fn one(ui: &mut Ui, key: (&str, usize), words: &str, (fresh, of): (bool, &str), add: impl FnOnce(&mut Ui)) {
    if fresh {
        near::wanted_below(ui.ctx(), format!("name, {of}"));
    }
    ui.push_id(key, |ui| fold_asked(ui, key, words, false, fresh, add));
}
