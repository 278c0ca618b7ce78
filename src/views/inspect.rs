//! One step in figures, each with its why: how much, rate, hours, drying, what it waits for,
//! what it can wait.
//!
//! Reads one whole answer and the job as it stands now, which may be an edit ahead: what is
//! changed in place is an entry of the job now, what is told is of the answer.

use super::choices;
use super::holds::{hours, plain_name, stage_words};
use super::plan_text::wait_words;
use super::typed::{humidity, plain};
use super::{Almanac, Figure, ForecastView, PlanView, StepRow, chance_words, takeoff, temperature};
use crate::desk::Sound;
use crate::job::{Job, Units};
use crate::measure::LaborHours;
use crate::search::Found;
use crate::takeoff as off;
use crate::trade::{Product, Rate, Stage, Tag, Unit, tables};
use crate::work::{HourTerm, Kind, Role, Step};

/// Where in the job a step comes from, as indices into the job as it stands.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    /// Room, surface, id of the recipe's row.
    Row(usize, usize, String),
    Own(usize),
    Delivery(usize),
    Decision(usize),
    Visit(usize),
    /// Part of a step again: the key among the risks.
    Redo(String),
    /// Found on opening up: the key among the risks.
    Found(String),
    Unlisted,
    /// Nothing that can be changed by itself.
    Other,
}

/// One term of the hours.
#[derive(Clone, Debug, PartialEq)]
pub struct TermLine {
    pub how_much: Figure,
    /// Id of the rate row.
    pub rate: String,
    /// `yours, 3 jobs`, `starter`: whose the rate is.
    pub whose: String,
    pub line: Figure,
    /// What one of it is called: `SF`, `m2`, `opening`.
    pub unit: &'static str,
    /// Rows are kept an SF or LF; shown per unit of the job: shown = kept x this.
    pub times: f64,
    /// The job's row differs from the table's.
    pub yours: bool,
}

/// A stage of the coat a step leaves.
#[derive(Clone, Debug, PartialEq)]
pub struct StageLine {
    pub stage: Stage,
    /// `ready for sanding`.
    pub what: String,
    pub line: Figure,
    /// Hours in the product's reference air, of a coat as thick as the row's.
    pub hours: f64,
}

/// The product a step leaves.
#[derive(Clone, Debug, PartialEq)]
pub struct CoatLines {
    pub product: String,
    pub line: Figure,
    pub stages: Vec<StageLine>,
    pub yours: bool,
}

/// Everything told of one step.
#[derive(Clone, Debug, PartialEq)]
pub struct Inspected {
    pub id: String,
    pub name: String,
    pub entry: Entry,
    pub terms: Vec<TermLine>,
    pub hours: Option<Figure>,
    /// Labor hours of the recipe's row without set-up, all its batches, to the hundredth: low,
    /// typical, high.
    pub row_hours: (f64, f64, f64),
    pub set_up: Option<(i64, Figure)>,
    /// Fewest and most pairs of hands of a step with labor.
    pub row_hands: Option<(u32, u32)>,
    pub place: Option<Figure>,
    pub hands: Option<Figure>,
    pub coat: Option<CoatLines>,
    /// Why it begins when it does.
    pub waits: Option<Figure>,
    pub can_wait: Option<Figure>,
    pub begins: Option<Figure>,
    pub ends: Option<Figure>,
    pub on_date: Option<Figure>,
}

/// Of a step that holds the clean run.
const CANNOT_WAIT: &str = "not at all if all goes well";
/// What a wait is counted against.
const CLEAN: &str =
    "the likely day allows for what goes wrong, and may not move: drag the step to see what waiting does to it";

fn line(words: impl Into<String>, why: impl Into<String>) -> Figure {
    Figure::new(words, why)
}

/// Square feet in a square metre, feet in a metre.
const PER: (f64, f64) = (1.0 / (0.3048 * 0.3048), 1.0 / 0.3048);

