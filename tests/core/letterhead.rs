//! The head of papers: set by command, printed where it is set, kept in the book and offered, never forced.

use roomback::job::Letterhead;

use crate::underway::{File, call, json};

fn printed(file: &File, page: &str) -> String {
    let svg = file.0.join(format!("{page}.svg")).display().to_string();
    let out = call(&["print", &file.path(), "--page", page, "--to", &svg]);
    assert_eq!(out.code, 0, "{}", out.text);
    std::fs::read_to_string(svg).expect("written")
}

#[test]
fn a_head_is_set_printed_and_kept_in_the_book() {
    let file = File::new("letterhead", "powder");
    let (path, book) = (file.path(), file.0.join("book.ron").display().to_string());
    let bare = (printed(&file, "quote"), printed(&file, "client"));
    let shown = call(&["letterhead", &path, "--book", &book]);
    assert!(shown.code == 0 && shown.text.matches("nothing is set").count() == 4, "{}", shown.text);
    let set = [
        "letterhead",
        &path,
        "--book",
        &book,
        "--from",
        "Ilse Brandt, finish carpentry",
        "--from",
        "Licence 4411 <x>",
        "--to",
        "14 Orchard Lane",
        "--number",
        "27-014",
        "--valid",
        "30",
        "--keep",
        "--json",
    ];
    let v = json(&set);
    assert_eq!((&v["applied"]["changed"], &v["book"]["valid_days"]), (&true.into(), &30.into()));
    let told = (printed(&file, "quote"), printed(&file, "client"));
    for words in
        ["Ilse Brandt, finish carpentry", "Licence 4411 &lt;x&gt;", "14 Orchard Lane", "Quote 27-014", "It holds until"]
    {
        assert!(told.0.contains(words) && !bare.0.contains(words), "{words}: {}", told.0);
    }
    assert!(told.1.contains("Ilse Brandt, finish carpentry, Licence 4411") && !bare.1.contains("Ilse"));
    let text = call(&["quote", &path]).text;
    assert!(text.starts_with("Ilse Brandt") && text.contains("quote 27-014"), "{text}");
    // Number and days go with the quote that is kept.
    json(&["quote", &path, "--keep", "--json"]);
    let job = file.job();
    assert_eq!((job.quotes[0].number.as_str(), job.quotes[0].valid_days), ("27-014", Some(30)));
    // Another job is offered the lines of the book; it has none before they are taken.
    let other = File::new("letterhead-other", "powder");
    assert!(call(&["letterhead", &other.path(), "--book", &book]).text.contains("--take uses it here"));
    assert_eq!(other.job().letterhead, Letterhead::default());
    json(&["letterhead", &other.path(), "--book", &book, "--take", "--json"]);
    let head = other.job().letterhead;
    assert_eq!(
        (head.from, head.to.len(), head.number.as_str(), head.valid_days),
        (job.letterhead.from, 0, "", Some(30))
    );
    // An empty line takes them out; too many are refused.
    json(&["letterhead", &path, "--book", &book, "--from", "", "--valid", "0", "--json"]);
    assert_eq!((file.job().letterhead.from.len(), file.job().letterhead.valid_days), (0, None));
    let nine: Vec<&str> = ["letterhead", &path, "--book", &book].into_iter().chain(["--to", "x"].repeat(9)).collect();
    let out = call(&nine);
    assert!(out.code == 2 && out.text.contains("at most 8"), "{}", out.text);
}
