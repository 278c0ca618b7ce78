//! One box in which everything can be found: commands with their keys, headings and settings, rooms, steps.
//!
//! What is typed is taken as beginnings of words, in any order: `sa und` and `su` both find
//! *Save under another name*. What cannot be done now is listed all the same, greyed, with the
//! reason. The list is made and ordered without egui; the card below draws it.

use egui::{Id, Key, Modal, Modifiers, RichText, Role, ScrollArea, Sense, TextEdit, Ui, WidgetInfo, pos2, vec2};

use super::Scene;
use super::action::{Action, Command};
use super::bench::own::ADD;
use super::bench::{FOUND, Spot};
use super::theme::{self, Theme, card, plain, semibold, size, strong, veil};
use crate::job::{Job, Surface};
use crate::views::papers::Paper;
use crate::views::{Almanac, choices};

/// Widest the card gets, points.
const CARD: f32 = 620.0;

/// Words that stand on the screen for a command or its page, other than its own.
const ALSO: [(&str, Command); 7] = [
    ("Change the promise…", Command::PromiseDay),
    ("Days written up", Command::Site),
    ("How the date has moved", Command::Site),
    ("Drying now", Command::Site),
    ("To order", Command::Site),
    ("What holds the date", Command::Order),
    ("Correct a day written up", Command::WriteUp),
];

/// What is found.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    pub words: String,
    /// Beside it: its key, or what it is.
    pub beside: String,
    /// One line about the chosen one: what it does, or why it cannot be done.
    pub about: String,
    pub action: Action,
    pub can: bool,
}

/// The box while it is open.
#[derive(Clone, Debug, Default)]
pub struct Finder {
    pub typed: String,
    /// Steps alone.
    pub steps: bool,
    /// Which of what is found is chosen.
    at: usize,
    /// The list moves to the chosen one.
    moved: bool,
}

/// Everything that can be found, commands first, then headings and settings of the column, rooms, then steps in the order of the work.
pub fn all(
    scene: &Scene,
    steps_only: bool,
    key: impl Fn(Command) -> String,
    can: &dyn Fn(Command) -> bool,
) -> Vec<Found> {
    let mut out = Vec::new();
    if !steps_only {
        for c in Command::ALL.into_iter().filter(|c| *c != Command::Find) {
            let can = can(c);
            let about = if can { c.help().to_string() } else { format!("Not now: {}.", c.why_not_now(scene)) };
            out.push(Found { words: c.text().into(), beside: key(c), about, action: Action::Do(c), can });
        }
        let may = can(Command::Print);
        for paper in Paper::ALL {
            let about = if may { paper.about().to_string() } else { format!("Not now: {}.", Command::Print.why_not()) };
            let words = format!("Print the {}", paper.name());
            out.push(Found { words, beside: "paper".into(), about, action: Action::Print(paper), can: may });
        }
        for (k, (words, ..)) in ADD.into_iter().enumerate() {
            let about = "Adds it to the job and opens it, its name marked.".into();
            out.push(Found {
                words: words.into(),
                beside: "of your own".into(),
                about,
                action: Action::AddOwn(k),
                can: scene.job.study.is_none(),
            });
        }
        for (words, command) in ALSO {
            let can = can(command);
            let about =
                if can { command.help().to_string() } else { format!("Not now: {}.", command.why_not_now(scene)) };
            out.push(Found { words: words.into(), beside: key(command), about, action: Action::Do(command), can });
        }
        for (words, zone, head, field) in FOUND.into_iter().filter(|f| f.1.there(scene)) {
            let about = format!("Opens {head} in the column at the right.");
            let beside = if words == head { "heading".to_string() } else { head.to_string() };
            out.push(Found { words: words.into(), beside, about, action: Action::Zone(zone, field), can: true });
        }
        for (i, r) in scene.job.rooms.iter().enumerate() {
            let words = if r.name.is_empty() { r.id.clone() } else { r.name.clone() };
            let about = format!("Opens {words} at its line of the measure sheet.");
            out.push(Found {
                words: words.clone(),
                beside: "room".into(),
                about,
                action: Action::FindRoom(i),
                can: true,
            });
            let new = format!("Add a surface, {words}");
            let about = format!("Which part of {words}, then what is done to it.");
            out.push(Found {
                words: new,
                beside: "recipe".into(),
                about,
                action: Action::Surface(i, Spot::New),
                can: true,
            });
            if scene.job.study.is_none() {
                let whole = format!("Whole room in one choice, {words}");
                let about = format!("The usual recipes of a whole room, for {words}.");
                let action = Action::Surface(i, Spot::Whole);
                out.push(Found { words: whole, beside: "recipe".into(), about, action, can: true });
            }
            for (k, s) in r.surfaces.iter().enumerate() {
                let (of, about) = surface_words(scene.job, s, &words);
                let action = Action::Surface(i, Spot::Of(k));
                out.push(Found { words: of, beside: "surface".into(), about, action, can: true });
            }
        }
        out.extend(of_step(scene));
    }
    let Some(shown) = scene.shown else { return out };
    let many = scene.job.rooms.len() > 1;
    let when = Almanac(&shown.sound.job);
    for row in &shown.plan.steps {
        let step = &shown.sound.graph.steps[row.step];
        let room = shown.sound.job.rooms.iter().find(|r| many && r.id == step.room);
        let words = room.map_or_else(|| step.name.clone(), |r| format!("{}, {}", step.name, r.name));
        let (beside, about) = ("step".into(), format!("{words}: {} to {}.", when.begin(row.begin), when.end(row.end)));
        out.push(Found { words, beside, about, action: Action::FindStep(step.id.clone()), can: true });
    }
    out
}

