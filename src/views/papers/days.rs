//! A sheet a day for who works: what comes, what and where, what to load, what is ready when, what dries
//! tonight, which cautions belong to it; beside each step a box and a line for what was done, which the evening asks.
//!
//! Days come from the plan as of the moment asked at, everything typical. Of several people each has his own list, his
//! own hours on it; a step stands once in it, from where he begins it. A day with more on it than a sheet holds goes on
//! with a second one; a day without work has none.

use super::tick;
use crate::desk::Sound;
use crate::measure::LaborHours;
use crate::views::face::{self, Weight};
use crate::views::holds::{hours, plain_name, stage_words};
use crate::views::paper::{
    Block, Cell, Flow, Ink, Mark, Page, Size, clean, fit, heading, item, numbers, pair, paragraph, row, ruled,
};
use crate::views::{Almanac, DaySheet, Doing, TodayView, capital, cautions_of};

/// The sheets of the days that have work, upright.
pub fn day_papers(sound: &Sound, view: &TodayView, size: Size) -> Vec<Page> {
    let sheet = size.sheet(false);
    let (u, x) = (sheet.unit, sheet.margin);
    let wide = sheet.w - 2.0 * x;
    let mut pages: Vec<Page> = Vec::new();
    for d in view.days.iter().filter(|d| !d.work.is_empty()) {
        let mut left = blocks(sound, d, u * 1.2, wide);
        let mut flow = Flow::default();
        let mut goes_on = false;
        while !left.is_empty() || !goes_on {
            let mut page = Page::new(sheet);
            let top = head(sound, d, &mut page, (x, wide, u), goes_on);
            let bottom = sheet.h - x - u;
            flow.column(pages.len(), x, top, bottom);
            left = flow.set(left, |_, m| page.marks.push(m));
            pages.push(page);
            goes_on = true;
        }
    }
    if pages.is_empty() {
        let mut page = Page::new(sheet);
        let name = fit(&clean(&sound.job.name), u * 1.2, Weight::Regular, wide);
        page.text((x, x + u * 1.2), u * 1.2, Weight::Regular, Ink::Quiet, name);
        let size = u * 2.0;
        page.text((x, x + u * 1.8 + size), size, Weight::SemiBold, Ink::Ink, "Nothing is left to do.");
        pages.push(page);
    }
    numbers(&mut pages, sheet, "sheet");
    pages
}

/// Job, day and labor of a sheet; where the rest begins.
fn head(sound: &Sound, d: &DaySheet, page: &mut Page, (x, wide, u): (f32, f32, f32), goes_on: bool) -> f32 {
    let name = fit(&clean(&sound.job.name), u * 1.2, Weight::Regular, wide);
    page.text((x, x + u * 1.2), u * 1.2, Weight::Regular, Ink::Quiet, name);
    let labor: i64 = d.work.iter().map(|w| w.labor_min).sum();
    let day = sound.job.date_of(d.day).format("%A %-d %B %Y").to_string();
    let more = if goes_on { ", goes on" } else { "" };
    page.text((x, x + u * 4.2), u * 2.6, Weight::SemiBold, Ink::Ink, format!("{day}{more}"));
    if labor > 0 {
        let hours = LaborHours(labor).to_string();
        let size = u * 1.6;
        let at = x + wide - face::width(&hours, size, Weight::Regular);
        page.text((at, x + u * 4.2), size, Weight::Regular, Ink::Quiet, hours);
    }
    x + u * 5.2
}

