//! The client's page and what is written of it, over every sample and over names meant to do harm.
//!
//! One file because every page is read by the same scans for words and for how it is set.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use roomback::desk::{self, Sound};
use roomback::export;
use roomback::forecast::{Forecast, Options};
use roomback::job::{Decision, Job, Promise, Switch, Target, TargetKind};
use roomback::search::Found;
use roomback::views::client::{ClientPage, client_roll, client_sheets, client_text, client_wait_roll};
use roomback::views::paper::{Mark, Page, Size};
use roomback::views::{self, Cell, Event, Span, TodayView, papers::day_papers};
use serde_json::{Value, json};

use crate::samples::{Sample, samples};

pub fn forecast(sound: &Sound, found: &Found) -> Forecast {
    sound.forecast(found, Options { trials: 1000, seed: sound.job.seed, cause_trials: 500 }).expect("odds")
}

/// Odds and page of a sample, worked out once.
pub fn of(s: &Sample) -> &'static (Forecast, ClientPage) {
    static ALL: OnceLock<Vec<(Forecast, ClientPage)>> = OnceLock::new();
    let work = |s: &Sample| {
        let f = forecast(&s.sound, &s.found);
        let page = ClientPage::new(&s.sound, &s.found, &f);
        (f, page)
    };
    let all = ALL.get_or_init(|| samples().iter().map(work).collect());
    let at = samples().iter().position(|x| x.name == s.name).expect("a sample");
    &all[at]
}

fn page(s: &Sample) -> ClientPage {
    of(s).1.clone()
}

/// The page of a job changed.
pub fn changed(job: &Job) -> (Sound, Found, ClientPage) {
    let sound = desk::judge(job).unwrap_or_else(|p| panic!("{p:#?}"));
    let found = sound.plan(false).expect("a plan");
    let page = ClientPage::new(&sound, &found, &forecast(&sound, &found));
    (sound, found, page)
}

/// Words that are his and not the client's.
const HIS: [&str; 19] = [
    "hour",
    "hours",
    "labor",
    "rate",
    "rates",
    "cost",
    "costs",
    "price",
    "prices",
    "dollar",
    "dollars",
    "float",
    "percentile",
    "quantile",
    "trials",
    "odds",
    "slack",
    "critical",
    "confidence",
];

#[track_caller]
fn in_the_clients_words(name: &str, text: &str) {
    let words: BTreeSet<String> =
        text.to_lowercase().split(|c: char| !c.is_alphanumeric()).map(str::to_string).collect();
    for word in HIS {
        assert!(!words.contains(word), "{name}: \"{word}\" in\n{text}");
    }
    for phrase in ["can wait", "what holds the date", "$", " h ", "%"] {
        assert!(!text.contains(phrase), "{name}: \"{phrase}\" in\n{text}");
    }
}

#[test]
fn nothing_of_his_trade_is_on_the_clients_page_of_any_sample() {
    for s in samples() {
        let page = page(s);
        in_the_clients_words(s.name, &client_text(&page));
        let sheets = client_sheets(&page, Size::Letter);
        in_the_clients_words(s.name, &sheets.iter().map(Page::words).collect::<String>());
        let events = views::client_events(&s.sound, &s.found, &page);
        in_the_clients_words(s.name, &events.iter().map(|e| format!("{}\n{}\n", e.title, e.text)).collect::<String>());
        assert_eq!(page.odds, None, "{}: odds are off until they are wanted", s.name);
        // His own client is named.
        assert!(page.client.is_empty() || client_text(&page).contains(&page.client));
    }
    // The scan finds what it looks for.
    assert!(std::panic::catch_unwind(|| in_the_clients_words("planted", "takes 3 hours")).is_err());
    assert!(std::panic::catch_unwind(|| in_the_clients_words("planted", "this can wait")).is_err());
}

