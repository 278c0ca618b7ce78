//! *Print a page…*: the card that shows a page of the job as it will be written, and writes it.
//!
//! What is shown is what is written: the worker makes the pages (as `roomback print` does), the card paints them and
//! hands the same pages to the writer of files. While the client may be watching only the page for all eyes is offered;
//! the others are one button away, which leaves the client's mode.

mod preview;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use egui::{Button, Id, Key, Label, Modal, RichText, ScrollArea, TextEdit, Ui, vec2};

use super::Scene;
use super::action::{Action, Command};
use super::bench::field::row;
use super::bench::near;
use super::bench::radio::Group;
use super::theme::{Theme, card, size, veil};
use crate::export;
use crate::job::Units;
use crate::store;
use crate::views::paper::Size;
use crate::views::papers::{Paper, PaperAsk, Printed, Refusal, change_choices, room_choices};
use crate::views::said::Near;

/// Widest and highest the card gets, and what it leaves free of the window round it.
const CARD: (f32, f32) = (1240.0, 860.0);
const AROUND: f32 = 64.0;
/// Width of what is asked, at the left.
const LEFT: f32 = 330.0;

/// Pages worked out, or why there are none.
pub type Made = Result<Arc<Printed>, Refusal>;

/// The card while it is open.
#[derive(Clone, Debug)]
pub struct Printing {
    /// The job's own file, which is never written over.
    job: Option<PathBuf>,
    /// Where files go that are not named by hand, and what their names begin with.
    folder: PathBuf,
    stem: String,
    ask: PaperAsk,
    /// The client may be watching: nothing of labor or money is offered.
    watched: bool,
    path: String,
    /// The name that was offered; one changed by hand stays.
    offered: String,
    /// What the worker was last asked for, and its answer.
    asked: Option<(u64, PaperAsk)>,
    made: Option<(u64, PaperAsk, Made)>,
    preview: preview::Preview,
    /// What was wrong, or what was written.
    said: Option<Result<String, String>>,
    begun: bool,
}

impl Printing {
    /// A page of a job at this file, or of one without; a folder for one without.
    pub fn new(paper: Paper, job: Option<&Path>, home: Option<&Path>, units: Units, watched: bool) -> Printing {
        let stem = job.and_then(Path::file_stem).map_or_else(|| "job".into(), |s| s.to_string_lossy().into_owned());
        let folder = job.and_then(Path::parent).or(home).unwrap_or(Path::new(""));
        let mut card = Printing {
            job: job.map(Path::to_path_buf),
            folder: folder.to_path_buf(),
            stem,
            ask: PaperAsk::new(paper, units),
            watched,
            path: String::new(),
            offered: String::new(),
            asked: None,
            made: None,
            preview: preview::Preview::default(),
            said: None,
            begun: false,
        };
        card.name();
        card
    }

    /// Names the file after the page, where it was not named by hand.
    fn name(&mut self) {
        let end = if self.path.is_empty() {
            export::ENDINGS.first().copied().unwrap_or_default().to_string()
        } else {
            store::ending(Path::new(self.path.trim()))
        };
        let word = self.ask.paper.word();
        let offered = self.folder.join(format!("{}-{word}.{end}", self.stem)).display().to_string();
        if self.path == self.offered {
            self.path.clone_from(&offered);
            self.offered = offered;
        }
    }

    /// What the worker is to make, once: after a change of what is asked for, or of the job.
    pub fn wants(&mut self, revision: u64) -> Option<PaperAsk> {
        let now = (revision, self.ask.clone());
        if self.asked.as_ref() == Some(&now) {
            return None;
        }
        self.asked = Some(now);
        Some(self.ask.clone())
    }

    /// Takes what the worker made.
    pub fn take(&mut self, revision: u64, ask: PaperAsk, made: Made) {
        self.made = Some((revision, ask, made));
    }

    /// The pages of what is asked for now; nothing while they are being made.
    fn now(&self, revision: u64) -> Option<&Made> {
        self.made.as_ref().filter(|m| m.0 == revision && m.1 == self.ask).map(|m| &m.2)
    }

    /// Something else is asked for.
    fn turn(&mut self, change: impl FnOnce(&mut PaperAsk)) {
        change(&mut self.ask);
        self.said = None;
        self.preview.first();
        self.name();
    }