/// The job's unit for a rate, and what a figure per table unit is multiplied with.
pub fn rate_unit(units: Units, unit: Unit) -> (&'static str, f64) {
    match (units, unit) {
        (Units::Metric, Unit::SquareFoot) => ("m2", PER.0),
        (Units::Metric, Unit::LinearFoot) => ("m", PER.1),
        (_, Unit::SquareFoot) => ("SF", 1.0),
        (_, Unit::LinearFoot) => ("LF", 1.0),
        (_, Unit::Day) => ("day", 1.0),
        (_, Unit::Delivery) => ("delivery", 1.0),
        (_, Unit::Room) => ("room", 1.0),
        (_, Unit::Each) => ("piece", 1.0),
        (_, Unit::Opening) => ("opening", 1.0),
        (_, Unit::Window) => ("window", 1.0),
        (_, Unit::Box) => ("box", 1.0),
        (_, Unit::SprayDay) => ("spray day", 1.0),
    }
}

/// Where a figure of a table comes from: `starter figure: common practice, no source`.
pub fn source(tag: Tag, source: &str, yours: bool) -> String {
    if yours || tag == Tag::Own {
        return "your own figure".into();
    }
    let how = match tag {
        Tag::Read => "read in its source",
        Tag::Secondary => "read at second hand",
        Tag::Computed => "worked out from what was read",
        Tag::Memory => "from memory, unchecked",
        Tag::Judgement => "judgement",
        Tag::Own => "your own figure",
    };
    if source.is_empty() { format!("starter figure, {how}") } else { format!("starter figure, {how}: {source}") }
}

/// Whether the job's row is another than the table's.
fn own_rate(job: &Job, id: &str) -> bool {
    choices::rate(job, id).is_some_and(|r| tables().rate(id).is_none_or(|t| t != r))
}

fn own_product(job: &Job, id: &str) -> bool {
    choices::product(job, id).is_some_and(|p| tables().product(id).is_none_or(|t| t != p))
}

fn entry(job: &Job, step: &Step) -> Entry {
    match &step.role {
        Role::Redo { risk, .. } => return Entry::Redo(risk.clone()),
        Role::Surprise { risk, .. } => return Entry::Found(risk.clone()),
        Role::Unlisted => return Entry::Unlisted,
        Role::Scuff { .. } => return Entry::Other,
        Role::Plain => {}
    }
    // The id is looked for in the job as it stands: indices may have moved since the answer.
    let id = step.id.split('+').next().unwrap_or("");
    let gate = |at: Option<usize>, to: fn(usize) -> Entry| at.map_or(Entry::Other, to);
    let of = |list: &str| step.origin.starts_with(list);
    if of("steps[") {
        gate(job.steps.iter().position(|s| s.id == id), Entry::Own)
    } else if of("deliveries[") {
        gate(job.deliveries.iter().position(|s| s.id == id), Entry::Delivery)
    } else if of("decisions[") {
        gate(job.decisions.iter().position(|s| s.id == id), Entry::Decision)
    } else if of("visits[") {
        gate(job.visits.iter().position(|s| s.id == id), Entry::Visit)
    } else {
        let row = row_id(step);
        let room = job.rooms.iter().position(|r| r.id == step.room);
        let surface = room.and_then(|r| job.rooms[r].surfaces.iter().position(|s| s.id == step.surface));
        room.zip(surface).map_or(Entry::Other, |(r, s)| Entry::Row(r, s, row))
    }
}

/// Id of the recipe's row, the batch left out.
fn row_id(step: &Step) -> String {
    let last = step.id.rsplit('/').next().unwrap_or("");
    last.split('#').next().unwrap_or("").to_string()
}

