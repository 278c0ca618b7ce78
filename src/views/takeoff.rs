//! The take-off by room: each quantity with its formula; printed parts add up to it.

use serde_json::{Value, json};

use super::Figure;
use crate::job::Job;
use crate::jobfile::SourceMap;
use crate::measure::{Area, Length, Style, apportion, print_areas, print_lengths};
use crate::takeoff::{Factor, Quantity, RoomTakeoff, Share};
use crate::trade::Unit;

/// What the rules of the take-off rest on.
const RULES: &str = "common practice, no source: an opening under 32 SF counts as wall for labor, \
a window does not break the base, nothing is skimmed behind panels";

/// A quantity ready to print.
#[derive(Clone, Debug, PartialEq)]
pub struct TakeoffRow {
    pub id: String,
    pub name: String,
    /// As printed, with its formula.
    pub figure: Figure,
    /// Exact, in `unit`, whatever the job prints in.
    pub value: f64,
    pub unit: &'static str,
    /// As printed.
    pub total: String,
    /// What is counted, its factors, its printed amount (signed); sums to `total`. Empty
    /// where there is one part only, or where the parts come to less than nothing.
    pub parts: Vec<(String, String, String)>,
}

/// The rows of a room or of one surface of it.
#[derive(Clone, Debug, PartialEq)]
pub struct RoomRows {
    pub room: String,
    /// Surface id, empty for the room itself.
    pub surface: String,
    /// Place in the job file its measures stand at: path, line, column.
    pub source: (String, usize, usize),
    pub rows: Vec<TakeoffRow>,
}

fn factor(f: Factor, style: Style) -> String {
    match f {
        Factor::Length(l) => l.print(style),
        Factor::Area(a) => Area(a).print(style),
        Factor::Number(n) => number(n),
    }
}

pub(super) fn number(n: f64) -> String {
    let two = format!("{n:.2}");
    two.trim_end_matches('0').trim_end_matches('.').to_string()
}

pub(super) fn product(s: &Share, style: Style) -> String {
    s.factors.iter().map(|&f| factor(f, style)).collect::<Vec<_>>().join(" x ")
}

/// A name or a share's label with the figures of a rule in the job's units; the rule itself is in feet.
fn in_units(text: &str, style: Style) -> String {
    let mut out = text.to_string();
    if style == Style::Metric {
        for (feet, metric) in [
            (", 8 ft", ", 2.4 m"),
            ("over 12 ft", "over 3.7 m"),
            ("at most 4 ft wide", "at most 1.2 m wide"),
            ("under 32 SF", "under 3.0 m2"),
            ("of 32 SF or more", "of 3.0 m2 or more"),
        ] {
            out = out.replace(feet, metric);
        }
    }
    out
}

/// Something is there: a printed amount that is not nothing.
fn counts(printed: &str) -> bool {
    printed.trim_end_matches(" m2").contains(|c: char| ('1'..='9').contains(&c))
}

/// Unit as JSON and prose say it. Values are always in these, whatever the job prints in.
fn unit(u: Unit) -> &'static str {
    match u {
        Unit::SquareFoot => "SF",
        Unit::LinearFoot => "LF",
        Unit::Day => "days",
        Unit::Delivery => "deliveries",
        Unit::Room => "rooms",
        Unit::Each => "each",
        Unit::Opening => "openings",
        Unit::Window => "windows",
        Unit::Box => "boxes",
        Unit::SprayDay => "spray days",
    }
}

/// Printed parts and their printed total, in the job's style.
fn print(values: &[f64], u: Unit, style: Style) -> (Vec<String>, String) {
    match u {
        Unit::SquareFoot => print_areas(&values.iter().map(|&v| Area(v)).collect::<Vec<_>>(), style),
        Unit::LinearFoot => print_lengths(&values.iter().map(|&v| Length::from_feet(v)).collect::<Vec<_>>(), style),
        _ => {
            // Hundredths; a count that is whole stays whole.
            let hundredths: Vec<i64> = values.iter().map(|v| (v * 10_000.0).round() as i64).collect();
            let out = apportion(&hundredths, 100);
            let say = |h: i64| number(h as f64 / 10_000.0);
            let total = say(out.iter().sum());
            (out.into_iter().map(say).collect(), total)
        }
    }
}

