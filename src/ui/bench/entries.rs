//! Entries of the job that are steps by themselves: own steps, deliveries, decisions, visits,
//! and what may be redone or found.

use egui::Ui;

use super::field::{Row, row};
use super::{changed, edit, problems};
use crate::job::{Edit, OwnStep};
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::views::inspect::{Entry, Inspected};
use crate::views::{choices, numbered};

/// The fields of the entry a step comes from.
pub(super) fn show(ui: &mut Ui, scene: &Scene, x: &Inspected, out: &mut Vec<Action>) {
    let (job, of) = (scene.job, x.name.as_str());
    match &x.entry {
        Entry::Own(i) => {
            own(ui, scene, *i, of, out);
            problems(ui, scene, &format!("steps[{i}]"));
        }
        Entry::Delivery(i) => {
            let d = &job.deliveries[*i];
            let mut new = d.clone();
            row(ui, of, "name", |f| name(f, &mut new.name));
            row(ui, of, "lead time", |f| {
                if let Some(n) = f.amount("business days", d.lead_days) {
                    new.lead_days = n;
                }
                f.word("business days");
            });
            late(ui, of, &mut new.late);
            row(ui, of, "ordered", |f| {
                if let Some(day) = f.maybe_day("ordered", d.ordered) {
                    new.ordered = day;
                }
                f.word("or as soon as it can be");
            });
            if new != *d {
                edit(out, Edit::Delivery(*i, Some(new)));
            }
            gone(ui, of, "Take this delivery out", Edit::Delivery(*i, None), out);
            problems(ui, scene, &format!("deliveries[{i}]"));
        }
        Entry::Decision(i) => {
            let d = &job.decisions[*i];
            let mut new = d.clone();
            row(ui, of, "name", |f| name(f, &mut new.name));
            row(ui, of, "settled by", |f| {
                if let Some(day) = f.day("settled by", d.by) {
                    new.by = day;
                }
            });
            late(ui, of, &mut new.late);
            if new != *d {
                edit(out, Edit::Decision(*i, Some(new)));
            }
            gone(ui, of, "Take this decision out", Edit::Decision(*i, None), out);
            problems(ui, scene, &format!("decisions[{i}]"));
        }
        Entry::Visit(i) => {
            let v = &job.visits[*i];
            let mut new = v.clone();
            row(ui, of, "name", |f| name(f, &mut new.name));
            row(ui, of, "takes", |f| {
                if let Some(h) = f.amount("elapsed hours", v.hours) {
                    new.hours = h;
                }
                f.word("h or");
                if let Some(d) = f.amount("business days", v.business_days) {
                    new.business_days = d;
                }
                f.word("business days");
            });
            row(ui, of, "comes", |f| super::places::windows(f, "comes", &mut new.windows));
            late(ui, of, &mut new.late);
            if new != *v {
                edit(out, Edit::Visit(*i, Some(new)));
            }
            gone(ui, of, "Take this visit out", Edit::Visit(*i, None), out);
            problems(ui, scene, &format!("visits[{i}]"));
        }
        Entry::Redo(key) => {
            let mut risks = job.risks.clone();
            if let Some(r) = risks.redos.iter_mut().find(|r| r.id == *key) {
                row(ui, of, "again", |f| {
                    if let Some(c) = f.percent("chance", r.chance) {
                        r.chance = c;
                    }
                    f.word("of the time,");
                    if let Some(c) = f.percent("share of the hours", r.share) {
                        r.share = c;
                    }
                    f.word("of its hours");
                });
            }
            put_risks(scene, risks, out);
        }
        Entry::Found(key) => {
            let mut risks = job.risks.clone();
            if let Some(r) = risks.surprise_rows.iter_mut().find(|r| r.id == *key) {
                row(ui, of, "found", |f| {
                    if let Some(c) = f.percent("chance", r.chance) {
                        r.chance = c;
                    }
                    f.word("of the time,");
                    if let Some(h) = f.amount("hours", r.hours) {
                        r.hours = h;
                    }
                    f.word("h");
                });
            }
            put_risks(scene, risks, out);
        }
        Entry::Unlisted => {
            let mut risks = job.risks.clone();
            row(ui, of, "% of hours", |f| {
                let s = risks.unlisted_share;
                if let Some(s) = f.three("share", (s.0 * 100.0, s.1 * 100.0, s.2 * 100.0)) {
                    risks.unlisted_share = (s.0 / 100.0, s.1 / 100.0, s.2 / 100.0);
                }
            });
            put_risks(scene, risks, out);
        }
        Entry::Row(..) | Entry::Other => {}
    }
}

