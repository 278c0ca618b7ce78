//! Ways back in words: what is done, what it costs, what it wins, what the client would notice.
//!
//! One file because the text, the JSON and the window's rows say the same of each way.

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::choices::{product, row_name, said};
use super::{Almanac, Figure, as_of_json, as_of_line, chance_words, day_words, in_ten, iso_day, laid, named};
use crate::desk::Sound;
use crate::desk::ways_back::{Answer, Lever, Way};
use crate::forecast::last_day;
use crate::forecast::stats::Interval;
use crate::job::{Job, PlaceKind, TakenWay};
use crate::trade::{ExtraUnit, Tag, extra, swaps};
use crate::waysback::CostLine;

/// Whole dollars from cents, a minus sign before them where they are saved: `$1,240`.
pub fn dollars(cents: i64) -> String {
    let whole = (cents.abs() + 50) / 100;
    let sign = if cents < 0 && whole > 0 { "-" } else { "" };
    format!("{sign}${}", super::thousands(whole as usize))
}

/// `1.5 days`, `1 day`, to a tenth.
fn days(x: f64) -> String {
    let x = (x * 10.0).round() / 10.0 + 0.0;
    let n = if (x - x.round()).abs() < 1e-9 { format!("{x:.0}") } else { format!("{x:.1}") };
    if n == "1" || n == "-1" { format!("{n} day") } else { format!("{n} days") }
}

fn short(d: NaiveDate) -> String {
    d.format("%a %-d %b").to_string()
}

fn person(job: &Job, at: usize) -> &str {
    job.crew.get(at).map_or("somebody", |p| if p.name.is_empty() { &p.id } else { &p.name })
}

fn place(job: &Job, at: usize) -> String {
    job.places.get(at).map_or_else(String::new, |p| if p.name.is_empty() { p.id.clone() } else { p.name.clone() })
}

fn run(days: &[NaiveDate]) -> String {
    match days {
        [] => String::new(),
        [one] => short(*one),
        [a, .., b] => format!("{} to {}", short(*a), short(*b)),
    }
}

/// Of several rooms the room is named.
fn in_room(job: &Job, room: usize) -> String {
    match job.rooms.get(room) {
        Some(r) if job.rooms.len() > 1 => format!(" ({})", named(&r.name, &r.id)),
        _ => String::new(),
    }
}

fn rows_words(job: &Job, room: usize, surface: usize, rows: &[String]) -> String {
    let recipe = job.rooms.get(room).and_then(|r| r.surfaces.get(surface)).map_or("", |s| s.recipe.as_str());
    let names: Vec<String> = rows.iter().rev().map(|r| row_name(job, recipe, r)).collect();
    let mut once = names;
    // Variants of a step share the head of its name.
    once.iter_mut().for_each(|n| *n = n.split(',').next().unwrap_or(n).to_string());
    once.dedup();
    once.join(", ")
}

fn product_name(job: &Job, id: &str) -> String {
    product(job, id).map_or_else(|| id.to_string(), |p| p.name.clone())
}

