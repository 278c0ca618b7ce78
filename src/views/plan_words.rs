//! The plan in words: everything the section draws, as headed groups of rows, by day or by
//! room. A full equivalent of the chart for who cannot or would not read one.
//!
//! By day a row is what is done, ordered, there or settled on that day; by room a row is a
//! step from its begin to its end. Both name hours, people, place, when a coat is ready, and
//! whether it holds the date or can wait.

use std::collections::BTreeMap;

use super::days::portions;
use super::section::{Block, Model, Site};
use super::{Almanac, Figure, PlanView};
use crate::clock::At;
use crate::desk::Sound;
use crate::measure::LaborHours;
use crate::search::Found;

/// How the rows are grouped.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Grouped {
    #[default]
    ByDay,
    ByRoom,
}

/// What stands in a row: when, labor, who, where, what, and what is to be said of it.
pub const COLUMNS: [&str; 6] = ["when", "hours", "who", "where", "what", "then"];

/// A row.
#[derive(Clone, Debug, PartialEq)]
pub struct WordRow {
    /// Id of the step it speaks of.
    pub id: String,
    pub cells: [String; 6],
}

/// Rows under a heading.
#[derive(Clone, Debug, PartialEq)]
pub struct WordGroup {
    pub head: String,
    /// Beside the heading: hours of the day, the chance of its close; the day a room is done.
    pub note: String,
    pub rows: Vec<WordRow>,
}

/// All of it.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanWords {
    /// Clean run, days in hand, the client's day, the safe day.
    pub head: Vec<(&'static str, Figure)>,
    pub groups: Vec<WordGroup>,
}

fn place(sound: &Sound, b: &Block) -> String {
    let place = sound.graph.steps[b.step].place.and_then(|p| sound.job.places.get(p));
    place.map_or_else(String::new, |p| p.name.clone())
}

/// What is said behind a step: ready when, holds the date or can wait, why then.
fn then(b: &Block) -> String {
    let mut out: Vec<String> = Vec::new();
    out.extend(b.wedge.as_ref().map(|w| w.words.clone()));
    let wait =
        |s: &&String| s.starts_with("Can wait") || s.starts_with("Cannot wait") || s.starts_with("Nothing waits");
    out.extend(b.says.iter().find(wait).map(|s| lower(s)));
    if !b.why.is_empty() {
        out.push(lower(&b.why));
    }
    if b.held_back {
        out.push("kept waiting by you".into());
    }
    out.join("; ")
}

/// First letter small.
fn lower(text: &str) -> String {
    let mut c = text.chars();
    c.next().map(|f| f.to_lowercase().chain(c).collect()).unwrap_or_default()
}

/// What holds the date, a row a piece of the ribbon.
fn holds(sound: &Sound, m: &Model) -> WordGroup {
    let a = Almanac(&sound.job);
    let row = |p: &super::section::Piece| {
        let step = p.steps.first().copied().unwrap_or(0);
        // A supplier's day has no hour.
        let from = if p.kind == super::section::Kind::Coming { a.short_day(p.from.day()) } else { a.short(p.from) };
        let cells = [
            from,
            String::new(),
            String::new(),
            String::new(),
            p.word.clone(),
            format!("{}, until {}", p.sentence, a.short(p.to)),
        ];
        WordRow { id: sound.graph.steps[step].id.clone(), cells }
    };
    let note = format!("until {}", a.short(m.clean_run.at));
    WordGroup { head: "What holds the date".into(), note, rows: m.pieces.iter().map(row).collect() }
}

