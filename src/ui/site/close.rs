//! The end of a job, in a card: promised, likely and come, hours against the estimate, the rates it
//! shows; closed with or without teaching the user's book.

use std::sync::Arc;

use egui::{Label, RichText, Ui};

use crate::desk::close::{Ending, ending_from};
use crate::desk::evening::Outlook;
use crate::desk::underway::last_told;
use crate::job::{Edit, Problem};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::bench::field::row;
use crate::ui::cards;
use crate::ui::shelf::BookChange;
use crate::ui::theme::{self, Theme, size, strong};
use crate::views::site::{ending_heads, ending_rates, ending_steps};

const WIDE: f32 = 640.0;

/// What is said of a rate far outside its range.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Told {
    Open,
    Right,
    LeftOut,
}

/// The end of a job, or what stands against it.
type Ended = Result<Ending, Vec<Problem>>;

/// The card while it is open.
#[derive(Clone, Debug, Default)]
pub struct Closing {
    /// Worked out of this revision and this plan from the first day.
    read: Option<(u64, Arc<Outlook>, Arc<Ended>)>,
    told: Vec<(String, Told)>,
}

impl Closing {
    fn told(&self, row: &str) -> Told {
        self.told.iter().find(|t| t.0 == row).map_or(Told::Open, |t| t.1)
    }
}

/// Draws the card; returns whether it stays open.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut Closing, out: &mut Vec<Action>) -> bool {
    let theme = Theme::of(ui.ctx());
    let first = scene.besides.first.clone();
    let day = scene.today.max(last_told(scene.job).unwrap_or(scene.job.start));
    if let Some(first) = &first
        && state.read.as_ref().is_none_or(|r| r.0 != scene.revision || !Arc::ptr_eq(&r.1, first))
    {
        let likely = scene.job.date_of(first.forecast.day(0.5));
        state.read = Some((scene.revision, first.clone(), Arc::new(ending_from(scene.job, day, likely))));
    }
    let read = state.read.clone();
    let (mut close, mut learn, mut leave) = (false, false, false);
    let modal = cards::show(ui.ctx(), "close the job", WIDE, |ui| {
        ui.heading("Close the job");
        ui.add_space(size::GAP);
        let ending = cards::middle(ui, |ui| match read.as_ref().map(|r| &*r.2) {
            None => {
                ui.label(RichText::new("Reading what was written up…").color(theme.quiet));
                None
            }
            Some(Err(problems)) => {
                for p in problems.iter().take(2) {
                    let words = format!("{}; {}", p.what, p.remedy);
                    ui.add(Label::new(RichText::new(words).color(theme.error)).wrap());
                }
                None
            }
            Some(Ok(e)) => {
                figures(ui, e, state);
                Some(e)
            }
        });
        let open = ending.is_some_and(|e| e.rows.iter().any(|r| r.asked && state.told(&r.rate.id) == Told::Open));
        if open {
            let words = "A rate far outside its range: was it written up rightly? Say so before your book learns.";
            ui.add(Label::new(RichText::new(words).color(theme.quiet)).wrap());
        }
        ui.add_space(size::GAP);
        ui.horizontal_wrapped(|ui| {
            let may = ending.is_some();
            learn = ui.add_enabled(may && !open, egui::Button::new("Close it, and let my book learn")).clicked();
            close = ui.add_enabled(may, egui::Button::new("Close it")).clicked();
            leave = ui.button("Not now").clicked();
        });
    });
    if let (true, Some(Ok(e))) = (close || learn, read.as_ref().map(|r| &*r.2)) {
        out.push(Action::Edit(vec![Edit::Closed(Some(e.closing.clone()))]));
        if learn {
            let left: Vec<String> = state.told.iter().filter(|t| t.1 == Told::LeftOut).map(|t| t.0.clone()).collect();
            let own = e.own_rows(scene.shelf.book());
            out.push(Action::Book(BookChange::Close(Box::new(e.for_book(&left)), own)));
        }
        return false;
    }
    !(leave || theme::left(&modal))
}

fn figures(ui: &mut Ui, e: &Ending, state: &mut Closing) {
    let theme = Theme::of(ui.ctx());
    egui::Grid::new("the end").num_columns(2).spacing([size::PAD, 2.0]).show(ui, |ui| {
        for (caption, value) in ending_heads(e) {
            ui.label(RichText::new(caption).color(theme.quiet));
            ui.label(RichText::new(value).text_style(strong()));
            ui.end_row();
        }
    });
    ui.add_space(size::GAP);
    ui.label(RichText::new("Hours of each step").color(theme.quiet));
    let grid = egui::Grid::new("hours of each step").num_columns(3).spacing([size::PAD, 2.0]).striped(true);
    grid.show(ui, |ui| {
        for head in ["", "estimated", "spent"] {
            ui.label(RichText::new(head).color(theme.quiet));
        }
        ui.end_row();
        for (name, estimate, spent) in ending_steps(e) {
            ui.label(name);
            ui.label(estimate);
            ui.label(spent);
            ui.end_row();
        }
    });
    ui.add_space(size::GAP);
    ui.label(RichText::new("Rates this job shows").color(theme.quiet));
    for (id, words, asked) in ending_rates(e) {
        ui.add(Label::new(words).wrap());
        if asked {
            let options = [
                (Told::Open, "was it written up rightly?".to_string()),
                (Told::Right, "yes, count it".to_string()),
                (Told::LeftOut, "no, leave it out".to_string()),
            ];
            let now = state.told(&id);
            row(ui, "rates", "", |f| {
                if let Some(t) = f.choose(&id, 220.0, &now, &options) {
                    state.told.retain(|x| x.0 != id);
                    state.told.push((id.clone(), t));
                }
            });
        }
    }
}
