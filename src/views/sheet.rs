//! Lines of the measure sheet: what one says, what it leaves open, and a job's rooms as lines.

use serde_json::{Value, json};

use crate::job::{Job, Units};
use crate::sheet::{Read, write};

/// The echo and the line in its plain form; or the line with what is asked underlined, and
/// the offers below each question.
pub fn line_text(line: &str, read: &Read, units: Units) -> String {
    if let Some(room) = &read.room {
        return format!("{}\n\n{}\n", read.echo, write(room, units));
    }
    // A character a column, so that the marks stand right.
    let shown = |text: &str| text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect::<String>();
    if read.questions.is_empty() {
        return "Nothing is said yet: a room's name, its length, width and height.\n".to_string();
    }
    let mut out = format!("{}\n", shown(line));
    for q in &read.questions {
        let before = line[..q.at.start].chars().count();
        let marked = line[q.at.clone()].chars().count().max(1);
        out += &format!("{}{}  {}\n", " ".repeat(before), "^".repeat(marked), q.ask);
        for offer in &q.offers {
            out += &format!("  {}\n", shown(offer));
        }
    }
    out
}

/// `{name, echo, line, questions: [{from, to, text, ask, offers}]}`; bytes of the line.
pub fn line_json(line: &str, read: &Read, units: Units) -> Value {
    let questions: Vec<Value> = read
        .questions
        .iter()
        .map(|q| {
            let text = &line[q.at.clone()];
            json!({"from": q.at.start, "to": q.at.end, "text": text, "ask": q.ask, "offers": q.offers})
        })
        .collect();
    let room = read.room.as_ref();
    json!({
        "name": room.map(|r| r.name.as_str()),
        "echo": room.map(|_| read.echo.as_str()),
        "line": room.map(|r| write(r, units)),
        "questions": questions,
    })
}

/// A job's rooms, a line each.
pub fn sheet_text(job: &Job, units: Units) -> String {
    job.rooms.iter().map(|r| write(r, units) + "\n").collect()
}

/// `{job, units, rooms: [{room, line}]}`.
pub fn sheet_json(job: &Job, units: Units) -> Value {
    let rooms: Vec<Value> = job.rooms.iter().map(|r| json!({"room": r.id, "line": write(r, units)})).collect();
    let units = match units {
        Units::FeetInches => "feet_inches",
        Units::Metric => "metric",
    };
    json!({"job": job.name, "units": units, "rooms": rooms, "problems": []})
}
