//! What could be asked of the order of work: single questions answered in words, the day to
//! begin, options side by side, a better order than the one kept.

use egui::{Label, RichText, Ui, vec2};

use super::field::{Row, button, row};
use super::fold::zone;
use super::{BenchState, Zone, edit};
use crate::desk::asks::{Ask, possible};
use crate::job::{Edit, MOST_OPTIONS};
use crate::ui::action::Action;
use crate::ui::session::{AskedBy, WhatIf};
use crate::ui::theme::{Theme, size, strong};
use crate::ui::{Scene, explain};
use crate::views::{self, Figure, OptionColumn, OptionOf};

/// Questions put at once, at most.
const MANY: usize = 16;

/// What the zones remember between two drawings.
#[derive(Clone, Debug, Default)]
pub(super) struct AsksState {
    /// Questions as they stand, with their days; of the job of this revision's answer.
    questions: Vec<Ask>,
    of: Option<(u64, u64)>,
    /// Name being given to an option.
    naming: String,
}

/// A better order than the one kept, where one is known.
pub(super) fn offer(ui: &mut Ui, scene: &Scene, out: &mut Vec<Action>) {
    let Some(offer) = &scene.besides.offer else { return };
    zone(ui, "A better order", false, false, |ui| {
        ui.add(Label::new(format!("{}.", offer.words)).wrap());
        row(ui, "the better order", "", |f| {
            if f.button("Take it") {
                edit(out, Edit::Kept(Some(offer.kept.clone())));
            }
        });
    });
}

/// Single questions.
pub(super) fn what_if(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let Some(shown) = scene.shown else { return };
    let asked = state.asked(Zone::WhatIf);
    // Anew with every change of the job and every answer; only the one being asked keeps its days.
    let of = (scene.revision, shown.revision);
    if state.asks.of != Some(of) {
        let fresh = possible(&shown.sound, &shown.found);
        let before = std::mem::take(&mut state.asks.questions);
        state.asks.questions = fresh.into_iter().map(|q| kept_days(scene, q, &before)).collect();
        state.asks.of = Some(of);
    }
    if state.asks.questions.is_empty() {
        return;
    }
    let mut questions = std::mem::take(&mut state.asks.questions);
    zone(ui, "What if…", true, asked, |ui| {
        let many = questions.len() > MANY;
        if many && scene.selected.is_none() {
            ui.add(Label::new("Select a step: its room's methods, heat and fan can be asked about as well.").wrap());
        }
        for (i, q) in questions.iter_mut().enumerate().filter(|(_, q)| put(scene, many, q)) {
            ui.push_id(("question", i), |ui| question(ui, scene, q, out));
        }
    });
    state.asks.questions = questions;
}

/// The question as it is being asked, with its days; else the fresh one.
fn kept_days(scene: &Scene, q: Ask, before: &[Ask]) -> Ask {
    let same = |b: &&Ask| std::mem::discriminant(*b) == std::mem::discriminant(&q);
    let asked = scene.question.is_some_and(|w| w.asked_by == AskedBy::Card(key(scene, &q)));
    match (&q, before.iter().find(same)) {
        (Ask::Helper { .. } | Ask::Evening { .. } | Ask::Extra { .. } | Ask::Off { .. }, Some(b)) if asked => b.clone(),
        _ => q,
    }
}

