//! Papers on every sample and on names meant to do harm: what stands on them is what the text commands
//! say, every mark lies on its page, and each file is what its ending says.
//!
//! One file because every paper is made and read in the same few ways.

use std::path::Path;

use roomback::buying::{Buying, KERF};
use roomback::desk::{self, Sound, close};
use roomback::job::{ChangeKind, ChangeOrder, Job, OwnStep, TargetKind};
use roomback::measure::Money;
use roomback::search::Found;
use roomback::views::Quoted;
use roomback::views::client::client_sheets;
use roomback::views::paper::{Mark, Page, Size};
use roomback::views::papers::{buying_papers, change_papers, closing_papers, day_papers, quote_papers, section_papers};
use roomback::views::{self, TodayView};
use roomback::work::Role;
use serde_json::Value;

use crate::papers::{changed, days_are_numbered, forecast, hostile, of, well_set};
use crate::samples::{Sample, sample, samples};
use crate::underway::{File, call, json};

fn words(pages: &[Page]) -> String {
    pages.iter().map(Page::words).collect::<String>()
}

/// The words as one line: what was wrapped is whole again.
fn line(pages: &[Page]) -> String {
    words(pages).replace('\n', " ")
}

fn bought(sound: &Sound, found: &Found) -> Buying {
    sound.buying(found, KERF).expect("a buying list")
}

/// Every paper but the closing page, of one job.
fn all(sound: &Sound, found: &Found, size: Size) -> Vec<(&'static str, Vec<Page>)> {
    let f = forecast(sound, found);
    let buying = bought(sound, found);
    let price = sound.price(found, &f, &buying);
    let quote = views::quote_of(sound, &f, &price, sound.job.start);
    vec![
        ("section", section_papers(sound, found, &f, size, None)),
        ("days", day_papers(sound, &TodayView::whole(sound, found), size)),
        ("quote", quote_papers(&sound.job, &Quoted::new(quote), size)),
        ("buying", buying_papers(sound, &buying, size)),
        ("change", change_papers(sound, 1, &order(&sound.job), size)),
    ]
}

/// A change as the record keeps it.
fn order(job: &Job) -> ChangeOrder {
    let day = job.start;
    ChangeOrder {
        day,
        kind: ChangeKind::Scope,
        words: "A shelf over the desk, painted with the walls".into(),
        adds: vec![format!("{}/shelf", job.rooms[0].id)],
        drops: vec![format!("{}/walls", job.rooms[0].id)],
        hours: 2.5,
        dollars: Some(120.0),
        days: 1.0,
        likely_before: day,
        likely_after: day,
        safe_before: day,
        safe_after: day + chrono::Days::new(1),
        chance_before: None,
        chance_after: None,
        promised_before: None,
        promised_after: None,
        trials: 10_000,
        confidence: Some(0.8),
        cents_before: None,
        cents_after: None,
        cents: None,
        material: None,
    }
}

#[test]
fn every_paper_of_every_sample_is_well_set_and_counts_its_pages() {
    for s in samples() {
        for size in [Size::A4, Size::Letter] {
            for (what, pages) in all(&s.sound, &s.found, size) {
                let name = format!("{} {what} {size:?}", s.name);
                // A paper may be set a twentieth smaller to save a page.
                well_set(&name, &pages, if what == "section" { 6.1 } else { 8.4 * 0.95 });
                if let Some(signed) = pages.iter().find(|p| p.words().contains("Agreed\n")) {
                    assert!(signed.words().lines().count() > 8, "{name}: signatures stand alone");
                }
                let number = if what == "days" { "sheet" } else { "page" };
                let counted = words(&pages).contains(&format!("{number} 1 of {}\n", pages.len()));
                assert_eq!(counted, pages.len() > 1, "{name}: {} pages", pages.len());
            }
        }
    }
}

