//! The buying list on paper: what to buy by supplier, when to order it, and every stick drawn to
//! scale with the cuts on it.

use super::{Set, tick};
use crate::buying::{BuyRow, Buying, CutStick};
use crate::desk::Sound;
use crate::job::Job;
use crate::trade::Supplier;
use crate::views::face::{self, Weight};
use crate::views::holds::step_name;
use crate::views::paper::{
    Block, Cell, Head, Ink, Mark, Page, Size, clean, document, item, pair, paragraph, row, ruled,
};
use crate::views::price::supplier_words;
use crate::views::section::Site;
use crate::views::{
    Behind, BuyLine, behind, buy_line, capital, day_words, had_words, in_ten, nothing_words, order_days, stick_words,
};

/// The pages of a buying list, upright.
pub fn buying_papers(sound: &Sound, buying: &Buying, size: Size) -> Vec<Page> {
    let job = &sound.job;
    let set = Set::new(size.sheet(false));
    let style = job.units.style();
    let longest = crate::measure::Length::from_feet(job.house.longest_stock_ft).print(style);
    let head = Head {
        over: job.name.clone(),
        title: if buying.had.is_some() { "Still to buy" } else { "Buying list" }.into(),
        right: buying.cost().to_string(),
        under: vec![format!(
            "Before tax. {} lost at each cut, no stick longer than {longest}. Prices are those of the job file.",
            buying.kerf.print(style)
        )],
        ..Head::default()
    };
    let mut head = head;
    if let Some(h) = &buying.had {
        head.under.insert(0, format!("For what is still to do as of the morning of {}.", day_words(h.on)));
    }
    if buying.rows.iter().any(|r| r.order.plan < r.order.date) {
        let odds = in_ten(job.confidence);
        head.under.push(format!(
            "Ordered by its first day it keeps the plan; by the day at the latest it still keeps the {odds} date."
        ));
    }
    if buying.rows.iter().any(|r| !r.sticks.is_empty()) {
        head.under.push(
            "In a stick: its pieces in order, then white what is left over; grey is the end not counted on, as stock may come short."
                .into(),
        );
    }
    let mut blocks: Vec<Block> = Vec::new();
    if buying.rows.is_empty() {
        blocks.push(paragraph(nothing_words(buying), set.size, set.wide, Ink::Ink));
    }
    let days = order_days(sound, buying);
    if !days.is_empty() {
        blocks.push(set.head("To order"));
        for (day, names) in days {
            let names = clean(&names.join("; "));
            blocks.push(pair(&capital(&day), &names, set.size, (set.size * 10.5, set.wide), Ink::Ink));
        }
    }
    let most = buying.rows.iter().flat_map(|r| &r.sticks).map(|s| s.nominal.inches()).fold(1.0, f64::max);
    for supplier in Supplier::ALL {
        let rows: Vec<&BuyRow> = buying.rows.iter().filter(|r| r.supplier == supplier).collect();
        if rows.is_empty() {
            continue;
        }
        let name = capital(supplier_words(supplier));
        blocks.push(supplied(&name, &buying.cost_of(supplier).to_string(), set));
        for r in rows {
            blocks.extend(bought(sound, r, most, set));
        }
    }
    let had = had_words(buying);
    if !had.is_empty() {
        blocks.push(ruled(paragraph(&clean(&had), set.size, set.wide, Ink::Quiet), set.wide, set.size));
    }
    blocks.extend(set.list("Not in it", &buying.left_out));
    document(set.sheet, &head, blocks)
}

/// A supplier with its sum, as a heading.
fn supplied(name: &str, cost: &str, set: Set) -> Block {
    let size = set.size * 1.2;
    let from = set.wide - size * 8.0;
    let mut block = row(&[Cell::left(0.0, from, name).bold(), Cell::right(from, set.wide, cost).bold()], size);
    block.marks = block.marks.into_iter().map(|m| m.moved(0.0, size * 0.7)).collect();
    block.height += size * 0.7;
    block.kept()
}

/// A row: packages and cost, what is needed, when to order, the sticks.
fn bought(sound: &Sound, r: &BuyRow, most: f64, set: Set) -> Vec<Block> {
    let l: BuyLine = buy_line(sound, r);
    let (name, packs, cost) = (set.wide * 0.39, set.wide * 0.41, set.wide * 0.86);
    let at = set.size * 1.5;
    let cells = [
        Cell::left(at, name, clean(&l.name)).bold(),
        Cell::left(packs, cost, l.packs.value.clone()),
        Cell::right(cost, set.wide, l.cost.value.clone()),
    ];
    let mut line = row(&cells, set.size);
    // A box to tick, as high as the capitals.
    let high = face::cap_height(set.size, Weight::Regular);
    let y = face::ascent(set.size, Weight::SemiBold) - high;
    line.marks.push(tick((set.size * 0.1, y), high));
    let mut out = vec![ruled(line, set.wide, set.size)];
    let small = set.size * 0.92;
    // What is needed, and when to order it beside it.
    let need = if l.need.is_empty() { String::new() } else { format!("need {}", l.need) };
    let (when, ink) = order(sound, r);
    if !need.is_empty() || !when.is_empty() {
        let when = Cell { ink, ..Cell::left(packs, set.wide, clean(&when)) };
        out.push(row(&[Cell::left(at, name, clean(&need)).quiet(), when], small));
    }
    let mut say = |text: &str, ink: Ink| {
        if !text.is_empty() {
            let mut said = paragraph(&clean(text), small, set.wide - at, ink);
            said.marks = said.marks.into_iter().map(|m| m.moved(at, 0.0)).collect();
            out.push(said);
        }
    };
    l.notes.iter().for_each(|n| say(n, Ink::Quiet));
    // What is said of a row stands with its first stick.
    let said = out.len() - usize::from(r.sticks.is_empty());
    out[..said].iter_mut().for_each(|b| b.keeps = true);
    out.extend(r.sticks.iter().map(|s| stick(&sound.job, s, most, set)));
    out
}