/// What a lever is, in the words of the trade.
pub fn lever_words(job: &Job, lever: &Lever) -> String {
    match lever {
        Lever::Helper { from, days: n, rough } => {
            let what = if *rough { ", for all but the fitting" } else { "" };
            let long = if *n == 1 { "1 day".to_string() } else { format!("{n} days") };
            if *n == 1 {
                format!("a helper on {}{what}", short(*from))
            } else {
                format!("a helper for {long} from {}{what}", short(*from))
            }
        }
        Lever::Evenings { person: p, days } if days.len() == 1 => {
            format!("{} works the evening of {}", person(job, *p), run(days))
        }
        Lever::Evenings { person: p, days } => {
            format!("{} works {} evenings, {}", person(job, *p), days.len(), run(days))
        }
        Lever::DaysOff { person: p, days } => {
            let list: Vec<String> = days.iter().map(|d| short(*d)).collect();
            format!("{} works {}", person(job, *p), list.join(", "))
        }
        Lever::Heat { place: p, from } => {
            let to = super::temperature(job.units, crate::desk::asks::HEATED);
            format!("a heater in the {} from {}: {to} day and night", place(job, *p), short(*from))
        }
        Lever::Fan { place: p, from } => {
            format!("a fan or dehumidifier in the {} from {}", place(job, *p), short(*from))
        }
        Lever::Product { room, surface, rows, from, to } => format!(
            "{} instead of {} for {}{}",
            product_name(job, to),
            product_name(job, from),
            rows_words(job, *room, *surface, rows),
            in_room(job, *room)
        ),
        Lever::OwnProduct { step, from, to } => {
            let s = &job.steps[*step];
            let name = named(&s.name, &s.id);
            format!("{} instead of {} for {name}", product_name(job, to), product_name(job, from))
        }
        Lever::Method { room, surface, choice, option } => {
            let s = job.rooms.get(*room).and_then(|r| r.surfaces.get(*surface));
            let choices = s.map_or_else(Vec::new, |s| super::choices::choices_of(job, &s.recipe));
            let name = choices.iter().find(|c| c.id == *choice).map_or(choice.as_str(), |c| c.name.as_str());
            let others: Vec<String> = choices
                .iter()
                .filter(|c| c.id == *choice)
                .flat_map(|c| &c.options)
                .filter(|o| *o != option)
                .map(|o| said(o))
                .collect();
            format!("{name}: {} instead of {}{}", said(option), others.join(" or "), in_room(job, *room))
        }
        Lever::Express { delivery, days: n } => {
            let d = &job.deliveries[*delivery];
            let long = if *n == 1 { "1 business day".to_string() } else { format!("{n} business days") };
            format!("{} {long} sooner by faster freight", named(&d.name, &d.id))
        }
        Lever::OrderNow { delivery, on } => {
            let d = &job.deliveries[*delivery];
            let wait = if d.needs.is_empty() { "" } else { ", not waiting for what it waits for" };
            format!("order {} on {}{wait}", named(&d.name, &d.id), short(*on))
        }
        Lever::Later { room, surface, rows } => {
            let what = rows_words(job, *room, *surface, rows);
            format!("{what} after the hand-over{}", in_room(job, *room))
        }
        Lever::OwnLater { step } => {
            let s = &job.steps[*step];
            format!("{} after the hand-over", named(&s.name, &s.id))
        }
        Lever::Stay { person: p, from } => {
            format!("{} stays in one place all day from {}", person(job, *p), short(*from))
        }
        Lever::Decide { decision, by } => {
            let d = &job.decisions[*decision];
            format!("ask for {} by {} instead of {}", named(&d.name, &d.id), short(*by), short(d.by))
        }
        Lever::AnyDay { visit } => {
            let v = &job.visits[*visit];
            format!("ask for {} on any weekday", named(&v.name, &v.id))
        }
        Lever::WalkThrough { room } => format!("ask for the walk-through on any weekday{}", in_room(job, *room)),
    }
}

