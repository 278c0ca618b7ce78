//! The plan in words: a pane below the chart, as high as it is drawn, by day or by room.
//!
//! Columns are as wide as their widest words and the last takes what is left, going on below itself where that is not
//! enough. Where that would be a few letters a row is a small block: what stands in the columns on the first line, the
//! sentence below it. Only the lines in view are laid out. A click on a row selects its step.

use std::sync::Arc;

use egui::{Panel, Role, ScrollArea, Sense, Ui, WidgetInfo, pos2, vec2};

use super::Scene;
use super::action::Action;
use super::explain::told;
use super::section::SectionState;
use super::theme::{Theme, plain, semibold, size};
use crate::views::PlanView;
use crate::views::face::{self, Weight};
use crate::views::plan_words::{COLUMNS, Grouped, PlanWords, WordRow, plan_words};

/// Height of a line, space between columns, widest column but the last, narrowest last, room of the scroll bar.
const LINE: f32 = size::BODY + 7.0;
const BETWEEN: f32 = 14.0;
const WIDEST: f32 = 260.0;
const NARROWEST: f32 = 160.0;
const BAR: f32 = 16.0;
/// What stands in for a column's edge where a row is a block, and how far its sentence stands in.
const DOT: &str = " · ";
const IN: f32 = 14.0;
/// Least height of the pane, and of the chart above it: where rows are blocks and there is not room for both, the pane
/// takes all of it.
const LEAST: f32 = 120.0;
const CHART: f32 = 260.0;

/// What was worked out, and of what.
type ReadOf = (Arc<PlanView>, Grouped, (u64, i64), Arc<Read>);

/// What the pane remembers between two drawings.
#[derive(Clone, Debug, Default)]
pub struct WordsState {
    pub open: bool,
    grouped: Grouped,
    read: Option<ReadOf>,
}

/// A line of the pane.
#[derive(Clone, Debug)]
struct Line {
    group: usize,
    /// No row for the heading.
    row: Option<usize>,
    /// What of the last column stands on it; of a block what of the other columns.
    then: String,
    /// Which line of its row it is; the first has the other columns.
    part: usize,
    /// Of a block what stands in the columns.
    lead: bool,
}

/// A plan read, with its lines and the widths of its columns.
#[derive(Debug)]
struct Read {
    words: PlanWords,
    lines: Vec<Line>,
    widths: [f32; 6],
    /// Rows are blocks.
    blocks: bool,
}

impl WordsState {
    /// Nothing of another job stays but whether it is looked at.
    pub fn forget(&mut self) {
        self.read = None;
    }

    fn read(&mut self, scene: &Scene, section: &mut SectionState, wide: f32) -> Option<Arc<Read>> {
        let shown = scene.shown?;
        let stamp = (shown.forecast.sorted.len() as u64, wide as i64);
        if let Some((p, g, s, r)) = &self.read
            && Arc::ptr_eq(p, &shown.plan)
            && *g == self.grouped
            && *s == stamp
        {
            return Some(r.clone());
        }
        let model = section.model(shown);
        let words = plan_words(&shown.sound, &shown.found, &shown.plan, &model, self.grouped);
        let mut widths = [0.0f32; 6];
        for row in words.groups.iter().flat_map(|g| &g.rows) {
            for (w, cell) in widths.iter_mut().zip(&row.cells) {
                *w = w.max(face::width(cell, size::BODY, Weight::Regular)).min(WIDEST);
            }
        }
        let before: f32 = widths[..5].iter().filter(|w| **w > 0.0).map(|w| w + BETWEEN).sum();
        let last = wide - before - BAR;
        let blocks = last < NARROWEST;
        let mut lines = Vec::new();
        for (group, of) in words.groups.iter().enumerate() {
            lines.push(Line { group, row: None, then: String::new(), part: 0, lead: false });
            for (r, row) in of.rows.iter().enumerate() {
                let leads = if blocks { wrapped(&said_first(row), wide - BAR) } else { Vec::new() };
                let room = if blocks { wide - BAR - IN } else { last };
                let thens = wrapped(&row.cells[5], room).into_iter().filter(|t| !blocks || !t.is_empty());
                let all = leads.into_iter().map(|t| (t, true)).chain(thens.map(|t| (t, false)));
                for (part, (then, lead)) in all.enumerate() {
                    lines.push(Line { group, row: Some(r), then, part, lead });
                }
            }
        }
        let r = Arc::new(Read { words, lines, widths, blocks });
        self.read = Some((shown.plan.clone(), self.grouped, stamp, r.clone()));
        Some(r)
    }
}

