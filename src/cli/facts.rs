//! The commands of what befalls a job on the way, and of its end: work done again, changes,
//! late deliveries, closing, the user's book.
//!
//! Each shows what it comes to before and after; with `--dry` it writes nothing.

use std::path::PathBuf;

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::Output;
use super::apply::{Applied, written};
use super::args::{BookArgs, ChangeArgs, CloseArgs, JobArg, LateArgs, RedoArgs};
use super::commands::{Done, json_text, open_sound, put_applied, refused, too_far};
use super::site::{Begun, begun, in_job, outlooks, save, unknown};
use crate::book::Book;
use crate::desk::changes::{self, Added, Effect, Scope};
use crate::desk::{AT_REST, close as ending, underway, without_lost_names};
use crate::job::{ChangeKind, ChangeOrder, Edit, Job, Redone, edited};
use crate::work::Kind;
use crate::{jobfile, store, views};

/// A command that writes holds the lock of the file while it works.
fn holding(file: &std::path::Path, dry: bool, done: impl FnOnce() -> Done) -> Done {
    if dry { done() } else { store::locked(file, done).map_err(Output::wrong)? }
}

pub(super) fn redo(a: &RedoArgs) -> Done {
    holding(&a.job.job, a.dry, || redo_now(a))
}

fn redo_now(a: &RedoArgs) -> Done {
    let Begun { text, sound, job: was } = begun(&a.job)?;
    in_job(&was, "--day", a.day)?;
    if !sound.graph.steps.iter().any(|s| s.id == a.step) {
        return Err(Output::wrong(unknown(&sound, &a.step)));
    }
    let redone =
        Redone { step: a.step.clone(), day: a.day, share: a.share, hours: a.hours, cause: a.cause.trim().to_string() };
    let scope = changes::redo(&was, redone).map_err(|e| Output::wrong(format!("--step: {e}")))?;
    let is = edited(&was, &scope.edits);
    let name = sound.graph.steps.iter().find(|s| s.id == a.step).map_or(a.step.as_str(), |s| s.name.as_str());
    let words = if a.cause.trim().is_empty() { name.to_string() } else { format!("{name}, {}", a.cause.trim()) };
    told(&a.job, &text, (&was, is), &scope, (a.day, ChangeKind::Redo, &words), None, a.dry)
}

pub(super) fn change(a: &ChangeArgs) -> Done {
    holding(&a.job.job, a.dry, || change_now(a))
}

fn change_now(a: &ChangeArgs) -> Done {
    let Begun { text, sound, job: was } = begun(&a.job)?;
    if underway::far(&was, a.day) {
        return Err(Output::wrong(too_far("--day", a.day)));
    }
    if let Some(last) = was.changes.last().filter(|c| c.day > a.day) {
        let last = views::day_words(last.day);
        return Err(Output::wrong(format!("--day: a change of {last} is on record; a later one comes after it")));
    }
    if a.words.trim().is_empty() {
        return Err(Output::wrong("--words: say what was agreed, such as --words \"a shelf over the door\""));
    }
    let mut scope = Scope::default();
    let mut is = was.clone();
    let mut take = |is: &mut Job, s: Scope| {
        *is = edited(is, &s.edits);
        scope.adds.extend(s.adds);
        scope.drops.extend(s.drops);
    };
    if let (Some(name), Some(hours)) = (&a.add, a.hours) {
        for id in a.after.iter().chain(&a.before) {
            if !sound.graph.steps.iter().any(|s| s.id == *id && s.role.planned()) {
                return Err(Output::wrong(unknown(&sound, id)));
            }
        }
        let only = if was.rooms.len() == 1 { was.rooms[0].id.clone() } else { String::new() };
        let added = Added {
            name: name.clone(),
            hours,
            room: a.room.clone().unwrap_or(only),
            place: a.place.clone().unwrap_or_default(),
            after: a.after.clone(),
            before: a.before.clone(),
        };
        take(&mut is, changes::add(&was, &sound.graph, &added).map_err(|e| Output::wrong(format!("--add: {e}")))?);
    }
    for name in &a.drop {
        let out = changes::leave_out(&is, &sound.graph, name).map_err(|e| Output::wrong(format!("--drop: {e}")))?;
        take(&mut is, out);
    }
    if !a.drop.is_empty() {
        is = without_lost_names(is);
    }
    told(&a.job, &text, (&was, is), &scope, (a.day, ChangeKind::Scope, &a.words), a.promise, a.dry)
}

