//! A change order on paper: what is agreed, what comes in and goes out, price and days, said even
//! where they are none, and lines to sign on. The client is told the promised day before and after; days of the
//! plan and their odds only where no day was promised and the work is done later for it.
//!
//! Everything is that of the record the change was kept in, however the job went on: scope, promise, and the
//! price before and after as it was said that day, with or without material. A record without a price (written before prices were kept) has its
//! cost charged at the terms the job has when it is printed, without materials, and says so.
//! Work done again is his own affair, costs the client nothing and is a note outside the numbers of change orders.

use super::Set;
use crate::desk::Sound;
use crate::job::{ChangeKind, ChangeOrder, Job, TaxOn};
use crate::measure::Money;
use crate::pricing::change_price;
use crate::views::change_order::order_number;
use crate::views::letterhead::{letter_lines, quote_title, signer};
use crate::views::paper::{Block, Cell, Head, Ink, Page, Size, clean, document, paragraph, row, ruled};
use crate::views::quoted::signed;
use crate::views::{day_words, in_ten};

/// Words of one paragraph: no more than its lines hold.
const WORDS: usize = 60;

/// The pages of a change, the n-th of the job, counted from 1.
pub fn change_papers(sound: &Sound, n: usize, order: &ChangeOrder, size: Size) -> Vec<Page> {
    let job = &sound.job;
    let set = Set::new(size.sheet(false));
    let client = if job.client.is_empty() { String::new() } else { format!(" for {}", job.client) };
    let price = change_price(job, order);
    let again = order.kind == ChangeKind::Redo;
    let head = Head {
        over: format!("{}{client}", job.name),
        title: if again { "Put right at no charge".into() } else { format!("Change order {}", order_number(job, n)) },
        right: price.map_or_else(String::new, signed),
        under: std::iter::once(order.day.format("%A %-d %B %Y").to_string()).chain(to_quote(job, order)).collect(),
        letter: letter_lines(job),
    };
    let words = if order.words.is_empty() { "Work as below." } else { &order.words };
    let mut blocks = vec![set.head(if again { "What is put right" } else { "What is agreed" })];
    // What both sign is printed to its last word.
    let all: Vec<String> = clean(words).split_whitespace().map(String::from).collect();
    blocks.extend(all.chunks(WORDS).map(|part| paragraph(&part.join(" "), set.size * 1.15, set.wide, Ink::Ink)));
    let name = |id: &String| step_words(sound, id);
    let brought = if again { "Done again" } else { "Added" };
    blocks.extend(set.list(brought, &order.adds.iter().map(name).collect::<Vec<_>>()));
    blocks.extend(set.list("Left out", &order.drops.iter().map(name).collect::<Vec<_>>()));
    blocks.push(set.head("Price"));
    blocks.extend(price_blocks(job, order, price, set));
    blocks.push(set.head("Days"));
    blocks.push(paragraph(&days(order), set.size, set.wide, Ink::Ink));
    if !again {
        let note = "What is not named here stays as quoted. Work on it begins once both have signed.";
        blocks.push(paragraph(note, set.size, set.wide, Ink::Quiet));
        blocks.iter_mut().rev().take(3).for_each(|b| b.keeps = true);
        let theirs = if job.client.is_empty() { "client" } else { &job.client };
        blocks.extend(set.signatures([theirs, &signer(job)]));
    }
    document(set.sheet, &head, blocks)
}

/// `To quote 27-014 of Mon 1 Mar 2027.`, the last given before; nothing where none was.
fn to_quote(job: &Job, order: &ChangeOrder) -> Option<String> {
    let q = job.quotes.iter().rev().find(|q| q.made_on <= order.day)?;
    let name = quote_title(q).replacen('Q', "q", 1);
    Some(format!("To {name} of {}.", day_words(q.made_on)))
}