/// A surface of a room, and what is done to it.
fn surface_words(job: &Job, s: &Surface, room: &str) -> (String, String) {
    let part = choices::part_word(s.part);
    let recipe = choices::recipe(job, &s.recipe).map_or("no recipe yet", |r| r.name.as_str());
    let name = if s.name.is_empty() { String::new() } else { format!("{}, ", s.name) };
    (format!("{name}{part} of {room}: {recipe}"), format!("Opens it in the column at the right: {recipe}."))
}

/// The figures of the selected step that can be changed.
fn of_step(scene: &Scene) -> Vec<Found> {
    let Some((shown, id)) = scene.shown.zip(scene.selected) else { return Vec::new() };
    let graph = &shown.sound.graph;
    let Some(step) = graph.steps.iter().find(|s| s.id == id) else { return Vec::new() };
    let fields = [
        ("Rate", "rate typical", !step.terms.is_empty()),
        ("Hours", "hours typical", step.labor.typical() > 0),
        ("Set-up", "set-up minutes", step.labor.typical() > 0),
        ("Product", "product", step.coat.is_some()),
    ];
    let found = |(words, field, there): (&str, &'static str, bool)| {
        let words = format!("{words} of {}", step.name);
        let about = format!("{words}, in the column at the right.");
        there.then_some(Found {
            words,
            beside: "selected step".into(),
            about,
            action: Action::StepField(field),
            can: true,
        })
    };
    fields.into_iter().filter_map(found).collect()
}

/// What a whole word is worth.
const WHOLE: u32 = 30;

/// How well what was typed fits some words, the less the better; nothing where it does not.
/// Every typed word must be made of beginnings of one or more of the words, in their order.
pub fn fit(words: &str, typed: &str) -> Option<u32> {
    let low = words.to_lowercase();
    let parts: Vec<Vec<char>> =
        low.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(|w| w.chars().collect()).collect();
    let (mut cost, mut whole) = (0, 0);
    for token in typed.to_lowercase().split_whitespace() {
        let token: Vec<char> = token.chars().filter(|c| c.is_alphanumeric()).collect();
        cost += taken(&parts, &token)?;
        whole += u32::from(parts.contains(&token));
    }
    // Of two that fit as well the one with the whole words is meant, then the shorter.
    Some((cost * 100 + parts.len() as u32).saturating_sub(whole * WHOLE))
}

