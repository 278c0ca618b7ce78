//! The first start: three things to try in the study that comes with the program, each a plain
//! line that does itself when it is clicked and is ticked off once it was done, by whatever way.
//!
//! The three are those of the README, which a test compares.

use egui::{Frame, Margin, Panel, RichText, Role, Sense, Ui, WidgetInfo, pos2, vec2};

use super::Scene;
use super::action::{Action, Command};
use super::session::{AskedBy, WhatIf};
use super::theme::{Theme, plain, size, strong};
use crate::job::{Edit, Job, Room};
use crate::measure::Length;
use crate::trade::tables;
use crate::views::{inspect::rate_with, typed::with_typical};

/// Width from which the three stand in one row, points.
const IN_A_ROW: f32 = 1_150.0;

/// The lines, as the window and the README have them.
pub const THREE: [&str; 3] = [
    "Hang the crown at half the pace: the odds follow.",
    "Let *Hang crown* wait: a card says what it would cost.",
    "Make the study a foot longer; Ctrl+Z takes it back.",
];

/// What each of them asks for, as far as the job has what it needs.
#[derive(Clone, Debug, PartialEq)]
pub enum Try {
    Do(Action),
    /// Asks what it costs to let this step wait.
    Wait(String),
}

/// The step the first two are about: crown is hung.
fn crown(scene: &Scene) -> Option<usize> {
    let shown = scene.shown?;
    let steps = &shown.sound.graph.steps;
    let mut worked = shown.plan.steps.iter().map(|r| r.step).filter(|&s| !steps[s].terms.is_empty());
    worked.clone().find(|&s| steps[s].id.contains("/hang-crown")).or_else(|| worked.next())
}

/// What a line does when it is clicked.
fn does(scene: &Scene, n: usize) -> Option<Try> {
    let job = scene.job;
    Some(match n {
        0 => {
            let term = scene.shown?.sound.graph.steps[crown(scene)?].terms.first()?.clone();
            let own = job.rates.iter().find(|r| r.id == term.rate);
            let row = own.or_else(|| tables().rates.iter().find(|r| r.id == term.rate))?;
            let slower = with_typical((row.low, row.typ, row.high), 2.0 * row.typ);
            Try::Do(Action::Edit(vec![Edit::Rate(rate_with(row, 1.0, slower))]))
        }
        1 => Try::Wait(scene.shown?.sound.graph.steps[crown(scene)?].id.clone()),
        _ => {
            let room = job.rooms.first()?;
            let size = room.size?;
            let longer = crate::job::Size { length: size.length + Length::from_feet(1.0), ..size };
            let room = Room { size: Some(longer), ..room.clone() };
            Try::Do(Action::Edit(vec![Edit::Room(0, Some(Box::new(room)))]))
        }
    })
}

/// Which of the three the job and the question show to be done, beside those done before.
pub fn done(before: [bool; 3], job: &Job, sample: &Job, question: Option<&WhatIf>) -> [bool; 3] {
    let size = |j: &Job| j.rooms.first().and_then(|r| r.size);
    let waits = question.is_some_and(|q| matches!(q.asked_by, AskedBy::Wait(_))) || !job.holds.is_empty();
    [before[0] || job.rates != sample.rates, before[1] || waits, before[2] || size(job) != size(sample)]
}

/// Draws the lines at the foot of the window; gives what was clicked, and whether they are to stay.
pub fn show(ui: &mut Ui, scene: &Scene, done: [bool; 3], out: &mut Vec<Action>) -> (Option<Try>, bool) {
    let theme = Theme::of(ui.ctx());
    let (mut clicked, mut stays) = (None, true);
    let frame = Frame::NONE.fill(theme.panel).inner_margin(Margin::symmetric(size::PAD as i8, size::LINE as i8));
    Panel::bottom("tries").frame(frame).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        let mut heading = |ui: &mut Ui| {
            ui.label(RichText::new("Three things to try").text_style(strong()));
            let find = Command::Find.key_words(ui.ctx());
            ui.label(RichText::new(format!("{find} finds everything else.")).color(theme.quiet));
            let new = Command::New.key_words(ui.ctx());
            if ui.button("A job of your own").on_hover_text(format!("Five questions, then a date ({new})")).clicked() {
                out.push(Action::Do(Command::New));
            }
            if ui.button("Put these away").on_hover_text("The menu has them again").clicked() {
                stays = false;
            }
        };
        ui.horizontal_wrapped(&mut heading);
        let mut lines = |ui: &mut Ui| {
            for (n, words) in THREE.iter().enumerate() {
                let can = does(scene, n);
                if line(ui, &words.replace('*', ""), done[n], can.is_some(), theme) {
                    clicked = can;
                }
            }
        };
        // One below the other where there is no room for all three in a row.
        if ui.available_width() < IN_A_ROW {
            lines(ui);
        } else {
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing.x = size::ZONE;
                lines(ui);
            });
        }
    });
    (clicked, stays)
}

/// A line with its box, ticked or not.
fn line(ui: &mut Ui, words: &str, done: bool, can: bool, theme: &Theme) -> bool {
    let galley = ui.painter().layout(words.to_string(), plain(size::BODY), theme.ink, ui.available_width() - 24.0);
    let (area, response) = ui.allocate_exact_size(
        vec2((galley.rect.width() + 24.0).min(ui.available_width()), galley.rect.height().max(size::ROW)),
        if can { Sense::click() } else { Sense::hover() },
    );
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, can, done, words));
    let p = ui.painter();
    let square = egui::Rect::from_center_size(pos2(area.left() + 7.0, area.center().y), vec2(11.0, 11.0));
    super::icons::tick_box(p, square, done, theme.edge, theme.safe);
    let color = match (can && (response.hovered() || response.has_focus()), done) {
        (true, _) => theme.safe,
        (false, true) => theme.quiet,
        (false, false) => theme.ink,
    };
    let at = pos2(area.left() + 22.0, area.center().y - galley.rect.height() / 2.0);
    p.galley_with_override_text_color(at, galley, color);
    if response.has_focus() {
        p.rect_stroke(area, 0.0, (size::OUTLINE, theme.focus), egui::StrokeKind::Inside);
    }
    response.clicked()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_readme_has_the_same_three() {
        let readme = include_str!("../../README.md").split_whitespace().collect::<Vec<_>>().join(" ");
        for (n, words) in THREE.iter().enumerate() {
            let want = format!("{}. {words}", n + 1);
            assert!(readme.contains(&want), "README has no: {want}");
        }
    }

    #[test]
    fn each_is_done_once_the_job_or_the_question_shows_it() {
        let sample = crate::desk::open(include_str!("../../sample-jobs/study.ron")).unwrap().read.job;
        let none = [false; 3];
        assert_eq!(done(none, &sample, &sample, None), none);
        let mut job = sample.clone();
        job.rates.push(tables().rates[0].clone());
        assert_eq!(done(none, &job, &sample, None), [true, false, false]);
        let asked = WhatIf { edits: Vec::new(), asked_by: AskedBy::Wait("x".into()) };
        assert_eq!(done(none, &sample, &sample, Some(&asked)), [false, true, false]);
        assert_eq!(done([true; 3], &sample, &sample, None), [true; 3]);
    }
}
