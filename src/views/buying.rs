//! The buying list told: by supplier, with formula, rule and source, order days and every stick.

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::price::supplier_words;
use super::takeoff::{number, product};
use super::{Figure, day_words, in_ten, inspect, iso_day, printable, thousands};
use crate::buying::{Bought, BuyRow, Buying, CutStick, Had};
use crate::desk::Sound;
use crate::job::Job;
use crate::measure::Length;
use crate::trade::{Sold, Supplier, tables};

/// A row in words.
#[derive(Clone, Debug, PartialEq)]
pub struct BuyLine {
    pub name: String,
    /// `3 x 14', 1 x 16' (1 spare)`; its why is formula, rule and source.
    pub packs: Figure,
    pub cost: Figure,
    /// `need 7.2 gal, 7.6 with waste`.
    pub need: String,
    /// Days to order by, a sentence.
    pub order: String,
    pub notes: Vec<String>,
    /// Stick by stick: what it is and what is cut from it.
    pub sticks: Vec<String>,
}

/// A package in words, by what it is sold in.
fn pack_words(sold: Sold, b: &Bought) -> String {
    let feet = |x: f64| format!("{}'", number(x));
    match sold {
        Sold::Stick if b.exact => format!("{} exact", feet(b.size)),
        Sold::Stick => feet(b.size),
        Sold::Sheet => format!("{} x {}", feet(b.wide), feet(b.size)),
        Sold::Gallon => match b.size {
            0.125 => "pint".into(),
            0.25 => "quart".into(),
            1.0 => "gallon".into(),
            x => format!("{} gal", number(x)),
        },
        Sold::Each if b.size == 1.0 => "one".into(),
        Sold::Each => format!("pack of {}", number(b.size)),
    }
}

