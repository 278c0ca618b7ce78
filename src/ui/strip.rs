//! The strip on top: menu, job, and the figures that answer everything.
//!
//! While a new answer is worked out the old figures stay and a line at the lower edge grows
//! with the share done. Where the window is narrow captions become short first, then the button, then the slip goes, then
//! *likely* and the price; a figure keeps its caption. Name and modes keep their places while a question is answered, and
//! that the job is not saved is never cut off.

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
    menu::button(ui, menu, can, &|c| c.why_not_now(scene), out);
    let price = scene.priced().filter(|_| mode == Mode::Quote && scene.shown.is_some());
    let price = price.and_then(|(p, _)| price_strip(&p.sound.job, &p.priced.price));
    let with_price = |mut figures: Vec<StripFigure>| {
        figures.extend(price.clone());
        figures
    };
    let plain = with_price(scene.shown.map(|s| strip(&s.reading(), None)).unwrap_or_default());
    let figures = with_price(scene.shown.map(|s| figures(s, scene)).unwrap_or_default());
    let left = menu.right() + 10.0;
    let words = (scene.job.study.is_none() && mode == Mode::Quote).then(|| promise_words(scene));
    let areas = words.map(|w| (promise_area(ui, w, rect), promise_area(ui, PROMISE, rect)));
    let end = |short: bool| areas.map_or(rect.right(), |(long, least)| if short { least.left() } else { long.left() });
    let wide = if scene.job.study.is_none() { modes_width(ui) } else { 0.0 };
    let of_job = of_job(scene, mode);
    let rooms = [false, true].map(|short| end(short) - size::PAD - left - wide);
    // Where the modes stand is found from the answer alone: a question asked moves nothing but its figures.
    // Nor does the word before a chance of few trials.
    let longest = plain.into_iter().map(|f| StripFigure { text: longest(&f.text), ..f });
    let name_width = place(ui, &longest.collect::<Vec<_>>(), rooms, name_wide(ui, &of_job)).name;
    let Place { placed, short, .. } = place(ui, &figures, rooms, (name_width, name_width));
    let area = Rect::from_min_size(pos2(left, rect.top()), vec2(name_width, size::STRIP));
    name(ui, scene, &of_job, unsaved, area, theme);
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
    if let (Some(full), Some((long, least))) = (words, areas) {
        let why = Command::PromiseDay.why_not_now(scene);
        promise(ui, if short { (least, PROMISE) } else { (long, full) }, (full, why), can, out);
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

/// The words of a figure with what may stand before them while few trials are out.
fn longest(text: &str) -> String {
    if text.ends_with('%') && text.starts_with(|c: char| c.is_ascii_digit()) {
        ABOUT.to_string() + text
    } else {
        text.into()
    }
}

/// Before a chance of few trials.
const ABOUT: &str = "about ";

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
    Short,
    Gone,
}

/// What fits beside each other.
struct Place {
    placed: Vec<Placed>,
    /// Width of the name.
    name: f32,
    /// The button of the promise is the short one.
    short: bool,
}

