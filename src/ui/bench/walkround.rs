//! The walk-round: nine questions, their plain answers beside them, and below each what the
//! answer changed. What was not asked yet is marked and counted.

use egui::{Label, RichText, Stroke, StrokeKind, Ui, pos2, vec2};

use super::BenchState;
use super::Zone;
use super::field::{self, Row};
use super::fold::zone_of;
use super::radio::Group;
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::theme::{Theme, size, strong};
use crate::views::walkround::{self, Question};

/// Width of the mark before a question.
const MARK: f32 = 16.0;
/// Width of a field that holds hours of a day, `9:00 to 17:00`; room for a unit behind a number.
const HOURS: f32 = 108.0;
const UNIT: f32 = 44.0;
/// Side of the mark.
const BOX: f32 = 9.0;

/// The questions of the walk-round.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let asked = state.asked(Zone::WalkRound);
    let list = walkround::questions(scene.job);
    let open = list.iter().any(|q| !q.answered);
    let words = format!("Walk-round: {}", walkround::count(&list));
    zone_of(ui, "walk-round", &words, !open, asked, |ui| {
        for q in &list {
            ui.push_id(q.key, |ui| question(ui, scene, q, out));
        }
    });
}

fn question(ui: &mut Ui, scene: &Scene, q: &Question, out: &mut Vec<Action>) {
    let theme = Theme::of(ui.ctx());
    ui.horizontal_top(|ui| {
        // Beside the first line of the question.
        let high = ui.text_style_height(&strong());
        let (_, rect) = ui.allocate_space(vec2(MARK, high));
        let at = egui::Rect::from_center_size(pos2(rect.left() + BOX / 2.0 + 1.0, rect.center().y), vec2(BOX, BOX));
        if q.answered {
            ui.painter().rect_filled(at, 0.0, theme.quiet);
        } else {
            ui.painter().rect_stroke(at, 0.0, Stroke::new(size::OUTLINE, theme.target), StrokeKind::Inside);
        }
        ui.vertical(|ui| {
            let text = if q.answered { RichText::new(q.ask) } else { RichText::new(q.ask).text_style(strong()) };
            ui.add(Label::new(text).wrap());
            let on: Vec<bool> = q.rows.iter().flatten().map(|c| c.on).collect();
            Group::show(ui, q.ask, &on, |ui, group| {
                for (k, row) in q.rows.iter().enumerate() {
                    field::line(ui, "the walk-round", |f| {
                        // A choice stands nearer to its own words than to those of the next.
                        f.ui.spacing_mut().item_spacing.x = 2.0 * size::GAP;
                        for c in row {
                            let made = group.choice(f.ui, &c.words, &format!("{} {}", q.ask, c.words), c.on);
                            if made.clicked() && !c.on {
                                out.push(Action::Edit(c.edits.clone()));
                            }
                        }
                        if k + 1 == q.rows.len() {
                            blank(f, scene, q, out);
                        }
                    });
                }
            });
            // Room for what an answer changes, given or not, so that nothing moves under the mouse then.
            ui.scope(|ui| {
                ui.set_min_height(2.0 * (size::SMALL + size::LINE));
                if !q.says.is_empty() {
                    ui.add(Label::new(RichText::new(&q.says).color(theme.quiet).size(size::SMALL)).wrap());
                }
            });
            if q.offers.is_empty() {
                return;
            }
            ui.horizontal_wrapped(|ui| {
                for (words, edits) in &q.offers {
                    if field::button(ui, words, words) {
                        out.push(Action::Edit(edits.clone()));
                    }
                }
            });
        });
    });
    ui.add_space(size::LINE);
}

/// The field of an answer that is typed.
fn blank(f: &mut Row, scene: &Scene, q: &Question, out: &mut Vec<Action>) {
    let Some(b) = &q.blank else { return };
    let job = scene.job;
    if b.wide {
        // A list of days has a line of its own.
        f.ui.end_row();
    }
    let width = match (b.wide, b.unit.is_empty()) {
        (true, _) => f.wide() - MARK,
        (_, true) => HOURS,
        _ => field::NUMBER,
    };
    if f.ui.available_size_before_wrap().x < width + UNIT && !b.unit.is_empty() {
        // The unit stays with its field.
        f.ui.end_row();
    }
    let shown = (b.shown)(job);
    let read = |t: &str| (b.read)(job, t).map(|_| t.trim().to_string());
    if let Some(text) = f.field(b.name, width, &shown, |t: &String| t.clone(), read)
        && let Ok(edits) = (b.read)(job, &text)
    {
        out.push(Action::Edit(edits));
    }
    if !b.unit.is_empty() {
        f.word(b.unit);
    }
}