#[test]
fn the_section_names_the_safe_day_every_room_and_every_step() {
    for s in samples() {
        let f = &of(s).0;
        let pages = section_papers(&s.sound, &s.found, f, Size::Letter, None);
        let text = words(&pages);
        let safe = views::day_words(s.sound.job.date_of(f.day(s.sound.job.confidence)));
        assert!(text.contains(&format!("safe to promise {safe}\n")), "{}: {text}", s.name);
        for r in s.sound.job.rooms.iter().filter(|_| s.sound.job.rooms.len() > 1) {
            assert!(text.contains(&r.name), "{}: {}", s.name, r.name);
        }
        for b in ["clean run", "safe"] {
            assert!(text.contains(b), "{}: {b}", s.name);
        }
        // Landscape; nothing of a step is only on the screen.
        assert!(pages.iter().all(|p| p.w > p.h));
        for t in &s.found.plan.steps {
            let step = &s.sound.graph.steps[t.step];
            let name = if step.role == Role::Unlisted { "allowance for unlisted work" } else { &step.name };
            let told = text.replace('\n', " ").to_lowercase();
            assert!(told.contains(&name.to_lowercase()), "{}: {name}", s.name);
        }
    }
}

#[test]
fn sums_on_paper_are_those_of_the_text_commands() {
    for s in samples() {
        let f = &of(s).0;
        let buying = bought(&s.sound, &s.found);
        let price = s.sound.price(&s.found, f, &buying);
        let quote = views::quote_of(&s.sound, f, &price, s.sound.job.start);
        let told = views::price_json(&s.sound, &price, &buying);
        let text = words(&quote_papers(&s.sound.job, &Quoted::new(quote), Size::A4));
        let total = price.total.to_string();
        assert_eq!(told["price_cents"], price.total.0);
        // Over the page and in its sum.
        assert_eq!(text.lines().filter(|l| *l == total).count(), 2, "{}: {text}", s.name);
        for p in &price.payments {
            assert!(text.lines().any(|l| l == p.amount.to_string()), "{}: {text}", s.name);
        }
        assert_eq!(price.payments.iter().map(|p| p.amount.0).sum::<i64>(), price.total.0);
        // A day agreed as promised is one, whoever wrote it into the file.
        let agreed = s.sound.job.target.filter(|t| t.kind == TargetKind::Promised);
        let told = agreed.map_or("no day is promised yet.".to_string(), |t| views::day_words(t.day));
        assert!(text.contains(&told), "{}: {text}", s.name);
        // Not for the client: hours, rates, costs.
        for his in [" h at ", "direct cost", "overhead", "profit", "losing money", "markup"] {
            assert!(!text.contains(his), "{}: {his} in {text}", s.name);
        }
        let pages = buying_papers(&s.sound, &buying, Size::A4);
        let text = words(&pages);
        let told = views::buying_json(&s.sound, &buying);
        assert!(text.lines().any(|l| l == buying.cost().to_string()), "{}: {text}", s.name);
        let rows = told["rows"].as_array().expect("rows");
        for (row, r) in rows.iter().zip(&buying.rows) {
            assert!(text.contains(row["name"].as_str().expect("a name")), "{}: {row}", s.name);
            assert!(text.lines().any(|l| l == r.cost.to_string()), "{}: {}", s.name, r.name);
        }
        sticks_are_to_scale(s, &buying, &pages);
    }
}

/// One outline a stick and a filled piece for each cut, as long to each other as they are.
fn sticks_are_to_scale(s: &Sample, buying: &Buying, pages: &[Page]) {
    let sticks: Vec<_> = buying.rows.iter().flat_map(|r| &r.sticks).collect();
    let rects = pages.iter().flat_map(|p| &p.marks).filter_map(|m| match m {
        Mark::Rect { x, w, fill, line: Some(_), .. } => Some((*x, *w, fill.is_some())),
        _ => None,
    });
    let (pieces, whole): (Vec<_>, Vec<_>) = rects.partition(|r| r.2);
    assert_eq!(whole.len(), sticks.len(), "{}", s.name);
    let Some(first) = sticks.first() else { return };
    let scale = whole[0].1 / first.nominal.inches() as f32;
    let mut at = 0;
    for (stick, bar) in sticks.iter().zip(&whole) {
        assert!((bar.1 - stick.nominal.inches() as f32 * scale).abs() < 0.05, "{}: {stick:?}", s.name);
        for p in &stick.pieces {
            let (x, w, _) = pieces[at];
            assert!((w - p.length.inches() as f32 * scale).abs() < 0.05, "{}: {p:?}", s.name);
            assert!(x >= bar.0 - 0.01 && x + w <= bar.0 + bar.1 + 0.05, "{}: {p:?} leaves its stick", s.name);
            at += 1;
        }
    }
    assert_eq!(at, pieces.len());
}