/// The pane, where it is open; returns whether it leaves room for what it is of.
pub fn show(
    ui: &mut Ui,
    scene: &Scene,
    state: &mut WordsState,
    section: &mut SectionState,
    out: &mut Vec<Action>,
) -> bool {
    if !state.open {
        return true;
    }
    let wide = ui.available_width() - 2.0 * size::PAD;
    let Some(read) = state.read(scene, section, wide) else { return true };
    let theme = Theme::of(ui.ctx());
    let room = ui.available_height();
    let frame = egui::Frame::NONE.fill(theme.paper).inner_margin(egui::Margin::symmetric(size::PAD as i8, 6));
    let whole = read.blocks && room < CHART + LEAST;
    let range = if whole { room..=room } else { LEAST..=(room * 0.8).max(LEAST + 1.0) };
    // Of its own each, so that the height drawn by hand is there again.
    let name = if whole { "plan in words alone" } else { "plan in words" };
    let panel = Panel::bottom(name).resizable(!whole).default_size(room * 0.42);
    panel.size_range(range).frame(frame).show(ui, |ui| {
        let mut close = false;
        ui.horizontal_wrapped(|ui| {
            if !read.blocks {
                ui.heading("The plan in words");
            }
            for (grouped, word) in [(Grouped::ByDay, "By day"), (Grouped::ByRoom, "By room")] {
                if ui.selectable_label(state.grouped == grouped, word).clicked() {
                    state.grouped = grouped;
                }
            }
            if ui.button("Copy").accessible_name("Copy the plan in words").clicked() {
                ui.ctx().copy_text(read.words.text());
            }
            close = ui.button("Close").accessible_name("Close the plan in words").clicked();
        });
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = BETWEEN;
            for (what, f) in &read.words.head {
                told(ui, what, f);
            }
        });
        ui.separator();
        // A row's words are long: what does not fit beside is scrolled to.
        ScrollArea::vertical().auto_shrink([false, false]).show_rows(ui, LINE, read.lines.len(), |ui, range| {
            ui.spacing_mut().item_spacing.y = 0.0;
            for line in &read.lines[range] {
                let group = &read.words.groups[line.group];
                match line.row {
                    None => heading(ui, &group.head, &group.note),
                    Some(r) => row(ui, scene, &read, line, &group.rows[r], out),
                }
            }
        });
        if close {
            state.open = false;
        }
    });
    !whole
}

/// What stands in a row's columns before the last, on one line.
fn said_first(row: &WordRow) -> String {
    let cells: Vec<&str> = row.cells[..5].iter().map(String::as_str).filter(|c| !c.is_empty()).collect();
    cells.join(DOT)
}

/// Words in lines of a width.
fn wrapped(text: &str, width: f32) -> Vec<String> {
    let mut out = vec![String::new()];
    for word in text.split(' ') {
        let Some(last) = out.last_mut() else { break };
        let with = if last.is_empty() { word.to_string() } else { format!("{last} {word}") };
        if last.is_empty() || face::width(&with, size::BODY, Weight::Regular) <= width {
            *last = with;
        } else {
            out.push(word.to_string());
        }
    }
    out
}

fn heading(ui: &mut Ui, head: &str, note: &str) {
    let theme = Theme::of(ui.ctx());
    let (area, response) = ui.allocate_exact_size(vec2(ui.available_width(), LINE), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Heading, true, format!("{head} {note}").trim()));
    let p = ui.painter();
    p.hline(area.x_range(), area.top() + 1.0, (size::HAIR, theme.rule));
    let at = pos2(area.left(), area.center().y);
    let used = p.text(at, egui::Align2::LEFT_CENTER, head, semibold(size::BODY), theme.ink);
    let room = area.right() - used.right() - BETWEEN;
    let mut job = egui::text::LayoutJob::simple_singleline(note.into(), plain(size::BODY), theme.quiet);
    job.wrap = egui::text::TextWrapping::truncate_at_width(room.max(0.0));
    let note = p.layout_job(job);
    p.galley(pos2(used.right() + BETWEEN, area.center().y - note.rect.height() / 2.0), note, theme.quiet);
}

fn row(ui: &mut Ui, scene: &Scene, read: &Read, line: &Line, row: &WordRow, out: &mut Vec<Action>) {
    let theme = Theme::of(ui.ctx());
    let (_, area) = ui.allocate_space(vec2(ui.available_width(), LINE));
    let key = ("row", line.group, line.row, line.part);
    let response = ui.interact(area, ui.scope_id().with(key), Sense::CLICK);
    let chosen = scene.selected == Some(row.id.as_str());
    let named = COLUMNS.iter().zip(&row.cells).filter(|(_, c)| !c.is_empty());
    let name = named.map(|(_, c)| c.as_str()).collect::<Vec<_>>().join(", ");
    if line.part == 0 {
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen, &name));
    }
    if response.clicked() {
        out.push(Action::Select(Some(row.id.clone())));
    }
    let p = ui.painter().with_clip_rect(area.intersect(ui.clip_rect()));
    if chosen {
        p.rect_filled(area, 0.0, theme.picked);
    }
    if read.blocks {
        let (x, color) = if line.lead { (area.left(), theme.ink) } else { (area.left() + IN, theme.quiet) };
        let at = pos2(x, area.center().y);
        p.text(at, egui::Align2::LEFT_CENTER, &line.then, plain(size::BODY), color);
        return;
    }
    let mut x = area.left();
    let mut cut = false;
    for (k, cell) in row.cells.iter().enumerate() {
        let width = if k + 1 == row.cells.len() { area.right() - x } else { read.widths[k] };
        let cell = if k + 1 == row.cells.len() { &line.then } else { cell };
        if !cell.is_empty() && width > 8.0 && (k + 1 == row.cells.len() || line.part == 0) {
            let color = if k + 1 == row.cells.len() { theme.quiet } else { theme.ink };
            let mut job = egui::text::LayoutJob::simple_singleline(cell.clone(), plain(size::BODY), color);
            job.wrap = egui::text::TextWrapping::truncate_at_width(width);
            let galley = p.layout_job(job);
            cut |= galley.elided;
            p.galley(pos2(x, area.center().y - galley.rect.height() / 2.0), galley, color);
        }
        if read.widths[k] > 0.0 {
            x += read.widths[k] + BETWEEN;
        }
    }
    if cut {
        response.on_hover_text(name);
    }
}
