//! A quote on paper: price, payments, days, what it rests on, what is in it and what is not, and
//! lines to sign on; of a quote the client holds already, what was agreed since and the price today.

use super::Set;
use crate::job::Job;
use crate::measure::Money;
use crate::views::capital;
use crate::views::letterhead::{letter_lines, quote_title, signer};
use crate::views::paper::{Block, Cell, Head, Ink, Page, Size, clean, document, paragraph, row, ruled};
use crate::views::price::pay_words;
use crate::views::quote::sums;
use crate::views::quoted::Quoted;

/// The pages of a quote, upright: what [`crate::views::quote_text`] says, no hours, rates or costs.
pub fn quote_papers(job: &Job, q: &Quoted, size: Size) -> Vec<Page> {
    let quote = &q.quote;
    let set = Set::new(size.sheet(false));
    let client = if job.client.is_empty() { String::new() } else { format!(" for {}", job.client) };
    let option = if quote.option.is_empty() { String::new() } else { format!(", {}", quote.option) };
    let mut under = vec![quote.made_on.format("%A %-d %B %Y").to_string()];
    under.extend(q.notes());
    let head = Head {
        over: format!("{}{option}", job.name),
        title: format!("{}{client}", quote_title(quote)),
        right: q.total.to_string(),
        under,
        letter: letter_lines(job),
    };
    let parts: Vec<(String, String)> = sums(quote).into_iter().map(|(what, m)| (what.into(), m.to_string())).collect();
    let pays: Vec<(String, String)> =
        quote.payments.iter().map(|p| (pay_words(p.when).into(), Money(p.cents).to_string())).collect();
    let price = if q.changes.is_empty() { "Price" } else { "Price as quoted" };
    let mut blocks: Vec<Block> = set.amounts([price, "Payments"], &parts, &pays);
    blocks.extend(changed(q, set));
    blocks.push(set.head("Days"));
    let days = q.days(job);
    blocks.extend(days.iter().map(|d| paragraph(&clean(&format!("{}.", capital(d))), set.size, set.wide, Ink::Ink)));
    blocks.extend(set.list("What it rests on", &quote.assumptions));
    blocks.extend(set.list("What is in it", &quote.inclusions));
    blocks.extend(set.list("What is not", &quote.exclusions));
    blocks.extend(set.list("What would move it", &quote.moves));
    // What the client holds was signed when it was given.
    if !q.held {
        // Nobody signs a page with nothing else on it.
        blocks.iter_mut().rev().take(3).for_each(|b| b.keeps = true);
        let theirs = if job.client.is_empty() { "client" } else { &job.client };
        blocks.extend(set.signatures([theirs, &signer(job)]));
    }
    document(set.sheet, &head, blocks)
}

/// Changes agreed since, a line or more each with its amount at the right, and the price today below them.
fn changed(q: &Quoted, set: Set) -> Vec<Block> {
    let lines = q.changed();
    if lines.is_empty() {
        return Vec::new();
    }
    let column = set.size * 8.0;
    let last = lines.len() - 1;
    let mut out = vec![set.head("Agreed since")];
    for (i, (what, amount)) in lines.iter().enumerate() {
        let figure = Cell::right(set.wide - column, set.wide, amount);
        if i == last {
            let name = Cell::left(0.0, set.wide - column, clean(what)).bold();
            out.push(ruled(row(&[name, figure.bold()], set.size), set.wide, set.size));
        } else {
            out.push(row(&[Cell::left(0.0, set.wide - column * 1.1, clean(what)), figure], set.size).kept());
        }
    }
    if q.quote.payments.len() > 1 {
        let note = "The payments are those of the quote; a change is paid as was agreed with it.";
        out.push(paragraph(note, set.size, set.wide, Ink::Quiet));
    }
    out
}
