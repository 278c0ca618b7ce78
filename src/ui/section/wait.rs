//! "What if this waits": a block dragged to a later hour, and the card that says what it
//! costs. Letting go commits nothing: *Keep waiting* does, Escape takes it back.

use egui::{Area, Frame, Margin, Order, Stroke, Ui, pos2};

use super::{Chart, SectionState};
use crate::clock::{At, DAY};
use crate::job::{Edit, Hold, Until};
use crate::ui::action::Action;
use crate::ui::explain;
use crate::ui::session::{AskedBy, WhatIf};
use crate::ui::strip::answer_words;
use crate::ui::theme::{Theme, size, strong};
use crate::views::{Almanac, COUNTED, Figure};

/// Steps of a drag, minutes; of a key.
const QUARTER: i64 = 15;
const HOUR: i64 = 60;
/// Hours of a day, to be waited at once.
pub(super) const DAY_ON: i64 = 24;
/// Width of the card, wide enough for its one sentence.
const CARD: f32 = 400.0;

/// A step asked to wait.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Wait {
    /// Index of the block.
    pub block: usize,
    step: String,
    /// Revision of the job it was asked of.
    revision: u64,
    /// Where the pointer took hold, screen pixels.
    held_at: f32,
    /// The hour asked for; none while it would not wait at all.
    pub until: Option<At>,
    /// Pushed to the left of its earliest moment.
    stopped: bool,
    pub dragging: bool,
}

impl Wait {
    pub fn begun(chart: &Chart, block: usize, x: f32) -> Wait {
        let step = chart.model.blocks[block].id.clone();
        let revision = chart.shown.revision;
        Wait { block, step, revision, held_at: x, until: None, stopped: false, dragging: x > 0.0 }
    }

    fn question(&self, chart: &Chart, until: At) -> WhatIf {
        let until = Until::At(chart.shown.sound.job.time_of(until));
        let hold = Hold { step: self.step.clone(), until, wait: None };
        let mut edits = vec![Edit::Hold(hold)];
        edits.extend(self.methods(chart));
        WhatIf { edits, asked_by: AskedBy::Wait(self.step.clone()) }
    }

    /// A step kept waiting stays in the work: the methods it hangs on are no longer left to the search.
    fn methods(&self, chart: &Chart) -> Vec<Edit> {
        let (graph, job) = (&chart.shown.sound.graph, &chart.shown.sound.job);
        let step = &graph.steps[chart.model.blocks[self.block].step];
        let fixed = step.when.iter().filter(|(c, _)| graph.choices[*c].fixed.is_none()).filter_map(|&(c, o)| {
            let (surface, choice) = graph.choices[c].id.rsplit_once('/')?;
            let (room, surface) = surface.rsplit_once('/')?;
            let r = job.rooms.iter().position(|x| x.id == room)?;
            let s = job.rooms[r].surfaces.iter().position(|x| x.id == surface)?;
            Some(Edit::Method(r, s, choice.to_string(), Some(graph.choices[c].options[o].clone())))
        });
        fixed.collect()
    }

    /// Asks for an hour; nothing at or before the block's own begin, its earliest moment.
    fn ask(&mut self, chart: &Chart, at: At, out: &mut Vec<Action>) {
        let begin = chart.model.blocks[self.block].begin;
        self.stopped = at < begin;
        let until = (at > begin).then(|| chart.model.hours.next_on(at).unwrap_or(at));
        if until == self.until {
            return;
        }
        self.until = until;
        out.push(match until {
            Some(at) => Action::Ask(self.question(chart, at)),
            None => Action::DropQuestion,
        });
    }

    /// The pointer has dragged it to a pixel of the screen.
    pub fn dragged(&mut self, chart: &Chart, x: f32, out: &mut Vec<Action>) {
        self.dragging = true;
        let begin = chart.layout.x(chart.model.blocks[self.block].begin);
        let at = chart.layout.at(begin + x - self.held_at);
        self.ask(chart, At((at.0 + QUARTER / 2).div_euclid(QUARTER) * QUARTER), out);
    }