#[test]
fn a_change_order_says_price_and_days_even_where_they_are_none() {
    let s = sample("powder");
    let mut job = s.sound.job.clone();
    // From memory, "10 and 10" compounded: 1.21 of cost; no tax.
    (job.price.overhead, job.price.margin, job.price.tax) = (0.10, 0.10 / 1.10, 0.0);
    let (sound, ..) = changed(&job);
    let mut o = order(&job);
    let text = line(&change_papers(&sound, 3, &o, Size::Letter));
    assert!(text.contains("Change order 3 ") && text.contains("+$145.20 "), "{text}");
    let (before, after) = (views::day_words(o.safe_before), views::day_words(o.safe_after));
    let told = format!("Done by {after} with this change, by {before} without it, 8 in 10; no day is promised.");
    assert!(text.contains(&told), "{text}");
    // His own cost and hours are not on it.
    assert!(!text.contains("120") && !text.contains("2.5"), "{text}");
    (o.dollars, o.days, o.safe_after) = (Some(0.0), 0.0, o.safe_before);
    let text = line(&change_papers(&sound, 3, &o, Size::Letter));
    assert!(text.contains("$0.00") && text.contains("No later than before; no day is promised."), "{text}");
    // The day promised is all that is said of days where one was.
    (o.promised_before, o.promised_after) = (Some(o.day), Some(o.day));
    let text = line(&change_papers(&sound, 3, &o, Size::Letter));
    assert!(
        text.contains(&format!("Promised: {}, as before.", views::day_words(o.day))) && !text.contains("Done by"),
        "{text}"
    );
    o.promised_after = o.day.succ_opt();
    let text = line(&change_papers(&sound, 3, &o, Size::Letter));
    let (a, b) = (views::day_words(o.day), views::day_words(o.promised_after.expect("a day")));
    assert!(text.contains(&format!("Promised: {b} with this change, {a} before it.")), "{text}");
    // Material is said as it was counted, and the sum of what is less to pay with its sign.
    (o.cents_before, o.cents, o.cents_after) = (Some(100_000), Some(-4_000), Some(96_000));
    for (material, told) in [
        (Some(0), "no material was counted for it."),
        (Some(-500), "the material as they are counted with it and without it."),
        (None, "the material counted for it."),
    ] {
        let text = line(&change_papers(&sound, 3, &ChangeOrder { material, ..o.clone() }, Size::Letter));
        assert!(
            text.contains("less to pay −$40.00 ") && text.contains("$960.00") && text.contains(told),
            "{told}: {text}"
        );
    }
    (o.cents, o.cents_after, o.material) = (Some(4_000), Some(104_000), Some(0));
    let text = line(&change_papers(&sound, 3, &o, Size::Letter));
    assert!(text.contains("Work only: what it takes of material is not in it"), "{text}");
    o.material = Some(700);
    assert!(
        line(&change_papers(&sound, 3, &o, Size::Letter)).contains("For the work and the material counted for it.")
    );
    (o.cents_before, o.cents, o.cents_after, o.promised_before, o.promised_after) = (None, None, None, None, None);
    o.dollars = None;
    assert!(line(&change_papers(&sound, 3, &o, Size::Letter)).contains("To be agreed"));
    o.kind = ChangeKind::Redo;
    let text = line(&change_papers(&sound, 3, &o, Size::Letter));
    assert!(text.contains("no charge") && !text.contains("Agreed") && !text.contains("Change order"), "{text}");
    // Work done again takes no number of a change order.
    let mut sound = sound.clone();
    sound.job.changes = [ChangeKind::Redo, ChangeKind::Scope].map(|kind| ChangeOrder { kind, ..o.clone() }).to_vec();
    assert!(line(&change_papers(&sound, 2, &sound.job.changes[1], Size::Letter)).contains("Change order 1 "));
}

