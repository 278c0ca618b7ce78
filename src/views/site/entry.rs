//! A day written up step by step: its rows from the plan of the evening before, or from what was
//! written already, and the entry they make.
//!
//! A row left as it was planned is written as it was planned, to the minute. Where hours were
//! changed the times after them are left out, unless they are said: work then follows upon work.

use chrono::NaiveDate;

use super::super::entries::Name;
use super::super::holds::full_name;
use crate::clock::DAY;
use crate::desk::Sound;
use crate::job::{DayLog, Hm, How, Worked};
use crate::search::Found;
use crate::work::{Ask, Kind, Step};

/// What a row is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RowOf {
    /// Hands work on it.
    Work,
    Delivery,
    Decision,
    /// A visit, a laboratory, another trade.
    Visit,
}

impl RowOf {
    /// What it is once it is done.
    pub fn done(self) -> &'static str {
        match self {
            RowOf::Work => "finished",
            RowOf::Delivery => "arrived",
            RowOf::Decision => "settled",
            RowOf::Visit => "over",
        }
    }
}

/// A row of the day.
#[derive(Clone, Debug, PartialEq)]
pub struct EntryRow {
    pub name: String,
    pub of: RowOf,
    /// As the evening before had it.
    pub planned: Option<Worked>,
    /// As it stands.
    pub is: Worked,
    /// Quantity of the whole step and its unit, where it has one.
    pub quantity: Option<(f64, String)>,
    /// Its times were said, not taken from the plan.
    pub times_said: bool,
    /// No hours made it unfinished, nobody said so.
    undone: bool,
    /// As it was when the card opened, and the entries that made it: a coat has one a piece.
    began: (Worked, Vec<Worked>),
}

/// Entries of one step by the same people, as one: a coat is written a piece at a time.
fn together(steps: &[Worked]) -> Vec<(Worked, Vec<Worked>)> {
    let mut out: Vec<(Worked, Vec<Worked>)> = Vec::new();
    for w in steps {
        match out.iter_mut().find(|(o, _)| o.step == w.step && o.who == w.who) {
            Some((o, parts)) => {
                o.hours += w.hours;
                (o.done, o.at, o.share, o.coming) = (w.done, w.at, w.share, w.coming);
                if o.note.is_empty() {
                    o.note.clone_from(&w.note);
                }
                parts.push(w.clone());
            }
            None => out.push((w.clone(), vec![w.clone()])),
        }
    }
    out
}

impl EntryRow {
    /// Hours it was planned with, of each; `planned 4 1/4 h`, `not planned`.
    pub fn planned_words(&self) -> String {
        match (&self.planned, self.of) {
            (Some(p), RowOf::Work) => format!("planned {}", super::hours((p.hours * 60.0).round() as i64)),
            (None, RowOf::Work) => "not planned".into(),
            _ => String::new(),
        }
    }

    /// Changes the hours; how far it got is then no longer what the plan had.
    pub fn set_hours(&mut self, hours: f64) {
        if self.planned.as_ref().is_some_and(|p| p.share == self.is.share) {
            self.is.share = None;
        }
        if self.of == RowOf::Work && self.planned.as_ref().is_some_and(|p| p.done) {
            // What was planned to be finished and not touched is not finished; worked on again it is.
            match (self.is.hours == 0.0, hours == 0.0) {
                (false, true) => (self.is.done, self.undone) = (false, self.is.done),
                (true, false) => (self.is.done, self.undone) = (self.is.done || self.undone, false),
                _ => {}
            }
        }
        self.is.hours = hours;
    }

    /// Share of the whole step left, where it was measured.
    pub fn left(&self) -> Option<f64> {
        self.is.share.map(|s| ((1.0 - s) * 1e4).round() / 1e4)
    }

    /// Says what is left of it.
    pub fn set_left(&mut self, left: Option<f64>) {
        self.is.share = left.map(|l| ((1.0 - l) * 1e4).round() / 1e4);
    }

    /// Other hours than the day was planned or written up with.
    fn other_hours(&self) -> bool {
        self.began.1.is_empty() || self.began.0.hours != self.is.hours
    }

    /// Whether anything was said of it since the card was opened.
    pub fn touched(&self) -> bool {
        self.is != self.began.0
    }

    /// As it stood in the plan or in what was written up, piece by piece.
    fn untouched(&self) -> bool {
        self.is == self.began.0 && !self.began.1.is_empty()
    }

    fn worked(&self) -> bool {
        self.is.hours > 0.0 || self.is.done || self.is.coming.is_some() || self.is.share.is_some()
    }
}

/// What a step is written up as.
pub fn row_of(s: &Step) -> RowOf {
    match s.kind {
        Kind::Labor if s.crew.fewest > 0 => RowOf::Work,
        _ if s.origin.starts_with("deliveries[") => RowOf::Delivery,
        _ if s.origin.starts_with("decisions[") => RowOf::Decision,
        _ => RowOf::Visit,
    }
}

