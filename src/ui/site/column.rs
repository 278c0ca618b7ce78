//! The column at the left: days that ask to be written up, the new date, tomorrow, today, what
//! dries now, what to order, time lost, days written up.

use egui::{Align, ComboBox, Label, Layout, RichText, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

use super::{Read, SiteState};
use crate::desk::underway::last_told;
use crate::desk::write_up::Said;
use crate::job::{Edit, LostCause};
use crate::ui::Scene;
use crate::ui::action::{Action, Command};
use crate::ui::bench::choose;
use crate::ui::bench::fold::zone;
use crate::ui::explain::{told, told_as};
use crate::ui::shown::Shown;
use crate::ui::theme::{Theme, plain, semibold, size, strong};
use crate::views::site::sheet::{Line, Sheet, day_name};
use crate::views::site::{CAUSES, lost_words};
use crate::views::{self, and_more};

/// Width of the hour a line begins with.
const BEGIN: f32 = 44.0;
/// Days written up that are listed at once.
const LISTED: usize = 12;

/// Everything from top to bottom.
pub(super) fn show(
    ui: &mut Ui,
    scene: &Scene,
    shown: &Shown,
    read: &Read,
    state: &mut SiteState,
    out: &mut Vec<Action>,
) {
    let theme = Theme::of(ui.ctx());
    ask(ui, scene, read, state, out);
    let words = RichText::new(read.headline.words()).size(size::HEAD + 1.0).text_style(strong()).color(theme.ink);
    told_as(ui, "the new date", &read.headline, words.size(size::HEAD + 1.0));
    let done = read.to_do.is_empty() && shown.sound.job.as_of.is_some();
    super::ways::column(ui, scene, done, &mut state.ways, out);
    ui.add_space(size::GAP);
    let mut sheets = read.to_do.iter();
    if let Some(first) = sheets.next() {
        sheet(ui, first, out);
    } else if done {
        ui.label("Nothing is left to do.");
    }
    if let Some(done) = &read.done {
        sheet(ui, done, out);
    }
    if !read.drying.is_empty() {
        ui.separator();
        ui.heading("Drying now");
        for d in &read.drying {
            ui.horizontal_wrapped(|ui| {
                let id = shown.sound.graph.steps[d.step].id.clone();
                if link(ui, &d.name, &d.name) {
                    out.push(Action::FindStep(id));
                }
                told(ui, &d.name, &d.figure);
            });
        }
    }
    if !read.order.is_empty() {
        ui.separator();
        ui.heading("To order");
        for o in &read.order {
            ui.add(Label::new(o).wrap());
        }
    }
    if let Some(second) = sheets.next() {
        sheet(ui, second, out);
    }
    ui.add_space(size::GAP);
    ui.horizontal_wrapped(|ui| {
        for command in [
            Command::LostTime,
            Command::WriteUp,
            Command::WorkAgain,
            Command::LateDelivery,
            Command::AddChange,
            Command::CloseJob,
        ] {
            let able = match command {
                Command::WriteUp => !read.asked.is_empty() || scene.job.closed.is_none() && !scene.job.log.is_empty(),
                Command::WorkAgain | Command::LateDelivery => last_told(scene.job).is_some(),
                // Of a job that is done it stands above.
                Command::CloseJob => last_told(scene.job).is_some() && !done && scene.job.closed.is_none(),
                _ => true,
            };
            if able && ui.button(command.text()).on_hover_text(command.help()).clicked() {
                out.push(Action::Do(command));
            }
        }
    });
    losses(ui, scene, state, out);
    written(ui, scene, state, out);
    ui.add_space(size::ZONE);
}

/// Days not written up, asked about first.
fn ask(ui: &mut Ui, scene: &Scene, read: &Read, state: &mut SiteState, out: &mut Vec<Action>) {
    let theme = Theme::of(ui.ctx());
    if scene.writing {
        ui.label(RichText::new(views::site::writing_words(scene.besides.writing)).color(theme.quiet));
        ui.add_space(size::GAP);
        return;
    }
    let Some(&day) = read.asked.first() else {
        let words = if scene.job.start > scene.today {
            format!("Work begins {}.", views::day_words(scene.job.start))
        } else if last_told(scene.job).is_some_and(|d| d >= scene.today) {
            String::new()
        } else {
            "Every day up to now is written up.".into()
        };
        if !words.is_empty() {
            ui.label(RichText::new(words).color(theme.quiet));
            ui.add_space(size::GAP);
        }
        return;
    };
    let frame = egui::Frame::NONE.stroke(Stroke::new(size::OUTLINE, theme.edge)).inner_margin(8);
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        let name = day_name(day);
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new(format!("How did {name} go?")).text_style(strong()).size(size::HEAD));
            if let [_, rest @ ..] = read.asked.as_slice()
                && !rest.is_empty()
            {
                ui.label(RichText::new(and_more(rest.len())).color(theme.quiet));
            }
        });
        ui.horizontal_wrapped(|ui| {
            if ui.button("As planned").accessible_name(format!("As planned, {name}")).clicked() {
                out.push(Action::WriteUp(Said::AsPlanned { days: vec![day], note: String::new() }));
            }
            if ui.button("Nothing done").accessible_name(format!("Nothing done, {name}")).clicked() {
                let words = |c: LostCause| (c, views::site::cause_words(c).to_string());
                let cause = state.cause.take().map(words);
                out.push(Action::WriteUp(Said::Nothing { day, cause, note: String::new() }));
            }
            if ui.button("Differently…").accessible_name(format!("Differently, {name}")).clicked() {
                state.edit(day);
            }
        });
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new("nothing done because of").color(theme.quiet));
            let now = state.cause.map_or("no reason given", views::site::cause_words);
            let shown =
                ComboBox::from_id_salt("why nothing was done").selected_text(now).width(130.0).height(choose::HIGH);
            let made = shown.show_ui(ui, |ui| {
                let none = std::iter::once((None, "no reason given"));
                for (cause, words) in none.chain(CAUSES.into_iter().map(|(c, words)| (Some(c), words))) {
                    if ui.selectable_value(&mut state.cause, cause, words).clicked() {
                        ui.close();
                    }
                }
            });
            made.response.accessible_name(format!("Why nothing was done: {now}"));
        });
        let before: Vec<_> = read.asked.iter().copied().filter(|d| *d < scene.today).collect();
        if before.len() > 1 {
            let last = before[before.len() - 1];
            let words = if Some(last) == scene.today.pred_opt() {
                "As planned through yesterday".to_string()
            } else {
                format!("As planned through {}", day_name(last))
            };
            if ui.button(words).clicked() {
                out.push(Action::WriteUp(Said::AsPlanned { days: before, note: String::new() }));
            }
        }
    });
    ui.add_space(size::GAP + 2.0);
}

