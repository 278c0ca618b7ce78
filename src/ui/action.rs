//! Everything the window can be told to do, in one list: menu text, tooltip, key, availability.

use std::path::PathBuf;

use egui::{Key, KeyboardShortcut, Modifiers};

use super::Scene;
use super::bench::{Spot, Zone};
use super::session::WhatIf;
use super::shelf::BookChange;
use crate::desk::write_up::Said;
use crate::job::Edit;
use crate::views;
use crate::views::papers::Paper;

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
    /// Selects a step by its id, opens its room and brings it into view.
    FindStep(String),
    /// Adds an entry of one's own, by its place among the ways to add one, and opens it.
    AddOwn(usize),
    /// A change of the user's book.
    Book(BookChange),
    /// Chooses a room by its place in the job.
    Room(usize),
    /// The same, and its line of the sheet takes the keyboard.
    FindRoom(usize),
    /// Unfolds a zone of the column and brings it into view; the field of this name takes the keyboard, else the heading.
    Zone(Zone, &'static str),
    /// Goes to a surface of a room, the room by its place: its part takes the keyboard, or the first recipe of the whole
    /// room.
    Surface(usize, Spot),
    /// The field of this name of the selected step takes the keyboard, its first one where the name is empty.
    StepField(&'static str),
    /// Writes days up.
    WriteUp(Said),
    /// Opens the card that prints this page.
    Print(Paper),
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
    Find,
    FindStep,
    ThreeThings,
    Measure,
    Order,
    PromiseDay,
    Withdraw,
    WhatIf,
    StartDays,
    Options,
    Price,
    Buying,
    WalkRound,
    Own,
    Quote,
    Site,
    Client,
    Print,
    WriteUp,
    AsPlanned,
    NothingDone,
    LostTime,
    WaysBack,
    WriteClient,
    WorkAgain,
    LateDelivery,
    AddChange,
    CloseJob,
}

/// Where a command stands in the menu; groups are parted by a rule, in this order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    File,
    Change,
    Find,
    Plan,
    Job,
    Site,
    Look,
}

impl Group {
    pub const ALL: [Group; 7] =
        [Group::File, Group::Change, Group::Find, Group::Plan, Group::Job, Group::Site, Group::Look];
}

const fn key(modifiers: Modifiers, key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(modifiers, key))
}

const SHIFTED: Modifiers = Modifiers { shift: true, ..Modifiers::COMMAND };

impl Command {
    pub const ALL: [Command; 47] = [
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
        Command::Find,
        Command::FindStep,
        Command::ThreeThings,
        Command::Measure,
        Command::Order,
        Command::PromiseDay,
        Command::Withdraw,
        Command::WhatIf,
        Command::StartDays,
        Command::Options,
        Command::Price,
        Command::Buying,
        Command::WalkRound,
        Command::Own,
        Command::Quote,
        Command::Site,
        Command::Client,
        Command::Print,
        Command::WriteUp,
        Command::AsPlanned,
        Command::NothingDone,
        Command::LostTime,
        Command::WaysBack,
        Command::WriteClient,
        Command::WorkAgain,
        Command::LateDelivery,
        Command::AddChange,
        Command::CloseJob,
    ];

    /// Its place in the menu.
    pub fn group(self) -> Group {
        match self {
            Command::New | Command::Open | Command::Save | Command::SaveAs | Command::Quit => Group::File,
            Command::Undo | Command::Redo => Group::Change,
            Command::Find | Command::FindStep | Command::ThreeThings => Group::Find,
            Command::Crew | Command::Places | Command::Calendar | Command::Measure | Command::Order => Group::Job,
            Command::WalkRound | Command::Own => Group::Job,
            Command::Quote | Command::Site | Command::Client | Command::Print | Command::WriteUp => Group::Site,
            Command::AsPlanned
            | Command::NothingDone
            | Command::LostTime
            | Command::WaysBack
            | Command::WriteClient => Group::Site,
            Command::WorkAgain | Command::LateDelivery | Command::AddChange | Command::CloseJob => Group::Site,
            Command::LightDark | Command::Larger | Command::Smaller | Command::PlainSize => Group::Look,
            _ => Group::Plan,
        }
    }

