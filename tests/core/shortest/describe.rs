//! A job as `tests/oracle/shortest.py` reads it: steps, links and methods, and the weekly
//! tables of people, places, suppliers and coats with their exceptions, nothing compiled.
//!
//! Minutes are counted from midnight of the job's first day; labor is in thousandths of a
//! minute, drying in micro-minutes a minute. Days of a week are counted from that first day.

use roomback::clock::{Air, DAY, DayShift, UNIT, skim_damp};
use roomback::schedule::Setting;
use roomback::trade::{Product, Stage};
use roomback::work::{Ask, Kind, Role, Step, WorkGraph};
use serde_json::{Value, json};

/// Exceptions to a week are looked for in so many days.
const DAYS: i64 = 84;

/// Trips are reckoned among so many runs at most.
const MOST_RUNS: usize = 9;

/// Part of a plan: planned, or a scuff-sand that may become due.
pub fn counts(step: &Step) -> bool {
    step.role.planned() || matches!(step.role, Role::Scuff { .. })
}

/// Whether hands work on a step.
pub fn worked(step: &Step) -> bool {
    matches!(step.kind, Kind::Labor) && step.labor.typical() > 0
}

/// Labor of each piece, thousandths, cut to whole minutes.
fn pieces(step: &Step) -> Vec<i64> {
    let total = step.labor.typical();
    let (mut sum, mut cut, mut out) = (0.0, 0, Vec::new());
    for (k, share) in step.pieces.iter().enumerate() {
        sum += share;
        let to = if k + 1 == step.pieces.len() { total } else { (sum * total as f64).round() as i64 };
        out.push((to - cut) * 1000);
        cut = to;
    }
    out
}

/// Other coats whose damp air may slow or quicken the drying of `i`.
fn dampers(graph: &WorkGraph, setting: &Setting, i: usize) -> Vec<usize> {
    let Some(p) = graph.steps[i].place.filter(|&p| !setting.spots[p].fan && graph.steps[i].coat.is_some()) else {
        return Vec::new();
    };
    let damps = |j: &usize| {
        let s = &graph.steps[*j];
        let same = s.place.is_some_and(|q| setting.spots[q].air == setting.spots[p].air);
        *j != i && counts(s) && same && s.coat.is_some_and(|c| graph.products[c.product].damps_room)
    };
    (0..graph.steps.len()).filter(damps).collect()
}

/// Why the outside model cannot take a job, if it cannot. These are limits of the model,
/// not of the program.
pub fn unfit(graph: &WorkGraph, setting: &Setting) -> Option<&'static str> {
    let hands: Vec<&Step> = graph.steps.iter().filter(|s| counts(s) && worked(s)).collect();
    let places: Vec<usize> = hands.iter().filter_map(|s| s.place).collect();
    let trips = places.iter().any(|&a| places.iter().any(|&b| setting.trip(a, b) > 0));
    if trips && hands.iter().any(|s| s.place.is_none()) {
        return Some("trips beside work in no place");
    }
    let runs = |s: &&Step| if s.flags.one_go { s.pieces.len() } else { 1 + 2 * usize::from(s.flags.set_down) };
    if trips && hands.iter().map(runs).sum::<usize>() > MOST_RUNS {
        return Some("trips among many runs");
    }
    if (0..graph.steps.len()).any(|i| counts(&graph.steps[i]) && dampers(graph, setting, i).len() > 1) {
        return Some("two skim coats damp one coat");
    }
    let mut windows = vec![0; graph.steps.len()];
    for l in graph.links.iter().filter(|l| l.longest_h.is_some()) {
        windows[l.to] += 1;
        let held = graph.links.iter().any(|k| k.to == l.from && matches!(k.ask, Ask::EndAfterEnd | Ask::EndAfterBegin));
        if windows[l.to] > 1 || held || !dampers(graph, setting, l.from).is_empty() {
            return Some("a recoat window that damp air moves");
        }
    }
    let beside = |h: usize, a: &Step, b: &Step| {
        let both = a.id != b.id && a.place.is_some() && a.place == b.place;
        both && a.crew.who.contains(&h) && b.crew.who.iter().any(|&w| w != h)
    };
    for h in (0..setting.workers.len()).filter(|&h| setting.workers[h].helper) {
        if hands.iter().any(|a| hands.iter().any(|b| beside(h, a, b))) {
            return Some("a helper beside others at another step");
        }
    }
    None
}