fn question(ui: &mut Ui, scene: &Scene, q: &mut Ask, out: &mut Vec<Action>) {
    let job = scene.job;
    let mine = AskedBy::Card(key(scene, q));
    let was_asked = scene.question.is_some_and(|w| w.asked_by == mine);
    let before = q.clone();
    let mut ask = false;
    let words = views::ask_words(job, q);
    row(ui, "what if", "", |f| {
        ask |= f.button_as(&words, &words);
    });
    if was_asked {
        let top = ui.cursor().top();
        row(ui, "what if", "", |f| days(f, scene, q));
        let answered = scene.answer.is_some_and(|a| a.question.asked_by == mine);
        match if answered { crate::ui::strip::safe_answer(scene) } else { None } {
            Some(said) => {
                let text = RichText::new(&said.value).text_style(strong());
                explain::told_as(ui, &words, &said, text);
            }
            None => {
                ui.label("…");
            }
        }
        row(ui, "what if", "", |f| {
            if f.button("Do it") {
                out.push(Action::KeepQuestion);
            }
            if f.button("Leave it") {
                out.push(Action::DropQuestion);
            }
        });
        // Once asked and once answered: what was said at the foot of the column is brought into view.
        let seen = egui::Id::unique(("what was asked is in view", answered));
        let this = ui.scope_id();
        if ui.data(|d| d.get_temp::<egui::Id>(seen)) != Some(this) {
            ui.data_mut(|d| d.insert_temp(seen, this));
            let all = egui::Rect::from_x_y_ranges(ui.max_rect().x_range(), top..=ui.cursor().top());
            ui.scroll_to_rect(all, None);
        }
    } else if ask {
        for answered in [true, false] {
            ui.data_mut(|d| d.remove::<egui::Id>(egui::Id::unique(("what was asked is in view", answered))));
        }
    }
    if ask || (was_asked && *q != before) {
        out.push(Action::Ask(WhatIf { edits: q.edits(job), asked_by: mine }));
    }
}

/// What a question is known by, whatever days it is about.
fn key(scene: &Scene, q: &Ask) -> String {
    match q {
        Ask::Helper { .. } => "a helper".into(),
        Ask::Evening { .. } => "an evening".into(),
        Ask::Extra { .. } => "a day more".into(),
        Ask::Off { .. } => "a day off".into(),
        _ => views::ask_words(scene.job, q),
    }
}

/// Whether a question is put: where a job has many rooms, of methods and places only those of
/// the selected step's.
fn put(scene: &Scene, many: bool, q: &Ask) -> bool {
    let room = scene.selected.and_then(|id| id.split('/').next());
    let job = scene.job;
    let of = |r: Option<&crate::job::Room>| r.is_some_and(|r| Some(r.id.as_str()) == room);
    match q {
        Ask::Heater { place } | Ask::Fan { place } if many => {
            let id = job.places.get(*place).map(|p| p.id.as_str());
            job.rooms.iter().any(|r| of(Some(r)) && Some(r.place.as_str()) == id)
        }
        Ask::Method { room, .. } if many => of(job.rooms.get(*room)),
        _ => true,
    }
}

/// The days of a question, changeable while it is asked.
fn days(f: &mut Row, scene: &Scene, q: &mut Ask) {
    match q {
        Ask::Helper { from, days } => {
            if let Some(n) = f.count("days of the helper", *days) {
                *days = n.clamp(1, 60);
            }
            f.word("days from");
            if let Some(d) = f.day("first day of the helper", *from) {
                *from = d;
            }
        }
        Ask::Evening { person, day } | Ask::Extra { person, day } | Ask::Off { person, day } => {
            let crew = &scene.job.crew;
            if crew.len() > 1 {
                let all: Vec<_> = crew.iter().enumerate().map(|(i, p)| (i, p.name.clone())).collect();
                if let Some(p) = f.choose("who", 90.0, person, &all) {
                    *person = p;
                }
            }
            f.word("on");
            if let Some(d) = f.day("day asked about", *day) {
                *day = d;
            }
        }
        _ => {}
    }
}

