//! The air of each place: its week as a small drawing, what dries tonight, what cannot dry
//! there and what would help. Every figure and position comes from `views::air`.

use std::sync::Arc;

use egui::{Label, Role, Sense, Ui, WidgetInfo, vec2};

use super::field::{button, row};
use super::fold::{fold, zone};
use super::{BenchState, Zone};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::explain::told;
use crate::ui::section::paint;
use crate::ui::shown::Shown;
use crate::ui::theme::Theme;
use crate::views::air::{HIGH, PlaceAir, Reader, first_day, picture};

/// What the zone remembers between two drawings.
#[derive(Clone, Debug, Default)]
pub struct AirState {
    /// The day chosen; until then that of the selected step, or the first with a coat wet.
    day: Option<i64>,
    /// The step the day was last taken from.
    of: Option<String>,
    /// Places in which anything is laid, by the plan they were read from.
    places: Option<(Arc<crate::views::PlanView>, Vec<usize>, i64)>,
    /// Sheets read, by place and day, of that plan.
    read: Vec<Arc<PlaceAir>>,
}

impl AirState {
    /// Reads a plan anew when it is another one.
    fn follow(&mut self, scene: &Scene, shown: &Shown) {
        if self.places.as_ref().is_none_or(|(p, ..)| !Arc::ptr_eq(p, &shown.plan)) {
            let reader = Reader::new(&shown.sound, &shown.found, &shown.plan);
            let first = first_day(&shown.sound, &shown.found, &shown.plan);
            self.places = Some((shown.plan.clone(), reader.places(), first));
            self.read.clear();
        }
        if self.of.as_deref() != scene.selected {
            self.of = scene.selected.map(str::to_string);
            let graph = &shown.sound.graph;
            let coat = |r: &&crate::views::StepRow| {
                let s = &graph.steps[r.step];
                Some(s.id.as_str()) == scene.selected && s.coat.is_some()
            };
            if let Some(r) = shown.plan.steps.iter().find(coat) {
                self.day = Some(crate::forecast::last_day(r.end));
            }
        }
    }

    fn place(&mut self, shown: &Shown, place: usize, day: i64) -> Arc<PlaceAir> {
        if let Some(x) = self.read.iter().find(|x| x.place == place && x.day == day) {
            return x.clone();
        }
        self.read.retain(|x| x.day == day);
        let x = Arc::new(Reader::new(&shown.sound, &shown.found, &shown.plan).place(place, day));
        self.read.push(x.clone());
        x
    }
}

/// The zone.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let Some(shown) = scene.shown else { return };
    state.air.follow(scene, shown);
    let Some((_, places, first)) = state.air.places.clone() else { return };
    if places.is_empty() {
        return;
    }
    let asked = state.asked(Zone::Air);
    let state = &mut state.air;
    zone(ui, "Air", true, asked, |ui| {
        let day = state.day.unwrap_or(first);
        row(ui, "the air", "the evening", |f| {
            let last = crate::forecast::last_day(shown.found.plan.finish);
            let job = &shown.sound.job;
            if let Some(d) = f.day("the evening", job.date_of(day)) {
                state.day = Some(job.day_of(d).clamp(0, last + 7));
            }
            for (word, to) in [("Before", day - 1), ("After", day + 1), ("Week after", day + 7)] {
                let name = format!("{word}, the evening of the air");
                if button(f.ui, word, &name) {
                    state.day = Some(to.clamp(0, last + 7));
                }
            }
        });
        for (i, &p) in places.iter().enumerate() {
            let name = shown.sound.job.places[p].name.clone();
            // The first stands open; of sixty rooms the rest wait to be asked for.
            fold(ui, ("air", p), &name, i == 0, |ui| {
                let x = state.place(shown, p, day);
                place(ui, &x, out);
            });
        }
    });
}

fn place(ui: &mut Ui, x: &PlaceAir, out: &mut Vec<Action>) {
    let theme = Theme::of(ui.ctx());
    let width = ui.available_width();
    let (area, response) = ui.allocate_exact_size(vec2(width, HIGH), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, format!("The week of the {}", x.name)));
    paint::shapes(&ui.painter().with_clip_rect(area.intersect(ui.clip_rect())), area.min, &picture(x, width), theme);
    row(ui, "", "work hours", |f| {
        told(f.ui, &format!("air of the {} in its work hours", x.name), &x.work);
    });
    row(ui, "", "other hours", |f| {
        told(f.ui, &format!("air of the {} at other hours", x.name), &x.off);
    });
    ui.label(egui::RichText::new(&x.night).text_style(crate::ui::theme::strong()));
    if x.tonight.is_empty() {
        ui.label("nothing is drying");
    }
    for t in &x.tonight {
        step(ui, &t.wet.name, &t.wet.id, out);
        told(ui, &t.wet.name, &t.figure);
    }
    if x.cannot.is_empty() {
        return;
    }
    ui.add_space(crate::ui::theme::size::GAP);
    ui.label(
        egui::RichText::new("Dries too late here this week, or not at all").text_style(crate::ui::theme::strong()),
    );
    for (k, c) in x.cannot.iter().enumerate() {
        ui.push_id(("cannot", k), |ui| {
            match &c.wet {
                Some(w) => step(ui, &c.name, &w.id, out),
                None => {
                    ui.add(Label::new(&c.name).wrap());
                }
            }
            told(ui, &c.name, &c.figure);
            for h in &c.helps {
                row(ui, "", "would help", |f| {
                    told(f.ui, "would help", &h.figure);
                });
            }
        });
    }
}

/// A step's name that leads to it.
fn step(ui: &mut Ui, name: &str, id: &str, out: &mut Vec<Action>) {
    super::field::within(ui, "the air", |f| {
        if f.link(name, id) {
            out.push(Action::Select(Some(id.to_string())));
        }
    });
}
