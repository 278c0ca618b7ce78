//! The house, and what may go wrong: each cause with its switch and its figures.

use egui::Ui;

use super::field::{NUMBER, row, zone};
use super::{BenchState, Zone, edit, problems};
use crate::job::{Edit, Switch};
use crate::ui::Scene;
use crate::ui::action::Action;
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
        });
        row(ui, of, "longest stock", |f| {
            if let Some(x) = f.amount("feet that turn on the stairs", h.longest_stock_ft) {
                new.longest_stock_ft = x;
            }
            f.word("ft turn on the stairs");
        });
        if new != *h {
            edit(out, Edit::House(new));
        }
        problems(ui, scene, "house");
    });
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
        row(ui, of, "run together", |f| {
            for (name, word, at) in [
                ("weight of the pace", "his pace", &mut new.pace_weight),
                ("weight of the trade", "a trade", &mut new.trade_weight),
                ("weight of the house", "the house", &mut new.house_weight),
            ] {
                f.word(word);
                if let Some(x) = f.within(name, *at, 0.0, 1.0) {
                    *at = x;
                }
            }
        });
        row(ui, of, "wider by", |f| {
            if let Some(x) = f.within("widening of the range", r.widening, 1.0, 3.0) {
                new.widening = x;
            }
            f.word("until ten jobs of your own stand behind a rate");
        });
        switch(ui, "drying", &mut new.drying);
        row(ui, of, "drying varies", |f| {
            for (name, word, at) in [
                ("spread of the season", "season", &mut new.season_sd),
                ("spread of a day", "day", &mut new.day_sd),
                ("spread of a product", "product", &mut new.product_sd),
            ] {
                f.word(word);
                if let Some(x) = f.within(name, *at, 0.0, 1.0) {
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
            f.word("in a row");
            if let Some(x) = f.within("days lost in a row", r.lost_spell, 1.0, 60.0) {
                new.lost_spell = x;
            }
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
        row(ui, of, "% of hours", |f| {
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
