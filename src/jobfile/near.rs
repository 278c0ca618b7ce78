//! "Did you mean": the nearest of the names there are.

/// Edits between two words: insertions, deletions, changes, swaps of neighbours.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut rows = vec![vec![0usize; b.len() + 1]; a.len() + 1];
    for i in 0..=a.len() {
        for j in 0..=b.len() {
            rows[i][j] = if i == 0 || j == 0 {
                i + j
            } else {
                let change = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
                let mut best = change.min(rows[i - 1][j] + 1).min(rows[i][j - 1] + 1);
                if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                    best = best.min(rows[i - 2][j - 2] + 1);
                }
                best
            };
        }
    }
    rows[a.len()][b.len()]
}

/// The candidate nearest to `word`, if one is near enough: at most a third of its letters
/// changed. Case, spaces and hyphens do not count. The first wins a tie.
pub(crate) fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let plain = |s: &str| {
        let part = s.chars().filter(|c| !matches!(c, ' ' | '-' | '_'));
        part.flat_map(char::to_lowercase).take(60).collect::<Vec<char>>()
    };
    let word = plain(word);
    let mut best: Option<(usize, &str)> = None;
    for c in candidates {
        let other = plain(c);
        let d = distance(&word, &other);
        let near = d <= (word.len().max(other.len()) / 3).max(1) && d < word.len() && word.len() > 2;
        if near && best.is_none_or(|b| d < b.0) {
            best = Some((d, c));
        }
    }
    best.map(|b| b.1)
}

/// `did you mean "x"`, else what there is, else `otherwise`.
pub(super) fn advise<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>, otherwise: &str) -> String {
    let mut all: Vec<&str> = Vec::new();
    for c in candidates {
        if !c.is_empty() && !all.contains(&c) {
            all.push(c);
        }
    }
    if let Some(near) = nearest(word, all.iter().copied()) {
        return format!("did you mean \"{near}\"");
    }
    match all.len() {
        0 => otherwise.to_string(),
        1..=12 => format!("write one of {}", all.join(", ")),
        _ => format!("write one of {} ... ({} in all)", all[..6].join(", "), all.len()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_names() {
        let names = ["repaint-walls", "repaint-trim", "full-skim"];
        assert_eq!(nearest("repaint wals", names), Some("repaint-walls"));
        assert_eq!(nearest("Full Skim", names), Some("full-skim"));
        assert_eq!(nearest("ful-sikm", names), Some("full-skim"));
        assert_eq!(nearest("crown", names), None);
        assert_eq!(nearest("", names), None);
        assert_eq!(nearest("no", ["on", "off"]), None, "too short to tell");
        assert_eq!(advise("crown", ["a", "b"], "add it"), "write one of a, b");
        assert_eq!(advise("crown", [], "add it"), "add it");
    }
}