#[test]
fn a_change_order_keeps_what_was_agreed_whatever_the_terms_become() {
    let file = File::new("change-kept", "powder");
    let (path, to) = (file.path(), |name: &str| file.0.join(name).display().to_string());
    let quoted = json(&["quote", &path, "--keep", "--json"])["price_cents"].as_i64().expect("cents");
    let change =
        ["change", &path, "--day", "2027-05-11", "--words", "A shelf", "--add", "Shelf", "--hours", "2", "--json"];
    let first = json(&change);
    let second =
        json(&["change", &path, "--day", "2027-05-12", "--words", "No ceiling", "--drop", "powder/ceiling", "--json"]);
    let job = file.job();
    let cents = |c: &ChangeOrder| (c.cents_before, c.cents_after, c.cents);
    // From the quote on, each from the price agreed before it.
    let more = job.changes[0].cents.expect("a price");
    assert!(
        more > 0 && cents(&job.changes[0]) == (Some(quoted), Some(quoted + more), Some(more)),
        "{:?}",
        job.changes[0]
    );
    let less = job.changes[1].cents.expect("a price");
    assert!(less < 0, "{:?}", job.changes[1]);
    assert_eq!(cents(&job.changes[1]), (Some(quoted + more), Some(quoted + more + less), Some(less)));
    assert_eq!(roomback::pricing::agreed(&job), Some(Money(quoted + more + less)));
    for (v, c) in [(&first, &job.changes[0]), (&second, &job.changes[1])] {
        assert_eq!(v["cents_before"].as_i64(), c.cents_before);
        assert_eq!((v["cents"].as_i64(), v["confidence"].as_f64(), c.trials), (c.cents, Some(0.8), 10_000));
    }
    let print = |name: &str| {
        let svg = to(name);
        let out = call(&["print", &path, "--page", "change", "--id", "1", "--to", &svg]);
        assert_eq!(out.code, 0, "{}", out.text);
        std::fs::read_to_string(svg).expect("written")
    };
    let before = print("a.svg");
    for m in [Money(quoted), Money(quoted + more)] {
        assert!(before.contains(&format!(">{m}</text>")), "{m} in {before}");
    }
    assert!(before.contains(&format!(">+{}</text>", Money(more))));
    // Terms and confidence of another day change nothing of it.
    let mut later = job.clone();
    (later.price.margin, later.price.overhead, later.confidence) = (0.4, 0.5, 0.95);
    std::fs::write(&path, roomback::jobfile::write(&later)).expect("written");
    assert_eq!(print("b.svg"), before);
    // A record of before prices were kept says that its price is today's.
    let mut old = job;
    for c in &mut old.changes {
        (c.cents_before, c.cents_after, c.cents, c.confidence) = (None, None, None, None);
    }
    std::fs::write(&path, roomback::jobfile::write(&old)).expect("written");
    let text = print("c.svg").replace("</text>", " ");
    let text: String = text.split('<').map(|p| p.split_once('>').map_or(p, |x| x.1)).collect();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("at today's terms") || text.contains("at today&#39;s terms"), "{text}");
    // Prices that do not add up are a problem of the file.
    old.changes[0].cents = Some(5);
    old.changes[0].cents_before = Some(100);
    old.changes[0].cents_after = Some(200);
    let opened = desk::open(&roomback::jobfile::write(&old)).expect("read");
    assert!(opened.read.report().contains("do not differ by what it costs"), "{}", opened.read.report());
}

/// A job of so many rooms like the powder room, base and walls alone.
fn many_rooms(rooms: usize) -> Job {
    let s = sample("powder");
    let mut job = s.sound.job.clone();
    let first = job.rooms[0].clone();
    for n in 2..=rooms {
        let (room, place) = (format!("room-{n}"), format!("place-{n}"));
        let mut p = job.places.iter().find(|p| p.id == first.place).expect("a place").clone();
        (p.id, p.name) = (place.clone(), format!("Guest room {n}"));
        job.places.push(p);
        let mut r = first.clone();
        (r.id, r.name, r.place) = (room, format!("Guest room {n}"), place);
        r.surfaces.retain(|s| ["prep", "walls"].contains(&s.id.as_str()));
        job.rooms.push(r);
    }
    (job.kept, job.target) = (None, None);
    job
}

