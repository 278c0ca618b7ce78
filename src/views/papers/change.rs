//! A change order on paper: what is agreed, what comes in and goes out, price and days, said even
//! where they are none, and lines to sign on.
//!
//! Everything is that of the record the change was kept in, however the job went on: scope, days, promise, and the
//! price before and after as it was said that day. A record without a price (written before prices were kept) has its
//! cost charged at the terms the job has when it is printed, without materials, and says so.
//! Work done again is his own affair and costs the client nothing.

use super::Set;
use crate::desk::Sound;
use crate::job::{ChangeKind, ChangeOrder, Job, TaxOn};
use crate::measure::Money;
use crate::pricing::charged;
use crate::views::change_order::{days_more, promise_words};
use crate::views::paper::{Block, Head, Ink, Page, Size, clean, document, paragraph};
use crate::views::{day_words, in_ten, thousands};

/// Words of one paragraph: no more than its lines hold.
const WORDS: usize = 60;

/// The pages of a change, the n-th of the job, counted from 1.
pub fn change_papers(sound: &Sound, n: usize, order: &ChangeOrder, size: Size) -> Vec<Page> {
    let job = &sound.job;
    let set = Set::new(size.sheet(false));
    let client = if job.client.is_empty() { String::new() } else { format!(" for {}", job.client) };
    let price = price(job, order);
    let again = order.kind == ChangeKind::Redo;
    let head = Head {
        over: format!("{}{client}", job.name),
        title: if again { "Put right at no charge".into() } else { format!("Change order {}", number(job, n)) },
        right: price.map_or_else(String::new, signed),
        under: vec![order.day.format("%A %-d %B %Y").to_string()],
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
    // The client is told half days.
    let days = days_more((order.days * 2.0).round() / 2.0);
    let odds = in_ten(order.confidence.unwrap_or(job.confidence));
    let after = day_words(order.safe_after);
    let safe = match order.safe_before == order.safe_after {
        true => format!("Done by {after} before and after, {odds}."),
        false => {
            format!("Done by {after} with this change, by {} without it, {odds}.", day_words(order.safe_before))
        }
    };
    let told = match (order.confidence, order.trials) {
        (None, _) => {
            format!("How sure these days were was not kept with the record; {odds} is what the job asks for today.")
        }
        (Some(_), 0) => String::new(),
        (Some(_), n) => format!("As told on that day, of {} tries of the plan.", thousands(n as usize)),
    };
    blocks.push(set.amount("working days, about", &days));
    blocks.push(paragraph(&safe, set.size, set.wide, Ink::Ink));
    if !told.is_empty() {
        blocks.push(paragraph(&told, set.size, set.wide, Ink::Quiet));
    }
    blocks.push(paragraph(&promise_words(order), set.size, set.wide, Ink::Ink));
    if !again {
        let note = "What is not named here stays as quoted. Work on it begins once both have signed.";
        blocks.push(paragraph(note, set.size, set.wide, Ink::Quiet));
        blocks.iter_mut().rev().take(3).for_each(|b| b.keeps = true);
        let theirs = if job.client.is_empty() { "client" } else { &job.client };
        blocks.extend(set.signatures([theirs, "who does the work"]));
    }
    document(set.sheet, &head, blocks)
}

/// The number the client counts: work done again is no change order.
fn number(job: &Job, n: usize) -> usize {
    n - job.changes.iter().take(n.saturating_sub(1)).filter(|c| c.kind == ChangeKind::Redo).count()
}

/// What the client pays for it: as agreed, else of an old record its cost at the terms of today; none where no hour has a
/// cost.
fn price(job: &Job, order: &ChangeOrder) -> Option<Money> {
    match order.kind {
        ChangeKind::Redo => Some(Money(0)),
        ChangeKind::Scope => {
            order.cents.map(Money).or(order.dollars.map(|d| charged(&job.price, Money::from_dollars(d))))
        }
    }
}

/// The price as lines: before, the change, after.
fn price_blocks(job: &Job, order: &ChangeOrder, price: Option<Money>, set: Set) -> Vec<Block> {
    let said = |text: &str, ink: Ink| paragraph(text, set.size, set.wide, ink);
    if order.kind == ChangeKind::Redo {
        return vec![said("No change: it is put right at no charge.", Ink::Ink)];
    }
    let Some(p) = price else { return vec![said("To be agreed: ______________", Ink::Ink)] };
    let (word, much) = if p.0 < 0 { ("less to pay", Money(-p.0).to_string()) } else { ("more to pay", signed(p)) };
    let mut out = Vec::new();
    if let Some(before) = order.cents_before {
        out.push(set.amount("price before", &Money(before).to_string()));
    }
    out.push(set.amount(word, &much));
    if let Some(after) = order.cents_after {
        out.push(set.amount("price with this change", &Money(after).to_string()));
    }
    let kept = order.cents.is_some();
    let tax = if job.price.tax > 0.0 && (kept || job.price.tax_on == TaxOn::Price) { ", tax in it" } else { "" };
    let words = match kept {
        true => {
            format!("For the work and the material counted for it{tax}. Material beyond that is told beforehand.")
        }
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

fn signed(m: Money) -> String {
    if m.0 > 0 { format!("+{m}") } else { m.to_string() }
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
