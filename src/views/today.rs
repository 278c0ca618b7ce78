//! Today and the next workday: what, where, ready when, what to load and to order, what dries
//! tonight.
//!
//! Days come from the plan as of the moment asked at, everything typical. What to load is what
//! the steps of a stretch in one place are made of; it is said where the work changes place.

use serde_json::{Value, json};

use super::holds::{plain_name, stage_words};
use super::{Almanac, PlanView, air, portions};
use crate::clock::{At, DAY, UNIT};
use crate::desk::{Sound, evening::works};
use crate::forecast::world::crew_clock;
use crate::measure::LaborHours;
use crate::search::Found;
use crate::work::{Ask, Kind};

/// A stretch of work of a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Doing {
    pub step: usize,
    pub begin: At,
    pub end: At,
    /// Labor minutes of all hands.
    pub labor_min: i64,
    /// Names.
    pub who: Vec<String>,
    /// Place's name; empty without one.
    pub place: String,
    /// To be taken along, where the work changes place here.
    pub load: Vec<String>,
    /// `ready for the next coat Wed 10 Mar 5:10`.
    pub ready: Vec<(crate::trade::Stage, At)>,
    pub goes_on: bool,
}

/// A day's work and its night.
#[derive(Clone, Debug, PartialEq)]
pub struct DaySheet {
    pub day: i64,
    pub work: Vec<Doing>,
    /// Coats wet at its close: step, and when they are ready in words; the first ready first.
    pub tonight: Vec<(usize, String)>,
    /// Deliveries, visits, results and choices of the day, each a line.
    pub coming: Vec<String>,
}

/// A delivery to be ordered.
#[derive(Clone, Debug, PartialEq)]
pub struct ToOrder {
    pub step: usize,
    /// When the plan orders it, and the last day that keeps the plan's finish.
    pub planned: At,
    pub last: i64,
}

/// The sheet of an evening.
#[derive(Clone, Debug, PartialEq)]
pub struct TodayView {
    /// Days not written up, asked about first.
    pub open: Vec<i64>,
    /// Deliveries whose planned day of order has passed without a word: was it ordered?
    pub ordered: Vec<(usize, At)>,
    pub days: Vec<DaySheet>,
    pub order: Vec<ToOrder>,
}

impl TodayView {
    /// Reads the plan from the moment it is asked at: that day and the next workday.
    pub fn new(sound: &Sound, found: &Found) -> TodayView {
        TodayView::read(sound, found, 2)
    }

    /// All days from the moment it is asked at to the last.
    pub fn whole(sound: &Sound, found: &Found) -> TodayView {
        TodayView::read(sound, found, usize::MAX)
    }

    fn read(sound: &Sound, found: &Found, most: usize) -> TodayView {
        let facts = sound.setting.standing.as_deref();
        let now = facts.map_or(0, |f| f.as_of.0);
        let view = PlanView::new(sound, found);
        let last = found.plan.finish.0.div_euclid(DAY);
        let days: Vec<i64> = (now.div_euclid(DAY)..=last).filter(|&d| works(sound, d)).take(most).collect();
        let all = portions(&sound.net(found), &found.plan);
        let sheet = |&day: &i64| DaySheet {
            day,
            work: doing(sound, found, &view, all.get(&day).map_or(&[], Vec::as_slice), now),
            tonight: tonight(sound, found, &view, day),
            coming: coming(sound, found, day),
        };
        let days: Vec<DaySheet> = days.iter().map(sheet).collect();
        let until = days.last().map_or(now.div_euclid(DAY), |d| d.day) + 1;
        let order = to_order(sound, &view, now, until);
        let open = super::open_days(sound).into_iter().map(|d| sound.job.day_of(d)).collect();
        TodayView { open, ordered: unsaid(sound, &view, now), days, order }
    }
}

