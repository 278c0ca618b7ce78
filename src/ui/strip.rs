//! The strip on top: menu, job, and the figures that answer everything.
//!
//! While a new answer is worked out the old figures stay and a line at the lower edge grows
//! with the share done. Where the window is narrow the ends of captions go first, then
//! *likely* and the slip, then captions.

use egui::{Rect, Response, Role, Sense, Ui, WidgetInfo, pos2, vec2};

use super::action::{Action, Command};
use super::session::{AskedBy, WhatIf};
use super::shown::{Reached, Shown};
use super::theme::{Theme, plain, semibold, size};
use super::{Scene, explain, menu};
use crate::desk::AT_REST;
use crate::job::TargetKind;
use crate::store::settings::Mode;
use crate::views::site::moment_line;
use crate::views::{
    COUNTED, Figure, JOB_LINE, StripFigure, Tone, cost_words, first_against, job_line, price_strip, safe_figure, strip,
    what_if_words,
};

/// Narrowest and widest room for the job's name, and between two figures.
const NAME: (f32, f32) = (100.0, 300.0);
const BETWEEN: f32 = 26.0;
/// Between two figures where there is little room.
const CLOSE: f32 = 14.0;

/// Between two modes.
const MODES: f32 = 18.0;

/// Draws the strip over the whole width. `client` where the client's page is at hand; `unsaved` marks the name.
pub fn show(
    ui: &mut Ui,
    scene: &Scene,
    (mode, client): (Mode, bool),
    unsaved: bool,
    can: &dyn Fn(Command) -> bool,
    out: &mut Vec<Action>,
) {
    let theme = Theme::of(ui.ctx());
    let rect = Rect::from_min_size(ui.max_rect().min, vec2(ui.available_width(), size::STRIP));
    let menu = Rect::from_min_size(rect.min + vec2(8.0, 10.0), vec2(36.0, 36.0));
    menu::button(ui, menu, can, out);
    let mut figures = scene.shown.map(|s| figures(s, scene)).unwrap_or_default();
    if mode == Mode::Quote && scene.shown.is_some() {
        figures.extend(scene.priced().and_then(|(p, _)| price_strip(&p.sound.job, &p.priced.price)));
    }
    let left = menu.right() + 10.0;
    let button = (scene.job.study.is_none() && mode == Mode::Quote).then(|| promise_area(ui, scene, rect));
    let right = button.map_or(rect.right(), |b| b.0.left());
    let wide = if scene.job.study.is_none() { modes_width(ui) } else { 0.0 };
    let (placed, name_width) = place(ui, &figures, right - size::PAD - left - wide);
    let area = Rect::from_min_size(pos2(left, rect.top()), vec2(name_width, size::STRIP));
    name(ui, scene, mode, unsaved, area, theme);
    if wide > 0.0 {
        modes(
            ui,
            if client { Command::Client } else { going_to(mode) },
            pos2(area.right() + BETWEEN, rect.top()),
            can,
            out,
        );
    }
    let mut x = left + name_width + BETWEEN + wide;
    for p in &placed {
        let area = Rect::from_min_size(pos2(x, rect.top() + 4.0), vec2(p.width, size::STRIP - 8.0));
        one(ui, &figures[p.figure], p.caption, area, theme);
        x += p.width + p.gap;
    }
    // Last, as it stands: Tab comes to it after the figures.
    if let Some((area, words)) = button {
        promise(ui, area, words, can, out);
    }
    grown(ui, scene, rect, theme);
    ui.allocate_rect(rect, Sense::hover());
}

fn figures(shown: &Shown, scene: &Scene) -> Vec<StripFigure> {
    let asked = scene.answer.and_then(|a| a.with.as_ref().ok());
    match asked {
        Some((is, asked)) => strip(&is.reading(), Some(&asked.reading())),
        None => strip(&shown.reading(), None),
    }
}

struct Placed {
    figure: usize,
    width: f32,
    gap: f32,
    caption: Caption,
}

/// How the captions stand over their figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Caption {
    Whole,
    /// Its end cut off where it is wider than its figure.
    Cut,
    Gone,
}