/// What the client would notice of a lever; empty where nothing.
pub fn notice(job: &Job, lever: &Lever) -> String {
    let home = |p: usize| job.places.get(p).is_some_and(|p| p.kind == PlaceKind::Room);
    match lever {
        Lever::Helper { days: 1, .. } => "a second person in the house for a day".into(),
        Lever::Helper { days: n, .. } => format!("a second person in the house on up to {n} days"),
        Lever::Evenings { days, .. } => {
            let quiet = if job.house.occupied { ", nothing noisy" } else { "" };
            let long = if days.len() == 1 { String::new() } else { format!(" on {} days", days.len()) };
            format!("work in the house until 21:00{long}{quiet}")
        }
        Lever::DaysOff { days, .. } => {
            let long = if days.len() == 1 { "a Saturday".into() } else { format!("{} Saturdays", days.len()) };
            format!("work in the house on {long}")
        }
        Lever::Heat { place: p, .. } if home(*p) => format!("the {} is heated day and night", place(job, *p)),
        Lever::Fan { place: p, .. } if home(*p) => format!("a fan runs in the {} day and night", place(job, *p)),
        Lever::Product { from, to, .. } | Lever::OwnProduct { from, to, .. } => {
            swaps().iter().find(|w| w.from == *from && w.to == *to).map_or_else(String::new, |w| w.notice.clone())
        }
        Lever::Later { room, surface, rows } => {
            format!(
                "the room is in use before the last of it: {} follows on a day of its own",
                rows_words(job, *room, *surface, rows)
            )
        }
        Lever::OwnLater { step } => {
            format!("{} follows on a day of its own", named(&job.steps[*step].name, &job.steps[*step].id))
        }
        Lever::Decide { decision, by } => {
            let d = &job.decisions[*decision];
            format!("asked to settle {} by {}", named(&d.name, &d.id), short(*by))
        }
        Lever::AnyDay { visit } => {
            let v = &job.visits[*visit];
            format!("asked to let {} come on any weekday", named(&v.name, &v.id))
        }
        Lever::WalkThrough { .. } => "asked to walk through on any weekday".into(),
        _ => String::new(),
    }
}

/// A way in words: its levers joined.
pub fn way_words(job: &Job, levers: &[Lever]) -> String {
    let all: Vec<String> = levers.iter().map(|l| lever_words(job, l)).collect();
    match all.as_slice() {
        [] => "another order of the same work".into(),
        [one] => one.clone(),
        many => format!("{}, and {}", many[..many.len() - 1].join("; "), many[many.len() - 1]),
    }
}

/// A way as it is shown.
#[derive(Clone, Debug, PartialEq)]
pub struct WayRow {
    /// From 1.
    pub number: usize,
    pub words: String,
    pub cost: Figure,
    /// `12 % to 31 %`; empty where there is no day to make.
    pub chance: Figure,
    /// `1.2 days sooner`.
    pub days: Figure,
    /// `1.2 days less waiting, 0.3 days less labor`.
    pub split: String,
    /// What the client would notice; empty where nothing.
    pub notice: String,
    pub best: bool,
}

/// `no cost`, `$410`, `saves $185`.
pub fn cents_words(cents: i64) -> String {
    match cents {
        0 => "no cost".into(),
        c if c < 0 => format!("saves {}", dollars(-c)),
        c => dollars(c),
    }
}

/// Each said once.
pub(super) fn notices(job: &Job, levers: &[Lever]) -> String {
    let mut once: Vec<String> = Vec::new();
    for n in levers.iter().map(|l| notice(job, l)).filter(|n| !n.is_empty()) {
        if !once.contains(&n) {
            once.push(n);
        }
    }
    once.join("; ")
}

fn percent(x: f64) -> String {
    // Adding nothing makes a negative nothing a plain one.
    format!("{:.0}", (x * 100.0).round() + 0.0)
}