fn by_day(sound: &Sound, found: &Found, m: &Model) -> Vec<WordGroup> {
    let a = Almanac(&sound.job);
    let work = portions(&sound.net(found), &found.plan);
    let mut days: BTreeMap<i64, Vec<(At, WordRow)>> = BTreeMap::new();
    let mut labor: BTreeMap<i64, i64> = BTreeMap::new();
    for (day, list) in &work {
        for p in list {
            let Some(b) = m.block_of(p.step).map(|b| &m.blocks[b]) else { continue };
            let minutes = (p.minutes - p.trip) * p.people.len() as i64;
            *labor.entry(*day).or_default() += minutes;
            let who: Vec<&str> =
                p.people.iter().filter_map(|&w| sound.job.crew.get(w)).map(|c| c.name.as_str()).collect();
            let mut said: Vec<String> = Vec::new();
            if p.trip > 0 {
                said.push(format!("{} min on the road first", p.trip));
            }
            if p.overtime > 0 {
                said.push(format!("{} min after hours", p.overtime));
            }
            said.push(if p.goes_on { "goes on".into() } else { then(b) });
            let cells = [
                format!("{} to {}", a.time(p.begin), a.time(p.end)),
                super::holds::hours(minutes),
                who.join(", "),
                place(sound, b),
                b.name.clone(),
                said.join("; "),
            ];
            days.entry(*day).or_default().push((p.begin, WordRow { id: b.id.clone(), cells }));
        }
    }
    for b in m.blocks.iter().filter(|b| !b.hands) {
        let ends = [(b.begin, "begins"), (b.end, "there, done or settled")];
        let ends = if b.begin == b.end { &ends[1..] } else { &ends[..] };
        for &(at, word) in ends {
            let cells = [
                a.time(at),
                String::new(),
                String::new(),
                place(sound, b),
                b.name.clone(),
                format!("{word}: {}", lower(&b.dates)),
            ];
            let day = if at == b.end { crate::forecast::last_day(at) } else { at.day() };
            days.entry(day).or_default().push((at, WordRow { id: b.id.clone(), cells }));
        }
    }
    let group = |(day, mut rows): (i64, Vec<(At, WordRow)>)| {
        rows.sort_by(|x, y| x.0.cmp(&y.0).then_with(|| x.1.id.cmp(&y.1.id)));
        let mut note: Vec<String> = Vec::new();
        note.extend(labor.get(&day).map(|m| LaborHours(*m).to_string()));
        note.extend(m.odds.iter().find(|o| o.day == day).map(|o| format!("done by its close: {}", o.words)));
        let head = a.day(day);
        WordGroup { head, note: note.join("; "), rows: rows.into_iter().map(|r| r.1).collect() }
    };
    let mut out: Vec<WordGroup> = days.into_iter().map(group).collect();
    let last = out.last().map(|g| g.head.clone());
    // Days after the last work have a chance and nothing else.
    let after = m.odds.iter().filter(|o| o.day > crate::forecast::last_day(m.clean_run.at));
    out.extend(after.filter(|o| Some(a.day(o.day)) != last).map(|o| WordGroup {
        head: a.day(o.day),
        note: format!("done by its close: {}", o.words),
        rows: Vec::new(),
    }));
    out
}

fn by_room(sound: &Sound, m: &Model) -> Vec<WordGroup> {
    let row = |b: &Block| {
        let cells = [b.dates.clone(), b.hours.clone(), b.who.clone(), place(sound, b), b.name.clone(), then(b)];
        WordRow { id: b.id.clone(), cells }
    };
    let group = |head: String, note: String, of: &dyn Fn(&Block) -> bool| WordGroup {
        head,
        note,
        rows: m.blocks.iter().filter(|b| of(b)).map(row).collect(),
    };
    let mut out = vec![group("Coming in".into(), String::new(), &|b| b.site == Site::Away)];
    for (i, r) in m.rooms.iter().enumerate() {
        out.push(group(r.name.clone(), r.done.clone(), &|b| b.site != Site::Away && b.room == Some(i)));
    }
    out.push(group("In no room".into(), String::new(), &|b| b.site != Site::Away && b.room.is_none()));
    out.retain(|g| !g.rows.is_empty());
    out
}

