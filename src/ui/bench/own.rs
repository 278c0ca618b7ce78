//! Your own steps, deliveries, decisions and visits: the list, each with its fields, and new ones.

use egui::Ui;

use super::field::row;
use super::fold::{fold, zone};
use super::{BenchState, Zone, entries};
use crate::job::Edit;
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::views::entries as kinds;

/// A way to add an entry.
type Add = (&'static str, fn(&crate::job::Job) -> Edit);

const ADD: [Add; 4] = [
    ("Add a step of your own", kinds::new_step),
    ("Add a delivery", kinds::new_delivery),
    ("Add a decision", kinds::new_decision),
    ("Add a visit", kinds::new_visit),
];

/// The entries of the job that stand by themselves.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let asked = state.asked(Zone::Own);
    let job = scene.job;
    zone(ui, "Your own steps, deliveries, decisions, visits", true, asked, |ui| {
        let named = |name: &str, id: &str| if name.is_empty() { id.to_string() } else { name.to_string() };
        for (i, s) in job.steps.iter().enumerate() {
            let of = named(&s.name, &s.id);
            one(ui, ("step", i), &format!("step: {of}"), |ui| entries::own(ui, scene, state, i, &of, out));
        }
        for (i, d) in job.deliveries.iter().enumerate() {
            let of = named(&d.name, &d.id);
            one(ui, ("delivery", i), &format!("delivery: {of}"), |ui| entries::delivery(ui, scene, state, i, &of, out));
        }
        for (i, d) in job.decisions.iter().enumerate() {
            let of = named(&d.name, &d.id);
            one(ui, ("decision", i), &format!("decision: {of}"), |ui| entries::decision(ui, scene, state, i, &of, out));
        }
        for (i, v) in job.visits.iter().enumerate() {
            let of = named(&v.name, &v.id);
            one(ui, ("visit", i), &format!("visit: {of}"), |ui| entries::visit(ui, scene, state, i, &of, out));
        }
        row(ui, "", "", |f| {
            for (words, make) in ADD {
                if f.button(words) {
                    out.push(Action::Edit(vec![make(job)]));
                }
            }
        });
    });
}

/// One entry, folded to its name.
fn one(ui: &mut Ui, key: (&str, usize), words: &str, add: impl FnOnce(&mut Ui)) {
    ui.push_id(key, |ui| fold(ui, key, words, false, add));
}
