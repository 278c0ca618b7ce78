//! The panels of files as egui draws them. They decide nothing: what is pressed goes to
//! [`Files::press`] after drawing.

use egui::text::{CCursor, CCursorRange};
use egui::text_edit::TextEditState;
use egui::{
    Align, Button, CentralPanel, Context, Frame, Id, Key, Label, Layout, Panel as EguiPanel, RichText, ScrollArea,
    TextEdit, TextStyle, Ui, ViewportCommand,
};

use egui_extras::{Column, TableBuilder};

use super::question::{Press, name};
use super::{Files, For, Outcome, SAMPLES};
use crate::store;
use crate::ui::action::Command;
use crate::ui::cards;
use crate::ui::session::Session;
use crate::ui::theme::{Theme, figure, size, strong};

/// Width of the cards, points.
pub(super) const CARD: f32 = 560.0;
/// Height of the lists of jobs at most.
const LIST: f32 = 190.0;

impl Files {
    /// To be called once a pass and while the window is hidden: the request to close, the focus,
    /// the dialog, the autosave, the title.
    pub fn logic(&mut self, ctx: &Context, s: &mut Session) -> Outcome {
        if ctx.input(|i| i.viewport().close_requested()) && !self.may_close(s) {
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            // It may be minimized: the question wants to be seen.
            ctx.send_viewport_cmd(ViewportCommand::Focus);
        }
        if ctx.input(|i| i.events.iter().any(|e| matches!(e, egui::Event::WindowFocused(true)))) {
            self.focused(s);
        }
        let (came, wait) = self.tick(store::seconds(), s);
        if let Some(seconds) = wait {
            ctx.request_repaint_after(std::time::Duration::from_secs_f64(seconds));
        }
        let title = Files::heading(s);
        if title != self.title {
            ctx.send_viewport_cmd(ViewportCommand::Title(title.clone()));
            self.title = title;
        }
        self.done(ctx, came)
    }

    /// Tells egui where the window is to close.
    pub fn done(&self, ctx: &Context, out: Outcome) -> Outcome {
        if out == Outcome::Close {
            ctx.send_viewport_cmd(ViewportCommand::Close);
        }
        out
    }

