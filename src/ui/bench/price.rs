//! Price: its lines, what chance makes of it, the terms it hangs on, the quotes that were kept.
//!
//! The figures are those of `roomback price`, worked out beside the answer at rest; while they are
//! worked out anew those of the job before stand there in quiet ink.

use egui::{Grid, Label, RichText, Ui, vec2};

use super::field::{NUMBER, line, row};
use super::fold::zone;
use super::{BenchState, Zone, edit, figure, problems};
use crate::job::{Allowance, Edit, PayWhen, PriceTerms, TaxOn};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::explain;
use crate::ui::shelf::BookChange;
use crate::ui::shown::PricedOf;
use crate::ui::theme::{Theme, size, strong};
use crate::views::{self, Figure, letterhead, numbered, typed};

/// Width of an amount.
const AMOUNT: f32 = 92.0;

/// The price, its odds and its terms.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    if scene.job.study.is_some() {
        return;
    }
    let asked = state.asked(Zone::Price);
    zone(ui, "Price", true, asked, |ui| {
        if let Some(agreed) = views::agreed_figure(scene.job) {
            figure(ui, "agreed", &agreed);
            note(ui, views::ANEW);
        }
        match scene.priced() {
            Some((p, now)) => lines(ui, scene, p, now, out),
            None => {
                ui.label("working out…");
            }
        }
        terms(ui, scene, out);
        problems(ui, scene, "price");
        head(ui, scene, out);
        problems(ui, scene, "letterhead");
    });
}

/// A heading inside the zone.
fn heading(ui: &mut Ui, words: &str) {
    ui.add_space(size::GAP);
    ui.label(RichText::new(words).text_style(strong()));
}

fn note(ui: &mut Ui, words: &str) {
    let quiet = Theme::of(ui.ctx()).quiet;
    ui.add(Label::new(RichText::new(words).color(quiet).size(size::SMALL)).wrap());
}

/// What and how much, each with its why.
fn table(ui: &mut Ui, key: &str, rows: &[(String, Figure, bool)], now: bool) {
    let theme = Theme::of(ui.ctx());
    let wide = (ui.available_width() - AMOUNT - size::GAP).max(80.0);
    Grid::new(key).num_columns(2).spacing(vec2(size::GAP, 2.0)).show(ui, |ui| {
        for (what, figure, sum) in rows {
            let dress = |text: &str| {
                let text = RichText::new(text).color(if now { theme.ink } else { theme.quiet });
                if *sum { text.text_style(strong()) } else { text }
            };
            ui.allocate_ui_with_layout(vec2(wide, size::ROW), egui::Layout::top_down(egui::Align::Min), |ui| {
                ui.set_width(wide);
                ui.add(Label::new(dress(what)).wrap());
            });
            ui.allocate_ui_with_layout(vec2(AMOUNT, size::ROW), egui::Layout::top_down(egui::Align::Max), |ui| {
                ui.set_width(AMOUNT);
                explain::told_as(ui, what, figure, dress(&figure.value));
            });
            ui.end_row();
        }
    });
}

