//! Time lost, said in a card: which days, which hours, whom it befell, why; and what it would do
//! to the date, worked out before the card closes.
//!
//! While the card is open what stands in it is a question: nothing is in the job until *Keep it*.

use chrono::NaiveDate;
use egui::{Label, RichText, Ui};

use crate::desk::{Sound, judge};
use crate::job::{Edit, Hours, LostCause, LostTime, edited};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::bench::field::{Row, row};
use crate::ui::bench::near;
use crate::ui::cards;
use crate::ui::explain::told;
use crate::ui::session::{AskedBy, WhatIf};
use crate::ui::shown::Shown;
use crate::ui::theme::{self, Theme, size, strong};
use crate::views::said::Near;
use crate::views::site::{CAUSES, cause_words, change_rows, part};
use crate::views::typed;

/// Name of the question, and width of the card.
const ASKER: &str = "time lost";
const WIDE: f32 = 520.0;

/// Whom it befalls.
#[derive(Clone, Debug, PartialEq)]
enum Whom {
    Everybody,
    Person(String),
    /// The house cannot be worked in.
    House,
}

/// Which hours of each day.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Part {
    Whole,
    /// The last so many.
    Last(f64),
    Hours(Hours),
}

/// Which part is chosen, without its figure.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    Whole,
    Last,
    Hours,
}

impl Part {
    fn kind(self) -> Kind {
        match self {
            Part::Whole => Kind::Whole,
            Part::Last(_) => Kind::Last,
            Part::Hours(_) => Kind::Hours,
        }
    }
}

/// The card while it is open.
#[derive(Clone, Debug)]
pub struct Losing {
    /// The entry that is changed; a new one without.
    at: Option<usize>,
    from: NaiveDate,
    to: Option<NaiveDate>,
    part: Part,
    whom: Whom,
    cause: LostCause,
    note: String,
    /// The job without the entry that is changed: whose hours a part of a day is taken from.
    without: Option<Box<Sound>>,
    /// What stands in it was asked last.
    asked: Option<LostTime>,
    begun: bool,
}

impl Losing {
    /// A day lost.
    pub fn new(day: NaiveDate) -> Losing {
        Losing {
            at: None,
            from: day,
            to: None,
            part: Part::Whole,
            whom: Whom::Everybody,
            cause: LostCause::Illness,
            note: String::new(),
            without: None,
            asked: None,
            begun: false,
        }
    }

    /// An entry to be changed.
    pub fn of(at: usize, l: &LostTime) -> Losing {
        Losing {
            at: Some(at),
            from: l.from,
            to: l.to,
            part: l.hours.map_or(Part::Whole, Part::Hours),
            whom: match (l.house, l.who.as_str()) {
                (true, _) => Whom::House,
                (false, "") => Whom::Everybody,
                (false, id) => Whom::Person(id.to_string()),
            },
            cause: l.cause,
            // The cause's own word is no note of his.
            note: if l.note == cause_words(l.cause) { String::new() } else { l.note.clone() },
            without: None,
            asked: None,
            begun: false,
        }
    }

    /// The entry, as far as it can be one.
    fn entry(&mut self, shown: &Shown) -> Result<LostTime, String> {
        let who: Vec<String> = match &self.whom {
            Whom::Person(id) => vec![id.clone()],
            _ => Vec::new(),
        };
        if self.to.is_some_and(|to| to < self.from) {
            return Err("the last day lies before the first".into());
        }
        let hours = match self.part {
            _ if self.whom == Whom::House => None,
            Part::Whole => None,
            Part::Hours(h) => Some(h),
            Part::Last(h) => {
                let job = &shown.sound.job;
                if let (Some(at), None) = (self.at, &self.without) {
                    self.without = judge(&edited(job, &[Edit::Lost(at, None)])).ok().map(Box::new);
                }
                let sound = self.without.as_deref().unwrap_or(&shown.sound);
                Some(part(sound, &who, job.day_of(self.from), &typed::plain(h))?)
            }
        };
        Ok(LostTime {
            from: self.from,
            to: self.to.filter(|to| *to > self.from),
            hours,
            who: who.into_iter().next().unwrap_or_default(),
            house: self.whom == Whom::House,
            cause: self.cause,
            note: if self.note.is_empty() { cause_words(self.cause).to_string() } else { self.note.clone() },
        })
    }
}