fn row(sound: &Sound, step: usize) -> EntryRow {
    let s = &sound.graph.steps[step];
    let of = row_of(s);
    let quantity =
        s.terms.first().filter(|t| t.quantity > 0.0 && !t.unit.is_empty()).map(|t| (t.quantity, t.unit.clone()));
    let is = Worked { step: s.id.clone(), ..Worked::default() };
    EntryRow {
        name: full_name(sound, step),
        of,
        planned: None,
        began: (is.clone(), Vec::new()),
        is,
        quantity,
        times_said: false,
        undone: false,
    }
}

fn step_of(sound: &Sound, found: &Found, id: &str) -> Option<usize> {
    let planned = found.plan.steps.iter().map(|t| t.step).find(|&s| sound.graph.steps[s].id == id);
    planned.or_else(|| sound.graph.steps.iter().position(|s| s.id == id))
}

/// The rows of a day: what the evening before had for it, what is written of it already, and the
/// deliveries, decisions and visits still to come.
pub fn rows(sound: &Sound, found: &Found, planned: &DayLog, log: Option<&DayLog>) -> Vec<EntryRow> {
    let mut out: Vec<EntryRow> = Vec::new();
    let written = log.filter(|l| !l.news_only()).map(|l| together(&l.steps));
    for (w, parts) in together(&planned.steps) {
        let Some(step) = step_of(sound, found, &w.step) else { continue };
        let there = written.as_ref().map(|l| l.iter().find(|x| x.0.step == w.step && x.0.who == w.who));
        let (began, times_said) = match there {
            None => ((w.clone(), parts), false),
            Some(Some(x)) => {
                // Times other than planned were said; hours alone leave none.
                let said = x.0.from.is_some() || x.0.at.is_some();
                (x.clone(), said && (x.0.from, x.0.at) != (w.from, w.at) && x.0.at.is_some())
            }
            Some(None) => {
                ((Worked { step: w.step.clone(), who: w.who.clone(), ..Worked::default() }, Vec::new()), false)
            }
        };
        out.push(EntryRow { planned: Some(w), is: began.0.clone(), began, times_said, ..row(sound, step) });
    }
    for began in written.into_iter().flatten() {
        if !out.iter().any(|r| r.is.step == began.0.step && r.is.who == began.0.who)
            && let Some(step) = step_of(sound, found, &began.0.step)
        {
            let times_said = began.0.from.is_some() || began.0.at.is_some();
            out.push(EntryRow { is: began.0.clone(), began, times_said, ..row(sound, step) });
        }
    }
    // Of a day not written up there may be news.
    for w in log.filter(|l| l.news_only()).into_iter().flat_map(|l| &l.steps) {
        if let Some(step) = step_of(sound, found, &w.step) {
            out.push(EntryRow { is: w.clone(), began: (w.clone(), Vec::new()), ..row(sound, step) });
        }
    }
    let day = sound.job.day_of(planned.day);
    for t in &found.plan.steps {
        let s = &sound.graph.steps[t.step];
        let gate = matches!(s.kind, Kind::Business { .. } | Kind::Decision { .. }) || s.origin.starts_with("visits[");
        let open = t.end.0 > day * DAY && super::super::stands(sound, t.step) != Some(true);
        if gate && open && !used(sound, t.step) && !out.iter().any(|r| r.is.step == s.id) {
            out.push(row(sound, t.step));
        }
    }
    out
}

/// Whether work that waits for something to come has begun: it has come then, whether that was written or not.
pub(super) fn used(sound: &Sound, step: usize) -> bool {
    let begun = |s: usize| {
        let facts = sound.setting.standing.as_deref().and_then(|f| f.steps.get(s));
        sound.graph.steps[s].kind == Kind::Labor && facts.is_some_and(|x| x.begun.is_some())
    };
    let waits = |a: Ask| matches!(a, Ask::Done | Ask::Dry(_));
    sound.graph.links.iter().any(|l| l.from == step && waits(l.ask) && begun(l.to))
}

/// Steps that can still be worked on and are not among the rows, in the order of the plan.
pub fn more(sound: &Sound, found: &Found, rows: &[EntryRow]) -> Vec<Name> {
    let open = |s: &usize| {
        let x = &sound.graph.steps[*s];
        let there = rows.iter().any(|r| r.is.step == x.id);
        matches!(x.kind, Kind::Labor) && x.crew.fewest > 0 && super::super::stands(sound, *s) != Some(true) && !there
    };
    let mut seen = std::collections::BTreeSet::new();
    let steps = found.plan.steps.iter().map(|t| t.step).filter(open);
    let name = |s: usize| Name { id: sound.graph.steps[s].id.clone(), words: full_name(sound, s) };
    steps.map(name).filter(|n| seen.insert(n.id.clone())).collect()
}

/// A row for a step that was not planned.
pub fn another(sound: &Sound, found: &Found, id: &str) -> Option<EntryRow> {
    let step = step_of(sound, found, id)?;
    let mut r = row(sound, step);
    r.is.hours = 1.0;
    r.is.who = sound.graph.steps[step]
        .crew
        .who
        .iter()
        .take(sound.graph.steps[step].crew.fewest)
        .map(|&p| sound.job.crew[p].id.clone())
        .collect();
    Some(r)
}