fn lines(ui: &mut Ui, scene: &Scene, of: &PricedOf, now: bool, out: &mut Vec<Action>) {
    let (job, p) = (&of.sound.job, &of.priced);
    let theme = Theme::of(ui.ctx());
    let rows = views::price_rows(job, &p.price, &p.buying);
    let rows: Vec<_> = rows.into_iter().map(|r| (r.what, r.figure, r.kind.is_none())).collect();
    table(ui, "price lines", &rows, now);
    for n in views::price_notes(job, &p.price, &p.buying) {
        ui.add(Label::new(RichText::new(n).color(theme.target)).wrap());
    }
    heading(ui, "Odds");
    for r in views::price_odds(job, &p.price) {
        row(ui, "", &r.what, |f| {
            explain::told(f.ui, &r.what, &r.figure);
        });
    }
    heading(ui, "Payments");
    // Once work has begun those of the quote the client holds.
    let held = views::held_payments(scene.job);
    if held.is_empty() {
        let one = |i| (views::payment_words(job, i), views::payment_figure(job, i), false);
        table(ui, "payments", &p.price.payments.iter().map(one).collect::<Vec<_>>(), now);
        note(ui, "Some states cap a deposit by law; look at yours.");
    } else {
        table(ui, "payments", &held.into_iter().map(|(w, f)| (w, f, false)).collect::<Vec<_>>(), true);
    }
    let kept = views::quote_lines(scene.job);
    if !kept.is_empty() {
        heading(ui, "Quotes kept");
        for l in &kept {
            ui.add(Label::new(l).wrap());
        }
    }
    let stands = views::may_quote(scene.job).err();
    if let Some(why) = &stands {
        note(ui, why);
    }
    let may = now && stands.is_none() && views::trusted(job, &p.price);
    let button = ui.add_enabled(may, egui::Button::new("Keep this quote"));
    super::near::stop(&button);
    if button.clicked()
        && let Some(s) = scene.shown
    {
        let quote = views::quote_of(&s.sound, &s.forecast, &p.price, scene.today);
        edit(out, Edit::Quoted(Box::new(quote)));
    }
}

/// What the price hangs on; every committed field is one change.
fn terms(ui: &mut Ui, scene: &Scene, out: &mut Vec<Action>) {
    let now = &scene.job.price;
    let mut new: PriceTerms = now.clone();
    let of = "price";
    heading(ui, "Terms");
    row(ui, of, "overhead", |f| {
        let read = |t: &str| typed::read_share(t, 3.0);
        if let Some(x) = f.field("overhead", NUMBER, &now.overhead, |x| typed::percent(*x), read) {
            new.overhead = x;
        }
        f.word("of what it costs you");
    });
    row(ui, of, "profit", |f| {
        let read = |t: &str| typed::read_share(t, 0.9);
        if let Some(x) = f.field("profit", NUMBER, &now.margin, |x| typed::percent(*x), read) {
            new.margin = x;
        }
        f.word("of the price before tax");
    });
    row(ui, of, "contingency", |f| {
        let read = |t: &str| typed::read_share(t, 0.99);
        if let Some(x) = f.field("contingency", NUMBER, &now.contingency, |x| typed::percent(*x), read) {
            new.contingency = x;
        }
        f.word("of jobs like it cost no more; 0 for none");
    });
    row(ui, of, "tax", |f| {
        if let Some(x) = f.percent("tax", now.tax) {
            new.tax = x;
        }
        f.word("on");
        let options = [(TaxOn::Price, "the price".to_string()), (TaxOn::Materials, "materials".to_string())];
        if let Some(x) = f.choose("tax on", 90.0, &now.tax_on, &options) {
            new.tax_on = x;
        }
    });
    row(ui, of, "rounded", |f| {
        let mut options: Vec<(Option<u32>, String)> =
            [(None, "to the cent"), (Some(1), "up to $1"), (Some(5), "up to $5"), (Some(25), "up to $25")]
                .map(|(d, words)| (d, words.to_string()))
                .to_vec();
        if !options.iter().any(|o| o.0 == now.round_up) {
            options.push((now.round_up, "as the file has it".to_string()));
        }
        if let Some(x) = f.choose("rounding", 110.0, &now.round_up, &options) {
            new.round_up = x;
        }
    });
    row(ui, of, "after hours", |f| {
        if let Some(x) = f.percent("an hour after hours", now.overtime) {
            new.overtime = x;
        }
        f.word("more an hour");
    });
    row(ui, of, "a late day", |f| {
        let print = |x: &Option<f64>| x.map_or_else(String::new, typed::plain);
        let read = |t: &str| match t.trim().trim_start_matches('$') {
            "" => Ok(None),
            t => typed::read_amount(t).map(Some),
        };
        if let Some(x) = f.field("a late day", NUMBER, &now.late_day, print, read) {
            new.late_day = x;
        }
        f.word("dollars, if that is agreed");
    });
    heading(ui, "Shares of the payments");
    note(ui, "One changed takes the others along, so that all is paid.");
    for when in PayWhen::ALL {
        let words = views::pay_words(when);
        line(ui, of, |f| {
            if let Some(x) = f.percent(words, now.share_at(when)) {
                new = new.with_share(when, x);
            }
            f.word(words);
        });
    }
    heading(ui, "Allowances");
    let mut out_of = None;
    for (i, a) in now.allowances.iter().enumerate() {
        let of = numbered("allowance", i + 1);
        line(ui, &of, |f| {
            f.word("$");
            if let Some(x) = f.amount("dollars", a.dollars) {
                new.allowances[i].dollars = x;
            }
            let wide = (f.wide() - 150.0).max(80.0);
            if let Some(x) = f.text("for what", wide, &a.what) {
                new.allowances[i].what = x;
            }
            if f.button("Take out") {
                out_of = Some(i);
            }
        });
    }
    if let Some(i) = out_of {
        new.allowances.remove(i);
    }
    line(ui, of, |f| {
        if f.button("Add an allowance") {
            new.allowances.push(Allowance { what: "to be chosen".into(), dollars: 0.0 });
        }
    });
    heading(ui, "In the price besides");
    entries(ui, "inclusion", &now.inclusions, &mut new.inclusions);
    heading(ui, "Not in the price");
    entries(ui, "exclusion", &now.exclusions, &mut new.exclusions);
    if new != *now {
        edit(out, Edit::Price(Box::new(new)));
    }
}