#[test]
fn the_section_of_very_many_rooms_has_pages_of_rooms_none_cut_in_two() {
    let (sound, found, _) = changed(&many_rooms(30));
    let f = forecast(&sound, &found);
    for size in [Size::A4, Size::Letter] {
        let pages = section_papers(&sound, &found, &f, size, None);
        well_set(&format!("thirty rooms {size:?}"), &pages, 6.1);
        let text = words(&pages);
        assert!(text.contains(&format!("page 2 of {}\n", pages.len())) && pages.len() < 40, "{}", pages.len());
        assert!(!text.contains("more on another page") && !text.contains("more above"), "{text}");
        // Each room by its name on one drawing, and each page says which rooms it has.
        let drawn: Vec<&Page> = pages.iter().filter(|p| p.words().contains("What holds the date\n")).collect();
        let mut next = 1;
        for p in &drawn {
            let words = p.words();
            let head = words.lines().find(|l| l.contains(" of 30; safe to promise")).expect("which rooms");
            let part = head.split(" of 30").next().expect("rooms");
            let numbers: Vec<usize> = part.split_whitespace().filter_map(|w| w.parse().ok()).collect();
            let (from, to) = (numbers[numbers.len().saturating_sub(2)], numbers[numbers.len() - 1]);
            let from = if part.starts_with("rooms ") { from } else { to };
            assert_eq!(from, next, "{head}");
            for n in from..=to {
                let name = if n == 1 { sound.job.rooms[0].name.clone() } else { format!("Guest room {n}") };
                assert!(words.lines().any(|l| l == name), "{head}: {name}");
            }
            next = to + 1;
        }
        assert_eq!(next, 31, "every room is drawn");
        assert!(drawn.len() < 31, "{} drawings", drawn.len());
    }
    // One room by itself, with its own steps in words.
    let pages = section_papers(&sound, &found, &f, Size::Letter, Some(6));
    well_set("one of thirty", &pages, 6.1);
    let text = words(&pages);
    assert!(text.contains("Guest room 7, room 7 of 30; safe") && !text.contains("Guest room 8"), "{text}");
}

/// The closing page of a job whose names try to become something else.
fn hostile_end() -> Vec<Page> {
    let file = File::new("hostile-end", "powder");
    let path = file.path();
    let last = json(&["plan", &path, "--json"])["clean_run"].as_str().expect("a time")[..10].to_string();
    assert_eq!(call(&["log", &path, "--day", "2027-05-10", "--as-planned", "--through", &last]).code, 0);
    let book = file.0.join("book.ron").display().to_string();
    json(&["close", &path, "--day", &last, "--book", &book, "--json"]);
    let (mut job, bad) = (file.job(), hostile());
    (job.name, job.client) = (bad.name, bad.client);
    job.rooms[0].name.clone_from(&bad.rooms[0].name);
    job.crew[0].name.clone_from(&bad.crew[0].name);
    for r in &mut job.rates {
        r.name = format!("<script>{}\r\n\u{202E}=cmd", "r".repeat(10_000));
    }
    let closed = job.closed.clone().expect("closed");
    let e = close::ending_from(&job, closed.day, closed.likely).expect("an end");
    closing_papers(&e, Size::A4)
}

