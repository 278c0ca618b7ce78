//! Walk-round, recipes, entries of one's own and the user's book in the whole window.

use egui::accesskit::Role;
use roomback::ui::action::Command;

use crate::driver::{FEW, SMALL, Used};

#[test]
fn an_answer_of_the_walk_round_says_what_it_changed_and_is_saved() {
    let mut w = Used::open("powder", SMALL, FEW);
    w.menu(Command::Measure);
    let before = w.named().into_iter().find(|n| n.name.starts_with("Walk-round: ")).expect("a walk-round").name;
    if !w.has("Is it square and plumb? badly out") {
        w.press(&before);
    }
    w.bring(Role::RadioButton, "Is it square and plumb? badly out");
    w.press("Is it square and plumb? badly out");
    assert!(w.has("fit-up work x1.3"));
    assert!(w.job_text().contains("out_of_square: 1.3") && w.job_text().contains("asked: [\"square\"]"));
    let after = w.named().into_iter().find(|n| n.name.starts_with("Walk-round: ")).unwrap().name;
    assert_ne!(before, after, "one less to be asked");
    w.key(Command::Save);
    assert!(w.folder.read("job.ron").contains("out_of_square: 1.3"));
}

#[test]
fn a_broken_book_is_said_and_left_alone_until_it_is_set_aside() {
    let mut w = Used::open("powder", SMALL, FEW);
    let folder = w.folder.file("unsaved");
    std::fs::create_dir_all(&folder).unwrap();
    let book = folder.join("book.ron");
    std::fs::write(&book, "(rates: [").unwrap();
    w = Used::of(w.folder, SMALL, FEW);
    w.menu(Command::Measure);
    w.bring(Role::Button, "Your book");
    assert!(w.named().iter().any(|n| n.name.contains("cannot be read")));
    assert_eq!(std::fs::read_to_string(&book).unwrap(), "(rates: [");
    w.bring(Role::Button, "Set it aside and begin a new one");
    w.press("Set it aside and begin a new one");
    assert!(!book.exists() && folder.join("book.ron.unread").exists());
}