/// The quantity of a term as the take-off prints it, with its formula.
fn how_much(sound: &Sound, step: &Step, t: &HourTerm, unit: &str) -> Figure {
    let room = sound.job.rooms.iter().position(|r| r.id == step.room);
    let surface = room.and_then(|r| sound.job.rooms[r].surfaces.iter().position(|s| s.id == step.surface));
    if let (Some(r), Some(s), false) = (room, surface, t.of.is_empty()) {
        let rooms = off::room(&sound.job, r, &mut Vec::new());
        if let Some(q) = rooms.of_surface(s, &t.of) {
            let row = takeoff::row(q, sound.job.units.style());
            let why = if row.figure.why.is_empty() { row.name.clone() } else { row.figure.why };
            return line(format!("{}, {}", row.total, row.name), why);
        }
    }
    line(format!("{} {unit}", plain(t.quantity)), "your own count")
}

fn three(r: (f64, f64, f64), times: f64) -> [String; 3] {
    [plain(r.0 * times), plain(r.1 * times), plain(r.2 * times)]
}

fn term(job: &Job, sound: &Sound, step: &Step, t: &HourTerm) -> TermLine {
    let row = choices::rate(&sound.job, &t.rate);
    let (unit, times) = row.map_or(("piece", 1.0), |r| rate_unit(sound.job.units, r.unit));
    let [low, typ, high] = three(t.per_unit, times);
    let said = row.map_or_else(String::new, |r| {
        let jobs = match r.jobs {
            0 => String::new(),
            n => format!(", {n} of your jobs behind it"),
        };
        source(r.tag, &r.source, own_rate(&sound.job, &r.id)) + &jobs
    });
    let name = row.map_or(t.rate.as_str(), |r| r.name.as_str());
    let why = format!(
        "{name}: of ten jobs one is quicker than {low} h a {unit}, half are quicker than {typ}, one is slower than \
         {high}; {said}"
    );
    TermLine {
        how_much: how_much(sound, step, t, unit),
        rate: t.rate.clone(),
        whose: row.map_or_else(String::new, super::whose),
        line: line(format!("{typ} h a {unit} ({low} to {high})"), why),
        unit,
        times,
        yours: own_rate(job, &t.rate),
    }
}

fn spread_words(low: f64, typ: f64, high: f64) -> String {
    let h = |m: f64| LaborHours(libm::round(m) as i64).to_string();
    if low == high { h(typ) } else { format!("{} ({} to {})", h(typ), h(low), h(high)) }
}

/// How the hours of a step come about.
pub fn hours_why(job: &Job, step: &Step) -> Option<String> {
    hours_line(job, step).map(|f| f.why)
}

/// The hours of a step and how they come about.
fn hours_line(job: &Job, step: &Step) -> Option<Figure> {
    let l = step.labor;
    match step.kind {
        Kind::Labor => {
            let mut parts: Vec<String> = Vec::new();
            for t in &step.terms {
                let (unit, times) =
                    choices::rate(job, &t.rate).map_or(("piece", 1.0), |r| rate_unit(job.units, r.unit));
                let factor = if (t.factor - 1.0).abs() < 1e-9 {
                    String::new()
                } else {
                    format!(" x {} for difficulty and shares", plain(t.factor))
                };
                let (q, rate) = (plain((t.quantity / times * 100.0).round() / 100.0), plain(t.per_unit.1 * times));
                parts.push(format!("{q} {unit} x {rate} h a {unit}{factor}"));
            }
            if parts.is_empty() {
                parts.push(match step.role {
                    Role::Redo { share, .. } => format!("{} % of the step's hours again", plain(share * 100.0)),
                    Role::Unlisted => "a share of all hours of the room".into(),
                    _ => "hours given for this step".into(),
                });
            }
            if step.setup_min > 0 && !step.terms.is_empty() {
                parts.push(format!("{} set-up", hours(step.setup_min)));
            }
            let words = spread_words(l.low, l.typ, l.high);
            let typ = LaborHours(libm::round(l.typ) as i64);
            let why = format!(
                "{} = {typ} typical; of ten jobs one is quicker than the low, one slower than the high",
                parts.join(" + ")
            );
            Some(line(words, why))
        }
        Kind::Elapsed(s) if s.typ > 0.0 => {
            Some(line(spread_words(s.low, s.typ, s.high), "nobody's hands: time by the clock, nights and days off too"))
        }
        Kind::Business { minutes, late } => {
            let days = plain(minutes as f64 / 1440.0);
            Some(line(format!("{days} business days"), late_words(late, "business days")))
        }
        _ => None,
    }
}