fn stage_name(stage: Stage) -> &'static str {
    match stage {
        Stage::DustFree => "dust_free",
        Stage::Sand => "sand",
        Stage::Recoat => "recoat",
        Stage::Tape => "tape",
        Stage::Handle => "handle",
        Stage::Shut => "shut",
        Stage::Full => "full",
    }
}

fn stretches(day: DayShift) -> Value {
    json!(day.stretches().iter().map(|&(a, b)| [a, b]).collect::<Vec<_>>())
}

/// A weekly pattern and the days that differ from it.
fn calendar(of: impl Fn(i64) -> Value) -> (Vec<Value>, Vec<(i64, Value)>) {
    let week: Vec<Value> = (0..7).map(|d| of(DAYS + d)).collect();
    let other = (0..DAYS).map(|d| (d, of(d))).filter(|(d, v)| *v != week[(d % 7) as usize]).collect();
    (week, other)
}

/// Stages anything in the job may wait for.
fn asked(graph: &WorkGraph, i: usize) -> Vec<Stage> {
    let step = &graph.steps[i];
    let Some(coat) = step.coat.filter(|_| step.place.is_some()) else { return Vec::new() };
    let product = &graph.products[coat.product];
    let wanted = |stage: &Stage| {
        let linked = graph.links.iter().any(|l| l.from == i && l.ask == Ask::Dry(*stage));
        let windowed = graph.links.iter().any(|l| l.from == i && l.longest_h.is_some()) && *stage == Stage::Recoat;
        let own = *stage == Stage::DustFree && (product.wet_to_dust || step.flags.closes)
            || *stage == Stage::Handle && step.racks > 0;
        product.hours.hours(*stage).is_some() && (linked || windowed || own)
    };
    Stage::ALL.into_iter().filter(wanted).collect()
}

/// Micro-minutes of drying a minute.
fn micro(product: &Product, stage: Stage, air: Air) -> i64 {
    (product.speed(stage, air).max(0.0) * UNIT as f64).round() as i64
}

fn step(graph: &WorkGraph, setting: &Setting, i: usize) -> Value {
    let s = &graph.steps[i];
    if !counts(s) {
        return Value::Null;
    }
    let mut out = json!({ "id": s.id });
    let mut put = |key: &str, value: Value| out[key] = value;
    match &s.kind {
        Kind::Labor => put("pieces", json!(if s.flags.one_go { pieces(s) } else { vec![s.labor.typical() * 1000] })),
        Kind::Elapsed(d) => put("elapsed", json!(d.typical())),
        Kind::Business { minutes, .. } => put("business", json!(minutes)),
        Kind::Decision { at, .. } => put("decided", json!(at.0)),
    }
    if worked(s) {
        put("hands", json!([s.crew.fewest.max(1), s.crew.most.max(s.crew.fewest).max(1)]));
        put("who", json!(s.crew.who));
        if s.setup_min > 0 {
            put("setup", json!(s.setup_min));
        }
        let f = &s.flags;
        let named = [
            ("one_go", f.one_go),
            ("set_down", f.set_down),
            ("dusty", f.dusty),
            ("noisy", f.noisy),
            ("closes", f.closes),
        ];
        put("flags", json!(named.iter().filter(|n| n.1).map(|n| n.0).collect::<Vec<_>>()));
        if s.racks > 0 {
            put("racks", json!(s.racks));
        }
    }
    if let Some(e) = s.earliest {
        put("earliest", json!(e.0));
    }
    if !s.windows.is_empty() {
        // Weekdays as days of the job's own week.
        let own =
            |days: [bool; 7]| (0..7).map(|d| days[((setting.first_weekday + d) % 7) as usize]).collect::<Vec<_>>();
        let windows = s.windows.iter().map(|w| json!([own(w.days), w.day, w.from, w.to]));
        put("windows", windows.collect());
    }
    if !s.when.is_empty() {
        put("when", json!(s.when));
    }
    if let Role::Scuff { of } = s.role {
        put("scuff", json!(of));
    }
    let Some(p) = s.place else { return out };
    put("place", json!(p));
    let week = &setting.spots[p].week;
    let product = s.coat.map(|c| &graph.products[c.product]);
    let may = |air| s.rh_below.is_none_or(|h| Air::rh(&air) < h) && product.is_none_or(|x| x.dries_in(air));
    if !(may(week.work) && may(week.off)) {
        put("may", json!([may(week.work), may(week.off)]));
    }
    if let (Some(c), Some(product)) = (s.coat, product) {
        let mut dry = serde_json::Map::new();
        for stage in asked(graph, i) {
            let minutes = ((product.hours.hours(stage).unwrap_or(0.0) * 60.0 * c.thick).round() as i64).max(1);
            let (w, o) = (week.work, week.off);
            let speeds = [w, o, skim_damp(w), skim_damp(o)].map(|a| micro(product, stage, a));
            dry.insert(stage_name(stage).into(), json!({ "minutes": minutes, "speeds": speeds }));
        }
        put("dry", Value::Object(dry));
        put("wet", json!(product.wet_to_dust));
        let damped = dampers(graph, setting, i);
        if !damped.is_empty() {
            put("damped_by", json!(damped));
        }
    }
    out
}

