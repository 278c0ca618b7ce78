//! The questions about files: their words and what can be answered. No egui in here.

use std::path::{Path, PathBuf};

use super::opening::Broken;
use crate::jobfile;
use crate::store::{self, recovery::Recovered};
use crate::views;

/// What is to happen once the job at hand may be left.
#[derive(Clone, Debug)]
pub enum Then {
    Close,
    New,
    Open(PathBuf),
    /// A bundled job, by its place in the list.
    Sample(usize),
    /// A broken file as far as it reads.
    AsFar(Box<Broken>),
    /// An autosaved job, with the file it belongs to and that file's text.
    TakeUp(Box<Recovered>, Option<PathBuf>, String),
}

/// A question that must be answered before anything else.
#[derive(Clone, Debug)]
pub enum Question {
    /// Save, leave or stay; what would be lost, and what comes after.
    Leaving { job: String, lost: Vec<String>, then: Then },
    /// The file was changed by another hand; `saving` where a save found it out.
    Theirs { file: PathBuf, text: String, saving: bool, unsaved: bool },
    /// A state that was never saved; of this file with that text, or of a job without one.
    Unsaved { found: Box<Recovered>, file: Option<PathBuf>, base: String },
    /// The name typed is taken by another file.
    Taken { file: PathBuf },
}

/// A button pressed, a field entered.
#[derive(Clone, Debug, PartialEq)]
pub enum Press {
    Save,
    Leave,
    Stay,
    TakeTheirs,
    KeepMine,
    SaveBeside,
    TakeUp,
    Drop,
    Replace,
    OtherName,
    ReadAgain,
    OpenAnother,
    OpenAsFar,
    Back,
    /// The path field of the panel was entered.
    Entered,
    Recent(PathBuf),
    Forget(PathBuf),
    Sample(usize),
    Browse,
    ClosePanel,
    /// The bar was read.
    BarRead,
}

/// The name of a file, its folder left out.
pub fn name(file: &Path) -> String {
    file.file_name().map_or_else(|| file.display().to_string(), |n| n.to_string_lossy().into_owned())
}

/// Changes named in full before the rest is counted.
const NAMED: usize = 6;

impl Question {
    /// The question in a line.
    pub fn title(&self) -> String {
        match self {
            Question::Leaving { job, then: Then::Close, .. } => format!("Save {job} before the window closes?"),
            Question::Leaving { job, .. } => format!("Save {job} first?"),
            Question::Theirs { file, .. } => format!("{} was changed by another hand", name(file)),
            Question::Unsaved { file: Some(file), .. } => format!("{} has changes that were never saved", name(file)),
            Question::Unsaved { file: None, .. } => "A job was never saved".into(),
            Question::Taken { file } => format!("{} is there already", name(file)),
        }
    }

    /// What there is to know before answering, a line each.
    pub fn lines(&self) -> Vec<String> {
        match self {
            Question::Leaving { lost, .. } if lost.is_empty() => {
                vec!["It has never been saved as it stands now; leaving loses it.".into()]
            }
            Question::Leaving { lost, .. } => {
                let mut out = vec!["Leaving without saving loses:".to_string()];
                out.extend(lost.iter().take(NAMED).map(|lost| format!("•  {lost}")));
                if lost.len() > NAMED {
                    out.push(views::and_more(lost.len() - NAMED));
                }
                out
            }
            Question::Theirs { file, saving, unsaved, .. } => {
                let bak = name(&store::backup(file));
                vec![
                    format!("{} no longer holds what was read from it here.", file.display()),
                    match (saving, unsaved) {
                        (true, _) => "Your save has not been written yet.".into(),
                        (false, true) => "Your own changes are not saved yet.".into(),
                        (false, false) => "You have changed nothing since.".into(),
                    },
                    if *saving {
                        format!("Take theirs: yours stays one undo away. Keep mine: theirs stays in {bak}.")
                    } else {
                        format!(
                            "Take theirs: yours stays one undo away. Keep mine: your next save puts theirs into {bak}."
                        )
                    },
                ]
            }
            Question::Unsaved { found, file, .. } => {
                let when = found.at.map_or_else(String::new, |at| format!(" on {}", views::instant_words(at)));
                let mut out = Vec::new();
                if file.is_some() {
                    out.push(format!("The program ended with changes the file does not have; they were put by{when}."));
                    if !found.base_matches {
                        out.push(
                            "The file itself was changed since by another hand: saved, they stand in place of that."
                                .into(),
                        );
                    }
                    out.push("Taken up, they can be undone; nothing is written before you save.".into());
                } else {
                    let job = job_name(&found.text);
                    out.push(format!("The program ended with the job {job} not in any file; it was put by{when}."));
                    out.push("Taken up, it waits for a name to be saved under.".into());
                }
                out
            }
            Question::Taken { file } => vec![
                format!("{} would be replaced.", file.display()),
                "Its text stays beside it in the .bak file.".into(),
            ],
        }
    }

    /// The answers, the safest first, each with what it does.
    pub fn answers(&self) -> Vec<(Press, &'static str, &'static str)> {
        match self {
            Question::Leaving { .. } => vec![
                (Press::Save, "Save", "Write the job to its file, then go on"),
                (Press::Leave, "Leave without saving", "Go on; the changes are lost"),
                (Press::Stay, "Stay", "Go back to the job; nothing is lost"),
            ],
            Question::Theirs { .. } => vec![
                (Press::TakeTheirs, "Take theirs", "Read the file again; yours is one undo away"),
                (Press::KeepMine, "Keep mine", "Go on with yours; theirs stays in the .bak file when you save"),
                (
                    Press::SaveBeside,
                    "Save beside",
                    "Write yours to a file of its own beside this one and go on with it",
                ),
            ],
            Question::Unsaved { .. } => vec![
                (Press::TakeUp, "Take it up", "Go on where the program ended"),
                (Press::Drop, "Drop it", "Throw what was never saved away"),
            ],
            Question::Taken { .. } => vec![
                (Press::OtherName, "Another name", "Go back to the name; nothing is written"),
                (Press::Replace, "Replace it", "Write the job there; the text before stays as .bak"),
            ],
        }
    }

    /// What Escape answers; nothing where an answer must be given.
    pub fn escape(&self) -> Option<Press> {
        match self {
            Question::Leaving { .. } | Question::Theirs { .. } => Some(Press::Stay),
            Question::Taken { .. } => Some(Press::OtherName),
            Question::Unsaved { .. } => None,
        }
    }
}

/// The name of the job in a text, as far as it reads.
fn job_name(text: &str) -> String {
    let read = jobfile::read(text, crate::trade::tables());
    let name = read.map(|r| r.job.name).unwrap_or_default();
    if name.is_empty() { "without a name".into() } else { name }
}