    /// An hour on shift later or sooner; none when that is its own begin again.
    pub fn moved(mut self, chart: &Chart, by: i64, out: &mut Vec<Action>) -> Option<Wait> {
        let begin = chart.model.blocks[self.block].begin;
        let from = self.until.unwrap_or(begin);
        let on = |at: &At| chart.model.hours.next_on(*at) == Some(*at);
        let most = 30 * DAY / HOUR;
        let next = (1..most).map(|n| At((from.0 + by * n * HOUR).div_euclid(QUARTER) * QUARTER)).find(on)?;
        self.ask(chart, next, out);
        Some(self)
    }
}

/// Keeps to the step while the drawing changes under it: blocks of a later answer of the same
/// job may come in another order, and with another method the step may not be among them.
pub(super) fn follow(chart: &Chart, state: &mut SectionState, out: &mut Vec<Action>) {
    let Some(wait) = &mut state.wait else { return };
    if wait.revision != chart.scene.revision {
        // The change that made this job has dropped the question.
        state.wait = None;
    } else if let Some(block) = chart.model.blocks.iter().position(|b| b.id == wait.step) {
        wait.block = block;
    } else {
        state.wait = None;
        out.push(Action::DropQuestion);
    }
}

/// The card, pinned under the block.
pub(super) fn show(ui: &mut Ui, chart: &Chart, state: &mut SectionState, out: &mut Vec<Action>) {
    let Some(wait) = &state.wait else { return };
    let block = &chart.model.blocks[wait.block];
    let (Some(hit), true) =
        (chart.layout.area_of(crate::views::section::Target::Block(wait.block)), wait.until.is_some() || wait.stopped)
    else {
        return;
    };
    let a = Almanac(&chart.shown.sound.job);
    let asked = wait.until.map(|at| wait.question(chart, at));
    let answered = chart.scene.answer.is_some_and(|x| Some(&x.question) == asked.as_ref());
    let theme = Theme::of(ui.ctx());
    let below = chart.area.min + egui::vec2(hit.core.x, hit.core.bottom() + 6.0);
    // Where the block would begin.
    if let Some(until) = wait.until {
        let x = chart.area.left() + chart.layout.x(until);
        let z = super::paint::rect(chart.area.min, &chart.layout.zones.bands);
        if z.x_range().contains(x) {
            ui.painter().vline(x, z.y_range(), Stroke::new(size::OUTLINE, theme.safe));
        }
    }
    let least = pos2(chart.area.left(), chart.area.top());
    let most = pos2(chart.area.right() - CARD - 20.0, chart.area.bottom() - 90.0);
    let at = below.min(most).max(least);
    let mut done = false;
    Area::new(ui.scope_id().with("wait")).order(Order::Foreground).fixed_pos(at).show(ui.ctx(), |ui| {
        let frame = Frame::NONE.fill(theme.paper).stroke(Stroke::new(size::OUTLINE, theme.ink));
        frame.inner_margin(Margin::same(8)).show(ui, |ui| {
            ui.set_max_width(CARD);
            ui.label(egui::RichText::new(&block.short).text_style(strong()));
            let Some(until) = wait.until else {
                ui.label(format!("It begins {} and no sooner.", a.short(block.begin)));
                ui.label(block.why.clone());
                return;
            };
            let cost = if answered { answer_words(chart.scene) } else { None };
            let cost = cost.unwrap_or_else(|| "…".to_string());
            let words = format!("wait until {}", a.short(until));
            let figure = Figure::new(cost, COUNTED);
            explain::told_as(ui, &words, &figure, egui::RichText::new(format!("{words}: {}", figure.value)));
            ui.horizontal(|ui| {
                if ui.button("Keep waiting").clicked() {
                    out.push(Action::KeepQuestion);
                    done = true;
                }
                if ui.button("Do not wait").clicked() {
                    out.push(Action::DropQuestion);
                    done = true;
                }
            });
        });
    });
    if done {
        state.wait = None;
    }
}