#[test]
fn text_sheets_calendar_and_plan_name_the_same_days() {
    for s in samples() {
        let (f, page) = of(s);
        // The day promised where it can still be kept, else the one safe to promise.
        let job = &s.sound.job;
        let promised = job.target.filter(|t| t.kind == TargetKind::Promised).map(|t| t.day);
        let promised = promised.filter(|d| *d >= page.early_day);
        assert_eq!(page.day, promised.unwrap_or_else(|| job.date_of(f.day(job.confidence))), "{}", s.name);
        let plan = views::plan_json(&s.sound, &s.found, &views::PlanView::without_float(&s.sound, &s.found));
        let clean = plan["clean_run"].as_str().expect("a time");
        assert!(clean.starts_with(&page.early_day.to_string()), "{}: {clean} and {}", s.name, page.early_day);
        assert!(client_text(page).contains(&page.headline), "{}", s.name);
        let file = export::svg(&client_sheets(page, Size::A4)[0], "page");
        assert!(file.contains(&format!(">{}</text>", page.headline)), "{}", s.name);
        let events = views::client_events(&s.sound, &s.found, page);
        let back: Vec<&Event> = events.iter().filter(|e| e.uid.starts_with("hand-back")).collect();
        assert_eq!(back.len(), 1);
        assert_eq!(back[0].span, Span::Days(page.day, page.day), "{}", s.name);
        // One day of the weeks is theirs, that one.
        let theirs: Vec<_> = page.weeks.iter().flat_map(|w| &w.days).filter(|d| d.theirs).map(|d| d.date).collect();
        assert_eq!(theirs, [page.day], "{}", s.name);
    }
}

#[test]
fn a_promise_is_the_day_and_the_switches_are_obeyed() {
    let study = samples().iter().find(|s| s.name == "study").expect("the study");
    let mut job = study.sound.job.clone();
    let day = "2027-04-20".parse().expect("a day");
    job.promises.push(Promise {
        asked: None,
        withdrawn: false,
        day,
        made_on: job.start,
        confidence: 0.8,
        chance: 0.9,
        reason: String::new(),
        kept: None,
        trials: 10_000,
    });
    job.target = Some(Target { kind: TargetKind::Promised, day });
    job.client_page.odds = Switch::On;
    let (_, _, page) = changed(&job);
    assert!(page.promised && page.day == day && page.headline == "Tuesday 20 April 2027");
    assert!(page.odds.as_deref().is_some_and(|o| o.contains("in 10")), "{:?}", page.odds);
    assert!(page.conditions.iter().all(|c| !c.contains("not promised")));
    // A promise the work runs past is told, not hidden.
    let early = "2027-03-20".parse().expect("a day");
    job.target = Some(Target { kind: TargetKind::Promised, day: early });
    job.promises[0].day = early;
    let (_, _, page) = changed(&job);
    assert!(page.broken == Some(early) && !page.promised && page.day > early, "{}", page.lead);
    assert!(page.lead.starts_with("The day we named, Saturday 20 March, does not hold."), "{}", page.lead);
    assert!(page.conditions[0].starts_with("The new day is not promised yet"), "{:?}", page.conditions);
    for switch in [Switch::On, Switch::Off] {
        job.client_page.hours = switch;
        let (_, _, page) = changed(&job);
        assert_eq!(page.moves.iter().any(|m| m.starts_with("work that takes longer")), switch == Switch::On);
    }
}

/// Every mark within its page, no text smaller than the sheet's.
#[track_caller]
pub fn well_set(name: &str, pages: &[Page], smallest: f32) {
    assert!(!pages.is_empty());
    for (n, p) in pages.iter().enumerate() {
        assert!(!p.words().trim().is_empty(), "{name}: page {n} is empty");
        for m in &p.marks {
            let (a, b, c, d) = m.bounds();
            let inside = a >= -0.01 && b >= -0.01 && c <= p.w + 0.01 && d <= p.h + 0.01;
            assert!(inside, "{name}, page {n} of {} x {}: {m:?}", p.w, p.h);
            if let Mark::Text { size, .. } = m {
                assert!(*size >= smallest - 0.01, "{name}: {m:?}");
            }
        }
        let texts: Vec<(_, (f32, f32, f32, f32))> = p
            .marks
            .iter()
            .filter_map(|m| match m {
                Mark::Text { text, .. } if !text.is_empty() => Some((text, m.bounds())),
                _ => None,
            })
            .collect();
        for (i, (t, a)) in texts.iter().enumerate() {
            for (u, b) in &texts[i + 1..] {
                let (w, h) = (a.2.min(b.2) - a.0.max(b.0), a.3.min(b.3) - a.1.max(b.1));
                // Ascenders and descenders of neighbouring lines may share their air.
                assert!(w <= 0.5 || h <= (a.3 - a.1) * 0.3, "{name}, page {n}: \"{t}\" lies on \"{u}\"");
            }
        }
    }
}

