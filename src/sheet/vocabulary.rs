//! The words of a line.

use super::draft::FeatureKind;
use super::lex::Kind;
use super::reader::Reader;
use crate::job::OpeningKind;

/// What can be counted.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Noun {
    Opening(OpeningKind, String),
    Feature(FeatureKind, f64),
    Boxes,
    Holes,
    Cracks,
}

/// Words that name a door or a window and change nothing else.
const CALLED: &[&str] = &[
    "closet", "entry", "front", "back", "side", "pocket", "french", "double", "sliding", "bifold", "patio", "barn",
    "hall", "bath", "bathroom", "bedroom", "kitchen", "basement", "pantry", "garden", "picture", "casement", "awning",
    "transom", "interior", "exterior", "balcony", "porch", "attic", "stair",
];

/// Words the line knows, for "did you mean".
pub(super) const KNOWN: &[&str] = &[
    "door", "doors", "window", "windows", "opening", "openings", "cased", "casing", "sill", "wall", "walls", "corner",
    "holes", "cracks", "boxes", "ceiling", "high", "alcove", "bay", "breast", "chimney", "from", "measured", "in",
    "out", "apart", "between",
];

/// What stands in rooms and the line does not measure.
const UNMEASURED: &[&str] = &[
    "chair rail",
    "picture rail",
    "plate rail",
    "wainscot",
    "radiator",
    "fireplace",
    "mantel",
    "bookcase",
    "built-in",
    "shelf",
    "shelves",
    "beam",
    "beams",
    "column",
    "stairs",
];

/// The first such thing in a text.
pub(super) fn unmeasured(text: &str) -> Option<&'static str> {
    let text = text.to_lowercase();
    let words: Vec<&str> = text.split(|c: char| !c.is_alphanumeric() && c != '-').filter(|w| !w.is_empty()).collect();
    let has = |what: &&&str| {
        let want: Vec<&str> = what.split(' ').collect();
        words.windows(want.len()).any(|w| w == want)
    };
    UNMEASURED.iter().find(has).copied()
}

/// A number in words.
pub(super) fn count_word(word: &str) -> Option<u32> {
    const UP: [&str; 13] =
        ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    match word {
        "a" | "an" => Some(1),
        "pair" | "couple" => Some(2),
        w => UP.iter().position(|x| *x == w).map(|n| n as u32),
    }
}

/// Words read over.
pub(super) fn noise(word: &str) -> bool {
    matches!(
        word,
        "and" | "w" | "with" | "plus" | "also" | "the" | "of" | "on" | "has" | "each" | "are" | "is" | "electrical"
    )
}

/// Words behind `in` that make it no inch.
pub(super) fn after_in(word: &str) -> bool {
    matches!(word, "the" | "a" | "bay" | "alcove" | "recess" | "front" | "wall" | "breast" | "chimney")
}

impl Reader<'_> {
    /// What can be counted at a token, and the token behind it.
    pub(super) fn noun(&self, i: usize) -> Option<(Noun, usize)> {
        let (a, b) = (self.word(i), self.word(i + 1));
        match (a, b) {
            ("square" | "box", "bay") => {
                let end = if self.word(i + 2) == "window" { i + 3 } else { i + 2 };
                return Some((Noun::Feature(FeatureKind::Bay, 90.0), end));
            }
            ("bay", "window" | "windows") => return Some((Noun::Feature(FeatureKind::Bay, 45.0), i + 2)),
            ("bay", _) => return Some((Noun::Feature(FeatureKind::Bay, 45.0), i + 1)),
            ("alcove" | "recess" | "niche" | "alcoves", _) => {
                return Some((Noun::Feature(FeatureKind::Alcove, 90.0), i + 1));
            }
            ("chimney", "breast") => return Some((Noun::Feature(FeatureKind::Breast, 90.0), i + 2)),
            ("breast" | "chimney", _) => return Some((Noun::Feature(FeatureKind::Breast, 90.0), i + 1)),
            ("electrical", "box" | "boxes") => return Some((Noun::Boxes, i + 2)),
            ("box" | "boxes" | "outlet" | "outlets" | "switch" | "switches", _) => return Some((Noun::Boxes, i + 1)),
            ("hole" | "holes", _) => return Some((Noun::Holes, i + 1)),
            ("crack" | "cracks", _) => return Some((Noun::Cracks, i + 1)),
            _ => {}
        }
        let mut j = i;
        let mut called: Vec<&str> = Vec::new();
        while CALLED.contains(&self.word(j)) {
            called.push(self.word(j));
            j += 1;
            // `double-hung` and its like are not names of ours; a dash between words is read over.
            if self.kind(j) == Some(Kind::Dash) {
                return None;
            }
        }
        let (kind, word) = match self.word(j) {
            "door" | "doors" => (OpeningKind::Door, "door"),
            "window" | "windows" | "win" | "wins" => (OpeningKind::Window, "window"),
            "opening" | "openings" => (OpeningKind::Cased, "opening"),
            "archway" | "archways" => (OpeningKind::Cased, "archway"),
            "cased" => {
                let end = if matches!(self.word(j + 1), "opening" | "openings") { j + 2 } else { j + 1 };
                if !called.is_empty() {
                    called.push("opening");
                }
                return Some((Noun::Opening(OpeningKind::Cased, called.join(" ")), end));
            }
            _ => return None,
        };
        if word == "archway" {
            called.push("archway");
        } else if !called.is_empty() {
            called.push(word);
        }
        Some((Noun::Opening(kind, called.join(" ")), j + 1))
    }
}
