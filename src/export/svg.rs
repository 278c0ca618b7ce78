//! A page as SVG 1.1: self-contained, the typeface in it, text as text.
//!
//! Widths of text are those the page was laid out with, so no viewer sets it wider. Points of a page
//! become points of the file. Only characters XML 1.0 allows are written.

use crate::views::face::{REGULAR, SEMI_BOLD, Weight};
use crate::views::paper::{Ink, Mark, Page};
use crate::views::section::Site;

/// The page as the text of a file. The title is what a screen reader says of it.
pub fn svg(page: &Page, title: &str) -> String {
    written(page, title, true)
}

/// [`svg`], the typeface left out where whoever reads it has it.
pub(super) fn written(page: &Page, title: &str, typeface: bool) -> String {
    let (w, h) = (number(page.w), number(page.h));
    let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    out += &format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}pt\" height=\"{h}pt\" viewBox=\"0 0 {w} {h}\" \
         font-family=\"'IBM Plex Sans',sans-serif\">\n"
    );
    out += &format!("<title>{}</title>\n", escaped(title));
    if typeface {
        out += &faces(page);
    }
    out += &format!("<rect width=\"{w}\" height=\"{h}\" fill=\"{}\"/>\n", colour(Ink::Paper));
    page.marks.iter().for_each(|m| out += &mark(m));
    out + "</svg>\n"
}

/// The weights a page uses, as a style.
fn faces(page: &Page) -> String {
    let mut out = String::from("<style>\n");
    for (weight, data, name) in [(Weight::Regular, REGULAR, 400), (Weight::SemiBold, SEMI_BOLD, 600)] {
        if page.marks.iter().any(|m| matches!(m, Mark::Text { weight: w, .. } if *w == weight)) {
            out += &format!(
                "@font-face{{font-family:'IBM Plex Sans';font-weight:{name};src:url(data:font/ttf;base64,{}) \
                 format('truetype')}}\n",
                base64(data)
            );
        }
    }
    out + "</style>\n"
}

fn mark(m: &Mark) -> String {
    match m {
        Mark::Text { text, .. } if text.trim().is_empty() => String::new(),
        Mark::Text { x, y, size, weight, ink, text } => {
            let bold = if *weight == Weight::SemiBold { " font-weight=\"600\"" } else { "" };
            format!(
                "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{bold} fill=\"{}\" font-kerning=\"none\">{}</text>\n",
                number(*x),
                number(*y),
                number(*size),
                colour(*ink),
                escaped(text)
            )
        }
        Mark::Line { from, to, width, ink } => format!(
            "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" stroke=\"{}\" stroke-width=\"{}\"/>\n",
            number(from.0),
            number(from.1),
            number(to.0),
            number(to.1),
            colour(*ink),
            number(*width)
        ),
        Mark::Rect { x, y, w, h, fill, line } => format!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" {}/>\n",
            number(*x),
            number(*y),
            number(*w),
            number(*h),
            look(*fill, *line)
        ),
        Mark::Shape { points, fill, line } => {
            let points: Vec<String> = points.iter().map(|p| format!("{},{}", number(p.0), number(p.1))).collect();
            format!("<polygon points=\"{}\" {}/>\n", points.join(" "), look(*fill, *line))
        }
    }
}

fn look(fill: Option<Ink>, line: Option<(Ink, f32)>) -> String {
    let fill = fill.map_or("none", colour);
    match line {
        Some((ink, width)) => {
            format!("fill=\"{fill}\" stroke=\"{}\" stroke-width=\"{}\"", colour(ink), number(width))
        }
        None => format!("fill=\"{fill}\""),
    }
}