/// Every day of the weeks has its number on a page, each as a word of its own.
#[track_caller]
pub fn days_are_numbered(name: &str, page: &ClientPage, pages: &[Page]) {
    let all = |number: &str| {
        let days = page.weeks.iter().flat_map(|w| &w.days).filter(|d| d.number == number).count();
        let words = |m: &&Mark| matches!(m, Mark::Text { text, .. } if text == number);
        (days, pages.iter().flat_map(|p| &p.marks).filter(words).count())
    };
    for d in page.weeks.iter().flat_map(|w| &w.days) {
        let (days, drawn) = all(&d.number);
        assert!(drawn >= days, "{name}: {} is drawn {drawn} times for {days} days", d.number);
    }
}

#[test]
fn every_sample_is_well_set_on_every_sheet() {
    for s in samples() {
        let page = page(s);
        for (size, smallest) in [(Size::A4, 8.5), (Size::Letter, 8.5), (Size::Screen, 24.0)] {
            let pages = client_sheets(&page, size);
            well_set(&format!("{} {size:?}", s.name), &pages, smallest);
            let words: String = pages.iter().map(Page::words).collect::<String>().replace('\n', " ");
            for w in &page.wants {
                let both = format!("{} {}", w.when, w.what);
                assert!(words.contains(&both), "{} {size:?}: {both} in {words}", s.name);
            }
            days_are_numbered(&format!("{} {size:?}", s.name), &page, &pages);
        }
        let view = TodayView::whole(&s.sound, &s.found);
        well_set(&format!("{} days", s.name), &day_papers(&s.sound, &view, Size::A4), 8.0);
    }
}

#[test]
fn the_screen_reads_from_across_the_room() {
    let study = samples().iter().find(|s| s.name == "study").expect("the study");
    let page = page(study);
    let first = &client_sheets(&page, Size::Screen)[0];
    let size = |text: &str| {
        first.marks.iter().find_map(|m| match m {
            Mark::Text { text: t, size, .. } if t == text => Some(*size),
            _ => None,
        })
    };
    assert!(size(&page.headline).is_some_and(|s| s >= 84.0));
    // Six weeks are on the first screen: every number of their days, as often as they have it.
    let numbers: Vec<&str> = page.weeks.iter().take(6).flat_map(|w| &w.days).map(|d| d.number.as_str()).collect();
    assert_eq!(numbers.len(), 42);
    for n in &numbers {
        let drawn = first.marks.iter().filter(|m| matches!(m, Mark::Text { text, .. } if text == n)).count();
        let has = numbers.iter().filter(|x| *x == n).count();
        assert!(drawn >= has, "{n}: {drawn} of {has}; {}", first.words());
    }
}