fn late_words(late: Option<(f64, i64)>, unit: &str) -> String {
    match late {
        Some((chance, minutes)) => {
            let (c, d) = (plain(chance * 100.0), plain(minutes as f64 / 1440.0));
            format!("nobody's hands; late {c} times in 100, then by {d} {unit}")
        }
        None => "nobody's hands; taken to be in time".into(),
    }
}

fn place_line(sound: &Sound, step: &Step) -> Option<Figure> {
    let p = sound.job.places.get(step.place?)?;
    let air = |a: crate::clock::Air| format!("{}, {}", temperature(sound.job.units, a.temp_f), humidity(a));
    let why =
        format!("air of the {}: {} in its work hours, {} at other hours", p.name, air(p.work_air), air(p.off_air));
    Some(line(p.name.clone(), why))
}

fn hands_line(sound: &Sound, step: &Step, row: Option<&StepRow>) -> Option<Figure> {
    let c = &step.crew;
    if c.fewest == 0 {
        return None;
    }
    let pair = |n: usize| if n == 1 { "one pair of hands".to_string() } else { format!("{n} pairs of hands") };
    let words = if c.fewest == c.most { pair(c.most) } else { format!("{} to {}", c.fewest, pair(c.most)) };
    let name = |&w: &usize| sound.job.crew.get(w).map(|p| p.name.as_str());
    let who: Vec<&str> = row.map_or(&[][..], |r| &r.who).iter().filter_map(name).collect();
    let may: Vec<&str> = c.who.iter().filter_map(name).collect();
    let may = may.join(", ");
    let why = if who.is_empty() {
        format!("may be done by {may}")
    } else {
        format!("done by {} in this plan; may be done by {may}", who.join(" and "))
    };
    Some(line(words, why))
}

fn stage_line(
    sound: &Sound,
    step: &Step,
    row: Option<&StepRow>,
    p: &Product,
    thick: f64,
    s: Stage,
) -> Option<StageLine> {
    let kept = p.hours.hours(s)?;
    let at = kept * thick;
    let units = sound.job.units;
    let mut words = format!("{} h", plain((at * 100.0).round() / 100.0));
    let coat =
        if (thick - 1.0).abs() < 1e-9 { String::new() } else { format!(" x {} for its thickness", plain(thick)) };
    let mut why =
        format!("{} h{coat} at {}, {:.0} % RH", plain(kept), temperature(units, p.ref_temp_f), p.ref_rh * 100.0);
    let ready = row.and_then(|r| r.ready.iter().find(|x| x.0 == s).map(|x| (r.end, x.1)));
    if let Some((end, ready)) = ready {
        let there = step.place.and_then(|p| sound.job.places.get(p)).map_or("here", |p| p.name.as_str());
        let here = hours(ready.0 - end.0);
        words += &format!("; {here} here, {}", Almanac(&sound.job).short(ready));
        why += &format!("; the air of the {there} from its end on makes that {here}");
    }
    let what = stage_words(s).trim_start_matches("to be ").to_string();
    Some(StageLine { stage: s, what, line: line(words, why), hours: at })
}

fn coat(job: &Job, sound: &Sound, step: &Step, row: Option<&StepRow>) -> Option<CoatLines> {
    let c = step.coat?;
    let p = &sound.graph.products[c.product];
    let limits: Vec<String> = [
        p.least_temp_f.map(|t| format!("not below {}", temperature(sound.job.units, t))),
        p.most_rh.map(|h| format!("not above {:.0} % RH", h * 100.0)),
    ]
    .into_iter()
    .flatten()
    .collect();
    let yours = own_product(job, &p.id);
    let mut why = source(p.tag, &p.source, own_product(&sound.job, &p.id));
    if !limits.is_empty() {
        why = format!("{}; {why}", limits.join(", "));
    }
    let stages = Stage::ALL.into_iter().filter_map(|s| stage_line(sound, step, row, p, c.thick, s)).collect();
    Some(CoatLines { product: p.id.clone(), line: line(p.name.clone(), why), stages, yours })
}