fn doing(sound: &Sound, found: &Found, view: &PlanView, list: &[super::Portion], now: i64) -> Vec<Doing> {
    let net = sound.net(found);
    let asked = |s: usize| -> Vec<crate::trade::Stage> {
        let stage = |d: &crate::schedule::Dep| match d.ask {
            Ask::Dry(stage) if d.from == s => Some(stage),
            _ => None,
        };
        net.followers[s].iter().flat_map(|&f| net.deps[f].iter().filter_map(stage)).collect()
    };
    let base = |s: usize| sound.graph.steps[s].place.map(|p| sound.setting.spots[p].base);
    let left: Vec<&super::Portion> = list.iter().filter(|p| p.end.0 > now).collect();
    let mut out: Vec<Doing> = Vec::new();
    for (i, p) in left.iter().enumerate() {
        let step = &sound.graph.steps[p.step];
        let row = view.steps.iter().find(|r| r.step == p.step);
        let stages = asked(p.step);
        let ready = row
            .filter(|_| !p.goes_on)
            .map_or_else(Vec::new, |r| r.ready.iter().filter(|x| stages.contains(&x.0)).copied().collect::<Vec<_>>());
        let labor = (p.minutes - p.trip) * p.people.len() as i64;
        if let Some(last) = out.last_mut().filter(|l| l.step == p.step && p.begin.0 - l.end.0 <= 60) {
            last.end = p.end;
            last.labor_min += labor;
            last.goes_on = p.goes_on;
            last.ready = ready;
            continue;
        }
        let changes = i == 0 || base(left[i - 1].step) != base(p.step);
        let here = left[i..].iter().take_while(|q| base(q.step) == base(p.step)).map(|q| q.step);
        let name =
            |&w: &usize| sound.job.crew.get(w).map(|c| if c.name.is_empty() { c.id.clone() } else { c.name.clone() });
        out.push(Doing {
            step: p.step,
            begin: At(p.begin.0 + p.trip).min(p.end),
            end: p.end,
            labor_min: labor,
            who: p.people.iter().filter_map(name).collect(),
            place: step
                .place
                .and_then(|x| sound.job.places.get(x))
                .map_or_else(String::new, |x| if x.name.is_empty() { x.id.clone() } else { x.name.clone() }),
            load: if changes { load(sound, found, here) } else { Vec::new() },
            ready,
            goes_on: p.goes_on,
        });
    }
    out
}

/// Products and delivered stock of some steps, each once, in order of need.
fn load(sound: &Sound, found: &Found, steps: impl Iterator<Item = usize>) -> Vec<String> {
    let net = sound.net(found);
    let mut out: Vec<String> = Vec::new();
    let mut put = |x: &str| {
        if !x.is_empty() && !out.iter().any(|o| o == x) {
            out.push(x.to_string());
        }
    };
    for s in steps {
        for d in &net.deps[s] {
            let from = &sound.graph.steps[d.from];
            if from.origin.starts_with("deliveries[") {
                put(&from.name);
            }
        }
        if let Some(c) = sound.graph.steps[s].coat {
            put(&sound.graph.products[c.product].name);
        }
    }
    out
}

fn tonight(sound: &Sound, found: &Found, view: &PlanView, day: i64) -> Vec<(usize, String)> {
    let reader = air::Reader::new(sound, found, view);
    let used = |p: &usize| sound.graph.steps.iter().any(|s| s.place == Some(*p) && s.coat.is_some());
    let places = (0..sound.job.places.len()).filter(used);
    let mut out: Vec<(usize, String)> =
        places.flat_map(|p| reader.place(p, day).tonight).map(|t| (t.wet.step, t.figure.value)).collect();
    let close = (day + 1) * DAY;
    let ready = |s: usize| {
        let stages = view.steps.iter().filter(|r| r.step == s).flat_map(|r| &r.ready);
        stages.map(|r| r.1.0).filter(|at| *at >= close).min().unwrap_or(close)
    };
    out.sort_by_key(|t| ready(t.0));
    out
}

