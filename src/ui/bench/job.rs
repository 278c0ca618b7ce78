//! The head of the job: name, client, first day, the client's day, how safe a promise must be.

use egui::{Key, RichText, Slider, Stroke, StrokeKind, Ui};

use super::field::{Row, row};
use super::fold::zone;
use super::near::{stop, take_if_wanted};
use super::{BenchState, Zone, edit, problems};
use crate::job::{Edit, Target, TargetKind, Units};
use crate::ui::Scene;
use crate::ui::action::{Action, Command};
use crate::ui::session::{AskedBy, WhatIf};
use crate::ui::theme::{Theme, size};
use crate::views::{in_ten, typed};

/// The job's own figures.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let job = scene.job;
    let asked = state.asked(Zone::Job);
    zone(ui, "The job", false, asked, |ui| {
        row(ui, "the job", "name", |f| {
            let width = f.wide();
            if let Some(name) = f.text("name", width, &job.name) {
                edit(out, Edit::Name(name));
            }
        });
        row(ui, "the job", "client", |f| {
            let width = f.wide();
            if let Some(name) = f.text("client", width, &job.client) {
                edit(out, Edit::Client(name));
            }
        });
        row(ui, "the job", "first day", |f| {
            if let Some(day) = f.day("first day", job.start) {
                edit(out, Edit::Start(day));
            }
        });
        match job.target {
            // A promise made is not written over; another follows it.
            Some(t) if t.kind == TargetKind::Promised && job.promise().is_some() => {
                row(ui, "the job", "promised", |f| {
                    f.word(&typed::day_field(t.day));
                    if f.button("Change the promise…") {
                        out.push(Action::Do(Command::PromiseDay));
                    }
                    if f.button("Withdraw it…") {
                        out.push(Action::Do(Command::Withdraw));
                    }
                });
                if let Some(day) = job.asked_for() {
                    row(ui, "the job", "asked for", |f| f.word(&typed::day_field(day)));
                }
            }
            Some(t) if t.kind == TargetKind::Promised => row(ui, "the job", "promised", |f| {
                if let Some(day) = f.day("promised", t.day) {
                    edit(out, Edit::Target(Some(Target { day, ..t })));
                }
            }),
            target => row(ui, "the job", "asked for", |f| {
                if let Some(day) = f.maybe_day("asked for", target.map(|t| t.day)) {
                    edit(out, Edit::Target(day.map(|day| Target { kind: TargetKind::Asked, day })));
                }
                f.word("or nothing");
            }),
        }
        row(ui, "the job", "safe means", |f| confidence(f, scene, state, out));
        row(ui, "the job", "lengths in", |f| {
            let units = [(Units::FeetInches, "feet and inches".to_string()), (Units::Metric, "metres".to_string())];
            if let Some(u) = f.choose("lengths in", 140.0, &job.units, &units) {
                edit(out, Edit::Units(u));
            }
        });
        problems(ui, scene, "target");
        problems(ui, scene, "confidence");
    });
}

/// Chances at which a day may count as safe, shares.
const SAFE: std::ops::RangeInclusive<f64> = 0.5..=0.99;

/// A slider over [`SAFE`], its ends told in tenths. It asks while it is dragged or stepped by the arrows; let go, or
/// by Enter, it is one edit; Escape takes it back.
fn confidence(f: &mut Row, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let job = scene.job;
    let mut now = state.confidence.unwrap_or(job.confidence);
    let before = now;
    let theme = Theme::of(f.ui.ctx());
    let end = |share: &f64| RichText::new(typed::plain(10.0 * share)).color(theme.quiet).size(size::SMALL);
    f.ui.spacing_mut().slider_width = 104.0;
    // The track can be seen on the paper.
    f.ui.visuals_mut().widgets.inactive.bg_fill = theme.edge;
    f.ui.label(end(SAFE.start()));
    let slider = Slider::new(&mut now, SAFE).step_by(0.01).show_value(false).smart_aim(false);
    let response = f.ui.add(slider).accessible_name("how safe a promise must be");
    take_if_wanted(&response, "how safe a promise must be");
    stop(&response);
    if response.drag_stopped() {
        // The arrows go on from where it was let go.
        response.request_focus();
    }
    if response.has_focus() {
        let ring = Stroke::new(size::OUTLINE, theme.focus);
        f.ui.painter().rect_stroke(response.rect.expand(2.0), 0.0, ring, StrokeKind::Outside);
    }
    let key = |k: Key| f.ui.input(|i| i.key_pressed(k));
    let steady = (now * 100.0).round() / 100.0;
    let change = Edit::Confidence(steady);
    let held = response.dragged() || (response.has_focus() && !response.drag_stopped());
    if state.confidence.is_some() && key(Key::Escape) {
        state.confidence = None;
        state.confidence_dropped = response.dragged();
        out.push(Action::DropQuestion);
    } else if state.confidence_dropped {
        state.confidence_dropped = response.dragged();
    } else if held && !key(Key::Enter) {
        if now != before {
            let asked_by = AskedBy::Field("confidence".into());
            out.push(Action::Ask(WhatIf { edits: vec![change], asked_by }));
            state.confidence = Some(now);
        }
    } else if state.confidence.take().is_some() || now != before {
        if steady == job.confidence {
            out.push(Action::DropQuestion);
        } else {
            edit(out, change);
        }
    }
    f.ui.label(end(SAFE.end()));
    f.ui.label(in_ten((state.confidence.unwrap_or(now) * 100.0).round() / 100.0));
}