fn put_risks(scene: &Scene, risks: crate::trade::Risks, out: &mut Vec<Action>) {
    if risks != scene.job.risks {
        edit(out, Edit::Risks(Box::new(risks)));
    }
}

fn name(f: &mut Row, value: &mut String) {
    let width = f.wide();
    if let Some(n) = f.text("name", width, value) {
        *value = n;
    }
}

fn gone(ui: &mut Ui, of: &str, words: &str, change: Edit, out: &mut Vec<Action>) {
    row(ui, of, "", |f| {
        if f.button(words) {
            edit(out, change);
        }
    });
}

/// Chance of being late, and by how many days.
fn late(ui: &mut Ui, of: &str, value: &mut Option<(f64, f64)>) {
    row(ui, of, "late", |f| {
        let (mut chance, mut days) = value.unwrap_or((0.0, 0.0));
        let (a, b) = (f.percent("chance of being late", chance), {
            f.word("of the time, by");
            f.amount("days late", days)
        });
        f.word("days");
        if a.is_none() && b.is_none() {
            return;
        }
        (chance, days) = (a.unwrap_or(chance), b.unwrap_or(days));
        *value = (chance > 0.0 || days > 0.0).then_some((chance, days));
    });
}

/// A step of the user's own.
fn own(ui: &mut Ui, scene: &Scene, i: usize, of: &str, out: &mut Vec<Action>) {
    let job = scene.job;
    let o = &job.steps[i];
    let mut new: OwnStep = o.clone();
    row(ui, of, "name", |f| name(f, &mut new.name));
    if let Some(h) = o.hours {
        row(ui, of, "hours given", |f| {
            if let Some(h) = f.three("hours", h) {
                new.hours = Some(h);
            }
        });
    }
    if let Some((n, rate)) = &o.rate {
        row(ui, of, "count", |f| {
            if let Some(x) = f.amount("quantity", *n) {
                new.rate = Some((x, rate.clone()));
            }
            f.word(choices::rate(job, rate).map_or("", |r| r.name.as_str()));
        });
    }
    if let Some(d) = &o.duration {
        row(ui, of, "duration", |f| {
            for (k, v) in d.values.iter().enumerate() {
                if let Some(x) = f.amount(&numbered("duration, value", k + 1), *v) {
                    new = changed(&new, |n| n.duration.iter_mut().for_each(|d| d.values[k] = x));
                }
            }
        });
    }
    row(ui, of, "set-up", |f| {
        if let Some(n) = f.count("set-up minutes", o.setup_min.max(0) as u32) {
            new.setup_min = i64::from(n);
        }
        f.word("min");
    });
    row(ui, of, "hands", |f| {
        if let Some(n) = f.count("fewest hands", o.hands.fewest) {
            new.hands.fewest = n;
        }
        f.word("to");
        if let Some(n) = f.count("most hands", o.hands.most) {
            new.hands.most = n;
        }
    });
    row(ui, of, "place", |f| {
        let none = (String::new(), "its room's place".to_string());
        let options: Vec<_> =
            std::iter::once(none).chain(job.places.iter().map(|p| (p.id.clone(), p.name.clone()))).collect();
        if let Some(p) = f.choose("place", 140.0, &o.place, &options) {
            new.place = p;
        }
    });
    if let Some(l) = &o.leaves {
        row(ui, of, "product", |f| {
            let options: Vec<_> = choices::products(job).iter().map(|p| (p.id.clone(), p.name.clone())).collect();
            let width = f.wide() - 20.0;
            if let Some(product) = f.choose("product", width, &l.product, &options) {
                new = changed(&new, |n| n.leaves.iter_mut().for_each(|l| l.product.clone_from(&product)));
            }
        });
    }
    if new != *o {
        edit(out, Edit::OwnStep(i, Some(Box::new(new))));
    }
    gone(ui, of, "Take this step out", Edit::OwnStep(i, None), out);
}