/// Which figures fit, with or without their captions, and what is left for the name.
fn place(ui: &Ui, figures: &[StripFigure], room: f32) -> (Vec<Placed>, f32) {
    let wide = |text: &str, big: bool| {
        let font = if big { semibold(size::FIGURE) } else { plain(size::SMALL) };
        ui.painter().layout_no_wrap(text.to_string(), font, egui::Color32::PLACEHOLDER).rect.width()
    };
    let width = |f: &StripFigure, caption: Caption| {
        wide(&f.text, true).max(if caption == Caption::Whole { wide(&f.caption, false) } else { 0.0 }).ceil()
    };
    let mut which: Vec<usize> = (0..figures.len()).collect();
    let mut caption = Caption::Whole;
    let mut between = BETWEEN;
    loop {
        // The gap between name and modes is never closed.
        let gaps = BETWEEN - between;
        let need: f32 = gaps + which.iter().map(|&i| width(&figures[i], caption) + between).sum::<f32>();
        if need + NAME.0 <= room || (caption == Caption::Gone && which.len() <= 1) {
            let name = (room - need).clamp(NAME.0, NAME.1);
            // What is over stands between the figures, the last one flush right.
            let over = ((room - need - name) / which.len().max(1) as f32).clamp(0.0, 150.0);
            let placed =
                |&i: &usize| Placed { figure: i, width: width(&figures[i], caption), gap: between + over, caption };
            return (which.iter().map(placed).collect(), name);
        }
        let spare = which.iter().any(|&i| figures[i].rank > 0);
        if caption == Caption::Whole {
            caption = Caption::Cut;
        } else if between > CLOSE {
            between = CLOSE;
        } else if caption == Caption::Cut && !spare {
            caption = Caption::Gone;
        } else {
            let worst = (0..which.len()).max_by_key(|&k| (figures[which[k]].rank, k)).unwrap_or(0);
            which.remove(worst);
        }
    }
}

fn one(ui: &mut Ui, f: &StripFigure, caption: Caption, area: Rect, theme: &Theme) -> Response {
    let id = ui.scope_id().with(("figure", &f.caption));
    let response = ui.interact(area, id, Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("{}: {}", f.caption, f.text)));
    let color = match f.tone {
        Tone::Plain => theme.ink,
        Tone::Safe => theme.safe,
        Tone::Client => theme.target,
    };
    let p = ui.painter();
    let mut y = area.center().y - 12.0;
    if caption != Caption::Gone {
        cut(p, &f.caption, plain(size::SMALL), theme.quiet, area, area.top() + 2.0);
        y = area.top() + 18.0;
    }
    p.text(pos2(area.left(), y), egui::Align2::LEFT_TOP, &f.text, semibold(size::FIGURE), color);
    explain::why(&response, &f.caption, &f.figure());
    response.on_hover_text(&f.why)
}

/// The modes, in order, by the command that goes there.
const ALL: [Command; 3] = [Command::Quote, Command::Site, Command::Client];

fn going_to(mode: Mode) -> Command {
    match mode {
        Mode::Quote => Command::Quote,
        Mode::Site => Command::Site,
    }
}

fn mode_words(ui: &Ui, command: Command, chosen: bool) -> std::sync::Arc<egui::Galley> {
    let theme = Theme::of(ui.ctx());
    let (font, color) = if chosen { (semibold(size::BODY), theme.ink) } else { (plain(size::BODY), theme.quiet) };
    ui.painter().layout_no_wrap(command.text().to_string(), font, color)
}

fn modes_width(ui: &Ui) -> f32 {
    ALL.iter().map(|m| mode_words(ui, *m, true).rect.width() + MODES).sum::<f32>() + BETWEEN - MODES
}

/// The names of the modes; the one in hand is underlined.
fn modes(ui: &mut Ui, now: Command, at: egui::Pos2, can: &dyn Fn(Command) -> bool, out: &mut Vec<Action>) {
    let theme = Theme::of(ui.ctx());
    let mut x = at.x;
    for command in ALL {
        let chosen = command == now;
        let wide = mode_words(ui, command, true).rect.width();
        let words = mode_words(ui, command, chosen);
        let area = Rect::from_min_size(pos2(x, at.y + 14.0), vec2(wide, 28.0));
        let able = can(command);
        let id = ui.scope_id().with(("mode", command.text()));
        let response =
            ui.interact(area.expand2(vec2(6.0, 0.0)), id, if able { Sense::click() } else { Sense::hover() });
        response.widget_info(|| WidgetInfo::selected(Role::Button, able, chosen, command.text()));
        let p = ui.painter();
        let top = pos2(x + (wide - words.rect.width()) / 2.0, area.center().y - words.rect.height() / 2.0);
        if response.hovered() && !chosen && able {
            p.galley_with_override_text_color(top, words, theme.safe);
        } else {
            p.galley(top, words, theme.quiet);
        }
        if chosen {
            p.hline(area.x_range(), area.bottom() - 1.0, (size::DAY, theme.ink));
        }
        if response.has_focus() {
            p.rect_stroke(response.rect, 0.0, (size::OUTLINE, theme.focus), egui::StrokeKind::Inside);
        }
        if response.clicked() {
            out.push(Action::Do(command));
        }
        response.on_hover_text(command.help());
        x += wide + MODES;
    }
}