fn packs_words(row: &BuyRow) -> String {
    let one = |b: &Bought| {
        let spare = if b.spare > 0 { format!(" ({} spare)", b.spare) } else { String::new() };
        match row.sold {
            Sold::Each if b.size == 1.0 => format!("{}{spare}", b.count),
            _ => format!("{} x {}{spare}", b.count, pack_words(row.sold, b)),
        }
    };
    row.packs.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn formula(job: &Job, row: &BuyRow) -> String {
    let style = job.units.style();
    let one = |s: &crate::takeoff::Share| format!("{} ({})", product(s, style), printable(&s.what));
    row.formula.iter().map(one).collect::<Vec<_>>().join(" + ")
}

/// Where the rule of a row comes from.
fn rule(row: &BuyRow) -> String {
    let m = &row.material_row;
    let yours = tables().material(&m.id).is_none_or(|t| {
        (t.covers, t.waste, t.sprayed, t.short, t.exact) != (m.covers, m.waste, m.sprayed, m.short, m.exact)
            || (t.off_wall, t.scarf, t.wide, t.spare) != (m.off_wall, m.scarf, m.wide, m.spare)
            || t.uses != m.uses
    });
    let dear = tables().material(&m.id).is_none_or(|t| t.packs != m.packs);
    let prices = if dear { "prices your own" } else { "prices common practice, no source" };
    format!("{}; {prices}", inspect::source(m.tag, &printable(&m.source), yours))
}

/// `14' (13' 6" counted on): wall 1 8'; wall 3, piece 1 4' 2"; 15-3/4" left`.
pub fn stick_words(job: &Job, s: &CutStick) -> String {
    let style = job.units.style();
    let mut pieces: Vec<(String, usize)> = Vec::new();
    for p in &s.pieces {
        let words = format!("{} {}", printable(&p.name), p.length.print(style));
        match pieces.iter_mut().find(|x| x.0 == words) {
            Some(x) => x.1 += 1,
            None => pieces.push((words, 1)),
        }
    }
    let times = |(words, n): (String, usize)| if n > 1 { format!("{n} x {words}") } else { words };
    let pieces: Vec<String> = pieces.into_iter().map(times).collect();
    let short = match (s.exact, s.nominal == s.usable) {
        (true, _) => " exact".to_string(),
        (false, true) => String::new(),
        (false, false) => format!(" ({} counted on)", s.usable.print(style)),
    };
    format!("{}{short}: {}; {} left", s.nominal.print(style), pieces.join("; "), s.offcut.print(style))
}

/// A stick as it is drawn: shares of the longest stick of its row, from the left.
#[derive(Clone, Debug, PartialEq)]
pub struct StickDrawn {
    /// Its own length, 0 to 1.
    pub long: f32,
    /// Where each piece ends, with its length in words; a saw's cut parts them.
    pub pieces: Vec<(f32, f32, String)>,
    /// The same in words.
    pub words: String,
}

/// How a stick is cut, `longest` being the longest of its row, `kerf` what a cut takes.
pub fn stick_drawn(job: &Job, s: &CutStick, longest: Length, kerf: Length) -> StickDrawn {
    let style = job.units.style();
    let all = longest.0.max(s.nominal.0).max(1) as f32;
    let mut at = 0i64;
    let mut pieces = Vec::new();
    for p in &s.pieces {
        let end = at + p.length.0;
        pieces.push((at as f32 / all, end as f32 / all, p.length.print(style)));
        at = end + kerf.0;
    }
    StickDrawn { long: s.nominal.0 as f32 / all, pieces, words: stick_words(job, s) }
}

/// What a supplier gets.
pub fn supplier_total(buying: &Buying, supplier: Supplier) -> Figure {
    let why = "its rows below, whole packages, waste and spares in, before tax";
    Figure::new(buying.cost_of(supplier).to_string(), why)
}

/// All of the list.
pub fn buying_total(buying: &Buying) -> Figure {
    Figure::new(buying.cost().to_string(), "all suppliers together, before tax")
}

/// When a row must be ordered, in words.
pub fn order_words(sound: &Sound, row: &BuyRow) -> String {
    let job = &sound.job;
    let o = &row.order;
    let (Some(step), Some(plan), Some(date)) = (o.step, o.plan, o.date) else { return String::new() };
    let step = printable(&super::holds::step_name(sound, step));
    let lead = match o.lead_days {
        1.0 => "1 business day".to_string(),
        x => format!("{} business days", number(x)),
    };
    let by = match o.delivery.and_then(|i| job.deliveries.get(i)) {
        Some(d) => format!("{lead} of the delivery {}", printable(if d.name.is_empty() { &d.id } else { &d.name })),
        None => format!("{lead} of the row"),
    };
    if let Some(day) = o.ordered {
        return format!("ordered on {}, for {step}, {by}", day_words(day));
    }
    let odds = in_ten(job.confidence);
    match behind(sound, row) {
        Some(Behind::All(day)) => {
            return format!(
                "order at once: {} was the last day that kept the {odds} date; for {step}, {by}",
                day_words(day)
            );
        }
        Some(Behind::Plan(_)) => {
            return format!(
                "order by {} to keep the {odds} date (the plan's day, {}, has gone by); for {step}, {by}",
                day_words(date),
                day_words(plan)
            );
        }
        None => {}
    }
    let how = match o.tried {
        0 => "from the plan alone".to_string(),
        n => format!("from {} trials", thousands(n)),
    };
    format!(
        "order by {} to keep the plan, by {} to keep the {} date ({how}); for {step}, {by}",
        day_words(plan),
        day_words(date),
        odds
    )
}

/// Days to order by that have gone by at the day a job under way is asked on.
pub enum Behind {
    /// The last of both, so it is late already.
    All(NaiveDate),
    /// The one that keeps the plan.
    Plan(NaiveDate),
}

/// What of a row's days to order by has gone by, where it is not ordered.
pub fn behind(sound: &Sound, row: &BuyRow) -> Option<Behind> {
    let on = sound.job.as_of?.date();
    let (plan, date) = (row.order.plan?, row.order.date?);
    if row.order.ordered.is_some() {
        return None;
    }
    match (plan.max(date) < on, plan < on) {
        (true, _) => Some(Behind::All(plan.max(date))),
        (false, true) => Some(Behind::Plan(plan)),
        _ => None,
    }
}

/// Rows by the day they are to be ordered, the earliest first: `by Fri 26 Feb 2027`, `at once`, with their names. What is
/// ordered stands in none.
pub fn order_days(sound: &Sound, buying: &Buying) -> Vec<(String, Vec<String>)> {
    let mut out: Vec<(Option<NaiveDate>, Vec<String>)> = Vec::new();
    for row in buying.rows.iter().filter(|r| r.order.ordered.is_none()) {
        let (Some(plan), Some(date)) = (row.order.plan, row.order.date) else { continue };
        let day = match behind(sound, row) {
            Some(Behind::All(_)) => None,
            Some(Behind::Plan(_)) => Some(date),
            None => Some(plan.min(date)),
        };
        let name = printable(&row.name);
        match out.iter_mut().find(|x| x.0 == day) {
            Some(x) => x.1.push(name),
            None => out.push((day, vec![name])),
        }
    }
    out.sort_by_key(|x| x.0);
    let words = |d: Option<NaiveDate>| d.map_or_else(|| "at once".to_string(), |d| format!("by {}", day_words(d)));
    out.into_iter().map(|(d, names)| (words(d), names)).collect()
}

/// What a job under way need not buy any more, a sentence; nothing where nothing has come yet or it has not begun.
pub fn had_words(buying: &Buying) -> String {
    let Some(had) = buying.had.as_ref().filter(|h| !h.rows.is_empty()) else { return String::new() };
    let one = |(_, _, name, rest): &(String, String, String, bool)| {
        format!("{}{}", printable(name), if *rest { " (some of it)" } else { "" })
    };
    let names: Vec<String> = had.rows.iter().map(one).collect();
    format!("Bought or used: {}; {} of the whole list.", names.join("; "), had.cost)
}

/// `buying list`, of a job under way `still to buy as of Wed 17 Mar 2027`.
fn what_words(buying: &Buying) -> String {
    match &buying.had {
        Some(h) => format!("still to buy as of the morning of {}", day_words(h.on)),
        None => "buying list".into(),
    }
}

/// What the sum of the list is called.
pub fn sum_words(buying: &Buying) -> &'static str {
    if buying.had.is_some() { "Still to buy, before tax" } else { "All of it, before tax" }
}

