//! The house, and what may go wrong: each cause with its switch and its figures.

use egui::{Label, RichText, Ui};

use super::field::{NUMBER, row};
use super::fold::zone;
use super::{BenchState, Zone, edit, problems};
use crate::job::{Edit, Switch};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::ui::theme::{Theme, size};
use crate::views::{causes_words, typed, whole};

/// Facts of the house.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let asked = state.asked(Zone::House);
    zone(ui, "The house", true, asked, |ui| {
        let h = &scene.job.house;
        let of = "the house";
        let mut new = h.clone();
        row(ui, of, "built in", |f| {
            let print = |y: &Option<i32>| y.map_or_else(String::new, whole);
            let read = |t: &str| match t.trim() {
                "" => Ok(None),
                t => match typed::read_count(t)? {
                    y @ 1600..=2200 => Ok(Some(y as i32)),
                    _ => Err("write the year like 1926, or nothing where it is not known".to_string()),
                },
            };
            if let Some(y) = f.field("built in", NUMBER, &h.year_built, print, read) {
                new.year_built = y;
            }
            f.word("unknown counts as old");
        });
        row(ui, of, "lead", |f| {
            let options = [
                (None, "by its age".to_string()),
                (Some(true), "lead work practices".to_string()),
                (Some(false), "none needed".to_string()),
            ];
            if let Some(l) = f.choose("lead", 150.0, &h.lead_practices, &options) {
                new.lead_practices = l;
            }
        });
        row(ui, of, "", |f| {
            if let Some(on) = f.tick("people live in it", h.occupied) {
                new.occupied = on;
            }
        });
        row(ui, of, "", |f| {
            if let Some(on) = f.tick("small children at my home", h.small_children) {
                new.small_children = on;
            }
        });
        row(ui, of, "out of square", |f| {
            if let Some(x) = f.within("out of square", h.out_of_square, 1.0, 1.4) {
                new.out_of_square = x;
            }
            f.word("1 is true, 1.4 worst");
        });
        row(ui, of, "stairs, ladder", |f| {
            if let Some(x) = f.within("stairs or ladder", h.ladder, 1.0, 1.6) {
                new.ladder = x;
            }
            f.word("1 is none, 1.6 worst");
        });
        row(ui, of, "longest stock", |f| {
            let units = scene.job.units;
            let (words, name) = typed::stock_words(units);
            let print = |x: &f64| typed::stock_field(units, *x);
            let step = |x: &f64, n: i64| (x + n as f64).max(0.0);
            let read = |t: &str| typed::read_stock(units, t);
            if let Some(x) = f.stepped(name, NUMBER, &h.longest_stock_ft, print, read, &step) {
                new.longest_stock_ft = x;
            }
            f.word(words);
        });
        if new != *h {
            edit(out, Edit::House(new));
        }
        problems(ui, scene, "house");
    });
}

/// What the fields below it are about.
fn note(ui: &mut Ui, words: &str) {
    let quiet = Theme::of(ui.ctx()).quiet;
    ui.add(Label::new(RichText::new(words).color(quiet).size(size::SMALL)).wrap());
}