#[test]
fn hostile_names_stay_names_on_every_other_paper() {
    let mut job = hostile();
    // A step, a delivery and a material of his own with such names.
    job.steps.push(OwnStep {
        id: "own".into(),
        name: format!("=1+1\r\n<b>\u{202E}{}", "s".repeat(10_000)),
        room: job.rooms[0].id.clone(),
        place: job.rooms[0].place.clone(),
        hours: Some((1.0, 2.0, 3.0)),
        ..OwnStep::default()
    });
    job.deliveries.iter_mut().for_each(|d| d.name = format!("@SUM(A1)\n{}", "d".repeat(10_000)));
    job.price.inclusions.push(format!("<script>\u{2066}{}", "i".repeat(10_000)));
    job.price.allowances.push(roomback::job::Allowance { what: "=cmd|' /C calc'!A0\n".repeat(40), dollars: 12.5 });
    job.changes.push(ChangeOrder {
        words: format!("<b>\r\n=1+1 \u{202E}{}", "z".repeat(10_000)),
        adds: vec!["../../etc".into(), String::new(), "/".into()],
        ..order(&job)
    });
    let (sound, found, _) = changed(&job);
    let mut papers = all(&sound, &found, Size::A4);
    papers.push(("change", change_papers(&sound, 1, &sound.job.changes[0], Size::A4)));
    papers.push(("closing", hostile_end()));
    papers.push(("section of a room", section_papers(&sound, &found, &forecast(&sound, &found), Size::A4, Some(0))));
    for (what, pages) in papers {
        well_set(&format!("hostile {what}"), &pages, 6.1);
        assert!(pages.len() < 12, "{what}: {}", pages.len());
        for p in &pages {
            let text = p.words();
            let odd = ['\u{202E}', '\u{2066}', '\u{0}', '\u{7}', '\r'];
            assert!(!text.contains(odd), "{what}: {text}");
            let file = roomback::export::svg(p, &sound.job.name);
            crate::papers::well_formed(&file);
            #[cfg(feature = "papers")]
            assert!(roomback::export::pdf(std::slice::from_ref(p), &sound.job.name).is_ok(), "{what}");
            #[cfg(feature = "papers")]
            assert!(roomback::export::png(p, &sound.job.name).is_ok(), "{what}");
        }
    }
}

#[test]
fn fourteen_rooms_stand_on_the_clients_page_whole() {
    let job = many_rooms(14);
    let (.., page) = changed(&job);
    for (size, smallest) in [(Size::A4, 8.5), (Size::Screen, 24.0)] {
        let pages = client_sheets(&page, size);
        well_set(&format!("fourteen rooms {size:?}"), &pages, smallest);
        let text = line(&pages);
        days_are_numbered(&format!("fourteen rooms {size:?}"), &page, &pages);
        // Every room has its row in every week it is in, by one of the names of each of its phases.
        for r in page.weeks.iter().flat_map(|w| &w.rooms) {
            assert!(text.contains(&r.name), "{size:?}: {}", r.name);
            for p in r.days.iter().flat_map(|d| &d.phases) {
                assert!(p.iter().any(|name| text.contains(name.as_str())), "{size:?}: {p:?}");
            }
        }
        assert!(text.contains("page 2 of"), "{size:?}");
        for x in &page.wants {
            let both = format!("{} {}", x.when, x.what);
            assert!(text.contains(&both), "{size:?}: {both} in {text}");
        }
    }
}