/// Which day to begin.
pub(super) fn starts(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    state.starts_shown = false;
    if scene.job.target.is_none() || scene.job.study.is_some() {
        return;
    }
    let asked = state.asked(Zone::Starts);
    let mut shown = false;
    zone(ui, "When to begin", true, asked, |ui| {
        shown = true;
        let Some(all) = &scene.besides.starts else {
            ui.label("counting…");
            return;
        };
        ui.scope(|ui| {
            // As high counting as counted, so that the days stay where they are.
            ui.set_min_height(2.0 * ui.text_style_height(&egui::TextStyle::Body) + size::LINE);
            explain::told(ui, "when to begin", &Figure::new(views::latest_words(all), views::starts_why(all)));
        });
        for r in &all.rows {
            let (day, chance) = views::start_words(all, r);
            let change = vec![Edit::Start(r.day)];
            let now = scene.question.is_some_and(|q| q.edits == change);
            row(ui, "", &day, |f| {
                let response = f.ui.selectable_label(now, &chance);
                let response = response.accessible_name(format!("begin {day}: {chance}"));
                let response = response.on_hover_text(views::start_why(all, r));
                if response.has_focus() && f.ui.input(|i| i.key_pressed(egui::Key::Enter)) {
                    out.push(Action::Edit(change.clone()));
                } else if response.clicked() {
                    response.request_focus();
                    out.push(Action::Ask(WhatIf {
                        edits: change.clone(),
                        asked_by: AskedBy::Card(views::begin_words(&day)),
                    }));
                }
                if now && f.button_as("Begin then", &format!("begin then, {day}")) {
                    out.push(Action::KeepQuestion);
                }
            });
        }
        let quiet = Theme::of(ui.ctx()).quiet;
        let help = "A click asks, Enter begins then.";
        ui.add(Label::new(RichText::new(help).color(quiet).size(size::SMALL)).wrap());
    });
    state.starts_shown = shown;
    let asks = |q: &WhatIf| matches!(&q.asked_by, AskedBy::Card(c) if views::begins_words(c));
    if !shown && scene.question.is_some_and(asks) {
        // Nothing shows any more what the strip speaks of.
        out.push(Action::DropQuestion);
    }
}

/// Options side by side.
pub(super) fn options(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let job = scene.job;
    if job.study.is_some() {
        return;
    }
    let asked = state.asked(Zone::Options);
    zone(ui, "Options", job.options.is_empty(), asked, |ui| {
        if !job.options.is_empty() {
            columns(ui, scene, out);
        }
        if job.options.len() < MOST_OPTIONS {
            keep_one(ui, scene, state, out);
        }
    });
}

fn keep_one(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let quiet = Theme::of(ui.ctx()).quiet;
    if scene.job.options.is_empty() {
        let help = "Keep the job as it stands as an option, then change the job: both stay side by side.";
        ui.add(Label::new(RichText::new(help).color(quiet)).wrap());
    }
    row(ui, "options", "call it", |f| {
        let mut entered = false;
        if let Some(name) = f.text("name of a new option", 120.0, &state.asks.naming) {
            state.asks.naming = name;
            // The name given with Enter keeps it.
            entered = f.ui.input(|i| i.key_pressed(egui::Key::Enter));
        }
        if f.button("Keep this as an option…") || entered {
            let name = state.asks.naming.trim().to_string();
            let taken = |n: &String| *n == scene.job.option || scene.job.options.iter().any(|o| o.name == *n);
            let free = || (1..).map(|n| crate::views::numbered("option", n)).find(|n| !taken(n)).unwrap_or_default();
            // Two of one name could not be told apart.
            let other = |name: &str| (2..).map(|n| crate::views::numbered(name, n)).find(|n| !taken(n));
            let name = match name.is_empty() {
                true => free(),
                false if taken(&name) => other(&name).unwrap_or_default(),
                false => name,
            };
            state.asks.naming.clear();
            edit(out, Edit::OptionKept(name));
        }
    });
}