/// Of each row whether its begin and its end hold no longer: hours changed there or before it, and
/// no times said.
pub fn times_gone(rows: &[EntryRow]) -> Vec<(bool, bool)> {
    let mut moved = false;
    let mut out = Vec::new();
    for r in rows {
        let other = r.of == RowOf::Work && r.other_hours();
        let free = r.of == RowOf::Work && !r.times_said;
        out.push((free && moved, free && (moved || other)));
        moved |= match r.worked() {
            false => r.planned.is_some(),
            true if r.untouched() => false,
            true => r.of == RowOf::Work && (other || r.times_said),
        };
    }
    out
}

/// The entry the rows make.
///
/// # Errors
/// What cannot be: more hours than a day has, done before it began.
pub fn entry(day: NaiveDate, rows: &[EntryRow], note: &str) -> Result<DayLog, String> {
    let mut steps: Vec<Worked> = Vec::new();
    let (mut moved, mut same) = (false, true);
    for (r, gone) in rows.iter().zip(times_gone(rows)) {
        let as_planned = r.planned.as_ref() == Some(&r.is);
        same &= as_planned || (r.planned.is_none() && !r.worked());
        if !r.worked() {
            moved |= r.planned.is_some();
            continue;
        }
        if r.untouched() && !moved {
            steps.extend(r.began.1.iter().cloned());
            continue;
        }
        let mut w = r.is.clone();
        if r.of == RowOf::Work {
            if gone.0 {
                w.from = None;
            }
            if gone.1 {
                w.at = None;
            }
            moved |= r.other_hours() || r.times_said;
            if w.done {
                w.share = None;
            }
            if let (Some(Hm(from)), Some(Hm(at))) = (w.from, w.at)
                && at <= from
                && w.hours > 0.0
            {
                return Err(format!("{}: finished before it was begun", r.name));
            }
        } else if w.done {
            w.coming = None;
        }
        steps.push(w);
    }
    let hours: Vec<(&str, f64)> =
        steps.iter().flat_map(|w| w.who.iter().map(|p| (p.as_str(), w.hours)).collect::<Vec<_>>()).collect();
    for (who, _) in &hours {
        let sum: f64 = hours.iter().filter(|h| h.0 == *who).map(|h| h.1).sum();
        if sum > 24.0 {
            return Err(format!("{who}: {} h are more than a day has", super::hours_field(sum)));
        }
    }
    let how = if same && !steps.is_empty() {
        How::AsPlanned
    } else if steps.is_empty() {
        How::Nothing
    } else {
        How::Differently
    };
    Ok(DayLog { day, how, steps, note: note.trim().to_string() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::evening::day_as_planned;

    /// The powder room on its first morning: the sound job, its plan, what the first day has.
    fn first_day() -> (Sound, Found, DayLog) {
        let opened = crate::desk::open(include_str!("../../../sample-jobs/powder.ron")).unwrap();
        let sound = opened.sound.expect("sound");
        let found = sound.plan(false).unwrap();
        let mut job = sound.job.clone();
        job.kept = Some(crate::search::keep(&sound.graph, &sound.setting, &found.plan.order, &job));
        let day = day_as_planned(&job, job.start).unwrap().0;
        (sound, found, day)
    }

    #[test]
    fn rows_left_alone_make_the_day_as_planned_and_a_correction_left_alone_the_day_as_written() {
        let (sound, found, day) = first_day();
        let rows_of = rows(&sound, &found, &day, None);
        assert_eq!(entry(day.day, &rows_of, "").unwrap(), day);
        let mut changed = rows_of;
        let more = changed[0].is.hours + 1.0;
        changed[0].set_hours(more);
        let log = entry(day.day, &changed, "ran long").unwrap();
        assert_eq!(log.how, How::Differently);
        assert!(log.steps[0].at.is_none() && log.steps[1..].iter().all(|w| w.from.is_none() && w.at.is_none()));
        let again = rows(&sound, &found, &day, Some(&log));
        assert_eq!(entry(day.day, &again, &log.note).unwrap(), log);
    }

    #[test]
    fn a_step_once_is_one_row_and_hours_beyond_a_day_are_refused() {
        let (sound, found, day) = first_day();
        let mut all = rows(&sound, &found, &day, None);
        let mut ids: Vec<_> = all.iter().map(|r| (r.is.step.clone(), r.is.who.clone())).collect();
        ids.dedup();
        assert_eq!(ids.len(), all.len());
        let more = more(&sound, &found, &all);
        assert!(!more.is_empty() && more.iter().all(|n| !all.iter().any(|r| r.is.step == n.id)));
        let new = another(&sound, &found, &more[0].id).expect("a step");
        assert!(new.planned_words() == "not planned" && !new.is.who.is_empty());
        all.push(new);
        all.iter_mut().filter(|r| r.of == RowOf::Work).for_each(|r| r.set_hours(20.0));
        assert!(entry(day.day, &all, "").unwrap_err().contains("more than a day has"));
        all.iter_mut().for_each(|r| {
            r.set_hours(0.0);
            (r.is.done, r.is.share) = (false, None);
        });
        assert_eq!(entry(day.day, &all, "").unwrap().how, How::Nothing);
    }
}