/// The causes of lateness.
pub(super) fn risks(ui: &mut Ui, scene: &Scene, state: &mut BenchState, out: &mut Vec<Action>) {
    let asked = state.asked(Zone::Risks);
    zone(ui, "What may go wrong", true, asked, |ui| {
        let mut new = scene.job.risks.clone();
        let r = scene.job.risks.clone();
        let of = "what may go wrong";
        let switch = |ui: &mut Ui, key: &str, at: &mut Switch| {
            row(ui, of, "", |f| {
                if let Some(on) = f.tick(causes_words(key), *at == Switch::On) {
                    *at = if on { Switch::On } else { Switch::Off };
                }
            });
        };
        switch(ui, "hours", &mut new.hours);
        note(ui, "Where one step runs long others do too; 0 not at all, 1 always:");
        row(ui, of, "alike by", |f| {
            for (name, word, at) in [
                ("steps alike by your pace on the job", "pace", &mut new.pace_weight),
                ("steps alike within a trade", "trade", &mut new.trade_weight),
                ("steps alike in this house", "house", &mut new.house_weight),
            ] {
                f.word(word);
                if let Some(x) = f.within(name, *at, 0.0, 1.0) {
                    *at = x;
                }
            }
        });
        note(
            ui,
            "Until ten jobs of your own stand behind a rate, its low and high are taken further from the typical:",
        );
        row(ui, of, "further by", |f| {
            f.word("×");
            if let Some(x) = f.within("low and high further apart", r.widening, 1.0, 3.0) {
                new.widening = x;
            }
        });
        switch(ui, "drying", &mut new.drying);
        note(ui, "How far a usual week, day or can is faster or slower than the label and the air say:");
        row(ui, of, "drying off by", |f| {
            for (name, word, at) in [
                ("drying off by the season", "season", &mut new.season_sd),
                ("drying off by the day", "day", &mut new.day_sd),
                ("drying off by the product", "product", &mut new.product_sd),
            ] {
                f.word(word);
                if let Some(x) = f.percent(name, *at) {
                    *at = x;
                }
            }
        });
        switch(ui, "lost_days", &mut new.lost_days);
        row(ui, of, "days lost", |f| {
            let print = |x: &Option<f64>| x.map_or_else(String::new, typed::percent);
            let read = |t: &str| match t.trim() {
                "" => Ok(None),
                t => typed::read_percent(t).map(Some),
            };
            if let Some(x) = f.field("share of days lost", NUMBER, &r.lost_rate, print, read) {
                new.lost_rate = x;
            }
            f.word("of the days, each time");
            if let Some(x) = f.within("days lost in a row", r.lost_spell, 1.0, 60.0) {
                new.lost_spell = x;
            }
            f.word("in a row");
        });
        switch(ui, "holes", &mut new.holes);
        row(ui, of, "late starts", |f| {
            if let Some(x) = f.percent("chance of a late start", r.hole_chance) {
                new.hole_chance = x;
            }
            f.word("of the days");
        });
        switch(ui, "unavailable", &mut new.unavailable);
        row(ui, of, "not free", |f| {
            if let Some(x) = f.percent("chance the room cannot be worked in", r.unavailable_chance) {
                new.unavailable_chance = x;
            }
            f.word("of the days");
        });
        switch(ui, "job_before", &mut new.job_before);
        switch(ui, "redo", &mut new.redo);
        for (k, x) in r.redos.iter().enumerate() {
            row(ui, &x.name, &x.name, |f| {
                if let Some(c) = f.percent("chance", x.chance) {
                    new.redos[k].chance = c;
                }
                f.word("for");
                if let Some(c) = f.percent("share of the hours", x.share) {
                    new.redos[k].share = c;
                }
                f.word("of its hours");
            });
        }
        switch(ui, "surprises", &mut new.surprises);
        for (k, x) in r.surprise_rows.iter().enumerate() {
            row(ui, &x.name, &x.name, |f| {
                if let Some(c) = f.percent("chance", x.chance) {
                    new.surprise_rows[k].chance = c;
                }
                f.word("takes");
                if let Some(h) = f.amount("hours", x.hours) {
                    new.surprise_rows[k].hours = h;
                }
                f.word("h");
            });
        }
        switch(ui, "late", &mut new.late);
        switch(ui, "unlisted", &mut new.unlisted);
        row(ui, of, "% of all hours", |f| {
            let s = r.unlisted_share;
            if let Some(s) = f.three("unlisted share", (s.0 * 100.0, s.1 * 100.0, s.2 * 100.0)) {
                new.unlisted_share = (s.0 / 100.0, s.1 / 100.0, s.2 / 100.0);
            }
        });
        if new != r {
            edit(out, Edit::Risks(Box::new(new)));
        }
        problems(ui, scene, "risks");
    });
}