/// What comes, who comes and what must be settled on a day. What is there already is left out.
fn coming(sound: &Sound, found: &Found, day: i64) -> Vec<String> {
    let a = Almanac(&sound.job);
    let known = sound.setting.standing.as_deref();
    let mut out: Vec<(i64, String)> = Vec::new();
    for t in &found.plan.steps {
        let s = &sound.graph.steps[t.step];
        if s.crew.fewest > 0 || known.and_then(|f| f.steps.get(t.step)).is_some_and(|x| x.ended.is_some()) {
            continue;
        }
        let name = plain_name(sound, t.step);
        let ends = t.end.day().max(t.begin.day());
        let begins = t.begin.day() == day && t.begin < t.end;
        match s.kind {
            Kind::Business { .. } if s.origin.starts_with("deliveries[") && ends == day => {
                out.push((0, format!("delivery: {name}")));
            }
            // Somebody free to come is not he himself.
            Kind::Business { .. } if s.id.ends_with("+free") => {}
            Kind::Business { .. } if ends == day => {
                out.push((1, format!("must be in before the work that waits for it: {name}")));
            }
            Kind::Decision { at, .. } if at.day() == day => out.push((1, format!("to be settled: {name}"))),
            Kind::Elapsed(_) if s.origin.starts_with("visits[") && begins => {
                out.push((2, format!("comes {}: {name}", a.time(t.begin))));
            }
            _ => {}
        }
    }
    out.sort();
    out.into_iter().map(|x| x.1).collect()
}

/// Deliveries the plan has ordered by now of which nobody said that they are, that they came, or
/// when they come.
fn unsaid(sound: &Sound, view: &PlanView, now: i64) -> Vec<(usize, At)> {
    let facts = sound.setting.standing.as_deref();
    let said = |s: usize| facts.and_then(|f| f.steps.get(s)).is_some_and(|x| x.ended.is_some() || x.coming.is_some());
    let one = |r: &super::StepRow| {
        let at = delivery(sound, r.step)?;
        let open = sound.job.deliveries[at].ordered.is_none() && !said(r.step) && r.begin.day() < now.div_euclid(DAY);
        open.then_some((r.step, r.begin))
    };
    view.steps.iter().filter_map(one).collect()
}

/// Place of a step among the job's deliveries.
fn delivery(sound: &Sound, step: usize) -> Option<usize> {
    let at = sound.graph.steps[step].origin.strip_prefix("deliveries[")?.strip_suffix(']')?.parse().ok()?;
    (at < sound.job.deliveries.len()).then_some(at)
}

/// Deliveries the plan has not ordered yet that are due by the morning after the days shown, or
/// whose last day is within a week of them.
fn to_order(sound: &Sound, view: &PlanView, now: i64, until: i64) -> Vec<ToOrder> {
    let clock = crew_clock(&sound.setting).0;
    let one = |r: &super::StepRow| {
        let s = &sound.graph.steps[r.step];
        let ordered = sound.job.deliveries[delivery(sound, r.step)?].ordered.is_some();
        if !matches!(s.kind, Kind::Business { .. }) || ordered || r.begin.0 < now {
            return None;
        }
        let late = clock.reach(r.begin.0, r.float.unwrap_or(0) * UNIT).unwrap_or(r.begin.0);
        let last = late.div_euclid(DAY);
        (r.begin.0 < until * DAY || last < until + 7).then_some(ToOrder { step: r.step, planned: r.begin, last })
    };
    view.steps.iter().filter_map(one).collect()
}

