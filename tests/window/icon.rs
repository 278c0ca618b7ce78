//! The pictures of the program's sign are its drawing; with `WRITE_REPORTS=1` they are written anew.

use roomback::ui::icon::{SIZES, drawing};

#[test]
fn the_pictures_are_the_drawing() {
    for side in SIZES {
        let file = format!("{}/assets/icon/roomback-{side}.png", env!("CARGO_MANIFEST_DIR"));
        let drawn = image::RgbaImage::from_raw(side as u32, side as u32, drawing(side)).expect("a picture");
        if std::env::var_os("WRITE_REPORTS").is_some() {
            std::fs::create_dir_all(format!("{}/assets/icon", env!("CARGO_MANIFEST_DIR"))).unwrap();
            drawn.save(&file).unwrap();
        }
        let kept = image::open(&file).unwrap_or_else(|e| panic!("{file}: {e}")).to_rgba8();
        assert!(kept == drawn, "{file} is not the drawing; look, and write it anew with WRITE_REPORTS=1");
    }
}