fn name(ui: &mut Ui, scene: &Scene, mode: Mode, unsaved: bool, area: Rect, theme: &Theme) {
    let job = scene.job;
    let title = match (job.name.as_str(), unsaved) {
        ("", false) => "A job without a name".to_string(),
        ("", true) => "A job without a name, not saved".into(),
        (name, false) => name.into(),
        (name, true) => format!("{name}, not saved"),
    };
    let figure = |s: &Shown| match mode {
        Mode::Quote => Figure::new(job_line(&s.sound, s.plan.labor_min), JOB_LINE),
        Mode::Site => moment_line(&s.sound, &s.found),
    };
    let asked = scene.question.filter(|_| scene.answer.is_some()).map(asked_of);
    let figure = asked.clone().or_else(|| scene.shown.map(figure)).unwrap_or_default();
    let line = figure.words();
    let response = ui.interact(area, ui.scope_id().with("job"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("{title}: {line}")));
    explain::why(&response, &title, &figure);
    let p = ui.painter().with_clip_rect(area);
    cut(&p, &title, semibold(size::HEAD), theme.ink, area, area.top() + 9.0);
    let color = if asked.is_some() { theme.safe } else { theme.quiet };
    cut(&p, &line, plain(size::SMALL), color, area, area.top() + 31.0);
    response.on_hover_text(format!("{title}\n{line}"));
}

/// Which question the second figures answer.
fn asked_of(q: &WhatIf) -> Figure {
    let of = match &q.asked_by {
        AskedBy::Wait(_) => "the step that is dragged",
        AskedBy::Field(name) | AskedBy::Card(name) => name.as_str(),
        AskedBy::Site(name) => name,
    };
    Figure::new(what_if_words(of), COUNTED)
}

/// One line, its end left out where it does not fit.
fn cut(p: &egui::Painter, text: &str, font: egui::FontId, color: egui::Color32, area: Rect, y: f32) {
    let mut job = egui::text::LayoutJob::simple_singleline(text.into(), font, color);
    job.wrap = egui::text::TextWrapping::truncate_at_width(area.width());
    let galley = p.layout_job(job);
    p.galley(pos2(area.left(), y), galley, color);
}

/// The line that grows while an answer is worked out.
fn grown(ui: &Ui, scene: &Scene, rect: Rect, theme: &Theme) {
    let p = ui.painter();
    p.hline(rect.x_range(), rect.bottom() - 0.5, (size::HAIR, theme.ink));
    let share = match scene.shown {
        _ if !scene.problems.is_empty() => return,
        Some(s) if s.revision == scene.revision => match s.reached {
            Reached::First => 0.03,
            Reached::Trials(n) => 0.05 + 0.45 * n as f32 / AT_REST as f32,
            Reached::Odds => 0.5,
            Reached::Rest => return,
        },
        _ => 0.01,
    };
    let line = Rect::from_min_size(pos2(rect.left(), rect.bottom() - 3.0), vec2(rect.width() * share, 3.0));
    p.rect_filled(line, 0.0, theme.safe);
}

/// Where the button of the promise stands, flush right, and its words.
fn promise_area(ui: &Ui, scene: &Scene, rect: Rect) -> (Rect, &'static str) {
    let promised = scene.job.target.is_some_and(|t| t.kind == TargetKind::Promised);
    let words = if promised { "Change the promise…" } else { Command::PromiseDay.text() };
    let font = plain(size::BODY);
    let wide = ui.painter().layout_no_wrap(words.to_string(), font, egui::Color32::PLACEHOLDER).rect.width() + 20.0;
    (Rect::from_min_size(pos2(rect.right() - size::PAD - wide, rect.center().y - 14.0), vec2(wide, 28.0)), words)
}

fn promise(ui: &mut Ui, area: Rect, words: &str, can: &dyn Fn(Command) -> bool, out: &mut Vec<Action>) {
    let button = egui::Button::new(words).min_size(area.size());
    let response = ui.add_enabled_ui(can(Command::PromiseDay), |ui| ui.put(area, button)).inner;
    if response.on_hover_text(Command::PromiseDay.help()).clicked() {
        out.push(Action::Do(Command::PromiseDay));
    }
}

/// The answer to a question of the card: days and chance before and after.
pub fn safe_answer(scene: &Scene) -> Option<Figure> {
    let a = scene.answer?;
    Some(match &a.with {
        Ok((is, asked)) => safe_figure(&is.reading(), &asked.reading()),
        Err(problems) => Figure::new(first_against(scene.job, problems).unwrap_or_default(), ""),
    })
}

/// What a question costs, or what stands against it.
pub fn answer_words(scene: &Scene) -> Option<String> {
    let a = scene.answer?;
    Some(match &a.with {
        Ok((is, asked)) => cost_words(&is.reading(), &asked.reading()),
        Err(problems) => first_against(scene.job, problems).unwrap_or_default(),
    })
}