/// Cost of making `token` of beginnings of the words, in their order: a word begun costs 1, and 1 more
/// where words were passed over before it.
fn taken(parts: &[Vec<char>], token: &[char]) -> Option<u32> {
    // The cheapest way to the end from a word and a letter on, worked out from the end.
    let mut cost = vec![vec![None; token.len() + 1]; parts.len() + 1];
    cost.iter_mut().for_each(|row: &mut Vec<Option<u32>>| row[token.len()] = Some(0));
    for from in (0..parts.len()).rev() {
        for at in 0..token.len() {
            let mut best: Option<u32> = None;
            for (i, part) in parts.iter().enumerate().skip(from) {
                let most = part.iter().zip(&token[at..]).take_while(|(a, b)| a == b).count();
                let ways = (1..=most).filter_map(|n| cost[i + 1][at + n]);
                if let Some(rest) = ways.min() {
                    let whole = rest + 1 + u32::from(i > from);
                    best = Some(best.map_or(whole, |b| b.min(whole)));
                }
            }
            cost[from][at] = best;
        }
    }
    cost[0][0]
}

/// What fits what was typed, the best first; all of it while nothing is typed.
pub fn fitting(all: &[Found], typed: &str) -> Vec<Found> {
    let mut out: Vec<(u32, usize)> =
        all.iter().enumerate().filter_map(|(i, f)| Some((fit(&f.words, typed)?, i))).collect();
    if !typed.trim().is_empty() {
        out.sort();
    }
    out.into_iter().map(|(_, i)| all[i].clone()).collect()
}

impl Finder {
    /// The box, for steps alone or for everything, with what was typed already.
    pub fn new(steps: bool, typed: String) -> Finder {
        Finder { steps, typed, ..Finder::default() }
    }

    /// Shows the box; gives what was chosen, and whether it stays open.
    pub fn show(&mut self, ui: &Ui, all: &[Found], out: &mut Vec<Action>) -> bool {
        let ctx = ui.ctx();
        let theme = Theme::of(ctx);
        let room = ctx.content_rect().size();
        let list = fitting(all, &self.typed);
        self.at = self.at.min(list.len().saturating_sub(1));
        for (key, by) in [(Key::ArrowDown, 1), (Key::ArrowUp, -1), (Key::PageDown, 8), (Key::PageUp, -8)] {
            if ctx.input_mut(|i| i.consume_key(Modifiers::NONE, key)) && !list.is_empty() {
                self.at = (self.at as i64 + by).clamp(0, list.len() as i64 - 1) as usize;
                self.moved = true;
            }
        }
        let entered = ctx.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Enter));
        // Enter on an empty box does nothing: what was meant may still be on its way.
        let mut chosen = (entered && !self.typed.trim().is_empty()).then_some(self.at);
        let id = Id::unique("field of the finder");
        if !ctx.memory(|m| m.has_focus(id)) {
            // Letters that come before the field has the keyboard are its own all the same.
            let heard = texts(ctx);
            self.typed.push_str(&heard);
        }
        let title = if self.steps { "Find a step" } else { "Find anything to do" };
        let modal = Modal::new(Id::unique("finder")).backdrop_color(veil(ctx)).frame(card(ctx)).show(ctx, |ui| {
            ui.set_width((room.x - 4.0 * size::PAD).min(CARD));
            ui.label(RichText::new(title).text_style(strong()));
            let field = TextEdit::singleline(&mut self.typed).id(id).desired_width(f32::INFINITY);
            let field = ui.add(field.hint_text("first letters of its words"));
            let field = field.accessible_name(title);
            if !field.has_focus() {
                field.request_focus();
                let mut state = egui::text_edit::TextEditState::load(ui.ctx(), id).unwrap_or_default();
                let end = egui::text::CCursor::new(self.typed.chars().count());
                state.cursor.set_char_range(Some(egui::text::CCursorRange::one(end)));
                state.store(ui.ctx(), id);
            }
            if field.changed() {
                (self.at, self.moved) = (0, true);
            }
            ui.add_space(size::GAP);
            let high = (room.y * 0.7 - 110.0).max(3.0 * size::ROW);
            ScrollArea::vertical().max_height(high).min_scrolled_height(high).auto_shrink([false, true]).show(
                ui,
                |ui| {
                    ui.spacing_mut().item_spacing.y = 0.0;
                    for (i, f) in list.iter().enumerate() {
                        let r = line(ui, f, i == self.at);
                        if i == self.at && std::mem::take(&mut self.moved) {
                            r.scroll_to_me(None);
                        }
                        if r.clicked() {
                            chosen = Some(i);
                        }
                    }
                },
            );
            let about = match list.get(self.at) {
                Some(f) => f.about.as_str(),
                None => "Nothing is called so. Fewer letters find more.",
            };
            ui.add_space(size::GAP);
            ui.label(RichText::new(about).color(theme.quiet));
        });
        if let Some(f) = chosen.and_then(|i| list.get(i)).filter(|f| f.can) {
            out.push(f.action.clone());
            return false;
        }
        !theme::left(&modal)
    }
}

