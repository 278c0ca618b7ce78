//! A quote: price, payments, days, and in plain words what it rests on, what is in it, what is
//! not, and what would move it.
//!
//! Everything is made from the job; what the user wrote under `price` stands with it. The text has
//! no hours, rates or costs, so that it may be shown.

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::price::{line_words, pay_words};
use super::{day_words, in_ten, iso_day, printable, temperature};
use crate::desk::Sound;
use crate::forecast::Forecast;
use crate::job::{Job, Part, Person, PlaceKind, Quote, QuoteLine, TargetKind};
use crate::measure::Money;
use crate::pricing::Price;
use crate::trade::{Switch, tables};

/// Labor hours written up so far, of all hands.
pub fn hours_written(job: &Job) -> f64 {
    job.log.iter().flat_map(|d| &d.steps).map(|w| w.hours * w.who.len().max(1) as f64).sum()
}

fn called<'a>(id: &'a str, name: &'a str) -> String {
    printable(if name.is_empty() { id } else { name })
}

/// The house, the heat, the hours, the days others must keep.
fn assumptions(job: &Job) -> Vec<String> {
    let mut out = vec![format!("Work begins on {}.", day_words(job.start))];
    out.push(match job.house.year_built {
        Some(y) if y < 1978 => {
            format!("The house was built in {y}: lead-safe work where old paint is disturbed (EPA rule, 40 CFR 745).")
        }
        Some(y) => format!("The house was built in {y}."),
        None => "The year of the house is not known; it is treated as old until it is.".into(),
    });
    out.push(match job.house.occupied {
        true => "People live in the house while the work goes on.".into(),
        false => "The house stands empty while the work goes on.".into(),
    });
    for p in job.places.iter().filter(|p| p.kind == PlaceKind::Room) {
        let (day, night) = (p.work_air.temp_f, p.off_air.temp_f);
        let heat = if (day - night).abs() < 0.5 {
            format!("at {}, day and night", temperature(job.units, day))
        } else {
            format!("at {} by day and {} at other hours", temperature(job.units, day), temperature(job.units, night))
        };
        out.push(format!("The {} is kept {heat}.", called(&p.id, &p.name)));
    }
    let w = &job.calendar.week;
    out.push(format!("The house is open to work from {} to {} on {} days a week.", w.open, w.close, w.days.len()));
    if let Some(n) = &job.calendar.noise {
        out.push(format!("Noise is allowed from {} to {}.", n.from, n.to));
    }
    let closed: Vec<String> = job.calendar.house_closed.iter().map(|d| day_words(*d)).collect();
    if !closed.is_empty() {
        out.push(format!("The house is closed on {}.", closed.join(", ")));
    }
    for d in &job.decisions {
        out.push(format!("Settled by {}: {}.", day_words(d.by), called(&d.id, &d.name)));
    }
    for v in &job.visits {
        out.push(format!("Done by others, at their cost and in their time: {}.", called(&v.id, &v.name)));
    }
    out
}

fn part_words(part: Part) -> &'static str {
    match part {
        Part::Ceiling => "the ceiling",
        Part::Crown => "crown",
        Part::Walls => "the walls",
        Part::Openings => "doors, windows and their casing",
        Part::Panels => "panels",
        Part::Base => "the base",
        Part::Room => "the room",
    }
}

/// Words of recipes as a client says them. Common practice, no source.
const PLAIN: [(&str, &str); 14] = [
    ("walk round, measure, lead and asbestos gates", "walk round and measure"),
    ("old walls to a level-five look", "old walls made as smooth as new"),
    ("full skim, level-five look", "full skim, as smooth as new"),
    ("level-five look", "look as smooth as new"),
    ("wash, scuff, bonding prime", "wash and prime so that it holds"),
    ("wash, bond, patch", "wash, prime so that it holds, patch"),
    ("trim stock carried in and rested", "boards carried in and left to settle"),
    ("jambs, stools and casing", "jambs, sills and casing"),
    ("crown on site with backing", "crown with its backing"),
    ("spot-prime", "prime bare spots"),
    ("plain repaint of trim: scuff,", "plain repaint of trim: sand lightly,"),
    ("walk-through by appointment and punch list", "walk-through by appointment and last touch-ups"),
    ("punch list", "last touch-ups"),
    ("wash and scuff", "wash and sand lightly"),
];