/// The plan in words.
pub fn plan_words(sound: &Sound, found: &Found, plan: &PlanView, m: &Model, grouped: Grouped) -> PlanWords {
    let line = |l: &super::section::Line| Figure::new(l.says.clone(), l.why.clone());
    let mut head = vec![("the plan's end", line(&m.clean_run))];
    if !m.in_hand.is_empty() {
        head.push(("kept in hand", Figure::new(m.in_hand.clone(), m.in_hand_why.clone())));
    }
    head.extend(m.safe.as_ref().map(|l| ("the safe day", line(l))));
    head.extend(m.target.as_ref().map(|l| ("the client's day", line(l))));
    let labor = LaborHours(plan.labor_min).to_string();
    let why = "all steps of this order, everything typical";
    head.push(("the labor", Figure::new(format!("{labor} of labor"), why)));
    let mut groups = vec![holds(sound, m)];
    groups.extend(match grouped {
        Grouped::ByDay => by_day(sound, found, m),
        Grouped::ByRoom => by_room(sound, m),
    });
    PlanWords { head, groups }
}

impl PlanWords {
    /// As text, columns by tabs: what *Copy* takes.
    pub fn text(&self) -> String {
        let mut out: String = self.head.iter().map(|(_, f)| format!("{}\n", f.words())).collect();
        for g in &self.groups {
            out += &format!("\n{}\t{}\n", g.head, g.note);
            out.extend(g.rows.iter().map(|r| format!("{}\n", r.cells.join("\t"))));
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::ForecastView;

    fn words(name: &str, grouped: Grouped) -> (Model, PlanWords) {
        let path = format!("{}/sample-jobs/{name}.ron", env!("CARGO_MANIFEST_DIR"));
        let sound = crate::desk::open(&std::fs::read_to_string(path).unwrap()).unwrap().sound.expect("sound");
        let found = sound.plan(false).unwrap();
        let plan = PlanView::new(&sound, &found);
        let o = crate::forecast::Options { trials: 500, seed: sound.job.seed, cause_trials: 0 };
        let f = sound.forecast(&found, o).unwrap();
        let v = ForecastView::new(&sound, &f, sound.job.confidence);
        let m = Model::new(&sound, &found, &plan, Some((&f, &v)));
        let w = plan_words(&sound, &found, &plan, &m, grouped);
        (m, w)
    }

    #[test]
    fn nothing_the_section_draws_is_missing() {
        for name in ["powder", "hall"] {
            for grouped in [Grouped::ByDay, Grouped::ByRoom] {
                let (m, w) = words(name, grouped);
                let all: Vec<&WordRow> = w.groups.iter().flat_map(|g| &g.rows).collect();
                for b in &m.blocks {
                    let rows: Vec<_> = all.iter().filter(|r| r.id == b.id && r.cells[4] == b.name).collect();
                    assert!(!rows.is_empty(), "{name}, {grouped:?}: {}", b.id);
                    if let Some(wedge) = &b.wedge {
                        assert!(rows.iter().any(|r| r.cells[5].contains(&wedge.words)), "{name}: {rows:?}");
                    }
                }
                assert_eq!(w.groups[0].rows.len(), m.pieces.len(), "{name}");
                let text = w.text();
                for o in m.odds.iter().filter(|_| grouped == Grouped::ByDay) {
                    assert!(text.contains(&format!("done by its close: {}", o.words)), "{name}: {}", o.words);
                }
                for l in [Some(&m.clean_run), m.safe.as_ref(), m.target.as_ref()].into_iter().flatten() {
                    assert!(text.contains(&l.says), "{name}: {}", l.says);
                }
                assert!(text.contains(&m.in_hand));
            }
        }
    }

    #[test]
    fn days_and_rooms_are_the_groups() {
        let (_, days) = words("hall", Grouped::ByDay);
        let heads: Vec<&str> = days.groups.iter().map(|g| g.head.as_str()).collect();
        assert_eq!(heads[0], "What holds the date");
        assert!(heads[1].starts_with("Mon 5 Apr"), "{heads:?}");
        let (m, rooms) = words("hall", Grouped::ByRoom);
        for r in &m.rooms {
            assert!(rooms.groups.iter().any(|g| g.head == r.name && g.note == r.done), "{}", r.name);
        }
    }
}