/// The whole job.
pub fn describe(graph: &WorkGraph, setting: &Setting) -> Value {
    let people = setting.workers.iter().map(|w| {
        let (week, other) = calendar(|d| stretches(*w.shifts.day(d)));
        json!({ "rate": w.rate, "helper": w.helper, "week": week, "other": other })
    });
    let places = setting.spots.iter().map(|s| {
        let days: Vec<bool> = (0..7).map(|d| s.week.days[((setting.first_weekday + d) % 7) as usize]).collect();
        json!({
            "air": s.air, "base": s.base, "house": s.house, "racks": s.racks, "settle": s.settle,
            "hours": s.week.hours, "days": days,
        })
    });
    let (open, other) = calendar(|d| json!(setting.business.speed_at(d * DAY) > 0));
    let links = graph.links.iter().filter(|l| counts(&graph.steps[l.from]) && counts(&graph.steps[l.to])).map(|l| {
        let mut link = json!({ "from": l.from, "to": l.to, "lag": l.lag });
        match l.ask {
            Ask::Done => link["ask"] = json!("done"),
            Ask::Begun => link["ask"] = json!("begun"),
            Ask::EndAfterEnd => link["ask"] = json!("end_after_end"),
            Ask::EndAfterBegin => link["ask"] = json!("end_after_begin"),
            Ask::Dry(stage) => link["ask"] = json!(stage_name(stage)),
        }
        let from = &graph.steps[l.from];
        if let (Some(h), Some(c), Some(p)) = (l.longest_h, from.coat, from.place) {
            let stage = if let Ask::Dry(stage) = l.ask { stage } else { Stage::Recoat };
            let week = &setting.spots[p].week;
            let speed = |air| micro(&graph.products[c.product], stage, air);
            link["longest"] = json!([(h * 60.0).round() as i64, speed(week.work), speed(week.off)]);
        }
        if !l.when.is_empty() {
            link["when"] = json!(l.when);
        }
        link
    });
    json!({
        "people": people.collect::<Vec<_>>(),
        "places": places.collect::<Vec<_>>(),
        "away": setting.away,
        "closed": setting.house_closed,
        "noise": setting.noise,
        "business": { "week": open, "other": other },
        "methods": graph.choices.iter().map(|c| json!([c.options.len(), c.fixed])).collect::<Vec<_>>(),
        "steps": (0..graph.steps.len()).map(|i| step(graph, setting, i)).collect::<Vec<_>>(),
        "links": links.collect::<Vec<_>>(),
    })
}

/// 64-bit FNV-1a of a text (G. Fowler, L. C. Noll, K.-P. Vo; constants from memory).
pub fn fingerprint(text: &str) -> String {
    let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3));
    format!("{hash:016x}")
}