/// Reads a step of an answer. `float` says whether what can wait is known yet.
pub fn inspect(
    job: &Job,
    sound: &Sound,
    found: &Found,
    plan: &PlanView,
    float: bool,
    odds: (&ForecastView, usize),
    step: usize,
) -> Inspected {
    let s = &sound.graph.steps[step];
    let row = plan.steps.iter().find(|r| r.step == step);
    let a = Almanac(&sound.job);
    let waits = row
        .and_then(|r| r.held.as_ref())
        .map(|(w, since)| line(w.sentence.clone(), format!("what it waited for came free {}", a.short(*since))));
    let on_chain = plan.stretches.iter().any(|x| x.step == step);
    let can_wait = row.filter(|_| float).map(|r| match r.float {
        _ if on_chain => line(CANNOT_WAIT, format!("it is one of the steps that hold the clean run; {CLEAN}")),
        Some(f) if f > 0 => line(
            wait_words(sound, found, f, r.begin),
            format!("working time its begin can move with the end of the clean run where it is, the other steps in this order; {CLEAN}"),
        ),
        _ => line(CANNOT_WAIT, format!("a later begin would move the end of the clean run; {CLEAN}")),
    });
    let can_wait = can_wait.or_else(|| row.filter(|_| !float).map(|_| line("counting…", "being worked out")));
    let on_date = odds.0.on_date.iter().find(|x| x.0 == step).map(|x| {
        let why = format!("share of {} trials in which the last day hangs on this step", super::thousands(odds.1));
        line(chance_words(x.1, odds.1), why)
    });
    let mine: Vec<&Step> = sound
        .graph
        .steps
        .iter()
        .filter(|x| x.origin == s.origin && x.role == s.role && x.when == s.when)
        .filter(|x| row_id(x) == row_id(s))
        .collect();
    let sum = |of: fn(&Step) -> f64| {
        let h = mine.iter().map(|x| (of(x) - x.setup_min as f64).max(0.0)).sum::<f64>() / 60.0;
        libm::round(h * 100.0) / 100.0
    };
    let set_up = (s.kind == Kind::Labor).then(|| {
        let why = "at the head of the step, once however often it is picked up again";
        (s.setup_min, line(hours(s.setup_min), why))
    });
    let planned = |at: crate::clock::At| line(a.short(at), "in the plan as it stands, everything typical");
    Inspected {
        id: s.id.clone(),
        name: plain_name(sound, step).to_string(),
        entry: entry(job, s),
        terms: s.terms.iter().map(|t| term(job, sound, s, t)).collect(),
        hours: hours_line(&sound.job, s),
        row_hours: (sum(|x| x.labor.low), sum(|x| x.labor.typ), sum(|x| x.labor.high)),
        set_up,
        row_hands: (s.kind == Kind::Labor).then_some((s.crew.fewest as u32, s.crew.most as u32)),
        place: place_line(sound, s),
        hands: hands_line(sound, s, row),
        coat: coat(job, sound, s, row),
        waits,
        can_wait,
        begins: row.map(|r| planned(r.begin)),
        ends: row.map(|r| {
            line(
                format!("{} {}", a.short_day(crate::forecast::last_day(r.end)), a.time(r.end)),
                "in the plan as it stands, everything typical",
            )
        }),
        on_date,
    }
}

/// The row of a rate as it would stand with these hours a unit of the job.
pub fn rate_with(row: &Rate, times: f64, shown: (f64, f64, f64)) -> Rate {
    Rate {
        low: shown.0 / times,
        typ: shown.1 / times,
        high: shown.2 / times,
        tag: Tag::Own,
        source: "your own figure".into(),
        ..row.clone()
    }
}

#[cfg(test)]
mod tests;