fn cost_words(job: &Job, l: &CostLine) -> String {
    let row = extra(&job.extras, &l.row);
    let unit = match row.map(|r| r.unit) {
        Some(ExtraUnit::Day) => "days",
        Some(ExtraUnit::BusinessDay) => "business days",
        Some(ExtraUnit::Step) => "steps",
        Some(ExtraUnit::Delivery | ExtraUnit::Visit) => "",
        _ => "h",
    };
    let one = (l.quantity - 1.0).abs() < 0.05;
    let unit = if one { unit.strip_suffix('s').unwrap_or(unit) } else { unit };
    let n = format!("{:.1}", l.quantity);
    let n = n.strip_suffix(".0").unwrap_or(&n).to_string();
    let what = match l.row.as_str() {
        "labor" if l.quantity < 0.0 => "labor saved".to_string(),
        "labor" => "more labor".to_string(),
        "trips" if l.quantity < 0.0 => "trips saved".to_string(),
        "trips" => "more trips".to_string(),
        _ => row.map_or_else(|| l.row.clone(), |r| r.name.clone()),
    };
    let of = if l.of.is_empty() { String::new() } else { format!(" ({})", l.of) };
    let count = if unit.is_empty() { String::new() } else { format!("{n} {unit} x ") };
    let source = match (l.assumed, row) {
        (true, _) => ", an hourly cost the job does not say".to_string(),
        (false, Some(r)) if matches!(l.row.as_str(), "helper-hour") => format!(", {}", tag_words(r.tag)),
        (false, Some(r)) => format!(", {}", tag_words(r.tag)),
        _ => String::new(),
    };
    format!("{what}{of}: {count}${:.2} = {}{source}", l.dollars, dollars(l.cents))
}

fn tag_words(tag: Tag) -> &'static str {
    match tag {
        Tag::Own => "your own",
        Tag::Judgement => "common practice, no source",
        Tag::Memory => "from memory, unchecked",
        Tag::Computed => "computed",
        Tag::Read | Tag::Secondary => "from a source in the table",
    }
}

impl WayRow {
    /// `The client would notice: ...`; empty where nothing.
    pub fn notice_words(&self) -> String {
        if self.notice.is_empty() { String::new() } else { format!("The client would notice: {}.", self.notice) }
    }
}

/// How far the work on them has got.
pub fn progress_words(a: Option<&Answer>) -> String {
    match a {
        None => "Working ways out…".into(),
        Some(a) => format!("Working ways out: {} of {}", a.done, a.of),
    }
}

/// The button that asks for them.
pub fn ways_button(job: &Job) -> &'static str {
    if job.log.is_empty() { "Ways to be safer…" } else { "Ways back…" }
}

/// What is lost when a way is taken back whose records were changed since.
pub fn changed_words(t: &TakenWay, job: &Job) -> String {
    let list = t.changed_since(job).join(", ");
    format!(
        "{list} changed since \"{}\" was taken. Taking it back puts that as it was before, and what was changed since is lost; undo brings it back.",
        t.words
    )
}

/// That another way is to be taken back before this one.
pub fn first_back_words(t: &TakenWay, later: &TakenWay) -> String {
    format!("\"{}\" was taken after \"{}\" and changed the same once more: take it back first.", later.words, t.words)
}

/// The rows of an answer.
pub fn way_rows(a: &Answer) -> Vec<WayRow> {
    let row = |(i, w): (usize, &Way)| {
        let lines: Vec<String> = w.cost.iter().map(|l| cost_words(&w.job, l)).collect();
        let why = if lines.is_empty() { "nothing has to be paid for it".to_string() } else { lines.join("; ") };
        let chance = match (w.before, w.after, w.gain) {
            (Some(b), Some(x), Some(g)) => Figure::new(
                format!("{} to {}", chance_words(b.value, w.finish.len()), chance_words(x.value, w.finish.len())),
                format!(
                    "in the same {} trials it wins {} points, between {} and {} in 19 of 20 cases; after it {} to {} %",
                    super::thousands(w.finish.len()),
                    percent(g.value),
                    percent(g.low),
                    percent(g.high),
                    percent(x.low),
                    percent(x.high)
                ),
            ),
            _ => Figure::default(),
        };
        WayRow {
            number: i + 1,
            words: way_words(&a.job, &w.levers),
            cost: Figure::new(cents_words(w.cents), why),
            chance,
            days: won(&w.days),
            split: split(w),
            notice: notices(&a.job, &w.levers),
            best: a.best == Some(i),
        }
    };
    a.ways.iter().enumerate().map(row).collect()
}

