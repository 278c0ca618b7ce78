//! Widths of words in the bundled typeface, so that screen and paper place text alike.
//!
//! Answers how wide a text stands, and how high its capitals and ascenders reach over the
//! baseline it is placed by, in pixels of the size asked. Source: the advances of IBM Plex
//! Sans as bundled in `assets/type`. Kerning is left out: both painters set text by plain
//! advances. A character the face has not counts as wide as its missing-glyph box.

use std::sync::OnceLock;

use ttf_parser::Face;

/// The two weights bundled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Weight {
    #[default]
    Regular,
    SemiBold,
}

/// Regular weight, as bundled.
pub const REGULAR: &[u8] = include_bytes!("../../assets/type/IBMPlexSans-Regular.ttf");
/// Semi-bold weight, as bundled.
pub const SEMI_BOLD: &[u8] = include_bytes!("../../assets/type/IBMPlexSans-SemiBold.ttf");

/// Measures of one weight, in thousandths of the size.
struct Measures {
    /// Of the characters up to U+2FFF.
    advance: Vec<f32>,
    missing: f32,
    cap: f32,
    ascent: f32,
    descent: f32,
}

impl Measures {
    fn of(data: &[u8]) -> Measures {
        let Ok(face) = Face::parse(data, 0) else {
            // A bundled file that does not parse: half the size a character keeps text apart.
            return Measures { advance: Vec::new(), missing: 0.5, cap: 0.7, ascent: 1.0, descent: 0.3 };
        };
        let em = f32::from(face.units_per_em());
        let missing = face.glyph_hor_advance(ttf_parser::GlyphId(0)).map_or(0.5, |a| f32::from(a) / em);
        let advance = (0..0x3000u32)
            .map(|c| {
                let glyph = char::from_u32(c).and_then(|c| face.glyph_index(c));
                glyph.and_then(|g| face.glyph_hor_advance(g)).map_or(missing, |a| f32::from(a) / em)
            })
            .collect();
        Measures {
            advance,
            missing,
            cap: face.capital_height().map_or(0.7, |h| f32::from(h) / em),
            ascent: f32::from(face.ascender()) / em,
            descent: -f32::from(face.descender()) / em,
        }
    }
}

fn measures(weight: Weight) -> &'static Measures {
    static BOTH: OnceLock<[Measures; 2]> = OnceLock::new();
    let both = BOTH.get_or_init(|| [Measures::of(REGULAR), Measures::of(SEMI_BOLD)]);
    match weight {
        Weight::Regular => &both[0],
        Weight::SemiBold => &both[1],
    }
}

/// Width of a line of text, pixels at `size` pixels a quad.
pub fn width(text: &str, size: f32, weight: Weight) -> f32 {
    let m = measures(weight);
    text.chars().map(|c| m.advance.get(c as usize).copied().unwrap_or(m.missing)).sum::<f32>() * size
}

/// Height of capitals over the baseline, pixels.
pub fn cap_height(size: f32, weight: Weight) -> f32 {
    measures(weight).cap * size
}

/// Height of the face over the baseline, pixels.
pub fn ascent(size: f32, weight: Weight) -> f32 {
    measures(weight).ascent * size
}

/// Depth of the face under the baseline, pixels, positive.
pub fn descent(size: f32, weight: Weight) -> f32 {
    measures(weight).descent * size
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_have_one_width_and_words_add_up() {
        // All figures of this face are 600 units of 1,000 wide (assets/type/README.md).
        for weight in [Weight::Regular, Weight::SemiBold] {
            for d in '0'..='9' {
                assert!((width(&d.to_string(), 10.0, weight) - 6.0).abs() < 1e-4);
            }
            assert_eq!(width("", 12.0, weight), 0.0);
            let both = width("sand", 12.0, weight) + width(" walls", 12.0, weight);
            assert!((width("sand walls", 12.0, weight) - both).abs() < 1e-3);
            assert!(cap_height(10.0, weight) < ascent(10.0, weight) && descent(10.0, weight) > 1.0);
        }
        assert!(width("panels", 12.0, Weight::SemiBold) > width("panels", 12.0, Weight::Regular));
    }

    #[test]
    fn symbols_of_the_screen_are_in_the_face() {
        let m = measures(Weight::Regular);
        let face = Face::parse(REGULAR, 0).unwrap();
        for c in "→−×½″′✓•…°≤".chars() {
            assert!(face.glyph_index(c).is_some_and(|g| g.0 != 0), "{c}");
            assert!(m.advance[c as usize] > 0.0);
        }
    }
}