#[test]
fn the_page_of_a_window_is_well_set_at_every_size_and_says_everything_in_words() {
    // A window of 1920 by 1080, 1280 by 720, the same at text of 1.5 and 2 times, and a large one.
    let sizes = [(1920.0, 1080.0, 24.0), (1280.0, 720.0, 18.0), (853.0, 480.0, 18.0), (640.0, 360.0, 18.0)];
    for s in samples() {
        let page = page(s);
        for (w, h, unit) in sizes.into_iter().chain([(3840.0, 2160.0, 48.0)]) {
            let name = format!("{} {w} x {h}", s.name);
            let d = client_roll(&page, (w, h), unit);
            well_set(&name, std::slice::from_ref(&d.page), unit);
            assert!(d.page.w == w && d.page.h >= h, "{name}");
            let told: Vec<&str> = d.told.iter().map(|t| t.words.as_str()).collect();
            let all = told.join("\n");
            for day in page.weeks.iter().flat_map(|w| &w.days) {
                let head = format!("{}:", day.date.format("%a %-d %B"));
                assert!(told.iter().any(|t| t.starts_with(&head)), "{name}: {head}");
            }
            for words in page.wants.iter().map(|x| &x.what).chain(&page.moves).chain(page.uses.iter().map(|u| &u.what))
            {
                assert!(all.contains(words.as_str()), "{name}: {words}");
            }
            in_the_clients_words(&name, &all);
            for t in &d.told {
                assert!(t.area.0 >= 0.0 && t.area.2 <= w + 0.01 && t.area.3 <= d.page.h + 0.01, "{name}: {t:?}");
            }
        }
    }
    // Six weeks of the study fit the screen; a headline is read from across the room.
    let study = samples().iter().find(|s| s.name == "study").expect("the study");
    let page = page(study);
    let d = client_roll(&page, (1920.0, 1080.0), 24.0);
    let ends = |n: usize| {
        let day = &page.weeks[n].days[0];
        let head = day.date.format("%a %-d %B").to_string();
        let told = d.told.iter().find(|t| t.words.starts_with(&head) && t.words[head.len()..].starts_with(':'));
        told.unwrap_or_else(|| panic!("{head}: {:?}", d.told)).area.3
    };
    assert!(ends(5) <= 1080.0, "{}", ends(5));
    let large = d
        .page
        .marks
        .iter()
        .any(|m| matches!(m, Mark::Text { size, text, .. } if *size >= 84.0 && *text == page.headline));
    assert!(large);
    // What cannot be shown says so, and says nothing of his.
    for stuck in [true, false] {
        let d = client_wait_roll(stuck, (640.0, 360.0), 18.0);
        well_set("waiting", std::slice::from_ref(&d.page), 18.0);
        in_the_clients_words("waiting", &d.page.words());
    }
}

/// Names that try to become something else, and one of ten thousand letters.
pub fn hostile() -> Job {
    let mut job = samples().iter().find(|s| s.name == "powder").expect("the powder room").sound.job.clone();
    job.name = "<script>alert(1)</script>\r\nBEGIN:VEVENT\n=cmd|' /C calc'!A0".into();
    job.client = "\u{202E}=1+1,\"x\";\\ \u{0}\u{7}&amp;".into();
    job.rooms[0].name = "@SUM(A1)\n\u{2066}<b>".into();
    job.places[0].name = "x".repeat(10_000);
    job.crew[0].name = "-2+3\",\r\n\"".into();
    let by = job.start + chrono::Days::new(3);
    let last = format!("{}/finish/clean", job.rooms[0].id);
    job.decisions.push(Decision {
        id: "long".into(),
        name: format!("=HYPERLINK(\"http://x\") {}", "w".repeat(10_000)),
        by,
        late: None,
        before: vec![last.clone()],
    });
    job.decisions.push(Decision {
        id: "lines".into(),
        name: "one\r\ntwo; three, \\four".into(),
        by,
        late: None,
        before: vec![last],
    });
    job
}

/// Tags closed in order, only known entities, no bare sign: what well-formed asks of our own writing.
pub fn well_formed(xml: &str) {
    let mut open: Vec<String> = Vec::new();
    let mut rest = xml;
    while let Some(at) = rest.find('<') {
        let text = &rest[..at];
        assert!(!text.contains('>'), "{text}");
        for (i, _) in text.match_indices('&') {
            let entity = text[i..].split(';').next().expect("an entity");
            assert!(["&amp", "&lt", "&gt", "&quot", "&#39"].contains(&entity), "{entity}");
        }
        let end = rest.find('>').expect("the tag ends");
        let tag = &rest[at + 1..end];
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop().as_deref(), Some(name));
        } else if !tag.starts_with('?') && !tag.ends_with('/') {
            open.push(tag.split([' ', '\n']).next().expect("a name").to_string());
        }
        rest = &rest[end + 1..];
    }
    assert!(open.is_empty() && rest.trim().is_empty(), "{open:?}");
}