/// What papers say above their title, and what the book has of it.
fn head(ui: &mut Ui, scene: &Scene, out: &mut Vec<Action>) {
    let now = &scene.job.letterhead;
    let mut new = now.clone();
    let of = "head of the papers";
    heading(ui, "Head of the papers");
    note(ui, "Who does the work: name, address, phone, licence, a line each.");
    entries(ui, "who does the work", &now.from, &mut new.from);
    note(ui, "The client's address.");
    entries(ui, "client's address", &now.to, &mut new.to);
    row(ui, of, "quote number", |f| {
        if let Some(x) = f.text("number of the quote", 100.0, &now.number) {
            new.number = x;
        }
    });
    row(ui, of, "it holds", |f| {
        let print = |x: &Option<u32>| x.map_or_else(String::new, |d| typed::plain(f64::from(d)));
        let read = |t: &str| match t.trim() {
            "" => Ok(None),
            t => typed::read_count(t).and_then(|d| {
                if (1..=365).contains(&d) { Ok(Some(d)) } else { Err("write 1 to 365 days, or nothing".into()) }
            }),
        };
        if let Some(x) = f.field("days a quote holds", NUMBER, &now.valid_days, print, read) {
            new.valid_days = x;
        }
        f.word("days; empty where that is not said");
    });
    let book = scene.shelf.book();
    line(ui, of, |f| {
        if let Some(with) = letterhead::offered(scene.job, book)
            && f.button("Use that of my book")
        {
            new = with;
        }
        if letterhead::to_keep(scene.job, book) && f.button("Keep in my book") {
            out.push(Action::Book(BookChange::Letterhead(now.from.clone(), now.valid_days)));
        }
    });
    if new != *now {
        edit(out, Edit::Letterhead(Box::new(new)));
    }
}

/// Lines of one's own: one left empty is taken out, one written below is added.
fn entries(ui: &mut Ui, what: &str, now: &[String], new: &mut Vec<String>) {
    for (i, text) in now.iter().enumerate() {
        let of = numbered(what, i + 1);
        line(ui, &of, |f| {
            let wide = f.wide();
            if let Some(x) = f.text("words", wide, text) {
                new[i] = x;
            }
        });
    }
    line(ui, what, |f| {
        let wide = f.wide();
        if let Some(x) = f.text("another", wide, "") {
            new.push(x);
        }
    });
    new.retain(|x| !x.trim().is_empty());
}