    /// Draws the card; whether it stays open.
    pub fn show(&mut self, ui: &mut Ui, scene: &Scene, can: &dyn Fn(Command) -> bool, out: &mut Vec<Action>) -> bool {
        let ctx = ui.ctx().clone();
        let room = ctx.content_rect().size() - vec2(AROUND, AROUND);
        let whole = vec2(room.x.min(CARD.0), room.y.min(CARD.1));
        let left = LEFT.min(whole.x * 0.5);
        let made = self.now(scene.revision).cloned();
        let typing = ctx.text_edit_focused();
        let mut close = false;
        let modal = Modal::new(Id::unique("print")).backdrop_color(veil(&ctx)).frame(card(&ctx)).show(&ctx, |ui| {
            ui.set_min_size(whole);
            ui.set_max_size(whole);
            near::days_near(ui, Near { day: scene.job.start, units: scene.job.units });
            ui.horizontal_top(|ui| {
                ui.allocate_ui_with_layout(vec2(left, whole.y), egui::Layout::top_down(egui::Align::Min), |ui| {
                    ui.set_width(left);
                    ScrollArea::vertical().id_salt("what is printed").auto_shrink([false, false]).show(ui, |ui| {
                        ui.set_width(left - size::PAD);
                        close |= self.asking(ui, scene, made.as_ref(), out);
                    });
                });
                ui.separator();
                ui.vertical(|ui| {
                    let pages = made.as_ref().and_then(|m| m.as_ref().ok());
                    match &made {
                        Some(Err(why)) => close |= refused(ui, why, can, out),
                        _ => self.preview.show(ui, pages.map(|p| p.as_ref())),
                    }
                });
            });
        });
        // Escape in a field leaves the field first.
        !(close || modal.should_close() && !typing)
    }

    /// What is asked for, at the left; whether the card closes.
    fn asking(&mut self, ui: &mut Ui, scene: &Scene, made: Option<&Made>, out: &mut Vec<Action>) -> bool {
        let theme = Theme::of(ui.ctx());
        let quiet = |ui: &mut Ui, text: &str| {
            ui.add(Label::new(RichText::new(text).color(theme.quiet)).wrap());
        };
        let mut close = false;
        ui.heading("Print a page");
        ui.add_space(size::GAP);
        let offered: Vec<Paper> = Paper::ALL.into_iter().filter(|p| !self.watched || p.open_to_all()).collect();
        let on: Vec<bool> = offered.iter().map(|p| *p == self.ask.paper).collect();
        let mut chosen = None;
        let begun = std::mem::replace(&mut self.begun, true);
        Group::show(ui, "which page", &on, |ui, _| {
            for (p, on) in offered.iter().zip(&on) {
                let response = ui.radio(*on, p.name());
                if *on && !begun {
                    response.request_focus();
                }
                if response.clicked() {
                    chosen = Some(*p);
                }
            }
        });
        if let Some(paper) = chosen {
            let screen = self.ask.size == Size::Screen && paper != Paper::Client;
            let usual = PaperAsk::new(paper, scene.job.units);
            self.turn(|a| *a = PaperAsk { size: if screen { usual.size } else { a.size }, ..usual });
        }
        if self.watched {
            quiet(ui, "The other pages show labor and money, and the client may be watching.");
            if ui.button("Pages of your own").clicked() {
                // Asked for by name: that leaves the client's mode.
                out.push(Action::Print(Paper::Section));
                close = true;
            }
        } else {
            quiet(ui, self.ask.paper.about());
        }
        ui.add_space(size::GAP);
        self.of_page(ui, scene);
        self.on_paper(ui);
        ui.add_space(size::GAP);
        let label = ui.label("Write to");
        let edit = TextEdit::singleline(&mut self.path).desired_width(ui.available_width() - size::GAP);
        let field = ui.add(edit).labelled_by(label.id).accessible_name("Write to");
        let mut write = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        let ready = made.is_some_and(Result::is_ok);
        ui.add_space(size::GAP);
        ui.horizontal(|ui| {
            write |= ui.add_enabled(ready, Button::new("Write the file")).clicked();
            close |= ui.button("Close").clicked();
        });
        match &self.said {
            Some(Ok(text)) => {
                ui.add(Label::new(text).wrap());
            }
            Some(Err(text)) => {
                ui.add(Label::new(RichText::new(text).color(theme.error)).wrap());
            }
            None => {}
        }
        if let (true, Some(Ok(printed))) = (write, made) {
            self.said = Some(self.write(printed));
        }
        close
    }