#[test]
fn hostile_names_stay_names_on_every_paper() {
    let (sound, found, page) = changed(&hostile());
    for size in [Size::A4, Size::Letter, Size::Screen] {
        let pages = client_sheets(&page, size);
        well_set(&format!("hostile {size:?}"), &pages, 8.5);
        for p in &pages {
            let file = export::svg(p, &page.client);
            well_formed(&file);
            assert!(!file.contains("<script") && !file.contains("<b>"));
            assert!(!file.contains(['\u{202E}', '\u{2066}', '\u{0}', '\u{7}']));
        }
        assert!(pages.len() < 6, "{}", pages.len());
    }
    let days = day_papers(&sound, &TodayView::whole(&sound, &found), Size::A4);
    well_set("hostile days", &days, 8.0);
    days.iter().for_each(|p| well_formed(&export::svg(p, "days")));
    let text = client_text(&page);
    assert!(!text.contains(['\u{202E}', '\u{2066}', '\u{0}', '\u{7}']) && !text.contains("\nBEGIN"));
}

/// A moment for the stamp, so that the file is the same every time.
fn stamp() -> chrono::NaiveDateTime {
    "2027-03-01T09:00:00".parse().expect("a moment")
}

fn calendar(sound: &Sound, found: &Found, page: &ClientPage) -> (Vec<Event>, String) {
    let mut events = views::client_events(sound, found, page);
    events.extend(views::work_events(sound, found));
    let text = export::ical(&views::paper::clean(&sound.job.name), &events, views::revision(&sound.job), stamp());
    (events, text)
}

/// What a reader should find: every event by its name.
fn told(events: &[Event]) -> Value {
    let one = |e: &Event| {
        let (start, end) = match e.span {
            Span::Days(a, b) => (a.to_string(), Event::day_after(b).to_string()),
            Span::Times(a, b) => (views::iso(a), views::iso(b)),
        };
        json!({"uid": e.uid, "start": start, "end": end, "summary": e.line(), "description": e.text})
    };
    events.iter().map(one).collect()
}

/// A property as a reader gets it: name, parameters, value.
type Property = (String, String, String);

/// A second reader, plain, after RFC 5545: unfolds (3.1), takes components apart (3.6), undoes the
/// escapes of text (3.3.11). `tests/oracle/papers.py` reads the same file with one from outside.
fn read(text: &str) -> Vec<Vec<Property>> {
    let mut events: Vec<Vec<Property>> = Vec::new();
    let mut within: Vec<String> = Vec::new();
    for line in text.replace("\r\n ", "").replace("\r\n\t", "").split_terminator("\r\n") {
        let (head, value) = line.split_once(':').unwrap_or_else(|| panic!("no property: {line}"));
        let (name, more) = head.split_once(';').unwrap_or((head, ""));
        assert!(name.chars().all(|c| c.is_ascii_uppercase() || c == '-'), "{line}");
        match name {
            "BEGIN" => {
                if value == "VEVENT" {
                    events.push(Vec::new());
                }
                within.push(value.to_string());
            }
            "END" => assert_eq!(within.pop().as_deref(), Some(value)),
            _ => {
                let mut plain = String::new();
                let mut letters = value.chars();
                while let Some(c) = letters.next() {
                    plain.push(match (c, if c == '\\' { letters.next() } else { None }) {
                        ('\\', Some('n' | 'N')) => '\n',
                        ('\\', Some(c)) => c,
                        (c, _) => c,
                    });
                }
                if within.last().is_some_and(|w| w == "VEVENT") {
                    events.last_mut().expect("an event").push((name.into(), more.into(), plain));
                }
            }
        }
    }
    assert!(within.is_empty(), "{within:?}");
    events
}