fn blocks(sound: &Sound, d: &DaySheet, size: f32, wide: f32) -> Vec<Block> {
    let mut out = Vec::new();
    if let Some(n) = sound.job.calendar.noise {
        out.push(paragraph(&format!("Noise only from {} to {}.", n.from, n.to), size, wide, Ink::Shut));
    }
    if let Some(l) = sound.job.calendar.week.lunch {
        out.push(paragraph(&format!("Lunch {} to {}.", l.from, l.to), size, wide, Ink::Quiet));
    }
    if !d.coming.is_empty() {
        out.push(heading("Coming today", size * 1.15, wide, Ink::Ink));
        out.extend(d.coming.iter().map(|c| item(&clean(c), size, wide, Ink::Ink)));
    }
    let people = people(d);
    for who in &people {
        if people.len() > 1 {
            let name = if who.is_empty() { "Anybody" } else { who.as_str() };
            out.push(ruled(heading(&clean(name), size * 1.2, wide, Ink::Safe), wide, size));
        }
        let mut list = day_of(sound, &pieces(d, who), (who, people.len() > 1), size, wide);
        // What the places for the evening are stands beside the first place of work.
        let over = tell_head(size, wide);
        let short = |b: &&mut Block| b.marks.len() == 1 && b.marks[0].bounds().2 < wide - size * TELL;
        match list.first_mut().filter(short) {
            Some(first) => {
                let down = (first.height - over.height).max(0.0);
                first.marks.extend(over.marks.into_iter().map(|m| m.moved(0.0, down)));
            }
            None => out.push(over.kept()),
        }
        out.extend(list);
        out.push(tell_note(size, wide));
    }
    if !d.tonight.is_empty() {
        out.push(heading("Dries tonight", size * 1.15, wide, Ink::Ink));
    }
    for (s, words) in &d.tonight {
        let name = plain_name(sound, *s);
        let what = room(sound, *s).map_or_else(|| name.to_string(), |r| format!("{r}, {name}"));
        out.push(item(&clean(&format!("{what}: {words}")), size, wide, Ink::Ink));
    }
    let steps: Vec<usize> = d.work.iter().map(|w| w.step).collect();
    let heed = cautions_of(sound, &steps);
    if !heed.is_empty() {
        out.push(heading("Cautions", size * 1.15, wide, Ink::Shut));
        for c in heed {
            out.push(item(&format!("{}: {} ({})", c.name, c.text, c.rule), size * 0.9, wide, Ink::Ink));
        }
        let last = "These are prompts, not permissions: local code and licensed practice win.";
        out.push(paragraph(last, size * 0.9, wide, Ink::Quiet));
        // Two lines of a caution are no sheet of their own.
        let from = out.len().saturating_sub(3);
        let end = out.len() - 1;
        out[from..end].iter_mut().for_each(|b| b.keeps = true);
    }
    out
}

/// Width kept at the right of a step for what was done: a box to tick, a line for the hours.
const TELL: f32 = 7.0;

/// What stands over those places.
fn tell_head(size: f32, wide: f32) -> Block {
    let small = size * 0.85;
    let cells = [
        Cell::right(wide - size * TELL, wide - size * 4.0, "done").quiet(),
        Cell::right(wide - size * 4.0, wide, "hours").quiet(),
    ];
    row(&cells, small)
}

/// A step with a box to tick and a line for the hours it took.
fn told(mut step: Block, size: f32, wide: f32) -> Block {
    let base = face::ascent(size, Weight::Regular);
    let high = face::cap_height(size, Weight::Regular);
    step.marks.push(tick((wide - size * 4.0 - high, base - high), high));
    let (from, to) = ((wide - size * 3.0, base + size * 0.1), (wide, base + size * 0.1));
    step.marks.push(Mark::Line { from, to, width: size * 0.07, ink: Ink::Edge });
    step
}

/// A line for what is left over and what is to be remembered, as the evening asks.
fn tell_note(size: f32, wide: f32) -> Block {
    let down = size * 1.0;
    let mut line = row(&[Cell::left(0.0, wide * 0.3, "left over, note").quiet()], size);
    line.marks = line.marks.into_iter().map(|m| m.moved(0.0, down)).collect();
    line.height += down;
    let y = down + face::ascent(size, Weight::Regular) + size * 0.1;
    let from = face::width("left over, note", size, Weight::Regular) + size * 0.6;
    line.marks.push(Mark::Line { from: (from, y), to: (wide, y), width: size * 0.07, ink: Ink::Edge });
    line
}