/// Which figures fit, with whole or short captions, in the room beside the long button and the short one, and what is
/// left for the name, of its least and greatest width.
fn place(ui: &Ui, figures: &[StripFigure], rooms: [f32; 2], (least, most): (f32, f32)) -> Place {
    let wide = |text: &str, big: bool| {
        let font = if big { semibold(size::FIGURE) } else { plain(size::SMALL) };
        ui.painter().layout_no_wrap(text.to_string(), font, egui::Color32::PLACEHOLDER).rect.width()
    };
    let width = |f: &StripFigure, caption: Caption| {
        let caption = match caption {
            Caption::Whole => wide(&f.caption, false),
            Caption::Short => wide(&f.short, false),
            Caption::Gone => 0.0,
        };
        wide(&f.text, true).max(caption).ceil()
    };
    let mut which: Vec<usize> = (0..figures.len()).collect();
    let (mut caption, mut between, mut short) = (Caption::Whole, BETWEEN, false);
    loop {
        // The gap between name and modes is never closed.
        let gaps = BETWEEN - between;
        let room = rooms[usize::from(short)];
        let need: f32 = gaps + which.iter().map(|&i| width(&figures[i], caption) + between).sum::<f32>();
        if need + least <= room || (caption == Caption::Gone && which.len() <= 1) {
            let name = (room - need).clamp(least, most);
            // What is over stands between the figures, the last one flush right.
            let over = ((room - need - name) / which.len().max(1) as f32).clamp(0.0, 150.0);
            let placed =
                |&i: &usize| Placed { figure: i, width: width(&figures[i], caption), gap: between + over, caption };
            return Place { placed: which.iter().map(placed).collect(), name, short };
        }
        if caption == Caption::Whole {
            caption = Caption::Short;
        } else if between > CLOSE {
            between = CLOSE;
        } else if !short {
            short = true;
        } else if which.len() > 1 {
            let worst = (0..which.len()).max_by_key(|&k| (figures[which[k]].rank, k)).unwrap_or(0);
            which.remove(worst);
        } else {
            caption = Caption::Gone;
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
        let words = if caption == Caption::Whole { &f.caption } else { &f.short };
        cut(p, words, plain(size::SMALL), theme.quiet, area, area.top() + 2.0);
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

/// The job in a line, whether a question is asked or not: its name, and what stands below it.
fn of_job(scene: &Scene, mode: Mode) -> (String, Figure) {
    let figure = |s: &Shown| match mode {
        Mode::Quote => Figure::new(job_line(&s.sound, s.plan.labor_min), JOB_LINE),
        Mode::Site => moment_line(&s.sound, &s.found),
    };
    let name = if scene.job.name.is_empty() { "A job without a name" } else { scene.job.name.as_str() };
    (name.to_string(), scene.shown.map(figure).unwrap_or_default())
}

/// Words before the line under the name while the job is not saved.
const UNSAVED: &str = "not saved";
const BEHIND: f32 = 10.0;

/// Least and greatest width of the name: as wide as its two lines, saved or not.
fn name_wide(ui: &Ui, (name, line): &(String, Figure)) -> (f32, f32) {
    let wide = |text: &str, font: egui::FontId| {
        ui.painter().layout_no_wrap(text.to_string(), font, egui::Color32::PLACEHOLDER).rect.width()
    };
    let small = wide(UNSAVED, semibold(size::SMALL)) + BEHIND + wide(&line.words(), plain(size::SMALL));
    (NAME.0, wide(name, semibold(size::HEAD)).max(small).ceil().clamp(NAME.0, NAME.1))
}

fn name(ui: &mut Ui, scene: &Scene, (job, line): &(String, Figure), unsaved: bool, area: Rect, theme: &Theme) {
    let title = if unsaved { format!("{job}, {UNSAVED}") } else { job.clone() };
    let asked = scene.question.filter(|_| scene.answer.is_some()).map(asked_of);
    let figure = asked.as_ref().unwrap_or(line);
    let line = figure.words();
    let response = ui.interact(area, ui.scope_id().with("job"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("{title}: {line}")));
    explain::why(&response, &title, figure);
    let p = ui.painter().with_clip_rect(area);
    cut(&p, job, semibold(size::HEAD), theme.ink, area, area.top() + 9.0);
    let mut below = area;
    if unsaved {
        let at = pos2(area.left(), area.top() + 31.0);
        let said = p.text(at, egui::Align2::LEFT_TOP, UNSAVED, semibold(size::SMALL), theme.ink);
        below.min.x = said.right() + BEHIND;
    }
    let color = if asked.is_some() { theme.safe } else { theme.quiet };
    cut(&p, &line, plain(size::SMALL), color, below, area.top() + 31.0);
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

/// Words of the button of the promise where there is little room.
const PROMISE: &str = "Promise…";

fn promise_words(scene: &Scene) -> &'static str {
    let promised = scene.job.target.is_some_and(|t| t.kind == TargetKind::Promised);
    if promised { "Change the promise…" } else { Command::PromiseDay.text() }
}

/// Where the button of the promise stands, flush right, with these words.
fn promise_area(ui: &Ui, words: &str, rect: Rect) -> Rect {
    let font = plain(size::BODY);
    let wide = ui.painter().layout_no_wrap(words.to_string(), font, egui::Color32::PLACEHOLDER).rect.width() + 20.0;
    Rect::from_min_size(pos2(rect.right() - size::PAD - wide, rect.center().y - 14.0), vec2(wide, 28.0))
}

fn promise(
    ui: &mut Ui,
    (area, words): (Rect, &str),
    (full, why): (&str, &str),
    can: &dyn Fn(Command) -> bool,
    out: &mut Vec<Action>,
) {
    let button = egui::Button::new(words).min_size(area.size());
    let may = can(Command::PromiseDay);
    let response = ui.add_enabled_ui(may, |ui| ui.put(area, button)).inner.accessible_name(full);
    let help = Command::PromiseDay.help();
    let response = response.on_disabled_hover_text(format!("Not now: {}.", why));
    if response.on_hover_text(help).clicked() {
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
