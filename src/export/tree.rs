//! A page as the tree of shapes and glyphs that PDF and PNG are drawn from.
//!
//! It is read from the very SVG that is written, with the bundled faces alone: fonts of the machine
//! are never asked for, so that a page looks the same everywhere. A word that lost its letters on the
//! way is an error, never a blank. One unit of the tree is one unit of the page.

use std::sync::{Arc, OnceLock};

use resvg::usvg::{Node, Options, Tree, fontdb};

use super::svg::written;
use crate::views::face::{REGULAR, SEMI_BOLD};
use crate::views::paper::{Mark, Page};

/// The family of the bundled faces.
const FAMILY: &str = "IBM Plex Sans";

/// Both bundled faces, and nothing else.
fn faces() -> Arc<fontdb::Database> {
    static FACES: OnceLock<Arc<fontdb::Database>> = OnceLock::new();
    let load = || {
        let mut db = fontdb::Database::new();
        [REGULAR, SEMI_BOLD].into_iter().for_each(|data| db.load_font_data(data.to_vec()));
        db.set_sans_serif_family(FAMILY);
        Arc::new(db)
    };
    FACES.get_or_init(load).clone()
}

/// The tree of a page.
///
/// # Errors
/// Where the page cannot be read, or a text of it has no letters in it.
pub(super) fn tree(page: &Page, title: &str) -> Result<Tree, String> {
    // At 72 to the inch a point is one unit.
    let options = Options { dpi: 72.0, font_family: FAMILY.into(), fontdb: faces(), ..Options::default() };
    let tree = Tree::from_str(&written(page, title, false), &options)
        .map_err(|e| format!("the page could not be drawn: {e}"))?;
    whole(&tree, page)?;
    Ok(tree)
}

/// Whether every text of a page has its letters in its tree.
fn whole(tree: &Tree, page: &Page) -> Result<(), String> {
    let wanted = page.marks.iter().filter(|m| matches!(m, Mark::Text { text, .. } if !text.trim().is_empty())).count();
    let (mut set, mut empty) = (0, 0);
    count(tree.root().children(), &mut set, &mut empty);
    if empty > 0 || set != wanted {
        return Err(format!("the page could not be drawn: {} of {wanted} words have no letters", wanted + empty - set));
    }
    Ok(())
}

/// Texts with letters, and those without.
fn count(nodes: &[Node], set: &mut usize, empty: &mut usize) {
    for n in nodes {
        match n {
            Node::Group(g) => count(g.children(), set, empty),
            Node::Text(t) => {
                *set += 1;
                if t.layouted().iter().all(|s| s.positioned_glyphs.is_empty()) {
                    *empty += 1;
                }
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::face::{self, Weight};
    use crate::views::paper::{Ink, Sheet};

    fn page(texts: &[(&str, Weight)]) -> Page {
        let mut page = Page::new(Sheet { w: 400.0, h: 300.0, margin: 0.0, unit: 10.0 });
        for (i, (text, weight)) in texts.iter().enumerate() {
            page.text((10.0, 20.0 + 20.0 * i as f32), 10.0, *weight, Ink::Ink, *text);
        }
        page
    }

    fn texts(nodes: &[Node]) -> Vec<(Vec<String>, Vec<u16>, f32)> {
        let one = |n: &Node| match n {
            Node::Group(g) => texts(g.children()),
            Node::Text(t) => {
                let glyphs: Vec<_> = t.layouted().iter().flat_map(|s| &s.positioned_glyphs).collect();
                let weights = glyphs.iter().map(|g| faces().face(g.font).expect("a bundled face").weight.0).collect();
                let wide = t.bounding_box().width();
                vec![(glyphs.iter().map(|g| g.text.clone()).collect(), weights, wide)]
            }
            _ => Vec::new(),
        };
        nodes.iter().flat_map(one).collect()
    }

    #[test]
    fn both_weights_are_found_and_every_letter_is_set() {
        let words = [("Ready Mon 8:15, 13' 6-1/2\"", Weight::Regular), ("Wednesday 31 March", Weight::SemiBold)];
        let tree = tree(&page(&words), "words").expect("a tree");
        let got = texts(tree.root().children());
        assert_eq!(got.len(), 2);
        for ((text, weight), (letters, weights, wide)) in words.iter().zip(got) {
            assert_eq!(letters.concat(), *text);
            let want = if *weight == Weight::SemiBold { 600 } else { 400 };
            assert!(weights.iter().all(|w| *w == want), "{text}: {weights:?}");
            // As wide as the page was laid out with, but for the air at both ends.
            let laid = face::width(text, 10.0, *weight);
            assert!((wide - laid).abs() < 2.5, "{text}: {wide} for {laid}");
        }
    }

    #[test]
    fn a_font_that_is_missing_is_an_error_and_no_blank() {
        let none = Options { fontdb: Arc::new(fontdb::Database::new()), ..Options::default() };
        let page = page(&[("gone", Weight::Regular)]);
        let tree = Tree::from_str(&written(&page, "", false), &none).expect("a tree");
        assert!(whole(&tree, &page).is_err_and(|e| e.contains("1 of 1 words")));
        assert_eq!(faces().faces().count(), 2);
    }

    #[test]
    fn words_in_no_face_of_ours_are_boxes_and_do_no_harm() {
        let odd = page(&[
            ("\u{5D0}\u{5D1} \u{4E2D}\u{6587} \u{1F600}", Weight::Regular),
            ("a\u{301}\u{302}", Weight::SemiBold),
        ]);
        assert!(tree(&odd, "odd").is_ok());
    }
}