/// Works a change out, says what it comes to and writes it, unless it is only looked at.
fn told(
    a: &JobArg,
    text: &str,
    (was, mut is): (&Job, Job),
    scope: &Scope,
    (day, kind, words): (NaiveDate, ChangeKind, &str),
    promise: Option<NaiveDate>,
    dry: bool,
) -> Done {
    let effect = changes::effect(was, &is, day, AT_REST).map_err(|p| refused(a, &p))?;
    let promised_before = was.promise().map(|p| p.day);
    if let Some(new) = promise {
        is = promised(&is, &effect, new, day, words)?;
    }
    let (is, order) = changes::made(&is, scope, &effect, (day, kind, words), promised_before);
    let applied = if dry { None } else { Some(written_at(a, text, &is, &effect)?) };
    Ok(answer(a, &is, &order, &effect, applied.as_ref()))
}

/// The job with a day promised on the order as changed.
fn promised(is: &Job, e: &Effect, new: NaiveDate, day: NaiveDate, words: &str) -> Result<Job, Output> {
    let wrong = |e: String| Output::wrong(format!("--promise: {e}"));
    if underway::far(is, new) {
        return Err(Output::wrong(too_far("--promise", new)));
    }
    views::may_promise(is, new, words).map_err(wrong)?;
    let (sound, order) = (&e.after.sound, &e.after.found.plan.order);
    let kept = crate::search::keep(&sound.graph, &sound.setting, order, is);
    // Promises stand in the order they were made.
    let made_on = is.promises.last().map_or(day, |p| p.made_on.max(day));
    let made = views::promise_of(sound, &e.after.forecast, kept, new, made_on, words);
    Ok(edited(is, &[Edit::Promised(Box::new(made))]))
}

fn written_at(a: &JobArg, text: &str, is: &Job, e: &Effect) -> Result<Applied, Output> {
    let asked = Job { as_of: e.after.sound.job.as_of, ..is.clone() };
    // Read back as of the same moment, days not written up as nothing done, as it was worked out.
    written(&a.job, text, &asked, &e.after.found).map_err(Output::wrong)
}

fn answer(a: &JobArg, is: &Job, order: &ChangeOrder, e: &Effect, applied: Option<&Applied>) -> Output {
    if a.json {
        let mut v = views::order_json(order, Some(e));
        v["job"] = json!(is.name);
        v["problems"] = json!([]);
        put_applied(&mut v, applied);
        return Output::fine(json_text(&v));
    }
    let mut out = views::order_text(is, order, e);
    out += &match applied {
        Some(done) => format!("\n{}", done.words()),
        None => "\nNothing is written; leave --dry out to keep it.\n".into(),
    };
    Output::fine(out)
}

pub(super) fn late(a: &LateArgs) -> Done {
    holding(&a.job.job, a.dry, || late_now(a))
}