    /// What a page asks besides: a room, days, which change.
    fn of_page(&mut self, ui: &mut Ui, scene: &Scene) {
        let of = self.ask.paper.name();
        let mut next = None;
        match self.ask.paper {
            Paper::Section if scene.job.rooms.len() > 1 => {
                let rooms = room_choices(scene.job).into_iter().map(|(i, name)| (Some(i), name));
                let all: Vec<(Option<usize>, String)> =
                    std::iter::once((None, "all rooms".to_string())).chain(rooms).collect();
                row(ui, of, "room", |f| next = f.choose("room", 180.0, &self.ask.room, &all));
                if let Some(room) = next {
                    self.turn(|a| a.room = room);
                }
            }
            Paper::Days => {
                let (mut from, mut through) = (None, None);
                row(ui, of, "from", |f| from = f.maybe_day("from", self.ask.from));
                row(ui, of, "through", |f| through = f.maybe_day("through", self.ask.through));
                if let Some(day) = from {
                    self.turn(|a| a.from = day);
                }
                if let Some(day) = through {
                    self.turn(|a| a.through = day);
                }
            }
            Paper::Change if scene.job.changes.len() > 1 => {
                let all = change_choices(scene.job);
                let now = self.ask.change.unwrap_or(scene.job.changes.len());
                row(ui, of, "which", |f| next = f.choose("which change", 200.0, &now, &all).map(Some));
                if let Some(n) = next {
                    self.turn(|a| a.change = n);
                }
            }
            _ => {}
        }
    }

    /// The paper, and the kind of file.
    fn on_paper(&mut self, ui: &mut Ui) {
        let sizes = [(Size::A4, "A4"), (Size::Letter, "US Letter"), (Size::Screen, "A shared screen")];
        let there = if self.ask.paper == Paper::Client { 3 } else { 2 };
        let on: Vec<bool> = sizes[..there].iter().map(|s| s.0 == self.ask.size).collect();
        let mut size = None;
        Group::show(ui, "paper", &on, |ui, _| {
            ui.horizontal_wrapped(|ui| {
                for ((s, words), on) in sizes[..there].iter().zip(&on) {
                    if ui.radio(*on, *words).clicked() {
                        size = Some(*s);
                    }
                }
            });
        });
        if let Some(s) = size {
            self.turn(|a| a.size = s);
        }
        let end = store::ending(Path::new(self.path.trim()));
        let on: Vec<bool> = export::ENDINGS.iter().map(|e| *e == end).collect();
        let mut kind = None;
        Group::show(ui, "kind of file", &on, |ui, _| {
            ui.horizontal_wrapped(|ui| {
                for (e, on) in export::ENDINGS.iter().zip(&on) {
                    if ui.radio(*on, e.to_uppercase()).clicked() {
                        kind = Some(*e);
                    }
                }
            });
        });
        if let Some(e) = kind {
            let own = self.path != self.offered;
            self.path = Path::new(self.path.trim()).with_extension(e).display().to_string();
            if !own {
                self.offered.clone_from(&self.path);
            }
            self.said = None;
        }
    }

    /// Writes what is shown.
    fn write(&self, printed: &Printed) -> Result<String, String> {
        let to = PathBuf::from(self.path.trim());
        store::may_name(self.job.as_deref(), &to, export::ENDINGS)?;
        let files = export::papers(&printed.pages, &printed.title, &store::ending(&to))?;
        let done = store::save_pages(self.job.as_deref(), &to, export::ENDINGS, &files)?;
        let names: Vec<String> = done.files.iter().map(|f| f.display().to_string()).collect();
        let mut words = format!("Written: {}", names.join(", "));
        let older = done.older_words();
        if !older.is_empty() {
            words.push_str(". ");
            words.push_str(&older);
        }
        Ok(words)
    }
}

/// Why there is no page, and the way to where it can be had; whether that was taken.
fn refused(ui: &mut Ui, why: &Refusal, can: &dyn Fn(Command) -> bool, out: &mut Vec<Action>) -> bool {
    ui.add_space(size::PAD);
    ui.add(Label::new(why.words()).wrap());
    let way = match why {
        Refusal::NoCost => Some((Command::Crew, "Go to the crew")),
        Refusal::NoChange | Refusal::Begun => Some((Command::AddChange, "Add a change")),
        Refusal::NotClosed => Some((Command::CloseJob, "Close the job")),
        Refusal::Network | Refusal::Said(_) => None,
    };
    let Some((command, words)) = way else { return false };
    ui.add_space(size::GAP);
    let went = ui.add_enabled(can(command), Button::new(words)).clicked();
    if went {
        out.push(Action::Do(command));
    }
    went
}