/// The job and its options, a column each; what cannot be done is said in words below.
fn columns(ui: &mut Ui, scene: &Scene, out: &mut Vec<Action>) {
    let job = scene.job;
    let mut all: Vec<OptionOf> = Vec::new();
    match scene.shown {
        Some(s) => all.push(OptionOf {
            name: job.option.clone(),
            differs: Vec::new(),
            with: Ok((&s.sound, &s.found, &s.forecast)),
        }),
        None => return,
    }
    let mut waiting = false;
    for (i, o) in job.options.iter().enumerate() {
        let with = match scene.besides.option(i, &o.name) {
            Some(Ok(desk)) => OptionOf::desk(&o.name, o.differs_in(), desk),
            Some(Err(p)) => OptionOf { name: o.name.clone(), differs: o.differs_in(), with: Err(p) },
            None => {
                waiting = true;
                OptionOf { name: o.name.clone(), differs: o.differs_in(), with: Err(&[]) }
            }
        };
        all.push(with);
    }
    // The first price is that of the job; without any there is no row of them.
    let first = scene.priced().filter(|p| views::trusted(&p.0.sound.job, &p.0.priced.price));
    let mut prices = vec![first.map(|p| p.0.priced.price.total)];
    prices.extend(job.options.iter().enumerate().map(|(i, o)| scene.besides.option_price(i, &o.name)));
    let prices = if prices.iter().any(Option::is_some) { prices } else { Vec::new() };
    let columns = views::option_columns_priced(&all, &prices);
    let theme = Theme::of(ui.ctx());
    let captions: Vec<&str> =
        columns.iter().find(|c| !c.figures.is_empty()).map_or(Vec::new(), |c| c.figures.iter().map(|f| f.0).collect());
    let wide = (ui.available_width() - 64.0) / columns.len() as f32 - size::GAP;
    let cell = |ui: &mut Ui, wide: f32, add: &mut dyn FnMut(&mut Ui)| {
        ui.allocate_ui_with_layout(vec2(wide, size::ROW), egui::Layout::top_down(egui::Align::Min), |ui| {
            ui.set_width(wide);
            add(ui);
        });
    };
    let words = |ui: &mut Ui, wide: f32, text: RichText| {
        cell(ui, wide, &mut |ui| {
            ui.add(Label::new(text.clone()).wrap());
        });
    };
    egui::Grid::new("options").num_columns(columns.len() + 1).spacing(vec2(size::GAP, 2.0)).show(ui, |ui| {
        words(ui, 58.0, RichText::new(""));
        for c in &columns {
            words(ui, wide, RichText::new(&c.name).text_style(strong()));
        }
        ui.end_row();
        for (k, caption) in captions.iter().enumerate() {
            words(ui, 58.0, RichText::new(*caption).color(theme.quiet));
            for c in &columns {
                let Some((_, figure)) = c.figures.get(k) else {
                    words(ui, wide, RichText::new("…"));
                    continue;
                };
                let color = if *caption == "safe" { theme.safe } else { theme.ink };
                let text = RichText::new(&figure.value).color(color);
                let what = format!("{caption}, {}", c.name);
                cell(ui, wide, &mut |ui| {
                    explain::told_as(ui, &what, figure, text.clone());
                });
            }
            ui.end_row();
        }
    });
    if waiting {
        ui.label("working out…");
    }
    row(ui, "options", "this one is", |f| {
        if let Some(name) = f.text("name of this option", 120.0, &job.option) {
            edit(out, Edit::OptionName(name));
        }
    });
    for (i, c) in columns.iter().enumerate().skip(1) {
        ui.push_id(("option", i), |ui| one(ui, i - 1, c, theme, out));
    }
}

/// What an option differs in, and what can be done with it.
fn one(ui: &mut Ui, at: usize, c: &OptionColumn, theme: &Theme, out: &mut Vec<Action>) {
    let text = c.problem.clone().unwrap_or_else(|| c.difference.clone());
    let color = if c.problem.is_some() { theme.error } else { theme.ink };
    if !text.is_empty() {
        ui.add(Label::new(RichText::new(format!("{}: {text}", c.name)).color(color)).wrap());
    }
    ui.horizontal_wrapped(|ui| {
        if button(ui, &format!("Work on {}", c.name), &format!("work on {}", c.name)) {
            edit(out, Edit::OptionTaken(at));
        }
        if button(ui, "Take out", &format!("take the option {} out", c.name)) {
            edit(out, Edit::OptionOut(at));
        }
    });
}
