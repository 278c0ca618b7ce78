//! The command that writes papers: which page of the job, on which paper, as which file.
//!
//! Every page is drawn before the first file is written, and every name is looked at before that: a
//! paper that cannot be drawn, or would take the job's own place, leaves everything as it was.

use super::Output;
use super::args::PrintArgs;
use super::commands::{Done, open_sound, stuck};
use super::papers::{may_write, one_of, planned, shown, wrote};
use super::price::{no_network, priced};
use crate::buying::KERF;
use crate::desk::Sound;
use crate::job::{ChangeKind, Job};
use crate::search::Found;
use crate::views::change_order::order_place;
use crate::views::named;
use crate::views::paper::Size;
use crate::views::papers::{
    Paper, PaperAsk, Printed, Refusal, buying_print, change_print, client_print, closing_print, days_print,
    quote_print, section_print,
};
use crate::{export, store};

pub(super) fn print(a: &PrintArgs) -> Done {
    let paper = Paper::ALL[one_of("page", &a.page, &Paper::ALL.map(Paper::word))?];
    let size = a.paper.as_deref().map(|p| one_of("paper", p, &["a4", "letter", "screen"])).transpose()?;
    let size = size.map(|i| [Size::A4, Size::Letter, Size::Screen][i]);
    may_write(&a.job.job, &a.to, export::ENDINGS)?;
    let word = paper.word();
    if size == Some(Size::Screen) && paper != Paper::Client {
        return Err(Output::wrong(format!("--paper: {word} is for paper, a4 or letter")));
    }
    for (name, said, of, what) in [
        ("id", a.id.is_some(), Paper::Change, "names a change order"),
        ("note", a.note.is_some(), Paper::Change, "names a note on work done again"),
        ("room", a.room.is_some(), Paper::Section, "names a room of the section"),
        ("from", a.from.is_some(), Paper::Days, "is the first of the day sheets"),
        ("through", a.through.is_some(), Paper::Days, "is the last of the day sheets"),
    ] {
        if said && paper != of {
            return Err(Output::wrong(format!("--{name}: it {what}; --page {word} has none")));
        }
    }
    let made = made(a, paper, size)?;
    let files = export::papers(&made.pages, &made.title, &store::ending(&a.to)).map_err(Output::wrong)?;
    let done = store::save_pages(Some(&a.job.job), &a.to, export::ENDINGS, &files).map_err(Output::wrong)?;
    Ok(wrote(&a.job, &done))
}

fn made(a: &PrintArgs, paper: Paper, size: Option<Size>) -> Result<Printed, Output> {
    let asked = |job: &Job| -> Result<PaperAsk, Output> {
        let usual = PaperAsk::new(paper, job.units);
        let room = a.room.as_deref().map(|r| room(job, r)).transpose()?;
        let size = size.unwrap_or(usual.size);
        Ok(PaperAsk { size, room, from: a.from, through: a.through, ..usual })
    };
    let no = |r: Refusal| refusal(a, &r);
    match paper {
        Paper::Client => {
            let s = shown(&a.job)?;
            Ok(client_print(&s.page, &asked(&s.sound.job)?))
        }
        Paper::Section => {
            let s = shown(&a.job)?;
            section_print(&s.sound, &s.found, &s.forecast, &asked(&s.sound.job)?).map_err(no)
        }
        Paper::Days => {
            let (sound, found) = planned(&a.job)?;
            days_print(&sound, &found, &asked(&sound.job)?).map_err(no)
        }
        Paper::Quote => {
            let p = priced(&a.job)?;
            quote_print(&p.sound, &p.forecast, &p.price, store::today(), &asked(&p.sound.job)?).map_err(no)
        }
        Paper::Change => {
            let (_, sound) = open_sound(&a.job)?;
            let change = which(a, &sound.job)?;
            change_print(&sound, &PaperAsk { change, ..asked(&sound.job)? }).map_err(no)
        }
        Paper::Buying => {
            let (sound, found): (Sound, Found) = planned(&a.job)?;
            no_network(&sound)?;
            let list = sound.to_buy(&found, KERF).map_err(|e| stuck(&a.job, &sound, &e))?;
            Ok(buying_print(&sound, &list, &asked(&sound.job)?))
        }
        Paper::Closing => {
            let (_, sound) = open_sound(&a.job)?;
            closing_print(&sound.job, &asked(&sound.job)?).map_err(no)
        }
    }
}

/// The place of a room said by its id or name.
fn room(job: &Job, said: &str) -> Result<usize, Output> {
    let at = |of: &dyn Fn(&crate::job::Room) -> bool| job.rooms.iter().position(of);
    at(&|r| r.id == said).or_else(|| at(&|r| named(&r.name, &r.id) == said)).ok_or_else(|| {
        let ids: Vec<&str> = job.rooms.iter().map(|r| r.id.as_str()).collect();
        Output::wrong(format!("--room: no room is called \"{said}\"; there are {}", ids.join(", ")))
    })
}

/// The place on record of the change asked for: of the change orders, or of the notes on work done again.
fn which(a: &PrintArgs, job: &Job) -> Result<Option<usize>, Output> {
    let (number, again) = (a.id.or(a.note), a.note.is_some());
    if number.is_none() || job.changes.is_empty() {
        return Ok(None);
    }
    let there = order_place(job, again, number).map(Some);
    there.ok_or_else(|| {
        let n = job.changes.iter().filter(|c| (c.kind == ChangeKind::Redo) == again).count();
        let (name, what) = if again { ("--note", "note on work done again") } else { ("--id", "change order") };
        let all = match n {
            0 => "none".to_string(),
            1 => "one, number 1".to_string(),
            n => format!("{n}, from 1 on"),
        };
        Output::wrong(format!("{name}: there is no {what} {}; the job has {all}", number.unwrap_or(0)))
    })
}

/// Why there is no page, in the words of the text commands.
fn refusal(a: &PrintArgs, why: &Refusal) -> Output {
    let job = a.job.job.display();
    Output::wrong(match why {
        Refusal::Network => "nobody works on a published network; there are no days to print".into(),
        Refusal::NoCost => {
            "a quote without what an hour costs is not printed: give everybody of the crew a cost".to_string()
        }
        Refusal::Begun => why.words(),
        Refusal::NoChange => "this job has no change on record (roomback change makes one)".into(),
        Refusal::NotClosed => {
            format!("this job is not closed yet; close it first (roomback close {job}), then print what came of it")
        }
        Refusal::Said(why) => why.clone(),
    })
}
