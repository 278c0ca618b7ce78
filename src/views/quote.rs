//! A quote: price, payments, days, and in plain words what it rests on, what is in it, what is
//! not, and what would move it.
//!
//! Everything is made from the job; what the user wrote under `price` stands with it. How it is told, and when the quote
//! the client holds is told in its place, is the affair of `views::quoted`.

use chrono::NaiveDate;

use super::price::line_words;
use super::{day_words, in_ten, printable, temperature};
use crate::desk::Sound;
use crate::forecast::Forecast;
use crate::job::{Job, Part, Person, PlaceKind, Quote, QuoteLine, QuotePayment};
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

/// A recipe as the client is told of it: in plain words, and nothing in it that the plan does not do.
fn scope(sound: &Sound, room: &str, surface: &str, id: &str) -> String {
    let steps = || sound.graph.steps.iter().filter(|s| s.room == room && s.role.planned());
    let row = |row: &str| {
        let of = |s: &crate::work::Step| s.id.rsplit('/').next().map(|r| r.split(['#', '+']).next() == Some(row));
        steps().any(|s| s.surface == surface && of(s) == Some(true))
    };
    let part = |part: Part| {
        let r = sound.job.rooms.iter().find(|r| r.id == room);
        let of = |s: &crate::job::Surface| s.part == part && steps().any(|x| x.surface == s.id);
        r.is_some_and(|r| r.surfaces.iter().any(of))
    };
    let Some(own) = sound.job.recipes.iter().chain(&tables().recipes).find(|x| x.id == id) else { return id.into() };
    // A copy of before recipes had words for the client has those of the table, as long as it is called the same.
    let table = tables().recipe(id).filter(|t| own.client.is_empty() && t.name == own.name);
    table.unwrap_or(own).told(&row, &part)
}

/// What is done in each room, and the allowances. A surface the plan does nothing to is not in it.
fn inclusions(sound: &Sound) -> Vec<String> {
    let job = &sound.job;
    let mut out = Vec::new();
    for r in &job.rooms {
        let done = |s: &&crate::job::Surface| sound.graph.steps.iter().any(|x| x.room == r.id && x.surface == s.id);
        let one = |s: &crate::job::Surface| printable(&scope(sound, &r.id, &s.id, &s.recipe));
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

/// Recipes of a whole room that paint its casing, doors and base; of new trim only what is put up by the job, and doors.
const TRIM: [&str; 2] = ["repaint-trim", NEW_TRIM];
const NEW_TRIM: &str = "trim-two-coats";

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
        let has = |p: Part| r.surfaces.iter().any(|s| s.part == p);
        let by = |id: &str| r.surfaces.iter().any(|s| s.recipe == id);
        if by(NEW_TRIM) && !by("repaint-trim") && !has(Part::Openings) && !r.openings.is_empty() {
            out.push(format!("{}: the casing that is there, as it is.", called(&r.id, &r.name)));
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
        payments: price.payments.iter().map(|p| QuotePayment { when: p.when, cents: p.amount.0 }).collect(),
        promised: job.promised_day(),
        number: job.letterhead.number.clone(),
        valid_days: job.letterhead.valid_days,
        changes: Some(job.changes.len() as u32),
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
pub(super) fn sums(quote: &Quote) -> Vec<(&'static str, Money)> {
    if quote.lines.is_empty() {
        return vec![("price", quote.price())];
    }
    let part = |what: &str| quote.lines.iter().filter(|l| l.what == what).map(|l| l.cents).sum::<i64>();
    let (apart, round, tax) = (part("contingency"), part("rounding"), part("tax"));
    let work = ("work and materials", quote.cents - apart - round - tax);
    let rest = [("kept for work that takes longer", apart), ("rounding", round), ("tax", tax)];
    let rest = rest.into_iter().filter(|p| p.1 != 0);
    let parts = std::iter::once(work).chain(rest).map(|(what, cents)| (what, Money(cents)));
    parts.chain([("price", quote.price())]).collect()
}

/// What a quote says of its days: the day promised, or the one it is done by.
pub(super) fn days_words(quote: &Quote) -> String {
    match quote.promised {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_word_of_the_trade_is_told_and_every_row_named_is_there() {
        for r in &tables().recipes {
            let all = r.told(&|_| true, &|_| true);
            for word in ["level-five", "gates", "punch list", "spot-prime", "scuff"] {
                assert!(!all.contains(word), "{}: {all}", r.id);
            }
            let whole = crate::trade::expand(r, &tables().recipes).expect("a recipe");
            for s in r.client.iter().filter(|s| !s.row.is_empty()) {
                assert!(whole.steps.iter().any(|x| x.id == s.row), "{}: no row {}", r.id, s.row);
            }
        }
        let recipe = |id: &str| tables().recipe(id).expect("a recipe");
        let none = |_: Part| false;
        assert_eq!(recipe("base-and-shoe").told(&|row| row != "shoe", &none), "base");
        assert_eq!(recipe("base-and-shoe").told(&|_| true, &none), "base and shoe");
        assert_eq!(recipe("trim-two-coats").told(&|row| row != "doors-1", &none), "trim, two coats");
        let dry = recipe("level-five-walls").told(&|row| row != "wash" && row != "skim-1", &none);
        assert_eq!(dry, "old walls made as smooth as new: prime so that it holds, patch, prime, two coats");
        // A recipe without such words is told by its name.
        assert_eq!(recipe("protect").told(&|_| true, &none), "protect");
    }
}
