//! A quote on paper: price, payments, days, what it rests on, what is in it and what is not, and
//! lines to sign on.

use super::Set;
use crate::desk::Sound;
use crate::job::Quote;
use crate::pricing::Price;
use crate::views::capital;
use crate::views::paper::{Block, Head, Ink, Page, Size, clean, document, paragraph};
use crate::views::price::pay_words;
use crate::views::quote::{days_words, sums};

/// The pages of a quote, upright: what [`crate::views::quote_text`] says, no hours, rates or costs.
pub fn quote_papers(sound: &Sound, quote: &Quote, price: &Price, size: Size) -> Vec<Page> {
    let job = &sound.job;
    let set = Set::new(size.sheet(false));
    let client = if job.client.is_empty() { String::new() } else { format!(" for {}", job.client) };
    let option = if quote.option.is_empty() { String::new() } else { format!(", {}", quote.option) };
    let head = Head {
        over: format!("{}{option}", job.name),
        title: format!("Quote{client}"),
        right: price.total.to_string(),
        under: vec![quote.made_on.format("%A %-d %B %Y").to_string()],
    };
    let parts: Vec<(String, String)> = sums(price).into_iter().map(|(what, m)| (what.into(), m.to_string())).collect();
    let pays: Vec<(String, String)> =
        price.payments.iter().map(|p| (pay_words(p.when).into(), p.amount.to_string())).collect();
    let mut blocks: Vec<Block> = set.amounts(["Price", "Payments"], &parts, &pays);
    blocks.push(set.head("Days"));
    let first = capital(&days_words(job, quote));
    blocks.push(paragraph(&clean(&format!("{first}.")), set.size, set.wide, Ink::Ink));
    blocks.extend(set.list("What it rests on", &quote.assumptions));
    blocks.extend(set.list("What is in it", &quote.inclusions));
    blocks.extend(set.list("What is not", &quote.exclusions));
    blocks.extend(set.list("What would move it", &quote.moves));
    // Nobody signs a page with nothing else on it.
    blocks.iter_mut().rev().take(3).for_each(|b| b.keeps = true);
    let theirs = if job.client.is_empty() { "client" } else { &job.client };
    blocks.extend(set.signatures([theirs, "who does the work"]));
    document(set.sheet, &head, blocks)
}