/// `Tue 2 Mar`: the year stands in the list of days on top.
fn short(day: chrono::NaiveDate) -> String {
    day.format("%a %-d %b").to_string()
}

/// When to order, in short, the earlier of its two days first: `order by Tue 2 Mar, at the latest Wed 3 Mar, for
/// base`; red where both have gone by.
fn order(sound: &Sound, r: &BuyRow) -> (String, Ink) {
    let o = &r.order;
    let (Some(step), Some(plan), Some(date)) = (o.step, o.plan, o.date) else { return (String::new(), Ink::Safe) };
    let step = step_name(sound, step);
    match (behind(sound, r), o.ordered) {
        (Some(Behind::All(day)), _) => (format!("order at once ({} has gone by), for {step}", short(day)), Ink::Shut),
        (_, Some(day)) => (format!("ordered on {}, for {step}", short(day)), Ink::Safe),
        (None, None) if date > plan => {
            (format!("order by {}, at the latest {}, for {step}", short(plan), short(date)), Ink::Safe)
        }
        _ => (format!("order by {}, for {step}", short(date)), Ink::Safe),
    }
}

/// A stick to scale: its length before it, each piece with its name and length in it, what is left
/// blank, what of its end is not counted on grey. Where a name finds no room in its piece, the whole cut
/// stands in words below.
fn stick(job: &Job, s: &CutStick, most: f64, set: Set) -> Block {
    let style = job.units.style();
    let size = set.size * 0.87;
    let (left, high) = (set.size * 4.0, set.size * 1.5);
    // The longest leaves room for what is left of it.
    let scale = (f64::from(set.wide - left - size * 7.0) / most) as f32;
    let base = high / 2.0 + face::cap_height(size, Weight::Regular) / 2.0;
    let mut marks = Vec::new();
    let text = |x: f32, weight: Weight, ink: Ink, text: String| Mark::Text { x, y: base, size, weight, ink, text };
    marks.push(text(0.0, Weight::SemiBold, Ink::Ink, s.nominal.print(style).to_string()));
    let whole = s.nominal.inches() as f32 * scale;
    let line = Some((Ink::Line(Site::Shop), size * 0.08));
    let mut x = left;
    let mut told = true;
    for p in &s.pieces {
        let w = p.length.inches() as f32 * scale;
        marks.push(Mark::Rect { x, y: 0.0, w, h: high, fill: Some(Ink::Tint(Site::Shop)), line });
        let length = p.length.print(style).to_string();
        let both = format!("{} {length}", clean(&p.name));
        let room = w - size * 0.6;
        let wide = |t: &str| face::width(t, size, Weight::Regular);
        let words = [&both, &length].into_iter().find(|t| wide(t) <= room);
        told &= words == Some(&both);
        if let Some(t) = words {
            marks.push(text(x + (w - wide(t)) / 2.0, Weight::Regular, Ink::Ink, t.clone()));
        }
        x += w;
    }
    // What of its end is not counted on.
    let sure = s.usable.inches() as f32 * scale;
    if sure < whole - 0.01 {
        marks.push(Mark::Rect { x: left + sure, y: 0.0, w: whole - sure, h: high, fill: Some(Ink::Off), line: None });
    }
    marks.push(Mark::Rect { x: left, y: 0.0, w: whole, h: high, fill: None, line });
    {
        let rest = match s.offcut.0 {
            0 => "nothing left".to_string(),
            _ => format!("{} left", s.offcut.print(style)),
        };
        let wide = face::width(&rest, size, Weight::Regular);
        // In what is left, or behind the stick.
        let within = left + sure - size * 0.3 - wide;
        let at = if within >= x + size * 0.3 { within } else { left + whole + size * 0.5 };
        marks.push(text(at, Weight::Regular, Ink::Quiet, rest));
    }
    let mut block = Block { height: high + size * 0.5, marks, keeps: false };
    if !told {
        let words = stick_words(job, s);
        let cut = words.split_once(": ").map_or(words.as_str(), |w| w.1);
        let below = item(&clean(cut), size, set.wide - left, Ink::Quiet);
        block.marks.extend(below.marks.into_iter().map(|m| m.moved(left, high + size * 0.2)));
        block.height += below.height;
    }
    block
}