    /// The line at the foot, where something is said; before the other panels. Nothing above it moves.
    pub fn bars(&mut self, ui: &mut Ui) {
        let Some(bar) = &self.bar else { return };
        let theme = Theme::of(ui.ctx());
        let colour = if bar.failed { theme.error } else { theme.ink };
        let frame = Frame::NONE.fill(theme.panel).inner_margin(egui::Margin::symmetric(12, 4));
        let mut read = false;
        EguiPanel::bottom("files-bar").frame(frame).show(ui, |ui| {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                read = ui.button("Close this line").on_hover_text("It has been read").clicked();
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    ui.add(Label::new(RichText::new(&bar.text).color(colour)).wrap());
                });
            });
        });
        if read {
            self.bar = None;
        }
    }

    /// The page of a broken file, in place of everything else. Whether it was drawn.
    pub fn page(&mut self, ui: &mut Ui, s: &mut Session) -> (bool, Outcome) {
        let Some(page) = self.broken() else { return (false, Outcome::Nothing) };
        let theme = Theme::of(ui.ctx());
        // The job behind the page is not to be changed unseen, but another may be opened or begun.
        let asked = self.panel.is_some() || self.question().is_some();
        let pressed = |c: &Command| c.shortcut().is_some_and(|key| ui.input_mut(|i| i.consume_shortcut(&key)));
        let key = [Command::Open, Command::New].into_iter().find(|c| !asked && pressed(c));
        let mut press = None;
        CentralPanel::default().frame(Frame::NONE.fill(theme.paper).inner_margin(size::ZONE)).show(ui, |ui| {
            ui.label(RichText::new(name(&page.file)).text_style(figure()));
            ui.label(RichText::new(page.file.display().to_string()).color(theme.quiet));
            ui.label(&page.count);
            ui.add_space(size::GAP);
            ui.horizontal_wrapped(|ui| {
                let mut answer = |ui: &mut Ui, p: Press, text: &str, help: &str| {
                    if ui.button(text).on_hover_text(help).clicked() {
                        press = Some(p);
                    }
                };
                answer(ui, Press::ReadAgain, "Read it again", "After mending the file in an editor");
                answer(ui, Press::OpenAnother, "Open another", "By name, or from the jobs you had open");
                if page.job.is_some() {
                    let help = "An unsaved copy without a file; what could not be read has its usual value";
                    answer(ui, Press::OpenAsFar, "Open as far as it reads", help);
                }
                let back = format!("Back to {}", job_words(s));
                answer(ui, Press::Back, &back, "Leave this file as it is");
            });
            ui.separator();
            ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                for row in &page.rows {
                    ui.label(RichText::new(format!("{}  {}", row.place, row.what)).text_style(strong()));
                    if !row.line.is_empty() {
                        ui.label(RichText::new(&row.line).color(theme.quiet));
                    }
                    if !row.remedy.is_empty() {
                        ui.label(&row.remedy);
                    }
                    ui.add_space(size::GAP);
                }
            });
        });
        let out = match (press, key) {
            (Some(p), _) => self.press(p, s, store::seconds()),
            (None, Some(command)) => self.command(command, s),
            (None, None) => Outcome::Nothing,
        };
        (true, self.done(ui.ctx(), out))
    }

    /// The panel and the question in front; after everything else.
    pub fn cards(&mut self, ctx: &Context, s: &mut Session) -> Outcome {
        let mut press = None;
        // One card at a time; the panel is still there when the question is answered.
        if self.panel.is_some() && self.question().is_none() && self.begin.is_none() {
            press = self.panel_card(ctx);
        }
        if let Some(p) = self.question_card(ctx) {
            press = Some(p);
        }
        let out = match press {
            None => Outcome::Nothing,
            Some(Press::Browse) => {
                self.browse_dialog(ctx);
                Outcome::Nothing
            }
            Some(p) => {
                ctx.request_repaint();
                self.press(p, s, store::seconds())
            }
        };
        self.done(ctx, out)
    }

    fn question_card(&self, ctx: &Context) -> Option<Press> {
        let question = self.question()?;
        let mut press = None;
        let shown = cards::show(ctx, "files-question", CARD, |ui| {
            ui.label(RichText::new(question.title()).text_style(TextStyle::Heading));
            ui.add_space(size::GAP);
            cards::middle(ui, |ui| {
                for line in question.lines() {
                    ui.label(line);
                }
            });
            ui.add_space(size::PAD);
            ui.horizontal_wrapped(|ui| {
                for (n, (answer, text, help)) in question.answers().into_iter().enumerate() {
                    let button = ui.button(text).on_hover_text(help);
                    // The safest answer has the keyboard until another is chosen.
                    if n == 0 && ui.memory(|m| m.focused().is_none()) {
                        button.request_focus();
                    }
                    if button.clicked() {
                        press = Some(answer);
                    }
                }
            });
        });
        // A click beside it answers nothing; Escape answers what loses nothing.
        if press.is_none() && shown.is_top_modal && ctx.input(|i| i.key_pressed(Key::Escape)) {
            press = question.escape();
        }
        press
    }

    fn panel_card(&mut self, ctx: &Context) -> Option<Press> {
        let theme = Theme::of(ctx);
        let recents = self.settings.recents();
        let (browsing, asked) = (self.browse.is_some(), self.question().is_some());
        let panel = self.panel.as_mut()?;
        let opens = panel.kind == For::Open;
        let mut press = None;
        let shown = cards::show(ctx, "files-panel", CARD, |ui| {
            ui.label(RichText::new(if opens { "Open a job" } else { "Save the job" }).text_style(TextStyle::Heading));
            ui.add_space(size::GAP);
            ui.horizontal(|ui| {
                let label = ui.label("Path");
                let verb = if opens { "Open" } else { "Save" };
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    let browse = ui.add_enabled(!browsing, Button::new("Browse…"));
                    if browse.on_hover_text("The file dialog of this machine, where it has one").clicked() {
                        press = Some(Press::Browse);
                    }
                    if ui.button(verb).clicked() {
                        press = Some(Press::Entered);
                    }
                    let field = TextEdit::singleline(&mut panel.path).desired_width(ui.available_width());
                    let field = ui.add(field).labelled_by(label.id);
                    if field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter)) {
                        press = Some(Press::Entered);
                        field.request_focus();
                    } else if !asked && ui.memory(|m| m.focused().is_none()) {
                        field.request_focus();
                        if std::mem::take(&mut panel.mark) {
                            mark_name(ui, field.id, &panel.path);
                        }
                    }
                });
            });
            let said = if browsing { "The file dialog is open." } else { panel.said.as_str() };
            ui.label(RichText::new(said).color(if browsing { theme.quiet } else { theme.error }));
            if opens {
                ui.add_space(size::GAP);
                cards::middle(ui, |ui| {
                    ui.label(RichText::new("Jobs you had open").text_style(strong()));
                    if recents.is_empty() {
                        ui.label(RichText::new("None yet.").color(theme.quiet));
                    }
                    if let Some(p) = recents_table(ui, &recents, theme) {
                        press = Some(p);
                    }
                    ui.add_space(size::GAP);
                    ui.label(RichText::new("Jobs that come with Roomback").text_style(strong()));
                    for (n, (short, what, _)) in SAMPLES.iter().enumerate() {
                        let row = ui.add(Button::new(format!("{short}: {what}")).frame(false).wrap());
                        if row.on_hover_text("A copy without a file; nothing is written until you save").clicked() {
                            press = Some(Press::Sample(n));
                        }
                    }
                });
            }
            ui.add_space(size::PAD);
            if ui.button("Cancel").clicked() {
                press = Some(Press::ClosePanel);
            }
        });
        if press.is_none() && !asked && shown.is_top_modal && ctx.input(|i| i.key_pressed(Key::Escape)) {
            press = Some(Press::ClosePanel);
        }
        press
    }

    /// Opens the dialog of the machine on a thread; the window is woken when it is done.
    fn browse_dialog(&mut self, ctx: &Context) {
        let Some(panel) = &self.panel else { return };
        let kind = panel.kind;
        let typed = store::typed(&panel.path, self.folders.home.as_deref());
        let last = self.settings.recent.first().cloned();
        let at = typed.or(last);
        let wake = ctx.clone();
        let dialog = move || {
            let mut dialog = rfd::FileDialog::new().add_filter("Roomback job", &["ron"]);
            if let Some(folder) = at.as_deref().and_then(std::path::Path::parent) {
                dialog = dialog.set_directory(folder);
            }
            match kind {
                For::Open => dialog.set_title("Open a job").pick_file(),
                For::Save => {
                    let name = at.as_deref().map_or_else(|| "job.ron".into(), name);
                    dialog.set_title("Save the job").set_file_name(name).save_file()
                }
            }
        };
        self.browse_for(store::seconds(), dialog, move || wake.request_repaint());
        ctx.request_repaint();
    }
}