/// A day's cut list: its head, and a ruled line a step.
fn sheet(ui: &mut Ui, s: &Sheet, out: &mut Vec<Action>) {
    let theme = Theme::of(ui.ctx());
    ui.separator();
    ui.horizontal(|ui| {
        let sum = ui.painter().layout_no_wrap(s.sum.clone(), plain(size::BODY), theme.quiet);
        let room = ui.available_width() - sum.rect.width() - size::GAP;
        ui.allocate_ui_with_layout(vec2(room, size::ROW), Layout::left_to_right(Align::Center), |ui| {
            ui.add(Label::new(RichText::new(&s.head).text_style(strong()).size(size::HEAD)).truncate());
        });
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.label(RichText::new(&s.sum).color(theme.quiet));
        });
    });
    if !s.nothing.is_empty() {
        ui.label(&s.nothing);
    }
    let mut place = "";
    let indent = if s.lines.iter().any(|l| !l.begin.is_empty()) { BEGIN } else { 0.0 };
    for l in &s.lines {
        if !l.load.is_empty() && l.load != place {
            ui.add(Label::new(RichText::new(format!("load: {}", l.load)).color(theme.quiet)).wrap());
            place = &l.load;
        }
        line(ui, l, indent, out);
    }
    ui.add_space(2.0);
}