/// What is said where the list has no row.
pub fn nothing_words(buying: &Buying) -> &'static str {
    match buying.had {
        Some(_) => "Nothing is left to buy for what is still to do.",
        None => "Nothing to buy is known of these steps.",
    }
}

/// `5`, `0.4`: to a tenth, a whole number without one.
fn tenth(x: f64) -> String {
    number(libm::round(x * 10.0) / 10.0)
}

/// A row in words.
pub fn buy_line(sound: &Sound, row: &BuyRow) -> BuyLine {
    let job = &sound.job;
    let style = job.units.style();
    let need = match row.sold {
        Sold::Stick => {
            let n: usize = row.sticks.iter().map(|s| s.pieces.len()).sum();
            format!("{}, {} in all", super::ending::count(n, "piece"), Length::from_feet(row.need).print(style))
        }
        Sold::Sheet => String::new(),
        Sold::Gallon if row.waste > 0.0 || row.amount > row.need => {
            format!("{:.2} gal, {:.2} with waste", row.need, row.amount)
        }
        Sold::Gallon => format!("{:.2} gal", row.need),
        Sold::Each if tenth(row.need) != tenth(row.amount) => {
            format!("{}, {} with waste", tenth(row.need), tenth(row.amount))
        }
        Sold::Each => tenth(row.need),
    };
    let covers = match row.covers > 0.0 {
        true => format!(" at {} {} each", number(row.covers), printable(&row.counts)),
        false => String::new(),
    };
    let waste = if row.waste > 0.0 { format!(", {} waste", super::price::percent(row.waste)) } else { String::new() };
    let proven = match (row.sticks.is_empty(), row.proven) {
        (_, false) => "; a cheaper cutting may exist",
        (true, true) => "",
        (false, true) => "; no cutting costs less",
    };
    let gap =
        (!row.proven).then(|| format!("cut another way it might cost up to {} less, never less than that", row.gap));
    let prices: Vec<String> = row.packs.iter().map(|b| format!("{} x {}", b.count, b.price)).collect();
    BuyLine {
        name: printable(&row.name),
        packs: Figure::new(packs_words(row), format!("{}{covers}{waste}{proven}; {}", formula(job, row), rule(row))),
        cost: Figure::new(row.cost.to_string(), prices.join(" + ")),
        need,
        order: order_words(sound, row),
        notes: row.notes.iter().map(|n| printable(n)).chain(gap).collect(),
        sticks: row.sticks.iter().map(|s| stick_words(job, s)).collect(),
    }
}

