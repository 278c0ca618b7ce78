//! Everything the window can be told to do, in one list: menu text, tooltip, key, availability.

use std::path::PathBuf;

use egui::{Key, KeyboardShortcut, Modifiers};

use super::session::WhatIf;
use super::shelf::BookChange;
use crate::job::Edit;

/// What a panel asks for while it is drawn; done after drawing.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Changes to the job, one undo entry.
    Edit(Vec<Edit>),
    Ask(WhatIf),
    DropQuestion,
    KeepQuestion,
    /// Selects a step by its id, or nothing.
    Select(Option<String>),
    /// Opens this job file.
    OpenPath(PathBuf),
    Do(Command),
    /// A change of the user's book.
    Book(BookChange),
    /// Chooses a room by its place in the job.
    Room(usize),
}

/// An action of the menu.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Command {
    New,
    Open,
    Save,
    SaveAs,
    Quit,
    Undo,
    Redo,
    CopyOdds,
    PlanInWords,
    FitTime,
    PlainTime,
    WholeChalk,
    Crew,
    Places,
    Calendar,
    LightDark,
    Larger,
    Smaller,
    PlainSize,
    Measure,
    Order,
    PromiseDay,
    WhatIf,
    StartDays,
    Options,
}

const fn key(modifiers: Modifiers, key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(modifiers, key))
}

const SHIFTED: Modifiers = Modifiers { shift: true, ..Modifiers::COMMAND };

impl Command {
    pub const ALL: [Command; 25] = [
        Command::New,
        Command::Open,
        Command::Save,
        Command::SaveAs,
        Command::Quit,
        Command::Undo,
        Command::Redo,
        Command::CopyOdds,
        Command::PlanInWords,
        Command::FitTime,
        Command::PlainTime,
        Command::WholeChalk,
        Command::Crew,
        Command::Places,
        Command::Calendar,
        Command::LightDark,
        Command::Larger,
        Command::Smaller,
        Command::PlainSize,
        Command::Measure,
        Command::Order,
        Command::PromiseDay,
        Command::WhatIf,
        Command::StartDays,
        Command::Options,
    ];

    /// Menu text.
    pub fn text(self) -> &'static str {
        match self {
            Command::New => "New job",
            Command::Open => "Open a job…",
            Command::Save => "Save",
            Command::SaveAs => "Save under another name…",
            Command::Quit => "Leave Roomback",
            Command::Undo => "Undo",
            Command::Redo => "Redo",
            Command::CopyOdds => "Copy the odds as text",
            Command::PlanInWords => "The plan in words",
            Command::FitTime => "Whole job in view",
            Command::PlainTime => "Hours of equal width",
            Command::WholeChalk => "Chalk line through every step",
            Command::Crew => "Crew",
            Command::Places => "Places and their air",
            Command::Calendar => "Working week and days off",
            Command::LightDark => "Light or dark paper",
            Command::Larger => "Larger text",
            Command::Smaller => "Smaller text",
            Command::PlainSize => "Text at its usual size",
            Command::Measure => "Measure",
            Command::Order => "Order of work",
            Command::PromiseDay => "Promise a day…",
            Command::WhatIf => "What if…",
            Command::StartDays => "When to begin",
            Command::Options => "Options side by side",
        }
    }

    /// Tooltip.
    pub fn help(self) -> &'static str {
        match self {
            Command::New => "A small bedroom to begin with; nothing is written until you save",
            Command::Open => "A job file from this machine, by name or from the jobs you had open",
            Command::Save => "Write the job to its file; the text before stays beside it",
            Command::SaveAs => "Write the job to a file of another name",
            Command::Quit => "Close the window; unsaved changes are asked about",
            Command::Undo => "Take the last change back",
            Command::Redo => "Make the change again that was taken back",
            Command::CopyOdds => "The same text as roomback forecast prints, to the clipboard",
            Command::PlanInWords => "Every step with its day and hour, and what holds the date, as text",
            Command::FitTime => "From the first day to the last in one view",
            Command::PlainTime => "Nights and days off as wide as working hours",
            Command::WholeChalk => "Mark what holds the date through all blocks, not only beside the selected one",
            Command::Crew => "Who works, what an hour costs, who is a helper",
            Command::Places => "Room, shop and booth: heat, damp, racks, the drive",
            Command::Calendar => "Hours of the day, days of the week, holidays, days the house is closed",
            Command::LightDark => "Changes between light and dark paper",
            Command::Larger => "Everything a step larger",
            Command::Smaller => "Everything a step smaller",
            Command::PlainSize => "Back to the usual size",
            Command::Measure => "The rooms as measured: a line a room, the drawing, surfaces and their recipes",
            Command::Order => "What is done when, what holds the date, crew, places and days",
            Command::PromiseDay => "Days with their odds; the one you promise is written into the job with its order",
            Command::WhatIf => "A helper, an evening, heat, another method: what each would do to the date",
            Command::StartDays => "Which day to begin so that the client's day holds",
            Command::Options => "Two or three ways to do this job, with hours, dates and odds",
        }
    }

    /// Its key, with Ctrl (Cmd on a Mac) where it has one.
    pub fn shortcut(self) -> Option<KeyboardShortcut> {
        match self {
            Command::New => key(Modifiers::COMMAND, Key::N),
            Command::Open => key(Modifiers::COMMAND, Key::O),
            Command::Save => key(Modifiers::COMMAND, Key::S),
            Command::SaveAs => key(SHIFTED, Key::S),
            Command::Quit => key(Modifiers::COMMAND, Key::Q),
            Command::Undo => key(Modifiers::COMMAND, Key::Z),
            Command::Redo => key(SHIFTED, Key::Z),
            Command::CopyOdds => key(SHIFTED, Key::C),
            Command::FitTime => key(Modifiers::NONE, Key::F),
            Command::PlainTime => key(Modifiers::NONE, Key::T),
            Command::WholeChalk => key(Modifiers::NONE, Key::K),
            Command::Larger => key(Modifiers::COMMAND, Key::Plus),
            Command::Smaller => key(Modifiers::COMMAND, Key::Minus),
            Command::PlainSize => key(Modifiers::COMMAND, Key::Num0),
            Command::Measure => key(Modifiers::COMMAND, Key::Num1),
            Command::Order => key(Modifiers::COMMAND, Key::Num2),
            _ => None,
        }
    }
}
