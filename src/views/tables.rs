//! Tables for a spreadsheet: take-off, plan, days. Cells only; who writes the file guards them.
//!
//! Days are `YYYY-MM-DD`, times `HH:MM`, hours of one person with two decimals, areas and runs in the
//! unit that stands beside them.

use super::days::portions;
use super::holds::plain_name;
use super::{PlanView, RoomRows, iso_day};
use crate::clock::{At, DAY};
use crate::desk::Sound;
use crate::forecast::last_day;
use crate::job::Job;
use crate::search::Found;

/// A cell: text may come from the user, a number is the program's own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cell {
    Text(String),
    Number(String),
}

impl Cell {
    fn text(s: impl Into<String>) -> Cell {
        Cell::Text(s.into())
    }

    /// Minutes as hours.
    fn hours(minutes: i64) -> Cell {
        Cell::Number(format!("{:.2}", minutes as f64 / 60.0))
    }
}

/// A head and its rows, all of one length.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    pub head: Vec<&'static str>,
    pub rows: Vec<Vec<Cell>>,
}

/// Every quantity of the take-off.
pub fn takeoff_table(job: &Job, rooms: &[RoomRows]) -> Table {
    let name = |id: &str| {
        let room = job.rooms.iter().find(|r| r.id == id);
        room.map_or_else(|| id.to_string(), |r| if r.name.is_empty() { r.id.clone() } else { r.name.clone() })
    };
    let mut rows = Vec::new();
    for r in rooms {
        for q in &r.rows {
            rows.push(vec![
                Cell::text(name(&r.room)),
                Cell::text(&r.surface),
                Cell::text(&q.id),
                Cell::text(&q.name),
                Cell::Number(format!("{:.4}", q.value)),
                Cell::text(q.unit),
                Cell::text(&q.total),
                Cell::text(&q.figure.why),
            ]);
        }
    }
    Table { head: vec!["room", "surface", "id", "quantity", "value", "unit", "printed", "formula"], rows }
}

/// `08:15`; an end at midnight is `24:00` of its day.
fn time(minute: i64) -> Cell {
    Cell::Number(format!("{:02}:{:02}", minute / 60, minute % 60))
}

fn begin(sound: &Sound, at: At) -> [Cell; 2] {
    let day = at.0.div_euclid(DAY);
    [Cell::Number(iso_day(sound.job.date_of(day))), time(at.0 - day * DAY)]
}

fn end(sound: &Sound, at: At) -> [Cell; 2] {
    let day = if at.0.rem_euclid(DAY) == 0 { last_day(at) } else { at.0.div_euclid(DAY) };
    [Cell::Number(iso_day(sound.job.date_of(day))), time(at.0 - day * DAY)]
}

fn people(sound: &Sound, who: &[usize]) -> Cell {
    let name =
        |w: &usize| sound.job.crew.get(*w).map(|p| if p.name.is_empty() { p.id.clone() } else { p.name.clone() });
    Cell::Text(who.iter().filter_map(name).collect::<Vec<_>>().join(", "))
}

fn place(sound: &Sound, step: usize) -> Cell {
    let place = sound.graph.steps[step].place.and_then(|p| sound.job.places.get(p));
    Cell::Text(place.map_or_else(String::new, |p| if p.name.is_empty() { p.id.clone() } else { p.name.clone() }))
}

/// Every step of the plan in order of its begin.
pub fn plan_table(sound: &Sound, view: &PlanView) -> Table {
    let row = |r: &super::StepRow| {
        let s = &sound.graph.steps[r.step];
        let mut out = vec![Cell::text(&s.id), Cell::text(plain_name(sound, r.step)), Cell::text(&s.room)];
        out.extend([Cell::text(&s.surface), place(sound, r.step), people(sound, &r.who)]);
        out.extend(begin(sound, r.begin));
        out.extend(end(sound, r.end));
        out.push(Cell::hours(r.labor_min));
        out
    };
    let head =
        vec!["id", "step", "room", "surface", "place", "who", "begin day", "begin", "end day", "end", "labor hours"];
    Table { head, rows: view.steps.iter().map(row).collect() }
}

/// Every stretch of work, day by day.
pub fn days_table(sound: &Sound, found: &Found) -> Table {
    let mut rows = Vec::new();
    for list in portions(&sound.net(found), &found.plan).values() {
        for p in list {
            let s = &sound.graph.steps[p.step];
            let mut row = Vec::from(begin(sound, p.begin));
            row.push(end(sound, p.end)[1].clone());
            row.extend([people(sound, &p.people), place(sound, p.step), Cell::text(&s.id)]);
            row.extend([Cell::text(plain_name(sound, p.step)), Cell::text(&s.room), Cell::text(&s.surface)]);
            row.push(Cell::hours((p.minutes - p.trip) * p.people.len() as i64));
            row.push(Cell::text(if p.goes_on { "goes on" } else { "" }));
            rows.push(row);
        }
    }
    let head = vec!["day", "begin", "end", "who", "place", "id", "step", "room", "surface", "hours", "then"];
    Table { head, rows }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_as_long_as_the_head_and_hours_add_up_to_the_plan() {
        let sound =
            crate::desk::open(include_str!("../../sample-jobs/study.ron")).expect("a job").sound.expect("sound");
        let found = sound.plan(false).expect("a plan");
        let view = PlanView::without_float(&sound, &found);
        let (plan, days) = (plan_table(&sound, &view), days_table(&sound, &found));
        for t in [&plan, &days] {
            assert!(!t.rows.is_empty() && t.rows.iter().all(|r| r.len() == t.head.len()), "{:?}", t.head);
        }
        let sum = |t: &Table, name: &str| -> f64 {
            let at = t.head.iter().position(|h| *h == name).expect("a column");
            let number = |r: &Vec<Cell>| match &r[at] {
                Cell::Number(n) => n.parse::<f64>().expect("a number"),
                Cell::Text(_) => panic!("a text"),
            };
            t.rows.iter().map(number).sum()
        };
        let hours = view.labor_min as f64 / 60.0;
        assert!((sum(&plan, "labor hours") - hours).abs() < 0.5);
        // One person at the plain pace: the minutes worked are the labor.
        assert!((sum(&days, "hours") - hours).abs() < 1.5, "{} and {hours}", sum(&days, "hours"));
        // An end at midnight is the end of its day.
        assert_eq!(end(&sound, At(2 * DAY)), [Cell::Number("2027-03-02".into()), Cell::Number("24:00".into())]);
    }
}
