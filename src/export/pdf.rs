//! Pages as one PDF 1.7 (ISO 32000-1): text as text, the faces it uses in the file.
//!
//! Each page is drawn from its own tree and put on a sheet of its size; a point of the page is a
//! point of the file. Nothing of the clock is in it, and the same pages are the same bytes: what the
//! converter leaves in any order is put in one.

use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, TextStr};
use svg2pdf::ConversionOptions;

use super::settled::settled;
use super::tree::tree;
use crate::views::paper::Page;

/// The pages as the bytes of a file. The title is what a reader shows of it.
///
/// # Errors
/// Where a page cannot be drawn; a sentence.
pub fn pdf(pages: &[Page], title: &str) -> Result<Vec<u8>, String> {
    let mut next = Ref::new(1);
    let mut new = || next.bump();
    let (catalog, list, info) = (new(), new(), new());
    let mut out = Pdf::new();
    let mut kids = Vec::new();
    for page in pages {
        let tree = tree(page, title)?;
        let (chunk, drawing) = svg2pdf::to_chunk(&tree, ConversionOptions::default())
            .map_err(|e| format!("the page could not be written as PDF: {e}"))?;
        let (chunk, drawing) = settled(&chunk, drawing, &mut new)
            .ok_or("the page could not be written as PDF: its objects cannot be read")?;
        let (sheet, stream) = (new(), new());
        let mut entry = out.page(sheet);
        entry.media_box(Rect::new(0.0, 0.0, page.w, page.h)).parent(list).contents(stream);
        entry.resources().x_objects().pair(Name(b"P"), drawing);
        entry.finish();
        // A drawing is one unit wide and high.
        let mut content = Content::new();
        content.transform([page.w, 0.0, 0.0, page.h, 0.0, 0.0]).x_object(Name(b"P"));
        out.stream(stream, &content.finish());
        out.extend(&chunk);
        kids.push(sheet);
    }
    let count = i32::try_from(kids.len()).map_err(|_| "too many pages".to_string())?;
    out.pages(list).kids(kids).count(count);
    let mut root = out.catalog(catalog);
    root.pages(list).lang(TextStr("en"));
    root.viewer_preferences().pair(Name(b"DisplayDocTitle"), true);
    root.finish();
    out.document_info(info).title(TextStr(title)).creator(TextStr("Roomback"));
    Ok(out.finish())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::face::Weight;
    use crate::views::paper::{Ink, Size};

    /// Whether `part` stands in the bytes, and how often.
    fn times(bytes: &[u8], part: &str) -> usize {
        bytes.windows(part.len()).filter(|w| *w == part.as_bytes()).count()
    }

    #[test]
    fn pages_have_their_sizes_and_faces_are_in_the_file() {
        let sizes = [Size::A4.sheet(false), Size::Letter.sheet(true)];
        let pages: Vec<Page> = sizes
            .iter()
            .map(|s| {
                let mut page = Page::new(*s);
                page.text((50.0, 80.0), 12.0, Weight::Regular, Ink::Ink, "Wednesday 31 March 2027");
                page
            })
            .collect();
        let bytes = pdf(&pages, "two (pages)").expect("a file");
        assert!(bytes.starts_with(b"%PDF-1.7") && bytes.ends_with(b"%%EOF"));
        // ISO 32000-1: 7.7.3 page tree, 9.8 embedded font programs, 9.10.3 ToUnicode.
        assert_eq!((times(&bytes, "/Type /Page\n"), times(&bytes, "/Count 2")), (2, 1));
        assert!(times(&bytes, "/MediaBox [0 0 595.276 841.89]") == 1 && times(&bytes, "/MediaBox [0 0 792 612]") == 1);
        assert!(times(&bytes, "/FontFile2") >= 1 && times(&bytes, "/ToUnicode") >= 1);
        assert_eq!(times(&bytes, "/FontFile2"), times(&bytes, "/Type /FontDescriptor"));
        assert_eq!(bytes, pdf(&pages, "two (pages)").expect("a file"), "the same pages, other bytes");
        // Two faces on a page: the converter's maps hold them in another order every time.
        let mut both = pages[0].clone();
        both.text((50.0, 120.0), 20.0, Weight::SemiBold, Ink::Ink, "by the end of");
        let first = pdf(std::slice::from_ref(&both), "both").expect("a file");
        assert_eq!(times(&first, "/FontFile2"), 2);
        for _ in 0..12 {
            assert!(first == pdf(std::slice::from_ref(&both), "both").expect("a file"), "the same page, other bytes");
        }
    }
}