/// What becomes of the promised day, before and after; where none was promised, of the day it is done by.
fn days(order: &ChangeOrder) -> String {
    match (order.promised_before, order.promised_after) {
        (Some(a), Some(b)) if a == b => format!("Promised: {}, as before.", day_words(a)),
        (Some(a), Some(b)) => format!("Promised: {} with this change, {} before it.", day_words(b), day_words(a)),
        (None, Some(b)) => format!("Promised: {} with this change; nothing was promised before it.", day_words(b)),
        (Some(a), None) => format!("Promised: {} before, no day from now on.", day_words(a)),
        (None, None) if order.safe_after <= order.safe_before => "No later than before; no day is promised.".into(),
        (None, None) => {
            // How sure it was is not in a record of before it was kept.
            let odds = order.confidence.map_or_else(String::new, |c| format!(", {}", in_ten(c)));
            let (after, before) = (day_words(order.safe_after), day_words(order.safe_before));
            format!("Done by {after} with this change, by {before} without it{odds}; no day is promised.")
        }
    }
}

/// What the price is of, as the record has it.
fn price_words(order: &ChangeOrder, tax: &str) -> String {
    let less = order.cents.unwrap_or(0) < 0;
    let of = match order.material {
        Some(0) if less => return format!("For the work{tax}; no material was counted for it."),
        Some(0) => {
            return format!("Work only{tax}: what it takes of material is not in it and is told before it is bought.");
        }
        Some(m) if m < 0 || less => "For the work and the material as they are counted with it and without it",
        _ => "For the work and the material counted for it",
    };
    format!("{of}{tax}. Material beyond that is told beforehand.")
}

/// The price as lines: before, the change, after.
fn price_blocks(job: &Job, order: &ChangeOrder, price: Option<Money>, set: Set) -> Vec<Block> {
    let said = |text: &str, ink: Ink| paragraph(text, set.size, set.wide, ink);
    if order.kind == ChangeKind::Redo {
        return vec![said("No change: it is put right at no charge.", Ink::Ink)];
    }
    let Some(p) = price else { return vec![said("To be agreed: ______________", Ink::Ink)] };
    let mut out = Vec::new();
    if let Some(before) = order.cents_before {
        out.push(set.amount("price before", &Money(before).to_string()));
    }
    out.push(set.amount(if p.0 < 0 { "this change, less to pay" } else { "this change" }, &signed(p)));
    if let Some(after) = order.cents_after {
        let sum = ["price with this change", &Money(after).to_string()];
        let cells = set.amount_cells((0.0, set.wide * 0.66), sum[0], sum[1]).map(Cell::bold);
        out.push(ruled(row(&cells, set.size), set.wide * 0.66, set.size));
    }
    let kept = order.cents.is_some();
    let tax = if job.price.tax > 0.0 && (kept || job.price.tax_on == TaxOn::Price) { ", tax in it" } else { "" };
    let words = match kept {
        true => price_words(order, tax),
        false => {
            let apart = if order.drops.is_empty() { "" } else { " Material no longer needed is credited apart." };
            format!(
                "For the work{tax}, at today's terms: the price told on that day was not kept. Material it takes beyond \
                 the quote is told beforehand.{apart}"
            )
        }
    };
    out.push(said(&words, Ink::Quiet));
    out
}

/// A step by its name; what is in the job no more by the room and words of its id.
fn step_words(sound: &Sound, id: &String) -> String {
    let job = &sound.job;
    let mut parts = id.split('/').map(|p| p.replace('-', " "));
    let first = parts.next().unwrap_or_default();
    let room = job.rooms.iter().find(|r| id.split('/').next() == Some(r.id.as_str()));
    let own = job.steps.iter().find(|s| s.id == *id || id.ends_with(&format!("/{}", s.id)));
    let rest = match sound.graph.steps.iter().find(|s| s.id == *id).map(|s| s.name.clone()) {
        Some(name) if !name.is_empty() && name != *id => name,
        _ => {
            own.filter(|s| !s.name.is_empty()).map_or_else(|| parts.collect::<Vec<_>>().join(", "), |s| s.name.clone())
        }
    };
    match room {
        Some(r) => {
            let name = if r.name.is_empty() { &r.id } else { &r.name };
            if rest.is_empty() { name.clone() } else { format!("{name}: {rest}") }
        }
        None if rest.is_empty() => first,
        None => rest,
    }
}
