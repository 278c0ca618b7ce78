//! A page as PNG (ISO/IEC 15948): a picture of 150 dots to the inch, the screen sheet dot for dot.
//!
//! Opaque, in RGB; its size on paper is in the file (chunk `pHYs`), so that it prints as large as
//! the page.

use resvg::tiny_skia::{Color, Pixmap, Transform};

use super::tree::tree;
use crate::views::paper::{Page, Size};

/// Dots to the inch.
const DPI: f32 = 150.0;
/// Points to the inch.
const POINTS: f32 = 72.0;
/// Millimetres to the inch, by definition.
const MM: f32 = 25.4;

/// The page as the bytes of a file.
///
/// # Errors
/// Where it cannot be drawn; a sentence.
pub fn png(page: &Page, title: &str) -> Result<Vec<u8>, String> {
    let tree = tree(page, title)?;
    let scale = if page.w >= Size::Screen.sheet(true).w { 1.0 } else { DPI / POINTS };
    let dots = |x: f32| (x * scale).round().max(1.0) as u32;
    let (w, h) = (dots(page.w), dots(page.h));
    let mut picture = Pixmap::new(w, h).ok_or("the page is too large to be drawn")?;
    picture.fill(Color::WHITE);
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut picture.as_mut());
    let rgb: Vec<u8> = picture.pixels().iter().flat_map(|p| [p.red(), p.green(), p.blue()]).collect();
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, w, h);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let metre = (scale * POINTS / MM * 1000.0).round() as u32;
    encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: metre, yppu: metre, unit: png::Unit::Meter }));
    encoder.write_header().and_then(|mut file| file.write_image_data(&rgb)).map_err(|e| e.to_string())?;
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::face::Weight;
    use crate::views::paper::Ink;

    #[test]
    fn a_picture_has_the_size_of_its_paper_and_ink_on_it() {
        let mut page = Page::new(Size::Letter.sheet(false));
        page.text((100.0, 100.0), 40.0, Weight::SemiBold, Ink::Ink, "Wednesday");
        let bytes = png(&page, "a page").expect("a picture");
        let mut reader = png::Decoder::new(bytes.as_slice()).read_info().expect("a picture");
        // 8-1/2 by 11 in at 150 to the inch; 150 / 0.0254 to the metre.
        assert_eq!((reader.info().width, reader.info().height), (1275, 1650));
        assert_eq!(reader.info().pixel_dims.expect("a size").xppu, 5906);
        let mut pixels = vec![0; reader.output_buffer_size()];
        reader.next_frame(&mut pixels).expect("pixels");
        let dark = |y: std::ops::Range<usize>| {
            pixels[y.start * 1275 * 3..y.end * 1275 * 3].iter().filter(|c| **c < 90).count()
        };
        // The letters stand over their baseline at 100 of 792, and nowhere else.
        assert!(dark(150..212) > 3000, "{}", dark(150..212));
        assert_eq!((dark(0..120), dark(240..1650)), (0, 0));
        let screen = Page::new(Size::Screen.sheet(true));
        let bytes = png(&screen, "").expect("a picture");
        let reader = png::Decoder::new(bytes.as_slice()).read_info().expect("a picture");
        assert_eq!((reader.info().width, reader.info().height), (1920, 1080));
    }
}