pub(super) fn row(q: &Quantity, style: Style) -> TakeoffRow {
    let why = |s: &Share, first: bool| {
        let sign = if s.less {
            "- "
        } else if first {
            ""
        } else {
            "+ "
        };
        format!("{sign}{} ({})", product(s, style), in_units(&s.what, style))
    };
    let formula: Vec<String> = q.formula.iter().enumerate().map(|(i, s)| why(s, i == 0)).collect();
    let values: Vec<f64> = q.formula.iter().map(Share::value).collect();
    let (amounts, sum) = print(&values, q.unit, style);
    let below_nothing = values.iter().sum::<f64>() < 0.0;
    let (parts, total) = if below_nothing || values.is_empty() {
        (Vec::new(), print(&[q.value], q.unit, style).1)
    } else {
        let part = |(s, a): (&Share, String)| {
            // A single number is its own amount.
            let plain = matches!(s.factors.as_slice(), [Factor::Number(_)]);
            (in_units(&s.what, style), if plain { String::new() } else { product(s, style) }, a)
        };
        (q.formula.iter().zip(amounts).map(part).collect(), sum)
    };
    let figure = Figure::new(total.clone(), formula.join(" "));
    let (value, unit) = (q.value, unit(q.unit));
    TakeoffRow { id: q.id.clone(), name: in_units(&q.name, style), figure, value, unit, total, parts }
}

/// All rows in the order of rooms and surfaces. `map` says where the measures stand.
pub fn takeoff_rows(job: &Job, rooms: &[RoomTakeoff], map: &SourceMap) -> Vec<RoomRows> {
    let style = job.units.style();
    let mut out = Vec::new();
    let mut put = |room: &str, surface: &str, path: String, list: &[Quantity]| {
        let (line, col) = map.place(&path);
        let rows = list.iter().map(|q| row(q, style)).collect::<Vec<_>>();
        out.push(RoomRows { room: room.into(), surface: surface.into(), source: (path, line, col), rows });
    };
    for (i, r) in rooms.iter().enumerate() {
        put(&r.room, "", format!("rooms[{i}]"), &r.quantities);
        for (k, s) in r.surfaces.iter().enumerate() {
            put(&r.room, &s.surface, format!("rooms[{i}].surfaces[{k}]"), &s.quantities);
        }
    }
    out
}

/// Readable take-off.
pub fn takeoff_text(job: &Job, rows: &[RoomRows]) -> String {
    let mut out = format!("{}: take-off\n", job.name);
    if rows.is_empty() {
        return out + "no measured rooms; the steps are the job's own\n";
    }
    // Quantities that come to nothing belong to parts the room does not have.
    let there = |q: &&TakeoffRow| q.value != 0.0;
    for r in rows.iter().filter(|r| r.rows.iter().any(|q| there(&q))) {
        let name = job.rooms.iter().find(|x| x.id == r.room).map_or(r.room.as_str(), |x| x.name.as_str());
        out += &if r.surface.is_empty() {
            format!("\n{name}  (measures from line {})\n", r.source.1)
        } else {
            format!("\n{name}, {}  (line {})\n", r.surface, r.source.1)
        };
        for q in r.rows.iter().filter(there) {
            out += &quantity(q);
        }
    }
    let rates = super::rates_text(job);
    if !rates.is_empty() {
        out += &format!("\nRates, hours a unit: typical (1 job in 10 quicker, 1 in 10 slower)\n{rates}");
    }
    out + &super::laid("\nRules: ", 8, &format!("{}.", in_units(RULES, job.units.style())))
}

