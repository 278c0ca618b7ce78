//! Entries of the job that are steps by themselves: own steps, deliveries, decisions, visits,
//! each with all its fields; and what may be redone or found.

use egui::{Label, Ui};

use super::field::{NUMBER, Row, row};
use super::picker::pick;
use super::{BenchState, changed, edit, problems, take_out};
use crate::job::{Edit, Flags, Leaves, LinkKind, Need, OwnStep, Place, PlaceKind};
use crate::trade::Stage;
use crate::ui::Scene;
use crate::ui::action::Action;
use crate::views::entries::{Name, leaves_coat, names, said};
use crate::views::inspect::{Entry, Inspected};
use crate::views::{choices, numbered, typed};

/// The fields of the entry a step comes from.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState, x: &Inspected, out: &mut Vec<Action>) {
    let (job, of) = (scene.job, x.name.as_str());
    match &x.entry {
        Entry::Own(i) => own(ui, scene, state, *i, of, out),
        Entry::Delivery(i) => delivery(ui, scene, state, *i, of, out),
        Entry::Decision(i) => decision(ui, scene, state, *i, of, out),
        Entry::Visit(i) => visit(ui, scene, state, *i, of, out),
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

/// What must arrive.
pub(super) fn delivery(ui: &mut Ui, scene: &Scene, state: &mut BenchState, i: usize, of: &str, out: &mut Vec<Action>) {
    let d = &scene.job.deliveries[i];
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
    let list = all(scene);
    needs(ui, of, "is ordered after", (&list, &|id| wet(scene, id)), &d.id, &mut new.needs);
    before(ui, of, &list, &d.id, &mut new.before);
    if new != *d {
        edit(out, Edit::Delivery(i, Some(new)));
    }
    take_out(ui, scene, state, of, "Take this delivery out", Edit::Delivery(i, None), out);
    problems(ui, scene, &format!("deliveries[{i}]"));
}

/// What the client must settle.
pub(super) fn decision(ui: &mut Ui, scene: &Scene, state: &mut BenchState, i: usize, of: &str, out: &mut Vec<Action>) {
    let d = &scene.job.decisions[i];
    let mut new = d.clone();
    row(ui, of, "name", |f| name(f, &mut new.name));
    row(ui, of, "settled by", |f| {
        if let Some(day) = f.day("settled by", d.by) {
            new.by = day;
        }
    });
    late(ui, of, &mut new.late);
    before(ui, of, &all(scene), &d.id, &mut new.before);
    if new != *d {
        edit(out, Edit::Decision(i, Some(new)));
    }
    take_out(ui, scene, state, of, "Take this decision out", Edit::Decision(i, None), out);
    problems(ui, scene, &format!("decisions[{i}]"));
}

/// Somebody else's work in the house.
pub(super) fn visit(ui: &mut Ui, scene: &Scene, state: &mut BenchState, i: usize, of: &str, out: &mut Vec<Action>) {
    let v = &scene.job.visits[i];
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
    row(ui, of, "fills", |f| {
        let none = (String::new(), "no place".to_string());
        let rooms = scene.job.places.iter().filter(|p| p.kind == PlaceKind::Room).map(place_words);
        let options: Vec<_> = std::iter::once(none).chain(rooms).collect();
        if let Some(p) = f.choose("place it fills", 140.0, &v.place, &options) {
            new.place = p;
        }
    });
    row(ui, of, "comes", |f| super::places::windows(f, "comes", &mut new.windows));
    late(ui, of, &mut new.late);
    let list = all(scene);
    needs(ui, of, "waits for", (&list, &|id| wet(scene, id)), &v.id, &mut new.needs);
    before(ui, of, &list, &v.id, &mut new.before);
    if new != *v {
        edit(out, Edit::Visit(i, Some(new)));
    }
    take_out(ui, scene, state, of, "Take this visit out", Edit::Visit(i, None), out);
    problems(ui, scene, &format!("visits[{i}]"));
}

fn place_words(p: &Place) -> (String, String) {
    (p.id.clone(), p.name.clone())
}

fn name(f: &mut Row, value: &mut String) {
    let width = f.wide();
    if let Some(n) = f.text("name", width, value) {
        *value = n;
    }
}

/// Everything that can be waited for, of the answer at hand.
fn all(scene: &Scene) -> Vec<Name> {
    scene.shown.map_or_else(Vec::new, |s| names(scene.job, &s.sound.graph, &s.found.plan.order.methods))
}

/// Whether a step leaves a coat that gets ready for the next.
fn wet(scene: &Scene, id: &str) -> bool {
    let graph = scene.shown.map(|s| &s.sound.graph);
    graph.is_some_and(|g| leaves_coat(g, id))
}

/// Ways to wait for something.
fn waits() -> Vec<((LinkKind, Option<Stage>), String)> {
    let stage = |s: Stage| {
        let words = match s {
            Stage::DustFree => "dust-free",
            Stage::Sand => "dry to sand",
            Stage::Recoat => "dry for the next coat",
            Stage::Tape => "dry to tape",
            Stage::Handle => "dry to handle",
            Stage::Shut => "dry to close on",
            Stage::Full => "fully hard",
        };
        ((LinkKind::Fs, Some(s)), words.to_string())
    };
    let done = ((LinkKind::Fs, None), "done".to_string());
    let begun = ((LinkKind::Ss, None), "begun".to_string());
    let ends = [
        ((LinkKind::Ff, None), "ends no sooner than its end".to_string()),
        ((LinkKind::Sf, None), "ends no sooner than its start".to_string()),
    ];
    std::iter::once(done).chain(std::iter::once(begun)).chain(Stage::ALL.map(stage)).chain(ends).collect()
}

/// Names of everything that may be waited for, and whether one of them leaves a coat.
type Others<'a> = (&'a [Name], &'a dyn Fn(&str) -> bool);

/// What something waits for: each with what is asked of it, and a field to find another.
fn needs(ui: &mut Ui, of: &str, caption: &str, (list, wet): Others, own: &str, value: &mut Vec<Need>) {
    let mut gone = None;
    for (j, n) in value.iter_mut().enumerate() {
        let words = said(list, &n.step);
        row(ui, of, if j == 0 { caption } else { "" }, |f| {
            f.ui.add(Label::new(&words).wrap());
            f.ui.end_row();
            let now = (n.link, n.dry);
            if let Some((link, dry)) = f.choose(&format!("{words} to be"), 150.0, &now, &waits()) {
                (n.link, n.dry) = (link, dry);
                n.longest = n.longest.filter(|_| dry.is_some());
            }
            if f.button_as("Take out", &format!("wait no longer for {words}")) {
                gone = Some(j);
            }
            f.ui.end_row();
            if let Some(h) = f.amount(&format!("hours after {words}"), n.lag.max(0.0)) {
                n.lag = h;
            }
            f.word("h later");
            // A coat may be left too long only where it is waited for to dry.
            if n.dry.is_none() {
                return;
            }
            f.word("at most");
            let print = |x: &Option<f64>| x.map_or_else(String::new, typed::plain);
            let read = |t: &str| match t.trim() {
                "" => Ok(None),
                t => typed::read_amount(t).and_then(|x| match x {
                    x if x > 0.0 => Ok(Some(x)),
                    _ => Err("write hours above 0, or nothing where it may be left for any time".to_string()),
                }),
            };
            if let Some(x) = f.hinted(&format!("longest wait after {words}"), NUMBER, &n.longest, "any", print, read) {
                n.longest = x;
            }
            f.word("h, else scuffed first");
        });
    }
    if let Some(j) = gone {
        value.remove(j);
    }
    let there: Vec<String> = value.iter().map(|n| n.step.clone()).collect();
    let mut found = None;
    row(ui, of, if value.is_empty() { caption } else { "and" }, |f| {
        found =
            pick(f.ui, of, &format!("find what it {caption}"), list, &|id| id == own || there.iter().any(|t| t == id));
    });
    if let Some(step) = found {
        // Who waits for a coat waits for it to be dry enough for the next; it can be said otherwise.
        let dry = wet(&step).then_some(Stage::Recoat);
        value.push(Need { step, link: LinkKind::Fs, dry, lag: 0.0, longest: None });
    }
}

/// What waits for something to be done.
fn before(ui: &mut Ui, of: &str, list: &[Name], own: &str, value: &mut Vec<String>) {
    let mut gone = None;
    for (j, id) in value.iter().enumerate() {
        let words = said(list, id);
        row(ui, of, if j == 0 { "comes before" } else { "" }, |f| {
            f.ui.add(Label::new(&words).wrap());
            if f.button_as("Take out", &format!("comes no longer before {words}")) {
                gone = Some(j);
            }
        });
    }
    if let Some(j) = gone {
        value.remove(j);
    }
    let mut found = None;
    row(ui, of, if value.is_empty() { "comes before" } else { "and" }, |f| {
        let there = value.clone();
        found = pick(f.ui, of, "find what it comes before", list, &|id| id == own || there.iter().any(|t| t == id));
    });
    value.extend(found);
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
pub(super) fn own(ui: &mut Ui, scene: &Scene, state: &mut BenchState, i: usize, of: &str, out: &mut Vec<Action>) {
    let job = scene.job;
    let o = &job.steps[i];
    let mut new: OwnStep = o.clone();
    row(ui, of, "name", |f| name(f, &mut new.name));
    row(ui, of, "room", |f| {
        let none = (String::new(), "no room".to_string());
        let rooms = job.rooms.iter().map(|r| (r.id.clone(), r.name.clone()));
        let options: Vec<_> = std::iter::once(none).chain(rooms).collect();
        if let Some(r) = f.choose("room", 140.0, &o.room, &options) {
            new.room = r;
        }
    });
    time(ui, scene, of, o, &mut new);
    row(ui, of, "set-up", |f| {
        if let Some(n) = f.count("set-up minutes", o.setup_min.max(0) as u32) {
            new.setup_min = i64::from(n);
        }
        f.word("min");
    });
    row(ui, of, "hands", |f| {
        if let Some(n) = f.count("fewest hands", o.hands.fewest) {
            new.hands.fewest = n;
            new.hands.most = new.hands.most.max(n);
        }
        f.word("to");
        if let Some(n) = f.count("most hands", o.hands.most) {
            new.hands.most = n;
            new.hands.fewest = new.hands.fewest.min(n);
        }
    });
    whose(ui, scene, of, &mut new.hands.who);
    row(ui, of, "place", |f| {
        let none = (String::new(), "its room's place".to_string());
        let options: Vec<_> = std::iter::once(none).chain(job.places.iter().map(place_words)).collect();
        if let Some(p) = f.choose("place", 140.0, &o.place, &options) {
            new.place = p;
        }
    });
    row(ui, of, "product left", |f| {
        let none = (None, "nothing that dries".to_string());
        let products = choices::products(job).into_iter().map(|p| (Some(p.id.clone()), p.name.clone()));
        let options: Vec<_> = std::iter::once(none).chain(products).collect();
        let width = f.wide() - 20.0;
        let now = o.leaves.as_ref().map(|l| l.product.clone());
        if let Some(product) = f.choose("product", width, &now, &options) {
            let thick = o.leaves.as_ref().map_or(0.0, |l| l.thick);
            new.leaves = product.map(|product| Leaves { product, thick });
        }
    });
    row(ui, of, "it is", |f| flags(f, &mut new.flags));
    row(ui, of, "begins only", |f| super::places::windows(f, "begins only", &mut new.windows));
    let list = all(scene);
    needs(ui, of, "waits for", (&list, &|id| wet(scene, id)), &o.id, &mut new.needs);
    before(ui, of, &list, &o.id, &mut new.before);
    if new != *o {
        edit(out, Edit::OwnStep(i, Some(Box::new(new))));
    }
    take_out(ui, scene, state, of, "Take this step out", Edit::OwnStep(i, None), out);
    problems(ui, scene, &format!("steps[{i}]"));
}

/// How long an own step takes: hours, a count times a rate, or a duration.
fn time(ui: &mut Ui, scene: &Scene, of: &str, o: &OwnStep, new: &mut OwnStep) {
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
            f.word(choices::rate(scene.job, rate).map_or("", |r| r.name.as_str()));
        });
    }
    if let Some(d) = &o.duration {
        row(ui, of, "duration", |f| {
            for (k, v) in d.values.iter().enumerate() {
                if let Some(x) = f.amount(&numbered("duration, value", k + 1), *v) {
                    *new = changed(new, |n| n.duration.iter_mut().for_each(|d| d.values[k] = x));
                }
            }
        });
    }
    if o.hours.is_none() && o.rate.is_none() && o.duration.is_none() {
        row(ui, of, "", |f| {
            if f.button("Give it hours") {
                new.hours = Some((1.0, 2.0, 3.0));
            }
        });
    }
}