#[test]
fn the_closing_page_is_that_of_the_closed_job_and_is_refused_before() {
    let file = File::new("closing-page", "powder");
    let (path, to) = (file.path(), |name: &str| file.0.join(name).display().to_string());
    let early = call(&["print", &path, "--page", "closing", "--to", &to("c.svg")]);
    assert!(
        early.code == 2 && early.text.contains("not closed yet") && early.text.contains("roomback close"),
        "{}",
        early.text
    );
    let none = call(&["print", &path, "--page", "change", "--to", &to("c.svg")]);
    assert!(none.code == 2 && none.text.contains("no change on record"), "{}", none.text);
    let plan = json(&["plan", &path, "--json"]);
    let last = plan["clean_run"].as_str().expect("a time")[..10].to_string();
    assert_eq!(call(&["promise", &path, "--day", &last]).code, 0);
    assert_eq!(call(&["log", &path, "--day", "2027-05-10", "--as-planned", "--through", &last]).code, 0);
    let closed = json(&["close", &path, "--day", &last, "--book", &to("book.ron"), "--json"]);
    let out = call(&["print", &path, "--page", "closing", "--to", &to("c.svg")]);
    assert_eq!(out.code, 0, "{}", out.text);
    let job = file.job();
    let told = job.closed.clone().expect("closed");
    let e = close::ending_from(&job, told.day, told.likely).expect("an end");
    assert_eq!(e.closing, told);
    let pages = closing_papers(&e, Size::Letter);
    well_set("closing", &pages, 8.5);
    let text = words(&pages);
    for day in ["promised", "likely_at_start"] {
        let day: chrono::NaiveDate = closed[day].as_str().expect("a day").parse().expect("a day");
        assert!(text.contains(&views::day_words(day)), "{day}: {text}");
    }
    assert!(text.contains(&format!("\n{:.1}\n", closed["labor_h"].as_f64().expect("hours"))), "{text}");
    for s in closed["steps"].as_array().expect("steps") {
        assert!(text.contains(&format!("{:.1}\n", s["spent_h"].as_f64().expect("hours"))), "{s}: {text}");
    }
    // Rates by their names, not by what the file calls them; a day as planned moves none.
    let line = text.replace('\n', " ").to_lowercase();
    assert_eq!(closed["rates"].as_array().map(Vec::len), Some(e.rows.len()));
    for r in &e.rows {
        assert!(line.contains(&r.rate.name.to_lowercase()), "{}: {text}", r.rate.id);
    }
    // Nothing but hours was another than planned: what is left is what was expected.
    let money = &closed["money"];
    let cents = |what: &str| Money(money[what].as_i64().unwrap_or_else(|| panic!("{what}: {money}")));
    assert_eq!(Some(cents("agreed_cents")), roomback::pricing::agreed(&job));
    for what in ["agreed_cents", "left_expected_cents", "left_had_cents"] {
        assert!(text.contains(&cents(what).to_string()), "{what}: {text}");
    }
    let off = (cents("left_had_cents") - cents("left_expected_cents")).0.abs();
    assert!(off * 50 < cents("before_tax_cents").0, "{money}");
}

#[cfg(feature = "papers")]
#[test]
fn papers_are_files_of_their_kind_and_never_the_job() {
    let file = File::new("papers-kinds", "powder");
    let (path, to) = (file.path(), |name: &str| file.0.join(name).display().to_string());
    let text = std::fs::read_to_string(&path).expect("there");
    let bytes = |name: &str| std::fs::read(Path::new(&to(name))).expect("written");
    for (page, ending) in
        [("client", "pdf"), ("section", "PDF"), ("days", "pdf"), ("quote", "png"), ("buying", "svg"), ("days", "png")]
    {
        let name = to(&format!("{page}.{ending}"));
        let out = call(&["print", &path, "--page", page, "--to", &name, "--json"]);
        assert_eq!(out.code, 0, "{page} {ending}: {}", out.text);
        let v: Value = serde_json::from_str(&out.text).expect("JSON");
        let files = v["files"].as_array().expect("files");
        assert!(files.len() == 1 || ending != "pdf", "{files:?}");
        let begins: &[u8] = match ending {
            "svg" => b"<?xml",
            "png" => b"\x89PNG\r\n\x1a\n",
            _ => b"%PDF-",
        };
        for f in files {
            let got = std::fs::read(f.as_str().expect("a name")).expect("written");
            assert!(got.starts_with(begins), "{page} {ending}");
        }
    }
    // A page a file, said in the answer; the days have more than one.
    assert!(bytes("days-2.png").len() > 10_000);
    for (args, why) in [
        (vec!["--page", "client", "--to", "a.jpg"], "written as .pdf or .png or .svg"),
        (vec!["--page", "days", "--paper", "screen", "--to", "a.pdf"], "for paper, a4 or letter"),
        (vec!["--page", "days", "--id", "1", "--to", "a.pdf"], "names a change order"),
        (vec!["--page", "days", "--note", "1", "--to", "a.pdf"], "names a note on work done again"),
    ] {
        let out = call(&[&["print", &path][..], &args].concat());
        assert!(out.code == 2 && out.text.contains(why), "{args:?}: {}", out.text);
    }
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(&path, to("link.pdf")).expect("a link");
        let out = call(&["print", &path, "--page", "client", "--to", &to("link.pdf")]);
        assert!(out.code == 2 && out.text.contains("is the job itself"), "{}", out.text);
    }
    assert_eq!(std::fs::read_to_string(&path).expect("there"), text);
    let _: desk::Opened = desk::open(&text).expect("a job");
}