/// One line of the list; struck through as done. Names stand under each other, `x` in.
fn line(ui: &mut Ui, l: &Line, x: f32, out: &mut Vec<Action>) {
    let theme = Theme::of(ui.ctx());
    let width = ui.available_width();
    let p = ui.painter().clone();
    let hours = p.layout_no_wrap(l.hours.clone(), semibold(size::BODY), theme.ink);
    let room = (width - x - hours.rect.width() - 10.0).max(60.0);
    let color = if l.done { theme.quiet } else { theme.ink };
    let name = p.layout(views::site::capital(&l.name), plain(size::BODY), color, room);
    let aside = (!l.aside.is_empty()).then(|| p.layout(l.aside.clone(), plain(size::SMALL), theme.quiet, room));
    let high = 6.0 + name.rect.height() + aside.as_ref().map_or(0.0, |a| a.rect.height() + 1.0);
    let (area, response) = ui.allocate_exact_size(vec2(width, high), Sense::click());
    let words = [&l.begin, &l.name, &l.hours, &l.aside].into_iter().filter(|w| !w.is_empty());
    let words: Vec<&str> = words.map(String::as_str).collect();
    let done = if l.done { ", done" } else { "" };
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, format!("{}{done}", words.join(", "))));
    if response.clicked() {
        out.push(Action::FindStep(l.id.clone()));
    }
    let top = area.top() + 3.0;
    if response.hovered() {
        p.rect_filled(area, 0.0, theme.night);
    }
    if response.has_focus() {
        p.rect_stroke(area, 0.0, Stroke::new(size::OUTLINE, theme.focus), egui::StrokeKind::Inside);
    }
    if !l.begin.is_empty() {
        p.text(pos2(area.left(), top), egui::Align2::LEFT_TOP, &l.begin, plain(size::BODY), theme.quiet);
    }
    let at = pos2(area.left() + x, top);
    if l.done {
        for row in &name.rows {
            let r = row.rect().translate(at.to_vec2());
            p.hline(r.left()..=r.right() + 6.0, r.center().y + 1.0, Stroke::new(size::HAIR, theme.ink));
        }
    }
    let below = at.y + name.rect.height() + 1.0;
    p.galley(at, name, color);
    p.galley(pos2(area.right() - hours.rect.width(), top), hours, theme.ink);
    if let Some(aside) = aside {
        p.galley(pos2(at.x, below), aside, theme.quiet);
    }
    p.hline(area.x_range(), area.bottom() - 0.5, Stroke::new(size::HAIR, theme.rule));
}

fn link(ui: &mut Ui, words: &str, name: &str) -> bool {
    ui.add(egui::Link::new(words)).accessible_name(format!("Go to {name}")).clicked()
}

/// Time lost, past and to come: changed and taken back.
fn losses(ui: &mut Ui, scene: &Scene, state: &mut SiteState, out: &mut Vec<Action>) {
    if scene.job.lost.is_empty() {
        return;
    }
    zone(ui, "Time lost", false, false, |ui| {
        for (i, l) in scene.job.lost.iter().enumerate() {
            let words = lost_words(scene.job, l);
            ui.horizontal_wrapped(|ui| {
                ui.add(Label::new(&words).wrap());
                if ui.button("Change…").accessible_name(format!("Change {words}")).clicked() {
                    state.losing = Some(super::lost::Losing::of(i, l));
                }
                if ui.button("Take back").accessible_name(format!("Take back {words}")).clicked() {
                    out.push(Action::Edit(vec![Edit::Lost(i, None)]));
                }
            });
        }
    });
}

/// Days written up, the last first: each can be corrected or taken out.
fn written(ui: &mut Ui, scene: &Scene, state: &mut SiteState, out: &mut Vec<Action>) {
    let log = &scene.job.log;
    if log.is_empty() {
        return;
    }
    zone(ui, "Days written up", true, false, |ui| {
        for d in log.iter().rev().take(LISTED) {
            let name = day_name(d.day);
            ui.horizontal_wrapped(|ui| {
                ui.add(Label::new(views::site::written_words(d)).wrap());
                if ui.button("Correct…").accessible_name(format!("Correct {name}")).clicked() {
                    state.edit(d.day);
                }
                if ui.button("Take out").accessible_name(format!("Take out {name}")).clicked() {
                    out.push(Action::Edit(vec![Edit::Day(d.day, None)]));
                }
            });
        }
        if log.len() > LISTED {
            ui.label(and_more(log.len() - LISTED));
        }
    });
}