fn won(d: &Interval<f64>) -> Figure {
    let sooner =
        if d.value < -0.05 { format!("{} later", days(-d.value)) } else { format!("{} sooner", days(d.value)) };
    let why = format!(
        "working days at the date 8 in 10 trials reach, in the same trials; between {} and {} in 19 of 20 cases",
        days(d.low),
        days(d.high)
    );
    Figure::new(sooner, why)
}

fn split(w: &Way) -> String {
    let part = |x: f64, what: &str| {
        let size = days(x.abs());
        match (x * 10.0).round() as i64 {
            0 => None,
            n if n > 0 => Some(format!("{size} less {what}")),
            _ => Some(format!("{size} more {what}")),
        }
    };
    let all: Vec<String> =
        [part(w.waiting, "waiting"), part(w.labor, "labor in working hours")].into_iter().flatten().collect();
    if all.is_empty() { String::new() } else { all.join(", ") }
}

/// How the job stands, in a sentence.
pub fn stands_words(a: &Answer) -> String {
    let job = &a.job;
    let al = Almanac(job);
    let eighty = al.day(last_day(a.eighty));
    match (job.target, a.chance) {
        (Some(t), Some(c)) => format!(
            "As it stands, in {} trials: {} by {}; 8 in 10 reach {eighty}.",
            super::thousands(a.trials),
            chance_words(c.value, a.trials),
            day_words(t.day)
        ),
        _ => format!(
            "No day is asked for or promised, so there is none to get back to; ways are told by the days they win. 8 in 10 reach {eighty}."
        ),
    }
}

/// Where another order of the same work is among the ways: what the others are counted from.
pub fn reorder_words(a: &Answer) -> String {
    let at = a.ways.iter().position(|w| w.levers.is_empty());
    at.map_or_else(String::new, |i| {
        format!(
            "Way {} is part of all the others: each has an order of its own, and is told by what it wins beside that.",
            i + 1
        )
    })
}

/// What is to be done, in a sentence.
pub fn best_words(a: &Answer) -> String {
    let want = in_ten(a.job.confidence);
    let Some(b) = a.best else {
        let safe = a.chance.is_some_and(|c| c.value >= a.job.confidence);
        let tried = match (a.whole, safe) {
            (true, true) => "The day is safe as it stands, and nothing that can be done makes it safer by a hundredth.",
            (true, false) => "Nothing that can be done wins anything.",
            _ => "Nothing found so far wins anything.",
        };
        return tried.into();
    };
    let w = &a.ways[b];
    if a.chance.is_some_and(|c| c.value >= a.job.confidence) {
        let after = w.after.map_or_else(String::new, |c| format!(", {}", chance_words(c.value, w.finish.len())));
        let money = cents_words(w.cents);
        return format!("It is {want} and more as it stands. Way {} makes it safer{after}: {money}.", b + 1);
    }
    match (w.after, a.enough) {
        (None, _) => format!("The most is won by way {}: {}.", b + 1, won(&w.days).value),
        (Some(_), true) if w.cents == 0 => format!("The cheapest way to {want} is way {}; it costs nothing.", b + 1),
        (Some(_), true) => format!("The cheapest way to {want} is way {}: {}.", b + 1, cents_words(w.cents)),
        (Some(c), false) => {
            let n = chance_words(c.value, a.trials);
            let short = match percent(a.job.confidence - c.value).as_str() {
                "0" => "less than a point short".to_string(),
                "1" => "1 point short".to_string(),
                n => format!("{n} points short"),
            };
            format!("Nothing tried makes it {want}. The nearest is way {}: {n}, {short}.", b + 1)
        }
    }
}

/// Heading: back to the promise, or safer before work began.
pub fn ways_head(job: &Job) -> &'static str {
    if job.log.is_empty() { "Ways to be safer" } else { "Ways back" }
}