    /// Why it cannot be done, where it cannot be done.
    pub fn why_not(self) -> &'static str {
        match self {
            Command::Undo => "nothing has been changed yet",
            Command::Redo => "nothing was taken back",
            Command::CopyOdds => "the odds are still being worked out",
            Command::PlanInWords | Command::FindStep | Command::WhatIf => "there is no plan yet",
            Command::PromiseDay => "the odds are still being worked out, or there are none",
            Command::Withdraw => "nothing is promised, or the odds are still being worked out",
            Command::StartDays => "no day is asked for, or it is a published network",
            Command::Options => "a published network has no options",
            Command::Price | Command::Buying => "a published network has no price",
            Command::Site => "nobody works on a published network",
            Command::Client => "a published network has no client",
            Command::Print => "a published network has no client and no crew",
            Command::WriteUp | Command::AsPlanned | Command::NothingDone => "no day asks for it yet",
            Command::LostTime | Command::WaysBack | Command::WriteClient => "there is no plan yet",
            Command::AddChange => "there is no plan yet",
            Command::WorkAgain | Command::LateDelivery | Command::CloseJob => "no day is written up yet",
            _ => "not now",
        }
    }

    /// The same for the job at hand, where that says more.
    pub fn why_not_now(self, scene: &Scene) -> &'static str {
        let job = scene.job;
        let promises = matches!(self, Command::PromiseDay | Command::Withdraw);
        match self {
            Command::Withdraw if job.promised_day().is_none() => "nothing is promised",
            _ if promises && job.study.is_some() => "nobody is promised a published network",
            _ if promises && job.closed.is_some() => "the job is closed",
            _ if promises && scene.shown.is_some_and(|s| views::nothing_to_do(&s.sound)) => {
                "nothing is to be done yet; choose it under Surfaces and their recipes"
            }
            _ if promises && !scene.problems.is_empty() => "something stands against a plan, said below the strip",
            _ if promises => "the odds are still being worked out",
            Command::WriteUp | Command::CloseJob if job.closed.is_some() => "the job is closed",
            _ => self.why_not(),
        }
    }

    /// Menu text.
    pub fn text(self) -> &'static str {
        match self {
            Command::New => "New job…",
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
            Command::Find => "Find anything to do…",
            Command::FindStep => "Find a step…",
            Command::ThreeThings => "Three things to try",
            Command::Measure => "Measure",
            Command::Order => "Order of work",
            Command::PromiseDay => "Promise a day…",
            Command::Withdraw => "Withdraw the promise…",
            Command::WhatIf => "What if…",
            Command::StartDays => "When to begin",
            Command::Options => "Options side by side",
            Command::Price => "Price",
            Command::Buying => "Buying list",
            Command::WalkRound => "Walk-round",
            Command::Own => "Your own steps, deliveries, decisions, visits",
            Command::Quote => "Quote",
            Command::Site => "On site",
            Command::Client => "Client",
            Command::Print => "Print a page…",
            Command::WriteUp => "Write up a day…",
            Command::AsPlanned => "It went as planned",
            Command::NothingDone => "Nothing was done",
            Command::LostTime => "Time lost…",
            Command::WaysBack => "Ways back…",
            Command::WriteClient => "Write to the client…",
            Command::WorkAgain => "Something to redo…",
            Command::LateDelivery => "Late delivery…",
            Command::AddChange => "Add a change…",
            Command::CloseJob => "Close the job…",
        }
    }

    /// Tooltip.
    pub fn help(self) -> &'static str {
        match self {
            Command::New => {
                "Five questions, each of which can be left out, then a date; nothing is written until you save"
            }
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
            Command::Find => "Every command, step and room by the first letters of its words",
            Command::FindStep => "A step anywhere in the job, selected and brought into view",
            Command::ThreeThings => "Opens the study that comes with Roomback, with three things to try in it",
            Command::Measure => "The rooms as measured: a line a room, the drawing, surfaces and their recipes",
            Command::Order => "What is done when, what holds the date, crew, places and days",
            Command::PromiseDay => "Days with their odds; the one you promise is written into the job with its order",
            Command::Withdraw => "No day is promised any more; what was promised, and why not now, stays on record",
            Command::WhatIf => "A helper, an evening, heat, another method: what each would do to the date",
            Command::StartDays => "Which day to begin so that the client's day holds",
            Command::Options => "Two or three ways to do this job, with hours, dates and odds",
            Command::Price => "Every line of the price and why, the odds of losing money, payments, terms",
            Command::Buying => "What to order where and by when, and how each stick is cut",
            Command::WalkRound => "Nine questions about the house and its people, and what each answer changes",
            Command::Own => {
                "What no recipe holds: a step of your own, what is ordered, settled, or looked at by others"
            }
            Command::Quote => "Before the job: rooms, steps, the day that can be promised",
            Command::Site => "Every evening of the job: the new date, today's sheet, days written up, time lost",
            Command::Client => {
                "What the client sees, then the page alone: the day, the weeks, what is needed from them"
            }
            Command::Print => {
                "Client's page, section, day sheets, quote, change, buying list: seen as it will be, written as a file"
            }
            Command::WriteUp => "Hours, what is left, who and when, step by step, of the first day that asks for it",
            Command::AsPlanned => "Writes up every day that asks for it, as the evening before had it planned",
            Command::NothingDone => "Writes up the first day that asks for it: nobody worked on this job",
            Command::WaysBack => {
                "What could be done to get days back: what each costs, what it wins, what the client would notice"
            }
            Command::WriteClient => "The new date, why, and two priced choices, as text to copy",
            Command::LostTime => "Days or hours lost, past or to come: the new date before you keep it",
            Command::WorkAgain => {
                "A step that must be done again, all of it or a part: hours, days and odds before you keep it"
            }
            Command::LateDelivery => "What is now said to come on another day: the new date before you keep it",
            Command::AddChange => "Work added or left out: hours, dollars, days and odds before anybody says yes",
            Command::CloseJob => "The end: promised and come, hours against the estimate, rates for your book",
        }
    }

    /// Its key in words; nothing where it has none.
    pub fn key_words(self, ctx: &egui::Context) -> String {
        match self.shortcut() {
            Some(k) if k.logical_key == Key::Slash => "/".into(),
            Some(k) => ctx.format_shortcut(&k),
            None => String::new(),
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
            Command::Find => key(Modifiers::COMMAND, Key::K),
            Command::FindStep => key(Modifiers::NONE, Key::Slash),
            Command::Measure => key(Modifiers::COMMAND, Key::Num1),
            Command::Order => key(Modifiers::COMMAND, Key::Num2),
            Command::Site => key(Modifiers::COMMAND, Key::Num3),
            Command::Client => key(Modifiers::COMMAND, Key::Num4),
            Command::Print => key(Modifiers::COMMAND, Key::P),
            Command::WriteUp => key(Modifiers::COMMAND, Key::D),
            Command::AsPlanned => key(SHIFTED, Key::D),
            Command::LostTime => key(Modifiers::COMMAND, Key::L),
            Command::WaysBack => key(Modifiers::COMMAND, Key::B),
            _ => None,
        }
    }
}

/// Changes of one drawing name records by their place, all by the same lists: what takes a
/// record out, and so moves those after it, comes last.
pub fn last_taken_out(mut actions: Vec<Action>) -> Vec<Action> {
    actions.sort_by_key(|a| matches!(a, Action::Edit(edits) if edits.iter().any(Edit::takes_out)));
    actions
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, Person, edited};

    #[test]
    fn a_field_left_by_taking_another_record_out_changes_its_own() {
        let names = ["Ada", "Ben", "Cleo"];
        let crew = names.map(|n| Person { name: n.into(), ..Person::default() }).to_vec();
        let job = Job { crew, ..Job::default() };
        let slower = Person { pace: 0.5, ..job.crew[1].clone() };
        let out = vec![
            Action::Edit(vec![Edit::Person(0, None)]),
            Action::Edit(vec![Edit::Person(1, Some(slower.clone()))]),
            Action::Select(None),
        ];
        let done = last_taken_out(out).into_iter().fold(job.clone(), |job, a| match a {
            Action::Edit(edits) => edited(&job, &edits),
            _ => job,
        });
        assert_eq!(done.crew, [slower, job.crew[2].clone()]);
    }
}
