//! The client's page as text, for a terminal or a message, and as JSON.

use serde_json::{Value, json};

use super::cautions::heed_lines;
use super::rooms::by_day;
use super::told::day_told;
use super::{ClientPage, ClientWeek, Door};
use crate::views::{iso_day, laid};

/// Column at which the second part of a line begins.
const AT: usize = 24;

/// The page to read.
pub fn client_text(page: &ClientPage) -> String {
    let mut out = String::new();
    if !page.client.is_empty() {
        out += &laid("", 0, &format!("For {}", page.client));
        out.push('\n');
    }
    out += &laid("", 0, &page.lead);
    out += &format!("  {}\n", page.headline);
    let early = (!page.early.is_empty()).then_some(&page.early);
    for line in early.into_iter().chain(&page.odds).chain(&page.conditions) {
        out += &laid("", 0, line);
    }
    if !page.weeks.is_empty() {
        out += "\nDay by day\n";
    }
    out += &page.gone.as_deref().map_or_else(String::new, |g| laid("  ", 2, g));
    page.weeks.iter().for_each(|w| out += &week(w));
    if !page.note.is_empty() {
        out += &laid("", 0, &page.note);
    }
    let pairs = |head: &str, list: Vec<(&str, &str)>| {
        let mut text = if list.is_empty() { String::new() } else { format!("\n{head}\n") };
        list.iter().for_each(|(when, what)| text += &laid(&format!("  {when}  "), AT, what));
        text
    };
    let rooms = by_day(&page.rooms);
    out += &pairs("Yours again, room by room", rooms.iter().map(|r| (r.0.as_str(), r.1.as_str())).collect());
    out += &pairs("What is needed from you", page.wants.iter().map(|w| (w.when.as_str(), w.what.as_str())).collect());
    out += &lines("What could still move the day", &page.moves);
    if !page.moves_note.is_empty() {
        out += &laid("  ", 2, &page.moves_note);
    }
    out += &pairs("When it is yours", page.uses.iter().map(|u| (u.when.as_str(), u.what.as_str())).collect());
    out += &lines("Please heed", &heed_lines(&page.heeds));
    out
}

fn lines(head: &str, list: &[String]) -> String {
    let mut out = if list.is_empty() { String::new() } else { format!("\n{head}\n") };
    for l in list {
        out += "  ";
        out += laid("", 4, l).trim_start();
    }
    out
}

/// A line a day from the first of the week with anything to the last.
fn week(w: &ClientWeek) -> String {
    let mut out = String::new();
    for (n, d) in w.days.iter().enumerate() {
        let Some((door, told)) = day_told(w, n) else { continue };
        out += &laid(&format!("  {:<16}{door:<4}  ", d.date.format("%a %-d %b").to_string()), AT, &told);
    }
    out
}

/// The page with the stable names of `docs/text-commands.md`.
pub fn client_json(page: &ClientPage) -> Value {
    let door = |d: &Option<Door>| match d {
        Some(Door::Open) => json!("open"),
        Some(Door::Shut) => json!("shut"),
        None => Value::Null,
    };
    let day = |d: &super::ClientDay| json!({"day": iso_day(d.date), "off": d.off, "door": door(&d.door), "troubles": d.troubles, "theirs": d.theirs, "lost": d.lost});
    let ribbon = |w: &ClientWeek, r: &super::Ribbon| {
        let at = |n: usize| w.days.get(n).map(|d| iso_day(d.date));
        json!({"words": r.names[0], "from": at(r.from), "to": at(r.to), "in_hand": r.in_hand})
    };
    let room = |w: &ClientWeek, r: &super::RoomWeek| {
        let one = |(n, d): (usize, &super::RoomDay)| {
            let phases: Vec<&str> = d.phases.iter().map(|p| p[0].as_str()).collect();
            json!({"day": iso_day(w.days[n].date), "door": door(&d.door), "troubles": d.troubles, "phases": phases})
        };
        json!({"room": r.name, "days": r.days.iter().enumerate().filter(|d| d.1.door.is_some()).map(one).collect::<Vec<_>>()})
    };
    let week = |w: &ClientWeek| {
        json!({
            "days": w.days.iter().map(day).collect::<Vec<_>>(),
            "ribbons": w.ribbons.iter().map(|r| ribbon(w, r)).collect::<Vec<_>>(),
            "rooms": w.rooms.iter().map(|r| room(w, r)).collect::<Vec<_>>(),
        })
    };
    let want = |w: &super::Want| json!({"day": iso_day(w.day), "when": w.when, "what": w.what});
    let rooms = |r: &super::RoomBack| json!({"room": r.room, "day": iso_day(r.day), "when": r.when});
    let uses = |u: &super::Use| json!({"when": u.when, "what": u.what});
    let heed = |h: &super::Heed| json!({"id": h.id, "text": h.what, "rule": h.body});
    json!({
        "client": page.client, "day": iso_day(page.day), "promised": page.promised,
        "broken": page.broken.map(iso_day), "done": page.done, "early_day": iso_day(page.early_day),
        "lead": page.lead, "headline": page.headline, "early": page.early, "conditions": page.conditions, "odds": page.odds,
        "gone": page.gone, "weeks": page.weeks.iter().map(week).collect::<Vec<_>>(),
        "needed": page.wants.iter().map(want).collect::<Vec<_>>(), "could_move": page.moves,
        "rooms": page.rooms.iter().map(rooms).collect::<Vec<_>>(),
        "yours": page.uses.iter().map(uses).collect::<Vec<_>>(), "cautions": page.heeds.iter().map(heed).collect::<Vec<_>>(),
        "note": page.note, "problems": [],
    })
}