/// The list to read.
pub fn buying_text(sound: &Sound, buying: &Buying) -> String {
    let job = &sound.job;
    let mut out = format!(
        "{}: {}, {} lost at each cut, no stick longer than {}'\n",
        printable(&job.name),
        what_words(buying),
        buying.kerf.print(job.units.style()),
        number(job.house.longest_stock_ft)
    );
    if buying.rows.is_empty() {
        out += &format!("\n{}\n", nothing_words(buying));
    }
    let days = order_days(sound, buying);
    if !days.is_empty() {
        out += "\nTo order\n";
        for (day, names) in days {
            out += &super::laid(&format!("  {day}: "), 6, &names.join("; "));
        }
    }
    for supplier in Supplier::ALL {
        let rows: Vec<&BuyRow> = buying.rows.iter().filter(|r| r.supplier == supplier).collect();
        if rows.is_empty() {
            continue;
        }
        let head = super::capital(supplier_words(supplier));
        out += &format!("\n{head:<76} {:>13}\n", buying.cost_of(supplier).to_string());
        for row in rows {
            let l = buy_line(sound, row);
            out += &format!("  {:<36} {:<37} {:>13}\n", l.name, l.packs.value, l.cost.value);
            let need = if l.need.is_empty() { String::new() } else { format!("{}: ", l.need) };
            out += &super::laid("      ", 6, &format!("{need}{}", l.packs.why));
            for n in &l.notes {
                out += &super::laid("      ", 6, n);
            }
            for s in &l.sticks {
                out += &super::laid("      - ", 8, s);
            }
            if !l.order.is_empty() {
                out += &super::laid("      ", 6, &l.order);
            }
        }
    }
    if !buying.rows.is_empty() {
        out += &format!("\n{:<76} {:>13}\n", sum_words(buying), buying.cost().to_string());
    }
    let had = had_words(buying);
    if !had.is_empty() {
        out += &format!("\n{}", super::laid("", 0, &had));
    }
    if !buying.left_out.is_empty() {
        out += "\nNot in it\n";
        buying.left_out.iter().for_each(|l| out += &super::laid("  ", 2, &printable(l)));
    }
    out
}

/// The list with stable names; lengths in inches, money in cents.
pub fn buying_json(sound: &Sound, buying: &Buying) -> Value {
    let job = &sound.job;
    let id = |s: usize| sound.graph.steps[s].id.as_str();
    let stick = |s: &CutStick| {
        let piece = |p: &crate::buying::Piece| json!({"name": p.name, "length_in": p.length.inches()});
        json!({
            "length_in": s.nominal.inches(), "usable_in": s.usable.inches(), "exact": s.exact,
            "pieces": s.pieces.iter().map(piece).collect::<Vec<_>>(), "left_in": s.offcut.inches(),
        })
    };
    let row = |r: &BuyRow| {
        let l = buy_line(sound, r);
        let pack = |b: &Bought| {
            json!({
                "count": b.count, "size": b.size, "wide": b.wide, "price_cents": b.price.0, "exact": b.exact,
                "spare": b.spare, "words": pack_words(r.sold, b),
            })
        };
        let o = &r.order;
        json!({
            "material": r.material, "product": r.product, "name": r.name, "supplier": r.supplier, "sold": r.sold,
            "need": r.need, "amount": r.amount, "unit": r.unit, "formula": formula(job, r), "rule": rule(r),
            "tag": r.material_row.tag, "packs": r.packs.iter().map(pack).collect::<Vec<_>>(), "cost_cents": r.cost.0,
            "sticks": r.sticks.iter().map(stick).collect::<Vec<_>>(), "proven": r.proven, "gap_cents": r.gap.0, "notes": l.notes,
            "steps": r.steps.iter().map(|&s| id(s)).collect::<Vec<_>>(),
            "order": {
                "for": o.step.map(id), "lead_days": o.lead_days, "delivery": o.delivery.and_then(|i| job.deliveries.get(i)).map(|d| d.id.as_str()),
                "by_plan": o.plan.map(iso_day), "by_date": o.date.map(iso_day), "from_trials": o.tried > 0, "trials": o.tried,
                "ordered": o.ordered.map(iso_day), "late": matches!(behind(sound, r), Some(Behind::All(_))), "words": l.order,
            },
        })
    };
    let had = |h: &Had| {
        let one = |(material, product, name, rest): &(String, String, String, bool)| json!({"material": material, "product": product, "name": name, "some_to_buy": rest});
        json!({"on": iso_day(h.on), "cost_cents": h.cost.0, "rows": h.rows.iter().map(one).collect::<Vec<_>>()})
    };
    let days = |(when, names): (String, Vec<String>)| json!({"when": when, "names": names});
    json!({
        "job": job.name, "kerf_in": buying.kerf.inches(), "cost_cents": buying.cost().0,
        "rows": buying.rows.iter().map(row).collect::<Vec<_>>(), "left_out": buying.left_out,
        "to_order": order_days(sound, buying).into_iter().map(days).collect::<Vec<_>>(), "had": buying.had.as_ref().map(had),
        "problems": [],
    })
}
