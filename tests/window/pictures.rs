//! Pictures of whole screens: drawn with the tests' own painter, so the same on every machine.
//!
//! They are few and a glance decides: with `UPDATE_SNAPSHOTS=1` they are drawn anew.

use egui_kittest::SnapshotOptions;
use roomback::ui::action::Command;

use crate::driver::{FEW, SMALL, Used};

fn look(w: &mut Used, name: &str) {
    // The mouse is away, nothing has the focus.
    w.h.remove_cursor();
    w.h.run();
    let options = SnapshotOptions::new().threshold(0.6).max_failed_pixels(0).output_path("tests/window/pictures");
    w.h.snapshot_options(name, &options);
}

#[test]
fn the_study_in_light_and_dark() {
    let mut w = Used::open("study", SMALL, FEW);
    look(&mut w, "study-light");
    w.menu(Command::LightDark);
    look(&mut w, "study-dark");
}
