//! Where everything stands: nothing outside the window, nothing over anything else, and a list
//! of it all that shows in a change what has moved.
//!
//! The lists are in `tests/window/layout`; with `WRITE_REPORTS=1` they are written anew.
//! Positions are whole points: left, top, width, height.

use std::fmt::Write as _;
use std::path::Path;

use egui::{Rect, Vec2, pos2};

use roomback::ui::action::Command;

use crate::driver::{FEW, HUGE, LARGE, Named, SMALL, Used};

/// Name of the chart, whose blocks have click areas of their own that may meet.
const CHART: &str = "The room section";

fn list(all: &[Named]) -> String {
    let mut out = String::new();
    for n in all {
        let r = n.rect;
        let place = [r.left(), r.top(), r.width(), r.height()].map(|v| format!("{:>5}", v.round())).concat();
        let value = if n.value.is_empty() || n.value == n.name { String::new() } else { format!(" = {}", n.value) };
        let off = if n.enabled { "" } else { ", off" };
        writeln!(out, "{place}  {:?} {}{value}{off}", n.role, n.name).unwrap();
    }
    out
}

#[track_caller]
fn held(name: &str, size: Vec2, got: &str) {
    let file = format!("{}/tests/window/layout/{name}-{}x{}.txt", env!("CARGO_MANIFEST_DIR"), size.x, size.y);
    if std::env::var_os("WRITE_REPORTS").is_some() {
        std::fs::create_dir_all(Path::new(&file).parent().unwrap()).unwrap();
        std::fs::write(&file, got).unwrap();
        return;
    }
    let want = std::fs::read_to_string(&file).unwrap_or_default();
    if want != got {
        let moved: Vec<String> = got.lines().filter(|l| !want.contains(l)).map(|l| format!("now   {l}")).collect();
        let gone: Vec<String> = want.lines().filter(|l| !got.contains(l)).map(|l| format!("then  {l}")).collect();
        let all = [gone, moved].concat();
        panic!("{file} does not hold; look, and write it anew with WRITE_REPORTS=1\n{}", all.join("\n"));
    }
}

/// What is wrong with where things stand, a line each.
fn faults(all: &[Named], size: Vec2) -> Vec<String> {
    let window = Rect::from_min_max(pos2(0.0, 0.0), size.to_pos2()).expand(0.5);
    let chart = all.iter().find(|n| n.name == CHART).map_or(Rect::NOTHING, |n| n.rect);
    let of_chart = |n: &Named| n.in_named.as_deref() == Some(CHART);
    let mut out = Vec::new();
    for n in all {
        let r = n.rect;
        // The bench scrolls, and so does the column of a job under way: each may be longer than the
        // window, never wider.
        let scrolls = (r.left() >= chart.right() - 1.0 && r.top() > chart.top()) || r.right() <= chart.left() + 1.0;
        if of_chart(n) && !chart.expand(1.0).contains_rect(r) {
            out.push(format!("{} stands outside the chart: {r:?}", n.name));
        } else if r.left() < window.left() || r.right() > window.right() {
            out.push(format!("{} is wider than the window has room: {r:?}", n.name));
        } else if !scrolls && !window.contains_rect(r) {
            out.push(format!("{} stands outside the window: {r:?}", n.name));
        } else if r.width() < 1.0 || r.height() < 1.0 {
            out.push(format!("{} has no area: {r:?}", n.name));
        }
    }
    let alone: Vec<&Named> = all.iter().filter(|n| n.alone).collect();
    for (i, a) in alone.iter().enumerate() {
        for b in &alone[i + 1..] {
            let both = a.rect.intersect(b.rect);
            if both.width() > 1.0 && both.height() > 1.0 {
                out.push(format!("{} and {} overlap: {both:?}", a.name, b.name));
            }
        }
    }
    out
}