fn late_now(a: &LateArgs) -> Done {
    let Begun { text, sound, job: was } = begun(&a.job)?;
    in_job(&was, "--coming", a.coming)?;
    let Some(step) = sound.graph.steps.iter().find(|s| s.id == a.id) else {
        let ids: Vec<&str> = sound.graph.steps.iter().filter(|s| gate(s)).map(|s| s.id.as_str()).collect();
        let near = jobfile::nearest(&a.id, ids.iter().copied());
        let hint = match (near, ids.is_empty()) {
            (Some(n), _) => format!("did you mean {n}"),
            (None, false) => format!("there are {}", ids.join(", ")),
            (None, true) => "this job has none".into(),
        };
        return Err(Output::wrong(format!("--id: no delivery, decision or visit is called \"{}\"; {hint}", a.id)));
    };
    if matches!(step.kind, Kind::Labor) {
        return Err(Output::wrong(format!("--id: {} is work of the crew; `roomback log` writes it up", a.id)));
    }
    let next = underway::last_told(&was).and_then(|d| d.succ_opt()).unwrap_or(was.start);
    let day = a.day.unwrap_or(next);
    in_job(&was, "--day", day)?;
    let is = edited(&was, &[changes::news(&was, &a.id, day, a.coming)]);
    let (before, after) = outlooks(&a.job, &was, &is)?;
    let applied = if a.dry { None } else { Some(save(&a.job, &text, &is, &after)?) };
    let name = if step.name.is_empty() { &a.id } else { &step.name };
    if a.job.json {
        let mut v = json!({
            "job": is.name, "id": a.id, "day": views::iso_day(day), "coming": views::iso_day(a.coming),
            "change": views::change_json(&before, &after), "problems": [],
        });
        put_applied(&mut v, applied.as_ref());
        return Ok(Output::fine(json_text(&v)));
    }
    let mut out = format!("{name}: now said to come {}.\n", views::day_words(a.coming));
    out += &views::change_text(&before, &after);
    out += &match applied {
        Some(done) => format!("\n{}", done.words()),
        None => "\nNothing is written; leave --dry out to keep it.\n".into(),
    };
    Ok(Output::fine(out))
}

fn gate(s: &crate::work::Step) -> bool {
    ["deliveries[", "decisions[", "visits["].iter().any(|h| s.origin.starts_with(h))
}

/// The file of the user's book: as named, else in his folder for data.
fn book_file(named: Option<&PathBuf>) -> Result<PathBuf, Output> {
    let own = || store::recovery::folder().map(|f| store::book::file(&f));
    named
        .cloned()
        .or_else(own)
        .ok_or_else(|| Output::wrong("your folder for data is not known here; name the book's file with --book FILE"))
}

pub(super) fn the_book(named: Option<&PathBuf>) -> Result<(PathBuf, Book), Output> {
    let file = book_file(named)?;
    let book = store::book::load(&file).map_err(Output::wrong)?;
    Ok((file, book))
}

pub(super) fn close(a: &CloseArgs) -> Done {
    holding(&a.job.job, a.dry, || close_now(a))
}