/// A recipe's name for the client: in plain words, and nothing in it that the plan does not do.
fn scope(sound: &Sound, room: &str, surface: &str, name: &str) -> String {
    let steps = || sound.graph.steps.iter().filter(|s| s.room == room && s.role.planned());
    let row = |id: &str| steps().any(|s| s.surface == surface && s.id.rsplit('/').next() == Some(id));
    let has = |part: Part| {
        let r = sound.job.rooms.iter().find(|r| r.id == room);
        let of = |s: &crate::job::Surface| s.part == part && steps().any(|x| x.surface == s.id);
        r.is_some_and(|r| r.surfaces.iter().any(of))
    };
    let mut out = name.to_string();
    let mut put = |from: &str, to: &str| out = out.replace(from, to);
    if !row("shoe") {
        put("base and shoe", "base");
    }
    if !has(Part::Crown) {
        put(" below the crown", "");
    }
    if !has(Part::Panels) {
        put("trim and panels", "trim");
    }
    let tests: Vec<&str> = [("lead-result", "lead"), ("asbestos-result", "asbestos")]
        .into_iter()
        .filter(|t| row(t.0))
        .map(|t| t.1)
        .collect();
    if !tests.is_empty() {
        let tested = format!("walk round, measure, tests for {}", tests.join(" and "));
        put("walk round, measure, lead and asbestos gates", &tested);
    }
    plain(&out)
}

fn plain(name: &str) -> String {
    PLAIN.iter().fold(name.to_string(), |out, (from, to)| out.replace(from, to))
}

/// What is done in each room, and the allowances. A surface the plan does nothing to is not in it.
fn inclusions(sound: &Sound) -> Vec<String> {
    let job = &sound.job;
    let mut out = Vec::new();
    for r in &job.rooms {
        let name = |id: &str| {
            let own = job.recipes.iter().chain(&tables().recipes).find(|x| x.id == id);
            own.map_or_else(|| id.to_string(), |x| if x.name.is_empty() { x.id.clone() } else { x.name.clone() })
        };
        let done = |s: &&crate::job::Surface| sound.graph.steps.iter().any(|x| x.room == r.id && x.surface == s.id);
        let one = |s: &crate::job::Surface| printable(&scope(sound, &r.id, &s.id, &name(&s.recipe)));
        let work: Vec<String> = r.surfaces.iter().filter(done).map(one).collect();
        if !work.is_empty() {
            out.push(format!("{}: {}.", called(&r.id, &r.name), work.join("; ")));
        }
    }
    let own: Vec<String> = job.steps.iter().map(|s| called(&s.id, &s.name)).collect();
    if !own.is_empty() {
        out.push(format!("Besides: {}.", own.join("; ")));
    }
    for a in &job.price.allowances {
        out.push(format!("An allowance of {} for {}.", Money::from_dollars(a.dollars), printable(&a.what)));
    }
    out.extend(job.price.inclusions.iter().map(|x| printable(x)));
    out
}

/// Recipes of a whole room that paint its casing, doors and base.
const TRIM: [&str; 2] = ["repaint-trim", "trim-two-coats"];