/// Marks the name in a path: what is typed takes its place, folder and ending stay.
fn mark_name(ui: &Ui, field: Id, path: &str) {
    let from = path.rfind(['/', '\\']).map_or(0, |i| i + 1);
    let to = path[from..].rfind('.').map_or(path.len(), |i| from + i);
    let at = |byte: usize| CCursor::new(path[..byte].chars().count());
    let mut state = TextEditState::load(ui.ctx(), field).unwrap_or_default();
    state.cursor.set_char_range(Some(CCursorRange::two(at(from), at(to))));
    state.store(ui.ctx(), field);
}

/// The jobs had open before: names, and the folders they are in.
fn recents_table(ui: &mut Ui, recents: &[store::settings::Recent], theme: &Theme) -> Option<Press> {
    let mut press = None;
    let table = TableBuilder::new(ui)
        .id_salt("recents")
        .max_scroll_height(LIST)
        .min_scrolled_height(0.0)
        .auto_shrink([false, true])
        .cell_layout(Layout::left_to_right(Align::Center))
        .column(Column::auto().at_least(140.0))
        .column(Column::remainder().clip(true));
    table.body(|body| {
        body.rows(size::ROW + size::LINE, recents.len(), |mut row| {
            let r = &recents[row.index()];
            let (file, folder) = (name(&r.path), r.path.parent().map(|p| p.display().to_string()).unwrap_or_default());
            row.col(|ui| {
                let open = ui.add_enabled(r.there, Button::new(file.as_str()).frame(false));
                if open.on_hover_text(r.path.display().to_string()).clicked() {
                    press = Some(Press::Recent(r.path.clone()));
                }
            });
            row.col(|ui| {
                if !r.there {
                    ui.label(RichText::new("not there now").color(theme.caution));
                    let off = ui.button("Take off the list").on_hover_text("The file itself is not touched");
                    if off.accessible_name(format!("Take {file} off the list")).clicked() {
                        press = Some(Press::Forget(r.path.clone()));
                    }
                }
                ui.add(Label::new(RichText::new(folder).color(theme.quiet)).truncate());
            });
        });
    });
    press
}

/// The job at hand in a word or two.
fn job_words(s: &Session) -> String {
    match &s.file {
        Some(file) => name(file),
        None if s.job().name.is_empty() => "the job at hand".into(),
        None => s.job().name.clone(),
    }
}