/// What is typed in this frame and no field has taken, taken.
pub fn texts(ctx: &egui::Context) -> String {
    let mut heard = String::new();
    ctx.input_mut(|i| {
        i.events.retain(|e| match e {
            egui::Event::Text(t) => {
                heard.push_str(t);
                false
            }
            _ => true,
        });
    });
    heard
}

/// A line of the list.
fn line(ui: &mut Ui, f: &Found, chosen: bool) -> egui::Response {
    let theme = Theme::of(ui.ctx());
    let (area, response) = ui.allocate_exact_size(vec2(ui.available_width(), size::ROW), Sense::CLICK);
    let name = if f.beside.is_empty() { f.words.clone() } else { format!("{}, {}", f.words, f.beside) };
    response.widget_info(|| WidgetInfo::selected(Role::MenuItem, f.can, chosen, &name));
    if !ui.is_rect_visible(area) {
        return response;
    }
    let p = ui.painter();
    if chosen {
        p.rect_filled(area, 0.0, theme.picked);
    }
    let color = if f.can { theme.ink } else { theme.quiet };
    let beside = p.layout_no_wrap(f.beside.clone(), plain(size::SMALL), theme.quiet);
    let mut words = egui::text::LayoutJob::simple_singleline(
        f.words.clone(),
        if chosen { semibold(size::BODY) } else { plain(size::BODY) },
        color,
    );
    words.wrap = egui::text::TextWrapping::truncate_at_width(area.width() - beside.rect.width() - 3.0 * size::GAP);
    let words = p.layout_job(words);
    let y = |high: f32| area.center().y - high / 2.0;
    p.galley(pos2(area.left() + size::GAP, y(words.rect.height())), words, color);
    p.galley(pos2(area.right() - size::GAP - beside.rect.width(), y(beside.rect.height())), beside, theme.quiet);
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(words: &str) -> Found {
        let action = Action::Select(None);
        Found { words: words.into(), beside: String::new(), about: String::new(), action, can: true }
    }

    #[test]
    fn beginnings_of_words_in_any_order_fit() {
        let words = "Save under another name…";
        for typed in ["", "s", "save", "sa un", "un sa", "san", "sunan", "name", "SAVE  Name", "sana"] {
            assert!(fit(words, typed).is_some(), "{typed}");
        }
        for typed in ["ave", "sx", "nder", "save save2", "names", "ns"] {
            assert!(fit(words, typed).is_none(), "{typed}");
        }
    }

    #[test]
    fn the_nearest_comes_first() {
        let all = ["Save under another name", "Sand skim coat 1", "Save", "Hang crown", "Crown, sand"].map(found);
        let first = |typed: &str| fitting(&all, typed).first().map(|f| f.words.clone()).unwrap_or_default();
        assert_eq!(first("save"), "Save");
        assert_eq!(first("sun"), "Save under another name");
        assert_eq!(first("cr"), "Crown, sand");
        assert_eq!(first("hc"), "Hang crown");
        assert_eq!(first("ssc1"), "Sand skim coat 1");
        assert_eq!(fitting(&all, "").len(), all.len());
        assert!(fitting(&all, "zebra").is_empty());
    }

    #[test]
    fn long_words_and_odd_signs_end_soon() {
        let words = "a ".repeat(40);
        assert!(fit(&words, &"a".repeat(41)).is_none());
        assert!(fit("Müller's, ½ day", "mül").is_some() && fit("", "x").is_none() && fit("x", "…").is_some());
    }
}