/// A state of the window by name, and how it is reached.
type State = (&'static str, fn(&mut Used));

#[test]
fn the_study_stands_where_it_stood() {
    let mut w = Used::open("study", SMALL, FEW);
    for size in [SMALL, LARGE, HUGE] {
        w.h.set_size(size);
        w.rest();
        held("study", size, &list(&w.named()));
    }
}

#[test]
fn a_job_under_way_stands_where_it_stood() {
    let text = std::fs::read_to_string(crate::driver::sample("powder")).expect("a sample");
    let mut w = Used::on_day(&text, "2027-05-12", SMALL, FEW);
    w.key(Command::Site);
    w.press("As planned through yesterday");
    for size in [SMALL, LARGE] {
        w.h.set_size(size);
        w.rest();
        let all = w.named();
        let wrong = faults(&all, size);
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
        held("site", size, &list(&all));
    }
}

#[test]
fn nothing_overlaps_and_nothing_is_outside() {
    let mut wrong = Vec::new();
    for name in ["study", "house"] {
        let mut w = Used::open(name, SMALL, FEW);
        for size in [SMALL, LARGE, HUGE] {
            w.h.set_size(size);
            w.rest();
            let all = w.named();
            assert!(all.len() > 30 && all.iter().any(|n| n.name == CHART), "{name}: {all:?}");
            wrong.extend(faults(&all, size).into_iter().map(|f| format!("{name} {}x{}: {f}", size.x, size.y)));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// At every text size nothing is wider than the window or has no area.
#[test]
fn nothing_is_cut_off_at_any_text_size() {
    let mut wrong = Vec::new();
    for scale in [0.8, 1.0, 1.5, 2.0] {
        let text = std::fs::read_to_string(crate::driver::sample("powder")).unwrap();
        let mut w = Used::scaled(&text, SMALL, FEW, scale);
        let states: [State; 5] = [
            ("order of work", |_| {}),
            ("measure", |w| w.key(Command::Measure)),
            ("finder", |w| w.key(Command::Find)),
            ("new job", |w| w.key(Command::New)),
            ("open", |w| w.key(Command::Open)),
        ];
        for (name, go) in states {
            go(&mut w);
            let all = w.named();
            // Positions come in points or in pixels; the button of the menu tells which.
            let menu = all.iter().find(|n| n.name == "Menu").expect("the menu");
            // Columns and cards scroll: what is below is to be reached, what is beside is cut off.
            let cut = |f: &String| f.contains("wider than the window") || f.contains("has no area");
            let held = faults(&all, SMALL / scale * (menu.rect.width() / 36.0));
            wrong.extend(held.into_iter().filter(cut).map(|f| format!("{name} at {scale}: {f}")));
            let carded = matches!(name, "finder" | "new job" | "open");
            if carded {
                w.h.key_press(egui::Key::Escape);
                w.rest();
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn a_thing_out_of_its_place_is_found() {
    let thing = |name: &str, x: f32, y: f32, of: Option<&str>| Named {
        role: egui::accesskit::Role::Button,
        name: name.to_string(),
        value: String::new(),
        rect: Rect::from_min_size(pos2(x, y), egui::vec2(40.0, 20.0)),
        enabled: true,
        alone: of.is_none(),
        in_named: of.map(String::from),
    };
    let chart = Named {
        rect: Rect::from_min_max(pos2(0.0, 60.0), pos2(900.0, 700.0)),
        alone: false,
        ..thing(CHART, 0.0, 0.0, None)
    };
    let with = |more: &[Named]| faults(&[std::slice::from_ref(&chart), more].concat(), SMALL).len();
    let (a, block) = (thing("a", 10.0, 10.0, None), |x| thing("block", x, 100.0, Some(CHART)));
    assert_eq!(with(&[a.clone(), thing("b", 60.0, 10.0, None), block(100.0), block(110.0)]), 0);
    assert_eq!(with(&[a.clone(), thing("b", 40.0, 20.0, None)]), 1);
    assert_eq!(with(&[block(890.0)]), 1);
    assert_eq!(with(&[thing("wide", 1250.0, 100.0, None)]), 1);
    assert_eq!(with(&[thing("low", 950.0, 900.0, None)]), 0);
    assert_eq!(with(&[thing("low", 100.0, 900.0, None)]), 1);
}

/// Goes to the measure bench and takes up the length of a wall on the drawing: what is clicked, and where, at each step. `.ci/window` walks the same way with a mouse of its own.
#[test]
fn the_way_to_a_wall_is_as_written() {
    let mut w = Used::open("study", SMALL, FEW);
    let mut way = Vec::new();
    for name in ["Measure", "length of wall 1: 13'"] {
        let thing = w.named().into_iter().find(|n| n.name == name && n.role != egui::accesskit::Role::Label);
        let thing = thing.unwrap_or_else(|| panic!("no {name}"));
        assert!(thing.rect.bottom() < SMALL.y, "{name} is out of sight: {:?}", thing.rect);
        w.click_at(thing.rect.center());
        way.push(thing);
    }
    assert!(w.has("length of wall 1, Study"), "nothing is typed into");
    held("way-to-a-wall", SMALL, &list(&way));
}

/// A quote as `.ci/window` makes it: a new job, its line of measures and one more, then what is clicked, and where:
/// the recipes of the second room, the slider of how safe a promise must be.
#[test]
fn the_way_of_a_quote_is_as_written() {
    let mut w = Used::open("powder", SMALL, FEW);
    w.key(Command::New);
    let say = |w: &mut Used, text: &str| {
        w.type_in(text);
        w.hit(egui::Key::Enter);
    };
    for text in ["Guest room", "12' x 11' x 8', door 32x80, window 36x54", "", "1 Mar 2027", "26 Mar 2027", ""] {
        say(&mut w, text);
    }
    w.key(Command::Measure);
    w.h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    say(&mut w, "Guest room 13' x 11' x 8', door 32x80, window 36x54");
    say(&mut w, "Landing 9' x 4' x 8', 3 doors 30x80");
    assert_eq!(w.h.state().job().rooms.len(), 2, "{:?}", w.named());
    w.key(Command::Find);
    say(&mut w, "rooms, surf");
    let set = w.named().into_iter().find(|n| n.name.starts_with("repaint walls and ceiling: "));
    let set = set.unwrap_or_else(|| panic!("no set: {:?}", w.named()));
    assert!(set.rect.top() > 100.0 && set.rect.bottom() < SMALL.y, "out of sight: {:?}", set.rect);
    // The first click shows the steps, the second chooses.
    w.click_at(set.rect.center());
    assert!(w.h.state().job().rooms[1].surfaces.is_empty());
    w.click_at(set.rect.center());
    assert!(!w.h.state().job().rooms[1].surfaces.is_empty());
    w.key(Command::Find);
    say(&mut w, "how safe");
    let slider = w.named().into_iter().find(|n| n.name == "how safe a promise must be").expect("the slider");
    assert!(slider.rect.bottom() < SMALL.y, "out of sight: {:?}", slider.rect);
    held("way-of-a-quote", SMALL, &list(&[set.clone(), set, slider]));
}
