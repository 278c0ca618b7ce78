//! The measure sheet: a room as it is said, in one line, and what the line leaves open.
//!
//! `study 13' x 11'6 x 8'4, door 32x80 wall 2, 2 windows 36x54` is a room's name, its length,
//! width and height, and what stands on its walls. A bare number is feet for rooms and inches
//! for openings, metres and centimetres in a metric job. What cannot be read in one way, or
//! gives a room hardly anybody builds, is asked about and never guessed.
//!
//! It knows measures only: [`lay`] puts them onto a room that has surfaces, recipes and ids.
//! The grammar by example is `docs/measure-sheet.md`.

mod apart;
mod attributes;
mod begin;
mod build;
mod draft;
mod faces;
mod items;
mod lay;
mod lex;
mod openings;
mod reader;
mod reshape;
mod shape;
mod vocabulary;
mod walls;
mod words;
mod write;

use std::ops::Range;

use crate::job::{Room, Size, Units};

pub use lay::{Doubt, doubts, keep_walls, label, lay, read_walls, strays, walls, walls_field, without_stale_letters};
pub use reshape::{lengthened, moved_out, writable, written_out};
pub use write::write;

/// The longest line that is read, bytes.
pub const LONGEST: usize = 2_000;

/// What a line says.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// The room; none while a question is open. Its id, place and surfaces are empty.
    pub room: Option<Room>,
    /// The room in words, in full; empty while a question is open.
    pub echo: String,
    /// Of each opening of the room whether the line says its wall.
    pub placed: Vec<bool>,
    pub questions: Vec<Question>,
}

/// What a line leaves open.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// Bytes of the line, on character boundaries.
    pub at: Range<usize>,
    pub ask: String,
    /// Whole lines that answer it.
    pub offers: Vec<String>,
}

/// Most offers with a question.
const OFFERS: usize = 5;
/// Most questions at once.
const QUESTIONS: usize = 8;

/// Reads a line; bare numbers are in the job's units. An empty line says nothing and asks nothing.
pub fn read(line: &str, units: Units) -> Read {
    let mut out = once(line, units);
    let open = out.questions.len();
    out.questions.truncate(QUESTIONS);
    for q in &mut out.questions {
        let mut kept: Vec<String> = Vec::new();
        for offer in std::mem::take(&mut q.offers) {
            let offer = tidy(&offer);
            // An offer must answer its question and raise none.
            let room = kept.len() < OFFERS || offer.ends_with(", as measured");
            if room && !kept.contains(&offer) && once(&offer, units).questions.len() < open {
                kept.push(offer);
            }
        }
        if kept.is_empty() {
            // What cannot be read, or the item it stands in, left out.
            let (from, to) = (q.at.start.min(line.len()), q.at.end.min(line.len()));
            let start = line[..from].rfind([',', ';']).unwrap_or(from);
            let end = line[to..].find([',', ';']).map_or(line.len(), |i| to + i);
            for (a, b) in [(from, to), (start, end)] {
                let offer = tidy(&format!("{}{}", &line[..a], &line[b..]));
                if kept.is_empty() && !offer.is_empty() && once(&offer, units).questions.len() < open {
                    kept.push(offer);
                }
            }
        }
        q.offers = kept;
    }
    out
}

/// Whether a line speaks of metres though nobody said so: a decimal comma, or `m`, `cm`, `mm`
/// behind a number, nothing in feet or inches, and a room if it is read so.
pub fn speaks_metric(line: &str) -> bool {
    if line.len() > LONGEST {
        return false;
    }
    match reader::Reader::new(line, Units::Metric).metric_marks() {
        None => false,
        Some(words) => {
            let metric = once(line, Units::Metric);
            let feet = || once(line, Units::FeetInches).questions.len();
            metric.room.is_some() || (words && metric.questions.len() <= feet())
        }
    }
}

/// An offer without the blanks and commas that what was taken out leaves behind.
fn tidy(offer: &str) -> String {
    let words: Vec<&str> = offer.split_whitespace().collect();
    let mut text = words.join(" ").replace(" ,", ",");
    while text.contains(",,") {
        text = text.replace(",,", ",");
    }
    text.trim_end_matches([',', ';', ' ']).to_string()
}

/// Length, width and height of a room that is a rectangle, with bays, alcoves and breasts or without.
pub fn rectangle(room: &Room) -> Option<Size> {
    room.size.or_else(|| shape::recognised(&room.walls).map(|f| f.0))
}

/// Reads a line; the offers may be no good yet.
fn once(line: &str, units: Units) -> Read {
    let mut out = Read { room: None, echo: String::new(), placed: Vec::new(), questions: Vec::new() };
    if line.len() > LONGEST {
        let end = (0..=LONGEST).rev().find(|&i| line.is_char_boundary(i)).unwrap_or(0);
        let ask = "This line is too long for one room. Where does the next room begin?".to_string();
        out.questions.push(Question { at: end..line.len(), ask, offers: Vec::new() });
        return out;
    }
    let mut r = reader::Reader::new(line, units);
    if r.toks.is_empty() {
        return out;
    }
    items::read(&mut r);
    let room = build::room(&mut r);
    out.questions = r.asks;
    out.questions.sort_by_key(|q| (q.at.start, q.at.end));
    if let (Some(built), true) = (room, out.questions.is_empty()) {
        out.echo = words::echo(&built, units);
        out.placed = built.placed;
        out.room = Some(built.room);
    }
    out
}
