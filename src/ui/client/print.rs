//! *Print…*: the card that writes the client's page to a file, as `roomback print` does.

use std::path::{Path, PathBuf};

use egui::{Id, Key, Label, Modal, RichText, TextEdit, TextStyle, Ui};

use crate::export;
use crate::job::Units;
use crate::store;
use crate::ui::theme::{Theme, card, size, veil};
use crate::views::client::{ClientPage, client_sheets};
use crate::views::paper::Size;

/// Width of the card.
const WIDE: f32 = 560.0;

/// The card while it is open.
#[derive(Clone, Debug)]
pub struct Printing {
    /// The job's own file, which is never written over.
    job: Option<PathBuf>,
    path: String,
    paper: Size,
    /// What was wrong, or what was written.
    said: Option<Result<String, String>>,
    begun: bool,
}

impl Printing {
    /// For a job at this file, or one without; a folder for one without.
    pub fn new(job: Option<&Path>, home: Option<&Path>, units: Units) -> Printing {
        let stem = job.and_then(Path::file_stem).map_or_else(|| "job".into(), |s| s.to_string_lossy().into_owned());
        let folder = job.and_then(Path::parent).or(home).unwrap_or(Path::new(""));
        let ending = export::ENDINGS.first().copied().unwrap_or_default();
        Printing {
            path: folder.join(format!("{stem}-client.{ending}")).display().to_string(),
            job: job.map(Path::to_path_buf),
            paper: if units == Units::Metric { Size::A4 } else { Size::Letter },
            said: None,
            begun: false,
        }
    }

    /// Draws the card; whether it stays open.
    pub(super) fn show(&mut self, ui: &mut Ui, page: Option<&ClientPage>) -> bool {
        let theme = Theme::of(ui.ctx());
        let ctx = ui.ctx().clone();
        let (mut close, mut write) = (false, false);
        let modal = Modal::new(Id::unique("print")).backdrop_color(veil(&ctx)).frame(card(&ctx)).show(&ctx, |ui| {
            ui.set_width(WIDE);
            ui.label(RichText::new("Print the client's page").text_style(TextStyle::Heading));
            ui.add_space(size::GAP);
            ui.horizontal(|ui| {
                let label = ui.label("Write to");
                let edit = TextEdit::singleline(&mut self.path).desired_width(ui.available_width());
                let field = ui.add(edit).labelled_by(label.id).accessible_name("Write to");
                if !std::mem::replace(&mut self.begun, true) {
                    field.request_focus();
                }
                write |= field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
            });
            ui.horizontal(|ui| {
                ui.label("Paper");
                for (size, words) in [(Size::A4, "A4"), (Size::Letter, "US Letter"), (Size::Screen, "A shared screen")]
                {
                    if ui.selectable_label(self.paper == size, words).clicked() {
                        (self.paper, self.said) = (size, None);
                    }
                }
            });
            let known = export::ENDINGS.iter().map(|ending| format!(".{ending}")).collect::<Vec<_>>().join(", ");
            let note = format!("Kinds of file by the ending of the name: {known}");
            ui.add(Label::new(RichText::new(note).color(theme.quiet)).wrap());
            match (&self.said, page) {
                (Some(Ok(text)), _) => {
                    ui.add(Label::new(text).wrap());
                }
                (Some(Err(text)), _) => {
                    ui.add(Label::new(RichText::new(text).color(theme.error)).wrap());
                }
                (None, None) => {
                    ui.label(RichText::new("The page is not there yet.").color(theme.quiet));
                }
                (None, Some(_)) => {}
            }
            ui.add_space(size::PAD);
            ui.horizontal(|ui| {
                write |= ui.add_enabled(page.is_some(), egui::Button::new("Write the file")).clicked();
                close |= ui.button("Close").clicked();
            });
        });
        if let (true, Some(page)) = (write, page) {
            let title = format!("{} {}", page.lead, page.headline);
            let to = PathBuf::from(self.path.trim());
            let write = || {
                store::may_name(self.job.as_deref(), &to, export::ENDINGS)?;
                let files = export::papers(&client_sheets(page, self.paper), &title, &store::ending(&to))?;
                store::save_pages(self.job.as_deref(), &to, export::ENDINGS, &files)
            };
            let done = write();
            self.said = Some(done.map(|files| {
                let names: Vec<String> = files.iter().map(|f| f.display().to_string()).collect();
                format!("Written: {}", names.join(", "))
            }));
        }
        !(close || modal.should_close())
    }
}
