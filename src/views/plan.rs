//! A plan as rows and as JSON.

use serde_json::{Map, Value, json};

use super::{Almanac, Why, sentence, why, working_days};
use crate::clock::At;
use crate::desk::Sound;
use crate::schedule::{Stretch, chalk, floats, held};
use crate::search::{Found, Proven};
use crate::trade::Stage;

/// A step of the plan as a row.
#[derive(Clone, Debug, PartialEq)]
pub struct StepRow {
    /// Index in the graph.
    pub step: usize,
    pub begin: At,
    pub end: At,
    pub labor_min: i64,
    /// Working minutes its begin can move with the last finish unchanged.
    pub float: Option<i64>,
    pub held: Option<(Why, At)>,
    /// People, indices into the job's crew.
    pub who: Vec<usize>,
    pub ready: Vec<(Stage, At)>,
}

/// A plan with what holds it.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanView {
    /// In order of begin.
    pub steps: Vec<StepRow>,
    pub stretches: Vec<Stretch>,
    /// People-minutes on steps, trips left out.
    pub labor_min: i64,
}

impl PlanView {
    /// Reads a plan.
    pub fn new(sound: &Sound, found: &Found) -> PlanView {
        let float = floats(&sound.net(found), &found.plan);
        PlanView::read(sound, found, &float)
    }

    /// Reads a plan and leaves out what can wait, which takes longest to find.
    pub fn without_float(sound: &Sound, found: &Found) -> PlanView {
        PlanView::read(sound, found, &[])
    }

    fn read(sound: &Sound, found: &Found, float: &[Option<i64>]) -> PlanView {
        let net = sound.net(found);
        let plan = &found.plan;
        let held = held(&net, plan);
        let row = |t: &crate::schedule::Timed| {
            let mut who: Vec<usize> =
                plan.runs.iter().filter(|r| r.step == t.step).flat_map(|r| r.people.iter().copied()).collect();
            who.sort_unstable();
            who.dedup();
            let h = held.get(t.step).copied().flatten();
            StepRow {
                step: t.step,
                begin: t.begin,
                end: t.end,
                labor_min: t.labor_min,
                float: float.get(t.step).copied().flatten(),
                held: h.map(|h| (why(sound, plan, t.step, &h), h.released)),
                who,
                ready: t.ready.clone(),
            }
        };
        let steps: Vec<StepRow> = plan.steps.iter().map(row).collect();
        let labor_min = steps.iter().map(|s| s.labor_min).sum();
        PlanView { steps, stretches: chalk(&net, plan), labor_min }
    }
}

/// A better order than the one kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    pub finish: At,
    finish_json: Value,
    pub days_sooner: f64,
    pub steps_move: usize,
}

impl Offer {
    /// What the better plan changes.
    pub fn between(sound: &Sound, kept: &Found, better: &Found) -> Offer {
        let moved = |t: &&crate::schedule::Timed| kept.plan.timed(t.step).is_none_or(|k| k.begin != t.begin);
        Offer {
            finish: better.plan.finish,
            finish_json: Almanac(&sound.job).json(better.plan.finish),
            days_sooner: working_days(&sound.setting, better.plan.finish, kept.plan.finish),
            steps_move: better.plan.steps.iter().filter(moved).count(),
        }
    }

    /// `A better order is known: 1.5 days sooner, 4 steps move`.
    pub fn words(&self) -> String {
        let days = if self.days_sooner < 0.05 { "a little".into() } else { format!("{:.1} days", self.days_sooner) };
        let steps =
            if self.steps_move == 1 { "1 step moves".into() } else { format!("{} steps move", self.steps_move) };
        format!("A better order is known: {days} sooner, {steps}")
    }

    /// `{clean_run, days_sooner, steps_move}`.
    pub fn json(&self) -> Value {
        json!({"clean_run": self.finish_json, "days_sooner": self.days_sooner, "steps_move": self.steps_move})
    }
}

/// That a search found nothing better, and how far it looked.
pub fn tried_words(orders: usize) -> String {
    match orders {
        0 | 1 => "\nNo other order was tried.\n".into(),
        n => format!("\n{} orders were tried, and none was better than this one.\n", super::thousands(n)),
    }
}

fn proven(p: Proven) -> &'static str {
    match p {
        Proven::ByBound => "by_bound",
        Proven::BySearch => "by_search",
        Proven::No => "no",
    }
}

/// Stable word of a stage, as in the job file.
fn stage(s: Stage) -> String {
    serde_json::to_value(s).ok().and_then(|v| v.as_str().map(str::to_string)).unwrap_or_default()
}

/// The plan with the stable names of `docs/text-commands.md`.
pub fn plan_json(sound: &Sound, found: &Found, view: &PlanView) -> Value {
    let (g, a) = (&sound.graph, Almanac(&sound.job));
    let id = |s: usize| g.steps[s].id.as_str();
    let step = |r: &StepRow| {
        let s = &g.steps[r.step];
        let ready: Map<String, Value> = r.ready.iter().map(|&(s, at)| (stage(s), a.json(at))).collect();
        let who: Vec<&str> = r.who.iter().filter_map(|&w| sound.job.crew.get(w)).map(|p| p.id.as_str()).collect();
        let held = r.held.as_ref().map(|(w, since)| {
            json!({"reason": w.reason, "step": w.by.map(id), "released": a.json(*since), "sentence": w.sentence})
        });
        json!({
            "id": s.id, "name": s.name, "room": s.room, "surface": s.surface,
            "place": s.place.and_then(|p| sound.job.places.get(p)).map(|p| p.id.as_str()),
            "who": who, "start": a.json(r.begin), "end": a.json(r.end),
            "labor_h": r.labor_min as f64 / 60.0, "float_minutes": r.float, "held_by": held, "ready": ready,
            "stands": match super::stands(sound, r.step) { Some(true) => "done", Some(false) => "begun", None => "to_do" },
        })
    };
    let stretch = |s: &Stretch| {
        json!({
            "step": id(s.step), "start": a.json(s.from), "end": a.json(s.to),
            "reason": super::reason_word(s.held.reason), "sentence": sentence(sound, &found.plan, s),
        })
    };
    // Of work that has begun nothing is said but what is left of it.
    let begun = sound.setting.standing.is_some();
    let unless = |v: Value| if begun { Value::Null } else { v };
    json!({
        "job": sound.job.name,
        "as_of": super::as_of_json(sound),
        "clean_run": a.json(found.plan.finish),
        "bound": unless(a.json(found.bound)),
        "proven": unless(json!(proven(found.proven))),
        "gap": unless(json!(found.gap)),
        "against_rules": super::broke_json(sound, found),
        "labor_h": view.labor_min as f64 / 60.0,
        "holds_date": view.stretches.iter().map(stretch).collect::<Vec<_>>(),
        "steps": view.steps.iter().map(step).collect::<Vec<_>>(),
        "rates": super::rates_json(&sound.job),
        "problems": [],
    })
}
