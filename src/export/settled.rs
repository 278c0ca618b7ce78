//! The objects of a drawn page in one order: the converter keeps faces and resources in maps whose order changes from run
//! to run, so the same page came out with its objects in another order each time.
//!
//! Entries of a resource dictionary are sorted by name; objects follow each other as they are first named, from the
//! drawing on, and are numbered so. What they hold is not touched.

use std::collections::BTreeMap;

use pdf_writer::{Chunk, Primitive, Ref};

/// Dictionaries of resources (ISO 32000-1, 7.8.3) whose entries may stand in any order.
const KINDS: [&str; 6] = ["/Font <<", "/XObject <<", "/ColorSpace <<", "/ExtGState <<", "/Pattern <<", "/Shading <<"];

/// The inside of an object as it is.
struct Whole<'a>(&'a [u8]);

impl Primitive for Whole<'_> {
    fn write(self, buf: &mut Vec<u8>) {
        buf.extend(self.0);
    }
}

/// The objects ordered and numbered anew from the drawing on, and the drawing's new number; none where they cannot be
/// read.
pub(super) fn settled(chunk: &Chunk, drawing: Ref, new: &mut dyn FnMut() -> Ref) -> Option<(Chunk, Ref)> {
    let objects = objects(chunk)?;
    let mut named: BTreeMap<Ref, Ref> = BTreeMap::new();
    let mut order = vec![drawing];
    let mut at = 0;
    while let Some(&id) = order.get(at) {
        named.insert(id, new());
        for r in named_in(&objects.get(&id)?.0) {
            if objects.contains_key(&r) && !order.contains(&r) {
                order.push(r);
            }
        }
        at += 1;
    }
    let mut out = Chunk::new();
    for id in &order {
        let (head, rest) = objects.get(id)?;
        out.indirect(*id).primitive(Whole(&[head.as_slice(), rest].concat()));
    }
    let out = out.renumber(|old| named.get(&old).copied().unwrap_or(old));
    named.get(&drawing).map(|d| (out, *d))
}

/// Objects by their numbers: the part before a stream, sorted, and the stream.
type Objects<'a> = BTreeMap<Ref, (Vec<u8>, &'a [u8])>;

fn objects(chunk: &Chunk) -> Option<Objects<'_>> {
    let bytes = chunk.as_bytes();
    let refs: Vec<Ref> = chunk.refs().collect();
    let mut out = BTreeMap::new();
    let mut at = 0;
    for (i, id) in refs.iter().enumerate() {
        let begin = format!("{} 0 obj\n", id.get());
        let inside = bytes.get(at..)?.strip_prefix(begin.as_bytes())?;
        let end = match refs.get(i + 1) {
            Some(next) => find(inside, format!("\nendobj\n\n{} 0 obj\n", next.get()).as_bytes())?,
            None => inside.len().checked_sub(b"\nendobj\n\n".len())?,
        };
        let whole = &inside[..end];
        let head = find(whole, b"\nstream\n").unwrap_or(end);
        out.insert(*id, (sorted(&whole[..head]), &whole[head..]));
        at += begin.len() + end + b"\nendobj\n\n".len();
    }
    Some(out)
}

fn find(bytes: &[u8], part: &[u8]) -> Option<usize> {
    bytes.windows(part.len()).position(|w| w == part)
}

/// The head of an object with the entries of its resources by their names.
fn sorted(head: &[u8]) -> Vec<u8> {
    let Ok(text) = std::str::from_utf8(head) else { return head.to_vec() };
    let mut lines: Vec<&str> = text.split('\n').collect();
    let mut n = 0;
    while n < lines.len() {
        if KINDS.contains(&lines[n].trim()) {
            let entry = |l: &&&str| l.trim_start().starts_with('/') && !l.trim_end().ends_with("<<");
            let count = lines[n + 1..].iter().take_while(entry).count();
            lines[n + 1..n + 1 + count].sort_unstable();
            n += count;
        }
        n += 1;
    }
    lines.join("\n").into_bytes()
}

/// Numbers of objects named in the head of one, in their order.
fn named_in(head: &[u8]) -> Vec<Ref> {
    let apart = |b: &u8| b.is_ascii_whitespace() || b"[]<>/()".contains(b);
    let words: Vec<&[u8]> = head.split(apart).filter(|w| !w.is_empty()).collect();
    let one = |w: &[&[u8]]| match w {
        [n, b"0", b"R"] => std::str::from_utf8(n).ok()?.parse().ok().filter(|n| *n > 0).map(Ref::new),
        _ => None,
    };
    words.windows(3).filter_map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A drawing with two faces, each with its descriptor, written in one order or the other.
    fn drawn(turned: bool) -> Chunk {
        let mut chunk = Chunk::new();
        let mut put = |id: i32, text: &str| chunk.indirect(Ref::new(id)).primitive(Whole(text.as_bytes()));
        let (a, b) = ("      /fo0 5 0 R\n", "      /fo1 6 0 R\n");
        let fonts = if turned { [b, a] } else { [a, b] }.concat();
        put(
            4,
            &format!(
                "<<\n  /Resources <<\n    /Font <<\n{fonts}    >>\n  >>\n>>\nstream\n9 0 R \u{1} endobj\nendstream"
            ),
        );
        let faces = [(5, 8, "one"), (6, 9, "two")];
        // Numbers of what a face holds are given as it is written.
        for (n, (id, _, name)) in (if turned { [faces[1], faces[0]] } else { faces }).into_iter().enumerate() {
            let inner = 8 + n as i32;
            put(id, &format!("<<\n  /BaseFont /{name}\n  /FontDescriptor {inner} 0 R\n>>"));
            put(inner, &format!("<<\n  /FontName /{name}\n>>"));
        }
        chunk
    }

    #[test]
    fn either_order_of_the_faces_comes_to_the_same_bytes() {
        let all: Vec<(Chunk, Ref)> = [false, true]
            .into_iter()
            .map(|turned| {
                let mut next = 20;
                let mut new = || {
                    next += 1;
                    Ref::new(next)
                };
                settled(&drawn(turned), Ref::new(4), &mut new).expect("objects")
            })
            .collect();
        assert_ne!(drawn(false).as_bytes(), drawn(true).as_bytes());
        assert_eq!(all[0].0.as_bytes(), all[1].0.as_bytes());
        let text = String::from_utf8_lossy(all[0].0.as_bytes()).into_owned();
        assert_eq!((all[0].1, text.matches(" 0 obj\n").count()), (Ref::new(21), 5));
        // What only looks like a number in a stream stays.
        assert!(text.contains("stream\n9 0 R \u{1} endobj\nendstream") && text.contains("/fo0 22 0 R\n"), "{text}");
    }
}