/// Who works on a day, in the order they begin.
fn people(d: &DaySheet) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for w in &d.work {
        let all = if w.who.is_empty() { vec![String::new()] } else { w.who.clone() };
        all.into_iter().for_each(|p| {
            if !out.contains(&p) {
                out.push(p);
            }
        });
    }
    out
}

/// The work of one person on a day. A step goes on as one piece, whatever others begin meanwhile.
fn pieces(d: &DaySheet, who: &str) -> Vec<Doing> {
    let mut out: Vec<Doing> = Vec::new();
    for w in d.work.iter().filter(|w| w.who.iter().any(|p| p == who) || w.who.is_empty() && who.is_empty()) {
        let own = w.labor_min / w.who.len().max(1) as i64;
        match out.last_mut().filter(|l| l.step == w.step) {
            Some(l) => {
                l.end = w.end;
                l.labor_min += own;
                (l.goes_on, l.ready) = (w.goes_on, w.ready.clone());
                let new = w.who.iter().filter(|p| !l.who.contains(p)).cloned().collect::<Vec<_>>();
                l.who.extend(new);
            }
            None => out.push(Doing { labor_min: own, ..w.clone() }),
        }
    }
    out
}

/// One person's day: places as they change, what to load, each step with when it is ready.
fn day_of(sound: &Sound, list: &[Doing], (who, several): (&str, bool), size: f32, wide: f32) -> Vec<Block> {
    let a = Almanac(&sound.job);
    let mut out: Vec<Block> = Vec::new();
    let mut place: Option<String> = None;
    let mut loaded: Vec<&String> = Vec::new();
    for w in list {
        let here = clean(&w.place);
        if place.as_ref() != Some(&here) {
            let text = if here.is_empty() { "Anywhere".to_string() } else { capital(&here) };
            out.push(heading(&text, size * if several { 1.0 } else { 1.15 }, wide, Ink::Ink));
            place = Some(here);
        }
        let load: Vec<&String> = w.load.iter().filter(|l| !loaded.contains(l)).collect();
        if !load.is_empty() {
            let words: Vec<String> = load.iter().map(|l| clean(l)).collect();
            out.push(paragraph(&format!("load {}", words.join("; ")), size, wide, Ink::Safe).kept());
            loaded.extend(load);
        }
        let words = doing(sound, w, (who, several));
        let step = pair(&a.time(w.begin), &words, size, (size * 4.0, wide - size * (TELL + 0.5)), Ink::Ink);
        out.push(told(step, size, wide));
        for (stage, at) in &w.ready {
            // What is ready stands with its step.
            out.last_mut().expect("a step").keeps = true;
            let ready = format!("{} {}", stage_words(*stage).trim_start_matches("to be "), a.short(*at));
            out.push(pair("", &ready, size, (size * 5.4, wide), Ink::Quiet));
        }
    }
    out
}

/// The room of a step where the job has several.
fn room(sound: &Sound, step: usize) -> Option<String> {
    let s = &sound.graph.steps[step];
    let room = sound.job.rooms.iter().find(|r| r.id == s.room).filter(|_| sound.job.rooms.len() > 1)?;
    Some(if room.name.is_empty() { room.id.clone() } else { room.name.clone() })
}