/// Colours on white paper; every word passes 4.5:1 on it and on the tints it may stand on.
pub fn colour(ink: Ink) -> &'static str {
    match ink {
        Ink::Ink => "#22242b",
        Ink::Quiet => "#5c5a54",
        Ink::Rule => "#b9b4a6",
        Ink::Phase => "#dce7e5",
        Ink::Off => "#f3f0e6",
        Ink::Safe => "#133f9e",
        Ink::Shut => "#962a12",
        Ink::Paper => "#ffffff",
        Ink::Edge => "#797469",
        Ink::Hand => "#8fabdb",
        Ink::Tape => "#e3ecdd",
        Ink::Line(site) => match site {
            Site::Room => "#21797a",
            Site::Shop => "#8a5a0b",
            Site::Booth => "#7a3fa6",
            Site::Away => "#5c5a54",
        },
        Ink::Tint(site) => match site {
            Site::Room => "#cfe3e1",
            Site::Shop => "#f6e3bd",
            Site::Booth => "#e6daf1",
            Site::Away => "#ffffff",
        },
    }
}

/// Two decimals, no more than needed; what is no number is 0.
fn number(x: f32) -> String {
    if !x.is_finite() {
        return "0".into();
    }
    let text = format!("{x:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}

/// Text of an element or an attribute; what XML 1.0 forbids is left out.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            '\'' => out += "&#39;",
            '\t' | '\n' | '\r' => out.push(' '),
            c if c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}') => {}
            c => out.push(c),
        }
    }
    out
}

/// RFC 4648, section 4.
fn base64(data: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(data.len().div_ceil(3) * 4);
    for part in data.chunks(3) {
        let bits = part.iter().fold(0u32, |b, x| b << 8 | u32::from(*x)) << (8 * (3 - part.len()));
        for i in 0..4 {
            let at = (bits >> (18 - 6 * i) & 63) as usize;
            out.push(if i <= part.len() { LETTERS[at] as char } else { '=' });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_is_that_of_the_standard() {
        // RFC 4648, section 10.
        for (data, want) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(data.as_bytes()), want);
        }
    }

    #[test]
    fn text_of_any_kind_stays_text() {
        let text = "</text><script>alert(1)</script>&\"'\u{0}\u{B}\u{FFFE}";
        let marks =
            vec![Mark::Text { x: 1.0, y: 2.5, size: 9.0, weight: Weight::Regular, ink: Ink::Ink, text: text.into() }];
        let out = svg(&Page { w: 100.0, h: 50.0, marks }, text);
        assert!(!out.contains("<script") && out.contains("&lt;script&gt;"));
        assert!(out.matches("<text").count() == 1 && !out.contains(['\u{0}', '\u{B}', '\u{FFFE}']));
        // Only the face that is used is in it.
        assert!(out.contains("font-weight:400") && !out.contains("font-weight:600"));
        assert!(out.contains("<text x=\"1\" y=\"2.5\" font-size=\"9\" fill=\"#22242b\""));
    }

    /// Contrast of two colours: WCAG 2.2, 1.4.3 and its definition of relative luminance.
    fn contrast(a: Ink, b: Ink) -> f64 {
        let light = |i: Ink| -> f64 {
            let hex = u32::from_str_radix(&colour(i)[1..], 16).expect("a colour");
            let part = |shift: u32| {
                let c = f64::from(hex >> shift & 255) / 255.0;
                if c <= 0.04045 { c / 12.92 } else { libm::pow((c + 0.055) / 1.055, 2.4) }
            };
            0.2126 * part(16) + 0.7152 * part(8) + 0.0722 * part(0)
        };
        let (a, b) = (light(a), light(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn words_are_read_on_every_ground_they_stand_on() {
        for word in [Ink::Ink, Ink::Quiet, Ink::Safe, Ink::Shut] {
            for ground in [Ink::Paper, Ink::Off, Ink::Phase] {
                assert!(contrast(word, ground) >= 4.5, "{word:?} on {ground:?}: {}", contrast(word, ground));
            }
        }
        for site in [Site::Room, Site::Shop, Site::Booth, Site::Away] {
            // Names of steps on their blocks; outlines: WCAG 2.2, 1.4.11.
            assert!(contrast(Ink::Ink, Ink::Tint(site)) >= 4.5, "{site:?}");
            for ground in [Ink::Paper, Ink::Off, Ink::Tint(site)] {
                assert!(contrast(Ink::Line(site), ground) >= 3.0, "{site:?} on {ground:?}");
            }
        }
        assert!(contrast(Ink::Ink, Ink::Tape) >= 4.5);
    }
}
