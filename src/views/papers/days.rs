//! A sheet a day for who works: what and where, what to load, what is ready when, what dries
//! tonight, which cautions belong to it.
//!
//! Days come from the plan as of the moment asked at, everything typical. A day with more on it than
//! a sheet holds goes on with a second one.

use crate::desk::Sound;
use crate::measure::LaborHours;
use crate::views::face::{self, Weight};
use crate::views::holds::{plain_name, stage_words};
use crate::views::paper::{Block, Flow, Ink, Page, Size, clean, fit, heading, item, numbers, pair, paragraph};
use crate::views::{Almanac, DaySheet, Doing, TodayView, cautions_of};

/// The sheets of the days that have work or something to dry, upright.
pub fn day_papers(sound: &Sound, view: &TodayView, size: Size) -> Vec<Page> {
    let sheet = size.sheet(false);
    let (u, x) = (sheet.unit, sheet.margin);
    let wide = sheet.w - 2.0 * x;
    let mut pages: Vec<Page> = Vec::new();
    for d in view.days.iter().filter(|d| !d.work.is_empty() || !d.tonight.is_empty()) {
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
        let size = u * 2.0;
        page.text((x, x + size), size, Weight::SemiBold, Ink::Ink, "Nothing is left to do.");
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
    let a = Almanac(&sound.job);
    let mut out = Vec::new();
    if d.work.is_empty() {
        out.push(paragraph("Nothing to do.", size, wide, Ink::Ink));
    }
    let mut place = String::new();
    for w in &d.work {
        let here = clean(&w.place);
        if here != place {
            let text = if here.is_empty() { "Anywhere".to_string() } else { here.clone() };
            out.push(heading(&text, size * 1.15, wide, Ink::Ink));
            place = here;
        }
        if !w.load.is_empty() {
            let load = format!("load {}", clean(&w.load.join(", ")));
            out.push(paragraph(&load, size, wide, Ink::Safe));
        }
        out.push(pair(&a.time(w.begin), &doing(sound, w), size, (size * 4.0, wide), Ink::Ink));
        for (stage, at) in &w.ready {
            let ready = format!("{} {}", stage_words(*stage).trim_start_matches("to be "), a.short(*at));
            out.push(pair("", &ready, size, (size * 5.4, wide), Ink::Quiet));
        }
    }
    if !d.tonight.is_empty() {
        out.push(heading("Dries tonight", size * 1.15, wide, Ink::Ink));
    }
    for (s, words) in &d.tonight {
        out.push(item(&clean(&format!("{}: {words}", plain_name(sound, *s))), size, wide, Ink::Ink));
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
    }
    out
}

/// `sand the skim (walls), 1.6 h, Mara, goes on`.
fn doing(sound: &Sound, w: &Doing) -> String {
    let s = &sound.graph.steps[w.step];
    let name = plain_name(sound, w.step);
    let surface =
        if s.surface.is_empty() || name.contains(&s.surface) { String::new() } else { format!(" ({})", s.surface) };
    let room = sound.job.rooms.iter().find(|r| r.id == s.room).filter(|_| sound.job.rooms.len() > 1);
    let room = room.map_or_else(String::new, |r| format!(", {}", if r.name.is_empty() { &r.id } else { &r.name }));
    let on = if w.goes_on { ", goes on" } else { "" };
    let who = w.who.join(", ");
    clean(&format!("{name}{surface}{room}, {}, {who}{on}", LaborHours(w.labor_min)))
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
}