/// What a room has and nothing is done to, and what nobody can see yet.
fn exclusions(job: &Job) -> Vec<String> {
    let mut out = Vec::new();
    for r in &job.rooms {
        let whole = |p: Part| {
            // Work on the whole room may reach its trim.
            p == Part::Openings || p == Part::Base
        };
        let left: Vec<&str> = [Part::Ceiling, Part::Walls, Part::Openings, Part::Base]
            .into_iter()
            .filter(|p| !r.surfaces.iter().any(|s| s.part == *p))
            .filter(|p| !(whole(*p) && r.surfaces.iter().any(|s| TRIM.contains(&s.recipe.as_str()))))
            .filter(|p| *p != Part::Openings || !r.openings.is_empty())
            .map(part_words)
            .collect();
        if !left.is_empty() {
            out.push(format!("{}: {} as they are.", called(&r.id, &r.name), left.join(", ")));
        }
    }
    out.push("What is found behind walls, floors and ceilings, and removal of lead or asbestos: told with its price and days before it is done.".into());
    out.push("Wiring and plumbing: licensed trades.".into());
    out.extend(job.price.exclusions.iter().map(|x| printable(x)));
    out
}

/// What would move the day or the price: only what can come of the work that is in the plan.
fn moves(sound: &Sound) -> Vec<String> {
    let job = &sound.job;
    let mut out = vec![
        "Anything added or changed: said beforehand with its price and its days, even where they are none.".into(),
    ];
    let risks = &job.risks;
    // A finding is told where a step of the plan may bring it.
    let found = |id: &str| {
        sound.graph.steps.iter().any(|s| matches!(&s.role, crate::work::Role::Surprise { risk, .. } if risk == id))
    };
    let names: Vec<String> =
        risks.surprise_rows.iter().filter(|s| found(&s.id)).map(|s| called(&s.id, &s.name)).collect();
    if risks.surprises == Switch::On && !names.is_empty() {
        out.push(format!("Found on opening up: {}.", names.join(", ")));
    }
    if !job.decisions.is_empty() {
        out.push("A choice settled later than the day above.".into());
    }
    let awaited = |i: usize| {
        let path = format!("deliveries[{i}]");
        let step = sound.graph.steps.iter().position(|s| s.origin == path);
        step.is_some_and(|s| sound.graph.links.iter().any(|l| l.from == s))
    };
    let late = job.deliveries.iter().enumerate().filter(|d| awaited(d.0)).map(|(_, d)| called(&d.id, &d.name));
    let late: Vec<String> = late.collect();
    if !late.is_empty() {
        out.push(format!("Late deliveries: {}.", late.join("; ")));
    }
    out.push("Rooms colder or damper than said above: coats dry slower.".into());
    out.push("Rooms or house not free to work in on a working day.".into());
    // A helper with hours of his own goes on when the other is ill.
    let hands = sound.setting.workers.iter().filter(|w| w.shifts.week_minutes() > 0).count();
    let days = job.crew.iter().filter(|p| !p.dates.is_empty()).count();
    if hands.max(days) < 2 && job.crew.iter().filter(|p: &&Person| !p.helper).count() == 1 {
        out.push("Illness: one person does the work.".into());
    }
    out
}

/// The quote of a priced job as it is given on a day.
pub fn quote_of(sound: &Sound, f: &Forecast, price: &Price, made_on: NaiveDate) -> Quote {
    let job = &sound.job;
    let day = |p: f64| job.date_of(f.day(p));
    Quote {
        // Quotes are kept in the order they were given.
        made_on: job.quotes.last().map_or(made_on, |q| q.made_on.max(made_on)),
        option: job.option.clone(),
        lines: price.lines.iter().map(|l| QuoteLine { what: line_words(job, l.kind), cents: l.amount.0 }).collect(),
        cents: price.total.0,
        // No finer than a tenth of an hour.
        hours: (price.minutes as f64 / 6.0).round() / 10.0,
        hours_high: (price.odds.hours_high * 10.0).round() / 10.0,
        likely: day(0.5),
        safe: day(job.confidence),
        confidence: job.confidence,
        loss: (price.odds.loss.value * 1e4).round() / 1e4,
        assumptions: assumptions(job),
        inclusions: inclusions(sound),
        exclusions: exclusions(job),
        moves: moves(sound),
    }
}