/// `sand the skim, 1.6 h, Mara, goes on`: the surface where two of a room have work of one name, the room where the
/// place does not say it.
fn doing(sound: &Sound, w: &Doing, (who, several): (&str, bool)) -> String {
    let s = &sound.graph.steps[w.step];
    let name = plain_name(sound, w.step);
    let twin = |o: &crate::work::Step| o.room == s.room && o.name == s.name && o.surface != s.surface;
    let alike = !s.surface.is_empty() && !name.contains(&s.surface) && sound.graph.steps.iter().any(twin);
    let surface = if alike { format!(" ({})", s.surface) } else { String::new() };
    let room = room(sound, w.step).filter(|r| !r.eq_ignore_ascii_case(&w.place));
    let room = room.map_or_else(String::new, |r| format!(", {r}"));
    let on = if w.goes_on { ", goes on" } else { "" };
    let others: Vec<&str> = w.who.iter().map(String::as_str).filter(|p| *p != who).collect();
    let with = if others.is_empty() { String::new() } else { format!(", with {}", others.join(" and ")) };
    // Less than a tenth of an hour is told in minutes.
    let time = if w.labor_min < 3 { hours(w.labor_min) } else { LaborHours(w.labor_min).to_string() };
    // Of several people his name stands over his list; who works alone knows it.
    let own = if several || sound.job.crew.len() < 2 { String::new() } else { format!(", {who}") };
    clean(&format!("{name}{surface}{room}, {time}{own}{with}{on}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_workday_of_the_study_has_its_sheet_and_every_step_is_on_one() {
        let sound =
            crate::desk::open(include_str!("../../../sample-jobs/study.ron")).expect("a job").sound.expect("sound");
        let found = sound.plan(false).expect("a plan");
        let view = TodayView::whole(&sound, &found);
        let pages = day_papers(&sound, &view, Size::Letter);
        let text: String = pages.iter().map(Page::words).collect();
        let worked = view.days.iter().filter(|d| !d.work.is_empty());
        for d in worked {
            let head = sound.job.date_of(d.day).format("%A %-d %B %Y").to_string();
            assert!(text.contains(&head), "{head}");
        }
        // Long names wrap: looked for by their first word behind the time.
        let plain: String = text.replace('\n', " ");
        for t in found.plan.runs.iter().filter(|r| !r.people.is_empty()) {
            let first = plain_name(&sound, t.step).split(' ').next().expect("a word");
            assert!(plain.contains(first), "{first}");
        }
        assert!(
            plain.contains("Dries tonight") && plain.contains("load ") && plain.contains("Relieve pressure"),
            "{plain}"
        );
        for m in pages.iter().flat_map(|p| &p.marks) {
            let (a, b, c, d) = m.bounds();
            assert!(a >= 0.0 && b >= 0.0 && c <= 612.0 && d <= 792.0, "{m:?}");
        }
    }

    #[test]
    fn a_person_has_each_step_once_and_hours_add_up_to_the_day() {
        let sound =
            crate::desk::open(include_str!("../../../sample-jobs/house.ron")).expect("a job").sound.expect("sound");
        let found = sound.plan(false).expect("a plan");
        let view = TodayView::whole(&sound, &found);
        for d in view.days.iter().filter(|d| !d.work.is_empty()) {
            let of = |who: &String| pieces(d, who);
            let all: i64 = d.work.iter().map(|w| w.labor_min).sum();
            let told: i64 = people(d).iter().flat_map(of).map(|w| w.labor_min).sum();
            assert!((all - told).abs() <= d.work.len() as i64, "{all} and {told}");
            for who in people(d) {
                let list = pieces(d, &who);
                assert!(list.windows(2).all(|w| w[0].step != w[1].step && w[0].begin <= w[1].begin), "{who}");
            }
        }
        // What comes stands over the work of its day: a delivery, with its name.
        let day = view.days.iter().find(|d| d.coming.iter().any(|c| c.starts_with("delivery: "))).expect("a delivery");
        let one = TodayView { open: vec![], ordered: vec![], days: vec![day.clone()], order: vec![] };
        let text: String = day_papers(&sound, &one, Size::Letter).iter().map(Page::words).collect();
        assert!(text.contains("Coming today") && text.contains("delivery: "), "{text}");
        // A day of drying alone has no sheet.
        let bare = DaySheet { work: vec![], ..day.clone() };
        let none = TodayView { days: vec![bare], ..one };
        let text: String = day_papers(&sound, &none, Size::Letter).iter().map(Page::words).collect();
        assert!(text.contains(&sound.job.name) && text.contains("Nothing is left to do."), "{text}");
    }
}