#[test]
fn a_reader_of_calendars_finds_every_event_as_it_was() {
    let hostile = changed(&hostile());
    let mut all: Vec<(&str, Vec<Event>, String)> = Vec::new();
    let (events, text) = calendar(&hostile.0, &hostile.1, &hostile.2);
    all.push(("hostile", events, text));
    for s in samples() {
        let (events, text) = calendar(&s.sound, &s.found, &page(s));
        all.push((s.name, events, text));
    }
    for (name, events, text) in &all {
        assert!(text.ends_with("\r\n") && !text.replace("\r\n", "").contains(['\r', '\n']), "{name}");
        assert!(text.split("\r\n").all(|l| l.len() <= 75), "{name}: a line over 75 octets");
        let found = read(text);
        assert_eq!((found.len(), text.matches("\r\nBEGIN:").count()), (events.len(), events.len()), "{name}");
        let uids: BTreeSet<&str> = events.iter().map(|e| e.uid.as_str()).collect();
        assert_eq!(uids.len(), events.len(), "{name}: names are not unique");
        for (e, r) in events.iter().zip(found) {
            let of = |key: &str| r.iter().find(|p| p.0 == key).map(|p| (p.1.clone(), p.2.clone())).unwrap_or_default();
            let value = |key: &str| of(key).1;
            assert_eq!((value("UID"), value("SUMMARY")), (e.uid.clone(), e.line()), "{name}");
            assert_eq!(value("DESCRIPTION"), e.text, "{name}");
            let start = value("DTSTART");
            assert_eq!(of("DTSTART").0 == "VALUE=DATE", matches!(e.span, Span::Days(..)), "{name}");
            match e.span {
                Span::Days(a, b) => {
                    let days = (a.format("%Y%m%d").to_string(), Event::day_after(b).format("%Y%m%d").to_string());
                    assert_eq!((start, value("DTEND")), days);
                }
                // Floating: no zone, no Z.
                Span::Times(a, _) => assert_eq!(start, a.format("%Y%m%dT%H%M%S").to_string()),
            }
        }
    }
    // What tests/oracle reads again with packages from outside.
    handed("calendar.ics", &all[0].2);
    handed("calendar.json", &format!("{:#}\n", told(&all[0].1)));
}

#[test]
fn tables_are_read_as_they_were_and_no_cell_is_run() {
    let (sound, found, _) = changed(&hostile());
    let plan = views::plan_table(&sound, &views::PlanView::without_float(&sound, &found));
    let days = views::days_table(&sound, &found);
    let cells = |t: &views::Table| -> Value {
        let cell = |c: &Cell| match c {
            // As a reader gets it: a text that would be run has its quote before it.
            Cell::Text(t) if t.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']) => json!(format!("'{t}")),
            Cell::Text(t) | Cell::Number(t) => json!(t),
        };
        let head: Value = t.head.iter().map(|h| json!(h)).collect();
        let rows = t.rows.iter().map(|r| r.iter().map(cell).collect::<Value>());
        std::iter::once(head).chain(rows).collect()
    };
    for t in [&plan, &days] {
        let text = export::csv(t);
        assert!(text.ends_with("\r\n") && text.contains("'-2+3"), "{text}");
        let begins = |l: &str| l.split(',').any(|c| c.starts_with(['=', '+', '@', '\t']) || c.starts_with("\"="));
        assert!(text.lines().all(|l| !begins(l)), "{text}");
    }
    handed("plan.csv", &export::csv(&plan));
    handed("plan.json", &format!("{:#}\n", cells(&plan)));
    for s in samples() {
        let rooms = roomback::takeoff::takeoff(&s.sound.job).expect("a take-off");
        let map = roomback::jobfile::SourceMap::default();
        let table = views::takeoff_table(&s.sound.job, &views::takeoff_rows(&s.sound.job, &rooms, &map));
        assert!(table.rows.iter().all(|r| r.len() == table.head.len()) && table.rows.len() > 3, "{}", s.name);
    }
}

/// Puts a file where `tests/oracle/run` reads it again with readers from outside.
fn handed(name: &str, text: &str) {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("papers");
    std::fs::create_dir_all(&folder).expect("a folder");
    std::fs::write(folder.join(name), text).expect("written");
}

