//! Where a field path stands in the text.

use std::collections::BTreeMap;

/// Line and column of a byte, both from 1; columns count characters.
pub(super) fn line_col(text: &str, at: usize) -> (usize, usize) {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let before = &text[..at];
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}

/// Field paths of a job file and where their values begin.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SourceMap {
    places: BTreeMap<String, (usize, usize)>,
}

impl SourceMap {
    /// From byte offsets, in one pass over the text.
    pub(super) fn new(text: &str, offsets: &BTreeMap<String, usize>) -> SourceMap {
        let mut by_offset: Vec<(usize, &String)> = offsets.iter().map(|(p, &o)| (o, p)).collect();
        by_offset.sort();
        let mut places = BTreeMap::new();
        let (mut line, mut col, mut at) = (1, 1, 0);
        for (offset, path) in by_offset {
            for c in text[at..offset].chars() {
                (line, col) = if c == '\n' { (line + 1, 1) } else { (line, col + 1) };
            }
            at = offset;
            places.insert(path.clone(), (line, col));
        }
        SourceMap { places }
    }

    /// Line and column, both from 1, of the value at a field path such as
    /// `rooms[0].surfaces[2].recipe`; of the nearest field around it where the file has no
    /// such field.
    pub fn place(&self, path: &str) -> (usize, usize) {
        let mut path = path;
        loop {
            if let Some(&p) = self.places.get(path) {
                return p;
            }
            match path.rfind(['.', '[']) {
                Some(i) => path = &path[..i],
                None => return self.places.get("").copied().unwrap_or((1, 1)),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn falls_back_to_the_field_around_it() {
        let text = "(\n  rooms: [\n    (id: \"½\", name: \"b\"),\n  ],\n)";
        let offsets = [("", 0), ("rooms", text.find('[').unwrap()), ("rooms[0].name", text.find("\"b").unwrap())];
        let offsets = offsets.into_iter().map(|(p, o)| (p.to_string(), o)).collect();
        let map = SourceMap::new(text, &offsets);
        assert_eq!(map.place("rooms[0].name"), (3, 21));
        assert_eq!(map.place("rooms[0].name"), line_col(text, text.find("\"b").unwrap()));
        assert_eq!(map.place("rooms[7].surfaces[2]"), (2, 10));
        assert_eq!(map.place("crew[0]"), (1, 1));
    }
}