/// Whose hands: people by name and skills; anybody where none is ticked.
fn whose(ui: &mut Ui, scene: &Scene, of: &str, value: &mut Vec<String>) {
    let crew = &scene.job.crew;
    let mut options: Vec<(String, String)> = crew.iter().map(|p| (p.id.clone(), p.name.clone())).collect();
    for s in crew.iter().flat_map(|p| &p.skills).chain(value.iter()) {
        if !options.iter().any(|o| o.0 == *s) {
            options.push((s.clone(), s.clone()));
        }
    }
    if options.len() < 2 && value.is_empty() {
        return;
    }
    row(ui, of, "done by", |f| {
        for (id, words) in &options {
            if let Some(on) = f.tick(words, value.contains(id)) {
                value.retain(|v| v != id);
                if on {
                    value.push(id.clone());
                }
            }
        }
        if value.is_empty() {
            f.word("anybody");
        }
    });
}

fn flags(f: &mut Row, value: &mut Flags) {
    let list: [(&str, &mut bool); 5] = [
        ("dusty", &mut value.dusty),
        ("noisy", &mut value.noisy),
        ("done in one go", &mut value.one_go),
        ("may be set down", &mut value.set_down),
        ("shuts the room", &mut value.closes),
    ];
    for (words, on) in list {
        if let Some(now) = f.tick(words, *on) {
            *on = now;
        }
    }
}