/// Ways to read.
pub fn ways_text(sound: &Sound, a: &Answer) -> String {
    let mut out = format!("{}\n{}{}\n", a.job.name, as_of_line(sound), stands_words(a));
    out += &taken_text(&a.job);
    out += &format!("\n{}\n", ways_head(&a.job));
    for r in way_rows(a) {
        let mark = if r.best { "*" } else { " " };
        out += &laid(&format!("{mark}{:>2}  ", r.number), 5, &r.words);
        let chance = if r.chance.value.is_empty() { String::new() } else { format!(", {}", r.chance.value) };
        out += &format!("       {}{chance}, {}\n", r.cost.value, r.days.value);
        if !r.cost.why.is_empty() && r.cost.value != "no cost" {
            out += &laid("       ", 7, &r.cost.why);
        }
        if !r.split.is_empty() {
            out += &laid("       ", 7, &r.split);
        }
        if !r.notice.is_empty() {
            out += &laid("       ", 7, &format!("The client would notice: {}.", r.notice));
        }
    }
    out += &format!("\n{}\n", best_words(a));
    if !reorder_words(a).is_empty() {
        out += &format!("{}\n", reorder_words(a));
    }
    out += &format!(
        "{} ways tried; those shown are told by the same {} trials and had the full search, as the job as it stands had.\n",
        a.tried,
        super::thousands(a.trials)
    );
    if !a.ways.is_empty() {
        out += "--take N makes one so; --message writes to the client.\n";
    }
    out
}

/// Ways taken before, a line each.
pub fn taken_text(job: &Job) -> String {
    let line = |(i, t): (usize, &TakenWay)| format!("  {}  {}\n", i + 1, taken_words(t));
    let all: String = job.taken.iter().enumerate().map(line).collect();
    if all.is_empty() { all } else { format!("\nTaken (--take-back N takes one back)\n{all}") }
}

/// `Tue 9 Mar: a helper for 2 days from Wed 10 Mar, $410`.
pub fn taken_words(t: &TakenWay) -> String {
    format!("{}: {}, {}", short(t.day), t.words, cents_words(t.cents))
}

fn interval(i: &Interval<f64>) -> Value {
    json!({"value": i.value, "low": i.low, "high": i.high})
}

/// Ways with stable names.
pub fn ways_json(sound: &Sound, a: &Answer) -> Value {
    let al = Almanac(&a.job);
    let ways: Vec<Value> = way_rows(a)
        .iter()
        .zip(&a.ways)
        .map(|(r, w)| {
            let cost: Vec<Value> = w
                .cost
                .iter()
                .map(|l| json!({"row": l.row, "of": l.of, "quantity": l.quantity, "dollars": l.dollars, "cents": l.cents, "assumed": l.assumed}))
                .collect();
            json!({
                "number": r.number, "words": r.words, "cents": w.cents, "cost": cost, "before": w.before.as_ref().map(interval),
                "after": w.after.as_ref().map(interval), "gain": w.gain.as_ref().map(interval), "days": interval(&w.days),
                "finish_p80": al.json(w.eighty), "clean_run": al.json(w.clean_run), "less_waiting_days": w.waiting,
                "less_labor_days": w.labor, "client_notices": r.notice, "searched": w.searched,
            })
        })
        .collect();
    json!({
        "job": a.job.name, "as_of": as_of_json(sound), "target": a.job.target.map(|t| iso_day(t.day)),
        "confidence": a.job.confidence, "chance_of_target": a.chance.as_ref().map(interval),
        "finish_p80": al.json(a.eighty), "clean_run": al.json(a.clean_run), "trials": a.trials, "tried": a.tried,
        "ways": ways, "best": a.best.map(|b| b + 1), "enough": a.enough, "means": best_words(a),
        "taken": taken_json(&a.job), "problems": [],
    })
}

/// Ways taken before, with stable names.
pub fn taken_json(job: &Job) -> Value {
    let one = |t: &TakenWay| json!({"day": iso_day(t.day), "words": t.words, "cents": t.cents});
    json!(job.taken.iter().map(one).collect::<Vec<_>>())
}
