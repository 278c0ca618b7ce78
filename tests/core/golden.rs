//! The words of papers as they stand on their pages: client's page, quote, buying list and day sheets of three samples.
//!
//! Each text is the drawing model's own, a line for each line of the page, with a head for each page; so it holds what
//! is said, in which order, and how many pages it takes. With `WRITE_REPORTS=1` in the environment the texts are
//! written anew, to be read and judged before they are committed.

use std::path::PathBuf;

use roomback::buying::KERF;
use roomback::views::client::client_sheets;
use roomback::views::paper::{Page, Size};
use roomback::views::papers::{buying_papers, day_papers, quote_papers};
use roomback::views::{self, TodayView};

use crate::papers::of;
use crate::samples::{Sample, sample};

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/core/golden")
}

/// The pages as text.
fn text(pages: &[Page]) -> String {
    let page =
        |(n, p): (usize, &Page)| format!("== page {} of {}, {} x {}\n{}", n + 1, pages.len(), p.w, p.h, p.words());
    pages.iter().enumerate().map(page).collect()
}

/// Four papers of a sample.
fn papers(s: &Sample) -> Vec<(&'static str, Vec<Page>)> {
    let (f, page) = of(s);
    let buying = s.sound.buying(&s.found, KERF).expect("a buying list");
    let price = s.sound.price(&s.found, f, &buying);
    let quote = views::quote_of(&s.sound, f, &price, s.sound.job.start);
    vec![
        ("client", client_sheets(page, Size::Letter)),
        ("quote", quote_papers(&s.sound.job, &views::Quoted::new(quote), Size::Letter)),
        ("buying", buying_papers(&s.sound, &buying, Size::Letter)),
        ("days", day_papers(&s.sound, &TodayView::whole(&s.sound, &s.found), Size::Letter)),
    ]
}

#[test]
fn papers_say_what_they_said() {
    let mut wrong = String::new();
    for name in ["powder", "study", "house"] {
        for (what, pages) in papers(sample(name)) {
            let got = text(&pages);
            let file = folder().join(format!("{name}-{what}.txt"));
            if std::env::var_os("WRITE_REPORTS").is_some() {
                std::fs::create_dir_all(folder()).expect("a folder");
                std::fs::write(&file, &got).expect("written");
            }
            let want = std::fs::read_to_string(&file).unwrap_or_default();
            if let Some(n) =
                (0..got.lines().count().max(want.lines().count())).find(|&n| got.lines().nth(n) != want.lines().nth(n))
            {
                let line = |t: &str| t.lines().nth(n).unwrap_or("(nothing)").to_string();
                wrong +=
                    &format!("{}:{}\n  expected {}\n  got      {}\n", file.display(), n + 1, line(&want), line(&got));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}