/// Draws the card; returns whether it stays open.
pub(super) fn show(ui: &mut Ui, scene: &Scene, shown: &Shown, state: &mut Losing, out: &mut Vec<Action>) -> bool {
    let theme = Theme::of(ui.ctx());
    let mine = |a: &AskedBy| *a == AskedBy::Site(ASKER);
    let asking = scene.question.is_some_and(|q| mine(&q.asked_by));
    let typing = ui.ctx().text_edit_focused();
    let (mut close, mut keep) = (false, false);
    let modal = cards::show(ui.ctx(), "time lost", WIDE, |ui| {
        near::days_near(ui, Near { day: state.from, units: scene.job.units });
        ui.heading(if state.at.is_some() { "Time lost, changed" } else { "Time lost" });
        ui.add_space(size::GAP);
        let (unread, entry) = cards::middle(ui, |ui| {
            let unread = near::unread(ui, |ui| fields(ui, scene, state));
            ui.add_space(size::GAP);
            let entry = if state.from < scene.job.start {
                Err("that day lies before the first day of the job".to_string())
            } else {
                state.entry(shown)
            };
            match &entry {
                Err(e) => {
                    ui.add(Label::new(RichText::new(e).color(theme.error)).wrap());
                    if asking {
                        out.push(Action::DropQuestion);
                    }
                    state.asked = None;
                }
                Ok(l) => {
                    if state.asked.as_ref() != Some(l) || !asking {
                        let at = state.at.unwrap_or(scene.job.lost.len());
                        let edits = vec![Edit::Lost(at, Some(l.clone()))];
                        out.push(Action::Ask(WhatIf { edits, asked_by: AskedBy::Site(ASKER) }));
                        state.asked = Some(l.clone());
                    }
                    answer(ui, scene, l, state.at.is_none());
                }
            }
            (unread, entry)
        });
        ui.add_space(size::GAP);
        ui.horizontal(|ui| {
            keep = ui.add_enabled(entry.is_ok() && asking && unread.is_none(), egui::Button::new("Keep it")).clicked();
            close = ui.button("Not now").clicked();
        });
    });
    close |= theme::left(&modal) && !typing;
    if keep {
        out.push(Action::KeepQuestion);
        return false;
    }
    if close && asking {
        out.push(Action::DropQuestion);
    }
    !close
}

fn fields(ui: &mut Ui, scene: &Scene, state: &mut Losing) {
    let of = "time lost";
    row(ui, of, "from", |f| {
        if !std::mem::replace(&mut state.begun, true) {
            f.take_keyboard();
        }
        if let Some(day) = f.day("first day", state.from) {
            state.from = day;
        }
        f.word("to");
        if let Some(day) = f.maybe_day("last day", state.to) {
            state.to = day;
        }
        f.word("or that day alone");
    });
    row(ui, of, "whom", |f| whom(f, scene, state));
    if state.whom != Whom::House {
        row(ui, of, "hours", |f| hours(f, state));
    }
    row(ui, of, "why", |f| {
        let causes: Vec<(LostCause, String)> = CAUSES.iter().map(|c| (c.0, c.1.to_string())).collect();
        if let Some(c) = f.choose("why", 110.0, &state.cause, &causes) {
            state.cause = c;
        }
        if let Some(note) = f.text("in your words", 220.0, &state.note) {
            state.note = note;
        }
    });
}