fn close_now(a: &CloseArgs) -> Done {
    let Begun { text, job, .. } = begun(&a.job)?;
    let last = underway::last_told(&job).unwrap_or(job.start);
    // Nobody closes a job before its last day written up.
    let day = a.day.unwrap_or_else(|| store::today().max(last));
    if let Some(d) = a.day {
        in_job(&job, "--day", d)?;
    }
    if day < last {
        return Err(Output::wrong(format!("--day: {} is written up; the job ends no sooner", views::day_words(last))));
    }
    let (file, book) = the_book(a.book.as_ref())?;
    let e = ending::ending(&job, day).map_err(|p| refused(&a.job, &p))?;
    for (name, list) in [("--exclude", &a.exclude), ("--include", &a.include)] {
        if let Some(id) = list.iter().find(|id| !e.rows.iter().any(|r| r.rate.id == **id)) {
            let all: Vec<&str> = e.rows.iter().map(|r| r.rate.id.as_str()).collect();
            return Err(Output::wrong(format!("{name}: this job shows no rate \"{id}\"; it shows {}", all.join(", "))));
        }
    }
    let open = views::undecided(&e, &a.exclude, &a.include);
    if a.learn && !open.is_empty() {
        let ids: Vec<&str> = open.iter().map(|r| r.rate.id.as_str()).collect();
        return Err(Output::wrong(format!(
            "far outside what is usual: {}; were they written up rightly? Say --exclude ROW or --include ROW of each. \
             Nothing is written",
            ids.join(", ")
        )));
    }
    let mut learned = None;
    let mut applied = None;
    if !a.dry {
        let is = edited(&job, &[Edit::Closed(Some(e.closing.clone()))]);
        let found = e.sound.plan(false).map_err(|s| super::commands::stuck(&a.job, &e.sound, &s))?;
        let asked = Job { as_of: e.sound.job.as_of, ..is };
        applied = Some(written(&a.job.job, &text, &asked, &found).map_err(Output::wrong)?);
    }
    let mut now = book;
    if a.learn {
        let (closed, own) = (e.for_book(&a.exclude), e.own_rows(&now));
        now = store::book::change(&file, &move |b| {
            own.iter().for_each(|r| b.keep_rate(r.clone()));
            b.close(closed.clone());
        })
        .map_err(Output::wrong)?;
        learned = Some(e.rows.iter().filter(|r| !a.exclude.contains(&r.rate.id)).count());
    }
    let scores = ending::scores(&now);
    if a.job.json {
        let mut v = views::ending_json(&e, &a.exclude, &a.include);
        v["learned"] = learned.map_or(Value::Null, |n| json!(n));
        v["book"] = json!(file.display().to_string());
        v["scores"] = views::book_json(None, &now, &scores)["scores"].clone();
        put_applied(&mut v, applied.as_ref());
        return Ok(Output::fine(json_text(&v)));
    }
    let mut out = views::ending_text(&e, &now, &a.exclude, &a.include);
    out += &views::scores_text(&scores);
    out += &match learned {
        Some(n) => format!("Your book {} has learned from {n} rates of this job.\n", file.display()),
        None => "Nothing is written into your book; --learn does.\n".into(),
    };
    if let Some(done) = &applied {
        out += &format!("\n{}", done.words());
    }
    Ok(Output::fine(out))
}

pub(super) fn book(a: &BookArgs) -> Done {
    match &a.job {
        Some(job) => holding(job, !a.take, || book_now(a, Some(job))),
        None => book_now(a, None),
    }
}

fn book_now(a: &BookArgs, job: Option<&PathBuf>) -> Done {
    let (_, book) = the_book(a.book.as_ref())?;
    let scores = ending::scores(&book);
    let at = job.map(|j| JobArg { job: j.clone(), json: a.json });
    let read = at.as_ref().map(open_sound).transpose()?;
    let mut applied = None;
    let mut job = read.as_ref().map(|r| r.1.job.clone());
    if let (true, Some(at), Some((text, sound))) = (a.take, &at, &read) {
        let newer = views::own_rates(Some(&sound.job), &book).into_iter().filter(|r| r.newer);
        let edits: Vec<Edit> = newer.filter_map(|r| r.book.map(Edit::Rate)).collect();
        if edits.is_empty() {
            applied = Some(Applied::same(&at.job));
        } else {
            let is = edited(&sound.job, &edits);
            let is = Job { as_of: underway::last_evening(&is), ..is };
            let now = underway::worse(&is, is.as_of).map_err(|p| refused(at, &p))?;
            let found = super::commands::found(at, &now, false)?;
            applied = Some(written(&at.job, text, &is, &found).map_err(Output::wrong)?);
            job = Some(is);
        }
    }
    if a.json {
        let mut v = views::book_json(job.as_ref(), &book, &scores);
        put_applied(&mut v, applied.as_ref());
        return Ok(Output::fine(json_text(&v)));
    }
    let mut out = views::book_text(job.as_ref(), &book, &scores);
    if let Some(done) = &applied {
        out += &format!("\n{}", done.words());
    }
    Ok(Output::fine(out))
}