/// What a quote says of its price, the sum last.
pub(super) fn sums(price: &Price) -> Vec<(&'static str, Money)> {
    let parts = [
        ("work and materials", price.before_tax - price.contingency),
        ("kept for what cannot be seen yet", price.contingency),
        ("tax", price.tax),
    ];
    let first = |i: usize, m: Money| i == 0 || m != Money(0);
    let parts = parts.into_iter().enumerate().filter(|(i, p)| first(*i, p.1)).map(|(_, p)| p);
    parts.chain([("price", price.total)]).collect()
}

/// What a quote says of its days: the day promised, or the one it is done by.
pub(super) fn days_words(job: &Job, quote: &Quote) -> String {
    let agreed = job.target.filter(|t| t.kind == TargetKind::Promised).map(|t| t.day);
    match job.promise().map(|p| p.day).or(agreed) {
        // A day less likely kept than not is said to be one.
        Some(day) if quote.likely > day => format!(
            "promised: {}; as it stands the work is likely done by {}, safe by {}: the day does not hold",
            day_words(day),
            day_words(quote.likely),
            day_words(quote.safe)
        ),
        Some(day) => format!("promised: {}", day_words(day)),
        None => format!(
            "done by {}, {}; likely by {}; no day is promised yet",
            day_words(quote.safe),
            in_ten(quote.confidence),
            day_words(quote.likely)
        ),
    }
}

/// The quote to read: no hours, rates or costs.
pub fn quote_text(sound: &Sound, quote: &Quote, price: &Price) -> String {
    let job = &sound.job;
    let client = if job.client.is_empty() { String::new() } else { format!(" for {}", printable(&job.client)) };
    let option = if quote.option.is_empty() { String::new() } else { format!(", {}", printable(&quote.option)) };
    let mut out = format!("{}{option}: quote{client}, {}\n\n", printable(&job.name), day_words(quote.made_on));
    let money = |what: &str, m: Money| format!("  {what:<34} {:>13}\n", m.to_string());
    sums(price).into_iter().for_each(|(what, m)| out += &money(what, m));
    out += "\nPayments\n";
    for p in &price.payments {
        out += &money(pay_words(p.when), p.amount);
    }
    out += &format!("\nDays\n  {}\n", days_words(job, quote));
    let mut list = |head: &str, lines: &[String]| {
        if !lines.is_empty() {
            out += &format!("\n{head}\n");
            lines.iter().for_each(|l| out += &super::laid("  - ", 4, l));
        }
    };
    list("What it rests on", &quote.assumptions);
    list("What is in it", &quote.inclusions);
    list("What is not", &quote.exclusions);
    list("What would move it", &quote.moves);
    out
}

/// The quote with stable names; money in cents.
pub fn quote_json(sound: &Sound, quote: &Quote, price: &Price, kept: bool) -> Value {
    let job = &sound.job;
    let pay = |p: &crate::pricing::Instalment| json!({"when": p.when, "share": p.share, "cents": p.amount.0});
    json!({
        "job": job.name, "client": job.client, "made_on": iso_day(quote.made_on), "option": quote.option,
        "price_cents": quote.cents, "contingency_cents": price.contingency.0, "tax_cents": price.tax.0,
        "payments": price.payments.iter().map(pay).collect::<Vec<_>>(), "likely_day": iso_day(quote.likely),
        "safe_day": iso_day(quote.safe), "confidence": quote.confidence, "assumptions": quote.assumptions,
        "inclusions": quote.inclusions, "exclusions": quote.exclusions, "moves": quote.moves, "kept": kept,
        "quotes": job.quotes.len() + usize::from(kept), "problems": [],
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_plain_word_stands_for_words_of_a_recipe_and_none_of_the_trade_is_left() {
        let names: Vec<&str> = tables().recipes.iter().map(|r| r.name.as_str()).collect();
        for (from, _) in PLAIN {
            assert!(names.iter().any(|n| n.contains(from)), "no recipe says {from}");
        }
        for name in names {
            let said = plain(name);
            for word in ["level-five", "gates", "punch list", "spot-prime", "scuff"] {
                assert!(!said.contains(word), "{name}: {said}");
            }
        }
    }
}
