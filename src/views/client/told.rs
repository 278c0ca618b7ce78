//! A day of the client's page in words: for a terminal, and for who cannot see the drawing.

use super::{ClientWeek, Door, Ribbon, RoomDay};

/// What is said of a workday lost; why is nobody's business.
pub(super) const NO_WORK: &str = "no work today";

/// How the door stands on a day of a week, and what the day is in words; none where there is nothing to say.
pub(super) fn day_told(w: &ClientWeek, n: usize) -> Option<(&'static str, String)> {
    let d = &w.days[n];
    let here = |r: &&Ribbon| (r.from..=r.to).contains(&n);
    // A ribbon goes over days off without a word.
    let ribbons = w.ribbons.iter().filter(here).filter(|_| !d.off || d.theirs);
    let mut what: Vec<String> = ribbons.map(|r| r.names[0].clone()).collect();
    if d.theirs {
        what.push("yours again by evening".into());
    }
    if d.lost {
        what.push(NO_WORK.into());
    }
    let day = told(&what.join("; "), &d.troubles);
    let rooms = w.rooms.iter().filter_map(|r| room_told(&r.name, &r.days[n]));
    let all: Vec<String> = std::iter::once(day).filter(|t| !t.is_empty()).chain(rooms).collect();
    if all.is_empty() {
        return None;
    }
    let door = match d.door {
        Some(Door::Shut) => "shut",
        Some(Door::Open) => "open",
        None => "",
    };
    Some((if w.rooms.is_empty() { door } else { "" }, all.join("; ")))
}

/// `plaster and sanding: dusty, wet`.
fn told(what: &str, troubles: &[String]) -> String {
    let troubles = troubles.join(", ");
    [what, troubles.as_str()].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(": ")
}

/// `Den, door shut: plaster and sanding, panels (dusty)`; none where nothing is in the room.
fn room_told(name: &str, d: &RoomDay) -> Option<String> {
    let door = match d.door? {
        Door::Shut => ", door shut",
        Door::Open => "",
    };
    let what = d.phases.iter().map(|p| p[0].as_str()).collect::<Vec<_>>().join(", ");
    let like = d.troubles.join(", ");
    Some(match (what.is_empty(), like.is_empty()) {
        (false, false) => format!("{name}{door}: {what} ({like})"),
        (false, true) => format!("{name}{door}: {what}"),
        _ => format!("{name}{door}: {like}"),
    })
}

/// A day for who cannot see the drawing: `Tue 2 March: door shut, plaster and sanding: dusty`.
pub(super) fn day_line(w: &ClientWeek, n: usize) -> String {
    let day = super::mid_day(w.days[n].date);
    match day_told(w, n) {
        Some(("", told)) => format!("{day}: {told}"),
        Some((door, told)) => format!("{day}: door {door}, {told}"),
        None => format!("{day}: nothing"),
    }
}