/// A quantity on a line, its parts below it where there are several.
fn quantity(q: &TakeoffRow) -> String {
    let head = format!("  {:<64} {:>12}", q.name, q.total);
    let parts: Vec<_> = q.parts.iter().filter(|p| p.2.is_empty() || counts(&p.2)).collect();
    // A factor alone is its own amount.
    let alone = |factors: &str| !factors.contains(" x ");
    match parts.as_slice() {
        [] => head + "\n",
        [(what, factors, _)] => {
            let note = match (alone(factors), *what == q.name) {
                (true, true) => String::new(),
                (true, false) => format!("   {what}"),
                (false, true) => format!("   {factors}"),
                (false, false) => format!("   {factors} ({what})"),
            };
            format!("{head}{note}\n")
        }
        many => {
            let line = |(what, factors, amount): &&(String, String, String)| {
                let factors = if alone(factors) { "" } else { factors };
                format!("    {:<62} {amount:>12}\n", format!("{what:<36} {factors}"))
            };
            head + "\n" + &many.iter().map(line).collect::<String>()
        }
    }
}

/// `{job, units, rules, rooms: [{room, surface, source, quantities: [..]}]}`; values in SF, LF
/// or counts.
pub fn takeoff_json(job: &Job, rows: &[RoomRows]) -> Value {
    let part = |(what, factors, amount): &(String, String, String)| json!({"what": what, "factors": factors, "printed": amount});
    let quantity = |q: &TakeoffRow| {
        json!({
            "id": q.id, "name": q.name, "value": q.value, "unit": q.unit, "printed": q.total,
            "formula": q.figure.why, "parts": q.parts.iter().map(part).collect::<Vec<_>>(),
        })
    };
    let room = |r: &RoomRows| {
        json!({
            "room": r.room, "surface": r.surface,
            "source": {"path": r.source.0, "line": r.source.1, "col": r.source.2},
            "quantities": r.rows.iter().map(quantity).collect::<Vec<_>>(),
        })
    };
    json!({
        "job": job.name, "rules": RULES, "rooms": rows.iter().map(room).collect::<Vec<_>>(),
        "rates": super::rates_json(job), "problems": [],
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn printed_parts_add_up_to_the_printed_total() {
        let text = include_str!("../../sample-jobs/study.ron");
        let read = crate::jobfile::read(text, crate::trade::tables()).unwrap();
        let rooms = crate::takeoff::takeoff(&read.job).unwrap();
        let rows = takeoff_rows(&read.job, &rooms, &read.map);
        let mut seen = 0;
        for q in rows.iter().flat_map(|r| &r.rows).filter(|q| q.unit == "SF" && !q.parts.is_empty()) {
            let n = |s: &str| s.trim_end_matches(" SF").replace(',', "").parse::<i64>().unwrap();
            assert_eq!(q.parts.iter().map(|p| n(&p.2)).sum::<i64>(), n(&q.total), "{}", q.name);
            seen += 1;
        }
        assert!(seen > 3);
        // 13' by 11'6: perimeter 2 x 24'6.
        assert!(takeoff_text(&read.job, &rows).contains("49'"), "{}", takeoff_text(&read.job, &rows));
    }

    #[test]
    fn a_metric_job_reads_in_metric_and_nothing_is_said_of_what_is_not_there() {
        let text = include_str!("../../sample-jobs/powder.ron");
        let mut read = crate::jobfile::read(text, crate::trade::tables()).unwrap();
        read.job.units = crate::job::Units::Metric;
        let rooms = crate::takeoff::takeoff(&read.job).unwrap();
        let out = takeoff_text(&read.job, &takeoff_rows(&read.job, &rooms, &read.map));
        // 16' 10" round the door are 5.131 m; the room has no window and no panels.
        assert!(out.contains("1 x 5.131 m") && out.contains("sticks of casing, 2.4 m"), "{out}");
        assert!(!out.contains('"') && !out.contains("windows ") && !out.contains("panels   "), "{out}");
        assert!(out.lines().all(|l| l.trim_end() == l), "{out}");
    }
}
