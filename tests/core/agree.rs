//! One job, one answer: finish dates, odds, price and buying total of every sample, as the window's views, the text
//! commands, the papers, the tables and the calendar tell them.

use std::path::Path;

use roomback::desk::{AT_REST, CAUSES};
use roomback::export;
use roomback::forecast::Options;
use roomback::job::TargetKind;
use roomback::measure::Money;
use roomback::views::client::{ClientPage, client_sheets};
use roomback::views::paper::{Page, Size};
use roomback::views::papers::{buying_papers, quote_papers, section_papers};
use roomback::views::section::Model;
use roomback::views::{self, ForecastView, PlanView, Reading, ShownDays, day_words};
use serde_json::Value;

use crate::samples::samples;
use crate::underway::{call, json};

fn words(pages: &[Page]) -> String {
    pages.iter().map(Page::words).collect()
}

fn day(v: &Value) -> chrono::NaiveDate {
    v.as_str().expect("a day")[..10].parse().expect("a day")
}

#[test]
fn every_sample_has_the_same_dates_odds_and_sums_wherever_they_are_told() {
    let dir = std::env::temp_dir().join(format!("roomback-{}-agree", std::process::id()));
    let _ = std::fs::remove_dir_all(&dir);
    std::fs::create_dir_all(&dir).expect("a folder");
    let to = |name: &str| dir.join(name).display().to_string();
    for s in samples() {
        let (name, sound, job) = (s.name, &s.sound, &s.sound.job);
        let path = format!("{}/sample-jobs/{name}.ron", env!("CARGO_MANIFEST_DIR"));
        let said = |command: &str| json(&[command, &path, "--json"]);
        let (plan, odds, price, buying, show) =
            (said("plan"), said("forecast"), said("price"), said("buying"), said("show"));
        let (safe, likely, clean) = (day(&odds["safe_day"]), day(&odds["likely_day"]), day(&plan["clean_run"]));

        // What the window reads: the strip, the chart, the price beside it.
        let o = Options { trials: AT_REST, seed: job.seed, cause_trials: CAUSES };
        let f = sound.forecast(&s.found, o).expect("odds");
        let view = ForecastView::new(sound, &f, job.confidence);
        let (list, total) = {
            let p = sound.priced(&s.found, &f).expect("a price");
            (p.buying, p.price)
        };
        let days = ShownDays::new(&f, job.confidence, true, None);
        let strip = views::strip(&Reading { sound, forecast: &f, odds: &view, days }, None);
        let shown = |start: &str| {
            let found =
                strip.iter().find(|x| x.caption.starts_with(start)).unwrap_or_else(|| panic!("{name}: {strip:?}"));
            found.text.clone()
        };
        let short = |d: chrono::NaiveDate| views::Almanac(job).short_day(job.day_of(d));
        assert_eq!(shown("likely"), short(likely), "{name}");
        assert_eq!(shown("safe to promise"), short(safe), "{name}");
        let model = Model::new(sound, &s.found, &PlanView::without_float(sound, &s.found), Some((&f, &view)));
        assert_eq!(job.date_of(model.safe.as_ref().expect("safe").at.day()), safe, "{name}");
        assert_eq!(model.clean_run.at, s.found.plan.finish, "{name}");
        let by_day = odds["by_day"].as_array().expect("days");
        for o in &model.odds {
            let d = job.date_of(o.day).to_string();
            let told = by_day.iter().find(|x| x["day"] == d.as_str()).unwrap_or_else(|| panic!("{name}: no {d}"));
            assert!((told["chance"].as_f64().expect("a chance") - o.share).abs() < 1e-12, "{name}: {told} and {o:?}");
        }
        match views::price_strip(job, &total) {
            Some(p) => assert_eq!(p.text, Money(price["price_cents"].as_i64().expect("cents")).to_string(), "{name}"),
            None => assert!(!price["notes"].as_array().expect("notes").is_empty(), "{name}"),
        }
        let bought = Money(buying["cost_cents"].as_i64().expect("cents"));
        assert_eq!(views::buying_total(&list).value, bought.to_string(), "{name}");

        // Papers.
        let section = words(&section_papers(sound, &s.found, &f, Size::A4, None));
        assert!(section.contains(&format!("safe to promise {}\n", day_words(safe))), "{name}: {section}");
        let quote = views::quote_of(sound, &f, &total, job.start);
        let paper = words(&quote_papers(job, &views::Quoted::new(quote), Size::A4));
        assert_eq!(paper.lines().filter(|l| *l == total.total.to_string()).count(), 2, "{name}: {paper}");
        assert_eq!(price["price_cents"], total.total.0, "{name}");
        let store = words(&buying_papers(sound, &list, Size::A4));
        assert!(store.lines().any(|l| l == bought.to_string()), "{name}: {store}");
        let page = ClientPage::new(sound, &s.found, &f);
        let promised = job.target.filter(|t| t.kind == TargetKind::Promised).map(|t| t.day);
        // A day promised that even the clean run misses is no day to count on: then the safe one is named.
        let named = promised.filter(|d| *d >= clean).unwrap_or(safe);
        assert_eq!((day(&show["day"]), page.day), (named, named), "{name}");
        let first = client_sheets(&page, Size::A4)[0].words();
        assert!(first.lines().any(|l| l == page.headline) && show["headline"] == page.headline.as_str(), "{name}");

        // Tables: the last end is the clean run, the sheets' hours are the plan's.
        for what in ["plan", "days"] {
            let file = to(&format!("{name}-{what}.csv"));
            assert_eq!(call(&["table", &path, "--what", what, "--to", &file]).code, 0, "{name}");
            let text = std::fs::read_to_string(Path::new(&file)).expect("written");
            let last = text.split(['\r', '\n', ',']).filter_map(|c| c.parse::<chrono::NaiveDate>().ok()).max();
            assert_eq!(last, Some(clean), "{name} {what}");
        }
        let table = views::plan_table(sound, &PlanView::without_float(sound, &s.found));
        let file = std::fs::read_to_string(to(&format!("{name}-plan.csv"))).expect("written");
        assert_eq!(export::csv(&table), file, "{name}");

        // The calendar: the day it is handed back, as all-day event, ends with that day (RFC 5545, 3.6.1).
        let file = to(&format!("{name}.ics"));
        assert_eq!(call(&["calendar", &path, "--to", &file, "--work-days"]).code, 0, "{name}");
        let text = std::fs::read_to_string(&file).expect("written").replace("\r\n ", "");
        let event = text.split("BEGIN:VEVENT").find(|e| e.contains("UID:hand-back")).expect("the day of hand-back");
        let start = format!("DTSTART;VALUE=DATE:{}\r\n", page.day.format("%Y%m%d"));
        assert!(event.contains(&start), "{name}: {event}");
        let work = text.split("BEGIN:VEVENT").filter(|e| e.contains("SUMMARY:work: "));
        let ends = work.filter_map(|e| e.split("DTEND:").nth(1).map(|t| t[..8].to_string())).max();
        assert_eq!(ends, Some(clean.format("%Y%m%d").to_string()), "{name}");
    }
    std::fs::remove_dir_all(&dir).expect("removed");
}