/// The sheet to read.
pub fn today_text(sound: &Sound, view: &TodayView) -> String {
    let a = Almanac(&sound.job);
    let mut out = format!("{}\n{}", sound.job.name, super::as_of_line(sound));
    if !view.open.is_empty() {
        let days: Vec<String> = view.open.iter().map(|&d| a.short_day(d)).collect();
        out += "\n";
        out += &super::laid(
            "",
            2,
            &format!("How did it go on {}? Write them up first: roomback log JOB --day DAY", days.join(", ")),
        );
    }
    for (s, at) in &view.ordered {
        let name = plain_name(sound, *s);
        out += "\n";
        out += &super::laid(
            "",
            2,
            &format!(
                "Is \"{name}\" ordered? The plan had it ordered {}. Say when it comes: roomback late JOB --id {} --coming DAY",
                a.short_day(at.day()),
                sound.graph.steps[*s].id
            ),
        );
    }
    if view.days.is_empty() {
        out += "\nNothing is left to do.\n";
    }
    for d in &view.days {
        let labor: i64 = d.work.iter().map(|w| w.labor_min).sum();
        out += &format!("\n{}", a.day(d.day));
        out += &if labor > 0 { format!("  {}\n", LaborHours(labor)) } else { "  nothing to do\n".into() };
        for w in &d.work {
            if !w.load.is_empty() {
                out += "  ";
                out += super::laid(
                    "",
                    8,
                    &format!(
                        "{}load {}",
                        if w.place.is_empty() { String::new() } else { format!("to the {}: ", w.place) },
                        w.load.join(", ")
                    ),
                )
                .trim_start();
            }
            let s = &sound.graph.steps[w.step];
            let name = plain_name(sound, w.step);
            let surface = if s.surface.is_empty() || name.contains(&s.surface) {
                String::new()
            } else {
                format!(" ({})", s.surface)
            };
            let on = if w.goes_on { ", goes on" } else { "" };
            out += &format!(
                "  {:>5} {:>7}  {}  {}  {name}{surface}{on}\n",
                a.time(w.begin),
                super::site::hours(w.labor_min),
                w.who.join(", "),
                w.place
            );
            for (stage, at) in &w.ready {
                out += &format!("{:17}{} {}\n", "", stage_words(*stage).trim_start_matches("to be "), a.short(*at));
            }
        }
        if !d.tonight.is_empty() {
            out += "  Dries tonight\n";
        }
        for (s, words) in &d.tonight {
            out += "    ";
            out += super::laid("", 6, &format!("{}: {words}", plain_name(sound, *s))).trim_start();
        }
    }
    if !view.order.is_empty() {
        out += "\nTo order\n";
    }
    for o in &view.order {
        out += &format!("  {}\n", super::site::sheet::order_words(sound, o));
    }
    out
}

/// The sheet with stable names.
pub fn today_json(sound: &Sound, view: &TodayView) -> Value {
    let a = Almanac(&sound.job);
    let id = |s: usize| sound.graph.steps[s].id.as_str();
    let doing = |w: &Doing| {
        let ready: serde_json::Map<String, Value> = w
            .ready
            .iter()
            .filter_map(|(s, at)| Some((serde_json::to_value(s).ok()?.as_str()?.to_string(), a.json(*at))))
            .collect();
        json!({
            "step": id(w.step), "name": plain_name(sound, w.step), "place": w.place, "who": w.who,
            "start": a.json(w.begin), "end": a.json(w.end), "labor_h": w.labor_min as f64 / 60.0,
            "goes_on": w.goes_on, "load": w.load, "ready": ready,
        })
    };
    let day = |d: &DaySheet| {
        let night = |(s, words): &(usize, String)| json!({"step": id(*s), "words": words});
        json!({
            "day": a.json_day(d.day), "work": d.work.iter().map(doing).collect::<Vec<_>>(),
            "tonight": d.tonight.iter().map(night).collect::<Vec<_>>(),
        })
    };
    let order = |o: &ToOrder| json!({"step": id(o.step), "planned": a.json_day(o.planned.day()), "last_day": a.json_day(o.last)});
    json!({
        "job": sound.job.name, "as_of": super::as_of_json(sound),
        "open": view.open.iter().map(|&d| a.json_day(d)).collect::<Vec<_>>(),
        "ordered": view.ordered.iter()
            .map(|(s, at)| json!({"step": id(*s), "planned": a.json_day(at.day())})).collect::<Vec<_>>(),
        "days": view.days.iter().map(day).collect::<Vec<_>>(),
        "order": view.order.iter().map(order).collect::<Vec<_>>(), "problems": [],
    })
}