fn whom(f: &mut Row, scene: &Scene, state: &mut Losing) {
    let crew = &scene.job.crew;
    let person = |p: &crate::job::Person| {
        (Whom::Person(p.id.clone()), if p.name.is_empty() { p.id.clone() } else { p.name.clone() })
    };
    let everybody = (crew.len() != 1).then(|| (Whom::Everybody, "everybody".to_string()));
    let house = (Whom::House, "the rooms or the client are not free".to_string());
    let options: Vec<_> = everybody.into_iter().chain(crew.iter().map(person)).chain([house]).collect();
    if crew.len() == 1 && state.whom == Whom::Everybody {
        // Of one person everybody is that person.
        state.whom = options[0].0.clone();
    }
    if let Some(w) = f.choose("whom", 240.0, &state.whom, &options) {
        state.whom = w;
    }
}

fn hours(f: &mut Row, state: &mut Losing) {
    let kinds = [
        (Kind::Whole, "the whole day".to_string()),
        (Kind::Last, "the last hours".to_string()),
        (Kind::Hours, "from one hour to another".to_string()),
    ];
    if let Some(k) = f.choose("hours", 170.0, &state.part.kind(), &kinds) {
        state.part = match k {
            Kind::Whole => Part::Whole,
            Kind::Last => Part::Last(2.0),
            Kind::Hours => Part::Hours(Hours { from: crate::job::Hm(13 * 60), to: crate::job::Hm(16 * 60) }),
        };
    }
    match state.part {
        Part::Whole => {}
        Part::Last(h) => {
            let step = |h: &f64, n: i64| crate::views::site::quarters_on(*h, n);
            let read = crate::views::site::read_hours_worked;
            if let Some(h) = f.stepped("hours lost", 56.0, &h, |h| typed::plain(*h), read, &step) {
                state.part = Part::Last(h);
            }
            f.word("h of each day");
        }
        Part::Hours(h) => {
            let (mut from, mut to) = (h.from, h.to);
            if let Some(t) = f.time("lost from", from) {
                from = t;
            }
            f.word("to");
            if let Some(t) = f.time("lost to", to) {
                to = t;
            }
            if from < to {
                state.part = Part::Hours(Hours { from, to });
            }
        }
    }
}

/// What it would do to the date; of an entry that was there already only the figures, for the job has counted it.
fn answer(ui: &mut Ui, scene: &Scene, l: &LostTime, new: bool) {
    let theme = Theme::of(ui.ctx());
    let answer = scene.answer.filter(|a| a.question.asked_by == AskedBy::Site(ASKER));
    let Some(answer) = answer else {
        ui.label(RichText::new("Working out what it costs…").color(theme.quiet));
        return;
    };
    match &answer.with {
        Err(problems) => {
            for p in problems.iter().take(2) {
                let words = format!("{}; {}", p.what, p.remedy);
                ui.add(Label::new(RichText::new(words).color(theme.error)).wrap());
            }
        }
        Ok((is, asked)) => {
            // What was answered: the fields may say more by now.
            let asked_of = answer.question.edits.iter().find_map(|e| match e {
                Edit::Lost(_, Some(l)) => Some(l),
                _ => None,
            });
            let l = asked_of.unwrap_or(l);
            let cost = crate::views::lost_days_of(
                (&is.sound, &is.found),
                (&asked.sound, &asked.found),
                std::slice::from_ref(l),
            );
            let cost = cost.with_odds((&is.sound, &is.forecast), (&asked.sound, &asked.forecast));
            if new {
                ui.add(Label::new(RichText::new(&cost.sentence).text_style(strong())).wrap());
            }
            egui::Grid::new("what it costs").num_columns(2).spacing([size::PAD, 2.0]).show(ui, |ui| {
                for (caption, figure) in change_rows(&is.reading(), &asked.reading(), (&is.found, &asked.found)) {
                    ui.label(RichText::new(&caption).color(theme.quiet));
                    told(ui, &caption, &figure);
                    ui.end_row();
                }
            });
        }
    }
}