fn call(args: &[&str]) -> roomback::cli::Output {
    roomback::cli::run(std::iter::once("roomback").chain(args.iter().copied()))
}

#[test]
fn papers_are_written_beside_the_job_and_never_over_it() {
    let dir = std::env::temp_dir().join(format!("roomback-{}-papers", std::process::id()));
    let _ = std::fs::remove_dir_all(&dir);
    std::fs::create_dir_all(&dir).expect("a folder");
    let text = include_str!("../../sample-jobs/powder.ron");
    let path = |name: &str| dir.join(name).display().to_string();
    let job = path("powder.ron");
    std::fs::write(&job, text).expect("written");
    let said = |args: &[&str], code: u8| {
        let out = call(args);
        assert_eq!(out.code, code, "{args:?}: {}", out.text);
        out.text
    };
    // What cannot be written, or would take the place of the job, is refused with a reason.
    for (args, why) in [
        (vec!["print", &job, "--page", "client", "--to", &path("a.jpg")], ".svg"),
        (vec!["print", &job, "--page", "client", "--to", &path("a")], "no ending"),
        (vec!["print", &job, "--page", "all", "--to", &path("a.svg")], "none of these: client, section, days, quote"),
        (vec!["print", &job, "--page", "days", "--paper", "a3", "--to", &path("a.svg")], "none of these: a4, letter"),
        (vec!["print", &job, "--page", "client", "--to", &job], "is written as"),
        (vec!["calendar", &job, "--to", &path("a.svg")], "written as .ics"),
        (vec!["table", &job, "--what", "all", "--to", &path("a.csv")], "none of these: takeoff, plan, days"),
    ] {
        let text = said(&args, 2);
        assert!(text.contains(why), "{args:?}: {text}");
    }
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(&job, path("link.svg")).expect("a link");
        let text = said(&["print", &job, "--page", "client", "--to", &path("link.svg")], 2);
        assert!(text.contains("is the job itself"), "{text}");
    }
    let shown = said(&["show", &job], 0);
    let page: Value = serde_json::from_str(&said(&["show", &job, "--json"], 0)).expect("JSON");
    let plan: Value = serde_json::from_str(&said(&["plan", &job, "--json"], 0)).expect("JSON");
    let forecast: Value = serde_json::from_str(&said(&["forecast", &job, "--json"], 0)).expect("JSON");
    assert_eq!(page["day"], forecast["safe_day"]);
    assert_eq!(page["early_day"].as_str(), plan["clean_run"].as_str().map(|c| &c[..10]));
    let headline = page["headline"].as_str().expect("a headline");
    assert!(shown.contains(headline));
    assert!(said(&["print", &job, "--page", "client", "--to", &path("c.svg")], 0).starts_with("Wrote "));
    assert!(std::fs::read_to_string(path("c.svg")).expect("written").contains(headline));
    let days = said(&["print", &job, "--page", "days", "--paper", "a4", "--to", &path("d.svg"), "--json"], 0);
    let days: Value = serde_json::from_str(&days).expect("JSON");
    let files = days["files"].as_array().expect("files");
    assert!(files.len() > 2 && files.iter().all(|f| std::path::Path::new(f.as_str().expect("a name")).is_file()));
    said(&["calendar", &job, "--to", &path("c.ics"), "--work-days"], 0);
    let ics = std::fs::read_to_string(path("c.ics")).expect("written");
    let day = page["day"].as_str().expect("a day").replace('-', "");
    assert!(ics.contains(&format!("DTSTART;VALUE=DATE:{day}\r\n")) && ics.contains("SUMMARY:work: "), "{ics}");
    for what in ["takeoff", "plan", "days"] {
        said(&["table", &job, "--what", what, "--to", &path("t.csv")], 0);
        assert!(std::fs::read_to_string(path("t.csv")).expect("written").lines().count() > 3, "{what}");
    }
    assert_eq!(std::fs::read_to_string(&job).expect("there"), text);
    std::fs::remove_dir_all(&dir).expect("removed");
}
